/* reach_parts.h - what reach.c and reach_back.c share.
 * Part of reach; floor 6. */
#ifndef MARQ_REACH_PARTS_H
#define MARQ_REACH_PARTS_H

#include "reach.h"

#define MARQ_ALL_VARIANTS UINT16_MAX

/* Does a move simply carry the facing along by its turn? */
static inline bool marq_reach_plain(const marq_reach *reach,
                                    const marq_stage *stage, const marq_used *u)
{
    bool faces =
        stage->kind == MARQ_STAGE_STEP ? stage->demand.faces : stage->faces;
    return reach->no_facing ||
           (!faces &&
            (u->variant == 0xffff || reach->data->moves[u->move].change != 1));
}

static inline marq_facing marq_reach_carry(const marq_reach *reach,
                                           const marq_used *u, unsigned f)
{
    return reach->no_facing ? (marq_facing)f
                            : marq_facing_turn((marq_facing)f, u->turn);
}

typedef struct marq_aim {
    marq_facing facing;
    uint8_t price;
} marq_aim;

/* Facings in which a move that begins at `f` may end, with what each costs;
 * at most 8.  A written facing is an instruction: up to a quarter is free on
 * any step, nothing inside a hold.  With no word the body keeps its facing,
 * but for the usual change from one croise to the other. */
size_t marq_reach_aims(const marq_reach *reach, const marq_stage *stage,
                       const marq_used *u, bool ignore_facing, unsigned f,
                       marq_aim aims[8]);
/* The one pseudo move of a stand at a body: it stays.  False if the stand does
 * not allow the body. */
bool marq_reach_stand(const marq_stage *stage, marq_body b, unsigned arrival,
                      bool linked, marq_used *u);
/* A step danced once, by one variant or by any. */
marq_status marq_reach_once(marq_reach *reach, const marq_front *in,
                            const marq_stage *stage, bool ignore_facing,
                            uint16_t only, uint32_t repeat, marq_front *out,
                            marq_array *used);
/* Fronts of every time of a step danced `times` by one variant: `fronts` holds
 * times + 1, the first of which is given.  The moves used at time r begin at
 * used_from[r] (times + 1 entries). */
marq_status marq_reach_repeat(marq_reach *reach, const marq_stage *stage,
                              bool ignore_facing, uint16_t variant,
                              marq_front *fronts, marq_array *used,
                              size_t *used_from);

#endif
