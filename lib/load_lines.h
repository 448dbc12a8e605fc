/* load_lines.h - a vocabulary text cut into entries and fields; its faults.
 * Floor 3; may use base, text, diag.
 *
 * Knows the outer form of vocab/README.md only: what stands in the first
 * column, what is indented, what continues, what is a comment.  Places are
 * bytes of the folded text until a fault is written out. */
#ifndef MARQ_LOAD_LINES_H
#define MARQ_LOAD_LINES_H

#include "diag.h"
#include "text.h"

typedef struct marq_load_text {
    const char *name;   /* "" if it has none */
    const char *bytes;  /* as given, after a byte order mark */
    uint32_t skipped;   /* length of that mark */
    uint32_t index;     /* which text of the load, from 0 */
    marq_folded folded;
    char *line;         /* folded text; comments, and line ends between a
                           field and what continues it, are blanks */
} marq_load_text;

/* A stretch of `line`, without blanks at its ends. */
typedef struct marq_part {
    uint32_t from, to;
} marq_part;

typedef struct marq_load_field {
    marq_part key, value; /* value may be empty */
} marq_load_field;

typedef struct marq_load_entry {
    const marq_load_text *text;
    marq_part kind, name; /* name may be empty */
    uint32_t first_field, field_count;
} marq_load_entry;

/* ---- faults, gathered and at the end put in order ---- */
typedef struct marq_fault {
    uint32_t order;
    const marq_load_text *text; /* NULL: of the whole load */
    marq_span span;             /* in the text as given */
    marq_diag kind;
    const char *a, *b;
} marq_fault;

typedef struct marq_faults {
    marq_arena *arena;
    marq_array list; /* of marq_fault */
    bool no_memory;  /* asked once at the end */
} marq_faults;

void marq_faults_init(marq_faults *faults, marq_arena *arena);
/* Copies a and b (may be NULL).  `text` may be NULL, then part is ignored.
 * Memory ending is kept in `no_memory`. */
void marq_fault_add(marq_faults *faults, const marq_load_text *text,
                    marq_diag kind, marq_part part, const char *a,
                    const char *b);
/* The same with what stands at `part` as a. */
void marq_fault_quote(marq_faults *faults, const marq_load_text *text,
                      marq_diag kind, marq_part part);
/* Sorted by text and place into `why`, the name of the text as label.
 * May fail: memory. */
marq_status marq_faults_tell(marq_faults *faults, marq_findings *why);

/* ---- cutting ---- */
/* Folds `bytes` and adds its entries and fields (arrays of marq_load_entry,
 * marq_load_field).  `text` must outlive them.  May fail: memory, limit. */
marq_status marq_load_cut(marq_load_text *text, marq_arena *arena,
                          const char *name, const char *bytes, size_t length,
                          uint32_t index, marq_array *entries,
                          marq_array *fields, marq_faults *faults);

/* ---- reading parts ---- */
marq_part marq_part_trim(const marq_load_text *text, marq_part part);
/* Takes the next piece of *rest that ends at one of `marks` (or the end) and
 * trims it; *mark (may be NULL) gets the byte it ended at, or 0.  False when
 * *rest is used up. */
bool marq_part_next(const marq_load_text *text, marq_part *rest,
                    const char *marks, marq_part *piece, char *mark);
/* Folded words of a part joined by single blanks, zero-terminated; false (and
 * only their beginning) if longer than room - 1. */
bool marq_part_words(const marq_load_text *text, marq_part part, char *out,
                     size_t room);
/* Is that exactly `words`? */
bool marq_part_is(const marq_load_text *text, marq_part part,
                  const char *words);
/* As written, blanks single; zero-terminated in the arena, NULL when memory
 * ends. */
const char *marq_part_written(const marq_load_text *text, marq_arena *arena,
                              marq_part part);
/* Whole number of digits only; false if it is none or above `most`. */
bool marq_part_number(const marq_load_text *text, marq_part part,
                      uint32_t most, uint32_t *out);

#endif
