/* check_store_open.c - indexes that are missing, damaged, foreign or newer,
 * and what is said about them. */
#include <check.h>
#include <fcntl.h>
#include <sqlite3.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "schema/field.h"
#include "tests/unit/find_fixture.h"
#include "tests/unit/index_fixture.h"
#include "tests/unit/suites.h"

/* Reading must fail with ST; the message holds WORDS. */
static void read_fails(const char *where, enum status st, const char *words)
{
    struct store *store = (struct store *)&why;
    enum status got = store_open(&store, where, STORE_READ, NULL, &why);

    ck_assert_msg(got == st, "status %d: %s", (int)got, why.message);
    ck_assert_ptr_null(store);
    ck_assert_msg(strstr(why.message, words) != NULL, "%s", why.message);
}

/* Reading is of use until words are asked for. */
static void words_fail(void)
{
    struct store *store = store_must_open(folder, STORE_READ);
    struct filter filter = { .count = 1 };
    struct passing *passing;

    ck_assert_str_ne(store_paths(store, NULL), "");
    ck_assert_uint_gt(store_count(store, cell, 3), 0);
    must(field_parse_where(&filter.terms[0], "words=laid back", &why), &why);
    ck_assert_int_eq(store_passing(&passing, store, &filter, &why), ST_LIBRARY);
    ck_assert_msg(strstr(why.message, "is damaged") != NULL, "%s", why.message);
    store_close(store);
}

static void write_fails(const char *where, enum status st, const char *words)
{
    struct store *store = (struct store *)&why;
    enum status got = store_open(&store, where, STORE_WRITE, NULL, &why);

    ck_assert_msg(got == st, "status %d: %s", (int)got, why.message);
    ck_assert_ptr_null(store);
    ck_assert_msg(strstr(why.message, words) != NULL, "%s", why.message);
}

/* Opening for writing starts a new index, which then works. */
static void write_rebuilds(bool expected)
{
    struct store *store;
    bool rebuilt = !expected;

    must(store_open(&store, folder, STORE_WRITE, &rebuilt, &why), &why);
    ck_assert_int_eq(rebuilt, expected);
    ck_assert_str_eq(store_paths(store, NULL), "");
    store_close(store);
    store_make_index(folder, 1);
    store = store_must_open(folder, STORE_READ);
    ck_assert_str_eq(store_paths(store, NULL), "0.xml");
    ck_assert_uint_eq(store_count(store, cell, 3), 1);
    store_close(store);
}

static void run_sql(const char *sql)
{
    sqlite3 *db;

    ck_assert_int_eq(sqlite3_open(file, &db), SQLITE_OK);
    ck_assert_int_eq(sqlite3_exec(db, sql, NULL, NULL, NULL), SQLITE_OK);
    ck_assert_int_eq(sqlite3_close(db), SQLITE_OK);
}

static void write_file(const char *text, size_t size)
{
    char inner[FILE_SIZE];
    FILE *out;

    snprintf(inner, sizeof inner, "%s/.cellar", folder);
    mkdir(inner, 0755);
    out = fopen(file, "wb");
    ck_assert_ptr_nonnull(out);
    ck_assert_uint_eq(fwrite(text, 1, size, out), size);
    ck_assert_int_eq(fclose(out), 0);
}

/* --- nothing there ------------------------------------------------------ */

START_TEST(no_index_names_the_command)
{
    char words[2 * FOLDER_SIZE + 64];

    snprintf(words, sizeof words, "%s holds no index yet; run cellar-index %s",
             folder, folder);
    read_fails(folder, ST_LIBRARY, words);
    write_file("", 0);
    read_fails(folder, ST_LIBRARY, words);
    write_rebuilds(false);
}
END_TEST

START_TEST(no_folder)
{
    char missing[FILE_SIZE];

    snprintf(missing, sizeof missing, "%s/missing", folder);
    read_fails(missing, ST_LIBRARY, "there is no folder");
    write_fails(missing, ST_LIBRARY, "there is no folder");
    write_fails("", ST_LIBRARY, "there is no folder");
    write_file("x", 1);
    read_fails(file, ST_LIBRARY, "is not a folder");
    write_fails(file, ST_LIBRARY, "is not a folder");
}
END_TEST

START_TEST(opening_leaves_no_litter)
{
    char log[FILE_SIZE + 8];
    struct store *store;

    store_make_index(folder, 2);
    store = store_must_open(folder, STORE_READ);
    ck_assert_str_eq(store_paths(store, NULL), "0.xml 1.xml");
    store_close(store);
    snprintf(log, sizeof log, "%s-wal", file);
    ck_assert_int_ne(access(log, F_OK), 0);
    snprintf(log, sizeof log, "%s-shm", file);
    ck_assert_int_ne(access(log, F_OK), 0);
}
END_TEST

START_TEST(an_index_survives_being_opened_again)
{
    struct store *store;
    bool rebuilt = true;

    store_make_index(folder, 2);
    must(store_open(&store, folder, STORE_WRITE, &rebuilt, &why), &why);
    ck_assert(!rebuilt);
    ck_assert_str_eq(store_paths(store, NULL), "0.xml 1.xml");
    ck_assert_str_eq(store_library(store), folder);
    store_close(store);
}
END_TEST

/* The names are picked to be misread as a URI or a pattern. */
START_TEST(any_folder_name_will_do)
{
    static const char *const names[] = {
        "a b%20c", "what?immutable=1", "x#y", "file:z", "100%", "\xC3\xA9",
        "\xff\xfe", "\"quoted\" 'name'", "semi;colon&and"
    };
    char path[FILE_SIZE];
    struct store *store;
    char old[4096];

    ck_assert_ptr_nonnull(getcwd(old, sizeof old));
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
        snprintf(path, sizeof path, "%s/%s", folder, names[i]);
        ck_assert_int_eq(mkdir(path, 0755), 0);
        store_make_index(path, 1);
        /* The same by a relative path, with a slash at its end. */
        ck_assert_int_eq(chdir(folder), 0);
        snprintf(path, sizeof path, "%s/", names[i]);
        store = store_must_open(path, STORE_READ);
        ck_assert_str_eq(store_paths(store, NULL), "0.xml");
        store_close(store);
        ck_assert_int_eq(chdir(old), 0);
        snprintf(path, sizeof path, "%s/%s/.cellar/index.db", folder,
                 names[i]);
        ck_assert_int_eq(access(path, F_OK), 0);
    }
}
END_TEST

/* --- versions ------------------------------------------------------------ */

START_TEST(a_newer_index_is_refused)
{
    store_make_index(folder, 1);
    run_sql("PRAGMA user_version = 99");
    read_fails(folder, ST_LIBRARY,
               "this index was written by a newer Cellar");
    write_fails(folder, ST_LIBRARY,
                "this index was written by a newer Cellar");
    run_sql("PRAGMA user_version = 1");
    store_make_index(folder, 1);
}
END_TEST

START_TEST(an_older_index_is_built_anew)
{
    store_make_index(folder, 3);
    run_sql("PRAGMA user_version = 0; DROP TABLE words;"
            "CREATE TABLE solo2 (x); CREATE INDEX i ON solo2 (x)");
    read_fails(folder, ST_LIBRARY, "older Cellar; run cellar-index");
    write_rebuilds(true);
}
END_TEST

START_TEST(the_schema_has_the_version_of_the_program)
{
    sqlite3 *db;
    sqlite3_stmt *stmt;

    store_make_index(folder, 0);
    ck_assert_int_eq(sqlite3_open(file, &db), SQLITE_OK);
    ck_assert_int_eq(
        sqlite3_prepare_v2(db, "PRAGMA user_version", -1, &stmt, NULL),
        SQLITE_OK);
    ck_assert_int_eq(sqlite3_step(stmt), SQLITE_ROW);
    ck_assert_int_eq(sqlite3_column_int(stmt, 0), STORE_VERSION);
    sqlite3_finalize(stmt);
    sqlite3_close(db);
}
END_TEST

START_TEST(a_database_of_another_program_is_left_alone)
{
    write_file("", 0);
    run_sql("CREATE TABLE letters (text); INSERT INTO letters VALUES ('dear')");
    read_fails(folder, ST_LIBRARY, "is no index of Cellar; move it away");
    write_fails(folder, ST_LIBRARY, "is no index of Cellar; move it away");
    run_sql("PRAGMA application_id = 42; INSERT INTO letters VALUES ('me')");
    read_fails(folder, ST_LIBRARY, "cellar-index --full");
    write_fails(folder, ST_LIBRARY, "cellar-index --full");
}
END_TEST

/* --- damage -------------------------------------------------------------- */

START_TEST(a_file_that_is_no_database)
{
    static const char text[] = "This is not an index but a letter.\n";
    char *much = malloc(20000);

    write_file(text, sizeof text);
    read_fails(folder, ST_LIBRARY, "is damaged");
    ck_assert_ptr_nonnull(strstr(why.message, "run cellar-index --full"));
    write_rebuilds(true);
    memset(much, 'x', 20000);
    write_file(much, 20000);
    read_fails(folder, ST_LIBRARY, "is damaged");
    write_rebuilds(true);
    free(much);
}
END_TEST

START_TEST(a_truncated_index)
{
    static const long sizes[] = { 50, 100, 1000, 4096, 5000, 8192, 20480 };

    for (size_t i = 0; i < sizeof sizes / sizeof sizes[0]; i++) {
        store_make_index(folder, 20);
        ck_assert_int_eq(truncate(file, sizes[i]), 0);
        read_fails(folder, ST_LIBRARY, "is damaged");
        write_rebuilds(true);
    }
}
END_TEST

START_TEST(a_table_is_missing)
{
    store_make_index(folder, 2);
    run_sql("DROP TABLE body");
    read_fails(folder, ST_LIBRARY, "is damaged");
    write_rebuilds(true);
    store_make_index(folder, 2);
    run_sql("DROP TABLE words_config");
    words_fail();
    write_rebuilds(true);
    store_make_index(folder, 2);
    run_sql("ALTER TABLE solo RENAME COLUMN warnings TO warnjngs");
    read_fails(folder, ST_LIBRARY, "is damaged");
    write_rebuilds(true);
}
END_TEST

static void miss_column(const char *table, const char *column)
{
    char *sql = sqlite3_mprintf("ALTER TABLE \"%w\" RENAME COLUMN \"%w\""
                                " TO other", table, column);

    ck_assert_int_eq(unlink(file), 0);
    store_make_index(folder, 1);
    run_sql(sql);
    sqlite3_free(sql);
    read_fails(folder, ST_LIBRARY, "is damaged");
}

/* All columns of the tables that schema.sql makes, but those of FTS5. */
START_TEST(a_column_is_missing)
{
    char names[80][2][40];
    sqlite3_stmt *stmt;
    sqlite3 *db;
    int count = 0;

    store_make_index(folder, 1);
    ck_assert_int_eq(sqlite3_open(file, &db), SQLITE_OK);
    ck_assert_int_eq(
        sqlite3_prepare_v2(db,
                           "SELECT m.name, c.name FROM sqlite_schema AS m,"
                           " pragma_table_info(m.name) AS c"
                           " WHERE m.type = 'table' AND m.sql LIKE"
                           " 'CREATE TABLE %' AND m.name NOT LIKE 'gram%'"
                           " AND m.name NOT LIKE 'words%'",
                           -1, &stmt, NULL),
        SQLITE_OK);
    for (; sqlite3_step(stmt) == SQLITE_ROW && count < 80; count++)
        for (int i = 0; i < 2; i++)
            snprintf(names[count][i], sizeof names[count][i], "%s",
                     (const char *)sqlite3_column_text(stmt, i));
    sqlite3_finalize(stmt);
    sqlite3_close(db);
    ck_assert_int_gt(count, 25);
    for (int i = 0; i < count; i++)
        miss_column(names[i][0], names[i][1]);
}
END_TEST

START_TEST(a_table_of_another_kind)
{
    static const char *const changes[] = {
        "ALTER TABLE strand RENAME TO strands;"
        "CREATE VIEW strand AS SELECT * FROM strands",
        "DROP TABLE gram_config",
        "UPDATE gram_config SET v = 99 WHERE k = 'version'"
    };
    static const char *const of_words[] = {
        "DROP TABLE words",
        "DROP TABLE words; CREATE VIRTUAL TABLE words"
        " USING fts5 (title, performer, composer, instrument)",
        "DROP TABLE words; CREATE TABLE words (title, performer, composer,"
        " instrument)",
        "UPDATE words_config SET v = 99 WHERE k = 'version'"
    };

    for (size_t i = 0; i < sizeof changes / sizeof *changes; i++) {
        store_make_index(folder, 1);
        run_sql(changes[i]);
        read_fails(folder, ST_LIBRARY, "is damaged");
        ck_assert_int_eq(unlink(file), 0);
    }
    for (size_t i = 0; i < sizeof of_words / sizeof *of_words; i++) {
        store_make_index(folder, 1);
        run_sql(of_words[i]);
        words_fail();
        write_rebuilds(true);
        ck_assert_int_eq(unlink(file), 0);
    }
}
END_TEST

START_TEST(a_table_is_another)
{
    struct store *store;

    store_make_index(folder, 2);
    run_sql("ALTER TABLE file RENAME COLUMN size TO weight");
    ck_assert_int_eq(store_open(&store, folder, STORE_READ, NULL, &why),
                     ST_LIBRARY);
    ck_assert_ptr_nonnull(strstr(why.message, "run cellar-index --full"));
}
END_TEST

static bool load(void *context, const struct solo_record *record)
{
    struct solo *solo = NULL;
    struct store *store = context;
    enum status st = store_load(store, record->id, &solo, &why);

    ck_assert_msg(st == ST_LIBRARY, "status %d", (int)st);
    ck_assert_ptr_null(solo);
    ck_assert_ptr_nonnull(strstr(why.message, "run cellar-index --full"));
    return true;
}

/* A solo that claims to lie thousands of millions of notes away would take as
 * many bytes of memory. */
START_TEST(a_solo_that_lies_beyond_every_library)
{
    static const char *const claims[] = { "f0ffffff04000000",
                                          "00000000ffffffff",
                                          "ffffff7fffffff7f" };

    for (size_t i = 0; i < sizeof claims / sizeof *claims; i++) {
        struct store *store;
        struct stretch found;
        char sql[200];

        store_make_index(folder, 1);
        snprintf(sql, sizeof sql,
                 "UPDATE segment SET solos = x'0100000000000000%s'",
                 claims[i]);
        run_sql(sql);
        store = store_must_open(folder, STORE_READ);
        must(store_read_begin(store, &why), &why);
        ck_assert_int_eq(store_stretch(store, 1, &found, &why), ST_LIBRARY);
        ck_assert_ptr_nonnull(strstr(why.message, "run cellar-index --full"));
        store_read_end(store);
        store_close(store);
        ck_assert_int_eq(unlink(file), 0);
    }
}
END_TEST

START_TEST(a_segment_with_the_last_number_there_is)
{
    struct file_record record = { .path = "new.xml",
                                  .sha256 = "00",
                                  .part = "",
                                  .unreadable = "" };
    struct store *store;
    struct solo *solo;
    struct stretch found;
    bool rebuilt;

    store_make_index(folder, 1);
    run_sql("UPDATE segment SET id = 9223372036854775807");
    store = store_must_open(folder, STORE_READ);
    must(store_load(store, 1, &solo, &why), &why);
    must(store_read_begin(store, &why), &why);
    ck_assert_int_eq(store_stretch(store, 1, &found, &why), ST_LIBRARY);
    store_read_end(store);
    store_close(store);
    must(store_open(&store, folder, STORE_WRITE, &rebuilt, &why), &why);
    must(store_begin(store, &why), &why);
    ck_assert_int_eq(store_put(store, &record, solo, &why), ST_LIBRARY);
    ck_assert_ptr_nonnull(strstr(why.message, "run cellar-index --full"));
    store_rollback(store);
    store_close(store);
    solo_free(solo);
}
END_TEST

START_TEST(notes_that_do_not_read)
{
    static const char *const damages[] = {
        "UPDATE body SET bytes = x'00'", "UPDATE body SET bytes = x''",
        "UPDATE body SET bytes = substr(bytes, 1, length(bytes) - 1)",
        "UPDATE body SET bytes = 'text'", "UPDATE body SET bytes = 7"
    };
    struct store *store;
    struct fault ignored;

    for (size_t i = 0; i < sizeof damages / sizeof damages[0]; i++) {
        store_make_index(folder, 2);
        run_sql(damages[i]);
        store = store_must_open(folder, STORE_READ);
        must(store_solos(store, NULL, load, store, &ignored), &ignored);
        store_close(store);
        /* Neither can it be forgotten note by note; clearing mends it. */
        store = store_must_open(folder, STORE_WRITE);
        must(store_begin(store, &why), &why);
        ck_assert_int_eq(
            store_remove(store, store_file_id(store, "0.xml"), &why),
            ST_LIBRARY);
        store_rollback(store);
        must(store_clear(store, &why), &why);
        store_close(store);
        store_make_index(folder, 1);
    }
}
END_TEST

static bool any_solo(void *context, const struct solo_record *solo)
{
    struct store *store = context;
    struct solo *whole = NULL;

    store_load(store, solo->id, &whole, &why);
    solo_free(whole);
    return true;
}

/* Bytes changed anywhere give a plain fault or an answer, never a crash, and
 * a clear start mends it. */
START_TEST(bytes_changed_anywhere)
{
    unsigned int seed = 11;

    for (int round = 0; round < 30; round++) {
        struct store *store = NULL;
        struct stat info;
        int fd;

        store_make_index(folder, 30);
        ck_assert_int_eq(stat(file, &info), 0);
        fd = open(file, O_WRONLY);
        for (int i = 0; i < 40; i++) {
            unsigned char byte;

            seed = seed * 1103515245u + 12345u;
            byte = (unsigned char)(seed >> 24);
            ck_assert_int_eq(
                pwrite(fd, &byte, 1, (off_t)(seed >> 4) % info.st_size), 1);
        }
        close(fd);
        if (store_open(&store, folder, STORE_READ, NULL, &why) == ST_OK) {
            store_solos(store, NULL, any_solo, store, &why);
            store_close(store);
        }
        if (store_open(&store, folder, STORE_WRITE, NULL, &why) == ST_OK) {
            must(store_clear(store, &why), &why);
            store_close(store);
        } else {
            /* The version or the owner's mark was hit. */
            ck_assert_int_eq(unlink(file), 0);
        }
        store_make_index(folder, 1);
        store = store_must_open(folder, STORE_READ);
        ck_assert_uint_eq(store_count(store, cell, 3), 1);
        store_close(store);
        ck_assert_int_eq(unlink(file), 0);
    }
}
END_TEST

START_TEST(triggers_in_the_file_do_not_run)
{
    struct store *store;

    store_make_index(folder, 1);
    run_sql("CREATE TRIGGER t AFTER INSERT ON solo BEGIN"
            " DELETE FROM solo; END");
    store = store_must_open(folder, STORE_WRITE);
    must(store_begin(store, &why), &why);
    store_must_put(store, "9.xml", fixture_solo("Ada", "C4"));
    must(store_commit(store, &why), &why);
    ck_assert_str_eq(store_paths(store, NULL), "0.xml 9.xml");
    store_close(store);
}
END_TEST

static void add_missing(TCase *tcase)
{
    tcase_add_test(tcase, no_index_names_the_command);
    tcase_add_test(tcase, no_folder);
    tcase_add_test(tcase, opening_leaves_no_litter);
    tcase_add_test(tcase, an_index_survives_being_opened_again);
    tcase_add_test(tcase, any_folder_name_will_do);
    tcase_add_test(tcase, a_newer_index_is_refused);
    tcase_add_test(tcase, an_older_index_is_built_anew);
    tcase_add_test(tcase, the_schema_has_the_version_of_the_program);
    tcase_add_test(tcase, a_database_of_another_program_is_left_alone);
}

Suite *store_open_suite(void)
{
    Suite *suite = suite_create("store_open");
    TCase *tcase = tcase_create("store_open");

    tcase_add_checked_fixture(tcase, index_set_up, index_tear_down);
    tcase_set_timeout(tcase, 60);
    add_missing(tcase);
    tcase_add_test(tcase, a_file_that_is_no_database);
    tcase_add_test(tcase, a_truncated_index);
    tcase_add_test(tcase, a_table_is_missing);
    tcase_add_test(tcase, a_column_is_missing);
    tcase_add_test(tcase, a_table_of_another_kind);
    tcase_add_test(tcase, a_table_is_another);
    tcase_add_test(tcase, a_solo_that_lies_beyond_every_library);
    tcase_add_test(tcase, a_segment_with_the_last_number_there_is);
    tcase_add_test(tcase, notes_that_do_not_read);
    tcase_add_test(tcase, bytes_changed_anywhere);
    tcase_add_test(tcase, triggers_in_the_file_do_not_run);
    suite_add_tcase(suite, tcase);
    return suite;
}
