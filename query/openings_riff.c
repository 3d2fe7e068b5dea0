/* query/openings_riff.c - does an opening repeat itself; see openings.h. */
#include <stdlib.h>

#include "query/openings_parts.h"

enum {
    NOTES_MAX = 512, /* of eight bars; what is denser is no riff */
    MOTIF_MIN = 3,
    SURE = 4, /* notes of a motif that need come only twice */
    MOTIF_BARS = 2,
    BREATH = 3,   /* times the median */
    NEAR_STEP = 2 /* semitones by which the steps of one shape differ */
};

static int64_t to_next(const struct solo *solo, size_t index)
{
    return solo->notes[index + 1].start - solo->notes[index].start;
}

static int by_size(const void *a, const void *b)
{
    int64_t x = *(const int64_t *)a, y = *(const int64_t *)b;

    return (x > y) - (x < y);
}

int64_t openings_usual(const struct solo *solo, size_t first, size_t last)
{
    int64_t times[NOTES_MAX];
    size_t count = 0;

    for (size_t i = first; i < last && count < NOTES_MAX; i++)
        times[count++] = to_next(solo, i);
    if (count == 0)
        return solo->ticks;
    qsort(times, count, sizeof *times, by_size);
    return times[(count - 1) / 2] > 0 ? times[(count - 1) / 2] : 1;
}

bool openings_breathes(const struct solo *solo, size_t index, int64_t usual)
{
    const struct note *note = &solo->notes[index];
    int64_t rest;

    if (index + 1 >= solo->note_count || note[1].phrase != note->phrase)
        return true;
    rest = note[1].start - note->start - note->duration;
    return to_next(solo, index) + (rest > 0 ? rest : 0) >= BREATH * usual;
}

bool openings_same_times(const struct solo *solo, size_t a, size_t b,
                         size_t count)
{
    for (size_t i = 0; i + 1 < count; i++)
        if (to_next(solo, a + i) != to_next(solo, b + i))
            return false;
    return true;
}

int64_t openings_period(const struct solo *solo, int32_t bar)
{
    int64_t beat, beats;

    solo_metre(solo, bar, &beat, &beats);
    if (beats <= 0)
        return beat;
    return beats % 2 == 0 ? beat * (beats / 2) : beat * beats;
}

/* --- statements ----------------------------------------------------------- */

struct group {
    size_t first, count;
};

struct groups {
    struct group items[NOTES_MAX];
    size_t count;
};

static void split(struct groups *out, const struct solo *solo, size_t first,
                  size_t end)
{
    int64_t usual = openings_usual(solo, first, end - 1);
    size_t from = first;

    out->count = 0;
    for (size_t i = first; i < end; i++)
        if (i + 1 == end || openings_breathes(solo, i, usual)) {
            out->items[out->count++] = (struct group){ from, i + 1 - from };
            from = i + 1;
        }
}

static bool same_steps(const struct solo *solo, size_t a, size_t b,
                       size_t count, int near)
{
    for (size_t i = 0; i + 1 < count; i++) {
        int x = solo->notes[a + i + 1].midi - solo->notes[a + i].midi;
        int y = solo->notes[b + i + 1].midi - solo->notes[b + i].midi;

        if ((x > 0) != (y > 0) || (x < 0) != (y < 0) || abs(x - y) > near)
            return false;
    }
    return true;
}

static bool same_rhythm(const struct solo *solo, size_t a, size_t b,
                        size_t count)
{
    const struct note *notes = solo->notes;
    int64_t shift = notes[b].start - notes[a].start;

    return shift % openings_period(solo, notes[a].bar) == 0 &&
           openings_same_times(solo, a, b, count);
}

/* Count how often the motif AT of GROUPS comes. */
static struct opening_riff state(const struct solo *solo,
                                 const struct groups *groups, size_t at)
{
    struct group motif = groups->items[at];
    struct opening_riff out = { .first = motif.first,
                                .last = motif.first + motif.count - 1 };

    for (size_t i = 0; i < groups->count; i++) {
        struct group other = groups->items[i];
        bool line;

        if (other.count != motif.count)
            continue;
        line = same_steps(solo, motif.first, other.first, motif.count, 0);
        out.line += line;
        out.notes += line && solo->notes[motif.first].midi ==
                                 solo->notes[other.first].midi;
        out.shape +=
            same_steps(solo, motif.first, other.first, motif.count, NEAR_STEP);
        out.rhythm += same_rhythm(solo, motif.first, other.first, motif.count);
    }
    return out;
}

static int most(const struct opening_riff *riff)
{
    int out = riff->rhythm;

    out = riff->line > out ? riff->line : out;
    return riff->shape > out ? riff->shape : out;
}

/* Take away what may well be chance.  Is there something left? */
static bool is_riff(struct opening_riff *riff, size_t notes)
{
    if (notes < SURE) {
        riff->shape = riff->line;
        if (riff->rhythm < 3)
            riff->rhythm = 1;
    }
    return notes >= MOTIF_MIN && most(riff) >= 2;
}

static bool is_short(const struct solo *solo, const struct group *group)
{
    const struct note *first = &solo->notes[group->first];
    const struct bar *bar = &solo->bars[first->bar];
    int64_t whole = bar->nominal > 0 ? bar->nominal : bar->length;

    return first[group->count - 1].start - first->start < MOTIF_BARS * whole;
}

void openings_find_riff(struct opening *opening, const struct solo *solo,
                        int64_t end)
{
    struct groups groups;
    size_t stop = opening->first + 1;

    while (stop < solo->note_count && solo->notes[stop].start < end &&
           stop - opening->first < NOTES_MAX)
        stop++;
    split(&groups, solo, opening->first, stop);
    for (size_t i = 0; i < groups.count; i++) {
        struct opening_riff riff;

        if (groups.items[i].first > opening->last)
            break;
        riff = state(solo, &groups, i);
        if (!is_short(solo, &groups.items[i]) ||
            !is_riff(&riff, groups.items[i].count) ||
            (opening->riff.found && most(&riff) <= most(&opening->riff)))
            continue;
        riff.found = true;
        opening->riff = riff;
    }
}
