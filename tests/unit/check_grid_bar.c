/* check_grid_bar.c - the chords of a bar as a grid shows them.  What a player
 * reads from strokes and `%` is common practice, no source. */
#include <stdio.h>
#include <string.h>

#include "query/grid_bar.h"
#include "tests/unit/find_fixture.h"
#include "tests/unit/score_text.h"
#include "tests/unit/suites.h"

/* Make every run of blanks in TEXT one: functions push chords apart. */
static void close_up(char *text)
{
    char *out = text;

    for (; *text; text++)
        if (*text != ' ' || text[1] != ' ')
            *out++ = *text;
    *out = '\0';
}

/* The first bars of SOLO, which is released, are BARS, each ended by "|". */
static void check_bars(struct solo *solo, const char *bars)
{
    struct grid_place place = GRID_START;
    char drawn[1024] = "";

    ck_assert_ptr_nonnull(solo);
    for (size_t i = 0; i < solo->bar_count; i++) {
        struct grid_bar bar;
        size_t used = strlen(drawn);

        grid_bar(&bar, solo, i, &place);
        snprintf(drawn + used, sizeof drawn - used, " %s |", bar.chords);
    }
    close_up(drawn);
    drawn[strlen(bars)] = '\0';
    ck_assert_str_eq(drawn, bars);
    solo_free(solo);
}

START_TEST(chords_that_divide_the_bar_stand_side_by_side)
{
    check_bars(fixture_solo("Ada Quill", "[Dm7] A4:2 [G7] B4:2 [C] C5:1"),
               " Dm7 G7 | C |");
    check_bars(fixture_solo_in("Ada Quill", "3/4",
                               "[C] C5:4 [Am7] A4:4 [D7] C5:4", 0),
               " C Am7 D7 |");
    check_bars(fixture_solo_in("Ada Quill", "6/8", "[C] C5:4. [G7] B4:4.", 0),
               " C G7 |");
}
END_TEST

START_TEST(a_stroke_is_a_beat_on_which_the_chord_goes_on)
{
    check_bars(fixture_solo("Ada Quill", "[Dm7] A4:2. [G7] B4:4 [C] C5:1"),
               " Dm7 / / G7 | C |");
    check_bars(fixture_solo("Ada Quill",
                            "[Dm7] A4:4 [Em7] B4:2 [G7] B4:4 r:4 [C] C5:2."),
               " Dm7 Em7 / G7 | / C / / |");
    check_bars(fixture_solo_in("Ada Quill", "3/4", "[C] C5:2 [G7] B4:4", 0),
               " C / G7 |");
}
END_TEST

/* Two half notes to the bar, but chords are counted in quarters. */
START_TEST(a_stroke_is_a_quarter_in_metres_of_half_notes)
{
    check_bars(
        fixture_solo_in("Ada Quill", "2/2", "[Dm7] A4:2. [G7] B4:4", 0),
        " Dm7 / / G7 |");
    check_bars(fixture_solo_in("Ada Quill", "3/2",
                               "[Dm7] A4:1 r:4 [G7] B4:4", 0),
               " Dm7 / / / / G7 |");
}
END_TEST

START_TEST(chords_off_the_strokes_follow_their_place)
{
    check_bars(fixture_solo("Ada Quill", "[Dm7] A4:4 r:8 [G7] B4:8 r:2"),
               " Dm7 (2 and) G7 |");
    check_bars(fixture_solo("Ada Quill",
                            "[Dm7] A4:1 r:2 r:4 r:8 [G7] B4:8 [C] C5:1"),
               " Dm7 | (4 and) G7 | C |");
}
END_TEST

START_TEST(a_bar_without_a_symbol_says_what_goes_on)
{
    check_bars(fixture_solo("Ada Quill", "r:1 [Dm7] A4:1 r:1 r:1"),
               " | Dm7 | % | % |");
    /* After two chords a `%` would mean both of them. */
    check_bars(fixture_solo("Ada Quill", "[Dm7] A4:2 [G7] B4:2 r:1 r:1"),
               " Dm7 G7 | G7 | % |");
    check_bars(fixture_solo("Ada Quill", "[Dm7] A4:1 r:4 [G7] B4:2. r:1 r:1"),
               " Dm7 | / G7 / / | G7 | % |");
    check_bars(fixture_solo("Ada Quill", "[Dm7] A4:1 [N.C.] B4:1"),
               " Dm7 | N.C. |");
}
END_TEST

START_TEST(another_metre_stands_before_the_chords)
{
    check_bars(score_measures(
                   MEASURE(1, ATTRIBUTES(1, 4, 4) CHORD(C, major) REST(4))
                   MEASURE(2, ATTRIBUTES(1, 3, 4) CHORD(F, major) REST(3))
                   MEASURE(3, CHORD(G, dominant) NOTE(G, 4, 3))),
               " C | (3/4) F | G7 |");
}
END_TEST

/* Roman numerals stand below the chords they belong to, and the key once. */
START_TEST(functions_stand_below_their_chords)
{
    struct solo *solo = fixture_solo(
        "Ada Quill", "[Dm7] A4:2. [G7] B4:4 [CMaj7] C5:1 [Dm7] A4:1 "
                     "[G7] B4:1 [CMaj7] C5:1");
    struct grid_place place = GRID_START;
    struct grid_bar bar;

    grid_bar(&bar, solo, 0, &place);
    ck_assert_str_eq(bar.chords, "Dm7    / / G7");
    ck_assert_str_eq(bar.functions, "C: ii7     V7");
    ck_assert_int_eq(grid_bar_width(&bar), 13);
    grid_bar(&bar, solo, 1, &place);
    ck_assert_str_eq(bar.functions, "Imaj7");
    solo_free(solo);
}
END_TEST

Suite *grid_bar_suite(void)
{
    Suite *suite = suite_create("grid_bar");
    TCase *tests = tcase_create("chords of a bar");

    tcase_add_test(tests, chords_that_divide_the_bar_stand_side_by_side);
    tcase_add_test(tests, a_stroke_is_a_beat_on_which_the_chord_goes_on);
    tcase_add_test(tests, a_stroke_is_a_quarter_in_metres_of_half_notes);
    tcase_add_test(tests, chords_off_the_strokes_follow_their_place);
    tcase_add_test(tests, a_bar_without_a_symbol_says_what_goes_on);
    tcase_add_test(tests, another_metre_stands_before_the_chords);
    tcase_add_test(tests, functions_stand_below_their_chords);
    suite_add_tcase(suite, tests);
    return suite;
}
