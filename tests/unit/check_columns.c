/* check_columns.c - text in columns: widths, cutting, padding, wrapping, and
 * the words that stand in them. */
#include <check.h>
#include <locale.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <wchar.h>

#include "query/bar_range.h"
#include "query/columns.h"
#include "query/words.h"
#include "tests/unit/suites.h"

static void expect_put(const char *text, int width, enum columns_align align,
                       const char *expected)
{
    char *out = NULL;
    size_t size = 0;
    FILE *file = open_memstream(&out, &size);

    ck_assert_ptr_nonnull(file);
    columns_put(file, text, width, align);
    fclose(file);
    ck_assert_msg(strcmp(out, expected) == 0, "'%s' in %d: '%s', not '%s'",
                  text, width, out, expected);
    free(out);
}

/* Widths as of Unicode Standard Annex 11: wide ideographs take two columns,
 * combining marks none. */
START_TEST(test_width_is_counted_as_a_terminal_does)
{
    ck_assert_int_eq(columns_width(""), 0);
    ck_assert_int_eq(columns_width("Bb7#9"), 5);
    ck_assert_int_eq(columns_width("\xc3\xa9t\xc3\xa9"), 3);
    ck_assert_int_eq(columns_width("e\xcc\x81"), 1);
    ck_assert_int_eq(columns_width("\xe6\xad\x8c"), 2);
}
END_TEST

/* What takes one column without a look at the locale takes one in it, and text
 * with what has to be looked up is as wide after it as before. */
START_TEST(test_usual_letters_are_as_wide_as_the_locale_has_them)
{
    static const char usual[] = "\xc3\xa9 \xc2\xb7 \xe2\x99\xaf";
    int looked_at = 0;

    ck_assert_int_eq(columns_width(usual), 5);
    ck_assert_str_eq(setlocale(LC_CTYPE, NULL), "C"); /* not looked at yet */
    ck_assert_ptr_nonnull(setlocale(LC_CTYPE, "C.UTF-8"));
    for (unsigned int code = 0xa0; code < 0x2800; code++) {
        int width = wcwidth((wchar_t)code);
        char text[8];

        /* Those that turn a line round are shown as a question mark. */
        if (width < 0 || (code >= 0x2028 && code <= 0x202e) ||
            (code >= 0x2066 && code <= 0x2069))
            continue;
        ck_assert_int_gt(snprintf(text, sizeof text, "%lc", (wint_t)code), 1);
        ck_assert_msg(columns_width(text) == width, "U+%04X: %d, not %d",
                      (unsigned int)code, columns_width(text), width);
        looked_at++;
    }
    ck_assert_int_gt(looked_at, 5000);
}
END_TEST

START_TEST(test_padding_goes_to_the_side_asked)
{
    expect_put("F7", 4, COLUMNS_LEFT, "F7  ");
    expect_put("F7", 4, COLUMNS_RIGHT, "  F7");
    expect_put("F7", 4, COLUMNS_TAIL, "F7  ");
    expect_put("F7", 4, COLUMNS_LAST, "F7");
    expect_put("\xc3\xa9", 3, COLUMNS_RIGHT, "  \xc3\xa9");
    expect_put("F7", 0, COLUMNS_LEFT, "");
}
END_TEST

START_TEST(test_what_is_too_long_is_cut_and_marked)
{
    expect_put("abcdef", 4, COLUMNS_LEFT, "abc\xe2\x80\xa6");
    expect_put("abcdef", 4, COLUMNS_TAIL,
               "\xe2\x80\xa6"
               "def");
    expect_put("abcdef", 1, COLUMNS_LEFT, "\xe2\x80\xa6");
    expect_put("abcdef", 6, COLUMNS_LEFT, "abcdef");
    /* A wide character that does not fit leaves a blank, not half of it. */
    expect_put("\xe6\xad\x8c\xe6\xad\x8c\xe6\xad\x8c", 4, COLUMNS_LEFT,
               "\xe6\xad\x8c\xe2\x80\xa6 ");
    expect_put("\xe6\xad\x8c\xe6\xad\x8c\xe6\xad\x8c", 4, COLUMNS_TAIL,
               "\xe2\x80\xa6\xe6\xad\x8c ");
    /* A mark goes with its letter. */
    expect_put(
        "abe\xcc\x81"
        "def",
        4, COLUMNS_LEFT, "abe\xcc\x81\xe2\x80\xa6");
    expect_put(
        "abe\xcc\x81"
        "de",
        3, COLUMNS_TAIL,
        "\xe2\x80\xa6"
        "de");
}
END_TEST

START_TEST(test_text_from_files_cannot_steer_the_terminal)
{
    expect_put(
        "a\x1b[2Jb\xe2\x80\xae"
        "c",
        10, COLUMNS_LAST, "a?[2Jb?c");
    expect_put("one\ntwo", 10, COLUMNS_LAST, "one two");
    expect_put("caf\xe9", 10, COLUMNS_LAST, "caf?");
}
END_TEST

START_TEST(test_the_widest_columns_give_way)
{
    int widths[] = { 50, 8, 30 };

    columns_fit(widths, 3, 48);
    ck_assert_int_eq(widths[0], 20);
    ck_assert_int_eq(widths[1], 8);
    ck_assert_int_eq(widths[2], 20);
    columns_fit(widths, 3, 100);
    ck_assert_int_eq(widths[0], 20);
    columns_fit(widths, 3, 0);
    ck_assert_int_eq(widths[0] + widths[1] + widths[2], 3);
}
END_TEST

static void expect_wrap(const char *text, int width, int indent,
                        const char *expected)
{
    char *out = NULL;
    size_t size = 0;
    FILE *file = open_memstream(&out, &size);

    ck_assert_ptr_nonnull(file);
    columns_wrap(file, text, width, indent);
    fclose(file);
    ck_assert_str_eq(out, expected);
    free(out);
}

START_TEST(test_lines_break_at_blanks)
{
    expect_wrap("one two three four five", 22, 2,
                "one two three four\n  five\n");
    expect_wrap("one", 22, 2, "one\n");
    expect_wrap("", 22, 0, "\n");
    /* A word longer than the line stands alone. */
    expect_wrap("a 012345678901234567890123456789 b", 22, 0,
                "a\n012345678901234567890123456789\nb\n");
}
END_TEST

/* Counting beats "1 e and a": common practice, no source. */
START_TEST(test_beats_are_named_as_they_are_counted)
{
    char out[WORDS_SIZE];

    ck_assert_str_eq(words_beat(out, rational_make(3, 1)), "3");
    ck_assert_str_eq(words_beat(out, rational_make(7, 2)), "3 and");
    ck_assert_str_eq(words_beat(out, rational_make(13, 4)), "3 e");
    ck_assert_str_eq(words_beat(out, rational_make(15, 4)), "3 a");
    ck_assert_str_eq(words_beat(out, rational_make(10, 3)), "3 1/3");
    ck_assert_str_eq(words_beat(out, rational_make(29, 8)), "3 5/8");
}
END_TEST

/* Note values: MusicXML 4.0, note-type-value, with dots and 3:2 tuplets. */
START_TEST(test_note_values_are_named)
{
    static const struct {
        int n, d;
        const char *name;
    } cases[] = {
        { 4, 1, "whole" },
        { 3, 1, "dotted half" },
        { 1, 1, "quarter" },
        { 3, 4, "dotted eighth" },
        { 1, 2, "eighth" },
        { 1, 3, "triplet eighth" },
        { 2, 3, "triplet quarter" },
        { 1, 4, "16th" },
        { 7, 4, "double-dotted quarter" },
        { 5, 2, "half tied to eighth" },
        { 5, 6, "eighth tied to triplet eighth" },
        { 0, 1, "no length" },
        { 2, 5, "2/5 of a quarter" },
    };
    char out[WORDS_SIZE];

    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++)
        ck_assert_str_eq(
            words_duration(out, rational_make(cases[i].n, cases[i].d)),
            cases[i].name);
}
END_TEST

static void expect_bars(const char *text, const char *first, const char *last)
{
    struct bar_range range;
    struct fault why = { 0 };

    ck_assert_int_eq(bar_range_read(&range, text, &why), ST_OK);
    ck_assert_str_eq(range.first, first);
    ck_assert_str_eq(range.last, last);
    bar_range_free(&range);
}

/* Printed bar numbers may be text: MusicXML 4.0, attribute number of
 * measure. */
START_TEST(test_bars_are_split_at_the_sensible_dash)
{
    struct bar_range range;
    struct fault why = { 0 };

    expect_bars("5", "5", "5");
    expect_bars("5-8", "5", "8");
    expect_bars("12a-X1", "12a", "X1");
    expect_bars("-1-3", "-1", "3");
    expect_bars("A-1-A-4", "A-1", "A-4");
    expect_bars("-1", "-1", "-1");
    ck_assert_int_eq(bar_range_read(&range, "5-", &why), ST_USAGE);
    ck_assert_ptr_nonnull(strstr(why.message, "5-8"));
    ck_assert_int_eq(bar_range_read(&range, "", &why), ST_USAGE);
    ck_assert_int_eq(bar_range_read(&range, "-", &why), ST_USAGE);
}
END_TEST

Suite *columns_suite(void)
{
    Suite *suite = suite_create("columns");
    TCase *columns = tcase_create("columns");
    TCase *words = tcase_create("words");

    tcase_add_test(columns, test_width_is_counted_as_a_terminal_does);
    tcase_add_test(columns,
                   test_usual_letters_are_as_wide_as_the_locale_has_them);
    tcase_add_test(columns, test_padding_goes_to_the_side_asked);
    tcase_add_test(columns, test_what_is_too_long_is_cut_and_marked);
    tcase_add_test(columns, test_text_from_files_cannot_steer_the_terminal);
    tcase_add_test(columns, test_the_widest_columns_give_way);
    tcase_add_test(columns, test_lines_break_at_blanks);
    suite_add_tcase(suite, columns);
    tcase_add_test(words, test_beats_are_named_as_they_are_counted);
    tcase_add_test(words, test_note_values_are_named);
    tcase_add_test(words, test_bars_are_split_at_the_sensible_dash);
    suite_add_tcase(suite, words);
    return suite;
}
