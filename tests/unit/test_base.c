/* test_base.c - memory, arenas, arrays, strings, exact numbers. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "base.h"
#include "testmem.h"

static marq_mem mem_of(testmem *counted)
{
    marq_mem mem = {testmem_hook, NULL};

    testmem_init(counted);
    mem.ctx = counted;
    return mem;
}

/* ---- memory ---- */

static void hook_of_config_is_used(void **state)
{
    testmem counted;
    marq_config config;
    marq_mem mem;

    (void)state;
    testmem_init(&counted);
    config = testmem_config(&counted);
    mem = marq_mem_of(&config);
    assert_true(mem.fn == testmem_hook);
    assert_ptr_equal(mem.ctx, &counted);
}

static void without_hook_the_c_library_serves(void **state)
{
    marq_config config;
    marq_mem mems[2];
    size_t i;

    (void)state;
    memset(&config, 0, sizeof config);
    config.struct_size = sizeof config;
    mems[0] = marq_mem_of(NULL);
    mems[1] = marq_mem_of(&config);
    for (i = 0; i < 2; i++) {
        char *bytes = marq_mem_alloc(mems[i], 3);

        assert_non_null(bytes);
        memcpy(bytes, "abc", 3);
        bytes = marq_mem_resize(mems[i], bytes, 5000);
        assert_non_null(bytes);
        assert_memory_equal(bytes, "abc", 3);
        marq_mem_free(mems[i], bytes);
    }
}

static void a_shorter_config_is_not_read_past_its_end(void **state)
{
    testmem counted;
    marq_config config;

    (void)state;
    testmem_init(&counted);
    config = testmem_config(&counted);
    config.struct_size = offsetof(marq_config, alloc);
    assert_false(marq_mem_of(&config).fn == testmem_hook);
}

static void size_zero_is_an_allocation(void **state)
{
    testmem counted;
    marq_mem mem = mem_of(&counted);
    void *a = marq_mem_alloc(mem, 0);

    (void)state;
    assert_non_null(a);
    a = marq_mem_resize(mem, a, 0);
    assert_non_null(a);
    assert_int_equal(counted.live_blocks, 1);
    marq_mem_free(mem, a);
    marq_mem_free(mem, NULL);
    assert_int_equal(counted.live_blocks, 0);
}

static void failed_resize_leaves_the_block(void **state)
{
    testmem counted;
    marq_mem mem = mem_of(&counted);
    char *a = marq_mem_alloc(mem, 4);

    (void)state;
    assert_non_null(a);
    memcpy(a, "keep", 4);
    counted.fail_at = 2;
    assert_null(marq_mem_resize(mem, a, 100));
    assert_memory_equal(a, "keep", 4);
    marq_mem_free(mem, a);
    assert_int_equal(counted.live_blocks, 0);
}

/* ---- arithmetic: against sums done in a wider or smaller way ---- */

static const int64_t edges[] = {INT64_MIN,     INT64_MIN + 1, INT64_MIN / 2,
                                INT64_MIN / 3, -3037000500,   -4294967296,
                                -2,            -1,            0,
                                1,             2,             3,
                                4294967295,    4294967296,    3037000499,
                                3037000500,    INT64_MAX / 3, INT64_MAX / 2,
                                INT64_MAX - 1, INT64_MAX};
#define EDGES (sizeof edges / sizeof edges[0])

__extension__ typedef __int128 wide;
__extension__ typedef unsigned __int128 wider;

static void check_i64(bool got, int64_t value, wide truth)
{
    bool fits = truth >= INT64_MIN && truth <= INT64_MAX;

    assert_int_equal(got, fits);
    if (fits) {
        assert_true(value == (int64_t)truth);
    } else {
        assert_true(value == 77); /* untouched */
    }
}

static void signed_sums_and_products_say_when_they_overflow(void **state)
{
    size_t i;
    size_t j;

    (void)state;
    for (i = 0; i < EDGES; i++) {
        for (j = 0; j < EDGES; j++) {
            int64_t value = 77;
            bool fits = marq_add_i64(&value, edges[i], edges[j]);

            check_i64(fits, value, (wide)edges[i] + edges[j]);
            value = 77;
            fits = marq_mul_i64(&value, edges[i], edges[j]);
            check_i64(fits, value, (wide)edges[i] * edges[j]);
        }
    }
}

static void sizes_say_when_they_overflow(void **state)
{
    static const size_t sizes[] = {
        0, 1, 2, 3, SIZE_MAX / 3, SIZE_MAX / 2, SIZE_MAX / 2 + 1,
        SIZE_MAX - 1, SIZE_MAX, (size_t)1 << (sizeof(size_t) * 4)};
    const size_t n = sizeof sizes / sizeof sizes[0];
    size_t i;
    size_t j;

    (void)state;
    for (i = 0; i < n; i++) {
        for (j = 0; j < n; j++) {
            wide sum = (wide)sizes[i] + (wide)sizes[j];
            wider product = (wider)sizes[i] * sizes[j];
            size_t value = 77;

            assert_int_equal(marq_add_size(&value, sizes[i], sizes[j]),
                             sum <= (wide)SIZE_MAX);
            assert_true(value ==
                        (sum <= (wide)SIZE_MAX ? (size_t)sum : 77));
            value = 77;
            assert_int_equal(marq_mul_size(&value, sizes[i], sizes[j]),
                             product <= SIZE_MAX);
            assert_true(value == (product <= SIZE_MAX ? (size_t)product : 77));
        }
    }
}

/* ---- arena ---- */

static void arena_blocks_are_zeroed_aligned_and_apart(void **state)
{
    testmem counted;
    marq_arena arena;
    unsigned char *at[600];
    size_t size[600];
    size_t i;
    size_t k;

    (void)state;
    marq_arena_init(&arena, mem_of(&counted));
    for (i = 0; i < 600; i++) {
        size[i] = i % 7 == 0 ? 3000 + i : i % 50;
        at[i] = marq_arena_alloc(&arena, size[i], 1);
        assert_non_null(at[i]);
        assert_int_equal((uintptr_t)at[i] % _Alignof(max_align_t), 0);
        for (k = 0; k < size[i]; k++) {
            assert_int_equal(at[i][k], 0);
            at[i][k] = (unsigned char)(i % 251 + 1);
        }
    }
    for (i = 0; i < 600; i++) { /* none was written over by another */
        for (k = 0; k < size[i]; k++) {
            assert_int_equal(at[i][k], i % 251 + 1);
        }
    }
    marq_arena_free(&arena);
    assert_int_equal(counted.live_blocks, 0);
    assert_non_null(marq_arena_alloc(&arena, 1, 1)); /* usable again */
    marq_arena_free(&arena);
    assert_int_equal(counted.live_blocks, 0);
}

static void arena_refuses_what_overflows(void **state)
{
    testmem counted;
    marq_arena arena;

    (void)state;
    marq_arena_init(&arena, mem_of(&counted));
    assert_null(marq_arena_alloc(&arena, SIZE_MAX / 2, 3));
    assert_null(marq_arena_alloc(&arena, SIZE_MAX, 1));
    assert_null(marq_arena_alloc(&arena, SIZE_MAX - 20, 1));
    assert_null(marq_arena_copy(&arena, "", SIZE_MAX));
    assert_int_equal(counted.asked, 0);
    marq_arena_free(&arena);
}

static void reset_arena_gives_zeroed_memory_again(void **state)
{
    testmem counted;
    marq_arena arena;
    size_t round;
    size_t asked = 0;

    (void)state;
    marq_arena_init(&arena, mem_of(&counted));
    marq_arena_reset(&arena); /* empty: nothing happens */
    for (round = 0; round < 5; round++) {
        unsigned char *at = marq_arena_alloc(&arena, 100, 4);
        size_t i;

        assert_non_null(at);
        for (i = 0; i < 400; i++) {
            assert_int_equal(at[i], 0);
        }
        memset(at, 0xff, 400);
        if (round == 0) {
            asked = counted.asked;
        }
#if !defined(MARQ_DEBUG)
        assert_int_equal(counted.asked, asked); /* the block was kept */
#endif
        marq_arena_reset(&arena);
        assert_true(counted.live_blocks <= 1);
    }
    assert_true(asked > 0);
    marq_arena_free(&arena);
    assert_int_equal(counted.live_blocks, 0);
}

static void arena_copies_are_terminated(void **state)
{
    testmem counted;
    marq_arena arena;
    char *copy;

    (void)state;
    marq_arena_init(&arena, mem_of(&counted));
    copy = marq_arena_copy(&arena, "glissade", 4);
    assert_string_equal(copy, "glis");
    copy = marq_arena_copy(&arena, NULL, 0);
    assert_string_equal(copy, "");
    marq_arena_free(&arena);
}

/* ---- array and string ---- */

static void array_grows_and_keeps(void **state)
{
    static const size_t sizes[] = {1, 4, 8, 24, 400};
    testmem counted;
    marq_arena arena;
    size_t s;

    (void)state;
    marq_arena_init(&arena, mem_of(&counted));
    for (s = 0; s < sizeof sizes / sizeof sizes[0]; s++) {
        marq_array array;
        size_t i;
        size_t k;

        marq_array_init(&array, &arena, sizes[s]);
        assert_int_equal(array.count, 0);
        for (i = 0; i < 1000; i++) {
            unsigned char *at = marq_array_add(&array);

            assert_non_null(at);
            for (k = 0; k < sizes[s]; k++) {
                assert_int_equal(at[k], 0);
            }
            memset(at, (int)(i % 255), sizes[s]);
            assert_int_equal(array.count, i + 1);
        }
        for (i = 0; i < 1000; i++) {
            const unsigned char *at =
                (const unsigned char *)array.at + i * sizes[s];

            assert_int_equal(at[0], i % 255);
            assert_int_equal(at[sizes[s] - 1], i % 255);
        }
        array.count--; /* taken off, it comes back zeroed */
        assert_int_equal(*(unsigned char *)marq_array_add(&array), 0);
    }
    marq_arena_free(&arena);
}

static void elements_are_reached_by_type(void **state)
{
    testmem counted;
    marq_arena arena;
    marq_array array;
    int i;

    (void)state;
    marq_arena_init(&arena, mem_of(&counted));
    marq_array_init(&array, &arena, sizeof(int));
    for (i = 0; i < 10; i++) {
        *(int *)marq_array_add(&array) = i * i;
    }
    assert_int_equal(*MARQ_AT(&array, int, 0), 0);
    assert_int_equal(*MARQ_AT(&array, int, 9), 81);
    marq_arena_free(&arena);
}

static void a_full_memory_leaves_the_array(void **state)
{
    testmem counted;
    marq_arena arena;
    marq_array array;
    size_t count;

    (void)state;
    marq_arena_init(&arena, mem_of(&counted));
    marq_array_init(&array, &arena, sizeof(int));
    *(int *)marq_array_add(&array) = 5;
    counted.fail_at = counted.asked + 1;
    counted.for_good = true;
    count = 1;
    while (marq_array_add(&array) != NULL) {
        count++;
        assert_true(count < 100000);
    }
    assert_int_equal(array.count, count);
    assert_int_equal(*MARQ_AT(&array, int, 0), 5);
    counted.fail_at = 0;
    assert_non_null(marq_array_add(&array)); /* goes on when there is more */
    assert_int_equal(array.count, count + 1);
    marq_arena_free(&arena);
    assert_int_equal(counted.live_blocks, 0);
}

static void strings_are_built(void **state)
{
    testmem counted;
    marq_arena arena;
    marq_build build;
    size_t length = 99;

    (void)state;
    marq_arena_init(&arena, mem_of(&counted));
    marq_build_init(&build, &arena);
    assert_string_equal(marq_build_done(&build, &length), "");
    assert_int_equal(length, 0);
    marq_build_text(&build, "count ");
    marq_build_number(&build, 0);
    marq_build_char(&build, ',');
    marq_build_number(&build, 1205);
    marq_build_char(&build, ',');
    marq_build_number(&build, -7);
    assert_string_equal(marq_build_done(&build, NULL), "count 0,1205,-7");
    marq_build_text(&build, NULL);
    marq_build_bytes(&build, "\0x", 2);
    marq_build_number(&build, INT64_MAX);
    marq_build_number(&build, INT64_MIN);
    assert_memory_equal(
        marq_build_done(&build, &length),
        "count 0,1205,-7\0x9223372036854775807-9223372036854775808", 57);
    assert_int_equal(length, 15 + 2 + 19 + 20);
    marq_arena_free(&arena);
}

static marq_status build_much(testmem *counted, void *ctx)
{
    marq_mem mem = {testmem_hook, NULL};
    marq_arena arena;
    marq_build build;
    const char *made;
    size_t length = 0;
    int i;

    (void)ctx;
    mem.ctx = counted;
    marq_arena_init(&arena, mem);
    marq_build_init(&build, &arena);
    for (i = 0; i < 3000; i++) {
        marq_build_text(&build, "chassé ");
    }
    made = marq_build_done(&build, &length);
    if (made != NULL) {
        assert_int_equal(length, 3000 * 8);
        assert_memory_equal(made + length - 8, "chassé ", 9);
    }
    marq_arena_free(&arena);
    return made == NULL ? MARQ_MEMORY : MARQ_OK;
}

static void failed_building_shows_at_the_end(void **state)
{
    (void)state;
    assert_true(testmem_each_failure(build_much, NULL) > 2);
}

/* ---- counts ---- */

static void counts_come_in_lowest_terms(void **state)
{
    marq_count count = {7, 7};

    (void)state;
    assert_true(marq_count_make(&count, 6, 8));
    assert_true(count.num == 3 && count.den == 4);
    assert_true(marq_count_make(&count, 6, -8));
    assert_true(count.num == -3 && count.den == 4);
    assert_true(marq_count_make(&count, 0, -5));
    assert_true(count.num == 0 && count.den == 1);
    assert_true(marq_count_is_zero(count));
    assert_true(marq_count_make(&count, INT64_MIN, INT64_MIN));
    assert_true(count.num == 1 && count.den == 1);
    assert_true(marq_count_make(&count, INT64_MIN, 1));
    assert_true(count.num == INT64_MIN && count.den == 1);
    assert_true(marq_count_make(&count, INT64_MIN, -2));
    assert_true(count.num == (int64_t)1 << 62 && count.den == 1);
    assert_false(marq_count_make(&count, 1, 0));
    assert_false(marq_count_make(&count, INT64_MIN, -1));
    assert_false(marq_count_make(&count, 1, INT64_MIN));
    assert_true(count.num == (int64_t)1 << 62 && count.den == 1);
}

/* Every pair of small fractions against fractions over 5040. */
static void small_counts_add_and_compare(void **state)
{
    int n;
    int d;
    int m;
    int e;

    (void)state;
    for (d = 1; d <= 8; d++) {
        for (n = -9; n <= 9; n++) {
            for (e = 1; e <= 8; e++) {
                for (m = -9; m <= 9; m++) {
                    marq_count a;
                    marq_count b;
                    marq_count sum;
                    marq_count rest;
                    int x = n * 840 / d;
                    int y = m * 840 / e;

                    assert_true(marq_count_make(&a, n, d));
                    assert_true(marq_count_make(&b, m, e));
                    assert_true(marq_count_add(&sum, a, b));
                    assert_true(marq_count_sub(&rest, a, b));
                    assert_true(sum.num * 840 == (x + y) * sum.den);
                    assert_true(rest.num * 840 == (x - y) * rest.den);
                    assert_true(sum.den > 0 && rest.den > 0);
                    assert_int_equal(marq_count_compare(a, b),
                                     (x > y) - (x < y));
                }
            }
        }
    }
}

static void large_counts_compare_without_overflow(void **state)
{
    size_t a;
    size_t b;
    size_t c;
    size_t d;

    (void)state;
    for (a = 0; a < EDGES; a++) {
        for (b = 0; b < EDGES; b++) {
            for (c = 0; c < EDGES; c++) {
                for (d = 0; d < EDGES; d++) {
                    marq_count x = {edges[a], edges[b]};
                    marq_count y = {edges[c], edges[d]};
                    wide left = (wide)edges[a] * edges[d];
                    wide right = (wide)edges[c] * edges[b];

                    if (edges[b] > 0 && edges[d] > 0) {
                        assert_int_equal(marq_count_compare(x, y),
                                         (left > right) - (left < right));
                    }
                }
            }
        }
    }
}

static void large_counts_say_when_they_overflow(void **state)
{
    marq_count most = {INT64_MAX, 1};
    marq_count least = {INT64_MIN, 1};
    marq_count one = {1, 1};
    marq_count tiny = {1, INT64_MAX};
    marq_count tinier = {1, INT64_MAX - 1};
    marq_count out = {5, 6};

    (void)state;
    assert_false(marq_count_add(&out, most, one));
    assert_false(marq_count_sub(&out, least, one));
    assert_false(marq_count_add(&out, tiny, tinier));
    assert_false(marq_count_add(&out, most, tiny));
    assert_true(out.num == 5 && out.den == 6);
    assert_true(marq_count_sub(&out, least, least));
    assert_true(marq_count_is_zero(out));
    assert_true(marq_count_add(&out, tiny, tiny));
    assert_true(out.num == 2 && out.den == INT64_MAX);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(hook_of_config_is_used),
        cmocka_unit_test(without_hook_the_c_library_serves),
        cmocka_unit_test(a_shorter_config_is_not_read_past_its_end),
        cmocka_unit_test(size_zero_is_an_allocation),
        cmocka_unit_test(failed_resize_leaves_the_block),
        cmocka_unit_test(signed_sums_and_products_say_when_they_overflow),
        cmocka_unit_test(sizes_say_when_they_overflow),
        cmocka_unit_test(arena_blocks_are_zeroed_aligned_and_apart),
        cmocka_unit_test(arena_refuses_what_overflows),
        cmocka_unit_test(reset_arena_gives_zeroed_memory_again),
        cmocka_unit_test(arena_copies_are_terminated),
        cmocka_unit_test(array_grows_and_keeps),
        cmocka_unit_test(elements_are_reached_by_type),
        cmocka_unit_test(a_full_memory_leaves_the_array),
        cmocka_unit_test(strings_are_built),
        cmocka_unit_test(failed_building_shows_at_the_end),
        cmocka_unit_test(counts_come_in_lowest_terms),
        cmocka_unit_test(small_counts_add_and_compare),
        cmocka_unit_test(large_counts_compare_without_overflow),
        cmocka_unit_test(large_counts_say_when_they_overflow),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
