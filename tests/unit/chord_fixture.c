/* chord_fixture.c - chords and notes in the words of musicians, for tests. */
#include "tests/unit/chord_fixture.h"

#include <check.h>
#include <string.h>

const char *const every_class[] = {
    "C",    "Cmaj7", "Cm7",   "C7", "C7sus4", "Cm(maj7)", "Cm7b5", "Cdim7",
    "Cdim", "Caug",  "Csus4", "C5", "C6",     "C7alt",    "Cmaj9", "Cm6",
};

const int every_class_count = (int)(sizeof every_class / sizeof *every_class);

struct chord chord(const char *symbol)
{
    struct chord out;
    struct fault why = { 0 };

    ck_assert_msg(chord_parse(&out, symbol, strlen(symbol), false, &why) ==
                      ST_OK,
                  "%s: %s", symbol, why.message);
    return out;
}

struct chord chord_moved(const char *symbol, int semitones)
{
    static const int steps[12] = { 0, 1, 1, 2, 2, 3, 3, 4, 5, 5, 6, 6 };
    struct chord out = chord(symbol);

    chord_transpose(&out, semitones, steps[semitones]);
    return out;
}

size_t notes_read(int midi[FIXTURE_NOTES_MAX],
                  struct pitch spelled[FIXTURE_NOTES_MAX], const char *text)
{
    size_t n = 0;

    for (; *text; text += strspn(text, " ")) {
        struct pitch pitch;
        bool has_octave;
        size_t read = pitch_parse(&pitch, &has_octave, text, true);

        ck_assert_uint_gt(read, 0);
        ck_assert_uint_lt(n, FIXTURE_NOTES_MAX);
        if (spelled)
            spelled[n] = pitch;
        midi[n++] = pitch_midi(pitch);
        text += read;
    }
    return n;
}
