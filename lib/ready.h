/* ready.h - can the other side begin?  Do readings end differently?
 * Floor 8; may use everything below. */
#ifndef MARQ_READY_H
#define MARQ_READY_H

#include "diag.h"
#include "follow.h"

typedef struct marq_verdict {
    marq_readiness ready;
    bool end_known;   /* the text was followed to its end */
    marq_body end;    /* of the customary reading */
    bool ends_differ; /* cheapest readings end differently */
} marq_verdict;

/* Judges the first side of a followed text; questions go to `findings`.  Call
 * it after the assumptions have been listed: it follows dearer readings too.
 * May fail: memory, defect. */
marq_status marq_ready_judge(marq_verdict *out, marq_following *f,
                             marq_arena *arena, marq_findings *findings);

#endif
