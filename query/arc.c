/* query/arc.c - how full and how high each chorus is. */
#include "query/arc.h"

size_t arc_first_note(const struct solo *solo, int32_t bar)
{
    size_t low = 0, high = solo->note_count;

    while (low < high) {
        size_t middle = low + (high - low) / 2;

        if (solo->notes[middle].bar < bar)
            low = middle + 1;
        else
            high = middle;
    }
    return low;
}

/* What is summed up over the bars. */
struct sums {
    struct arc arc;
    int64_t time, sounding; /* ticks */
};

/* The ticks of NOTE that lie in BAR. */
static int64_t ticks_in(const struct note *note, const struct bar *bar)
{
    int64_t start = note->start > bar->start ? note->start : bar->start;
    int64_t end = note->start + note->duration;

    if (end > bar->start + bar->length)
        end = bar->start + bar->length;
    return end > start ? end - start : 0;
}

static void add_bar(struct sums *sums, const struct solo *solo, int32_t index)
{
    const struct bar *bar = &solo->bars[index];
    size_t i = arc_first_note(solo, index);
    struct arc *arc = &sums->arc;

    sums->time += bar->length;
    /* A note from before may be held into this bar. */
    if (i > 0)
        sums->sounding += ticks_in(&solo->notes[i - 1], bar);
    for (; i < solo->note_count && solo->notes[i].bar == index; i++) {
        const struct note *note = &solo->notes[i];

        arc->notes++;
        sums->sounding += ticks_in(note, bar);
        if (arc->lowest < 0 || note->midi < solo->notes[arc->lowest].midi)
            arc->lowest = (int32_t)i;
        if (arc->highest < 0 || note->midi > solo->notes[arc->highest].midi)
            arc->highest = (int32_t)i;
    }
}

size_t arc_count(const struct solo *solo)
{
    return solo->form.chorus_count ? solo->form.chorus_count : 1;
}

struct arc arc_of(const struct solo *solo, size_t index)
{
    struct sums sums = { .arc = { .lowest = -1, .highest = -1 } };
    struct arc *arc = &sums.arc;

    if (index < solo->form.chorus_count) {
        const struct form_chorus *chorus = &solo->form.choruses[index];

        arc->number = chorus->number;
        arc->bars = chorus->bars;
        for (int32_t i = 0; i < chorus->play_count; i++)
            add_bar(&sums, solo, solo->plays[chorus->first_play + i]);
    } else {
        arc->bars = (int32_t)solo->bar_count;
        for (size_t i = 0; i < solo->bar_count; i++)
            add_bar(&sums, solo, (int32_t)i);
    }
    arc->notes_per_bar = arc->bars > 0
                             ? rational_make((int64_t)arc->notes, arc->bars)
                             : rational_make(0, 1);
    /* Notes of overlapping length cannot sound more than all the time. */
    if (sums.sounding > sums.time)
        sums.sounding = sums.time;
    arc->rest_share =
        sums.time > 0 ? rational_make(sums.time - sums.sounding, sums.time)
                      : rational_make(0, 1);
    return *arc;
}
