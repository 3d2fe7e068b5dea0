/* check_gram.c - tokens, the tokenizer and its positions, without a store. */
#include <check.h>
#include <sqlite3.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "schema/gram.h"
#include "schema/harmony.h"
#include "tests/unit/find_fixture.h"
#include "tests/unit/suites.h"

static sqlite3 *db;

static void run(const char *sql)
{
    char *error = NULL;

    ck_assert_msg(sqlite3_exec(db, sql, NULL, NULL, &error) == SQLITE_OK,
                  "%s: %s", sql, error);
}

static void open_table(void)
{
    struct fault why = { 0 };

    ck_assert_int_eq(sqlite3_open(":memory:", &db), SQLITE_OK);
    ck_assert_msg(gram_register(db, &why) == ST_OK, "%s", why.message);
    run("CREATE VIRTUAL TABLE gram USING fts5(notes,"
        " content='', columnsize=0, tokenize='gram')");
    run("CREATE VIRTUAL TABLE terms USING fts5vocab('gram', 'row')");
}

static void close_table(void)
{
    ck_assert_int_eq(sqlite3_close(db), SQLITE_OK);
}

/* Run SQL with an id and a text of LEN bytes. */
static void put_text(const char *sql, int id, const char *text, int len)
{
    sqlite3_stmt *stmt;

    ck_assert_int_eq(sqlite3_prepare_v2(db, sql, -1, &stmt, NULL), SQLITE_OK);
    sqlite3_bind_int(stmt, 1, id);
    sqlite3_bind_text(stmt, 2, text, len, SQLITE_STATIC);
    ck_assert_int_eq(sqlite3_step(stmt), SQLITE_DONE);
    sqlite3_finalize(stmt);
}

static const char insert_sql[] =
    "INSERT INTO gram (rowid, notes) VALUES (?1, ?2)";
static const char delete_sql[] =
    "INSERT INTO gram (gram, rowid, notes) VALUES ('delete', ?1, ?2)";

static void put_solo(const char *sql, int id, const struct solo *solo)
{
    size_t size = solo->note_count * GRAM_UNIT;
    char *text = malloc(size + 1);

    gram_text(text, solo);
    put_text(sql, id, text, (int)size);
    free(text);
}

static int number(const char *sql)
{
    sqlite3_stmt *stmt;
    int value;

    ck_assert_int_eq(sqlite3_prepare_v2(db, sql, -1, &stmt, NULL), SQLITE_OK);
    ck_assert_int_eq(sqlite3_step(stmt), SQLITE_ROW);
    value = sqlite3_column_int(stmt, 0);
    sqlite3_finalize(stmt);
    return value;
}

/* Where all phrases of QUESTION stand in the row 1, each AFTER so many notes of
 * a place: "0 4 7". */
static const char *positions(const char *question, const uint32_t *after,
                             size_t count)
{
    static char out[200];
    char *at = out;
    sqlite3_stmt *stmt;

    out[0] = '\0';
    ck_assert_int_eq(
        sqlite3_prepare_v2(db,
                           "SELECT gram_positions(gram, ?2) FROM gram"
                           " WHERE gram MATCH ?1 AND rowid = 1",
                           -1, &stmt, NULL),
        SQLITE_OK);
    sqlite3_bind_text(stmt, 1, question, -1, SQLITE_STATIC);
    sqlite3_bind_blob(stmt, 2, after, (int)(count * sizeof *after),
                      SQLITE_STATIC);
    while (sqlite3_step(stmt) == SQLITE_ROW) {
        const char *bytes = sqlite3_column_blob(stmt, 0);
        int size = sqlite3_column_bytes(stmt, 0);

        for (int i = 0; i < size; i += 4) {
            uint32_t place;

            memcpy(&place, bytes + i, 4);
            at += sprintf(at, "%s%u", at > out ? " " : "", place);
        }
    }
    ck_assert_int_eq(sqlite3_finalize(stmt), SQLITE_OK);
    return out;
}

/* The places of N intervals; CLASS below 0: over any chord. */
static const char *places(const int *intervals, size_t n, int class,
                          int start)
{
    const struct gram_place place = { class, start };
    struct gram grams[GRAM_QUESTION_MAX];
    size_t count =
        gram_question(grams, intervals, n, class >= 0 ? &place : NULL);
    uint32_t after[GRAM_QUESTION_MAX];
    char question[200], *at = question;

    for (size_t i = 0; i < count; i++) {
        bool more = i + 1 < count && grams[i + 1].instead;

        at += sprintf(at, "%s%s\"%s\"%s",
                      i == 0             ? ""
                      : grams[i].instead ? " OR "
                                         : " AND ",
                      more ? "(" : "", grams[i].token,
                      grams[i].instead ? ")" : "");
        after[i] = grams[i].after | (grams[i].instead ? GRAM_INSTEAD : 0);
    }
    return positions(question, after, count);
}

/* The gram of two intervals. */
static void ask_pair(struct gram *out, int first, int second)
{
    const int intervals[] = { first, second };
    struct gram grams[GRAM_QUESTION_MAX];

    ck_assert_uint_eq(gram_question(grams, intervals, 2, NULL), 1);
    ck_assert_uint_eq(grams[0].after, 0);
    *out = grams[0];
}

START_TEST(tokens_are_distinct_and_safe_to_quote)
{
    struct gram grams[2 * GRAM_INTERVAL_MAX + 3];
    const int count = 2 * GRAM_INTERVAL_MAX + 3;

    for (int i = 0; i < count; i++) {
        int interval = i - GRAM_INTERVAL_MAX - 1;

        ask_pair(&grams[i], interval, 0);
        for (const char *c = grams[i].token; *c; c++)
            ck_assert_msg(*c > ' ' && *c < 0x7f && *c != '"', "%d gives %s",
                          interval, grams[i].token);
        for (int k = 0; k < i; k++)
            ck_assert_str_ne(grams[k].token, grams[i].token);
    }
}
END_TEST

START_TEST(wide_leaps_share_a_letter_on_each_side)
{
    struct gram a, b;

    ask_pair(&a, 39, 0);
    ask_pair(&b, 127, 0);
    ck_assert_str_eq(a.token, b.token);
    ask_pair(&a, -39, 0);
    ck_assert_str_ne(a.token, b.token);
    ask_pair(&b, -127, 0);
    ck_assert_str_eq(a.token, b.token);
}
END_TEST

START_TEST(longest_tokens_fit_and_are_safe_to_quote)
{
    const int intervals[] = { 38, -38, 0, 1 };
    struct gram grams[GRAM_QUESTION_MAX];

    for (int class = 0; class < CHORD_CLASSES; class++)
        for (int start = -1; start < 12; start++) {
            const struct gram_place place = { class, start };

            ck_assert_uint_eq(gram_question(grams, intervals, GRAM_MAX, &place),
                              3);
            ck_assert_uint_eq(strlen(grams[0].token), GRAM_TOKEN_SIZE - 1);
            for (int i = 1; i < 3; i++) {
                ck_assert_uint_lt(strlen(grams[i].token), GRAM_TOKEN_SIZE);
                for (const char *c = grams[i].token; *c; c++)
                    if (*c <= ' ' || *c >= 0x7f || *c == '"')
                        ck_abort_msg("%d %d gives %s", class, start,
                                     grams[i].token);
            }
        }
}
END_TEST

START_TEST(positions_are_note_indexes)
{
    /* A F E D, then the same a tone lower, over two chords. */
    struct solo *solo = fixture_solo(
        "Someone", "[Dm7] A4 F4 E4 D4 [G7] G4 Eb4 D4 C4");
    const int cell[] = { -4, -1, -2 };

    open_table();
    put_solo(insert_sql, 1, solo);
    ck_assert_str_eq(places(cell, 3, -1, 0), "0 4");
    ck_assert_str_eq(places(cell, 2, -1, 0), "0 4");
    ck_assert_str_eq(places(cell + 1, 2, -1, 0), "1 5");
    /* The fifth of Dm7, and the root of G7. */
    ck_assert_str_eq(places(cell, 3, CHORD_MINOR, 7), "0");
    ck_assert_str_eq(places(cell, 3, CHORD_DOMINANT, 0), "4");
    ck_assert_str_eq(places(cell, 3, CHORD_DOMINANT, 7), "");
    solo_free(solo);
    close_table();
}
END_TEST

START_TEST(places_without_a_chord_keep_positions_in_step)
{
    /* Six notes before any chord, two under N.C., then a chord. */
    struct solo *solo = fixture_solo(
        "Someone",
        "C4 D4 C4 D4 C4 D4 [N.C.] C4 D4 [C7] C4 D4 E4");
    const int up[] = { 2, 2 }, back[] = { 2, -2 };

    open_table();
    put_solo(insert_sql, 1, solo);
    ck_assert_str_eq(places(back, 2, -1, 0), "0 2 4 6");
    ck_assert_str_eq(places(up, 2, -1, 0), "8");
    ck_assert_str_eq(places(up, 2, CHORD_DOMINANT, 0), "8");
    ck_assert_str_eq(places(up, 2, CHORD_DOMINANT, 2), "");
    ck_assert_str_eq(places(up, 2, CHORD_NONE, 0), "");
    solo_free(solo);
    close_table();
}
END_TEST

START_TEST(short_solos_have_no_grams)
{
    const char *const texts[] = { "", "C4", "C4 D4", "C4 D4 E4" };
    const int up[] = { 2, 2 };

    for (int i = 0; i < 4; i++) {
        struct solo *solo = fixture_solo("Someone", texts[i]);

        open_table();
        put_solo(insert_sql, 1, solo);
        ck_assert_str_eq(places(up, 2, -1, 0), i == 3 ? "0" : "");
        solo_free(solo);
        close_table();
    }
}
END_TEST

START_TEST(a_row_is_forgotten_by_its_texts)
{
    struct solo *solo =
        fixture_solo("Someone", "[Dm7] A4 F4 E4 D4 [G7] G4 Eb4 D4 C4");

    open_table();
    put_solo(insert_sql, 1, solo);
    ck_assert_int_gt(number("SELECT count(*) FROM terms"), 0);
    put_solo(delete_sql, 1, solo);
    ck_assert_int_eq(number("SELECT count(*) FROM terms"), 0);
    solo_free(solo);
    close_table();
}
END_TEST

START_TEST(foreign_texts_do_no_harm)
{
    static const char *const texts[] = { "",        "i",       "\1",
                                         "x",       "\xff\xfe\x80",
                                         "!######", "#######", "##############",
                                         "#!!####!!!!###" };
    char noise[301];
    unsigned int seed = 7;

    open_table();
    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++)
        put_text(insert_sql, (int)i + 1, texts[i], (int)strlen(texts[i]));
    for (int round = 0; round < 300; round++) {
        for (size_t i = 0; i < sizeof noise; i++) {
            seed = seed * 1103515245u + 12345u;
            noise[i] = (char)(seed >> 16);
        }
        /* A buffer of its own, so that a read past its end is seen. */
        char *copy = malloc((size_t)round + 1);

        memcpy(copy, noise, (size_t)round + 1);
        put_text(insert_sql, 100 + round, copy, round + 1);
        free(copy);
    }
    run("INSERT INTO gram (gram) VALUES ('integrity-check')");
    close_table();
}
END_TEST

START_TEST(no_token_reaches_from_one_solo_into_the_next)
{
    struct solo *solo = fixture_solo("Someone", "[C7] C4 D4 E4");
    const int up[] = { 2, 2 }, back[] = { 2, -4 }, down[] = { -4, 2 };
    char text[6 * GRAM_UNIT];

    gram_text(text, solo);
    gram_text(text + 3 * GRAM_UNIT, solo);
    open_table();
    put_text(insert_sql, 1, text, sizeof text);
    ck_assert_str_eq(places(up, 2, -1, 0), "0 3");
    ck_assert_str_eq(places(up, 2, CHORD_DOMINANT, 0), "0 3");
    ck_assert_str_eq(places(back, 2, -1, 0), "");
    ck_assert_str_eq(places(down, 2, -1, 0), "");
    solo_free(solo);
    close_table();
}
END_TEST

START_TEST(long_questions_are_what_stands_together)
{
    /* The first four intervals of the cell stand at 0 and 7, the last four at
     * 2 and 13, and only once do they belong together. */
    struct solo *solo = fixture_solo(
        "Someone", "C4 D4 E4 F4 G4 A4 B4 C4 D4 E4 F4 G4 C4 E4 F4 G4 A4 B4");
    const int cell[] = { 2, 2, 1, 2, 2, 2 };
    struct gram grams[GRAM_QUESTION_MAX];

    open_table();
    put_solo(insert_sql, 1, solo);
    ck_assert_uint_eq(gram_question(grams, cell, 6, NULL), 2);
    ck_assert_uint_eq(grams[1].after, 2);
    ck_assert_str_eq(places(cell, 6, -1, 0), "0");
    ck_assert_str_eq(places(cell, 4, -1, 0), "0 7");
    ck_assert_str_eq(places(cell + 2, 4, -1, 0), "2 13");
    solo_free(solo);
    close_table();
}
END_TEST

START_TEST(questions_that_name_nothing_find_nothing)
{
    struct solo *solo = fixture_solo("Someone", "C4 D4 E4");

    open_table();
    put_solo(insert_sql, 1, solo);
    ck_assert_str_eq(positions("\"nonsense\"", NULL, 0), "");
    ck_assert_str_eq(positions("\"\"", NULL, 0), "");
    ck_assert_str_eq(positions("\"   \"", NULL, 0), "");
    solo_free(solo);
    close_table();
}
END_TEST

Suite *gram_suite(void)
{
    Suite *suite = suite_create("gram");
    TCase *tcase = tcase_create("gram");

    tcase_add_test(tcase, tokens_are_distinct_and_safe_to_quote);
    tcase_add_test(tcase, wide_leaps_share_a_letter_on_each_side);
    tcase_add_test(tcase, longest_tokens_fit_and_are_safe_to_quote);
    tcase_add_test(tcase, positions_are_note_indexes);
    tcase_add_test(tcase, places_without_a_chord_keep_positions_in_step);
    tcase_add_test(tcase, short_solos_have_no_grams);
    tcase_add_test(tcase, a_row_is_forgotten_by_its_texts);
    tcase_add_test(tcase, foreign_texts_do_no_harm);
    tcase_add_test(tcase, no_token_reaches_from_one_solo_into_the_next);
    tcase_add_test(tcase, long_questions_are_what_stands_together);
    tcase_add_test(tcase, questions_that_name_nothing_find_nothing);
    suite_add_tcase(suite, tcase);
    return suite;
}
