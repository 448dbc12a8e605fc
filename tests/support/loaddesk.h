/* loaddesk.h - a small vocabulary, and texts loaded on top of it.
 *
 * May use lib/load.h and below, cmocka. */
#ifndef LOADDESK_H
#define LOADDESK_H

#include "load.h"

typedef struct loaddesk {
    marq_arena arena;
    marq_findings *why;
    marq_vocab_data base; /* the small vocabulary, loaded */
    marq_vocab_data data; /* what was loaded last */
} loaddesk;

/* The small vocabulary: all prices, a few entries of each kind. */
extern const char loaddesk_small[];

/* Setup and teardown of a cmocka test: *state is the desk. */
int loaddesk_open(void **state);
int loaddesk_close(void **state);

/* Loads `text`, named "probe", into d->data. */
marq_status loaddesk_load(loaddesk *d, const marq_vocab_data *base,
                          const char *text);
/* Prints what was found, for a test that is about to fail. */
void loaddesk_print(const loaddesk *d);
/* `text` has exactly these faults ("LINE:COLUMN CODE HEADLINE" a line), and
 * nothing is made of it. */
void loaddesk_expect(loaddesk *d, const marq_vocab_data *base,
                     const char *text, const char *faults);
/* The term with this id in `data`, or NULL. */
const marq_term *loaddesk_term(const marq_vocab_data *data, const char *id);

/* A whole term but for its variants; the first of them is in line 9. */
#define LOADDESK_PROBE                                                 \
    "format 1\nterm probe\n  id probe\n  means a probe\n"              \
    "  family basics\n  level elementary\n  side foot\n"              \
    "  source memory\n"

#endif
