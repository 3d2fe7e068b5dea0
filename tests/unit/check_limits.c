/* check_limits.c - numbers out of all range wherever MusicXML has one, and
 * files with too much of everything: each is read or refused with one line,
 * soon, and what is read holds together.
 *
 * What a number may be: MusicXML 4.0, musicxml.xsd (positive-divisions,
 * octave 0..9, semitones, fifths, ending-number ...).
 */
#include <check.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "indexer/form.h"
#include "indexer/phrase.h"
#include "schema/gram.h"
#include "schema/strand.h"
#include "tests/unit/score_text.h"
#include "tests/unit/store_fixture.h"
#include "tests/unit/suites.h"

/* --- a score with a number in every place ------------------------------- */

/* % is the number that is tried; the other places hold what is usual. */
static const struct place {
    const char *what, *xml, *usual;
} places[] = {
    { "divisions", "<attributes><divisions>%</divisions></attributes>", "2" },
    { "fifths", "<attributes><key><fifths>%</fifths></key></attributes>",
      "-3" },
    { "beats",
      "<attributes><time><beats>%</beats><beat-type>4</beat-type></time>"
      "</attributes>",
      "4" },
    { "beat-type",
      "<attributes><time><beats>4</beats><beat-type>%</beat-type></time>"
      "</attributes>",
      "4" },
    { "diatonic",
      "<attributes><transpose><diatonic>%</diatonic><chromatic>-2</chromatic>"
      "</transpose></attributes>",
      "-1" },
    { "chromatic",
      "<attributes><transpose><chromatic>%</chromatic></transpose>"
      "</attributes>",
      "-2" },
    { "octave-change",
      "<attributes><transpose><chromatic>0</chromatic><octave-change>%"
      "</octave-change></transpose></attributes>",
      "-1" },
    { "staff of a key",
      "<attributes><key number=\"%\"><fifths>1</fifths></key></attributes>",
      "1" },
    { "alter",
      "<note><pitch><step>B</step><alter>%</alter><octave>4</octave></pitch>"
      "<duration>2</duration></note>",
      "-1" },
    { "octave",
      "<note><pitch><step>B</step><octave>%</octave></pitch>"
      "<duration>2</duration></note>",
      "4" },
    { "duration",
      "<note><pitch><step>B</step><octave>4</octave></pitch>"
      "<duration>%</duration></note>",
      "2" },
    { "duration of a rest", "<note><rest/><duration>%</duration></note>",
      "2" },
    { "backup", "<backup><duration>%</duration></backup>", "1" },
    { "forward", "<forward><duration>%</duration></forward>", "1" },
    { "voice",
      "<note><pitch><step>A</step><octave>4</octave></pitch>"
      "<duration>2</duration><voice>%</voice></note>",
      "1" },
    { "staff",
      "<note><pitch><step>A</step><octave>4</octave></pitch>"
      "<duration>2</duration><staff>%</staff></note>",
      "1" },
    { "root-alter",
      "<harmony><root><root-step>G</root-step><root-alter>%</root-alter>"
      "</root><kind>dominant</kind></harmony>",
      "-1" },
    { "bass-alter",
      "<harmony><root><root-step>G</root-step></root><kind>dominant</kind>"
      "<bass><bass-step>B</bass-step><bass-alter>%</bass-alter></bass>"
      "</harmony>",
      "-1" },
    { "degree-value",
      "<harmony><root><root-step>G</root-step></root><kind>dominant</kind>"
      "<degree><degree-value>%</degree-value><degree-alter>-1</degree-alter>"
      "<degree-type>add</degree-type></degree></harmony>",
      "9" },
    { "degree-alter",
      "<harmony><root><root-step>G</root-step></root><kind>dominant</kind>"
      "<degree><degree-value>9</degree-value><degree-alter>%</degree-alter>"
      "<degree-type>add</degree-type></degree></harmony>",
      "-1" },
    { "offset of a chord",
      "<harmony><root><root-step>G</root-step></root><kind>dominant</kind>"
      "<offset>%</offset></harmony>",
      "1" },
    { "numeral-root",
      "<harmony><numeral><numeral-root>%</numeral-root></numeral>"
      "<kind>dominant</kind></harmony>",
      "5" },
    { "numeral-alter",
      "<harmony><numeral><numeral-root>5</numeral-root><numeral-alter>%"
      "</numeral-alter></numeral><kind>dominant</kind></harmony>",
      "-1" },
    { "offset of words",
      "<direction><direction-type><words>slow</words></direction-type>"
      "<offset>%</offset></direction>",
      "1" },
    { "tempo", "<sound tempo=\"%\"/>", "120" },
    { "per-minute",
      "<direction><direction-type><metronome><beat-unit>quarter</beat-unit>"
      "<per-minute>%</per-minute></metronome></direction-type></direction>",
      "120" },
    { "times of a repeat",
      "<barline><repeat direction=\"backward\" times=\"%\"/></barline>", "2" },
    { "number of an ending",
      "<barline><ending number=\"%\" type=\"start\"/></barline>", "1" },
    { "last number of an ending",
      "<barline><ending number=\"1-%\" type=\"start\"/></barline>", "2" },
};

enum {
    PLACES = sizeof places / sizeof *places
};

static const char *const numbers[] = {
    "", "0", "-0", "-1", "1", "3", "7", "99", "1000", "-1000", "1e9", "-1e9",
    "NaN", "inf", "-inf", "Infinity", "1/0", "0x10", "1,5", "1.5", "0.5",
    "-0.5", ".", "-", "+", "+5", "--5", "0.0000000000000000001",
    "3.14159265358979323846264338327950288", "127", "128", "255", "256",
    "32767", "32768", "65536", "1000000", "16777217", "2147483647",
    "2147483648", "-2147483648", "4294967296", "9223372036854775807",
    "9223372036854775808", "-9223372036854775808", "18446744073709551616",
    "99999999999999999999999999999999999999999999999999", "1 2", "two",
    "\xd9\xa3", "1\xc2\xbd", "3+2", "3+2+2", "1000000+1000000", "1-5",
    "9223372036854775807-1", "2-2147483647", "1,2,3,99999999999",
};

/* --- what is read must hold together ------------------------------------ */

static void holds_together(const struct solo *solo)
{
    for (size_t i = 0; i < solo->bar_count; i++) {
        ck_assert_int_ge(solo->bars[i].length, 0);
        ck_assert_int_ge(solo->bars[i].start, 0);
    }
    for (size_t i = 0; i < solo->note_count; i++) {
        const struct note *n = &solo->notes[i];

        ck_assert_int_le(n->midi, 127);
        ck_assert_int_ge(n->onset, 0);
        ck_assert_int_ge(n->duration, 0);
        ck_assert_int_ge(n->bar, 0);
        ck_assert_uint_lt((size_t)n->bar, solo->bar_count);
        if (i > 0)
            ck_assert_int_ge(n->start, n[-1].start);
    }
    for (size_t i = 0; i < solo->play_count; i++)
        ck_assert_uint_lt((size_t)solo->plays[i], solo->bar_count);
    ck_assert_int_ge(solo->tempo, 0);
}

static char folder[FOLDER_SIZE];
static struct store *store;

/* All that cellar-index does with a solo, and back out of the index. */
static void goes_through_the_index(struct solo *solo)
{
    struct fault why = { 0 };
    struct solo *again;
    int64_t id;

    must(form_find(solo, &why), &why);
    must(phrase_mark(solo, &why), &why);
    must(store_begin(store, &why), &why);
    store_must_put(store, "odd.xml", solo);
    must(store_commit(store, &why), &why);
    id = store_file_id(store, "odd.xml");
    must(store_load(store, id, &again, &why), &why);
    holds_together(again);
    solo_free(again);
}

static void set_up(void)
{
    folder_make(folder);
    store = store_must_open(folder, STORE_WRITE);
}

static void tear_down(void)
{
    store_close(store);
    folder_remove(folder);
}

/* --- numbers ------------------------------------------------------------ */

/* A score whose place I holds NUMBER. */
static char *score_with(size_t i, const char *number)
{
    char *text = NULL, *document;
    size_t size = 0;
    FILE *out = open_memstream(&text, &size);

    ck_assert_ptr_nonnull(out);
    for (int bar = 0; bar < 2; bar++) {
        fprintf(out, "<measure number=\"%d\">", bar);
        for (size_t k = 0; k < PLACES; k++) {
            const char *hole = strchr(places[k].xml, '%');

            fprintf(out, "%.*s%s%s", (int)(hole - places[k].xml),
                    places[k].xml, k == i ? number : places[k].usual,
                    hole + 1);
        }
        fputs("</measure>", out);
    }
    ck_assert_int_eq(fclose(out), 0);
    document = score_document(text);
    free(text);
    return document;
}

START_TEST(numbers_out_of_range)
{
    for (size_t k = 0; k < sizeof numbers / sizeof *numbers; k++) {
        char *document = score_with((size_t)_i, numbers[k]);
        struct fault why = { 0 };
        struct solo *solo = score_read(document, 0, NULL, &why);

        ck_assert_msg(solo, "%s '%s': %s", places[_i].what, numbers[k],
                      why.message);
        holds_together(solo);
        goes_through_the_index(solo);
        free(document);
    }
}
END_TEST

/* Where a number makes no sense it is said which, and where. */
static const struct {
    const char *what, *number, *element;
} said[] = {
    { "divisions", "0", "divisions" },
    { "divisions", "-1", "divisions" },
    { "divisions", "NaN", "divisions" },
    { "fifths", "99", "fifths" },
    { "chromatic", "1e9", "chromatic" },
    { "octave-change", "99", "octave-change" },
    { "alter", "1e9", "alter" },
    { "octave", "99", "octave" },
    { "octave", "-1000", "octave" },
    { "duration", "-1", "duration" },
    { "duration", "9223372036854775808", "duration" },
    { "backup", "-1", "duration" },
    { "forward", "NaN", "duration" },
    { "staff", "0", "staff" },
    { "root-alter", "99", "root-alter" },
    { "degree-value", "99", "degree-value" },
    { "degree-alter", "99", "degree-alter" },
    { "tempo", "0", "sound" },
    { "tempo", "-1", "sound" },
    { "tempo", "NaN", "sound" },
    { "tempo", "1000000", "sound" },
    { "per-minute", "0", "metronome" },
    { "numeral-root", "99", "numeral-root" },
};

START_TEST(what_makes_no_sense_is_said)
{
    size_t place = 0;
    char *document;
    struct solo *solo;
    struct fault why = { 0 };
    bool found = false;

    while (strcmp(places[place].what, said[_i].what) != 0)
        ck_assert_uint_lt(++place, PLACES);
    document = score_with(place, said[_i].number);
    solo = score_read(document, 0, NULL, &why);
    ck_assert_msg(solo != NULL, "%s", why.message);
    for (size_t i = 0; i < solo->warning_count; i++)
        found |= strcmp(solo->warnings[i].element, said[_i].element) == 0 &&
                 strstr(solo->warnings[i].message, said[_i].number) != NULL;
    ck_assert_msg(found, "nothing is said of %s '%s'", said[_i].what,
                  said[_i].number);
    solo_free(solo);
    free(document);
}
END_TEST

/* --- too much ----------------------------------------------------------- */

/* A document with COUNT times PIECE between HEAD and TAIL. */
static char *many(const char *head, const char *piece, size_t count,
                  const char *tail)
{
    size_t len = strlen(piece);
    char *text = malloc(strlen(head) + count * len + strlen(tail) + 1), *at;

    ck_assert_ptr_nonnull(text);
    at = stpcpy(text, head);
    for (size_t i = 0; i < count; i++) {
        memcpy(at, piece, len);
        at += len;
    }
    strcpy(at, tail);
    return text;
}

#define HEAD "<score-partwise><part-list/><part id=\"P1\">"
#define TAIL "</part></score-partwise>"

static const struct {
    const char *head, *piece;
    size_t most; /* so many are read */
    const char *tail, *says;
} amounts[] = {
    { HEAD, "<measure/>", 20000, TAIL, "more than 20000 bars" },
    { HEAD "<measure>", NOTE(C, 4, 1), 100000, "</measure>" TAIL,
      "a line of more than 100000 notes" },
    /* The bar is one of the 2,000,000. */
    { HEAD "<measure><attributes>", "<time/>", 1999999,
      "</attributes></measure>" TAIL, "more than 2000000 bars, notes" },
    { HEAD "<measure>", "<a>", 61, "", "cut short" },
    { HEAD "<measure>", "<a>", 62, "", "nested too deeply" },
};

START_TEST(too_much_is_refused)
{
    struct fault why = { 0 };
    char *text;
    struct solo *solo;

    text = many(amounts[_i].head, amounts[_i].piece, amounts[_i].most,
                amounts[_i].tail);
    solo = score_read(text, 0, NULL, &why);
    if (*amounts[_i].tail)
        ck_assert_msg(solo != NULL, "%s", why.message);
    else
        ck_assert_msg(strstr(why.message, amounts[_i].says), "%s",
                      why.message);
    if (solo)
        holds_together(solo);
    solo_free(solo);
    free(text);
    if (!*amounts[_i].tail)
        return;
    text = many(amounts[_i].head, amounts[_i].piece, amounts[_i].most + 1,
                amounts[_i].tail);
    ck_assert_ptr_null(score_read(text, 0, NULL, &why));
    ck_assert_int_eq(why.status, ST_INPUT);
    ck_assert_msg(strstr(why.message, amounts[_i].says), "%s", why.message);
    free(text);
}
END_TEST

/* An element with COUNT attributes. */
static enum status read_attributes(int count, struct fault *why)
{
    char *text = NULL;
    size_t size = 0;
    FILE *out = open_memstream(&text, &size);
    struct solo *solo;

    ck_assert_ptr_nonnull(out);
    fputs("<score-partwise ", out);
    for (int i = 0; i < count; i++)
        fprintf(out, "a%d=\"\" ", i);
    fputs("><part-list/><part id=\"P1\"><measure/>" TAIL, out);
    ck_assert_int_eq(fclose(out), 0);
    solo = score_read(text, 0, NULL, why);
    free(text);
    if (!solo)
        return why->status;
    solo_free(solo);
    return ST_OK;
}

START_TEST(too_many_attributes)
{
    struct fault why = { 0 };

    ck_assert_int_eq(read_attributes(256, &why), ST_OK);
    ck_assert_int_eq(read_attributes(257, &why), ST_INPUT);
    ck_assert_ptr_nonnull(strstr(why.message, "256 attributes"));
    /* So many that comparing them with each other would never end. */
    ck_assert_int_eq(read_attributes(1000000, &why), ST_INPUT);
    ck_assert_ptr_nonnull(strstr(why.message, "longer than 256 KB"));
}
END_TEST

/* Of very long text as much is kept as is of use; the score is read. */
START_TEST(long_texts)
{
    char *text = many(HEAD "<measure><direction><direction-type><words>",
                      "word ", 2000000,
                      "</words></direction-type></direction>" NOTE(
                          C, 4, 1) "</measure>" TAIL);
    struct fault why = { 0 };
    struct solo *solo = score_read(text, 0, NULL, &why);

    ck_assert_msg(solo != NULL, "%s", why.message);
    ck_assert_uint_eq(solo->note_count, 1);
    ck_assert_uint_eq(solo->remark_count, 1);
    ck_assert_uint_le(strlen(solo->remarks[0].text), 65536);
    solo_free(solo);
    free(text);

    text = many(HEAD "<measure>",
                "<direction><direction-type><words>0123456789abcdef"
                "</words></direction-type></direction>",
                70000, NOTE(C, 4, 1) "</measure>" TAIL);
    solo = score_read(text, 0, NULL, &why);
    ck_assert_msg(solo != NULL, "%s", why.message);
    ck_assert_uint_eq(solo->note_count, 1);
    ck_assert_uint_eq(solo->remark_count, (1 << 20) / 16);
    ck_assert_str_eq(solo->warnings[0].element, "words");
    ck_assert_ptr_nonnull(strstr(solo->warnings[0].message, "1 MB"));
    solo_free(solo);
    free(text);
}
END_TEST

/* Warnings without end take no memory without end: the text of the last one
 * is one. */
START_TEST(endless_warnings)
{
    char *text = many(HEAD "<measure>", "<note><alter>x</alter></note>",
                      200000, "</measure>" TAIL);
    struct fault why = { 0 };
    struct solo *solo = score_read(text, 0, NULL, &why);

    ck_assert_msg(solo != NULL, "%s", why.message);
    ck_assert_uint_eq(solo->warning_count, 200);
    ck_assert_ptr_nonnull(
        strstr(solo->warnings[199].message, "more warnings are not listed"));
    solo_free(solo);
    free(text);
}
END_TEST

/* Repeats in repeats, brackets that never end, one bracket after another: as
 * many as there may be bars, and still soon done. */
static const char *const bars[] = {
    "<measure><barline><repeat direction=\"backward\" times=\"100\"/></barline>"
    "</measure>",
    "<measure><barline><ending number=\"1\" type=\"start\"/></barline>"
    "</measure>",
    "<measure><barline><ending number=\"1\" type=\"start\"/>"
    "<repeat direction=\"backward\"/></barline></measure>",
    "<measure><barline><ending number=\"1-32\" type=\"start\"/>"
    "<repeat direction=\"backward\" times=\"100\"/></barline></measure>",
    "<measure><sound dacapo=\"yes\" dalsegno=\"yes\" segno=\"x\" tocoda=\"x\" "
    "coda=\"x\" fine=\"yes\"/></measure>",
};

START_TEST(repeats_without_end)
{
    char *text = many(HEAD, bars[_i], 20000, TAIL);
    struct fault why = { 0 };
    struct solo *solo = score_read(text, 0, NULL, &why);

    ck_assert_msg(solo != NULL, "%s", why.message);
    holds_together(solo);
    ck_assert_uint_le(solo->play_count, 100000);
    solo_free(solo);
    free(text);
}
END_TEST

Suite *limits_suite(void)
{
    Suite *suite = suite_create("limits");
    TCase *range = tcase_create("numbers"), *much = tcase_create("amounts");

    tcase_add_checked_fixture(range, set_up, tear_down);
    tcase_set_timeout(range, 300);
    tcase_add_loop_test(range, numbers_out_of_range, 0, PLACES);
    tcase_add_loop_test(range, what_makes_no_sense_is_said, 0,
                        sizeof said / sizeof *said);
    suite_add_tcase(suite, range);
    tcase_set_timeout(much, 300);
    tcase_add_loop_test(much, too_much_is_refused, 0,
                        sizeof amounts / sizeof *amounts);
    tcase_add_test(much, too_many_attributes);
    tcase_add_test(much, long_texts);
    tcase_add_test(much, endless_warnings);
    tcase_add_loop_test(much, repeats_without_end, 0,
                        sizeof bars / sizeof *bars);
    suite_add_tcase(suite, much);
    return suite;
}
