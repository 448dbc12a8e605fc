/* ref.h - a second follower: slow, plain, on its own.
 *
 * It reads vocab/ with a reader of its own and walks a text of step names by
 * explicit lists of places one can be in: no numbered states, no bit sets, no
 * header and no object of lib/.  Feet only, no facing, no start written.
 * tests/ref/test_readings.c holds the library against it.
 *
 * May use the C library and POSIX directories. */
#ifndef REF_H
#define REF_H

#include <stdbool.h>
#include <stddef.h>

/* ---- a body ---- */
enum { REF_BOTH, REF_RIGHT, REF_LEFT }; /* standing; front foot, 0: none */
enum {
    REF_FIRST,
    REF_SECOND,
    REF_PARALLEL,
    REF_THIRD,
    REF_FOURTH,
    REF_FIFTH,
    REF_TIPS,
    REF_POSITION_COUNT
};
enum {
    REF_A_TERRE,
    REF_LOW,
    REF_HIGH,
    REF_ANKLE,
    REF_KNEE,
    REF_ATTITUDE,
    REF_SHAPE_COUNT
};
enum { REF_DEVANT, REF_SIDE, REF_DERRIERE, REF_WHERE_COUNT };

typedef struct ref_body {
    int standing; /* REF_BOTH, or the foot stood on */
    int position; /* on both feet */
    int front;    /* on both feet in third, fourth, fifth, tips; else 0 */
    int shape;    /* on one foot */
    int where;    /* on one foot */
} ref_body;

/* ---- the vocabulary, as far as feet go ---- */
typedef struct ref_place { /* where a free leg may be */
    bool shape[REF_SHAPE_COUNT];
    bool where[REF_WHERE_COUNT];
} ref_place;

enum {
    REF_WORKS_UNSAID,
    REF_WORKS_FRONT,
    REF_WORKS_BACK,
    REF_WORKS_EITHER,
    REF_WORKS_FREE,
    REF_WORKS_STANDING,
    REF_WORKS_BOTH
};
enum {
    REF_ENDS_UNSAID,
    REF_ENDS_AS_BEGAN,    /* "ends as it began" */
    REF_ENDS_WHERE_BEGAN, /* "closes where it began" */
    REF_ENDS_TWO,         /* in a position */
    REF_ENDS_WORKING,     /* on the working foot */
    REF_ENDS_OTHER,
    REF_ENDS_STANDING
};
enum { /* which foot is in front at an end on two feet */
       REF_FRONT_NONE,
       REF_FRONT_WORKING,
       REF_FRONT_OTHER,
       REF_FRONT_KEPT,
       REF_FRONT_EXCHANGED,
       REF_FRONT_EITHER
};
enum { REF_STILL, REF_MOVING, REF_JUMPING };

#define REF_NAMES_MOST  6
#define REF_PLACES_MOST 8

typedef struct ref_variant {
    const char *names[REF_NAMES_MOST]; /* of qualifiers */
    bool must_be_written[REF_NAMES_MOST];
    size_t name_count;
    bool from_position[REF_POSITION_COUNT];
    ref_place from_place[REF_PLACES_MOST];
    size_t from_places;
    int works;
    bool steps;
    int ends, end_position, end_front;
    ref_place end_place;
    bool end_place_kept; /* "free leg as it was" */
    bool other_closes;
    int leaves, arrives;
    bool goes_forward, goes_back, goes_sideways; /* travel */
    bool sideways_by_foot; /* toward or away from the working foot */
    bool turns, nothing_assumed, opens_fourth, series_only, less_usual,
        next_named;
    int price;
    const char *line; /* all of it, for messages */
} ref_variant;

typedef struct ref_term {
    const char *name;
    ref_variant *variants;
    size_t variant_count;
} ref_term;

typedef struct ref_qualifier {
    const char *name;
    const char *asks;    /* "" if it says nothing */
    const char *instead; /* NULL if none */
} ref_qualifier;

typedef struct ref_prices {
    int quiet, closing, side_in_front, opening;
    int start_fifth, start_first, start_pose, start_elsewhere;
} ref_prices;

typedef struct ref_vocab ref_vocab;
struct ref_vocab {
    ref_term *terms;
    size_t term_count;
    ref_qualifier *qualifiers;
    size_t qualifier_count;
    ref_prices prices;
    char **kept; /* strings, freed with it */
    size_t kept_count;
};

/* Reads every *.vocab of a directory.  On a fault it says on standard error
 * where, and gives NULL. */
ref_vocab *ref_vocab_read(const char *directory);
void ref_vocab_free(ref_vocab *vocab);
const ref_term *ref_vocab_term(const ref_vocab *vocab, const char *name);

/* ---- walking ---- */
typedef struct ref_step {
    const ref_term *term;
    const ref_qualifier *qualifier; /* NULL: bare */
    int times;                      /* at least 1 */
    int to; /* a position written as its end, or REF_POSITION_COUNT */
} ref_step;

typedef struct ref_spot { /* somewhere a reading can be */
    ref_body body;
    int arrived;
    int price; /* of the cheapest reading that is here */
} ref_spot;

typedef struct ref_list {
    ref_spot *at;
    size_t count, room;
} ref_list;

typedef struct ref_walk {
    size_t danced; /* steps danced before the first that nobody can; all
                      of them when it can be danced */
    ref_list ends; /* after the last step danced */
} ref_walk;

/* Walks through `count` steps.  The walk owns its lists; ref_walk_free. */
void ref_walk_steps(ref_walk *out, const ref_vocab *vocab,
                    const ref_step *steps, size_t count);
void ref_walk_free(ref_walk *walk);
int ref_walk_cheapest(const ref_walk *walk);

/* All bodies there are, in no special order; returns how many. */
#define REF_BODIES_MOST 64
size_t ref_all_bodies(ref_body out[REF_BODIES_MOST]);
bool ref_same_body(ref_body a, ref_body b);
int ref_other_foot(int foot);
int ref_front_foot(ref_body body); /* 0 where none is defined */
ref_body ref_two(int position, int front);
ref_body ref_one(int standing, int shape, int where);
/* Where a variant leads from a body.  `out` has room for 64. */
typedef struct ref_end {
    ref_body body;
    int working; /* REF_BOTH when no one foot works */
} ref_end;
size_t ref_variant_ends(const ref_variant *variant, ref_body from,
                        ref_end out[64]);
/* The body in words, for messages; at least 64 bytes. */
void ref_body_words(char *out, size_t room, ref_body body);

#endif
