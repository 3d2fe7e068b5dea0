/* schema/follow.h - what a note is to its chord, and what comes after it.
 *
 * What counts is common practice, no source; the rules are our own choice.
 * N.C. counts as no chord throughout.
 */
#ifndef SCHEMA_FOLLOW_H
#define SCHEMA_FOLLOW_H

#include "schema/solo.h"

/* What a note is to a chord. */
enum follow_tone {
    FOLLOW_UNEXPLAINED, /* there is no chord that says what it is */
    FOLLOW_CHORD_TONE,
    FOLLOW_TENSION, /* b9 9 #9 11 #11 b13 13, written in the symbol or not */
    FOLLOW_OTHER_TONE,
    FOLLOW_TONES
};

/* How the root moves to the next chord. */
enum follow_motion {
    FOLLOW_UP_FOURTH,
    FOLLOW_DOWN_SEMITONE,
    FOLLOW_STEP, /* a semitone up, a whole step */
    FOLLOW_OTHER_MOTION,
    FOLLOW_NO_MOTION, /* one of the two is no chord */
    FOLLOW_MOTIONS
};

/* What the line does after a note. */
enum follow_line {
    FOLLOW_BY_STEP,  /* to a tone of the next chord, by at most two semitones */
    FOLLOW_BY_LEAP,  /* the same, by more */
    FOLLOW_STAYS,    /* the next note is heard under the same chord */
    FOLLOW_NO_TONE,  /* the next note is no tone of the next chord */
    FOLLOW_NOTHING,  /* no note, no chord, or only after the next chord */
    FOLLOW_LINES
};

/* The chord INDEX of SOLO; NULL for none and for N.C.  Borrowed. */
const struct chord *follow_sounding(const struct solo *solo, int32_t index);

/* What MIDI is to CHORD, NULL for none. */
enum follow_tone follow_tone(const struct chord *chord, int midi);

/* The first chord after the chord HERE (SOLO_NO_CHORD: before the first) that
 * is another (chord_equal(); N.C. is one); -1 where there is none. */
int32_t follow_chord(const struct solo *solo, int32_t here);

/* From the root of A to that of B, 0..11 semitones; -1 where one of them has
 * no root or is NULL. */
int follow_root_steps(const struct chord *a, const struct chord *b);
/* The same in a word. */
enum follow_motion follow_motion(const struct chord *a, const struct chord *b);

/* Is the note after LAST of SOLO the first that is heard under NEXT, the
 * follow_chord() of the chord LAST is heard under?  False where the chord
 * stays, or where the line is silent until a later one. */
bool follow_leads_across(const struct solo *solo, size_t last, int32_t next);

/* What the line does after the note LAST of SOLO, where NEXT is the
 * follow_chord() of the chord it is heard under. */
enum follow_line follow_line(const struct solo *solo, size_t last,
                             int32_t next);

#endif
