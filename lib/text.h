/* text.h - UTF-8, folding with a map back to source bytes, display width.
 * Floor 1; may use base and utf8proc.
 *
 * Folding makes "Échappé" and "echappe" one word: compatibility forms
 * undone, accents dropped, case folded, the ligatures oe and ae spelled out,
 * typographic apostrophes and backticks become ', every kind of dash becomes
 * - and every kind of blank but the line feed becomes a space.  A
 * carriage return before a line feed is dropped, one alone becomes a line
 * feed.  The multiplication sign becomes x, an arrow to the right ->, a
 * fraction like one half 1/2 (a space before it if it follows a digit),
 * quotation marks ", bullets *.  What is never seen (soft hyphens, marks of
 * direction) is dropped.  ASCII takes a short way. */
#ifndef MARQ_TEXT_H
#define MARQ_TEXT_H

#include "base.h"

typedef struct marq_folded {
    const char *bytes;     /* folded text, zero-terminated */
    size_t length;
    const uint32_t *place; /* place[i]: source byte that folded byte i came
                              from; place[length] == source length */
} marq_folded;

/* Folds `length` bytes of UTF-8.  Broken sequences and NUL and other control
 * bytes (but tab and line feed) become the byte 0x01 each, so that nothing
 * matches them; *faults (may be NULL) counts them.
 * May fail: memory, limit (length above UINT32_MAX - 1). */
marq_status marq_text_fold(marq_folded *out, marq_arena *arena,
                           const char *bytes, size_t length, size_t *faults);

/* Folds a short string into a new zero-terminated arena string.  May fail:
 * memory (NULL). */
const char *marq_text_fold_string(marq_arena *arena, const char *bytes,
                                  size_t length);

/* Length in bytes of the valid UTF-8 sequence at `bytes` (1 to 4), or 0 if it
 * is broken; *code (may be NULL) receives the code point. */
size_t marq_text_decode(const char *bytes, size_t length, uint32_t *code);

/* Columns that `length` bytes take on a terminal, as marq_text_show prints
 * them. */
size_t marq_text_width(const char *bytes, size_t length);

/* Appends bytes so that no control, escape or broken byte reaches a
 * terminal: each is shown as \xHH (the line feed too), a tab as one space.
 * Code points that would not be seen, or that would change how others are
 * seen (controls above ASCII, marks of direction, blanks of no width), are
 * shown by their number, \u{202e}.  Accents stay as they are. */
void marq_text_show(marq_build *out, const char *bytes, size_t length);

#endif
