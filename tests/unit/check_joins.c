/* check_joins.c - what stands between cells, by written-out examples. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "query/joins.h"
#include "tests/unit/find_fixture.h"
#include "tests/unit/suites.h"

/* What a teacher would call the notes between < and >: common practice, no
 * source.  Notes are eighths where nothing else is said; the number is that
 * of the notes which the span owns.  Each is tried in all keys. */
static const struct {
    const char *metre, *line, *names;
} examples[] = {
    /* Enclosures: from above and below onto a chord tone on the beat. */
    { "4/4", "[Cmaj7] < F4 D#4 > E4", "enclosure 2" },
    { "4/4", "[Cmaj7] < D#4 F4 > E4", "enclosure 2" },
    { "4/4", "[Cmaj7] < F4 D#4 E4 > A4", "enclosure 3" },
    { "4/4", "[Dm7] < G4 E4 > F4", "enclosure 2" },
    { "4/4", "[Dm7] < E4 C4 > D4", "enclosure 2" },
    { "4/4", "[G7] < Ab4 F#4 > G4", "enclosure 2" },
    { "4/4", "[Bbmaj7] < Bb4 G#4 > A4", "enclosure 2" },
    { "4/4", "[Cmaj7] r:8 < F4 D4 D#4 > E4", "enclosure 3" },
    { "4/4", "[Cmaj7] r:8 < D4 D#4 F4 > E4", "enclosure 3" },
    { "4/4", "[Cmaj7] r:8 < D#4 F#4 F4 > E4", "enclosure 3" },
    { "4/4", "[Cmaj7] r:8 < F#4 F4 D#4 > E4", "enclosure 3" },
    { "3/4", "[Gm7] r:4 < C5 A4 > Bb4:4", "enclosure 2" },
    { "6/8", "[Bb7] r:8 < Eb5 C#5 > D5:4.", "enclosure 2" },
    { "5/4", "[F#m7b5] r:2 < D5 B4 > C5:4", "enclosure 2" },
    { "4/4", "[Am7] r:4 r:8t < D5:8t B4:8t > C5", "enclosure 2" },
    { "4/4", "[Ebmaj7] < Ab4:16 F#4:16 > G4:16", "enclosure 2" },
    /* Onto the chord that comes. */
    { "4/4", "[Dm7] r:2. < C5 A#4 > [G7] B4", "enclosure 2" },
    /* Off the beat, to no chord tone, or from too far: none. */
    { "4/4", "[Cmaj7] r:8 < F4 D#4 > E4", "other 1, approach 1" },
    { "4/4", "[Am7] r:4 < D5:8t B4:8t C5:8t >", "other 1, approach 2" },
    { "4/4", "[Cmaj7] < E4 C4 > D4", "other 2" },
    { "4/4", "[Cmaj7] < G4 D#4 > E4", "other 1, approach 1" },
    { "4/4", "[N.C.] < F4 D#4 > E4", "other 2" },

    /* Arpeggios: thirds and fourths of one chord. */
    { "4/4", "[Cmaj7] < C4 E4 G4 B4 >", "arpeggio 4" },
    { "4/4", "[Dm7] < F4 A4 C5 E5 >", "arpeggio 4" },
    { "4/4", "[Dm7] < E5 C5 A4 F4 >", "arpeggio 4" },
    { "4/4", "[G7] < B4 D5 F5 Ab5 >", "arpeggio 4" },
    { "4/4", "[G7] < D5 B4 G4 >", "arpeggio 3" },
    { "4/4", "[C] < G4 C5 E5 >", "arpeggio 3" },
    { "4/4", "[F7] < F4 A4 C5 A4 F4 >", "arpeggio 5" },
    { "4/4", "[Bdim7] < B3 D4 F4 Ab4 >", "arpeggio 4" },
    { "6/8", "[Caug] < C4 E4 G#4 C5 >", "arpeggio 4" },
    { "3/4", "[Ebmaj7] < Bb5 G5 Eb5 D5 >", "arpeggio 3, other 1" },
    { "4/4", "[G7] G4 < B4 > D5", "arpeggio 1" },
    /* Two tones, two chords, or leaps beyond a fourth: none. */
    { "4/4", "[Cmaj7] < C4 E4 > A4", "other 2" },
    { "4/4", "[Dm7] < D4 F4 [G7] D5 B4 >", "other 4" },
    { "4/4", "[Cmaj7] < C4 G4 E4 B4 >", "other 4" },

    /* Scale runs: four notes by step in a scale that fits. */
    { "4/4", "[Cmaj7] < C4 D4 E4 F4 >", "scale 4" },
    { "4/4", "[Dm7] < D5 C5 B4 A4 G4 F4 >", "scale 6" },
    { "4/4", "[Cmaj7] < E4 D4 C4 D4 E4 F4 >", "scale 6" },
    { "3/4", "[Abmaj7] < Ab4 Bb4 C5 Db5 Eb5 F5 >", "scale 6" },
    { "4/4", "[Dm7] < A4 G4 F4 E4 [G7] D4 C4 B3 A3 >", "scale 8" },
    { "4/4", "[A7b9] < E5 D5 C#5 Bb4 A4 G4 >", "scale 6" },
    { "4/4", "[C7#5] < C4 D4 E4 F#4 G#4 A#4 >", "scale 6" },
    { "4/4", "[G7b9] < G4 Ab4 Bb4 B4 C#5 D5 E5 F5 >", "scale 8" },
    { "4/4", "[G7alt] < G4 Ab4 Bb4 B4 Db5 Eb5 F5 >", "scale 7" },
    { "4/4", "[N.C.] < C4 D4 E4 F4 >", "scale 4" },
    /* It counts where the line comes from and where it goes. */
    { "4/4", "[Cmaj7] A4 < G4 F4 > E4", "scale 2" },
    { "4/4", "[Cmaj7] < A4 G4 F4 > E4", "scale 3" },
    /* Three notes, to and fro, or no scale over that chord: none. */
    { "4/4", "[Cmaj7] r:8 < C4 D4 E4 > A4", "other 1, approach 2" },
    { "4/4", "[Dm7] < E4 F4 E4 F4 E4 F4 >",
      "approach 2, approach 2, approach 2" },
    { "4/4", "[C7] < E4 F#4 G#4 A4 >", "other 4" },

    /* Chromatic runs: three notes by semitones one way. */
    { "4/4", "[G7] < G4 F#4 F4 >", "chromatic 3" },
    { "5/4", "[Cm7] < C5 Db5 D5 Eb5 >", "chromatic 4" },
    { "4/4", "[Fmaj7] A4 < Ab4 > G4", "chromatic 1" },
    { "4/4", "[Cmaj7] A4 < D4 D#4 > E4", "chromatic 2" },
    { "4/4", "[C7] < E4 F4 F#4 F4 E4 >", "chromatic 3, chromatic 2" },

    /* Approach notes: one step into a chord tone, from outside the chord. */
    { "4/4", "[Cmaj7] A4 < D#4 > E4", "approach 1" },
    { "4/4", "[Cmaj7] A4 < F4 > E4", "approach 1" },
    { "3/4", "[Ebm7] B4 < A4 > Bb4", "approach 1" },
    { "4/4", "[Dm7] r:2. D4 < C5 > [G7] B4", "approach 1" },
    { "4/4", "[Cmaj7] < D#4 E4 > A4", "approach 2" },
    /* From one chord tone to the next, or past a note of the scale: none. */
    { "4/4", "[C7] E4 < Bb3 > C4", "other 1" },
    { "4/4", "[Cmaj7] G4 < Bb4 > C5", "other 1" },

    /* Repeated notes. */
    { "4/4", "[F7] < C5 C5 C5 >", "repeat 3" },
    { "4/4", "[F7] C5 < C5 > A4", "repeat 1" },
    { "6/8", "[N.C.] < C5 C5 >", "repeat 2" },

    /* One after the other. */
    { "4/4", "[Cmaj7] < C4 D4 E4 F4 G4 E4 C4 >", "scale 4, arpeggio 3" },
    { "4/4", "[Dm7] r:8 < A4 G4 F4 E4 C#4 > D4", "scale 3, enclosure 2" },
    { "4/4", "[Cmaj7] < F4 D#4 E4 G4 B4 D5 >", "enclosure 2, arpeggio 4" },
    { "4/4", "[Bb7] < D5 D5 C#5 C5 B4 > Bb4", "repeat 2, chromatic 3" },
};

enum {
    EXAMPLES = sizeof examples / sizeof *examples
};

/* Take the marks out of LINE: notes FIRST..END-1 stand between them. */
static char *unmarked(const char *line, size_t *first, size_t *end)
{
    char *text = strdup(line), *out = text;
    size_t notes = 0;

    for (const char *at = line; *at; at++) {
        bool starts = at == line || at[-1] == ' ';

        if (*at == '<')
            *first = notes;
        else if (*at == '>')
            *end = notes;
        else
            *out++ = *at;
        notes += starts && strchr("ABCDEFG", *at);
    }
    *out = '\0';
    return text;
}

/* "scale 4, arpeggio 3": the names of the notes FIRST..END-1. */
static void name_into(char *out, size_t size, const struct solo *solo,
                      size_t first, size_t end)
{
    struct join_span spans[40];
    struct joins *joins;
    size_t count, used = 0;

    ck_assert_int_eq(joins_new(&joins, solo, 0, solo->note_count, NULL),
                     ST_OK);
    joins_name(spans, &count, joins, first, end - 1);
    joins_free(joins);
    out[0] = '\0';
    for (size_t i = 0; i < count; i++) {
        ck_assert_uint_eq(spans[i].first,
                          i == 0 ? first : spans[i - 1].last + 1);
        used += (size_t)snprintf(out + used, size - used, "%s%s %zu",
                                 i ? ", " : "", join_word(spans[i].what),
                                 spans[i].last - spans[i].first + 1);
    }
    ck_assert_uint_eq(spans[count - 1].last, end - 1);
}

START_TEST(a_teacher_would_call_it_so)
{
    size_t first = 0, end = 0;
    char *text = unmarked(examples[_i].line, &first, &end);

    for (int up = 0; up < 12; up++) {
        struct solo *solo =
            fixture_solo_in("Nobody", examples[_i].metre, text, up);
        char names[200];

        name_into(names, sizeof names, solo, first, end);
        ck_assert_msg(strcmp(names, examples[_i].names) == 0,
                      "%s in %s, %d up: %s, not %s", examples[_i].line,
                      examples[_i].metre, up, names, examples[_i].names);
        solo_free(solo);
    }
    free(text);
}
END_TEST

START_TEST(nothing_goes_on_beyond_a_phrase)
{
    struct solo *solo =
        fixture_solo("Nobody", "[Cmaj7] C4 D4 r:2 E4 F4 r:2 D#4 F4 E4");
    char names[200];

    name_into(names, sizeof names, solo, 0, 4);
    ck_assert_str_eq(names, "scale 4");
    for (size_t i = 0; i < solo->note_count; i++)
        solo->notes[i].phrase = i < 2 ? 1 : i < 6 ? 2 : 3;
    name_into(names, sizeof names, solo, 0, 4);
    ck_assert_str_eq(names, "other 4");
    name_into(names, sizeof names, solo, 4, 6);
    ck_assert_str_eq(names, "other 2");
    solo_free(solo);
}
END_TEST

/* The target of an enclosure or approach note is told. */
START_TEST(the_target_is_the_note_it_leads_to)
{
    struct solo *solo = fixture_solo("Nobody", "[Cmaj7] F4 D#4 E4 A4 F#4 G4");
    struct join_span spans[6];
    struct joins *joins;
    size_t count;

    ck_assert_int_eq(joins_new(&joins, solo, 0, 6, NULL), ST_OK);
    joins_name(spans, &count, joins, 0, 4);
    ck_assert_uint_eq(count, 3);
    ck_assert_int_eq(spans[0].target, 2);
    ck_assert_int_eq(spans[1].what, JOIN_OTHER);
    ck_assert_int_eq(spans[1].target, JOINS_NO_TARGET);
    ck_assert_int_eq(spans[2].what, JOIN_APPROACH);
    ck_assert_int_eq(spans[2].target, 5);
    joins_free(joins);
    /* What lies outside of the passage is not looked at. */
    ck_assert_int_eq(joins_new(&joins, solo, 1, 4, NULL), ST_OK);
    joins_name(spans, &count, joins, 4, 4);
    ck_assert_uint_eq(count, 1);
    ck_assert_int_eq(spans[0].what, JOIN_OTHER);
    joins_free(joins);
    solo_free(solo);
}
END_TEST

Suite *joins_suite(void)
{
    Suite *suite = suite_create("joins");
    TCase *tests = tcase_create("joins");

    tcase_add_loop_test(tests, a_teacher_would_call_it_so, 0, EXAMPLES);
    tcase_add_test(tests, nothing_goes_on_beyond_a_phrase);
    tcase_add_test(tests, the_target_is_the_note_it_leads_to);
    suite_add_tcase(suite, tests);
    return suite;
}
