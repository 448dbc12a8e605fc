/* test_vocab.c - names, keys of forms, a vocabulary around data. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "testmem.h"
#include "vocab.h"

static void names_are_those_of_the_format(void **state)
{
    static const char *const notations[MARQ_NOTATIONS] = {
        "count range", "count",    "count and", "times",
        "quantity",    "foot",     "foot front", "numbered",
        "length",      "tempo",    "metre"};
    static const char *const prices[MARQ_PRICES] = {
        "quiet link",      "closing link",
        "side leg closed in front", "opening link",
        "start in fifth",  "start in first",
        "start in a pose", "start elsewhere",
        "from one croisé to the other", "bonus",
        "edit form",       "edit put in",
        "edit word",       "edit leave out"};
    static const char *const positions[MARQ_POSITIONS] = {
        "first", "second", "parallel", "third", "fourth", "fifth", "tips"};
    (void)state;
    for (unsigned i = 0; i < MARQ_NOTATIONS; i++) {
        assert_string_equal(marq_notation_name((marq_notation)i),
                            notations[i]);
    }
    for (unsigned i = 0; i < MARQ_PRICES; i++) {
        assert_string_equal(marq_price_name((marq_price)i), prices[i]);
    }
    for (unsigned i = 0; i < MARQ_POSITIONS; i++) {
        assert_string_equal(marq_position_name((marq_position)i),
                            positions[i]);
    }
}

static void parts_stand_in_the_order_asked_for(void **state)
{
    static const struct {
        marq_notation notation;
        const char *parts; /* joined by blanks */
    } want[] = {{MARQ_NOTE_COUNT_RANGE, "from to "},
                {MARQ_NOTE_COUNT, "from "},
                {MARQ_NOTE_COUNT_AND, "and from "},
                {MARQ_NOTE_TIMES, "n "},
                {MARQ_NOTE_QUANTITY, "n "},
                {MARQ_NOTE_FOOT, "right left "},
                {MARQ_NOTE_FOOT_FRONT, "right left back position "},
                {MARQ_NOTE_NUMBERED, "n school "},
                {MARQ_NOTE_LENGTH, "n "},
                {MARQ_NOTE_TEMPO, "n "},
                {MARQ_NOTE_METRE, "n unit "}};
    (void)state;
    assert_int_equal(sizeof want / sizeof *want, MARQ_NOTATIONS);
    for (size_t i = 0; i < sizeof want / sizeof *want; i++) {
        char joined[64] = "";
        size_t count, at = 0;
        const char *const *parts =
            marq_notation_parts(want[i].notation, &count);
        for (size_t p = 0; p < count; p++) {
            at += (size_t)snprintf(joined + at, sizeof joined - at, "%s ",
                                   parts[p]);
        }
        assert_string_equal(joined, want[i].parts);
    }
}

/* ---- keys ---- */
static void keys_are_singular_without_stops_and_hyphens(void **state)
{
    static const char *const cases[][2] = {
        {"glissade", "glissade"},
        {"glissades", "glissade"},
        {"pas de chat", "pas de chat"},     /* three letters stay */
        {"pas de deux", "pas de deu"},      /* whatever a long word ends in */
        {"temps lies", "temp lie"},
        {"bras", "bra"},
        {"demi-plie", "demi plie"},
        {"  grands - jetes  ", "grand jete"},
        {"p.d.b.", "pdb"},
        {"ass.", "ass"},                    /* the stop is no letter */
        {"gliss.", "glis"},
        {"tour en l'air", "tour en l'air"},
        {"a\tb\nc", "a b c"},
        {"...", "..."},
        {". a", "a"},
        {"x", "x"},
        {"xxxx", "xxx"},
        {"", ""},
        {" - ", ""},
        /* Letters, not bytes, are counted: three here. */
        {"\xd0\xb1\xd0\xb2s", "\xd0\xb1\xd0\xb2s"},
    };
    marq_arena arena;
    (void)state;
    marq_arena_init(&arena, marq_mem_of(NULL));
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        assert_string_equal(marq_form_key(&arena, cases[i][0],
                                          strlen(cases[i][0])),
                            cases[i][1]);
    }
    marq_arena_free(&arena);
}

static void a_key_fits_or_is_refused(void **state)
{
    char out[8];
    size_t used;
    (void)state;
    assert_true(marq_form_key_into(out, 8, "demi plie", 9, &used) == false);
    assert_true(marq_form_key_into(out, 8, "demi pli", 8, &used));
    assert_int_equal(used, 8);
    assert_memory_equal(out, "demi pli", 8);
    assert_true(marq_form_key_into(out, 8, "d.e.m.i. pli", 12, &used));
    assert_int_equal(used, 8);
    assert_false(marq_form_key_into(out, 2, "...", 3, &used));
    assert_true(marq_form_key_into(out, 3, "...", 3, &used));
}

static void hash_is_fnv_1a(void **state)
{
    (void)state;
    /* Values published with the function. */
    assert_int_equal(marq_form_hash("", 0), UINT32_C(0x811c9dc5));
    assert_int_equal(marq_form_hash("a", 1), UINT32_C(0xe40c292c));
    assert_int_equal(marq_form_hash("foobar", 6), UINT32_C(0xbf9cf968));
    assert_int_equal(
        marq_form_hash_more(marq_form_hash("foo", 3), "bar", 3),
        UINT32_C(0xbf9cf968));
}

static void letters_are_a_set(void **state)
{
    (void)state;
    assert_int_equal(marq_form_letters("abba", 4), 3);
    assert_int_equal(marq_form_letters("z", 1), 1 << 25);
    assert_int_equal(marq_form_letters("a 2", 3), 1 | 1 << 26);
    assert_int_equal(marq_form_letters("'", 1), 1 << 27);
}

/* ---- forms found ---- */
/* Four forms in eight slots, two of them wanting the same slot. */
static void forms_are_found_past_a_taken_slot(void **state)
{
    static const char strings[] = "\0ab\0cd\0abc";
    static const size_t places[] = {1, 4, 7};
    marq_form forms[3] = {{0}};
    uint32_t slots[8] = {0};
    marq_vocab_data data = {.strings = strings, .forms = forms,
                            .form_count = 3, .slots = slots,
                            .slot_count = 8};
    (void)state;
    for (size_t i = 0; i < 3; i++) {
        const char *key = strings + places[i];
        forms[i].text = (marq_str)places[i];
        forms[i].hash = marq_form_hash(key, strlen(key));
    }
    /* All put where the first belongs and behind it, as if they collided:
     * a search that stops at the first taken slot finds only one. */
    uint32_t at = forms[0].hash & 7u;
    forms[1].hash = (forms[1].hash & ~7u) | at;
    slots[at] = 1;
    slots[(at + 1) & 7u] = 2;
    assert_ptr_equal(marq_form_find(&data, "ab", 2), &forms[0]);
    assert_ptr_equal(
        marq_form_find_hashed(&data, forms[1].hash, "cd", 2), &forms[1]);
    assert_null(marq_form_find_hashed(&data, forms[0].hash, "abc", 3));
    assert_null(marq_form_find_hashed(&data, forms[0].hash, "a", 1));
    data.slot_count = 0;
    assert_null(marq_form_find(&data, "ab", 2));
}

/* ---- a vocabulary around data ---- */
static const char pool[] = "\0x(?<n>\\d+)\0(?<from>\\d+)-(?<to>\\d+)\0(";
static const marq_notation_line lines[] = {
    {.notation = MARQ_NOTE_TIMES, .pattern = 1},
    {.notation = MARQ_NOTE_COUNT_RANGE, .pattern = 12},
    {.notation = MARQ_NOTE_COUNT, .pattern = 34}};

static void patterns_are_compiled_with_their_parts(void **state)
{
    marq_vocab_data data = {.strings = pool, .string_bytes = sizeof pool,
                            .notations = lines, .notation_count = 2};
    marq_vocab *vocab = NULL;
    marq_scratch *scratch = NULL;
    marq_match match;
    bool found = false;
    (void)state;
    assert_int_equal(marq_vocab_wrap(&vocab, NULL, &data), MARQ_OK);
    assert_ptr_equal(vocab->data, &data);
    assert_int_equal(marq_pattern_scratch_new(&scratch, vocab->mem),
                     MARQ_OK);
    assert_int_equal(marq_pattern_at(vocab->patterns[1], scratch, "a 5-18",
                                     6, 2, &match, &found),
                     MARQ_OK);
    assert_true(found);
    assert_int_equal(match.to, 6);
    assert_int_equal(match.from_of[0], 2); /* from */
    assert_int_equal(match.to_of[0], 3);
    assert_int_equal(match.from_of[1], 4); /* to */
    assert_int_equal(match.to_of[1], 6);
    marq_pattern_scratch_free(scratch);
    marq_vocab_release(vocab);
    marq_vocab_release(NULL);
}

static void limits_left_open_get_their_defaults(void **state)
{
    marq_vocab_data data = {.strings = pool};
    marq_config config = {.struct_size = sizeof config};
    marq_vocab *vocab = NULL;
    (void)state;
    config.limits.times = 7;
    assert_int_equal(marq_vocab_wrap(&vocab, &config, &data), MARQ_OK);
    assert_int_equal(vocab->limits.times, 7);
    assert_int_equal(vocab->limits.text_bytes, 64 * 1024 * 1024);
    assert_int_equal(vocab->limits.words, 8000000);
    assert_int_equal(vocab->limits.moves, 1000000);
    assert_int_equal(vocab->limits.findings, 10000);
    assert_int_equal(vocab->limits.corrections, 20000);
    marq_vocab_release(vocab);
}

static void a_pattern_that_is_none_is_our_fault(void **state)
{
    marq_vocab_data data = {.strings = pool, .string_bytes = sizeof pool,
                            .notations = lines, .notation_count = 3};
    marq_vocab *vocab = NULL;
    (void)state;
    assert_int_equal(strlen(pool + 34), 1);
    assert_int_equal(marq_vocab_wrap(&vocab, NULL, &data), MARQ_DEFECT);
    assert_null(vocab);
}

static marq_status wrap_once(testmem *mem, void *ctx)
{
    marq_config config = testmem_config(mem);
    marq_vocab *vocab = NULL;
    marq_status s = marq_vocab_wrap(&vocab, &config, ctx);
    assert_true((s == MARQ_OK) == (vocab != NULL));
    marq_vocab_release(vocab);
    return s;
}

static void memory_may_end_anywhere(void **state)
{
    marq_vocab_data data = {.strings = pool, .string_bytes = sizeof pool,
                            .notations = lines, .notation_count = 2};
    (void)state;
    assert_true(testmem_each_failure(wrap_once, &data) >= 4);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(names_are_those_of_the_format),
        cmocka_unit_test(parts_stand_in_the_order_asked_for),
        cmocka_unit_test(keys_are_singular_without_stops_and_hyphens),
        cmocka_unit_test(a_key_fits_or_is_refused),
        cmocka_unit_test(hash_is_fnv_1a),
        cmocka_unit_test(letters_are_a_set),
        cmocka_unit_test(forms_are_found_past_a_taken_slot),
        cmocka_unit_test(patterns_are_compiled_with_their_parts),
        cmocka_unit_test(limits_left_open_get_their_defaults),
        cmocka_unit_test(a_pattern_that_is_none_is_our_fault),
        cmocka_unit_test(memory_may_end_anywhere),
    };
    return cmocka_run_group_tests_name("vocab", tests, NULL, NULL);
}
