/* load_clause.h - the language of a variant line (vocab/README.md).
 * Inside load, its lowest; may use base, state, diag, vocab, load_lines.
 *
 * Reads the clauses after the colon.  Which qualifiers there are, terms and
 * their order are not known here: names after "reverse" are handed on as
 * parts. */
#ifndef MARQ_LOAD_CLAUSE_H
#define MARQ_LOAD_CLAUSE_H

#include "load_lines.h"
#include "vocab.h"

#define MARQ_REVERSE_NAMES_MOST 8

typedef struct marq_clauses {
    /* In: what holds where no clause says otherwise, and who it is about. */
    uint8_t level, gap;
    const char *who;    /* "assemblé dessus", for faults */
    marq_part who_part; /* where that is written */
    /* Out: everything of a variant that its clauses say. */
    marq_variant variant;
    marq_part reverse[MARQ_REVERSE_NAMES_MOST]; /* names, resolved later */
    size_t reverse_count;                       /* 0: no reverse */
} marq_clauses;

/* Reads `part` of `text`.  False if it has faults (added to `faults`) or
 * memory ended (kept there). */
bool marq_clauses_read(marq_clauses *clauses, const marq_load_text *text,
                       marq_part part, marq_faults *faults);

/* Phrases (load_place.c). */
/* If `text` begins with the words (and they end there or at a blank or
 * slash), what follows them, without a blank in front; else NULL. */
const char *marq_clause_after(const char *text, const char *words);
/* The free leg's places a phrase like "at the ankle front/side" means; 0 if
 * it is none.  `words` as marq_part_words gives them. */
marq_free_mask marq_clause_place(const char *words);
/* The position named, or MARQ_POSITIONS. */
marq_position marq_clause_position(const char *words);
/* beginner ... advanced, or -1. */
int marq_clause_level(const char *words);
/* "still", "moving", "in a jump", or -1. */
int marq_clause_gap(const char *words);

#endif
