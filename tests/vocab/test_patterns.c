/* test_patterns.c - each pattern of notation.vocab is needed: without it, a
 * text that is named here is read otherwise.  And all of them are here. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>

#include <cmocka.h>

#include <stdio.h>

#include "parsedesk.h"

typedef struct row {
    const char *pattern; /* its beginning, enough to know it by */
    const char *text;
    const char *line; /* how it is read with it */
} row;

static const row rows[] = {
    {"(?:& *)?(?<!\\d-)(?<from>", "1-2 glissade", "1-2: glissade"},
    {"(?<from>\\d+) *& *(?<to>", "1&2 glissade", "1-2: glissade"},
    {"(?<from>\\d+)(?![a-z0-9])", "7: glissade", "7: glissade"},
    {"(?<and>&) *(?<from>", "&8 glissade", "15/2&: glissade"},
    {"(?<from>\\d+) *(?<and>&)", "7& glissade",
     "7-15/2&: glissade"},
    {"x *(?<n>", "changement x3", "changement x3"},
    {"(?<n>\\d+) *x", "changement 3x", "changement x3"},
    {"(?<n>\\d+) +(?:times?", "changement 3 times",
     "changement x3"},
    {"(?<n>\\d+)(?![a-z0-9])", "3 changements", "3*changement"},
    {"(?:with +)?(?:(?:the", "tendu RF",
     "battement-tendu foot:right"},
    {"with +(?:(?:the", "tendu with the right",
     "battement-tendu foot:right"},
    {"(?:pied|jambe) +", "tendu jambe gauche",
     "battement-tendu foot:left"},
    {"(?:(?<right>r)|(?<left>l))ff", "LFF, assemblé",
     "start{fifth.left} assemble"},
    {"(?:(?<right>right|rt|r)|(?<left>left|lt|l))"
     "(?:[ -]*(?:foot|leg|ft|f))? +(?:is +)?(?:in +)?(?:front",
     "assemblé R front", "assemble front:right"},
    {"(?:(?<right>right|rt|r)|(?<left>left|lt|l))"
     "(?:[ -]*(?:foot|leg|ft|f))? +(?:is +)?(?<back>behind",
     "assemblé, left behind", "assemble front:right"},
    {"(?:(?<right>right|rt|r)|(?<left>left|lt|l))"
     "[ -]*(?:foot|leg|ft|f) +(?:is +)?(?<back>back)",
     "assemblé, left foot back", "assemble front:right"},
    {"pied +(?:", "assemblé, pied gauche derrière",
     "assemble front:right"},
    {"(?<position>[345])", "5R, assemblé",
     "start{fifth.right} assemble"},
    {"(?:corner|coin|wall|mur) +", "glissade to corner 8",
     "glissade num:8"},
    {"(?:in|for|over|taking) +", "plié in four counts",
     "demi-plie len:4"},
    {"(?<n>\\d+) +(?:counts?|cts?|temps(?!", "plié 4 counts",
     "demi-plie len:4"},
    {"for +(?<n>", "plié for 4", "demi-plie len:4"},
    {"(?<n>\\d+) +(?:counts?|cts?|beats?) +(?:a|per) +minute",
     "music 92 counts a minute\nglissade", "tempo 92"},
    {"(?<n>\\d+) *bpm", "music 120 bpm\nglissade", "tempo 120"},
    {"(?<n>\\d+) */ *(?<unit>", "music 3/4\nglissade",
     "metre 3/4"},
};
#define ROWS (sizeof rows / sizeof rows[0])

/* What music says is not in the line: a row that begins so asks for it. */
static bool is_read(parsedesk *desk, const row *r) {
    char music[64];
    if (parsedesk_read(desk, r->text, strlen(r->text)) != MARQ_OK) {
        return false;
    }
    if (!strncmp(r->line, "tempo", 5)) {
        (void)snprintf(music, sizeof music, "tempo %u",
                       (unsigned)desk->tree.music.tempo);
        return !strcmp(music, r->line);
    }
    if (!strncmp(r->line, "metre", 5)) {
        (void)snprintf(music, sizeof music, "metre %u/%u",
                       (unsigned)desk->tree.music.beats,
                       (unsigned)desk->tree.music.unit);
        return !strcmp(music, r->line);
    }
    return !strcmp(parsedesk_line(desk), r->line);
}

static void each_is_read_with_all_patterns(void **state) {
    parsedesk *desk = parsedesk_new(NULL);
    size_t wrong = 0;
    (void)state;
    assert_non_null(desk);
    for (size_t i = 0; i < ROWS; i++) {
        if (!is_read(desk, &rows[i])) {
            printf("%s read as %s\n", rows[i].text, parsedesk_line(desk));
            wrong++;
        }
    }
    parsedesk_free(desk);
    assert_int_equal(wrong, 0);
}

static void none_can_be_spared(void **state) {
    size_t spared = 0;
    (void)state;
    for (size_t i = 0; i < ROWS; i++) {
        parsedesk *desk = parsedesk_new(rows[i].pattern);
        if (!desk) {
            printf("not one pattern begins with %s\n", rows[i].pattern);
        }
        assert_non_null(desk);
        if (is_read(desk, &rows[i])) {
            printf("not needed for %s: %s\n", rows[i].text, rows[i].pattern);
            spared++;
        }
        parsedesk_free(desk);
    }
    assert_int_equal(spared, 0);
}

static void none_is_forgotten(void **state) {
    parsedesk *desk = parsedesk_new(NULL);
    (void)state;
    assert_non_null(desk);
    assert_int_equal(desk->data.notation_count, ROWS);
    parsedesk_free(desk);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_is_read_with_all_patterns),
        cmocka_unit_test(none_can_be_spared),
        cmocka_unit_test(none_is_forgotten),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
