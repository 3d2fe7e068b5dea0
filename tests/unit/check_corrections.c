/* check_corrections.c - the form that someone says, and its sections.  How a
 * correction is kept and found again is for tests/cli/T25-form.sh. */
#include <stdio.h>
#include <string.h>

#include "indexer/form.h"
#include "query/corrections.h"
#include "tests/form/grid_text.h"
#include "tests/unit/suites.h"

static struct solo *numbered(const char *grid)
{
    struct solo *solo = grid_text_new();
    char number[24];

    grid_text_write(solo, grid);
    grid_text_play(solo);
    for (size_t i = 0; i < solo->bar_count; i++) {
        snprintf(number, sizeof number, "%zu", i + 1);
        solo->bars[i].number = solo_copy(solo, number, strlen(number));
    }
    ck_assert_int_eq(form_find(solo, NULL), ST_OK);
    return solo;
}

/* AABA with a last A that ends otherwise in its second chorus. */
#define A3 "C6+Am7 Dm7+G7 Em7+A7 Dm7+G7 Gm7+C7 F6+Bb7 Dm7+Db7 C6 "

static const struct {
    int32_t length;
    const char *first, *form;
} cases[] = {
    { 32, "1", "32 from 0, 2: AABA" },
    { 16, "1", "16 from 0, 4: AB" },
    { 64, "1", "64 from 0, 1: ABAB" },
    { 12, "1", "12 from 0, 5 and 4: A" },
    { 32, "17", "32 from 16, 1 and 16: ABBB" },
    { 60, "9", "60 from 8, 0 and 56: " },
};

START_TEST(a_corrected_form_has_its_sections)
{
    struct solo *solo = numbered(A1 A1 B1 A2 A1 A1 B1 A3);
    char got[GRID_TEXT_FORM];

    ck_assert_int_eq(
        correct_form(solo, cases[_i].length, cases[_i].first, NULL), ST_OK);
    ck_assert_str_eq(grid_text_form(got, solo), cases[_i].form);
    /* Also where none was found, and with words of its own. */
    ck_assert_int_eq(correct_form(solo, 0, "", NULL), ST_OK);
    ck_assert_str_eq(grid_text_form(got, solo), "none");
    ck_assert_int_eq(
        correct_form(solo, cases[_i].length, cases[_i].first, NULL), ST_OK);
    ck_assert_str_eq(grid_text_form(got, solo), cases[_i].form);
    solo_free(solo);
}
END_TEST

START_TEST(a_bar_that_is_not_there_is_refused)
{
    struct solo *solo = numbered(A1 A1 B1 A2);
    struct fault why = { 0 };

    ck_assert_int_eq(correct_form(solo, 32, "99", &why), ST_USAGE);
    ck_assert_str_eq(why.message, "no bar is printed \"99\"");
    solo_free(solo);
}
END_TEST

Suite *corrections_suite(void)
{
    Suite *s = suite_create("corrections");
    TCase *t = tcase_create("forms that are said");

    tcase_add_loop_test(t, a_corrected_form_has_its_sections, 0,
                        (int)(sizeof cases / sizeof *cases));
    tcase_add_test(t, a_bar_that_is_not_there_is_refused);
    suite_add_tcase(s, t);
    return s;
}
