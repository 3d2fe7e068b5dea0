/* indexer/sha256.h - SHA-256 (FIPS 180-4), by which a file is known again. */
#ifndef INDEXER_SHA256_H
#define INDEXER_SHA256_H

#include <stddef.h>

enum {
    SHA256_TEXT_SIZE = 65
};

/* The digest of SIZE bytes as lower-case hex, ended by NUL.  Returns OUT. */
char *sha256_text(char out[SHA256_TEXT_SIZE], const void *bytes, size_t size);

#endif
