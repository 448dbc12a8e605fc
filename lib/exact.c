#include "exact.h"

marq_count marq_exact_add(bool *too_big, marq_count a, marq_count b)
{
    marq_count sum = {0, 1};
    if (!marq_count_add(&sum, a, b)) {
        *too_big = true;
    }
    return sum;
}

marq_count marq_exact_subtract(bool *too_big, marq_count a, marq_count b)
{
    marq_count sum = {0, 1};
    if (!marq_count_sub(&sum, a, b)) {
        *too_big = true;
    }
    return sum;
}

marq_count marq_exact_multiply(bool *too_big, marq_count a, marq_count b)
{
    marq_count x, y, out = {0, 1};
    int64_t num, den;
    /* crosswise into lowest terms first, so that only what is truly too big
       fails */
    if (!marq_count_make(&x, a.num, b.den) ||
        !marq_count_make(&y, b.num, a.den) ||
        !marq_mul_i64(&num, x.num, y.num) ||
        !marq_mul_i64(&den, x.den, y.den) ||
        !marq_count_make(&out, num, den)) {
        *too_big = true;
    }
    return out;
}

marq_count marq_exact_divide(bool *too_big, marq_count a, marq_count b)
{
    marq_count inverse;
    if (!marq_count_make(&inverse, b.den, b.num)) {
        *too_big = true;
        return (marq_count){0, 1};
    }
    return marq_exact_multiply(too_big, a, inverse);
}

int64_t marq_exact_down(marq_count a)
{
    int64_t n = a.num / a.den;
    return a.num % a.den < 0 ? n - 1 : n;
}

int64_t marq_exact_up(marq_count a)
{
    int64_t n = a.num / a.den;
    return a.num % a.den > 0 ? n + 1 : n;
}

marq_count marq_exact_rest(bool *too_big, marq_count a, marq_count step)
{
    int64_t steps = marq_exact_down(marq_exact_divide(too_big, a, step));
    return marq_exact_subtract(
        too_big, a,
        marq_exact_multiply(too_big, marq_exact_whole(steps), step));
}
