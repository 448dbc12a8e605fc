/* ref_body.c - bodies as plain structs, and where a variant leads from one. */
#include <stdio.h>

#include "ref.h"

/* ---- bodies ---- */

static bool has_front(int position)
{
    return position == REF_THIRD || position == REF_FOURTH ||
           position == REF_FIFTH || position == REF_TIPS;
}

int ref_other_foot(int foot)
{
    return foot == REF_RIGHT  ? REF_LEFT
           : foot == REF_LEFT ? REF_RIGHT
                              : REF_BOTH;
}

ref_body ref_two(int position, int front)
{
    ref_body b = {REF_BOTH, position, has_front(position) ? front : 0, 0, 0};

    return b;
}

ref_body ref_one(int standing, int shape, int where)
{
    ref_body b = {standing, 0, 0, shape, where};

    return b;
}

bool ref_same_body(ref_body a, ref_body b)
{
    return a.standing == b.standing && a.position == b.position &&
           a.front == b.front && a.shape == b.shape && a.where == b.where;
}

/* On one foot the free foot is in front when it is devant, the standing one
 * when it is behind; to the side nothing is defined. */
int ref_front_foot(ref_body b)
{
    if (b.standing == REF_BOTH) {
        return b.front;
    }
    return b.where == REF_DEVANT     ? ref_other_foot(b.standing)
           : b.where == REF_DERRIERE ? b.standing
                                     : 0;
}

size_t ref_all_bodies(ref_body out[REF_BODIES_MOST])
{
    size_t n = 0;

    for (int p = 0; p < REF_POSITION_COUNT; p++) {
        if (has_front(p)) {
            out[n++] = ref_two(p, REF_RIGHT);
            out[n++] = ref_two(p, REF_LEFT);
        } else {
            out[n++] = ref_two(p, 0);
        }
    }
    for (int foot = REF_RIGHT; foot <= REF_LEFT; foot++) {
        for (int s = 0; s < REF_SHAPE_COUNT; s++) {
            for (int w = 0; w < REF_WHERE_COUNT; w++) {
                out[n++] = ref_one(foot, s, w);
            }
        }
    }
    return n;
}

void ref_body_words(char *out, size_t room, ref_body b)
{
    static const char *const positions[] = {
        "first", "second", "parallel", "third", "fourth", "fifth", "tips"};
    static const char *const feet[] = {"", " right", " left"};
    static const char *const shapes[] = {"a terre", "low",  "high",
                                         "ankle",   "knee", "attitude"};
    static const char *const wheres[] = {"front", "side", "behind"};

    if (b.standing == REF_BOTH) {
        snprintf(out, room, "%s%s", positions[b.position], feet[b.front]);
    } else {
        snprintf(out, room, "on%s %s %s", feet[b.standing], shapes[b.shape],
                 wheres[b.where]);
    }
}

/* ---- what a variant does ---- */

static bool may_begin(const ref_variant *v, ref_body b)
{
    if (b.standing == REF_BOTH) {
        return v->from_position[b.position];
    }
    for (size_t i = 0; i < v->from_places; i++) {
        if (v->from_place[i].shape[b.shape] &&
            v->from_place[i].where[b.where]) {
            return true;
        }
    }
    return false;
}

/* The feet that may be the working one from here; REF_BOTH stands for "no one
 * foot".  In a position without a front foot "front foot" and "back foot" are
 * either foot: the rules leave it open, the library has it so. */
static size_t find_workers(const ref_variant *v, ref_body b, int out[2])
{
    int front = b.standing == REF_BOTH ? b.front : 0;

    if (v->works == REF_WORKS_BOTH) {
        out[0] = REF_BOTH;
        return 1;
    }
    if (b.standing != REF_BOTH) {
        out[0] = v->works == REF_WORKS_STANDING ? b.standing
                                                : ref_other_foot(b.standing);
        return 1;
    }
    if (v->works == REF_WORKS_FREE || v->works == REF_WORKS_STANDING) {
        return 0;
    }
    if (v->works == REF_WORKS_EITHER || front == 0) {
        out[0] = REF_RIGHT;
        out[1] = REF_LEFT;
        return 2;
    }
    out[0] = v->works == REF_WORKS_FRONT ? front : ref_other_foot(front);
    return 1;
}

/* Front feet an end on two feet can have. */
static size_t find_fronts(const ref_variant *v, ref_body from, int working,
                          int out[2])
{
    int front = ref_front_foot(from);

    switch (v->end_front) {
    case REF_FRONT_WORKING:
        out[0] = working;
        return working == REF_BOTH ? 0 : 1;
    case REF_FRONT_OTHER:
        out[0] = ref_other_foot(working);
        return working == REF_BOTH ? 0 : 1;
    case REF_FRONT_KEPT:
    case REF_FRONT_EXCHANGED:
        if (front != 0) {
            out[0] =
                v->end_front == REF_FRONT_KEPT ? front : ref_other_foot(front);
            return 1;
        }
        break; /* nothing to keep: either */
    default:
        break;
    }
    out[0] = REF_RIGHT;
    out[1] = REF_LEFT;
    return 2;
}

static size_t add_end(ref_end *out, size_t n, ref_body body, int working)
{
    for (size_t i = 0; i < n; i++) {
        if (ref_same_body(out[i].body, body) && out[i].working == working) {
            return n;
        }
    }
    out[n].body = body;
    out[n].working = working;
    return n + 1;
}

static size_t add_two_feet(const ref_variant *v, ref_body from, int working,
                           ref_end *out, size_t n)
{
    int position = v->end_position;
    int fronts[2];
    size_t count;

    if (position == REF_FIFTH && from.standing == REF_BOTH &&
        from.position == REF_THIRD) {
        position = REF_THIRD;
    }
    if (!has_front(position)) {
        return add_end(out, n, ref_two(position, 0), working);
    }
    count = find_fronts(v, from, working, fronts);
    for (size_t i = 0; i < count; i++) {
        n = add_end(out, n, ref_two(position, fronts[i]), working);
    }
    return n;
}

static size_t add_one_foot(const ref_variant *v, ref_body from, int working,
                           ref_end *out, size_t n)
{
    int on = working;

    if (v->ends == REF_ENDS_OTHER) {
        on = ref_other_foot(working);
    } else if (v->ends == REF_ENDS_STANDING) {
        on = from.standing;
    }
    if (on == REF_BOTH) {
        return n;
    }
    if (v->end_place_kept) {
        return from.standing == REF_BOTH
                   ? n
                   : add_end(out, n, ref_one(on, from.shape, from.where),
                             working);
    }
    for (int s = 0; s < REF_SHAPE_COUNT; s++) {
        for (int w = 0; w < REF_WHERE_COUNT; w++) {
            if (v->end_place.shape[s] && v->end_place.where[w]) {
                n = add_end(out, n, ref_one(on, s, w), working);
            }
        }
    }
    return n;
}

/* Nothing changes; but a foot that works, or a jump, comes down from the
 * tips on to flat feet. */
static ref_body as_it_began(const ref_variant *v, ref_body from)
{
    bool jump = v->leaves == REF_JUMPING || v->arrives == REF_JUMPING;

    if (from.standing == REF_BOTH && from.position == REF_TIPS &&
        (v->works != REF_WORKS_BOTH || jump)) {
        from.position = REF_FIFTH;
    }
    return from;
}

size_t ref_variant_ends(const ref_variant *v, ref_body from, ref_end out[64])
{
    int workers[2];
    size_t n = 0;
    size_t count;

    if (!may_begin(v, from)) {
        return 0;
    }
    count = find_workers(v, from, workers);
    for (size_t i = 0; i < count; i++) {
        if (v->ends == REF_ENDS_AS_BEGAN || v->ends == REF_ENDS_WHERE_BEGAN) {
            n = add_end(out, n, as_it_began(v, from), workers[i]);
        } else if (v->ends == REF_ENDS_TWO) {
            n = add_two_feet(v, from, workers[i], out, n);
        } else {
            n = add_one_foot(v, from, workers[i], out, n);
        }
    }
    return n;
}
