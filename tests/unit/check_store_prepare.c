/* check_store_prepare.c - a solo that was prepared by another thread leaves
 * the same rows as one that was not.
 */
#include <check.h>
#include <sqlite3.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "schema/store_internal.h"
#include "tests/unit/find_fixture.h"
#include "tests/unit/store_fixture.h"
#include "tests/unit/suites.h"

enum {
    SEGMENT = 200, /* notes: the solos lie in several segments */
    VALUES = 140   /* in one solo */
};

static struct fault why;

/* All bytes of the tables, and every gram; the caller frees it with
 * sqlite3_free(). */
static char *dump_tables(const char *folder)
{
    static const char *const tables[] = {
        "SELECT id || ' ' || path FROM file",
        ("SELECT id || ' ' || title || ' ' || concert_key || ' ' || notes ||"
         " ' ' || segment FROM solo"),
        "SELECT id || ' ' || hex(bytes) FROM body",
        "SELECT id || ' ' || notes || ' ' || hex(solos) FROM segment",
        "SELECT id || ' ' || hex(bytes) FROM strand",
        "SELECT kind || ' ' || code || ' ' || text FROM code",
        "SELECT term || ' ' || doc || ' ' || offset FROM temp.grams",
    };
    sqlite3_str *out = sqlite3_str_new(NULL);
    struct store *store = store_must_open(folder, STORE_READ);

    ck_assert_int_eq(sqlite3_exec(store->db,
                                  "PRAGMA query_only = OFF;"
                                  "CREATE VIRTUAL TABLE temp.grams USING"
                                  " fts5vocab('main', 'gram', 'instance')",
                                  NULL, NULL, NULL),
                     SQLITE_OK);
    for (size_t i = 0; i < sizeof tables / sizeof *tables; i++) {
        sqlite3_stmt *stmt;

        ck_assert_int_eq(
            sqlite3_prepare_v2(store->db, tables[i], -1, &stmt, NULL),
            SQLITE_OK);
        while (sqlite3_step(stmt) == SQLITE_ROW)
            sqlite3_str_appendf(out, "%d %s\n", (int)i,
                                sqlite3_column_text(stmt, 0));
        sqlite3_finalize(stmt);
    }
    store_close(store);
    return sqlite3_str_finish(out);
}

/* COUNT notes, each a tick longer than the one before; the first FROM. */
static struct solo *many_values(int count, int from)
{
    struct draft draft;

    draft_start(&draft, "Ada", "Values", "4/4", 4 * FIXTURE_TICKS);
    draft_chord(&draft, "Dm7", 0);
    for (int i = 0; i < count; i++)
        draft_note(&draft, 60 + i % 12, from + i, from + i);
    return draft_end(&draft);
}

static struct solo *make_solo(int i)
{
    static const char *const texts[] = {
        "[Dm7] A4 F4 E4 D4 r:4 [G7] B4:4 D5 F5 Ab5 G5:2 [Cmaj7] E5 D5 C5:2.",
        "[Gm7] Bb4:4. A4 [C7] G4 E4 C4 Bb3 [Fmaj7] A3:2 r:2",
        "C4 D4 E4 r:4. G4",
        "",
    };

    if (i == 4 || i == 5) /* more values than a library has codes for */
        return many_values(VALUES, i == 4 ? 20 : VALUES);
    if (i == 6) /* in one solo */
        return many_values(2 * VALUES, 10);
    return fixture_solo_up("Ada", texts[i % 4], i);
}

static void put(struct store *store, int i, bool prepare)
{
    struct file_record file = { .part = "", .unreadable = "" };
    struct prepared *prepared = NULL;
    struct solo *solo = make_solo(i);
    char path[16];

    snprintf(path, sizeof path, "%d.xml", i);
    file.path = path;
    if (prepare)
        must(store_prepare(&prepared, solo, &why), &why);
    must(store_put_prepared(store, &file, solo, prepared, &why), &why);
    store_prepared_free(prepared);
    solo_free(solo);
}

static char *fill(bool prepare)
{
    char folder[FOLDER_SIZE], *dump;
    struct store *store;

    folder_make(folder);
    store = store_must_open(folder, STORE_WRITE);
    store->segment_notes = SEGMENT;
    must(store_begin(store, &why), &why);
    for (int i = 0; i < 24; i++)
        put(store, i, prepare);
    for (int i = 0; i < 9; i += 2) /* again, in place of itself */
        put(store, i, prepare);
    must(store_commit(store, &why), &why);
    store_close(store);
    dump = dump_tables(folder);
    folder_remove(folder);
    return dump;
}

START_TEST(prepared_or_not_the_rows_are_the_same)
{
    char *prepared = fill(true), *plain = fill(false);

    ck_assert_uint_gt(strlen(plain), 10000);
    ck_assert_msg(strcmp(prepared, plain) == 0, "the rows differ");
    sqlite3_free(prepared);
    sqlite3_free(plain);
}
END_TEST

/* Where a solo needs more codes than there are for one, the strands are left
 * to the writer, who may know some of the values. */
START_TEST(a_solo_of_many_values_is_coded_by_the_writer)
{
    struct prepared *few, *many;
    struct solo *solo = many_values(VALUES, 1);

    must(store_prepare(&few, solo, &why), &why);
    ck_assert(!few->notes.uncoded);
    ck_assert_uint_gt(few->notes.code_count, VALUES);
    solo_free(solo);
    solo = many_values(2 * VALUES, 1);
    must(store_prepare(&many, solo, &why), &why);
    ck_assert(many->notes.uncoded);
    solo_free(solo);
    store_prepared_free(few);
    store_prepared_free(many);
}
END_TEST

Suite *store_prepare_suite(void)
{
    Suite *suite = suite_create("store_prepare");
    TCase *tcase = tcase_create("store_prepare");

    tcase_add_test(tcase, prepared_or_not_the_rows_are_the_same);
    tcase_add_test(tcase, a_solo_of_many_values_is_coded_by_the_writer);
    suite_add_tcase(suite, tcase);
    return suite;
}
