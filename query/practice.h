/* query/practice.h - a cell taken through the keys, to be played.
 *
 * The cell is written in even eighths from the first beat of a bar in 4/4, one
 * key after the other.  Which order of keys and which chords around it are of
 * use: common practice, no source.
 */
#ifndef QUERY_PRACTICE_H
#define QUERY_PRACTICE_H

#include "query/reader.h"
#include "schema/solo.h"

enum practice_order {
    PRACTICE_FOURTHS,   /* C F Bb Eb ... */
    PRACTICE_CHROMATIC, /* C Db D ... */
    PRACTICE_WHOLE      /* C D E ..., then Db Eb ... */
};

/* The words of --practice, ended by NULL. */
extern const char *const practice_orders[];

enum {
    PRACTICE_NOTES_MAX = 32
};

struct practice_cell {
    int midi[PRACTICE_NOTES_MAX];
    size_t count;
    struct chord chord; /* the cell lies over it; it has a root */
};

/* Whether a ii-V-I has a place for CELL: a bar over such a chord. */
bool practice_has_cadence(const struct practice_cell *cell);

/* CELL in twelve keys in ORDER, each in the octave that lies best for VIEW; the
 * solo sounds at concert pitch.  CADENCE: each inside a ii-V-I (of which
 * practice_has_cadence()), the other bars left to the player.  The caller owns
 * *OUT (solo_free()).  ST_NOMEM. */
enum status practice_make(struct solo **out, const struct practice_cell *cell,
                          enum practice_order order, bool cadence,
                          const struct written_for *view, struct fault *why);

#endif
