/* render_table.c - the walk-through: a row a step. */
#include "render_parts.h"

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
    row *rows =
        marq_arena_alloc(out->bytes.arena, moments->count + 1, sizeof *rows);

    if (rows == NULL) {
        out->failed = true;
        return;
    }
    rows[0] = head;
    for (size_t i = 0; i < moments->count; i++) {
        rows[i + 1] =
            make_row(out, MARQ_AT(moments, marq_moment, i), i, counted);
    }
    for (size_t i = 0; i < CELLS; i++) {
        wide[i] = 0;
        for (size_t k = 0; k <= moments->count; k++) {
            size_t need =
                marq_text_width(rows[k].cell[i], strlen(rows[k].cell[i]));
            wide[i] = need > wide[i] ? need : wide[i];
        }
    }
    shrink(wide, opts->width);
    for (size_t k = 0; k <= moments->count; k++) {
        write_row(out, &rows[k], wide);
    }
}
