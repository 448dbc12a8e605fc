/* test_mend.c - corrections: each kind is offered, and each one offered, when
 * it is made, removes its finding. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "checkdesk.h"

#define START "start fifth, right front\n\n"
#define AUDIENCE "start fifth, right front, facing audience\n\n"

/* A text with one break, its code, and what one of the corrections puts where
 * (the words taken away, the words written); `says`, where it is not NULL, is
 * in that correction's label. */
static const struct {
    const char *text, *code;
    const char *away, *written, *says;
} rows[] = {
    /* other foot */
    {START "tendu devant left foot, soubresaut\n", "S005",
     "tendu devant left foot", "right foot", "write"},
    {START "jeté dessus, temps levé on the right\n", "S001",
     "temps levé on the right", "on the left", "write"},
    /* other qualifier, at the break or before it */
    {START "sissonne ouverte, changement\n", "S001", "sissonne ouverte",
     "fermée", "write"},
    {START "changement to attitude behind\n", "S002",
     "changement to attitude behind", "changement", "write"},
    {START "assemblé dessus closing back\n", "S002",
     "assemblé dessus closing back", "closing front", "write"},
    /* the name a start's facing has */
    {"start fifth, right front, facing front left corner, effacé\n\nplié\n",
     "F001", "front left corner, effacé", "croisé", "write"},
    /* a step put in */
    {START "jeté dessus, soubresaut\n", "S001", "", "close", "put in"},
    {START "changement, ballotté, soubresaut\n", "S001", "", "close",
     "put in"},
    /* a step left out */
    {START "changement, temps levé on the left, soubresaut\n", "S001", NULL,
     "", "leave out"},
    /* one word read otherwise */
    {START "pas de chat, grand jeté, entrechat quatre, temps levé\n", "S001",
     "grand jeté", "grand battement", "read as"},
    /* start */
    {"start first\n\nchangement\n", "S005", "first", "fifth, right front",
     "start in"},
    {START "tendu devant left foot, soubresaut\n", "S005",
     "fifth, right front", "fifth, left front", "start in"},
    /* finish and statement */
    {START "changement\nfinish fifth, right front\n", "S003",
     "fifth, right front", "fifth, left front", "write"},
    {START "changement, changement\nfinish second\n", "S003", "second",
     "fifth, right front", "write"},
    {START "changement, now fifth, right front, changement\n", "S004", NULL,
     "fifth, left front", "write"},
    /* facing and alignment */
    {AUDIENCE "sous-sus facing back wall\n", "F002",
     "sous-sus facing back wall", "sous-sus", "write"},
    {AUDIENCE "sous-sus effacé facing front left corner\n", "F001",
     "sous-sus effacé facing front left corner", "croisé", "write"},
};

static bool is_wanted(checkdesk *d, size_t row, const marq_fix *fix)
{
    return (rows[row].away == NULL ||
            strcmp(checkdesk_words(d, fix->span), rows[row].away) == 0) &&
           strstr(fix->text, rows[row].written) != NULL &&
           strstr(fix->label, rows[row].says) != NULL;
}

static void every_kind_is_offered(void **state)
{
    checkdesk *d = *state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        checkdesk_run(d, rows[i].text);
        const marq_finding *f = checkdesk_finding(d, rows[i].code, 0);
        if (f == NULL) {
            print_error("no %s:\n%s", rows[i].code, rows[i].text);
        }
        assert_non_null(f);
        bool found = false;
        for (size_t k = 0; k < f->fix_count; k++) {
            found |= is_wanted(d, i, &f->fixes[k]);
        }
        if (!found) {
            print_error("%s", rows[i].text);
            for (size_t k = 0; k < f->fix_count; k++) {
                print_error("  \"%s\" for \"%s\": %s\n", f->fixes[k].text,
                            checkdesk_words(d, f->fixes[k].span),
                            f->fixes[k].label);
            }
        }
        assert_true(found);
    }
}

/* The texts break once: made, a correction leaves no problem at all. */
static void each_removes_its_finding(void **state)
{
    checkdesk *d = *state;
    size_t tried = 0;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        for (size_t k = 0; k < MARQ_FIXES_MOST; k++) {
            checkdesk_run(d, rows[i].text);
            const marq_finding *f = checkdesk_finding(d, rows[i].code, 0);
            assert_non_null(f);
            if (k >= f->fix_count) {
                break;
            }
            char *mended = checkdesk_mended(d, &f->fixes[k]);
            checkdesk_run(d, mended);
            size_t left = marq_finding_count_of(
                marq_report_findings(d->report), MARQ_PROBLEM);
            if (left != 0) {
                print_error("still broken:\n%s\nas\n%s\n", rows[i].text,
                            mended);
            }
            assert_int_equal(left, 0);
            test_free(mended);
            tried++;
        }
    }
    assert_true(tried > 25);
}

/* At most three, cheapest first, no two alike; certain only if alone. */
static void three_different_ones(void **state)
{
    checkdesk *d = *state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        checkdesk_run(d, rows[i].text);
        const marq_finding *f = checkdesk_finding(d, rows[i].code, 0);
        assert_in_range(f->fix_count, 1, MARQ_FIXES_MOST);
        for (size_t k = 0; k < f->fix_count; k++) {
            assert_true(f->fixes[k].confidence != MARQ_CERTAIN || k == 0);
            assert_true(f->fixes[k].confidence != MARQ_LIKELY || k == 0);
            for (size_t j = 0; j < k; j++) {
                assert_true(f->fixes[j].span.from != f->fixes[k].span.from ||
                            f->fixes[j].span.to != f->fixes[k].span.to ||
                            strcmp(f->fixes[j].text, f->fixes[k].text));
            }
        }
    }
}

/* Price of an edit: other foot 1, put in 2, left out 3. */
static void cheapest_first(void **state)
{
    checkdesk *d = *state;
    static const char *const heads[] = {"write", "put in", "read as",
                                        "leave out"};
    static const int prices[] = {1, 2, 2, 3};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        checkdesk_run(d, rows[i].text);
        const marq_finding *f = checkdesk_finding(d, rows[i].code, 0);
        int before = 0;
        for (size_t k = 0; k < f->fix_count; k++) {
            for (size_t h = 0; h < 4; h++) {
                if (strncmp(f->fixes[k].label, heads[h], strlen(heads[h])) ==
                    0) {
                    assert_true(prices[h] >= before);
                    before = prices[h];
                }
            }
        }
    }
}

/* A correction carries to the next break, which stays a problem of its own. */
static void to_the_next_break(void **state)
{
    checkdesk *d = *state;
    checkdesk_run(d, START "changement, temps levé on the left, soubresaut, "
                           "temps levé on the left, soubresaut\n");
    const marq_finding *f = checkdesk_finding(d, "S001", 0);
    assert_non_null(f);
    assert_true(f->fix_count > 0);
    marq_span broke = f->span;
    char *mended = checkdesk_mended(d, &f->fixes[0]);
    checkdesk_run(d, mended);
    f = checkdesk_finding(d, "S001", 0);
    assert_non_null(f);
    assert_true(f->span.from > broke.from);
    test_free(mended);
}

static void not_looked_for_when_not_asked(void **state)
{
    checkdesk *d = *state;
    marq_report *report;
    marq_check_opts opts = {.struct_size = sizeof opts,
                            .no_corrections = true};
    checkdesk_run(d, rows[0].text);
    size_t count = marq_finding_count(marq_report_findings(d->report));
    assert_int_equal(marq_check(&report, d->combo, &opts), MARQ_OK);
    const marq_findings *all = marq_report_findings(report);
    assert_int_equal(marq_finding_count(all), count);
    for (size_t i = 0; i < count; i++) {
        const marq_finding *f = marq_finding_at(all, i);
        assert_true(f->severity != MARQ_PROBLEM || f->fix_count == 0);
    }
    marq_report_free(report);
}

/* How many corrections a text gets when so many may be tried. */
static size_t fixes_within(size_t limit)
{
    marq_config config;
    marq_config_init(&config);
    config.limits.corrections = limit;
    void *state = checkdesk_new(&config);
    checkdesk *d = state;
    checkdesk_run(d, "start fifth, right front\n\njeté dessus, soubresaut\n");
    const marq_finding *f = checkdesk_finding(d, "S001", 0);
    assert_non_null(f); /* the problem itself is always told */
    size_t count = f->fix_count;
    checkdesk_close(&state);
    return count;
}

/* More tries never give fewer corrections; one alone gives one at most; and
 * there is a number of tries at which the first appears and one below it at
 * which there is none. */
static void tries_are_limited(void **state)
{
    size_t low = 0, high = 20000;
    (void)state;
    assert_int_equal(fixes_within(0), 3); /* 0: the default */
    assert_in_range(fixes_within(1), 0, 1);
    assert_int_equal(fixes_within(high), 3);
    while (high - low > 1) {
        size_t middle = low + (high - low) / 2;
        if (fixes_within(middle) == 3) {
            high = middle;
        } else {
            low = middle;
        }
    }
    assert_true(high > 3);
    assert_true(fixes_within(high - 1) < 3);
    assert_int_equal(fixes_within(high), 3);
    assert_int_equal(fixes_within(high + 1), 3);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_kind_is_offered),
        cmocka_unit_test(each_removes_its_finding),
        cmocka_unit_test(three_different_ones),
        cmocka_unit_test(cheapest_first),
        cmocka_unit_test(to_the_next_break),
        cmocka_unit_test(not_looked_for_when_not_asked),
        cmocka_unit_test(tries_are_limited),
    };
    return cmocka_run_group_tests(tests, checkdesk_open, checkdesk_close);
}
