/* pattern.h - the one module that knows PCRE2.
 * Floor 1; may use base and PCRE2.
 *
 * Patterns match folded text (text.h), anchored where asked.  No PCRE2
 * number, offset or text leaves this module. */
#ifndef MARQ_PATTERN_H
#define MARQ_PATTERN_H

#include "base.h"

typedef struct marq_pattern marq_pattern;

#define MARQ_PATTERN_PARTS 8

typedef struct marq_match {
    size_t to;                           /* end of the match */
    size_t from_of[MARQ_PATTERN_PARTS];  /* of each named part, see below */
    size_t to_of[MARQ_PATTERN_PARTS];    /* from == to: part did not match */
} marq_match;

/* Compiles `text`.  `parts` are up to MARQ_PATTERN_PARTS names of groups the
 * caller will ask for; a name the pattern does not have is simply never
 * matched; of several groups of one name the first that matched counts.  A
 * pattern has at most 4096 bytes and 31 groups.  MARQ_VOCABULARY with
 * *fault_at (byte of the pattern) and *fault_text (static, our own words) if
 * it is not a pattern; both may be NULL.
 * May fail: memory, vocabulary. */
marq_status marq_pattern_compile(marq_pattern **out, marq_mem mem,
                                 const char *text, size_t length,
                                 const char *const *parts, size_t part_count,
                                 size_t *fault_at, const char **fault_text);
void marq_pattern_free(marq_pattern *pattern);
/* False when no match can begin with this byte: a quick look before
 * marq_pattern_at.  May fail: never. */
bool marq_pattern_may_begin(const marq_pattern *pattern, char byte);

/* Matches at exactly byte `at` of `bytes`.  *found tells whether.  Match,
 * depth and heap limits are set; passing one counts as "not found", and
 * so does a match of no bytes.
 * `match` is caller's memory.  A pattern is not used by two threads at once
 * with one scratch; scratch comes from marq_pattern_scratch_new.
 * May fail: memory. */
typedef struct marq_scratch marq_scratch;
marq_status marq_pattern_scratch_new(marq_scratch **out, marq_mem mem);
void marq_pattern_scratch_free(marq_scratch *scratch);
marq_status marq_pattern_at(const marq_pattern *pattern, marq_scratch *scratch,
                            const char *bytes, size_t length, size_t at,
                            marq_match *match, bool *found);

#endif
