/* test_check.c - the report: moments, cautions, counts, the end, limits. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>

#include <cmocka.h>

#include "checkdesk.h"
#include "testmem.h"

#define START "start fifth, right front\n\n"

/* ---- moments, worked out by hand ---- */

static const struct {
    const char *count, *step, *weight, *feet, *facing;
} rows[] = {
    {"", "start", "both", "fifth, right front", "front left corner (croisé)"},
    /* the back foot glides sideways and the other closes behind: as it was */
    {"1", "glissade derrière", "both", "fifth, right front",
     "front left corner (croisé)"},
    /* the left from behind, over the right */
    {"2", "assemblé dessus", "both", "fifth, left front",
     "front left corner (effacé)"},
    {"3", "changement", "both", "fifth, right front",
     "front left corner (croisé)"},
    {"4", "changement", "both", "fifth, left front",
     "front right corner (croisé)"},
};

static const char phrase[] =
    "start fifth, right front, croisé\n\n"
    "1 glissade derrière\n"
    "2 assemblé dessus facing front left corner\n"
    "3 changement facing front left corner\n"
    "4 changement facing front right corner\n";

static void moments_row_by_row(void **state)
{
    checkdesk *d = *state;
    checkdesk_run(d, phrase);
    size_t count = sizeof rows / sizeof rows[0];
    assert_int_equal(marq_report_moment_count(d->report), count);
    for (size_t i = 0; i < count; i++) {
        marq_moment m = marq_report_moment(d->report, i);
        assert_true(m.known);
        assert_string_equal(m.count, rows[i].count);
        assert_string_equal(m.step, rows[i].step);
        assert_string_equal(m.weight, rows[i].weight);
        assert_string_equal(m.feet, rows[i].feet);
        assert_string_equal(m.facing, rows[i].facing);
    }
    assert_string_equal(
        checkdesk_words(d, marq_report_moment(d->report, 2).span),
        "assemblé");
}

static void a_row_a_repeat(void **state)
{
    checkdesk *d = *state;
    static const char *const feet[] = {
        "fifth, right front", "fifth, left front", "fifth, right front",
        "fifth, left front"};
    checkdesk_run(d, START "1-3 changement ×3\n4 jeté dessus\n");
    assert_int_equal(marq_report_moment_count(d->report), 5);
    for (size_t i = 0; i < 4; i++) {
        char count[4] = "";
        marq_moment m = marq_report_moment(d->report, i);
        if (i > 0) {
            snprintf(count, sizeof count, "%zu", i);
        }
        assert_string_equal(m.count, count);
        assert_string_equal(m.feet, feet[i]);
        assert_string_equal(m.facing, "");
    }
    /* from fifth, left front: the right from behind, and on to it */
    marq_moment last = marq_report_moment(d->report, 4);
    assert_string_equal(last.weight, "right");
    assert_string_equal(last.feet, "on the right, left ankle behind");
    assert_string_equal(last.level, "bent");
}

static void rows_after_a_break_are_unknown(void **state)
{
    checkdesk *d = *state;
    checkdesk_run(d, START "sous-sus, temps levé on the left, changement ×2, "
                           "now fifth, left front, changement\n");
    assert_int_equal(marq_report_moment_count(d->report), 6);
    static const bool known[] = {true, true, false, false, false, true};
    for (size_t i = 0; i < 6; i++) {
        marq_moment m = marq_report_moment(d->report, i);
        assert_int_equal(m.known, known[i]);
        if (!known[i]) {
            assert_string_equal(m.feet, "");
            assert_string_equal(m.weight, "");
            assert_string_equal(m.facing, "");
            assert_true(m.step[0] != '\0');
        }
    }
    assert_string_equal(marq_report_moment(d->report, 1).level, "tips");
    assert_string_equal(marq_report_moment(d->report, 5).feet,
                        "fifth, right front");
    /* past the end there is nothing */
    assert_false(marq_report_moment(d->report, 6).known);
    assert_string_equal(marq_report_moment(d->report, 6).step, "");
}

/* ---- the end ---- */

static void the_end_in_words(void **state)
{
    checkdesk *d = *state;
    checkdesk_run(d, START "changement\n");
    assert_true(d->report->end_known);
    assert_string_equal(d->report->end_words, "fifth, left front");
    assert_non_null(strstr(d->report->ready_words, "left: yes"));
    checkdesk_run(d, "start fifth, left front\n\nsoubresaut\n");
    assert_string_equal(d->report->end_words, "fifth, left front");
    assert_non_null(strstr(d->report->ready_words, "right: no"));
    checkdesk_run(d, START "changement, temps levé on the left\n");
    assert_false(d->report->end_known);
    assert_string_equal(d->report->end_words, "");
}

/* A finding of a step says when, if counts are written. */
static void a_break_has_its_count(void **state)
{
    checkdesk *d = *state;
    checkdesk_run(d, START "1-2 changement, changement\n"
                           "3 temps levé on the left\n");
    const marq_finding *f = checkdesk_finding(d, "S001", 0);
    assert_non_null(f);
    assert_true(f->has_count);
    assert_int_equal(f->count.num, 3);
    assert_int_equal(f->count.den, 1);
    checkdesk_run(d, START "changement, temps levé on the left\n");
    assert_false(checkdesk_finding(d, "S001", 0)->has_count);
}

static void findings_in_order_of_the_text(void **state)
{
    checkdesk *d = *state;
    checkdesk_run(d, "1-2 assemblé, flurbation\n5 changement\n"
                     "6 temps levé on the left\n");
    const marq_findings *all = marq_report_findings(d->report);
    assert_true(marq_finding_count(all) >= 3);
    for (size_t i = 1; i < marq_finding_count(all); i++) {
        assert_true(marq_finding_at(all, i - 1)->span.from <=
                    marq_finding_at(all, i)->span.from);
    }
    assert_int_equal(checkdesk_count(d, "R002"), 1);
    assert_int_equal(checkdesk_count(d, "C001"), 1);
}

/* ---- cautions: apart from findings, no verdict ---- */

static const struct {
    const char *text;
    size_t cautions;
    const char *says;
} cautioned[] = {
    {START "changement, soubresaut\n", 0, ""},
    {START "échappé relevé\n", 1, "tips"},
    {START "glissade derrière, grand jeté\n", 1, "big jumps"},
    {START "tour en l'air\n", 1, "in the air"},
    {START "glissade derrière, saut de basque\n", 2, "in the air"},
    {START "échappé relevé, échappé relevé\n", 1, "tips"},
};

static void cautions_of_texts(void **state)
{
    checkdesk *d = *state;
    for (size_t i = 0; i < sizeof cautioned / sizeof cautioned[0]; i++) {
        checkdesk_run(d, cautioned[i].text);
        const marq_array *all = &d->report->cautions;
        bool said = cautioned[i].cautions == 0;
        if (all->count != cautioned[i].cautions) {
            print_error("%s", cautioned[i].text);
        }
        assert_int_equal(all->count, cautioned[i].cautions);
        for (size_t k = 0; k < all->count; k++) {
            const char *text = MARQ_AT(all, marq_caution, k)->text;
            said |= strstr(text, cautioned[i].says) != NULL;
            assert_null(strstr(text, "safe"));
            assert_non_null(strstr(text, "teacher"));
        }
        assert_true(said);
    }
}

/* ---- limits: at the limit and one past it ---- */

static marq_status check_within(const marq_config *config, const char *text,
                                marq_report **report, checkdesk **desk)
{
    *desk = checkdesk_new(config);
    assert_int_equal(marq_combo_read(&(*desk)->combo, (*desk)->vocab, text,
                                     strlen(text), NULL),
                     MARQ_OK);
    *report = NULL;
    marq_status status = marq_check(report, (*desk)->combo, NULL);
    (*desk)->report = *report;
    return status;
}

static void close_desk(checkdesk *desk)
{
    void *state = desk;
    checkdesk_close(&state);
}

static void moves_are_limited(void **state)
{
    static const struct {
        const char *text;
        bool within; /* ten moves */
    } texts[] = {
        {START "changement ×10\n", true},
        {START "changement ×11\n", false},
        {START "changement ×4, soubresaut ×6\n", true},
        {START "changement ×4, soubresaut ×6, changement\n", false},
    };
    marq_config config;
    (void)state;
    marq_config_init(&config);
    config.limits.moves = 10;
    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
        checkdesk *d;
        marq_report *report;
        marq_status status =
            check_within(&config, texts[i].text, &report, &d);
        assert_int_equal(status, texts[i].within ? MARQ_OK : MARQ_LIMIT);
        assert_int_equal(report != NULL, texts[i].within);
        if (texts[i].within) {
            assert_int_equal(marq_report_moment_count(report), 11);
        }
        close_desk(d);
    }
}

static void findings_are_limited(void **state)
{
    checkdesk *d = *state;
    static const char text[] = "assemblé, échappé sauté, temps levé on the "
                               "left, changement, changement\n";
    checkdesk_run(d, text);
    size_t all = marq_finding_count(marq_report_findings(d->report));
    assert_true(all > 3);
    for (size_t limit = 1; limit <= all + 1; limit++) {
        marq_config config;
        checkdesk *small;
        marq_report *report;
        marq_config_init(&config);
        config.limits.findings = limit;
        assert_int_equal(check_within(&config, text, &report, &small),
                         MARQ_OK);
        assert_int_equal(marq_finding_count(marq_report_findings(report)),
                         limit < all ? limit : all);
        close_desk(small);
    }
}

static void repeats_are_limited(void **state)
{
    marq_config config;
    (void)state;
    marq_config_init(&config);
    config.limits.times = 7;
    for (unsigned times = 7; times <= 8; times++) {
        char text[80];
        checkdesk *d;
        marq_report *report;
        snprintf(text, sizeof text, START "changement ×%u\n", times);
        assert_int_equal(check_within(&config, text, &report, &d), MARQ_OK);
        assert_int_equal(checkdesk_count(d, "R012"), times > 7);
        close_desk(d);
    }
}

/* ---- texts without anything to follow ---- */

static void empty_texts(void **state)
{
    static const char *const texts[] = {"", "\n\n", "title  Nothing\n",
                                        START, "(soft arms)\n", "...\n"};
    checkdesk *d = *state;
    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
        checkdesk_run(d, texts[i]);
        marq_readiness r = marq_report_readiness(d->report);
        assert_int_equal(r.whole, MARQ_READY_UNKNOWN);
        assert_int_equal(marq_report_moment_count(d->report), 1);
        assert_false(d->report->end_known);
        assert_int_equal(
            marq_finding_count_of(marq_report_findings(d->report),
                                  MARQ_PROBLEM),
            0);
    }
}

/* ---- memory ---- */

static marq_status check_with(testmem *mem, void *ctx)
{
    marq_config config = testmem_config(mem);
    marq_vocab *vocab = NULL;
    marq_combo *combo = NULL;
    marq_report *report = NULL;
    const char *text = ctx;
    marq_status status = marq_vocab_builtin(&vocab, &config);
    if (status == MARQ_OK) {
        status = marq_combo_read(&combo, vocab, text, strlen(text), NULL);
    }
    if (status == MARQ_OK) {
        status = marq_check(&report, combo, NULL);
    }
    marq_report_free(report);
    marq_combo_free(combo);
    marq_vocab_free(vocab);
    return status;
}

static void no_memory_is_said(void **state)
{
    static const char text[] = "assemblé ×2, arabesque croisé, changement";
    (void)state;
    assert_true(testmem_each_failure(check_with, (void *)(uintptr_t)text) >
                10);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(moments_row_by_row),
        cmocka_unit_test(a_row_a_repeat),
        cmocka_unit_test(rows_after_a_break_are_unknown),
        cmocka_unit_test(the_end_in_words),
        cmocka_unit_test(a_break_has_its_count),
        cmocka_unit_test(findings_in_order_of_the_text),
        cmocka_unit_test(cautions_of_texts),
        cmocka_unit_test(moves_are_limited),
        cmocka_unit_test(findings_are_limited),
        cmocka_unit_test(repeats_are_limited),
        cmocka_unit_test(empty_texts),
        cmocka_unit_test(no_memory_is_said),
    };
    return cmocka_run_group_tests(tests, checkdesk_open, checkdesk_close);
}
