/* check_musicxml.c - reading scores: the line, its chords, its bars.
 *
 * What elements mean: MusicXML 4.0.  Which notes make the line: the reading
 * rules in DEVELOPERS.md, which are this program's own.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "tests/unit/score_text.h"
#include "tests/unit/suites.h"

/* --- the line --------------------------------------------------------- */

/* A score and the notes it must give: MIDI @ bar + onset : duration. */
static const struct {
    const char *what, *measures, *notes;
} lines[] = {
    { "a scale", MEASURE(1, ATTRIBUTES(1, 4, 4) NOTE(C, 4, 1) NOTE(D, 4, 1)
                                NOTE(E, 4, 2)),
      "60@0+0/1:1/1 62@0+1/1:1/1 64@0+2/1:2/1" },
    { "divisions change",
      MEASURE(1, ATTRIBUTES(2, 4, 4) NOTE(C, 4, 2) NOTE(D, 4, 2))
          MEASURE(2, ATTRIBUTES(3, 4, 4) NOTE(E, 4, 1) NOTE(F, 4, 2)),
      "60@0+0/1:1/1 62@0+1/1:1/1 64@1+0/1:1/3 65@1+1/3:2/3" },
    { "the first divisions hold from the start",
      MEASURE(1, NOTE(C, 4, 4)) MEASURE(2, ATTRIBUTES(4, 4, 4) NOTE(D, 4, 4)),
      "60@0+0/1:1/1 62@1+0/1:1/1" },
    { "no divisions", MEASURE(1, NOTE(C, 4, 1) NOTE(D, 4, 2)),
      "60@0+0/1:1/1 62@0+1/1:2/1" },
    { "zero divisions",
      MEASURE(1, ATTRIBUTES(0, 4, 4) NOTE(C, 4, 1) NOTE(D, 4, 2)),
      "60@0+0/1:1/1 62@0+1/1:2/1" },
    { "triplets", MEASURE(1, ATTRIBUTES(3, 4, 4) NOTE(C, 4, 1) NOTE(D, 4, 1)
                                 NOTE(E, 4, 1) NOTE(F, 4, 3)),
      "60@0+0/1:1/3 62@0+1/3:1/3 64@0+2/3:1/3 65@0+1/1:1/1" },
    { "the top of a chord",
      MEASURE(1, ATTRIBUTES(1, 4, 4) NOTE(C, 4, 1)
                     NOTE_WITH("<chord/>", G, 4, 1, "")
                         NOTE_WITH("<chord/>", E, 4, 1, "") NOTE(D, 4, 1)),
      "67@0+0/1:1/1 62@0+1/1:1/1" },
    { "the first voice",
      MEASURE(1, ATTRIBUTES(1, 4, 4)
                     NOTE_WITH("", C, 5, 4, "<voice>2</voice>")
                         "<backup><duration>4</duration></backup>"
                     NOTE_WITH("", E, 4, 4, "<voice>1</voice>")),
      "64@0+0/1:4/1" },
    { "forward", MEASURE(1, ATTRIBUTES(1, 4, 4)
                                "<forward><duration>2</duration></forward>"
                            NOTE(C, 4, 2)),
      "60@0+2/1:2/1" },
    { "a backup beyond the bar line",
      MEASURE(1, ATTRIBUTES(1, 4, 4) NOTE(C, 4, 1)
                     "<backup><duration>9</duration></backup>"
                 NOTE_WITH("", D, 5, 1, "<voice>1</voice>")),
      "74@0+0/1:1/1" },
    { "a tie over the bar line",
      MEASURE(1, ATTRIBUTES(1, 4, 4)
                     NOTE_WITH("", C, 4, 4, "<tie type=\"start\"/>"))
          MEASURE(2, NOTE_WITH("", C, 4, 1, "<tie type=\"stop\"/>")
                         NOTE(D, 4, 3)),
      "60@0+0/1:5/1 62@1+1/1:3/1" },
    { "a tie of three notes",
      MEASURE(1, ATTRIBUTES(1, 4, 4)
                     NOTE_WITH("", C, 4, 1, "<tie type=\"start\"/>")
                         NOTE_WITH("", C, 4, 1,
                                   "<tie type=\"stop\"/>"
                                   "<tie type=\"start\"/>")
                             NOTE(C, 4, 1) NOTE(C, 4, 1)),
      "60@0+0/1:3/1 60@0+3/1:1/1" },
    { "no tie over a rest",
      MEASURE(1, ATTRIBUTES(1, 4, 4)
                     NOTE_WITH("", C, 4, 1, "<tie type=\"start\"/>") REST(1)
                         NOTE(C, 4, 1)),
      "60@0+0/1:1/1 60@0+2/1:1/1" },
    { "no tie to another pitch",
      MEASURE(1, ATTRIBUTES(1, 4, 4)
                     NOTE_WITH("", C, 4, 1, "<tie type=\"start\"/>")
                         NOTE(D, 4, 1)),
      "60@0+0/1:1/1 62@0+1/1:1/1" },
    { "grace notes take no time",
      MEASURE(1, ATTRIBUTES(1, 4, 4)
                     "<note><grace/><pitch><step>B</step><octave>3</octave>"
                     "</pitch></note>" NOTE(C, 4, 4)),
      "60@0+0/1:4/1" },
    { "cue notes take time but are not played",
      MEASURE(1, ATTRIBUTES(1, 4, 4) NOTE_WITH("<cue/>", C, 4, 2, "")
                     NOTE(D, 4, 2)),
      "62@0+2/1:2/1" },
    { "unpitched notes",
      MEASURE(1, ATTRIBUTES(1, 4, 4)
                     "<note><unpitched/><duration>1</duration></note>"
                 NOTE(D, 4, 2)),
      "62@0+1/1:2/1" },
    { "children in another order",
      MEASURE(1, "<note><duration>3</duration><voice>1</voice><pitch>"
                 "<octave>4</octave><step>C</step></pitch></note>"
                 ATTRIBUTES(3, 4, 4) NOTE(D, 4, 3)),
      "60@0+0/1:1/1 62@0+1/1:1/1" },
    { "sounding pitch of a B flat instrument that changes to E flat",
      MEASURE(1, "<attributes><divisions>1</divisions><transpose><diatonic>-1"
                 "</diatonic><chromatic>-2</chromatic></transpose>"
                 "</attributes>" NOTE(D, 4, 4))
          MEASURE(2, "<attributes><transpose><diatonic>-5</diatonic>"
                     "<chromatic>-9</chromatic></transpose></attributes>"
                     NOTE(A, 4, 4)),
      "60@0+0/1:4/1 60@1+0/1:4/1" },
    { "octave change", MEASURE(1, "<attributes><divisions>1</divisions>"
                                  "<transpose><chromatic>-2</chromatic>"
                                  "<octave-change>-1</octave-change>"
                                  "</transpose></attributes>" NOTE(D, 5, 4)),
      "60@0+0/1:4/1" },
    { "quarter tones round half up",
      MEASURE(1, "<note><pitch><step>C</step><alter>0.5</alter><octave>4"
                 "</octave></pitch><duration>1</duration></note>"
                 "<note><pitch><step>C</step><alter>-0.5</alter><octave>4"
                 "</octave></pitch><duration>1</duration></note>"),
      "61@0+0/1:1/1 60@0+1/1:1/1" },
    { "out of range", MEASURE(1, NOTE(C, 99, 1) NOTE(C, 10, 1) NOTE(D, 4, 1)),
      "62@0+2/1:1/1" },
    /* A note without a duration leaves its place to the next. */
    { "an endless note", MEASURE(1, NOTE(C, 4, 999999999999) NOTE(D, 4, 1)),
      "62@0+0/1:1/1" },
    { "durations that are no numbers",
      MEASURE(1, NOTE(C, 4, NaN) NOTE(D, 4, -3) NOTE(E, 4, 1)),
      "64@0+0/1:1/1" },
};

START_TEST(the_line_is_read)
{
    struct solo *solo = score_measures(lines[_i].measures);
    char got[1000];

    score_notes_text(got, sizeof got, solo);
    ck_assert_msg(strcmp(got, lines[_i].notes) == 0,
                  "%s: got %s, expected %s", lines[_i].what, got,
                  lines[_i].notes);
    solo_free(solo);
}
END_TEST

START_TEST(what_is_left_out_is_said)
{
    static const struct {
        const char *measures, *element;
    } cases[] = {
        { MEASURE(1, NOTE_WITH("<cue/>", C, 4, 2, "") NOTE(D, 4, 1)), "cue" },
        { MEASURE(1, "<note><unpitched/><duration>1</duration></note>"
                     NOTE(D, 4, 2)), "unpitched" },
        { MEASURE(1, NOTE_WITH("", C, 4, 1, "<voice>2</voice>")
                         NOTE(D, 4, 2)), "voice" },
        { MEASURE(1, NOTE(C, 99, 1) NOTE(D, 4, 2)), "octave" },
        { MEASURE(1, NOTE(C, 4, x) NOTE(D, 4, 2)), "duration" },
        { MEASURE(1, NOTE(H, 4, 1) NOTE(D, 4, 2)), "step" },
        { MEASURE(1, "<backup><duration>3</duration></backup>"
                     NOTE(D, 4, 2)), "backup" },
        { MEASURE(1, ATTRIBUTES(0, 4, 4) NOTE(D, 4, 2)), "divisions" },
        { MEASURE(1, CHORD(C, gibberish) NOTE(D, 4, 2)), "harmony" },
        { MEASURE(1, REST(4)), "note" },
        { MEASURE(1, NOTE(D, 4, 2)), "harmony" },
    };

    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct solo *solo = score_measures(cases[i].measures);
        bool said = false;

        for (size_t k = 0; k < solo->warning_count; k++)
            said |= strcmp(solo->warnings[k].element, cases[i].element) == 0;
        ck_assert_msg(said, "nothing is said of %s in %s", cases[i].element,
                      cases[i].measures);
        solo_free(solo);
    }
}
END_TEST

START_TEST(warnings_name_part_and_bar_and_are_bounded)
{
    static char xml[60000];
    struct solo *solo;
    size_t used = 0;

    used += (size_t)snprintf(xml, sizeof xml, "<measure number=\"12a\">");
    for (int i = 0; i < 300; i++)
        used += (size_t)snprintf(xml + used, sizeof xml - used, "%s",
                                 NOTE(H, 4, 1));
    snprintf(xml + used, sizeof xml - used, "</measure>");
    solo = score_measures(xml);
    ck_assert_uint_eq(solo->warning_count, 200);
    ck_assert_str_eq(solo->warnings[1].part, "P1");
    ck_assert_str_eq(solo->warnings[1].bar, "12a");
    ck_assert_ptr_nonnull(
        strstr(solo->warnings[199].message, "more warnings"));
    solo_free(solo);
}
END_TEST

/* --- bars and facts --------------------------------------------------- */

START_TEST(bars_keep_their_printed_numbers)
{
    struct solo *solo = score_measures(
        "<measure number=\"0\" implicit=\"yes\">" ATTRIBUTES(1, 4, 4)
            NOTE(C, 4, 1) "</measure>" MEASURE(1, NOTE(C, 4, 4))
        MEASURE(12a, NOTE(C, 4, 4)) MEASURE(1, NOTE(C, 4, 4))
            "<measure>" NOTE(C, 4, 4) "</measure>");

    ck_assert_uint_eq(solo->bar_count, 5);
    ck_assert(solo->bars[0].implicit);
    ck_assert_str_eq(solo->bars[2].number, "12a");
    ck_assert_str_eq(solo->bars[3].number, "1");
    ck_assert_str_eq(solo->bars[4].number, "");
    /* A pickup is as long as it is, and counted from its end. */
    ck_assert_int_eq(solo->bars[1].start, solo->ticks);
    ck_assert_int_eq(solo_beat(solo, &solo->notes[0]).num, 4);
    ck_assert_int_eq(solo_beat(solo, &solo->notes[1]).num, 1);
    solo_free(solo);
}
END_TEST

START_TEST(metres_change)
{
    struct solo *solo = score_measures(
        MEASURE(1, ATTRIBUTES(2, 3, 4) REST(6))
            MEASURE(2, ATTRIBUTES(2, 3+2, 8) NOTE(C, 4, 5))
                MEASURE(3, "<attributes><time><senza-misura/></time>"
                           "</attributes>" NOTE(C, 4, 14)) MEASURE(4, ""));

    ck_assert_str_eq(solo->metre, "3/4");
    ck_assert_str_eq(solo->bars[1].metre, "3+2/8");
    ck_assert_str_eq(solo->bars[2].metre, "");
    ck_assert_int_eq(solo->bars[1].nominal * 2, solo->ticks * 5);
    ck_assert_int_eq(solo->bars[2].length, solo->ticks * 7);
    ck_assert_int_eq(solo->bars[3].length, 0);
    solo_free(solo);
}
END_TEST

START_TEST(facts_are_read)
{
    static const char xml[] =
        "<score-partwise><work><work-title>Blue\n  Lamp</work-title></work>"
        "<movement-title>Take two</movement-title><identification>"
        "<creator type=\"composer\">A. Writer</creator>"
        "<creator type=\"soloist\">B. Player</creator></identification>"
        "<part-list><score-part id=\"P1\"><part-name>Alto Saxophone"
        "</part-name></score-part></part-list><part id=\"P1\">"
        "<measure number=\"1\"><attributes><divisions>1</divisions><key>"
        "<fifths>3</fifths><mode>minor</mode></key><time><beats>6</beats>"
        "<beat-type>8</beat-type></time><transpose><diatonic>-5</diatonic>"
        "<chromatic>-9</chromatic></transpose></attributes><direction>"
        "<direction-type><rehearsal>A</rehearsal></direction-type>"
        "<direction-type><words>Medium swing</words></direction-type>"
        "<direction-type><metronome><beat-unit>quarter</beat-unit>"
        "<beat-unit-dot/><per-minute>c. 60</per-minute></metronome>"
        "</direction-type></direction>" NOTE(C, 4, 3)
        "</measure></part></score-partwise>";
    struct fault why = { 0 };
    struct solo *solo = score_read(xml, 0, NULL, &why);
    char key[KEY_TEXT_SIZE];
    int fifths, mode;

    ck_assert_ptr_nonnull(solo);
    ck_assert_str_eq(solo->title, "Blue Lamp");
    ck_assert_str_eq(solo->movement_title, "Take two");
    ck_assert_str_eq(solo->composer, "A. Writer");
    ck_assert_str_eq(solo->performer, "B. Player");
    ck_assert_str_eq(solo->instrument, "Alto Saxophone");
    ck_assert_str_eq(solo->metre, "6/8");
    /* 60 dotted quarters are 90 quarters. */
    ck_assert_int_eq(solo->tempo, 9000);
    ck_assert_int_eq(solo->transpose, -9);
    ck_assert_str_eq(solo->bars[0].rehearsal, "A");
    ck_assert_uint_eq(solo->remark_count, 2);
    ck_assert_str_eq(solo->remarks[1].text, "Medium swing");
    /* F sharp minor on the page of an alto is A minor in sound. */
    solo_concert_key(solo, &fifths, &mode);
    ck_assert_str_eq(solo_key_text(key, fifths, mode), "A minor");
    solo_free(solo);
}
END_TEST

/* Who plays, by creators and part name. */
static const struct {
    const char *creators, *part, *performer, *instrument;
} players[] = {
    { "<creator type=\"performer\">Ada Quill</creator>", "Tenor Sax",
      "Ada Quill", "Tenor Sax" },
    { "<creator type=\"Artist\">Ada Quill</creator>", "Bo Tarn",
      "Ada Quill", "Bo Tarn" },
    { "<creator type=\"improvisation\">Ada Quill</creator>", "Tenor Sax",
      "Ada Quill", "Tenor Sax" },
    { "<creator type=\"arranger\">Ada Quill</creator>", "Tenor Sax", "",
      "Tenor Sax" },
    { "", "Bo Tarn", "Bo Tarn", "" },
    { "", "Alto Saxophone", "", "Alto Saxophone" },
    { "", "Solo Part", "", "Solo Part" },
    { "", "Melody", "", "Melody" },
    { "", "B. Tarn (tenor)", "", "B. Tarn (tenor)" },
    { "", "Instrument 2", "", "Instrument 2" },
};

START_TEST(the_player_is_named)
{
    char xml[1000];
    struct fault why = { 0 };
    struct solo *solo;

    snprintf(xml, sizeof xml,
             "<score-partwise><identification>%s</identification><part-list>"
             "<score-part id=\"P1\"><part-name>%s</part-name></score-part>"
             "</part-list><part id=\"P1\">" MEASURE(1, NOTE(C, 4, 1))
             "</part></score-partwise>", players[_i].creators,
             players[_i].part);
    solo = score_read(xml, 0, NULL, &why);
    ck_assert_ptr_nonnull(solo);
    ck_assert_str_eq(solo->performer, players[_i].performer);
    ck_assert_str_eq(solo->instrument, players[_i].instrument);
    solo_free(solo);
}
END_TEST

/* --- chords ----------------------------------------------------------- */

/* "bar+onset symbol" of each chord, and the chord index of each note. */
static void chords_text(char *out, size_t size, const struct solo *solo)
{
    size_t used = 0;

    out[0] = '\0';
    for (size_t i = 0; i < solo->chord_count; i++) {
        const struct chord_event *e = &solo->chords[i];
        char onset[RATIONAL_TEXT_SIZE];

        rational_text(onset, solo_quarters(solo, e->takes_effect));
        used += (size_t)snprintf(out + used, size - used, "%s%d+%s %s",
                                 i ? ", " : "", e->bar, onset,
                                 e->chord.symbol);
    }
    used += (size_t)snprintf(out + used, size - used, " |");
    for (size_t i = 0; i < solo->note_count; i++)
        used += (size_t)snprintf(out + used, size - used, " %d",
                                 solo->notes[i].chord);
    ck_assert(used < size);
}

static const struct {
    const char *what, *measures, *chords;
} chord_cases[] = {
    { "a chord holds until the next, across bar lines",
      MEASURE(1, ATTRIBUTES(1, 4, 4) NOTE(C, 4, 2) CHORD(D, minor-seventh)
                     NOTE(D, 4, 2))
          MEASURE(2, NOTE(E, 4, 2) CHORD(G, dominant) NOTE(F, 4, 2)),
      "0+2/1 Dm7, 1+2/1 G7 | -1 0 0 1" },
    { "an offset moves a chord",
      MEASURE(1, ATTRIBUTES(2, 4, 4)
                     "<harmony><root><root-step>C</root-step></root><kind>"
                     "major-seventh</kind><offset>2</offset></harmony>"
                 NOTE(C, 4, 2) NOTE(D, 4, 2)),
      "0+1/1 Cmaj7 | -1 0" },
    { "chords stacked over one note share it",
      MEASURE(1, ATTRIBUTES(1, 4, 4) CHORD(D, minor-seventh)
                     CHORD(G, dominant) NOTE(C, 4, 2) NOTE(D, 4, 2)),
      "0+0/1 Dm7, 0+1/1 G7 | 0 1" },
    { "no chord", MEASURE(1, ATTRIBUTES(1, 4, 4) CHORD(C, dominant)
                                 NOTE(C, 4, 2)
                             "<harmony><root><root-step text=\"\">C"
                             "</root-step></root><kind text=\"N.C.\">none"
                             "</kind></harmony>" NOTE(D, 4, 2)),
      "0+0/1 C7, 0+2/1 N.C. | 0 1" },
    { "chords move with a transposing part",
      MEASURE(1, "<attributes><divisions>1</divisions><transpose><diatonic>-1"
                 "</diatonic><chromatic>-2</chromatic></transpose>"
                 "</attributes>" CHORD(E, minor-seventh) NOTE(C, 4, 4)),
      "0+0/1 Dm7 | 0" },
    { "degrees and bass",
      MEASURE(1, "<harmony><root><root-step>B</root-step><root-alter>-1"
                 "</root-alter></root><kind>dominant</kind><bass><bass-step>D"
                 "</bass-step></bass><degree><degree-value>9</degree-value>"
                 "<degree-alter>-1</degree-alter><degree-type>add"
                 "</degree-type></degree></harmony>" NOTE(C, 4, 4)),
      "0+0/1 Bb7b9/D | 0" },
    { "a numeral counts in its key",
      MEASURE(1, "<attributes><key><fifths>-2</fifths></key></attributes>"
                 "<harmony><numeral><numeral-root>2</numeral-root></numeral>"
                 "<kind>minor-seventh</kind></harmony>" NOTE(C, 4, 1)
                 "<harmony><numeral><numeral-root>6</numeral-root>"
                 "<numeral-key><numeral-fifths>0</numeral-fifths>"
                 "<numeral-mode>minor</numeral-mode></numeral-key></numeral>"
                 "<kind>major</kind></harmony>" NOTE(C, 4, 1)),
      "0+0/1 Cm7, 0+1/1 F | 0 1" },
    { "a function counts in the key",
      MEASURE(1, "<attributes><key><fifths>1</fifths></key></attributes>"
                 "<harmony><function>V</function><kind>dominant</kind>"
                 "</harmony>" NOTE(C, 4, 1)
                 "<harmony><function>bVII</function><kind>dominant</kind>"
                 "</harmony>" NOTE(C, 4, 1)),
      "0+0/1 D7, 0+1/1 F7 | 0 1" },
    { "several chords in one element",
      MEASURE(1, "<harmony><root><root-step>D</root-step></root><kind>"
                 "minor-seventh</kind><root><root-step>G</root-step></root>"
                 "<kind>dominant</kind></harmony>" NOTE(C, 4, 2)
                 NOTE(C, 4, 2)),
      "0+0/1 Dm7, 0+1/1 G7 | 0 1" },
};

START_TEST(chords_are_read)
{
    struct solo *solo = score_measures(chord_cases[_i].measures);
    char got[1000];

    chords_text(got, sizeof got, solo);
    ck_assert_msg(strcmp(got, chord_cases[_i].chords) == 0,
                  "%s: got %s, expected %s", chord_cases[_i].what, got,
                  chord_cases[_i].chords);
    solo_free(solo);
}
END_TEST

/* An alteration in semitones, and in cents; those that are none are taken as
 * none and told of.  The limit of an octave is this program's own. */
static const struct {
    const char *text;
    int cents;
    bool is_one;
} alterations[] = {
    { "0", 0, true },       { "1", 100, true },      { "-1", -100, true },
    { "2", 200, true },     { "-2", -200, true },    { "3", 300, true },
    { "-3", -300, true },   { "0.5", 50, true },     { "-1.25", -125, true },
    { "12", 1200, true },   { "-12", -1200, true },  { "12.01", 0, false },
    { "-13", 0, false },    { "sharp", 0, false },   { "", 0, true },
    { "0.999", 99, true },
};

START_TEST(alterations_are_read)
{
    char measures[400];
    struct solo *solo;

    snprintf(measures, sizeof measures,
             MEASURE(1, ATTRIBUTES(1, 4, 4) CHORD(C, major)
                            "<note><pitch><step>C</step><alter>%s</alter>"
                            "<octave>4</octave></pitch><duration>4</duration>"
                            "</note>"),
             alterations[_i].text);
    solo = score_measures(measures);
    ck_assert_int_eq(solo->notes[0].written.alter, alterations[_i].cents);
    ck_assert_uint_eq(solo->warning_count, alterations[_i].is_one ? 0 : 1);
    solo_free(solo);
}
END_TEST

/* --- documents -------------------------------------------------------- */

static const char two_parts[] =
    "<score-partwise><part-list><score-part id=\"P1\"><part-name>Drums"
    "</part-name></score-part><score-part id=\"P2\"><part-name>Guitar"
    "</part-name></score-part><score-part id=\"P3\"><part-name>Horn"
    "</part-name></score-part></part-list>"
    "<part id=\"P1\"><measure number=\"1\">" CHORD(F, major)
        "<note><unpitched/><duration>4</duration></note></measure></part>"
    "<part id=\"P2\"><measure number=\"1\">" NOTE(C, 4, 4)
    "</measure></part>"
    "<part id=\"P3\"><measure number=\"1\">" NOTE(G, 5, 4)
    "</measure></part></score-partwise>";

START_TEST(the_part_is_chosen)
{
    struct fault why = { 0 };
    struct solo *solo = score_read(two_parts, 0, NULL, &why);

    /* The first with a pitched note; chords come from where they stand. */
    ck_assert_str_eq(solo->instrument, "Guitar");
    ck_assert_int_eq(solo->notes[0].midi, 60);
    ck_assert_str_eq(solo->chords[0].chord.symbol, "F");
    ck_assert_int_eq(solo->notes[0].chord, 0);
    ck_assert_uint_gt(solo->warning_count, 0);
    ck_assert_str_eq(solo->warnings[solo->warning_count - 1].element,
                     "part");
    solo_free(solo);
    solo = score_read(two_parts, 0, "horn", &why);
    ck_assert_int_eq(solo->notes[0].midi, 79);
    solo_free(solo);
    solo = score_read(two_parts, 0, "P2", &why);
    ck_assert_int_eq(solo->notes[0].midi, 60);
    solo_free(solo);
    solo = score_read(two_parts, 0, "Bassoon", &why);
    ck_assert_ptr_null(solo);
    ck_assert_int_eq(why.status, ST_INPUT);
    ck_assert_ptr_nonnull(strstr(why.message, "Bassoon"));
}
END_TEST

START_TEST(timewise_is_the_same)
{
    static const char xml[] =
        "<score-timewise><part-list><score-part id=\"P1\"><part-name>A"
        "</part-name></score-part><score-part id=\"P2\"><part-name>B"
        "</part-name></score-part></part-list><measure number=\"1\">"
        "<part id=\"P1\">" ATTRIBUTES(1, 4, 4) NOTE(C, 4, 4) "</part>"
        "<part id=\"P2\">" CHORD(D, minor) NOTE(E, 4, 4) "</part></measure>"
        "<measure number=\"X1\"><part id=\"P1\">" NOTE(D, 4, 4) "</part>"
        "<part id=\"P2\">" NOTE(F, 4, 4)
        "</part></measure></score-timewise>";
    struct fault why = { 0 };
    struct solo *solo = score_read(xml, 0, NULL, &why);
    char got[200];

    score_notes_text(got, sizeof got, solo);
    ck_assert_str_eq(got, "60@0+0/1:4/1 62@1+0/1:4/1");
    ck_assert_str_eq(solo->bars[1].number, "X1");
    ck_assert_uint_eq(solo->chord_count, 1);
    solo_free(solo);
}
END_TEST

/* The same small score in several encodings: its title is "Café". */
static const char encoded[] =
    "<?xml version=\"1.0\" encoding=\"%s\"?><score-partwise><work>"
    "<work-title>Caf\xc3\xa9</work-title></work><part id=\"P1\">"
    "<measure number=\"1\">" NOTE(C, 4, 4)
    "</measure></part></score-partwise>";

static void check_title(const char *xml, size_t len)
{
    struct fault why = { 0 };
    struct solo *solo = score_read(xml, len, NULL, &why);

    ck_assert_msg(solo != NULL, "%s", why.message);
    ck_assert_str_eq(solo->title, "Caf\xc3\xa9");
    ck_assert_uint_eq(solo->note_count, 1);
    solo_free(solo);
}

START_TEST(encodings_are_read)
{
    char utf8[600], latin[600], wide[1300];
    char *accent;
    size_t n, w = 0;

    snprintf(utf8, sizeof utf8, encoded, "UTF-8");
    check_title(utf8, 0);
    /* 8-bit bytes that call themselves UTF-16 are met in the wild. */
    snprintf(utf8, sizeof utf8, encoded, "UTF-16");
    check_title(utf8, 0);
    snprintf(latin, sizeof latin, encoded, "ISO-8859-1");
    accent = strstr(latin, "\xc3\xa9");
    accent[0] = (char)0xe9;
    memmove(accent + 1, accent + 2, strlen(accent + 2) + 1);
    check_title(latin, 0);
    snprintf(latin, sizeof latin, encoded, "UTF-16");
    accent = strstr(latin, "\xc3\xa9");
    accent[0] = (char)0xe9;
    memmove(accent + 1, accent + 2, strlen(accent + 2) + 1);
    wide[w++] = (char)0xff;
    wide[w++] = (char)0xfe;
    n = strlen(latin);
    for (size_t i = 0; i < n; i++) {
        wide[w++] = latin[i];
        wide[w++] = 0;
    }
    check_title(wide, w);
}
END_TEST

static const struct {
    const char *what, *xml, *says;
} refused[] = {
    { "an empty file", "", "empty" },
    { "blanks", "  \n ", "XML" },
    { "no XML", "MThd 1234", "not an XML file" },
    { "a web page", "<html><body>hello</body></html>", "<html>" },
    { "a truncated file",
      "<score-partwise><part id=\"P1\"><measure number=\"1\"><note>",
      "cut short" },
    { "mismatched tags", "<score-partwise><part></score-partwise>", "XML" },
    { "no parts", "<score-partwise/>", "no parts" },
    { "an entity bomb",
      "<!DOCTYPE score-partwise [<!ENTITY a \"aaaaaaaaaa\"><!ENTITY b "
      "\"&a;&a;&a;&a;&a;&a;&a;&a;\"><!ENTITY c \"&b;&b;&b;&b;&b;&b;\">]>"
      "<score-partwise><work><work-title>&c;</work-title></work>"
      "</score-partwise>",
      "entities" },
    { "an external entity",
      "<!DOCTYPE score-partwise [<!ENTITY a SYSTEM \"file:///etc/passwd\">]>"
      "<score-partwise><work><work-title>&a;</work-title></work>"
      "</score-partwise>",
      "entities" },
    { "a parameter entity",
      "<!DOCTYPE score-partwise [<!ENTITY % a SYSTEM \"file:///etc/passwd\">"
      " %a;]><score-partwise/>",
      "entities" },
};

START_TEST(bad_files_are_refused)
{
    struct fault why = { 0 };
    struct solo *solo;

    if (refused[_i].xml[0])
        solo = score_read(refused[_i].xml, 0, NULL, &why);
    else {
        struct file_bytes file = { NULL, 0 };
        struct container *c = NULL;

        solo = NULL;
        if (container_open(&c, &file, &why) == ST_OK)
            why.status = musicxml_read(&solo, c, NULL, &why);
        container_close(c);
    }
    ck_assert_msg(solo == NULL, "%s is read", refused[_i].what);
    ck_assert_int_eq(why.status, ST_INPUT);
    ck_assert_msg(strstr(why.message, refused[_i].says) != NULL,
                  "%s: \"%s\" does not say %s", refused[_i].what, why.message,
                  refused[_i].says);
    ck_assert_ptr_null(strchr(why.message, '\n'));
}
END_TEST

/* What a small score with something behind or inside it is read as, where the
 * two ways in which the parser reads differ: "" as the score, else what is said
 * of it.  But for blanks, comments and instructions nothing may follow a root
 * element (XML 1.0, productions 1 and 27). */
static const struct {
    const char *inside; /* a text in its only note, COUNT times */
    size_t count;
    const char *behind;
    size_t size;
    const char *says;
} ends[] = {
    { "", 0, "\x1a", 1, "Extra content" },
    { "", 0, "\0", 1, "Extra content" },
    { "", 0, "\0\0", 2, "Extra content" },
    { "", 0, " <?a b?><!-- c -->\n", 19, "" },
    { "", 0, "<", 1, "Extra content" },
    { "<!-- c -->", 30000, "", 0, "" },
    { "          ", 30000, "", 0, "" },
    { "<!-- c -->", 1, "<!--", 4, "Comment" },
    { "<![CDATA[ ", 1, "", 0, "cut short" },
    { "<", 1, "", 0, "element name" },
    { "&", 1, "", 0, "EntityRef" },
};

START_TEST(documents_end_where_they_should)
{
    static const char head[] = "<score-partwise><part id=\"P1\"><measure>"
                               "<note><pitch><step>C</step><octave>4</octave>"
                               "</pitch><duration>1</duration>";
    struct fault why = { 0 };
    struct solo *solo;
    char *xml = NULL;
    size_t size = 0;
    FILE *out = open_memstream(&xml, &size);

    ck_assert_ptr_nonnull(out);
    fputs(head, out);
    for (size_t i = 0; i < ends[_i].count; i++)
        fputs(ends[_i].inside, out);
    fputs("</note></measure></part></score-partwise>", out);
    fwrite(ends[_i].behind, 1, ends[_i].size, out);
    ck_assert_int_eq(fclose(out), 0);
    solo = score_read(xml, size, NULL, &why);
    ck_assert_msg((solo != NULL) == (ends[_i].says[0] == '\0'),
                  "%d: %s", _i, why.message);
    ck_assert_msg(strstr(why.message, ends[_i].says) != NULL, "%d: %s", _i,
                  why.message);
    if (solo)
        ck_assert_uint_eq(solo->note_count, 1);
    solo_free(solo);
    free(xml);
}
END_TEST

/* A score cut anywhere is never taken for a whole one. */
START_TEST(scores_cut_anywhere_are_refused)
{
    char *whole = score_document(MEASURE(1, NOTE(C, 4, 4) CHORD(D, minor)));
    size_t size = strlen(whole);

    for (size_t n = 1; n < size; n++) {
        struct fault why = { 0 };

        ck_assert_ptr_null(score_read(whole, n, NULL, &why));
        ck_assert_int_eq(why.status, ST_INPUT);
        ck_assert_str_ne(why.message, "");
    }
    free(whole);
}
END_TEST

START_TEST(a_doctype_is_not_fetched)
{
    char *body = score_document(MEASURE(1, NOTE(C, 4, 4)));
    char xml[2000];
    struct fault why = { 0 };
    struct solo *solo;

    snprintf(xml, sizeof xml,
             "<!DOCTYPE score-partwise PUBLIC \"-//Recordare//DTD MusicXML "
             "4.0 Partwise//EN\" \"http://www.musicxml.org/dtds/"
             "partwise.dtd\">%s", strstr(body, "?>") + 2);
    solo = score_read(xml, 0, NULL, &why);
    ck_assert_msg(solo != NULL, "%s", why.message);
    solo_free(solo);
    free(body);
}
END_TEST

START_TEST(deep_nesting_is_refused)
{
    static char xml[200000];
    struct fault why = { 0 };
    size_t used = (size_t)snprintf(xml, sizeof xml, "<score-partwise>");

    for (int i = 0; i < 20000; i++)
        used += (size_t)snprintf(xml + used, sizeof xml - used, "<x>");
    ck_assert_ptr_null(score_read(xml, used, NULL, &why));
    ck_assert_ptr_nonnull(strstr(why.message, "nested"));
}
END_TEST

START_TEST(times_without_a_common_measure_are_rounded_and_said)
{
    static char xml[60000];
    size_t used = (size_t)snprintf(xml, sizeof xml, "<measure number=\"1\">");
    struct solo *solo;
    bool said = false;

    /* Divisions that are distinct primes. */
    for (int p = 9001; p < 9200; p += 2)
        used += (size_t)snprintf(
            xml + used, sizeof xml - used,
            "<attributes><divisions>%d</divisions></attributes>%s", p,
            NOTE(C, 4, 1));
    snprintf(xml + used, sizeof xml - used, "</measure>");
    solo = score_measures(xml);
    ck_assert_uint_eq(solo->note_count, 100);
    for (size_t i = 0; i < solo->warning_count; i++)
        said |= strstr(solo->warnings[i].message, "rounded") != NULL;
    ck_assert(said);
    solo_free(solo);
}
END_TEST

Suite *musicxml_suite(void)
{
    Suite *s = suite_create("musicxml");
    TCase *t = tcase_create("reading scores");

    tcase_add_loop_test(t, the_line_is_read, 0,
                        (int)(sizeof lines / sizeof *lines));
    tcase_add_test(t, what_is_left_out_is_said);
    tcase_add_test(t, warnings_name_part_and_bar_and_are_bounded);
    tcase_add_test(t, bars_keep_their_printed_numbers);
    tcase_add_test(t, metres_change);
    tcase_add_test(t, facts_are_read);
    tcase_add_loop_test(t, the_player_is_named, 0,
                        (int)(sizeof players / sizeof *players));
    tcase_add_loop_test(t, chords_are_read, 0,
                        (int)(sizeof chord_cases / sizeof *chord_cases));
    tcase_add_test(t, the_part_is_chosen);
    tcase_add_test(t, timewise_is_the_same);
    tcase_add_loop_test(t, alterations_are_read, 0,
                        sizeof alterations / sizeof *alterations);
    tcase_add_test(t, encodings_are_read);
    tcase_add_loop_test(t, bad_files_are_refused, 0,
                        (int)(sizeof refused / sizeof *refused));
    tcase_add_test(t, a_doctype_is_not_fetched);
    tcase_add_loop_test(t, documents_end_where_they_should, 0,
                        (int)(sizeof ends / sizeof *ends));
    tcase_add_test(t, scores_cut_anywhere_are_refused);
    tcase_add_test(t, deep_nesting_is_refused);
    tcase_add_test(t, times_without_a_common_measure_are_rounded_and_said);
    suite_add_tcase(s, t);
    return s;
}
