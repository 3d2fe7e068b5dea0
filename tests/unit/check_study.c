/* check_study.c - study lists: kept in order, and found again. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "query/study.h"
#include "tests/unit/find_fixture.h"
#include "tests/unit/suites.h"

/* --- an entry ---------------------------------------------------------------- */

static struct list_entry entry_of(const char *path, int64_t first,
                                  const char *remark)
{
    return (struct list_entry){
        .solo = { .sha256 = "", .path = path, .title = "Tin Hat" },
        .performer = "Ada",
        .first_note = first,
        .bar_index = 0,
        .bar = "1",
        .midi = { 69, 65, 64, 62 },
        .note_count = 4,
        .notes = "A4 F4 E4 D4",
        .degrees = "5 b3 2 1",
        .chord = "Dm7",
        .home = "Dm7",
        .relation = "as written",
        .question = "cellar find A F E D",
        .remark = remark,
        .added = 1000,
    };
}

/* "first/remark ..." of a list. */
struct listing_text {
    char text[400];
};

static bool take_entry(void *context, const struct list_entry *entry)
{
    struct listing_text *out = context;
    size_t used = strlen(out->text);

    snprintf(out->text + used, sizeof out->text - used, "%s%d:%lld%s%s",
             used ? " " : "", (int)entry->number,
             (long long)entry->first_note, *entry->remark ? "/" : "",
             entry->remark);
    return true;
}

static const char *listed(struct notebook *notebook, const char *name)
{
    static struct listing_text out;
    char found[LIST_NAME_SIZE];

    memset(&out, 0, sizeof out);
    ck_assert_int_eq(notebook_list_entries(notebook, name, found, take_entry,
                                           &out, NULL),
                     ST_OK);
    return out.text;
}

/* A notebook with a list of the entries 10, 20 .. 50. */
static struct notebook *notebook_with_list(const struct fixture *fixture)
{
    struct notebook *notebook;
    struct list_entry entries[5];
    size_t added;
    bool made;

    ck_assert_int_eq(
        notebook_open(&notebook, fixture->folder, NOTEBOOK_WRITE, NULL),
        ST_OK);
    for (int i = 0; i < 5; i++)
        entries[i] = entry_of("a.xml", 10 * (i + 1), "");
    ck_assert_int_eq(notebook_add_entries(notebook, "Lesson", true, entries, 5,
                                          &added, &made, NULL),
                     ST_OK);
    ck_assert_uint_eq(added, 5);
    ck_assert(made);
    return notebook;
}

START_TEST(entries_keep_their_order)
{
    static const int32_t first[] = { 4, 2 }, gone[] = { 1, 5 };
    struct fixture fixture;
    struct notebook *notebook;

    fixture_open(&fixture);
    notebook = notebook_with_list(&fixture);
    ck_assert_str_eq(listed(notebook, "lesson"), "1:10 2:20 3:30 4:40 5:50");
    ck_assert_int_eq(
        notebook_order_entries(notebook, "lesson", first, 2, NULL), ST_OK);
    ck_assert_str_eq(listed(notebook, "lesson"), "1:40 2:20 3:10 4:30 5:50");
    ck_assert_int_eq(notebook_drop_entries(notebook, "LESSON", gone, 2, NULL),
                     ST_OK);
    ck_assert_str_eq(listed(notebook, "lesson"), "1:20 2:10 3:30");
    ck_assert_int_eq(
        notebook_note_entry(notebook, "lesson", 2, "slowly", NULL), ST_OK);
    ck_assert_str_eq(listed(notebook, "lesson"), "1:20 2:10/slowly 3:30");
    notebook_close(notebook);
    fixture_close(&fixture);
}
END_TEST

START_TEST(what_is_in_a_list_is_not_put_twice)
{
    struct fixture fixture;
    struct notebook *notebook;
    struct list_entry entries[2];
    size_t added;
    bool made;

    fixture_open(&fixture);
    notebook = notebook_with_list(&fixture);
    entries[0] = entry_of("a.xml", 30, "another remark");
    entries[1] = entry_of("a.xml", 60, "");
    ck_assert_int_eq(notebook_add_entries(notebook, "lesson", true, entries, 2,
                                          &added, &made, NULL),
                     ST_OK);
    ck_assert_uint_eq(added, 1);
    ck_assert(!made);
    ck_assert_str_eq(listed(notebook, "lesson"),
                     "1:10 2:20 3:30 4:40 5:50 6:60");
    notebook_close(notebook);
    fixture_close(&fixture);
}
END_TEST

START_TEST(what_is_not_there_is_said_and_nothing_changes)
{
    static const int32_t wrong[] = { 2, 6 }, twice[] = { 2, 2 };
    struct fixture fixture;
    struct notebook *notebook;
    struct list_entry entry = entry_of("a.xml", 1, "");
    struct fault why = { 0 };
    size_t added;

    fixture_open(&fixture);
    notebook = notebook_with_list(&fixture);
    ck_assert_int_eq(notebook_drop_entries(notebook, "lesson", wrong, 2, &why),
                     ST_USAGE);
    ck_assert_str_eq(why.message, "there is no entry 6 in the study list, "
                                  "which has 5");
    ck_assert_int_eq(
        notebook_order_entries(notebook, "lesson", twice, 2, &why), ST_USAGE);
    ck_assert_int_eq(notebook_note_entry(notebook, "lesson", 0, "x", &why),
                     ST_USAGE);
    ck_assert_int_eq(notebook_new_list(notebook, "l\303\251sson", 0, &why),
                     ST_USAGE);
    ck_assert_int_eq(notebook_add_entries(notebook, "other", false, &entry, 1,
                                          &added, NULL, &why),
                     ST_NOTHING);
    ck_assert_str_eq(listed(notebook, "lesson"), "1:10 2:20 3:30 4:40 5:50");
    notebook_close(notebook);
    fixture_close(&fixture);
}
END_TEST

START_TEST(a_list_can_be_called_otherwise_and_deleted)
{
    struct fixture fixture;
    struct notebook *notebook;
    struct fault why = { 0 };
    int64_t entries;

    fixture_open(&fixture);
    notebook = notebook_with_list(&fixture);
    ck_assert_int_eq(
        notebook_rename_list(notebook, "lesson", "Tuesday", &why), ST_OK);
    ck_assert_str_eq(listed(notebook, "tuesday"), "1:10 2:20 3:30 4:40 5:50");
    ck_assert_int_eq(
        notebook_delete_list(notebook, "tuesday", &entries, &why), ST_OK);
    ck_assert_int_eq(entries, 5);
    ck_assert_int_eq(
        notebook_delete_list(notebook, "tuesday", &entries, &why), ST_NOTHING);
    notebook_close(notebook);
    fixture_close(&fixture);
}
END_TEST

/* --- found again ----------------------------------------------------------------- */

static const char tune[] =
    "[Dm7] A4 F4 E4 D4 r:2 [G7] A4 F4 E4 D4 r:2 [Cmaj7] C4:1 [Dm7] A4 F4 E4 "
    "D4";

/* The hash under which the fixture puts what is at PATH. */
struct asked_hash {
    const char *path;
    char sha256[65];
};

static bool take_hash(void *context, const struct solo_record *record)
{
    struct asked_hash *asked = context;

    if (strcmp(record->path, asked->path) == 0)
        snprintf(asked->sha256, sizeof asked->sha256, "%s", record->sha256);
    return true;
}

static const char *hash_of(struct fixture *fixture, const char *path)
{
    static struct asked_hash asked;

    asked = (struct asked_hash){ .path = path };
    ck_assert_int_eq(
        store_solos(fixture->store, NULL, take_hash, &asked, NULL), ST_OK);
    return asked.sha256;
}

/* Keep the second of the three places, which starts at note 4 in bar 2, as of
 * the file with HASH at PATH, and look for it. */
static struct study study_of(struct fixture *fixture, const char *hash,
                             const char *path)
{
    struct notebook *notebook;
    struct list_entry entry = entry_of(path, 4, "");
    struct study study;
    struct fault why = { 0 };
    size_t added;

    entry.solo.sha256 = hash;
    entry.bar = "2";
    entry.bar_index = 1;
    ck_assert_int_eq(
        notebook_open(&notebook, fixture->folder, NOTEBOOK_WRITE, &why),
        ST_OK);
    ck_assert_int_eq(notebook_add_entries(notebook, "lesson", true, &entry, 1,
                                          &added, NULL, &why),
                     ST_OK);
    ck_assert_msg(study_open(&study, notebook, fixture->store, "lesson",
                             &why) == ST_OK,
                  "%s", why.message);
    ck_assert_uint_eq(study.count, 1);
    notebook_close(notebook);
    return study;
}

static void put_tune(struct fixture *fixture, const char *path,
                     const char *text)
{
    struct solo *solo = fixture_solo("Ada", text);

    solo->title = "Tin Hat";
    fixture_put(fixture, path, solo);
}

START_TEST(a_place_is_found_where_it_was)
{
    struct fixture fixture;
    struct study study;

    fixture_open(&fixture);
    put_tune(&fixture, "a.xml", tune);
    fixture_commit(&fixture);
    study = study_of(&fixture, hash_of(&fixture, "a.xml"), "a.xml");
    ck_assert_int_eq(study.entries[0].state, STUDY_FOUND);
    ck_assert_uint_eq(study.entries[0].first, 4);
    ck_assert_uint_eq(study.entries[0].last, 7);
    study_close(&study);
    fixture_close(&fixture);
}
END_TEST

START_TEST(a_file_that_moved_is_found)
{
    struct fixture fixture;
    struct study study;

    fixture_open(&fixture);
    put_tune(&fixture, "new/b.xml", tune);
    fixture_commit(&fixture);
    study = study_of(&fixture, hash_of(&fixture, "new/b.xml"), "a.xml");
    ck_assert_int_eq(study.entries[0].state, STUDY_MOVED);
    ck_assert_str_eq(study.entries[0].record->path, "new/b.xml");
    ck_assert_uint_eq(study.entries[0].first, 4);
    study_close(&study);
    fixture_close(&fixture);
}
END_TEST

/* A bar was put before it: of the three places, the one that was the second
 * bar is now the third, and bar 2 is another. */
START_TEST(in_an_edited_file_the_bar_counts_first)
{
    static const struct {
        const char *text;
        uint32_t first;
    } cases[] = {
        /* Unchanged around it. */
        { "[Dm7] A4 F4 E4 D4 r:2 [G7] A4 F4 E4 D4 C4:2 [Cmaj7] C4:1", 4 },
        /* Bar 2 still has it, another bar 1. */
        { "[Dm7] C4:1 [G7] A4 F4 E4 D4 r:2 [Dm7] A4 F4 E4 D4", 1 },
        /* Bar 2 has it no more: the nearest. */
        { "[Dm7] A4 F4 E4 D4 r:2 [G7] C4:1 r:1 r:1 A4 F4 E4 D4", 0 },
    };

    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct fixture fixture;
        struct study study;

        fixture_open(&fixture);
        put_tune(&fixture, "a.xml", cases[i].text);
        fixture_commit(&fixture);
        study = study_of(&fixture, "another file", "a.xml");
        ck_assert_int_eq(study.entries[0].state, STUDY_EDITED);
        ck_assert_uint_eq(study.entries[0].first, cases[i].first);
        study_close(&study);
        fixture_close(&fixture);
    }
}
END_TEST

START_TEST(what_is_gone_is_kept_with_its_notes)
{
    struct fixture fixture;
    struct study study;

    fixture_open(&fixture);
    /* The same player and title, other notes; and another tune with the same
     * notes, which it is not. */
    put_tune(&fixture, "a.xml", "[C] C4 D4 E4");
    fixture_put(&fixture, "c.xml", fixture_solo("Bo", tune));
    fixture_commit(&fixture);
    study = study_of(&fixture, "another file", "a.xml");
    ck_assert_int_eq(study.entries[0].state, STUDY_GONE);
    ck_assert_uint_eq(study.gone, 1);
    ck_assert_str_eq(study.entries[0].kept.notes, "A4 F4 E4 D4");
    ck_assert_ptr_null(study.entries[0].solo);
    study_close(&study);
    fixture_close(&fixture);
}
END_TEST

Suite *study_suite(void)
{
    Suite *suite = suite_create("study");
    TCase *tests = tcase_create("study");

    tcase_add_test(tests, entries_keep_their_order);
    tcase_add_test(tests, what_is_in_a_list_is_not_put_twice);
    tcase_add_test(tests, what_is_not_there_is_said_and_nothing_changes);
    tcase_add_test(tests, a_list_can_be_called_otherwise_and_deleted);
    tcase_add_test(tests, a_place_is_found_where_it_was);
    tcase_add_test(tests, a_file_that_moved_is_found);
    tcase_add_test(tests, in_an_edited_file_the_bar_counts_first);
    tcase_add_test(tests, what_is_gone_is_kept_with_its_notes);
    suite_add_tcase(suite, tests);
    return suite;
}
