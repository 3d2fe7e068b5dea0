/* schema/follow.c - see follow.h. */
#include "schema/follow.h"

#include <stdlib.h>
#include <string.h>

const struct chord *follow_sounding(const struct solo *solo, int32_t index)
{
    if (index < 0 || solo->chords[index].chord.class == CHORD_NONE)
        return NULL;
    return &solo->chords[index].chord;
}

/* --- tones --------------------------------------------------------------- */

/* Understood, so that it can be said what is a tone of it. */
static bool is_explained(const struct chord *chord)
{
    return chord && chord->has_root && chord->class != CHORD_OTHER;
}

static bool is_chord_tone(const struct chord *chord, int midi)
{
    unsigned tones = chord->tones & ~(unsigned)chord->tensions;

    return (tones >> pitch_modulo(midi - chord->root_pc, 12) & 1U) != 0;
}

static bool is_tension(const struct chord *chord, int midi)
{
    static const char *const names[] = { "b9",  "9",   "#9", "11",
                                         "#11", "b13", "13" };
    const char *name =
        chord_degree_name(chord, pitch_modulo(midi - chord->root_pc, 12));

    for (size_t i = 0; i < sizeof names / sizeof *names; i++)
        if (strcmp(name, names[i]) == 0)
            return true;
    return false;
}

enum follow_tone follow_tone(const struct chord *chord, int midi)
{
    if (!is_explained(chord))
        return FOLLOW_UNEXPLAINED;
    if (is_chord_tone(chord, midi))
        return FOLLOW_CHORD_TONE;
    return is_tension(chord, midi) ? FOLLOW_TENSION : FOLLOW_OTHER_TONE;
}

/* --- the next chord ------------------------------------------------------- */

int32_t follow_chord(const struct solo *solo, int32_t here)
{
    const struct chord *from = follow_sounding(solo, here);

    /* SOLO_NO_CHORD is before the first. */
    for (size_t i = (size_t)(here + 1); i < solo->chord_count; i++) {
        const struct chord *to = follow_sounding(solo, (int32_t)i);

        if (from && to ? !chord_equal(from, to) : from != to)
            return (int32_t)i;
    }
    return -1;
}

int follow_root_steps(const struct chord *a, const struct chord *b)
{
    if (!a || !b || !a->has_root || !b->has_root)
        return -1;
    return pitch_modulo(b->root_pc - a->root_pc, 12);
}

enum follow_motion follow_motion(const struct chord *a, const struct chord *b)
{
    if (!a || !b)
        return FOLLOW_NO_MOTION;
    switch (follow_root_steps(a, b)) {
    case 5:
        return FOLLOW_UP_FOURTH;
    case 11:
        return FOLLOW_DOWN_SEMITONE;
    case 1:
    case 2:
    case 10:
        return FOLLOW_STEP;
    default:
        return FOLLOW_OTHER_MOTION;
    }
}

/* --- the line ------------------------------------------------------------ */

bool follow_leads_across(const struct solo *solo, size_t last, int32_t next)
{
    int32_t after;

    if (last + 1 >= solo->note_count || next < 0 ||
        solo->notes[last + 1].heard < next)
        return false;
    /* The line may have been silent while the next chord sounded. */
    after = follow_chord(solo, next);
    return after < 0 || solo->notes[last + 1].heard < after;
}

enum follow_line follow_line(const struct solo *solo, size_t last,
                             int32_t next)
{
    const struct note *from = &solo->notes[last], *to = from + 1;
    const struct chord *there;

    if (last + 1 >= solo->note_count)
        return FOLLOW_NOTHING;
    there = follow_sounding(solo, to->heard);
    if (next < 0 || to->heard < next)
        return there ? FOLLOW_STAYS : FOLLOW_NOTHING;
    if (!follow_leads_across(solo, last, next))
        return FOLLOW_NOTHING;
    if (!is_explained(there) || !is_chord_tone(there, to->midi))
        return FOLLOW_NO_TONE;
    return abs(to->midi - from->midi) <= 2 ? FOLLOW_BY_STEP : FOLLOW_BY_LEAP;
}
