#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "checkdesk.h"

checkdesk *checkdesk_new(const marq_config *config)
{
    checkdesk *desk = test_calloc(1, sizeof *desk);
    assert_int_equal(marq_vocab_builtin(&desk->vocab, config), MARQ_OK);
    marq_arena_init(&desk->arena, marq_mem_of(NULL));
    return desk;
}

int checkdesk_open(void **state)
{
    *state = checkdesk_new(NULL);
    return 0;
}

static void forget(checkdesk *desk)
{
    marq_report_free(desk->report);
    marq_combo_free(desk->combo);
    marq_findings_free(desk->findings);
    marq_arena_free(&desk->arena);
    desk->report = NULL;
    desk->combo = NULL;
    desk->findings = NULL;
}

int checkdesk_close(void **state)
{
    checkdesk *desk = *state;
    forget(desk);
    marq_vocab_free(desk->vocab);
    test_free(desk);
    return 0;
}

static void read_text(checkdesk *desk, const char *text)
{
    forget(desk);
    assert_int_equal(marq_combo_read(&desk->combo, desk->vocab, text,
                                     strlen(text), NULL),
                     MARQ_OK);
}

void checkdesk_run(checkdesk *desk, const char *text)
{
    read_text(desk, text);
    assert_int_equal(marq_check(&desk->report, desk->combo, NULL), MARQ_OK);
}

void checkdesk_follow(checkdesk *desk, const char *text)
{
    read_text(desk, text);
    assert_int_equal(
        marq_findings_new(&desk->findings, marq_mem_of(NULL), 1000), MARQ_OK);
    assert_int_equal(marq_follow(&desk->f, &desk->arena, desk->vocab,
                                 &desk->combo->tree, desk->findings),
                     MARQ_OK);
}

const marq_finding *checkdesk_finding(const checkdesk *desk, const char *code,
                                      size_t i)
{
    const marq_findings *all = marq_report_findings(desk->report);
    for (size_t k = 0; k < marq_finding_count(all); k++) {
        const marq_finding *f = marq_finding_at(all, k);
        if (strcmp(f->code, code) == 0 && i-- == 0) {
            return f;
        }
    }
    return NULL;
}

size_t checkdesk_count(const checkdesk *desk, const char *code)
{
    size_t count = 0;
    while (checkdesk_finding(desk, code, count) != NULL) {
        count++;
    }
    return count;
}

const char *checkdesk_words(checkdesk *desk, marq_span span)
{
    size_t length;
    const char *text = marq_combo_text(desk->combo, &length);
    assert_true(span.from <= span.to && span.to <= length);
    return marq_arena_copy(&desk->arena, text + span.from,
                           span.to - span.from);
}

char *checkdesk_mended(const checkdesk *desk, const marq_fix *fix)
{
    size_t length;
    const char *text = marq_combo_text(desk->combo, &length);
    assert_true(fix->span.from <= fix->span.to && fix->span.to <= length);
    assert_int_equal(strlen(fix->text), fix->text_length);
    char *out = test_calloc(1, length + fix->text_length + 1);
    memcpy(out, text, fix->span.from);
    memcpy(out + fix->span.from, fix->text, fix->text_length);
    memcpy(out + fix->span.from + fix->text_length, text + fix->span.to,
           length - fix->span.to);
    return out;
}
