/* property.c - many random texts, and showing where one fails. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "property.h"

int property_load(void **state)
{
    static world w;

    w.seed = dice_seed();
    *state = &w;
    return marq_vocab_builtin(&w.vocab, NULL) == MARQ_OK ? 0 : -1;
}

int property_free(void **state)
{
    marq_vocab_free(((world *)*state)->vocab);
    return 0;
}

marq_combo *property_read(const world *w, const char *text, size_t length)
{
    marq_combo *combo = NULL;

    assert_int_equal(marq_combo_read(&combo, w->vocab, text, length, NULL),
                     MARQ_OK);
    return combo;
}

marq_text *property_copy(const marq_combo *combo)
{
    marq_text *text = NULL;

    assert_int_equal(marq_print(&text, combo, NULL, NULL), MARQ_OK);
    return text;
}

bool property_same_copy(const marq_combo *a, const marq_combo *b)
{
    marq_text *ta = property_copy(a);
    marq_text *tb = property_copy(b);
    bool same =
        strcmp(marq_text_bytes(ta, NULL), marq_text_bytes(tb, NULL)) == 0;

    marq_text_free(ta);
    marq_text_free(tb);
    return same;
}

void property_show_copy(const char *what, const marq_combo *combo)
{
    marq_text *text = property_copy(combo);

    print_error("--- %s\n%s", what, marq_text_bytes(text, NULL));
    marq_text_free(text);
}

void property_make_small(const world *w, property_fn holds, made *t)
{
    bool again = true;

    while (again) {
        again = false;
        for (size_t from = 0; from < t->length && !again;) {
            size_t n = strcspn(t->bytes + from, ",\n");
            size_t end = from + n;
            made less = *t;

            end += t->bytes[end] != '\0';
            if (strncmp(t->bytes + from, "start", 5) == 0) {
                from += strcspn(t->bytes + from, "\n") + 1;
                continue; /* what the property rests on */
            }
            memmove(less.bytes + from, less.bytes + end, t->length - end + 1);
            less.length -= end - from;
            if (less.length > 0 && !holds(w, less.bytes, less.length, false)) {
                *t = less;
                again = true;
            }
            from = end;
        }
    }
}

void property_try(const world *w, uint64_t salt, size_t count,
                  const make_how *how, property_fn holds)
{
    dice d = {w->seed + salt};
    size_t faults = 0;

    count = dice_longer_by(count, 10);
    for (size_t i = 0; i < count; i++) {
        made t;

        make_text(&t, w->vocab, &d, how, false);
        if (!holds(w, t.bytes, t.length, false)) {
            if (faults++ < SHOWN_MOST) {
                property_make_small(w, holds, &t);
                print_error("=== fails:\n%s\n", t.bytes);
                holds(w, t.bytes, t.length, true);
            }
        }
    }
    if (faults > 0) {
        print_error("  %zu of %zu texts\n", faults, count);
    }
    assert_int_equal(faults, 0);
}

marq_report *property_check(const marq_combo *combo)
{
    marq_report *report = NULL;

    assert_int_equal(marq_check(&report, combo, NULL), MARQ_OK);
    return report;
}

void property_show_report(const char *what, const marq_report *r)
{
    print_error("--- %s\n", what);
    for (size_t i = 0; i < marq_report_moment_count(r); i++) {
        marq_moment m = marq_report_moment(r, i);

        print_error("  %s | %s | %s | %s%s%s\n", m.step, m.weight, m.feet,
                    m.facing, m.known ? "" : " unknown",
                    m.assumed ? " assumed" : "");
    }
    for (size_t i = 0; i < marq_finding_count(marq_report_findings(r)); i++) {
        const marq_finding *f = marq_finding_at(marq_report_findings(r), i);

        print_error("  %s %s (%zu fixes)\n", f->code, f->headline,
                    f->fix_count);
    }
}
