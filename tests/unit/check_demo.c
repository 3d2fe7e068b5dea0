/* check_demo.c - the demo corpus: what was planted there is found there.
 *
 * corpus-demo/planted.tsv is written by the generator of the corpus, which
 * knows nothing of the index: a row a planted cell with its place.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "indexer/musicxml.h"
#include "query/find.h"
#include "tests/unit/find_fixture.h"
#include "tests/unit/suites.h"

enum { ROWS_MAX = 4000, SOLOS_MAX = 100, COLUMNS = 12 };

struct row {
    char line[400];
    char *column[COLUMNS]; /* into LINE */
};
enum column { FILE_PATH, BAR, BAR_INDEX, ONSET, FIRST_NOTE, CELL, DEGREES,
              HOME, CHORD, RELATION, INTO, MIDI };

static struct row rows[ROWS_MAX];
static size_t row_count;
static struct fixture library;

static void read_rows(void)
{
    FILE *file = fopen("corpus-demo/planted.tsv", "r");

    ck_assert_msg(file != NULL, "run the tests from the project's folder");
    row_count = 0;
    while (row_count < ROWS_MAX &&
           fgets(rows[row_count].line, sizeof rows->line, file)) {
        struct row *row = &rows[row_count];
        char *rest = row->line;

        row->line[strcspn(row->line, "\n")] = '\0';
        for (int i = 0; i < COLUMNS; i++)
            row->column[i] = strsep(&rest, "\t");
        ck_assert_ptr_nonnull(row->column[MIDI]);
        row_count++;
    }
    fclose(file);
    ck_assert_uint_gt(row_count, 500);
}

static void open_library(void)
{
    const char *last = "";

    read_rows();
    fixture_open(&library);
    for (size_t i = 1; i < row_count; i++) {
        const char *path = rows[i].column[FILE_PATH];
        struct fault why = { 0 };
        struct solo *solo;
        char full[300];

        if (strcmp(path, last) == 0)
            continue;
        last = path;
        snprintf(full, sizeof full, "corpus-demo/%s", path);
        ck_assert_msg(musicxml_read_file(&solo, full, NULL, &why) == ST_OK,
                      "%s: %s", full, why.message);
        ck_assert_uint_eq(solo->warning_count, 0);
        fixture_put(&library, path, solo);
    }
    fixture_commit(&library);
}

static void close_library(void)
{
    fixture_close(&library);
}

/* "63 67 70" as the intervals "+4 +3". */
static void intervals_text(char *out, size_t size, const char *midi)
{
    char *end;
    long last = strtol(midi, &end, 10);
    size_t used = 0;

    while (*end) {
        long next = strtol(end, &end, 10);

        used += (size_t)snprintf(out + used, size - used, "%s%+ld",
                                 used ? " " : "", next - last);
        last = next;
    }
}

static bool has_hit(const struct find_result *result, const struct row *row)
{
    for (size_t i = 0; i < result->hit_count; i++) {
        const struct hit *hit = &result->hits[i];

        if (hit->first == (uint32_t)atoi(row->column[FIRST_NOTE]) &&
            strcmp(result->solos[hit->solo].path, row->column[FILE_PATH]) ==
                0)
            return true;
    }
    return false;
}

static void find(struct find_result *result, const char *fragment,
                 const char *over)
{
    struct find_query query = { .limit = 0 };
    struct fault why = { 0 };
    bool in_over;

    ck_assert_msg(fragment_parse(&query.fragment, fragment, over, &in_over,
                                 &why) == ST_OK,
                  "%s over %s: %s", fragment, over ? over : "anything",
                  why.message);
    ck_assert_msg(find_run(result, library.store, &query, &why) == ST_OK,
                  "%s", why.message);
}

START_TEST(every_planted_cell_is_found_by_its_intervals)
{
    for (size_t i = 1; i < row_count; i++) {
        struct find_result result;
        char text[200];

        intervals_text(text, sizeof text, rows[i].column[MIDI]);
        find(&result, text, NULL);
        ck_assert_msg(has_hit(&result, &rows[i]),
                      "%s, note %s: %s is not found by %s",
                      rows[i].column[FILE_PATH], rows[i].column[FIRST_NOTE],
                      rows[i].column[CELL], text);
        find_result_free(&result);
    }
}
END_TEST

static int class_of(const char *symbol)
{
    struct chord chord;

    ck_assert_int_eq(
        chord_parse(&chord, symbol, strlen(symbol), false, NULL), ST_OK);
    return chord.class;
}

/* A cell over its home chord is found by its notes over that chord, with the
 * chord and the shift of the key that the generator says. */
START_TEST(cells_as_written_are_found_over_their_chord)
{
    size_t seen = 0;

    for (size_t i = 1; i < row_count; i++) {
        struct find_result result;
        const char *home = rows[i].column[HOME];
        char names[200] = "", name[PITCH_TEXT_SIZE];
        char *at = rows[i].column[MIDI];

        /* "As written" there also counts a minor cell over a minor chord
         * with a major seventh, which is another class here. */
        if (strcmp(rows[i].column[RELATION], "as written") != 0 ||
            class_of(rows[i].column[CHORD]) != class_of(home))
            continue;
        while (*at) {
            struct pitch pitch = pitch_spell((int)strtol(at, &at, 10), -3);

            strcat(names, *names ? " " : "");
            strcat(names, pitch_text(name, pitch));
        }
        find(&result, names, home);
        ck_assert_msg(has_hit(&result, &rows[i]),
                      "%s, note %s: %s over %s is not found as %s",
                      rows[i].column[FILE_PATH], rows[i].column[FIRST_NOTE],
                      rows[i].column[CELL], home, names);
        find_result_free(&result);
        seen++;
    }
    ck_assert_uint_gt(seen, 100);
}
END_TEST

Suite *demo_suite(void)
{
    Suite *s = suite_create("demo");
    TCase *t = tcase_create("planted cells");

    tcase_add_checked_fixture(t, open_library, close_library);
    tcase_set_timeout(t, 120);
    tcase_add_test(t, every_planted_cell_is_found_by_its_intervals);
    tcase_add_test(t, cells_as_written_are_found_over_their_chord);
    suite_add_tcase(s, t);
    return s;
}
