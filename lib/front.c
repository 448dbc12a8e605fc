#include "front.h"

void marq_front_clear(marq_front *front)
{
    for (unsigned k = 0; k < MARQ_ARRIVALS; k++) {
        front->live[k] = 0;
    }
    front->base = 0;
}

uint8_t *marq_front_row(marq_front *front, unsigned k, unsigned body)
{
    uint8_t *row = front->cost[k][body];
    if (!((front->live[k] >> body) & 1u)) {
        memset(row, MARQ_OUT_OF_REACH, 8);
        front->live[k] |= (uint64_t)1 << body;
    }
    return row;
}

void marq_front_put(marq_front *front, marq_cell cell, unsigned price)
{
    marq_front_lower(
        &marq_front_row(front, cell.arrival, cell.body)[cell.facing], price);
}

bool marq_front_empty(const marq_front *front)
{
    return !(front->live[0] | front->live[1] | front->live[2]);
}

unsigned marq_front_next(uint64_t *set)
{
    uint64_t lowest = *set & (~*set + 1);
    *set &= *set - 1;
#if defined(__GNUC__)
    return (unsigned)__builtin_ctzll(lowest);
#else
    unsigned body = 0;
    while (lowest >>= 1) {
        body++;
    }
    return body;
#endif
}

uint32_t marq_front_cheapest(const marq_front *front)
{
    unsigned best = MARQ_OUT_OF_REACH;
    for (unsigned k = 0; k < MARQ_ARRIVALS; k++) {
        for (uint64_t set = front->live[k]; set;) {
            unsigned b = marq_front_next(&set);
            for (unsigned f = 0; f < 8; f++) {
                if (front->cost[k][b][f] < best) {
                    best = front->cost[k][b][f];
                }
            }
        }
    }
    return best == MARQ_OUT_OF_REACH ? UINT32_MAX : front->base + best;
}

size_t marq_front_mark(const marq_front *front, uint32_t price,
                       marq_marks *marks)
{
    size_t count = 0;
    for (unsigned k = 0; k < MARQ_ARRIVALS; k++) {
        for (uint64_t set = front->live[k]; set;) {
            unsigned b = marq_front_next(&set);
            for (unsigned f = 0; f < 8; f++) {
                uint8_t cost = front->cost[k][b][f];
                if (cost != MARQ_OUT_OF_REACH && front->base + cost == price) {
                    marks->facing[k][b] |= (uint8_t)(1u << f);
                    count++;
                }
            }
        }
    }
    return count;
}

void marq_front_settle(marq_front *front)
{
    uint32_t least = marq_front_cheapest(front);
    if (least == UINT32_MAX || least - front->base < 64) {
        return;
    }
    unsigned off = (unsigned)(least - front->base);
    for (unsigned k = 0; k < MARQ_ARRIVALS; k++) {
        for (uint64_t set = front->live[k]; set;) {
            uint8_t *row = front->cost[k][marq_front_next(&set)];
            for (unsigned f = 0; f < 8; f++) {
                if (row[f] < MARQ_DEAREST) {
                    row[f] = (uint8_t)(row[f] - off);
                }
            }
        }
    }
    front->base = least;
}

void marq_front_drop(marq_front *front)
{
    for (unsigned k = 0; k < MARQ_ARRIVALS; k++) {
        for (uint64_t set = front->live[k]; set;) {
            unsigned b = marq_front_next(&set);
            const uint8_t *row = front->cost[k][b];
            bool any = false;
            for (unsigned f = 0; f < 8; f++) {
                any |= row[f] != MARQ_OUT_OF_REACH;
            }
            if (!any) {
                front->live[k] &= ~((uint64_t)1 << b);
            }
        }
    }
}

void marq_front_merge(marq_front *into, const marq_front *other)
{
    /* bases may differ after settling: bring both to the lower one */
    if (marq_front_empty(other)) {
        return;
    }
    if (marq_front_empty(into)) {
        *into = *other;
        return;
    }
    uint32_t base = into->base < other->base ? into->base : other->base;
    for (unsigned k = 0; k < MARQ_ARRIVALS; k++) {
        for (uint64_t set = into->live[k]; set;) {
            uint8_t *row = into->cost[k][marq_front_next(&set)];
            for (unsigned f = 0; f < 8 && into->base > base; f++) {
                if (row[f] != MARQ_OUT_OF_REACH) {
                    uint32_t sum = row[f] + (into->base - base);
                    row[f] = (uint8_t)(sum > MARQ_DEAREST ? MARQ_DEAREST : sum);
                }
            }
        }
        for (uint64_t set = other->live[k]; set;) {
            unsigned b = marq_front_next(&set);
            uint8_t *row = marq_front_row(into, k, b);
            for (unsigned f = 0; f < 8; f++) {
                if (other->cost[k][b][f] != MARQ_OUT_OF_REACH) {
                    marq_front_lower(&row[f], other->cost[k][b][f] +
                                                  (other->base - base));
                }
            }
        }
    }
    into->base = base;
}

uint64_t marq_marks_bodies(const marq_marks *marks)
{
    uint64_t set = 0;
    for (unsigned k = 0; k < MARQ_ARRIVALS; k++) {
        for (unsigned b = 0; b < MARQ_BODIES; b++) {
            if (marks->facing[k][b]) {
                set |= (uint64_t)1 << b;
            }
        }
    }
    return set;
}

unsigned marq_marks_facings(const marq_marks *marks)
{
    unsigned mask = 0;
    for (unsigned k = 0; k < MARQ_ARRIVALS; k++) {
        for (unsigned b = 0; b < MARQ_BODIES; b++) {
            mask |= marks->facing[k][b];
        }
    }
    return mask;
}
