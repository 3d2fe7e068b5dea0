/* query/accidentals.c - which accidentals are printed in a bar. */
#include "query/accidentals.h"

void accidentals_start(struct accidentals *seen, int fifths)
{
    /* The order of sharps; flats come from its end. */
    static const int order[7] = { 3, 0, 4, 1, 5, 2, 6 };

    for (int octave = 0; octave < ACCIDENTALS_OCTAVES; octave++) {
        for (int step = 0; step < 7; step++)
            seen->alter[octave][step] = 0;
        for (int i = 0; i < 7 && i < fifths; i++)
            seen->alter[octave][order[i]] = 100;
        for (int i = 0; i < 7 && i < -fifths; i++)
            seen->alter[octave][order[6 - i]] = -100;
    }
}

static const char *name_of(int alter)
{
    static const struct {
        int alter;
        const char *name;
    } names[] = {
        { 0, "natural" },
        { 100, "sharp" },
        { -100, "flat" },
        { 200, "double-sharp" },
        { -200, "flat-flat" },
        { 50, "quarter-sharp" },
        { -50, "quarter-flat" },
        { 150, "three-quarters-sharp" },
        { -150, "three-quarters-flat" },
    };

    for (size_t i = 0; i < sizeof names / sizeof *names; i++)
        if (names[i].alter == alter)
            return names[i].name;
    return "";
}

const char *accidentals_needed(struct accidentals *seen, struct pitch pitch,
                               bool tied)
{
    int octave = pitch_modulo(pitch.octave, ACCIDENTALS_OCTAVES);
    int16_t *in_force = &seen->alter[octave][pitch.step];

    if (tied || *in_force == pitch.alter)
        return "";
    *in_force = pitch.alter;
    return name_of(pitch.alter);
}
