/* indexer/line_time.c - from exact fractions to the ticks of a solo. */
#include <stdlib.h>
#include <string.h>

#include "indexer/line.h"

/* Enough for any mix of tuplets met in practice (10080 = 2^5 3^2 5 7), and
 * small enough that no sum over a solo overflows 64 bits. */
enum { TICKS_MAX = 1 << 24, TICKS_ROUNDED = 10080 };

struct rational metre_quarters(const char *metre)
{
    struct rational sum = rational_make(0, 1);
    const char *at = metre;
    long beats = 0;

    while (*at) {
        char *end;
        long number = strtol(at, &end, 10);

        if (end == at || number <= 0 || number > 10000)
            return rational_make(0, 1);
        if (at > metre && at[-1] == '/') {
            sum = rational_add(sum, rational_make(4 * beats, number));
            beats = 0;
        } else {
            beats += number;
        }
        at = *end ? end + 1 : end;
    }
    return beats == 0 ? sum : rational_make(0, 1);
}

struct ticks {
    int64_t per_quarter;
    bool rounded;
};

static void fit(struct ticks *t, struct rational value)
{
    int64_t both;

    if (t->rounded || (!value.lost && t->per_quarter % value.den == 0))
        return;
    both = value.den / rational_gcd(t->per_quarter, value.den);
    if (value.lost || both > TICKS_MAX / t->per_quarter) {
        t->rounded = true;
        t->per_quarter = TICKS_ROUNDED;
    } else {
        t->per_quarter *= both;
    }
}

static struct ticks choose_ticks(const struct line *line, size_t bars)
{
    struct ticks t = { 1, false };

    for (size_t i = 0; i < bars; i++) {
        fit(&t, line->bars[i].length);
        fit(&t, line->bars[i].nominal);
    }
    for (size_t i = 0; i < line->note_count; i++) {
        fit(&t, line->notes[i].onset);
        fit(&t, line->notes[i].duration);
    }
    for (size_t i = 0; i < line->chord_count; i++) {
        fit(&t, line->chords[i].onset);
        fit(&t, line->chords[i].takes_effect);
    }
    return t;
}

static int64_t to_ticks(struct ticks t, struct rational value)
{
    struct rational ticks;
    int64_t whole;

    /* Nearly always they divide without a rest. */
    if (t.per_quarter % value.den == 0 &&
        !__builtin_mul_overflow(value.num, t.per_quarter / value.den, &whole))
        return whole;
    ticks = rational_mul(value, rational_make(t.per_quarter, 1));
    return ticks.num / ticks.den;
}

static void make_bars(struct line *line, struct ticks t)
{
    struct solo *solo = line->score->solo;
    int64_t start = 0;

    for (size_t i = 0; i < solo->bar_count; i++) {
        struct bar *bar = &solo->bars[i];

        bar->start = start;
        bar->length = to_ticks(t, line->bars[i].length);
        bar->nominal = to_ticks(t, line->bars[i].nominal);
        start += bar->length;
    }
}

static void make_notes(struct line *line, struct ticks t)
{
    struct solo *solo = line->score->solo;

    solo->note_count = line->note_count;
    for (size_t i = 0; i < line->note_count; i++) {
        const struct line_note *from = &line->notes[i];
        struct note *note = &solo->notes[i];

        note->bar = (int32_t)from->bar;
        note->onset = to_ticks(t, from->onset);
        note->duration = to_ticks(t, from->duration);
        note->start = solo->bars[from->bar].start + note->onset;
        note->midi = (uint8_t)from->midi;
        note->grace = (uint8_t)(from->grace < 255 ? from->grace : 255);
        note->rest_before = from->rest_before;
        note->sounding = from->sounding;
        note->written = from->written;
    }
}

static void make_chords(struct line *line, struct ticks t)
{
    struct solo *solo = line->score->solo;

    solo->chord_count = line->chord_count;
    for (size_t i = 0; i < line->chord_count; i++) {
        const struct line_chord *from = &line->chords[i];
        struct chord_event *event = &solo->chords[i];

        event->bar = (int32_t)from->bar;
        event->onset = to_ticks(t, from->onset);
        event->takes_effect = to_ticks(t, from->takes_effect);
        event->start = solo->bars[from->bar].start + event->takes_effect;
        event->chord = from->chord;
        event->kind_text = from->kind_text;
    }
}

/* Chords stand in the order in which they take effect, also where one that
 * is moved by an offset comes before the end of the bar it is left of. */
static int compare_start(const void *left, const void *right)
{
    const struct chord_event *a = left, *b = right;

    if (a->start != b->start)
        return a->start < b->start ? -1 : 1;
    if (a->bar != b->bar)
        return a->bar < b->bar ? -1 : 1;
    return a < b ? -1 : a > b;
}

enum status line_to_solo(struct line *line, struct fault *why)
{
    struct solo *solo = line->score->solo;
    size_t bars = line->melody->bar_count > line->harmony->bar_count
                      ? line->melody->bar_count
                      : line->harmony->bar_count;
    struct ticks t = choose_ticks(line, bars);

    if (line->note_count > SCORE_NOTES_MAX)
        return fault_set(why, ST_INPUT,
                         "a line of more than %d notes, which is no solo",
                         SCORE_NOTES_MAX);
    if (t.rounded || line->lost)
        score_warn(line->score, line->melody->id, "", "divisions",
                   "the durations have no common measure; times are rounded "
                   "to 1/%d of a quarter note", (int)TICKS_ROUNDED);
    solo->ticks = t.per_quarter;
    solo->bar_count = bars;
    solo->bars = solo_alloc(solo, (bars + 1) * sizeof *solo->bars);
    solo->notes =
        solo_alloc(solo, (line->note_count + 1) * sizeof *solo->notes);
    solo->chords =
        solo_alloc(solo, (line->chord_count + 1) * sizeof *solo->chords);
    if (!solo->bars || !solo->notes || !solo->chords)
        return fault_nomem(why);
    make_bars(line, t);
    make_notes(line, t);
    make_chords(line, t);
    line_sort(solo->chords, solo->chord_count, sizeof *solo->chords,
              compare_start);
    return ST_OK;
}
