/* render.h - reports and findings to fixed-width text.
 * Floor 9; may use everything below. */
#ifndef MARQ_RENDER_H
#define MARQ_RENDER_H

#include "check.h"

/* Findings with their lines, underlined by display width; then cautions,
 * sums, the end and whether the other side can begin. */
void marq_render_full(marq_build *out, const marq_report *report,
                      const marq_render_opts *opts);
/* name:line:column: severity: text [code], one a line. */
void marq_render_lines(marq_build *out, const marq_findings *findings,
                       const marq_source *source, const char *name,
                       bool colour);
/* The walk-through. */
void marq_render_table(marq_build *out, const marq_report *report,
                       const marq_render_opts *opts);

#endif
