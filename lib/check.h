/* check.h - joins reading, following and counts into a report.
 * Floor 8; may use everything below. */
#ifndef MARQ_CHECK_H
#define MARQ_CHECK_H

#include "diag.h"
#include "print.h"
#include "tree.h"
#include "vocab.h"

typedef struct marq_caution { /* stands apart from findings */
    const char *text;
} marq_caution;

struct marq_report {
    const struct marq_combo *combo;
    marq_arena arena;
    struct marq_findings findings;  /* reading's included, sorted */
    marq_array moments;             /* of marq_moment, row 0 the start */
    marq_array cautions;            /* of marq_caution */
    marq_readiness readiness;
    marq_sum sum;
    marq_array line_sums, phrase_sums; /* of marq_count */
    bool end_known;
    marq_body end;                  /* of the customary reading */
    const char *end_words;          /* "fifth, left front"; "" if unknown */
    const char *ready_words;        /* "ready for the left: ..." one line */
    marq_assumed *assumed;          /* for the clean copy */
    size_t assumed_count;
    marq_stand start;               /* as followed, for the clean copy */
    bool start_assumed;
};

/* Follows a combination and makes its report; `corrections` also looks for
 * corrections of each break.  May fail: memory, limit, defect. */
marq_status marq_check_run(marq_report **out, const marq_combo *combo,
                           bool corrections);
void marq_check_free(marq_report *report); /* NULL is fine */

#endif
