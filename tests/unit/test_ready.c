/* test_ready.c - can the other side begin?  Four answers, foot changes, the
 * questions asked (following.md 5 and 6). */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "checkdesk.h"

#define START "start fifth, right front\n\n"
#define CROISE "start fifth, right front, facing front left corner\n\n"

enum { Y = MARQ_READY_YES, T = MARQ_READY_TURN, N = MARQ_READY_NO,
       O = MARQ_READY_OPEN, U = MARQ_READY_UNKNOWN };

/* text; whole, position, front foot, free leg, facing; changes, -1: not
 * known, -2: as it is read.  The left side begins in the mirror image of the
 * start. */
static const struct {
    const char *text;
    int whole, position, front, leg, facing, changes;
} rows[] = {
    /* one change of feet: left in front, as the left side wants */
    {START "changement\n", Y, Y, Y, Y, U, 1},
    {START "changement ×2\n", N, Y, N, Y, U, 2},
    {START "changement ×3, soubresaut\n", Y, Y, Y, Y, U, 3},
    {START "soubresaut\n", N, Y, N, Y, U, 0},
    {START "glissade derrière, assemblé dessus\n", Y, Y, Y, Y, U, 1},
    {START "glissade dessous, assemblé dessus\n", N, Y, N, Y, U, 2},
    {"start fifth, left front\n\nchangement\n", Y, Y, Y, Y, U, 1},
    /* fifth on the tips is fifth */
    {START "changement, sous-sus\n", Y, Y, Y, Y, U, 1},
    /* another position */
    {START "changement, to fourth\n", N, N, Y, Y, U, 1},
    /* on one foot where the left side wants two */
    {START "arabesque on the right\n", N, N, N, N, U, 0},
    /* begun on one foot: the right stands, so the left must in the end */
    {"start on the right, left ankle behind\n\ncoupé dessous, hold\n", N, Y, N,
     N, U, 0},
    {"start on the right, left ankle behind\n\nhold\n", N, N, N, Y, U, 0},
    /* nothing to be in front */
    {"start first\n\nplié\n", Y, Y, Y, Y, U, 0},
    /* facing: three answers and "not written" */
    {CROISE "changement facing front right corner\n", Y, Y, Y, Y, Y, 1},
    {CROISE "changement facing front left corner\n", T, Y, Y, Y, T, 1},
    {CROISE "changement facing audience\n", N, Y, Y, Y, N, 1},
    {"start fifth, right front, facing audience\n\nchangement facing "
     "audience\n",
     Y, Y, Y, Y, Y, 1},
    /* the feet are not ready: the turn cannot help */
    {CROISE "soubresaut facing front left corner\n", N, Y, N, Y, T, 0},
    /* not known after a break, an unknown word, a gap */
    {START "changement, temps levé on the left\n", U, U, U, U, U, -1},
    {START "changement, flurbation\n", U, U, U, U, U, -1},
    {START "changement, ...\n", U, U, U, U, U, -1},
    {"start first\n\nchangement\n", U, U, U, U, U, -1},
    /* from either side: one outcome */
    {"start fifth\n\nchangement\n", Y, Y, Y, Y, U, 1},
    /* the right foot forward or the left, the other closed behind it */
    {START "soubresaut, pas marché, close\n", O, Y, O, Y, U, -2},
};

static void every_answer(void **state)
{
    checkdesk *d = *state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        checkdesk_run(d, rows[i].text);
        marq_readiness r = marq_report_readiness(d->report);
        int changes = rows[i].changes == -2 ? -2
                      : r.changes_known     ? (int)r.foot_changes
                                            : -1;
        if ((int)r.whole != rows[i].whole ||
            (int)r.position != rows[i].position ||
            (int)r.front_foot != rows[i].front ||
            (int)r.free_leg != rows[i].leg ||
            (int)r.facing != rows[i].facing || changes != rows[i].changes) {
            print_error("%s: %d %d %d %d %d, %d\n", rows[i].text, r.whole,
                        r.position, r.front_foot, r.free_leg, r.facing,
                        changes);
        }
        assert_int_equal(r.whole, rows[i].whole);
        assert_int_equal(r.position, rows[i].position);
        assert_int_equal(r.front_foot, rows[i].front);
        assert_int_equal(r.free_leg, rows[i].leg);
        assert_int_equal(r.facing, rows[i].facing);
        assert_int_equal(changes, rows[i].changes);
    }
}

/* The other side of each text is as ready for the right. */
static void the_other_side_is_as_ready(void **state)
{
    checkdesk *d = *state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        marq_combo *other;
        marq_report *report;
        checkdesk_run(d, rows[i].text);
        if (rows[i].changes < 0) {
            continue;
        }
        assert_int_equal(marq_other_side(&other, d->combo), MARQ_OK);
        assert_int_equal(marq_check(&report, other, NULL), MARQ_OK);
        marq_readiness r = marq_report_readiness(report);
        assert_int_equal(r.whole, rows[i].whole);
        assert_int_equal(r.foot_changes, rows[i].changes);
        marq_report_free(report);
        marq_combo_free(other);
    }
}

static void the_side_begun_on(void **state)
{
    static const struct {
        const char *text;
        marq_side side;
        bool assumed;
    } sides[] = {
        {START "changement\n", MARQ_SIDE_RIGHT, false},
        {"start fifth, left front\n\nchangement\n", MARQ_SIDE_LEFT, false},
        {"changement\n", MARQ_SIDE_RIGHT, true},
        {"tendu devant left foot\n", MARQ_SIDE_LEFT, false},
        {"start on the right, left ankle behind\n\nhold\n", MARQ_SIDE_RIGHT,
         false},
    };
    checkdesk *d = *state;
    for (size_t i = 0; i < sizeof sides / sizeof sides[0]; i++) {
        checkdesk_run(d, sides[i].text);
        marq_readiness r = marq_report_readiness(d->report);
        assert_int_equal(r.first_side, sides[i].side);
        assert_int_equal(r.first_side_assumed, sides[i].assumed);
    }
    marq_readiness none = marq_report_readiness(NULL);
    assert_int_equal(none.whole, MARQ_READY_UNKNOWN);
    assert_int_equal(none.facing, MARQ_READY_UNKNOWN);
    assert_false(none.changes_known);
}

/* A question names the last free choice and where each answer ends. */
static void readings_that_differ_are_asked(void **state)
{
    checkdesk *d = *state;
    checkdesk_run(d, START "glissade derrière, pas marché\n");
    const marq_finding *f = checkdesk_finding(d, "S010", 0);
    assert_non_null(f);
    assert_int_equal(f->severity, MARQ_QUESTION);
    assert_true(f->note_count >= 2);
    bool right = false, left = false;
    for (size_t i = 0; i < f->note_count; i++) {
        assert_non_null(strstr(f->notes[i], "pas marché"));
        right |= strstr(f->notes[i], "on the right") != NULL;
        left |= strstr(f->notes[i], "on the left") != NULL;
    }
    assert_true(right && left);
    /* the right foot forward or the left: ready for neither or either */
    assert_int_equal(marq_report_readiness(d->report).whole, MARQ_READY_NO);
}

/* Readiness is judged without the bonus: what is ready only by it is asked,
 * and only where the other side is spoken of. */
static void ready_only_if(void **state)
{
    checkdesk *d = *state;
    checkdesk_run(d, START "échappé sauté, changement\nother side\n");
    assert_int_equal(marq_report_readiness(d->report).whole, MARQ_READY_NO);
    const marq_finding *f = checkdesk_finding(d, "S011", 0);
    assert_non_null(f);
    assert_non_null(strstr(f->headline, "fifth, right front"));
    checkdesk_run(d, START "échappé sauté, changement\nrepeat\n");
    assert_int_equal(checkdesk_count(d, "S011"), 1);
    checkdesk_run(d, START "échappé sauté, changement\n");
    assert_int_equal(checkdesk_count(d, "S011"), 0);
    /* no reading ends so: not even asked */
    checkdesk_run(d, START "soubresaut\nother side\n");
    assert_int_equal(checkdesk_count(d, "S011"), 0);
    /* the leg to the side and the feet changed: dearer than the bonus */
    checkdesk_run(d, START "grand battement\nother side\n");
    assert_int_equal(marq_report_readiness(d->report).whole, MARQ_READY_NO);
    assert_int_equal(checkdesk_count(d, "S011"), 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_answer),
        cmocka_unit_test(the_other_side_is_as_ready),
        cmocka_unit_test(the_side_begun_on),
        cmocka_unit_test(readings_that_differ_are_asked),
        cmocka_unit_test(ready_only_if),
    };
    return cmocka_run_group_tests(tests, checkdesk_open, checkdesk_close);
}
