/* parse_parts.h - what the parts of the reader share.
 * Floor 5 (part of parse); may use everything below.
 *
 * The way of a text: parse_cut.c cuts the folded text into words and finds
 * its brackets; parse_lex.c makes lexemes of them (longest form, patterns,
 * near misses from parse_near.c); parse.c goes through lines and headings
 * and cuts lines into groups, parse_head.c reads the headings; parse_group.c,
 * parse_mark.c and parse_bare.c make items of a group; parse_stand.c reads
 * places where one stands. */
#ifndef MARQ_PARSE_PARTS_H
#define MARQ_PARSE_PARTS_H

#include "parse.h"
#include "text.h"
#include "word.h"

#define MARQ_NO_ID    0xffffu
#define MARQ_NO_INDEX 0xffffffffu

typedef enum marq_lex {
    MARQ_LEX_FORM,    /* words of the vocabulary */
    MARQ_LEX_NOTE,    /* a pattern of the vocabulary */
    MARQ_LEX_WORD,    /* a word nobody knows */
    MARQ_LEX_BRACKET, /* a remark in round brackets; from, to: inside it */
    MARQ_LEX_AND,     /* & by itself at the beginning of a line */
    MARQ_LEX_BREAK,   /* comma and its like */
    MARQ_LEX_COLON,
    MARQ_LEX_SEMI, /* a semicolon */
    MARQ_LEX_LINE  /* end of a line */
} marq_lex;

typedef struct marq_lexeme {
    uint8_t kind;     /* marq_lex */
    uint8_t note;     /* marq_notation */
    uint8_t side;     /* foot and foot front: marq_side of the foot named */
    uint8_t position; /* foot front: marq_position, or MARQ_POSITIONS */
    bool assumed;     /* a tilde stands before it */
    bool behind;      /* foot front: that foot is behind */
    bool and_before;  /* counts: &8, and 7& */
    bool and_after;
    bool first;        /* the first of its line */
    bool near;         /* a misspelt form; not told yet */
    bool column;       /* a count set off by a colon or a wide blank */
    bool quantity_too; /* a count that may be a quantity as well */
    uint32_t from, to; /* folded bytes */
    uint32_t value, value_to;
    const marq_form *form;
    uint16_t term;      /* read as this term; set by parse_group.c */
    uint16_t next_term; /* of this lexeme or the next in its group */
} marq_lexeme;

typedef struct marq_near_memo {
    uint32_t hash;
    uint32_t from, to;
    const marq_form *form;
} marq_near_memo;
#define MARQ_NEAR_WORDS_MOST                                                   \
    1500u                         /* different unknown words, and groups of    \
                                     words around them, compared with the      \
                                     vocabulary; see docs/notation.md */
#define MARQ_NEAR_NAMED_MOST 200u /* findings that name what is near */

typedef struct marq_parser {
    marq_tree *tree;
    marq_arena scratch; /* for everything that is not in the tree */
    const marq_vocab *vocab;
    const marq_vocab_data *data;
    const marq_source *source;
    marq_findings *findings;
    marq_status status; /* the first failure; all else stops for it */

    marq_folded text;
    size_t faults;     /* bytes that are no text */
    marq_array words;  /* marq_word */
    marq_array closes; /* uint32_t: for each round bracket opened, where it
                          is closed, or MARQ_NO_INDEX */
    marq_array lexemes;
    marq_scratch *match;  /* of patterns */
    marq_near_memo *near; /* a table of words compared already */
    size_t near_slots;    /* a power of two */
    size_t near_count;
    size_t near_named;

    uint16_t place_term; /* id of the term `place`, or MARQ_NO_ID */
    marq_array pending;  /* marq_mark: before their term */
    marq_line line;      /* the stretch being read */
    bool in_stretch;
    bool break_pending; /* a blank line or semicolon was passed */
    uint8_t side;       /* heading above */
    bool start_headed;  /* `start` was written as a heading */
    bool has_title;
    marq_span title;
    uint32_t last_step; /* a step that what follows without a step of its own
                           may belong to, or MARQ_NO_INDEX */
    uint32_t line_item; /* first item of this line of the text */
} marq_parser;

/* ---- shared small things (parse.c) ---- */
void marq_parse_fail(marq_parser *p, marq_status status);
/* The bytes of the source that folded bytes [from, to) came from. */
marq_span marq_parse_span(const marq_parser *p, uint32_t from, uint32_t to);
/* A copy of the source there for a headline, shortened when long. */
const char *marq_parse_quote(marq_parser *p, marq_span span);
/* A number in digits, for the same. */
const char *marq_parse_number(marq_parser *p, int64_t number);
/* Adds a finding; *f may come back NULL.  True unless memory ended. */
bool marq_parse_note(marq_parser *p, marq_finding **f, marq_diag kind,
                     marq_span span, const char *a, const char *b);
void marq_parse_heading(marq_parser *p, marq_heading heading, marq_span span,
                        marq_span value);
/* Ends the stretch before item `count` and begins another. */
void marq_parse_stretch(marq_parser *p, uint32_t items);
/* Writes counts of a lexeme into the stretch. */
void marq_parse_counts(marq_parser *p, const marq_lexeme *lex);

static inline marq_lexeme *marq_parse_lexeme(const marq_parser *p, size_t i)
{
    return MARQ_AT(&p->lexemes, marq_lexeme, i);
}
/* Has the lexeme a sense of this role? */
bool marq_lex_is(const marq_parser *p, const marq_lexeme *lex, marq_role role,
                 uint16_t *id);
bool marq_lex_note(const marq_lexeme *lex, marq_notation note);
/* A relation, a qualifier's demand: 0 if it is none. */
marq_relation marq_lex_relation(const marq_parser *p, const marq_lexeme *lex);
/* MARQ_DEVANT or MARQ_DERRIERE if a qualifier sense says so, else
 * MARQ_WHERES. */
marq_where marq_lex_where(const marq_parser *p, const marq_lexeme *lex);
/* Right or left, said by a side, a foot or a pattern. */
marq_side marq_lex_side(const marq_parser *p, const marq_lexeme *lex);
static inline bool marq_lex_ends_group(const marq_parser *p,
                                       const marq_lexeme *lex)
{
    return lex->kind >= MARQ_LEX_BREAK ||
           marq_lex_is(p, lex, MARQ_ROLE_JOIN, NULL);
}
bool marq_lex_is_count(const marq_lexeme *lex);

/* ---- parse_cut.c ---- */
bool marq_parse_is_letter(char c); /* of a word: letter, digit, beyond ASCII */
void marq_parse_cut(marq_parser *p);

/* ---- parse_lex.c ---- */
void marq_parse_lex(marq_parser *p);
#define MARQ_NOTATION_BIT(notation) (1u << (notation))
/* The longest match at folded byte `at` of the notations whose bits are
 * wanted, if longer than `beyond` bytes.  False if none: *out is as it was. */
bool marq_parse_match(marq_parser *p, unsigned wanted, size_t at, size_t beyond,
                      marq_lexeme *out);

/* ---- parse_near.c ---- */
/* R003 for a lexeme that was read as a near form, once. */
void marq_parse_tell_near(marq_parser *p, marq_lexeme *lex);
/* The one form meant by a misspelt word or words, or NULL. */
const marq_form *marq_parse_near(marq_parser *p, uint32_t from, uint32_t to);
/* Names what is near in a finding about an unknown word or step: terms only
 * (as fixes, at most 3), or any form (one). */
void marq_parse_name_near(marq_parser *p, marq_finding *f, marq_span span,
                          uint32_t from, uint32_t to, bool terms);

/* ---- parse_stand.c ---- */
typedef enum marq_stand_use {
    MARQ_STAND_START,
    MARQ_STAND_FINISH,
    MARQ_STAND_NOW
} marq_stand_use;
/* Reads lexemes [a, b) as a place; what is none of it becomes remarks (of
 * the text, and with R001 if nobody knows it).  False if nothing of a place
 * was written. */
bool marq_parse_stand(marq_parser *p, marq_stand *out, size_t a, size_t b,
                      marq_stand_use use);
/* Says a group nothing but where one stands?  (For a text's beginning.) */
bool marq_parse_is_stand(const marq_parser *p, size_t a, size_t b);
/* Adds the later half of a place ("fifth", then "right front"; read the later
 * half with MARQ_STAND_NOW).  False, and nothing changed, if the two say the
 * same thing differently. */
bool marq_parse_join(marq_stand *stand, const marq_stand *more);
/* A new stand in the tree, or NULL. */
marq_stand *marq_parse_add_stand(marq_parser *p, uint32_t *index);

/* ---- parse_head.c ---- */
/* Reads lexemes [a, b), a line that begins with a heading.  *rest: where
 * reading goes on, b for nowhere.  False if it is no heading. */
bool marq_parse_head(marq_parser *p, size_t a, size_t b, size_t *rest);
/* The first line of several is a title if nothing on it can be danced or
 * stood in and it looks like a heading: a colon or a blank line after it, or
 * a word for a kind of dance. */
bool marq_parse_is_title(const marq_parser *p, size_t a, size_t b);
void marq_parse_title(marq_parser *p, size_t a, size_t b);
/* The same for the words before a colon in the first line ("grand allegro:
 * glissade ..."): the colon, or a if there is no title. */
size_t marq_parse_inline_title(const marq_parser *p, size_t a, size_t b);

/* ---- parse_group.c ---- */
void marq_parse_group(marq_parser *p, size_t a, size_t b);
bool marq_parse_carries(const marq_parser *p, uint16_t term,
                        uint16_t qualifier);

#endif
