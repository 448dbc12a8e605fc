/* test_follow.c - whole texts: stretches, starts, sides, breaks. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "checkdesk.h"
#include "stepdesk.h"

#define START "start fifth, right front\n\n"

static const marq_stretch *stretch(const checkdesk *d, size_t i)
{
    assert_true(i < d->f.stretches.count);
    return MARQ_AT(&d->f.stretches, marq_stretch, i);
}

static const marq_seen *seen(const checkdesk *d, size_t i)
{
    assert_true(i < d->f.seen.count);
    return MARQ_AT(&d->f.seen, marq_seen, i);
}

/* The end of the customary reading of a stretch. */
static marq_body end_of(const checkdesk *d, const marq_stretch *s)
{
    marq_body end = s->at.body;
    for (size_t i = s->first; i < s->reached; i++) {
        const marq_seen *at = seen(d, i);
        for (size_t p = at->path_from; p < at->path_to; p++) {
            const marq_danced *step = MARQ_AT(&d->f.path, marq_danced, p);
            assert_int_equal(step->from.body, end);
            end = step->to.body;
        }
    }
    return end;
}

static void one_whole_text(void **state)
{
    checkdesk *d = *state;
    checkdesk_follow(d, START "changement ×3, soubresaut\n"
                              "finish fifth, left front\n");
    assert_int_equal(d->f.stretches.count, 1);
    const marq_stretch *s = stretch(d, 0);
    assert_int_equal(s->first, 0);
    assert_int_equal(s->end, 3);
    assert_int_equal(s->reached, 3);
    assert_int_equal(s->broken, MARQ_BREAK_NONE);
    assert_true(s->start_written && s->opens_text);
    assert_false(s->ends_unknown);
    assert_int_equal(s->price, 0);
    assert_int_equal(s->at.body, stepdesk_body("5R"));
    assert_int_equal(end_of(d, s), stepdesk_body("5L"));
    assert_int_equal(seen(d, 0)->role, MARQ_SEEN_STEP);
    assert_int_equal(seen(d, 0)->path_to - seen(d, 0)->path_from, 3);
    assert_int_equal(seen(d, 2)->role, MARQ_SEEN_FINISH);
    assert_true(d->f.names_side);
    assert_true(d->f.reach.no_facing);
}

static const struct {
    const char *text;
    size_t stretches;
    /* of the first: */
    marq_break broken;
    size_t reached;
    bool unknown;
} pieces[] = {
    {START "changement, changement\n", 1, MARQ_BREAK_NONE, 2, false},
    /* an unknown word, the writer forgot: the feet after it are not known */
    {START "changement, flurbation, changement\n", 1, MARQ_BREAK_NONE, 1,
     true},
    {START "changement, ..., changement\n", 1, MARQ_BREAK_NONE, 1, true},
    {START "..., changement\n", 1, MARQ_BREAK_NONE, 0, true},
    /* taken up at the next written position */
    {START "changement, ..., changement, now fifth, left front, "
           "changement\n",
     2, MARQ_BREAK_NONE, 1, true},
    /* two changes give the right front again: the finish cannot be */
    {START "changement, changement\nfinish fifth, left front\n", 1,
     MARQ_BREAK_FEET, 2, false},
    /* a wrong statement: taken up from what is written */
    {START "changement, now fifth, right front, changement\n", 2,
     MARQ_BREAK_FEET, 1, false},
    {"start first\n\nchangement, changement\n", 1, MARQ_BREAK_START, 0,
     false},
    {START "changement, changement to attitude behind\n", 1,
     MARQ_BREAK_NEVER, 1, false},
    {START "changement, temps levé on the left\n", 1, MARQ_BREAK_FEET, 1,
     false},
    {"start fifth, right front, facing audience\n\n"
     "soubresaut, sous-sus facing back wall\n",
     1, MARQ_BREAK_FACING, 1, false},
    /* sides written out: each begins anew */
    {"right side:\nchangement\nleft side:\nchangement\n", 2, MARQ_BREAK_NONE,
     1, false},
    {START "changement\nother side\n", 1, MARQ_BREAK_NONE, 1, false},
};

static void texts_in_pieces(void **state)
{
    checkdesk *d = *state;
    for (size_t i = 0; i < sizeof pieces / sizeof pieces[0]; i++) {
        checkdesk_follow(d, pieces[i].text);
        const marq_stretch *s = stretch(d, 0);
        if (d->f.stretches.count != pieces[i].stretches ||
            s->broken != pieces[i].broken ||
            s->reached != pieces[i].reached ||
            s->ends_unknown != pieces[i].unknown) {
            print_error("%s", pieces[i].text);
        }
        assert_int_equal(d->f.stretches.count, pieces[i].stretches);
        assert_int_equal(s->broken, pieces[i].broken);
        assert_int_equal(s->reached, pieces[i].reached);
        assert_int_equal(s->ends_unknown, pieces[i].unknown);
        assert_true(s->opens_text);
        for (size_t k = 0; k < d->f.seen.count; k++) {
            bool inside = k >= s->first && k < s->reached;
            assert_true(!inside || seen(d, k)->reached);
            assert_true(!seen(d, k)->reached == (seen(d, k)->after == NULL) ||
                        !inside);
        }
    }
}

static void taken_up_again(void **state)
{
    checkdesk *d = *state;
    checkdesk_follow(d, START "changement, ..., changement, now fifth, left "
                              "front, changement\n");
    const marq_stretch *s = stretch(d, 1);
    assert_int_equal(s->first, 2); /* the statement */
    assert_int_equal(s->reached, 4);
    assert_true(s->start_written);
    assert_false(s->opens_text);
    assert_int_equal(end_of(d, s), stepdesk_body("5R"));
    assert_false(seen(d, 1)->reached); /* between the gap and it */
}

/* The second side begins from the mirror image of the start. */
static void the_second_side(void **state)
{
    checkdesk *d = *state;
    checkdesk_follow(d, START "right side:\nchangement\n"
                              "left side:\nchangement, soubresaut\n");
    const marq_stretch *s = stretch(d, 1);
    assert_int_equal(s->at.body, stepdesk_body("5L"));
    assert_int_equal(s->first, 1);
    assert_int_equal(s->reached, 3);
    assert_false(s->opens_text);
    assert_int_equal(end_of(d, s), stepdesk_body("5R"));
}

/* Where no start is written: fifth 0, first 2, a pose à terre 2, others 3. */
static const struct {
    const char *text, *start;
    uint32_t price;
} priced[] = {
    {"changement\n", "5R", 0},
    {"tendu devant left foot, changement\nfinish fifth, right front\n", "5L",
     0},
    {"sauté from first\n", "1", 2},
    {"close behind from second\n", "2", 3},
    {"changement\nfinish fifth, left front\n", "5R", 0},
};

static void priced_starts(void **state)
{
    checkdesk *d = *state;
    for (size_t i = 0; i < sizeof priced / sizeof priced[0]; i++) {
        checkdesk_follow(d, priced[i].text);
        const marq_stretch *s = stretch(d, 0);
        if (s->at.body != stepdesk_body(priced[i].start) ||
            s->broken != MARQ_BREAK_NONE) {
            print_error("%s", priced[i].text);
        }
        assert_int_equal(s->broken, MARQ_BREAK_NONE);
        assert_int_equal(s->at.body, stepdesk_body(priced[i].start));
        assert_int_equal(s->price, priced[i].price);
    }
}

/* Of equally cheap starts the side spoken of first. */
static void the_named_side_first(void **state)
{
    checkdesk *d = *state;
    static const struct {
        const char *text, *start;
    } named[] = {
        {"soubresaut, tendu front left foot\n", "5L"},
        {"soubresaut, tendu front right foot\n", "5R"},
        {"tendu devant left foot, changement, tendu devant right foot\n",
         "5L"},
        {"tendu side left foot\n", "5L"}, /* either foot could */
        {"tendu side right foot\n", "5R"},
        {"soubresaut\n", "5R"},
    };
    for (size_t i = 0; i < sizeof named / sizeof named[0]; i++) {
        checkdesk_follow(d, named[i].text);
        assert_int_equal(stretch(d, 0)->broken, MARQ_BREAK_NONE);
        assert_int_equal(stretch(d, 0)->at.body,
                         stepdesk_body(named[i].start));
    }
}

/* A late line decides the first step: glissade bare, with a finish. */
static void a_late_line_decides(void **state)
{
    checkdesk *d = *state;
    checkdesk_follow(d, START "échappé sauté, changement\n"
                              "finish fifth, left front\n");
    assert_int_equal(stretch(d, 0)->broken, MARQ_BREAK_NONE);
    assert_int_equal(stretch(d, 0)->price, 1); /* unchanged, price 1 */
    assert_int_equal(end_of(d, stretch(d, 0)), stepdesk_body("5L"));
    checkdesk_follow(d, START "échappé sauté, changement\n"
                              "finish fifth, right front\n");
    assert_int_equal(stretch(d, 0)->price, 0); /* changed, as usual */
}

static void a_start_that_cannot_be_joined(void **state)
{
    checkdesk *d = *state;
    checkdesk_follow(d, "start fifth, right front, facing front left corner, "
                        "effacé\n\nchangement\n");
    assert_true(d->f.start_clash);
    assert_int_equal(stretch(d, 0)->reached, 1); /* the feet were followed */
    checkdesk_follow(d, "start fifth, right front, facing front left corner, "
                        "croisé\n\nchangement\n");
    assert_false(d->f.start_clash);
    assert_int_equal(stretch(d, 0)->at.facing, 7);
}

/* ---- ends relative to their starts ---- */

static void relative_ends(void **state)
{
    (void)state;
    for (unsigned a = 0; a < MARQ_BODIES; a++) {
        for (unsigned b = 0; b < MARQ_BODIES; b++) {
            marq_body start = (marq_body)a, end = (marq_body)b;
            marq_body r = marq_follow_relative(start, end);
            /* danced from the other side it is the same outcome */
            assert_int_equal(r, marq_follow_relative(marq_body_mirror(start),
                                                     marq_body_mirror(end)));
            /* it is the end or its mirror image */
            assert_true(marq_body_alike(r, end) ||
                        marq_body_alike(r, marq_body_mirror(end)));
        }
    }
    marq_body right = stepdesk_body("5R"), left = stepdesk_body("5L");
    assert_true(marq_follow_relative(right, right) !=
                marq_follow_relative(right, left));
    assert_int_equal(marq_follow_relative(right, stepdesk_body("TL")),
                     marq_follow_relative(right, left));
    assert_int_equal(marq_follow_relative(right, stepdesk_body("Rlb")),
                     marq_follow_relative(right, stepdesk_body("Rhb")));
}

static void ends_of_starts(void **state)
{
    checkdesk *d = *state;
    uint64_t ends[MARQ_BODIES];
    checkdesk_follow(d, "start fifth\n\nchangement\n"); /* either in front */
    assert_int_equal(marq_follow_ends(&d->f, stretch(d, 0), ends), MARQ_OK);
    marq_body right = stepdesk_body("5R"), left = stepdesk_body("5L");
    for (unsigned b = 0; b < MARQ_BODIES; b++) {
        uint64_t wanted = b == right  ? (uint64_t)1 << left
                          : b == left ? (uint64_t)1 << right
                                      : 0;
        assert_true(ends[b] == wanted);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(one_whole_text),
        cmocka_unit_test(texts_in_pieces),
        cmocka_unit_test(taken_up_again),
        cmocka_unit_test(the_second_side),
        cmocka_unit_test(priced_starts),
        cmocka_unit_test(the_named_side_first),
        cmocka_unit_test(a_late_line_decides),
        cmocka_unit_test(a_start_that_cannot_be_joined),
        cmocka_unit_test(relative_ends),
        cmocka_unit_test(ends_of_starts),
    };
    return cmocka_run_group_tests(tests, checkdesk_open, checkdesk_close);
}
