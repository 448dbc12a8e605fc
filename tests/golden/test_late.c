/* test_late.c - the lines of shared/checks/late.tsv: something written late
 * decides the beginning.  Format: shared/README.md. */
#include "golden.h"

#define TABLE "shared/checks/late.tsv"

/* "\n" written as two characters becomes a new line, in place. */
static void open_lines(char *text) {
    char *to = text;

    while (*text) {
        if (text[0] == '\\' && text[1] == 'n') {
            *to++ = '\n';
            text += 2;
        } else {
            *to++ = *text++;
        }
    }
    *to = '\0';
}

static bool run_line(const marq_vocab *vocab, char *const *column) {
    marq_combo *combo = NULL;
    marq_report *report = NULL;
    const char *question = column[2];
    marq_moment moment = {0};
    size_t row = 0;
    bool good = false;

    open_lines(column[1]);
    if (!golden_check(vocab, column[0], column[1], strlen(column[1]), &combo,
                      &report)) {
        return false;
    }
    if (golden_starts(question, "after ") || golden_starts(question, "step ")) {
        row = golden_number(strchr(question, ' ') + 1);
    }
    if (row < marq_report_moment_count(report)) {
        moment = marq_report_moment(report, row);
        good = golden_starts(question, "step ")
                   ? moment.known && golden_holds(moment.step, column[3])
                   : golden_stands(moment, column[3]);
    }
    if (marq_finding_count_of(marq_report_findings(report), MARQ_PROBLEM)
        > 0) {
        good = false; /* all of these can be danced */
    }
    if (!good) {
        fprintf(stderr, "%s: %s: wanted %s, got %s, %s (weight %s)\n",
                column[0], question, column[3],
                moment.known ? moment.step : "unknown",
                moment.known ? moment.feet : "-",
                moment.known ? moment.weight : "-");
        golden_tell(report);
    }
    marq_report_free(report);
    marq_combo_free(combo);
    return good;
}

static void test_late_lines(void **state) {
    size_t length = 0, run = 0, failures = 0;
    char *table = golden_read(TABLE, &length);
    char *at = table, *line;
    marq_vocab *vocab = NULL;

    (void)state;
    assert_non_null(table);
    assert_int_equal(marq_vocab_builtin(&vocab, NULL), MARQ_OK);
    while ((line = golden_line(&at)) != NULL) {
        char *column[GOLDEN_COLUMNS] = {NULL};
        if (*line == '\0' || *line == '#') {
            continue;
        }
        run++;
        if (golden_cut(line, column) != 5) {
            fprintf(stderr, "%s: not five columns\n", column[0]);
            failures++;
        } else if (!run_line(vocab, column)) {
            failures++;
        }
    }
    marq_vocab_free(vocab);
    free(table);
    printf("%s: %zu lines run, %zu failed\n", TABLE, run, failures);
    assert_true(run >= 20);
    assert_int_equal(failures, 0);
}

int main(void) {
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_late_lines)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
