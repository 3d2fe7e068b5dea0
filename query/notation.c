/* query/notation.c - a passage of a solo as it is written on paper. */
#include "query/notation.h"

#include <stdlib.h>
#include <string.h>

#include "query/notation_parts.h"

enum {
    PARTS = 128 /* of a quarter: every value and dot is a whole number */
};

/* A bar under work. */
struct work {
    const struct passage *passage;
    struct notation *out;
    struct notation_bar *bar;
    int64_t start;        /* of the bar, in ticks of the notation */
    int64_t scale;        /* from ticks of the solo to those of the notation */
    const char **degrees; /* of the marked notes, from the first */
    struct fault *why;
};

/* --- what fills a bar --------------------------------------------------- */

/* Where the note INDEX ends on paper: it gives way to the next, and one without
 * a length lasts a quarter at most. */
static int64_t note_end(const struct solo *solo, size_t index)
{
    const struct note *note = &solo->notes[index];
    int64_t end =
        note->start + (note->duration > 0 ? note->duration : solo->ticks);

    if (index + 1 < solo->note_count && solo->notes[index + 1].start < end)
        end = solo->notes[index + 1].start;
    return end;
}

/* The first note that sounds after the tick AT. */
static size_t note_after(const struct solo *solo, int64_t at)
{
    size_t low = 0, high = solo->note_count;

    while (low < high) {
        size_t middle = (low + high) / 2;

        if (note_end(solo, middle) > at)
            high = middle;
        else
            low = middle + 1;
    }
    return low;
}

static void put_stretch(struct stretch *items, size_t *count, int64_t start,
                        int64_t end, int32_t note)
{
    if (end > start)
        items[(*count)++] = (struct stretch){ start, end, note };
}

/* The notes of the bar and the silence between them.  The caller owns *OUT. */
static enum status fill_bar(struct work *w, struct stretch **out, size_t *count)
{
    const struct solo *solo = w->passage->solo;
    const struct bar *bar = &solo->bars[w->bar->bar];
    int64_t end = bar->start + bar->length, at = bar->start;
    size_t first = note_after(solo, bar->start), last = first;

    while (last < solo->note_count && solo->notes[last].start < end)
        last++;
    *count = 0;
    *out = calloc(2 * (last - first) + 1, sizeof **out);
    if (!*out)
        return fault_nomem(w->why);
    for (size_t i = first; i < last; i++) {
        int64_t from = solo->notes[i].start, to = note_end(solo, i);

        if (from < at)
            from = at;
        if (to > end)
            to = end;
        put_stretch(*out, count, (at - bar->start) * w->scale,
                    (from - bar->start) * w->scale, -1);
        put_stretch(*out, count, (from - bar->start) * w->scale,
                    (to - bar->start) * w->scale, (int32_t)i);
        at = to;
    }
    put_stretch(*out, count, (at - bar->start) * w->scale, w->bar->length, -1);
    return ST_OK;
}

/* --- notes and chords --------------------------------------------------- */

/* Name the signs: pitch, tie, mark and degree. */
static void name_signs(struct work *w)
{
    const struct passage *p = w->passage;
    const struct solo *solo = p->solo;
    int64_t end = w->start + w->bar->length;
    bool last_bar = w->bar->bar == p->last_bar;

    for (size_t i = 0; i < w->bar->sign_count; i++) {
        struct sign *sign = &w->bar->signs[i];
        size_t note = (size_t)sign->note;

        if (sign->note < 0)
            continue;
        sign->pitch = pitch_transpose(solo->notes[note].sounding,
                                      w->out->view.chromatic, w->bar->diatonic);
        sign->starts =
            solo->notes[note].start * w->scale == w->start + sign->at;
        /* Over the bar line too, but not out of the passage. */
        if (w->start + sign->at + sign->duration == end)
            sign->tied = !last_bar && note_end(solo, note) * w->scale > end;
        sign->marked = note >= p->first && note <= p->last;
        if (sign->marked && sign->starts && w->degrees)
            sign->degree = w->degrees[note - p->first];
    }
}

static void put_chord(struct work *w, const struct chord *chord, int64_t at)
{
    struct sign_chord *put = &w->bar->chords[w->bar->chord_count++];

    put->at = at;
    put->chord = *chord;
    chord_transpose(&put->chord, w->out->view.chromatic, w->bar->diatonic);
}

static enum status write_chords(struct work *w)
{
    const struct solo *solo = w->passage->solo;
    const struct bar *bar = &solo->bars[w->bar->bar];
    size_t first = 0, last;

    while (first < solo->chord_count && solo->chords[first].start < bar->start)
        first++;
    last = first;
    while (last < solo->chord_count &&
           solo->chords[last].start < bar->start + bar->length)
        last++;
    w->bar->chords = calloc(last - first + 1, sizeof *w->bar->chords);
    if (!w->bar->chords)
        return fault_nomem(w->why);
    if (w->bar->bar == w->passage->first_bar && first > 0 &&
        (first == last || solo->chords[first].start > bar->start))
        put_chord(w, &solo->chords[first - 1].chord, 0);
    for (size_t i = first; i < last; i++)
        put_chord(w, &solo->chords[i].chord,
                  (solo->chords[i].start - bar->start) * w->scale);
    return ST_OK;
}

int notation_concert_fifths(const struct solo *solo, int32_t bar)
{
    return solo->bars[bar].fifths + 7 * solo->transpose -
           12 * solo->transpose_steps;
}

/* A bar of silence is one rest, whatever its length. */
static void rest_whole_bar(struct notation_bar *bar)
{
    bar->signs[0] = (struct sign){
        .duration = bar->length, .note = -1, .whole_bar = true, .exact = true
    };
    bar->sign_count = 1;
}

/* --- bar by bar --------------------------------------------------------- */

static enum status write_bar(struct work *w)
{
    const struct bar *bar = &w->passage->solo->bars[w->bar->bar];
    struct stretch *items = NULL;
    struct beats *beats = malloc(sizeof *beats);
    size_t count = 0;
    enum status st = beats ? fill_bar(w, &items, &count) : fault_nomem(w->why);

    if (st == ST_OK) {
        beats_of(beats, bar->metre, w->bar->length, w->out->ticks,
                 bar->implicit);
        if (beats->count > 0)
            st = stretches_divide(&w->bar->signs, &w->bar->sign_count, items,
                                  count, beats, w->out->ticks, w->why);
        if (st == ST_OK && count == 1 && items[0].note < 0)
            rest_whole_bar(w->bar);
        if (st == ST_OK)
            signs_beam(w->bar->signs, w->bar->sign_count, beats);
    }
    free(items);
    free(beats);
    if (st != ST_OK)
        return st;
    name_signs(w);
    return write_chords(w);
}

static enum status write_bars(struct work *w)
{
    const struct passage *p = w->passage;
    enum status st = ST_OK;

    for (size_t i = 0; i < w->out->bar_count && st == ST_OK; i++) {
        const struct bar *bar = &p->solo->bars[(size_t)p->first_bar + i];

        w->bar = &w->out->bars[i];
        w->bar->bar = p->first_bar + (int32_t)i;
        w->bar->mode = bar->mode;
        w->bar->fifths = reader_key(
            &w->out->view, notation_concert_fifths(p->solo, w->bar->bar),
            &w->bar->diatonic);
        w->bar->length = bar->length * w->scale;
        w->start = bar->start * w->scale;
        st = write_bar(w);
    }
    return st;
}

static enum status name_degrees(struct work *w)
{
    const struct passage *p = w->passage;
    size_t count = p->last - p->first + 1;
    int32_t chord = solo_window_chord(p->solo, p->first, count);
    int *midi;

    if (chord == SOLO_NO_CHORD ||
        p->solo->chords[chord].chord.class == CHORD_NONE)
        return ST_OK;
    midi = calloc(count, sizeof *midi);
    w->degrees = calloc(count, sizeof *w->degrees);
    if (midi && w->degrees) {
        for (size_t i = 0; i < count; i++)
            midi[i] = p->solo->notes[p->first + i].midi;
        chord_cell_degrees(w->degrees, &p->solo->chords[chord].chord, midi,
                           count);
    }
    free(midi);
    return midi && w->degrees ? ST_OK : fault_nomem(w->why);
}

enum status notation_make(struct notation *out, const struct passage *passage,
                          const struct written_for *view, struct fault *why)
{
    struct work w = { .passage = passage, .out = out, .why = why };
    int64_t ticks = passage->solo->ticks;
    enum status st;

    *out = (struct notation){ .solo = passage->solo, .view = *view };
    w.scale = PARTS / rational_gcd(ticks, PARTS);
    out->ticks = ticks * w.scale;
    out->bars = calloc((size_t)(passage->last_bar - passage->first_bar) + 1,
                       sizeof *out->bars);
    if (!out->bars)
        return fault_nomem(why);
    out->bar_count = (size_t)(passage->last_bar - passage->first_bar) + 1;
    st = name_degrees(&w);
    if (st == ST_OK)
        st = write_bars(&w);
    free(w.degrees);
    return st;
}

void notation_free(struct notation *notation)
{
    for (size_t i = 0; i < notation->bar_count; i++) {
        free(notation->bars[i].signs);
        free(notation->bars[i].chords);
    }
    free(notation->bars);
    notation->bars = NULL;
    notation->bar_count = 0;
}

static int by_size(const void *a, const void *b)
{
    return *(const uint8_t *)a - *(const uint8_t *)b;
}

int passage_middle(const struct passage *passage)
{
    size_t count = passage->last - passage->first + 1;
    uint8_t *midi = malloc(count);
    int middle = 60;

    if (!midi)
        return middle;
    for (size_t i = 0; i < count; i++)
        midi[i] = passage->solo->notes[passage->first + i].midi;
    qsort(midi, count, 1, by_size);
    middle = midi[count / 2];
    free(midi);
    return middle;
}
