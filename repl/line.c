/* line.c - lines typed at a terminal: readline, history, signals. */
#include <errno.h>
#include <langinfo.h>
#include <locale.h>
#include <signal.h>
#include <stdlib.h>
#include <string.h>
#include <sys/select.h>
#include <sys/stat.h>
#include <unistd.h>

/* readline's headers need the C library's first. */
#include <stdio.h>

#include <readline/history.h>
#include <readline/readline.h>

#include "repl.h"

#define HISTORY_MOST 1000
#define PROMPT "marquer: "
#define PROMPT_MORE "   more: "

/* Readline's handlers take no argument of ours. */
static repl_session *typed_into;
static bool is_over;
static char *history_file; /* NULL: none is kept */
static volatile sig_atomic_t was_interrupted;

/* ---- locale ---- */

/* Accents need a locale of UTF-8; where none is set, the plain one is. */
static void set_locale(void)
{
    if (setlocale(LC_CTYPE, "") == NULL ||
        strcmp(nl_langinfo(CODESET), "UTF-8") != 0) {
        (void)setlocale(LC_CTYPE, "C.UTF-8");
    }
}

/* ---- history ---- */

/* Makes the folders of a path, for its owner alone. */
static bool make_folders(char *path)
{
    for (char *at = path + 1; *at != '\0'; at++) {
        if (*at == '/') {
            int made;

            *at = '\0';
            made = mkdir(path, 0700);
            *at = '/';
            if (made != 0 && errno != EEXIST) {
                return false;
            }
        }
    }
    return true;
}

static void open_history(void)
{
    static const char under_state[] = "/marquer/history";
    static const char under_home[] = "/.local/state/marquer/history";
    const char *base = getenv("XDG_STATE_HOME");
    const char *rest = under_state;
    FILE *file;
    size_t n;

    using_history();
    stifle_history(HISTORY_MOST);
    if (base == NULL || base[0] != '/') { /* a relative one does not count */
        base = getenv("HOME");
        rest = under_home;
    }
    if (base == NULL || base[0] != '/') {
        return;
    }
    n = strlen(base) + strlen(rest) + 1;
    history_file = malloc(n);
    if (history_file == NULL) {
        return;
    }
    (void)snprintf(history_file, n, "%s%s", base, rest);
    file = make_folders(history_file) ? fopen(history_file, "a") : NULL;
    if (file == NULL) {
        free(history_file);
        history_file = NULL;
        return;
    }
    (void)fclose(file);
    (void)read_history(history_file);
}

/* Written line by line, so that nothing is lost however it ends. */
static void keep_line(const char *line)
{
    HIST_ENTRY *last = history_get(history_base + history_length - 1);

    if (line[0] == '\0' || (last != NULL && strcmp(last->line, line) == 0)) {
        return;
    }
    add_history(line);
    if (history_file != NULL) {
        (void)append_history(1, history_file);
    }
}

static void close_history(void)
{
    if (history_file != NULL) {
        (void)history_truncate_file(history_file, HISTORY_MOST);
        free(history_file);
        history_file = NULL;
    }
    clear_history();
}

/* ---- lines ---- */

static void take_line(char *line)
{
    int rows = 0, columns = 0;

    if (line == NULL) { /* Ctrl-D */
        (void)fputc('\n', stdout);
        repl_session_close(typed_into);
        is_over = true;
        return;
    }
    rl_get_screen_size(&rows, &columns);
    repl_session_width(typed_into,
                       columns >= 40 && columns < 80 ? (unsigned)columns : 80);
    keep_line(line);
    switch (repl_session_line(typed_into, line, strlen(line))) {
    case REPL_NEXT_LINE:
        rl_set_prompt(PROMPT);
        break;
    case REPL_NEXT_MORE:
        rl_set_prompt(PROMPT_MORE);
        break;
    case REPL_NEXT_END:
        is_over = true;
        break;
    }
    free(line);
    if (is_over) {
        rl_callback_handler_remove(); /* no further prompt */
    }
}

static void note_interrupt(int signal_number)
{
    (void)signal_number;
    was_interrupted = 1;
}

/* Ctrl-C drops the line, and what an open bracket was waiting with. */
static void drop_line(void)
{
    was_interrupted = 0;
    rl_callback_handler_remove();
    (void)fputc('\n', stdout);
    (void)fflush(stdout);
    repl_session_drop(typed_into);
    rl_callback_handler_install(PROMPT, take_line);
}

/* Signals are let through only while we wait and where readline asks for
 * them; else one that comes just before the waiting would be noticed only
 * with the next key. */
static void wait_for_keys(void)
{
    sigset_t held, usual;

    (void)sigemptyset(&held);
    (void)sigaddset(&held, SIGINT);
    (void)sigaddset(&held, SIGTSTP);
    (void)sigaddset(&held, SIGTERM);
    (void)sigaddset(&held, SIGHUP);
    (void)sigaddset(&held, SIGWINCH);
    while (!is_over) {
        int got = 0;
        int why = EINTR;
        fd_set keys;

        (void)sigprocmask(SIG_BLOCK, &held, &usual);
        if (rl_pending_signal() == 0 && !was_interrupted) {
            FD_ZERO(&keys);
            FD_SET(STDIN_FILENO, &keys);
            got = pselect(STDIN_FILENO + 1, &keys, NULL, NULL, NULL, &usual);
            why = errno;
        }
        (void)sigprocmask(SIG_SETMASK, &usual, NULL);
        if (got < 0 && why != EINTR) {
            return;
        }
        rl_check_signals(); /* interrupt, stop, a new size of the window */
        if (was_interrupted) {
            drop_line();
        } else if (got > 0) {
            rl_callback_read_char();
        }
    }
}

void repl_lines(repl_session *session, const marq_vocab *vocab)
{
    struct sigaction on_interrupt, before;

    set_locale();
    memset(&on_interrupt, 0, sizeof on_interrupt);
    on_interrupt.sa_handler = note_interrupt;
    (void)sigemptyset(&on_interrupt.sa_mask);
    (void)sigaction(SIGINT, &on_interrupt, &before);
    typed_into = session;
    rl_readline_name = "marquer";
    rl_catch_signals = 1;
    rl_catch_sigwinch = 1;
    rl_persistent_signal_handlers = 1; /* caught while we wait, too */
    repl_complete_with(vocab);
    open_history();
    (void)printf("marquer %s: type a combination line by line; help lists the "
                 "commands\n",
                 marq_version());
    (void)fflush(stdout);
    rl_callback_handler_install(PROMPT, take_line);
    wait_for_keys();
    rl_callback_handler_remove();
    close_history();
    repl_complete_with(NULL);
    (void)sigaction(SIGINT, &before, NULL);
}
