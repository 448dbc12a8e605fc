/* follow.h - a whole text followed: plan, stretches, readings, where it breaks.
 * Floor 7; may use everything below.
 *
 * The text becomes stages (steps, statements of where one stands).  A stretch
 * is a run of stages without an unknown between them; it begins at the start,
 * at a written position after an unknown, or at a second side. */
#ifndef MARQ_FOLLOW_H
#define MARQ_FOLLOW_H

#include "diag.h"
#include "reach.h"
#include "tree.h"
#include "vocab.h"

#define MARQ_NO_ITEM UINT32_MAX

typedef enum marq_seen_role {
    MARQ_SEEN_STEP,
    MARQ_SEEN_STAND,  /* "now fifth, right front" */
    MARQ_SEEN_FACE,   /* a facing after the last step */
    MARQ_SEEN_FINISH  /* the finish line */
} marq_seen_role;

/* A stage with what following found of it. */
typedef struct marq_seen {
    marq_stage stage;
    uint8_t role;
    uint32_t item;      /* of the tree, or MARQ_NO_ITEM */
    marq_span span;     /* the word to point at */
    const marq_stand *facing; /* of an item of its own before the step */
    bool reached;       /* some reading dances it */
    marq_front *after;  /* NULL if not reached */
    marq_array used;    /* marq_used, marked ones lie on cheapest readings */
    marq_marks marks;   /* cells after it on cheapest readings */
    size_t path_from, path_to; /* of the following's path */
} marq_seen;

typedef enum marq_break {
    MARQ_BREAK_NONE,
    MARQ_BREAK_FEET,    /* no reading dances this stage */
    MARQ_BREAK_NEVER,   /* nobody could, from anywhere, as it is written */
    MARQ_BREAK_FACING,  /* the feet could, the facing cannot */
    MARQ_BREAK_START    /* the first step cannot begin from the written start */
} marq_break;

typedef struct marq_stretch {
    size_t first, end;  /* stages [first, end) asked of it */
    size_t reached;     /* stages [first, reached) are danced */
    marq_break broken;  /* why not further */
    marq_front *start;
    marq_marks start_marks; /* starts of cheapest readings */
    bool start_written; /* else from the priced set */
    bool opens_text;    /* begins at the beginning of the text */
    bool ends_unknown;  /* an unknown word or a hole follows */
    marq_cell at;       /* the start of the customary reading */
    uint32_t price;     /* of the cheapest reading */
} marq_stretch;

typedef struct marq_following {
    const marq_vocab *vocab;
    const marq_tree *tree;
    marq_reach reach;
    marq_array seen;      /* marq_seen */
    marq_array stretches; /* marq_stretch */
    marq_array path;      /* marq_danced, the customary reading */
    bool start_clash;     /* the written start's facing and feet cannot be
                             joined; the feet were followed */
    marq_side first_named; /* the side named first beside a step */
    bool names_side;      /* a side is written somewhere */
    bool wants_other_side; /* "repeat" or "other side" is written */
} marq_following;

/* Follows `tree`.  Everything lives in `arena`.  Qualifiers that are no form
 * of their term are noted in `findings`; nothing else is.  May fail: memory,
 * limit. */
marq_status marq_follow(marq_following *out, marq_arena *arena,
                        const marq_vocab *vocab, const marq_tree *tree,
                        marq_findings *findings);

/* The front a stage of a stretch begins from. */
const marq_front *marq_follow_before(const marq_following *following,
                                     const marq_stretch *stretch,
                                     size_t stage);
const marq_marks *marq_follow_marks_before(const marq_following *following,
                                           const marq_stretch *stretch,
                                           size_t stage);

/* A body with height and tips left out, and the mirror image taken when the
 * start had its left foot in front (or, begun without a front foot, the
 * lower of both): for comparing ends relative to their starts. */
marq_body marq_follow_relative(marq_body start, marq_body end);

/* All starts of cheapest readings with the ends each leads to, as bits of
 * bodies.  ends[b] is 0 where b begins no cheapest reading.
 * May fail: memory. */
marq_status marq_follow_ends(marq_following *following,
                             const marq_stretch *stretch,
                             uint64_t ends[MARQ_BODIES]);

#endif
