/* front.h - a front: every state in reach with its cheapest price.
 * Floor 3; may use base, state. */
#ifndef MARQ_FRONT_H
#define MARQ_FRONT_H

#include "state.h"

#define MARQ_OUT_OF_REACH 255
#define MARQ_DEAREST      254 /* prices above it are all this one */
#define MARQ_ARRIVALS     3   /* how she arrived: still, moving, in a jump */

typedef struct marq_front {
    uint8_t cost[MARQ_ARRIVALS][48][8]; /* by arrival, body, facing */
    uint64_t live[MARQ_ARRIVALS];       /* bodies in reach */
    uint32_t base;                      /* to be added to every cost */
} marq_front;

typedef struct marq_marks { /* a set of cells of a front */
    uint8_t facing[MARQ_ARRIVALS][48];
} marq_marks;

typedef struct marq_cell {
    uint8_t arrival;
    marq_body body;
    marq_facing facing;
} marq_cell;

void marq_front_clear(marq_front *front);
/* Puts one cell in reach at a price, unless it is there cheaper. */
void marq_front_put(marq_front *front, marq_cell cell, unsigned price);
bool marq_front_empty(const marq_front *front);
/* The cheapest total price, UINT32_MAX if nothing is in reach. */
uint32_t marq_front_cheapest(const marq_front *front);
/* Adds every cell of that total price to `marks`; returns how many. */
size_t marq_front_mark(const marq_front *front, uint32_t price,
                       marq_marks *marks);

/* Bodies of marked cells, as bits; facings of marked cells, as a mask. */
uint64_t marq_marks_bodies(const marq_marks *marks);
unsigned marq_marks_facings(const marq_marks *marks);

/* ---- parts for those who fill fronts ---- */
/* The eight prices of a body, set up when it is first used. */
uint8_t *marq_front_row(marq_front *front, unsigned arrival, unsigned body);
static inline bool marq_front_live(const marq_front *front, unsigned arrival,
                                   unsigned body)
{
    return (front->live[arrival] >> body) & 1u;
}
/* Lowers one price, saturating. */
static inline void marq_front_lower(uint8_t *cell, unsigned price)
{
    if (price > MARQ_DEAREST) {
        price = MARQ_DEAREST;
    }
    if (price < *cell) {
        *cell = (uint8_t)price;
    }
}
/* The lowest body of a set of bits, taken out of it; not for empty sets. */
unsigned marq_front_next(uint64_t *set);
/* Rows set up but left without a price go out of reach. */
void marq_front_drop(marq_front *front);
/* Keeps the numbers small: only differences between readings matter. */
void marq_front_settle(marq_front *front);
/* Adds all of `other`. */
void marq_front_merge(marq_front *into, const marq_front *other);

#endif
