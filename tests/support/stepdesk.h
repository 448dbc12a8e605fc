/* stepdesk.h - a few terms laid on the small vocabulary, compiled to moves; and
 * steps with marks put together by hand.
 *
 * May use lib/demand.h and below, loaddesk.h, cmocka. */
#ifndef STEPDESK_H
#define STEPDESK_H

#include "demand.h"
#include "loaddesk.h"

typedef struct stepdesk {
    loaddesk *load;    /* data, arena, faults */
    marq_vocab *vocab; /* around load->data */
    marq_tree tree;    /* one line, its items added by stepdesk_item */
    marq_source source;
} stepdesk;

/* Loads `terms` and `more` (may be NULL) on top of loaddesk_small and compiles;
 * a fault fails the test. */
stepdesk *stepdesk_new(const char *terms, const char *more);
void stepdesk_free(stepdesk *desk);

/* The text of a whole term, given what a bare side means beside it, further
 * lines and its variant lines. */
#define STEPDESK_TERM(id, side, more, variants)                          \
    "term " id "\n  id " id "\n  means a probe\n  family basics\n"        \
    "  level elementary\n  side " side "\n  source memory\n" more variants

/* The first variant of a term, counted in the whole vocabulary. */
size_t stepdesk_variant(const stepdesk *desk, const char *id);
/* An item of a step, danced `times`; marks follow by stepdesk_mark. */
uint32_t stepdesk_item(stepdesk *desk, const char *id, uint32_t times);
void stepdesk_mark(stepdesk *desk, marq_mark_kind kind, unsigned value);
/* The number of a qualifier. */
unsigned stepdesk_qualifier(const stepdesk *desk, const char *name);
/* The demand of an item. */
marq_demand stepdesk_demand(stepdesk *desk, uint32_t item);

/* Short names of bodies: "5R" fifth, right front; "T" "3" "4" "5" with R or L,
 * "1" "2" "P"; "Lah" ... standing foot, shape (t a terre, l low, h high, a
 * ankle, k knee, i attitude), place (f front, s side, b behind). */
marq_body stepdesk_body(const char *name);
const char *stepdesk_name(marq_body body, char out[4]);

#endif
