#include "mend.h"

#include "print_words.h"
#include "word.h"

/* How far back an edit is looked for, and how far on it is tried before the
 * best are followed to the very end. */
#define LOOK_BACK 24
#define LOOK_ON   48

typedef struct edit {
    uint32_t price;
    size_t distance; /* stages before the break */
    uint32_t rank;   /* order of trying, for ties */
    size_t stage;    /* where it is made */
    bool put_in, left_out;
    marq_stage with; /* what stands there instead, or is put in */
    marq_span span;
    const char *text;
    const char *label;
} edit;

typedef struct mender {
    marq_following *f;
    marq_arena *arena;  /* of what is kept */
    marq_arena scratch; /* of trials */
    const marq_stretch *s;
    size_t broke; /* stage that breaks */
    size_t goal;  /* first stage no mend at the break can reach past */
    size_t tried;
    marq_array edits; /* edit, those that help */
} mender;

/* ---- trying ---- */

/* Follows stages [from, to) of the stretch from *now; returns how far. */
static marq_status carry_on(mender *m, marq_front *now, size_t from, size_t to,
                            size_t *reached)
{
    *reached = from;
    while (*reached < to) {
        marq_front next;
        marq_status status = marq_reach_forward(
            &m->f->reach, now,
            &MARQ_AT(&m->f->seen, marq_seen, *reached)->stage, false, &next,
            NULL);
        if (status != MARQ_OK) {
            return status;
        }
        if (marq_front_empty(&next)) {
            return MARQ_OK;
        }
        *now = next;
        (*reached)++;
    }
    return MARQ_OK;
}

/* How far the stretch goes with an edit made, `to` at most. */
static marq_status try_edit(mender *m, const edit *e, size_t to,
                            size_t *reached)
{
    marq_front now = *marq_follow_before(m->f, m->s, e->stage);
    marq_front next;
    marq_arena *keep = m->f->reach.arena;
    marq_arena_reset(&m->scratch);
    m->f->reach.arena = &m->scratch;
    m->tried++;
    *reached = e->stage;
    marq_status status = MARQ_OK;
    bool alive = true;
    if (!e->left_out) {
        status = marq_reach_forward(&m->f->reach, &now, &e->with, false, &next,
                                    NULL);
        alive = status == MARQ_OK && !marq_front_empty(&next);
        now = next;
    }
    if (alive) {
        status =
            carry_on(m, &now, e->put_in ? e->stage : e->stage + 1, to, reached);
    }
    m->f->reach.arena = keep;
    return status;
}

/* The furthest any mend of the broken stage could carry: as if it could end
 * anywhere. */
static marq_status find_goal(mender *m)
{
    marq_front now;
    marq_front_clear(&now);
    for (unsigned k = 0; k < MARQ_ARRIVALS; k++) {
        for (unsigned b = 0; b < MARQ_BODIES; b++) {
            for (unsigned x = 0; x < MARQ_FACINGS; x++) {
                marq_cell cell = {(uint8_t)k, (marq_body)b, (marq_facing)x};
                marq_front_put(&now, cell, 0);
            }
        }
    }
    marq_arena *keep = m->f->reach.arena;
    m->f->reach.arena = &m->scratch;
    marq_status status = carry_on(m, &now, m->broke + 1, m->s->end, &m->goal);
    m->f->reach.arena = keep;
    return status;
}

/* Keeps an edit if it carries past the break as far as it is tried. */
static marq_status offer(mender *m, const edit *e)
{
    size_t to = m->goal < m->broke + LOOK_ON ? m->goal : m->broke + LOOK_ON;
    size_t reached;
    if (m->tried >= m->f->vocab->limits.corrections) {
        return MARQ_OK;
    }
    marq_status status = try_edit(m, e, to, &reached);
    if (status != MARQ_OK || reached < to || reached <= m->broke) {
        return status;
    }
    for (size_t i = 0; i < m->edits.count; i++) {
        edit *other = MARQ_AT(&m->edits, edit, i);
        if (other->span.from == e->span.from && other->span.to == e->span.to &&
            strcmp(other->text, e->text) == 0) {
            return MARQ_OK;
        }
    }
    edit *kept = marq_array_add(&m->edits);
    if (kept == NULL) {
        return MARQ_MEMORY;
    }
    *kept = *e;
    kept->rank = (uint32_t)m->edits.count;
    return MARQ_OK;
}

/* ---- an item written anew ---- */

/* A copy of an item with other marks, in the words of the clean copy. */
typedef struct rewrite {
    uint16_t term;
    const marq_mark *marks; /* to write */
    size_t mark_count;
    const char *names; /* qualifiers to write instead of those among
                          the marks; NULL: the marks' own */
    uint32_t times;
} rewrite;

static const char *write_item(mender *m, const rewrite *r)
{
    marq_build b;
    marq_build_init(&b, m->arena);
    const marq_vocab_data *data = m->f->vocab->data;
    marq_build_text(&b, data->strings + data->terms[r->term].name);
    if (r->names != NULL && r->names[0] != '\0') {
        marq_build_text(&b, " ");
        for (const char *c = r->names; *c != '\0'; c++) {
            if (*c != ',' && *c != '!') {
                marq_build_char(&b, *c);
            }
        }
    }
    for (size_t i = 0; i < r->mark_count; i++) {
        const marq_mark *mark = &r->marks[i];
        if (mark->kind == MARQ_MARK_QUALIFIER && r->names != NULL) {
            continue;
        }
        marq_build_text(&b, " ");
        if (mark->kind == MARQ_MARK_REMARK) {
            marq_print_remark(&b, m->f->tree, mark->span, false);
        } else {
            marq_print_mark_words(&b, m->f->vocab, m->f->tree, mark,
                                  r->term);
        }
    }
    if (r->times > 1) {
        marq_build_text(&b, " ×");
        marq_build_number(&b, r->times);
    }
    return marq_build_done(&b, NULL);
}

static const marq_item *item_of(const mender *m, size_t stage)
{
    const marq_seen *seen = MARQ_AT(&m->f->seen, marq_seen, stage);
    return MARQ_AT(&m->f->tree->items, marq_item, seen->item);
}

static edit start_edit(const mender *m, size_t stage, marq_price price)
{
    edit e = {0};
    e.stage = stage;
    e.distance = m->broke - stage;
    e.price = m->f->vocab->data->prices[price];
    if (stage < m->f->seen.count) {
        const marq_seen *seen = MARQ_AT(&m->f->seen, marq_seen, stage);
        e.with = seen->stage;
        e.span =
            seen->item != MARQ_NO_ITEM ? item_of(m, stage)->span : seen->span;
    }
    return e;
}

static const char *label_of(mender *m, const char *head, const char *text)
{
    marq_build b;
    marq_build_init(&b, m->arena);
    marq_build_text(&b, head);
    marq_build_text(&b, text);
    return marq_build_done(&b, NULL);
}

/* ---- other form ---- */

/* Every other variant of the step in place of the written qualifiers. */
static marq_status edit_forms(mender *m, size_t stage)
{
    const marq_vocab_data *data = m->f->vocab->data;
    const marq_item *item = item_of(m, stage);
    const marq_term *term = &data->terms[item->term];
    const char *last = NULL;
    for (size_t i = 0; i < term->variant_count; i++) {
        uint16_t *variant = marq_arena_alloc(m->arena, 1, sizeof *variant);
        if (variant == NULL) {
            return MARQ_MEMORY;
        }
        *variant = (uint16_t)(term->first_variant + i);
        const marq_variant *v = &data->variants[*variant];
        const char *names = data->strings + v->name;
        if ((v->flags & MARQ_VARIANT_SERIES && item->times == 1) ||
            (last != NULL && strcmp(last, names) == 0)) {
            continue;
        }
        last = names;
        edit e = start_edit(m, stage, MARQ_PRICE_EDIT_FORM);
        marq_demand *d = &e.with.demand;
        /* all variants of this name, so that the words can be read back */
        uint16_t *list =
            marq_arena_alloc(m->arena, term->variant_count, sizeof *list);
        if (list == NULL) {
            return MARQ_MEMORY;
        }
        d->variant_count = 0;
        for (size_t k = 0; k < term->variant_count; k++) {
            size_t index = term->first_variant + k;
            if (strcmp(data->strings + data->variants[index].name, names) ==
                0) {
                list[d->variant_count++] = (uint16_t)index;
            }
        }
        d->variants = list;
        d->ask_count = 0;
        rewrite r = {.term = item->term, .names = names};
        r.marks = MARQ_AT(&m->f->tree->marks, marq_mark, item->first_mark);
        r.mark_count = item->mark_count;
        r.times = item->times;
        e.text = write_item(m, &r);
        if (e.text == NULL) {
            return MARQ_MEMORY;
        }
        e.label = label_of(m, "write ", e.text);
        marq_status status = e.label == NULL ? MARQ_MEMORY : offer(m, &e);
        if (status != MARQ_OK) {
            return status;
        }
    }
    return MARQ_OK;
}

/* ---- other foot, side, position or alignment ---- */

/* Other values a mark could have had; returns how many. */
static size_t other_values(const marq_mark *mark, uint16_t values[8])
{
    size_t count = 0;
    switch (mark->kind) {
    case MARQ_MARK_FOOT:
    case MARQ_MARK_ON:
        if (mark->value <= MARQ_FOOT_LEFT) {
            values[count++] = (uint16_t)(3 - mark->value);
        } else if (mark->value <= MARQ_FOOT_BACK) {
            values[count++] =
                (uint16_t)(MARQ_FOOT_FRONT + MARQ_FOOT_BACK - mark->value);
        } else if (mark->value <= MARQ_FOOT_STANDING) {
            values[count++] =
                (uint16_t)(MARQ_FOOT_FREE + MARQ_FOOT_STANDING - mark->value);
        }
        break;
    case MARQ_MARK_SIDE:
    case MARQ_MARK_TOWARD:
    case MARQ_MARK_FRONT:
        values[count++] = (uint16_t)(3 - mark->value);
        break;
    case MARQ_MARK_CLOSING:
        values[count++] = (uint16_t)(MARQ_DERRIERE - mark->value);
        break;
    case MARQ_MARK_FROM:
    case MARQ_MARK_TO:
    case MARQ_MARK_IN:
        for (uint16_t p = MARQ_FIRST; p <= MARQ_FIFTH; p++) {
            if (p != mark->value && p != MARQ_PARALLEL && p != MARQ_THIRD) {
                values[count++] = p;
            }
        }
        break;
    case MARQ_MARK_ALIGNMENT:
        for (uint16_t a = MARQ_EN_FACE; a <= MARQ_ECARTE; a++) {
            if (a != mark->value) {
                values[count++] = a;
            }
        }
        break;
    case MARQ_MARK_FACING:
        for (uint16_t f = 0; f < MARQ_FACINGS; f++) {
            if (f != mark->value) {
                values[count++] = f;
            }
        }
        break;
    default:
        break;
    }
    return count;
}

static marq_status edit_marks(mender *m, size_t stage)
{
    const marq_item *item = item_of(m, stage);
    for (uint32_t i = 0; i < item->mark_count; i++) {
        uint16_t values[8];
        size_t first = item->first_mark + i;
        marq_mark mark = *MARQ_AT(&m->f->tree->marks, marq_mark, first);
        size_t count = other_values(&mark, values);
        for (size_t k = 0; k < count; k++) {
            /* a tree of one item, so that the demand is made as always */
            marq_tree tree = *m->f->tree;
            marq_array_init(&tree.marks, m->arena, sizeof(marq_mark));
            marq_array_init(&tree.items, m->arena, sizeof(marq_item));
            marq_item *copy = marq_array_add(&tree.items);
            if (copy == NULL) {
                return MARQ_MEMORY;
            }
            *copy = *item;
            copy->first_mark = 0;
            for (uint32_t n = 0; n < item->mark_count; n++) {
                marq_mark *to = marq_array_add(&tree.marks);
                if (to == NULL) {
                    return MARQ_MEMORY;
                }
                *to = *MARQ_AT(&m->f->tree->marks, marq_mark,
                               item->first_mark + n);
                if (n == i) {
                    to->value = values[k];
                }
            }
            edit e = start_edit(m, stage, MARQ_PRICE_EDIT_FORM);
            marq_demand made;
            marq_status status =
                marq_demand_make(&made, m->arena, m->f->vocab, &tree, 0, NULL);
            if (status != MARQ_OK) {
                return status;
            }
            made.named_fourth |= e.with.demand.named_fourth;
            made.item = e.with.demand.item;
            e.with.demand = made;
            rewrite r = {.term = item->term};
            r.marks = tree.marks.at;
            r.mark_count = item->mark_count;
            r.times = item->times;
            e.text = write_item(m, &r);
            if (e.text == NULL) {
                return MARQ_MEMORY;
            }
            e.label = label_of(m, "write ", e.text);
            status = e.label == NULL ? MARQ_MEMORY : offer(m, &e);
            if (status != MARQ_OK) {
                return status;
            }
        }
    }
    return MARQ_OK;
}

/* ---- a step put in, left out, read otherwise ---- */

static marq_status put_in_term(mender *m, size_t stage, size_t t)
{
    const marq_vocab_data *data = m->f->vocab->data;
    const marq_term *term = &data->terms[t];
    for (size_t i = 0; i < term->variant_count; i++) {
        uint16_t *list = marq_arena_alloc(m->arena, 1, sizeof *list);
        if (list == NULL) {
            return MARQ_MEMORY;
        }
        *list = (uint16_t)(term->first_variant + i);
        const marq_variant *v = &data->variants[*list];
        if (v->flags & MARQ_VARIANT_SERIES) {
            continue;
        }
        edit e = start_edit(m, stage, MARQ_PRICE_EDIT_PUT_IN);
        e.put_in = true;
        e.with = (marq_stage){.kind = MARQ_STAGE_STEP};
        e.with.demand = (marq_demand){.term = (uint16_t)t, .times = 1};
        e.with.demand.variants = list;
        e.with.demand.variant_count = 1;
        e.with.demand.facings = MARQ_ANY_FACING;
        rewrite r = {.term = (uint16_t)t, .times = 1};
        r.names = data->strings + v->name;
        const char *words = write_item(m, &r);
        e.span.to = e.span.from;
        e.text = words ? label_of(m, words, ", ") : NULL;
        e.label = words ? label_of(m, "put in ", words) : NULL;
        if (e.text == NULL || e.label == NULL) {
            return MARQ_MEMORY;
        }
        marq_status status = offer(m, &e);
        if (status != MARQ_OK) {
            return status;
        }
    }
    return MARQ_OK;
}

static marq_status edit_put_in(mender *m, size_t stage)
{
    const marq_vocab_data *data = m->f->vocab->data;
    for (size_t t = 0; t < data->term_count; t++) {
        if (data->terms[t].flags & MARQ_TERM_LINKS) {
            marq_status status = put_in_term(m, stage, t);
            if (status != MARQ_OK) {
                return status;
            }
        }
    }
    return MARQ_OK;
}

/* The item and one separator: up to the next item on its line, or back to the
 * one before. */
static marq_span item_with_comma(const mender *m, const marq_item *item)
{
    const char *bytes = m->f->tree->source->bytes;
    marq_span span = item->span;
    uint32_t to = span.to;
    while (bytes[to] == ' ' || bytes[to] == ',' || bytes[to] == ';') {
        to++;
    }
    if (bytes[to] != '\n' && bytes[to] != '\r' && bytes[to] != '\0') {
        span.to = to;
        return span;
    }
    while (span.from > 0 &&
           (bytes[span.from - 1] == ' ' || bytes[span.from - 1] == ',')) {
        span.from--;
    }
    return span;
}

static marq_status edit_leave_out(mender *m, size_t stage)
{
    const marq_seen *seen = MARQ_AT(&m->f->seen, marq_seen, stage);
    edit e = start_edit(m, stage, MARQ_PRICE_EDIT_LEAVE_OUT);
    e.left_out = true;
    marq_build b;
    marq_build_init(&b, m->arena);
    marq_build_text(&b, "leave out ");
    marq_build_bytes(&b, m->f->tree->source->bytes + seen->span.from,
                     seen->span.to - seen->span.from);
    e.label = marq_build_done(&b, NULL);
    e.text = "";
    if (e.label == NULL) {
        return MARQ_MEMORY;
    }
    e.span = item_with_comma(m, item_of(m, stage));
    return offer(m, &e);
}

/* The step word read as another term of nearly the same writing. */
static marq_status edit_word(mender *m, size_t stage)
{
    const marq_vocab_data *data = m->f->vocab->data;
    const marq_item *item = item_of(m, stage);
    const char *word = m->f->tree->source->bytes + item->word.from;
    const char *folded =
        marq_text_fold_string(m->arena, word, item->word.to - item->word.from);
    if (folded == NULL) {
        return MARQ_MEMORY;
    }
    marq_near near[6];
    size_t count =
        marq_word_near(data, MARQ_ROLE_TERM, folded, strlen(folded), near, 6);
    for (size_t i = 0; i < count; i++) {
        uint16_t term;
        if (!marq_form_is(data, near[i].form, MARQ_ROLE_TERM, &term) ||
            term == item->term) {
            continue;
        }
        marq_tree tree = *m->f->tree;
        marq_array_init(&tree.items, m->arena, sizeof(marq_item));
        marq_item *copy = marq_array_add(&tree.items);
        if (copy == NULL) {
            return MARQ_MEMORY;
        }
        *copy = *item;
        copy->term = term;
        edit e = start_edit(m, stage, MARQ_PRICE_EDIT_WORD);
        marq_demand made;
        marq_status status =
            marq_demand_make(&made, m->arena, m->f->vocab, &tree, 0, NULL);
        if (status != MARQ_OK) {
            return status;
        }
        made.item = e.with.demand.item;
        e.with.demand = made;
        e.span = item->word;
        e.text = data->strings + data->terms[term].name;
        e.label = label_of(m, "read as ", e.text);
        status = e.label == NULL ? MARQ_MEMORY : offer(m, &e);
        if (status != MARQ_OK) {
            return status;
        }
    }
    return MARQ_OK;
}

/* ---- a written place ---- */

/* Where the steps lead, in place of the finish or the statement that clashes.
 */
static marq_status edit_stand(mender *m)
{
    const marq_seen *seen = MARQ_AT(&m->f->seen, marq_seen, m->broke);
    const marq_marks *marks = marq_follow_marks_before(m->f, m->s, m->broke);
    edit e = start_edit(m, m->broke, MARQ_PRICE_EDIT_FORM);
    for (unsigned i = 0; i < MARQ_ARRIVALS * MARQ_BODIES; i++) {
        unsigned b = i % MARQ_BODIES;
        if (marks->facing[i / MARQ_BODIES][b] == 0) {
            continue;
        }
        marq_build text;
        marq_build_init(&text, m->arena);
        if (seen->role == MARQ_SEEN_STAND) {
            marq_build_text(&text, "now ");
        }
        if (seen->role == MARQ_SEEN_FINISH) {
            marq_build_text(&text, "finish   ");
        }
        marq_body_words(&text, (marq_body)b);
        e.text = marq_build_done(&text, NULL);
        memset(e.with.bodies, 0, sizeof e.with.bodies);
        e.with.bodies[b] = 1;
        e.with.has_bodies = true;
        e.with.faces = false;
        e.with.facings = MARQ_ANY_FACING;
        e.with.alignments = 0;
        e.label = e.text ? label_of(m, "write ", e.text) : NULL;
        marq_status status = e.label == NULL ? MARQ_MEMORY : offer(m, &e);
        if (status != MARQ_OK) {
            return status;
        }
    }
    return MARQ_OK;
}

/* The written start with the other foot in front. */
static marq_status edit_start(mender *m)
{
    const marq_stand *start = &m->f->tree->start;
    if (!m->s->opens_text || !m->s->start_written) {
        return MARQ_OK;
    }
    marq_front now;
    marq_front_clear(&now);
    marq_build text;
    marq_build_init(&text, m->arena);
    marq_build_text(&text, "start    ");
    unsigned written = 0;
    for (unsigned b = 0; b < MARQ_BODIES; b++) {
        if (!start->bodies[b]) {
            continue;
        }
        marq_body other = marq_body_mirror((marq_body)b);
        if (other == b || start->bodies[other]) {
            return MARQ_OK;
        }
        if (written++ == 0) {
            marq_body_words(&text, other);
        }
        for (unsigned x = 0; x < MARQ_FACINGS; x++) {
            marq_cell cell = {MARQ_STILL, other, (marq_facing)x};
            marq_front_put(&now, cell, 0);
        }
    }
    size_t reached;
    marq_status status = carry_on(m, &now, m->s->first, m->goal, &reached);
    if (status != MARQ_OK || written != 1 || reached < m->goal ||
        reached <= m->broke) {
        return status;
    }
    edit *e = marq_array_add(&m->edits);
    if (e == NULL) {
        return MARQ_MEMORY;
    }
    *e = start_edit(m, m->s->first, MARQ_PRICE_EDIT_FORM);
    e->stage = SIZE_MAX; /* followed already */
    e->span = start->span;
    e->text = marq_build_done(&text, NULL);
    e->label = e->text ? label_of(m, "write ", e->text) : NULL;
    return e->label == NULL ? MARQ_MEMORY : MARQ_OK;
}

/* ---- the best three ---- */

static bool better(const edit *a, const edit *b)
{
    if (a->price != b->price) {
        return a->price < b->price;
    }
    if (a->distance != b->distance) {
        return a->distance < b->distance;
    }
    return a->rank < b->rank;
}

static marq_status collect(mender *m)
{
    marq_status status = MARQ_OK;
    const marq_seen *at = MARQ_AT(&m->f->seen, marq_seen, m->broke);
    if (at->role != MARQ_SEEN_STEP) {
        status = edit_stand(m);
    }
    size_t floor =
        m->broke - m->s->first > LOOK_BACK ? m->broke - LOOK_BACK : m->s->first;
    for (size_t i = m->broke + 1; i-- > floor && status == MARQ_OK;) {
        const marq_seen *seen = MARQ_AT(&m->f->seen, marq_seen, i);
        if (seen->role != MARQ_SEEN_STEP) {
            continue;
        }
        status = edit_marks(m, i);
        if (status == MARQ_OK) {
            status = edit_forms(m, i);
        }
        if (status == MARQ_OK) {
            status = edit_word(m, i);
        }
        if (status == MARQ_OK) {
            status = edit_leave_out(m, i);
        }
        if (status == MARQ_OK && m->broke - i < 3) {
            status = edit_put_in(m, i);
        }
    }
    return status == MARQ_OK ? edit_start(m) : status;
}

static marq_status hand_over(mender *m, marq_findings *findings,
                             marq_finding *finding)
{
    size_t count = m->edits.count;
    size_t given = 0;
    uint32_t first_price = 0, same_price = 0;
    for (size_t i = 0; i < count; i++) {
        const edit *e = MARQ_AT(&m->edits, edit, i);
        if (i == 0 || e->price < first_price) {
            first_price = e->price;
            same_price = 0;
        }
        same_price += e->price == first_price;
    }
    while (given < MARQ_FIXES_MOST && count > 0) {
        size_t best = 0;
        for (size_t i = 1; i < count; i++) {
            if (better(MARQ_AT(&m->edits, edit, i),
                       MARQ_AT(&m->edits, edit, best))) {
                best = i;
            }
        }
        edit e = *MARQ_AT(&m->edits, edit, best);
        *MARQ_AT(&m->edits, edit, best) = *MARQ_AT(&m->edits, edit, --count);
        size_t reached = m->goal;
        marq_status status = MARQ_OK;
        if (e.stage != SIZE_MAX && m->goal > m->broke + LOOK_ON) {
            status = try_edit(m, &e, m->goal, &reached);
        }
        if (status == MARQ_OK && reached >= m->goal) {
            marq_confidence sure = MARQ_ONE_OF_SEVERAL;
            if (e.price == first_price && same_price == 1) {
                sure = MARQ_CERTAIN;
            } else if (given == 0) {
                sure = MARQ_LIKELY;
            }
            status = marq_finding_fix(findings, finding, e.span, e.text,
                                      e.label, sure);
            given++;
        }
        if (status != MARQ_OK) {
            return status;
        }
    }
    return MARQ_OK;
}

marq_status marq_mend_break(marq_following *f, marq_arena *arena,
                            const marq_stretch *s, marq_findings *findings,
                            marq_finding *finding)
{
    if (s->broken == MARQ_BREAK_NONE || finding == NULL) {
        return MARQ_OK;
    }
    mender m = {.f = f, .arena = arena, .s = s, .broke = s->reached};
    marq_arena_init(&m.scratch, arena->mem);
    marq_array_init(&m.edits, arena, sizeof(edit));
    marq_status status = find_goal(&m);
    if (status == MARQ_OK && m.goal <= m.broke) {
        m.goal = m.broke + 1;
    }
    if (status == MARQ_OK) {
        status = collect(&m);
    }
    if (status == MARQ_OK) {
        status = hand_over(&m, findings, finding);
    }
    marq_arena_free(&m.scratch);
    return status;
}
