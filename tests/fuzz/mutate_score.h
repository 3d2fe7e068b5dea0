/* mutate_score.h - change a MusicXML document as a whole element at a time.
 *
 * Most changes keep the XML well-formed, so that they reach what reads the
 * music and do not end at the XML parser.
 */
#ifndef TESTS_FUZZ_MUTATE_SCORE_H
#define TESTS_FUZZ_MUTATE_SCORE_H

#include <stddef.h>
#include <stdint.h>

/* Change the SIZE bytes of TEXT, which has room for MOST, by one to four steps
 * that SEED chooses.  Returns the new size, never 0; SIZE where nothing fits.
 */
size_t mutate_score(uint8_t *text, size_t size, size_t most, uint64_t seed);

/* A number below LIMIT (1 or more) from *STATE, which moves on. */
size_t mutate_draw(uint64_t *state, size_t limit);

/* A text to put in place of the one between <NAME> and </NAME>: what the
 * reader knows there, or an extreme.  Borrowed: valid until the next call. */
const char *mutate_word(const char *name, size_t length, uint64_t *state);
/* A piece of music: well-formed, to stand in a measure. */
const char *mutate_piece(uint64_t *state);

/* libFuzzer's changes of bytes; whoever links without it has their own. */
size_t LLVMFuzzerMutate(uint8_t *data, size_t size, size_t most);

#endif
