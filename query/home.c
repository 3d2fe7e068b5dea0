/* query/home.c - the chord that notes spell most plainly. */
#include "query/home.h"

#include <stdio.h>
#include <string.h>

#define TONE(semitones) (1U << (semitones))

/* What a chord may be spelled as, the commonest first. */
static const struct home_type {
    const char *suffix;
    unsigned tones;
    unsigned third; /* the third, or the 4 that stands for it */
    int common;
} types[] = {
    { "7", TONE(0) | TONE(4) | TONE(7) | TONE(10), TONE(4), 1 },
    { "m7", TONE(0) | TONE(3) | TONE(7) | TONE(10), TONE(3), 1 },
    { "", TONE(0) | TONE(4) | TONE(7), TONE(4), 1 },
    { "maj7", TONE(0) | TONE(4) | TONE(7) | TONE(11), TONE(4), 1 },
    { "m7b5", TONE(0) | TONE(3) | TONE(6) | TONE(10), TONE(3), 0 },
    { "dim", TONE(0) | TONE(3) | TONE(6), TONE(3), 0 },
    { "dim7", TONE(0) | TONE(3) | TONE(6) | TONE(9), TONE(3), 0 },
    { "m6", TONE(0) | TONE(3) | TONE(7) | TONE(9), TONE(3), 0 },
    { "6", TONE(0) | TONE(4) | TONE(7) | TONE(9), TONE(4), 0 },
    { "m(maj7)", TONE(0) | TONE(3) | TONE(7) | TONE(11), TONE(3), 0 },
    { "aug", TONE(0) | TONE(4) | TONE(8), TONE(4), 0 },
    { "7#5", TONE(0) | TONE(4) | TONE(8) | TONE(10), TONE(4), 0 },
    { "sus4", TONE(0) | TONE(5) | TONE(7), TONE(5), -3 },
    { "7sus4", TONE(0) | TONE(5) | TONE(7) | TONE(10), TONE(5), -3 },
};

enum {
    TYPES = sizeof types / sizeof *types,
    MAJOR_THIRD = 4
};

/* What the first or last note adds. */
static int edge(const struct home_type *type, int semitones, int for_root)
{
    if (semitones == 0)
        return for_root;
    return type->tones & TONE(semitones) ? 1 : 0;
}

/* What a chord tone adds by not sounding. */
static int missing(const struct home_type *type, unsigned sounding)
{
    int sum = 0;

    for (int s = 0; s < 12; s++)
        if (type->tones & ~sounding & TONE(s))
            sum -= type->third == TONE(s) ? 2 : 1;
    return sum;
}

/* How plainly the notes spell TYPE on ROOT; the table is in the header. */
static long plainness(const struct home_type *type, int root, const int *midi,
                      size_t n)
{
    unsigned sounding = 0;
    long sum = type->common;

    for (size_t i = 0; i < n; i++) {
        int semitones = pitch_modulo(midi[i] - root, 12);

        sounding |= TONE(semitones);
        if (type->tones & TONE(semitones))
            sum += 4;
        else if (semitones == 2)
            sum += 1;
    }
    if (sounding & TONE(0))
        sum += 3;
    if ((sounding & type->third) && !(type->third & TONE(5)))
        sum += 2;
    return sum + edge(type, pitch_modulo(midi[0] - root, 12), 5) +
           edge(type, pitch_modulo(midi[n - 1] - root, 12), 3) +
           missing(type, sounding);
}

/* Make OUT the chord SUFFIX on ROOT; false where they do not read. */
static bool build(struct chord *out, struct pitch root, const char *suffix)
{
    char text[PITCH_TEXT_SIZE + CHORD_TEXT_SIZE], name[PITCH_TEXT_SIZE];
    int length = snprintf(text, sizeof text, "%s%s",
                          pitch_class_text(name, root), suffix);

    return chord_parse(out, text, (size_t)length, false, NULL) == ST_OK &&
           out->root_pc == pitch_modulo(pitch_midi(root), 12);
}

/* The usual names of the black keys are Db, Eb, Gb, Ab and Bb for a chord
 * with a major third, and C#, Eb, F#, Ab and Bb for any other (common
 * practice, no source). */
static struct pitch usual_root(const struct home_type *type, int root)
{
    return pitch_spell(root + 60, type->tones & TONE(MAJOR_THIRD) ? -5 : 0);
}

bool home_infer(struct chord *out, const int *midi, const struct pitch *spelled,
                size_t n)
{
    const struct home_type *best = NULL;
    int best_root = 0;
    long best_sum = 0;

    if (n == 0)
        return false;
    for (size_t t = 0; t < TYPES; t++)
        for (int up = 0; up < 12; up++) {
            int root = pitch_modulo(pitch_modulo(midi[0], 12) + up, 12);
            long sum = plainness(&types[t], root, midi, n);

            if (best && sum <= best_sum)
                continue;
            best = &types[t];
            best_root = root;
            best_sum = sum;
        }
    for (size_t i = 0; spelled && i < n; i++)
        if (pitch_modulo(midi[i], 12) == best_root &&
            pitch_modulo(pitch_midi(spelled[i]), 12) == best_root &&
            build(out, spelled[i], best->suffix))
            return true;
    return build(out, usual_root(best, best_root), best->suffix);
}

/* The plainest chord of a class, as a suffix. */
static const char *class_suffix(int class)
{
    static const char *const suffixes[CHORD_CLASSES] = {
        [CHORD_MAJOR] = "",
        [CHORD_MINOR] = "m7",
        [CHORD_DOMINANT] = "7",
        [CHORD_MINOR_MAJOR] = "m(maj7)",
        [CHORD_HALF_DIMINISHED] = "m7b5",
        [CHORD_DIMINISHED] = "dim7",
        [CHORD_AUGMENTED] = "aug",
        [CHORD_SUSPENDED] = "sus4",
        [CHORD_POWER] = "5"
    };

    return suffixes[class];
}

void home_move(struct chord *out, const struct chord *home, int root_pc,
               int fifths)
{
    struct pitch root = pitch_spell(root_pc + 60, fifths);
    struct chord moved;

    *out = *home;
    root.octave = home->root.octave; /* so that both count alike */
    if (home->class == CHORD_NONE || home->class == CHORD_OTHER ||
        (home->has_root && home->root_pc == root_pc))
        return;
    if (home->has_root)
        chord_transpose(out, pitch_midi(root) - pitch_midi(home->root),
                        root.step - home->root.step);
    else if (build(&moved, root,
                   home->tones ? home->symbol : class_suffix(home->class)))
        *out = moved;
}
