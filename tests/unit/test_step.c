/* test_step.c - variants compiled to moves, and links, against hand work.
 *
 * Moves are written for the right side; the test adds their mirror images.
 * "5R>5L wL cL x": from, to, working foot, l landing foot, c closing foot,
 * t turn in eighths, v side of travel (E: either), then = feet stay, x change,
 * ? not defined.  Bodies as in stepdesk.h. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>

#include <cmocka.h>

#include "stepdesk.h"

static const struct {
    const char *clauses;
    const char *moves; /* by commas */
} variants[] = {
    /* where it closes; third stands wherever fifth does, closing ends flat */
    {"from fifth, back foot works, closes front, feet change",
     "5R>5L wL cL x,3R>3L wL cL x,TR>5L wL cL x"},
    {"from fifth, front foot works, closes back, feet change",
     "5R>5L wR cR x,3R>3L wR cR x,TR>5L wR cR x"},
    {"from fifth, back foot works, closes back, feet stay",
     "5R>5R wL cL =,3R>3R wL cL =,TR>5R wL cL ="},
    {"from fifth, back foot works, closes where it began, feet stay",
     "5R>5R wL cL =,3R>3R wL cL =,TR>5R wL cL ="},
    {"from fifth, both feet work, closes the other way, feet change",
     "5R>5L x,3R>3L x,TR>5L x"},
    {"from fifth, front foot works, closes either side, feet vary",
     "5R>5R wR cR =,5R>5L wR cR x,3R>3R wR cR =,3R>3L wR cR x,"
     "TR>5R wR cR =,TR>5L wR cR x"},
    {"from fifth, front foot works, other foot closes front, feet change",
     "5R>5L wR cL x,3R>3L wR cL x,TR>5L wR cL x"},
    {"from free leg low behind, free foot works, closes front",
     "Rlb>5L wL cL x"},
    {"from free leg low side, free foot works, closes back",
     "Rls>5R wL cL ?"},
    /* where it ends */
    {"from fourth, both feet work, ends as it began, feet stay", "4R>4R ="},
    {"from first, both feet work, ends as it began", "1>1 ?"},
    {"from tips, both feet work, ends as it began, feet stay", "TR>TR ="},
    {"from free leg low behind, standing foot works, ends as it began",
     "Rlb>Rlb wR lR ="},
    {"from fourth, back foot works, ends in fourth with working foot in "
     "front, feet change",
     "4R>4L wL cL x"},
    {"from fourth, front foot works, ends in fourth with working foot behind, "
     "feet change",
     "4R>4L wR cR x"},
    {"from fifth, both feet work, ends in fourth with feet kept, feet stay",
     "5R>4R =,3R>4R =,TR>4R ="},
    {"from fifth, both feet work, ends in fifth with feet exchanged, feet "
     "change",
     "5R>5L x,3R>3L x,TR>5L x"},
    {"from first, both feet work, ends in fifth with either foot in front",
     "1>5R ?,1>5L ?"},
    {"from fourth, both feet work, ends in second", "4R>2 ?"},
    {"from fourth, both feet work, ends in tips, feet kept, feet stay",
     "4R>TR ="},
    {"from fourth, front foot steps, ends on the working foot, free leg at "
     "the ankle behind",
     "4R>Rab wR lR ="},
    {"from fourth, front foot works, ends on the other foot, free leg low "
     "side",
     "4R>Lls wR lL ?"},
    {"from free leg at the ankle front, free foot works, ends on the standing "
     "foot, free leg high front",
     "Raf>Rhf wL lR ="},
    {"from free leg low/high side, standing foot works, ends on the standing "
     "foot, free leg as it was",
     "Rls>Rls wR lR ?,Rhs>Rhs wR lR ?"},
    {"from free leg at the knee behind, free foot steps, ends on the working "
     "foot, free leg raised front/behind",
     "Rkb>Llf wL lL =,Rkb>Lhf wL lL =,Rkb>Llb wL lL x,Rkb>Lhb wL lL x"},
    {"from fourth, back foot works, ends on the other foot, free leg open "
     "behind, feet stay",
     "4R>Rtb wL lR =,4R>Rlb wL lR =,4R>Rhb wL lR ="},
    /* who works */
    {"from fourth, either foot works, ends in second",
     "4R>2 wR cR ?,4R>2 wL cL ?"},
    {"from first, either foot works, ends in fourth with working foot in "
     "front",
     "1>4R wR cR ?,1>4L wL cL ?"},
    {"from free leg high behind, front foot works, ends on the standing foot, "
     "free leg low behind",
     "Rhb>Rlb wL lR ="}, /* from one foot it is the free one */
    {"from free leg high behind, back foot works, ends on the standing foot, "
     "free leg low behind",
     "Rhb>Rlb wL lR ="},
    {"from free leg high behind, either foot works, ends on the standing "
     "foot, free leg low behind",
     "Rhb>Rlb wL lR ="},
    /* several starts in one line */
    {"from second or fourth or free leg low side, both feet work, ends in "
     "first",
     "2>1 ?,4R>1 ?,Rls>1 ?"},
    /* turns */
    {"from fourth, back foot works, ends in fourth with feet kept, turns once "
     "toward the working foot",
     "4R>4R wL cL t-8 ="},
    {"from fourth, back foot works, ends in fourth with feet kept, turns "
     "twice away from the working foot",
     "4R>4R wL cL t+16 ="},
    {"from fourth, both feet work, ends in fourth with feet exchanged, turns "
     "half toward the back foot",
     "4R>4L t-4 x"},
    {"from fourth, both feet work, ends in fourth with feet exchanged, turns "
     "a quarter toward the front foot",
     "4R>4L t+2 x"},
    {"from fourth, both feet work, ends as it began, turns three quarters "
     "either way",
     "4R>4R t+6 =,4R>4R t-6 ="},
    {"from fourth, both feet work, ends as it began, turns 3 eighths either "
     "way",
     "4R>4R t+3 =,4R>4R t-3 ="},
    /* from one foot the foot behind is known when the leg is not aside */
    {"from free leg low behind or free leg low side, free foot works, ends on "
     "the standing foot, free leg low behind, turns once toward the back foot",
     "Rlb>Rlb wL lR t-8 ="},
    /* travel and landing */
    {"from fourth, back foot works, ends in fourth with feet kept, travels "
     "toward the working foot",
     "4R>4R wL cL vL ="},
    {"from fourth, back foot works, ends in fourth with feet kept, travels "
     "away from the working foot",
     "4R>4R wL cL vR ="},
    {"from fourth, back foot works, ends in fourth with feet kept, travels "
     "forward",
     "4R>4R wL cL ="},
    {"from fourth, back foot works, ends in fourth with feet kept, travels to "
     "either side",
     "4R>4R wL cL vE ="},
    {"from fourth, back foot works, ends in fourth with feet kept, travels "
     "anywhere",
     "4R>4R wL cL vE ="},
    {"from fourth, back foot works, ends in fourth with feet kept, lands on "
     "the other foot",
     "4R>4R wL lR cL ="},
    {"from fourth, back foot works, ends in fourth with feet kept, lands on "
     "the working foot",
     "4R>4R wL lL cL ="},
};

#define VARIANTS (sizeof variants / sizeof variants[0])
#define LINES_MOST 80

typedef struct lines {
    char at[LINES_MOST][40];
    size_t count;
} lines;

static void add_line(lines *l, const char *text)
{
    for (size_t i = 0; i < l->count; i++) {
        if (!strcmp(l->at[i], text)) {
            return;
        }
    }
    assert_true(l->count < LINES_MOST && strlen(text) < sizeof l->at[0]);
    memcpy(l->at[l->count++], text, strlen(text) + 1);
}

static int compare_lines(const void *a, const void *b)
{
    return strcmp(a, b);
}

static void sort_lines(lines *l)
{
    qsort(l->at, l->count, sizeof l->at[0], compare_lines);
}

/* R and L, + and - change places. */
static void mirror_line(char *text)
{
    for (; *text; text++) {
        *text = *text == 'R'   ? 'L'
                : *text == 'L' ? 'R'
                : *text == '+' ? '-'
                : *text == '-' ? '+'
                               : *text;
    }
}

static void expect_moves(lines *l, const char *moves)
{
    char copy[512], *rest = copy;
    l->count = 0;
    assert_true(strlen(moves) < sizeof copy);
    memcpy(copy, moves, strlen(moves) + 1);
    for (char *one = strtok_r(copy, ",", &rest); one != NULL;
         one = strtok_r(NULL, ",", &rest)) {
        add_line(l, one);
        mirror_line(one);
        add_line(l, one);
    }
    sort_lines(l);
}

static void tell_move(const marq_move *m, char out[40])
{
    static const char sides[] = "-RLE";
    static const char *const change[] = {" =", " x", " ?"};
    char from[4], to[4];
    int n = snprintf(out, 40, "%s>%s", stepdesk_name(m->from, from),
                     stepdesk_name(m->to, to));
    const struct {
        char letter;
        uint8_t side;
    } marks[] = {{'w', m->working}, {'l', m->lands}, {'c', m->closing}};
    for (size_t i = 0; i < 3; i++) {
        if (marks[i].side) {
            n += snprintf(out + n, 40 - (size_t)n, " %c%c", marks[i].letter,
                          sides[marks[i].side]);
        }
    }
    if (m->turn) {
        n += snprintf(out + n, 40 - (size_t)n, " t%+d", m->turn);
    }
    if (m->travel) {
        n += snprintf(out + n, 40 - (size_t)n, " v%c", sides[m->travel]);
    }
    snprintf(out + n, 40 - (size_t)n, "%s", change[m->change]);
}

static void tell_moves(const marq_vocab_data *data, size_t variant, lines *l)
{
    l->count = 0;
    for (unsigned b = 0; b < MARQ_BODIES; b++) {
        const marq_move *moves;
        size_t count = marq_step_moves(data, variant, (marq_body)b, &moves);
        for (size_t i = 0; i < count; i++) {
            char line[40];
            assert_int_equal(moves[i].from, b);
            tell_move(&moves[i], line);
            add_line(l, line);
        }
    }
    sort_lines(l);
}

/* Loads a term whose one variant has these clauses. */
static marq_status compile_clauses(loaddesk *d, const char *clauses)
{
    marq_build b;
    d->why->list.count = 0;
    marq_build_init(&b, &d->arena);
    marq_build_text(&b, LOADDESK_PROBE "  variant dessus: ");
    marq_build_text(&b, clauses);
    marq_build_text(&b, "; price 0\n");
    marq_status s = loaddesk_load(d, &d->base, marq_build_done(&b, NULL));
    if (s != MARQ_OK) {
        loaddesk_print(d);
        print_error("%s\n", clauses);
    }
    assert_int_equal(s, MARQ_OK);
    return marq_step_compile(&d->data, &d->arena, d->why);
}

static void every_clause(void **state)
{
    loaddesk *d = *state;
    for (size_t i = 0; i < VARIANTS; i++) {
        lines got, wanted;
        if (compile_clauses(d, variants[i].clauses) != MARQ_OK) {
            loaddesk_print(d);
            print_error("%s\n", variants[i].clauses);
            fail();
        }
        expect_moves(&wanted, variants[i].moves);
        tell_moves(&d->data,
                   loaddesk_term(&d->data, "probe")->first_variant, &got);
        bool same = got.count == wanted.count;
        for (size_t k = 0; k < got.count && same; k++) {
            same = !strcmp(got.at[k], wanted.at[k]);
        }
        if (!same) {
            print_error("%s\n", variants[i].clauses);
            for (size_t k = 0; k < wanted.count || k < got.count; k++) {
                print_error("  %-24s %s\n",
                            k < wanted.count ? wanted.at[k] : "",
                            k < got.count ? got.at[k] : "");
            }
        }
        assert_true(same);
    }
}

/* `anywhere` is any of all eighteen places of the free leg. */
static void a_leg_anywhere(void **state)
{
    loaddesk *d = *state;
    const marq_move *moves;
    assert_int_equal(
        compile_clauses(d, "from fourth, front foot works, ends on the other "
                           "foot, free leg anywhere"),
        MARQ_OK);
    size_t v = loaddesk_term(&d->data, "probe")->first_variant;
    assert_int_equal(
        marq_step_moves(&d->data, v, stepdesk_body("4R"), &moves), 18);
    assert_int_equal(
        compile_clauses(d, "from one foot, free foot steps, ends on the "
                           "working foot, free leg at the ankle behind"),
        MARQ_OK);
    assert_int_equal(d->data.variants[v].move_count, 36);
}

/* ---- faults ---- */

static const struct {
    const char *clauses;
    const char *code;
    const char *headline;
} faults[] = {
    {"from fifth, back foot works, closes front, feet stay", "V007",
     "probe dessus: the feet change by its own clauses"},
    {"from fifth, back foot works, closes back, feet change", "V007",
     "probe dessus: the feet stay by its own clauses"},
    {"from fifth, back foot works, closes back, feet vary", "V007",
     "probe dessus: the feet stay by its own clauses"},
    {"from fifth, back foot works, closes front, feet vary", "V007",
     "probe dessus: the feet change by its own clauses"},
    {"from fifth, front foot works, closes either side, feet change", "V007",
     "probe dessus: the feet vary by its own clauses"},
    {"from fifth, front foot works, closes either side, feet stay", "V007",
     "probe dessus: the feet vary by its own clauses"},
    {"from fifth, standing foot works, ends as it began", "V010",
     "probe dessus relates no position to any other"},
    {"from fourth, both feet work, ends on the working foot, free leg low "
     "front",
     "V010", "probe dessus relates no position to any other"},
};

static void lines_that_contradict_themselves(void **state)
{
    loaddesk *d = *state;
    for (size_t i = 0; i < sizeof faults / sizeof faults[0]; i++) {
        assert_int_equal(compile_clauses(d, faults[i].clauses),
                         MARQ_VOCABULARY);
        assert_int_equal(d->why->list.count, 1);
        const marq_finding *f = MARQ_AT(&d->why->list, marq_finding, 0);
        assert_string_equal(f->code, faults[i].code);
        assert_string_equal(f->headline, faults[i].headline);
        assert_true(f->has_span && f->span.from < f->span.to);
    }
}

/* Where the feet are undefined at an end, a declaration has nothing to say. */
static void undefined_feet_need_no_word(void **state)
{
    loaddesk *d = *state;
    static const char *const words[] = {"feet change", "feet stay",
                                        "feet vary"};
    for (size_t i = 0; i < 3; i++) {
        marq_build b;
        marq_build_init(&b, &d->arena);
        marq_build_text(&b, "from second, both feet work, ends in first, ");
        marq_build_text(&b, words[i]);
        assert_int_equal(compile_clauses(d, marq_build_done(&b, NULL)),
                         MARQ_OK);
    }
}

/* ---- the shipped variants ---- */

static void shipped_moves_are_in_order(void **state)
{
    const marq_vocab_data *data = &marq_builtin_data;
    size_t all = 0;
    (void)state;
    assert_true(data->variant_count > 100);
    for (size_t v = 0; v < data->variant_count; v++) {
        size_t sum = 0;
        assert_int_equal(data->variants[v].first_move, all);
        for (unsigned b = 0; b < MARQ_BODIES; b++) {
            const marq_move *moves;
            size_t count = marq_step_moves(data, v, (marq_body)b, &moves);
            for (size_t i = 0; i < count; i++) {
                assert_int_equal(moves[i].from, b);
                assert_true(moves[i].to < MARQ_BODIES);
            }
            sum += count;
        }
        assert_int_equal(sum, data->variants[v].move_count);
        assert_true(sum > 0);
        all += sum;
    }
    assert_int_equal(all, data->move_count);
}

static bool has_line(const lines *l, const char *text)
{
    for (size_t i = 0; i < l->count; i++) {
        if (!strcmp(l->at[i], text)) {
            return true;
        }
    }
    return false;
}

static void tell_from(const marq_vocab_data *data, size_t v, const char *from,
                      lines *l)
{
    const marq_move *moves;
    size_t count = marq_step_moves(data, v, stepdesk_body(from), &moves);
    l->count = 0;
    for (size_t i = 0; i < count; i++) {
        char line[40];
        tell_move(&moves[i], line);
        add_line(l, line);
    }
}

/* vocab/README.md: where fifth is said, third and the tips are meant as well;
 * an ending in fifth from third is in third.  And each move has its mirror
 * image. */
static void shipped_moves_from_third_and_tips(void **state)
{
    const marq_vocab_data *data = &marq_builtin_data;
    size_t seen = 0;
    (void)state;
    for (size_t v = 0; v < data->variant_count; v++) {
        lines fifth, third, tips, left;
        tell_from(data, v, "5R", &fifth);
        tell_from(data, v, "3R", &third);
        tell_from(data, v, "TR", &tips);
        tell_from(data, v, "5L", &left);
        assert_int_equal(left.count, fifth.count);
        if (fifth.count == 0) {
            continue; /* from third or the tips alone */
        }
        seen++;
        assert_int_equal(third.count, fifth.count);
        assert_int_equal(tips.count, fifth.count);
        for (size_t i = 0; i < fifth.count; i++) {
            char line[40];
            memcpy(line, fifth.at[i], sizeof line);
            line[0] = '3';
            line[3] = line[3] == '5' ? '3' : line[3];
            assert_true(has_line(&third, line));
            memcpy(line, fifth.at[i], sizeof line);
            line[0] = 'T';
            bool same = has_line(&tips, line);
            line[3] = 'T'; /* ends as it began: on the tips */
            assert_true(same || (data->variants[v].end == MARQ_END_AS_BEGAN &&
                                 has_line(&tips, line)));
            memcpy(line, fifth.at[i], sizeof line);
            mirror_line(line);
            assert_true(has_line(&left, line));
        }
    }
    assert_true(seen > 100);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(every_clause, loaddesk_open,
                                        loaddesk_close),
        cmocka_unit_test_setup_teardown(a_leg_anywhere, loaddesk_open,
                                        loaddesk_close),
        cmocka_unit_test_setup_teardown(lines_that_contradict_themselves,
                                        loaddesk_open, loaddesk_close),
        cmocka_unit_test_setup_teardown(undefined_feet_need_no_word,
                                        loaddesk_open, loaddesk_close),
        cmocka_unit_test(shipped_moves_are_in_order),
        cmocka_unit_test(shipped_moves_from_third_and_tips),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
