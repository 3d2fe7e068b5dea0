/* check_cells.c - recurring cells: counting, folding, what sets them apart,
 * how they are used. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "query/cells_words.h"
#include "schema/field.h"
#include "tests/unit/find_fixture.h"
#include "tests/unit/suites.h"

static struct fixture fixture;
static struct cells_query query;
static struct cells_result result;

static void setup(void)
{
    fixture_open(&fixture);
    query = (struct cells_query){ .notes_min = CELLS_NOTES_MIN,
                                  .notes_max = CELLS_NOTES_MAX,
                                  .min_count = 1,
                                  .min_solos = 1 };
}

static void teardown(void)
{
    cells_free(&result);
    store_read_end(fixture.store);
    fixture_close(&fixture);
}

static void run(void)
{
    struct fault why = { 0 };

    fixture_commit(&fixture);
    ck_assert_int_eq(store_read_begin(fixture.store, &why), ST_OK);
    ck_assert_msg(cells_run(&result, fixture.store, &query, &why) == ST_OK,
                  "%s", why.message);
}

static void put(const char *path, const char *text, int up)
{
    fixture_put(&fixture, path, fixture_solo_up("Ada", text, up));
}

/* "5 b3 2 1 over minor 2 in 1; ..." of those in order, best first. */
static const char *in_order(enum cells_side side)
{
    static char out[4096];
    const struct cells_side_result *s = &result.sides[side];

    *out = '\0';
    for (size_t i = 0; i < s->shown; i++) {
        const struct cell *cell = &result.cells[s->order[i]];
        char degrees[CELLS_TEXT_SIZE];
        struct cell_shape shape;
        size_t used = strlen(out);

        cell_shape(&shape, cell);
        snprintf(out + used, sizeof out - used, "%s%s over %s %u in %u",
                 i ? "; " : "", cells_degrees_text(degrees, &shape),
                 chord_class_name(shape.class), cell->count[side],
                 cell->solos[side]);
    }
    return out;
}

/* --- counting ------------------------------------------------------------- */

START_TEST(a_cell_is_counted_in_every_key)
{
    query.notes_min = query.notes_max = 4;
    query.min_count = 2;
    put("a.xml", "[Dm7] A4 F4 E4 D4 [Gm9] D5 Bb4 A4 G4", 0);
    put("b.xml", "[Dm7] A4 F4 E4 D4", 3);
    run();
    ck_assert_str_eq(in_order(CELLS_OWN), "5 b3 2 1 over minor 3 in 2");
    ck_assert_uint_eq(result.sides[CELLS_OWN].windows[4], 6);
    ck_assert_uint_eq(result.sides[CELLS_OWN].rare, 3);
}
END_TEST

/* Five equal notes hold three cells of three. */
START_TEST(overlapping_occurrences_count)
{
    query.notes_min = query.notes_max = 3;
    put("a.xml", "[Dm7] D4 D4 D4 D4 D4", 0);
    run();
    ck_assert_str_eq(in_order(CELLS_OWN), "1 1 1 over minor 3 in 1");
}
END_TEST

START_TEST(no_chord_is_left_out_and_told)
{
    query.notes_min = query.notes_max = 3;
    put("a.xml", "A4 F4 E4 D4:4 [N.C.] A4 F4 E4:1 [G7] G4 B4 D5", 0);
    run();
    /* Of two notes under N.C. or nothing and one over G7, G7 it is. */
    ck_assert_str_eq(in_order(CELLS_OWN), "1 3 5 over dominant 1 in 1; "
                     "13 1 3 over dominant 1 in 1; "
                     "b7 6 1 over dominant 1 in 1");
    ck_assert_uint_eq(result.sides[CELLS_OWN].chordless, 5);
}
END_TEST

START_TEST(one_solo_alone_needs_to_recur_in_none_other)
{
    query.notes_min = query.notes_max = 3;
    query.min_count = 2;
    query.min_solos = 0;
    put("a.xml", "[C] C4 E4 G4 r:4 C4 E4 G4", 0);
    run();
    ck_assert_uint_eq(result.sides[CELLS_OWN].min_solos, 1);
    ck_assert_str_eq(in_order(CELLS_OWN), "1 3 5 over major 2 in 1");
}
END_TEST

START_TEST(equal_counts_go_by_length_then_by_what_they_are)
{
    query.notes_min = 3;
    query.notes_max = 4;
    put("a.xml", "[C] C4 E4 G4 A4:2 [Dm7] D4:1 F4 A4 B4", 0);
    run();
    ck_assert_str_eq(in_order(CELLS_OWN),
                     "1 3 5 6 over major 1 in 1; 3 5 6 9 over major 1 in 1; "
                     "5 6 9 11 over major 1 in 1; 1 b3 5 6 over minor 1 in 1; "
                     "5 1 b3 5 over minor 1 in 1; 1 3 5 over major 1 in 1; "
                     "3 5 6 over major 1 in 1; 5 6 9 over major 1 in 1; "
                     "1 b3 5 over minor 1 in 1; b3 5 6 over minor 1 in 1; "
                     "5 1 b3 over minor 1 in 1");
}
END_TEST

/* --- folding -------------------------------------------------------------- */

/* N times LINE after one another. */
static void repeat(char *out, size_t size, const char *line, int n)
{
    for (int i = 0; i < n; i++) {
        size_t used = strlen(out);

        snprintf(out + used, size - used, " %s", line);
    }
}

/* "b3 2 1" stands nine times in ten inside "5 b3 2 1", and is folded; at eight
 * times in ten it is not. */
static void fold_with(int inside, int alone, bool folded)
{
    char text[4096] = "[Dm7]";
    const struct cell *cell = NULL;
    int steps[] = { -1, -2 };

    query.notes_max = 4;
    query.min_count = 3;
    query.fold = true;
    repeat(text, sizeof text, "A4 F4 E4 D4 C6", inside / 2);
    repeat(text, sizeof text, "A4 F4 E4 D4 G6", inside - inside / 2);
    repeat(text, sizeof text, "C5 F4 E4 D4 B2", alone / 2);
    repeat(text, sizeof text, "E4 F4 E4 D4 G6", alone - alone / 2);
    put("a.xml", text, 0);
    run();
    for (size_t i = 0; i < result.count; i++)
        if (result.cells[i].key == cell_key(3, steps, CHORD_MINOR, 3))
            cell = &result.cells[i];
    ck_assert_ptr_nonnull(cell);
    ck_assert_uint_eq(cell->count[CELLS_OWN], (unsigned)(inside + alone));
    ck_assert_int_eq(cell->into[CELLS_OWN] != CELLS_NOT_FOLDED, folded);
    if (folded) {
        struct cell_shape shape;

        cell_shape(&shape, &result.cells[cell->into[CELLS_OWN]]);
        ck_assert_int_eq(shape.notes, 4);
        ck_assert_int_eq(shape.start, 7);
    }
}

START_TEST(nine_in_ten_are_folded)
{
    fold_with(18, 2, true);
}
END_TEST

START_TEST(eight_in_nine_are_not)
{
    fold_with(16, 2, false);
}
END_TEST

/* Of five "1 1 1" in seven equal notes one has no such note before, one none
 * after, and yet all stand inside. */
START_TEST(a_longer_cell_may_hold_a_shorter_one_often)
{
    const struct cell *cell = NULL;
    struct cell_shape shape;
    int steps[] = { 0, 0 };

    query.min_count = 3;
    query.fold = true;
    put("a.xml",
        "[Dm7] A4 D4 D4 D4 D4 D4 D4 D4 C5 B4 D4 D4 D4 D4 D4 D4 D4 G4 "
        "F4 D4 D4 D4 D4 D4 D4 D4 E5",
        0);
    run();
    for (size_t i = 0; i < result.count; i++)
        if (result.cells[i].key == cell_key(3, steps, CHORD_MINOR, 0))
            cell = &result.cells[i];
    ck_assert_ptr_nonnull(cell);
    ck_assert_uint_eq(cell->count[CELLS_OWN], 15);
    ck_assert_int_ne(cell->into[CELLS_OWN], CELLS_NOT_FOLDED);
    cell_shape(&shape, &result.cells[cell->into[CELLS_OWN]]);
    ck_assert_int_eq(shape.notes, 7);
    ck_assert_str_eq(in_order(CELLS_OWN),
                     "1 1 1 1 1 1 1 over minor 3 in 1");
}
END_TEST

START_TEST(what_is_held_is_told)
{
    const struct cells_side_result *own = &result.sides[CELLS_OWN];
    size_t held = 0;

    query.min_count = 3;
    query.fold = true;
    put("a.xml", "[Dm7] A4 F4 E4 D4 C6 A4 F4 E4 D4 B6 A4 F4 E4 D4 C2", 0);
    run();
    ck_assert_str_eq(in_order(CELLS_OWN), "5 b3 2 1 over minor 3 in 1");
    for (int32_t i = own->holds[own->order[0]]; i >= 0; i = own->next_held[i])
        held++;
    ck_assert_uint_eq(held, 2);
    ck_assert_uint_eq(own->folded, 2);
}
END_TEST

/* --- what sets cells apart ------------------------------------------------ */

/* Computed by R 4.2.2 (Debian's r-base-core), where m is
 * matrix(c(count, windows - count, other, other_windows - other), 2):
 *     loglin(m, list(1, 2), print = FALSE)$lrt
 */
static const struct {
    uint64_t count, windows, other, other_windows;
    const char *ratio;
} by_r[] = {
    { 116, 3166, 2, 5800, "225.715" },
    { 10, 1000, 10, 1000, "0.000" },
    { 0, 1000, 25, 2000, "-20.378" },
    { 25, 2000, 0, 1000, "20.378" },
    { 3, 500, 30, 900, "-12.827" },
    { 1, 31777, 0, 14000, "0.730" },
    { 40000, 5000000, 39000, 5100000, "40.523" },
    { 7, 7, 3, 90, "38.068" },
    /* The same program; "the swiss" in the article has 270.72 (from
     * memory). */
    { 110, 2552, 111, 29225, "270.722" },
};

START_TEST(the_ratio_is_what_a_statistics_program_has)
{
    char text[32];

    ck_assert_str_eq(
        cells_thousandths(text,
                          cells_likelihood(by_r[_i].count, by_r[_i].windows,
                                           by_r[_i].other,
                                           by_r[_i].other_windows),
                          false),
        by_r[_i].ratio);
}
END_TEST

START_TEST(nothing_to_compare_with_is_no_difference)
{
    ck_assert_int_eq(cells_likelihood(5, 100, 0, 0), 0);
    ck_assert_int_eq(cells_likelihood(0, 0, 5, 100), 0);
}
END_TEST

START_TEST(a_comparison_says_what_marks_each)
{
    query.notes_min = query.notes_max = 4;
    query.min_count = 2;
    query.compare = query.versus_others = true;
    query.by = CELLS_BY_DISTINCT;
    query.filter.count = 1;
    query.filter.terms[0].field = FIELD_PERFORMER;
    query.filter.terms[0].text = "Ada";
    put("a.xml", "[Dm7] A4 F4 E4 D4 C6 A4 F4 E4 D4 C6 C4 E4 G4 C5", 0);
    fixture_put(&fixture, "b.xml",
                fixture_solo("Bo", "[Dm7] C4 E4 G4 C5 G6 C4 E4 G4 C5 D2 F3"));
    run();
    ck_assert_str_eq(in_order(CELLS_OWN),
                     "b3 2 1 b7 over minor 2 in 1; "
                     "5 b3 2 1 over minor 2 in 1");
    ck_assert_str_eq(in_order(CELLS_VERSUS), "b7 9 11 b7 over minor 2 in 1");
    /* Once in 11 windows here, twice in 8 there: less is negative. */
    ck_assert_int_lt(
        cell_distinct(&result,
                      &result.cells[result.sides[CELLS_VERSUS].order[0]]), 0);
}
END_TEST

/* --- how they are used ---------------------------------------------------- */

START_TEST(details_say_how_a_cell_is_used)
{
    char text[CELLS_TEXT_SIZE], strip[CELLS_STRIP_SIZE];
    struct cell_detail d;

    query.notes_min = query.notes_max = 4;
    query.min_count = 2;
    /* From beat 1 in eighths, and from beat 2 with a longer last note, which
     * the next chord follows. */
    put("a.xml", "[Dm7] A4 F4 E4 D4 r:2 r:4 [Gm7] D5 Bb4 A4 G4:4 [C7] E4", 0);
    run();
    ck_assert_str_eq(in_order(CELLS_OWN), "5 b3 2 1 over minor 2 in 1");
    ck_assert_int_eq(cells_detail(&d, &result, fixture.store, CELLS_OWN,
                                  result.sides[CELLS_OWN].order, 1, false,
                                  NULL),
                     ST_OK);
    ck_assert_str_eq(cells_strip(strip, d.keys), "..1....1....");
    ck_assert_str_eq(cells_beats_text(text, &d, 3), "1 (1), 2 (1)");
    ck_assert_str_eq(cells_rhythms_text(text, &d, 3),
                     "8 8 8 8 (1), 8 8 8 4 (1)");
    ck_assert_str_eq(cells_rhythms_text(text, &d, 1), "8 8 8 8 (1), 1 more");
    ck_assert_str_eq(cells_beside_text(text, &d.after, false, 3),
                     "5 of the minor a fourth above (1), "
                     "3 of the dominant a fourth above (1)");
    ck_assert_str_eq(cells_beside_text(text, &d.before, false, 3),
                     "nothing (1), 1 of the minor a fifth above (1)");
    ck_assert_uint_eq(d.example_count, 2);
    ck_assert_int_eq(d.examples[0].first, 0);
    cells_detail_free(&d, 1);
}
END_TEST

/* The best of each solo come before a second one of the same. */
START_TEST(examples_come_from_several_solos)
{
    struct cell_detail d;

    query.notes_min = query.notes_max = 3;
    query.min_count = 4;
    put("a.xml", "[C] C4 E4 G4 r:8 r:2 C4 E4 G4 r:8 r:2 C4 E4 G4", 0);
    put("b.xml", "[C] r:8 C4 E4 G4", 0);
    run();
    ck_assert_int_eq(cells_detail(&d, &result, fixture.store, CELLS_OWN,
                                  result.sides[CELLS_OWN].order, 1, false,
                                  NULL),
                     ST_OK);
    ck_assert_uint_eq(d.example_count, 3);
    ck_assert_uint_eq(d.examples[0].index, 0);
    ck_assert_uint_eq(d.examples[1].index, 1);
    ck_assert_uint_eq(d.examples[2].index, 0);
    ck_assert_str_eq(d.examples[1].number, "1");
    cells_detail_free(&d, 1);
}
END_TEST

/* A key and what it stands for. */
START_TEST(a_shape_survives_its_key)
{
    int steps[] = { -127, 127, 0, 1, -1, 12 };

    for (int n = CELLS_NOTES_MIN; n <= CELLS_NOTES_MAX; n++) {
        struct cell cell = { .key = cell_key(n, steps, CHORD_OTHER, 11) };
        struct cell_shape shape;

        cell_shape(&shape, &cell);
        ck_assert_int_eq(shape.notes, n);
        ck_assert_int_eq(shape.class, CHORD_OTHER);
        ck_assert_int_eq(shape.start, 11);
        for (int i = 0; i + 1 < n; i++)
            ck_assert_int_eq(shape.steps[i], steps[i]);
    }
}
END_TEST

Suite *cells_suite(void)
{
    Suite *suite = suite_create("cells");
    TCase *tests = tcase_create("cells");

    tcase_add_checked_fixture(tests, setup, teardown);
    tcase_add_test(tests, a_cell_is_counted_in_every_key);
    tcase_add_test(tests, overlapping_occurrences_count);
    tcase_add_test(tests, no_chord_is_left_out_and_told);
    tcase_add_test(tests, one_solo_alone_needs_to_recur_in_none_other);
    tcase_add_test(tests, equal_counts_go_by_length_then_by_what_they_are);
    tcase_add_test(tests, nine_in_ten_are_folded);
    tcase_add_test(tests, eight_in_nine_are_not);
    tcase_add_test(tests, a_longer_cell_may_hold_a_shorter_one_often);
    tcase_add_test(tests, what_is_held_is_told);
    tcase_add_loop_test(tests, the_ratio_is_what_a_statistics_program_has, 0,
                        sizeof by_r / sizeof *by_r);
    tcase_add_test(tests, nothing_to_compare_with_is_no_difference);
    tcase_add_test(tests, a_comparison_says_what_marks_each);
    tcase_add_test(tests, details_say_how_a_cell_is_used);
    tcase_add_test(tests, examples_come_from_several_solos);
    tcase_add_test(tests, a_shape_survives_its_key);
    suite_add_tcase(suite, tests);
    return suite;
}
