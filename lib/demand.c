#include "demand.h"

/* ---- which variants ---- */

static bool term_carries(const marq_vocab_data *data, const marq_term *term,
                         marq_tags tags)
{
    for (size_t i = 0; i < term->variant_count; i++) {
        const marq_variant *v = &data->variants[term->first_variant + i];
        if (marq_tags_within(tags, v->tags)) {
            return true;
        }
    }
    return false;
}

static bool move_asked(const marq_variant *v, const marq_move *m, marq_ask ask)
{
    bool closes = marq_body_is_two(m->to) && m->closing != MARQ_SIDE_NONE &&
                  marq_body_front(m->to) != MARQ_SIDE_NONE;
    bool in_front = marq_body_front(m->to) == (marq_side)m->closing;
    switch (ask) {
    case MARQ_ASK_CLOSES_FRONT:
        return closes && in_front;
    case MARQ_ASK_CLOSES_BACK:
        return closes && !in_front;
    case MARQ_ASK_CHANGES:
        return m->change == 1;
    case MARQ_ASK_STAYS:
        return m->change == 0;
    case MARQ_ASK_FORWARD:
        return v->travel == MARQ_TRAVEL_FORWARD || v->travel == MARQ_TRAVEL_ANY;
    case MARQ_ASK_BACKWARD:
        return v->travel == MARQ_TRAVEL_BACK || v->travel == MARQ_TRAVEL_ANY;
    case MARQ_ASK_SIDEWAYS:
        return m->travel != MARQ_SIDE_NONE;
    case MARQ_ASK_LEG_FRONT:
    case MARQ_ASK_LEG_SIDE:
    case MARQ_ASK_LEG_BEHIND:
        return !marq_body_is_two(m->to) &&
               (int)marq_body_where(m->to) == (int)ask - MARQ_ASK_LEG_FRONT;
    case MARQ_ASK_TURNS:
        return m->turn != 0;
    case MARQ_ASK_PASSES:
        return true;
    default:
        return false;
    }
}

/* Can any move of the term meet this? */
static bool term_meets(const marq_vocab_data *data, const marq_term *term,
                       marq_ask ask)
{
    if (ask == MARQ_ASK_NOTHING) {
        return false;
    }
    for (size_t i = 0; i < term->variant_count; i++) {
        const marq_variant *v = &data->variants[term->first_variant + i];
        for (size_t k = 0; k < v->move_count; k++) {
            if (move_asked(v, &data->moves[v->first_move + k], ask)) {
                return true;
            }
        }
    }
    return false;
}

typedef struct qualifier_sort {
    marq_tags carried; /* variants must carry these */
    marq_tags written; /* all written, for marked variants */
} qualifier_sort;

/* Takes one written qualifier: as a tag, as something asked of the moves, in
 * another's place, or as a remark. */
static marq_status take_qualifier(marq_demand *d, qualifier_sort *sort,
                                  const marq_vocab *vocab,
                                  const marq_mark *mark,
                                  marq_findings *findings)
{
    const marq_vocab_data *data = vocab->data;
    const marq_term *term = &data->terms[d->term];
    unsigned q = mark->value;
    for (int tries = 0; tries < 3 && q < data->qualifier_count; tries++) {
        const marq_qualifier *word = &data->qualifiers[q];
        marq_tags both = sort->carried, alone = {{0, 0}};
        marq_tag_add(&both, q);
        marq_tag_add(&alone, q);
        if (term_carries(data, term, both)) {
            sort->carried = both;
            marq_tag_add(&sort->written, q);
            d->narrows = true;
            return MARQ_OK;
        }
        if (term_meets(data, term, (marq_ask)word->ask)) {
            if (word->ask != MARQ_ASK_PASSES && d->ask_count < MARQ_ASKS_MOST) {
                d->asks[d->ask_count++] = word->ask;
                d->narrows = true;
            }
            marq_tag_add(&sort->written, q);
            return MARQ_OK;
        }
        if (term_carries(data, term, alone)) {
            /* a form of the term, but of no form with what else stands here:
               kept, so that the step is found to be impossible as written */
            sort->carried = both;
            marq_tag_add(&sort->written, q);
            d->narrows = true;
            return MARQ_OK;
        }
        q = word->instead;
    }
    if (findings == NULL) {
        return MARQ_OK;
    }
    return marq_findings_add(
        findings, NULL, MARQ_DIAG_QUALIFIER_REMARK, mark->span,
        marq_string(vocab, data->qualifiers[mark->value].name),
        marq_string(vocab, term->name), NULL);
}

static void take_mark(marq_demand *d, const marq_mark *mark)
{
    switch (mark->kind) {
    case MARQ_MARK_FOOT:
        if (mark->value <= MARQ_FOOT_STANDING) {
            d->foot = (uint8_t)mark->value;
            d->narrows = true;
        }
        break;
    case MARQ_MARK_ON:
        d->on = (uint8_t)mark->value;
        d->narrows = true;
        break;
    case MARQ_MARK_SIDE:
        d->side = (uint8_t)mark->value;
        d->narrows = true;
        break;
    case MARQ_MARK_TOWARD:
        d->toward = (uint8_t)mark->value;
        d->narrows = true;
        break;
    case MARQ_MARK_FROM:
        d->from |= (uint8_t)(1u << mark->value);
        d->named_fourth |= mark->value == MARQ_FOURTH;
        d->narrows = true;
        break;
    case MARQ_MARK_TO:
        d->to |= (uint8_t)(1u << mark->value);
        d->narrows = true;
        break;
    case MARQ_MARK_IN:
        d->in |= (uint8_t)(1u << mark->value);
        d->named_fourth |= mark->value == MARQ_FOURTH;
        d->narrows = true;
        break;
    case MARQ_MARK_FRONT:
        d->front = (uint8_t)mark->value;
        d->narrows = true;
        break;
    case MARQ_MARK_CLOSING:
        d->closing = (uint8_t)(mark->value + 1);
        d->narrows = true;
        break;
    case MARQ_MARK_AMOUNT:
        d->amount = (uint8_t)mark->value;
        d->narrows = true;
        break;
    case MARQ_MARK_FACING:
        d->facings &= (uint8_t)(1u << mark->value);
        d->facing_span = mark->span;
        d->faces = true;
        break;
    case MARQ_MARK_ALIGNMENT:
        d->alignments |= (uint8_t)(1u << mark->value);
        d->facing_span = mark->span;
        d->faces = true;
        break;
    default: /* remarks, lengths, numbered corners: no affair of the feet */
        break;
    }
}

/* A position written beside the step ("to fourth") is as good as the word
 * that stands for it (à la quatrième). */
static void count_positions(const marq_demand *d, const marq_vocab_data *data,
                            qualifier_sort *sort)
{
    for (unsigned q = 0; q < data->qualifier_count; q++) {
        unsigned position = data->qualifiers[q].position;
        if (position < MARQ_POSITIONS && ((d->to | d->in) >> position) & 1u) {
            marq_tag_add(&sort->written, q);
        }
    }
}

static marq_status list_variants(marq_demand *d, marq_arena *arena,
                                 const marq_vocab_data *data,
                                 const qualifier_sort *sort)
{
    const marq_term *term = &data->terms[d->term];
    uint16_t *list = marq_arena_alloc(arena, term->variant_count, sizeof *list);
    if (list == NULL) {
        return MARQ_MEMORY;
    }
    for (size_t i = 0; i < term->variant_count; i++) {
        size_t index = term->first_variant + i;
        const marq_variant *v = &data->variants[index];
        bool fits = marq_tags_within(sort->carried, v->tags) &&
                    marq_tags_within(v->marked, sort->written) &&
                    (!(v->flags & MARQ_VARIANT_SERIES) || d->times > 1);
        if (fits) {
            list[d->variant_count++] = (uint16_t)index;
            d->any_working |= v->worker != MARQ_WORKS_BOTH;
        }
    }
    d->variants = list;
    return MARQ_OK;
}

marq_status marq_demand_make(marq_demand *out, marq_arena *arena,
                             const marq_vocab *vocab, const marq_tree *tree,
                             uint32_t item, marq_findings *findings)
{
    const marq_item *it = MARQ_AT(&tree->items, marq_item, item);
    const marq_term *term = &vocab->data->terms[it->term];
    *out = (marq_demand){0};
    out->term = it->term;
    out->item = item;
    out->times = it->times;
    out->side_means = term->side_means;
    out->facings = MARQ_ANY_FACING;
    out->hold = (term->flags & MARQ_TERM_HOLD) != 0;
    qualifier_sort sort = {{{0, 0}}, {{0, 0}}};
    for (uint32_t i = 0; i < it->mark_count; i++) {
        const marq_mark *mark =
            MARQ_AT(&tree->marks, marq_mark, it->first_mark + i);
        if (mark->kind == MARQ_MARK_TO_FREE) {
            out->to_free |= vocab->data->free_words[mark->value].mask;
            out->narrows = true;
            continue;
        }
        if (mark->kind != MARQ_MARK_QUALIFIER) {
            take_mark(out, mark);
            continue;
        }
        marq_status status = take_qualifier(out, &sort, vocab, mark, findings);
        if (status != MARQ_OK) {
            return status;
        }
    }
    count_positions(out, vocab->data, &sort);
    return list_variants(out, arena, vocab->data, &sort);
}

void marq_demand_face(marq_demand *demand, const marq_stand *stand)
{
    demand->facings &= stand->facings;
    demand->alignments |= stand->alignments;
    demand->facing_span = stand->facing_span;
    demand->faces = true;
}

/* ---- feet ---- */

/* The foot a word means at the start of a move; MARQ_SIDE_NONE if it means
 * none there. */
static marq_side named_foot(unsigned word, const marq_move *m)
{
    marq_side standing = marq_body_standing(m->from);
    marq_side front = marq_body_front(m->from);
    switch (word) {
    case MARQ_FOOT_RIGHT:
    case MARQ_FOOT_LEFT:
        return (marq_side)word;
    case MARQ_FOOT_FRONT:
        return front;
    case MARQ_FOOT_BACK:
        return marq_side_other(front);
    case MARQ_FOOT_FREE:
        return marq_side_other(standing);
    case MARQ_FOOT_STANDING:
        return standing;
    default:
        return MARQ_SIDE_NONE;
    }
}

static bool foot_fits(const marq_demand *d, const marq_move *m)
{
    marq_side foot = named_foot(d->foot, m);
    if (foot == MARQ_SIDE_NONE) {
        return false;
    }
    if (m->working != MARQ_SIDE_NONE) {
        return m->working == (uint8_t)foot;
    }
    /* a named foot removes the two-footed sense of a term that has both;
       where there is only the two-footed one it is the foot in front */
    return !d->any_working && marq_body_front(m->to) == foot;
}

static bool travels_to(const marq_variant *v, const marq_move *m, unsigned side)
{
    if (m->travel == MARQ_SIDE_NONE || v->travel == MARQ_TRAVEL_ANY) {
        /* of a step forward or back the side names the leading foot */
        return m->working == side ||
               (m->working == MARQ_SIDE_NONE &&
                (marq_body_front(m->to) == (marq_side)side ||
                 v->travel == MARQ_TRAVEL_ANY));
    }
    return m->travel == 3 || m->travel == side;
}

static bool side_fits(const marq_demand *d, const marq_variant *v,
                      const marq_move *m)
{
    switch (d->side_means) {
    case MARQ_SIDE_IS_TRAVEL:
        return travels_to(v, m, d->side);
    case MARQ_SIDE_IS_TURN:
        if (m->turn == 0) {
            return m->working == d->side;
        }
        return (m->turn > 0) == (d->side == MARQ_SIDE_RIGHT);
    case MARQ_SIDE_IS_FOOT:
        if (m->working != MARQ_SIDE_NONE) {
            return m->working == d->side;
        }
        return marq_body_front(m->to) == (marq_side)d->side;
    case MARQ_SIDE_IS_FRONT:
        return marq_body_front(m->to) == (marq_side)d->side;
    default: /* asked: both readings stay open */
        return true;
    }
}

/* The position mask of a body, tips counted as fifth too. */
static unsigned positions_of(marq_body b)
{
    if (!marq_body_is_two(b)) {
        return 0;
    }
    unsigned mask = 1u << marq_body_position(b);
    if (marq_body_position(b) == MARQ_TIPS) {
        mask |= 1u << MARQ_FIFTH;
    }
    return mask;
}

/* Positions the variant's own qualifiers stand for (a la seconde: second). */
static unsigned tagged_positions(const marq_vocab_data *data,
                                 const marq_variant *v)
{
    unsigned mask = 0;
    for (unsigned q = 0; q < data->qualifier_count; q++) {
        if (marq_tag_has(v->tags, q) &&
            data->qualifiers[q].position < MARQ_POSITIONS) {
            mask |= 1u << data->qualifiers[q].position;
        }
    }
    return mask;
}

static bool positions_fit(const marq_demand *d, const marq_vocab_data *data,
                          const marq_variant *v, const marq_move *m)
{
    if (d->from && !(positions_of(m->from) & d->from)) {
        return false;
    }
    if (!(d->to | d->in)) {
        return true;
    }
    unsigned tagged = tagged_positions(data, v);
    unsigned to = positions_of(m->to);
    if (d->to && !((to | tagged) & d->to)) {
        return false;
    }
    return !d->in || ((to | tagged | positions_of(m->from)) & d->in);
}

static bool amount_fits(const marq_demand *d, const marq_variant *v)
{
    if (v->turn_sense == MARQ_TURN_NONE) {
        return false;
    }
    return v->turn_eighths == d->amount ||
           (v->flags & MARQ_VARIANT_ANY_AMOUNT) ||
           (v->turn_eighths % 8 == 0 && d->amount % 8 == 0);
}

static bool closing_fits(const marq_demand *d, const marq_move *m)
{
    marq_side front = marq_body_front(m->to);
    if (!marq_body_is_two(m->to) || m->closing == MARQ_SIDE_NONE ||
        front == MARQ_SIDE_NONE) {
        return false;
    }
    bool in_front = front == (marq_side)m->closing;
    return in_front == (d->closing == MARQ_DEVANT + 1);
}

bool marq_demand_allows(const marq_demand *d, const marq_vocab_data *data,
                        size_t variant, const marq_move *m)
{
    const marq_variant *v = &data->variants[variant];
    if ((v->flags & MARQ_VARIANT_NEXT_NAMED) &&
        !((positions_of(m->to) & (d->next_in | d->to)))) {
        return false;
    }
    if (!d->narrows) {
        return true;
    }
    if (d->foot && !foot_fits(d, m)) {
        return false;
    }
    if (d->on) {
        marq_side foot = named_foot(d->on, m);
        if (foot == MARQ_SIDE_NONE || m->lands != (uint8_t)foot) {
            return false;
        }
    }
    if (d->side && !side_fits(d, v, m)) {
        return false;
    }
    if (d->toward && !travels_to(v, m, d->toward)) {
        return false;
    }
    if ((d->from | d->to | d->in) && !positions_fit(d, data, v, m)) {
        return false;
    }
    if (d->to_free) {
        if (marq_body_is_two(m->to) ||
            !(d->to_free & MARQ_FREE((unsigned)marq_body_shape(m->to),
                                     (unsigned)marq_body_where(m->to)))) {
            return false;
        }
    }
    if (d->front && marq_body_front(m->to) != (marq_side)d->front) {
        return false;
    }
    if (d->closing && !closing_fits(d, m)) {
        return false;
    }
    if (d->amount && !amount_fits(d, v)) {
        return false;
    }
    for (size_t i = 0; i < d->ask_count; i++) {
        if (!move_asked(v, m, (marq_ask)d->asks[i])) {
            return false;
        }
    }
    return true;
}

/* ---- turn and facing ---- */

int marq_demand_turn(const marq_demand *d, const marq_variant *v,
                     const marq_move *m)
{
    if (d->amount == 0 || m->turn == 0 || v->turn_eighths == 0) {
        return m->turn;
    }
    return m->turn > 0 ? d->amount : -(int)d->amount;
}

/* Where the working leg of a variant goes, by its own qualifiers, or
 * MARQ_WHERES. */
static marq_where gesture_place(const marq_vocab_data *data,
                                const marq_variant *v)
{
    for (unsigned q = 0; q < data->qualifier_count; q++) {
        unsigned ask = data->qualifiers[q].ask;
        if (marq_tag_has(v->tags, q) && ask >= MARQ_ASK_LEG_FRONT &&
            ask <= MARQ_ASK_LEG_BEHIND) {
            return (marq_where)(ask - MARQ_ASK_LEG_FRONT);
        }
    }
    return MARQ_WHERES;
}

#define DIAGONALS 0xaa /* bits 1, 3, 5, 7 */

uint8_t marq_demand_facings(const marq_demand *d, const marq_vocab_data *data,
                            size_t variant, const marq_move *m)
{
    if (!d->faces) {
        return MARQ_ANY_FACING;
    }
    unsigned mask = d->facings;
    if (marq_facings_upstage(d->facings)) {
        return d->facings;
    }
    const marq_variant *v = &data->variants[variant];
    for (unsigned a = 0; a < MARQ_ALIGNMENTS; a++) {
        if (!((d->alignments >> a) & 1u)) {
            continue;
        }
        marq_alignment word = (marq_alignment)a;
        unsigned fits = marq_alignment_facings(word, m->to);
        marq_where where = gesture_place(data, v);
        if (marq_body_is_two(m->to) && m->working != MARQ_SIDE_NONE &&
            where != MARQ_WHERES) {
            fits = marq_alignment_leg(word, (marq_side)m->working, where);
        } else if (word == MARQ_ECARTE && marq_body_is_two(m->to)) {
            fits = DIAGONALS;
        } else if (fits == 0 && marq_body_front(m->to) == MARQ_SIDE_NONE &&
                   marq_body_is_two(m->to)) {
            fits = DIAGONALS; /* feet without front or back */
        }
        mask &= fits;
    }
    return (uint8_t)mask;
}

/* ---- sides in a whole text ---- */

static bool stand_names_side(const marq_stand *stand)
{
    if (!stand->written) {
        return false;
    }
    if (stand->has_bodies) {
        for (unsigned b = 0; b < MARQ_BODIES; b++) {
            if (stand->bodies[b] !=
                stand->bodies[marq_body_mirror((marq_body)b)]) {
                return true;
            }
        }
    }
    for (unsigned f = 1; f < 4; f++) {
        if (((stand->facings >> f) & 1u) !=
            ((stand->facings >> (8 - f)) & 1u)) {
            return true;
        }
    }
    return false;
}

static bool mark_names_side(const marq_mark *mark)
{
    switch (mark->kind) {
    case MARQ_MARK_FOOT:
    case MARQ_MARK_ON:
        return mark->value <= MARQ_FOOT_LEFT;
    case MARQ_MARK_SIDE:
    case MARQ_MARK_TOWARD:
    case MARQ_MARK_FRONT:
        return true;
    case MARQ_MARK_FACING:
        return mark->value % 4 != 0;
    default:
        return false;
    }
}

marq_side marq_demand_first_side(const marq_tree *tree)
{
    for (size_t i = 0; i < tree->items.count; i++) {
        const marq_item *item = MARQ_AT(&tree->items, marq_item, i);
        for (uint32_t k = 0; k < item->mark_count; k++) {
            const marq_mark *m =
                MARQ_AT(&tree->marks, marq_mark, item->first_mark + k);
            if (mark_names_side(m) && m->kind != MARQ_MARK_FACING) {
                return (marq_side)m->value;
            }
        }
    }
    return MARQ_SIDE_NONE;
}

bool marq_demand_names_side(const marq_tree *tree)
{
    if (stand_names_side(&tree->start) || stand_names_side(&tree->finish)) {
        return true;
    }
    for (size_t i = 0; i < tree->stands.count; i++) {
        if (stand_names_side(MARQ_AT(&tree->stands, marq_stand, i))) {
            return true;
        }
    }
    for (size_t i = 0; i < tree->marks.count; i++) {
        if (mark_names_side(MARQ_AT(&tree->marks, marq_mark, i))) {
            return true;
        }
    }
    return false;
}

static bool stand_names_facing(const marq_stand *stand)
{
    return stand->written &&
           (stand->facings != MARQ_ANY_FACING || stand->alignments != 0);
}

bool marq_demand_names_facing(const marq_tree *tree)
{
    if (stand_names_facing(&tree->start) || stand_names_facing(&tree->finish)) {
        return true;
    }
    for (size_t i = 0; i < tree->stands.count; i++) {
        if (stand_names_facing(MARQ_AT(&tree->stands, marq_stand, i))) {
            return true;
        }
    }
    for (size_t i = 0; i < tree->marks.count; i++) {
        unsigned kind = MARQ_AT(&tree->marks, marq_mark, i)->kind;
        if (kind == MARQ_MARK_FACING || kind == MARQ_MARK_ALIGNMENT) {
            return true;
        }
    }
    return false;
}
