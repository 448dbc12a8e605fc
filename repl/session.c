/* session.c - a combination being typed: each line is added and followed at
 * once. */
#include <errno.h>
#include <stdlib.h>
#include <string.h>

#include "repl.h"

/* A longer text is followed only when asked: following it all again at each
 * line would take longer and longer. */
#define FOLLOW_MOST ((size_t)8 << 10)

/* What makes a finding the same as one of the line before. */
typedef struct seen {
    char code[8];
    bool has_span;
    uint32_t from, to;
} seen;

struct repl_session {
    const marq_vocab *vocab;
    repl_look look;
    bool talks;      /* to somebody at a terminal */
    bool found;      /* a problem was shown */
    bool awaits;     /* the last entry has an open bracket */
    bool told_long;  /* that it is followed only when asked */
    bool owes;       /* it was not, and nobody has asked yet */
    repl_exit worst;
    repl_bytes text;
    size_t *entries; /* where in the text each entry begins */
    size_t entry_count, entry_room;
    char *clean;     /* the clean copy after the line before */
    seen *seen;      /* the findings after the line before */
    size_t seen_count;
    char *file;      /* may be written over: loaded or saved before */
};

repl_session *repl_session_new(const marq_vocab *vocab, const repl_look *look,
                               bool talks)
{
    repl_session *s = calloc(1, sizeof *s);

    if (s == NULL) {
        return NULL;
    }
    s->vocab = vocab;
    s->look = *look;
    s->talks = talks;
    s->worst = REPL_CLEAN;
    if (!repl_add(&s->text, "", 0)) {
        free(s);
        return NULL;
    }
    return s;
}

void repl_session_free(repl_session *s)
{
    if (s == NULL) {
        return;
    }
    free(s->text.at);
    free(s->entries);
    free(s->clean);
    free(s->seen);
    free(s->file);
    free(s);
}

void repl_session_width(repl_session *s, unsigned width)
{
    s->look.width = width;
}

repl_exit repl_session_exit(const repl_session *s)
{
    return repl_worse(s->worst, s->found ? REPL_FOUND : REPL_CLEAN);
}

static void fail(repl_session *s, marq_status status)
{
    s->worst = repl_worse(s->worst, repl_fail(status, "-"));
}

static void say(const char *text)
{
    (void)fputs(text, stdout);
    (void)fputc('\n', stdout);
}

/* ---- what a line was read as ---- */

static marq_status read_back(repl_session *s, const marq_combo *combo,
                             const marq_report *report, bool quiet)
{
    marq_print_opts opts = {sizeof opts, true};
    marq_text *text = NULL;
    marq_status status = marq_print(&text, combo, report, &opts);
    size_t length;
    const char *bytes = marq_text_bytes(text, &length);
    char *kept;

    if (status != MARQ_OK) {
        return status;
    }
    kept = malloc(length + 1);
    if (kept == NULL) {
        marq_text_free(text);
        return MARQ_MEMORY;
    }
    for (size_t i = 0; i < length; i++) { /* lines are told apart by ends */
        kept[i] = bytes[i];
        if (bytes[i] == '\0') {
            kept[i] = '\1';
        }
    }
    kept[length] = '\0';
    marq_text_free(text);
    if (!quiet) {
        repl_show_reading(s->clean != NULL ? s->clean : "", kept);
    }
    free(s->clean);
    s->clean = kept;
    return MARQ_OK;
}

/* ---- findings that are new ---- */

static seen seen_of(const marq_finding *f)
{
    seen made = {"", f->has_span, f->span.from, f->span.to};

    (void)snprintf(made.code, sizeof made.code, "%s", f->code);
    return made;
}

static bool is_same(const seen *a, const seen *b)
{
    return strcmp(a->code, b->code) == 0 && a->has_span == b->has_span &&
           (!a->has_span || (a->from == b->from && a->to == b->to));
}

/* True of what a combination that is not all typed yet cannot help: no step,
 * a phrase that is short. */
static bool can_wait(const char *code)
{
    static const char *const codes[] = {"R006", "C003", "C006", "C007"};

    for (size_t i = 0; i < sizeof codes / sizeof codes[0]; i++) {
        if (strcmp(code, codes[i]) == 0) {
            return true;
        }
    }
    return false;
}

static void show_new(repl_session *s, const marq_finding *f, size_t i,
                     const char *rendered)
{
    size_t length;
    const char *block;

    if (f->severity == MARQ_NOTE) {
        (void)fputs("  note     ", stdout);
        repl_show_string(stdout, f->headline);
        (void)printf(" [%s]\n", f->code);
        return;
    }
    s->found = s->found || f->severity == MARQ_PROBLEM;
    block = repl_finding_block(rendered, i, &length);
    if (block != NULL) {
        (void)fwrite(block, 1, length, stdout);
    }
}

static marq_status tell_new(repl_session *s, const marq_report *report,
                            bool quiet)
{
    const marq_findings *findings = marq_report_findings(report);
    size_t count = marq_finding_count(findings);
    marq_render_opts opts = {sizeof opts, MARQ_LAYOUT_FULL, NULL,
                             s->look.colour, s->look.width};
    marq_text *text = NULL;
    marq_status status = marq_render(&text, report, &opts);
    seen *all;

    if (status != MARQ_OK) {
        return status;
    }
    all = calloc(count + 1, sizeof *all);
    if (all == NULL) {
        marq_text_free(text);
        return MARQ_MEMORY;
    }
    for (size_t i = 0; i < count; i++) {
        const marq_finding *f = marq_finding_at(findings, i);
        bool old = can_wait(f->code);

        all[i] = seen_of(f);
        for (size_t k = 0; k < s->seen_count && !old; k++) {
            old = is_same(&all[i], &s->seen[k]);
        }
        if (!old && !quiet) {
            show_new(s, f, i, marq_text_bytes(text, NULL));
        }
    }
    free(s->seen);
    s->seen = all;
    s->seen_count = count;
    marq_text_free(text);
    return MARQ_OK;
}

/* ---- where one stands ---- */

static void tell_stand(const marq_report *report)
{
    size_t count = marq_report_moment_count(report);
    marq_moment last;

    if (count == 0) {
        return;
    }
    last = marq_report_moment(report, count - 1);
    if (!last.known && count == 1) {
        return; /* nothing danced yet */
    }
    (void)fputs("  stands   ", stdout);
    repl_show_string(stdout, last.known ? last.feet : "not known");
    if (last.known && last.facing[0] != '\0') {
        (void)fputs(", facing ", stdout);
        repl_show_string(stdout, last.facing);
    }
    (void)fputc('\n', stdout);
}

/* ---- following ---- */

/* Follows the whole text and tells what the last line brought; `quiet` only
 * remembers it. */
static void follow(repl_session *s, bool quiet)
{
    marq_combo *combo = NULL;
    marq_report *report = NULL;
    marq_status status;

    if (s->text.length > FOLLOW_MOST) {
        if (!s->told_long) {
            say("  long by now: followed when you ask, by check or mark");
            s->told_long = true;
        }
        s->owes = true;
        return;
    }
    s->told_long = s->owes = false;
    status = marq_combo_read(&combo, s->vocab, s->text.at, s->text.length,
                             NULL);
    if (status == MARQ_OK) {
        status = marq_check(&report, combo, NULL);
    }
    if (status == MARQ_OK) {
        status = read_back(s, combo, report, quiet);
    }
    if (status == MARQ_OK) {
        status = tell_new(s, report, quiet);
    }
    if (status == MARQ_OK && !quiet) {
        tell_stand(report);
    }
    if (status != MARQ_OK) {
        fail(s, status);
    }
    marq_report_free(report);
    marq_combo_free(combo);
}

/* ---- lines of the combination ---- */

static bool begin_entry(repl_session *s)
{
    if (s->entry_count == s->entry_room) {
        size_t room = s->entry_room > 0 ? 2 * s->entry_room : 16;
        size_t *more = realloc(s->entries, room * sizeof *more);

        if (more == NULL) {
            return false;
        }
        s->entries = more;
        s->entry_room = room;
    }
    s->entries[s->entry_count++] = s->text.length;
    return true;
}

static void cut_entry(repl_session *s)
{
    if (s->entry_count > 0) {
        s->text.length = s->entries[--s->entry_count];
        s->text.at[s->text.length] = '\0';
    }
}

/* Is a bracket of the last entry still open? */
static bool is_open(const repl_session *s)
{
    size_t from = s->entries[s->entry_count - 1];
    marq_combo *combo = NULL;
    bool open = false;

    if (marq_combo_read(&combo, s->vocab, s->text.at + from,
                        s->text.length - from, NULL) == MARQ_OK) {
        open = marq_combo_unfinished(combo);
    }
    marq_combo_free(combo);
    return open;
}

static bool is_blank(const char *line, size_t length)
{
    for (size_t i = 0; i < length; i++) {
        if (line[i] != ' ' && line[i] != '\t') {
            return false;
        }
    }
    return true;
}

static repl_next add_line(repl_session *s, const char *line, size_t length)
{
    bool blank = is_blank(line, length);
    bool first = !s->awaits;
    size_t was = s->text.length;

    if (first && blank &&
        (was < 2 || (s->text.at[was - 1] == '\n' &&
                     s->text.at[was - 2] == '\n'))) {
        return REPL_NEXT_LINE; /* one empty line is enough */
    }
    if ((first && !begin_entry(s)) || !repl_add(&s->text, line, length) ||
        !repl_add(&s->text, "\n", 1)) {
        s->text.length = was;
        s->text.at[was] = '\0';
        fail(s, MARQ_MEMORY);
        return REPL_NEXT_LINE;
    }
    /* An empty line ends what an open bracket began. */
    s->awaits = !blank && s->text.length <= FOLLOW_MOST && is_open(s);
    if (s->awaits) {
        return REPL_NEXT_MORE;
    }
    follow(s, blank && first);
    return REPL_NEXT_LINE;
}

void repl_session_drop(repl_session *s)
{
    if (s->awaits) {
        s->awaits = false;
        cut_entry(s);
    }
}

/* ---- commands ---- */

static void begin_again(repl_session *s)
{
    s->text.length = 0;
    s->text.at[0] = '\0';
    s->entry_count = 0;
    s->seen_count = 0;
    s->told_long = s->owes = false;
    free(s->clean);
    s->clean = NULL;
    free(s->file);
    s->file = NULL;
}

static void run(repl_session *s, repl_command command)
{
    repl_exit end = repl_run(s->vocab, command, s->text.at, s->text.length,
                             NULL, &s->look);

    s->owes = false;
    if (end == REPL_FOUND) {
        s->found = true;
    } else {
        s->worst = repl_worse(s->worst, end);
    }
}

void repl_session_close(repl_session *s)
{
    if (s->awaits) {
        s->awaits = false;
        follow(s, false);
    }
    if (s->owes && !s->talks) {
        run(s, REPL_CHECK); /* no text of a script goes without its verdict */
    }
    (void)fflush(stdout);
}

static void undo(repl_session *s)
{
    if (s->entry_count == 0) {
        say("  nothing to take back");
        return;
    }
    (void)fputs("  taken    ", stdout);
    repl_show(stdout, s->text.at + s->entries[s->entry_count - 1],
              s->text.length - s->entries[s->entry_count - 1]);
    cut_entry(s);
    follow(s, true);
}

static void keep_name(repl_session *s, const char *name)
{
    free(s->file);
    s->file = strdup(name);
}

static void tell_file(const char *what, const char *name, const char *why)
{
    (void)fputs(what, stdout);
    repl_show_string(stdout, name);
    if (why != NULL) {
        (void)printf(": %s", why);
    }
    (void)fputc('\n', stdout);
}

static void save(repl_session *s, const char *name)
{
    bool over = s->file != NULL && strcmp(s->file, name) == 0;

    if (!repl_write(name, s->text.at, s->text.length, over)) {
        tell_file("  not saved  ", name, strerror(errno));
        s->worst = repl_worse(s->worst, REPL_UNREADABLE);
        return;
    }
    keep_name(s, name);
    tell_file("  saved    ", name, NULL);
}

static void load(repl_session *s, const char *name)
{
    repl_bytes made = {NULL, 0};

    if (strcmp(name, "-") == 0) {
        say("  load takes the name of a file");
        return;
    }
    if (!repl_read(&made, name)) {
        tell_file("  not read  ", name, strerror(errno));
        s->worst = repl_worse(s->worst, REPL_UNREADABLE);
        return;
    }
    begin_again(s);
    /* Each line is an entry, to be taken back singly. */
    for (size_t at = 0, n; at < made.length; at += n) {
        const char *end = memchr(made.at + at, '\n', made.length - at);

        n = end != NULL ? (size_t)(end - (made.at + at)) + 1 : made.length - at;
        if (!begin_entry(s) || !repl_add(&s->text, made.at + at, n)) {
            fail(s, MARQ_MEMORY);
            break;
        }
    }
    if (s->text.length > 0 && s->text.at[s->text.length - 1] != '\n' &&
        !repl_add(&s->text, "\n", 1)) {
        fail(s, MARQ_MEMORY);
    }
    free(made.at);
    keep_name(s, name);
    tell_file("  loaded   ", name, NULL);
    follow(s, true);
    run(s, REPL_CHECK);
}

static void help(void)
{
    say("A line you type is added to the combination and followed at once.\n"
        "A line that is just one of these is carried out:\n"
        "  check         what cannot be danced, the sums, the other side\n"
        "  mark          walk it through, a row a step\n"
        "  other side    the same with left and right changed\n"
        "  clean         a clean copy\n"
        "  explain CODE  what a finding's code means\n"
        "  undo          take back the last line\n"
        "  new           begin again\n"
        "  load FILE     begin again with a file\n"
        "  save FILE     write down what was typed\n"
        "  quit          leave\n"
        "To write such words into the combination, put then before them:\n"
        "then other side.  A tilde marks what was assumed.");
}

/* What stands behind a command word, or NULL if the line is not that. */
static const char *after_word(const char *line, const char *word)
{
    size_t n = strlen(word);

    if (strncmp(line, word, n) != 0 || line[n] != ' ') {
        return NULL;
    }
    line += n;
    while (*line == ' ') {
        line++;
    }
    return *line != '\0' ? line : NULL;
}

typedef enum asked { ASKED_NOT, ASKED_DONE, ASKED_QUIT } asked;

static asked run_word(repl_session *s, const char *line)
{
    const char *rest;

    if (strcmp(line, "check") == 0) {
        run(s, REPL_CHECK);
    } else if (strcmp(line, "mark") == 0) {
        run(s, REPL_MARK);
    } else if (strcmp(line, "other side") == 0 ||
               strcmp(line, "other-side") == 0) {
        run(s, REPL_OTHER_SIDE);
    } else if (strcmp(line, "clean") == 0) {
        run(s, REPL_CLEAN_COPY);
    } else if (strcmp(line, "new") == 0) {
        begin_again(s);
    } else if (strcmp(line, "undo") == 0) {
        undo(s);
    } else if (strcmp(line, "help") == 0) {
        help();
    } else if (strcmp(line, "quit") == 0) {
        return ASKED_QUIT;
    } else if ((rest = after_word(line, "explain")) != NULL) {
        s->worst = repl_worse(s->worst, repl_explain(rest));
    } else if ((rest = after_word(line, "save")) != NULL) {
        save(s, rest);
    } else if ((rest = after_word(line, "load")) != NULL) {
        load(s, rest);
    } else {
        return ASKED_NOT;
    }
    return ASKED_DONE;
}

repl_next repl_session_line(repl_session *s, const char *line, size_t length)
{
    repl_next next = REPL_NEXT_LINE;
    asked what = ASKED_NOT;

    if (!s->awaits && length < 4096 && memchr(line, '\0', length) == NULL) {
        char word[4096];
        size_t from = 0, to = length;

        while (from < to && (line[from] == ' ' || line[from] == '\t')) {
            from++;
        }
        while (to > from && (line[to - 1] == ' ' || line[to - 1] == '\t')) {
            to--;
        }
        memcpy(word, line + from, to - from);
        word[to - from] = '\0';
        what = run_word(s, word);
    }
    if (what == ASKED_QUIT) {
        next = REPL_NEXT_END;
    } else if (what == ASKED_NOT) {
        next = add_line(s, line, length);
    }
    (void)fflush(stdout);
    return next;
}
