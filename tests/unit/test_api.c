/* test_api.c - the promises of include/marquer.h that hold of every call:
 * wrong arguments, sizes of structs, limits, memory, lifetimes, threads. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#if defined(__GLIBC__)
#include <malloc.h>
#endif
#include <pthread.h>

#include "marquer.h"
#include "testmem.h"

/* Counts, a start, an unknown step, a fault with corrections. */
static const char *const the_text = "title    Tern two\n"
                                    "start    fifth, right front, croisé\n"
                                    "\n"
                                    "1-2      glissade, assemblé dessus\n"
                                    "3-4      wibble, changement ×2\n"
                                    "5-8      now fifth, left front\n"
                                    "         pirouette en dehors, hold\n"
                                    "finish   second\n";

/* A jump that exchanges the feet in fifth. */
static const char *const the_overlay =
    "format 1\n"
    "\n"
    "term tern whisk\n"
    "  id        tern-whisk\n"
    "  written   ternfield whisk\n"
    "  means     a jump of our own hall\n"
    "  family    small jumps\n"
    "  level     beginner\n"
    "  counts    1\n"
    "  side      foot\n"
    "  gap       in a jump\n"
    "  source    common practice\n"
    "  variant -: from fifth, both feet work, closes the other way, feet "
    "change; price 0\n";

static marq_vocab *vocab_of(const marq_config *config) {
    marq_vocab *vocab = NULL;

    assert_int_equal(marq_vocab_builtin(&vocab, config), MARQ_OK);
    assert_non_null(vocab);
    return vocab;
}

static marq_combo *combo_of(const marq_vocab *vocab, const char *text) {
    marq_combo *combo = NULL;

    assert_int_equal(marq_combo_read(&combo, vocab, text, strlen(text), NULL),
                     MARQ_OK);
    assert_non_null(combo);
    return combo;
}

static marq_report *report_of(const marq_combo *combo) {
    marq_report *report = NULL;

    assert_int_equal(marq_check(&report, combo, NULL), MARQ_OK);
    assert_non_null(report);
    return report;
}

static size_t count_code(const marq_findings *findings, const char *code) {
    size_t found = 0, i;

    for (i = 0; i < marq_finding_count(findings); i++) {
        found += strcmp(marq_finding_at(findings, i)->code, code) == 0;
    }
    return found;
}

/* ---- wrong arguments ---- */

static void status_and_version(void **state) {
    char version[32];
    int i;

    (void)state;
    for (i = MARQ_DEFECT; i <= MARQ_OK; i++) {
        const char *text = marq_status_text((marq_status)i);

        assert_non_null(text);
        assert_string_not_equal(text, marq_status_text((marq_status)99));
        assert_true(i == MARQ_OK ||
                    strcmp(text, marq_status_text((marq_status)(i + 1))) != 0);
    }
    snprintf(version, sizeof version, "%d.%d.%d", MARQ_VERSION_MAJOR,
             MARQ_VERSION_MINOR, MARQ_VERSION_PATCH);
    assert_string_equal(marq_version(), version);
}

static void freeing_null(void **state) {
    (void)state;
    marq_vocab_free(NULL);
    marq_combo_free(NULL);
    marq_report_free(NULL);
    marq_text_free(NULL);
    marq_findings_free(NULL);
    marq_config_init(NULL);
}

static void null_for_getters(void **state) {
    size_t length = 7;
    marq_readiness ready = marq_report_readiness(NULL);
    marq_moment moment = marq_report_moment(NULL, 0);
    marq_sum sum = marq_report_sum(NULL);
    marq_place place = marq_combo_place(NULL, 5);

    (void)state;
    assert_int_equal(marq_finding_count(NULL), 0);
    assert_null(marq_finding_at(NULL, 0));
    assert_int_equal(marq_finding_count_of(NULL, MARQ_NOTE), 0);
    assert_int_equal(marq_vocab_term_count(NULL), 0);
    assert_null(marq_vocab_term_name(NULL, 0));
    assert_int_equal(marq_vocab_form_count(NULL), 0);
    assert_null(marq_vocab_form(NULL, 0));
    assert_null(marq_combo_text(NULL, &length));
    assert_int_equal(length, 0);
    assert_null(marq_combo_text(NULL, NULL));
    assert_false(marq_combo_unfinished(NULL));
    assert_null(marq_combo_findings(NULL));
    assert_true(place.line >= 1 && place.column >= 1);
    assert_null(marq_report_findings(NULL));
    assert_int_equal(marq_report_moment_count(NULL), 0);
    length = 7;
    assert_null(marq_text_bytes(NULL, &length));
    assert_int_equal(length, 0);
    assert_null(marq_text_bytes(NULL, NULL));
    assert_int_equal(ready.whole, MARQ_READY_UNKNOWN);
    assert_int_equal(ready.position, MARQ_READY_UNKNOWN);
    assert_int_equal(ready.front_foot, MARQ_READY_UNKNOWN);
    assert_int_equal(ready.free_leg, MARQ_READY_UNKNOWN);
    assert_int_equal(ready.facing, MARQ_READY_UNKNOWN);
    assert_false(ready.changes_known);
    assert_false(moment.known);
    assert_string_equal(moment.step, "");
    assert_string_equal(moment.count, "");
    assert_string_equal(moment.weight, "");
    assert_string_equal(moment.feet, "");
    assert_string_equal(moment.level, "");
    assert_string_equal(moment.facing, "");
    assert_false(sum.written);
    assert_true(sum.total.den > 0 && sum.missing.den > 0);
}

static void null_for_vocabularies(void **state) {
    marq_vocab *base = vocab_of(NULL), *vocab = NULL;
    marq_vocab_text good = {"hall", the_overlay, strlen(the_overlay)};
    marq_vocab_text none = {"hall", NULL, 3};
    marq_findings *why = NULL;

    (void)state;
    assert_int_equal(marq_vocab_builtin(NULL, NULL), MARQ_ARGUMENT);
    assert_int_equal(marq_vocab_load(NULL, NULL, base, &good, 1, &why),
                     MARQ_ARGUMENT);
    assert_null(why);
    assert_int_equal(marq_vocab_load(&vocab, NULL, base, NULL, 1, &why),
                     MARQ_ARGUMENT);
    assert_null(why);
    assert_int_equal(marq_vocab_load(&vocab, NULL, base, &none, 1, &why),
                     MARQ_ARGUMENT);
    assert_null(why);
    assert_null(vocab);
    /* no name, no config and no wish to know why are fine */
    good.name = NULL;
    assert_int_equal(marq_vocab_load(&vocab, NULL, base, &good, 1, NULL),
                     MARQ_OK);
    marq_vocab_free(vocab);
    vocab = NULL;
    /* an overlay alone lacks prices: faults nobody asked for */
    assert_int_equal(marq_vocab_load(&vocab, NULL, NULL, &good, 1, NULL),
                     MARQ_VOCABULARY);
    assert_null(vocab);
    assert_int_equal(marq_vocab_load(&vocab, NULL, NULL, NULL, 0, &why),
                     MARQ_VOCABULARY);
    assert_null(vocab);
    assert_true(marq_finding_count(why) > 0);
    marq_findings_free(why);
    marq_vocab_free(base);
}

static void null_for_combinations(void **state) {
    marq_vocab *vocab = vocab_of(NULL);
    marq_combo *combo = NULL, *other = NULL;
    marq_report *report = NULL;
    marq_read_opts nameless = {sizeof nameless, NULL};
    size_t length = 7;

    (void)state;
    assert_int_equal(marq_combo_read(NULL, vocab, "plie", 4, NULL),
                     MARQ_ARGUMENT);
    assert_int_equal(marq_combo_read(&combo, NULL, "plie", 4, NULL),
                     MARQ_ARGUMENT);
    assert_int_equal(marq_combo_read(&combo, vocab, NULL, 4, NULL),
                     MARQ_ARGUMENT);
    assert_null(combo);
    assert_int_equal(marq_combo_read(&combo, vocab, NULL, 0, &nameless),
                     MARQ_OK);
    assert_string_equal(marq_combo_text(combo, &length), "");
    assert_int_equal(length, 0);
    assert_int_equal(marq_other_side(NULL, combo), MARQ_ARGUMENT);
    assert_int_equal(marq_other_side(&other, NULL), MARQ_ARGUMENT);
    assert_null(other);
    assert_int_equal(marq_check(NULL, combo, NULL), MARQ_ARGUMENT);
    assert_int_equal(marq_check(&report, NULL, NULL), MARQ_ARGUMENT);
    assert_null(report);
    marq_combo_free(combo);
    marq_vocab_free(vocab);
}

static void null_for_texts(void **state) {
    marq_vocab *vocab = vocab_of(NULL);
    marq_combo *combo = combo_of(vocab, the_text);
    marq_combo *another = combo_of(vocab, the_text);
    marq_report *report = report_of(combo);
    const marq_findings *findings = marq_report_findings(report);
    marq_text *text = NULL;

    (void)state;
    assert_int_equal(marq_print(NULL, combo, report, NULL), MARQ_ARGUMENT);
    assert_int_equal(marq_print(&text, NULL, report, NULL), MARQ_ARGUMENT);
    /* a report on something else is senseless */
    assert_int_equal(marq_print(&text, another, report, NULL), MARQ_ARGUMENT);
    assert_int_equal(marq_render(NULL, report, NULL), MARQ_ARGUMENT);
    assert_int_equal(marq_render(&text, NULL, NULL), MARQ_ARGUMENT);
    assert_int_equal(marq_render_findings(NULL, NULL, findings, "", 0, "a"),
                     MARQ_ARGUMENT);
    assert_int_equal(marq_render_findings(&text, NULL, NULL, "", 0, "a"),
                     MARQ_ARGUMENT);
    assert_int_equal(marq_render_findings(&text, NULL, findings, NULL, 3, "a"),
                     MARQ_ARGUMENT);
    assert_null(text);
    assert_int_equal(marq_render_findings(&text, NULL, findings, the_text,
                                          strlen(the_text), NULL),
                     MARQ_OK);
    marq_text_free(text);
    text = NULL;
    assert_int_equal(marq_render(&text, report, NULL), MARQ_OK);
    marq_text_free(text);
    marq_report_free(report);
    marq_combo_free(another);
    marq_combo_free(combo);
    marq_vocab_free(vocab);
}

static void codes_of_the_catalogue(void **state) {
    size_t i, k;

    (void)state;
    assert_null(marq_explain(NULL));
    assert_null(marq_explain(""));
    assert_null(marq_explain("S"));
    assert_null(marq_explain("S00"));
    assert_null(marq_explain("S0011"));
    assert_null(marq_explain("Z999"));
    assert_non_null(marq_explain("S001"));
    for (i = 0; marq_code_at(i) != NULL; i++) {
        const char *code = marq_code_at(i);

        assert_int_equal(strlen(code), 4);
        assert_true(code[0] >= 'A' && code[0] <= 'Z');
        assert_int_equal(strspn(code + 1, "0123456789"), 3);
        assert_non_null(marq_explain(code));
        assert_true(marq_explain(code)[0] != '\0');
        for (k = 0; k < i; k++) {
            assert_string_not_equal(code, marq_code_at(k));
        }
    }
    assert_true(i > 0);
    assert_null(marq_code_at(i + 1));
    assert_null(marq_code_at(SIZE_MAX));
}

/* ---- sizes of structs ---- */

static void a_config_of_another_age(void **state) {
    struct {
        marq_config config;
        char later[64]; /* of a header newer than the library */
    } newer;
    marq_config config;
    marq_vocab *vocab = NULL;
    marq_combo *combo = NULL;

    (void)state;
    marq_config_init(&config);
    assert_int_equal(config.struct_size, sizeof config);
    assert_null(config.alloc);
    config.struct_size = 0;
    assert_int_equal(marq_vocab_builtin(&vocab, &config), MARQ_ARGUMENT);
    assert_null(vocab);

    /* from before there were limits: what lies behind is not read */
    config.struct_size = offsetof(marq_config, limits);
    config.limits.text_bytes = 1;
    config.limits.words = 1;
    vocab = vocab_of(&config);
    marq_combo_free(combo_of(vocab, "plie plie"));
    marq_vocab_free(vocab);

    /* from when there was the first limit only */
    config.struct_size =
        offsetof(marq_config, limits) + offsetof(marq_limits, words);
    config.limits.text_bytes = 9;
    vocab = vocab_of(&config);
    marq_combo_free(combo_of(vocab, "plie plie"));
    assert_int_equal(marq_combo_read(&combo, vocab, "plie plie.", 10, NULL),
                     MARQ_LIMIT);
    marq_vocab_free(vocab);

    memset(&newer, 0xa5, sizeof newer);
    marq_config_init(&newer.config);
    newer.config.struct_size = sizeof newer;
    newer.config.limits.words = 2;
    vocab = vocab_of(&newer.config);
    marq_combo_free(combo_of(vocab, "plie plie"));
    assert_int_equal(marq_combo_read(&combo, vocab, "plie plie plie", 14, NULL),
                     MARQ_LIMIT);
    marq_vocab_free(vocab);
}

/* The config is not needed once the call is over. */
static void a_config_is_copied(void **state) {
    testmem mem;
    marq_config config;
    marq_vocab *vocab;
    marq_combo *combo;

    (void)state;
    testmem_init(&mem);
    config = testmem_config(&mem);
    vocab = vocab_of(&config);
    memset(&config, 0xa5, sizeof config);
    combo = combo_of(vocab, the_text);
    marq_combo_free(combo);
    marq_vocab_free(vocab);
    assert_int_equal(mem.live_blocks, 0);
}

/* ---- limits ---- */

static marq_vocab *vocab_within(const marq_limits *limits) {
    marq_config config;

    marq_config_init(&config);
    config.limits = *limits;
    return vocab_of(&config);
}

static marq_status read_within(const marq_limits *limits, const char *text) {
    marq_vocab *vocab = vocab_within(limits);
    marq_combo *combo = NULL;
    marq_status status =
        marq_combo_read(&combo, vocab, text, strlen(text), NULL);

    assert_int_equal(status == MARQ_OK, combo != NULL);
    marq_combo_free(combo);
    marq_vocab_free(vocab);
    return status;
}

static marq_status check_within(const marq_limits *limits, const char *text) {
    marq_vocab *vocab = vocab_within(limits);
    marq_combo *combo = combo_of(vocab, text);
    marq_report *report = NULL;
    marq_status status = marq_check(&report, combo, NULL);

    assert_int_equal(status == MARQ_OK, report != NULL);
    marq_report_free(report);
    marq_combo_free(combo);
    marq_vocab_free(vocab);
    return status;
}

static marq_status turn_within(const marq_limits *limits, const char *text) {
    marq_vocab *vocab = vocab_within(limits);
    marq_combo *combo = combo_of(vocab, text);
    marq_combo *other = NULL;
    marq_status status = marq_other_side(&other, combo);

    assert_int_equal(status == MARQ_OK, other != NULL);
    marq_combo_free(other);
    marq_combo_free(combo);
    marq_vocab_free(vocab);
    return status;
}

static void limits_of_nought_are_usual(void **state) {
    marq_limits none = {0};

    (void)state;
    assert_int_equal(check_within(&none, the_text), MARQ_OK);
}

static void limit_of_bytes(void **state) {
    marq_limits limits = {.text_bytes = 20};

    (void)state;
    assert_int_equal(read_within(&limits, "changement, assemblé"), MARQ_LIMIT);
    assert_int_equal(read_within(&limits, "changement, assemble"), MARQ_OK);
    /* the start the other side states makes it longer than 20 */
    assert_int_equal(turn_within(&limits, "changement, assemble"), MARQ_LIMIT);
}

static void limit_of_words(void **state) {
    marq_limits limits = {.words = 3};

    (void)state;
    assert_int_equal(read_within(&limits, "plie plie plie"), MARQ_OK);
    assert_int_equal(read_within(&limits, "plie plie plie plie"), MARQ_LIMIT);
    limits.words = 4;
    assert_int_equal(read_within(&limits, "plie plie plie plie"), MARQ_OK);
}

static void limit_of_moves(void **state) {
    marq_limits limits = {.moves = 8};

    (void)state;
    assert_int_equal(check_within(&limits, "changement x8"), MARQ_OK);
    assert_int_equal(check_within(&limits, "changement x9"), MARQ_LIMIT);
    assert_int_equal(check_within(&limits, "changement x5, soubresaut x3"),
                     MARQ_OK);
    assert_int_equal(check_within(&limits, "changement x5, soubresaut x4"),
                     MARQ_LIMIT);
    assert_int_equal(turn_within(&limits, "changement x8"), MARQ_OK);
    assert_int_equal(turn_within(&limits, "changement x9"), MARQ_LIMIT);
}

static void limit_of_times(void **state) {
    marq_limits limits = {.times = 8};
    marq_vocab *vocab = vocab_within(&limits);
    marq_combo *combo = combo_of(vocab, "changement x8");

    (void)state;
    assert_int_equal(count_code(marq_combo_findings(combo), "R012"), 0);
    marq_combo_free(combo);
    combo = combo_of(vocab, "changement x9");
    assert_int_equal(count_code(marq_combo_findings(combo), "R012"), 1);
    assert_int_equal(
        marq_finding_count_of(marq_combo_findings(combo), MARQ_PROBLEM), 1);
    marq_combo_free(combo);
    marq_vocab_free(vocab);
}

/* Findings past the limit are left out; that is no failure. */
static void limit_of_findings(void **state) {
    const char *text = "glissade, wibble, changement, wobble, hold, wubble";
    marq_limits limits = {0};
    marq_vocab *vocab = vocab_within(&limits);
    marq_combo *combo = combo_of(vocab, text);
    marq_report *report = report_of(combo);
    const size_t read = marq_finding_count(marq_combo_findings(combo));
    const size_t all = marq_finding_count(marq_report_findings(report));
    size_t most;

    (void)state;
    assert_true(read >= 3 && all >= read);
    marq_report_free(report);
    marq_combo_free(combo);
    marq_vocab_free(vocab);
    for (most = 1; most <= all + 1; most++) {
        limits.findings = most;
        vocab = vocab_within(&limits);
        combo = combo_of(vocab, text);
        report = report_of(combo);
        assert_int_equal(marq_finding_count(marq_combo_findings(combo)),
                         most < read ? most : read);
        assert_int_equal(marq_finding_count(marq_report_findings(report)),
                         most < all ? most : all);
        marq_report_free(report);
        marq_combo_free(combo);
        marq_vocab_free(vocab);
    }
}

static void limit_of_findings_in_a_vocabulary(void **state) {
    const char *text = "format 1\nwibble a\nwobble b\nwubble c\n";
    marq_vocab_text texts = {"hall", text, strlen(text)};
    marq_vocab *base = vocab_of(NULL), *vocab = NULL;
    marq_findings *why = NULL;
    marq_config config;
    size_t most;

    (void)state;
    marq_config_init(&config);
    for (most = 1; most <= 4; most++) {
        config.limits.findings = most;
        assert_int_equal(
            marq_vocab_load(&vocab, &config, base, &texts, 1, &why),
            MARQ_VOCABULARY);
        assert_null(vocab);
        assert_int_equal(marq_finding_count(why), most < 3 ? most : 3);
        marq_findings_free(why);
    }
    marq_vocab_free(base);
}

/* How many corrections a lone problem gets.  The front foot cannot do it. */
static size_t corrections_within(size_t most) {
    marq_limits limits = {.corrections = most};
    marq_vocab *vocab = vocab_within(&limits);
    marq_combo *combo =
        combo_of(vocab, "soubresaut, now fifth, right front, soubresaut, "
                        "assemblé right foot dessus, changement");
    marq_report *report = report_of(combo);
    const marq_findings *findings = marq_report_findings(report);
    size_t fixes = 0, problems = 0, i;

    for (i = 0; i < marq_finding_count(findings); i++) {
        const marq_finding *f = marq_finding_at(findings, i);

        if (f->severity == MARQ_PROBLEM) {
            problems++;
            fixes += f->fix_count;
        }
    }
    assert_int_equal(problems, 1);
    marq_report_free(report);
    marq_combo_free(combo);
    marq_vocab_free(vocab);
    return fixes;
}

/* N tries offer N corrections at most, more tries never less, and at some
 * number all are there that were not with one less. */
static void limit_of_corrections(void **state) {
    const size_t usual = corrections_within(0);
    size_t most, last = 0;

    (void)state;
    assert_true(usual > 1);
    for (most = 1; last < usual; most++) {
        size_t now = corrections_within(most);

        assert_true(now >= last && now <= most && now <= usual);
        last = now;
        assert_true(most <= 20000);
    }
    assert_true(corrections_within(most - 2) < usual);
    assert_int_equal(corrections_within(20000), usual);
}

/* ---- memory ---- */

/* A hook that takes from one block and never from the C library. */
typedef struct bench {
    char *at;
    size_t used;
    size_t live;
} bench;

#define BENCH_ROOM ((size_t)32 << 20)
#define BENCH_HEAD (2 * sizeof(max_align_t))

static void *take_from_bench(void *ctx, void *ptr, size_t new_size) {
    bench *b = ctx;
    size_t old = 0, whole;
    char *fresh;

    if (ptr != NULL) {
        memcpy(&old, (char *)ptr - BENCH_HEAD, sizeof old);
        b->live--;
    }
    if (new_size == 0) {
        return NULL;
    }
    whole = (new_size + 2 * BENCH_HEAD - 1) / BENCH_HEAD * BENCH_HEAD;
    assert_true(BENCH_ROOM - b->used > whole);
    fresh = b->at + b->used + BENCH_HEAD;
    memcpy(fresh - BENCH_HEAD, &new_size, sizeof new_size);
    b->used += whole + BENCH_HEAD;
    b->live++;
    if (ptr != NULL) {
        memcpy(fresh, ptr, old < new_size ? old : new_size);
    }
    return fresh;
}

/* Bytes of the C library in use, where that can be known. */
static size_t in_use(void) {
#if defined(__GLIBC__)
    return mallinfo2().uordblks;
#else
    return 0;
#endif
}

static void all_memory_comes_from_the_hook(void **state) {
    bench b = {malloc(BENCH_ROOM), 0, 0};
    marq_config config;
    marq_vocab *vocab = NULL, *over = NULL, *failed = NULL;
    marq_combo *combo = NULL, *other = NULL;
    marq_report *report = NULL;
    marq_text *print = NULL, *lines = NULL, *faults = NULL;
    marq_findings *why = NULL;
    marq_vocab_text good = {"hall", the_overlay, strlen(the_overlay)};
    marq_vocab_text bad = {"hall", "format 1\nwibble a\n", 18};
    size_t before, used;

    (void)state;
    assert_non_null(b.at);
    marq_config_init(&config);
    config.alloc = take_from_bench;
    config.alloc_ctx = &b;
    before = in_use();
#define USES_BENCH(call, status)                                               \
    used = b.used;                                                             \
    assert_int_equal(call, status);                                            \
    assert_true(b.used > used);                                                \
    assert_int_equal(in_use(), before)
    USES_BENCH(marq_vocab_builtin(&vocab, &config), MARQ_OK);
    USES_BENCH(marq_vocab_load(&over, &config, vocab, &good, 1, &why), MARQ_OK);
    assert_null(why);
    USES_BENCH(marq_vocab_load(&failed, &config, vocab, &bad, 1, &why),
               MARQ_VOCABULARY);
    USES_BENCH(marq_render_findings(&faults, &config, why, bad.text, bad.length,
                                    "hall"),
               MARQ_OK);
    USES_BENCH(marq_combo_read(&combo, over, the_text, strlen(the_text), NULL),
               MARQ_OK);
    USES_BENCH(marq_check(&report, combo, NULL), MARQ_OK);
    USES_BENCH(marq_other_side(&other, combo), MARQ_OK);
    USES_BENCH(marq_print(&print, combo, report, NULL), MARQ_OK);
    USES_BENCH(marq_render(&lines, report, NULL), MARQ_OK);
#undef USES_BENCH
    marq_text_free(lines);
    marq_text_free(print);
    marq_text_free(faults);
    marq_findings_free(why);
    marq_combo_free(other);
    marq_report_free(report);
    marq_combo_free(combo);
    marq_vocab_free(over);
    marq_vocab_free(vocab);
    assert_int_equal(b.live, 0);
    free(b.at);
}

/* Without an allocator there is nothing, and that is said. */
static void *refuse(void *ctx, void *ptr, size_t new_size) {
    (void)ptr;
    *(size_t *)ctx += new_size > 0;
    return NULL;
}

static void no_memory_at_all(void **state) {
    size_t asked = 0;
    marq_config config;
    marq_vocab *vocab = NULL;
    marq_findings *why = NULL;
    marq_vocab_text good = {"hall", the_overlay, strlen(the_overlay)};

    (void)state;
    marq_config_init(&config);
    config.alloc = refuse;
    config.alloc_ctx = &asked;
    assert_int_equal(marq_vocab_builtin(&vocab, &config), MARQ_MEMORY);
    assert_null(vocab);
    assert_true(asked > 0);
    assert_int_equal(marq_vocab_load(&vocab, &config, NULL, &good, 1, &why),
                     MARQ_MEMORY);
    assert_null(vocab);
    assert_null(why);
}

/* ---- lifetimes ---- */

static void what_outlives_what(void **state) {
    testmem mem;
    marq_config config;
    marq_vocab *vocab;
    marq_combo *combo, *other = NULL;
    marq_report *report;
    marq_text *print = NULL, *full = NULL;
    char *text = malloc(strlen(the_text));
    char name[] = "hall.combo";
    marq_read_opts opts = {sizeof opts, name};
    size_t length = 0;

    (void)state;
    assert_non_null(text);
    testmem_init(&mem);
    config = testmem_config(&mem);
    vocab = vocab_of(&config);
    memcpy(text, the_text, strlen(the_text));
    assert_int_equal(
        marq_combo_read(&combo, vocab, text, strlen(the_text), &opts), MARQ_OK);
    memset(text, '#', strlen(the_text));
    memset(name, '#', sizeof name - 1);
    free(text);
    assert_string_equal(marq_combo_text(combo, &length), the_text);
    assert_int_equal(length, strlen(the_text));

    report = report_of(combo);
    assert_int_equal(marq_other_side(&other, combo), MARQ_OK);
    assert_int_equal(marq_print(&print, combo, report, NULL), MARQ_OK);
    assert_int_equal(marq_render(&full, report, NULL), MARQ_OK);
    marq_report_free(report);
    /* a second report after the first is gone */
    marq_report_free(report_of(combo));
    marq_combo_free(combo);
    /* texts and the other side stand by themselves */
    assert_non_null(strstr(marq_text_bytes(print, NULL), "Tern two"));
    assert_true(strlen(marq_text_bytes(full, NULL)) > 0);
    marq_report_free(report_of(other));
    marq_text_free(print);
    marq_text_free(full);
    marq_combo_free(other);
    assert_true(mem.live_blocks > 0);
    marq_vocab_free(vocab);
    assert_int_equal(mem.live_blocks, 0);
    assert_int_equal(mem.live_bytes, 0);
}

static void texts_end_in_nought(void **state) {
    static const char bytes[] = "plie\0plie, (a\0b)\0";
    marq_vocab *vocab = vocab_of(NULL);
    marq_combo *combo = NULL;
    marq_report *report;
    marq_text *text = NULL;
    size_t length = 0;
    const char *at;
    int layout;

    (void)state;
    /* no nought follows what is given */
    assert_int_equal(
        marq_combo_read(&combo, vocab, bytes, sizeof bytes - 1, NULL), MARQ_OK);
    at = marq_combo_text(combo, &length);
    assert_int_equal(length, sizeof bytes - 1);
    assert_memory_equal(at, bytes, sizeof bytes - 1);
    assert_int_equal(at[length], 0);
    report = report_of(combo);
    assert_int_equal(marq_print(&text, combo, report, NULL), MARQ_OK);
    at = marq_text_bytes(text, &length);
    assert_int_equal(at[length], 0);
    marq_text_free(text);
    for (layout = MARQ_LAYOUT_FULL; layout <= MARQ_LAYOUT_TABLE; layout++) {
        marq_render_opts opts = {sizeof opts, (marq_layout)layout, NULL, false,
                                 0};

        assert_int_equal(marq_render(&text, report, &opts), MARQ_OK);
        at = marq_text_bytes(text, &length);
        assert_true(length > 0);
        /* rendered, a nought is shown and not there */
        assert_int_equal(strlen(at), length);
        marq_text_free(text);
    }
    marq_report_free(report);
    marq_combo_free(combo);
    marq_vocab_free(vocab);
}

static void places_and_ends(void **state) {
    marq_vocab *vocab = vocab_of(NULL);
    marq_combo *combo = combo_of(vocab, "assemblé plié\nhold (soft");
    marq_place place = marq_combo_place(combo, 10); /* after é and a blank */

    (void)state;
    assert_int_equal(place.line, 1);
    assert_int_equal(place.column, 10);
    place = marq_combo_place(combo, 16); /* 15 bytes and a line end before */
    assert_int_equal(place.line, 2);
    assert_int_equal(place.column, 1);
    assert_true(marq_combo_unfinished(combo));
    marq_combo_free(combo);
    combo = combo_of(vocab, "assemblé plié\nhold (soft)");
    assert_false(marq_combo_unfinished(combo));
    marq_combo_free(combo);
    marq_vocab_free(vocab);
}

/* ---- an overlay ---- */

static void feet_at_end(const marq_vocab *vocab, const char *text,
                        const char *feet) {
    marq_combo *combo = combo_of(vocab, text);
    marq_report *report = report_of(combo);
    size_t count = marq_report_moment_count(report);
    marq_moment last;

    assert_true(count > 0);
    last = marq_report_moment(report, count - 1);
    /* NULL: there is a step nobody knows */
    assert_int_equal(count_code(marq_report_findings(report), "R002"),
                     feet == NULL ? 1 : 0);
    if (feet != NULL) {
        assert_true(last.known);
        assert_string_equal(last.feet, feet);
    }
    marq_report_free(report);
    marq_combo_free(combo);
}

static void an_overlay_of_one_term(void **state) {
    static const char *const again =
        "format 1\n"
        "term tern whisk\n"
        "  id        tern-whisk\n"
        "  means     the same jump, feet kept\n"
        "  family    small jumps\n"
        "  level     beginner\n"
        "  side      foot\n"
        "  source    memory\n"
        "  variant -: from fifth, both feet work, closes where it began, feet "
        "stay; price 0\n";
    static const char *const text =
        "start fifth, right front\nglissade derrière, tern whisk";
    marq_vocab_text one = {"hall", the_overlay, strlen(the_overlay)};
    marq_vocab_text two = {"hall again", again, strlen(again)};
    marq_vocab *base = vocab_of(NULL), *hall = NULL, *later = NULL;
    size_t terms = marq_vocab_term_count(base);

    (void)state;
    feet_at_end(base, text, NULL);
    assert_int_equal(marq_vocab_load(&hall, NULL, base, &one, 1, NULL),
                     MARQ_OK);
    assert_int_equal(marq_vocab_term_count(hall), terms + 1);
    assert_int_equal(marq_vocab_term_count(base), terms);
    /* glissade derrière keeps the feet, the whisk exchanges them */
    feet_at_end(hall, text, "fifth, left front");
    feet_at_end(hall, "start fifth, right front\nTernfield whisks x3",
                "fifth, left front");
    feet_at_end(base, text, NULL);
    /* the same id replaces the whole term */
    assert_int_equal(marq_vocab_load(&later, NULL, hall, &two, 1, NULL),
                     MARQ_OK);
    assert_int_equal(marq_vocab_term_count(later), terms + 1);
    feet_at_end(later, text, "fifth, right front");
    feet_at_end(hall, text, "fifth, left front");
    marq_vocab_free(later);
    marq_vocab_free(hall);
    marq_vocab_free(base);
}

/* ---- threads ---- */

static const char *const thread_texts[] = {
    "start fifth, right front\nglissade, assemblé dessus, changement ×3",
    "1-4 tendu front x2\n4-6 tendu side R closing back\n7-8 plie",
    "glissade assemble glissade assemble sissonne sissonne changement",
    "tombé right foot, pas de bourrée, glissad, now fifth, left front",
};

#define THREAD_TEXTS (sizeof thread_texts / sizeof thread_texts[0])
#define THREADS 4

/* What is said of a text, for the caller to free; NULL if a call fails. */
static char *answer_to(const marq_vocab *vocab, const char *bytes) {
    marq_combo *combo = NULL;
    marq_report *report = NULL;
    marq_text *text = NULL;
    char *answer = NULL;
    size_t length = 0;

    if (marq_combo_read(&combo, vocab, bytes, strlen(bytes), NULL) ==
            MARQ_OK &&
        marq_check(&report, combo, NULL) == MARQ_OK &&
        marq_render(&text, report, NULL) == MARQ_OK) {
        const char *said = marq_text_bytes(text, &length);

        answer = malloc(length + 1);
        if (answer != NULL) {
            memcpy(answer, said, length + 1);
        }
    }
    marq_text_free(text);
    marq_report_free(report);
    marq_combo_free(combo);
    return answer;
}

typedef struct worker {
    const marq_vocab *shared; /* NULL: makes its own */
    size_t first;
    char *const *wanted;
    size_t right;
} worker;

/* No asserts here: cmocka knows one thread. */
static void *work(void *arg) {
    worker *w = arg;
    marq_vocab *own = NULL;
    const marq_vocab *vocab = w->shared;
    size_t i;

    if (vocab == NULL) {
        if (marq_vocab_builtin(&own, NULL) != MARQ_OK) {
            return NULL;
        }
        vocab = own;
    }
    for (i = 0; i < 3 * THREAD_TEXTS; i++) {
        size_t which = (w->first + i) % THREAD_TEXTS;
        char *answer = answer_to(vocab, thread_texts[which]);

        w->right += answer != NULL && strcmp(answer, w->wanted[which]) == 0;
        free(answer);
    }
    marq_vocab_free(own);
    return NULL;
}

static void run_workers(const marq_vocab *shared, char *const *wanted) {
    pthread_t threads[THREADS];
    worker workers[THREADS];
    size_t i;

    for (i = 0; i < THREADS; i++) {
        worker w = {shared, i, wanted, 0};

        workers[i] = w;
        assert_int_equal(
            pthread_create(&threads[i], NULL, work, &workers[i]), 0);
    }
    for (i = 0; i < THREADS; i++) {
        assert_int_equal(pthread_join(threads[i], NULL), 0);
        assert_int_equal(workers[i].right, 3 * THREAD_TEXTS);
    }
}

static void threads_share_a_vocabulary(void **state) {
    marq_vocab_text good = {"hall", the_overlay, strlen(the_overlay)};
    marq_vocab *vocab = vocab_of(NULL), *loaded = NULL;
    char *wanted[THREAD_TEXTS];
    size_t i;

    (void)state;
    for (i = 0; i < THREAD_TEXTS; i++) {
        wanted[i] = answer_to(vocab, thread_texts[i]);
        assert_non_null(wanted[i]);
    }
    run_workers(vocab, wanted);
    run_workers(NULL, wanted);
    assert_int_equal(marq_vocab_load(&loaded, NULL, vocab, &good, 1, NULL),
                     MARQ_OK);
    run_workers(loaded, wanted);
    for (i = 0; i < THREAD_TEXTS; i++) {
        free(wanted[i]);
    }
    marq_vocab_free(loaded);
    marq_vocab_free(vocab);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(status_and_version),
        cmocka_unit_test(freeing_null),
        cmocka_unit_test(null_for_getters),
        cmocka_unit_test(null_for_vocabularies),
        cmocka_unit_test(null_for_combinations),
        cmocka_unit_test(null_for_texts),
        cmocka_unit_test(codes_of_the_catalogue),
        cmocka_unit_test(a_config_of_another_age),
        cmocka_unit_test(a_config_is_copied),
        cmocka_unit_test(limits_of_nought_are_usual),
        cmocka_unit_test(limit_of_bytes),
        cmocka_unit_test(limit_of_words),
        cmocka_unit_test(limit_of_moves),
        cmocka_unit_test(limit_of_times),
        cmocka_unit_test(limit_of_findings),
        cmocka_unit_test(limit_of_findings_in_a_vocabulary),
        cmocka_unit_test(limit_of_corrections),
        cmocka_unit_test(all_memory_comes_from_the_hook),
        cmocka_unit_test(no_memory_at_all),
        cmocka_unit_test(what_outlives_what),
        cmocka_unit_test(texts_end_in_nought),
        cmocka_unit_test(places_and_ends),
        cmocka_unit_test(an_overlay_of_one_term),
        cmocka_unit_test(threads_share_a_vocabulary),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
