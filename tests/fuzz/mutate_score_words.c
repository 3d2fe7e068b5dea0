/* mutate_score_words.c - what mutate_score() writes into a document. */
#include <string.h>

#include "tests/fuzz/mutate_score.h"

/* Numbers and no numbers, wherever a number may stand. */
static const char *const extremes[] = {
    "0",
    "-1",
    "1",
    "2",
    "3",
    "7",
    "127",
    "128",
    "255",
    "256",
    "-128",
    "1000",
    "65535",
    "65536",
    "100000",
    "16777216",
    "1e9",
    "2147483647",
    "2147483648",
    "-2147483648",
    "4294967296",
    "9223372036854775807",
    "-9223372036854775808",
    "18446744073709551616",
    "NaN",
    "inf",
    "-0",
    "0.5",
    "0.333333333",
    "1.5",
    "-0.5",
    "00000000000000000007",
    "+4",
    "4+3",
    "4/4",
    "1.7976931348623157e308",
    "",
    " ",
    "x",
    "yes",
    "no",
    "start",
    "stop",
    "P1",
    "P2",
    "&#10;",
    "&lt;",
    "\xc3\xa9",
    "\xe2\x80\xae",
};

/* What may stand in an element, a blank between two. */
static const struct {
    const char *name, *words;
} known[] = {
    { "step", "C D E F G A B H c" },
    { "alter", "-2 -1 0 1 2 0.5 -0.5 1.5 3 12 -13" },
    { "octave", "-1 0 1 4 5 9 10 11" },
    { "duration", "0 1 2 3 4 6 8 12 16 24 48 96 480 7 11 100000000" },
    { "divisions", "1 2 3 4 6 12 24 480 960 10080 7 11 13 16777215" },
    { "kind",
      "major minor augmented diminished dominant major-seventh minor-seventh "
      "diminished-seventh augmented-seventh half-diminished major-minor "
      "major-sixth minor-sixth dominant-ninth dominant-13th minor-11th "
      "suspended-second suspended-fourth Neapolitan Italian French German "
      "pedal power Tristan other none maj7 nonsense" },
    { "root-step", "C D E F G A B" },
    { "bass-step", "C D E F G A B" },
    { "root-alter", "-2 -1 0 1 2 0.5 7" },
    { "bass-alter", "-2 -1 0 1 2 0.5 7" },
    { "degree-value", "1 2 3 4 5 6 7 9 11 13 15 0 -1" },
    { "degree-alter", "-2 -1 0 1 2 4" },
    { "degree-type", "add alter subtract other" },
    { "function", "ii V I viio IV N bII" },
    { "beats", "1 2 3 4 5 6 7 9 12 3+2 2+2+3 0 -4 1000" },
    { "beat-type", "1 2 4 8 16 32 64 3 0 1024" },
    { "fifths", "-7 -4 -1 0 1 4 7 8 -14 14 15" },
    { "mode", "major minor dorian ionian none" },
    { "bar-style",
      "regular light-light light-heavy heavy-light heavy-heavy none" },
    { "voice", "1 2 3 5 v 99" },
    { "staff", "1 2 3 16 17 0" },
    { "chromatic", "-14 -9 -3 -2 0 2 3 9 200" },
    { "diatonic", "-8 -5 -1 0 1 7 100" },
    { "octave-change", "-3 -1 0 1 3 12" },
    { "offset", "-8 -4 -1 0 1 4 100000" },
    { "beat-unit", "whole half quarter eighth breve 16th 1024th" },
    { "per-minute", "0 60 120 240.5 1e9 fast" },
    { "rehearsal", "A B C A1 1 32 Intro Chorus" },
    { "words", "swing D.C. D.S. Fine Coda Chorus Bridge Solo" },
    { "actual-notes", "3 5 7 0" },
    { "normal-notes", "2 4 3 0" },
};

static const char *const pieces[] = {
    "<note><pitch><step>C</step><octave>4</octave></pitch><duration>1"
    "</duration></note>",
    "<note><pitch><step>F</step><alter>1</alter><octave>5</octave></pitch>"
    "<duration>4</duration><tie type=\"start\"/></note>",
    "<note><pitch><step>F</step><alter>1</alter><octave>5</octave></pitch>"
    "<duration>4</duration><tie type=\"stop\"/><tie type=\"start\"/></note>",
    "<note><rest/><duration>4</duration></note>",
    "<note><rest measure=\"yes\"/><duration>0</duration></note>",
    "<note><grace/><pitch><step>B</step><octave>3</octave></pitch></note>",
    "<note><chord/><pitch><step>G</step><octave>5</octave></pitch><duration>2"
    "</duration></note>",
    "<note><cue/><pitch><step>A</step><octave>4</octave></pitch><duration>2"
    "</duration><voice>2</voice></note>",
    "<note><unpitched/><duration>1</duration></note>",
    "<note><pitch><step>D</step><octave>4</octave></pitch><duration>2"
    "</duration><time-modification><actual-notes>3</actual-notes>"
    "<normal-notes>2</normal-notes></time-modification></note>",
    "<tie type=\"start\"/>",
    "<tie type=\"stop\"/>",
    "<chord/>",
    "<grace/>",
    "<cue/>",
    "<rest/>",
    "<backup><duration>4</duration></backup>",
    "<backup><duration>1000000</duration></backup>",
    "<forward><duration>4</duration></forward>",
    "<harmony><root><root-step>D</root-step></root><kind>minor-seventh</kind>"
    "</harmony>",
    "<harmony><root><root-step>G</root-step></root><kind text=\"7alt\">dominant"
    "</kind><bass><bass-step>B</bass-step></bass><degree><degree-value>9"
    "</degree-value><degree-alter>-1</degree-alter><degree-type>add"
    "</degree-type></degree><offset>-2</offset></harmony>",
    "<harmony><root><root-step>C</root-step></root><kind>none</kind></harmony>",
    "<harmony><numeral><numeral-root>5</numeral-root></numeral><kind>dominant"
    "</kind></harmony>",
    "<harmony><function>ii</function><kind>minor</kind></harmony>",
    "<attributes><divisions>7</divisions></attributes>",
    "<attributes><time><beats>5</beats><beat-type>8</beat-type></time>"
    "</attributes>",
    "<attributes><time><senza-misura/></time></attributes>",
    "<attributes><key><fifths>-5</fifths><mode>minor</mode></key>"
    "<transpose><diatonic>-1</diatonic><chromatic>-2</chromatic>"
    "<octave-change>-1</octave-change></transpose></attributes>",
    "<barline location=\"left\"><repeat direction=\"forward\"/></barline>",
    "<barline location=\"right\"><repeat direction=\"backward\" times=\"3\"/>"
    "</barline>",
    "<barline location=\"left\"><ending number=\"1,2\" type=\"start\"/>"
    "</barline>",
    "<barline location=\"right\"><ending number=\"1,2\" type=\"stop\"/>"
    "<repeat direction=\"backward\"/></barline>",
    "<barline location=\"right\"><bar-style>light-heavy</bar-style></barline>",
    "<direction><direction-type><rehearsal>B</rehearsal></direction-type>"
    "</direction>",
    "<direction><direction-type><segno/></direction-type><sound segno=\"1\"/>"
    "</direction>",
    "<direction><direction-type><coda/></direction-type><sound coda=\"1\"/>"
    "</direction>",
    "<direction><sound dalsegno=\"1\"/></direction>",
    "<direction><sound dacapo=\"yes\"/></direction>",
    "<direction><sound tocoda=\"1\" fine=\"yes\" tempo=\"1e9\"/></direction>",
    "<measure number=\"2\"><note><pitch><step>E</step><octave>4</octave>"
    "</pitch><duration>4</duration></note></measure>",
    "<measure number=\"X1\" implicit=\"yes\"/>",
    "<part id=\"P2\"><measure number=\"1\"/></part>",
    "<!-- a remark -->",
    "<?page break?>",
    "<![CDATA[4]]>",
    "&amp;",
};

#define COUNT(array) (sizeof(array) / sizeof *(array))

/* The texts that are handed out must end, so each word is kept in turn. */
static const char *any_word(const char *words, uint64_t *state)
{
    static char out[32];
    const char *at = words;
    size_t count = 1, length;

    for (const char *c = words; *c; c++)
        count += *c == ' ';
    for (size_t skip = mutate_draw(state, count); skip > 0; skip--)
        at = strchr(at, ' ') + 1;
    length = strcspn(at, " ");
    if (length >= sizeof out)
        length = sizeof out - 1;
    memcpy(out, at, length);
    out[length] = '\0';
    return out;
}

const char *mutate_word(const char *name, size_t length, uint64_t *state)
{
    if (mutate_draw(state, 3) > 0)
        for (size_t i = 0; i < COUNT(known); i++)
            if (strlen(known[i].name) == length &&
                memcmp(known[i].name, name, length) == 0)
                return any_word(known[i].words, state);
    return extremes[mutate_draw(state, COUNT(extremes))];
}

const char *mutate_piece(uint64_t *state)
{
    return pieces[mutate_draw(state, COUNT(pieces))];
}
