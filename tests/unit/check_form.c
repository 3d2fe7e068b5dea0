/* check_form.c - how often the form of a solo is found, and what it holds. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "indexer/form.h"
#include "indexer/musicxml.h"
#include "indexer/phrase.h"
#include "tests/form/cycle.h"
#include "tests/unit/score_text.h"
#include "tests/unit/suites.h"

/* Of COUNT invented solos, how many have length and first bar right. */
static int right_of(int count, int percent, enum cycle_marks marks)
{
    int right = 0;

    for (int i = 0; i < count; i++) {
        struct cycle_wish wish = { .seed = 1 + (uint32_t)i,
                                   .percent = percent,
                                   .marks = marks };
        struct cycle c;

        cycle_make(&c, &wish);
        ck_assert_int_eq(form_find(c.solo, NULL), ST_OK);
        right += c.solo->form.plan.length == c.length &&
                 c.solo->form.first_bar == c.first_bar;
        solo_free(c.solo);
    }
    return right;
}

/* The floors in hundredths; DEVELOPERS.md has the table of a longer run. */
START_TEST(forms_of_invented_solos_are_found)
{
    static const struct {
        int percent;
        enum cycle_marks marks;
        int share, floor; /* of all cases; in a hundred */
    } rows[] = {
        { 0, CYCLE_BARE, 25, 99 },     { 15, CYCLE_BARE, 25, 97 },
        { 30, CYCLE_BARE, 25, 92 },    { 0, CYCLE_LETTERS, 7, 100 },
        { 30, CYCLE_LETTERS, 6, 100 }, { 0, CYCLE_CHORUSES, 6, 100 },
        { 30, CYCLE_CHORUSES, 6, 100 },
    };
    const char *wanted = getenv("CELLAR_FORM_CASES");
    int cases = wanted ? atoi(wanted) : 1000;

    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        int count = cases * rows[i].share / 100;
        int right = right_of(count, rows[i].percent, rows[i].marks);

        printf("form: %d %% changed, marks %d: %d of %d right\n",
               rows[i].percent, (int)rows[i].marks, right, count);
        ck_assert_msg(right * 100 >= rows[i].floor * count,
                      "%d %% changed, marks %d: %d of %d right",
                      rows[i].percent, (int)rows[i].marks, right, count);
    }
}
END_TEST

/* What corpus-demo/README.md says of its solos. */
static const struct {
    const char *path;
    int length, choruses;
    const char *letters;
} demos[] = {
    { "lucan-marchetvale/an-umbrella-for-agnes.musicxml", 32, 2, "AABA" },
    { "tobiah-wrenmoor/an-umbrella-for-agnes.mxl", 32, 2, "AABA" },
    { "lucan-marchetvale/turnip-cart-blues.musicxml", 12, 4, "" },
    { "odessa-kittleby/lemon-peel-ledger.musicxml", 32, 2, "AABA" },
    { "odessa-kittleby/damp-matches.mxl", 12, 3, "" },
    { "odessa-kittleby/bramble-clock-waltz.mxl", 24, 3, "" },
    { "odessa-kittleby/borrowed-ladder.musicxml", 16, 3, "" },
    { "tobiah-wrenmoor/gravel-lantern-blues.musicxml", 12, 4, "" },
    { "tobiah-wrenmoor/twenty-steps-to-the-pantry.musicxml", 20, 3, "" },
    { "tobiah-wrenmoor/parsnip-and-pewter.mxl", 16, 3, "" },
};

START_TEST(demo_solos_have_their_forms)
{
    for (size_t i = 0; i < sizeof demos / sizeof *demos; i++) {
        char path[200], letters[64] = "";
        const struct form *form;
        struct fault why = { 0 };
        struct solo *solo;

        snprintf(path, sizeof path, "corpus-demo/%s", demos[i].path);
        ck_assert_msg(musicxml_read_file(&solo, path, NULL, &why) == ST_OK,
                      "%s", why.message);
        ck_assert_int_eq(form_find(solo, &why), ST_OK);
        form = &solo->form;
        ck_assert_msg(form->plan.length == demos[i].length &&
                          (int)form->chorus_count == demos[i].choruses,
                      "%s: %d bars, %zu choruses", path, form->plan.length,
                      form->chorus_count);
        for (size_t k = 0; k < form->choruses[0].section_count; k++)
            strcat(letters, form->choruses[0].sections[k].letter);
        ck_assert_msg(!*demos[i].letters ||
                          strcmp(letters, demos[i].letters) == 0,
                      "%s: %s", path, letters);
        solo_free(solo);
    }
}
END_TEST

/* One bar a chord, as a score. */
static struct solo *chords_score(const char *const *roots, size_t count)
{
    static char xml[60000];
    size_t used = 0;
    struct solo *solo;

    for (size_t i = 0; i < count; i++)
        used += (size_t)snprintf(
            xml + used, sizeof xml - used,
            "<measure number=\"%zu\">%s<harmony><root><root-step>%.1s"
            "</root-step></root><kind>%s</kind></harmony>%s</measure>", i + 1,
            i ? "" : ATTRIBUTES(1, 4, 4), roots[i],
            roots[i][1] == 'm'   ? "minor-seventh"
            : roots[i][1] == '7' ? "dominant"
                                 : "major",
            NOTE(C, 4, 4));
    solo = score_measures(xml);
    ck_assert_int_eq(form_find(solo, NULL), ST_OK);
    return solo;
}

START_TEST(a_sheet_played_once_is_one_chorus)
{
    /* Two halves that are alike but for their ends. */
    static const char *const sheet[] = {
        "C", "Am", "Dm", "G7", "C", "Am", "Dm", "G7",
        "F", "F",  "C",  "C",  "D7", "D7", "G7", "G7",
        "C", "Am", "Dm", "G7", "C", "Am", "Dm", "G7",
        "F", "F",  "C",  "A7", "Dm", "G7", "C",  "C",
    };
    struct solo *solo = chords_score(sheet, 32);

    ck_assert_int_eq(solo->form.plan.length, 32);
    ck_assert_uint_eq(solo->form.chorus_count, 1);
    solo_free(solo);
}
END_TEST

START_TEST(a_vamp_has_no_form)
{
    static const char *const vamp[] = { "Dm", "G7", "Dm", "G7", "Dm", "G7",
                                        "Dm", "G7", "Dm", "G7", "Dm", "G7",
                                        "Dm", "G7", "Dm", "G7", "Dm", "G7",
                                        "Dm", "G7", "Dm", "G7", "Dm", "G7" };
    struct solo *solo = chords_score(vamp, 24);

    ck_assert_int_eq(solo->form.plan.length, 0);
    ck_assert_int_eq(solo->form.plan.source, FORM_NONE);
    solo_free(solo);
}
END_TEST

START_TEST(a_repeated_chorus_is_played_twice)
{
    struct form_plan plan = { .length = 2, .source = FORM_USER };
    struct solo *solo = score_measures(
        MEASURE(1, ATTRIBUTES(1, 4, 4) NOTE(C, 4, 4))
            MEASURE(2, NOTE(D, 4, 4)
                    "<barline location=\"right\"><repeat "
                    "direction=\"backward\"/></barline>")
                MEASURE(3, NOTE(E, 4, 4)));

    ck_assert_int_eq(form_lay_out(solo, &plan, NULL), ST_OK);
    ck_assert_uint_eq(solo->form.chorus_count, 3);
    ck_assert(solo->form.choruses[1].complete);
    ck_assert(!solo->form.choruses[2].complete);
    /* What is written once belongs to the first time it is played. */
    ck_assert_int_eq(form_place_of(solo, 1)->chorus, 1);
    ck_assert_int_eq(form_place_of(solo, 1)->chorus_bar, 2);
    ck_assert_int_eq(form_place_of(solo, 2)->chorus, 3);
    solo_free(solo);
}
END_TEST

START_TEST(plans_that_do_not_fit_are_refused)
{
    struct solo *solo = score_measures(MEASURE(1, NOTE(C, 4, 4)));
    struct form_plan plans[] = { { .length = -1 },
                                 { .length = 4, .first_play = 9 },
                                 { .length = 4, .tail = -1 },
                                 { .length = 4, .confidence = 101 } };

    for (size_t i = 0; i < sizeof plans / sizeof *plans; i++) {
        ck_assert_int_eq(form_lay_out(solo, &plans[i], NULL), ST_USAGE);
        ck_assert_uint_eq(solo->form.chorus_count, 0);
    }
    solo_free(solo);
}
END_TEST

/* Phrases end with rests and long notes, against what is around. */
START_TEST(phrases_end_with_rests_and_long_notes)
{
    struct solo *solo = score_measures(
        MEASURE(1, ATTRIBUTES(2, 4, 4) NOTE(C, 4, 1) NOTE(D, 4, 1)
                       NOTE(E, 4, 1) NOTE(F, 4, 1) REST(4))
            MEASURE(2, NOTE(C, 4, 1) NOTE(D, 4, 1) NOTE(E, 4, 1)
                           NOTE(F, 4, 1) NOTE(G, 4, 4))
                MEASURE(3, NOTE(C, 4, 1) NOTE(D, 4, 1) NOTE(E, 4, 1)
                               NOTE(F, 4, 1) NOTE(G, 4, 1) NOTE(A, 4, 3)));

    ck_assert_int_eq(phrase_mark(solo, NULL), ST_OK);
    ck_assert_int_gt(solo->notes[4].phrase, solo->notes[3].phrase);
    ck_assert(solo_ends_phrase(solo, 3));
    ck_assert(solo_starts_phrase(solo, 4));
    ck_assert_int_eq(solo->notes[5].phrase, solo->notes[4].phrase);
    ck_assert(solo_ends_phrase(solo, solo->note_count - 1));
    solo_free(solo);
}
END_TEST

Suite *form_suite(void)
{
    Suite *s = suite_create("form");
    TCase *t = tcase_create("choruses and phrases");

    tcase_set_timeout(t, 900);
    tcase_add_test(t, forms_of_invented_solos_are_found);
    tcase_add_test(t, demo_solos_have_their_forms);
    tcase_add_test(t, a_sheet_played_once_is_one_chorus);
    tcase_add_test(t, a_vamp_has_no_form);
    tcase_add_test(t, a_repeated_chorus_is_played_twice);
    tcase_add_test(t, plans_that_do_not_fit_are_refused);
    tcase_add_test(t, phrases_end_with_rests_and_long_notes);
    suite_add_tcase(s, t);
    return s;
}
