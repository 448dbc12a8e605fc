/* test_print.c - the clean copy: its form, and that it reads back. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>

#include <cmocka.h>

#include "mirror.h"
#include "parse.h"
#include "print.h"
#include "testmem.h"

/* ---- a small vocabulary for what is written by hand ---- */

#define STRINGS                                                            \
    "\0glissade\0assemblé\0échappé sauté\0changement\0derrière\0dessus\0" \
    "ankle behind\0"
enum {
    AT_GLISSADE = 1,
    AT_ASSEMBLE = AT_GLISSADE + sizeof "glissade",
    AT_ECHAPPE = AT_ASSEMBLE + sizeof "assemblé",
    AT_CHANGEMENT = AT_ECHAPPE + sizeof "échappé sauté",
    AT_DERRIERE = AT_CHANGEMENT + sizeof "changement",
    AT_DESSUS = AT_DERRIERE + sizeof "derrière",
    AT_ANKLE = AT_DESSUS + sizeof "dessus"
};
enum { GLISSADE, ASSEMBLE, ECHAPPE, CHANGEMENT, TERMS };
enum { DERRIERE, DESSUS, QUALIFIERS };

static const marq_term terms[TERMS] = {
    {.name = AT_GLISSADE},
    {.name = AT_ASSEMBLE},
    {.name = AT_ECHAPPE},
    {.name = AT_CHANGEMENT},
};
static const marq_qualifier qualifiers[QUALIFIERS] = {
    {.name = AT_DERRIERE, .position = MARQ_POSITIONS},
    {.name = AT_DESSUS, .position = MARQ_POSITIONS},
};
static const marq_free_word free_words[] = {
    {AT_ANKLE, MARQ_FREE(MARQ_ANKLE, MARQ_DERRIERE)}};
static const marq_vocab_data small_data = {
    .strings = STRINGS,
    .terms = terms,
    .term_count = TERMS,
    .qualifiers = qualifiers,
    .qualifier_count = QUALIFIERS,
    .free_words = free_words,
    .free_word_count = 1,
};
static const marq_vocab small = {.data = &small_data};

/* ---- trees by hand ---- */

typedef struct made {
    marq_arena arena;
    marq_source source;
    marq_tree tree;
} made;

static void begin_tree(made *m, const char *text)
{
    marq_arena_init(&m->arena, marq_mem_of(NULL));
    assert_int_equal(marq_source_init(&m->source, &m->arena, NULL, text,
                                      strlen(text)),
                     MARQ_OK);
    marq_tree_init(&m->tree, &m->arena, &m->source);
}

static marq_span find_text(const made *m, const char *text)
{
    const char *at = strstr(m->source.bytes, text);
    assert_non_null(at);
    marq_span span;
    span.from = (uint32_t)(at - m->source.bytes);
    span.to = span.from + (uint32_t)strlen(text);
    return span;
}

static void add_heading(made *m, marq_heading heading, const char *value)
{
    marq_heading_line *h = marq_array_add(&m->tree.headings);
    assert_non_null(h);
    h->heading = (uint8_t)heading;
    h->value = find_text(m, value);
}

/* Counts in halves: 2, 4 is "1-2"; 0 none. */
static marq_line *add_line(made *m, int64_t from, int64_t to)
{
    marq_line *line = marq_array_add(&m->tree.lines);
    assert_non_null(line);
    line->first_item = (uint32_t)m->tree.items.count;
    line->has_counts = from > 0;
    if (from > 0) {
        assert_true(marq_count_make(&line->count_from, from, 2));
        assert_true(marq_count_make(&line->count_to, to, 2));
        line->count_half = to % 2 == 1;
    }
    return line;
}

static marq_item *add_item(made *m, marq_item_kind kind, unsigned term)
{
    marq_item *item = marq_array_add(&m->tree.items);
    assert_non_null(item);
    item->kind = (uint8_t)kind;
    item->term = (uint16_t)term;
    item->times = 1;
    item->first_mark = (uint32_t)m->tree.marks.count;
    MARQ_AT(&m->tree.lines, marq_line, m->tree.lines.count - 1)->item_count++;
    return item;
}

static marq_mark *add_mark(made *m, marq_mark_kind kind, unsigned value)
{
    marq_mark *mark = marq_array_add(&m->tree.marks);
    assert_non_null(mark);
    mark->kind = (uint8_t)kind;
    mark->value = (uint16_t)value;
    MARQ_AT(&m->tree.items, marq_item, m->tree.items.count - 1)
        ->mark_count++;
    return mark;
}

static void set_bodies(marq_stand *s, marq_body a, marq_body b)
{
    s->written = s->has_bodies = true;
    s->bodies[a] = 1;
    s->bodies[b] = 1;
    s->facings = MARQ_ANY_FACING;
}

static const char *print(made *m, const marq_vocab *vocab,
                         const marq_print_plan *plan)
{
    marq_build out;
    marq_build_init(&out, &m->arena);
    marq_print_tree(&out, vocab, &m->tree, plan);
    const char *text = marq_build_done(&out, NULL);
    assert_non_null(text);
    return text;
}

/* ---- the form ---- */

static void step_with(made *m, unsigned term, unsigned qualifier)
{
    add_item(m, MARQ_ITEM_STEP, term);
    add_mark(m, MARQ_MARK_QUALIFIER, qualifier);
}

/* The example of docs/notation.md, built by hand. */
static void the_example_is_written_as_shown(void **state)
{
    made m;
    (void)state;
    begin_tree(&m, "Light two/elementary/2/4, 92 counts a minute, 4 in/"
                   "closing changed");
    add_heading(&m, MARQ_HEAD_TITLE, "Light two");
    add_heading(&m, MARQ_HEAD_LEVEL, "elementary");
    add_heading(&m, MARQ_HEAD_MUSIC, "2/4, 92 counts a minute, 4 in");
    marq_body fifth = marq_body_two(MARQ_FIFTH, MARQ_SIDE_RIGHT);
    set_bodies(&m.tree.start, fifth, fifth);
    m.tree.start.alignments = 1u << MARQ_CROISE;
    /* a finish in fifth may be on the tips */
    set_bodies(&m.tree.finish, marq_body_two(MARQ_FIFTH, MARQ_SIDE_LEFT),
               marq_body_two(MARQ_TIPS, MARQ_SIDE_LEFT));
    add_line(&m, 2, 4);
    step_with(&m, GLISSADE, DERRIERE);
    step_with(&m, ASSEMBLE, DESSUS);
    add_line(&m, 6, 8)->phrase_break = true;
    step_with(&m, GLISSADE, DERRIERE);
    step_with(&m, ASSEMBLE, DESSUS);
    add_line(&m, 10, 12);
    add_item(&m, MARQ_ITEM_STEP, ECHAPPE);
    add_mark(&m, MARQ_MARK_REMARK, 0)->span =
        find_text(&m, "closing changed");
    add_line(&m, 14, 14);
    add_item(&m, MARQ_ITEM_STEP, CHANGEMENT);
    add_line(&m, 15, 15);
    add_item(&m, MARQ_ITEM_STEP, CHANGEMENT);
    add_line(&m, 16, 17);
    add_item(&m, MARQ_ITEM_STEP, CHANGEMENT)->times = 2;
    assert_string_equal(print(&m, &small, NULL),
                        "title    Light two\n"
                        "level    elementary\n"
                        "music    2/4, 92 counts a minute, 4 in\n"
                        "start    fifth, right front, croisé\n"
                        "\n"
                        "1-2      glissade derrière, assemblé dessus\n"
                        "\n"
                        "3-4      glissade derrière, assemblé dessus\n"
                        "5-6      échappé sauté (closing changed)\n"
                        "7        changement\n"
                        "&8       changement\n"
                        "8&       changement ×2\n"
                        "finish   fifth, left front\n");
    marq_arena_free(&m.arena);
}

static void marks_stand_in_their_order(void **state)
{
    made m;
    (void)state;
    begin_tree(&m, "soft wall 3");
    add_line(&m, 0, 0);
    add_item(&m, MARQ_ITEM_STEP, GLISSADE)->times = 3;
    /* written the other way round */
    add_mark(&m, MARQ_MARK_REMARK, 0)->span = find_text(&m, "soft");
    add_mark(&m, MARQ_MARK_LENGTH, 4);
    add_mark(&m, MARQ_MARK_ALIGNMENT, MARQ_EFFACE);
    add_mark(&m, MARQ_MARK_NUMBERED, 3)->span = find_text(&m, "wall 3");
    add_mark(&m, MARQ_MARK_FACING, 7);
    add_mark(&m, MARQ_MARK_AMOUNT, 4);
    add_mark(&m, MARQ_MARK_CLOSING, MARQ_DERRIERE);
    add_mark(&m, MARQ_MARK_FRONT, MARQ_SIDE_LEFT);
    add_mark(&m, MARQ_MARK_TO_FREE, 0);
    add_mark(&m, MARQ_MARK_TO, MARQ_FIFTH);
    add_mark(&m, MARQ_MARK_IN, MARQ_SECOND);
    add_mark(&m, MARQ_MARK_FROM, MARQ_FOURTH);
    add_mark(&m, MARQ_MARK_TOWARD, MARQ_SIDE_RIGHT);
    add_mark(&m, MARQ_MARK_SIDE, MARQ_SIDE_LEFT);
    add_mark(&m, MARQ_MARK_ON, MARQ_FOOT_RIGHT);
    add_mark(&m, MARQ_MARK_FOOT, MARQ_FOOT_BACK)->assumed = true;
    add_mark(&m, MARQ_MARK_QUALIFIER, DESSUS);
    assert_string_equal(
        print(&m, &small, NULL),
        "glissade dessus ~back foot on the right left to the right from "
        "fourth in second to fifth to ankle behind left front closing back "
        "half facing front left corner facing wall 3 effacé in 4 counts ×3 "
        "(soft)\n");
    marq_arena_free(&m.arena);
}

static void what_is_no_step_is_written_too(void **state)
{
    made m;
    (void)state;
    begin_tree(&m, "flibbertigo (soft)");
    marq_stand *stand = marq_array_add(&m.tree.stands);
    assert_non_null(stand);
    set_bodies(stand, marq_body_one(MARQ_SIDE_LEFT, MARQ_ANKLE,
                                    MARQ_DERRIERE),
               marq_body_one(MARQ_SIDE_LEFT, MARQ_ANKLE, MARQ_DERRIERE));
    stand = marq_array_add(&m.tree.stands);
    assert_non_null(stand);
    stand->written = true;
    stand->facings = 1u << 0;
    add_line(&m, 0, 0);
    add_item(&m, MARQ_ITEM_UNKNOWN, 0)->word = find_text(&m, "flibbertigo");
    add_item(&m, MARQ_ITEM_HOLE, 0);
    add_item(&m, MARQ_ITEM_STAND, 0)->stand = 0;
    add_item(&m, MARQ_ITEM_FACE, 0)->stand = 1;
    add_line(&m, 0, 0)->side = MARQ_SIDE_LEFT;
    add_item(&m, MARQ_ITEM_REMARK, 0)->span = find_text(&m, "(soft)");
    add_item(&m, MARQ_ITEM_OPERATOR, 0)->operator_ = MARQ_OP_OTHER_SIDE;
    assert_string_equal(print(&m, &small, NULL),
                        "flibbertigo, ..., now on the left, right ankle "
                        "behind, to audience\n" /* "facing" would be more
                                                   of the place */
                        "left side:\n"
                        "(soft), other side\n");
    marq_arena_free(&m.arena);
}

static void assumptions_bear_their_mark(void **state)
{
    made m;
    static const marq_assumed assumed[] = {
        {0, MARQ_MARK_FOOT, MARQ_FOOT_RIGHT},
        {0, MARQ_MARK_QUALIFIER, DERRIERE},
        {2, MARQ_MARK_TOWARD, MARQ_SIDE_LEFT},
    };
    marq_stand start;
    marq_print_plan plan = {assumed, 3, &start, true, false};
    (void)state;
    memset(&start, 0, sizeof start);
    set_bodies(&start, marq_body_two(MARQ_FIFTH, MARQ_SIDE_RIGHT),
               marq_body_two(MARQ_FIFTH, MARQ_SIDE_RIGHT));
    begin_tree(&m, "");
    add_line(&m, 0, 0);
    add_item(&m, MARQ_ITEM_STEP, GLISSADE);
    step_with(&m, ASSEMBLE, DESSUS);
    add_item(&m, MARQ_ITEM_STEP, CHANGEMENT);
    assert_string_equal(print(&m, &small, &plan),
                        "start    ~fifth, right front\n"
                        "\n"
                        "glissade ~derrière ~right foot, assemblé dessus, "
                        "changement ~to the left\n");
    marq_arena_free(&m.arena);
}

/* ---- right and left inside remarks ---- */

static void assert_swapped(const char *text, const char *other)
{
    made m;
    marq_print_plan plan = {NULL, 0, NULL, false, true};
    for (int way = 0; way < 2; way++) {
        char wanted[128];
        begin_tree(&m, way ? other : text);
        add_line(&m, 2, 2);
        add_item(&m, MARQ_ITEM_REMARK, 0)->span =
            find_text(&m, way ? other : text);
        snprintf(wanted, sizeof wanted, "1        (%s)\n", way ? text : other);
        assert_string_equal(print(&m, &small, &plan), wanted);
        marq_arena_free(&m.arena);
    }
}

static void remarks_change_sides(void **state)
{
    (void)state;
    assert_swapped("right arm up", "left arm up");
    assert_swapped("Left, then RIGHT", "Right, then LEFT");
    assert_swapped("à droite", "à gauche");
    assert_swapped("bras droit", "bras gauche");
    assert_swapped("tout droit", "tout droit");
    assert_swapped("Droite", "Gauche");
    assert_swapped("R arm, L/R", "L arm, R/L");
    assert_swapped("L'autre bras", "L'autre bras");
    assert_swapped("bright leftover", "bright leftover");
    assert_swapped("r and l", "r and l");
    assert_swapped("RL", "RL");
    assert_swapped("rIGHT", "rIGHT");
}

static void assert_remark(const char *span, const char *written)
{
    made m;
    char wanted[128];
    begin_tree(&m, span);
    add_line(&m, 2, 2);
    add_item(&m, MARQ_ITEM_REMARK, 0)->span = find_text(&m, span);
    snprintf(wanted, sizeof wanted, "1        %s\n", written);
    assert_string_equal(print(&m, &small, NULL), wanted);
    marq_arena_free(&m.arena);
}

static void remarks_are_bracketed_once(void **state)
{
    (void)state;
    assert_remark("soft", "(soft)");
    assert_remark("(soft  arms)", "(soft arms)");
    assert_remark("soft (very)\n arms", "(soft (very) arms)");
    assert_remark("soft) arms", "((soft) arms)");
    assert_remark("arms (soft", "(arms (soft))");
    assert_remark("", "()");
}

/* Nothing but talk at the very beginning is set off from a title. */
static void talk_is_no_title(void **state)
{
    made m;
    (void)state;
    begin_tree(&m, "soft");
    add_line(&m, 0, 0);
    add_item(&m, MARQ_ITEM_REMARK, 0)->span = find_text(&m, "soft");
    assert_string_equal(print(&m, &small, NULL), "(soft),\n");
    add_heading(&m, MARQ_HEAD_TITLE, "soft");
    assert_string_equal(print(&m, &small, NULL),
                        "title    soft\n\n(soft)\n");
    marq_arena_free(&m.arena);
}

/* ---- stands ---- */

static void assert_stand(const marq_stand *s, const char *words)
{
    made m;
    marq_build out;
    begin_tree(&m, "");
    marq_build_init(&out, &m.arena);
    marq_print_stand(&out, &small, s);
    assert_string_equal(marq_build_done(&out, NULL), words);
    marq_arena_free(&m.arena);
}

static void stands_have_words(void **state)
{
    marq_stand s;
    (void)state;
    memset(&s, 0, sizeof s);
    set_bodies(&s, marq_body_two(MARQ_FIFTH, MARQ_SIDE_RIGHT),
               marq_body_two(MARQ_FIFTH, MARQ_SIDE_LEFT));
    assert_stand(&s, "fifth");
    s.facings = 1u << 7;
    assert_stand(&s, "fifth, facing front left corner");
    s.numbered = 8;
    s.facings = MARQ_ANY_FACING;
    assert_stand(&s, "fifth, facing corner 8");

    memset(&s, 0, sizeof s);
    set_bodies(&s, marq_body_two(MARQ_SECOND, MARQ_SIDE_NONE),
               marq_body_two(MARQ_SECOND, MARQ_SIDE_NONE));
    assert_stand(&s, "second");

    memset(&s, 0, sizeof s);
    for (unsigned b = 0; b < MARQ_BODIES; b++) {
        if (marq_body_standing((marq_body)b) == MARQ_SIDE_RIGHT) {
            set_bodies(&s, (marq_body)b, (marq_body)b);
        }
    }
    assert_stand(&s, "on the right");

    memset(&s, 0, sizeof s);
    set_bodies(&s, marq_body_one(MARQ_SIDE_RIGHT, MARQ_ANKLE, MARQ_DERRIERE),
               marq_body_one(MARQ_SIDE_LEFT, MARQ_ANKLE, MARQ_DERRIERE));
    assert_stand(&s, "ankle behind");
}

/* No words of ours say just this set: the writer's own are kept. */
static void odd_stands_keep_their_own_words(void **state)
{
    made m;
    marq_print_plan plan = {NULL, 0, NULL, false, true};
    (void)state;
    begin_tree(&m, "first or fifth, right front");
    set_bodies(&m.tree.start, marq_body_two(MARQ_FIRST, MARQ_SIDE_NONE),
               marq_body_two(MARQ_FIFTH, MARQ_SIDE_RIGHT));
    m.tree.start.span = find_text(&m, "first or fifth, right front");
    assert_string_equal(print(&m, &small, NULL),
                        "start    first or fifth, right front\n");
    assert_string_equal(print(&m, &small, &plan),
                        "start    first or fifth, left front\n");
    marq_arena_free(&m.arena);
}

/* ---- memory ---- */

static marq_status print_with(testmem *mem, void *ctx)
{
    made m;
    marq_arena arena;
    marq_build out;
    marq_config config = testmem_config(mem);
    static const marq_assumed assumed[] = {
        {0, MARQ_MARK_FOOT, MARQ_FOOT_RIGHT}};
    marq_print_plan plan = {assumed, 1, NULL, false, true};
    (void)ctx;
    begin_tree(&m, "soft wibble Light two");
    add_heading(&m, MARQ_HEAD_TITLE, "Light two");
    set_bodies(&m.tree.start, marq_body_two(MARQ_FIFTH, MARQ_SIDE_RIGHT),
               marq_body_two(MARQ_FIFTH, MARQ_SIDE_RIGHT));
    add_line(&m, 2, 4);
    step_with(&m, GLISSADE, DERRIERE);
    add_mark(&m, MARQ_MARK_SIDE, MARQ_SIDE_RIGHT);
    add_mark(&m, MARQ_MARK_REMARK, 0)->span = find_text(&m, "soft");
    add_item(&m, MARQ_ITEM_UNKNOWN, 0)->word = find_text(&m, "wibble");
    add_item(&m, MARQ_ITEM_OPERATOR, 0)->operator_ = MARQ_OP_REPEAT;
    add_mark(&m, MARQ_MARK_SIDE, MARQ_SIDE_LEFT);
    marq_arena_init(&arena, marq_mem_of(&config));
    marq_build_init(&out, &arena);
    marq_print_tree(&out, &small, &m.tree, &plan);
    marq_status status =
        marq_build_done(&out, NULL) == NULL ? MARQ_MEMORY : MARQ_OK;
    marq_arena_free(&arena);
    marq_arena_free(&m.arena);
    return status;
}

static void no_memory_is_said(void **state)
{
    (void)state;
    assert_true(testmem_each_failure(print_with, NULL) > 0);
}

/* ---- print then read ---- */

static uint64_t random_state;

static unsigned next_random(size_t below)
{
    random_state ^= random_state << 13;
    random_state ^= random_state >> 7;
    random_state ^= random_state << 17;
    return (unsigned)((random_state >> 32) % below);
}

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

static void read_text(made *m, const char *text)
{
    static struct marq_findings findings;
    marq_arena_init(&m->arena, marq_mem_of(NULL));
    assert_int_equal(marq_source_init(&m->source, &m->arena, NULL, text,
                                      strlen(text)),
                     MARQ_OK);
    marq_findings_init(&findings, &m->arena, 1000);
    assert_int_equal(marq_parse(&m->tree, &m->arena, shipped, &m->source,
                                &findings),
                     MARQ_OK);
}

static void show_tree(made *m, const char *name)
{
    marq_build out;
    marq_build_init(&out, &m->arena);
    marq_print_dump(&out, shipped, &m->tree);
    print_error("%s:\n%s", name, marq_build_done(&out, NULL));
}

/* Does the clean copy of m's tree read back as the same tree, and is it its
 * own clean copy? */
static bool reads_back(made *m)
{
    made again;
    const char *text = print(m, shipped, NULL);
    read_text(&again, text);
    const char *second = print(&again, shipped, NULL);
    bool good = marq_tree_equal(&m->tree, &again.tree) &&
                strcmp(text, second) == 0;
    if (!good) {
        print_error("--- source\n%s\n--- clean copy\n%s", m->source.bytes,
                    text);
        show_tree(m, "--- tree");
        show_tree(&again, "--- read back");
    }
    marq_arena_free(&again.arena);
    return good;
}

/* Words of the vocabulary in any order, with counts, brackets, commas. */
static void write_noise(char *out, size_t room)
{
    static const char *const odd[] = {
        "1-4",     "5-8",   "7",        "&8",      "7&",     "3",
        "×3",      "twice", "(soft)",   "(R arm)", "wibble", "corner 8",
        "wall 3",  "R",     "RFF",      "5th",     "now",    "...",
        "in 4 counts", "~dessus", "right side:", "left side:", "L front",
        "hold",    "and",      "to",       "from",    "~to the right",
    };
    static const char *const joins[] = {" ", " ", " ", " ", ", ", ", ",
                                        "\n", "; ", "\n\n", ": "};
    /* Headings only where they are some: a word nobody knows after "start"
       cannot be told from one on a line of its own. */
    static const char *const heads[] = {
        "title Ternfield Hall\n", "level: advanced\n",
        "music 3/4, 60 counts a minute, 4 in\n", "remark softly\n",
        "start fifth, right front\n", "start: on the left, facing mirror\n",
        "finish second, croisé\n", "finish ~5R\n",
    };
    size_t used = 0, words = 1 + next_random(14);
    out[0] = '\0';
    while (next_random(3) == 0) {
        used += (size_t)snprintf(
            out + used, room - used, "%s",
            heads[next_random(sizeof heads / sizeof heads[0])]);
    }
    for (size_t i = 0; i < words; i++) {
        const char *word = odd[next_random(sizeof odd / sizeof odd[0])];
        if (next_random(3) != 0) {
            size_t form = next_random(shipped->data->form_count);
            const char *shown =
                marq_string(shipped, shipped->data->forms[form].shown);
            /* half an abbreviation is a near miss of anything */
            word = strchr(shown, '.') ? word : shown;
        }
        used += (size_t)snprintf(
            out + used, room - used, "%s%s",
            i > 0 ? joins[next_random(sizeof joins / sizeof joins[0])] : "",
            word);
        assert_true(used < room);
    }
}

static unsigned run_count(void)
{
    return getenv("MARQ_LONG") ? 20000 : 3000;
}

static void whatever_was_read_reads_back(void **state)
{
    unsigned wrong = 0;
    (void)state;
    print_message("seeds 1 to %u\n", run_count());
    for (unsigned seed = 1; seed <= run_count() && wrong < 8; seed++) {
        char text[4096];
        made m;
        random_state = seed * 0x9e3779b97f4a7c15u;
        write_noise(text, sizeof text);
        read_text(&m, text);
        if (!reads_back(&m)) {
            print_error("seed %u\n", seed);
            wrong++;
        }
        marq_arena_free(&m.arena);
    }
    assert_int_equal(wrong, 0);
}

/* The clean copy of the other side of m's tree, read again. */
static void read_other_side(made *out, made *m)
{
    static const marq_print_plan plan = {NULL, 0, NULL, false, true};
    marq_tree tree = m->tree;
    assert_int_equal(
        marq_mirror_tree(&m->tree, &m->arena, shipped, &tree), MARQ_OK);
    read_text(out, print(m, shipped, &plan));
    m->tree = tree;
}

static void the_other_side_twice_is_the_same_text(void **state)
{
    unsigned wrong = 0, differed = 0;
    (void)state;
    for (unsigned seed = 1; seed <= run_count() && wrong < 5; seed++) {
        char text[4096];
        made m, other, again;
        random_state = seed * 0xd1342543de82ef95u;
        write_noise(text, sizeof text);
        read_text(&m, text);
        read_other_side(&other, &m);
        read_other_side(&again, &other);
        const char *first = print(&m, shipped, NULL);
        const char *second = print(&other, shipped, NULL);
        const char *third = print(&again, shipped, NULL);
        differed += strcmp(first, second) != 0;
        if (strcmp(first, third) != 0) {
            print_error("seed %u\n--- this side\n%s--- other\n%s--- back\n%s",
                        seed, first, second, third);
            wrong++;
        }
        marq_arena_free(&m.arena);
        marq_arena_free(&other.arena);
        marq_arena_free(&again.arena);
    }
    assert_int_equal(wrong, 0);
    assert_true(differed > run_count() / 4); /* else nothing was turned */
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_example_is_written_as_shown),
        cmocka_unit_test(marks_stand_in_their_order),
        cmocka_unit_test(what_is_no_step_is_written_too),
        cmocka_unit_test(assumptions_bear_their_mark),
        cmocka_unit_test(remarks_change_sides),
        cmocka_unit_test(remarks_are_bracketed_once),
        cmocka_unit_test(talk_is_no_title),
        cmocka_unit_test(stands_have_words),
        cmocka_unit_test(odd_stands_keep_their_own_words),
        cmocka_unit_test(no_memory_is_said),
        cmocka_unit_test(whatever_was_read_reads_back),
        cmocka_unit_test(the_other_side_twice_is_the_same_text),
    };
    return cmocka_run_group_tests(tests, load_shipped, free_shipped);
}
