/* diag.h - catalogue and list of findings; no rendering.
 * Floor 2; may use base (spans are marquer.h's). */
#ifndef MARQ_DIAG_H
#define MARQ_DIAG_H

#include "base.h"

typedef enum marq_diag {
#define MARQ_DIAG(name, code, severity, headline) MARQ_DIAG_##name,
#include "diag.def"
#undef MARQ_DIAG
    MARQ_DIAGS
} marq_diag;

const char *marq_diag_code(marq_diag d);
marq_severity marq_diag_severity(marq_diag d);
const char *marq_diag_headline(marq_diag d);   /* the template */
/* The kind with this code, or MARQ_DIAGS. */
marq_diag marq_diag_by_code(const char *code);

/* The list.  Everything it holds lives in its arena. */
struct marq_findings {
    marq_arena *arena;   /* where texts go */
    marq_arena own;      /* used when the list stands alone (`arena` points
                            to it) */
    marq_array list;     /* of marq_finding */
    size_t limit;        /* further ones are counted, not kept; given as 0
                            it is the default of marq_limits */
    size_t left_out;
    marq_mem mem;        /* for freeing a list that stands alone */
};

void marq_findings_init(marq_findings *findings, marq_arena *arena,
                        size_t limit);
/* A list of its own, freed by marq_findings_free.  May fail: memory. */
marq_status marq_findings_new(marq_findings **out, marq_mem mem, size_t limit);

/* Adds a finding: headline from the catalogue with a, b, c (may be NULL, must
 * outlive the call only) put in.  *out (may be NULL) receives it for adding
 * labels, related places, notes and fixes, or NULL when the limit was passed.
 * May fail: memory. */
marq_status marq_findings_add(marq_findings *findings, marq_finding **out,
                              marq_diag kind, marq_span span, const char *a,
                              const char *b, const char *c);
/* Adding beyond MARQ_RELATED_MOST and its like is quietly left out.  Texts
 * are copied.  May fail: memory. */
marq_status marq_finding_label(marq_findings *findings, marq_finding *f,
                               const char *label);
marq_status marq_finding_relate(marq_findings *findings, marq_finding *f,
                                marq_span span, const char *label);
marq_status marq_finding_note(marq_findings *findings, marq_finding *f,
                              const char *note);
marq_status marq_finding_fix(marq_findings *findings, marq_finding *f,
                             marq_span span, const char *text,
                             const char *label, marq_confidence confidence);
/* Stable sort by span.from, problems before questions before notes at the
 * same place. */
void marq_findings_sort(marq_findings *findings);
/* Copies all of `from` to the end of `to`.  May fail: memory. */
marq_status marq_findings_append(marq_findings *to, const marq_findings *from);

#endif
