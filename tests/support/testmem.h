/* testmem.h - an allocator for tests that counts and fails when told.
 *
 * May use include/marquer.h, cmocka, the C library. */
#ifndef TESTMEM_H
#define TESTMEM_H

#include "marquer.h"

typedef struct testmem {
    size_t live_blocks; /* allocated and not freed */
    size_t live_bytes;
    size_t asked;    /* how often memory was asked for, resizing too */
    size_t fail_at;  /* the asking that fails, from 1; 0: none */
    bool for_good;   /* and all after it fail as well */
    bool has_failed; /* that asking has come */
} testmem;

/* Nothing allocated, nothing to fail. */
void testmem_init(testmem *mem);
/* The marq_alloc_fn; ctx is the testmem.  New memory is filled with rubbish,
 * freed memory too, resizing always moves; freeing what is not a live block
 * of it ends the test. */
void *testmem_hook(void *mem, void *ptr, size_t new_size);
/* A config with this hook and usual limits (does not need the library). */
marq_config testmem_config(testmem *mem);

/* An operation on memory of `mem`, run from beginning to end: it frees
 * whatever it got, and what it does not free counts as lost.  It returns the
 * status of what is under test. */
typedef marq_status (*testmem_op)(testmem *mem, void *ctx);

/* Runs `op` with the n-th asking for memory failing, once and then for good,
 * n = 1, 2, 3 ... until it is through without having met the failure.  Each
 * failing run must give MARQ_MEMORY and lose nothing, the last MARQ_OK.
 * Returns how many askings one whole run needs. */
size_t testmem_each_failure(testmem_op op, void *ctx);

#endif
