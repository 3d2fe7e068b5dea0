/* check_notebook_bank.c - banks in the notebook. */
#include <stdio.h>
#include <string.h>

#include "schema/notebook_bank.h"
#include "tests/unit/notebook_fixture.h"
#include "tests/unit/suites.h"

static struct notebook *notebook;
static struct fault why;

static void setup(void)
{
    notebook_make_folder();
    notebook = notebook_opened(NOTEBOOK_WRITE);
    why = (struct fault){ 0 };
}

static void teardown(void)
{
    notebook_close(notebook);
    notebook_remove_folder();
}

/* A cell of three notes, told apart by its first step. */
static struct kept_cell cell_of(int step)
{
    struct kept_cell kept = { .cell = { .count = 3,
                                        .intervals = { step, -2 },
                                        .class = CHORD_MINOR,
                                        .start = 7,
                                        .degrees = "5 b3 2",
                                        .over = "m7" },
                              .given = "A F E",
                              .note = "",
                              .origin = "typed",
                              .added = 1000 + step };

    return kept;
}

static void new_bank(const char *name)
{
    ck_assert_msg(notebook_new_bank(notebook, name, &why) == ST_OK, "%s",
                  why.message);
}

/* Add the cells of the COUNT STEPS; "1+ 2": their numbers, + a new one. */
static const char *added(const char *name, const int *steps, size_t count)
{
    static char out[100];
    struct kept_cell cells[8];
    bool new[8];

    out[0] = '\0';
    for (size_t i = 0; i < count; i++)
        cells[i] = cell_of(steps[i]);
    ck_assert_msg(notebook_add_cells(notebook, name, cells, new, count,
                                     &why) == ST_OK,
                  "%s", why.message);
    for (size_t i = 0; i < count; i++)
        sprintf(out + strlen(out), "%s%d%s", i ? " " : "", cells[i].number,
                new[i] ? "+" : "");
    return out;
}

static bool list_step(void *context, const struct kept_cell *kept)
{
    char *out = context;

    sprintf(out + strlen(out), "%s%d=%d%s%s", *out ? " " : "", kept->number,
            kept->cell.intervals[0], *kept->note ? ":" : "", kept->note);
    return true;
}

/* "1=4 2=5:slow": numbers, first steps, remarks. */
static const char *held(const char *name)
{
    static char out[2000], found[BANK_NAME_SIZE];

    out[0] = '\0';
    ck_assert_msg(notebook_bank_cells(notebook, name, found, list_step, out,
                                      &why) == ST_OK,
                  "%s", why.message);
    return out;
}

static bool list_bank(void *context, const char *name, int64_t cells)
{
    char *out = context;

    sprintf(out + strlen(out), "%s%s=%d", *out ? " " : "", name, (int)cells);
    return true;
}

static const char *banks(void)
{
    static char out[2000];

    out[0] = '\0';
    ck_assert_int_eq(notebook_banks(notebook, list_bank, out, &why), ST_OK);
    return out;
}

static const int steps[] = { 1, 2, 3, 4, 5 };

START_TEST(banks_come_by_name_with_their_cells)
{
    ck_assert_str_eq(banks(), "");
    new_bank("minor");
    new_bank("Altered");
    added("minor", steps, 2);
    ck_assert_str_eq(banks(), "Altered=0 minor=2");
}
END_TEST

START_TEST(names_do_not_differ_by_case_or_accent)
{
    int64_t cells;

    new_bank("Déjà");
    ck_assert_int_eq(notebook_new_bank(notebook, "DEJA", &why), ST_USAGE);
    ck_assert_ptr_nonnull(strstr(why.message, "'Déjà'"));
    ck_assert_str_eq(added("deja", steps, 1), "1+");
    new_bank("other");
    ck_assert_int_eq(notebook_rename_bank(notebook, "other", "dejà", &why),
                     ST_USAGE);
    ck_assert_int_eq(notebook_rename_bank(notebook, "deja", "Deja", &why),
                     ST_OK);
    ck_assert_str_eq(banks(), "Deja=1 other=0");
    ck_assert_int_eq(notebook_delete_bank(notebook, "DÉJÀ", &cells, &why),
                     ST_OK);
    ck_assert_int_eq((int)cells, 1);
    ck_assert_str_eq(banks(), "other=0");
}
END_TEST

START_TEST(the_cells_go_with_their_bank)
{
    int64_t cells;

    new_bank("a");
    added("a", steps, 5);
    ck_assert_int_eq(notebook_delete_bank(notebook, "a", &cells, &why), ST_OK);
    ck_assert_int_eq((int)cells, 5);
    new_bank("a");
    ck_assert_str_eq(held("a"), "");
}
END_TEST

START_TEST(a_bank_that_is_not_there_is_said)
{
    struct kept_cell cell = cell_of(1);
    char found[BANK_NAME_SIZE], out[100] = "";
    int32_t number = 1;
    int64_t cells;
    bool new;

    ck_assert_int_eq(
        notebook_add_cells(notebook, "x", &cell, &new, 1, &why), ST_NOTHING);
    ck_assert_int_eq(notebook_drop_cells(notebook, "x", &number, 1, NULL, NULL,
                                         &why),
                     ST_NOTHING);
    ck_assert_int_eq(notebook_note_cell(notebook, "x", 1, "a", &why),
                     ST_NOTHING);
    ck_assert_int_eq(notebook_rename_bank(notebook, "x", "y", &why),
                     ST_NOTHING);
    ck_assert_int_eq(notebook_delete_bank(notebook, "x", &cells, &why),
                     ST_NOTHING);
    ck_assert_int_eq(notebook_bank_cells(notebook, "x", found, list_step, out,
                                         &why),
                     ST_NOTHING);
    ck_assert_str_eq(why.message, "there is no bank 'x'");
}
END_TEST

START_TEST(a_cell_is_in_a_bank_once)
{
    const int again[] = { 2, 6, 6, 1 };
    struct kept_cell other;
    bool new;

    new_bank("a");
    new_bank("b");
    ck_assert_str_eq(added("a", steps, 3), "1+ 2+ 3+");
    ck_assert_str_eq(added("a", again, 4), "2 4+ 4 1");
    ck_assert_str_eq(held("a"), "1=1 2=2 3=3 4=6");
    ck_assert_str_eq(added("b", again, 1), "1+");
    /* What is in already comes back as it is written there. */
    other = cell_of(1);
    other.cell.over[0] = '\0';
    ck_assert_int_eq(notebook_add_cells(notebook, "a", &other, &new, 1, &why),
                     ST_OK);
    ck_assert(!new);
    ck_assert_str_eq(other.cell.over, "m7");
    /* The same notes over another class, or from another degree. */
    other = cell_of(1);
    other.cell.class = -1;
    ck_assert_int_eq(notebook_add_cells(notebook, "a", &other, &new, 1, &why),
                     ST_OK);
    ck_assert(new);
    other = cell_of(1);
    other.cell.start = 2;
    ck_assert_int_eq(notebook_add_cells(notebook, "a", &other, &new, 1, &why),
                     ST_OK);
    ck_assert(new);
    ck_assert_int_eq(other.number, 6);
}
END_TEST

START_TEST(numbers_close_up)
{
    const int32_t drop[] = { 4, 2, 4 };
    const int more[] = { 9 };
    char gone[100] = "";

    new_bank("a");
    added("a", steps, 5);
    ck_assert_int_eq(notebook_drop_cells(notebook, "a", drop, 3, list_step,
                                         gone, &why),
                     ST_OK);
    ck_assert_str_eq(held("a"), "1=1 2=3 3=5");
    ck_assert_str_eq(gone, "4=4 2=2 4=4");
    /* A new cell goes to the end also where the last one went. */
    ck_assert_int_eq(notebook_drop_cells(notebook, "a", (int32_t[]){ 3 }, 1,
                                         NULL, NULL, &why),
                     ST_OK);
    ck_assert_str_eq(added("a", more, 1), "3+");
    ck_assert_str_eq(held("a"), "1=1 2=3 3=9");
}
END_TEST

START_TEST(dropping_is_all_or_none)
{
    static const int32_t wrong[][2] = { { 1, 6 }, { 1, 0 }, { 1, -1 } };

    new_bank("a");
    added("a", steps, 5);
    for (size_t i = 0; i < 3; i++)
        ck_assert_int_eq(notebook_drop_cells(notebook, "a", wrong[i], 2, NULL,
                                             NULL, &why),
                         ST_USAGE);
    ck_assert_str_eq(held("a"), "1=1 2=2 3=3 4=4 5=5");
}
END_TEST

START_TEST(remarks_are_written_and_taken_away)
{
    new_bank("a");
    added("a", steps, 2);
    ck_assert_int_eq(notebook_note_cell(notebook, "a", 2, "slow", &why),
                     ST_OK);
    ck_assert_str_eq(held("a"), "1=1 2=2:slow");
    ck_assert_int_eq(notebook_note_cell(notebook, "a", 2, "", &why), ST_OK);
    ck_assert_str_eq(held("a"), "1=1 2=2");
    ck_assert_int_eq(notebook_note_cell(notebook, "a", 3, "x", &why),
                     ST_USAGE);
    ck_assert_ptr_nonnull(strstr(why.message, "has 2"));
}
END_TEST

static bool copy_cell(void *context, const struct kept_cell *kept)
{
    struct kept_cell *out = context;

    ck_assert_str_eq(kept->given, "A F E");
    ck_assert_str_eq(kept->origin, "typed");
    *out = *kept;
    return true;
}

START_TEST(a_cell_comes_back_as_it_was)
{
    struct kept_cell in = cell_of(-127), out;
    char found[BANK_NAME_SIZE];
    bool new;

    in.cell.count = CELL_NOTES_MAX;
    for (int i = 0; i < CELL_STEPS_MAX; i++)
        in.cell.intervals[i] = -127;
    in.cell.class = CHORD_HALF_DIMINISHED;
    in.cell.start = 0;
    new_bank("a");
    ck_assert_int_eq(notebook_add_cells(notebook, "a", &in, &new, 1, &why),
                     ST_OK);
    notebook_close(notebook);
    notebook = notebook_opened(NOTEBOOK_WRITE);
    ck_assert_int_eq(notebook_bank_cells(notebook, "A", found, copy_cell, &out,
                                         &why),
                     ST_OK);
    ck_assert_str_eq(found, "a");
    ck_assert(placed_cell_equal(&in.cell, &out.cell));
    ck_assert_str_eq(out.cell.degrees, "5 b3 2");
    ck_assert_str_eq(out.cell.over, "m7");
    ck_assert_int_eq((int)out.added, 873);
}
END_TEST

START_TEST(a_cell_that_is_none_is_damage)
{
    static const char *const changes[] = {
        "intervals = '1 2 3 4 5 6 7'", "intervals = '1'", "intervals = '1 x'",
        "intervals = '1 200'", "class = 'mauve'", "start = 12",
        "degrees = printf('%100d', 1)"
    };
    char found[BANK_NAME_SIZE], out[100] = "", sql[120];

    new_bank("a");
    added("a", steps, 1);
    for (size_t i = 0; i < sizeof changes / sizeof *changes; i++) {
        notebook_run_sql("UPDATE bank_cell SET intervals = '1 2',"
                         " class = 'minor', start = 7, degrees = '5'");
        held("a");
        snprintf(sql, sizeof sql, "UPDATE bank_cell SET %s", changes[i]);
        notebook_run_sql(sql);
        ck_assert_msg(notebook_bank_cells(notebook, "a", found, list_step, out,
                                          &why) == ST_LIBRARY,
                      "%s", changes[i]);
    }
}
END_TEST

/* A table that something else made again keeps cells without numbers. */
START_TEST(a_cell_that_cannot_be_numbered_is_not_kept)
{
    struct kept_cell cell = cell_of(1);
    bool new;

    new_bank("a");
    notebook_run_sql(
        "ALTER TABLE bank_cell RENAME TO gone;"
        "CREATE TABLE bank_cell AS SELECT * FROM gone; DROP TABLE gone");
    ck_assert_int_eq(notebook_add_cells(notebook, "a", &cell, &new, 1, &why),
                     ST_LIBRARY);
    ck_assert_str_eq(held("a"), "");
}
END_TEST

START_TEST(an_older_notebook_has_no_banks)
{
    char found[BANK_NAME_SIZE], out[100] = "";
    int64_t cells;

    notebook_close(notebook);
    notebook_remove_folder();
    notebook_make_folder();
    notebook_make_first_version();
    notebook = notebook_opened(NOTEBOOK_READ);
    ck_assert_str_eq(banks(), "");
    ck_assert_int_eq(notebook_bank_cells(notebook, "a", found, list_step, out,
                                         &why),
                     ST_NOTHING);
    ck_assert_int_eq(notebook_listed(notebook, NULL, NULL, 0, NULL, &why),
                     ST_NOTHING);
    notebook_close(notebook);
    notebook = notebook_opened(NOTEBOOK_WRITE);
    new_bank("a");
    ck_assert_str_eq(added("a", steps, 2), "1+ 2+");
    ck_assert_int_eq(notebook_delete_bank(notebook, "a", &cells, &why), ST_OK);
}
END_TEST

static void put_listing(const char *question, int first, size_t count)
{
    struct listed_cell cells[8];

    for (size_t i = 0; i < count; i++)
        cells[i] = (struct listed_cell){ cell_of(first + (int)i).cell, 10 };
    ck_assert_int_eq(
        notebook_put_listing(notebook, question, cells, count, &why), ST_OK);
}

START_TEST(a_listing_takes_the_place_of_the_last)
{
    const int32_t numbers[] = { 3, 1 }, beyond[] = { 1, 4 };
    struct listed_cell cells[2];
    struct listing about;

    ck_assert_int_eq(notebook_listed(notebook, &about, numbers, 2, cells, &why),
                     ST_NOTHING);
    put_listing("cellar cells", 20, 8);
    put_listing("cellar cells --over m7", 30, 3);
    ck_assert_int_eq(notebook_listed(notebook, &about, numbers, 2, cells, &why),
                     ST_OK);
    ck_assert_int_eq(cells[0].cell.intervals[0], 32);
    ck_assert_int_eq(cells[1].cell.intervals[0], 30);
    ck_assert_int_eq((int)cells[0].uses, 10);
    ck_assert_str_eq(about.question, "cellar cells --over m7");
    ck_assert_int_eq((int)about.count, 3);
    ck_assert_int_eq(notebook_listed(notebook, &about, beyond, 2, cells, &why),
                     ST_USAGE);
    ck_assert_ptr_nonnull(strstr(why.message, "cellar cells --over m7"));
}
END_TEST

static void add_one(int number)
{
    const int step[] = { number };

    /* Opened anew each time, as a command does. */
    notebook = notebook_opened(NOTEBOOK_WRITE);
    added("a", step, 1);
    notebook_close(notebook);
}

START_TEST(what_is_acknowledged_survives_a_kill)
{
    for (int round = 0; round < 12; round++) {
        int64_t cells;
        char wanted[40];
        int last;

        notebook_delete_bank(notebook, "a", &cells, &why);
        new_bank("a");
        notebook_close(notebook);
        notebook = NULL;
        last = notebook_kill_while(add_one, round);
        notebook = notebook_opened(NOTEBOOK_WRITE);
        ck_assert_int_ge(last, 0);
        snprintf(wanted, sizeof wanted, "%d=%d", last + 1, last);
        ck_assert_ptr_nonnull(strstr(held("a"), wanted));
    }
}
END_TEST

Suite *notebook_bank_suite(void)
{
    Suite *s = suite_create("notebook_bank");
    TCase *t = tcase_create("banks");

    tcase_add_checked_fixture(t, setup, teardown);
    tcase_set_timeout(t, 60);
    tcase_add_test(t, banks_come_by_name_with_their_cells);
    tcase_add_test(t, names_do_not_differ_by_case_or_accent);
    tcase_add_test(t, the_cells_go_with_their_bank);
    tcase_add_test(t, a_bank_that_is_not_there_is_said);
    tcase_add_test(t, a_cell_is_in_a_bank_once);
    tcase_add_test(t, numbers_close_up);
    tcase_add_test(t, dropping_is_all_or_none);
    tcase_add_test(t, remarks_are_written_and_taken_away);
    tcase_add_test(t, a_cell_comes_back_as_it_was);
    tcase_add_test(t, a_cell_that_is_none_is_damage);
    tcase_add_test(t, a_cell_that_cannot_be_numbered_is_not_kept);
    tcase_add_test(t, an_older_notebook_has_no_banks);
    tcase_add_test(t, a_listing_takes_the_place_of_the_last);
    tcase_add_test(t, what_is_acknowledged_survives_a_kill);
    suite_add_tcase(s, t);
    return s;
}
