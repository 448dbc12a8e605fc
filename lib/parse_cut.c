/* parse_cut.c - folded text into words; which bracket closes which. */
#include "parse_parts.h"

bool marq_parse_is_letter(char c)
{
    return (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') ||
           (unsigned char)c >= 0x80;
}

static bool is_plain_letter(char c)
{
    return (c >= 'a' && c <= 'z') || (unsigned char)c >= 0x80;
}

/* End of the word that begins at `at`. */
static size_t end_word(const char *s, size_t length, size_t at)
{
    size_t part = at; /* where the letters since the last full stop begin */
    bool dotted = false;
    size_t i = at;
    while (i < length) {
        if (marq_parse_is_letter(s[i])) {
            i++;
        } else if (s[i] == '\'' && i + 1 < length &&
                   marq_parse_is_letter(s[i + 1])) {
            i += 2;
        } else if (s[i] == '.' && i == part + 1 && is_plain_letter(s[part]) &&
                   i + 1 < length && is_plain_letter(s[i + 1])) {
            dotted = true; /* p.d.b */
            i++;
            part = i;
        } else {
            break;
        }
    }
    if (dotted && i < length && s[i] == '.' &&
        !(i + 1 < length && s[i + 1] == '.')) {
        i++;
    }
    return i;
}

static uint8_t gap_kind(const char *s, size_t from, size_t to)
{
    bool hyphen = false, blank = false, comma = false, other = false;
    for (size_t i = from; i < to; i++) {
        switch (s[i]) {
        case '\n':
            return MARQ_GAP_LINE;
        case ' ':
        case '\'':
        case '"':
            blank = true;
            break;
        case '-':
            other = other || hyphen;
            hyphen = true;
            break;
        case ',':
            comma = true;
            break;
        default:
            other = true;
            break;
        }
    }
    if (comma) {
        return MARQ_GAP_COMMA;
    }
    if (other || (hyphen && blank) || from == to) {
        return MARQ_GAP_OTHER;
    }
    return hyphen ? MARQ_GAP_HYPHEN : MARQ_GAP_SPACE;
}

static void add_word(marq_parser *p, size_t from, size_t to)
{
    marq_word *word;
    size_t before = 0;
    if (p->words.count >= p->vocab->limits.words) {
        marq_parse_fail(p, MARQ_LIMIT);
        return;
    }
    if (p->words.count > 0) {
        before = MARQ_AT(&p->words, marq_word, p->words.count - 1)->to;
    }
    word = marq_array_add(&p->words);
    if (!word) {
        marq_parse_fail(p, MARQ_MEMORY);
        return;
    }
    word->from = (uint32_t)from;
    word->to = (uint32_t)to;
    word->before = gap_kind(p->text.bytes, before, from);
}

/* A bracket opened is a number in `open`, the stack of those not closed. */
static void open_bracket(marq_parser *p, marq_array *open)
{
    uint32_t *close = marq_array_add(&p->closes);
    uint32_t *index = marq_array_add(open);
    if (!close || !index) {
        marq_parse_fail(p, MARQ_MEMORY);
        return;
    }
    *close = MARQ_NO_INDEX;
    *index = (uint32_t)(p->closes.count - 1);
}

static void close_bracket(marq_parser *p, marq_array *open, size_t at)
{
    if (open->count > 0) {
        open->count--;
        *MARQ_AT(&p->closes, uint32_t, *MARQ_AT(open, uint32_t, open->count)) =
            (uint32_t)at;
    }
}

void marq_parse_cut(marq_parser *p)
{
    const char *s = p->text.bytes;
    size_t length = p->text.length;
    marq_array open;
    size_t i = 0;
    marq_array_init(&open, &p->scratch, sizeof(uint32_t));
    while (i < length && p->status == MARQ_OK) {
        if (marq_parse_is_letter(s[i])) {
            size_t to = end_word(s, length, i);
            add_word(p, i, to);
            i = to;
        } else if (s[i] == '.' && i + 2 < length && s[i + 1] == '.' &&
                   s[i + 2] == '.') {
            size_t to = i + 3;
            while (to < length && s[to] == '.') {
                to++;
            }
            /* Three say what more of them do. */
            add_word(p, i, i + 3);
            i = to;
        } else {
            if (s[i] == '(') {
                open_bracket(p, &open);
            } else if (s[i] == ')') {
                close_bracket(p, &open, i);
            }
            i++;
        }
    }
}
