/* reach.h - what can be reached: exact sets of states with their cheapest
 * prices, carried over one gap and one step at a time.
 * Floor 6; may use everything below.
 *
 * A front is the set of all (how she arrived, body, facing) that some reading
 * reaches, each with the price of its cheapest reading.  Between two steps at
 * most one link is assumed, under the rules of following.md 1.  Nothing is
 * sampled and nothing is capped. */
#ifndef MARQ_REACH_H
#define MARQ_REACH_H

#include "demand.h"
#include "front.h"
#include "gap.h"
#include "state.h"
#include "step.h"
#include "vocab.h"

/* An allowed move of a stage with all that is asked of its gap. */
typedef struct marq_used {
    uint16_t variant;
    uint32_t move; /* index into the vocabulary's moves */
    int8_t turn;   /* as written */
    uint8_t price;
    uint8_t gate;    /* see gap.h */
    uint8_t arrives; /* layer, or 3: as it was */
    uint8_t facings; /* allowed at the end */
    marq_body from, to;
    bool marked; /* on a cheapest reading */
} marq_used;

typedef enum marq_stage_kind {
    MARQ_STAGE_STEP,
    MARQ_STAGE_STAND /* a place where one stands: a filter */
} marq_stage_kind;

/* One thing the text asks for, in order. */
typedef struct marq_stage {
    uint8_t kind;
    marq_demand demand;          /* STEP */
    uint8_t bodies[MARQ_BODIES]; /* STAND: 1 allowed */
    bool has_bodies;
    bool quiet_only;             /* STAND: only quiet links come before it */
    uint8_t facings, alignments; /* STAND */
    bool faces;
} marq_stage;

typedef struct marq_reach {
    const marq_vocab_data *data;
    marq_arena *arena; /* for lists of moves used */
    marq_links links;
    bool no_facing; /* no facing is written anywhere: it stays unknown, one
                       cell stands for all eight, and turns do not matter */
} marq_reach;

void marq_reach_init(marq_reach *reach, const marq_vocab_data *data,
                     marq_arena *arena);

/* Carries `in` over a stage (all its repeats).  `ignore_facing` follows the
 * feet alone.  With `used` (an array of marq_used, may be NULL) the moves of a
 * single step are listed.  May fail: memory. */
marq_status marq_reach_forward(marq_reach *reach, const marq_front *in,
                               const marq_stage *stage, bool ignore_facing,
                               marq_front *out, marq_array *used);

/* Which cells of `in` lie on a reading that arrives, at the price `out`
 * says, in a cell of `after`; adds to `before` (cleared here).  Moves of
 * those readings are marked in `used` (listed here for repeated steps).
 * May fail: memory. */
marq_status marq_reach_back(marq_reach *reach, const marq_front *in,
                            const marq_front *out, const marq_stage *stage,
                            const marq_marks *after, marq_marks *before,
                            marq_array *used);

/* One move along a cheapest reading: from which cell, over which link, by
 * which variant, to which cell. */
typedef struct marq_danced {
    marq_cell from, to;
    bool linked;
    marq_link link;
    uint16_t variant; /* 0xffff for a stand */
    uint32_t move;
    uint32_t repeat; /* 0, 1, 2 ... of a repeated step */
    int8_t turn;
} marq_danced;

/* Follows the first (in order of the vocabulary) cheapest reading from the
 * marked cell `at` over the stage into a cell of `after`; appends to `path`
 * (of marq_danced) and moves `at`.  `used` is the list marq_reach_forward made
 * of a single step.  May fail: memory, defect. */
marq_status marq_reach_path(marq_reach *reach, const marq_front *in,
                            const marq_front *out, const marq_stage *stage,
                            const marq_marks *after, const marq_array *used,
                            marq_cell *at, marq_array *path);

/* Which cells of `after` the cheapest readings through the cells `from` of
 * `in` arrive in; `to` is cleared here.  May fail: memory. */
marq_status marq_reach_spread(marq_reach *reach, const marq_front *in,
                              const marq_front *out, const marq_stage *stage,
                              const marq_marks *after, const marq_array *used,
                              const marq_marks *from, marq_marks *to);

#endif
