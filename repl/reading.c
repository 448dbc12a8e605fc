/* reading.c - what the last line was read as: what the clean copy gained. */
#include <string.h>

#include "repl.h"

#define READ_LINES_MOST 12 /* lines of the clean copy shown at once */

static size_t line_length(const char *text)
{
    const char *end = strchr(text, '\n');

    return end != NULL ? (size_t)(end - text) + 1 : strlen(text);
}

void repl_show_reading(const char *was, const char *is)
{
    const char *from = is;
    const char *to = is + strlen(is);
    const char *old_end = was + strlen(was);
    size_t shown = 0;

    while (*from != '\0' && line_length(from) == line_length(was) &&
           strncmp(from, was, line_length(from)) == 0) {
        was += line_length(from);
        from += line_length(from);
    }
    while (to > from && old_end > was) {
        const char *line = to - 1;
        const char *old = old_end - 1;

        while (line > from && line[-1] != '\n') {
            line--;
        }
        while (old > was && old[-1] != '\n') {
            old--;
        }
        if (to - line != old_end - old ||
            memcmp(line, old, (size_t)(to - line)) != 0) {
            break;
        }
        to = line;
        old_end = old;
    }
    for (; from < to && shown < READ_LINES_MOST; from += line_length(from)) {
        if (*from != '\n') {
            (void)fputs(shown == 0 ? "  read     " : "           ", stdout);
            repl_show(stdout, from, line_length(from));
            shown++;
        }
    }
    if (from < to) {
        (void)fputs("           ... (clean shows all)\n", stdout);
    }
}
