/* test_growth.c - hostile texts of a mebibyte, and how memory
 * grows with the length of a text: in a straight line.  How time grows is
 * tests/bench/growth.c's affair. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include <cmocka.h>

#include "fuzz/entry.h"
#include "property/dice.h"

/* ---- an allocator that weighs ---- */

typedef struct scale {
    size_t asked; /* bytes asked for in all */
    size_t live;
    size_t most; /* live at one time */
} scale;

typedef union head {
    size_t size;
    max_align_t align;
} head;

static void *weigh(void *ctx, void *ptr, size_t new_size) {
    scale *s = ctx;
    head *old = ptr == NULL ? NULL : (head *)ptr - 1;
    head *h;

    if (old != NULL) {
        s->live -= old->size;
    }
    if (new_size == 0) {
        free(old);
        return NULL;
    }
    h = realloc(old, sizeof *h + new_size);
    assert_non_null(h);
    h->size = new_size;
    s->asked += new_size;
    s->live += new_size;
    s->most = s->live > s->most ? s->live : s->most;
    return h + 1;
}

/* ---- texts made of one piece over and over ---- */

typedef struct piece {
    const char *bytes;
    size_t size;
} piece;

#define PIECE(text) {text, sizeof(text) - 1}

static char *make_text(const piece *p, size_t room, size_t *length) {
    char *text = malloc(room);
    size_t i;

    assert_non_null(text);
    *length = room / p->size * p->size;
    for (i = 0; i < *length; i++) {
        text[i] = p->bytes[i % p->size];
    }
    return text;
}

static void show_piece(const piece *p) {
    size_t i;

    for (i = 0; i < p->size; i++) {
        unsigned char c = (unsigned char)p->bytes[i];

        printf(c < 0x20 || c > 0x7e ? "\\%03o" : "%c", c);
    }
}

/* ---- a mebibyte of what nobody writes ---- */

static void try_mebibyte(const char *text, size_t length) {
    marq_vocab *vocab = fuzz_vocab_open();
    fuzz_fault fault;
    bool good;

    assert_non_null(vocab);
    good = fuzz_try_text(vocab, (const uint8_t *)text, length, &fault);
    if (!good) {
        printf("rule broken: %s\n", fault.why);
    }
    marq_vocab_free(vocab);
    assert_true(good);
}

static void a_mebibyte_of_noise(void **state) {
    dice die = {dice_seed()};
    char *text = malloc(1 << 20);
    size_t i;

    (void)state;
    assert_non_null(text);
    for (i = 0; i < 1 << 20; i++) {
        text[i] = (char)dice_below(&die, 256);
    }
    try_mebibyte(text, 1 << 20);
    free(text);
}

/* Without line ends, so each is one line. */
static void a_mebibyte_of_one_thing(void **state) {
    static const piece things[] = {
        PIECE("a"),        PIECE(","),      PIECE("("),
        PIECE(")"),        PIECE("x9 "),    PIECE("7"),
        PIECE("\0"),       PIECE("\xff"),   PIECE("\xe2\x82"),
        PIECE("\r"),       PIECE("\n"),     PIECE("\xef\xbb\xbf"),
        PIECE("e\xcc\x81"), PIECE("\xcc\x81"), PIECE("\033[31m"),
        PIECE("~"),        PIECE("1-"),     PIECE("&"),
        PIECE("left "),    PIECE("zzz "),   PIECE("(("),
        PIECE("...") ,     PIECE("- "),     PIECE("1/"),
    };
    size_t i, length;

    (void)state;
    for (i = 0; i < sizeof things / sizeof things[0]; i++) {
        clock_t from = clock();
        /* all of a mebibyte for the longest lines there are, and where there
           is time */
        bool whole = i < 3 || getenv("MARQ_LONG") != NULL;
        char *text = make_text(&things[i], whole ? 1 << 20 : 1 << 17,
                               &length);

        try_mebibyte(text, length);
        free(text);
        printf("%6.2f s  ", (double)(clock() - from) / CLOCKS_PER_SEC);
        show_piece(&things[i]);
        printf("\n");
    }
}

/* ---- growth ---- */

typedef struct cost {
    size_t asked;
    size_t most;
} cost;

/* Reading, checking, printing, rendering. */
static cost cost_of(const piece *p, size_t room) {
    scale weight = {0, 0, 0};
    marq_config config;
    marq_vocab *vocab = NULL;
    marq_combo *combo = NULL;
    marq_report *report = NULL;
    marq_text *text = NULL;
    size_t length;
    char *bytes = make_text(p, room, &length);
    cost c;
    int layout;

    marq_config_init(&config);
    config.alloc = weigh;
    config.alloc_ctx = &weight;
    assert_int_equal(marq_vocab_builtin(&vocab, &config), MARQ_OK);
    weight.asked = 0;
    weight.most = weight.live;
    assert_int_equal(marq_combo_read(&combo, vocab, bytes, length, NULL),
                     MARQ_OK);
    assert_int_equal(marq_check(&report, combo, NULL), MARQ_OK);
    assert_int_equal(marq_print(&text, combo, report, NULL), MARQ_OK);
    marq_text_free(text);
    for (layout = MARQ_LAYOUT_FULL; layout <= MARQ_LAYOUT_TABLE; layout++) {
        marq_render_opts opts = {sizeof opts, (marq_layout)layout, NULL, false,
                                 0};

        assert_int_equal(marq_render(&text, report, &opts), MARQ_OK);
        marq_text_free(text);
    }
    c.asked = weight.asked;
    c.most = weight.most;
    marq_report_free(report);
    marq_combo_free(combo);
    marq_vocab_free(vocab);
    assert_int_equal(weight.live, 0);
    free(bytes);
    return c;
}

static const piece grown[] = {
    PIECE("1-4 glissade derriere, assemble dessus\n"),
    PIECE("plie\n"),
    PIECE("glissade, assemble, jete, temps leve, sissonne, "),
    PIECE("tendu front (soft arms), flimble, hold\n\n"),
    PIECE("zzz, "),
    PIECE("x9 "),
    PIECE("repeat "),
    PIECE("plie, repeat, "),
    PIECE("reverse, "),
    PIECE("other side\n"),
    PIECE("tendu\nother side\n"),
    PIECE("plie ... now fifth, right front, "),
    PIECE("assemble croise, facing audience, "),
    PIECE("(a (b "),
    PIECE("1& "),
    PIECE("start fifth\nfinish second\n"),
    PIECE("title a b c\n"),
    PIECE("\xff\n"),
    PIECE("e\xcc\x81 "),
};

/* Doubling the text at most trebles memory: arrays double as they grow. */
static void memory_grows_in_a_line(void **state) {
    const size_t room = 48 << 10, some = 1 << 20;
    size_t i;
    bool good = true;

    (void)state;
    for (i = 0; i < sizeof grown / sizeof grown[0]; i++) {
        cost once = cost_of(&grown[i], room);
        cost twice = cost_of(&grown[i], 2 * room);

        if (twice.asked > 3 * once.asked + some ||
            twice.most > 3 * once.most + some) {
            good = false;
            printf("asked %zu, then %zu; most %zu, then %zu: ", once.asked,
                   twice.asked, once.most, twice.most);
            show_piece(&grown[i]);
            printf("\n");
        }
    }
    assert_true(good);
}

static void a_hundred_thousand_lines(void **state) {
    static const piece line = PIECE("plie\n");
    cost few = cost_of(&line, 10000 * 5);
    cost many = cost_of(&line, 100000 * 5);

    (void)state;
    printf("%zu KiB at most, then %zu KiB\n", few.most >> 10,
           many.most >> 10);
    assert_true(many.most < 15 * few.most);
    assert_true(many.asked < 15 * few.asked);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_mebibyte_of_noise),
        cmocka_unit_test(a_mebibyte_of_one_thing),
        cmocka_unit_test(memory_grows_in_a_line),
        cmocka_unit_test(a_hundred_thousand_lines),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
