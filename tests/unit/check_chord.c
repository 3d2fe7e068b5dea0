/* check_chord.c - chords from MusicXML: classes, tones, symbols, degrees. */
#include <stdlib.h>
#include <string.h>

#include "schema/chord.h"
#include "tests/unit/suites.h"

/* A <harmony> on C written in one line: kind, its text (NULL: no attribute)
 * and degrees such as "add 9 -1, alter 5 1". */
static bool from_source(struct chord *out, const char *kind, const char *text,
                        const char *degrees)
{
    struct chord_source source = { .root = { 0, 4, 0 },
                                   .has_root = true,
                                   .kind_name = kind,
                                   .kind_text = text };

    while (degrees && *degrees) {
        struct chord_degree *d = &source.degrees[source.degree_count++];
        const char *number = strchr(degrees, ' ');
        char *end;

        ck_assert_int_le(source.degree_count, CHORD_DEGREES_MAX);
        d->change = degrees[0] == 's'   ? DEGREE_SUBTRACT
                    : degrees[1] == 'l' ? DEGREE_ALTER
                                        : DEGREE_ADD;
        d->value = (int)strtol(number, &end, 10);
        d->alter = (int)strtol(end, &end, 10);
        degrees = end + strspn(end, ", ");
    }
    return chord_from_source(out, &source);
}

static uint16_t mask(const char *semitones)
{
    unsigned bits = 0;
    char *end;

    for (; *semitones; semitones = end)
        bits |= 1U << strtol(semitones, &end, 10);
    return (uint16_t)bits;
}

/* Names and notes: MusicXML 4.0, kind-value and its annotation.  The notes of
 * the functional sixths, Tristan and suspended chords' classes: common
 * practice, no source; augmented sixths sound as minor sevenths. */
static const struct {
    const char *kind, *tones;
    enum chord_class class;
    const char *symbol;
} kinds[] = {
    { "major", "0 4 7", CHORD_MAJOR, "C" },
    { "minor", "0 3 7", CHORD_MINOR, "Cm" },
    { "augmented", "0 4 8", CHORD_AUGMENTED, "Caug" },
    { "diminished", "0 3 6", CHORD_DIMINISHED, "Cdim" },
    { "dominant", "0 4 7 10", CHORD_DOMINANT, "C7" },
    { "major-seventh", "0 4 7 11", CHORD_MAJOR, "Cmaj7" },
    { "minor-seventh", "0 3 7 10", CHORD_MINOR, "Cm7" },
    { "diminished-seventh", "0 3 6 9", CHORD_DIMINISHED, "Cdim7" },
    { "augmented-seventh", "0 4 8 10", CHORD_DOMINANT, "C7#5" },
    { "half-diminished", "0 3 6 10", CHORD_HALF_DIMINISHED, "Cm7b5" },
    { "major-minor", "0 3 7 11", CHORD_MINOR_MAJOR, "Cm(maj7)" },
    { "major-sixth", "0 4 7 9", CHORD_MAJOR, "C6" },
    { "minor-sixth", "0 3 7 9", CHORD_MINOR, "Cm6" },
    { "dominant-ninth", "0 4 7 10 2", CHORD_DOMINANT, "C9" },
    { "major-ninth", "0 4 7 11 2", CHORD_MAJOR, "Cmaj9" },
    { "minor-ninth", "0 3 7 10 2", CHORD_MINOR, "Cm9" },
    { "dominant-11th", "0 4 7 10 2 5", CHORD_DOMINANT, "C11" },
    { "major-11th", "0 4 7 11 2 5", CHORD_MAJOR, "Cmaj11" },
    { "minor-11th", "0 3 7 10 2 5", CHORD_MINOR, "Cm11" },
    { "dominant-13th", "0 4 7 10 2 5 9", CHORD_DOMINANT, "C13" },
    { "major-13th", "0 4 7 11 2 5 9", CHORD_MAJOR, "Cmaj13" },
    { "minor-13th", "0 3 7 10 2 5 9", CHORD_MINOR, "Cm13" },
    { "suspended-second", "0 2 7", CHORD_SUSPENDED, "Csus2" },
    { "suspended-fourth", "0 5 7", CHORD_SUSPENDED, "Csus4" },
    { "Neapolitan", "0 4 7", CHORD_MAJOR, "C" },
    { "Italian", "0 4 10", CHORD_DOMINANT, "C7no5" },
    { "French", "0 4 6 10", CHORD_DOMINANT, "C7b5" },
    { "German", "0 4 7 10", CHORD_DOMINANT, "C7" },
    { "pedal", "0", CHORD_OTHER, "Cped" },
    { "power", "0 7", CHORD_POWER, "C5" },
    { "Tristan", "0 3 6 10", CHORD_HALF_DIMINISHED, "Cm7b5" },
    { "other", "0", CHORD_OTHER, "C(other)" },
    { "none", "", CHORD_NONE, "N.C." },
};

START_TEST(every_kind_of_the_standard)
{
    struct chord chord;
    bool clear = from_source(&chord, kinds[_i].kind, NULL, NULL);

    ck_assert_int_eq(clear, strcmp(kinds[_i].kind, "other") != 0);
    ck_assert_int_eq(chord.class, kinds[_i].class);
    ck_assert_uint_eq(chord.tones, mask(kinds[_i].tones));
    ck_assert_uint_eq(chord_kind_tones(_i), mask(kinds[_i].tones));
    ck_assert_str_eq(chord.symbol, kinds[_i].symbol);
    ck_assert_int_eq(chord.kind, _i);
    ck_assert_int_eq(chord_kind_parse(kinds[_i].kind), _i);
    ck_assert_str_eq(chord_kind_name(_i), kinds[_i].kind);
    ck_assert(!chord.sus);
    ck_assert_int_eq(chord.altered, strstr(chord.symbol, "#5") != NULL ||
                                        strcmp(chord.symbol, "C7b5") == 0);
}
END_TEST

START_TEST(there_are_33_kinds)
{
    ck_assert_uint_eq(sizeof kinds / sizeof *kinds, KIND_STANDARD_COUNT);
    ck_assert_int_eq(KIND_STANDARD_COUNT, 33);
    ck_assert_int_eq(chord_kind_parse("maj7"), KIND_FOREIGN);
    ck_assert_int_eq(chord_kind_parse("Major"), KIND_FOREIGN);
    ck_assert_int_eq(chord_kind_parse(""), KIND_FOREIGN);
    ck_assert_str_eq(chord_kind_name(KIND_FOREIGN), "");
}
END_TEST

/* How degrees count: MusicXML 4.0, degree-alter ("add" from a dominant chord,
 * "alter" and "subtract" from the kind).  What the results are called: common
 * practice, no source. */
static const struct {
    const char *kind, *degrees, *symbol, *tones;
    enum chord_class class;
    bool sense;
} changes[] = {
    { "major", "add 7 0", "C7", "0 4 7 10", CHORD_DOMINANT, true },
    { "major", "add 7 1", "Cmaj7", "0 4 7 11", CHORD_MAJOR, true },
    { "minor", "add 7 0", "Cm7", "0 3 7 10", CHORD_MINOR, true },
    { "minor", "add 7 1", "Cm(maj7)", "0 3 7 11", CHORD_MINOR_MAJOR, true },
    { "diminished", "add 7 0", "Cm7b5", "0 3 6 10", CHORD_HALF_DIMINISHED,
      true },
    { "diminished", "add 7 -1", "Cdim7", "0 3 6 9", CHORD_DIMINISHED, true },
    { "diminished", "add 7 1", "Cdim(maj7)", "0 3 6 11", CHORD_DIMINISHED,
      true },
    { "augmented", "add 7 0", "C7#5", "0 4 8 10", CHORD_DOMINANT, true },
    { "augmented", "add 7 1", "Cmaj7#5", "0 4 8 11", CHORD_AUGMENTED, true },
    { "suspended-fourth", "add 7 0", "C7sus4", "0 5 7 10", CHORD_DOMINANT,
      true },
    { "suspended-fourth", "add 7 0, add 9 0", "C9sus4", "0 2 5 7 10",
      CHORD_DOMINANT, true },
    { "suspended-second", "add 7 0", "C7sus2", "0 2 7 10", CHORD_DOMINANT,
      true },
    { "dominant", "alter 3 1", "C7sus4", "0 5 7 10", CHORD_DOMINANT, true },
    { "dominant", "subtract 3 0, add 4 0", "C7sus4", "0 5 7 10", CHORD_DOMINANT,
      true },
    { "minor-seventh", "alter 5 -1", "Cm7b5", "0 3 6 10", CHORD_HALF_DIMINISHED,
      true },
    { "minor-seventh", "subtract 5 0, add 5 -1", "Cm7b5", "0 3 6 10",
      CHORD_HALF_DIMINISHED, true },
    { "minor-ninth", "alter 5 -1", "Cm9b5", "0 2 3 6 10", CHORD_HALF_DIMINISHED,
      true },
    { "major-minor", "alter 5 -1", "Cm(maj7)b5", "0 3 6 11",
      CHORD_HALF_DIMINISHED, true },
    { "minor", "alter 5 -1", "Cdim", "0 3 6", CHORD_DIMINISHED, true },
    { "minor-sixth", "alter 5 -1", "Cdim7", "0 3 6 9", CHORD_DIMINISHED, true },
    { "minor", "alter 5 1", "Cm#5", "0 3 8", CHORD_MINOR, true },
    { "major", "alter 5 1", "Caug", "0 4 8", CHORD_AUGMENTED, true },
    { "major", "alter 5 -1", "C(b5)", "0 4 6", CHORD_MAJOR, true },
    { "major-seventh", "alter 5 1", "Cmaj7#5", "0 4 8 11", CHORD_AUGMENTED,
      true },
    { "major", "add 2 0", "Cadd9", "0 2 4 7", CHORD_MAJOR, true },
    { "major-sixth", "add 9 0", "C6/9", "0 2 4 7 9", CHORD_MAJOR, true },
    { "minor-sixth", "add 9 0", "Cm6/9", "0 2 3 7 9", CHORD_MINOR, true },
    { "major-seventh", "add 11 1", "Cmaj7#11", "0 4 6 7 11", CHORD_MAJOR,
      true },
    { "major", "subtract 3 0", "C5", "0 7", CHORD_POWER, true },
    { "dominant", "add 9 -1", "C7b9", "0 1 4 7 10", CHORD_DOMINANT, true },
    { "dominant", "alter 9 -1", "C7b9", "0 1 4 7 10", CHORD_DOMINANT, true },
    { "dominant-ninth", "alter 9 -1", "C7b9", "0 1 4 7 10", CHORD_DOMINANT,
      true },
    { "dominant-ninth", "add 11 1", "C9#11", "0 2 4 6 7 10", CHORD_DOMINANT,
      true },
    { "dominant-13th", "alter 11 1", "C13#11", "0 2 4 6 7 9 10", CHORD_DOMINANT,
      true },
    { "dominant-13th", "subtract 11 0", "C9add13", "0 2 4 7 9 10",
      CHORD_DOMINANT, true },
    { "dominant", "alter 5 1, add 9 1", "C7#5#9", "0 3 4 8 10", CHORD_DOMINANT,
      true },
    { "dominant", "add 5 -1", "C7#11", "0 4 6 7 10", CHORD_DOMINANT, true },
    { "dominant", "add 9 -1, add 9 1, add 13 -1", "C7b9#9b13", "0 1 3 4 7 8 10",
      CHORD_DOMINANT, true },
    { "major", "add 1 0", "C", "0 4 7", CHORD_MAJOR, true },
    /* No sense: the rest is used, and the reader hears of it. */
    { "major", "subtract 7 0, add 9 0", "Cadd9", "0 2 4 7", CHORD_MAJOR,
      false },
    { "half-diminished", "alter 5 -1", "Cm7b5", "0 3 6 10",
      CHORD_HALF_DIMINISHED, false },
    { "major", "add 1 1", "C", "0 4 7", CHORD_MAJOR, false },
    { "major", "add 14 0", "C", "0 4 7", CHORD_MAJOR, false },
    { "major", "add 0 0", "C", "0 4 7", CHORD_MAJOR, false },
    { "major", "alter 5 9", "C", "0 4 7", CHORD_MAJOR, false },
    { "dominant", "subtract 1 0", "C7", "0 4 7 10", CHORD_DOMINANT, false },
};

START_TEST(degrees_change_a_kind)
{
    struct chord chord;

    ck_assert_int_eq(
        from_source(&chord, changes[_i].kind, NULL, changes[_i].degrees),
        changes[_i].sense);
    ck_assert_str_eq(chord.symbol, changes[_i].symbol);
    ck_assert_int_eq(chord.class, changes[_i].class);
    ck_assert_uint_eq(chord.tones, mask(changes[_i].tones));
}
END_TEST

/* Kinds that are not in the standard, or "other", and their text. */
static const struct {
    const char *kind, *text, *symbol;
    enum chord_class class;
    bool clear;
} foreign[] = {
    { "augmented-ninth", "9+", "C9#5", CHORD_DOMINANT, true },
    { "augmented-ninth", NULL, "C9#5", CHORD_DOMINANT, true },
    { "maj7", NULL, "Cmaj7", CHORD_MAJOR, true },
    { "min", NULL, "Cm", CHORD_MINOR, true },
    { "min7", "", "Cm7", CHORD_MINOR, true },
    { "dominant-seventh", NULL, "C7", CHORD_DOMINANT, true },
    { "dominant-suspended-fourth", NULL, "C7sus4", CHORD_DOMINANT, true },
    { "suspended-fourth-seventh", NULL, "C7sus4", CHORD_DOMINANT, true },
    { "minor-major", NULL, "Cm(maj7)", CHORD_MINOR_MAJOR, true },
    { "half-diminished-seventh", NULL, "Cm7b5", CHORD_HALF_DIMINISHED, true },
    { "Major", NULL, "C", CHORD_MAJOR, true },
    { "", "-7", "Cm7", CHORD_MINOR, true },
    { "", " maj 7 ", "Cmaj7", CHORD_MAJOR, true },
    { "other", "7b9", "C7b9", CHORD_DOMINANT, true },
    { "other", "N.C.", "N.C.", CHORD_NONE, true },
    { "none", "7", "N.C.", CHORD_NONE, true },
    { "dominant", "what?", "C7", CHORD_DOMINANT, true },
    { "", NULL, "C(?)", CHORD_OTHER, false },
    { "", "", "C(?)", CHORD_OTHER, false },
    { "other", NULL, "C(other)", CHORD_OTHER, false },
    { "other", " cluster ", "Ccluster", CHORD_OTHER, false },
    { "seagull", NULL, "C(seagull)", CHORD_OTHER, false },
    { "", "bad\x1b[0m\nline", "Cbad?[0m line", CHORD_OTHER, false },
    { "", "0123456789012345678901234567890123456789012345678901234567890",
      "C0123456789012345678901234567890123456789", CHORD_OTHER, false },
};

START_TEST(foreign_kinds_are_read_from_their_text)
{
    struct chord chord;

    ck_assert_int_eq(
        from_source(&chord, foreign[_i].kind, foreign[_i].text, NULL),
        foreign[_i].clear);
    ck_assert_str_eq(chord.symbol, foreign[_i].symbol);
    ck_assert_int_eq(chord.class, foreign[_i].class);
}
END_TEST

START_TEST(a_foreign_kind_takes_degrees_too)
{
    struct chord chord;

    ck_assert(from_source(&chord, "", "7b9", "add 9 -1, add 13 -1"));
    ck_assert_str_eq(chord.symbol, "C7b9b13");
    ck_assert_int_eq(chord.kind, KIND_DOMINANT);
    ck_assert(!from_source(&chord, "other", NULL, "add 3 0, add 9 0"));
    ck_assert_int_eq(chord.class, CHORD_OTHER);
    ck_assert_uint_eq(chord.tones, mask("0 2 4"));
}
END_TEST

START_TEST(bass_and_spelling)
{
    struct chord_source source = { .root = { 6, 4, -100 },
                                   .bass = { 1, 2, 0 },
                                   .has_root = true,
                                   .has_bass = true,
                                   .kind_name = "dominant" };
    struct chord chord;

    ck_assert(chord_from_source(&chord, &source));
    ck_assert_str_eq(chord.symbol, "Bb7/D");
    ck_assert_int_eq(chord.root_pc, 10);
    ck_assert_int_eq(chord.bass_pc, 2);
    ck_assert_int_eq(chord.root.octave, 0);
    source.bass = (struct pitch){ 5, 4, 100 }; /* A#: the root itself */
    ck_assert(chord_from_source(&chord, &source));
    ck_assert_str_eq(chord.symbol, "Bb7");
    source.has_bass = false;
    ck_assert(chord_from_source(&chord, &source));
    ck_assert_int_eq(chord.bass_pc, 10);
    /* A root that no one can read is spelled simply. */
    source.root = (struct pitch){ 0, 4, 300 };
    ck_assert(chord_from_source(&chord, &source));
    ck_assert_str_eq(chord.symbol, "Eb7");
    source.root = (struct pitch){ 0, 4, 50 };
    ck_assert(chord_from_source(&chord, &source));
    ck_assert_str_eq(chord.symbol, "C#7");
    source.has_root = false;
    ck_assert(!chord_from_source(&chord, &source));
    ck_assert(!chord.has_root);
    ck_assert_int_eq(chord.class, CHORD_DOMINANT);
}
END_TEST

START_TEST(dominants_know_what_they_are)
{
    static const struct {
        const char *degrees;
        bool altered, sus;
    } table[] = {
        { "", false, false },
        { "add 9 0", false, false },
        { "add 13 0", false, false },
        { "add 9 -1", true, false },
        { "add 9 1", true, false },
        { "add 11 1", true, false },
        { "alter 5 -1", true, false },
        { "alter 5 1", true, false },
        { "add 13 -1", true, false },
        { "alter 3 1", false, true },
        { "alter 3 1, add 9 -1", true, true },
        { "subtract 3 0, add 2 0", false, true },
    };
    struct chord chord;

    for (size_t i = 0; i < sizeof table / sizeof *table; i++) {
        ck_assert(from_source(&chord, "dominant", NULL, table[i].degrees));
        ck_assert_int_eq(chord.class, CHORD_DOMINANT);
        ck_assert_msg(chord.altered == table[i].altered, "%s", chord.symbol);
        ck_assert_msg(chord.sus == table[i].sus, "%s", chord.symbol);
    }
    ck_assert(from_source(&chord, "major-seventh", NULL, "add 11 1"));
    ck_assert(!chord.altered);
}
END_TEST

START_TEST(tensions_stand_outside_the_chord)
{
    static const struct {
        const char *kind, *degrees, *tensions;
    } table[] = {
        { "major-sixth", "", "" },
        { "dominant-13th", "", "2 5 9" },
        { "dominant", "alter 5 -1", "" },
        { "dominant", "alter 5 1, add 9 1", "3" },
        { "dominant", "add 11 1, add 13 -1", "6 8" },
        { "half-diminished", "add 11 0", "5" },
        { "diminished-seventh", "", "" },
        { "suspended-fourth", "add 7 0, add 9 0", "2" },
        { "minor-ninth", "", "2" },
        { "suspended-second", "", "" },
    };
    struct chord chord;

    for (size_t i = 0; i < sizeof table / sizeof *table; i++) {
        ck_assert(from_source(&chord, table[i].kind, NULL, table[i].degrees));
        ck_assert_msg(chord.tensions == mask(table[i].tensions), "%s: %x",
                      chord.symbol, chord.tensions);
    }
}
END_TEST

START_TEST(class_words)
{
    for (int i = 0; i < CHORD_CLASSES; i++)
        ck_assert_int_eq(chord_class_parse(chord_class_name(i)), i);
    ck_assert_int_eq(chord_class_parse("Half-Diminished"),
                     CHORD_HALF_DIMINISHED);
    ck_assert_int_eq(chord_class_parse("m7"), -1);
    ck_assert_int_eq(chord_class_parse(""), -1);
}
END_TEST

START_TEST(transposition_writes_the_symbol_anew)
{
    static const struct {
        const char *from;
        int chromatic, diatonic;
        const char *to;
    } table[] = {
        { "Dm7", -2, -1, "Cm7" },     { "F#m7b5/E", 3, 2, "Am7b5/G" },
        { "Bb7#9", 9, 5, "G7#9" },    { "C6/9", 1, 1, "Db6/9" },
        { "C6/9/E", 7, 4, "G6/9/B" }, { "B(b5)", 0, 0, "B(b5)" },
        { "G#7", 3, 1, "A##7" },      { "G##7", 5, 2, "D7" },
    };
    struct chord chord, again;

    for (size_t i = 0; i < sizeof table / sizeof *table; i++) {
        const char *from = table[i].from;

        ck_assert_int_eq(chord_parse(&chord, from, strlen(from), false, NULL),
                         ST_OK);
        chord_transpose(&chord, table[i].chromatic, table[i].diatonic);
        ck_assert_str_eq(chord.symbol, table[i].to);
        ck_assert_int_eq(chord_parse(&again, chord.symbol, strlen(chord.symbol),
                                     false, NULL),
                         ST_OK);
        ck_assert(chord_equal(&chord, &again));
        ck_assert_int_eq(chord.bass_pc, again.bass_pc);
    }
    from_source(&chord, "other", "cluster", NULL);
    chord_transpose(&chord, 2, 1);
    ck_assert_str_eq(chord.symbol, "Dcluster");
    from_source(&chord, "none", NULL, NULL);
    chord_transpose(&chord, 2, 1);
    ck_assert_str_eq(chord.symbol, "N.C.");
}
END_TEST

/* Whoever reads a part that does not transpose leaves chords alone. */
START_TEST(transposition_by_nothing_changes_nothing)
{
    static const char *const texts[] = {
        NULL, "7#5", "cluster of many words that goes on and on \xe2\x99\xad"
    };

    for (int i = 0; i < 34 * 7 * 17 * 8 * 3; i++) {
        struct chord_source source = {
            .root = { (int8_t)(i / 3 / 34 % 7), 4,
                      (int16_t)(i / 3 / 34 / 7 % 17 * 50 - 400) },
            .bass = { (int8_t)(i / 5 % 7), 4, (int16_t)(i / 7 % 9 * 50 - 200) },
            .has_root = true,
            .has_bass = i / 11 % 2,
            .kind_name = i / 3 % 34 == 33 ? "of my own"
                                          : chord_kind_name(i / 3 % 34),
            .kind_text = texts[i % 3]
        };
        struct chord chord, moved;

        memset(&chord, 0, sizeof chord);
        chord_from_source(&chord, &source);
        if (!chord.has_root)
            continue;
        moved = chord;
        chord_transpose(&moved, 0, 0);
        ck_assert_str_eq(moved.symbol, chord.symbol);
        ck_assert(chord_equal(&moved, &chord));
        ck_assert_mem_eq(&moved.root, &chord.root, sizeof chord.root);
        ck_assert_mem_eq(&moved.bass, &chord.bass, sizeof chord.bass);
        ck_assert_int_eq(moved.bass_pc, chord.bass_pc);
    }
}
END_TEST

/* The kind and degrees that an export writes give the same chord back. */
START_TEST(nearest_kind_of_the_standard)
{
    static const struct {
        const char *symbol, *kind;
        int count;
    } table[] = {
        { "C7", "dominant", 0 },
        { "C9#5", "augmented-seventh", 1 },
        { "C7sus4", "suspended-fourth", 1 },
        { "C7alt", "augmented-seventh", 3 },
        { "Cm7b5", "half-diminished", 0 },
        { "C7b5", "dominant", 1 },
        { "C6/9", "major-sixth", 1 },
        { "Cdim(maj7)", "diminished", 1 },
        { "C5", "power", 0 },
        { "Cped", "pedal", 0 },
        { "N.C.", "none", 0 },
    };

    for (size_t i = 0; i < sizeof table / sizeof *table; i++) {
        struct chord_source source = { .root = { 0, 4, 0 }, .has_root = true };
        struct chord chord, again;
        int kind;

        ck_assert_int_eq(chord_parse(&chord, table[i].symbol,
                                     strlen(table[i].symbol), false, NULL),
                         ST_OK);
        kind = chord_nearest_kind(&chord, source.degrees, &source.degree_count);
        source.kind_name = chord_kind_name(kind);
        ck_assert_str_eq(source.kind_name, table[i].kind);
        ck_assert_int_eq(source.degree_count, table[i].count);
        ck_assert(chord_from_source(&again, &source));
        ck_assert_msg(chord_equal(&chord, &again), "%s", chord.symbol);
    }
}
END_TEST

/* Names of all twelve notes over a chord (common practice, no source). */
static const struct {
    const char *chord, *names;
} degree_names[] = {
    { "Cmaj7", "1 b9 9 #9 3 11 #11 5 b13 13 b7 7" },
    { "C", "1 b9 9 #9 3 11 #11 5 b13 13 b7 7" },
    { "C6", "1 b9 9 #9 3 11 #11 5 b13 6 b7 7" },
    { "Cm7", "1 b9 9 b3 3 11 #11 5 b13 13 b7 7" },
    { "Cm6", "1 b9 9 b3 3 11 #11 5 b13 6 b7 7" },
    { "Cm7b5", "1 b9 9 b3 3 11 b5 5 b13 13 b7 7" },
    { "Cdim7", "1 b9 9 b3 3 11 b5 5 b13 bb7 b7 7" },
    { "C7", "1 b9 9 #9 3 11 #11 5 b13 13 b7 7" },
    { "C7#5", "1 b9 9 #9 3 11 #11 5 #5 13 b7 7" },
    { "C7b5", "1 b9 9 #9 3 11 b5 5 b13 13 b7 7" },
    { "C7#11", "1 b9 9 #9 3 11 #11 5 b13 13 b7 7" },
    { "C7alt", "1 b9 9 #9 3 11 #11 5 b13 13 b7 7" },
    { "C7sus4", "1 b9 9 #9 3 4 #11 5 b13 13 b7 7" },
    { "Csus2", "1 b9 2 #9 3 4 #11 5 b13 13 b7 7" },
    { "Caug", "1 b9 9 #9 3 11 #11 5 #5 13 b7 7" },
    { "Cm(maj7)", "1 b9 9 b3 3 11 #11 5 b13 13 b7 7" },
    { "C5", "1 b9 9 b3 3 11 #11 5 b13 13 b7 7" },
    { "N.C.", "1 b9 9 #9 3 11 #11 5 b13 13 b7 7" },
};

START_TEST(a_degree_has_a_name)
{
    struct chord chord;
    char names[64] = "";

    ck_assert_int_eq(chord_parse(&chord, degree_names[_i].chord,
                                 strlen(degree_names[_i].chord), false, NULL),
                     ST_OK);
    for (int s = 0; s < 12; s++) {
        strcat(names, s ? " " : "");
        strcat(names, chord_degree_name(&chord, s));
    }
    ck_assert_str_eq(names, degree_names[_i].names);
}
END_TEST

/* Cells any teacher would write down so (common practice, no source). */
static const struct {
    const char *chord, *notes, *names;
} cells[] = {
    { "Dm7", "A4 F4 E4 D4", "5 b3 2 1" },
    { "G7", "A4 F4 E4 D4", "9 b7 6 5" },
    { "Cmaj7", "A4 F4 E4 D4", "13 4 3 2" },
    { "G7", "Eb5 Cb5 Bb4 Ab4", "b13 3 #9 b9" },
    { "Dm7", "F4 A4 C5 E5", "b3 5 b7 9" },
    { "G7", "B3 D4 F4 Ab4", "3 5 b7 b9" },
    { "Cmaj7", "C4 D4 E4 G4", "1 2 3 5" },
    /* Enclosure of the third: a scale step above, a semitone below. */
    { "Cmaj7", "F4 D#4 E4", "4 #9 3" },
    /* A repeated note looks through to the next different one. */
    { "Cmaj7", "D4 D4 E4", "2 2 3" },
    { "Cmaj7", "D4 D4 G4", "9 9 5" },
    { "Cmaj7", "D4 F4", "9 11" },
    { "Cmaj7", "A4 C5", "13 1" },
    { "Cmaj7", "D5 C4", "9 1" },
    { "Cmaj7", "D4", "9" },
    { "Bm7b5", "F4 E4 D4", "b5 4 b3" },
};

START_TEST(a_cell_has_names)
{
    struct chord chord;
    int midi[8];
    const char *names[8], *at = cells[_i].notes;
    char text[64] = "";
    size_t n = 0;

    ck_assert_int_eq(chord_parse(&chord, cells[_i].chord,
                                 strlen(cells[_i].chord), false, NULL),
                     ST_OK);
    while (*at) {
        struct pitch p;

        at += pitch_parse(&p, NULL, at, true);
        at += *at == ' ';
        midi[n++] = pitch_midi(p);
    }
    chord_cell_degrees(names, &chord, midi, n);
    for (size_t i = 0; i < n; i++) {
        strcat(text, i ? " " : "");
        strcat(text, names[i]);
    }
    ck_assert_str_eq(text, cells[_i].names);
}
END_TEST

#define COUNT(table) (int)(sizeof(table) / sizeof *(table))

Suite *chord_suite(void)
{
    Suite *suite = suite_create("chord");
    TCase *tests = tcase_create("chord");

    tcase_add_loop_test(tests, every_kind_of_the_standard, 0, COUNT(kinds));
    tcase_add_test(tests, there_are_33_kinds);
    tcase_add_loop_test(tests, degrees_change_a_kind, 0, COUNT(changes));
    tcase_add_loop_test(tests, foreign_kinds_are_read_from_their_text, 0,
                        COUNT(foreign));
    tcase_add_test(tests, a_foreign_kind_takes_degrees_too);
    tcase_add_test(tests, bass_and_spelling);
    tcase_add_test(tests, dominants_know_what_they_are);
    tcase_add_test(tests, tensions_stand_outside_the_chord);
    tcase_add_test(tests, class_words);
    tcase_add_test(tests, transposition_writes_the_symbol_anew);
    tcase_add_test(tests, transposition_by_nothing_changes_nothing);
    tcase_add_test(tests, nearest_kind_of_the_standard);
    tcase_add_loop_test(tests, a_degree_has_a_name, 0, COUNT(degree_names));
    tcase_add_loop_test(tests, a_cell_has_names, 0, COUNT(cells));
    suite_add_tcase(suite, tests);
    return suite;
}
