/* check_arc.c - how full and how high each chorus is. */
#include <string.h>

#include "query/arc.h"
#include "tests/unit/score_text.h"
#include "tests/unit/suites.h"

static const char measures[] =
    MEASURE(1, ATTRIBUTES(1, 4, 4) CHORD(C, major) NOTE(C, 4, 1) NOTE(E, 5, 1)
                   REST(2))
    MEASURE(2, CHORD(F, major) REST(3)
                   NOTE_WITH("", D, 4, 1, "<tie type=\"start\"/>"))
    MEASURE(3, CHORD(C, major) NOTE_WITH("", D, 4, 1, "<tie type=\"stop\"/>")
                   NOTE(E, 5, 3))
    MEASURE(4, CHORD(F, major) NOTE(E, 5, 4));

static void check_rational(struct rational got, int64_t num, int64_t den)
{
    ck_assert_int_eq(got.num, num);
    ck_assert_int_eq(got.den, den);
}

START_TEST(each_chorus_is_summed_up)
{
    struct solo *solo = score_measures(measures);
    struct form_plan plan = { .length = 2, .source = FORM_USER };
    struct arc arc;

    ck_assert_int_eq(form_lay_out(solo, &plan, NULL), ST_OK);
    ck_assert_uint_eq(arc_count(solo), 2);
    arc = arc_of(solo, 0);
    ck_assert_int_eq(arc.number, 1);
    ck_assert_uint_eq(arc.notes, 3);
    check_rational(arc.notes_per_bar, 3, 2);
    check_rational(arc.rest_share, 5, 8);
    ck_assert_int_eq(solo->notes[arc.lowest].midi, 60);
    ck_assert_int_eq(solo->notes[arc.highest].midi, 76);
    /* The tied note started before, but sounds in the second. */
    arc = arc_of(solo, 1);
    ck_assert_uint_eq(arc.notes, 2);
    check_rational(arc.rest_share, 0, 1);
    ck_assert_int_eq(arc.highest, 3);
    solo_free(solo);
}
END_TEST

START_TEST(without_a_form_it_is_one)
{
    struct solo *solo = score_measures(measures);
    struct arc arc;
    struct form_plan none = { .length = 0 };

    ck_assert_int_eq(form_lay_out(solo, &none, NULL), ST_OK);
    ck_assert_uint_eq(arc_count(solo), 1);
    arc = arc_of(solo, 0);
    ck_assert_int_eq(arc.number, 0);
    check_rational(arc.notes_per_bar, 5, 4);
    check_rational(arc.rest_share, 5, 16);
    solo_free(solo);
}
END_TEST

START_TEST(nothing_is_no_division_by_zero)
{
    struct solo *solo = score_measures(MEASURE(1, ""));
    struct arc arc = arc_of(solo, 0);

    check_rational(arc.notes_per_bar, 0, 1);
    check_rational(arc.rest_share, 0, 1);
    ck_assert_int_eq(arc.highest, -1);
    solo_free(solo);
}
END_TEST

Suite *arc_suite(void)
{
    Suite *s = suite_create("arc");
    TCase *t = tcase_create("arc of a solo");

    tcase_add_test(t, each_chorus_is_summed_up);
    tcase_add_test(t, without_a_form_it_is_one);
    tcase_add_test(t, nothing_is_no_division_by_zero);
    suite_add_tcase(s, t);
    return s;
}
