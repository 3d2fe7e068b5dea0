/* query/grade.h - how hard a passage is to play.
 *
 * What makes a line hard is common practice, no source; the numbers are ours.
 * Each part is 0 (easy) to 1000 (hard), in proportion between the two values
 * and held there outside of them:
 *
 *   part         weight  easy                      hard
 *   tempo          20    60 quarters a minute      300
 *   density        25    1 note a quarter          4
 *   range          10    5 semitones               24
 *   leaps          15    no step above a third     every step
 *   accidentals    15    every note in the key     every second note outside
 *   syncopation    15    no note is held over      every second note
 *                        a beat from off it
 *
 * The weights add up to 100; the score is the weighted mean.
 */
#ifndef QUERY_GRADE_H
#define QUERY_GRADE_H

#include "schema/solo.h"

enum grade_part {
    GRADE_TEMPO,
    GRADE_DENSITY,
    GRADE_RANGE,
    GRADE_LEAPS,
    GRADE_ACCIDENTALS,
    GRADE_SYNCOPATION,
    GRADE_PARTS
};

enum {
    GRADE_LEVELS = 5,
    GRADE_TEXT_SIZE = 256
};

struct grade {
    int parts[GRADE_PARTS]; /* 0..1000 */
    int score;              /* 0..1000 */
    int level;              /* 1..GRADE_LEVELS, fifths of the score */
    /* What the parts were read from. */
    int tempo;  /* quarters a minute, 0 unknown: counts as 120 */
    int range;  /* semitones */
    int leaps, accidentals, held; /* notes */
};

/* Grade the notes FIRST..LAST of SOLO as they sound. */
void grade_passage(struct grade *out, const struct solo *solo, size_t first,
                   size_t last);

/* "grade 3: 176 a minute, 2 notes a quarter, range 9 semitones, 1 leap, 2
 * accidentals, 1 note over the beat"; into OUT.  Returns OUT. */
char *grade_text(char out[GRADE_TEXT_SIZE], const struct grade *grade);

/* The name of a part, "tempo".  Borrowed: a constant. */
const char *grade_part_name(enum grade_part part);

#endif
