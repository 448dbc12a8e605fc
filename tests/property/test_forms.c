/* test_forms.c - each qualifier that some variant of a term carries is read as
 * a form of it when it is written beside it. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "property.h"
#include "tree.h"
#include "vocab.h"

static bool carries(const marq_vocab_data *data, const marq_term *term,
                    unsigned qualifier)
{
    for (size_t i = 0; i < term->variant_count; i++) {
        if (marq_tag_has(data->variants[term->first_variant + i].tags,
                         qualifier)) {
            return true;
        }
    }
    return false;
}

/* One step with no mark but qualifiers.  (The two words may be the name of
 * another step: "arabesque penché".) */
static bool reads_as_form(const world *w, const char *text)
{
    marq_combo *combo = property_read(w, text, strlen(text));
    const marq_item *item = combo->tree.items.at;
    bool as_form = combo->tree.items.count == 1 && item->kind == MARQ_ITEM_STEP;

    for (uint32_t k = 0; as_form && k < item->mark_count; k++) {
        as_form = MARQ_AT(&combo->tree.marks, marq_mark, item->first_mark + k)
                      ->kind == MARQ_MARK_QUALIFIER;
    }
    if (!as_form) {
        print_error("  \"%s\"\n", text);
        property_show_copy("read as", combo);
    }
    marq_combo_free(combo);
    return as_form;
}

static void every_form_of_a_term_is_read_as_one(void **state)
{
    const world *w = *state;
    const marq_vocab_data *data = w->vocab->data;
    size_t tried = 0;
    size_t faults = 0;

    for (size_t t = 0; t < data->term_count; t++) {
        const marq_term *term = &data->terms[t];

        for (unsigned q = 0; q < data->qualifier_count; q++) {
            char text[256];

            if (!carries(data, term, q)) {
                continue;
            }
            snprintf(text, sizeof text, "%s %s", data->strings + term->name,
                     data->strings + data->qualifiers[q].name);
            tried++;
            faults += !reads_as_form(w, text);
        }
    }
    printf("  %zu forms\n", tried);
    assert_true(tried > 0);
    assert_int_equal(faults, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_form_of_a_term_is_read_as_one),
    };

    return cmocka_run_group_tests(tests, property_load, property_free);
}
