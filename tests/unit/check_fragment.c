/* check_fragment.c - what a user may write to be found, and over what.
 *
 * The checks marked "design 9" are common practice, no source.
 */
#include <check.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "query/fragment.h"
#include "tests/unit/suites.h"

static struct fragment given_over(const char *text, const char *over)
{
    struct fragment f;
    struct fault why = { 0 };

    ck_assert_msg(fragment_parse(&f, text, over, NULL, &why) == ST_OK,
                  "'%s' over '%s': %s", text, over ? over : "", why.message);
    return f;
}

static struct fragment given(const char *text)
{
    return given_over(text, NULL);
}

/* The steps between neighbours as one text, "?" where a note is not known or
 * the distance is free. */
static const char *steps(const struct fragment *f)
{
    static char out[512];
    size_t used = 0;

    out[0] = '\0';
    for (size_t i = 1; i < f->count; i++) {
        bool free_step =
            f->any[i] || f->any[i - 1] || f->group[i] != f->group[i - 1];

        used += (size_t)snprintf(out + used, sizeof out - used,
                                 free_step ? "%s?" : "%s%d", i > 1 ? " " : "",
                                 f->midi[i] - f->midi[i - 1]);
    }
    return out;
}

struct line {
    const char *text, *steps;
};

static void check_lines(const struct line *lines, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        struct fragment f = given(lines[i].text);

        ck_assert_msg(strcmp(steps(&f), lines[i].steps) == 0,
                      "'%s' gives %s, not %s", lines[i].text, steps(&f),
                      lines[i].steps);
    }
}

#define CHECK_LINES(lines)                                                     \
    check_lines(lines, sizeof(lines) / sizeof *(lines))

START_TEST(degrees)
{
    static const struct line lines[] = {
        { "5 b3 2 1", "-4 -1 -2" },   /* design 9 */
        { "b3 5 b7 9", "4 3 4" },     /* design 9 */
        { "3 5 b7 b9", "3 3 3" },     /* design 9 */
        { "1 2 3 5", "2 2 3" },       /* design 9 */
        { "1 9 3 11 13", "2 2 1 4" }, /* compound ones are reduced */
        { "1 8 1", "0 0" },           /* the same note again */
        { "1 b5 1", "6 6" },          /* a tritone goes up */
        { "1 #11 1", "6 6" },
        { "1 5 1", "-5 5" }, /* the fourth below is nearer */
        { "1 5' 1", "7 5" }, /* and an octave from there */
        { "1 5' 1,", "7 -7" },
        { "1 5' 3 1,", "7 -3 -16" },
        { "1 1'' 1", "24 0" },
        { "1 b3, 1", "-9 -3" },
        { "b1 1", "1" },
        { "bb7 1", "3" },
        { "b3 3", "1" },
        { "b7 b3", "5" },
        { "5 ? 2 1", "? ? -2" },
        { "\xe2\x99\xad"
          "3 \xe2\x99\xaf"
          "11",
          "3" }, /* Unicode signs */
        { "5\t b3\n2  1 ", "-4 -1 -2" },
    };

    CHECK_LINES(lines);
}
END_TEST

START_TEST(names)
{
    static const struct line lines[] = {
        { "A4 F4 E4 D4", "-4 -1 -2" },
        { "A F E D", "-4 -1 -2" },
        { "a f e d", "-4 -1 -2" },
        { "A3 F5 E D", "20 -1 -2" }, /* nearest to the last one known */
        { "C F# C", "6 6" },
        { "C G' C,", "7 -7" },
        { "Bb bb B b", "0 1 0" }, /* a lower-case b alone is B */
        { "Cb B C B#", "0 1 0" },
        { "C4 Cb4 B3", "-1 0" },
        { "B3 C4", "1" },
        { "B\xe2\x99\xad"
          "4 F\xe2\x99\xaf"
          "4",
          "-4" },
        { "Fx4 G4", "0" },
        { "C4 ? E4", "? ?" },
        { "Eb-1 G9", "124" },
    };

    CHECK_LINES(lines);
}
END_TEST

START_TEST(intervals)
{
    static const struct line lines[] = {
        { "-4 -1 -2", "-4 -1 -2" },
        { "+4", "4" },
        { "4 -1 2", "4 -1 2" }, /* one sign makes all of them intervals */
        { "0 5", "0 5" },
        { "0 0", "0 0" },
        { "-4 ? -2", "-4 ? -2" },
        { "? -4", "? -4" },
        { "-4 ?", "-4 ?" },
        { "+127 \xe2\x88\x92"
          "127",
          "127 -127" }, /* a printed minus */
    };

    CHECK_LINES(lines);
}
END_TEST

START_TEST(a_wildcard_among_degrees_keeps_the_others_where_they_are)
{
    struct fragment f = given("5 ? 2 1");

    ck_assert_int_eq(f.midi[2] - f.midi[0], -5);
    ck_assert_int_eq(f.group[0], f.group[2]);
    ck_assert(f.any[1] && !f.any[0] && !f.any[2] && !f.any[3]);
}
END_TEST

START_TEST(a_wildcard_among_intervals_sets_the_others_free)
{
    struct fragment f = given("-4 ? -2");

    ck_assert_uint_eq(f.count, 4);
    ck_assert_int_eq(f.group[0], f.group[1]);
    ck_assert_int_ne(f.group[1], f.group[2]);
    ck_assert_int_eq(f.group[2], f.group[3]);
    for (size_t i = 0; i < 4; i++)
        ck_assert(!f.any[i]);
    f = given("? ? -2");
    ck_assert(f.any[0] && f.any[1] && !f.any[2] && !f.any[3]);
    ck_assert_uint_eq(f.given_at, 2);
}
END_TEST

START_TEST(rhythm)
{
    struct fragment f = given(
        "1:1 2:2 3:4 4:8 5:16 6:32 7:64 1:4. 2:4.. "
        "3:8t ?:2.t");
    static const int expected[][2] = { { 4, 1 }, { 2, 1 }, { 1, 1 },  { 1, 2 },
                                       { 1, 4 }, { 1, 8 }, { 1, 16 }, { 3, 2 },
                                       { 7, 4 }, { 1, 3 }, { 2, 1 } };

    ck_assert(f.has_rhythm);
    for (size_t i = 0; i < f.count; i++) {
        ck_assert_int_eq(f.value[i].num, expected[i][0]);
        ck_assert_int_eq(f.value[i].den, expected[i][1]);
    }
    ck_assert(!given("5 b3").has_rhythm);
    ck_assert_str_eq(given("b3:8 5:8").text[0], "b3");
}
END_TEST

/* --- over a chord -------------------------------------------------------- */

START_TEST(where_it_starts)
{
    static const struct {
        const char *text, *over;
        int start, known_start, given_pc;
        size_t given_at;
    } lines[] = {
        { "5 b3 2 1", NULL, -1, -1, -1, 0 },
        { "5 b3 2 1", "m7", 7, 7, -1, 0 },
        { "9 b7 13 5", "7", 2, 2, -1, 0 },   /* design 9 */
        { "b13 3 #9 b9", "7", 8, 8, -1, 0 }, /* design 9 */
        { "5 b3 2 1", "minor", 7, 7, -1, 0 },
        { "5 b3 2 1", "Dm7", 7, 7, 9, 0 },
        { "5 b3 2 1", "Bbm7", 7, 7, 5, 0 },
        { "? b3 2 1", "m7", -1, 3, -1, 1 },
        { "? b3 2 1", "Dm7", -1, 3, 5, 1 },
        { "A F E D", NULL, -1, -1, 9, 0 },
        { "A F E D", "m7", -1, -1, 9, 0 },
        { "A F E D", "Dm7", 7, 7, 9, 0 },
        { "A F E D", "G7", 2, 2, 9, 0 },
        { "A F E D", "Cmaj7", 9, 9, 9, 0 },
        { "? F E D", "G7", -1, 10, 5, 1 },
        { "A F E D", "Dm7|G7", 7, 7, 9, 0 },
        { "-4 -1", "Dm7", -1, -1, -1, 0 },
        { "5 1", "none", -1, -1, -1, 0 },
        { "b1 1", "m7", 11, 11, -1, 0 },
    };

    for (size_t i = 0; i < sizeof lines / sizeof *lines; i++) {
        struct fragment f = given_over(lines[i].text, lines[i].over);

        ck_assert_int_eq(f.start, lines[i].start);
        ck_assert_int_eq(f.known_start, lines[i].known_start);
        ck_assert_int_eq(f.given_pc, lines[i].given_pc);
        ck_assert_uint_eq(f.given_at, lines[i].given_at);
    }
}
END_TEST

START_TEST(over_reads_suffixes_words_and_chords)
{
    static const struct {
        const char *text;
        int count, class;
        bool by_class, has_root;
        int root_pc;
    } lines[] = {
        { "m7", 1, CHORD_MINOR, false, false, 0 },
        { "7", 1, CHORD_DOMINANT, false, false, 0 },
        { "maj7", 1, CHORD_MAJOR, false, false, 0 },
        { "m7b5", 1, CHORD_HALF_DIMINISHED, false, false, 0 },
        { "dim7", 1, CHORD_DIMINISHED, false, false, 0 },
        { "dim", 1, CHORD_DIMINISHED, false, false, 0 },
        { "aug", 1, CHORD_AUGMENTED, false, false, 0 },
        { "7alt", 1, CHORD_DOMINANT, false, false, 0 },
        { "sus", 1, CHORD_SUSPENDED, false, false, 0 },
        { "minor", 1, CHORD_MINOR, true, false, 0 },
        { "Dominant", 1, CHORD_DOMINANT, true, false, 0 },
        { "diminished", 1, CHORD_DIMINISHED, true, false, 0 },
        { "none", 1, CHORD_NONE, true, false, 0 },
        { "Dm7", 1, CHORD_MINOR, false, true, 2 },
        { "D", 1, CHORD_MAJOR, false, true, 2 },
        { "Bb7", 1, CHORD_DOMINANT, false, true, 10 },
        { "F#m7b5", 1, CHORD_HALF_DIMINISHED, false, true, 6 },
        { "m7|7", 2, CHORD_MINOR, false, false, 0 },
        { " Dm7 | G7 |C", 3, CHORD_MINOR, false, true, 2 },
    };

    for (size_t i = 0; i < sizeof lines / sizeof *lines; i++) {
        struct over over;
        struct fault why = { 0 };

        ck_assert_msg(over_parse(&over, lines[i].text, &why) == ST_OK, "%s: %s",
                      lines[i].text, why.message);
        ck_assert_int_eq(over.count, lines[i].count);
        ck_assert_int_eq(over.chords[0].chord.class, lines[i].class);
        ck_assert_int_eq(over.chords[0].by_class, lines[i].by_class);
        ck_assert_int_eq(over.chords[0].chord.has_root, lines[i].has_root);
        if (lines[i].has_root)
            ck_assert_int_eq(over.chords[0].chord.root_pc, lines[i].root_pc);
    }
}
END_TEST

/* What people write and what it asks for: common practice, no source. */
START_TEST(over_reads_functions)
{
    static const struct {
        const char *text, *functions[3]; /* "" is a chord */
        int class;
    } lines[] = {
        { "ii7", { "ii7" }, CHORD_MINOR },
        { "V7", { "V7" }, CHORD_DOMINANT },
        { "V13", { "V7" }, CHORD_DOMINANT },
        { "IIm7", { "ii7" }, CHORD_MINOR },
        { "I", { "I" }, CHORD_MAJOR },
        { "Imaj7", { "Imaj7" }, CHORD_MAJOR },
        { "i", { "i" }, CHORD_MINOR },
        { "bVII7", { "bVII7" }, CHORD_DOMINANT },
        { "\xe2\x99\xadVII7", { "bVII7" }, CHORD_DOMINANT },
        { "vii\xc3\xb8" "7", { "vii\xc3\xb8" "7" }, CHORD_HALF_DIMINISHED },
        { "#ivo7", { "#ivo7" }, CHORD_DIMINISHED },
        { "subV7", { "subV7" }, CHORD_DOMINANT },
        { "V7/ii", { "V7/ii" }, CHORD_DOMINANT },
        { "ii7|V7", { "ii7", "V7" }, CHORD_MINOR },
        { " V7/ii | m7 |V7", { "V7/ii", "", "V7" }, CHORD_DOMINANT },
        { "minor|V7sus4", { "", "V7sus" }, CHORD_MINOR },
        { "b5", { "" }, CHORD_MAJOR },
    };

    for (size_t i = 0; i < sizeof lines / sizeof *lines; i++) {
        struct over over;
        struct fault why = { 0 };
        int count = 0;

        ck_assert_msg(over_parse(&over, lines[i].text, &why) == ST_OK, "%s: %s",
                      lines[i].text, why.message);
        for (; count < 3 && lines[i].functions[count]; count++) {
            const struct over_chord *chord = &over.chords[count];

            ck_assert_str_eq(chord->function, lines[i].functions[count]);
            ck_assert_int_eq(*chord->key != 0, *chord->function != 0);
            ck_assert(!*chord->function || !chord->chord.has_root);
        }
        ck_assert_int_eq(over.count, count);
        ck_assert_int_eq(over.chords[0].chord.class, lines[i].class);
    }
}
END_TEST

/* --- what is wrong ------------------------------------------------------- */

struct wrong {
    const char *text;
    long offset;
    const char *words; /* part of the message */
};

START_TEST(a_wrong_token_is_pointed_at)
{
    static const struct wrong lines[] = {
        { "", 0, "empty" },
        { "  ", 0, "empty" },
        { "5", 0, "2 to 32" },
        { " A4", 1, "2 to 32" },
        { "5 b33 1", 2,
          "'b33' is no degree: degrees run from 1 to 13, e.g. "
          "b3 or #11" },
        { "33 1", 0, "'33' is no degree" },
        { "5 14", 2, "'14' is no degree" },
        { "5 b3 H", 5, "'H' is no note" },
        { "A F E Dq", 6, "'Dq' is no note" },
        { "A4' F", 0, "an octave number and an octave mark" },
        { "A C10", 2, "out of range" },
        { "5 b3 A", 5, "'A' is a note name, but the others are degrees" },
        { "A F 5", 4, "'5' is a number, but the others are note names" },
        { "5 A F", 0, "'5' is a number, but the others are note names" },
        { "-4 b3 1", 3, "'b3' is a degree, but the others are intervals" },
        { "5 b3 -2", 5, "'-2' is an interval, but the others are degrees" },
        { "b3 0 1", 3, "'0' is an interval, but the others are degrees" },
        { "-4 +", 3, "'+' is no interval" },
        { "-4 +3'", 3, "'+3'' is no interval" },
        { "-4 +128", 3, "from -127 to +127" },
        { "-4 999999999999", 3, "from -127 to +127" },
        { "5 ?x 1", 2, "stands alone" },
        { "? ? ?", 0, "at least two notes" },
        { "5 ?", 0, "at least two notes" },
        { "5:8 b3 1:8", 4, "'b3' has no note value" },
        { "5 b3:8 1", 2, "'b3' has a note value" },
        { "5:8 ? 1:8", 4, "'?' has no note value" },
        { "5:8 b3:5 1:8", 4, "'b3:5' has no note value that reads" },
        { "5:8 b3: 1:8", 4, "'b3:' has no note value that reads" },
        { "5:8 b3:8... 1:8", 4, "'b3:8...' has no note value that reads" },
        { "5:8 b3:128 1:8", 4, "no note value that reads" },
        { "5:8 :8 1:8", 4, "has no note before" },
        { "-4:8 -1:8", 0, "write note names or degrees" },
        { "-4 -1:8", 3, "write note names or degrees" },
        { "1 b5'''''' 1", 2, "above the highest note" },
        { "1 1,,,,,, 1", 2, "below the lowest note" },
        { "1 1''''''''''' 1", 2, "only ' (an octave up)" },
        { "5 b3\x01 1", 2, "'b3?' has something after" },
        { "\xff\xfe 1", 0, "is no note" },
        { "5 aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa", 2,
          "is no note" },
    };

    for (size_t i = 0; i < sizeof lines / sizeof *lines; i++) {
        struct fragment f;
        struct fault why = { 0 };
        bool in_over = true;

        ck_assert_msg(fragment_parse(&f, lines[i].text, NULL, &in_over, &why) ==
                          ST_SYNTAX,
                      "'%s' should not read", lines[i].text);
        ck_assert(!in_over);
        ck_assert_msg(strstr(why.message, lines[i].words) != NULL, "'%s': %s",
                      lines[i].text, why.message);
        ck_assert_msg(why.offset == lines[i].offset, "'%s': at %ld",
                      lines[i].text, why.offset);
    }
}
END_TEST

START_TEST(at_most_32_notes)
{
    char degrees_32[200] = "1", steps_31[200] = "+1", longer[256];
    struct fragment f;
    struct fault why = { 0 };

    for (int i = 1; i < 32; i++)
        strcat(degrees_32, " 1");
    for (int i = 1; i < 31; i++)
        strcat(steps_31, " +0");
    ck_assert_uint_eq(given(degrees_32).count, 32);
    ck_assert_uint_eq(given(steps_31).count, 32);
    snprintf(longer, sizeof longer, "%s 1", degrees_32);
    ck_assert_int_eq(fragment_parse(&f, longer, NULL, NULL, &why), ST_SYNTAX);
    ck_assert_int_eq(why.offset, 64);
    snprintf(longer, sizeof longer, "%s -1", steps_31);
    ck_assert_int_eq(fragment_parse(&f, longer, NULL, NULL, &why), ST_SYNTAX);
    ck_assert_int_eq(why.offset, 93);
}
END_TEST

START_TEST(a_wrong_chord_is_pointed_at)
{
    static const struct wrong lines[] = {
        { "", 0, "a chord is missing" },
        { "m7|", 3, "a chord is missing" },
        { "m7 | | 7", 5, "a chord is missing" },
        { "m7|xyz", 3, "'xyz' is no chord" },
        { "m7| Hm7", 4, "'Hm7' is no chord" },
        { "IIx", 2, "'IIx' is no function" },
        { "m7 | Vquux", 6, "'Vquux' is no function" },
        { "ii7|V7/", 7, "after the slash stands a roman numeral" },
        { "V7/ii7", 5, "after the slash stands a roman numeral" },
        { " Imaj7/ii", 7, "only V, subV, ii and vii lead" },
        { "7|subII7", 2, "a substitute is written subV7" },
        { "sub", 3, "is no function" },
        { "b5x", 0, "'b5x' is no chord" },
        { "7|7|7|7|7|7|7|7|7", 16, "at most 8" },
        { "m7m7m7m7m7m7m7m7m7m7m7m7m7m7m7m7m7m7m7m7m7m7m7m7m7", 0, "too long" },
    };

    for (size_t i = 0; i < sizeof lines / sizeof *lines; i++) {
        struct fragment f;
        struct fault why = { 0 };
        bool in_over = false;

        ck_assert_msg(fragment_parse(&f, "5 b3", lines[i].text, &in_over,
                                     &why) == ST_SYNTAX,
                      "'%s' should not read", lines[i].text);
        ck_assert(in_over);
        ck_assert_msg(strstr(why.message, lines[i].words) != NULL, "'%s': %s",
                      lines[i].text, why.message);
        ck_assert_msg(why.offset == lines[i].offset ||
                          strstr(why.message, "is no chord") != NULL,
                      "'%s': at %ld", lines[i].text, why.offset);
        ck_assert_int_ge(why.offset, lines[i].offset);
    }
}
END_TEST

/* --- in words ------------------------------------------------------------ */

START_TEST(described)
{
    static const struct {
        const char *text, *over, *words;
    } lines[] = {
        { "5 b3 2 1", "Dm7",
          "4 notes, 5 b3 2 1 over Dm7 (A F E D): down a major third, down a "
          "semitone, down a whole step; in any key and any rhythm" },
        { "5 b3 2 1", "minor",
          "4 notes, 5 b3 2 1 over a minor chord (in C: G Eb D C): down a major "
          "third, down a semitone, down a whole step; in any key and any "
          "rhythm" },
        { "1 5'", NULL,
          "2 notes, 1 5' over any chord (in C: C G): up a fifth; in any key and "
          "any rhythm (--over m7 asks for a chord)" },
        { "A:8 ? A:4.", "augmented|7",
          "3 notes, A ? A over an augmented chord then 7: any note, note 1 "
          "again; in any key; note values 8 8 4." },
        { "+15 ? -2 0", NULL,
          "5 notes over any chord: up an octave and a minor third, any note, "
          "down a whole step, repeated; in any key and any rhythm" },
        { "3 5 b7 b9", "C#7",
          "4 notes, 3 5 b7 b9 over C#7 (E# G# B D): up a minor third, up a "
          "minor third, up a minor third; in any key and any rhythm" },
        { "5 1,", "V13/ii",
          "2 notes, 5 1, over V7/ii of the key (from the root C: G C): down a "
          "fifth; in any key and any rhythm" },
        { "-1 -2", "ii7|V7|maj7|I",
          "3 notes over ii7 then V7 of the key then maj7 then I of the key: "
          "down a semitone, down a whole step; in any key and any rhythm" },
    };

    for (size_t i = 0; i < sizeof lines / sizeof *lines; i++) {
        struct fragment f;
        char out[FRAGMENT_TEXT_SIZE];
        const char *text = lines[i].text;

        if (i == 3)
            text = "A:8 ?:8 A:4.";
        f = given_over(text, lines[i].over);
        ck_assert_int_eq(fragment_describe(&f, out, sizeof out), ST_OK);
        ck_assert_str_eq(out, lines[i].words);
        ck_assert_int_eq(fragment_describe(&f, out, 20), ST_INTERNAL);
        ck_assert_uint_eq(strlen(out), 19);
    }
}
END_TEST

START_TEST(the_longest_fragment_is_described)
{
    char text[1000] = "b1,:64..t", out[FRAGMENT_TEXT_SIZE];
    struct fragment f;

    for (int i = 1; i < 32; i++)
        strcat(text, i % 2 ? " #11'':64..t" : " b1,,:64..t");
    f = given_over(text,
                   "C#m7b5|diminished|half-diminished|minor-major|"
                   "half-diminished|minor-major|half-diminished|7alt");
    ck_assert_int_eq(fragment_describe(&f, out, sizeof out), ST_OK);
}
END_TEST

Suite *fragment_suite(void)
{
    Suite *suite = suite_create("fragment");
    TCase *text = tcase_create("text");
    TCase *over = tcase_create("over");

    tcase_add_test(text, degrees);
    tcase_add_test(text, names);
    tcase_add_test(text, intervals);
    tcase_add_test(text,
                   a_wildcard_among_degrees_keeps_the_others_where_they_are);
    tcase_add_test(text, a_wildcard_among_intervals_sets_the_others_free);
    tcase_add_test(text, rhythm);
    tcase_add_test(text, a_wrong_token_is_pointed_at);
    tcase_add_test(text, at_most_32_notes);
    tcase_add_test(text, described);
    tcase_add_test(text, the_longest_fragment_is_described);
    tcase_add_test(over, where_it_starts);
    tcase_add_test(over, over_reads_suffixes_words_and_chords);
    tcase_add_test(over, over_reads_functions);
    tcase_add_test(over, a_wrong_chord_is_pointed_at);
    suite_add_tcase(suite, text);
    suite_add_tcase(suite, over);
    return suite;
}
