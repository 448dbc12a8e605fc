/* parse_group.c - what stands between two separators becomes items.
 *
 * A group is looked through twice: first to see which words are steps, then
 * to hang everything else on them.  What has no step of its own goes to
 * parse_bare.c. */
#include "parse_group.h"

/* ---- which words are steps ---- */

bool marq_parse_carries(const marq_parser *p, uint16_t term, uint16_t qualifier)
{
    const marq_term *t;
    if (term >= p->data->term_count || qualifier >= MARQ_QUALIFIERS_MOST) {
        return false;
    }
    t = &p->data->terms[term];
    for (unsigned i = 0; i < t->variant_count; i++) {
        if (marq_tag_has(p->data->variants[t->first_variant + i].tags,
                         qualifier)) {
            return true;
        }
    }
    return false;
}

/* Has it a variant that ends on two feet, so that it can be said to close? */
static bool can_close(const marq_parser *p, uint16_t term)
{
    const marq_term *t = &p->data->terms[term];
    for (unsigned i = 0; i < t->variant_count; i++) {
        if (p->data->variants[t->first_variant + i].end == MARQ_END_TWO) {
            return true;
        }
    }
    return false;
}

/* One form may name two terms that differ by an accent only (balance,
 * balancé): the one written the same way. */
static uint16_t pick_term(const marq_parser *p, const marq_lexeme *lex)
{
    const marq_sense *sense = p->data->senses + lex->form->first_sense;
    marq_span span = marq_parse_span(p, lex->from, lex->to);
    uint16_t first = MARQ_NO_ID;
    bool accent = false;
    for (uint32_t i = span.from; i < span.to; i++) {
        accent = accent || (unsigned char)p->source->bytes[i] >= 0x80;
    }
    for (size_t i = 0; i < lex->form->sense_count; i++) {
        const char *name;
        bool named_so = false;
        if (sense[i].role != MARQ_ROLE_TERM) {
            continue;
        }
        name = p->data->strings + p->data->terms[sense[i].id].name;
        for (; *name; name++) {
            named_so = named_so || (unsigned char)*name >= 0x80;
        }
        if (named_so == accent) {
            return sense[i].id;
        }
        first = first == MARQ_NO_ID ? sense[i].id : first;
    }
    return first;
}

/* Is there nothing in a group but one word, its length and fillers? */
static bool is_alone(const marq_group *g)
{
    size_t words = 0;
    for (size_t i = g->a; i < g->b && words < 2; i++) {
        const marq_lexeme *lex = marq_parse_lexeme(g->p, i);
        words += lex->kind != MARQ_LEX_BRACKET &&
                 !marq_lex_note(lex, MARQ_NOTE_LENGTH) &&
                 !marq_lex_is(g->p, lex, MARQ_ROLE_FILLER, NULL);
    }
    return words < 2;
}

/* Is a step word meant as something else here?  `before` is the term before
 * it in the group, or MARQ_NO_ID. */
static bool is_no_step(const marq_group *g, size_t i, uint16_t before,
                       marq_relation relation)
{
    const marq_parser *p = g->p;
    const marq_lexeme *lex = marq_parse_lexeme(p, i);
    uint16_t qualifier;
    if (marq_lex_is(p, lex, MARQ_ROLE_REMARK, NULL) && !g->alone) {
        return true; /* "arms" alone is a port de bras, "soft arms" is not */
    }
    if (marq_lex_is(p, lex, MARQ_ROLE_NUMBER, NULL) && i + 1 < g->b &&
        marq_lex_is(p, lex + 1, MARQ_ROLE_TERM, NULL)) {
        return true; /* quatre tendus */
    }
    if ((relation == MARQ_TO || relation == MARQ_ENDING) &&
        (marq_lex_is(p, lex, MARQ_ROLE_FREE, NULL) ||
         marq_lex_is(p, lex, MARQ_ROLE_POSITION, NULL))) {
        return true; /* ending in attitude behind */
    }
    if (before == MARQ_NO_ID) {
        return false;
    }
    if (marq_lex_is(p, lex, MARQ_ROLE_SIDE, NULL)) {
        return true; /* glissade rt */
    }
    if (marq_lex_is(p, lex, MARQ_ROLE_QUALIFIER, &qualifier) &&
        marq_parse_carries(p, before, qualifier)) {
        return true; /* échappé sauté */
    }
    return marq_lex_relation(p, lex) == MARQ_CLOSING && i + 1 < g->b &&
           marq_lex_where(p, lex + 1) != MARQ_WHERES &&
           can_close(p, before); /* assemblé closes front */
}

bool marq_lex_is_quantity(const marq_parser *p, const marq_lexeme *lex)
{
    return marq_lex_note(lex, MARQ_NOTE_QUANTITY) ||
           (lex->term == MARQ_NO_ID &&
            marq_lex_is(p, lex, MARQ_ROLE_NUMBER, NULL));
}

/* A misspelt word is told of.  Where no step stands it is not taken for a
 * form of one: it may be the step. */
static void settle_near(marq_group *g)
{
    for (size_t i = g->a; i < g->b; i++) {
        marq_lexeme *lex = marq_parse_lexeme(g->p, i);
        if (lex->near && lex->term == MARQ_NO_ID && !g->anchored) {
            lex->kind = MARQ_LEX_WORD;
            lex->near = false;
        }
        marq_parse_tell_near(g->p, lex);
    }
}

/* Sets term and next_term of all lexemes; finds out what kind of group it
 * is. */
static void survey(marq_group *g)
{
    const marq_parser *p = g->p;
    marq_relation relation = (marq_relation)0;
    uint16_t term = MARQ_NO_ID, next = MARQ_NO_ID;
    g->now = g->b;
    g->alone = is_alone(g);
    for (size_t i = g->a; i < g->b; i++) {
        marq_lexeme *lex = marq_parse_lexeme(p, i);
        marq_relation now = marq_lex_relation(p, lex);
        if (lex->kind == MARQ_LEX_FORM &&
            marq_lex_is(p, lex, MARQ_ROLE_TERM, NULL) &&
            !is_no_step(g, i, term, relation)) {
            lex->term = pick_term(p, lex);
            term = lex->term;
            g->anchored = true;
            if (g->now == g->b) {
                g->term_before_now = true;
            }
        } else if (marq_lex_is_quantity(p, lex)) {
            term = MARQ_NO_ID; /* what follows is of the next step */
        }
        if (now == MARQ_NOW && g->now == g->b) {
            g->now = i;
        }
        g->anchored = g->anchored ||
                      marq_lex_is(p, lex, MARQ_ROLE_OPERATOR, NULL) ||
                      marq_lex_is(p, lex, MARQ_ROLE_HOLE, NULL);
        g->talk = g->talk || marq_lex_is(p, lex, MARQ_ROLE_REMARK, NULL);
        if (now) {
            relation = now;
        } else if (!marq_lex_is(p, lex, MARQ_ROLE_FILLER, NULL)) {
            relation = (marq_relation)0;
        }
    }
    for (size_t i = g->b; i-- > g->a;) {
        marq_lexeme *lex = marq_parse_lexeme(p, i);
        if (lex->term != MARQ_NO_ID) {
            next = lex->term;
        }
        lex->next_term = next;
    }
    settle_near(g);
}

/* ---- items and marks ---- */

static void push_mark(marq_group *g, marq_item *item, marq_mark mark)
{
    marq_parser *p = g->p;
    marq_mark *to = marq_array_add(&p->tree->marks);
    if (!to) {
        marq_parse_fail(p, MARQ_MEMORY);
        return;
    }
    if (mark.kind == MARQ_MARK_TOWARD && item->kind == MARQ_ITEM_STEP) {
        uint8_t means = p->data->terms[item->term].side_means;
        if (means == MARQ_SIDE_IS_TURN || means == MARQ_SIDE_IS_FOOT) {
            mark.kind = MARQ_MARK_SIDE; /* pirouette to the right */
        }
    }
    *to = mark;
    item->mark_count++;
    /* items opened since have no marks yet; theirs begin after this one */
    for (size_t i = g->item + 1; i < p->tree->items.count; i++) {
        MARQ_AT(&p->tree->items, marq_item, i)->first_mark =
            (uint32_t)p->tree->marks.count;
    }
    if (item->kind == MARQ_ITEM_REMARK) {
        return; /* its span is its text */
    }
    if (mark.span.from < item->span.from) {
        item->span.from = mark.span.from;
    }
    if (mark.span.to > item->span.to) {
        item->span.to = mark.span.to;
    }
}

marq_item *marq_group_item(marq_group *g)
{
    return MARQ_AT(&g->p->tree->items, marq_item, g->item);
}

void marq_group_mark(marq_group *g, marq_mark_kind kind, uint32_t value,
                     uint32_t from, uint32_t to, bool assumed)
{
    marq_parser *p = g->p;
    marq_mark mark = {(uint8_t)kind,
                      assumed || (g->relation && g->relation_assumed),
                      (uint16_t)(value < 0xffff ? value : 0xffff),
                      marq_parse_span(p, from, to)};
    if (g->item != MARQ_NO_INDEX) {
        push_mark(g, marq_group_item(g), mark);
        return;
    }
    marq_mark *pending = marq_array_add(&p->pending);
    if (!pending) {
        marq_parse_fail(p, MARQ_MEMORY);
        return;
    }
    *pending = mark;
}

void marq_group_flush(marq_group *g)
{
    marq_parser *p = g->p;
    for (size_t i = 0; i < p->pending.count && p->status == MARQ_OK; i++) {
        push_mark(g, marq_group_item(g), *MARQ_AT(&p->pending, marq_mark, i));
    }
    p->pending.count = 0;
}

void marq_group_times(marq_group *g)
{
    marq_parser *p = g->p;
    marq_item *item = marq_group_item(g);
    item->times = g->times;
    item->times_before = g->times_before;
    item->times_span = marq_parse_span(p, g->times_from, g->times_to);
    if (item->times_span.from < item->span.from) {
        item->span.from = item->times_span.from;
    }
    if (item->times_span.to > item->span.to) {
        item->span.to = item->times_span.to;
    }
    g->times = 0;
    if (item->times > p->vocab->limits.times) {
        (void)marq_parse_note(p, NULL, MARQ_DIAG_TOO_MANY_TIMES,
                              item->times_span,
                              marq_parse_number(p, item->times), NULL);
        item->times = (uint32_t)p->vocab->limits.times;
    }
}

bool marq_group_open(marq_group *g, marq_item_kind kind, uint16_t term,
                     uint32_t from, uint32_t to)
{
    marq_parser *p = g->p;
    marq_item *item = marq_array_add(&p->tree->items);
    if (!item) {
        marq_parse_fail(p, MARQ_MEMORY);
        return false;
    }
    item->kind = (uint8_t)kind;
    item->term = term;
    item->span = marq_parse_span(p, from, to);
    item->word = item->span;
    item->times = 1;
    item->first_mark = (uint32_t)p->tree->marks.count;
    item->stand = MARQ_NO_INDEX;
    g->item = (uint32_t)(p->tree->items.count - 1);
    if (kind != MARQ_ITEM_FACE && kind != MARQ_ITEM_REMARK) {
        p->last_step = kind == MARQ_ITEM_STEP ? g->item : MARQ_NO_INDEX;
    }
    marq_group_flush(g);
    if (g->times && (kind == MARQ_ITEM_STEP || kind == MARQ_ITEM_UNKNOWN)) {
        marq_group_times(g);
    }
    return p->status == MARQ_OK;
}

/* A statement of where one is, or more of the one before it. */
static bool read_now(marq_group *g, bool more)
{
    marq_parser *p = g->p;
    marq_item *last =
        p->tree->items.count > p->line_item
            ? MARQ_AT(&p->tree->items, marq_item, p->tree->items.count - 1)
            : NULL;
    marq_stand stand;
    uint32_t index;
    if (more && (!last || last->kind != MARQ_ITEM_STAND ||
                 !marq_parse_is_stand(p, g->a, g->b))) {
        return false;
    }
    if (!marq_parse_stand(p, &stand, g->a, g->b, MARQ_STAND_NOW)) {
        return !more;
    }
    if (more &&
        marq_parse_join(MARQ_AT(&p->tree->stands, marq_stand, last->stand),
                        &stand)) {
        last->span.to = stand.span.to;
        return true;
    }
    marq_stand *added = marq_parse_add_stand(p, &index);
    if (added) {
        *added = stand;
        if (marq_group_open(g, MARQ_ITEM_STAND, 0,
                            marq_parse_lexeme(p, g->a)->from,
                            marq_parse_lexeme(p, g->b - 1)->to)) {
            marq_group_item(g)->stand = index;
        }
    }
    return true;
}

/* Before the first item a place is the start. */
static bool read_start(marq_group *g)
{
    marq_parser *p = g->p;
    marq_stand stand;
    if (p->tree->items.count > 0 || p->start_headed || p->line.has_counts ||
        !marq_parse_is_stand(p, g->a, g->b)) {
        return false;
    }
    return marq_parse_stand(p, &stand, g->a, g->b,
                            p->tree->start.has_bodies ? MARQ_STAND_NOW
                                                      : MARQ_STAND_START) &&
           marq_parse_join(&p->tree->start, &stand);
}

static void read_group(marq_parser *p, size_t a, size_t b)
{
    marq_group g = {.p = p, .a = a, .b = b, .item = MARQ_NO_INDEX};
    uint32_t items = (uint32_t)p->tree->items.count;
    if (a >= b || p->status != MARQ_OK) {
        return;
    }
    survey(&g);
    p->pending.count = 0;
    if (g.now < b && !g.anchored) {
        (void)read_now(&g, false);
        return;
    }
    if (g.now < b && g.term_before_now) {
        g.b = g.now; /* royale, by now your left should be behind */
    }
    if (!g.anchored && (read_start(&g) || read_now(&g, true))) {
        return;
    }
    for (size_t i = g.a; i < g.b && p->status == MARQ_OK;) {
        i = marq_group_read(&g, i);
    }
    if (p->status == MARQ_OK && g.item == MARQ_NO_INDEX) {
        if (p->tree->items.count == items) {
            marq_group_bare(&g);
        } else { /* after a hole */
            g.item = (uint32_t)(p->tree->items.count - 1);
            marq_group_flush(&g);
        }
    }
    if (g.b < b && p->status == MARQ_OK) {
        marq_group rest = {.p = p, .a = g.b, .b = b, .item = MARQ_NO_INDEX};
        survey(&rest);
        (void)read_now(&rest, false);
    }
}

/* "2 front 2 side 2 back": a group without a step is cut before each of its
 * numbers that says how many of what follows. */
void marq_parse_group(marq_parser *p, size_t a, size_t b)
{
    bool steps = false;
    for (size_t i = a; i < b && !steps; i++) {
        steps = marq_lex_is(p, marq_parse_lexeme(p, i), MARQ_ROLE_TERM, NULL);
    }
    for (size_t i = a + 1; i + 1 < b && !steps; i++) {
        const marq_lexeme *lex = marq_parse_lexeme(p, i);
        if (marq_lex_is_quantity(p, lex) && !marq_lex_is_quantity(p, lex - 1) &&
            marq_lex_is(p, lex + 1, MARQ_ROLE_QUALIFIER, NULL)) {
            read_group(p, a, i);
            a = i;
        }
    }
    read_group(p, a, b);
}
