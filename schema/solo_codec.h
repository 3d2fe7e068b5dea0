/* schema/solo_codec.h - a solo as one compact byte string.
 *
 * Private to solo_encode.c and solo_decode.c.
 *
 * Numbers are variable-length (seven bits a byte, low bits first), signed ones
 * zigzag-coded.  Layout: version, facts, bars, chord table, chords, notes,
 * remarks, plays, form, warnings.  A note takes five to six bytes: MIDI number,
 * spelling, bar step, onset, duration.  What follows from the rest (absolute
 * times, the chord of a note) is worked out on reading.
 */
#ifndef SCHEMA_SOLO_CODEC_H
#define SCHEMA_SOLO_CODEC_H

enum {
    CODEC_VERSION = 2,
    CHORD_WINDOW = 64, /* distinct chords looked back for an equal one */
    FUNCTION_WINDOW = 64, /* and functions */
    NOTE_REST = 1,
    NOTE_GRACE = 2,
    NOTE_SPELLED = 4, /* both pitches written out in full */
    NOTE_MOVED = 8,   /* written pitch differs in another way than before */
    NOTE_PHRASE = 128 /* a phrase starts; bits 4 to 6 are a spelling */
};

#endif
