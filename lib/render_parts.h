/* render_parts.h - what the layouts have in common.
 * Part of render; same floor. */
#ifndef MARQ_RENDER_PARTS_H
#define MARQ_RENDER_PARTS_H

#include "render.h"

/* How many bytes of `bytes` fit into `most` columns as marq_text_show prints
 * them; *columns (may be NULL) receives what they take. */
size_t marq_render_fit(const char *bytes, size_t length, size_t most,
                       size_t *columns);
/* The next line of a text set in `most` columns: cut at a blank if there is
 * one, else in a word; at least one character unless `length` is 0.
 * *columns receives what it takes, *next the bytes to go on from (blanks
 * passed over). */
size_t marq_render_piece(const char *bytes, size_t length, size_t most,
                         size_t *columns, size_t *next);
/* `n` times `c`. */
void marq_render_fill(marq_build *out, char c, size_t n);
/* Text set in lines up to `width`, the first beginning at `column`, further
 * ones at `indent`; ends with a line feed. */
void marq_render_wrap(marq_build *out, const char *text, size_t indent,
                      size_t column, size_t width);
/* 12, 7 1/2 */
void marq_render_number(marq_build *out, marq_count number);
/* What stands below the findings of a report: cautions, sums, the end, the
 * other side. */
void marq_render_sums(marq_build *out, const marq_report *report,
                      size_t width);

#endif
