/* assume.h - what a customary reading assumed, listed.
 * Floor 8; may use everything below. */
#ifndef MARQ_ASSUME_H
#define MARQ_ASSUME_H

#include "diag.h"
#include "follow.h"
#include "print.h"

/* Adds a note for each assumed start, form, link and change of facing of the
 * danced stretches, and notes and questions that belong to single steps
 * (less usual forms, numbered corners, a missing run-in).  The forms go to
 * `assumed` (of marq_assumed, by item) for the clean copy.
 * May fail: memory. */
marq_status marq_assume_list(marq_following *f, marq_arena *arena,
                             marq_findings *findings, marq_array *assumed);

/* Did the customary reading assume anything at this stage? */
bool marq_assume_at(const marq_following *f, const marq_seen *seen);

/* The name of a step as danced: "glissade derrière".  NULL when memory
 * ends. */
const char *marq_assume_name(const marq_following *f, marq_arena *arena,
                             size_t variant);

#endif
