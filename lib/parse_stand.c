/* parse_stand.c - where one stands, in words: start, finish, "now ...". */
#include "parse_parts.h"

typedef struct draft {
    bool has_position;
    marq_position position;
    marq_side front;    /* that foot in front */
    marq_side standing; /* weight on that foot */
    bool has_free;
    marq_free_mask free;
    marq_side free_foot;
    marq_side side;   /* a right or left that waits for what it is said of */
    size_t side_at;   /* its lexeme */
    marq_where where; /* a front or behind that waits for its foot */
    bool content;     /* something of a place was written */
    bool faces;       /* a facing or alignment was written */
} draft;

/* ---- bodies ---- */

static void allow_front(marq_stand *out, marq_side front)
{
    for (unsigned b = 0; b < MARQ_BODIES; b++) {
        if (marq_body_front((marq_body)b) == front) {
            out->bodies[b] = 1;
        }
    }
}

static void allow_two(marq_stand *out, marq_position position, marq_side front)
{
    for (int s = MARQ_SIDE_RIGHT; s <= MARQ_SIDE_LEFT; s++) {
        if (front == MARQ_SIDE_NONE || front == (marq_side)s) {
            out->bodies[marq_body_two(position, (marq_side)s)] = 1;
        }
    }
}

static void allow_one(marq_stand *out, const draft *d, marq_free_mask mask)
{
    marq_side standing = d->standing != MARQ_SIDE_NONE
                             ? d->standing
                             : marq_side_other(d->free_foot);
    for (int s = MARQ_SIDE_RIGHT; s <= MARQ_SIDE_LEFT; s++) {
        for (unsigned bit = 0; bit < MARQ_FREE_BITS; bit++) {
            marq_body b = marq_body_one((marq_side)s, (marq_shape)(bit / 3),
                                        (marq_where)(bit % 3));
            if (((mask >> bit) & 1u) &&
                (standing == MARQ_SIDE_NONE || standing == (marq_side)s) &&
                (d->front == MARQ_SIDE_NONE ||
                 marq_body_front(b) == d->front)) {
                out->bodies[b] = 1;
            }
        }
    }
}

static void fill_bodies(marq_stand *out, const draft *d, marq_stand_use use)
{
    marq_free_mask a_terre = 0;
    out->has_bodies = true;
    if (d->has_position && d->standing != MARQ_SIDE_NONE) {
        /* Weight on one foot in an open position: the other à terre. */
        if (d->position == MARQ_SECOND) {
            a_terre = MARQ_FREE(MARQ_A_TERRE, MARQ_SIDE);
        } else if (d->position == MARQ_FOURTH) {
            a_terre = MARQ_FREE(MARQ_A_TERRE, MARQ_DEVANT) |
                      MARQ_FREE(MARQ_A_TERRE, MARQ_DERRIERE);
        }
    }
    if (a_terre) {
        allow_one(out, d, a_terre);
    } else if (d->has_position) {
        allow_two(out, d->position, d->front);
        if (d->position == MARQ_FIFTH && use != MARQ_STAND_START) {
            allow_two(out, MARQ_TIPS, d->front);
        }
    } else if (d->has_free || d->standing != MARQ_SIDE_NONE) {
        allow_one(out, d, d->has_free ? d->free : MARQ_FREE_ANY);
    } else if (d->front != MARQ_SIDE_NONE && use == MARQ_STAND_NOW) {
        allow_front(out, d->front);
    } else if (d->front != MARQ_SIDE_NONE) { /* fifth is meant */
        allow_two(out, MARQ_FIFTH, d->front);
        if (use == MARQ_STAND_FINISH) {
            allow_two(out, MARQ_TIPS, d->front);
        }
    } else {
        out->has_bodies = false;
    }
}

/* ---- words ---- */

static void set_front(draft *d, marq_side side, marq_where where)
{
    d->front = where == MARQ_DEVANT ? side : marq_side_other(side);
    d->content = true;
}

/* A side that nothing followed belongs to the position, or to the leg. */
static void settle_side(draft *d)
{
    if (d->side == MARQ_SIDE_NONE) {
        return;
    }
    if (d->has_free && d->free_foot == MARQ_SIDE_NONE) {
        d->free_foot = d->side;
    } else if (d->has_position && d->position >= MARQ_THIRD &&
               d->front == MARQ_SIDE_NONE) {
        set_front(d, d->side, MARQ_DEVANT);
    } else {
        return;
    }
    d->side = MARQ_SIDE_NONE;
}

static void add_facing(draft *d, marq_stand *out, marq_span span)
{
    out->facing_span =
        d->faces ? (marq_span){out->facing_span.from, span.to} : span;
    d->faces = true;
    d->content = true;
}

static void face(draft *d, marq_stand *out, unsigned facing, marq_span span)
{
    out->facings =
        (uint8_t)((out->facings == MARQ_ANY_FACING ? 0u : out->facings) |
                  1u << facing);
    add_facing(d, out, span);
}

/* A side after "on" or "facing", or one that waits. */
static void take_side(draft *d, marq_stand *out, marq_side side,
                      marq_relation relation, size_t at, marq_span span)
{
    if (relation == MARQ_ON) {
        d->standing = side;
        d->content = true;
    } else if (relation == MARQ_FACING_TO) {
        face(d, out, side == MARQ_SIDE_RIGHT ? 2u : 6u, span);
    } else if (d->where != MARQ_WHERES) {
        set_front(d, side, d->where);
        d->where = MARQ_WHERES;
    } else {
        settle_side(d);
        d->side = side;
        d->side_at = at;
    }
}

static void take_where(draft *d, marq_stand *out, marq_where where,
                       marq_relation relation, marq_span span)
{
    if (relation == MARQ_FACING_TO) {
        face(d, out, where == MARQ_DEVANT ? 0u : 4u, span);
    } else if (d->side != MARQ_SIDE_NONE) {
        set_front(d, d->side, where);
        d->side = MARQ_SIDE_NONE;
    } else {
        d->where = where;
    }
}

/* Takes one lexeme; false if it is nothing of a place. */
static bool take_lexeme(const marq_parser *p, draft *d, marq_stand *out,
                        size_t at, marq_relation relation)
{
    const marq_lexeme *lex = marq_parse_lexeme(p, at);
    marq_span span = marq_parse_span(p, lex->from, lex->to);
    marq_side side = marq_lex_side(p, lex);
    marq_where where = marq_lex_where(p, lex);
    uint16_t id;
    if (marq_lex_note(lex, MARQ_NOTE_FOOT_FRONT)) {
        set_front(d, (marq_side)lex->side,
                  lex->behind ? MARQ_DERRIERE : MARQ_DEVANT);
        if (lex->position != MARQ_POSITIONS) {
            d->has_position = true;
            d->position = (marq_position)lex->position;
        }
    } else if (marq_lex_note(lex, MARQ_NOTE_NUMBERED)) {
        out->numbered = (uint8_t)(lex->value < 255 ? lex->value : 255);
        add_facing(d, out, span);
    } else if (marq_lex_is(p, lex, MARQ_ROLE_FACING, &id) &&
               (where == MARQ_WHERES || relation == MARQ_FACING_TO)) {
        face(d, out, id, span);
    } else if (side != MARQ_SIDE_NONE) {
        take_side(d, out, side, relation, at, span);
    } else if (marq_lex_is(p, lex, MARQ_ROLE_POSITION, &id)) {
        d->has_position = true;
        d->position = (marq_position)id;
        d->content = true;
        settle_side(d);
    } else if (marq_lex_is(p, lex, MARQ_ROLE_FREE, &id)) {
        d->has_free = true;
        d->free = p->data->free_words[id].mask;
        d->content = true;
        settle_side(d);
    } else if (marq_lex_is(p, lex, MARQ_ROLE_ALIGNMENT, &id)) {
        out->alignments |= (uint8_t)(1u << id);
        add_facing(d, out, span);
    } else if (where != MARQ_WHERES) {
        take_where(d, out, where, relation, span);
    } else {
        return false;
    }
    if (lex->assumed) {
        out->assumed = true;
    }
    return true;
}

/* What is no place: kept as a remark of the text. */
static void keep_rest(marq_parser *p, size_t a, size_t b)
{
    const marq_lexeme *first = marq_parse_lexeme(p, a);
    const marq_lexeme *last = marq_parse_lexeme(p, b - 1);
    marq_span span = marq_parse_span(p, first->from, last->to);
    marq_finding *f;
    bool known = true;
    for (size_t i = a; i < b; i++) {
        const marq_lexeme *lex = marq_parse_lexeme(p, i);
        known = known && (lex->kind == MARQ_LEX_BRACKET ||
                          marq_lex_is(p, lex, MARQ_ROLE_REMARK, NULL));
    }
    marq_parse_heading(p, MARQ_HEAD_REMARK, span, span);
    if (!known && marq_parse_note(p, &f, MARQ_DIAG_UNKNOWN_WORD, span,
                                  marq_parse_quote(p, span), NULL)) {
        marq_parse_name_near(p, f, span, first->from, last->to, false);
    }
}

bool marq_parse_stand(marq_parser *p, marq_stand *out, size_t a, size_t b,
                      marq_stand_use use)
{
    draft d = {.where = MARQ_WHERES};
    marq_relation relation = (marq_relation)0;
    size_t rest = b; /* where what is no place begins */
    memset(out, 0, sizeof *out);
    out->facings = MARQ_ANY_FACING;
    for (size_t i = a; i < b && p->status == MARQ_OK; i++) {
        const marq_lexeme *lex = marq_parse_lexeme(p, i);
        marq_relation now = marq_lex_relation(p, lex);
        bool word = lex->kind == MARQ_LEX_FORM || lex->kind == MARQ_LEX_NOTE;
        if (lex->kind >= MARQ_LEX_BREAK || now ||
            marq_lex_is(p, lex, MARQ_ROLE_FILLER, NULL) ||
            marq_lex_is(p, lex, MARQ_ROLE_JOIN, NULL)) {
            if (rest < i) {
                keep_rest(p, rest, i);
                rest = b;
            }
            relation = now ? now : relation;
            out->assumed = out->assumed || lex->assumed;
            continue;
        }
        if (word && take_lexeme(p, &d, out, i, relation)) {
            if (rest < i) {
                keep_rest(p, rest, i);
                rest = b;
            }
            relation = (marq_relation)0;
        } else if (rest == b) {
            rest = i;
        }
    }
    if (rest < b) {
        keep_rest(p, rest, b);
    }
    settle_side(&d);
    if (d.side != MARQ_SIDE_NONE && !d.content && use != MARQ_STAND_NOW) {
        /* "start right": a side, and nobody knows of what. */
        keep_rest(p, d.side_at, d.side_at + 1);
    }
    if (!d.content) {
        return false;
    }
    fill_bodies(out, &d, use);
    out->written = true;
    out->span = marq_parse_span(p, marq_parse_lexeme(p, a)->from,
                                marq_parse_lexeme(p, b - 1)->to);
    return true;
}

bool marq_parse_is_stand(const marq_parser *p, size_t a, size_t b)
{
    draft d = {.where = MARQ_WHERES};
    marq_stand out = {.facings = MARQ_ANY_FACING};
    marq_relation relation = (marq_relation)0;
    for (size_t i = a; i < b; i++) {
        const marq_lexeme *lex = marq_parse_lexeme(p, i);
        marq_relation now = marq_lex_relation(p, lex);
        if (lex->term != MARQ_NO_ID || now == MARQ_TO || now == MARQ_TOWARD ||
            now == MARQ_CLOSING || now == MARQ_ENDING ||
            lex->kind == MARQ_LEX_WORD) {
            return false;
        }
        if (now) {
            relation = now;
        } else if (lex->kind == MARQ_LEX_BRACKET ||
                   marq_lex_is(p, lex, MARQ_ROLE_FILLER, NULL) ||
                   marq_lex_is(p, lex, MARQ_ROLE_REMARK, NULL)) {
            continue;
        } else if (take_lexeme(p, &d, &out, i, relation)) {
            relation = (marq_relation)0;
        } else {
            return false;
        }
    }
    settle_side(&d);
    return d.content && d.side == MARQ_SIDE_NONE && d.where == MARQ_WHERES;
}

bool marq_parse_join(marq_stand *stand, const marq_stand *more)
{
    marq_stand joined = *stand;
    bool any = false;
    if (!stand->written) {
        *stand = *more;
        return true;
    }
    if (more->has_bodies && stand->has_bodies) {
        /* "fifth" and "right front" say two halves of one thing; "fifth" and
         * "second" do not. */
        for (unsigned b = 0; b < MARQ_BODIES; b++) {
            joined.bodies[b] = stand->bodies[b] && more->bodies[b];
            any = any || joined.bodies[b];
        }
        if (!any) {
            return false;
        }
    } else if (more->has_bodies) {
        memcpy(joined.bodies, more->bodies, sizeof joined.bodies);
        joined.has_bodies = true;
    }
    if ((more->facings != MARQ_ANY_FACING &&
         stand->facings != MARQ_ANY_FACING) ||
        (more->alignments && stand->alignments) ||
        (more->numbered && stand->numbered)) {
        return false;
    }
    if (more->facings != MARQ_ANY_FACING) {
        joined.facings = more->facings;
    }
    joined.alignments |= more->alignments;
    joined.numbered = more->numbered ? more->numbered : stand->numbered;
    joined.facing_span = stand->facing_span.to > stand->facing_span.from
                             ? stand->facing_span
                             : more->facing_span;
    joined.assumed = stand->assumed || more->assumed;
    joined.span.to = more->span.to;
    *stand = joined;
    return true;
}

marq_stand *marq_parse_add_stand(marq_parser *p, uint32_t *index)
{
    marq_stand *stand = marq_array_add(&p->tree->stands);
    if (!stand) {
        marq_parse_fail(p, MARQ_MEMORY);
        return NULL;
    }
    stand->facings = MARQ_ANY_FACING;
    *index = (uint32_t)(p->tree->stands.count - 1);
    return stand;
}
