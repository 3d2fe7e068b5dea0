/* schema/worth.c - see worth.h. */
#include "schema/worth.h"

const int worth_where[WORTH_SPOTS] = {
    [WORTH_OPENS_CHORUS] = 1000, [WORTH_OPENS_SECTION] = 800,
    [WORTH_FIRST_OF_FOUR] = 600, [WORTH_STARTS_PHRASE] = 500,
    [WORTH_ELSEWHERE] = 300,
};

const int worth_metre[WORTH_STRENGTHS] = { 400, 600, 800, 900, 1000 };

const int worth_motion[FOLLOW_MOTIONS] = {
    [FOLLOW_UP_FOURTH] = 1000, [FOLLOW_DOWN_SEMITONE] = 800,
    [FOLLOW_STEP] = 600,       [FOLLOW_OTHER_MOTION] = 400,
    [FOLLOW_NO_MOTION] = 200,
};

const int worth_line[FOLLOW_LINES] = {
    [FOLLOW_BY_STEP] = 1000, [FOLLOW_BY_LEAP] = 700, [FOLLOW_STAYS] = 500,
    [FOLLOW_NO_TONE] = 300,  [FOLLOW_NOTHING] = 200,
};

const int worth_tone[FOLLOW_TONES] = {
    [FOLLOW_UNEXPLAINED] = 0,
    [FOLLOW_CHORD_TONE] = 1000,
    [FOLLOW_TENSION] = 800,
    [FOLLOW_OTHER_TONE] = 200,
};

enum worth_spot worth_spot(bool opens_chorus, bool opens_section,
                           bool first_of_four, bool starts_phrase)
{
    if (opens_chorus)
        return WORTH_OPENS_CHORUS;
    if (opens_section)
        return WORTH_OPENS_SECTION;
    if (first_of_four)
        return WORTH_FIRST_OF_FOUR;
    return starts_phrase ? WORTH_STARTS_PHRASE : WORTH_ELSEWHERE;
}

int worth_fit(int64_t sum, int64_t all)
{
    return 10 * (int)((sum + 5 * all) / (10 * all));
}

int worth_ratio(int64_t smaller, int64_t larger)
{
    return (int)((2 * WORTH_WHOLE * smaller + larger) / (2 * larger));
}

int worth_ratios(int sum, int count)
{
    return count > 0 ? (2 * sum + count) / (2 * count) : WORTH_WHOLE;
}

int worth_harmony(int relation, int follows, int fit)
{
    return (WORTH_TENTHS_RELATION * relation + WORTH_TENTHS_FOLLOWS * follows +
            WORTH_TENTHS_FIT * fit) /
           10;
}

int worth_position(int where, int metre)
{
    return (WORTH_TENTHS_WHERE * where + WORTH_TENTHS_METRE * metre) / 10;
}
