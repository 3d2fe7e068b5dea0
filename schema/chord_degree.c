/* schema/chord_degree.c - what a note is called over a chord. */
#include <stdlib.h>
#include <string.h>

#include "schema/chord.h"
#include "schema/chord_parts.h"

static bool has_tone(const struct chord *chord, int semitones)
{
    return (chord->tones & 1U << semitones) != 0;
}

/* Whether a fourth, or a second, stands for the third of CHORD. */
static bool is_sus(const struct chord *chord)
{
    return chord->sus || chord->class == CHORD_SUSPENDED;
}

static const char *name_of_second(const struct chord *chord)
{
    return is_sus(chord) && has_tone(chord, 2) && !has_tone(chord, 5) ? "2"
                                                                      : "9";
}

/* A minor third over a chord with a major one is a raised ninth, and so it
 * is where the third is suspended.  A chord that is not there, or not
 * understood, counts as major. */
static const char *name_of_minor_third(const struct chord *chord)
{
    switch (chord->class) {
    case CHORD_DOMINANT:
    case CHORD_SUSPENDED:
    case CHORD_NONE:
    case CHORD_OTHER:
        return has_tone(chord, 3) && !has_tone(chord, 4) &&
                       chord->class == CHORD_OTHER
                   ? "b3"
                   : "#9";
    default:
        return has_tone(chord, 4) || chord->class == CHORD_MAJOR ? "#9" : "b3";
    }
}

static const char *name_of_sixth(const struct chord *chord)
{
    if (chord->class == CHORD_DIMINISHED)
        return "bb7";
    if (has_tone(chord, 9) && !has_tone(chord, 10) && !has_tone(chord, 11))
        return "6";
    return "13";
}

const char *chord_degree_name(const struct chord *chord, int semitones)
{
    enum chord_class class = (enum chord_class)chord->class;

    switch (pitch_modulo(semitones, 12)) {
    case 0:
        return "1";
    case 1:
        return "b9";
    case 2:
        return name_of_second(chord);
    case 3:
        return name_of_minor_third(chord);
    case 4:
        return "3";
    case 5:
        return is_sus(chord) ? "4" : "11";
    case 6:
        return chord_fifth_is_low(chord->tones, class) ? "b5" : "#11";
    case 7:
        return "5";
    case 8:
        return chord_fifth_is_high(chord->tones) ? "#5" : "b13";
    case 9:
        return name_of_sixth(chord);
    case 10:
        return "b7";
    default:
        return "7";
    }
}

/* Whether the note at FROM moves by one or two semitones to the next note in
 * DIRECTION that is not itself repeated. */
static bool steps_to(const int *midi, size_t n, size_t from, int direction)
{
    for (size_t i = from; direction > 0 ? i + 1 < n : i > 0;) {
        int distance;

        i = direction > 0 ? i + 1 : i - 1;
        distance = abs(midi[i] - midi[from]);
        if (distance != 0)
            return distance <= 2;
    }
    return false;
}

/* NAME for a note that moves by step: 9, 11 and 13 are 2, 4 and 6. */
static const char *step_name(const char *name)
{
    static const char *const pairs[][2] = { { "9", "2" },
                                            { "11", "4" },
                                            { "13", "6" } };

    for (size_t i = 0; i < sizeof pairs / sizeof *pairs; i++)
        if (strcmp(name, pairs[i][0]) == 0)
            return pairs[i][1];
    return name;
}

void chord_cell_degrees(const char **out, const struct chord *chord,
                        const int *midi, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        out[i] = chord_degree_name(chord, midi[i] - chord->root_pc);
        if (steps_to(midi, n, i, 1) || steps_to(midi, n, i, -1))
            out[i] = step_name(out[i]);
    }
}
