/* test_demand.c - what stands beside a step, as a filter on its moves
 * (following.md 3: a bare side; vocab/README.md: qualifiers, amounts). */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>

#include <cmocka.h>

#include "stepdesk.h"

#define TERM STEPDESK_TERM
#define FIFTH "  variant -: from fifth, "

static const char terms[] =
    "qualifier devant\n  means in front\n  asks leg front\n"
    "qualifier en avant\n  means forward\n  asks forward\n  instead devant\n"
    "qualifier petit\n  means small\n  asks passes\n"
    "qualifier ouvert\n  means open\n  asks nothing more\n"
    "qualifier fermé\n  means closed\n  asks nothing more\n"
    "qualifier à la seconde\n  means aside\n  asks leg side\n"
    "  position second\n"
    TERM("trav", "travel", "",
         "  variant dessus: from fifth, back foot works, closes front, travels "
         "toward the working foot; price 0\n"
         "  variant dessous: from fifth, front foot works, closes back, "
         "travels toward the working foot; price 1\n")
    TERM("away", "travel", "",
         FIFTH "front foot works, closes front, travels away from the working "
               "foot; price 0\n")
    TERM("fwd", "travel", "",
         FIFTH "either foot works, ends on the working foot, free leg low "
               "behind, travels forward; price 0\n")
    TERM("turn", "turn", "",
         FIFTH "front foot works, ends in fifth with feet kept, turns once "
               "toward the working foot; price 0\n"
         FIFTH "back foot works, ends in fifth with feet kept, turns once "
               "toward the working foot; price 1\n")
    TERM("half", "turn", "",
         FIFTH "both feet work, closes the other way, turns half toward the "
               "back foot; price 0\n")
    TERM("any", "turn", "",
         FIFTH "both feet work, ends in fifth with feet kept, turns once "
               "either way, any amount; price 0\n")
    TERM("place", "foot", "",
         FIFTH "either foot works, ends on the other foot, free leg à terre "
               "side; price 0\n")
    TERM("kept", "front", "",
         FIFTH "both feet work, ends in fifth with feet kept; price 0\n")
    TERM("pose", "asked", "",
         FIFTH "either foot works, ends on the other foot, free leg high "
               "behind; price 0\n")
    TERM("both", "front", "",
         FIFTH "both feet work, ends in fifth with feet kept; price 0\n"
         "  variant -: from one foot, standing foot works, ends as it began; "
         "price 1\n")
    TERM("leg", "foot", "",
         "  variant -: from one foot, free foot works, ends on the standing "
         "foot, free leg low front; price 0\n");

static const char more_terms[] =
    TERM("stay", "front", "  is a hold\n",
         "  variant -: from fourth or fifth, both feet work, ends as it "
         "began; price 0\n")
    TERM("ends", "front", "",
         FIFTH "both feet work, ends in second; price 0\n"
         FIFTH "both feet work, ends in tips with feet kept; price 0\n")
    TERM("esc", "front", "",
         "  variant à la seconde: from fifth, both feet work, closes the "
         "other way; price 0\n"
         FIFTH "both feet work, ends in fifth with feet kept; price 0\n")
    TERM("ank", "foot", "",
         FIFTH "front foot works, ends on the other foot, free leg at the "
               "ankle front/behind; price 0\n")
    TERM("plain", "foot", "",
         FIFTH "either foot works, closes either side; price 0\n")
    TERM("dev", "foot", "",
         "  variant devant: from fifth, front foot works, closes front; price "
         "0\n"
         FIFTH "back foot works, closes back; price 0\n")
    TERM("forms", "travel", "",
         "  variant fermé, en avant: from fifth, front foot works, closes "
         "front; price 0\n"
         "  variant changé!, en avant: from fifth, back foot works, closes "
         "front; price 0\n"
         "  variant dessus: from fifth, both feet work, ends in first, only "
         "in a series; price 0\n");

enum { RIGHT = MARQ_SIDE_RIGHT, LEFT = MARQ_SIDE_LEFT };

#define MARK(k, v) {MARQ_MARK_##k, v, NULL}
#define WORD(w) {MARQ_MARK_QUALIFIER, 0, w}

typedef struct written {
    unsigned kind, value;
    const char *qualifier;
} written;

/* The moves left from a body, as variant letter > end, by commas in order of
 * the vocabulary. */
static const struct {
    const char *term;
    written marks[2];
    const char *from, *left;
    const char *codes; /* findings */
} rows[] = {
    {"trav", {{0}}, "5R", "a>5L,b>5L", ""},
    /* a travelling step: the direction of travel */
    {"trav", {MARK(SIDE, RIGHT)}, "5R", "b>5L", ""},
    {"trav", {MARK(SIDE, LEFT)}, "5R", "a>5L", ""},
    {"trav", {MARK(TOWARD, LEFT)}, "5R", "a>5L", ""},
    {"trav", {MARK(TOWARD, LEFT)}, "3R", "a>3L", ""},
    {"away", {MARK(SIDE, LEFT)}, "5R", "a>5R", ""},
    {"away", {MARK(SIDE, RIGHT)}, "5R", "", ""},
    /* forward or back: the leading foot */
    {"fwd", {MARK(SIDE, RIGHT)}, "5R", "a>Rlb", ""},
    {"fwd", {MARK(SIDE, LEFT)}, "5R", "a>Llb", ""},
    /* a turn: the direction of rotation */
    {"turn", {MARK(SIDE, RIGHT)}, "5R", "a>5R", ""},
    {"turn", {MARK(SIDE, LEFT)}, "5R", "b>5R", ""},
    {"half", {MARK(SIDE, LEFT)}, "5R", "a>5L", ""},
    {"half", {MARK(SIDE, RIGHT)}, "5R", "", ""},
    /* a placing step: the working foot; "on the right": the supporting */
    {"place", {MARK(SIDE, RIGHT)}, "5R", "a>Lts", ""},
    {"place", {MARK(ON, MARQ_FOOT_RIGHT)}, "5R", "a>Rts", ""},
    {"fwd", {MARK(ON, MARQ_FOOT_LEFT)}, "5R", "a>Llb", ""},
    /* two feet: that foot in front; arabesque: asked */
    {"kept", {MARK(SIDE, RIGHT)}, "5R", "a>5R", ""},
    {"kept", {MARK(SIDE, RIGHT)}, "5L", "", ""},
    {"pose", {MARK(SIDE, RIGHT)}, "5R", "a>Lhb,a>Rhb", ""},
    {"pose", {MARK(FOOT, MARQ_FOOT_RIGHT)}, "5R", "a>Lhb", ""},
    /* a named foot removes the two-footed sense */
    {"both", {{0}}, "5R", "a>5R", ""},
    {"both", {MARK(FOOT, MARQ_FOOT_RIGHT)}, "5R", "", ""},
    {"both", {MARK(FOOT, MARQ_FOOT_RIGHT)}, "Rlb", "b>Rlb", ""},
    {"both", {MARK(FOOT, MARQ_FOOT_LEFT)}, "Rlb", "", ""},
    {"kept", {MARK(FOOT, MARQ_FOOT_RIGHT)}, "5R", "a>5R", ""},
    {"kept", {MARK(FOOT, MARQ_FOOT_RIGHT)}, "5L", "", ""},
    /* feet by their place at the moment */
    {"place", {MARK(FOOT, MARQ_FOOT_FRONT)}, "5L", "a>Rts", ""},
    {"place", {MARK(FOOT, MARQ_FOOT_BACK)}, "5L", "a>Lts", ""},
    {"place", {MARK(FOOT, MARQ_FOOT_FREE)}, "5L", "", ""},
    {"leg", {MARK(FOOT, MARQ_FOOT_FREE)}, "Rtb", "a>Rlf", ""},
    {"leg", {MARK(FOOT, MARQ_FOOT_STANDING)}, "Rtb", "", ""},
    {"leg", {MARK(FOOT, MARQ_FOOT_LEFT)}, "Rtb", "a>Rlf", ""},
    {"leg", {MARK(FOOT, MARQ_FOOT_BACK)}, "Rtb", "a>Rlf", ""},
    {"leg", {MARK(FOOT, MARQ_FOOT_FRONT)}, "Rtb", "", ""},
    {"leg", {MARK(FOOT, MARQ_FOOT_FRONT)}, "Rts", "", ""},
    {"leg", {MARK(ON, MARQ_FOOT_STANDING)}, "Rtb", "a>Rlf", ""},
    {"leg", {MARK(ON, MARQ_FOOT_FREE)}, "Rtb", "", ""},
    /* positions */
    {"stay", {MARK(FROM, MARQ_FOURTH)}, "4R", "a>4R", ""},
    {"stay", {MARK(FROM, MARQ_FOURTH)}, "5R", "", ""},
    {"stay", {MARK(FROM, MARQ_FIFTH)}, "TR", "a>TR", ""},
    {"stay", {MARK(IN, MARQ_FOURTH)}, "4L", "a>4L", ""},
    {"stay", {MARK(IN, MARQ_SECOND)}, "4L", "", ""},
    {"ends", {MARK(TO, MARQ_SECOND)}, "5R", "a>2", ""},
    {"ends", {MARK(IN, MARQ_SECOND)}, "5R", "a>2", ""},
    {"ends", {MARK(TO, MARQ_FIFTH)}, "5R", "b>TR", ""},
    {"ends", {MARK(TO, MARQ_FOURTH)}, "5R", "", ""},
    {"esc", {MARK(TO, MARQ_SECOND)}, "5R", "a>5L", ""},
    {"ank", {MARK(TO_FREE, 0)}, "5R", "a>Lab", ""},
    {"ank", {{0}}, "5R", "a>Laf,a>Lab", ""},
    {"place", {MARK(TO_FREE, 0)}, "5R", "", ""},
    {"plain", {MARK(FRONT, LEFT)}, "5R", "a>5L,a>5L", ""},
    {"plain", {MARK(FRONT, LEFT), MARK(FOOT, MARQ_FOOT_LEFT)}, "5R", "a>5L",
     ""},
    {"trav", {MARK(CLOSING, MARQ_DEVANT)}, "5R", "a>5L", ""},
    {"trav", {MARK(CLOSING, MARQ_DERRIERE)}, "5R", "b>5L", ""},
    {"place", {MARK(CLOSING, MARQ_DERRIERE)}, "5R", "", ""},
    /* amounts: a double where a whole turn stands, a half where any goes */
    {"turn", {MARK(AMOUNT, 8)}, "5R", "a>5R,b>5R", ""},
    {"turn", {MARK(AMOUNT, 16)}, "5R", "a>5R,b>5R", ""},
    {"turn", {MARK(AMOUNT, 24)}, "5R", "a>5R,b>5R", ""},
    {"turn", {MARK(AMOUNT, 4)}, "5R", "", ""},
    {"half", {MARK(AMOUNT, 4)}, "5R", "a>5L", ""},
    {"half", {MARK(AMOUNT, 8)}, "5R", "", ""},
    {"any", {MARK(AMOUNT, 4)}, "5R", "a>5R,a>5R", ""},
    {"any", {MARK(AMOUNT, 2), MARK(SIDE, LEFT)}, "5R", "a>5R", ""},
    {"kept", {MARK(AMOUNT, 8)}, "5R", "", ""},
    /* qualifiers: a form of the term, asked of its moves, in another's
       place, of any step, of none */
    {"trav", {WORD("dessus")}, "5R", "a>5L", ""},
    {"trav", {WORD("dessous")}, "5R", "b>5L", ""},
    {"trav", {WORD("dessus"), WORD("dessous")}, "5R", "", ""},
    {"plain", {WORD("dessus")}, "5R", "a>5R,a>5L", ""},
    {"plain", {WORD("dessous")}, "5R", "a>5L,a>5R", ""},
    {"leg", {WORD("devant")}, "Rtb", "a>Rlf", ""},
    {"fwd", {WORD("en avant")}, "5R", "a>Rlb,a>Llb", ""},
    {"dev", {WORD("en avant")}, "5R", "a>5R", ""},
    {"dev", {WORD("devant")}, "5R", "a>5R", ""},
    {"trav", {WORD("petit")}, "5R", "a>5L,b>5L", ""},
    {"trav", {WORD("petit"), WORD("dessus")}, "5R", "a>5L", ""},
    {"trav", {WORD("ouvert")}, "5R", "a>5L,b>5L", "R007"},
    {"trav", {WORD("en avant")}, "5R", "a>5L,b>5L", "R007"},
    {"trav", {WORD("ouvert"), WORD("dessous")}, "5R", "b>5L", "R007"},
    {"plain", {WORD("devant")}, "5R", "a>5R,a>5L,a>5R,a>5L", "R007"},
    /* marked forms only when their word is written */
    {"forms", {{0}}, "5R", "a>5R", ""},
    {"forms", {WORD("en avant")}, "5R", "a>5R", ""},
    {"forms", {WORD("changé")}, "5R", "b>5L", ""},
    {"forms", {WORD("changé"), WORD("en avant")}, "5R", "b>5L", ""},
    {"forms", {WORD("fermé"), WORD("en avant")}, "5R", "a>5R", ""},
    {"forms", {WORD("fermé"), WORD("changé")}, "5R", "", ""},
    {"forms", {WORD("dessus")}, "5R", "", ""}, /* only in a series */
    /* no affair of the feet */
    {"kept", {MARK(REMARK, 0), MARK(LENGTH, 4)}, "5R", "a>5R", ""},
    {"kept", {MARK(NUMBERED, 8)}, "5R", "a>5R", ""},
};

static int open_desk(void **state)
{
    *state = stepdesk_new(terms, more_terms);
    return 0;
}

static int close_desk(void **state)
{
    stepdesk_free(*state);
    return 0;
}

static uint32_t write_item(stepdesk *d, const char *term, uint32_t times,
                           const written *marks, size_t count)
{
    uint32_t item = stepdesk_item(d, term, times);
    for (size_t i = 0; i < count; i++) {
        if (marks[i].qualifier != NULL) {
            stepdesk_mark(d, MARQ_MARK_QUALIFIER,
                          stepdesk_qualifier(d, marks[i].qualifier));
        } else if (marks[i].kind != 0) {
            stepdesk_mark(d, (marq_mark_kind)marks[i].kind, marks[i].value);
        }
    }
    return item;
}

static const char *tell_left(const stepdesk *d, const marq_demand *demand,
                             const char *from, char out[200])
{
    const marq_vocab_data *data = &d->load->data;
    size_t length = 0;
    out[0] = '\0';
    for (size_t i = 0; i < demand->variant_count; i++) {
        size_t v = demand->variants[i];
        const marq_move *moves;
        size_t count =
            marq_step_moves(data, v, stepdesk_body(from), &moves);
        for (size_t k = 0; k < count; k++) {
            char to[4];
            if (marq_demand_allows(demand, data, v, &moves[k])) {
                size_t letter =
                    v - data->terms[demand->term].first_variant;
                length += (size_t)snprintf(
                    out + length, 200 - length, "%s%c>%s",
                    length ? "," : "", (char)('a' + letter),
                    stepdesk_name(moves[k].to, to));
            }
        }
    }
    return out;
}

static void every_mark(void **state)
{
    stepdesk *d = *state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        char left[200];
        uint32_t item = write_item(d, rows[i].term, 1, rows[i].marks, 2);
        d->load->why->list.count = 0;
        marq_demand demand = stepdesk_demand(d, item);
        tell_left(d, &demand, rows[i].from, left);
        if (strcmp(left, rows[i].left)) {
            print_error("row %zu, %s from %s\n", i, rows[i].term,
                        rows[i].from);
        }
        assert_string_equal(left, rows[i].left);
        assert_int_equal(d->load->why->list.count, rows[i].codes[0] != 0);
        if (rows[i].codes[0]) {
            assert_string_equal(
                MARQ_AT(&d->load->why->list, marq_finding, 0)->code,
                rows[i].codes);
        }
    }
}

static void a_series_form_needs_a_series(void **state)
{
    stepdesk *d = *state;
    char left[200];
    const written word = WORD("dessus");
    marq_demand demand =
        stepdesk_demand(d, write_item(d, "forms", 3, &word, 1));
    assert_int_equal(demand.times, 3);
    assert_string_equal(tell_left(d, &demand, "5R", left), "c>1");
}

static void a_remark_is_noted_by_its_words(void **state)
{
    stepdesk *d = *state;
    const written word = WORD("ouvert");
    uint32_t item = write_item(d, "trav", 1, &word, 1);
    d->load->why->list.count = 0;
    assert_false(stepdesk_demand(d, item).narrows);
    assert_string_equal(
        MARQ_AT(&d->load->why->list, marq_finding, 0)->headline,
        "ouvert is not a form of trav; kept as a remark");
    marq_demand quiet; /* without a list nothing is noted */
    assert_int_equal(marq_demand_make(&quiet, &d->load->arena, d->vocab,
                                      &d->tree, item, NULL),
                     MARQ_OK);
    assert_int_equal(d->load->why->list.count, 1);
}

static void holds_and_named_fourth(void **state)
{
    stepdesk *d = *state;
    const written from = MARK(FROM, MARQ_FOURTH);
    marq_demand stay = stepdesk_demand(d, write_item(d, "stay", 1, &from, 1));
    assert_true(stay.hold);
    assert_true(stay.named_fourth);
    assert_true(stay.narrows);
    marq_demand kept = stepdesk_demand(d, write_item(d, "kept", 1, &from, 0));
    assert_false(kept.hold || kept.named_fourth || kept.narrows);
}

/* ---- turns ---- */

static const struct {
    const char *term;
    unsigned amount;
    const char *from;
    size_t variant;
    int turn;
} turns[] = {
    {"turn", 0, "5R", 0, 8},  {"turn", 16, "5R", 0, 16},
    {"turn", 0, "5R", 1, -8}, {"turn", 24, "5R", 1, -24},
    {"half", 0, "5R", 0, -4}, {"any", 2, "5R", 0, 2},
    {"kept", 0, "5R", 0, 0},  {"turn", 16, "5L", 0, -16},
};

static void turns_as_written(void **state)
{
    stepdesk *d = *state;
    for (size_t i = 0; i < sizeof turns / sizeof turns[0]; i++) {
        const written amount = {MARQ_MARK_AMOUNT, turns[i].amount, NULL};
        marq_demand demand = stepdesk_demand(
            d, write_item(d, turns[i].term, 1, &amount, turns[i].amount > 0));
        size_t v = stepdesk_variant(d, turns[i].term) + turns[i].variant;
        const marq_move *move;
        assert_true(marq_step_moves(&d->load->data, v,
                                    stepdesk_body(turns[i].from), &move) > 0);
        assert_int_equal(
            marq_demand_turn(&demand, &d->load->data.variants[v], move),
            turns[i].turn);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_mark),
        cmocka_unit_test(a_series_form_needs_a_series),
        cmocka_unit_test(a_remark_is_noted_by_its_words),
        cmocka_unit_test(holds_and_named_fourth),
        cmocka_unit_test(turns_as_written),
    };
    return cmocka_run_group_tests(tests, open_desk, close_desk);
}
