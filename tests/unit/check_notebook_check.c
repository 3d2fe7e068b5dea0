/* check_notebook_check.c - what does not read in a notebook is named, with its
 * place, and nothing is written. */
#include <check.h>
#include <stdio.h>
#include <string.h>

#include "schema/notebook_check.h"
#include "tests/unit/notebook_fixture.h"
#include "tests/unit/suites.h"

static char told[2000];

static void tell(void *context, enum notebook_part part, const char *what)
{
    size_t used = strlen(told);

    (void)context;
    snprintf(told + used, sizeof told - used, "%d %s\n", (int)part, what);
}

static struct notebook_checked check(void)
{
    struct notebook *n = notebook_opened(NOTEBOOK_READ);
    struct notebook_checked checked;
    struct fault why = { 0 };

    told[0] = '\0';
    ck_assert_msg(notebook_check(n, tell, NULL, &checked, &why) == ST_OK, "%s",
                  why.message);
    notebook_close(n);
    return checked;
}

/* A digest of 64 letters. */
#define DIGEST                                                                 \
    "'aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa0123456789abcdef0123456789abcdef'"
#define ENTRY(list, place)                                                     \
    "INSERT INTO list_entry (list, place, sha256, path, title, performer,"     \
    " harmony, first_note, bar, bar_index, midi, notes, degrees, chord, home," \
    " relation, question, remark, added) VALUES (" #list ", " #place           \
    ", " DIGEST ", 'a.xml', '', '', 0, 4, '2', 1, '69 65', 'A4 F4', '', '',"   \
    " '', '', '', '', 0);"

static void set_up(void)
{
    notebook_make_folder();
    notebook_close(notebook_opened(NOTEBOOK_WRITE));
    notebook_run_sql(
        "INSERT INTO form_correction VALUES (1, " DIGEST ", 'ada/waltz.xml',"
        " 'Waltz', 77, 24, '5'), (2, " DIGEST ", 'b.xml', '', 7, 0, '');"
        "INSERT INTO bank VALUES (1, 'ii-V'), (2, 'empty');"
        "INSERT INTO bank_cell VALUES"
        " (1, 1, '-4 -1 -2', 'minor', 7, '5 b3 2 1', 'm7', '', '', '', 0),"
        " (2, 1, '2 2', '', -1, '', '', '', '', '', 0);"
        "INSERT INTO listing VALUES ('cellar cells', 0);"
        "INSERT INTO listing_cell VALUES (1, '2 2', '', -1, '', '', 3);"
        "INSERT INTO study_list VALUES (1, 'lesson', 0), (2, 'none', 0);" ENTRY(
            1, 1) ENTRY(1, 2));
}

START_TEST(sound)
{
    struct notebook_checked checked = check();

    ck_assert_str_eq(told, "");
    ck_assert_int_eq(checked.version, NOTEBOOK_VERSION);
    ck_assert_int_eq(checked.forms, 2);
    ck_assert_int_eq(checked.banks, 2);
    ck_assert_int_eq(checked.cells, 2);
    ck_assert_int_eq(checked.listed, 1);
    ck_assert_int_eq(checked.lists, 2);
    ck_assert_int_eq(checked.entries, 2);
}
END_TEST

static const struct damaged {
    const char *sql, *told;
} damages[] = {
    { "UPDATE bank_cell SET intervals = '-4 x' WHERE id = 2",
      "2 cell 2 of bank 'ii-V' does not read\n" },
    { "UPDATE bank_cell SET class = 'mnor' WHERE id = 1",
      "2 cell 1 of bank 'ii-V' does not read\n" },
    { "UPDATE bank_cell SET start = 12 WHERE id = 1",
      "2 cell 1 of bank 'ii-V' does not read\n" },
    { "DELETE FROM bank WHERE id = 1",
      "2 there is a cell of no bank\n2 there is a cell of no bank\n" },
    { "UPDATE listing_cell SET number = 2",
      "2 cell 1 of those that were listed last does not read\n" },
    { "UPDATE form_correction SET sha256 = 'aa' WHERE id = 1",
      "1 the correction of the form of 'ada/waltz.xml' makes no sense\n" },
    { "UPDATE form_correction SET length = -1 WHERE id = 2",
      "1 the correction of the form of 'b.xml' makes no sense\n" },
    { "UPDATE list_entry SET midi = '' WHERE place = 2",
      "3 entry 2 of 'lesson' has no notes\n" },
    { "UPDATE list_entry SET midi = '60 200' WHERE place = 1",
      "3 entry 1 of 'lesson' has no notes\n" },
    { "UPDATE list_entry SET first_note = -1 WHERE place = 1",
      "3 entry 1 of 'lesson' does not say where it stands\n" },
    { "UPDATE list_entry SET place = 5 WHERE place = 2",
      "3 the entries of 'lesson' are not numbered in a row\n" },
    { "DELETE FROM study_list WHERE id = 1",
      "3 there is an entry of no study list\n"
      "3 there is an entry of no study list\n" },
    { "DROP TABLE listing", "0 a table is missing, or one of its columns\n" },
    { "ALTER TABLE list_entry RENAME COLUMN relation TO relatiom",
      "0 a table is missing, or one of its columns\n" },
};

START_TEST(damage_is_named)
{
    notebook_run_sql(damages[_i].sql);
    check();
    ck_assert_str_eq(told, damages[_i].told);
}
END_TEST

/* A notebook from before there were banks and lists. */
START_TEST(older)
{
    struct notebook_checked checked;

    notebook_remove_folder();
    notebook_make_folder();
    notebook_make_first_version();
    notebook_run_sql("UPDATE form_correction SET sha256 = " DIGEST);
    checked = check();
    ck_assert_str_eq(told, "");
    ck_assert_int_eq(checked.version, 1);
    ck_assert_int_eq(checked.forms, 1);
    ck_assert_int_eq(checked.banks, 0);
}
END_TEST

/* Pages turned into noise. */
START_TEST(damaged_pages)
{
    FILE *file = fopen(notebook_file, "r+b");

    ck_assert_ptr_nonnull(file);
    fseek(file, 4096, SEEK_SET);
    for (int i = 0; i < 4096; i++)
        fputc(0x5a, file);
    ck_assert_int_eq(fclose(file), 0);
    check();
    ck_assert_msg(strstr(told, "0 "), "%s", told);
}
END_TEST

Suite *notebook_check_suite(void)
{
    Suite *suite = suite_create("notebook_check");
    TCase *cases = tcase_create("check");

    tcase_add_checked_fixture(cases, set_up, notebook_remove_folder);
    tcase_add_test(cases, sound);
    tcase_add_test(cases, older);
    tcase_add_test(cases, damaged_pages);
    tcase_add_loop_test(cases, damage_is_named, 0,
                        sizeof damages / sizeof *damages);
    suite_add_tcase(suite, cases);
    return suite;
}
