/* fuzz.h - what the harnesses share.
 *
 * A harness is one file, NAME.c, that defines LLVMFuzzerTestOneInput() and
 * asserts what must hold whatever the bytes are.  It is linked with libFuzzer
 * (`make fuzz`) or with replay.c (`make check`), never with another harness.
 * Whatever does not hold ends the program with abort().
 */
#ifndef TESTS_FUZZ_FUZZ_H
#define TESTS_FUZZ_FUZZ_H

#include <stdint.h>

#include "schema/solo.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

/* Abort, saying WHAT, where it does not hold. */
void fuzz_holds(bool holds, const char *what);

/* ST came with WHY, of a text of LENGTH bytes (0: none): one of the statuses
 * that bad input may have, and a line to show for it. */
void fuzz_status(enum status st, const struct fault *why, size_t length);

/* What every part of the program relies on in a solo, and that it is the same
 * after solo_encode() and solo_decode(). */
void fuzz_solo(const struct solo *solo);

/* The lines of DATA as texts: COUNT of them into OUT, NULL for those that are
 * missing; the last one takes the rest.  A line ends before a zero byte.
 * Returns the memory to free. */
char *fuzz_lines(const char **out, size_t count, const uint8_t *data,
                 size_t size);

/* An empty folder with .cellar in it, made at the first call, removed at the
 * end of the program; in memory where the machine has room for files there. */
const char *fuzz_library(void);
/* Empty it, and write DATA to .cellar/NAME. */
void fuzz_library_fill(const char *name, const uint8_t *data, size_t size);

#endif
