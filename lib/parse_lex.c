/* parse_lex.c - words and signs into lexemes.
 *
 * At each word the longest of three wins: a form of the vocabulary, a
 * pattern, and, when neither is there, a near miss. */
#include "parse_parts.h"

#define NUMBER_MOST 1000000000u /* larger numbers are read as this one */

typedef struct lexer {
    marq_parser *p;
    size_t at;      /* folded byte */
    size_t word;    /* the first word that does not begin before `at` */
    size_t bracket; /* the next bracket to open */
    bool first;     /* nothing of this line was read */
    bool talk;      /* this line is a title, music or a remark: what stands
                       in it is no step and is not compared with steps */
    bool assumed;   /* a tilde was read */
    bool unclosed_told;
} lexer;

static marq_lexeme *add_lexeme(lexer *l, marq_lex kind, size_t from, size_t to)
{
    marq_lexeme *lex = marq_array_add(&l->p->lexemes);
    if (!lex) {
        marq_parse_fail(l->p, MARQ_MEMORY);
        return NULL;
    }
    lex->kind = (uint8_t)kind;
    lex->from = (uint32_t)from;
    lex->to = (uint32_t)to;
    lex->position = MARQ_POSITIONS;
    lex->term = MARQ_NO_ID;
    lex->next_term = MARQ_NO_ID;
    lex->first = l->first;
    lex->assumed = l->assumed;
    l->assumed = false;
    return lex;
}

/* ---- patterns ---- */
#define BIT    MARQ_NOTATION_BIT
#define WINDOW 256u /* bytes a pattern sees; no written form is so long */

/* What may begin here.  A pattern for counts is not tried on a word without
 * a digit, and so on: a page of noise must not cost a match a word each. */
static unsigned wanted_notations(const lexer *l, size_t from, size_t to)
{
    const char *s = l->p->text.bytes;
    bool digit = false;
    unsigned wanted = 0;
    for (size_t i = from; i < to; i++) {
        digit = digit || (s[i] >= '0' && s[i] <= '9');
    }
    if (digit && s[from] >= '0' && s[from] <= '9') {
        wanted |= BIT(MARQ_NOTE_COUNT_RANGE) | BIT(MARQ_NOTE_COUNT_AND) |
                  BIT(MARQ_NOTE_QUANTITY) | BIT(MARQ_NOTE_LENGTH);
        if (l->first) {
            wanted |= BIT(MARQ_NOTE_COUNT);
        }
    } else {
        wanted |= BIT(MARQ_NOTE_NUMBERED) | BIT(MARQ_NOTE_LENGTH) |
                  BIT(MARQ_NOTE_FOOT);
    }
    if (digit || to - from <= 2) {
        wanted |= BIT(MARQ_NOTE_TIMES);
    }
    return wanted | BIT(MARQ_NOTE_FOOT_FRONT);
}

/* The number a part says, in digits or as a word; false if neither. */
static bool part_number(const marq_parser *p, const marq_match *match,
                        size_t part, uint32_t *out)
{
    const char *s = p->text.bytes + match->from_of[part];
    size_t length = match->to_of[part] - match->from_of[part];
    uint32_t n = 0;
    char key[MARQ_FORM_BYTES_MOST];
    size_t used, i;
    for (i = 0; i < length && s[i] >= '0' && s[i] <= '9'; i++) {
        n = n < NUMBER_MOST / 10 ? n * 10 + (uint32_t)(s[i] - '0')
                                 : NUMBER_MOST;
    }
    if (length > 0 && i == length) {
        *out = n;
        return true;
    }
    if (length > 0 && marq_form_key_into(key, sizeof key, s, length, &used)) {
        const marq_form *form = marq_form_find(p->data, key, used);
        uint16_t id;
        if (form && marq_form_is(p->data, form, MARQ_ROLE_NUMBER, &id)) {
            *out = id;
            return true;
        }
    }
    return false;
}

/* A position named by its number or a word of the vocabulary. */
static bool part_position(const marq_parser *p, const marq_match *match,
                          size_t part, uint8_t *out)
{
    static const uint8_t numbered[] = {MARQ_POSITIONS, MARQ_FIRST,  MARQ_SECOND,
                                       MARQ_THIRD,     MARQ_FOURTH, MARQ_FIFTH};
    char key[MARQ_FORM_BYTES_MOST];
    size_t used;
    uint32_t n;
    uint16_t id;
    if (match->from_of[part] == match->to_of[part]) {
        return true;
    }
    if (part_number(p, match, part, &n)) {
        *out = n < sizeof numbered ? numbered[n] : MARQ_POSITIONS;
        return *out != MARQ_POSITIONS;
    }
    if (marq_form_key_into(key, sizeof key,
                           p->text.bytes + match->from_of[part],
                           match->to_of[part] - match->from_of[part], &used)) {
        const marq_form *form = marq_form_find(p->data, key, used);
        if (form && marq_form_is(p->data, form, MARQ_ROLE_POSITION, &id)) {
            *out = (uint8_t)id;
            return true;
        }
    }
    return false;
}

static bool has_and(const marq_parser *p, size_t from, size_t to)
{
    return memchr(p->text.bytes + from, '&', to - from) != NULL;
}

/* Puts a match into a lexeme; false if its parts say nothing. */
static bool fill_note(const marq_parser *p, marq_lexeme *lex,
                      marq_notation notation, const marq_match *match)
{
    size_t from = lex->from, to = match->to;
    bool right, left;
    lex->note = (uint8_t)notation;
    lex->to = (uint32_t)to;
    switch (notation) {
    case MARQ_NOTE_COUNT_RANGE:
        lex->and_before = has_and(p, from, match->from_of[0]);
        lex->and_after = has_and(p, match->to_of[1], to);
        return part_number(p, match, 0, &lex->value) &&
               part_number(p, match, 1, &lex->value_to);
    case MARQ_NOTE_COUNT:
        if (!part_number(p, match, 0, &lex->value)) {
            return false;
        }
        lex->value_to = lex->value;
        return true;
    case MARQ_NOTE_COUNT_AND:
        if (!part_number(p, match, 1, &lex->value)) {
            return false;
        }
        lex->value_to = lex->value;
        lex->and_before = match->from_of[0] < match->from_of[1];
        lex->and_after = !lex->and_before;
        return true;
    case MARQ_NOTE_TIMES:
    case MARQ_NOTE_QUANTITY:
    case MARQ_NOTE_NUMBERED:
    case MARQ_NOTE_LENGTH:
    case MARQ_NOTE_TEMPO:
        return part_number(p, match, 0, &lex->value);
    case MARQ_NOTE_METRE:
        return part_number(p, match, 0, &lex->value) &&
               part_number(p, match, 1, &lex->value_to);
    case MARQ_NOTE_FOOT_FRONT:
        lex->behind = match->to_of[2] > match->from_of[2];
        if (!part_position(p, match, 3, &lex->position)) {
            return false;
        }
        break;
    case MARQ_NOTE_FOOT:
    case MARQ_NOTATIONS:
        break;
    }
    right = match->to_of[0] > match->from_of[0];
    left = match->to_of[1] > match->from_of[1];
    lex->side = right ? MARQ_SIDE_RIGHT : MARQ_SIDE_LEFT;
    return right != left;
}

bool marq_parse_match(marq_parser *p, unsigned wanted, size_t at, size_t beyond,
                      marq_lexeme *out)
{
    bool any = false;
    size_t end = p->text.length;
    if (end - at > WINDOW) { /* else a match looks for its end far away */
        end = at + WINDOW;
        while (((unsigned char)p->text.bytes[end] & 0xc0) == 0x80) {
            end--;
        }
    }
    for (size_t i = 0; i < p->data->notation_count; i++) {
        marq_notation notation = (marq_notation)p->data->notations[i].notation;
        marq_lexeme lex = *out;
        marq_match match;
        bool found;
        marq_status s;
        if (!(wanted & BIT(notation)) ||
            !marq_pattern_may_begin(p->vocab->patterns[i], p->text.bytes[at])) {
            continue;
        }
        s = marq_pattern_at(p->vocab->patterns[i], p->match, p->text.bytes, end,
                            at, &match, &found);
        if (s != MARQ_OK) {
            marq_parse_fail(p, s);
            return false;
        }
        if (found && match.to - at > beyond &&
            (match.to < end || end == p->text.length) &&
            fill_note(p, &lex, notation, &match)) {
            beyond = match.to - at;
            *out = lex;
            any = true;
        }
    }
    return any;
}

/* A plain count at the beginning of a line: is it set off like a column, and
 * may it be a quantity too? */
static void look_at_count(lexer *l, marq_lexeme *lex)
{
    marq_parser *p = l->p;
    const char *s = p->text.bytes;
    size_t to = lex->to;
    marq_lexeme quantity = *lex;
    char next = to < p->text.length ? s[to] : '\n';
    if (next == '.' || next == ')') { /* a list's number */
        lex->kind = MARQ_LEX_WORD;
        return;
    }
    lex->column =
        next == ':' || next == '\n' ||
        (next == ' ' && (p->source->bytes[p->text.place[to]] == '\t' ||
                         (to + 1 < p->text.length && s[to + 1] == ' ')));
    lex->quantity_too =
        marq_parse_match(p, BIT(MARQ_NOTE_QUANTITY), lex->from, 0, &quantity) &&
        quantity.to == lex->to;
}

/* ---- words ---- */

/* Goes on at folded byte `to`. */
static void go_to(lexer *l, size_t to)
{
    const marq_parser *p = l->p;
    l->at = to;
    while (l->word < p->words.count &&
           MARQ_AT(&p->words, marq_word, l->word)->from < to) {
        l->word++;
    }
}

/* Is a full stop at `to` the last letter of this abbreviation? */
static bool takes_stop(const marq_parser *p, const marq_form *form, size_t to)
{
    const char *shown = p->data->strings + form->shown;
    size_t length = strlen(shown);
    return to < p->text.length && p->text.bytes[to] == '.' && length > 0 &&
           shown[length - 1] == '.' &&
           !(to + 1 < p->text.length && p->text.bytes[to + 1] == '.');
}

static bool joins(const marq_word *word)
{
    return word->before == MARQ_GAP_SPACE || word->before == MARQ_GAP_HYPHEN;
}

static bool is_letters(const marq_parser *p, size_t from, size_t to)
{
    for (size_t i = from; i < to; i++) {
        char c = p->text.bytes[i];
        if (!((c >= 'a' && c <= 'z') || c == '\'' || c == '-' || c == ' ')) {
            return false;
        }
    }
    return true;
}

#define NEAR_WINDOW 4u /* words of a misspelt form */

/* A misspelt form that begins at the unknown word or at the word before it,
 * the most words first.  *back: the word before is part of it. */
static const marq_form *find_near(lexer *l, bool *back, size_t *end)
{
    marq_parser *p = l->p;
    const marq_word *words = MARQ_AT(&p->words, marq_word, 0);
    size_t i = l->word;
    const marq_lexeme *last = p->lexemes.count > 0
                                  ? marq_parse_lexeme(p, p->lexemes.count - 1)
                                  : NULL;
    bool before =
        i > 0 && last &&
        (last->kind == MARQ_LEX_FORM || last->kind == MARQ_LEX_WORD) &&
        last->to == words[i - 1].to && joins(&words[i]) &&
        last->from == words[i - 1].from;
    for (int first = before ? -1 : 0; first <= 0; first++) {
        size_t from = first < 0 ? i - 1 : i, most = i + 1;
        while (most < p->words.count && most - from < NEAR_WINDOW &&
               joins(&words[most])) {
            most++;
        }
        for (size_t to = most; to > i; to--) {
            const marq_form *form = NULL;
            if (is_letters(p, words[from].from, words[to - 1].to)) {
                form = marq_parse_near(p, words[from].from, words[to - 1].to);
            }
            if (form) {
                *back = first < 0;
                *end = words[to - 1].to;
                return form;
            }
        }
    }
    return NULL;
}

/* The longest form at a word; but "facing front left corner" is not "facing
 * front" and "left corner". */
static const marq_form *find_form(const marq_parser *p, size_t word,
                                  size_t *used)
{
    const marq_word *words = MARQ_AT(&p->words, marq_word, 0);
    const marq_form *form =
        marq_word_longest(p->data, &p->text, words, p->words.count, word, used);
    const marq_form *first, *rest;
    size_t one, more;
    uint16_t id;
    if (!form || *used < 2) {
        return form;
    }
    if ((word == 0 || words[word].before == MARQ_GAP_LINE) &&
        !marq_form_is(p->data, form, MARQ_ROLE_HEADING, NULL)) {
        /* "finish on the right": the heading is meant before "finish on" */
        first =
            marq_word_longest(p->data, &p->text, words, word + 1, word, &one);
        if (first && marq_form_is(p->data, first, MARQ_ROLE_HEADING, &id) &&
            (id == MARQ_HEAD_START || id == MARQ_HEAD_FINISH)) {
            *used = 1;
            return first;
        }
    }
    if (!marq_form_is(p->data, form, MARQ_ROLE_FACING, NULL)) {
        return form;
    }
    first = marq_word_longest(p->data, &p->text, words, word + 1, word, &one);
    if (!first || !marq_form_is(p->data, first, MARQ_ROLE_RELATION, &id)) {
        return form;
    }
    rest = marq_word_longest(p->data, &p->text, words, p->words.count, word + 1,
                             &more);
    if (rest && more + 1 > *used &&
        marq_form_is(p->data, rest, MARQ_ROLE_FACING, NULL)) {
        *used = 1;
        return first;
    }
    return form;
}

static bool begins_talk(const marq_parser *p, const marq_form *form)
{
    uint16_t heading;
    return form && marq_form_is(p->data, form, MARQ_ROLE_HEADING, &heading) &&
           (heading == MARQ_HEAD_TITLE || heading == MARQ_HEAD_LEVEL ||
            heading == MARQ_HEAD_MUSIC || heading == MARQ_HEAD_REMARK);
}

static void lex_word(lexer *l)
{
    marq_parser *p = l->p;
    const marq_word *word = MARQ_AT(&p->words, marq_word, l->word);
    size_t used = 0, form_to = word->from, end;
    bool back = false;
    const marq_form *form = find_form(p, l->word, &used);
    marq_lexeme *lex = add_lexeme(l, MARQ_LEX_NOTE, word->from, word->to);
    if (!lex) {
        return;
    }
    if (form) {
        form_to = MARQ_AT(&p->words, marq_word, l->word + used - 1)->to;
    }
    if (l->first) {
        l->talk = begins_talk(p, form);
    }
    if (marq_parse_match(p, wanted_notations(l, word->from, word->to),
                         word->from, form_to - word->from, lex)) {
        if (lex->note == MARQ_NOTE_COUNT) {
            look_at_count(l, lex);
        }
        go_to(l, lex->to);
        return;
    }
    if (form) {
        lex->kind = MARQ_LEX_FORM;
        lex->form = form;
        lex->to = (uint32_t)(form_to + takes_stop(p, form, form_to));
        go_to(l, lex->to);
        return;
    }
    lex->kind = MARQ_LEX_WORD;
    p->lexemes.count--; /* find_near looks at the one before */
    form = l->talk ? NULL : find_near(l, &back, &end);
    p->lexemes.count++;
    if (form) {
        if (back) {
            p->lexemes.count--;
            lex = marq_parse_lexeme(p, p->lexemes.count - 1);
        }
        lex->kind = MARQ_LEX_FORM;
        lex->form = form;
        lex->to = (uint32_t)(end + takes_stop(p, form, end));
        lex->near = true;
    }
    go_to(l, lex->to);
}

/* ---- signs ---- */

static void add_break(lexer *l, marq_lex kind, size_t width)
{
    marq_parser *p = l->p;
    /* A bullet or dash before the first word of a line is none, and two in a
     * row are one. */
    if (!l->first &&
        !(kind == MARQ_LEX_BREAK &&
          marq_parse_lexeme(p, p->lexemes.count - 1)->kind == MARQ_LEX_BREAK)) {
        (void)add_lexeme(l, kind, l->at, l->at + width);
    }
    l->at += width;
}

static void lex_bracket(lexer *l)
{
    marq_parser *p = l->p;
    const char *s = p->text.bytes;
    size_t from = l->at + 1, to, next;
    uint32_t close = *MARQ_AT(&p->closes, uint32_t, l->bracket);
    if (close == MARQ_NO_INDEX) {
        /* Taken to the end of its line, so that the rest can be read. */
        for (to = from; to < p->text.length && s[to] != '\n'; to++) {
        }
        next = to;
        p->tree->unfinished = true;
        if (!l->unclosed_told) {
            l->unclosed_told = true;
            (void)marq_parse_note(
                p, NULL, MARQ_DIAG_UNCLOSED_BRACKET,
                marq_parse_span(p, (uint32_t)l->at, (uint32_t)from), NULL,
                NULL);
        }
    } else {
        to = close;
        next = (size_t)close + 1;
    }
    for (size_t i = l->at; i < next; i++) {
        l->bracket += s[i] == '(';
    }
    while (from < to && (s[from] == ' ' || s[from] == '\n')) {
        from++;
    }
    while (to > from && (s[to - 1] == ' ' || s[to - 1] == '\n')) {
        to--;
    }
    if (to > from) {
        (void)add_lexeme(l, MARQ_LEX_BRACKET, from, to);
        l->first = false;
    }
    go_to(l, next);
}

static void lex_ampersand(lexer *l)
{
    marq_parser *p = l->p;
    marq_lexeme *lex;
    if (!l->first) {
        lex = add_lexeme(l, MARQ_LEX_NOTE, l->at, l->at);
        if (lex && marq_parse_match(
                       p, BIT(MARQ_NOTE_COUNT_AND) | BIT(MARQ_NOTE_COUNT_RANGE),
                       l->at, 0, lex)) {
            go_to(l, lex->to);
            return;
        }
        p->lexemes.count -= lex != NULL;
        add_break(l, MARQ_LEX_BREAK, 1);
        return;
    }
    lex = add_lexeme(l, MARQ_LEX_NOTE, l->at, l->at + 1);
    l->first = false;
    if (lex && !marq_parse_match(
                   p, BIT(MARQ_NOTE_COUNT_AND) | BIT(MARQ_NOTE_COUNT_RANGE),
                   l->at, 0, lex)) {
        lex->kind = MARQ_LEX_AND;
    }
    if (lex) {
        go_to(l, lex->to);
    }
}

static void lex_hyphen(lexer *l)
{
    const marq_parser *p = l->p;
    const char *s = p->text.bytes;
    size_t i = l->at;
    if (i + 1 < p->text.length && s[i + 1] == '>') {
        add_break(l, MARQ_LEX_BREAK, 2);
    } else if (i > 0 && i + 1 < p->text.length &&
               marq_parse_is_letter(s[i - 1]) &&
               marq_parse_is_letter(s[i + 1])) {
        l->at++; /* inside a form or between two steps */
    } else {
        add_break(l, MARQ_LEX_BREAK, 1);
    }
}

static void lex_sign(lexer *l)
{
    switch (l->p->text.bytes[l->at]) {
    case '\n':
        l->assumed = false;
        (void)add_lexeme(l, MARQ_LEX_LINE, l->at, l->at + 1);
        l->at++;
        l->first = true;
        break;
    case '(':
        lex_bracket(l);
        break;
    case '&':
        lex_ampersand(l);
        break;
    case '-':
        lex_hyphen(l);
        break;
    case ';':
        add_break(l, MARQ_LEX_SEMI, 1);
        break;
    case ':':
        add_break(l, MARQ_LEX_COLON, 1);
        break;
    case '~':
        l->assumed = true;
        l->at++;
        break;
    case ',':
    case '.':
    case '!':
    case '?':
    case '+':
    case '/':
    case '=':
    case '|':
    case '[':
    case ']':
    case '{':
    case '}':
    case ')':
    case '>':
        add_break(l, MARQ_LEX_BREAK, 1);
        break;
    default: /* blanks, quotation marks, bullets, bytes that are no text */
        l->at++;
        break;
    }
}

void marq_parse_lex(marq_parser *p)
{
    lexer l = {.p = p, .first = true};
    while (l.at < p->text.length && p->status == MARQ_OK) {
        if (l.word < p->words.count &&
            MARQ_AT(&p->words, marq_word, l.word)->from == l.at) {
            lex_word(&l);
            /* Fillers before the counts of a line ("counts 1-4") leave it at
             * its beginning. */
            if (p->status == MARQ_OK &&
                !marq_lex_is(p, marq_parse_lexeme(p, p->lexemes.count - 1),
                             MARQ_ROLE_FILLER, NULL)) {
                l.first = false;
            }
        } else {
            lex_sign(&l);
        }
    }
}
