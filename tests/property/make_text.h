/* make_text.h - random combinations from the vocabulary, and their mirror
 * image written directly, without the library's mirror.
 *
 * May use lib/vocab.h for the names there are, and dice.h. */
#ifndef MAKE_TEXT_H
#define MAKE_TEXT_H

#include <stdbool.h>
#include <stddef.h>

#include "dice.h"
#include "vocab.h"

#define MADE_MOST 8192

typedef struct made {
    char bytes[MADE_MOST];
    size_t length;
} made;

enum made_start {
    MADE_NO_START,
    MADE_ANY_START, /* written more often than not */
    MADE_RIGHT,     /* fifth, right foot in front */
    MADE_LEFT
};

typedef struct make_how {
    enum made_start start;
    size_t steps; /* at most so many */
    bool marks;   /* feet, sides, positions, times beside the steps */
    bool facings;
    bool counts;
    bool remarks; /* a title, brackets */
} make_how;

/* The same dice give the same text; with `flip` left and right are exchanged
 * in it.  The dice are used up either way. */
void make_text(made *out, const marq_vocab *vocab, dice *d, const make_how *how,
               bool flip);
/* right <-> left in any words, into `out` (room for as much). */
void make_swapped(char *out, size_t room, const char *words);

#endif
