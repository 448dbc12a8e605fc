#include "count_line.h"

#include "count.h"
#include "count_share.h"
#include "exact.h"

/* Counts beyond this, or cut finer than this, are not reckoned with. */
#define COUNT_MOST 1000000
#define FRACTION_MOST 64

static const marq_count zero = {0, 1};
static const marq_count one = {1, 1};
static const marq_count one_half = {1, 2};

static marq_count add(marq_reckoner *r, marq_count a, marq_count b)
{
    return marq_exact_add(&r->too_big, a, b);
}

static marq_count subtract(marq_reckoner *r, marq_count a, marq_count b)
{
    return marq_exact_subtract(&r->too_big, a, b);
}

/* ---- words ---- */

/* Counts from `a` up to but not with `b`: "5", "5-6", "4 &". */
static void build_range(marq_build *out, marq_count a, marq_count b)
{
    marq_count last = marq_exact_whole(marq_exact_up(b) - 1);
    marq_count_words(out, a, 0);
    if (marq_exact_less(a, last)) {
        marq_build_char(out, '-');
        marq_count_words(out, last, 0);
    }
}

/* ---- findings ---- */

marq_status marq_count_say(marq_reckoner *r, marq_finding **out,
                           marq_diag kind, marq_stretch *s, marq_build *a,
                           marq_build *b)
{
    const char *first = marq_build_done(a, NULL);
    const char *second = b ? marq_build_done(b, NULL) : NULL;
    marq_finding *f = NULL;
    if (first == NULL || (b && second == NULL)) {
        return MARQ_MEMORY;
    }
    s->faulty = true;
    marq_status status = marq_findings_add(r->findings, &f, kind, s->span,
                                           first, second, NULL);
    if (status == MARQ_OK && f && s->placed) {
        f->has_count = true;
        f->count = s->at;
    }
    if (out) {
        *out = f;
    }
    return status;
}

static marq_status say_too_big(marq_reckoner *r, marq_stretch *s)
{
    marq_build words;
    const marq_source *source = r->tree->source;
    marq_build_init(&words, r->arena);
    if (source && s->span.from < s->span.to && s->span.to <= source->length) {
        marq_build_bytes(&words, source->bytes + s->span.from,
                         s->span.to - s->span.from);
    } else {
        marq_build_number(&words, s->to.num);
    }
    return marq_count_say(r, NULL, MARQ_DIAG_COUNT_TOO_BIG, s, &words, NULL);
}

static marq_status say_backwards(marq_reckoner *r, marq_stretch *s)
{
    marq_build words;
    marq_build_init(&words, r->arena);
    marq_count_words(&words, s->from, 0);
    marq_build_char(&words, '-');
    marq_count_words(&words, s->to, 0);
    return marq_count_say(r, NULL, MARQ_DIAG_COUNT_BACKWARDS, s, &words, NULL);
}

/* The counts are named in the numbering before; what lies past a new start,
 * in the new one, whose offset is given. */
static marq_status say_gap(marq_reckoner *r, marq_stretch *s, marq_count offset)
{
    marq_build words;
    marq_build_init(&words, r->arena);
    marq_count from = subtract(r, r->due, r->offset);
    marq_count to = subtract(r, s->at, r->offset);
    marq_count shift = subtract(r, offset, r->offset);
    marq_count start = add(r, shift, one); /* the new 1 in the old numbers */
    if (marq_count_is_zero(shift) || !marq_exact_less(start, to)) {
        build_range(&words, from, to);
    } else if (marq_exact_less(from, start)) {
        build_range(&words, from, start);
        marq_build_text(&words, " and ");
        build_range(&words, one, s->from);
    } else {
        build_range(&words, subtract(r, from, shift), s->from);
    }
    return marq_count_say(r, NULL, MARQ_DIAG_COUNT_GAP, s, &words, NULL);
}

static marq_status say_overlap(marq_reckoner *r, marq_stretch *s)
{
    marq_build words;
    marq_finding *f;
    marq_build_init(&words, r->arena);
    marq_count until = add(r, s->at, s->length);
    if (marq_exact_less(r->due, until)) {
        until = r->due;
    }
    build_range(&words, s->from, subtract(r, until, r->offset));
    marq_status status =
        marq_count_say(r, &f, MARQ_DIAG_COUNT_OVERLAP, s, &words, NULL);
    if (status == MARQ_OK && f && r->before &&
        !marq_exact_less(s->at, r->before->at)) {
        status = marq_finding_relate(r->findings, f, r->before->span,
                                     "written here before");
    }
    return status;
}

/* The end of a section: past one phrase the last one should be full. */
static marq_status close_section(marq_reckoner *r)
{
    if (!r->begun || r->lost || r->tree->unsquare || r->before == NULL ||
        r->waiting != SIZE_MAX) {
        return MARQ_OK;
    }
    bool too_big = false;
    marq_count length = marq_exact_subtract(&too_big, r->high, r->origin);
    marq_count over = marq_exact_rest(&too_big, length, r->phrase);
    if (too_big || !marq_exact_less(r->phrase, length) ||
        marq_count_is_zero(over)) {
        return MARQ_OK;
    }
    marq_build missing, of;
    marq_build_init(&missing, r->arena);
    marq_build_init(&of, r->arena);
    marq_count_length_words(&missing, subtract(r, r->phrase, over));
    marq_count_length_words(&of, r->phrase);
    return marq_count_say(r, NULL, MARQ_DIAG_PHRASE_SHORT, r->before, &missing,
                       &of);
}

/* ---- placing ---- */

static bool is_too_big(marq_count c)
{
    return c.den < 1 || c.den > FRACTION_MOST || c.num < 0 ||
           c.num / c.den > COUNT_MOST;
}

/* Where the stretch ends in its own numbers. */
static marq_count written_end(marq_reckoner *r, const marq_stretch *s)
{
    return add(r, s->to, s->half ? one_half : one);
}

/* The first place not before `least` where number `from` of a numbering that
 * starts again within the phrase can stand; false if `from` lies beyond a
 * phrase. */
static bool find_restart(marq_reckoner *r, marq_count *out, marq_count from,
                         marq_count least)
{
    marq_count in_phrase = subtract(r, from, one);
    if (!marq_exact_less(in_phrase, r->phrase)) {
        return false;
    }
    if (r->tree->unsquare) { /* phrases are as long as they are written */
        *out = marq_exact_less(zero, in_phrase) ? add(r, least, in_phrase)
                                                : least;
        return true;
    }
    marq_count past =
        subtract(r, subtract(r, least, r->origin), in_phrase);
    int64_t n = marq_exact_up(
        marq_exact_divide(&r->too_big, past, r->phrase));
    marq_count start =
        marq_exact_multiply(&r->too_big, r->phrase, marq_exact_whole(n));
    *out = add(r, add(r, r->origin, start), in_phrase);
    return true;
}

/* Does number `from` fit at `due`, in the numbering so far, in one from the
 * beginning of the text, or in one that starts again? */
static bool fits_at(marq_reckoner *r, marq_count from, marq_count due)
{
    marq_count again;
    return marq_exact_equal(add(r, from, r->offset), due) ||
           marq_exact_equal(from, due) ||
           (find_restart(r, &again, from, due) &&
            marq_exact_equal(again, due));
}

/* Gives the stretches that wait the counts from due up to `until`, each in
 * proportion to its usual length, or equal parts if one is not known. */
static void fill_waiting(marq_reckoner *r, size_t until_stretch,
                         marq_count until)
{
    marq_stretch *all = r->stretches.at;
    marq_count room = subtract(r, until, r->due), sum = zero;
    bool known = true;
    int64_t parts = 0;
    for (int pass = 0; pass < 2; pass++) {
        for (size_t i = r->waiting; i < until_stretch; i++) {
            marq_stretch *s = &all[i];
            if (!s->dances) {
                continue;
            }
            marq_count usual = zero;
            for (size_t j = 0; j < s->item_count; j++) {
                const marq_item *item = MARQ_AT(&r->tree->items, marq_item,
                                                s->first_item + j);
                marq_count n = zero;
                if (marq_share_dances(item)) {
                    known = marq_share_usual(&n, r->vocab, r->tree, item) &&
                            known;
                }
                usual = add(r, usual, n);
            }
            if (pass == 0) {
                sum = add(r, sum, usual);
                parts++;
                continue;
            }
            marq_count part = marq_exact_divide(
                &r->too_big, known ? usual : one,
                known ? sum : marq_exact_whole(parts));
            s->at = r->due;
            s->length = marq_exact_multiply(&r->too_big, room, part);
            s->origin = r->origin;
            s->placed = !r->too_big;
            r->due = add(r, r->due, s->length);
        }
    }
    r->due = until;
}

/* A text that begins with the end of a phrase and then goes on at 1: what
 * stands there is counted in ("5-8 preparation"). */
static bool is_introduction(marq_reckoner *r, size_t first)
{
    const marq_stretch *all = r->stretches.at;
    marq_count end = add(r, r->phrase, one), next = all[first].from;
    if (marq_exact_less(add(r, next, next), end) ||
        !marq_exact_less(next, end)) {
        return false;
    }
    for (size_t i = first; i < r->stretches.count; i++) {
        const marq_stretch *s = &all[i];
        if (s->side != all[first].side) {
            return false;
        }
        if (!s->counted) {
            continue;
        }
        if (is_too_big(s->from) || is_too_big(s->to)) {
            return false;
        }
        if (marq_exact_equal(next, end)) {
            return !marq_exact_less(one, s->from);
        }
        if (!marq_exact_equal(s->from, next) ||
            marq_exact_less(s->to, s->from)) {
            return false;
        }
        next = written_end(r, s);
    }
    return false;
}

/* The first counted stretch of a section: decides its numbering. */
static void begin_section(marq_reckoner *r, size_t index)
{
    const marq_stretch *s = MARQ_AT(&r->stretches, marq_stretch, index);
    r->begun = true;
    r->offset = subtract(r, r->origin, one);
    r->due = r->origin;
    if (!marq_exact_less(one, s->from)) {
        r->due = add(r, s->from, r->offset); /* 1, or an upbeat to it */
    } else if (r->waiting == SIZE_MAX && is_introduction(r, index)) {
        r->offset = subtract(r, r->offset, r->phrase);
        r->due = add(r, s->from, r->offset);
    } else if (marq_exact_equal(s->from, r->origin)) {
        r->offset = zero; /* a second side that counts on */
    }
}

static marq_status settle_place(marq_reckoner *r, size_t index)
{
    marq_stretch *s = MARQ_AT(&r->stretches, marq_stretch, index);
    marq_count in_frame = add(r, s->from, r->offset);
    marq_count again, offset;
    bool can_restart = find_restart(r, &again, s->from, r->due);
    bool room = r->waiting != SIZE_MAX;
    if (marq_exact_equal(in_frame, r->due)) {
        s->at = in_frame;
    } else if (fits_at(r, s->from, r->due)) {
        s->at = r->due;
    } else {
        /* The nearer of: numbering so far, a new start after this. */
        s->at = in_frame;
        if (can_restart && marq_exact_less(in_frame, r->due) &&
            (r->lost || room ||
             marq_exact_less(subtract(r, again, r->due),
                             subtract(r, r->due, in_frame)))) {
            s->at = again;
        } else if (can_restart && marq_exact_less(r->due, in_frame) &&
                   marq_exact_less(again, in_frame)) {
            s->at = again;
        }
    }
    s->placed = !r->too_big;
    offset = subtract(r, s->at, s->from);
    marq_status status = MARQ_OK;
    if (r->too_big) {
        return MARQ_OK; /* said by the caller */
    }
    if (marq_exact_less(r->due, s->at)) {
        if (room) {
            fill_waiting(r, index, s->at);
        } else if (!r->lost) {
            status = say_gap(r, s, offset);
        }
    } else if (marq_exact_less(s->at, r->due)) {
        status = say_overlap(r, s);
    }
    r->offset = offset;
    return status;
}

static marq_status place_stretch(marq_reckoner *r, size_t index)
{
    marq_stretch *s = MARQ_AT(&r->stretches, marq_stretch, index);
    marq_status status;
    r->too_big = false;
    if (is_too_big(s->from) || is_too_big(s->to)) {
        r->lost = true;
        return say_too_big(r, s);
    }
    if (marq_exact_less(s->to, s->from)) {
        r->lost = true;
        return say_backwards(r, s);
    }
    s->length = subtract(r, written_end(r, s), s->from);
    if (!r->begun) {
        begin_section(r, index);
    } else if (r->before && r->waiting == SIZE_MAX && s->from.den == 2 &&
               r->before->placed && !r->before->half &&
               marq_exact_less(one_half, r->before->length)) {
        /* "7, &8": the and before 8 is taken from 7 */
        marq_count earlier = subtract(r, r->due, one_half);
        if (marq_exact_equal(add(r, r->before->at, r->before->length),
                             r->due) &&
            fits_at(r, s->from, earlier)) {
            r->before->length = subtract(r, r->before->length, one_half);
            r->due = earlier;
        }
    }
    status = settle_place(r, index);
    if (status != MARQ_OK) {
        return status;
    }
    marq_count end = add(r, s->at, s->length);
    if (r->too_big) {
        s->placed = false;
        r->lost = true;
        return say_too_big(r, s);
    }
    s->origin = r->origin;
    s->follows = r->before && r->waiting == SIZE_MAX;
    r->due = end;
    if (marq_exact_less(r->high, end)) {
        r->high = end;
    }
    r->before = s;
    r->waiting = SIZE_MAX;
    return MARQ_OK;
}

marq_status marq_count_place(marq_reckoner *r)
{
    marq_status status = MARQ_OK;
    uint8_t side = MARQ_SIDE_NONE;
    r->origin = r->due = r->high = one;
    r->waiting = SIZE_MAX;
    for (size_t i = 0; i < r->stretches.count && status == MARQ_OK; i++) {
        marq_stretch *s = MARQ_AT(&r->stretches, marq_stretch, i);
        if (s->side != side && r->begun) {
            status = close_section(r);
            r->origin = r->due = r->high;
            r->begun = r->lost = false;
            r->before = NULL;
            r->waiting = SIZE_MAX;
        }
        side = s->side;
        if (status == MARQ_OK && s->counted) {
            status = place_stretch(r, i);
        } else if (s->dances && r->waiting == SIZE_MAX) {
            r->waiting = i;
        }
    }
    return status == MARQ_OK ? close_section(r) : status;
}
