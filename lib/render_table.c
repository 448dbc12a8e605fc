/* render_table.c - the walk-through: a row a count, or a row a step where no
 * counts are written. */
#include "render_parts.h"

#include "count.h"
#include "text.h"

#define CELLS 5
#define BETWEEN 2 /* columns between two cells */
#define LEAST 10  /* no cell is set narrower, unless all of it is */

typedef struct row {
    const char *cell[CELLS]; /* count, step, weight, feet, facing */
} row;

static const char *join(marq_build *out, const char *a, const char *b,
                        const char *c)
{
    marq_build made;
    const char *text;

    marq_build_init(&made, out->bytes.arena);
    marq_build_text(&made, a);
    marq_build_text(&made, b);
    marq_build_text(&made, c);
    text = marq_build_done(&made, NULL);
    if (text == NULL) {
        out->failed = true;
    }
    return text != NULL ? text : "";
}

static const char *step_number(marq_build *out, size_t n)
{
    marq_build made;
    const char *text;

    marq_build_init(&made, out->bytes.arena);
    marq_build_number(&made, (int64_t)n);
    text = marq_build_done(&made, NULL);
    if (text == NULL) {
        out->failed = true;
    }
    return text != NULL ? text : "";
}

static row make_row(marq_build *out, const marq_moment *m, size_t index,
                    bool counted)
{
    row r = {{m->count, m->step, m->weight, m->feet, m->facing}};

    if (!counted) {
        r.cell[0] = index > 0 ? step_number(out, index) : "";
    }
    if (m->assumed) {
        r.cell[1] = join(out, "~", m->step, "");
    }
    if (!m->known) {
        r.cell[2] = "-";
        r.cell[3] = "not known";
        r.cell[4] = "";
    } else if (m->level[0] != '\0' && strcmp(m->level, "flat") != 0) {
        r.cell[2] = join(out, m->weight, ", ", m->level);
    }
    return r;
}

/* Takes columns from the widest cells until the row fits. */
static void shrink(size_t wide[CELLS], size_t width)
{
    for (;;) {
        size_t all = (CELLS - 1) * BETWEEN;
        size_t widest = 0;

        for (size_t i = 0; i < CELLS; i++) {
            all += wide[i];
            if (wide[i] > wide[widest]) {
                widest = i;
            }
        }
        if (all <= width || wide[widest] <= LEAST) {
            return;
        }
        wide[widest]--;
    }
}

/* One row, as many lines as its longest cell needs. */
static void write_row(marq_build *out, const row *r, const size_t wide[CELLS])
{
    const char *rest[CELLS];
    bool more = true;

    for (size_t i = 0; i < CELLS; i++) {
        rest[i] = r->cell[i];
    }
    while (more) {
        size_t owed = 0; /* blanks, written only if something follows */

        more = false;
        for (size_t i = 0; i < CELLS; i++) {
            size_t length = strlen(rest[i]);
            size_t columns = 0, next = 0;
            size_t taken = marq_render_piece(rest[i], length, wide[i],
                                             &columns, &next);

            if (taken > 0) {
                marq_render_fill(out, ' ', owed);
                marq_text_show(out, rest[i], taken);
                owed = 0;
            }
            rest[i] += next;
            more = more || *rest[i] != '\0';
            owed += (columns < wide[i] ? wide[i] - columns : 0) + BETWEEN;
        }
        marq_build_char(out, '\n');
    }
}

/* Counts of a moment that get a row of their own: those of a step that lasts
 * several whole counts.  One stands where it ends only at the last of them. */
#define ROWS_MOST 64
static size_t rows_of(const marq_moment *m)
{
    bool whole = m->length.den == 1 && m->length.num > 1 && m->at.den == 1;
    return whole && m->length.num <= ROWS_MOST ? (size_t)m->length.num : 1;
}

static const char *later_count(marq_build *out, const marq_report *report,
                               const marq_moment *m, size_t k)
{
    marq_build made;
    marq_count at = {m->at.num + (int64_t)k, 1};

    marq_build_init(&made, out->bytes.arena);
    marq_count_words(&made, at, report->sum.phrase);
    const char *text = marq_build_done(&made, NULL);
    if (text == NULL) {
        out->failed = true;
    }
    return text != NULL ? text : "";
}

/* The rows of one moment; returns how many. */
static size_t make_rows(marq_build *out, const marq_report *report, size_t i,
                        bool counted, row *rows)
{
    const marq_moment *m = MARQ_AT(&report->moments, marq_moment, i);
    size_t count = rows_of(m);

    rows[count - 1] = make_row(out, m, i, counted);
    if (count == 1) {
        return 1;
    }
    for (size_t k = 0; k < count; k++) {
        if (k + 1 < count) {
            rows[k] = (row){{"", "", "", "", ""}};
        }
        rows[k].cell[0] = later_count(out, report, m, k);
    }
    rows[0].cell[1] = rows[count - 1].cell[1];
    rows[count - 1].cell[1] = "";
    return count;
}

static bool has_counts(const marq_array *moments)
{
    for (size_t i = 0; i < moments->count; i++) {
        if (MARQ_AT(moments, marq_moment, i)->count[0] != '\0') {
            return true;
        }
    }
    return false;
}

void marq_render_table(marq_build *out, const marq_report *report,
                       const marq_render_opts *opts)
{
    const marq_array *moments = &report->moments;
    bool counted = has_counts(moments);
    row head = {{counted ? "count" : "step", counted ? "step" : "name",
                 "weight", "feet", "facing"}};
    size_t wide[CELLS];
    size_t count = 1;

    for (size_t i = 0; i < moments->count; i++) {
        count += rows_of(MARQ_AT(moments, marq_moment, i));
    }
    row *rows = marq_arena_alloc(out->bytes.arena, count, sizeof *rows);
    if (rows == NULL) {
        out->failed = true;
        return;
    }
    rows[0] = head;
    count = 1;
    for (size_t i = 0; i < moments->count; i++) {
        count += make_rows(out, report, i, counted, &rows[count]);
    }
    for (size_t i = 0; i < CELLS; i++) {
        wide[i] = 0;
        for (size_t k = 0; k < count; k++) {
            size_t need =
                marq_text_width(rows[k].cell[i], strlen(rows[k].cell[i]));
            wide[i] = need > wide[i] ? need : wide[i];
        }
    }
    shrink(wide, opts->width);
    for (size_t k = 0; k < count; k++) {
        write_row(out, &rows[k], wide);
    }
}
