/* render_set.c - setting text in columns. */
#include "render_parts.h"

#include "text.h"

/* Bytes of the character at the beginning of some bytes; 1 if it is broken.
 * `length` > 0. */
static size_t next_character(const char *bytes, size_t length)
{
    size_t taken = marq_text_decode(bytes, length, NULL);

    return taken == 0 ? 1 : taken;
}

size_t marq_render_fit(const char *bytes, size_t length, size_t most,
                       size_t *columns)
{
    size_t used = 0;
    size_t at = 0;

    while (at < length) {
        size_t taken = next_character(bytes + at, length - at);
        size_t wide = marq_text_width(bytes + at, taken);

        if (wide > most - used) {
            break;
        }
        used += wide;
        at += taken;
    }
    if (columns != NULL) {
        *columns = used;
    }
    return at;
}

size_t marq_render_piece(const char *bytes, size_t length, size_t most,
                         size_t *columns, size_t *next)
{
    size_t at = marq_render_fit(bytes, length, most, columns);

    if (at == 0 && length > 0) {
        at = next_character(bytes, length);
        *columns = marq_text_width(bytes, at);
    }
    if (at < length && bytes[at] != ' ') {
        size_t blank = at;

        while (blank > 0 && bytes[blank - 1] != ' ') {
            blank--;
        }
        if (blank > 1) {
            at = blank - 1;
        }
    }
    *next = at;
    while (*next < length && bytes[*next] == ' ') {
        (*next)++;
    }
    while (at > 0 && at < length && bytes[at - 1] == ' ') {
        at--;
    }
    *columns = marq_text_width(bytes, at);
    return at;
}

void marq_render_fill(marq_build *out, char c, size_t n)
{
    for (; n > 0; n--) {
        marq_build_char(out, c);
    }
}

void marq_render_wrap(marq_build *out, const char *text, size_t indent,
                      size_t column, size_t width)
{
    size_t length = strlen(text);
    size_t least = indent + 20; /* narrower than this is no text */

    if (width < least) {
        width = least;
    }
    while (length > 0) {
        size_t columns, next;
        size_t room = column < width ? width - column : 0;
        size_t taken = marq_render_piece(text, length, room, &columns, &next);
        /* A word cut in two, or one that sticks out, though a new line would
           hold more of it. */
        bool cut = taken < length && text[taken] != ' ';

        if (column > indent && (cut || columns > room)) {
            marq_build_char(out, '\n');
            marq_render_fill(out, ' ', indent);
            column = indent;
            continue;
        }
        marq_text_show(out, text, taken);
        text += next;
        length -= next;
        if (length > 0) {
            marq_build_char(out, '\n');
            marq_render_fill(out, ' ', indent);
            column = indent;
        }
    }
    marq_build_char(out, '\n');
}

void marq_render_number(marq_build *out, marq_count number)
{
    int64_t den = number.den > 0 ? number.den : 1;
    int64_t whole = number.num / den;
    int64_t rest = number.num % den;

    if (whole != 0 || rest == 0) {
        marq_build_number(out, whole);
    }
    if (rest != 0) {
        if (whole != 0) {
            marq_build_char(out, ' ');
            rest = rest < 0 ? -rest : rest;
        }
        marq_build_number(out, rest);
        marq_build_char(out, '/');
        marq_build_number(out, den);
    }
}
