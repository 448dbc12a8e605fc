#include "state.h"

/* Bodies 0..10 stand on two feet; these tables are their meaning. */
static const uint8_t two_position[11] = {
    MARQ_FIRST, MARQ_SECOND, MARQ_PARALLEL, MARQ_THIRD,
    MARQ_THIRD, MARQ_FOURTH, MARQ_FOURTH,   MARQ_FIFTH,
    MARQ_FIFTH, MARQ_TIPS,   MARQ_TIPS,
};
static const uint8_t two_front[11] = {
    MARQ_SIDE_NONE, MARQ_SIDE_NONE,  MARQ_SIDE_NONE, MARQ_SIDE_RIGHT,
    MARQ_SIDE_LEFT, MARQ_SIDE_RIGHT, MARQ_SIDE_LEFT, MARQ_SIDE_RIGHT,
    MARQ_SIDE_LEFT, MARQ_SIDE_RIGHT, MARQ_SIDE_LEFT,
};
static const uint8_t position_body[MARQ_POSITIONS] = {0, 1, 2, 3, 5, 7, 9};

#define ONE_FOOT_BASE 11

marq_body marq_body_two(marq_position position, marq_side front)
{
    marq_body b = position_body[position];
    bool has_front = position >= MARQ_THIRD;
    return (marq_body)(b + (has_front && front == MARQ_SIDE_LEFT));
}

marq_body marq_body_one(marq_side standing, marq_shape shape, marq_where where)
{
    unsigned s = standing == MARQ_SIDE_LEFT;
    return (marq_body)(ONE_FOOT_BASE + s * 18 + (unsigned)shape * 3 +
                       (unsigned)where);
}

marq_position marq_body_position(marq_body b)
{
    return (marq_position)two_position[b];
}

marq_side marq_body_standing(marq_body b)
{
    if (b < ONE_FOOT_BASE) {
        return MARQ_SIDE_NONE;
    }
    return b < ONE_FOOT_BASE + 18 ? MARQ_SIDE_RIGHT : MARQ_SIDE_LEFT;
}

marq_shape marq_body_shape(marq_body b)
{
    return (marq_shape)((b - ONE_FOOT_BASE) % 18 / 3);
}

marq_where marq_body_where(marq_body b)
{
    return (marq_where)((b - ONE_FOOT_BASE) % 3);
}

marq_side marq_body_front(marq_body b)
{
    if (b < ONE_FOOT_BASE) {
        return (marq_side)two_front[b];
    }
    switch (marq_body_where(b)) {
    case MARQ_DEVANT:
        return marq_side_other(marq_body_standing(b));
    case MARQ_DERRIERE:
        return marq_body_standing(b);
    default:
        return MARQ_SIDE_NONE;
    }
}

marq_body marq_body_mirror(marq_body b)
{
    if (b < ONE_FOOT_BASE) {
        return marq_body_two(marq_body_position(b),
                             marq_side_other(marq_body_front(b)));
    }
    return marq_body_one(marq_side_other(marq_body_standing(b)),
                         marq_body_shape(b), marq_body_where(b));
}

/* The body that stands for all that differ only in height or in flat and
 * tips. */
marq_body marq_body_plain(marq_body b)
{
    if (b < ONE_FOOT_BASE) {
        if (marq_body_position(b) == MARQ_TIPS) {
            return marq_body_two(MARQ_FIFTH, marq_body_front(b));
        }
        return b;
    }
    if (marq_body_shape(b) == MARQ_HIGH) {
        return marq_body_one(marq_body_standing(b), MARQ_LOW,
                             marq_body_where(b));
    }
    return b;
}

bool marq_body_alike(marq_body a, marq_body b)
{
    return marq_body_plain(a) == marq_body_plain(b);
}

const char *marq_side_words(marq_side side)
{
    static const char *const words[] = {"", "right", "left"};
    return words[side];
}

const char *marq_shape_words(marq_shape s)
{
    static const char *const words[MARQ_SHAPES] = {
        "à terre", "low", "high", "ankle", "knee", "attitude",
    };
    return words[s];
}

const char *marq_where_words(marq_where w)
{
    static const char *const words[MARQ_WHERES] = {"front", "side", "behind"};
    return words[w];
}

void marq_body_words(marq_build *out, marq_body b)
{
    static const char *const position_words[MARQ_POSITIONS] = {
        "first",  "second", "parallel",          "third",
        "fourth", "fifth",  "fifth on the tips",
    };
    if (marq_body_is_two(b)) {
        marq_build_text(out, position_words[marq_body_position(b)]);
        if (marq_body_front(b) != MARQ_SIDE_NONE) {
            marq_build_text(out, ", ");
            marq_build_text(out, marq_side_words(marq_body_front(b)));
            marq_build_text(out, " front");
        }
        return;
    }
    marq_side standing = marq_body_standing(b);
    marq_build_text(out, "on the ");
    marq_build_text(out, marq_side_words(standing));
    marq_build_text(out, ", ");
    marq_build_text(out, marq_side_words(marq_side_other(standing)));
    marq_build_text(out, " ");
    marq_build_text(out, marq_shape_words(marq_body_shape(b)));
    marq_build_text(out, " ");
    marq_build_text(out, marq_where_words(marq_body_where(b)));
}

const char *marq_facing_words(marq_facing f)
{
    static const char *const words[MARQ_FACINGS] = {
        "audience",  "front right corner", "right wall", "back right corner",
        "back wall", "back left corner",   "left wall",  "front left corner",
    };
    return words[f & 7];
}

const char *marq_alignment_words(marq_alignment a)
{
    static const char *const words[MARQ_ALIGNMENTS + 1] = {
        "en face",   "croisé",        "effacé", "écarté",
        "de profil", "dos au public", "",
    };
    return words[a];
}

/* The alignment of a leg at a place.  On a diagonal a right leg in front is
 * crossed on the line from front left to back right and open on the other
 * line; behind, and for the left leg, the reverse each time (space-music.md
 * 3.3 and 3.4, optical rule). */
static marq_alignment leg_alignment(marq_side leg, marq_where where,
                                    marq_facing f)
{
    if (f == 0) {
        return MARQ_EN_FACE;
    }
    if (f == 4) {
        return MARQ_DOS;
    }
    if (f == 2 || f == 6) {
        return MARQ_PROFIL;
    }
    if (where == MARQ_SIDE) {
        return MARQ_ECARTE;
    }
    bool left_line = f == 7 || f == 3;
    bool right_leg = leg == MARQ_SIDE_RIGHT;
    bool crossed = left_line == right_leg;
    if (where == MARQ_DERRIERE) {
        crossed = !crossed;
    }
    return crossed ? MARQ_CROISE : MARQ_EFFACE;
}

marq_alignment marq_alignment_of(marq_body b, marq_facing f)
{
    if (!marq_body_is_two(b)) {
        return leg_alignment(marq_side_other(marq_body_standing(b)),
                             marq_body_where(b), f);
    }
    marq_side front = marq_body_front(b);
    if (front == MARQ_SIDE_NONE && (f & 1)) {
        return MARQ_ALIGNMENTS;
    }
    return leg_alignment(front, MARQ_DEVANT, f);
}

uint8_t marq_alignment_leg(marq_alignment a, marq_side leg, marq_where where)
{
    unsigned mask = 0;
    for (unsigned f = 0; f < MARQ_FACINGS; f++) {
        if (leg_alignment(leg, where, (marq_facing)f) == a) {
            mask |= 1u << f;
        }
    }
    return (uint8_t)mask;
}

uint8_t marq_alignment_facings(marq_alignment a, marq_body b)
{
    unsigned mask = 0;
    for (unsigned f = 0; f < MARQ_FACINGS; f++) {
        if (marq_alignment_of(b, (marq_facing)f) == a) {
            mask |= 1u << f;
        }
    }
    return (uint8_t)mask;
}
