/* test_demand_facing.c - where she must face by the end of a step, and what of
 * a whole text names a side or a facing (following.md 5). */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "stepdesk.h"

#define FIFTH "  variant -: from fifth, "
static const char terms[] =
    "qualifier devant\n  means in front\n  asks leg front\n"
    "qualifier derrière\n  means behind\n  asks leg behind\n"
    "qualifier à la seconde\n  means aside\n  asks leg side\n"
    STEPDESK_TERM("kept", "front", "",
                  FIFTH "both feet work, ends in fifth with feet kept; price "
                        "0\n")
    STEPDESK_TERM("open", "front", "",
                  FIFTH "both feet work, ends in second; price 0\n")
    STEPDESK_TERM("leg", "foot", "",
                  FIFTH "front foot works, ends on the other foot, free leg "
                        "low front; price 0\n"
                  FIFTH "back foot works, ends on the other foot, free leg "
                        "low behind; price 1\n"
                  FIFTH "front foot works, ends on the other foot, free leg "
                        "low side; price 1\n")
    STEPDESK_TERM("tend", "foot", "",
                  "  variant devant: from fifth, front foot works, closes "
                  "front; price 0\n"
                  "  variant derrière: from fifth, back foot works, closes "
                  "back; price 0\n"
                  "  variant à la seconde: from fifth, front foot works, "
                  "closes back; price 0\n");

enum { A = 1 << 0, DR = 1 << 1, WR = 1 << 2, UR = 1 << 3, U = 1 << 4,
       UL = 1 << 5, WL = 1 << 6, DL = 1 << 7 };
enum { ANY = MARQ_ANY_FACING, NOT = 0, DIAGONALS = DR | UR | UL | DL };

/* The table of space-music.md 3.3 and 3.4, as masks: R front or R leg devant
 * is croise on the line from front left to back right (DL, UR), efface on the
 * other; behind the reverse; to the side ecarte on all four. */
static const struct {
    const char *term;
    size_t variant;
    int facing, second; /* -1: not written */
    int alignment;      /* -1: not written */
    uint8_t allowed;    /* from 5R */
} rows[] = {
    {"kept", 0, -1, -1, -1, ANY},
    {"kept", 0, 0, -1, -1, A},
    {"kept", 0, 5, -1, -1, UL},
    {"kept", 0, 0, 1, -1, NOT}, /* two facings at once */
    {"kept", 0, 1, 1, -1, DR},
    {"kept", 0, -1, -1, MARQ_CROISE, DL | UR},
    {"kept", 0, -1, -1, MARQ_EFFACE, DR | UL},
    {"kept", 0, -1, -1, MARQ_EN_FACE, A},
    {"kept", 0, -1, -1, MARQ_PROFIL, WR | WL},
    {"kept", 0, -1, -1, MARQ_DOS, U},
    /* word, foot and direction that the tables cannot join */
    {"kept", 0, 7, -1, MARQ_CROISE, DL},
    {"kept", 0, 7, -1, MARQ_EFFACE, NOT},
    {"kept", 0, 1, -1, MARQ_CROISE, NOT},
    {"kept", 0, 1, -1, MARQ_EFFACE, DR},
    {"kept", 0, 0, -1, MARQ_CROISE, NOT},
    {"kept", 0, 0, -1, MARQ_EN_FACE, A},
    {"kept", 0, 2, -1, MARQ_PROFIL, WR},
    /* upstage labels decide nothing */
    {"kept", 0, 3, -1, MARQ_CROISE, UR},
    {"kept", 0, 3, -1, MARQ_EFFACE, UR},
    {"kept", 0, 4, -1, MARQ_CROISE, U},
    /* feet without front or back: any diagonal */
    {"open", 0, -1, -1, MARQ_CROISE, DIAGONALS},
    {"open", 0, 7, -1, MARQ_EFFACE, DL},
    {"open", 0, -1, -1, MARQ_EN_FACE, A},
    /* by the leg, where the step ends on one foot */
    {"leg", 0, -1, -1, MARQ_CROISE, DL | UR},
    {"leg", 0, -1, -1, MARQ_EFFACE, DR | UL},
    {"leg", 1, -1, -1, MARQ_CROISE, DL | UR}, /* left leg behind */
    {"leg", 1, -1, -1, MARQ_EFFACE, DR | UL},
    {"leg", 2, -1, -1, MARQ_ECARTE, DIAGONALS},
    {"leg", 2, -1, -1, MARQ_EN_FACE, A},
    {"leg", 0, 7, -1, MARQ_EFFACE, NOT},
    /* by the leg that works, where it ends closed */
    {"tend", 0, -1, -1, MARQ_CROISE, DL | UR},
    {"tend", 1, -1, -1, MARQ_CROISE, DL | UR},
    {"tend", 2, -1, -1, MARQ_ECARTE, DIAGONALS},
    {"tend", 2, 1, -1, MARQ_ECARTE, DR},
};

static int open_desk(void **state)
{
    *state = stepdesk_new(terms, NULL);
    return 0;
}

static int close_desk(void **state)
{
    stepdesk_free(*state);
    return 0;
}

static uint8_t facings_from_right(stepdesk *d, const marq_demand *demand,
                                  const char *term, size_t variant)
{
    size_t v = stepdesk_variant(d, term) + variant;
    const marq_move *move;
    assert_int_equal(
        marq_step_moves(&d->load->data, v, stepdesk_body("5R"), &move), 1);
    return marq_demand_facings(demand, &d->load->data, v, move);
}

static void every_facing(void **state)
{
    stepdesk *d = *state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        uint32_t item = stepdesk_item(d, rows[i].term, 1);
        if (rows[i].facing >= 0) {
            stepdesk_mark(d, MARQ_MARK_FACING, (unsigned)rows[i].facing);
        }
        if (rows[i].second >= 0) {
            stepdesk_mark(d, MARQ_MARK_FACING, (unsigned)rows[i].second);
        }
        if (rows[i].alignment >= 0) {
            stepdesk_mark(d, MARQ_MARK_ALIGNMENT,
                          (unsigned)rows[i].alignment);
        }
        marq_demand demand = stepdesk_demand(d, item);
        uint8_t got =
            facings_from_right(d, &demand, rows[i].term, rows[i].variant);
        if (got != rows[i].allowed) {
            print_error("row %zu: %s\n", i, rows[i].term);
        }
        assert_int_equal(got, rows[i].allowed);
        assert_int_equal(demand.faces,
                         rows[i].facing >= 0 || rows[i].alignment >= 0);
        assert_false(demand.narrows); /* facing chooses no form */
    }
}

/* A facing between commas is an instruction for the step after it. */
static void an_instruction_to_face(void **state)
{
    stepdesk *d = *state;
    marq_stand stand = {.written = true,
                        .facings = DL | A,
                        .alignments = 1u << MARQ_CROISE,
                        .facing_span = {3, 9}};
    marq_demand demand = stepdesk_demand(d, stepdesk_item(d, "kept", 1));
    marq_demand_face(&demand, &stand);
    assert_true(demand.faces);
    assert_int_equal(demand.facing_span.from, 3);
    assert_int_equal(facings_from_right(d, &demand, "kept", 0), DL);
    uint32_t item = stepdesk_item(d, "kept", 1);
    stepdesk_mark(d, MARQ_MARK_FACING, 0);
    demand = stepdesk_demand(d, item);
    marq_demand_face(&demand, &stand);
    assert_int_equal(facings_from_right(d, &demand, "kept", 0), NOT);
}

/* ---- a whole text ---- */

static const struct {
    marq_mark_kind kind;
    unsigned value;
    marq_side first; /* named beside a step */
    bool side, facing;
} marks[] = {
    {MARQ_MARK_FOOT, MARQ_FOOT_RIGHT, MARQ_SIDE_RIGHT, true, false},
    {MARQ_MARK_FOOT, MARQ_FOOT_LEFT, MARQ_SIDE_LEFT, true, false},
    {MARQ_MARK_FOOT, MARQ_FOOT_FRONT, MARQ_SIDE_NONE, false, false},
    {MARQ_MARK_ON, MARQ_FOOT_LEFT, MARQ_SIDE_LEFT, true, false},
    {MARQ_MARK_ON, MARQ_FOOT_STANDING, MARQ_SIDE_NONE, false, false},
    {MARQ_MARK_SIDE, MARQ_SIDE_LEFT, MARQ_SIDE_LEFT, true, false},
    {MARQ_MARK_TOWARD, MARQ_SIDE_RIGHT, MARQ_SIDE_RIGHT, true, false},
    {MARQ_MARK_FRONT, MARQ_SIDE_LEFT, MARQ_SIDE_LEFT, true, false},
    {MARQ_MARK_FACING, 0, MARQ_SIDE_NONE, false, true},
    {MARQ_MARK_FACING, 4, MARQ_SIDE_NONE, false, true},
    {MARQ_MARK_FACING, 7, MARQ_SIDE_NONE, true, true},
    {MARQ_MARK_ALIGNMENT, MARQ_CROISE, MARQ_SIDE_NONE, false, true},
    {MARQ_MARK_NUMBERED, 8, MARQ_SIDE_NONE, false, false},
    {MARQ_MARK_TO, MARQ_FOURTH, MARQ_SIDE_NONE, false, false},
    {MARQ_MARK_LENGTH, 2, MARQ_SIDE_NONE, false, false},
    {MARQ_MARK_CLOSING, MARQ_DEVANT, MARQ_SIDE_NONE, false, false},
};

static void forget_text(stepdesk *d)
{
    d->tree.items.count = d->tree.marks.count = d->tree.stands.count = 0;
    d->tree.start = (marq_stand){.facings = ANY};
    d->tree.finish = d->tree.start;
}

static void marks_name_sides(void **state)
{
    stepdesk *d = *state;
    for (size_t i = 0; i < sizeof marks / sizeof marks[0]; i++) {
        forget_text(d);
        stepdesk_item(d, "kept", 1);
        stepdesk_mark(d, MARQ_MARK_LENGTH, 1);
        stepdesk_item(d, "kept", 1);
        stepdesk_mark(d, marks[i].kind, marks[i].value);
        assert_int_equal(marq_demand_names_side(&d->tree), marks[i].side);
        assert_int_equal(marq_demand_first_side(&d->tree), marks[i].first);
        assert_int_equal(marq_demand_names_facing(&d->tree),
                         marks[i].facing);
    }
}

static void the_first_side_is_taken(void **state)
{
    stepdesk *d = *state;
    forget_text(d);
    stepdesk_item(d, "kept", 1);
    stepdesk_mark(d, MARQ_MARK_FOOT, MARQ_FOOT_FREE);
    stepdesk_mark(d, MARQ_MARK_FACING, 1);
    stepdesk_mark(d, MARQ_MARK_SIDE, MARQ_SIDE_LEFT);
    stepdesk_item(d, "kept", 1);
    stepdesk_mark(d, MARQ_MARK_SIDE, MARQ_SIDE_RIGHT);
    assert_int_equal(marq_demand_first_side(&d->tree), MARQ_SIDE_LEFT);
}

static void stands_name_sides(void **state)
{
    stepdesk *d = *state;
    static const struct {
        const char *a, *b; /* bodies; "": none */
        uint8_t facings;
        bool alignment, side, facing;
    } stands[] = {
        {"5R", "", ANY, false, true, false},
        {"5R", "5L", ANY, false, false, false}, /* "fifth" */
        {"1", "", ANY, false, false, false},
        {"Rab", "", ANY, false, true, false},
        {"1", "", A, false, false, true},
        {"1", "", DL, false, true, true},
        {"1", "", DL | DR, false, false, true},
        {"", "", WL, false, true, true},
        {"1", "", ANY, true, false, true},
    };
    for (size_t i = 0; i < sizeof stands / sizeof stands[0]; i++) {
        marq_stand s = {.written = true, .facings = stands[i].facings};
        s.has_bodies = stands[i].a[0] != '\0';
        s.alignments = stands[i].alignment ? 1u << MARQ_CROISE : 0;
        if (stands[i].a[0]) {
            s.bodies[stepdesk_body(stands[i].a)] = 1;
        }
        if (stands[i].b[0]) {
            s.bodies[stepdesk_body(stands[i].b)] = 1;
        }
        for (int where = 0; where < 3; where++) {
            forget_text(d);
            if (where == 2) {
                *(marq_stand *)marq_array_add(&d->tree.stands) = s;
            } else {
                *(where ? &d->tree.finish : &d->tree.start) = s;
            }
            assert_int_equal(marq_demand_names_side(&d->tree),
                             stands[i].side);
            assert_int_equal(marq_demand_names_facing(&d->tree),
                             stands[i].facing);
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_facing),
        cmocka_unit_test(an_instruction_to_face),
        cmocka_unit_test(marks_name_sides),
        cmocka_unit_test(the_first_side_is_taken),
        cmocka_unit_test(stands_name_sides),
    };
    return cmocka_run_group_tests(tests, open_desk, close_desk);
}
