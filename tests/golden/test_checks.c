/* test_checks.c - the lines of shared/checks/steps.tsv, one assertion each.
 * Format: shared/README.md. */
#include "golden.h"

#define TABLE "shared/checks/steps.tsv"

/* Eighths to the right of the audience, from the words of a moment; -1 when
 * they say none.  What stands in brackets is an alignment. */
static int read_facing(const char *words) {
    static const struct {
        const char *words;
        int eighths;
    } known[] = {{"back right", 3},  {"back left", 5},  {"front right", 1},
                 {"front left", 7},  {"right wall", 2}, {"left wall", 6},
                 {"back", 4},        {"audience", 0}};
    char head[64];
    size_t n = strcspn(words, "("), i;

    if (n >= sizeof head) {
        n = sizeof head - 1;
    }
    memcpy(head, words, n);
    head[n] = '\0';
    for (i = 0; i < sizeof known / sizeof known[0]; i++) {
        if (strstr(head, known[i].words)) {
            return known[i].eighths;
        }
    }
    return -1;
}

static bool has_note(const marq_report *report, const char *code) {
    const marq_findings *all = marq_report_findings(report);
    size_t i;

    for (i = 0; i < marq_finding_count(all); i++) {
        const marq_finding *f = marq_finding_at(all, i);
        if (f->severity == MARQ_NOTE && strcmp(f->code, code) == 0) {
            return true;
        }
    }
    return false;
}

/* A problem of feet or facing, not one of reading or counts. */
static bool has_body_problem(const marq_report *report) {
    const marq_findings *all = marq_report_findings(report);
    size_t i;

    for (i = 0; i < marq_finding_count(all); i++) {
        const marq_finding *f = marq_finding_at(all, i);
        if (f->severity == MARQ_PROBLEM
            && (f->code[0] == 'S' || f->code[0] == 'F')) {
            return true;
        }
    }
    return false;
}

/* "turn 4 left": the facing moved so from the first moment to the last. */
static bool has_turned(marq_moment first, marq_moment last,
                       const char *wanted) {
    int eighths = (int)golden_number(wanted);
    int from = read_facing(first.facing);
    int to = read_facing(last.facing);

    if (strstr(wanted, "left")) {
        eighths = -eighths;
    }
    return eighths != 0 && from >= 0 && to >= 0
           && (to - from - eighths + 800) % 8 == 0;
}

static bool holds(const marq_report *report, const char *expect) {
    const marq_findings *all = marq_report_findings(report);
    size_t problems = marq_finding_count_of(all, MARQ_PROBLEM);
    size_t rows = marq_report_moment_count(report);
    marq_moment first, last;
    golden_body body;

    if (strcmp(expect, "problem") == 0) {
        return has_body_problem(report);
    }
    if (strcmp(expect, "no problem") == 0) {
        return problems == 0 && rows >= 2
               && marq_report_moment(report, rows - 1).known;
    }
    if (strcmp(expect, "question") == 0) {
        return marq_finding_count_of(all, MARQ_QUESTION) > 0;
    }
    if (golden_starts(expect, "note ")) {
        return has_note(report, expect + strlen("note "));
    }
    if (golden_starts(expect, "changes ")) {
        marq_readiness ready = marq_report_readiness(report);
        return ready.changes_known
               && ready.foot_changes
                      == golden_number(expect + strlen("changes "));
    }
    if (rows < 2) { /* a start alone is no step danced */
        return false;
    }
    first = marq_report_moment(report, 0);
    last = marq_report_moment(report, rows - 1);
    if (golden_starts(expect, "end ")) {
        return golden_stands(last, expect + strlen("end "));
    }
    if (golden_starts(expect, "front ")) {
        return last.known && golden_parse(last.feet, last.weight, &body)
               && golden_front(&body)
                      == golden_side(expect + strlen("front "));
    }
    if (golden_starts(expect, "support ")) {
        return last.known
               && strcmp(last.weight, expect + strlen("support ")) == 0;
    }
    if (golden_starts(expect, "level ")) {
        return last.known
               && strcmp(last.level, expect + strlen("level ")) == 0;
    }
    if (golden_starts(expect, "turn ")) {
        return last.known
               && has_turned(first, last, expect + strlen("turn "));
    }
    fprintf(stderr, "not an expectation of the format: %s\n", expect);
    return false;
}

static bool run_line(const marq_vocab *vocab, char *const *column) {
    char text[1024];
    marq_combo *combo = NULL;
    marq_report *report = NULL;
    bool good;
    int n;

    if (strcmp(column[1], "-") == 0) {
        n = snprintf(text, sizeof text, "%s\n", column[2]);
    } else {
        n = snprintf(text, sizeof text, "start %s\n%s\n", column[1],
                     column[2]);
    }
    if (n < 0 || (size_t)n >= sizeof text) {
        fprintf(stderr, "%s: the text is too long for this test\n", column[0]);
        return false;
    }
    if (!golden_check(vocab, column[0], text, (size_t)n, &combo, &report)) {
        return false;
    }
    good = holds(report, column[3]);
    if (!good) {
        size_t rows = marq_report_moment_count(report);
        marq_moment last = {0};
        if (rows > 0) {
            last = marq_report_moment(report, rows - 1);
        }
        fprintf(stderr, "%s: [%s] %s: wanted %s, ends %s (weight %s, facing "
                        "%s)\n",
                column[0], column[1], column[2], column[3],
                last.known ? last.feet : "unknown",
                last.known ? last.weight : "-",
                last.known ? last.facing : "-");
        golden_tell(report);
    }
    marq_report_free(report);
    marq_combo_free(combo);
    return good;
}

static void test_steps(void **state) {
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
        if (golden_cut(line, column) != 6) {
            fprintf(stderr, "%s: not six columns\n", column[0]);
            failures++;
        } else if (!run_line(vocab, column)) {
            failures++;
        }
    }
    marq_vocab_free(vocab);
    free(table);
    printf("%s: %zu lines run, %zu failed\n", TABLE, run, failures);
    assert_true(run > 200);
    assert_int_equal(failures, 0);
}

int main(void) {
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_steps)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
