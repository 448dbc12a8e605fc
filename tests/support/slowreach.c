#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "slowreach.h"

#define TERM STEPDESK_TERM
const char slowreach_terms[] =
    TERM("chg", "front", "  gap in a jump\n",
         "  variant -: from fifth, both feet work, closes the other way; "
         "price 0\n")
    TERM("glide", "travel", "  gap moving\n",
         "  variant dessous: from fifth, front foot steps, closes back, "
         "travels toward the working foot; price 1\n"
         "  variant dessus: from fifth, back foot steps, closes front, travels "
         "toward the working foot; price 0\n"
         "  variant -: from one foot, free foot steps, ends in fifth with "
         "working foot behind; price 2\n")
    TERM("coupe", "foot", "",
         "  variant dessous: from free leg behind, free foot steps, ends on "
         "the working foot, free leg at the ankle front, nothing assumed "
         "before; price 0\n"
         "  variant dessus: from free leg front or free leg side, free foot "
         "steps, ends on the working foot, free leg at the ankle behind; "
         "price 1\n")
    TERM("turn", "turn", "",
         "  variant -: from fourth, back foot works, closes back, turns once "
         "toward the working foot, fourth may be opened for it; price 0\n"
         "  variant dessus: from fourth or fifth, back foot works, ends in "
         "fourth with working foot in front, turns half either way; price 3\n")
    TERM("deg", "foot", "",
         "  variant -: from fifth or one foot, either foot works, ends on the "
         "other foot, free leg low front/side; price 0\n"
         "  variant dessus: from fifth, back foot works, closes front; price "
         "1\n")
    TERM("hop", "front", "  gap in a jump\n",
         "  variant -: from one foot, standing foot works, ends as it began; "
         "price 1\n"
         "  variant dessus: from second, both feet work, ends as it began, "
         "arrives still; price 0\n")
    TERM("stay", "front", "  is a hold\n",
         "  variant -: from fourth or fifth or one foot, both feet work, ends "
         "as it began; price 0\n")
    TERM("kept", "front", "",
         "  variant -: from fifth, both feet work, ends in fifth with feet "
         "kept; price 0\n");

const char *const slowreach_names[SLOWREACH_TERMS] = {
    "chg", "glide", "coupe", "turn", "deg", "hop", "stay", "kept"};

static void clear_table(slowtable *t)
{
    memset(t, 0xff, sizeof *t); /* SLOW_NEVER everywhere */
}

void slowreach_read(const marq_front *front, slowtable *out)
{
    clear_table(out);
    for (unsigned k = 0; k < MARQ_ARRIVALS; k++) {
        for (unsigned b = 0; b < MARQ_BODIES; b++) {
            for (unsigned f = 0; f < 8 && marq_front_live(front, k, b); f++) {
                if (front->cost[k][b][f] != MARQ_OUT_OF_REACH) {
                    out->at[k][b][f] = front->base + front->cost[k][b][f];
                }
            }
        }
    }
}

static void lower(slowtable *t, unsigned k, unsigned b, unsigned f,
                  uint32_t price)
{
    if (price < t->at[k][b][f]) {
        t->at[k][b][f] = price;
    }
}

typedef struct slowly {
    const stepdesk *desk;
    const marq_links *links;
    bool no_facing;
    const marq_stage *stage;
    uint32_t repeat;
    slowtable *out;
} slowly;

/* Before a change of feet the other foot was in front: right front is croise
 * facing the front left corner, left front facing the other. */
static bool was_croise(marq_body to, unsigned facing)
{
    marq_side front = marq_body_front(to) == MARQ_SIDE_RIGHT
                          ? MARQ_SIDE_LEFT
                          : MARQ_SIDE_RIGHT;
    return front == MARQ_SIDE_RIGHT ? facing == 7
                                    : facing == 1;
}

/* Ends of a move in all facings it may end in: a written facing may be up to
 * a quarter off what the turn gives, nothing inside a hold; without a word, a
 * change of feet from croise may go to the other croise. */
static void land(const slowly *s, unsigned arrives, marq_body to, unsigned f,
                 int turn, bool changes, unsigned facings, bool faces,
                 bool hold, uint32_t price)
{
    if (s->no_facing) {
        lower(s->out, arrives, to, f, price);
        return;
    }
    unsigned carried = (unsigned)(((int)f + turn) % 8 + 8) % 8;
    if (!faces) {
        lower(s->out, arrives, to, carried, price);
        if (changes && was_croise(to, carried)) {
            lower(s->out, arrives, to, 8 - carried,
                  price + s->desk->load->data.prices[MARQ_PRICE_OTHER_CROISE]);
        }
        return;
    }
    for (unsigned t = 0; t < 8; t++) {
        unsigned way = (t + 8 - carried) % 8;
        unsigned off = way > 4 ? 8 - way : way;
        if ((facings >> t & 1u) && off <= (hold ? 0u : 2u)) {
            lower(s->out, arrives, to, t, price);
        }
    }
}

/* The cheapest variant with a move from `b` that fits what is written. */
static unsigned cheapest_at(const slowly *s, marq_body b)
{
    const marq_demand *d = &s->stage->demand;
    const marq_vocab_data *data = &s->desk->load->data;
    unsigned least = 1000;
    for (size_t i = 0; i < d->variant_count; i++) {
        const marq_variant *v = &data->variants[d->variants[i]];
        for (size_t m = 0; m < v->move_count; m++) {
            const marq_move *move = &data->moves[v->first_move + m];
            if (move->from == b && v->price < least &&
                marq_demand_allows(d, data, d->variants[i], move)) {
                least = v->price;
            }
        }
    }
    return least;
}

static void step_from(const slowly *s, size_t variant, unsigned k,
                      marq_body from, const marq_link *link, unsigned f,
                      uint32_t price)
{
    const marq_demand *d = &s->stage->demand;
    const marq_vocab_data *data = &s->desk->load->data;
    const marq_variant *v = &data->variants[variant];
    marq_body b = link ? link->to : from;
    uint32_t own = 0;
    if (s->repeat == 0) { /* a form is charged once, a written one not */
        own = d->narrows ? v->price - cheapest_at(s, b) : v->price;
    }
    if (link) {
        own += data->prices[link->price];
    }
    for (size_t m = 0; m < v->move_count; m++) {
        const marq_move *move = &data->moves[v->first_move + m];
        if (move->from != b || !marq_demand_allows(d, data, variant, move) ||
            (link && !marq_gap_allows(marq_gap_gate(v, move, d->named_fourth),
                                      k, link))) {
            continue;
        }
        land(s, v->arrives, move->to, f, marq_demand_turn(d, v, move),
             move->change == 1, marq_demand_facings(d, data, variant, move),
             d->faces, d->hold, price + own);
    }
}

static void stand_from(const slowly *s, unsigned k, marq_body from,
                       const marq_link *link, unsigned f, uint32_t price)
{
    const marq_stage *st = s->stage;
    marq_body b = link ? link->to : from;
    unsigned gate = st->quiet_only ? MARQ_GATE_QUIET : 0;
    if ((st->has_bodies && !st->bodies[b]) ||
        (link && !marq_gap_allows(gate, k, link))) {
        return;
    }
    price += link ? s->desk->load->data.prices[link->price] : 0;
    land(s, link ? (unsigned)MARQ_STILL : k, b, f, 0, false, st->facings,
         st->faces, false, price);
}

static void once(const slowly *s, size_t variant, const slowtable *in)
{
    clear_table(s->out);
    for (unsigned k = 0; k < MARQ_ARRIVALS; k++) {
        for (unsigned b = 0; b < MARQ_BODIES; b++) {
            for (unsigned f = 0; f < 8; f++) {
                if (in->at[k][b][f] == SLOW_NEVER) {
                    continue;
                }
                size_t count = s->links->index[MARQ_BODIES];
                for (size_t i = 0; i <= count; i++) {
                    const marq_link *link =
                        i < count ? &s->links->at[i] : NULL;
                    if (link && link->from != b) {
                        continue;
                    }
                    if (s->stage->kind == MARQ_STAGE_STAND) {
                        stand_from(s, k, (marq_body)b, link, f,
                                   in->at[k][b][f]);
                    } else {
                        step_from(s, variant, k, (marq_body)b, link, f,
                                  in->at[k][b][f]);
                    }
                }
            }
        }
    }
}

void slowreach_forward(const stepdesk *desk, const marq_links *links,
                       bool no_facing, const marq_stage *stage,
                       const slowtable *in, slowtable *out)
{
    slowtable now, next;
    slowly s = {desk, links, no_facing, stage, 0, &next};
    if (stage->kind == MARQ_STAGE_STAND) {
        s.out = out;
        once(&s, 0, in);
        return;
    }
    clear_table(out);
    for (size_t i = 0; i < stage->demand.variant_count; i++) {
        now = *in;
        for (s.repeat = 0; s.repeat < stage->demand.times; s.repeat++) {
            once(&s, stage->demand.variants[i], &now);
            now = next;
        }
        for (unsigned k = 0; k < MARQ_ARRIVALS; k++) {
            for (unsigned b = 0; b < MARQ_BODIES; b++) {
                for (unsigned f = 0; f < 8; f++) {
                    lower(out, k, b, f, now.at[k][b][f]);
                }
            }
        }
    }
}

void slowreach_from(const stepdesk *desk, const marq_links *links,
                    bool no_facing, const marq_stage *stage,
                    const slowtable *in, marq_cell cell, slowtable *out)
{
    slowtable one;
    clear_table(&one);
    one.at[cell.arrival][cell.body][cell.facing] =
        in->at[cell.arrival][cell.body][cell.facing];
    slowreach_forward(desk, links, no_facing, stage, &one, out);
}
