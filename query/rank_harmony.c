/* query/rank_harmony.c - the chord of a place, what follows, and its notes. */
#include "query/rank_parts.h"

/* --- relation ------------------------------------------------------------ */

enum {
    VERY_TONES = 1000,
    SAME_CLASS = 400,
    UNRELATED = 200
};

static const int relation_values[RELATION_COUNT] = {
    [RELATION_AS_WRITTEN] = RANK_OTHER_TONES,
    [RELATION_II_OVER_V] = RANK_RELATED_MOST,
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

/* --- what follows -------------------------------------------------------- */

int32_t rank_next_chord(const struct solo *solo, size_t last)
{
    return follow_chord(solo, solo->notes[last].heard);
}

bool rank_leads_across(const struct solo *solo, size_t last)
{
    return follow_leads_across(solo, last, rank_next_chord(solo, last));
}

bool rank_into_fits(const struct over_chord *into, const struct chord *home,
                    const struct chord *from, const struct chord *next)
{
    int asked = follow_root_steps(home, &into->chord);

    if (from && from->class == CHORD_NONE)
        from = NULL;
    if (next && next->class == CHORD_NONE)
        next = NULL;
    return over_chord_fits(into, next) &&
           (asked < 0 || follow_root_steps(from, next) == asked);
}

static const enum rank_next next_of[FOLLOW_MOTIONS] = {
    [FOLLOW_UP_FOURTH] = RANK_NEXT_UP_FOURTH,
    [FOLLOW_DOWN_SEMITONE] = RANK_NEXT_DOWN_SEMITONE,
    [FOLLOW_STEP] = RANK_NEXT_STEP,
    [FOLLOW_OTHER_MOTION] = RANK_NEXT_OTHER,
    [FOLLOW_NO_MOTION] = RANK_NEXT_NONE,
};

static enum rank_next chord_follows(struct rank_harmony *out,
                                    const struct rank_question *question,
                                    const struct solo *solo, size_t last)
{
    const struct chord *from = follow_sounding(solo, solo->notes[last].heard);
    const struct chord *to;

    out->next_chord = rank_next_chord(solo, last);
    to = follow_sounding(solo, out->next_chord);
    if (!question->into)
        return next_of[follow_motion(from, to)];
    if (out->next_chord >= 0 &&
        rank_into_fits(question->into, question->into_from, from, to))
        return RANK_NEXT_AS_ASKED;
    return RANK_NEXT_NOT_AS_ASKED;
}

static int value_of_next(enum rank_next why)
{
    static const enum follow_motion motions[] = {
        [RANK_NEXT_UP_FOURTH] = FOLLOW_UP_FOURTH,
        [RANK_NEXT_DOWN_SEMITONE] = FOLLOW_DOWN_SEMITONE,
        [RANK_NEXT_STEP] = FOLLOW_STEP,
        [RANK_NEXT_OTHER] = FOLLOW_OTHER_MOTION,
        [RANK_NEXT_NONE] = FOLLOW_NO_MOTION,
    };

    if (why == RANK_NEXT_AS_ASKED)
        return RANK_WHOLE;
    return why == RANK_NEXT_NOT_AS_ASKED ? 0 : worth_motion[motions[why]];
}

static void value_next(struct rank_harmony *out, enum rank_next why)
{
    out->why_next = why;
    out->next = value_of_next(why);
}

static void value_line(struct rank_harmony *out, enum follow_line line)
{
    static const enum rank_resolution reasons[FOLLOW_LINES] = {
        [FOLLOW_BY_STEP] = RANK_RESOLVES_BY_STEP,
        [FOLLOW_BY_LEAP] = RANK_RESOLVES_BY_LEAP,
        [FOLLOW_STAYS] = RANK_CHORD_STAYS,
        [FOLLOW_NO_TONE] = RANK_NO_CHORD_TONE,
        [FOLLOW_NOTHING] = RANK_NOTHING_FOLLOWS,
    };

    out->why_resolution = reasons[line];
    out->resolution = worth_line[line];
}

/* --- fit ----------------------------------------------------------------- */

static void count_tone(struct rank_harmony *out, enum follow_tone tone)
{
    out->chord_tones += tone == FOLLOW_CHORD_TONE;
    out->tensions += tone == FOLLOW_TENSION;
    out->others += tone == FOLLOW_OTHER_TONE;
}

static void fit(struct rank_harmony *out, const struct rank_facts *facts)
{
    int64_t sum = 0, all = 0;
    bool by_duration = false;

    for (size_t i = 0; i < facts->count; i++)
        by_duration = by_duration ||
                      (facts->notes[i].duration > 0 &&
                       facts->notes[i].tone != FOLLOW_UNEXPLAINED);
    for (size_t i = 0; i < facts->count; i++) {
        const struct rank_note *note = &facts->notes[i];
        int64_t weight = by_duration ? note->duration : 1;

        if (note->tone == FOLLOW_UNEXPLAINED)
            continue;
        if (weight > WORTH_DURATION_MAX)
            weight = WORTH_DURATION_MAX;
        weight *= 1 + note->strength;
        all += weight;
        sum += weight * worth_tone[note->tone];
        count_tone(out, note->tone);
    }
    if (all > 0)
        out->fit = worth_fit(sum, all);
}

/* --- together ------------------------------------------------------------ */

static int add_up(const struct rank_harmony *out)
{
    return worth_harmony(out->relation, out->follows, out->fit);
}

int rank_harmony_most(struct rank_harmony *out,
                      const struct rank_question *question,
                      const struct chord *there)
{
    relate(out, question, there);
    out->follows = out->fit = RANK_WHOLE;
    return add_up(out);
}

void rank_harmony_value(struct rank_harmony *out,
                        const struct rank_question *question,
                        const struct rank_facts *facts)
{
    relate(out, question, facts->there);
    value_next(out, facts->next);
    value_line(out, facts->line);
    out->follows = (out->next + out->resolution) / 2;
    fit(out, facts);
    out->total = add_up(out);
}

enum rank_next rank_next_of(enum follow_motion motion)
{
    return next_of[motion];
}

void rank_harmony(struct rank_harmony *out,
                  const struct rank_question *question,
                  const struct rank_place *place)
{
    const struct solo *solo = place->solo;
    struct rank_facts facts = { 0 };

    facts.there = follow_sounding(solo, place->chord);
    facts.next = chord_follows(out, question, solo, place->last);
    facts.line = follow_line(solo, place->last, out->next_chord);
    facts.count = rank_last(place) - place->first + 1;
    for (size_t i = 0; i < facts.count; i++) {
        const struct note *note = &solo->notes[place->first + i];

        facts.notes[i].tone =
            follow_tone(follow_sounding(solo, note->heard), note->midi);
        facts.notes[i].strength = solo_onset_strength(solo, note);
        facts.notes[i].duration = note->duration;
    }
    rank_harmony_value(out, question, &facts);
}
