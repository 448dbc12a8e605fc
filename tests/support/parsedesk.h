/* parsedesk.h - the shipped vocabulary, and texts read with it, as one line of
 * words that can be written by hand.
 *
 * May use lib/parse.h and below, lib/load.h, vocabfiles.h.
 *
 * The line: headings `title(Light two)`, `start{...}`, then lines divided by
 * ` / ` (` // ` before a new phrase), items divided by `, `, then
 * `finish{...}`.  A line begins with its counts (`1-2: `, `15/2: `) and its
 * side (`<left> `).
 *   glissade q:derrière foot:right on:left side:right toward:left
 *   from:fourth in:second to:fifth free:ankle_behind front:right
 *   closing:front face:audience num:8 align:croisé amt:16 len:4 rem(soft) x3
 * `3*` before a step is times written before it, `~` before a mark assumed.
 *   ?flurb   now{...}   @{...}   !repeat   ...   (remark)
 * A stand: bodies (`fifth.right`, `second`, `left:ankle_behind`) with blanks
 * between; `#12` when there are more than six; `@` before facings, alignments
 * and numbers, `~` when assumed. */
#ifndef PARSEDESK_H
#define PARSEDESK_H

#include "load.h"
#include "parse.h"

typedef struct parsedesk {
    marq_arena arena; /* the vocabulary's */
    marq_vocab_data data;
    marq_vocab *vocab;
    marq_arena work; /* of the text read last */
    marq_source source;
    marq_tree tree;
    marq_findings findings;
} parsedesk;

/* Loads the files of vocab/; with `without`, all but the one pattern that
 * begins so.  NULL if they do not load or not one pattern begins so. */
parsedesk *parsedesk_new(const char *without);
void parsedesk_free(parsedesk *desk);
/* Reads a text; the tree and findings stay until the next. */
marq_status parsedesk_read(parsedesk *desk, const char *text, size_t length);
/* What was read last, as a line; lives as long. */
const char *parsedesk_line(parsedesk *desk);
/* The codes of the findings, in the order of the text: "R001 R003". */
const char *parsedesk_codes(parsedesk *desk);

#endif
