/* count_line.h - stretches of counts laid along the time line.
 * Part of count; floor 5.
 *
 * The text is cut into stretches: a line, or, where items of a line have
 * counts of their own, what stands from one of them to the next.  A stretch
 * with counts lasts from its first to the end of its last; that end is a
 * whole count, or half of one if an "&" is the last.  Stretches are laid end
 * to end from 1.  A stretch fits if its first count is the next one due, in
 * the numbering so far or in one that starts again within the phrase.  A
 * stretch without counts takes the counts left open where it stands. */
#ifndef MARQ_COUNT_LINE_H
#define MARQ_COUNT_LINE_H

#include "diag.h"
#include "tree.h"
#include "vocab.h"

typedef struct marq_stretch {
    bool counted, half; /* half: its last count is an "&" */
    marq_count from, to;
    marq_span span; /* of the counts, or of the line */
    size_t line, first_item, item_count;
    bool dances; /* something in it takes time */
    uint8_t side;
    /* found out: */
    bool placed;  /* at and length are known */
    bool faulty;  /* a finding was made of it */
    bool follows; /* directly after the counted stretch before it */
    marq_count at, length, origin; /* origin: where its section begins */
} marq_stretch;

typedef struct marq_reckoner {
    marq_arena *arena;
    const marq_vocab *vocab;
    const marq_tree *tree;
    marq_findings *findings;
    marq_array stretches;
    marq_count *line_length, *item_from, *item_length;
    marq_count phrase;
    bool too_big;      /* a sum of the stretch in hand did not fit */
    /* the walk along the time line */
    marq_count origin; /* where this section, a side written out, began */
    marq_count due;    /* where the next stretch should begin */
    marq_count high;   /* end of what is covered */
    marq_count offset; /* written + offset = place on the time line */
    bool begun;        /* something was placed in this section */
    bool lost;         /* a stretch of this section was not reckoned */
    marq_stretch *before; /* the counted stretch before, in this section */
    size_t waiting;    /* first stretch that waits for room; SIZE_MAX none */
} marq_reckoner;

/* Lays the stretches out: sets placed, at, length and the like of each, says
 * gaps, overlaps, ranges that run backwards or too far, and last phrases that
 * are not full.  May fail: memory. */
marq_status marq_count_place(marq_reckoner *r);
/* Adds a finding on the counts of a stretch.  *out may be NULL, b too.
 * May fail: memory. */
marq_status marq_count_say(marq_reckoner *r, marq_finding **out,
                           marq_diag kind, marq_stretch *s, marq_build *a,
                           marq_build *b);
/* "8", "1 1/2" */
void marq_count_length_words(marq_build *out, marq_count n);

#endif
