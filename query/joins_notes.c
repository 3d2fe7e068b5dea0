/* query/joins_notes.c - what is asked of notes that stand side by side. */
#include <stdlib.h>

#include "query/joins_parts.h"
#include "schema/harmony.h"

/* --- scales --------------------------------------------------------------- */

enum shape {
    MAJOR,
    MELODIC_MINOR,
    HARMONIC_MINOR,
    DIMINISHED,
    WHOLE_TONE,
    SHAPES
};

/* Bit s: the note s semitones above the tonic; the last two come back to
 * themselves after TONICS semitones. */
static const struct {
    uint16_t tones;
    int tonics;
} shapes[SHAPES] = {
    [MAJOR] = { 0xab5, 12 },          /* 0 2 4 5 7 9 11 */
    [MELODIC_MINOR] = { 0xaad, 12 },  /* 0 2 3 5 7 9 11 */
    [HARMONIC_MINOR] = { 0x9ad, 12 }, /* 0 2 3 5 7 8 11 */
    [DIMINISHED] = { 0x6db, 3 },      /* 0 1 3 4 6 7 9 10 */
    [WHOLE_TONE] = { 0x555, 2 },      /* 0 2 4 6 8 10 */
};

/* TONES above ROOT as pitch classes. */
static uint16_t at_root(unsigned tones, int root)
{
    return (uint16_t)((tones << root | tones >> (12 - root)) & 0xfff);
}

static uint64_t bit(int scale)
{
    return UINT64_C(1) << scale;
}

/* The index of the scale of SHAPE on TONIC. */
static int scale_on(enum shape shape, int tonic)
{
    int index = 0;

    for (int s = 0; s < (int)shape; s++)
        index += shapes[s].tonics;
    return index + pitch_modulo(tonic, shapes[shape].tonics);
}

/* The scales that hold all of TONES and none of OUTSIDE, pitch classes. */
static uint64_t scales_with(unsigned tones, unsigned outside)
{
    uint64_t found = 0;

    for (int shape = 0; shape < SHAPES; shape++)
        for (int tonic = 0; tonic < shapes[shape].tonics; tonic++) {
            unsigned scale = at_root(shapes[shape].tones, tonic);

            if ((scale & tones) == tones && (scale & outside) == 0)
                found |= bit(scale_on((enum shape)shape, tonic));
        }
    return found;
}

static uint64_t scales_of_key(int key)
{
    if (key < 0)
        return 0;
    if (key < 12)
        return bit(scale_on(MAJOR, key));
    return bit(scale_on(MAJOR, key - 12 + 3)) |
           bit(scale_on(HARMONIC_MINOR, key - 12)) |
           bit(scale_on(MELODIC_MINOR, key - 12));
}

uint64_t join_steps(const struct join_note *a, const struct join_note *b)
{
    const struct join_note *low = a->midi < b->midi ? a : b;
    int distance = abs(a->midi - b->midi);
    unsigned between = ((1U << distance) - 1) & ~1U;
    int pc = low->midi % 12;

    if (distance < 1 || distance > 3)
        return 0;
    return scales_with(at_root(1U | 1U << distance, pc), at_root(between, pc));
}

/* --- notes ---------------------------------------------------------------- */

static int seventh_of(const struct chord *chord)
{
    for (int s = 11; s >= 10; s--)
        if (chord->tones >> s & 1)
            return (chord->root_pc + s) % 12;
    if (chord->class == CHORD_DIMINISHED && (chord->tones >> 9 & 1))
        return (chord->root_pc + 9) % 12;
    return -1;
}

/* The scales that go with the chord EVENT, NULL for none. */
static uint64_t scales_over(const struct chord_event *event, bool explained)
{
    const unsigned perfect_fifth = 1U << 7;
    uint64_t scales = event ? scales_of_key(event->key) : 0;
    unsigned tones;

    if (!explained)
        return scales ? scales : scales_with(0, 0);
    tones =
        event->chord.tones & ~(unsigned)event->chord.tensions & ~perfect_fifth;
    return scales | scales_with(at_root(tones, event->chord.root_pc), 0);
}

void join_note_read(struct join_note *out, const struct solo *solo,
                    const struct note *note)
{
    const struct chord_event *event =
        note->heard >= 0 ? &solo->chords[note->heard] : NULL;
    bool explained = event && event->chord.class != CHORD_NONE &&
                     event->chord.class != CHORD_OTHER;

    *out = (struct join_note){ .midi = note->midi,
                               .strength = solo_onset_strength(solo, note),
                               .phrase = note->phrase,
                               .seventh = -1 };
    out->fits =
        scales_over(event, explained) & scales_with(1U << note->midi % 12, 0);
    if (!explained)
        return;
    out->chord = &event->chord;
    out->tones = at_root(event->chord.tones & ~(unsigned)event->chord.tensions,
                         event->chord.root_pc);
    out->seventh = seventh_of(&event->chord);
}

/* --- two and more of them ------------------------------------------------- */

bool join_is_tone(const struct join_note *target, int midi)
{
    return target->tones >> midi % 12 & 1;
}

bool join_is_third(const struct join_note *a, const struct join_note *b)
{
    const struct join_note *low = a->midi < b->midi ? a : b;
    const struct join_note *high = low == a ? b : a;
    int distance = high->midi - low->midi;

    if (distance < 3 || distance > 5 || !a->chord || !b->chord ||
        (a->chord != b->chord && !chord_equal(a->chord, b->chord)) ||
        !join_is_tone(low, low->midi))
        return false;
    return join_is_tone(high, high->midi) ||
           (distance < 5 && low->midi % 12 == low->seventh);
}

/* Is NOTE a step from TARGET: a semitone, or a whole step of a scale that
 * fits there? */
static bool is_step(const struct join_note *note,
                    const struct join_note *target)
{
    int distance = abs(note->midi - target->midi);

    return distance == 1 ||
           (distance == 2 && (join_steps(note, target) & target->fits) != 0);
}

/* Do A and B come to TARGET by semitones from one side? */
static bool is_chromatic_pair(const struct join_note *a,
                              const struct join_note *b,
                              const struct join_note *target)
{
    int near = b->midi - target->midi;

    return abs(near) == 1 && a->midi - target->midi == 2 * near;
}

bool join_encloses(const struct join_note *at, size_t length)
{
    const struct join_note *target = at + length, *alone, *pair;

    if (!join_is_tone(target, target->midi) ||
        target->strength <= target[-1].strength)
        return false;
    if (length == 2)
        return is_step(&at[0], target) && is_step(&at[1], target) &&
               (at[0].midi > target->midi) != (at[1].midi > target->midi);
    alone = is_chromatic_pair(&at[1], &at[2], target) ? &at[0] : &at[2];
    pair = alone == at ? &at[1] : &at[0];
    return is_chromatic_pair(&pair[0], &pair[1], target) &&
           is_step(alone, target) &&
           (alone->midi > target->midi) != (pair->midi > target->midi);
}

bool join_approaches(const struct join_note *at)
{
    const struct join_note *target = at + 1;

    return join_is_tone(target, target->midi) &&
           !join_is_tone(target, at->midi) && is_step(at, target);
}
