#include "assume.h"

const char *marq_assume_name(const marq_following *f, marq_arena *arena,
                             size_t variant)
{
    marq_build b;
    marq_build_init(&b, arena);
    marq_step_name(&b, f->vocab->data, variant);
    return marq_build_done(&b, NULL);
}

/* ---- the form of a step ---- */

/* The variant that all cheapest readings agree on, by its name; false if they
 * differ or the stage is no step. */
static bool agreed_variant(const marq_following *f, const marq_seen *seen,
                           size_t *variant)
{
    const marq_vocab_data *data = f->vocab->data;
    bool found = false;
    if (seen->role != MARQ_SEEN_STEP || !seen->reached) {
        return false;
    }
    for (size_t i = 0; i < seen->used.count; i++) {
        const marq_used *u = MARQ_AT(&seen->used, marq_used, i);
        if (!u->marked) {
            continue;
        }
        if (found && strcmp(data->strings + data->variants[*variant].name,
                            data->strings + data->variants[u->variant].name)) {
            return false;
        }
        *variant = found ? *variant : u->variant;
        found = true;
    }
    return found;
}

/* Qualifiers of a variant that are not written beside the step. */
static marq_tags unwritten_tags(const marq_following *f, const marq_seen *seen,
                                size_t variant)
{
    marq_tags tags = f->vocab->data->variants[variant].tags;
    const marq_item *item = MARQ_AT(&f->tree->items, marq_item, seen->item);
    for (uint32_t i = 0; i < item->mark_count; i++) {
        const marq_mark *m =
            MARQ_AT(&f->tree->marks, marq_mark, item->first_mark + i);
        unsigned q = m->value;
        if (m->kind == MARQ_MARK_QUALIFIER && !m->assumed) {
            /* the word itself, or the one taken in its place */
            for (int tries = 0; tries < 3; tries++) {
                if (q >= f->vocab->data->qualifier_count) {
                    break;
                }
                tags.bit[q >> 6] &= ~((uint64_t)1 << (q & 63));
                q = f->vocab->data->qualifiers[q].instead;
            }
        }
    }
    return tags;
}

static bool any_tag(marq_tags tags)
{
    return (tags.bit[0] | tags.bit[1]) != 0;
}

static bool assumed_form(const marq_following *f, const marq_seen *seen,
                         size_t *variant)
{
    return agreed_variant(f, seen, variant) &&
           any_tag(unwritten_tags(f, seen, *variant));
}

static bool mark_written(const marq_following *f, const marq_seen *seen,
                         unsigned qualifier)
{
    const marq_item *item = MARQ_AT(&f->tree->items, marq_item, seen->item);
    for (uint32_t i = 0; i < item->mark_count; i++) {
        const marq_mark *m =
            MARQ_AT(&f->tree->marks, marq_mark, item->first_mark + i);
        if (m->kind == MARQ_MARK_QUALIFIER && m->value == qualifier) {
            return true;
        }
    }
    return false;
}

/* Of `tags`, the qualifier that stands first in the variant's own name; the
 * vocabulary writes them in the order one says them. */
static unsigned first_said(const marq_vocab_data *data, size_t variant,
                           marq_tags tags)
{
    const marq_variant *v = &data->variants[variant];
    const char *name = data->strings + v->name;
    unsigned first = MARQ_QUALIFIERS_MOST;
    size_t least = SIZE_MAX;
    for (unsigned q = 0; q < data->qualifier_count; q++) {
        if (!marq_tag_has(tags, q)) {
            continue;
        }
        const char *at = strstr(name, marq_qualifier_beside(data, q, v->term));
        size_t place = at != NULL ? (size_t)(at - name) : SIZE_MAX - 1;
        if (place < least) {
            least = place;
            first = q;
        }
    }
    return first;
}

static marq_status list_form(marq_following *f, const marq_seen *seen,
                             size_t variant, marq_array *assumed)
{
    marq_tags tags = unwritten_tags(f, seen, variant);
    for (;;) {
        unsigned q = first_said(f->vocab->data, variant, tags);
        if (q == MARQ_QUALIFIERS_MOST) {
            return MARQ_OK;
        }
        tags.bit[q >> 6] &= ~((uint64_t)1 << (q & 63));
        if (mark_written(f, seen, q)) {
            continue;
        }
        marq_assumed *a = marq_array_add(assumed);
        if (a == NULL) {
            return MARQ_MEMORY;
        }
        a->item = seen->item;
        a->kind = MARQ_MARK_QUALIFIER;
        a->value = (uint16_t)q;
    }
}

/* One note for the same form of the same term, however often it stands:
 * further places are related, the rest counted. */
typedef struct told {
    size_t variant;
    size_t finding; /* index: a finding moves when others are added */
    bool kept;
    size_t more;
} told;

static marq_status note_form(marq_following *f, marq_arena *arena,
                             marq_array *tolds, const marq_seen *seen,
                             size_t variant, marq_findings *findings)
{
    for (size_t i = 0; i < tolds->count; i++) {
        told *t = MARQ_AT(tolds, told, i);
        if (t->variant == variant) {
            t->more++;
            return MARQ_OK;
        }
    }
    const char *name = marq_assume_name(f, arena, variant);
    told *t = marq_array_add(tolds);
    if (name == NULL || t == NULL) {
        return MARQ_MEMORY;
    }
    t->variant = variant;
    t->finding = findings->list.count;
    marq_finding *added;
    marq_status status = marq_findings_add(findings, &added, MARQ_DIAG_ASSUMED,
                                           seen->span, name, NULL, NULL);
    t->kept = added != NULL;
    return status;
}

static marq_status finish_forms(marq_arena *arena, const marq_array *tolds,
                                marq_findings *findings)
{
    for (size_t i = 0; i < tolds->count; i++) {
        const told *t = MARQ_AT(tolds, told, i);
        if (t->more == 0 || !t->kept) {
            continue;
        }
        marq_build b;
        marq_build_init(&b, arena);
        marq_build_text(&b, "the same ");
        marq_build_number(&b, (int64_t)t->more);
        marq_build_text(&b, t->more == 1 ? " more time" : " more times");
        const char *text = marq_build_done(&b, NULL);
        marq_status status =
            text == NULL
                ? MARQ_MEMORY
                : marq_finding_note(
                      findings,
                      MARQ_AT(&findings->list, marq_finding, t->finding), text);
        if (status != MARQ_OK) {
            return status;
        }
    }
    return MARQ_OK;
}

/* ---- single steps ---- */

static const marq_danced *first_danced(const marq_following *f,
                                       const marq_seen *seen)
{
    return seen->path_to > seen->path_from
               ? MARQ_AT(&f->path, marq_danced, seen->path_from)
               : NULL;
}

static const char *term_name(const marq_following *f, const marq_seen *seen)
{
    const marq_vocab_data *data = f->vocab->data;
    return data->strings + data->terms[seen->stage.demand.term].name;
}

static marq_status note_link(marq_following *f, marq_arena *arena,
                             const marq_seen *seen, const marq_danced *d,
                             marq_findings *findings)
{
    if (d == NULL || !d->linked) {
        return MARQ_OK;
    }
    marq_build b;
    marq_build_init(&b, arena);
    marq_link_words(&b, &d->link);
    const char *words = marq_build_done(&b, NULL);
    if (words == NULL) {
        return MARQ_MEMORY;
    }
    return marq_findings_add(findings, NULL, MARQ_DIAG_ASSUMED_LINK, seen->span,
                             seen->role == MARQ_SEEN_STEP ? term_name(f, seen)
                                                          : "this",
                             words, NULL);
}

static int facing_gap(const marq_danced *d)
{
    int gap =
        (int)d->to.facing - (int)marq_facing_turn(d->from.facing, d->turn);
    gap = ((gap % 8) + 8) % 8;
    return gap > 4 ? 8 - gap : gap;
}

static bool facing_known(const marq_marks *marks)
{
    unsigned mask = marq_marks_facings(marks);
    return mask && !(mask & (mask - 1));
}

static marq_status note_facing(marq_following *f, const marq_stretch *s,
                               size_t index, marq_findings *findings)
{
    const marq_seen *seen = MARQ_AT(&f->seen, marq_seen, index);
    const marq_danced *d = first_danced(f, seen);
    if (f->reach.no_facing || seen->role != MARQ_SEEN_STEP || d == NULL ||
        !facing_known(marq_follow_marks_before(f, s, index)) ||
        !facing_known(&seen->marks)) {
        return MARQ_OK;
    }
    const marq_demand *demand = &seen->stage.demand;
    if (demand->faces) {
        if (d->turn != 0 && facing_gap(d) != 0) {
            return marq_findings_add(
                findings, NULL, MARQ_DIAG_FACING_EXTRA, demand->facing_span,
                term_name(f, seen),
                facing_gap(d) == 2 ? "a quarter" : "an eighth", NULL);
        }
        return MARQ_OK;
    }
    if (facing_gap(d) != 0) {
        return marq_findings_add(findings, NULL, MARQ_DIAG_ASSUMED, seen->span,
                                 "from one croisé to the other", NULL, NULL);
    }
    return MARQ_OK;
}

static marq_status note_marks(marq_following *f, marq_arena *arena,
                              const marq_seen *seen, marq_findings *findings)
{
    const marq_item *item = MARQ_AT(&f->tree->items, marq_item, seen->item);
    const marq_danced *d = first_danced(f, seen);
    for (uint32_t i = 0; i < item->mark_count; i++) {
        const marq_mark *m =
            MARQ_AT(&f->tree->marks, marq_mark, item->first_mark + i);
        marq_status status = MARQ_OK;
        if (m->kind == MARQ_MARK_NUMBERED) {
            marq_build b;
            marq_build_init(&b, arena);
            marq_build_number(&b, m->value);
            const char *number = marq_build_done(&b, NULL);
            status =
                number == NULL
                    ? MARQ_MEMORY
                    : marq_findings_add(findings, NULL, MARQ_DIAG_NUMBER_SCHOOL,
                                        m->span, number, NULL, NULL);
        } else if (m->kind == MARQ_MARK_SIDE &&
                   seen->stage.demand.side_means == MARQ_SIDE_IS_ASKED) {
            status = marq_findings_add(
                findings, NULL, MARQ_DIAG_SIDE_ASK, m->span,
                marq_side_words((marq_side)m->value), term_name(f, seen), NULL);
        } else if (m->kind == MARQ_MARK_ALIGNMENT && d != NULL &&
                   !f->reach.no_facing && facing_known(&seen->marks) &&
                   d->to.facing >= 3 && d->to.facing <= 5 &&
                   m->value != MARQ_DOS) {
            status = marq_findings_add(
                findings, NULL, MARQ_DIAG_FACING_BACK, m->span,
                marq_alignment_words((marq_alignment)m->value), NULL, NULL);
        }
        if (status != MARQ_OK) {
            return status;
        }
    }
    return MARQ_OK;
}

/* Was the step before one that travels or springs, so that this one has a
 * run-in? */
static bool has_run_in(const marq_following *f, const marq_stretch *s,
                       size_t index, const marq_danced *d)
{
    (void)f;
    return index > s->first && d->from.arrival != MARQ_STILL;
}

static marq_status note_step(marq_following *f, marq_arena *arena,
                             const marq_stretch *s, size_t index,
                             marq_findings *findings)
{
    const marq_seen *seen = MARQ_AT(&f->seen, marq_seen, index);
    const marq_vocab_data *data = f->vocab->data;
    const marq_danced *d = first_danced(f, seen);
    size_t variant;
    marq_status status = note_marks(f, arena, seen, findings);
    if (status != MARQ_OK || d == NULL) {
        return status;
    }
    const marq_term *term = &data->terms[seen->stage.demand.term];
    if ((term->flags & MARQ_TERM_RUN_IN) && !has_run_in(f, s, index, d)) {
        status = marq_findings_add(findings, NULL, MARQ_DIAG_NEEDS_RUN_IN,
                                   seen->span, term_name(f, seen), NULL, NULL);
    }
    if (status == MARQ_OK && agreed_variant(f, seen, &variant) &&
        (data->variants[variant].flags & MARQ_VARIANT_LESS_USUAL)) {
        const char *name = marq_assume_name(f, arena, variant);
        status =
            name == NULL
                ? MARQ_MEMORY
                : marq_findings_add(findings, NULL, MARQ_DIAG_OTHER_FORM,
                                    seen->span, term_name(f, seen), name, NULL);
    }
    if (status != MARQ_OK || index == s->first ||
        !(term->flags & MARQ_TERM_ALTERNATES)) {
        return status;
    }
    const marq_seen *before = MARQ_AT(&f->seen, marq_seen, index - 1);
    const marq_danced *was = first_danced(f, before);
    if (before->role == MARQ_SEEN_STEP && was != NULL &&
        before->stage.demand.term == seen->stage.demand.term &&
        data->moves[was->move].travel == data->moves[d->move].travel &&
        (data->moves[d->move].travel == MARQ_SIDE_RIGHT ||
         data->moves[d->move].travel == MARQ_SIDE_LEFT)) {
        return marq_findings_add(findings, NULL, MARQ_DIAG_SIDES_ALTERNATE,
                                 seen->span, term_name(f, seen), NULL, NULL);
    }
    return MARQ_OK;
}

/* ---- all ---- */

/* An alignment word in a start or finish that faces the back. */
static marq_status note_upstage(const marq_stand *stand,
                                marq_findings *findings)
{
    if (!stand->written || stand->alignments == 0 ||
        !marq_facings_upstage(stand->facings)) {
        return MARQ_OK;
    }
    unsigned a = 0;
    while (!((stand->alignments >> a) & 1u)) {
        a++;
    }
    return marq_findings_add(
        findings, NULL, MARQ_DIAG_FACING_BACK, stand->facing_span,
        marq_alignment_words((marq_alignment)a), NULL, NULL);
}

static marq_status note_start(marq_following *f, marq_arena *arena,
                              const marq_stretch *s, marq_findings *findings)
{
    bool written = s->start_written && !f->tree->start.assumed;
    if (!s->opens_text || written || s->reached == s->first) {
        return MARQ_OK;
    }
    marq_build b;
    marq_build_init(&b, arena);
    marq_body_words(&b, s->at.body);
    const char *words = marq_build_done(&b, NULL);
    if (words == NULL) {
        return MARQ_MEMORY;
    }
    return marq_findings_add(findings, NULL, MARQ_DIAG_ASSUMED_START,
                             MARQ_AT(&f->seen, marq_seen, s->first)->span,
                             words, NULL, NULL);
}

marq_status marq_assume_list(marq_following *f, marq_arena *arena,
                             marq_findings *findings, marq_array *assumed)
{
    marq_array tolds;
    marq_array_init(&tolds, arena, sizeof(told));
    marq_status status = note_upstage(&f->tree->start, findings);
    if (status == MARQ_OK) {
        status = note_upstage(&f->tree->finish, findings);
    }
    if (status != MARQ_OK) {
        return status;
    }
    for (size_t i = 0; i < f->stretches.count; i++) {
        const marq_stretch *s = MARQ_AT(&f->stretches, marq_stretch, i);
        status = note_start(f, arena, s, findings);
        for (size_t k = s->first; k < s->reached && status == MARQ_OK; k++) {
            const marq_seen *seen = MARQ_AT(&f->seen, marq_seen, k);
            size_t variant;
            if (seen->role == MARQ_SEEN_STEP &&
                assumed_form(f, seen, &variant)) {
                status = note_form(f, arena, &tolds, seen, variant, findings);
                if (status == MARQ_OK) {
                    status = list_form(f, seen, variant, assumed);
                }
            }
            if (status == MARQ_OK) {
                status =
                    note_link(f, arena, seen, first_danced(f, seen), findings);
            }
            if (status == MARQ_OK) {
                status = note_facing(f, s, k, findings);
            }
            if (status == MARQ_OK && seen->role == MARQ_SEEN_STEP) {
                status = note_step(f, arena, s, k, findings);
            }
        }
        if (status != MARQ_OK) {
            return status;
        }
    }
    return finish_forms(arena, &tolds, findings);
}

bool marq_assume_at(const marq_following *f, const marq_seen *seen)
{
    size_t variant;
    const marq_danced *d = first_danced(f, seen);
    return assumed_form(f, seen, &variant) || (d != NULL && d->linked);
}
