#include "follow_parts.h"

/* ---- starts ---- */

static void put_body(const marq_following *f, marq_front *front, marq_body b,
                     unsigned facings, unsigned price)
{
    if (f->reach.no_facing) {
        facings = 1; /* one cell stands for all */
    }
    for (unsigned x = 0; x < MARQ_FACINGS; x++) {
        if ((facings >> x) & 1u) {
            marq_cell cell = {MARQ_STILL, b, (marq_facing)x};
            marq_front_put(front, cell, price);
        }
    }
}

/* Facings a body may have by a stand's words. */
static unsigned stand_facings(const marq_stand *stand, marq_body b)
{
    unsigned mask = stand->facings;
    if (marq_facings_upstage(stand->facings)) {
        return mask;
    }
    for (unsigned a = 0; a < MARQ_ALIGNMENTS; a++) {
        if (!((stand->alignments >> a) & 1u)) {
            continue;
        }
        unsigned fits = marq_alignment_facings((marq_alignment)a, b);
        if (fits == 0 && marq_body_is_two(b)) {
            fits = 0xaa;
        }
        unsigned front = fits & 0x83; /* the three downstage facings first */
        mask &= (front & mask) ? front : fits;
    }
    return mask;
}

static void put_stand(const marq_following *f, marq_front *front,
                      const marq_stand *stand, bool mirrored)
{
    for (unsigned i = 0; i < MARQ_BODIES; i++) {
        if (!stand->bodies[i]) {
            continue;
        }
        unsigned facings = stand_facings(stand, (marq_body)i);
        marq_body b = (marq_body)i;
        if (mirrored) {
            unsigned turned = 0;
            for (unsigned x = 0; x < MARQ_FACINGS; x++) {
                if ((facings >> x) & 1u) {
                    turned |= 1u << marq_facing_mirror((marq_facing)x);
                }
            }
            facings = turned;
            b = marq_body_mirror(b);
        }
        put_body(f, front, b, facings, 0);
    }
}

/* Where nothing is written: a priced set, the right side alone if the text
 * names no side (the other is its mirror image). */
static void put_priced(const marq_following *f, marq_front *front,
                       const marq_stand *stand, bool both_sides)
{
    const uint8_t *prices = f->vocab->data->prices;
    for (int s = MARQ_SIDE_RIGHT;
         s <= (both_sides ? MARQ_SIDE_LEFT : MARQ_SIDE_RIGHT); s++) {
        marq_side side = (marq_side)s;
        struct {
            marq_body body;
            marq_price price;
        } starts[] = {
            {marq_body_two(MARQ_FIFTH, side), MARQ_PRICE_START_FIFTH},
            {marq_body_two(MARQ_FIRST, side), MARQ_PRICE_START_FIRST},
            {marq_body_two(MARQ_SECOND, side), MARQ_PRICE_START_OTHER},
            {marq_body_two(MARQ_PARALLEL, side), MARQ_PRICE_START_OTHER},
            {marq_body_two(MARQ_THIRD, side), MARQ_PRICE_START_OTHER},
            {marq_body_two(MARQ_FOURTH, side), MARQ_PRICE_START_OTHER},
            {marq_body_one(side, MARQ_A_TERRE, MARQ_DERRIERE),
             MARQ_PRICE_START_POSE},
            {marq_body_one(marq_side_other(side), MARQ_A_TERRE, MARQ_DEVANT),
             MARQ_PRICE_START_POSE},
            {marq_body_one(marq_side_other(side), MARQ_A_TERRE, MARQ_SIDE),
             MARQ_PRICE_START_POSE},
        };
        for (size_t i = 0; i < sizeof starts / sizeof starts[0]; i++) {
            put_body(f, front, starts[i].body,
                     stand_facings(stand, starts[i].body),
                     prices[starts[i].price]);
        }
    }
}

/* ---- following ---- */

static marq_front *new_front(marq_arena *arena)
{
    marq_front *front = marq_arena_alloc(arena, 1, sizeof *front);
    if (front != NULL) {
        marq_front_clear(front);
    }
    return front;
}

const marq_front *marq_follow_before(const marq_following *f,
                                     const marq_stretch *s, size_t stage)
{
    if (stage == s->first) {
        return s->start;
    }
    return MARQ_AT(&f->seen, marq_seen, stage - 1)->after;
}

const marq_marks *marq_follow_marks_before(const marq_following *f,
                                           const marq_stretch *s, size_t stage)
{
    if (stage == s->first) {
        return &s->start_marks;
    }
    return &MARQ_AT(&f->seen, marq_seen, stage - 1)->marks;
}

/* A front of every body and facing, for asking whether a step as written can
 * be done from anywhere at all. */
static void fill_anywhere(const marq_following *f, marq_front *front)
{
    for (unsigned b = 0; b < MARQ_BODIES; b++) {
        put_body(f, front, (marq_body)b, MARQ_ANY_FACING, 0);
    }
}

static marq_status find_reason(marq_following *f, marq_stretch *s, size_t stage)
{
    const marq_seen *seen = MARQ_AT(&f->seen, marq_seen, stage);
    marq_front out, anywhere;
    marq_status status =
        marq_reach_forward(&f->reach, marq_follow_before(f, s, stage),
                           &seen->stage, true, &out, NULL);
    if (status != MARQ_OK) {
        return status;
    }
    if (!marq_front_empty(&out)) {
        s->broken = MARQ_BREAK_FACING;
        return MARQ_OK;
    }
    s->broken = MARQ_BREAK_FEET;
    if (seen->role != MARQ_SEEN_STEP) {
        return MARQ_OK;
    }
    marq_front_clear(&anywhere);
    fill_anywhere(f, &anywhere);
    status = marq_reach_forward(&f->reach, &anywhere, &seen->stage, true, &out,
                                NULL);
    if (marq_front_empty(&out)) {
        s->broken = MARQ_BREAK_NEVER;
    } else if (stage == s->first && s->start_written) {
        s->broken = MARQ_BREAK_START;
    }
    return status;
}

static marq_status go_forward(marq_following *f, marq_arena *arena,
                              marq_stretch *s)
{
    for (size_t i = s->first; i < s->end; i++) {
        marq_seen *seen = MARQ_AT(&f->seen, marq_seen, i);
        marq_front *out = new_front(arena);
        if (out == NULL) {
            return MARQ_MEMORY;
        }
        marq_status status =
            marq_reach_forward(&f->reach, marq_follow_before(f, s, i),
                               &seen->stage, false, out, &seen->used);
        if (status != MARQ_OK) {
            return status;
        }
        if (marq_front_empty(out)) {
            return find_reason(f, s, i);
        }
        seen->after = out;
        seen->reached = true;
        s->reached = i + 1;
    }
    return MARQ_OK;
}

static marq_status go_back(marq_following *f, marq_stretch *s)
{
    const marq_front *last = marq_follow_before(f, s, s->reached);
    s->price = marq_front_cheapest(last);
    if (s->reached == s->first) {
        marq_front_mark(last, s->price, &s->start_marks);
        return MARQ_OK;
    }
    marq_seen *end = MARQ_AT(&f->seen, marq_seen, s->reached - 1);
    marq_front_mark(last, s->price, &end->marks);
    for (size_t i = s->reached; i-- > s->first;) {
        marq_seen *seen = MARQ_AT(&f->seen, marq_seen, i);
        marq_marks *before = i == s->first
                                 ? &s->start_marks
                                 : &MARQ_AT(&f->seen, marq_seen, i - 1)->marks;
        marq_status status =
            marq_reach_back(&f->reach, marq_follow_before(f, s, i), seen->after,
                            &seen->stage, &seen->marks, before, &seen->used);
        if (status != MARQ_OK) {
            return status;
        }
    }
    return MARQ_OK;
}

/* The first marked start: right foot in front before left by the order of
 * bodies, the audience before the corners. */
static bool first_marked(const marq_marks *marks, marq_cell *at)
{
    for (unsigned k = 0; k < MARQ_ARRIVALS; k++) {
        for (unsigned b = 0; b < MARQ_BODIES; b++) {
            for (unsigned f = 0; f < MARQ_FACINGS; f++) {
                if ((marks->facing[k][b] >> f) & 1u) {
                    at->arrival = (uint8_t)k;
                    at->body = (marq_body)b;
                    at->facing = (marq_facing)f;
                    return true;
                }
            }
        }
    }
    return false;
}

static marq_status walk_path(marq_following *f, marq_stretch *s)
{
    if (!first_marked(&s->start_marks, &s->at)) {
        return MARQ_OK;
    }
    marq_cell at = s->at;
    for (size_t i = s->first; i < s->reached; i++) {
        marq_seen *seen = MARQ_AT(&f->seen, marq_seen, i);
        seen->path_from = f->path.count;
        marq_status status = marq_reach_path(
            &f->reach, marq_follow_before(f, s, i), seen->after, &seen->stage,
            &seen->marks, &seen->used, &at, &f->path);
        if (status != MARQ_OK) {
            return status;
        }
        seen->path_to = f->path.count;
    }
    return MARQ_OK;
}

/* Of two equally cheap starts one begins on the side one speaks of first.
 * Takes the starts of the other side away if that leaves any; true if it
 * did. */
static bool prefer_named_side(const marq_following *f, marq_stretch *s)
{
    marq_side named = f->first_named;
    bool right = false, wrong = false;
    if (s->start_written || named == MARQ_SIDE_NONE) {
        return false;
    }
    for (unsigned b = 0; b < MARQ_BODIES; b++) {
        marq_side front = marq_body_front((marq_body)b);
        bool marked = s->start_marks.facing[MARQ_STILL][b] != 0;
        right |= marked && front != marq_side_other(named);
        wrong |= marked && front == marq_side_other(named);
    }
    for (unsigned b = 0; b < MARQ_BODIES && right && wrong; b++) {
        if (marq_body_front((marq_body)b) == marq_side_other(named)) {
            s->start->live[MARQ_STILL] &= ~((uint64_t)1 << b);
        }
    }
    return right && wrong;
}

/* Forgets what following found of a stretch, but for its start. */
static void forget_stretch(marq_following *f, marq_stretch *s)
{
    memset(&s->start_marks, 0, sizeof s->start_marks);
    s->reached = s->first;
    s->broken = MARQ_BREAK_NONE;
    for (size_t i = s->first; i < s->end; i++) {
        marq_seen *seen = MARQ_AT(&f->seen, marq_seen, i);
        seen->reached = false;
        seen->used.count = 0;
        memset(&seen->marks, 0, sizeof seen->marks);
    }
}

static marq_status follow_stretch(marq_following *f, marq_arena *arena,
                                  marq_stretch *s)
{
    marq_status status;
    do {
        forget_stretch(f, s);
        status = go_forward(f, arena, s);
        if (status == MARQ_OK) {
            status = go_back(f, s);
        }
    } while (status == MARQ_OK && prefer_named_side(f, s));
    return status == MARQ_OK ? walk_path(f, s) : status;
}

static marq_stretch *add_stretch(marq_following *f, marq_arena *arena,
                                 size_t first, size_t end)
{
    marq_stretch *s = marq_array_add(&f->stretches);
    if (s == NULL) {
        return NULL;
    }
    s->first = s->reached = first;
    s->end = end;
    s->start = new_front(arena);
    return s->start == NULL ? NULL : s;
}

/* The next written position in [from, end), or end. */
static size_t next_stand(const marq_following *f, size_t from, size_t end)
{
    while (from < end) {
        const marq_seen *seen = MARQ_AT(&f->seen, marq_seen, from);
        if (seen->role == MARQ_SEEN_STAND && seen->stage.has_bodies) {
            return from;
        }
        from++;
    }
    return end;
}

static void put_resumed(const marq_following *f, marq_front *front,
                        const marq_stage *stage)
{
    for (unsigned b = 0; b < MARQ_BODIES; b++) {
        if (stage->bodies[b]) {
            put_body(f, front, (marq_body)b, MARQ_ANY_FACING, 0);
        }
    }
}

/* Follows the stages [first, end), taken up again at each written position
 * after a break; `s` is the first stretch, its start filled in. */
static marq_status follow_on(marq_following *f, marq_arena *arena,
                             marq_stretch *s, size_t end, bool unknown)
{
    for (;;) {
        marq_status status = follow_stretch(f, arena, s);
        if (status != MARQ_OK) {
            return status;
        }
        s->ends_unknown = unknown && s->broken == MARQ_BREAK_NONE;
        if (s->broken == MARQ_BREAK_NONE) {
            return MARQ_OK;
        }
        size_t broke = s->reached;
        const marq_seen *at = MARQ_AT(&f->seen, marq_seen, broke);
        size_t next = at->role == MARQ_SEEN_STAND && at->stage.has_bodies &&
                              broke > s->first
                          ? broke
                          : next_stand(f, broke + 1, end);
        if (next == end) {
            return MARQ_OK;
        }
        s = add_stretch(f, arena, next, end);
        if (s == NULL) {
            return MARQ_MEMORY;
        }
        put_resumed(f, s->start, &MARQ_AT(&f->seen, marq_seen, next)->stage);
        s->start_written = true;
    }
}

static marq_status follow_pieces(marq_following *f, marq_arena *arena,
                                 const marq_array *cuts)
{
    const marq_tree *tree = f->tree;
    size_t count = f->seen.count;
    size_t from = 0;
    for (size_t c = 0; c <= cuts->count; c++) {
        bool last = c == cuts->count;
        size_t end = last ? count : MARQ_AT(cuts, marq_cut, c)->before;
        uint8_t kind_before =
            c == 0 ? MARQ_CUT_SIDE : MARQ_AT(cuts, marq_cut, c - 1)->kind;
        bool unknown =
            !last && MARQ_AT(cuts, marq_cut, c)->kind == MARQ_CUT_UNKNOWN;
        size_t first = from;
        if (kind_before == MARQ_CUT_UNKNOWN) {
            first = next_stand(f, from, end);
        }
        from = end;
        if (kind_before == MARQ_CUT_UNKNOWN && first == end) {
            continue; /* nothing here is known */
        }
        marq_stretch *s = add_stretch(f, arena, first, end);
        if (s == NULL) {
            return MARQ_MEMORY;
        }
        s->opens_text = c == 0;
        if (kind_before == MARQ_CUT_UNKNOWN) {
            put_resumed(f, s->start,
                        &MARQ_AT(&f->seen, marq_seen, first)->stage);
            s->start_written = true;
        } else if (tree->start.has_bodies) {
            put_stand(f, s->start, &tree->start, c > 0);
            s->start_written = true;
            if (marq_front_empty(s->start)) {
                marq_stand feet = tree->start;
                feet.facings = MARQ_ANY_FACING;
                feet.alignments = 0;
                put_stand(f, s->start, &feet, c > 0);
                f->start_clash = true;
            }
        } else {
            put_priced(f, s->start, &tree->start, f->names_side || c > 0);
        }
        marq_status status = follow_on(f, arena, s, end, unknown);
        if (status != MARQ_OK) {
            return status;
        }
    }
    return MARQ_OK;
}

marq_status marq_follow(marq_following *out, marq_arena *arena,
                        const marq_vocab *vocab, const marq_tree *tree,
                        marq_findings *findings)
{
    memset(out, 0, sizeof *out);
    out->vocab = vocab;
    out->tree = tree;
    marq_reach_init(&out->reach, vocab->data, arena);
    marq_array_init(&out->seen, arena, sizeof(marq_seen));
    marq_array_init(&out->stretches, arena, sizeof(marq_stretch));
    marq_array_init(&out->path, arena, sizeof(marq_danced));
    out->reach.no_facing = !marq_demand_names_facing(tree);
    out->names_side = marq_demand_names_side(tree);
    out->first_named = marq_demand_first_side(tree);
    marq_array cuts;
    marq_array_init(&cuts, arena, sizeof(marq_cut));
    marq_status status = marq_follow_plan(out, arena, findings, &cuts);
    return status == MARQ_OK ? follow_pieces(out, arena, &cuts) : status;
}

/* ---- ends, relative to their starts ---- */

marq_body marq_follow_relative(marq_body start, marq_body end)
{
    marq_body plain = marq_body_plain(end);
    marq_body mirrored = marq_body_plain(marq_body_mirror(end));
    if (marq_body_mirror(start) == start) {
        return plain < mirrored ? plain : mirrored;
    }
    /* the right side is told from the left by the lower of start and its
       mirror image */
    return start < marq_body_mirror(start) ? plain : mirrored;
}

/* Ends of the cheapest readings that begin in one body. */
static marq_status ends_from(marq_following *f, const marq_stretch *s,
                             unsigned body, uint64_t *ends)
{
    marq_marks now;
    memset(&now, 0, sizeof now);
    for (unsigned k = 0; k < MARQ_ARRIVALS; k++) {
        now.facing[k][body] = s->start_marks.facing[k][body];
    }
    for (size_t i = s->first; i < s->reached; i++) {
        marq_seen *seen = MARQ_AT(&f->seen, marq_seen, i);
        marq_marks next;
        marq_status status = marq_reach_spread(
            &f->reach, marq_follow_before(f, s, i), seen->after, &seen->stage,
            &seen->marks, &seen->used, &now, &next);
        if (status != MARQ_OK) {
            return status;
        }
        now = next;
    }
    *ends = marq_marks_bodies(&now);
    return MARQ_OK;
}

marq_status marq_follow_ends(marq_following *f, const marq_stretch *s,
                             uint64_t ends[MARQ_BODIES])
{
    uint64_t starts = marq_marks_bodies(&s->start_marks);
    bool one = starts != 0 && (starts & (starts - 1)) == 0;
    marq_status status = MARQ_OK;
    memset(ends, 0, MARQ_BODIES * sizeof ends[0]);
    for (unsigned b = 0; b < MARQ_BODIES && status == MARQ_OK; b++) {
        if (!((starts >> b) & 1u)) {
            continue;
        }
        if (one) { /* then every marked end is its own */
            ends[b] =
                marq_marks_bodies(marq_follow_marks_before(f, s, s->reached));
        } else {
            status = ends_from(f, s, b, &ends[b]);
        }
    }
    return status;
}
