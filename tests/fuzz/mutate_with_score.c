/* mutate_with_score.c - libFuzzer changes scores by mutate_score(). */
#include "tests/fuzz/mutate_score.h"

size_t LLVMFuzzerCustomMutator(uint8_t *data, size_t size, size_t most,
                               unsigned int seed);

size_t LLVMFuzzerCustomMutator(uint8_t *data, size_t size, size_t most,
                               unsigned int seed)
{
    /* Files that are no XML are for the bytes alone. */
    return seed % 8 ? mutate_score(data, size, most, seed)
                    : LLVMFuzzerMutate(data, size, most);
}
