/* check_edits.c - a fragment found with a few notes changed.
 *
 * What is expected follows from the definition in query/edits.h.  What a
 * passing and a neighbour note is: common practice, no source.
 */
#include <check.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "query/edits.h"
#include "tests/unit/suites.h"

enum {
    LINE_MAX = 200
};

static struct edits *ready(const char *fragment, bool any_octave, int most)
{
    struct fragment f;
    struct fault why = { 0 };
    struct edits *edits;

    ck_assert_msg(fragment_parse(&f, fragment, NULL, NULL, &why) == ST_OK,
                  "'%s': %s", fragment, why.message);
    ck_assert_int_eq(edits_new(&edits, &f, any_octave, most, &why), ST_OK);
    return edits;
}

/* "C4 Eb4 G4" as MIDI. */
static size_t read_line(uint8_t midi[LINE_MAX], const char *text)
{
    size_t count = 0;

    while (*text) {
        struct pitch pitch;
        bool has_octave;
        size_t used = pitch_parse(&pitch, &has_octave, text, true);

        ck_assert_msg(used > 0 && has_octave && count < LINE_MAX, "at '%s'",
                      text);
        midi[count++] = (uint8_t)pitch_midi(pitch);
        text += used;
        text += strspn(text, " ");
    }
    return count;
}

/* "0-4:1 7-9:0": first and last note of each place, and its edits. */
static const char *told(struct edits *edits, const uint8_t *midi, size_t count,
                        edits_accept accept, void *context)
{
    static char out[1000];
    const struct edits_place *places;
    struct fault why = { 0 };
    size_t found, used = 0;

    ck_assert_int_eq(
        edits_find(edits, midi, count, accept, context, &places, &found, &why),
        ST_OK);
    out[0] = '\0';
    for (size_t i = 0; i < found; i++)
        used += (size_t)snprintf(out + used, sizeof out - used, "%s%u-%u:%d",
                                 i > 0 ? " " : "", places[i].first,
                                 places[i].last, places[i].edits);
    return out;
}

struct row {
    const char *fragment, *line;
    int most;
    const char *places;
};

static void check_rows(const struct row *rows, size_t count, bool any_octave)
{
    for (size_t i = 0; i < count; i++) {
        const struct row *row = &rows[i];
        struct edits *edits = ready(row->fragment, any_octave, row->most);
        uint8_t midi[LINE_MAX];
        size_t notes = read_line(midi, row->line);
        const char *places = told(edits, midi, notes, NULL, NULL);

        ck_assert_msg(strcmp(places, row->places) == 0,
                      "'%s' with %d edits in '%s': places '%s', not '%s'",
                      row->fragment, row->most, row->line, places, row->places);
        edits_free(edits);
    }
}

#define CHECK_ROWS(rows, any_octave)                                           \
    check_rows(rows, sizeof(rows) / sizeof *(rows), any_octave)

START_TEST(one_note_inserted_left_out_or_changed)
{
    static const struct row rows[] = {
        { "G4 E4 D4 C4", "G4 E4 D4 C4", 0, "0-3:0" },
        { "G4 E4 D4 C4", "G4 F4 E4 D4 C4", 0, "" },
        { "G4 E4 D4 C4", "G4 F4 E4 D4 C4", 1, "0-4:1" }, /* inserted */
        { "G4 E4 D4 C4", "G4 E4 D4 Db4 C4", 1, "0-4:1" },
        { "G4 E4 D4 C4", "G4 E4 C4", 0, "" },
        { "G4 E4 D4 C4", "G4 E4 C4", 1, "0-2:1" }, /* left out */
        { "G4 E4 D4 C4", "G4 Eb4 D4 C4", 0, "" },
        { "G4 E4 D4 C4", "G4 Eb4 D4 C4", 1, "0-3:1" },         /* changed */
        { "G4 E4 D4 C4", "A4 C5 B4 A4 G4 F4 B4", 1, "1-5:1" }, /* any key */
        { "5 3 2 1", "C5 Bb4 A4 G4 F4", 1, "0-4:1" },
        { "-3 -2 -2", "C5 Bb4 A4 G4 F4", 1, "0-4:1" },
    };

    CHECK_ROWS(rows, false);
}
END_TEST

START_TEST(the_ends_are_kept)
{
    static const struct row rows[] = {
        { "G4 E4 D4 C4", "Bb4 E4 D4 C4", 3, "" },
        { "G4 E4 D4 C4", "G4 E4 D4 B3", 3, "" },
        { "G4 E4 D4 C4", "E4 D4 C4", 3, "" },
        { "G4 E4 D4 C4", "G4 E4 D4", 3, "" },
        { "G4 E4 D4 C4", "B4 G4 E4 D4 C4 A3", 3, "1-4:0" },
        { "G4 C4", "G4 E4 D4 C4", 2, "0-3:2" }, /* two ends, two inserted */
        { "G4 C4", "G4 E4 D4 C4", 1, "" },
    };

    CHECK_ROWS(rows, false);
}
END_TEST

START_TEST(several_edits)
{
    static const struct row rows[] = {
        { "G4 E4 D4 C4 A3", "G4 F4 E4 C4 A3", 1, "" },
        { "G4 E4 D4 C4 A3", "G4 F4 E4 C4 A3", 2, "0-4:2" },
        { "G4 E4 D4 C4 A3", "G4 F4 E4 Eb4 D4 C4 B3 A3", 2, "" },
        { "G4 E4 D4 C4 A3", "G4 F4 E4 Eb4 D4 C4 B3 A3", 3, "0-7:3" },
        { "G4 E4 D4 C4 A3", "G4 A3", 2, "" },
        { "G4 E4 D4 C4 A3", "G4 A3", 3, "0-1:3" },
        { "G4 E4 D4 C4 A3", "G4 F4 D4 C4 B3 A3", 2, "0-5:2" },
    };

    CHECK_ROWS(rows, false);
}
END_TEST

START_TEST(best_first_and_none_shares_a_note)
{
    static const struct row rows[] = {
        /* The better one begins later. */
        { "C4 D4 E4", "C4 C4 D4 E4", 1, "1-3:0" },
        /* As good: the earlier one, then the next that is free. */
        { "C4 E4 C4", "C4 D4 C4 B3 C4", 1, "0-2:1" },
        { "C4 E4 C4", "C4 D4 C4 A3 C4 F4 C4", 1, "0-2:1 4-6:1" },
        /* As good and as early: the shorter one. */
        { "C4 E4 G4", "C4 G4 G4", 1, "0-1:1" },
        /* Without edits as well. */
        { "C4 D4 C4", "C4 D4 C4 D4 C4", 0, "0-2:0" },
        { "C4 D4", "C4 D4 E4 F#4", 0, "0-1:0 2-3:0" },
        /* One note is enough to be in the way. */
        { "G4 E4 D4 C4", "G4 E4 D4 C4 A3 G3 F3", 1, "0-3:0" },
        { "G4 E4 D4 C4", "G4 E4 D4 C4 C4 A3 G3 F3", 1, "0-3:0 4-7:0" },
        { "G4 E4 D4 C4", "G4 F4 E4 D4 C4 G4 E4 C4", 1, "0-4:1 5-7:1" },
    };

    CHECK_ROWS(rows, false);
}
END_TEST

START_TEST(wildcards_and_groups)
{
    static const struct row rows[] = {
        { "C4 ? E4", "C4 F4 E4", 0, "0-2:0" },
        { "C4 ? E4", "C4 E4", 0, "" },
        { "C4 ? E4", "C4 E4", 1, "0-1:1" }, /* a ? left out is an edit */
        { "C4 ? E4 G4", "C4 A4 F4 E4 G4", 1, "0-4:1" },
        { "? E4 D4 C4", "Bb4 E4 Eb4 D4 C4", 1, "0-4:1" },
        /* Eb for the `?`, and D left out before it. */
        { "C4 E4 D4 ?", "C4 E4 Eb4 D4 G4", 1, "0-2:1" },
        { "? E4 D4 C4 ?", "A4 E4 D4 B3", 0, "" },
        /* After a free step the rest may lie anywhere, in itself as asked. */
        { "-3 -2 ? -3 -2 -2", "G4 E4 D4 B5 G#5 F#5 E5", 0, "0-6:0" },
        { "-3 -2 ? -3 -2 -2", "G4 E4 D4 B5 A5 G#5 F#5 E5", 1, "0-7:1" },
        { "-3 -2 ? -3 -2 -2", "G4 E4 D4 B5 A5 F#5 E5", 1, "0-6:1" },
        { "-3 -2 ? -3 -2 -2", "G4 E4 D4 B5 A5 F5 E5", 1, "" },
        /* With its only companion left out the last note may be any. */
        { "+4 ? -2", "C4 E4 B4 C5 A4", 1, "0-2:1" },
    };

    CHECK_ROWS(rows, false);
}
END_TEST

START_TEST(any_octave)
{
    static const struct row strict[] = {
        { "G4 E4 D4 C4", "G4 E3 F3 D4 C5", 1, "" },
        { "? E4 D4 C4", "G4 E3 F3 D4 C5", 1, "" },
    };
    static const struct row loose[] = {
        { "G4 E4 D4 C4", "G4 E3 F3 D4 C5", 1, "0-4:1" },
        { "? E4 D4 C4", "G4 E3 F3 D4 C5", 1, "0-4:1" },
        { "G4 E4 D4 C4", "G4 E3 F3 D4 C#5", 1, "" },
        { "B3 C4 D4", "C-1 C#9 Eb2", 0, "0-2:0" },
    };

    CHECK_ROWS(strict, false);
    CHECK_ROWS(loose, true);
}
END_TEST

START_TEST(short_lines)
{
    static const struct row rows[] = {
        { "G4 E4 D4 C4", "", 3, "" },           { "G4 E4 D4 C4", "G4", 3, "" },
        { "G4 E4 D4 C4", "G4 C4", 2, "0-1:2" }, { "C4 E4 ?", "C4", 3, "" },
        { "C4 E4 ?", "C4 D4", 1, "0-1:1" },
    };

    CHECK_ROWS(rows, false);
}
END_TEST

/* The highest and the lowest notes do not meet around the end of a byte. */
START_TEST(far_leaps)
{
    static const struct row rows[] = {
        { "+127 -127", "C-1 G9 C-1", 0, "0-2:0" },
        { "+127 +127", "C-1 G9 C-1", 0, "" },
        { "+127 +127 +2", "C4 Bb3", 2, "" },
        { "+127 +127 +2", "C4 C4 C4 C4", 3, "" },
    };

    CHECK_ROWS(rows, false);
}
END_TEST

/* A place is found wherever it lies in a long line. */
START_TEST(anywhere_in_a_line)
{
    struct edits *edits = ready("G4 E4 D4 C4", false, 1);

    for (size_t at = 0; at + 5 <= 100; at++) {
        static const uint8_t there[] = { 67, 65, 64, 62, 60 };
        uint8_t midi[100];
        char wanted[40];

        memset(midi, 70, sizeof midi);
        memcpy(midi + at, there, sizeof there);
        snprintf(wanted, sizeof wanted, "%zu-%zu:1", at, at + 4);
        ck_assert_str_eq(told(edits, midi, sizeof midi, NULL, NULL), wanted);
        /* And is not when the line ends one note earlier. */
        ck_assert_str_eq(told(edits, midi, at + 4, NULL, NULL), "");
    }
    edits_free(edits);
}
END_TEST

/* A fragment of many notes no two of which are alike, nor are its steps
 * (triangular numbers modulo a power of two are all different; from memory). */
static struct fragment all_different(size_t count)
{
    struct fragment f = { .language = FRAGMENT_INTERVALS, .count = count };

    for (size_t k = 0; k < count; k++)
        f.midi[k] = 40 + (int)(k * (k + 1) / 2 % 64);
    return f;
}

/* F three semitones up; each of the MOST notes at SPOILT is changed, left out,
 * or another one is inserted before it.  Returns how many notes it is. */
static size_t spoil(uint8_t *line, const struct fragment *f, enum edit edit,
                    const size_t *spoilt, int most)
{
    size_t count = 0;

    for (size_t k = 0; k < f->count; k++) {
        bool here = false;

        for (int i = 0; i < most; i++) {
            here = here || spoilt[i] == k;
            if (spoilt[i] == k && edit == EDIT_INSERTED)
                line[count++] = 120;
        }
        if (here && edit == EDIT_CHANGED)
            line[count++] = 120;
        else if (!here || edit == EDIT_INSERTED)
            line[count++] = (uint8_t)(f->midi[k] + 3);
    }
    return count;
}

static void check_spoilt(const struct fragment *f, enum edit edit,
                         const size_t *spoilt, int most)
{
    uint8_t line[LINE_MAX];
    struct fault why = { 0 };
    struct edits *edits;
    size_t before = spoilt[0] % 40, count, whole;
    char wanted[40];

    memset(line, 20, sizeof line);
    count = spoil(line + before, f, edit, spoilt, most);
    whole = before + count + 20;
    snprintf(wanted, sizeof wanted, "%zu-%zu:%d", before, before + count - 1,
             most);
    ck_assert_int_eq(edits_new(&edits, f, false, most, &why), ST_OK);
    ck_assert_str_eq(told(edits, line, whole, NULL, NULL), wanted);
    edits_free(edits);
    ck_assert_int_eq(edits_new(&edits, f, false, most - 1, &why), ST_OK);
    ck_assert_str_eq(told(edits, line, whole, NULL, NULL), "");
    edits_free(edits);
}

/* Wherever in a long fragment the edits are, close together or not. */
START_TEST(anywhere_in_a_fragment)
{
    static const enum edit kinds[] = { EDIT_CHANGED, EDIT_INSERTED,
                                       EDIT_LEFT_OUT };

    for (int most = 1; most <= EDITS_MAX; most++)
        for (size_t notes = 8; notes <= FRAGMENT_NOTES_MAX; notes += 4) {
            struct fragment f = all_different(notes);

            for (size_t at = 1; at + 1 < notes; at++)
                for (size_t apart = 0; apart < 9; apart++)
                    for (int kind = 0; kind < 3; kind++) {
                        size_t spoilt[EDITS_MAX] = { at, at + apart,
                                                     at + 2 * apart };

                        if (spoilt[most - 1] + 1 < notes &&
                            (apart > 0 || kinds[kind] == EDIT_INSERTED))
                            check_spoilt(&f, kinds[kind], spoilt, most);
                    }
        }
}
END_TEST

static bool not_after(void *context, size_t first, size_t last)
{
    size_t refused = *(size_t *)context;

    ck_assert_uint_le(first, last);
    return first != refused;
}

START_TEST(a_refused_place_is_not_in_the_way)
{
    struct edits *edits = ready("C4 D4 E4", false, 1);
    uint8_t midi[LINE_MAX];
    size_t count = read_line(midi, "C4 C4 D4 E4");
    size_t refused = 1;

    ck_assert_str_eq(told(edits, midi, count, NULL, NULL), "1-3:0");
    ck_assert_str_eq(told(edits, midi, count, not_after, &refused), "0-3:1");
    edits_free(edits);
}
END_TEST

static bool long_enough(void *context, size_t first, size_t last)
{
    return last - first + 1 >= *(size_t *)context;
}

START_TEST(a_longer_place_follows_a_refused_shorter_one)
{
    struct edits *edits = ready("C4 E4 G4", false, 1);
    uint8_t midi[LINE_MAX];
    size_t count = read_line(midi, "C4 G4 G4"), least = 3;

    ck_assert_str_eq(told(edits, midi, count, long_enough, &least), "0-2:1");
    edits_free(edits);
}
END_TEST

START_TEST(too_many_edits_are_refused)
{
    struct fragment f;
    struct fault why = { 0 };
    struct edits *edits;

    ck_assert_int_eq(fragment_parse(&f, "5 3 1", NULL, NULL, &why), ST_OK);
    ck_assert_int_eq(edits_new(&edits, &f, false, 4, &why), ST_USAGE);
    ck_assert_ptr_null(edits);
    ck_assert_int_eq(edits_new(&edits, &f, false, -1, &why), ST_USAGE);
    edits_free(NULL);
}
END_TEST

/* --- what was done ------------------------------------------------------- */

/* "= +passing note = ~Eb4 -D4": kept, inserted, changed from, left out. */
static const char *aligned(const struct edits *edits, const uint8_t *midi,
                           size_t count)
{
    static char out[1000];
    struct edits_alignment got;
    size_t used = 0;

    out[0] = '\0';
    if (!edits_align(edits, midi, count, &got))
        return "no place";
    for (size_t i = 0; i < got.count; i++) {
        const struct edits_step *step = &got.steps[i];
        char text[PITCH_TEXT_SIZE] = "?";

        if (step->edit == EDIT_INSERTED)
            snprintf(
                text, sizeof text, "%s",
                edits_role_name(edits_role(midi[step->at - 1], midi[step->at],
                                           midi[step->at + 1])));
        else if (step->edit == EDIT_NONE)
            text[0] = '\0';
        else if (step->wanted >= 0)
            pitch_text(text, pitch_spell(step->wanted, 0));
        used += (size_t)snprintf(out + used, sizeof out - used, "%s%c%s",
                                 i > 0 ? " " : "", "=~+-"[step->edit], text);
    }
    return out;
}

START_TEST(what_was_done)
{
    static const struct {
        const char *fragment, *place, *steps;
    } rows[] = {
        { "G4 E4 D4 C4", "G4 E4 D4 C4", "= = = =" },
        { "G4 E4 D4 C4", "G4 F4 E4 D4 C4", "= +passing note = = =" },
        { "E4 E4 D4 C4", "E4 F4 E4 D4 C4", "= +neighbour note = = =" },
        /* The second E leads from F to D. */
        { "G4 E4 D4 C4", "G4 E4 F4 E4 D4 C4",
          "= = +neighbour note +passing note = =" },
        { "G4 E4 D4 C4", "G4 E4 D4 D4 C4", "= = = +repeated note =" },
        { "G4 E4 D4 C4", "G4 E4 D4 A4 C4", "= = = + =" },
        { "G4 E4 D4 C4", "G4 E4 C4", "= = -D4 =" },
        { "G4 E4 D4 C4", "G4 Eb4 D4 C4", "= ~E4 = =" },
        { "G4 E4 D4 C4", "A4 F4 E4 D4", "= ~F#4 = =" }, /* a step higher */
        { "G4 E4 D4 C4", "G4 C4", "= -E4 -D4 =" },
        { "C4 E4 D4 G4", "C4 D4 E4 G4", "= ~E4 ~D4 =" }, /* not + and - */
        { "C4 ? G4", "C4 A4 G4", "= = =" },
        { "C4 ? G4", "C4 G4", "= -? =" },
        /* The second group is a semitone higher than the first. */
        { "-3 -2 ? -3 -2 -2", "G4 E4 D4 G#4 Eb4 C#4", "= = = = -F4 = =" },
        { "? E4 D4 C4", "A4 F#4 F4 E4 D4", "= = +passing note = =" },
        { "G4 E4 D4 C4", "G4 E4 D4 B3", "no place" },
        { "G4 E4 D4 C4", "G4", "no place" },
        { "G4 E4 D4 C4", "", "no place" },
    };

    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct edits *edits = ready(rows[i].fragment, false, 2);
        uint8_t midi[LINE_MAX];
        size_t count = read_line(midi, rows[i].place);
        const char *steps = aligned(edits, midi, count);

        ck_assert_msg(strcmp(steps, rows[i].steps) == 0,
                      "'%s' in '%s': '%s', not '%s'", rows[i].fragment,
                      rows[i].place, steps, rows[i].steps);
        edits_free(edits);
    }
}
END_TEST

START_TEST(what_was_wanted_with_any_octave)
{
    struct edits *edits = ready("G4 E4 D4 C4", true, 1);
    static const uint8_t midi[] = { 56, 77, 49 }; /* Ab3 F5 Db3 */
    struct edits_alignment got;

    ck_assert(edits_align(edits, midi, sizeof midi, &got));
    ck_assert_int_eq(got.edits, 1);
    ck_assert_uint_eq(got.count, 4);
    ck_assert_int_eq(got.steps[0].wanted, 8); /* Ab */
    ck_assert_int_eq(got.steps[2].edit, EDIT_LEFT_OUT);
    ck_assert_int_eq(got.steps[2].note, 2);
    ck_assert_int_eq(got.steps[2].at, -1);
    ck_assert_int_eq(got.steps[2].wanted, 3); /* Eb */
    ck_assert_int_eq(got.steps[3].at, 2);
    edits_free(edits);
}
END_TEST

START_TEST(passing_and_neighbour_notes)
{
    static const struct {
        int before, note, after;
        enum edits_role role;
    } rows[] = {
        { 60, 62, 64, EDITS_PASSING },   { 64, 62, 60, EDITS_PASSING },
        { 60, 61, 62, EDITS_PASSING },   { 62, 61, 59, EDITS_PASSING },
        { 60, 62, 60, EDITS_NEIGHBOUR }, { 60, 59, 60, EDITS_NEIGHBOUR },
        { 60, 62, 61, EDITS_OTHER },     { 60, 63, 64, EDITS_OTHER },
        { 60, 61, 64, EDITS_OTHER },     { 60, 64, 60, EDITS_OTHER },
        { 60, 60, 62, EDITS_REPEATED },  { 60, 62, 62, EDITS_REPEATED },
        { 60, 72, 72, EDITS_REPEATED },  { 60, 74, 60, EDITS_OTHER },
    };

    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        ck_assert_msg(edits_role(rows[i].before, rows[i].note, rows[i].after) ==
                          rows[i].role,
                      "%d between %d and %d", rows[i].note, rows[i].before,
                      rows[i].after);
}
END_TEST

Suite *edits_suite(void)
{
    Suite *suite = suite_create("edits");
    TCase *tests = tcase_create("edits");

    tcase_add_test(tests, one_note_inserted_left_out_or_changed);
    tcase_add_test(tests, the_ends_are_kept);
    tcase_add_test(tests, several_edits);
    tcase_add_test(tests, best_first_and_none_shares_a_note);
    tcase_add_test(tests, wildcards_and_groups);
    tcase_add_test(tests, any_octave);
    tcase_add_test(tests, short_lines);
    tcase_add_test(tests, far_leaps);
    tcase_add_test(tests, anywhere_in_a_line);
    tcase_add_test(tests, anywhere_in_a_fragment);
    tcase_add_test(tests, a_refused_place_is_not_in_the_way);
    tcase_add_test(tests, a_longer_place_follows_a_refused_shorter_one);
    tcase_add_test(tests, too_many_edits_are_refused);
    tcase_add_test(tests, what_was_done);
    tcase_add_test(tests, what_was_wanted_with_any_octave);
    tcase_add_test(tests, passing_and_neighbour_notes);
    suite_add_tcase(suite, tests);
    return suite;
}
