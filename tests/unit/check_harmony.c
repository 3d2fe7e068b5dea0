/* check_harmony.c - key areas and functions, in every key.
 *
 * The charts are generic cycles that belong to nobody.  Each is analysed in
 * twelve keys.  Where a book is named, it is for the way of naming, from
 * memory; all else is common practice, no source. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "schema/harmony.h"
#include "tests/unit/score_text.h"
#include "tests/unit/suites.h"

enum { QUARTER = 12, BAR = 4 * QUARTER, CHORDS_MAX = 400, TEXT = 4096 };

/* The book that names secondary dominants, related ii, extended dominants and
 * substitutes this way: B. Nettles, R. Graf, "The Chord Scale Theory and Jazz
 * Harmony", 1997 (V7/II, subV7; from memory). */
#define NETTLES "Nettles and Graf, from memory"
/* M. Levine, "The Jazz Theory Book", 1995, ch. 2: major scale and the II-V-I
 * progression (from memory). */
#define LEVINE "Levine, from memory"
#define PRACTICE "common practice, no source"

/* --- charts --------------------------------------------------------------- */

struct signature {
    bool given;
    int fifths, mode;
};

static void put_chord(struct solo *solo, const char *text, size_t bar,
                      int64_t onset, int up)
{
    struct chord_event *event = &solo->chords[solo->chord_count++];
    struct fault why = { .message = "" };

    ck_assert_uint_le(solo->chord_count, CHORDS_MAX);
    ck_assert_msg(chord_parse(&event->chord, text, strlen(text), false,
                              &why) == ST_OK,
                  "%s: %s", text, why.message);
    if (event->chord.has_root)
        chord_transpose(&event->chord, up, up * 7 / 12);
    event->bar = (int32_t)bar;
    event->onset = event->takes_effect = onset;
    event->start = (int64_t)bar * BAR + onset;
    event->kind_text = event->function = "";
}

/* The chords of one bar, side by side. */
static void put_bar(struct solo *solo, char *text, size_t bar, int up)
{
    char *words[16], *rest = NULL;
    int count = 0;

    for (char *word = strtok_r(text, " ", &rest); word;
         word = strtok_r(NULL, " ", &rest))
        words[count++] = word;
    for (int i = 0; i < count; i++)
        put_chord(solo, words[i], bar, (int64_t)i * BAR / count, up);
}

/* A solo without notes over CHART, bars divided by '|', moved by UP. */
static struct solo *chart(const char *text, int up, struct signature signature)
{
    struct solo *solo = solo_new();
    char copy[TEXT];
    char *at = copy;

    ck_assert_ptr_nonnull(solo);
    ck_assert_uint_lt(strlen(text), sizeof copy);
    strcpy(copy, text);
    solo->ticks = QUARTER;
    solo->has_key = signature.given;
    solo->fifths = (int8_t)signature.fifths;
    solo->mode = (uint8_t)signature.mode;
    solo->chords = solo_alloc(solo, CHORDS_MAX * sizeof *solo->chords);
    solo->bars = solo_alloc(solo, CHORDS_MAX * sizeof *solo->bars);
    ck_assert(solo->chords && solo->bars);
    while (at) {
        char *bar = strsep(&at, "|");
        struct bar *here = &solo->bars[solo->bar_count];

        *here = (struct bar){ .start = (int64_t)solo->bar_count * BAR,
                              .length = BAR, .nominal = BAR, .number = "",
                              .metre = "4/4", .fifths = solo->fifths,
                              .mode = solo->mode };
        put_bar(solo, bar, solo->bar_count++, up);
    }
    return solo;
}

/* "C" is 0, "Am" 21. */
static int key_named(const char *name)
{
    struct pitch tonic;
    size_t n = pitch_parse(&tonic, NULL, name, false);

    return pitch_modulo(pitch_midi(tonic), 12) + (name[n] == 'm' ? 12 : 0);
}

static int key_moved(int key, int up)
{
    return key / 12 * 12 + (key % 12 + up) % 12;
}

/* "C: ii7 V7 Imaj7": the functions, with the key where it changes, moved back
 * by UP. */
static void answer(char *out, const struct solo *solo, int up)
{
    int key = HARMONY_NO_KEY;
    char name[KEY_TEXT_SIZE];

    *out = '\0';
    for (size_t i = 0; i < solo->chord_count; i++) {
        const struct chord_event *event = &solo->chords[i];

        if (event->key != key)
            sprintf(out + strlen(out), "%s%s:", *out ? " " : "",
                    harmony_key_short(name,
                                      key_moved(event->key, 12 - up), 0));
        key = event->key;
        sprintf(out + strlen(out), " %s", *event->function ? event->function
                                                            : "-");
    }
}

/* EXPECTED without bar lines and doubled blanks. */
static void squeeze(char *out, const char *expected)
{
    char *start = out;

    for (; *expected; expected++) {
        char c = *expected == '|' ? ' ' : *expected;

        if (c != ' ' || (out > start && out[-1] != ' '))
            *out++ = c;
    }
    *out = '\0';
}

/* --- the table ------------------------------------------------------------ */

#define HALF "\xc3\xb8"

struct reading {
    const char *what, *source;
    const char *home; /* the key of the signature */
    const char *chart, *expected;
    bool anyhow; /* holds without a signature as well */
};

static const struct reading readings[] = {
    { "ii-V-I", LEVINE, "C", "Dm7|G7|Cmaj7|Cmaj7", "C: ii7 V7 Imaj7 Imaj7",
      true },
    { "ii-V-I, two chords a bar, extended", LEVINE, "C", "Dm9 G13|C6/9",
      "C: ii7 V7 I6", true },
    { "ii-V-i in minor", LEVINE, "Am", "Bm7b5|E7b9|Am7|Am6",
      "Am: ii" HALF "7 V7 i7 i6", true },
    { "a ii-V alone tells its key", PRACTICE, "C", "Dm7|G7|Dm7|G7",
      "C: ii7 V7 ii7 V7", true },
    { "triads", PRACTICE, "C", "C|F|C|G|C|Am|Dm|G|C",
      "C: I IV I V I vi ii V I", true },
    { "a secondary dominant written as a triad", PRACTICE, "C",
      "C|D|G|C|E|Am|F G|C", "C: I V/V V I V/vi vi IV V I", false },
    { "minor-major and sixth on the tonic", PRACTICE, "Cm",
      "Cm|Cm(maj7)|Cm7|Cm6|Dm7b5|G7|Cm(maj7)|Cm6",
      "Cm: i i(maj7) i7 i6 ii" HALF "7 V7 i(maj7) i6", true },

    { "blues, plain: I7 before IV7 stays I7", PRACTICE, "C",
      "C7|F7|C7|C7|F7|F7|C7|C7|G7|F7|C7|G7",
      "C: I7 IV7 I7 I7 IV7 IV7 I7 I7 V7 IV7 I7 V7", true },
    { "blues with ii-Vs", PRACTICE, "C",
      "C7|F7|C7|Gm7 C7|F7|F#dim7|C7|Em7b5 A7b9|Dm7|G7|C7 A7|Dm7 G7",
      "C: I7|IV7|I7|ii7/IV V7/IV|IV7|#ivo7|I7|ii" HALF "7/ii V7/ii|"
      "ii7|V7|I7 V7/ii|ii7 V7", true },
    { "blues: an altered I7 leads to IV", PRACTICE, "C",
      "C7|F7|C7|C7#5#9|F7|F7|C7|A7|Dm7|G7|C7|G7",
      "C: I7 IV7 I7 V7/IV IV7 IV7 I7 V7/ii ii7 V7 I7 V7", true },
    { "blues: IV7 before iii7 is no substitute", PRACTICE, "C",
      "C7|F7|C7|C7|F7|F7|Em7|A7|Dm7|G7|C7|G7",
      "C: I7 IV7 I7 I7 IV7 IV7 iii7 V7/ii ii7 V7 I7 V7", false },
    { "elsewhere it is", NETTLES, "C", "Cmaj7|F7|Em7 A7|Dm7 G7|C6",
      "C: Imaj7 subV7/iii iii7 V7/ii ii7 V7 I6", false },
    { "blues in minor", PRACTICE, "Cm",
      "Cm7|Fm7|Cm7|C7b9|Fm7|Fm7|Cm7|Cm7|Ab7|G7|Cm6|Dm7b5 G7",
      "Cm: i7 iv7 i7 V7/iv iv7 iv7 i7 i7 subV7/V V7 i6 ii" HALF "7 V7",
      true },
    { "blues that descends through ii-Vs", PRACTICE, "F",
      "Fmaj7|Em7b5 A7|Dm7 G7|Cm7 F7|Bbmaj7|Bbm7 Eb7|Am7 D7|Abm7 Db7|Gm7|C7|"
      "F6 D7|Gm7 C7",
      "F: Imaj7|ii" HALF "7/vi V7/vi|vi7 V7/V|ii7/IV V7/IV|IVmaj7|iv7 bVII7|"
      "iii7 V7/ii|biii7 subV7/V|ii7|V7|I6 V7/ii|ii7 V7", false },

    { "AABA with a cycle of dominants as its bridge", NETTLES, "C",
      "C6 Am7|Dm7 G7|Em7 A7|Dm7 G7|C6 C7|Fmaj7 F#dim7|C6/G G7|C6|"
      "C6 Am7|Dm7 G7|Em7 A7|Dm7 G7|C6 C7|Fmaj7 Fm6|C6/G G7|C6|"
      "E7|E7|A7|A7|D7|D7|G7|G7|"
      "C6 Am7|Dm7 G7|Em7 A7|Dm7 G7|C6 C7|Fmaj7 F#dim7|C6/G G7|C6",
      "C: I6 vi7|ii7 V7|iii7 V7/ii|ii7 V7|I6 V7/IV|IVmaj7 #ivo7|I6 V7|I6|"
      "I6 vi7|ii7 V7|iii7 V7/ii|ii7 V7|I6 V7/IV|IVmaj7 iv6|I6 V7|I6|"
      "V7/vi|V7/vi|V7/ii|V7/ii|V7/V|V7/V|V7|V7|"
      "I6 vi7|ii7 V7|iii7 V7/ii|ii7 V7|I6 V7/IV|IVmaj7 #ivo7|I6 V7|I6",
      true },

    { "three keys a major third apart", PRACTICE, "B",
      "C#m7 F#7|Bmaj7|Am7 D7|Gmaj7|Fm7 Bb7|Ebmaj7|Am7 D7|Gmaj7|"
      "C#m7 F#7|Bmaj7|Fm7 Bb7|Ebmaj7|C#m7 F#7|Bmaj7",
      "B: ii7 V7 Imaj7 G: ii7 V7 Imaj7 Eb: ii7 V7 Imaj7 G: ii7 V7 Imaj7 "
      "B: ii7 V7 Imaj7 Eb: ii7 V7 Imaj7 B: ii7 V7 Imaj7", true },
    { "keys that fall by whole steps", PRACTICE, "D",
      "Dmaj7|Dmaj7|Dm7|G7|Cmaj7|Cmaj7|Cm7|F7|Bbmaj7|Bbmaj7|Em7|A7|Dmaj7|"
      "Bm7|Em7|A7",
      "D: Imaj7 Imaj7 C: ii7 V7 Imaj7 Imaj7 Bb: ii7 V7 Imaj7 Imaj7 "
      "D: ii7 V7 Imaj7 vi7 ii7 V7", true },
    { "two minor keys a semitone apart", PRACTICE, "Dm",
      "Dm7|Dm7|Dm7|Dm7|Dm7|Dm7|Dm7|Dm7|Ebm7|Ebm7|Ebm7|Ebm7|Ebm7|Ebm7|Ebm7|"
      "Ebm7|Dm7|Dm7|Dm7|Dm7",
      "Dm: i7 i7 i7 i7 i7 i7 i7 i7 Ebm: i7 i7 i7 i7 i7 i7 i7 i7 "
      "Dm: i7 i7 i7 i7", true },
    { "eight bars of IV are a key of their own", PRACTICE, "C",
      "Cmaj7|Am7|Dm7|G7|Cmaj7|Am7|Dm7 G7|C6|Gm7|C7|Fmaj7|Fmaj7|Gm7|C7|Fmaj7|"
      "Fmaj7|Dm7|G7|Cmaj7|Am7|Dm7|G7|C6|C6",
      "C: Imaj7 vi7 ii7 V7 Imaj7 vi7 ii7 V7 I6 F: ii7 V7 Imaj7 Imaj7 ii7 V7 "
      "Imaj7 Imaj7 C: ii7 V7 Imaj7 vi7 ii7 V7 I6 I6", false },
    { "four bars are not", NETTLES, "C",
      "Cmaj7|Am7|Dm7|G7|Gm7|C7|Fmaj7|Fmaj7|F#m7|B7|Em7 A7|Dm7 G7|Cmaj7|"
      "Bm7b5 E7b9|Am7|D7|Dm7|G7|C6|C6",
      "C: Imaj7 vi7 ii7 V7 ii7/IV V7/IV IVmaj7 IVmaj7 ii7/iii V7/iii iii7 "
      "V7/ii ii7 V7 Imaj7 ii" HALF "7/vi V7/vi vi7 V7/V ii7 V7 I6 I6",
      false },
    { "a cycle of fourths in minor", PRACTICE, "Cm",
      "Fm7|Bb7|Ebmaj7|Abmaj7|Dm7b5|G7b9|Cm6|Cm6",
      "Cm: iv7 V7/bIII bIIImaj7 bVImaj7 ii" HALF "7 V7 i6 i6", false },
    { "a ii-V to iv and one to bIII in minor", PRACTICE, "Cm",
      "Cm6|Gm7b5 C7b9|Fm7|Bb7|Ebmaj7|Dm7b5 G7|Cm6|Cm6",
      "Cm: i6 ii" HALF "7/iv V7/iv iv7 V7/bIII bIIImaj7 ii" HALF "7 V7 i6 i6",
      false },

    { "backdoor", PRACTICE, "C",
      "Cmaj7|Fm7 Bb7|Cmaj7|Cmaj7|Fm6|Bb7|Em7 A7|Dm7 G7|C6",
      "C: Imaj7 iv7 bVII7 Imaj7 Imaj7 iv6 bVII7 iii7 V7/ii ii7 V7 I6",
      true },
    { "tritone substitutes that resolve", NETTLES, "C",
      "Cmaj7|Em7 Eb7|Dm7 Db7|Cmaj7|Am7 Ab7|G7|Dm7 Db7|C6",
      "C: Imaj7 iii7 subV7/ii ii7 subV7 Imaj7 vi7 subV7/V V7 ii7 subV7 I6",
      true },
    { "a substitute through the related ii, and in place of a target", NETTLES,
      "C", "Cmaj7|Em7 A7|Ebm7 Ab7|Dm7 G7|Cmaj7|D7|Db7|C6",
      "C: Imaj7 iii7 V7/ii biii7 subV7/V ii7 V7 Imaj7 V7/V subV7 I6",
      false },
    { "what does not resolve is named by its step", PRACTICE, "C",
      "Cmaj7|Ab7|Fmaj7|E7|F6|Dm7 G7|Cmaj7|Db7|Fmaj7|Dm7 G7|C6",
      "C: Imaj7 bVI7 IVmaj7 III7 IV6 ii7 V7 Imaj7 bII7 IVmaj7 ii7 V7 I6",
      false },
    { "a dominant and its substitute share a resolution", NETTLES, "C",
      "Cmaj7|A7 Eb7|Dm7|G7 Db7|C6", "C: Imaj7 V7/ii subV7/ii ii7 V7 subV7 I6",
      true },
    { "a dominant sus, then plain", PRACTICE, "C",
      "Cmaj7|A7sus4 A7|Dm7|G7sus4 G7b9|C6",
      "C: Imaj7 V7sus/ii V7/ii ii7 V7sus V7 I6", true },
    { "II7 through ii7 to V7", PRACTICE, "C", "C6|C6|D7|D7|Dm7|G7|C6|C6",
      "C: I6 I6 V7/V V7/V ii7 V7 I6 I6", true },

    { "passing diminished chords, up and down", PRACTICE, "C",
      "Cmaj7 C#dim7|Dm7 D#dim7|Em7 Ebdim7|Dm7 G7|Cmaj7 C7|F6 F#dim7|G7 G#dim7|"
      "Am7|Dm7 G7|C6",
      "C: Imaj7 #io7 ii7 #iio7 iii7 biiio7 ii7 V7 Imaj7 V7/IV IV6 #ivo7 V7 "
      "#vo7 vi7 ii7 V7 I6", true },
    { "the bass of the next chord tells", PRACTICE, "C",
      "Cmaj7|Dm7 D#dim7|C6/E|Dm7 G7|C6", "C: Imaj7 ii7 #iio7 I6 ii7 V7 I6",
      true },
    { "leading-tone chord in minor", PRACTICE, "Am", "Am|G#dim7|Am|E7|Am",
      "Am: i viio7 i V7 i", true },
    { "turnaround I VI7 ii V", PRACTICE, "C", "Cmaj7 A7|Dm7 G7|C6 A7|Dm7 G7|C6",
      "C: Imaj7 V7/ii ii7 V7 I6 V7/ii ii7 V7 I6", true },
    { "turnaround I biiio7 ii V", PRACTICE, "C",
      "Cmaj7 Ebdim7|Dm7 G7|C6 Ebdim7|Dm7 G7|C6",
      "C: Imaj7 biiio7 ii7 V7 I6 biiio7 ii7 V7 I6", true },
    { "turnaround iii VI7 ii V", PRACTICE, "C",
      "Em7 A7|Dm7 G7|Em7 A7|Dm7 G7|C6",
      "C: iii7 V7/ii ii7 V7 iii7 V7/ii ii7 V7 I6", false },
    { "augmented and suspended triads, power chord", PRACTICE, "C",
      "C|Caug|F|Gsus4|G|C5", "C: I I+ IV Vsus V I5", true },
    { "N.C. and what is not understood keep the key", PRACTICE, "C",
      "Dm7|G7|N.C.|Cmaj7", "C: ii7 V7 - Imaj7", true },
};

enum { READINGS = sizeof readings / sizeof *readings };

/* The signature of KEY, -5..6 sharps. */
static struct signature signature_of(int key)
{
    int major = key >= 12 ? key % 12 + 3 : key;
    int fifths = pitch_modulo(7 * major + 5, 12) - 5;

    return (struct signature){ true, fifths,
                               key >= 12 ? MODE_MINOR : MODE_MAJOR };
}

static void check_reading(const struct reading *r, int up,
                          struct signature signature, const char *under)
{
    struct solo *solo = chart(r->chart, up, signature);
    char got[TEXT], expected[TEXT];

    ck_assert_int_eq(harmony_analyse(solo, NULL), ST_OK);
    answer(got, solo, up);
    squeeze(expected, r->expected);
    ck_assert_msg(strcmp(got, expected) == 0,
                  "%s (%s), up %d, %s:\n      got %s\n expected %s", r->what,
                  r->source, up, under, got, expected);
    solo_free(solo);
}

START_TEST(chords_read_the_same_in_every_key)
{
    const struct reading *r = &readings[_i];
    struct signature none = { false, 0, MODE_UNKNOWN };

    for (int up = 0; up < 12; up++) {
        struct signature given = signature_of(
            key_moved(key_named(r->home), up));

        check_reading(r, up, given, "signature with mode");
        given.mode = MODE_UNKNOWN;
        check_reading(r, up, given, "signature without mode");
        if (r->anyhow)
            check_reading(r, up, none, "no signature");
    }
}
END_TEST

/* A part in Bb is written in G major where F sounds. */
START_TEST(signatures_count_as_they_sound)
{
    struct signature written = { true, 1, MODE_MAJOR };
    struct solo *solo = chart("C|F|C|F", 0, written);
    char got[TEXT];

    solo->transpose = -2;
    solo->transpose_steps = -1;
    ck_assert_int_eq(harmony_analyse(solo, NULL), ST_OK);
    answer(got, solo, 0);
    ck_assert_str_eq(got, "F: V I V I");
    solo_free(solo);
}
END_TEST

/* The same chords read as V and I where the signature says so. */
START_TEST(the_signature_decides_what_chords_leave_open)
{
    static const struct {
        int fifths;
        const char *expected;
    } cases[] = { { 0, "C: I IV I IV" }, { -1, "F: V I V I" } };

    for (size_t i = 0; i < 2; i++) {
        struct signature s = { true, cases[i].fifths, MODE_MAJOR };
        struct solo *solo = chart("C|F|C|F", 0, s);
        char got[TEXT];

        ck_assert_int_eq(harmony_analyse(solo, NULL), ST_OK);
        answer(got, solo, 0);
        ck_assert_str_eq(got, cases[i].expected);
        solo_free(solo);
    }
}
END_TEST

START_TEST(a_new_signature_is_a_new_key)
{
    struct signature s = { true, 0, MODE_MAJOR };
    struct solo *solo = chart("Cmaj7|Am7|Dm7|G7|Cmaj7|Am7|F#m7 B7", 0, s);
    char got[TEXT];

    ck_assert_int_eq(harmony_analyse(solo, NULL), ST_OK);
    answer(got, solo, 0);
    ck_assert_str_eq(got,
                     "C: Imaj7 vi7 ii7 V7 Imaj7 vi7 ii7/iii V7/iii");
    solo->bars[6].fifths = 4;
    ck_assert_int_eq(harmony_analyse(solo, NULL), ST_OK);
    answer(got, solo, 0);
    ck_assert_str_eq(got, "C: Imaj7 vi7 ii7 V7 Imaj7 vi7 E: ii7 V7");
    solo_free(solo);
}
END_TEST

/* The weight is that of the time, however often the symbol is written. */
START_TEST(a_chord_written_again_changes_nothing)
{
    struct signature s = { true, 0, MODE_MAJOR };
    struct solo *often = chart("Cmaj7 Cmaj7|Gm7 Gm7 Gm7 Gm7|C7 C7|Fmaj7 F6|"
                               "Fmaj7 Fmaj7|Dm7|G7 G7|C6", 0, s);
    struct solo *once = chart("Cmaj7|Gm7|C7|Fmaj7||Dm7|G7|C6", 0, s);
    size_t at = 0;

    ck_assert_int_eq(harmony_analyse(often, NULL), ST_OK);
    ck_assert_int_eq(harmony_analyse(once, NULL), ST_OK);
    for (size_t i = 0; i < often->chord_count; i++) {
        while (at + 1 < once->chord_count &&
               once->chords[at + 1].start <= often->chords[i].start)
            at++;
        ck_assert_int_eq(often->chords[i].key, once->chords[at].key);
        ck_assert_int_eq(often->chords[i].role, once->chords[at].role);
    }
    solo_free(once);
    solo_free(often);
}
END_TEST

/* --- roles ---------------------------------------------------------------- */

START_TEST(roles_tell_what_numerals_do_not)
{
    static const struct {
        const char *chart;
        int expected[8];
    } cases[] = {
        { "Cmaj7|Fm7 Bb7|Cmaj7",
          { HARMONY_PLAIN, HARMONY_PLAIN, HARMONY_BACKDOOR, HARMONY_PLAIN } },
        /* Without the resolution it is bVII7 and nothing more. */
        { "Cmaj7|Bb7|Fmaj7|G7|C6",
          { HARMONY_PLAIN, HARMONY_PLAIN, HARMONY_PLAIN, HARMONY_PLAIN,
            HARMONY_PLAIN } },
        { "Gm7 C7|Fmaj7 F#dim7|G7 Db7|C6",
          { HARMONY_RELATED, HARMONY_SECONDARY, HARMONY_PLAIN,
            HARMONY_PASSING, HARMONY_PLAIN, HARMONY_SUBSTITUTE,
            HARMONY_PLAIN } },
    };
    struct signature s = { true, 0, MODE_MAJOR };

    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct solo *solo = chart(cases[i].chart, 0, s);

        ck_assert_int_eq(harmony_analyse(solo, NULL), ST_OK);
        for (size_t c = 0; c < solo->chord_count; c++)
            ck_assert_msg(solo->chords[c].role == cases[i].expected[c],
                          "%s: %s is '%s'", cases[i].chart,
                          solo->chords[c].chord.symbol,
                          harmony_role_name(solo->chords[c].role));
        solo_free(solo);
    }
    ck_assert_str_eq(harmony_role_name(HARMONY_BACKDOOR), "backdoor");
    ck_assert_str_eq(harmony_role_name(HARMONY_PLAIN), "");
    ck_assert_str_eq(harmony_role_name(99), "");
}
END_TEST

/* --- functions as text ---------------------------------------------------- */

/* What people type (common practice, no source), and how it is written. */
static const struct {
    const char *typed, *written;
    int class;
} typed[] = {
    { "ii7", "ii7", CHORD_MINOR },
    { "IIm7", "ii7", CHORD_MINOR },
    { "II-7", "ii7", CHORD_MINOR },
    { "iim7", "ii7", CHORD_MINOR },
    { "ii9", "ii7", CHORD_MINOR },
    { "ii", "ii", CHORD_MINOR },
    { "V7", "V7", CHORD_DOMINANT },
    { "V", "V", CHORD_MAJOR },
    { "V13", "V7", CHORD_DOMINANT },
    { "V7alt", "V7", CHORD_DOMINANT },
    { "V7b9", "V7", CHORD_DOMINANT },
    { "V+7", "V+7", CHORD_DOMINANT },
    { "V7sus4", "V7sus", CHORD_DOMINANT },
    { "Vsus", "Vsus", CHORD_SUSPENDED },
    { "V7/ii", "V7/ii", CHORD_DOMINANT },
    { "V7/II", "V7/ii", CHORD_DOMINANT },
    { "V9/V", "V7/V", CHORD_DOMINANT },
    { "V7/iv", "V7/iv", CHORD_DOMINANT },
    { "V7/IV", "V7/IV", CHORD_DOMINANT },
    { "V7/bIII", "V7/bIII", CHORD_DOMINANT },
    { "V7/I", "V7", CHORD_DOMINANT },
    { "V/V", "V/V", CHORD_MAJOR },
    { "ii7/IV", "ii7/IV", CHORD_MINOR },
    { "ii\xc3\xb8/vi", "ii\xc3\xb8" "7/vi", CHORD_HALF_DIMINISHED },
    { "iim7b5", "ii\xc3\xb8" "7", CHORD_HALF_DIMINISHED },
    { "ii7b5", "ii\xc3\xb8" "7", CHORD_HALF_DIMINISHED },
    { "vii\xc3\xb8" "7", "vii\xc3\xb8" "7", CHORD_HALF_DIMINISHED },
    { "viio7", "viio7", CHORD_DIMINISHED },
    { "vii\xc2\xb0" "7", "viio7", CHORD_DIMINISHED },
    { "VIIdim7", "viio7", CHORD_DIMINISHED },
    { "viio7/ii", "#io7", CHORD_DIMINISHED },
    { "viio7/V", "#ivo7", CHORD_DIMINISHED },
    { "#ivo7", "#ivo7", CHORD_DIMINISHED },
    { "\xe2\x99\xafivo7", "#ivo7", CHORD_DIMINISHED },
    { "biiio7", "biiio7", CHORD_DIMINISHED },
    { "IVmaj7", "IVmaj7", CHORD_MAJOR },
    { "IVM7", "IVmaj7", CHORD_MAJOR },
    { "IV\xce\x94", "IVmaj7", CHORD_MAJOR },
    { "I6", "I6", CHORD_MAJOR },
    { "I6/9", "I6", CHORD_MAJOR },
    { "i6", "i6", CHORD_MINOR },
    { "i6/9", "i6", CHORD_MINOR },
    { "im7", "i7", CHORD_MINOR },
    { "i(maj7)", "i(maj7)", CHORD_MINOR_MAJOR },
    { "imaj7", "i(maj7)", CHORD_MINOR_MAJOR },
    { "Im(maj7)", "i(maj7)", CHORD_MINOR_MAJOR },
    { "bVII7", "bVII7", CHORD_DOMINANT },
    { "\xe2\x99\xadVII7", "bVII7", CHORD_DOMINANT },
    { "#IV7", "bV7", CHORD_DOMINANT },
    { "bv\xc3\xb8" "7", "#iv\xc3\xb8" "7", CHORD_HALF_DIMINISHED },
    { "bVImaj7", "bVImaj7", CHORD_MAJOR },
    { "subV7", "subV7", CHORD_DOMINANT },
    { "subV", "subV7", CHORD_DOMINANT },
    { "subV7/V", "subV7/V", CHORD_DOMINANT },
    { "subV7/I", "subV7", CHORD_DOMINANT },
};

START_TEST(functions_are_read_as_people_type_them)
{
    for (size_t i = 0; i < sizeof typed / sizeof *typed; i++) {
        char out[HARMONY_FUNCTION_SIZE];
        struct fault why = { .message = "" };
        enum status st = harmony_parse_function(
            out, typed[i].typed, strlen(typed[i].typed), &why);

        ck_assert_msg(st == ST_OK, "%s: %s", typed[i].typed, why.message);
        ck_assert_msg(strcmp(out, typed[i].written) == 0, "%s: got %s",
                      typed[i].typed, out);
        ck_assert_msg((int)harmony_function_class(out) == typed[i].class,
                      "%s: class", out);
    }
}
END_TEST

/* Which functions are one to a musician who asks for either (common practice,
 * no source): those on one step, of one class of chords, that lead to one
 * place. */
START_TEST(functions_match_where_step_class_and_target_agree)
{
    static const char *const groups[][4] = {
        { "V7", "V+7", "V7sus" },
        { "I", "Imaj7", "I6" },
        { "V" },
        { "Vsus" },
        { "ii", "ii7", "ii6" },
        { "ii\xc3\xb8" "7" },
        { "iio", "iio7" },
        { "i", "i7", "i6" },
        { "i(maj7)" },
        { "I7" },
        { "I+", "I+maj7" },
        { "V7/ii", "V+7/ii" },
        { "V7/V" },
        { "V7/IV" },
        { "V7/iv" },
        { "ii7/IV" },
        { "subV7" },
        { "subV7/V" },
        { "bII7" },
        { "bVII7" },
        { "VII7" },
        { "#iv\xc3\xb8" "7" },
        { "#ivo7" },
        { "#io7" },
        { "biio7" },
    };
    const size_t count = sizeof groups / sizeof *groups;

    for (size_t a = 0; a < 4 * count; a++)
        for (size_t b = 0; b < 4 * count; b++) {
            const char *one = groups[a / 4][a % 4];
            const char *other = groups[b / 4][b % 4];
            char x[HARMONY_FUNCTION_KEY_SIZE], y[HARMONY_FUNCTION_KEY_SIZE];

            if (!one || !other)
                continue;
            harmony_function_key(x, one);
            harmony_function_key(y, other);
            ck_assert_str_ne(x, "");
            ck_assert_msg((strcmp(x, y) == 0) == (a / 4 == b / 4),
                          "%s has '%s', %s has '%s'", one, x, other, y);
        }
}
END_TEST

START_TEST(function_keys_keep_all_they_hold)
{
    char key[HARMONY_FUNCTION_KEY_SIZE];

    ck_assert_str_eq(harmony_function_key(key, "subV7/bIII"),
                     "subV/bIII dominant");
    ck_assert_str_eq(harmony_function_key(key, "ii\xc3\xb8" "7/#iv"),
                     "ii/#iv half-diminished");
    ck_assert_str_eq(harmony_function_key(key, "#ivo7"), "#iv diminished");
    ck_assert_str_eq(harmony_function_key(key, ""), "");
    ck_assert_str_eq(harmony_function_key(key, "Dm7"), "");
    ck_assert_str_eq(harmony_function_key(key, "iimaj7"), "");
    ck_assert_str_eq(
        harmony_function_key(key, "V7/iiiiiiiiiiiiiiiiiiiiiiiiiiii"), "");
}
END_TEST

START_TEST(what_is_no_function_is_refused_with_its_place)
{
    static const struct {
        const char *text;
        long offset;
    } cases[] = {
        { "", 0 },         { "Dm7", 0 },      { "m7", 0 },
        { "x", 0 },        { "V7x", 1 },      { "iiquux", 2 },
        { "V7/", 3 },      { "V7/x", 3 },     { "V7/ii7", 5 },
        { "V7/V/ii", 1 },  { "Imaj7/ii", 6 }, { "subII7", 0 },
        { "sub", 3 },      { "viisus4", 3 },  { "VIIII7", 3 },
        { "iN.C.", 1 },    { "Iother", 1 },   { "bb7", 0 },
    };

    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        char out[HARMONY_FUNCTION_SIZE] = "x";
        struct fault why = { .offset = -1 };

        ck_assert_msg(harmony_parse_function(out, cases[i].text,
                                             strlen(cases[i].text),
                                             &why) == ST_SYNTAX,
                      "%s was read as %s", cases[i].text, out);
        ck_assert_str_eq(out, "");
        ck_assert_msg(why.offset == cases[i].offset, "%s: offset %ld",
                      cases[i].text, why.offset);
        ck_assert_int_eq(harmony_function_class(cases[i].text), CHORD_NONE);
    }
}
END_TEST

/* The key of a function ends in the class of its chord. */
static void check_key(const struct chord_event *event)
{
    char key[HARMONY_FUNCTION_KEY_SIZE];
    const char *blank = strchr(harmony_function_key(key, event->function), ' ');

    ck_assert_msg(blank && chord_class_parse(blank + 1) == event->chord.class,
                  "%s has '%s'", event->function, key);
}

/* Whatever is written can be typed, and asks for the chord it stands under. */
START_TEST(every_function_reads_back)
{
    for (size_t i = 0; i < READINGS; i++) {
        struct signature s = { false, 0, MODE_UNKNOWN };
        struct solo *solo = chart(readings[i].chart, 0, s);

        ck_assert_int_eq(harmony_analyse(solo, NULL), ST_OK);
        for (size_t c = 0; c < solo->chord_count; c++) {
            const struct chord_event *event = &solo->chords[c];
            char out[HARMONY_FUNCTION_SIZE];

            if (!*event->function)
                continue;
            ck_assert_int_eq(harmony_parse_function(out, event->function,
                                                    strlen(event->function),
                                                    NULL),
                             ST_OK);
            ck_assert_str_eq(out, event->function);
            ck_assert_int_eq(harmony_function_class(event->function),
                             event->chord.class);
            check_key(event);
        }
        solo_free(solo);
    }
}
END_TEST

/* Signatures and names of keys: the circle of fifths, common practice, no
 * source. */
START_TEST(keys_are_named_on_the_side_of_the_signature)
{
    static const struct {
        int key, fifths;
        const char *text, *brief;
    } cases[] = {
        { 0, 0, "C major", "C" },      { 3, 0, "Eb major", "Eb" },
        { 1, 0, "Db major", "Db" },    { 6, 0, "Gb major", "Gb" },
        { 6, 3, "F# major", "F#" },    { 6, -3, "Gb major", "Gb" },
        { 11, 0, "B major", "B" },     { 11, -7, "Cb major", "Cb" },
        { 1, 7, "C# major", "C#" },    { 12, 0, "C minor", "Cm" },
        { 20, 0, "G# minor", "G#m" },  { 20, -4, "Ab minor", "Abm" },
        { 15, 0, "Eb minor", "Ebm" },  { 15, 4, "D# minor", "D#m" },
        { 22, 4, "Bb minor", "Bbm" },  { 18, 0, "F# minor", "F#m" },
        { -1, 0, "", "" },             { 24, 0, "", "" },
    };

    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        char out[KEY_TEXT_SIZE];

        ck_assert_str_eq(harmony_key_text(out, cases[i].key, cases[i].fifths),
                         cases[i].text);
        ck_assert_str_eq(harmony_key_short(out, cases[i].key, cases[i].fifths),
                         cases[i].brief);
    }
}
END_TEST

/* --- from a file, and through the index ----------------------------------- */

START_TEST(a_file_that_is_read_has_functions_that_survive_the_index)
{
    struct solo *solo = score_measures(
        MEASURE(1, ATTRIBUTES(1, 4, 4) CHORD(D, minor-seventh) NOTE(A, 4, 4))
        MEASURE(2, CHORD(D, dominant) NOTE(F, 4, 4))
        MEASURE(3, CHORD(G, dominant) NOTE(F, 4, 4))
        MEASURE(4, CHORD(C, major-seventh) NOTE(E, 4, 4)));
    struct solo *again = NULL;
    unsigned char *bytes = NULL;
    size_t size = 0;
    char got[TEXT];

    answer(got, solo, 0);
    ck_assert_str_eq(got, "C: ii7 V7/V V7 Imaj7");
    ck_assert_int_eq(solo_encode(solo, &bytes, &size, NULL), ST_OK);
    ck_assert_int_eq(solo_decode(&again, bytes, size, NULL), ST_OK);
    answer(got, again, 0);
    ck_assert_str_eq(got, "C: ii7 V7/V V7 Imaj7");
    ck_assert_int_eq(again->chords[1].role, HARMONY_SECONDARY);
    free(bytes);
    solo_free(again);
    solo_free(solo);
}
END_TEST

START_TEST(a_solo_without_chords_has_no_harmony)
{
    struct solo *solo = score_measures(MEASURE(1, NOTE(A, 4, 4)));
    struct solo *silent = chart("N.C.|N.C.", 0,
                                (struct signature){ true, 0, MODE_MAJOR });

    ck_assert_uint_eq(solo->chord_count, 0);
    ck_assert_int_eq(harmony_analyse(silent, NULL), ST_OK);
    ck_assert_int_eq(silent->chords[0].key, HARMONY_NO_KEY);
    ck_assert_str_eq(silent->chords[0].function, "");
    solo_free(silent);
    solo_free(solo);
}
END_TEST

Suite *harmony_suite(void)
{
    Suite *suite = suite_create("harmony");
    TCase *tcase = tcase_create("harmony");

    tcase_add_loop_test(tcase, chords_read_the_same_in_every_key, 0, READINGS);
    tcase_add_test(tcase, signatures_count_as_they_sound);
    tcase_add_test(tcase, the_signature_decides_what_chords_leave_open);
    tcase_add_test(tcase, a_new_signature_is_a_new_key);
    tcase_add_test(tcase, a_chord_written_again_changes_nothing);
    tcase_add_test(tcase, roles_tell_what_numerals_do_not);
    tcase_add_test(tcase, functions_are_read_as_people_type_them);
    tcase_add_test(tcase, functions_match_where_step_class_and_target_agree);
    tcase_add_test(tcase, function_keys_keep_all_they_hold);
    tcase_add_test(tcase, what_is_no_function_is_refused_with_its_place);
    tcase_add_test(tcase, every_function_reads_back);
    tcase_add_test(tcase, keys_are_named_on_the_side_of_the_signature);
    tcase_add_test(tcase,
                   a_file_that_is_read_has_functions_that_survive_the_index);
    tcase_add_test(tcase, a_solo_without_chords_has_no_harmony);
    suite_add_tcase(suite, tcase);
    return suite;
}
