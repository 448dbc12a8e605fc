/* test_state.c - bodies, facings and alignments: the numbers and the words. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "state.h"
#include "tree.h"

#define R MARQ_SIDE_RIGHT
#define L MARQ_SIDE_LEFT
#define NONE MARQ_SIDE_NONE

/* Positions with a front foot have two bodies, the others one: 3 + 4 * 2. */
static void two_feet_round_trip(void **state)
{
    static const bool has_front[MARQ_POSITIONS] = {
        [MARQ_THIRD] = true,
        [MARQ_FOURTH] = true,
        [MARQ_FIFTH] = true,
        [MARQ_TIPS] = true,
    };
    bool seen[MARQ_BODIES] = {false};
    size_t count = 0;
    (void)state;
    for (unsigned p = 0; p < MARQ_POSITIONS; p++) {
        for (int side = R; side <= L; side++) {
            marq_side s = (marq_side)side;
            marq_body b = marq_body_two((marq_position)p, s);
            assert_in_range(b, 0, MARQ_BODIES - 1);
            assert_true(marq_body_is_two(b));
            assert_int_equal(marq_body_position(b), p);
            assert_int_equal(marq_body_front(b), has_front[p] ? s : NONE);
            assert_int_equal(marq_body_standing(b), NONE);
            assert_true(!seen[b] || (!has_front[p] && s == L));
            count += !seen[b];
            seen[b] = true;
        }
    }
    assert_int_equal(count, 11);
}

static void one_foot_round_trips(void **state)
{
    bool seen[MARQ_BODIES] = {false};
    size_t count = 0;
    (void)state;
    for (int side = R; side <= L; side++) {
        for (unsigned shape = 0; shape < MARQ_SHAPES; shape++) {
            for (unsigned where = 0; where < MARQ_WHERES; where++) {
                marq_body b =
                    marq_body_one((marq_side)side, (marq_shape)shape,
                                  (marq_where)where);
                assert_in_range(b, 0, MARQ_BODIES - 1);
                assert_false(marq_body_is_two(b));
                assert_int_equal(marq_body_standing(b), side);
                assert_int_equal(marq_body_shape(b), shape);
                assert_int_equal(marq_body_where(b), where);
                assert_false(seen[b]);
                seen[b] = true;
                count++;
            }
        }
    }
    assert_int_equal(count, 36);
}

/* following.md 2: free leg in front, the free foot; behind, the standing foot;
 * to the side, undefined. */
static void the_front_foot_on_one_foot(void **state)
{
    (void)state;
    for (unsigned shape = 0; shape < MARQ_SHAPES; shape++) {
        marq_shape s = (marq_shape)shape;
        assert_int_equal(marq_body_front(marq_body_one(R, s, MARQ_DEVANT)), L);
        assert_int_equal(marq_body_front(marq_body_one(L, s, MARQ_DEVANT)), R);
        assert_int_equal(marq_body_front(marq_body_one(R, s, MARQ_DERRIERE)),
                         R);
        assert_int_equal(marq_body_front(marq_body_one(L, s, MARQ_DERRIERE)),
                         L);
        assert_int_equal(marq_body_front(marq_body_one(R, s, MARQ_SIDE)),
                         NONE);
        assert_int_equal(marq_body_front(marq_body_one(L, s, MARQ_SIDE)),
                         NONE);
    }
}

static void mirrors_undo_themselves(void **state)
{
    size_t still = 0;
    (void)state;
    for (unsigned i = 0; i < MARQ_BODIES; i++) {
        marq_body b = (marq_body)i, m = marq_body_mirror(b);
        assert_int_equal(marq_body_mirror(m), b);
        still += m == b;
        assert_int_equal(marq_body_is_two(m), marq_body_is_two(b));
        assert_int_equal(marq_body_front(m),
                         marq_side_other(marq_body_front(b)));
        assert_int_equal(marq_body_standing(m),
                         marq_side_other(marq_body_standing(b)));
        if (marq_body_is_two(b)) {
            assert_int_equal(marq_body_position(m), marq_body_position(b));
        } else {
            assert_int_equal(marq_body_shape(m), marq_body_shape(b));
            assert_int_equal(marq_body_where(m), marq_body_where(b));
        }
    }
    assert_int_equal(still, 3); /* first, second, parallel */
    assert_int_equal(marq_side_other(NONE), NONE);
    assert_int_equal(marq_side_other(R), L);
    assert_int_equal(marq_side_other(L), R);
}

/* Height of the free leg and flat or tips do not count, all else does. */
static void alike_bodies(void **state)
{
    (void)state;
    for (unsigned i = 0; i < MARQ_BODIES; i++) {
        for (unsigned k = 0; k < MARQ_BODIES; k++) {
            marq_body a = (marq_body)i, b = (marq_body)k;
            bool alike = a == b;
            if (marq_body_is_two(a) && marq_body_is_two(b)) {
                marq_position p = marq_body_position(a);
                marq_position q = marq_body_position(b);
                alike |= marq_body_front(a) == marq_body_front(b) &&
                         ((p == MARQ_FIFTH && q == MARQ_TIPS) ||
                          (p == MARQ_TIPS && q == MARQ_FIFTH));
            } else if (!marq_body_is_two(a) && !marq_body_is_two(b)) {
                marq_shape p = marq_body_shape(a), q = marq_body_shape(b);
                alike |= marq_body_standing(a) == marq_body_standing(b) &&
                         marq_body_where(a) == marq_body_where(b) &&
                         (p == MARQ_LOW || p == MARQ_HIGH) &&
                         (q == MARQ_LOW || q == MARQ_HIGH);
            }
            assert_int_equal(marq_body_alike(a, b), alike);
        }
    }
}

static void facings_turn_and_mirror(void **state)
{
    (void)state;
    /* space-music.md 7.2: Vaganova 1>1, 2<>8, 3<>7, 4<>6, 5>5 */
    static const marq_facing mirrored[8] = {0, 7, 6, 5, 4, 3, 2, 1};
    for (unsigned f = 0; f < 8; f++) {
        assert_int_equal(marq_facing_mirror((marq_facing)f), mirrored[f]);
        assert_int_equal(marq_facing_turn((marq_facing)f, 8), f);
        assert_int_equal(marq_facing_turn((marq_facing)f, -24), f);
        for (int e = -30; e <= 30; e++) {
            marq_facing t = marq_facing_turn((marq_facing)f, e);
            assert_int_equal(marq_facing_turn(t, -e), f);
            /* what turns right turns left in the glass */
            assert_int_equal(
                marq_facing_turn(marq_facing_mirror((marq_facing)f), -e),
                marq_facing_mirror(t));
        }
    }
    assert_int_equal(marq_facing_turn(0, 1), 1); /* to her right */
    assert_int_equal(marq_facing_turn(0, -1), 7);
    assert_int_equal(marq_facing_turn(7, 2), 1);
}

/* ---- alignments: space-music.md 3.3 and 3.4, walls in Russian numbers,
 * which are facings plus one ---- */

enum { EF = MARQ_EN_FACE, CR = MARQ_CROISE, OU = MARQ_EFFACE,
       EC = MARQ_ECARTE, PR = MARQ_PROFIL, DO = MARQ_DOS };

static const struct {
    int wall;
    uint8_t right, left; /* front foot */
} closed[] = {
    {1, EF, EF}, {2, OU, CR}, {3, PR, PR}, {4, CR, OU},
    {5, DO, DO}, {6, OU, CR}, {7, PR, PR}, {8, CR, OU},
};

static const struct {
    int wall;
    marq_side leg;
    uint8_t at[MARQ_WHERES]; /* devant, a la seconde, derriere */
} extended[] = {
    {1, R, {EF, EF, EF}}, {1, L, {EF, EF, EF}}, {2, R, {OU, EC, CR}},
    {2, L, {CR, EC, OU}}, {3, R, {PR, PR, PR}}, {3, L, {PR, PR, PR}},
    {4, R, {CR, EC, OU}}, {4, L, {OU, EC, CR}}, {5, R, {DO, DO, DO}},
    {5, L, {DO, DO, DO}}, {6, R, {OU, EC, CR}}, {6, L, {CR, EC, OU}},
    {7, R, {PR, PR, PR}}, {7, L, {PR, PR, PR}}, {8, R, {CR, EC, OU}},
    {8, L, {OU, EC, CR}},
};

static void closed_feet_have_alignments(void **state)
{
    static const marq_position positions[] = {MARQ_THIRD, MARQ_FOURTH,
                                              MARQ_FIFTH, MARQ_TIPS};
    (void)state;
    for (size_t p = 0; p < 4; p++) {
        uint8_t masks[2][MARQ_ALIGNMENTS] = {{0}};
        for (size_t i = 0; i < 8; i++) {
            marq_facing f = (marq_facing)(closed[i].wall - 1);
            assert_int_equal(
                marq_alignment_of(marq_body_two(positions[p], R), f),
                closed[i].right);
            assert_int_equal(
                marq_alignment_of(marq_body_two(positions[p], L), f),
                closed[i].left);
            masks[0][closed[i].right] |= (uint8_t)(1u << f);
            masks[1][closed[i].left] |= (uint8_t)(1u << f);
        }
        for (unsigned a = 0; a < MARQ_ALIGNMENTS; a++) {
            for (int s = R; s <= L; s++) {
                assert_int_equal(
                    marq_alignment_facings(
                        (marq_alignment)a,
                        marq_body_two(positions[p], (marq_side)s)),
                    masks[s - 1][a]);
            }
        }
    }
}

static void legs_have_alignments(void **state)
{
    uint8_t masks[3][MARQ_WHERES][MARQ_ALIGNMENTS] = {{{0}}};
    (void)state;
    for (size_t i = 0; i < sizeof extended / sizeof extended[0]; i++) {
        marq_facing f = (marq_facing)(extended[i].wall - 1);
        for (unsigned w = 0; w < MARQ_WHERES; w++) {
            for (unsigned shape = 0; shape < MARQ_SHAPES; shape++) {
                marq_body b =
                    marq_body_one(marq_side_other(extended[i].leg),
                                  (marq_shape)shape, (marq_where)w);
                assert_int_equal(marq_alignment_of(b, f), extended[i].at[w]);
            }
            masks[extended[i].leg][w][extended[i].at[w]] |=
                (uint8_t)(1u << f);
        }
    }
    for (unsigned a = 0; a < MARQ_ALIGNMENTS; a++) {
        for (unsigned w = 0; w < MARQ_WHERES; w++) {
            for (int s = R; s <= L; s++) {
                marq_side leg = (marq_side)s;
                assert_int_equal(marq_alignment_leg((marq_alignment)a, leg,
                                                    (marq_where)w),
                                 masks[s][w][a]);
                assert_int_equal(
                    marq_alignment_facings(
                        (marq_alignment)a,
                        marq_body_one(marq_side_other(leg), MARQ_HIGH,
                                      (marq_where)w)),
                    masks[s][w][a]);
            }
        }
    }
}

static void open_feet_have_none_on_diagonals(void **state)
{
    static const marq_position open[] = {MARQ_FIRST, MARQ_SECOND,
                                         MARQ_PARALLEL};
    static const uint8_t straight[4] = {EF, PR, DO, PR};
    (void)state;
    for (size_t p = 0; p < 3; p++) {
        marq_body b = marq_body_two(open[p], NONE);
        for (unsigned f = 0; f < 8; f++) {
            assert_int_equal(marq_alignment_of(b, (marq_facing)f),
                             f % 2 ? MARQ_ALIGNMENTS : straight[f / 2]);
        }
        assert_int_equal(marq_alignment_facings(MARQ_CROISE, b), 0);
        assert_int_equal(marq_alignment_facings(MARQ_EFFACE, b), 0);
        assert_int_equal(marq_alignment_facings(MARQ_EN_FACE, b), 1);
        assert_int_equal(marq_alignment_facings(MARQ_DOS, b), 1u << 4);
    }
}

/* The other side keeps the word and mirrors the facing (7.2). */
static void alignments_mirror(void **state)
{
    (void)state;
    for (unsigned b = 0; b < MARQ_BODIES; b++) {
        for (unsigned f = 0; f < 8; f++) {
            assert_int_equal(
                marq_alignment_of((marq_body)b, (marq_facing)f),
                marq_alignment_of(marq_body_mirror((marq_body)b),
                                  marq_facing_mirror((marq_facing)f)));
        }
    }
}

static void upstage_masks(void **state)
{
    (void)state;
    for (unsigned mask = 0; mask < 256; mask++) {
        bool back = false, front = false;
        for (unsigned f = 0; f < 8; f++) {
            if (mask >> f & 1u) {
                back |= f >= 3 && f <= 5;
                front |= f < 3 || f > 5;
            }
        }
        assert_int_equal(marq_facings_upstage((uint8_t)mask),
                         back && !front);
    }
}

/* ---- words ---- */

static const struct {
    marq_side standing; /* NONE: on two feet */
    int first, second;  /* position, front; shape, where */
    const char *words;
} spoken[] = {
    {NONE, MARQ_FIRST, NONE, "first"},
    {NONE, MARQ_SECOND, NONE, "second"},
    {NONE, MARQ_PARALLEL, NONE, "parallel"},
    {NONE, MARQ_THIRD, L, "third, left front"},
    {NONE, MARQ_FOURTH, R, "fourth, right front"},
    {NONE, MARQ_FIFTH, R, "fifth, right front"},
    {NONE, MARQ_TIPS, L, "fifth on the tips, left front"},
    {L, MARQ_ANKLE, MARQ_DERRIERE, "on the left, right ankle behind"},
    {R, MARQ_A_TERRE, MARQ_DEVANT, "on the right, left à terre front"},
    {R, MARQ_KNEE, MARQ_SIDE, "on the right, left knee side"},
    {L, MARQ_HIGH, MARQ_SIDE, "on the left, right high side"},
    {L, MARQ_LOW, MARQ_DEVANT, "on the left, right low front"},
    {R, MARQ_ATTITUDE, MARQ_DERRIERE, "on the right, left attitude behind"},
};

static void bodies_have_words(void **state)
{
    marq_arena arena;
    (void)state;
    marq_arena_init(&arena, marq_mem_of(NULL));
    for (size_t i = 0; i < sizeof spoken / sizeof spoken[0]; i++) {
        marq_build b;
        marq_body body =
            spoken[i].standing == NONE
                ? marq_body_two((marq_position)spoken[i].first,
                                (marq_side)spoken[i].second)
                : marq_body_one(spoken[i].standing,
                                (marq_shape)spoken[i].first,
                                (marq_where)spoken[i].second);
        marq_build_init(&b, &arena);
        marq_body_words(&b, body);
        assert_string_equal(marq_build_done(&b, NULL), spoken[i].words);
    }
    assert_string_equal(marq_facing_words(0), "audience");
    assert_string_equal(marq_facing_words(1), "front right corner");
    assert_string_equal(marq_facing_words(2), "right wall");
    assert_string_equal(marq_facing_words(5), "back left corner");
    assert_string_equal(marq_facing_words(7), "front left corner");
    assert_string_equal(marq_alignment_words(MARQ_CROISE), "croisé");
    assert_string_equal(marq_alignment_words(MARQ_EFFACE), "effacé");
    assert_string_equal(marq_side_words(NONE), "");
    marq_arena_free(&arena);
}

/* The words of every body, written as a start, are read as just that body. */
static void words_read_back(void **state)
{
    marq_arena arena;
    marq_vocab *vocab;
    (void)state;
    marq_arena_init(&arena, marq_mem_of(NULL));
    assert_int_equal(marq_vocab_builtin(&vocab, NULL), MARQ_OK);
    for (unsigned i = 0; i < MARQ_BODIES; i++) {
        marq_build b;
        marq_combo *combo;
        size_t length;
        marq_build_init(&b, &arena);
        marq_build_text(&b, "start ");
        marq_body_words(&b, (marq_body)i);
        marq_build_text(&b, "\n\nhold\n");
        const char *text = marq_build_done(&b, &length);
        assert_int_equal(marq_combo_read(&combo, vocab, text, length, NULL),
                         MARQ_OK);
        const marq_stand *start = &combo->tree.start;
        assert_true(start->written && start->has_bodies);
        for (unsigned k = 0; k < MARQ_BODIES; k++) {
            if (start->bodies[k] != (k == i)) {
                print_error("%s: body %u\n", text, k);
            }
            assert_int_equal(start->bodies[k], k == i);
        }
        marq_combo_free(combo);
    }
    marq_vocab_free(vocab);
    marq_arena_free(&arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(two_feet_round_trip),
        cmocka_unit_test(one_foot_round_trips),
        cmocka_unit_test(the_front_foot_on_one_foot),
        cmocka_unit_test(mirrors_undo_themselves),
        cmocka_unit_test(alike_bodies),
        cmocka_unit_test(facings_turn_and_mirror),
        cmocka_unit_test(closed_feet_have_alignments),
        cmocka_unit_test(legs_have_alignments),
        cmocka_unit_test(open_feet_have_none_on_diagonals),
        cmocka_unit_test(alignments_mirror),
        cmocka_unit_test(upstage_masks),
        cmocka_unit_test(bodies_have_words),
        cmocka_unit_test(words_read_back),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
