/* mend.h - smallest corrections: cheapest edits that carry a broken stretch to
 * its next break or its end.  Each is followed before it is offered.
 * Floor 8; may use everything below. */
#ifndef MARQ_MEND_H
#define MARQ_MEND_H

#include "diag.h"
#include "follow.h"

/* Looks for corrections of the break of stretch `s` and adds at most three to
 * `finding`, cheapest first.  Nothing is added if none helps.
 * May fail: memory. */
marq_status marq_mend_break(marq_following *f, marq_arena *arena,
                            const marq_stretch *s, marq_findings *findings,
                            marq_finding *finding);

/* The same for a start whose facing and alignment word clash: the name the
 * written facing has with the written feet.  May fail: memory. */
marq_status marq_mend_start_clash(const marq_following *f,
                                  marq_findings *findings,
                                  marq_finding *finding);

#endif
