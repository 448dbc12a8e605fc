/* repl.h - what the parts of the program share.
 * May use marquer.h, the C library and POSIX; only line.c and complete.c use
 * readline. */
#ifndef REPL_H
#define REPL_H

#include <stdbool.h>
#include <stddef.h>
#include <stdio.h>

#include "marquer.h"

/* How the program ends; the worst of several counts. */
typedef enum repl_exit {
    REPL_CLEAN = 0,      /* notes and questions alone too */
    REPL_FOUND = 1,      /* a problem was found */
    REPL_USAGE = 2,
    REPL_UNREADABLE = 3, /* a file cannot be read, or output not written */
    REPL_DEFECT = 70     /* a fault of ours, or memory ended */
} repl_exit;

repl_exit repl_worse(repl_exit a, repl_exit b);
/* Says what a status means for `name` on standard error; how to end. */
repl_exit repl_fail(marq_status status, const char *name);

/* ---- show.c: nothing reaches a terminal raw ---- */

/* Writes text so that control, escape and broken bytes, and characters that
 * are not seen or move others, are shown by number; line feeds stay, a tab
 * becomes a blank. */
void repl_show(FILE *to, const char *bytes, size_t length);
void repl_show_string(FILE *to, const char *text);
/* Length of the UTF-8 sequence at `bytes`, 0 if broken; *code its number. */
size_t repl_decode(const char *bytes, size_t length, unsigned long *code);
/* Is the standard output to be coloured? */
bool repl_colour(void);
/* Standard output written out and checked. */
repl_exit repl_finish(void);

/* ---- file.c ---- */

typedef struct repl_bytes { /* owns `at`, which is zero-terminated */
    char *at;
    size_t length;
} repl_bytes;

/* A whole file, or standard input for "-".  A file longer than the library
 * takes is read only so far that it will say so.  False: errno says why. */
bool repl_read(repl_bytes *out, const char *name);
/* Adds to the end; false when memory ends, and nothing is changed. */
bool repl_add(repl_bytes *to, const char *bytes, size_t length);
/* Writes a new file; with `over` one that exists is replaced.  False: errno. */
bool repl_write(const char *name, const char *bytes, size_t length, bool over);

/* ---- command.c: once, on files ---- */

typedef enum repl_command {
    REPL_CHECK,
    REPL_MARK,
    REPL_OTHER_SIDE,
    REPL_CLEAN_COPY
} repl_command;

typedef struct repl_look { /* how output looks */
    marq_layout layout;    /* of check */
    bool colour;
    unsigned width;
} repl_look;

/* One command on one text; `name` NULL for what has none. */
repl_exit repl_run(const marq_vocab *vocab, repl_command command,
                   const char *text, size_t length, const char *name,
                   const repl_look *look);
/* One command on files, or on standard input if there are none. */
repl_exit repl_run_files(repl_command command, const repl_look *look,
                         char *const *names, size_t count);
repl_exit repl_explain(const char *code);
/* The i-th piece of a report in the full layout that is a finding. */
const char *repl_finding_block(const char *rendered, size_t i, size_t *length);

/* ---- reading.c ---- */

/* Shows the lines of a new clean copy that are not in the old one: those
 * between what both begin with and what both end with. */
void repl_show_reading(const char *was, const char *is);

/* ---- session.c: a combination being typed ---- */

typedef struct repl_session repl_session;

typedef enum repl_next {
    REPL_NEXT_LINE, /* a new line */
    REPL_NEXT_MORE, /* a bracket is open: the rest is awaited */
    REPL_NEXT_END   /* quit */
} repl_next;

/* NULL when memory ends.  The vocabulary is borrowed. */
repl_session *repl_session_new(const marq_vocab *vocab, const repl_look *look,
                               bool talks);
void repl_session_free(repl_session *session);
/* One line without its end: a command, or more of the combination. */
repl_next repl_session_line(repl_session *session, const char *line,
                            size_t length);
/* Forgets a line that was begun and not finished. */
void repl_session_drop(repl_session *session);
/* The end: what is still awaited is taken as it is. */
void repl_session_close(repl_session *session);
void repl_session_width(repl_session *session, unsigned width);
/* How the session ends: REPL_FOUND if a problem was shown in it. */
repl_exit repl_session_exit(const repl_session *session);

/* ---- line.c, complete.c: at a terminal, by readline ---- */

void repl_lines(repl_session *session, const marq_vocab *vocab);
void repl_complete_with(const marq_vocab *vocab);

#endif
