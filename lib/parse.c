/* parse.c - lines, headings, counts; the groups of a line. */
#include "parse_parts.h"

/* ---- shared small things ---- */

void marq_parse_fail(marq_parser *p, marq_status status)
{
    if (p->status == MARQ_OK) {
        p->status = status;
    }
}

marq_span marq_parse_span(const marq_parser *p, uint32_t from, uint32_t to)
{
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

const char *marq_parse_number(marq_parser *p, int64_t number)
{
    marq_build text;
    const char *made;
    marq_build_init(&text, &p->scratch);
    marq_build_number(&text, number);
    made = marq_build_done(&text, NULL);
    if (!made) {
        marq_parse_fail(p, MARQ_MEMORY);
        return "";
    }
    return made;
}

#define QUOTE_MOST 60u /* bytes */

const char *marq_parse_quote(marq_parser *p, marq_span span)
{
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
                     marq_span span, const char *a, const char *b)
{
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
                 uint16_t *id)
{
    return lex->kind == MARQ_LEX_FORM &&
           marq_form_is(p->data, lex->form, role, id);
}

bool marq_lex_note(const marq_lexeme *lex, marq_notation note)
{
    return lex->kind == MARQ_LEX_NOTE && lex->note == note;
}

marq_relation marq_lex_relation(const marq_parser *p, const marq_lexeme *lex)
{
    uint16_t id = 0;
    return marq_lex_is(p, lex, MARQ_ROLE_RELATION, &id) ? (marq_relation)id
                                                        : (marq_relation)0;
}

marq_where marq_lex_where(const marq_parser *p, const marq_lexeme *lex)
{
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

marq_side marq_lex_side(const marq_parser *p, const marq_lexeme *lex)
{
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

bool marq_lex_is_count(const marq_lexeme *lex)
{
    return lex->kind == MARQ_LEX_AND ||
           marq_lex_note(lex, MARQ_NOTE_COUNT_RANGE) ||
           marq_lex_note(lex, MARQ_NOTE_COUNT) ||
           marq_lex_note(lex, MARQ_NOTE_COUNT_AND);
}

/* ---- stretches: lines, and parts of lines with counts of their own ---- */

void marq_parse_stretch(marq_parser *p, uint32_t items)
{
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
            line->span.from =
                line->has_counts && line->count_span.from < first->span.from
                    ? line->count_span.from
                    : first->span.from;
            line->span.to =
                line->has_counts && line->count_span.to > last->span.to
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

static marq_count make_count(int64_t num, int64_t den)
{
    marq_count c = {num, den};
    (void)marq_count_make(&c, num, den); /* small numbers always fit */
    return c;
}

void marq_parse_counts(marq_parser *p, const marq_lexeme *lex)
{
    marq_line *line = &p->line;
    int64_t from = lex->value, to = lex->value_to;
    line->has_counts = true;
    line->count_span = marq_parse_span(p, lex->from, lex->to);
    if (lex->kind == MARQ_LEX_AND) {
        /* An & alone is the half after the counts before it. */
        const marq_line *last =
            p->tree->lines.count > 0
                ? MARQ_AT(&p->tree->lines, marq_line, p->tree->lines.count - 1)
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
    line->count_from =
        lex->and_before ? make_count(2 * from - 1, 2) : make_count(from, 1);
    line->count_half = lex->and_after;
    line->count_to =
        lex->and_after ? make_count(2 * to + 1, 2) : make_count(to, 1);
    if (marq_lex_note(lex, MARQ_NOTE_COUNT_AND) && lex->and_before) {
        line->count_to = line->count_from; /* &8: the half before 8 */
        line->count_half = true;
    }
}

/* ---- counts at the beginning of lines: counts, or how many? ---- */

static size_t end_of_line(const marq_parser *p, size_t a)
{
    while (a < p->lexemes.count &&
           marq_parse_lexeme(p, a)->kind != MARQ_LEX_LINE) {
        a++;
    }
    return a;
}

/* Is the word after a number written in the plural? */
static bool is_plural(const marq_parser *p, size_t i, size_t end)
{
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
                            strlen(p->data->strings + lex->form->shown) - 1] !=
               s[lex->to - 1];
}

/* A plain number that opens a line is a count where the text has counts
 * otherwise (unless it does not continue them and a plural follows), or where
 * such numbers run 1, 2, 3; else it says how many. */
static void settle_counts(marq_parser *p)
{
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
        if (lex->note == MARQ_NOTE_COUNT && !lex->column && lex->quantity_too &&
            (!counted || (lex->value != expected && lex->value > 1 &&
                          is_plural(p, i, p->lexemes.count)))) {
            lex->note = MARQ_NOTE_QUANTITY;
        } else {
            expected = lex->value_to + 1;
        }
    }
}

/* ---- lines ---- */

/* Counts after the steps they are of ("glissade 1-2"): the stretch begins
 * with the group before them. */
static bool take_late_counts(marq_parser *p, const marq_lexeme *lex,
                             uint32_t group_items)
{
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

static bool is_last_of_group(const marq_parser *p, size_t i, size_t b)
{
    return i + 1 >= b || marq_lex_ends_group(p, marq_parse_lexeme(p, i + 1));
}

/* The groups of lexemes [a, b), which are one line. */
static void read_groups(marq_parser *p, size_t a, size_t b)
{
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

static void read_line(marq_parser *p, size_t a, size_t b)
{
    size_t rest = marq_parse_inline_title(p, a, b);
    marq_parse_stretch(p, (uint32_t)p->tree->items.count);
    p->line_item = (uint32_t)p->tree->items.count;
    if (rest > a) {
        marq_parse_title(p, a, rest);
        a = rest + 1;
    }
    while (a < b &&
           marq_lex_is(p, marq_parse_lexeme(p, a), MARQ_ROLE_FILLER, NULL) &&
           a + 1 < b && marq_lex_is_count(marq_parse_lexeme(p, a + 1))) {
        a++; /* counts 1-4 */
    }
    if (marq_parse_is_title(p, a, b)) {
        marq_parse_title(p, a, b);
        return;
    }
    rest = b;
    if (marq_parse_head(p, a, b, &rest)) {
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

static void read_lines(marq_parser *p)
{
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

static void tell_whole(marq_parser *p)
{
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
        (void)marq_parse_note(p, NULL, MARQ_DIAG_BROKEN_BYTES,
                              marq_parse_span(p, at, at + (first != NULL)),
                              marq_parse_number(p, (int64_t)p->faults), NULL);
    }
}

static void find_place_term(marq_parser *p)
{
    p->place_term = MARQ_NO_ID;
    for (size_t i = 0; i < p->data->term_count; i++) {
        if (strcmp(marq_string(p->vocab, p->data->terms[i].id), "place") == 0) {
            p->place_term = (uint16_t)i;
        }
    }
}

marq_status marq_parse(marq_tree *tree, marq_arena *arena,
                       const marq_vocab *vocab, const marq_source *source,
                       marq_findings *findings)
{
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
