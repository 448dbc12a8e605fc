/* test_load.c - vocabulary text to data: every clause, every fault. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "load.h"
#include "source.h"
#include "testmem.h"
#include "text.h"

/* ---- a small vocabulary under every test ---- */
static const char small[] =
    "format 1\n"
    "price quiet link\n  value 1\n"
    "price closing link\n  value 2\n"
    "price side leg closed in front\n  value 3\n"
    "price opening link\n  value 4\n"
    "price start in fifth\n  value 5\n"
    "price start in first\n  value 6\n"
    "price start in a pose\n  value 7\n"
    "price start elsewhere\n  value 8\n"
    "price from one croisé to the other\n  value 9\n"
    "price bonus\n  value 10\n"
    "price edit form\n  value 11\n"
    "price edit put in\n  value 12\n"
    "price edit word\n  value 13\n"
    "price edit leave out\n  value 14\n"
    "pattern count\n  match (?<from>\\d+)\n"
    "pattern times\n  match x(?<n>\\d+)\n  match (?<n>\\d+)x\n"
    "qualifier dessus\n  means over\n  asks closes front\n"
    "  reverse dessous\n"
    "qualifier dessous\n  means under\n  asks closes back\n"
    "  reverse dessus\n"
    "qualifier changé\n  means the feet change\n  written changée\n"
    "facing audience\n  eighths 0\n  written the audience\n"
    "free ankle behind\n  place at the ankle behind\n"
    "number three\n  value 3\n"
    "filler the\n"
    "term glissade\n  id glissade\n  written gliss., glide\n"
    "  means a gliding step\n  family links\n  level elementary\n"
    "  side travel\n  source common practice\n"
    "  variant dessous: from fifth, front foot works, closes back, feet "
    "change; price 1; reverse dessus\n"
    "  variant dessus: from fifth, back foot works, closes front, feet "
    "change; price 0; reverse dessous\n"
    "term pas de chat\n  id pas-de-chat\n  means step of the cat\n"
    "  family small jumps\n  level beginner\n  side travel\n"
    "  source memory\n"
    "  variant -: from fifth, back foot works, closes where it began; price "
    "0\n";

typedef struct desk {
    marq_arena arena;
    marq_findings *why;
    marq_vocab_data base, data;
} desk;

static marq_status load_text(desk *d, const marq_vocab_data *base,
                             const char *text)
{
    marq_vocab_text one = {"probe", text, strlen(text)};
    return marq_load(&d->data, &d->arena, base, &one, 1, d->why);
}

static void print_unexpected(const desk *d)
{
    for (size_t i = 0; i < d->why->list.count; i++) {
        const marq_finding *f = MARQ_AT(&d->why->list, marq_finding, i);
        print_message("unexpected: %s [%s]\n", f->headline, f->code);
    }
}

static int open_desk(void **state)
{
    desk *d = test_calloc(1, sizeof *d);
    marq_arena_init(&d->arena, marq_mem_of(NULL));
    assert_int_equal(marq_findings_new(&d->why, marq_mem_of(NULL), 1000),
                     MARQ_OK);
    if (load_text(d, NULL, small) != MARQ_OK) {
        print_unexpected(d);
        fail();
    }
    d->base = d->data;
    *state = d;
    return 0;
}

static int close_desk(void **state)
{
    desk *d = *state;
    marq_findings_free(d->why);
    marq_arena_free(&d->arena);
    test_free(d);
    return 0;
}

/* "LINE:COLUMN CODE HEADLINE" a line, of what marq_load found. */
static const char *tell(desk *d, const char *text)
{
    marq_build b;
    marq_source source;
    marq_build_init(&b, &d->arena);
    assert_int_equal(marq_source_init(&source, &d->arena, "probe", text,
                                      strlen(text)),
                     MARQ_OK);
    for (size_t i = 0; i < d->why->list.count; i++) {
        const marq_finding *f = MARQ_AT(&d->why->list, marq_finding, i);
        marq_place p = marq_source_place(&source, f->span.from);
        assert_string_equal(f->label, "probe");
        marq_build_number(&b, p.line);
        marq_build_char(&b, ':');
        marq_build_number(&b, p.column);
        marq_build_char(&b, ' ');
        marq_build_text(&b, f->code);
        marq_build_char(&b, ' ');
        marq_build_text(&b, f->headline);
        marq_build_char(&b, '\n');
    }
    return marq_build_done(&b, NULL);
}

/* `text`, laid on the small vocabulary, has exactly these faults, and
 * nothing is made. */
static void expect_faults(desk *d, const marq_vocab_data *base,
                          const char *text, const char *faults)
{
    marq_vocab_data before = {.format = 77};
    d->data = before;
    d->why->list.count = 0;
    assert_int_equal(load_text(d, base, text), MARQ_VOCABULARY);
    assert_string_equal(tell(d, text), faults);
    assert_int_equal(d->data.format, 77);
    assert_null(d->data.strings);
}

static const marq_term *term_of(const marq_vocab_data *data, const char *id)
{
    for (size_t i = 0; i < data->term_count; i++) {
        if (!strcmp(data->strings + data->terms[i].id, id)) {
            return &data->terms[i];
        }
    }
    return NULL;
}

/* ---- clauses ---- */
#define FIFTH 0x68       /* third, fifth, tips: bits 3, 5, 6 */
#define ANYWHERE 0x3ffff /* six shapes by three places */

typedef struct clause_case {
    const char *line;
    marq_variant want;
} clause_case;

/* What stands in no clause is 0: worker both, end as it began, no turn, no
 * travel, still on both sides; `level` 1 is the term's (elementary). */
static const clause_case clause_cases[] = {
    /* from */
    {"from first, both feet work, ends as it began; price 0",
     {.from_two = 0x01}},
    {"from second or parallel, both feet work, ends as it began; price 0",
     {.from_two = 0x06}},
    {"from third, both feet work, ends as it began; price 0",
     {.from_two = 0x08}},
    {"from fourth, both feet work, ends as it began; price 0",
     {.from_two = 0x10}},
    {"from fifth, both feet work, ends as it began; price 0",
     {.from_two = FIFTH}},
    {"from tips, both feet work, ends as it began; price 0",
     {.from_two = 0x40}},
    {"from two feet, both feet work, ends as it began; price 0",
     {.from_two = 0x7f}},
    {"from one foot, both feet work, ends as it began; price 0",
     {.from_free = ANYWHERE}},
    {"from first or free leg low side, both feet work, ends as it began; "
     "price 0",
     {.from_two = 0x01, .from_free = 0x10}},
    {"from first, from fourth, both feet work, ends as it began; price 0",
     {.from_two = 0x11}},
    /* places: bit 3 * shape + place */
    {"from free leg à terre, both feet work, ends as it began; price 0",
     {.from_free = 0x7}},
    {"from free leg low front, both feet work, ends as it began; price 0",
     {.from_free = 0x8}},
    {"from free leg high front, both feet work, ends as it began; price 0",
     {.from_free = 0x40}},
    {"from free leg at the ankle front/side, both feet work, ends as it "
     "began; price 0",
     {.from_free = 0x600}},
    {"from free leg at the knee, both feet work, ends as it began; price 0",
     {.from_free = 0x7000}},
    {"from free leg in attitude behind, both feet work, ends as it began; "
     "price 0",
     {.from_free = 0x20000}},
    {"from free leg open behind, both feet work, ends as it began; price 0",
     {.from_free = 0x124}},
    {"from free leg raised, both feet work, ends as it began; price 0",
     {.from_free = 0x1f8}},
    {"from free leg off the floor, both feet work, ends as it began; price "
     "0",
     {.from_free = 0x3fff8}},
    {"from free leg side, both feet work, ends as it began; price 0",
     {.from_free = 0x12492}},
    {"from free leg anywhere, both feet work, ends as it began; price 0",
     {.from_free = ANYWHERE}},
    /* who works */
    {"from fifth, front foot works, ends as it began; price 0",
     {.from_two = FIFTH, .worker = MARQ_WORKS_FRONT}},
    {"from fifth, back foot works, ends as it began; price 0",
     {.from_two = FIFTH, .worker = MARQ_WORKS_BACK}},
    {"from fifth, either foot works, ends as it began; price 0",
     {.from_two = FIFTH, .worker = MARQ_WORKS_EITHER}},
    {"from one foot, free foot works, ends as it began; price 0",
     {.from_free = ANYWHERE, .worker = MARQ_WORKS_FREE}},
    {"from one foot, standing foot works, ends as it began; price 0",
     {.from_free = ANYWHERE, .worker = MARQ_WORKS_STANDING}},
    {"from fifth, front foot works, free foot works, ends as it began; price "
     "0",
     {.from_two = FIFTH, .worker = MARQ_WORKS_FRONT}},
    {"from fifth, front foot works, back foot works, ends as it began; price "
     "0",
     {.from_two = FIFTH, .worker = MARQ_WORKS_EITHER}},
    {"from fifth, front foot steps, ends as it began; price 0",
     {.from_two = FIFTH, .worker = MARQ_WORKS_FRONT,
      .flags = MARQ_VARIANT_STEPS}},
    {"from fifth, back foot steps, ends as it began; price 0",
     {.from_two = FIFTH, .worker = MARQ_WORKS_BACK,
      .flags = MARQ_VARIANT_STEPS}},
    {"from fifth, either foot steps, ends as it began; price 0",
     {.from_two = FIFTH, .worker = MARQ_WORKS_EITHER,
      .flags = MARQ_VARIANT_STEPS}},
    {"from one foot, free foot steps, ends as it began; price 0",
     {.from_free = ANYWHERE, .worker = MARQ_WORKS_FREE,
      .flags = MARQ_VARIANT_STEPS}},
    {"from one foot, standing foot steps, ends as it began; price 0",
     {.from_free = ANYWHERE, .worker = MARQ_WORKS_STANDING,
      .flags = MARQ_VARIANT_STEPS}},
    /* where it ends */
    {"from first, front foot works, closes front; price 0",
     {.from_two = 1, .worker = MARQ_WORKS_FRONT, .end = MARQ_END_TWO,
      .end_position = MARQ_FIFTH, .end_front = MARQ_FRONT_WORKING}},
    {"from first, front foot works, closes back; price 0",
     {.from_two = 1, .worker = MARQ_WORKS_FRONT, .end = MARQ_END_TWO,
      .end_position = MARQ_FIFTH, .end_front = MARQ_FRONT_OTHER}},
    {"from first, front foot works, closes where it began; price 0",
     {.from_two = 1, .worker = MARQ_WORKS_FRONT,
      .end = MARQ_END_AS_BEGAN}},
    {"from first, front foot works, closes the other way; price 0",
     {.from_two = 1, .worker = MARQ_WORKS_FRONT, .end = MARQ_END_TWO,
      .end_position = MARQ_FIFTH, .end_front = MARQ_FRONT_EXCHANGED}},
    {"from first, front foot works, closes either side; price 0",
     {.from_two = 1, .worker = MARQ_WORKS_FRONT, .end = MARQ_END_TWO,
      .end_position = MARQ_FIFTH, .end_front = MARQ_FRONT_EITHER}},
    {"from first, front foot works, other foot closes front; price 0",
     {.from_two = 1, .worker = MARQ_WORKS_FRONT, .end = MARQ_END_TWO,
      .end_position = MARQ_FIFTH, .end_front = MARQ_FRONT_OTHER,
      .flags = MARQ_VARIANT_OTHER_CLOSES}},
    {"from first, front foot works, other foot closes back; price 0",
     {.from_two = 1, .worker = MARQ_WORKS_FRONT, .end = MARQ_END_TWO,
      .end_position = MARQ_FIFTH, .end_front = MARQ_FRONT_WORKING,
      .flags = MARQ_VARIANT_OTHER_CLOSES}},
    {"from first, front foot works, other foot closes where it began; price "
     "0",
     {.from_two = 1, .worker = MARQ_WORKS_FRONT,
      .end = MARQ_END_AS_BEGAN, .flags = MARQ_VARIANT_OTHER_CLOSES}},
    {"from first, front foot works, other foot closes the other way; price "
     "0",
     {.from_two = 1, .worker = MARQ_WORKS_FRONT, .end = MARQ_END_TWO,
      .end_position = MARQ_FIFTH, .end_front = MARQ_FRONT_EXCHANGED,
      .flags = MARQ_VARIANT_OTHER_CLOSES}},
    {"from first, front foot works, other foot closes either side; price 0",
     {.from_two = 1, .worker = MARQ_WORKS_FRONT, .end = MARQ_END_TWO,
      .end_position = MARQ_FIFTH, .end_front = MARQ_FRONT_EITHER,
      .flags = MARQ_VARIANT_OTHER_CLOSES}},
    {"from first, both feet work, ends in second; price 0",
     {.from_two = 1, .end = MARQ_END_TWO, .end_position = MARQ_SECOND}},
    {"from first, front foot works, ends in fourth, working foot in front; "
     "price 0",
     {.from_two = 1, .worker = MARQ_WORKS_FRONT, .end = MARQ_END_TWO,
      .end_position = MARQ_FOURTH, .end_front = MARQ_FRONT_WORKING}},
    {"from first, front foot works, ends in third, working foot behind; "
     "price 0",
     {.from_two = 1, .worker = MARQ_WORKS_FRONT, .end = MARQ_END_TWO,
      .end_position = MARQ_THIRD, .end_front = MARQ_FRONT_OTHER}},
    {"from fifth, both feet work, ends in tips, feet kept; price 0",
     {.from_two = FIFTH, .end = MARQ_END_TWO, .end_position = MARQ_TIPS,
      .end_front = MARQ_FRONT_KEPT}},
    {"from fifth, both feet work, feet exchanged, ends in fifth; price 0",
     {.from_two = FIFTH, .end = MARQ_END_TWO, .end_position = MARQ_FIFTH,
      .end_front = MARQ_FRONT_EXCHANGED}},
    {"from second, both feet work, ends in fifth, either foot in front; "
     "price 0",
     {.from_two = 2, .end = MARQ_END_TWO, .end_position = MARQ_FIFTH,
      .end_front = MARQ_FRONT_EITHER}},
    {"from fifth, both feet work, ends in fourth with feet kept; price 0",
     {.from_two = FIFTH, .end = MARQ_END_TWO, .end_position = MARQ_FOURTH,
      .end_front = MARQ_FRONT_KEPT}},
    {"from fifth, front foot works, ends on the working foot, free leg at "
     "the ankle behind; price 0",
     {.from_two = FIFTH, .worker = MARQ_WORKS_FRONT,
      .end = MARQ_END_WORKING, .end_free = 0x800}},
    {"from fifth, front foot works, ends on the other foot, free leg à terre "
     "front; price 0",
     {.from_two = FIFTH, .worker = MARQ_WORKS_FRONT, .end = MARQ_END_OTHER,
      .end_free = 0x1}},
    {"from one foot, free foot works, ends on the standing foot, free leg "
     "high; price 0",
     {.from_free = ANYWHERE, .worker = MARQ_WORKS_FREE,
      .end = MARQ_END_OTHER, .end_free = 0x1c0}},
    {"from one foot, ends on the standing foot, free leg as it was, standing "
     "foot works; price 0",
     {.from_free = ANYWHERE, .worker = MARQ_WORKS_STANDING,
      .end = MARQ_END_WORKING, .flags = MARQ_VARIANT_FREE_STAYS}},
    /* checks */
    {"from first, both feet work, ends as it began, feet change; price 0",
     {.from_two = 1, .declared_feet = 1}},
    {"from first, both feet work, ends as it began, feet stay; price 0",
     {.from_two = 1, .declared_feet = 2}},
    {"from first, both feet work, ends as it began, feet vary; price 0",
     {.from_two = 1, .declared_feet = 3}},
    /* turns */
    {"from first, both feet work, ends as it began, turns a quarter toward "
     "the working foot; price 0",
     {.from_two = 1, .turn_eighths = 2, .turn_sense = MARQ_TURN_TO_WORKING}},
    {"from first, both feet work, ends as it began, turns half away from the "
     "working foot; price 0",
     {.from_two = 1, .turn_eighths = 4,
      .turn_sense = MARQ_TURN_FROM_WORKING}},
    {"from first, both feet work, ends as it began, turns three quarters "
     "toward the back foot; price 0",
     {.from_two = 1, .turn_eighths = 6, .turn_sense = MARQ_TURN_TO_BACK}},
    {"from first, both feet work, ends as it began, turns once toward the "
     "front foot; price 0",
     {.from_two = 1, .turn_eighths = 8, .turn_sense = MARQ_TURN_TO_FRONT}},
    {"from first, both feet work, ends as it began, turns twice either way, "
     "any amount; price 0",
     {.from_two = 1, .turn_eighths = 16, .turn_sense = MARQ_TURN_EITHER,
      .flags = MARQ_VARIANT_ANY_AMOUNT}},
    {"from first, both feet work, ends as it began, turns 5 eighths either "
     "way; price 0",
     {.from_two = 1, .turn_eighths = 5, .turn_sense = MARQ_TURN_EITHER}},
    /* travel */
    {"from first, both feet work, ends as it began, travels toward the "
     "working foot; price 0",
     {.from_two = 1, .travel = MARQ_TRAVEL_TO_WORKING}},
    {"from first, both feet work, ends as it began, travels away from the "
     "working foot; price 0",
     {.from_two = 1, .travel = MARQ_TRAVEL_FROM_WORKING}},
    {"from first, both feet work, ends as it began, travels forward; price "
     "0",
     {.from_two = 1, .travel = MARQ_TRAVEL_FORWARD}},
    {"from first, both feet work, ends as it began, travels back; price 0",
     {.from_two = 1, .travel = MARQ_TRAVEL_BACK}},
    {"from first, both feet work, ends as it began, travels to either side; "
     "price 0",
     {.from_two = 1, .travel = MARQ_TRAVEL_SIDE}},
    {"from first, both feet work, ends as it began, travels anywhere; price "
     "0",
     {.from_two = 1, .travel = MARQ_TRAVEL_ANY}},
    /* landing, gap, assumptions, bookkeeping */
    {"from first, front foot works, closes back, lands on the working foot; "
     "price 0",
     {.from_two = 1, .worker = MARQ_WORKS_FRONT, .end = MARQ_END_TWO,
      .end_position = MARQ_FIFTH, .end_front = MARQ_FRONT_OTHER,
      .lands = MARQ_END_WORKING}},
    {"from first, front foot works, closes back, lands on the other foot; "
     "price 0",
     {.from_two = 1, .worker = MARQ_WORKS_FRONT, .end = MARQ_END_TWO,
      .end_position = MARQ_FIFTH, .end_front = MARQ_FRONT_OTHER,
      .lands = MARQ_END_OTHER}},
    {"from first, both feet work, ends as it began, leaves moving, arrives "
     "in a jump; price 0",
     {.from_two = 1, .leaves = MARQ_MOVING, .arrives = MARQ_JUMPING}},
    {"from first, both feet work, ends as it began, leaves still, arrives "
     "still, no reverse; price 0",
     {.from_two = 1}},
    {"from first, both feet work, ends as it began, nothing assumed before, "
     "fourth may be opened for it; only in a series; less usual; price 0",
     {.from_two = 1,
      .flags = MARQ_VARIANT_NO_LINK | MARQ_VARIANT_OPENS |
               MARQ_VARIANT_SERIES | MARQ_VARIANT_LESS_USUAL}},
    {"from first, both feet work, ends as it began; price 0; level advanced; "
     "source VAG(45) + BTN",
     {.from_two = 1, .level = MARQ_ADVANCED}},
    /* order, blanks, capitals, accents left out */
    {"  price 0 ;ends  as it   began,Both feet work  ; From FIRST or  free "
     "leg A TERRE front , ",
     {.from_two = 1, .from_free = 1}},
};

static void assert_variant(const marq_variant *got, const marq_variant *want)
{
    uint8_t level = want->level ? want->level : MARQ_ELEMENTARY;
    assert_int_equal(got->from_two, want->from_two);
    assert_int_equal(got->from_free, want->from_free);
    assert_int_equal(got->worker, want->worker);
    assert_int_equal(got->end, want->end);
    assert_int_equal(got->end_position, want->end_position);
    assert_int_equal(got->end_front, want->end_front);
    assert_int_equal(got->end_free, want->end_free);
    assert_int_equal(got->turn_sense, want->turn_sense);
    assert_int_equal(got->turn_eighths, want->turn_eighths);
    assert_int_equal(got->travel, want->travel);
    assert_int_equal(got->lands, want->lands);
    assert_int_equal(got->leaves, want->leaves);
    assert_int_equal(got->arrives, want->arrives);
    assert_int_equal(got->price, want->price);
    assert_int_equal(got->level, level);
    assert_int_equal(got->flags, want->flags);
    assert_int_equal(got->declared_feet, want->declared_feet);
    assert_int_equal(got->reverse, 0xffff);
}

#define PROBE                                                          \
    "format 1\nterm probe\n  id probe\n  means a probe\n  family basics\n" \
    "  level elementary\n  side foot\n  source memory\n"

static const char *probe_with(desk *d, const char *variant)
{
    marq_build b;
    marq_build_init(&b, &d->arena);
    marq_build_text(&b, PROBE "  variant ");
    marq_build_text(&b, variant);
    return marq_build_done(&b, NULL);
}

static void every_clause_gives_its_numbers(void **state)
{
    desk *d = *state;
    for (size_t i = 0; i < sizeof clause_cases / sizeof *clause_cases; i++) {
        const clause_case *c = &clause_cases[i];
        marq_build b;
        marq_build_init(&b, &d->arena);
        marq_build_text(&b, "-:");
        marq_build_text(&b, c->line);
        const char *line = marq_build_done(&b, NULL);
        if (load_text(d, &d->base, probe_with(d, line)) != MARQ_OK) {
            print_message("%s\n", c->line);
            print_unexpected(d);
            fail();
        }
        const marq_term *t = term_of(&d->data, "probe");
        assert_non_null(t);
        assert_int_equal(t->variant_count, 1);
        assert_variant(&d->data.variants[t->first_variant], &c->want);
    }
}

static void gap_of_the_term_holds_where_nothing_is_said(void **state)
{
    desk *d = *state;
    assert_int_equal(
        load_text(d, &d->base,
                  PROBE "  gap in a jump\n"
                        "  variant -: from first, both feet work, ends as it "
                        "began, leaves moving; price 0\n"),
        MARQ_OK);
    const marq_term *t = term_of(&d->data, "probe");
    assert_int_equal(d->data.variants[t->first_variant].leaves, MARQ_MOVING);
    assert_int_equal(d->data.variants[t->first_variant].arrives,
                     MARQ_JUMPING);
}

/* Each line, as a variant in line 9 of the probe (the text of the variant
 * begins in column 11), with what is to be said of it. */
static const struct {
    const char *line, *faults;
} clause_faults[] = {
    {"-: from fifth, front foot works, closes sideways; price 0",
     "9:11 V003 probe has no end\n"
     "9:44 V002 not a clause I know: closes sideways\n"},
    {"-: from fifth or sixth, both feet work, ends as it began; price 0",
     "9:14 V002 not a clause I know: from fifth or sixth\n"},
    {"-: from free leg low/, both feet work, ends as it began; price 0",
     "9:14 V002 not a clause I know: from free leg low/\n"},
    {"-: from one foot, free foot works, ends on the standing foot, free leg "
     "up; price 0",
     "9:73 V002 not a clause I know: free leg up\n"},
    {"-: from first, both feet work, ends in sixth; price 0",
     "9:42 V002 not a clause I know: ends in sixth\n"},
    {"-: from first, both feet work, ends as it began, turns once; price 0",
     "9:60 V002 not a clause I know: turns once\n"},
    {"-: from first, both feet work, ends as it began, turns 25 eighths "
     "either way; price 0",
     "9:60 V002 not a clause I know: turns 25 eighths either way\n"},
    {"-: from first, both feet work, ends as it began; price 10",
     "9:60 V002 not a clause I know: price 10\n"},
    {"-: from first, both feet work, ends as it began; price 0; level low",
     "9:69 V002 not a clause I know: level low\n"},
    {"-: from first, both feet work, ends as it began; price 0; source",
     "9:69 V002 not a clause I know: source\n"},
    {"-: from first, both feet work, ends as it began; price 0; leaves fast",
     "9:69 V002 not a clause I know: leaves fast\n"},
    {"no colon here",
     "9:11 V002 not a clause I know: no colon here\n"},
    /* missing */
    {"-: both feet work, ends as it began; price 0",
     "9:11 V003 probe has no start (from ...)\n"},
    {"-: from first, ends as it began; price 0",
     "9:11 V003 probe has no foot that works\n"},
    {"-: from first, both feet work; price 0",
     "9:11 V003 probe has no end\n"},
    {"dessus: from first, both feet work, ends as it began",
     "9:11 V003 probe dessus has no price\n"},
    {"-: from first, both feet work, ends in fourth; price 0",
     "9:11 V003 probe has no front foot at the end\n"},
    {"-: from first, front foot works, ends on the working foot; price 0",
     "9:11 V003 probe has no place of the free leg\n"},
    /* what does not belong together */
    {"-: from first, both feet work, ends in second, feet kept; price 0",
     "9:58 V002 not a clause I know: feet kept\n"},
    {"-: from first, front foot works, closes front, working foot in front; "
     "price 0",
     "9:58 V002 not a clause I know: working foot in front\n"},
    {"-: from first, front foot works, closes front, free leg low; price 0",
     "9:58 V002 not a clause I know: free leg low\n"},
    /* twice */
    {"-: from first, front foot works, closes front, closes back; price 0",
     "9:58 V004 closes back stands twice\n"},
    {"-: from first, both feet work, ends as it began; price 0; price 1",
     "9:69 V004 price 1 stands twice\n"},
    {"-: from first, both feet work, standing foot works, ends as it began; "
     "price 0",
     "9:42 V004 standing foot works stands twice\n"},
    {"-: from first, both feet work, ends as it began, less usual, less "
     "usual; price 0",
     "9:72 V004 less usual stands twice\n"},
    {"dessus, dessus: from first, both feet work, ends as it began; price 0",
     "9:19 V004 dessus stands twice\n"},
    /* unknown names */
    {"dessous, desus: from first, both feet work, ends as it began; price 0",
     "9:20 V005 desus names nothing in this vocabulary\n"},
    {"-: from first, both feet work, ends as it began; price 0; reverse up, "
     "dessus",
     "9:77 V005 up names nothing in this vocabulary\n"},
    {"-: from first, both feet work, ends as it began; price 0; reverse "
     "dessus, changé",
     "9:77 V005 dessus, changé names nothing in this vocabulary\n"},
    /* price */
    {"-: from first, both feet work, ends as it began; price 1",
     "2:6 V006 probe has no variant of price 0\n"},
};

static void every_fault_of_a_clause_has_its_place(void **state)
{
    desk *d = *state;
    for (size_t i = 0; i < sizeof clause_faults / sizeof *clause_faults;
         i++) {
        expect_faults(d, &d->base, probe_with(d, clause_faults[i].line),
                      clause_faults[i].faults);
    }
}

/* ---- entries ---- */
static void faults_of_form_have_their_places(void **state)
{
    desk *d = *state;
    expect_faults(d, &d->base, "", "1:1 V003 probe has no format\n");
    expect_faults(d, &d->base, "# only a remark\n\n",
                  "1:1 V003 probe has no format\n");
    expect_faults(d, &d->base, "format 2\nnothing known\n",
                  "1:8 V009 format 2 is not one this library reads\n");
    expect_faults(d, &d->base, "\nfiller a\nformat 1\n",
                  "2:1 V003 probe has no format as its first entry\n"
                  "3:1 V004 format stands twice\n");
    expect_faults(d, &d->base, "  stray\nformat 1\n",
                  "1:3 V001 not a field of a vocabulary: stray\n");
    expect_faults(d, &d->base, "format 1\nsteps many\n",
                  "2:1 V001 not a field of a vocabulary: steps\n");
    expect_faults(d, &d->base, "format 1\nfiller\n",
                  "2:1 V003 filler has no name\n");
    expect_faults(d, &d->base, "format 1\nfiller a\n  writen an\n",
                  "3:3 V001 not a field of a vocabulary: writen\n");
    expect_faults(d, &d->base, "format 1\nfiller a\n  written\n",
                  "3:3 V003 a has no written\n");
    expect_faults(d, &d->base, "format 1\nfiller a\x80 b\n",
                  "2:9 V001 not a field of a vocabulary: a byte that is not "
                  "text\n");
}

static void faults_of_terms_have_their_places(void **state)
{
    desk *d = *state;
    expect_faults(d, &d->base, "format 1\nterm probe\n",
                  "2:6 V003 probe has no id\n"
                  "2:6 V003 probe has no means\n"
                  "2:6 V003 probe has no family\n"
                  "2:6 V003 probe has no level\n"
                  "2:6 V003 probe has no side\n"
                  "2:6 V003 probe has no source\n"
                  "2:6 V003 probe has no variant\n");
    expect_faults(
        d, &d->base,
        "format 1\nterm probe\n  id Probe\n  means a probe\n"
        "  family jumps\n  level easy\n  side up\n  counts 1/0\n"
        "  gap short\n  is a hold, a hop\n  caution floor\n  source memory\n"
        "  id probe\n"
        "  variant -: from first, both feet work, ends as it began; price "
        "0\n",
        "3:6 V001 not a field of a vocabulary: Probe\n"
        "5:10 V005 jumps names nothing in this vocabulary\n"
        "6:9 V005 easy names nothing in this vocabulary\n"
        "7:8 V005 up names nothing in this vocabulary\n"
        "8:10 V005 1/0 names nothing in this vocabulary\n"
        "9:7 V005 short names nothing in this vocabulary\n"
        "10:14 V005 a hop names nothing in this vocabulary\n"
        "11:11 V005 floor names nothing in this vocabulary\n"
        "13:3 V004 id stands twice\n");
    /* The same id twice in one load, and the same line twice. */
    expect_faults(
        d, &d->base,
        PROBE
        "  variant -: from first, both feet work, ends as it began; price 0\n"
        "  variant -: price 1, from first, ends as it began, both feet work\n"
        "term another\n  id probe\n  means a probe\n  family basics\n"
        "  level elementary\n  side foot\n  source memory\n"
        "  variant -: from first, both feet work, ends as it began; price "
        "0\n",
        "10:11 V004 -: price 1, from first, ends as it began, both feet work "
        "stands twice\n"
        "12:6 V004 probe stands twice\n");
}

static void faults_of_words_have_their_places(void **state)
{
    desk *d = *state;
    expect_faults(d, &d->base,
                  "format 1\nfacing corner\n  eighths 8\n"
                  "facing wall\n"
                  "foot third\n"
                  "foot hind\n  kind hind\n"
                  "side up\n"
                  "number four\n  value four\n"
                  "free here\n  place nowhere\n"
                  "amount none\n  eighths 0\n"
                  "heading coda\n  kind coda\n",
                  "3:11 V005 8 names nothing in this vocabulary\n"
                  "4:8 V003 wall has no eighths\n"
                  "5:6 V003 third has no kind\n"
                  "7:8 V005 hind names nothing in this vocabulary\n"
                  "8:6 V003 up has no kind\n"
                  "10:9 V005 four names nothing in this vocabulary\n"
                  "12:9 V002 not a clause I know: nowhere\n"
                  "14:11 V005 0 names nothing in this vocabulary\n"
                  "16:8 V005 coda names nothing in this vocabulary\n");
    expect_faults(d, &d->base,
                  "format 1\nnumber four\n  value 4\nnumber Four\n"
                  "  value 5\nfiller .\n",
                  "4:1 V004 number Four stands twice\n"
                  "6:8 V001 not a field of a vocabulary: .\n");
}

static void faults_of_qualifiers_have_their_places(void **state)
{
    desk *d = *state;
    expect_faults(d, &d->base,
                  "format 1\nqualifier devant\n  asks front\n"
                  "  position tenth\n  instead avant\n  reverse arrière\n"
                  "qualifier Dévant\n  means again\n",
                  "2:11 V003 devant has no means\n"
                  "3:8 V005 front names nothing in this vocabulary\n"
                  "4:12 V005 tenth names nothing in this vocabulary\n"
                  "5:11 V005 avant names nothing in this vocabulary\n"
                  "6:11 V005 arrière names nothing in this vocabulary\n"
                  "7:1 V004 qualifier Dévant stands twice\n");
}

static void faults_of_patterns_and_prices_have_their_places(void **state)
{
    desk *d = *state;
    expect_faults(d, &d->base,
                  "format 1\nprice luck\n  value 1\n"
                  "price bonus\n  value many\n"
                  "price bonus\n  value 1\n"
                  "pattern luck\n  match x\n"
                  "pattern count\n",
                  "2:7 V005 luck names nothing in this vocabulary\n"
                  "5:9 V005 many names nothing in this vocabulary\n"
                  "6:1 V004 price bonus stands twice\n"
                  "8:9 V005 luck names nothing in this vocabulary\n"
                  "10:9 V003 count has no match\n");
    expect_faults(d, &d->base,
                  "format 1\npattern count\n  match a\n  match a\n",
                  "4:9 V004 a stands twice\n");
    /* The words are pattern.h's; the place is the closing bracket. */
    const char *text = "format 1\npattern count\n  match 12)3\n";
    d->why->list.count = 0;
    assert_int_equal(load_text(d, &d->base, text), MARQ_VOCABULARY);
    assert_int_equal(d->why->list.count, 1);
    const marq_finding *f = MARQ_AT(&d->why->list, marq_finding, 0);
    assert_string_equal(f->code, "V008");
    assert_int_equal(f->span.from, strchr(text, ')') - text);
    assert_int_equal(f->span.to, strchr(text, ')') - text + 1);
}

static void without_a_base_every_price_must_be_there(void **state)
{
    desk *d = *state;
    d->why->list.count = 0;
    assert_int_equal(load_text(d, NULL, "format 1\nprice bonus\n  value 1\n"),
                     MARQ_VOCABULARY);
    assert_int_equal(d->why->list.count, MARQ_PRICES - 1);
    assert_string_equal(
        MARQ_AT(&d->why->list, marq_finding, 0)->headline,
        "the vocabulary has no price quiet link");
}

static void too_much_is_a_fault(void **state)
{
    desk *d = *state;
    marq_build b;
    marq_build_init(&b, &d->arena);
    marq_build_text(&b, "format 1\n");
    for (unsigned i = 0; i < MARQ_QUALIFIERS_MOST - 3; i++) {
        marq_build_text(&b, "qualifier q");
        marq_build_number(&b, i);
        marq_build_text(&b, "\n  means one of many\n");
    }
    /* With the three of the small vocabulary just full, then one more. */
    const char *full = marq_build_done(&b, NULL);
    assert_int_equal(load_text(d, &d->base, full), MARQ_OK);
    assert_int_equal(d->data.qualifier_count, MARQ_QUALIFIERS_MOST);
    marq_build_text(&b, "qualifier beyond\n  means one too many\n");
    const char *over = marq_build_done(&b, NULL);
    expect_faults(d, &d->base, over,
                  "252:11 V011 more qualifiers than a vocabulary holds\n");
}

static void form_of_too_many_letters_is_a_fault(void **state)
{
    desk *d = *state;
    char text[200] = "format 1\nfiller ";
    size_t start = strlen(text);
    memset(text + start, 'a', MARQ_FORM_BYTES_MOST);
    assert_int_equal(load_text(d, &d->base, text), MARQ_OK);
    text[start + MARQ_FORM_BYTES_MOST] = 'a';
    expect_faults(d, &d->base, text,
                  "2:8 V011 more letters in a form than a vocabulary "
                  "holds\n");
}

static void all_faults_of_all_texts_come_in_one_run(void **state)
{
    desk *d = *state;
    const char *one = "format 1\nfiller a\n  wrong x\nterm t\n  id t\n";
    const char *two = "format 1\nside up\nqualifier q\n";
    marq_vocab_text texts[2] = {{"one", one, strlen(one)},
                                {"two", two, strlen(two)}};
    static const char *const want[][2] = {
        {"one", "not a field of a vocabulary: wrong"},
        {"one", "t has no means"},    {"one", "t has no family"},
        {"one", "t has no level"},    {"one", "t has no side"},
        {"one", "t has no source"},   {"one", "t has no variant"},
        {"two", "up has no kind"},    {"two", "q has no means"}};
    d->why->list.count = 0;
    assert_int_equal(marq_load(&d->data, &d->arena, &d->base, texts, 2,
                               d->why),
                     MARQ_VOCABULARY);
    assert_int_equal(d->why->list.count, sizeof want / sizeof *want);
    for (size_t i = 0; i < sizeof want / sizeof *want; i++) {
        const marq_finding *f = MARQ_AT(&d->why->list, marq_finding, i);
        assert_string_equal(f->label, want[i][0]);
        assert_string_equal(f->headline, want[i][1]);
    }
}

/* ---- what comes out ---- */
static uint16_t id_of(const marq_vocab_data *data, marq_role role,
                      const char *key)
{
    const marq_form *form = marq_form_find(data, key, strlen(key));
    if (form) {
        for (size_t i = 0; i < form->sense_count; i++) {
            marq_sense s = data->senses[form->first_sense + i];
            if (s.role == role) {
                return s.id;
            }
        }
    }
    return 0xffff;
}

static void term_has_its_fields(void **state)
{
    desk *d = *state;
    const char *text =
        "format 1\n"
        "term Assemblé   # a remark\n"
        "  id        assemble\r\n"
        "  written   assembler,  ass.,\n"
        "            assemblé's twin\n"
        "  means     gathered:  one foot\n"
        "            brushes out\n"
        "  family    small jumps\n"
        "  level     intermediate\n"
        "  counts    1/2\n"
        "  side      turn\n"
        "  gap       in a jump\n"
        "  is        a link, alternating\n"
        "  caution   pointe, big jump\n"
        "  source    BLEEDS;  N4D\n"
        "  note      one\n"
        "  note      two\n"
        "  variant   dessus, changé!: from fifth, back foot works,\n"
        "              closes front;  # why\n"
        "              price 0\n";
    assert_int_equal(load_text(d, &d->base, text), MARQ_OK);
    const marq_vocab_data *v = &d->data;
    const char *s = v->strings;
    const marq_term *t = term_of(v, "assemble");
    assert_non_null(t);
    assert_string_equal(s + t->name, "Assemblé");
    assert_string_equal(s + t->means, "gathered: one foot brushes out");
    assert_string_equal(s + t->family, "small jumps");
    assert_string_equal(s + t->source, "BLEEDS; N4D");
    assert_string_equal(s + t->note, "one; two");
    assert_int_equal(t->level, MARQ_INTERMEDIATE);
    assert_int_equal(t->counts_num, 1);
    assert_int_equal(t->counts_den, 2);
    assert_int_equal(t->side_means, MARQ_SIDE_IS_TURN);
    assert_int_equal(t->flags, MARQ_TERM_LINKS | MARQ_TERM_ALTERNATES |
                                   MARQ_CAUTION_POINTE |
                                   MARQ_CAUTION_BIG_JUMP);
    assert_int_equal(t->variant_count, 1);
    const marq_variant *var = &v->variants[t->first_variant];
    assert_string_equal(s + var->name, "dessus, changé");
    unsigned dessus = id_of(v, MARQ_ROLE_QUALIFIER, "dessu");
    unsigned change = id_of(v, MARQ_ROLE_QUALIFIER, "change");
    assert_true(marq_tag_has(var->tags, dessus));
    assert_true(marq_tag_has(var->tags, change));
    assert_false(marq_tag_has(var->marked, dessus));
    assert_true(marq_tag_has(var->marked, change));
    uint16_t id = (uint16_t)(t - v->terms);
    assert_int_equal(var->term, id);
    assert_int_equal(id_of(v, MARQ_ROLE_TERM, "assemble"), id);
    assert_int_equal(id_of(v, MARQ_ROLE_TERM, "assembler"), id);
    assert_int_equal(id_of(v, MARQ_ROLE_TERM, "ass"), id);
    /* Continued over two lines; a final s goes from every word. */
    assert_int_equal(id_of(v, MARQ_ROLE_TERM, "assemble' twin"), id);
}

static void small_vocabulary_is_as_written(void **state)
{
    desk *d = *state;
    const marq_vocab_data *v = &d->base;
    assert_int_equal(v->format, 1);
    assert_int_equal(v->term_count, 2);
    assert_int_equal(v->variant_count, 3);
    assert_int_equal(v->qualifier_count, 3);
    assert_int_equal(v->free_word_count, 1);
    assert_int_equal(v->free_words[0].mask, 0x800);
    assert_int_equal(v->longest_form, 3); /* pas de chat */
    for (unsigned i = 0; i < MARQ_PRICES; i++) {
        assert_int_equal(v->prices[i], i + 1);
    }
    assert_int_equal(v->notation_count, 3);
    assert_int_equal(v->notations[0].notation, MARQ_NOTE_COUNT);
    assert_int_equal(v->notations[1].notation, MARQ_NOTE_TIMES);
    assert_string_equal(v->strings + v->notations[1].pattern,
                        "x(?<n>\\d+)");
    assert_string_equal(v->strings + v->notations[2].pattern,
                        "(?<n>\\d+)x");
    assert_int_equal(v->variants[0].reverse, 1);
    assert_int_equal(v->variants[1].reverse, 0);
    assert_int_equal(v->variants[2].reverse, 0xffff);
    assert_int_equal(v->qualifiers[0].ask, MARQ_ASK_CLOSES_FRONT);
    assert_int_equal(v->qualifiers[0].mirror_reverse, 1);
    assert_int_equal(v->qualifiers[1].mirror_reverse, 0);
    assert_int_equal(v->qualifiers[2].ask, MARQ_ASK_NOTHING);
    assert_int_equal(v->qualifiers[2].mirror_reverse, 0xffff);
    assert_int_equal(v->qualifiers[2].instead, 0xffff);
    assert_int_equal(v->qualifiers[2].position, MARQ_POSITIONS);
    assert_int_equal(id_of(v, MARQ_ROLE_FACING, "the audience"), 0);
    assert_int_equal(id_of(v, MARQ_ROLE_NUMBER, "three"), 3);
    assert_int_equal(id_of(v, MARQ_ROLE_FILLER, "the"), 0);
    assert_true(v->slot_count >= 2 * v->form_count);
    assert_int_equal(v->slot_count & (v->slot_count - 1), 0);
}

static void every_form_is_found_by_its_key(void **state)
{
    desk *d = *state;
    const marq_vocab_data *v = &d->base;
    for (size_t i = 0; i < v->form_count; i++) {
        const char *key = v->strings + v->forms[i].text;
        assert_ptr_equal(marq_form_find(v, key, strlen(key)), &v->forms[i]);
        assert_true(v->forms[i].sense_count > 0);
        const char *folded = marq_text_fold_string(
            &d->arena, v->strings + v->forms[i].shown,
            strlen(v->strings + v->forms[i].shown));
        assert_string_equal(
            marq_form_key(&d->arena, folded, strlen(folded)), key);
    }
    assert_null(marq_form_find(v, "glissad", 7));
    assert_null(marq_form_find(v, "glissade x", 10));
}

static void one_form_may_have_several_senses(void **state)
{
    desk *d = *state;
    assert_int_equal(load_text(d, &d->base,
                               "format 1\n"
                               "heading glissade\n  kind remark\n"
                               "term posé\n  id pose-step\n"
                               "  means stepped\n  family links\n"
                               "  level beginner\n  side foot\n"
                               "  source memory\n"
                               "  variant -: from first, both feet work, "
                               "ends as it began; price 0\n"
                               "term pose\n  id pose\n"
                               "  written posé, Pose\n"
                               "  means a pose\n  family poses\n"
                               "  level beginner\n  side foot\n"
                               "  source memory\n"
                               "  variant -: from first, both feet work, "
                               "ends as it began; price 0\n"),
                     MARQ_OK);
    const marq_vocab_data *v = &d->data;
    const marq_form *form = marq_form_find(v, "pose", 4);
    assert_non_null(form);
    assert_int_equal(form->sense_count, 2);
    assert_int_equal(v->senses[form->first_sense].id, 2);
    assert_int_equal(v->senses[form->first_sense + 1].id, 3);
    assert_string_equal(v->strings + form->shown, "posé");
    form = marq_form_find(v, "glissade", 8);
    assert_int_equal(form->sense_count, 2);
    assert_int_equal(id_of(v, MARQ_ROLE_HEADING, "glissade"),
                     MARQ_HEAD_REMARK);
    assert_int_equal(id_of(v, MARQ_ROLE_TERM, "glissade"), 0);
}

static void reverse_pairs_lines_of_the_same_names_in_order(void **state)
{
    desk *d = *state;
    assert_int_equal(
        load_text(d, &d->base,
                  PROBE
                  "  variant dessus: from fifth, back foot works, closes "
                  "front; price 0; reverse dessous\n"
                  "  variant dessus: from one foot, free foot works, closes "
                  "front; price 1; reverse dessous\n"
                  "  variant dessus: from first, back foot works, closes "
                  "front; price 2; reverse dessous\n"
                  "  variant dessous: from fifth, front foot works, closes "
                  "back; price 0; reverse dessus\n"
                  "  variant dessous: from one foot, free foot works, closes "
                  "back; price 1; reverse dessus\n"
                  "  variant -: from first, both feet work, ends as it "
                  "began; price 3; reverse -\n"
                  "  variant dessus, changé: from first, both feet work, "
                  "ends as it began; price 3; reverse changé, dessus\n"),
        MARQ_OK);
    const marq_term *t = term_of(&d->data, "probe");
    const marq_variant *v = d->data.variants + t->first_variant;
    unsigned first = t->first_variant;
    static const unsigned want[] = {3, 4, 4, 0, 1, 5, 6};
    assert_int_equal(t->variant_count, 7);
    for (unsigned i = 0; i < 7; i++) {
        assert_int_equal(v[i].reverse, first + want[i]);
    }
}

static void other_writings_give_the_same(void **state)
{
    desk *d = *state;
    /* The small vocabulary with a byte order mark and CRLF line ends. */
    marq_build b;
    marq_build_init(&b, &d->arena);
    marq_build_text(&b, "\xef\xbb\xbf");
    for (const char *c = small; *c; c++) {
        if (*c == '\n') {
            marq_build_char(&b, '\r');
        }
        marq_build_char(&b, *c);
    }
    assert_int_equal(load_text(d, NULL, marq_build_done(&b, NULL)), MARQ_OK);
    assert_int_equal(d->data.string_bytes, d->base.string_bytes);
    assert_memory_equal(d->data.strings, d->base.strings,
                        d->base.string_bytes);
    assert_int_equal(d->data.form_count, d->base.form_count);
    assert_int_equal(d->data.variant_count, d->base.variant_count);
    for (size_t i = 0; i < d->base.variant_count; i++) {
        marq_variant want = d->base.variants[i];
        marq_variant got = d->data.variants[i];
        assert_int_equal(got.from_two, want.from_two);
        assert_int_equal(got.reverse, want.reverse);
        assert_int_equal(got.name, want.name);
    }
    /* An apostrophe of either kind is the same form. */
    assert_int_equal(load_text(d, &d->base,
                               "format 1\nfiller l’air\n  written l'air\n"),
                     MARQ_OK);
    assert_int_equal(d->data.form_count, d->base.form_count + 1);
}

/* ---- overlays ---- */
static void overlay_replaces_a_term_whole(void **state)
{
    desk *d = *state;
    assert_int_equal(
        load_text(d, &d->base,
                  "format 1\nterm glide\n  id glissade\n  means ours\n"
                  "  family links\n  level advanced\n  side foot\n"
                  "  source common practice\n"
                  "  variant changé: from first, both feet work, ends as it "
                  "began; price 0; reverse changé\n"),
        MARQ_OK);
    const marq_vocab_data *v = &d->data;
    assert_int_equal(v->term_count, 2);
    assert_string_equal(v->strings + v->terms[0].name, "glide");
    assert_int_equal(v->terms[0].first_variant, 0);
    assert_int_equal(v->terms[0].variant_count, 1);
    assert_int_equal(v->variant_count, 2);
    assert_int_equal(v->variants[0].from_two, 1);
    assert_int_equal(v->variants[0].reverse, 0);
    assert_int_equal(v->variants[1].term, 1); /* pas de chat has moved up */
    assert_int_equal(v->terms[1].first_variant, 1);
    assert_int_equal(v->variants[1].worker, MARQ_WORKS_BACK);
    assert_null(marq_form_find(v, "glissade", 8));
    assert_null(marq_form_find(v, "gliss", 5));
    assert_int_equal(id_of(v, MARQ_ROLE_TERM, "glide"), 0);
    assert_int_equal(id_of(v, MARQ_ROLE_TERM, "pas de chat"), 1);
    /* The base itself is as it was. */
    assert_string_equal(d->base.strings + d->base.terms[0].name, "glissade");
    assert_int_equal(d->base.variant_count, 3);
}

static void overlay_replaces_by_name_and_adds(void **state)
{
    desk *d = *state;
    assert_int_equal(
        load_text(d, &d->base,
                  "format 1\n"
                  "qualifier dessus\n  means ours\n  written upon\n"
                  "  asks feet change\n"
                  "facing audience\n  eighths 4\n"
                  "free ankle behind\n  place at the knee behind\n"
                  "free knee side\n  place at the knee side\n"
                  "pattern times\n  match (?<n>\\d+) goes\n"
                  "price bonus\n  value 2\n"
                  "number four\n  value 4\n"),
        MARQ_OK);
    const marq_vocab_data *v = &d->data;
    assert_int_equal(v->qualifier_count, 3);
    assert_string_equal(v->strings + v->qualifiers[0].means, "ours");
    assert_int_equal(v->qualifiers[0].ask, MARQ_ASK_CHANGES);
    assert_int_equal(v->qualifiers[0].mirror_reverse, 0xffff);
    assert_int_equal(v->qualifiers[1].mirror_reverse, 0);
    assert_int_equal(id_of(v, MARQ_ROLE_QUALIFIER, "upon"), 0);
    assert_true(marq_tag_has(v->variants[1].tags, 0));
    assert_int_equal(id_of(v, MARQ_ROLE_FACING, "audience"), 4);
    assert_int_equal(id_of(v, MARQ_ROLE_FACING, "the audience"), 0);
    assert_int_equal(v->free_word_count, 2);
    assert_int_equal(v->free_words[0].mask, 0x4000);
    assert_int_equal(v->free_words[1].mask, 0x2000);
    assert_int_equal(v->notation_count, 2);
    assert_int_equal(v->notations[0].notation, MARQ_NOTE_COUNT);
    assert_string_equal(v->strings + v->notations[1].pattern,
                        "(?<n>\\d+) goes");
    assert_int_equal(v->prices[MARQ_PRICE_BONUS], 2);
    assert_int_equal(v->prices[MARQ_PRICE_QUIET], 1);
    assert_int_equal(id_of(v, MARQ_ROLE_NUMBER, "four"), 4);
    assert_int_equal(id_of(v, MARQ_ROLE_NUMBER, "three"), 3);
    assert_int_equal(id_of(v, MARQ_ROLE_TERM, "gliss"), 0);
}

/* ---- memory ---- */
static marq_status load_once(testmem *mem, void *ctx)
{
    marq_config config = testmem_config(mem);
    marq_arena arena;
    marq_vocab_data data;
    marq_findings *why = NULL;
    const char *text = ctx;
    marq_vocab_text one = {"probe", text, strlen(text)};
    marq_vocab_text under = {"small", small, sizeof small - 1};
    marq_status s = marq_findings_new(&why, marq_mem_of(&config), 100);
    marq_arena_init(&arena, marq_mem_of(&config));
    if (s == MARQ_OK) {
        s = marq_load(&data, &arena, NULL, &under, 1, why);
    }
    if (s == MARQ_OK) {
        marq_vocab_data base = data;
        s = marq_load(&data, &arena, &base, &one, 1, why);
    }
    if (s == MARQ_VOCABULARY) {
        assert_true(why->list.count > 0);
        s = MARQ_OK; /* a text with faults, all of them told */
    }
    marq_findings_free(why);
    marq_arena_free(&arena);
    return s;
}

static void memory_may_end_anywhere(void **state)
{
    (void)state;
    assert_true(testmem_each_failure(
                    load_once,
                    PROBE "  variant dessus: from first, both feet work, "
                          "ends as it began; price 0; reverse dessus\n"
                          "qualifier devant\n  means in front\n"
                          "free knee\n  place at the knee\n"
                          "pattern times\n  match (?<n>\\d+) goes\n") > 10);
}

static void memory_may_end_while_faults_are_told(void **state)
{
    (void)state;
    assert_true(testmem_each_failure(
                    load_once,
                    "format 1\nterm t\n  id T\n  variant up: down\n"
                    "filler\nside up\npattern count\n  match )\n") > 10);
}

int main(void)
{
#define CASE(f) cmocka_unit_test_setup_teardown(f, open_desk, close_desk)
    const struct CMUnitTest tests[] = {
        CASE(every_clause_gives_its_numbers),
        CASE(gap_of_the_term_holds_where_nothing_is_said),
        CASE(every_fault_of_a_clause_has_its_place),
        CASE(faults_of_form_have_their_places),
        CASE(faults_of_terms_have_their_places),
        CASE(faults_of_words_have_their_places),
        CASE(faults_of_qualifiers_have_their_places),
        CASE(faults_of_patterns_and_prices_have_their_places),
        CASE(without_a_base_every_price_must_be_there),
        CASE(too_much_is_a_fault),
        CASE(form_of_too_many_letters_is_a_fault),
        CASE(all_faults_of_all_texts_come_in_one_run),
        CASE(term_has_its_fields),
        CASE(small_vocabulary_is_as_written),
        CASE(every_form_is_found_by_its_key),
        CASE(one_form_may_have_several_senses),
        CASE(reverse_pairs_lines_of_the_same_names_in_order),
        CASE(other_writings_give_the_same),
        CASE(overlay_replaces_a_term_whole),
        CASE(overlay_replaces_by_name_and_adds),
        CASE(memory_may_end_anywhere),
        CASE(memory_may_end_while_faults_are_told),
    };
    return cmocka_run_group_tests_name("load", tests, NULL, NULL);
}
