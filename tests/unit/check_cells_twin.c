/* check_cells_twin.c - cells against a second count that sorts no numbers.
 *
 * The twin writes every window down as a row, sorts the rows by their fields,
 * and holds every cell against every longer one, as query/cells.h says.
 * CELLAR_TWIN_CASES / 100 questions are asked, CELLAR_REAL names a folder of
 * music files to count in as well.
 */
#include <check.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "query/cells.h"
#include "query/window_chords.h"
#include "schema/field.h"
#include "tests/unit/suites.h"
#include "tests/unit/twin.h"

enum {
    CASES = 5000,
    CASES_A_QUESTION = 100,
    ROWS_MAX = 1 << 20
};

/* --- the windows ---------------------------------------------------------- */

struct row {
    int notes, class, start, steps[6];
    int side, first, root;
    size_t solo;
};
static struct row *rows;
static size_t row_count, windows[2][8], chordless[2], solo_counts[2];

/* A cell: rows[from .. from + count), those asked first. */
struct group {
    size_t from, count[2], solos[2];
    bool pass[2];
    long into[2]; /* a group, -1 none */
};
static struct group *groups;
static size_t group_count;

/* What is asked, as the twin sees it. */
struct asked_cells {
    struct question q; /* chord, next chord, place */
    const char *performer, *versus; /* NULL: all, others */
    bool compare;
    int low, high;
    size_t min_count, min_solos;
    bool fold;
};

static bool plays(const struct twin_solo *solo, const char *performer)
{
    return !performer || strncasecmp(solo->performer, performer,
                                     strlen(performer)) == 0;
}

static void take_row(const struct asked_cells *a, size_t at, int side,
                     int first, int notes)
{
    const struct solo *solo = twin_solos[at].solo;
    const struct note *note = &solo->notes[first];
    const struct chord_event *event;
    struct row *row = &rows[row_count];
    bool exact;

    if (!twin_place(&a->q, solo, first, first + notes - 1))
        return;
    event = twin_event(solo, twin_window(solo, first, notes));
    if (!event) {
        chordless[side]++;
        return;
    }
    if ((a->q.over_count > 0 && !twin_chord(&a->q.over[0], event, &exact)) ||
        !twin_into(&a->q, solo, first + notes - 1))
        return;
    ck_assert_uint_lt(row_count, ROWS_MAX);
    memset(row, 0, sizeof *row);
    row->notes = notes;
    row->class = event->chord.class;
    row->root = event->chord.root_pc;
    row->start = mod12(note->midi - row->root + 120);
    for (int i = 0; i + 1 < notes; i++)
        row->steps[i] = note[i + 1].midi - note[i].midi;
    row->side = side;
    row->first = first;
    row->solo = at;
    row_count++;
    windows[side][notes]++;
}

static void take_rows(const struct asked_cells *a)
{
    row_count = 0;
    memset(windows, 0, sizeof windows);
    memset(chordless, 0, sizeof chordless);
    memset(solo_counts, 0, sizeof solo_counts);
    for (int side = 0; side < 1 + a->compare; side++)
        for (size_t at = 0; at < twin_solo_count; at++) {
            const struct solo *solo = twin_solos[at].solo;
            bool own = plays(&twin_solos[at], a->performer);
            bool in = side == 0   ? own
                      : a->versus ? plays(&twin_solos[at], a->versus)
                                  : !own;

            if (!in)
                continue;
            solo_counts[side]++;
            for (int n = a->low; n <= a->high; n++)
                for (int i = 0; i + n <= (int)solo->note_count; i++)
                    take_row(a, at, side, i, n);
        }
}

/* Negative where the cell of A comes first: shorter, then class, start and
 * steps. */
static int compare_cells(const struct row *a, const struct row *b)
{
    if (a->notes != b->notes)
        return a->notes - b->notes;
    if (a->class != b->class)
        return a->class - b->class;
    if (a->start != b->start)
        return a->start - b->start;
    for (int i = 0; i < 6; i++)
        if (a->steps[i] != b->steps[i])
            return a->steps[i] - b->steps[i];
    return 0;
}

static int compare_rows(const void *a, const void *b)
{
    const struct row *x = a, *y = b;
    int order = compare_cells(x, y);

    if (order == 0)
        order = x->side - y->side;
    if (order == 0)
        order = x->solo < y->solo ? -1 : x->solo > y->solo;
    return order ? order : x->first - y->first;
}

static void make_groups(const struct asked_cells *a)
{
    group_count = 0;
    qsort(rows, row_count, sizeof *rows, compare_rows);
    for (size_t i = 0; i < row_count; i++) {
        struct group *g = &groups[group_count];
        int side = rows[i].side;

        if (i == 0 || compare_cells(&rows[i - 1], &rows[i]) != 0) {
            memset(g, 0, sizeof *g);
            g->from = i;
            group_count++;
        } else {
            g--;
        }
        if (i == g->from || rows[i - 1].side != side ||
            rows[i - 1].solo != rows[i].solo)
            g->solos[side]++;
        g->count[side]++;
    }
    for (size_t i = 0; i < group_count; i++)
        for (int side = 0; side < 2; side++) {
            size_t least = a->min_solos          ? a->min_solos
                           : solo_counts[side] == 1 ? 1
                                                    : 2;

            groups[i].into[side] = -1;
            groups[i].pass[side] = groups[i].count[side] > 0 &&
                                   groups[i].count[side] >= a->min_count &&
                                   groups[i].solos[side] >= least;
        }
}

/* --- folding -------------------------------------------------------------- */

static const struct row *rows_of(const struct group *g, int side)
{
    return &rows[g->from + (side ? g->count[0] : 0)];
}

/* How many of the occurrences of S lie inside some occurrence of T. */
static size_t inside(const struct group *s, const struct group *t, int side)
{
    const struct row *a = rows_of(s, side), *b = rows_of(t, side);
    size_t n = 0;

    for (size_t i = 0; i < s->count[side]; i++)
        for (size_t k = 0; k < t->count[side]; k++)
            if (a[i].solo == b[k].solo && b[k].first <= a[i].first &&
                a[i].first + a[i].notes <= b[k].first + b[k].notes) {
                n++;
                break;
            }
    return n;
}

static void fold_group(struct group *s, int side)
{
    size_t best_inside = 0;

    for (size_t k = 0; k < group_count; k++) {
        const struct group *t = &groups[k], *best;
        int notes = rows[t->from].notes;
        size_t n;

        if (!t->pass[side] || notes <= rows[s->from].notes)
            continue;
        n = inside(s, t, side);
        if (n * 10 < s->count[side] * 9)
            continue;
        best = s->into[side] < 0 ? NULL : &groups[s->into[side]];
        /* Groups are in order, so that the first of equals stays. */
        if (best && (notes < rows[best->from].notes ||
                     (notes == rows[best->from].notes &&
                      (n < best_inside ||
                       (n == best_inside &&
                        t->count[side] <= best->count[side])))))
            continue;
        s->into[side] = (long)k;
        best_inside = n;
    }
}

static void fold_groups(void)
{
    for (int side = 0; side < 2; side++)
        for (size_t i = 0; i < group_count; i++)
            if (groups[i].pass[side])
                fold_group(&groups[i], side);
}

/* --- order ---------------------------------------------------------------- */

static int sort_side;
static enum cells_order sort_by;

static double entropy(double n)
{
    return n > 0 ? n * log(n) : 0;
}

/* The same ratio by another formula: entropies of the table's cells, rows and
 * columns. */
static double ratio_of(const struct group *g)
{
    int n = rows[g->from].notes;
    double a = (double)g->count[0], b = (double)g->count[1];
    double wa = (double)windows[0][n], wb = (double)windows[1][n];
    double ratio = 2 * (entropy(a) + entropy(b) + entropy(wa - a) +
                        entropy(wb - b) + entropy(wa + wb) - entropy(a + b) -
                        entropy(wa + wb - a - b) - entropy(wa) - entropy(wb));

    if (wa <= 0 || wb <= 0)
        return 0;
    return a * wb < b * wa ? -ratio : ratio;
}

static double weight_of(const struct group *g)
{
    bool keys[12] = { false };
    int different = 0;

    if (sort_by == CELLS_BY_COUNT)
        return (double)g->count[sort_side];
    if (sort_by == CELLS_BY_DISTINCT)
        return (sort_side ? -1 : 1) * round(ratio_of(g) * 1000);
    for (size_t i = 0; i < g->count[sort_side]; i++)
        keys[rows_of(g, sort_side)[i].root] = true;
    for (int i = 0; i < 12; i++)
        different += keys[i];
    return (double)g->solos[sort_side] * 100 + different;
}

static int compare_groups(const void *a, const void *b)
{
    const struct group *x = &groups[*(const size_t *)a];
    const struct group *y = &groups[*(const size_t *)b];
    double wx = weight_of(x), wy = weight_of(y);

    if (wx < wy || wx > wy)
        return wx > wy ? -1 : 1;
    if (x->count[sort_side] != y->count[sort_side])
        return x->count[sort_side] > y->count[sort_side] ? -1 : 1;
    if (rows[x->from].notes != rows[y->from].notes)
        return rows[y->from].notes - rows[x->from].notes;
    return compare_cells(&rows[x->from], &rows[y->from]);
}

/* --- both ----------------------------------------------------------------- */

static bool same_cell(const struct cell *cell, const struct row *row)
{
    struct cell_shape shape;

    cell_shape(&shape, cell);
    return shape.notes == row->notes && shape.class == row->class &&
           shape.start == row->start &&
           memcmp(shape.steps, row->steps, sizeof row->steps) == 0;
}

/* The cell of RESULT that is the group I; they come in one order. */
static void compare_cell(const struct cells_result *result, size_t at,
                         size_t i, const long *cell_of)
{
    const struct cell *cell = &result->cells[at];
    const struct group *g = &groups[i];

    ck_assert_msg(same_cell(cell, &rows[g->from]), "another cell at %zu", at);
    for (int side = 0; side < 2; side++) {
        ck_assert_uint_eq(cell->count[side], g->count[side]);
        ck_assert_uint_eq(cell->solos[side], g->solos[side]);
        ck_assert_int_eq(cell->into[side],
                         g->into[side] < 0 ? -1 : cell_of[g->into[side]]);
    }
}

static void compare_order(const struct cells_result *result,
                          const struct cells_query *query, int side)
{
    const struct cells_side_result *s = &result->sides[side];
    size_t *order = calloc(group_count + 1, sizeof *order), n = 0;
    size_t folded = 0, rare = 0;

    for (size_t i = 0; i < group_count; i++) {
        rare += groups[i].count[side] > 0 && !groups[i].pass[side];
        folded += groups[i].into[side] >= 0;
        if (groups[i].pass[side] && groups[i].into[side] < 0)
            order[n++] = i;
    }
    ck_assert_uint_eq(s->total, n);
    ck_assert_uint_eq(s->folded, folded);
    ck_assert_uint_eq(s->rare, rare);
    ck_assert_uint_eq(s->chordless, chordless[side]);
    ck_assert_uint_eq(s->solos.count, solo_counts[side]);
    for (int notes = 3; notes <= 7; notes++)
        ck_assert_uint_eq(s->windows[notes], windows[side][notes]);
    sort_side = side;
    sort_by = query->by;
    qsort(order, n, sizeof *order, compare_groups);
    ck_assert_uint_eq(s->shown, query->limit && query->limit < n ? query->limit
                                                                 : n);
    for (size_t i = 0; i < s->shown; i++)
        ck_assert_msg(same_cell(&result->cells[s->order[i]],
                                &rows[groups[order[i]].from]),
                      "another cell is at rank %zu of side %d", i + 1, side);
    free(order);
}

static void compare(const struct asked_cells *a,
                    const struct cells_query *query)
{
    long *cell_of = malloc((group_count + 1) * sizeof *cell_of);
    struct cells_result result;
    struct fault why = { 0 };
    long n = 0;

    ck_assert_int_eq(store_read_begin(twin_library.store, &why), ST_OK);
    ck_assert_msg(cells_run(&result, twin_library.store, query, &why) == ST_OK,
                  "%s", why.message);
    store_read_end(twin_library.store);
    for (size_t i = 0; i < group_count; i++)
        cell_of[i] = groups[i].pass[0] || groups[i].pass[1] ? n++ : -1;
    ck_assert_int_eq((long)result.count, n);
    for (size_t i = 0; i < group_count; i++)
        if (cell_of[i] >= 0)
            compare_cell(&result, (size_t)cell_of[i], i, cell_of);
    for (int side = 0; side < 1 + a->compare; side++)
        compare_order(&result, query, side);
    cells_free(&result);
    free(cell_of);
}

/* --- questions ------------------------------------------------------------ */

static const char *draw_performer(void)
{
    static const char *const players[] = { "Alder",  "Birch",   "Cedar",
                                           "Tobiah", "Odessa", "Lucan" };

    return players[chance(6)];
}

static void draw_conditions(struct asked_cells *a)
{
    const struct twin_solo *from =
        &twin_solos[chance((unsigned)twin_solo_count)];
    const struct solo *solo = from->solo->note_count > 8 ? from->solo : NULL;
    int first = solo ? (int)chance((unsigned)solo->note_count - 7) : 0;
    const struct chord *there;

    a->q.n = 3;
    if (one_in(3)) {
        there = solo ? twin_heard(solo, twin_window(solo, first, 3)) : NULL;
        a->q.over_count = 1;
        twin_ask_chord(&a->q.over[0], a->q.over_text, sizeof a->q.over_text,
                       there ? there->class : CHORD_DOMINANT, (int)chance(12),
                       one_in(3));
    }
    if (one_in(3))
        twin_draw_place(&a->q, solo, first);
    if (one_in(5))
        twin_draw_into(&a->q, solo, first);
}

static void draw(struct asked_cells *a)
{
    memset(a, 0, sizeof *a);
    a->performer = one_in(4) ? NULL : draw_performer();
    a->compare = one_in(2);
    a->versus = one_in(3) ? NULL : draw_performer();
    a->low = 3 + (int)chance(5);
    a->high = a->low + (int)chance((unsigned)(8 - a->low));
    a->min_count = 1 + chance(5);
    a->min_solos = chance(4);
    /* Every cell against every other takes its time. */
    a->fold = a->min_count > 1 && !one_in(4);
    draw_conditions(a);
}

static void ask_performer(struct filter *filter, const char *performer)
{
    struct fault why = { 0 };

    filter->count = performer != NULL;
    if (performer)
        ck_assert_int_eq(field_parse(&filter->terms[0], FIELD_PERFORMER,
                                     performer, &why),
                         ST_OK);
}

static void ask(struct cells_query *query, struct asked_cells *a)
{
    struct fault why = { 0 };

    memset(query, 0, sizeof *query);
    ask_performer(&query->filter, a->performer);
    ask_performer(&query->versus, a->versus);
    query->compare = a->compare;
    query->versus_others = a->compare && !a->versus;
    query->place = a->q.place;
    query->place.section = a->q.section[0] ? a->q.section : NULL;
    if (a->q.over_count > 0)
        ck_assert_int_eq(over_parse(&query->over, a->q.over_text, &why), ST_OK);
    if (a->q.has_into)
        ck_assert_int_eq(over_parse(&query->into, a->q.into_text, &why), ST_OK);
    query->notes_min = a->low;
    query->notes_max = a->high;
    query->min_count = (uint32_t)a->min_count;
    query->min_solos = (uint32_t)a->min_solos;
    query->fold = a->fold;
    query->by = a->compare ? (enum cells_order)chance(3)
                           : (enum cells_order)chance(2);
    query->limit = one_in(2) ? 0 : 1 + chance(30);
    query->threads = (int)chance(4);
}

static void run_case(struct asked_cells *a)
{
    struct cells_query query;

    ask(&query, a);
    take_rows(a);
    make_groups(a);
    if (a->fold)
        fold_groups();
    compare(a, &query);
}

START_TEST(cells_and_their_twin_agree)
{
    const char *wanted = getenv("CELLAR_TWIN_CASES");
    int cases = (wanted && wanted[0] ? atoi(wanted) : CASES) / CASES_A_QUESTION;
    size_t counted = 0, cells = 0, folded = 0;

    twin_library_build();
    rows = malloc(ROWS_MAX * sizeof *rows);
    groups = malloc(ROWS_MAX * sizeof *groups);
    for (int i = 0; i <= cases; i++) {
        struct asked_cells a;

        draw(&a);
        if (i == 0) { /* The whole library as it is asked by default. */
            memset(&a, 0, sizeof a);
            a.low = 3;
            a.high = 7;
            a.min_count = CELLS_MIN_COUNT;
            a.fold = true;
        }
        run_case(&a);
        counted += row_count;
        cells += group_count;
        for (size_t k = 0; k < group_count; k++)
            folded += groups[k].into[0] >= 0;
    }
    printf("cells twin: %d questions, %zu windows, %zu cells, %zu folded\n",
           cases + 1, counted, cells, folded);
    fflush(stdout);
    ck_assert_uint_gt(folded, 100);
    free(rows);
    free(groups);
    twin_library_free();
}
END_TEST

/* The code of TEXT among those met so far. */
static uint8_t code_of(void *context, enum strand_code kind, const char *text)
{
    char(*met)[STRAND_UNSAID][STRAND_VALUE_SIZE] = context;
    uint8_t code = 1;

    while (met[kind][code][0] && strcmp(met[kind][code], text) != 0)
        code++;
    snprintf(met[kind][code], STRAND_VALUE_SIZE, "%s", text);
    return code;
}

/* Every window of SOLO over the chord that solo_window_chord() has: the very
 * same symbol, or by strands one of its kind. */
static void check_windows(struct window_chords *w, const struct solo *solo)
{
    for (size_t n = 1; n <= 9; n++)
        for (size_t i = 0; i + n <= solo->note_count; i++) {
            int32_t note = window_chord(w, i, n);
            int32_t chord =
                note == WINDOW_NO_CHORD ? SOLO_NO_CHORD
                                        : solo->notes[note].heard;
            int32_t wanted = solo_window_chord(solo, i, n);

            if (w->solo || chord == SOLO_NO_CHORD) {
                ck_assert_int_eq(chord, wanted);
            } else {
                const struct chord *a = &solo->chords[chord].chord;
                const struct chord *b = &solo->chords[wanted].chord;

                ck_assert_int_ne(wanted, SOLO_NO_CHORD);
                ck_assert(chord_equal(a, b));
                ck_assert_int_eq(a->altered, b->altered);
                ck_assert_int_eq(a->sus, b->sus);
            }
        }
}

START_TEST(the_chords_of_all_windows_are_those_defined)
{
    static char met[CODE_KINDS][STRAND_UNSAID][STRAND_VALUE_SIZE];
    struct window_chords w = { 0 };
    size_t told = 0;

    twin_library_build();
    for (size_t at = 0; at < twin_solo_count; at++) {
        const struct solo *solo = twin_solos[at].solo;
        uint8_t *all = malloc(solo->note_count * STRANDS + 1), *out[STRANDS];
        struct window_strands strands;

        for (size_t s = 0; s < STRANDS; s++)
            out[s] = all + s * solo->note_count;
        strands_write(out, solo, code_of, met);
        strands = (struct window_strands){ out[STRAND_MIDI], out[STRAND_PLACE],
                                           out[STRAND_TONES],
                                           out[STRAND_MARK] };
        ck_assert_int_eq(window_chords_start(&w, solo, NULL), ST_OK);
        check_windows(&w, solo);
        if (window_strands_tell(&strands, solo->note_count)) {
            ck_assert_int_eq(
                window_chords_read(&w, &strands, solo->note_count, NULL),
                ST_OK);
            check_windows(&w, solo);
            told++;
        }
        free(all);
    }
    ck_assert_uint_gt(told, twin_solo_count / 2);
    window_chords_free(&w);
    twin_library_free();
}
END_TEST

Suite *cells_twin_suite(void)
{
    Suite *suite = suite_create("cells_twin");
    TCase *tests = tcase_create("cells_twin");

    tcase_set_timeout(tests, 600);
    tcase_add_test(tests, the_chords_of_all_windows_are_those_defined);
    tcase_add_test(tests, cells_and_their_twin_agree);
    suite_add_tcase(suite, tests);
    return suite;
}
