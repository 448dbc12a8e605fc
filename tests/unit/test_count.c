/* test_count.c - the time line: sums, gaps, overlaps, shares, words.
 * The table shared/checks/counts.tsv and the random time lines are tried
 * twice: as trees built here, so that counts are proved without the parser,
 * and as text that the parser reads. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>

#include <cmocka.h>

#include "count.h"
#include "parse.h"
#include "testmem.h"

#define TABLE "shared/checks/counts.tsv"

/* ---- a vocabulary of four steps ---- */

enum { STEP_ONE, STEP_TWO, STEP_UNSAID, STEP_HALF, STEPS };

static const marq_term terms[STEPS] = {
    [STEP_ONE] = {.counts_num = 1, .counts_den = 1},
    [STEP_TWO] = {.counts_num = 2, .counts_den = 1},
    [STEP_UNSAID] = {.counts_num = 0, .counts_den = 0},
    [STEP_HALF] = {.counts_num = 1, .counts_den = 2},
};
static const marq_vocab_data data = {
    .strings = "", .terms = terms, .term_count = STEPS};
static const marq_vocab vocab = {.data = &data};

/* ---- trees by hand ---- */

typedef struct made {
    marq_arena arena;
    marq_source source;
    marq_tree tree;
    struct marq_findings findings;
    marq_reckoning out;
} made;

static void begin_tree(made *m, const char *text)
{
    marq_arena_init(&m->arena, marq_mem_of(NULL));
    assert_int_equal(marq_source_init(&m->source, &m->arena, NULL, text,
                                      strlen(text)),
                     MARQ_OK);
    marq_tree_init(&m->tree, &m->arena, &m->source);
    marq_findings_init(&m->findings, &m->arena, 1000000);
}

static marq_line *add_line(made *m)
{
    marq_line *line = marq_array_add(&m->tree.lines);
    assert_non_null(line);
    line->first_item = (uint32_t)m->tree.items.count;
    return line;
}

static marq_item *add_item(made *m, marq_item_kind kind)
{
    marq_item *item = marq_array_add(&m->tree.items);
    assert_non_null(item);
    item->kind = (uint8_t)kind;
    item->times = 1;
    item->first_mark = (uint32_t)m->tree.marks.count;
    MARQ_AT(&m->tree.lines, marq_line, m->tree.lines.count - 1)->item_count++;
    return item;
}

static marq_item *add_step(made *m, uint16_t term)
{
    marq_item *item = add_item(m, MARQ_ITEM_STEP);
    item->term = term;
    return item;
}

static void add_mark(made *m, marq_item *item, marq_mark_kind kind,
                     uint16_t value)
{
    marq_mark *mark = marq_array_add(&m->tree.marks);
    assert_non_null(mark);
    mark->kind = (uint8_t)kind;
    mark->value = value;
    item->mark_count++;
}

static void set_counts(marq_line *line, int64_t from, int64_t to)
{
    line->has_counts = true;
    line->count_from = (marq_count){from, 1};
    line->count_to = (marq_count){to, 1};
}

static void reckon(made *m)
{
    assert_int_equal(marq_count_reckon(&m->out, &m->arena, &vocab, &m->tree,
                                       &m->findings),
                     MARQ_OK);
    marq_findings_sort(&m->findings);
}

static void assert_count(marq_count c, int64_t num, int64_t den)
{
    if (c.num != num || c.den != den) {
        print_error("%lld/%lld instead of %lld/%lld\n", (long long)c.num,
                    (long long)c.den, (long long)num, (long long)den);
        fail();
    }
}

/* ---- the same as text, with the shipped vocabulary ---- */

static marq_vocab *shipped;

static int load_shipped(void **state)
{
    (void)state;
    return marq_vocab_wrap(&shipped, NULL, &marq_builtin_data) != MARQ_OK;
}

static int free_shipped(void **state)
{
    (void)state;
    marq_vocab_free(shipped);
    return 0;
}

static void reckon_text(made *m, const char *text)
{
    struct marq_findings of_reading;
    begin_tree(m, text);
    marq_findings_init(&of_reading, &m->arena, 1000);
    assert_int_equal(marq_parse(&m->tree, &m->arena, shipped, &m->source,
                                &of_reading),
                     MARQ_OK);
    assert_int_equal(marq_count_reckon(&m->out, &m->arena, shipped, &m->tree,
                                       &m->findings),
                     MARQ_OK);
    marq_findings_sort(&m->findings);
}

/* ---- reading the table ---- */

static int64_t read_number(const char **at)
{
    int64_t n = 0;
    while (**at >= '0' && **at <= '9') {
        n = n * 10 + (*(*at)++ - '0');
    }
    return n;
}

static void read_counts(marq_line *line, const char **at)
{
    bool and_before = **at == '&';
    *at += and_before;
    int64_t n = read_number(at);
    line->has_counts = true;
    line->count_from = (marq_count){n, 1};
    line->count_to = line->count_from;
    if (and_before) {
        line->count_from = (marq_count){2 * n - 1, 2};
        line->count_to = line->count_from;
        line->count_half = true;
    } else if (**at == '&') {
        (*at)++;
        line->count_to = (marq_count){2 * n + 1, 2};
        line->count_half = true;
    } else if (**at == '-') {
        (*at)++;
        line->count_to = (marq_count){read_number(at), 1};
    }
}

static void read_rest(made *m, const char *at)
{
    if (*at == '(') {
        (void)add_item(m, MARQ_ITEM_REMARK);
    } else {
        (void)add_item(m, MARQ_ITEM_UNKNOWN);
    }
    if (strncmp(at, ", unsquare", 10) == 0) {
        m->tree.unsquare = true;
    }
}

static void read_lines(made *m, const char *text)
{
    uint8_t side = MARQ_SIDE_NONE;
    const char *at = text;
    while (*at != '\0') {
        if (strncmp(at, "right: ", 7) == 0) {
            side = MARQ_SIDE_RIGHT;
            at += 7;
        } else if (strncmp(at, "left: ", 6) == 0) {
            side = MARQ_SIDE_LEFT;
            at += 6;
        }
        marq_line *line = add_line(m);
        line->side = side;
        line->span.from = (uint32_t)(at - text);
        if (*at == '&' || (*at >= '0' && *at <= '9')) {
            line->count_span.from = line->span.from;
            read_counts(line, &at);
            line->count_span.to = (uint32_t)(at - text);
        } else if (*at == '-') {
            at++;
        }
        read_rest(m, at);
        while (*at != '\0' && *at != '/') {
            at++;
        }
        if (*at == '/') {
            assert_int_equal(at[1], ' ');
            at += 2;
        }
    }
}

static void add_title(made *m, const char *title)
{
    /* the title is looked up in the source: a source of its own */
    marq_heading_line *h = marq_array_add(&m->tree.headings);
    assert_non_null(h);
    const char *at = strstr(m->source.bytes, title);
    assert_non_null(at);
    h->heading = MARQ_HEAD_TITLE;
    h->value.from = (uint32_t)(at - m->source.bytes);
    h->value.to = h->value.from + (uint32_t)strlen(title);
}

typedef struct row {
    char id[16], title[32], lines[160], total[16], missing[16];
    char findings[96], source[128];
} row;

static bool take_cell(const char **at, char *out, size_t room)
{
    size_t n = strcspn(*at, "\t\n");
    if (n + 1 > room) {
        return false;
    }
    memcpy(out, *at, n);
    out[n] = '\0';
    *at += n + (**at != '\0' && (*at)[n] != '\0');
    return n > 0;
}

static bool read_row(row *out, const char *line)
{
    return take_cell(&line, out->id, sizeof out->id) &&
           take_cell(&line, out->title, sizeof out->title) &&
           take_cell(&line, out->lines, sizeof out->lines) &&
           take_cell(&line, out->total, sizeof out->total) &&
           take_cell(&line, out->missing, sizeof out->missing) &&
           take_cell(&line, out->findings, sizeof out->findings) &&
           take_cell(&line, out->source, sizeof out->source);
}

/* Findings as the table writes them: "C001 5-6; C003 2|8".  The parts are cut
 * out of the headline by its template. */
static void write_findings(char *out, size_t room, const made *m)
{
    size_t used = 0;
    out[0] = '\0';
    for (size_t i = 0; i < marq_finding_count(&m->findings); i++) {
        const marq_finding *f = marq_finding_at(&m->findings, i);
        const char *form =
            marq_diag_headline(marq_diag_by_code(f->code));
        const char *got = f->headline;
        used += (size_t)snprintf(out + used, room - used, "%s%s",
                                 i > 0 ? "; " : "", f->code);
        char join = ' ';
        while (*form != '\0') {
            if (*form != '%') {
                assert_int_equal(*form, *got);
                form++;
                got++;
                continue;
            }
            form += 2;
            /* a part ends where what follows it in the template begins */
            size_t rest = strcspn(form, "%");
            const char *end = got;
            while (*end != '\0' &&
                   (rest == 0 || strncmp(end, form, rest) != 0)) {
                end++;
            }
            used += (size_t)snprintf(out + used, room - used, "%c%.*s", join,
                                     (int)(end - got), got);
            assert_true(used < room);
            join = '|';
            got = end;
        }
        assert_string_equal(got, "");
    }
    if (used == 0) {
        snprintf(out, room, "-");
    }
}

static void write_count(char *out, size_t room, marq_count c)
{
    if (c.den == 1) {
        snprintf(out, room, "%lld", (long long)c.num);
    } else {
        snprintf(out, room, "%lld/%lld", (long long)c.num, (long long)c.den);
    }
}

/* Does what came of a row agree with it?  `how` names the way it was read. */
static bool agrees(const row *r, const made *m, const char *how)
{
    char total[32], missing[32], findings[256];
    write_count(total, sizeof total, m->out.sum.total);
    write_count(missing, sizeof missing, m->out.sum.missing);
    write_findings(findings, sizeof findings, m);
    bool good = strcmp(total, r->total) == 0 &&
                strcmp(missing, r->missing) == 0 &&
                strcmp(findings, r->findings) == 0 && m->out.sum.written &&
                !m->out.sum.estimated;
    if (!good) {
        print_error("%s as %s: %s: total %s missing %s findings %s\n", r->id,
                    how, r->lines, total, missing, findings);
    }
    return good;
}

static bool check_as_tree(const row *r)
{
    made m;
    char text[256];
    snprintf(text, sizeof text, "%s\n%s", r->lines, r->title);
    begin_tree(&m, text);
    read_lines(&m, r->lines);
    if (strcmp(r->title, "-") != 0) {
        add_title(&m, r->title);
    }
    reckon(&m);
    bool good = agrees(r, &m, "a tree");
    marq_arena_free(&m.arena);
    return good;
}

/* One step on each line but those of a remark alone. */
static bool check_as_text(const row *r)
{
    made m;
    char text[1024];
    size_t used = 0;
    const char *at = r->lines;
    if (strcmp(r->title, "-") != 0) {
        used = (size_t)snprintf(text, sizeof text, "title    %s\n",
                                r->title);
    }
    while (*at != '\0') {
        size_t length = strcspn(at, "/"), counts;
        size_t heading = strcspn(at, ":");
        if (heading < length) {
            used += (size_t)snprintf(text + used, sizeof text - used,
                                     "%.*s side:\n", (int)heading, at);
            at += heading + 2;
            length -= heading + 2;
        }
        while (length > 0 && at[length - 1] == ' ') {
            length--;
        }
        counts = strcspn(at, " ,/"); /* also "-" and "(soft)" */
        if (counts > length) {
            counts = length;
        }
        used += (size_t)snprintf(
            text + used, sizeof text - used, "%.*s  %s%.*s\n",
            *at == '-' ? 0 : (int)counts, at,
            *at == '(' ? "" : "changement", (int)(length - counts),
            at + counts);
        assert_true(used < sizeof text);
        at += strcspn(at, "/");
        at += *at == '/' ? 2 : 0;
    }
    reckon_text(&m, text);
    bool good = agrees(r, &m, "text");
    if (!good) {
        print_error("%s", text);
    }
    marq_arena_free(&m.arena);
    return good;
}

static void table_holds(void **state)
{
    char line[512];
    size_t rows = 0, wrong = 0;
    FILE *file = fopen(TABLE, "rb");
    (void)state;
    assert_non_null(file);
    while (fgets(line, sizeof line, file)) {
        row r;
        if (line[0] == '#') {
            continue;
        }
        rows++;
        if (!read_row(&r, line)) {
            print_error("not a row: %s", line);
            wrong++;
        } else {
            wrong += !check_as_tree(&r);
            wrong += !check_as_text(&r);
        }
    }
    fclose(file);
    print_message("%zu rows of " TABLE "\n", rows);
    assert_int_equal(wrong, 0);
    assert_true(rows >= 50);
}

/* ---- shares ---- */

static void an_exact_fit_keeps_usual_lengths(void **state)
{
    made m;
    (void)state;
    begin_tree(&m, "");
    set_counts(add_line(&m), 1, 3);
    add_step(&m, STEP_TWO);
    add_step(&m, STEP_ONE);
    reckon(&m);
    assert_count(m.out.line_length[0], 3, 1);
    assert_count(m.out.item_from[0], 1, 1);
    assert_count(m.out.item_length[0], 2, 1);
    assert_count(m.out.item_from[1], 3, 1);
    assert_count(m.out.item_length[1], 1, 1);
    marq_arena_free(&m.arena);
}

static void a_whole_multiple_keeps_proportion(void **state)
{
    made m;
    (void)state;
    begin_tree(&m, "");
    set_counts(add_line(&m), 1, 6);
    add_step(&m, STEP_TWO);
    add_step(&m, STEP_ONE);
    reckon(&m); /* twice as slow */
    assert_count(m.out.item_length[0], 4, 1);
    assert_count(m.out.item_from[1], 5, 1);
    assert_count(m.out.item_length[1], 2, 1);
    marq_arena_free(&m.arena);
}

static void else_equal_whole_counts_win(void **state)
{
    made m;
    (void)state;
    begin_tree(&m, "");
    set_counts(add_line(&m), 3, 4);
    add_step(&m, STEP_HALF);
    add_step(&m, STEP_ONE);
    reckon(&m); /* 4/3 of the usual fits badly; one count each */
    assert_count(m.out.item_from[0], 3, 1);
    assert_count(m.out.item_length[0], 1, 1);
    assert_count(m.out.item_from[1], 4, 1);
    assert_count(m.out.item_length[1], 1, 1);
    marq_arena_free(&m.arena);
}

static void else_exact_proportion(void **state)
{
    made m;
    (void)state;
    begin_tree(&m, "");
    set_counts(add_line(&m), 1, 8);
    add_step(&m, STEP_TWO);
    add_step(&m, STEP_TWO);
    add_step(&m, STEP_ONE);
    reckon(&m); /* 8/5; 8/3 each is no half count either */
    assert_count(m.out.item_length[0], 16, 5);
    assert_count(m.out.item_from[1], 21, 5);
    assert_count(m.out.item_from[2], 37, 5);
    assert_count(m.out.item_length[2], 8, 5);
    marq_arena_free(&m.arena);
}

static void an_unknown_length_makes_equal_parts(void **state)
{
    made m;
    (void)state;
    begin_tree(&m, "");
    set_counts(add_line(&m), 1, 3);
    add_step(&m, STEP_TWO);
    add_step(&m, STEP_UNSAID);
    reckon(&m);
    assert_count(m.out.item_length[0], 3, 2);
    assert_count(m.out.item_from[1], 5, 2);
    marq_arena_free(&m.arena);
}

static void times_are_parts(void **state)
{
    made m;
    (void)state;
    begin_tree(&m, "");
    set_counts(add_line(&m), 1, 8);
    add_step(&m, STEP_UNSAID)->times = 3;
    add_step(&m, STEP_TWO);
    reckon(&m);
    assert_count(m.out.item_length[0], 6, 1);
    assert_count(m.out.item_from[1], 7, 1);
    marq_arena_free(&m.arena);
}

static void a_written_length_is_kept(void **state)
{
    made m;
    (void)state;
    begin_tree(&m, "");
    set_counts(add_line(&m), 1, 8);
    add_mark(&m, add_step(&m, STEP_ONE), MARQ_MARK_LENGTH, 4);
    add_step(&m, STEP_TWO);
    add_step(&m, STEP_TWO);
    reckon(&m);
    assert_count(m.out.item_length[0], 4, 1);
    assert_count(m.out.item_from[1], 5, 1);
    assert_count(m.out.item_length[1], 2, 1);
    assert_count(m.out.item_from[2], 7, 1);
    marq_arena_free(&m.arena);
}

static void halves_are_fit_for_equal_parts(void **state)
{
    made m;
    (void)state;
    begin_tree(&m, "");
    set_counts(add_line(&m), 1, 5);
    add_step(&m, STEP_TWO);
    add_step(&m, STEP_ONE);
    reckon(&m); /* 5/3 of the usual; 5/2 each */
    assert_count(m.out.item_length[0], 5, 2);
    assert_count(m.out.item_from[1], 7, 2);
    marq_arena_free(&m.arena);
}

static void a_whole_part_keeps_proportion(void **state)
{
    static const int64_t quarters[] = {1, 1, 4, 2};
    made m;
    (void)state;
    begin_tree(&m, "");
    set_counts(add_line(&m), 1, 2);
    add_step(&m, STEP_HALF);
    add_step(&m, STEP_HALF);
    add_step(&m, STEP_TWO);
    add_step(&m, STEP_ONE);
    reckon(&m); /* twice as fast */
    for (size_t i = 0; i < 4; i++) {
        marq_count wanted;
        assert_true(marq_count_make(&wanted, quarters[i], 4));
        assert_count(m.out.item_length[i], wanted.num, wanted.den);
    }
    marq_arena_free(&m.arena);
}

static void a_written_length_gives_way_to_the_line(void **state)
{
    made m;
    (void)state;
    begin_tree(&m, "");
    set_counts(add_line(&m), 1, 4);
    add_mark(&m, add_step(&m, STEP_ONE), MARQ_MARK_LENGTH, 4);
    add_step(&m, STEP_ONE);
    reckon(&m); /* nothing would be left for the second */
    assert_count(m.out.item_length[0], 2, 1);
    assert_count(m.out.item_from[1], 3, 1);
    marq_arena_free(&m.arena);
}

static void what_is_no_step_takes_no_time(void **state)
{
    made m;
    (void)state;
    begin_tree(&m, "");
    set_counts(add_line(&m), 1, 2);
    add_item(&m, MARQ_ITEM_FACE);
    add_step(&m, STEP_ONE);
    add_item(&m, MARQ_ITEM_STAND);
    add_step(&m, STEP_ONE);
    reckon(&m);
    assert_count(m.out.item_length[0], 0, 1);
    assert_count(m.out.item_from[1], 1, 1);
    assert_count(m.out.item_from[2], 2, 1);
    assert_count(m.out.item_length[2], 0, 1);
    assert_count(m.out.item_from[3], 2, 1);
    marq_arena_free(&m.arena);
}

static void items_may_carry_the_counts(void **state)
{
    made m;
    (void)state;
    begin_tree(&m, "");
    add_line(&m);
    for (int i = 0; i < 3; i++) {
        marq_item *item = add_step(&m, STEP_ONE);
        item->has_counts = true;
        item->count_from = (marq_count){i + 1, 1};
        item->count_to = item->count_from;
    }
    add_step(&m, STEP_ONE); /* shares the last count */
    reckon(&m);
    assert_count(m.out.line_length[0], 3, 1);
    assert_count(m.out.item_from[1], 2, 1);
    assert_count(m.out.item_from[2], 3, 1);
    assert_count(m.out.item_length[2], 1, 2);
    assert_count(m.out.item_from[3], 7, 2);
    assert_count(m.out.sum.total, 3, 1);
    marq_arena_free(&m.arena);
}

static void time_runs_on_over_restarts(void **state)
{
    made m;
    (void)state;
    begin_tree(&m, "");
    for (int i = 0; i < 3; i++) {
        set_counts(add_line(&m), 1, 8);
        add_step(&m, STEP_ONE);
    }
    reckon(&m);
    assert_count(m.out.item_from[0], 1, 1);
    assert_count(m.out.item_from[1], 9, 1);
    assert_count(m.out.item_from[2], 17, 1);
    marq_arena_free(&m.arena);
}

static void a_line_without_counts_takes_the_hole(void **state)
{
    made m;
    (void)state;
    begin_tree(&m, "");
    set_counts(add_line(&m), 1, 2);
    add_step(&m, STEP_ONE);
    add_line(&m);
    add_step(&m, STEP_TWO);
    add_line(&m);
    add_step(&m, STEP_ONE);
    set_counts(add_line(&m), 6, 8);
    add_step(&m, STEP_ONE);
    reckon(&m);
    assert_int_equal(marq_finding_count(&m.findings), 0);
    assert_count(m.out.line_length[1], 2, 1);
    assert_count(m.out.line_length[2], 1, 1);
    assert_count(m.out.item_from[2], 5, 1);
    assert_count(m.out.sum.total, 8, 1);
    marq_arena_free(&m.arena);
}

static void without_room_nothing_is_said_of_a_line(void **state)
{
    made m;
    (void)state;
    begin_tree(&m, "");
    set_counts(add_line(&m), 1, 4);
    add_step(&m, STEP_ONE);
    add_line(&m);
    add_step(&m, STEP_TWO);
    set_counts(add_line(&m), 5, 8);
    add_step(&m, STEP_ONE);
    reckon(&m);
    assert_int_equal(marq_finding_count(&m.findings), 0);
    assert_count(m.out.line_length[1], 0, 1);
    assert_int_equal(m.out.item_from[1].den, 0);
    marq_arena_free(&m.arena);
}

/* ---- estimates ---- */

static void estimate_of(made *m, int steps, uint16_t term)
{
    begin_tree(m, "");
    add_line(m);
    for (int i = 0; i < steps; i++) {
        add_step(m, term);
    }
    reckon(m);
    assert_false(m->out.sum.written);
}

static void estimates_are_notes(void **state)
{
    made m;
    (void)state;
    estimate_of(&m, 8, STEP_TWO);
    assert_true(m.out.sum.estimated);
    assert_count(m.out.sum.total, 16, 1);
    assert_int_equal(marq_finding_count(&m.findings), 1);
    assert_string_equal(
        marq_finding_at(&m.findings, 0)->headline,
        "no counts are written; about 16 counts by usual lengths");
    assert_string_equal(marq_finding_at(&m.findings, 0)->code, "C006");
    marq_arena_free(&m.arena);

    estimate_of(&m, 5, STEP_TWO);
    assert_count(m.out.sum.total, 10, 1);
    assert_count(m.out.sum.missing, 6, 1);
    assert_int_equal(marq_finding_count(&m.findings), 1);
    assert_string_equal(marq_finding_at(&m.findings, 0)->code, "C007");
    assert_int_equal(marq_finding_at(&m.findings, 0)->severity, MARQ_NOTE);
    marq_arena_free(&m.arena);

    estimate_of(&m, 3, STEP_UNSAID);
    assert_false(m.out.sum.estimated);
    assert_int_equal(marq_finding_count(&m.findings), 0);
    marq_arena_free(&m.arena);

    begin_tree(&m, "");
    add_line(&m);
    add_step(&m, STEP_ONE)->times = 13;
    add_step(&m, STEP_UNSAID); /* may well fill the rest */
    reckon(&m);
    assert_count(m.out.sum.total, 13, 1);
    assert_int_equal(marq_finding_count(&m.findings), 1);
    assert_string_equal(marq_finding_at(&m.findings, 0)->code, "C006");
    assert_int_equal(marq_finding_at(&m.findings, 0)->note_count, 1);
    marq_arena_free(&m.arena);

    begin_tree(&m, "");
    add_line(&m);
    add_step(&m, STEP_ONE)->times = 13;
    m.tree.unsquare = true;
    reckon(&m);
    assert_int_equal(marq_finding_count(&m.findings), 1);
    assert_string_equal(marq_finding_at(&m.findings, 0)->code, "C006");
    marq_arena_free(&m.arena);

    begin_tree(&m, ""); /* nothing at all */
    reckon(&m);
    assert_int_equal(marq_finding_count(&m.findings), 0);
    assert_count(m.out.sum.total, 0, 1);
    marq_arena_free(&m.arena);
}

/* ---- words ---- */

static void assert_words(int64_t num, int64_t den, uint32_t phrase,
                         const char *words)
{
    marq_arena arena;
    marq_build build;
    marq_arena_init(&arena, marq_mem_of(NULL));
    marq_build_init(&build, &arena);
    marq_count_words(&build, (marq_count){num, den}, phrase);
    assert_string_equal(marq_build_done(&build, NULL), words);
    marq_arena_free(&arena);
}

static void counts_are_said_within_the_phrase(void **state)
{
    (void)state;
    assert_words(3, 1, 8, "3");
    assert_words(8, 1, 8, "8");
    assert_words(9, 1, 8, "1");
    assert_words(9, 2, 8, "4 &");
    assert_words(13, 3, 8, "4 1/3");
    assert_words(17, 2, 8, "8 &");
    assert_words(7, 1, 6, "1");
    assert_words(12, 1, 6, "6");
    assert_words(9, 1, 0, "9");
    assert_words(1, 2, 8, "8 &"); /* the upbeat */
    assert_words(-3, 1, 8, "5");  /* counted in */
    assert_words(0, 0, 8, "");    /* not known */
    assert_words(INT64_MAX, 1, 8, "7");
    assert_words(INT64_MIN, 1, 8, "8");
    assert_words(INT64_MIN, 1, UINT32_MAX, "2147483647");
}

/* ---- at the limits nothing overflows ---- */

static uint64_t random_state;

static uint64_t next_random(void)
{
    random_state ^= random_state << 13;
    random_state ^= random_state >> 7;
    random_state ^= random_state << 17;
    return random_state;
}

static marq_count random_extreme(void)
{
    static const int64_t values[] = {
        0,         1,         -1,        2,       63, 64, 65, 1000000,
        1000001,   INT64_MAX, INT64_MIN, INT32_MAX, 7,  97, 999983, 5,
    };
    marq_count c = {values[next_random() % 16], values[next_random() % 16]};
    return c;
}

static void any_counts_are_taken(void **state)
{
    (void)state;
    random_state = 20240607;
    for (int run = 0; run < 3000; run++) {
        made m;
        begin_tree(&m, "");
        m.tree.unsquare = next_random() % 4 == 0;
        size_t lines = next_random() % 6;
        for (size_t i = 0; i < lines; i++) {
            marq_line *line = add_line(&m);
            line->has_counts = next_random() % 5 != 0;
            line->count_from = random_extreme();
            line->count_to = random_extreme();
            line->count_half = next_random() % 3 == 0;
            line->side = (uint8_t)(next_random() % 8 == 0);
            if (next_random() % 4 != 0) {
                marq_item *item =
                    add_step(&m, (uint16_t)(next_random() % STEPS));
                item->times = next_random() % 3 ? 1 : UINT32_MAX;
                if (next_random() % 4 == 0) {
                    item->has_counts = true;
                    item->count_from = random_extreme();
                    item->count_to = random_extreme();
                }
                add_mark(&m, item, MARQ_MARK_LENGTH,
                         (uint16_t)next_random());
            }
        }
        reckon(&m);
        assert_true(m.out.sum.total.den > 0);
        assert_true(m.out.sum.total.num >= 0);
        for (size_t i = 0; i < lines; i++) {
            assert_true(m.out.line_length[i].den > 0);
            assert_true(m.out.line_length[i].num >= 0);
        }
        marq_arena_free(&m.arena);
    }
}

/* ---- random time lines against a slow sum ---- */

/* Half counts are boxes in a row; a stretch fills its boxes.  Holes smaller
 * than a phrase are left here and there, always within the numbering. */
#define BOXES 4096

typedef struct time_line {
    bool box[BOXES];
    size_t lines, gaps, end; /* end: the first half count after all */
    size_t where[40], length[40];
} time_line;

/* A line in the tree, and the same in the text. */
static void write_line(made *m, char *text, size_t room, int64_t number,
                       int64_t halves, bool and_last)
{
    size_t used = strlen(text);
    marq_line *line = add_line(m);
    int64_t last = number + halves - 1; /* its last half count */
    line->has_counts = true;
    line->count_half = and_last;
    (void)marq_count_make(&line->count_from, number, 2);
    (void)marq_count_make(&line->count_to, and_last ? last : last & ~1, 2);
    add_step(m, STEP_ONE);
    if (number % 2 == 1) {
        snprintf(text + used, room - used, "&%lld  changement\n",
                 (long long)(number + 1) / 2);
    } else if (number / 2 == last / 2) {
        snprintf(text + used, room - used, "%lld  changement\n",
                 (long long)number / 2);
    } else {
        snprintf(text + used, room - used, "%lld-%lld  changement\n",
                 (long long)number / 2, (long long)last / 2);
    }
}

static void make_time_line(time_line *t, made *m, char *text, size_t room)
{
    size_t place = 0;   /* half counts from the beginning */
    int64_t number = 2; /* the written number there, in halves */
    memset(t, 0, sizeof *t);
    text[0] = '\0';
    t->lines = 1 + next_random() % 40;
    for (size_t i = 0; i < t->lines; i++) {
        bool last = i + 1 == t->lines;
        if (place % 16 == 0 && next_random() % 2) {
            number = 2; /* a new 1 where a phrase is full */
        }
        if (i > 0 && number % 2 == 0 && next_random() % 8 == 0) {
            size_t hole = 2 * (1 + next_random() % 3);
            place += hole;
            number += (int64_t)hole;
            t->gaps++;
        }
        /* An "&" takes the second half of the count before it, which was
           written whole: "7, &8". */
        size_t halves = 2 * (1 + next_random() % 4);
        bool and_only = number % 2 == 1;
        if (and_only) {
            halves = 1;
        } else if (!last && next_random() % 6 == 0) {
            halves--;
        }
        write_line(m, text, room, number, (int64_t)halves, and_only);
        t->where[i] = place;
        t->length[i] = halves;
        for (size_t b = 0; b < halves; b++) {
            t->box[place + b] = true;
        }
        place += halves;
        number += (int64_t)halves;
    }
    t->end = place;
}

static void check_time_line(const time_line *t, const made *m)
{
    int64_t filled = 0;
    marq_count wanted;
    size_t gaps = 0, short_of = 0, problems = 0;
    for (size_t b = 0; b < BOXES; b++) {
        filled += t->box[b];
    }
    assert_true(marq_count_make(&wanted, filled, 2));
    assert_count(m->out.sum.total, wanted.num, wanted.den);
    for (size_t i = 0; i < marq_finding_count(&m->findings); i++) {
        const marq_finding *f = marq_finding_at(&m->findings, i);
        gaps += strcmp(f->code, "C001") == 0;
        short_of += strcmp(f->code, "C003") == 0;
        problems += f->severity == MARQ_PROBLEM;
    }
    assert_int_equal(gaps, t->gaps);
    assert_int_equal(short_of, t->end > 16 && t->end % 16 != 0);
    assert_int_equal(problems, gaps + short_of);
    assert_int_equal(m->tree.lines.count, t->lines);
    for (size_t i = 0; i < t->lines; i++) {
        assert_true(marq_count_make(&wanted, (int64_t)t->where[i] + 2, 2));
        assert_count(m->out.item_from[i], wanted.num, wanted.den);
        assert_true(marq_count_make(&wanted, (int64_t)t->length[i], 2));
        assert_count(m->out.line_length[i], wanted.num, wanted.den);
        assert_count(m->out.item_length[i], wanted.num, wanted.den);
    }
}

static void random_time_lines_add_up(void **state)
{
    (void)state;
    for (uint64_t seed = 1; seed <= 2000; seed++) {
        static time_line t;
        made m;
        char text[2048];
        random_state = seed * 0x9e3779b97f4a7c15u;
        begin_tree(&m, "");
        make_time_line(&t, &m, text, sizeof text);
        reckon(&m);
        check_time_line(&t, &m);
        marq_arena_free(&m.arena);
        reckon_text(&m, text);
        check_time_line(&t, &m);
        marq_arena_free(&m.arena);
    }
}

/* ---- memory ---- */

static marq_status reckon_with(testmem *mem, void *ctx)
{
    made m;
    (void)ctx;
    marq_config config = testmem_config(mem);
    marq_arena_init(&m.arena, marq_mem_of(NULL)); /* the tree stays whole */
    assert_int_equal(
        marq_source_init(&m.source, &m.arena, NULL, "Polonaise", 9), MARQ_OK);
    marq_tree_init(&m.tree, &m.arena, &m.source);
    add_title(&m, "Polonaise");
    static const int64_t ranges[][2] = {{1, 4}, {6, 5}, {9, 9}, {7, 9},
                                        {12, 14}};
    for (size_t i = 0; i < 5; i++) {
        set_counts(add_line(&m), ranges[i][0], ranges[i][1]);
        add_step(&m, STEP_ONE);
    }
    marq_arena arena;
    marq_arena_init(&arena, marq_mem_of(&config));
    marq_findings_init(&m.findings, &arena, 100);
    marq_status status = marq_count_reckon(&m.out, &arena, &vocab, &m.tree,
                                           &m.findings);
    marq_arena_free(&arena);
    marq_arena_free(&m.arena);
    return status;
}

static void no_memory_is_said(void **state)
{
    (void)state;
    assert_true(testmem_each_failure(reckon_with, NULL) > 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(table_holds),
        cmocka_unit_test(an_exact_fit_keeps_usual_lengths),
        cmocka_unit_test(a_whole_multiple_keeps_proportion),
        cmocka_unit_test(else_equal_whole_counts_win),
        cmocka_unit_test(else_exact_proportion),
        cmocka_unit_test(an_unknown_length_makes_equal_parts),
        cmocka_unit_test(times_are_parts),
        cmocka_unit_test(a_written_length_is_kept),
        cmocka_unit_test(halves_are_fit_for_equal_parts),
        cmocka_unit_test(a_whole_part_keeps_proportion),
        cmocka_unit_test(a_written_length_gives_way_to_the_line),
        cmocka_unit_test(what_is_no_step_takes_no_time),
        cmocka_unit_test(items_may_carry_the_counts),
        cmocka_unit_test(time_runs_on_over_restarts),
        cmocka_unit_test(a_line_without_counts_takes_the_hole),
        cmocka_unit_test(without_room_nothing_is_said_of_a_line),
        cmocka_unit_test(estimates_are_notes),
        cmocka_unit_test(counts_are_said_within_the_phrase),
        cmocka_unit_test(any_counts_are_taken),
        cmocka_unit_test(random_time_lines_add_up),
        cmocka_unit_test(no_memory_is_said),
    };
    return cmocka_run_group_tests(tests, load_shipped, free_shipped);
}
