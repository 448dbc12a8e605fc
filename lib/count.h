/* count.h - the counts of a combination: sums, gaps, overlaps, phrases.
 * Floor 5; may use everything below.  Exact; no floating point. */
#ifndef MARQ_COUNT_H
#define MARQ_COUNT_H

#include "diag.h"
#include "tree.h"
#include "vocab.h"

typedef struct marq_reckoning {
    marq_sum sum;
    /* For each line of the tree: its length in counts; 0/1 if unknown. */
    const marq_count *line_length;
    /* For each item: when it is danced, running from 1 over the whole text
       (not restarting at each eight); den 0: not known. */
    const marq_count *item_from;
    const marq_count *item_length;
} marq_reckoning;

/* Reckons the counts of a tree and adds findings C...  Arrays in `arena`.
 * May fail: memory. */
marq_status marq_count_reckon(marq_reckoning *out, marq_arena *arena,
                              const marq_vocab *vocab, const marq_tree *tree,
                              marq_findings *findings);

/* A count as a dancer says it within phrases of `phrase`: 9 is "1", 4 1/2 is
 * "4 &", 4 1/3 "4 & of three" is written "4 1/3". */
void marq_count_words(marq_build *out, marq_count count, uint32_t phrase);

#endif
