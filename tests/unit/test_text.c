/* test_text.c - folding, decoding, showing. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "testmem.h"
#include "text.h"

typedef struct fixture {
    testmem counted;
    marq_arena arena;
} fixture;

static void open_arena(fixture *f)
{
    marq_mem mem = {testmem_hook, NULL};

    testmem_init(&f->counted);
    mem.ctx = &f->counted;
    marq_arena_init(&f->arena, mem);
}

static void close_arena(fixture *f)
{
    marq_arena_free(&f->arena);
    assert_int_equal(f->counted.live_blocks, 0);
}

/* Every fold: the map rises, stays inside the source, ends at its end, and
 * the string form gives the same bytes. */
static marq_folded fold(fixture *f, const char *bytes, size_t length,
                        size_t faults)
{
    marq_folded out;
    size_t counted = 99;
    const char *string;
    size_t i;

    assert_int_equal(marq_text_fold(&out, &f->arena, bytes, length, &counted),
                     MARQ_OK);
    assert_int_equal(counted, faults);
    assert_int_equal(out.bytes[out.length], 0);
    assert_int_equal(out.place[out.length], length);
    for (i = 0; i < out.length; i++) {
        assert_true(out.place[i] <= out.place[i + 1]);
        assert_true(out.place[i] < length);
        assert_true(out.bytes[i] != 0);
    }
    string = marq_text_fold_string(&f->arena, bytes, length);
    assert_non_null(string);
    assert_int_equal(strlen(string), out.length);
    assert_memory_equal(string, out.bytes, out.length + 1);
    return out;
}

static void assert_folds(const char *from, const char *to, size_t faults)
{
    fixture f;
    marq_folded out;

    open_arena(&f);
    out = fold(&f, from, strlen(from), faults);
    assert_string_equal(out.bytes, to);
    close_arena(&f);
}

/* ---- folding ---- */

static void ascii_keeps_its_bytes_in_small_letters(void **state)
{
    fixture f;
    char all[0x5f];
    char small[0x5f];
    marq_folded out;
    size_t i;

    (void)state;
    for (i = 0; i < sizeof all; i++) {
        char c = (char)(' ' + (int)i);

        all[i] = c;
        small[i] = c >= 'A' && c <= 'Z' ? (char)(c + 32)
                   : c == '`'           ? '\''
                                        : c;
    }
    open_arena(&f);
    out = fold(&f, all, sizeof all, 0);
    assert_int_equal(out.length, sizeof all);
    assert_memory_equal(out.bytes, small, sizeof all);
    for (i = 0; i < sizeof all; i++) {
        assert_int_equal(out.place[i], i);
    }
    close_arena(&f);
}

static void accents_are_dropped_composed_and_not(void **state)
{
    (void)state;
    assert_folds("Échappé", "echappe", 0);
    assert_folds("E\xcc\x81"
                 "chappe\xcc\x81",
                 "echappe", 0);
    assert_folds("DÉGAGÉ À LA SECONDE", "degage a la seconde", 0);
    assert_folds("croisé, arrière, fouetté, pas de châssé",
                 "croise, arriere, fouette, pas de chasse", 0);
    assert_folds("français naïf où", "francais naif ou", 0);
    assert_folds("ÅÄÖÜßñ", "aaoussn", 0);
}

static void ligatures_are_spelled_out(void **state)
{
    (void)state;
    assert_folds("cœur CŒUR", "coeur coeur", 0);
    assert_folds("æ Æ", "ae ae", 0);
    assert_folds("\xc7\xbd", "ae", 0);            /* ae with acute */
    assert_folds("\xef\xac\x81nish", "finish", 0); /* ligature fi */
}

static void apostrophes_dashes_blanks_have_one_form(void **state)
{
    (void)state;
    assert_folds("l’air l‘air l`air l´air lʼair l′air",
                 "l'air l'air l'air l'air l'air l'air", 0);
    assert_folds("1‐2‑3‒4–5—6―7−8", "1-2-3-4-5-6-7-8", 0);
    assert_folds("\xef\xbc\x8d\xef\xb9\x98\xef\xb9\xa3", "---", 0);
    /* no-break, narrow no-break, ideographic, em; line separator; tab */
    assert_folds("a\xc2\xa0"
                 "b\xe2\x80\xaf"
                 "c\xe3\x80\x80"
                 "d\xe2\x80\x83"
                 "e\xe2\x80\xa8"
                 "f\tg",
                 "a b c d e f g", 0);
    assert_folds("“demi” «plié» „a“", "\"demi\" \"plie\" \"a\"", 0);
    assert_folds("• tendu", "* tendu", 0);
}

static void signs_are_spelled_out(void **state)
{
    (void)state;
    assert_folds("×3", "x3", 0);
    assert_folds("a → b", "a -> b", 0);
    assert_folds("wait…", "wait...", 0);
    assert_folds("½ ¼ ¾ turn", "1/2 1/4 3/4 turn", 0);
    assert_folds("1½", "1 1/2", 0);
    assert_folds("x½", "x1/2", 0);
    assert_folds("①²㎜", "12mm", 0);
    assert_folds("２Ｘ", "2x", 0);
}

static void unseen_characters_are_dropped(void **state)
{
    (void)state;
    /* byte order mark, soft hyphen, blank of no width, mark of direction */
    assert_folds("\xef\xbb\xbfplié", "plie", 0);
    assert_folds("glis\xc2\xadsade", "glissade", 0);
    assert_folds("je\xe2\x80\x8bt\xe2\x80\xaeé", "jete", 0);
}

static void lines_end_with_a_line_feed(void **state)
{
    fixture f;
    marq_folded out;

    (void)state;
    open_arena(&f);
    out = fold(&f, "a\r\nb\rc\n\r\r\n", 10, 0);
    assert_string_equal(out.bytes, "a\nb\nc\n\n\n");
    assert_int_equal(out.place[2], 3); /* b */
    assert_int_equal(out.place[4], 5); /* c */
    assert_int_equal(out.place[6], 7);
    close_arena(&f);
}

static void the_map_leads_to_the_source(void **state)
{
    /* bytes 0: É, 2: three dots, 5: x, 6: oe, 8: an accent, 10: a half */
    static const char text[] = "\xc3\x89\xe2\x80\xa6"
                               "x\xc5\x93\xcc\x81\xc2\xbd";
    static const uint32_t places[] = {0, 2, 2, 2, 5, 6, 6, 10, 10, 10, 12};
    fixture f;
    marq_folded out;

    (void)state;
    open_arena(&f);
    out = fold(&f, text, sizeof text - 1, 0);
    assert_string_equal(out.bytes, "e...xoe1/2");
    assert_memory_equal(out.place, places, sizeof places);
    close_arena(&f);
}

static void what_is_no_text_becomes_one_byte_each(void **state)
{
    fixture f;
    marq_folded out;

    (void)state;
    assert_folds("a\xff"
                 "b",
                 "a\1b", 1);
    assert_folds("\xc3", "\1", 1);
    assert_folds("\xe2\x80", "\1\1", 2);
    assert_folds("\xc0\x80", "\1\1", 2);          /* too long */
    assert_folds("\xed\xa0\x80", "\1\1\1", 3);    /* half of a pair */
    assert_folds("\xf4\x90\x80\x80", "\1\1\1\1", 4); /* past the end */
    assert_folds("\xc3(", "\1(", 1);
    assert_folds("\x1b[31m\x7f\x01\x0b", "\1[31m\1\1\1", 4);
    assert_folds("\xc2\x9b", "\1", 1); /* a control beyond ASCII */
    open_arena(&f);
    out = fold(&f, "a\0b", 3, 1);
    assert_int_equal(out.length, 3);
    assert_memory_equal(out.bytes, "a\1b", 3);
    out = fold(&f, "", 0, 0);
    assert_int_equal(out.length, 0);
    out = fold(&f, NULL, 0, 0);
    assert_int_equal(out.length, 0);
    close_arena(&f);
}

static void growth_beyond_the_source_is_held(void **state)
{
    enum { TIMES = 3000 };
    static const char one[] = "\xef\xb7\xba"; /* grows to 33 bytes */
    static const char two[] = "\xe2\x86\x92";
    fixture f;
    marq_folded alone;
    marq_folded out;
    char *text = malloc(TIMES * 6);
    size_t i;

    (void)state;
    assert_non_null(text);
    for (i = 0; i < TIMES; i++) {
        memcpy(text + 6 * i, one, 3);
        memcpy(text + 6 * i + 3, two, 3);
    }
    open_arena(&f);
    alone = fold(&f, text, 6, 0);
    assert_true(alone.length > 20);
    assert_memory_equal(alone.bytes + alone.length - 2, "->", 2);
    out = fold(&f, text, TIMES * 6, 0);
    assert_int_equal(out.length, alone.length * TIMES);
    for (i = 0; i < TIMES; i++) {
        assert_memory_equal(out.bytes + i * alone.length, alone.bytes,
                            alone.length);
        assert_int_equal(out.place[i * alone.length], 6 * i);
    }
    close_arena(&f);
    free(text);
}

/* UTF-8 written by the book, for comparison. */
static size_t encode(char *out, uint32_t code)
{
    if (code < 0x80) {
        out[0] = (char)code;
        return 1;
    }
    if (code < 0x800) {
        out[0] = (char)(0xc0 | code >> 6);
        out[1] = (char)(0x80 | (code & 63));
        return 2;
    }
    if (code < 0x10000) {
        out[0] = (char)(0xe0 | code >> 12);
        out[1] = (char)(0x80 | (code >> 6 & 63));
        out[2] = (char)(0x80 | (code & 63));
        return 3;
    }
    out[0] = (char)(0xf0 | code >> 18);
    out[1] = (char)(0x80 | (code >> 12 & 63));
    out[2] = (char)(0x80 | (code >> 6 & 63));
    out[3] = (char)(0x80 | (code & 63));
    return 4;
}

static void folded_text_is_text_and_folds_to_itself(void **state)
{
    fixture f;
    uint32_t code;

    (void)state;
    open_arena(&f);
    for (code = 1; code < 0x30000; code++) {
        char bytes[4];
        size_t size = encode(bytes, code);
        marq_folded once;
        marq_folded twice;
        size_t i = 0;

        assert_int_equal(
            marq_text_fold(&once, &f.arena, bytes, size, NULL), MARQ_OK);
        while (i < once.length) {
            uint32_t part = 0;
            size_t step =
                marq_text_decode(once.bytes + i, once.length - i, &part);

            assert_true(step > 0);
            assert_true(part >= ' ' || part == '\n' || part == 1);
            i += step;
        }
        assert_int_equal(marq_text_fold(&twice, &f.arena, once.bytes,
                                        once.length, NULL),
                         MARQ_OK);
        assert_string_equal(twice.bytes, once.bytes);
        if (code % 1000 == 0) {
            marq_arena_reset(&f.arena);
        }
    }
    close_arena(&f);
}

/* ---- decoding ---- */

static void every_code_point_is_decoded(void **state)
{
    uint32_t code;

    (void)state;
    for (code = 0; code < 0x110000; code++) {
        char bytes[4];
        size_t size = encode(bytes, code);
        uint32_t got = 0xffffffff;
        bool half = code >= 0xd800 && code <= 0xdfff;

        assert_int_equal(marq_text_decode(bytes, size, &got), half ? 0 : size);
        assert_true(got == (half ? 0xffffffff : code));
        assert_int_equal(marq_text_decode(bytes, size - 1, NULL), 0);
    }
    assert_int_equal(marq_text_decode("", 0, NULL), 0);
}

/* All beginnings of two bytes, followed by what would complete any. */
static void only_what_encoding_gives_is_decoded(void **state)
{
    unsigned first;
    unsigned second;

    (void)state;
    for (first = 0; first < 256; first++) {
        for (second = 0; second < 256; second++) {
            char bytes[4] = {(char)first, (char)second, (char)0xbf,
                             (char)0x80};
            char again[4];
            uint32_t code;
            size_t size = marq_text_decode(bytes, 4, &code);

            if (size > 0) {
                assert_int_equal(encode(again, code), size);
                assert_memory_equal(again, bytes, size);
            } else {
                assert_true(first >= 0x80);
            }
        }
    }
}

/* ---- showing ---- */

static void assert_shows_bytes(const char *from, size_t length,
                               const char *to, size_t columns)
{
    fixture f;
    marq_build build;
    const char *made;

    open_arena(&f);
    marq_build_init(&build, &f.arena);
    marq_text_show(&build, from, length);
    made = marq_build_done(&build, NULL);
    assert_string_equal(made, to);
    assert_int_equal(marq_text_width(from, length), columns);
    /* what was shown is shown as it is, and as wide */
    marq_build_init(&build, &f.arena);
    marq_text_show(&build, to, strlen(to));
    assert_string_equal(marq_build_done(&build, NULL), to);
    assert_int_equal(marq_text_width(to, strlen(to)), columns);
    close_arena(&f);
}

static void assert_shows(const char *from, const char *to, size_t columns)
{
    assert_shows_bytes(from, strlen(from), to, columns);
}

static void plain_text_is_shown_as_it_is(void **state)
{
    (void)state;
    assert_shows("", "", 0);
    assert_shows("glissade, 1-2", "glissade, 1-2", 13);
    assert_shows("échappé", "échappé", 7);
    assert_shows("e\xcc\x81" "chappe\xcc\x81", "e\xcc\x81" "chappe\xcc\x81", 7);
    assert_shows("バレエ", "バレエ", 6); /* two columns each */
    assert_shows("×½…→", "×½…→", 4);
    assert_shows("a\tb", "a b", 3);
}

static void controls_and_broken_bytes_are_shown(void **state)
{
    (void)state;
    assert_shows("\x1b[31m", "\\x1b[31m", 8);
    assert_shows("a\nb\r", "a\\x0ab\\x0d", 10);
    assert_shows("\x7f", "\\x7f", 4);
    assert_shows("\xff\xe2\x80", "\\xff\\xe2\\x80", 12);
    assert_shows_bytes("\0", 1, "\\x00", 4);
    assert_shows_bytes(NULL, 0, "", 0);
}

static void unseen_characters_are_shown_by_number(void **state)
{
    (void)state;
    assert_shows("\xc2\x9b", "\\u{9b}", 6);
    assert_shows("\xc2\x85", "\\u{85}", 6);
    assert_shows("a\xe2\x80\xae", "a\\u{202e}", 9);
    assert_shows("\xe2\x81\xa6", "\\u{2066}", 8);
    assert_shows("\xe2\x80\x8b\xe2\x80\x8d", "\\u{200b}\\u{200d}", 16);
    assert_shows("\xef\xbb\xbf", "\\u{feff}", 8);
    assert_shows("\xc2\xad", "\\u{ad}", 6);
    assert_shows("\xe2\x80\xa8", "\\u{2028}", 8);
    assert_shows("\xf3\xa0\x81\x81", "\\u{e0041}", 9); /* a tag letter */
    assert_shows("\xf4\x8f\xbf\xbf", "\\u{10ffff}", 10);
}

/* Nothing a terminal could obey comes out, whatever goes in, and the width
 * is the sum of the parts. */
static void noise_comes_out_tame(void **state)
{
    uint32_t seed = 3;
    int round;

    (void)state;
    for (round = 0; round < 300; round++) {
        char noise[200];
        fixture f;
        marq_build build;
        const char *made;
        size_t length;
        size_t i;

        for (i = 0; i < sizeof noise; i++) {
            seed = seed * 1664525u + 1013904223u;
            noise[i] = (char)(seed >> (round % 2 == 0 ? 24 : 26));
        }
        open_arena(&f);
        marq_build_init(&build, &f.arena);
        marq_text_show(&build, noise, sizeof noise);
        made = marq_build_done(&build, &length);
        assert_non_null(made);
        for (i = 0; i < length;) {
            uint32_t code = 0;
            size_t size = marq_text_decode(made + i, length - i, &code);

            assert_true(size > 0);
            assert_true(code >= 0x20 && code != 0x7f);
            assert_false(code >= 0x80 && code < 0xa0);
            i += size;
        }
        assert_int_equal(marq_text_width(noise, sizeof noise),
                         marq_text_width(made, length));
        close_arena(&f);
    }
}

/* ---- memory ---- */

static marq_status fold_once(testmem *counted, void *ctx)
{
    marq_mem mem = {testmem_hook, NULL};
    marq_arena arena;
    marq_folded out;
    marq_status status;

    mem.ctx = counted;
    marq_arena_init(&arena, mem);
    status = marq_text_fold(&out, &arena, ctx, strlen(ctx), NULL);
    if (status == MARQ_OK &&
        marq_text_fold_string(&arena, ctx, strlen(ctx)) == NULL) {
        status = MARQ_MEMORY;
    }
    marq_arena_free(&arena);
    return status;
}

static void each_failure_of_memory_is_a_status(void **state)
{
    char text[3 * 2000 + 1];
    size_t i;

    (void)state;
    for (i = 0; i < 2000; i++) {
        memcpy(text + 3 * i, "\xef\xb7\xba", 4);
    }
    assert_true(testmem_each_failure(fold_once, text) >= 6);
}

static void a_text_beyond_numbers_is_refused(void **state)
{
    (void)state;
#if SIZE_MAX > UINT32_MAX
    {
        fixture f;
        marq_folded out;

        open_arena(&f);
        assert_int_equal(
            marq_text_fold(&out, &f.arena, "x", (size_t)UINT32_MAX, NULL),
            MARQ_LIMIT);
        close_arena(&f);
    }
#endif
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(ascii_keeps_its_bytes_in_small_letters),
        cmocka_unit_test(accents_are_dropped_composed_and_not),
        cmocka_unit_test(ligatures_are_spelled_out),
        cmocka_unit_test(apostrophes_dashes_blanks_have_one_form),
        cmocka_unit_test(signs_are_spelled_out),
        cmocka_unit_test(unseen_characters_are_dropped),
        cmocka_unit_test(lines_end_with_a_line_feed),
        cmocka_unit_test(the_map_leads_to_the_source),
        cmocka_unit_test(what_is_no_text_becomes_one_byte_each),
        cmocka_unit_test(growth_beyond_the_source_is_held),
        cmocka_unit_test(folded_text_is_text_and_folds_to_itself),
        cmocka_unit_test(every_code_point_is_decoded),
        cmocka_unit_test(only_what_encoding_gives_is_decoded),
        cmocka_unit_test(plain_text_is_shown_as_it_is),
        cmocka_unit_test(controls_and_broken_bytes_are_shown),
        cmocka_unit_test(unseen_characters_are_shown_by_number),
        cmocka_unit_test(noise_comes_out_tame),
        cmocka_unit_test(each_failure_of_memory_is_a_status),
        cmocka_unit_test(a_text_beyond_numbers_is_refused),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
