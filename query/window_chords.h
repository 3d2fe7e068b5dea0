/* query/window_chords.h - the chord of many windows of one solo.
 *
 * The same answers as solo_window_chord(), which defines them, for who asks
 * for every window of a solo.
 */
#ifndef QUERY_WINDOW_CHORDS_H
#define QUERY_WINDOW_CHORDS_H

#include "schema/solo.h"

/* All zero at first; one serves for any number of solos in turn. */
struct window_chords {
    const struct solo *solo;
    struct window_vote {
        /* The chord, equal for equal ones (chord_equal()); 0 for none. */
        uint32_t chord;
        uint32_t same_until; /* the first later note of another symbol */
        uint8_t strength;    /* solo_onset_strength() + 1; 0 not known yet */
    } * votes;               /* of each note */
    size_t room;
};

/* Get ready for SOLO, which stays the caller's.  ST_OK or ST_NOMEM. */
enum status window_chords_start(struct window_chords *w,
                                const struct solo *solo, struct fault *why);
/* solo_window_chord(). */
int32_t window_chord(struct window_chords *w, size_t first, size_t n);
void window_chords_free(struct window_chords *w);

#endif
