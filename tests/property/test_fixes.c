/* test_fixes.c - every correction offered is tried: the finding is gone and the
 * text is danced further.
 *
 * Random combinations; the seed is printed, MARQ_SEED sets it, MARQ_LONG=1
 * tries ten times as many. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "property.h"

/* How many bytes are left from the first step at or after `from` that is not
 * known; 0 if all are. */
static size_t length_left(const marq_report *report, size_t length,
                          uint32_t from)
{
    for (size_t i = 1; i < marq_report_moment_count(report); i++) {
        marq_moment m = marq_report_moment(report, i);

        if (!m.known && m.span.from >= from) {
            return length - m.span.from;
        }
    }
    return 0;
}

static bool has_finding(const marq_report *report, const char *code,
                        uint32_t from)
{
    const marq_findings *list = marq_report_findings(report);

    for (size_t i = 0; i < marq_finding_count(list); i++) {
        const marq_finding *f = marq_finding_at(list, i);

        if (strcmp(f->code, code) == 0 && f->has_span && f->span.from == from) {
            return true;
        }
    }
    return false;
}

static bool is_break(const char *code)
{
    static const char *const breaks[] = {"S001", "S002", "S005"};

    for (size_t i = 0; i < sizeof breaks / sizeof breaks[0]; i++) {
        if (strcmp(code, breaks[i]) == 0) {
            return true;
        }
    }
    return false;
}

static bool fix_helps(const world *w, const char *text, size_t length,
                      const marq_finding *f, const marq_fix *fix,
                      const marq_report *before, bool show)
{
    static char mended[MADE_MOST * 2];
    size_t n = length - (fix->span.to - fix->span.from) + fix->text_length;
    uint32_t at = f->span.from;
    marq_combo *combo;
    marq_report *after;
    bool gone;
    bool further;

    assert_true(fix->span.from <= fix->span.to && fix->span.to <= length);
    assert_true(n < sizeof mended);
    memcpy(mended, text, fix->span.from);
    memcpy(mended + fix->span.from, fix->text, fix->text_length);
    memcpy(mended + fix->span.from + fix->text_length, text + fix->span.to,
           length - fix->span.to);
    mended[n] = '\0';
    if (fix->span.to <= at && fix->span.from < at) {
        at =
            (uint32_t)(at + fix->text_length - (fix->span.to - fix->span.from));
    } else if (fix->span.from == at && fix->span.to == at) {
        at += (uint32_t)fix->text_length; /* put in right before */
    }
    combo = property_read(w, mended, n);
    after = property_check(combo);
    further =
        !is_break(f->code) ||
        length_left(after, n, at) < length_left(before, length, f->span.from);
    /* with a step left out the next one stands in its place, and may have a
       fault of its own */
    gone = !has_finding(after, f->code, at) ||
           (further && is_break(f->code) && fix->text_length == 0);
    if (show && !(gone && further)) {
        print_error("--- %s, \"%s\" offered: %s, %s\n%s\n", f->code, fix->label,
                    gone ? "gone" : "NOT gone",
                    further ? "further" : "NOT further", mended);
        property_show_report("before", before);
        property_show_report("after", after);
    }
    marq_report_free(after);
    marq_combo_free(combo);
    return gone && further;
}

static size_t fixes_tried;

/* Every correction of the findings that are notes, or that are not. */
static bool fixes_help(const world *w, const char *text, size_t length,
                       bool notes, bool show)
{
    marq_combo *combo = property_read(w, text, length);
    marq_report *report = property_check(combo);
    const marq_findings *list = marq_report_findings(report);
    bool all = true;

    for (size_t i = 0; i < marq_finding_count(list); i++) {
        const marq_finding *f = marq_finding_at(list, i);

        assert_true(f->fix_count <= MARQ_FIXES_MOST);
        if ((f->severity == MARQ_NOTE) != notes) {
            continue;
        }
        for (size_t k = 0; k < f->fix_count && all; k++) {
            fixes_tried++;
            all = fix_helps(w, text, length, f, &f->fixes[k], report, show);
        }
    }
    marq_report_free(report);
    marq_combo_free(combo);
    return all;
}

static bool corrections_help(const world *w, const char *text, size_t length,
                             bool show)
{
    return fixes_help(w, text, length, false, show);
}

static bool near_words_help(const world *w, const char *text, size_t length,
                            bool show)
{
    return fixes_help(w, text, length, true, show);
}

static void every_correction_removes_its_finding(void **state)
{
    const make_how how = {MADE_ANY_START, 6, true, false, false, false};

    fixes_tried = 0;
    property_try(*state, 9, 150, &how, corrections_help);
    printf("  %zu corrections tried\n", fixes_tried);
    assert_true(fixes_tried > 0);
}

static void corrections_help_where_facing_is_written(void **state)
{
    const make_how how = {MADE_RIGHT, 5, true, true, true, false};

    fixes_tried = 0;
    property_try(*state, 10, 100, &how, corrections_help);
    assert_true(fixes_tried > 0);
}

/* Words with a letter gone wrong: what is offered for them must be read. */
static void every_near_word_removes_its_finding(void **state)
{
    const world *w = *state;
    const make_how how = {MADE_RIGHT, 3, true, false, false, false};
    dice d = {w->seed + 11};
    size_t faults = 0;

    fixes_tried = 0;
    for (size_t n = dice_longer_by(150, 10); n > 0; n--) {
        made t;
        size_t at;

        make_text(&t, w->vocab, &d, &how, false);
        at = dice_below(&d, t.length);
        if (t.bytes[at] < 'a' || t.bytes[at] > 'z') {
            continue;
        }
        t.bytes[at] = (char)('a' + dice_below(&d, 26));
        if (!near_words_help(w, t.bytes, t.length, false) &&
            faults++ < SHOWN_MOST) {
            property_make_small(w, near_words_help, &t);
            print_error("=== fails:\n%s\n", t.bytes);
            near_words_help(w, t.bytes, t.length, true);
        }
    }
    printf("  %zu near words tried\n", fixes_tried);
    assert_int_equal(faults, 0);
    assert_true(fixes_tried > 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_correction_removes_its_finding),
        cmocka_unit_test(corrections_help_where_facing_is_written),
        cmocka_unit_test(every_near_word_removes_its_finding),
    };

    return cmocka_run_group_tests(tests, property_load, property_free);
}
