/* tests/demo/theory.h - spelled pitches and chord symbols for the generator.
 *
 * A spelling is a number on the line of fifths: ... -2 Bb, -1 F, 0 C, 1 G,
 * 2 D ...  Adding one goes up a fifth, so a transposition is an addition and
 * the spelling stays right by itself.  Nothing here is taken from the
 * programs under test: the corpus has to be an independent witness. */
#ifndef DEMO_THEORY_H
#define DEMO_THEORY_H
#include <stdbool.h>
#include <stddef.h>

#define DIVISIONS 12 /* ticks in a quarter note: eighths 6, triplets 4 */
#define NO_BASS 99

enum family {
    FAM_MAJOR,
    FAM_MINOR,
    FAM_DOMINANT,
    FAM_HALF_DIMINISHED,
    FAM_DIMINISHED,
    FAM_SUSPENDED
};

struct alteration {
    int value, alter;
    const char *type; /* "add" or "alter", as MusicXML's degree-type */
};

struct quality {
    const char *suffix; /* as a musician writes it, and as forms.c does */
    const char *kind;   /* MusicXML kind */
    const char *text;   /* what stands after the root before degrees */
    enum family family;
    unsigned tones; /* bit n: n semitones above the root is a chord tone */
    unsigned scale; /* the same, for the notes a line moves through */
    struct alteration alteration[2];
    int nalterations;
};

struct chord {
    int root, bass; /* line of fifths, counted on from the key without
                     * regard to readability; bass may be NO_BASS */
    const struct quality *quality;
    unsigned scale; /* the quality's, or what the key makes of it */
    bool silent; /* N.C. is written, the chord is only implied */
};

/* Pitch class 0 .. 11 of a spelling. */
int spelling_class(int fifths);
/* Letter 0 .. 6 for C D E F G A B, and alteration in semitones. */
int spelling_letter(int fifths);
int spelling_alter(int fifths);
/* Write a name such as "Bb" or "F#" into the SIZE bytes at OUT. */
void spelling_name(int fifths, char *out, size_t size);
/* The same sound with fewer accidentals, when FIFTHS lies far from the key
 * signature KEY: no double accidentals, no E# in a flat key. */
int spelling_plain(int fifths, int key);
/* The same for the root or bass of a chord: no Cb, Fb or A#. */
int spelling_root(int fifths);

/* Read one chord symbol, written in C, and move it SHIFT fifths.  "NC:G7"
 * is N.C. with G7 implied.  False when the text is not one of ours. */
bool chord_read(const char *text, int shift, struct chord *out);
/* The quality written SUFFIX, or NULL. */
const struct quality *quality_find(const char *suffix);
/* Write the sounding symbol, such as "Bb7b9/F" or "N.C.", into OUT. */
void chord_write(const struct chord *chord, char *out, size_t size);
/* Choose the scale of CHORD by where it stands: as iii or vi of the major
 * key whose signature is KEY, or as a dominant that leads to a minor NEXT.
 * MINOR says that the tune is in a minor key; NEXT may be NULL. */
void chord_settle(struct chord *chord, const struct chord *next, int key,
                  bool minor);
/* Same root, quality and bass, both sounding or both silent. */
bool chord_same(const struct chord *a, const struct chord *b);
/* True when NEXT is where a dominant CHORD wants to go: its root a fourth
 * higher or a semitone lower. */
bool chord_resolves(const struct chord *chord, const struct chord *next);
/* Spell the note REL (0 .. 11) semitones above the root of CHORD in a piece
 * with KEY as its signature.  RISING: the line goes on a semitone up. */
int chord_spell(const struct chord *chord, int rel, bool rising, int key);

/* Semitones above the root named by a degree such as "b3"; -1: no degree. */
int degree_semitones(const char *name, size_t len);
/* The degree's name over a chord of FAMILY: tensions as 9, 11, 13. */
const char *degree_name(enum family family, int rel);
#endif
