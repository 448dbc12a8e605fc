#include "step.h"

/* ---- one variant at one body ---- */

/* The feet that may be the working foot of a variant begun at `from`;
 * returns how many were put in `feet` (none: 1, MARQ_SIDE_NONE). */
static size_t list_workers(const marq_variant *v, marq_body from,
                           marq_side feet[2])
{
    marq_side front = marq_body_front(from);
    if (v->worker == MARQ_WORKS_BOTH) {
        feet[0] = MARQ_SIDE_NONE;
        return 1;
    }
    if (!marq_body_is_two(from)) {
        marq_side standing = marq_body_standing(from);
        feet[0] = v->worker == MARQ_WORKS_STANDING ? standing
                                                   : marq_side_other(standing);
        return 1;
    }
    if (v->worker == MARQ_WORKS_STANDING) {
        return 0;
    }
    if (front != MARQ_SIDE_NONE && v->worker == MARQ_WORKS_FRONT) {
        feet[0] = front;
        return 1;
    }
    if (front != MARQ_SIDE_NONE && v->worker == MARQ_WORKS_BACK) {
        feet[0] = marq_side_other(front);
        return 1;
    }
    feet[0] = MARQ_SIDE_RIGHT; /* first, second: either may go to the front */
    feet[1] = MARQ_SIDE_LEFT;
    return 2;
}

/* Bodies where the variant may end; at most 18, returns how many. */
static size_t list_ends(const marq_variant *v, marq_body from,
                        marq_side working, marq_body ends[MARQ_FREE_BITS])
{
    if (v->end == MARQ_END_AS_BEGAN) {
        bool flat = marq_body_is_two(from) &&
                    marq_body_position(from) == MARQ_TIPS &&
                    (working != MARQ_SIDE_NONE || v->arrives == MARQ_JUMPING);
        ends[0] =
            flat ? marq_body_two(MARQ_FIFTH, marq_body_front(from)) : from;
        return 1;
    }
    if (v->end == MARQ_END_TWO) {
        marq_position position = (marq_position)v->end_position;
        if (position == MARQ_FIFTH && marq_body_is_two(from) &&
            marq_body_position(from) == MARQ_THIRD) {
            position = MARQ_THIRD;
        }
        marq_side front = marq_body_front(from);
        switch (v->end_front) {
        case MARQ_FRONT_WORKING:
            front = working;
            break;
        case MARQ_FRONT_OTHER:
            front = marq_side_other(working);
            break;
        case MARQ_FRONT_KEPT:
            break;
        case MARQ_FRONT_EXCHANGED:
            front = marq_side_other(front);
            break;
        default:
            front = MARQ_SIDE_NONE;
            break;
        }
        if (position >= MARQ_THIRD && front == MARQ_SIDE_NONE) {
            ends[0] = marq_body_two(position, MARQ_SIDE_RIGHT);
            ends[1] = marq_body_two(position, MARQ_SIDE_LEFT);
            return 2;
        }
        ends[0] = marq_body_two(position, front);
        return 1;
    }
    marq_side standing =
        v->end == MARQ_END_WORKING ? working : marq_side_other(working);
    if (standing == MARQ_SIDE_NONE) {
        return 0;
    }
    size_t count = 0;
    if (v->flags & MARQ_VARIANT_FREE_STAYS) {
        if (marq_body_is_two(from)) {
            return 0;
        }
        ends[count++] = marq_body_one(standing, marq_body_shape(from),
                                      marq_body_where(from));
        return count;
    }
    for (unsigned bit = 0; bit < MARQ_FREE_BITS; bit++) {
        if ((v->end_free >> bit) & 1u) {
            ends[count++] = marq_body_one(standing, (marq_shape)(bit / 3),
                                          (marq_where)(bit % 3));
        }
    }
    return count;
}

/* Senses of turn, as signs; returns how many (1 with sign 0: none). */
static size_t list_turns(const marq_variant *v, marq_body from,
                         marq_side working, int signs[2])
{
    marq_side toward = MARQ_SIDE_NONE;
    switch (v->turn_sense) {
    case MARQ_TURN_TO_WORKING:
        toward = working;
        break;
    case MARQ_TURN_FROM_WORKING:
        toward = marq_side_other(working);
        break;
    case MARQ_TURN_TO_BACK:
        toward = marq_side_other(marq_body_front(from));
        break;
    case MARQ_TURN_TO_FRONT:
        toward = marq_body_front(from);
        break;
    case MARQ_TURN_EITHER:
        signs[0] = 1;
        signs[1] = -1;
        return 2;
    default:
        signs[0] = 0;
        return 1;
    }
    signs[0] = toward == MARQ_SIDE_RIGHT ? 1 : -1;
    return toward == MARQ_SIDE_NONE ? 0 : 1;
}

static uint8_t travel_side(const marq_variant *v, marq_side working)
{
    switch (v->travel) {
    case MARQ_TRAVEL_TO_WORKING:
        return (uint8_t)working;
    case MARQ_TRAVEL_FROM_WORKING:
        return (uint8_t)marq_side_other(working);
    case MARQ_TRAVEL_SIDE:
    case MARQ_TRAVEL_ANY:
        return 3; /* either side */
    default:
        return 0;
    }
}

static marq_move make_move(const marq_variant *v, marq_body from, marq_body to,
                           marq_side working, int sign)
{
    marq_move m = {.from = from, .to = to};
    m.turn = (int8_t)(sign * v->turn_eighths);
    m.working = (uint8_t)working;
    m.lands = (uint8_t)marq_body_standing(to);
    if (v->lands == MARQ_END_WORKING) {
        m.lands = (uint8_t)working;
    } else if (v->lands == MARQ_END_OTHER) {
        m.lands = (uint8_t)marq_side_other(working);
    }
    if (marq_body_is_two(to)) {
        m.closing = (uint8_t)(v->flags & MARQ_VARIANT_OTHER_CLOSES
                                  ? marq_side_other(working)
                                  : working);
    }
    m.travel = travel_side(v, working);
    marq_side before = marq_body_front(from), after = marq_body_front(to);
    if (before == MARQ_SIDE_NONE || after == MARQ_SIDE_NONE) {
        m.change = 2;
    } else {
        m.change = before != after;
    }
    return m;
}

static bool may_start(const marq_variant *v, marq_body from)
{
    if (!marq_body_is_two(from)) {
        unsigned bit = (unsigned)marq_body_shape(from) * 3 +
                       (unsigned)marq_body_where(from);
        return (v->from_free >> bit) & 1u;
    }
    unsigned mask = v->from_two;
    if (mask & (1u << MARQ_FIFTH)) {
        mask |= 1u << MARQ_THIRD | 1u << MARQ_TIPS;
    }
    return (mask >> marq_body_position(from)) & 1u;
}

static bool same_move(const marq_move *a, const marq_move *b)
{
    return a->from == b->from && a->to == b->to && a->turn == b->turn &&
           a->working == b->working && a->lands == b->lands &&
           a->closing == b->closing && a->travel == b->travel;
}

/* Adds the moves of `v` from one body.  False when memory ends. */
static bool add_moves(marq_array *moves, size_t first, const marq_variant *v,
                      marq_body from)
{
    marq_side feet[2];
    size_t feet_count = may_start(v, from) ? list_workers(v, from, feet) : 0;
    for (size_t w = 0; w < feet_count; w++) {
        marq_body ends[MARQ_FREE_BITS];
        int signs[2];
        size_t end_count = list_ends(v, from, feet[w], ends);
        size_t sign_count = list_turns(v, from, feet[w], signs);
        for (size_t e = 0; e < end_count; e++) {
            for (size_t s = 0; s < sign_count; s++) {
                marq_move m = make_move(v, from, ends[e], feet[w], signs[s]);
                bool known = false;
                for (size_t i = first; i < moves->count; i++) {
                    known |= same_move(MARQ_AT(moves, marq_move, i), &m);
                }
                if (known) {
                    continue;
                }
                marq_move *added = marq_array_add(moves);
                if (added == NULL) {
                    return false;
                }
                *added = m;
            }
        }
    }
    return true;
}

/* ---- all variants ---- */

void marq_step_name(marq_build *out, const marq_vocab_data *data,
                    size_t variant)
{
    const marq_variant *v = &data->variants[variant];
    marq_build_text(out, data->strings + data->terms[v->term].name);
    const char *name = data->strings + v->name;
    if (name[0] != '\0') {
        marq_build_text(out, " ");
    }
    for (; *name != '\0'; name++) {
        if (*name != ',' && *name != '!') {
            marq_build_char(out, *name); /* as one says it, not as one lists */
        }
    }
}

static const char *name_variant(marq_arena *arena, const marq_vocab_data *data,
                                size_t variant)
{
    marq_build b;
    marq_build_init(&b, arena);
    marq_step_name(&b, data, variant);
    return marq_build_done(&b, NULL);
}

/* Compares the declared feet with the computed ones.  The declaration speaks
 * of the moves where a front foot is defined at both ends. */
static const char *wrong_feet(const marq_variant *v, const marq_move *moves,
                              size_t count)
{
    bool changes = false, stays = false;
    for (size_t i = 0; i < count; i++) {
        changes |= moves[i].change == 1;
        stays |= moves[i].change == 0;
    }
    switch (v->declared_feet) {
    case 1:
        return stays ? (changes ? "vary" : "stay") : NULL;
    case 2:
        return changes ? (stays ? "vary" : "change") : NULL;
    case 3:
        if (changes != stays) {
            return changes ? "change" : "stay";
        }
        return NULL;
    default:
        return NULL;
    }
}

marq_status marq_step_compile(marq_vocab_data *data, marq_arena *arena,
                              marq_findings *why)
{
    marq_variant *variants =
        marq_arena_alloc(arena, data->variant_count, sizeof *variants);
    uint16_t *index =
        marq_arena_alloc(arena, data->variant_count * 48, sizeof *index);
    marq_array moves;
    marq_array_init(&moves, arena, sizeof(marq_move));
    if (variants == NULL || index == NULL) {
        return MARQ_MEMORY;
    }
    size_t faults = 0;
    for (size_t i = 0; i < data->variant_count; i++) {
        marq_variant *v = &variants[i];
        *v = data->variants[i];
        size_t first = moves.count;
        for (unsigned b = 0; b < MARQ_BODIES; b++) {
            index[i * 48 + b] = (uint16_t)(moves.count - first);
            if (!add_moves(&moves, first, v, (marq_body)b)) {
                return MARQ_MEMORY;
            }
        }
        size_t count = moves.count - first;
        index[i * 48 + MARQ_BODIES] = (uint16_t)count;
        if (count > UINT16_MAX || first > UINT32_MAX) {
            return MARQ_LIMIT;
        }
        v->first_move = (uint32_t)first;
        v->move_count = (uint16_t)count;
        const char *feet =
            wrong_feet(v, (const marq_move *)moves.at + first, count);
        if (count != 0 && feet == NULL) {
            continue;
        }
        const char *name = name_variant(arena, data, i);
        if (name == NULL) {
            return MARQ_MEMORY;
        }
        marq_status status = marq_findings_add(
            why, NULL,
            count == 0 ? MARQ_DIAG_VOCAB_EMPTY : MARQ_DIAG_VOCAB_FEET, v->span,
            name, feet, NULL);
        if (status != MARQ_OK) {
            return status;
        }
        faults++;
    }
    data->variants = variants;
    data->moves = moves.at;
    data->move_count = moves.count;
    data->move_index = index;
    return faults ? MARQ_VOCABULARY : MARQ_OK;
}

/* ---- links ---- */

static void add_link(marq_links *out, size_t *count, marq_body from,
                     marq_body to, marq_link_kind kind, marq_price price)
{
    marq_link *l = &out->at[(*count)++];
    l->from = from;
    l->to = to;
    l->kind = (uint8_t)kind;
    l->price = (uint8_t)price;
    l->stood = (uint8_t)marq_body_standing(from);
}

static void add_one_foot_links(marq_links *out, size_t *count, marq_body b)
{
    marq_side standing = marq_body_standing(b);
    marq_side free_foot = marq_side_other(standing);
    marq_shape shape = marq_body_shape(b);
    marq_where where = marq_body_where(b);
    if (shape == MARQ_HIGH) {
        add_link(out, count, b, marq_body_one(standing, MARQ_LOW, where),
                 MARQ_LINK_ADJUST, MARQ_PRICE_QUIET);
    }
    if (shape != MARQ_A_TERRE) {
        add_link(out, count, b, marq_body_one(standing, MARQ_A_TERRE, where),
                 MARQ_LINK_ADJUST, MARQ_PRICE_QUIET);
    }
    if (shape != MARQ_ANKLE && where != MARQ_SIDE) {
        add_link(out, count, b, marq_body_one(standing, MARQ_ANKLE, where),
                 MARQ_LINK_ADJUST, MARQ_PRICE_QUIET);
    }
    marq_price close =
        shape == MARQ_A_TERRE ? MARQ_PRICE_QUIET : MARQ_PRICE_CLOSING;
    marq_body in_front = marq_body_two(MARQ_FIFTH, free_foot);
    marq_body behind = marq_body_two(MARQ_FIFTH, standing);
    if (where != MARQ_DEVANT) {
        add_link(out, count, b, behind, MARQ_LINK_CLOSE, close);
    }
    if (where == MARQ_DEVANT) {
        add_link(out, count, b, in_front, MARQ_LINK_CLOSE, close);
    }
    if (where == MARQ_SIDE) {
        add_link(out, count, b, in_front, MARQ_LINK_CLOSE,
                 MARQ_PRICE_CLOSE_SIDE_FRONT);
    }
    if (shape == MARQ_A_TERRE) {
        marq_body open = where == MARQ_SIDE
                             ? marq_body_two(MARQ_SECOND, MARQ_SIDE_NONE)
                             : marq_body_two(MARQ_FOURTH, marq_body_front(b));
        add_link(out, count, b, open, MARQ_LINK_SHIFT, MARQ_PRICE_QUIET);
    }
}

static void add_two_feet_links(marq_links *out, size_t *count, marq_body b)
{
    marq_side front = marq_body_front(b);
    switch (marq_body_position(b)) {
    case MARQ_SECOND:
        for (int s = MARQ_SIDE_RIGHT; s <= MARQ_SIDE_LEFT; s++) {
            add_link(out, count, b,
                     marq_body_one((marq_side)s, MARQ_A_TERRE, MARQ_SIDE),
                     MARQ_LINK_SHIFT, MARQ_PRICE_QUIET);
            add_link(out, count, b, marq_body_two(MARQ_FIFTH, (marq_side)s),
                     MARQ_LINK_GATHER, MARQ_PRICE_CLOSING);
        }
        break;
    case MARQ_FOURTH:
        add_link(out, count, b,
                 marq_body_one(front, MARQ_A_TERRE, MARQ_DERRIERE),
                 MARQ_LINK_SHIFT, MARQ_PRICE_QUIET);
        add_link(
            out, count, b,
            marq_body_one(marq_side_other(front), MARQ_A_TERRE, MARQ_DEVANT),
            MARQ_LINK_SHIFT, MARQ_PRICE_QUIET);
        add_link(out, count, b, marq_body_two(MARQ_FIFTH, front),
                 MARQ_LINK_GATHER, MARQ_PRICE_CLOSING);
        break;
    case MARQ_FIFTH:
        add_link(out, count, b, marq_body_two(MARQ_TIPS, front),
                 MARQ_LINK_ADJUST, MARQ_PRICE_QUIET);
        add_link(out, count, b, marq_body_two(MARQ_FOURTH, front),
                 MARQ_LINK_OPEN, MARQ_PRICE_OPENING);
        break;
    default:
        break;
    }
}

void marq_links_make(marq_links *out)
{
    size_t count = 0;
    for (unsigned b = 0; b < MARQ_BODIES; b++) {
        out->index[b] = (uint16_t)count;
        if (marq_body_is_two((marq_body)b)) {
            add_two_feet_links(out, &count, (marq_body)b);
        } else {
            add_one_foot_links(out, &count, (marq_body)b);
        }
    }
    out->index[MARQ_BODIES] = (uint16_t)count;
    /* the same, sorted by where they lead */
    uint16_t room[MARQ_BODIES + 1] = {0};
    for (size_t i = 0; i < count; i++) {
        room[out->at[i].to + 1]++;
    }
    for (unsigned b = 0; b < MARQ_BODIES; b++) {
        room[b + 1] = (uint16_t)(room[b + 1] + room[b]);
    }
    memcpy(out->into_index, room, sizeof room);
    for (size_t i = 0; i < count; i++) {
        out->into[room[out->at[i].to]++] = (uint16_t)i;
    }
}

void marq_link_words(marq_build *out, const marq_link *link)
{
    marq_side foot = marq_body_is_two(link->from)
                         ? MARQ_SIDE_NONE
                         : marq_side_other(marq_body_standing(link->from));
    switch (link->kind) {
    case MARQ_LINK_ADJUST:
        if (foot == MARQ_SIDE_NONE) {
            marq_build_text(out, "a rise on two feet");
            return;
        }
        marq_build_text(out, "the ");
        marq_build_text(out, marq_side_words(foot));
        marq_build_text(out, marq_body_shape(link->to) == MARQ_ANKLE
                                 ? " leg drawn to the ankle"
                                 : " leg lowered");
        return;
    case MARQ_LINK_SHIFT:
        if (marq_body_is_two(link->to)) {
            marq_build_text(out, "weight on to both feet");
            return;
        }
        marq_build_text(out, "weight on to the ");
        marq_build_text(out, marq_side_words(marq_body_standing(link->to)));
        return;
    case MARQ_LINK_CLOSE:
        marq_build_text(out, "the ");
        marq_build_text(out, marq_side_words(foot));
        marq_build_text(out, marq_body_front(link->to) == foot
                                 ? " leg closed in front"
                                 : " leg closed behind");
        return;
    case MARQ_LINK_GATHER:
        marq_build_text(out, "the feet gathered to ");
        marq_body_words(out, link->to);
        return;
    default:
        marq_build_text(out, "fifth opened to fourth");
        return;
    }
}
