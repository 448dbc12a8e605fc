#include "gap.h"

unsigned marq_gap_gate(const marq_variant *v, const marq_move *m,
                       bool named_fourth)
{
    unsigned gate = v->leaves;
    if (v->flags & MARQ_VARIANT_NO_LINK) {
        gate |= MARQ_GATE_NO_LINK;
    }
    if (v->flags & MARQ_VARIANT_OPENS) {
        gate |= MARQ_GATE_OPENS;
    }
    if (named_fourth && v->turn_sense != MARQ_TURN_NONE) {
        gate |= MARQ_GATE_NO_GATHER;
    }
    if ((v->flags & MARQ_VARIANT_STEPS) && m->working == MARQ_SIDE_RIGHT) {
        gate |= MARQ_GATE_STEPS_RIGHT;
    }
    if ((v->flags & MARQ_VARIANT_STEPS) && m->working == MARQ_SIDE_LEFT) {
        gate |= MARQ_GATE_STEPS_LEFT;
    }
    return gate;
}

bool marq_gap_allows(unsigned gate, unsigned arrival, const marq_link *link)
{
    unsigned leaves = gate & MARQ_GATE_LEAVES;
    bool still = arrival == MARQ_STILL || leaves == MARQ_STILL;
    if (gate & MARQ_GATE_NO_LINK) {
        return false;
    }
    if (gate & MARQ_GATE_QUIET) {
        return link->price == MARQ_PRICE_QUIET;
    }
    switch (link->kind) {
    case MARQ_LINK_ADJUST:
        return true;
    case MARQ_LINK_SHIFT:
        return !(arrival == MARQ_JUMPING && leaves == MARQ_JUMPING);
    case MARQ_LINK_CLOSE:
        if ((gate & MARQ_GATE_STEPS_RIGHT && link->stood == MARQ_SIDE_RIGHT) ||
            (gate & MARQ_GATE_STEPS_LEFT && link->stood == MARQ_SIDE_LEFT)) {
            return false;
        }
        return still;
    case MARQ_LINK_GATHER:
        return still && !(gate & MARQ_GATE_NO_GATHER);
    default:
        return (gate & MARQ_GATE_OPENS) != 0;
    }
}

static void gap_lower(marq_crossing *g, unsigned way, unsigned body,
                      const uint8_t from[8], unsigned price)
{
    uint8_t *row = g->cost[way][body];
    if (!((g->live[way] >> body) & 1u)) {
        memset(row, MARQ_OUT_OF_REACH, 8);
        g->live[way] |= (uint64_t)1 << body;
        g->any |= (uint64_t)1 << body;
    }
    for (unsigned f = 0; f < 8; f++) {
        if (from[f] != MARQ_OUT_OF_REACH) {
            marq_front_lower(&row[f], from[f] + price);
        }
    }
}

static unsigned way_of(unsigned arrival, const marq_link *link)
{
    unsigned moving = arrival != MARQ_STILL;
    switch (link->kind) {
    case MARQ_LINK_ADJUST:
        return MARQ_BY_ADJUST;
    case MARQ_LINK_SHIFT:
        return arrival == MARQ_JUMPING ? MARQ_BY_SHIFT_JUMP : MARQ_BY_SHIFT;
    case MARQ_LINK_CLOSE:
        return MARQ_BY_CLOSE + 2 * moving + (link->stood == MARQ_SIDE_LEFT);
    case MARQ_LINK_GATHER:
        return MARQ_BY_GATHER + moving;
    default:
        return MARQ_BY_OPEN;
    }
}

void marq_gap_open(marq_crossing *g, const marq_front *in,
                   const marq_links *links, const uint8_t *prices)
{
    memset(g->live, 0, sizeof g->live);
    g->any = 0;
    for (unsigned k = 0; k < MARQ_ARRIVALS; k++) {
        for (uint64_t set = in->live[k]; set;) {
            unsigned b = marq_front_next(&set);
            gap_lower(g, MARQ_BY_NOTHING, b, in->cost[k][b], 0);
            for (unsigned i = links->index[b]; i < links->index[b + 1]; i++) {
                const marq_link *link = &links->at[i];
                gap_lower(g, way_of(k, link), link->to, in->cost[k][b],
                          prices[link->price]);
            }
        }
    }
}

/* The ways a gate leaves open, as a mask; agrees with marq_gap_allows. */
static unsigned ways_of(unsigned gate)
{
    unsigned leaves = gate & MARQ_GATE_LEAVES;
    unsigned ways = 1u << MARQ_BY_NOTHING;
    if (gate & MARQ_GATE_NO_LINK) {
        return ways;
    }
    ways |= 1u << MARQ_BY_ADJUST | 1u << MARQ_BY_SHIFT;
    if (leaves != MARQ_JUMPING) {
        ways |= 1u << MARQ_BY_SHIFT_JUMP;
    }
    for (unsigned moving = 0; moving < 2; moving++) {
        if (moving && leaves != MARQ_STILL) {
            continue;
        }
        if (!(gate & MARQ_GATE_STEPS_RIGHT)) {
            ways |= 1u << (MARQ_BY_CLOSE + 2 * moving);
        }
        if (!(gate & MARQ_GATE_STEPS_LEFT)) {
            ways |= 1u << (MARQ_BY_CLOSE + 2 * moving + 1);
        }
        if (!(gate & MARQ_GATE_NO_GATHER)) {
            ways |= 1u << (MARQ_BY_GATHER + moving);
        }
    }
    if (gate & MARQ_GATE_OPENS) {
        ways |= 1u << MARQ_BY_OPEN;
    }
    return ways;
}

/* Prices of `body` after the gap for a gate; false if out of reach. */
bool marq_gap_row(const marq_crossing *g, unsigned gate, unsigned body,
                  uint8_t row[8])
{
    unsigned ways = ways_of(gate);
    bool reached = false;
    for (unsigned way = 0; way < MARQ_WAYS; way++) {
        if (!((ways >> way) & 1u) || !((g->live[way] >> body) & 1u)) {
            continue;
        }
        const uint8_t *from = g->cost[way][body];
        if (!reached) {
            memcpy(row, from, 8);
            reached = true;
            continue;
        }
        for (unsigned f = 0; f < 8; f++) {
            if (from[f] < row[f]) {
                row[f] = from[f];
            }
        }
    }
    return reached;
}
