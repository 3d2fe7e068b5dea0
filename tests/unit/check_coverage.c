/* check_coverage.c - how much of a line is made of given cells. */
#include <stdio.h>
#include <string.h>

#include "query/coverage_cells.h"
#include "tests/unit/find_fixture.h"
#include "tests/unit/suites.h"

enum {
    ALL = 1000 /* notes of the line */
};

/* 5 b3 2 1 over minor; the same anywhere; 1 2 3 5 over major; its first three
 * notes anywhere. */
static const struct coverage_cell fall = {
    { 4, { -4, -1, -2 }, CHORD_MINOR, 7 }, { "5", "b3", "2", "1" }
};
static const struct coverage_cell fall_anywhere = {
    { 4, { -4, -1, -2 }, COVERAGE_ANY, COVERAGE_ANY }, { NULL }
};
static const struct coverage_cell climb = { { 4, { 2, 2, 3 }, CHORD_MAJOR, 0 },
                                            { "1", "2", "3", "5" } };
static const struct coverage_cell two_steps = {
    { 3, { 2, 2 }, COVERAGE_ANY, COVERAGE_ANY }, { NULL }
};

/* "cell 0 0-3, other 4-4": what the notes FIRST.. of SOLO are. */
static void spans_into(char *out, size_t size, const struct coverage *c)
{
    size_t used = 0;

    out[0] = '\0';
    for (size_t i = 0; i < c->span_count; i++) {
        const struct coverage_span *s = &c->spans[i];
        char what[20];

        snprintf(what, sizeof what, "cell %d", (int)s->cell);
        used += (size_t)snprintf(
            out + used, size - used, "%s%s %zu-%zu", i ? ", " : "",
            s->cell == COVERAGE_NO_CELL ? join_word(s->what) : what, s->first,
            s->last);
    }
}

static void check_cover(const char *line, size_t first, size_t count,
                        const struct coverage_cell *cells, size_t cell_count,
                        const char *spans, int share)
{
    struct solo *solo = fixture_solo("Nobody", line);
    struct coverage c;
    char text[400];

    if (count == ALL)
        count = solo->note_count;
    ck_assert_int_eq(
        coverage_make(&c, solo, first, count, cells, cell_count, NULL), ST_OK);
    spans_into(text, sizeof text, &c);
    ck_assert_str_eq(text, spans);
    ck_assert_int_eq(coverage_share(&c, 10000), share);
    coverage_free(&c);
    solo_free(solo);
}

START_TEST(cells_and_what_joins_them)
{
    const struct coverage_cell cells[] = { fall, climb };

    check_cover("[Dm7] A4 F4 E4 D4 B4 D5 [Cmaj7] C4 D4 E4 G4 F#4", 0, ALL,
                cells, 2, "cell 0 0-3, other 4-5, cell 1 6-9, other 10-10",
                7273);
}
END_TEST

START_TEST(a_bound_cell_wants_its_chord_and_degree)
{
    /* Over G7, and from the 9th of it: the notes alone do not do. */
    check_cover("[G7] A4 F4 E4 D4", 0, ALL, &fall, 1, "other 0-1, approach 2-3",
                0);
    check_cover("[G7] A4 F4 E4 D4", 0, ALL, &fall_anywhere, 1, "cell 0 0-3",
                10000);
    check_cover("[Dm7] E4 C4 B3 A3", 0, ALL, &fall, 1,
                "other 0-1, approach 2-3", 0);
    check_cover("[N.C.] A4 F4 E4 D4", 0, ALL, &fall, 1, "other 0-3", 0);
    check_cover("[N.C.] A4 F4 E4 D4", 0, ALL, &fall_anywhere, 1, "cell 0 0-3",
                10000);
}
END_TEST

START_TEST(most_notes_count_then_fewest_cells)
{
    const struct coverage_cell cells[] = { two_steps, climb };
    const struct coverage_cell turned[] = { climb, two_steps };

    /* The longer cell holds more, wherever it stands in the list. */
    check_cover("[Cmaj7] C4 D4 E4 G4", 0, ALL, cells, 2, "cell 1 0-3", 10000);
    check_cover("[Cmaj7] C4 D4 E4 G4", 0, ALL, turned, 2, "cell 0 0-3", 10000);
    /* The first place would spoil the two others. */
    check_cover("[Cmaj7] Bb3 C4 D4 E4 G4 A4 B4 C#5", 0, ALL, cells, 2,
                "other 0-0, cell 1 1-4, cell 0 5-7", 8750);
    /* Of two ways as good, the one that starts earlier. */
    check_cover("[F#7] C4 D4 E4 F#4", 0, ALL, cells, 1, "cell 0 0-2, other 3-3",
                7500);
}
END_TEST

START_TEST(a_passage_is_cut_out)
{
    const char *line = "[Dm7] A4 F4 E4 D4 A4 F4 E4 D4 A4 F4 E4 D4";

    check_cover(line, 0, ALL, &fall, 1, "cell 0 0-3, cell 0 4-7, cell 0 8-11",
                10000);
    check_cover(line, 1, 10, &fall, 1,
                "other 1-1, approach 2-3, cell 0 4-7, other 8-10", 4000);
    check_cover(line, 12, 0 /* notes */, &fall, 1, "", 0);
}
END_TEST

/* --- which cells ---------------------------------------------------------- */

#define FALL "[Dm7] A4 F4 E4 D4 "
#define OWN_HABIT "[G7] D5 G5 Eb5 F#4 "
#define SHARED_BY_TWO "[C6] C4 Ab4 B4 Db4 "

/* The first solo has a habit of its own, one it shares with one other solo,
 * and one of everybody's. */
static void put_habits(struct fixture *fixture)
{
    static const struct {
        const char *path, *performer, *line;
    } solos[] = {
        { "a.xml", "Ada",
          OWN_HABIT FALL OWN_HABIT OWN_HABIT SHARED_BY_TWO OWN_HABIT },
        { "b.xml", "Bo",
          FALL "C3 " FALL SHARED_BY_TWO "Bb2 " SHARED_BY_TWO SHARED_BY_TWO },
        { "c.xml", "Cy", "[Dm7] C6 B3 " FALL "F#5" },
        { "d.xml", "Cy", "[Dm7] Bb3 Bb5 " FALL "G#3" },
    };

    fixture_open(fixture);
    for (size_t i = 0; i < sizeof solos / sizeof *solos; i++)
        fixture_put(fixture, solos[i].path,
                    fixture_solo(solos[i].performer, solos[i].line));
    fixture_commit(fixture);
    ck_assert_int_eq(store_read_begin(fixture->store, NULL), ST_OK);
}

static bool holds_shape(const struct coverage_cells *cells,
                        const struct cell_shape *shape)
{
    struct coverage_cells copy = { 0 };
    bool held;

    /* What is held already is not added. */
    for (size_t i = 0; i < cells->count; i++)
        ck_assert_int_eq(
            coverage_cells_add(&copy, &cells->items[i].shape, NULL), ST_OK);
    ck_assert_int_eq(coverage_cells_add(&copy, shape, NULL), ST_OK);
    held = copy.count == cells->count;
    coverage_cells_free(&copy);
    return held;
}

/* The path's identity in the index. */
static int64_t id_of(struct fixture *fixture, const char *path)
{
    struct solo_list list = { 0 };
    int64_t id;

    ck_assert_int_eq(
        store_find_name(fixture->store, path, solo_list_add, &list, NULL),
        ST_OK);
    ck_assert_uint_eq(list.count, 1);
    id = list.items[0].id;
    solo_list_free(&list);
    return id;
}

START_TEST(the_commonest_are_those_of_other_solos)
{
    static const struct cell_shape own = {
        4, { 5, -4, -9 }, CHORD_DOMINANT, 7
    };
    static const struct cell_shape shared = {
        4, { 8, 3, -10 }, CHORD_MAJOR, 0
    };
    const struct filter all = { .count = 0 };
    struct coverage_cells cells = { 0 };
    struct fixture fixture;

    put_habits(&fixture);
    ck_assert_int_eq(coverage_cells_common(&cells, fixture.store, &all,
                                           id_of(&fixture, "a.xml"), 4, 7, 0,
                                           NULL),
                     ST_OK);
    ck_assert_uint_ge(cells.count, 1);
    ck_assert_mem_eq(cells.items[0].shape.steps, fall.shape.steps,
                     3 * sizeof(int));
    ck_assert_int_eq(cells.items[0].shape.class, CHORD_MINOR);
    ck_assert_int_eq(cells.items[0].shape.start, 7);
    ck_assert_str_eq(cells.items[0].degrees[1], "b3");
    ck_assert(!holds_shape(&cells, &own));
    ck_assert(!holds_shape(&cells, &shared));
    coverage_cells_free(&cells);
    /* Another solo sees the habit of these two in one solo only, too. */
    ck_assert_int_eq(coverage_cells_common(&cells, fixture.store, &all,
                                           id_of(&fixture, "c.xml"), 4, 7, 0,
                                           NULL),
                     ST_OK);
    ck_assert(holds_shape(&cells, &shared));
    ck_assert(!holds_shape(&cells, &own));
    coverage_cells_free(&cells);
    store_read_end(fixture.store);
    fixture_close(&fixture);
}
END_TEST

START_TEST(the_commonest_come_first_and_to_a_limit)
{
    const struct filter all = { .count = 0 };
    struct coverage_cells cells = { 0 }, first = { 0 };
    struct fixture fixture;

    put_habits(&fixture);
    ck_assert_int_eq(
        coverage_cells_common(&cells, fixture.store, &all, -1, 3, 7, 0, NULL),
        ST_OK);
    ck_assert_uint_gt(cells.count, 1);
    ck_assert_int_eq(
        coverage_cells_common(&first, fixture.store, &all, -1, 3, 7, 1, NULL),
        ST_OK);
    ck_assert_uint_eq(first.count, 1);
    ck_assert_mem_eq(&first.items[0].shape, &cells.items[0].shape,
                     sizeof first.items[0].shape);
    coverage_cells_free(&cells);
    coverage_cells_free(&first);
    store_read_end(fixture.store);
    fixture_close(&fixture);
}
END_TEST

/* What --cell takes, and what it says of the rest. */
static const struct {
    const char *text, *over;
    enum status status;
    const char *says;
    int class, start;
} given[] = {
    { "5 b3 2 1", "m7", ST_OK, "", CHORD_MINOR, 7 },
    { "5 b3 2 1", "dominant", ST_OK, "", CHORD_DOMINANT, 7 },
    { "A4 F4 E4 D4", NULL, ST_OK, "", COVERAGE_ANY, COVERAGE_ANY },
    { "A4 F4 E4 D4", "Dm7", ST_OK, "", CHORD_MINOR, 7 },
    { "-4 -1", "m7", ST_OK, "", CHORD_MINOR, COVERAGE_ANY },
    { "A4 F4", NULL, ST_USAGE, "a cell has 3 to 7 notes, this has 2", 0, 0 },
    { "C D E F G A B C", NULL, ST_USAGE, "this has 8", 0, 0 },
    { "C ? E", NULL, ST_USAGE, "no `?`", 0, 0 },
    { "C:8 D:8 E:4", NULL, ST_USAGE, "leave out the note values", 0, 0 },
    { "5 b3 2 1", "m7|7", ST_USAGE, "one kind of chord", 0, 0 },
    { "5 b3 2 1", "ii7", ST_USAGE, "one kind of chord", 0, 0 },
    { "5 x 2", "m7", ST_SYNTAX, "--cell '5 x 2'", 0, 0 },
    { "5 b3 2", "mm", ST_SYNTAX, "--over 'mm'", 0, 0 },
};

START_TEST(cells_are_read_as_fragments)
{
    struct option_list list = { { given[_i].text }, 1 };
    struct coverage_cells cells = { 0 };
    struct fault why = { 0 };

    ck_assert_int_eq(coverage_cells_read(&cells, &list, given[_i].over, &why),
                     given[_i].status);
    if (given[_i].status == ST_OK) {
        ck_assert_uint_eq(cells.count, 1);
        ck_assert_int_eq(cells.items[0].shape.class, given[_i].class);
        ck_assert_int_eq(cells.items[0].shape.start, given[_i].start);
    } else {
        ck_assert_msg(strstr(why.message, given[_i].says), "%s", why.message);
    }
    coverage_cells_free(&cells);
}
END_TEST

/* A bank of two cells: one kept over a chord, one over any. */
static void keep_bank(const char *library)
{
    struct kept_cell cells[] = {
        { .cell = { 4, { -4, -1, -2 }, CHORD_MINOR, 7, "5 b3 2 1", "m7" },
          .given = "5 b3 2 1",
          .note = "",
          .origin = "" },
        { .cell = { 3, { 2, 2 }, COVERAGE_ANY, COVERAGE_ANY, "", "" },
          .given = "+2 +2",
          .note = "",
          .origin = "" },
    };
    struct notebook *notebook;
    bool new[2];

    ck_assert_int_eq(notebook_open(&notebook, library, NOTEBOOK_WRITE, NULL),
                     ST_OK);
    ck_assert_int_eq(notebook_new_bank(notebook, "Warm-up", NULL), ST_OK);
    ck_assert_int_eq(
        notebook_add_cells(notebook, "Warm-up", cells, new, 2, NULL), ST_OK);
    notebook_close(notebook);
}

START_TEST(a_bank_gives_its_cells)
{
    struct coverage_cells cells = { 0 };
    char found[BANK_NAME_SIZE];
    struct fault why = { 0 };
    struct fixture fixture;

    fixture_open(&fixture);
    ck_assert_int_eq(
        coverage_cells_bank(&cells, fixture.folder, "warm-up", found, &why),
        ST_NOTHING);
    ck_assert_str_eq(
        why.message,
        "there are no banks yet; 'cellar bank new mine' makes one");
    keep_bank(fixture.folder);
    ck_assert_int_eq(
        coverage_cells_bank(&cells, fixture.folder, "warm-up", found, &why),
        ST_OK);
    ck_assert_str_eq(found, "Warm-up");
    ck_assert_uint_eq(cells.count, 2);
    check_cover("[Dm7] A4 F4 E4 D4 [G7] C4 D4 E4 A4 F4 E4 D4", 0, ALL,
                cells.items, 2,
                "cell 0 0-3, cell 1 4-6, other 7-8, "
                "approach 9-10",
                6364);
    ck_assert_str_eq(cells.items[0].degrees[3], "1");
    ck_assert_ptr_null(cells.items[1].degrees[0]);
    coverage_cells_free(&cells);
    fixture_close(&fixture);
}
END_TEST

Suite *coverage_suite(void)
{
    Suite *suite = suite_create("coverage");
    TCase *tests = tcase_create("coverage");

    tcase_add_test(tests, cells_and_what_joins_them);
    tcase_add_test(tests, a_bound_cell_wants_its_chord_and_degree);
    tcase_add_test(tests, most_notes_count_then_fewest_cells);
    tcase_add_test(tests, a_passage_is_cut_out);
    tcase_add_test(tests, the_commonest_are_those_of_other_solos);
    tcase_add_test(tests, the_commonest_come_first_and_to_a_limit);
    tcase_add_test(tests, a_bank_gives_its_cells);
    tcase_add_loop_test(tests, cells_are_read_as_fragments, 0,
                        sizeof given / sizeof *given);
    suite_add_tcase(suite, tests);
    return suite;
}
