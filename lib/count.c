#include "count.h"

#include "count_line.h"
#include "count_share.h"
#include "exact.h"
#include "text.h"

static const marq_count zero = {0, 1};
static const marq_count one = {1, 1};

static marq_count add(marq_reckoner *r, marq_count a, marq_count b)
{
    return marq_exact_add(&r->too_big, a, b);
}

static marq_count subtract(marq_reckoner *r, marq_count a, marq_count b)
{
    return marq_exact_subtract(&r->too_big, a, b);
}

/* ---- words ---- */

void marq_count_length_words(marq_build *out, marq_count n)
{
    int64_t w = marq_exact_down(n);
    if (w != 0 || n.den == 1) {
        marq_build_number(out, w);
    }
    if (n.den == 1) {
        return;
    }
    if (w != 0) {
        marq_build_char(out, ' ');
    }
    marq_build_number(out, n.num - w * n.den);
    marq_build_char(out, '/');
    marq_build_number(out, n.den);
}

void marq_count_words(marq_build *out, marq_count count, uint32_t phrase)
{
    if (count.den <= 0) {
        return; /* not known */
    }
    int64_t number = marq_exact_down(count);
    int64_t rest = count.num % count.den;
    rest = rest < 0 ? rest + count.den : rest;
    if (phrase > 0) {
        number %= (int64_t)phrase;
        number = number <= 0 ? number + (int64_t)phrase : number;
    }
    marq_build_number(out, number);
    if (rest == 0) {
        return;
    }
    if (count.den == 2) {
        marq_build_text(out, " &");
        return;
    }
    marq_build_char(out, ' ');
    marq_build_number(out, rest);
    marq_build_char(out, '/');
    marq_build_number(out, count.den);
}

/* ---- cutting into stretches ---- */

static marq_stretch *add_stretch(marq_reckoner *r, size_t line, size_t first)
{
    marq_stretch *s = marq_array_add(&r->stretches);
    if (s == NULL) {
        return NULL;
    }
    const marq_line *l = MARQ_AT(&r->tree->lines, marq_line, line);
    s->line = line;
    s->side = l->side;
    s->first_item = first;
    s->span = l->span;
    s->length = zero;
    return s;
}

static marq_status cut_line(marq_reckoner *r, size_t line)
{
    const marq_line *l = MARQ_AT(&r->tree->lines, marq_line, line);
    marq_stretch *s = add_stretch(r, line, l->first_item);
    if (s == NULL) {
        return MARQ_MEMORY;
    }
    if (l->has_counts) {
        s->counted = true;
        s->half = l->count_half;
        s->from = l->count_from;
        s->to = l->count_to;
        s->span = l->count_span;
    }
    size_t end = (size_t)l->first_item + l->item_count;
    for (size_t i = l->first_item; i < end; i++) {
        const marq_item *item = MARQ_AT(&r->tree->items, marq_item, i);
        if (item->has_counts && !l->has_counts) {
            if (s->item_count > 0) {
                s = add_stretch(r, line, i);
                if (s == NULL) {
                    return MARQ_MEMORY;
                }
            }
            s->counted = true;
            s->half = item->count_to.den == 2;
            s->from = item->count_from;
            s->to = item->count_to;
            s->span = item->count_span;
        }
        s->item_count++;
        s->dances = s->dances || marq_share_dances(item);
    }
    return MARQ_OK;
}

/* ---- odd lines ---- */

/* A line that lasts otherwise than both its neighbours, which last the same,
 * and that puts what follows off their beat: 2, 1, 2 but not 2, 4, 2. */
static marq_status find_odd_lines(marq_reckoner *r)
{
    marq_stretch *all = r->stretches.at;
    if (r->tree->unsquare) {
        return MARQ_OK;
    }
    for (size_t i = 1; i + 1 < r->stretches.count; i++) {
        marq_stretch *s = &all[i], *next = &all[i + 1], *last = &all[i - 1];
        if (!s->placed || !next->placed || !last->placed || !s->follows ||
            !next->follows || s->faulty || next->faulty ||
            !marq_exact_equal(last->length, next->length) ||
            marq_exact_equal(last->length, s->length)) {
            continue;
        }
        bool too_big = false;
        marq_count begins = marq_exact_rest(
            &too_big, marq_exact_subtract(&too_big, s->at, s->origin),
            last->length);
        marq_count shift =
            marq_exact_rest(&too_big, s->length, last->length);
        if (too_big || !marq_count_is_zero(begins) ||
            marq_count_is_zero(shift)) {
            continue;
        }
        marq_build mine, theirs;
        marq_build_init(&mine, r->arena);
        marq_build_init(&theirs, r->arena);
        marq_count_length_words(&mine, s->length);
        marq_count_length_words(&theirs, last->length);
        marq_status status = marq_count_say(r, NULL, MARQ_DIAG_LINE_ODD, s,
                                         &mine, &theirs);
        if (status != MARQ_OK) {
            return status;
        }
    }
    return MARQ_OK;
}

/* ---- sums ---- */

/* Lines that overlap are counted once; an upbeat and an introduction before
 * the first 1 are not counted. */
static marq_count sum_written(marq_reckoner *r)
{
    marq_count total = zero, covered = one;
    for (size_t i = 0; i < r->stretches.count; i++) {
        const marq_stretch *s = MARQ_AT(&r->stretches, marq_stretch, i);
        if (!s->placed) {
            continue;
        }
        marq_count from = s->at, end = add(r, s->at, s->length);
        if (marq_exact_less(from, covered)) {
            from = covered;
        }
        if (marq_exact_less(from, end)) {
            total = add(r, total, subtract(r, end, from));
            covered = end;
        }
    }
    return total;
}

static void share_all(marq_reckoner *r)
{
    for (size_t i = 0; i < r->stretches.count; i++) {
        const marq_stretch *s = MARQ_AT(&r->stretches, marq_stretch, i);
        if (!s->placed) {
            continue;
        }
        marq_count *length = &r->line_length[s->line];
        *length = add(r, *length, s->length);
        marq_share_items(r->item_from, r->item_length, r->vocab, r->tree,
                         s->first_item, s->item_count, s->at, s->length);
    }
}

/* Nothing is counted: what it takes by usual lengths.  Notes only. */
static marq_status estimate(marq_reckoner *r, marq_sum *sum)
{
    size_t unknown = 0;
    marq_stretch *first = NULL;
    for (size_t i = 0; i < r->stretches.count; i++) {
        marq_stretch *s = MARQ_AT(&r->stretches, marq_stretch, i);
        for (size_t j = 0; j < s->item_count; j++) {
            const marq_item *item =
                MARQ_AT(&r->tree->items, marq_item, s->first_item + j);
            marq_count n = zero;
            if (!marq_share_dances(item)) {
                continue;
            }
            if (!marq_share_usual(&n, r->vocab, r->tree, item)) {
                unknown++;
                continue;
            }
            first = first ? first : s;
            sum->total = add(r, sum->total, n);
        }
    }
    if (first == NULL || r->too_big) {
        sum->total = zero;
        return MARQ_OK;
    }
    sum->estimated = true;
    bool short_of = unknown == 0 && !r->tree->unsquare && sum->phrase == 8 &&
                    marq_exact_less(r->phrase, sum->total) &&
                    !marq_count_is_zero(marq_exact_rest(
                        &r->too_big, sum->total, r->phrase));
    marq_build words;
    marq_finding *f;
    marq_build_init(&words, r->arena);
    marq_count_length_words(&words, sum->total);
    marq_build_text(&words, marq_exact_equal(sum->total, one) ? " count"
                                                              : " counts");
    marq_status status = marq_count_say(
        r, &f, short_of ? MARQ_DIAG_ESTIMATE_SHORT : MARQ_DIAG_ESTIMATE,
        first, &words, NULL);
    if (status == MARQ_OK && f && unknown > 0) {
        status = marq_finding_note(
            r->findings, f,
            "what has no usual length is not reckoned with here");
    }
    return status;
}

/* Six for the dances counted so, named in the title or beside the music. */
static marq_status find_phrase(marq_reckoner *r, uint32_t *phrase)
{
    static const char *const sixes[] = {"polonaise", "mazurka", "mazur"};
    const marq_source *source = r->tree->source;
    *phrase = 8;
    for (size_t i = 0; source && i < r->tree->headings.count; i++) {
        const marq_heading_line *h =
            MARQ_AT(&r->tree->headings, marq_heading_line, i);
        if (h->heading != MARQ_HEAD_TITLE && h->heading != MARQ_HEAD_MUSIC) {
            continue;
        }
        const char *text = marq_text_fold_string(
            r->arena, source->bytes + h->value.from,
            h->value.to - h->value.from);
        if (text == NULL) {
            return MARQ_MEMORY;
        }
        for (size_t j = 0; j < sizeof sixes / sizeof sixes[0]; j++) {
            if (strstr(text, sixes[j])) {
                *phrase = 6;
            }
        }
    }
    return MARQ_OK;
}

marq_status marq_count_reckon(marq_reckoning *out, marq_arena *arena,
                              const marq_vocab *vocab, const marq_tree *tree,
                              marq_findings *findings)
{
    marq_reckoner r;
    marq_sum sum = {false, {0, 1}, false, 8, {0, 1}};
    memset(&r, 0, sizeof r);
    r.arena = arena;
    r.vocab = vocab;
    r.tree = tree;
    r.findings = findings;
    marq_array_init(&r.stretches, arena, sizeof(marq_stretch));
    r.line_length =
        marq_arena_alloc(arena, tree->lines.count, sizeof(marq_count));
    r.item_from =
        marq_arena_alloc(arena, tree->items.count, sizeof(marq_count));
    r.item_length =
        marq_arena_alloc(arena, tree->items.count, sizeof(marq_count));
    if (!r.line_length || !r.item_from || !r.item_length ||
        find_phrase(&r, &sum.phrase) != MARQ_OK) {
        return MARQ_MEMORY;
    }
    r.phrase = marq_exact_whole(sum.phrase);
    for (size_t i = 0; i < tree->lines.count; i++) {
        r.line_length[i] = zero;
        if (cut_line(&r, i) != MARQ_OK) {
            return MARQ_MEMORY;
        }
    }
    for (size_t i = 0; i < r.stretches.count; i++) {
        sum.written = sum.written ||
                      MARQ_AT(&r.stretches, marq_stretch, i)->counted;
    }
    marq_status status;
    if (sum.written) {
        status = marq_count_place(&r);
        r.too_big = false;
        sum.total = sum_written(&r);
        share_all(&r);
        if (status == MARQ_OK) {
            status = find_odd_lines(&r);
        }
    } else {
        status = estimate(&r, &sum);
    }
    r.too_big = false;
    marq_count over = marq_exact_rest(&r.too_big, sum.total, r.phrase);
    if (!marq_count_is_zero(over)) {
        sum.missing = subtract(&r, r.phrase, over);
    }
    out->sum = sum;
    out->line_length = r.line_length;
    out->item_from = r.item_from;
    out->item_length = r.item_length;
    return status;
}
