/* tests/demo/forms.h - invented tunes, their chord cycles, and the solos. */
#ifndef DEMO_FORMS_H
#define DEMO_FORMS_H
#include "tests/demo/habits.h"

#include <stdint.h>

struct section {
    const char *letter;
    const char *bars; /* '|' between bars, blanks between chords, in C */
};

struct tune {
    const char *title, *composer, *form;
    int beats;  /* quarters in a bar */
    int length; /* bars in a chorus */
    bool minor;
    struct section section[5];
    const char *coda; /* stands for the last two bars of the last chorus */
};

struct instrument {
    const char *name, *abbreviation, *sound; /* sound: MusicXML sound id */
    const char *clef;     /* sign */
    int clef_line, clef_octave;
    int low, high;        /* sounding MIDI numbers used */
    int up_semitones, up_fifths; /* from sounding to written */
    int diatonic, chromatic, octave; /* MusicXML transpose */
};

enum marks {
    MARKS_NONE,    /* no section marks, a plain bar line between choruses */
    MARKS_DOUBLE,  /* double bars at the ends of sections */
    MARKS_LETTERS, /* double bars and rehearsal marks A, B ... */
    MARKS_CHORUS   /* a double bar and a word at each chorus */
};

enum repeats {
    REPEATS_NONE,
    REPEATS_CHORUS, /* the first chorus is played twice */
    REPEATS_ENDINGS /* the first two sections share bars, two endings */
};

enum packing { PACK_PLAIN, PACK_TIMEWISE, PACK_MXL, PACK_STORED };

struct solo_spec {
    const char *file; /* below the player's folder */
    int player, tune, instrument;
    int fifths; /* key signature, sounding */
    int tempo;  /* quarters a minute */
    int choruses; /* as written */
    const char *feel;
    int pickup; /* beats before bar 1 that may sound */
    enum marks marks;
    enum repeats repeats;
    enum packing packing;
    uint64_t seed;
};

extern const struct tune tunes[];
extern const struct instrument instruments[];
extern const struct solo_spec solos[];
extern const int solo_count;
#endif
