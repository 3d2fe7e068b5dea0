/* schema/worth.h - what the parts of a place are worth in its score: the
 * numbers that query/rank.h explains.
 *
 * They are here because the index lists the places that may score most
 * (schema/salience.h).  Whoever changes one raises STORE_VERSION.  All are
 * thousandths, but for the tenths by which the parts of a part are weighted.
 */
#ifndef SCHEMA_WORTH_H
#define SCHEMA_WORTH_H

#include "schema/follow.h"

enum {
    WORTH_WHOLE = 1000,

    /* The parts, where no other weights are asked. */
    WORTH_HARMONY = 550,
    WORTH_POSITION = 300,
    WORTH_RHYTHM = 150,

    WORTH_TENTHS_RELATION = 5,
    WORTH_TENTHS_FOLLOWS = 2,
    WORTH_TENTHS_FIT = 3,
    WORTH_TENTHS_WHERE = 7,
    WORTH_TENTHS_METRE = 3,

    /* Where a place starts. */
    WORTH_OPENS_CHORUS = 1000,
    WORTH_OPENS_SECTION = 800,
    WORTH_FIRST_OF_FOUR = 600,
    WORTH_STARTS_PHRASE = 500,
    WORTH_ELSEWHERE = 300,

    WORTH_STRENGTHS = 5 /* solo_onset_strength() is less */
};

/* By the strength of the first onset; the chord that comes next; what the line
 * does next; a note to its chord. */
extern const int worth_metre[WORTH_STRENGTHS];
extern const int worth_motion[FOLLOW_MOTIONS];
extern const int worth_line[FOLLOW_LINES];
extern const int worth_tone[FOLLOW_TONES];

/* The mean of tones that are worth SUM in all, weighted ALL in all (at least
 * 1), in thousandths rounded to a hundredth. */
int worth_fit(int64_t sum, int64_t all);
/* The mean of COUNT ratios that come to SUM in all, rounded; of none, all. */
int worth_ratios(int sum, int count);
/* The sum of the parts of harmony, and of position. */
int worth_harmony(int relation, int follows, int fit);
int worth_position(int where, int metre);

#endif
