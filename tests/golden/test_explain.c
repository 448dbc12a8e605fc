/* test_explain.c - the pages of docs/explain: each code has one, its wrong
 * example raises the code, its right one does not and has no problem.
 *
 * Examples of V codes are vocabulary texts, loaded on top of the shipped one;
 * all others are combinations.  In an example \xHH stands for that byte. */
#include "golden.h"

#define EXAMPLE_MOST 8192

static const char *example_of(const char *page, const char *fence, char *out)
{
    const char *at = strstr(page, fence);
    const char *end;
    size_t used = 0;

    if (at == NULL || (at != page && at[-1] != '\n')) {
        return NULL;
    }
    at += strlen(fence);
    end = strstr(at, "\n```\n");
    if (end == NULL || (size_t)(end - at) + 2 > EXAMPLE_MOST) {
        return NULL;
    }
    for (end++; at < end; at++) {
        static const char digits[] = "0123456789abcdef";

        if (at[0] == '\\' && at[1] == 'x' && strchr(digits, at[2]) != NULL &&
            strchr(digits, at[3]) != NULL) {
            out[used++] = (char)((strchr(digits, at[2]) - digits) * 16 +
                                 (strchr(digits, at[3]) - digits));
            at += 3;
        } else {
            out[used++] = *at;
        }
    }
    out[used] = '\0';
    return end;
}

static bool has_code(const marq_findings *findings, const char *code)
{
    for (size_t i = 0; i < marq_finding_count(findings); i++) {
        if (strcmp(marq_finding_at(findings, i)->code, code) == 0) {
            return true;
        }
    }
    return false;
}

static void tell(const marq_findings *findings)
{
    for (size_t i = 0; i < marq_finding_count(findings); i++) {
        const marq_finding *f = marq_finding_at(findings, i);
        fprintf(stderr, "    %s %s\n", f->code, f->headline);
    }
}

/* True if the example does as it should. */
static bool judge(const marq_findings *findings, const char *code, bool wrong)
{
    bool good = has_code(findings, code) == wrong &&
                (wrong ||
                 marq_finding_count_of(findings, MARQ_PROBLEM) == 0);

    if (!good) {
        fprintf(stderr, "%s: its %s example gives\n", code,
                wrong ? "wrong" : "right");
        tell(findings);
    }
    return good;
}

static bool run_vocabulary(const marq_vocab *base, const char *text,
                           const char *code, bool wrong)
{
    marq_vocab_text one = {"school.vocab", text, strlen(text)};
    marq_vocab *made = NULL;
    marq_findings *why = NULL;
    marq_status status = marq_vocab_load(&made, NULL, base, &one, 1, &why);
    bool good = judge(why, code, wrong) &&
                status == (wrong ? MARQ_VOCABULARY : MARQ_OK);

    marq_findings_free(why);
    marq_vocab_free(made);
    return good;
}

static bool run_combination(const marq_vocab *vocab, const char *text,
                            const char *code, bool wrong)
{
    marq_combo *combo;
    marq_report *report;
    bool good;

    if (!golden_check(vocab, code, text, strlen(text), &combo, &report)) {
        return false;
    }
    good = judge(marq_report_findings(report), code, wrong);
    marq_report_free(report);
    marq_combo_free(combo);
    return good;
}

static bool run_example(const marq_vocab *vocab, const char *page,
                        const char *code, bool wrong)
{
    char text[EXAMPLE_MOST];

    if (example_of(page, wrong ? "```wrong\n" : "```right\n", text) == NULL) {
        fprintf(stderr, "%s: its page has no %s example\n", code,
                wrong ? "wrong" : "right");
        return false;
    }
    return code[0] == 'V' ? run_vocabulary(vocab, text, code, wrong)
                          : run_combination(vocab, text, code, wrong);
}

static void test_pages(void **state)
{
    marq_vocab *vocab = NULL;
    size_t count = 0, faults = 0;

    (void)state;
    assert_int_equal(MARQ_OK, marq_vocab_builtin(&vocab, NULL));
    for (const char *code; (code = marq_code_at(count)) != NULL; count++) {
        char path[64], begins[16];
        size_t length = 0;
        char *page;

        (void)snprintf(path, sizeof path, "docs/explain/%s.md", code);
        (void)snprintf(begins, sizeof begins, "# %s: ", code);
        page = golden_read(path, &length);
        if (page == NULL || !golden_starts(page, begins)) {
            fprintf(stderr, "%s: no page that begins \"%s\"\n", path, begins);
            faults++;
        } else {
            faults += !run_example(vocab, page, code, true);
            faults += !run_example(vocab, page, code, false);
        }
        free(page);
    }
    marq_vocab_free(vocab);
    printf("%zu codes explained\n", count);
    assert_true(count > 40);
    assert_int_equal(0, faults);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_pages)};

    return cmocka_run_group_tests(tests, NULL, NULL);
}
