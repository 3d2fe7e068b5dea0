/* check_form.c - a form laid out over the bars, and phrases of the line. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "indexer/phrase.h"
#include "tests/unit/score_text.h"
#include "tests/unit/suites.h"

/* --- laying out ------------------------------------------------------------ */

#define FULL(number) MEASURE(number, NOTE(C, 4, 4))
#define BACKWARD "<barline><repeat direction=\"backward\"/></barline>"

/* COUNT whole bars of 4/4, numbered from 1, played once. */
static struct solo *bars_of(int count)
{
    char *xml = calloc((size_t)count, 200);
    struct solo *solo;

    for (int i = 0; i < count; i++)
        sprintf(xml + strlen(xml),
                "<measure number=\"%d\">%s<note><pitch><step>C</step>"
                "<octave>4</octave></pitch><duration>4</duration></note>"
                "</measure>",
                i + 1, i == 0 ? ATTRIBUTES(1, 4, 4) : "");
    solo = score_measures(xml);
    free(xml);
    ck_assert_uint_eq(solo->bar_count, (size_t)count);
    return solo;
}

static void lay_out(struct solo *solo, int length, int first_play, int tail,
                    const struct form_part *parts, size_t count)
{
    struct form_plan plan = { .length = length, .first_play = first_play,
                              .tail = tail, .confidence = 50,
                              .source = FORM_USER, .parts = parts,
                              .part_count = count };

    ck_assert_int_eq(form_lay_out(solo, &plan, NULL), ST_OK);
}

static const struct form_part aaba[] = {
    { "A", 2 }, { "A", 2 }, { "B", 2 }, { "A", 2 }
};

START_TEST(choruses_follow_each_other)
{
    struct solo *solo = bars_of(22);
    const struct form_place *place;

    lay_out(solo, 8, 1, 2, aaba, 4);
    ck_assert_uint_eq(solo->form.chorus_count, 3);
    ck_assert_int_eq(solo->form.first_bar, 1);
    ck_assert_int_eq(solo->form.choruses[1].first_bar, 9);
    ck_assert_int_eq(solo->form.choruses[1].bars, 8);
    ck_assert(solo->form.choruses[1].complete);
    ck_assert_int_eq(solo->form.choruses[2].first_bar, 17);
    ck_assert_int_eq(solo->form.choruses[2].bars, 3);
    ck_assert(!solo->form.choruses[2].complete);
    ck_assert_int_eq(form_place_of(solo, 0)->chorus, 0);
    ck_assert_int_eq(form_place_of(solo, 20)->chorus, 0);
    place = form_place_of(solo, 15);
    ck_assert_int_eq(place->chorus, 2);
    ck_assert_int_eq(place->chorus_bar, 7);
    ck_assert_str_eq(place->section->letter, "A");
    ck_assert_int_eq(place->section->occurrence, 3);
    place = form_place_of(solo, 13);
    ck_assert_str_eq(place->section->letter, "B");
    ck_assert_int_eq(place->section->first_bar, 13);
    /* The last chorus breaks off in its second section. */
    ck_assert_uint_eq(solo->form.choruses[2].section_count, 2);
    ck_assert_int_eq(solo->form.choruses[2].sections[1].bars, 1);
    solo_free(solo);
}
END_TEST

START_TEST(a_repeated_chorus_counts_twice_and_its_notes_once)
{
    struct solo *solo = score_measures(
        MEASURE(1, ATTRIBUTES(1, 4, 4) NOTE(C, 4, 4)) FULL(2) FULL(3)
            MEASURE(4, NOTE(C, 4, 4) BACKWARD) FULL(5) FULL(6) FULL(7)
                FULL(8));

    lay_out(solo, 4, 0, 0, NULL, 0);
    ck_assert_uint_eq(solo->form.chorus_count, 3);
    ck_assert_int_eq(solo->form.choruses[0].first_bar, 0);
    ck_assert_int_eq(solo->form.choruses[1].first_bar, 0);
    ck_assert_int_eq(solo->form.choruses[2].first_bar, 4);
    ck_assert_int_eq(form_place_of(solo, 2)->chorus, 1);
    ck_assert_int_eq(form_place_of(solo, 6)->chorus, 3);
    ck_assert_int_eq(form_place_of(solo, 6)->chorus_bar, 3);
    ck_assert_ptr_null(form_place_of(solo, 6)->section);
    solo_free(solo);
}
END_TEST

/* A pickup of one beat; the fourth bar has three and goes back to it, so that
 * both are one bar. */
START_TEST(a_bar_divided_by_a_repeat_is_one_bar)
{
    struct solo *solo = score_measures(
        "<measure number=\"0\" implicit=\"yes\">" ATTRIBUTES(1, 4, 4)
            NOTE(C, 4, 1) "</measure>" FULL(1) FULL(2) FULL(3)
                MEASURE(4, NOTE(C, 4, 3) BACKWARD));
    int32_t numbers[10];

    ck_assert_uint_eq(solo->play_count, 10);
    ck_assert_int_eq(form_number_bars(solo, numbers), 9);
    ck_assert_int_eq(numbers[4], 4);
    ck_assert_int_eq(numbers[5], 4);
    ck_assert_int_eq(numbers[6], 5);
    lay_out(solo, 4, 1, 0, NULL, 0);
    ck_assert_uint_eq(solo->form.chorus_count, 2);
    ck_assert(solo->form.choruses[1].complete);
    ck_assert_int_eq(solo->form.choruses[1].first_play, 6);
    ck_assert_int_eq(solo->form.choruses[0].play_count, 5);
    solo_free(solo);
}
END_TEST

/* Bars that a file leaves unfilled stay bars. */
START_TEST(short_bars_are_bars)
{
    struct solo *solo = score_measures(
        MEASURE(1, ATTRIBUTES(1, 4, 4) NOTE(C, 4, 2))
            MEASURE(2, NOTE(C, 4, 2)) MEASURE(3, NOTE(C, 4, 2)));
    int32_t numbers[3];

    ck_assert_int_eq(form_number_bars(solo, numbers), 3);
    solo_free(solo);
}
END_TEST

START_TEST(a_plan_that_does_not_fit_is_refused)
{
    static const struct form_part empty = { "A", 0 };
    static const struct form_plan plans[] = {
        { .length = -1 },
        { .length = 4, .first_play = 12 },
        { .length = 4, .first_play = -1 },
        { .length = 4, .tail = 12 },
        { .length = 4, .tail = -1 },
        { .length = 4, .confidence = 101 },
        { .length = 4, .parts = &empty, .part_count = 1 },
    };
    struct solo *solo = bars_of(12);
    struct form_plan none = { .length = 0 };

    for (size_t i = 0; i < sizeof plans / sizeof *plans; i++) {
        lay_out(solo, 4, 0, 0, NULL, 0);
        ck_assert_int_eq(form_lay_out(solo, &plans[i], NULL), ST_USAGE);
        ck_assert_uint_eq(solo->form.chorus_count, 0);
    }
    lay_out(solo, 4, 0, 0, NULL, 0);
    ck_assert_int_eq(form_lay_out(solo, &none, NULL), ST_OK);
    ck_assert_int_eq(form_place_of(solo, 3)->chorus, 0);
    ck_assert_int_eq(form_play_of_bar(solo, 7), 7);
    ck_assert_int_eq(form_play_of_bar(solo, 12), -1);
    solo_free(solo);
}
END_TEST

/* --- phrases --------------------------------------------------------------- */

/* Durations in eighths, r: a rest; a bar line in the notes ends the phrase
 * that is meant.  What a phrase is: common practice, no source. */
static const struct {
    const char *what, *line;
} phrase_cases[] = {
    { "a line of eighths is one phrase", "1 1 1 1 1 1 1 1 1 1 1 1 1 1 1 1" },
    { "a quarter rest divides it", "1 1 1 1 1 1 r2 | 1 1 1 1 1 1 1 1" },
    { "an eighth rest does not", "1 1 1 1 1 1 1 r1 1 1 1 1 1 1 1 1" },
    { "a quarter and an eighth rest do", "1 1 1 1 1 2 r1 | 1 1 1 1 1 1 1 1" },
    { "a half note does", "1 1 1 1 4 | 1 1 1 1 1 1 1 1" },
    { "a dotted quarter does not", "1 1 1 1 1 3 1 1 1 1 1 1 1 1" },
    { "half notes among themselves do not", "4 4 4 4 4 4 4 4" },
    { "nor quarters with quarter rests", "2 r2 2 r2 2 r2 2 r2 2 r2 2 r2" },
    { "a note alone goes with the nearer side",
      "1 1 1 1 1 1 r6 | 1 r3 1 1 1 1 1 1 1 1" },
    { "and with the one before", "1 1 1 1 1 1 r3 1 r8 | 1 1 1 1 1 1 1" },
    { "a bar of rest on both sides keeps it alone",
      "1 1 1 1 1 1 1 1 r8 | 1 r15 | 1 1 1 1 1 1 1 1" },
    { "a bar of rest divides slow notes, too", "8 8 8 r8 | 8 8 8" },
};

static struct solo *line_of(const char *line, char *expected)
{
    static char xml[8000];
    int at = 0, phrase = 1;

    strcpy(xml, "<measure number=\"1\">" ATTRIBUTES(2, 4, 4));
    expected[0] = '\0';
    for (; *line; line += strcspn(line, " "), line += *line == ' ') {
        bool rest = *line == 'r';

        if (*line == '|') {
            phrase++;
            continue;
        }
        if (at > 0 && at % 8 == 0)
            strcat(xml, "</measure><measure number=\"1\">");
        sprintf(xml + strlen(xml), "<note>%s<duration>%d</duration></note>",
                rest ? "<rest/>"
                     : "<pitch><step>C</step><octave>4</octave></pitch>",
                atoi(line + rest));
        at += atoi(line + rest);
        if (!rest)
            sprintf(expected + strlen(expected), "%d ", phrase);
    }
    strcat(xml, "</measure>");
    return score_measures(xml);
}

START_TEST(phrases_divide_at_large_gaps)
{
    char expected[200], got[200] = "";
    struct solo *solo = line_of(phrase_cases[_i].line, expected);

    ck_assert_int_eq(phrase_mark(solo, NULL), ST_OK);
    for (size_t i = 0; i < solo->note_count; i++)
        sprintf(got + strlen(got), "%d ", (int)solo->notes[i].phrase);
    ck_assert_msg(strcmp(got, expected) == 0, "%s: got %s, expected %s",
                  phrase_cases[_i].what, got, expected);
    solo_free(solo);
}
END_TEST

START_TEST(phrases_know_their_ends)
{
    char expected[200];
    struct solo *solo = line_of("1 1 1 1 4 1 1 1 1 1 1", expected);

    ck_assert(!solo_starts_phrase(solo, 0));
    ck_assert(!solo_ends_phrase(solo, 10));
    ck_assert_int_eq(phrase_mark(solo, NULL), ST_OK);
    for (size_t i = 0; i < solo->note_count; i++) {
        ck_assert_int_eq(solo_starts_phrase(solo, i), i == 0 || i == 5);
        ck_assert_int_eq(solo_ends_phrase(solo, i), i == 4 || i == 10);
    }
    solo_free(solo);
    solo = score_measures(FULL(1));
    ck_assert_int_eq(phrase_mark(solo, NULL), ST_OK);
    ck_assert_int_eq(solo->notes[0].phrase, 1);
    solo_free(solo);
    solo = score_measures(MEASURE(1, REST(4)));
    ck_assert_int_eq(phrase_mark(solo, NULL), ST_OK);
    solo_free(solo);
}
END_TEST

Suite *form_suite(void)
{
    Suite *s = suite_create("form");
    TCase *t = tcase_create("layout and phrases");

    tcase_add_test(t, choruses_follow_each_other);
    tcase_add_test(t, a_repeated_chorus_counts_twice_and_its_notes_once);
    tcase_add_test(t, a_bar_divided_by_a_repeat_is_one_bar);
    tcase_add_test(t, short_bars_are_bars);
    tcase_add_test(t, a_plan_that_does_not_fit_is_refused);
    tcase_add_loop_test(t, phrases_divide_at_large_gaps, 0,
                        (int)(sizeof phrase_cases / sizeof *phrase_cases));
    tcase_add_test(t, phrases_know_their_ends);
    suite_add_tcase(s, t);
    return s;
}
