/* test_gap.c - what may be assumed between two steps (following.md 1). */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "stepdesk.h"
#include "gap.h"

enum { STILL = MARQ_STILL, MOVING = MARQ_MOVING, JUMP = MARQ_JUMPING };
enum { NO = MARQ_GATE_NO_LINK, OPENS = MARQ_GATE_OPENS,
       NO_GATHER = MARQ_GATE_NO_GATHER, ON_R = MARQ_GATE_STEPS_RIGHT,
       ON_L = MARQ_GATE_STEPS_LEFT, QUIET = MARQ_GATE_QUIET };

/* link: from>to; gate: how the coming step leaves and what it asks; arrival;
 * allowed? */
static const struct {
    const char *from, *to;
    unsigned gate, arrival;
    bool allowed;
    const char *rule;
} rules[] = {
    {"Rhf", "Rlf", JUMP, JUMP, true, "a leg may be lowered at any time"},
    {"Rkb", "Rab", MOVING, MOVING, true, "or drawn to the ankle"},
    {"5R", "TR", STILL, JUMP, true, "a rise on two feet"},
    {"4R", "Rtb", STILL, STILL, true, "weight shifted"},
    {"4R", "Rtb", MOVING, MOVING, true, "weight shifted, moving"},
    {"4R", "Rtb", JUMP, MOVING, true, "only one of them a jump"},
    {"4R", "Rtb", MOVING, JUMP, true, "only one of them a jump"},
    {"4R", "Rtb", JUMP, STILL, true, "only one of them a jump"},
    {"4R", "Rtb", STILL, JUMP, true, "only one of them a jump"},
    {"4R", "Rtb", JUMP, JUMP, false, "two jumps: no shift"},
    {"Rtb", "4R", JUMP, JUMP, false, "two jumps: no shift"},
    {"2", "Lts", JUMP, JUMP, false, "two jumps: no shift"},
    {"Rlb", "5R", STILL, STILL, true, "closing, both still"},
    {"Rlb", "5R", STILL, JUMP, true, "a still side after it"},
    {"Rlb", "5R", STILL, MOVING, true, "a still side after it"},
    {"Rlb", "5R", JUMP, STILL, true, "a still side before it"},
    {"Rlb", "5R", MOVING, STILL, true, "a still side before it"},
    {"Rlb", "5R", MOVING, MOVING, false, "no time to close"},
    {"Rlb", "5R", JUMP, JUMP, false, "no time to close"},
    {"Rlb", "5R", MOVING, JUMP, false, "no time to close"},
    {"Rlb", "5R", JUMP, MOVING, false, "no time to close"},
    {"Rtb", "5R", MOVING, MOVING, false, "a terre too"},
    {"4R", "5R", STILL, MOVING, true, "gathered, a still side"},
    {"4R", "5R", MOVING, STILL, true, "gathered, a still side"},
    {"4R", "5R", MOVING, MOVING, false, "no time to gather"},
    {"2", "5L", JUMP, JUMP, false, "no time to gather"},
    {"Rlb", "5R", STILL | ON_R, STILL, false, "frees the stepping foot"},
    {"Rlb", "5R", STILL | ON_L, STILL, true, "steps onto the other foot"},
    {"Llb", "5L", STILL | ON_L, STILL, false, "frees the stepping foot"},
    {"Llb", "5L", STILL | ON_R, STILL, true, "steps onto the other foot"},
    {"Rlf", "5L", MOVING | ON_R, STILL, false, "frees the stepping foot"},
    {"4R", "Rtb", STILL | ON_R, STILL, true, "no closing, no freeing"},
    {"4R", "5R", STILL | ON_R, STILL, true, "both feet stood before"},
    {"Rlb", "Rtb", STILL | NO, STILL, false, "the open leg is meant"},
    {"Rlb", "5R", STILL | NO, STILL, false, "the open leg is meant"},
    {"4R", "Rtb", STILL | NO, STILL, false, "the open leg is meant"},
    {"4R", "5R", STILL | NO, STILL, false, "the open leg is meant"},
    {"5R", "4R", STILL | NO | OPENS, STILL, false, "nothing before it"},
    {"5R", "TR", STILL | NO, STILL, false, "nothing before it"},
    {"4R", "5R", STILL | NO_GATHER, STILL, false, "fourth was written"},
    {"4R", "Rtb", STILL | NO_GATHER, STILL, true, "only gathering"},
    {"Rlb", "5R", STILL | NO_GATHER, STILL, true, "only gathering"},
    {"5R", "4R", STILL, STILL, false, "opened only for a turn"},
    {"5R", "4R", STILL | OPENS, STILL, true, "opened for a turn"},
    {"5L", "4L", STILL | OPENS | NO_GATHER, MOVING, true, "opened"},
    {"Rlb", "Rtb", QUIET, STILL, true, "quiet before a remark"},
    {"4R", "Rtb", QUIET, JUMP, true, "quiet before a remark"},
    {"Rtb", "5R", QUIET, STILL, true, "an a terre leg closes quietly"},
    {"Rlb", "5R", QUIET, STILL, false, "closing is not quiet"},
    {"4R", "5R", QUIET, STILL, false, "gathering is not quiet"},
    {"5R", "4R", QUIET | OPENS, STILL, false, "opening is not quiet"},
};

static const marq_link *find_link(const marq_links *links, const char *from,
                                  const char *to)
{
    marq_body a = stepdesk_body(from), b = stepdesk_body(to);
    for (unsigned i = links->index[a]; i < links->index[a + 1]; i++) {
        if (links->at[i].to == b) {
            return &links->at[i];
        }
    }
    print_error("no link %s>%s\n", from, to);
    fail();
    return NULL;
}

static void every_rule(void **state)
{
    marq_links links;
    (void)state;
    marq_links_make(&links);
    for (size_t i = 0; i < sizeof rules / sizeof rules[0]; i++) {
        const marq_link *link = find_link(&links, rules[i].from, rules[i].to);
        bool allowed =
            marq_gap_allows(rules[i].gate, rules[i].arrival, link);
        if (allowed != rules[i].allowed) {
            print_error("%s>%s, gate %u, arrival %u: %s\n", rules[i].from,
                        rules[i].to, rules[i].gate, rules[i].arrival,
                        rules[i].rule);
        }
        assert_int_equal(allowed, rules[i].allowed);
    }
}

/* ---- gates ---- */

static const struct {
    uint8_t leaves, flags, turn_sense, working;
    bool fourth;
    unsigned gate;
} gates[] = {
    {STILL, 0, 0, 0, false, STILL},
    {MOVING, 0, 0, 0, false, MOVING},
    {JUMP, 0, 0, 0, false, JUMP},
    {JUMP, MARQ_VARIANT_NO_LINK, 0, 0, false, JUMP | NO},
    {STILL, MARQ_VARIANT_OPENS, MARQ_TURN_TO_WORKING, 0, false, OPENS},
    /* no gather directly before a turn when fourth was written */
    {STILL, 0, MARQ_TURN_TO_WORKING, 0, true, NO_GATHER},
    {STILL, 0, MARQ_TURN_TO_WORKING, 0, false, STILL},
    {STILL, 0, MARQ_TURN_NONE, 0, true, STILL},
    /* weight put on a foot at once */
    {MOVING, MARQ_VARIANT_STEPS, 0, MARQ_SIDE_RIGHT, false, MOVING | ON_R},
    {MOVING, MARQ_VARIANT_STEPS, 0, MARQ_SIDE_LEFT, false, MOVING | ON_L},
    {MOVING, 0, 0, MARQ_SIDE_LEFT, false, MOVING},
    {STILL, MARQ_VARIANT_SERIES | MARQ_VARIANT_ANY_AMOUNT, 0,
     MARQ_SIDE_RIGHT, false, STILL},
};

static void gates_of_moves(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof gates / sizeof gates[0]; i++) {
        marq_variant v = {.leaves = gates[i].leaves,
                          .flags = gates[i].flags,
                          .turn_sense = gates[i].turn_sense};
        marq_move m = {.working = gates[i].working};
        assert_int_equal(marq_gap_gate(&v, &m, gates[i].fourth),
                         gates[i].gate);
    }
}

/* ---- rows against a plain search ---- */

static uint64_t random_state = 88172645463325252u;

static unsigned next_random(unsigned below)
{
    random_state ^= random_state << 13;
    random_state ^= random_state >> 7;
    random_state ^= random_state << 17;
    return (unsigned)(random_state >> 32) % below;
}

/* Cheapest price of each facing of `body` over the gap, links one by one. */
static bool slow_row(const marq_front *in, const marq_links *links,
                     const uint8_t *prices, unsigned gate, unsigned body,
                     uint8_t row[8])
{
    size_t count = links->index[MARQ_BODIES];
    bool reached = false;
    memset(row, MARQ_OUT_OF_REACH, 8);
    for (unsigned k = 0; k < MARQ_ARRIVALS; k++) {
        for (size_t i = 0; i <= count; i++) {
            const marq_link *link = i < count ? &links->at[i] : NULL;
            unsigned from = link ? link->from : body;
            if ((link && (link->to != body ||
                          !marq_gap_allows(gate, k, link))) ||
                !marq_front_live(in, k, from)) {
                continue;
            }
            reached = true;
            for (unsigned f = 0; f < 8; f++) {
                unsigned price = in->cost[k][from][f];
                if (price == MARQ_OUT_OF_REACH) {
                    continue;
                }
                price += link ? prices[link->price] : 0;
                price = price > MARQ_DEAREST ? MARQ_DEAREST : price;
                row[f] = price < row[f] ? (uint8_t)price : row[f];
            }
        }
    }
    return reached;
}

static void rows_agree_with_a_plain_search(void **state)
{
    marq_links links;
    uint8_t prices[MARQ_PRICES];
    size_t reached = 0, refused = 0;
    (void)state;
    marq_links_make(&links);
    for (int run = 0; run < 24; run++) {
        marq_front in;
        marq_crossing *g = test_malloc(sizeof *g);
        marq_front_clear(&in);
        unsigned cells = run < 2 ? 2000 : 1 + next_random(40);
        for (unsigned n = 0; n < cells; n++) {
            marq_cell cell = {(uint8_t)next_random(3),
                              (marq_body)next_random(MARQ_BODIES),
                              (marq_facing)next_random(8)};
            marq_front_put(&in, cell,
                           next_random(4) ? next_random(20)
                                          : 240 + next_random(15));
        }
        for (unsigned p = 0; p < MARQ_PRICES; p++) {
            prices[p] = (uint8_t)next_random(10);
        }
        marq_gap_open(g, &in, &links, prices);
        for (unsigned gate = 0; gate < QUIET; gate++) {
            if ((gate & MARQ_GATE_LEAVES) == 3) {
                continue;
            }
            for (unsigned b = 0; b < MARQ_BODIES; b++) {
                uint8_t row[8], slow[8];
                bool is = marq_gap_row(g, gate, b, row);
                assert_int_equal(is, slow_row(&in, &links, prices, gate, b,
                                              slow));
                if (is) {
                    assert_memory_equal(row, slow, 8);
                }
                reached += is;
                refused += !is;
            }
        }
        test_free(g);
    }
    assert_true(reached > 10000 && refused > 10000);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_rule),
        cmocka_unit_test(gates_of_moves),
        cmocka_unit_test(rows_agree_with_a_plain_search),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
