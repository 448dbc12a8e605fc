#include "mirror.h"

static uint8_t mirror_facings(uint8_t mask)
{
    unsigned out = 0;
    for (unsigned f = 0; f < MARQ_FACINGS; f++) {
        if (((unsigned)mask >> f) & 1u) {
            out |= 1u << marq_facing_mirror((marq_facing)f);
        }
    }
    return (uint8_t)out;
}

/* A bare corner or wall number stays: each school numbers the room its own
 * way, so its other side cannot be known here.  Whoever prints the mirrored
 * tree says so to the reader. */
static void mirror_stand(marq_stand *stand)
{
    uint8_t bodies[MARQ_BODIES];
    for (unsigned b = 0; b < MARQ_BODIES; b++) {
        bodies[b] = stand->bodies[marq_body_mirror((marq_body)b)];
    }
    memcpy(stand->bodies, bodies, sizeof bodies);
    stand->facings = mirror_facings(stand->facings);
}

/* Right and left change places; front, back, free, inside and the like name
 * the same foot of the other side as they stand. */
static uint16_t mirror_side_value(uint16_t value)
{
    switch (value) {
    case MARQ_SIDE_RIGHT:
        return MARQ_SIDE_LEFT;
    case MARQ_SIDE_LEFT:
        return MARQ_SIDE_RIGHT;
    default:
        return value;
    }
}

static void mirror_mark(marq_mark *mark)
{
    switch (mark->kind) {
    case MARQ_MARK_FOOT:
    case MARQ_MARK_ON:
    case MARQ_MARK_SIDE:
    case MARQ_MARK_TOWARD:
    case MARQ_MARK_FRONT:
        mark->value = mirror_side_value(mark->value);
        break;
    case MARQ_MARK_FACING:
        mark->value = marq_facing_mirror((marq_facing)mark->value);
        break;
    default: /* MARQ_MARK_NUMBERED too: see mirror_stand */
        break;
    }
}

/* A copy of `from` in `arena`.  May fail: memory. */
static marq_status copy_array(marq_array *out, marq_arena *arena,
                              const marq_array *from)
{
    marq_array_init(out, arena, from->size);
    if (from->count == 0) {
        return MARQ_OK;
    }
    out->at = marq_arena_alloc(arena, from->count, from->size);
    if (out->at == NULL) {
        return MARQ_MEMORY;
    }
    memcpy(out->at, from->at, from->count * from->size);
    out->count = from->count;
    out->room = from->count;
    return MARQ_OK;
}

marq_status marq_mirror_tree(marq_tree *out, marq_arena *arena,
                             const marq_vocab *vocab, const marq_tree *tree)
{
    (void)vocab; /* no word of the vocabulary changes its meaning */
    marq_tree made = *tree;
    if (copy_array(&made.headings, arena, &tree->headings) != MARQ_OK ||
        copy_array(&made.lines, arena, &tree->lines) != MARQ_OK ||
        copy_array(&made.items, arena, &tree->items) != MARQ_OK ||
        copy_array(&made.marks, arena, &tree->marks) != MARQ_OK ||
        copy_array(&made.stands, arena, &tree->stands) != MARQ_OK) {
        return MARQ_MEMORY;
    }
    for (size_t i = 0; i < made.lines.count; i++) {
        marq_line *line = MARQ_AT(&made.lines, marq_line, i);
        line->side = (uint8_t)mirror_side_value(line->side);
    }
    for (size_t i = 0; i < made.marks.count; i++) {
        mirror_mark(MARQ_AT(&made.marks, marq_mark, i));
    }
    for (size_t i = 0; i < made.stands.count; i++) {
        mirror_stand(MARQ_AT(&made.stands, marq_stand, i));
    }
    mirror_stand(&made.start);
    mirror_stand(&made.finish);
    *out = made;
    return MARQ_OK;
}
