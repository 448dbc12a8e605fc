/* golden.h - what the tests that read shared/ have in common: files, lines
 * cut at tabs, body words taken apart.  Only the public header is used. */
#ifndef GOLDEN_H
#define GOLDEN_H

#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "marquer.h"

#define GOLDEN_COLUMNS 8

/* The whole file, zero-terminated; NULL if it cannot be read. */
static inline char *golden_read(const char *path, size_t *length) {
    FILE *file = fopen(path, "rb");
    char *bytes = NULL;
    size_t used = 0, room = 0;

    if (!file) {
        fprintf(stderr, "%s: cannot be opened\n", path);
        return NULL;
    }
    for (;;) {
        size_t got;
        if (room - used < 4096) {
            char *more = realloc(bytes, room + 65536);
            if (!more) {
                break;
            }
            bytes = more;
            room += 65536;
        }
        got = fread(bytes + used, 1, room - used - 1, file);
        if (got == 0) {
            break;
        }
        used += got;
    }
    fclose(file);
    if (bytes) {
        bytes[used] = '\0';
    }
    *length = used;
    return bytes;
}

/* Cuts off the next line of *at and sets *at behind it; NULL at the end. */
static inline char *golden_line(char **at) {
    char *line = *at;
    char *end;

    if (!line || *line == '\0') {
        return NULL;
    }
    end = strchr(line, '\n');
    if (end) {
        *end = '\0';
        *at = end + 1;
    } else {
        *at = line + strlen(line);
    }
    return line;
}

/* Cuts a line at its tabs; how many columns there are (at most
 * GOLDEN_COLUMNS are kept). */
static inline size_t golden_cut(char *line, char *column[GOLDEN_COLUMNS]) {
    size_t n = 0;

    for (;;) {
        char *tab = strchr(line, '\t');
        if (n < GOLDEN_COLUMNS) {
            column[n] = line;
        }
        n++;
        if (!tab) {
            return n;
        }
        *tab = '\0';
        line = tab + 1;
    }
}

/* ---- body words ---- */
typedef struct golden_body {
    int position;  /* index into the names below, -1 on one foot */
    int tips;      /* 1 on the tips, 0 flat, -1 open */
    int front;     /* marq_side */
    int standing;  /* marq_side, one foot */
    int shape;     /* index into the names below, -1 open */
    int where;     /* 0 front, 1 side, 2 behind */
} golden_body;

static inline bool golden_starts(const char *text, const char *with) {
    return strncmp(text, with, strlen(with)) == 0;
}

static inline int golden_side(const char *word) {
    if (golden_starts(word, "right")) {
        return MARQ_SIDE_RIGHT;
    }
    if (golden_starts(word, "left")) {
        return MARQ_SIDE_LEFT;
    }
    return MARQ_SIDE_NONE;
}

/* Which of the names stands in text: its index, or -1. */
static inline int golden_find(const char *text, const char *const *names) {
    int i;

    for (i = 0; names[i]; i++) {
        if (strstr(text, names[i])) {
            return i;
        }
    }
    return -1;
}

/* Takes "fifth, right front" or "on the left, right ankle behind" apart; a
 * free leg without its standing foot ("left at the ankle behind") takes that
 * foot from `weight`.  False if the words are none of these. */
static inline bool golden_parse(const char *words, const char *weight,
                                golden_body *out) {
    static const char *const positions[] = {
        "first", "second", "parallel", "third", "fourth", "fifth", NULL};
    static const char *const shapes[] = {"terre", "low",      "high", "ankle",
                                         "knee",  "attitude", NULL};
    static const char *const wheres[] = {"front", "side", "behind", NULL};
    const char *rest = words;

    memset(out, 0, sizeof *out);
    out->position = -1;
    out->shape = -1;
    if (golden_starts(words, "on the ")
        && golden_side(words + strlen("on the ")) != MARQ_SIDE_NONE) {
        out->standing = golden_side(words + strlen("on the "));
        rest = strchr(words, ',');
        if (!rest) {
            return false;
        }
        rest++;
    } else if (golden_side(words) != MARQ_SIDE_NONE) {
        out->standing = golden_side(weight);
    }
    if (out->standing != MARQ_SIDE_NONE) {
        out->shape = golden_find(rest, shapes);
        out->where = golden_find(rest, wheres);
        return out->where >= 0;
    }
    out->position = golden_find(words, positions);
    out->tips = strchr(words, '?') ? -1 : strstr(words, "tips") != NULL;
    if (strstr(words, "right")) {
        out->front = MARQ_SIDE_RIGHT;
    } else if (strstr(words, "left")) {
        out->front = MARQ_SIDE_LEFT;
    }
    if (out->position < 0 && out->tips == 1) {
        out->position = 5; /* the tips are said of fifth only */
    }
    return out->position >= 0;
}

static inline bool golden_same(const golden_body *wanted,
                               const golden_body *got) {
    return wanted->position == got->position && wanted->front == got->front
           && wanted->standing == got->standing
           && wanted->where == got->where
           && (wanted->tips < 0 || wanted->tips == got->tips)
           && (wanted->shape < 0 || wanted->shape == got->shape);
}

static inline int golden_front(const golden_body *b) {
    if (b->position >= 0) {
        return b->front;
    }
    if (b->where == 1) {
        return MARQ_SIDE_NONE;
    }
    return b->where == 2 ? b->standing : 3 - b->standing;
}

/* True if the moment stands as `words` say; "-" means it is not known. */
static inline bool golden_stands(marq_moment moment, const char *words) {
    golden_body wanted, got;

    if (strcmp(words, "-") == 0) {
        return !moment.known;
    }
    return moment.known && golden_parse(words, "", &wanted)
           && golden_parse(moment.feet, moment.weight, &got)
           && golden_same(&wanted, &got);
}

/* ---- small helps ---- */

/* The digits at the beginning of a text as a number; 0 if there are none. */
static inline size_t golden_number(const char *text) {
    size_t n = 0;

    while (*text >= '0' && *text <= '9' && n < 1000000) {
        n = n * 10 + (size_t)(*text++ - '0');
    }
    return n;
}

/* True if `text` holds one of the words of `words`, separated by bars. */
static inline bool golden_holds(const char *text, const char *words) {
    char word[128];

    while (*words) {
        size_t n = strcspn(words, "|");
        if (n > 0 && n < sizeof word) {
            memcpy(word, words, n);
            word[n] = '\0';
            if (strstr(text, word)) {
                return true;
            }
        }
        words += n;
        words += *words == '|';
    }
    return false;
}

/* The bytes of a span, cut to the room of `out`. */
static inline void golden_span(const marq_combo *combo, marq_span span,
                               char *out, size_t room) {
    size_t length = 0;
    const char *text = marq_combo_text(combo, &length);
    size_t n = span.to > span.from ? (size_t)(span.to - span.from) : 0;

    if (span.from > length || n > length - span.from) {
        n = 0;
    }
    if (n > room - 1) {
        n = room - 1;
    }
    memcpy(out, text + span.from, n);
    out[n] = '\0';
}

/* Prints every problem and question of a report, to explain a failure. */
static inline void golden_tell(const marq_report *report) {
    const marq_findings *all = marq_report_findings(report);
    size_t i;

    for (i = 0; i < marq_finding_count(all); i++) {
        const marq_finding *f = marq_finding_at(all, i);
        if (f->severity != MARQ_NOTE) {
            fprintf(stderr, "    %s %s\n", f->code, f->headline);
        }
    }
}

/* A text read and checked; both NULL on failure, told under `id`. */
static inline bool golden_check(const marq_vocab *vocab, const char *id,
                                const char *text, size_t length,
                                marq_combo **combo, marq_report **report) {
    marq_status status;

    *combo = NULL;
    *report = NULL;
    status = marq_combo_read(combo, vocab, text, length, NULL);
    if (status == MARQ_OK) {
        status = marq_check(report, *combo, NULL);
    }
    if (status != MARQ_OK) {
        fprintf(stderr, "%s: %s\n", id, marq_status_text(status));
        marq_combo_free(*combo);
        *combo = NULL;
        *report = NULL;
        return false;
    }
    return true;
}

#endif
