/* api.c - the functions of include/marquer.h.  Floor 11. */
#include "check.h"
#include "load.h"
#include "mirror.h"
#include "parse.h"
#include "print.h"
#include "render.h"
#include "step.h"

struct marq_text {
    marq_mem mem;
    marq_arena arena;
    const char *bytes;
    size_t length;
};

/* ---- status, version, config ---- */

const char *marq_status_text(marq_status status)
{
    switch (status) {
    case MARQ_OK:
        return "done";
    case MARQ_MEMORY:
        return "out of memory";
    case MARQ_ARGUMENT:
        return "a wrong argument";
    case MARQ_LIMIT:
        return "a limit was passed";
    case MARQ_VOCABULARY:
        return "the vocabulary has faults";
    case MARQ_DEFECT:
        return "a fault of this library";
    }
    return "an unknown status";
}

const char *marq_version(void)
{
    return "0.1.0";
}

void marq_config_init(marq_config *config)
{
    if (config == NULL) {
        return;
    }
    memset(config, 0, sizeof *config);
    config->struct_size = sizeof *config;
    marq_limits_fill(&config->limits);
}

/* The caller's config with defaults filled in, however old its struct is. */
static marq_status take_config(marq_config *out, const marq_config *config)
{
    marq_config_init(out);
    if (config == NULL) {
        return MARQ_OK;
    }
    if (config->struct_size < offsetof(marq_config, limits)) {
        return MARQ_ARGUMENT;
    }
    size_t size =
        config->struct_size < sizeof *out ? config->struct_size : sizeof *out;
    memcpy(out, config, size);
    out->struct_size = sizeof *out;
    marq_limits_fill(&out->limits);
    return MARQ_OK;
}

/* Copies an option struct that may be older (smaller) or newer than ours;
 * what it does not have stays as it is in `own`.  NULL: nothing. */
static void take_options(void *own, size_t own_size, const void *given,
                         size_t given_size)
{
    if (given != NULL) {
        memcpy(own, given, given_size < own_size ? given_size : own_size);
    }
}

/* ---- vocabulary ---- */

marq_status marq_vocab_builtin(marq_vocab **out, const marq_config *config)
{
    marq_config own;
    if (out == NULL) {
        return MARQ_ARGUMENT;
    }
    *out = NULL;
    marq_status status = take_config(&own, config);
    return status == MARQ_OK ? marq_vocab_wrap(out, &own, &marq_builtin_data)
                             : status;
}

/* Loads into an arena that the vocabulary then owns. */
static marq_status load_texts(marq_vocab **out, const marq_config *config,
                              const marq_vocab *base,
                              const marq_vocab_text *texts, size_t count,
                              marq_findings *why)
{
    marq_arena arena;
    marq_arena_init(&arena, marq_mem_of(config));
    marq_vocab_data *data = marq_arena_alloc(&arena, 1, sizeof *data);
    marq_status status = MARQ_MEMORY;
    if (data != NULL) {
        status = marq_load(data, &arena, base ? base->data : NULL, texts, count,
                           why);
    }
    if (status == MARQ_OK) {
        status = marq_step_compile(data, &arena, why);
    }
    if (status == MARQ_OK) {
        status = marq_vocab_wrap(out, config, data);
    }
    if (status != MARQ_OK) {
        marq_arena_free(&arena);
        return status;
    }
    (*out)->arena = arena;
    return MARQ_OK;
}

marq_status marq_vocab_load(marq_vocab **out, const marq_config *config,
                            const marq_vocab *base,
                            const marq_vocab_text *texts, size_t text_count,
                            marq_findings **why)
{
    marq_config own;
    marq_findings *faults = NULL;
    if (why != NULL) {
        *why = NULL;
    }
    if (out == NULL) {
        return MARQ_ARGUMENT;
    }
    *out = NULL;
    if (texts == NULL && text_count > 0) {
        return MARQ_ARGUMENT;
    }
    for (size_t i = 0; i < text_count; i++) {
        if (texts[i].text == NULL) {
            return MARQ_ARGUMENT;
        }
    }
    marq_status status = take_config(&own, config);
    if (status == MARQ_OK) {
        status =
            marq_findings_new(&faults, marq_mem_of(&own), own.limits.findings);
    }
    if (status != MARQ_OK) {
        return status;
    }
    status = load_texts(out, &own, base, texts, text_count, faults);
    if (why != NULL && status == MARQ_VOCABULARY) {
        *why = faults;
    } else {
        marq_findings_free(faults);
    }
    return status;
}

void marq_vocab_free(marq_vocab *vocab)
{
    marq_vocab_release(vocab);
}

size_t marq_vocab_term_count(const marq_vocab *vocab)
{
    return vocab == NULL ? 0 : vocab->data->term_count;
}

const char *marq_vocab_term_name(const marq_vocab *vocab, size_t i)
{
    return i < marq_vocab_term_count(vocab)
               ? marq_string(vocab, vocab->data->terms[i].name)
               : NULL;
}

size_t marq_vocab_form_count(const marq_vocab *vocab)
{
    return vocab == NULL ? 0 : vocab->data->form_count;
}

const char *marq_vocab_form(const marq_vocab *vocab, size_t i)
{
    return i < marq_vocab_form_count(vocab)
               ? marq_string(vocab, vocab->data->forms[i].shown)
               : NULL;
}

/* ---- combinations ---- */

marq_status marq_combo_read(marq_combo **out, const marq_vocab *vocab,
                            const char *text, size_t length,
                            const marq_read_opts *opts)
{
    if (out == NULL) {
        return MARQ_ARGUMENT;
    }
    *out = NULL;
    if (vocab == NULL || (text == NULL && length > 0)) {
        return MARQ_ARGUMENT;
    }
    if (length > vocab->limits.text_bytes) {
        return MARQ_LIMIT;
    }
    marq_read_opts own = {.struct_size = sizeof own};
    take_options(&own, sizeof own, opts, opts != NULL ? opts->struct_size : 0);
    marq_combo *combo = marq_mem_alloc(vocab->mem, sizeof *combo);
    if (combo == NULL) {
        return MARQ_MEMORY;
    }
    memset(combo, 0, sizeof *combo);
    combo->vocab = vocab;
    marq_arena_init(&combo->arena, vocab->mem);
    marq_findings_init(&combo->findings, &combo->arena, vocab->limits.findings);
    marq_status status = marq_source_init(&combo->source, &combo->arena,
                                          own.name,
                                          text != NULL ? text : "", length);
    if (status == MARQ_OK) {
        status = marq_parse(&combo->tree, &combo->arena, vocab, &combo->source,
                            &combo->findings);
    }
    if (status != MARQ_OK) {
        marq_combo_free(combo);
        return status;
    }
    *out = combo;
    return MARQ_OK;
}

void marq_combo_free(marq_combo *combo)
{
    if (combo == NULL) {
        return;
    }
    marq_mem mem = combo->vocab->mem;
    marq_arena_free(&combo->arena);
    marq_mem_free(mem, combo);
}

const char *marq_combo_text(const marq_combo *combo, size_t *length)
{
    if (length != NULL) {
        *length = combo == NULL ? 0 : combo->source.length;
    }
    return combo == NULL ? NULL : combo->source.bytes;
}

bool marq_combo_unfinished(const marq_combo *combo)
{
    return combo != NULL && combo->tree.unfinished;
}

const marq_findings *marq_combo_findings(const marq_combo *combo)
{
    return combo == NULL ? NULL : &combo->findings;
}

marq_place marq_combo_place(const marq_combo *combo, size_t byte)
{
    marq_place none = {1, 1};
    return combo == NULL ? none : marq_source_place(&combo->source, byte);
}

/* The other side always states its start: the one written, or else the one
 * that was followed. */
static marq_status mirror_text(marq_text *text, const marq_combo *combo)
{
    marq_report *report = NULL;
    marq_status status = marq_check_run(&report, combo, false);
    if (status != MARQ_OK) {
        return status;
    }
    marq_tree own = combo->tree, turned;
    bool followed = !own.start.has_bodies && report->start.has_bodies;
    if (followed) {
        own.start = report->start;
        own.start.assumed = report->start_assumed;
    }
    status = marq_mirror_tree(&turned, &text->arena, combo->vocab, &own);
    if (status == MARQ_OK) {
        marq_build b;
        marq_print_plan plan = {.swap_remarks = true};
        plan.start_assumed = followed && report->start_assumed;
        marq_build_init(&b, &text->arena);
        marq_print_tree(&b, combo->vocab, &turned, &plan);
        text->bytes = marq_build_done(&b, &text->length);
        status = text->bytes == NULL ? MARQ_MEMORY : MARQ_OK;
    }
    marq_check_free(report);
    return status;
}

static marq_status new_text(marq_text **out, marq_mem mem)
{
    marq_text *text = marq_mem_alloc(mem, sizeof *text);
    if (text == NULL) {
        return MARQ_MEMORY;
    }
    memset(text, 0, sizeof *text);
    text->mem = mem;
    text->bytes = "";
    marq_arena_init(&text->arena, mem);
    *out = text;
    return MARQ_OK;
}

marq_status marq_other_side(marq_combo **out, const marq_combo *combo)
{
    marq_text *text;
    if (out == NULL) {
        return MARQ_ARGUMENT;
    }
    *out = NULL;
    if (combo == NULL) {
        return MARQ_ARGUMENT;
    }
    marq_status status = new_text(&text, combo->vocab->mem);
    if (status != MARQ_OK) {
        return status;
    }
    status = mirror_text(text, combo);
    if (status == MARQ_OK) {
        marq_read_opts opts = {sizeof opts, combo->source.name};
        status = marq_combo_read(out, combo->vocab, text->bytes, text->length,
                                 &opts);
    }
    marq_text_free(text);
    return status;
}

/* ---- reports ---- */

marq_status marq_check(marq_report **out, const marq_combo *combo,
                       const marq_check_opts *opts)
{
    marq_check_opts own = {.struct_size = sizeof own};
    if (out == NULL) {
        return MARQ_ARGUMENT;
    }
    *out = NULL;
    if (combo == NULL) {
        return MARQ_ARGUMENT;
    }
    take_options(&own, sizeof own, opts, opts != NULL ? opts->struct_size : 0);
    return marq_check_run(out, combo, !own.no_corrections);
}

void marq_report_free(marq_report *report)
{
    marq_check_free(report);
}

const marq_findings *marq_report_findings(const marq_report *report)
{
    return report == NULL ? NULL : &report->findings;
}

marq_readiness marq_report_readiness(const marq_report *report)
{
    marq_readiness none = {
        .whole = MARQ_READY_UNKNOWN,
        .position = MARQ_READY_UNKNOWN,
        .front_foot = MARQ_READY_UNKNOWN,
        .free_leg = MARQ_READY_UNKNOWN,
        .facing = MARQ_READY_UNKNOWN,
    };
    return report == NULL ? none : report->readiness;
}

size_t marq_report_moment_count(const marq_report *report)
{
    return report == NULL ? 0 : report->moments.count;
}

marq_moment marq_report_moment(const marq_report *report, size_t i)
{
    marq_moment none = {.count = "",
                        .step = "",
                        .weight = "",
                        .feet = "",
                        .level = "",
                        .facing = ""};
    return i < marq_report_moment_count(report)
               ? *MARQ_AT(&report->moments, marq_moment, i)
               : none;
}

marq_sum marq_report_sum(const marq_report *report)
{
    marq_sum none = {.total = {0, 1}, .phrase = 8, .missing = {0, 1}};
    return report == NULL ? none : report->sum;
}

static bool sum_at(const marq_array *sums, size_t i, marq_count *sum)
{
    if (i >= sums->count) {
        return false;
    }
    if (sum != NULL) {
        *sum = *MARQ_AT(sums, marq_count, i);
    }
    return true;
}

bool marq_report_line_sum(const marq_report *report, size_t i,
                          marq_count *sum)
{
    return report != NULL && sum_at(&report->line_sums, i, sum);
}

bool marq_report_phrase_sum(const marq_report *report, size_t i,
                            marq_count *sum)
{
    return report != NULL && sum_at(&report->phrase_sums, i, sum);
}

/* ---- text out ---- */

const char *marq_text_bytes(const marq_text *text, size_t *length)
{
    if (length != NULL) {
        *length = text == NULL ? 0 : text->length;
    }
    return text == NULL ? NULL : text->bytes;
}

void marq_text_free(marq_text *text)
{
    if (text == NULL) {
        return;
    }
    marq_mem mem = text->mem;
    marq_arena_free(&text->arena);
    marq_mem_free(mem, text);
}

/* Closes a text being built, or gives up on it. */
static marq_status finish_text(marq_text **out, marq_text *text, marq_build *b)
{
    text->bytes = marq_build_done(b, &text->length);
    if (text->bytes == NULL) {
        marq_text_free(text);
        return MARQ_MEMORY;
    }
    *out = text;
    return MARQ_OK;
}

marq_status marq_print(marq_text **out, const marq_combo *combo,
                       const marq_report *report, const marq_print_opts *opts)
{
    marq_text *text;
    marq_build b;
    if (out == NULL) {
        return MARQ_ARGUMENT;
    }
    *out = NULL;
    if (combo == NULL || (report != NULL && report->combo != combo)) {
        return MARQ_ARGUMENT;
    }
    marq_status status = new_text(&text, combo->vocab->mem);
    if (status != MARQ_OK) {
        return status;
    }
    marq_print_plan plan = {0};
    marq_print_opts own = {.struct_size = sizeof own};
    take_options(&own, sizeof own, opts, opts != NULL ? opts->struct_size : 0);
    if (report != NULL && own.with_assumed) {
        plan.assumed = report->assumed;
        plan.assumed_count = report->assumed_count;
        if (report->start.written) {
            plan.start = &report->start;
            plan.start_assumed = report->start_assumed;
        }
    }
    marq_build_init(&b, &text->arena);
    marq_print_tree(&b, combo->vocab, &combo->tree, &plan);
    return finish_text(out, text, &b);
}

marq_status marq_render(marq_text **out, const marq_report *report,
                        const marq_render_opts *opts)
{
    marq_text *text;
    marq_build b;
    marq_render_opts own = {.struct_size = sizeof own};
    if (out == NULL) {
        return MARQ_ARGUMENT;
    }
    *out = NULL;
    if (report == NULL) {
        return MARQ_ARGUMENT;
    }
    take_options(&own, sizeof own, opts, opts != NULL ? opts->struct_size : 0);
    own.name = own.name != NULL ? own.name : "-";
    own.width = own.width != 0 ? own.width : 80;
    marq_status status = new_text(&text, report->combo->vocab->mem);
    if (status != MARQ_OK) {
        return status;
    }
    marq_build_init(&b, &text->arena);
    switch (own.layout) {
    case MARQ_LAYOUT_LINES:
        marq_render_lines(&b, &report->findings, &report->combo->source,
                          own.name, own.colour);
        break;
    case MARQ_LAYOUT_TABLE:
        marq_render_table(&b, report, &own);
        break;
    default:
        marq_render_full(&b, report, &own);
        break;
    }
    return finish_text(out, text, &b);
}

marq_status marq_render_findings(marq_text **out, const marq_config *config,
                                 const marq_findings *findings,
                                 const char *bytes, size_t length,
                                 const char *name)
{
    marq_config own;
    marq_text *text;
    marq_source source;
    marq_build b;
    if (out == NULL) {
        return MARQ_ARGUMENT;
    }
    *out = NULL;
    if (findings == NULL || bytes == NULL) {
        return MARQ_ARGUMENT;
    }
    marq_status status = take_config(&own, config);
    if (status == MARQ_OK) {
        status = new_text(&text, marq_mem_of(&own));
    }
    if (status != MARQ_OK) {
        return status;
    }
    status = marq_source_init(&source, &text->arena, name, bytes, length);
    if (status != MARQ_OK) {
        marq_text_free(text);
        return status;
    }
    marq_build_init(&b, &text->arena);
    marq_render_lines(&b, findings, &source, name != NULL ? name : "-", false);
    return finish_text(out, text, &b);
}

/* ---- the catalogue ---- */

const char *marq_explain(const char *code)
{
    if (code == NULL) {
        return NULL;
    }
    marq_diag d = marq_diag_by_code(code);
    return d == MARQ_DIAGS ? NULL : marq_diag_headline(d);
}

const char *marq_code_at(size_t i)
{
    return i < MARQ_DIAGS ? marq_diag_code((marq_diag)i) : NULL;
}
