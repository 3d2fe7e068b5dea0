/* query/notation_parts.h - how a bar is divided; private to notation. */
#ifndef QUERY_NOTATION_PARTS_H
#define QUERY_NOTATION_PARTS_H

#include "query/notation.h"

enum {
    BEATS_MAX = 256
};

/* The beats of a bar.  What is left of a very long bar is one last beat. */
struct beats {
    int64_t at[BEATS_MAX + 1]; /* where each starts; the last is the end */
    bool by_three[BEATS_MAX];  /* a beat of three parts: a dotted value */
    int count;
};

/* The beats of a bar of LENGTH ticks whose metre is METRE ("4/4", "3+2/8", ""
 * for none: quarters).  A bar that is longer or shorter than its metre has more
 * or fewer; FROM_END: the end of a bar, such as a pickup. */
void beats_of(struct beats *out, const char *metre, int64_t length,
              int64_t ticks, bool from_end);

/* What stands between two places of a bar. */
struct stretch {
    int64_t start, end;
    int32_t note; /* -1: silence */
};

/* The COUNT stretches ITEMS, in order and without gaps, in a bar of BEATS, as
 * signs; TICKS is a multiple of 128.  The caller owns *OUT (free()), also after
 * a failure.  ST_NOMEM. */
enum status stretches_divide(struct sign **out, size_t *sign_count,
                             const struct stretch *items, size_t count,
                             const struct beats *beats, int64_t ticks,
                             struct fault *why);

/* Beam the COUNT signs of a bar, by beats; plain eighths by half bars. */
void signs_beam(struct sign *signs, size_t count, const struct beats *beats);

#endif
