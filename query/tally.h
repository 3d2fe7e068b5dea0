/* query/tally.h - how often each of many values comes.
 *
 * A value is a few whole numbers, as many in all of one tally.
 */
#ifndef QUERY_TALLY_H
#define QUERY_TALLY_H

#include <stdbool.h>

#include "schema/status.h"

#include <stdint.h>

enum {
    TALLY_WIDTH_MAX = 16
};

/* All zero but for WIDTH (1..TALLY_WIDTH_MAX) is an empty tally. */
struct tally {
    size_t width;
    bool fractions;  /* the numbers are pairs: numerator, denominator > 0 */
    int64_t *values; /* WIDTH a value */
    uint64_t *counts;
    size_t count, room; /* different values */
    uint32_t *slots;    /* by hash: 1 + the index of a value; 0 free */
    size_t slot_count;
};

/* Count VALUE once more.  ST_OK or ST_NOMEM. */
enum status tally_add(struct tally *tally, const int64_t *value,
                      struct fault *why);
/* Put the values in ascending order, or the most frequent first and equals
 * ascending.  Nothing may be added after that.  ST_OK or ST_NOMEM. */
enum status tally_sort(struct tally *tally, bool frequent_first,
                       struct fault *why);
/* Borrowed. */
const int64_t *tally_value(const struct tally *tally, size_t index);
void tally_free(struct tally *tally);

#endif
