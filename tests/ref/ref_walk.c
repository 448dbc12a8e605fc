/* ref_walk.c - from step to step by lists of every place one can be in.
 *
 * Slow on purpose: each rule of following is written out once, plainly, over
 * structs.  Where the rules are silent it says so at the place. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "ref.h"

/* ---- lists ---- */

static void add_spot(ref_list *list, ref_body body, int arrived, int price)
{
    for (size_t i = 0; i < list->count; i++) {
        ref_spot *s = &list->at[i];

        if (s->arrived == arrived && ref_same_body(s->body, body)) {
            if (price < s->price) {
                s->price = price;
            }
            return;
        }
    }
    if (list->count == list->room) {
        list->room = list->room * 2 + 64;
        list->at = realloc(list->at, list->room * sizeof *list->at);
        if (list->at == NULL) {
            fputs("ref: no memory\n", stderr);
            exit(70);
        }
    }
    list->at[list->count].body = body;
    list->at[list->count].arrived = arrived;
    list->at[list->count].price = price;
    list->count++;
}

static void add_list(ref_list *to, const ref_list *from)
{
    for (size_t i = 0; i < from->count; i++) {
        add_spot(to, from->at[i].body, from->at[i].arrived, from->at[i].price);
    }
}

static void drop_list(ref_list *list)
{
    free(list->at);
    memset(list, 0, sizeof *list);
}

/* ---- links ---- */

enum { ADJUST, SHIFT, CLOSE, GATHER, OPEN };

typedef struct link {
    ref_body to;
    int kind, price;
    int stood; /* the foot stood on before, 0 on two feet */
} link;

static size_t add_link(link *out, size_t n, ref_body from, ref_body to,
                       int kind, int price)
{
    out[n].to = to;
    out[n].kind = kind;
    out[n].price = price;
    out[n].stood = from.standing;
    return n + 1;
}

static size_t links_of_two_feet(const ref_prices *p, ref_body b, link *out)
{
    size_t n = 0;

    if (b.position == REF_FIFTH) {
        n = add_link(out, n, b, ref_two(REF_TIPS, b.front), ADJUST, p->quiet);
        n = add_link(out, n, b, ref_two(REF_FOURTH, b.front), OPEN, p->opening);
    } else if (b.position == REF_FOURTH) {
        n = add_link(out, n, b,
                     ref_one(ref_other_foot(b.front), REF_A_TERRE, REF_DEVANT),
                     SHIFT, p->quiet);
        n = add_link(out, n, b, ref_one(b.front, REF_A_TERRE, REF_DERRIERE),
                     SHIFT, p->quiet);
        n = add_link(out, n, b, ref_two(REF_FIFTH, b.front), GATHER,
                     p->closing);
    } else if (b.position == REF_SECOND) {
        for (int foot = REF_RIGHT; foot <= REF_LEFT; foot++) {
            n = add_link(out, n, b, ref_one(foot, REF_A_TERRE, REF_SIDE), SHIFT,
                         p->quiet);
            n = add_link(out, n, b, ref_two(REF_FIFTH, foot), GATHER,
                         p->closing);
        }
    }
    return n;
}

static size_t links_of_one_foot(const ref_prices *p, ref_body b, link *out)
{
    size_t n = 0;
    int free_foot = ref_other_foot(b.standing);
    int closing = b.shape == REF_A_TERRE ? p->quiet : p->closing;

    if (b.shape == REF_HIGH) {
        n = add_link(out, n, b, ref_one(b.standing, REF_LOW, b.where), ADJUST,
                     p->quiet);
    }
    if (b.shape != REF_A_TERRE) {
        n = add_link(out, n, b, ref_one(b.standing, REF_A_TERRE, b.where),
                     ADJUST, p->quiet);
    }
    if (b.shape != REF_ANKLE && b.where != REF_SIDE) {
        n = add_link(out, n, b, ref_one(b.standing, REF_ANKLE, b.where), ADJUST,
                     p->quiet);
    }
    if (b.shape == REF_A_TERRE) {
        n = add_link(out, n, b,
                     b.where == REF_SIDE
                         ? ref_two(REF_SECOND, 0)
                         : ref_two(REF_FOURTH, ref_front_foot(b)),
                     SHIFT, p->quiet);
    }
    if (b.where == REF_SIDE) {
        n = add_link(out, n, b, ref_two(REF_FIFTH, b.standing), CLOSE, closing);
        n = add_link(out, n, b, ref_two(REF_FIFTH, free_foot), CLOSE,
                     p->side_in_front);
    } else {
        n = add_link(out, n, b, ref_two(REF_FIFTH, ref_front_foot(b)), CLOSE,
                     closing);
    }
    return n;
}

/* What may be assumed between an arrival and a variant, whatever its feet. */
static bool gap_allows(const link *l, int arrived, const ref_variant *v,
                       bool fourth_written)
{
    if (v->nothing_assumed) {
        return false;
    }
    switch (l->kind) {
    case SHIFT:
        return arrived != REF_JUMPING || v->leaves != REF_JUMPING;
    case CLOSE:
        return arrived == REF_STILL || v->leaves == REF_STILL;
    case GATHER:
        return (arrived == REF_STILL || v->leaves == REF_STILL) &&
               !(v->turns && fourth_written);
    case OPEN:
        return v->opens_fourth;
    default:
        return true;
    }
}

/* ---- what is written beside a step ---- */

/* What a step's words ask of it: variants that carry `carried`, moves that
 * meet `asked` and end in `to`. */
typedef struct demand {
    const char *carried; /* NULL: nothing */
    const char *asked;   /* NULL: nothing */
    const char *written; /* the qualifier taken, for "!" names; may be NULL */
    int to;
    bool narrows; /* prices are reckoned from the cheapest that fits */
    int times;
} demand;

static bool carries(const ref_variant *v, const char *name)
{
    for (size_t i = 0; i < v->name_count; i++) {
        if (strcmp(v->names[i], name) == 0) {
            return true;
        }
    }
    return false;
}

static bool term_carries(const ref_term *t, const char *name)
{
    for (size_t i = 0; i < t->variant_count; i++) {
        if (carries(&t->variants[i], name)) {
            return true;
        }
    }
    return false;
}

/* Does going there from here meet what a qualifier asks?  "closes front"
 * speaks of two feet, "leg front" of one. */
static bool meets(const ref_variant *v, ref_body from, const ref_end *end,
                  const char *asks)
{
    ref_body to = end->body;
    int before = ref_front_foot(from);
    int after = ref_front_foot(to);
    int closing = v->other_closes ? ref_other_foot(end->working) : end->working;
    bool closes = to.standing == REF_BOTH && closing != 0 && after != 0;

    if (strcmp(asks, "closes front") == 0) {
        return closes && after == closing;
    }
    if (strcmp(asks, "closes back") == 0) {
        return closes && after != closing;
    }
    if (strcmp(asks, "feet change") == 0) {
        return before != 0 && after != 0 && before != after;
    }
    if (strcmp(asks, "feet stay") == 0) {
        return before != 0 && before == after;
    }
    if (strcmp(asks, "leg front") == 0) {
        return to.standing != REF_BOTH && to.where == REF_DEVANT;
    }
    if (strcmp(asks, "leg side") == 0) {
        return to.standing != REF_BOTH && to.where == REF_SIDE;
    }
    if (strcmp(asks, "leg behind") == 0) {
        return to.standing != REF_BOTH && to.where == REF_DERRIERE;
    }
    return (strcmp(asks, "forward") == 0 && v->goes_forward) ||
           (strcmp(asks, "backward") == 0 && v->goes_back) ||
           (strcmp(asks, "sideways") == 0 && v->goes_sideways &&
            !(v->sideways_by_foot && end->working == REF_BOTH)) ||
           (strcmp(asks, "a turn") == 0 && v->turns) ||
           strcmp(asks, "passes") == 0;
}

static bool term_meets(const ref_term *t, const char *asks)
{
    ref_body bodies[REF_BODIES_MOST];
    size_t count = ref_all_bodies(bodies);

    for (size_t i = 0; i < t->variant_count; i++) {
        for (size_t b = 0; b < count; b++) {
            ref_end ends[64];
            size_t n = ref_variant_ends(&t->variants[i], bodies[b], ends);

            for (size_t k = 0; k < n; k++) {
                if (meets(&t->variants[i], bodies[b], &ends[k], asks)) {
                    return true;
                }
            }
        }
    }
    return false;
}

static const ref_qualifier *find_qualifier(const ref_vocab *vocab,
                                           const char *name)
{
    for (size_t i = 0; i < vocab->qualifier_count; i++) {
        if (strcmp(vocab->qualifiers[i].name, name) == 0) {
            return &vocab->qualifiers[i];
        }
    }
    return NULL;
}

/* The rules leave open what happens to variants that meet what a qualifier
 * asks when others of the term carry it by name: as in the library only those
 * that carry it are meant.  A qualifier of no form at all is a remark. */
static demand read_demand(const ref_vocab *vocab, const ref_step *step)
{
    demand d = {NULL, NULL, NULL, step->to, false, step->times};
    const ref_qualifier *q = step->qualifier;

    d.narrows = d.to != REF_POSITION_COUNT;
    for (int tries = 0; q != NULL && tries < 3; tries++) {
        if (term_carries(step->term, q->name)) {
            d.carried = d.written = q->name;
            d.narrows = true;
            break;
        }
        if (term_meets(step->term, q->asks)) {
            d.written = q->name;
            if (strcmp(q->asks, "passes") != 0) {
                d.asked = q->asks;
                d.narrows = true;
            }
            break;
        }
        q = q->instead != NULL ? find_qualifier(vocab, q->instead) : NULL;
    }
    return d;
}

/* Is this variant meant by what is written? */
static bool is_candidate(const demand *d, const ref_variant *v)
{
    for (size_t i = 0; i < v->name_count; i++) {
        if (v->must_be_written[i] &&
            (d->written == NULL || strcmp(v->names[i], d->written) != 0)) {
            return false;
        }
    }
    if ((v->series_only && d->times < 2) || v->next_named) {
        return false;
    }
    return d->carried == NULL || carries(v, d->carried);
}

static bool is_meant(const demand *d, const ref_variant *v, ref_body from,
                     const ref_end *end)
{
    ref_body to = end->body;
    int position = to.position == REF_TIPS ? REF_FIFTH : to.position;

    if (d->to != REF_POSITION_COUNT &&
        (to.standing != REF_BOTH ||
         (to.position != d->to && position != d->to))) {
        return false;
    }
    return d->asked == NULL || meets(v, from, end, d->asked);
}

/* What is written costs nothing: the cheapest way of it from a body is free,
 * the others cost what they cost more.  (From a body: that it is not reckoned
 * over all bodies at once is the library's reading of the rule.) */
static int cheapest_meant(const ref_step *step, const demand *d, ref_body from)
{
    int least = 1000;

    for (size_t i = 0; i < step->term->variant_count; i++) {
        const ref_variant *v = &step->term->variants[i];
        ref_end ends[64];
        size_t n = is_candidate(d, v) ? ref_variant_ends(v, from, ends) : 0;

        for (size_t k = 0; k < n; k++) {
            if (is_meant(d, v, from, &ends[k]) && v->price < least) {
                least = v->price;
            }
        }
    }
    return least;
}

/* ---- a variant once ---- */

/* One time of a step; of a repeated one, `time` counts from 0. */
typedef struct once {
    const ref_vocab *vocab;
    const ref_step *step;
    const demand *demand;
    const ref_variant *variant;
    int time;
    bool fourth_written;
} once;

static void dance_from(ref_list *out, const once *o, ref_body from, int freed,
                       int price)
{
    const ref_variant *v = o->variant;
    ref_end ends[64];
    size_t n = ref_variant_ends(v, from, ends);

    /* a repeated step is charged once */
    if (n > 0 && o->time == 0) {
        price += v->price;
        if (o->demand->narrows) {
            price -= cheapest_meant(o->step, o->demand, from);
        }
    }
    for (size_t i = 0; i < n; i++) {
        /* no foot is freed by closing so that a step may step on it */
        bool stepped_on =
            freed != REF_BOTH && v->steps && ends[i].working == freed;

        if (!stepped_on && is_meant(o->demand, v, from, &ends[i])) {
            add_spot(out, ends[i].body, v->arrives, price);
        }
    }
}

static void dance_once(ref_list *out, const ref_list *in, const once *o)
{
    /* A repeated step is charged once, its links each time. */
    for (size_t i = 0; i < in->count; i++) {
        const ref_spot *s = &in->at[i];
        const ref_prices *p = &o->vocab->prices;
        link links[16];
        size_t n = s->body.standing == REF_BOTH
                       ? links_of_two_feet(p, s->body, links)
                       : links_of_one_foot(p, s->body, links);

        dance_from(out, o, s->body, REF_BOTH, s->price);
        for (size_t k = 0; k < n; k++) {
            if (gap_allows(&links[k], s->arrived, o->variant,
                           o->fourth_written)) {
                dance_from(out, o, links[k].to,
                           links[k].kind == CLOSE ? links[k].stood : REF_BOTH,
                           s->price + links[k].price);
            }
        }
    }
}

/* ---- a step ---- */

static bool writes_fourth(const ref_step *step)
{
    return step->to == REF_FOURTH;
}

static void dance_step(ref_list *out, const ref_vocab *vocab,
                       const ref_list *in, const ref_step *step,
                       bool fourth_before)
{
    demand d = read_demand(vocab, step);
    once o = {vocab, step, &d, NULL, 0, false};

    for (size_t i = 0; i < step->term->variant_count; i++) {
        ref_list now = {NULL, 0, 0};

        o.variant = &step->term->variants[i];
        if (!is_candidate(&d, o.variant)) {
            continue;
        }
        /* the same variant each time; feet anew each time */
        add_list(&now, in);
        for (o.time = 0; o.time < step->times; o.time++) {
            ref_list next = {NULL, 0, 0};

            o.fourth_written =
                writes_fourth(step) || (fourth_before && o.time == 0);
            dance_once(&next, &now, &o);
            drop_list(&now);
            now = next;
        }
        add_list(out, &now);
        drop_list(&now);
    }
}

/* ---- a text ---- */

/* No start is written: a priced set, the right side standing for both. */
static void make_starts(ref_list *out, const ref_prices *p)
{
    add_spot(out, ref_two(REF_FIFTH, REF_RIGHT), REF_STILL, p->start_fifth);
    add_spot(out, ref_two(REF_FIRST, 0), REF_STILL, p->start_first);
    add_spot(out, ref_two(REF_SECOND, 0), REF_STILL, p->start_elsewhere);
    add_spot(out, ref_two(REF_THIRD, REF_RIGHT), REF_STILL, p->start_elsewhere);
    add_spot(out, ref_two(REF_FOURTH, REF_RIGHT), REF_STILL,
             p->start_elsewhere);
    add_spot(out, ref_two(REF_PARALLEL, 0), REF_STILL, p->start_elsewhere);
    add_spot(out, ref_one(REF_LEFT, REF_A_TERRE, REF_DEVANT), REF_STILL,
             p->start_pose);
    add_spot(out, ref_one(REF_LEFT, REF_A_TERRE, REF_SIDE), REF_STILL,
             p->start_pose);
    add_spot(out, ref_one(REF_RIGHT, REF_A_TERRE, REF_DERRIERE), REF_STILL,
             p->start_pose);
}

void ref_walk_steps(ref_walk *out, const ref_vocab *vocab,
                    const ref_step *steps, size_t count)
{
    memset(out, 0, sizeof *out);
    make_starts(&out->ends, &vocab->prices);
    for (size_t i = 0; i < count; i++) {
        ref_list next = {NULL, 0, 0};
        bool fourth = i > 0 && writes_fourth(&steps[i - 1]);

        dance_step(&next, vocab, &out->ends, &steps[i], fourth);
        if (next.count == 0) {
            drop_list(&next);
            return;
        }
        drop_list(&out->ends);
        out->ends = next;
        out->danced++;
    }
}

void ref_walk_free(ref_walk *walk)
{
    drop_list(&walk->ends);
}

int ref_walk_cheapest(const ref_walk *walk)
{
    int least = -1;

    for (size_t i = 0; i < walk->ends.count; i++) {
        if (least < 0 || walk->ends.at[i].price < least) {
            least = walk->ends.at[i].price;
        }
    }
    return least;
}
