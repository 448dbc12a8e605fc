/* test_digest.c - what the build digested is what the files say when they
 * are loaded now. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "load.h"
#include "step.h"
#include "vocabfiles.h"

typedef struct desk {
    marq_arena arena;
    marq_vocab_data loaded;
} desk;

static int open_desk(void **state)
{
    desk *d = test_calloc(1, sizeof *d);
    vocabfiles files;
    marq_findings *why = NULL;
    marq_arena_init(&d->arena, marq_mem_of(NULL));
    assert_true(vocabfiles_read(&files));
    assert_int_equal(marq_findings_new(&why, marq_mem_of(NULL), 100),
                     MARQ_OK);
    assert_int_equal(marq_load(&d->loaded, &d->arena, NULL, files.texts,
                               files.count, why),
                     MARQ_OK);
    assert_int_equal(marq_step_compile(&d->loaded, &d->arena, why), MARQ_OK);
    marq_findings_free(why);
    vocabfiles_free(&files);
    *state = d;
    return 0;
}

static int close_desk(void **state)
{
    desk *d = *state;
    marq_arena_free(&d->arena);
    test_free(d);
    return 0;
}

/* Member by member: padding and places in texts mean nothing. */
#define SAME(member) assert_int_equal(a->member, b->member)

static void strings_and_numbers_are_the_same(void **state)
{
    const desk *d = *state;
    const marq_vocab_data *a = &d->loaded, *b = &marq_builtin_data;
    assert_true(a->string_bytes > 1000);
    SAME(string_bytes);
    assert_memory_equal(a->strings, b->strings, a->string_bytes);
    SAME(longest_form);
    SAME(format);
    assert_memory_equal(a->prices, b->prices, sizeof a->prices);
}

static void terms_and_variants_are_the_same(void **state)
{
    const desk *d = *state;
    assert_true(d->loaded.term_count > 0);
    assert_int_equal(d->loaded.term_count, marq_builtin_data.term_count);
    for (size_t i = 0; i < d->loaded.term_count; i++) {
        const marq_term *a = &d->loaded.terms[i];
        const marq_term *b = &marq_builtin_data.terms[i];
        SAME(id);
        SAME(name);
        SAME(means);
        SAME(family);
        SAME(source);
        SAME(note);
        SAME(first_variant);
        SAME(variant_count);
        SAME(side_means);
        SAME(level);
        SAME(flags);
        SAME(counts_num);
        SAME(counts_den);
    }
    assert_int_equal(d->loaded.variant_count,
                     marq_builtin_data.variant_count);
    for (size_t i = 0; i < d->loaded.variant_count; i++) {
        const marq_variant *a = &d->loaded.variants[i];
        const marq_variant *b = &marq_builtin_data.variants[i];
        SAME(term);
        SAME(name);
        SAME(tags.bit[0]);
        SAME(tags.bit[1]);
        SAME(marked.bit[0]);
        SAME(marked.bit[1]);
        SAME(from_two);
        SAME(from_free);
        SAME(worker);
        SAME(end);
        SAME(end_position);
        SAME(end_front);
        SAME(end_free);
        SAME(turn_sense);
        SAME(turn_eighths);
        SAME(travel);
        SAME(lands);
        SAME(leaves);
        SAME(arrives);
        SAME(price);
        SAME(level);
        SAME(flags);
        SAME(reverse);
        SAME(first_move);
        SAME(move_count);
        SAME(declared_feet);
    }
}

static void moves_are_the_same(void **state)
{
    const desk *d = *state;
    assert_true(d->loaded.move_count > 0);
    assert_int_equal(d->loaded.move_count, marq_builtin_data.move_count);
    for (size_t i = 0; i < d->loaded.move_count; i++) {
        const marq_move *a = &d->loaded.moves[i];
        const marq_move *b = &marq_builtin_data.moves[i];
        SAME(from);
        SAME(to);
        SAME(turn);
        SAME(working);
        SAME(lands);
        SAME(closing);
        SAME(travel);
        SAME(change);
    }
    assert_memory_equal(d->loaded.move_index, marq_builtin_data.move_index,
                        d->loaded.variant_count * 48 *
                            sizeof *d->loaded.move_index);
}

static void words_are_the_same(void **state)
{
    const desk *d = *state;
    {
        const marq_vocab_data *a = &d->loaded, *b = &marq_builtin_data;
        SAME(qualifier_count);
        SAME(form_count);
        SAME(sense_count);
        SAME(slot_count);
        SAME(free_word_count);
        SAME(notation_count);
    }
    for (size_t i = 0; i < d->loaded.qualifier_count; i++) {
        const marq_qualifier *a = &d->loaded.qualifiers[i];
        const marq_qualifier *b = &marq_builtin_data.qualifiers[i];
        SAME(name);
        SAME(means);
        SAME(ask);
        SAME(position);
        SAME(instead);
        SAME(feminine);
        SAME(mirror_reverse);
    }
    for (size_t i = 0; i < d->loaded.form_count; i++) {
        const marq_form *a = &d->loaded.forms[i];
        const marq_form *b = &marq_builtin_data.forms[i];
        SAME(text);
        SAME(shown);
        SAME(hash);
        SAME(first_sense);
        SAME(sense_count);
        SAME(words);
        SAME(letters);
    }
    for (size_t i = 0; i < d->loaded.sense_count; i++) {
        const marq_sense *a = &d->loaded.senses[i];
        const marq_sense *b = &marq_builtin_data.senses[i];
        SAME(role);
        SAME(id);
    }
    assert_memory_equal(d->loaded.slots, marq_builtin_data.slots,
                        d->loaded.slot_count * sizeof *d->loaded.slots);
    for (size_t i = 0; i < d->loaded.free_word_count; i++) {
        const marq_free_word *a = &d->loaded.free_words[i];
        const marq_free_word *b = &marq_builtin_data.free_words[i];
        SAME(name);
        SAME(mask);
    }
    for (size_t i = 0; i < d->loaded.notation_count; i++) {
        const marq_notation_line *a = &d->loaded.notations[i];
        const marq_notation_line *b = &marq_builtin_data.notations[i];
        SAME(notation);
        SAME(pattern);
        SAME(name);
    }
}

/* An overlay that says nothing leaves everything as it is. */
static void empty_overlay_changes_nothing(void **state)
{
    desk *d = *state;
    static const char text[] = "format 1\n";
    marq_vocab_text one = {"none", text, sizeof text - 1};
    marq_vocab_data over;
    assert_int_equal(marq_load(&over, &d->arena, &marq_builtin_data, &one, 1,
                               NULL),
                     MARQ_OK);
    assert_int_equal(over.term_count, marq_builtin_data.term_count);
    assert_int_equal(over.variant_count, marq_builtin_data.variant_count);
    assert_int_equal(over.form_count, marq_builtin_data.form_count);
    assert_int_equal(over.sense_count, marq_builtin_data.sense_count);
    for (size_t i = 0; i < over.variant_count; i++) {
        assert_int_equal(over.variants[i].reverse,
                         marq_builtin_data.variants[i].reverse);
        assert_int_equal(over.variants[i].from_free,
                         marq_builtin_data.variants[i].from_free);
    }
    for (size_t i = 0; i < marq_builtin_data.form_count; i++) {
        const marq_form *b = &marq_builtin_data.forms[i];
        const char *key = marq_builtin_data.strings + b->text;
        const marq_form *a = marq_form_find(&over, key, strlen(key));
        assert_non_null(a);
        assert_int_equal(a->sense_count, b->sense_count);
        for (size_t s = 0; s < b->sense_count; s++) {
            assert_int_equal(over.senses[a->first_sense + s].role,
                             marq_builtin_data.senses[b->first_sense + s]
                                 .role);
            assert_int_equal(over.senses[a->first_sense + s].id,
                             marq_builtin_data.senses[b->first_sense + s].id);
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(strings_and_numbers_are_the_same),
        cmocka_unit_test(terms_and_variants_are_the_same),
        cmocka_unit_test(moves_are_the_same),
        cmocka_unit_test(words_are_the_same),
        cmocka_unit_test(empty_overlay_changes_nothing),
    };
    return cmocka_run_group_tests_name("digest", tests, open_desk,
                                       close_desk);
}
