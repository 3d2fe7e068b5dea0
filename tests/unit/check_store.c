/* check_store.c - what is put into an index comes out of it, and no more. */
#include <check.h>
#include <sqlite3.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "schema/gram.h"
#include "schema/sqlite_code.h"
#include "schema/store_internal.h"
#include "tests/unit/find_fixture.h"
#include "tests/unit/store_fixture.h"
#include "tests/unit/suites.h"

static char folder[FOLDER_SIZE];
static struct store *store;
static struct fault why;

static void set_up(void)
{
    folder_make(folder);
    store = store_must_open(folder, STORE_WRITE);
}

static void tear_down(void)
{
    store_close(store);
    folder_remove(folder);
}

static void begin(void)
{
    must(store_begin(store, &why), &why);
}

static void commit(void)
{
    must(store_commit(store, &why), &why);
}

static const int cell[] = { -4, -1, -2 };
static const char cell_text[] = "[Dm7] A4 F4 E4 D4 [G7] B4 r D5";

/* --- round trips ------------------------------------------------------ */

static bool check_facts(void *context, const struct solo_record *solo)
{
    *(int64_t *)context = solo->id;
    ck_assert_str_eq(solo->path, "a/b.xml");
    ck_assert_str_eq(solo->title, cell_text);
    ck_assert_str_eq(solo->performer, "Ada Lovel");
    ck_assert_str_eq(solo->composer, "");
    ck_assert_str_eq(solo->metre, "4/4");
    ck_assert_str_eq(solo->key, "F minor");
    ck_assert_uint_eq(strlen(solo->sha256), 64);
    ck_assert_int_eq(solo->tempo, 13250);
    ck_assert_int_eq(solo->notes, 6);
    ck_assert_int_eq(solo->chords, 2);
    ck_assert_int_eq(solo->bars, 1);
    ck_assert_int_eq(solo->warnings, 0);
    return true;
}

START_TEST(a_solo_comes_back_whole)
{
    struct solo *solo = fixture_solo("Ada Lovel", cell_text), *back;
    unsigned char *before, *after;
    size_t before_size, after_size;
    int64_t id = 0;

    /* Written for a B flat instrument: G minor on paper sounds as F minor. */
    solo->tempo = 13250;
    solo->has_key = solo->has_transpose = true;
    solo->fifths = -2;
    solo->mode = MODE_MINOR;
    solo->transpose = -2;
    solo->transpose_steps = -1;
    must(solo_encode(solo, &before, &before_size, &why), &why);
    begin();
    store_must_put(store, "a/b.xml", solo);
    commit();
    must(store_solos(store, NULL, check_facts, &id, &why), &why);
    must(store_load(store, id, &back, &why), &why);
    must(solo_encode(back, &after, &after_size, &why), &why);
    ck_assert_uint_eq(before_size, after_size);
    ck_assert_mem_eq(before, after, before_size);
    free(before);
    free(after);
    solo_free(back);
}
END_TEST

static bool check_file(void *context, const struct file_record *file)
{
    int *n = context;

    if ((*n)++ == 0) {
        ck_assert_str_eq(file->path, "bad.xml");
        ck_assert_str_eq(file->unreadable, "line 3: not a score");
    } else {
        ck_assert_str_eq(file->path, "good.xml");
        ck_assert_str_eq(file->unreadable, "");
    }
    ck_assert_int_eq(file->size, 1000 + (int64_t)strlen(file->path));
    ck_assert_int_eq(file->mtime, 1700000000123456789);
    ck_assert_str_eq(file->part, "Melody");
    ck_assert_uint_eq(strlen(file->sha256), 64);
    return true;
}

START_TEST(files_are_listed_with_what_was_wrong)
{
    struct store_totals totals;
    int n = 0;

    begin();
    store_must_put(store, "good.xml", fixture_solo("Ada", cell_text));
    store_must_put(store, "bad.xml", NULL);
    commit();
    must(store_files(store, check_file, &n, &why), &why);
    ck_assert_int_eq(n, 2);
    ck_assert_str_eq(store_paths(store, NULL), "good.xml");
    must(store_totals(store, &totals, &why), &why);
    ck_assert_int_eq(totals.solos, 1);
    ck_assert_int_eq(totals.unreadable, 1);
    ck_assert_int_eq(totals.notes, 6);
    ck_assert_int_eq(totals.chords, 2);
}
END_TEST

START_TEST(paths_are_in_the_order_of_their_bytes)
{
    begin();
    store_must_put(store, "b.xml", fixture_solo("Ada", "C4"));
    store_must_put(store, "B.xml", fixture_solo("Ada", "C4"));
    store_must_put(store, "\xC3\xA9.xml", fixture_solo("Ada", ""));
    store_must_put(store, "a/c.xml", fixture_solo("Ada", "C4"));
    store_must_put(store, "a-b.xml", fixture_solo("Ada", "C4"));
    commit();
    ck_assert_str_eq(store_paths(store, NULL),
                     "B.xml a-b.xml a/c.xml b.xml \xC3\xA9.xml");
}
END_TEST

START_TEST(a_solo_that_is_not_there_is_nothing)
{
    struct solo *solo;

    ck_assert_int_eq(store_load(store, 99, &solo, &why), ST_NOTHING);
    ck_assert_ptr_null(solo);
}
END_TEST

/* --- changes ----------------------------------------------------------- */

START_TEST(a_second_put_replaces_the_first)
{
    begin();
    store_must_put(store, "a.xml", fixture_solo("Ada", cell_text));
    commit();
    ck_assert_uint_eq(store_count(store, cell, 3), 1);
    begin();
    store_must_put(store, "a.xml", fixture_solo("Ben", "C4 D4 E4 F4 G4"));
    commit();
    ck_assert_uint_eq(store_count(store, cell, 3), 0);
    ck_assert_str_eq(store_paths(store, NULL), "a.xml");
    begin();
    store_must_put(store, "a.xml", NULL);
    commit();
    ck_assert_str_eq(store_paths(store, NULL), "");
    ck_assert_int_ne(store_file_id(store, "a.xml"), 0);
}
END_TEST

START_TEST(a_removed_file_leaves_nothing)
{
    begin();
    store_must_put(store, "a.xml", fixture_solo("Ada", cell_text));
    store_must_put(store, "b.xml", fixture_solo("Ada", cell_text));
    commit();
    ck_assert_uint_eq(store_count(store, cell, 3), 2);
    begin();
    must(store_remove(store, store_file_id(store, "a.xml"), &why), &why);
    must(store_remove(store, 4711, &why), &why);
    commit();
    ck_assert_uint_eq(store_count(store, cell, 3), 1);
    ck_assert_str_eq(store_paths(store, NULL), "b.xml");
    ck_assert_int_eq(store_file_id(store, "a.xml"), 0);
}
END_TEST

static void touch(int64_t id, const char *path)
{
    struct file_record file = { .id = id, .path = path, .size = 5,
                                .mtime = 6 };

    must(store_touch(store, &file, &why), &why);
}

START_TEST(a_moved_file_keeps_its_solo)
{
    int64_t id;

    begin();
    store_must_put(store, "a.xml", fixture_solo("Ada", cell_text));
    commit();
    id = store_file_id(store, "a.xml");
    begin();
    touch(id, "new/a.xml");
    commit();
    ck_assert_str_eq(store_paths(store, NULL), "new/a.xml");
    ck_assert_int_eq(store_file_id(store, "new/a.xml"), id);
    ck_assert_uint_eq(store_count(store, cell, 3), 1);
}
END_TEST

START_TEST(two_files_can_change_names)
{
    int64_t a, b;

    begin();
    store_must_put(store, "a.xml", fixture_solo("Ada", cell_text));
    store_must_put(store, "b.xml", fixture_solo("Ben", "C4"));
    commit();
    a = store_file_id(store, "a.xml");
    b = store_file_id(store, "b.xml");
    begin();
    touch(a, "b.xml");
    touch(b, "a.xml");
    commit();
    ck_assert_int_eq(store_file_id(store, "a.xml"), b);
    ck_assert_int_eq(store_file_id(store, "b.xml"), a);
    ck_assert_str_eq(store_paths(store, NULL), "a.xml b.xml");
}
END_TEST

START_TEST(a_file_moved_over_another_takes_its_place)
{
    int64_t b;

    begin();
    store_must_put(store, "a.xml", fixture_solo("Ada", cell_text));
    store_must_put(store, "b.xml", fixture_solo("Ben", "C4 D4"));
    commit();
    b = store_file_id(store, "b.xml");
    begin();
    touch(b, "a.xml");
    commit();
    ck_assert_str_eq(store_paths(store, NULL), "a.xml");
    ck_assert_int_eq(store_file_id(store, "a.xml"), b);
    ck_assert_uint_eq(store_count(store, cell, 3), 0);
}
END_TEST

START_TEST(a_rollback_undoes_everything)
{
    begin();
    store_must_put(store, "a.xml", fixture_solo("Ada", cell_text));
    commit();
    begin();
    must(store_remove(store, store_file_id(store, "a.xml"), &why), &why);
    store_must_put(store, "b.xml", fixture_solo("Ada", cell_text));
    store_must_put(store, "c.xml", fixture_solo("Ada", cell_text));
    store_rollback(store);
    ck_assert_str_eq(store_paths(store, NULL), "a.xml");
    ck_assert_uint_eq(store_count(store, cell, 3), 1);
}
END_TEST

START_TEST(writing_needs_a_transaction)
{
    struct file_record file = { .path = "a.xml", .part = "",
                                .unreadable = "" };

    ck_assert_int_eq(store_put(store, &file, NULL, &why), ST_INTERNAL);
    ck_assert_int_eq(store_remove(store, 1, &why), ST_INTERNAL);
    ck_assert_int_eq(store_touch(store, &file, &why), ST_INTERNAL);
    ck_assert_int_eq(store_commit(store, &why), ST_INTERNAL);
    begin();
    ck_assert_int_eq(store_begin(store, &why), ST_INTERNAL);
    commit();
}
END_TEST

static bool note_stretch(void *context, const struct stretch *solo)
{
    char *sql = sqlite3_mprintf(
        "INSERT INTO temp.lies VALUES (%lld, %lld, %u, %u)",
        (long long)solo->id, (long long)solo->segment, solo->start,
        solo->start + solo->count);

    ck_assert_int_eq(sqlite3_exec(context, sql, NULL, NULL, NULL), SQLITE_OK);
    sqlite3_free(sql);
    return true;
}

/* Tell DB where the solos of the index lie. */
static void note_stretches(sqlite3 *db, const char *where)
{
    struct store *reader = store_must_open(where, STORE_READ);

    ck_assert_int_eq(
        sqlite3_exec(db, "CREATE TABLE temp.lies (id, segment, start, stop)",
                     NULL, NULL, NULL),
        SQLITE_OK);
    must(store_read_begin(reader, &why), &why);
    must(store_stretches(reader, NULL, note_stretch, db, &why), &why);
    store_close(reader);
}

/* All tokens of the full-text tables with their places, as one text. */
static char *dump_index(const char *where)
{
    static const char sql[] =
        "SELECT group_concat(line, char(10)) FROM (SELECT f.path || ' ' ||"
        " g.term || ' ' || (g.offset - l.start) AS line"
        " FROM temp.grams AS g JOIN temp.lies AS l ON l.segment = g.doc"
        " AND g.offset >= l.start AND g.offset < l.stop"
        " JOIN file AS f ON f.id = l.id"
        " UNION ALL SELECT f.path || ' ' || w.term || ' ' || w.col || ' ' ||"
        " w.offset FROM temp.texts AS w JOIN file AS f ON f.id = w.doc"
        " ORDER BY 1)";
    char file[FOLDER_SIZE + 32];
    sqlite3 *db;
    sqlite3_stmt *stmt;
    char *text;

    snprintf(file, sizeof file, "%s/.cellar/index.db", where);
    ck_assert_int_eq(sqlite3_open(file, &db), SQLITE_OK);
    must(gram_register(db, &why), &why);
    ck_assert_int_eq(
        sqlite3_exec(db,
                     "CREATE VIRTUAL TABLE temp.grams USING"
                     " fts5vocab(main, gram, instance);"
                     "CREATE VIRTUAL TABLE temp.texts USING"
                     " fts5vocab(main, words, instance);"
                     "INSERT INTO gram (gram) VALUES ('integrity-check');"
                     "INSERT INTO words (words) VALUES ('integrity-check')",
                     NULL, NULL, NULL),
        SQLITE_OK);
    note_stretches(db, where);
    ck_assert_int_eq(sqlite3_prepare_v2(db, sql, -1, &stmt, NULL), SQLITE_OK);
    ck_assert_int_eq(sqlite3_step(stmt), SQLITE_ROW);
    text = strdup((const char *)sqlite3_column_text(stmt, 0));
    sqlite3_finalize(stmt);
    sqlite3_close(db);
    return text;
}

static const char *const versions[] = {
    "[Dm7] A4 F4 E4 D4 [G7] G4 Eb4 D4 C4", "[N.C.] C4 C6 C1 [F7] A4:2 F4 r D4",
    "C4 D4 E4 [Bbmaj7] D4:4. F4 A4 C5", "", "C4", "[Am7b5] C4:16 Eb4:16"
};

/* Whatever happened to an index on the way, it equals one made at once. */
START_TEST(changes_leave_the_index_as_if_made_anew)
{
    int held[5] = { -1, -1, -1, -1, -1 };
    char other[FOLDER_SIZE], path[16], *a, *b;
    struct store *fresh;
    unsigned int seed = 5;

    for (int round = 0; round < 200; round++) {
        int which;

        seed = seed * 1103515245u + 12345u;
        which = (int)(seed >> 16) % 5;
        snprintf(path, sizeof path, "%d.xml", which);
        begin();
        if (held[which] >= 0 && (seed >> 20) % 3 == 0) {
            must(store_remove(store, store_file_id(store, path), &why), &why);
            held[which] = -1;
        } else {
            held[which] = (int)((seed >> 24) % 6);
            store_must_put(store, path,
                           fixture_solo("Ada", versions[held[which]]));
        }
        commit();
        if (round == 100)
            must(store_optimize(store, &why), &why);
    }
    folder_make(other);
    fresh = store_must_open(other, STORE_WRITE);
    must(store_begin(fresh, &why), &why);
    for (int i = 0; i < 5; i++) {
        snprintf(path, sizeof path, "%d.xml", i);
        if (held[i] >= 0)
            store_must_put(fresh, path,
                           fixture_solo("Ada", versions[held[i]]));
    }
    must(store_commit(fresh, &why), &why);
    store_close(fresh);
    a = dump_index(folder);
    b = dump_index(other);
    ck_assert_uint_gt(strlen(a), 100);
    ck_assert_str_eq(a, b);
    free(a);
    free(b);
    folder_remove(other);
}
END_TEST

START_TEST(optimizing_changes_no_answer)
{
    begin();
    for (int i = 0; i < 40; i++) {
        char path[16];

        snprintf(path, sizeof path, "%d.xml", i);
        store_must_put(store, path, fixture_solo("Ada", cell_text));
    }
    must(store_optimize(store, &why), &why);
    commit();
    ck_assert_uint_eq(store_count(store, cell, 3), 40);
    must(store_optimize(store, &why), &why);
    ck_assert_uint_eq(store_count(store, cell, 3), 40);
}
END_TEST

/* How many parts of a size FTS5 lets be before it merges them. */
static int parts_left(const char *table)
{
    char *sql = sqlite3_mprintf(
        "SELECT coalesce((SELECT v FROM %s_config WHERE k = 'automerge'), 4)",
        table);
    sqlite3_stmt *stmt;
    int parts;

    ck_assert_int_eq(sqlite3_prepare_v2(store->db, sql, -1, &stmt, NULL),
                     SQLITE_OK);
    ck_assert_int_eq(sqlite3_step(stmt), SQLITE_ROW);
    parts = sqlite3_column_int(stmt, 0);
    sqlite3_finalize(stmt);
    sqlite3_free(sql);
    return parts;
}

static void put_next(void)
{
    static int count;
    char path[16];

    snprintf(path, sizeof path, "%d.xml", count++);
    begin();
    store_must_put(store, path, fixture_solo("Ada", cell_text));
    commit();
}

/* While much is put nothing is merged; afterwards it is as ever, also where
 * the run did not come to its end. */
START_TEST(merging_goes_on_after_much_was_put)
{
    put_next();
    ck_assert_int_eq(parts_left("gram"), 4);
    store_expect_many(store);
    put_next();
    ck_assert_int_eq(parts_left("gram"), 0);
    ck_assert_int_eq(parts_left("words"), 0);
    put_next();
    must(store_optimize(store, &why), &why);
    ck_assert_int_eq(parts_left("gram"), 4);
    ck_assert_int_eq(parts_left("words"), 4);

    store_expect_many(store);
    put_next();
    begin();
    store_rollback(store);
    put_next();
    ck_assert_int_eq(parts_left("words"), 0);
    store_close(store);
    store = store_must_open(folder, STORE_WRITE);
    put_next();
    ck_assert_int_eq(parts_left("gram"), 4);
    ck_assert_int_eq(parts_left("words"), 4);
    ck_assert_uint_eq(store_count(store, cell, 3), 6);
}
END_TEST

START_TEST(clearing_starts_over)
{
    struct store *reader;

    begin();
    store_must_put(store, "a.xml", fixture_solo("Ada", cell_text));
    commit();
    reader = store_must_open(folder, STORE_READ);
    must(store_read_begin(reader, &why), &why);
    must(store_clear(store, &why), &why);
    ck_assert_str_eq(store_paths(store, NULL), "");
    begin();
    store_must_put(store, "b.xml", fixture_solo("Ada", cell_text));
    commit();
    ck_assert_str_eq(store_paths(store, NULL), "b.xml");
    /* The question under way still sees what was there. */
    ck_assert_str_eq(store_paths(reader, NULL), "a.xml");
    ck_assert_uint_eq(store_count(reader, cell, 3), 1);
    store_read_end(reader);
    ck_assert_str_eq(store_paths(reader, NULL), "b.xml");
    store_close(reader);
}
END_TEST

/* --- several programs at once ----------------------------------------- */

START_TEST(a_question_sees_one_state)
{
    struct store *reader;

    begin();
    store_must_put(store, "a.xml", fixture_solo("Ada", cell_text));
    commit();
    reader = store_must_open(folder, STORE_READ);
    must(store_read_begin(reader, &why), &why);
    begin();
    must(store_remove(store, store_file_id(store, "a.xml"), &why), &why);
    store_must_put(store, "b.xml", fixture_solo("Ada", "C4 D4"));
    commit();
    /* The state is that of the begin, not of the first question after it. */
    ck_assert_str_eq(store_paths(reader, NULL), "a.xml");
    ck_assert_uint_eq(store_count(reader, cell, 3), 1);
    store_read_end(reader);
    ck_assert_str_eq(store_paths(reader, NULL), "b.xml");
    ck_assert_uint_eq(store_count(reader, cell, 3), 0);
    store_close(reader);
}
END_TEST

START_TEST(a_second_writer_is_told_to_wait)
{
    struct store *second = store_must_open(folder, STORE_WRITE);

    begin();
    ck_assert_int_eq(store_begin(second, &why), ST_BUSY);
    ck_assert_ptr_nonnull(strstr(why.message, "try again"));
    ck_assert_ptr_nonnull(strstr(why.message, folder));
    commit();
    must(store_begin(second, &why), &why);
    must(store_commit(second, &why), &why);
    store_close(second);
}
END_TEST

START_TEST(a_reader_cannot_write)
{
    struct store *reader = store_must_open(folder, STORE_READ);

    ck_assert_int_eq(store_begin(reader, &why), ST_INTERNAL);
    ck_assert_int_eq(store_optimize(reader, &why), ST_INTERNAL);
    ck_assert_int_eq(store_clear(reader, &why), ST_INTERNAL);
    store_close(reader);
}
END_TEST

static bool ask_again(void *context, const struct solo_record *solo)
{
    struct solo *whole;
    int64_t *asked = context;

    /* Another question is fine, the same one is not. */
    must(store_load(store, solo->id, &whole, &why), &why);
    solo_free(whole);
    ck_assert_uint_eq(store_count(store, cell, 3), 2);
    ck_assert_int_eq(store_solos(store, NULL, ask_again, NULL, &why),
                     ST_INTERNAL);
    ++*asked;
    return true;
}

static void leave_open(void)
{
    ck_assert_int_eq(sqlite3_exec(store->db, "BEGIN", NULL, NULL, NULL),
                     SQLITE_OK);
}

/* As where there was no memory for its end. */
START_TEST(a_transaction_left_open_is_ended_by_the_next)
{
    leave_open();
    begin();
    store_must_put(store, "a.xml", fixture_solo("Ada", cell_text));
    commit();
    store_close(store);
    store = store_must_open(folder, STORE_READ);
    leave_open();
    must(store_read_begin(store, &why), &why);
    store_read_end(store);
    ck_assert_str_eq(store_paths(store, NULL), "a.xml");
}
END_TEST

START_TEST(what_kept_a_page_from_being_read)
{
    ck_assert_int_eq(sqlite_code_of_page("ok"), SQLITE_OK);
    ck_assert_int_eq(sqlite_code_of_page("Page 21: unable to get the page. "
                                         "error code=7"),
                     SQLITE_NOMEM);
    ck_assert_int_eq(sqlite_code_of_page("Page 2: unable to get the page. "
                                         "error code=266"),
                     SQLITE_IOERR_READ);
    ck_assert_int_eq(sqlite_code_of_page("Page 2: unable to get the page. "
                                         "error code=11"),
                     SQLITE_OK);
}
END_TEST

START_TEST(questions_within_answers)
{
    int64_t asked = 0;

    begin();
    store_must_put(store, "a.xml", fixture_solo("Ada", cell_text));
    store_must_put(store, "b.xml", fixture_solo("Ada", cell_text));
    commit();
    must(store_solos(store, NULL, ask_again, &asked, &why), &why);
    ck_assert_int_eq(asked, 2);
}
END_TEST

Suite *store_suite(void)
{
    Suite *suite = suite_create("store");
    TCase *tcase = tcase_create("store");

    tcase_add_checked_fixture(tcase, set_up, tear_down);
    tcase_set_timeout(tcase, 60);
    tcase_add_test(tcase, a_solo_comes_back_whole);
    tcase_add_test(tcase, files_are_listed_with_what_was_wrong);
    tcase_add_test(tcase, paths_are_in_the_order_of_their_bytes);
    tcase_add_test(tcase, a_solo_that_is_not_there_is_nothing);
    tcase_add_test(tcase, a_second_put_replaces_the_first);
    tcase_add_test(tcase, a_removed_file_leaves_nothing);
    tcase_add_test(tcase, a_moved_file_keeps_its_solo);
    tcase_add_test(tcase, two_files_can_change_names);
    tcase_add_test(tcase, a_file_moved_over_another_takes_its_place);
    tcase_add_test(tcase, a_rollback_undoes_everything);
    tcase_add_test(tcase, writing_needs_a_transaction);
    tcase_add_test(tcase, changes_leave_the_index_as_if_made_anew);
    tcase_add_test(tcase, optimizing_changes_no_answer);
    tcase_add_test(tcase, merging_goes_on_after_much_was_put);
    tcase_add_test(tcase, clearing_starts_over);
    tcase_add_test(tcase, a_question_sees_one_state);
    tcase_add_test(tcase, a_second_writer_is_told_to_wait);
    tcase_add_test(tcase, a_reader_cannot_write);
    tcase_add_test(tcase, a_transaction_left_open_is_ended_by_the_next);
    tcase_add_test(tcase, what_kept_a_page_from_being_read);
    tcase_add_test(tcase, questions_within_answers);
    suite_add_tcase(suite, tcase);
    return suite;
}
