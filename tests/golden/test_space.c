/* test_space.c - the lines of shared/checks/space.tsv against the alignment
 * and facing functions of lib/state.h.  Format: shared/README.md. */
#include "golden.h"

#include "state.h"

#define TABLE "shared/checks/space.tsv"

static bool read_alignment(const char *word, marq_alignment *out) {
    static const struct {
        const char *word;
        marq_alignment alignment;
    } known[] = {{"en face", MARQ_EN_FACE}, {"croisé", MARQ_CROISE},
                 {"effacé", MARQ_EFFACE},   {"écarté", MARQ_ECARTE},
                 {"profil", MARQ_PROFIL},   {"dos", MARQ_DOS}};
    size_t i;

    for (i = 0; i < sizeof known / sizeof known[0]; i++) {
        if (strcmp(word, known[i].word) == 0) {
            *out = known[i].alignment;
            return true;
        }
    }
    return false;
}

/* "leg R devant": which leg, where, and how far the toe is from the facing. */
static bool read_leg(const char *words, marq_side *leg, marq_where *where,
                     int *toe) {
    *leg = words[0] == 'R' ? MARQ_SIDE_RIGHT : MARQ_SIDE_LEFT;
    if (words[0] != 'R' && words[0] != 'L') {
        return false;
    }
    if (strcmp(words + 1, " devant") == 0) {
        *where = MARQ_DEVANT;
        *toe = 0;
    } else if (strcmp(words + 1, " side") == 0) {
        *where = MARQ_SIDE;
        *toe = words[0] == 'R' ? 2 : -2;
    } else if (strcmp(words + 1, " derrière") == 0) {
        *where = MARQ_DERRIERE;
        *toe = 4;
    } else {
        return false;
    }
    return true;
}

static bool run_leg(marq_facing facing, const char *words,
                    marq_alignment wanted, const char *toe_wanted) {
    static const marq_shape shapes[] = {MARQ_A_TERRE, MARQ_LOW, MARQ_HIGH};
    marq_side leg;
    marq_where where;
    int toe;
    size_t i;

    if (!read_leg(words, &leg, &where, &toe)) {
        return false;
    }
    for (i = 0; i < sizeof shapes / sizeof shapes[0]; i++) {
        marq_body body =
            marq_body_one(marq_side_other(leg), shapes[i], where);
        if (marq_alignment_of(body, facing) != wanted
            || !(((unsigned)marq_alignment_facings(wanted, body) >> facing) & 1u)) {
            return false;
        }
    }
    return (((unsigned)marq_alignment_leg(wanted, leg, where) >> facing) & 1u) != 0
           && marq_facing_turn(facing, toe) == golden_number(toe_wanted);
}

static bool run_feet(marq_facing facing, const char *words,
                     marq_alignment wanted) {
    static const marq_position closed[] = {MARQ_THIRD, MARQ_FOURTH,
                                           MARQ_FIFTH, MARQ_TIPS};
    marq_side front;
    size_t i;

    if (strcmp(words, "R front") != 0 && strcmp(words, "L front") != 0) {
        return false;
    }
    front = words[0] == 'R' ? MARQ_SIDE_RIGHT : MARQ_SIDE_LEFT;
    for (i = 0; i < sizeof closed / sizeof closed[0]; i++) {
        marq_body body = marq_body_two(closed[i], front);
        if (marq_alignment_of(body, facing) != wanted
            || !(((unsigned)marq_alignment_facings(wanted, body) >> facing) & 1u)) {
            return false;
        }
    }
    return true;
}

static bool run_line(char *const *column) {
    size_t number = golden_number(column[1]);
    marq_facing facing = (marq_facing)number;
    marq_alignment wanted = MARQ_ALIGNMENTS;

    if (number >= MARQ_FACINGS) {
        return false;
    }
    if (strcmp(column[2], "mirror") == 0) {
        return marq_facing_mirror(facing) == golden_number(column[4]);
    }
    if (!read_alignment(column[3], &wanted)) {
        return false;
    }
    if (golden_starts(column[2], "leg ")) {
        return run_leg(facing, column[2] + strlen("leg "), wanted, column[4]);
    }
    return golden_starts(column[2], "feet ")
           && run_feet(facing, column[2] + strlen("feet "), wanted);
}

static void test_space_lines(void **state) {
    size_t length = 0, run = 0, failures = 0;
    char *table = golden_read(TABLE, &length);
    char *at = table, *line;

    (void)state;
    assert_non_null(table);
    while ((line = golden_line(&at)) != NULL) {
        char *column[GOLDEN_COLUMNS] = {NULL};
        if (*line == '\0' || *line == '#') {
            continue;
        }
        run++;
        if (golden_cut(line, column) != 6 || !run_line(column)) {
            fprintf(stderr, "%s: facing %s, %s: wanted %s, toe or mirror %s\n",
                    column[0], column[1] ? column[1] : "?",
                    column[2] ? column[2] : "?", column[3] ? column[3] : "?",
                    column[4] ? column[4] : "?");
            failures++;
        }
    }
    free(table);
    printf("%s: %zu lines run, %zu failed\n", TABLE, run, failures);
    assert_true(run >= 60);
    assert_int_equal(failures, 0);
}

int main(void) {
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_space_lines)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
