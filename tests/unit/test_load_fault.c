/* test_load_fault.c - every other fault of a vocabulary text and its place. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "load_entry.h"
#include "loaddesk.h"

static void faults_of_form_have_their_places(void **state)
{
    loaddesk *d = *state;
    loaddesk_expect(d, &d->base, "", "1:1 V003 probe has no format\n");
    loaddesk_expect(d, &d->base, "# only a remark\n\n",
                  "1:1 V003 probe has no format\n");
    loaddesk_expect(d, &d->base, "format 2\nnothing known\n",
                  "1:8 V009 format 2 is not one this library reads\n");
    loaddesk_expect(d, &d->base, "\nfiller a\nformat 1\n",
                  "2:1 V003 probe has no format as its first entry\n"
                  "3:1 V004 format stands twice\n");
    loaddesk_expect(d, &d->base, "  stray\nformat 1\n",
                  "1:3 V001 not a field of a vocabulary: stray\n");
    loaddesk_expect(d, &d->base, "format 1\nsteps many\n",
                  "2:1 V001 not a field of a vocabulary: steps\n");
    loaddesk_expect(d, &d->base, "format 1\nfiller\n",
                  "2:1 V003 filler has no name\n");
    loaddesk_expect(d, &d->base, "format 1\nfiller a\n  writen an\n",
                  "3:3 V001 not a field of a vocabulary: writen\n");
    loaddesk_expect(d, &d->base, "format 1\nfiller a\n  written\n",
                  "3:3 V003 a has no written\n");
    loaddesk_expect(d, &d->base, "format 1\nfiller a\xff b\n",
                  "2:9 V001 not a field of a vocabulary: a byte that is not "
                  "text\n");
}

static void faults_of_terms_have_their_places(void **state)
{
    loaddesk *d = *state;
    loaddesk_expect(d, &d->base, "format 1\nterm probe\n",
                  "2:6 V003 probe has no id\n"
                  "2:6 V003 probe has no means\n"
                  "2:6 V003 probe has no family\n"
                  "2:6 V003 probe has no level\n"
                  "2:6 V003 probe has no side\n"
                  "2:6 V003 probe has no source\n"
                  "2:6 V003 probe has no variant\n");
    loaddesk_expect(
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
    loaddesk_expect(
        d, &d->base,
        LOADDESK_PROBE
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
    loaddesk *d = *state;
    loaddesk_expect(d, &d->base,
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
    loaddesk_expect(d, &d->base,
                  "format 1\nnumber four\n  value 4\nnumber Four\n"
                  "  value 5\nfiller .\n",
                  "4:1 V004 number Four stands twice\n"
                  "6:8 V001 not a field of a vocabulary: .\n");
}

static void faults_of_qualifiers_have_their_places(void **state)
{
    loaddesk *d = *state;
    loaddesk_expect(d, &d->base,
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
    loaddesk *d = *state;
    loaddesk_expect(d, &d->base,
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
    loaddesk_expect(d, &d->base,
                  "format 1\npattern count\n  match a\n  match a\n",
                  "4:9 V004 a stands twice\n");
    /* The words are pattern.h's; the place is the closing bracket. */
    const char *text = "format 1\npattern count\n  match 12)3\n";
    d->why->list.count = 0;
    assert_int_equal(loaddesk_load(d, &d->base, text), MARQ_VOCABULARY);
    assert_int_equal(d->why->list.count, 1);
    const marq_finding *f = MARQ_AT(&d->why->list, marq_finding, 0);
    assert_string_equal(f->code, "V008");
    assert_int_equal(f->span.from, strchr(text, ')') - text);
    assert_int_equal(f->span.to, strchr(text, ')') - text + 1);
}

static void without_a_base_every_price_must_be_there(void **state)
{
    loaddesk *d = *state;
    d->why->list.count = 0;
    assert_int_equal(
        loaddesk_load(d, NULL, "format 1\nprice bonus\n  value 1\n"),
        MARQ_VOCABULARY);
    assert_int_equal(d->why->list.count, MARQ_PRICES - 1);
    assert_string_equal(
        MARQ_AT(&d->why->list, marq_finding, 0)->headline,
        "the vocabulary has no price quiet link");
}

static void too_much_is_a_fault(void **state)
{
    loaddesk *d = *state;
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
    assert_int_equal(loaddesk_load(d, &d->base, full), MARQ_OK);
    assert_int_equal(d->data.qualifier_count, MARQ_QUALIFIERS_MOST);
    marq_build_text(&b, "qualifier beyond\n  means one too many\n");
    const char *over = marq_build_done(&b, NULL);
    loaddesk_expect(d, &d->base, over,
                  "252:11 V011 more qualifiers than a vocabulary holds\n");
}

/* `count` times the parts with a number between them, after `head`. */
static const char *many(loaddesk *d, const char *head, const char *before,
                        const char *middle, const char *after, size_t count)
{
    marq_build b;
    marq_build_init(&b, &d->arena);
    marq_build_text(&b, head);
    for (size_t i = 0; i < count; i++) {
        marq_build_text(&b, before);
        marq_build_number(&b, (int64_t)i);
        marq_build_text(&b, middle);
        marq_build_number(&b, (int64_t)i);
        marq_build_text(&b, after);
    }
    return marq_build_done(&b, NULL);
}

#define FIELDS                                                         \
    "\n  means x\n  family basics\n  level beginner\n  side foot\n"     \
    "  source memory\n"
#define LINE(from, price)                                              \
    "  variant -: from " from ", both feet work, ends as it began; "   \
    "price " price "\n"
#define FIVE                                                           \
    LINE("first", "0") LINE("second", "0") LINE("third", "0")          \
    LINE("fourth", "0") LINE("fifth", "0")

/* Each kind full to the last, then one more.  The small vocabulary below has
 * two terms with three variants, one free word, two patterns of times that
 * give way and one of counts. */
static void every_table_has_its_limit(void **state)
{
    static const struct {
        const char *head, *before, *middle, *after;
        size_t room;
        const char *what;
    } kinds[] = {
        {"format 1\n", "free f", "\n  place low\n  note ", "\n",
         MARQ_FREE_WORDS_MOST - 1, "places of a free leg"},
        {"format 1\npattern times\n", "  match a", "b", "\n",
         MARQ_NOTATION_LINES_MOST - 1, "patterns"},
        {"format 1\n", "term t", "\n  id t", FIELDS LINE("first", "0"),
         MARQ_TERMS_MOST - 2, "terms"},
        /* 3 below, 5 in front, then eight a term. */
        {"format 1\nterm five\n  id five" FIELDS FIVE, "term t",
         "\n  id t",
         FIELDS FIVE LINE("parallel", "0") LINE("tips", "0")
             LINE("one foot", "0"),
         (MARQ_VARIANTS_MOST - 8) / 8, "variants"},
    };
    loaddesk *d = *state;
    assert_int_equal(MARQ_VARIANTS_MOST % 8, 0);
    for (size_t i = 0; i < sizeof kinds / sizeof *kinds; i++) {
        char want[80];
        d->why->list.count = 0;
        for (size_t more = 0; more < 2; more++) {
            const char *text =
                many(d, kinds[i].head, kinds[i].before, kinds[i].middle,
                     kinds[i].after, kinds[i].room + more);
            assert_int_equal(loaddesk_load(d, &d->base, text),
                             more ? MARQ_VOCABULARY : MARQ_OK);
        }
        snprintf(want, sizeof want, "more %s than a vocabulary holds",
                 kinds[i].what);
        const marq_finding *f = MARQ_AT(&d->why->list, marq_finding, 0);
        assert_string_equal(f->headline, want);
        assert_string_equal(f->code, "V011");
    }
}

static void form_of_too_many_letters_is_a_fault(void **state)
{
    loaddesk *d = *state;
    char text[200] = "format 1\nfiller ";
    size_t start = strlen(text);
    memset(text + start, 'a', MARQ_FORM_BYTES_MOST);
    assert_int_equal(loaddesk_load(d, &d->base, text), MARQ_OK);
    text[start + MARQ_FORM_BYTES_MOST] = 'a';
    loaddesk_expect(d, &d->base, text,
                  "2:8 V011 more letters in a form than a vocabulary "
                  "holds\n");
}

static void all_faults_of_all_texts_come_in_one_run(void **state)
{
    loaddesk *d = *state;
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

int main(void)
{
#define CASE(f) \
    cmocka_unit_test_setup_teardown(f, loaddesk_open, loaddesk_close)
    const struct CMUnitTest tests[] = {
        CASE(faults_of_form_have_their_places),
        CASE(faults_of_terms_have_their_places),
        CASE(faults_of_words_have_their_places),
        CASE(faults_of_qualifiers_have_their_places),
        CASE(faults_of_patterns_and_prices_have_their_places),
        CASE(without_a_base_every_price_must_be_there),
        CASE(too_much_is_a_fault),
        CASE(every_table_has_its_limit),
        CASE(form_of_too_many_letters_is_a_fault),
        CASE(all_faults_of_all_texts_come_in_one_run),
    };
    return cmocka_run_group_tests_name("load_fault", tests, NULL, NULL);
}
