/* check_notebook.c - what the user wrote is never lost. */
#include <signal.h>
#include <sqlite3.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

#include "schema/notebook.h"
#include "tests/unit/suites.h"

static char folder[64], file[96];

static void make_folder(void)
{
    strcpy(folder, "/tmp/cellar-notebook-XXXXXX");
    ck_assert_ptr_nonnull(mkdtemp(folder));
    snprintf(file, sizeof file, "%s/.cellar/notebook.db", folder);
}

static void remove_folder(void)
{
    char command[120];

    snprintf(command, sizeof command, "rm -rf %s", folder);
    ck_assert_int_eq(system(command), 0);
}

static struct notebook *opened(enum notebook_mode mode)
{
    struct notebook *n;
    struct fault why = { 0 };

    ck_assert_msg(notebook_open(&n, folder, mode, &why) == ST_OK, "%s",
                  why.message);
    return n;
}

static const struct form_correction waltz = {
    { "aa", "ada/waltz.xml", "Waltz", 77 }, 24, "5"
};

static void put(const struct form_correction *correction)
{
    struct notebook *n = opened(NOTEBOOK_WRITE);
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
    struct notebook *n = opened(NOTEBOOK_READ);
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
    ck_assert_int_ne(access(file, F_OK), 0); /* asking makes no file */
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
    n = opened(NOTEBOOK_WRITE);
    ck_assert_int_eq(notebook_drop_form(n, &other, NULL), ST_NOTHING);
    ck_assert_int_eq(notebook_drop_form(n, &waltz.solo, NULL), ST_OK);
    notebook_close(n);
    ck_assert_str_eq(listed(), "");
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

/* Change the notebook from outside. */
static void run_sql(const char *sql)
{
    sqlite3 *db;

    ck_assert_int_eq(sqlite3_open(file, &db), SQLITE_OK);
    ck_assert_int_eq(sqlite3_exec(db, sql, NULL, NULL, NULL), SQLITE_OK);
    sqlite3_close(db);
}

START_TEST(a_newer_notebook_is_refused)
{
    struct notebook *n;
    struct fault why = { 0 };

    put(&waltz);
    run_sql("PRAGMA user_version = 99");
    for (int mode = NOTEBOOK_READ; mode <= NOTEBOOK_WRITE; mode++) {
        ck_assert_int_eq(
            notebook_open(&n, folder, (enum notebook_mode)mode, &why),
            ST_LIBRARY);
        ck_assert_ptr_nonnull(strstr(why.message, "newer"));
    }
}
END_TEST

START_TEST(another_database_is_refused)
{
    struct notebook *n;
    struct fault why = { 0 };

    put(&waltz);
    run_sql("PRAGMA application_id = 7");
    ck_assert_int_eq(notebook_open(&n, folder, NOTEBOOK_WRITE, &why),
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
    f = fopen(file, "r+");
    fputs("this is not a database any more, but it was", f);
    rewind(f);
    ck_assert_uint_eq(fread(before, 1, sizeof before, f), sizeof before);
    fclose(f);
    ck_assert_int_eq(notebook_open(&n, folder, NOTEBOOK_WRITE, &why),
                     ST_LIBRARY);
    ck_assert_ptr_nonnull(strstr(why.message, "damaged"));
    f = fopen(file, "r");
    ck_assert_uint_eq(fread(after, 1, sizeof after, f), sizeof after);
    fclose(f);
    ck_assert_mem_eq(before, after, sizeof before);
}
END_TEST

START_TEST(what_is_acknowledged_survives_a_kill)
{
    for (int round = 0; round < 20; round++) {
        int ends[2], acknowledged = -1, last = -1, status;
        pid_t child;
        const char *list;

        ck_assert_int_eq(pipe(ends), 0);
        child = fork();
        ck_assert_int_ge(child, 0);
        if (child == 0) {
            for (int i = 0; i < 100000; i++) {
                struct form_correction c = waltz;

                c.length = i;
                put(&c);
                if (write(ends[1], &i, sizeof i) != sizeof i)
                    _exit(1);
            }
            _exit(0);
        }
        close(ends[1]);
        for (int i = 0; i < 3 + round; i++)
            if (read(ends[0], &acknowledged, sizeof acknowledged) <= 0)
                break;
        usleep((useconds_t)(round * 300));
        kill(child, SIGKILL);
        ck_assert_int_eq(waitpid(child, &status, 0), child);
        while (read(ends[0], &last, sizeof last) == sizeof last)
            acknowledged = last;
        close(ends[0]);
        list = listed();
        ck_assert_ptr_null(strchr(list, ' '));
        ck_assert_int_ge(atoi(list), acknowledged);
    }
}
END_TEST

Suite *notebook_suite(void)
{
    Suite *s = suite_create("notebook");
    TCase *t = tcase_create("form corrections");

    tcase_add_checked_fixture(t, make_folder, remove_folder);
    tcase_set_timeout(t, 60);
    tcase_add_test(t, corrections_are_kept);
    tcase_add_test(t, a_new_correction_replaces_the_old_one);
    tcase_add_test(t, corrections_are_dropped);
    tcase_add_test(t, solos_are_known_again);
    tcase_add_test(t, a_newer_notebook_is_refused);
    tcase_add_test(t, another_database_is_refused);
    tcase_add_test(t, a_damaged_notebook_is_left_as_it_is);
    tcase_add_test(t, what_is_acknowledged_survives_a_kill);
    suite_add_tcase(s, t);
    return s;
}
