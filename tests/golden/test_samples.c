/* test_samples.c - every combination of shared/samples against the verdict
 * worked out by hand beside it.  Format: shared/README.md. */
#ifndef _POSIX_C_SOURCE
#define _POSIX_C_SOURCE 200809L /* opendir */
#endif

#include "golden.h"

#include <dirent.h>

#define SAMPLES "shared/samples"
#define SAMPLES_MOST 256
#define PATH_ROOM 512

typedef struct sample {
    const char *name;
    const marq_combo *combo;
    const marq_report *report;
    size_t problems_wanted;
    size_t last_moment; /* largest row named */
    bool moments_named;
    bool ready_unknown;
    size_t lines;
    size_t failures;
} sample;

static void fail_line(sample *s, const char *what, const char *wanted,
                      const char *got) {
    fprintf(stderr, "%s: %s: wanted %s, got %s\n", s->name, what, wanted, got);
    s->failures++;
}

static const char *ready_word(marq_ready ready) {
    switch (ready) {
    case MARQ_READY_YES:
        return "yes";
    case MARQ_READY_TURN:
        return "turn";
    case MARQ_READY_NO:
        return "no";
    case MARQ_READY_OPEN:
        return "open";
    case MARQ_READY_UNKNOWN:
        return "unknown";
    }
    return "no answer at all";
}

/* The answer on the body alone: one "no" decides, then what is not known,
 * then what is open. */
static marq_ready join_ready(marq_readiness r) {
    const marq_ready part[3] = {r.position, r.front_foot, r.free_leg};
    const marq_ready order[3] = {MARQ_READY_NO, MARQ_READY_UNKNOWN,
                                 MARQ_READY_OPEN};
    size_t i, k;

    for (i = 0; i < 3; i++) {
        for (k = 0; k < 3; k++) {
            if (part[k] == order[i]) {
                return order[i];
            }
        }
    }
    return MARQ_READY_YES;
}

/* Is there a problem of this code on this line with this word underlined? */
static bool find_problem(const sample *s, const char *code, size_t line,
                         const char *words) {
    const marq_findings *all = marq_report_findings(s->report);
    size_t i;

    for (i = 0; i < marq_finding_count(all); i++) {
        const marq_finding *f = marq_finding_at(all, i);
        char text[256];
        if (f->severity != MARQ_PROBLEM || !f->has_span
            || strcmp(f->code, code) != 0) {
            continue;
        }
        golden_span(s->combo, f->span, text, sizeof text);
        if (marq_combo_place(s->combo, f->span.from).line == line
            && golden_holds(text, words)) {
            return true;
        }
    }
    return false;
}

static void check_feet(sample *s, const char *row, const char *words) {
    size_t n = golden_number(row);
    marq_moment moment;
    char what[64];

    snprintf(what, sizeof what, "feet %s", row);
    s->moments_named = true;
    if (n > s->last_moment) {
        s->last_moment = n;
    }
    if (n >= marq_report_moment_count(s->report)) {
        fail_line(s, what, words, "no such step");
        return;
    }
    moment = marq_report_moment(s->report, n);
    if (!golden_stands(moment, words)) {
        char got[256];
        snprintf(got, sizeof got, "%s: %s (weight %s)%s", moment.step,
                 moment.feet, moment.weight, moment.known ? "" : ", unknown");
        fail_line(s, what, words, got);
    }
}

static void check_ready(sample *s, const char *key, const char *wanted) {
    marq_readiness ready = marq_report_readiness(s->report);
    bool facing = strcmp(key, "facing") == 0;
    const char *got = ready_word(facing ? ready.facing : join_ready(ready));

    if (strcmp(got, wanted) != 0) {
        fail_line(s, key, wanted, got);
    }
    if (!facing && strcmp(wanted, "no") == 0
        && ready.whole != MARQ_READY_NO) {
        fail_line(s, "ready as a whole", "no", ready_word(ready.whole));
    }
    if (!facing) {
        s->ready_unknown = strcmp(wanted, "unknown") == 0;
    }
}

static void check_number(sample *s, const char *key, const char *wanted) {
    char got[64] = "-";

    if (strcmp(key, "changes") == 0) {
        marq_readiness ready = marq_report_readiness(s->report);
        if (ready.changes_known) {
            snprintf(got, sizeof got, "%zu", ready.foot_changes);
        }
    } else {
        marq_sum sum = marq_report_sum(s->report);
        if (sum.written && sum.total.den == 1) {
            snprintf(got, sizeof got, "%lld", (long long)sum.total.num);
        } else if (sum.written) {
            snprintf(got, sizeof got, "%lld/%lld", (long long)sum.total.num,
                     (long long)sum.total.den);
        }
    }
    if (strcmp(got, wanted) != 0) {
        fail_line(s, key, wanted, got);
    }
}

static void check_line(sample *s, char *line) {
    char *column[GOLDEN_COLUMNS] = {NULL};
    size_t n = golden_cut(line, column);
    const char *key = column[0];

    if (*key == '\0' || *key == '#' || strcmp(key, "why") == 0) {
        return;
    }
    s->lines++;
    if (n == 2 && strcmp(key, "verdict") == 0) {
        const marq_findings *all = marq_report_findings(s->report);
        bool bad = marq_finding_count_of(all, MARQ_PROBLEM) > 0;
        if (bad != (strcmp(column[1], "problem") == 0)) {
            fail_line(s, key, column[1], bad ? "problem" : "clean");
            golden_tell(s->report);
        }
    } else if (n == 4 && strcmp(key, "problem") == 0) {
        s->problems_wanted++;
        if (!find_problem(s, column[1], golden_number(column[2]),
                          column[3])) {
            fail_line(s, column[1], column[3], "no such problem there");
            golden_tell(s->report);
        }
    } else if (n == 3 && strcmp(key, "feet") == 0) {
        check_feet(s, column[1], column[2]);
    } else if (n == 2
               && (strcmp(key, "ready") == 0 || strcmp(key, "facing") == 0)) {
        check_ready(s, key, column[1]);
    } else if (n == 2
               && (strcmp(key, "changes") == 0 || strcmp(key, "total") == 0)) {
        check_number(s, key, column[1]);
    } else {
        fail_line(s, key, "a line of the format", "something else");
    }
}

/* What holds of every sample, once its lines are read. */
static void check_whole(sample *s) {
    const marq_findings *all = marq_report_findings(s->report);
    size_t problems = marq_finding_count_of(all, MARQ_PROBLEM);
    char wanted[32], got[32];

    if (problems != s->problems_wanted) {
        snprintf(wanted, sizeof wanted, "%zu", s->problems_wanted);
        snprintf(got, sizeof got, "%zu", problems);
        fail_line(s, "number of problems", wanted, got);
        golden_tell(s->report);
    }
    if (problems == 0 && !s->ready_unknown && s->moments_named
        && marq_report_moment_count(s->report) < s->last_moment + 1) {
        fail_line(s, "steps", "a row for each", "fewer");
    }
}

static void run_sample(const marq_vocab *vocab, const char *stem,
                       size_t *lines, size_t *failures) {
    char path[PATH_ROOM];
    sample s = {0};
    marq_combo *combo = NULL;
    marq_report *report = NULL;
    size_t length = 0, wanted_length = 0;
    char *text, *wanted, *at, *line;

    s.name = stem;
    snprintf(path, sizeof path, "%s/%s.combo", SAMPLES, stem);
    text = golden_read(path, &length);
    snprintf(path, sizeof path, "%s/%s.expect", SAMPLES, stem);
    wanted = golden_read(path, &wanted_length);
    if (!text || !wanted
        || !golden_check(vocab, stem, text, length, &combo, &report)) {
        ++*failures;
        free(text);
        free(wanted);
        return;
    }
    s.combo = combo;
    s.report = report;
    at = wanted;
    while ((line = golden_line(&at)) != NULL) {
        check_line(&s, line);
    }
    if (s.lines == 0) {
        fail_line(&s, "expectations", "some", "none");
    }
    check_whole(&s);
    *lines += s.lines;
    *failures += s.failures;
    marq_report_free(report);
    marq_combo_free(combo);
    free(text);
    free(wanted);
}

static int compare_names(const void *a, const void *b) {
    return strcmp(a, b);
}

static void test_samples(void **state) {
    static char names[SAMPLES_MOST][128];
    size_t count = 0, lines = 0, failures = 0, i;
    marq_vocab *vocab = NULL;
    struct dirent *entry;
    DIR *directory = opendir(SAMPLES);

    (void)state;
    assert_non_null(directory);
    while ((entry = readdir(directory)) != NULL) {
        const char *dot = strrchr(entry->d_name, '.');
        size_t stem = dot ? (size_t)(dot - entry->d_name) : 0;
        if (!dot || strcmp(dot, ".combo") != 0) {
            continue;
        }
        assert_true(count < SAMPLES_MOST && stem < sizeof names[0]);
        memcpy(names[count], entry->d_name, stem);
        names[count++][stem] = '\0';
    }
    closedir(directory);
    qsort(names, count, sizeof names[0], compare_names);

    assert_int_equal(marq_vocab_builtin(&vocab, NULL), MARQ_OK);
    for (i = 0; i < count; i++) {
        run_sample(vocab, names[i], &lines, &failures);
    }
    marq_vocab_free(vocab);
    printf("samples: %zu combinations, %zu lines run, %zu failed\n", count,
           lines, failures);
    assert_true(count >= 18);
    assert_int_equal(failures, 0);
}

int main(void) {
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_samples)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
