/* schema/solo_reader.h - take the bytes of a solo apart (solo_codec.h).
 *
 * Private to solo_reader.c and solo_decode*.c.
 */
#ifndef SCHEMA_SOLO_READER_H
#define SCHEMA_SOLO_READER_H

#include "schema/solo_codec.h"

/* Times are bounded so that sums of four of them cannot overflow. */
enum {
    TIME_BITS = 61
};
static const int64_t time_max = ((int64_t)1 << TIME_BITS) - 1;

/* A reader that has failed gives zeros and empty texts from then on, so that
 * only the end needs a check. */
struct reader {
    const unsigned char *at, *end;
    struct solo *solo;
    bool damaged, nomem;
    const char *texts[TEXT_WINDOW];
    size_t new_texts;
};

static inline unsigned int reader_byte(struct reader *r)
{
    if (r->at == r->end) {
        r->damaged = true;
        return 0;
    }
    return *r->at++;
}

/* As the next, for a number of more than a byte. */
uint64_t reader_long_uint(struct reader *r);

static inline uint64_t reader_uint(struct reader *r)
{
    /* Most numbers are a byte long. */
    if (r->at != r->end && *r->at < 0x80)
        return *r->at++;
    return reader_long_uint(r);
}

static inline int64_t reader_int(struct reader *r)
{
    uint64_t value = reader_uint(r);

    return (int64_t)(value >> 1) ^ -(int64_t)(value & 1);
}

/* A number that must lie in LOW..HIGH. */
static inline int64_t reader_within(struct reader *r, int64_t low, int64_t high)
{
    int64_t value = reader_int(r);

    if (value >= low && value <= high)
        return value;
    r->damaged = true;
    return low > 0 || high < 0 ? low : 0;
}

static inline uint64_t reader_below(struct reader *r, uint64_t limit)
{
    uint64_t value = reader_uint(r);

    if (value < limit)
        return value;
    r->damaged = true;
    return 0;
}

/* A count of things that take at least one byte each. */
static inline size_t reader_count(struct reader *r)
{
    return (size_t)reader_below(r, (uint64_t)(r->end - r->at) + 1);
}

/* Borrowed from the solo, or a constant. */
const char *reader_text(struct reader *r);

/* An array of N items, which are of no meaning yet, from the solo; *COUNT is 0
 * where there is no memory for it. */
void *reader_array(struct reader *r, size_t *count, size_t n, size_t item);

/* A pitch whose first byte was FIRST; PITCH_UNUSUAL is left to the caller. */
struct pitch reader_rest_of_pitch(struct reader *r, unsigned int first);
struct pitch reader_pitch(struct reader *r);

/* The bar that lies STEP bars after BAR. */
int32_t reader_bar_step(struct reader *r, int32_t bar, int64_t step);

/* The chords of the solo, whose bars were read; and its notes. */
void solo_decode_chords(struct reader *r);
void solo_decode_notes(struct reader *r);

#endif
