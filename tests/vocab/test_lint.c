/* test_lint.c - does the shipped vocabulary make sense as a whole? */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "step.h"
#include "text.h"
#include "vocab.h"

static const marq_vocab_data *const data = &marq_builtin_data;

static const char *variant_name(size_t v)
{
    static char name[200];
    const marq_variant *one = &data->variants[v];
    snprintf(name, sizeof name, "%s %s",
             data->strings + data->terms[one->term].name,
             data->strings + one->name);
    return name;
}

/* ---- getting in and out ---- */
/* Bodies from which a term other than `but` begins, or where one ends. */
static void mark_bodies(size_t but, bool begins[MARQ_BODIES],
                        bool ends[MARQ_BODIES])
{
    memset(begins, 0, MARQ_BODIES);
    memset(ends, 0, MARQ_BODIES);
    for (size_t v = 0; v < data->variant_count; v++) {
        const marq_variant *one = &data->variants[v];
        if (one->term == but) {
            continue;
        }
        for (size_t m = 0; m < one->move_count; m++) {
            const marq_move *move = &data->moves[one->first_move + m];
            if (move->from != move->to) { /* staying leads nowhere */
                begins[move->from] = true;
                ends[move->to] = true;
            }
        }
    }
}

static void every_line_can_be_entered_and_left(void **state)
{
    size_t faults = 0;
    (void)state;
    for (size_t t = 0; t < data->term_count; t++) {
        bool begins[MARQ_BODIES], ends[MARQ_BODIES];
        const marq_term *term = &data->terms[t];
        mark_bodies(t, begins, ends);
        assert_true(term->variant_count > 0);
        for (size_t i = 0; i < term->variant_count; i++) {
            size_t v = term->first_variant + i;
            const marq_variant *one = &data->variants[v];
            bool enters = false, leaves = true;
            assert_int_equal(one->term, t);
            for (size_t m = 0; m < one->move_count; m++) {
                const marq_move *move = &data->moves[one->first_move + m];
                enters |= ends[move->from];
                leaves &= begins[move->to];
            }
            if (!enters || !leaves) {
                print_message("%s: no other step leads %s\n",
                              variant_name(v), enters ? "on" : "here");
                faults++;
            }
        }
    }
    assert_int_equal(faults, 0);
}

/* ---- left and right ---- */
static uint8_t other_side(uint8_t side)
{
    /* 3 is either side. */
    return side == MARQ_SIDE_RIGHT  ? MARQ_SIDE_LEFT
           : side == MARQ_SIDE_LEFT ? MARQ_SIDE_RIGHT
                                    : side;
}

static void every_move_has_its_mirror(void **state)
{
    (void)state;
    for (size_t v = 0; v < data->variant_count; v++) {
        const marq_variant *one = &data->variants[v];
        const marq_move *moves = data->moves + one->first_move;
        for (size_t i = 0; i < one->move_count; i++) {
            const marq_move *a = &moves[i];
            size_t found = 0;
            for (size_t j = 0; j < one->move_count; j++) {
                const marq_move *b = &moves[j];
                found += b->from == marq_body_mirror(a->from) &&
                         b->to == marq_body_mirror(a->to) &&
                         b->turn == -a->turn &&
                         b->working == other_side(a->working) &&
                         b->lands == other_side(a->lands) &&
                         b->closing == other_side(a->closing) &&
                         b->travel == other_side(a->travel) &&
                         b->change == a->change;
            }
            if (found != 1) {
                print_message("%s: %zu mirrors of a move\n", variant_name(v),
                              found);
            }
            assert_int_equal(found, 1);
        }
    }
}

static void moves_are_indexed_by_where_they_begin(void **state)
{
    size_t counted = 0;
    (void)state;
    for (size_t v = 0; v < data->variant_count; v++) {
        for (unsigned b = 0; b < MARQ_BODIES; b++) {
            const marq_move *first;
            size_t n = marq_step_moves(data, v, (marq_body)b, &first);
            for (size_t i = 0; i < n; i++) {
                assert_int_equal(first[i].from, b);
                assert_true(first[i].to < MARQ_BODIES);
            }
            counted += n;
        }
    }
    assert_int_equal(counted, data->move_count);
}

/* ---- reverse ---- */
static void partners_under_reverse_name_each_other(void **state)
{
    size_t faults = 0;
    (void)state;
    for (size_t v = 0; v < data->variant_count; v++) {
        const marq_variant *one = &data->variants[v];
        if (one->reverse == 0xffff) {
            continue;
        }
        assert_true(one->reverse < data->variant_count);
        const marq_variant *partner = &data->variants[one->reverse];
        assert_int_equal(partner->term, one->term);
        if (partner->reverse == 0xffff) {
            continue;
        }
        const marq_variant *back = &data->variants[partner->reverse];
        if (!marq_tags_within(back->tags, one->tags) ||
            !marq_tags_within(one->tags, back->tags)) {
            print_message("%s: its reverse goes back to %s\n",
                          variant_name(v), data->strings + back->name);
            faults++;
        }
    }
    for (size_t q = 0; q < data->qualifier_count; q++) {
        uint16_t partner = data->qualifiers[q].mirror_reverse;
        if (partner == 0xffff) {
            continue;
        }
        assert_true(partner < data->qualifier_count);
        uint16_t back = data->qualifiers[partner].mirror_reverse;
        if (back != 0xffff && back != q) {
            print_message("%s: its reverse names another\n",
                          data->strings + data->qualifiers[q].name);
            faults++;
        }
    }
    assert_int_equal(faults, 0);
}

/* ---- what a term must have ---- */
static void terms_are_complete(void **state)
{
    (void)state;
    for (size_t t = 0; t < data->term_count; t++) {
        const marq_term *term = &data->terms[t];
        bool free_of_charge = false;
        for (size_t i = 0; i < term->variant_count; i++) {
            const marq_variant *v =
                &data->variants[term->first_variant + i];
            free_of_charge |= v->price == 0;
            /* What must be written is among what it carries. */
            assert_true(marq_tags_within(v->marked, v->tags));
        }
        assert_true(free_of_charge);
        assert_true(data->strings[term->id] != '\0');
        assert_true(data->strings[term->means] != '\0');
        assert_true(data->strings[term->source] != '\0');
        for (size_t u = 0; u < t; u++) {
            assert_string_not_equal(data->strings + term->id,
                                    data->strings + data->terms[u].id);
        }
    }
}

/* ---- words ---- */
static bool has_sense(marq_arena *arena, const char *words, marq_role role,
                      uint16_t id)
{
    const char *folded = marq_text_fold_string(arena, words, strlen(words));
    const char *key = marq_form_key(arena, folded, strlen(folded));
    const marq_form *form = marq_form_find(data, key, strlen(key));
    for (size_t i = 0; form && i < form->sense_count; i++) {
        const marq_sense *s = &data->senses[form->first_sense + i];
        if (s->role == role && s->id == id) {
            return true;
        }
    }
    print_message("not in the vocabulary: %s\n", words);
    return false;
}

/* All that the program prints about a stand is a word it knows. */
static void printed_words_are_known(void **state)
{
    marq_arena arena;
    size_t missing = 0;
    (void)state;
    marq_arena_init(&arena, marq_mem_of(NULL));
    for (unsigned b = 0; b < MARQ_BODIES; b++) {
        marq_build build;
        marq_build_init(&build, &arena);
        marq_body_words(&build, (marq_body)b);
        const char *words = marq_build_done(&build, NULL);
        const char *comma = strchr(words, ',');
        if (marq_body_is_two((marq_body)b)) {
            size_t length = comma ? (size_t)(comma - words) : strlen(words);
            missing += !has_sense(&arena,
                                  marq_arena_copy(&arena, words, length),
                                  MARQ_ROLE_POSITION,
                                  (uint16_t)marq_body_position((marq_body)b));
            continue;
        }
        /* "on the left, right ankle behind": what follows the foot. */
        assert_non_null(comma);
        const char *place = strchr(comma + 2, ' ') + 1;
        const char *folded =
            marq_text_fold_string(&arena, place, strlen(place));
        const char *key = marq_form_key(&arena, folded, strlen(folded));
        const marq_form *form = marq_form_find(data, key, strlen(key));
        marq_free_mask want = MARQ_FREE(marq_body_shape((marq_body)b),
                                        marq_body_where((marq_body)b));
        bool found = false;
        for (size_t i = 0; form && i < form->sense_count; i++) {
            const marq_sense *s = &data->senses[form->first_sense + i];
            found |= s->role == MARQ_ROLE_FREE &&
                     data->free_words[s->id].mask == want;
        }
        if (!found) {
            print_message("not in the vocabulary: %s\n", place);
        }
        missing += !found;
    }
    for (unsigned f = 0; f < MARQ_FACINGS; f++) {
        missing += !has_sense(&arena, marq_facing_words((marq_facing)f),
                              MARQ_ROLE_FACING, (uint16_t)f);
    }
    for (unsigned a = 0; a < MARQ_ALIGNMENTS; a++) {
        missing += !has_sense(&arena,
                              marq_alignment_words((marq_alignment)a),
                              MARQ_ROLE_ALIGNMENT, (uint16_t)a);
    }
    marq_arena_free(&arena);
    assert_int_equal(missing, 0);
}

/* Every foot, relation, operator and heading there is can be written, every
 * notation has a pattern. */
static void every_meaning_can_be_written(void **state)
{
    static const struct {
        marq_role role;
        uint16_t first, last;
    } all[] = {/* the right and left foot are patterns (notation.vocab) */
               {MARQ_ROLE_FOOT, MARQ_FOOT_FRONT, MARQ_FOOT_OUTSIDE},
               {MARQ_ROLE_SIDE, MARQ_SIDE_RIGHT, MARQ_SIDE_LEFT},
               {MARQ_ROLE_POSITION, MARQ_FIRST, MARQ_TIPS},
               {MARQ_ROLE_RELATION, MARQ_FROM, MARQ_FACING_TO},
               {MARQ_ROLE_OPERATOR, MARQ_OP_REPEAT, MARQ_OP_ALTERNATE},
               {MARQ_ROLE_HEADING, MARQ_HEAD_TITLE, MARQ_HEAD_REMARK},
               {MARQ_ROLE_JOIN, 0, 0},
               {MARQ_ROLE_FILLER, 0, 0},
               {MARQ_ROLE_REMARK, 0, 0},
               {MARQ_ROLE_HOLE, 0, 0}};
    size_t missing = 0;
    (void)state;
    for (size_t r = 0; r < sizeof all / sizeof *all; r++) {
        for (uint16_t id = all[r].first; id <= all[r].last; id++) {
            bool found = false;
            for (size_t s = 0; s < data->sense_count; s++) {
                found |= data->senses[s].role == all[r].role &&
                         data->senses[s].id == id;
            }
            if (!found) {
                print_message("no word for role %d, meaning %d\n",
                              (int)all[r].role, id);
                missing++;
            }
        }
    }
    for (unsigned n = 0; n < MARQ_NOTATIONS; n++) {
        bool found = false;
        for (size_t i = 0; i < data->notation_count; i++) {
            found |= data->notations[i].notation == n;
        }
        if (!found) {
            print_message("no pattern: %s\n",
                          marq_notation_name((marq_notation)n));
            missing++;
        }
    }
    assert_int_equal(missing, 0);
}

/* The canonical name of a term or qualifier leads back to it. */
static void names_lead_back(void **state)
{
    marq_arena arena;
    size_t missing = 0;
    (void)state;
    marq_arena_init(&arena, marq_mem_of(NULL));
    for (size_t t = 0; t < data->term_count; t++) {
        missing += !has_sense(&arena, data->strings + data->terms[t].name,
                              MARQ_ROLE_TERM, (uint16_t)t);
    }
    for (size_t q = 0; q < data->qualifier_count; q++) {
        missing +=
            !has_sense(&arena, data->strings + data->qualifiers[q].name,
                       MARQ_ROLE_QUALIFIER, (uint16_t)q);
    }
    marq_arena_free(&arena);
    assert_int_equal(missing, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_line_can_be_entered_and_left),
        cmocka_unit_test(every_move_has_its_mirror),
        cmocka_unit_test(moves_are_indexed_by_where_they_begin),
        cmocka_unit_test(partners_under_reverse_name_each_other),
        cmocka_unit_test(terms_are_complete),
        cmocka_unit_test(printed_words_are_known),
        cmocka_unit_test(every_meaning_can_be_written),
        cmocka_unit_test(names_lead_back),
    };
    return cmocka_run_group_tests_name("lint", tests, NULL, NULL);
}
