/* parse_mark.c - the words of a group, one after the other: marks, how many,
 * remarks, operators. */
#include "parse_group.h"

/* ---- remarks ---- */

/* Does a lexeme continue a remark that began before it? */
static bool is_talk(const marq_parser *p, const marq_lexeme *lex)
{
    return lex->term == MARQ_NO_ID &&
           (lex->kind == MARQ_LEX_WORD ||
            marq_lex_is(p, lex, MARQ_ROLE_REMARK, NULL));
}

static bool is_object(const marq_parser *p, const marq_lexeme *lex)
{
    static const marq_role roles[] = {MARQ_ROLE_POSITION, MARQ_ROLE_FREE,
                                      MARQ_ROLE_SIDE, MARQ_ROLE_QUALIFIER,
                                      MARQ_ROLE_NUMBER};
    if (lex->term != MARQ_NO_ID || lex->kind > MARQ_LEX_WORD) {
        return false;
    }
    for (size_t i = 0; i < sizeof roles / sizeof roles[0]; i++) {
        if (marq_lex_is(p, lex, roles[i], NULL)) {
            return true;
        }
    }
    return is_talk(p, lex);
}

/* Where the remark that begins at i ends: further unknown words and talk, and
 * what they are put to ("arms to high fifth").  *unknown: some word of it is
 * not known as talk. */
static size_t end_remark(const marq_group *g, size_t i, bool *unknown)
{
    const marq_parser *p = g->p;
    size_t end = i + 1;
    *unknown = marq_parse_lexeme(p, i)->kind == MARQ_LEX_WORD;
    while (end < g->b) {
        size_t next = end;
        marq_relation relation;
        while (next < g->b && marq_lex_is(p, marq_parse_lexeme(p, next),
                                          MARQ_ROLE_FILLER, NULL)) {
            next++;
        }
        if (next == g->b) {
            break;
        }
        const marq_lexeme *lex = marq_parse_lexeme(p, next);
        if (is_talk(p, lex)) {
            *unknown = *unknown || lex->kind == MARQ_LEX_WORD;
            end = next + 1;
            continue;
        }
        relation = marq_lex_relation(p, lex);
        if (relation == MARQ_TO || relation == MARQ_IN || relation == MARQ_ON) {
            next++;
            while (next < g->b && marq_lex_is(p, marq_parse_lexeme(p, next),
                                              MARQ_ROLE_FILLER, NULL)) {
                next++;
            }
            if (next == g->b || !is_object(p, marq_parse_lexeme(p, next))) {
                break;
            }
        } else if (!marq_lex_is(p, lex, MARQ_ROLE_POSITION, NULL) ||
                   lex->term != MARQ_NO_ID) {
            break;
        }
        *unknown = true; /* words with a meaning are passed over: say so */
        end = next + 1;
    }
    return end;
}

void marq_group_tell_remark(marq_group *g, uint32_t from, uint32_t to)
{
    marq_parser *p = g->p;
    marq_span span = marq_parse_span(p, from, to);
    marq_finding *f;
    if (marq_parse_note(p, &f, MARQ_DIAG_UNKNOWN_WORD, span,
                        marq_parse_quote(p, span), NULL)) {
        marq_parse_name_near(p, f, span, from, to, false);
    }
}

/* Returns the lexeme after the remark. */
static size_t read_remark(marq_group *g, size_t i)
{
    bool unknown;
    size_t end = end_remark(g, i, &unknown);
    uint32_t from = marq_parse_lexeme(g->p, i)->from;
    uint32_t to = marq_parse_lexeme(g->p, end - 1)->to;
    if (unknown && !g->anchored && !g->talk) {
        /* Nothing here is a step: the word stands in a step's place. */
        g->unknown_from = g->unknown_to ? g->unknown_from : from;
        g->unknown_to = to;
        return end;
    }
    if (unknown) {
        marq_group_tell_remark(g, from, to);
    }
    marq_group_mark(g, MARQ_MARK_REMARK, 0, from, to, false);
    return end;
}

/* ---- how many ---- */

static void set_times(marq_group *g, uint32_t times, const marq_lexeme *lex,
                      bool before)
{
    g->times = times;
    g->times_before = before;
    g->times_from = lex->from;
    g->times_to = lex->to;
}

static bool may_have_times(const marq_group *g)
{
    return g->item != MARQ_NO_INDEX &&
           marq_group_item((marq_group *)g)->times_span.to == 0;
}

/* ×3, twice: of the step before it, or of the step after it. */
static void read_times(marq_group *g, const marq_lexeme *lex, uint32_t times)
{
    if (times == 0 ||
        (g->item != MARQ_NO_INDEX ? !may_have_times(g) : g->times != 0)) {
        marq_group_tell_remark(g, lex->from, lex->to);
        marq_group_mark(g, MARQ_MARK_REMARK, 0, lex->from, lex->to, false);
        return;
    }
    set_times(g, times, lex, g->item == MARQ_NO_INDEX);
    if (g->item != MARQ_NO_INDEX) {
        marq_group_times(g);
    }
}

/* 8-8-4-4: a pattern of repetitions.  Returns the lexeme after it, or i if
 * there is but one number. */
static size_t end_numbers(const marq_group *g, size_t i)
{
    size_t end = i + 1;
    while (end < g->b &&
           marq_lex_is_quantity(g->p, marq_parse_lexeme(g->p, end))) {
        end++;
    }
    return end > i + 1 ? end : i;
}

static void keep_talk(marq_group *g, size_t i, size_t end)
{
    uint32_t from = marq_parse_lexeme(g->p, i)->from;
    uint32_t to = marq_parse_lexeme(g->p, end - 1)->to;
    marq_group_tell_remark(g, from, to);
    marq_group_mark(g, MARQ_MARK_REMARK, 0, from, to, false);
}

/* A plain number: of the step after it; "hold 4", "dégagé 3 side".  Returns
 * the next lexeme. */
static size_t read_quantity(marq_group *g, size_t i, uint32_t number)
{
    const marq_parser *p = g->p;
    const marq_lexeme *lex = marq_parse_lexeme(p, i);
    size_t end = end_numbers(g, i);
    g->quantities++;
    if (end > i || number == 0) {
        end = end > i ? end : i + 1;
        if (g->item != MARQ_NO_INDEX || g->anchored) {
            keep_talk(g, i, end);
        }
        return end;
    }
    if (lex->next_term != MARQ_NO_ID) {
        if (g->item != MARQ_NO_INDEX || g->times == 0) {
            g->item = MARQ_NO_INDEX; /* marks from here are the next one's */
            set_times(g, number, lex, true);
            return i + 1;
        }
    } else if (g->item == MARQ_NO_INDEX) {
        if (g->times == 0) {
            set_times(g, number, lex, true);
            return i + 1;
        }
    } else if (marq_group_item(g)->kind == MARQ_ITEM_STEP &&
               (p->data->terms[marq_group_item(g)->term].flags &
                MARQ_TERM_HOLD)) {
        marq_group_mark(g, MARQ_MARK_LENGTH, number, lex->from, lex->to, false);
        return i + 1;
    } else if (may_have_times(g) && i + 1 < g->b &&
               marq_lex_is(p, lex + 1, MARQ_ROLE_QUALIFIER, NULL)) {
        set_times(g, number, lex, false);
        marq_group_times(g);
        return i + 1;
    }
    if (g->item != MARQ_NO_INDEX || g->anchored) {
        keep_talk(g, i, i + 1);
    }
    return i + 1;
}

/* ---- marks ---- */

/* The term a word stands beside: the one before it, else the next. */
static uint16_t beside(const marq_group *g, const marq_lexeme *lex)
{
    if (g->item != MARQ_NO_INDEX) {
        const marq_item *item = marq_group_item((marq_group *)g);
        return item->kind == MARQ_ITEM_STEP ? item->term : MARQ_NO_ID;
    }
    return lex->next_term;
}

static bool ends_in(const marq_parser *p, uint16_t term, uint16_t position)
{
    const marq_term *t = &p->data->terms[term];
    for (unsigned i = 0; i < t->variant_count; i++) {
        const marq_variant *v = &p->data->variants[t->first_variant + i];
        if (v->end == MARQ_END_TWO && v->end_position == position) {
            return true;
        }
    }
    return false;
}

/* "second" beside a battement is à la seconde. */
static bool is_seconde(const marq_group *g, const marq_lexeme *lex,
                       uint16_t position, uint16_t *qualifier)
{
    const marq_parser *p = g->p;
    uint16_t term = beside(g, lex);
    if (term == MARQ_NO_ID || g->relation == MARQ_FROM ||
        g->relation == MARQ_ENDING) {
        return false;
    }
    for (size_t q = 0; q < p->data->qualifier_count; q++) {
        if (p->data->qualifiers[q].position == position &&
            marq_parse_carries(p, term, (uint16_t)q)) {
            *qualifier = (uint16_t)q;
            return !((g->relation == MARQ_TO || g->relation == MARQ_IN) &&
                     ends_in(p, term, position));
        }
    }
    return false;
}

static void read_position(marq_group *g, const marq_lexeme *lex,
                          uint16_t position)
{
    uint16_t qualifier;
    marq_mark_kind kind = g->relation == MARQ_FROM ? MARQ_MARK_FROM
                          : g->relation == MARQ_TO ||
                                  g->relation == MARQ_ENDING ||
                                  g->relation == MARQ_CLOSING
                              ? MARQ_MARK_TO
                              : MARQ_MARK_IN;
    if (is_seconde(g, lex, position, &qualifier)) {
        marq_group_mark(g, MARQ_MARK_QUALIFIER, qualifier, g->from, lex->to,
                        lex->assumed);
        return;
    }
    g->ending = g->ending || g->relation == MARQ_ENDING;
    marq_group_mark(g, kind, position, g->from, lex->to, lex->assumed);
}

/* A right or left, or another foot. */
static void read_side(marq_group *g, size_t i, marq_side side, uint16_t foot)
{
    const marq_parser *p = g->p;
    const marq_lexeme *lex = marq_parse_lexeme(p, i);
    uint16_t position;
    marq_mark_kind kind = MARQ_MARK_SIDE;
    if (g->relation == MARQ_ON) {
        kind = MARQ_MARK_ON;
    } else if (foot) {
        kind = MARQ_MARK_FOOT;
    } else if (g->relation == MARQ_TO || g->relation == MARQ_TOWARD) {
        kind = MARQ_MARK_TOWARD;
    } else if (i + 1 < g->b && lex[1].term == MARQ_NO_ID &&
               marq_lex_is(p, lex + 1, MARQ_ROLE_POSITION, &position) &&
               position >= MARQ_THIRD) {
        /* in right fifth */
        marq_group_mark(g, MARQ_MARK_FRONT, (uint32_t)side, lex->from, lex->to,
                        lex->assumed);
        g->keep_relation = true;
        return;
    }
    marq_group_mark(g, kind, foot ? foot : (uint32_t)side, g->from, lex->to,
                    lex->assumed);
}

/* facing ..., closing ...; false if this word is no such thing. */
static bool read_related(marq_group *g, const marq_lexeme *lex)
{
    const marq_parser *p = g->p;
    marq_where where = marq_lex_where(p, lex);
    marq_side side = marq_lex_side(p, lex);
    uint32_t facing = MARQ_FACINGS;
    uint16_t id;
    if (g->relation == MARQ_CLOSING && where != MARQ_WHERES) {
        marq_group_mark(g, MARQ_MARK_CLOSING, (uint32_t)where, g->from, lex->to,
                        lex->assumed);
        return true;
    }
    if (g->relation != MARQ_FACING_TO) {
        return false;
    }
    if (marq_lex_is(p, lex, MARQ_ROLE_FACING, &id)) {
        facing = id;
    } else if (side != MARQ_SIDE_NONE) {
        facing = side == MARQ_SIDE_RIGHT ? 2 : 6;
    } else if (where == MARQ_DEVANT || where == MARQ_DERRIERE) {
        facing = where == MARQ_DEVANT ? 0 : 4;
    }
    if (facing == MARQ_FACINGS) {
        return false;
    }
    marq_group_mark(g, MARQ_MARK_FACING, facing, g->from, lex->to,
                    lex->assumed);
    return true;
}

/* A word of the vocabulary that is a mark; false if it is none here. */
static bool read_mark(marq_group *g, size_t i)
{
    const marq_parser *p = g->p;
    const marq_lexeme *lex = marq_parse_lexeme(p, i);
    uint16_t id, qualifier;
    bool qualifies = marq_lex_is(p, lex, MARQ_ROLE_QUALIFIER, &qualifier);
    bool related = g->relation == MARQ_TO || g->relation == MARQ_ENDING;
    if (read_related(g, lex)) {
        return true;
    }
    if (marq_lex_is(p, lex, MARQ_ROLE_POSITION, &id) &&
        !(qualifies && !related &&
          marq_parse_carries(p, beside(g, lex), qualifier))) {
        read_position(g, lex, id);
        return true;
    }
    if (marq_lex_is(p, lex, MARQ_ROLE_FREE, &id) && (related || !qualifies)) {
        g->ending = g->ending || g->relation == MARQ_ENDING;
        marq_group_mark(g, MARQ_MARK_TO_FREE, id, g->from, lex->to,
                        lex->assumed);
        return true;
    }
    bool aligns = marq_lex_is(p, lex, MARQ_ROLE_ALIGNMENT, &id);
    if (qualifies &&
        !(aligns && !marq_parse_carries(p, beside(g, lex), qualifier))) {
        marq_group_mark(g, MARQ_MARK_QUALIFIER, qualifier, lex->from, lex->to,
                        lex->assumed);
        return true;
    }
    if (marq_lex_is(p, lex, MARQ_ROLE_SIDE, &id)) {
        read_side(g, i, (marq_side)id, 0);
        return true;
    }
    if (marq_lex_is(p, lex, MARQ_ROLE_FOOT, &id)) {
        read_side(g, i, MARQ_SIDE_NONE, id);
        return true;
    }
    if (marq_lex_is(p, lex, MARQ_ROLE_FACING, &id)) {
        marq_group_mark(g, MARQ_MARK_FACING, id, g->from, lex->to,
                        lex->assumed);
        return true;
    }
    if (marq_lex_is(p, lex, MARQ_ROLE_ALIGNMENT, &id)) {
        marq_group_mark(g, MARQ_MARK_ALIGNMENT, id, g->from, lex->to,
                        lex->assumed);
        return true;
    }
    if (marq_lex_is(p, lex, MARQ_ROLE_AMOUNT, &id)) {
        marq_group_mark(g, MARQ_MARK_AMOUNT, id, lex->from, lex->to,
                        lex->assumed);
        return true;
    }
    return false;
}

/* ---- lexemes ---- */

static void read_note(marq_group *g, size_t i)
{
    const marq_lexeme *lex = marq_parse_lexeme(g->p, i);
    switch ((marq_notation)lex->note) {
    case MARQ_NOTE_TIMES:
        read_times(g, lex, lex->value);
        return;
    case MARQ_NOTE_FOOT:
        read_side(g, i, (marq_side)lex->side, lex->side);
        return;
    case MARQ_NOTE_FOOT_FRONT:
        if (lex->position != MARQ_POSITIONS) {
            read_position(g, lex, lex->position);
        }
        marq_group_mark(g, MARQ_MARK_FRONT,
                        (uint32_t)(lex->behind
                                       ? marq_side_other((marq_side)lex->side)
                                       : (marq_side)lex->side),
                        lex->from, lex->to, lex->assumed);
        return;
    case MARQ_NOTE_NUMBERED:
        marq_group_mark(g, MARQ_MARK_NUMBERED, lex->value, g->from, lex->to,
                        lex->assumed);
        return;
    case MARQ_NOTE_LENGTH:
        marq_group_mark(g, MARQ_MARK_LENGTH, lex->value, lex->from, lex->to,
                        lex->assumed);
        return;
    case MARQ_NOTE_QUANTITY: /* marq_group_read sees to it */
    case MARQ_NOTE_COUNT_RANGE:
    case MARQ_NOTE_COUNT:
    case MARQ_NOTE_COUNT_AND:
    case MARQ_NOTE_TEMPO:
    case MARQ_NOTE_METRE:
    case MARQ_NOTATIONS:
        break;
    }
    keep_talk(g, i, i + 1); /* counts that stand where none can */
}

static void read_operator(marq_group *g, const marq_lexeme *lex, uint16_t op)
{
    marq_parser *p = g->p;
    marq_span span = marq_parse_span(p, lex->from, lex->to);
    if (!marq_group_open(g, MARQ_ITEM_OPERATOR, 0, lex->from, lex->to)) {
        return;
    }
    marq_group_item(g)->operator_ = (uint8_t)op;
    p->tree->one_side = p->tree->one_side || op == MARQ_OP_ONE_SIDE;
    p->tree->unsquare = p->tree->unsquare || op == MARQ_OP_UNSQUARE;
    if (op == MARQ_OP_REPEAT || op == MARQ_OP_REVERSE ||
        op == MARQ_OP_EN_CROIX || op == MARQ_OP_ALTERNATE) {
        (void)marq_parse_note(p, NULL, MARQ_DIAG_NOT_FOLLOWED, span,
                              marq_parse_quote(p, span), NULL);
    }
}

static void read_hole(marq_group *g, const marq_lexeme *lex)
{
    if (marq_group_open(g, MARQ_ITEM_HOLE, 0, lex->from, lex->to)) {
        (void)marq_parse_note(g->p, NULL, MARQ_DIAG_HOLE,
                              marq_parse_span(g->p, lex->from, lex->to), NULL,
                              NULL);
    }
    g->item = MARQ_NO_INDEX;
}

size_t marq_group_read(marq_group *g, size_t i)
{
    marq_parser *p = g->p;
    const marq_lexeme *lex = marq_parse_lexeme(p, i);
    marq_relation relation = marq_lex_relation(p, lex);
    uint16_t id;
    g->keep_relation = false;
    if (!g->relation) {
        g->from = lex->from;
    }
    if (lex->kind == MARQ_LEX_BRACKET) {
        marq_group_mark(g, MARQ_MARK_REMARK, 0, lex->from, lex->to, false);
        return i + 1;
    }
    if (lex->kind == MARQ_LEX_WORD) {
        g->relation = (marq_relation)0;
        return read_remark(g, i);
    }
    if (lex->kind == MARQ_LEX_NOTE && lex->note != MARQ_NOTE_QUANTITY) {
        read_note(g, i);
    } else if (marq_lex_is_quantity(p, lex)) {
        id = 0;
        (void)marq_lex_is(p, lex, MARQ_ROLE_NUMBER, &id);
        g->relation = (marq_relation)0;
        return read_quantity(g, i,
                             lex->kind == MARQ_LEX_NOTE ? lex->value : id);
    } else if (lex->term != MARQ_NO_ID) {
        (void)marq_group_open(g, MARQ_ITEM_STEP, lex->term, lex->from, lex->to);
    } else if (marq_lex_is(p, lex, MARQ_ROLE_OPERATOR, &id)) {
        read_operator(g, lex, id);
    } else if (marq_lex_is(p, lex, MARQ_ROLE_HOLE, NULL)) {
        read_hole(g, lex);
    } else if (marq_lex_is(p, lex, MARQ_ROLE_FILLER, NULL)) {
        return i + 1;
    } else if (relation) {
        g->relation = relation;
        g->relation_assumed = lex->assumed;
        g->from = lex->from;
        return i + 1;
    } else if (marq_lex_is(p, lex, MARQ_ROLE_TIMES, &id)) {
        read_times(g, lex, id);
    } else if (marq_lex_is(p, lex, MARQ_ROLE_REMARK, NULL) ||
               !read_mark(g, i)) {
        g->relation = (marq_relation)0;
        return read_remark(g, i);
    }
    if (!g->keep_relation) {
        g->relation = (marq_relation)0;
    }
    return i + 1;
}
