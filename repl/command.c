/* command.c - one command on one text, on files, on standard input. */
#include <errno.h>
#include <stdlib.h>
#include <string.h>

#include "repl.h"

repl_exit repl_worse(repl_exit a, repl_exit b)
{
    return a > b ? a : b;
}

static void complain(const char *name, const char *why)
{
    (void)fputs("marquer: ", stderr);
    repl_show_string(stderr, name);
    (void)fprintf(stderr, ": %s\n", why);
}

repl_exit repl_fail(marq_status status, const char *name)
{
    if (status == MARQ_LIMIT) {
        complain(name, "larger than can be followed");
        return REPL_UNREADABLE;
    }
    complain(name, marq_status_text(status));
    return REPL_DEFECT;
}

/* ---- output of each ---- */

static marq_status write_report(const marq_report *report, const char *name,
                                marq_layout layout, const repl_look *look)
{
    marq_text *text = NULL;
    marq_render_opts opts = {sizeof opts, layout, name, look->colour,
                             look->width};
    marq_status status = marq_render(&text, report, &opts);

    if (status == MARQ_OK) {
        size_t length;
        const char *bytes = marq_text_bytes(text, &length);

        (void)fwrite(bytes, 1, length, stdout);
    }
    marq_text_free(text);
    return status;
}

static marq_status write_clean(const marq_combo *combo,
                               const marq_report *report)
{
    marq_print_opts opts = {sizeof opts, true};
    marq_text *text = NULL;
    marq_status status = marq_print(&text, combo, report, &opts);

    if (status == MARQ_OK) {
        size_t length;
        const char *bytes = marq_text_bytes(text, &length);

        repl_show(stdout, bytes, length);
    }
    marq_text_free(text);
    return status;
}

static marq_status write_other(const marq_combo *combo)
{
    marq_combo *other = NULL;
    marq_status status = marq_other_side(&other, combo);

    if (status == MARQ_OK) {
        size_t length;
        const char *bytes = marq_combo_text(other, &length);

        repl_show(stdout, bytes, length);
    }
    marq_combo_free(other);
    return status;
}

static marq_status write_command(repl_command command, const marq_combo *combo,
                                 const marq_report *report, const char *name,
                                 const repl_look *look)
{
    switch (command) {
    case REPL_CHECK:
        return write_report(report, name, look->layout, look);
    case REPL_MARK:
        return write_report(report, name, MARQ_LAYOUT_TABLE, look);
    case REPL_OTHER_SIDE:
        return write_other(combo);
    case REPL_CLEAN_COPY:
        return write_clean(combo, report);
    }
    return MARQ_DEFECT;
}

/* What `check` would have said, where something else was asked for. */
static void tell_problems(const char *name, size_t problems)
{
    (void)fflush(stdout);
    (void)fputs("marquer: ", stderr);
    if (name != NULL) {
        repl_show_string(stderr, name);
        (void)fputs(": ", stderr);
    }
    (void)fprintf(stderr, "%zu %s; check says which\n", problems,
                  problems == 1 ? "problem" : "problems");
}

repl_exit repl_run(const marq_vocab *vocab, repl_command command,
                   const char *text, size_t length, const char *name,
                   const repl_look *look)
{
    marq_combo *combo = NULL;
    marq_report *report = NULL;
    marq_read_opts read_opts = {sizeof read_opts, name};
    marq_check_opts check_opts = {sizeof check_opts, command != REPL_CHECK};
    repl_exit end = REPL_CLEAN;
    marq_status status =
        marq_combo_read(&combo, vocab, text, length, &read_opts);

    if (status == MARQ_OK) {
        status = marq_check(&report, combo, &check_opts);
    }
    if (status == MARQ_OK) {
        status = write_command(command, combo, report, name, look);
    }
    if (status != MARQ_OK) {
        end = repl_fail(status, name != NULL ? name : "-");
    } else {
        size_t problems = marq_finding_count_of(marq_report_findings(report),
                                                MARQ_PROBLEM);
        if (problems > 0) {
            end = REPL_FOUND;
            if (command != REPL_CHECK) {
                tell_problems(name, problems);
            }
        }
    }
    marq_report_free(report);
    marq_combo_free(combo);
    return end;
}

/* ---- files ---- */

static repl_exit run_file(const marq_vocab *vocab, repl_command command,
                          const repl_look *look, const char *name)
{
    repl_bytes text = {NULL, 0};
    repl_exit end;

    if (!repl_read(&text, name)) {
        if (errno == ENOMEM) {
            return repl_fail(MARQ_MEMORY, name);
        }
        complain(name, strerror(errno));
        return REPL_UNREADABLE;
    }
    end = repl_run(vocab, command, text.at, text.length,
                   strcmp(name, "-") == 0 ? NULL : name, look);
    free(text.at);
    return end;
}

repl_exit repl_run_files(repl_command command, const repl_look *look,
                         char *const *names, size_t count)
{
    marq_vocab *vocab = NULL;
    repl_exit end = REPL_CLEAN;
    marq_status status = marq_vocab_builtin(&vocab, NULL);
    bool lines = command == REPL_CHECK && look->layout == MARQ_LAYOUT_LINES;

    if (status != MARQ_OK) {
        return repl_fail(status, "the vocabulary");
    }
    if (count == 0) {
        end = run_file(vocab, command, look, "-");
    }
    for (size_t i = 0; i < count && !ferror(stdout); i++) {
        if (count > 1 && !lines) {
            (void)fputs(i > 0 ? "\n" : "", stdout);
            repl_show_string(stdout, names[i]);
            (void)fputs("\n\n", stdout);
        }
        (void)fflush(stdout); /* so that complaints stand in their place */
        end = repl_worse(end, run_file(vocab, command, look, names[i]));
    }
    marq_vocab_free(vocab);
    return end;
}

/* ---- explain ---- */

repl_exit repl_explain(const char *code)
{
    char large[8] = "";
    const char *headline;

    for (size_t i = 0; code[i] != '\0' && i + 1 < sizeof large; i++) {
        bool small = code[i] >= 'a' && code[i] <= 'z';

        large[i] = (char)(small ? code[i] - 'a' + 'A' : code[i]);
    }
    headline = marq_explain(large);
    if (headline == NULL || strlen(code) != strlen(large)) {
        (void)fputs("marquer: no finding has the code ", stderr);
        repl_show_string(stderr, code);
        (void)fputs("\n", stderr);
        return REPL_USAGE;
    }
    (void)printf("%s     ", large);
    for (const char *at = headline; *at != '\0'; at++) {
        if (at[0] == '%' && at[1] >= '1' && at[1] <= '9') {
            (void)fputs("...", stdout); /* a text of the finding's own */
            at++;
        } else {
            (void)fputc(*at, stdout);
        }
    }
    (void)printf("\npage     docs/explain/%s.md, with a wrong and a right "
                 "example\n",
                 large);
    return REPL_CLEAN;
}

const char *repl_finding_block(const char *rendered, size_t i, size_t *length)
{
    for (;;) {
        const char *end = strstr(rendered, "\n\n");

        if (end == NULL) {
            *length = 0;
            return NULL;
        }
        if (i == 0) {
            *length = (size_t)(end - rendered) + 1;
            return rendered;
        }
        i--;
        rendered = end + 2;
    }
}
