/* test_reach_back.c - sets carried over a stage, forwards, back, along a path
 * and spread, against a slow enumeration (support/slowreach.h). */
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

typedef struct bench {
    stepdesk *desk;
    marq_reach reach;
    marq_arena arena;
    marq_front in, out;
    marq_array used;
} bench;

static uint64_t random_state;

static unsigned next_random(unsigned below)
{
    random_state ^= random_state << 13;
    random_state ^= random_state >> 7;
    random_state ^= random_state << 17;
    return (unsigned)(random_state >> 32) % below;
}

static marq_stage random_stand(void)
{
    marq_stage s = {.kind = MARQ_STAGE_STAND, .facings = MARQ_ANY_FACING};
    s.has_bodies = next_random(4) != 0;
    for (unsigned i = 0; i < MARQ_BODIES; i++) {
        s.bodies[i] = next_random(3) == 0;
    }
    s.quiet_only = next_random(2);
    if (next_random(2)) {
        s.faces = true;
        s.facings = (uint8_t)(1u << next_random(8));
    }
    return s;
}

static marq_stage random_stage(stepdesk *d)
{
    marq_stage s = {.kind = MARQ_STAGE_STEP, .facings = MARQ_ANY_FACING};
    if (next_random(5) == 0) {
        return random_stand();
    }
    uint32_t times = next_random(3) ? 1 : 2 + next_random(2);
    const char *name = slowreach_names[next_random(SLOWREACH_TERMS)];
    uint32_t item = stepdesk_item(d, name, times);
    switch (next_random(5)) {
    case 0:
        stepdesk_mark(d, MARQ_MARK_FOOT, MARQ_FOOT_RIGHT + next_random(5));
        break;
    case 1:
        stepdesk_mark(d, MARQ_MARK_SIDE, 1 + next_random(2));
        break;
    case 2:
        if (times == 1) {
            stepdesk_mark(d, MARQ_MARK_FACING, next_random(8));
        }
        break;
    case 3:
        stepdesk_mark(d, MARQ_MARK_QUALIFIER, next_random(2)); /* of both */
        break;
    default:
        break;
    }
    s.demand = stepdesk_demand(d, item);
    s.demand.named_fourth |= next_random(4) == 0;
    return s;
}

static void random_front(bench *b)
{
    marq_front_clear(&b->in);
    b->in.base = next_random(1000);
    for (unsigned n = 1 + next_random(6); n > 0; n--) {
        marq_cell cell = {(uint8_t)next_random(3),
                          (marq_body)next_random(MARQ_BODIES),
                          (marq_facing)(b->reach.no_facing ? 0
                                                           : next_random(8))};
        marq_front_put(&b->in, cell, next_random(6));
    }
}

static void random_marks(const slowtable *reached, marq_marks *after)
{
    memset(after, 0, sizeof *after);
    for (unsigned k = 0; k < MARQ_ARRIVALS; k++) {
        for (unsigned i = 0; i < MARQ_BODIES; i++) {
            for (unsigned x = 0; x < 8; x++) {
                if (reached->at[k][i][x] != SLOW_NEVER && next_random(2)) {
                    after->facing[k][i] |= (uint8_t)(1u << x);
                }
            }
        }
    }
}

/* Cells of `after` that one cell reaches at the price the whole says. */
static bool slow_targets(const slowtable *one, const slowtable *all,
                         const marq_marks *after, marq_marks *to)
{
    bool any = false;
    for (unsigned k = 0; k < MARQ_ARRIVALS; k++) {
        for (unsigned i = 0; i < MARQ_BODIES; i++) {
            for (unsigned x = 0; x < 8; x++) {
                if (((unsigned)after->facing[k][i] >> x & 1u) &&
                    one->at[k][i][x] == all->at[k][i][x]) {
                    to->facing[k][i] |= (uint8_t)(1u << x);
                    any = true;
                }
            }
        }
    }
    return any;
}

static void check_path(bench *b, const marq_stage *stage,
                       const marq_marks *after, marq_cell from,
                       const marq_marks *targets)
{
    marq_array path;
    marq_cell at = from;
    marq_array_init(&path, &b->arena, sizeof(marq_danced));
    assert_int_equal(marq_reach_path(&b->reach, &b->in, &b->out, stage, after,
                                     &b->used, &at, &path),
                     MARQ_OK);
    size_t times =
        stage->kind == MARQ_STAGE_STAND ? 1 : stage->demand.times;
    assert_int_equal(path.count, times);
    for (size_t i = 0; i < times; i++) {
        const marq_danced *d = MARQ_AT(&path, marq_danced, i);
        assert_memory_equal(&d->from, &from, sizeof from);
        marq_body b0 = from.body;
        if (d->linked) {
            assert_int_equal(d->link.from, b0);
            b0 = d->link.to;
        }
        if (stage->kind == MARQ_STAGE_STEP) {
            const marq_move *m = &b->desk->load->data.moves[d->move];
            assert_int_equal(m->from, b0);
            assert_int_equal(m->to, d->to.body);
            assert_int_equal(d->repeat, i);
            assert_int_equal(d->variant,
                             MARQ_AT(&path, marq_danced, 0)->variant);
        } else {
            assert_int_equal(d->variant, 0xffff);
            assert_int_equal(d->to.body, b0);
        }
        from = d->to;
    }
    assert_memory_equal(&at, &from, sizeof at);
    assert_true((unsigned)targets->facing[at.arrival][at.body] >> at.facing &
                1u);
}

static size_t check_back(bench *b, const marq_stage *stage,
                         const slowtable *in, const slowtable *all)
{
    marq_marks after, before, from = {{{0}}}, wanted = {{{0}}}, to;
    size_t begun = 0;
    random_marks(all, &after);
    assert_int_equal(marq_reach_back(&b->reach, &b->in, &b->out, stage,
                                     &after, &before, &b->used),
                     MARQ_OK);
    for (unsigned k = 0; k < MARQ_ARRIVALS; k++) {
        for (unsigned i = 0; i < MARQ_BODIES; i++) {
            for (unsigned x = 0; x < 8; x++) {
                slowtable one;
                marq_marks targets = {{{0}}};
                marq_cell cell = {(uint8_t)k, (marq_body)i, (marq_facing)x};
                bool begins = false;
                if (in->at[k][i][x] != SLOW_NEVER) {
                    slowreach_from(b->desk, &b->reach.links,
                                   b->reach.no_facing, stage, in, cell, &one);
                    begins = slow_targets(&one, all, &after, &targets);
                }
                assert_int_equal((unsigned)before.facing[k][i] >> x & 1u,
                                 begins);
                if (begins) {
                    begun++;
                    check_path(b, stage, &after, cell, &targets);
                    if (next_random(2)) {
                        from.facing[k][i] |= (uint8_t)(1u << x);
                        slow_targets(&one, all, &after, &wanted);
                    }
                }
            }
        }
    }
    assert_int_equal(marq_reach_spread(&b->reach, &b->in, &b->out, stage,
                                       &after, &b->used, &from, &to),
                     MARQ_OK);
    assert_memory_equal(&to, &wanted, sizeof to);
    return begun;
}

static void reach_agrees_with_enumeration(void **state)
{
    size_t begun = 0, empty = 0;
    random_state = 0x2545f4914f6cdd1du;
    for (int run = 0; run < 600; run++) {
        bench b;
        slowtable in, out, all;
        b.desk = *state;
        marq_arena_init(&b.arena, marq_mem_of(NULL));
        marq_reach_init(&b.reach, &b.desk->load->data, &b.arena);
        marq_array_init(&b.used, &b.arena, sizeof(marq_used));
        b.reach.no_facing = next_random(4) == 0;
        random_front(&b);
        marq_stage stage = random_stage(b.desk);
        slowreach_read(&b.in, &in);
        slowreach_forward(b.desk, &b.reach.links, b.reach.no_facing, &stage,
                          &in, &all);
        assert_int_equal(marq_reach_forward(&b.reach, &b.in, &stage, false,
                                            &b.out, &b.used),
                         MARQ_OK);
        slowreach_read(&b.out, &out);
        assert_memory_equal(&out, &all, sizeof out);
        empty += marq_front_empty(&b.out);
        begun += check_back(&b, &stage, &in, &all);
        marq_arena_free(&b.arena);
    }
    assert_true(begun > 500 && empty > 50 && empty < 500);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(reach_agrees_with_enumeration),
    };
    return cmocka_run_group_tests(tests, open_desk, close_desk);
}
