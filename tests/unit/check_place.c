/* check_place.c - where in the form, the bar and the phrase. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "query/place.h"
#include "tests/unit/score_text.h"
#include "tests/unit/suites.h"

/* Two choruses of four bars (A two bars, B two bars) after a pickup bar, the
 * second opened by an anticipation; phrases end with the rests. */
static struct solo *two_choruses(void)
{
    static const char measures[] =
        "<measure number=\"0\" implicit=\"yes\">" ATTRIBUTES(2, 4, 4)
        NOTE(G, 4, 2) "</measure>"
        MEASURE(1, CHORD(C, major) NOTE(C, 5, 2) NOTE(D, 5, 2) NOTE(E, 5, 4))
        MEASURE(2, NOTE(F, 5, 4) REST(4))
        MEASURE(3, CHORD(F, major) NOTE(F, 5, 3) NOTE(G, 5, 5))
        MEASURE(4, NOTE(A, 5, 7)
                NOTE_WITH("", C, 5, 1, "<tie type=\"start\"/>"))
        MEASURE(5, CHORD(C, major)
                NOTE_WITH("", C, 5, 4, "<tie type=\"stop\"/>")
                NOTE(D, 5, 4))
        MEASURE(6, NOTE(E, 5, 8))
        MEASURE(7, CHORD(F, major) NOTE(F, 5, 8))
        MEASURE(8, NOTE(G, 5, 8));
    static const struct form_part parts[] = { { "A", 2 }, { "B", 2 } };
    struct form_plan plan = { .length = 4,
                              .first_play = 1,
                              .confidence = 100,
                              .source = FORM_USER,
                              .parts = parts,
                              .part_count = 2 };
    struct solo *solo = score_measures(measures);
    struct fault why = { 0 };

    ck_assert_msg(form_lay_out(solo, &plan, &why) == ST_OK, "%s",
                  why.message);
    /* Phrases by hand: the pickup and bars 1 and 2, then the rest. */
    for (size_t i = 0; i < solo->note_count; i++)
        solo->notes[i].phrase = i < 5 ? 1 : 2;
    return solo;
}

/* The notes at which a place of LENGTH notes fits, as "0 4 7". */
static const char *fitting(const struct place *place, size_t length)
{
    static char out[200];
    struct solo *solo = two_choruses();

    out[0] = '\0';
    for (size_t i = 0; i + length <= solo->note_count; i++)
        if (place_fits(place, solo, i, i + length - 1))
            sprintf(out + strlen(out), "%s%zu", *out ? " " : "", i);
    solo_free(solo);
    return out;
}

/* Notes: 0 pickup G; 1 C 2 D 3 E | 4 F | 5 F 6 G | 7 A, 8 C tied into the
 * second chorus | 9 D | 10 E | 11 F | 12 G. */
START_TEST(places_fit)
{
    static const struct {
        const char *what;
        struct place place;
        size_t length;
        const char *notes;
    } cases[] = {
        { "anywhere", { 0 }, 1, "0 1 2 3 4 5 6 7 8 9 10 11 12" },
        { "first chorus", { .chorus = 1 }, 1, "1 2 3 4 5 6 7 8" },
        { "second chorus", { .chorus = 2 }, 1, "9 10 11 12" },
        { "third chorus", { .chorus = 3 }, 1, "" },
        { "last chorus", { .chorus = PLACE_LAST_CHORUS }, 1, "9 10 11 12" },
        { "bar 1", { .bar_low = 1, .bar_high = 1 }, 1, "1 2 3 9" },
        { "bars 2-3", { .bar_low = 2, .bar_high = 3 }, 1, "4 5 6 10 11" },
        { "the bridge", { .section = "b" }, 1, "5 6 7 8 11 12" },
        { "second chorus, section A", { .chorus = 2, .section = "A" }, 1,
          "9 10" },
        { "beat 2", { .has_beat = true, .beat = { 2, 1, false } }, 1, "2" },
        { "beat 2 and", { .has_beat = true, .beat = { 5, 2, false } }, 1,
          "6" },
        { "the pickup is beat 4", { .has_beat = true, .beat = { 4, 1, false } },
          1, "0" },
        { "opening a chorus", { .at = PLACE_CHORUS }, 1, "1 8" },
        { "opening a section", { .at = PLACE_SECTION }, 1, "1 5 8 11" },
        { "starting a phrase", { .at = PLACE_PHRASE }, 2, "0 5" },
        { "ending a phrase", { .at = PLACE_PHRASE_END }, 2, "3 11" },
        { "within a phrase", { .within_phrase = true }, 4,
          "0 1 5 6 7 8 9" },
    };

    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++)
        ck_assert_msg(strcmp(fitting(&cases[i].place, cases[i].length),
                             cases[i].notes) == 0,
                      "%s: got %s, expected %s", cases[i].what,
                      fitting(&cases[i].place, cases[i].length),
                      cases[i].notes);
}
END_TEST

START_TEST(a_solo_without_a_form_has_no_chorus)
{
    struct solo *solo = score_measures(MEASURE(1, NOTE(C, 4, 4)));
    struct place any = { 0 }, last = { .chorus = PLACE_LAST_CHORUS };
    struct place opening = { .at = PLACE_CHORUS };

    ck_assert(place_fits(&any, solo, 0, 0));
    ck_assert(!place_fits(&last, solo, 0, 0));
    ck_assert(!place_fits(&opening, solo, 0, 0));
    solo_free(solo);
}
END_TEST

START_TEST(option_values_are_read)
{
    struct place place;
    struct fault why;
    static const struct {
        const char *text;
        int64_t num, den; /* den 0: refused */
    } beats[] = { { "1", 1, 1 },     { "2.5", 5, 2 }, { "2 and", 5, 2 },
                  { "3and", 7, 2 },  { "4+", 9, 2 },  { "7/3", 7, 3 },
                  { "0", 0, 0 },     { "x", 0, 0 },   { "2 or", 0, 0 },
                  { "7/0", 0, 0 },   { "", 0, 0 },    { "-1", 0, 0 },
                  { "2.5.5", 0, 0 }, { "7/3x", 0, 0 } };

    for (size_t i = 0; i < sizeof beats / sizeof *beats; i++) {
        enum status st = place_parse_beat(&place, beats[i].text, &why);

        ck_assert_msg((st == ST_OK) == (beats[i].den != 0), "%s",
                      beats[i].text);
        if (st == ST_OK) {
            ck_assert_int_eq(place.beat.num, beats[i].num);
            ck_assert_int_eq(place.beat.den, beats[i].den);
        }
    }
    ck_assert_int_eq(place_parse_chorus(&place, "LAST", &why), ST_OK);
    ck_assert_int_eq(place.chorus, PLACE_LAST_CHORUS);
    ck_assert_int_eq(place_parse_chorus(&place, "2", &why), ST_OK);
    ck_assert_int_eq(place.chorus, 2);
    ck_assert_int_eq(place_parse_chorus(&place, "0", &why), ST_SYNTAX);
    ck_assert_int_eq(place_parse_chorus(&place, "first", &why), ST_SYNTAX);
    ck_assert_int_eq(place_parse_bar(&place, "5-8", &why), ST_OK);
    ck_assert_int_eq(place.bar_low * 100 + place.bar_high, 508);
    ck_assert_int_eq(place_parse_bar(&place, "8-5", &why), ST_SYNTAX);
    ck_assert_int_eq(place_parse_bar(&place, "5-", &why), ST_SYNTAX);
    ck_assert_int_eq(place_parse_bar(&place, "99999999999", &why), ST_SYNTAX);
}
END_TEST

/* Chorus 2 starts with a bar that a double bar divides; its first part holds
 * one note, or a rest. */
START_TEST(a_divided_bar_opens_once)
{
    static const char *const starts[] = {
        MEASURE(3, CHORD(C, major) NOTE(C, 5, 2)),
        MEASURE(3, CHORD(C, major) REST(2)),
    };
    static const size_t opens[] = { 2, 2 };

    for (int i = 0; i < 2; i++) {
        struct form_plan plan = { .length = 2,
                                  .confidence = 100,
                                  .source = FORM_USER };
        struct solo *solo;
        char measures[4000];
        size_t count = 0;

        snprintf(measures, sizeof measures, "%s%s%s",
                 "<measure number=\"1\">" ATTRIBUTES(2, 4, 4)
                 CHORD(C, major) NOTE(G, 4, 8) "</measure>"
                 MEASURE(2, NOTE(A, 4, 8)),
                 starts[i],
                 MEASURE(4, NOTE(D, 5, 2) NOTE(E, 5, 4))
                 MEASURE(5, NOTE(F, 5, 8)));
        solo = score_measures(measures);
        solo->bars[2].barlines |= BARLINE_DOUBLE;
        ck_assert_int_eq(form_lay_out(solo, &plan, NULL), ST_OK);
        for (size_t n = 0; n < solo->note_count; n++) {
            ck_assert_int_eq(place_opens(solo, n, false),
                             n == 0 || n == opens[i]);
            count += place_opens(solo, n, false);
        }
        ck_assert_uint_eq(count, 2);
        solo_free(solo);
    }
}
END_TEST

Suite *place_suite(void)
{
    Suite *s = suite_create("place");
    TCase *t = tcase_create("places in the form");

    tcase_add_test(t, places_fit);
    tcase_add_test(t, a_solo_without_a_form_has_no_chorus);
    tcase_add_test(t, option_values_are_read);
    tcase_add_test(t, a_divided_bar_opens_once);
    suite_add_tcase(s, t);
    return s;
}
