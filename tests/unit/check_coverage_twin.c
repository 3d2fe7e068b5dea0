/* check_coverage_twin.c - covers and joins against plain trial of everything.
 *
 * The twin tries every choice of places, by the definitions of coverage.h said
 * anew, and twin_joins.c every way to divide what is left.
 * CELLAR_TWIN_CASES says how many lines are drawn.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "tests/unit/find_fixture.h"
#include "tests/unit/suites.h"
#include "tests/unit/twin_joins.h"

enum {
    CASES = 5000,
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
    int midi = 55 + chance(20), count = 1 + chance(TWIN_LINE_MAX);

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

/* --- the twin ------------------------------------------------------------- */

static int midi_at(const struct line *l, size_t i)
{
    return l->solo->notes[i].midi;
}

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
    int32_t at[TWIN_LINE_MAX + 1]; /* the cell at each note, or -1 */
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
            joins_check(l, &c.spans[span], spans, at, end);
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
        printf(" %s %u", join_word((enum join)what), joins_called[what]);
    printf("\n");
    fflush(stdout);
    /* A comparison of nothing with nothing would prove little. */
    ck_assert(cases < 1000 || covered_some * 4 > (unsigned)cases);
    for (int what = 0; what < JOINS; what++)
        ck_assert_msg(cases < 1000 ||
                          joins_called[what] * 100 > (unsigned)cases,
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
