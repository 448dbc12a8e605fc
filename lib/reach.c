#include "reach.h"

/* ---- fronts --------------------------------------------------------------- */

void marq_reach_init(marq_reach *reach, const marq_vocab_data *data,
                     marq_arena *arena) {
    reach->data = data;
    reach->arena = arena;
    marq_links_make(&reach->links);
}

void marq_front_clear(marq_front *front) {
    for (unsigned k = 0; k < MARQ_ARRIVALS; k++) {
        front->live[k] = 0;
    }
    front->base = 0;
}

/* The eight prices of a body, set up when it is first used. */
static uint8_t *touch_row(marq_front *front, unsigned k, unsigned body) {
    uint8_t *row = front->cost[k][body];
    if (!((front->live[k] >> body) & 1u)) {
        memset(row, MARQ_OUT_OF_REACH, 8);
        front->live[k] |= (uint64_t)1 << body;
    }
    return row;
}

static bool is_live(const marq_front *front, unsigned k, unsigned body) {
    return (front->live[k] >> body) & 1u;
}

static void lower_price(uint8_t *cell, unsigned price) {
    if (price > MARQ_DEAREST) {
        price = MARQ_DEAREST;
    }
    if (price < *cell) {
        *cell = (uint8_t)price;
    }
}

void marq_front_put(marq_front *front, marq_cell cell, unsigned price) {
    lower_price(&touch_row(front, cell.arrival, cell.body)[cell.facing],
                price);
}

bool marq_front_empty(const marq_front *front) {
    return !(front->live[0] | front->live[1] | front->live[2]);
}

/* The lowest bit of a set of bodies, taken out of it. */
static unsigned next_body(uint64_t *set) {
    unsigned body = 0;
    uint64_t s = *set;
    while (!(s & 0xff)) {
        s >>= 8;
        body += 8;
    }
    while (!(s & 1)) {
        s >>= 1;
        body++;
    }
    *set &= *set - 1;
    return body;
}

uint32_t marq_front_cheapest(const marq_front *front) {
    unsigned best = MARQ_OUT_OF_REACH;
    for (unsigned k = 0; k < MARQ_ARRIVALS; k++) {
        for (uint64_t set = front->live[k]; set;) {
            unsigned b = next_body(&set);
            for (unsigned f = 0; f < 8; f++) {
                if (front->cost[k][b][f] < best) {
                    best = front->cost[k][b][f];
                }
            }
        }
    }
    return best == MARQ_OUT_OF_REACH ? UINT32_MAX : front->base + best;
}

size_t marq_front_mark(const marq_front *front, uint32_t price,
                       marq_marks *marks) {
    size_t count = 0;
    for (unsigned k = 0; k < MARQ_ARRIVALS; k++) {
        for (uint64_t set = front->live[k]; set;) {
            unsigned b = next_body(&set);
            for (unsigned f = 0; f < 8; f++) {
                uint8_t cost = front->cost[k][b][f];
                if (cost != MARQ_OUT_OF_REACH && front->base + cost == price) {
                    marks->facing[k][b] |= (uint8_t)(1u << f);
                    count++;
                }
            }
        }
    }
    return count;
}

/* Keeps the numbers small: only differences between readings matter. */
static void settle_front(marq_front *front) {
    uint32_t least = marq_front_cheapest(front);
    if (least == UINT32_MAX || least - front->base < 64) {
        return;
    }
    unsigned off = (unsigned)(least - front->base);
    for (unsigned k = 0; k < MARQ_ARRIVALS; k++) {
        for (uint64_t set = front->live[k]; set;) {
            uint8_t *row = front->cost[k][next_body(&set)];
            for (unsigned f = 0; f < 8; f++) {
                if (row[f] < MARQ_DEAREST) {
                    row[f] = (uint8_t)(row[f] - off);
                }
            }
        }
    }
    front->base = least;
}

/* ---- what may be assumed in a gap ------------------------------------------ */

enum { /* a gate: what a step asks of the gap before it; bits 0-1 marq_gap */
    GATE_LEAVES = 3,
    GATE_NO_LINK = 4,
    GATE_OPENS = 8,
    GATE_NO_GATHER = 16,
    GATE_STEPS_RIGHT = 32, /* this foot takes weight: it must not be one a */
    GATE_STEPS_LEFT = 64,  /* link has just freed */
    GATE_QUIET = 128
};

static unsigned make_gate(const marq_demand *d, const marq_variant *v,
                          const marq_move *m) {
    unsigned gate = v->leaves;
    if (v->flags & MARQ_VARIANT_NO_LINK) {
        gate |= GATE_NO_LINK;
    }
    if (v->flags & MARQ_VARIANT_OPENS) {
        gate |= GATE_OPENS;
        if (d->named_fourth) {
            gate |= GATE_NO_GATHER;
        }
    }
    if ((v->flags & MARQ_VARIANT_STEPS) && m->working == MARQ_SIDE_RIGHT) {
        gate |= GATE_STEPS_RIGHT;
    }
    if ((v->flags & MARQ_VARIANT_STEPS) && m->working == MARQ_SIDE_LEFT) {
        gate |= GATE_STEPS_LEFT;
    }
    return gate;
}

static bool link_allowed(unsigned gate, unsigned arrival,
                         const marq_link *link) {
    unsigned leaves = gate & GATE_LEAVES;
    bool still = arrival == MARQ_STILL || leaves == MARQ_STILL;
    if (gate & GATE_NO_LINK) {
        return false;
    }
    if (gate & GATE_QUIET) {
        return link->price == MARQ_PRICE_QUIET;
    }
    switch (link->kind) {
    case MARQ_LINK_ADJUST:
        return true;
    case MARQ_LINK_SHIFT:
        return !(arrival == MARQ_JUMPING && leaves == MARQ_JUMPING);
    case MARQ_LINK_CLOSE:
        if ((gate & GATE_STEPS_RIGHT && link->stood == MARQ_SIDE_RIGHT) ||
            (gate & GATE_STEPS_LEFT && link->stood == MARQ_SIDE_LEFT)) {
            return false;
        }
        return still;
    case MARQ_LINK_GATHER:
        return still && !(gate & GATE_NO_GATHER);
    default:
        return (gate & GATE_OPENS) != 0;
    }
}

/* Links of one kind are treated alike, so that a body's prices after the gap
 * are reckoned once for each gate and not once for each move. */
enum {
    BY_NOTHING,
    BY_ADJUST,
    BY_SHIFT,       /* from still or moving */
    BY_SHIFT_JUMP,  /* from a jump */
    BY_CLOSE,       /* + 2 * moving + (stood == left) */
    BY_GATHER = BY_CLOSE + 4, /* + moving */
    BY_OPEN = BY_GATHER + 2,
    WAYS
};

typedef struct gap {
    uint8_t cost[WAYS][48][8];
    uint64_t live[WAYS];
    uint64_t any; /* bodies live in any way */
} gap;

static void gap_lower(gap *g, unsigned way, unsigned body,
                      const uint8_t from[8], unsigned price) {
    uint8_t *row = g->cost[way][body];
    if (!((g->live[way] >> body) & 1u)) {
        memset(row, MARQ_OUT_OF_REACH, 8);
        g->live[way] |= (uint64_t)1 << body;
        g->any |= (uint64_t)1 << body;
    }
    for (unsigned f = 0; f < 8; f++) {
        if (from[f] != MARQ_OUT_OF_REACH) {
            lower_price(&row[f], from[f] + price);
        }
    }
}

static unsigned way_of(unsigned arrival, const marq_link *link) {
    unsigned moving = arrival != MARQ_STILL;
    switch (link->kind) {
    case MARQ_LINK_ADJUST:
        return BY_ADJUST;
    case MARQ_LINK_SHIFT:
        return arrival == MARQ_JUMPING ? BY_SHIFT_JUMP : BY_SHIFT;
    case MARQ_LINK_CLOSE:
        return BY_CLOSE + 2 * moving + (link->stood == MARQ_SIDE_LEFT);
    case MARQ_LINK_GATHER:
        return BY_GATHER + moving;
    default:
        return BY_OPEN;
    }
}

static unsigned link_price(const marq_reach *reach, const marq_link *link,
                           uint32_t repeat) {
    /* a repeat is charged once: the links between its first two times */
    return repeat > 1 ? 0 : reach->data->prices[link->price];
}

static void open_gap(const marq_reach *reach, const marq_front *in,
                     uint32_t repeat, gap *g) {
    memset(g->live, 0, sizeof g->live);
    g->any = 0;
    for (unsigned k = 0; k < MARQ_ARRIVALS; k++) {
        for (uint64_t set = in->live[k]; set;) {
            unsigned b = next_body(&set);
            gap_lower(g, BY_NOTHING, b, in->cost[k][b], 0);
            for (unsigned i = reach->links.index[b];
                 i < reach->links.index[b + 1]; i++) {
                const marq_link *link = &reach->links.at[i];
                gap_lower(g, way_of(k, link), link->to, in->cost[k][b],
                          link_price(reach, link, repeat));
            }
        }
    }
}

/* The ways a gate leaves open, as a mask; agrees with link_allowed. */
static unsigned ways_of(unsigned gate) {
    unsigned leaves = gate & GATE_LEAVES;
    unsigned ways = 1u << BY_NOTHING;
    if (gate & GATE_NO_LINK) {
        return ways;
    }
    ways |= 1u << BY_ADJUST | 1u << BY_SHIFT;
    if (leaves != MARQ_JUMPING) {
        ways |= 1u << BY_SHIFT_JUMP;
    }
    for (unsigned moving = 0; moving < 2; moving++) {
        if (moving && leaves != MARQ_STILL) {
            continue;
        }
        if (!(gate & GATE_STEPS_RIGHT)) {
            ways |= 1u << (BY_CLOSE + 2 * moving);
        }
        if (!(gate & GATE_STEPS_LEFT)) {
            ways |= 1u << (BY_CLOSE + 2 * moving + 1);
        }
        if (!(gate & GATE_NO_GATHER)) {
            ways |= 1u << (BY_GATHER + moving);
        }
    }
    if (gate & GATE_OPENS) {
        ways |= 1u << BY_OPEN;
    }
    return ways;
}

/* Prices of `body` after the gap for a gate; false if out of reach. */
static bool gap_row(const gap *g, unsigned gate, unsigned body,
                    uint8_t row[8]) {
    unsigned ways = ways_of(gate);
    bool reached = false;
    for (unsigned way = 0; way < WAYS; way++) {
        if (!((ways >> way) & 1u) || !((g->live[way] >> body) & 1u)) {
            continue;
        }
        const uint8_t *from = g->cost[way][body];
        if (!reached) {
            memcpy(row, from, 8);
            reached = true;
            continue;
        }
        for (unsigned f = 0; f < 8; f++) {
            if (from[f] < row[f]) {
                row[f] = from[f];
            }
        }
    }
    return reached;
}

/* ---- where a move leads, facing by facing ---------------------------------- */

typedef struct aim {
    marq_facing facing;
    uint8_t price;
} aim;

/* Facings in which a move that begins at `f` may end, with what each costs;
 * at most 8.  A written facing is an instruction: up to a quarter is free on
 * any step, nothing inside a hold.  With no word the body keeps its facing,
 * but for the usual change from one croise to the other. */
static size_t list_aims(const marq_reach *reach, const marq_stage *stage,
                        const marq_used *u, bool ignore_facing, unsigned f,
                        aim aims[8]) {
    marq_facing carried = marq_facing_turn((marq_facing)f, u->turn);
    bool faces = stage->kind == MARQ_STAGE_STEP ? stage->demand.faces
                                                : stage->faces;
    if (ignore_facing || !faces) {
        aims[0].facing = carried;
        aims[0].price = 0;
        if (!ignore_facing && u->variant != 0xffff && (carried == 1 || carried == 7) &&
            reach->data->moves[u->move].change == 1) {
            aims[1].facing = marq_facing_mirror(carried);
            aims[1].price = reach->data->prices[MARQ_PRICE_OTHER_CROISE];
            return 2;
        }
        return 1;
    }
    /* a bare alignment word means a front corner before a back one */
    bool bare = stage->kind == MARQ_STAGE_STEP &&
                stage->demand.alignments != 0 &&
                stage->demand.facings == MARQ_ANY_FACING;
    int reach_of = stage->kind == MARQ_STAGE_STEP && stage->demand.hold ? 0
                                                                        : 2;
    size_t count = 0;
    for (int d = -reach_of; d <= reach_of; d++) {
        marq_facing t = marq_facing_turn(carried, d);
        if ((u->facings >> t) & 1u) {
            aims[count].facing = t;
            aims[count].price = bare && t >= 3 && t <= 5;
            count++;
        }
    }
    return count;
}

static void land_move(const marq_reach *reach, const marq_stage *stage,
                      const marq_used *u, bool ignore_facing,
                      const uint8_t row[8], marq_front *out) {
    uint8_t *to = touch_row(out, u->arrives, u->to);
    bool plain = ignore_facing || !stage->demand.faces;
    for (unsigned f = 0; f < 8; f++) {
        if (row[f] == MARQ_OUT_OF_REACH) {
            continue;
        }
        unsigned price = row[f] + u->price;
        if (plain && (u->variant == 0xffff ||
                      reach->data->moves[u->move].change != 1)) {
            lower_price(&to[marq_facing_turn((marq_facing)f, u->turn)],
                        price);
            continue;
        }
        aim aims[8];
        size_t count = list_aims(reach, stage, u, ignore_facing, f, aims);
        for (size_t i = 0; i < count; i++) {
            lower_price(&to[aims[i].facing], price + aims[i].price);
        }
    }
}

/* Bodies touched but left without a price are not in reach. */
static void drop_empty_rows(marq_front *front) {
    for (unsigned k = 0; k < MARQ_ARRIVALS; k++) {
        for (uint64_t set = front->live[k]; set;) {
            unsigned b = next_body(&set);
            const uint8_t *row = front->cost[k][b];
            bool any = false;
            for (unsigned f = 0; f < 8; f++) {
                any |= row[f] != MARQ_OUT_OF_REACH;
            }
            if (!any) {
                front->live[k] &= ~((uint64_t)1 << b);
            }
        }
    }
}

/* ---- one step, once ---------------------------------------------------------- */

#define ALL_VARIANTS UINT16_MAX

/* Lists the moves of `stage` that start in `g`, in order of the vocabulary,
 * with the price of each: what is written costs nothing, so prices count from
 * the cheapest move that fits at the same body. */
static marq_status list_moves(marq_reach *reach, const marq_stage *stage,
                              const gap *g, uint16_t only, uint32_t repeat,
                              marq_array *used) {
    const marq_vocab_data *data = reach->data;
    const marq_demand *d = &stage->demand;
    uint8_t least[MARQ_BODIES];
    memset(least, MARQ_OUT_OF_REACH, sizeof least);
    size_t first_used = used->count;
    for (size_t i = 0; i < d->variant_count; i++) {
        uint16_t v = d->variants[i];
        const marq_variant *variant = &data->variants[v];
        for (uint64_t set = g->any; set;) {
            marq_body from = (marq_body)next_body(&set);
            const marq_move *moves;
            size_t count = marq_step_moves(data, v, from, &moves);
            for (size_t k = 0; k < count; k++) {
                if (!marq_demand_allows(d, data, v, &moves[k])) {
                    continue;
                }
                if (variant->price < least[from]) {
                    least[from] = variant->price;
                }
                if (only != ALL_VARIANTS && v != only) {
                    continue;
                }
                marq_used *u = marq_array_add(used);
                if (u == NULL) {
                    return MARQ_MEMORY;
                }
                u->variant = v;
                u->move = (uint32_t)(&moves[k] - data->moves);
                u->turn = (int8_t)marq_demand_turn(d, variant, &moves[k]);
                u->price = variant->price;
                u->gate = (uint8_t)make_gate(d, variant, &moves[k]);
                u->arrives = variant->arrives;
                u->facings = marq_demand_facings(d, data, v, &moves[k]);
                u->from = from;
                u->to = moves[k].to;
            }
        }
    }
    for (size_t i = first_used; i < used->count; i++) {
        marq_used *u = MARQ_AT(used, marq_used, i);
        if (repeat > 0) {
            u->price = 0;
        } else if (d->narrows) {
            u->price = (uint8_t)(u->price - least[u->from]);
        }
    }
    return MARQ_OK;
}

static marq_status step_once(marq_reach *reach, const marq_front *in,
                             const marq_stage *stage, bool ignore_facing,
                             uint16_t only, uint32_t repeat, marq_front *out,
                             marq_array *used) {
    gap g;
    open_gap(reach, in, repeat, &g);
    size_t first = used->count;
    marq_status status = list_moves(reach, stage, &g, only, repeat, used);
    if (status != MARQ_OK) {
        return status;
    }
    marq_front_clear(out);
    out->base = in->base;
    uint8_t row[8];
    unsigned row_gate = 256, row_body = MARQ_NO_BODY;
    bool reached = false;
    for (size_t i = first; i < used->count; i++) {
        const marq_used *u = MARQ_AT(used, marq_used, i);
        if (u->gate != row_gate || u->from != row_body) {
            row_gate = u->gate;
            row_body = u->from;
            reached = gap_row(&g, row_gate, row_body, row);
        }
        if (reached) {
            land_move(reach, stage, u, ignore_facing, row, out);
        }
    }
    drop_empty_rows(out);
    settle_front(out);
    return MARQ_OK;
}

/* ---- a stand: a filter -------------------------------------------------------- */

/* The one pseudo move of a stand at a body: it stays. */
static bool stand_move(const marq_stage *stage, marq_body b, unsigned arrival,
                       bool linked, marq_used *u) {
    if (stage->has_bodies && !stage->bodies[b]) {
        return false;
    }
    *u = (marq_used){0};
    u->variant = 0xffff;
    u->gate = (uint8_t)(MARQ_STILL | (stage->quiet_only ? GATE_QUIET : 0));
    u->from = u->to = b;
    u->arrives = (uint8_t)(linked ? MARQ_STILL : arrival);
    unsigned facings = stage->facings;
    for (unsigned a = 0; a < MARQ_ALIGNMENTS; a++) {
        if (!((stage->alignments >> a) & 1u)) {
            continue;
        }
        unsigned fits = marq_alignment_facings((marq_alignment)a, b);
        if (fits == 0 && marq_body_is_two(b)) {
            fits = 0xaa; /* any diagonal: feet without front or back */
        }
        facings &= fits;
    }
    u->facings = (uint8_t)facings;
    return true;
}

static void stand_forward(marq_reach *reach, const marq_front *in,
                          const marq_stage *stage, bool ignore_facing,
                          marq_front *out) {
    marq_front_clear(out);
    out->base = in->base;
    for (unsigned k = 0; k < MARQ_ARRIVALS; k++) {
        for (uint64_t set = in->live[k]; set;) {
            marq_body b = (marq_body)next_body(&set);
            unsigned first = reach->links.index[b];
            unsigned end = reach->links.index[b + 1];
            for (unsigned i = first; i <= end; i++) {
                const marq_link *link =
                    i < end ? &reach->links.at[i] : NULL;
                marq_used u;
                if (!stand_move(stage, link ? link->to : b, k, link != NULL,
                                &u) ||
                    (link && !link_allowed(u.gate, k, link))) {
                    continue;
                }
                unsigned price = link ? link_price(reach, link, 0) : 0;
                uint8_t *to = touch_row(out, u.arrives, u.to);
                for (unsigned f = 0; f < 8; f++) {
                    aim aims[8];
                    if (in->cost[k][b][f] == MARQ_OUT_OF_REACH) {
                        continue;
                    }
                    size_t count = list_aims(reach, stage, &u, ignore_facing,
                                             f, aims);
                    for (size_t a = 0; a < count; a++) {
                        lower_price(&to[aims[a].facing],
                                    in->cost[k][b][f] + price +
                                        aims[a].price);
                    }
                }
            }
        }
    }
    drop_empty_rows(out);
    settle_front(out);
}

/* ---- a whole stage forward ----------------------------------------------------- */

static void merge_front(marq_front *into, const marq_front *other) {
    /* bases may differ after settling: bring both to the lower one */
    if (marq_front_empty(other)) {
        return;
    }
    if (marq_front_empty(into)) {
        *into = *other;
        return;
    }
    uint32_t base = into->base < other->base ? into->base : other->base;
    for (unsigned k = 0; k < MARQ_ARRIVALS; k++) {
        for (uint64_t set = into->live[k]; set;) {
            uint8_t *row = into->cost[k][next_body(&set)];
            for (unsigned f = 0; f < 8 && into->base > base; f++) {
                if (row[f] != MARQ_OUT_OF_REACH) {
                    uint32_t sum = row[f] + (into->base - base);
                    row[f] = (uint8_t)(sum > MARQ_DEAREST ? MARQ_DEAREST
                                                          : sum);
                }
            }
        }
        for (uint64_t set = other->live[k]; set;) {
            unsigned b = next_body(&set);
            uint8_t *row = touch_row(into, k, b);
            for (unsigned f = 0; f < 8; f++) {
                if (other->cost[k][b][f] != MARQ_OUT_OF_REACH) {
                    lower_price(&row[f], other->cost[k][b][f] +
                                             (other->base - base));
                }
            }
        }
    }
    into->base = base;
}

/* Fronts of every time of a step danced `times` by one variant; the caller's
 * array holds times + 1, the first of which is `in`. */
static marq_status repeat_variant(marq_reach *reach, const marq_stage *stage,
                                  bool ignore_facing, uint16_t variant,
                                  marq_front *fronts, marq_array *used,
                                  size_t *used_from) {
    for (uint32_t r = 0; r < stage->demand.times; r++) {
        if (used_from != NULL) {
            used_from[r] = used->count;
        } else {
            used->count = 0;
        }
        marq_status status =
            step_once(reach, &fronts[r], stage, ignore_facing, variant, r,
                      &fronts[r + 1], used);
        if (status != MARQ_OK) {
            return status;
        }
    }
    if (used_from != NULL) {
        used_from[stage->demand.times] = used->count;
    }
    return MARQ_OK;
}

marq_status marq_reach_forward(marq_reach *reach, const marq_front *in,
                               const marq_stage *stage, bool ignore_facing,
                               marq_front *out, marq_array *used) {
    marq_array scratch;
    if (stage->kind == MARQ_STAGE_STAND) {
        stand_forward(reach, in, stage, ignore_facing, out);
        return MARQ_OK;
    }
    if (used == NULL) {
        marq_array_init(&scratch, reach->arena, sizeof(marq_used));
        used = &scratch;
    }
    const marq_demand *d = &stage->demand;
    if (d->times == 1) {
        return step_once(reach, in, stage, ignore_facing, ALL_VARIANTS, 0, out,
                         used);
    }
    /* one variant each time, charged once: each is followed by itself */
    marq_array_init(&scratch, reach->arena, sizeof(marq_used));
    marq_front_clear(out);
    for (size_t i = 0; i < d->variant_count; i++) {
        marq_front a = *in, b;
        for (uint32_t r = 0; r < d->times && !marq_front_empty(&a); r++) {
            scratch.count = 0;
            marq_status status = step_once(reach, &a, stage, ignore_facing,
                                           d->variants[i], r, &b, &scratch);
            if (status != MARQ_OK) {
                return status;
            }
            a = b;
        }
        merge_front(out, &a);
    }
    settle_front(out);
    return MARQ_OK;
}

/* ---- back along the cheapest readings ------------------------------------------ */

/* Calls for every cell of `in`, way over the gap and used move that meet in a
 * cell of `after` at the price `out` gives it. */
typedef struct joint {
    marq_cell from, to;
    const marq_link *link; /* NULL: none */
    marq_used *used;
} joint;

/* Does going from `cell` over `link` by `u` arrive at a cheapest cell of
 * `after`?  Sets j->to to the first such; with `marks` counts them all. */
static bool meets(const marq_reach *reach, const marq_front *in,
                  const marq_front *out, const marq_stage *stage,
                  const marq_marks *after, uint32_t repeat, joint *j) {
    const marq_used *u = j->used;
    unsigned arrives = u->arrives;
    if (after->facing[arrives][u->to] == 0) {
        return false;
    }
    uint32_t price = in->base +
                     in->cost[j->from.arrival][j->from.body][j->from.facing] +
                     u->price +
                     (j->link ? link_price(reach, j->link, repeat) : 0);
    aim aims[8];
    size_t count = list_aims(reach, stage, u, false, j->from.facing, aims);
    for (size_t i = 0; i < count; i++) {
        unsigned f = aims[i].facing;
        if (((after->facing[arrives][u->to] >> f) & 1u) &&
            is_live(out, arrives, u->to) &&
            out->base + out->cost[arrives][u->to][f] ==
                price + aims[i].price) {
            j->to.arrival = (uint8_t)arrives;
            j->to.body = u->to;
            j->to.facing = (marq_facing)f;
            return true;
        }
    }
    return false;
}

/* The moves of `used` [first, end) that start at a body; they are grouped by
 * variant, so this looks at all. */
static void back_once(marq_reach *reach, const marq_front *in,
                      const marq_front *out, const marq_stage *stage,
                      uint32_t repeat, const marq_marks *after,
                      marq_used *used, size_t count, marq_marks *before) {
    for (size_t i = 0; i < count; i++) {
        marq_used *u = &used[i];
        if (after->facing[u->arrives][u->to] == 0) {
            continue;
        }
        for (unsigned k = 0; k < MARQ_ARRIVALS; k++) {
            for (uint64_t set = in->live[k]; set;) {
                marq_body b = (marq_body)next_body(&set);
                unsigned end = reach->links.index[b + 1];
                for (unsigned l = reach->links.index[b]; l <= end; l++) {
                    joint j = {.used = u};
                    j.link = l < end ? &reach->links.at[l] : NULL;
                    if ((j.link ? j.link->to : b) != u->from ||
                        (j.link && !link_allowed(u->gate, k, j.link))) {
                        continue;
                    }
                    j.from.arrival = (uint8_t)k;
                    j.from.body = b;
                    for (unsigned f = 0; f < 8; f++) {
                        j.from.facing = (marq_facing)f;
                        if (in->cost[k][b][f] != MARQ_OUT_OF_REACH &&
                            meets(reach, in, out, stage, after, repeat, &j)) {
                            before->facing[k][b] |= (uint8_t)(1u << f);
                            u->marked = true;
                        }
                    }
                }
            }
        }
    }
}

/* Stands have one pseudo move a body and arrival. */
static marq_status list_stand_moves(const marq_stage *stage,
                                    marq_array *used) {
    for (unsigned b = 0; b < MARQ_BODIES; b++) {
        for (unsigned k = 0; k < MARQ_ARRIVALS; k++) {
            marq_used u;
            if (!stand_move(stage, (marq_body)b, k, false, &u)) {
                continue;
            }
            marq_used *added = marq_array_add(used);
            if (added == NULL) {
                return MARQ_MEMORY;
            }
            *added = u;
        }
    }
    return MARQ_OK;
}

/* A stand keeps the way of arriving unless a link came before it. */
static bool stand_keeps(const marq_used *u, const joint *j) {
    return u->arrives ==
           (j->link ? (unsigned)MARQ_STILL : j->from.arrival);
}

static bool find_joint(marq_reach *reach, const marq_front *in,
                       const marq_front *out, const marq_stage *stage,
                       uint32_t repeat, const marq_marks *after,
                       marq_used *used, size_t count, marq_cell at,
                       joint *found) {
    unsigned end = reach->links.index[at.body + 1];
    for (size_t i = 0; i < count; i++) {
        marq_used *u = &used[i];
        for (unsigned l = end + 1; l-- > reach->links.index[at.body];) {
            /* no link is tried before any link */
            joint j = {.from = at, .used = u};
            j.link = l < end ? &reach->links.at[l] : NULL;
            if ((j.link ? j.link->to : at.body) != u->from ||
                (j.link && !link_allowed(u->gate, at.arrival, j.link))) {
                continue;
            }
            if (stage->kind == MARQ_STAGE_STAND && !stand_keeps(u, &j)) {
                continue;
            }
            if (meets(reach, in, out, stage, after, repeat, &j)) {
                *found = j;
                return true;
            }
        }
    }
    return false;
}

static void stand_back(marq_reach *reach, const marq_front *in,
                       const marq_front *out, const marq_stage *stage,
                       const marq_marks *after, marq_used *used, size_t count,
                       marq_marks *before) {
    for (unsigned k = 0; k < MARQ_ARRIVALS; k++) {
        for (uint64_t set = in->live[k]; set;) {
            unsigned b = next_body(&set);
            for (unsigned f = 0; f < 8; f++) {
                marq_cell at = {(uint8_t)k, (marq_body)b, (marq_facing)f};
                joint j;
                if (in->cost[k][b][f] != MARQ_OUT_OF_REACH &&
                    find_joint(reach, in, out, stage, 0, after, used, count,
                               at, &j)) {
                    before->facing[k][b] |= (uint8_t)(1u << f);
                }
            }
        }
    }
}

/* Cells where the run of one variant is as cheap as the cheapest of all. */
static bool cheapest_share(const marq_front *all, const marq_front *one,
                           const marq_marks *after, marq_marks *share) {
    bool any = false;
    memset(share, 0, sizeof *share);
    for (unsigned k = 0; k < MARQ_ARRIVALS; k++) {
        for (uint64_t set = one->live[k]; set;) {
            unsigned b = next_body(&set);
            for (unsigned f = 0; f < 8; f++) {
                if (((after->facing[k][b] >> f) & 1u) &&
                    one->cost[k][b][f] != MARQ_OUT_OF_REACH &&
                    one->base + one->cost[k][b][f] ==
                        all->base + all->cost[k][b][f]) {
                    share->facing[k][b] |= (uint8_t)(1u << f);
                    any = true;
                }
            }
        }
    }
    return any;
}

/* A repeated step's runs, one variant at a time, kept for going back. */
typedef struct run {
    marq_front *fronts; /* times + 1 */
    marq_marks *marks;  /* times + 1 */
    size_t *used_from;  /* times + 1 */
    marq_array used;
} run;

static marq_status make_run(marq_reach *reach, const marq_front *in,
                            const marq_stage *stage, uint16_t variant,
                            run *out) {
    size_t n = (size_t)stage->demand.times + 1;
    out->fronts = marq_arena_alloc(reach->arena, n, sizeof *out->fronts);
    out->marks = marq_arena_alloc(reach->arena, n, sizeof *out->marks);
    out->used_from = marq_arena_alloc(reach->arena, n, sizeof(size_t));
    marq_array_init(&out->used, reach->arena, sizeof(marq_used));
    if (!out->fronts || !out->marks || !out->used_from) {
        return MARQ_MEMORY;
    }
    out->fronts[0] = *in;
    return repeat_variant(reach, stage, false, variant, out->fronts,
                          &out->used, out->used_from);
}

/* Marks a run back from `share`; marks[0] says which cells of `in` begin it. */
static void mark_run(marq_reach *reach, const marq_stage *stage, run *r,
                     const marq_marks *share) {
    uint32_t n = stage->demand.times;
    r->marks[n] = *share;
    for (uint32_t i = n; i-- > 0;) {
        memset(&r->marks[i], 0, sizeof r->marks[i]);
        back_once(reach, &r->fronts[i], &r->fronts[i + 1], stage, i,
                  &r->marks[i + 1],
                  MARQ_AT(&r->used, marq_used, r->used_from[i]),
                  r->used_from[i + 1] - r->used_from[i], &r->marks[i]);
    }
}

marq_status marq_reach_back(marq_reach *reach, const marq_front *in,
                            const marq_front *out, const marq_stage *stage,
                            const marq_marks *after, marq_marks *before,
                            marq_array *used) {
    memset(before, 0, sizeof *before);
    if (stage->kind == MARQ_STAGE_STAND) {
        used->count = 0;
        marq_status status = list_stand_moves(stage, used);
        if (status == MARQ_OK) {
            stand_back(reach, in, out, stage, after, used->at, used->count,
                       before);
        }
        return status;
    }
    if (stage->demand.times == 1) {
        back_once(reach, in, out, stage, 0, after, used->at, used->count,
                  before);
        return MARQ_OK;
    }
    used->count = 0;
    for (size_t i = 0; i < stage->demand.variant_count; i++) {
        run r;
        marq_marks share;
        marq_status status =
            make_run(reach, in, stage, stage->demand.variants[i], &r);
        if (status != MARQ_OK) {
            return status;
        }
        if (!cheapest_share(out, &r.fronts[stage->demand.times], after,
                            &share)) {
            continue;
        }
        mark_run(reach, stage, &r, &share);
        for (unsigned k = 0; k < MARQ_ARRIVALS; k++) {
            for (unsigned b = 0; b < MARQ_BODIES; b++) {
                before->facing[k][b] |= r.marks[0].facing[k][b];
            }
        }
        for (size_t u = 0; u < r.used.count; u++) {
            const marq_used *from = MARQ_AT(&r.used, marq_used, u);
            if (from->marked) {
                marq_used *added = marq_array_add(used);
                if (added == NULL) {
                    return MARQ_MEMORY;
                }
                *added = *from;
            }
        }
    }
    return MARQ_OK;
}

/* ---- one witness ------------------------------------------------------------------ */

static marq_status path_once(marq_reach *reach, const marq_front *in,
                             const marq_front *out, const marq_stage *stage,
                             uint32_t repeat, const marq_marks *after,
                             marq_used *used, size_t count, marq_cell *at,
                             marq_array *path) {
    joint j;
    if (MARQ_NEVER(!find_joint(reach, in, out, stage, repeat, after, used,
                               count, *at, &j))) {
        return MARQ_DEFECT;
    }
    marq_danced *danced = marq_array_add(path);
    if (danced == NULL) {
        return MARQ_MEMORY;
    }
    danced->from = *at;
    danced->to = j.to;
    danced->linked = j.link != NULL;
    if (j.link != NULL) {
        danced->link = *j.link;
    }
    danced->variant = j.used->variant;
    danced->move = j.used->move;
    danced->repeat = repeat;
    danced->turn = j.used->turn;
    *at = j.to;
    return MARQ_OK;
}

marq_status marq_reach_path(marq_reach *reach, const marq_front *in,
                            const marq_front *out, const marq_stage *stage,
                            const marq_marks *after, const marq_array *used,
                            marq_cell *at, marq_array *path) {
    marq_array stands;
    marq_status status = MARQ_OK;
    if (stage->kind == MARQ_STAGE_STAND) {
        marq_array_init(&stands, reach->arena, sizeof(marq_used));
        status = list_stand_moves(stage, &stands);
        used = &stands;
    } else if (stage->demand.times > 1) {
        for (size_t i = 0; i < stage->demand.variant_count; i++) {
            run r;
            marq_marks share;
            status = make_run(reach, in, stage, stage->demand.variants[i],
                              &r);
            if (status != MARQ_OK) {
                return status;
            }
            if (!cheapest_share(out, &r.fronts[stage->demand.times], after,
                                &share)) {
                continue;
            }
            mark_run(reach, stage, &r, &share);
            if (!((r.marks[0].facing[at->arrival][at->body] >> at->facing) &
                  1u)) {
                continue;
            }
            for (uint32_t t = 0; t < stage->demand.times; t++) {
                status = path_once(
                    reach, &r.fronts[t], &r.fronts[t + 1], stage, t,
                    &r.marks[t + 1],
                    MARQ_AT(&r.used, marq_used, r.used_from[t]),
                    r.used_from[t + 1] - r.used_from[t], at, path);
                if (status != MARQ_OK) {
                    return status;
                }
            }
            return MARQ_OK;
        }
        return MARQ_DEFECT;
    }
    if (status != MARQ_OK) {
        return status;
    }
    return path_once(reach, in, out, stage, 0, after, used->at, used->count,
                     at, path);
}

/* ---- spreading -------------------------------------------------------------------- */

/* All cells of `after` that one joint's moves reach from one cell. */
static void spread_joint(const marq_reach *reach, const marq_front *in,
                         const marq_front *out, const marq_stage *stage,
                         uint32_t repeat, const marq_marks *after,
                         const joint *j, marq_marks *to) {
    const marq_used *u = j->used;
    uint32_t price = in->base +
                     in->cost[j->from.arrival][j->from.body][j->from.facing] +
                     u->price +
                     (j->link ? link_price(reach, j->link, repeat) : 0);
    aim aims[8];
    size_t count = list_aims(reach, stage, u, false, j->from.facing, aims);
    for (size_t i = 0; i < count; i++) {
        unsigned f = aims[i].facing;
        if (((after->facing[u->arrives][u->to] >> f) & 1u) &&
            out->base + out->cost[u->arrives][u->to][f] ==
                price + aims[i].price) {
            to->facing[u->arrives][u->to] |= (uint8_t)(1u << f);
        }
    }
}

static void spread_once(const marq_reach *reach, const marq_front *in,
                        const marq_front *out, const marq_stage *stage,
                        uint32_t repeat, const marq_marks *after,
                        marq_used *used, size_t count,
                        const marq_marks *from, marq_marks *to) {
    memset(to, 0, sizeof *to);
    for (size_t i = 0; i < count; i++) {
        marq_used *u = &used[i];
        if (after->facing[u->arrives][u->to] == 0) {
            continue;
        }
        for (unsigned k = 0; k < MARQ_ARRIVALS; k++) {
            for (uint64_t set = in->live[k]; set;) {
                marq_body b = (marq_body)next_body(&set);
                unsigned end = reach->links.index[b + 1];
                for (unsigned l = reach->links.index[b];
                     from->facing[k][b] && l <= end; l++) {
                    joint j = {.used = u};
                    j.link = l < end ? &reach->links.at[l] : NULL;
                    if ((j.link ? j.link->to : b) != u->from ||
                        (j.link && !link_allowed(u->gate, k, j.link)) ||
                        (stage->kind == MARQ_STAGE_STAND &&
                         u->arrives !=
                             (j.link ? (unsigned)MARQ_STILL : k))) {
                        continue;
                    }
                    j.from.arrival = (uint8_t)k;
                    j.from.body = b;
                    for (unsigned f = 0; f < 8; f++) {
                        j.from.facing = (marq_facing)f;
                        if ((from->facing[k][b] >> f) & 1u) {
                            spread_joint(reach, in, out, stage, repeat,
                                         after, &j, to);
                        }
                    }
                }
            }
        }
    }
}

marq_status marq_reach_spread(marq_reach *reach, const marq_front *in,
                              const marq_front *out, const marq_stage *stage,
                              const marq_marks *after, const marq_array *used,
                              const marq_marks *from, marq_marks *to) {
    if (stage->kind == MARQ_STAGE_STAND) {
        marq_array stands;
        marq_array_init(&stands, reach->arena, sizeof(marq_used));
        marq_status status = list_stand_moves(stage, &stands);
        if (status == MARQ_OK) {
            spread_once(reach, in, out, stage, 0, after, stands.at,
                        stands.count, from, to);
        }
        return status;
    }
    if (stage->demand.times == 1) {
        spread_once(reach, in, out, stage, 0, after, used->at, used->count,
                    from, to);
        return MARQ_OK;
    }
    memset(to, 0, sizeof *to);
    for (size_t i = 0; i < stage->demand.variant_count; i++) {
        run r;
        marq_marks share, now = *from, next;
        marq_status status =
            make_run(reach, in, stage, stage->demand.variants[i], &r);
        if (status != MARQ_OK) {
            return status;
        }
        if (!cheapest_share(out, &r.fronts[stage->demand.times], after,
                            &share)) {
            continue;
        }
        mark_run(reach, stage, &r, &share);
        for (uint32_t t = 0; t < stage->demand.times; t++) {
            spread_once(reach, &r.fronts[t], &r.fronts[t + 1], stage, t,
                        &r.marks[t + 1],
                        MARQ_AT(&r.used, marq_used, r.used_from[t]),
                        r.used_from[t + 1] - r.used_from[t], &now, &next);
            now = next;
        }
        for (unsigned k = 0; k < MARQ_ARRIVALS; k++) {
            for (unsigned b = 0; b < MARQ_BODIES; b++) {
                to->facing[k][b] |= now.facing[k][b];
            }
        }
    }
    return MARQ_OK;
}
