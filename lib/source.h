/* source.h - a text with its lines: from byte to line and column.
 * Floor 1; may use base (and text of the same floor is NOT used: columns are
 * counted in UTF-8 lead bytes here). */
#ifndef MARQ_SOURCE_H
#define MARQ_SOURCE_H

#include "base.h"

typedef struct marq_source {
    const char *name;     /* may be NULL */
    const char *bytes;    /* zero-terminated copy */
    size_t length;
    const uint32_t *line; /* byte where each line begins */
    size_t line_count;    /* at least 1 */
} marq_source;

/* Copies text and name into the arena and finds the lines (LF or CRLF).
 * May fail: memory, limit (length above UINT32_MAX - 1). */
marq_status marq_source_init(marq_source *out, marq_arena *arena,
                             const char *name, const char *bytes,
                             size_t length);
/* Line and column from 1; past the end gives the end.  May fail: never. */
marq_place marq_source_place(const marq_source *source, size_t byte);
/* The bytes of line `line` (from 1) without its line end. */
marq_span marq_source_line(const marq_source *source, uint32_t line);

#endif
