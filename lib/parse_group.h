/* parse_group.h - a group of words between two separators, being read.
 * Floor 5 (part of parse); may use everything below. */
#ifndef MARQ_PARSE_GROUP_H
#define MARQ_PARSE_GROUP_H

#include "parse_parts.h"

typedef struct marq_group {
    marq_parser *p;
    size_t a, b; /* lexemes [a, b) */
    /* what it is */
    bool anchored; /* has a step, an operator or a hole */
    bool alone;    /* one word and what says nothing */
    bool talk;     /* has words known as remarks */
    size_t now;    /* its first "now", or b */
    bool term_before_now;
    /* how far it is read */
    uint32_t item;          /* the item marks belong to, or MARQ_NO_INDEX */
    marq_relation relation; /* that waits for its object; 0: none */
    uint32_t from;          /* where that began, or the lexeme itself */
    bool keep_relation;
    bool relation_assumed; /* a tilde stands before it */
    bool ending;           /* "ending in" was said */
    uint32_t times;        /* for the next step; 0: none */
    bool times_before;
    uint32_t times_from, times_to;
    unsigned quantities;               /* plain numbers seen */
    uint32_t unknown_from, unknown_to; /* words in a step's place */
} marq_group;

marq_item *marq_group_item(marq_group *g);
/* A new item, the one marks now belong to, with the marks that waited; `term`
 * is of steps.  False when memory ended. */
bool marq_group_open(marq_group *g, marq_item_kind kind, uint16_t term,
                     uint32_t from, uint32_t to);
/* A mark on the item, or waiting for the next; folded bytes [from, to). */
void marq_group_mark(marq_group *g, marq_mark_kind kind, uint32_t value,
                     uint32_t from, uint32_t to, bool assumed);
/* Marks that wait go to the item. */
void marq_group_flush(marq_group *g);
/* The times that wait go to the item. */
void marq_group_times(marq_group *g);
/* R001 for these words. */
void marq_group_tell_remark(marq_group *g, uint32_t from, uint32_t to);

bool marq_lex_is_quantity(const marq_parser *p, const marq_lexeme *lex);

/* parse_mark.c: reads lexeme i and what belongs to it; returns the next. */
size_t marq_group_read(marq_group *g, size_t i);

/* parse_bare.c: a group read to its end in which no item was opened. */
void marq_group_bare(marq_group *g);

#endif
