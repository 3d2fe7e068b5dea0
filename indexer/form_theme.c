/* indexer/form_theme.c - does the melody say that passes are one theme?
 *
 * A tune often states a phrase again with other chords or another ending (A
 * A'), while a player does not repeat a line over the same place of the next
 * chorus.  So where harmony almost returns and the melody with it, there is
 * one chorus.  A melody that is the same whenever the chord is (long roots, a
 * pattern that runs through) says nothing of this.
 */
#include <string.h>

#include "indexer/form_search.h"

enum {
    BARS = 4,       /* with notes at both places: fewer say nothing */
    ALIKE = 30,     /* percent of the time at which a theme has one pitch */
    COPIED = 97,    /* more: one line under each chorus ... */
    CHANGED = 20,   /* ... where so many percent of the bars have other chords */
    NEAR = 8,       /* bars within which no section returns */
    BY_CHORD = 95   /* percent over one chord: the melody goes by the chord */
};

/* For how long bars sound together, and with one pitch, in cells. */
struct likeness {
    int32_t bars, cells, same;
};

/* How many of CELLS, each 0 or 1, are 1. */
static int32_t add_up(const uint8_t cells[FORM_PITCHES])
{
    uint64_t eight, sum = 0;

    for (size_t i = 0; i < FORM_PITCHES; i += sizeof eight) {
        memcpy(&eight, cells + i, sizeof eight);
        sum += eight;
    }
    /* The highest byte of this is the sum of all bytes. */
    return (int32_t)(sum * 0x0101010101010101u >> 56);
}

static void compare(const struct search *in, int32_t a, int32_t b,
                    struct likeness *to)
{
    const uint8_t *p = in->pitches[a], *q = in->pitches[b];
    uint8_t both[FORM_PITCHES], same[FORM_PITCHES];
    int32_t cells;

    if (in->grid->bars[a].bar == in->grid->bars[b].bar)
        return;
    for (int i = 0; i < FORM_PITCHES; i++) {
        both[i] = (p[i] != 0) & (q[i] != 0);
        same[i] = both[i] & (p[i] == q[i]);
    }
    cells = add_up(both);
    to->cells += cells;
    to->same += add_up(same);
    to->bars += cells > 0;
}

void form_read_pitches(struct search *in)
{
    const struct solo *solo = in->grid->solo;
    size_t next = 0;

    for (int32_t i = 0; i < in->grid->count; i++) {
        int32_t index = in->grid->bars[i].bar;
        const struct bar *bar = &solo->bars[index];

        /* Bars are played in order, but for jumps. */
        if (next < solo->note_count && solo->notes[next].bar > index)
            next = 0;
        while (next < solo->note_count && solo->notes[next].bar < index)
            next++;
        for (size_t n = next; n < solo->note_count &&
                              solo->notes[n].bar == index && bar->length > 0;
             n++) {
            const struct note *note = &solo->notes[n];
            int64_t from = note->onset * FORM_PITCHES / bar->length;
            int64_t to = (note->onset + note->duration) * FORM_PITCHES /
                         bar->length;

            for (int64_t c = from < 0 ? 0 : from;
                 c < to && c < FORM_PITCHES; c++)
                in->pitches[i][c] = note->midi;
        }
    }
}

/* Is the melody the same where the chords are, within a section? */
static bool goes_by_chord(const struct search *in)
{
    const struct grid_bar *bars = in->grid->bars;
    struct likeness likeness = { 0, 0, 0 };

    for (int32_t i = in->grid->first; i < in->end; i++) {
        int32_t k = i + 1;

        while (k < in->end && k < i + NEAR && bars[k].kind != bars[i].kind)
            k++;
        if (k < in->end && k < i + NEAR)
            compare(in, i, k, &likeness);
    }
    return likeness.bars >= BARS &&
           likeness.same * 100 >= likeness.cells * BY_CHORD;
}

/* Sum up how bars compare with those LENGTH after them. */
static void compare_all(struct search *in, int32_t length)
{
    struct theme *theme = &in->theme;
    const struct grid_bar *bars = in->grid->bars;
    struct likeness likeness = { 0, 0, 0 };
    int32_t changed = 0;

    theme->length = length;
    for (int32_t i = in->grid->first; i + length <= in->end; i++) {
        theme->bars[i] = likeness.bars;
        theme->cells[i] = likeness.cells;
        theme->same[i] = likeness.same;
        theme->changed[i] = changed;
        if (i + length == in->end)
            break;
        compare(in, i, i + length, &likeness);
        changed += bars[i].kind != bars[i + length].kind;
    }
}

bool form_is_theme(struct search *in, const struct guess *guess)
{
    struct theme *theme = &in->theme;
    int32_t from = guess->first;
    int32_t to = from + (guess->passes - 1) * guess->length + guess->partial;
    int32_t changed, cells, same;

    if (theme->length != guess->length)
        compare_all(in, guess->length);
    changed = theme->changed[to] - theme->changed[from];
    cells = theme->cells[to] - theme->cells[from];
    same = theme->same[to] - theme->same[from];
    if (changed == 0 || theme->bars[to] - theme->bars[from] < BARS ||
        same * 100 < cells * ALIKE)
        return false;
    if (same * 100 > cells * COPIED && changed * 100 >= (to - from) * CHANGED)
        return false;
    if (theme->by_chord < 0)
        theme->by_chord = goes_by_chord(in);
    return !theme->by_chord;
}
