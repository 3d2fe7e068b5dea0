/* check_home.c - the chord a fragment spells, and moving it. */
#include <string.h>

#include "query/home.h"
#include "tests/unit/chord_fixture.h"
#include "tests/unit/suites.h"

/* Common practice, no source; where two chords share their notes the choice
 * is ours and stands in query/home.h. */
static const struct {
    const char *notes, *chord;
} homes[] = {
    /* the idioms any teacher would try first */
    { "A F E D", "Dm7" },
    { "C D E G", "C" },
    { "D E F A", "Dm7" },
    { "Eb5 Cb5 Bb4 Ab4", "Abm7" },
    { "D#5 B4 A#4 G#4", "G#m7" },
    { "A G F E D", "Dm7" },
    { "D E F G A", "Dm7" },
    { "G F E D", "G7" },
    { "G F E D C", "C" },
    { "B D F Ab G", "G7" },
    { "B D F G", "G7" },
    /* arpeggios of every class */
    { "C E G", "C" },
    { "C E G B", "Cmaj7" },
    { "D F A", "Dm7" },
    { "D F A C", "Dm7" },
    { "G B D F", "G7" },
    { "F D B G", "G7" },
    { "C E G# Bb", "C7#5" },
    { "C Eb G B", "Cm(maj7)" },
    { "B D F A", "Bm7b5" },
    { "A F D B", "Bm7b5" },
    { "B D F", "Bdim" },
    { "B D F Ab", "Bdim7" },
    { "F Ab B D", "Fdim7" },
    { "C E G#", "Caug" },
    { "C F G", "Csus4" },
    { "G C D F", "G7sus4" },
    /* one set of notes, two chords */
    { "A C E G", "Am7" },
    { "C E G A", "C6" },
    { "G E C A", "Am7" },
    { "D F A B", "Dm6" },
    { "B4 D5 F5 A5", "Bm7b5" },
    { "F A C E", "Fmaj7" },
    { "C G", "C" },
    { "C Bb", "C7" },
    { "F", "F" },
    { "C5 A4 F#4 C#4", "F#m7" }, /* no D7 without D */
    { "C# E G# B", "C#m7" },
    { "Db F Ab C", "Dbmaj7" },
};

enum {
    HOMES = sizeof homes / sizeof *homes
};

START_TEST(home_chords_by_example)
{
    struct pitch spelled[FIXTURE_NOTES_MAX];
    int midi[FIXTURE_NOTES_MAX];
    size_t n = notes_read(midi, spelled, homes[_i].notes);
    struct chord out, wanted = chord(homes[_i].chord);

    ck_assert(home_infer(&out, midi, spelled, n));
    ck_assert_str_eq(out.symbol, wanted.symbol);
    ck_assert(out.has_root);
    ck_assert(chord_equal(&out, &wanted));
}
END_TEST

/* The same notes in another key, in other octaves, have the same home. */
START_TEST(home_chords_move_with_the_notes)
{
    struct pitch spelled[FIXTURE_NOTES_MAX];
    int midi[FIXTURE_NOTES_MAX], there[FIXTURE_NOTES_MAX];
    size_t n = notes_read(midi, spelled, homes[_i].notes);
    struct chord at_home, out;

    ck_assert(home_infer(&at_home, midi, spelled, n));
    for (int up = -60; up < 24; up++) {
        for (size_t i = 0; i < n; i++)
            there[i] = midi[i] + up + 12 * (int)(i % 3);
        ck_assert(home_infer(&out, there, NULL, n));
        ck_assert_int_eq(out.root_pc, pitch_modulo(at_home.root_pc + up, 12));
        ck_assert_int_eq(out.class, at_home.class);
        ck_assert_uint_eq(out.tones, at_home.tones);
    }
}
END_TEST

START_TEST(every_fragment_of_four_notes_has_one_home_in_any_key)
{
    for (int i = 0; i < 12 * 12; i++) {
        int midi[] = { 60, 60 + _i, 60 + i % 12, 60 + i / 12 };
        struct chord first, out;

        ck_assert(home_infer(&first, midi, NULL, 4));
        for (int up = 1; up < 12; up++) {
            for (int k = 0; k < 4; k++)
                midi[k]++;
            ck_assert(home_infer(&out, midi, NULL, 4));
            ck_assert_int_eq(out.root_pc, (first.root_pc + up) % 12);
            ck_assert_uint_eq(out.tones, first.tones);
        }
    }
}
END_TEST

/* Names of keys as they are usually written (common practice, no source). */
START_TEST(a_home_without_spelling_has_the_usual_name)
{
    static const char *const major[12] = { "C",  "Db", "D",  "Eb", "E",  "F",
                                           "Gb", "G",  "Ab", "A",  "Bb", "B" };
    static const char *const minor[12] = { "Cm7",  "C#m7", "Dm7",  "Ebm7",
                                           "Em7",  "Fm7",  "F#m7", "Gm7",
                                           "Abm7", "Am7",  "Bbm7", "Bm7" };

    for (int pc = 0; pc < 12; pc++) {
        int triad[] = { 60 + pc, 64 + pc, 67 + pc };
        struct chord out;

        ck_assert(home_infer(&out, triad, NULL, 3));
        ck_assert_str_eq(out.symbol, major[pc]);
        triad[1]--;
        ck_assert(home_infer(&out, triad, NULL, 3));
        ck_assert_str_eq(out.symbol, minor[pc]);
    }
}
END_TEST

START_TEST(no_notes_no_home)
{
    struct chord out;

    ck_assert(!home_infer(&out, NULL, NULL, 0));
}
END_TEST

/* A root between the keys, or spelled beyond what a chord symbol may have,
 * still gives a chord. */
START_TEST(odd_spelling_of_the_root)
{
    struct pitch spelled[3] = { { 0, 4, 50 }, { 2, 4, 0 }, { 4, 4, 0 } };
    int midi[3] = { 61, 65, 68 };
    struct chord out;

    ck_assert(home_infer(&out, midi, spelled, 3));
    ck_assert_str_eq(out.symbol, "Db");
    spelled[0] = (struct pitch){ 6, 3, 200 }; /* B## */
    ck_assert(home_infer(&out, midi, spelled, 3));
    ck_assert_int_eq(out.root_pc, 1);
    ck_assert_int_eq(out.class, CHORD_MAJOR);
    spelled[0] = (struct pitch){ 5, 3, 400 }; /* A#### */
    ck_assert(home_infer(&out, midi, spelled, 3));
    ck_assert_str_eq(out.symbol, "Db");
}
END_TEST

/* --- moving the home chord ----------------------------------------------- */

START_TEST(homes_are_moved_and_named_by_the_key)
{
    static const struct {
        const char *home;
        int root, fifths;
        const char *symbol;
    } list[] = {
        { "Dm7", 0, 0, "Cm7" },          { "Dm7", 8, -3, "Abm7" },
        { "Dm7", 8, 4, "G#m7" },         { "C#m7", 11, -6, "Cbm7" },
        { "Bb7#9/D", 11, 5, "B7#9/D#" }, { "Dm7", 2, 7, "Dm7" },
        { "C#m7", 1, -5, "C#m7" },       { "Cmaj7", 10, -2, "Bbmaj7" },
    };

    for (size_t i = 0; i < sizeof list / sizeof *list; i++) {
        struct chord home = chord(list[i].home), out;

        home_move(&out, &home, list[i].root, list[i].fifths);
        ck_assert_str_eq(out.symbol, list[i].symbol);
        ck_assert_int_eq(out.root_pc, list[i].root);
    }
}
END_TEST

START_TEST(a_suffix_or_a_class_gets_a_root)
{
    static const char *const suffixes[][2] = {
        { "m7", "Abm7" },     { "major", "Ab" },    { "7alt", "Ab7alt" },
        { "m7b5", "Abm7b5" }, { "dim7", "Abdim7" }, { "sus", "Absus4" },
        { "6", "Ab6" },       { "5", "Ab5" },
    };
    struct chord home, out;

    for (size_t i = 0; i < sizeof suffixes / sizeof *suffixes; i++) {
        ck_assert_int_eq(chord_parse(&home, suffixes[i][0],
                                     strlen(suffixes[i][0]), true, NULL),
                         ST_OK);
        home_move(&out, &home, 8, -4);
        ck_assert_str_eq(out.symbol, suffixes[i][1]);
        ck_assert_uint_eq(out.tones, home.tones);
    }
    for (int class = 0; class < CHORD_NONE; class ++) {
        home = (struct chord){ .class = (uint8_t) class };
        strcpy(home.symbol, chord_class_name(class));
        home_move(&out, &home, 8, -4);
        ck_assert_int_eq(out.class, class);
        ck_assert(out.has_root);
        ck_assert_int_eq(out.root_pc, 8);
    }
    home = chord("N.C.");
    home_move(&out, &home, 8, -4);
    ck_assert_str_eq(out.symbol, "N.C.");
    ck_assert_int_eq(out.class, CHORD_NONE);
}
END_TEST

Suite *home_suite(void)
{
    Suite *suite = suite_create("home");
    TCase *tcase = tcase_create("home");

    tcase_add_loop_test(tcase, home_chords_by_example, 0, HOMES);
    tcase_add_loop_test(tcase, home_chords_move_with_the_notes, 0, HOMES);
    /* By the second note, as a test has a few seconds only. */
    tcase_add_loop_test(
        tcase, every_fragment_of_four_notes_has_one_home_in_any_key, 0, 12);
    tcase_add_test(tcase, a_home_without_spelling_has_the_usual_name);
    tcase_add_test(tcase, no_notes_no_home);
    tcase_add_test(tcase, odd_spelling_of_the_root);
    tcase_add_test(tcase, homes_are_moved_and_named_by_the_key);
    tcase_add_test(tcase, a_suffix_or_a_class_gets_a_root);
    suite_add_tcase(suite, tcase);
    return suite;
}
