/* tree.h - a combination as written: items with their marks.
 * Floor 3; may use base, source, state, diag.  Terms, qualifiers and their like
 * are bare numbers here: what they mean is the vocabulary's affair.  parse.h builds it, print.h writes it, mirror.h turns it over,
 * follow.h follows it. */
#ifndef MARQ_TREE_H
#define MARQ_TREE_H

#include "base.h"
#include "diag.h"
#include "source.h"
#include "state.h"

/* ---- what stands beside a step ---- */
typedef enum marq_mark_kind {
    MARQ_MARK_QUALIFIER, /* value: qualifier id */
    MARQ_MARK_FOOT,      /* value: marq_foot_word: the working foot */
    MARQ_MARK_ON,        /* value: marq_foot_word: the standing or landing
                            foot ("on the right") */
    MARQ_MARK_SIDE,      /* value: marq_side: a bare right or left; what it
                            means is the term's affair */
    MARQ_MARK_TOWARD,    /* value: marq_side: travel said outright ("to the
                            right", "travelling left") */
    MARQ_MARK_FROM,      /* value: marq_position */
    MARQ_MARK_TO,        /* value: marq_position: ends in */
    MARQ_MARK_IN,        /* value: marq_position: in */
    MARQ_MARK_TO_FREE,   /* value: index of free word: ends with the free
                            leg there ("ending in attitude behind") */
    MARQ_MARK_FRONT,     /* value: marq_side: that foot in front at the end
                            ("fifth, right front" beside a step) */
    MARQ_MARK_CLOSING,   /* value: MARQ_DEVANT or MARQ_DERRIERE */
    MARQ_MARK_FACING,    /* value: marq_facing */
    MARQ_MARK_NUMBERED,  /* value: a bare wall or corner number */
    MARQ_MARK_ALIGNMENT, /* value: marq_alignment */
    MARQ_MARK_AMOUNT,    /* value: eighths */
    MARQ_MARK_LENGTH,    /* value: counts ("in 4 counts") */
    MARQ_MARK_REMARK,    /* text is in the source at span */
    MARQ_MARKS
} marq_mark_kind;

typedef struct marq_mark {
    uint8_t kind;    /* marq_mark_kind */
    bool assumed;    /* written with the mark of an assumption */
    uint16_t value;
    marq_span span;  /* in the source */
} marq_mark;

/* ---- a place where one stands, written ---- */
/* start, finish and "fifth, right front" in the middle.  Unwritten parts are
 * open. */
typedef struct marq_stand {
    bool written;
    marq_span span;
    bool has_bodies;         /* a position, foot or free leg is written */
    uint8_t bodies[MARQ_BODIES]; /* 1: allowed by what is written */
    uint8_t facings;         /* mask; MARQ_ANY_FACING if not written */
    uint8_t alignments;      /* mask of marq_alignment bits written; 0 none */
    uint8_t numbered;        /* a bare corner number; 0 none */
    marq_span facing_span;   /* of the facing or alignment word */
    bool assumed;
} marq_stand;

/* ---- items ---- */
typedef enum marq_item_kind {
    MARQ_ITEM_STEP,     /* a known term with marks; also holds */
    MARQ_ITEM_UNKNOWN,  /* a word in a step's place that nobody knows */
    MARQ_ITEM_STAND,    /* a statement of where one is: a filter, no step */
    MARQ_ITEM_FACE,     /* a facing or alignment alone: an instruction for
                           the step that follows, or, last, for the end */
    MARQ_ITEM_OPERATOR, /* repeat, other side, reverse ... */
    MARQ_ITEM_HOLE,     /* the writer forgot */
    MARQ_ITEM_REMARK
} marq_item_kind;

typedef struct marq_item {
    uint8_t kind;
    uint16_t term;        /* MARQ_ITEM_STEP */
    uint8_t operator_;    /* MARQ_ITEM_OPERATOR: marq_operator */
    marq_span span;       /* all of it */
    marq_span word;       /* the step word, operator word, unknown word */
    uint32_t times;       /* danced so often in all; at least 1 */
    bool times_before;    /* written as a quantity ("3 changements") */
    marq_span times_span;
    uint32_t first_mark, mark_count; /* in tree.marks */
    uint32_t stand;       /* MARQ_ITEM_STAND, FACE: index into tree.stands */
    /* counts of this item, if it has its own (`1 tendu, 2 close` on one
       line); the line's are in the line */
    bool has_counts;
    marq_count count_from, count_to; /* inclusive, as written */
    marq_span count_span;
} marq_item;

typedef struct marq_line { /* a line of the text with items on it, or a
                              stretch of it that has its own counts */
    uint32_t first_item, item_count;
    bool has_counts;
    marq_count count_from, count_to; /* "3-4": 3, 4; "7 &": 7, 7 + 1/2 */
    bool count_half; /* the last count is an "&": its length is a half */
    marq_span count_span;
    marq_span span;
    bool phrase_break; /* a blank line or semicolon stands before it */
    uint8_t side;      /* marq_side: heading above it; none if none */
} marq_line;

typedef struct marq_heading_line { /* title, level, music and remarks */
    uint8_t heading;   /* marq_heading */
    marq_span span;    /* of the whole line */
    marq_span value;   /* of what stands after the key */
} marq_heading_line;

typedef struct marq_music {
    bool has_tempo, has_metre, has_in;
    uint32_t tempo; /* counts a minute */
    uint32_t beats, unit; /* 3/4 */
    uint32_t in;    /* counts of introduction */
} marq_music;

typedef struct marq_tree {
    const marq_source *source;
    marq_array headings; /* marq_heading_line */
    marq_array lines;    /* marq_line */
    marq_array items;    /* marq_item */
    marq_array marks;    /* marq_mark */
    marq_array stands;   /* marq_stand */
    marq_stand start, finish;
    marq_music music;
    uint8_t level;       /* marq_level + 1; 0 not written */
    bool one_side, unsquare; /* declared */
    bool unfinished;     /* an open bracket at the end */
} marq_tree;

/* A combination: source, tree, findings of reading, in one arena. */
struct marq_combo {
    const struct marq_vocab *vocab;
    marq_arena arena;
    marq_source source;
    marq_tree tree;
    struct marq_findings findings;
};

/* Sets up empty arrays.  May fail: never. */
void marq_tree_init(marq_tree *tree, marq_arena *arena,
                    const marq_source *source);
/* Same meaning: kinds, terms, marks (remarks by their text), counts, stands,
 * headings; spans are not compared.  For tests and for print-then-read. */
bool marq_tree_equal(const marq_tree *a, const marq_tree *b);
#endif
