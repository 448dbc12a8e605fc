#include "vocabfiles.h"

#include <glob.h>
#include <stdio.h>
#include <stdlib.h>

static char *read_whole(const char *path, size_t *length)
{
    FILE *file = fopen(path, "rb");
    char *bytes = NULL;
    size_t used = 0, room = 0;
    if (!file) {
        return NULL;
    }
    for (;;) {
        if (room - used < 4096) {
            char *more = realloc(bytes, room + 65536);
            if (!more) {
                break;
            }
            bytes = more;
            room += 65536;
        }
        size_t got = fread(bytes + used, 1, room - used, file);
        used += got;
        if (got == 0) {
            break;
        }
    }
    if (ferror(file) || !feof(file)) {
        free(bytes);
        bytes = NULL;
    }
    fclose(file);
    *length = used;
    return bytes;
}

bool vocabfiles_read(vocabfiles *files)
{
    glob_t found;
    *files = (vocabfiles){0};
    /* glob sorts by the locale's order; tests never set one. */
    if (glob("vocab/*.vocab", 0, NULL, &found) != 0) {
        return false;
    }
    bool good = true;
    files->texts = calloc(found.gl_pathc, sizeof *files->texts);
    for (size_t i = 0; good && files->texts && i < found.gl_pathc; i++) {
        marq_vocab_text *t = &files->texts[i];
        char *name = malloc(256);
        if (name) {
            snprintf(name, 256, "%s", found.gl_pathv[i]);
        }
        t->name = name;
        t->text = read_whole(found.gl_pathv[i], &t->length);
        files->count = i + 1;
        good = t->name && t->text;
    }
    globfree(&found);
    return good && files->count > 0;
}

void vocabfiles_free(vocabfiles *files)
{
    for (size_t i = 0; i < files->count; i++) {
        free((void *)(uintptr_t)files->texts[i].name);
        free((void *)(uintptr_t)files->texts[i].text);
    }
    free(files->texts);
    *files = (vocabfiles){0};
}
