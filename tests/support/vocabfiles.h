/* vocabfiles.h - the files of vocab/, read from the root of the project.
 *
 * May use include/marquer.h, POSIX directories, the C library. */
#ifndef VOCABFILES_H
#define VOCABFILES_H

#include "marquer.h"

typedef struct vocabfiles {
    marq_vocab_text *texts; /* by name of file, as the build takes them */
    size_t count;
} vocabfiles;

/* Reads all .vocab files there; false if there are none or one cannot be read.
 * Freed by vocabfiles_free in either case. */
bool vocabfiles_read(vocabfiles *files);
void vocabfiles_free(vocabfiles *files);

#endif
