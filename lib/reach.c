#include "reach_parts.h"

void marq_reach_init(marq_reach *reach, const marq_vocab_data *data,
                     marq_arena *arena)
{
    reach->data = data;
    reach->arena = arena;
    reach->no_facing = false;
    marq_links_make(&reach->links);
}

/* ---- where a move leads, facing by facing ---- */

/* Facings in which a move that begins at `f` may end, with what each costs;
 * at most 8.  A written facing is an instruction: up to a quarter is free on
 * any step, nothing inside a hold.  With no word the body keeps its facing,
 * but for the usual change from one croise to the other. */
size_t marq_reach_aims(const marq_reach *reach, const marq_stage *stage,
                       const marq_used *u, bool ignore_facing, unsigned f,
                       marq_aim aims[8])
{
    marq_facing carried = marq_reach_carry(reach, u, f);
    bool faces =
        stage->kind == MARQ_STAGE_STEP ? stage->demand.faces : stage->faces;
    if (ignore_facing || reach->no_facing || !faces) {
        aims[0].facing = carried;
        aims[0].price = 0;
        if (!ignore_facing && !reach->no_facing && u->variant != 0xffff &&
            (carried == 1 || carried == 7) &&
            marq_alignment_of(u->from, carried) == MARQ_CROISE &&
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
    int reach_of = stage->kind == MARQ_STAGE_STEP && stage->demand.hold ? 0 : 2;
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
                      const uint8_t row[8], marq_front *out)
{
    uint8_t *to = marq_front_row(out, u->arrives, u->to);
    bool plain = ignore_facing || marq_reach_plain(reach, stage, u);
    for (unsigned f = 0; f < 8; f++) {
        if (row[f] == MARQ_OUT_OF_REACH) {
            continue;
        }
        unsigned price = row[f] + u->price;
        if (plain) {
            marq_front_lower(&to[marq_reach_carry(reach, u, f)], price);
            continue;
        }
        marq_aim aims[8];
        size_t count = marq_reach_aims(reach, stage, u, ignore_facing, f, aims);
        for (size_t i = 0; i < count; i++) {
            marq_front_lower(&to[aims[i].facing], price + aims[i].price);
        }
    }
}

/* ---- one step, once ---- */

/* Lists the moves of `stage` that start in `g`, in order of the vocabulary,
 * with the price of each: what is written costs nothing, so prices count from
 * the cheapest move that fits at the same body. */
static marq_status list_moves(marq_reach *reach, const marq_stage *stage,
                              const marq_crossing *g, uint16_t only,
                              uint32_t repeat, marq_array *used)
{
    const marq_vocab_data *data = reach->data;
    const marq_demand *d = &stage->demand;
    uint8_t least[MARQ_BODIES];
    memset(least, MARQ_OUT_OF_REACH, sizeof least);
    size_t first_used = used->count;
    for (size_t i = 0; i < d->variant_count; i++) {
        uint16_t v = d->variants[i];
        const marq_variant *variant = &data->variants[v];
        for (uint64_t set = g->any; set;) {
            marq_body from = (marq_body)marq_front_next(&set);
            const marq_move *moves;
            size_t count = marq_step_moves(data, v, from, &moves);
            for (size_t k = 0; k < count; k++) {
                if (!marq_demand_allows(d, data, v, &moves[k])) {
                    continue;
                }
                if (variant->price < least[from]) {
                    least[from] = variant->price;
                }
                if (only != MARQ_ALL_VARIANTS && v != only) {
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
                u->gate =
                    (uint8_t)marq_gap_gate(variant, &moves[k], d->named_fourth);
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

marq_status marq_reach_once(marq_reach *reach, const marq_front *in,
                            const marq_stage *stage, bool ignore_facing,
                            uint16_t only, uint32_t repeat, marq_front *out,
                            marq_array *used)
{
    marq_crossing g;
    marq_gap_open(&g, in, &reach->links, reach->data->prices);
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
            reached = marq_gap_row(&g, row_gate, row_body, row);
        }
        if (reached) {
            land_move(reach, stage, u, ignore_facing, row, out);
        }
    }
    marq_front_drop(out);
    marq_front_settle(out);
    return MARQ_OK;
}

/* ---- a stand: a filter ---- */

/* The one pseudo move of a stand at a body: it stays. */
bool marq_reach_stand(const marq_stage *stage, marq_body b, unsigned arrival,
                      bool linked, marq_used *u)
{
    if (stage->has_bodies && !stage->bodies[b]) {
        return false;
    }
    *u = (marq_used){0};
    u->variant = 0xffff;
    u->gate = (uint8_t)(MARQ_STILL | (stage->quiet_only ? MARQ_GATE_QUIET : 0));
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
                          marq_front *out)
{
    marq_front_clear(out);
    out->base = in->base;
    for (unsigned k = 0; k < MARQ_ARRIVALS; k++) {
        for (uint64_t set = in->live[k]; set;) {
            marq_body b = (marq_body)marq_front_next(&set);
            unsigned first = reach->links.index[b];
            unsigned end = reach->links.index[b + 1];
            for (unsigned i = first; i <= end; i++) {
                const marq_link *link = i < end ? &reach->links.at[i] : NULL;
                marq_used u;
                if (!marq_reach_stand(stage, link ? link->to : b, k,
                                      link != NULL, &u) ||
                    (link && !marq_gap_allows(u.gate, k, link))) {
                    continue;
                }
                unsigned price = link ? reach->data->prices[link->price] : 0;
                uint8_t *to = marq_front_row(out, u.arrives, u.to);
                for (unsigned f = 0; f < 8; f++) {
                    marq_aim aims[8];
                    if (in->cost[k][b][f] == MARQ_OUT_OF_REACH) {
                        continue;
                    }
                    size_t count = marq_reach_aims(reach, stage, &u,
                                                   ignore_facing, f, aims);
                    for (size_t a = 0; a < count; a++) {
                        marq_front_lower(&to[aims[a].facing],
                                         in->cost[k][b][f] + price +
                                             aims[a].price);
                    }
                }
            }
        }
    }
    marq_front_drop(out);
    marq_front_settle(out);
}

/* ---- a whole stage forward ---- */

/* Fronts of every time of a step danced `times` by one variant; the caller's
 * array holds times + 1, the first of which is `in`. */
marq_status marq_reach_repeat(marq_reach *reach, const marq_stage *stage,
                              bool ignore_facing, uint16_t variant,
                              marq_front *fronts, marq_array *used,
                              size_t *used_from)
{
    for (uint32_t r = 0; r < stage->demand.times; r++) {
        if (used_from != NULL) {
            used_from[r] = used->count;
        } else {
            used->count = 0;
        }
        marq_status status =
            marq_reach_once(reach, &fronts[r], stage, ignore_facing, variant, r,
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
                               marq_front *out, marq_array *used)
{
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
        return marq_reach_once(reach, in, stage, ignore_facing,
                               MARQ_ALL_VARIANTS, 0, out, used);
    }
    /* one variant each time, charged once: each is followed by itself */
    marq_array_init(&scratch, reach->arena, sizeof(marq_used));
    marq_front_clear(out);
    for (size_t i = 0; i < d->variant_count; i++) {
        marq_front a = *in, b;
        for (uint32_t r = 0; r < d->times && !marq_front_empty(&a); r++) {
            scratch.count = 0;
            marq_status status =
                marq_reach_once(reach, &a, stage, ignore_facing, d->variants[i],
                                r, &b, &scratch);
            if (status != MARQ_OK) {
                return status;
            }
            a = b;
        }
        marq_front_merge(out, &a);
    }
    marq_front_settle(out);
    return MARQ_OK;
}
