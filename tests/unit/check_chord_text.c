/* check_chord_text.c - chords as musicians write them, read and written. */
#include <stdlib.h>
#include <string.h>

#include "schema/chord.h"
#include "tests/unit/suites.h"

static enum status parse(struct chord *out, const char *text, bool rootless,
                         struct fault *why)
{
    return chord_parse(out, text, strlen(text), rootless, why);
}

/* What musicians write, and what we write for it (common practice, no
 * source; @tonaljs/chord-type and chord-symbol are asked about the notes in
 * tests/reference/chords). */
static const struct {
    const char *text, *symbol;
    enum chord_class class;
} texts[] = {
    { "C", "C", CHORD_MAJOR },
    { "Cmaj", "C", CHORD_MAJOR },
    { "CM", "C", CHORD_MAJOR },
    { "Dm", "Dm", CHORD_MINOR },
    { "Dmin", "Dm", CHORD_MINOR },
    { "Dmi", "Dm", CHORD_MINOR },
    { "D-", "Dm", CHORD_MINOR },
    { "D\xe2\x88\x92"
      "7",
      "Dm7", CHORD_MINOR },
    { "CM7", "Cmaj7", CHORD_MAJOR },
    { "CMaj7", "Cmaj7", CHORD_MAJOR },
    { "Cma7", "Cmaj7", CHORD_MAJOR },
    { "C\xce\x94", "Cmaj7", CHORD_MAJOR },
    { "C\xce\x94"
      "7",
      "Cmaj7", CHORD_MAJOR },
    { "C\xe2\x88\x86"
      "9",
      "Cmaj9", CHORD_MAJOR },
    { "C\xe2\x96\xb3", "Cmaj7", CHORD_MAJOR },
    { "C7", "C7", CHORD_DOMINANT },
    { "C7M", "Cmaj7", CHORD_MAJOR },
    { "C9", "C9", CHORD_DOMINANT },
    { "C11", "C11", CHORD_DOMINANT },
    { "C13", "C13", CHORD_DOMINANT },
    { "C6", "C6", CHORD_MAJOR },
    { "C69", "C6/9", CHORD_MAJOR },
    { "C6/9", "C6/9", CHORD_MAJOR },
    { "C6(9)", "C6/9", CHORD_MAJOR },
    { "C6/9/E", "C6/9/E", CHORD_MAJOR },
    { "C6/E", "C6/E", CHORD_MAJOR },
    { "Cm6", "Cm6", CHORD_MINOR },
    { "Cm7", "Cm7", CHORD_MINOR },
    { "Cm9", "Cm9", CHORD_MINOR },
    { "Cm11", "Cm11", CHORD_MINOR },
    { "Cm13", "Cm13", CHORD_MINOR },
    { "Cmadd9", "Cmadd9", CHORD_MINOR },
    { "CMadd9", "Cadd9", CHORD_MAJOR },
    { "CmMaj7", "Cm(maj7)", CHORD_MINOR_MAJOR },
    { "Cm(maj7)", "Cm(maj7)", CHORD_MINOR_MAJOR },
    { "CmM7", "Cm(maj7)", CHORD_MINOR_MAJOR },
    { "C-\xce\x94"
      "7",
      "Cm(maj7)", CHORD_MINOR_MAJOR },
    { "Cm(maj9)", "Cm(maj9)", CHORD_MINOR_MAJOR },
    { "Cdim", "Cdim", CHORD_DIMINISHED },
    { "Co", "Cdim", CHORD_DIMINISHED },
    { "Cdim7", "Cdim7", CHORD_DIMINISHED },
    { "Co7", "Cdim7", CHORD_DIMINISHED },
    { "C\xc2\xb0"
      "7",
      "Cdim7", CHORD_DIMINISHED },
    { "Cdim(maj7)", "Cdim(maj7)", CHORD_DIMINISHED },
    { "Cdim7(maj7)", "Cdim7(maj7)", CHORD_DIMINISHED },
    { "C\xc3\xb8", "Cm7b5", CHORD_HALF_DIMINISHED },
    { "C\xc3\xb8"
      "7",
      "Cm7b5", CHORD_HALF_DIMINISHED },
    { "Cm7b5", "Cm7b5", CHORD_HALF_DIMINISHED },
    { "C-7b5", "Cm7b5", CHORD_HALF_DIMINISHED },
    { "Cm7(b5)", "Cm7b5", CHORD_HALF_DIMINISHED },
    { "Cm7-5", "Cm7b5", CHORD_HALF_DIMINISHED },
    { "Caug", "Caug", CHORD_AUGMENTED },
    { "C+", "Caug", CHORD_AUGMENTED },
    { "C(#5)", "Caug", CHORD_AUGMENTED },
    { "C+7", "C7#5", CHORD_DOMINANT },
    { "C7+", "C7#5", CHORD_DOMINANT },
    { "Caug7", "C7#5", CHORD_DOMINANT },
    { "C7#5", "C7#5", CHORD_DOMINANT },
    { "C+maj7", "Cmaj7#5", CHORD_AUGMENTED },
    { "C7b5", "C7b5", CHORD_DOMINANT },
    { "C7b9", "C7b9", CHORD_DOMINANT },
    { "C7-9", "C7b9", CHORD_DOMINANT },
    { "C7+9", "C7#9", CHORD_DOMINANT },
    { "C7#11", "C7#11", CHORD_DOMINANT },
    { "C7b13", "C7b13", CHORD_DOMINANT },
    { "C7(b9,#11)", "C7b9#11", CHORD_DOMINANT },
    { "C7(b9b13)", "C7b9b13", CHORD_DOMINANT },
    { "C7 (b9 b13)", "C7b9b13", CHORD_DOMINANT },
    { "C7b9/13", "C7b9add13", CHORD_DOMINANT },
    { "C7[b9]", "C7b9", CHORD_DOMINANT },
    { "C9#11", "C9#11", CHORD_DOMINANT },
    { "C13b9", "C13b9", CHORD_DOMINANT },
    { "C7alt", "C7alt", CHORD_DOMINANT },
    { "Calt", "C7alt", CHORD_DOMINANT },
    { "Csus", "Csus4", CHORD_SUSPENDED },
    { "Csus4", "Csus4", CHORD_SUSPENDED },
    { "Csus2", "Csus2", CHORD_SUSPENDED },
    { "C7sus", "C7sus4", CHORD_DOMINANT },
    { "C7sus4", "C7sus4", CHORD_DOMINANT },
    { "C9sus4", "C9sus4", CHORD_DOMINANT },
    { "C13sus", "C13sus4", CHORD_DOMINANT },
    { "Cm7sus4", "C7sus4", CHORD_DOMINANT },
    { "C7sus4b9", "C7sus4b9", CHORD_DOMINANT },
    { "Cadd9", "Cadd9", CHORD_MAJOR },
    { "Cadd2", "Cadd9", CHORD_MAJOR },
    { "Cmaj7#11", "Cmaj7#11", CHORD_MAJOR },
    { "Cmaj9", "Cmaj9", CHORD_MAJOR },
    { "Cmaj13", "Cmaj13", CHORD_MAJOR },
    { "C5", "C5", CHORD_POWER },
    { "C(no3)", "C5", CHORD_POWER },
    { "C7omit3", "C7no3", CHORD_DOMINANT },
    { "C7(no 5th)", "C7no5", CHORD_DOMINANT },
    { "N.C.", "N.C.", CHORD_NONE },
    { "NC", "N.C.", CHORD_NONE },
    { " n.c. ", "N.C.", CHORD_NONE },
    { "C7/E", "C7/E", CHORD_DOMINANT },
    { "C / G", "C/G", CHORD_MAJOR },
    { "Bb7#9/D", "Bb7#9/D", CHORD_DOMINANT },
    { "B\xe2\x99\xad"
      "7\xe2\x99\xaf"
      "9",
      "Bb7#9", CHORD_DOMINANT },
    { "F\xe2\x99\xaf"
      "m7\xe2\x99\xad"
      "5",
      "F#m7b5", CHORD_HALF_DIMINISHED },
    /* An accidental next to the letter is the root's. */
    { "Bb5", "Bb5", CHORD_POWER },
    { "B(b5)", "B(b5)", CHORD_MAJOR },
    { "Bb", "Bb", CHORD_MAJOR },
    { "Bbb7", "Bbb7", CHORD_DOMINANT },
    { "Ab13#11", "Ab13#11", CHORD_DOMINANT },
};

START_TEST(as_musicians_write)
{
    struct chord chord, again;
    struct fault why = { 0 };

    ck_assert_msg(parse(&chord, texts[_i].text, false, &why) == ST_OK, "%s: %s",
                  texts[_i].text, why.message);
    ck_assert_int_eq(chord.class, texts[_i].class);
    ck_assert_str_eq(chord.symbol, texts[_i].symbol);
    ck_assert_int_eq(parse(&again, texts[_i].symbol, false, NULL), ST_OK);
    ck_assert(chord_equal(&chord, &again));
    ck_assert_int_eq(chord.bass_pc, again.bass_pc);
}
END_TEST

/* The altered dominant: 1 3 b7 and every altered tension, no plain fifth
 * (common practice, no source). */
START_TEST(altered_dominant)
{
    struct chord chord;

    ck_assert_int_eq(parse(&chord, "G7alt", false, NULL), ST_OK);
    ck_assert(chord.altered);
    ck_assert_uint_eq(chord.tones,
                      1 | 1 << 1 | 1 << 3 | 1 << 4 | 1 << 6 | 1 << 8 | 1 << 10);
    ck_assert_uint_eq(chord.tensions, 1 << 1 | 1 << 3 | 1 << 6 | 1 << 8);
}
END_TEST

static const struct {
    const char *text;
    bool rootless;
    long offset;
} faults[] = {
    { "", false, 0 },       { "H7", false, 0 },    { "dm7", false, 0 },
    { "m7", false, 0 },     { "Cqyz", false, 1 },  { "Dm7x", false, 3 },
    { "C7b", false, 2 },    { "C7b4", false, 2 },  { "C7(b9", false, 5 },
    { "C7)", false, 2 },    { "C7b9)", false, 4 }, { "C7/", false, 2 },
    { "C/Hb", false, 2 },   { "C/E7", false, 3 },  { "C7 9", false, 3 },
    { "C7addx", false, 5 }, { "Cno", false, 3 },   { "Cm5", false, 2 },
    { "C#b9x", false, 4 },  { "C7 C7", false, 3 }, { "C7\n D", false, 4 },
    { "", true, 0 },        { "  ", true, 2 },     { "Dm7", true, 0 },
    { "m7/E", true, 2 },    { "quux", true, 0 },   { "7alto", true, 4 },
    { "\xff", true, 0 },
};

START_TEST(faults_say_where)
{
    struct chord chord;
    struct fault why;

    ck_assert_msg(parse(&chord, faults[_i].text, faults[_i].rootless, &why) ==
                      ST_SYNTAX,
                  "%s", faults[_i].text);
    ck_assert_int_eq(why.status, ST_SYNTAX);
    ck_assert_msg(why.offset == faults[_i].offset, "%s: %ld", faults[_i].text,
                  why.offset);
    ck_assert_uint_gt(strlen(why.message), 10);
    ck_assert_int_eq(parse(&chord, faults[_i].text, faults[_i].rootless, NULL),
                     ST_SYNTAX);
}
END_TEST

START_TEST(faults_say_what_would_do)
{
    struct chord chord;
    struct fault why;

    parse(&chord, "Dm7x", false, &why);
    ck_assert_str_eq(why.message,
                     "\"x\" is not understood in a chord; write "
                     "it like Dm7, F#m7b5 or Bb7#9/D");
    parse(&chord, "quux", true, &why);
    ck_assert_str_eq(why.message,
                     "\"quux\" is not understood in a chord; "
                     "write it like m7, maj7, 7alt or m7b5");
    parse(&chord, "", true, &why);
    ck_assert_ptr_nonnull(strstr(why.message, "\"major\""));
}
END_TEST

static const struct {
    const char *text, *symbol;
    enum chord_class class;
} suffixes[] = {
    { "m7", "m7", CHORD_MINOR },
    { "7", "7", CHORD_DOMINANT },
    { "maj7", "maj7", CHORD_MAJOR },
    { "M7", "maj7", CHORD_MAJOR },
    { "m", "m", CHORD_MINOR },
    { "sus", "sus4", CHORD_SUSPENDED },
    { "o7", "dim7", CHORD_DIMINISHED },
    { "m7b5", "m7b5", CHORD_HALF_DIMINISHED },
    { "dim7", "dim7", CHORD_DIMINISHED },
    { "\xc3\xb8", "m7b5", CHORD_HALF_DIMINISHED },
    { "alt", "7alt", CHORD_DOMINANT },
    { "7alt", "7alt", CHORD_DOMINANT },
    { "major", "major", CHORD_MAJOR },
    { "minor", "m", CHORD_MINOR },
    { "half-diminished", "m7b5", CHORD_HALF_DIMINISHED },
    { "N.C.", "N.C.", CHORD_NONE },
};

START_TEST(suffix_alone)
{
    struct chord chord, again;

    ck_assert_int_eq(parse(&chord, suffixes[_i].text, true, NULL), ST_OK);
    ck_assert_int_eq(chord.class, suffixes[_i].class);
    ck_assert(!chord.has_root);
    ck_assert_str_eq(chord.symbol, suffixes[_i].symbol);
    ck_assert_int_eq(parse(&again, chord.symbol, true, NULL), ST_OK);
    ck_assert(chord_equal(&chord, &again));
}
END_TEST

START_TEST(length_is_respected)
{
    struct chord chord;
    struct fault why;
    char many[500];

    ck_assert_int_eq(chord_parse(&chord, "Dm7|G7", 3, false, &why), ST_OK);
    ck_assert_str_eq(chord.symbol, "Dm7");
    ck_assert_int_eq(chord_parse(&chord, "C7\0x", 4, false, &why), ST_SYNTAX);
    ck_assert_int_eq(why.offset, 2);
    memset(many, '(', sizeof many);
    many[0] = 'C';
    ck_assert_int_eq(chord_parse(&chord, many, sizeof many, false, &why),
                     ST_SYNTAX);
    ck_assert_int_eq(chord_parse(&chord, many, 127, false, &why), ST_SYNTAX);
}
END_TEST

/* Whatever a file says, we can read what we write for it. */
static void assert_reads_back(const struct chord_source *source)
{
    struct chord chord, again;
    struct fault why;

    chord_from_source(&chord, source);
    if (chord.class == CHORD_OTHER) /* a pedal: the degrees are not shown */
        chord.tones = 1, chord.tensions = 0;
    ck_assert_msg(parse(&again, chord.symbol, false, &why) == ST_OK, "%s: %s",
                  chord.symbol, why.message);
    ck_assert_msg(chord_equal(&chord, &again), "%s: %x %x", chord.symbol,
                  chord.tones, again.tones);
    ck_assert_str_eq(again.symbol, chord.symbol);
    ck_assert_int_eq(again.altered, chord.altered);
    ck_assert_int_eq(again.sus, chord.sus);
    ck_assert_uint_eq(again.tensions, chord.tensions);
}

static const struct chord_degree common[] = {
    { DEGREE_ADD, 9, -1 },     { DEGREE_ADD, 9, 0 },
    { DEGREE_ADD, 9, 1 },      { DEGREE_ADD, 11, 0 },
    { DEGREE_ADD, 11, 1 },     { DEGREE_ADD, 13, -1 },
    { DEGREE_ADD, 13, 0 },     { DEGREE_ADD, 2, 0 },
    { DEGREE_ADD, 4, 0 },      { DEGREE_ADD, 6, 0 },
    { DEGREE_ADD, 7, 0 },      { DEGREE_ADD, 7, 1 },
    { DEGREE_ADD, 5, -1 },     { DEGREE_ADD, 5, 1 },
    { DEGREE_ALTER, 5, -1 },   { DEGREE_ALTER, 5, 1 },
    { DEGREE_ALTER, 3, 1 },    { DEGREE_ALTER, 9, -1 },
    { DEGREE_ALTER, 9, 1 },    { DEGREE_ALTER, 11, 1 },
    { DEGREE_ALTER, 13, -1 },  { DEGREE_ALTER, 7, -1 },
    { DEGREE_ALTER, 7, 1 },    { DEGREE_SUBTRACT, 3, 0 },
    { DEGREE_SUBTRACT, 5, 0 }, { DEGREE_SUBTRACT, 7, 0 },
    { DEGREE_SUBTRACT, 9, 0 }, { DEGREE_SUBTRACT, 11, 0 },
};
enum {
    COMMON = sizeof common / sizeof *common
};

START_TEST(symbols_read_back)
{
    const int kind = _i;

    for (int root = 0; root < 12; root++)
        for (int i = 0; i < COMMON; i++) {
            struct chord_source source = { .root = pitch_spell(
                                               root, root % 2 ? -5 : 5),
                                           .bass = pitch_spell(root + i, 0),
                                           .has_root = true,
                                           .has_bass = i % 3 == 0,
                                           .kind_name = chord_kind_name(kind),
                                           .degree_count = i > 0 };

            source.degrees[0] = common[i];
            assert_reads_back(&source);
        }
}
END_TEST

START_TEST(symbols_with_two_changes_read_back)
{
    for (int i = 0; i < COMMON; i++)
        for (int k = 0; k < COMMON; k++) {
            struct chord_source source = { .root = { 6, 4, -100 },
                                           .has_root = true,
                                           .kind_name = chord_kind_name(_i),
                                           .degree_count = 2 };

            source.degrees[0] = common[i];
            source.degrees[1] = common[k];
            assert_reads_back(&source);
        }
}
END_TEST

/* Nothing that can be typed makes it crash or run on. */
START_TEST(any_bytes_are_answered)
{
    static const char alphabet[] =
        "CBbm7#9(),/+-oMajdisu\xc3\xb8\xe2\x99\xad"
        "413 6";
    struct chord chord;
    struct fault why;
    char text[24];
    unsigned random = 1;

    for (int i = 0; i < 20000; i++) {
        size_t n = 1 + (size_t)i % (sizeof text - 1);

        for (size_t k = 0; k < n; k++) {
            random = random * 1664525U + 1013904223U;
            text[k] = alphabet[(random >> 16) % (sizeof alphabet - 1)];
        }
        if (chord_parse(&chord, text, n, i % 2, &why) != ST_OK) {
            ck_assert_int_ge(why.offset, 0);
            ck_assert_int_le(why.offset, (long)n);
        }
    }
}
END_TEST

#define COUNT(table) (int)(sizeof(table) / sizeof *(table))

Suite *chord_text_suite(void)
{
    Suite *suite = suite_create("chord_text");
    TCase *tests = tcase_create("chord_text");

    tcase_set_timeout(tests, 60);
    tcase_add_loop_test(tests, as_musicians_write, 0, COUNT(texts));
    tcase_add_test(tests, altered_dominant);
    tcase_add_loop_test(tests, faults_say_where, 0, COUNT(faults));
    tcase_add_test(tests, faults_say_what_would_do);
    tcase_add_loop_test(tests, suffix_alone, 0, COUNT(suffixes));
    tcase_add_test(tests, length_is_respected);
    tcase_add_loop_test(tests, symbols_read_back, 0, KIND_OTHER);
    tcase_add_loop_test(tests, symbols_with_two_changes_read_back, 0,
                        KIND_OTHER);
    tcase_add_test(tests, any_bytes_are_answered);
    suite_add_tcase(suite, tests);
    return suite;
}
