#include "mend_parts.h"

#include "print_words.h"
#include "word.h"

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

static const char *write_item(marq_mender *m, const rewrite *r)
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
            marq_print_mark_words(&b, m->f->vocab, m->f->tree, mark, r->term);
        }
    }
    if (r->times > 1) {
        marq_build_text(&b, " ×");
        marq_build_number(&b, r->times);
    }
    return marq_build_done(&b, NULL);
}

static const marq_item *item_of(const marq_mender *m, size_t stage)
{
    const marq_seen *seen = MARQ_AT(&m->f->seen, marq_seen, stage);
    return MARQ_AT(&m->f->tree->items, marq_item, seen->item);
}

size_t marq_mend_site(size_t stage, size_t place)
{
    return stage * 4096 + place;
}

marq_edit marq_mend_start(const marq_mender *m, size_t stage, marq_price price)
{
    marq_edit e = {0};
    e.stage = stage;
    e.site = marq_mend_site(stage, MARQ_SITE_WHOLE);
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

const char *marq_mend_label(marq_mender *m, const char *head, const char *text)
{
    marq_build b;
    marq_build_init(&b, m->arena);
    marq_build_text(&b, head);
    marq_build_text(&b, text);
    return marq_build_done(&b, NULL);
}

/* ---- other marks ---- */

#define VALUES_MOST 64

/* The price of the most usual form that a demand allows. */
static uint8_t customary_price(const marq_mender *m, const marq_demand *d)
{
    uint8_t least = UINT8_MAX;
    for (size_t i = 0; i < d->variant_count; i++) {
        uint8_t price = m->f->vocab->data->variants[d->variants[i]].price;
        least = price < least ? price : least;
    }
    return least;
}

static bool has_mark(const marq_mark *marks, size_t count, unsigned kind,
                     unsigned value)
{
    for (size_t i = 0; i < count; i++) {
        if (marks[i].kind == kind && marks[i].value == value) {
            return true;
        }
    }
    return false;
}

/* Offers the item of a stage with `marks` in place of its own; the demand is
 * made as if they had been read. */
static marq_status offer_marks(marq_mender *m, size_t stage,
                               const marq_mark *marks, size_t count,
                               uint32_t words, size_t place)
{
    const marq_item *item = item_of(m, stage);
    marq_tree tree = *m->f->tree;
    marq_item copy = *item;
    copy.first_mark = 0;
    copy.mark_count = (uint32_t)count;
    tree.marks.at = (void *)(uintptr_t)marks;
    tree.marks.count = count;
    tree.items.at = &copy;
    tree.items.count = 1;
    marq_edit e = marq_mend_start(m, stage, MARQ_PRICE_EDIT_FORM);
    marq_demand made;
    marq_status status =
        marq_demand_make(&made, m->arena, m->f->vocab, &tree, 0, NULL);
    if (status != MARQ_OK) {
        return status;
    }
    const marq_seen *seen = MARQ_AT(&m->f->seen, marq_seen, stage);
    if (seen->facing != NULL) {
        marq_demand_face(&made, seen->facing);
    }
    made.named_fourth |= e.with.demand.named_fourth;
    made.next_in = e.with.demand.next_in;
    made.item = e.with.demand.item;
    e.with.demand = made;
    e.price *= words > 0 ? words : 1;
    e.site = marq_mend_site(stage, place);
    rewrite r = {.term = item->term, .marks = marks, .mark_count = count};
    r.times = item->times;
    e.custom = customary_price(m, &e.with.demand);
    e.text = write_item(m, &r);
    e.label = e.text != NULL ? marq_mend_label(m, "write ", e.text) : NULL;
    return e.label == NULL ? MARQ_MEMORY : marq_mend_offer(m, &e);
}

/* Qualifiers that some form of the term carries. */
static marq_tags carried_tags(const marq_vocab_data *data,
                              const marq_term *term)
{
    marq_tags tags = {{0, 0}};
    for (size_t i = 0; i < term->variant_count; i++) {
        const marq_variant *v = &data->variants[term->first_variant + i];
        tags.bit[0] |= v->tags.bit[0];
        tags.bit[1] |= v->tags.bit[1];
    }
    return tags;
}

static size_t list_tags(marq_tags tags, size_t qualifier_count,
                        uint16_t values[VALUES_MOST])
{
    size_t count = 0;
    for (uint16_t q = 0; q < qualifier_count && count < VALUES_MOST; q++) {
        if (marq_tag_has(tags, q)) {
            values[count++] = q;
        }
    }
    return count;
}

/* All values from `first` to `last` but the one written. */
static size_t list_range(uint16_t first, uint16_t last, uint16_t written,
                         uint16_t values[VALUES_MOST])
{
    size_t count = 0;
    for (uint16_t v = first; v <= last; v++) {
        if (v != written) {
            values[count++] = v;
        }
    }
    return count;
}

/* Other values a mark could have had; returns how many. */
static size_t other_values(const marq_mender *m, const marq_term *term,
                           const marq_mark *mark, uint16_t values[VALUES_MOST])
{
    const marq_vocab_data *data = m->f->vocab->data;
    switch (mark->kind) {
    case MARQ_MARK_QUALIFIER:
        return list_tags(carried_tags(data, term), data->qualifier_count,
                         values);
    case MARQ_MARK_FOOT:
        return list_range(MARQ_FOOT_RIGHT, MARQ_FOOT_FREE, mark->value, values);
    case MARQ_MARK_ON:
    case MARQ_MARK_SIDE:
    case MARQ_MARK_TOWARD:
    case MARQ_MARK_FRONT:
        return list_range(MARQ_SIDE_RIGHT, MARQ_SIDE_LEFT, mark->value, values);
    case MARQ_MARK_CLOSING:
        values[0] = (uint16_t)(MARQ_DERRIERE - mark->value);
        return 1;
    case MARQ_MARK_FROM:
    case MARQ_MARK_TO:
    case MARQ_MARK_IN:
        return list_range(MARQ_FIRST, MARQ_FIFTH, mark->value, values);
    case MARQ_MARK_ALIGNMENT:
        return list_range(MARQ_EN_FACE, MARQ_ECARTE, mark->value, values);
    case MARQ_MARK_FACING:
        return list_range(0, MARQ_FACINGS - 1, mark->value, values);
    default:
        return 0;
    }
}

/* Each mark of the step with another value, and each left out. */
static marq_status edit_marks(marq_mender *m, size_t stage)
{
    const marq_item *item = item_of(m, stage);
    const marq_term *term = &m->f->vocab->data->terms[item->term];
    size_t count = item->mark_count;
    marq_mark *marks = marq_arena_alloc(m->arena, count + 1, sizeof *marks);
    if (marks == NULL) {
        return MARQ_MEMORY;
    }
    for (size_t i = 0; i < count; i++) {
        marks[i] =
            *MARQ_AT(&m->f->tree->marks, marq_mark, item->first_mark + i);
    }
    marq_status status = MARQ_OK;
    for (size_t i = 0; i < count && status == MARQ_OK; i++) {
        uint16_t values[VALUES_MOST];
        marq_mark own = marks[i];
        size_t choices = other_values(m, term, &own, values);
        for (size_t k = 0; k < choices && status == MARQ_OK; k++) {
            if (!has_mark(marks, count, own.kind, values[k])) {
                marq_mark other = own;
                other.value = values[k];
                marks[i] = other;
                status = offer_marks(m, stage, marks, count, 1, i);
                marks[i] = own;
            }
        }
        /* left out: the last one takes its place for a moment */
        marks[i] = marks[count - 1];
        if (status == MARQ_OK && own.kind != MARQ_MARK_REMARK) {
            status = offer_marks(m, stage, marks, count - 1, 1, i);
        }
        marks[i] = own;
    }
    /* a word added */
    uint16_t values[VALUES_MOST];
    size_t choices = list_tags(carried_tags(m->f->vocab->data, term),
                               m->f->vocab->data->qualifier_count, values);
    for (size_t k = 0; k < choices && status == MARQ_OK; k++) {
        if (has_mark(marks, count, MARQ_MARK_QUALIFIER, values[k])) {
            continue;
        }
        marks[count] =
            (marq_mark){.kind = MARQ_MARK_QUALIFIER, .value = values[k]};
        status = offer_marks(m, stage, marks, count + 1, 1, count);
    }
    return status;
}

/* Every form of the step in place of all its written qualifiers: two words or
 * more changed at once. */
static marq_status edit_forms(marq_mender *m, size_t stage)
{
    const marq_vocab_data *data = m->f->vocab->data;
    const marq_item *item = item_of(m, stage);
    const marq_term *term = &data->terms[item->term];
    size_t most = item->mark_count + (size_t)MARQ_QUALIFIERS_MOST;
    marq_mark *marks = marq_arena_alloc(m->arena, most, sizeof *marks);
    if (marks == NULL) {
        return MARQ_MEMORY;
    }
    for (size_t i = 0; i < term->variant_count; i++) {
        marq_tags tags = data->variants[term->first_variant + i].tags;
        uint16_t values[VALUES_MOST];
        size_t added = list_tags(tags, data->qualifier_count, values);
        size_t count = 0, kept = 0;
        for (size_t k = 0; k < added; k++) {
            marks[count++] =
                (marq_mark){.kind = MARQ_MARK_QUALIFIER, .value = values[k]};
        }
        for (uint32_t k = 0; k < item->mark_count; k++) {
            const marq_mark *own =
                MARQ_AT(&m->f->tree->marks, marq_mark, item->first_mark + k);
            if (own->kind != MARQ_MARK_QUALIFIER) {
                marks[count++] = *own;
            } else if (marq_tag_has(tags, own->value)) {
                kept++;
            }
        }
        if (added < kept + 2) {
            continue; /* one word: tried by edit_marks */
        }
        marq_status status = offer_marks(
            m, stage, marks, count, (uint32_t)(added - kept), MARQ_SITE_WHOLE);
        if (status != MARQ_OK) {
            return status;
        }
    }
    return MARQ_OK;
}

/* ---- a step put in, left out, read otherwise ---- */

/* Usual forms before dear ones, and forms of few words before long names. */
static uint8_t plainness(const marq_vocab_data *data, const marq_variant *v)
{
    unsigned words = 0;
    for (unsigned q = 0; q < data->qualifier_count; q++) {
        words += marq_tag_has(v->tags, q);
    }
    unsigned sum = v->price * 8u + words;
    return (uint8_t)(sum < UINT8_MAX ? sum : UINT8_MAX);
}

static marq_status put_in_term(marq_mender *m, size_t stage, size_t t)
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
        marq_edit e = marq_mend_start(m, stage, MARQ_PRICE_EDIT_PUT_IN);
        e.put_in = true;
        e.site = marq_mend_site(stage, MARQ_SITE_WHOLE + 2);
        e.custom = plainness(data, v);
        e.with = (marq_stage){.kind = MARQ_STAGE_STEP};
        e.with.demand = (marq_demand){.term = (uint16_t)t, .times = 1};
        e.with.demand.variants = list;
        e.with.demand.variant_count = 1;
        e.with.demand.facings = MARQ_ANY_FACING;
        rewrite r = {.term = (uint16_t)t, .times = 1};
        r.names = data->strings + v->name;
        const char *words = write_item(m, &r);
        e.span.to = e.span.from;
        e.text = words ? marq_mend_label(m, words, ", ") : NULL;
        e.label = words ? marq_mend_label(m, "put in ", words) : NULL;
        if (e.text == NULL || e.label == NULL) {
            return MARQ_MEMORY;
        }
        marq_status status = marq_mend_offer(m, &e);
        if (status != MARQ_OK) {
            return status;
        }
    }
    return MARQ_OK;
}

static marq_status edit_put_in(marq_mender *m, size_t stage)
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
static marq_span item_with_comma(const marq_mender *m, const marq_item *item)
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

static marq_status edit_leave_out(marq_mender *m, size_t stage)
{
    const marq_seen *seen = MARQ_AT(&m->f->seen, marq_seen, stage);
    marq_edit e = marq_mend_start(m, stage, MARQ_PRICE_EDIT_LEAVE_OUT);
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
    return marq_mend_offer(m, &e);
}

/* The step word read as another term of nearly the same writing. */
static marq_status edit_word(marq_mender *m, size_t stage)
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
        marq_edit e = marq_mend_start(m, stage, MARQ_PRICE_EDIT_WORD);
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
        e.label = marq_mend_label(m, "read as ", e.text);
        status = e.label == NULL ? MARQ_MEMORY : marq_mend_offer(m, &e);
        if (status != MARQ_OK) {
            return status;
        }
    }
    return MARQ_OK;
}

/* ---- all of them ---- */

marq_status marq_mend_collect(marq_mender *m)
{
    marq_status status = MARQ_OK;
    const marq_seen *at = MARQ_AT(&m->f->seen, marq_seen, m->broke);
    if (at->role == MARQ_SEEN_STAND || at->role == MARQ_SEEN_FINISH) {
        status = marq_mend_stand(m);
    }
    if (status == MARQ_OK) {
        status = marq_mend_facing(m, m->broke);
    }
    size_t floor = m->broke - m->s->first > MARQ_LOOK_BACK
                       ? m->broke - MARQ_LOOK_BACK
                       : m->s->first;
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
    return status == MARQ_OK ? marq_mend_begin(m) : status;
}
