/* parse_bare.c - a group with no step of its own: a step nobody knows, a
 * facing, a placing step, more of the step before it, the step before it once
 * more in another form, or talk. */
#include "parse_group.h"

#define BIT(kind) (1u << (kind))
#define FACING_BITS                                                            \
    (BIT(MARQ_MARK_FACING) | BIT(MARQ_MARK_NUMBERED) | BIT(MARQ_MARK_ALIGNMENT))
#define SIDE_BITS                                                              \
    (BIT(MARQ_MARK_SIDE) | BIT(MARQ_MARK_FOOT) | BIT(MARQ_MARK_ON) |           \
     BIT(MARQ_MARK_TOWARD))
#define PLACE_BITS (BIT(MARQ_MARK_TO) | BIT(MARQ_MARK_IN))
#define FROM_BITS  (BIT(MARQ_MARK_FROM) | BIT(MARQ_MARK_FRONT) | FACING_BITS)

static marq_mark *pending(const marq_group *g, size_t i)
{
    return MARQ_AT(&g->p->pending, marq_mark, i);
}

/* Kinds of the marks that wait, remarks left out. */
static unsigned pending_bits(const marq_group *g)
{
    unsigned bits = 0;
    for (size_t i = 0; i < g->p->pending.count; i++) {
        bits |= BIT(pending(g, i)->kind);
    }
    return bits & ~BIT(MARQ_MARK_REMARK);
}

static uint32_t group_from(const marq_group *g)
{
    return marq_parse_lexeme(g->p, g->a)->from;
}

static uint32_t group_to(const marq_group *g)
{
    return marq_parse_lexeme(g->p, g->b - 1)->to;
}

/* The last item of this stretch, which may still take marks; or a new
 * remark. */
static void add_remarks(marq_group *g)
{
    marq_parser *p = g->p;
    marq_mark first;
    if (p->pending.count == 0) {
        return;
    }
    if (p->tree->items.count > p->line.first_item) {
        g->item = (uint32_t)(p->tree->items.count - 1);
        marq_group_flush(g);
        return;
    }
    first = *pending(g, 0);
    p->pending.count--;
    memmove(pending(g, 0), pending(g, 1), p->pending.count * sizeof(marq_mark));
    if (marq_group_open(g, MARQ_ITEM_REMARK, 0, group_from(g), group_to(g))) {
        marq_group_item(g)->span = first.span;
        marq_group_item(g)->word = first.span;
    }
}

/* The whole group kept as one remark, and said so. */
static void keep_all(marq_group *g)
{
    uint32_t from = group_from(g), to = group_to(g);
    g->p->pending.count = 0;
    g->times = 0;
    marq_group_tell_remark(g, from, to);
    marq_group_mark(g, MARQ_MARK_REMARK, 0, from, to, false);
    add_remarks(g);
}

static bool is_number(const marq_group *g)
{
    for (uint32_t i = g->unknown_from; i < g->unknown_to; i++) {
        char c = g->p->text.bytes[i];
        if ((c < '0' || c > '9') && c != ' ') {
            return false;
        }
    }
    return true;
}

static void add_unknown(marq_group *g)
{
    marq_parser *p = g->p;
    marq_span span = marq_parse_span(p, g->unknown_from, g->unknown_to);
    marq_finding *f;
    if (!marq_group_open(g, MARQ_ITEM_UNKNOWN, 0, g->unknown_from,
                         g->unknown_to)) {
        return;
    }
    marq_group_item(g)->word = span;
    if (marq_parse_note(p, &f, MARQ_DIAG_UNKNOWN_STEP, span,
                        marq_parse_quote(p, span), NULL)) {
        marq_parse_name_near(p, f, span, g->unknown_from, g->unknown_to, true);
    }
}

/* ---- facings and places ---- */

static void add_face(marq_group *g)
{
    marq_parser *p = g->p;
    marq_stand stand = {.written = true, .facings = 0};
    marq_item *last =
        p->tree->items.count > p->line.first_item
            ? MARQ_AT(&p->tree->items, marq_item, p->tree->items.count - 1)
            : NULL;
    size_t kept = 0;
    uint32_t index;
    for (size_t i = 0; i < p->pending.count; i++) {
        marq_mark mark = *pending(g, i);
        if (mark.kind == MARQ_MARK_REMARK) {
            *pending(g, kept++) = mark;
            continue;
        }
        if (mark.kind == MARQ_MARK_FACING) {
            stand.facings |= (uint8_t)(1u << mark.value);
        } else if (mark.kind == MARQ_MARK_ALIGNMENT) {
            stand.alignments |= (uint8_t)(1u << mark.value);
        } else {
            stand.numbered = (uint8_t)(mark.value < 255 ? mark.value : 255);
        }
        stand.facing_span.from =
            stand.facing_span.to ? stand.facing_span.from : mark.span.from;
        stand.facing_span.to = mark.span.to;
        stand.assumed = stand.assumed || mark.assumed;
    }
    p->pending.count = kept;
    stand.facings = stand.facings ? stand.facings : MARQ_ANY_FACING;
    stand.span = stand.facing_span;
    if (last && last->kind == MARQ_ITEM_FACE && last->mark_count == 0 &&
        marq_parse_join(MARQ_AT(&p->tree->stands, marq_stand, last->stand),
                        &stand)) {
        last->span.to = stand.span.to;
        add_remarks(g);
        return;
    }
    marq_stand *added = marq_parse_add_stand(p, &index);
    if (added) {
        *added = stand;
        if (marq_group_open(g, MARQ_ITEM_FACE, 0, group_from(g), group_to(g))) {
            marq_group_item(g)->stand = index;
        }
    }
}

/* "to fourth", "fifth": a placing step. */
static void add_place(marq_group *g)
{
    marq_parser *p = g->p;
    for (size_t i = 0; i < p->pending.count; i++) {
        if (pending(g, i)->kind == MARQ_MARK_IN) {
            pending(g, i)->kind = MARQ_MARK_TO;
        }
    }
    (void)marq_group_open(g, MARQ_ITEM_STEP, p->place_term, group_from(g),
                          group_to(g));
}

static bool add_from(marq_group *g)
{
    marq_parser *p = g->p;
    marq_stand stand;
    uint32_t index;
    p->pending.count = 0;
    if (!marq_parse_stand(p, &stand, g->a, g->b, MARQ_STAND_NOW)) {
        return false;
    }
    marq_stand *added = marq_parse_add_stand(p, &index);
    if (added) {
        *added = stand;
        if (marq_group_open(g, MARQ_ITEM_STAND, 0, group_from(g),
                            group_to(g))) {
            marq_group_item(g)->stand = index;
        }
    }
    return true;
}

/* ---- the step before ---- */

static marq_item *step_before(const marq_group *g)
{
    const marq_parser *p = g->p;
    marq_item *item;
    if (p->last_step == MARQ_NO_INDEX) {
        return NULL;
    }
    item = MARQ_AT(&p->tree->items, marq_item, p->last_step);
    return item->first_mark + item->mark_count == p->tree->marks.count ? item
                                                                       : NULL;
}

/* Adds the qualifiers among marks that the term has forms for. */
static void gather_tags(const marq_parser *p, uint16_t term, marq_tags *tags,
                        const marq_mark *marks, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        if (marks[i].kind == MARQ_MARK_QUALIFIER &&
            marq_parse_carries(p, term, marks[i].value)) {
            marq_tag_add(tags, marks[i].value);
        }
    }
}

static bool one_variant_has(const marq_parser *p, uint16_t term, marq_tags tags)
{
    const marq_term *t = &p->data->terms[term];
    for (unsigned i = 0; i < t->variant_count; i++) {
        if (marq_tags_within(tags,
                             p->data->variants[t->first_variant + i].tags)) {
            return true;
        }
    }
    return false;
}

/* Do the waiting marks say the step once more ("tendu front, side, back")
 * rather than more about it ("échappé sauté, closing changed")? */
static bool is_once_more(const marq_group *g, const marq_item *step)
{
    const marq_parser *p = g->p;
    const marq_mark *old =
        step->mark_count > 0
            ? MARQ_AT(&p->tree->marks, marq_mark, step->first_mark)
            : NULL;
    unsigned bits = pending_bits(g), old_bits = 0;
    marq_tags before = {{0, 0}}, now = {{0, 0}}, both;
    for (uint32_t i = 0; i < step->mark_count; i++) {
        old_bits |= BIT(old[i].kind);
    }
    gather_tags(p, step->term, &before, old, step->mark_count);
    gather_tags(p, step->term, &now, pending(g, 0), p->pending.count);
    if (bits & BIT(MARQ_MARK_QUALIFIER)) {
        if (!(now.bit[0] | now.bit[1])) {
            return false;
        }
        both.bit[0] = before.bit[0] | now.bit[0];
        both.bit[1] = before.bit[1] | now.bit[1];
        return g->times || marq_tags_within(now, before) ||
               !one_variant_has(p, step->term, both);
    }
    return (bits & SIDE_BITS) && (g->times || (bits & old_bits & SIDE_BITS));
}

static void add_once_more(marq_group *g, const marq_item *step)
{
    marq_parser *p = g->p;
    uint16_t term = step->term;
    uint32_t first = step->first_mark, count = step->mark_count;
    bool qualified = pending_bits(g) & BIT(MARQ_MARK_QUALIFIER);
    marq_span span = marq_parse_span(p, group_from(g), group_to(g));
    marq_build words;
    const char *text;
    if (!marq_group_open(g, MARQ_ITEM_STEP, term, group_from(g), group_to(g))) {
        return;
    }
    marq_build_init(&words, &p->scratch);
    marq_build_text(&words, marq_string(p->vocab, p->data->terms[term].name));
    /* "jeté over right, left": the form stays, the side is another. */
    for (uint32_t i = 0; i < count && !qualified; i++) {
        marq_mark mark = *MARQ_AT(&p->tree->marks, marq_mark, first + i);
        if (mark.kind == MARQ_MARK_QUALIFIER) {
            marq_mark *added = marq_array_add(&p->pending);
            if (!added) {
                marq_parse_fail(p, MARQ_MEMORY);
                return;
            }
            *added = mark;
        }
    }
    span = marq_group_item(g)->span;
    marq_group_flush(g);
    marq_group_item(g)->span = span; /* the copied word stands elsewhere */
    for (uint32_t i = 0; i < marq_group_item(g)->mark_count; i++) {
        const marq_mark *mark = MARQ_AT(&p->tree->marks, marq_mark,
                                        marq_group_item(g)->first_mark + i);
        if (mark->kind == MARQ_MARK_QUALIFIER) {
            marq_build_char(&words, ' ');
            marq_build_text(
                &words,
                marq_string(p->vocab, p->data->qualifiers[mark->value].name));
        }
    }
    text = marq_build_done(&words, NULL);
    if (!text) {
        marq_parse_fail(p, MARQ_MEMORY);
        return;
    }
    (void)marq_parse_note(p, NULL, MARQ_DIAG_NEAR_WORD, span,
                          marq_parse_quote(p, span), text);
}

void marq_group_bare(marq_group *g)
{
    marq_parser *p = g->p;
    unsigned bits = pending_bits(g);
    marq_item *step;
    if (g->unknown_to > 0) {
        if (is_number(g)) {
            keep_all(g);
        } else {
            add_unknown(g);
        }
        return;
    }
    step = step_before(g);
    if (!bits) {
        if (g->quantities > 0) {
            keep_all(g);
        } else if (g->times && step && step->times_span.to == 0) {
            add_remarks(g);
            g->item = p->last_step;
            g->times_before = false;
            marq_group_times(g);
        } else if (g->times) {
            keep_all(g);
        } else {
            add_remarks(g);
        }
    } else if (!(bits & ~FACING_BITS) && !g->times) {
        add_face(g);
    } else if ((bits & BIT(MARQ_MARK_FROM)) && !(bits & ~FROM_BITS)) {
        if (!add_from(g)) {
            keep_all(g);
        }
    } else if ((bits & PLACE_BITS) && !g->ending &&
               p->place_term != MARQ_NO_ID) {
        add_place(g);
    } else if (!step) {
        keep_all(g);
    } else if (is_once_more(g, step)) {
        add_once_more(g, step);
    } else {
        g->item = p->last_step;
        marq_group_flush(g);
        if (g->times) {
            g->times_before = false;
            if (step->times_span.to == 0) {
                marq_group_times(g);
            } else {
                uint32_t from = g->times_from, to = g->times_to;
                marq_group_tell_remark(g, from, to);
                marq_group_mark(g, MARQ_MARK_REMARK, 0, from, to, false);
            }
        }
    }
}
