/* check_coverage_twin.c - covers and joins against plain trial of everything.
 *
 * The twin tries every choice of places and every way to divide what is
 * left, by the definitions of coverage.h and joins.h said anew.
 * CELLAR_TWIN_CASES says how many lines are drawn.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "query/coverage.h"
#include "tests/unit/find_fixture.h"
#include "tests/unit/suites.h"

enum {
    CASES = 5000,
    NOTES_MAX = 12,
    CELLS_MAX = 5
};

static uint64_t state = 88172645463325252u;

static int chance(int n)
{
    state ^= state << 13;
    state ^= state >> 7;
    state ^= state << 17;
    return (int)((state >> 33) % (uint64_t)n);
}

/* --- lines ---------------------------------------------------------------- */

static const char *const symbols[] = { "Cmaj7", "Dm7",   "G7",   "C6",
                                       "Bm7b5", "E7alt", "N.C.", "Fdim7",
                                       "C7#5",  "A7b9",  "Gsus4" };

/* What jazz lines are made of, in semitones, ended by 99; the rest is drawn
 * note by note. */
static const int figures[][6] = {
    { -2, 1, 99 },          { 2, -1, 99 },        { -3, 1, 99 },
    { 3, -1, 99 },          { -3, 2, 99 },        { -3, 1, 1, 99 },
    { 1, 2, -1, 99 },       { 3, -1, -1, 99 },    { -1, -2, 1, 99 },
    { 4, 3, 4, 99 },        { 3, 4, 3, 4, 99 },   { -4, -3, -3, 99 },
    { 3, 3, 3, 99 },        { -3, -3, 3, 3, 99 }, { 5, 4, 3, 99 },
    { 2, 2, 1, 2, 99 },     { -2, -2, -1, 99 },   { -1, -2, 2, 1, 99 },
    { -1, -3, -1, -2, 99 }, { 1, 2, 1, 2, 99 },   { 1, 1, -1, 99 },
};

enum {
    FIGURES = sizeof figures / sizeof *figures
};

static int draw_step(void)
{
    static const int steps[] = { -1, 1, -2, 2, 3, -3, 4, -4, 0 };
    int mood = chance(12);

    return mood < 9 ? steps[mood] : chance(15) - 7;
}

static struct solo *draw_line(void)
{
    static const int64_t values[] = { 12, 12, 12, 12, 12, 24, 6, 8, 36 };
    static const int none[] = { 99 };
    const int *figure = none;
    struct draft draft;
    int midi = 55 + chance(20), count = 1 + chance(NOTES_MAX);

    draft_start(&draft, "Nobody", "A line", "4/4", 96);
    for (int i = 0; i < count; i++) {
        int64_t ticks = values[chance(9)];

        if (i == 0 || chance(6) == 0)
            draft_chord(&draft, symbols[chance(11)], draft.now);
        draft_note(&draft, midi, ticks, ticks);
        if (*figure == 99 && chance(3))
            figure = figures[chance(FIGURES)];
        midi += *figure == 99 ? draw_step() : *figure++;
    }
    return draft_end(&draft);
}

static void draw_phrases(struct solo *solo)
{
    int32_t phrase = chance(2);

    for (size_t i = 0; phrase && i < solo->note_count; i++) {
        phrase += chance(6) == 0;
        solo->notes[i].phrase = phrase;
    }
}

/* --- the twin of joins ---------------------------------------------------- */

/* Semitones above the tonic, each scale ended by 12. */
static const int shapes[][9] = { { 0, 2, 4, 5, 7, 9, 11, 12 },
                                 { 0, 2, 3, 5, 7, 9, 11, 12 },
                                 { 0, 2, 3, 5, 7, 8, 11, 12 },
                                 { 0, 1, 3, 4, 6, 7, 9, 10, 12 },
                                 { 0, 2, 4, 6, 8, 10, 12 } };

struct line {
    const struct solo *solo;
    size_t first, count; /* the passage */
};

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
    } spans[NOTES_MAX];
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

static unsigned called[JOINS];

/* Do SPANS name FIRST..END-1 as the twin does? */
static void check_stretch(const struct line *l,
                          const struct coverage_span *spans, size_t count,
                          size_t first, size_t end)
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
        called[what]++;
        ck_assert_uint_lt(span, count);
        ck_assert_uint_eq(spans[span].first, at);
        ck_assert_uint_eq(spans[span].last, last);
        ck_assert_str_eq(join_word(spans[span].what), join_word(what));
        at = last + 1;
        span++;
    }
    ck_assert_uint_eq(span, count);
}

/* --- the twin of coverage ------------------------------------------------- */

/* Cells that may well occur: cut out of LINE, bound or not, some of them with
 * a note changed. */
static size_t draw_cells(struct coverage_cell *cells, const struct solo *solo)
{
    size_t wanted = (size_t)(1 + chance(CELLS_MAX));

    for (size_t i = 0; i < wanted; i++) {
        struct cell_shape *shape = &cells[i].shape;
        int at, notes = 3 + chance(3);

        memset(&cells[i], 0, sizeof cells[i]);
        if ((size_t)notes > solo->note_count)
            return i;
        at = chance((int)solo->note_count - notes + 1);
        shape->notes = notes;
        for (int s = 0; s + 1 < notes; s++)
            shape->steps[s] =
                solo->notes[at + s + 1].midi - solo->notes[at + s].midi;
        if (chance(6) == 0)
            shape->steps[chance(notes - 1)]++;
        shape->class = chance(2) ? chance(4) : COVERAGE_ANY;
        shape->start = chance(3) ? COVERAGE_ANY : chance(12);
    }
    return wanted;
}

static bool occurs(const struct line *l, const struct cell_shape *shape,
                   size_t at)
{
    size_t notes = (size_t)shape->notes;
    const struct chord *chord = NULL;
    int32_t index;

    if (at + notes > l->first + l->count)
        return false;
    for (size_t i = 0; i + 1 < notes; i++)
        if (midi_at(l, at + i + 1) != midi_at(l, at + i) + shape->steps[i])
            return false;
    if (shape->class < 0 && shape->start < 0)
        return true;
    index = solo_window_chord(l->solo, at, notes);
    if (index >= 0)
        chord = &l->solo->chords[index].chord;
    if (!chord || chord->class == CHORD_NONE)
        return false;
    return (shape->class < 0 || shape->class == chord->class) &&
           (shape->start < 0 ||
            (midi_at(l, at) + 120 - chord->root_pc) % 12 == shape->start);
}

struct choice {
    size_t covered, places;
    int32_t at[NOTES_MAX + 1]; /* the cell at each note, or -1 */
};

/* Try everything from AT on; what is first found stays among equals, so the
 * longest cells come first, then those in front, then none. */
static void try_all(struct choice *best, bool *found, const struct line *l,
                    const struct coverage_cell *cells, size_t count,
                    struct choice *so_far, size_t at)
{
    if (at == l->first + l->count) {
        if (!*found || so_far->covered > best->covered ||
            (so_far->covered == best->covered && so_far->places < best->places))
            *best = *so_far;
        *found = true;
        return;
    }
    for (int notes = CELLS_NOTES_MAX; notes >= CELLS_NOTES_MIN; notes--)
        for (size_t c = 0; c < count; c++) {
            if (cells[c].shape.notes != notes ||
                !occurs(l, &cells[c].shape, at))
                continue;
            so_far->at[at] = (int32_t)c;
            so_far->covered += (size_t)notes;
            so_far->places++;
            try_all(best, found, l, cells, count, so_far, at + (size_t)notes);
            so_far->covered -= (size_t)notes;
            so_far->places--;
        }
    so_far->at[at] = -1;
    try_all(best, found, l, cells, count, so_far, at + 1);
}

static unsigned covered_some, covered_all;

static void check_case(const struct line *l, const struct coverage_cell *cells,
                       size_t count)
{
    struct choice best = { 0 }, start = { 0 };
    struct coverage c;
    bool found = false;
    size_t at = l->first, span = 0;

    try_all(&best, &found, l, cells, count, &start, at);
    ck_assert_int_eq(
        coverage_make(&c, l->solo, l->first, l->count, cells, count, NULL),
        ST_OK);
    ck_assert_uint_eq(c.covered, best.covered);
    ck_assert_uint_eq(c.places, best.places);
    covered_some += c.covered > 0;
    covered_all += c.covered == c.notes && c.notes > 0;
    while (at < l->first + l->count) {
        size_t end = at, spans = 0;

        while (end < l->first + l->count && best.at[end] < 0)
            end++;
        while (span + spans < c.span_count &&
               c.spans[span + spans].cell == COVERAGE_NO_CELL)
            spans++;
        if (end > at)
            check_stretch(l, &c.spans[span], spans, at, end);
        span += spans;
        if (end == l->first + l->count)
            break;
        ck_assert_uint_lt(span, c.span_count);
        ck_assert_int_eq(c.spans[span].cell, best.at[end]);
        ck_assert_uint_eq(c.spans[span].first, end);
        at = end + (size_t)cells[best.at[end]].shape.notes;
        ck_assert_uint_eq(c.spans[span++].last + 1, at);
    }
    ck_assert_uint_eq(span, c.span_count);
    coverage_free(&c);
}

START_TEST(coverage_and_its_twin_agree)
{
    const char *wanted = getenv("CELLAR_TWIN_CASES");
    int cases = wanted && wanted[0] ? atoi(wanted) : CASES;

    for (int i = 0; i < cases; i++) {
        struct solo *solo = draw_line();
        struct coverage_cell cells[CELLS_MAX];
        size_t count = draw_cells(cells, solo);
        struct line l = { solo, 0, solo->note_count };

        draw_phrases(solo);
        if (chance(4) == 0) {
            l.first = (size_t)chance((int)solo->note_count);
            l.count = (size_t)chance((int)(solo->note_count - l.first)) + 1;
        }
        check_case(&l, cells, count);
        solo_free(solo);
    }
    printf("coverage twin: %d lines, %u with cells, %u of nothing else;", cases,
           covered_some, covered_all);
    for (int what = 0; what < JOINS; what++)
        printf(" %s %u", join_word((enum join)what), called[what]);
    printf("\n");
    fflush(stdout);
    /* A comparison of nothing with nothing would prove little. */
    ck_assert(cases < 1000 || covered_some * 4 > (unsigned)cases);
    for (int what = 0; what < JOINS; what++)
        ck_assert_msg(cases < 1000 || called[what] * 100 > (unsigned)cases,
                      "hardly any %s", join_word((enum join)what));
}
END_TEST

Suite *coverage_twin_suite(void)
{
    Suite *suite = suite_create("coverage_twin");
    TCase *tests = tcase_create("coverage_twin");

    tcase_add_test(tests, coverage_and_its_twin_agree);
    suite_add_tcase(suite, tests);
    return suite;
}
