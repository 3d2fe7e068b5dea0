/* schema/salience.h - the notes at which a place may score most.
 *
 * Of a cell that stands ten thousand times, a list shows twenty: those that
 * open something, on a strong beat, over notes that fit.  How much a place may
 * score that starts at a note can be told before anything is asked.  The few
 * notes of which it is much are salient, and the full-text index lists the runs
 * that start there once more by their level (schema/gram.h), so that the best
 * places are found before all others.
 *
 * A place here starts at the note and is scored with no chord, rhythm or part
 * of the form asked for and the usual weights (query/rank.h, schema/worth.h),
 * or with a chord asked: that makes the score of a place no greater.  A note
 * has a level for each of the lengths of SALIENCE_LENGTHS: places of 3, of 4
 * and of 5 notes, and of 6 to SALIENCE_NOTES.
 */
#ifndef SCHEMA_SALIENCE_H
#define SCHEMA_SALIENCE_H

#include <stddef.h>
#include <stdint.h>

#include "schema/solo.h"

enum {
    SALIENCE_NOTES = 12,
    SALIENCE_LENGTHS = 4,
    /* From the most salient, 1, on; 0: not salient.  Not all grams are listed
     * at the later ones (schema/gram.h). */
    SALIENCE_FULL = 9,
    SALIENCE_LEVELS = 14
};

/* Every place that starts at a note of a level after LEVEL, 1 ..
 * SALIENCE_LEVELS, for its length, or at one that is not salient, scores less
 * than this, in millionths. */
int salience_floor(int level);

/* Going through a solo; all is borrowed. */
struct salience {
    const struct solo *solo;
    const uint8_t *mark, *follow; /* these strands of it (schema/strand.h) */
    /* How even the rhythm is at the notes before READY, the last of them: the
     * time before a note with that before it, and with its duration. */
    size_t ready;
    int before[16], held[16];
};
void salience_start(struct salience *out, const struct solo *solo,
                    const uint8_t *mark, const uint8_t *follow);

/* The LEVELS of the note I, which is not before the one asked for last; 0 where
 * it is not salient. */
void salience_levels(struct salience *s, size_t i,
                     int levels[SALIENCE_LENGTHS]);

#endif
