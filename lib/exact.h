/* exact.h - reckoning with exact counts; an overflow is remembered.
 * Floor 1; may use base.
 *
 * A sum that does not fit sets *too_big and gives 0, so that a whole
 * reckoning is checked once at its end. */
#ifndef MARQ_EXACT_H
#define MARQ_EXACT_H

#include "base.h"

static inline marq_count marq_exact_whole(int64_t n)
{
    return (marq_count){n, 1};
}
static inline bool marq_exact_less(marq_count a, marq_count b)
{
    return marq_count_compare(a, b) < 0;
}
static inline bool marq_exact_equal(marq_count a, marq_count b)
{
    return marq_count_compare(a, b) == 0;
}
marq_count marq_exact_add(bool *too_big, marq_count a, marq_count b);
marq_count marq_exact_subtract(bool *too_big, marq_count a, marq_count b);
marq_count marq_exact_multiply(bool *too_big, marq_count a, marq_count b);
marq_count marq_exact_divide(bool *too_big, marq_count a, marq_count b);
int64_t marq_exact_down(marq_count a); /* the whole number not above a */
int64_t marq_exact_up(marq_count a);   /* the whole number not below a */
/* What is left of a after whole steps, 0 <= rest < step; step > 0. */
marq_count marq_exact_rest(bool *too_big, marq_count a, marq_count step);

#endif
