/* count_share.h - how the items of a stretch share its counts.
 * Part of count; floor 5.
 *
 * The rule.  Statements of where one is, facings and remarks take no time.
 * An item with a length of its own ("in 4 counts") takes that, if they all
 * fit.  The others share the rest:
 * - as long as each usually lasts, if that is just the rest;
 * - in proportion to the usual lengths, if the rest is a whole multiple of
 *   them or a whole part of them;
 * - else equally, if that gives whole or half counts;
 * - else in exact proportion to the usual lengths.
 * If the usual length of any of them is not known, they share equally.  A
 * step danced N times has N parts. */
#ifndef MARQ_COUNT_SHARE_H
#define MARQ_COUNT_SHARE_H

#include "tree.h"
#include "vocab.h"

/* Does an item take time? */
bool marq_share_dances(const marq_item *item);
/* How long an item usually lasts in all, or the length written beside it.
 * False if not known. */
bool marq_share_usual(marq_count *out, const marq_vocab *vocab,
                      const marq_tree *tree, const marq_item *item);
/* Lays items [first, first + count) into the stretch at `at` of `length`:
 * sets from[i] and last[i] (place and length; den 0: not known) of each.
 * May fail: never. */
void marq_share_items(marq_count *from, marq_count *last,
                      const marq_vocab *vocab, const marq_tree *tree,
                      size_t first, size_t count, marq_count at,
                      marq_count length);

#endif
