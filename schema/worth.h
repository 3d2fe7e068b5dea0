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

    WORTH_STRENGTHS = 5 /* solo_onset_strength() is less */
};

/* Nothing sounds so long, and sums of it stay far from overflow. */
#define WORTH_DURATION_MAX (INT64_C(1) << 40)

/* Where a place starts, the most notable first. */
enum worth_spot {
    WORTH_OPENS_CHORUS,
    WORTH_OPENS_SECTION,
    WORTH_FIRST_OF_FOUR, /* in the first bar of four of its chorus */
    WORTH_STARTS_PHRASE,
    WORTH_ELSEWHERE,
    WORTH_SPOTS
};
/* The most notable of what a note does. */
enum worth_spot worth_spot(bool opens_chorus, bool opens_section,
                           bool first_of_four, bool starts_phrase);

/* By where a place starts; the strength of its first onset; the chord that
 * comes next; what the line does next; a note to its chord. */
extern const int worth_where[WORTH_SPOTS];
extern const int worth_metre[WORTH_STRENGTHS];
extern const int worth_motion[FOLLOW_MOTIONS];
extern const int worth_line[FOLLOW_LINES];
extern const int worth_tone[FOLLOW_TONES];

/* The mean of tones that are worth SUM in all, weighted ALL in all (at least
 * 1), in thousandths rounded to a hundredth. */
int worth_fit(int64_t sum, int64_t all);
/* The smaller of two lengths over the larger, rounded; the larger is above 0
 * and at most INT64_MAX / 4000. */
int worth_ratio(int64_t smaller, int64_t larger);
/* The mean of COUNT ratios that come to SUM in all, rounded; of none, all. */
int worth_ratios(int sum, int count);
/* The sum of the parts of harmony, and of position. */
int worth_harmony(int relation, int follows, int fit);
int worth_position(int where, int metre);

#endif
