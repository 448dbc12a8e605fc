/* test_parse.c - texts as people write them, and the tree they must give.
 *
 * The expected lines (support/parsedesk.h says how they are written) follow
 * from docs/notation.md and were written by hand. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>

#include <cmocka.h>

#include <stdio.h>
#include <time.h>

#include "parsedesk.h"
#include "testmem.h"

typedef struct row {
    const char *text;
    const char *line;
    const char *codes;
} row;

#define LIGHT_TWO                                                          \
    "title    Light two\nlevel    elementary\n"                           \
    "music    2/4, 92 counts a minute, 4 in\n"                            \
    "start    fifth, right front, croisé\n\n"                             \
    "1-2      glissade derrière, assemblé dessus\n"                       \
    "3-4      glissade derrière, assemblé dessus\n"                       \
    "5-6      échappé sauté, closing changed\n7        changement\n"      \
    "8        changement\nfinish   fifth, left front\n"
#define LIGHT_TWO_LINE                                                     \
    "title(Light two) level(elementary) "                                 \
    "music(2/4, 92 counts a minute, 4 in) start{fifth.right @croisé} "    \
    "1-2: glissade q:derrière, assemble q:dessus / "                      \
    "3-4: glissade q:derrière, assemble q:dessus / "                      \
    "5-6: echappe-saute q:changé / 7: changement / 8: changement "        \
    "finish{fifth.left tips.left}"

static const row rows[] = {
    /* ---- the clean copy, and its looser sisters ---- */
    {LIGHT_TWO, LIGHT_TWO_LINE, ""},
    {"", "", "R006"},
    {"glissade, assemblé", "glissade, assemble", ""},
    {"glissade assemble", "glissade, assemble", ""},
    {"GLISSADE, Assemblés", "glissade, assemble", ""},
    {"glissade\nassemblé\n", "glissade / assemble", ""},
    {"glissade\r\nassemblé\r\n", "glissade / assemble", ""},
    {"glissade\n\nassemblé", "glissade // assemble", ""},
    {"\n\nglissade\n", "glissade", ""},
    {"glissade; assemblé", "glissade // assemble", ""},
    {"glissade then assemblé and pas de chat",
     "glissade, assemble, pas-de-chat", ""},
    {"glissade, and then assemblé + changement -> soubresaut",
     "glissade, assemble, changement, soubresaut", ""},
    {"glissade - assemblé – changement",
     "glissade, assemble, changement", ""},
    {"glissade-assemblé", "glissade, assemble", ""},
    {"glissade & assemblé", "glissade, assemble", ""},
    {"Glissade. Assemblé.", "glissade, assemble", ""},
    {"glissade / assemblé", "glissade, assemble", ""},
    {"- glissade\n- assemblé", "glissade / assemble", ""},
    {"• glissade\n• assemblé", "glissade / assemble", ""},
    {"ass. dessus", "assemble q:dessus", ""},
    {"e\xcc\x81" "chappe\xcc\x81 saute\xcc\x81", "echappe-saute", ""},
    {"assemble'", "assemble", ""},
    {"  glissade  ,  assemblé  ", "glissade, assemble", ""},
    {"“glissade”", "glissade", ""},

    /* ---- headings ---- */
    {"title: Light two\nglissade", "title(Light two) glissade", ""},
    {"level advanced\nglissade", "level(advanced) glissade", ""},
    {"remark slow and soft\nglissade", "remark(slow and soft) glissade", ""},
    {"Petit allegro\nglissade", "title(Petit allegro) glissade", "R003"},
    {"Ternfield one:\nglissade", "title(Ternfield one) glissade", ""},
    {"Ternfield one\n\nglissade", "title(Ternfield one) glissade", "R003"},
    {"title a\ntitle b\nglissade", "title(a) remark(b) glissade", "R010"},
    {"title a\ntitle a\nglissade", "title(a) glissade", ""},
    {"start fifth\nstart second\nglissade",
     "start{fifth.right fifth.left} glissade", "R010"},
    {"start fifth\nstart 5th\nglissade",
     "start{fifth.right fifth.left} glissade", ""},
    {"glissade\nfinish fifth\nfinish second",
     "glissade finish{fifth.right fifth.left tips.right tips.left}", "R010"},
    {"right side:\nglissade\nleft side:\nglissade",
     "<right> glissade / <left> glissade", "R011"},
    {"Left leg: glissade", "<left> glissade", ""},
    {"finish with two changements", "2*changement", ""},
    {"start glissade", "glissade rem(start)", ""},

    {"finish in fifth left front", "finish{fifth.left tips.left}", "R006"},
    {"Tendus:\ntendu front", "title(Tendus) battement-tendu q:devant", ""},
    {"grand allegro: glissade, grand jeté",
     "title(grand allegro) glissade, grand-jete", ""},
    {"title Asemble study\nglissade", "title(Asemble study) glissade", ""},

    /* ---- starts ---- */
    {"start fifth, right front\nglissade", "start{fifth.right} glissade", ""},
    {"start: right foot front\nglissade", "start{fifth.right} glissade", ""},
    {"start left foot behind\nglissade", "start{fifth.right} glissade", ""},
    {"start left behind\nglissade", "start{fifth.right} glissade", ""},
    {"start second\nglissade", "start{second} glissade", ""},
    {"start in 2nd\nglissade", "start{second} glissade", ""},
    {"start on the left, right ankle behind\nballotté",
     "start{left:ankle_behind} ballotte", ""},
    {"start standing on R, left ankle front\nglissade",
     "start{right:ankle_front} glissade", ""},
    {"start right ankle behind\nballotté",
     "start{left:ankle_behind} ballotte", ""},
    {"start ankle behind\nballotté",
     "start{right:ankle_behind left:ankle_behind} ballotte", ""},
    {"start on the right\ncoupé", "start{#18} coupe", ""},
    {"start fourth, on the right\ncoupé",
     "start{right:à_terre_front right:à_terre_behind} coupe", ""},
    {"start fourth, right front\nglissade",
     "start{fourth.right} glissade", ""},
    {"start facing audience\nglissade", "start{@audience} glissade", ""},
    {"start fifth, facing front left corner\nglissade",
     "start{fifth.right fifth.left @front_left_corner} glissade", ""},
    {"start fifth, right front, corner 8\nglissade",
     "start{fifth.right @8} glissade", ""},
    {"start ~fifth, right front\nglissade",
     "start{~fifth.right} glissade", ""},
    {"start fifth, right front (arms low)\nglissade",
     "remark(arms low) start{fifth.right} glissade", ""},
    {"start fifth, right front, arms en bas\nglissade",
     "remark(arms en bas) start{fifth.right} glissade", ""},
    {"start fifth flurbing\nglissade",
     "remark(flurbing) start{fifth.right fifth.left} glissade", "R001"},
    {"start right\nglissade", "remark(right) glissade", "R001"},
    {"fifth, right front\nglissade", "start{fifth.right} glissade", ""},
    {"fifth\nright front\nglissade", "start{fifth.right} glissade", ""},
    {"fourth, left front, glissade", "start{fourth.left} glissade", ""},
    {"From 3rd: glissade", "start{third.right third.left} glissade", ""},
    {"Feet 4th\nglissade", "start{fourth.right fourth.left} glissade", ""},
    {"R foot front, assemblé", "start{fifth.right} assemble", ""},
    {"in right fifth, assemblé", "start{fifth.right} assemble", ""},
    {"5th, L in front: assemblé", "start{fifth.left} assemble", ""},
    {"5R, assemblé", "start{fifth.right} assemble", ""},
    {"5th L: assemblé", "start{fifth.left} assemble", ""},
    {"RFF, assemblé", "start{fifth.right} assemble", ""},
    {"LF front, assemblé", "start{fifth.left} assemble", ""},
    {"pied droit devant, assemblé", "start{fifth.right} assemble", ""},
    {"pied droit derrière, assemblé", "start{fifth.left} assemble", ""},
    {"right foot back, assemblé", "start{fifth.left} assemble", ""},
    {"croisé, glissade", "start{@croisé} glissade", ""},
    {"start fifth\ncroisé, glissade",
     "start{fifth.right fifth.left} @{@croisé}, glissade", ""},
    {"fifth, second, glissade",
     "start{fifth.right fifth.left} place to:second, glissade", ""},

    /* ---- counts ---- */
    {"1-2 glissade, 3-4 assemblé", "1-2: glissade / 3-4: assemble", ""},
    {"1-2 glissade 3-4 assemblé", "1-2: glissade / 3-4: assemble", ""},
    {"1–2: glissade", "1-2: glissade", ""},
    {"counts 1-4 glissade", "1-4: glissade", ""},
    {"1-4 2 rises", "1-4: 2*eleve", ""},
    {"1-4 Two rises. 5-8 Lower, hold.",
     "1-4: 2*eleve / 5-8: lower, hold", ""},
    {"5: close", "5: close", ""},
    {"7  changement", "7: changement", ""},
    {"7\tchangement", "7: changement", ""},
    {"7 changement", "7*changement", ""},
    {"1 glissade\n2 assemblé\n3 changement",
     "1: glissade / 2: assemble / 3: changement", ""},
    {"4 tendus\n2 dégagés", "4*battement-tendu / 2*battement-degage", ""},
    {"1-2 glissade\n3 assemblé", "1-2: glissade / 3: assemble", ""},
    {"1-2 glissade\n3 changements", "1-2: glissade / 3: changement", ""},
    {"1-2 glissade\n4 changements", "1-2: glissade / 4*changement", ""},
    {"&8 glissade", "15/2&: glissade", ""},
    {"& 8 glissade", "15/2&: glissade", ""},
    {"7& glissade", "7-15/2&: glissade", ""},
    {"1-2& glissade", "1-5/2&: glissade", ""},
    {"&1-2 glissade", "1/2-2: glissade", ""},
    {"1&2 glissade", "1-2: glissade", ""},
    {"1-2 glissade\n& assemblé", "1-2: glissade / 5/2&: assemble", ""},
    {"glissade 1-2, assemblé 3-4", "1-2: glissade / 3-4: assemble", ""},
    {"coupé, glissade 1-2", "coupe / 1-2: glissade", ""},
    {"glissade, &7 coupé", "glissade / 13/2&: coupe", ""},
    {"8-5 glissade", "8-5: glissade", ""},
    {"tendus 8-8-4-4", "battement-tendu rem(8-8-4-4)", "R001"},
    {"1. glissade\n2. assemblé",
     "(1), glissade / (2), assemble", "R001 R001"},
    {"5-8\nglissade", "5-8:  / glissade", ""},
    {"99999999999999 glissade\n1-2 coupé",
     "1000000000: glissade / 1-2: coupe", ""},

    /* ---- how many ---- */
    {"3 changements", "3*changement", ""},
    {"three changements", "3*changement", ""},
    {"trois changements", "3*changement", ""},
    {"two petits assemblés", "2*assemble q:petit", ""},
    {"glissade 2 assemblés", "glissade, 2*assemble", ""},
    {"quatre tendus", "4*battement-tendu", ""},
    {"quatre", "entrechat-quatre", ""},
    {"changement x3", "changement x3", ""},
    {"changement ×3", "changement x3", ""},
    {"changement x 3", "changement x3", ""},
    {"changement 3x", "changement x3", ""},
    {"changement 3 times", "changement x3", ""},
    {"changement twice", "changement x2", ""},
    {"4 x frappé", "4*battement-frappe", ""},
    {"changement, x3", "changement x3", ""},
    {"dégagé 3 side", "battement-degage q:à_la_seconde x3", ""},
    {"changement x3 twice", "changement rem(twice) x3", "R001"},
    {"changement x0", "changement rem(x0)", "R001"},
    {"changement x1024", "changement x1024", ""},
    {"changement x1025", "changement x1024", "R012"},
    {"balance, 5 6 7 8", "balance rem(5 6 7 8)", "R001"},

    /* ---- marks, row by row of docs/notation.md ---- */
    {"glissade dessus", "glissade q:dessus", ""},
    {"glissade over", "glissade q:dessus", ""},
    {"over glissade", "glissade q:dessus", ""},
    {"sissonnes fermees en avant", "sissonne q:fermé q:en_avant", ""},
    {"tendu right foot", "battement-tendu foot:right", ""},
    {"tendu back foot", "battement-tendu foot:back", ""},
    {"tendu with the free leg", "battement-tendu foot:free", ""},
    {"RF tendu", "battement-tendu foot:right", ""},
    {"tendu R foot", "battement-tendu foot:right", ""},
    {"tendu left leg", "battement-tendu foot:left", ""},
    {"tendu with the right", "battement-tendu foot:right", ""},
    {"tendu pied droit", "battement-tendu foot:right", ""},
    {"tendu de la jambe gauche", "battement-tendu foot:left", ""},
    {"arabesque on the right", "arabesque on:right", ""},
    {"arabesque on R", "arabesque on:right", ""},
    {"arabesque on the left foot", "arabesque on:left", ""},
    {"step on the back foot", "step on:back", ""},
    {"glissade right", "glissade side:right", ""},
    {"glissade R", "glissade side:right", ""},
    {"glissade rt", "glissade side:right", ""},
    {"glissade à droite", "glissade side:right", ""},
    {"glissade to the right", "glissade toward:right", ""},
    {"glissade travelling left", "glissade toward:left", ""},
    {"pirouette to the right", "pirouette side:right", ""},
    {"to the right glissade", "glissade toward:right", ""},
    {"pirouette from fourth", "pirouette from:fourth", ""},
    {"from 4th pirouette", "pirouette from:fourth", ""},
    {"sauté in second", "saute in:second", ""},
    {"sauté second", "saute in:second", ""},
    {"échappé to second", "echappe-saute to:second", ""},
    {"pirouette to fifth", "pirouette to:fifth", ""},
    {"pirouette ending in fifth", "pirouette to:fifth", ""},
    {"pirouette landing in fourth", "pirouette to:fourth", ""},
    {"pirouette, ending in fourth", "pirouette to:fourth", ""},
    {"pas de bourrée to ankle behind",
     "pas-de-bourree free:ankle_behind", ""},
    {"pirouette ending in attitude behind",
     "pirouette free:attitude_behind", ""},
    {"pirouette to attitude behind", "pirouette free:attitude_behind", ""},
    {"assemblé right front", "assemble front:right", ""},
    {"assemblé R in front", "assemble front:right", ""},
    {"assemblé, left behind", "assemble front:right", ""},
    {"assemblé RFF", "assemble front:right", ""},
    {"assemblé to 5R", "assemble to:fifth front:right", ""},
    {"assemblé in right fifth", "assemble front:right in:fifth", ""},
    {"assemblé closing front", "assemble closing:front", ""},
    {"assemblé closing back", "assemble closing:behind", ""},
    {"assemblé closes behind", "assemble closing:behind", ""},
    {"développé front, close", "developpe q:devant, close", ""},
    {"échappé sauté closing changed", "echappe-saute q:changé", ""},
    {"pirouette half", "pirouette amt:4", ""},
    {"half pirouette", "pirouette amt:4", ""},
    {"pirouette double", "pirouette amt:16", ""},
    {"glissade facing front left corner",
     "glissade face:front_left_corner", ""},
    {"glissade facing corner 8", "glissade num:8", ""},
    {"glissade to corner 8", "glissade num:8", ""},
    {"glissade to wall 3", "glissade num:3", ""},
    {"glissade facing right", "glissade face:right_wall", ""},
    {"glissade right front corner", "glissade face:front_right_corner", ""},
    {"tendu devant croisé", "battement-tendu q:devant align:croisé", ""},
    {"croisee tendu front", "battement-tendu align:croisé q:devant", ""},
    {"plié in 4 counts", "demi-plie len:4", ""},
    {"plié in four counts", "demi-plie len:4", ""},
    {"plié 4 counts", "demi-plie len:4", ""},
    {"balance for 4", "balance len:4", ""},
    {"hold 4", "hold len:4", ""},
    {"glissade (soft arms)", "glissade rem(soft arms)", ""},
    {"(soft arms) glissade", "glissade rem(soft arms)", ""},
    {"glissade slowly right", "glissade rem(slowly) side:right", ""},
    {"glissade ~derrière", "glissade ~q:derrière", ""},
    {"glissade ~to the right ~right foot",
     "glissade ~toward:right ~foot:right", ""},

    /* ---- one word, several senses ---- */
    {"tendu second", "battement-tendu q:à_la_seconde", ""},
    {"tendu to 2nd", "battement-tendu q:à_la_seconde", ""},
    {"échappé sauté", "echappe-saute", ""},
    {"sissonne tombée", "sissonne q:tombé", ""},
    {"glissade tombé", "glissade, tombe", ""},
    {"passé, coupé, retiré", "passe, coupe, retire", ""},
    {"relevé, passé", "releve, passe", ""},
    {"balance, balancé right", "balance, balance-waltz side:right", ""},
    {"tombe pdb", "tombe-pas-de-bourree", ""},
    {"front foot tendu front", "battement-tendu foot:front q:devant", ""},
    {"right front, glissade", "start{fifth.right} glissade", ""},
    {"glissade into assemblé", "glissade, assemble", ""},
    {"pirouette into attitude", "pirouette free:attitude", ""},

    /* ---- items without a step ---- */
    {"glissade, to fourth, assemblé",
     "glissade, place to:fourth, assemble", ""},
    {"glissade, fifth, right front",
     "glissade, place to:fifth front:right", ""},
    {"glissade, croisé, assemblé",
     "glissade, @{@croisé}, assemble", ""},
    {"glissade, facing front left corner, croisé",
     "glissade, @{@front_left_corner @croisé}", ""},
    {"glissade, to corner 2, assemblé", "glissade, @{@2}, assemble", ""},
    {"glissade, now fifth, right front, assemblé",
     "glissade, now{fifth.right tips.right}, assemble", ""},
    {"now second, facing audience", "now{second @audience}", "R006"},
    {"royale, left is behind now", "royale, now{#16}", ""},
    {"royale - by now your left should be behind",
     "royale, now{#16}", ""},
    {"royale now fifth, left front",
     "royale, now{fifth.left tips.left}", ""},
    {"glissade, from second, assemblé",
     "glissade, now{second}, assemble", ""},
    {"tendu front, side, back",
     "battement-tendu q:devant, battement-tendu q:à_la_seconde, "
     "battement-tendu q:derrière",
     "R003 R003"},
    {"4 tendus front, 2 side",
     "4*battement-tendu q:devant, 2*battement-tendu q:à_la_seconde",
     "R003"},
    {"tendu\n2 front 2 side 2 back",
     "battement-tendu / 2*battement-tendu q:devant, "
     "2*battement-tendu q:à_la_seconde, 2*battement-tendu q:derrière",
     "R003 R003 R003"},
    {"jeté over right, left",
     "jete q:dessus side:right, jete side:left q:dessus", "R003"},
    {"glissade, derrière", "glissade q:derrière", ""},
    {"glissade, (soft)", "glissade rem(soft)", ""},
    {"(soft)\nglissade", "(soft) / glissade", ""},
    {"glissade, slowly, assemblé", "glissade rem(slowly), assemble", ""},

    /* ---- operators are no feet ---- */
    {"glissade, repeat", "glissade, !repeat", "R009"},
    {"glissade, repeat other side", "glissade, !other", ""},
    {"glissade, repeat to the left", "glissade, !other", ""},
    {"glissade, left side", "glissade, !other", ""},
    {"glissade, other side", "glissade, !other", ""},
    {"glissade, reverse", "glissade, !reverse", "R009"},
    {"tendu en croix", "battement-tendu, !en-croix", "R009"},
    {"glissade, alternate sides", "glissade, !alternate", "R009"},
    {"glissade, one side only", "glissade, !one-side", ""},
    {"glissade, unsquare", "glissade, !unsquare", ""},
    {"glissade, repeat x3", "glissade, !repeat x3", "R009"},

    /* ---- what nobody knows ---- */
    {"glissade, flurb, assemblé", "glissade, ?flurb, assemble", "R002"},
    {"glissade, flurb right, assemblé",
     "glissade, ?flurb side:right, assemble", "R002"},
    {"glissade flurb, assemblé", "glissade rem(flurb), assemble", "R001"},
    {"glissade with hands to second, assemblé",
     "glissade rem(hands to second), assemble", "R001"},
    {"glissade with soft arms, assemblé",
     "glissade rem(soft arms), assemble", ""},
    {"glissad derrière", "glissade q:derrière", ""},
    {"asemble dessus", "assemble q:dessus", "R003"},
    {"assemblé desus", "assemble q:dessus", "R003"},
    {"pas de bouree dessous", "pas-de-bourree q:dessous", "R003"},
    {"grand batement front", "grand-battement q:devant", "R003"},
    {"glissade, desus, assemblé", "glissade, ?desus, assemble", "R002"},
    {"tendu, fondu", "battement-tendu, battement-fondu", ""},
    {"glissade, ..., assemblé", "glissade, ..., assemble", "R008"},
    {"glissade… assemblé", "glissade, ..., assemble", "R008"},
    {"glissade, then I forget", "glissade, ...", "R008"},
    {"glissade (soft", "glissade rem(soft)", "R005"},
    {"glissade (soft\nassemblé", "glissade rem(soft) / assemble", "R005"},
    {"glissade (soft (and low)) assemblé",
     "glissade rem(soft (and low)), assemble", ""},
    {"glissade (soft\nand low) assemblé",
     "glissade rem(soft\nand low), assemble", ""},
    {"glissade ()", "glissade", ""},
    {"glissade ) assemblé", "glissade, assemble", ""},
    {"flurb (really), glissade", "?flurb rem(really), glissade", "R002"},
    {"please (really)", "(please) rem(really)", "R006"},
};

/* ---- running the table ---- */

static int open_desk(void **state) {
    *state = parsedesk_new(NULL);
    return *state ? 0 : -1;
}

static int close_desk(void **state) {
    parsedesk_free(*state);
    return 0;
}

static bool reads_as(parsedesk *desk, const char *text, size_t length,
                     const char *line, const char *codes) {
    const char *got, *found;
    if (parsedesk_read(desk, text, length) != MARQ_OK) {
        printf("not read: %s\n", text);
        return false;
    }
    got = parsedesk_line(desk);
    found = parsedesk_codes(desk);
    if (strcmp(got, line) || strcmp(found, codes)) {
        printf("text      %.60s\nexpected  %s [%s]\nread as   %s [%s]\n", text,
               line, codes, got, found);
        return false;
    }
    return true;
}

static void every_row_reads_as_written(void **state) {
    size_t wrong = 0, count = sizeof rows / sizeof rows[0];
    assert_true(count >= 120);
    for (size_t i = 0; i < count; i++) {
        wrong += !reads_as(*state, rows[i].text, strlen(rows[i].text),
                           rows[i].line, rows[i].codes);
    }
    printf("%zu texts read\n", count);
    assert_int_equal(wrong, 0);
}

/* The end of the last line must not matter, nor blanks before it. */
static void line_ends_change_nothing(void **state) {
    size_t wrong = 0;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        char text[1024];
        size_t length = 0;
        const char *s = rows[i].text;
        if (*s == '\0' || strchr(s, '(')) {
            continue; /* a remark keeps its line end as it was written */
        }
        for (; *s; s++) {
            if (*s == '\n' && (s == rows[i].text || s[-1] != '\r')) {
                text[length++] = '\r';
            }
            text[length++] = *s;
        }
        memcpy(text + length, "\r\n", 3);
        wrong += !reads_as(*state, text, length + 2, rows[i].line,
                           rows[i].codes);
    }
    assert_int_equal(wrong, 0);
}

/* ---- spans ---- */

static marq_span span_of(const char *text, const char *part) {
    const char *at = strstr(text, part);
    assert_non_null(at);
    return (marq_span){(uint32_t)(at - text),
                       (uint32_t)(at - text + (ptrdiff_t)strlen(part))};
}

static void assert_span(marq_span got, const char *text, const char *part) {
    marq_span want = span_of(text, part);
    if (got.from != want.from || got.to != want.to) {
        printf("span [%u,%u) for %s, wanted [%u,%u)\n", got.from, got.to, part,
               want.from, want.to);
    }
    assert_int_equal(got.from, want.from);
    assert_int_equal(got.to, want.to);
}

static const marq_item *item_at(const parsedesk *desk, size_t i) {
    assert_in_range(i, 0, desk->tree.items.count - 1);
    return MARQ_AT(&desk->tree.items, marq_item, i);
}

static const marq_mark *mark_at(const parsedesk *desk, const marq_item *item,
                                uint32_t i) {
    assert_in_range(i, 0, item->mark_count - 1);
    return MARQ_AT(&desk->tree.marks, marq_mark, item->first_mark + i);
}

static void spans_are_of_the_users_bytes(void **state) {
    parsedesk *desk = *state;
    /* é twice as two code points, once as one; a long dash; œ before all. */
    const char *text = "title œuvre\r\n1–2  Échappe\xcc\x81 saute\xcc\x81 "
                       "to the right ×3, « flürb », glissade derrière\r\n";
    const marq_item *item;
    const marq_line *line;
    assert_int_equal(parsedesk_read(desk, text, strlen(text)), MARQ_OK);
    assert_string_equal(
        parsedesk_line(desk),
        "title(œuvre) 1-2: echappe-saute toward:right x3, ?flürb, "
        "glissade q:derrière");
    line = MARQ_AT(&desk->tree.lines, marq_line, 0);
    assert_span(line->count_span, text, "1–2");
    assert_span(line->span, text,
                "1–2  Échappe\xcc\x81 saute\xcc\x81 to the right ×3, « flürb "
                "», glissade derrière");
    item = item_at(desk, 0);
    assert_span(item->word, text, "Échappe\xcc\x81 saute\xcc\x81");
    assert_span(item->span, text,
                "Échappe\xcc\x81 saute\xcc\x81 to the right ×3");
    assert_span(item->times_span, text, "×3");
    assert_span(mark_at(desk, item, 0)->span, text, "to the right");
    assert_span(item_at(desk, 1)->word, text, "flürb");
    item = item_at(desk, 2);
    assert_span(item->word, text, "glissade");
    assert_span(mark_at(desk, item, 0)->span, text, "derrière");
    assert_span(item->span, text, "glissade derrière");
    assert_span(MARQ_AT(&desk->tree.headings, marq_heading_line, 0)->value,
                text, "œuvre");
    assert_span(MARQ_AT(&desk->tree.headings, marq_heading_line, 0)->span,
                text, "title œuvre");
}

static void stands_and_findings_have_spans(void **state) {
    parsedesk *desk = *state;
    const char *text = "start fifth, right front, croisé\nglissade, asemble, "
                       "grimpel over\nfinish second";
    const marq_finding *f;
    assert_int_equal(parsedesk_read(desk, text, strlen(text)), MARQ_OK);
    assert_string_equal(parsedesk_codes(desk), "R003 R002");
    assert_span(desk->tree.start.span, text, "fifth, right front, croisé");
    assert_span(desk->tree.start.facing_span, text, "croisé");
    assert_span(desk->tree.finish.span, text, "second");
    f = MARQ_AT(&desk->findings.list, marq_finding, 0);
    assert_span(f->span, text, "asemble");
    assert_string_equal(f->headline, "asemble read as assemblé");
    assert_int_equal(f->fix_count, 1);
    assert_string_equal(f->fixes[0].text, "assemblé");
    assert_span(f->fixes[0].span, text, "asemble");
    assert_span(MARQ_AT(&desk->findings.list, marq_finding, 1)->span, text,
                "grimpel");
}

/* A step that is near several terms is not taken for any; they are named. */
static void near_terms_are_offered(void **state) {
    parsedesk *desk = *state;
    const char *text = "glissade, ballottonne, assemblé";
    const marq_finding *f;
    assert_int_equal(parsedesk_read(desk, text, strlen(text)), MARQ_OK);
    assert_string_equal(parsedesk_line(desk),
                        "glissade, ?ballottonne, assemble");
    assert_string_equal(parsedesk_codes(desk), "R002");
    f = MARQ_AT(&desk->findings.list, marq_finding, 0);
    assert_in_range(f->fix_count, 2, 3);
    for (size_t i = 0; i < f->fix_count; i++) {
        assert_span(f->fixes[i].span, text, "ballottonne");
        assert_int_equal(f->fixes[i].confidence, MARQ_ONE_OF_SEVERAL);
    }
}

/* ---- flags and music ---- */

static void the_tree_says_what_was_declared(void **state) {
    parsedesk *desk = *state;
    assert_int_equal(parsedesk_read(desk, LIGHT_TWO, strlen(LIGHT_TWO)),
                     MARQ_OK);
    assert_int_equal(desk->tree.level, MARQ_ELEMENTARY + 1);
    assert_true(desk->tree.music.has_metre && desk->tree.music.has_tempo &&
                desk->tree.music.has_in);
    assert_int_equal(desk->tree.music.beats, 2);
    assert_int_equal(desk->tree.music.unit, 4);
    assert_int_equal(desk->tree.music.tempo, 92);
    assert_int_equal(desk->tree.music.in, 4);
    assert_false(desk->tree.one_side || desk->tree.unsquare ||
                 desk->tree.unfinished);
    const char *declared = "glissade, one side only, unsquare (";
    assert_int_equal(parsedesk_read(desk, declared, strlen(declared)),
                     MARQ_OK);
    assert_true(desk->tree.one_side && desk->tree.unsquare &&
                desk->tree.unfinished);
    const char *plain = "music 120 bpm\nglissade";
    assert_int_equal(parsedesk_read(desk, plain, strlen(plain)), MARQ_OK);
    assert_int_equal(desk->tree.music.tempo, 120);
    assert_false(desk->tree.music.has_metre || desk->tree.music.has_in);
}

/* ---- bytes that are no text ---- */

static void broken_bytes_are_passed_over(void **state) {
    static const char text[] = "glis\0sade \xff\xfe, assembl\xc3 dessus\x1b[2J";
    parsedesk *desk = *state;
    const marq_finding *f;
    assert_int_equal(parsedesk_read(desk, text, sizeof text - 1), MARQ_OK);
    f = NULL;
    for (size_t i = 0; i < desk->findings.list.count; i++) {
        const marq_finding *one =
            MARQ_AT(&desk->findings.list, marq_finding, i);
        if (!strcmp(one->code, "R004")) {
            assert_null(f); /* once */
            f = one;
        }
    }
    assert_non_null(f);
    /* NUL, FF, FE, the lone C3, ESC */
    assert_string_equal(f->headline,
                        "5 bytes that are not text were passed over");
    assert_int_equal(f->span.from, 4);
    assert_int_equal(f->span.to, 5);
    assert_true(reads_as(desk, "glissade \xff, assembl\xc3\xa9", 21,
                         "glissade, assemble", "R004"));
    assert_true(reads_as(desk, "glissade\0, assemble", 19,
                         "glissade, assemble", "R004"));
}

/* ---- limits ---- */

static void words_are_limited(void **state) {
    parsedesk *desk = *state;
    size_t kept = desk->vocab->limits.words;
    desk->vocab->limits.words = 3;
    assert_int_equal(parsedesk_read(desk, "glissade pas de", 15), MARQ_OK);
    assert_int_equal(parsedesk_read(desk, "glissade pas de chat", 20),
                     MARQ_LIMIT);
    desk->vocab->limits.words = kept;
}

/* ---- length ---- */

static double seconds(void) {
    struct timespec now;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &now);
    return (double)now.tv_sec + (double)now.tv_nsec / 1e9;
}

/* Twice the text must not cost much more than twice the time; a square would
 * show as four.  A busy machine may spoil a comparison, not all of them. */
static double read_time(parsedesk *desk, const char *text, size_t length) {
    double before = seconds();
    assert_int_equal(parsedesk_read(desk, text, length), MARQ_OK);
    return seconds() - before;
}

static bool is_linear(parsedesk *desk, const char *text, size_t length) {
    for (int i = 0; i < 8; i++) {
        double half = read_time(desk, text, length / 2);
        double whole = read_time(desk, text, length);
        if (whole <= 3 * half + 0.002) {
            return true;
        }
        printf("%.16s...: %.4f s, twice as long %.4f s\n", text, half, whole);
    }
    return false;
}

static void time_grows_with_the_text(void **state) {
    static const char *const patterns[] = {
        "glissade derrière, ", "glissade ",     "(",       ") (",
        "3 ",                  "1-2 ",          "1 - ",    "& ",
        "the ",                "arms to the ",  "right ",  "croisé,back,",
        "x ",                  "in ",           "...",     "~",
        "qwrtz ",              "4 tendus 2 ",   "fifth,",  "now left ",
        "glissade\n\n",        "repeat other ", "-",       "\xff",
    };
    parsedesk *desk = *state;
    const size_t most = (size_t)1 << 17;
    char *text = malloc(most);
    bool linear = true;
    assert_non_null(text);
    for (size_t i = 0; i < sizeof patterns / sizeof patterns[0]; i++) {
        size_t length = strlen(patterns[i]);
        for (size_t at = 0; at < most; at++) {
            text[at] = patterns[i][at % length];
        }
        linear = is_linear(desk, text, most) && linear;
    }
    free(text);
    assert_true(linear);
}

/* Noise of 1 MiB: read, nothing lost of the tree's own invariants. */
static void noise_is_read(void **state) {
    parsedesk *desk = *state;
    const size_t length = (size_t)1 << 20;
    char *text = malloc(length);
    uint32_t seed = 20240607;
    assert_non_null(text);
    for (int kind = 0; kind < 3; kind++) {
        static const char some[] = "glisade asmbr x3&-,;()1 2 \n~.rl ";
        for (size_t i = 0; i < length; i++) {
            seed = seed * 1664525u + 1013904223u;
            text[i] = kind == 0   ? (char)(seed >> 24)
                      : kind == 1 ? (char)('a' + (seed >> 24) % 26)
                                  : some[(seed >> 24) % (sizeof some - 1)];
        }
        assert_int_equal(parsedesk_read(desk, text, length), MARQ_OK);
        const marq_tree *tree = &desk->tree;
        uint32_t items = 0, marks = 0;
        for (size_t i = 0; i < tree->lines.count; i++) {
            const marq_line *line = MARQ_AT(&tree->lines, marq_line, i);
            assert_int_equal(line->first_item, items);
            items += line->item_count;
            assert_true(line->span.from <= line->span.to);
            assert_true(line->span.to <= length);
        }
        assert_int_equal(items, tree->items.count);
        for (size_t i = 0; i < tree->items.count; i++) {
            const marq_item *item = MARQ_AT(&tree->items, marq_item, i);
            assert_int_equal(item->first_mark, marks);
            marks += item->mark_count;
            assert_true(item->span.from <= item->span.to);
            assert_true(item->span.to <= length);
            assert_in_range(item->times, 1, desk->vocab->limits.times);
        }
        assert_int_equal(marks, tree->marks.count);
    }
    free(text);
}

/* ---- memory ---- */

static marq_status read_once(testmem *mem, void *ctx) {
    static const char text[] =
        LIGHT_TWO "\nnow fifth, right front, jeté over right, left, flurb,\n"
                  "asemble (soft, to corner 8, x2000, ..., repeat\n"
                  "right side:\nglissade ~derrière \xff\n";
    parsedesk *desk = ctx;
    marq_arena arena;
    marq_source source;
    marq_tree tree;
    marq_findings findings;
    marq_status s;
    marq_config config = testmem_config(mem);
    marq_arena_init(&arena, marq_mem_of(&config));
    marq_findings_init(&findings, &arena, 100);
    s = marq_source_init(&source, &arena, NULL, text, sizeof text - 1);
    if (s == MARQ_OK) {
        s = marq_parse(&tree, &arena, desk->vocab, &source, &findings);
    }
    marq_arena_free(&arena);
    return s;
}

static void memory_may_end_anywhere(void **state) {
    testmem mem;
    size_t asked;
    testmem_init(&mem);
    asked = testmem_each_failure(read_once, *state);
    assert_true(asked > 5);
    assert_true(reads_as(*state, LIGHT_TWO, strlen(LIGHT_TWO), LIGHT_TWO_LINE,
                         ""));
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_row_reads_as_written),
        cmocka_unit_test(line_ends_change_nothing),
        cmocka_unit_test(spans_are_of_the_users_bytes),
        cmocka_unit_test(stands_and_findings_have_spans),
        cmocka_unit_test(near_terms_are_offered),
        cmocka_unit_test(the_tree_says_what_was_declared),
        cmocka_unit_test(broken_bytes_are_passed_over),
        cmocka_unit_test(words_are_limited),
        cmocka_unit_test(time_grows_with_the_text),
        cmocka_unit_test(noise_is_read),
        cmocka_unit_test(memory_may_end_anywhere),
    };
    return cmocka_run_group_tests(tests, open_desk, close_desk);
}
