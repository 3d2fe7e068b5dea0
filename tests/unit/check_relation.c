/* check_relation.c - how a written chord stands to the home chord. */
#include <stdio.h>
#include <string.h>

#include "query/relation.h"
#include "tests/unit/chord_fixture.h"
#include "tests/unit/suites.h"

/* The relations of the trade, two or more written-out examples each: common
 * practice, no source. */
static const struct {
    enum relation relation;
    const char *home, *written;
} examples[] = {
    { RELATION_AS_WRITTEN, "Dm7", "Dm9/A" },
    { RELATION_AS_WRITTEN, "C", "Cmaj9" },
    { RELATION_AS_WRITTEN, "G7", "G7alt" },
    { RELATION_AS_WRITTEN, "G7", "G7sus4" },
    { RELATION_AS_WRITTEN, "C#m7", "Dbm6" },
    { RELATION_AS_WRITTEN, "Bm7b5", "Bm7b5" },
    { RELATION_AS_WRITTEN, "Fsus4", "Fsus2" },
    { RELATION_II_OVER_V, "Dm7", "G7" },
    { RELATION_II_OVER_V, "Cm9", "F13" },
    { RELATION_II_OVER_V, "F#m7", "B7b9" },
    { RELATION_II_OVER_V, "Bbm", "Eb9sus4" },
    { RELATION_II_OVER_I, "Dm7", "Cmaj7" },
    { RELATION_II_OVER_I, "Fm7", "Eb6" },
    { RELATION_II_OVER_I, "Abm7", "Gb" },
    { RELATION_V_OVER_II, "G7", "Dm7" },
    { RELATION_V_OVER_II, "Bb7", "Fm7" },
    { RELATION_V_OVER_II, "E7b9", "Bm9" },
    { RELATION_III_OVER_I, "Em7", "Cmaj7" },
    { RELATION_III_OVER_I, "Gm7", "Eb" },
    { RELATION_III_OVER_I, "C#m7", "A6" },
    { RELATION_VI_OVER_I, "Am7", "C6" },
    { RELATION_VI_OVER_I, "Cm7", "Ebmaj7" },
    { RELATION_VI_OVER_I, "Bm", "Dmaj9" },
    { RELATION_MINOR_ABOVE_DOMINANT, "Abm7", "G7" },
    { RELATION_MINOR_ABOVE_DOMINANT, "Dbm6", "C7alt" },
    { RELATION_MINOR_ABOVE_DOMINANT, "Cm7", "B7" },
    { RELATION_TRITONE_SUBSTITUTE, "Db7", "G7" },
    { RELATION_TRITONE_SUBSTITUTE, "G7", "Db9" },
    { RELATION_TRITONE_SUBSTITUTE, "F#7", "C7" },
    { RELATION_MINOR_ABOVE_HALF_DIMINISHED, "Dm7", "Bm7b5" },
    { RELATION_MINOR_ABOVE_HALF_DIMINISHED, "Fm6", "Dm7b5" },
    { RELATION_MINOR_ABOVE_HALF_DIMINISHED, "Am7", "F#m7b5" },
    { RELATION_DIMINISHED_ON_DOMINANT, "Bdim7", "G7" },
    { RELATION_DIMINISHED_ON_DOMINANT, "Ddim7", "G7b9" },
    { RELATION_DIMINISHED_ON_DOMINANT, "Fdim", "G7" },
    { RELATION_DIMINISHED_ON_DOMINANT, "Abdim7", "G13" },
    { RELATION_DIMINISHED_ON_DOMINANT, "C#dim7", "A7" },
    { RELATION_DIMINISHED_ON_DOMINANT, "Gdim7", "C7" },
    { RELATION_DIMINISHED_ON_DOMINANT, "Bbdim7", "C7" },
    { RELATION_DIMINISHED_ON_DOMINANT, "Gbdim7", "F7" },
    { RELATION_BACKDOOR, "G7", "Bb7" },
    { RELATION_BACKDOOR, "C7", "Eb9" },
    { RELATION_BACKDOOR, "E7", "G13" },
    { RELATION_BACKDOOR_REVERSED, "Bb7", "G7" },
    { RELATION_BACKDOOR_REVERSED, "Ab7", "F7b9" },
    { RELATION_BACKDOOR_REVERSED, "D7", "B7" },
    { RELATION_MAJOR_BELOW_SUS, "F", "G7sus4" },
    { RELATION_MAJOR_BELOW_SUS, "Fmaj7", "Gsus4" },
    { RELATION_MAJOR_BELOW_SUS, "Ab6", "Bb9sus4" },
    { RELATION_MAJOR_BELOW_SUS, "B", "C#sus2" },
    /* Near, and none of them. */
    { RELATION_OTHER, "G7", "Cmaj7" },
    { RELATION_OTHER, "F", "G7" }, /* no sus */
    { RELATION_OTHER, "Dm7", "Gsus4" },
    { RELATION_OTHER, "Dm7", "Gm7" },
    { RELATION_OTHER, "Gm7", "Ab7" }, /* a semitone below the root */
    { RELATION_OTHER, "Dbm7", "G7" },
    { RELATION_OTHER, "Db7", "Gm7" },
    { RELATION_OTHER, "Bm7b5", "G7" },
    { RELATION_OTHER, "Bm7b5", "Dm7" },
    { RELATION_OTHER, "Gdim7", "G7" }, /* on the root */
    { RELATION_OTHER, "Cdim7", "G7" },
    { RELATION_OTHER, "Dm7", "Dm(maj7)" },
    { RELATION_OTHER, "Gsus4", "G7sus4" },
};

enum {
    EXAMPLES = sizeof examples / sizeof *examples
};

START_TEST(every_relation_by_example_in_all_keys)
{
    for (int up = 0; up < 12; up++) {
        struct chord home = chord_moved(examples[_i].home, up);
        struct chord written = chord_moved(examples[_i].written, up);

        ck_assert_msg(relation_of(&home, &written) == examples[_i].relation,
                      "%s over %s: %s", home.symbol, written.symbol,
                      relation_name(relation_of(&home, &written)));
    }
}
END_TEST

START_TEST(examples_cover_every_relation)
{
    int count[RELATION_COUNT] = { 0 };

    for (int i = 0; i < EXAMPLES; i++)
        count[examples[i].relation]++;
    for (int i = 0; i < RELATION_COUNT; i++)
        ck_assert_int_ge(count[i], 2);
}
END_TEST

START_TEST(a_chord_over_itself_is_as_written)
{
    for (int i = 0; i < every_class_count; i++)
        for (int up = 0; up < 12; up++) {
            struct chord home = chord_moved(every_class[i], up);

            ck_assert_int_eq(relation_of(&home, &home), RELATION_AS_WRITTEN);
        }
}
END_TEST

/* Turned round, ii and V, backdoor and its reverse, and the substitute name
 * each other; no other relation holds both ways. */
START_TEST(turned_round)
{
    static const enum relation back[RELATION_COUNT] = {
        [RELATION_AS_WRITTEN] = RELATION_AS_WRITTEN,
        [RELATION_II_OVER_V] = RELATION_V_OVER_II,
        [RELATION_II_OVER_I] = RELATION_OTHER,
        [RELATION_V_OVER_II] = RELATION_II_OVER_V,
        [RELATION_III_OVER_I] = RELATION_OTHER,
        [RELATION_VI_OVER_I] = RELATION_OTHER,
        [RELATION_MINOR_ABOVE_DOMINANT] = RELATION_OTHER,
        [RELATION_TRITONE_SUBSTITUTE] = RELATION_TRITONE_SUBSTITUTE,
        [RELATION_MINOR_ABOVE_HALF_DIMINISHED] = RELATION_OTHER,
        [RELATION_DIMINISHED_ON_DOMINANT] = RELATION_OTHER,
        [RELATION_BACKDOOR] = RELATION_BACKDOOR_REVERSED,
        [RELATION_BACKDOOR_REVERSED] = RELATION_BACKDOOR,
        [RELATION_MAJOR_BELOW_SUS] = RELATION_OTHER,
    };

    for (int i = 0; i < EXAMPLES; i++) {
        struct chord home = chord(examples[i].home);
        struct chord written = chord(examples[i].written);

        if (examples[i].relation == RELATION_OTHER)
            continue;
        ck_assert_msg(relation_of(&written, &home) ==
                          back[examples[i].relation],
                      "%s over %s", written.symbol, home.symbol);
    }
}
END_TEST

START_TEST(without_a_chord_there_is_no_relation)
{
    struct chord none = chord("N.C."), home = chord("Dm7"), rootless;
    char text[RELATION_TEXT_SIZE];
    int midi[] = { 69, 65 };

    ck_assert_int_eq(chord_parse(&rootless, "m7", 2, true, NULL), ST_OK);
    ck_assert_int_eq(relation_of(&home, &none), RELATION_OTHER);
    ck_assert_int_eq(relation_of(&none, &home), RELATION_OTHER);
    ck_assert_int_eq(relation_of(&none, &none), RELATION_OTHER);
    ck_assert_int_eq(relation_of(&rootless, &rootless), RELATION_OTHER);
    ck_assert_str_eq(
        relation_describe(text, sizeof text, &home, &none, midi, 2),
        "minor over no chord");
}
END_TEST

START_TEST(unexplained_chords_are_as_written_when_equal)
{
    struct chord_source source = { .root = { 0, 4, 0 },
                                   .has_root = true,
                                   .kind_name = "other",
                                   .kind_text = "??" };
    struct chord odd, other;

    chord_from_source(&odd, &source);
    ck_assert_int_eq(odd.class, CHORD_OTHER);
    ck_assert_int_eq(relation_of(&odd, &odd), RELATION_AS_WRITTEN);
    other = odd;
    other.tones |= 1U << 5;
    ck_assert_int_eq(relation_of(&odd, &other), RELATION_OTHER);
}
END_TEST

/* --- degrees and tensions ------------------------------------------------ */

/* What the notes are over another chord: common practice, no source. */
static const struct {
    const char *home, *written, *notes, *text, *tensions;
} described[] = {
    { "Dm7", "Dm7", "A F E D", "over its own chord: 5 b3 2 1", "9" },
    { "Dm7", "G7", "A F E D", "ii cell over the V it leads to: 9 b7 6 5",
      "9 13" },
    { "Dm7", "Cmaj7", "A F E D", "ii cell over the I of its key: 13 4 3 2",
      "9 11 13" },
    { "Abm7", "G7", "Eb5 Cb5 Bb4 Ab4",
      "minor cell a semitone above a dominant's root: b13 3 #9 b9",
      "b9 #9 b13" },
    { "Gbm7", "Cmaj7", "Gb4 A4 Db5 E5",
      "minor over the major a tritone below: #11 13 b9 3", "b9 #11 13" },
    { "Db7", "G7", "F4 Ab4 B4 D5",
      "dominant cell a tritone away from a dominant's root: b7 b9 3 5", "b9" },
    { "Bdim7", "G7", "B D F Ab",
      "diminished cell on the 3, 5, b7 or b9 of a dominant: 3 5 b7 b9", "b9" },
    { "G7", "Bb7", "G4 B4 D5 F5",
      "V cell over the bVII that takes its place: 13 b9 3 5", "b9 13" },
    { "F", "G9sus4", "F4 A4 C5 F5",
      "major cell a whole step below a sus root: b7 9 4 b7", "9" },
    { "Am7", "C6", "A4 C5 E5 G5", "vi cell over the I of its key: 6 1 3 5",
      "" },
    { "Dm7", "Bm7b5", "D4 F4 A4 C5",
      "minor cell a minor third above a half-diminished root: b3 b5 b7 b9",
      "b9" },
};

START_TEST(descriptions_name_the_degrees)
{
    struct chord home = chord(described[_i].home);
    struct chord written = chord(described[_i].written);
    const char *names[RELATION_TENSIONS];
    char text[RELATION_TEXT_SIZE], tensions[64] = "";
    int midi[FIXTURE_NOTES_MAX];
    size_t n = notes_read(midi, NULL, described[_i].notes), count;

    ck_assert_str_eq(
        relation_describe(text, sizeof text, &home, &written, midi, n),
        described[_i].text);
    count = relation_tensions(names, &written, midi, n);
    for (size_t i = 0; i < count; i++) {
        if (i > 0)
            strcat(tensions, " ");
        strcat(tensions, names[i]);
    }
    ck_assert_str_eq(tensions, described[_i].tensions);
}
END_TEST

START_TEST(a_tension_is_listed_once)
{
    struct chord written = chord("G7");
    const char *names[RELATION_TENSIONS];
    int midi[40];

    for (int i = 0; i < 40; i++)
        midi[i] = 60 + i % 12;
    ck_assert_uint_eq(relation_tensions(names, &written, midi, 40),
                      RELATION_TENSIONS);
    ck_assert_str_eq(names[0], "b9");
    ck_assert_str_eq(names[RELATION_TENSIONS - 1], "13");
    written = chord("N.C.");
    ck_assert_uint_eq(relation_tensions(names, &written, midi, 40), 0);
}
END_TEST

START_TEST(the_worked_ii_over_V_starts_on_the_ninth)
{
    struct chord written = chord("G7");

    ck_assert_str_eq(chord_degree_name(&written, 9 - 7), "9");
}
END_TEST

START_TEST(descriptions_fit_what_they_are_given)
{
    struct chord home = chord("Bm7b5"), written = chord("Cdim7");
    char text[RELATION_TEXT_SIZE], small[RELATION_TEXT_SIZE];
    int midi[500];

    for (int i = 0; i < 500; i++)
        midi[i] = 57 + 12 * (i % 2); /* bb7 */
    relation_describe(text, sizeof text, &home, &written, midi, 500);
    ck_assert_uint_lt(strlen(text), RELATION_TEXT_SIZE - 1);
    ck_assert_uint_eq(strlen(strchr(text, ':') + 1), 4 * RELATION_NOTES_MAX);
    ck_assert_str_eq(text + strlen(text) - 4, " bb7");
    for (size_t size = 1; size <= strlen(text); size++) {
        memset(small, 'x', sizeof small);
        relation_describe(small, size, &home, &written, midi, 500);
        ck_assert_uint_eq(strlen(small), size - 1);
        ck_assert(strncmp(small, text, size - 1) == 0);
        ck_assert_int_eq(small[size], 'x');
    }
}
END_TEST

/* The scale that is taught for each chord, from root to seventh, split into
 * chord tones and the rest.  Chord-scale tables agree on these (from
 * memory); how b3 and #9, 6 and 13 are told apart: common practice, no
 * source. */
static const struct {
    const char *chord, *scale, *degrees, *tensions;
} scales[] = {
    /* Ionian, Lydian, and Ionian over a sixth chord */
    { "Cmaj7", "C D E F G A B", "1 9 3 11 5 13 7", "9 11 13" },
    { "Cmaj7", "C D E F# G A B", "1 9 3 #11 5 13 7", "9 #11 13" },
    { "C6", "C D E F G A B", "1 9 3 11 5 6 7", "9 11" },
    /* Dorian, Phrygian, Aeolian */
    { "Cm7", "C D Eb F G A Bb", "1 9 b3 11 5 13 b7", "9 11 13" },
    { "Cm7", "C Db Eb F G Ab Bb", "1 b9 b3 11 5 b13 b7", "b9 11 b13" },
    { "Cm7", "C D Eb F G Ab Bb", "1 9 b3 11 5 b13 b7", "9 11 b13" },
    { "Cm6", "C D Eb F G A B", "1 9 b3 11 5 6 7", "9 11" },
    /* Mixolydian, Lydian b7, altered, half-whole diminished, whole tone,
     * Mixolydian b9 b13 */
    { "C7", "C D E F G A Bb", "1 9 3 11 5 13 b7", "9 11 13" },
    { "C7", "C D E F# G A Bb", "1 9 3 #11 5 13 b7", "9 #11 13" },
    { "C7alt", "C Db Eb E Gb Ab Bb", "1 b9 #9 3 #11 b13 b7", "b9 #9 #11 b13" },
    { "C7b9", "C Db Eb E F# G A Bb", "1 b9 #9 3 #11 5 13 b7", "b9 #9 #11 13" },
    { "C7#5", "C D E F# G# Bb", "1 9 3 #11 #5 b7", "9 #11" },
    { "C7", "C Db E F G Ab Bb", "1 b9 3 11 5 b13 b7", "b9 11 b13" },
    /* Mixolydian over a sus: the fourth is a chord tone */
    { "C7sus4", "C D F G A Bb", "1 9 4 5 13 b7", "9 13" },
    { "Csus4", "C D F G A", "1 9 4 5 13", "9 13" },
    /* melodic minor */
    { "Cm(maj7)", "C D Eb F G A B", "1 9 b3 11 5 13 7", "9 11 13" },
    /* Locrian, Locrian natural 9 */
    { "Cm7b5", "C Db Eb F Gb Ab Bb", "1 b9 b3 11 b5 b13 b7", "b9 11 b13" },
    { "Cm7b5", "C D Eb F Gb Ab Bb", "1 9 b3 11 b5 b13 b7", "9 11 b13" },
    /* whole-half diminished */
    { "Cdim7", "C D Eb F Gb Ab A B", "1 9 b3 11 b5 b13 bb7 7", "9 11 b13" },
    /* Lydian augmented */
    { "Cmaj7#5", "C D E F# G# A B", "1 9 3 #11 #5 13 7", "9 #11 13" },
};

START_TEST(chord_tones_and_tensions_of_every_class)
{
    for (int up = 0; up < 12; up++) {
        struct chord written = chord_moved(scales[_i].chord, up);
        const char *names[RELATION_TENSIONS];
        char text[64] = "", tensions[64] = "";
        int midi[FIXTURE_NOTES_MAX];
        size_t n = notes_read(midi, NULL, scales[_i].scale), count;

        for (size_t i = 0; i < n; i++) {
            midi[i] += up;
            snprintf(text + strlen(text), sizeof text - strlen(text), "%s%s",
                     i ? " " : "",
                     chord_degree_name(&written, midi[i] - written.root_pc));
        }
        count = relation_tensions(names, &written, midi, n);
        for (size_t i = 0; i < count; i++)
            snprintf(tensions + strlen(tensions),
                     sizeof tensions - strlen(tensions), "%s%s", i ? " " : "",
                     names[i]);
        ck_assert_str_eq(text, scales[_i].degrees);
        ck_assert_str_eq(tensions, scales[_i].tensions);
    }
}
END_TEST

Suite *relation_suite(void)
{
    Suite *suite = suite_create("relation");
    TCase *tcase = tcase_create("relation");

    tcase_add_loop_test(tcase, every_relation_by_example_in_all_keys, 0,
                        EXAMPLES);
    tcase_add_test(tcase, examples_cover_every_relation);
    tcase_add_test(tcase, a_chord_over_itself_is_as_written);
    tcase_add_test(tcase, turned_round);
    tcase_add_test(tcase, without_a_chord_there_is_no_relation);
    tcase_add_test(tcase, unexplained_chords_are_as_written_when_equal);
    tcase_add_loop_test(tcase, descriptions_name_the_degrees, 0,
                        sizeof described / sizeof *described);
    tcase_add_test(tcase, a_tension_is_listed_once);
    tcase_add_test(tcase, the_worked_ii_over_V_starts_on_the_ninth);
    tcase_add_test(tcase, descriptions_fit_what_they_are_given);
    tcase_add_loop_test(tcase, chord_tones_and_tensions_of_every_class, 0,
                        sizeof scales / sizeof *scales);
    suite_add_tcase(suite, tcase);
    return suite;
}
