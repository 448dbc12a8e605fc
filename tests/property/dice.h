/* dice.h - chance that can be repeated: a small generator, its seed printed.
 *
 * May use the C library.  MARQ_SEED in the environment sets the seed, else
 * the clock does; MARQ_LONG multiplies how much is tried. */
#ifndef DICE_H
#define DICE_H

#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

typedef struct dice {
    uint64_t state;
} dice;

static inline uint64_t dice_seed(void)
{
    const char *given = getenv("MARQ_SEED");
    uint64_t seed =
        given != NULL ? strtoull(given, NULL, 10) : (uint64_t)time(NULL);

    printf("seed %llu (MARQ_SEED sets it)\n", (unsigned long long)seed);
    return seed;
}

/* splitmix64 */
static inline uint64_t dice_next(dice *d)
{
    uint64_t z = (d->state += UINT64_C(0x9e3779b97f4a7c15));

    z = (z ^ (z >> 30)) * UINT64_C(0xbf58476d1ce4e5b9);
    z = (z ^ (z >> 27)) * UINT64_C(0x94d049bb133111eb);
    return z ^ (z >> 31);
}

/* 0 .. n - 1, n > 0. */
static inline size_t dice_below(dice *d, size_t n)
{
    return (size_t)(dice_next(d) % n);
}

/* `usual`, or `times` as much when a long run is wanted. */
static inline size_t dice_longer_by(size_t usual, size_t times)
{
    const char *given = getenv("MARQ_LONG");

    return given != NULL && *given != '\0' && *given != '0' ? usual * times
                                                            : usual;
}

/* A hundred times as much. */
static inline size_t dice_longer(size_t usual)
{
    return dice_longer_by(usual, 100);
}

#endif
