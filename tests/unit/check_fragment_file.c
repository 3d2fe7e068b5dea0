/* check_fragment_file.c - a fragment taken from bars of a MusicXML file. */
#include <check.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "query/fragment.h"
#include "tests/unit/suites.h"

static const char header[] =
    "<?xml version=\"1.0\"?><score-partwise><part-list><score-part id=\"P1\">"
    "<part-name>Line</part-name></score-part></part-list><part id=\"P1\">";

static const char harmony[] =
    "<harmony><root><root-step>%s</root-step></root><kind>%s</kind>"
    "</harmony>";

static char path[64];

static void write_note(FILE *out, char step, int duration)
{
    fprintf(out,
            "<note><pitch><step>%c</step><octave>4</octave></pitch>"
            "<duration>%d</duration></note>",
            step, duration);
}

/* Bars 0 (a pickup), 1, 2, 2: A | F E D over Dm7, G7 | C C | rest C. */
static void write_file(void)
{
    FILE *out;
    int handle;

    strcpy(path, "/tmp/cellar-fragment-XXXXXX");
    handle = mkstemp(path);
    ck_assert_int_ge(handle, 0);
    out = fdopen(handle, "w");
    ck_assert_ptr_nonnull(out);
    fputs(header, out);
    fputs(
        "<measure number=\"0\" implicit=\"yes\"><attributes><divisions>2"
        "</divisions></attributes>",
        out);
    write_note(out, 'A', 1);
    fputs("</measure><measure number=\"1\">", out);
    fprintf(out, harmony, "D", "minor-seventh");
    write_note(out, 'F', 1);
    write_note(out, 'E', 3);
    fprintf(out, harmony, "G", "dominant");
    write_note(out, 'D', 4);
    fputs("</measure><measure number=\"2\">", out);
    write_note(out, 'C', 4);
    write_note(out, 'C', 4);
    fputs(
        "</measure><measure number=\"2\"><note><rest/><duration>1"
        "</duration></note>",
        out);
    write_note(out, 'C', 7);
    fputs("</measure></part></score-partwise>", out);
    ck_assert_int_eq(fclose(out), 0);
}

static void remove_file(void)
{
    unlink(path);
}

START_TEST(bars_of_a_file)
{
    struct fragment f;
    struct fault why = { 0 };

    ck_assert_int_eq(fragment_from_file(&f, path, "1", "1", NULL, &why), ST_OK);
    ck_assert_uint_eq(f.count, 3);
    ck_assert_int_eq(f.midi[1] - f.midi[0], -1);
    ck_assert_int_eq(f.midi[2] - f.midi[1], -2);
    ck_assert_int_eq(f.language, FRAGMENT_FILE);
    ck_assert_int_eq(f.over.count, 2);
    ck_assert_str_eq(f.over.chords[0].text, "Dm7");
    ck_assert_str_eq(f.over.chords[1].text, "G7");
    ck_assert_int_eq(f.start, 3);
    ck_assert_int_eq(f.given_pc, 5);
    ck_assert(f.has_rhythm);
    ck_assert_int_eq(f.value[0].num, 1);
    ck_assert_int_eq(f.value[0].den, 2);
    ck_assert_int_eq(f.value[1].num, 3);
    ck_assert_int_eq(f.value[1].den, 2);
    ck_assert_int_eq(f.value[2].num, 2);
    ck_assert_str_eq(f.text[0], "F4");
    /* The last bar 2, and the rest in it, count too. */
    ck_assert_int_eq(fragment_from_file(&f, path, "2", "2", "Am7", &why),
                     ST_OK);
    ck_assert_uint_eq(f.count, 3);
    ck_assert_int_eq(f.value[1].num, 5);
    ck_assert_int_eq(f.value[1].den, 2);
    ck_assert_int_eq(f.over.count, 1);
    ck_assert_int_eq(f.start, 3);
    /* All of it: the pickup anticipates the chord of the first bar only when
     * it lasts into it, which it does not. */
    ck_assert_int_eq(fragment_from_file(&f, path, NULL, NULL, NULL, &why),
                     ST_OK);
    ck_assert_uint_eq(f.count, 7);
    ck_assert_int_eq(f.over.count, 3);
    ck_assert_int_eq(f.over.chords[0].chord.class, CHORD_NONE);
    ck_assert_int_eq(f.start, -1);
    ck_assert_int_eq(f.given_pc, 9);
}
END_TEST

START_TEST(bars_that_do_not_do)
{
    static const struct {
        const char *first, *last, *over;
        enum status status;
        const char *words;
    } lines[] = {
        { "7", "8", NULL, ST_INPUT,
          "there is no bar 7: the bars run from 0 to 2" },
        { "1", "9", NULL, ST_INPUT, "no bar 9 at or after bar 1" },
        { "2", "1", NULL, ST_INPUT, "no bar 1 at or after bar 2" },
        { "0", "0", NULL, ST_INPUT, "hold 1 note: a fragment has 2 to 32" },
        { "1", "1", "m7|", ST_SYNTAX, "a chord is missing" },
    };
    struct fragment f;
    struct fault why = { 0 };

    for (size_t i = 0; i < sizeof lines / sizeof *lines; i++) {
        ck_assert_int_eq(fragment_from_file(&f, path, lines[i].first,
                                            lines[i].last, lines[i].over, &why),
                         lines[i].status);
        ck_assert_msg(strstr(why.message, lines[i].words) != NULL, "%s",
                      why.message);
    }
    ck_assert_int_eq(
        fragment_from_file(&f, "/tmp/no/such.musicxml", NULL, NULL, NULL, &why),
        ST_INPUT);
}
END_TEST

Suite *fragment_file_suite(void)
{
    Suite *suite = suite_create("fragment_file");
    TCase *tests = tcase_create("file");

    tcase_add_checked_fixture(tests, write_file, remove_file);
    tcase_add_test(tests, bars_of_a_file);
    tcase_add_test(tests, bars_that_do_not_do);
    suite_add_tcase(suite, tests);
    return suite;
}
