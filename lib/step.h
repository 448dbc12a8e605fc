/* step.h - each variant compiled to a relation on body states; links.
 * Floor 4; may use base, state, diag, vocab. */
#ifndef MARQ_STEP_H
#define MARQ_STEP_H

#include "diag.h"
#include "vocab.h"

/* Adds moves and move_index to `data` (arrays in `arena`).  A variant that
 * relates nothing, or whose feet disagree with a declared "feet change" or
 * "feet stay", is a fault in `why`.  May fail: memory, limit, vocabulary. */
marq_status marq_step_compile(marq_vocab_data *data, marq_arena *arena,
                              marq_findings *why);

/* The moves of variant v from body b: count, and the first of them. */
static inline size_t marq_step_moves(const marq_vocab_data *data, size_t v,
                                     marq_body b, const marq_move **first) {
    const uint16_t *index = data->move_index + v * 48;
    *first = data->moves + data->variants[v].first_move + index[b];
    return (size_t)(index[b + 1] - index[b]);
}

/* A variant in the words one would say: "glissade derrière". */
void marq_step_name(marq_build *out, const marq_vocab_data *data,
                    size_t variant);

/* ---- links that may be assumed (following.md 1) ---- */
typedef enum marq_link_kind {
    MARQ_LINK_ADJUST, /* leg lowered or drawn to the ankle; a rise */
    MARQ_LINK_SHIFT,  /* weight between an open position and one foot */
    MARQ_LINK_CLOSE,  /* one foot to two: `freed` is the foot that stood */
    MARQ_LINK_GATHER, /* fourth or second to fifth */
    MARQ_LINK_OPEN    /* fifth to fourth before a turn */
} marq_link_kind;

typedef struct marq_link {
    marq_body from, to;
    uint8_t kind;  /* marq_link_kind */
    uint8_t price; /* marq_price: which price it has */
    uint8_t stood; /* marq_side: foot that stood before; none on two feet */
} marq_link;

/* All links, grouped by `from`; index[b] .. index[b + 1]. */
#define MARQ_LINKS_MOST 400
typedef struct marq_links {
    marq_link at[MARQ_LINKS_MOST];
    uint16_t index[MARQ_BODIES + 1];
    uint16_t into[MARQ_LINKS_MOST]; /* the same by `to`: indices of `at` */
    uint16_t into_index[MARQ_BODIES + 1];
} marq_links;
void marq_links_make(marq_links *out);
/* "weight shifted on to the left", "right leg closed behind". */
void marq_link_words(marq_build *out, const marq_link *link);

#endif
