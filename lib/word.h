/* word.h - recognising words: longest match and near misses.
 * Floor 4; may use base, text, vocab. */
#ifndef MARQ_WORD_H
#define MARQ_WORD_H

#include "text.h"
#include "vocab.h"

/* The folded text cut into words once: a word is a run of letters, digits and
 * apostrophes; an inner or final full stop of an abbreviation belongs to it
 * ("p.d.b."); a hyphen between letters separates words of one form. */
typedef struct marq_word {
    uint32_t from, to; /* folded bytes */
    uint8_t before;    /* what separates it from the word before: see below */
} marq_word;
enum { MARQ_GAP_SPACE, MARQ_GAP_HYPHEN, MARQ_GAP_COMMA, MARQ_GAP_LINE,
       MARQ_GAP_OTHER };

/* The longest form whose words stand at words[i], [i + 1] ... joined by
 * spaces or hyphens only.  Returns the form and sets *used (words taken), or
 * NULL.  May fail: never. */
const marq_form *marq_word_longest(const marq_vocab_data *data,
                                   const marq_folded *text,
                                   const marq_word *words, size_t count,
                                   size_t i, size_t *used);

/* Does a form have a sense of this role?  *id (may be NULL) gets it. */
bool marq_form_is(const marq_vocab_data *data, const marq_form *form,
                  marq_role role, uint16_t *id);

typedef struct marq_near {
    const marq_form *form;
    uint32_t distance; /* in tenths of a letter */
} marq_near;
/* Up to `most` nearest forms of a role (MARQ_ROLES: any), nearest first,
 * swaps and accents cheap, none farther than a third of the word's letters.
 * Returns how many.  May fail: never. */
size_t marq_word_near(const marq_vocab_data *data, marq_role role,
                      const char *word, size_t length, marq_near *out,
                      size_t most);

#endif
