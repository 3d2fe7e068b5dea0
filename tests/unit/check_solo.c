/* check_solo.c - where notes stand, which chord they belong to. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "tests/unit/score_text.h"
#include "tests/unit/suites.h"

/* --- anticipation ------------------------------------------------------ */

/* A score over Dm7 and G7, the chord heard under each note. */
static const struct {
    const char *what, *measures, *heard;
} heard_cases[] = {
    { "an eighth tied over the change belongs to the new chord",
      MEASURE(1, ATTRIBUTES(2, 4, 4) CHORD(D, minor-seventh) NOTE(A, 4, 7)
                     NOTE_WITH("", F, 4, 1, "<tie type=\"start\"/>"))
          MEASURE(2, CHORD(G, dominant)
                         NOTE_WITH("", F, 4, 2, "<tie type=\"stop\"/>")
                             NOTE(E, 4, 6)),
      "Dm7 G7 G7" },
    { "one that ends at the change does not",
      MEASURE(1, ATTRIBUTES(2, 4, 4) CHORD(D, minor-seventh) NOTE(A, 4, 7)
                     NOTE(F, 4, 1)) MEASURE(2, CHORD(G, dominant)
                                                   NOTE(E, 4, 8)),
      "Dm7 Dm7 G7" },
    { "a quarter before the change is too early",
      MEASURE(1, ATTRIBUTES(2, 4, 4) CHORD(D, minor-seventh) NOTE(A, 4, 6)
                     NOTE_WITH("", F, 4, 2, "<tie type=\"start\"/>"))
          MEASURE(2, CHORD(G, dominant)
                         NOTE_WITH("", F, 4, 8, "<tie type=\"stop\"/>")),
      "Dm7 Dm7" },
    { "within a bar",
      MEASURE(1, ATTRIBUTES(4, 4, 4) CHORD(D, minor-seventh) NOTE(A, 4, 7)
                     NOTE_WITH("", F, 4, 1, "<tie type=\"start\"/>")
                         CHORD(G, dominant)
                             NOTE_WITH("", F, 4, 8, "<tie type=\"stop\"/>")),
      "Dm7 G7" },
    { "of several changes the last",
      MEASURE(1, ATTRIBUTES(8, 4, 4) CHORD(D, minor-seventh) NOTE(A, 4, 28)
                     NOTE_WITH("", F, 4, 2, "<tie type=\"start\"/>")
                         CHORD(A, dominant)
                             NOTE_WITH("", F, 4, 2,
                                       "<tie type=\"stop\"/>"
                                       "<tie type=\"start\"/>"))
          MEASURE(2, CHORD(G, dominant)
                         NOTE_WITH("", F, 4, 32, "<tie type=\"stop\"/>")),
      "Dm7 G7" },
    { "never into no chord",
      MEASURE(1, ATTRIBUTES(2, 4, 4) CHORD(D, minor-seventh) NOTE(A, 4, 7)
                     NOTE_WITH("", F, 4, 1, "<tie type=\"start\"/>"))
          MEASURE(2, "<harmony><root><root-step>C</root-step></root><kind>"
                     "none</kind></harmony>"
                     NOTE_WITH("", F, 4, 8, "<tie type=\"stop\"/>")),
      "Dm7 Dm7" },
    { "a chord written again is no change",
      MEASURE(1, ATTRIBUTES(2, 4, 4) CHORD(D, minor-seventh) NOTE(A, 4, 7)
                     NOTE_WITH("", F, 4, 1, "<tie type=\"start\"/>"))
          MEASURE(2, CHORD(D, minor-seventh)
                         NOTE_WITH("", F, 4, 8, "<tie type=\"stop\"/>")),
      "Dm7 Dm7" },
    { "before the first chord",
      MEASURE(1, ATTRIBUTES(2, 4, 4) REST(6) NOTE(A, 4, 1)
                     NOTE_WITH("", F, 4, 1, "<tie type=\"start\"/>"))
          MEASURE(2, CHORD(G, dominant)
                         NOTE_WITH("", F, 4, 8, "<tie type=\"stop\"/>")),
      "- G7" },
    { "the bar line stands where the bar really ends",
      MEASURE(1, ATTRIBUTES(2, 4, 4) CHORD(D, minor-seventh) NOTE(A, 4, 3)
                     NOTE_WITH("", F, 4, 1, "<tie type=\"start\"/>"))
          MEASURE(2, CHORD(G, dominant)
                         NOTE_WITH("", F, 4, 8, "<tie type=\"stop\"/>")),
      "Dm7 G7" },
};

START_TEST(anticipations_belong_to_the_new_chord)
{
    struct solo *solo = score_measures(heard_cases[_i].measures);
    char got[300] = "";

    for (size_t i = 0; i < solo->note_count; i++) {
        int32_t heard = solo->notes[i].heard, now = solo->notes[i].chord;

        /* Whatever is anticipated is another chord. */
        ck_assert(heard == now || now < 0 ||
                  !chord_equal(&solo->chords[heard].chord,
                               &solo->chords[now].chord));
        strcat(got, i ? " " : "");
        strcat(got, heard < 0 ? "-" : solo->chords[heard].chord.symbol);
    }
    ck_assert_msg(strcmp(got, heard_cases[_i].heard) == 0,
                  "%s: got %s, expected %s", heard_cases[_i].what, got,
                  heard_cases[_i].heard);
    solo_free(solo);
}
END_TEST

/* --- the chord of a window -------------------------------------------- */

static const struct {
    const char *what, *measures, *chord;
} window_cases[] = {
    { "most notes",
      MEASURE(1, ATTRIBUTES(2, 4, 4) CHORD(D, minor-seventh) NOTE(A, 4, 2)
                     CHORD(G, dominant) NOTE(F, 4, 2) NOTE(E, 4, 2)),
      "G7" },
    { "equal chords count as one",
      MEASURE(1, ATTRIBUTES(2, 4, 4) CHORD(D, minor-seventh) NOTE(A, 4, 1)
                     CHORD(G, dominant) NOTE(F, 4, 1) NOTE(E, 4, 1)
                         CHORD(D, minor-seventh) NOTE(D, 4, 1) NOTE(C, 4, 1)),
      "Dm7" },
    { "a tie goes to the bar line",
      MEASURE(1, ATTRIBUTES(2, 4, 4) CHORD(D, minor-seventh) REST(4)
                     NOTE(A, 4, 2) NOTE(F, 4, 2))
          MEASURE(2, CHORD(G, dominant) NOTE(E, 4, 2) NOTE(D, 4, 2)),
      "G7" },
    { "a tie goes to the half-bar before a beat",
      MEASURE(1, ATTRIBUTES(2, 4, 4) CHORD(D, minor-seventh) REST(2)
                     NOTE(A, 4, 2) CHORD(G, dominant) NOTE(F, 4, 2)),
      "G7" },
    { "of equal strength the earlier",
      MEASURE(1, ATTRIBUTES(2, 4, 4) CHORD(D, minor-seventh) REST(2)
                     NOTE(A, 4, 2) REST(2) CHORD(G, dominant) NOTE(F, 4, 2)),
      "Dm7" },
    { "notes without a chord do not vote",
      MEASURE(1, ATTRIBUTES(2, 4, 4) NOTE(A, 4, 2) NOTE(F, 4, 2)
                     CHORD(G, dominant) NOTE(F, 4, 2)),
      "G7" },
    { "no chord at all", MEASURE(1, NOTE(A, 4, 2) NOTE(F, 4, 2)), "-" },
};

START_TEST(the_chord_of_a_fragment_is_voted)
{
    struct solo *solo = score_measures(window_cases[_i].measures);
    int32_t chord = solo_window_chord(solo, 0, solo->note_count);

    ck_assert_msg(strcmp(chord < 0 ? "-" : solo->chords[chord].chord.symbol,
                         window_cases[_i].chord) == 0,
                  "%s", window_cases[_i].what);
    solo_free(solo);
}
END_TEST

/* The same from its definition: of the notes whose chord, or one equal to it,
 * has the most notes, what the strongest and then the earliest is under. */
static int32_t plain_window_chord(const struct solo *solo, size_t first,
                                  size_t n)
{
    int32_t best = SOLO_NO_CHORD;
    int most = 0, strongest = -1;

    for (size_t i = first; i < first + n; i++) {
        const struct note *note = &solo->notes[i];
        int votes = 0, strength = solo_onset_strength(solo, note);

        for (size_t k = first; k < first + n; k++)
            votes += note->heard >= 0 && solo->notes[k].heard >= 0 &&
                     solo->chords[note->heard].chord.class != CHORD_NONE &&
                     chord_equal(&solo->chords[note->heard].chord,
                                 &solo->chords[solo->notes[k].heard].chord);
        if (votes > most || (votes == most && strength > strongest)) {
            best = votes ? note->heard : SOLO_NO_CHORD;
            most = votes;
            strongest = strength;
        }
    }
    return best;
}

START_TEST(the_chord_of_any_window)
{
    struct solo *solo = score_measures(
        MEASURE(1, ATTRIBUTES(4, 4, 4) CHORD(D, minor) CHORD(G, dominant)
                       CHORD(D, minor) CHORD(C, none) NOTE(C, 4, 16)));
    struct note notes[9];
    unsigned int state = 20261126;

    ck_assert_uint_eq(solo->chord_count, 4);
    for (int i = 0; i < 20000; i++) {
        struct solo some = *solo;
        size_t n;

        for (n = 0; n < 9; n++) {
            state = state * 1664525 + 1013904223;
            notes[n] = solo->notes[0];
            notes[n].heard = n > 0 && state >> 30 ? notes[n - 1].heard
                                                  : (int)(state >> 8) % 5 - 1;
            notes[n].onset = (state >> 16) % 16;
        }
        some.notes = notes;
        some.note_count = n;
        n = state % 10;
        ck_assert_int_eq(solo_window_chord(&some, 9 - n, n),
                         plain_window_chord(&some, 9 - n, n));
    }
    solo_free(solo);
}
END_TEST

START_TEST(onsets_have_strength)
{
    static const struct {
        const char *measures;
        int strength[8];
    } cases[] = {
        { MEASURE(1, ATTRIBUTES(4, 4, 4) NOTE(C, 4, 1) NOTE(C, 4, 1)
                         NOTE(C, 4, 2) NOTE(C, 4, 4) NOTE(C, 4, 4)
                             NOTE(C, 4, 4)),
          { 4, 0, 1, 2, 3, 2, -1 } },
        { MEASURE(1, ATTRIBUTES(2, 3, 4) NOTE(C, 4, 2) NOTE(C, 4, 1)
                         NOTE(C, 4, 1) NOTE(C, 4, 2)),
          { 4, 2, 1, 2, -1 } },
        { MEASURE(1, ATTRIBUTES(2, 6, 8) NOTE(C, 4, 1) NOTE(C, 4, 2)
                         NOTE(C, 4, 3)),
          { 4, 0, 3, -1 } },
        { MEASURE(1, ATTRIBUTES(2, 5, 4) NOTE(C, 4, 5) NOTE(C, 4, 5)),
          { 4, 1, -1 } },
    };

    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct solo *solo = score_measures(cases[i].measures);

        for (size_t k = 0; cases[i].strength[k] >= 0; k++)
            ck_assert_int_eq(solo_onset_strength(solo, &solo->notes[k]),
                             cases[i].strength[k]);
        solo_free(solo);
    }
}
END_TEST

/* --- keys -------------------------------------------------------------- */

/* Key signatures by the circle of fifths (common practice, no source). */
START_TEST(keys_are_named)
{
    static const char *const major[] = {
        "Cb", "Gb", "Db", "Ab", "Eb", "Bb", "F", "C",
        "G",  "D",  "A",  "E",  "B",  "F#", "C#",
    };
    static const char *const minor[] = {
        "Ab", "Eb", "Bb", "F",  "C",  "G",  "D", "A",
        "E",  "B",  "F#", "C#", "G#", "D#", "A#",
    };

    for (int fifths = -7; fifths <= 7; fifths++) {
        char got[KEY_TEXT_SIZE], want[KEY_TEXT_SIZE];

        snprintf(want, sizeof want, "%s major", major[fifths + 7]);
        ck_assert_str_eq(solo_key_text(got, fifths, MODE_MAJOR), want);
        ck_assert_str_eq(solo_key_text(got, fifths, MODE_UNKNOWN), want);
        snprintf(want, sizeof want, "%s minor", minor[fifths + 7]);
        ck_assert_str_eq(solo_key_text(got, fifths, MODE_MINOR), want);
    }
}
END_TEST

/* A part for a B flat instrument sounds a whole step lower. */
START_TEST(concert_keys_keep_their_side_of_the_circle)
{
    static const char xml[] =
        "<measure number=\"1\"><attributes><key><fifths>%d</fifths></key>"
        "<transpose><diatonic>-1</diatonic><chromatic>-2</chromatic>"
        "</transpose></attributes></measure>";
    static const struct {
        int written, sounding;
    } cases[] = { { 2, 0 }, { -4, -6 }, { 7, 5 }, { 0, -2 }, { -6, 4 } };

    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        char text[400];
        struct solo *solo;
        int fifths, mode;

        snprintf(text, sizeof text, xml, cases[i].written);
        solo = score_measures(text);
        solo_concert_key(solo, &fifths, &mode);
        ck_assert_int_eq(fifths, cases[i].sounding);
        solo_free(solo);
    }
}
END_TEST

START_TEST(the_digest_of_the_harmony)
{
    struct solo *a = score_measures(
        MEASURE(1, ATTRIBUTES(1, 4, 4) CHORD(D, minor-seventh) NOTE(A, 4, 4))
            MEASURE(2, CHORD(G, dominant) NOTE(F, 4, 4)));
    /* Other notes, finer divisions, and a bar before: the same harmony. */
    struct solo *b = score_measures(
        MEASURE(0, ATTRIBUTES(8, 4, 4) NOTE(C, 5, 32))
            MEASURE(1, CHORD(D, minor-seventh) NOTE(C, 5, 8) REST(24))
                MEASURE(2, CHORD(G, dominant) NOTE(B, 4, 32)));
    struct solo *c = score_measures(
        MEASURE(1, ATTRIBUTES(1, 4, 4) CHORD(D, minor-seventh) NOTE(A, 4, 4))
            MEASURE(2, CHORD(A, dominant) NOTE(F, 4, 4)));

    ck_assert(solo_harmony_digest(a) == solo_harmony_digest(b));
    ck_assert(solo_harmony_digest(a) != solo_harmony_digest(c));
    solo_free(a);
    solo_free(b);
    solo_free(c);
}
END_TEST

Suite *solo_suite(void)
{
    Suite *s = suite_create("solo");
    TCase *t = tcase_create("places");

    tcase_add_loop_test(t, anticipations_belong_to_the_new_chord, 0,
                        (int)(sizeof heard_cases / sizeof *heard_cases));
    tcase_add_loop_test(t, the_chord_of_a_fragment_is_voted, 0,
                        (int)(sizeof window_cases / sizeof *window_cases));
    tcase_add_test(t, the_chord_of_any_window);
    tcase_add_test(t, onsets_have_strength);
    tcase_add_test(t, keys_are_named);
    tcase_add_test(t, the_digest_of_the_harmony);
    tcase_add_test(t, concert_keys_keep_their_side_of_the_circle);
    suite_add_tcase(s, t);
    return s;
}
