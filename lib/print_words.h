/* print_words.h - words of marks, stands and remarks that read back.
 * Part of print; floor 6. */
#ifndef MARQ_PRINT_WORDS_H
#define MARQ_PRINT_WORDS_H

#include "tree.h"
#include "vocab.h"

#define MARQ_NO_TERM UINT16_MAX

/* One mark (not a remark) in the words of docs/notation.md, without the sign
 * of an assumption.  `tree` may be NULL: then nothing of the source is
 * looked at.  `term` is the term it stands beside (for agreement), or
 * MARQ_NO_TERM. */
void marq_print_mark_words(marq_build *out, const marq_vocab *vocab,
                           const marq_tree *tree, const marq_mark *mark,
                           unsigned term);
/* Where a stand is written: a finish and a stand in the middle in fifth may
 * be on the tips, a start is not. */
typedef enum marq_print_use {
    MARQ_PRINT_START,
    MARQ_PRINT_FINISH,
    MARQ_PRINT_NOW,
    MARQ_PRINT_FACE, /* a facing alone: one group, so no commas */
    MARQ_PRINT_TO    /* the same where "facing ..." would be the start: "to
                        corner 8" */
} marq_print_use;
/* A stand in words.  False, and nothing written, if no words say just what it
 * allows. `tree` may be NULL: then the nearest words are written. */
bool marq_print_stand_words(marq_build *out, const marq_vocab *vocab,
                            const marq_tree *tree, const marq_stand *stand,
                            marq_print_use use);
/* Does the text begin with a heading word?  May fail: memory. */
marq_status marq_print_heads(bool *out, marq_arena *scratch,
                             const marq_vocab *vocab, const char *text);
/* Is the longest form of the vocabulary at the beginning of `text`, which
 * begins with `name`, longer than `name`?  May fail: memory. */
marq_status marq_print_runs_on(bool *out, marq_arena *scratch,
                               const marq_vocab *vocab, const char *name,
                               const char *text);
const char *marq_print_operator_words(uint8_t op); /* "repeat" */
/* Text of the source on one line, without blanks around it; with `swap`,
 * right and left exchanged. */
void marq_print_source(marq_build *out, const marq_tree *tree,
                       marq_span span, bool swap);
/* The same in round brackets, once. */
void marq_print_remark(marq_build *out, const marq_tree *tree,
                       marq_span span, bool swap);

#endif
