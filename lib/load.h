/* load.h - vocabulary text to vocabulary data (format: vocab/README.md).
 * Floor 4; may use base, text, pattern, state, diag, vocab, load_lines (the
 * outer form of a text).  Inside, from below: load_clause.h (variant lines),
 * load_forms.h (written forms), load_entry.h (entries), load.c.
 *
 * Strict: every fault of every text is found in one run, each with its line
 * and span; with any fault nothing is made. */
#ifndef MARQ_LOAD_H
#define MARQ_LOAD_H

#include "diag.h"
#include "vocab.h"

/* Fills *out (its arrays in `arena`) from texts, on top of `base` if given;
 * *out is untouched on failure.  Everything but moves and move_index: call
 * marq_step_compile next.  Faults go to `why` (may be NULL) in order of texts
 * and places, their spans into the text they stand in; a finding's label is
 * the name of its text.  May fail: memory, limit (a text above 512 MiB, more
 * than 65534 texts), vocabulary. */
marq_status marq_load(marq_vocab_data *out, marq_arena *arena,
                      const marq_vocab_data *base,
                      const marq_vocab_text *texts, size_t text_count,
                      marq_findings *why);

#endif
