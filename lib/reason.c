#include "reason.h"

const char *marq_reason_step(const marq_following *f, marq_arena *arena,
                             const marq_seen *seen)
{
    marq_span span = seen->span;
    marq_build b;
    marq_build_init(&b, arena);
    if (seen->item != MARQ_NO_ITEM && seen->role == MARQ_SEEN_STEP) {
        /* the step word with the marks that follow it closely */
        const marq_item *item = MARQ_AT(&f->tree->items, marq_item, seen->item);
        for (uint32_t i = 0; i < item->mark_count; i++) {
            const marq_mark *m =
                MARQ_AT(&f->tree->marks, marq_mark, item->first_mark + i);
            bool near = m->kind == MARQ_MARK_QUALIFIER &&
                        m->span.from >= span.from &&
                        m->span.from <= span.to + 2;
            if (near && m->span.to > span.to) {
                span.to = m->span.to;
            }
        }
    }
    marq_build_bytes(&b, f->tree->source->bytes + span.from,
                     span.to - span.from);
    return marq_build_done(&b, NULL);
}

/* ---- sets of bodies in words ---- */

static bool has_body(uint64_t set, unsigned b)
{
    return (set >> b) & 1u;
}

static unsigned lowest_body(uint64_t set)
{
    for (unsigned b = 0; b < MARQ_BODIES; b++) {
        if (has_body(set, b)) {
            return b;
        }
    }
    return MARQ_NO_BODY;
}

/* What all bodies of a set share. */
typedef struct shared {
    bool two, one;             /* some stand on two feet, some on one */
    unsigned positions;        /* mask, of those on two */
    unsigned fronts, standing; /* masks of marq_side */
    unsigned wheres;           /* mask of marq_where, of those on one */
} shared;

static shared share_of(uint64_t set)
{
    shared s = {0};
    for (unsigned i = 0; i < MARQ_BODIES; i++) {
        marq_body b = (marq_body)i;
        if (!has_body(set, i)) {
            continue;
        }
        s.fronts |= 1u << marq_body_front(b);
        if (marq_body_is_two(b)) {
            s.two = true;
            s.positions |= 1u << marq_body_position(b);
        } else {
            s.one = true;
            s.standing |= 1u << marq_body_standing(b);
            s.wheres |= 1u << marq_body_where(b);
        }
    }
    return s;
}

static marq_side only_side(unsigned mask)
{
    if (mask == 1u << MARQ_SIDE_RIGHT) {
        return MARQ_SIDE_RIGHT;
    }
    return mask == 1u << MARQ_SIDE_LEFT ? MARQ_SIDE_LEFT : MARQ_SIDE_NONE;
}

static void add_where(marq_build *b, unsigned wheres)
{
    static const char *const words[MARQ_WHERES] = {"in front", "to the side",
                                                   "behind"};
    if (wheres == (1u << MARQ_WHERES) - 1) {
        return; /* anywhere */
    }
    const char *join = " ";
    for (unsigned w = 0; w < MARQ_WHERES; w++) {
        if ((wheres >> w) & 1u) {
            marq_build_text(b, join);
            marq_build_text(b, words[w]);
            join = " or ";
        }
    }
}

static void add_positions(marq_build *b, unsigned positions)
{
    bool any = false;
    for (unsigned p = 0; p < MARQ_TIPS; p++) {
        if (!((positions >> p) & 1u) ||
            (p == MARQ_THIRD && (positions >> MARQ_FIFTH) & 1u)) {
            continue; /* third stands wherever fifth does */
        }
        marq_build_text(b, any ? " or " : "");
        marq_build_text(b, marq_position_name((marq_position)p));
        any = true;
    }
}

/* "the weight on the right, the left leg behind". */
static const char *stands_text(marq_arena *arena, uint64_t set)
{
    shared s = share_of(set);
    marq_build b;
    marq_build_init(&b, arena);
    if (set && !(set & (set - 1))) {
        marq_body_words(&b, (marq_body)lowest_body(set));
    } else if (s.two && !s.one) {
        marq_build_text(&b, "both feet, ");
        add_positions(&b, s.positions);
        if (only_side(s.fronts)) {
            marq_build_text(&b, ", ");
            marq_build_text(&b, marq_side_words(only_side(s.fronts)));
            marq_build_text(&b, " front");
        }
    } else if (s.one && !s.two && only_side(s.standing)) {
        marq_side standing = only_side(s.standing);
        marq_build_text(&b, "on the ");
        marq_build_text(&b, marq_side_words(standing));
        marq_build_text(&b, ", the ");
        marq_build_text(&b, marq_side_words(marq_side_other(standing)));
        marq_build_text(&b, " leg free");
        add_where(&b, s.wheres);
    } else if (s.one && !s.two) {
        marq_build_text(&b, "on one foot");
    } else {
        marq_build_text(&b, "on both feet or on one, as it is read");
    }
    return marq_build_done(&b, NULL);
}

/* "both feet in fifth", "the free leg behind". */
static const char *needs_text(marq_arena *arena, uint64_t set)
{
    shared s = share_of(set);
    marq_build b;
    marq_build_init(&b, arena);
    if (s.two) {
        marq_build_text(&b, "both feet");
        unsigned all = (1u << MARQ_TIPS) - 1;
        if ((s.positions & all) != all) {
            marq_build_text(&b, ", in ");
            add_positions(&b, s.positions);
        }
        if (!s.one && only_side(s.fronts)) {
            marq_build_text(&b, ", the ");
            marq_build_text(&b, marq_side_words(only_side(s.fronts)));
            marq_build_text(&b, " foot in front");
        }
        marq_build_text(&b, s.one ? ", or " : "");
    }
    if (s.one) {
        marq_side standing = only_side(s.standing);
        if (standing == MARQ_SIDE_NONE) {
            marq_build_text(&b, "a free leg");
        } else {
            marq_build_text(&b, "the ");
            marq_build_text(&b, marq_side_words(marq_side_other(standing)));
            marq_build_text(&b, " leg free");
        }
        add_where(&b, s.wheres);
    }
    return marq_build_done(&b, NULL);
}

/* Bodies from which some candidate move begins as it is written. */
static uint64_t needed_bodies(const marq_vocab_data *data, const marq_demand *d)
{
    uint64_t set = 0;
    for (size_t i = 0; i < d->variant_count; i++) {
        const marq_variant *v = &data->variants[d->variants[i]];
        for (size_t k = 0; k < v->move_count; k++) {
            const marq_move *m = &data->moves[v->first_move + k];
            if (marq_demand_allows(d, data, d->variants[i], m)) {
                set |= (uint64_t)1 << m->from;
            }
        }
    }
    return set;
}

/* ---- the findings ---- */

typedef struct context {
    marq_following *f;
    marq_arena *arena;
    const marq_stretch *s;
    const marq_seen *seen; /* the stage that breaks */
    marq_findings *findings;
    marq_finding *finding;
    uint64_t stands; /* bodies of the cheapest readings before it */
} context;

static marq_status add_before(context *c)
{
    if (c->s->reached == c->s->first || c->finding == NULL) {
        return MARQ_OK;
    }
    const marq_seen *before =
        MARQ_AT(&c->f->seen, marq_seen, c->s->reached - 1);
    const char *where = stands_text(c->arena, c->stands);
    marq_build b;
    marq_build_init(&b, c->arena);
    marq_build_text(&b, before->role == MARQ_SEEN_STAND ? "written: "
                                                        : "ends here: ");
    marq_build_text(&b, where != NULL ? where : "");
    const char *label = marq_build_done(&b, NULL);
    if (where == NULL || label == NULL) {
        return MARQ_MEMORY;
    }
    return marq_finding_relate(c->findings, c->finding, before->span, label);
}

static marq_status add_finding(context *c, marq_diag kind, const char *a,
                               const char *b)
{
    if (a == NULL || b == NULL) {
        return MARQ_MEMORY;
    }
    return marq_findings_add(c->findings, &c->finding, kind, c->seen->span, a,
                             b, NULL);
}

static marq_status add_text(context *c, const char *head, const char *text,
                            bool label)
{
    marq_build b;
    if (text == NULL) {
        return MARQ_MEMORY;
    }
    if (c->finding == NULL) {
        return MARQ_OK;
    }
    marq_build_init(&b, c->arena);
    marq_build_text(&b, head);
    marq_build_text(&b, text);
    const char *whole = marq_build_done(&b, NULL);
    if (whole == NULL) {
        return MARQ_MEMORY;
    }
    return label ? marq_finding_label(c->findings, c->finding, whole)
                 : marq_finding_note(c->findings, c->finding, whole);
}

static marq_status explain_feet(context *c)
{
    const char *step = marq_reason_step(c->f, c->arena, c->seen);
    uint64_t needs = needed_bodies(c->f->vocab->data, &c->seen->stage.demand);
    shared has = share_of(c->stands), wants = share_of(needs);
    const char *where = stands_text(c->arena, c->stands);
    const char *need = needs_text(c->arena, needs);
    if (step == NULL || where == NULL || need == NULL) {
        return MARQ_MEMORY;
    }
    marq_build b;
    marq_build_init(&b, c->arena);
    if (c->s->broken == MARQ_BREAK_START) {
        marq_status status = add_finding(c, MARQ_DIAG_START_CLASH, step, where);
        return status == MARQ_OK ? add_text(c, "needs ", need, true) : status;
    }
    if (has.one && !has.two && wants.two && !wants.one) {
        marq_build_text(&b, "it needs both feet, the weight is on ");
        marq_side standing = only_side(has.standing);
        marq_build_text(&b, standing == MARQ_SIDE_NONE ? "one foot" : "the ");
        marq_build_text(&b, marq_side_words(standing));
    } else if (has.two && !has.one && wants.one && !wants.two) {
        marq_build_text(&b, "it needs a free leg, the weight is on both feet");
    } else {
        marq_build_text(&b, "it needs ");
        marq_build_text(&b, need);
    }
    marq_status status = add_finding(c, MARQ_DIAG_CANNOT_FOLLOW, step,
                                     marq_build_done(&b, NULL));
    if (status == MARQ_OK) {
        status = add_text(c, "needs ", need, true);
    }
    if (status == MARQ_OK) {
        status = add_before(c);
    }
    return status == MARQ_OK ? add_text(c, "stands: ", where, false) : status;
}

static marq_status explain_stand(context *c)
{
    const char *where = stands_text(c->arena, c->stands);
    uint64_t written = 0;
    for (unsigned b = 0; b < MARQ_BODIES; b++) {
        if (c->seen->stage.bodies[b] &&
            !(marq_body_is_two((marq_body)b) &&
              marq_body_position((marq_body)b) == MARQ_TIPS)) {
            written |= (uint64_t)1 << b;
        }
    }
    marq_status status =
        add_finding(c,
                    c->seen->role == MARQ_SEEN_FINISH ? MARQ_DIAG_FINISH_CLASH
                                                      : MARQ_DIAG_STAND_CLASH,
                    stands_text(c->arena, written), where);
    return status == MARQ_OK ? add_before(c) : status;
}

/* The text of the facing words a stage is held to. */
static const char *facing_text(context *c, marq_span *span)
{
    const marq_stage *stage = &c->seen->stage;
    *span = stage->kind == MARQ_STAGE_STEP ? stage->demand.facing_span
                                           : c->seen->span;
    if (c->seen->role == MARQ_SEEN_FINISH &&
        c->f->tree->finish.facing_span.to != 0) {
        *span = c->f->tree->finish.facing_span;
    }
    marq_build b;
    marq_build_init(&b, c->arena);
    marq_build_bytes(&b, c->f->tree->source->bytes + span->from,
                     span->to - span->from);
    return marq_build_done(&b, NULL);
}

/* Can any allowed move of the stage, from where she stands, be faced as it
 * is written at all? */
static bool facing_joins(context *c)
{
    const marq_stage *stage = &c->seen->stage;
    if (stage->kind != MARQ_STAGE_STEP) {
        for (unsigned b = 0; b < MARQ_BODIES; b++) {
            for (unsigned a = 0; a < MARQ_ALIGNMENTS; a++) {
                if (has_body(c->stands, b) &&
                    (stage->alignments == 0 ||
                     ((stage->alignments >> a) & 1u &&
                      stage->facings & marq_alignment_facings((marq_alignment)a,
                                                              (marq_body)b)))) {
                    return true;
                }
            }
        }
        return false;
    }
    for (size_t i = 0; i < c->seen->used.count; i++) {
        if (MARQ_AT(&c->seen->used, marq_used, i)->facings) {
            return true;
        }
    }
    return false;
}

static marq_status explain_facing(context *c)
{
    marq_span span;
    const char *words = facing_text(c, &span);
    const marq_seen *seen = c->seen;
    bool hold = seen->stage.kind == MARQ_STAGE_STEP && seen->stage.demand.hold;
    bool joins = facing_joins(c);
    marq_build b;
    marq_build_init(&b, c->arena);
    const char *where = stands_text(c->arena, c->stands);
    if (where == NULL || words == NULL) {
        return MARQ_MEMORY;
    }
    marq_build_text(&b, "the feet are ");
    marq_build_text(&b, where);
    marq_status status = add_finding(c,
                                     !joins ? MARQ_DIAG_FACING_CLASH
                                     : hold ? MARQ_DIAG_FACING_HOLD
                                            : MARQ_DIAG_FACING_TURN,
                                     words, marq_build_done(&b, NULL));
    if (status != MARQ_OK || c->finding == NULL) {
        return status;
    }
    c->finding->span = span;
    return add_before(c);
}

marq_status marq_reason_break(marq_following *f, marq_arena *arena,
                              const marq_stretch *s, marq_findings *findings,
                              marq_finding **out)
{
    *out = NULL;
    if (s->broken == MARQ_BREAK_NONE) {
        return MARQ_OK;
    }
    context c = {.f = f, .arena = arena, .s = s, .findings = findings};
    c.seen = MARQ_AT(&f->seen, marq_seen, s->reached);
    c.stands = marq_marks_bodies(marq_follow_marks_before(f, s, s->reached));
    marq_status status = MARQ_OK;
    if (s->broken == MARQ_BREAK_FACING) {
        status = explain_facing(&c);
    } else if (c.seen->role != MARQ_SEEN_STEP) {
        status = explain_stand(&c);
    } else if (s->broken == MARQ_BREAK_NEVER) {
        status = add_finding(&c, MARQ_DIAG_NEVER_POSSIBLE,
                             marq_reason_step(f, arena, c.seen), "");
        if (status == MARQ_OK && c.finding != NULL) {
            const marq_item *item =
                MARQ_AT(&f->tree->items, marq_item, c.seen->item);
            c.finding->span = item->span;
        }
    } else {
        status = explain_feet(&c);
    }
    *out = c.finding;
    return status;
}

marq_status marq_reason_start(marq_following *f, marq_arena *arena,
                              marq_findings *findings, marq_finding **out)
{
    const marq_stand *start = &f->tree->start;
    *out = NULL;
    marq_build b;
    marq_build_init(&b, arena);
    marq_span span = start->facing_span;
    marq_build_bytes(&b, f->tree->source->bytes + span.from,
                     span.to - span.from);
    const char *words = marq_build_done(&b, NULL);
    uint64_t written = 0;
    for (unsigned i = 0; i < MARQ_BODIES; i++) {
        if (start->bodies[i]) {
            written |= (uint64_t)1 << i;
        }
    }
    const char *where = stands_text(arena, written);
    if (words == NULL || where == NULL) {
        return MARQ_MEMORY;
    }
    return marq_findings_add(findings, out, MARQ_DIAG_FACING_CLASH, span, words,
                             where, NULL);
}
