/* query/rank_harmony.c - the chord of a place, what follows, and its notes. */
#include <stdlib.h>

#include "query/rank_parts.h"

/* --- relation ------------------------------------------------------------ */

enum {
    VERY_TONES = 1000,
    SAME_CLASS = 400,
    UNRELATED = 200
};

static const int relation_values[RELATION_COUNT] = {
    [RELATION_AS_WRITTEN] = 950,
    [RELATION_II_OVER_V] = 850,
    [RELATION_V_OVER_II] = 800,
    [RELATION_MINOR_ABOVE_DOMINANT] = 750,
    [RELATION_TRITONE_SUBSTITUTE] = 750,
    [RELATION_DIMINISHED_ON_DOMINANT] = 750,
    [RELATION_II_OVER_I] = 700,
    [RELATION_III_OVER_I] = 700,
    [RELATION_VI_OVER_I] = 700,
    [RELATION_MINOR_ABOVE_HALF_DIMINISHED] = 700,
    [RELATION_MAJOR_BELOW_SUS] = 700,
    [RELATION_BACKDOOR] = 650,
    [RELATION_BACKDOOR_REVERSED] = 600,
    [RELATION_OTHER] = UNRELATED,
};

static void related(struct rank_harmony *out, int value, enum rank_relation why,
                    enum relation named)
{
    out->relation = value;
    out->why_relation = why;
    out->named = named;
}

/* Two chords that have no name for how they stand to each other. */
static void unnamed(struct rank_harmony *out, const struct chord *home,
                    const struct chord *there)
{
    if (home->class == there->class && home->class != CHORD_OTHER)
        related(out, SAME_CLASS, RANK_SAME_CLASS, RELATION_OTHER);
    else
        related(out, UNRELATED, RANK_UNRELATED, RELATION_OTHER);
}

static void relate(struct rank_harmony *out,
                   const struct rank_question *question,
                   const struct chord *there)
{
    const struct chord *home = question->has_home ? &question->home : NULL;
    enum relation named;

    if (!there && home && home->class == CHORD_NONE)
        related(out, VERY_TONES, RANK_VERY_TONES, RELATION_AS_WRITTEN);
    else if (!there)
        related(out, 0, RANK_NO_CHORD, RELATION_OTHER);
    else if (!home)
        related(out, RANK_WHOLE, RANK_NO_HOME, RELATION_OTHER);
    else if ((named = relation_of(home, there)) == RELATION_OTHER)
        unnamed(out, home, there);
    else if (named == RELATION_AS_WRITTEN &&
             (question->by_class || home->tones == there->tones))
        related(out, VERY_TONES, RANK_VERY_TONES, named);
    else
        related(out, relation_values[named], RANK_NAMED, named);
}

/* --- the next chord ------------------------------------------------------ */

/* The first chord after the chord HERE that is another; -1 none. */
static int32_t other_after(const struct solo *solo, int32_t here)
{
    const struct chord *from = rank_sounding(solo, here);

    /* SOLO_NO_CHORD is before the first. */
    for (size_t i = (size_t)(here + 1); i < solo->chord_count; i++) {
        const struct chord *to = rank_sounding(solo, (int32_t)i);

        if (from && to ? !chord_equal(from, to) : from != to)
            return (int32_t)i;
    }
    return -1;
}

int32_t rank_next_chord(const struct solo *solo, size_t last)
{
    return other_after(solo, solo->notes[last].heard);
}

bool rank_leads_across(const struct solo *solo, size_t last)
{
    int32_t next = rank_next_chord(solo, last), after;

    if (last + 1 >= solo->note_count || next < 0 ||
        solo->notes[last + 1].heard < next)
        return false;
    /* The line may have been silent while the next chord sounded. */
    after = other_after(solo, next);
    return after < 0 || solo->notes[last + 1].heard < after;
}

/* From A to B, 0..11 semitones; -1 where one of them has no root. */
static int root_motion(const struct chord *a, const struct chord *b)
{
    if (!a || !b || !a->has_root || !b->has_root)
        return -1;
    return pitch_modulo(b->root_pc - a->root_pc, 12);
}

bool rank_into_fits(const struct over_chord *into, const struct chord *home,
                    const struct chord *from, const struct chord *next)
{
    int asked = root_motion(home, &into->chord);

    if (from && from->class == CHORD_NONE)
        from = NULL;
    if (next && next->class == CHORD_NONE)
        next = NULL;
    return over_chord_fits(into, next) &&
           (asked < 0 || root_motion(from, next) == asked);
}

static enum rank_next motion(const struct chord *from, const struct chord *to)
{
    if (!from || !to)
        return RANK_NEXT_NONE;
    switch (root_motion(from, to)) {
    case 5:
        return RANK_NEXT_UP_FOURTH;
    case 11:
        return RANK_NEXT_DOWN_SEMITONE;
    case 1:
    case 2:
    case 10:
        return RANK_NEXT_STEP;
    default:
        return RANK_NEXT_OTHER;
    }
}

static void chord_follows(struct rank_harmony *out,
                          const struct rank_question *question,
                          const struct solo *solo, size_t last)
{
    static const int values[] = {
        [RANK_NEXT_AS_ASKED] = 1000,  [RANK_NEXT_NOT_AS_ASKED] = 0,
        [RANK_NEXT_UP_FOURTH] = 1000, [RANK_NEXT_DOWN_SEMITONE] = 800,
        [RANK_NEXT_STEP] = 600,       [RANK_NEXT_OTHER] = 400,
        [RANK_NEXT_NONE] = 200,
    };
    const struct chord *from = rank_sounding(solo, solo->notes[last].heard);
    const struct chord *to;

    out->next_chord = rank_next_chord(solo, last);
    to = rank_sounding(solo, out->next_chord);
    if (!question->into)
        out->why_next = motion(from, to);
    else if (out->next_chord >= 0 &&
             rank_into_fits(question->into, question->into_from, from, to))
        out->why_next = RANK_NEXT_AS_ASKED;
    else
        out->why_next = RANK_NEXT_NOT_AS_ASKED;
    out->next = values[out->why_next];
}

/* --- resolution ---------------------------------------------------------- */

static bool is_chord_tone(const struct chord *chord, int midi)
{
    unsigned tones = chord->tones & ~(unsigned)chord->tensions;

    return (tones >> pitch_modulo(midi - chord->root_pc, 12) & 1U) != 0;
}

/* Understood, so that it can be said what is a tone of it. */
static bool is_explained(const struct chord *chord)
{
    return chord && chord->has_root && chord->class != CHORD_OTHER;
}

static enum rank_resolution resolution(const struct solo *solo, size_t last,
                                       int32_t next_chord)
{
    const struct note *from = &solo->notes[last], *to = from + 1;
    const struct chord *there;

    if (last + 1 >= solo->note_count)
        return RANK_NOTHING_FOLLOWS;
    there = rank_sounding(solo, to->heard);
    if (next_chord < 0 || to->heard < next_chord)
        return there ? RANK_CHORD_STAYS : RANK_NOTHING_FOLLOWS;
    if (!rank_leads_across(solo, last))
        return RANK_NOTHING_FOLLOWS;
    if (!is_explained(there) || !is_chord_tone(there, to->midi))
        return RANK_NO_CHORD_TONE;
    return abs(to->midi - from->midi) <= 2 ? RANK_RESOLVES_BY_STEP
                                           : RANK_RESOLVES_BY_LEAP;
}

static void line_follows(struct rank_harmony *out, const struct solo *solo,
                         size_t last)
{
    static const int values[] = {
        [RANK_RESOLVES_BY_STEP] = 1000, [RANK_RESOLVES_BY_LEAP] = 700,
        [RANK_CHORD_STAYS] = 500,       [RANK_NO_CHORD_TONE] = 300,
        [RANK_NOTHING_FOLLOWS] = 200,
    };

    out->why_resolution = resolution(solo, last, out->next_chord);
    out->resolution = values[out->why_resolution];
}

/* --- fit ----------------------------------------------------------------- */

enum {
    CHORD_TONE = 1000,
    TENSION = 800,
    OTHER_NOTE = 200
};

/* Nothing sounds so long, and sums of it stay far from overflow. */
static const int64_t duration_max = INT64_C(1) << 40;

static int note_value(struct rank_harmony *out, const struct chord *chord,
                      int midi)
{
    const char *tensions[RELATION_TENSIONS];

    if (is_chord_tone(chord, midi)) {
        out->chord_tones++;
        return CHORD_TONE;
    }
    if (relation_tensions(tensions, chord, &midi, 1) > 0) {
        out->tensions++;
        return TENSION;
    }
    out->others++;
    return OTHER_NOTE;
}

/* Has a note of PLACE that counts a duration? */
static bool has_duration(const struct rank_place *place)
{
    const struct solo *solo = place->solo;

    for (size_t i = place->first; i <= rank_last(place); i++)
        if (solo->notes[i].duration > 0 &&
            is_explained(rank_sounding(solo, solo->notes[i].heard)))
            return true;
    return false;
}

static void fit(struct rank_harmony *out, const struct rank_place *place)
{
    const struct solo *solo = place->solo;
    bool by_duration = has_duration(place);
    int64_t sum = 0, all = 0;

    for (size_t i = place->first; i <= rank_last(place); i++) {
        const struct note *note = &solo->notes[i];
        const struct chord *chord = rank_sounding(solo, note->heard);
        int64_t weight = by_duration ? note->duration : 1;

        if (!is_explained(chord))
            continue;
        if (weight > duration_max)
            weight = duration_max;
        weight *= 1 + solo_onset_strength(solo, note);
        all += weight;
        sum += weight * note_value(out, chord, note->midi);
    }
    if (all > 0)
        out->fit = 10 * (int)((sum + 5 * all) / (10 * all));
}

/* --- together ------------------------------------------------------------ */

void rank_harmony(struct rank_harmony *out,
                  const struct rank_question *question,
                  const struct rank_place *place)
{
    relate(out, question, rank_sounding(place->solo, place->chord));
    chord_follows(out, question, place->solo, place->last);
    line_follows(out, place->solo, place->last);
    out->follows = (out->next + out->resolution) / 2;
    fit(out, place);
    out->total =
        (RANK_TENTHS_RELATION * out->relation +
         RANK_TENTHS_FOLLOWS * out->follows + RANK_TENTHS_FIT * out->fit) /
        10;
}
