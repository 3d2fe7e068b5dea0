/* check_openings.c - how choruses open, in examples written out.
 *
 * What a musician would call a pickup, a riff or a return: common practice,
 * no source.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "query/openings.h"
#include "tests/unit/find_fixture.h"
#include "tests/unit/suites.h"

enum {
    QUARTER = FIXTURE_TICKS
};

/* The solo of TEXT with choruses of LENGTH bars from the bar FIRST (from 0)
 * on, its phrases starting with the notes PHRASES: "5 9". */
static struct solo *chorus_solo(const char *text, int length, int first,
                                const char *phrases)
{
    struct solo *solo = fixture_solo("Ada", text);
    struct form_plan plan = { .length = length, .first_play = first,
                              .source = FORM_USER };
    char *rest = NULL;
    long next = strtol(phrases, &rest, 10);
    int32_t phrase = 1;

    for (size_t i = 0; i < solo->note_count; i++) {
        if (next > 0 && (size_t)next == i) {
            phrase++;
            next = strtol(rest, &rest, 10);
        }
        solo->notes[i].phrase = phrase;
    }
    ck_assert_int_eq(form_lay_out(solo, &plan, NULL), ST_OK);
    return solo;
}

static void check_phrase(const struct opening *o, int kind, size_t first,
                         size_t inside, size_t last)
{
    ck_assert_int_eq((int)o->kind, kind);
    ck_assert_uint_eq(o->first, first);
    ck_assert_uint_eq(o->inside, inside);
    ck_assert_uint_eq(o->last, last);
}

/* --- which phrase -------------------------------------------------------- */

START_TEST(a_phrase_from_the_bar_line)
{
    struct solo *solo = chorus_solo(
        "[F7] C4 D4 F4 D4 r:2 r:1 G4:4 A4:4", 2, 0, "4");
    struct opening o = opening_of(solo, 0);

    check_phrase(&o, OPENING_CLEAR, 0, 0, 3);
    ck_assert_int_eq(o.chorus, 1);
    ck_assert_int_eq(o.pickup, 0);
    ck_assert_int_eq(o.length, 2 * QUARTER);
    /* A half note and a whole bar of rest. */
    ck_assert_int_eq(o.rest_after, 6 * QUARTER);
    ck_assert(!o.is_end && o.complete);
    /* The third bar breaks off. */
    o = opening_of(solo, 1);
    check_phrase(&o, OPENING_CLEAR, 4, 4, 5);
    ck_assert(!o.complete && o.is_end);
    ck_assert_int_eq(o.bars, 1);
    solo_free(solo);
}
END_TEST

START_TEST(a_pickup_of_a_bar_at_most)
{
    /* Two beats before the chorus; then a bar and an eighth before it. */
    struct solo *solo = chorus_solo(
        "[C] r:2 G4:4 A4:4 C5:2 r:2 "
        "r:2 r:4. G4:8 A4:1 C5:1 r:1 E5:4 r:2.", 2, 1, "3 6");
    struct opening o = opening_of(solo, 0);

    check_phrase(&o, OPENING_CLEAR, 0, 2, 2);
    ck_assert_int_eq(o.pickup, 2 * QUARTER);
    o = opening_of(solo, 1);
    check_phrase(&o, OPENING_CLEAR, 3, 4, 5);
    ck_assert_int_eq(o.pickup, QUARTER / 2);
    solo_free(solo);
    /* The same a bar earlier runs on, and what starts first is shown. */
    solo = chorus_solo("[C] C4:1 r:1 r:2 r:4. G4:8 A4:1 C5:1 r:2 E5:2 r:1 r:1",
                       4, 0, "1 4");
    o = opening_of(solo, 1);
    check_phrase(&o, OPENING_RUNS_ON, 4, 4, 4);
    ck_assert_int_eq(o.from, 1);
    ck_assert_int_eq(o.pickup, 0);
    ck_assert(!o.riff.found);
    solo_free(solo);
}
END_TEST

START_TEST(what_rings_on_is_no_opening)
{
    /* A half note is held over the bar line of chorus 2. */
    struct solo *solo = chorus_solo(
        "[C] C4:2 D4:4 E4:2 r:4 r:2 G4:4 A4:4 B4:4 r:4 r:2", 1, 0, "3");
    struct opening o = opening_of(solo, 1);

    check_phrase(&o, OPENING_SILENT, 0, 0, 0);
    o = opening_of(solo, 2);
    check_phrase(&o, OPENING_CLEAR, 3, 3, 5);
    solo_free(solo);
    /* An eighth before it is the downbeat come early. */
    solo = chorus_solo("[C] C4:2 r:4 r:8 E4:4 G4 A4 r:4 r:2 r:4 r:8", 1, 0,
                       "1");
    o = opening_of(solo, 1);
    check_phrase(&o, OPENING_CLEAR, 1, 1, 3);
    ck_assert_int_eq(o.pickup, QUARTER / 2);
    solo_free(solo);
}
END_TEST

START_TEST(a_phrase_over_everything)
{
    struct solo *solo = chorus_solo(
        "C4:1 D4:1 E4:1 F4:1 G4:1 A4:1 B4:1 C5:1", 2, 0, "");
    struct opening o = opening_of(solo, 1);

    ck_assert_int_eq((int)o.kind, OPENING_RUNS_OVER);
    ck_assert_int_eq(o.from, 1);
    ck_assert(!opening_has_phrase(&o));
    solo_free(solo);
}
END_TEST

START_TEST(without_a_form_the_first_phrase)
{
    struct solo *solo = chorus_solo("r:1 C4 D4 E4 r:8 r:2 r:1 G4:1", 2, 0, "3");
    struct form_plan none = { .length = 0 };
    struct openings openings = { 0 };

    ck_assert_int_eq(form_lay_out(solo, &none, NULL), ST_OK);
    ck_assert_int_eq(openings_make(&openings, solo, NULL), ST_OK);
    ck_assert_uint_eq(openings.count, 1);
    check_phrase(&openings.items[0], OPENING_CLEAR, 0, 0, 2);
    ck_assert_int_eq(openings.items[0].chorus, 0);
    ck_assert_int_eq(openings.items[0].bar, 1);
    openings_free(&openings);
    solo_free(solo);
}
END_TEST

START_TEST(nothing_written_nothing_opened)
{
    struct solo *solo = fixture_solo("Ada", "");
    struct openings openings = { 0 };

    ck_assert_int_eq(openings_make(&openings, solo, NULL), ST_OK);
    ck_assert_uint_eq(openings.count, 1);
    ck_assert_int_eq((int)openings.items[0].kind, OPENING_SILENT);
    openings_free(&openings);
    solo_free(solo);
}
END_TEST

START_TEST(a_repeat_opens_as_the_first_time)
{
    struct solo *solo =
        chorus_solo("[C] C4 D4 E4 G4 r:2 r:1 C5 D5 E5 G5 r:2 r:1", 2, 0, "4");
    struct form_plan plan = { .length = 2, .source = FORM_USER };
    static const int32_t plays[] = { 0, 1, 0, 1, 2, 3 };
    struct openings openings = { 0 };

    solo->plays = solo_alloc(solo, sizeof plays);
    memcpy(solo->plays, plays, sizeof plays);
    solo->play_count = 6;
    ck_assert_int_eq(form_lay_out(solo, &plan, NULL), ST_OK);
    ck_assert_int_eq(openings_make(&openings, solo, NULL), ST_OK);
    ck_assert_uint_eq(openings.count, 3);
    ck_assert_int_eq(openings.items[0].as, 0);
    ck_assert_int_eq(openings.items[1].as, 1);
    check_phrase(&openings.items[1], OPENING_CLEAR, 0, 0, 3);
    ck_assert_uint_eq(openings.items[1].return_count, 1);
    ck_assert_int_eq((int)openings.items[1].returns[0].how, OPENING_WRITTEN);
    /* And the third is like both. */
    ck_assert_uint_eq(openings.items[2].return_count, 2);
    ck_assert_int_eq((int)openings.items[2].returns[1].how, OPENING_LINE);
    ck_assert_int_eq(openings.items[2].returns[1].up, 12);
    openings_free(&openings);
    solo_free(solo);
}
END_TEST

/* --- riffs --------------------------------------------------------------- */

/* The riff of the first chorus of 8 bars. */
static struct opening_riff riff_of(const char *text, const char *phrases)
{
    struct solo *solo = chorus_solo(text, 8, 0, phrases);
    struct opening_riff riff = opening_of(solo, 0).riff;

    solo_free(solo);
    return riff;
}

#define AFTER " r:2 r:1 r:1 r:1 r:1 r:1 r:1"

START_TEST(a_rhythm_that_comes_three_times)
{
    struct opening_riff riff = riff_of(
        "[C] C4 E4 r:8 G4:8 r:2 D4 F4 r:8 A4:8 r:2 E4 C4 r:8 G4:8" AFTER,
        "3 6");

    ck_assert(riff.found);
    ck_assert_int_eq(riff.rhythm, 3);
    ck_assert_int_eq(riff.notes, 1);
    ck_assert_uint_eq(riff.first, 0);
    ck_assert_uint_eq(riff.last, 2);
    /* Three notes twice may be chance; four are not. */
    riff = riff_of("[C] C4 E4 r:8 G4:8 r:2 D4 A4 r:8 A3:8" AFTER, "3");
    ck_assert(!riff.found);
    riff = riff_of("[C] C4 E4 G4 C4 r:2 D4 A4 E4 A3" AFTER, "4");
    ck_assert(riff.found);
    ck_assert_int_eq(riff.rhythm, 2);
}
END_TEST

START_TEST(the_same_notes_twice)
{
    /* In another rhythm. */
    struct opening_riff riff =
        riff_of("[C] C4 E4 G4 r:2 r:8 C4:4 E4 G4:4" AFTER, "3");

    ck_assert(riff.found);
    ck_assert_int_eq(riff.notes, 2);
    ck_assert_int_eq(riff.rhythm, 1);
    riff = riff_of("[C] C4 E4 G4 r:2 r:8 D4:4 F#4 A4:4" AFTER, "3");
    ck_assert_int_eq(riff.notes, 1);
    ck_assert_int_eq(riff.line, 2);
}
END_TEST

START_TEST(a_rhythm_stands_at_a_place_of_the_bar)
{
    /* Half a bar later, then a quarter later. */
    ck_assert(riff_of("[C] C4 E4 G4 C4 r:1 D4 A4 E4 A3" AFTER, "4").found);
    ck_assert(
        !riff_of("[C] C4 E4 G4 C4 r:1 r:4 D4 A4 E4 A3" AFTER, "4").found);
}
END_TEST

START_TEST(a_shape_bends_to_the_chord)
{
    /* C E G E, then D F A F in other values: m3 for M3. */
    struct opening_riff riff = riff_of(
        "[C] C4 E4 G4 E4 r:2 [Dm] D4:4 F4 A4:4 F4" AFTER, "4");

    ck_assert(riff.found);
    ck_assert_int_eq(riff.shape, 2);
    ck_assert_int_eq(riff.rhythm, 1);
    ck_assert(!riff_of("[C] C4 E4 G4 E4 r:2 D4:4 F4 A4:4 C5" AFTER, "4").found);
}
END_TEST

START_TEST(a_riff_within_one_phrase)
{
    struct opening_riff riff = riff_of(
        "[C] C4 C4 E4 C4:4. r:4 C4 C4 E4 C4:4. r:4 C4 C4 E4 C4:4." AFTER, "");

    ck_assert(riff.found);
    ck_assert_int_eq(riff.notes, 3);
    ck_assert_int_eq(riff.rhythm, 3);
    ck_assert_uint_eq(riff.last, 3);
}
END_TEST

START_TEST(a_line_is_no_riff)
{
    ck_assert(!riff_of("[C] C4 D4 E4 F4 G4 A4 B4 C5 D5 C5 B4 A4 G4 F4 E4 D4 "
                       "C4 D4 E4 F4 G4 A4 B4 C5 D5 C5 B4 A4 G4 F4 E4 D4" AFTER,
                       "")
                   .found);
    /* Nor is one of more than two bars that has the rhythm of the next. */
    ck_assert(!riff_of("[C] C4:4 D4:4 E4:4 F4:4 G4:4 F4:4 E4:4 D4:4 C4:4 r:2. "
                       "D4:4 E4:4 D4:4 C4:4 D4:4 A3:4 B3:4 C4:4 G3:4 r:2.",
                       "9")
                   .found);
}
END_TEST

/* --- returns ------------------------------------------------------------- */

/* How the chorus of two bars B opens like A: -1 where it does not. */
static struct opening_return return_of(const char *a, const char *b,
                                       const char *phrases)
{
    struct opening_return out = { .how = (enum opening_how)-1 };
    char text[400];
    struct openings openings = { 0 };
    struct solo *solo;

    snprintf(text, sizeof text, "[C] %s %s", a, b);
    solo = chorus_solo(text, 2, 0, phrases);
    ck_assert_int_eq(openings_make(&openings, solo, NULL), ST_OK);
    ck_assert_uint_ge(openings.count, 2);
    ck_assert_uint_eq(openings.items[0].return_count, 0);
    if (openings.items[1].return_count > 0)
        out = openings.items[1].returns[0];
    openings_free(&openings);
    solo_free(solo);
    return out;
}

START_TEST(the_same_line_in_another_key)
{
    struct opening_return r =
        return_of("C4 E4 G4 B4 A4 r:4. r:1", "D4:4 F#4 A4 C#5 F5 r:4. r:1",
                  "5");

    ck_assert_int_eq((int)r.how, OPENING_LINE);
    ck_assert_int_eq(r.chorus, 1);
    ck_assert_int_eq(r.notes, 4);
    ck_assert_int_eq(r.up, 2);
    /* With a pickup the second time. */
    r = return_of("C4 E4 G4 B4 A4 r:4. r:2 r:4. F#4", "C4 E4 G4 B4 r:2 r:1",
                  "5");
    ck_assert_int_eq((int)r.how, OPENING_LINE);
    ck_assert_int_eq(r.up, 0);
}
END_TEST

START_TEST(the_same_rhythm_and_shape)
{
    struct opening_return r = return_of(
        "C4:4. E4 r:8 G4 A4 r:8 r:1", "D4:4. E4 r:8 A4 C5 r:8 r:1", "4");

    ck_assert_int_eq((int)r.how, OPENING_RHYTHM);
    ck_assert_int_eq(r.notes, 4);
    /* Another direction. */
    r = return_of("C4:4. E4 r:8 G4 A4 r:8 r:1",
                  "D4:4. E4 r:8 A4 G4 r:8 r:1", "4");
    ck_assert_int_eq((int)r.how, -1);
    /* A beat later. */
    r = return_of("C4:4. E4 r:8 G4 A4 r:8 r:1",
                  "r:4 D4:4. E4 r:8 A4 C5 r:8 r:2.", "4");
    ck_assert_int_eq((int)r.how, -1);
}
END_TEST

START_TEST(a_variation)
{
    /* E for Eb inside five notes, in another rhythm. */
    struct opening_return r = return_of("C4 G4 Eb4 F4 C5 r:4. r:1",
                                        "C4:4 G4 E4 F4 C5 r:4 r:1", "5");

    ck_assert_int_eq((int)r.how, OPENING_VARIATION);
    ck_assert_int_eq(r.changed, 1);
    /* Two of five is another line; two of seven are not. */
    r = return_of("C4 G4 Eb4 F4 C5 r:4. r:1", "C4:4 A4 E4 F4 C5 r:4 r:1", "5");
    ck_assert_int_eq((int)r.how, -1);
    r = return_of("C4 G4 Eb4 F4 C5 B4 G4 r:8 r:1",
                  "C4:4 A4 Eb4 F4 C5 A4 G4 r:1", "7");
    ck_assert_int_eq((int)r.how, OPENING_VARIATION);
    ck_assert_int_eq(r.changed, 2);
}
END_TEST

START_TEST(what_runs_on_returns_to_nothing)
{
    /* The phrase of chorus 2 began two bars before. */
    struct opening_return r =
        return_of("C4 E4 G4 B4 r:2 r:4 A4:4 A4:4 A4:4",
                  "C4 E4 G4 B4 r:2 r:1", "4");

    ck_assert_int_eq((int)r.how, OPENING_LINE);
    r = return_of("C4 E4 G4 B4:4. r:8 A4:1", "C4 E4 G4 B4 r:2 r:1", "");
    ck_assert_int_eq((int)r.how, -1);
}
END_TEST

START_TEST(degrees_follow_the_chords)
{
    struct solo *solo = chorus_solo("F4 [Dm7] A4 F4 E4 D4 [G7] B4 D5", 2,
                                    0, "");
    const char **degrees;
    static const char *const expected[] = { NULL, "5", "b3", "2",
                                            "1",  "3", "5" };

    ck_assert_int_eq(opening_degrees(&degrees, solo, 0, 6, NULL), ST_OK);
    for (size_t i = 0; i < 7; i++)
        ck_assert_pstr_eq(degrees[i], expected[i]);
    free(degrees);
    solo_free(solo);
}
END_TEST

Suite *openings_suite(void)
{
    Suite *s = suite_create("openings");
    TCase *which = tcase_create("which phrase"), *riff = tcase_create("riffs");
    TCase *returns = tcase_create("returns");

    tcase_add_test(which, a_phrase_from_the_bar_line);
    tcase_add_test(which, a_pickup_of_a_bar_at_most);
    tcase_add_test(which, what_rings_on_is_no_opening);
    tcase_add_test(which, a_phrase_over_everything);
    tcase_add_test(which, without_a_form_the_first_phrase);
    tcase_add_test(which, nothing_written_nothing_opened);
    tcase_add_test(which, a_repeat_opens_as_the_first_time);
    tcase_add_test(which, degrees_follow_the_chords);
    tcase_add_test(riff, a_rhythm_that_comes_three_times);
    tcase_add_test(riff, the_same_notes_twice);
    tcase_add_test(riff, a_rhythm_stands_at_a_place_of_the_bar);
    tcase_add_test(riff, a_shape_bends_to_the_chord);
    tcase_add_test(riff, a_riff_within_one_phrase);
    tcase_add_test(riff, a_line_is_no_riff);
    tcase_add_test(returns, the_same_line_in_another_key);
    tcase_add_test(returns, the_same_rhythm_and_shape);
    tcase_add_test(returns, a_variation);
    tcase_add_test(returns, what_runs_on_returns_to_nothing);
    suite_add_tcase(s, which);
    suite_add_tcase(s, riff);
    suite_add_tcase(s, returns);
    return s;
}
