/* test_reason.c - each finding of feet and facing: raised by one text, not by
 * its mended twin; where it points and what it says. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "checkdesk.h"

#define START "start fifth, right front\n\n"
#define AUDIENCE "start fifth, right front, facing audience\n\n"
#define CORNER "start fifth, right front, facing front left corner\n\n"

/* code, a text that raises it once, the words it points at, what its headline
 * says besides, and a twin that does not raise it */
static const struct {
    const char *code, *text, *at, *says, *twin;
} raised[] = {
    {"S001", START "changement, temps levé on the right\n", "temps levé",
     "both feet", START "jeté dessus, temps levé on the left\n"},
    {"S001", START "jeté dessus, temps levé on the right\n", "temps levé", "",
     START "jeté dessus, temps levé\n"},
    {"S002", START "changement to attitude behind\n",
     "changement to attitude behind", "from any position",
     START "changement\n"},
    {"S003", START "changement\nfinish fifth, right front\n",
     "fifth, right front", "the steps end in fifth, left front",
     START "changement\nfinish fifth, left front\n"},
    {"S004", START "changement, now fifth, right front, changement\n", NULL,
     "the steps lead to fifth, left front",
     START "changement, now fifth, left front, changement\n"},
    {"S005", "start first\n\nchangement\n", "changement", "from first",
     START "changement\n"},
    {"S006", "start first\n\nchangement, soubresaut, changement\n",
     "soubresaut", "", START "changement, soubresaut, changement\n"},
    {"S007", START "assemblé\n", "assemblé", "assemblé dessus",
     START "assemblé dessus\n"},
    {"S008", START "arabesque, changement\n", "changement",
     "left leg closed behind", START "arabesque, close, changement\n"},
    {"S009", "changement\n", "changement", "fifth, right front",
     START "changement\n"},
    {"S010", START "glissade derrière, pas marché\n", "pas marché", "",
     START "glissade derrière, pas marché right foot\n"},
    {"S011", START "échappé sauté, changement\nother side\n",
     "échappé sauté", "sans changer", START "échappé sauté\nother side\n"},
    {"S012", START "grand jeté\n", "grand jeté", "",
     START "glissade derrière, grand jeté\n"},
    {"S013", START "arabesque right\n", "right", "right of arabesque",
     START "arabesque on the right\n"},
    {"S014", "start second\n\nsway right, sway right\n", "sway", "sway twice",
     "start second\n\nsway right, sway left\n"},
    {"S015", START "soubresaut changé\n", "soubresaut", "soubresaut changé",
     START "soubresaut\n"},
    /* word, foot and direction that the tables cannot join */
    {"F001", START "sous-sus effacé facing front left corner\n", NULL,
     "fifth, right front", START "sous-sus croisé facing front left corner\n"},
    {"F001",
     "start fifth, right front, facing front left corner, effacé\n\nplié\n",
     "front left corner, effacé", "fifth, right front",
     "start fifth, right front, facing front left corner, croisé\n\nplié\n"},
    {"F002", AUDIENCE "sous-sus facing back wall\n", "facing back wall",
     "more than a quarter", AUDIENCE "sous-sus facing right wall\n"},
    {"F003", AUDIENCE "arabesque, hold facing front right corner\n",
     "facing front right corner", "inside a hold",
     AUDIENCE "arabesque, hold facing audience\n"},
    {"F004",
     "start fourth, right front, facing front right corner\n\n"
     "pirouette en dehors facing front left corner\n",
     "facing front left corner", "a quarter",
     "start fourth, right front, facing front right corner\n\n"
     "pirouette en dehors facing front right corner\n"},
    {"F005",
     "start fifth, right front, croisé facing back left corner\n\nplié\n",
     NULL, "croisé", CORNER "plié croisé\n"},
    {"F006", START "tendu devant corner 8\n", "corner 8", "8",
     START "tendu devant\n"},
};

static void every_code(void **state)
{
    checkdesk *d = *state;
    for (size_t i = 0; i < sizeof raised / sizeof raised[0]; i++) {
        checkdesk_run(d, raised[i].text);
        if (checkdesk_count(d, raised[i].code) != 1) {
            print_error("%s not once by:\n%s", raised[i].code,
                        raised[i].text);
        }
        assert_int_equal(checkdesk_count(d, raised[i].code), 1);
        const marq_finding *f = checkdesk_finding(d, raised[i].code, 0);
        assert_true(f->has_span);
        if (raised[i].at != NULL) {
            assert_string_equal(checkdesk_words(d, f->span), raised[i].at);
        }
        if (strstr(f->headline, raised[i].says) == NULL) {
            print_error("%s: \"%s\" lacks \"%s\"\n", raised[i].code,
                        f->headline, raised[i].says);
        }
        assert_non_null(strstr(f->headline, raised[i].says));
        checkdesk_run(d, raised[i].twin);
        if (checkdesk_count(d, raised[i].code) != 0) {
            print_error("%s also by:\n%s", raised[i].code, raised[i].twin);
        }
        assert_int_equal(checkdesk_count(d, raised[i].code), 0);
    }
}

/* Mended twins of problems have no problem at all. */
static void twins_have_no_problem(void **state)
{
    checkdesk *d = *state;
    for (size_t i = 0; i < sizeof raised / sizeof raised[0]; i++) {
        checkdesk_run(d, raised[i].twin);
        if (marq_finding_count_of(marq_report_findings(d->report),
                                  MARQ_PROBLEM) != 0) {
            print_error("%s", raised[i].twin);
        }
        assert_int_equal(
            marq_finding_count_of(marq_report_findings(d->report),
                                  MARQ_PROBLEM),
            0);
    }
}

/* A break says where one stands, what the step needs and points at the place
 * before. */
static void a_break_is_explained(void **state)
{
    checkdesk *d = *state;
    checkdesk_run(d, START "changement, temps levé on the right\n");
    const marq_finding *f = checkdesk_finding(d, "S001", 0);
    assert_non_null(f);
    assert_non_null(strstr(f->label, "needs"));
    assert_int_equal(f->related_count, 1);
    assert_string_equal(checkdesk_words(d, f->related[0].span),
                        "changement");
    assert_non_null(strstr(f->related[0].label, "fifth, left front"));
    assert_true(f->note_count >= 1);
    assert_non_null(strstr(f->notes[0], "fifth, left front"));
}

/* Following ends at the first break: one problem, the rest is not judged. */
static void one_break_one_problem(void **state)
{
    checkdesk *d = *state;
    checkdesk_run(d, "start first\n\nchangement, changement on the right, "
                     "temps levé on the left, changement\n");
    assert_int_equal(
        marq_finding_count_of(marq_report_findings(d->report), MARQ_PROBLEM),
        1);
}

/* Upstage labels are noted, never a problem; no facing, no finding. */
static void facings_that_are_no_problem(void **state)
{
    static const char *const texts[] = {
        "start fifth, right front, effacé facing back left corner\n\nplié\n",
        "start fifth, right front, croisé facing back left corner\n\nplié\n",
        START "changement, sous-sus croisé\n",
        START "glissade derrière, assemblé dessus\n",
        AUDIENCE "tendu devant croisé, tendu à la seconde en face, tendu "
                 "devant effacé\n",
    };
    checkdesk *d = *state;
    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
        checkdesk_run(d, texts[i]);
        if (marq_finding_count_of(marq_report_findings(d->report),
                                  MARQ_PROBLEM) != 0) {
            print_error("%s", texts[i]);
        }
        assert_int_equal(
            marq_finding_count_of(marq_report_findings(d->report),
                                  MARQ_PROBLEM),
            0);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_code),
        cmocka_unit_test(twins_have_no_problem),
        cmocka_unit_test(a_break_is_explained),
        cmocka_unit_test(one_break_one_problem),
        cmocka_unit_test(facings_that_are_no_problem),
    };
    return cmocka_run_group_tests(tests, checkdesk_open, checkdesk_close);
}
