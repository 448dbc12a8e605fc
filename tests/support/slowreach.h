/* slowreach.h - one stage danced the slow way: a table of prices, every link
 * and every move tried from every cell.
 *
 * May use lib/reach.h and below (not reach itself), cmocka. */
#ifndef SLOWREACH_H
#define SLOWREACH_H

#include "reach.h"
#include "stepdesk.h"

#define SLOW_NEVER UINT32_MAX

/* A few terms with every kind of clause that a gap or a facing asks about. */
#define SLOWREACH_TERMS 8
extern const char slowreach_terms[];
extern const char *const slowreach_names[SLOWREACH_TERMS];

typedef struct slowtable {
    uint32_t at[MARQ_ARRIVALS][MARQ_BODIES][8]; /* total prices */
} slowtable;

/* Carries `in` over a stage with all its repeats. */
void slowreach_forward(const stepdesk *desk, const marq_links *links,
                       bool no_facing, const marq_stage *stage,
                       const slowtable *in, slowtable *out);
/* The same from one cell of `in` alone. */
void slowreach_from(const stepdesk *desk, const marq_links *links,
                    bool no_facing, const marq_stage *stage,
                    const slowtable *in, marq_cell cell, slowtable *out);
void slowreach_read(const marq_front *front, slowtable *out);

#endif
