/* entry.h - any bytes through every door of the library, and what must hold
 * of all that comes back.  Shared by the fuzzers and the smoke test.
 *
 * May use include/marquer.h, the C library. */
#ifndef FUZZ_ENTRY_H
#define FUZZ_ENTRY_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>

#include "marquer.h"

/* Which rule was broken, in words; "" if none was. */
typedef struct fuzz_fault {
    char why[240];
} fuzz_fault;

/* `bytes` as a combination: read, checked, printed, its other side, rendered
 * in every layout.  True if all held. */
bool fuzz_try_text(const marq_vocab *vocab, const uint8_t *bytes, size_t size,
                   fuzz_fault *fault);
/* `bytes` as a file of vocabulary, on top of `base` (not NULL) and alone;
 * with what could be loaded a combination is read and checked. */
bool fuzz_try_vocab(const marq_vocab *base, const uint8_t *bytes, size_t size,
                    fuzz_fault *fault);

/* The shipped vocabulary with low limits on moves and corrections: no short
 * input takes long.  NULL if it cannot be made; the caller frees it. */
marq_vocab *fuzz_vocab_open(void);

/* True if the bytes are UTF-8: no surrogates, nothing overlong. */
bool fuzz_is_utf8(const char *bytes, size_t length);
/* True if a terminal may have it: UTF-8, no control characters but line feed
 * (C1 among them).  With `colour`, sequences ESC [ digits m are allowed. */
bool fuzz_is_clean(const char *bytes, size_t length, bool colour);

/* What a fuzzer does with a broken rule. */
static inline void fuzz_stop_at(const fuzz_fault *fault) {
    fprintf(stderr, "rule broken: %s\n", fault->why);
    abort();
}

#endif
