/* test_smoke.c - stored and mutated bytes, and hostile texts of many sizes,
 * through every door of the library.
 *
 * MARQ_SEED sets the seed, MARQ_LONG tries a hundred times as much. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include <glob.h>

#include "fuzz/entry.h"
#include "property/dice.h"

#define LONGEST 8192 /* bytes of a mutated input */

/* Debug and sanitizer builds are slow. */
#if defined(MARQ_DEBUG)
#define TRIES 500
#else
#define TRIES 2500
#endif

typedef bool (*try_fn)(const marq_vocab *vocab, const uint8_t *bytes,
                       size_t size, fuzz_fault *fault);

/* ---- inputs ---- */

typedef struct input {
    uint8_t *bytes;
    size_t size;
} input;

typedef struct inputs {
    input *at;
    size_t count;
} inputs;

static input read_file(const char *path) {
    FILE *file = fopen(path, "rb");
    input in = {malloc(1 << 20), 0};

    assert_non_null(file);
    assert_non_null(in.bytes);
    in.size = fread(in.bytes, 1, 1 << 20, file);
    assert_true(feof(file) && !ferror(file));
    fclose(file);
    return in;
}

static void read_inputs(inputs *to, const char *pattern) {
    glob_t found;
    size_t i;

    assert_int_equal(glob(pattern, 0, NULL, &found), 0);
    to->at = realloc(to->at, (to->count + found.gl_pathc) * sizeof *to->at);
    assert_non_null(to->at);
    for (i = 0; i < found.gl_pathc; i++) {
        to->at[to->count++] = read_file(found.gl_pathv[i]);
    }
    globfree(&found);
}

static void free_inputs(inputs *all) {
    size_t i;

    for (i = 0; i < all->count; i++) {
        free(all->at[i].bytes);
    }
    free(all->at);
    memset(all, 0, sizeof *all);
}

/* ---- one input under test ---- */

typedef struct desk {
    marq_vocab *vocab;
    uint8_t kept[LONGEST + 1]; /* what is tried right now */
    size_t size;
    bool busy; /* inside the library; still so after a crash */
} desk;

static void show_input(const uint8_t *bytes, size_t size) {
    size_t i;

    printf("%zu bytes: \"", size);
    for (i = 0; i < size; i++) {
        if (bytes[i] == '\n') {
            printf("\\n");
        } else if (bytes[i] < 0x20 || bytes[i] > 0x7e || bytes[i] == '"' ||
                   bytes[i] == '\\') {
            printf("\\%03o", bytes[i]);
        } else {
            putchar(bytes[i]);
        }
    }
    printf("\"\n");
}

/* Leaves out pieces as long as something still breaks. */
static void make_smaller(desk *d, try_fn try_it, fuzz_fault *fault) {
    uint8_t less[LONGEST + 1];
    size_t piece, at, tries = 3000;

    for (piece = d->size / 2; piece > 0; piece /= 2) {
        for (at = 0; at + piece <= d->size && tries > 0;) {
            fuzz_fault now;

            tries--;
            memcpy(less, d->kept, at);
            memcpy(less + at, d->kept + at + piece, d->size - at - piece);
            if (try_it(d->vocab, less, d->size - piece, &now)) {
                at += piece;
                continue;
            }
            d->size -= piece;
            memcpy(d->kept, less, d->size);
            *fault = now;
        }
    }
}

/* Tries bytes of at most LONGEST; a broken rule ends the test. */
static void try_input(desk *d, try_fn try_it, const uint8_t *bytes,
                      size_t size) {
    fuzz_fault fault;
    bool good;
    uint8_t *exact = malloc(size > 0 ? size : 1); /* no byte to spare */

    assert_non_null(exact);
    memcpy(exact, bytes, size);
    memcpy(d->kept, bytes, size);
    d->size = size;
    d->busy = true;
    good = try_it(d->vocab, exact, size, &fault);
    free(exact);
    if (!good) {
        make_smaller(d, try_it, &fault);
        printf("rule broken: %s\n", fault.why);
    }
    d->busy = !good;
    assert_true(good);
}

static int open_desk(void **state) {
    desk *d = calloc(1, sizeof *d);

    *state = d;
    if (d != NULL) {
        d->vocab = fuzz_vocab_open();
    }
    return d == NULL || d->vocab == NULL ? -1 : 0;
}

/* After a failed or crashed test: what was being tried. */
static int show_what_was_tried(void **state) {
    desk *d = *state;

    if (d->busy) {
        show_input(d->kept, d->size);
        d->busy = false;
    }
    return 0;
}

static int close_desk(void **state) {
    desk *d = *state;

    marq_vocab_free(d->vocab);
    free(d);
    return 0;
}

static void try_all(desk *d, try_fn try_it, const inputs *all) {
    size_t i;

    assert_true(all->count > 0);
    for (i = 0; i < all->count; i++) {
        /* Whole files of vocabulary are longer than what is mutated. */
        size_t size = all->at[i].size;
        fuzz_fault fault;

        if (size <= LONGEST) {
            try_input(d, try_it, all->at[i].bytes, size);
        } else if (!try_it(d->vocab, all->at[i].bytes, size, &fault)) {
            printf("input %zu: %s\n", i, fault.why);
            fail();
        }
    }
}

/* ---- mutation ---- */

typedef struct piece {
    const char *bytes;
    size_t size;
} piece;

#define PIECE(text) {text, sizeof(text) - 1}

static const piece text_pieces[] = {
    PIECE(", "),      PIECE("\n"),       PIECE("\r"),
    PIECE(" x9 "),    PIECE("x1024"),    PIECE("("),
    PIECE(")"),       PIECE("\0"),       PIECE("\xff"),
    PIECE("\xc3"),    PIECE("\xef\xbb\xbf"), PIECE("\xcc\x81"),
    PIECE("\033[1m"), PIECE("\xc2\x9b"), PIECE("1-8 "),
    PIECE("&"),       PIECE("999999999999"), PIECE("left "),
    PIECE("right "),  PIECE(" other side "), PIECE(" repeat "),
    PIECE("..."),     PIECE("start "),   PIECE("finish "),
    PIECE("now "),    PIECE("~"),        PIECE(" closing back"),
    PIECE(" to fourth "), PIECE(" in 4 counts "), PIECE(" glissade "),
    PIECE(" zzz "),   PIECE(" corner 3 "), PIECE(" croise "),
    PIECE("-"),       PIECE(";"),        PIECE("title "),
};

static const piece vocab_pieces[] = {
    PIECE("\n"),           PIECE("\n  "),       PIECE("\r"),
    PIECE(", "),           PIECE("; "),         PIECE(": "),
    PIECE("#"),            PIECE("\0"),         PIECE("\xff"),
    PIECE("\033"),         PIECE("price 0"),    PIECE("price 99"),
    PIECE("\nterm x\n"),   PIECE("  id x\n"),   PIECE("variant -: "),
    PIECE("from fifth, "), PIECE("reverse -"),  PIECE("either foot works, "),
    PIECE("free leg "),    PIECE("anywhere"),   PIECE("/"),
    PIECE("!"),            PIECE("(?<n>"),      PIECE("\\d+"),
    PIECE("(a*)*"),        PIECE("\\C"),        PIECE("(?R)"),
    PIECE("format 1\n"),   PIECE("  match "),   PIECE(" turns half "),
    PIECE("99999999999"),  PIECE("  written "), PIECE("closes front, "),
};

/* Replaces `out` bytes at `at` by `in` bytes, as far as there is room. */
static void splice(desk *d, size_t at, size_t out, const void *bytes,
                   size_t in) {
    if (d->size - out + in > LONGEST) {
        in = LONGEST - (d->size - out);
    }
    memmove(d->kept + at + in, d->kept + at + out, d->size - at - out);
    if (in > 0) {
        memcpy(d->kept + at, bytes, in);
    }
    d->size += in - out;
}

static void mutate_once(desk *d, dice *die, const inputs *all,
                        const piece *pieces, size_t piece_count) {
    size_t at = dice_below(die, d->size + 1);
    size_t left = d->size - at;
    size_t some = left == 0 ? 0 : dice_below(die, left < 40 ? left + 1 : 41);
    const input *other = &all->at[dice_below(die, all->count)];
    size_t from = dice_below(die, other->size + 1);
    size_t which = dice_below(die, piece_count);
    uint8_t copy[41];
    uint8_t byte = (uint8_t)dice_next(die);

    memcpy(copy, d->kept + at, some);
    switch (dice_below(die, 7)) {
    case 0:
        if (left > 0) {
            d->kept[at] ^= (uint8_t)(1u << (byte & 7));
        }
        break;
    case 1:
        splice(d, at, left > 0 ? 1 : 0, &byte, 1);
        break;
    case 2:
        splice(d, at, some, NULL, 0);
        break;
    case 3:
        splice(d, dice_below(die, d->size + 1), 0, copy, some);
        break;
    case 4:
        some = other->size - from;
        some = dice_below(die, some < 200 ? some + 1 : 201);
        splice(d, at, 0, other->bytes + from, some);
        break;
    case 5:
        d->size = dice_below(die, 8) == 0 ? at : d->size;
        break;
    default:
        splice(d, at, dice_below(die, 2) ? some : 0, pieces[which].bytes,
               pieces[which].size);
        break;
    }
}

static void try_mutated(desk *d, try_fn try_it, const inputs *all,
                        const piece *pieces, size_t piece_count, size_t tries) {
    dice die = {dice_seed()};
    uint8_t bytes[LONGEST];

    while (tries-- > 0) {
        const input *from = &all->at[dice_below(&die, all->count)];
        size_t times = 1 + dice_below(&die, 6);

        /* Of a longer file, a piece. */
        d->size = from->size < LONGEST ? from->size : 1500;
        memcpy(d->kept,
               from->bytes + dice_below(&die, from->size - d->size + 1),
               d->size);
        while (times-- > 0) {
            mutate_once(d, &die, all, pieces, piece_count);
        }
        memcpy(bytes, d->kept, d->size);
        try_input(d, try_it, bytes, d->size);
    }
}

/* ---- the tests of stored and mutated bytes ---- */

static void stored_texts(void **state) {
    inputs all = {0};

    read_inputs(&all, "tests/fuzz/seeds/text/*");
    read_inputs(&all, "shared/samples/*.combo");
    try_all(*state, fuzz_try_text, &all);
    free_inputs(&all);
}

static void mutated_texts(void **state) {
    inputs all = {0};

    read_inputs(&all, "tests/fuzz/seeds/text/*");
    read_inputs(&all, "shared/samples/*.combo");
    try_mutated(*state, fuzz_try_text, &all, text_pieces,
                sizeof text_pieces / sizeof text_pieces[0],
                dice_longer(TRIES));
    free_inputs(&all);
}

static void noise(void **state) {
    dice die = {dice_seed()};
    size_t tries = dice_longer(TRIES / 5);
    uint8_t bytes[600];

    while (tries-- > 0) {
        size_t size = dice_below(&die, sizeof bytes), i;
        unsigned top = dice_below(&die, 2) ? 256 : 128;

        for (i = 0; i < size; i++) {
            bytes[i] = (uint8_t)dice_below(&die, top);
        }
        try_input(*state, fuzz_try_text, bytes, size);
    }
}

static void stored_vocabularies(void **state) {
    inputs all = {0};

    read_inputs(&all, "tests/fuzz/seeds/vocab/*");
    read_inputs(&all, "vocab/*.vocab");
    try_all(*state, fuzz_try_vocab, &all);
    free_inputs(&all);
}

static void mutated_vocabularies(void **state) {
    inputs all = {0};

    read_inputs(&all, "tests/fuzz/seeds/vocab/*");
    read_inputs(&all, "vocab/*.vocab");
    try_mutated(*state, fuzz_try_vocab, &all, vocab_pieces,
                sizeof vocab_pieces / sizeof vocab_pieces[0],
                dice_longer(TRIES / 5));
    free_inputs(&all);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_teardown(stored_texts, show_what_was_tried),
        cmocka_unit_test_teardown(mutated_texts, show_what_was_tried),
        cmocka_unit_test_teardown(noise, show_what_was_tried),
        cmocka_unit_test_teardown(stored_vocabularies, show_what_was_tried),
        cmocka_unit_test_teardown(mutated_vocabularies, show_what_was_tried),
    };

    return cmocka_run_group_tests(tests, open_desk, close_desk);
}
