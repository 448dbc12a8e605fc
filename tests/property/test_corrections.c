/* One word of each good sample is changed, in a hundred ways; whenever
 * that makes a problem of the feet or the facing, a correction must be offered,
 * each correction must remove its finding, and in four cases of five one of
 * the three must give back what was danced before. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "marquer.h"

#define WAYS 100

/* Words that stand in one another's place: forms, feet, sides, positions. */
static const char *const groups[][16] = {
    {"dessus", "dessous", "devant", "derrière", "en avant", "en arrière",
     "à la seconde", "de côté", "fermée", "ouverte", "simple", "changé",
     "sans changer", NULL},
    {"over", "under", "front", "back", "side", "forward", "backward", NULL},
    {"right", "left", NULL},
    {"right foot", "left foot", "front foot", "back foot", "free foot", NULL},
    {"right front", "left front", NULL},
    {"first", "second", "third", "fourth", "fifth", NULL},
    {"croisé", "effacé", "écarté", "en face", NULL},
    {"closing front", "closing back", NULL},
    {"en dehors", "en dedans", NULL},
    {"single", "double", "half", NULL},
};
#define GROUPS (sizeof groups / sizeof groups[0])

static uint64_t state;
static uint32_t roll(void)
{
    state = state * 6364136223846793005u + 1442695040888963407u;
    return (uint32_t)(state >> 33);
}

static char *read_file(const char *path)
{
    FILE *f = fopen(path, "rb");
    if (f == NULL) {
        return NULL;
    }
    char *bytes = calloc(1, 1 << 16);
    assert_non_null(bytes);
    size_t n = fread(bytes, 1, (1 << 16) - 1, f);
    bytes[n] = '\0';
    fclose(f);
    return bytes;
}

static bool is_letter(char c)
{
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') ||
           (unsigned char)c >= 0x80;
}

/* Where the start or the steps begin: after the other headings. */
static const char *first_line(const char *text)
{
    static const char *const keys[] = {"title", "level", "music", "remark"};
    for (;;) {
        bool heading = *text == '\n';
        for (size_t i = 0; i < sizeof keys / sizeof keys[0]; i++) {
            heading |= strncmp(text, keys[i], strlen(keys[i])) == 0;
        }
        const char *end = strchr(text, '\n');
        if (!heading || end == NULL) {
            return text;
        }
        text = end + 1;
    }
}

typedef struct change {
    size_t from, length; /* in the text */
    const char *with;
} change;

static size_t list_changes(const char *text, change *out, size_t most)
{
    size_t count = 0;
    for (const char *p = first_line(text); *p != '\0'; p++) {
        if ((p > text && is_letter(p[-1])) || !is_letter(*p)) {
            continue;
        }
        for (size_t g = 0; g < GROUPS; g++) {
            for (size_t w = 0; groups[g][w] != NULL; w++) {
                size_t length = strlen(groups[g][w]);
                bool closing = p - text >= 8 && g == 1 &&
                               strncmp(p - 8, "closing ", 8) == 0;
                if (strncmp(p, groups[g][w], length) != 0 ||
                    is_letter(p[length]) || closing) {
                    continue; /* "closing front" is changed as a whole */
                }
                for (size_t o = 0; groups[g][o] != NULL; o++) {
                    if (o != w && count < most) {
                        out[count].from = (size_t)(p - text);
                        out[count].length = length;
                        out[count++].with = groups[g][o];
                    }
                }
            }
        }
    }
    return count;
}

static char *replace(const char *text, size_t from, size_t to,
                     const char *with)
{
    char *out = calloc(1, strlen(text) + strlen(with) + 1);
    assert_non_null(out);
    memcpy(out, text, from);
    strcpy(out + from, with);
    strcat(out, text + to);
    return out;
}

/* What is danced: every step with its form and where one stands after it. */
static char *danced(const marq_vocab *vocab, const char *text)
{
    static char out[1 << 16];
    marq_combo *combo;
    marq_report *report;
    size_t length = 0;
    assert_int_equal(marq_combo_read(&combo, vocab, text, strlen(text), NULL),
                     MARQ_OK);
    assert_int_equal(marq_check(&report, combo, NULL), MARQ_OK);
    for (size_t i = 0; i < marq_report_moment_count(report); i++) {
        marq_moment m = marq_report_moment(report, i);
        length += (size_t)snprintf(out + length, sizeof out - length,
                                   "%s: %s\n", m.step,
                                   m.known ? m.feet : "not known");
        assert_true(length < sizeof out);
    }
    marq_report_free(report);
    marq_combo_free(combo);
    char *copy = calloc(1, length + 1);
    assert_non_null(copy);
    memcpy(copy, out, length);
    return copy;
}

static bool feet_or_facing(const marq_finding *f)
{
    return f->severity == MARQ_PROBLEM &&
           (f->code[0] == 'S' || f->code[0] == 'F');
}

/* The first problem of feet or facing, or NULL; the report stays open. */
static const marq_finding *find_problem(const marq_vocab *vocab,
                                        const char *text, marq_combo **combo,
                                        marq_report **report)
{
    assert_int_equal(marq_combo_read(combo, vocab, text, strlen(text), NULL),
                     MARQ_OK);
    assert_int_equal(marq_check(report, *combo, NULL), MARQ_OK);
    const marq_findings *all = marq_report_findings(*report);
    for (size_t i = 0; i < marq_finding_count(all); i++) {
        if (feet_or_facing(marq_finding_at(all, i))) {
            return marq_finding_at(all, i);
        }
    }
    return NULL;
}

typedef struct tally {
    size_t changed, problems, helped, restored, wrong_fix;
} tally;

static void try_fixes(const marq_vocab *vocab, const char *text,
                      const char *original, const marq_finding *f, tally *t)
{
    bool restored = false;
    for (size_t i = 0; i < f->fix_count; i++) {
        char *mended = replace(text, f->fixes[i].span.from,
                               f->fixes[i].span.to, f->fixes[i].text);
        marq_combo *combo;
        marq_report *report;
        const marq_finding *still =
            find_problem(vocab, mended, &combo, &report);
        if (still != NULL && still->span.from <= f->span.from) {
            t->wrong_fix++;
            fprintf(stderr, "  fix does not help: %s\n-- %s\n",
                    f->fixes[i].label, text);
        }
        marq_report_free(report);
        marq_combo_free(combo);
        char *again = danced(vocab, mended);
        restored |= strcmp(again, original) == 0;
        free(again);
        free(mended);
    }
    t->helped += f->fix_count > 0;
    t->restored += restored;
    if (f->fix_count == 0) {
        fprintf(stderr, "  no correction for %s\n-- %s\n", f->headline, text);
    } else if (!restored && getenv("MARQ_SHOW") != NULL) {
        fprintf(stderr, "  not restored: %s\n", f->headline);
        for (size_t i = 0; i < f->fix_count; i++) {
            fprintf(stderr, "    %s\n", f->fixes[i].label);
        }
        fprintf(stderr, "-- %s\n", text);
    }
}

/* A slip of the fingers in one word: a letter left out, doubled, or changed
 * places with the next.  NULL if there is no letter where it was tried. */
static char *slip(const char *text)
{
    size_t first = (size_t)(first_line(text) - text);
    size_t at = first + roll() % (strlen(text) - first);
    char c = text[at], next = text[at + 1];
    if (c < 'a' || c > 'z' || next < 'a' || next > 'z') {
        return NULL; /* a letter inside a word, and no part of an accent */
    }
    char with[3] = {0, 0, 0};
    switch (roll() % 3) {
    case 0:
        return replace(text, at, at + 1, "");
    case 1:
        with[0] = with[1] = c;
        return replace(text, at, at + 1, with);
    default:
        with[0] = next;
        with[1] = c;
        return replace(text, at, at + 2, with);
    }
}

static void try_change(const marq_vocab *vocab, const char *changed,
                       const char *original, tally *t)
{
    marq_combo *combo;
    marq_report *report;
    const marq_finding *f = find_problem(vocab, changed, &combo, &report);
    t->changed++;
    if (f != NULL) {
        t->problems++;
        try_fixes(vocab, changed, original, f, t);
    }
    marq_report_free(report);
    marq_combo_free(combo);
}

/* A hundred ways: as many other words of the class as there are, then slips. */
static void change_sample(const marq_vocab *vocab, const char *text, tally *t)
{
    static change changes[4096];
    size_t count = list_changes(text, changes, 4096);
    char *original = danced(vocab, text);
    for (size_t i = 0; i < WAYS;) {
        char *changed;
        if (count > 0) {
            size_t pick = roll() % count;
            change c = changes[pick];
            changes[pick] = changes[--count];
            changed = replace(text, c.from, c.from + c.length, c.with);
        } else {
            changed = slip(text);
        }
        if (changed != NULL) {
            try_change(vocab, changed, original, t);
            i++;
        }
        free(changed);
    }
    free(original);
}

static void test_one_word_changed(void **unused)
{
    (void)unused;
    const char *seed = getenv("MARQ_SEED");
    state = seed != NULL ? strtoull(seed, NULL, 10) : 20261125u;
    printf("seed %llu\n", (unsigned long long)state);
    marq_vocab *vocab;
    assert_int_equal(marq_vocab_builtin(&vocab, NULL), MARQ_OK);
    DIR *dir = opendir("shared/samples");
    assert_non_null(dir);
    tally t = {0};
    size_t samples = 0;
    struct dirent *entry;
    while ((entry = readdir(dir)) != NULL) {
        char path[512];
        size_t length = strlen(entry->d_name);
        if (length < 7 || strcmp(entry->d_name + length - 6, ".combo") != 0) {
            continue;
        }
        snprintf(path, sizeof path, "shared/samples/%.*s.expect",
                 (int)(length - 6), entry->d_name);
        char *expect = read_file(path);
        bool good = expect != NULL && strstr(expect, "verdict\tclean");
        free(expect);
        if (!good) {
            continue;
        }
        snprintf(path, sizeof path, "shared/samples/%s", entry->d_name);
        char *text = read_file(path);
        assert_non_null(text);
        change_sample(vocab, text, &t);
        free(text);
        samples++;
    }
    closedir(dir);
    marq_vocab_free(vocab);
    printf("%zu samples, %zu changes, %zu problems: %zu with a correction, "
           "%zu with the original among them\n",
           samples, t.changed, t.problems, t.helped, t.restored);
    assert_int_equal(t.changed, samples * WAYS);
    assert_true(t.problems > 100);
    assert_int_equal(t.wrong_fix, 0);
    assert_int_equal(t.helped, t.problems);
    assert_true(t.restored * 5 >= t.problems * 4);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_one_word_changed),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
