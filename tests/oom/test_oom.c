/* test_oom.c - memory ends at every place it is asked for, once and for good.
 *
 * Each operation is run with its first asking failing, then its second, and
 * so on until it is through: a status says so, nothing is lost, and what was
 * there before gives the same answer when it is asked again. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "marquer.h"
#include "testmem.h"

/* Corrections tried a problem: each asks for the same kinds of memory, and a
 * build with small blocks asks for each one. */
#define TRIED_MOST 12

/* Counts, a start, a fault with corrections, an unknown word, two sides. */
static const char *const the_text =
    "title    Light two\n"
    "music    2/4, 92 counts a minute, 4 in\n"
    "start    fifth, right front, croisé\n"
    "\n"
    "1-2      glissade derrière, assemblé dessus\n"
    "3-4      glissade, jeté (soft arms)\n"
    "5-6      changement ×2, wibblé\n"
    "7        now fifth, left front\n"
    "8        pirouette left front, glissad right\n"
    "finish   fifth, left front\n";

/* Small enough to be loaded over and over. */
static const char *const the_overlay =
    "format 1\n"
    "\n"
    "term tern hop\n"
    "  id        tern-hop\n"
    "  written   ternfield hop, t. hop\n"
    "  means     a hop of our own hall\n"
    "  family    small jumps\n"
    "  level     beginner\n"
    "  counts    1\n"
    "  side      foot\n"
    "  gap       in a jump\n"
    "  source    common practice\n"
    "  variant -: from fifth, both feet work, closes the other way, feet "
    "change; price 0\n"
    "\n"
    "qualifier softly done\n"
    "  written   very softly\n"
    "  means     softly\n"
    "  asks      passes\n";

/* The same with a fault in every other line. */
static const char *const the_faulty_overlay =
    "format 1\n"
    "\n"
    "term tern hop\n"
    "  id        tern-hop\n"
    "  family    small hops\n"
    "  colour    blue\n"
    "  variant -: from sixth, both feet work; price 0\n";

/* ---- a vocabulary ---- */

static marq_status make_vocab(testmem *mem, void *ctx)
{
    marq_config config = testmem_config(mem);
    marq_vocab *vocab = NULL;
    marq_status status = marq_vocab_builtin(&vocab, &config);

    (void)ctx;
    assert_int_equal(status == MARQ_OK, vocab != NULL);
    marq_vocab_free(vocab);
    return status;
}

static void a_vocabulary(void **state)
{
    (void)state;
    assert_true(testmem_each_failure(make_vocab, NULL) > 0);
}

typedef struct overlay_case {
    const marq_vocab *base;
    const char *text;
    marq_status wanted;
} overlay_case;

/* Gives MARQ_OK where the wanted status came, so that it can be told from
 * want of memory. */
static marq_status load_overlay(testmem *mem, void *ctx)
{
    const overlay_case *c = ctx;
    marq_config config = testmem_config(mem);
    marq_vocab_text text = {"hall.vocab", c->text, strlen(c->text)};
    marq_vocab *vocab = NULL;
    marq_findings *why = NULL;
    marq_status status =
        marq_vocab_load(&vocab, &config, c->base, &text, 1, &why);

    assert_int_equal(status == MARQ_OK, vocab != NULL);
    if (status == MARQ_VOCABULARY) {
        assert_true(marq_finding_count(why) > 0);
    } else if (status == MARQ_OK) {
        assert_null(why);
    } /* when memory ended, faults met before may be there */
    marq_findings_free(why);
    marq_vocab_free(vocab);
    return status == c->wanted ? MARQ_OK
           : status == MARQ_OK ? MARQ_DEFECT
                               : status;
}

static void an_overlay(void **state)
{
    overlay_case c = {*state, the_overlay, MARQ_OK};

    assert_true(testmem_each_failure(load_overlay, &c) > 0);
}

static void an_overlay_with_faults(void **state)
{
    overlay_case c = {*state, the_faulty_overlay, MARQ_VOCABULARY};

    assert_true(testmem_each_failure(load_overlay, &c) > 0);
}

/* ---- operations on a combination ---- */

/* A text that an operation made, kept with the C library's memory. */
typedef struct answer {
    char *bytes;
    size_t length;
} answer;

static void keep_answer(answer *a, const char *bytes, size_t length)
{
    free(a->bytes);
    a->bytes = malloc(length + 1);
    assert_non_null(a->bytes);
    memcpy(a->bytes, bytes, length);
    a->bytes[length] = '\0';
    a->length = length;
}

/* The combination is made before anything fails, stays through all failures
 * and must be as good as ever after each. */
typedef struct standing {
    marq_vocab *vocab;
    marq_combo *combo;
    testmem mem;
} standing;

/* What an operation does with a combination; its answer into `a`. */
typedef marq_status (*act)(const standing *s, answer *a);

static marq_status keep_text(marq_status status, marq_text *text, answer *a)
{
    assert_int_equal(status == MARQ_OK, text != NULL);
    if (status == MARQ_OK) {
        size_t n;
        const char *bytes = marq_text_bytes(text, &n);

        keep_answer(a, bytes, n);
    }
    marq_text_free(text);
    return status;
}

static marq_status act_print(const standing *s, answer *a)
{
    marq_text *text = NULL;
    marq_status status = marq_print(&text, s->combo, NULL, NULL);

    return keep_text(status, text, a);
}

static marq_status act_other_side(const standing *s, answer *a)
{
    marq_combo *other = NULL;
    marq_status status = marq_other_side(&other, s->combo);

    assert_int_equal(status == MARQ_OK, other != NULL);
    if (status == MARQ_OK) {
        size_t n;
        const char *bytes = marq_combo_text(other, &n);

        keep_answer(a, bytes, n);
    }
    marq_combo_free(other);
    return status;
}

static marq_status with_report(const marq_combo *combo, bool corrections,
                               int layout, answer *a)
{
    marq_check_opts opts = {sizeof opts, !corrections};
    marq_report *report = NULL;
    marq_text *text = NULL;
    marq_status status = marq_check(&report, combo, &opts);

    assert_int_equal(status == MARQ_OK, report != NULL);
    if (status == MARQ_OK && layout >= 0) {
        marq_render_opts how = {sizeof how, (marq_layout)layout, "a", true, 0};

        status = marq_render(&text, report, &how);
    } else if (status == MARQ_OK) {
        marq_print_opts how = {sizeof how, true};

        status = marq_print(&text, combo, report, &how);
    }
    status = keep_text(status, text, a);
    marq_report_free(report);
    return status;
}

static marq_status act_full(const standing *s, answer *a)
{
    return with_report(s->combo, true, MARQ_LAYOUT_FULL, a);
}

static marq_status act_lines(const standing *s, answer *a)
{
    return with_report(s->combo, false, MARQ_LAYOUT_LINES, a);
}

static marq_status act_table(const standing *s, answer *a)
{
    return with_report(s->combo, false, MARQ_LAYOUT_TABLE, a);
}

static marq_status act_print_assumed(const standing *s, answer *a)
{
    return with_report(s->combo, false, -1, a);
}

/* The vocabulary lives in the failing memory too. */
static marq_status act_read(const standing *s, answer *a)
{
    marq_combo *combo = NULL;
    marq_status status =
        marq_combo_read(&combo, s->vocab, the_text, strlen(the_text), NULL);

    assert_int_equal(status == MARQ_OK, combo != NULL);
    if (status == MARQ_OK) {
        char words[64];

        snprintf(words, sizeof words, "%zu findings",
                 marq_finding_count(marq_combo_findings(combo)));
        keep_answer(a, words, strlen(words));
    }
    marq_combo_free(combo);
    return status;
}

static void stand_up(standing *s)
{
    marq_config config;

    testmem_init(&s->mem);
    config = testmem_config(&s->mem);
    config.limits.corrections = TRIED_MOST;
    assert_int_equal(marq_vocab_builtin(&s->vocab, &config), MARQ_OK);
    assert_int_equal(
        marq_combo_read(&s->combo, s->vocab, the_text, strlen(the_text), NULL),
        MARQ_OK);
}

static void lie_down(standing *s)
{
    marq_combo_free(s->combo);
    marq_vocab_free(s->vocab);
    assert_int_equal(s->mem.live_blocks, 0);
    assert_int_equal(s->mem.live_bytes, 0);
}

/* One run with the n-th asking failing; true when it was met.  It ends with
 * MARQ_MEMORY, or the whole answer where a way without that memory is known
 * (findings are sorted in place when there is none to sort them faster). */
static bool run_once(standing *s, act what, size_t n, bool for_good,
                     const answer *wanted, size_t *refused)
{
    size_t blocks = s->mem.live_blocks;
    size_t bytes = s->mem.live_bytes;
    answer a = {NULL, 0};
    marq_status status;
    bool met;

    s->mem.asked = 0;
    s->mem.fail_at = n;
    s->mem.for_good = for_good;
    s->mem.has_failed = false;
    status = what(s, &a);
    met = s->mem.has_failed;
    s->mem.fail_at = 0;
    assert_int_equal(s->mem.live_blocks, blocks);
    assert_int_equal(s->mem.live_bytes, bytes);
    if (status != MARQ_OK) { /* asked again it answers as ever */
        assert_true(met);
        assert_int_equal(status, MARQ_MEMORY);
        ++*refused;
        assert_int_equal(what(s, &a), MARQ_OK);
    }
    assert_int_equal(a.length, wanted->length);
    assert_memory_equal(a.bytes, wanted->bytes, a.length);
    free(a.bytes);
    return met;
}

static void each_failure(act what)
{
    standing s;
    answer wanted = {NULL, 0};
    size_t refused = 0;
    size_t n = 0;

    stand_up(&s);
    assert_int_equal(what(&s, &wanted), MARQ_OK);
    assert_true(wanted.length > 0);
    do {
        n++;
    } while (run_once(&s, what, n, false, &wanted, &refused) &&
             run_once(&s, what, n, true, &wanted, &refused));
    printf("  %zu askings, %zu of %zu failing runs refused\n", n - 1, refused,
           2 * (n - 1));
    assert_true(n > 1);
    assert_true(refused > n - 1); /* ways around are few */
    free(wanted.bytes);
    lie_down(&s);
}

static void reading(void **state)
{
    (void)state;
    each_failure(act_read);
}

static void printing(void **state)
{
    (void)state;
    each_failure(act_print);
}

static void printing_with_what_was_assumed(void **state)
{
    (void)state;
    each_failure(act_print_assumed);
}

static void the_other_side(void **state)
{
    (void)state;
    each_failure(act_other_side);
}

static void checking_and_the_full_report(void **state)
{
    (void)state;
    each_failure(act_full);
}

static void checking_and_one_line_a_finding(void **state)
{
    (void)state;
    each_failure(act_lines);
}

static void checking_and_the_table(void **state)
{
    (void)state;
    each_failure(act_table);
}

static int load_base(void **state)
{
    marq_vocab *base = NULL;

    if (marq_vocab_builtin(&base, NULL) != MARQ_OK) {
        return -1;
    }
    *state = base;
    return 0;
}

static int free_base(void **state)
{
    marq_vocab_free(*state);
    return 0;
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_vocabulary),
        cmocka_unit_test(an_overlay),
        cmocka_unit_test(an_overlay_with_faults),
        cmocka_unit_test(reading),
        cmocka_unit_test(printing),
        cmocka_unit_test(printing_with_what_was_assumed),
        cmocka_unit_test(the_other_side),
        cmocka_unit_test(checking_and_the_full_report),
        cmocka_unit_test(checking_and_one_line_a_finding),
        cmocka_unit_test(checking_and_the_table),
    };

    return cmocka_run_group_tests(tests, load_base, free_base);
}
