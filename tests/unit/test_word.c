/* test_word.c - longest match and near misses, against slow ways written
 * here. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "load.h"
#include "testmem.h"
#include "word.h"

#define TERM(name, id)                                                 \
    "term " name "\n  id " id "\n  means a step\n  family links\n"     \
    "  level beginner\n  side foot\n  source memory\n  variant -: from " \
    "first, both feet work, ends as it began; price 0\n"

static const char words_text[] =
    "format 1\n"
    "price quiet link\n  value 1\nprice closing link\n  value 1\n"
    "price side leg closed in front\n  value 1\n"
    "price opening link\n  value 1\nprice start in fifth\n  value 1\n"
    "price start in first\n  value 1\nprice start in a pose\n  value 1\n"
    "price start elsewhere\n  value 1\n"
    "price from one croisé to the other\n  value 1\n"
    "price bonus\n  value 1\nprice edit form\n  value 1\n"
    "price edit put in\n  value 1\nprice edit word\n  value 1\n"
    "price edit leave out\n  value 1\n"
    TERM("pas de bourrée", "pas-de-bourree")
    TERM("pas de basque", "pas-de-basque")
    TERM("jeté", "jete")
    TERM("grand jeté", "grand-jete")
    TERM("grand jeté en tournant", "grand-jete-en-tournant")
    TERM("assemblé", "assemble")
    TERM("glissade", "glissade")
    TERM("sissonne", "sissonne")
    TERM("balancé", "balance")
    "qualifier devant\n  means in front\n  written front, in front\n"
    "side right\nfoot right\nnumber one\n  value 1\n"
    "filler pas\n";

typedef struct desk {
    marq_arena arena;
    marq_vocab_data data;
} desk;

static int open_desk(void **state)
{
    desk *d = test_calloc(1, sizeof *d);
    marq_vocab_text one = {"words", words_text, sizeof words_text - 1};
    marq_arena_init(&d->arena, marq_mem_of(NULL));
    assert_int_equal(marq_load(&d->data, &d->arena, NULL, &one, 1, NULL),
                     MARQ_OK);
    *state = d;
    return 0;
}

static int close_desk(void **state)
{
    desk *d = *state;
    marq_arena_free(&d->arena);
    test_free(d);
    return 0;
}

/* Cuts as word.h says, for plain texts. */
static size_t cut(const marq_folded *text, marq_word *words, size_t most)
{
    size_t n = 0, i = 0;
    uint8_t before = MARQ_GAP_SPACE;
    while (i < text->length && n < most) {
        char c = text->bytes[i];
        if (c == ' ' || c == '-' || c == ',' || c == '\n') {
            uint8_t gap = c == ' '   ? MARQ_GAP_SPACE
                          : c == '-' ? MARQ_GAP_HYPHEN
                          : c == ',' ? MARQ_GAP_COMMA
                                     : MARQ_GAP_LINE;
            before = gap > before ? gap : before;
            i++;
            continue;
        }
        size_t from = i;
        while (i < text->length && !strchr(" -,\n", text->bytes[i])) {
            i++;
        }
        words[n++] = (marq_word){(uint32_t)from, (uint32_t)i, before};
        before = MARQ_GAP_SPACE;
    }
    return n;
}

static void longest_form_is_taken(void **state)
{
    static const struct {
        const char *text;
        size_t at;          /* word to begin at */
        const char *shown;  /* NULL: nothing */
        size_t used;
    } cases[] = {
        {"pas de bourrée", 0, "pas de bourrée", 3},
        {"Pas-de-Bourrées dessous", 0, "pas de bourrée", 3},
        {"pas de chat", 0, "pas", 1}, /* a shorter one stands inside */
        {"pas de", 0, "pas", 1},
        {"pas, de bourrée", 0, "pas", 1}, /* a comma parts them */
        {"pas\nde bourrée", 0, "pas", 1},
        {"the pas de basque", 1, "pas de basque", 3},
        {"grand jeté en tournant", 0, "grand jeté en tournant", 4},
        {"grands jetés en avant", 0, "grand jeté", 2},
        {"grand jeté en tournant", 1, "jeté", 1},
        {"jetes", 0, "jeté", 1},
        {"grand battement", 0, NULL, 0},
        {"in front", 0, "in front", 2},
        {"in", 0, NULL, 0},
        {"j.e.t.e.", 0, "jeté", 1},
    };
    desk *d = *state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        marq_folded text;
        marq_word words[16];
        size_t used = 99;
        assert_int_equal(marq_text_fold(&text, &d->arena, cases[i].text,
                                        strlen(cases[i].text), NULL),
                         MARQ_OK);
        size_t count = cut(&text, words, 16);
        const marq_form *form = marq_word_longest(
            &d->data, &text, words, count, cases[i].at, &used);
        if (!cases[i].shown) {
            assert_null(form);
            continue;
        }
        assert_non_null(form);
        assert_string_equal(d->data.strings + form->shown, cases[i].shown);
        assert_int_equal(used, cases[i].used);
    }
}

static void word_longer_than_any_form_ends_the_search(void **state)
{
    desk *d = *state;
    char long_text[400];
    marq_folded text;
    marq_word words[16];
    size_t used;
    memset(long_text, 'a', sizeof long_text);
    memcpy(long_text, "pas ", 4);
    assert_int_equal(marq_text_fold(&text, &d->arena, long_text,
                                    sizeof long_text, NULL),
                     MARQ_OK);
    assert_int_equal(cut(&text, words, 16), 2);
    const marq_form *form =
        marq_word_longest(&d->data, &text, words, 2, 0, &used);
    assert_string_equal(d->data.strings + form->shown, "pas");
    assert_int_equal(used, 1);
    assert_null(marq_word_longest(&d->data, &text, words, 2, 1, &used));
}

static void senses_are_asked_by_role(void **state)
{
    desk *d = *state;
    const marq_form *right = marq_form_find(&d->data, "right", 5);
    uint16_t id = 99;
    assert_true(marq_form_is(&d->data, right, MARQ_ROLE_SIDE, &id));
    assert_int_equal(id, MARQ_SIDE_RIGHT);
    assert_true(marq_form_is(&d->data, right, MARQ_ROLE_FOOT, NULL));
    id = 99;
    assert_false(marq_form_is(&d->data, right, MARQ_ROLE_TERM, &id));
    assert_int_equal(id, 99);
}

/* ---- near misses ---- */
static unsigned lowest(unsigned a, unsigned b) { return a < b ? a : b; }

static unsigned slow_drop(const char *w, size_t n, size_t i)
{
    if (i > 0 && w[i] == w[i - 1]) {
        return 4;
    }
    return i + 1 == n && (w[i] == 'e' || w[i] == 's') ? 4 : 10;
}

/* The whole table, no bounds: what the distance is meant to be. */
static unsigned slow_distance(const char *a, const char *b)
{
    static unsigned t[64][64];
    size_t n = strlen(a), m = strlen(b);
    for (size_t i = 0; i <= n; i++) {
        for (size_t j = 0; j <= m; j++) {
            unsigned best = i + j ? 100000u : 0u;
            if (i > 0) {
                best = lowest(best, t[i - 1][j] + slow_drop(a, n, i - 1));
            }
            if (j > 0) {
                best = lowest(best, t[i][j - 1] + slow_drop(b, m, j - 1));
            }
            if (i > 0 && j > 0) {
                best = lowest(best, t[i - 1][j - 1] +
                                        (a[i - 1] == b[j - 1] ? 0u : 10u));
            }
            if (i > 1 && j > 1 && a[i - 1] != a[i - 2] &&
                a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1]) {
                best = lowest(best, t[i - 2][j - 2] + 5);
            }
            t[i][j] = best;
        }
    }
    return t[n][m];
}

static void near_words_are_found_with_their_distance(void **state)
{
    static const struct {
        const char *word, *shown;
        unsigned distance;
    } cases[] = {
        {"glissade", "glissade", 0},
        {"glissad", "glissade", 4},    /* silent final e */
        {"glisade", "glissade", 4},    /* doubled letter */
        {"gilssade", "glissade", 5},   /* swapped */
        {"glizsade", "glissade", 10},  /* another letter */
        {"asemble", "assemblé", 4},
        {"assembl", "assemblé", 4},
        {"sisone", "sissonne", 8},
        {"ballance", "balancé", 4},
        {"pas de bouree", "pas de bourrée", 4},
        {"pas de burree", "pas de bourrée", 10},
    };
    desk *d = *state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        marq_near near[3];
        size_t n = marq_word_near(&d->data, MARQ_ROLE_TERM, cases[i].word,
                                  strlen(cases[i].word), near, 3);
        assert_true(n >= 1);
        assert_string_equal(d->data.strings + near[0].form->shown,
                            cases[i].shown);
        assert_int_equal(near[0].distance, cases[i].distance);
    }
}

static void far_words_are_not(void **state)
{
    static const char *const far[] = {
        "moonlight", "xyz", "gl", "", "...", "jam",
        "a word of very many letters that is no step at all"};
    desk *d = *state;
    marq_near near[3];
    for (size_t i = 0; i < sizeof far / sizeof *far; i++) {
        assert_int_equal(marq_word_near(&d->data, MARQ_ROLE_TERM, far[i],
                                        strlen(far[i]), near, 3),
                         0);
    }
    assert_int_equal(marq_word_near(&d->data, MARQ_ROLE_TERM, "glissade", 8,
                                    near, 0),
                     0);
    /* Of another role, or of any. */
    assert_int_equal(marq_word_near(&d->data, MARQ_ROLE_QUALIFIER,
                                    "glissade", 8, near, 3),
                     0);
    assert_int_equal(marq_word_near(&d->data, MARQ_ROLES, "rihgt", 5, near,
                                    3),
                     1);
    assert_string_equal(d->data.strings + near[0].form->shown, "right");
}

/* Terms at random, mutated at random: the first answer is as near as the
 * nearest by the slow way, and what the slow way finds in reach is found. */
static void nearest_is_nearest(void **state)
{
    desk *d = *state;
    uint32_t seed = 20240611u;
    for (unsigned round = 0; round < 4000; round++) {
        char word[41];
        size_t length, at;
        seed = seed * 1664525u + 1013904223u;
        const marq_form *from =
            &d->data.forms[(seed >> 8) % d->data.form_count];
        const char *key = d->data.strings + from->text;
        length = strlen(key);
        assert_true(length < 36);
        memcpy(word, key, length + 1);
        for (unsigned n = 1 + (seed >> 28) % 3; n > 0; n--) {
            seed = seed * 1664525u + 1013904223u;
            at = (seed >> 10) % (length ? length : 1);
            switch (seed >> 30) {
            case 0:
                word[at] = (char)('a' + (seed >> 4) % 26);
                break;
            case 1:
                memmove(word + at + 1, word + at, length - at + 1);
                length++;
                break;
            case 2:
                if (length > 1) {
                    memmove(word + at, word + at + 1, length - at);
                    length--;
                }
                break;
            default:
                if (at + 1 < length) {
                    char swap = word[at];
                    word[at] = word[at + 1];
                    word[at + 1] = swap;
                }
                break;
            }
        }
        char key_of[41];
        size_t used;
        assert_true(marq_form_key_into(key_of, 40, word, length, &used));
        key_of[used] = '\0';
        unsigned best = 100000;
        for (size_t i = 0; i < d->data.form_count; i++) {
            const marq_form *form = &d->data.forms[i];
            if (marq_form_is(&d->data, form, MARQ_ROLE_TERM, NULL)) {
                best = lowest(best, slow_distance(key_of, d->data.strings +
                                                              form->text));
            }
        }
        marq_near near[3];
        size_t n = marq_word_near(&d->data, MARQ_ROLE_TERM, word, length,
                                  near, 3);
        if (best > used * 10 / 3) {
            assert_int_equal(n, 0);
            continue;
        }
        assert_true(n >= 1);
        assert_int_equal(near[0].distance, best);
        for (size_t i = 0; i < n; i++) {
            assert_int_equal(near[i].distance,
                             slow_distance(key_of, d->data.strings +
                                                       near[i].form->text));
            assert_true(i == 0 || near[i].distance >= near[i - 1].distance);
        }
    }
}

int main(void)
{
#define CASE(f) cmocka_unit_test_setup_teardown(f, open_desk, close_desk)
    const struct CMUnitTest tests[] = {
        CASE(longest_form_is_taken),
        CASE(word_longer_than_any_form_ends_the_search),
        CASE(senses_are_asked_by_role),
        CASE(near_words_are_found_with_their_distance),
        CASE(far_words_are_not),
        CASE(nearest_is_nearest),
    };
    return cmocka_run_group_tests_name("word", tests, NULL, NULL);
}
