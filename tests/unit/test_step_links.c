/* test_step_links.c - the links that may be assumed, body by body, by hand
 * (following.md 1: quiet links, closing links). */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>

#include <cmocka.h>

#include "stepdesk.h"

/* Written for the right side: kind (a adjust, s shift, c close, g gather, o
 * open), where to, price (q quiet, C closing, S side leg in front, O
 * opening).  Bodies as in stepdesk.h. */
static const struct {
    const char *from, *links;
} links_from[] = {
    /* two feet: a rise, a shift of even weight, gathered, opened */
    {"1", ""},
    {"P", ""},
    {"3R", ""},
    {"TR", ""},
    {"5R", "a TR q,o 4R O"},
    {"4R", "s Rtb q,s Ltf q,g 5R C"},
    {"2", "s Rts q,s Lts q,g 5R C,g 5L C"},
    /* a terre: drawn to the ankle, closed quietly, weight on to both */
    {"Rtf", "a Raf q,c 5L q,s 4L q"},
    {"Rts", "c 5R q,c 5L S,s 2 q"},
    {"Rtb", "a Rab q,c 5R q,s 4R q"},
    /* in the air: lowered, drawn to the ankle, closed on its own side */
    {"Rlf", "a Rtf q,a Raf q,c 5L C"},
    {"Rls", "a Rts q,c 5R C,c 5L S"},
    {"Rlb", "a Rtb q,a Rab q,c 5R C"},
    {"Rhf", "a Rlf q,a Rtf q,a Raf q,c 5L C"},
    {"Rhs", "a Rls q,a Rts q,c 5R C,c 5L S"},
    {"Rhb", "a Rlb q,a Rtb q,a Rab q,c 5R C"},
    {"Raf", "a Rtf q,c 5L C"},
    {"Ras", "a Rts q,c 5R C,c 5L S"},
    {"Rab", "a Rtb q,c 5R C"},
    {"Rkf", "a Rtf q,a Raf q,c 5L C"},
    {"Rks", "a Rts q,c 5R C,c 5L S"},
    {"Rkb", "a Rtb q,a Rab q,c 5R C"},
    {"Rif", "a Rtf q,a Raf q,c 5L C"},
    {"Ris", "a Rts q,c 5R C,c 5L S"},
    {"Rib", "a Rtb q,a Rab q,c 5R C"},
};

static const char kinds[] = "ascgo";

static char price_letter(unsigned price)
{
    return price == MARQ_PRICE_QUIET              ? 'q'
           : price == MARQ_PRICE_CLOSING          ? 'C'
           : price == MARQ_PRICE_CLOSE_SIDE_FRONT ? 'S'
           : price == MARQ_PRICE_OPENING          ? 'O'
                                                  : '?';
}

/* How often "K TO P" stands in a list, by commas. */
static size_t count_in(const char *list, const char *one)
{
    size_t count = 0, length = strlen(one);
    for (const char *p = list; (p = strstr(p, one)) != NULL; p += length) {
        count += (p == list || p[-1] == ',') &&
                 (p[length] == ',' || p[length] == '\0');
    }
    return count;
}

static size_t count_listed(const char *list)
{
    size_t count = *list != '\0';
    for (; *list; list++) {
        count += *list == ',';
    }
    return count;
}

static void check_body(const marq_links *links, marq_body b, bool mirrored,
                       const char *expected)
{
    size_t count = (size_t)(links->index[b + 1] - links->index[b]);
    if (count != count_listed(expected)) {
        print_error("body %u, \"%s\"\n", b, expected);
    }
    assert_int_equal(count, count_listed(expected));
    for (unsigned i = links->index[b]; i < links->index[b + 1]; i++) {
        const marq_link *l = &links->at[i];
        char line[16], to[4];
        marq_body end = mirrored ? marq_body_mirror(l->to) : l->to;
        assert_int_equal(l->from, b);
        assert_int_equal(l->stood, marq_body_standing(b));
        snprintf(line, sizeof line, "%c %s %c", kinds[l->kind],
                 stepdesk_name(end, to), price_letter(l->price));
        if (count_in(expected, line) != 1) {
            print_error("body %u: %s\n", b, line);
        }
        assert_int_equal(count_in(expected, line), 1);
    }
}

static void links_of_every_body(void **state)
{
    marq_links links;
    bool seen[MARQ_BODIES] = {false};
    (void)state;
    marq_links_make(&links);
    for (size_t i = 0; i < sizeof links_from / sizeof links_from[0]; i++) {
        marq_body b = stepdesk_body(links_from[i].from);
        marq_body m = marq_body_mirror(b);
        check_body(&links, b, false, links_from[i].links);
        if (m != b) {
            check_body(&links, m, true, links_from[i].links);
        }
        seen[b] = seen[m] = true;
    }
    for (unsigned b = 0; b < MARQ_BODIES; b++) {
        assert_true(seen[b]);
    }
}

static void links_sorted_by_end(void **state)
{
    marq_links links;
    bool seen[MARQ_LINKS_MOST] = {false};
    (void)state;
    marq_links_make(&links);
    size_t count = links.index[MARQ_BODIES];
    assert_in_range(count, 1, MARQ_LINKS_MOST);
    assert_int_equal(links.into_index[0], 0);
    assert_int_equal(links.into_index[MARQ_BODIES], count);
    for (unsigned b = 0; b < MARQ_BODIES; b++) {
        for (unsigned i = links.into_index[b]; i < links.into_index[b + 1];
             i++) {
            assert_in_range(links.into[i], 0, count - 1);
            assert_int_equal(links.at[links.into[i]].to, b);
            assert_false(seen[links.into[i]]);
            seen[links.into[i]] = true;
        }
    }
}

/* No link leads to where it began, and a leg stays on its own side: nothing
 * passes from front to back (a repair, only offered as a correction). */
static void links_are_no_repairs(void **state)
{
    marq_links links;
    (void)state;
    marq_links_make(&links);
    for (size_t i = 0; i < links.index[MARQ_BODIES]; i++) {
        const marq_link *l = &links.at[i];
        marq_side before = marq_body_front(l->from);
        marq_side after = marq_body_front(l->to);
        assert_true(l->from != l->to);
        assert_true(before == after || before == MARQ_SIDE_NONE ||
                    after == MARQ_SIDE_NONE);
        if (!marq_body_is_two(l->from) && !marq_body_is_two(l->to)) {
            assert_int_equal(marq_body_standing(l->from),
                             marq_body_standing(l->to));
        }
    }
}

static void links_have_words(void **state)
{
    static const struct {
        const char *from, *to, *said;
    } words[] = {
        {"4R", "Ltf", "on to the left"},
        {"Rtb", "4R", "both feet"},
        {"Llb", "5L", "right leg closed behind"},
        {"Llf", "5R", "right leg closed in front"},
        {"Rls", "5L", "left leg closed in front"},
        {"Rhb", "Rlb", "left leg lowered"},
        {"Lkf", "Laf", "right leg drawn to the ankle"},
        {"5L", "TL", "rise"},
        {"4L", "5L", "gathered to fifth, left front"},
        {"5L", "4L", "opened to fourth"},
    };
    marq_links links;
    marq_arena arena;
    (void)state;
    marq_links_make(&links);
    marq_arena_init(&arena, marq_mem_of(NULL));
    for (size_t i = 0; i < sizeof words / sizeof words[0]; i++) {
        const marq_link *link = NULL;
        for (size_t k = 0; k < links.index[MARQ_BODIES]; k++) {
            if (links.at[k].from == stepdesk_body(words[i].from) &&
                links.at[k].to == stepdesk_body(words[i].to)) {
                link = &links.at[k];
            }
        }
        assert_non_null(link);
        marq_build b;
        marq_build_init(&b, &arena);
        marq_link_words(&b, link);
        assert_non_null(strstr(marq_build_done(&b, NULL), words[i].said));
    }
    marq_arena_free(&arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(links_of_every_body),
        cmocka_unit_test(links_sorted_by_end),
        cmocka_unit_test(links_are_no_repairs),
        cmocka_unit_test(links_have_words),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
