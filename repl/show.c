/* show.c - text of others on a terminal or in a pipe, never raw. */
#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "repl.h"

size_t repl_decode(const char *bytes, size_t length, unsigned long *code)
{
    const unsigned char *b = (const unsigned char *)bytes;
    size_t need;
    unsigned long made;

    if (length == 0) {
        return 0;
    }
    if (b[0] < 0x80) {
        *code = b[0];
        return 1;
    }
    if (b[0] >= 0xc2 && b[0] <= 0xdf) {
        need = 2;
        made = b[0] & 0x1fu;
    } else if (b[0] >= 0xe0 && b[0] <= 0xef) {
        need = 3;
        made = b[0] & 0x0fu;
    } else if (b[0] >= 0xf0 && b[0] <= 0xf4) {
        need = 4;
        made = b[0] & 0x07u;
    } else {
        return 0;
    }
    if (length < need) {
        return 0;
    }
    for (size_t i = 1; i < need; i++) {
        if ((b[i] & 0xc0) != 0x80) {
            return 0;
        }
        made = made << 6 | (b[i] & 0x3fu);
    }
    if ((need == 3 && made < 0x800) || (need == 4 && made < 0x10000) ||
        made > 0x10ffff || (made >= 0xd800 && made <= 0xdfff)) {
        return 0;
    }
    *code = made;
    return need;
}

/* Characters that are not seen or that move others, beyond ASCII: controls,
 * marks and overrides of direction, blanks of no width, line separators,
 * tags, variation selectors. */
static bool is_hidden(unsigned long code)
{
    static const struct {
        unsigned long from, to;
    } hidden[] = {
        {0x80, 0x9f},       {0xad, 0xad},       {0x34f, 0x34f},
        {0x600, 0x605},     {0x61c, 0x61c},     {0x6dd, 0x6dd},
        {0x70f, 0x70f},     {0x115f, 0x1160},   {0x17b4, 0x17b5},
        {0x180b, 0x180f},   {0x200b, 0x200f},   {0x2028, 0x202e},
        {0x2060, 0x206f},   {0x3164, 0x3164},   {0xe000, 0xf8ff},
        {0xfe00, 0xfe0f},   {0xfeff, 0xfeff},   {0xffa0, 0xffa0},
        {0xfff0, 0xfffb},   {0xfffe, 0xffff},   {0x1d173, 0x1d17a},
        {0xe0000, 0x10ffff},
    };

    for (size_t i = 0; i < sizeof hidden / sizeof hidden[0]; i++) {
        if (code >= hidden[i].from && code <= hidden[i].to) {
            return true;
        }
    }
    return false;
}

void repl_show(FILE *to, const char *bytes, size_t length)
{
    size_t plain = 0; /* from here on nothing is written yet */
    size_t i = 0;

    while (i < length) {
        unsigned char c = (unsigned char)bytes[i];
        unsigned long code = 0;
        size_t taken = repl_decode(bytes + i, length - i, &code);

        if (c == '\n' || (c >= 0x20 && c < 0x7f) ||
            (taken > 1 && !is_hidden(code))) {
            i += taken;
            continue;
        }
        (void)fwrite(bytes + plain, 1, i - plain, to);
        if (c == '\t') {
            (void)fputc(' ', to);
        } else if (taken > 1) {
            (void)fprintf(to, "\\u{%lx}", code);
        } else {
            (void)fprintf(to, "\\x%02x", (unsigned)c);
        }
        i += taken > 0 ? taken : 1;
        plain = i;
    }
    (void)fwrite(bytes + plain, 1, length - plain, to);
}

void repl_show_string(FILE *to, const char *text)
{
    repl_show(to, text, strlen(text));
}

bool repl_colour(void)
{
    const char *no = getenv("NO_COLOR");
    const char *term = getenv("TERM");

    return (no == NULL || no[0] == '\0') && term != NULL && term[0] != '\0' &&
           strcmp(term, "dumb") != 0 && isatty(STDOUT_FILENO);
}

repl_exit repl_finish(void)
{
    errno = 0;
    if (fflush(stdout) != 0 || ferror(stdout)) {
        (void)fprintf(stderr, "marquer: the output cannot be written: %s\n",
                      errno != 0 ? strerror(errno) : "lost on the way");
        return REPL_UNREADABLE;
    }
    return REPL_CLEAN;
}
