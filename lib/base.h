/* base.h - memory, arenas, growable arrays, checked arithmetic.
 * Floor 0; may use include/marquer.h and the C library.
 *
 * No other module calls an allocator.  All failure is a status; nothing here
 * prints or exits. */
#ifndef MARQ_BASE_H
#define MARQ_BASE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "marquer.h"

#include "banned.h"

/* A branch that can only be taken if the library itself is wrong. */
#if defined(MARQ_DEBUG)
#include <assert.h>
#define MARQ_NEVER(x) (assert(!(x)), 0)
#else
#define MARQ_NEVER(x) (x)
#endif

/* ---- memory: the caller's hook ---- */
typedef struct marq_mem {
    marq_alloc_fn fn;
    void *ctx;
} marq_mem;

/* The hook of a config (NULL or no hook: malloc's family).  May fail: never. */
marq_mem marq_mem_of(const marq_config *config);
/* Uninitialised bytes, or NULL.  May fail: memory. */
void *marq_mem_alloc(marq_mem mem, size_t size);
/* NULL ptr allocates.  On NULL the old block stands.  May fail: memory. */
void *marq_mem_resize(marq_mem mem, void *ptr, size_t size);
void marq_mem_free(marq_mem mem, void *ptr); /* NULL is fine */

/* ---- arithmetic that says when it overflows ---- */
/* True and *out set if it fits, false (and *out untouched) if not. */
bool marq_add_size(size_t *out, size_t a, size_t b);
bool marq_mul_size(size_t *out, size_t a, size_t b);
bool marq_add_i64(int64_t *out, int64_t a, int64_t b);
bool marq_mul_i64(int64_t *out, int64_t a, int64_t b);

/* ---- arena: many small blocks, freed together ---- */
typedef struct marq_arena_block marq_arena_block;
typedef struct marq_arena {
    marq_mem mem;
    marq_arena_block *blocks; /* newest first */
    size_t next_size;
} marq_arena;

void marq_arena_init(marq_arena *arena, marq_mem mem);
void marq_arena_free(marq_arena *arena);  /* leaves it empty and usable */
void marq_arena_reset(marq_arena *arena); /* keeps one block for reuse */
/* count * size zeroed bytes, aligned for anything; NULL on overflow or when
 * memory ends.  count * size == 0 gives a valid pointer. */
void *marq_arena_alloc(marq_arena *arena, size_t count, size_t size);
/* A zero-terminated copy of `length` bytes.  May fail: memory (NULL). */
char *marq_arena_copy(marq_arena *arena, const char *bytes, size_t length);

/* ---- array: grows by doubling inside an arena ---- */
/* Old storage stays in the arena until it is freed, so that borrowed
 * pointers into it never dangle while it grows (they do go stale). */
typedef struct marq_array {
    marq_arena *arena;
    void *at;      /* `count` elements of `size` bytes */
    size_t count;
    size_t room;
    size_t size;
} marq_array;

void marq_array_init(marq_array *array, marq_arena *arena, size_t size);
/* A new zeroed element at the end, or NULL.  May fail: memory. */
void *marq_array_add(marq_array *array);
/* The i-th element of type T; i < count is the caller's care. */
#define MARQ_AT(array, T, i) (&((T *)(array)->at)[i])

/* ---- string building inside an arena ---- */
typedef struct marq_build {
    marq_array bytes;
    bool failed; /* memory ended somewhere; checked once at the end */
} marq_build;

void marq_build_init(marq_build *build, marq_arena *arena);
void marq_build_bytes(marq_build *build, const char *bytes, size_t length);
void marq_build_text(marq_build *build, const char *text);
void marq_build_char(marq_build *build, char c);
void marq_build_number(marq_build *build, int64_t number);
/* Zero-terminated; NULL if any addition failed.  *length may be NULL. */
const char *marq_build_done(marq_build *build, size_t *length);

/* ---- exact counts ---- */
/* num/den in lowest terms, den > 0.  False on overflow or den == 0. */
bool marq_count_make(marq_count *out, int64_t num, int64_t den);
bool marq_count_add(marq_count *out, marq_count a, marq_count b);
bool marq_count_sub(marq_count *out, marq_count a, marq_count b);
/* -1, 0, 1.  May fail: never (compares without overflow). */
int marq_count_compare(marq_count a, marq_count b);
static inline bool marq_count_is_zero(marq_count a) { return a.num == 0; }

#endif
