/* base.c - memory, arenas, arrays, strings, exact numbers. */
#include "base.h"

#include <stdalign.h>

/* ---- memory ---- */

static void *libc_memory(void *ctx, void *ptr, size_t new_size)
{
    (void)ctx;
    if (new_size == 0) {
        free(ptr);
        return NULL;
    }
    return realloc(ptr, new_size);
}

marq_mem marq_mem_of(const marq_config *config)
{
    marq_mem mem = {libc_memory, NULL};

    /* An older caller's config may be shorter than ours. */
    if (config != NULL && config->alloc != NULL &&
        config->struct_size >= offsetof(marq_config, limits)) {
        mem.fn = config->alloc;
        mem.ctx = config->alloc_ctx;
    }
    return mem;
}

void *marq_mem_alloc(marq_mem mem, size_t size)
{
    return marq_mem_resize(mem, NULL, size);
}

void *marq_mem_resize(marq_mem mem, void *ptr, size_t size)
{
    /* Size 0 would mean "free" to the hook. */
    return mem.fn(mem.ctx, ptr, size == 0 ? 1 : size);
}

void marq_mem_free(marq_mem mem, void *ptr)
{
    if (ptr != NULL) {
        (void)mem.fn(mem.ctx, ptr, 0);
    }
}

/* ---- checked arithmetic ---- */

bool marq_add_size(size_t *out, size_t a, size_t b)
{
    if (a > SIZE_MAX - b) {
        return false;
    }
    *out = a + b;
    return true;
}

bool marq_mul_size(size_t *out, size_t a, size_t b)
{
    if (b != 0 && a > SIZE_MAX / b) {
        return false;
    }
    *out = a * b;
    return true;
}

bool marq_add_i64(int64_t *out, int64_t a, int64_t b)
{
    if (b >= 0 ? a > INT64_MAX - b : a < INT64_MIN - b) {
        return false;
    }
    *out = a + b;
    return true;
}

static bool subtract_i64(int64_t *out, int64_t a, int64_t b)
{
    if (b >= 0 ? a < INT64_MIN + b : a > INT64_MAX + b) {
        return false;
    }
    *out = a - b;
    return true;
}

/* |a| without overflow, INT64_MIN too. */
static uint64_t magnitude(int64_t a)
{
    return a < 0 ? 0 - (uint64_t)a : (uint64_t)a;
}

/* The signed number of that magnitude, if there is one. */
static bool signed_of(int64_t *out, uint64_t size, bool negative)
{
    if (!negative) {
        if (size > (uint64_t)INT64_MAX) {
            return false;
        }
        *out = (int64_t)size;
        return true;
    }
    if (size > (uint64_t)INT64_MAX + 1) {
        return false;
    }
    *out = size == (uint64_t)INT64_MAX + 1 ? INT64_MIN : -(int64_t)size;
    return true;
}

bool marq_mul_i64(int64_t *out, int64_t a, int64_t b)
{
    uint64_t x = magnitude(a);
    uint64_t y = magnitude(b);

    if (y != 0 && x > UINT64_MAX / y) {
        return false;
    }
    return signed_of(out, x * y, (a < 0) != (b < 0));
}

/* ---- arena ---- */

struct marq_arena_block {
    marq_arena_block *next;
    size_t size; /* bytes after the header */
    size_t used;
    max_align_t at[];
};

#define FIRST_BLOCK ((size_t)4096)
#define LARGEST_BLOCK ((size_t)1 << 20)

void marq_arena_init(marq_arena *arena, marq_mem mem)
{
    arena->mem = mem;
    arena->blocks = NULL;
    arena->next_size = FIRST_BLOCK;
}

static void free_blocks(marq_arena *arena, marq_arena_block *block)
{
    while (block != NULL) {
        marq_arena_block *next = block->next;

        marq_mem_free(arena->mem, block);
        block = next;
    }
}

void marq_arena_free(marq_arena *arena)
{
    free_blocks(arena, arena->blocks);
    arena->blocks = NULL;
    arena->next_size = FIRST_BLOCK;
}

void marq_arena_reset(marq_arena *arena)
{
#if defined(MARQ_DEBUG)
    /* Each allocation has its own block here: what is used after a reset is
     * used after free, and sanitizers see it. */
    marq_arena_free(arena);
#else
    marq_arena_block *kept = arena->blocks;

    if (kept == NULL) {
        return;
    }
    free_blocks(arena, kept->next);
    kept->next = NULL;
    kept->used = 0;
#endif
}

/* Bytes a block for `need` bytes should have. */
static size_t block_size(marq_arena *arena, size_t need)
{
#if defined(MARQ_DEBUG)
    (void)arena;
    return need;
#else
    size_t size = arena->next_size;

    if (need > size) {
        return need;
    }
    if (size < LARGEST_BLOCK) {
        arena->next_size = size * 2;
    }
    return size;
#endif
}

static marq_arena_block *add_block(marq_arena *arena, size_t need)
{
    size_t old_next = arena->next_size;
    size_t size = block_size(arena, need);
    size_t whole;
    marq_arena_block *block;
    marq_arena_block *head = arena->blocks;

    if (!marq_add_size(&whole, size, sizeof *block)) {
        return NULL;
    }
    block = marq_mem_alloc(arena->mem, whole);
    if (block == NULL) {
        arena->next_size = old_next;
        return NULL;
    }
    block->size = size;
    block->used = 0;
    if (size == need && head != NULL) {
        /* It will be full at once: the room left in the newest block stays
         * in use. */
        block->next = head->next;
        head->next = block;
    } else {
        block->next = head;
        arena->blocks = block;
    }
    return block;
}

void *marq_arena_alloc(marq_arena *arena, size_t count, size_t size)
{
    const size_t grain = alignof(max_align_t);
    marq_arena_block *block = arena->blocks;
    size_t bytes;
    size_t need;
    char *at;

    if (!marq_mul_size(&bytes, count, size) ||
        !marq_add_size(&need, bytes == 0 ? 1 : bytes, grain - 1)) {
        return NULL;
    }
    need -= need % grain;
#if defined(MARQ_DEBUG)
    need = bytes == 0 ? 1 : bytes;
    block = NULL;
#endif
    if (block == NULL || block->size - block->used < need) {
        block = add_block(arena, need);
        if (block == NULL) {
            return NULL;
        }
    }
    at = (char *)block->at + block->used;
    block->used += need;
    memset(at, 0, need);
    return at;
}

char *marq_arena_copy(marq_arena *arena, const char *bytes, size_t length)
{
    size_t room;
    char *copy;

    if (!marq_add_size(&room, length, 1)) {
        return NULL;
    }
    copy = marq_arena_alloc(arena, room, 1);
    if (copy != NULL && length > 0) {
        memcpy(copy, bytes, length);
    }
    return copy;
}

/* ---- array ---- */

void marq_array_init(marq_array *array, marq_arena *arena, size_t size)
{
    array->arena = arena;
    array->at = NULL;
    array->count = 0;
    array->room = 0;
    array->size = size;
}

/* Makes room for `more` further elements. */
static bool reserve_room(marq_array *array, size_t more)
{
    size_t need;
    size_t room = array->room;
    void *at;

    if (more <= room - array->count) {
        return true;
    }
    if (!marq_add_size(&need, array->count, more)) {
        return false;
    }
    if (room == 0) {
        room = array->size < 8 ? 32 : 4;
    }
    while (room < need) {
        if (!marq_mul_size(&room, room, 2)) {
            return false;
        }
    }
    at = marq_arena_alloc(array->arena, room, array->size);
    if (at == NULL) {
        return false;
    }
    if (array->count > 0) {
        memcpy(at, array->at, array->count * array->size);
    }
    array->at = at;
    array->room = room;
    return true;
}

void *marq_array_add(marq_array *array)
{
    char *at;

    if (!reserve_room(array, 1)) {
        return NULL;
    }
    at = (char *)array->at + array->count * array->size;
    array->count++;
    memset(at, 0, array->size); /* it may have been taken off before */
    return at;
}

/* ---- string building ---- */

void marq_build_init(marq_build *build, marq_arena *arena)
{
    marq_array_init(&build->bytes, arena, 1);
    build->failed = false;
}

void marq_build_bytes(marq_build *build, const char *bytes, size_t length)
{
    if (build->failed || length == 0) {
        return;
    }
    if (!reserve_room(&build->bytes, length)) {
        build->failed = true;
        return;
    }
    memcpy((char *)build->bytes.at + build->bytes.count, bytes, length);
    build->bytes.count += length;
}

void marq_build_text(marq_build *build, const char *text)
{
    if (text != NULL) {
        marq_build_bytes(build, text, strlen(text));
    }
}

void marq_build_char(marq_build *build, char c)
{
    marq_build_bytes(build, &c, 1);
}

void marq_build_number(marq_build *build, int64_t number)
{
    char digits[20]; /* 19 digits and a sign */
    size_t first = sizeof digits;
    uint64_t left = magnitude(number);

    do {
        digits[--first] = (char)('0' + (int)(left % 10));
        left /= 10;
    } while (left > 0);
    if (number < 0) {
        digits[--first] = '-';
    }
    marq_build_bytes(build, digits + first, sizeof digits - first);
}

const char *marq_build_done(marq_build *build, size_t *length)
{
    char *at;

    if (!build->failed && !reserve_room(&build->bytes, 1)) {
        build->failed = true;
    }
    if (build->failed) {
        return NULL;
    }
    at = build->bytes.at;
    at[build->bytes.count] = '\0'; /* not counted: more may follow */
    if (length != NULL) {
        *length = build->bytes.count;
    }
    return at;
}

/* ---- exact counts ---- */

static uint64_t common_divisor(uint64_t a, uint64_t b)
{
    while (b != 0) {
        uint64_t rest = a % b;

        a = b;
        b = rest;
    }
    return a;
}

bool marq_count_make(marq_count *out, int64_t num, int64_t den)
{
    uint64_t n = magnitude(num);
    uint64_t d = magnitude(den);
    uint64_t divisor;
    marq_count made;

    if (den == 0) {
        return false;
    }
    divisor = common_divisor(n, d);
    if (!signed_of(&made.num, n / divisor, (num < 0) != (den < 0)) ||
        !signed_of(&made.den, d / divisor, false)) {
        return false;
    }
    *out = made;
    return true;
}

/* a + b or a - b over the least common denominator. */
static bool join_counts(marq_count *out, marq_count a, marq_count b, bool sum)
{
    int64_t divisor;
    int64_t left;
    int64_t right;
    int64_t den;

    if (MARQ_NEVER(a.den <= 0 || b.den <= 0)) {
        return false;
    }
    divisor = (int64_t)common_divisor((uint64_t)a.den, (uint64_t)b.den);
    if (!marq_mul_i64(&left, a.num, b.den / divisor) ||
        !marq_mul_i64(&right, b.num, a.den / divisor) ||
        !marq_mul_i64(&den, a.den / divisor, b.den)) {
        return false;
    }
    if (sum ? !marq_add_i64(&left, left, right)
            : !subtract_i64(&left, left, right)) {
        return false;
    }
    return marq_count_make(out, left, den);
}

bool marq_count_add(marq_count *out, marq_count a, marq_count b)
{
    return join_counts(out, a, b, true);
}

bool marq_count_sub(marq_count *out, marq_count a, marq_count b)
{
    return join_counts(out, a, b, false);
}

/* All 128 bits of a * b. */
static void multiply_wide(uint64_t *high, uint64_t *low, uint64_t a, uint64_t b)
{
    const uint64_t half = UINT32_MAX;
    uint64_t ll = (a & half) * (b & half);
    uint64_t lh = (a & half) * (b >> 32);
    uint64_t hl = (a >> 32) * (b & half);
    uint64_t middle = (ll >> 32) + (lh & half) + (hl & half);

    *low = (middle << 32) | (ll & half);
    *high = (a >> 32) * (b >> 32) + (lh >> 32) + (hl >> 32) + (middle >> 32);
}

int marq_count_compare(marq_count a, marq_count b)
{
    uint64_t a_high, a_low, b_high, b_low;
    int larger;

    if ((a.num < 0) != (b.num < 0)) {
        return a.num < 0 ? -1 : 1;
    }
    multiply_wide(&a_high, &a_low, magnitude(a.num), magnitude(b.den));
    multiply_wide(&b_high, &b_low, magnitude(b.num), magnitude(a.den));
    if (a_high == b_high && a_low == b_low) {
        return 0;
    }
    larger = a_high != b_high ? (a_high > b_high) : (a_low > b_low);
    if (a.num < 0) {
        larger = !larger;
    }
    return larger ? 1 : -1;
}
