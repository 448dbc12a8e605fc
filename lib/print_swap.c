/* print_swap.c - the writer's own text, with right and left exchanged where
 * the other side is written. */
#include "print_words.h"

static bool is_blank(char c)
{
    return c == ' ' || c == '\t' || c == '\r' || c == '\n';
}

/* Letters, digits, what stands above ascii, and apostrophes: "L'autre" is no
 * L. */
static bool is_word(char c)
{
    unsigned char u = (unsigned char)c;
    return (u >= 'a' && u <= 'z') || (u >= 'A' && u <= 'Z') ||
           (u >= '0' && u <= '9') || u >= 0x80 || u == '\'';
}

typedef struct letters {
    const char *at;
    size_t length;
} letters;

static char lower_letter(char c)
{
    return c >= 'A' && c <= 'Z' ? (char)(c - 'A' + 'a') : c;
}

static bool same_letters(letters w, const char *word)
{
    if (strlen(word) != w.length) {
        return false;
    }
    for (size_t i = 0; i < w.length; i++) {
        if (lower_letter(w.at[i]) != word[i]) {
            return false;
        }
    }
    return true;
}

/* French nouns after which the masculine is written. */
static bool is_masculine(letters w)
{
    static const char *const nouns[] = {
        "pied", "bras", "genou", "talon", "coude", "mur", "côté", "cote",
        "pieds", "coin",
    };
    for (size_t i = 0; i < sizeof nouns / sizeof nouns[0]; i++) {
        if (same_letters(w, nouns[i])) {
            return true;
        }
    }
    return false;
}

/* The word for the other side, or NULL.  "droit" alone is straight on. */
static const char *other_word(letters w, letters before)
{
    if (same_letters(w, "right")) {
        return "left";
    }
    if (same_letters(w, "left")) {
        return "right";
    }
    if (same_letters(w, "droite")) {
        return "gauche";
    }
    if (same_letters(w, "gauche")) {
        return is_masculine(before) ? "droit" : "droite";
    }
    if (same_letters(w, "droit") && is_masculine(before)) {
        return "gauche";
    }
    return NULL;
}

static bool is_capital(char c)
{
    return c >= 'A' && c <= 'Z';
}

/* Writes the word for the other side in the capitals of this one: all, the
 * first, or none; other mixtures are nobody's word. */
static bool swap_word(marq_build *out, letters w, letters before)
{
    const char *word;
    size_t capitals = 0;
    if (w.length == 1 && (w.at[0] == 'R' || w.at[0] == 'L')) {
        marq_build_char(out, w.at[0] == 'R' ? 'L' : 'R');
        return true;
    }
    word = other_word(w, before);
    if (word == NULL) {
        return false;
    }
    for (size_t i = 0; i < w.length; i++) {
        capitals += is_capital(w.at[i]);
    }
    if (capitals != 0 && capitals != w.length &&
        (capitals != 1 || !is_capital(w.at[0]))) {
        return false;
    }
    for (size_t i = 0; word[i] != '\0'; i++) {
        bool large = capitals == w.length || (capitals == 1 && i == 0);
        marq_build_char(out, large ? (char)(word[i] - 'a' + 'A') : word[i]);
    }
    return true;
}

static letters source_text(const marq_tree *tree, marq_span span)
{
    letters text = {"", 0};
    if (tree == NULL || tree->source == NULL || span.from >= span.to ||
        span.to > tree->source->length) {
        return text;
    }
    text.at = tree->source->bytes + span.from;
    text.length = span.to - span.from;
    while (text.length > 0 && is_blank(text.at[0])) {
        text.at++;
        text.length--;
    }
    while (text.length > 0 && is_blank(text.at[text.length - 1])) {
        text.length--;
    }
    return text;
}

static void print_letters(marq_build *out, letters text, bool swap)
{
    letters before = {"", 0};
    size_t i = 0;
    while (i < text.length) {
        size_t n = 0;
        while (i + n < text.length && is_word(text.at[i + n])) {
            n++;
        }
        if (n > 0) {
            letters w = {text.at + i, n};
            if (!swap || !swap_word(out, w, before)) {
                marq_build_bytes(out, w.at, n);
            }
            before = w;
            i += n;
        } else if (is_blank(text.at[i])) {
            while (is_blank(text.at[i])) { /* does not end on one */
                i++;
            }
            marq_build_char(out, ' ');
        } else {
            marq_build_char(out, text.at[i++]);
        }
    }
}

/* How many round brackets are closed that were not opened, and the other way
 * round. */
static void count_brackets(letters text, size_t *closed, size_t *opened)
{
    *closed = 0;
    *opened = 0;
    for (size_t i = 0; i < text.length; i++) {
        if (text.at[i] == '(') {
            (*opened)++;
        } else if (text.at[i] == ')' && *opened > 0) {
            (*opened)--;
        } else if (text.at[i] == ')') {
            (*closed)++;
        }
    }
}

void marq_print_source(marq_build *out, const marq_tree *tree,
                       marq_span span, bool swap)
{
    print_letters(out, source_text(tree, span), swap);
}

void marq_print_remark(marq_build *out, const marq_tree *tree,
                       marq_span span, bool swap)
{
    letters text = source_text(tree, span);
    while (text.length > 0 &&
           (text.at[0] == '(' || is_blank(text.at[0]))) {
        text.at++;
        text.length--;
    }
    while (text.length > 0 && (text.at[text.length - 1] == ')' ||
                               is_blank(text.at[text.length - 1]))) {
        text.length--;
    }
    /* A span can begin inside a bracket and end outside ("soft) arms"): then
       that bracket is made whole within ours. */
    size_t closed, opened;
    count_brackets(text, &closed, &opened);
    for (size_t i = 0; i <= closed; i++) {
        marq_build_char(out, '(');
    }
    print_letters(out, text, swap);
    for (size_t i = 0; i <= opened; i++) {
        marq_build_char(out, ')');
    }
}
