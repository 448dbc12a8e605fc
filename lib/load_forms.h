/* load_forms.h - strings and written forms of a vocabulary being loaded.
 * Inside load, its lowest; may use base, vocab. */
#ifndef MARQ_LOAD_FORMS_H
#define MARQ_LOAD_FORMS_H

#include "vocab.h"

/* ---- the string pool ---- */
typedef struct marq_pool {
    marq_build bytes; /* `failed` tells that memory ended */
} marq_pool;

/* Begins with the strings of `base`, or with the empty string. */
void marq_pool_init(marq_pool *pool, marq_arena *arena,
                    const marq_vocab_data *base);
/* A new string; 0 for the empty one (and when memory ends).  Strings longer
 * in all than 32 bits count as memory that ended. */
marq_str marq_pool_add(marq_pool *pool, const char *text, size_t length);

/* ---- forms with their senses ---- */
enum { /* flags of a sense */
    MARQ_SENSE_BASE = 1, /* from the vocabulary below an overlay */
    MARQ_SENSE_NAME = 2  /* the form is the name of its entry */
};
#define MARQ_FORMS_MOST 1000000u
#define MARQ_SENSES_MOST 255u /* of one form */

typedef struct marq_form_table {
    marq_arena *arena;
    marq_pool *pool;
    marq_array forms;  /* of marq_form; senses not yet set */
    marq_array ends;   /* first and last sense of each form */
    marq_array senses; /* of pending senses, chained */
    uint32_t *slots;   /* form index + 1 */
    size_t slot_count;
} marq_form_table;

typedef enum marq_form_answer {
    MARQ_FORM_ADDED,     /* or there already with this sense */
    MARQ_FORM_TWICE,     /* both are names of entries of one role */
    MARQ_FORM_FULL,      /* too many forms or senses */
    MARQ_FORM_NO_MEMORY
} marq_form_answer;

void marq_form_table_init(marq_form_table *table, marq_arena *arena,
                          marq_pool *pool);
/* Adds a sense to the form with this key.  `shown` is used when the form is
 * new.  A sense of a word (neither term nor qualifier) takes the place of a
 * sense of the same role that came from the base. */
marq_form_answer marq_form_table_add(marq_form_table *table, const char *key,
                                     size_t length, const char *shown,
                                     size_t shown_length, marq_sense sense,
                                     unsigned flags);
/* Writes forms, senses, slots and longest_form.  May fail: memory. */
marq_status marq_form_table_finish(marq_form_table *table,
                                   marq_vocab_data *out);

#endif
