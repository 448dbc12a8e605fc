/* test_render.c - layouts of reports made by hand. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>

#include <cmocka.h>

#include "render.h"
#include "testmem.h"
#include "text.h"

/* ---- reports by hand ---- */

typedef struct desk {
    marq_arena arena;
    struct marq_combo combo;
    struct marq_report report;
    marq_render_opts opts;
} desk;

static marq_status lay_out(desk *d, marq_mem mem, const char *text,
                           size_t length)
{
    memset(d, 0, sizeof *d);
    marq_arena_init(&d->arena, mem);
    d->opts.struct_size = sizeof d->opts;
    d->opts.name = "light.combo";
    d->opts.width = 80;
    d->report.combo = &d->combo;
    d->report.end_words = d->report.ready_words = "";
    d->report.sum.phrase = 8;
    d->report.sum.total.den = d->report.sum.missing.den = 1;
    marq_array_init(&d->report.moments, &d->arena, sizeof(marq_moment));
    marq_array_init(&d->report.cautions, &d->arena, sizeof(marq_caution));
    marq_findings_init(&d->report.findings, &d->arena, 0);
    return marq_source_init(&d->combo.source, &d->arena, NULL, text, length);
}

static void begin(desk *d, const char *text)
{
    assert_int_equal(MARQ_OK,
                     lay_out(d, marq_mem_of(NULL), text, strlen(text)));
}

static void finish(desk *d)
{
    marq_arena_free(&d->arena);
}

/* The span of the n-th (from 0) occurrence of a word. */
static marq_span find(const desk *d, const char *word, unsigned n)
{
    const char *at = strstr(d->combo.source.bytes, word);
    marq_span span;

    while (n > 0 && at != NULL) {
        at = strstr(at + 1, word);
        n--;
    }
    assert_non_null(at);
    span.from = (uint32_t)(at - d->combo.source.bytes);
    span.to = span.from + (uint32_t)strlen(word);
    return span;
}

static marq_finding *add(desk *d, marq_diag kind, marq_span span,
                         const char *a, const char *b)
{
    marq_finding *f = NULL;

    assert_int_equal(MARQ_OK, marq_findings_add(&d->report.findings, &f, kind,
                                                span, a, b, NULL));
    assert_non_null(f);
    return f;
}

static marq_moment *move(desk *d, const char *count, const char *step,
                         const char *weight, const char *feet,
                         const char *facing)
{
    marq_moment *m = marq_array_add(&d->report.moments);

    assert_non_null(m);
    m->known = true;
    m->count = count;
    m->step = step;
    m->weight = weight;
    m->feet = feet;
    m->level = "";
    m->facing = facing;
    return m;
}

static const char *full(desk *d)
{
    marq_build b;

    marq_build_init(&b, &d->arena);
    marq_render_full(&b, &d->report, &d->opts);
    assert_false(b.failed);
    return marq_build_done(&b, NULL);
}

static const char *lines(desk *d)
{
    marq_build b;

    marq_build_init(&b, &d->arena);
    marq_render_lines(&b, &d->report.findings, &d->combo.source, d->opts.name,
                      d->opts.colour);
    assert_false(b.failed);
    return marq_build_done(&b, NULL);
}

static const char *table(desk *d)
{
    marq_build b;

    marq_build_init(&b, &d->arena);
    marq_render_table(&b, &d->report, &d->opts);
    assert_false(b.failed);
    return marq_build_done(&b, NULL);
}

#define SUMS "counts   none written\n"

static void label(desk *d, marq_finding *f, const char *text)
{
    assert_int_equal(MARQ_OK,
                     marq_finding_label(&d->report.findings, f, text));
}

static void relate(desk *d, marq_finding *f, marq_span span, const char *text)
{
    assert_int_equal(MARQ_OK, marq_finding_relate(&d->report.findings, f, span,
                                                  text));
}

/* ---- findings with their lines ---- */

static void test_one_finding(void **state)
{
    desk d;
    marq_finding *f;

    (void)state;
    begin(&d, "1-2      glissade derrière\n3-4      jeté, changement\n");
    f = add(&d, MARQ_DIAG_CANNOT_FOLLOW, find(&d, "changement", 0),
            "changement", "both feet are needed");
    label(&d, f, "needs both feet");
    relate(&d, f, find(&d, "jeté", 0), "lands on the left");
    assert_int_equal(MARQ_OK, marq_finding_note(&d.report.findings, f,
                                                "the left carries"));
    assert_int_equal(
        MARQ_OK,
        marq_finding_fix(&d.report.findings, f, find(&d, "changement", 0),
                         "temps levé", "another jump", MARQ_LIKELY));
    assert_int_equal(
        MARQ_OK,
        marq_finding_fix(&d.report.findings, f, find(&d, "glissade", 0),
                         "assemblé", "write assemblé", MARQ_LIKELY));
    f->has_count = true;
    f->count = (marq_count){7, 2};
    assert_string_equal(
        full(&d),
        "problem [S001] changement cannot follow here: both feet are needed\n"
        "  light.combo, line 2, column 16, count 3 1/2\n"
        "     2  3-4      jeté, changement\n"
        "                 ----  lands on the left\n"
        "                       ^^^^^^^^^^  needs both feet\n"
        "  note  the left carries\n"
        "  try   another jump: temps levé\n"
        "  try   write assemblé (line 1)\n"
        "\n" SUMS);
    finish(&d);
}

static void test_two_lines_in_order(void **state)
{
    desk d;
    marq_finding *f;

    (void)state;
    begin(&d, "start fifth, right front\n\nfifth, left front\nplié");
    f = add(&d, MARQ_DIAG_TWO_VALUES, find(&d, "right front", 0), "the start",
            NULL);
    relate(&d, f, find(&d, "left front", 0), "and so");
    d.opts.name = "-";
    assert_string_equal(full(&d),
                        "problem [R010] the start is written twice, "
                        "differently\n"
                        "  line 1, column 14\n"
                        "     1  start fifth, right front\n"
                        "                     ^^^^^^^^^^^\n"
                        "     3  fifth, left front\n"
                        "               ----------  and so\n"
                        "\n" SUMS);
    finish(&d);
}

/* e with a combining accent is one column, a tab one, a wide character two,
 * and what is not text four for each byte. */
static void test_display_width(void **state)
{
    desk d;

    (void)state;
    begin(&d, "\tpassé, passe\xcc\x81, \xe6\xad\xa9 step \x1b[2J\xff ends\r\n");
    add(&d, MARQ_DIAG_UNKNOWN_WORD, find(&d, "passé", 0), "passé", NULL);
    add(&d, MARQ_DIAG_UNKNOWN_WORD, find(&d, "passe\xcc\x81", 0), "it", NULL);
    add(&d, MARQ_DIAG_UNKNOWN_WORD, find(&d, "step", 0), "step", NULL);
    add(&d, MARQ_DIAG_UNKNOWN_WORD, find(&d, "\x1b[2J\xff", 0), "\x1b[2J",
        NULL);
    add(&d, MARQ_DIAG_UNKNOWN_WORD, find(&d, "ends", 0), "ends", NULL);
    d.opts.name = "-";
#define LINE                                                                \
    "     1   passé, passe\xcc\x81, \xe6\xad\xa9 step \\x1b[2J\\xff ends\n"
    assert_string_equal(
        full(&d),
        "note [R001] kept as a remark: passé\n"
        "  line 1, column 2\n" LINE
        "         ^^^^^\n\n"
        "note [R001] kept as a remark: it\n"
        "  line 1, column 9\n" LINE
        "                ^^^^^\n\n"
        "note [R001] kept as a remark: step\n"
        "  line 1, column 19\n" LINE
        "                          ^^^^\n\n"
        "note [R001] kept as a remark: \\x1b[2J\n"
        "  line 1, column 24\n" LINE
        "                               ^^^^^^^^^^^\n\n"
        "note [R001] kept as a remark: ends\n"
        "  line 1, column 30\n" LINE
        "                                           ^^^^\n\n" SUMS);
#undef LINE
    finish(&d);
}

static void test_span_at_edges(void **state)
{
    desk d;
    marq_span all;

    (void)state;
    begin(&d, "plié (a\nb) relevé");
    all = (marq_span){5, 10}; /* "(a\nb)" */
    add(&d, MARQ_DIAG_UNKNOWN_WORD, all, "it", NULL);
    all = (marq_span){17, 17}; /* behind the last letter but one */
    add(&d, MARQ_DIAG_NO_STEPS, all, NULL, NULL);
    d.opts.name = "-";
    assert_string_equal(full(&d), "note [R001] kept as a remark: it\n"
                                  "  line 1, column 5\n"
                                  "     1  plié (a\n"
                                  "            ^^^\n\n"
                                  "note [R006] no step is written here\n"
                                  "  line 2, column 9\n"
                                  "     2  b) relevé\n"
                                  "                ^\n\n" SUMS);
    finish(&d);
    begin(&d, "");
    add(&d, MARQ_DIAG_NO_STEPS, (marq_span){0, 0}, NULL, NULL)->has_span =
        false;
    assert_string_equal(full(&d), "note [R006] no step is written here\n"
                                  "  light.combo\n\n" SUMS);
    finish(&d);
}

/* How far the underline of the (only) finding stands below `word`, and
 * whether all lines keep to the width. */
static void check_cut(desk *d, const char *word)
{
    const char *made = full(d);
    const char *line = strstr(made, "     1  ");
    const char *under, *at, *caret;
    size_t stroke = strlen(word);

    assert_non_null(line);
    under = strchr(line, '\n') + 1;
    at = strstr(line, word);
    caret = strchr(under, '^');
    assert_non_null(at);
    assert_non_null(caret);
    assert_true(at < under);
    assert_int_equal(at - line, caret - under);
    assert_int_equal(stroke, strspn(caret, "^"));
    while (*made != '\0') {
        size_t n = strcspn(made, "\n");
        assert_true(n <= d->opts.width);
        made += n + 1;
    }
}

static void test_long_line_is_cut(void **state)
{
    static char text[4096];
    static const size_t places[] = {0, 40, 300, 2000, 4090};
    desk d;

    (void)state;
    for (size_t width = 40; width <= 100; width += 20) {
        for (size_t i = 0; i < sizeof places / sizeof places[0]; i++) {
            const char *made;
            memset(text, 'x', sizeof text - 1);
            memcpy(text + places[i], "PLACE", 5);
            begin(&d, text);
            d.opts.width = (uint32_t)width;
            label(&d, add(&d, MARQ_DIAG_UNKNOWN_WORD, find(&d, "PLACE", 0),
                          "PLACE", NULL),
                  "a word here");
            check_cut(&d, "PLACE");
            made = full(&d);
            if (places[i] > 100) {
                assert_non_null(strstr(made, "     1  ...x"));
            } else if (places[i] == 0) {
                assert_non_null(strstr(made, "     1  PLACEx"));
            }
            if (places[i] < 3000) {
                assert_non_null(strstr(made, "x...\n"));
            }
            finish(&d);
        }
    }
}

static void test_long_span_is_cut(void **state)
{
    static char text[500];
    desk d;
    const char *made;

    (void)state;
    memset(text, 'x', sizeof text - 1);
    begin(&d, text);
    add(&d, MARQ_DIAG_UNKNOWN_WORD, (marq_span){100, 400}, "it", NULL);
    made = full(&d);
    for (size_t n; *made != '\0'; made += n + 1) {
        n = strcspn(made, "\n");
        assert_true(n <= 80);
    }
    finish(&d);
}

static void test_label_below(void **state)
{
    desk d;

    (void)state;
    begin(&d, "glissade");
    d.opts.width = 40;
    d.opts.name = "-";
    label(&d, add(&d, MARQ_DIAG_UNKNOWN_WORD, (marq_span){0, 8}, "it", NULL),
          "a label that is too long to stand beside it");
    assert_string_equal(full(&d), "note [R001] kept as a remark: it\n"
                                  "  line 1, column 1\n"
                                  "     1  glissade\n"
                                  "        ^^^^^^^^\n"
                                  "        a label that is too long to\n"
                                  "        stand beside it\n\n" SUMS);
    finish(&d);
}

/* Without its escape sequences a coloured text is the plain one. */
static void test_colour_adds_only_sequences(void **state)
{
    desk d;
    marq_finding *f;
    const char *plain, *colour;
    char *bare;
    size_t at = 0, sequences = 0;

    (void)state;
    begin(&d, "jeté, \x1b[31mchangement");
    f = add(&d, MARQ_DIAG_CANNOT_FOLLOW, find(&d, "changement", 0), "it",
            "no\x1b");
    relate(&d, f, find(&d, "jeté", 0), "\x1b]0;x\x07");
    plain = full(&d);
    assert_null(strchr(plain, '\x1b'));
    assert_null(strchr(plain, '\x07'));
    assert_null(strchr(lines(&d), '\x1b'));
    d.opts.colour = true;
    colour = full(&d);
    bare = calloc(strlen(colour) + 1, 1);
    assert_non_null(bare);
    for (; *colour != '\0'; colour++) {
        if (*colour == '\x1b') {
            sequences++;
            colour = strchr(colour, 'm');
            assert_non_null(colour);
        } else {
            bare[at++] = *colour;
        }
    }
    assert_string_equal(plain, bare);
    assert_int_equal(6, sequences); /* severity, two underlines; on and off */
    free(bare);
    finish(&d);
}

static void test_left_out(void **state)
{
    desk d;

    (void)state;
    begin(&d, "plié");
    d.report.findings.left_out = 12;
    assert_string_equal(full(&d), "and more findings, not kept: 12\n\n" SUMS);
    finish(&d);
}

/* ---- one a line ---- */

static void test_lines(void **state)
{
    desk d;

    (void)state;
    begin(&d, "plié\nbien échappé, 3-2 jeté\n");
    add(&d, MARQ_DIAG_ESTIMATE, (marq_span){0, 0}, "4", NULL)->has_span =
        false;
    add(&d, MARQ_DIAG_UNKNOWN_WORD, find(&d, "bien", 0), "bien", NULL);
    add(&d, MARQ_DIAG_COUNT_BACKWARDS, find(&d, "3-2", 0), "3-2", NULL);
    add(&d, MARQ_DIAG_READY_IF, find(&d, "jeté", 0), "a\nb", NULL);
    d.opts.name = "a\nb.combo";
    assert_string_equal(
        lines(&d),
        "a\\x0ab.combo:1:1: note: no counts are written; about 4 by usual "
        "lengths [C006]\n"
        "a\\x0ab.combo:2:1: note: kept as a remark: bien [R001]\n"
        "a\\x0ab.combo:2:15: problem: the range 3-2 runs backwards [C005]\n"
        "a\\x0ab.combo:2:19: question: the other side can begin if "
        "a\\x0ab [S011]\n");
    d.opts.name = NULL;
    assert_true(strncmp(lines(&d), "-:1:1: ", 7) == 0);
    finish(&d);
}

/* Lines and columns against the slow way, in any order. */
static void test_places(void **state)
{
    static char text[300];
    unsigned seed = 7;
    desk d;

    (void)state;
    for (size_t i = 0; i + 2 < sizeof text; i++) {
        seed = seed * 1103515245u + 12345u;
        switch (seed >> 16 & 7u) {
        case 0:
            text[i] = '\n';
            break;
        case 1:
            text[i++] = (char)0xc3;
            text[i] = (char)0xa9;
            break;
        default:
            text[i] = 'a';
        }
    }
    begin(&d, text);
    for (size_t i = 0; i < 400; i++) {
        uint32_t at = (uint32_t)(i < 300 ? i : (i * 37) % 300);
        at = at < d.combo.source.length ? at : (uint32_t)d.combo.source.length;
        add(&d, MARQ_DIAG_NO_STEPS, (marq_span){at, at}, NULL, NULL);
    }
    const char *made = lines(&d);
    for (size_t i = 0; i < 400; i++) {
        const marq_finding *f = marq_finding_at(&d.report.findings, i);
        marq_place place = marq_source_place(&d.combo.source, f->span.from);
        char want[64];
        int n = snprintf(want, sizeof want, "light.combo:%u:%u: ",
                         (unsigned)place.line, (unsigned)place.column);
        assert_true(n > 0);
        assert_memory_equal(made, want, (size_t)n);
        made = strchr(made, '\n') + 1;
    }
    assert_int_equal('\0', *made);
    finish(&d);
}

/* ---- sums, ends, the other side ---- */

static void check_sum(bool written, bool estimated, marq_count total,
                      marq_count missing, uint32_t phrase, const char *want)
{
    desk d;

    begin(&d, "");
    d.report.sum =
        (marq_sum){written, total, estimated, phrase, missing};
    assert_string_equal(want, full(&d));
    finish(&d);
}

static void test_sums(void **state)
{
    static const marq_count zero = {0, 1};

    (void)state;
    check_sum(true, false, (marq_count){32, 1}, zero, 8,
              "counts   32, four eights\n");
    check_sum(true, false, (marq_count){8, 1}, zero, 8,
              "counts   8, one eight\n");
    check_sum(true, false, (marq_count){12, 1}, zero, 6,
              "counts   12, two sixes\n");
    check_sum(true, false, (marq_count){6, 1}, zero, 6,
              "counts   6, one six\n");
    check_sum(true, false, (marq_count){61, 2}, (marq_count){3, 2}, 8,
              "counts   30 1/2, 1 1/2 short of four eights\n");
    check_sum(true, false, (marq_count){15, 2}, (marq_count){1, 2}, 8,
              "counts   7 1/2, 1/2 short of one eight\n");
    check_sum(true, false, (marq_count){128, 1}, zero, 8,
              "counts   128, 16 eights\n");
    check_sum(false, true, (marq_count){14, 1}, (marq_count){2, 1}, 8,
              "counts   about 14, 2 short of two eights "
              "(an estimate by usual lengths)\n");
    check_sum(true, true, (marq_count){16, 1}, zero, 8,
              "counts   about 16, two eights (in part an estimate)\n");
    check_sum(false, false, zero, zero, 8, "counts   none written\n");
    check_sum(true, false, (marq_count){10, 1}, zero, 5,
              "counts   10, two phrases of 5\n");
}

static void set_ready(desk *d, marq_ready whole, marq_ready position,
                      marq_ready front, marq_ready leg, marq_ready facing)
{
    marq_readiness *r = &d->report.readiness;

    r->whole = whole;
    r->position = position;
    r->front_foot = front;
    r->free_leg = leg;
    r->facing = facing;
}

static void test_end_and_other_side(void **state)
{
    desk d;

    (void)state;
    begin(&d, "changement");
    move(&d, "", "start", "both", "fifth, right front", "")->assumed = true;
    move(&d, "", "changement", "both", "fifth, left front",
         "front left corner (effacé)");
    d.report.end_known = true;
    d.report.end_words = "fifth, left front";
    set_ready(&d, MARQ_READY_TURN, MARQ_READY_YES, MARQ_READY_YES,
              MARQ_READY_YES, MARQ_READY_TURN);
    d.report.readiness.first_side = MARQ_SIDE_RIGHT;
    d.report.readiness.changes_known = true;
    d.report.readiness.foot_changes = 3;
    assert_string_equal(
        full(&d),
        SUMS
        "begins   fifth, right front (assumed)\n"
        "ends     fifth, left front, facing front left corner (effacé)\n"
        "\n"
        "left side       ready, with the usual turn from one croisé to the "
        "other\n"
        "                (assumed)\n"
        "  position      yes\n"
        "  front foot    yes\n"
        "  free leg      yes\n"
        "  facing        yes, with the usual turn from one croisé to the "
        "other (assumed)\n"
        "  foot changes  3, odd\n");
    set_ready(&d, MARQ_READY_NO, MARQ_READY_YES, MARQ_READY_NO,
              MARQ_READY_OPEN, MARQ_READY_UNKNOWN);
    d.report.readiness.first_side = MARQ_SIDE_LEFT;
    d.report.readiness.first_side_assumed = true;
    d.report.readiness.foot_changes = 0;
    assert_string_equal(
        strstr(full(&d), "\n\n") + 2,
        "right side      not ready; the left is taken to be danced first\n"
        "  position      yes\n"
        "  front foot    no\n"
        "  free leg      open, readings differ\n"
        "  facing        not written\n"
        "  foot changes  0, even\n");
    d.report.end_known = false;
    d.report.readiness.changes_known = false;
    set_ready(&d, MARQ_READY_UNKNOWN, MARQ_READY_UNKNOWN, MARQ_READY_UNKNOWN,
              MARQ_READY_UNKNOWN, MARQ_READY_UNKNOWN);
    d.report.readiness.first_side = MARQ_SIDE_NONE;
    assert_non_null(strstr(full(&d), "\nends     not known\n"));
    assert_string_equal(strstr(full(&d), "\n\n") + 2,
                        "left side       not known\n"
                        "  position      not known\n"
                        "  front foot    not known\n"
                        "  free leg      not known\n"
                        "  facing        not known\n"
                        "  foot changes  not known\n");
    d.combo.tree.one_side = true;
    assert_string_equal(strstr(full(&d), "\n\n") + 2,
                        "one side only, as declared\n");
    finish(&d);
}

static void test_cautions_apart(void **state)
{
    desk d;
    marq_caution *caution;

    (void)state;
    begin(&d, "");
    caution = marq_array_add(&d.report.cautions);
    assert_non_null(caution);
    caution->text = "a jump that is said to be large enough to need a word of "
                    "its own, from a teacher";
    assert_string_equal(
        full(&d),
        "cautions\n"
        "  care  a jump that is said to be large enough to need a word of its "
        "own, from a\n"
        "        teacher\n"
        "\n" SUMS);
    finish(&d);
}

/* ---- the walk-through ---- */

static void test_table_of_counts(void **state)
{
    desk d;

    (void)state;
    begin(&d, "");
    move(&d, "", "start", "both", "fifth, right front", "audience");
    move(&d, "1", "échappé sauté", "both", "second", "audience")->level =
        "bent";
    move(&d, "3", "petit jeté", "left", "on the left, right ankle behind", "")
        ->assumed = true;
    move(&d, "4", "\x1b[2J", "", "", "")->known = false;
    assert_string_equal(
        table(&d),
        "count  step           weight      feet                             "
        "facing\n"
        "       start          both        fifth, right front               "
        "audience\n"
        "1      échappé sauté  both, bent  second                           "
        "audience\n"
        "3      ~petit jeté    left        on the left, right ankle behind\n"
        "4      \\x1b[2J        -           not known\n");
    finish(&d);
}

static void test_table_of_steps_is_set_in_lines(void **state)
{
    desk d;

    (void)state;
    begin(&d, "");
    d.opts.width = 60;
    move(&d, "", "start", "both", "fifth", "")->assumed = true;
    move(&d, "", "pas de bourrée dessous en tournant", "both",
         "fifth, left front", "front left corner (croisé)");
    assert_string_equal(
        table(&d),
        /* 60 columns: 8 between, 4 and 6 for the narrow cells, 14 each for
           the three wide ones */
        "step  name            weight  feet            facing\n"
        "      ~start          both    fifth\n"
        "1     pas de bourrée  both    fifth, left     front left\n"
        "      dessous en              front           corner\n"
        "      tournant                                (croisé)\n");
    finish(&d);
}

/* ---- memory ---- */

static marq_status render_all(testmem *mem, void *ctx)
{
    static const char text[] = "jeté, changement";
    marq_config config = testmem_config(mem);
    desk d;
    marq_build b;
    marq_finding *f = NULL;
    marq_moment *m;
    marq_status status =
        lay_out(&d, marq_mem_of(&config), text, sizeof text - 1);

    (void)ctx;
    for (size_t i = 0; i < 300 && status == MARQ_OK; i++) {
        status = marq_findings_add(&d.report.findings, &f,
                                   MARQ_DIAG_CANNOT_FOLLOW, (marq_span){0, 5},
                                   "it", "so", NULL);
    }
    if (status == MARQ_OK) {
        status = marq_finding_fix(&d.report.findings, f, (marq_span){0, 5},
                                  "sauté", "another", MARQ_LIKELY);
    }
    if (status == MARQ_OK) {
        m = marq_array_add(&d.report.moments);
        if (m != NULL) {
            m->count = m->weight = m->feet = m->level = m->facing = "";
            m->step = "start";
            m->assumed = true;
            marq_build_init(&b, &d.arena);
            marq_render_full(&b, &d.report, &d.opts);
            marq_render_table(&b, &d.report, &d.opts);
            marq_render_lines(&b, &d.report.findings, &d.combo.source, "x",
                              true);
            status = marq_build_done(&b, NULL) != NULL ? MARQ_OK : MARQ_MEMORY;
        } else {
            status = MARQ_MEMORY;
        }
    }
    finish(&d);
    return status;
}

static void test_every_failure(void **state)
{
    (void)state;
    assert_true(testmem_each_failure(render_all, NULL) > 3);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_one_finding),
        cmocka_unit_test(test_two_lines_in_order),
        cmocka_unit_test(test_display_width),
        cmocka_unit_test(test_span_at_edges),
        cmocka_unit_test(test_long_line_is_cut),
        cmocka_unit_test(test_long_span_is_cut),
        cmocka_unit_test(test_label_below),
        cmocka_unit_test(test_colour_adds_only_sequences),
        cmocka_unit_test(test_left_out),
        cmocka_unit_test(test_lines),
        cmocka_unit_test(test_places),
        cmocka_unit_test(test_sums),
        cmocka_unit_test(test_end_and_other_side),
        cmocka_unit_test(test_cautions_apart),
        cmocka_unit_test(test_table_of_counts),
        cmocka_unit_test(test_table_of_steps_is_set_in_lines),
        cmocka_unit_test(test_every_failure),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
