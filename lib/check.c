#include "check.h"

#include "assume.h"
#include "count.h"
#include "follow.h"
#include "mend.h"
#include "ready.h"
#include "reason.h"

typedef struct checker {
    marq_report *report;
    const marq_vocab *vocab;
    const marq_tree *tree;
    marq_arena *arena;
    marq_following f;
    marq_reckoning reckoning;
    marq_verdict verdict;
} checker;

/* ---- moments: the walk-through ---- */

/* When one time of a repeated item is danced; length.den 0: not known. */
typedef struct moment_time {
    marq_count at, length;
} moment_time;

static moment_time time_of(const checker *c, uint32_t item, uint32_t repeat,
                           uint32_t times)
{
    const moment_time none = {{0, 1}, {0, 0}};
    const marq_reckoning *r = &c->reckoning;
    if (item == MARQ_NO_ITEM || r->item_from == NULL ||
        r->item_from[item].den == 0 || r->item_length[item].den == 0) {
        return none;
    }
    marq_count whole = r->item_length[item], off;
    moment_time t = {r->item_from[item], whole};
    int64_t parts, before;
    if (!marq_mul_i64(&parts, whole.den, times) ||
        !marq_mul_i64(&before, whole.num, repeat) ||
        !marq_count_make(&t.length, whole.num, parts) ||
        !marq_count_make(&off, before, parts) ||
        !marq_count_add(&t.at, t.at, off)) {
        return none;
    }
    return t;
}

static const char *count_text(checker *c, moment_time t)
{
    if (t.length.den == 0) {
        return "";
    }
    marq_build b;
    marq_build_init(&b, c->arena);
    marq_count_words(&b, t.at, c->report->sum.phrase);
    return marq_build_done(&b, NULL);
}

/* The facing at a moment in words with its name; "" unless all cheapest
 * readings agree on the facing after its step. */
static const char *facing_text(checker *c, const marq_marks *marks,
                               marq_cell cell)
{
    unsigned mask = marq_marks_facings(marks);
    if (c->f.reach.no_facing || mask == 0 || (mask & (mask - 1))) {
        return "";
    }
    marq_facing f = cell.facing;
    marq_build b;
    marq_build_init(&b, c->arena);
    marq_build_text(&b, marq_facing_words(f));
    marq_alignment a = marq_alignment_of(cell.body, f);
    if (f % 2 == 1 && a != MARQ_ALIGNMENTS) {
        marq_build_text(&b, " (");
        marq_build_text(&b, marq_alignment_words(a));
        marq_build_text(&b, ")");
    }
    return marq_build_done(&b, NULL);
}

static const char *level_words(marq_body body, unsigned arrival)
{
    if (marq_body_is_two(body) && marq_body_position(body) == MARQ_TIPS) {
        return "tips";
    }
    if (arrival == MARQ_STILL) {
        return "";
    }
    return "bent"; /* jumps land and travelling steps arrive in a plie */
}

static bool add_moment(checker *c, const marq_seen *seen, marq_cell cell,
                       const marq_marks *marks, const char *step,
                       moment_time time, bool assumed)
{
    marq_moment *m = marq_array_add(&c->report->moments);
    const char *count = count_text(c, time);
    if (m == NULL || step == NULL || count == NULL) {
        return false;
    }
    marq_build b;
    marq_build_init(&b, c->arena);
    marq_body_words(&b, cell.body);
    marq_side standing = marq_body_standing(cell.body);
    m->known = true;
    m->span = seen != NULL ? seen->span : (marq_span){0, 0};
    m->count = count;
    m->step = step;
    m->weight = standing == MARQ_SIDE_NONE ? "both" : marq_side_words(standing);
    m->feet = marq_build_done(&b, NULL);
    m->level = level_words(cell.body, cell.arrival);
    m->facing = facing_text(c, marks, cell);
    m->assumed = assumed;
    m->at = time.at;
    m->length = time.length;
    return m->feet != NULL && m->facing != NULL;
}

static bool add_unknown(checker *c, const marq_seen *seen, uint32_t repeat,
                        uint32_t times)
{
    marq_moment *m = marq_array_add(&c->report->moments);
    const marq_vocab_data *data = c->vocab->data;
    const char *step =
        seen != NULL ? data->strings + data->terms[seen->stage.demand.term].name
                     : "start";
    moment_time time =
        time_of(c, seen != NULL ? seen->item : MARQ_NO_ITEM, repeat, times);
    const char *count = count_text(c, time);
    if (m == NULL || step == NULL || count == NULL) {
        return false;
    }
    m->span = seen != NULL ? seen->span : (marq_span){0, 0};
    m->count = count;
    m->step = step;
    m->weight = m->feet = m->level = m->facing = "";
    m->at = time.at;
    m->length = time.length;
    return true;
}

static bool add_danced(checker *c, const marq_seen *seen)
{
    for (size_t p = seen->path_from; p < seen->path_to; p++) {
        const marq_danced *d = MARQ_AT(&c->f.path, marq_danced, p);
        uint32_t times = (uint32_t)(seen->path_to - seen->path_from);
        if (!add_moment(c, seen, d->to, &seen->marks,
                        marq_assume_name(&c->f, c->arena, d->variant),
                        time_of(c, seen->item, d->repeat, times),
                        marq_assume_at(&c->f, seen))) {
            return false;
        }
    }
    return true;
}

static marq_status list_moments(checker *c)
{
    const marq_following *f = &c->f;
    const marq_stretch *first =
        f->stretches.count ? MARQ_AT(&f->stretches, marq_stretch, 0) : NULL;
    bool ok;
    if (first != NULL && first->opens_text &&
        (first->reached > first->first || first->start_written)) {
        ok = add_moment(c, NULL, first->at, &first->start_marks, "start",
                        time_of(c, MARQ_NO_ITEM, 0, 1),
                        !first->start_written || c->tree->start.assumed);
    } else {
        ok = add_unknown(c, NULL, 0, 1);
    }
    for (size_t i = 0; i < f->seen.count && ok; i++) {
        const marq_seen *seen = MARQ_AT(&f->seen, marq_seen, i);
        if (seen->role != MARQ_SEEN_STEP) {
            continue;
        }
        if (seen->reached) {
            ok = add_danced(c, seen);
            continue;
        }
        uint32_t times = seen->stage.demand.times;
        for (uint32_t t = 0; t < times && ok; t++) {
            ok = add_unknown(c, seen, t, times);
        }
    }
    return ok ? MARQ_OK : MARQ_MEMORY;
}

/* ---- sums of lines and phrases ---- */

static bool add_sum(marq_array *sums, marq_count sum)
{
    marq_count *added =
        marq_count_is_zero(sum) ? sums->at : marq_array_add(sums);
    if (!marq_count_is_zero(sum) && added != NULL) {
        *added = sum;
    }
    return marq_count_is_zero(sum) || added != NULL;
}

static marq_status list_sums(checker *c)
{
    const marq_reckoning *r = &c->reckoning;
    const marq_count none = {0, 1};
    marq_count phrase = none;
    bool ok = true;
    for (size_t i = 0; i < c->tree->lines.count && ok; i++) {
        const marq_line *line = MARQ_AT(&c->tree->lines, marq_line, i);
        marq_count length = r->line_length[i];
        if (line->phrase_break) {
            ok = add_sum(&c->report->phrase_sums, phrase);
            phrase = none;
        }
        if (ok && line->has_counts && length.den > 0) {
            ok = add_sum(&c->report->line_sums, length);
            if (!marq_count_add(&phrase, phrase, length)) {
                phrase = none; /* too large to reckon with: C008 says so */
            }
        }
    }
    ok = ok && add_sum(&c->report->phrase_sums, phrase);
    return ok ? MARQ_OK : MARQ_MEMORY;
}

/* ---- cautions ---- */

static marq_status list_cautions(checker *c)
{
    static const struct {
        uint8_t flag;
        const char *text;
    } all[] = {
        {MARQ_CAUTION_POINTE,
         "work on the tips of the feet: only as a qualified teacher allows; "
         "for pain or doubt ask a health professional"},
        {MARQ_CAUTION_BIG_JUMP,
         "big jumps: warm up, mind the floor and the number of repeats; a "
         "qualified teacher decides, a health professional advises on "
         "bodies"},
        {MARQ_CAUTION_TURN_IN_AIR,
         "turns in the air: only where a qualified teacher has prepared "
         "them, and by the rules of the house"},
    };
    unsigned found = 0;
    for (size_t i = 0; i < c->tree->items.count; i++) {
        const marq_item *item = MARQ_AT(&c->tree->items, marq_item, i);
        if (item->kind == MARQ_ITEM_STEP) {
            found |= c->vocab->data->terms[item->term].flags;
        }
    }
    for (size_t i = 0; i < sizeof all / sizeof all[0]; i++) {
        if (!(found & all[i].flag)) {
            continue;
        }
        marq_caution *caution = marq_array_add(&c->report->cautions);
        if (caution == NULL) {
            return MARQ_MEMORY;
        }
        caution->text = all[i].text;
    }
    return MARQ_OK;
}

/* ---- breaks ---- */

static marq_status note_unknown_rest(checker *c, const marq_stretch *s)
{
    /* the first step after a break that is danced by nobody's reading */
    size_t next = s->reached + 1;
    if (next >= s->end ||
        MARQ_AT(&c->f.seen, marq_seen, next)->role != MARQ_SEEN_STEP ||
        MARQ_AT(&c->f.seen, marq_seen, next)->reached) {
        return MARQ_OK;
    }
    return marq_findings_add(&c->report->findings, NULL, MARQ_DIAG_AFTER_BREAK,
                             MARQ_AT(&c->f.seen, marq_seen, next)->span, NULL,
                             NULL, NULL);
}

static marq_status list_breaks(checker *c, bool corrections)
{
    marq_findings *findings = &c->report->findings;
    marq_status status = MARQ_OK;
    if (c->f.start_clash) {
        marq_finding *clash;
        status = marq_reason_start(&c->f, c->arena, findings, &clash);
        if (status == MARQ_OK && corrections) {
            status = marq_mend_start_clash(&c->f, findings, clash);
        }
    }
    for (size_t i = 0; i < c->f.stretches.count && status == MARQ_OK; i++) {
        const marq_stretch *s = MARQ_AT(&c->f.stretches, marq_stretch, i);
        marq_finding *finding;
        status = marq_reason_break(&c->f, c->arena, s, findings, &finding);
        if (status != MARQ_OK || finding == NULL) {
            continue;
        }
        const marq_seen *at = MARQ_AT(&c->f.seen, marq_seen, s->reached);
        if (at->item != MARQ_NO_ITEM && c->reckoning.item_from != NULL &&
            c->reckoning.item_from[at->item].den != 0) {
            finding->has_count = true;
            finding->count = c->reckoning.item_from[at->item];
        }
        if (corrections) {
            status = marq_mend_break(&c->f, c->arena, s, findings, finding);
        }
        if (status == MARQ_OK) {
            status = note_unknown_rest(c, s);
        }
    }
    return status;
}

/* ---- the end in words ---- */

static const char *ready_text(checker *c)
{
    static const char *const whole[] = {
        "yes",
        "yes, with the usual turn from one croisé to the other (assumed)",
        "no",
        "open: readings differ",
        "not known",
    };
    const marq_readiness *r = &c->report->readiness;
    marq_build b;
    marq_build_init(&b, c->arena);
    marq_build_text(&b, "ready for the ");
    marq_build_text(&b, r->first_side == MARQ_SIDE_LEFT ? "right: " : "left: ");
    marq_build_text(&b, whole[r->whole]);
    return marq_build_done(&b, NULL);
}

static marq_status describe_end(checker *c)
{
    marq_report *r = c->report;
    r->readiness = c->verdict.ready;
    r->end_known = c->verdict.end_known;
    r->end = c->verdict.end;
    r->end_words = "";
    if (r->end_known) {
        marq_build b;
        marq_build_init(&b, c->arena);
        marq_body_words(&b, r->end);
        r->end_words = marq_build_done(&b, NULL);
    }
    r->ready_words = ready_text(c);
    return r->end_words == NULL || r->ready_words == NULL ? MARQ_MEMORY
                                                          : MARQ_OK;
}

/* The start as followed, for the clean copy. */
static void keep_start(checker *c)
{
    marq_report *r = c->report;
    r->start = c->tree->start;
    r->start_assumed = c->tree->start.assumed;
    if (c->f.stretches.count == 0) {
        return;
    }
    const marq_stretch *s = MARQ_AT(&c->f.stretches, marq_stretch, 0);
    if (!s->opens_text || s->start_written || s->reached == s->first) {
        return;
    }
    r->start.written = true;
    r->start.has_bodies = true;
    if (!c->tree->start.written) {
        r->start.facings = MARQ_ANY_FACING;
    }
    memset(r->start.bodies, 0, sizeof r->start.bodies);
    r->start.bodies[s->at.body] = 1;
    r->start_assumed = true;
}

/* ---- all of it ---- */

static marq_status run_check(checker *c, bool corrections)
{
    marq_report *report = c->report;
    marq_findings *findings = &report->findings;
    marq_array assumed;
    marq_array_init(&assumed, c->arena, sizeof(marq_assumed));
    marq_status status =
        marq_findings_append(findings, &report->combo->findings);
    if (status == MARQ_OK) {
        status = marq_count_reckon(&c->reckoning, c->arena, c->vocab, c->tree,
                                   findings);
        report->sum = c->reckoning.sum;
    }
    if (status == MARQ_OK) {
        status = marq_follow(&c->f, c->arena, c->vocab, c->tree, findings);
    }
    if (status == MARQ_OK) {
        status = list_breaks(c, corrections);
    }
    if (status == MARQ_OK) {
        status = marq_assume_list(&c->f, c->arena, findings, &assumed);
    }
    if (status == MARQ_OK) {
        status = list_moments(c);
    }
    if (status == MARQ_OK) {
        status = marq_ready_judge(&c->verdict, &c->f, c->arena, findings);
    }
    if (status == MARQ_OK) {
        status = describe_end(c);
    }
    if (status == MARQ_OK) {
        status = list_sums(c);
    }
    if (status == MARQ_OK) {
        status = list_cautions(c);
    }
    report->assumed = assumed.at;
    report->assumed_count = assumed.count;
    keep_start(c);
    marq_findings_sort(findings);
    return status;
}

marq_status marq_check_run(marq_report **out, const marq_combo *combo,
                           bool corrections)
{
    marq_mem mem = combo->vocab->mem;
    marq_report *report = marq_mem_alloc(mem, sizeof *report);
    if (report == NULL) {
        return MARQ_MEMORY;
    }
    memset(report, 0, sizeof *report);
    report->combo = combo;
    marq_arena_init(&report->arena, mem);
    marq_findings_init(&report->findings, &report->arena,
                       combo->vocab->limits.findings);
    marq_array_init(&report->moments, &report->arena, sizeof(marq_moment));
    marq_array_init(&report->line_sums, &report->arena, sizeof(marq_count));
    marq_array_init(&report->phrase_sums, &report->arena, sizeof(marq_count));
    marq_array_init(&report->cautions, &report->arena, sizeof(marq_caution));
    report->end_words = report->ready_words = "";
    checker *c = marq_arena_alloc(&report->arena, 1, sizeof *c);
    marq_status status = MARQ_MEMORY;
    if (c != NULL) {
        c->report = report;
        c->vocab = combo->vocab;
        c->tree = &combo->tree;
        c->arena = &report->arena;
        status = run_check(c, corrections);
    }
    if (status != MARQ_OK) {
        marq_check_free(report);
        return status;
    }
    *out = report;
    return MARQ_OK;
}

void marq_check_free(marq_report *report)
{
    if (report == NULL) {
        return;
    }
    marq_mem mem = report->combo->vocab->mem;
    marq_arena_free(&report->arena);
    marq_mem_free(mem, report);
}
