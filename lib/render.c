/* render.c - findings with their lines, and one a line. */
#include "render.h"

#include "render_parts.h"
#include "text.h"

#define GUTTER 8 /* columns before a line of the text: its number */

static const char *severity_words(marq_severity severity)
{
    static const char *const words[] = {"note", "question", "problem"};

    return words[severity <= MARQ_PROBLEM ? severity : MARQ_PROBLEM];
}

/* ---- colour ---- */

/* Bold red, yellow, cyan; the colours are chosen to be told apart on light
 * and dark, and nothing is said by them alone. */
static void paint(marq_build *out, bool colour, marq_severity severity)
{
    static const char *const codes[] = {"\033[1;36m", "\033[1;33m",
                                        "\033[1;31m"};

    if (colour) {
        marq_build_text(
            out, codes[severity <= MARQ_PROBLEM ? severity : MARQ_PROBLEM]);
    }
}

static void unpaint(marq_build *out, bool colour)
{
    if (colour) {
        marq_build_text(out, "\033[0m");
    }
}

/* ---- places ---- */

/* Findings come in the order of the text: the column is counted on from the
 * place before, so that many in one long line cost no more than the line. */
typedef struct cursor {
    const marq_source *source;
    size_t byte;
    marq_place place; /* of byte; line 0: nowhere yet */
} cursor;

/* The line, from 1, that a byte stands on. */
static uint32_t line_of(const marq_source *source, size_t byte)
{
    size_t low = 0;
    size_t high = source->line_count;

    while (high - low > 1) {
        size_t middle = low + (high - low) / 2;

        if (source->line[middle] <= byte) {
            low = middle;
        } else {
            high = middle;
        }
    }
    return (uint32_t)(low + 1);
}

static marq_place place_of(cursor *c, size_t byte)
{
    const marq_source *source = c->source;
    uint32_t line;

    if (byte > source->length) {
        byte = source->length;
    }
    line = line_of(source, byte);
    if (c->place.line != line || c->byte > byte) {
        c->place.line = line;
        c->place.column = 1;
        c->byte = source->line[line - 1];
    }
    while (c->byte < byte) {
        c->byte++;
        if (c->byte == source->length ||
            ((unsigned char)source->bytes[c->byte] & 0xc0) != 0x80) {
            c->place.column++;
        }
    }
    return c->place;
}

/* ---- a line of the text and what is under it ---- */

typedef struct mark { /* a place to be underlined */
    marq_span span;
    const char *label;
    char stroke;
} mark;

typedef struct window { /* the part of a line that is shown */
    uint32_t line;
    size_t from, to;   /* bytes of the source */
    bool left, right;  /* something was cut off there */
} window;

typedef struct page {
    marq_build *out;
    const marq_source *source;
    size_t width;
    bool colour;
    cursor at;
} page;

/* Where a walk back from `to` over at most `most` columns ends. */
static size_t back_columns(const char *bytes, size_t from, size_t to,
                           size_t most)
{
    while (to > from) {
        size_t taken = 1;
        size_t wide;

        while (taken < 4 && taken < to - from &&
               ((unsigned char)bytes[to - taken] & 0xc0) == 0x80) {
            taken++;
        }
        if (marq_text_decode(bytes + to - taken, taken, NULL) != taken) {
            taken = 1;
        }
        wide = marq_text_width(bytes + to - taken, taken);
        if (wide > most) {
            break;
        }
        most -= wide;
        to -= taken;
    }
    return to;
}

/* A span within its first line. */
static marq_span clip_span(marq_span span, marq_span line)
{
    if (span.from > line.to) {
        span.from = line.to;
    }
    if (span.to > line.to) {
        span.to = line.to;
    }
    if (span.to < span.from) {
        span.to = span.from;
    }
    return span;
}

static window choose_window(const page *p, uint32_t number, marq_span span)
{
    const char *bytes = p->source->bytes;
    marq_span line = marq_source_line(p->source, number);
    size_t room = p->width - GUTTER;
    size_t wide;
    window w = {number, line.from, line.to, false, false};

    if (marq_render_fit(bytes + line.from, line.to - line.from, room, NULL) ==
        line.to - line.from) {
        return w;
    }
    span = clip_span(span, line);
    (void)marq_render_fit(bytes + span.from, span.to - span.from, room - 6,
                          &wide);
    w.from = back_columns(bytes, line.from, span.from, (room - 6 - wide) / 2);
    w.left = w.from > line.from;
    room -= w.left ? 3 : 0;
    w.to = w.from + marq_render_fit(bytes + w.from, line.to - w.from, room,
                                    NULL);
    w.right = w.to < line.to;
    if (w.right) {
        w.to = w.from + marq_render_fit(bytes + w.from, line.to - w.from,
                                        room - 3, NULL);
    }
    return w;
}

static void show_window(page *p, const window *w)
{
    size_t digits = 1;
    uint32_t n;

    for (n = w->line; n >= 10; n /= 10) {
        digits++;
    }
    marq_render_fill(p->out, ' ', digits < GUTTER - 2 ? GUTTER - 2 - digits
                                                      : 0);
    marq_build_number(p->out, w->line);
    if (w->to > w->from) {
        marq_build_text(p->out, "  ");
        marq_build_text(p->out, w->left ? "..." : "");
        marq_text_show(p->out, p->source->bytes + w->from, w->to - w->from);
        marq_build_text(p->out, w->right ? "..." : "");
    }
    marq_build_char(p->out, '\n');
}

static void show_underline(page *p, const window *w, const mark *m,
                           marq_severity severity)
{
    const char *bytes = p->source->bytes;
    marq_span shown = {(uint32_t)w->from, (uint32_t)w->to};
    marq_span span = clip_span(m->span, shown);
    size_t column = GUTTER + (w->left ? 3u : 0u) +
                    marq_text_width(bytes + w->from, span.from - w->from);
    size_t wide = marq_text_width(bytes + span.from, span.to - span.from);
    size_t said;

    wide = wide > 0 ? wide : 1;
    marq_render_fill(p->out, ' ', column);
    paint(p->out, p->colour, severity);
    marq_render_fill(p->out, m->stroke, wide);
    unpaint(p->out, p->colour);
    said = marq_text_width(m->label, strlen(m->label));
    if (said == 0) {
        marq_build_char(p->out, '\n');
    } else if (column + wide + 2 + said <= p->width) {
        marq_build_text(p->out, "  ");
        marq_text_show(p->out, m->label, strlen(m->label));
        marq_build_char(p->out, '\n');
    } else {
        /* below, as far to the right as it fits */
        size_t indent = said < p->width - GUTTER ? p->width - said : GUTTER;

        indent = indent < column ? indent : column;
        marq_build_char(p->out, '\n');
        marq_render_fill(p->out, ' ', indent);
        marq_render_wrap(p->out, m->label, indent, indent, p->width);
    }
}

/* All places of a finding in the order of the text.  Those on one line share
 * it, unless it had to be cut. */
static void show_marks(page *p, const marq_finding *f)
{
    mark marks[1 + MARQ_RELATED_MOST];
    size_t count = 1;
    window w = {0, 0, 0, false, false};

    marks[0] = (mark){f->span, f->label, '^'};
    for (size_t i = 0; i < f->related_count; i++) {
        size_t at = count++;

        while (at > 0 && marks[at - 1].span.from > f->related[i].span.from) {
            marks[at] = marks[at - 1];
            at--;
        }
        marks[at] = (mark){f->related[i].span, f->related[i].label, '-'};
    }
    for (size_t i = 0; i < count; i++) {
        uint32_t line = line_of(p->source, marks[i].span.from);

        if (line != w.line || w.left || w.right) {
            w = choose_window(p, line, marks[i].span);
            show_window(p, &w);
        }
        show_underline(p, &w, &marks[i], f->severity);
    }
}

/* ---- one finding ---- */

static void show_place(page *p, const marq_finding *f, const char *name)
{
    bool named = strcmp(name, "-") != 0;
    const char *between = "  ";

    if (!named && !f->has_span && !f->has_count) {
        return;
    }
    if (named) {
        marq_build_text(p->out, between);
        marq_text_show(p->out, name, strlen(name));
        between = ", ";
    }
    if (f->has_span) {
        marq_place place = place_of(&p->at, f->span.from);

        marq_build_text(p->out, between);
        marq_build_text(p->out, "line ");
        marq_build_number(p->out, place.line);
        marq_build_text(p->out, ", column ");
        marq_build_number(p->out, place.column);
        between = ", ";
    }
    if (f->has_count) {
        marq_build_text(p->out, between);
        marq_build_text(p->out, "count ");
        marq_render_number(p->out, f->count);
    }
    marq_build_char(p->out, '\n');
}

/* Does a label already end with the text it puts in? */
static bool says_text(const char *label, const char *text, size_t length)
{
    size_t all = strlen(label);

    while (length > 0 && (text[length - 1] == ' ' || text[length - 1] == ',')) {
        length--;
    }
    while (length > 0 && (*text == ' ' || *text == ',')) {
        text++;
        length--;
    }
    return length <= all && memcmp(label + all - length, text, length) == 0;
}

static void show_fix(page *p, const marq_finding *f, const marq_fix *fix)
{
    static const char head[] = "  try   ";
    marq_build text;
    const char *made;
    uint32_t line = line_of(p->source, fix->span.from);

    marq_build_init(&text, p->out->bytes.arena);
    marq_build_text(&text, fix->label);
    if (!says_text(fix->label, fix->text, fix->text_length)) {
        marq_build_text(&text, ": ");
        marq_build_bytes(&text, fix->text, fix->text_length);
    }
    if (!f->has_span || line != line_of(p->source, f->span.from)) {
        marq_build_text(&text, " (line ");
        marq_build_number(&text, line);
        marq_build_char(&text, ')');
    }
    made = marq_build_done(&text, NULL);
    if (made == NULL) {
        p->out->failed = true;
        return;
    }
    marq_build_text(p->out, head);
    marq_render_wrap(p->out, made, sizeof head - 1, sizeof head - 1, p->width);
}

static void show_finding(page *p, const marq_finding *f, const char *name)
{
    static const char head[] = "  note  ";
    const char *severity = severity_words(f->severity);

    paint(p->out, p->colour, f->severity);
    marq_build_text(p->out, severity);
    unpaint(p->out, p->colour);
    marq_build_text(p->out, " [");
    marq_build_text(p->out, f->code);
    marq_build_text(p->out, "] ");
    marq_render_wrap(p->out, f->headline, 2,
                     strlen(severity) + strlen(f->code) + 4, p->width);
    show_place(p, f, name);
    if (f->has_span) {
        show_marks(p, f);
    }
    for (size_t i = 0; i < f->note_count; i++) {
        marq_build_text(p->out, head);
        marq_render_wrap(p->out, f->notes[i], sizeof head - 1,
                         sizeof head - 1, p->width);
    }
    for (size_t i = 0; i < f->fix_count; i++) {
        show_fix(p, f, &f->fixes[i]);
    }
    marq_build_char(p->out, '\n');
}

/* ---- layouts ---- */

void marq_render_full(marq_build *out, const marq_report *report,
                      const marq_render_opts *opts)
{
    page p = {out, &report->combo->source, opts->width, opts->colour,
              {&report->combo->source, 0, {0, 0}}};
    const marq_findings *findings = &report->findings;

    if (p.width < 40) {
        p.width = 40; /* narrower leaves nothing beside the gutter */
    }
    for (size_t i = 0; i < marq_finding_count(findings); i++) {
        show_finding(&p, marq_finding_at(findings, i),
                     opts->name != NULL ? opts->name : "-");
    }
    if (findings->left_out > 0) {
        marq_build_text(out, "and more findings, not kept: ");
        marq_build_number(out, (int64_t)findings->left_out);
        marq_build_text(out, "\n\n");
    }
    marq_render_sums(out, report, p.width);
}

void marq_render_lines(marq_build *out, const marq_findings *findings,
                       const marq_source *source, const char *name,
                       bool colour)
{
    cursor at = {source, 0, {0, 0}};

    name = name != NULL ? name : "-";
    for (size_t i = 0; i < marq_finding_count(findings); i++) {
        const marq_finding *f = marq_finding_at(findings, i);
        marq_place place = {1, 1};

        if (f->has_span) {
            place = place_of(&at, f->span.from);
        }
        marq_text_show(out, name, strlen(name));
        marq_build_char(out, ':');
        marq_build_number(out, place.line);
        marq_build_char(out, ':');
        marq_build_number(out, place.column);
        marq_build_text(out, ": ");
        paint(out, colour, f->severity);
        marq_build_text(out, severity_words(f->severity));
        unpaint(out, colour);
        marq_build_text(out, ": ");
        marq_text_show(out, f->headline, strlen(f->headline));
        marq_build_text(out, " [");
        marq_build_text(out, f->code);
        marq_build_text(out, "]\n");
    }
}
