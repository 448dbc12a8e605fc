/* property.h - what the tests of properties share: a vocabulary, a seed, many
 * random texts, and showing where one fails.
 *
 * May use the public header, make_text.h and dice.h. */
#ifndef PROPERTY_H
#define PROPERTY_H

#include "dice.h"
#include "make_text.h"
#include "marquer.h"

#define SHOWN_MOST 6 /* failing texts printed */

typedef struct world {
    marq_vocab *vocab;
    uint64_t seed;
} world;

/* Setup and teardown of a group: *state is a world; the seed is printed. */
int property_load(void **state);
int property_free(void **state);

/* All of these end the test when memory or the library fails; what they give
 * is freed by the caller. */
marq_combo *property_read(const world *w, const char *text, size_t length);
marq_text *property_copy(const marq_combo *combo);
marq_report *property_check(const marq_combo *combo);
bool property_same_copy(const marq_combo *a, const marq_combo *b);

/* A property of one text; with `show` it says on standard error what is
 * wrong. */
typedef bool (*property_fn)(const world *w, const char *text, size_t length,
                            bool show);
/* Tries `count` texts (ten times as many with MARQ_LONG); `salt` makes
 * them others than those of another test. */
void property_try(const world *w, uint64_t salt, size_t count,
                  const make_how *how, property_fn holds);
/* Cuts a failing text to the fewest items that still fail, for the eye. */
void property_make_small(const world *w, property_fn holds, made *t);
void property_show_copy(const char *what, const marq_combo *combo);
void property_show_report(const char *what, const marq_report *report);

#endif
