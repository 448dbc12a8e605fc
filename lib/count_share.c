#include "count_share.h"

#include "exact.h"

static const marq_count zero = {0, 1};

bool marq_share_dances(const marq_item *item)
{
    switch ((marq_item_kind)item->kind) {
    case MARQ_ITEM_STEP:
    case MARQ_ITEM_UNKNOWN:
    case MARQ_ITEM_HOLE:
        return true;
    case MARQ_ITEM_OPERATOR:
        return item->operator_ == MARQ_OP_REPEAT ||
               item->operator_ == MARQ_OP_OTHER_SIDE ||
               item->operator_ == MARQ_OP_REVERSE;
    default:
        return false;
    }
}

/* The length written beside an item. */
static bool written_length(marq_count *out, const marq_tree *tree,
                           const marq_item *item)
{
    for (uint32_t i = 0; i < item->mark_count; i++) {
        const marq_mark *mark =
            MARQ_AT(&tree->marks, marq_mark, item->first_mark + i);
        if (mark->kind == MARQ_MARK_LENGTH && mark->value > 0) {
            *out = marq_exact_whole(mark->value);
            return true;
        }
    }
    return false;
}

bool marq_share_usual(marq_count *out, const marq_vocab *vocab,
                      const marq_tree *tree, const marq_item *item)
{
    if (written_length(out, tree, item)) {
        return true;
    }
    if (item->kind != MARQ_ITEM_STEP ||
        item->term >= vocab->data->term_count) {
        return false;
    }
    const marq_term *term = &vocab->data->terms[item->term];
    return term->counts_den > 0 && term->counts_num > 0 &&
           marq_count_make(out, (int64_t)term->counts_num * item->times,
                           term->counts_den);
}

typedef struct share {
    marq_count fixed, usual; /* sums */
    bool all_known;          /* usual lengths of those that share */
    int64_t parts;           /* how many share, each time counted */
    bool too_big;
} share;

static share sum_items(const marq_vocab *vocab, const marq_tree *tree,
                       size_t first, size_t count, bool keep_fixed)
{
    share s = {zero, zero, true, 0, false};
    for (size_t i = first; i < first + count; i++) {
        const marq_item *item = MARQ_AT(&tree->items, marq_item, i);
        marq_count n;
        if (!marq_share_dances(item)) {
            continue;
        }
        if (keep_fixed && written_length(&n, tree, item)) {
            s.fixed = marq_exact_add(&s.too_big, s.fixed, n);
            continue;
        }
        s.parts += item->times;
        if (marq_share_usual(&n, vocab, tree, item)) {
            s.usual = marq_exact_add(&s.too_big, s.usual, n);
        } else {
            s.all_known = false;
        }
    }
    return s;
}

void marq_share_items(marq_count *from, marq_count *last,
                      const marq_vocab *vocab, const marq_tree *tree,
                      size_t first, size_t count, marq_count at,
                      marq_count length)
{
    bool keep_fixed = true;
    share s = sum_items(vocab, tree, first, count, true);
    marq_count rest = marq_exact_subtract(&s.too_big, length, s.fixed);
    if (s.too_big || marq_exact_less(rest, zero) ||
        (s.parts > 0 && marq_count_is_zero(rest))) {
        keep_fixed = false;
        s = sum_items(vocab, tree, first, count, false);
        rest = length;
    }
    /* either `scale` times the usual length, or `each` time `each` */
    bool by_usual = s.all_known && s.parts > 0;
    marq_count scale = zero, each = zero;
    if (s.parts > 0) {
        each = marq_exact_divide(&s.too_big, rest, marq_exact_whole(s.parts));
    }
    if (by_usual) {
        scale = marq_exact_divide(&s.too_big, rest, s.usual);
        if (scale.den != 1 && scale.num != 1 && each.den <= 2) {
            by_usual = false;
        }
    }
    marq_count now = at;
    for (size_t i = first; i < first + count && !s.too_big; i++) {
        const marq_item *item = MARQ_AT(&tree->items, marq_item, i);
        marq_count n = zero;
        if (!marq_share_dances(item)) {
            n = s.parts == 0 && marq_count_is_zero(s.fixed) ? length : zero;
            from[i] = now;
            last[i] = n;
            continue;
        }
        if (keep_fixed && written_length(&n, tree, item)) {
            /* as written */
        } else if (by_usual) {
            (void)marq_share_usual(&n, vocab, tree, item);
            n = marq_exact_multiply(&s.too_big, n, scale);
        } else {
            n = marq_exact_multiply(&s.too_big, each,
                                    marq_exact_whole(item->times));
        }
        from[i] = now;
        last[i] = n;
        now = marq_exact_add(&s.too_big, now, n);
    }
    for (size_t i = first; i < first + count && s.too_big; i++) {
        from[i] = (marq_count){0, 0};
        last[i] = (marq_count){0, 0};
    }
}
