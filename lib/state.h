/* state.h - where a dancer stands: body state, facing, sets of both.
 * Floor 2; may use base.
 *
 * A body state is one of 47 numbers: 11 on two feet (position, and which
 * foot is in front where the position has one; "tips" is fifth on the tips),
 * 36 on one foot (which foot stands, shape and place of the free leg).
 * Facing is one of eight directions of the dancer's own square, counted in
 * eighths turning to her right from the audience. */
#ifndef MARQ_STATE_H
#define MARQ_STATE_H

#include "base.h"

typedef uint8_t marq_body; /* < MARQ_BODIES */
#define MARQ_BODIES 47
#define MARQ_NO_BODY 255

typedef enum marq_position { /* of two feet; bit numbers of masks */
    MARQ_FIRST,
    MARQ_SECOND,
    MARQ_PARALLEL,
    MARQ_THIRD,
    MARQ_FOURTH,
    MARQ_FIFTH,
    MARQ_TIPS, /* fifth on the tips of the feet */
    MARQ_POSITIONS
} marq_position;

typedef enum marq_shape { /* of a free leg */
    MARQ_A_TERRE,
    MARQ_LOW,   /* off the floor, to 45 */
    MARQ_HIGH,  /* 90 and above */
    MARQ_ANKLE, /* cou-de-pied */
    MARQ_KNEE,  /* retire */
    MARQ_ATTITUDE,
    MARQ_SHAPES
} marq_shape;

typedef enum marq_where { /* of a free leg */
    MARQ_DEVANT,
    MARQ_SIDE,
    MARQ_DERRIERE,
    MARQ_WHERES
} marq_where;

/* Free-leg masks: bit shape * 3 + where. */
typedef uint32_t marq_free_mask;
#define MARQ_FREE_BITS 18
#define MARQ_FREE_ANY ((marq_free_mask)0x3ffff)
#define MARQ_FREE(shape, where) ((marq_free_mask)1 << ((shape) * 3 + (where)))

/* Builders.  `front` is MARQ_SIDE_RIGHT or LEFT for third, fourth, fifth,
 * tips and ignored else. */
marq_body marq_body_two(marq_position position, marq_side front);
marq_body marq_body_one(marq_side standing, marq_shape shape,
                        marq_where where);

/* Questions.  May fail: never. */
static inline bool marq_body_is_two(marq_body b) { return b < 11; }
marq_position marq_body_position(marq_body b);  /* two feet only */
/* Front foot: two feet in third, fourth, fifth, tips; on one foot the free
 * foot if devant, the standing foot if derriere; else MARQ_SIDE_NONE. */
marq_side marq_body_front(marq_body b);
marq_side marq_body_standing(marq_body b);      /* NONE on two feet */
marq_shape marq_body_shape(marq_body b);        /* one foot only */
marq_where marq_body_where(marq_body b);        /* one foot only */
marq_body marq_body_mirror(marq_body b);
static inline marq_side marq_side_other(marq_side s) {
    return s == MARQ_SIDE_NONE ? s : (marq_side)(3 - s);
}
/* Same for any purpose of comparing ends: height of the free leg and flat or
 * tips do not count. */
bool marq_body_alike(marq_body a, marq_body b);
/* The body that stands for all those alike. */
marq_body marq_body_plain(marq_body b);
/* In class words, into `out`: "fifth, right front", "on the left, right
 * ankle behind".  Reads back (parse.h). */
void marq_body_words(marq_build *out, marq_body b);

/* ---- facing ---- */
typedef uint8_t marq_facing; /* 0 audience, 1 front right corner, 2 right
                                wall, 3 back right, 4 back, 5 back left, 6
                                left wall, 7 front left corner */
#define MARQ_FACINGS 8
#define MARQ_ANY_FACING 0xff /* as a mask */
static inline marq_facing marq_facing_turn(marq_facing f, int eighths) {
    return (marq_facing)((unsigned)(f + 800 + eighths) & 7u);
}
static inline marq_facing marq_facing_mirror(marq_facing f) {
    return (marq_facing)((8u - f) & 7u);
}
const char *marq_facing_words(marq_facing f); /* "front left corner" */
const char *marq_side_words(marq_side side);  /* "right", "left", "" */
const char *marq_shape_words(marq_shape s);   /* "ankle" */
const char *marq_where_words(marq_where w);   /* "behind" */

/* ---- alignment words ---- */
typedef enum marq_alignment { /* bit numbers of masks */
    MARQ_EN_FACE,
    MARQ_CROISE,
    MARQ_EFFACE,
    MARQ_ECARTE,
    MARQ_PROFIL,
    MARQ_DOS, /* back to the audience */
    MARQ_ALIGNMENTS
} marq_alignment;

/* Are all facings of a mask turned to the back?  There schools name alignments
 * differently, so that a word beside such a facing decides nothing. */
static inline bool marq_facings_upstage(uint8_t facings)
{
    return facings != 0 && (facings & ~0x38) == 0;
}

/* The alignment of a body at a facing, computed (space-music.md 3.3, 3.4,
 * optical rule for the back corners).  `place` is where the working or free
 * leg is, or, on two feet, MARQ_DEVANT is not used: closed positions go by
 * their front foot.  Bodies without a front foot (first, second) on a
 * diagonal have none: returns MARQ_ALIGNMENTS. */
marq_alignment marq_alignment_of(marq_body b, marq_facing f);
/* Facings at which a leg `side` at `where` has that alignment, as a mask. */
uint8_t marq_alignment_leg(marq_alignment a, marq_side leg, marq_where where);
/* Facings at which body b has that alignment, as a mask; for bodies with no
 * front foot croise and efface give no facing. */
uint8_t marq_alignment_facings(marq_alignment a, marq_body b);
const char *marq_alignment_words(marq_alignment a); /* "croisé" */

/* ---- a set of (body, facing) ---- */
typedef struct marq_set {
    uint8_t facing[48]; /* mask of facings for each body; last one unused */
} marq_set;

#endif
