/* check_tension.c - notes on a degree: each condition, written out.
 *
 * What the notes of the music examples are over their chords, and how they
 * resolve: common practice, no source.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "query/tension_words.h"
#include "schema/field.h"
#include "tests/unit/find_fixture.h"
#include "tests/unit/rank_fixture.h"
#include "tests/unit/suites.h"

/* Dm7 G7 Cmaj7 in four bars of a chorus, three phrases; the notes are numbered
 * below, with what they are over the chord each is heard under.
 *
 *    Dm7                       G7
 *    0  1  2  3  4  5          6   7   8   9
 *    A  C  E  F  E  D          Ab  G   F   Ab
 *    5  b7 9  b3 9  1          b9  1   b7  b9
 *
 *    Cmaj7                     D7         G7
 *    10 11 12  13              14  15     16
 *    G  A  B   D               E   D#     C
 *    5  13 7   9               9   b9     11
 */
static const char music[] =
    "{A2B2} < / [Dm7] A4 C5 E5:4 F5 E5 D5:4 "
    "| [G7] Ab5:4 G5 F5 r:4 / Ab4:4 "
    "| [Cmaj7] G4:4 A4 B4 D5:2 "
    "| / [D7] E5:4 D#5:4 [G7] C5:2 >";

/* A question from words: "9", "over m7", "length 4+", "accent weak", "phrase
 * last", "approach step-below", "departure up", "resolves 9>3", "beat 2",
 * "within", parts divided by "; ". */
static bool ask_one(struct tension_query *q, const char *part)
{
    static const char *const accents[] = { "strong", "weak", "off" };
    static const char *const phrases[] = { "first", "last", "highest" };
    const char *value = strchr(part, ' ') ? strchr(part, ' ') + 1 : "";
    struct fault why = { 0 };
    int from;

    if (strncmp(part, "over ", 5) == 0)
        return over_parse(&q->over, value, &why) == ST_OK;
    if (strncmp(part, "length ", 7) == 0)
        return tension_parse_length(q, value, &why) == ST_OK;
    if (strncmp(part, "approach ", 9) == 0)
        return tension_parse_approach(&q->approach, value, &why) == ST_OK;
    if (strncmp(part, "departure ", 10) == 0)
        return tension_parse_departure(&q->departure, value, &why) == ST_OK;
    if (strncmp(part, "resolves ", 9) == 0)
        return tension_parse_resolves(q, &from, value, &why) == ST_OK;
    if (strncmp(part, "beat ", 5) == 0)
        return place_parse_beat(&q->place, value, &why) == ST_OK;
    q->place.within_phrase |= strcmp(part, "within") == 0;
    for (int i = 0; i < 3; i++) {
        if (strncmp(part, "accent", 6) == 0 && strcmp(value, accents[i]) == 0)
            q->accent = i;
        if (strncmp(part, "phrase", 6) == 0 && strcmp(value, phrases[i]) == 0)
            q->in_phrase = i;
    }
    if (strchr("b#123456789", part[0]) && !*value)
        return fragment_parse_degree(&q->degree, part, &why) == ST_OK;
    return q->accent >= 0 || q->in_phrase >= 0 || q->place.within_phrase;
}

static void ask(struct tension_query *q, const char *text)
{
    char copy[200], *rest = copy, *part;

    *q = TENSION_QUERY_ALL;
    snprintf(copy, sizeof copy, "%s", text);
    while ((part = strtok_r(rest, ";", &rest))) {
        part += strspn(part, " ");
        ck_assert_msg(!*part || ask_one(q, part), "'%s' of '%s'", part, text);
    }
}

/* The notes of SOLO that fit TEXT, as "2 4 13". */
static const char *fitting(const struct solo *solo, const char *text)
{
    static char out[300];
    struct tension_phrase phrase = { 0 };
    struct tension_query q;

    ask(&q, text);
    out[0] = '\0';
    for (size_t i = 0; i < solo->note_count; i++) {
        struct tension_note note;

        if (tension_note_read(&note, &phrase, &q, solo, i) &&
            (q.degree == TENSION_ANY || note.semitones == q.degree) &&
            tension_note_fits(&q, solo, &note))
            sprintf(out + strlen(out), "%s%zu", *out ? " " : "", i);
    }
    return out;
}

START_TEST(conditions_choose_notes)
{
    static const struct {
        const char *asked, *notes;
    } cases[] = {
        { "", "0 1 2 3 4 5 6 7 8 9 10 11 12 13 14 15 16" },
        /* Degrees, however they are written. */
        { "9", "2 4 13 14" },
        { "2", "2 4 13 14" },
        { "b9", "6 9 15" },
        { "b2", "6 9 15" },
        { "1", "5 7" },
        { "8", "5 7" },
        { "6", "11" },
        { "4", "16" },
        { "b3", "3" },
        { "#9", "3" },
        { "b5", "" },
        /* Chords. */
        { "9; over m7", "2 4" },
        { "9; over minor", "2 4" },
        { "9; over Fm7", "2 4" },
        { "9; over ii7", "2 4" },
        { "9; over V7/V", "14" },
        { "9; over V7", "" },
        { "b9; over dominant", "6 9 15" },
        { "b9; over V7", "6 9" },
        { "b9; over maj7", "" },
        { "b9; over 7alt", "" },
        /* Length. */
        { "length 4", "2 5 6 9 10 14 15" },
        { "length 4+", "2 5 6 9 10 13 14 15 16" },
        { "length 8-", "0 1 3 4 7 8 11 12" },
        { "9; length 4-2", "2 13 14" },
        { "9; length 2-4", "2 13 14" },
        { "9; length 8-4", "2 4 14" },
        { "length 16+", "0 1 2 3 4 5 6 7 8 9 10 11 12 13 14 15 16" },
        { "length 1+", "" },
        /* Place in the bar: beats 1 and 3, 2 and 4, and the others. */
        { "accent strong", "0 3 6 10 13 14 16" },
        { "accent weak", "2 5 7 9 11 15" },
        { "accent off", "1 4 8 12" },
        { "beat 2", "2 7 11 15" },
        { "9; accent weak", "2" },
        /* In the phrase. */
        { "phrase first", "0 9 14" },
        { "phrase last", "8 13 16" },
        { "phrase highest", "6 13 14" },
        { "9; phrase last", "13" },
        /* Moves. */
        { "9; approach leap-below", "2 13" },
        { "9; approach step", "4 14" },
        { "9; approach below", "2 13 14" },
        { "9; approach from above", "4" },
        { "b9; approach chromatic", "15" },
        { "b9; approach step-above", "15" },
        { "b9; departure chromatic-down", "6 9" },
        { "b9; departure leap-down", "15" },
        { "approach chromatic", "3 4 7 10 15" },
        { "approach step-above", "4 5 7 8 10 15" },
        { "departure chromatic-up", "2" },
        { "departure down", "3 4 6 7 8 9 14 15" },
        { "approach repeated", "" },
        /* Only neighbours of the same phrase. */
        { "9; approach below; within", "2 13" },
        { "departure leap; within", "0 1 5 12 15" },
        { "departure leap", "0 1 5 8 12 15" },
    };
    struct written_place place;

    place_write(&place, music, 0);
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++)
        ck_assert_msg(
            strcmp(fitting(place.solo, cases[i].asked), cases[i].notes) == 0,
            "'%s': got %s, expected %s", cases[i].asked,
            fitting(place.solo, cases[i].asked), cases[i].notes);
    place_release(&place);
}
END_TEST

/* As "over > over the next" of every note that resolves. */
static const char *resolutions(const char *text, const char *asked)
{
    static char out[300];
    struct tension_phrase phrase = { 0 };
    struct written_place place;
    struct tension_query q;

    place_write(&place, text, 0);
    ask(&q, asked);
    out[0] = '\0';
    for (size_t i = 0; i < place.solo->note_count; i++) {
        struct tension_note note;

        if (tension_note_read(&note, &phrase, &q, place.solo, i) &&
            tension_note_fits(&q, place.solo, &note) && note.resolves)
            sprintf(out + strlen(out), "%s%s>%s", *out ? ", " : "", note.degree,
                    note.to_degree);
    }
    place_release(&place);
    return out;
}

START_TEST(notes_resolve_across_a_change_of_chord)
{
    static const struct {
        const char *what, *text, *asked, *resolved;
    } cases[] = {
        /* Common practice, no source: what these notes do. */
        { "b9 of V to 5 of I", "< [G7] B4:2 Ab4:2 [Cmaj7] G4:1 >", "", "b9>5" },
        { "b13 of V to 9 of I", "< [G7] B4:2 Eb5:2 [Cmaj7] D5:1 >", "",
          "b13>9" },
        { "11 of ii to 7... of V held: 4 to 3",
          "< [Dm7] F4:2 G4:2 [G7] F4:1 [Cmaj7] E4:1 >", "", "11>b7, b7>3" },
        { "#11 of a tritone substitute to 5 of I",
          "< [Db7] G4:1 [Cmaj7] G4:1 >", "", "#11>5" },
        { "the 6 of a sixth chord keeps its name", "< [C6] A4:1 [Dm7] A4:1 >",
          "", "6>5" },
        /* What the rule is. */
        { "only the last note over the chord",
          "< [G7] Ab4:4 G4:4 Ab4:4 F4:4 [Cmaj7] E4:1 >", "", "b7>3" },
        { "not while the chord stays", "< [G7] Ab4:2 G4:2 >", "", "" },
        { "not where the chord is said again", "< [G7] Ab4:1 [G7] G4:1 >", "",
          "" },
        { "not over a chord in which the line is silent",
          "< [G7] Ab4:1 [Cmaj7] r:1 [Am7] G4:1 >", "", "" },
        { "nor into no chord", "< [G7] Ab4:1 [N.C.] G4:1 >", "", "" },
        { "nor with nothing after", "< [G7] Ab4:1 [Cmaj7] r:1 >", "", "" },
        { "over the end of a phrase", "< / [G7] Ab4:1 / [Cmaj7] G4:1 >", "",
          "b9>5" },
        { "which can be left out", "< / [G7] Ab4:1 / [Cmaj7] G4:1 >", "within",
          "" },
        { "a degree asked", "< [G7] Ab4:1 [Cmaj7] G4:1 [G7] Ab4:1 [C6] E4:1 >",
          "b9; resolves 5", "b9>5" },
        { "in other words", "< [G7] Ab4:1 [Cmaj7] D4:1 >", "resolves b9>2",
          "b9>9" },
        { "any", "< [G7] Ab4:1 [Cmaj7] D4:1 D4:1 >", "resolves ?", "b9>9" },
    };

    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++)
        ck_assert_msg(strcmp(resolutions(cases[i].text, cases[i].asked),
                             cases[i].resolved) == 0,
                      "%s: got %s", cases[i].what,
                      resolutions(cases[i].text, cases[i].asked));
}
END_TEST

/* An anticipation is asked over the chord it belongs to. */
START_TEST(a_note_belongs_to_the_chord_it_is_heard_under)
{
    struct written_place place;

    place_write(&place, "< [G7] B4:2. r:8 Ab4:4 [Cm7] r:8 r:4 G4:2 >", 0);
    place.solo->chords[1].start =
        place.solo->notes[1].start + FIXTURE_TICKS / 2;
    solo_place_notes(place.solo);
    ck_assert_str_eq(fitting(place.solo, "b9; over 7"), "");
    ck_assert_str_eq(fitting(place.solo, "b13; over m7"), "1");
    ck_assert_str_eq(fitting(place.solo, "resolves 3>b13"), "0");
    ck_assert_str_eq(fitting(place.solo, "5; resolves ?"), "");
    place_release(&place);
}
END_TEST

static void expect_parts(const char *text, size_t index, const char *parts)
{
    struct tension_phrase phrase = { 0 };
    struct tension_query q = TENSION_QUERY_ALL;
    struct written_place place;
    struct tension_note note;
    char got[100];

    place_write(&place, text, 0);
    ck_assert(tension_note_read(&note, &phrase, &q, place.solo, index));
    snprintf(got, sizeof got, "%d %d %d %d %d", note.parts.length,
             note.parts.beat, note.parts.peak, note.parts.end,
             note.parts.score);
    ck_assert_msg(strcmp(got, parts) == 0, "%s, note %zu: %s", text, index,
                  got);
    place_release(&place);
}

/* Worked by hand from the header. */
START_TEST(prominence_is_length_beat_peak_and_end)
{
    expect_parts(music, 0, "250 1000 0 500 425000");
    expect_parts(music, 2, "500 800 0 0 400000");
    expect_parts(music, 3, "250 900 500 0 425000");
    expect_parts(music, 6, "500 1000 1000 0 650000");
    expect_parts(music, 8, "250 600 0 1000 400000");
    expect_parts(music, 13, "1000 900 1000 1000 975000");
    expect_parts("< [C] D4:1 >", 0, "1000 1000 0 0 650000");
    expect_parts("< [C] D4:8t E4:8t >", 0, "166 1000 0 0 316400");
    /* A single note is all of its phrase. */
    expect_parts("< / [C] D4:1 >", 0, "1000 1000 1000 1000 1000000");
    /* The highest need not stand alone. */
    expect_parts("< / [C] D5 C5 D5:4 >", 0, "250 1000 1000 500 625000");
}
END_TEST

/* --- reading -------------------------------------------------------------- */

static void expect_refused(enum status st, const struct fault *why,
                           const char *words)
{
    ck_assert_int_eq(st, ST_SYNTAX);
    ck_assert_msg(strstr(why->message, words), "%s", why->message);
}

START_TEST(values_that_do_not_read_say_what_would)
{
    static const char *const lengths[] = { "",   "5",     "+",    "4++",
                                           "-4", "8-2-4", "4.t.", "long" };
    static const char *const approaches[] = {
        "", "up", "step leap", "from", "repeated-below", "below above"
    };
    struct tension_query q = TENSION_QUERY_ALL;
    struct tension_way way;
    struct fault why;
    int from;

    for (size_t i = 0; i < sizeof lengths / sizeof *lengths; i++)
        expect_refused(tension_parse_length(&q, lengths[i], &why), &why,
                       "a dotted eighth");
    for (size_t i = 0; i < sizeof approaches / sizeof *approaches; i++)
        expect_refused(tension_parse_approach(&way, approaches[i], &why), &why,
                       "from below or above");
    expect_refused(tension_parse_departure(&way, "step-below", &why), &why,
                   "up or down");
    expect_refused(tension_parse_resolves(&q, &from, "b9>b55", &why), &why,
                   "degrees run from 1 to 13");
    ck_assert_int_eq(why.offset, 3);
    expect_refused(tension_parse_resolves(&q, &from, "b99 > 5", &why), &why,
                   "'b99'");
    ck_assert_int_eq(why.offset, 0);
    expect_refused(tension_parse_resolves(&q, &from, "b9>", &why), &why,
                   "a degree is missing");
}
END_TEST

START_TEST(a_degree_is_read_as_in_a_fragment)
{
    static const struct {
        const char *text;
        int semitones;
    } good[] = { { "b9", 1 },
                 { "b2", 1 },
                 { "9", 2 },
                 { "#9", 3 },
                 { "b3", 3 },
                 { "11", 5 },
                 { "4", 5 },
                 { "#11", 6 },
                 { "b13", 8 },
                 { "#5", 8 },
                 { "13", 9 },
                 { "bb7", 9 },
                 { " b7 ", 10 },
                 { "7", 11 },
                 { "b1", 11 },
                 { "8", 0 },
                 { "\xe2\x99\xad"
                   "9",
                   1 },
                 { "?", -1 } };
    static const struct {
        const char *text, *words;
        long offset;
    } bad[] = { { "14", "is no degree", 0 },
                { " b33", "is no degree", 1 },
                { "A", "is no degree", 0 },
                { "-4", "is no degree", 0 },
                { "b9:4", "a note value", 0 },
                { "b9'", "an octave mark", 0 },
                { "b9 9", "one degree", 3 },
                { "  ", "missing", 0 },
                { "x", "'x'", 0 } };
    struct fault why;
    int semitones;

    for (size_t i = 0; i < sizeof good / sizeof *good; i++) {
        ck_assert_msg(fragment_parse_degree(&semitones, good[i].text, &why) ==
                          ST_OK,
                      "'%s'", good[i].text);
        ck_assert_int_eq(semitones, good[i].semitones);
    }
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        expect_refused(fragment_parse_degree(&semitones, bad[i].text, &why),
                       &why, bad[i].words);
        ck_assert_msg(why.offset == bad[i].offset, "'%s': at %ld", bad[i].text,
                      why.offset);
    }
}
END_TEST

/* --- words ---------------------------------------------------------------- */

START_TEST(a_question_is_said_in_words)
{
    static const struct {
        const char *asked, *degree, *said;
    } cases[] = {
        { "b9", "b9", "b9 (also b2) over any chord" },
        { "#9; over 7", "#9", "#9 (also b3) over 7" },
        { "13; over dominant", "13", "13 (also 6, bb7) over a dominant chord" },
        { "5; over V7/ii", "5", "5 over V7/ii of the key" },
        { "5; length 4+; accent strong; phrase highest", "5",
          "5 over any chord; quarter or longer; on the bar line or in the "
          "middle of the bar; highest of its phrase" },
        { "5; length 8t; approach step-below; departure down; resolves 3", "5",
          "5 over any chord; triplet eighth notes; approached by step from "
          "below; left downwards; resolving to 3 of the next chord" },
        { "length 4-8; approach repeated; departure leap; resolves ?", NULL,
          "tensions over any chord; from eighth to quarter in length; "
          "repeating the note before; left by leap; leading into the next "
          "chord" },
    };
    char said[TENSION_TEXT_SIZE];
    struct tension_query q;

    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        ask(&q, cases[i].asked);
        tension_describe(said, sizeof said, &q, cases[i].degree);
        ck_assert_str_eq(said, cases[i].said);
    }
}
END_TEST

START_TEST(a_note_is_said_in_words)
{
    static const struct {
        size_t note;
        const char *moves, *reason;
    } cases[] = {
        { 0, "up a minor third",
          "bar 1 of chorus 1 \u00b7 starts a phrase \u00b7 over ii7 in C" },
        { 5, "from a whole step above, up a tritone to b9 of V7",
          "bar 1 of chorus 1 \u00b7 over ii7 in C" },
        { 13, "from a minor third below, up a whole step to 9 of V7/V",
          "bar 3 of chorus 1, where B starts \u00b7 over Imaj7 in C \u00b7 "
          "highest of its phrase \u00b7 ends its phrase" },
        { 3, "from a semitone below, down a semitone",
          "bar 1 of chorus 1 \u00b7 over ii7 in C \u00b7 a peak of the "
          "line" },
    };
    struct tension_phrase phrase = { 0 };
    struct tension_query q = TENSION_QUERY_ALL;
    struct written_place place;
    char said[TENSION_TEXT_SIZE];

    place_write(&place, music, 0);
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct tension_note note;

        ck_assert(
            tension_note_read(&note, &phrase, &q, place.solo, cases[i].note));
        tension_moves(said, sizeof said, place.solo, &note);
        ck_assert_str_eq(said, cases[i].moves);
        tension_reason(said, sizeof said, place.solo, &note);
        ck_assert_str_eq(said, cases[i].reason);
    }
    place_release(&place);
}
END_TEST

/* --- the library ---------------------------------------------------------- */

static void put_some(struct fixture *fixture)
{
    fixture_open(fixture);
    fixture_put(fixture, "b.xml",
                fixture_solo("Ada", "[G7] Ab4:2 B4:2 [Cmaj7] D5:1"));
    fixture_put(fixture, "a.xml",
                fixture_solo("Bo",
                             "[G7] Ab4 G4 Ab4:2. [Cm7] G4:1 "
                             "[G7sus4] C5:1 [C6] A4:2 [N.C.] Db4:2"));
    fixture_put(fixture, "c.xml", fixture_solo("Bo", "Ab4 G4"));
    fixture_commit(fixture);
}

START_TEST(the_best_come_first_and_equals_by_place)
{
    struct tension_query q = TENSION_QUERY_ALL;
    struct tension_result result;
    struct fixture fixture;

    put_some(&fixture);
    q.degree = 1;
    ck_assert_int_eq(tension_run(&result, fixture.store, &q, NULL), ST_OK);
    ck_assert_uint_eq(result.total, 3);
    ck_assert_uint_eq(result.solos_with_hits, 2);
    ck_assert_uint_eq(result.hit_count, 3);
    ck_assert_str_eq(result.list.items[result.hits[0].solo].path, "a.xml");
    ck_assert_str_eq(result.list.items[result.hits[1].solo].path, "b.xml");
    ck_assert_uint_eq(result.hits[0].note.index, 2);
    ck_assert_int_eq(result.hits[0].plays, 1);
    ck_assert_uint_eq(result.hits[2].note.index, 0);
    tension_result_free(&result);
    q.limit = 1;
    ck_assert_int_eq(tension_run(&result, fixture.store, &q, NULL), ST_OK);
    ck_assert_uint_eq(result.total, 3);
    ck_assert_uint_eq(result.hit_count, 1);
    ck_assert_str_eq(result.list.items[result.hits[0].solo].path, "a.xml");
    tension_result_free(&result);
    fixture_close(&fixture);
}
END_TEST

/* The rows as "dominant b9 3 of 6, 4/3, 1 to 5 minor 1; ...". */
static const char *rows(struct fixture *fixture, const char *asked)
{
    static char out[600];
    struct tension_query q;
    struct tension_table table;

    ask(&q, asked);
    ck_assert_int_eq(tension_table_run(&table, fixture->store, &q, NULL),
                     ST_OK);
    out[0] = '\0';
    for (size_t i = 0; i < table.row_count; i++) {
        const struct tension_row *row = &table.rows[i];
        char mean[RATIONAL_TEXT_SIZE];

        sprintf(out + strlen(out), "%s%s %s %d of %d, %s", i ? "; " : "",
                chord_class_name(row->class), row->degree, (int)row->count,
                (int)row->notes, rational_text(mean, row->mean_duration));
        if (row->resolved > 0)
            sprintf(out + strlen(out), ", %d to %s %s %d", (int)row->resolved,
                    row->goals[0].degree, chord_class_name(row->goals[0].class),
                    (int)row->goals[0].count);
    }
    tension_table_free(&table);
    return out;
}

START_TEST(the_table_counts_what_is_no_chord_tone)
{
    struct fixture fixture;

    put_some(&fixture);
    /* The 4 of G7sus4 and the 6 of C6 are chord tones; Db is over N.C. */
    ck_assert_str_eq(rows(&fixture, ""),
                     "major 9 1 of 2, 4/1; "
                     "dominant b9 3 of 6, 11/6, 1 to 5 minor 1");
    ck_assert_str_eq(rows(&fixture, "4"),
                     "dominant 4 1 of 6, 4/1, 1 to 6 major 1");
    ck_assert_str_eq(rows(&fixture, "b9; over 7; length 2"),
                     "dominant b9 1 of 2, 2/1");
    ck_assert_str_eq(rows(&fixture, "b9; over m7"), "");
    fixture_close(&fixture);
}
END_TEST

Suite *tension_suite(void)
{
    Suite *suite = suite_create("tension");
    TCase *tests = tcase_create("tension");

    tcase_add_test(tests, conditions_choose_notes);
    tcase_add_test(tests, notes_resolve_across_a_change_of_chord);
    tcase_add_test(tests, a_note_belongs_to_the_chord_it_is_heard_under);
    tcase_add_test(tests, prominence_is_length_beat_peak_and_end);
    tcase_add_test(tests, values_that_do_not_read_say_what_would);
    tcase_add_test(tests, a_degree_is_read_as_in_a_fragment);
    tcase_add_test(tests, a_question_is_said_in_words);
    tcase_add_test(tests, a_note_is_said_in_words);
    tcase_add_test(tests, the_best_come_first_and_equals_by_place);
    tcase_add_test(tests, the_table_counts_what_is_no_chord_tone);
    suite_add_tcase(suite, tests);
    return suite;
}
