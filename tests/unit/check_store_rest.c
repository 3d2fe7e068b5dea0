/* check_store_rest.c - an index that nobody writes is read as a file that stays
 * as it is, and so it stays while it is read. */
#include <check.h>
#include <fcntl.h>
#include <signal.h>
#include <sqlite3.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include "tests/unit/find_fixture.h"
#include "tests/unit/index_fixture.h"
#include "tests/unit/suites.h"

enum {
    /* Commits after which SQLite folds its log in (at 1,000 pages), were
     * nobody in the way. */
    MANY = 150
};

/* Is there a file whose name is that of the index and TAIL? */
static bool is_beside(const char *tail)
{
    char name[FILE_SIZE + 16];

    snprintf(name, sizeof name, "%s%s", file, tail);
    return access(name, F_OK) == 0;
}

struct contents {
    size_t size;
    char *bytes;
    int fd;
};

/* What is in the file whose name is that of the index and TAIL.  It stays open
 * until contents_free(): closing it would take away the locks that SQLite has
 * on it in this program (fcntl(2), Advisory record locking). */
static struct contents contents_of(const char *tail)
{
    char name[FILE_SIZE + 16];
    struct contents c;
    struct stat info;

    snprintf(name, sizeof name, "%s%s", file, tail);
    c.fd = open(name, O_RDONLY);
    ck_assert_int_ge(c.fd, 0);
    ck_assert_int_eq(fstat(c.fd, &info), 0);
    c.size = (size_t)info.st_size;
    c.bytes = malloc(c.size + 1);
    ck_assert_int_eq(read(c.fd, c.bytes, c.size), info.st_size);
    return c;
}

static void contents_free(struct contents c)
{
    close(c.fd);
    free(c.bytes);
}

static void put_contents(const char *tail, struct contents c)
{
    char name[FILE_SIZE + 16];
    FILE *out;

    snprintf(name, sizeof name, "%s%s", file, tail);
    out = fopen(name, "wb");
    ck_assert_ptr_nonnull(out);
    ck_assert_uint_eq(fwrite(c.bytes, 1, c.size, out), c.size);
    ck_assert_int_eq(fclose(out), 0);
}

/* --- who writes: another program, since none is in its own way ----------- */

/* Put solos in COUNT commits, named from FIRST on. */
static void put_one_by_one(struct store *store, int first, int count)
{
    char path[24];

    for (int i = first; i < first + count; i++) {
        snprintf(path, sizeof path, "%d.xml", i);
        must(store_begin(store, &why), &why);
        store_must_put(store, path, fixture_solo("Ada", "[Dm7] A4 F4 E4 D4"));
        must(store_commit(store, &why), &why);
    }
}

static void write_much(void)
{
    struct store *store = store_must_open(folder, STORE_WRITE);

    put_one_by_one(store, 2, MANY);
    store_close(store);
}

static void write_and_die(void)
{
    put_one_by_one(store_must_open(folder, STORE_WRITE), 2, MANY);
    kill(getpid(), SIGKILL);
}

static void clear_and_write(void)
{
    struct store *store = store_must_open(folder, STORE_WRITE);

    must(store_clear(store, &why), &why);
    put_one_by_one(store, 0, MANY + 2);
    store_close(store);
}

struct program {
    pid_t pid;
    int go;
};

/* A program that will run ACT.  It is begun before anything is open here, of
 * which it would share the locks. */
static struct program program_new(void (*act)(void))
{
    struct program p;
    int ends[2];
    char byte;

    ck_assert_int_eq(pipe(ends), 0);
    p.pid = fork();
    ck_assert_int_ge(p.pid, 0);
    if (p.pid == 0) {
        close(ends[1]);
        if (read(ends[0], &byte, 1) == 1)
            act();
        _exit(0);
    }
    close(ends[0]);
    p.go = ends[1];
    return p;
}

/* Let it run to its end; the status of wait(). */
static int program_run(struct program p)
{
    int status;

    ck_assert_int_eq(write(p.go, "", 1), 1);
    ck_assert_int_eq(waitpid(p.pid, &status, 0), p.pid);
    close(p.go);
    return status;
}

/* --- the reader ---------------------------------------------------------- */

START_TEST(nothing_lies_beside_an_index_that_is_read)
{
    struct store *store;

    store_make_index(folder, 2);
    store = store_must_open(folder, STORE_READ);
    must(store_read_begin(store, &why), &why);
    ck_assert_uint_eq(store_count(store, cell, 3), 2);
    ck_assert(!is_beside("-wal") && !is_beside("-shm"));
    store_close(store);
    ck_assert(!is_beside("-wal") && !is_beside("-shm"));
}
END_TEST

/* The writer neither waits nor fails, and the reader goes on seeing what it
 * saw: to the byte. */
static void reads_while(void (*act)(void), bool dies)
{
    struct program writer;
    struct contents before, after;
    struct store *reader;
    int status;

    store_make_index(folder, 2);
    writer = program_new(act);
    reader = store_must_open(folder, STORE_READ);
    before = contents_of("");
    status = program_run(writer);
    ck_assert(dies ? WIFSIGNALED(status) : status == 0);
    after = contents_of("");
    ck_assert_uint_eq(before.size, after.size);
    ck_assert_int_eq(memcmp(before.bytes, after.bytes, before.size), 0);
    ck_assert_uint_eq(store_count(reader, cell, 3), 2);
    ck_assert_str_eq(store_paths(reader, NULL), "0.xml 1.xml");
    /* Who asks now is told what is new. */
    {
        struct store *second = store_must_open(folder, STORE_READ);

        ck_assert_uint_eq(store_count(second, cell, 3), MANY + 2);
        store_close(second);
    }
    ck_assert_uint_eq(store_count(reader, cell, 3), 2);
    store_close(reader);
    /* The last one to leave has tidied up. */
    ck_assert(!is_beside("-wal") && !is_beside("-shm"));
    reader = store_must_open(folder, STORE_READ);
    ck_assert(!is_beside("-shm"));
    ck_assert_uint_eq(store_count(reader, cell, 3), MANY + 2);
    store_close(reader);
    contents_free(before);
    contents_free(after);
}

START_TEST(a_writer_beside_a_reader)
{
    reads_while(write_much, false);
}
END_TEST

START_TEST(a_writer_that_dies_beside_a_reader)
{
    reads_while(write_and_die, true);
}
END_TEST

START_TEST(an_index_cleared_beside_a_reader)
{
    reads_while(clear_and_write, false);
}
END_TEST

/* The one reader to leave folds in the log of a writer that could not. */
START_TEST(a_log_left_to_the_reader)
{
    struct program writer;
    struct store *reader;

    store_make_index(folder, 2);
    writer = program_new(write_much);
    reader = store_must_open(folder, STORE_READ);
    ck_assert_int_eq(program_run(writer), 0);
    ck_assert(is_beside("-wal"));
    store_close(reader);
    ck_assert(!is_beside("-wal") && !is_beside("-shm"));
}
END_TEST

/* --- the writer ---------------------------------------------------------- */

/* A log that nobody keeps from it is folded in long before the end, or it would
 * become as large as all that was ever written. */
START_TEST(a_long_log_is_folded_in_on_the_way)
{
    struct store *store = store_must_open(folder, STORE_WRITE);
    struct contents before, after, log;

    put_one_by_one(store, 0, 1);
    before = contents_of("");
    put_one_by_one(store, 1, MANY);
    after = contents_of("");
    log = contents_of("-wal");
    ck_assert_uint_gt(after.size, before.size);
    ck_assert_uint_lt(log.size, (size_t)1500 * 8192);
    store_close(store);
    contents_free(before);
    contents_free(after);
    contents_free(log);
}
END_TEST

/* While a log is being folded in, the index is read with it. */
START_TEST(an_index_that_is_about_to_change)
{
    struct store *store;
    char inner[FILE_SIZE];
    int lock;

    store_make_index(folder, 2);
    snprintf(inner, sizeof inner, "%s/.cellar", folder);
    lock = open(inner, O_RDONLY | O_DIRECTORY);
    ck_assert_int_eq(flock(lock, LOCK_EX), 0);
    store = store_must_open(folder, STORE_READ);
    ck_assert(is_beside("-shm"));
    ck_assert_uint_eq(store_count(store, cell, 3), 2);
    close(lock);
    store_close(store);
}
END_TEST

/* --- other states of the file -------------------------------------------- */

static sqlite3 *sql_open(const char *sql)
{
    sqlite3 *db;

    ck_assert_int_eq(sqlite3_open(file, &db), SQLITE_OK);
    ck_assert_int_eq(sqlite3_exec(db, sql, NULL, NULL, NULL), SQLITE_OK);
    return db;
}

/* A writer without a log, as where there can be none, that died: what it
 * overwrote stands in its journal, and has to be put back first. */
START_TEST(a_journal_is_rolled_back_first)
{
    struct contents db, journal;
    struct store *store;
    sqlite3 *raw;

    store_make_index(folder, 40);
    raw = sql_open("PRAGMA journal_mode = DELETE; PRAGMA cache_size = 1;"
                   "BEGIN; UPDATE solo SET title = 'Half written';"
                   "UPDATE strand SET bytes = zeroblob(7);"
                   "UPDATE body SET bytes = zeroblob(9000)");
    db = contents_of("");
    journal = contents_of("-journal");
    ck_assert_uint_gt(journal.size, 0);
    ck_assert_int_eq(sqlite3_close(raw), SQLITE_OK);
    put_contents("", db);
    put_contents("-journal", journal);
    contents_free(db);
    contents_free(journal);
    store = store_must_open(folder, STORE_READ);
    ck_assert(!is_beside("-journal"));
    ck_assert_uint_eq(store_count(store, cell, 3), 40);
    store_close(store);
}
END_TEST

/* An index without a log is read at once, and becomes one with a log when it is
 * written. */
START_TEST(an_index_out_of_wal_mode)
{
    struct store *store;

    store_make_index(folder, 2);
    sqlite3_close(sql_open("PRAGMA journal_mode = DELETE"));
    store = store_must_open(folder, STORE_READ);
    ck_assert_uint_eq(store_count(store, cell, 3), 2);
    store_close(store);
    store = store_must_open(folder, STORE_WRITE);
    put_one_by_one(store, 2, 1);
    ck_assert(is_beside("-wal"));
    store_close(store);
}
END_TEST

/* A log of no length, as a reader leaves that was killed, holds nothing. */
START_TEST(an_empty_log_is_none)
{
    struct store *store;

    store_make_index(folder, 2);
    put_contents("-wal", (struct contents){ .bytes = "" });
    store = store_must_open(folder, STORE_READ);
    ck_assert(!is_beside("-shm"));
    ck_assert_uint_eq(store_count(store, cell, 3), 2);
    store_close(store);
}
END_TEST

Suite *store_rest_suite(void)
{
    Suite *suite = suite_create("store_rest");
    TCase *tcase = tcase_create("store_rest");

    tcase_add_checked_fixture(tcase, index_set_up, index_tear_down);
    tcase_set_timeout(tcase, 60);
    tcase_add_test(tcase, nothing_lies_beside_an_index_that_is_read);
    tcase_add_test(tcase, a_writer_beside_a_reader);
    tcase_add_test(tcase, a_writer_that_dies_beside_a_reader);
    tcase_add_test(tcase, an_index_cleared_beside_a_reader);
    tcase_add_test(tcase, a_log_left_to_the_reader);
    tcase_add_test(tcase, a_long_log_is_folded_in_on_the_way);
    tcase_add_test(tcase, an_index_that_is_about_to_change);
    tcase_add_test(tcase, a_journal_is_rolled_back_first);
    tcase_add_test(tcase, an_index_out_of_wal_mode);
    tcase_add_test(tcase, an_empty_log_is_none);
    suite_add_tcase(suite, tcase);
    return suite;
}
