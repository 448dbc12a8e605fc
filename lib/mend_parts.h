/* mend_parts.h - what mend.c, mend_edit.c and mend_place.c share.
 * Part of mend; floor 8. */
#ifndef MARQ_MEND_PARTS_H
#define MARQ_MEND_PARTS_H

#include "mend.h"

/* How far back an edit is looked for, and how far on it is tried before the
 * best are followed to the very end. */
#define MARQ_LOOK_BACK 24
#define MARQ_LOOK_ON   48

/* One change of the text with what the stage then asks. */
typedef struct marq_edit {
    uint32_t price;
    size_t distance; /* stages before the break */
    uint8_t custom;  /* price of the most usual form it may then be */
    uint32_t rank;   /* order of trying, for ties */
    size_t site;     /* what of the text it touches, so that the three offered
                        do not all say the same thing */
    size_t stage;    /* where it is made */
    bool put_in, left_out;
    marq_stage with; /* what stands there instead, or is put in */
    marq_span span;
    const char *text;
    const char *label;
} marq_edit;

typedef struct marq_mender {
    marq_following *f;
    marq_arena *arena;  /* of what is kept */
    marq_arena scratch; /* of trials */
    const marq_stretch *s;
    size_t broke; /* stage that breaks */
    size_t goal;  /* first stage no mend at the break can reach past */
    size_t tried;
    marq_array edits; /* edit, those that help */
} marq_mender;

/* Follows stages [from, to) of the stretch from *now; says how far. */
marq_status marq_mend_carry(marq_mender *m, marq_front *now, size_t from,
                            size_t to, size_t *reached);
/* Keeps an edit if it carries past the break as far as it is tried. */
marq_status marq_mend_offer(marq_mender *m, const marq_edit *e);
/* A number for a place of the text: mark `place` of a stage, or the whole. */
#define MARQ_SITE_WHOLE 1000
size_t marq_mend_site(size_t stage, size_t place);
/* An edit at a stage that as yet changes nothing. */
marq_edit marq_mend_start(const marq_mender *m, size_t stage, marq_price price);
/* "write " and what; NULL when memory ends. */
const char *marq_mend_label(marq_mender *m, const char *head, const char *text);
/* Where the steps lead, in place of the finish or statement that clashes. */
marq_status marq_mend_stand(marq_mender *m);
/* Another facing or alignment where one stands by itself. */
marq_status marq_mend_facing(marq_mender *m, size_t stage);
/* The written start in another position or with the other foot in front. */
marq_status marq_mend_begin(marq_mender *m);
/* Offers every edit there is, from the break backwards. */
marq_status marq_mend_collect(marq_mender *m);

#endif
