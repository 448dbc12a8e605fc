/* test_load_clause.c - every clause of a variant line, and its faults. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "loaddesk.h"

#define FIFTH 0x68       /* third, fifth, tips: bits 3, 5, 6 */
#define ANYWHERE 0x3ffff /* six shapes by three places */

typedef struct clause_case {
    const char *line;
    marq_variant want;
} clause_case;

/* What stands in no clause is 0: worker both, end as it began, no turn, no
 * travel, still on both sides; `level` 1 is the term's (elementary). */
static const clause_case clause_cases[] = {
    /* from */
    {"from first, both feet work, ends as it began; price 0",
     {.from_two = 0x01}},
    {"from second or parallel, both feet work, ends as it began; price 0",
     {.from_two = 0x06}},
    {"from third, both feet work, ends as it began; price 0",
     {.from_two = 0x08}},
    {"from fourth, both feet work, ends as it began; price 0",
     {.from_two = 0x10}},
    {"from fifth, both feet work, ends as it began; price 0",
     {.from_two = FIFTH}},
    {"from tips, both feet work, ends as it began; price 0",
     {.from_two = 0x40}},
    {"from two feet, both feet work, ends as it began; price 0",
     {.from_two = 0x7f}},
    {"from one foot, both feet work, ends as it began; price 0",
     {.from_free = ANYWHERE}},
    {"from first or free leg low side, both feet work, ends as it began; "
     "price 0",
     {.from_two = 0x01, .from_free = 0x10}},
    {"from first, from fourth, both feet work, ends as it began; price 0",
     {.from_two = 0x11}},
    /* places: bit 3 * shape + place */
    {"from free leg à terre, both feet work, ends as it began; price 0",
     {.from_free = 0x7}},
    {"from free leg low front, both feet work, ends as it began; price 0",
     {.from_free = 0x8}},
    {"from free leg high front, both feet work, ends as it began; price 0",
     {.from_free = 0x40}},
    {"from free leg at the ankle front/side, both feet work, ends as it "
     "began; price 0",
     {.from_free = 0x600}},
    {"from free leg at the knee, both feet work, ends as it began; price 0",
     {.from_free = 0x7000}},
    {"from free leg in attitude behind, both feet work, ends as it began; "
     "price 0",
     {.from_free = 0x20000}},
    {"from free leg open behind, both feet work, ends as it began; price 0",
     {.from_free = 0x124}},
    {"from free leg raised, both feet work, ends as it began; price 0",
     {.from_free = 0x1f8}},
    {"from free leg off the floor, both feet work, ends as it began; price "
     "0",
     {.from_free = 0x3fff8}},
    {"from free leg side, both feet work, ends as it began; price 0",
     {.from_free = 0x12492}},
    {"from free leg anywhere, both feet work, ends as it began; price 0",
     {.from_free = ANYWHERE}},
    /* who works */
    {"from fifth, front foot works, ends as it began; price 0",
     {.from_two = FIFTH, .worker = MARQ_WORKS_FRONT}},
    {"from fifth, back foot works, ends as it began; price 0",
     {.from_two = FIFTH, .worker = MARQ_WORKS_BACK}},
    {"from fifth, either foot works, ends as it began; price 0",
     {.from_two = FIFTH, .worker = MARQ_WORKS_EITHER}},
    {"from one foot, free foot works, ends as it began; price 0",
     {.from_free = ANYWHERE, .worker = MARQ_WORKS_FREE}},
    {"from one foot, standing foot works, ends as it began; price 0",
     {.from_free = ANYWHERE, .worker = MARQ_WORKS_STANDING}},
    {"from fifth, front foot works, free foot works, ends as it began; price "
     "0",
     {.from_two = FIFTH, .worker = MARQ_WORKS_FRONT}},
    {"from fifth, front foot works, back foot works, ends as it began; price "
     "0",
     {.from_two = FIFTH, .worker = MARQ_WORKS_EITHER}},
    {"from fifth, front foot steps, ends as it began; price 0",
     {.from_two = FIFTH, .worker = MARQ_WORKS_FRONT,
      .flags = MARQ_VARIANT_STEPS}},
    {"from fifth, back foot steps, ends as it began; price 0",
     {.from_two = FIFTH, .worker = MARQ_WORKS_BACK,
      .flags = MARQ_VARIANT_STEPS}},
    {"from fifth, either foot steps, ends as it began; price 0",
     {.from_two = FIFTH, .worker = MARQ_WORKS_EITHER,
      .flags = MARQ_VARIANT_STEPS}},
    {"from one foot, free foot steps, ends as it began; price 0",
     {.from_free = ANYWHERE, .worker = MARQ_WORKS_FREE,
      .flags = MARQ_VARIANT_STEPS}},
    {"from one foot, standing foot steps, ends as it began; price 0",
     {.from_free = ANYWHERE, .worker = MARQ_WORKS_STANDING,
      .flags = MARQ_VARIANT_STEPS}},
    /* where it ends */
    {"from first, front foot works, closes front; price 0",
     {.from_two = 1, .worker = MARQ_WORKS_FRONT, .end = MARQ_END_TWO,
      .end_position = MARQ_FIFTH, .end_front = MARQ_FRONT_WORKING}},
    {"from first, front foot works, closes back; price 0",
     {.from_two = 1, .worker = MARQ_WORKS_FRONT, .end = MARQ_END_TWO,
      .end_position = MARQ_FIFTH, .end_front = MARQ_FRONT_OTHER}},
    {"from first, front foot works, closes where it began; price 0",
     {.from_two = 1, .worker = MARQ_WORKS_FRONT,
      .end = MARQ_END_AS_BEGAN}},
    {"from first, front foot works, closes the other way; price 0",
     {.from_two = 1, .worker = MARQ_WORKS_FRONT, .end = MARQ_END_TWO,
      .end_position = MARQ_FIFTH, .end_front = MARQ_FRONT_EXCHANGED}},
    {"from first, front foot works, closes either side; price 0",
     {.from_two = 1, .worker = MARQ_WORKS_FRONT, .end = MARQ_END_TWO,
      .end_position = MARQ_FIFTH, .end_front = MARQ_FRONT_EITHER}},
    {"from first, front foot works, other foot closes front; price 0",
     {.from_two = 1, .worker = MARQ_WORKS_FRONT, .end = MARQ_END_TWO,
      .end_position = MARQ_FIFTH, .end_front = MARQ_FRONT_OTHER,
      .flags = MARQ_VARIANT_OTHER_CLOSES}},
    {"from first, front foot works, other foot closes back; price 0",
     {.from_two = 1, .worker = MARQ_WORKS_FRONT, .end = MARQ_END_TWO,
      .end_position = MARQ_FIFTH, .end_front = MARQ_FRONT_WORKING,
      .flags = MARQ_VARIANT_OTHER_CLOSES}},
    {"from first, front foot works, other foot closes where it began; price "
     "0",
     {.from_two = 1, .worker = MARQ_WORKS_FRONT,
      .end = MARQ_END_AS_BEGAN, .flags = MARQ_VARIANT_OTHER_CLOSES}},
    {"from first, front foot works, other foot closes the other way; price "
     "0",
     {.from_two = 1, .worker = MARQ_WORKS_FRONT, .end = MARQ_END_TWO,
      .end_position = MARQ_FIFTH, .end_front = MARQ_FRONT_EXCHANGED,
      .flags = MARQ_VARIANT_OTHER_CLOSES}},
    {"from first, front foot works, other foot closes either side; price 0",
     {.from_two = 1, .worker = MARQ_WORKS_FRONT, .end = MARQ_END_TWO,
      .end_position = MARQ_FIFTH, .end_front = MARQ_FRONT_EITHER,
      .flags = MARQ_VARIANT_OTHER_CLOSES}},
    {"from first, both feet work, ends in second; price 0",
     {.from_two = 1, .end = MARQ_END_TWO, .end_position = MARQ_SECOND}},
    {"from first, front foot works, ends in fourth, working foot in front; "
     "price 0",
     {.from_two = 1, .worker = MARQ_WORKS_FRONT, .end = MARQ_END_TWO,
      .end_position = MARQ_FOURTH, .end_front = MARQ_FRONT_WORKING}},
    {"from first, front foot works, ends in third, working foot behind; "
     "price 0",
     {.from_two = 1, .worker = MARQ_WORKS_FRONT, .end = MARQ_END_TWO,
      .end_position = MARQ_THIRD, .end_front = MARQ_FRONT_OTHER}},
    {"from fifth, both feet work, ends in tips, feet kept; price 0",
     {.from_two = FIFTH, .end = MARQ_END_TWO, .end_position = MARQ_TIPS,
      .end_front = MARQ_FRONT_KEPT}},
    {"from fifth, both feet work, feet exchanged, ends in fifth; price 0",
     {.from_two = FIFTH, .end = MARQ_END_TWO, .end_position = MARQ_FIFTH,
      .end_front = MARQ_FRONT_EXCHANGED}},
    {"from second, both feet work, ends in fifth, either foot in front; "
     "price 0",
     {.from_two = 2, .end = MARQ_END_TWO, .end_position = MARQ_FIFTH,
      .end_front = MARQ_FRONT_EITHER}},
    {"from fifth, both feet work, ends in fourth with feet kept; price 0",
     {.from_two = FIFTH, .end = MARQ_END_TWO, .end_position = MARQ_FOURTH,
      .end_front = MARQ_FRONT_KEPT}},
    {"from fifth, front foot works, ends on the working foot, free leg at "
     "the ankle behind; price 0",
     {.from_two = FIFTH, .worker = MARQ_WORKS_FRONT,
      .end = MARQ_END_WORKING, .end_free = 0x800}},
    {"from fifth, front foot works, ends on the other foot, free leg à terre "
     "front; price 0",
     {.from_two = FIFTH, .worker = MARQ_WORKS_FRONT, .end = MARQ_END_OTHER,
      .end_free = 0x1}},
    {"from one foot, free foot works, ends on the standing foot, free leg "
     "high; price 0",
     {.from_free = ANYWHERE, .worker = MARQ_WORKS_FREE,
      .end = MARQ_END_OTHER, .end_free = 0x1c0}},
    {"from one foot, ends on the standing foot, free leg as it was, standing "
     "foot works; price 0",
     {.from_free = ANYWHERE, .worker = MARQ_WORKS_STANDING,
      .end = MARQ_END_WORKING, .flags = MARQ_VARIANT_FREE_STAYS}},
    /* checks */
    {"from first, both feet work, ends as it began, feet change; price 0",
     {.from_two = 1, .declared_feet = 1}},
    {"from first, both feet work, ends as it began, feet stay; price 0",
     {.from_two = 1, .declared_feet = 2}},
    {"from first, both feet work, ends as it began, feet vary; price 0",
     {.from_two = 1, .declared_feet = 3}},
    /* turns */
    {"from first, both feet work, ends as it began, turns a quarter toward "
     "the working foot; price 0",
     {.from_two = 1, .turn_eighths = 2, .turn_sense = MARQ_TURN_TO_WORKING}},
    {"from first, both feet work, ends as it began, turns half away from the "
     "working foot; price 0",
     {.from_two = 1, .turn_eighths = 4,
      .turn_sense = MARQ_TURN_FROM_WORKING}},
    {"from first, both feet work, ends as it began, turns three quarters "
     "toward the back foot; price 0",
     {.from_two = 1, .turn_eighths = 6, .turn_sense = MARQ_TURN_TO_BACK}},
    {"from first, both feet work, ends as it began, turns once toward the "
     "front foot; price 0",
     {.from_two = 1, .turn_eighths = 8, .turn_sense = MARQ_TURN_TO_FRONT}},
    {"from first, both feet work, ends as it began, turns twice either way, "
     "any amount; price 0",
     {.from_two = 1, .turn_eighths = 16, .turn_sense = MARQ_TURN_EITHER,
      .flags = MARQ_VARIANT_ANY_AMOUNT}},
    {"from first, both feet work, ends as it began, turns 5 eighths either "
     "way; price 0",
     {.from_two = 1, .turn_eighths = 5, .turn_sense = MARQ_TURN_EITHER}},
    /* travel */
    {"from first, both feet work, ends as it began, travels toward the "
     "working foot; price 0",
     {.from_two = 1, .travel = MARQ_TRAVEL_TO_WORKING}},
    {"from first, both feet work, ends as it began, travels away from the "
     "working foot; price 0",
     {.from_two = 1, .travel = MARQ_TRAVEL_FROM_WORKING}},
    {"from first, both feet work, ends as it began, travels forward; price "
     "0",
     {.from_two = 1, .travel = MARQ_TRAVEL_FORWARD}},
    {"from first, both feet work, ends as it began, travels back; price 0",
     {.from_two = 1, .travel = MARQ_TRAVEL_BACK}},
    {"from first, both feet work, ends as it began, travels to either side; "
     "price 0",
     {.from_two = 1, .travel = MARQ_TRAVEL_SIDE}},
    {"from first, both feet work, ends as it began, travels anywhere; price "
     "0",
     {.from_two = 1, .travel = MARQ_TRAVEL_ANY}},
    /* landing, gap, assumptions, bookkeeping */
    {"from first, front foot works, closes back, lands on the working foot; "
     "price 0",
     {.from_two = 1, .worker = MARQ_WORKS_FRONT, .end = MARQ_END_TWO,
      .end_position = MARQ_FIFTH, .end_front = MARQ_FRONT_OTHER,
      .lands = MARQ_END_WORKING}},
    {"from first, front foot works, closes back, lands on the other foot; "
     "price 0",
     {.from_two = 1, .worker = MARQ_WORKS_FRONT, .end = MARQ_END_TWO,
      .end_position = MARQ_FIFTH, .end_front = MARQ_FRONT_OTHER,
      .lands = MARQ_END_OTHER}},
    {"from first, both feet work, ends as it began, leaves moving, arrives "
     "in a jump; price 0",
     {.from_two = 1, .leaves = MARQ_MOVING, .arrives = MARQ_JUMPING}},
    {"from first, both feet work, ends as it began, leaves still, arrives "
     "still, no reverse; price 0",
     {.from_two = 1}},
    {"from first, both feet work, ends as it began, nothing assumed before, "
     "fourth may be opened for it; only in a series; less usual; price 0",
     {.from_two = 1,
      .flags = MARQ_VARIANT_NO_LINK | MARQ_VARIANT_OPENS |
               MARQ_VARIANT_SERIES | MARQ_VARIANT_LESS_USUAL}},
    {"from first, both feet work, ends as it began; price 0; level advanced; "
     "source VAG(45) + BTN",
     {.from_two = 1, .level = MARQ_ADVANCED}},
    /* order, blanks, capitals, accents left out */
    {"  price 0 ;ends  as it   began,Both feet work  ; From FIRST or  free "
     "leg A TERRE front , ",
     {.from_two = 1, .from_free = 1}},
};

static void assert_variant(const marq_variant *got, const marq_variant *want)
{
    uint8_t level = want->level ? want->level : MARQ_ELEMENTARY;
    assert_int_equal(got->from_two, want->from_two);
    assert_int_equal(got->from_free, want->from_free);
    assert_int_equal(got->worker, want->worker);
    assert_int_equal(got->end, want->end);
    assert_int_equal(got->end_position, want->end_position);
    assert_int_equal(got->end_front, want->end_front);
    assert_int_equal(got->end_free, want->end_free);
    assert_int_equal(got->turn_sense, want->turn_sense);
    assert_int_equal(got->turn_eighths, want->turn_eighths);
    assert_int_equal(got->travel, want->travel);
    assert_int_equal(got->lands, want->lands);
    assert_int_equal(got->leaves, want->leaves);
    assert_int_equal(got->arrives, want->arrives);
    assert_int_equal(got->price, want->price);
    assert_int_equal(got->level, level);
    assert_int_equal(got->flags, want->flags);
    assert_int_equal(got->declared_feet, want->declared_feet);
    assert_int_equal(got->reverse, 0xffff);
}

static const char *probe_with(loaddesk *d, const char *variant)
{
    marq_build b;
    marq_build_init(&b, &d->arena);
    marq_build_text(&b, LOADDESK_PROBE "  variant ");
    marq_build_text(&b, variant);
    return marq_build_done(&b, NULL);
}

static void every_clause_gives_its_numbers(void **state)
{
    loaddesk *d = *state;
    for (size_t i = 0; i < sizeof clause_cases / sizeof *clause_cases; i++) {
        const clause_case *c = &clause_cases[i];
        marq_build b;
        marq_build_init(&b, &d->arena);
        marq_build_text(&b, "-:");
        marq_build_text(&b, c->line);
        const char *line = marq_build_done(&b, NULL);
        if (loaddesk_load(d, &d->base, probe_with(d, line)) != MARQ_OK) {
            print_message("%s\n", c->line);
            loaddesk_print(d);
            fail();
        }
        const marq_term *t = loaddesk_term(&d->data, "probe");
        assert_non_null(t);
        assert_int_equal(t->variant_count, 1);
        assert_variant(&d->data.variants[t->first_variant], &c->want);
    }
}

static void gap_of_the_term_holds_where_nothing_is_said(void **state)
{
    loaddesk *d = *state;
    assert_int_equal(
        loaddesk_load(d, &d->base,
                  LOADDESK_PROBE "  gap in a jump\n"
                        "  variant -: from first, both feet work, ends as it "
                        "began, leaves moving; price 0\n"),
        MARQ_OK);
    const marq_term *t = loaddesk_term(&d->data, "probe");
    assert_int_equal(d->data.variants[t->first_variant].leaves, MARQ_MOVING);
    assert_int_equal(d->data.variants[t->first_variant].arrives,
                     MARQ_JUMPING);
}

/* Each line, as a variant in line 9 of the probe (the text of the variant
 * begins in column 11), with what is to be said of it. */
static const struct {
    const char *line, *faults;
} clause_faults[] = {
    {"-: from fifth, front foot works, closes sideways; price 0",
     "9:11 V003 probe has no end\n"
     "9:44 V002 not a clause I know: closes sideways\n"},
    {"-: from fifth or sixth, both feet work, ends as it began; price 0",
     "9:14 V002 not a clause I know: from fifth or sixth\n"},
    {"-: from free leg low/, both feet work, ends as it began; price 0",
     "9:14 V002 not a clause I know: from free leg low/\n"},
    {"-: from one foot, free foot works, ends on the standing foot, free leg "
     "up; price 0",
     "9:73 V002 not a clause I know: free leg up\n"},
    {"-: from first, both feet work, ends in sixth; price 0",
     "9:42 V002 not a clause I know: ends in sixth\n"},
    {"-: from first, both feet work, ends as it began, turns once; price 0",
     "9:60 V002 not a clause I know: turns once\n"},
    {"-: from first, both feet work, ends as it began, turns 25 eighths "
     "either way; price 0",
     "9:60 V002 not a clause I know: turns 25 eighths either way\n"},
    {"-: from first, both feet work, ends as it began; price 10",
     "9:60 V002 not a clause I know: price 10\n"},
    {"-: from first, both feet work, ends as it began; price 0; level low",
     "9:69 V002 not a clause I know: level low\n"},
    {"-: from first, both feet work, ends as it began; price 0; source",
     "9:69 V002 not a clause I know: source\n"},
    {"-: from first, both feet work, ends as it began; price 0; leaves fast",
     "9:69 V002 not a clause I know: leaves fast\n"},
    {"no colon here",
     "9:11 V002 not a clause I know: no colon here\n"},
    /* missing */
    {"-: both feet work, ends as it began; price 0",
     "9:11 V003 probe has no start (from ...)\n"},
    {"-: from first, ends as it began; price 0",
     "9:11 V003 probe has no foot that works\n"},
    {"-: from first, both feet work; price 0",
     "9:11 V003 probe has no end\n"},
    {"dessus: from first, both feet work, ends as it began",
     "9:11 V003 probe dessus has no price\n"},
    {"-: from first, both feet work, ends in fourth; price 0",
     "9:11 V003 probe has no front foot at the end\n"},
    {"-: from first, front foot works, ends on the working foot; price 0",
     "9:11 V003 probe has no place of the free leg\n"},
    /* what does not belong together */
    {"-: from first, both feet work, ends in second, feet kept; price 0",
     "9:58 V002 not a clause I know: feet kept\n"},
    {"-: from first, front foot works, closes front, working foot in front; "
     "price 0",
     "9:58 V002 not a clause I know: working foot in front\n"},
    {"-: from first, front foot works, closes front, free leg low; price 0",
     "9:58 V002 not a clause I know: free leg low\n"},
    /* twice */
    {"-: from first, front foot works, closes front, closes back; price 0",
     "9:58 V004 closes back stands twice\n"},
    {"-: from first, both feet work, ends as it began; price 0; price 1",
     "9:69 V004 price 1 stands twice\n"},
    {"-: from first, both feet work, standing foot works, ends as it began; "
     "price 0",
     "9:42 V004 standing foot works stands twice\n"},
    {"-: from first, both feet work, ends as it began, less usual, less "
     "usual; price 0",
     "9:72 V004 less usual stands twice\n"},
    {"dessus, dessus: from first, both feet work, ends as it began; price 0",
     "9:19 V004 dessus stands twice\n"},
    /* unknown names */
    {"dessous, desus: from first, both feet work, ends as it began; price 0",
     "9:20 V005 desus names nothing in this vocabulary\n"},
    {"-: from first, both feet work, ends as it began; price 0; reverse up, "
     "dessus",
     "9:77 V005 up names nothing in this vocabulary\n"},
    {"-: from first, both feet work, ends as it began; price 0; reverse "
     "dessus, changé",
     "9:77 V005 dessus, changé names nothing in this vocabulary\n"},
    /* price */
    {"-: from first, both feet work, ends as it began; price 1",
     "2:6 V006 probe has no variant of price 0\n"},
};

static void every_fault_of_a_clause_has_its_place(void **state)
{
    loaddesk *d = *state;
    for (size_t i = 0; i < sizeof clause_faults / sizeof *clause_faults;
         i++) {
        loaddesk_expect(d, &d->base, probe_with(d, clause_faults[i].line),
                      clause_faults[i].faults);
    }
}

int main(void)
{
#define CASE(f) \
    cmocka_unit_test_setup_teardown(f, loaddesk_open, loaddesk_close)
    const struct CMUnitTest tests[] = {
        CASE(every_clause_gives_its_numbers),
        CASE(gap_of_the_term_holds_where_nothing_is_said),
        CASE(every_fault_of_a_clause_has_its_place),
    };
    return cmocka_run_group_tests_name("load_clause", tests, NULL, NULL);
}
