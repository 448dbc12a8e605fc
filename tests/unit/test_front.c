/* test_front.c - fronts: prices lower, merge, settle and are marked.
 *
 * Compared with a plain table of 64-bit totals. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "front.h"

static marq_cell cell_of(unsigned arrival, unsigned body, unsigned facing)
{
    return (marq_cell){(uint8_t)arrival, (marq_body)body,
                       (marq_facing)facing};
}

/* The total price of a cell, UINT64_MAX out of reach. */
static uint64_t total(const marq_front *f, unsigned k, unsigned b, unsigned x)
{
    if (!marq_front_live(f, k, b) ||
        f->cost[k][b][x] == MARQ_OUT_OF_REACH) {
        return UINT64_MAX;
    }
    return (uint64_t)f->base + f->cost[k][b][x];
}

static void an_empty_front(void **state)
{
    marq_front f;
    marq_marks marks = {{{0}}};
    (void)state;
    memset(&f, 0x5a, sizeof f); /* clearing needs nothing before it */
    marq_front_clear(&f);
    assert_true(marq_front_empty(&f));
    assert_int_equal(marq_front_cheapest(&f), UINT32_MAX);
    assert_int_equal(marq_front_mark(&f, 0, &marks), 0);
    assert_false(marq_front_live(&f, 0, 0));
}

static void prices_only_fall(void **state)
{
    marq_front f;
    (void)state;
    marq_front_clear(&f);
    marq_front_put(&f, cell_of(2, 46, 7), 9);
    assert_false(marq_front_empty(&f));
    assert_true(marq_front_live(&f, 2, 46));
    assert_false(marq_front_live(&f, 1, 46));
    assert_int_equal(total(&f, 2, 46, 7), 9);
    assert_int_equal(total(&f, 2, 46, 6), UINT64_MAX);
    marq_front_put(&f, cell_of(2, 46, 7), 12);
    assert_int_equal(total(&f, 2, 46, 7), 9);
    marq_front_put(&f, cell_of(2, 46, 7), 4);
    assert_int_equal(total(&f, 2, 46, 7), 4);
    assert_int_equal(marq_front_cheapest(&f), 4);
}

static void prices_saturate(void **state)
{
    marq_front f;
    (void)state;
    marq_front_clear(&f);
    marq_front_put(&f, cell_of(0, 0, 0), MARQ_DEAREST);
    marq_front_put(&f, cell_of(0, 0, 1), MARQ_OUT_OF_REACH);
    marq_front_put(&f, cell_of(0, 0, 2), 100000);
    marq_front_put(&f, cell_of(0, 0, 3), MARQ_DEAREST - 1);
    assert_int_equal(f.cost[0][0][0], MARQ_DEAREST);
    assert_int_equal(f.cost[0][0][1], MARQ_DEAREST);
    assert_int_equal(f.cost[0][0][2], MARQ_DEAREST);
    assert_int_equal(f.cost[0][0][3], MARQ_DEAREST - 1);
    assert_int_equal(f.cost[0][0][4], MARQ_OUT_OF_REACH);
}

static void sets_give_their_lowest(void **state)
{
    (void)state;
    uint64_t set = (uint64_t)1 << 46 | (uint64_t)1 << 33 | 1u;
    assert_int_equal(marq_front_next(&set), 0);
    assert_int_equal(marq_front_next(&set), 33);
    assert_int_equal(marq_front_next(&set), 46);
    assert_int_equal(set, 0);
}

static void rows_without_a_price_drop(void **state)
{
    marq_front f;
    (void)state;
    marq_front_clear(&f);
    uint8_t *row = marq_front_row(&f, 1, 12);
    for (unsigned x = 0; x < 8; x++) {
        assert_int_equal(row[x], MARQ_OUT_OF_REACH);
    }
    marq_front_put(&f, cell_of(1, 13, 5), 0);
    assert_true(marq_front_live(&f, 1, 12));
    marq_front_drop(&f);
    assert_false(marq_front_live(&f, 1, 12));
    assert_true(marq_front_live(&f, 1, 13));
    assert_ptr_equal(marq_front_row(&f, 1, 13), f.cost[1][13]);
    assert_int_equal(total(&f, 1, 13, 5), 0); /* a row in use is kept */
}

static void marks_count_cells_of_one_price(void **state)
{
    marq_front f;
    marq_marks marks = {{{0}}};
    (void)state;
    marq_front_clear(&f);
    f.base = 1000;
    marq_front_put(&f, cell_of(0, 3, 0), 2);
    marq_front_put(&f, cell_of(0, 3, 6), 2);
    marq_front_put(&f, cell_of(2, 40, 1), 2);
    marq_front_put(&f, cell_of(1, 40, 1), 3);
    assert_int_equal(marq_front_cheapest(&f), 1002);
    marks.facing[1][1] = 0x80; /* what was marked stays */
    assert_int_equal(marq_front_mark(&f, 1002, &marks), 3);
    assert_int_equal(marks.facing[0][3], 1u << 0 | 1u << 6);
    assert_int_equal(marks.facing[2][40], 1u << 1);
    assert_int_equal(marks.facing[1][40], 0);
    assert_int_equal(marks.facing[1][1], 0x80);
    assert_int_equal(marq_front_mark(&f, 2, &marks), 0);
    assert_int_equal(marq_front_mark(&f, 1003, &marks), 1);
    assert_int_equal(marks.facing[1][40], 1u << 1);
}

/* ---- against a plain table ---- */

static uint64_t random_state;

static unsigned next_random(unsigned below)
{
    random_state ^= random_state << 13;
    random_state ^= random_state >> 7;
    random_state ^= random_state << 17;
    return (unsigned)(random_state >> 32) % below;
}

typedef struct table {
    uint64_t at[MARQ_ARRIVALS][MARQ_BODIES][8];
} table;

static void read_table(const marq_front *f, table *t)
{
    for (unsigned k = 0; k < MARQ_ARRIVALS; k++) {
        for (unsigned b = 0; b < MARQ_BODIES; b++) {
            for (unsigned x = 0; x < 8; x++) {
                t->at[k][b][x] = total(f, k, b, x);
            }
        }
    }
}

static void fill_front(marq_front *f, unsigned lowest, unsigned spread)
{
    marq_front_clear(f);
    f->base = next_random(4) == 0 ? 0 : next_random(100000);
    for (unsigned n = next_random(60); n > 0; n--) {
        marq_front_put(f,
                       cell_of(next_random(3), next_random(MARQ_BODIES),
                               next_random(8)),
                       lowest + next_random(spread));
    }
}

/* Totals survive settling; a price that had reached the ceiling may only stay
 * at it. */
static void settling_keeps_totals(void **state)
{
    size_t moved = 0;
    (void)state;
    random_state = 0x9e3779b97f4a7c15u;
    for (int run = 0; run < 2000; run++) {
        marq_front f;
        table before, after;
        fill_front(&f, next_random(200), 54);
        uint32_t base = f.base;
        uint32_t least = marq_front_cheapest(&f);
        read_table(&f, &before);
        marq_front_settle(&f);
        moved += f.base != base;
        read_table(&f, &after);
        assert_memory_equal(&before, &after, sizeof before);
        assert_int_equal(marq_front_cheapest(&f), least);
    }
    assert_true(moved > 500);
}

/* There is always room above the cheapest: a long text never fills it up. */
static void settled_fronts_have_room(void **state)
{
    marq_front f;
    (void)state;
    marq_front_clear(&f);
    marq_front_put(&f, cell_of(0, 5, 0), 0);
    for (uint64_t i = 1; i <= 10000; i++) {
        f.cost[0][5][0] = (uint8_t)(f.cost[0][5][0] + 20);
        marq_front_settle(&f);
        assert_int_equal(total(&f, 0, 5, 0), i * 20);
        assert_in_range(f.cost[0][5][0], 0, 150);
    }
}

static uint64_t lower_of(uint64_t a, uint64_t b)
{
    return a < b ? a : b;
}

static void merging_takes_the_cheaper(void **state)
{
    size_t differed = 0;
    (void)state;
    random_state = 0x2545f4914f6cdd1du;
    for (int run = 0; run < 2000; run++) {
        marq_front a, b;
        table ta, tb, tc;
        memset(&b, 0, sizeof b); /* it is compared byte by byte below */
        fill_front(&a, 0, 90);
        fill_front(&b, 0, 90);
        if (a.base != 0 && b.base != 0) {
            b.base = a.base + next_random(80); /* near enough for no ceiling */
            if (next_random(2)) {
                uint32_t swap = a.base;
                a.base = b.base;
                b.base = swap;
            }
        } else {
            a.base = b.base = 0;
        }
        read_table(&a, &ta);
        read_table(&b, &tb);
        marq_front kept = b;
        marq_front_merge(&a, &b);
        assert_memory_equal(&kept, &b, sizeof b);
        read_table(&a, &tc);
        for (unsigned k = 0; k < MARQ_ARRIVALS; k++) {
            for (unsigned i = 0; i < MARQ_BODIES; i++) {
                for (unsigned x = 0; x < 8; x++) {
                    assert_int_equal(
                        tc.at[k][i][x],
                        lower_of(ta.at[k][i][x], tb.at[k][i][x]));
                }
            }
        }
        differed += a.base != kept.base;
    }
    assert_true(differed > 100);
}

/* Beyond the ceiling what is dear stays in reach, at the ceiling. */
static void merging_far_bases_saturates(void **state)
{
    (void)state;
    for (int turn = 0; turn < 2; turn++) {
        marq_front a, b;
        marq_front_clear(&a);
        marq_front_clear(&b);
        marq_front_put(&a, cell_of(0, 1, 0), 3);
        marq_front_put(&b, cell_of(0, 2, 0), 5);
        b.base = 70000;
        marq_front *into = turn ? &b : &a;
        marq_front_merge(into, turn ? &a : &b);
        assert_int_equal(total(into, 0, 1, 0), 3);
        assert_int_equal(total(into, 0, 2, 0), MARQ_DEAREST);
        assert_int_equal(marq_front_cheapest(into), 3);
    }
}

static void merging_with_nothing(void **state)
{
    marq_front a, none;
    table before, after;
    (void)state;
    marq_front_clear(&none);
    none.base = 5;
    marq_front_clear(&a);
    a.base = 99;
    marq_front_put(&a, cell_of(1, 1, 1), 1);
    read_table(&a, &before);
    marq_front_merge(&a, &none);
    read_table(&a, &after);
    assert_memory_equal(&before, &after, sizeof before);
    marq_front_merge(&none, &a);
    read_table(&none, &after);
    assert_memory_equal(&before, &after, sizeof before);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(an_empty_front),
        cmocka_unit_test(prices_only_fall),
        cmocka_unit_test(prices_saturate),
        cmocka_unit_test(sets_give_their_lowest),
        cmocka_unit_test(rows_without_a_price_drop),
        cmocka_unit_test(marks_count_cells_of_one_price),
        cmocka_unit_test(settling_keeps_totals),
        cmocka_unit_test(settled_fronts_have_room),
        cmocka_unit_test(merging_takes_the_cheaper),
        cmocka_unit_test(merging_far_bases_saturates),
        cmocka_unit_test(merging_with_nothing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
