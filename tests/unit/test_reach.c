/* test_reach.c - exact sets over one gap and one step, by hand. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "slowreach.h"

static int open_desk(void **state)
{
    *state = stepdesk_new(slowreach_terms, NULL);
    return 0;
}

static int close_desk(void **state)
{
    stepdesk_free(*state);
    return 0;
}

static marq_stage step_stage(stepdesk *d, const char *term, uint32_t times)
{
    marq_stage stage = {.kind = MARQ_STAGE_STEP, .facings = MARQ_ANY_FACING};
    stage.demand = stepdesk_demand(d, stepdesk_item(d, term, times));
    return stage;
}

static marq_stage facing_stage(stepdesk *d, const char *term, unsigned f)
{
    marq_stage stage = step_stage(d, term, 1);
    stage.demand.faces = true;
    stage.demand.facings = (uint8_t)(1u << f);
    return stage;
}

typedef struct bench {
    stepdesk *desk;
    marq_reach reach;
    marq_arena arena;
    marq_front in, out;
    marq_array used;
} bench;

static void begin(bench *b, void **state)
{
    b->desk = *state;
    marq_arena_init(&b->arena, marq_mem_of(NULL));
    marq_reach_init(&b->reach, &b->desk->load->data, &b->arena);
    marq_front_clear(&b->in);
    marq_array_init(&b->used, &b->arena, sizeof(marq_used));
}

static void put(bench *b, unsigned arrival, const char *body, unsigned facing,
                unsigned price)
{
    marq_cell cell = {(uint8_t)arrival, stepdesk_body(body),
                      (marq_facing)facing};
    marq_front_put(&b->in, cell, price);
}

static void go(bench *b, const marq_stage *stage, bool ignore_facing)
{
    b->used.count = 0;
    assert_int_equal(marq_reach_forward(&b->reach, &b->in, stage,
                                        ignore_facing, &b->out, &b->used),
                     MARQ_OK);
}

static size_t cells(const marq_front *f)
{
    slowtable t;
    size_t count = 0;
    slowreach_read(f, &t);
    for (unsigned k = 0; k < MARQ_ARRIVALS; k++) {
        for (unsigned b = 0; b < MARQ_BODIES; b++) {
            for (unsigned x = 0; x < 8; x++) {
                count += t.at[k][b][x] != SLOW_NEVER;
            }
        }
    }
    return count;
}

static uint32_t price_at(const marq_front *f, unsigned k, const char *body,
                         unsigned facing)
{
    slowtable t;
    slowreach_read(f, &t);
    return t.at[k][stepdesk_body(body)][facing];
}

/* ---- facing, by hand ---- */

/* from 5R at a facing; the step, what it says; reached facings */
static const struct {
    const char *term;
    unsigned from;
    int written; /* -1: no facing written */
    uint8_t reached;
} faced[] = {
    {"kept", 0, -1, 1u << 0},
    {"kept", 0, 0, 1u << 0},
    {"kept", 0, 1, 1u << 1},
    {"kept", 0, 2, 1u << 2}, /* a quarter is free */
    {"kept", 0, 6, 1u << 6},
    {"kept", 0, 3, 0}, /* more than a quarter, and no turn */
    {"kept", 0, 4, 0},
    {"kept", 7, 1, 1u << 1},
    {"kept", 7, 2, 0},
    {"stay", 3, 3, 1u << 3},
    {"stay", 3, 4, 0}, /* nothing inside a hold */
    {"stay", 3, -1, 1u << 3},
    {"turn", 4, -1, 1u << 4 | 1u << 0}, /* whole turn, half turn */
    {"turn", 5, 5, 1u << 5},
    {"turn", 5, 7, 1u << 7}, /* a quarter more than the turn */
    {"turn", 5, 3, 1u << 3},
    {"chg", 2, -1, 1u << 2},
    {"chg", 3, -1, 1u << 3},
};

static uint8_t reached_facings(const marq_front *f)
{
    slowtable t;
    unsigned mask = 0;
    slowreach_read(f, &t);
    for (unsigned k = 0; k < MARQ_ARRIVALS; k++) {
        for (unsigned b = 0; b < MARQ_BODIES; b++) {
            for (unsigned x = 0; x < 8; x++) {
                mask |= t.at[k][b][x] != SLOW_NEVER ? 1u << x : 0;
            }
        }
    }
    return (uint8_t)mask;
}

static void facings_of_steps(void **state)
{
    bench b;
    for (size_t i = 0; i < sizeof faced / sizeof faced[0]; i++) {
        begin(&b, state);
        put(&b, MARQ_STILL, "5R", faced[i].from, 0);
        marq_stage stage =
            faced[i].written < 0
                ? step_stage(b.desk, faced[i].term, 1)
                : facing_stage(b.desk, faced[i].term,
                               (unsigned)faced[i].written);
        go(&b, &stage, false);
        if (reached_facings(&b.out) != faced[i].reached) {
            print_error("row %zu\n", i);
        }
        assert_int_equal(reached_facings(&b.out), faced[i].reached);
        go(&b, &stage, true); /* the feet alone always could */
        assert_false(marq_front_empty(&b.out));
        marq_arena_free(&b.arena);
    }
}

/* From one croise to the other while the feet change: price 1 of the table,
 * 9 in the small vocabulary. */
static void from_croise_to_croise(void **state)
{
    bench b;
    begin(&b, state);
    put(&b, MARQ_STILL, "5R", 7, 0);
    marq_stage stage = step_stage(b.desk, "chg", 1);
    go(&b, &stage, false);
    assert_int_equal(cells(&b.out), 2);
    assert_int_equal(price_at(&b.out, MARQ_JUMPING, "5L", 7), 0);
    assert_int_equal(price_at(&b.out, MARQ_JUMPING, "5L", 1), 9);
    stage = step_stage(b.desk, "kept", 1); /* the feet do not change */
    go(&b, &stage, false);
    assert_int_equal(cells(&b.out), 1);
    assert_int_equal(price_at(&b.out, MARQ_STILL, "5R", 7), 0);
    marq_arena_free(&b.arena);
}

static void without_facings_one_cell_stands_for_all(void **state)
{
    bench b;
    begin(&b, state);
    b.reach.no_facing = true;
    put(&b, MARQ_STILL, "4R", 0, 0);
    marq_stage stage = step_stage(b.desk, "turn", 1);
    go(&b, &stage, false);
    assert_int_equal(reached_facings(&b.out), 1);
    assert_int_equal(price_at(&b.out, MARQ_STILL, "5R", 0), 0);
    assert_int_equal(price_at(&b.out, MARQ_STILL, "4L", 0), 3);
    marq_arena_free(&b.arena);
}

/* ---- prices, by hand (links: quiet 1, closing 2, in front 3, opening 4) -- */

static void prices_of_steps(void **state)
{
    bench b;
    begin(&b, state);
    /* opened to fourth, a whole turn to the left closing the left behind */
    put(&b, MARQ_STILL, "5R", 0, 10);
    marq_stage stage = step_stage(b.desk, "turn", 1);
    go(&b, &stage, false);
    assert_int_equal(price_at(&b.out, MARQ_STILL, "5R", 0), 14);
    assert_int_equal(price_at(&b.out, MARQ_STILL, "4L", 4), 13);
    assert_int_equal(cells(&b.out), 2);
    /* what is written costs nothing: dessous is free where it is said */
    stage = step_stage(b.desk, "glide", 1);
    go(&b, &stage, false);
    assert_int_equal(price_at(&b.out, MARQ_MOVING, "5L", 0), 10);
    uint32_t item = stepdesk_item(b.desk, "glide", 1);
    stepdesk_mark(b.desk, MARQ_MARK_SIDE, MARQ_SIDE_RIGHT);
    stage.demand = stepdesk_demand(b.desk, item);
    go(&b, &stage, false);
    assert_int_equal(price_at(&b.out, MARQ_MOVING, "5L", 0), 10);
    marq_arena_free(&b.arena);
}

/* One variant each time, charged once. */
static void repeats_are_charged_once(void **state)
{
    bench b;
    begin(&b, state);
    put(&b, MARQ_STILL, "5R", 0, 0);
    uint32_t item = stepdesk_item(b.desk, "glide", 4);
    marq_stage stage = {.kind = MARQ_STAGE_STEP,
                        .facings = MARQ_ANY_FACING};
    stage.demand = stepdesk_demand(b.desk, item);
    go(&b, &stage, false);
    /* four of either change the feet four times; a mixture would reach
       nothing else, and would cost more */
    assert_int_equal(price_at(&b.out, MARQ_MOVING, "5R", 0), 0);
    assert_int_equal(cells(&b.out), 1);
    stage.demand.variants++; /* dessus alone, then the one-footed form */
    stage.demand.variant_count = 1;
    go(&b, &stage, false);
    assert_int_equal(price_at(&b.out, MARQ_MOVING, "5R", 0), 0);
    /* hops: price 1 once, however many */
    put(&b, MARQ_STILL, "Rab", 0, 0);
    b.in.live[MARQ_STILL] &= ~((uint64_t)1 << stepdesk_body("5R"));
    stage = step_stage(b.desk, "hop", 5);
    go(&b, &stage, false);
    assert_int_equal(price_at(&b.out, MARQ_JUMPING, "Rab", 0), 1);
    /* a written form costs nothing, however often */
    marq_front_clear(&b.in);
    put(&b, MARQ_STILL, "5R", 0, 0);
    item = stepdesk_item(b.desk, "deg", 3);
    stepdesk_mark(b.desk, MARQ_MARK_QUALIFIER,
                  stepdesk_qualifier(b.desk, "dessus"));
    stage.demand = stepdesk_demand(b.desk, item);
    go(&b, &stage, false);
    assert_int_equal(price_at(&b.out, MARQ_STILL, "5L", 0), 0);
    marq_arena_free(&b.arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(facings_of_steps),
        cmocka_unit_test(from_croise_to_croise),
        cmocka_unit_test(without_facings_one_cell_stands_for_all),
        cmocka_unit_test(prices_of_steps),
        cmocka_unit_test(repeats_are_charged_once),
    };
    return cmocka_run_group_tests(tests, open_desk, close_desk);
}
