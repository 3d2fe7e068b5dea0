/* check_pitch.c - spelled pitch, transposition, note and degree names. */
#include <string.h>

#include "schema/pitch.h"
#include "tests/unit/suites.h"

static struct pitch named(const char *text)
{
    struct pitch p = { 0, 0, 0 };
    size_t read = pitch_parse(&p, NULL, text, true);

    ck_assert_msg(read == strlen(text), "%s", text);
    return p;
}

static void assert_named(struct pitch p, const char *text)
{
    char out[PITCH_TEXT_SIZE];

    ck_assert_str_eq(pitch_text(out, p), text);
}

/* The MIDI standard: note 69 is A4 (440 Hz), note 60 middle C, and 0 to 127
 * run from C-1 to G9. */
START_TEST(midi_numbers)
{
    ck_assert_int_eq(pitch_midi(named("A4")), 69);
    ck_assert_int_eq(pitch_midi(named("C4")), 60);
    ck_assert_int_eq(pitch_midi(named("C-1")), 0);
    ck_assert_int_eq(pitch_midi(named("G9")), 127);
    /* The octave number goes with the letter: B#3 is C4, Cb4 is B3 (common
     * practice, no source). */
    ck_assert_int_eq(pitch_midi(named("B#3")), 60);
    ck_assert_int_eq(pitch_midi(named("Cb4")), 59);
    ck_assert_int_eq(pitch_midi(named("F##4")), 67);
    ck_assert_int_eq(pitch_midi(named("Abb4")), 67);
    ck_assert_int_eq(pitch_midi(named("B10")), 143);
}
END_TEST

START_TEST(quarter_tones_round_half_up)
{
    struct pitch p = { 0, 4, 50 };

    ck_assert_int_eq(pitch_midi(p), 61);
    p.alter = 49;
    ck_assert_int_eq(pitch_midi(p), 60);
    p.alter = -50;
    ck_assert_int_eq(pitch_midi(p), 60);
    p.alter = -51;
    ck_assert_int_eq(pitch_midi(p), 59);
    p.alter = -150;
    ck_assert_int_eq(pitch_midi(p), 59);
    p = (struct pitch){ 0, -1, -50 };
    ck_assert_int_eq(pitch_midi(p), 0);
}
END_TEST

/* The intervals of a beginner's book (common practice, no source); the last
 * rows are the transpositions of B flat, E flat and F instruments. */
static const struct {
    const char *from;
    int chromatic, diatonic;
    const char *to;
} moves[] = {
    { "C4", 4, 2, "E4" },
    { "Eb4", 4, 2, "G4" },
    { "B4", 1, 1, "C5" },
    { "F#4", 7, 4, "C#5" },
    { "Bb3", 5, 3, "Eb4" },
    { "C4", -1, -1, "B3" },
    { "C4", 6, 3, "F#4" },
    { "C4", 6, 4, "Gb4" },
    { "G#4", 1, 0, "G##4" },
    { "Db4", -1, 0, "Dbb4" },
    { "C4", 12, 7, "C5" },
    { "C4", -24, -14, "C2" },
    { "C4", 0, 0, "C4" },
    { "E4", -2, -1, "D4" },
    { "F#5", -14, -8, "E4" },
    { "G4", -9, -5, "Bb3" },
    { "C4", -7, -4, "F3" },
    /* A third sharp would be needed: the simplest spelling instead. */
    { "G##4", 1, 0, "Bb4" },
    { "B##4", 1, 0, "D5" },
    { "Fbb4", -1, 0, "D4" },
    { "C4", 3, 0, "Eb4" },
};

START_TEST(transposition_keeps_the_spelling)
{
    struct pitch p = named(moves[_i].from);
    struct pitch moved =
        pitch_transpose(p, moves[_i].chromatic, moves[_i].diatonic);

    assert_named(moved, moves[_i].to);
    ck_assert_int_eq(pitch_midi(moved) - pitch_midi(p), moves[_i].chromatic);
}
END_TEST

START_TEST(transposition_keeps_a_quarter_tone)
{
    struct pitch p = { 0, 4, 50 }, moved = pitch_transpose(p, 2, 1);

    ck_assert_int_eq(moved.step, 1);
    ck_assert_int_eq(moved.alter, 50);
    moved = pitch_transpose(p, 3, 0);
    ck_assert_int_eq(pitch_midi(moved), 64);
    ck_assert_int_eq(moved.step, 2);
    ck_assert_int_eq(moved.alter, -50);
}
END_TEST

/* The circle of fifths (common practice, no source): the notes of the major
 * scale of each key signature, from seven flats to seven sharps. */
static const char *const scales[15] = {
    "Cb4 Db4 Eb4 Fb4 Gb4 Ab4 Bb4", "Gb4 Ab4 Bb4 Cb5 Db5 Eb5 F5",
    "Db4 Eb4 F4 Gb4 Ab4 Bb4 C5",   "Ab4 Bb4 C5 Db5 Eb5 F5 G5",
    "Eb4 F4 G4 Ab4 Bb4 C5 D5",     "Bb4 C5 D5 Eb5 F5 G5 A5",
    "F4 G4 A4 Bb4 C5 D5 E5",       "C4 D4 E4 F4 G4 A4 B4",
    "G4 A4 B4 C5 D5 E5 F#5",       "D4 E4 F#4 G4 A4 B4 C#5",
    "A4 B4 C#5 D5 E5 F#5 G#5",     "E4 F#4 G#4 A4 B4 C#5 D#5",
    "B4 C#5 D#5 E5 F#5 G#5 A#5",   "F#4 G#4 A#4 B4 C#5 D#5 E#5",
    "C#4 D#4 E#4 F#4 G#4 A#4 B#4",
};

START_TEST(scales_are_spelled_by_their_key)
{
    const char *at = scales[_i];

    while (*at) {
        size_t length = strcspn(at, " ");
        char name[8] = "";

        memcpy(name, at, length);
        assert_named(pitch_spell(pitch_midi(named(name)), _i - 7), name);
        at += length + (at[length] == ' ');
    }
}
END_TEST

START_TEST(spelling_is_simple)
{
    static const char *const plain[12] = { "C4",  "C#4", "D4",  "Eb4",
                                           "E4",  "F4",  "F#4", "G4",
                                           "Ab4", "A4",  "Bb4", "B4" };

    for (int i = 0; i < 12; i++)
        assert_named(pitch_spell(60 + i, 0), plain[i]);
    assert_named(pitch_spell(61, -5), "Db4");
    assert_named(pitch_spell(61, 4), "C#4");
    for (int fifths = -7; fifths <= 7; fifths++)
        for (int midi = 0; midi < 128; midi++) {
            struct pitch p = pitch_spell(midi, fifths);

            ck_assert_int_eq(pitch_midi(p), midi);
            ck_assert(p.alter >= -100 && p.alter <= 100);
        }
}
END_TEST

START_TEST(text_of_a_pitch)
{
    char out[PITCH_TEXT_SIZE];
    struct pitch p = { 0, 4, 50 };

    assert_named(p, "C(1/2)4");
    p.alter = -150;
    assert_named(p, "C(-3/2)4");
    p.alter = 200;
    assert_named(p, "C##4");
    p = (struct pitch){ 6, -1, -100 };
    assert_named(p, "Bb-1");
    ck_assert_str_eq(pitch_class_text(out, p), "Bb");
    p = (struct pitch){ 3, 10, PITCH_ALTER_MAX };
    assert_named(p, "F############10");
}
END_TEST

static const struct {
    const char *text;
    bool with_octave;
    size_t read;
    const char *name; /* with octave */
    bool has_octave;
} notes[] = {
    { "A4", true, 2, "A4", true },
    { "a", true, 1, "A4", false },
    { "b", true, 1, "B4", false },
    { "bb", true, 2, "Bb4", false },
    { "bb3", true, 3, "Bb3", true },
    { "Bbb", true, 3, "Bbb4", false },
    { "Fx5", true, 3, "F##5", true },
    { "F##5", true, 4, "F##5", true },
    { "C-1", true, 3, "C-1", true },
    { "C10", true, 3, "C10", true },
    { "C11", true, 2, "C1", true },
    { "C4", false, 1, "C4", false },
    { "G\xe2\x99\xaf"
      "4",
      true, 5, "G#4", true },
    { "E\xe2\x99\xad", true, 4, "Eb4", false },
    { "A\xf0\x9d\x84\xab", true, 5, "Abb4", false },
    { "C###", true, 3, "C##4", false },
    { "C#b", true, 2, "C#4", false },
    { "D:8", true, 1, "D4", false },
    { "H4", true, 0, NULL, false },
    { "", true, 0, NULL, false },
    { "4", true, 0, NULL, false },
};

START_TEST(note_names)
{
    struct pitch p = { 0, 0, 0 };
    bool has_octave = !notes[_i].has_octave;
    size_t read =
        pitch_parse(&p, &has_octave, notes[_i].text, notes[_i].with_octave);

    ck_assert_uint_eq(read, notes[_i].read);
    if (read) {
        assert_named(p, notes[_i].name);
        ck_assert_int_eq(has_octave, notes[_i].has_octave);
    }
}
END_TEST

static const struct {
    const char *text;
    size_t read;
    int number, semitones;
} degrees[] = {
    { "1", 1, 1, 0 },
    { "b3", 2, 3, 3 },
    { "3", 1, 3, 4 },
    { "#4", 2, 4, 6 },
    { "5", 1, 5, 7 },
    { "bb7", 3, 7, 9 },
    { "b7", 2, 7, 10 },
    { "8", 1, 8, 12 },
    { "b9", 2, 9, 13 },
    { "9", 1, 9, 14 },
    { "#9", 2, 9, 15 },
    { "11", 2, 11, 17 },
    { "#11", 3, 11, 18 },
    { "b13", 3, 13, 20 },
    { "13", 2, 13, 21 },
    { "b1", 2, 1, -1 },
    { "##13", 4, 13, 23 },
    { "10", 2, 10, 16 },
    { "\xe2\x99\xad"
      "9",
      4, 9, 13 },
    { "5:8", 1, 5, 7 },
    { "0", 0, 0, 0 },
    { "14", 0, 0, 0 },
    { "05", 0, 0, 0 },
    { "b", 0, 0, 0 },
    { "", 0, 0, 0 },
    { "bbb7", 0, 0, 0 },
    { "bb1", 0, 0, 0 },
    { "x", 0, 0, 0 },
    { "99999999999", 0, 0, 0 },
};

START_TEST(degree_names)
{
    int number = 0, semitones = 0;
    size_t read = pitch_parse_degree(&number, &semitones, degrees[_i].text);

    ck_assert_uint_eq(read, degrees[_i].read);
    if (read) {
        ck_assert_int_eq(number, degrees[_i].number);
        ck_assert_int_eq(semitones, degrees[_i].semitones);
    }
}
END_TEST

START_TEST(modulo_of_negatives)
{
    ck_assert_int_eq(pitch_modulo(-1, 12), 11);
    ck_assert_int_eq(pitch_modulo(-24, 12), 0);
    ck_assert_int_eq(pitch_modulo(25, 12), 1);
}
END_TEST

Suite *pitch_suite(void)
{
    Suite *suite = suite_create("pitch");
    TCase *tests = tcase_create("pitch");

    tcase_add_test(tests, midi_numbers);
    tcase_add_test(tests, quarter_tones_round_half_up);
    tcase_add_loop_test(tests, transposition_keeps_the_spelling, 0,
                        sizeof moves / sizeof *moves);
    tcase_add_test(tests, transposition_keeps_a_quarter_tone);
    tcase_add_loop_test(tests, scales_are_spelled_by_their_key, 0, 15);
    tcase_add_test(tests, spelling_is_simple);
    tcase_add_test(tests, text_of_a_pitch);
    tcase_add_loop_test(tests, note_names, 0, sizeof notes / sizeof *notes);
    tcase_add_loop_test(tests, degree_names, 0,
                        sizeof degrees / sizeof *degrees);
    tcase_add_test(tests, modulo_of_negatives);
    suite_add_tcase(suite, tests);
    return suite;
}
