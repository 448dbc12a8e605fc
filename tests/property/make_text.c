/* make_text.c - random combinations from the vocabulary. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "make_text.h"

typedef struct maker {
    made *out;
    const marq_vocab *vocab;
    dice *d;
    const make_how *how;
    bool flip;
} maker;

static void put(maker *m, const char *words)
{
    size_t n = strlen(words);

    assert_true(m->out->length + n < MADE_MOST);
    memcpy(m->out->bytes + m->out->length, words, n + 1);
    m->out->length += n;
}

static size_t below(maker *m, size_t n)
{
    return dice_below(m->d, n);
}

static const char *pick(maker *m, const char *const *list, size_t count)
{
    return list[below(m, count)];
}
#define PICK(m, list) pick(m, list, sizeof(list) / sizeof(list)[0])

static void put_side(maker *m)
{
    bool right = (below(m, 2) == 0) != m->flip;

    put(m, right ? "right" : "left");
}

static void put_swapped(maker *m, const char *words)
{
    char other[128];

    make_swapped(other, sizeof other, words);
    put(m, m->flip ? other : words);
}

static void put_facing(maker *m)
{
    static const char *const alignments[] = {"croisé", "effacé", "en face",
                                             "écarté"};
    static const char *const facings[] = {
        "facing audience",          "facing front right corner",
        "facing front left corner", "facing right wall",
        "facing left wall",         "facing back"};

    if (below(m, 3) > 0) {
        put(m, PICK(m, alignments));
    } else {
        put_swapped(m, PICK(m, facings));
    }
}

static void put_place(maker *m)
{
    static const char *const ankles[] = {"ankle front", "ankle behind",
                                         "à terre front", "à terre side"};
    size_t kind = below(m, 6);

    if (kind < 3) {
        put(m, "fifth, ");
        put_side(m);
        put(m, " front");
    } else if (kind == 3) {
        static const char *const plain[] = {"first", "second"};

        put(m, PICK(m, plain));
    } else if (kind == 4) {
        put(m, "fourth, ");
        put_side(m);
        put(m, " front");
    } else {
        bool right = (below(m, 2) == 0) != m->flip;

        put(m, right ? "on the right, left " : "on the left, right ");
        put(m, PICK(m, ankles));
    }
}

static void put_headings(maker *m)
{
    static const char *const titles[] = {"title    Light two\n",
                                         "title    Slow and low\n",
                                         "level    elementary\n"};

    if (m->how->remarks && below(m, 2) == 0) {
        put(m, PICK(m, titles));
    }
    if (m->how->start == MADE_RIGHT || m->how->start == MADE_LEFT) {
        bool right = (m->how->start == MADE_RIGHT) != m->flip;

        put(m, right ? "start    fifth, right front"
                     : "start    fifth, left front");
    } else if (m->how->start == MADE_ANY_START && below(m, 4) > 0) {
        put(m, "start    ");
        put_place(m);
    } else {
        return;
    }
    if (m->how->facings && below(m, 2) == 0) {
        put(m, ", ");
        put_facing(m);
    }
    put(m, "\n\n");
}

/* The qualifiers of one of the term's variants: all of them or one. */
static void put_qualifiers(maker *m, const marq_term *term)
{
    const marq_vocab_data *data = m->vocab->data;
    const marq_variant *v =
        &data->variants[term->first_variant + below(m, term->variant_count)];
    size_t only = below(m, 4);
    size_t seen = 0;

    for (unsigned q = 0; q < data->qualifier_count; q++) {
        if (marq_tag_has(v->tags, q) && (only > 1 || seen++ == only)) {
            put(m, " ");
            put(m, data->strings + data->qualifiers[q].name);
        }
    }
}

static void put_mark(maker *m)
{
    static const char *const feet[] = {" back foot", " front foot",
                                       " free foot"};
    static const char *const ends[] = {
        " to fifth", " to fourth", " from fourth", " in second", " to first"};
    static const char *const more[] = {" closing front",   " closing back",
                                       " to ankle behind", " half",
                                       " double",          " in 2 counts"};

    switch (below(m, 9)) {
    case 0:
        put(m, " ");
        put_side(m);
        put(m, " foot");
        break;
    case 1:
        put(m, PICK(m, feet));
        break;
    case 2:
        put(m, " on the ");
        put_side(m);
        break;
    case 3:
        put(m, " ");
        put_side(m);
        break;
    case 4:
        put(m, " to the ");
        put_side(m);
        break;
    case 5:
        put(m, PICK(m, ends));
        break;
    case 6:
        put(m, " ");
        put_side(m);
        put(m, " front");
        break;
    default:
        put(m, PICK(m, more));
        break;
    }
}

static void put_item(maker *m)
{
    const marq_vocab_data *data = m->vocab->data;
    const marq_term *term = &data->terms[below(m, data->term_count)];
    static const char *const remarks[] = {" (soft arms)", " (look left)"};
    static const char *const times[] = {" ×2", " ×3", " ×4"};

    if (m->how->marks && below(m, 16) == 0) {
        put(m, "now ");
        put_place(m);
        return;
    }
    put(m, data->strings + term->name);
    if (below(m, 2) == 0) {
        put_qualifiers(m, term);
    }
    if (m->how->marks && below(m, 3) == 0) {
        put_mark(m);
    }
    if (m->how->facings && below(m, 5) == 0) {
        put(m, " ");
        put_facing(m);
    }
    if (m->how->marks && below(m, 8) == 0) {
        put(m, PICK(m, times));
    }
    if (m->how->remarks && below(m, 6) == 0) {
        put_swapped(m, PICK(m, remarks));
    }
}

static void put_count(maker *m, unsigned *count)
{
    unsigned length = 1 + (unsigned)below(m, 4);
    char words[32];

    if (length == 1) {
        snprintf(words, sizeof words, "%-9u", *count);
    } else {
        snprintf(words, sizeof words, "%u-%-7u", *count, *count + length - 1);
    }
    put(m, words);
    *count = (*count + length - 1) % 8 + 1;
}

void make_text(made *out, const marq_vocab *vocab, dice *d, const make_how *how,
               bool flip)
{
    maker m = {out, vocab, d, how, flip};
    size_t steps;
    unsigned count = 1;
    bool counted;

    out->length = 0;
    out->bytes[0] = '\0';
    put_headings(&m);
    steps = 1 + below(&m, how->steps);
    counted = how->counts && below(&m, 2) == 0;
    while (steps > 0) {
        size_t now = 1 + below(&m, 3);

        if (counted) {
            put_count(&m, &count);
        }
        for (size_t i = 0; i < now && steps > 0; i++, steps--) {
            put(&m, i > 0 ? ", " : "");
            put_item(&m);
        }
        put(&m, "\n");
    }
    if (how->start == MADE_ANY_START && below(&m, 6) == 0) {
        put(&m, "finish   ");
        put_place(&m);
        put(&m, "\n");
    }
}

void make_swapped(char *out, size_t room, const char *words)
{
    size_t used = 0;

    while (*words != '\0') {
        const char *now = NULL;
        size_t length = 1;

        if (strncmp(words, "right", 5) == 0) {
            now = "left";
            length = 5;
        } else if (strncmp(words, "left", 4) == 0) {
            now = "right";
            length = 4;
        }
        assert_true(used + 6 < room);
        if (now == NULL) {
            out[used++] = *words;
        } else {
            memcpy(out + used, now, strlen(now));
            used += strlen(now);
        }
        words += length;
    }
    out[used] = '\0';
}
