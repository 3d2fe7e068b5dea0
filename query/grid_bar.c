/* query/grid_bar.c - see grid_bar.h. */
#include "query/grid_bar.h"

#include <stdio.h>
#include <string.h>

#include "query/columns.h"
#include "query/words.h"
#include "schema/harmony.h"

enum {
    STROKES_MAX = 16
};

/* The bar that is written and its chords, FIRST..LAST-1 of the solo's. */
struct bar_chords {
    const struct solo *solo;
    size_t bar, first, last;
    int *key;
};

static const char *symbol_of(const struct chord_event *event)
{
    return event->chord.class == CHORD_NONE ? "N.C." : event->chord.symbol;
}

static void add(char out[GRID_BAR_SIZE], const char *text, int column)
{
    size_t used = strlen(out);
    int width = columns_width(out);

    if (*text)
        snprintf(out + used, GRID_BAR_SIZE - used, "%*s%s", column - width, "",
                 text);
}

/* Add CHORD, and FUNCTION below it, both a blank after what stands there. */
static void append(struct grid_bar *out, const char *chord,
                   const char *function)
{
    int width = grid_bar_width(out);

    add(out->chords, chord, width ? width + 1 : 0);
    add(out->functions, function, width ? width + 1 : 0);
}

/* Add the chord EVENT with its function, and the key where it is another. */
static void append_event(struct grid_bar *out, const struct bar_chords *in,
                         const struct chord_event *event)
{
    char key[KEY_TEXT_SIZE], text[KEY_TEXT_SIZE + HARMONY_FUNCTION_SIZE];
    bool other = *event->function && event->key != *in->key;
    int fifths, mode;

    solo_concert_key(in->solo, &fifths, &mode);
    snprintf(text, sizeof text, "%s%s%s",
             other ? harmony_key_short(key, event->key, fifths) : "",
             other ? ": " : "", event->function);
    if (other)
        *in->key = event->key;
    append(out, symbol_of(event), text);
}

/* The place TICKS from the bar line, in beats from 1. */
static struct rational beat_at(const struct bar_chords *in, int64_t ticks)
{
    struct note place = { .bar = (int32_t)in->bar, .onset = ticks };

    place.start = in->solo->bars[in->bar].start + ticks;
    return solo_beat(in->solo, &place);
}

/* The same in strokes from 1: beats, but quarters in a metre such as 2/2. */
static struct rational stroke_at(const struct bar_chords *in, int64_t ticks)
{
    const struct rational one = { 1, 1, false }, two = { 2, 1, false };
    const char *unit = strrchr(in->solo->bars[in->bar].metre, '/');
    struct rational beat = beat_at(in, ticks);

    if (!unit || strcmp(unit, "/2") != 0)
        return beat;
    beat = rational_mul(rational_sub(beat, one), two);
    return rational_add(beat, one);
}

/* The strokes of the bar; 0 where they do not come out even, or are many. */
static int64_t strokes_of(const struct bar_chords *in)
{
    int64_t length = in->solo->bars[in->bar].length;
    struct rational end = stroke_at(in, length);

    return end.den == 1 && end.num <= STROKES_MAX + 1 ? end.num - 1 : 0;
}

/* The chords stand at the start of equal parts of the bar. */
static bool is_even(const struct bar_chords *in)
{
    int64_t count = (int64_t)(in->last - in->first), i = 0;
    int64_t length = in->solo->bars[in->bar].length;

    for (size_t c = in->first; c < in->last; c++, i++)
        if (in->solo->chords[c].takes_effect * count != length * i)
            return false;
    return true;
}

/* Every chord stands on a stroke, no two on the same. */
static bool on_strokes(const struct bar_chords *in)
{
    int64_t strokes = strokes_of(in), before = 0;

    for (size_t c = in->first; c < in->last; c++) {
        struct rational at = stroke_at(in, in->solo->chords[c].takes_effect);

        if (at.den != 1 || at.num <= before || at.num > strokes)
            return false;
        before = at.num;
    }
    return true;
}

static void write_strokes(struct grid_bar *out, const struct bar_chords *in)
{
    const struct chord_event *chords = in->solo->chords;
    int64_t strokes = strokes_of(in);
    size_t next = in->first;

    for (int64_t i = 1; i <= strokes; i++) {
        bool here = next < in->last &&
                    stroke_at(in, chords[next].takes_effect).num == i;

        if (here)
            append_event(out, in, &chords[next]);
        else
            append(out, "/", "");
        next += here;
    }
}

static void write_places(struct grid_bar *out, const struct bar_chords *in)
{
    for (size_t c = in->first; c < in->last; c++) {
        const struct chord_event *event = &in->solo->chords[c];
        char beat[WORDS_SIZE], place[WORDS_SIZE + 2];

        if (event->takes_effect != 0) {
            words_beat(beat, beat_at(in, event->takes_effect));
            snprintf(place, sizeof place, "(%s)", beat);
            append(out, place, "");
        }
        append_event(out, in, event);
    }
}

/* A bar without a symbol: `%` where the bar before is one chord from end to
 * end or goes on itself, else the chord that goes on. */
static const char *going_on(const struct bar_chords *in)
{
    const struct chord_event *last;
    size_t before = 0; /* chords in the bar before */

    if (in->first == 0)
        return "";
    last = &in->solo->chords[in->first - 1];
    while (before < in->first &&
           (size_t)in->solo->chords[in->first - 1 - before].bar + 1 == in->bar)
        before++;
    if (before == 0 || (before == 1 && last->takes_effect == 0))
        return "%";
    return symbol_of(last);
}

static void write_metre(struct grid_bar *out, const struct bar_chords *in)
{
    const struct bar *bar = &in->solo->bars[in->bar];
    char metre[WORDS_SIZE];

    if (in->bar == 0 || strcmp(bar->metre, bar[-1].metre) == 0)
        return;
    snprintf(metre, sizeof metre, "(%s)",
             *bar->metre ? bar->metre : "no metre");
    append(out, metre, "");
}

int grid_bar_width(const struct grid_bar *out)
{
    int chords = columns_width(out->chords);
    int functions = columns_width(out->functions);

    return chords > functions ? chords : functions;
}

void grid_bar(struct grid_bar *out, const struct solo *solo, size_t bar,
              struct grid_place *place)
{
    struct bar_chords in = { solo, bar, place->next, place->next,
                             &place->key };

    while (in.last < solo->chord_count &&
           (size_t)solo->chords[in.last].bar == bar)
        in.last++;
    place->next = in.last;
    out->chords[0] = out->functions[0] = '\0';
    write_metre(out, &in);
    if (in.first == in.last)
        append(out, going_on(&in), "");
    else if (is_even(&in))
        for (size_t c = in.first; c < in.last; c++)
            append_event(out, &in, &solo->chords[c]);
    else if (on_strokes(&in))
        write_strokes(out, &in);
    else
        write_places(out, &in);
}
