/* check_coverage.c - how much of a line is made of given cells. */
#include <stdio.h>
#include <string.h>

#include "query/coverage.h"
#include "tests/unit/find_fixture.h"
#include "tests/unit/suites.h"

enum {
    ALL = 1000 /* notes of the line */
};

/* 5 b3 2 1 over minor; the same anywhere; 1 2 3 5 over major; its first three
 * notes anywhere. */
static const struct coverage_cell fall = {
    { 4, { -4, -1, -2 }, CHORD_MINOR, 7 }, { "5", "b3", "2", "1" }
};
static const struct coverage_cell fall_anywhere = {
    { 4, { -4, -1, -2 }, COVERAGE_ANY, COVERAGE_ANY }, { NULL }
};
static const struct coverage_cell climb = { { 4, { 2, 2, 3 }, CHORD_MAJOR, 0 },
                                            { "1", "2", "3", "5" } };
static const struct coverage_cell two_steps = {
    { 3, { 2, 2 }, COVERAGE_ANY, COVERAGE_ANY }, { NULL }
};

/* "cell 0 0-3, other 4-4": what the notes FIRST.. of SOLO are. */
static void spans_into(char *out, size_t size, const struct coverage *c)
{
    size_t used = 0;

    out[0] = '\0';
    for (size_t i = 0; i < c->span_count; i++) {
        const struct coverage_span *s = &c->spans[i];
        char what[20];

        snprintf(what, sizeof what, "cell %d", (int)s->cell);
        used += (size_t)snprintf(
            out + used, size - used, "%s%s %zu-%zu", i ? ", " : "",
            s->cell == COVERAGE_NO_CELL ? join_word(s->what) : what, s->first,
            s->last);
    }
}

static void check_cover(const char *line, size_t first, size_t count,
                        const struct coverage_cell *cells, size_t cell_count,
                        const char *spans, int share)
{
    struct solo *solo = fixture_solo("Nobody", line);
    struct coverage c;
    char text[400];

    if (count == ALL)
        count = solo->note_count;
    ck_assert_int_eq(
        coverage_make(&c, solo, first, count, cells, cell_count, NULL), ST_OK);
    spans_into(text, sizeof text, &c);
    ck_assert_str_eq(text, spans);
    ck_assert_int_eq(coverage_share(&c, 10000), share);
    coverage_free(&c);
    solo_free(solo);
}

START_TEST(cells_and_what_joins_them)
{
    const struct coverage_cell cells[] = { fall, climb };

    check_cover("[Dm7] A4 F4 E4 D4 B4 D5 [Cmaj7] C4 D4 E4 G4 F#4", 0, ALL,
                cells, 2, "cell 0 0-3, other 4-5, cell 1 6-9, other 10-10",
                7273);
}
END_TEST

START_TEST(a_bound_cell_wants_its_chord_and_degree)
{
    /* Over G7, and from the 9th of it: the notes alone do not do. */
    check_cover("[G7] A4 F4 E4 D4", 0, ALL, &fall, 1, "other 0-1, approach 2-3",
                0);
    check_cover("[G7] A4 F4 E4 D4", 0, ALL, &fall_anywhere, 1, "cell 0 0-3",
                10000);
    check_cover("[Dm7] E4 C4 B3 A3", 0, ALL, &fall, 1,
                "other 0-1, approach 2-3", 0);
    check_cover("[N.C.] A4 F4 E4 D4", 0, ALL, &fall, 1, "other 0-3", 0);
    check_cover("[N.C.] A4 F4 E4 D4", 0, ALL, &fall_anywhere, 1, "cell 0 0-3",
                10000);
}
END_TEST

START_TEST(most_notes_count_then_fewest_cells)
{
    const struct coverage_cell cells[] = { two_steps, climb };
    const struct coverage_cell turned[] = { climb, two_steps };

    /* The longer cell holds more, wherever it stands in the list. */
    check_cover("[Cmaj7] C4 D4 E4 G4", 0, ALL, cells, 2, "cell 1 0-3", 10000);
    check_cover("[Cmaj7] C4 D4 E4 G4", 0, ALL, turned, 2, "cell 0 0-3", 10000);
    /* The first place would spoil the two others. */
    check_cover("[Cmaj7] Bb3 C4 D4 E4 G4 A4 B4 C#5", 0, ALL, cells, 2,
                "other 0-0, cell 1 1-4, cell 0 5-7", 8750);
    /* Of two ways as good, the one that starts earlier. */
    check_cover("[F#7] C4 D4 E4 F#4", 0, ALL, cells, 1, "cell 0 0-2, other 3-3",
                7500);
}
END_TEST

START_TEST(a_passage_is_cut_out)
{
    const char *line = "[Dm7] A4 F4 E4 D4 A4 F4 E4 D4 A4 F4 E4 D4";

    check_cover(line, 0, ALL, &fall, 1, "cell 0 0-3, cell 0 4-7, cell 0 8-11",
                10000);
    check_cover(line, 1, 10, &fall, 1,
                "other 1-1, approach 2-3, cell 0 4-7, other 8-10", 4000);
    check_cover(line, 12, 0 /* notes */, &fall, 1, "", 0);
}
END_TEST

Suite *coverage_suite(void)
{
    Suite *suite = suite_create("coverage");
    TCase *tests = tcase_create("coverage");

    tcase_add_test(tests, cells_and_what_joins_them);
    tcase_add_test(tests, a_bound_cell_wants_its_chord_and_degree);
    tcase_add_test(tests, most_notes_count_then_fewest_cells);
    tcase_add_test(tests, a_passage_is_cut_out);
    suite_add_tcase(suite, tests);
    return suite;
}
