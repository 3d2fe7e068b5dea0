/* check_notebook.c - what the user wrote is never lost. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include "schema/notebook_internal.h"
#include "tests/unit/notebook_fixture.h"
#include "tests/unit/suites.h"

static const struct form_correction waltz = {
    { "aa", "ada/waltz.xml", "Waltz", 77 }, 24, "5"
};

static void put(const struct form_correction *correction)
{
    struct notebook *n = notebook_opened(NOTEBOOK_WRITE);
    struct fault why = { 0 };

    ck_assert_msg(notebook_put_form(n, correction, &why) == ST_OK, "%s",
                  why.message);
    notebook_close(n);
}

/* "24/5 32/1": the corrections, newest first. */
static bool list_form(void *context, const struct form_correction *c)
{
    char *out = context;

    sprintf(out + strlen(out), "%s%d/%s", *out ? " " : "", c->length,
            c->first_bar);
    return true;
}

static const char *listed(void)
{
    static char out[4000];
    struct notebook *n = notebook_opened(NOTEBOOK_READ);
    struct fault why = { 0 };

    out[0] = '\0';
    if (n)
        ck_assert_int_eq(notebook_forms(n, list_form, out, &why), ST_OK);
    notebook_close(n);
    return out;
}

START_TEST(corrections_are_kept)
{
    struct form_correction other = { { "bb", "b.xml", "", 5 }, 0, "1" };

    ck_assert_str_eq(listed(), "");
    ck_assert_int_ne(access(notebook_file, F_OK), 0); /* asking makes no file */
    put(&waltz);
    put(&other);
    ck_assert_str_eq(listed(), "0/1 24/5");
}
END_TEST

START_TEST(a_new_correction_replaces_the_old_one)
{
    struct form_correction again = waltz;

    put(&waltz);
    again.length = 32;
    /* The file was edited and moved meanwhile; its chords are the same. */
    again.solo.sha256 = "cc";
    again.solo.path = "elsewhere.xml";
    put(&again);
    ck_assert_str_eq(listed(), "32/5");
}
END_TEST

START_TEST(corrections_are_dropped)
{
    struct notebook *n;
    struct solo_identity other = { "zz", "z.xml", "Z", 1 };

    put(&waltz);
    n = notebook_opened(NOTEBOOK_WRITE);
    ck_assert_int_eq(notebook_drop_form(n, &other, NULL), ST_NOTHING);
    ck_assert_int_eq(notebook_drop_form(n, &waltz.solo, NULL), ST_OK);
    notebook_close(n);
    ck_assert_str_eq(listed(), "");
}
END_TEST

/* As where there was no memory for the end of it. */
START_TEST(a_transaction_left_open_is_ended_by_the_next)
{
    struct notebook *n = notebook_opened(NOTEBOOK_WRITE);
    struct fault why = { 0 };

    ck_assert_int_eq(sqlite3_exec(n->db, "BEGIN", NULL, NULL, NULL),
                     SQLITE_OK);
    ck_assert_msg(notebook_put_form(n, &waltz, &why) == ST_OK, "%s",
                  why.message);
    notebook_close(n);
    ck_assert_str_eq(listed(), "24/5");
}
END_TEST

START_TEST(solos_are_known_again)
{
    const struct solo_identity a = { "aa", "ada/waltz.xml", "Waltz", 77 };
    static const struct {
        const char *what;
        struct solo_identity b;
        bool same;
    } cases[] = {
        { "renamed", { "aa", "x.xml", "", 0 }, true },
        { "edited", { "bb", "ada/waltz.xml", "", 77 }, true },
        { "edited and moved", { "bb", "x.xml", "Waltz", 77 }, true },
        { "another solo at its place", { "bb", "ada/waltz.xml", "W", 3 },
          false },
        { "another solo of its title", { "bb", "x.xml", "Waltz", 3 }, false },
        { "another tune with its chords", { "bb", "x.xml", "Y", 77 }, false },
    };

    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++)
        ck_assert_msg(solo_identity_matches(&a, &cases[i].b) ==
                          cases[i].same,
                      "%s", cases[i].what);
}
END_TEST

START_TEST(a_newer_notebook_is_refused)
{
    struct notebook *n;
    struct fault why = { 0 };

    put(&waltz);
    notebook_run_sql("PRAGMA user_version = 99");
    for (int mode = NOTEBOOK_READ; mode <= NOTEBOOK_WRITE; mode++) {
        ck_assert_int_eq(
            notebook_open(&n, notebook_folder, (enum notebook_mode)mode, &why),
            ST_LIBRARY);
        ck_assert_ptr_nonnull(strstr(why.message, "newer"));
    }
}
END_TEST

START_TEST(an_older_notebook_is_copied_first)
{
    char copy[160];

    notebook_make_first_version();
    ck_assert_str_eq(listed(), "24/5"); /* reading changes nothing */
    snprintf(copy, sizeof copy, "%s.version-1.copy", notebook_file);
    ck_assert_int_ne(access(copy, F_OK), 0);
    notebook_close(notebook_opened(NOTEBOOK_WRITE));
    ck_assert_str_eq(listed(), "24/5");
    /* The copy is the notebook as it was. */
    ck_assert_int_eq(rename(copy, notebook_file), 0);
    ck_assert_str_eq(listed(), "24/5");
    notebook_run_sql("CREATE TABLE bank (none)");
}
END_TEST

/* Programs that find an old notebook at once make one step of it. */
START_TEST(several_bring_it_up_at_once)
{
    char copy[160];
    int status;

    notebook_make_first_version();
    for (int i = 0; i < 6; i++) {
        pid_t child = fork();

        ck_assert_int_ge(child, 0);
        if (child == 0) {
            struct notebook *n;

            _exit((int)notebook_open(&n, notebook_folder, NOTEBOOK_WRITE,
                                     NULL));
        }
    }
    for (int i = 0; i < 6; i++) {
        ck_assert_int_gt(wait(&status), 0);
        ck_assert_int_eq(status, 0);
    }
    ck_assert_str_eq(listed(), "24/5");
    snprintf(copy, sizeof copy, "%s.version-1.copy", notebook_file);
    ck_assert_int_eq(rename(copy, notebook_file), 0);
    notebook_run_sql("CREATE TABLE bank (none)"); /* the copy is of before */
}
END_TEST

START_TEST(an_older_copy_stays)
{
    char copy[160], before[8] = "";
    FILE *f;

    notebook_make_first_version();
    snprintf(copy, sizeof copy, "%s.version-1.copy", notebook_file);
    f = fopen(copy, "w");
    fputs("mine", f);
    fclose(f);
    notebook_close(notebook_opened(NOTEBOOK_WRITE));
    f = fopen(copy, "r");
    ck_assert_ptr_nonnull(fgets(before, sizeof before, f));
    fclose(f);
    ck_assert_str_eq(before, "mine");
}
END_TEST

/* A copy that cannot be made stops the change. */
START_TEST(without_a_copy_nothing_is_changed)
{
    char copy[160];
    struct notebook *n;
    struct fault why = { 0 };

    notebook_make_first_version();
    snprintf(copy, sizeof copy, "%s.version-1.copy.%ld", notebook_file,
             (long)getpid());
    ck_assert_int_eq(mkdir(copy, 0777), 0); /* in its way */
    ck_assert_int_ne(
        notebook_open(&n, notebook_folder, NOTEBOOK_WRITE, &why), ST_OK);
    ck_assert_int_eq(rmdir(copy), 0);
    notebook_run_sql("CREATE TABLE bank (none)"); /* there is none yet */
}
END_TEST

START_TEST(another_database_is_refused)
{
    struct notebook *n;
    struct fault why = { 0 };

    put(&waltz);
    notebook_run_sql("PRAGMA application_id = 7");
    ck_assert_int_eq(notebook_open(&n, notebook_folder, NOTEBOOK_WRITE, &why),
                     ST_LIBRARY);
    ck_assert_ptr_nonnull(strstr(why.message, "no notebook of Cellar"));
}
END_TEST

START_TEST(a_damaged_notebook_is_left_as_it_is)
{
    char before[64], after[64];
    struct notebook *n;
    struct fault why = { 0 };
    FILE *f;

    put(&waltz);
    f = fopen(notebook_file, "r+");
    fputs("this is not a database any more, but it was", f);
    rewind(f);
    ck_assert_uint_eq(fread(before, 1, sizeof before, f), sizeof before);
    fclose(f);
    ck_assert_int_eq(notebook_open(&n, notebook_folder, NOTEBOOK_WRITE, &why),
                     ST_LIBRARY);
    ck_assert_ptr_nonnull(strstr(why.message, "damaged"));
    f = fopen(notebook_file, "r");
    ck_assert_uint_eq(fread(after, 1, sizeof after, f), sizeof after);
    fclose(f);
    ck_assert_mem_eq(before, after, sizeof before);
}
END_TEST

static void put_length(int length)
{
    struct form_correction c = waltz;

    c.length = length;
    put(&c);
}

START_TEST(what_is_acknowledged_survives_a_kill)
{
    for (int round = 0; round < 20; round++) {
        int acknowledged = notebook_kill_while(put_length, round);
        const char *list = listed();

        ck_assert_ptr_null(strchr(list, ' '));
        ck_assert_int_ge(atoi(list), acknowledged);
    }
}
END_TEST

Suite *notebook_suite(void)
{
    Suite *s = suite_create("notebook");
    TCase *t = tcase_create("form corrections");

    tcase_add_checked_fixture(t, notebook_make_folder,
                              notebook_remove_folder);
    tcase_set_timeout(t, 60);
    tcase_add_test(t, corrections_are_kept);
    tcase_add_test(t, a_new_correction_replaces_the_old_one);
    tcase_add_test(t, corrections_are_dropped);
    tcase_add_test(t, a_transaction_left_open_is_ended_by_the_next);
    tcase_add_test(t, solos_are_known_again);
    tcase_add_test(t, a_newer_notebook_is_refused);
    tcase_add_test(t, an_older_notebook_is_copied_first);
    tcase_add_test(t, several_bring_it_up_at_once);
    tcase_add_test(t, an_older_copy_stays);
    tcase_add_test(t, without_a_copy_nothing_is_changed);
    tcase_add_test(t, another_database_is_refused);
    tcase_add_test(t, a_damaged_notebook_is_left_as_it_is);
    tcase_add_test(t, what_is_acknowledged_survives_a_kill);
    suite_add_tcase(s, t);
    return s;
}
