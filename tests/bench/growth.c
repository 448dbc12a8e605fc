/* growth.c - how the time for a text grows with its length.  Prints, for texts
 * of one piece over and over, the processor time of eight times the text
 * beside eight times the time of the text: 1.00 is a straight line, 8.00 a
 * square.  Exits 1 past the limit. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "marquer.h"

#define ROOM ((size_t)24 << 10)
#define TRIES 5
#define LIMIT 2.0

static const char *const pieces[] = {
    "1-4 glissade derriere, assemble dessus\n",
    "plie\n",
    "glissade, assemble, jete, temps leve, sissonne, ",
    "tendu front (soft arms), flimble, hold\n\n",
    "zzz, ",
    "x9 ",
    "repeat ",
    "plie, repeat, ",
    "reverse, ",
    "other side\n",
    "tendu\nother side\n",
    "plie ... now fifth, right front, ",
    "assemble croise, facing audience, ",
    "(a (b ",
    "1& ",
    "start fifth\nfinish second\n",
    "title a b c\n",
};

static void must(marq_status status)
{
    if (status != MARQ_OK) {
        fprintf(stderr, "growth: %s\n", marq_status_text(status));
        exit(2);
    }
}

/* Processor time to read, check and print; the least of a few tries. */
static double least_seconds(const marq_vocab *vocab, const char *piece,
                            size_t room)
{
    size_t each = strlen(piece), length = room / each * each;
    char *text = malloc(length + 1);
    double least = 1e9;
    if (text == NULL) {
        exit(2);
    }
    for (size_t i = 0; i < length; i++) {
        text[i] = piece[i % each];
    }
    for (int t = 0; t < TRIES; t++) {
        marq_combo *combo;
        marq_report *report;
        marq_text *out;
        clock_t from = clock();
        must(marq_combo_read(&combo, vocab, text, length, NULL));
        must(marq_check(&report, combo, NULL));
        must(marq_print(&out, combo, report, NULL));
        double took = (double)(clock() - from) / CLOCKS_PER_SEC;
        least = took < least ? took : least;
        marq_text_free(out);
        marq_report_free(report);
        marq_combo_free(combo);
    }
    free(text);
    return least;
}

int main(void)
{
    marq_vocab *vocab;
    int over = 0;
    must(marq_vocab_builtin(&vocab, NULL));
    printf("time of eight times the text beside eight times the time "
           "(limit %.2f):\n",
           LIMIT);
    for (size_t i = 0; i < sizeof pieces / sizeof pieces[0]; i++) {
        double once = least_seconds(vocab, pieces[i], ROOM);
        double eight = least_seconds(vocab, pieces[i], 8 * ROOM);
        double ratio = eight / (8 * (once + 1e-4));
        char shown[64];
        snprintf(shown, sizeof shown, "%s", pieces[i]);
        for (char *c = shown; *c != '\0'; c++) {
            *c = *c == '\n' ? '/' : *c;
        }
        printf("  %-52s %6.2f%s\n", shown, ratio,
               ratio > LIMIT ? "  OVER" : "");
        over |= ratio > LIMIT;
    }
    marq_vocab_free(vocab);
    return over;
}
