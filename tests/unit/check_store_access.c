/* check_store_access.c - an index that several programs open at once, and one
 * in a folder that may not be written to. */
#include <check.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include "tests/unit/find_fixture.h"
#include "tests/unit/index_fixture.h"
#include "tests/unit/suites.h"

/* In a child only the exit status is seen, so faults are printed there. */
static void demand(bool fact, const char *what)
{
    if (fact)
        return;
    fprintf(stderr, "%s: %s\n", what, why.message);
    _exit(1);
}

/* Start an index where none is and put one file. */
static void start_together(int number)
{
    struct file_record record = { .part = "", .unreadable = "line 1: no" };
    struct store *store = NULL;
    char path[24];

    snprintf(path, sizeof path, "%d.xml", number);
    record.path = path;
    demand(store_open(&store, folder, STORE_WRITE, NULL, &why) == ST_OK,
           "open");
    demand(store_begin(store, &why) == ST_OK, "begin");
    demand(store_put(store, &record, NULL, &why) == ST_OK, "put");
    demand(store_commit(store, &why) == ST_OK, "commit");
    store_close(store);
    _exit(0);
}

/* Put something that is no index in its place. */
static void write_damaged(void)
{
    FILE *out = fopen(file, "wb");

    ck_assert_ptr_nonnull(out);
    ck_assert_int_gt(fprintf(out, "This is a letter."), 0);
    ck_assert_int_eq(fclose(out), 0);
}

/* None of several programs that find no index, or a damaged one, empties
 * what another has begun to fill. */
START_TEST(programs_that_start_together)
{
    enum { PROGRAMS = 5, ROUNDS = 10 };
    for (int round = 0; round < ROUNDS; round++) {
        struct store_totals totals;
        struct store *store;
        int status;

        if (round % 2)
            write_damaged();
        for (int i = 0; i < PROGRAMS; i++)
            if (fork() == 0)
                start_together(i);
        for (int i = 0; i < PROGRAMS; i++) {
            ck_assert_int_gt(wait(&status), 0);
            ck_assert(WIFEXITED(status) && WEXITSTATUS(status) == 0);
        }
        store = store_must_open(folder, STORE_READ);
        must(store_totals(store, &totals, &why), &why);
        ck_assert_int_eq(totals.unreadable, PROGRAMS);
        store_close(store);
        ck_assert_int_eq(unlink(file), 0);
    }
}
END_TEST

/* --- folders that may not be written to ----------------------------------- */

/* Run TEST as a user who owns nothing here, since root may write anywhere. */
static void as_stranger(void (*test)(void))
{
    pid_t child = fork();
    int status;

    ck_assert_int_ge(child, 0);
    if (child == 0) {
        if (geteuid() == 0 && (setgid(65534) != 0 || setuid(65534) != 0))
            _exit(99);
        test();
        _exit(0);
    }
    ck_assert_int_eq(waitpid(child, &status, 0), child);
    ck_assert_msg(WIFEXITED(status) && WEXITSTATUS(status) == 0,
                  "the reader ended with %d", status);
}

static void set_mode(mode_t folder_mode, mode_t file_mode)
{
    char inner[FILE_SIZE];

    snprintf(inner, sizeof inner, "%s/.cellar", folder);
    ck_assert_int_eq(chmod(file, file_mode), 0);
    ck_assert_int_eq(chmod(inner, folder_mode), 0);
}

static bool count_solo(void *context, const struct solo_record *solo)
{
    (void)solo;
    ++*(int *)context;
    return true;
}

static void read_three(void)
{
    struct store *store = NULL;
    int count = 0;

    demand(store_open(&store, folder, STORE_READ, NULL, &why) == ST_OK,
           "open");
    demand(store_read_begin(store, &why) == ST_OK, "begin");
    demand(store_solos(store, NULL, count_solo, &count, &why) == ST_OK,
           "solos");
    demand(count == 3, "three solos");
    demand(store_count(store, cell, 3) == 3, "three places");
    store_read_end(store);
    store_close(store);
}

START_TEST(a_folder_that_may_only_be_read)
{
    store_make_index(folder, 3);
    set_mode(0555, 0444);
    as_stranger(read_three);
    set_mode(0755, 0644);
}
END_TEST

/* Put a third solo, say so through SAID, and keep the index open until ASKED
 * ends. */
static void hold_open(int said, int asked)
{
    struct store *store = store_must_open(folder, STORE_WRITE);
    char byte = 0;

    must(store_begin(store, &why), &why);
    store_must_put(store, "x.xml", fixture_solo("Ada", "A4 F4 E4 D4"));
    must(store_commit(store, &why), &why);
    demand(write(said, &byte, 1) == 1 && read(asked, &byte, 1) == 0,
           "hold the index open");
    store_close(store);
    _exit(0);
}

/* While another program has the index open, its log is read too. */
START_TEST(a_folder_that_only_its_writer_may_write)
{
    int said[2], asked[2], status;
    char byte;

    store_make_index(folder, 2);
    ck_assert_int_eq(pipe(said) | pipe(asked), 0);
    if (fork() == 0) {
        close(asked[1]);
        hold_open(said[1], asked[0]);
    }
    ck_assert_int_eq(read(said[0], &byte, 1), 1);
    set_mode(0555, 0444);
    as_stranger(read_three);
    set_mode(0755, 0644);
    close(asked[1]);
    ck_assert_int_gt(wait(&status), 0);
    ck_assert(WIFEXITED(status) && WEXITSTATUS(status) == 0);
    close(said[0]);
    close(said[1]);
    close(asked[0]);
}
END_TEST

static void read_cut_short(void)
{
    struct store *store = NULL;

    demand(store_open(&store, folder, STORE_READ, NULL, &why) == ST_LIBRARY,
           "a log without its writer");
    demand(strstr(why.message, "cut short") != NULL, "says so");
}

/* Copy the file FROM to TO. */
static void copy_file(const char *from, const char *to)
{
    char buffer[4096];
    FILE *in = fopen(from, "rb"), *out = fopen(to, "wb");
    size_t got;

    ck_assert(in && out);
    while ((got = fread(buffer, 1, sizeof buffer, in)) > 0)
        ck_assert_uint_eq(fwrite(buffer, 1, got, out), got);
    fclose(in);
    ck_assert_int_eq(fclose(out), 0);
}

/* A log whose writer died, on a medium that cannot be mended: an answer from
 * the database alone could be wrong. */
START_TEST(a_log_that_cannot_be_folded_in)
{
    char log[FILE_SIZE + 8], kept[FILE_SIZE + 8], db[FILE_SIZE + 8];
    struct store *writer = store_must_open(folder, STORE_WRITE);

    must(store_begin(writer, &why), &why);
    store_must_put(writer, "x.xml", fixture_solo("Ada", "A4 F4 E4 D4"));
    must(store_commit(writer, &why), &why);
    snprintf(log, sizeof log, "%s-wal", file);
    snprintf(kept, sizeof kept, "%s/wal", folder);
    snprintf(db, sizeof db, "%s/db", folder);
    copy_file(log, kept);
    copy_file(file, db);
    store_close(writer);
    copy_file(kept, log);
    copy_file(db, file);
    set_mode(0555, 0444);
    as_stranger(read_cut_short);
    set_mode(0755, 0644);
    /* Where it may be mended it is, and nothing is lost. */
    writer = store_must_open(folder, STORE_READ);
    ck_assert_str_eq(store_paths(writer, NULL), "x.xml");
    store_close(writer);
}
END_TEST

static void write_is_refused(void)
{
    struct store *store = NULL;
    enum status st = store_open(&store, folder, STORE_WRITE, NULL, &why);

    if (st == ST_OK)
        st = store_begin(store, &why);
    demand(st == ST_IO, "a folder that may not be written to");
    demand(strstr(why.message, "--library DIR") != NULL, "gives advice");
    store_close(store);
}

static void read_is_refused(void)
{
    struct store *store = NULL;

    demand(store_open(&store, folder, STORE_READ, NULL, &why) == ST_IO,
           "a file that may not be read");
    demand(strstr(why.message, "may not be read") != NULL, "says so");
}

START_TEST(a_folder_that_may_not_be_written_to)
{
    ck_assert_int_eq(chmod(folder, 0555), 0);
    as_stranger(write_is_refused);
    ck_assert_int_eq(chmod(folder, 0755), 0);
    store_make_index(folder, 1);
    set_mode(0555, 0444);
    as_stranger(write_is_refused);
    set_mode(0555, 0666);
    as_stranger(write_is_refused);
    set_mode(0755, 0000);
    as_stranger(read_is_refused);
    set_mode(0755, 0644);
}
END_TEST

Suite *store_access_suite(void)
{
    Suite *suite = suite_create("store_access");
    TCase *tcase = tcase_create("store_access");

    tcase_add_checked_fixture(tcase, index_set_up, index_tear_down);
    tcase_set_timeout(tcase, 60);
    tcase_add_test(tcase, programs_that_start_together);
    tcase_add_test(tcase, a_folder_that_may_only_be_read);
    tcase_add_test(tcase, a_folder_that_only_its_writer_may_write);
    tcase_add_test(tcase, a_log_that_cannot_be_folded_in);
    tcase_add_test(tcase, a_folder_that_may_not_be_written_to);
    suite_add_tcase(suite, tcase);
    return suite;
}
