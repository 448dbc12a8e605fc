/* test_source.c - lines, columns, places of a text. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "source.h"
#include "testmem.h"

typedef struct fixture {
    testmem counted;
    marq_arena arena;
    marq_source source;
} fixture;

static void open_text(fixture *f, const char *bytes, size_t length)
{
    marq_mem mem = {testmem_hook, NULL};

    testmem_init(&f->counted);
    mem.ctx = &f->counted;
    marq_arena_init(&f->arena, mem);
    assert_int_equal(
        marq_source_init(&f->source, &f->arena, "class", bytes, length),
        MARQ_OK);
}

static void close_text(fixture *f)
{
    marq_arena_free(&f->arena);
    assert_int_equal(f->counted.live_blocks, 0);
}

static void assert_place(const fixture *f, size_t byte, uint32_t line,
                         uint32_t column)
{
    marq_place place = marq_source_place(&f->source, byte);

    assert_int_equal(place.line, line);
    assert_int_equal(place.column, column);
}

static void assert_line(const fixture *f, uint32_t line, const char *text)
{
    marq_span span = marq_source_line(&f->source, line);

    assert_true(span.from <= span.to && span.to <= f->source.length);
    assert_int_equal(span.to - span.from, strlen(text));
    assert_memory_equal(f->source.bytes + span.from, text, strlen(text));
}

static void text_and_name_are_copied(void **state)
{
    fixture f;
    char bytes[] = "plie";

    (void)state;
    open_text(&f, bytes, 4);
    bytes[0] = 'x';
    assert_string_equal(f.source.bytes, "plie");
    assert_string_equal(f.source.name, "class");
    assert_int_equal(f.source.length, 4);
    assert_int_equal(f.source.line_count, 1);
    assert_int_equal(
        marq_source_init(&f.source, &f.arena, NULL, "a\0b", 3), MARQ_OK);
    assert_null(f.source.name);
    assert_memory_equal(f.source.bytes, "a\0b", 4);
    close_text(&f);
}

static void an_empty_text_has_one_empty_line(void **state)
{
    fixture f;

    (void)state;
    open_text(&f, NULL, 0);
    assert_int_equal(f.source.line_count, 1);
    assert_string_equal(f.source.bytes, "");
    assert_place(&f, 0, 1, 1);
    assert_place(&f, 100, 1, 1);
    assert_line(&f, 1, "");
    assert_line(&f, 0, "");
    assert_line(&f, 2, "");
    close_text(&f);
}

static void lines_end_at_lf_or_crlf(void **state)
{
    fixture f;

    (void)state;
    /*             0123 45 678 9 0 1 2 */
    open_text(&f, "one\r\ntwo\n\r\n\nend", 15);
    assert_int_equal(f.source.line_count, 5);
    assert_line(&f, 1, "one");
    assert_line(&f, 2, "two");
    assert_line(&f, 3, "");
    assert_line(&f, 4, "");
    assert_line(&f, 5, "end");
    assert_place(&f, 0, 1, 1);
    assert_place(&f, 3, 1, 4);
    assert_place(&f, 5, 2, 1);
    assert_place(&f, 8, 2, 4); /* its line feed */
    assert_place(&f, 9, 3, 1);
    assert_place(&f, 11, 4, 1);
    assert_place(&f, 12, 5, 1);
    assert_place(&f, 14, 5, 3);
    assert_place(&f, 15, 5, 4);
    assert_place(&f, SIZE_MAX, 5, 4);
    close_text(&f);
}

static void a_last_line_feed_begins_an_empty_line(void **state)
{
    fixture f;

    (void)state;
    open_text(&f, "a\n", 2);
    assert_int_equal(f.source.line_count, 2);
    assert_line(&f, 1, "a");
    assert_line(&f, 2, "");
    assert_place(&f, 1, 1, 2);
    assert_place(&f, 2, 2, 1);
    close_text(&f);
}

static void a_carriage_return_alone_ends_no_line(void **state)
{
    fixture f;

    (void)state;
    open_text(&f, "a\rb\r", 4);
    assert_int_equal(f.source.line_count, 1);
    assert_line(&f, 1, "a\rb\r");
    close_text(&f);
}

static void columns_count_characters(void **state)
{
    fixture f;

    (void)state;
    /* e acute (2 bytes), a three-byte dash, a four-byte note sign, x */
    open_text(&f, "\xc3\xa9\xe2\x80\x94\xf0\x9d\x85\x9ex", 10);
    assert_place(&f, 0, 1, 1);
    assert_place(&f, 1, 1, 1); /* inside: where the character begins */
    assert_place(&f, 2, 1, 2);
    assert_place(&f, 4, 1, 2);
    assert_place(&f, 5, 1, 3);
    assert_place(&f, 8, 1, 3);
    assert_place(&f, 9, 1, 4);
    assert_place(&f, 10, 1, 5);
    close_text(&f);
}

/* Against counting from the beginning each time. */
static void places_agree_with_counting_along(void **state)
{
    static const char *const bits[] = {"a", "\n", "\r\n", "\xc3\xa9",
                                       "\xe2\x80\x94", " ", "\xf0\x9d\x85\x9e"};
    uint32_t seed = 7;
    int round;

    (void)state;
    for (round = 0; round < 50; round++) {
        char text[400];
        size_t length = 0;
        marq_place here = {1, 1};
        marq_place place;
        fixture f;
        size_t i;

        while (length < 300) {
            const char *bit;

            seed = seed * 1664525u + 1013904223u;
            bit = bits[(seed >> 16) % 7];
            memcpy(text + length, bit, strlen(bit));
            length += strlen(bit);
        }
        open_text(&f, text, length);
        for (i = 0; i < length; i++) {
            if (((unsigned char)text[i] & 0xc0) == 0x80) {
                here.column--; /* not yet past the character */
            }
            assert_place(&f, i, here.line, here.column);
            here.column++;
            if (text[i] == '\n') {
                here.line++;
                here.column = 1;
            }
        }
        place = marq_source_place(&f.source, length);
        assert_int_equal(place.line, here.line);
        assert_int_equal(place.column, here.column);
        assert_int_equal(f.source.line_count, here.line);
        close_text(&f);
    }
}

static void a_text_beyond_numbers_is_refused(void **state)
{
    fixture f;
    marq_source source;

    (void)state;
    open_text(&f, "", 0);
#if SIZE_MAX > UINT32_MAX
    /* refused before a byte is read */
    assert_int_equal(marq_source_init(&source, &f.arena, NULL, "x",
                                      (size_t)UINT32_MAX),
                     MARQ_LIMIT);
#else
    (void)source;
#endif
    close_text(&f);
}

static marq_status open_once(testmem *counted, void *ctx)
{
    marq_mem mem = {testmem_hook, NULL};
    marq_arena arena;
    marq_source source;
    marq_status status;

    mem.ctx = counted;
    marq_arena_init(&arena, mem);
    status = marq_source_init(&source, &arena, "name", ctx, strlen(ctx));
    marq_arena_free(&arena);
    return status;
}

static void each_failure_of_memory_is_a_status(void **state)
{
    char *text = malloc(20001);
    size_t i;

    (void)state;
    assert_non_null(text);
    for (i = 0; i < 20000; i++) {
        text[i] = i % 3 == 0 ? '\n' : 'a';
    }
    text[20000] = '\0';
    assert_true(testmem_each_failure(open_once, text) >= 2);
    free(text);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(text_and_name_are_copied),
        cmocka_unit_test(an_empty_text_has_one_empty_line),
        cmocka_unit_test(lines_end_at_lf_or_crlf),
        cmocka_unit_test(a_last_line_feed_begins_an_empty_line),
        cmocka_unit_test(a_carriage_return_alone_ends_no_line),
        cmocka_unit_test(columns_count_characters),
        cmocka_unit_test(places_agree_with_counting_along),
        cmocka_unit_test(a_text_beyond_numbers_is_refused),
        cmocka_unit_test(each_failure_of_memory_is_a_status),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
