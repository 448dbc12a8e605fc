/* tree.c - setting up a tree and comparing two. */
#include "tree.h"

void marq_tree_init(marq_tree *tree, marq_arena *arena,
                    const marq_source *source)
{
    memset(tree, 0, sizeof *tree);
    tree->source = source;
    marq_array_init(&tree->headings, arena, sizeof(marq_heading_line));
    marq_array_init(&tree->lines, arena, sizeof(marq_line));
    marq_array_init(&tree->items, arena, sizeof(marq_item));
    marq_array_init(&tree->marks, arena, sizeof(marq_mark));
    marq_array_init(&tree->stands, arena, sizeof(marq_stand));
    tree->start.facings = MARQ_ANY_FACING;
    tree->finish.facings = MARQ_ANY_FACING;
}

/* ---- texts ---- */

static bool is_blank(char c)
{
    return c == ' ' || c == '\t' || c == '\r' || c == '\n';
}

/* The bytes of a span without blanks and round brackets around them: a
 * remark is the same remark in brackets and without. */
static marq_span bare_text(const marq_tree *tree, marq_span span)
{
    const char *bytes;
    size_t length;

    if (tree->source == NULL) {
        span.to = span.from;
        return span;
    }
    bytes = tree->source->bytes;
    length = tree->source->length;
    if (span.to > length) {
        span.to = (uint32_t)length;
    }
    while (span.from < span.to &&
           (is_blank(bytes[span.from]) || bytes[span.from] == '(')) {
        span.from++;
    }
    while (span.from < span.to &&
           (is_blank(bytes[span.to - 1]) || bytes[span.to - 1] == ')')) {
        span.to--;
    }
    return span;
}

/* Takes one byte of a span, a run of blanks as one space; -1 at its end. */
static int next_byte(const marq_tree *tree, marq_span *span)
{
    const char *bytes;

    if (span->from >= span->to) {
        return -1;
    }
    bytes = tree->source->bytes;
    if (!is_blank(bytes[span->from])) {
        return (unsigned char)bytes[span->from++];
    }
    while (span->from < span->to && is_blank(bytes[span->from])) {
        span->from++;
    }
    return ' ';
}

static bool same_text(const marq_tree *a, marq_span in_a, const marq_tree *b,
                      marq_span in_b)
{
    int from_a;
    int from_b;

    in_a = bare_text(a, in_a);
    in_b = bare_text(b, in_b);
    do {
        from_a = next_byte(a, &in_a);
        from_b = next_byte(b, &in_b);
    } while (from_a == from_b && from_a >= 0);
    return from_a == from_b;
}

/* ---- parts ---- */

static bool same_counts(bool has_a, marq_count from_a, marq_count to_a,
                        bool has_b, marq_count from_b, marq_count to_b)
{
    if (!has_a || !has_b) {
        return has_a == has_b;
    }
    return marq_count_compare(from_a, from_b) == 0 &&
           marq_count_compare(to_a, to_b) == 0;
}

static bool same_stand(const marq_stand *a, const marq_stand *b)
{
    if (a->has_bodies != b->has_bodies || a->facings != b->facings ||
        a->alignments != b->alignments || a->numbered != b->numbered ||
        a->assumed != b->assumed) {
        return false;
    }
    return !a->has_bodies ||
           memcmp(a->bodies, b->bodies, sizeof a->bodies) == 0;
}

/* A start or finish: unwritten ones are the same. */
static bool same_end(const marq_stand *a, const marq_stand *b)
{
    if (!a->written || !b->written) {
        return a->written == b->written;
    }
    return same_stand(a, b);
}

static bool same_music(const marq_music *a, const marq_music *b)
{
    if (a->has_tempo != b->has_tempo || a->has_metre != b->has_metre ||
        a->has_in != b->has_in) {
        return false;
    }
    return (!a->has_tempo || a->tempo == b->tempo) &&
           (!a->has_metre || (a->beats == b->beats && a->unit == b->unit)) &&
           (!a->has_in || a->in == b->in);
}

static bool same_mark(const marq_mark *a, const marq_mark *b)
{
    return a->kind == b->kind && a->value == b->value &&
           a->assumed == b->assumed;
}

static size_t count_mark(const marq_tree *tree, const marq_item *item,
                         const marq_mark *wanted)
{
    size_t count = 0;
    uint32_t i;

    for (i = 0; i < item->mark_count; i++) {
        if (same_mark(MARQ_AT(&tree->marks, marq_mark, item->first_mark + i),
                      wanted)) {
            count++;
        }
    }
    return count;
}

/* The next mark from *i on that is a remark, or is none; NULL at the end. */
static const marq_mark *next_mark(const marq_tree *tree, const marq_item *item,
                                  uint32_t *i, bool remark)
{
    while (*i < item->mark_count) {
        const marq_mark *mark =
            MARQ_AT(&tree->marks, const marq_mark, item->first_mark + *i);

        (*i)++;
        if ((mark->kind == MARQ_MARK_REMARK) == remark) {
            return mark;
        }
    }
    return NULL;
}

/* The same marks, in any order; remarks in their order, by their text. */
static bool same_marks(const marq_tree *a, const marq_item *in_a,
                       const marq_tree *b, const marq_item *in_b)
{
    const marq_mark *x;
    const marq_mark *y;
    uint32_t i = 0;
    uint32_t j = 0;

    if (in_a->mark_count != in_b->mark_count) {
        return false;
    }
    do {
        x = next_mark(a, in_a, &i, true);
        y = next_mark(b, in_b, &j, true);
        if ((x == NULL) != (y == NULL) ||
            (x != NULL && (x->assumed != y->assumed ||
                           !same_text(a, x->span, b, y->span)))) {
            return false;
        }
    } while (x != NULL);
    i = 0;
    j = 0;
    do { /* usually they stand in the same order */
        x = next_mark(a, in_a, &i, false);
        y = next_mark(b, in_b, &j, false);
    } while (x != NULL && y != NULL && same_mark(x, y));
    while (x != NULL) {
        if (count_mark(a, in_a, x) != count_mark(b, in_b, x)) {
            return false;
        }
        x = next_mark(a, in_a, &i, false);
    }
    return true;
}

static bool same_item(const marq_tree *a, const marq_item *in_a,
                      const marq_tree *b, const marq_item *in_b)
{
    /* A quantity before the word is only another way to write `times`. */
    if (in_a->kind != in_b->kind || in_a->times != in_b->times ||
        !same_counts(in_a->has_counts, in_a->count_from, in_a->count_to,
                     in_b->has_counts, in_b->count_from, in_b->count_to)) {
        return false;
    }
    switch ((marq_item_kind)in_a->kind) {
    case MARQ_ITEM_STEP:
        if (in_a->term != in_b->term) {
            return false;
        }
        break;
    case MARQ_ITEM_OPERATOR:
        if (in_a->operator_ != in_b->operator_) {
            return false;
        }
        break;
    case MARQ_ITEM_UNKNOWN:
        if (!same_text(a, in_a->word, b, in_b->word)) {
            return false;
        }
        break;
    case MARQ_ITEM_REMARK:
        if (!same_text(a, in_a->span, b, in_b->span)) {
            return false;
        }
        break;
    case MARQ_ITEM_STAND:
    case MARQ_ITEM_FACE:
        if (!same_stand(MARQ_AT(&a->stands, marq_stand, in_a->stand),
                        MARQ_AT(&b->stands, marq_stand, in_b->stand))) {
            return false;
        }
        break;
    case MARQ_ITEM_HOLE:
        break;
    }
    return same_marks(a, in_a, b, in_b);
}

static bool same_line(const marq_tree *a, const marq_tree *b, size_t i)
{
    const marq_line *in_a = MARQ_AT(&a->lines, marq_line, i);
    const marq_line *in_b = MARQ_AT(&b->lines, marq_line, i);
    uint32_t j;

    if (in_a->item_count != in_b->item_count || in_a->side != in_b->side ||
        !same_counts(in_a->has_counts, in_a->count_from, in_a->count_to,
                     in_b->has_counts, in_b->count_from, in_b->count_to) ||
        (in_a->has_counts && in_a->count_half != in_b->count_half)) {
        return false;
    }
    /* No phrase comes before the first line, whatever stands above it. */
    if (i > 0 && in_a->phrase_break != in_b->phrase_break) {
        return false;
    }
    for (j = 0; j < in_a->item_count; j++) {
        if (!same_item(
                a, MARQ_AT(&a->items, marq_item, in_a->first_item + j), b,
                MARQ_AT(&b->items, marq_item, in_b->first_item + j))) {
            return false;
        }
    }
    return true;
}

bool marq_tree_equal(const marq_tree *a, const marq_tree *b)
{
    size_t i;

    /* An open bracket at the end is how it is written, not what it means. */
    if (a->headings.count != b->headings.count ||
        a->lines.count != b->lines.count || a->level != b->level ||
        a->one_side != b->one_side || a->unsquare != b->unsquare ||
        !same_end(&a->start, &b->start) || !same_end(&a->finish, &b->finish) ||
        !same_music(&a->music, &b->music)) {
        return false;
    }
    for (i = 0; i < a->headings.count; i++) {
        const marq_heading_line *in_a =
            MARQ_AT(&a->headings, marq_heading_line, i);
        const marq_heading_line *in_b =
            MARQ_AT(&b->headings, marq_heading_line, i);

        if (in_a->heading != in_b->heading ||
            !same_text(a, in_a->value, b, in_b->value)) {
            return false;
        }
    }
    for (i = 0; i < a->lines.count; i++) {
        if (!same_line(a, b, i)) {
            return false;
        }
    }
    return true;
}
