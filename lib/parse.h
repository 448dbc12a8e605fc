/* parse.h - words to tree, with recovery: nothing of the text is lost.
 * Floor 5; may use everything below. */
#ifndef MARQ_PARSE_H
#define MARQ_PARSE_H

#include "diag.h"
#include "tree.h"
#include "vocab.h"

/* Reads `source` into *tree (arrays in `arena`), findings of reading into
 * `findings`.  May fail: memory, limit. */
marq_status marq_parse(marq_tree *tree, marq_arena *arena,
                       const marq_vocab *vocab, const marq_source *source,
                       marq_findings *findings);

#endif
