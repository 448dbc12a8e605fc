/* load_entry.h - entries of a vocabulary text to terms, qualifiers, words.
 * Inside load, above load_clause and load_forms; may use these, load_lines,
 * base, state, pattern, vocab.
 *
 * load.c calls the steps in their order: qualifiers are named first, so that
 * one may be used before it is defined. */
#ifndef MARQ_LOAD_ENTRY_H
#define MARQ_LOAD_ENTRY_H

#include "load_forms.h"
#include "load_lines.h"
#include "vocab.h"

/* Most that a vocabulary holds; one more is a fault. */
#define MARQ_TERMS_MOST 4096u
#define MARQ_VARIANTS_MOST 16384u
#define MARQ_FREE_WORDS_MOST 1024u
#define MARQ_NOTATION_LINES_MOST 256u

typedef struct marq_loading_term {
    marq_term term; /* first_variant: in `variants` below */
    bool from_base;
} marq_loading_term;

typedef struct marq_loading_qualifier {
    marq_qualifier qualifier;
    const char *key;
    bool from_base;
} marq_loading_qualifier;

typedef struct marq_loading {
    marq_arena *arena;
    marq_faults faults;
    marq_array entries; /* of marq_load_entry */
    marq_array fields;  /* of marq_load_field */
    marq_pool pool;
    marq_form_table forms;
    marq_array terms;      /* of marq_loading_term */
    marq_array variants;   /* of marq_variant, those of replaced terms too;
                              `reverse` an index into it */
    marq_array qualifiers; /* of marq_loading_qualifier */
    marq_array free_words; /* of marq_free_word */
    marq_array notations;  /* of marq_notation_line */
    bool notation_from_base[MARQ_NOTATIONS];
    uint8_t prices[MARQ_PRICES];
    uint8_t price_from[MARQ_PRICES]; /* 0 nowhere, 1 base, 2 these texts */
} marq_loading;

/* What an entry became. */
typedef struct marq_entry_id {
    uint8_t role; /* marq_role; MARQ_ROLES: no forms to add */
    uint16_t id;
} marq_entry_id;

/* Each returns false when memory ended; faults go to the list. */
/* An entry `qualifier`: gives it its number. */
bool marq_entry_name_qualifier(marq_loading *l, const marq_load_entry *e,
                               marq_entry_id *id);
/* The rest of it. */
bool marq_entry_qualifier(marq_loading *l, const marq_load_entry *e,
                          const marq_entry_id *id);
/* An entry `term` with its variants (load_term.c). */
bool marq_entry_term(marq_loading *l, const marq_load_entry *e,
                     marq_entry_id *id);
/* Any other kind (load_word.c); an unknown kind is a fault. */
bool marq_entry_word(marq_loading *l, const marq_load_entry *e,
                     marq_entry_id *id);
/* Its name and what is `written` become forms. */
bool marq_entry_forms(marq_loading *l, const marq_load_entry *e,
                      const marq_entry_id *id);

/* ---- shared by the files of this module ---- */
typedef struct marq_field_rule {
    const char *key;
    bool must, many;
} marq_field_rule;

/* Checks keys, doubles, what must stand there, empty values. */
void marq_entry_check(marq_loading *l, const marq_load_entry *e,
                      const marq_field_rule *rules, size_t count);
/* "NAME has no WHAT" at `part`. */
void marq_entry_fault_missing(marq_loading *l, const marq_load_entry *e,
                              marq_part part, const char *what);
/* The first field with this key, or NULL. */
const marq_load_field *marq_entry_field(const marq_loading *l,
                                        const marq_load_entry *e,
                                        const char *key);
/* The entry's name, or its kind if it has none. */
marq_part marq_entry_part(const marq_load_entry *e);
/* Number of a qualifier by what stands at `part` (any writing of its name),
 * or 0xffff. */
uint16_t marq_find_qualifier(const marq_loading *l,
                             const marq_load_text *text, marq_part part);
/* What is written at `part` as a string of the pool. */
marq_str marq_part_pooled(marq_loading *l, const marq_load_text *text,
                          marq_part part);

#endif
