/* query/reader.h - for whose instrument a handout is written.
 *
 * What an instrument in Bb, Eb or F reads above what sounds: common practice,
 * no source.
 */
#ifndef QUERY_READER_H
#define QUERY_READER_H

#include "schema/pitch.h"

enum reader {
    READER_CONCERT,
    READER_BB,
    READER_EB,
    READER_F,
    READER_BASS, /* as it sounds, in the bass clef */
    READERS
};

/* The words of --for, ended by NULL. */
extern const char *const reader_words[];

/* From sounding to written. */
struct written_for {
    int chromatic, diatonic; /* semitones and steps up, octaves included */
    bool bass_clef;
};

/* How READER reads music that lies around the note MIDI (its middle): moved by
 * whole octaves so that it lies near the middle of the staff. */
struct written_for reader_view(enum reader reader, int midi);

/* The note on the middle line of the staff, as written. */
int reader_middle(const struct written_for *view);

/* The key signature FIFTHS as VIEW writes it, -6..6 fifths; *DIATONIC receives
 * the steps to move notes and chords by, which are one more or fewer than
 * VIEW's where the key is written as its enharmonic. */
int reader_key(const struct written_for *view, int fifths, int *diatonic);

/* Read a word of --for (case does not matter); -1 where it is none. */
int reader_parse(const char *text);

#endif
