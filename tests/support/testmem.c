/* testmem.c - an allocator for tests that counts and fails when told. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "testmem.h"

#define LIVE ((uint64_t)0x6c697665626c6f63)
#define DEAD ((uint64_t)0x64656164626c6f63)

typedef union block {
    struct {
        size_t size;
        uint64_t state;
        testmem *owner;
    } of;
    max_align_t align; /* what follows is aligned for anything */
} block;

void testmem_init(testmem *mem)
{
    memset(mem, 0, sizeof *mem);
}

static block *block_of(testmem *mem, void *ptr)
{
    block *b = (block *)ptr - 1;

    assert_true(b->of.state == LIVE);
    assert_ptr_equal(b->of.owner, mem);
    return b;
}

static void free_block(testmem *mem, block *b)
{
    mem->live_blocks--;
    mem->live_bytes -= b->of.size;
    memset(b + 1, 0xdd, b->of.size);
    b->of.state = DEAD;
    free(b);
}

void *testmem_hook(void *ctx, void *ptr, size_t new_size)
{
    testmem *mem = ctx;
    block *old = ptr == NULL ? NULL : block_of(mem, ptr);
    block *b;

    if (new_size == 0) {
        if (old != NULL) {
            free_block(mem, old);
        }
        return NULL;
    }
    mem->asked++;
    if (mem->fail_at != 0 &&
        (mem->asked == mem->fail_at ||
         (mem->for_good && mem->asked > mem->fail_at))) {
        mem->has_failed = true;
        return NULL;
    }
    b = malloc(sizeof *b + new_size);
    assert_non_null(b);
    b->of.size = new_size;
    b->of.state = LIVE;
    b->of.owner = mem;
    memset(b + 1, 0xa5, new_size);
    mem->live_blocks++;
    mem->live_bytes += new_size;
    if (old != NULL) {
        memcpy(b + 1, old + 1,
               old->of.size < new_size ? old->of.size : new_size);
        free_block(mem, old);
    }
    return b + 1;
}

marq_config testmem_config(testmem *mem)
{
    marq_config config;

    memset(&config, 0, sizeof config);
    config.struct_size = sizeof config;
    config.alloc = testmem_hook;
    config.alloc_ctx = mem;
    return config;
}

/* One run; true if it met the failure. */
static bool run_once(testmem_op op, void *ctx, size_t fail_at, bool for_good,
                     size_t *asked)
{
    testmem mem;
    marq_status status;

    testmem_init(&mem);
    mem.fail_at = fail_at;
    mem.for_good = for_good;
    status = op(&mem, ctx);
    assert_int_equal(status, mem.has_failed ? MARQ_MEMORY : MARQ_OK);
    assert_int_equal(mem.live_blocks, 0);
    assert_int_equal(mem.live_bytes, 0);
    *asked = mem.asked;
    return mem.has_failed;
}

size_t testmem_each_failure(testmem_op op, void *ctx)
{
    size_t n = 1;
    size_t asked;

    while (run_once(op, ctx, n, false, &asked)) {
        assert_true(run_once(op, ctx, n, true, &asked));
        n++;
    }
    assert_int_equal(asked, n - 1);
    return asked;
}
