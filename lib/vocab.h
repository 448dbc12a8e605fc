/* vocab.h - the vocabulary as data: terms, variants, words, patterns.
 * Floor 3; may use base, state, text, pattern.
 *
 * Everything is flat arrays and offsets into one string pool, so that the
 * shipped vocabulary can be written out as constant C data when the library
 * is built.  load.h fills it from text, step.h adds the moves, digest.c
 * writes it out.  Nothing here changes after that. */
#ifndef MARQ_VOCAB_H
#define MARQ_VOCAB_H

#include "base.h"
#include "pattern.h"
#include "state.h"

typedef uint32_t marq_str; /* offset into the string pool; 0 is "" */

/* ---- roles a written form can have ---- */
typedef enum marq_role {
    MARQ_ROLE_TERM,        /* id: term */
    MARQ_ROLE_QUALIFIER,   /* id: qualifier */
    MARQ_ROLE_FOOT,        /* id: marq_foot_word */
    MARQ_ROLE_SIDE,        /* id: marq_side; a bare right or left */
    MARQ_ROLE_POSITION,    /* id: marq_position */
    MARQ_ROLE_FREE,        /* id: index into free_words: a free leg's place */
    MARQ_ROLE_FACING,      /* id: marq_facing */
    MARQ_ROLE_ALIGNMENT,   /* id: marq_alignment */
    MARQ_ROLE_AMOUNT,      /* id: eighths of a turn: 2, 4, 6, 8, 16, 24 */
    MARQ_ROLE_NUMBER,      /* id: the number */
    MARQ_ROLE_TIMES,       /* id: how often (twice: 2) */
    MARQ_ROLE_RELATION,    /* id: marq_relation; from, to, in, on ... */
    MARQ_ROLE_OPERATOR,    /* id: marq_operator */
    MARQ_ROLE_HEADING,     /* id: marq_heading */
    MARQ_ROLE_JOIN,        /* and, then: ends a group like a comma */
    MARQ_ROLE_FILLER,      /* the, a, with: no meaning */
    MARQ_ROLE_REMARK,      /* known as talk, arms, quality: kept as remark */
    MARQ_ROLE_HOLE,        /* "I forget", "...": feet unknown after */
    MARQ_ROLES
} marq_role;

typedef enum marq_foot_word {
    MARQ_FOOT_RIGHT = 1, /* equal to marq_side */
    MARQ_FOOT_LEFT = 2,
    MARQ_FOOT_FRONT,
    MARQ_FOOT_BACK,
    MARQ_FOOT_FREE,
    MARQ_FOOT_STANDING,
    MARQ_FOOT_WORKING,
    MARQ_FOOT_SAME,  /* as the step before */
    MARQ_FOOT_OTHER,
    MARQ_FOOT_INSIDE, /* nearest the barre */
    MARQ_FOOT_OUTSIDE
} marq_foot_word;

typedef enum marq_relation {
    MARQ_FROM = 1,   /* from, starting in */
    MARQ_TO,         /* to, into, ending in, finishing in, landing in */
    MARQ_IN,         /* in */
    MARQ_ON,         /* on (the right): the standing foot */
    MARQ_TOWARD,     /* travelling to */
    MARQ_CLOSING,    /* closing (front) */
    MARQ_FACING_TO,  /* facing, to corner */
    MARQ_ENDING,     /* ending in: to, of the step before */
    MARQ_NOW         /* now, should be: what follows is where one stands */
} marq_relation;

typedef enum marq_operator {
    MARQ_OP_REPEAT = 1,
    MARQ_OP_OTHER_SIDE,  /* repeat to the other side, left side: */
    MARQ_OP_REVERSE,
    MARQ_OP_ONE_SIDE,    /* declared: one side only */
    MARQ_OP_UNSQUARE,    /* declared: unsquare on purpose */
    MARQ_OP_EN_CROIX,
    MARQ_OP_ALTERNATE
} marq_operator;

typedef enum marq_heading {
    MARQ_HEAD_TITLE = 1,
    MARQ_HEAD_LEVEL,
    MARQ_HEAD_MUSIC,
    MARQ_HEAD_START,
    MARQ_HEAD_FINISH,
    MARQ_HEAD_RIGHT_SIDE, /* "right side:" */
    MARQ_HEAD_LEFT_SIDE,
    MARQ_HEAD_REMARK
} marq_heading;

/* ---- qualifiers ---- */
#define MARQ_QUALIFIERS_MOST 128
typedef struct marq_tags {
    uint64_t bit[2];
} marq_tags;

/* What a qualifier demands of a move when the variant does not carry it. */
typedef enum marq_ask {
    MARQ_ASK_NOTHING, /* only as a tag */
    MARQ_ASK_CLOSES_FRONT,
    MARQ_ASK_CLOSES_BACK,
    MARQ_ASK_CHANGES,
    MARQ_ASK_STAYS,
    MARQ_ASK_FORWARD,
    MARQ_ASK_BACKWARD,
    MARQ_ASK_SIDEWAYS,
    MARQ_ASK_LEG_FRONT,
    MARQ_ASK_LEG_SIDE,
    MARQ_ASK_LEG_BEHIND,
    MARQ_ASK_TURNS,   /* the move turns at all */
    MARQ_ASK_PASSES   /* accepted of any variant, changes nothing: small,
                         big, beaten where feet do not differ ... */
} marq_ask;

typedef struct marq_qualifier {
    marq_str name;    /* canonical, with accents */
    marq_str feminine; /* beside a feminine term; 0: the same */
    marq_str means;
    uint8_t ask;      /* marq_ask */
    uint8_t position; /* marq_position it stands for (a la seconde: second),
                         or MARQ_POSITIONS */
    uint16_t instead; /* tried when nothing of a term carries or satisfies
                         this one (en avant: devant), or 0xffff */
    uint16_t mirror_reverse; /* its partner under reverse, or 0xffff */
} marq_qualifier;

/* ---- terms and variants ---- */
typedef enum marq_side_means { /* what a bare right or left says */
    MARQ_SIDE_IS_TRAVEL,
    MARQ_SIDE_IS_TURN,
    MARQ_SIDE_IS_FOOT,  /* the working foot */
    MARQ_SIDE_IS_FRONT, /* that foot in front */
    MARQ_SIDE_IS_ASKED
} marq_side_means;

typedef enum marq_gap { MARQ_STILL, MARQ_MOVING, MARQ_JUMPING } marq_gap;

typedef enum marq_level {
    MARQ_BEGINNER, MARQ_ELEMENTARY, MARQ_INTERMEDIATE, MARQ_ADVANCED
} marq_level;

enum { /* flags of a term, `caution` may have several */
    MARQ_CAUTION_POINTE = 1,
    MARQ_CAUTION_BIG_JUMP = 2,
    MARQ_CAUTION_TURN_IN_AIR = 4,
    MARQ_TERM_HOLD = 8,    /* keeps still: a facing change inside clashes */
    MARQ_TERM_LINKS = 16,  /* may be offered as a step put in */
    MARQ_TERM_RUN_IN = 32, /* usual only after a travelling step */
    MARQ_TERM_ALTERNATES = 64,
    MARQ_TERM_FEMININE = 128 /* of its French noun */
};

typedef struct marq_term {
    marq_str id;   /* permanent, ascii */
    marq_str name; /* canonical, with accents */
    marq_str means;
    marq_str family;
    marq_str source;
    marq_str note;
    uint16_t first_variant, variant_count;
    uint8_t side_means;
    uint8_t level;
    uint8_t flags;
    uint8_t counts_num, counts_den; /* usual length; den 0: none */
} marq_term;

typedef enum marq_worker {
    MARQ_WORKS_BOTH, /* no working foot */
    MARQ_WORKS_FRONT,
    MARQ_WORKS_BACK,
    MARQ_WORKS_EITHER,
    MARQ_WORKS_FREE,
    MARQ_WORKS_STANDING
} marq_worker;

typedef enum marq_end {
    MARQ_END_AS_BEGAN,
    MARQ_END_TWO, /* on two feet, end_position and end_front */
    MARQ_END_WORKING, /* on the working foot */
    MARQ_END_OTHER    /* on the other foot (standing foot for one-foot
                         starts where the free foot works) */
} marq_end;

typedef enum marq_end_front {
    MARQ_FRONT_NONE,   /* the position has none */
    MARQ_FRONT_WORKING,
    MARQ_FRONT_OTHER,
    MARQ_FRONT_KEPT,
    MARQ_FRONT_EXCHANGED,
    MARQ_FRONT_EITHER
} marq_end_front;

typedef enum marq_turn_sense {
    MARQ_TURN_NONE,
    MARQ_TURN_TO_WORKING,
    MARQ_TURN_FROM_WORKING,
    MARQ_TURN_TO_BACK,  /* toward the foot behind at the start */
    MARQ_TURN_TO_FRONT,
    MARQ_TURN_EITHER
} marq_turn_sense;

typedef enum marq_travel {
    MARQ_TRAVEL_NONE,
    MARQ_TRAVEL_TO_WORKING,
    MARQ_TRAVEL_FROM_WORKING,
    MARQ_TRAVEL_FORWARD,
    MARQ_TRAVEL_BACK,
    MARQ_TRAVEL_SIDE,  /* either side */
    MARQ_TRAVEL_ANY
} marq_travel;

enum { /* flags of a variant */
    MARQ_VARIANT_STEPS = 1,    /* the working foot takes weight first */
    MARQ_VARIANT_NO_LINK = 2,  /* nothing is assumed before it */
    MARQ_VARIANT_OPENS = 4,    /* fifth may be opened to fourth for it */
    MARQ_VARIANT_SERIES = 8,   /* only when the step is repeated */
    MARQ_VARIANT_ANY_AMOUNT = 16, /* a written half or quarter is taken */
    MARQ_VARIANT_OTHER_CLOSES = 32, /* the other foot is the closing one */
    MARQ_VARIANT_FREE_STAYS = 64,   /* free leg as it was */
    MARQ_VARIANT_LESS_USUAL = 128, /* noted when chosen by what is written */
    MARQ_VARIANT_NEXT_NAMED = 256  /* only where this step or the next is
                                      written in the position it ends in */
};

typedef struct marq_variant {
    uint16_t term;
    marq_str name;      /* as in the vocabulary: "fermée, en avant"; "" */
    marq_tags tags;     /* qualifiers it carries */
    marq_tags marked;   /* of these, those that must be written */
    uint8_t from_two;   /* bits of marq_position */
    marq_free_mask from_free; /* one-foot starts */
    uint8_t worker;     /* marq_worker */
    uint8_t end;        /* marq_end */
    uint8_t end_position, end_front;
    marq_free_mask end_free;
    uint8_t turn_sense, turn_eighths;
    uint8_t travel;
    uint8_t lands;      /* marq_end: WORKING or OTHER, or AS_BEGAN: unsaid */
    uint8_t leaves, arrives; /* marq_gap */
    uint8_t price;
    uint8_t level;
    uint16_t flags;
    uint16_t reverse;   /* variant index, or 0xffff: none */
    uint32_t first_move;
    uint16_t move_count;
    uint8_t declared_feet; /* 0 not said, 1 change, 2 stay, 3 vary */
    marq_span span;        /* of its line in its text, for faults */
    uint16_t text;         /* which text of a load, from 1; 0: none */
} marq_variant;

/* ---- moves: a variant from one body state to another (step.h) ---- */
typedef struct marq_move {
    marq_body from, to;
    int8_t turn;      /* eighths to the right, of the written-nothing amount;
                         may be beyond 8 */
    uint8_t working;  /* marq_side */
    uint8_t lands;    /* marq_side, the foot landed on or stood on last */
    uint8_t closing;  /* marq_side of the foot that closes, or none */
    uint8_t travel;   /* marq_side of sideways travel, or none */
    uint8_t change;   /* 0 stays, 1 changes, 2 not defined */
} marq_move;

/* ---- words ---- */
typedef struct marq_sense {
    uint8_t role;  /* marq_role */
    uint16_t id;
} marq_sense;

typedef struct marq_form {
    marq_str text;       /* folded, singular, single spaces: the key */
    marq_str shown;      /* as written in the vocabulary */
    uint32_t hash;       /* of text */
    uint32_t first_sense;
    uint8_t sense_count;
    uint8_t words;       /* how many words it has */
    uint32_t letters;    /* bit 0..25: has a..z; 26: digit, 27: other */
} marq_form;
#define MARQ_FORM_BYTES_MOST 120 /* longest key */

typedef struct marq_free_word { /* "at the ankle behind" */
    marq_str name;
    marq_free_mask mask;
} marq_free_word;

/* ---- patterns for forms a list cannot hold ---- */
typedef enum marq_notation {
    MARQ_NOTE_COUNT_RANGE, /* 1-4  5-8      parts: from, to               */
    MARQ_NOTE_COUNT,       /* 7  8          parts: from                   */
    MARQ_NOTE_COUNT_AND,   /* &7  7&        parts: and, from              */
    MARQ_NOTE_TIMES,       /* x3  3x  3 times   parts: n                  */
    MARQ_NOTE_QUANTITY,    /* 3 (before a step)  parts: n                 */
    MARQ_NOTE_FOOT,        /* R  RF  R foot  right foot  parts: right, left */
    MARQ_NOTE_FOOT_FRONT,  /* RFF, R front, 5R  parts: right, left, back,
                              position                                   */
    MARQ_NOTE_NUMBERED,    /* corner 8, wall 3   parts: n, school         */
    MARQ_NOTE_LENGTH,      /* in 4 counts   parts: n                      */
    MARQ_NOTE_TEMPO,       /* 92 counts a minute  parts: n                */
    MARQ_NOTE_METRE,       /* 3/4           parts: n, unit                */
    MARQ_NOTATIONS
} marq_notation;
#define MARQ_PARTS_PER_NOTATION 4

typedef struct marq_notation_line {
    uint8_t notation;
    marq_str pattern; /* PCRE2 over folded text */
    marq_str name;
} marq_notation_line;

/* ---- prices of links, starts, edits ---- */
typedef enum marq_price {
    MARQ_PRICE_QUIET,      /* a quiet link */
    MARQ_PRICE_CLOSING,    /* a closing link */
    MARQ_PRICE_CLOSE_SIDE_FRONT, /* a side leg assumed to close in front */
    MARQ_PRICE_OPENING,    /* fifth opened to fourth for a turn */
    MARQ_PRICE_START_FIFTH,
    MARQ_PRICE_START_FIRST,
    MARQ_PRICE_START_POSE, /* a pose a terre */
    MARQ_PRICE_START_OTHER, /* second, fourth, third, parallel */
    MARQ_PRICE_OTHER_CROISE, /* croise to croise with no word for it */
    MARQ_PRICE_BONUS,      /* taken off a reading the other side can begin
                              from, when "other side" is written */
    MARQ_PRICE_EDIT_FORM,  /* other qualifier or foot */
    MARQ_PRICE_EDIT_PUT_IN,
    MARQ_PRICE_EDIT_WORD,  /* one word read otherwise */
    MARQ_PRICE_EDIT_LEAVE_OUT,
    MARQ_PRICES
} marq_price;

/* ---- all of it ---- */
typedef struct marq_vocab_data {
    const char *strings;
    size_t string_bytes;
    const marq_term *terms;
    size_t term_count;
    const marq_variant *variants;
    size_t variant_count;
    const marq_move *moves; /* grouped by variant, sorted by `from` */
    size_t move_count;
    const uint16_t *move_index; /* [variant * 48 + body]: first move from
                                   that body, relative to first_move; entry
                                   body + 1 ends it */
    const marq_qualifier *qualifiers;
    size_t qualifier_count;
    const marq_form *forms;
    size_t form_count;
    const marq_sense *senses;
    size_t sense_count;
    const uint32_t *slots; /* open addressing: form index + 1, 0 empty */
    size_t slot_count;     /* a power of two */
    const marq_free_word *free_words;
    size_t free_word_count;
    const marq_notation_line *notations;
    size_t notation_count;
    const char *const *unused;
    uint8_t prices[MARQ_PRICES];
    uint8_t longest_form; /* in words */
    uint32_t format;
} marq_vocab_data;

struct marq_vocab {
    marq_mem mem;
    marq_limits limits;
    marq_arena arena;            /* holds data when it was loaded */
    const marq_vocab_data *data; /* shipped or loaded */
    marq_pattern **patterns;     /* one a notation line */
};

/* Names of the parts of a notation, in the order the parser asks for them. */
const char *const *marq_notation_parts(marq_notation n, size_t *count);
const char *marq_notation_name(marq_notation n); /* "count range" */
const char *marq_price_name(marq_price p);       /* "quiet link" */
const char *marq_position_name(marq_position p); /* "fifth" */

static inline const char *marq_string(const marq_vocab *v, marq_str s) {
    return v->data->strings + s;
}
/* A qualifier as it is written beside a term ("sissonne fermée"). */
static inline const char *marq_qualifier_beside(const marq_vocab_data *data,
                                                unsigned q, unsigned term)
{
    const marq_qualifier *word = &data->qualifiers[q];
    bool feminine = term < data->term_count && word->feminine != 0 &&
                    (data->terms[term].flags & MARQ_TERM_FEMININE);
    return data->strings + (feminine ? word->feminine : word->name);
}

static inline bool marq_tag_has(marq_tags t, unsigned q) {
    return (t.bit[q >> 6] >> (q & 63)) & 1u;
}
static inline void marq_tag_add(marq_tags *t, unsigned q) {
    t->bit[q >> 6] |= (uint64_t)1 << (q & 63);
}
static inline bool marq_tags_within(marq_tags inner, marq_tags outer) {
    return !((inner.bit[0] & ~outer.bit[0]) | (inner.bit[1] & ~outer.bit[1]));
}

/* The shipped vocabulary (builtin.c is written by the build). */
extern const marq_vocab_data marq_builtin_data;

/* Fields that are 0 get their defaults (marquer.h).  May fail: never. */
void marq_limits_fill(marq_limits *limits);

/* Makes a vocabulary around data: compiles the patterns.  `data` must
 * outlive it; the vocabulary's own arena is empty.  `config` may be NULL.
 * Freed by marq_vocab_release.  May fail: memory, defect (a pattern that does
 * not compile; the loader has refused such).  */
marq_status marq_vocab_wrap(marq_vocab **out, const marq_config *config,
                            const marq_vocab_data *data);
/* Frees patterns, arena and itself; NULL is fine. */
void marq_vocab_release(marq_vocab *vocab);

/* Key of a word form: folded text made singular word by word (a trailing s or
 * x of a word longer than three letters dropped), blanks and hyphens single
 * spaces, full stops dropped (a word of nothing but two or more of them
 * stays: "...").  In an arena; NULL when memory ends. */
const char *marq_form_key(marq_arena *arena, const char *folded,
                          size_t length);
/* The same into `room` bytes of the caller's, not zero-terminated.  False
 * (and *used of no meaning) when it does not fit. */
bool marq_form_key_into(char *out, size_t room, const char *folded,
                        size_t length, size_t *used);

/* FNV-1a, whole or piece by piece from MARQ_HASH_START. */
#define MARQ_HASH_START UINT32_C(2166136261)
uint32_t marq_form_hash_more(uint32_t hash, const char *bytes, size_t length);
uint32_t marq_form_hash(const char *key, size_t length);
/* Which letters stand in a key, as marq_form.letters. */
uint32_t marq_form_letters(const char *key, size_t length);
/* The form with exactly this key, or NULL. */
const marq_form *marq_form_find(const marq_vocab_data *data, const char *key,
                                size_t length);
/* The same for a key whose hash is known. */
const marq_form *marq_form_find_hashed(const marq_vocab_data *data,
                                       uint32_t hash, const char *key,
                                       size_t length);

#endif
