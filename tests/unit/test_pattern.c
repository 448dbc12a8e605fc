/* test_pattern.c - patterns over folded text. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "pattern.h"
#include "testmem.h"

static const char *const parts[] = {"from", "to", "missing"};

typedef struct fixture {
    testmem counted;
    marq_mem mem;
    marq_scratch *scratch;
    marq_pattern *pattern;
} fixture;

static void open_pattern(fixture *f, const char *text)
{
    size_t at = 99;
    const char *words = NULL;

    testmem_init(&f->counted);
    f->mem.fn = testmem_hook;
    f->mem.ctx = &f->counted;
    assert_int_equal(marq_pattern_scratch_new(&f->scratch, f->mem), MARQ_OK);
    assert_int_equal(marq_pattern_compile(&f->pattern, f->mem, text,
                                          strlen(text), parts, 3, &at,
                                          &words),
                     MARQ_OK);
    assert_non_null(f->pattern);
    assert_int_equal(at, 99);
    assert_null(words);
}

static void close_pattern(fixture *f)
{
    marq_pattern_free(f->pattern);
    marq_pattern_scratch_free(f->scratch);
    assert_int_equal(f->counted.live_blocks, 0);
}

static bool match_at(fixture *f, const char *bytes, size_t at,
                     marq_match *match)
{
    bool found = true;

    memset(match, 0x55, sizeof *match);
    assert_int_equal(marq_pattern_at(f->pattern, f->scratch, bytes,
                                     strlen(bytes), at, match, &found),
                     MARQ_OK);
    return found;
}

static void a_pattern_matches_at_its_place_only(void **state)
{
    fixture f;
    marq_match match;

    (void)state;
    open_pattern(&f, "(?<from>\\d+)\\s*-\\s*(?<to>\\d+)");
    assert_true(match_at(&f, "12 - 345 x", 0, &match));
    assert_int_equal(match.to, 8);
    assert_int_equal(match.from_of[0], 0);
    assert_int_equal(match.to_of[0], 2);
    assert_int_equal(match.from_of[1], 5);
    assert_int_equal(match.to_of[1], 8);
    assert_int_equal(match.from_of[2], match.to_of[2]); /* no such part */
    assert_true(match_at(&f, "12 - 345 x", 1, &match));
    assert_int_equal(match.from_of[0], 1);
    assert_false(match_at(&f, "x 1-2", 0, &match)); /* not further on */
    assert_int_equal(match.from_of[0], match.to_of[0]);
    assert_true(match_at(&f, "x 1-2", 2, &match));
    assert_int_equal(match.to, 5);
    assert_false(match_at(&f, "x 1-2", 5, &match)); /* at the end */
    assert_false(match_at(&f, "x 1-2", 6, &match)); /* past it */
    close_pattern(&f);
}

static void what_stands_before_is_seen(void **state)
{
    fixture f;
    marq_match match;

    (void)state;
    open_pattern(&f, "(?<![a-z])x(?<from>\\d)");
    assert_true(match_at(&f, "4 x3", 2, &match));
    assert_false(match_at(&f, "pax3", 2, &match));
    close_pattern(&f);
}

static void a_part_that_did_not_match_is_empty(void **state)
{
    fixture f;
    marq_match match;

    (void)state;
    open_pattern(&f, "(?<from>\\d)(?:-(?<to>\\d))?");
    assert_true(match_at(&f, "7", 0, &match));
    assert_int_equal(match.to, 1);
    assert_int_equal(match.to_of[0], 1);
    assert_int_equal(match.from_of[1], match.to_of[1]);
    /* and nothing of an earlier match is left */
    assert_true(match_at(&f, "7-8", 0, &match));
    assert_int_equal(match.to_of[1], 3);
    assert_true(match_at(&f, "7", 0, &match));
    assert_int_equal(match.from_of[1], match.to_of[1]);
    close_pattern(&f);
}

static void of_parts_with_one_name_the_matching_one_counts(void **state)
{
    fixture f;
    marq_match match;

    (void)state;
    open_pattern(&f, "(?J)(?:x(?<from>\\d)|(?<from>\\d)x|(?<from>\\d) times)");
    assert_true(match_at(&f, "x3", 0, &match));
    assert_int_equal(match.from_of[0], 1);
    assert_true(match_at(&f, "3x", 0, &match));
    assert_int_equal(match.from_of[0], 0);
    assert_int_equal(match.to_of[0], 1);
    assert_true(match_at(&f, "3 times", 0, &match));
    assert_int_equal(match.to_of[0], 1);
    close_pattern(&f);
}

static void a_match_of_no_bytes_is_none(void **state)
{
    fixture f;
    marq_match match;

    (void)state;
    open_pattern(&f, "\\d*");
    assert_false(match_at(&f, "a1", 0, &match));
    assert_true(match_at(&f, "a1", 1, &match));
    close_pattern(&f);
}

static void characters_are_not_cut(void **state)
{
    fixture f;
    marq_match match;

    (void)state;
    open_pattern(&f, ".");
    assert_true(match_at(&f, "\xe2\x99\xadx", 0, &match));
    assert_int_equal(match.to, 3);
    assert_false(match_at(&f, "\xe2\x99\xadx", 1, &match));
    assert_true(match_at(&f, "\xe2\x99\xadx", 3, &match));
    close_pattern(&f);
    open_pattern(&f, "d[eé]");
    assert_true(match_at(&f, "d\xc3\xa9", 0, &match));
    assert_int_equal(match.to, 3);
    close_pattern(&f);
}

/* Passing a limit is "not found", soon, and the scratch serves on. */
static void a_runaway_pattern_is_stopped(void **state)
{
    char text[3000];
    fixture f;
    marq_match match;
    size_t most;

    (void)state;
    memset(text, 'a', sizeof text - 1);
    text[sizeof text - 1] = '\0';
    open_pattern(&f, "(?:a+)+(?:a+)+b");
    assert_false(match_at(&f, text, 0, &match));
    most = f.counted.live_bytes;
    assert_true(most < (size_t)8 << 20);
    assert_true(match_at(&f, "aaab", 0, &match));
    close_pattern(&f);
    open_pattern(&f, "(?<from>a(?&from)?b)"); /* as deep as the text */
    memset(text, 'a', 1499);
    memset(text + 1499, 'b', 1499);
    (void)match_at(&f, text, 0, &match);
    assert_true(f.counted.live_bytes < (size_t)8 << 20);
    assert_true(match_at(&f, "aabb", 0, &match));
    assert_int_equal(match.to, 4);
    close_pattern(&f);
}

static void one_scratch_serves_many_patterns(void **state)
{
    fixture f;
    marq_pattern *other;
    marq_match match;
    bool found;

    (void)state;
    open_pattern(&f, "(a)(b)(?<to>c)");
    assert_int_equal(marq_pattern_compile(&other, f.mem, "a", 1, NULL, 0,
                                          NULL, NULL),
                     MARQ_OK);
    assert_true(match_at(&f, "abc", 0, &match));
    assert_int_equal(match.from_of[1], 2);
    assert_int_equal(marq_pattern_at(other, f.scratch, "abc", 3, 0, &match,
                                     &found),
                     MARQ_OK);
    assert_true(found);
    assert_int_equal(match.to, 1);
    assert_true(match_at(&f, "abc", 0, &match));
    marq_pattern_free(other);
    close_pattern(&f);
}

typedef struct fault {
    const char *text;
    size_t from, to; /* where the fault may be placed */
    const char *words; /* part of what is said */
} fault;

static const fault faults[] = {
    {"(\\d+", 4, 4, "round bracket"},
    {"\\d+)", 3, 4, "round bracket"},
    {"ab[cd", 2, 5, "square bracket"},
    {"ab*c**+*", 4, 8, "repeat"},
    {"*a", 0, 1, "repeat"},
    {"a{3,2}", 0, 6, "larger"},
    {"a{70000}", 0, 8, "too large"},
    {"[z-a]", 0, 5, "backwards"},
    {"abc\\", 3, 4, "backslash"},
    {"a\\jb", 1, 3, "backslash"},
    {"(?<1x>a)", 0, 5, "name"},
    {"(?<a>x)(?<a>y)", 7, 12, "same name"},
    {"(?<=a*)b", 0, 8, "look behind"},
    {"a(?&nobody)", 1, 11, "no part"},
    {"\\Ca", 0, 3, "backslash"}, /* would stop inside a character */
    {"(?(9", 0, 4, ""},
    {"a\xff", 0, 2, ""},
};

static void faults_are_told_in_our_words(void **state)
{
    testmem counted;
    marq_mem mem = {testmem_hook, NULL};
    size_t i;

    (void)state;
    mem.ctx = &counted;
    testmem_init(&counted);
    for (i = 0; i < sizeof faults / sizeof faults[0]; i++) {
        marq_pattern *pattern = (marq_pattern *)&counted;
        size_t at = 99;
        const char *words = NULL;

        assert_int_equal(marq_pattern_compile(&pattern, mem, faults[i].text,
                                              strlen(faults[i].text), parts,
                                              3, &at, &words),
                         MARQ_VOCABULARY);
        assert_null(pattern);
        assert_in_range(at, faults[i].from, faults[i].to);
        assert_non_null(words);
        assert_non_null(strstr(words, faults[i].words));
        assert_true(strlen(words) > 0);
        assert_int_equal(counted.live_blocks, 0);
        assert_int_equal(marq_pattern_compile(&pattern, mem, faults[i].text,
                                              strlen(faults[i].text), NULL, 0,
                                              NULL, NULL),
                         MARQ_VOCABULARY);
    }
}

/* A pattern of `count` times `one`. */
static marq_status compile_many(const char *one, size_t count)
{
    testmem counted;
    marq_mem mem = {testmem_hook, NULL};
    size_t size = strlen(one);
    char *text = malloc(size * count);
    marq_pattern *pattern;
    marq_status status;
    size_t i;

    assert_non_null(text);
    for (i = 0; i < count; i++) {
        memcpy(text + i * size, one, size);
    }
    mem.ctx = &counted;
    testmem_init(&counted);
    status = marq_pattern_compile(&pattern, mem, text, size * count, NULL, 0,
                                  NULL, NULL);
    marq_pattern_free(pattern);
    assert_int_equal(counted.live_blocks, 0);
    free(text);
    return status;
}

static void length_and_groups_have_limits(void **state)
{
    (void)state;
    assert_int_equal(compile_many("a", 4096), MARQ_OK);
    assert_int_equal(compile_many("a", 4097), MARQ_VOCABULARY);
    assert_int_equal(compile_many("(a)", 31), MARQ_OK);
    assert_int_equal(compile_many("(a)", 32), MARQ_VOCABULARY);
}

static void the_last_group_can_be_a_part(void **state)
{
    fixture f;
    marq_match match;

    (void)state;
    open_pattern(&f, "(1)(2)(3)(4)(5)(6)(7)(8)(9)(0)(1)(2)(3)(4)(5)(6)(7)(8)"
                     "(9)(0)(1)(2)(3)(4)(5)(6)(7)(8)(9)(0)(?<to>x)");
    assert_true(match_at(&f, "123456789012345678901234567890x", 0, &match));
    assert_int_equal(match.from_of[1], 30);
    assert_int_equal(match.to_of[1], 31);
    close_pattern(&f);
}

static marq_status use_once(testmem *counted, void *ctx)
{
    marq_mem mem = {testmem_hook, NULL};
    marq_scratch *scratch = NULL;
    marq_pattern *pattern = NULL;
    marq_match match;
    bool found;
    marq_status status;
    const char *text = ctx;

    mem.ctx = counted;
    status = marq_pattern_scratch_new(&scratch, mem);
    assert_int_equal(scratch != NULL, status == MARQ_OK);
    if (status == MARQ_OK) {
        const char *words = NULL;

        status = marq_pattern_compile(
            &pattern, mem, "(?<from>(?:a|b(?<to>c)?)*)d", 26, parts, 3, NULL,
            &words);
        assert_int_equal(pattern != NULL, status == MARQ_OK);
        assert_null(words);
    }
    if (status == MARQ_OK) {
        status = marq_pattern_at(pattern, scratch, text, strlen(text), 0,
                                 &match, &found);
        assert_int_equal(found, status == MARQ_OK);
    }
    marq_pattern_free(pattern);
    marq_pattern_scratch_free(scratch);
    return status;
}

static void each_failure_of_memory_is_a_status(void **state)
{
    char text[400];

    (void)state;
    memset(text, 'a', sizeof text);
    text[sizeof text - 2] = 'd';
    text[sizeof text - 1] = '\0';
    /* scratch, two contexts, match data; pattern, two contexts, code */
    assert_true(testmem_each_failure(use_once, text) >= 8);
}

static void freeing_nothing_is_fine(void **state)
{
    (void)state;
    marq_pattern_free(NULL);
    marq_pattern_scratch_free(NULL);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_pattern_matches_at_its_place_only),
        cmocka_unit_test(what_stands_before_is_seen),
        cmocka_unit_test(a_part_that_did_not_match_is_empty),
        cmocka_unit_test(of_parts_with_one_name_the_matching_one_counts),
        cmocka_unit_test(a_match_of_no_bytes_is_none),
        cmocka_unit_test(characters_are_not_cut),
        cmocka_unit_test(a_runaway_pattern_is_stopped),
        cmocka_unit_test(one_scratch_serves_many_patterns),
        cmocka_unit_test(faults_are_told_in_our_words),
        cmocka_unit_test(length_and_groups_have_limits),
        cmocka_unit_test(the_last_group_can_be_a_part),
        cmocka_unit_test(each_failure_of_memory_is_a_status),
        cmocka_unit_test(freeing_nothing_is_fine),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
