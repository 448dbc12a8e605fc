/* test_every_pair.c - every body with every variant, once; every link.
 *
 * What must hold of each move is checked on each; one number, the signature,
 * stands for all of them together.  A change of it is a change of meaning:
 * MARQ_BLESS=1 writes tests/exhaust/SIGNATURE anew, MARQ_LONG=1 prints how
 * many moves each term has. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "marquer.h"
#include "state.h"
#include "step.h"
#include "vocab.h"

#define SIGNATURE_FILE "tests/exhaust/SIGNATURE"
#define SHOWN_MOST     12

static const marq_vocab_data *the_data(void)
{
    return &marq_builtin_data;
}

static const char *term_of(size_t variant)
{
    const marq_vocab_data *d = the_data();

    return d->strings + d->terms[d->variants[variant].term].name;
}

static bool is_set(const char *name)
{
    const char *value = getenv(name);

    return value != NULL && *value != '\0' && *value != '0';
}

/* Reports a faulty pair; how many are shown is bounded, not how many count. */
static void fault(size_t *faults, const char *what, size_t variant, int body)
{
    if ((*faults)++ < SHOWN_MOST) {
        print_error(
            "  %s: %s, variant \"%s\", body %d\n", what, term_of(variant),
            the_data()->strings + the_data()->variants[variant].name, body);
    }
}

/* ---- results valid ---- */

static bool is_valid_body(marq_body b)
{
    return b < MARQ_BODIES && marq_body_mirror(b) < MARQ_BODIES;
}

static uint8_t change_of(marq_body from, marq_body to)
{
    marq_side before = marq_body_front(from);
    marq_side after = marq_body_front(to);

    if (before == MARQ_SIDE_NONE || after == MARQ_SIDE_NONE) {
        return 2;
    }
    return before != after;
}

static bool is_valid_move(const marq_variant *v, const marq_move *m, int body)
{
    unsigned turn = (unsigned)abs(m->turn);

    return m->from == body && is_valid_body(m->to) && m->working <= 2 &&
           m->lands <= 2 && m->closing <= 2 && m->travel <= 3 &&
           (m->closing == 0 || marq_body_is_two(m->to)) &&
           turn == v->turn_eighths &&
           (v->turn_sense == MARQ_TURN_NONE) == (turn == 0);
}

static void every_move_is_valid(void **state)
{
    const marq_vocab_data *d = the_data();
    size_t moves = 0;
    size_t faults = 0;

    (void)state;
    for (size_t v = 0; v < d->variant_count; v++) {
        for (int b = 0; b < MARQ_BODIES; b++) {
            const marq_move *m;
            size_t n = marq_step_moves(d, v, (marq_body)b, &m);

            moves += n;
            for (size_t i = 0; i < n; i++) {
                if (!is_valid_move(&d->variants[v], &m[i], b)) {
                    fault(&faults, "no valid move", v, b);
                } else if (m[i].change != change_of(m[i].from, m[i].to)) {
                    fault(&faults, "change flag wrong", v, b);
                }
            }
        }
    }
    printf("  %zu pairs, %zu moves\n", d->variant_count * MARQ_BODIES, moves);
    assert_int_equal(faults, 0);
    assert_int_equal(moves, d->move_count);
}

/* "feet change" and "feet stay" are true of every move of the line. */
static void what_is_declared_holds(void **state)
{
    const marq_vocab_data *d = the_data();
    size_t faults = 0;

    (void)state;
    for (size_t i = 0; i < d->variant_count; i++) {
        const marq_variant *v = &d->variants[i];

        for (size_t k = 0; k < v->move_count; k++) {
            const marq_move *m = &d->moves[v->first_move + k];

            if ((v->declared_feet == 1 && m->change == 0) ||
                (v->declared_feet == 2 && m->change == 1)) {
                fault(&faults, "feet not as declared", i, m->from);
            }
        }
    }
    assert_int_equal(faults, 0);
}

/* ---- mirror ---- */

static uint8_t mirror_side(uint8_t side)
{
    return side == 1 ? 2 : side == 2 ? 1 : side;
}

static marq_move mirror_move(marq_move m)
{
    m.from = marq_body_mirror(m.from);
    m.to = marq_body_mirror(m.to);
    m.turn = (int8_t)-m.turn;
    m.working = mirror_side(m.working);
    m.lands = mirror_side(m.lands);
    m.closing = mirror_side(m.closing);
    m.travel = mirror_side(m.travel);
    return m;
}

static bool same_move(const marq_move *a, const marq_move *b)
{
    return a->from == b->from && a->to == b->to && a->turn == b->turn &&
           a->working == b->working && a->lands == b->lands &&
           a->closing == b->closing && a->travel == b->travel &&
           a->change == b->change;
}

static size_t count_like(const marq_move *m, size_t n, const marq_move *like)
{
    size_t count = 0;

    for (size_t i = 0; i < n; i++) {
        count += same_move(&m[i], like);
    }
    return count;
}

static void mirror_commutes_with_every_move(void **state)
{
    const marq_vocab_data *d = the_data();
    size_t faults = 0;

    (void)state;
    for (size_t v = 0; v < d->variant_count; v++) {
        for (int b = 0; b < MARQ_BODIES; b++) {
            const marq_move *m;
            const marq_move *other;
            marq_body turned = marq_body_mirror((marq_body)b);
            size_t n = marq_step_moves(d, v, (marq_body)b, &m);
            size_t n_other = marq_step_moves(d, v, turned, &other);

            if (n != n_other) {
                fault(&faults, "mirror has other moves", v, b);
                continue;
            }
            for (size_t i = 0; i < n; i++) {
                marq_move wanted = mirror_move(m[i]);

                if (count_like(m, n, &m[i]) != 1) {
                    fault(&faults, "the same move twice", v, b);
                }
                if (count_like(other, n_other, &wanted) != 1) {
                    fault(&faults, "mirror lacks a move", v, b);
                }
            }
        }
    }
    assert_int_equal(faults, 0);
}

static void mirror_of_bodies_and_facings(void **state)
{
    (void)state;
    for (int i = 0; i < MARQ_BODIES; i++) {
        marq_body b = (marq_body)i;
        marq_body m = marq_body_mirror(b);

        assert_int_equal(marq_body_mirror(m), b);
        assert_int_equal(marq_body_is_two(m), marq_body_is_two(b));
        assert_int_equal(marq_body_front(m),
                         marq_side_other(marq_body_front(b)));
        assert_int_equal(marq_body_standing(m),
                         marq_side_other(marq_body_standing(b)));
        /* only what has no side is its own mirror image */
        assert_int_equal(m == b, marq_body_is_two(b) &&
                                     marq_body_front(b) == MARQ_SIDE_NONE);
        for (int k = 0; k < MARQ_FACINGS; k++) {
            marq_facing f = (marq_facing)k;

            assert_int_equal(marq_alignment_of(b, f),
                             marq_alignment_of(m, marq_facing_mirror(f)));
        }
    }
}

/* ---- every term can be entered, every variant does something ---- */

static bool may_be_started(marq_body b)
{
    if (marq_body_is_two(b)) {
        return marq_body_position(b) != MARQ_TIPS;
    }
    return marq_body_shape(b) == MARQ_A_TERRE;
}

static void every_term_can_be_entered(void **state)
{
    const marq_vocab_data *d = the_data();
    size_t faults = 0;

    (void)state;
    for (size_t t = 0; t < d->term_count; t++) {
        const marq_term *term = &d->terms[t];
        size_t free_of_charge = 0;
        size_t from_start = 0;

        for (size_t i = 0; i < term->variant_count; i++) {
            size_t v = (size_t)(term->first_variant + i);

            assert_int_equal(d->variants[v].term, t);
            if (d->variants[v].move_count == 0) {
                fault(&faults, "a line that leads nowhere", v, 0);
            }
            free_of_charge += d->variants[v].price == 0;
            for (int b = 0; b < MARQ_BODIES; b++) {
                const marq_move *m;

                if (may_be_started((marq_body)b)) {
                    from_start += marq_step_moves(d, v, (marq_body)b, &m);
                }
            }
        }
        if (free_of_charge == 0) {
            fault(&faults, "nothing customary", term->first_variant, 0);
        }
        if (from_start == 0) {
            /* held poses need a raised leg; a link or a step leads there */
            printf("  from no usual start: %s\n", d->strings + term->name);
        }
    }
    assert_int_equal(faults, 0);
}

/* ---- links ---- */

static bool link_is_there(const marq_links *links, marq_link like)
{
    for (unsigned i = links->index[like.from]; i < links->index[like.from + 1];
         i++) {
        const marq_link *l = &links->at[i];

        if (l->to == like.to && l->kind == like.kind &&
            l->price == like.price && l->stood == like.stood) {
            return true;
        }
    }
    return false;
}

static void every_link_is_sound(void **state)
{
    marq_links links;

    (void)state;
    marq_links_make(&links);
    assert_int_equal(links.index[0], 0);
    assert_true(links.index[MARQ_BODIES] > 0);
    assert_true(links.index[MARQ_BODIES] <= MARQ_LINKS_MOST);
    for (unsigned i = 0; i < links.index[MARQ_BODIES]; i++) {
        marq_link l = links.at[i];
        marq_link turned = l;

        assert_true(is_valid_body(l.from) && is_valid_body(l.to));
        assert_int_not_equal(l.from, l.to);
        assert_int_equal(l.stood, marq_body_standing(l.from));
        /* nothing assumed between two steps changes the front foot */
        assert_int_not_equal(change_of(l.from, l.to), 1);
        /* nor steps on the free foot */
        assert_true(marq_body_is_two(l.from) || marq_body_is_two(l.to) ||
                    l.stood == (uint8_t)marq_body_standing(l.to));
        turned.from = marq_body_mirror(l.from);
        turned.to = marq_body_mirror(l.to);
        turned.stood = mirror_side(l.stood);
        assert_true(link_is_there(&links, turned));
        if (l.kind == MARQ_LINK_SHIFT) { /* goes both ways */
            bool back = false;

            for (unsigned k = links.index[l.to]; k < links.index[l.to + 1];
                 k++) {
                back |= links.at[k].to == l.from &&
                        links.at[k].kind == MARQ_LINK_SHIFT;
            }
            assert_true(back);
        }
    }
}

/* Each end of each variant with each link from there: how many places a
 * dancer may be in before the next step. */
static size_t count_ends_with_links(size_t *closable)
{
    const marq_vocab_data *d = the_data();
    marq_links links;
    size_t count = 0;

    marq_links_make(&links);
    *closable = 0;
    for (size_t i = 0; i < d->move_count; i++) {
        marq_body to = d->moves[i].to;

        count += 1u + links.index[to + 1] - links.index[to];
        for (unsigned k = links.index[to]; k < links.index[to + 1]; k++) {
            *closable += links.at[k].kind == MARQ_LINK_CLOSE;
        }
    }
    return count;
}

static void every_end_with_every_link(void **state)
{
    const marq_vocab_data *d = the_data();
    marq_links links;
    size_t closable;
    size_t count = count_ends_with_links(&closable);

    (void)state;
    marq_links_make(&links);
    printf("  %zu ends with and without a link\n", count);
    assert_true(count > d->move_count);
    for (size_t i = 0; i < d->move_count; i++) {
        marq_body to = d->moves[i].to;
        bool closes = false;

        for (unsigned k = links.index[to]; k < links.index[to + 1]; k++) {
            closes |= links.at[k].kind == MARQ_LINK_CLOSE;
        }
        /* whoever stands on one foot can close, nobody else */
        assert_int_equal(closes, !marq_body_is_two(to));
    }
    assert_true(closable > 0);
}

/* ---- the signature ---- */

static uint64_t add_bytes(uint64_t hash, const void *bytes, size_t count)
{
    const unsigned char *b = bytes;

    for (size_t i = 0; i < count; i++) {
        hash = (hash ^ b[i]) * UINT64_C(0x100000001b3);
    }
    return hash;
}

static uint64_t add_number(uint64_t hash, long long number)
{
    char digits[32];
    int n = snprintf(digits, sizeof digits, "%lld;", number);

    return add_bytes(hash, digits, (size_t)n);
}

static uint64_t add_text(uint64_t hash, marq_str text)
{
    const char *s = the_data()->strings + text;

    return add_bytes(hash, s, strlen(s) + 1);
}

static uint64_t add_variant(uint64_t hash, const marq_variant *v)
{
    const marq_vocab_data *d = the_data();

    hash = add_text(hash, v->name);
    hash = add_number(hash, v->price);
    hash = add_number(hash, v->leaves);
    hash = add_number(hash, v->arrives);
    hash = add_number(hash, v->flags);
    for (size_t i = 0; i < v->move_count; i++) {
        const marq_move *m = &d->moves[v->first_move + i];
        const int numbers[] = {m->from,  m->to,      m->turn,   m->working,
                               m->lands, m->closing, m->travel, m->change};

        for (size_t k = 0; k < sizeof numbers / sizeof numbers[0]; k++) {
            hash = add_number(hash, numbers[k]);
        }
    }
    return hash;
}

static uint64_t add_links(uint64_t hash)
{
    marq_links links;

    marq_links_make(&links);
    for (unsigned i = 0; i < links.index[MARQ_BODIES]; i++) {
        hash = add_number(hash, links.at[i].from);
        hash = add_number(hash, links.at[i].to);
        hash = add_number(hash, links.at[i].kind);
        hash = add_number(hash, the_data()->prices[links.at[i].price]);
    }
    return hash;
}

/* FNV-1a over terms, variants, moves and links in order. */
static uint64_t sign_everything(bool show)
{
    const marq_vocab_data *d = the_data();
    uint64_t hash = UINT64_C(0xcbf29ce484222325);

    for (size_t t = 0; t < d->term_count; t++) {
        const marq_term *term = &d->terms[t];
        size_t moves = 0;

        hash = add_text(hash, term->id);
        for (size_t i = 0; i < term->variant_count; i++) {
            const marq_variant *v = &d->variants[term->first_variant + i];

            hash = add_variant(hash, v);
            moves += v->move_count;
        }
        if (show) {
            printf("  %6zu %s\n", moves, d->strings + term->id);
        }
    }
    return add_links(hash);
}

static void the_signature_is_the_recorded_one(void **state)
{
    char now[96];
    char recorded[96] = "";
    FILE *file;

    (void)state;
    snprintf(now, sizeof now, "%016llx %zu terms %zu variants %zu moves\n",
             (unsigned long long)sign_everything(is_set("MARQ_LONG")),
             the_data()->term_count, the_data()->variant_count,
             the_data()->move_count);
    if (is_set("MARQ_BLESS")) {
        file = fopen(SIGNATURE_FILE, "w");
        assert_non_null(file);
        assert_true(fputs(now, file) >= 0);
        assert_int_equal(fclose(file), 0);
    }
    file = fopen(SIGNATURE_FILE, "r");
    if (file != NULL) {
        if (fgets(recorded, sizeof recorded, file) == NULL) {
            recorded[0] = '\0';
        }
        fclose(file);
    }
    if (strcmp(now, recorded) != 0) {
        print_error("  recorded: %s\n  now:      %s", recorded, now);
        print_error("  if this change of meaning is wanted: MARQ_BLESS=1\n");
    }
    assert_string_equal(now, recorded);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_move_is_valid),
        cmocka_unit_test(what_is_declared_holds),
        cmocka_unit_test(mirror_commutes_with_every_move),
        cmocka_unit_test(mirror_of_bodies_and_facings),
        cmocka_unit_test(every_term_can_be_entered),
        cmocka_unit_test(every_link_is_sound),
        cmocka_unit_test(every_end_with_every_link),
        cmocka_unit_test(the_signature_is_the_recorded_one),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
