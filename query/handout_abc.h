/* query/handout_abc.h - one excerpt as a tune of ABC 2.1. */
#ifndef QUERY_HANDOUT_ABC_H
#define QUERY_HANDOUT_ABC_H

#include <stdio.h>

#include "query/notation.h"

/* Write NOTATION as the tune NUMBER, with the lines TITLES (ended by NULL; none
 * where NULL) above it; FIRST and LAST are the notes of the fragment, set in
 * brackets with its degrees below. */
void abc_tune(FILE *out, const struct notation *notation, size_t number,
              const char *const *titles, uint32_t first, uint32_t last);

#endif
