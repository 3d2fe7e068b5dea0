/* twin_joins.c - the names of joins by plain trial of every division. */
#include <check.h>
#include <stdlib.h>

#include "tests/unit/twin_joins.h"

/* Semitones above the tonic, each scale ended by 12. */
static const int shapes[][9] = { { 0, 2, 4, 5, 7, 9, 11, 12 },
                                 { 0, 2, 3, 5, 7, 9, 11, 12 },
                                 { 0, 2, 3, 5, 7, 8, 11, 12 },
                                 { 0, 1, 3, 4, 6, 7, 9, 10, 12 },
                                 { 0, 2, 4, 6, 8, 10, 12 } };

static int midi_at(const struct line *l, size_t i)
{
    return l->solo->notes[i].midi;
}

static const struct chord_event *event_at(const struct line *l, size_t i)
{
    int32_t heard = l->solo->notes[i].heard;

    return heard < 0 ? NULL : &l->solo->chords[heard];
}

static bool is_explained(const struct chord_event *event)
{
    return event && event->chord.class != CHORD_NONE &&
           event->chord.class != CHORD_OTHER;
}

/* Is MIDI a 1 3 5 7 of the chord at I? */
static bool is_tone(const struct line *l, size_t i, int midi)
{
    const struct chord_event *event = event_at(l, i);
    int above;

    if (!is_explained(event))
        return false;
    above = (midi + 120 - event->chord.root_pc) % 12;
    return (event->chord.tones >> above & 1) &&
           !(event->chord.tensions >> above & 1);
}

/* The place of MIDI in the scale, counted from the bottom, or -1. */
static int place_in(const int *shape, int tonic, int midi)
{
    int length = 0, above = (midi + 120 - tonic) % 12;

    while (shape[length] != 12)
        length++;
    for (int i = 0; i < length; i++)
        if (shape[i] == above)
            return (midi + 12 - tonic) / 12 * length + i;
    return -1;
}

static bool is_key_scale(int shape, int tonic, int key)
{
    if (key < 0)
        return false;
    if (key < 12)
        return shape == 0 && tonic == key;
    key -= 12;
    return (shape == 0 && tonic == (key + 3) % 12) ||
           ((shape == 1 || shape == 2) && tonic == key);
}

/* Does the scale go with the chord at I? */
static bool scale_fits(const struct line *l, size_t i, int shape, int tonic)
{
    const struct chord_event *event = event_at(l, i);

    if (event && is_key_scale(shape, tonic, event->key))
        return true;
    if (!is_explained(event))
        return !event || event->key < 0;
    for (int s = 0; s < 12; s++) {
        int midi = 60 + event->chord.root_pc + s;

        if (s != 7 && is_tone(l, i, midi) &&
            place_in(shapes[shape], tonic, midi) < 0)
            return false;
    }
    return true;
}

/* Is there a scale that fits all the notes FIRST..LAST, by steps of it? */
static bool one_scale(const struct line *l, size_t first, size_t last)
{
    for (int scale = 0; scale < 60; scale++) {
        int shape = scale / 12, tonic = scale % 12;
        bool good = true;

        for (size_t i = first; i <= last && good; i++) {
            int place = place_in(shapes[shape], tonic, midi_at(l, i));

            good = place >= 0 && scale_fits(l, i, shape, tonic);
            if (i > first)
                good = good && abs(place - place_in(shapes[shape], tonic,
                                                    midi_at(l, i - 1))) == 1;
        }
        if (good)
            return true;
    }
    return false;
}

/* Is MIDI a step from the note TARGET? */
static bool is_step(const struct line *l, int midi, size_t target)
{
    int goal = midi_at(l, target);

    if (abs(midi - goal) == 1)
        return true;
    for (int scale = 0; scale < 60; scale++) {
        int a = place_in(shapes[scale / 12], scale % 12, midi);
        int b = place_in(shapes[scale / 12], scale % 12, goal);

        if (abs(midi - goal) == 2 && a >= 0 && b >= 0 && abs(a - b) == 1 &&
            scale_fits(l, target, scale / 12, scale % 12))
            return true;
    }
    return false;
}

/* Between two turns lie two steps at least. */
static bool turns_well(const struct line *l, size_t first, size_t last)
{
    size_t turn = 0;

    for (size_t i = first + 1; i < last; i++) {
        bool turns = (midi_at(l, i) > midi_at(l, i - 1)) !=
                     (midi_at(l, i + 1) > midi_at(l, i));

        if (turns && turn > 0 && i - turn < 2)
            return false;
        if (turns)
            turn = i;
    }
    return true;
}

static bool is_seventh(const struct chord *chord, int midi)
{
    int above = (midi + 120 - chord->root_pc) % 12;
    bool minor_or_major = (chord->tones & 0xc00) != 0;

    if (chord->tones >> 11 & 1)
        return above == 11;
    return above == (minor_or_major ? 10 : 9) && (chord->tones >> above & 1) &&
           (minor_or_major || chord->class == CHORD_DIMINISHED);
}

static bool is_arpeggio(const struct line *l, size_t first, size_t last)
{
    size_t tones = 0;

    for (size_t i = first; i <= last; i++) {
        const struct chord_event *event = event_at(l, i);

        if (!is_explained(event) ||
            !chord_equal(&event->chord, &event_at(l, first)->chord))
            return false;
        tones += is_tone(l, i, midi_at(l, i));
    }
    for (size_t i = first; i < last; i++) {
        int a = midi_at(l, i), b = midi_at(l, i + 1);
        int low = a < b ? a : b, high = a < b ? b : a;
        const struct chord *chord = &event_at(l, i)->chord;

        if (high - low < 3 || high - low > 5 || !is_tone(l, i, low))
            return false;
        if (!is_tone(l, i, high) &&
            (!is_seventh(chord, low) || high - low == 5))
            return false;
    }
    return tones >= 3 && turns_well(l, first, last);
}

/* Are the notes FIRST..LAST, with those it leans on, a run of WHAT? */
static bool is_run(const struct line *l, enum join what, size_t first,
                   size_t last)
{
    int step = midi_at(l, first + 1) - midi_at(l, first);
    bool even = true;

    for (size_t i = first; i < last; i++)
        even = even && midi_at(l, i + 1) - midi_at(l, i) == step;
    switch (what) {
    case JOIN_REPEAT:
        return even && step == 0;
    case JOIN_CHROMATIC:
        return even && abs(step) == 1 && last - first >= 2;
    case JOIN_ARPEGGIO:
        return is_arpeggio(l, first, last);
    default:
        return last - first >= 3 && one_scale(l, first, last) &&
               turns_well(l, first, last);
    }
}

static bool is_enclosure(const struct line *l, size_t first, size_t target)
{
    const struct solo *solo = l->solo;
    int goal = midi_at(l, target), d[3];
    size_t count = target - first;

    if (!is_tone(l, target, goal) ||
        solo_onset_strength(solo, &solo->notes[target]) <=
            solo_onset_strength(solo, &solo->notes[target - 1]))
        return false;
    for (size_t i = 0; i < count; i++)
        d[i] = midi_at(l, first + i) - goal;
    for (int side = -1; side <= 1; side += 2) {
        if (count == 2 && d[0] * side > 0 && d[1] * side < 0 &&
            is_step(l, goal + d[0], target) && is_step(l, goal + d[1], target))
            return true;
        if (count == 3 && d[0] * side > 0 && d[1] == -2 * side &&
            d[2] == -side && is_step(l, goal + d[0], target))
            return true;
        if (count == 3 && d[2] * side > 0 && d[0] == -2 * side &&
            d[1] == -side && is_step(l, goal + d[2], target))
            return true;
    }
    return false;
}

/* One way to call the notes FIRST..LAST, with what it leans on or aims at. */
static int64_t price_with(const struct line *l, enum join what, size_t first,
                          size_t last, size_t before, size_t after)
{
    size_t from = first - before, to = last + after;
    int64_t price;

    if (l->solo->notes[from].phrase != l->solo->notes[to].phrase)
        return -1;
    if (what == JOIN_ENCLOSURE || what == JOIN_APPROACH) {
        bool good = what == JOIN_ENCLOSURE
                        ? to - first >= 2 && to - first <= 3 &&
                              is_enclosure(l, first, to)
                        : to - first == 1 && is_tone(l, to, midi_at(l, to)) &&
                              !is_tone(l, to, midi_at(l, first)) &&
                              is_step(l, midi_at(l, first), to);

        price = (what == JOIN_ENCLOSURE ? 4 : 6) + (after == 0);
        return good && before == 0 ? price : -1;
    }
    if (from == to || !is_run(l, what, from, to))
        return -1;
    return 4 + (int64_t)(before + after);
}

/* The lowest price at which FIRST..LAST may be called WHAT, or -1. */
static int64_t price_of(const struct line *l, enum join what, size_t first,
                        size_t last)
{
    int64_t best = -1;

    if (what == JOIN_OTHER)
        return first == last ? 1000 : -1;
    for (size_t before = 0; before <= 1; before++)
        for (size_t after = 0; after <= 1; after++) {
            int64_t price = -1;

            if (first >= l->first + before &&
                last + after < l->first + l->count)
                price = price_with(l, what, first, last, before, after);
            if (price >= 0 && (best < 0 || price < best))
                best = price;
        }
    return best;
}

struct division {
    int64_t price;
    size_t count;
    struct {
        size_t length;
        enum join what;
    } spans[TWIN_LINE_MAX];
};

/* Put SO_FAR, divided up to AT, through to the end in every way; what is first
 * found at the lowest price stays, longer spans and earlier names first. */
static void divide(struct division *best, const struct line *l,
                   struct division *so_far, size_t at, size_t end)
{
    if (best->price >= 0 && so_far->price > best->price)
        return;
    if (at == end) {
        if (best->price < 0 || so_far->price < best->price)
            *best = *so_far;
        return;
    }
    for (size_t last = end; last-- > at;)
        for (int what = 0; what < JOINS; what++) {
            int64_t price = price_of(l, (enum join)what, at, last);

            if (price < 0)
                continue;
            so_far->spans[so_far->count].length = last + 1 - at;
            so_far->spans[so_far->count++].what = (enum join)what;
            so_far->price += price;
            divide(best, l, so_far, last + 1, end);
            so_far->price -= price;
            so_far->count--;
        }
}

unsigned joins_called[JOINS];

void joins_check(const struct line *l, const struct coverage_span *spans,
                 size_t count, size_t first, size_t end)
{
    struct division best = { .price = -1 }, start = { .price = 0 };
    size_t at = first, span = 0;

    divide(&best, l, &start, first, end);
    for (size_t i = 0; i < best.count; i++) {
        enum join what = best.spans[i].what;
        size_t last = at + best.spans[i].length - 1;

        while (what == JOIN_OTHER && i + 1 < best.count &&
               best.spans[i + 1].what == JOIN_OTHER) {
            last++;
            i++;
        }
        joins_called[what]++;
        ck_assert_uint_lt(span, count);
        ck_assert_uint_eq(spans[span].first, at);
        ck_assert_uint_eq(spans[span].last, last);
        ck_assert_str_eq(join_word(spans[span].what), join_word(what));
        at = last + 1;
        span++;
    }
    ck_assert_uint_eq(span, count);
}
