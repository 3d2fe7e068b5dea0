/* query/openings.c - which phrase opens a chorus; see openings.h. */
#include "query/openings_parts.h"

#include <stdlib.h>

#include "query/arc.h"

/* The written bars of a chorus up to the first jump. */
struct stretch {
    int64_t start, end; /* ticks */
    int64_t riff_end;   /* where riffs are not looked for any more */
};

static int64_t bar_end(const struct solo *solo, int32_t bar)
{
    return solo->bars[bar].start + solo->bars[bar].length;
}

static struct stretch stretch_of(const struct solo *solo,
                                 const struct form_chorus *chorus)
{
    const int32_t *numbers = &solo->form.numbers[chorus->first_play];
    const int32_t *plays = &solo->plays[chorus->first_play];
    struct stretch out = { .start = solo->bars[chorus->first_bar].start };

    for (int32_t i = 0;
         i < chorus->play_count && plays[i] == chorus->first_bar + i; i++) {
        out.end = bar_end(solo, plays[i]);
        if (numbers[i] < numbers[0] + OPENING_RIFF_BARS)
            out.riff_end = out.end;
    }
    return out;
}

/* The first note that belongs to what starts with the bar BAR. */
static size_t first_inside(const struct solo *solo, int32_t bar)
{
    int64_t start = solo->bars[bar].start;
    size_t index = arc_first_note(solo, bar), out = index;

    while (index > 0 &&
           start - solo->notes[index - 1].start <= solo->ticks / 2) {
        const struct note *before = &solo->notes[--index];

        if (before->start + before->duration > start)
            out = index;
    }
    return out;
}

static size_t phrase_first(const struct solo *solo, size_t index)
{
    while (index > 0 &&
           solo->notes[index - 1].phrase == solo->notes[index].phrase)
        index--;
    return index;
}

static size_t phrase_last(const struct solo *solo, size_t index)
{
    while (index + 1 < solo->note_count &&
           solo->notes[index + 1].phrase == solo->notes[index].phrase)
        index++;
    return index;
}

/* Choose the phrase: KIND, FROM, FIRST and INSIDE. */
static void choose(struct opening *out, const struct solo *solo,
                   const struct stretch *at)
{
    const struct bar *bar = &solo->bars[out->bar];
    int64_t whole = bar->nominal > 0 ? bar->nominal : bar->length;
    size_t inside = first_inside(solo, out->bar);

    if (inside >= solo->note_count || solo->notes[inside].start >= at->end)
        return;
    out->inside = inside;
    out->first = phrase_first(solo, inside);
    if (out->first == inside ||
        at->start - solo->notes[out->first].start <= whole) {
        out->kind = OPENING_CLEAR;
        return;
    }
    out->from = form_place_of(solo, solo->notes[out->first].bar)->chorus;
    out->first = out->inside = phrase_last(solo, inside) + 1;
    out->kind =
        out->first < solo->note_count && solo->notes[out->first].start < at->end
            ? OPENING_RUNS_ON
            : OPENING_RUNS_OVER;
}

bool opening_has_phrase(const struct opening *opening)
{
    return opening->kind == OPENING_CLEAR || opening->kind == OPENING_RUNS_ON;
}

static void measure(struct opening *out, const struct solo *solo,
                    const struct stretch *at)
{
    const struct note *first = &solo->notes[out->first], *last;
    int64_t end, next;

    out->last = phrase_last(solo, out->first);
    last = &solo->notes[out->last];
    end = last->start + last->duration;
    out->is_end = out->last + 1 == solo->note_count;
    next = out->is_end ? bar_end(solo, (int32_t)solo->bar_count - 1)
                       : last[1].start;
    out->pickup = first->start < at->start ? at->start - first->start : 0;
    out->length = end - first->start;
    out->rest_after = next > end ? next - end : 0;
    if (out->kind == OPENING_CLEAR)
        openings_find_riff(out, solo, at->riff_end);
}

/* A solo without a form: its first phrase, and eight bars from there. */
static void open_whole(struct opening *out, const struct solo *solo)
{
    int32_t bar = solo->note_count ? solo->notes[0].bar : 0;
    int32_t last = bar + OPENING_RIFF_BARS - 1;
    struct stretch at = { 0, 0, 0 };

    out->bars = (int32_t)solo->bar_count;
    if (solo->note_count == 0)
        return;
    if (last >= out->bars)
        last = out->bars - 1;
    out->bar = bar;
    out->kind = OPENING_CLEAR;
    at.start = solo->notes[0].start;
    at.riff_end = bar_end(solo, last);
    measure(out, solo, &at);
}

struct opening opening_of(const struct solo *solo, size_t index)
{
    struct opening out = { .complete = true };
    const struct form_chorus *choruses = solo->form.choruses;
    struct stretch at;

    if (index >= solo->form.chorus_count) {
        open_whole(&out, solo);
        return out;
    }
    out.chorus = choruses[index].number;
    out.bar = choruses[index].first_bar;
    out.bars = choruses[index].bars;
    out.complete = choruses[index].complete;
    for (size_t i = index; i-- > 0;)
        if (choruses[i].first_bar == out.bar)
            out.as = choruses[i].number;
    at = stretch_of(solo, &choruses[index]);
    choose(&out, solo, &at);
    if (opening_has_phrase(&out))
        measure(&out, solo, &at);
    return out;
}

enum status openings_make(struct openings *out, const struct solo *solo,
                          struct fault *why)
{
    enum status st = ST_OK;

    out->count = arc_count(solo);
    out->items = calloc(out->count, sizeof *out->items);
    if (!out->items) {
        out->count = 0;
        return fault_nomem(why);
    }
    for (size_t i = 0; i < out->count && st == ST_OK; i++) {
        out->items[i] = opening_of(solo, i);
        st = openings_find_returns(out, i, solo, why);
    }
    return st;
}

void openings_free(struct openings *openings)
{
    for (size_t i = 0; i < openings->count; i++)
        free(openings->items[i].returns);
    free(openings->items);
    openings->items = NULL;
    openings->count = 0;
}
