/* tests/bench/corpus.h - the parts of the program corpus (see corpus.c). */
#ifndef BENCH_CORPUS_H
#define BENCH_CORPUS_H

enum {
    CORPUS_SEED = 20261125,
    CORPUS_NAME_SIZE = 64
};

/* All of these give the exit status; a failure has been printed. */
int corpus_fail(const char *what);

/* The path of the solo INDEX below its folder, without what follows the dot:
 * "012/solo-012345". */
void corpus_name(char out[CORPUS_NAME_SIZE], int index);

/* COUNT solos as files: as they are below PLAIN, zipped below PACKED. */
int corpus_write(const char *plain, const char *packed, int count);

/* COUNT solos into the index of LIBRARY. */
int corpus_store(const char *library, int count);

#endif
