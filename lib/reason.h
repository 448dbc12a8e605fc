/* reason.h - why a stretch breaks, in class words.
 * Floor 8; may use everything below. */
#ifndef MARQ_REASON_H
#define MARQ_REASON_H

#include "diag.h"
#include "follow.h"

/* Adds the finding for the break of stretch `s` (nothing if it has none);
 * *out receives it so that corrections can be added.  May fail: memory. */
marq_status marq_reason_break(marq_following *f, marq_arena *arena,
                              const marq_stretch *s, marq_findings *findings,
                              marq_finding **out);
/* The finding for a written start whose feet and facing cannot be joined. */
marq_status marq_reason_start(marq_following *f, marq_arena *arena,
                              marq_findings *findings, marq_finding **out);
/* The step of a stage as it is written in the text, in an arena; NULL when
 * memory ends. */
const char *marq_reason_step(const marq_following *f, marq_arena *arena,
                             const marq_seen *seen);

#endif
