/* checkdesk.h - texts followed with the shipped vocabulary.
 *
 * May use lib/check.h and below, cmocka. */
#ifndef CHECKDESK_H
#define CHECKDESK_H

#include "check.h"
#include "follow.h"
#include "marquer.h"

typedef struct checkdesk {
    marq_vocab *vocab;
    marq_combo *combo; /* the text read last */
    marq_report *report;
    marq_arena arena; /* of the following */
    marq_following f;
    marq_findings *findings;
} checkdesk;

/* Setup and teardown of a group: *state is the desk. */
int checkdesk_open(void **state);
int checkdesk_close(void **state);
/* A desk whose vocabulary has other limits; closed with checkdesk_close. */
checkdesk *checkdesk_new(const marq_config *config);

/* Reads and checks a text; what was there before is freed. */
void checkdesk_run(checkdesk *desk, const char *text);
/* How often a code was found in what was checked last; the i-th of them. */
size_t checkdesk_count(const checkdesk *desk, const char *code);
const marq_finding *checkdesk_finding(const checkdesk *desk, const char *code,
                                      size_t i);
/* The words a span covers, in a buffer of the desk's arena. */
const char *checkdesk_words(checkdesk *desk, marq_span span);
/* The text last read with a fix made; to be freed with test_free. */
char *checkdesk_mended(const checkdesk *desk, const marq_fix *fix);
/* Follows a text without checking it; into desk->f and desk->findings. */
void checkdesk_follow(checkdesk *desk, const char *text);

#endif
