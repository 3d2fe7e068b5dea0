/* tests/form/cycle.h - invented solos whose form is known.
 *
 * Chord cycles come from a small functional grammar (tonic, subdominant,
 * dominant; common practice, no source) and are put together as forms are:
 * AABA, ABAC, ABAB', blues, sections in a row.  Each chorus is then changed
 * on its own at a given rate by what players do (tritone substitute, relative,
 * ii before V, secondary dominant, another turnaround).
 *
 * The truth of a solo is the length and the first bar it was made with.  So
 * that chords can tell it, these rules hold where there are no marks: a solo
 * of one chorus has nothing before or after it; only a third or later chorus
 * breaks off, and after an introduction at least four bars from its start and
 * its end; an introduction does not end with the last chord of the form; and
 * what follows the last chorus is never a single bar on the tonic.  Always: a
 * second chorus that breaks off is at least half a chorus and twelve bars, a
 * tag of several bars does not start as the form does, and sections with
 * different letters differ in two bars of three, their ends aside.
 *
 * One thing is left to the ear: A A B and the start of a second chorus of
 * which there is no more than A A is as well A A B A and the start of another.
 * There OTHER_LENGTH is as right as LENGTH.
 */
#ifndef TESTS_FORM_CYCLE_H
#define TESTS_FORM_CYCLE_H

#include "schema/solo.h"

enum cycle_marks {
    CYCLE_BARE,    /* no marks */
    CYCLE_LETTERS, /* section letters, "Intro", "Coda" */
    CYCLE_CHORUSES, /* "Chorus 1", "Chorus 2" ..., "Intro", "Coda" */
    CYCLE_DOUBLE,  /* double bars at the ends of sections */
    CYCLE_MARKS
};

/* Things that the grammar does not do by itself. */
enum cycle_variation {
    CYCLE_HALF_BARS = 1,    /* most bars have two chords */
    CYCLE_RESTATED = 2,     /* every bar says its chord again */
    CYCLE_SILENT_INTRO = 4, /* no chords in the introduction, or N.C. */
    CYCLE_VAMP_INTRO = 8,   /* one or two bars over and over */
    CYCLE_SPARSE = 16,      /* a chord in five is not written */
    CYCLE_VARIATIONS = 5
};

struct cycle_wish {
    uint32_t seed;
    int percent; /* chords changed in each chorus */
    enum cycle_marks marks;
    unsigned int variations; /* enum cycle_variation */
};

struct cycle {
    struct solo *solo;
    int length, first_bar; /* the truth */
    int other_length;      /* what is as right, 0 nothing */
    int choruses;          /* also one that breaks off */
    int partial;           /* bars of the one that breaks off, 0 none */
    int tag;               /* bars after the last */
    char letters[16];      /* of the sections */
};

/* The caller owns OUT->solo. */
void cycle_make(struct cycle *out, const struct cycle_wish *wish);

/* Does the solo have a form of the length and the first bar it was made with?
 */
bool cycle_is_told(const struct cycle *cycle);

#endif
