/* fuzz_vocab.c - bytes as a file of vocabulary, for libFuzzer. */
#include "entry.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
    static marq_vocab *vocab; /* lives as long as the process */
    fuzz_fault fault = {"no vocabulary"};

    vocab = vocab != NULL ? vocab : fuzz_vocab_open();
    if (vocab == NULL || !fuzz_try_vocab(vocab, data, size, &fault)) {
        fuzz_stop_at(&fault);
    }
    return 0;
}
