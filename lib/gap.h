/* gap.h - what may be assumed between two steps, and what it costs.
 * Floor 5; may use base, state, front, vocab, step.
 *
 * A gate is what the coming step asks of the gap before it.  Between two
 * steps at most one link is assumed, by the rules of following: nothing before
 * a step whose meaning is the open leg; no shift of weight between two jumps;
 * no closing and no gathering between two moving sides; no closing that frees
 * the foot the step puts weight on. */
#ifndef MARQ_GAP_H
#define MARQ_GAP_H

#include "front.h"
#include "step.h"
#include "vocab.h"

enum { /* bits of a gate; the lowest two are a marq_gap */
       MARQ_GATE_LEAVES = 3,
       MARQ_GATE_NO_LINK = 4,
       MARQ_GATE_OPENS = 8,
       MARQ_GATE_NO_GATHER = 16,
       MARQ_GATE_STEPS_RIGHT = 32, /* this foot takes weight at once */
       MARQ_GATE_STEPS_LEFT = 64,
       MARQ_GATE_QUIET = 128 /* a remark: only quiet links before it */
};

/* The gate of a move; `named_fourth`: fourth is written here or just before,
 * so that nothing is gathered from it. */
unsigned marq_gap_gate(const marq_variant *variant, const marq_move *move,
                       bool named_fourth);
bool marq_gap_allows(unsigned gate, unsigned arrival, const marq_link *link);

/* Links of one kind are treated alike, so that a body's prices after the gap
 * are reckoned once for each gate and not once for each move. */
enum {
    MARQ_BY_NOTHING,
    MARQ_BY_ADJUST,
    MARQ_BY_SHIFT,                      /* from still or moving */
    MARQ_BY_SHIFT_JUMP,                 /* from a jump */
    MARQ_BY_CLOSE,                      /* + 2 * moving + (stood == left) */
    MARQ_BY_GATHER = MARQ_BY_CLOSE + 4, /* + moving */
    MARQ_BY_OPEN = MARQ_BY_GATHER + 2,
    MARQ_WAYS
};
typedef struct marq_crossing {
    uint8_t cost[MARQ_WAYS][48][8];
    uint64_t live[MARQ_WAYS];
    uint64_t any; /* bodies in reach in some way */
} marq_crossing;

/* All bodies in reach over the gap, way by way. */
void marq_gap_open(marq_crossing *out, const marq_front *in,
                   const marq_links *links, const uint8_t *prices);
/* Prices of `body` after the gap for a gate; false if out of reach. */
bool marq_gap_row(const marq_crossing *crossing, unsigned gate, unsigned body,
                  uint8_t row[8]);

#endif
