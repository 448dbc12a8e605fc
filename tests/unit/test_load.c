/* test_load.c - what comes out of texts and overlays; memory ending. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "loaddesk.h"
#include "testmem.h"
#include "text.h"

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
    loaddesk *d = *state;
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
    assert_int_equal(loaddesk_load(d, &d->base, text), MARQ_OK);
    const marq_vocab_data *v = &d->data;
    const char *s = v->strings;
    const marq_term *t = loaddesk_term(v, "assemble");
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
    loaddesk *d = *state;
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
    loaddesk *d = *state;
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
    loaddesk *d = *state;
    assert_int_equal(loaddesk_load(d, &d->base,
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
    loaddesk *d = *state;
    assert_int_equal(
        loaddesk_load(d, &d->base,
                  LOADDESK_PROBE
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
    const marq_term *t = loaddesk_term(&d->data, "probe");
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
    loaddesk *d = *state;
    /* The small vocabulary with a byte order mark and CRLF line ends. */
    marq_build b;
    marq_build_init(&b, &d->arena);
    marq_build_text(&b, "\xef\xbb\xbf");
    for (const char *c = loaddesk_small; *c; c++) {
        if (*c == '\n') {
            marq_build_char(&b, '\r');
        }
        marq_build_char(&b, *c);
    }
    assert_int_equal(loaddesk_load(d, NULL, marq_build_done(&b, NULL)),
                     MARQ_OK);
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
    assert_int_equal(loaddesk_load(d, &d->base,
                               "format 1\nfiller l’air\n  written l'air\n"),
                     MARQ_OK);
    assert_int_equal(d->data.form_count, d->base.form_count + 1);
}

/* ---- overlays ---- */
static void overlay_replaces_a_term_whole(void **state)
{
    loaddesk *d = *state;
    assert_int_equal(
        loaddesk_load(d, &d->base,
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
    assert_null(marq_form_find(v, "glis", 4));
    assert_int_equal(id_of(v, MARQ_ROLE_TERM, "glide"), 0);
    assert_int_equal(id_of(v, MARQ_ROLE_TERM, "pas de chat"), 1);
    /* The base itself is as it was. */
    assert_string_equal(d->base.strings + d->base.terms[0].name, "glissade");
    assert_int_equal(d->base.variant_count, 3);
}

static void overlay_replaces_by_name_and_adds(void **state)
{
    loaddesk *d = *state;
    assert_int_equal(
        loaddesk_load(d, &d->base,
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
    assert_int_equal(id_of(v, MARQ_ROLE_TERM, "glis"), 0);
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
    marq_vocab_text under = {"small", loaddesk_small, strlen(loaddesk_small)};
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
                    LOADDESK_PROBE
                    "  variant dessus: from first, both feet work, ends as "
                    "it began; price 0; reverse dessus\n"
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
#define CASE(f) \
    cmocka_unit_test_setup_teardown(f, loaddesk_open, loaddesk_close)
    const struct CMUnitTest tests[] = {
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
