/* test_diag.c - the catalogue and lists of findings. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "diag.h"
#include "testmem.h"

static marq_span span(uint32_t from, uint32_t to)
{
    marq_span made = {from, to};

    return made;
}

static marq_mem mem_of(testmem *counted)
{
    marq_mem mem = {testmem_hook, NULL};

    mem.ctx = counted;
    return mem;
}

/* ---- catalogue ---- */

static void codes_are_a_letter_and_three_digits_and_differ(void **state)
{
    int d;
    int e;

    (void)state;
    for (d = 0; d < MARQ_DIAGS; d++) {
        const char *code = marq_diag_code((marq_diag)d);

        assert_int_equal(strlen(code), 4);
        assert_non_null(strchr("VRSFCML", code[0]));
        assert_int_equal(strspn(code + 1, "0123456789"), 3);
        assert_int_equal(marq_diag_by_code(code), d);
        for (e = 0; e < d; e++) {
            assert_string_not_equal(code, marq_diag_code((marq_diag)e));
        }
    }
}

static void unknown_codes_are_none(void **state)
{
    (void)state;
    assert_int_equal(marq_diag_by_code("S999"), MARQ_DIAGS);
    assert_int_equal(marq_diag_by_code(""), MARQ_DIAGS);
    assert_int_equal(marq_diag_by_code("s001"), MARQ_DIAGS);
    assert_int_equal(marq_diag_by_code("S0010"), MARQ_DIAGS);
    assert_int_equal(marq_diag_by_code(NULL), MARQ_DIAGS);
}

static void headlines_are_plain(void **state)
{
    int d;

    (void)state;
    for (d = 0; d < MARQ_DIAGS; d++) {
        const char *headline = marq_diag_headline((marq_diag)d);
        size_t length = strlen(headline);
        const char *at;

        assert_true(length > 0);
        assert_false(headline[length - 1] == '.');
        assert_false(headline[0] >= 'A' && headline[0] <= 'Z');
        for (at = strchr(headline, '%'); at != NULL; at = strchr(at + 1, '%')) {
            assert_true(at[1] >= '1' && at[1] <= '3');
        }
        assert_null(strstr(headline, "nvalid"));
        assert_null(strstr(headline, "llegal"));
    }
}

static void the_catalogue_says_what_design_says(void **state)
{
    (void)state;
    assert_int_equal(marq_diag_severity(MARQ_DIAG_CANNOT_FOLLOW),
                     MARQ_PROBLEM);
    assert_int_equal(marq_diag_severity(MARQ_DIAG_READINGS_DIFFER),
                     MARQ_QUESTION);
    assert_int_equal(marq_diag_severity(MARQ_DIAG_ASSUMED), MARQ_NOTE);
    assert_int_equal(marq_diag_severity(MARQ_DIAG_ESTIMATE_SHORT), MARQ_NOTE);
    assert_int_equal(marq_diag_by_code("C002"), MARQ_DIAG_COUNT_OVERLAP);
}

/* ---- adding ---- */

static void texts_are_put_into_the_headline(void **state)
{
    testmem counted;
    marq_findings *list;
    marq_finding *f;

    (void)state;
    testmem_init(&counted);
    assert_int_equal(marq_findings_new(&list, mem_of(&counted), 0), MARQ_OK);
    assert_int_equal(marq_findings_add(list, &f, MARQ_DIAG_CANNOT_FOLLOW,
                                       span(3, 9), "changement",
                                       "the weight is on one foot", NULL),
                     MARQ_OK);
    assert_string_equal(
        f->headline,
        "changement cannot follow here: the weight is on one foot");
    assert_string_equal(f->code, "S001");
    assert_int_equal(f->severity, MARQ_PROBLEM);
    assert_true(f->has_span);
    assert_int_equal(f->span.from, 3);
    assert_int_equal(f->span.to, 9);
    assert_string_equal(f->label, "");
    assert_false(f->has_count);
    assert_int_equal(f->related_count + f->note_count + f->fix_count, 0);
    /* texts of the user are not templates; missing ones are nothing */
    assert_int_equal(marq_findings_add(list, &f, MARQ_DIAG_NEAR_WORD,
                                       span(0, 1), "100%2", NULL, NULL),
                     MARQ_OK);
    assert_string_equal(f->headline, "100%2 read as ");
    assert_int_equal(marq_findings_add(list, &f, MARQ_DIAG_NO_STEPS,
                                       span(0, 0), "a", "b", "c"),
                     MARQ_OK);
    assert_string_equal(f->headline, "no step is written here");
    assert_int_equal(marq_findings_add(list, NULL, MARQ_DIAG_ASSUMED,
                                       span(0, 0), "x", NULL, NULL),
                     MARQ_OK);
    assert_int_equal(marq_finding_count(list), 4);
    assert_int_equal(marq_finding_count_of(list, MARQ_PROBLEM), 1);
    assert_int_equal(marq_finding_count_of(list, MARQ_NOTE), 3);
    assert_int_equal(marq_finding_count_of(list, MARQ_QUESTION), 0);
    marq_findings_free(list);
    assert_int_equal(counted.live_blocks, 0);
}

static void given_texts_need_not_last(void **state)
{
    testmem counted;
    marq_findings *list;
    marq_finding *f;
    char text[8] = "arabesk";

    (void)state;
    testmem_init(&counted);
    assert_int_equal(marq_findings_new(&list, mem_of(&counted), 9), MARQ_OK);
    assert_int_equal(marq_findings_add(list, &f, MARQ_DIAG_UNKNOWN_STEP,
                                       span(0, 7), text, NULL, NULL),
                     MARQ_OK);
    assert_int_equal(marq_finding_label(list, f, text), MARQ_OK);
    assert_int_equal(marq_finding_note(list, f, text), MARQ_OK);
    assert_int_equal(marq_finding_relate(list, f, span(1, 2), text), MARQ_OK);
    assert_int_equal(marq_finding_fix(list, f, span(0, 7), text, text,
                                      MARQ_LIKELY),
                     MARQ_OK);
    memset(text, 'z', 7);
    assert_string_equal(f->headline, "not a step I know: arabesk");
    assert_string_equal(f->label, "arabesk");
    assert_string_equal(f->notes[0], "arabesk");
    assert_string_equal(f->related[0].label, "arabesk");
    assert_string_equal(f->fixes[0].text, "arabesk");
    assert_string_equal(f->fixes[0].label, "arabesk");
    assert_int_equal(f->fixes[0].text_length, 7);
    assert_int_equal(f->fixes[0].confidence, MARQ_LIKELY);
    assert_int_equal(f->fixes[0].span.to, 7);
    assert_int_equal(f->related[0].span.from, 1);
    marq_findings_free(list);
    assert_int_equal(counted.live_blocks, 0);
}

static void parts_beyond_their_number_are_left_out(void **state)
{
    testmem counted;
    marq_findings *list;
    marq_finding *f;
    int i;

    (void)state;
    testmem_init(&counted);
    assert_int_equal(marq_findings_new(&list, mem_of(&counted), 9), MARQ_OK);
    assert_int_equal(marq_findings_add(list, &f, MARQ_DIAG_HOLE, span(0, 3),
                                       NULL, NULL, NULL),
                     MARQ_OK);
    for (i = 0; i < 9; i++) {
        char text[2] = {(char)('a' + i), '\0'};

        assert_int_equal(marq_finding_note(list, f, text), MARQ_OK);
        assert_int_equal(marq_finding_relate(list, f, span(0, 0), text),
                         MARQ_OK);
        assert_int_equal(marq_finding_fix(list, f, span(0, 0), text, NULL,
                                          MARQ_CERTAIN),
                         MARQ_OK);
    }
    assert_int_equal(f->note_count, MARQ_NOTES_MOST);
    assert_int_equal(f->related_count, MARQ_RELATED_MOST);
    assert_int_equal(f->fix_count, MARQ_FIXES_MOST);
    assert_string_equal(f->notes[3], "d");
    assert_string_equal(f->related[2].label, "c");
    assert_string_equal(f->fixes[2].text, "c");
    assert_string_equal(f->fixes[2].label, "");
    marq_findings_free(list);
}

static void the_limit_is_counted_past(void **state)
{
    testmem counted;
    marq_findings *list;
    marq_finding *f;
    uint32_t i;

    (void)state;
    testmem_init(&counted);
    assert_int_equal(marq_findings_new(&list, mem_of(&counted), 3), MARQ_OK);
    for (i = 0; i < 3; i++) {
        assert_int_equal(marq_findings_add(list, &f, MARQ_DIAG_HOLE,
                                           span(i, i), NULL, NULL, NULL),
                         MARQ_OK);
        assert_non_null(f);
    }
    assert_int_equal(list->left_out, 0);
    assert_int_equal(marq_findings_add(list, &f, MARQ_DIAG_HOLE, span(9, 9),
                                       NULL, NULL, NULL),
                     MARQ_OK);
    assert_null(f);
    assert_int_equal(marq_finding_label(list, f, "x"), MARQ_OK);
    assert_int_equal(marq_finding_note(list, f, "x"), MARQ_OK);
    assert_int_equal(marq_finding_relate(list, f, span(0, 0), "x"), MARQ_OK);
    assert_int_equal(
        marq_finding_fix(list, f, span(0, 0), "x", "x", MARQ_CERTAIN),
        MARQ_OK);
    assert_int_equal(list->left_out, 1);
    assert_int_equal(marq_finding_count(list), 3);
    assert_non_null(marq_finding_at(list, 2));
    assert_null(marq_finding_at(list, 3));
    marq_findings_free(list);
}

static void no_list_is_an_empty_list(void **state)
{
    (void)state;
    assert_int_equal(marq_finding_count(NULL), 0);
    assert_null(marq_finding_at(NULL, 0));
    assert_int_equal(marq_finding_count_of(NULL, MARQ_NOTE), 0);
    marq_findings_free(NULL);
}

static void a_borrowed_list_is_not_freed(void **state)
{
    testmem counted;
    marq_arena arena;
    marq_findings list;

    (void)state;
    testmem_init(&counted);
    marq_arena_init(&arena, mem_of(&counted));
    marq_findings_init(&list, &arena, 5);
    assert_int_equal(marq_findings_add(&list, NULL, MARQ_DIAG_HOLE,
                                       span(2, 5), NULL, NULL, NULL),
                     MARQ_OK);
    marq_findings_free(&list);
    assert_int_equal(marq_finding_at(&list, 0)->span.from, 2);
    marq_arena_free(&arena);
    assert_int_equal(counted.live_blocks, 0);
}

/* ---- order ---- */

static const marq_diag by_severity[3] = {
    MARQ_DIAG_HOLE, MARQ_DIAG_READINGS_DIFFER, MARQ_DIAG_CANNOT_FOLLOW};

/* A list of `count` at few different places, each knowing its number. */
static marq_findings *shuffled(testmem *counted, size_t count, uint32_t seed)
{
    marq_findings *list;
    size_t i;

    assert_int_equal(marq_findings_new(&list, mem_of(counted), count),
                     MARQ_OK);
    for (i = 0; i < count; i++) {
        marq_finding *f;
        uint32_t from;

        seed = seed * 1664525u + 1013904223u;
        from = (seed >> 16) % 7;
        assert_int_equal(marq_findings_add(list, &f,
                                           by_severity[(seed >> 24) % 3],
                                           span(from, from + 1), NULL, NULL,
                                           NULL),
                         MARQ_OK);
        f->count.num = (int64_t)i;
    }
    return list;
}

static void assert_sorted(const marq_findings *list, size_t count)
{
    bool *seen = calloc(count + 1, sizeof *seen);
    size_t i;

    assert_non_null(seen);
    assert_int_equal(marq_finding_count(list), count);
    for (i = 0; i < count; i++) {
        const marq_finding *f = marq_finding_at(list, i);

        assert_true(f->count.num >= 0 && (size_t)f->count.num < count);
        assert_false(seen[f->count.num]);
        seen[f->count.num] = true;
        if (i > 0) {
            const marq_finding *g = marq_finding_at(list, i - 1);

            assert_true(g->span.from <= f->span.from);
            if (g->span.from == f->span.from) {
                assert_true(g->severity >= f->severity);
                if (g->severity == f->severity) {
                    assert_true(g->count.num < f->count.num);
                }
            }
        }
    }
    free(seen);
}

static void sorting_is_by_place_then_severity_and_stable(void **state)
{
    size_t count;

    (void)state;
    for (count = 0; count < 70; count++) {
        testmem counted;
        marq_findings *list;
        size_t before;

        testmem_init(&counted);
        list = shuffled(&counted, count, (uint32_t)count);
        before = counted.live_blocks;
        marq_findings_sort(list);
        assert_sorted(list, count);
        assert_int_equal(counted.live_blocks, before);
        marq_findings_sort(list);
        assert_sorted(list, count);
        marq_findings_free(list);
        assert_int_equal(counted.live_blocks, 0);
    }
}

static void sorting_works_when_memory_has_ended(void **state)
{
    size_t n;

    (void)state;
    for (n = 1; n <= 2; n++) {
        testmem counted;
        marq_findings *list;

        testmem_init(&counted);
        list = shuffled(&counted, 200, 5);
        counted.fail_at = counted.asked + n;
        counted.for_good = true;
        marq_findings_sort(list);
        assert_true(counted.has_failed);
        assert_sorted(list, 200);
        marq_findings_free(list);
        assert_int_equal(counted.live_blocks, 0);
    }
}

/* ---- copying ---- */

static marq_findings *some_findings(testmem *counted, size_t count)
{
    marq_findings *list;
    size_t i;

    assert_int_equal(marq_findings_new(&list, mem_of(counted), count + 1),
                     MARQ_OK);
    for (i = 0; i < count; i++) {
        marq_finding *f;

        assert_int_equal(marq_findings_add(list, &f, MARQ_DIAG_TWO_VALUES,
                                           span((uint32_t)i, 20), "start",
                                           NULL, NULL),
                         MARQ_OK);
        assert_int_equal(marq_finding_label(list, f, "label"), MARQ_OK);
        assert_int_equal(marq_finding_note(list, f, "note"), MARQ_OK);
        assert_int_equal(marq_finding_relate(list, f, span(4, 5), "there"),
                         MARQ_OK);
        assert_int_equal(marq_finding_fix(list, f, span(6, 7), "fix", "do it",
                                          MARQ_CERTAIN),
                         MARQ_OK);
    }
    return list;
}

static void appended_findings_have_their_own_texts(void **state)
{
    testmem counted;
    marq_findings *from;
    marq_findings *to;
    const marq_finding *f;

    (void)state;
    testmem_init(&counted);
    from = some_findings(&counted, 2);
    to = some_findings(&counted, 1);
    to->limit = 10;
    assert_int_equal(marq_findings_append(to, from), MARQ_OK);
    marq_findings_free(from);
    assert_int_equal(marq_finding_count(to), 3);
    f = marq_finding_at(to, 2);
    assert_int_equal(f->span.from, 1);
    assert_string_equal(f->code, "R010");
    assert_string_equal(f->headline, "start is written twice, differently");
    assert_string_equal(f->label, "label");
    assert_string_equal(f->notes[0], "note");
    assert_string_equal(f->related[0].label, "there");
    assert_int_equal(f->related[0].span.from, 4);
    assert_string_equal(f->fixes[0].text, "fix");
    assert_string_equal(f->fixes[0].label, "do it");
    assert_int_equal(f->fixes[0].text_length, 3);
    marq_findings_free(to);
    assert_int_equal(counted.live_blocks, 0);
}

static void appending_keeps_to_the_limit(void **state)
{
    testmem counted;
    marq_findings *from;
    marq_findings *to;

    (void)state;
    testmem_init(&counted);
    from = some_findings(&counted, 5);
    from->left_out = 100;
    to = some_findings(&counted, 1);
    to->limit = 3;
    assert_int_equal(marq_findings_append(to, from), MARQ_OK);
    assert_int_equal(marq_finding_count(to), 3);
    assert_int_equal(to->left_out, 3 + 100);
    assert_int_equal(marq_finding_at(to, 2)->span.from, 1);
    marq_findings_free(from);
    marq_findings_free(to);
    assert_int_equal(counted.live_blocks, 0);
}

/* ---- memory ---- */

static marq_status everything(testmem *counted, void *ctx)
{
    marq_findings *list = NULL;
    marq_finding *f;
    marq_status status = marq_findings_new(&list, mem_of(counted), 0);
    char text[2] = "a";

    (void)ctx;
    if (status != MARQ_OK) {
        assert_null(list);
        return status;
    }
    for (; text[0] <= 'z' && status == MARQ_OK; text[0]++) {
        size_t before = marq_finding_count(list);

        status = marq_findings_add(list, &f, MARQ_DIAG_COUNT_GAP, span(0, 1),
                                   text, NULL, NULL);
        if (status != MARQ_OK) {
            assert_null(f);
            assert_int_equal(marq_finding_count(list), before);
            break;
        }
        status = marq_finding_label(list, f, text);
        if (status == MARQ_OK) {
            status = marq_finding_note(list, f, text);
            assert_int_equal(f->note_count, status == MARQ_OK);
        }
        if (status == MARQ_OK) {
            status = marq_finding_relate(list, f, span(0, 1), text);
            assert_int_equal(f->related_count, status == MARQ_OK);
        }
        if (status == MARQ_OK) {
            status = marq_finding_fix(list, f, span(0, 1), text, text,
                                      MARQ_LIKELY);
            assert_int_equal(f->fix_count, status == MARQ_OK);
        }
    }
    marq_findings_free(list);
    return status;
}

static marq_status append_once(testmem *counted, void *ctx)
{
    marq_findings *to = NULL;
    marq_status status = marq_findings_new(&to, mem_of(counted), 0);

    if (status == MARQ_OK) {
        status = marq_findings_append(to, ctx);
        assert_int_equal(marq_finding_count(to),
                         status == MARQ_OK ? marq_finding_count(ctx) : 0);
        marq_findings_free(to);
    }
    return status;
}

static void each_failure_of_memory_is_a_status(void **state)
{
    testmem counted;
    marq_findings *from;

    (void)state;
    assert_true(testmem_each_failure(everything, NULL) > 2);
    testmem_init(&counted);
    from = some_findings(&counted, 20);
    assert_true(testmem_each_failure(append_once, from) > 2);
    assert_int_equal(marq_finding_count(from), 20);
    marq_findings_free(from);
    assert_int_equal(counted.live_blocks, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(codes_are_a_letter_and_three_digits_and_differ),
        cmocka_unit_test(unknown_codes_are_none),
        cmocka_unit_test(headlines_are_plain),
        cmocka_unit_test(the_catalogue_says_what_design_says),
        cmocka_unit_test(texts_are_put_into_the_headline),
        cmocka_unit_test(given_texts_need_not_last),
        cmocka_unit_test(parts_beyond_their_number_are_left_out),
        cmocka_unit_test(the_limit_is_counted_past),
        cmocka_unit_test(no_list_is_an_empty_list),
        cmocka_unit_test(a_borrowed_list_is_not_freed),
        cmocka_unit_test(sorting_is_by_place_then_severity_and_stable),
        cmocka_unit_test(sorting_works_when_memory_has_ended),
        cmocka_unit_test(appended_findings_have_their_own_texts),
        cmocka_unit_test(appending_keeps_to_the_limit),
        cmocka_unit_test(each_failure_of_memory_is_a_status),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
