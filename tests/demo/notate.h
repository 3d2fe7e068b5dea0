/* tests/demo/notate.h - a line as it is written down: bars of note and rest
 * signs, with ties, tuplets, beams and accidentals. */
#ifndef DEMO_NOTATE_H
#define DEMO_NOTATE_H
#include "tests/demo/line.h"

#define MAX_SIGNS 32 /* in a bar */

enum tuplet { TUPLET_NONE, TUPLET_EIGHTH, TUPLET_QUARTER };

/* One printed note or rest. */
struct sign {
    int at, duration; /* ticks from the start of the (full) bar */
    bool rest, whole_bar, grace;
    int midi, fifths; /* written */
    bool tie_stop, tie_start;
    const char *type; /* MusicXML note type */
    int dots;
    enum tuplet tuplet;
    bool tuplet_start, tuplet_stop;
    const char *beam[2]; /* MusicXML beam value of each level, or NULL */
    bool accidental;     /* the accidental is printed */
};

struct measure {
    struct sign sign[MAX_SIGNS];
    int nsigns;
    int from; /* tick of the full bar where the signs start: a pickup */
};

/* The key signature a reader sees; also the fifths added to every sounding
 * spelling.  A key past six accidentals is written the other way round. */
int notate_key(const struct solo_spec *spec, int *up_fifths);
/* Written root or bass of a chord from its sounding one. */
int notate_root(const struct solo_spec *spec, int fifths);
/* Name every note of LINE as it is written over the written chords. */
void notate_spell(const struct solo_spec *spec, const struct chart *chart,
                  struct line *line);
/* Write bar BAR (from 0; -1 is the pickup bar) of LINE into M.  False when
 * it has too many signs. */
bool notate_bar(const struct solo_spec *spec, const struct chart *chart,
                const struct line *line, int bar, struct measure *m);
#endif
