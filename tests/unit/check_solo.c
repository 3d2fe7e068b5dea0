/* check_solo.c - where notes stand, which chord they belong to, the codec. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "indexer/form.h"
#include "indexer/phrase.h"
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

/* --- the codec ---------------------------------------------------------- */

static unsigned int seed = 1;

static int roll(int n)
{
    seed = seed * 1103515245u + 12345u;
    return (int)((seed >> 16) % (unsigned int)n);
}

/* A random form, where one fits. */
static void give_form(struct solo *solo)
{
    struct form_part parts[3] = { { "A", 1 + roll(9) }, { "B", 1 + roll(9) },
                                  { "Tag", 1 + roll(9) } };
    struct form_plan plan = { .length = roll(9), .first_play = roll(3),
                              .tail = roll(3), .confidence = roll(101),
                              .source = FORM_HARMONY + roll(3),
                              .parts = parts, .part_count = (size_t)roll(4) };

    ck_assert(form_lay_out(solo, &plan, NULL) != ST_NOMEM);
}

/* A score of random notes, ties, rests, chords, metres and words. */
static struct solo *random_solo(void)
{
    static const char *const kinds[] = { "dominant", "minor-seventh", "none",
                                         "strange", "major-seventh" };
    static char xml[60000];
    size_t used = 0;
    int bars = roll(12);

    xml[0] = '\0';
    for (int bar = 0; bar < bars; bar++) {
        used += (size_t)snprintf(
            xml + used, sizeof xml - used,
            "<measure number=\"%d\"%s><attributes><divisions>%d</divisions>"
            "<key><fifths>%d</fifths></key><transpose><chromatic>%d"
            "</chromatic></transpose></attributes><direction>"
            "<direction-type><rehearsal>%c</rehearsal></direction-type>"
            "</direction>%s", roll(9), roll(4) ? "" : " implicit=\"yes\"",
            1 + roll(12), roll(15) - 7, roll(25) - 12, 'A' + roll(4),
            roll(3) ? "" : "<barline><repeat direction=\"backward\"/>"
                           "</barline>");
        for (int i = roll(9); i > 0; i--)
            used += (size_t)snprintf(
                xml + used, sizeof xml - used,
                "%s<harmony><root><root-step>%c</root-step></root><kind>%s"
                "</kind><offset>%d</offset></harmony><note>%s<pitch>"
                "<step>%c</step><alter>%s</alter><octave>%d</octave></pitch>"
                "<duration>%d</duration>%s</note>",
                roll(3) ? "" : REST(1), 'A' + roll(7), kinds[roll(5)],
                roll(5) - 2, roll(5) ? "" : "<chord/>", 'A' + roll(7),
                roll(9) ? (roll(2) ? "1" : "-1") : "0.5", 3 + roll(3),
                1 + roll(5), roll(3) ? "" : "<tie type=\"start\"/>");
        used += (size_t)snprintf(xml + used, sizeof xml - used, "</measure>");
    }
    return score_measures(xml);
}

static void check_same_form(const struct solo *a, const struct solo *b)
{
    const struct form_plan *x = &a->form.plan, *y = &b->form.plan;

    ck_assert_int_eq(x->length, y->length);
    ck_assert_int_eq(x->first_play, y->first_play);
    ck_assert_int_eq(x->tail, y->tail);
    ck_assert_int_eq(x->confidence, y->confidence);
    ck_assert_int_eq(x->source, y->source);
    ck_assert_uint_eq(x->part_count, y->part_count);
    for (size_t i = 0; i < x->part_count; i++) {
        ck_assert_str_eq(x->parts[i].letter, y->parts[i].letter);
        ck_assert_int_eq(x->parts[i].bars, y->parts[i].bars);
    }
    ck_assert_uint_eq(a->form.chorus_count, b->form.chorus_count);
    for (size_t i = 0; i < a->bar_count; i++) {
        const struct form_place *p = form_place_of(a, (int32_t)i);
        const struct form_place *q = form_place_of(b, (int32_t)i);

        ck_assert_int_eq(p->chorus, q->chorus);
        ck_assert_int_eq(p->chorus_bar, q->chorus_bar);
        ck_assert_pstr_eq(p->section ? p->section->letter : NULL,
                          q->section ? q->section->letter : NULL);
    }
}

static void check_same_notes(const struct solo *a, const struct solo *b)
{
    ck_assert_uint_eq(a->note_count, b->note_count);
    for (size_t i = 0; i < a->note_count; i++) {
        const struct note *x = &a->notes[i], *y = &b->notes[i];

        ck_assert_int_eq(x->start, y->start);
        ck_assert_int_eq(x->onset, y->onset);
        ck_assert_int_eq(x->duration, y->duration);
        ck_assert_int_eq(x->bar, y->bar);
        ck_assert_int_eq(x->chord, y->chord);
        ck_assert_int_eq(x->heard, y->heard);
        ck_assert_int_eq(x->midi, y->midi);
        ck_assert_int_eq(x->grace, y->grace);
        ck_assert_int_eq(x->rest_before, y->rest_before);
        ck_assert_int_eq(x->phrase, y->phrase);
        ck_assert_mem_eq(&x->sounding, &y->sounding, sizeof x->sounding);
        ck_assert_mem_eq(&x->written, &y->written, sizeof x->written);
    }
}

static void check_same_chords(const struct solo *a, const struct solo *b)
{
    ck_assert_uint_eq(a->chord_count, b->chord_count);
    for (size_t i = 0; i < a->chord_count; i++) {
        const struct chord_event *x = &a->chords[i], *y = &b->chords[i];

        ck_assert_int_eq(x->bar, y->bar);
        ck_assert_int_eq(x->onset, y->onset);
        ck_assert_int_eq(x->takes_effect, y->takes_effect);
        ck_assert_int_eq(x->start, y->start);
        ck_assert(chord_equal(&x->chord, &y->chord));
        ck_assert_str_eq(x->chord.symbol, y->chord.symbol);
        ck_assert_int_eq(x->chord.kind, y->chord.kind);
        ck_assert_str_eq(x->kind_text, y->kind_text);
    }
}

static void check_same_bars(const struct solo *a, const struct solo *b)
{
    ck_assert_uint_eq(a->bar_count, b->bar_count);
    for (size_t i = 0; i < a->bar_count; i++) {
        const struct bar *x = &a->bars[i], *y = &b->bars[i];

        ck_assert_int_eq(x->start, y->start);
        ck_assert_int_eq(x->length, y->length);
        ck_assert_int_eq(x->nominal, y->nominal);
        ck_assert_str_eq(x->number, y->number);
        ck_assert_str_eq(x->metre, y->metre);
        ck_assert_pstr_eq(x->rehearsal, y->rehearsal);
        ck_assert_int_eq(x->fifths, y->fifths);
        ck_assert_int_eq(x->implicit, y->implicit);
        ck_assert_int_eq(x->barlines, y->barlines);
    }
    ck_assert_uint_eq(a->play_count, b->play_count);
    for (size_t i = 0; i < a->play_count; i++)
        ck_assert_int_eq(a->plays[i], b->plays[i]);
    ck_assert_uint_eq(a->remark_count, b->remark_count);
    for (size_t i = 0; i < a->remark_count; i++)
        ck_assert_str_eq(a->remarks[i].text, b->remarks[i].text);
    ck_assert_uint_eq(a->warning_count, b->warning_count);
    for (size_t i = 0; i < a->warning_count; i++)
        ck_assert_str_eq(a->warnings[i].message, b->warnings[i].message);
}

START_TEST(solos_survive_the_codec)
{
    int forms = 0;

    seed = 7;
    for (int i = 0; i < 500; i++) {
        struct solo *solo = random_solo(), *back;
        unsigned char *bytes;
        size_t size;

        give_form(solo);
        forms += solo->form.chorus_count > 1;
        if (roll(2))
            ck_assert_int_eq(phrase_mark(solo, NULL), ST_OK);
        ck_assert_int_eq(solo_encode(solo, &bytes, &size, NULL), ST_OK);
        ck_assert_int_eq(solo_decode(&back, bytes, size, NULL), ST_OK);
        ck_assert_str_eq(back->instrument, "Tenor");
        ck_assert_int_eq(back->ticks, solo->ticks);
        ck_assert_int_eq(back->transpose, solo->transpose);
        check_same_bars(solo, back);
        check_same_chords(solo, back);
        check_same_notes(solo, back);
        check_same_form(solo, back);
        free(bytes);
        solo_free(solo);
        solo_free(back);
    }
    ck_assert_int_gt(forms, 100);
}
END_TEST

/* Whatever a file holds, its form is looked for without harm. */
START_TEST(any_solo_is_looked_at_for_its_form)
{
    seed = 23;
    for (int i = 0; i < 300; i++) {
        struct solo *solo = random_solo();

        ck_assert_int_eq(form_find(solo, NULL), ST_OK);
        solo_free(solo);
    }
}
END_TEST

START_TEST(damaged_bytes_are_refused_or_read_but_never_crash)
{
    seed = 11;
    for (int i = 0; i < 300; i++) {
        struct solo *solo = random_solo(), *back;
        unsigned char *bytes, *damaged;
        struct fault why;
        size_t size;

        give_form(solo);
        ck_assert_int_eq(phrase_mark(solo, NULL), ST_OK);
        ck_assert_int_eq(solo_encode(solo, &bytes, &size, NULL), ST_OK);
        /* A copy of the exact size, so that a sanitiser sees every step
         * beyond it. */
        for (int k = 0; k < 30; k++) {
            size_t len = k < 10 ? (size_t)roll((int)size) : size;
            enum status st;

            damaged = malloc(len ? len : 1);
            memcpy(damaged, bytes, len);
            for (int n = k < 10 ? 0 : 1 + roll(4); n > 0 && len > 0; n--)
                damaged[roll((int)len)] = (unsigned char)roll(256);
            st = solo_decode(&back, damaged, len, &why);
            ck_assert(st == ST_OK || st == ST_LIBRARY);
            ck_assert(k >= 10 || st == ST_LIBRARY);
            ck_assert((st == ST_OK) == (back != NULL));
            solo_free(back);
            free(damaged);
        }
        free(bytes);
        solo_free(solo);
    }
}
END_TEST

Suite *solo_suite(void)
{
    Suite *s = suite_create("solo");
    TCase *t = tcase_create("places and codec");

    tcase_add_loop_test(t, anticipations_belong_to_the_new_chord, 0,
                        (int)(sizeof heard_cases / sizeof *heard_cases));
    tcase_add_loop_test(t, the_chord_of_a_fragment_is_voted, 0,
                        (int)(sizeof window_cases / sizeof *window_cases));
    tcase_add_test(t, onsets_have_strength);
    tcase_add_test(t, keys_are_named);
    tcase_add_test(t, the_digest_of_the_harmony);
    tcase_add_test(t, concert_keys_keep_their_side_of_the_circle);
    tcase_add_test(t, solos_survive_the_codec);
    tcase_add_test(t, any_solo_is_looked_at_for_its_form);
    tcase_add_test(t, damaged_bytes_are_refused_or_read_but_never_crash);
    suite_add_tcase(s, t);
    return s;
}
