/* check_library.c - keeping the index of a folder up to date. */
#include <check.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "indexer/library.h"
#include "indexer/reading.h"
#include "tests/unit/library_fixture.h"
#include "tests/unit/suites.h"

/* --- changes ----------------------------------------------------------- */

START_TEST(only_changes_are_read)
{
    make_folder("b");
    write_solo("a.xml", "First", 4);
    write_solo("b/c.musicxml", "Second", 6);
    expect_run(2, 0, 0, 0);
    expect_in_index("solo a.xml 'First' 4 notes 1 chords", true);
    expect_in_index("solo b/c.musicxml 'Second' 6 notes", true);
    expect_run(0, 2, 0, 0);

    set_time("a.xml", 1000000000); /* touched, not changed */
    expect_run(0, 2, 0, 0);
    expect_in_index("solo a.xml 'First' 4 notes", true);
    expect_run(0, 2, 0, 0);

    write_solo("a.xml", "Third", 4); /* as many bytes as before */
    expect_run(1, 1, 0, 0);
    expect_in_index("solo a.xml 'Third' 4 notes", true);
    expect_in_index("First", false);
}
END_TEST

START_TEST(the_nanosecond_counts)
{
    struct timespec times[2] = { { 1000, 0 }, { 1000, 5 } };

    write_solo("a.xml", "Tune A", 4);
    set_time("a.xml", 1000);
    expect_run(1, 0, 0, 0);
    write_solo("a.xml", "Tune B", 4);
    ck_assert_int_eq(utimensat(AT_FDCWD, in_home("a.xml"), times, 0), 0);
    expect_run(1, 0, 0, 0);
    expect_in_index("'Tune B'", true);
}
END_TEST

START_TEST(what_is_gone_is_forgotten)
{
    write_solo("a.xml", "First", 4);
    write_solo("b.xml", "Second", 6);
    expect_run(2, 0, 0, 0);
    ck_assert_int_eq(unlink(in_home("a.xml")), 0);
    expect_run(0, 1, 1, 0);
    expect_in_index("a.xml", false);
    ck_assert_int_eq(rename(in_home("b.xml"), in_home("c.xml")), 0);
    expect_run(1, 0, 1, 0);
    expect_in_index("b.xml", false);
    expect_in_index("solo c.xml 'Second' 6 notes", true);
}
END_TEST

START_TEST(two_files_change_names)
{
    write_solo("a.xml", "First", 4);
    write_solo("b.xml", "Second", 6);
    expect_run(2, 0, 0, 0);
    ck_assert_int_eq(rename(in_home("a.xml"), in_home("x")), 0);
    ck_assert_int_eq(rename(in_home("b.xml"), in_home("a.xml")), 0);
    ck_assert_int_eq(rename(in_home("x"), in_home("b.xml")), 0);
    expect_run(2, 0, 0, 0);
    expect_in_index("solo a.xml 'Second' 6", true);
    expect_in_index("solo b.xml 'First' 4", true);
}
END_TEST

START_TEST(another_part_is_read_anew)
{
    struct said said;
    struct library_options options = options_for(&said);
    struct library_counts c;
    struct fault why;

    write_solo("a.xml", "First", 4);
    expect_run(1, 0, 0, 0);
    options.part = "flute";
    ck_assert_int_eq(update_in("", "", &options, &c, &why), ST_OK);
    ck_assert_int_eq(c.read, 1);
    ck_assert_int_eq(c.notes, 5);
    ck_assert_int_eq(update_in("", "", &options, &c, &why), ST_OK);
    ck_assert_int_eq(c.unchanged, 1);
    expect_run(1, 0, 0, 0);
    expect_in_index("solo a.xml 'First' 4 notes", true);
}
END_TEST

START_TEST(totals_are_of_the_library)
{
    struct said said;
    struct library_options options = options_for(&said);
    struct library_counts c;
    struct fault why;

    write_solo("a.xml", "First", 4);
    expect_run(1, 0, 0, 0);
    write_solo("b.xml", "Second", 6);
    ck_assert_int_eq(update_in("", "", &options, &c, &why), ST_OK);
    ck_assert_int_eq(c.read, 1);
    ck_assert_int_eq(c.notes, 10);
    ck_assert_int_eq(c.chords, 2);
}
END_TEST

/* --- what cannot be read ----------------------------------------------- */

START_TEST(unreadable_then_mended)
{
    struct said said;
    struct library_options options = options_for(&said);
    struct library_counts c;
    struct fault why;

    write_solo("a.xml", "First", 4);
    write_text("b.xml", "<score-partwise>\n<part-list>\n</oops>");
    write_text("c.mxl", "PK");
    ck_assert_int_eq(update_in("", "", &options, &c, &why), ST_OK);
    ck_assert_int_eq(c.read, 1);
    ck_assert_int_eq(c.unreadable, 2);
    ck_assert_ptr_nonnull(strstr(said.lines, "b.xml: line 3: "));
    ck_assert_ptr_nonnull(strstr(said.lines, "c.mxl: begins like a zip"));

    /* Not tried again, but still counted; a touch changes nothing. */
    said.lines[0] = '\0';
    set_time("c.mxl", 1000000000);
    ck_assert_int_eq(update_in("", "", &options, &c, &why), ST_OK);
    ck_assert_int_eq(c.unchanged, 1);
    ck_assert_int_eq(c.unreadable, 2);
    ck_assert_ptr_nonnull(strstr(said.lines, "b.xml still: line 3: "));
    ck_assert_ptr_nonnull(strstr(said.lines, "c.mxl still: begins like"));

    write_solo("b.xml", "Mended", 6);
    ck_assert_int_eq(unlink(in_home("c.mxl")), 0);
    expect_run(1, 1, 1, 0);
    expect_in_index("solo b.xml 'Mended'", true);

    write_text("b.xml", "no music"); /* and spoiled again */
    expect_run(0, 1, 0, 1);
    expect_in_index("solo b.xml", false);
    expect_run(0, 1, 0, 1);
}
END_TEST

/* As someone who may not read everything: root may. */
static uid_t become_nobody(void)
{
    uid_t before = geteuid();

    if (before == 0) {
        ck_assert_int_eq(chown(home, 65534, (gid_t)-1), 0);
        ck_assert_int_eq(seteuid(65534), 0);
    }
    return before;
}

START_TEST(no_permission)
{
    uid_t before = become_nobody();

    make_folder("shut");
    write_solo("a.xml", "First", 4);
    write_solo("b.xml", "Second", 4);
    write_solo("shut/c.xml", "Third", 4);
    expect_run(3, 0, 0, 0);

    /* What lies below a folder that is shut is not forgotten. */
    ck_assert_int_eq(chmod(in_home("shut"), 0), 0);
    expect_run(0, 2, 0, 1);
    expect_in_index("solo shut/c.xml 'Third'", true);
    ck_assert_int_eq(chmod(in_home("shut"), 0700), 0);
    expect_run(0, 3, 0, 0);

    /* A file that may not be opened is tried again: permission changes
     * neither its size nor its time. */
    write_solo("b.xml", "Again!", 4);
    ck_assert_int_eq(chmod(in_home("b.xml"), 0), 0);
    expect_run(0, 2, 0, 1);
    expect_run(0, 2, 0, 1);
    ck_assert_int_eq(chmod(in_home("b.xml"), 0600), 0);
    expect_run(1, 2, 0, 0);
    expect_in_index("solo b.xml 'Again!'", true);
    ck_assert_int_eq(seteuid(before), 0);
}
END_TEST

/* As with a disk that fails or memory that runs out for a moment: what was
 * read before is not lost for it, and the next run sees what there is. */
START_TEST(what_was_read_is_kept_while_a_file_is_barred)
{
    write_solo("a.xml", "First", 4);
    expect_run(1, 0, 0, 0);
    ck_assert_int_eq(truncate(in_home("a.xml"), 65 << 20), 0);
    expect_run(0, 0, 0, 1);
    expect_in_index("solo a.xml 'First' 4 notes", true);
    expect_run(0, 0, 0, 1);
    write_solo("a.xml", "Second", 6);
    expect_run(1, 0, 0, 0);
    expect_in_index("solo a.xml 'Second' 6 notes", true);
    expect_in_index("First", false);
}
END_TEST

START_TEST(library_that_may_not_be_written)
{
    uid_t before = become_nobody();
    struct said said;
    struct library_options options = options_for(&said);
    struct library_counts c;
    struct fault why;

    write_solo("a.xml", "First", 4);
    ck_assert_int_eq(chmod(home, 0500), 0);
    ck_assert_int_eq(update_in("", "", &options, &c, &why), ST_IO);
    ck_assert_ptr_nonnull(strstr(why.message, "--library"));
    ck_assert_int_eq(chmod(home, 0700), 0);
    ck_assert_int_eq(seteuid(before), 0);
}
END_TEST

/* --- threads and interruptions ----------------------------------------- */

enum {
    MANY = 60
};

static void write_many(void)
{
    for (int i = 0; i < MANY; i++) {
        char name[40], title[40];

        snprintf(name, sizeof name, "solo%02d.xml", i);
        snprintf(title, sizeof title, "Tune %d", i);
        if (i % 9 == 5)
            write_text(name, "<score-partwise>");
        else
            write_solo(name, title, i % 7 + 1);
    }
}

START_TEST(jobs_make_no_difference)
{
    struct said said;
    struct library_options options = options_for(&said);
    struct library_counts c;
    struct fault why;
    char *one, *many, lines[sizeof said.lines];

    write_many();
    options.jobs = 1;
    ck_assert_int_eq(update_in("", "", &options, &c, &why), ST_OK);
    one = dump_index("", true);
    strcpy(lines, said.lines);
    for (int jobs = 2; jobs <= 8; jobs += 3) {
        said.lines[0] = '\0';
        options.jobs = jobs;
        options.full = true;
        ck_assert_int_eq(update_in("", "", &options, &c, &why), ST_OK);
        ck_assert_int_eq(c.read + c.unreadable, MANY);
        many = dump_index("", true);
        ck_assert_str_eq(many, one);
        ck_assert_str_eq(said.lines, lines);
        free(many);
    }
    free(one);
}
END_TEST

START_TEST(stopped_and_run_again)
{
    struct said said;
    struct library_options options = options_for(&said);
    struct library_counts c;
    struct fault why;
    char *fresh, *again;

    write_many();
    ck_assert_int_eq(update_in("", "", &options, &c, &why), ST_OK);
    fresh = dump_index("", true);
    options.full = true;
    said.stop_after = 10;
    ck_assert_int_eq(update_in("", "", &options, &c, &why), ST_INTERRUPTED);
    ck_assert_str_eq(why.message,
                     "stopped; what was read is kept, and running "
                     "cellar-index again completes the index");
    ck_assert_int_ge(c.read + c.unreadable, 10);
    ck_assert_int_lt(c.read + c.unreadable, MANY);
    again = dump_index("", true);
    ck_assert_str_ne(again, fresh);
    ck_assert_ptr_nonnull(strstr(again, "solo solo00.xml"));
    free(again);

    options = options_for(&said);
    ck_assert_int_eq(update_in("", "", &options, &c, &why), ST_OK);
    ck_assert_int_ge(c.unchanged, 8);
    again = dump_index("", true);
    ck_assert_str_eq(again, fresh);
    free(again);
    free(fresh);
}
END_TEST

START_TEST(stopped_at_once)
{
    struct said said;
    struct library_options options = options_for(&said);
    struct library_counts c;
    struct fault why;

    write_many();
    atomic_store(&said.stop, true);
    ck_assert_int_eq(update_in("", "", &options, &c, &why), ST_INTERRUPTED);
    ck_assert(!exists(".cellar"));
}
END_TEST

/* Whenever the flag goes up, the results come to an end and the threads too;
 * a thread that slept through it would hang this test. */
START_TEST(stopped_between_files)
{
    struct reading_task tasks[64];
    struct fault why;

    write_solo("a.xml", "One", 3);
    for (int i = 0; i < 64; i++)
        tasks[i] = (struct reading_task){ (char *)in_home("a.xml"), "" };
    for (int round = 0; round < 200; round++) {
        atomic_bool stop = false;
        struct reading *reading;
        struct reading_result result;
        int taken = 0;

        ck_assert_int_eq(
            reading_start(&reading, tasks, 64, 3, NULL, &stop, &why), ST_OK);
        if (round % 3 == 0)
            atomic_store(&stop, true);
        while (reading_next(reading, &result)) {
            reading_result_free(&result);
            if (++taken == round % 64)
                atomic_store(&stop, true);
        }
        ck_assert_int_le(taken, 64);
        reading_end(reading);
    }
}
END_TEST

/* --- the index itself -------------------------------------------------- */

START_TEST(a_damaged_index_is_made_anew)
{
    struct said said;
    struct library_options options = options_for(&said);
    struct library_counts c;
    struct fault why = { .message = "" };

    write_solo("a.xml", "First", 4);
    expect_run(1, 0, 0, 0);
    write_text(".cellar/index.db", "this is no index, and never was one");
    ck_assert_msg(update_in("", "", &options, &c, &why) == ST_OK, "%s",
                  why.message);
    ck_assert_str_eq(said.lines,
                     "note: the index was damaged or of an older "
                     "version, and is made anew\n");
    ck_assert_int_eq(c.read, 1);
    expect_in_index("solo a.xml 'First' 4 notes", true);
}
END_TEST

START_TEST(full_reads_everything)
{
    struct said said;
    struct library_options options = options_for(&said);
    struct library_counts c;
    struct fault why;
    char *before, *after;

    write_solo("a.xml", "First", 4);
    write_text("b.xml", "no music");
    write_solo("c.xml", "Third", 4);
    expect_run(2, 0, 0, 1);
    before = dump_index("", true);
    options.full = true;
    ck_assert_int_eq(update_in("", "", &options, &c, &why), ST_OK);
    ck_assert_int_eq(c.read, 2);
    ck_assert_int_eq(c.unreadable, 1);
    ck_assert_int_eq(c.unchanged, 0);
    after = dump_index("", true);
    ck_assert_str_eq(after, before);
    free(before);
    free(after);
    ck_assert_int_eq(unlink(in_home("a.xml")), 0);
    ck_assert_int_eq(update_in("", "", &options, &c, &why), ST_OK);
    ck_assert_int_eq(c.removed, 1);
    expect_in_index("First", false);
    expect_in_index("solo c.xml 'Third'", true);
}
END_TEST

Suite *library_suite(void)
{
    Suite *suite = suite_create("library");
    TCase *tests = tcase_create("library");

    tcase_add_checked_fixture(tests, setup_home, teardown_home);
    tcase_set_timeout(tests, 60);
    tcase_add_test(tests, only_changes_are_read);
    tcase_add_test(tests, the_nanosecond_counts);
    tcase_add_test(tests, what_is_gone_is_forgotten);
    tcase_add_test(tests, two_files_change_names);
    tcase_add_test(tests, another_part_is_read_anew);
    tcase_add_test(tests, totals_are_of_the_library);
    tcase_add_test(tests, unreadable_then_mended);
    tcase_add_test(tests, no_permission);
    tcase_add_test(tests, what_was_read_is_kept_while_a_file_is_barred);
    tcase_add_test(tests, library_that_may_not_be_written);
    tcase_add_test(tests, jobs_make_no_difference);
    tcase_add_test(tests, stopped_and_run_again);
    tcase_add_test(tests, stopped_at_once);
    tcase_add_test(tests, stopped_between_files);
    tcase_add_test(tests, a_damaged_index_is_made_anew);
    tcase_add_test(tests, full_reads_everything);
    suite_add_tcase(suite, tests);
    suite_add_tcase(suite, library_places_tests());
    return suite;
}
