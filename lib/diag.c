/* diag.c - the catalogue of findings and lists of findings. */
#include "diag.h"

#define FINDINGS_USUAL ((size_t)10000) /* marq_limits: findings */

typedef struct diag_entry {
    const char *code;
    marq_severity severity;
    const char *headline;
} diag_entry;

static const diag_entry catalogue[] = {
#define MARQ_DIAG(name, code, severity, headline)                              \
    {code, MARQ_##severity, headline},
#include "diag.def"
#undef MARQ_DIAG
};

_Static_assert(sizeof catalogue / sizeof catalogue[0] == MARQ_DIAGS,
               "one entry a kind of finding");

/* ---- catalogue ---- */

const char *marq_diag_code(marq_diag d)
{
    return MARQ_NEVER((size_t)d >= MARQ_DIAGS) ? "" : catalogue[d].code;
}

marq_severity marq_diag_severity(marq_diag d)
{
    return MARQ_NEVER((size_t)d >= MARQ_DIAGS) ? MARQ_NOTE
                                               : catalogue[d].severity;
}

const char *marq_diag_headline(marq_diag d)
{
    return MARQ_NEVER((size_t)d >= MARQ_DIAGS) ? "" : catalogue[d].headline;
}

marq_diag marq_diag_by_code(const char *code)
{
    size_t i = 0;

    if (code == NULL) {
        return MARQ_DIAGS;
    }
    while (i < MARQ_DIAGS && strcmp(catalogue[i].code, code) != 0) {
        i++;
    }
    return (marq_diag)i;
}

/* ---- the list ---- */

void marq_findings_init(marq_findings *findings, marq_arena *arena,
                        size_t limit)
{
    memset(findings, 0, sizeof *findings);
    findings->arena = arena;
    findings->mem = arena->mem;
    findings->limit = limit == 0 ? FINDINGS_USUAL : limit;
    marq_arena_init(&findings->own, arena->mem);
    marq_array_init(&findings->list, arena, sizeof(marq_finding));
}

marq_status marq_findings_new(marq_findings **out, marq_mem mem, size_t limit)
{
    marq_findings *findings = marq_mem_alloc(mem, sizeof *findings);
    marq_arena own;

    *out = NULL;
    if (findings == NULL) {
        return MARQ_MEMORY;
    }
    marq_arena_init(&own, mem);
    marq_findings_init(findings, &own, limit);
    findings->arena = &findings->own;
    findings->list.arena = &findings->own;
    *out = findings;
    return MARQ_OK;
}

void marq_findings_free(marq_findings *findings)
{
    /* A borrowed list belongs to its combination or report. */
    if (findings != NULL && findings->arena == &findings->own) {
        marq_arena_free(&findings->own);
        marq_mem_free(findings->mem, findings);
    }
}

size_t marq_finding_count(const marq_findings *findings)
{
    return findings == NULL ? 0 : findings->list.count;
}

const marq_finding *marq_finding_at(const marq_findings *findings, size_t i)
{
    if (i >= marq_finding_count(findings)) {
        return NULL;
    }
    return MARQ_AT(&findings->list, const marq_finding, i);
}

size_t marq_finding_count_of(const marq_findings *findings,
                             marq_severity severity)
{
    size_t count = 0;
    size_t i;

    for (i = 0; i < marq_finding_count(findings); i++) {
        if (marq_finding_at(findings, i)->severity == severity) {
            count++;
        }
    }
    return count;
}

/* The template with %1, %2, %3 replaced; NULL when memory ends. */
static const char *fill_template(marq_arena *arena, const char *template,
                                 const char *const texts[3])
{
    marq_build build;
    const char *at = template;

    marq_build_init(&build, arena);
    while (*at != '\0') {
        const char *mark = strchr(at, '%');

        if (mark == NULL) {
            marq_build_text(&build, at);
            break;
        }
        marq_build_bytes(&build, at, (size_t)(mark - at));
        if (mark[1] >= '1' && mark[1] <= '3') {
            marq_build_text(&build, texts[mark[1] - '1']);
            at = mark + 2;
        } else {
            marq_build_char(&build, '%');
            at = mark + 1;
        }
    }
    return marq_build_done(&build, NULL);
}

marq_status marq_findings_add(marq_findings *findings, marq_finding **out,
                              marq_diag kind, marq_span span, const char *a,
                              const char *b, const char *c)
{
    const char *const texts[3] = {a, b, c};
    const char *headline;
    marq_finding *f;

    if (out != NULL) {
        *out = NULL;
    }
    if (findings->list.count >= findings->limit) {
        findings->left_out++;
        return MARQ_OK;
    }
    headline = fill_template(findings->arena, marq_diag_headline(kind), texts);
    if (headline == NULL) {
        return MARQ_MEMORY;
    }
    f = marq_array_add(&findings->list);
    if (f == NULL) {
        return MARQ_MEMORY;
    }
    f->code = marq_diag_code(kind);
    f->severity = marq_diag_severity(kind);
    f->has_span = true;
    f->span = span;
    f->headline = headline;
    f->label = "";
    f->count.den = 1;
    if (out != NULL) {
        *out = f;
    }
    return MARQ_OK;
}

/* A copy of `text` ("" for NULL) in the list's arena. */
static bool copy_text(marq_findings *findings, const char **out,
                      const char *text)
{
    const char *copy;

    if (text == NULL || *text == '\0') {
        *out = "";
        return true;
    }
    copy = marq_arena_copy(findings->arena, text, strlen(text));
    if (copy == NULL) {
        return false;
    }
    *out = copy;
    return true;
}

marq_status marq_finding_label(marq_findings *findings, marq_finding *f,
                               const char *label)
{
    if (f == NULL) {
        return MARQ_OK;
    }
    return copy_text(findings, &f->label, label) ? MARQ_OK : MARQ_MEMORY;
}

marq_status marq_finding_relate(marq_findings *findings, marq_finding *f,
                                marq_span span, const char *label)
{
    marq_related *related;

    if (f == NULL || f->related_count >= MARQ_RELATED_MOST) {
        return MARQ_OK;
    }
    related = &f->related[f->related_count];
    if (!copy_text(findings, &related->label, label)) {
        return MARQ_MEMORY;
    }
    related->span = span;
    f->related_count++;
    return MARQ_OK;
}

marq_status marq_finding_note(marq_findings *findings, marq_finding *f,
                              const char *note)
{
    if (f == NULL || f->note_count >= MARQ_NOTES_MOST) {
        return MARQ_OK;
    }
    if (!copy_text(findings, &f->notes[f->note_count], note)) {
        return MARQ_MEMORY;
    }
    f->note_count++;
    return MARQ_OK;
}

marq_status marq_finding_fix(marq_findings *findings, marq_finding *f,
                             marq_span span, const char *text,
                             const char *label, marq_confidence confidence)
{
    marq_fix *fix;

    if (f == NULL || f->fix_count >= MARQ_FIXES_MOST) {
        return MARQ_OK;
    }
    fix = &f->fixes[f->fix_count];
    if (!copy_text(findings, &fix->text, text) ||
        !copy_text(findings, &fix->label, label)) {
        return MARQ_MEMORY;
    }
    fix->span = span;
    fix->text_length = strlen(fix->text);
    fix->confidence = confidence;
    f->fix_count++;
    return MARQ_OK;
}

/* ---- order ---- */

/* True if `a` must stand before `b` whatever came first. */
static bool goes_before(const marq_finding *a, const marq_finding *b)
{
    if (a->span.from != b->span.from) {
        return a->span.from < b->span.from;
    }
    return a->severity > b->severity;
}

/* Sorts at[0 .. count) by merging longer and longer runs of numbers into the
 * list, then moves each finding once.  `order` and `other` have `count`
 * numbers each; `moved` has room for all findings. */
static void merge_findings(marq_finding *at, size_t count, size_t *order,
                           size_t *other, marq_finding *moved)
{
    size_t run;
    size_t i;

    for (i = 0; i < count; i++) {
        order[i] = i;
    }
    for (run = 1; run < count; run *= 2) {
        size_t from;
        size_t *swap;

        for (from = 0; from < count; from += 2 * run) {
            size_t middle = count - from > run ? from + run : count;
            size_t to = count - from > 2 * run ? from + 2 * run : count;
            size_t left = from;
            size_t right = middle;

            for (i = from; i < to; i++) {
                if (right < to &&
                    (left == middle || goes_before(&at[order[right]],
                                                   &at[order[left]]))) {
                    other[i] = order[right++];
                } else {
                    other[i] = order[left++];
                }
            }
        }
        swap = order;
        order = other;
        other = swap;
    }
    for (i = 0; i < count; i++) {
        moved[i] = at[order[i]];
    }
    memcpy(at, moved, count * sizeof *at);
}

/* The same order without further memory, slower. */
static void insert_findings(marq_finding *at, size_t count)
{
    size_t i;

    for (i = 1; i < count; i++) {
        marq_finding taken = at[i];
        size_t to = i;

        while (to > 0 && goes_before(&taken, &at[to - 1])) {
            at[to] = at[to - 1];
            to--;
        }
        at[to] = taken;
    }
}

void marq_findings_sort(marq_findings *findings)
{
    marq_finding *at = findings->list.at;
    size_t count = findings->list.count;
    size_t i = 1;
    size_t *order;
    marq_finding *moved;

    while (i < count && !goes_before(&at[i], &at[i - 1])) {
        i++;
    }
    if (i >= count) {
        return; /* in order already, the usual case */
    }
    /* No overflow: the list itself is larger than two numbers a finding. */
    order = marq_mem_alloc(findings->mem, 2 * count * sizeof *order);
    moved = marq_mem_alloc(findings->mem, count * sizeof *moved);
    if (order != NULL && moved != NULL) {
        merge_findings(at, count, order, order + count, moved);
    } else {
        insert_findings(at, count);
    }
    marq_mem_free(findings->mem, order);
    marq_mem_free(findings->mem, moved);
}

/* ---- copying ---- */

/* Points all texts of *f at copies of their own. */
static bool copy_texts(marq_findings *to, marq_finding *f)
{
    size_t i;

    if (!copy_text(to, &f->headline, f->headline) ||
        !copy_text(to, &f->label, f->label)) {
        return false;
    }
    for (i = 0; i < f->related_count; i++) {
        if (!copy_text(to, &f->related[i].label, f->related[i].label)) {
            return false;
        }
    }
    for (i = 0; i < f->note_count; i++) {
        if (!copy_text(to, &f->notes[i], f->notes[i])) {
            return false;
        }
    }
    for (i = 0; i < f->fix_count; i++) {
        if (!copy_text(to, &f->fixes[i].text, f->fixes[i].text) ||
            !copy_text(to, &f->fixes[i].label, f->fixes[i].label)) {
            return false;
        }
    }
    return true;
}

marq_status marq_findings_append(marq_findings *to, const marq_findings *from)
{
    const size_t before = to->list.count;
    const size_t count = from->list.count;
    const size_t room = to->limit - before;
    const size_t kept = count < room ? count : room;
    size_t i;

    for (i = 0; i < kept; i++) {
        marq_finding copy = *marq_finding_at(from, i);
        marq_finding *f = NULL;

        if (copy_texts(to, &copy)) {
            f = marq_array_add(&to->list);
        }
        if (f == NULL) {
            to->list.count = before; /* all or nothing */
            return MARQ_MEMORY;
        }
        *f = copy;
    }
    to->left_out += count - kept + from->left_out;
    return MARQ_OK;
}
