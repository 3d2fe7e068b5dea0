/* query/grade.c - how hard a passage is to play. */
#include "query/grade.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum {
    THIRD = 4,           /* semitones: more is a leap */
    TEMPO_UNKNOWN = 120, /* quarters a minute */
    FULL = 1000
};

static const struct {
    const char *name;
    int weight;
} parts[GRADE_PARTS] = {
    [GRADE_TEMPO] = { "tempo", 20 },
    [GRADE_DENSITY] = { "density", 25 },
    [GRADE_RANGE] = { "range", 10 },
    [GRADE_LEAPS] = { "leaps", 15 },
    [GRADE_ACCIDENTALS] = { "accidentals", 15 },
    [GRADE_SYNCOPATION] = { "syncopation", 15 },
};

const char *grade_part_name(enum grade_part part)
{
    return parts[part].name;
}

/* Where NUM/DEN lies between EASY and HARD, 0..1000. */
static int between(int64_t num, int64_t den, int64_t easy, int64_t hard)
{
    int64_t value = den > 0 ? FULL * (num - easy * den) / ((hard - easy) * den)
                            : FULL;

    return value < 0 ? 0 : value > FULL ? FULL : (int)value;
}

/* Is the note outside of the key signature of its bar, as written? */
static bool is_outside(const struct solo *solo, const struct note *note)
{
    /* The place of each step in the order of sharps. */
    static const int place[7] = { 1, 3, 5, 0, 2, 4, 6 };
    int fifths = solo->bars[note->bar].fifths;
    int step = note->written.step, alter = 0;

    if (fifths > place[step])
        alter = 100;
    else if (-fifths > 6 - place[step])
        alter = -100;
    return note->written.alter != alter;
}

/* Does the note start off a beat and sound beyond the next? */
static bool is_held_over(const struct solo *solo, const struct note *note)
{
    struct rational beat = solo_beat(solo, note);
    int64_t whole = beat.num / beat.den;
    struct rational left =
        rational_sub(rational_make(whole + 1, 1), beat);
    struct note end = *note;

    if (beat.den == 1)
        return false;
    /* In beats of the bar: where it would end, counted the same way. */
    end.onset += note->duration;
    return rational_compare(rational_sub(solo_beat(solo, &end), beat), left) >
           0;
}

static void count_notes(struct grade *out, const struct solo *solo,
                        size_t first, size_t last)
{
    int low = solo->notes[first].midi, high = low;

    for (size_t i = first; i <= last; i++) {
        const struct note *note = &solo->notes[i];

        low = note->midi < low ? note->midi : low;
        high = note->midi > high ? note->midi : high;
        out->accidentals += is_outside(solo, note);
        out->held += is_held_over(solo, note);
        if (i > first && abs(note->midi - solo->notes[i - 1].midi) > THIRD)
            out->leaps++;
    }
    out->range = high - low;
}

void grade_passage(struct grade *out, const struct solo *solo, size_t first,
                   size_t last)
{
    int64_t notes = (int64_t)(last - first) + 1;
    int64_t time = solo->notes[last].start + solo->notes[last].duration -
                   solo->notes[first].start;
    int sum = 0;

    memset(out, 0, sizeof *out);
    out->tempo = solo->tempo / 100;
    count_notes(out, solo, first, last);
    out->parts[GRADE_TEMPO] =
        between(out->tempo > 0 ? out->tempo : TEMPO_UNKNOWN, 1, 60, 300);
    out->parts[GRADE_DENSITY] = between(notes * solo->ticks, time, 1, 4);
    out->parts[GRADE_RANGE] = between(out->range, 1, 5, 24);
    out->parts[GRADE_LEAPS] =
        notes > 1 ? between(out->leaps, notes - 1, 0, 1) : 0;
    out->parts[GRADE_ACCIDENTALS] = between(2 * out->accidentals, notes, 0, 1);
    out->parts[GRADE_SYNCOPATION] = between(2 * out->held, notes, 0, 1);
    for (int i = 0; i < GRADE_PARTS; i++)
        sum += out->parts[i] * parts[i].weight;
    out->score = sum / 100;
    out->level = 1 + out->score * GRADE_LEVELS / (FULL + 1);
}

/* Put ", 2 leaps" at the end of OUT where there are any. */
static void add_count(char out[GRADE_TEXT_SIZE], int count, const char *one,
                      const char *many)
{
    size_t used = strlen(out);

    if (count > 0)
        snprintf(out + used, GRADE_TEXT_SIZE - used, ", %d %s", count,
                 count == 1 ? one : many);
}

char *grade_text(char out[GRADE_TEXT_SIZE], const struct grade *grade)
{
    size_t used = (size_t)snprintf(out, GRADE_TEXT_SIZE, "grade %d: ",
                                   grade->level);

    if (grade->tempo > 0)
        used += (size_t)snprintf(out + used, GRADE_TEXT_SIZE - used,
                                 "%d a minute, ", grade->tempo);
    snprintf(out + used, GRADE_TEXT_SIZE - used, "range %d semitone%s",
             grade->range, grade->range == 1 ? "" : "s");
    add_count(out, grade->leaps, "leap", "leaps");
    add_count(out, grade->accidentals, "accidental", "accidentals");
    add_count(out, grade->held, "note over the beat", "notes over the beat");
    return out;
}
