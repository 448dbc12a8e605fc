/* ref_read.h - what the two halves of the plain vocabulary reader share.
 *
 * May use ref.h. */
#ifndef REF_READ_H
#define REF_READ_H

#include "ref.h"

/* What is being read. */
typedef struct ref_reader {
    ref_vocab *vocab;
    const char *file;
    size_t line;
    bool failed;
} ref_reader;

/* realloc that ends the program when there is no memory. */
void *ref_get_more(void *old, size_t count, size_t size);
void ref_say_fault(ref_reader *r, const char *what, const char *where);
/* Copies kept as long as the vocabulary. */
const char *ref_keep_string(ref_reader *r, const char *from, size_t length);
/* The same with single blanks between the words and none around. */
const char *ref_tidy_string(ref_reader *r, const char *from, size_t length);
/* `rest` (may be NULL) is set to what follows the head. */
bool ref_starts_with(const char *text, const char *head, const char **rest);
/* "still", "moving", "in a jump"; -1 if none of them. */
int ref_read_gap(const char *text);
/* One "variant" line of a term; `gap` is what the term says of its own. */
void ref_read_variant(ref_reader *r, ref_term *t, int gap, const char *value);

#endif
