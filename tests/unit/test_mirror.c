/* test_mirror.c - the other side of a tree: what is exchanged, what stays. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>

#include <cmocka.h>

#include "mirror.h"
#include "testmem.h"

static const marq_vocab_data data = {.strings = ""};
static const marq_vocab vocab = {.data = &data};

typedef struct made {
    marq_arena arena;
    marq_source source;
    marq_tree tree, other;
} made;

static void begin_tree(made *m)
{
    marq_arena_init(&m->arena, marq_mem_of(NULL));
    assert_int_equal(marq_source_init(&m->source, &m->arena, NULL,
                                      "right left arms", 15),
                     MARQ_OK);
    marq_tree_init(&m->tree, &m->arena, &m->source);
    marq_line *line = marq_array_add(&m->tree.lines);
    assert_non_null(line);
    line->item_count = 1;
    marq_item *item = marq_array_add(&m->tree.items);
    assert_non_null(item);
    item->kind = MARQ_ITEM_STEP;
    item->times = 1;
}

static void add_mark(made *m, marq_mark_kind kind, unsigned value)
{
    marq_mark *mark = marq_array_add(&m->tree.marks);
    assert_non_null(mark);
    mark->kind = (uint8_t)kind;
    mark->value = (uint16_t)value;
    MARQ_AT(&m->tree.items, marq_item, 0)->mark_count++;
}

static void turn_over(made *m)
{
    assert_int_equal(
        marq_mirror_tree(&m->other, &m->arena, &vocab, &m->tree), MARQ_OK);
}

static unsigned mark_of(const made *m, size_t i)
{
    return MARQ_AT(&m->other.marks, marq_mark, i)->value;
}

/* kind, value, value on the other side; checks-space.md B and needs 2 */
static const struct {
    marq_mark_kind kind;
    unsigned value, other;
} marks[] = {
    {MARQ_MARK_FOOT, MARQ_FOOT_RIGHT, MARQ_FOOT_LEFT},
    {MARQ_MARK_FOOT, MARQ_FOOT_LEFT, MARQ_FOOT_RIGHT},
    {MARQ_MARK_FOOT, MARQ_FOOT_FRONT, MARQ_FOOT_FRONT},
    {MARQ_MARK_FOOT, MARQ_FOOT_BACK, MARQ_FOOT_BACK},
    {MARQ_MARK_FOOT, MARQ_FOOT_FREE, MARQ_FOOT_FREE},
    {MARQ_MARK_FOOT, MARQ_FOOT_INSIDE, MARQ_FOOT_INSIDE},
    {MARQ_MARK_ON, MARQ_FOOT_RIGHT, MARQ_FOOT_LEFT},
    {MARQ_MARK_ON, MARQ_FOOT_STANDING, MARQ_FOOT_STANDING},
    {MARQ_MARK_SIDE, MARQ_SIDE_RIGHT, MARQ_SIDE_LEFT},
    {MARQ_MARK_TOWARD, MARQ_SIDE_LEFT, MARQ_SIDE_RIGHT},
    {MARQ_MARK_FRONT, MARQ_SIDE_RIGHT, MARQ_SIDE_LEFT},
    {MARQ_MARK_FROM, MARQ_SECOND, MARQ_SECOND},
    {MARQ_MARK_TO, MARQ_PARALLEL, MARQ_PARALLEL},
    {MARQ_MARK_IN, MARQ_SECOND, MARQ_SECOND},
    {MARQ_MARK_TO_FREE, 2, 2},
    {MARQ_MARK_CLOSING, MARQ_DERRIERE, MARQ_DERRIERE},
    {MARQ_MARK_CLOSING, MARQ_SIDE, MARQ_SIDE},
    {MARQ_MARK_QUALIFIER, 1, 1},
    {MARQ_MARK_QUALIFIER, 2, 2},
    /* B031 to B038: walls 1 and 5 of the Russian room stay, 2 and 8, 3 and 7,
       4 and 6 change places; as facings: */
    {MARQ_MARK_FACING, 0, 0},
    {MARQ_MARK_FACING, 1, 7},
    {MARQ_MARK_FACING, 2, 6},
    {MARQ_MARK_FACING, 3, 5},
    {MARQ_MARK_FACING, 4, 4},
    {MARQ_MARK_FACING, 5, 3},
    {MARQ_MARK_FACING, 6, 2},
    {MARQ_MARK_FACING, 7, 1},
    /* a bare number is of no known school */
    {MARQ_MARK_NUMBERED, 1, 1},
    {MARQ_MARK_NUMBERED, 2, 2},
    {MARQ_MARK_NUMBERED, 8, 8},
    /* B050: words stay */
    {MARQ_MARK_ALIGNMENT, MARQ_CROISE, MARQ_CROISE},
    {MARQ_MARK_ALIGNMENT, MARQ_EFFACE, MARQ_EFFACE},
    {MARQ_MARK_AMOUNT, 2, 2},
    {MARQ_MARK_LENGTH, 1, 1},
    {MARQ_MARK_REMARK, 1, 1},
};

static void marks_change_sides(void **state)
{
    made m;
    (void)state;
    begin_tree(&m);
    size_t count = sizeof marks / sizeof marks[0];
    for (size_t i = 0; i < count; i++) {
        add_mark(&m, marks[i].kind, marks[i].value);
    }
    turn_over(&m);
    for (size_t i = 0; i < count; i++) {
        if (mark_of(&m, i) != marks[i].other) {
            print_error("mark %zu\n", i);
        }
        assert_int_equal(mark_of(&m, i), marks[i].other);
        /* the tree itself is left as it was */
        assert_int_equal(MARQ_AT(&m.tree.marks, marq_mark, i)->value,
                         marks[i].value);
    }
    marq_arena_free(&m.arena);
}

static void stands_change_sides(void **state)
{
    made m;
    (void)state;
    begin_tree(&m);
    marq_stand *s = &m.tree.start;
    s->written = s->has_bodies = true;
    s->bodies[marq_body_two(MARQ_FIFTH, MARQ_SIDE_RIGHT)] = 1;
    s->bodies[marq_body_two(MARQ_FIRST, MARQ_SIDE_NONE)] = 1;
    s->bodies[marq_body_one(MARQ_SIDE_LEFT, MARQ_ANKLE, MARQ_DERRIERE)] = 1;
    s->facings = 1u << 7 | 1u << 2;
    s->alignments = 1u << MARQ_CROISE;
    s->numbered = 8;
    m.tree.finish = *s;
    *(marq_stand *)marq_array_add(&m.tree.stands) = *s;
    turn_over(&m);
    const marq_stand *all[] = {&m.other.start, &m.other.finish,
                               MARQ_AT(&m.other.stands, marq_stand, 0)};
    for (size_t i = 0; i < 3; i++) {
        s = (marq_stand *)(uintptr_t)all[i];
        size_t count = 0;
        for (size_t b = 0; b < MARQ_BODIES; b++) {
            count += s->bodies[b];
        }
        assert_int_equal(count, 3);
        assert_true(s->bodies[marq_body_two(MARQ_FIFTH, MARQ_SIDE_LEFT)]);
        assert_true(s->bodies[marq_body_two(MARQ_FIRST, MARQ_SIDE_NONE)]);
        assert_true(s->bodies[marq_body_one(MARQ_SIDE_RIGHT, MARQ_ANKLE,
                                            MARQ_DERRIERE)]);
        assert_int_equal(s->facings, 1u << 1 | 1u << 6);
        assert_int_equal(s->alignments, 1u << MARQ_CROISE);
        assert_int_equal(s->numbered, 8);
    }
    marq_arena_free(&m.arena);
}

static void any_facing_stays_any(void **state)
{
    made m;
    (void)state;
    begin_tree(&m);
    turn_over(&m);
    assert_int_equal(m.other.start.facings, MARQ_ANY_FACING);
    marq_arena_free(&m.arena);
}

static void headings_change_sides_and_counts_stay(void **state)
{
    made m;
    (void)state;
    begin_tree(&m);
    marq_line *line = MARQ_AT(&m.tree.lines, marq_line, 0);
    line->side = MARQ_SIDE_RIGHT;
    line->has_counts = true;
    line->count_from = (marq_count){3, 1};
    line->count_to = (marq_count){9, 2};
    line->count_half = true;
    line->phrase_break = true;
    MARQ_AT(&m.tree.items, marq_item, 0)->times = 3;
    m.tree.one_side = true;
    turn_over(&m);
    line = MARQ_AT(&m.other.lines, marq_line, 0);
    assert_int_equal(line->side, MARQ_SIDE_LEFT);
    assert_int_equal(line->count_from.num, 3);
    assert_int_equal(line->count_to.num, 9);
    assert_true(line->count_half);
    assert_true(line->phrase_break);
    assert_true(m.other.one_side);
    assert_int_equal(MARQ_AT(&m.other.items, marq_item, 0)->times, 3);
    assert_ptr_equal(m.other.source, m.tree.source);
    marq_arena_free(&m.arena);
}

/* ---- twice gives the original ---- */

static uint64_t random_state;

static unsigned next_random(unsigned below)
{
    random_state ^= random_state << 13;
    random_state ^= random_state >> 7;
    random_state ^= random_state << 17;
    return (unsigned)(random_state >> 32) % below;
}

static void fill_stand(marq_stand *s)
{
    s->written = next_random(2);
    s->has_bodies = next_random(2);
    for (size_t b = 0; b < MARQ_BODIES; b++) {
        s->bodies[b] = next_random(4) == 0;
    }
    s->facings = (uint8_t)next_random(256);
    s->alignments = (uint8_t)next_random(64);
    s->numbered = (uint8_t)next_random(9);
}

static void twice_is_the_original(void **state)
{
    (void)state;
    random_state = 0x2545f4914f6cdd1du;
    size_t differed = 0;
    for (int run = 0; run < 2000; run++) {
        made m;
        marq_tree back;
        begin_tree(&m);
        unsigned n = next_random(12);
        for (unsigned i = 0; i < n; i++) {
            marq_mark_kind kind = (marq_mark_kind)next_random(MARQ_MARKS);
            unsigned value = next_random(12);
            if (kind == MARQ_MARK_FACING) {
                value %= MARQ_FACINGS;
            }
            add_mark(&m, kind, value);
        }
        MARQ_AT(&m.tree.lines, marq_line, 0)->side =
            (uint8_t)next_random(3);
        fill_stand(&m.tree.start);
        fill_stand(&m.tree.finish);
        turn_over(&m);
        differed += !marq_tree_equal(&m.tree, &m.other);
        assert_int_equal(
            marq_mirror_tree(&back, &m.arena, &vocab, &m.other), MARQ_OK);
        assert_true(marq_tree_equal(&m.tree, &back));
        marq_arena_free(&m.arena);
    }
    assert_true(differed > 1000); /* else it would prove nothing */
}

static marq_status mirror_with(testmem *mem, void *ctx)
{
    made m;
    marq_arena arena;
    marq_config config = testmem_config(mem);
    (void)ctx;
    begin_tree(&m);
    add_mark(&m, MARQ_MARK_SIDE, MARQ_SIDE_RIGHT);
    marq_arena_init(&arena, marq_mem_of(&config));
    marq_status status = marq_mirror_tree(&m.other, &arena, &vocab, &m.tree);
    marq_arena_free(&arena);
    marq_arena_free(&m.arena);
    return status;
}

static void no_memory_is_said(void **state)
{
    (void)state;
    assert_true(testmem_each_failure(mirror_with, NULL) > 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(marks_change_sides),
        cmocka_unit_test(stands_change_sides),
        cmocka_unit_test(any_facing_stays_any),
        cmocka_unit_test(headings_change_sides_and_counts_stay),
        cmocka_unit_test(twice_is_the_original),
        cmocka_unit_test(no_memory_is_said),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
