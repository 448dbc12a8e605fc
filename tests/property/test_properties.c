/* test_properties.c - what must hold of any combination.
 *
 * Random combinations built from the vocabulary; the seed is printed,
 * MARQ_SEED sets it, MARQ_LONG=1 tries ten times as many. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include <utf8proc.h>

#include "follow.h"
#include "marquer.h"
#include "mirror.h"
#include "property.h"
#include "tree.h"

static const make_how everything = {MADE_ANY_START, 8, true, true, true, true};

static marq_combo *other_side(const marq_combo *combo)
{
    marq_combo *other = NULL;

    assert_int_equal(marq_other_side(&other, combo), MARQ_OK);
    return other;
}

/* ---- clean copy ---- */

static bool print_then_read(const world *w, const char *text, size_t length,
                            bool show)
{
    marq_combo *a = property_read(w, text, length);
    marq_text *copy = property_copy(a);
    size_t n;
    const char *bytes = marq_text_bytes(copy, &n);
    marq_combo *b = property_read(w, bytes, n);
    bool same = marq_tree_equal(&a->tree, &b->tree);

    if (!same && show) {
        property_show_copy("clean copy", a);
        property_show_copy("clean copy of the clean copy", b);
    }
    same = same && property_same_copy(a, b);
    marq_combo_free(b);
    marq_text_free(copy);
    marq_combo_free(a);
    return same;
}

static void print_then_read_gives_the_same_tree(void **state)
{
    property_try(*state, 1, 400, &everything, print_then_read);
}

/* ---- mirror ---- */

static bool mirror_twice(const world *w, const char *text, size_t length,
                         bool show)
{
    marq_combo *a = property_read(w, text, length);
    marq_arena arena;
    marq_tree once;
    marq_tree twice;
    bool same;

    marq_arena_init(&arena, marq_mem_of(NULL));
    assert_int_equal(marq_mirror_tree(&once, &arena, w->vocab, &a->tree),
                     MARQ_OK);
    assert_int_equal(marq_mirror_tree(&twice, &arena, w->vocab, &once),
                     MARQ_OK);
    same = marq_tree_equal(&a->tree, &twice);
    if (!same && show) {
        property_show_copy("the tree", a);
    }
    marq_arena_free(&arena);
    marq_combo_free(a);
    return same;
}

static void mirror_of_mirror_is_the_same_tree(void **state)
{
    property_try(*state, 2, 400, &everything, mirror_twice);
}

/* The other side states its start; from there on, twice is the same. */
static bool other_side_twice(const world *w, const char *text, size_t length,
                             bool show)
{
    marq_combo *a = property_read(w, text, length);
    marq_combo *left = other_side(a);
    marq_combo *right = other_side(left);
    marq_combo *again = other_side(right);
    bool same = property_same_copy(left, again);

    if (a->tree.start.written && a->tree.finish.written) {
        same = same && property_same_copy(a, right);
    }
    if (!same && show) {
        property_show_copy("this side", a);
        property_show_copy("other side", left);
        property_show_copy("twice", right);
        property_show_copy("three times", again);
    }
    marq_combo_free(again);
    marq_combo_free(right);
    marq_combo_free(left);
    marq_combo_free(a);
    return same;
}

static void other_side_twice_is_the_same_copy(void **state)
{
    property_try(*state, 3, 200, &everything, other_side_twice);
}

/* ---- mirror and following ---- */

static bool fronts_are_mirrored(const marq_front *a, const marq_front *b)
{
    if (a == NULL || b == NULL) {
        return a == b;
    }
    for (int k = 0; k < MARQ_ARRIVALS; k++) {
        for (int i = 0; i < MARQ_BODIES; i++) {
            marq_body m = marq_body_mirror((marq_body)i);
            bool live = (a->live[k] >> i) & 1u;

            if (live != (bool)((b->live[k] >> m) & 1u)) {
                return false;
            }
            for (int f = 0; live && f < MARQ_FACINGS; f++) {
                marq_facing g = marq_facing_mirror((marq_facing)f);
                unsigned ca = a->cost[k][i][f];
                unsigned cb = b->cost[k][m][g];

                if (ca != cb || (ca != MARQ_OUT_OF_REACH && ca < MARQ_DEAREST &&
                                 a->base != b->base)) {
                    return false;
                }
            }
        }
    }
    return true;
}

/* Exactly one body lies on the cheapest readings. */
static bool is_settled(const marq_marks *marks)
{
    size_t count = 0;

    for (int k = 0; k < MARQ_ARRIVALS; k++) {
        for (int b = 0; b < MARQ_BODIES; b++) {
            count += marks->facing[k][b] != 0;
        }
    }
    return count == 1;
}

static bool follow_text(marq_following *f, marq_arena *arena, const world *w,
                        const marq_combo *combo)
{
    marq_findings findings;

    marq_arena_init(arena, marq_mem_of(NULL));
    marq_findings_init(&findings, arena, 0);
    assert_int_equal(marq_follow(f, arena, w->vocab, &combo->tree, &findings),
                     MARQ_OK);
    return true;
}

/* All sets of the following, stage by stage; *settled: every stage has one
 * body on the cheapest readings. */
static bool followings_are_mirrored(const marq_following *a,
                                    const marq_following *b, bool *settled)
{
    *settled = true;
    if (a->seen.count != b->seen.count ||
        a->stretches.count != b->stretches.count) {
        return false;
    }
    for (size_t i = 0; i < a->stretches.count; i++) {
        const marq_stretch *s = MARQ_AT(&a->stretches, marq_stretch, i);
        const marq_stretch *t = MARQ_AT(&b->stretches, marq_stretch, i);

        if (s->reached != t->reached || s->broken != t->broken ||
            s->price != t->price || !fronts_are_mirrored(s->start, t->start)) {
            return false;
        }
        *settled = *settled && is_settled(&s->start_marks);
    }
    for (size_t i = 0; i < a->seen.count; i++) {
        const marq_seen *s = MARQ_AT(&a->seen, marq_seen, i);
        const marq_seen *t = MARQ_AT(&b->seen, marq_seen, i);

        if (s->reached != t->reached ||
            !fronts_are_mirrored(s->after, t->after)) {
            return false;
        }
        /* a step said several times has moments between its ends */
        *settled = *settled && (!s->reached || is_settled(&s->marks)) &&
                   (s->role != MARQ_SEEN_STEP || s->stage.demand.times == 1);
    }
    return true;
}

static bool same_words_mirrored(const char *a, const char *b)
{
    char turned[256];

    make_swapped(turned, sizeof turned, a);
    return strcmp(turned, b) == 0;
}

static bool moments_are_mirrored(const marq_report *a, const marq_report *b)
{
    size_t n = marq_report_moment_count(a);

    if (n != marq_report_moment_count(b)) {
        return false;
    }
    for (size_t i = 0; i < n; i++) {
        marq_moment x = marq_report_moment(a, i);
        marq_moment y = marq_report_moment(b, i);

        if (x.known != y.known || strcmp(x.count, y.count) != 0 ||
            x.assumed != y.assumed || !same_words_mirrored(x.step, y.step) ||
            strcmp(x.level, y.level) != 0 ||
            !same_words_mirrored(x.weight, y.weight) ||
            !same_words_mirrored(x.feet, y.feet) ||
            !same_words_mirrored(x.facing, y.facing)) {
            return false;
        }
    }
    return true;
}

static bool same_codes(const marq_findings *a, const marq_findings *b)
{
    size_t n = marq_finding_count(a);

    if (n != marq_finding_count(b)) {
        return false;
    }
    for (size_t i = 0; i < n; i++) {
        const marq_finding *x = marq_finding_at(a, i);
        const marq_finding *y = marq_finding_at(b, i);

        if (strcmp(x->code, y->code) != 0 || x->severity != y->severity ||
            x->fix_count != y->fix_count) {
            return false;
        }
    }
    return true;
}

/* Where readings tie, the one shown may be another on the other side, and
 * with it what it assumes; problems and questions never. */
static bool same_but_for_notes(const marq_findings *a, const marq_findings *b)
{
    size_t n = marq_finding_count(a);
    size_t i = 0;
    size_t k = 0;

    for (;;) {
        const marq_finding *x;
        const marq_finding *y;

        while (i < n && marq_finding_at(a, i)->severity == MARQ_NOTE) {
            i++;
        }
        while (k < marq_finding_count(b) &&
               marq_finding_at(b, k)->severity == MARQ_NOTE) {
            k++;
        }
        x = marq_finding_at(a, i++);
        y = marq_finding_at(b, k++);
        if (x == NULL || y == NULL) {
            return x == y;
        }
        if (strcmp(x->code, y->code) != 0) {
            return false;
        }
    }
}

/* `a` and `b` are mirror images in text; so must be what following says. */
static bool compare_sides(const world *w, const marq_combo *a,
                          const marq_combo *b, bool show)
{
    marq_following fa;
    marq_following fb;
    marq_arena arena_a;
    marq_arena arena_b;
    bool settled = false;
    bool sets = follow_text(&fa, &arena_a, w, a) &&
                follow_text(&fb, &arena_b, w, b) &&
                followings_are_mirrored(&fa, &fb, &settled);
    marq_report *ra = property_check(a);
    marq_report *rb = property_check(b);
    bool moments = !sets || !settled || moments_are_mirrored(ra, rb);
    bool codes = sets && settled ? same_codes(marq_report_findings(ra),
                                              marq_report_findings(rb))
                                 : same_but_for_notes(marq_report_findings(ra),
                                                      marq_report_findings(rb));

    if (show) {
        print_error("sets %s, moments %s, findings %s\n",
                    sets ? "mirrored" : "NOT mirrored",
                    moments ? "mirrored" : "NOT mirrored",
                    codes ? "the same" : "NOT the same");
        property_show_copy("one side", a);
        property_show_copy("the other", b);
        property_show_report("one side", ra);
        property_show_report("the other", rb);
    }
    marq_report_free(rb);
    marq_report_free(ra);
    marq_arena_free(&arena_b);
    marq_arena_free(&arena_a);
    return sets && moments && codes;
}

/* The mirror image is written directly, word by word. */
static bool follows_mirrored(const world *w, const char *text, size_t length,
                             bool show)
{
    char turned[MADE_MOST * 2];
    marq_combo *a = property_read(w, text, length);
    marq_combo *b;
    bool same;

    make_swapped(turned, sizeof turned, text);
    b = property_read(w, turned, strlen(turned));
    same = compare_sides(w, a, b, show);
    marq_combo_free(b);
    marq_combo_free(a);
    return same;
}

/* Each foot alone: a fault of one side must not hide behind the other. */
static void mirror_commutes_with_following_from_the_right(void **state)
{
    const make_how how = {MADE_RIGHT, 6, true, true, true, false};

    property_try(*state, 4, 150, &how, follows_mirrored);
}

static void mirror_commutes_with_following_from_the_left(void **state)
{
    const make_how how = {MADE_LEFT, 6, true, true, true, false};

    property_try(*state, 5, 150, &how, follows_mirrored);
}

static void mirror_commutes_with_following_from_anywhere(void **state)
{
    const make_how how = {MADE_ANY_START, 6, true, true, false, false};
    const world *w = *state;
    dice d = {w->seed + 6};
    size_t faults = 0;

    for (size_t n = dice_longer_by(150, 10); n > 0; n--) {
        made t;

        make_text(&t, w->vocab, &d, &how, false);
        if (strncmp(t.bytes, "start", 5) != 0) {
            continue; /* no start: one side stands for both */
        }
        if (!follows_mirrored(w, t.bytes, t.length, false) &&
            faults++ < SHOWN_MOST) {
            print_error("=== fails:\n%s\n", t.bytes);
            follows_mirrored(w, t.bytes, t.length, true);
        }
    }
    assert_int_equal(faults, 0);
}

/* The library's other side of a text is the text with its sides swapped. */
static bool other_side_is_swapped(const world *w, const char *text,
                                  size_t length, bool show)
{
    char turned[MADE_MOST * 2];
    marq_combo *a = property_read(w, text, length);
    marq_combo *left = other_side(a);
    marq_combo *b;
    bool same;

    make_swapped(turned, sizeof turned, text);
    b = property_read(w, turned, strlen(turned));
    /* the other side also states where it ends */
    left->tree.finish = b->tree.finish;
    same = marq_tree_equal(&left->tree, &b->tree);
    if (!same && show) {
        property_show_copy("other side", left);
        property_show_copy("text with its sides swapped", b);
    }
    marq_combo_free(b);
    marq_combo_free(left);
    marq_combo_free(a);
    return same;
}

static void other_side_is_the_text_swapped(void **state)
{
    const make_how how = {MADE_RIGHT, 6, true, true, true, true};

    property_try(*state, 7, 200, &how, other_side_is_swapped);
}

/* ---- spelling ---- */

typedef void (*respelling)(char *out, size_t room, const char *text);

static void drop_accents(char *out, size_t room, const char *text)
{
    utf8proc_uint8_t *plain = NULL;
    utf8proc_ssize_t n =
        utf8proc_map((const utf8proc_uint8_t *)text, 0, &plain,
                     UTF8PROC_NULLTERM | UTF8PROC_STABLE | UTF8PROC_DECOMPOSE |
                         UTF8PROC_STRIPMARK);

    assert_true(n >= 0 && (size_t)n < room);
    memcpy(out, plain, (size_t)n + 1);
    free(plain);
}

static void split_accents(char *out, size_t room, const char *text)
{
    utf8proc_uint8_t *split = utf8proc_NFD((const utf8proc_uint8_t *)text);

    assert_non_null(split);
    assert_true(strlen((const char *)split) < room);
    strncpy(out, (const char *)split, room);
    free(split);
}

static void raise_letters(char *out, size_t room, const char *text)
{
    const utf8proc_uint8_t *at = (const utf8proc_uint8_t *)text;
    size_t used = 0;

    while (*at != 0) {
        utf8proc_int32_t c;
        utf8proc_ssize_t n = utf8proc_iterate(at, -1, &c);

        assert_true(n > 0 && used + 5 < room);
        used += (size_t)utf8proc_encode_char(utf8proc_toupper(c),
                                             (utf8proc_uint8_t *)out + used);
        at += n;
    }
    out[used] = '\0';
}

static void end_lines_twice(char *out, size_t room, const char *text)
{
    size_t used = 0;

    for (; *text != '\0'; text++) {
        assert_true(used + 3 < room);
        if (*text == '\n') {
            out[used++] = '\r';
        }
        out[used++] = *text;
    }
    out[used] = '\0';
}

static void drop_last_line_end(char *out, size_t room, const char *text)
{
    size_t n = strlen(text);

    assert_true(n < room);
    memcpy(out, text, n + 1);
    if (n > 0 && out[n - 1] == '\n') {
        out[n - 1] = '\0';
    }
}

static bool same_moments(const marq_report *a, const marq_report *b)
{
    size_t n = marq_report_moment_count(a);

    if (n != marq_report_moment_count(b)) {
        return false;
    }
    for (size_t i = 0; i < n; i++) {
        marq_moment x = marq_report_moment(a, i);
        marq_moment y = marq_report_moment(b, i);

        /* after a break a step may be shown as it was typed */
        if (x.known != y.known || x.assumed != y.assumed ||
            (x.known && strcmp(x.step, y.step) != 0) ||
            strcmp(x.count, y.count) != 0 || strcmp(x.feet, y.feet) != 0 ||
            strcmp(x.facing, y.facing) != 0) {
            return false;
        }
    }
    return true;
}

/* The same steps with the same marks; remarks keep the spelling they had. */
static bool same_items(const marq_tree *a, const marq_tree *b)
{
    if (a->items.count != b->items.count || a->lines.count != b->lines.count) {
        return false;
    }
    for (size_t i = 0; i < a->items.count; i++) {
        const marq_item *x = MARQ_AT(&a->items, marq_item, i);
        const marq_item *y = MARQ_AT(&b->items, marq_item, i);

        if (x->kind != y->kind || x->term != y->term || x->times != y->times ||
            x->mark_count != y->mark_count) {
            return false;
        }
        for (uint32_t k = 0; k < x->mark_count; k++) {
            const marq_mark *m =
                MARQ_AT(&a->marks, marq_mark, x->first_mark + k);
            const marq_mark *n =
                MARQ_AT(&b->marks, marq_mark, y->first_mark + k);

            if (m->kind != n->kind || m->value != n->value) {
                return false;
            }
        }
    }
    return true;
}

/* balancé and balance are two steps: without its accent the one is the
 * other, so a text with it may change its meaning. */
static bool has_twin(const char *text)
{
    return strstr(text, "balancé") != NULL;
}

static bool reads_alike(const world *w, const char *text, size_t length,
                        respelling respell, const char *name, bool show)
{
    static char other[MADE_MOST * 3];
    marq_combo *a = property_read(w, text, length);
    marq_combo *b;
    marq_report *ra;
    marq_report *rb;
    bool same;

    respell(other, sizeof other, text);
    b = property_read(w, other, strlen(other));
    ra = property_check(a);
    rb = property_check(b);
    same = same_items(&a->tree, &b->tree) && same_moments(ra, rb) &&
           same_codes(marq_report_findings(ra), marq_report_findings(rb));
    if (!same && show) {
        print_error("--- %s:\n%s\n", name, other);
        property_show_copy("as written", a);
        property_show_copy("respelled", b);
        property_show_report("as written", ra);
        property_show_report("respelled", rb);
    }
    marq_report_free(rb);
    marq_report_free(ra);
    marq_combo_free(b);
    marq_combo_free(a);
    return same;
}

static bool any_spelling_reads_alike(const world *w, const char *text,
                                     size_t length, bool show)
{
    static const struct {
        respelling respell;
        const char *name;
    } list[] = {{drop_accents, "without accents"},
                {split_accents, "accents apart from their letters"},
                {raise_letters, "capitals"},
                {end_lines_twice, "carriage returns"},
                {drop_last_line_end, "no last line end"}};

    for (size_t i = 0; i < sizeof list / sizeof list[0]; i++) {
        if (list[i].respell == drop_accents && has_twin(text)) {
            continue;
        }
        if (!reads_alike(w, text, length, list[i].respell, list[i].name,
                         show)) {
            return false;
        }
    }
    return true;
}

static void any_spelling_gives_the_same_verdict(void **state)
{
    const make_how how = {MADE_ANY_START, 5, true, true, true, false};

    property_try(*state, 8, 80, &how, any_spelling_reads_alike);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(print_then_read_gives_the_same_tree),
        cmocka_unit_test(mirror_of_mirror_is_the_same_tree),
        cmocka_unit_test(other_side_twice_is_the_same_copy),
        cmocka_unit_test(mirror_commutes_with_following_from_the_right),
        cmocka_unit_test(mirror_commutes_with_following_from_the_left),
        cmocka_unit_test(mirror_commutes_with_following_from_anywhere),
        cmocka_unit_test(other_side_is_the_text_swapped),
        cmocka_unit_test(any_spelling_gives_the_same_verdict),
    };

    return cmocka_run_group_tests(tests, property_load, property_free);
}
