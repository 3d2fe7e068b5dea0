/* query/accidentals.h - which accidentals are printed in a bar.
 *
 * An accidental holds for its line of the staff until the end of the bar
 * (common practice, no source).
 */
#ifndef QUERY_ACCIDENTALS_H
#define QUERY_ACCIDENTALS_H

#include "schema/pitch.h"

enum {
    ACCIDENTALS_OCTAVES = 16
};

struct accidentals {
    int16_t alter[ACCIDENTALS_OCTAVES][7]; /* in force, in cents */
};

/* A new bar with the key signature FIFTHS (-7..7). */
void accidentals_start(struct accidentals *seen, int fifths);

/* The accidental that PITCH needs by its MusicXML name ("flat", "natural"), ""
 * where none; it is in force from then on.  A note that is TIED to the one
 * before needs none.  Borrowed: a constant. */
const char *accidentals_needed(struct accidentals *seen, struct pitch pitch,
                               bool tied);

#endif
