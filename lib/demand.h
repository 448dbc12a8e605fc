/* demand.h - what is written beside a step, as a filter on its moves.
 * Floor 5; may use base, state, diag, vocab, tree, step.
 *
 * A demand names the variants a written step may be and judges each of their
 * moves: is it what was written, which way does it turn, where must she
 * face.  It knows nothing of the steps before or after. */
#ifndef MARQ_DEMAND_H
#define MARQ_DEMAND_H

#include "diag.h"
#include "step.h"
#include "tree.h"
#include "vocab.h"

#define MARQ_ASKS_MOST 8

typedef struct marq_demand {
    uint16_t term;
    uint32_t item;       /* of the tree */
    uint32_t times;      /* danced so often, the same way each time */
    const uint16_t *variants; /* candidates, in order of the vocabulary */
    size_t variant_count;
    bool narrows;        /* something written chooses among variants: prices
                            are reckoned from the cheapest that fits */
    bool hold;           /* the facing may not change inside it */
    bool named_fourth;   /* fourth is written here: nothing is gathered */
    bool any_working;    /* some candidate has a working foot */
    uint8_t foot;        /* marq_foot_word; 0 not written */
    uint8_t on;          /* marq_foot_word */
    uint8_t side;        /* marq_side, meaning by term */
    uint8_t side_means;  /* marq_side_means */
    uint8_t toward;      /* marq_side */
    uint8_t from;        /* masks of marq_position; 0 not written */
    uint8_t to;
    uint8_t in;
    marq_free_mask to_free;
    uint8_t front;       /* marq_side */
    uint8_t next_in;     /* positions the next step is written in */
    uint8_t closing;     /* 0, or MARQ_DEVANT + 1, MARQ_DERRIERE + 1 */
    uint8_t amount;      /* eighths of turn; 0 not written */
    uint8_t asks[MARQ_ASKS_MOST]; /* marq_ask, each to be met */
    size_t ask_count;
    bool faces;          /* a facing or alignment is written */
    uint8_t facings;     /* mask */
    uint8_t alignments;  /* mask of marq_alignment; 0 none */
    marq_span facing_span;
} marq_demand;

/* Builds the demand of a step item.  Qualifiers that are no form of the term
 * become remarks with a note in `findings` (may be NULL: no notes).  Arrays in
 * `arena`.  May fail: memory. */
marq_status marq_demand_make(marq_demand *out, marq_arena *arena,
                             const marq_vocab *vocab, const marq_tree *tree,
                             uint32_t item, marq_findings *findings);
/* Adds an instruction to face (a stand's facing part) to a demand. */
void marq_demand_face(marq_demand *demand, const marq_stand *stand);

/* Is this move what was written (feet only)?  May fail: never. */
bool marq_demand_allows(const marq_demand *demand,
                        const marq_vocab_data *data, size_t variant,
                        const marq_move *move);
/* The turn of the move as written, in eighths to the right. */
int marq_demand_turn(const marq_demand *demand, const marq_variant *variant,
                     const marq_move *move);
/* Facings allowed by the end of the move; MARQ_ANY_FACING if nothing is
 * written, 0 if what is written can never hold. */
uint8_t marq_demand_facings(const marq_demand *demand,
                            const marq_vocab_data *data, size_t variant,
                            const marq_move *move);
/* The first side named beside a step, MARQ_SIDE_NONE if none is. */
marq_side marq_demand_first_side(const marq_tree *tree);
/* Does any mark of the tree, a start, a finish or a stand name a side? */
bool marq_demand_names_side(const marq_tree *tree);
/* Is a facing or an alignment written anywhere? */
bool marq_demand_names_facing(const marq_tree *tree);

#endif
