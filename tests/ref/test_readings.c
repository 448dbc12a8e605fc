/* test_readings.c - the library's exact sets against a plain walk.
 *
 * Random texts of step names are followed twice, by lib/ and by the slow
 * walk of ref.h, which shares no line with it: the same break, the same ends
 * of all readings, the same cheapest price, the same ends of the cheapest. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "follow.h"
#include "marquer.h"
#include "property/dice.h"
#include "ref.h"
#include "vocab.h"

#define STEPS_MOST 6
#define TEXT_MOST  1024
#define SHOWN_MOST 12 /* disagreements printed */

typedef struct world {
    marq_vocab *vocab;
    ref_vocab *ref;
    ref_body bodies[REF_BODIES_MOST]; /* by the library's number */
    uint64_t seed;
} world;

/* What one of the two says of a text. */
typedef struct answer {
    size_t danced;
    uint64_t ends;     /* bits of the library's bodies */
    uint64_t cheapest; /* of these, the ends of the cheapest readings */
    uint32_t price;
} answer;

typedef struct
try {
    ref_step steps[STEPS_MOST];
    size_t count;
}
try;

/* ---- bodies of both ---- */

static ref_body ref_of_body(marq_body b)
{
    static const int positions[MARQ_POSITIONS] = {
        [MARQ_FIRST] = REF_FIRST,       [MARQ_SECOND] = REF_SECOND,
        [MARQ_PARALLEL] = REF_PARALLEL, [MARQ_THIRD] = REF_THIRD,
        [MARQ_FOURTH] = REF_FOURTH,     [MARQ_FIFTH] = REF_FIFTH,
        [MARQ_TIPS] = REF_TIPS};
    static const int shapes[MARQ_SHAPES] = {
        [MARQ_A_TERRE] = REF_A_TERRE, [MARQ_LOW] = REF_LOW,
        [MARQ_HIGH] = REF_HIGH,       [MARQ_ANKLE] = REF_ANKLE,
        [MARQ_KNEE] = REF_KNEE,       [MARQ_ATTITUDE] = REF_ATTITUDE};
    static const int wheres[MARQ_WHERES] = {[MARQ_DEVANT] = REF_DEVANT,
                                            [MARQ_SIDE] = REF_SIDE,
                                            [MARQ_DERRIERE] = REF_DERRIERE};
    static const int feet[3] = {[MARQ_SIDE_NONE] = 0,
                                [MARQ_SIDE_RIGHT] = REF_RIGHT,
                                [MARQ_SIDE_LEFT] = REF_LEFT};

    if (marq_body_is_two(b)) {
        return ref_two(positions[marq_body_position(b)],
                       feet[marq_body_front(b)]);
    }
    return ref_one(feet[marq_body_standing(b)], shapes[marq_body_shape(b)],
                   wheres[marq_body_where(b)]);
}

static uint64_t bit_of_body(const world *w, ref_body body)
{
    for (int b = 0; b < MARQ_BODIES; b++) {
        if (ref_same_body(w->bodies[b], body)) {
            return (uint64_t)1 << b;
        }
    }
    fail();
    return 0;
}

static int load_both(void **state)
{
    static world w;

    if (marq_vocab_builtin(&w.vocab, NULL) != MARQ_OK) {
        return -1;
    }
    w.ref = ref_vocab_read("vocab");
    w.seed = dice_seed();
    for (int b = 0; b < MARQ_BODIES; b++) {
        w.bodies[b] = ref_of_body((marq_body)b);
    }
    *state = &w;
    return w.ref != NULL ? 0 : -1;
}

static int free_both(void **state)
{
    world *w = *state;

    marq_vocab_free(w->vocab);
    ref_vocab_free(w->ref);
    return 0;
}

/* ---- what each says ---- */

static const char *const position_texts[REF_POSITION_COUNT] = {
    [REF_FIRST] = "to first",       [REF_SECOND] = "to second",
    [REF_PARALLEL] = "to parallel", [REF_THIRD] = "to third",
    [REF_FOURTH] = "to fourth",     [REF_FIFTH] = "to fifth"};

static void write_text(char out[TEXT_MOST], const try *t)
{
    size_t used = 0;

    out[0] = '\0';
    for (size_t i = 0; i < t->count; i++) {
        const ref_step *s = &t->steps[i];

        used += (size_t)snprintf(
            out + used, TEXT_MOST - used, "%s%s", i > 0 ? ", " : "",
            s->to == REF_POSITION_COUNT ? s->term->name
                                        : position_texts[s->to]);
        if (s->qualifier != NULL) {
            used += (size_t)snprintf(out + used, TEXT_MOST - used, " %s",
                                     s->qualifier->name);
        }
        if (s->times > 1) {
            used += (size_t)snprintf(out + used, TEXT_MOST - used, " ×%d",
                                     s->times);
        }
        assert_true(used < TEXT_MOST);
    }
}

static answer ask_ref(const world *w, const try *t)
{
    answer a = {0, 0, 0, 0};
    ref_walk walk;

    ref_walk_steps(&walk, w->ref, t->steps, t->count);
    a.danced = walk.danced;
    a.price = (uint32_t)ref_walk_cheapest(&walk);
    for (size_t i = 0; i < walk.ends.count; i++) {
        const ref_spot *s = &walk.ends.at[i];
        uint64_t bit = bit_of_body(w, s->body);

        a.ends |= bit;
        a.cheapest |= (uint32_t)s->price == a.price ? bit : 0;
    }
    ref_walk_free(&walk);
    return a;
}

static void read_front(answer *a, const marq_front *front)
{
    marq_marks marks = {{{0}}};

    a->price = marq_front_cheapest(front);
    marq_front_mark(front, a->price, &marks);
    for (int layer = 0; layer < MARQ_ARRIVALS; layer++) {
        for (int b = 0; b < MARQ_BODIES; b++) {
            uint64_t bit = (uint64_t)1 << b;

            if ((front->live[layer] & bit) == 0) {
                continue; /* its costs have no meaning */
            }
            for (int f = 0; f < MARQ_FACINGS; f++) {
                if (front->cost[layer][b][f] != MARQ_OUT_OF_REACH) {
                    a->ends |= bit;
                }
            }
            a->cheapest |= marks.facing[layer][b] != 0 ? bit : 0;
        }
    }
}

static bool mark_as_meant(const world *w, const marq_mark *m, const ref_step *s)
{
    const marq_vocab_data *data = w->vocab->data;

    if (m->kind == MARQ_MARK_TO) {
        return s->to != REF_POSITION_COUNT &&
               ref_of_body(
                   marq_body_two((marq_position)m->value, MARQ_SIDE_RIGHT))
                       .position == s->to;
    }
    return m->kind == MARQ_MARK_QUALIFIER && s->qualifier != NULL &&
           strcmp(data->strings + data->qualifiers[m->value].name,
                  s->qualifier->name) == 0;
}

/* False if anything was read otherwise than it was meant. */
static bool reads_as_meant(const world *w, const marq_tree *tree, const try *t)
{
    const marq_vocab_data *data = w->vocab->data;

    if (tree->items.count != t->count) {
        return false;
    }
    for (size_t i = 0; i < t->count; i++) {
        const marq_item *item = MARQ_AT(&tree->items, marq_item, i);
        const ref_step *s = &t->steps[i];
        unsigned marks = (s->qualifier != NULL ? 1u : 0u) +
                         (s->to != REF_POSITION_COUNT ? 1u : 0u);

        if (item->kind != MARQ_ITEM_STEP || item->times != (uint32_t)s->times ||
            item->mark_count != marks ||
            strcmp(data->strings + data->terms[item->term].name,
                   s->term->name) != 0) {
            return false;
        }
        for (uint32_t k = 0; k < marks; k++) {
            if (!mark_as_meant(
                    w, MARQ_AT(&tree->marks, marq_mark, item->first_mark + k),
                    s)) {
                return false;
            }
        }
    }
    return true;
}

/* False if the text is not read as the steps meant. */
static bool ask_library(answer *a, const world *w, const try *t)
{
    char text[TEXT_MOST];
    marq_combo *combo;
    marq_arena arena;
    marq_findings findings;
    marq_following f;
    bool meant;

    write_text(text, t);
    assert_int_equal(
        marq_combo_read(&combo, w->vocab, text, strlen(text), NULL), MARQ_OK);
    meant = reads_as_meant(w, &combo->tree, t);
    marq_arena_init(&arena, marq_mem_of(NULL));
    marq_findings_init(&findings, &arena, 0);
    memset(a, 0, sizeof *a);
    if (meant) {
        const marq_stretch *s;
        const marq_seen *seen;

        assert_int_equal(
            marq_follow(&f, &arena, w->vocab, &combo->tree, &findings),
            MARQ_OK);
        assert_int_equal(f.stretches.count, 1);
        assert_int_equal(f.seen.count, t->count);
        s = MARQ_AT(&f.stretches, marq_stretch, 0);
        seen = f.seen.at;
        a->danced = s->reached - s->first;
        read_front(a, s->reached == s->first ? s->start
                                             : seen[s->reached - 1].after);
    }
    marq_arena_free(&arena);
    marq_combo_free(combo);
    return meant;
}

static bool same_answer(answer a, answer b)
{
    return a.danced == b.danced && a.ends == b.ends &&
           a.cheapest == b.cheapest && a.price == b.price;
}

static bool agree(const world *w, const try *t)
{
    answer lib;

    return !ask_library(&lib, w, t) || same_answer(lib, ask_ref(w, t));
}

/* ---- showing a disagreement, made small ---- */

static void show_set(const char *name, const world *w, uint64_t set)
{
    for (int b = 0; b < MARQ_BODIES; b++) {
        if ((set >> b) & 1u) {
            char words[64];

            ref_body_words(words, sizeof words, w->bodies[b]);
            print_error("      %s: %s\n", name, words);
        }
    }
}

static void show_answers(const world *w, const try *t)
{
    char text[TEXT_MOST];
    answer lib;
    answer ref = ask_ref(w, t);

    ask_library(&lib, w, t);
    write_text(text, t);
    print_error("  \"%s\"\n", text);
    print_error("    library: %zu of %zu danced, price %u\n", lib.danced,
                t->count, lib.price);
    print_error("    walk:    %zu of %zu danced, price %u\n", ref.danced,
                t->count, ref.price);
    show_set("only the library ends", w, lib.ends & ~ref.ends);
    show_set("only the walk ends", w, ref.ends & ~lib.ends);
    show_set("cheapest for the library only", w, lib.cheapest & ~ref.cheapest);
    show_set("cheapest for the walk only", w, ref.cheapest & ~lib.cheapest);
}

static try without_step(const try *t, size_t i)
{
    try less = *t;

    memmove(&less.steps[i], &less.steps[i + 1],
            (less.count - i - 1) * sizeof less.steps[0]);
    less.count--;
    return less;
}

static void make_small(const world *w, try *t)
{
    for (size_t i = 0; i < t->count;) {
        try less = without_step(t, i);

        if (t->count > 1 && !agree(w, &less)) {
            *t = less;
            i = 0;
        } else {
            i++;
        }
    }
}

typedef struct tally {
    size_t tried, broken, misread, wrong;
    bool may_misread; /* some words written are steps as well */
} tally;

static void try_text(const world *w, try *t, tally *sum)
{
    answer lib;
    answer ref;

    sum->tried++;
    if (!ask_library(&lib, w, t)) {
        char text[TEXT_MOST];

        write_text(text, t);
        sum->misread++;
        if (sum->misread <= SHOWN_MOST && !sum->may_misread) {
            print_error("  read otherwise: \"%s\"\n", text);
        }
        return;
    }
    ref = ask_ref(w, t);
    sum->broken += ref.danced < t->count;
    if (!same_answer(lib, ref)) {
        if (sum->wrong++ < SHOWN_MOST) {
            make_small(w, t);
            show_answers(w, t);
        }
    }
}

static void judge(const tally *sum)
{
    printf("  %zu texts, %zu of them break\n", sum->tried, sum->broken);
    if (sum->wrong + sum->misread > 0) {
        print_error("  %zu disagreements, %zu read otherwise\n", sum->wrong,
                    sum->misread);
    }
    assert_int_equal(sum->wrong, 0);
    if (sum->may_misread) {
        assert_true(sum->misread < sum->tried / 4);
    } else {
        assert_int_equal(sum->misread, 0);
    }
    /* texts of both kinds were met */
    assert_true(sum->broken > 0);
    assert_true(sum->broken < sum->tried);
}

/* ---- the tests ---- */

static const marq_term *library_term(const world *w, const char *name)
{
    const marq_vocab_data *data = w->vocab->data;

    for (size_t i = 0; i < data->term_count; i++) {
        if (strcmp(data->strings + data->terms[i].name, name) == 0) {
            return &data->terms[i];
        }
    }
    return NULL;
}

/* Which foot works is compared too: links and feet said depend on it. */
static bool ends_agree(const world *w, const ref_variant *rv, size_t v,
                       int body)
{
    const marq_vocab_data *data = w->vocab->data;
    static const int feet[3] = {[MARQ_SIDE_NONE] = REF_BOTH,
                                [MARQ_SIDE_RIGHT] = REF_RIGHT,
                                [MARQ_SIDE_LEFT] = REF_LEFT};
    uint64_t lib[3] = {0, 0, 0};
    uint64_t ref[3] = {0, 0, 0};
    ref_end ends[64];
    size_t n = ref_variant_ends(rv, w->bodies[body], ends);
    const marq_move *m;
    size_t count = marq_step_moves(data, v, (marq_body)body, &m);

    for (size_t i = 0; i < n; i++) {
        ref[ends[i].working] |= bit_of_body(w, ends[i].body);
    }
    for (size_t i = 0; i < count; i++) {
        lib[feet[m[i].working]] |= (uint64_t)1 << m[i].to;
    }
    return memcmp(lib, ref, sizeof lib) == 0;
}

static void every_variant_leads_to_the_same_ends(void **state)
{
    const world *w = *state;
    const marq_vocab_data *data = w->vocab->data;
    size_t pairs = 0;
    size_t wrong = 0;

    assert_int_equal(w->ref->term_count, data->term_count);
    for (size_t i = 0; i < w->ref->term_count; i++) {
        const ref_term *rt = &w->ref->terms[i];
        const marq_term *lt = library_term(w, rt->name);

        assert_non_null(lt);
        assert_int_equal(rt->variant_count, lt->variant_count);
        for (size_t k = 0; k < rt->variant_count; k++) {
            for (int b = 0; b < MARQ_BODIES; b++, pairs++) {
                if (!ends_agree(w, &rt->variants[k], lt->first_variant + k,
                                b) &&
                    wrong++ < SHOWN_MOST) {
                    char words[64];

                    ref_body_words(words, sizeof words, w->bodies[b]);
                    print_error("  %s %s\n    differs from %s\n", rt->name,
                                rt->variants[k].line, words);
                }
            }
        }
    }
    printf("  %zu pairs of variant and body\n", pairs);
    assert_int_equal(wrong, 0);
}

static void every_term_alone(void **state)
{
    const world *w = *state;
    tally sum = {0, 0, 0, 0, false};

    for (size_t i = 0; i < w->ref->term_count; i++) {
        try t;

        memset(&t, 0, sizeof t);
        t.count = 1;
        t.steps[0].term = &w->ref->terms[i];
        t.steps[0].times = 1;
        t.steps[0].to = REF_POSITION_COUNT;
        try_text(w, &t, &sum);
    }
    assert_int_equal(sum.wrong, 0);
    assert_int_equal(sum.misread, 0);
}

static void draw_steps(const world *w, dice *d, try *t)
{
    memset(t, 0, sizeof *t);
    t->count = 1 + dice_below(d, STEPS_MOST);
    for (size_t i = 0; i < t->count; i++) {
        t->steps[i].term = &w->ref->terms[dice_below(d, w->ref->term_count)];
        t->steps[i].times = 1;
        t->steps[i].to = REF_POSITION_COUNT;
    }
}

static void random_texts_of_bare_terms(void **state)
{
    const world *w = *state;
    dice d = {w->seed};
    tally sum = {0, 0, 0, 0, false};

    for (size_t n = dice_longer(1000); n > 0; n--) {
        try t;

        draw_steps(w, &d, &t);
        try_text(w, &t, &sum);
    }
    judge(&sum);
}

static void random_texts_with_a_repeated_step(void **state)
{
    const world *w = *state;
    dice d = {w->seed + 1};
    tally sum = {0, 0, 0, 0, false};

    for (size_t n = dice_longer(500); n > 0; n--) {
        try t;

        draw_steps(w, &d, &t);
        t.steps[dice_below(&d, t.count)].times = 2 + (int)dice_below(&d, 3);
        try_text(w, &t, &sum);
    }
    judge(&sum);
}

/* A qualifier some variant of its term carries; now and then any at all. */
static void draw_qualifier(const world *w, dice *d, ref_step *s)
{
    const ref_variant *v =
        &s->term->variants[dice_below(d, s->term->variant_count)];
    const char *name = NULL;

    if (v->name_count > 0 && dice_below(d, 4) > 0) {
        name = v->names[dice_below(d, v->name_count)];
    }
    s->qualifier = &w->ref->qualifiers[dice_below(d, w->ref->qualifier_count)];
    for (size_t i = 0; name != NULL && i < w->ref->qualifier_count; i++) {
        if (strcmp(w->ref->qualifiers[i].name, name) == 0) {
            s->qualifier = &w->ref->qualifiers[i];
        }
    }
}

/* relevé, piqué, passé are steps too: such texts may be read so. */
static void random_texts_with_one_qualifier(void **state)
{
    const world *w = *state;
    dice d = {w->seed + 2};
    tally sum = {0, 0, 0, 0, true};

    for (size_t n = dice_longer(1000); n > 0; n--) {
        try t;

        draw_steps(w, &d, &t);
        draw_qualifier(w, &d, &t.steps[dice_below(&d, t.count)]);
        try_text(w, &t, &sum);
    }
    judge(&sum);
}

static bool turns(const ref_term *t)
{
    for (size_t i = 0; i < t->variant_count; i++) {
        if (t->variants[i].turns) {
            return true;
        }
    }
    return false;
}

/* "to fourth" and its like, a turn after it as often as not. */
static void random_texts_with_a_position_written(void **state)
{
    const world *w = *state;
    const ref_term *place = ref_vocab_term(w->ref, "to a position");
    dice d = {w->seed + 3};
    tally sum = {0, 0, 0, 0, false};

    assert_non_null(place);
    for (size_t n = dice_longer(500); n > 0; n--) {
        try t;
        size_t i;

        draw_steps(w, &d, &t);
        i = dice_below(&d, t.count);
        t.steps[i].term = place;
        t.steps[i].to =
            dice_below(&d, 2) > 0 ? REF_FOURTH : (int)dice_below(&d, REF_TIPS);
        while (i + 1 < t.count && dice_below(&d, 2) > 0 &&
               !turns(t.steps[i + 1].term)) {
            t.steps[i + 1].term =
                &w->ref->terms[dice_below(&d, w->ref->term_count)];
        }
        try_text(w, &t, &sum);
    }
    judge(&sum);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_variant_leads_to_the_same_ends),
        cmocka_unit_test(every_term_alone),
        cmocka_unit_test(random_texts_of_bare_terms),
        cmocka_unit_test(random_texts_with_a_repeated_step),
        cmocka_unit_test(random_texts_with_one_qualifier),
        cmocka_unit_test(random_texts_with_a_position_written),
    };

    return cmocka_run_group_tests(tests, load_both, free_both);
}
