/* parse.c - lines, headings, counts; the groups of a line. */
#include "parse_parts.h"

/* ---- shared small things ---- */

void marq_parse_fail(marq_parser *p, marq_status status) {
    if (p->status == MARQ_OK) {
        p->status = status;
    }
}

marq_span marq_parse_span(const marq_parser *p, uint32_t from, uint32_t to) {
    const char *s = p->source->bytes;
    marq_span span = {p->text.place[from], p->text.place[to]};
    /* The carriage return of a line end folds to nothing. */
    while (span.to > span.from &&
           (s[span.to - 1] == '\r' || s[span.to - 1] == '\n')) {
        span.to--;
    }
    if (span.to < span.from) {
        span.to = span.from;
    }
    return span;
}

#define QUOTE_MOST 60u /* bytes */

const char *marq_parse_quote(marq_parser *p, marq_span span) {
    const char *s = p->source->bytes + span.from;
    size_t length = span.to - span.from;
    marq_build text;
    const char *made;
    if (p->findings->list.count >= p->findings->limit) {
        return ""; /* nobody will read it */
    }
    marq_build_init(&text, &p->scratch);
    if (length > QUOTE_MOST) {
        length = QUOTE_MOST;
        while (length > 0 && ((unsigned char)s[length] & 0xc0) == 0x80) {
            length--;
        }
    }
    marq_build_bytes(&text, s, length);
    if (length < span.to - span.from) {
        marq_build_text(&text, " ...");
    }
    made = marq_build_done(&text, NULL);
    if (!made) {
        marq_parse_fail(p, MARQ_MEMORY);
        return "";
    }
    return made;
}

bool marq_parse_note(marq_parser *p, marq_finding **f, marq_diag kind,
                     marq_span span, const char *a, const char *b) {
    marq_finding *made = NULL;
    marq_status s =
        p->status != MARQ_OK
            ? p->status
            : marq_findings_add(p->findings, &made, kind, span, a, b, NULL);
    if (f) {
        *f = made;
    }
    if (s != MARQ_OK) {
        marq_parse_fail(p, s);
    }
    return s == MARQ_OK;
}

bool marq_lex_is(const marq_parser *p, const marq_lexeme *lex, marq_role role,
                 uint16_t *id) {
    return lex->kind == MARQ_LEX_FORM &&
           marq_form_is(p->data, lex->form, role, id);
}

bool marq_lex_note(const marq_lexeme *lex, marq_notation note) {
    return lex->kind == MARQ_LEX_NOTE && lex->note == note;
}

marq_relation marq_lex_relation(const marq_parser *p, const marq_lexeme *lex) {
    uint16_t id = 0;
    return marq_lex_is(p, lex, MARQ_ROLE_RELATION, &id) ? (marq_relation)id
                                                        : (marq_relation)0;
}

marq_where marq_lex_where(const marq_parser *p, const marq_lexeme *lex) {
    uint16_t id;
    if (marq_lex_is(p, lex, MARQ_ROLE_QUALIFIER, &id)) {
        if (p->data->qualifiers[id].ask == MARQ_ASK_LEG_FRONT) {
            return MARQ_DEVANT;
        }
        if (p->data->qualifiers[id].ask == MARQ_ASK_LEG_BEHIND) {
            return MARQ_DERRIERE;
        }
    }
    return MARQ_WHERES;
}

marq_side marq_lex_side(const marq_parser *p, const marq_lexeme *lex) {
    uint16_t id;
    if (marq_lex_note(lex, MARQ_NOTE_FOOT)) {
        return (marq_side)lex->side;
    }
    if (marq_lex_is(p, lex, MARQ_ROLE_SIDE, &id) ||
        (marq_lex_is(p, lex, MARQ_ROLE_FOOT, &id) && id <= MARQ_FOOT_LEFT)) {
        return (marq_side)id;
    }
    return MARQ_SIDE_NONE;
}

bool marq_lex_is_count(const marq_lexeme *lex) {
    return lex->kind == MARQ_LEX_AND ||
           marq_lex_note(lex, MARQ_NOTE_COUNT_RANGE) ||
           marq_lex_note(lex, MARQ_NOTE_COUNT) ||
           marq_lex_note(lex, MARQ_NOTE_COUNT_AND);
}

/* ---- stretches: lines, and parts of lines with counts of their own ---- */

void marq_parse_stretch(marq_parser *p, uint32_t items) {
    marq_line *line = &p->line;
    line->item_count = items - line->first_item;
    if (p->in_stretch && (line->item_count > 0 || line->has_counts)) {
        marq_line *kept = marq_array_add(&p->tree->lines);
        if (!kept) {
            marq_parse_fail(p, MARQ_MEMORY);
            return;
        }
        if (line->item_count > 0) {
            const marq_item *first =
                MARQ_AT(&p->tree->items, marq_item, line->first_item);
            const marq_item *last =
                MARQ_AT(&p->tree->items, marq_item, items - 1);
            line->span.from = line->has_counts &&
                                      line->count_span.from < first->span.from
                                  ? line->count_span.from
                                  : first->span.from;
            line->span.to = line->has_counts &&
                                    line->count_span.to > last->span.to
                                ? line->count_span.to
                                : last->span.to;
        } else {
            line->span = line->count_span;
        }
        line->phrase_break = p->break_pending && p->tree->lines.count > 1;
        p->break_pending = false;
        *kept = *line;
    }
    *line = (marq_line){.first_item = items, .side = p->side};
    p->in_stretch = true;
}

static marq_count make_count(int64_t num, int64_t den) {
    marq_count c = {num, den};
    (void)marq_count_make(&c, num, den); /* small numbers always fit */
    return c;
}

void marq_parse_counts(marq_parser *p, const marq_lexeme *lex) {
    marq_line *line = &p->line;
    int64_t from = lex->value, to = lex->value_to;
    line->has_counts = true;
    line->count_span = marq_parse_span(p, lex->from, lex->to);
    if (lex->kind == MARQ_LEX_AND) {
        /* An & alone is the half after the counts before it. */
        const marq_line *last =
            p->tree->lines.count > 0
                ? MARQ_AT(&p->tree->lines, marq_line,
                          p->tree->lines.count - 1)
                : NULL;
        marq_count half = make_count(1, 2);
        line->count_from = half;
        if (last && last->has_counts && last->count_to.den == 1) {
            (void)marq_count_add(&line->count_from, last->count_to, half);
        }
        line->count_to = line->count_from;
        line->count_half = true;
        return;
    }
    line->count_from = lex->and_before ? make_count(2 * from - 1, 2)
                                       : make_count(from, 1);
    line->count_half = lex->and_after;
    line->count_to = lex->and_after ? make_count(2 * to + 1, 2)
                                    : make_count(to, 1);
    if (marq_lex_note(lex, MARQ_NOTE_COUNT_AND) && lex->and_before) {
        line->count_to = line->count_from; /* &8: the half before 8 */
        line->count_half = true;
    }
}

/* ---- counts at the beginning of lines: counts, or how many? ---- */

static size_t end_of_line(const marq_parser *p, size_t a) {
    while (a < p->lexemes.count &&
           marq_parse_lexeme(p, a)->kind != MARQ_LEX_LINE) {
        a++;
    }
    return a;
}

/* Is the word after a number written in the plural? */
static bool is_plural(const marq_parser *p, size_t i, size_t end) {
    const marq_lexeme *lex;
    const char *s = p->text.bytes;
    if (i + 1 >= end) {
        return false;
    }
    lex = marq_parse_lexeme(p, i + 1);
    return lex->kind == MARQ_LEX_FORM && lex->to - lex->from > 3 &&
           (s[lex->to - 1] == 's' || s[lex->to - 1] == 'x') &&
           marq_lex_is(p, lex, MARQ_ROLE_TERM, NULL) &&
           p->data->strings[lex->form->shown +
                            strlen(p->data->strings + lex->form->shown) -
                            1] != s[lex->to - 1];
}

/* A plain number that opens a line is a count where the text has counts
 * otherwise (unless it does not continue them and a plural follows), or where
 * such numbers run 1, 2, 3; else it says how many. */
static void settle_counts(marq_parser *p) {
    bool counted = false, runs = true;
    size_t plain = 0;
    uint32_t expected = 1;
    for (size_t i = 0; i < p->lexemes.count; i++) {
        const marq_lexeme *lex = marq_parse_lexeme(p, i);
        if (!lex->first || !marq_lex_is_count(lex)) {
            continue;
        }
        if (lex->kind == MARQ_LEX_AND || lex->column ||
            lex->note != MARQ_NOTE_COUNT) {
            counted = true;
        } else {
            plain++;
            runs = runs && lex->value == plain;
        }
    }
    counted = counted || (runs && plain > 1);
    for (size_t i = 0; i < p->lexemes.count; i++) {
        marq_lexeme *lex = marq_parse_lexeme(p, i);
        if (!lex->first || lex->kind != MARQ_LEX_NOTE ||
            !marq_lex_is_count(lex)) {
            continue;
        }
        if (lex->note == MARQ_NOTE_COUNT && !lex->column &&
            lex->quantity_too &&
            (!counted || (lex->value != expected && lex->value > 1 &&
                          is_plural(p, i, p->lexemes.count)))) {
            lex->note = MARQ_NOTE_QUANTITY;
        } else {
            expected = lex->value_to + 1;
        }
    }
}

/* ---- headings ---- */

void marq_parse_heading(marq_parser *p, marq_heading heading, marq_span span,
                        marq_span value) {
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
static void find_value(const marq_parser *p, uint32_t *from, uint32_t *to) {
    const char *s = p->text.bytes;
    while (*from < *to && (s[*from] == ' ' || s[*from] == ':')) {
        (*from)++;
    }
    while (*to > *from && s[*to - 1] == ' ') {
        (*to)--;
    }
}

static void tell_twice(marq_parser *p, const char *what, marq_span now,
                       marq_span before) {
    marq_finding *f;
    if (marq_parse_note(p, &f, MARQ_DIAG_TWO_VALUES, now, what, NULL) && f &&
        marq_finding_relate(p->findings, f, before, "written here first") !=
            MARQ_OK) {
        marq_parse_fail(p, MARQ_MEMORY);
    }
}

static bool same_bytes(const marq_parser *p, marq_span a, marq_span b) {
    return a.to - a.from == b.to - b.from &&
           memcmp(p->source->bytes + a.from, p->source->bytes + b.from,
                  a.to - a.from) == 0;
}

static void read_title(marq_parser *p, marq_span span, marq_span value) {
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

static void read_level(marq_parser *p, uint32_t from, uint32_t to) {
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

static void read_music(marq_parser *p, size_t a, size_t b) {
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

static bool same_place(const marq_stand *a, const marq_stand *b) {
    return a->has_bodies == b->has_bodies && a->facings == b->facings &&
           a->alignments == b->alignments && a->numbered == b->numbered &&
           memcmp(a->bodies, b->bodies, sizeof a->bodies) == 0;
}

static void read_end(marq_parser *p, bool start, size_t a, size_t b) {
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
        tell_twice(p, start ? "the start" : "the finish", stand.span,
                   to->span);
    }
}

static void read_side_heading(marq_parser *p, marq_side side,
                              marq_span span) {
    marq_parse_stretch(p, (uint32_t)p->tree->items.count);
    p->side = (uint8_t)side;
    p->line.side = p->side;
    p->last_step = MARQ_NO_INDEX;
    if (p->tree->items.count > 0) {
        (void)marq_parse_note(p, NULL, MARQ_DIAG_SECOND_SIDE, span, NULL,
                              NULL);
    }
}

/* Is there a step on a line that begins with "start" or "finish"?  Then the
 * word is talk ("finish with two changements"). */
static bool has_step(const marq_parser *p, size_t a, size_t b) {
    for (size_t i = a; i < b; i++) {
        const marq_lexeme *lex = marq_parse_lexeme(p, i);
        if (marq_lex_is(p, lex, MARQ_ROLE_TERM, NULL) &&
            !marq_lex_is(p, lex, MARQ_ROLE_FREE, NULL) &&
            !marq_lex_is(p, lex, MARQ_ROLE_POSITION, NULL) &&
            !marq_lex_is(p, lex, MARQ_ROLE_QUALIFIER, NULL)) {
            return true;
        }
    }
    return false;
}

/* "right:" or "left leg:" alone heads a side. */
static marq_side heads_side(const marq_parser *p, size_t a, size_t b) {
    const marq_lexeme *lex = marq_parse_lexeme(p, a);
    if (a + 1 < b && lex[1].kind == MARQ_LEX_COLON) {
        return marq_lex_side(p, lex);
    }
    return MARQ_SIDE_NONE;
}

/* Reads a line that begins with a heading.  *rest: where reading goes on, b
 * for nowhere.  False if it is no heading. */
static bool read_heading(marq_parser *p, size_t a, size_t b, size_t *rest) {
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
    read_side_heading(p, side,
                      marq_parse_span(p, lex->from,
                                      marq_parse_lexeme(p, next - 1)->to));
    *rest = next;
    return true;
}

/* The first line of several is a title if nothing on it can be danced or
 * stood in and it looks like a heading: a colon or a blank line after it, or
 * a word for a kind of dance. */
static bool looks_like_title(const marq_parser *p, size_t a, size_t b) {
    bool sure = false;
    if (b >= p->lexemes.count || p->tree->headings.count > 0 ||
        p->tree->items.count > 0 || p->tree->start.written) {
        return false;
    }
    if (marq_parse_lexeme(p, b - 1)->kind == MARQ_LEX_COLON) {
        return !marq_lex_is(p, marq_parse_lexeme(p, a), MARQ_ROLE_POSITION,
                            NULL) &&
               !marq_parse_is_stand(p, a, b - 1) &&
               marq_parse_lexeme(p, a)->kind != MARQ_LEX_NOTE;
    }
    for (size_t i = a; i < b; i++) {
        const marq_lexeme *lex = marq_parse_lexeme(p, i);
        bool talk = marq_lex_is(p, lex, MARQ_ROLE_REMARK, NULL);
        bool quality = marq_lex_is(p, lex, MARQ_ROLE_QUALIFIER, NULL) &&
                       !marq_lex_is(p, lex, MARQ_ROLE_TERM, NULL);
        sure = sure || talk || lex->kind == MARQ_LEX_BRACKET;
        if (lex->kind != MARQ_LEX_WORD && lex->kind != MARQ_LEX_BRACKET &&
            !marq_lex_note(lex, MARQ_NOTE_QUANTITY) && !talk && !quality &&
            !marq_lex_is(p, lex, MARQ_ROLE_NUMBER, NULL) &&
            !marq_lex_is(p, lex, MARQ_ROLE_FILLER, NULL)) {
            return false;
        }
    }
    return sure || (b + 1 < p->lexemes.count &&
                    marq_parse_lexeme(p, b + 1)->kind == MARQ_LEX_LINE);
}

static void read_first_title(marq_parser *p, size_t a, size_t b) {
    uint32_t from = marq_parse_lexeme(p, a)->from;
    uint32_t to = marq_parse_lexeme(p, b)->from; /* the line feed */
    bool colon = marq_parse_lexeme(p, b - 1)->kind == MARQ_LEX_COLON;
    marq_span span = marq_parse_span(p, from, to);
    while (to > from && (p->text.bytes[to - 1] == ' ' ||
                         p->text.bytes[to - 1] == ':')) {
        to--;
    }
    read_title(p, span, marq_parse_span(p, from, to));
    if (!colon) {
        (void)marq_parse_note(p, NULL, MARQ_DIAG_NEAR_WORD, span,
                              marq_parse_quote(p, span), "the title");
    }
}

/* ---- lines ---- */

/* Counts after the steps they are of ("glissade 1-2"): the stretch begins
 * with the group before them. */
static bool take_late_counts(marq_parser *p, const marq_lexeme *lex,
                             uint32_t group_items) {
    if (p->line.has_counts || p->tree->items.count == group_items) {
        return false;
    }
    if (p->line.first_item < group_items) {
        marq_parse_stretch(p, group_items);
    }
    marq_parse_counts(p, lex);
    marq_parse_stretch(p, (uint32_t)p->tree->items.count);
    return true;
}

static bool is_last_of_group(const marq_parser *p, size_t i, size_t b) {
    return i + 1 >= b || marq_lex_ends_group(p, marq_parse_lexeme(p, i + 1));
}

/* The groups of lexemes [a, b), which are one line. */
static void read_groups(marq_parser *p, size_t a, size_t b) {
    size_t from = a;
    uint32_t items = (uint32_t)p->tree->items.count; /* before the group */
    for (size_t i = a; i < b && p->status == MARQ_OK; i++) {
        const marq_lexeme *lex = marq_parse_lexeme(p, i);
        if (marq_lex_is_count(lex)) {
            bool late = is_last_of_group(p, i, b);
            if (late && i == from) {
                continue; /* counts alone: told as talk by their group */
            }
            marq_parse_group(p, from, i);
            from = i + 1;
            if (!late) {
                marq_parse_stretch(p, (uint32_t)p->tree->items.count);
                marq_parse_counts(p, lex);
            } else if (!take_late_counts(p, lex, items)) {
                from = i; /* talk */
            }
        } else if (marq_lex_ends_group(p, lex)) {
            marq_parse_group(p, from, i);
            from = i + 1;
            items = (uint32_t)p->tree->items.count;
            if (lex->kind == MARQ_LEX_SEMI) {
                marq_parse_stretch(p, items);
                p->break_pending = true;
            }
        }
    }
    marq_parse_group(p, from, b);
}

static void read_line(marq_parser *p, size_t a, size_t b) {
    size_t rest;
    marq_parse_stretch(p, (uint32_t)p->tree->items.count);
    p->line_item = (uint32_t)p->tree->items.count;
    while (a < b && marq_lex_is(p, marq_parse_lexeme(p, a), MARQ_ROLE_FILLER,
                                NULL) &&
           a + 1 < b && marq_lex_is_count(marq_parse_lexeme(p, a + 1))) {
        a++; /* counts 1-4 */
    }
    if (looks_like_title(p, a, b)) {
        read_first_title(p, a, b);
        return;
    }
    rest = b;
    if (read_heading(p, a, b, &rest)) {
        a = rest;
    }
    if (a < b && marq_lex_is_count(marq_parse_lexeme(p, a)) &&
        (marq_parse_lexeme(p, a)->first || rest == a)) {
        marq_parse_counts(p, marq_parse_lexeme(p, a));
        a++;
        if (a < b && marq_parse_lexeme(p, a)->kind == MARQ_LEX_COLON) {
            a++;
        }
    }
    read_groups(p, a, b);
    marq_parse_stretch(p, (uint32_t)p->tree->items.count);
}

static void read_lines(marq_parser *p) {
    for (size_t a = 0; a < p->lexemes.count && p->status == MARQ_OK;) {
        size_t b = end_of_line(p, a);
        if (a < b) {
            read_line(p, a, b);
        } else {
            p->break_pending = true;
        }
        a = b + 1;
    }
    marq_parse_stretch(p, (uint32_t)p->tree->items.count);
}

/* ---- the whole ---- */

static void tell_whole(marq_parser *p) {
    bool steps = false;
    for (size_t i = 0; i < p->tree->items.count && !steps; i++) {
        uint8_t kind = MARQ_AT(&p->tree->items, marq_item, i)->kind;
        steps = kind == MARQ_ITEM_STEP || kind == MARQ_ITEM_UNKNOWN ||
                kind == MARQ_ITEM_HOLE;
    }
    if (!steps) {
        (void)marq_parse_note(p, NULL, MARQ_DIAG_NO_STEPS, (marq_span){0, 0},
                              NULL, NULL);
    }
    if (p->faults > 0) {
        const char *first = memchr(p->text.bytes, '\1', p->text.length);
        uint32_t at = first ? (uint32_t)(first - p->text.bytes) : 0;
        marq_build number;
        const char *text;
        marq_build_init(&number, &p->scratch);
        marq_build_number(&number, (int64_t)p->faults);
        text = marq_build_done(&number, NULL);
        if (!text) {
            marq_parse_fail(p, MARQ_MEMORY);
            return;
        }
        (void)marq_parse_note(p, NULL, MARQ_DIAG_BROKEN_BYTES,
                              marq_parse_span(p, at, at + (first != NULL)),
                              text, NULL);
    }
}

static void find_place_term(marq_parser *p) {
    p->place_term = MARQ_NO_ID;
    for (size_t i = 0; i < p->data->term_count; i++) {
        if (strcmp(marq_string(p->vocab, p->data->terms[i].id), "place") ==
            0) {
            p->place_term = (uint16_t)i;
        }
    }
}

marq_status marq_parse(marq_tree *tree, marq_arena *arena,
                       const marq_vocab *vocab, const marq_source *source,
                       marq_findings *findings) {
    marq_parser p = {.tree = tree,
                     .vocab = vocab,
                     .data = vocab->data,
                     .source = source,
                     .findings = findings,
                     .last_step = MARQ_NO_INDEX};
    marq_tree_init(tree, arena, source);
    marq_arena_init(&p.scratch, arena->mem);
    marq_array_init(&p.words, &p.scratch, sizeof(marq_word));
    marq_array_init(&p.closes, &p.scratch, sizeof(uint32_t));
    marq_array_init(&p.lexemes, &p.scratch, sizeof(marq_lexeme));
    marq_array_init(&p.pending, &p.scratch, sizeof(marq_mark));
    find_place_term(&p);
    p.status = marq_pattern_scratch_new(&p.match, arena->mem);
    if (p.status == MARQ_OK) {
        p.status = marq_text_fold(&p.text, &p.scratch, source->bytes,
                                  source->length, &p.faults);
    }
    if (p.status == MARQ_OK) {
        marq_parse_cut(&p);
    }
    if (p.status == MARQ_OK) {
        marq_parse_lex(&p);
    }
    if (p.status == MARQ_OK) {
        settle_counts(&p);
        read_lines(&p);
    }
    if (p.status == MARQ_OK) {
        tell_whole(&p);
    }
    marq_pattern_scratch_free(p.match);
    marq_arena_free(&p.scratch);
    return p.status;
}
