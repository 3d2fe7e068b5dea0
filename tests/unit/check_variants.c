/* check_variants.c - the rhythms in which a fragment is played. */
#include <string.h>

#include "query/variants.h"
#include "tests/unit/score_text.h"
#include "tests/unit/suites.h"

/* A bar in 4/4 with eighths as divisions, and whether a note of it is
 * syncopated (common practice, no source). */
static const struct {
    const char *what, *measures;
    bool syncopated;
} cases[] = {
    { "even eighths", MEASURE(1, ATTRIBUTES(2, 4, 4) NOTE(C, 4, 1)
                                     NOTE(D, 4, 1) NOTE(E, 4, 1)), false },
    { "quarter, half, quarter",
      MEASURE(1, ATTRIBUTES(2, 4, 4) NOTE(C, 4, 2) NOTE(D, 4, 4)
                     NOTE(E, 4, 2)), true },
    { "eighth, quarter, eighth",
      MEASURE(1, ATTRIBUTES(2, 4, 4) NOTE(C, 4, 1) NOTE(D, 4, 2)
                     NOTE(E, 4, 1)), true },
    { "triplet eighths",
      MEASURE(1, ATTRIBUTES(3, 4, 4) NOTE(C, 4, 1) NOTE(D, 4, 1)
                     NOTE(E, 4, 1) NOTE(C, 4, 3)), false },
    { "sixteenth, eighth, sixteenth",
      MEASURE(1, ATTRIBUTES(4, 4, 4) NOTE(C, 4, 1) NOTE(D, 4, 2)
                     NOTE(E, 4, 1)), true },
    { "half notes", MEASURE(1, ATTRIBUTES(2, 4, 4) NOTE(C, 4, 4)
                                   NOTE(D, 4, 4)), false },
    { "dotted quarter and eighth",
      MEASURE(1, ATTRIBUTES(2, 4, 4) NOTE(C, 4, 3) NOTE(D, 4, 1)
                     NOTE(E, 4, 4)), false },
    { "tied over the bar line",
      MEASURE(1, ATTRIBUTES(2, 4, 4) NOTE(C, 4, 7)
                     NOTE_WITH("", D, 4, 1, "<tie type=\"start\"/>"))
          MEASURE(2, NOTE_WITH("", D, 4, 4, "<tie type=\"stop\"/>")), true },
    { "a half note on two in 3/4",
      MEASURE(1, ATTRIBUTES(2, 3, 4) NOTE(C, 4, 2) NOTE(D, 4, 4)), false },
};

START_TEST(syncopations_are_told)
{
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct solo *solo = score_measures(cases[i].measures);

        ck_assert_msg(variants_syncopated(solo, 0, solo->note_count - 1) ==
                          cases[i].syncopated,
                      "%s", cases[i].what);
        solo_free(solo);
    }
}
END_TEST

START_TEST(rhythms_are_counted_with_their_beats)
{
    struct solo *solo = score_measures(
        MEASURE(1, ATTRIBUTES(2, 4, 4) NOTE(C, 4, 1) NOTE(D, 4, 1)
                       NOTE(C, 4, 1) NOTE(D, 4, 1) NOTE(C, 4, 1)
                           NOTE(D, 4, 1) NOTE(C, 4, 2))
            MEASURE(2, NOTE(D, 4, 2) REST(6)));
    struct variants v = { 0 };

    for (size_t i = 0; i < 8; i += 2)
        ck_assert_int_eq(variants_add(&v, solo, i, i + 1, NULL), ST_OK);
    variants_sort(&v);
    ck_assert_uint_eq(v.count, 2);
    /* Three times two eighths, on one, two and three; then two quarters. */
    ck_assert_uint_eq(v.items[0]->count, 3);
    ck_assert_uint_eq(v.items[0]->beat_count, 3);
    ck_assert_int_eq(v.items[0]->beats[1].beat.num, 2);
    ck_assert_int_eq(v.items[0]->value[1].den, 2);
    ck_assert_uint_eq(v.items[1]->count, 1);
    ck_assert_int_eq(v.items[1]->beats[0].beat.num, 4);
    ck_assert_uint_eq(v.items[0]->syncopated, 0);
    variants_free(&v);
    solo_free(solo);
}
END_TEST

Suite *variants_suite(void)
{
    Suite *s = suite_create("variants");
    TCase *t = tcase_create("rhythms");

    tcase_add_test(t, syncopations_are_told);
    tcase_add_test(t, rhythms_are_counted_with_their_beats);
    suite_add_tcase(s, t);
    return s;
}
