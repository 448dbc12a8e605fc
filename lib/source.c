/* source.c - a text with its lines. */
#include "source.h"

marq_status marq_source_init(marq_source *out, marq_arena *arena,
                             const char *name, const char *bytes,
                             size_t length)
{
    marq_source made = {NULL, NULL, length, NULL, 1};
    uint32_t *line;
    size_t i;

    if (length > UINT32_MAX - 1) {
        return MARQ_LIMIT;
    }
    if (name != NULL) {
        made.name = marq_arena_copy(arena, name, strlen(name));
        if (made.name == NULL) {
            return MARQ_MEMORY;
        }
    }
    made.bytes = marq_arena_copy(arena, bytes, length);
    if (made.bytes == NULL) {
        return MARQ_MEMORY;
    }
    for (i = 0; i < length; i++) {
        if (made.bytes[i] == '\n') {
            made.line_count++;
        }
    }
    line = marq_arena_alloc(arena, made.line_count, sizeof *line);
    if (line == NULL) {
        return MARQ_MEMORY;
    }
    made.line = line;
    for (i = 0; i < length; i++) {
        if (made.bytes[i] == '\n') {
            *++line = (uint32_t)(i + 1);
        }
    }
    *out = made;
    return MARQ_OK;
}

/* A byte that continues a character of UTF-8. */
static bool is_inside(char c)
{
    return ((unsigned char)c & 0xc0) == 0x80;
}

marq_place marq_source_place(const marq_source *source, size_t byte)
{
    size_t low = 0;
    size_t high = source->line_count;
    size_t i;
    marq_place place = {1, 1};

    if (byte > source->length) {
        byte = source->length;
    }
    /* The last line that begins at or before the byte. */
    while (high - low > 1) {
        size_t middle = low + (high - low) / 2;

        if (source->line[middle] <= byte) {
            low = middle;
        } else {
            high = middle;
        }
    }
    place.line = (uint32_t)(low + 1);
    /* Inside a character: the place where that begins. */
    for (i = (size_t)source->line[low] + 1; i <= byte; i++) {
        if (i == source->length || !is_inside(source->bytes[i])) {
            place.column++;
        }
    }
    return place;
}

marq_span marq_source_line(const marq_source *source, uint32_t line)
{
    marq_span span = {(uint32_t)source->length, (uint32_t)source->length};

    if (line == 0 || line > source->line_count) {
        return span;
    }
    span.from = source->line[line - 1];
    if (line < source->line_count) {
        span.to = source->line[line] - 1;
        if (span.to > span.from && source->bytes[span.to - 1] == '\r') {
            span.to--;
        }
    }
    return span;
}
