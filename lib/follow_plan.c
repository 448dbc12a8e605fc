#include "follow_parts.h"

/* ---- plan: from items to stages ---- */

typedef struct planner {
    marq_following *f;
    marq_arena *arena;
    marq_findings *findings;
    marq_array *cuts;          /* of marq_cut */
    const marq_stand *pending; /* a facing waiting for its step */
    bool step_before;          /* the stage before is a step */
    bool wrote_fourth;         /* the item before ended in fourth */
    size_t moves;              /* repeats unrolled */
    size_t last;               /* item danced last on this side */
} planner;

static marq_seen *add_seen(planner *p, marq_seen_role role, uint32_t item,
                           marq_span span)
{
    marq_seen *seen = marq_array_add(&p->f->seen);
    if (seen != NULL) {
        seen->role = (uint8_t)role;
        seen->item = item;
        seen->span = span;
        seen->stage.facings = MARQ_ANY_FACING;
        marq_array_init(&seen->used, p->arena, sizeof(marq_used));
    }
    return seen;
}

static marq_status add_cut(planner *p, marq_cut_kind kind)
{
    marq_cut *c = marq_array_add(p->cuts);
    if (c == NULL) {
        return MARQ_MEMORY;
    }
    p->step_before = false;
    c->before = p->f->seen.count;
    c->kind = (uint8_t)kind;
    return MARQ_OK;
}

static bool writes_position(const marq_tree *tree, const marq_item *item,
                            marq_position position)
{
    for (uint32_t i = 0; i < item->mark_count; i++) {
        const marq_mark *m =
            MARQ_AT(&tree->marks, marq_mark, item->first_mark + i);
        bool ends = m->kind == MARQ_MARK_TO || m->kind == MARQ_MARK_IN;
        if (ends && m->value == position) {
            return true;
        }
    }
    return false;
}

static marq_status plan_step(planner *p, uint32_t index, const marq_item *item)
{
    marq_seen *seen = add_seen(p, MARQ_SEEN_STEP, index, item->word);
    if (seen == NULL) {
        return MARQ_MEMORY;
    }
    seen->stage.kind = MARQ_STAGE_STEP;
    marq_demand *d = &seen->stage.demand;
    marq_status status = marq_demand_make(d, p->arena, p->f->vocab, p->f->tree,
                                          index, p->findings);
    if (status != MARQ_OK) {
        return status;
    }
    p->moves += d->times;
    if (p->moves > p->f->vocab->limits.moves) {
        return MARQ_LIMIT;
    }
    if (p->pending != NULL) {
        marq_demand_face(d, p->pending);
        seen->facing = p->pending;
        p->pending = NULL;
    }
    if (p->step_before) {
        /* a position named with a jump is where the jump before it lands */
        size_t before = p->f->seen.count - 2;
        MARQ_AT(&p->f->seen, marq_seen, before)->stage.demand.next_in =
            (uint8_t)(d->from | d->in);
    }
    p->step_before = true;
    d->named_fourth |= p->wrote_fourth;
    p->wrote_fourth = writes_position(p->f->tree, item, MARQ_FOURTH);
    return MARQ_OK;
}

static bool stand_in_fourth(const marq_stand *stand)
{
    return stand->has_bodies &&
           (stand->bodies[marq_body_two(MARQ_FOURTH, MARQ_SIDE_RIGHT)] ||
            stand->bodies[marq_body_two(MARQ_FOURTH, MARQ_SIDE_LEFT)]);
}

static void fill_stand(marq_stage *stage, const marq_stand *stand)
{
    stage->kind = MARQ_STAGE_STAND;
    stage->has_bodies = stand->has_bodies;
    for (unsigned b = 0; b < MARQ_BODIES && stand->has_bodies; b++) {
        stage->bodies[b] = stand->bodies[b];
        if (marq_body_is_two((marq_body)b) &&
            marq_body_position((marq_body)b) == MARQ_TIPS &&
            stand->bodies[marq_body_two(MARQ_FIFTH,
                                        marq_body_front((marq_body)b))]) {
            stage->bodies[b] = 1; /* flat or on the tips, fifth is fifth */
        }
    }
    stage->facings = stand->facings;
    stage->alignments =
        marq_facings_upstage(stand->facings) ? 0 : stand->alignments;
    stage->faces = stand->facings != MARQ_ANY_FACING || stand->alignments != 0;
}

static marq_status plan_stand(planner *p, uint32_t index, marq_span span,
                              const marq_stand *stand, marq_seen_role role)
{
    marq_seen *seen = add_seen(p, role, index, span);
    if (seen == NULL) {
        return MARQ_MEMORY;
    }
    fill_stand(&seen->stage, stand);
    p->step_before = false;
    seen->stage.quiet_only = role == MARQ_SEEN_STAND;
    p->wrote_fourth = stand_in_fourth(stand);
    return MARQ_OK;
}

/* The last item danced on the side of the text that line `line` begins;
 * 0 if none is (the first item has nothing before it to repeat). */
static size_t last_danced(const marq_tree *tree, size_t line)
{
    uint8_t side = MARQ_AT(&tree->lines, marq_line, line)->side;
    size_t last = 0;
    for (size_t l = line; l < tree->lines.count; l++) {
        const marq_line *ln = MARQ_AT(&tree->lines, marq_line, l);
        if (ln->side != side) {
            break;
        }
        for (size_t i = 0; i < ln->item_count; i++) {
            const marq_item *item =
                MARQ_AT(&tree->items, marq_item, ln->first_item + i);
            if (item->kind == MARQ_ITEM_STEP ||
                item->kind == MARQ_ITEM_UNKNOWN) {
                last = ln->first_item + i;
            }
        }
    }
    return last;
}

static bool is_declaration(unsigned operator_)
{
    return operator_ == MARQ_OP_ONE_SIDE || operator_ == MARQ_OP_UNSQUARE;
}

static marq_status plan_operator(planner *p, uint32_t index,
                                 const marq_item *item)
{
    unsigned op = item->operator_;
    if (is_declaration(op)) {
        return MARQ_OK;
    }
    bool whole = op == MARQ_OP_REPEAT || op == MARQ_OP_OTHER_SIDE ||
                 op == MARQ_OP_REVERSE;
    p->f->wants_other_side |= op == MARQ_OP_REPEAT || op == MARQ_OP_OTHER_SIDE;
    if (whole && index >= p->last) {
        return MARQ_OK; /* what it repeats has been followed */
    }
    return add_cut(p, MARQ_CUT_UNKNOWN);
}

static marq_status plan_item(planner *p, uint32_t index)
{
    const marq_tree *tree = p->f->tree;
    const marq_item *item = MARQ_AT(&tree->items, marq_item, index);
    switch (item->kind) {
    case MARQ_ITEM_STEP:
        return plan_step(p, index, item);
    case MARQ_ITEM_STAND:
        return plan_stand(p, index, item->span,
                          MARQ_AT(&tree->stands, marq_stand, item->stand),
                          MARQ_SEEN_STAND);
    case MARQ_ITEM_FACE:
        p->pending = MARQ_AT(&tree->stands, marq_stand, item->stand);
        return MARQ_OK;
    case MARQ_ITEM_UNKNOWN:
    case MARQ_ITEM_HOLE:
        return add_cut(p, MARQ_CUT_UNKNOWN);
    case MARQ_ITEM_OPERATOR:
        return plan_operator(p, index, item);
    default:
        return MARQ_OK;
    }
}

static marq_status plan_text(planner *p)
{
    const marq_tree *tree = p->f->tree;
    uint8_t side = 0;
    bool first = true;
    for (size_t l = 0; l < tree->lines.count; l++) {
        const marq_line *line = MARQ_AT(&tree->lines, marq_line, l);
        if (!first && line->side != side) {
            marq_status status = add_cut(p, MARQ_CUT_SIDE);
            if (status != MARQ_OK) {
                return status;
            }
        }
        if (l == 0 || line->side != side) {
            p->last = last_danced(tree, l);
        }
        first = first && line->item_count == 0;
        side = line->side;
        for (uint32_t i = 0; i < line->item_count; i++) {
            marq_status status = plan_item(p, line->first_item + i);
            if (status != MARQ_OK) {
                return status;
            }
        }
    }
    if (p->pending != NULL) {
        marq_status status = plan_stand(p, MARQ_NO_ITEM, p->pending->span,
                                        p->pending, MARQ_SEEN_FACE);
        if (status != MARQ_OK) {
            return status;
        }
        marq_seen *last = MARQ_AT(&p->f->seen, marq_seen, p->f->seen.count - 1);
        last->stage.has_bodies = false;
        last->facing = p->pending;
    }
    if (tree->finish.written) {
        return plan_stand(p, MARQ_NO_ITEM, tree->finish.span, &tree->finish,
                          MARQ_SEEN_FINISH);
    }
    return MARQ_OK;
}

marq_status marq_follow_plan(marq_following *f, marq_arena *arena,
                             marq_findings *findings, marq_array *cuts)
{
    planner p = {.f = f, .arena = arena, .findings = findings, .cuts = cuts};
    p.wrote_fourth = stand_in_fourth(&f->tree->start);
    return plan_text(&p);
}
