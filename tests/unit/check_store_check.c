/* check_store_check.c - damage of every kind in an index is found and named,
 * and a repair gives back what a new index would have.
 *
 * Damage is done by plain SQL, past the store.
 */
#include <check.h>
#include <sqlite3.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "schema/field.h"
#include "schema/store_check.h"
#include "schema/store_internal.h"
#include "tests/unit/find_fixture.h"
#include "tests/unit/store_fixture.h"
#include "tests/unit/suites.h"

enum {
    SOLOS = 9,
    SEGMENT = 40, /* notes: the solos lie in several segments */
    ANSWERS = 40000
};

static char folder[FOLDER_SIZE];
static struct fault why;

/* --- the library -------------------------------------------------------- */

static struct solo *make_solo(int i)
{
    static const char *const texts[] = {
        "[Dm7] A4 F4 E4 D4 r:4 [G7] B4:4 D5 F5 Ab5 G5:2 [Cmaj7] E5 D5 C5:2.",
        "[Gm7] Bb4:4. A4 [C7] G4 E4 C4 Bb3 [Fmaj7] A3:2 r:2",
        "C4 D4 E4 r:4. G4",
    };
    char performer[16];

    snprintf(performer, sizeof performer, "Ada %d", i);
    return fixture_solo_up(performer, texts[i % 3], i);
}

static void put_one(struct store *store, int i)
{
    char path[24];

    snprintf(path, sizeof path, "solo-%d.xml", i);
    store_must_put(store, path, make_solo(i));
}

static void make_index(void)
{
    struct store *store = store_must_open(folder, STORE_WRITE);

    store->segment_notes = SEGMENT;
    must(store_begin(store, &why), &why);
    for (int i = 0; i < SOLOS; i++)
        put_one(store, i);
    store_must_put(store, "unreadable.xml", NULL);
    must(store_commit(store, &why), &why);
    store_close(store);
}

static void set_up(void)
{
    folder_make(folder);
    memset(&why, 0, sizeof why);
    make_index();
}

static void tear_down(void)
{
    folder_remove(folder);
}

/* --- checking ----------------------------------------------------------- */

struct told {
    int problems[STORE_PARTS], all;
    char text[4000]; /* "part path: what\n" */
    int64_t done, total;
};

static void tell(void *context, enum store_part part, const char *path,
                 const char *what)
{
    struct told *told = context;
    size_t used = strlen(told->text);

    told->problems[part]++;
    told->all++;
    snprintf(told->text + used, sizeof told->text - used, "%d %s: %s\n",
             (int)part, path, what);
}

static void step(void *context, int64_t done, int64_t total)
{
    struct told *told = context;

    ck_assert_int_eq(done, told->done + 1);
    ck_assert_int_le(done, total);
    told->done = done;
    told->total = total;
}

static void check_index(struct told *told, struct store_checked *checked)
{
    struct store *store = store_must_open(folder, STORE_READ);
    struct store_check_events events = { told, tell, step };

    memset(told, 0, sizeof *told);
    must(store_check(store, &events, checked, &why), &why);
    store_close(store);
}

static void is_well(void)
{
    struct store_checked checked;
    struct told told;

    check_index(&told, &checked);
    ck_assert_msg(told.all == 0, "%s", told.text);
}

/* --- answers ------------------------------------------------------------ */

static char *answers_end;

static bool write_solo(void *context, const struct solo_record *s)
{
    (void)context;
    answers_end += sprintf(answers_end, "%s %s %s %s %d %d %d|", s->path,
                           s->performer, s->metre, s->key, (int)s->notes,
                           (int)s->chords, (int)s->bars);
    return true;
}

/* Ids may differ: places are told by the path. */
static bool write_places(void *context, const struct stretch *solo,
                         const uint32_t *places, size_t count)
{
    int *sum = context;

    (void)solo;
    for (size_t i = 0; i < count; i++)
        *sum += (int)(places[i] + 1) * (int)(places[i] + 7);
    return true;
}

/* What the index answers: its solos, the places of every pair of intervals,
 * every word, the strands of every solo. */
static void ask_all(char answers[ANSWERS])
{
    struct store *store = store_must_open(folder, STORE_READ);
    struct filter filter = { .count = 1 };
    const uint8_t *bytes;
    size_t count;

    answers_end = answers;
    must(store_read_begin(store, &why), &why);
    must(store_solos(store, NULL, write_solo, NULL, &why), &why);
    for (int a = -12; a <= 12; a++)
        for (int b = -12; b <= 12; b++) {
            const int intervals[] = { a, b };
            struct gram grams[GRAM_QUESTION_MAX];
            int sum = 0;

            gram_question(grams, intervals, 2, NULL);
            must(store_places(store, grams, 1, NULL, write_places, &sum, &why),
                 &why);
            answers_end += sprintf(answers_end, "%d ", sum);
        }
    for (int i = 0; i < SOLOS; i++) {
        char name[16];

        snprintf(name, sizeof name, "ada %d", i);
        filter.terms[0].field = FIELD_PERFORMER;
        filter.terms[0].text = name;
        must(store_solos(store, &filter, write_solo, NULL, &why), &why);
    }
    for (int i = 0; i < SOLOS; i++) {
        char path[24];
        int64_t id;

        snprintf(path, sizeof path, "solo-%d.xml", i);
        id = store_file_id(store, path);
        for (int s = 0; s < STRAND_GAP; s++) {
            must(store_strand(store, id, (enum strand)s, &bytes, &count, &why),
                 &why);
            for (size_t k = 0; k < count; k++)
                answers_end += sprintf(answers_end, "%02x", bytes[k]);
        }
    }
    store_read_end(store);
    store_close(store);
    ck_assert_int_lt(answers_end - answers, ANSWERS);
}

/* --- damage ------------------------------------------------------------- */

static void damage(const char *sql)
{
    char file[FOLDER_SIZE + 24];
    char *message = NULL;
    sqlite3 *db;

    snprintf(file, sizeof file, "%s/.cellar/index.db", folder);
    ck_assert_int_eq(sqlite3_open(file, &db), SQLITE_OK);
    must(gram_register(db, &why), &why);
    ck_assert_msg(sqlite3_exec(db, sql, NULL, NULL, &message) == SQLITE_OK,
                  "%s: %s", sql, message);
    ck_assert_int_gt(sqlite3_total_changes(db), 0);
    ck_assert_int_eq(sqlite3_close(db), SQLITE_OK);
}

/* The byte AT of BYTES in the row ID of a table turned round. */
#define FLIP(table, id, at)                                                    \
    "UPDATE " table " SET bytes = CAST(substr(bytes, 1, " #at ") ||"           \
    " CASE substr(bytes, " #at " + 1, 1) WHEN x'01' THEN x'02'"                \
    " ELSE x'01' END || substr(bytes, " #at " + 2) AS BLOB) WHERE id = " #id

static const struct damaged {
    const char *sql;
    enum store_part part;
    const char *words; /* of what is said, with the path */
    int lost;          /* solos that have to be read again */
} damages[] = {
    { FLIP("body", 3, 30), PART_SOLOS, "solo-2.xml: its notes do not read", 1 },
    { FLIP("body", 3, 0), PART_SOLOS, "solo-2.xml: its notes do not read", 1 },
    { "DELETE FROM body WHERE id = 4", PART_SOLOS,
      "solo-3.xml: its notes are missing", 1 },
    { "UPDATE body SET bytes = (SELECT bytes FROM body WHERE id = 1)"
      " WHERE id = 4",
      PART_SOLOS, "solo-3.xml: the facts that are listed", 0 },
    { "INSERT INTO body SELECT 77, bytes FROM body WHERE id = 1", PART_SOLOS,
      "there are notes of no solo", 0 },
    { "DELETE FROM solo WHERE id = 4", PART_SOLOS,
      "solo-3.xml: it was read, but its solo is missing", 0 },
    { "INSERT INTO solo SELECT 77, title, performer, composer, instrument,"
      " metre, concert_key, tempo, notes, chords, bars, warnings, segment"
      " FROM solo WHERE id = 1",
      PART_SOLOS, "there is a solo of no file", 0 },
    { "UPDATE solo SET title = 'Other' WHERE id = 5", PART_SOLOS,
      "solo-4.xml: the facts that are listed", 0 },
    { "UPDATE solo SET tempo = tempo + 1 WHERE id = 5", PART_SOLOS,
      "solo-4.xml: the facts that are listed", 0 },
    { "UPDATE file SET unreadable = 'no' WHERE id = 5", PART_SOLOS,
      "solo-4.xml: it could not be read, and yet", 1 },
    { "UPDATE file SET sha256 = upper('a' || substr(sha256, 2)) WHERE id = 6",
      PART_FILES, "solo-5.xml: the digest of its bytes", 1 },
    { "UPDATE file SET size = 'much' WHERE id = 6", PART_FILES,
      "solo-5.xml: its size or its time", 1 },
    { "UPDATE file SET size = -2 WHERE path = 'unreadable.xml'", PART_FILES,
      "unreadable.xml: its size or its time", 1 },
    { "UPDATE file SET path = '' WHERE id = 6", PART_FILES,
      "a file is known without its name", 1 },
    { "UPDATE file SET path = NULL WHERE id = 6", PART_FILES,
      "a file is known without its name", 1 },

    { "UPDATE segment SET notes = notes + 1 WHERE id = 2", PART_LAYOUT,
      "segment 2 is not what its solos add up to", 0 },
    { "UPDATE segment SET solos = x'00' WHERE id = 2", PART_LAYOUT,
      "segment 2 has a list that does not read", 0 },
    { "UPDATE segment SET solos = CAST(substr(solos, 17) AS BLOB)"
      " WHERE id = 2",
      PART_LAYOUT, "its notes lie nowhere", 0 },
    { "UPDATE segment SET solos = CAST(solos || substr(solos, 1, 16) AS BLOB)"
      " WHERE id = 2",
      PART_LAYOUT, "its notes lie in two places", 0 },
    { "UPDATE segment SET solos = CAST(x'63' || substr(solos, 2) AS BLOB)"
      " WHERE id = 2",
      PART_LAYOUT, "lists a solo that is not there", 0 },
    { "DELETE FROM segment WHERE id = 2", PART_LAYOUT, "its notes lie nowhere",
      0 },
    { "UPDATE solo SET segment = 0 WHERE id = 2", PART_LAYOUT,
      "solo-1.xml: its notes lie elsewhere", 0 },

    { FLIP("strand", 8388608, 3), PART_STRANDS, "solo-0.xml: what is kept", 0 },
    { FLIP("strand", 9437184, 3), PART_STRANDS, "solo-0.xml: what is kept", 0 },
    { FLIP("strand", 15728640, 3), PART_STRANDS, "solo-0.xml: what is kept",
      0 },
    { FLIP("strand", 11534336, 13), PART_STRANDS, "solo-1.xml: what is kept",
      0 },
    { "DELETE FROM strand WHERE id = 10485760", PART_STRANDS,
      "what is kept of each note is missing", 0 },
    { "UPDATE strand SET bytes = CAST(bytes || x'00' AS BLOB) WHERE id = "
      "11534336",
      PART_STRANDS, "what is kept of each note is missing", 0 },
    { "INSERT INTO strand VALUES (8000000000, x'00')", PART_STRANDS,
      "there are bytes of no notes", 0 },

    { FLIP("salient", (SELECT min(id) FROM salient), 2), PART_STRANDS,
      "xml: what is kept of its best places", 0 },
    { FLIP("salient", (SELECT min(id) FROM salient), 3), PART_STRANDS,
      "xml: what is kept of its best places", 0 },
    { "DELETE FROM salient WHERE id = (SELECT max(id) FROM salient)",
      PART_STRANDS, "xml: what is kept of its best places", 0 },
    { "UPDATE salient SET bytes = CAST(x'80' AS BLOB)", PART_STRANDS,
      "what is there cannot be read", 0 },
    { "INSERT INTO salient SELECT id + 70, bytes FROM salient LIMIT 1",
      PART_STRANDS, "there are best places of no notes", 0 },
    { "INSERT INTO salient SELECT (640 << 41) + 1, bytes FROM salient LIMIT 1",
      PART_STRANDS, "there are best places of no notes", 0 },

    { "DELETE FROM code WHERE kind = 0 AND code = 1", PART_STRANDS,
      "a code is missing", 0 },
    { "DELETE FROM code WHERE kind = 0 AND code ="
      " (SELECT max(code) FROM code WHERE kind = 0)",
      PART_STRANDS, "xml: what is kept", 0 },
    { "UPDATE code SET text = '7/64' WHERE kind = 0 AND code = 1", PART_STRANDS,
      "xml: what is kept", 0 },
    { "INSERT INTO code VALUES (9, 1, 'x')", PART_STRANDS,
      "there is a code that no program wrote", 0 },

    { "INSERT INTO gram (rowid, notes) VALUES (77, "
      "'G!!!!!!G!!!!!!G!!!!!!')",
      PART_GRAMS, "the search holds 4 runs of no solo", 0 },
    { "INSERT INTO gram (rowid, notes) VALUES (1, "
      "'G!!!!!!G!!!!!!G!!!!!!')",
      PART_GRAMS,
      "solo-0.xml: of its runs of notes 2 are missing in the search, and 4",
      0 },
    { "INSERT INTO gram (gram) VALUES ('delete-all');", PART_GRAMS,
      "solo-8.xml: of its runs of notes", 0 },
    { "DELETE FROM gram_data WHERE id > 10", PART_GRAMS,
      "what is there cannot be read", 0 },
    { "DELETE FROM gram_data WHERE id > 10", PART_DATABASE,
      "the search for runs of notes is damaged inside", 0 },

    { "DELETE FROM words WHERE rowid = 3", PART_WORDS,
      "solo-2.xml: its words are missing", 0 },
    { "UPDATE words SET title = 'Other' WHERE rowid = 3", PART_WORDS,
      "solo-2.xml: its words are missing, or others", 0 },
    { "INSERT INTO words (rowid, title) VALUES (77, 'x')", PART_WORDS,
      "there are words of no solo", 0 },
    { "UPDATE words_content SET c1 = 'Zed' WHERE id = 3", PART_DATABASE,
      "the search for words is damaged inside", 0 },
    /* The paths' own index as a table, and a path taken out of that. */
    { "PRAGMA writable_schema = ON;"
      "INSERT INTO sqlite_schema SELECT 'table', 'paths', 'paths', rootpage,"
      " 'CREATE TABLE paths (path PRIMARY KEY, id) WITHOUT ROWID'"
      " FROM sqlite_schema WHERE name = 'sqlite_autoindex_file_1';"
      "PRAGMA writable_schema = RESET;"
      "DELETE FROM paths WHERE path = 'solo-2.xml';"
      "PRAGMA writable_schema = ON;"
      "DELETE FROM sqlite_schema WHERE name = 'paths';"
      "PRAGMA writable_schema = RESET",
      PART_DATABASE, "missing from index sqlite_autoindex_file_1", 0 },
    { "DELETE FROM words_content WHERE id = 3", PART_DATABASE,
      "the search for words is damaged inside", 0 },
};

static void repair(struct told *told, struct store_repaired *repaired)
{
    struct store *store = store_must_open(folder, STORE_WRITE);
    struct store_check_events events = { told, tell, NULL };

    memset(told, 0, sizeof *told);
    must(store_repair(store, &events, repaired, &why), &why);
    store_close(store);
}

/* What cellar-index does after a repair: read what is not known any more. */
static void read_again(void)
{
    struct store *store = store_must_open(folder, STORE_WRITE);
    char path[24];

    must(store_begin(store, &why), &why);
    for (int i = 0; i < SOLOS; i++) {
        struct filter filter = { .count = 1 };

        snprintf(path, sizeof path, "solo-%d.xml", i);
        filter.terms[0].field = FIELD_PATH;
        filter.terms[0].text = path;
        if (*store_paths(store, &filter) == '\0')
            put_one(store, i);
    }
    must(store_commit(store, &why), &why);
    store_close(store);
}

START_TEST(damage_is_found_and_mended)
{
    const struct damaged *d = &damages[_i];
    static char before[ANSWERS], after[ANSWERS];
    struct store_repaired repaired;
    struct store_checked checked;
    struct told told;

    ask_all(before);
    damage(d->sql);
    check_index(&told, &checked);
    ck_assert_msg(told.problems[d->part] > 0, "%s\nfound: %s", d->sql,
                  told.text);
    ck_assert_msg(strstr(told.text, d->words), "%s\nfound: %s", d->sql,
                  told.text);
    repair(&told, &repaired);
    ck_assert_msg(repaired.lost == d->lost, "%s\nlost %d: %s", d->sql,
                  (int)repaired.lost, told.text);
    is_well();
    read_again();
    is_well();
    /* The one solo that took the notes of another is that other now. */
    if (strstr(d->sql, "SELECT bytes FROM body WHERE id = 1)"))
        return;
    ask_all(after);
    ck_assert_msg(strcmp(before, after) == 0, "%s\n%s\n%s", d->sql, before,
                  after);
}
END_TEST

/* --- a sound index ------------------------------------------------------ */

START_TEST(sound_index)
{
    struct store_checked checked;
    struct told told;
    int64_t notes = 0, runs = 0;

    check_index(&told, &checked);
    ck_assert_msg(told.all == 0, "%s", told.text);
    ck_assert_int_eq(told.done, 2 * SOLOS);
    ck_assert_int_eq(told.total, 2 * SOLOS);
    for (int i = 0; i < SOLOS; i++) {
        struct solo *solo = make_solo(i);
        char *text = malloc(solo->note_count * GRAM_UNIT);

        ck_assert_ptr_nonnull(text);
        notes += (int64_t)solo->note_count;
        gram_text(text, solo);
        for (size_t k = 0; k < solo->note_count; k++)
            runs += gram_slots(text, (int)solo->note_count, (int)k);
        free(text);
        solo_free(solo);
    }
    ck_assert_int_eq(checked.files, SOLOS + 1);
    ck_assert_int_eq(checked.unreadable, 1);
    ck_assert_int_eq(checked.solos, SOLOS);
    ck_assert_int_eq(checked.solos_read, SOLOS);
    ck_assert_int_eq(checked.notes, notes);
    ck_assert_int_eq(checked.strand_bytes, STRANDS * notes);
    ck_assert_int_eq(checked.postings, runs);
    ck_assert(checked.searches_checked);
}
END_TEST

START_TEST(empty_index)
{
    struct store *store = store_must_open(folder, STORE_WRITE);

    must(store_clear(store, &why), &why);
    store_close(store);
    is_well();
    damage("INSERT INTO gram (rowid, notes) VALUES (1, 'G!!!!!!')");
    {
        struct store_checked checked;
        struct told told;

        check_index(&told, &checked);
        ck_assert_int_eq(told.problems[PART_GRAMS], 1);
    }
}
END_TEST

/* A solo that is put again takes its place from those laid behind it, whether
 * they were written or not. */
START_TEST(solos_that_are_put_again)
{
    for (uint32_t segment = SEGMENT; segment <= 1000; segment += 960) {
        struct store *store = store_must_open(folder, STORE_WRITE);

        store->segment_notes = segment;
        must(store_begin(store, &why), &why);
        for (int i = 0; i < SOLOS; i++)
            put_one(store, i);
        for (int i = 0; i < SOLOS; i += 3)
            put_one(store, i);
        must(store_commit(store, &why), &why);
        store_close(store);
        is_well();
    }
}
END_TEST

/* A check leaves the file byte for byte as it is. */
START_TEST(check_writes_nothing)
{
    char file[FOLDER_SIZE + 24];
    unsigned char bytes[2][1 << 20];
    size_t sizes[2];

    snprintf(file, sizeof file, "%s/.cellar/index.db", folder);
    for (int i = 0; i < 2; i++) {
        FILE *in = fopen(file, "rb");

        ck_assert_ptr_nonnull(in);
        sizes[i] = fread(bytes[i], 1, sizeof bytes[i], in);
        fclose(in);
        is_well();
    }
    ck_assert_uint_eq(sizes[0], sizes[1]);
    ck_assert_mem_eq(bytes[0], bytes[1], sizes[0]);
}
END_TEST

/* Another program that writes is waited for no longer than a few seconds, and
 * said; a repair that cannot be finished leaves what was there. */
START_TEST(others_that_write)
{
    struct store *writer = store_must_open(folder, STORE_WRITE);
    struct store *store = store_must_open(folder, STORE_READ);
    struct store_check_events events = { NULL, NULL, NULL };
    struct store_repaired repaired;
    struct store_checked checked;
    enum status st;

    must(store_begin(writer, &why), &why);
    st = store_check(store, &events, &checked, &why);
    ck_assert_int_eq(st, ST_BUSY);
    store_rollback(writer);
    must(store_check(store, &events, &checked, &why), &why);
    ck_assert_int_eq(store_repair(store, &events, &repaired, &why),
                     ST_INTERNAL); /* opened for reading */
    store_close(store);
    store_close(writer);
}
END_TEST

/* Of a page that is damaged the check says so, and goes on with the rest. */
START_TEST(damaged_pages)
{
    char file[FOLDER_SIZE + 24];
    struct store_checked checked;
    struct told told;
    sqlite3_stmt *stmt;
    sqlite3 *db;
    FILE *out;
    int page;

    snprintf(file, sizeof file, "%s/.cellar/index.db", folder);
    ck_assert_int_eq(sqlite3_open(file, &db), SQLITE_OK);
    ck_assert_int_eq(
        sqlite3_prepare_v2(db,
                           "SELECT rootpage FROM sqlite_schema"
                           " WHERE name = 'strand'",
                           -1, &stmt, NULL),
        SQLITE_OK);
    ck_assert_int_eq(sqlite3_step(stmt), SQLITE_ROW);
    page = sqlite3_column_int(stmt, 0);
    sqlite3_finalize(stmt);
    sqlite3_close(db);
    out = fopen(file, "r+b");
    ck_assert_ptr_nonnull(out);
    fseek(out, (page - 1) * 8192L, SEEK_SET);
    for (int i = 0; i < 8192; i++)
        fputc(0x5a, out);
    ck_assert_int_eq(fclose(out), 0);
    check_index(&told, &checked);
    ck_assert_msg(told.problems[PART_DATABASE] > 0, "%s", told.text);
    ck_assert_int_eq(checked.files, SOLOS + 1);
}
END_TEST

Suite *store_check_suite(void)
{
    Suite *suite = suite_create("store_check");
    TCase *cases = tcase_create("check");

    tcase_add_checked_fixture(cases, set_up, tear_down);
    tcase_set_timeout(cases, 300);
    tcase_add_test(cases, sound_index);
    tcase_add_test(cases, empty_index);
    tcase_add_test(cases, solos_that_are_put_again);
    tcase_add_test(cases, check_writes_nothing);
    tcase_add_test(cases, others_that_write);
    tcase_add_test(cases, damaged_pages);
    tcase_add_loop_test(cases, damage_is_found_and_mended, 0,
                        sizeof damages / sizeof *damages);
    suite_add_tcase(suite, cases);
    return suite;
}
