#include "reach_parts.h"

/* ---- ways into a move ---- */

/* One way to the body a move starts from: directly, or over a link. */
typedef struct way_in {
    uint8_t arrival;
    marq_body body;
    const marq_link *link; /* NULL: none */
} way_in;

#define WAYS_IN_MOST (3 * 48)

/* A stand keeps the way of arriving unless a link came before it. */
static bool keeps_arrival(const marq_stage *stage, const marq_used *u,
                          unsigned arrival, const marq_link *link)
{
    return stage->kind != MARQ_STAGE_STAND ||
           u->arrives == (link != NULL ? (unsigned)MARQ_STILL : arrival);
}

static size_t list_ways(const marq_reach *reach, const marq_front *in,
                        const marq_stage *stage, const marq_used *u,
                        way_in ways[WAYS_IN_MOST])
{
    const marq_links *links = &reach->links;
    size_t count = 0;
    for (unsigned k = 0; k < MARQ_ARRIVALS; k++) {
        if (marq_front_live(in, k, u->from) &&
            keeps_arrival(stage, u, k, NULL)) {
            ways[count++] = (way_in){(uint8_t)k, u->from, NULL};
        }
    }
    for (unsigned i = links->into_index[u->from];
         i < links->into_index[u->from + 1]; i++) {
        const marq_link *link = &links->at[links->into[i]];
        for (unsigned k = 0; k < MARQ_ARRIVALS; k++) {
            if (marq_front_live(in, k, link->from) &&
                marq_gap_allows(u->gate, k, link) &&
                keeps_arrival(stage, u, k, link)) {
                ways[count++] = (way_in){(uint8_t)k, link->from, link};
            }
        }
    }
    return count;
}

/* What a gap and a step look like from behind. */
typedef struct hindsight {
    const marq_reach *reach;
    const marq_front *in, *out;
    const marq_stage *stage;
    const marq_marks *after; /* cells of `out` that count */
    uint32_t repeat;
} hindsight;

/* Facings of cells of `after` that `u` reaches at the cheapest price when it
 * is come to by `way` facing `f`, as a mask. */
static unsigned list_targets(const hindsight *h, const marq_used *u,
                             const way_in *way, unsigned f)
{
    uint8_t cost = h->in->cost[way->arrival][way->body][f];
    unsigned after = h->after->facing[u->arrives][u->to];
    if (cost == MARQ_OUT_OF_REACH || after == 0) {
        return 0;
    }
    uint32_t price = h->in->base + cost + u->price;
    if (way->link != NULL) {
        price += h->reach->data->prices[way->link->price];
    }
    const uint8_t *to = h->out->cost[u->arrives][u->to];
    if (marq_reach_plain(h->reach, h->stage, u)) {
        marq_facing t = marq_reach_carry(h->reach, u, f);
        bool meets = ((after >> t) & 1u) && h->out->base + to[t] == price;
        return meets ? 1u << t : 0;
    }
    marq_aim aims[8];
    unsigned mask = 0;
    size_t count = marq_reach_aims(h->reach, h->stage, u, false, f, aims);
    for (size_t i = 0; i < count; i++) {
        unsigned t = aims[i].facing;
        if (((after >> t) & 1u) &&
            h->out->base + to[t] == price + aims[i].price) {
            mask |= 1u << t;
        }
    }
    return mask;
}

/* Facings from which the cheapest readings come by `way` over `u`. */
static unsigned list_origins(const hindsight *h, const marq_used *u,
                             const way_in *way)
{
    const uint8_t *from = h->in->cost[way->arrival][way->body];
    unsigned mask = 0;
    if (!marq_reach_plain(h->reach, h->stage, u)) {
        for (unsigned f = 0; f < 8; f++) {
            mask |= list_targets(h, u, way, f) != 0 ? 1u << f : 0;
        }
        return mask;
    }
    const uint8_t *to = h->out->cost[u->arrives][u->to];
    unsigned after = h->after->facing[u->arrives][u->to];
    uint32_t price = h->in->base + u->price;
    if (way->link != NULL) {
        price += h->reach->data->prices[way->link->price];
    }
    for (unsigned f = 0; f < 8; f++) {
        unsigned t = marq_reach_carry(h->reach, u, f);
        if (((after >> t) & 1u) && from[f] != MARQ_OUT_OF_REACH &&
            price + from[f] == h->out->base + to[t]) {
            mask |= 1u << f;
        }
    }
    return mask;
}

/* ---- back along the cheapest readings ---- */

static void back_once(const hindsight *h, marq_used *used, size_t count,
                      marq_marks *before)
{
    for (size_t i = 0; i < count; i++) {
        marq_used *u = &used[i];
        if (h->after->facing[u->arrives][u->to] == 0) {
            continue;
        }
        way_in ways[WAYS_IN_MOST];
        size_t way_count = list_ways(h->reach, h->in, h->stage, u, ways);
        for (size_t w = 0; w < way_count; w++) {
            unsigned origins = list_origins(h, u, &ways[w]);
            before->facing[ways[w].arrival][ways[w].body] |= (uint8_t)origins;
            u->marked |= origins != 0;
        }
    }
}

/* Stands have one pseudo move a body and arrival. */
static marq_status list_stand_moves(const marq_stage *stage, marq_array *used)
{
    for (unsigned b = 0; b < MARQ_BODIES; b++) {
        for (unsigned k = 0; k < MARQ_ARRIVALS; k++) {
            marq_used u;
            if (!marq_reach_stand(stage, (marq_body)b, k, false, &u)) {
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

/* Cells where the run of one variant is as cheap as the cheapest of all. */
static bool cheapest_share(const marq_front *all, const marq_front *one,
                           const marq_marks *after, marq_marks *share)
{
    bool any = false;
    memset(share, 0, sizeof *share);
    for (unsigned k = 0; k < MARQ_ARRIVALS; k++) {
        for (uint64_t set = one->live[k]; set;) {
            unsigned b = marq_front_next(&set);
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

/* A repeated step's run by one variant, for going back.  It is large and soon
 * done with, so it has an arena of its own, used again for each variant. */
typedef struct run {
    marq_arena arena;
    marq_front *fronts; /* times + 1 */
    marq_marks *marks;  /* times + 1 */
    size_t *used_from;  /* times + 1 */
    marq_array used;
} run;

static marq_status make_run(marq_reach *reach, const marq_front *in,
                            const marq_stage *stage, uint16_t variant, run *out)
{
    size_t n = (size_t)stage->demand.times + 1;
    marq_arena_reset(&out->arena);
    out->fronts = marq_arena_alloc(&out->arena, n, sizeof *out->fronts);
    out->marks = marq_arena_alloc(&out->arena, n, sizeof *out->marks);
    out->used_from = marq_arena_alloc(&out->arena, n, sizeof(size_t));
    marq_array_init(&out->used, &out->arena, sizeof(marq_used));
    if (!out->fronts || !out->marks || !out->used_from) {
        return MARQ_MEMORY;
    }
    out->fronts[0] = *in;
    return marq_reach_repeat(reach, stage, false, variant, out->fronts,
                             &out->used, out->used_from);
}

/* Time `i` of a run, seen from behind. */
static hindsight run_time(const marq_reach *reach, const marq_stage *stage,
                          const run *r, uint32_t i)
{
    return (hindsight){reach, &r->fronts[i],    &r->fronts[i + 1],
                       stage, &r->marks[i + 1], i};
}

/* Marks a run back from `share`; marks[0] says which cells of `in` begin it. */
static void mark_run(marq_reach *reach, const marq_stage *stage, run *r,
                     const marq_marks *share)
{
    uint32_t n = stage->demand.times;
    r->marks[n] = *share;
    for (uint32_t i = n; i-- > 0;) {
        memset(&r->marks[i], 0, sizeof r->marks[i]);
        hindsight h = run_time(reach, stage, r, i);
        back_once(&h, MARQ_AT(&r->used, marq_used, r->used_from[i]),
                  r->used_from[i + 1] - r->used_from[i], &r->marks[i]);
    }
}

static void add_marks(marq_marks *to, const marq_marks *from)
{
    for (unsigned k = 0; k < MARQ_ARRIVALS; k++) {
        for (unsigned b = 0; b < MARQ_BODIES; b++) {
            to->facing[k][b] |= from->facing[k][b];
        }
    }
}

/* The run of one variant, marked back from the cells of `after` that it
 * reaches as cheaply as any; *cheapest tells whether there are such. */
static marq_status marked_run(marq_reach *reach, const hindsight *h,
                              uint16_t variant, run *r, bool *cheapest)
{
    marq_marks share;
    marq_status status = make_run(reach, h->in, h->stage, variant, r);
    *cheapest = status == MARQ_OK &&
                cheapest_share(h->out, &r->fronts[h->stage->demand.times],
                               h->after, &share);
    if (*cheapest) {
        mark_run(reach, h->stage, r, &share);
    }
    return status;
}

/* Adds where the run begins to `before`, and the moves of its last time that
 * lie on cheapest readings to `used`: of a repeat they stand for all. */
static marq_status keep_run(const hindsight *h, const run *r,
                            marq_marks *before, marq_array *used)
{
    add_marks(before, &r->marks[0]);
    for (size_t u = r->used_from[h->stage->demand.times - 1]; u < r->used.count;
         u++) {
        const marq_used *from = MARQ_AT(&r->used, marq_used, u);
        marq_used *added = from->marked ? marq_array_add(used) : NULL;
        if (added != NULL) {
            *added = *from;
        } else if (from->marked) {
            return MARQ_MEMORY;
        }
    }
    return MARQ_OK;
}

marq_status marq_reach_back(marq_reach *reach, const marq_front *in,
                            const marq_front *out, const marq_stage *stage,
                            const marq_marks *after, marq_marks *before,
                            marq_array *used)
{
    hindsight h = {reach, in, out, stage, after, 0};
    memset(before, 0, sizeof *before);
    if (stage->kind == MARQ_STAGE_STAND) {
        used->count = 0;
        marq_status status = list_stand_moves(stage, used);
        if (status == MARQ_OK) {
            back_once(&h, used->at, used->count, before);
        }
        return status;
    }
    if (stage->demand.times == 1) {
        back_once(&h, used->at, used->count, before);
        return MARQ_OK;
    }
    run r;
    marq_status status = MARQ_OK;
    used->count = 0;
    marq_arena_init(&r.arena, reach->arena->mem);
    for (size_t i = 0; i < stage->demand.variant_count && status == MARQ_OK;
         i++) {
        bool cheapest;
        status =
            marked_run(reach, &h, stage->demand.variants[i], &r, &cheapest);
        if (cheapest) {
            status = keep_run(&h, &r, before, used);
        }
    }
    marq_arena_free(&r.arena);
    return status;
}

/* ---- one witness ---- */

/* The first used move, without a link before with one, that goes on from
 * `at`. */
static bool find_next(const hindsight *h, const marq_used *used, size_t count,
                      marq_cell at, marq_danced *danced)
{
    const marq_links *links = &h->reach->links;
    for (size_t i = 0; i < count; i++) {
        const marq_used *u = &used[i];
        if (h->after->facing[u->arrives][u->to] == 0) {
            continue;
        }
        unsigned end = links->index[at.body + 1];
        for (unsigned l = end + 1; l-- > links->index[at.body];) {
            const marq_link *link = l < end ? &links->at[l] : NULL;
            way_in way = {at.arrival, at.body, link};
            if ((link ? link->to : at.body) != u->from ||
                (link && !marq_gap_allows(u->gate, at.arrival, link)) ||
                !keeps_arrival(h->stage, u, at.arrival, link)) {
                continue;
            }
            unsigned targets = list_targets(h, u, &way, at.facing);
            if (targets == 0) {
                continue;
            }
            unsigned f = 0;
            while (!((targets >> f) & 1u)) {
                f++;
            }
            danced->from = at;
            danced->to = (marq_cell){u->arrives, u->to, (marq_facing)f};
            danced->linked = link != NULL;
            if (link != NULL) {
                danced->link = *link;
            }
            danced->variant = u->variant;
            danced->move = u->move;
            danced->repeat = h->repeat;
            danced->turn = u->turn;
            return true;
        }
    }
    return false;
}

static marq_status path_once(const hindsight *h, const marq_used *used,
                             size_t count, marq_cell *at, marq_array *path)
{
    marq_danced *danced = marq_array_add(path);
    if (danced == NULL) {
        return MARQ_MEMORY;
    }
    if (MARQ_NEVER(!find_next(h, used, count, *at, danced))) {
        return MARQ_DEFECT;
    }
    *at = danced->to;
    return MARQ_OK;
}

/* Walks a marked run from `at`. */
static marq_status path_run(const marq_reach *reach, const marq_stage *stage,
                            const run *r, marq_cell *at, marq_array *path)
{
    for (uint32_t i = 0; i < stage->demand.times; i++) {
        hindsight h = run_time(reach, stage, r, i);
        marq_status status =
            path_once(&h, MARQ_AT(&r->used, marq_used, r->used_from[i]),
                      r->used_from[i + 1] - r->used_from[i], at, path);
        if (status != MARQ_OK) {
            return status;
        }
    }
    return MARQ_OK;
}

marq_status marq_reach_path(marq_reach *reach, const marq_front *in,
                            const marq_front *out, const marq_stage *stage,
                            const marq_marks *after, const marq_array *used,
                            marq_cell *at, marq_array *path)
{
    hindsight h = {reach, in, out, stage, after, 0};
    marq_array stands;
    if (stage->kind == MARQ_STAGE_STAND) {
        marq_array_init(&stands, reach->arena, sizeof(marq_used));
        marq_status status = list_stand_moves(stage, &stands);
        return status == MARQ_OK
                   ? path_once(&h, stands.at, stands.count, at, path)
                   : status;
    }
    if (stage->demand.times == 1) {
        return path_once(&h, used->at, used->count, at, path);
    }
    run r;
    bool done = false;
    marq_status status = MARQ_OK;
    marq_arena_init(&r.arena, reach->arena->mem);
    for (size_t i = 0;
         i < stage->demand.variant_count && status == MARQ_OK && !done; i++) {
        bool cheapest;
        status =
            marked_run(reach, &h, stage->demand.variants[i], &r, &cheapest);
        if (cheapest &&
            ((unsigned)r.marks[0].facing[at->arrival][at->body] >> at->facing) &
                1u) {
            status = path_run(reach, stage, &r, at, path);
            done = true;
        }
    }
    marq_arena_free(&r.arena);
    return status == MARQ_OK && MARQ_NEVER(!done) ? MARQ_DEFECT : status;
}

/* ---- spreading ---- */

static void spread_once(const hindsight *h, const marq_used *used, size_t count,
                        const marq_marks *from, marq_marks *to)
{
    memset(to, 0, sizeof *to);
    for (size_t i = 0; i < count; i++) {
        const marq_used *u = &used[i];
        way_in ways[WAYS_IN_MOST];
        if (h->after->facing[u->arrives][u->to] == 0) {
            continue;
        }
        size_t way_count = list_ways(h->reach, h->in, h->stage, u, ways);
        for (size_t w = 0; w < way_count; w++) {
            unsigned now = from->facing[ways[w].arrival][ways[w].body];
            for (unsigned f = 0; f < 8; f++) {
                if ((now >> f) & 1u) {
                    to->facing[u->arrives][u->to] |=
                        (uint8_t)list_targets(h, u, &ways[w], f);
                }
            }
        }
    }
}

marq_status marq_reach_spread(marq_reach *reach, const marq_front *in,
                              const marq_front *out, const marq_stage *stage,
                              const marq_marks *after, const marq_array *used,
                              const marq_marks *from, marq_marks *to)
{
    hindsight h = {reach, in, out, stage, after, 0};
    memset(to, 0, sizeof *to);
    if (stage->kind == MARQ_STAGE_STAND) {
        marq_array stands;
        marq_array_init(&stands, reach->arena, sizeof(marq_used));
        marq_status status = list_stand_moves(stage, &stands);
        if (status == MARQ_OK) {
            spread_once(&h, stands.at, stands.count, from, to);
        }
        return status;
    }
    if (stage->demand.times == 1) {
        spread_once(&h, used->at, used->count, from, to);
        return MARQ_OK;
    }
    run r;
    marq_status status = MARQ_OK;
    marq_arena_init(&r.arena, reach->arena->mem);
    for (size_t i = 0; i < stage->demand.variant_count && status == MARQ_OK;
         i++) {
        bool cheapest;
        marq_marks now = *from, next;
        status =
            marked_run(reach, &h, stage->demand.variants[i], &r, &cheapest);
        for (uint32_t t = 0; cheapest && t < stage->demand.times; t++) {
            hindsight time = run_time(reach, stage, &r, t);
            spread_once(&time, MARQ_AT(&r.used, marq_used, r.used_from[t]),
                        r.used_from[t + 1] - r.used_from[t], &now, &next);
            now = next;
        }
        if (cheapest) {
            add_marks(to, &now);
        }
    }
    marq_arena_free(&r.arena);
    return status;
}
