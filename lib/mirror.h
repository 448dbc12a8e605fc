/* mirror.h - left and right exchanged in a tree.
 * Floor 5; may use everything below. */
#ifndef MARQ_MIRROR_H
#define MARQ_MIRROR_H

#include "tree.h"
#include "vocab.h"

/* *out is a copy of `tree` (same source, same spans; arrays in `arena`) with
 * feet, sides, facings, turn senses said by side, starts and finishes turned
 * over.  devant, dessus, en dehors, croise, counts and numbers of counts
 * stay.  Left and right in remarks stay as they are written here: remarks
 * are spans; print.h exchanges them when told.  May fail: memory. */
marq_status marq_mirror_tree(marq_tree *out, marq_arena *arena,
                             const marq_vocab *vocab, const marq_tree *tree);

#endif
