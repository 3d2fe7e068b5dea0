/* check_cells_planted.c - cells that were put in on purpose are all found.
 *
 * Solos of noise, with a few cells planted over several chords in all keys
 * and in many rhythms.  Around each stands a leap that no cell has, and noise
 * that would make a planted cell by accident is drawn again, so that what was
 * planted is all there is.  CELLAR_PLANTED_SOLOS adds a larger library.
 */
#include <check.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "query/cells_detail.h"
#include "tests/unit/suites.h"
#include "tests/unit/twin.h"

enum {
    PLANTS = 6,
    PLACEMENTS = 3,
    PLANTED_A_SOLO = 8,
    NOISE_STEP_MAX = 7,
    LEAP_MIN = 13,
    NOTES_ROOM = 4096
};

/* Cells of 3 to 7 notes; each over three classes, with the start there. */
static const struct plant {
    int notes, steps[6];
    struct {
        int class, start;
        const char *suffixes[3];
    } over[PLACEMENTS];
} plants[PLANTS] = {
    { 3, { -1, 5 }, /* over 7 from 4, over m7 from b3 ... */
      { { CHORD_DOMINANT, 5, { "7", "9", "13" } },
        { CHORD_MINOR, 3, { "m7", "m6", "m9" } },
        { CHORD_MAJOR, 0, { "maj7", "6", "" } } } },
    { 4, { -4, -1, -2 },
      { { CHORD_MINOR, 7, { "m7", "m9", "m" } },
        { CHORD_DOMINANT, 2, { "7", "7b9", "13" } },
        { CHORD_MAJOR, 9, { "maj9", "6", "maj7" } } } },
    { 4, { 2, 2, 3 },
      { { CHORD_MAJOR, 0, { "", "6", "maj7" } },
        { CHORD_HALF_DIMINISHED, 6, { "m7b5", "m7b5", "m7b5" } },
        { CHORD_SUSPENDED, 5, { "sus4", "sus4", "sus2" } } } },
    { 5, { 3, 4, 3, -2 },
      { { CHORD_DOMINANT, 4, { "7", "7#9", "9" } },
        { CHORD_DIMINISHED, 0, { "dim7", "dim", "dim7" } },
        { CHORD_MINOR, 11, { "m7", "m", "m6" } } } },
    { 6, { -1, -1, 3, 4, -7 },
      { { CHORD_AUGMENTED, 8, { "aug", "aug", "aug" } },
        { CHORD_MINOR_MAJOR, 10, { "m(maj7)", "m(maj7)", "m(maj7)" } },
        { CHORD_DOMINANT, 1, { "7", "7alt", "9" } } } },
    { 7, { 4, 3, 4, -2, -2, -3 },
      { { CHORD_MINOR, 3, { "m7", "m9", "m" } },
        { CHORD_DOMINANT, 10, { "7", "13", "7" } },
        { CHORD_MAJOR, 2, { "maj7", "6", "" } } } },
};

/* What was planted, by cell and placement. */
static struct truth {
    size_t count, solos, last_solo;
    size_t keys[12];
    size_t beats[400]; /* by ticks from the bar line */
    size_t straight;   /* played in even eighths */
} truth[PLANTS][PLACEMENTS];

/* --- writing -------------------------------------------------------------- */

/* The line so far, and where it stands. */
struct pen {
    struct draft draft;
    int midi[NOTES_ROOM];
    size_t count;
};

static bool ends_with(const struct pen *pen, const struct plant *plant)
{
    size_t n = (size_t)plant->notes;

    if (pen->count < n)
        return false;
    for (size_t i = 0; i + 1 < n; i++)
        if (pen->midi[pen->count - n + i + 1] - pen->midi[pen->count - n + i] !=
            plant->steps[i])
            return false;
    return true;
}

static bool is_planted(const struct pen *pen)
{
    for (int p = 0; p < PLANTS; p++)
        if (ends_with(pen, &plants[p]))
            return true;
    return false;
}

static int64_t draw_value(void)
{
    static const int64_t values[] = { 6, 8, 12, 12, 12, 24 };

    return values[chance(6)];
}

static void put_note(struct pen *pen, int midi, int64_t value)
{
    ck_assert_uint_lt(pen->count, NOTES_ROOM);
    pen->midi[pen->count++] = midi;
    draft_note(&pen->draft, midi, value, value);
}

/* N notes of noise in a middle register, under chords of their own. */
static void put_noise(struct pen *pen, int n)
{
    for (int i = 0; i < n; i++) {
        int last = pen->count ? pen->midi[pen->count - 1] : 60, midi;
        char symbol[32];

        if (one_in(4)) {
            snprintf(symbol, sizeof symbol, "%s%s", twin_roots[chance(12)],
                     twin_suffixes[chance(TWIN_SUFFIXES)].text);
            draft_chord(&pen->draft, symbol, pen->draft.now);
        }
        do {
            midi = last + (int)chance(2 * NOISE_STEP_MAX + 1) - NOISE_STEP_MAX;
            pen->midi[pen->count++] = midi;
            if (midi < 45 || midi > 80 || is_planted(pen))
                midi = -1;
            pen->count--;
        } while (midi < 0);
        put_note(pen, midi, draw_value());
        if (one_in(12))
            draft_rest(&pen->draft, 12);
    }
}

/* A note from the last one to which, and from which, is a leap. */
static int leap_from(int midi)
{
    int size = LEAP_MIN + (int)chance(3);

    return midi > 62 ? midi - size : midi + size;
}

/* The first pitch of the cell: SEMITONES above ROOT, in the octave that is
 * nearest to TARGET. */
static int pitch_near(int target, int root, int semitones)
{
    int midi = target - 6;

    while (mod12(midi - root - semitones + 240) != 0)
        midi++;
    return midi;
}

static void put_planted(struct pen *pen, size_t solo)
{
    const unsigned p = chance(PLANTS), o = chance(PLACEMENTS);
    const struct plant *plant = &plants[p];
    struct truth *t = &truth[p][o];
    const char *suffix = plant->over[o].suffixes[chance(3)];
    int root = (int)chance(12), midi, last = pen->midi[pen->count - 1];
    bool straight = one_in(2), all_eighths = true;
    char symbol[32];

    snprintf(symbol, sizeof symbol, "%s%s", twin_roots[root], suffix);
    draft_chord(&pen->draft, symbol, pen->draft.now);
    /* At least a leap away, whichever way it has to go. */
    midi = pitch_near(last > 62 ? last - 22 : last + 22, root,
                      plant->over[o].start);
    t->count++;
    t->solos += t->count == 1 || t->last_solo != solo;
    t->last_solo = solo;
    t->keys[root]++;
    t->beats[pen->draft.now % pen->draft.bar]++;
    for (int i = 0; i < plant->notes; i++) {
        int64_t value = straight ? 12 : draw_value();

        all_eighths = all_eighths && value == 12;
        put_note(pen, midi, value);
        if (i + 1 < plant->notes)
            midi += plant->steps[i];
    }
    t->straight += all_eighths;
    draft_chord(&pen->draft, "C7", pen->draft.now);
    put_note(pen, leap_from(midi), 24);
}

static struct solo *write_solo(size_t number)
{
    struct pen pen = { .count = 0 };

    draft_start(&pen.draft, "Planter", "made up", "4/4", 96);
    for (int i = 0; i < PLANTED_A_SOLO; i++) {
        put_noise(&pen, 3 + (int)chance(25));
        put_planted(&pen, number);
    }
    put_noise(&pen, 5);
    return draft_end(&pen.draft);
}

/* --- looking -------------------------------------------------------------- */

static void check_detail(const struct cells_result *result,
                         struct store *store, uint32_t cell,
                         const struct truth *t)
{
    struct rational eighth = rational_make(1, 2);
    struct cell_detail d;
    size_t straight = 0;

    ck_assert_int_eq(cells_detail(&d, result, store, CELLS_OWN, &cell, 1, false,
                                  NULL),
                     ST_OK);
    ck_assert_uint_eq(d.count, t->count);
    for (int i = 0; i < 12; i++)
        ck_assert_uint_eq(d.keys[i], t->keys[i]);
    for (size_t i = 0; i < d.beats.count; i++) {
        const int64_t *v = tally_value(&d.beats, i);

        /* 24 ticks a beat, from beat 1. */
        ck_assert_uint_eq(d.beats.counts[i],
                          t->beats[(v[0] - v[1]) * 24 / v[1]]);
    }
    for (size_t i = 0; i < d.rhythms.count; i++) {
        const int64_t *v = tally_value(&d.rhythms, i);
        bool even = true;

        for (size_t k = 0; k < d.rhythms.width; k += 2)
            even = even && v[k] == eighth.num && v[k + 1] == eighth.den;
        straight += even ? d.rhythms.counts[i] : 0;
    }
    ck_assert_uint_eq(straight, t->straight);
    ck_assert_uint_eq(d.example_count, t->count < 3 ? t->count : 3);
    cells_detail_free(&d, 1);
}

static const struct cell *find_cell(const struct cells_result *result,
                                    const struct plant *plant, int placement)
{
    uint64_t key = cell_key(plant->notes, plant->steps,
                            plant->over[placement].class,
                            plant->over[placement].start);

    for (size_t i = 0; i < result->count; i++)
        if (result->cells[i].key == key)
            return &result->cells[i];
    return NULL;
}

static void check_planted(const struct cells_result *result,
                          struct store *store)
{
    for (int p = 0; p < PLANTS; p++)
        for (int o = 0; o < PLACEMENTS; o++) {
            const struct truth *t = &truth[p][o];
            const struct cell *cell = find_cell(result, &plants[p], o);

            ck_assert_msg(cell || t->count < 3, "cell %d over %d is not found",
                          p, o);
            if (!cell)
                continue;
            ck_assert_uint_eq(cell->count[CELLS_OWN], t->count);
            ck_assert_uint_eq(cell->solos[CELLS_OWN], t->solos);
            /* Nothing that was planted alone goes into another. */
            ck_assert_int_eq(cell->into[CELLS_OWN], CELLS_NOT_FOLDED);
            check_detail(result, store, (uint32_t)(cell - result->cells), t);
        }
}

static void run_library(size_t solos)
{
    struct cells_query query = { .notes_min = CELLS_NOTES_MIN,
                                 .notes_max = CELLS_NOTES_MAX,
                                 .min_count = CELLS_MIN_COUNT,
                                 .min_solos = 1,
                                 .fold = true };
    struct cells_result result;
    struct fixture fixture;
    struct fault why = { 0 };
    size_t planted = 0;

    memset(truth, 0, sizeof truth);
    fixture_open(&fixture);
    for (size_t i = 0; i < solos; i++) {
        char path[32];

        snprintf(path, sizeof path, "%zu.xml", i);
        fixture_put(&fixture, path, write_solo(i));
    }
    fixture_commit(&fixture);
    ck_assert_int_eq(store_read_begin(fixture.store, NULL), ST_OK);
    ck_assert_msg(cells_run(&result, fixture.store, &query, &why) == ST_OK,
                  "%s", why.message);
    check_planted(&result, fixture.store);
    for (int p = 0; p < PLANTS; p++)
        for (int o = 0; o < PLACEMENTS; o++)
            planted += truth[p][o].count;
    ck_assert_uint_eq(planted, solos * PLANTED_A_SOLO);
    printf("cells planted: %zu solos, %zu notes, %zu planted\n", solos,
           result.notes, planted);
    fflush(stdout);
    cells_free(&result);
    store_read_end(fixture.store);
    fixture_close(&fixture);
}

START_TEST(every_planted_cell_is_counted)
{
    const char *wanted = getenv("CELLAR_PLANTED_SOLOS");

    /* Chance starts with the library of the twin. */
    twin_library_build();
    twin_library_free();
    run_library(50);
    run_library(200);
    if (wanted && *wanted)
        run_library((size_t)atol(wanted));
}
END_TEST

Suite *cells_planted_suite(void)
{
    Suite *suite = suite_create("cells_planted");
    TCase *tests = tcase_create("cells_planted");

    tcase_set_timeout(tests, 300);
    tcase_add_test(tests, every_planted_cell_is_counted);
    suite_add_tcase(suite, tests);
    return suite;
}
