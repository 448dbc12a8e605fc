#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "stepdesk.h"

stepdesk *stepdesk_new(const char *terms, const char *more)
{
    stepdesk *desk = test_calloc(1, sizeof *desk);
    void *load = NULL;
    loaddesk_open(&load);
    desk->load = load;
    marq_build b;
    marq_build_init(&b, &desk->load->arena);
    marq_build_text(&b, "format 1\n");
    marq_build_text(&b, terms);
    marq_build_text(&b, more != NULL ? more : "");
    marq_status s = loaddesk_load(desk->load, &desk->load->base,
                                  marq_build_done(&b, NULL));
    if (s == MARQ_OK) {
        s = marq_step_compile(&desk->load->data, &desk->load->arena,
                              desk->load->why);
    }
    if (s != MARQ_OK) {
        loaddesk_print(desk->load);
        fail();
    }
    assert_int_equal(
        marq_vocab_wrap(&desk->vocab, NULL, &desk->load->data), MARQ_OK);
    assert_int_equal(marq_source_init(&desk->source, &desk->load->arena, NULL,
                                      "remark", 6),
                     MARQ_OK);
    marq_tree_init(&desk->tree, &desk->load->arena, &desk->source);
    assert_non_null(marq_array_add(&desk->tree.lines));
    return desk;
}

void stepdesk_free(stepdesk *desk)
{
    void *load = desk->load;
    marq_vocab_release(desk->vocab);
    loaddesk_close(&load);
    test_free(desk);
}

size_t stepdesk_variant(const stepdesk *desk, const char *id)
{
    const marq_term *term = loaddesk_term(&desk->load->data, id);
    assert_non_null(term);
    return term->first_variant;
}

uint32_t stepdesk_item(stepdesk *desk, const char *id, uint32_t times)
{
    const marq_term *term = loaddesk_term(&desk->load->data, id);
    assert_non_null(term);
    marq_item *item = marq_array_add(&desk->tree.items);
    assert_non_null(item);
    item->kind = MARQ_ITEM_STEP;
    item->term = (uint16_t)(term - desk->load->data.terms);
    item->times = times;
    item->first_mark = (uint32_t)desk->tree.marks.count;
    MARQ_AT(&desk->tree.lines, marq_line, 0)->item_count++;
    return (uint32_t)desk->tree.items.count - 1;
}

void stepdesk_mark(stepdesk *desk, marq_mark_kind kind, unsigned value)
{
    marq_mark *mark = marq_array_add(&desk->tree.marks);
    assert_non_null(mark);
    mark->kind = (uint8_t)kind;
    mark->value = (uint16_t)value;
    MARQ_AT(&desk->tree.items, marq_item, desk->tree.items.count - 1)
        ->mark_count++;
}

unsigned stepdesk_qualifier(const stepdesk *desk, const char *name)
{
    const marq_vocab_data *data = &desk->load->data;
    for (unsigned q = 0; q < data->qualifier_count; q++) {
        if (!strcmp(data->strings + data->qualifiers[q].name, name)) {
            return q;
        }
    }
    fail();
    return 0;
}

marq_demand stepdesk_demand(stepdesk *desk, uint32_t item)
{
    marq_demand demand;
    assert_int_equal(marq_demand_make(&demand, &desk->load->arena,
                                      desk->vocab, &desk->tree, item,
                                      desk->load->why),
                     MARQ_OK);
    return demand;
}

static const char positions[] = "12P345T"; /* as marq_position */
static const char shapes[] = "tlhaki";     /* as marq_shape */
static const char wheres[] = "fsb";        /* as marq_where */

const char *stepdesk_name(marq_body b, char out[4])
{
    memset(out, 0, 4);
    if (marq_body_is_two(b)) {
        out[0] = positions[marq_body_position(b)];
        if (marq_body_front(b) != MARQ_SIDE_NONE) {
            out[1] = marq_body_front(b) == MARQ_SIDE_RIGHT ? 'R' : 'L';
        }
        return out;
    }
    out[0] = marq_body_standing(b) == MARQ_SIDE_RIGHT ? 'R' : 'L';
    out[1] = shapes[marq_body_shape(b)];
    out[2] = wheres[marq_body_where(b)];
    return out;
}

marq_body stepdesk_body(const char *name)
{
    const char *position = strchr(positions, name[0]);
    if (position != NULL) {
        return marq_body_two((marq_position)(position - positions),
                             name[1] == 'L' ? MARQ_SIDE_LEFT
                                            : MARQ_SIDE_RIGHT);
    }
    const char *shape = strchr(shapes, name[1]);
    const char *where = strchr(wheres, name[2]);
    assert_true(shape != NULL && where != NULL);
    return marq_body_one(name[0] == 'R' ? MARQ_SIDE_RIGHT : MARQ_SIDE_LEFT,
                         (marq_shape)(shape - shapes),
                         (marq_where)(where - wheres));
}
