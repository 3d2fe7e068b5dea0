/* check_playorder.c - the order in which the bars of a score are played.
 *
 * Bars are written as words: '(' forward repeat, ')' backward repeat, ")3"
 * played three times, "[1" "[1,2" start of an ending, ']' its end, 'S' segno,
 * 'C' coda, 'T' to coda, 'D' da capo, 'G' dal segno, 'F' fine, '.' nothing.
 * The meaning of repeats and endings: MusicXML 4.0, elements repeat, ending,
 * sound.  What a D.C. does to repeats: common practice, no source.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "tests/unit/score_text.h"
#include "tests/unit/suites.h"

static const struct {
    const char *what, *bars, *played;
} cases[] = {
    { "no repeat", ". . .", "0 1 2" },
    { "repeat to the start", ". .) .", "0 1 0 1 2" },
    { "repeat of a part", ". ( ) .", "0 1 2 1 2 3" },
    { "three times", "( )3 .", "0 1 0 1 0 1 2" },
    { "one bar repeated", ". () .", "0 1 1 2" },
    { "two endings", "( . [1]) [2] .", "0 1 2 0 1 3 4" },
    { "two endings, the first of two bars", "( [1 ]) [2 ] .",
      "0 1 2 0 3 4 5" },
    { "three endings", "( [1]) [2]) [3] .", "0 1 0 2 0 3 4" },
    { "first ending twice", "( [1,2])3 [3] .", "0 1 0 1 0 2 3" },
    { "a range of endings", "( [1-2])3 [3] .", "0 1 0 1 0 2 3" },
    { "a range of three endings", "( [1-3]) [4] .", "0 1 0 1 0 1 0 2 3" },
    { "a range of endings with no end in sight",
      "( [1-2,9000000000-9223372036854775807])3 [3] .", "0 1 0 1 0 2 3" },
    { "an ending with a number far below", "( [-9223372036854775808]) .",
      "0 1 0 1 2" },
    { "two repeated parts", "( ) ( ) .", "0 1 0 1 2 3 2 3 4" },
    { "a repeat without a start after another", ". .) . .) .",
      "0 1 0 1 2 3 2 3 4" },
    { "repeat start inside a played part", "( . [1]) [2] ( ) .",
      "0 1 2 0 1 3 4 5 4 5 6" },
    { "D.C. al fine", ". .F . .D", "0 1 2 3 0 1" },
    { "D.C. after repeats plays them once", "( )F . .D", "0 1 0 1 2 3 0 1" },
    { "D.S. al coda", ". .S .T .G .C .", "0 1 2 3 1 2 4 5" },
    { "D.S. al fine", ". .S .F .G", "0 1 2 3 1 2" },
    { "D.C. al coda", ". .T . .D .C", "0 1 2 3 0 1 4" },
    { "D.C. takes the last ending", "( [1]) [2] .D", "0 1 0 2 3 0 2 3" },
    { "D.C. takes the last ending, of two bars", "( [1 ]) [2 ] .D",
      "0 1 2 0 3 4 5 0 3 4 5" },
    { "three endings asked for by the last", "( [1 ]) [2 ]) [3 ] .",
      "0 1 2 0 3 4 0 5 6 7" },
    { "D.S. without a segno goes to the start", ". .F .G", "0 1 2 0 1" },
    { "repeat start without an end", ". ( .", "0 1 2" },
    { "an ending that is not closed", "( [1) [2 .", "0 1 0 2 3" },
};

static size_t add(char *out, size_t used, size_t size, const char *text)
{
    int n = snprintf(out + used, size - used, "%s", text);

    ck_assert(n >= 0 && (size_t)n < size - used);
    return used + (size_t)n;
}

/* The elements of one letter of a word; returns how many letters it took. */
static size_t letter_xml(const char *at, char *left, size_t left_size,
                         char *right, size_t right_size)
{
    static const struct {
        char letter;
        const char *attribute;
    } sounds[] = { { 'S', "segno=\"s\"" },   { 'C', "coda=\"c\"" },
                   { 'T', "tocoda=\"c\"" },  { 'D', "dacapo=\"yes\"" },
                   { 'G', "dalsegno=\"s\"" }, { 'F', "fine=\"yes\"" } };
    size_t used = strlen(right);

    if (*at == '(') {
        add(left, strlen(left), left_size,
            "<barline location=\"left\"><repeat direction=\"forward\"/>"
            "</barline>");
    } else if (*at == '[') {
        size_t n = strspn(at + 1, "0123456789,-");
        char text[120];

        snprintf(text, sizeof text,
                 "<barline location=\"left\"><ending number=\"%.*s\" "
                 "type=\"start\"/></barline>", (int)n, at + 1);
        add(left, strlen(left), left_size, text);
        return n + 1;
    } else if (*at == ')' || *at == ']') {
        bool ending = *at == ']';
        bool repeat = !ending || at[1] == ')';
        const char *times = ending ? at + 2 : at + 1;
        char text[160];

        snprintf(text, sizeof text,
                 "<barline location=\"right\">%s%s%s%.1s%s</barline>",
                 ending ? "<ending number=\"1\" type=\"stop\"/>" : "",
                 repeat ? "<repeat direction=\"backward\"" : "",
                 repeat && *times == '3' ? " times=\"" : "",
                 repeat && *times == '3' ? times : "",
                 !repeat         ? ""
                 : *times == '3' ? "\"/>"
                                 : "/>");
        add(right, used, right_size, text);
        return (ending ? 1u : 0u) + (repeat ? 1u : 0u) +
               (repeat && *times == '3' ? 1u : 0u);
    } else if (*at != '.') {
        for (size_t i = 0; i < sizeof sounds / sizeof *sounds; i++) {
            char text[60];

            if (sounds[i].letter != *at)
                continue;
            snprintf(text, sizeof text, "<sound %s/>", sounds[i].attribute);
            add(right, used, right_size, text);
        }
    }
    return 1;
}

static void build(char *out, size_t size, const char *words)
{
    size_t used = 0;
    int number = 1;

    while (*words) {
        char left[400] = "", right[400] = "", text[1000];

        while (*words && *words != ' ')
            words += letter_xml(words, left, sizeof left, right,
                                sizeof right);
        words += *words == ' ';
        snprintf(text, sizeof text, "<measure number=\"%d\">%s%s%s</measure>",
                 number++, left, NOTE(C, 4, 4), right);
        used = add(out, used, size, text);
    }
}

START_TEST(bars_are_played_in_order)
{
    char xml[16000] = "", got[400] = "";
    struct solo *solo;
    size_t used = 0;

    build(xml, sizeof xml, cases[_i].bars);
    solo = score_measures(xml);
    for (size_t i = 0; i < solo->play_count; i++) {
        char text[16];

        snprintf(text, sizeof text, "%s%d", i ? " " : "",
                 (int)solo->plays[i]);
        used = add(got, used, sizeof got, text);
    }
    ck_assert_msg(strcmp(got, cases[_i].played) == 0,
                  "%s: %s is played %s, not %s", cases[_i].what,
                  cases[_i].bars, got, cases[_i].played);
    solo_free(solo);
}
END_TEST

START_TEST(endless_repeats_are_cut)
{
    /* A hundred nested-looking repeats of a hundred times each. */
    static char xml[200000];
    size_t used = 0;
    struct solo *solo;

    for (int i = 0; i < 1000; i++)
        used = add(xml, used, sizeof xml,
                   "<measure number=\"1\"><barline><repeat "
                   "direction=\"backward\" times=\"100\"/></barline>"
                   "</measure>");
    solo = score_measures(xml);
    ck_assert_uint_le(solo->play_count, 100000);
    solo_free(solo);
}
END_TEST

START_TEST(a_place_says_how_often_it_is_played)
{
    char xml[16000] = "";
    struct solo *solo;

    build(xml, sizeof xml, "( . [1]) [2] .");
    solo = score_measures(xml);
    ck_assert_int_eq(solo_times_played(solo, 0, 1), 2);
    ck_assert_int_eq(solo_times_played(solo, 1, 2), 1);
    /* From the first ending into the second nobody plays. */
    ck_assert_int_eq(solo_times_played(solo, 2, 3), 0);
    ck_assert_int_eq(solo_times_played(solo, 3, 4), 1);
    solo_free(solo);
}
END_TEST

Suite *playorder_suite(void)
{
    Suite *s = suite_create("playorder");
    TCase *t = tcase_create("repeats and jumps");

    tcase_add_loop_test(t, bars_are_played_in_order, 0,
                        (int)(sizeof cases / sizeof *cases));
    tcase_add_test(t, endless_repeats_are_cut);
    tcase_add_test(t, a_place_says_how_often_it_is_played);
    suite_add_tcase(s, t);
    return s;
}
