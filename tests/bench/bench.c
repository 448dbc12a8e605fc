/* bench.c - what the program costs beside an empty program linked to the same
 * libraries.  Prints ratios; exits 1 past a limit.
 *
 *   MARQUER     the program        (default build/marquer)
 *   MARQ_BENCH  where `empty` is   (set by make bench) */
#define _POSIX_C_SOURCE 200809L
#define _DEFAULT_SOURCE
#include <fcntl.h>
#include <spawn.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#include "marquer.h"

extern char **environ;

#define RUNS 400

static double now_us(void)
{
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec * 1e6 + (double)t.tv_nsec / 1e3;
}

static int by_size(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

static double median(double *at, size_t count)
{
    qsort(at, count, sizeof *at, by_size);
    return at[count / 2];
}

/* Wall time of one run in microseconds; *kib its largest resident memory. */
static double run_once(char *const argv[], long *kib)
{
    posix_spawn_file_actions_t quiet;
    posix_spawn_file_actions_init(&quiet);
    posix_spawn_file_actions_addopen(&quiet, 1, "/dev/null", O_WRONLY, 0);
    double from = now_us();
    pid_t child;
    int status = 0;
    struct rusage use;
    if (posix_spawn(&child, argv[0], &quiet, NULL, argv, environ) != 0) {
        fprintf(stderr, "bench: cannot run %s\n", argv[0]);
        exit(2);
    }
    wait4(child, &status, 0, &use);
    double took = now_us() - from;
    posix_spawn_file_actions_destroy(&quiet);
    if (!WIFEXITED(status) || WEXITSTATUS(status) != 0) {
        fprintf(stderr, "bench: %s failed\n", argv[0]);
        exit(2);
    }
    *kib = use.ru_maxrss;
    return took;
}

static const char thirty_two[] =
    "start fifth, right front\n"
    "1-2 glissade derriere, assemble dessus\n"
    "3-4 glissade derriere, assemble dessus\n"
    "5-6 jete dessus, temps leve\n"
    "7-8 assemble, changement\n"
    "1-2 sissonne fermee en avant, changement\n"
    "3-4 sissonne fermee en arriere, changement\n"
    "5-6 glissade derriere, pas de chat\n"
    "7-8 pas de bourree dessous, entrechat quatre\n"
    "1-2 echappe saute, changement\n"
    "3-4 glissade derriere, jete dessus\n"
    "5-6 pas de bourree dessous, soubresaut\n"
    "7-8 glissade derriere, assemble dessus\n"
    "1-2 royale, entrechat quatre\n"
    "3-4 glissade derriere, pas de chat\n"
    "5-6 assemble dessus, changement\n"
    "7-8 changement, changement\n";

/* Median time to follow one combination of 32 steps, in microseconds. */
static double follow_us(void)
{
    marq_vocab *vocab = NULL;
    marq_combo *combo = NULL;
    double took[2001];
    if (marq_vocab_builtin(&vocab, NULL) != MARQ_OK ||
        marq_combo_read(&combo, vocab, thirty_two, strlen(thirty_two),
                        NULL) != MARQ_OK) {
        fprintf(stderr, "bench: the text cannot be read\n");
        exit(2);
    }
    for (size_t i = 0; i < sizeof took / sizeof took[0]; i++) {
        marq_report *report = NULL;
        double from = now_us();
        if (marq_check(&report, combo, NULL) != MARQ_OK) {
            exit(2);
        }
        took[i] = now_us() - from;
        if (i == 0 && (marq_report_moment_count(report) != 33 ||
                       marq_finding_count_of(marq_report_findings(report),
                                             MARQ_PROBLEM) != 0)) {
            fprintf(stderr, "bench: the 32 steps are not danced as meant\n");
            exit(2);
        }
        marq_report_free(report);
    }
    marq_combo_free(combo);
    marq_vocab_free(vocab);
    return median(took, sizeof took / sizeof took[0]);
}

static int line(const char *what, double ratio, double limit)
{
    int over = ratio > limit;
    printf("  %-52s %6.2f  (limit %.2f)%s\n", what, ratio, limit,
           over ? "  OVER" : "");
    return over;
}

int main(void)
{
    const char *program = getenv("MARQUER");
    const char *where = getenv("MARQ_BENCH");
    char empty[4096];
    static double empty_took[RUNS], program_took[RUNS];
    long kib, empty_kib = 0, program_kib = 0;
    snprintf(empty, sizeof empty, "%s/empty",
             where != NULL ? where : "build/plain/tests/bench");
    char *empty_argv[] = {empty, NULL};
    char *program_argv[] = {(char *)(program ? program : "build/marquer"),
                            (char *)"check",
                            (char *)"shared/samples/light-two.combo", NULL};
    /* in turn, so that both meet the same machine */
    for (size_t i = 0; i < RUNS; i++) {
        empty_took[i] = run_once(empty_argv, &kib);
        empty_kib = kib > empty_kib ? kib : empty_kib;
        program_took[i] = run_once(program_argv, &kib);
        program_kib = kib > program_kib ? kib : program_kib;
    }
    double base = median(empty_took, RUNS);
    double whole = median(program_took, RUNS);
    double follow = follow_us();
    int over = 0;
    printf("beside an empty program linked to the same libraries "
           "(%.0f us, %ld KiB):\n",
           base, empty_kib);
    over |= line("check of one sample, whole process, time", whole / base,
                 2.0);
    over |= line("check of one sample, whole process, memory",
                 (double)program_kib / (double)empty_kib, 2.0);
    over |= line("32 steps followed in the library, time", follow / base,
                 0.1);
    printf("  (whole process %.0f us, %ld KiB; 32 steps %.1f us)\n", whole,
           program_kib, follow);
    return over;
}
