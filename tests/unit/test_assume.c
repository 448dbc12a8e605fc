/* test_assume.c - what was assumed is listed, what was written is not. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "checkdesk.h"

#define START "start fifth, right front\n\n"
#define CROISE "start fifth, right front, facing front left corner\n\n"

static int assumptions(const checkdesk *d)
{
    return (int)(checkdesk_count(d, "S007") + checkdesk_count(d, "S008") +
                 checkdesk_count(d, "S009"));
}

/* text; how many notes; the code and what one of them says */
static const struct {
    const char *text;
    int notes;
    const char *code, *says;
} rows[] = {
    /* all is written */
    {START "glissade derrière, assemblé dessus\n", 0, NULL, NULL},
    {START "changement, soubresaut\n", 0, NULL, NULL},
    /* a form with a name; the customary ones of following.md 4 */
    {START "glissade\n", 0, NULL, NULL},
    {START "assemblé\n", 1, "S007", "assemblé dessus"},
    {START "jeté\n", 1, "S007", "dessus"},
    {START "échappé sauté\n", 1, "S007", "changé"},
    {START "pas de bourrée\n", 1, "S007", "dessous"},
    /* the same form once, however often */
    {START "assemblé, assemblé, assemblé\n", 1, "S007", "assemblé dessus"},
    {START "assemblé, échappé sauté, assemblé\n", 2, "S007", "changé"},
    /* a start */
    {"soubresaut\n", 1, "S009", "fifth, right front"},
    {"start fifth\n\nsoubresaut\n", 0, NULL, NULL},
    /* a link */
    {START "arabesque on the right, soubresaut\n", 1, "S008",
     "left leg closed behind"},
    {"start fifth, left front\n\narabesque on the left, soubresaut\n", 1,
     "S008", "right leg closed behind"},
    {START "arabesque on the right, close derrière, soubresaut\n", 0,
     NULL, NULL},
    /* a facing that goes from one croisé to the other */
    {CROISE "changement, soubresaut facing front right corner\n", 0, NULL,
     NULL},
    {CROISE "changement, soubresaut facing back right corner\n", 1, "S007",
     "from one croisé to the other"},
};

static void every_assumption(void **state)
{
    checkdesk *d = *state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        checkdesk_run(d, rows[i].text);
        if (assumptions(d) != rows[i].notes) {
            print_error("%s", rows[i].text);
        }
        assert_int_equal(assumptions(d), rows[i].notes);
        bool said = rows[i].code == NULL;
        const marq_finding *f;
        for (size_t k = 0;
             !said && (f = checkdesk_finding(d, rows[i].code, k)); k++) {
            assert_int_equal(f->severity, MARQ_NOTE);
            said = strstr(f->headline, rows[i].says) != NULL;
        }
        if (!said) {
            print_error("%s lacks \"%s\"\n", rows[i].text, rows[i].says);
        }
        assert_true(said);
    }
}

static void the_same_form_is_counted(void **state)
{
    checkdesk *d = *state;
    checkdesk_run(d, START "assemblé, assemblé, assemblé\n");
    const marq_finding *f = checkdesk_finding(d, "S007", 0);
    assert_int_equal(f->note_count, 1);
    assert_string_equal(f->notes[0], "the same 2 more times");
    checkdesk_run(d, START "assemblé, assemblé\n");
    assert_string_equal(checkdesk_finding(d, "S007", 0)->notes[0],
                        "the same 1 more time");
    checkdesk_run(d, START "assemblé\n");
    assert_int_equal(checkdesk_finding(d, "S007", 0)->note_count, 0);
}

/* The clean copy with what was assumed: each with its mark; read again it
 * assumes nothing more and ends alike. */
static void the_clean_copy_says_it(void **state)
{
    checkdesk *d = *state;
    checkdesk_run(d, "assemblé, échappé sauté\n");
    marq_text *text;
    marq_print_opts opts = {.struct_size = sizeof opts,
                            .with_assumed = true};
    assert_int_equal(marq_print(&text, d->combo, d->report, &opts), MARQ_OK);
    const char *bytes = marq_text_bytes(text, NULL);
    assert_non_null(strstr(bytes, "assemblé ~dessus"));
    assert_non_null(strstr(bytes, "~changé"));
    assert_non_null(strstr(bytes, "~fifth, right front"));
    char *copy = test_calloc(1, strlen(bytes) + 1);
    memcpy(copy, bytes, strlen(bytes));
    marq_text_free(text);
    const char *end = marq_arena_copy(&d->arena, d->report->end_words,
                                      strlen(d->report->end_words));
    /* without the request they are left out */
    assert_int_equal(marq_print(&text, d->combo, d->report, NULL), MARQ_OK);
    assert_null(strstr(marq_text_bytes(text, NULL), "~"));
    marq_text_free(text);
    char kept[64] = "";
    memcpy(kept, end, strlen(end) < 63 ? strlen(end) : 63);
    checkdesk_run(d, copy);
    assert_string_equal(d->report->end_words, kept);
    test_free(copy);
}

/* Rows of the walk-through say where something was assumed. */
static void moments_with_an_assumption(void **state)
{
    checkdesk *d = *state;
    checkdesk_run(d, START "changement, assemblé, arabesque on the right, "
                           "soubresaut\n");
    static const bool assumed[] = {false, false, true, false, true};
    assert_int_equal(marq_report_moment_count(d->report), 5);
    for (size_t i = 0; i < 5; i++) {
        assert_int_equal(marq_report_moment(d->report, i).assumed,
                         assumed[i]);
    }
    assert_string_equal(marq_report_moment(d->report, 2).step,
                        "assemblé dessus");
    checkdesk_run(d, "changement\n");
    assert_true(marq_report_moment(d->report, 0).assumed);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_assumption),
        cmocka_unit_test(the_same_form_is_counted),
        cmocka_unit_test(the_clean_copy_says_it),
        cmocka_unit_test(moments_with_an_assumption),
    };
    return cmocka_run_group_tests(tests, checkdesk_open, checkdesk_close);
}
