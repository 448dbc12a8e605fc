/* render_sums.c - cautions, sums, the end, whether the other side can begin. */
#include "render_parts.h"

#include "text.h"

#define COLUMN 9   /* where the values of the sums begin */
#define ANSWERS 14 /* where the answers on the other side begin */

static void key(marq_build *out, const char *words, size_t column)
{
    size_t used = strlen(words);

    marq_build_text(out, words);
    marq_render_fill(out, ' ', used < column ? column - used : 1);
}

/* ---- counts ---- */

static void write_small(marq_build *out, int64_t n)
{
    static const char *const words[] = {
        "no",  "one",   "two",   "three", "four",   "five",  "six",
        "seven", "eight", "nine",  "ten",   "eleven", "twelve",
    };

    if (n >= 0 && (size_t)n < sizeof words / sizeof words[0]) {
        marq_build_text(out, words[n]);
    } else {
        marq_build_number(out, n);
    }
}

/* "four eights", "one six" */
static void write_phrases(marq_build *out, int64_t n, uint32_t phrase)
{
    write_small(out, n);
    if (phrase == 8 || phrase == 6) {
        marq_build_text(out, phrase == 8 ? " eight" : " six");
        marq_build_text(out, n == 1 ? "" : phrase == 8 ? "s" : "es");
    } else {
        marq_build_text(out, n == 1 ? " phrase of " : " phrases of ");
        marq_build_number(out, (int64_t)phrase);
    }
}

static void write_counts(marq_build *out, const marq_report *report)
{
    const marq_sum *sum = &report->sum;
    marq_count filled;
    int64_t phrase = sum->phrase > 0 ? (int64_t)sum->phrase : 8;

    key(out, "counts", COLUMN);
    if (!sum->written && !sum->estimated) {
        marq_build_text(out, "none written\n");
        return;
    }
    marq_build_text(out, sum->estimated ? "about " : "");
    marq_render_number(out, sum->total);
    if (report->combo->tree.unsquare) {
        marq_build_text(out, ", unsquare as declared");
    } else if (marq_count_add(&filled, sum->total, sum->missing) &&
               filled.den == 1 && filled.num > 0 &&
               filled.num % phrase == 0) {
        marq_build_text(out, ", ");
        if (!marq_count_is_zero(sum->missing)) {
            marq_render_number(out, sum->missing);
            marq_build_text(out, " short of ");
        }
        write_phrases(out, filled.num / phrase, (uint32_t)phrase);
    }
    if (sum->estimated) {
        marq_build_text(out, sum->written ? " (in part an estimate)"
                                          : " (an estimate by usual lengths)");
    }
    marq_build_char(out, '\n');
}

/* "lines    2 2 2 1 1": worth a line only if there are several. */
static void write_sums(marq_build *out, const char *what,
                       const marq_array *sums)
{
    if (sums->count < 2) {
        return;
    }
    key(out, what, COLUMN);
    for (size_t i = 0; i < sums->count; i++) {
        marq_build_text(out, i > 0 ? " + " : "");
        marq_render_number(out, *MARQ_AT(sums, marq_count, i));
    }
    marq_build_char(out, '\n');
}

/* ---- where it begins and ends ---- */

static void write_moment(marq_build *out, const char *words,
                         const marq_moment *m, const char *feet, bool assumed,
                         size_t width)
{
    marq_build b;
    const char *made;

    marq_build_init(&b, out->bytes.arena);
    marq_build_text(&b, feet);
    if (m != NULL && m->known && m->facing[0] != '\0') {
        marq_build_text(&b, ", facing ");
        marq_build_text(&b, m->facing);
    }
    marq_build_text(&b, assumed ? " (assumed)" : "");
    made = marq_build_done(&b, NULL);
    if (made == NULL) {
        out->failed = true;
        return;
    }
    key(out, words, COLUMN);
    marq_render_wrap(out, made, COLUMN, COLUMN, width);
}

static void write_ends(marq_build *out, const marq_report *report,
                       size_t width)
{
    const marq_array *all = &report->moments;
    const marq_moment *first = MARQ_AT(all, marq_moment, 0);
    const marq_moment *last = MARQ_AT(all, marq_moment, all->count - 1);

    if (first->known) {
        write_moment(out, "begins", first, first->feet, first->assumed, width);
    } else {
        write_moment(out, "begins", NULL, "not known", false, width);
    }
    if (report->end_known) {
        write_moment(out, "ends", last, report->end_words, false, width);
    } else {
        write_moment(out, "ends", NULL, "not known", false, width);
    }
}

/* ---- the other side ---- */

static const char *ready_words(marq_ready ready)
{
    switch (ready) {
    case MARQ_READY_YES:
        return "yes";
    case MARQ_READY_TURN:
        return "yes, with the usual turn from one croisé to the other "
               "(assumed)";
    case MARQ_READY_NO:
        return "no";
    case MARQ_READY_OPEN:
        return "open, readings differ";
    case MARQ_READY_UNKNOWN:
        break;
    }
    return "not known";
}

static void write_answer(marq_build *out, const char *words, marq_ready ready,
                         const char *unknown, size_t width)
{
    marq_build_text(out, "  ");
    key(out, words, ANSWERS);
    marq_render_wrap(out,
                     ready == MARQ_READY_UNKNOWN ? unknown : ready_words(ready),
                     ANSWERS + 2, ANSWERS + 2, width);
}

static void write_changes(marq_build *out, const marq_readiness *r)
{
    marq_build_text(out, "  ");
    key(out, "foot changes", ANSWERS);
    if (r->changes_known) {
        marq_build_number(out, (int64_t)r->foot_changes);
        marq_build_text(out, r->foot_changes % 2 ? ", odd\n" : ", even\n");
    } else {
        marq_build_text(out, "not known\n");
    }
}

static void write_ready(marq_build *out, const marq_report *report,
                        size_t width)
{
    static const char *const whole[] = {
        "ready",
        "ready, with the usual turn from one croisé to the other (assumed)",
        "not ready", "open, readings differ", "not known"};
    const marq_readiness *r = &report->readiness;
    bool left_first = r->first_side == MARQ_SIDE_LEFT;
    unsigned at = r->whole <= MARQ_READY_UNKNOWN ? (unsigned)r->whole
                                                 : MARQ_READY_UNKNOWN;
    marq_build b;
    const char *made;

    if (report->combo->tree.one_side) {
        marq_build_text(out, "\none side only, as declared\n");
        return;
    }
    marq_build_init(&b, out->bytes.arena);
    marq_build_text(&b, whole[at]);
    if (r->first_side != MARQ_SIDE_NONE && r->first_side_assumed) {
        marq_build_text(&b, left_first ? "; the left is taken to be danced "
                                         "first"
                                       : "; the right is taken to be danced "
                                         "first");
    }
    made = marq_build_done(&b, NULL);
    if (made == NULL) {
        out->failed = true;
        return;
    }
    marq_build_char(out, '\n');
    key(out, left_first ? "right side" : "left side", ANSWERS + 2);
    marq_render_wrap(out, made, ANSWERS + 2, ANSWERS + 2, width);
    write_answer(out, "position", r->position, "not known", width);
    write_answer(out, "front foot", r->front_foot, "not known", width);
    write_answer(out, "free leg", r->free_leg, "not known", width);
    write_answer(out, "facing", r->facing,
                 report->end_known ? "not written" : "not known", width);
    write_changes(out, r);
}

/* ---- all of it ---- */

void marq_render_sums(marq_build *out, const marq_report *report,
                      size_t width)
{
    static const char head[] = "  care  ";

    if (report->cautions.count > 0) {
        marq_build_text(out, "cautions\n");
        for (size_t i = 0; i < report->cautions.count; i++) {
            marq_build_text(out, head);
            marq_render_wrap(out,
                             MARQ_AT(&report->cautions, marq_caution, i)->text,
                             sizeof head - 1, sizeof head - 1, width);
        }
        marq_build_char(out, '\n');
    }
    write_counts(out, report);
    write_sums(out, "lines", &report->line_sums);
    write_sums(out, "phrases", &report->phrase_sums);
    if (report->moments.count > 1) { /* else nothing is danced */
        write_ends(out, report, width);
        write_ready(out, report, width);
    }
}
