/* query/window_chords.h - the chord of many windows of one solo.
 *
 * The same answers as solo_window_chord(), which defines them, for who asks
 * for every window of a solo.
 */
#ifndef QUERY_WINDOW_CHORDS_H
#define QUERY_WINDOW_CHORDS_H

#include "schema/strand.h"

enum {
    WINDOW_NO_CHORD = -1
};

/* All zero at first; one serves for any number of solos in turn. */
struct window_chords {
    const struct solo *solo; /* NULL: there are strands */
    struct window_vote {
        /* The chord, equal for equal ones (chord_equal()); 0 for none. */
        uint32_t chord;
        /* The first later note of another symbol; by strands, of another chord
         * or kind. */
        uint32_t same_until;
        uint8_t strength; /* solo_onset_strength() + 1; 0 not known yet */
    } * votes;            /* of each note */
    size_t room;
};

/* Get ready for SOLO, which stays the caller's.  ST_OK or ST_NOMEM. */
enum status window_chords_start(struct window_chords *w,
                                const struct solo *solo, struct fault *why);

/* The strands that tell the chord of a window. */
struct window_strands {
    const uint8_t *midi, *place, *tones, *mark;
};
/* Do those of COUNT notes leave nothing unsaid? */
bool window_strands_tell(const struct window_strands *strands, size_t count);
/* The same from strands that tell all. */
enum status window_chords_read(struct window_chords *w,
                               const struct window_strands *strands,
                               size_t count, struct fault *why);

/* A note heard under the solo_window_chord(), an index; WINDOW_NO_CHORD where
 * there is none. */
int32_t window_chord(struct window_chords *w, size_t first, size_t n);
void window_chords_free(struct window_chords *w);

#endif
