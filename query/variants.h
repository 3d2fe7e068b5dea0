/* query/variants.h - the rhythms in which a fragment is played. */
#ifndef QUERY_VARIANTS_H
#define QUERY_VARIANTS_H

#include "query/edits.h"
#include "schema/solo.h"

enum { VARIANT_BEATS_MAX = 32 };

/* One rhythm: the times from note to note, and the length of the last, in
 * quarters. */
struct variant {
    size_t notes;
    struct rational value[EDITS_STEPS_MAX];
    uint64_t count;
    /* Uses in which a note is held over a stronger place of the bar than the
     * one it starts on, or over the bar line. */
    uint64_t syncopated;
    /* The beats it starts on, as solo_beat() counts, ascending; starts beyond
     * VARIANT_BEATS_MAX different ones are only in COUNT. */
    struct variant_beat {
        struct rational beat;
        uint64_t count;
    } beats[VARIANT_BEATS_MAX];
    size_t beat_count;
};

/* Distinct rhythms; all zero is none.  Release with variants_free(). */
struct variants {
    struct variant **items; /* by their values, until variants_sort() */
    size_t count, room;
};

/* Count the place FIRST..LAST of SOLO.  ST_OK or ST_NOMEM. */
enum status variants_add(struct variants *variants, const struct solo *solo,
                         size_t first, size_t last, struct fault *why);
/* The most frequent first; equal ones by their values. */
void variants_sort(struct variants *variants);
void variants_free(struct variants *variants);

/* Is a note of the place held over a stronger place of the bar? */
bool variants_syncopated(const struct solo *solo, size_t first, size_t last);

#endif
