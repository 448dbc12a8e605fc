/* main.c - what was asked for on the command line. */
#include <string.h>
#include <stdlib.h>
#include <unistd.h>

#include "repl.h"

static const char usage[] =
    "marquer                            type a combination, line by line\n"
    "marquer check [--lines] [FILE...]  what cannot be danced, and the sums\n"
    "marquer mark [FILE...]             walk it through, a row a step\n"
    "marquer other-side [FILE...]       the same with left and right changed\n"
    "marquer clean [FILE...]            a clean copy\n"
    "marquer explain CODE               what a finding's code means\n"
    "marquer --version | --help\n"
    "\n"
    "Without FILE, or for -, standard input is read.\n"
    "Ends with 0: no problem; 1: a problem found; 2: asked wrongly; 3: a file\n"
    "cannot be read or the output not written; 70: a fault of marquer.\n";

static repl_exit ask_again(const char *why, const char *what)
{
    (void)fprintf(stderr, "marquer: %s", why);
    if (what != NULL) {
        (void)fputs(": ", stderr);
        repl_show_string(stderr, what);
    }
    (void)fputs("\nmarquer --help says what can be asked for\n", stderr);
    return REPL_USAGE;
}

/* ---- no command: the combination is typed, or comes by a pipe ---- */

static void read_script(repl_session *session)
{
    char *line = NULL;
    size_t room = 0;
    repl_next next = REPL_NEXT_LINE;
    ssize_t got;

    while (next != REPL_NEXT_END && (got = getline(&line, &room, stdin)) >= 0) {
        size_t length = (size_t)got;

        if (length > 0 && line[length - 1] == '\n') {
            length--;
        }
        if (length > 0 && line[length - 1] == '\r') {
            length--;
        }
        next = repl_session_line(session, line, length);
    }
    free(line);
    repl_session_close(session);
}

static repl_exit run_session(void)
{
    bool talks = isatty(STDIN_FILENO) && isatty(STDOUT_FILENO);
    repl_look look = {MARQ_LAYOUT_FULL, talks && repl_colour(), 80};
    marq_vocab *vocab = NULL;
    repl_session *session;
    repl_exit end;
    marq_status status = marq_vocab_builtin(&vocab, NULL);

    if (status != MARQ_OK) {
        return repl_fail(status, "the vocabulary");
    }
    session = repl_session_new(vocab, &look, talks);
    if (session == NULL) {
        marq_vocab_free(vocab);
        return repl_fail(MARQ_MEMORY, "-");
    }
    if (talks) {
        repl_lines(session, vocab);
    } else {
        read_script(session);
    }
    end = repl_session_exit(session);
    if (ferror(stdin)) {
        (void)fputs("marquer: standard input cannot be read\n", stderr);
        end = repl_worse(end, REPL_UNREADABLE);
    }
    repl_session_free(session);
    marq_vocab_free(vocab);
    /* At a terminal what was found has been seen and perhaps mended. */
    return talks && end == REPL_FOUND ? REPL_CLEAN : end;
}

/* ---- a command ---- */

static repl_exit run_command(repl_command command, char **args, size_t count)
{
    repl_look look = {MARQ_LAYOUT_FULL, repl_colour(), 80};
    char **names = args;
    size_t kept = 0;
    bool options = true;

    for (size_t i = 0; i < count; i++) {
        if (!options || args[i][0] != '-' || args[i][1] == '\0') {
            names[kept++] = args[i];
        } else if (strcmp(args[i], "--") == 0) {
            options = false;
        } else if (strcmp(args[i], "--lines") == 0 && command == REPL_CHECK) {
            look.layout = MARQ_LAYOUT_LINES;
        } else {
            return ask_again("not an option here", args[i]);
        }
    }
    return repl_run_files(command, &look, names, kept);
}

static repl_exit run_asked(int argc, char **argv)
{
    static const struct {
        const char *word;
        repl_command command;
    } commands[] = {
        {"check", REPL_CHECK},
        {"mark", REPL_MARK},
        {"other-side", REPL_OTHER_SIDE},
        {"clean", REPL_CLEAN_COPY},
    };

    if (argc < 2) {
        return run_session();
    }
    if (strcmp(argv[1], "--help") == 0 || strcmp(argv[1], "help") == 0) {
        (void)fputs(usage, stdout);
        return REPL_CLEAN;
    }
    if (strcmp(argv[1], "--version") == 0) {
        (void)printf("marquer %s\n", marq_version());
        return REPL_CLEAN;
    }
    if (strcmp(argv[1], "explain") == 0) {
        return argc == 3 ? repl_explain(argv[2])
                         : ask_again("explain takes one code", NULL);
    }
    for (size_t i = 0; i < sizeof commands / sizeof commands[0]; i++) {
        if (strcmp(argv[1], commands[i].word) == 0) {
            return run_command(commands[i].command, argv + 2,
                               (size_t)argc - 2);
        }
    }
    return ask_again("not a command", argv[1]);
}

int main(int argc, char **argv)
{
    repl_exit end = run_asked(argc, argv);

    return (int)repl_worse(end, repl_finish());
}
