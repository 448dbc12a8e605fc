/* test_tree.c - when two trees say the same. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "testmem.h"
#include "tree.h"

/* Two texts that say the same, and where their parts stand. */
static const char text_a[] = "title Light  two / glissade (soft arms) frob";
static const char text_b[] = "Light two|frob|soft arms";

typedef struct fixture {
    testmem counted;
    marq_arena arena;
    marq_source source;
    marq_tree tree;
} fixture;

static marq_span span_of(const marq_source *source, const char *part)
{
    const char *at = strstr(source->bytes, part);
    marq_span span = {0, 0};

    assert_non_null(at);
    span.from = (uint32_t)(at - source->bytes);
    span.to = span.from + (uint32_t)strlen(part);
    return span;
}

static void open_tree(fixture *f, const char *text)
{
    marq_mem mem = {testmem_hook, NULL};

    testmem_init(&f->counted);
    mem.ctx = &f->counted;
    marq_arena_init(&f->arena, mem);
    assert_int_equal(
        marq_source_init(&f->source, &f->arena, NULL, text, strlen(text)),
        MARQ_OK);
    marq_tree_init(&f->tree, &f->arena, &f->source);
}

static void close_tree(fixture *f)
{
    marq_arena_free(&f->arena);
    assert_int_equal(f->counted.live_blocks, 0);
}

static marq_mark *add_mark(fixture *f, marq_item *item, marq_mark_kind kind,
                           uint16_t value)
{
    marq_mark *mark = marq_array_add(&f->tree.marks);

    assert_non_null(mark);
    mark->kind = (uint8_t)kind;
    mark->value = value;
    item->mark_count++;
    return mark;
}

static marq_item *add_item(fixture *f, marq_item_kind kind)
{
    marq_item *item = marq_array_add(&f->tree.items);

    assert_non_null(item);
    item->kind = (uint8_t)kind;
    item->times = 1;
    item->first_mark = (uint32_t)f->tree.marks.count;
    MARQ_AT(&f->tree.lines, marq_line, f->tree.lines.count - 1)->item_count++;
    return item;
}

static marq_line *add_line(fixture *f)
{
    marq_line *line = marq_array_add(&f->tree.lines);

    assert_non_null(line);
    line->first_item = (uint32_t)f->tree.items.count;
    return line;
}

static marq_stand *add_stand(fixture *f, marq_item *item)
{
    marq_stand *stand = marq_array_add(&f->tree.stands);

    assert_non_null(stand);
    stand->written = true;
    stand->has_bodies = true;
    stand->bodies[9] = 1;
    stand->facings = 1 << 7;
    stand->alignments = 1 << MARQ_CROISE;
    item->stand = (uint32_t)(f->tree.stands.count - 1);
    return stand;
}

/* One of everything.  `other` writes the same in another order, with other
 * spans, another source, other unused room. */
static void build_tree(fixture *f, bool other)
{
    marq_tree *tree = &f->tree;
    marq_heading_line *heading;
    marq_line *line;
    marq_item *item;
    marq_mark *remark;

    open_tree(f, other ? text_b : text_a);
    heading = marq_array_add(&tree->headings);
    assert_non_null(heading);
    heading->heading = 1;
    heading->value = span_of(&f->source, other ? "Light two" : "Light  two ");

    line = add_line(f);
    line->phrase_break = other; /* nothing comes before the first line */
    line->has_counts = true;
    line->count_from.num = 1;
    line->count_from.den = 1;
    line->count_to.num = 5;
    line->count_to.den = 2;
    line->count_half = true;
    item = add_item(f, MARQ_ITEM_STEP);
    item->term = 7;
    item->times = 3;
    item->times_before = other;
    item->operator_ = other ? 9 : 0; /* means nothing for a step */
    if (other) {
        add_mark(f, item, MARQ_MARK_SIDE, 1)->span.to = 3;
        remark = add_mark(f, item, MARQ_MARK_REMARK, 0);
        add_mark(f, item, MARQ_MARK_QUALIFIER, 4);
        add_mark(f, item, MARQ_MARK_QUALIFIER, 2)->assumed = true;
        remark = MARQ_AT(&tree->marks, marq_mark, 1);
        remark->span = span_of(&f->source, "soft arms");
    } else {
        add_mark(f, item, MARQ_MARK_QUALIFIER, 2)->assumed = true;
        add_mark(f, item, MARQ_MARK_QUALIFIER, 4);
        add_mark(f, item, MARQ_MARK_SIDE, 1);
        remark = add_mark(f, item, MARQ_MARK_REMARK, 0);
        remark->span = span_of(&f->source, "(soft arms)");
    }
    item = add_item(f, MARQ_ITEM_UNKNOWN);
    item->word = span_of(&f->source, "frob");
    item->has_counts = true;
    item->count_from.num = 3;
    item->count_from.den = 1;
    item->count_to = item->count_from;

    line = add_line(f);
    line->phrase_break = true;
    line->side = MARQ_SIDE_LEFT;
    if (other) {
        line->count_to.num = 99; /* means nothing without counts */
        line->count_half = true;
    }
    item = add_item(f, MARQ_ITEM_STAND);
    add_stand(f, item);
    item = add_item(f, MARQ_ITEM_FACE);
    add_stand(f, item)->has_bodies = false;
    if (other) {
        MARQ_AT(&tree->stands, marq_stand, 1)->bodies[3] = 1;
    }
    item = add_item(f, MARQ_ITEM_OPERATOR);
    item->operator_ = 2;
    item->term = other ? 5 : 0;
    add_item(f, MARQ_ITEM_HOLE);
    item = add_item(f, MARQ_ITEM_REMARK);
    item->span = span_of(&f->source, "soft arms");

    tree->start.written = true;
    tree->start.has_bodies = true;
    tree->start.bodies[4] = 1;
    tree->start.facings = 1;
    tree->finish.facings = other ? 3 : 1; /* not written */
    tree->music.has_tempo = true;
    tree->music.tempo = 92;
    tree->music.has_metre = true;
    tree->music.beats = 3;
    tree->music.unit = 4;
    tree->music.in = other ? 4 : 0; /* not written */
    tree->level = 2;
    tree->unfinished = other;
}

static void an_empty_tree_is_open(void **state)
{
    fixture f;

    (void)state;
    open_tree(&f, "");
    assert_ptr_equal(f.tree.source, &f.source);
    assert_int_equal(f.tree.items.count + f.tree.lines.count +
                         f.tree.marks.count + f.tree.stands.count +
                         f.tree.headings.count,
                     0);
    assert_false(f.tree.start.written || f.tree.finish.written);
    assert_int_equal(f.tree.start.facings, MARQ_ANY_FACING);
    assert_int_equal(f.tree.finish.facings, MARQ_ANY_FACING);
    assert_true(marq_tree_equal(&f.tree, &f.tree));
    assert_non_null(marq_array_add(&f.tree.items)); /* arrays are ready */
    assert_int_equal(f.tree.items.size, sizeof(marq_item));
    assert_int_equal(f.tree.lines.size, sizeof(marq_line));
    assert_int_equal(f.tree.marks.size, sizeof(marq_mark));
    assert_int_equal(f.tree.stands.size, sizeof(marq_stand));
    assert_int_equal(f.tree.headings.size, sizeof(marq_heading_line));
    close_tree(&f);
}

static void the_same_written_otherwise_is_equal(void **state)
{
    fixture a;
    fixture b;

    (void)state;
    build_tree(&a, false);
    build_tree(&b, true);
    assert_true(marq_tree_equal(&a.tree, &b.tree));
    assert_true(marq_tree_equal(&b.tree, &a.tree));
    close_tree(&a);
    close_tree(&b);
}

static marq_item *item_at(fixture *f, size_t i)
{
    return MARQ_AT(&f->tree.items, marq_item, i);
}

static marq_line *line_at(fixture *f, size_t i)
{
    return MARQ_AT(&f->tree.lines, marq_line, i);
}

static marq_mark *mark_at(fixture *f, size_t i)
{
    return MARQ_AT(&f->tree.marks, marq_mark, i);
}

static marq_stand *stand_at(fixture *f, size_t i)
{
    return MARQ_AT(&f->tree.stands, marq_stand, i);
}

/* Changes the meaning in way `n`; false if there is no such way. */
static bool change(fixture *f, int n)
{
    marq_tree *tree = &f->tree;

    switch (n) {
    case 0: MARQ_AT(&tree->headings, marq_heading_line, 0)->heading = 2; break;
    case 1: MARQ_AT(&tree->headings, marq_heading_line, 0)->value.from++; break;
    case 2: tree->headings.count--; break;
    case 3: tree->lines.count--; break;
    case 4: line_at(f, 1)->phrase_break = false; break;
    case 5: line_at(f, 1)->side = MARQ_SIDE_RIGHT; break;
    case 6: line_at(f, 1)->item_count--; break;
    case 7: line_at(f, 0)->has_counts = false; break;
    case 8: line_at(f, 0)->count_from.num = 2; break;
    case 9: line_at(f, 0)->count_to.den = 1; break;
    case 10: line_at(f, 0)->count_half = false; break;
    case 11: item_at(f, 0)->kind = MARQ_ITEM_HOLE; break;
    case 12: item_at(f, 0)->term = 8; break;
    case 13: item_at(f, 0)->times = 2; break;
    case 14: item_at(f, 0)->mark_count--; break;
    case 15: item_at(f, 1)->word.to--; break;
    case 16: item_at(f, 1)->has_counts = false; break;
    case 17: item_at(f, 1)->count_to.num = 4; break;
    case 18: item_at(f, 4)->operator_ = 3; break;
    case 19: item_at(f, 6)->span.to--; break;
    case 20: mark_at(f, 0)->kind = MARQ_MARK_FOOT; break;
    case 21: mark_at(f, 1)->value = 5; break;
    case 22: mark_at(f, 1)->value = 2; break; /* twice the same word */
    case 23: mark_at(f, 0)->assumed = false; break;
    case 24: mark_at(f, 3)->span.to -= 3; break;
    case 25: mark_at(f, 3)->assumed = true; break;
    case 26: mark_at(f, 3)->kind = MARQ_MARK_SIDE; break;
    case 27: stand_at(f, 0)->bodies[9] = 0; break;
    case 28: stand_at(f, 0)->has_bodies = false; break;
    case 29: stand_at(f, 1)->facings = 1; break;
    case 30: stand_at(f, 1)->alignments = 0; break;
    case 31: stand_at(f, 1)->numbered = 8; break;
    case 32: stand_at(f, 1)->assumed = true; break;
    case 33: tree->start.written = false; break;
    case 34: tree->start.facings = 2; break;
    case 35: tree->start.bodies[5] = 1; break;
    case 36: tree->start.assumed = true; break;
    case 37: tree->finish.written = true; break;
    case 38: tree->music.has_tempo = false; break;
    case 39: tree->music.tempo = 93; break;
    case 40: tree->music.beats = 2; break;
    case 41: tree->music.unit = 8; break;
    case 42: tree->music.has_metre = false; break;
    case 43: tree->music.has_in = true; break;
    case 44: tree->level = 3; break;
    case 45: tree->one_side = true; break;
    case 46: tree->unsquare = true; break;
    default: return false;
    }
    return true;
}

static void each_change_of_meaning_is_seen(void **state)
{
    int n = 0;
    bool more = true;

    (void)state;
    while (more) {
        int other;

        for (other = 0; other < 2 && more; other++) {
            fixture a;
            fixture b;

            build_tree(&a, false);
            build_tree(&b, other != 0);
            more = change(&a, n);
            assert_int_equal(marq_tree_equal(&a.tree, &b.tree), !more);
            assert_int_equal(marq_tree_equal(&b.tree, &a.tree), !more);
            close_tree(&a);
            close_tree(&b);
        }
        n++;
    }
    assert_int_equal(n, 48);
}

static void remarks_keep_their_order(void **state)
{
    fixture f[2];
    int i;

    (void)state;
    for (i = 0; i < 2; i++) {
        marq_item *item;

        open_tree(&f[i], "slow and light");
        add_line(&f[i]);
        item = add_item(&f[i], MARQ_ITEM_STEP);
        add_mark(&f[i], item, MARQ_MARK_REMARK, 0)->span =
            span_of(&f[i].source, i == 0 ? "slow" : "light");
        add_mark(&f[i], item, MARQ_MARK_REMARK, 0)->span =
            span_of(&f[i].source, i == 0 ? "light" : "slow");
    }
    assert_false(marq_tree_equal(&f[0].tree, &f[1].tree));
    close_tree(&f[0]);
    close_tree(&f[1]);
}

static void a_span_past_its_text_is_not_read(void **state)
{
    fixture a;
    fixture b;
    marq_item *item;

    (void)state;
    open_tree(&a, "abc");
    open_tree(&b, "abc");
    add_line(&a);
    add_line(&b);
    item = add_item(&a, MARQ_ITEM_REMARK);
    item->span.from = 1;
    item->span.to = 500;
    item = add_item(&b, MARQ_ITEM_REMARK);
    item->span.from = 1;
    item->span.to = 3;
    assert_true(marq_tree_equal(&a.tree, &b.tree));
    item_at(&a, 0)->span.from = 400;
    assert_false(marq_tree_equal(&a.tree, &b.tree));
    close_tree(&a);
    close_tree(&b);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(an_empty_tree_is_open),
        cmocka_unit_test(the_same_written_otherwise_is_equal),
        cmocka_unit_test(each_change_of_meaning_is_seen),
        cmocka_unit_test(remarks_keep_their_order),
        cmocka_unit_test(a_span_past_its_text_is_not_read),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
