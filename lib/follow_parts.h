/* follow_parts.h - what follow.c and follow_plan.c share.
 * Part of follow; floor 7. */
#ifndef MARQ_FOLLOW_PARTS_H
#define MARQ_FOLLOW_PARTS_H

#include "follow.h"

/* Where the plan says "not known from here", or that a second side begins. */
typedef enum marq_cut_kind { MARQ_CUT_UNKNOWN, MARQ_CUT_SIDE } marq_cut_kind;
typedef struct marq_cut {
    size_t before; /* stage index */
    uint8_t kind;
} marq_cut;

/* Items of the tree to stages (f->seen), and the cuts between them (of
 * marq_cut).  May fail: memory, limit. */
marq_status marq_follow_plan(marq_following *f, marq_arena *arena,
                             marq_findings *findings, marq_array *cuts);

#endif
