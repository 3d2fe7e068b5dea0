/* schema/chord.h - a chord symbol as a value: root, bass, tones, class.
 *
 * No I/O and no SQL.  A chord comes from MusicXML (kind, degrees, bass) or
 * from text as musicians write it; both give the same value.  Chord tones
 * follow the kind-value table of MusicXML 4.0.
 */
#ifndef SCHEMA_CHORD_H
#define SCHEMA_CHORD_H

#include "schema/pitch.h"
#include "schema/status.h"

enum chord_class {
    CHORD_MAJOR,
    CHORD_MINOR,
    CHORD_DOMINANT,
    CHORD_MINOR_MAJOR,
    CHORD_HALF_DIMINISHED,
    CHORD_DIMINISHED,
    CHORD_AUGMENTED,
    CHORD_SUSPENDED,
    CHORD_POWER,
    CHORD_NONE,  /* N.C. */
    CHORD_OTHER, /* a symbol that could not be explained */
    CHORD_CLASSES
};

/* The 33 kind values of MusicXML 4.0 in the order of the standard, then
 * KIND_FOREIGN for anything else (empty, "maj7", "augmented-ninth" ...). */
enum chord_kind {
    KIND_MAJOR, KIND_MINOR, KIND_AUGMENTED, KIND_DIMINISHED, KIND_DOMINANT,
    KIND_MAJOR_SEVENTH, KIND_MINOR_SEVENTH, KIND_DIMINISHED_SEVENTH,
    KIND_AUGMENTED_SEVENTH, KIND_HALF_DIMINISHED, KIND_MAJOR_MINOR,
    KIND_MAJOR_SIXTH, KIND_MINOR_SIXTH, KIND_DOMINANT_NINTH,
    KIND_MAJOR_NINTH, KIND_MINOR_NINTH, KIND_DOMINANT_11TH, KIND_MAJOR_11TH,
    KIND_MINOR_11TH, KIND_DOMINANT_13TH, KIND_MAJOR_13TH, KIND_MINOR_13TH,
    KIND_SUSPENDED_SECOND, KIND_SUSPENDED_FOURTH, KIND_NEAPOLITAN,
    KIND_ITALIAN, KIND_FRENCH, KIND_GERMAN, KIND_PEDAL, KIND_POWER,
    KIND_TRISTAN, KIND_OTHER, KIND_NONE, KIND_FOREIGN,
    KIND_STANDARD_COUNT = KIND_FOREIGN
};

enum degree_change { DEGREE_ADD, DEGREE_ALTER, DEGREE_SUBTRACT };

/* One <degree> of a <harmony>.  ALTER is in semitones. */
struct chord_degree {
    enum degree_change change;
    int value; /* 1..13 */
    int alter; /* -3..3 */
};

enum { CHORD_DEGREES_MAX = 8, CHORD_TEXT_SIZE = 48 };

/* What MusicXML says of a chord, before it is understood. */
struct chord_source {
    struct pitch root; /* octave without meaning */
    struct pitch bass;
    bool has_root, has_bass;
    const char *kind_name; /* the element's text, "" where empty */
    const char *kind_text; /* kind@text, NULL where absent */
    struct chord_degree degrees[CHORD_DEGREES_MAX];
    int degree_count;
};

/* A chord as understood.  Plain data, compared with chord_equal(). */
struct chord {
    struct pitch root, bass;  /* sounding spelling, octave 0 */
    uint8_t root_pc, bass_pc; /* 0..11; of no meaning for CHORD_NONE */
    bool has_root;            /* false: a suffix alone ("m7"), or N.C. */
    uint8_t kind; /* enum chord_kind; the nearest where its text told */
    uint8_t class;            /* enum chord_class */
    bool altered;  /* a dominant with b9, #9, b5/#11 or #5/b13 */
    bool sus;      /* a dominant whose third is replaced by 4 or 2 */
    uint16_t tones;    /* bit s: the note s semitones above the root */
    uint16_t tensions; /* the bits of TONES that are no 1-3-5-7 or 6 of it */
    /* The symbol as a musician writes it: "F#m7b5/E", "N.C.". */
    char symbol[CHORD_TEXT_SIZE];
};

/* Understand SOURCE.  Never fails: what cannot be explained becomes class
 * CHORD_OTHER with the symbol its text gives.  Returns false in that case
 * and where some degree made no sense (the rest is used), so that a reader
 * can warn. */
bool chord_from_source(struct chord *out, const struct chord_source *source);

/* Read a chord as musicians write it: "Dm7", "F#m7b5", "Bb7#9/D", "C-7",
 * "Cmaj9", "C6/9", "N.C.", or with ROOTLESS a suffix alone ("m7", "7alt",
 * "maj7", "sus", "o7", also Unicode signs: triangle, o with stroke, degree
 * sign, sharps and flats).  The root is a capital letter, and an accidental
 * next to it is its own: "Bb5" is Bb with a fifth, "B(b5)" the other.  A
 * suffix has no bass and is not empty ("major").  TEXT need not end after
 * the chord when LEN says where it ends.  ST_OK, or ST_SYNTAX with the offset
 * of what was not understood in WHY (NULL allowed). */
enum status chord_parse(struct chord *out, const char *text, size_t len,
                        bool rootless, struct fault *why);

/* Move the root and bass by CHROMATIC semitones, DIATONIC steps, and write
 * the symbol anew. */
void chord_transpose(struct chord *chord, int chromatic, int diatonic);

/* How MusicXML says CHORD: the kind of the standard that needs the fewest
 * changes (its own kind among equals), with them in DEGREES and their number
 * in *COUNT.  chord_from_source() makes an equal chord of it, except where
 * the class is CHORD_OTHER: KIND_OTHER, to be shown by its text. */
int chord_nearest_kind(const struct chord *chord,
                       struct chord_degree degrees[CHORD_DEGREES_MAX],
                       int *count);

/* Same root, same class, same tones (bass and spelling do not count). */
bool chord_equal(const struct chord *a, const struct chord *b);

/* The fixed query word of a class ("half-diminished"), and back; -1 when
 * TEXT is no such word (case does not matter). */
const char *chord_class_name(int class);
int chord_class_parse(const char *text);

/* The MusicXML name of a kind ("major-seventh"), "" for KIND_FOREIGN; and
 * back, KIND_FOREIGN where it is none of the 33. */
const char *chord_kind_name(int kind);
int chord_kind_parse(const char *text);
/* What chord_from_source() makes of a kind alone: bit s of the result is the
 * note s semitones above the root.  For tests against the standard. */
uint16_t chord_kind_tones(int kind);

/* The name of the degree SEMITONES (0..11) above the root of CHORD, as one
 * says it of a single note: chord tones by their place in the chord ("b5"
 * over m7b5, "#5" over 7#5, "bb7" over dim7, "6" over a sixth chord, "4" over
 * a sus), everything else as a tension (b9 9 #9 11 #11 b13 13) or as the plain
 * third or seventh it is.  Borrowed: a constant. */
const char *chord_degree_name(const struct chord *chord, int semitones);

/* Degree names for the N notes MIDI[] of one melodic cell over CHORD, as a
 * teacher would write them down: as above, but an undecorated 9, 11 or 13
 * that moves by step to or from a neighbour in the cell is called 2, 4 or 6.
 * ("5 b3 2 1" over Dm7, "b3 5 b7 9" over Dm7.)  OUT receives N borrowed
 * constants.  The names depend only on the chord and on MIDI differences. */
void chord_cell_degrees(const char **out, const struct chord *chord,
                        const int *midi, size_t n);

#endif
