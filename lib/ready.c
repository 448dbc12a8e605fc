#include "ready.h"

/* ---- the four answers ---- */

typedef struct tally { /* of one question over all cheapest readings */
    bool yes, no;
} tally;

static void count_answer(tally *t, bool ready)
{
    t->yes |= ready;
    t->no |= !ready;
}

static marq_ready tally_answer(tally t)
{
    if (t.yes && t.no) {
        return MARQ_READY_OPEN;
    }
    return t.yes ? MARQ_READY_YES : t.no ? MARQ_READY_NO : MARQ_READY_UNKNOWN;
}

static bool same_position(marq_body a, marq_body b)
{
    bool two = marq_body_is_two(a);
    if (two != marq_body_is_two(b)) {
        return false;
    }
    if (!two) {
        return marq_body_standing(a) == marq_body_standing(b);
    }
    marq_position pa = marq_body_position(a), pb = marq_body_position(b);
    pa = pa == MARQ_TIPS ? MARQ_FIFTH : pa;
    pb = pb == MARQ_TIPS ? MARQ_FIFTH : pb;
    return pa == pb;
}

static bool same_free_leg(marq_body a, marq_body b)
{
    if (marq_body_is_two(a) || marq_body_is_two(b)) {
        return marq_body_is_two(a) == marq_body_is_two(b);
    }
    marq_side front = marq_body_standing(a);
    /* compared on the same standing foot, so that only the leg speaks */
    return marq_body_alike(
        a, marq_body_one(front, marq_body_shape(b), marq_body_where(b)));
}

static bool only_facing(unsigned mask, marq_facing *f)
{
    for (unsigned i = 0; i < MARQ_FACINGS; i++) {
        if (mask == 1u << i) {
            *f = (marq_facing)i;
            return true;
        }
    }
    return false;
}

static marq_ready judge_facing(const marq_following *f, const marq_marks *first,
                               const marq_marks *last)
{
    marq_facing start, end;
    if (f->reach.no_facing || !only_facing(marq_marks_facings(first), &start) ||
        !only_facing(marq_marks_facings(last), &end)) {
        return MARQ_READY_UNKNOWN;
    }
    marq_facing wanted = marq_facing_mirror(start);
    if (end == wanted) {
        return MARQ_READY_YES;
    }
    /* from one croise to the other: a quarter between two front corners */
    bool corners = (end == 1 || end == 7) && (wanted == 1 || wanted == 7);
    return corners ? MARQ_READY_TURN : MARQ_READY_NO;
}

static marq_ready join_answers(const marq_readiness *r)
{
    const marq_ready all[] = {r->position, r->front_foot, r->free_leg};
    marq_ready worst = MARQ_READY_YES;
    for (size_t i = 0; i < 3; i++) {
        if (all[i] == MARQ_READY_UNKNOWN) {
            return MARQ_READY_UNKNOWN;
        }
        if (all[i] == MARQ_READY_NO ||
            (all[i] == MARQ_READY_OPEN && worst == MARQ_READY_YES)) {
            worst = all[i];
        }
    }
    if (r->facing == MARQ_READY_NO) {
        return MARQ_READY_NO;
    }
    if (worst == MARQ_READY_YES && r->facing == MARQ_READY_TURN) {
        return MARQ_READY_TURN;
    }
    return worst;
}

/* ---- the side begun on, the front foot's changes ---- */

static marq_side first_side(const marq_following *f, const marq_stretch *s)
{
    marq_side side = marq_body_front(s->at.body);
    for (size_t i = 0; i < f->path.count && side == MARQ_SIDE_NONE; i++) {
        const marq_danced *d = MARQ_AT(&f->path, marq_danced, i);
        if (d->variant != 0xffff) {
            side = (marq_side)f->vocab->data->moves[d->move].working;
        }
    }
    return side;
}

static size_t count_changes(const marq_following *f, const marq_stretch *s)
{
    marq_side front = marq_body_front(s->at.body);
    size_t changes = 0;
    for (size_t i = s->first; i < s->reached; i++) {
        const marq_seen *seen = MARQ_AT(&f->seen, marq_seen, i);
        for (size_t p = seen->path_from; p < seen->path_to; p++) {
            const marq_danced *d = MARQ_AT(&f->path, marq_danced, p);
            marq_side now = marq_body_front(d->to.body);
            if (now != MARQ_SIDE_NONE) {
                changes += front != MARQ_SIDE_NONE && front != now;
                front = now;
            }
        }
    }
    return changes;
}

/* ---- questions ---- */

/* The last step whose cheapest readings go to different places from one. */
static size_t last_choice(const marq_following *f, const marq_stretch *s)
{
    for (size_t i = s->reached; i-- > s->first;) {
        const marq_seen *seen = MARQ_AT(&f->seen, marq_seen, i);
        for (size_t a = 0; a < seen->used.count; a++) {
            const marq_used *u = MARQ_AT(&seen->used, marq_used, a);
            for (size_t b = a + 1; u->marked && b < seen->used.count; b++) {
                const marq_used *w = MARQ_AT(&seen->used, marq_used, b);
                if (w->marked && w->from == u->from &&
                    !marq_body_alike(w->to, u->to)) {
                    return i;
                }
            }
        }
    }
    return s->reached;
}

/* "pas de bourrée dessus: ends in fifth, left front", for each different end
 * of the choice at stage `at`. */
static marq_status add_answers(marq_following *f, marq_arena *arena,
                               const marq_stretch *s, size_t at,
                               marq_findings *findings, marq_finding *finding)
{
    marq_seen *seen = MARQ_AT(&f->seen, marq_seen, at);
    uint64_t told = 0;
    for (size_t i = 0; i < seen->used.count; i++) {
        const marq_used *u = MARQ_AT(&seen->used, marq_used, i);
        if (!u->marked || ((told >> u->to) & 1u)) {
            continue;
        }
        told |= (uint64_t)1 << u->to;
        marq_marks now;
        memset(&now, 0, sizeof now);
        now.facing[u->arrives][u->to] = seen->marks.facing[u->arrives][u->to];
        for (size_t k = at + 1; k < s->reached; k++) {
            marq_seen *next = MARQ_AT(&f->seen, marq_seen, k);
            marq_marks after;
            marq_status status = marq_reach_spread(
                &f->reach, marq_follow_before(f, s, k), next->after,
                &next->stage, &next->marks, &next->used, &now, &after);
            if (status != MARQ_OK) {
                return status;
            }
            now = after;
        }
        marq_build b;
        marq_build_init(&b, arena);
        marq_step_name(&b, f->vocab->data, u->variant);
        const char *join = ": ends in ";
        for (unsigned k = 0; k < MARQ_ARRIVALS; k++) {
            for (unsigned e = 0; e < MARQ_BODIES; e++) {
                if (now.facing[k][e]) {
                    marq_build_text(&b, join);
                    marq_body_words(&b, (marq_body)e);
                    join = " or ";
                }
            }
        }
        const char *text = marq_build_done(&b, NULL);
        if (text == NULL) {
            return MARQ_MEMORY;
        }
        marq_status status = marq_finding_note(findings, finding, text);
        if (status != MARQ_OK) {
            return status;
        }
    }
    return MARQ_OK;
}

static marq_status ask_which(marq_following *f, marq_arena *arena,
                             const marq_stretch *s, marq_findings *findings)
{
    size_t at = last_choice(f, s);
    if (at == s->reached) {
        /* the choice is the start itself */
        marq_span none = {0, 0};
        marq_span span = s->reached > s->first
                             ? MARQ_AT(&f->seen, marq_seen, s->first)->span
                             : none;
        return marq_findings_add(findings, NULL, MARQ_DIAG_READINGS_DIFFER,
                                 span, "from more than one start this", NULL,
                                 NULL);
    }
    marq_seen *seen = MARQ_AT(&f->seen, marq_seen, at);
    const marq_term *term = &f->vocab->data->terms[seen->stage.demand.term];
    marq_finding *finding;
    marq_status status = marq_findings_add(
        findings, &finding, MARQ_DIAG_READINGS_DIFFER, seen->span,
        marq_string(f->vocab, term->name), NULL, NULL);
    if (status != MARQ_OK || finding == NULL) {
        return status;
    }
    return add_answers(f, arena, s, at, findings, finding);
}

/* The first step that `path` dances by another variant than the customary
 * reading; NULL if none. */
static const marq_danced *
first_difference(const marq_following *f, const marq_array *path, size_t offset)
{
    for (size_t i = 0; i < path->count && offset + i < f->path.count; i++) {
        const marq_danced *a = MARQ_AT(path, marq_danced, i);
        const marq_danced *b = MARQ_AT(&f->path, marq_danced, offset + i);
        if (a->variant != b->variant || a->to.body != b->to.body) {
            return a;
        }
    }
    return NULL;
}

/* Where "other side" is written and the customary reading is not ready, a
 * reading dearer by no more than the bonus may be: asked, never assumed. */
static marq_status ask_ready(marq_following *f, marq_arena *arena,
                             const marq_stretch *s, marq_findings *findings)
{
    const marq_front *last = marq_follow_before(f, s, s->reached);
    marq_body wanted = marq_body_mirror(s->at.body);
    uint32_t best = UINT32_MAX;
    for (unsigned k = 0; k < MARQ_ARRIVALS; k++) {
        for (unsigned b = 0; b < MARQ_BODIES; b++) {
            if (!((last->live[k] >> b) & 1u) ||
                !marq_body_alike((marq_body)b, wanted)) {
                continue;
            }
            for (unsigned x = 0; x < MARQ_FACINGS; x++) {
                uint32_t price = last->cost[k][b][x];
                if (price != MARQ_OUT_OF_REACH && last->base + price < best) {
                    best = last->base + price;
                }
            }
        }
    }
    uint8_t bonus = f->vocab->data->prices[MARQ_PRICE_BONUS];
    if (best == UINT32_MAX || best > s->price + bonus) {
        return MARQ_OK;
    }
    size_t count = s->reached - s->first;
    marq_marks *marks = marq_arena_alloc(arena, count + 1, sizeof *marks);
    if (marks == NULL) {
        return MARQ_MEMORY;
    }
    marq_front_mark(last, best, &marks[count]);
    for (unsigned k = 0; k < MARQ_ARRIVALS; k++) {
        for (unsigned b = 0; b < MARQ_BODIES; b++) {
            if (!marq_body_alike((marq_body)b, wanted)) {
                marks[count].facing[k][b] = 0;
            }
        }
    }
    marq_status status = MARQ_OK;
    for (size_t i = count; i-- > 0 && status == MARQ_OK;) {
        marq_seen *seen = MARQ_AT(&f->seen, marq_seen, s->first + i);
        status = marq_reach_back(
            &f->reach, marq_follow_before(f, s, s->first + i), seen->after,
            &seen->stage, &marks[i + 1], &marks[i], &seen->used);
    }
    if (status != MARQ_OK) {
        return status;
    }
    /* from the very start of the customary reading, else it is another one */
    if (!(((unsigned)marks[0].facing[s->at.arrival][s->at.body] >>
           s->at.facing) &
          1u)) {
        return MARQ_OK;
    }
    marq_cell at = s->at;
    marq_array path;
    marq_array_init(&path, arena, sizeof(marq_danced));
    for (size_t i = 0; i < count && status == MARQ_OK; i++) {
        marq_seen *seen = MARQ_AT(&f->seen, marq_seen, s->first + i);
        status = marq_reach_path(
            &f->reach, marq_follow_before(f, s, s->first + i), seen->after,
            &seen->stage, &marks[i + 1], &seen->used, &at, &path);
    }
    if (status != MARQ_OK) {
        return status;
    }
    size_t offset = MARQ_AT(&f->seen, marq_seen, s->first)->path_from;
    const marq_danced *other = first_difference(f, &path, offset);
    if (other == NULL || other->variant == 0xffff) {
        return MARQ_OK;
    }
    size_t danced = (size_t)(other - (const marq_danced *)path.at);
    const marq_seen *where = NULL;
    for (size_t i = s->first; i < s->reached && where == NULL; i++) {
        const marq_seen *seen = MARQ_AT(&f->seen, marq_seen, i);
        if (seen->path_to > offset + danced) {
            where = seen;
        }
    }
    marq_build b;
    marq_build_init(&b, arena);
    marq_build_text(&b, "this is danced as ");
    marq_step_name(&b, f->vocab->data, other->variant);
    marq_build_text(&b, ", ending ");
    marq_body_words(&b, other->to.body);
    const char *text = marq_build_done(&b, NULL);
    if (text == NULL) {
        return MARQ_MEMORY;
    }
    return MARQ_NEVER(where == NULL)
               ? MARQ_DEFECT
               : marq_findings_add(findings, NULL, MARQ_DIAG_READY_IF,
                                   where->span, text, NULL, NULL);
}

/* ---- all of it ---- */

/* The stretch that dances the whole first side, or NULL. */
static const marq_stretch *whole_side(const marq_following *f)
{
    if (f->stretches.count == 0) {
        return NULL;
    }
    const marq_stretch *s = MARQ_AT(&f->stretches, marq_stretch, 0);
    bool whole =
        s->opens_text && s->broken == MARQ_BREAK_NONE && !s->ends_unknown;
    return whole ? s : NULL;
}

marq_status marq_ready_judge(marq_verdict *out, marq_following *f,
                             marq_arena *arena, marq_findings *findings)
{
    memset(out, 0, sizeof *out);
    marq_readiness *r = &out->ready;
    r->whole = r->position = r->front_foot = MARQ_READY_UNKNOWN;
    r->free_leg = r->facing = MARQ_READY_UNKNOWN;
    if (f->stretches.count > 0) {
        r->first_side = first_side(f, MARQ_AT(&f->stretches, marq_stretch, 0));
        r->first_side_assumed = !f->names_side;
    }
    const marq_stretch *s = whole_side(f);
    if (s == NULL || s->reached == s->first) {
        return MARQ_OK;
    }
    uint64_t ends[MARQ_BODIES], relative = 0;
    marq_status status = marq_follow_ends(f, s, ends);
    if (status != MARQ_OK) {
        return status;
    }
    tally position = {0}, front = {0}, leg = {0};
    for (unsigned b = 0; b < MARQ_BODIES; b++) {
        marq_body wanted = marq_body_mirror((marq_body)b);
        for (unsigned e = 0; e < MARQ_BODIES; e++) {
            if (!((ends[b] >> e) & 1u)) {
                continue;
            }
            marq_body end = (marq_body)e;
            relative |= (uint64_t)1 << marq_follow_relative((marq_body)b, end);
            count_answer(&position, same_position(wanted, end));
            count_answer(&front,
                         marq_body_front(wanted) == marq_body_front(end));
            count_answer(&leg, same_free_leg(wanted, end));
        }
    }
    r->position = tally_answer(position);
    r->front_foot = tally_answer(front);
    r->free_leg = tally_answer(leg);
    const marq_seen *last = MARQ_AT(&f->seen, marq_seen, s->reached - 1);
    r->facing = judge_facing(f, &s->start_marks, &last->marks);
    r->whole = join_answers(r);
    r->changes_known = true;
    r->foot_changes = count_changes(f, s);
    out->end_known = true;
    out->end = s->at.body;
    for (size_t i = s->first; i < s->reached; i++) {
        const marq_seen *seen = MARQ_AT(&f->seen, marq_seen, i);
        if (seen->path_to > seen->path_from) {
            out->end =
                MARQ_AT(&f->path, marq_danced, seen->path_to - 1)->to.body;
        }
    }
    out->ends_differ = (relative & (relative - 1)) != 0;
    if (out->ends_differ) {
        return ask_which(f, arena, s, findings);
    }
    if (f->wants_other_side && r->whole == MARQ_READY_NO) {
        return ask_ready(f, arena, s, findings);
    }
    return MARQ_OK;
}
