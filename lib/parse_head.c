/* parse_head.c - title, level, music, start, finish, headings of sides. */
#include "parse_parts.h"

void marq_parse_heading(marq_parser *p, marq_heading heading, marq_span span,
                        marq_span value)
{
    marq_heading_line *line = marq_array_add(&p->tree->headings);
    if (!line) {
        marq_parse_fail(p, MARQ_MEMORY);
        return;
    }
    line->heading = (uint8_t)heading;
    line->span = span;
    line->value = value;
}

/* The folded bytes after a heading's word, without blanks. */
static void find_value(const marq_parser *p, uint32_t *from, uint32_t *to)
{
    const char *s = p->text.bytes;
    while (*from < *to && (s[*from] == ' ' || s[*from] == ':')) {
        (*from)++;
    }
    while (*to > *from && s[*to - 1] == ' ') {
        (*to)--;
    }
}

static void tell_twice(marq_parser *p, const char *what, marq_span now,
                       marq_span before)
{
    marq_finding *f;
    if (marq_parse_note(p, &f, MARQ_DIAG_TWO_VALUES, now, what, NULL) && f &&
        marq_finding_relate(p->findings, f, before, "written here first") !=
            MARQ_OK) {
        marq_parse_fail(p, MARQ_MEMORY);
    }
}

static bool same_bytes(const marq_parser *p, marq_span a, marq_span b)
{
    return a.to - a.from == b.to - b.from &&
           memcmp(p->source->bytes + a.from, p->source->bytes + b.from,
                  a.to - a.from) == 0;
}

static void read_title(marq_parser *p, marq_span span, marq_span value)
{
    if (p->has_title) {
        if (!same_bytes(p, p->title, value)) {
            tell_twice(p, "the title", value, p->title);
            marq_parse_heading(p, MARQ_HEAD_REMARK, span, value);
        }
        return;
    }
    p->has_title = true;
    p->title = value;
    marq_parse_heading(p, MARQ_HEAD_TITLE, span, value);
}

static void read_level(marq_parser *p, uint32_t from, uint32_t to)
{
    static const char *const names[] = {"beginner", "elementary",
                                        "intermediate", "advanced"};
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
        size_t length = strlen(names[i]);
        if (to - from >= length &&
            memcmp(p->text.bytes + from, names[i], length) == 0 &&
            (to - from == length ||
             !marq_parse_is_letter(p->text.bytes[from + length]))) {
            p->tree->level = (uint8_t)(i + 1);
            return;
        }
    }
}

static void read_music(marq_parser *p, size_t a, size_t b)
{
    marq_music *music = &p->tree->music;
    for (size_t i = a; i < b && p->status == MARQ_OK; i++) {
        marq_lexeme lex = *marq_parse_lexeme(p, i);
        if (marq_lex_note(&lex, MARQ_NOTE_QUANTITY) && i + 1 < b &&
            marq_lex_relation(p, marq_parse_lexeme(p, i + 1)) == MARQ_IN) {
            music->has_in = true;
            music->in = lex.value;
            continue;
        }
        if (lex.kind >= MARQ_LEX_BRACKET ||
            !marq_parse_match(p,
                              MARQ_NOTATION_BIT(MARQ_NOTE_METRE) |
                                  MARQ_NOTATION_BIT(MARQ_NOTE_TEMPO),
                              lex.from, 0, &lex)) {
            continue;
        }
        if (lex.note == MARQ_NOTE_METRE) {
            music->has_metre = true;
            music->beats = lex.value;
            music->unit = lex.value_to;
        } else {
            music->has_tempo = true;
            music->tempo = lex.value;
        }
        while (i + 1 < b && marq_parse_lexeme(p, i + 1)->from < lex.to) {
            i++;
        }
    }
}

static bool same_place(const marq_stand *a, const marq_stand *b)
{
    return a->has_bodies == b->has_bodies && a->facings == b->facings &&
           a->alignments == b->alignments && a->numbered == b->numbered &&
           memcmp(a->bodies, b->bodies, sizeof a->bodies) == 0;
}

static void read_end(marq_parser *p, bool start, size_t a, size_t b)
{
    marq_stand *to = start ? &p->tree->start : &p->tree->finish;
    marq_stand stand;
    if (a >= b ||
        !marq_parse_stand(p, &stand, a, b,
                          start ? MARQ_STAND_START : MARQ_STAND_FINISH)) {
        return;
    }
    p->start_headed = p->start_headed || start;
    if (!to->written) {
        *to = stand;
    } else if (!same_place(to, &stand)) {
        tell_twice(p, start ? "the start" : "the finish", stand.span, to->span);
    }
}

static void read_side_heading(marq_parser *p, marq_side side, marq_span span)
{
    marq_parse_stretch(p, (uint32_t)p->tree->items.count);
    p->side = (uint8_t)side;
    p->line.side = p->side;
    p->last_step = MARQ_NO_INDEX;
    if (p->tree->items.count > 0) {
        (void)marq_parse_note(p, NULL, MARQ_DIAG_SECOND_SIDE, span, NULL, NULL);
    }
}

/* Is there a step on a line that begins with "start" or "finish"?  Then the
 * word is talk ("finish with two changements"). */
static bool has_step(const marq_parser *p, size_t a, size_t b)
{
    for (size_t i = a; i < b; i++) {
        const marq_lexeme *lex = marq_parse_lexeme(p, i);
        if (marq_lex_is(p, lex, MARQ_ROLE_TERM, NULL) &&
            !marq_lex_is(p, lex, MARQ_ROLE_FREE, NULL) &&
            !marq_lex_is(p, lex, MARQ_ROLE_POSITION, NULL) &&
            !marq_lex_is(p, lex, MARQ_ROLE_REMARK, NULL) &&
            !marq_lex_is(p, lex, MARQ_ROLE_SIDE, NULL) &&
            !marq_lex_is(p, lex, MARQ_ROLE_QUALIFIER, NULL)) {
            return true;
        }
    }
    return false;
}

/* "right:" or "left leg:" alone heads a side. */
static marq_side heads_side(const marq_parser *p, size_t a, size_t b)
{
    const marq_lexeme *lex = marq_parse_lexeme(p, a);
    if (a + 1 < b && lex[1].kind == MARQ_LEX_COLON) {
        return marq_lex_side(p, lex);
    }
    return MARQ_SIDE_NONE;
}

bool marq_parse_head(marq_parser *p, size_t a, size_t b, size_t *rest)
{
    const marq_lexeme *lex = marq_parse_lexeme(p, a);
    uint32_t end = marq_parse_lexeme(p, b - 1)->to;
    bool colon = a + 1 < b && lex[1].kind == MARQ_LEX_COLON;
    size_t next = a + 1 + colon;
    uint32_t from = lex->to, to;
    marq_side side = heads_side(p, a, b);
    uint16_t id = 0;
    marq_span span, value;
    /* What is cut from the end of a line by no lexeme belongs to it. */
    while (end < p->text.length && p->text.bytes[end] != '\n') {
        end++;
    }
    to = end;
    find_value(p, &from, &to);
    span = marq_parse_span(p, lex->from, end);
    value = marq_parse_span(p, from, to);
    *rest = b;
    if (!marq_lex_is(p, lex, MARQ_ROLE_HEADING, &id) &&
        side == MARQ_SIDE_NONE) {
        return false;
    }
    switch ((marq_heading)id) {
    case MARQ_HEAD_TITLE:
        read_title(p, span, value);
        return true;
    case MARQ_HEAD_LEVEL:
        read_level(p, from, to);
        marq_parse_heading(p, MARQ_HEAD_LEVEL, span, value);
        return true;
    case MARQ_HEAD_MUSIC:
        read_music(p, next, b);
        marq_parse_heading(p, MARQ_HEAD_MUSIC, span, value);
        return true;
    case MARQ_HEAD_REMARK:
        marq_parse_heading(p, MARQ_HEAD_REMARK, span, value);
        return true;
    case MARQ_HEAD_START:
    case MARQ_HEAD_FINISH:
        if (!colon && has_step(p, next, b)) {
            return false;
        }
        for (size_t i = next; i < b; i++) {
            marq_parse_tell_near(p, marq_parse_lexeme(p, i));
        }
        read_end(p, id == MARQ_HEAD_START, next, b);
        return true;
    case MARQ_HEAD_RIGHT_SIDE:
    case MARQ_HEAD_LEFT_SIDE:
        if (!colon && next < b) {
            return false; /* an operator, or talk */
        }
        side = id == MARQ_HEAD_RIGHT_SIDE ? MARQ_SIDE_RIGHT : MARQ_SIDE_LEFT;
        break;
    default:
        break;
    }
    read_side_heading(
        p, side,
        marq_parse_span(p, lex->from, marq_parse_lexeme(p, next - 1)->to));
    *rest = next;
    return true;
}

/* Is nothing read yet that a title would stand before? */
static bool is_beginning(const marq_parser *p, size_t a)
{
    const marq_lexeme *lex = marq_parse_lexeme(p, a);
    return p->tree->headings.count == 0 && p->tree->items.count == 0 &&
           !p->tree->start.written &&
           !marq_lex_is(p, lex, MARQ_ROLE_HEADING, NULL) &&
           marq_lex_side(p, lex) == MARQ_SIDE_NONE;
}

/* Is there nothing here that can be danced or stood in?  *talk: there is a
 * word for a kind of dance; *words: there is more than remarks in brackets. */
static bool is_plain_text(const marq_parser *p, size_t a, size_t b, bool *talk,
                          bool *words)
{
    *talk = false;
    *words = false;
    for (size_t i = a; i < b; i++) {
        const marq_lexeme *lex = marq_parse_lexeme(p, i);
        bool known = marq_lex_is(p, lex, MARQ_ROLE_REMARK, NULL);
        bool quality = marq_lex_is(p, lex, MARQ_ROLE_QUALIFIER, NULL) &&
                       !marq_lex_is(p, lex, MARQ_ROLE_TERM, NULL);
        *talk = *talk || known;
        *words = *words || lex->kind != MARQ_LEX_BRACKET;
        if (lex->kind != MARQ_LEX_WORD && lex->kind != MARQ_LEX_BRACKET &&
            !marq_lex_note(lex, MARQ_NOTE_QUANTITY) && !known && !quality &&
            !marq_lex_is(p, lex, MARQ_ROLE_NUMBER, NULL) &&
            !marq_lex_is(p, lex, MARQ_ROLE_FILLER, NULL)) {
            return false;
        }
    }
    return true;
}

static bool has_term(const marq_parser *p, size_t a, size_t b)
{
    for (size_t i = a; i < b; i++) {
        if (marq_lex_is(p, marq_parse_lexeme(p, i), MARQ_ROLE_TERM, NULL)) {
            return true;
        }
    }
    return false;
}

bool marq_parse_is_title(const marq_parser *p, size_t a, size_t b)
{
    bool talk, words;
    if (b >= p->lexemes.count || !is_beginning(p, a)) {
        return false;
    }
    if (marq_parse_lexeme(p, b - 1)->kind == MARQ_LEX_COLON) {
        return marq_parse_lexeme(p, a)->kind != MARQ_LEX_NOTE &&
               (has_term(p, a, b) || !marq_parse_is_stand(p, a, b - 1));
    }
    return is_plain_text(p, a, b, &talk, &words) &&
           (talk || (words && b + 1 < p->lexemes.count &&
                     marq_parse_lexeme(p, b + 1)->kind == MARQ_LEX_LINE));
}

size_t marq_parse_inline_title(const marq_parser *p, size_t a, size_t b)
{
    bool talk, words;
    size_t colon = a;
    while (colon < b && marq_parse_lexeme(p, colon)->kind != MARQ_LEX_COLON) {
        colon++;
    }
    return colon > a && colon + 1 < b && is_beginning(p, a) &&
                   is_plain_text(p, a, colon, &talk, &words) && talk
               ? colon
               : a;
}

void marq_parse_title(marq_parser *p, size_t a, size_t b)
{
    uint32_t from = marq_parse_lexeme(p, a)->from;
    uint32_t to = marq_parse_lexeme(p, b)->from; /* a colon or line feed */
    bool colon = marq_parse_lexeme(p, b - 1)->kind == MARQ_LEX_COLON ||
                 marq_parse_lexeme(p, b)->kind == MARQ_LEX_COLON;
    marq_span span = marq_parse_span(p, from, to);
    while (to > from &&
           (p->text.bytes[to - 1] == ' ' || p->text.bytes[to - 1] == ':')) {
        to--;
    }
    read_title(p, span, marq_parse_span(p, from, to));
    if (!colon) {
        (void)marq_parse_note(p, NULL, MARQ_DIAG_NEAR_WORD, span,
                              marq_parse_quote(p, span), "the title");
    }
}
