/* file.c - files in and out. */
#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "repl.h"

#define READ_MOST (((size_t)64 << 20) + 1) /* one byte more than is taken */

bool repl_add(repl_bytes *to, const char *bytes, size_t length)
{
    size_t need = to->length + length + 1;
    /* Room is always a power of two, so it need not be kept. */
    size_t room = to->at != NULL ? 64 : 0;
    size_t want = 64;

    while (room != 0 && room < to->length + 1) {
        room *= 2;
    }
    while (want < need) {
        want *= 2;
    }
    if (want > room) {
        char *more = realloc(to->at, want);

        if (more == NULL) {
            return false;
        }
        to->at = more;
    }
    if (length > 0) {
        memcpy(to->at + to->length, bytes, length);
    }
    to->length += length;
    to->at[to->length] = '\0';
    return true;
}

bool repl_read(repl_bytes *out, const char *name)
{
    static char piece[65536];
    bool is_input = strcmp(name, "-") == 0;
    FILE *from = is_input ? stdin : fopen(name, "rb");
    repl_bytes made = {NULL, 0};
    int why = 0;

    if (from == NULL) {
        return false;
    }
    if (!repl_add(&made, "", 0)) {
        why = ENOMEM;
    }
    while (why == 0 && made.length < READ_MOST) {
        size_t got;

        errno = 0;
        got = fread(piece, 1, sizeof piece, from);
        if (got == 0) {
            why = ferror(from) ? (errno != 0 ? errno : EIO) : 0;
            break;
        }
        if (!repl_add(&made, piece, got)) {
            why = ENOMEM;
        }
    }
    if (!is_input) {
        (void)fclose(from);
    }
    if (why != 0) {
        free(made.at);
        errno = why;
        return false;
    }
    *out = made;
    return true;
}

bool repl_write(const char *name, const char *bytes, size_t length, bool over)
{
    int flags = O_WRONLY | O_CREAT | (over ? O_TRUNC : O_EXCL);
    int to = open(name, flags, 0666);
    int why = 0;

    if (to < 0) {
        return false;
    }
    while (length > 0 && why == 0) {
        ssize_t done = write(to, bytes, length);

        if (done > 0) {
            bytes += done;
            length -= (size_t)done;
        } else if (done == 0 || errno != EINTR) {
            why = done == 0 ? EIO : errno;
        }
    }
    if (close(to) != 0 && why == 0) {
        why = errno;
    }
    errno = why;
    return why == 0;
}
