/* check_practice.c - a cell through the keys, and accidentals in a bar.
 *
 * The orders of keys, the chords of a ii-V-I and when an accidental is printed:
 * common practice, no source.
 */
#include <stdio.h>
#include <string.h>

#include "query/accidentals.h"
#include "query/practice.h"
#include "tests/unit/suites.h"

static struct practice_cell cell_of(const char *symbol, const int *midi,
                                    size_t count)
{
    struct practice_cell cell = { .count = count };

    for (size_t i = 0; i < count; i++)
        cell.midi[i] = midi[i];
    ck_assert_int_eq(
        chord_parse(&cell.chord, symbol, strlen(symbol), false, NULL), ST_OK);
    return cell;
}

static const int fall[] = { 69, 65, 64, 62 }; /* 5 b3 2 1 of Dm7 */

/* The symbols as READER reads them, with blanks between. */
static const char *symbols(const struct practice_cell *cell,
                           enum practice_order order, bool cadence,
                           enum reader reader)
{
    static char out[1024];
    struct written_for view = reader_view(reader, 66);
    struct solo *solo;
    size_t used = 0;

    ck_assert_int_eq(practice_make(&solo, cell, order, cadence, &view, NULL),
                     ST_OK);
    for (size_t i = 0; i < solo->chord_count; i++) {
        struct chord chord = solo->chords[i].chord;

        chord_transpose(&chord, view.chromatic, view.diatonic);
        used += (size_t)snprintf(out + used, sizeof out - used, "%s%s",
                                 i > 0 ? " " : "", chord.symbol);
    }
    solo_free(solo);
    return out;
}

START_TEST(twelve_keys_in_the_order_asked)
{
    struct practice_cell cell = cell_of("Dm7", fall, 4);

    ck_assert_str_eq(
        symbols(&cell, PRACTICE_FOURTHS, false, READER_CONCERT),
        "Cm7 Fm7 Bbm7 Ebm7 Abm7 C#m7 F#m7 Bm7 Em7 Am7 Dm7 Gm7");
    ck_assert_str_eq(
        symbols(&cell, PRACTICE_CHROMATIC, false, READER_CONCERT),
        "Cm7 C#m7 Dm7 Ebm7 Em7 Fm7 F#m7 Gm7 Abm7 Am7 Bbm7 Bm7");
    ck_assert_str_eq(
        symbols(&cell, PRACTICE_WHOLE, false, READER_CONCERT),
        "Cm7 Dm7 Em7 F#m7 Abm7 Bbm7 C#m7 Ebm7 Fm7 Gm7 Am7 Bm7");
}
END_TEST

START_TEST(a_reader_sees_usual_names)
{
    struct practice_cell cell = cell_of("Dm7", fall, 4);

    ck_assert_str_eq(
        symbols(&cell, PRACTICE_FOURTHS, false, READER_BB),
        "Dm7 Gm7 Cm7 Fm7 Bbm7 Ebm7 Abm7 C#m7 F#m7 Bm7 Em7 Am7");
    ck_assert_str_eq(
        symbols(&cell, PRACTICE_FOURTHS, true, READER_EB),
        "Am7 D7 Gmaj7 Dm7 G7 Cmaj7 Gm7 C7 Fmaj7 Cm7 F7 Bbmaj7 Fm7 Bb7 Ebmaj7 "
        "Bbm7 Eb7 Abmaj7 Ebm7 Ab7 Dbmaj7 G#m7 C#7 F#maj7 C#m7 F#7 Bmaj7 F#m7 "
        "B7 Emaj7 Bm7 E7 Amaj7 Em7 A7 Dmaj7");
}
END_TEST

START_TEST(a_cadence_has_a_place_for_some_chords)
{
    static const int up[] = { 64, 67, 70, 73 };
    struct practice_cell ii = cell_of("Dm7", fall, 4);
    struct practice_cell v = cell_of("C7", up, 4);
    struct practice_cell dim = cell_of("Cdim7", up, 4);
    struct practice_cell half = cell_of("Dm7b5", fall, 4);

    ck_assert(practice_has_cadence(&ii));
    ck_assert(practice_has_cadence(&v));
    ck_assert(!practice_has_cadence(&dim));
    ck_assert_msg(strncmp(symbols(&v, PRACTICE_FOURTHS, true, READER_CONCERT),
                          "Gm7 C7 Fmaj7 Cm7 F7 Bbmaj7", 26) == 0,
                  "the dominant stands in the middle");
    ck_assert_msg(
        strncmp(symbols(&half, PRACTICE_FOURTHS, true, READER_CONCERT),
                "Cm7b5 F7b9 Bbm6", 15) == 0,
        "a half-diminished chord goes to minor");
}
END_TEST

/* In every key the same steps, on the same degrees, within the staff and a few
 * lines. */
START_TEST(the_cell_stays_what_it_is)
{
    struct practice_cell cell = cell_of("Dm7", fall, 4);

    for (int reader = 0; reader < READERS; reader++) {
        struct written_for view = reader_view((enum reader)reader, 66);
        struct solo *solo;

        ck_assert_int_eq(practice_make(&solo, &cell, PRACTICE_FOURTHS, false,
                                       &view, NULL),
                         ST_OK);
        ck_assert_uint_eq(solo->note_count, 48);
        for (size_t i = 0; i < solo->note_count; i++) {
            const struct note *note = &solo->notes[i];
            const struct chord *chord = &solo->chords[note->chord].chord;
            int written = note->midi + view.chromatic;

            ck_assert_int_eq(pitch_modulo(note->midi - chord->root_pc, 12),
                             (fall[i % 4] - 62) % 12);
            ck_assert_int_eq(pitch_midi(note->sounding), note->midi);
            ck_assert_int_le(written, reader_middle(&view) + 13);
            ck_assert_int_ge(written, reader_middle(&view) - 13);
        }
        solo_free(solo);
    }
}
END_TEST

START_TEST(an_accidental_holds_for_its_line_and_bar)
{
    static const struct {
        struct pitch pitch;
        bool tied;
        const char *needed;
    } notes[] = {
        { { 6, 4, -100 }, false, "" },        /* Bb4 is in the key of F */
        { { 6, 4, 0 }, false, "natural" },    /* B4 is not */
        { { 6, 4, 0 }, false, "" },           /* and holds */
        { { 6, 5, 0 }, false, "natural" },    /* not in another octave */
        { { 6, 4, -100 }, false, "flat" },    /* back to the key */
        { { 3, 4, 100 }, false, "sharp" },    /* F#4 */
        { { 2, 4, -100 }, true, "" },         /* tied from the bar before */
        { { 0, 4, 200 }, false, "double-sharp" },
        { { 1, 4, -50 }, false, "quarter-flat" },
    };
    struct accidentals seen;

    accidentals_start(&seen, -1);
    for (size_t i = 0; i < sizeof notes / sizeof *notes; i++)
        ck_assert_msg(strcmp(accidentals_needed(&seen, notes[i].pitch,
                                                notes[i].tied),
                             notes[i].needed) == 0,
                      "note %zu needs %s", i, notes[i].needed);
    accidentals_start(&seen, 2);
    ck_assert_str_eq(
        accidentals_needed(&seen, (struct pitch){ 3, 5, 100 }, false), "");
    ck_assert_str_eq(
        accidentals_needed(&seen, (struct pitch){ 0, 5, 0 }, false),
        "natural");
}
END_TEST

Suite *practice_suite(void)
{
    Suite *suite = suite_create("practice");
    TCase *tests = tcase_create("practice");

    tcase_add_test(tests, twelve_keys_in_the_order_asked);
    tcase_add_test(tests, a_reader_sees_usual_names);
    tcase_add_test(tests, a_cadence_has_a_place_for_some_chords);
    tcase_add_test(tests, the_cell_stays_what_it_is);
    tcase_add_test(tests, an_accidental_holds_for_its_line_and_bar);
    suite_add_tcase(suite, tests);
    return suite;
}
