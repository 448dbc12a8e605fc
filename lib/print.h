/* print.h - the clean copy.
 * Floor 6; may use everything below. */
#ifndef MARQ_PRINT_H
#define MARQ_PRINT_H

#include "tree.h"
#include "vocab.h"

/* A mark that following assumed, to be written with the mark of an
 * assumption (a tilde before it). */
typedef struct marq_assumed {
    uint32_t item;
    uint8_t kind;   /* marq_mark_kind: QUALIFIER, FOOT, TOWARD */
    uint16_t value;
} marq_assumed;

typedef struct marq_print_plan {
    const marq_assumed *assumed; /* sorted by item; may be NULL */
    size_t assumed_count;
    const marq_stand *start;     /* written instead of tree's if given */
    bool start_assumed;
    bool swap_remarks;           /* exchange right and left inside remarks */
} marq_print_plan;

/* Writes the tree so that reading it gives an equal tree (tree.h).  Plan may
 * be NULL. */
void marq_print_tree(marq_build *out, const marq_vocab *vocab,
                     const marq_tree *tree, const marq_print_plan *plan);
/* One stand in words that read back: "fifth, right front, croisé". */
void marq_print_stand(marq_build *out, const marq_vocab *vocab,
                      const marq_stand *stand);
/* A dump of the tree for tests, one item a line. */
void marq_print_dump(marq_build *out, const marq_vocab *vocab,
                     const marq_tree *tree);

#endif
