/* check_handout.c - excerpts on paper hold what was in the solo. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "query/handout.h"
#include "tests/unit/score_text.h"
#include "tests/unit/suites.h"
#include "tests/unit/twin.h"

/* Write PASSAGE for READER as MusicXML and read it back. */
static struct solo *through_musicxml(const struct passage *passage,
                                     enum reader reader)
{
    struct excerpt excerpt = { .passage = *passage,
                               .heading = "",
                               .performer = "Ada",
                               .title = "Tin Hat",
                               .path = "tin-hat.xml",
                               .place = "bar 1",
                               .remark = "" };
    struct handout handout = {
        .title = "Test", .reader = reader, .excerpts = &excerpt, .count = 1
    };
    struct fault why = { 0 };
    char *xml = NULL;
    size_t size = 0;
    FILE *out = open_memstream(&xml, &size);
    struct solo *back;

    handout.view = handout_view(&handout);
    ck_assert_ptr_nonnull(out);
    ck_assert_int_eq(handout_musicxml(out, &handout, &why), ST_OK);
    ck_assert_int_eq(fclose(out), 0);
    back = score_read(xml, size, NULL, &why);
    ck_assert_msg(back != NULL, "%s in\n%s", why.message, xml);
    free(xml);
    return back;
}

/* Where a note ends on paper, see query/notation.h. */
static struct rational end_of(const struct solo *solo, size_t i)
{
    const struct note *note = &solo->notes[i];
    int64_t end = note->start + note->duration;

    if (note->duration <= 0)
        end = note->start + solo->ticks;
    if (i + 1 < solo->note_count && solo->notes[i + 1].start < end)
        end = solo->notes[i + 1].start;
    return solo_quarters(solo, end);
}

/* The note I of both is the same, FROM ticks later in SOLO. */
static void compare_note(const char *path, const struct solo *solo,
                         const struct solo *back, size_t i)
{
    const struct note *a = &solo->notes[i], *b = &back->notes[i];

    ck_assert_msg(a->midi == b->midi, "%s note %zu: %d is %d", path, i, a->midi,
                  b->midi);
    ck_assert_msg(rational_compare(solo_quarters(solo, a->start),
                                   solo_quarters(back, b->start)) == 0,
                  "%s note %zu starts elsewhere", path, i);
    ck_assert_msg(rational_compare(end_of(solo, i), end_of(back, i)) == 0,
                  "%s note %zu (bar %d) ends elsewhere", path, i, a->bar);
    ck_assert_msg(a->duration == 0 || (a->heard < 0) == (b->heard < 0),
                  "%s note %zu: a chord", path, i);
    /* A note without a length gets one on paper. */
    if (a->heard >= 0 && a->duration > 0)
        ck_assert_msg(chord_equal(&solo->chords[a->heard].chord,
                                  &back->chords[b->heard].chord),
                      "%s note %zu: %s is %s", path, i,
                      solo->chords[a->heard].chord.symbol,
                      back->chords[b->heard].chord.symbol);
}

START_TEST(what_is_written_is_what_was_read)
{
    twin_library_build();
    for (size_t s = 0; s < twin_solo_count; s++) {
        const struct solo *solo = twin_solos[s].solo;
        struct passage all = { .solo = solo };
        struct solo *back;

        if (solo->note_count == 0 || solo->bar_count == 0)
            continue;
        all.last_bar = (int32_t)solo->bar_count - 1;
        all.last = (uint32_t)solo->note_count - 1;
        back = through_musicxml(&all, (enum reader)_i);
        ck_assert_msg(back->note_count == solo->note_count,
                      "%s: %zu notes are %zu", twin_solos[s].path,
                      solo->note_count, back->note_count);
        for (size_t i = 0; i < solo->note_count; i++)
            compare_note(twin_solos[s].path, solo, back, i);
        solo_free(back);
    }
    twin_library_free();
}
END_TEST

/* The note of BACK that is the note INDEX of SOLO, in the passage from tick
 * START to tick END, comes at START of BACK's time and is cut at both ends. */
static void compare_cut(const char *path, const struct solo *solo, size_t index,
                        int64_t start, int64_t end, const struct solo *back,
                        size_t at)
{
    const struct note *a = &solo->notes[index], *b = &back->notes[at];
    int64_t from = a->start > start ? a->start : start;
    struct rational to = end_of(solo, index);

    if (rational_compare(to, solo_quarters(solo, end)) > 0)
        to = solo_quarters(solo, end);
    to = rational_sub(to, solo_quarters(solo, start));
    ck_assert_msg(a->midi == b->midi, "%s note %zu: %d is %d", path, index,
                  a->midi, b->midi);
    ck_assert_msg(rational_compare(solo_quarters(solo, from - start),
                                   solo_quarters(back, b->start)) == 0,
                  "%s note %zu starts elsewhere", path, index);
    ck_assert_msg(rational_compare(to, end_of(back, at)) == 0,
                  "%s note %zu ends elsewhere", path, index);
    if (a->chord >= 0 && a->start >= start)
        ck_assert_msg(b->chord >= 0 &&
                          chord_equal(&solo->chords[a->chord].chord,
                                      &back->chords[b->chord].chord),
                      "%s note %zu: another chord", path, index);
}

/* Any bars of a solo, wherever ties, tuplets, pickups and changes of key and
 * metre lie. */
static void compare_passage(const char *path, const struct solo *solo,
                            int32_t first_bar, int32_t last_bar,
                            enum reader reader)
{
    struct passage passage = { .solo = solo,
                               .first_bar = first_bar,
                               .last_bar = last_bar };
    int64_t start = solo->bars[first_bar].start;
    int64_t end = solo->bars[last_bar].start + solo->bars[last_bar].length;
    struct solo *back;
    size_t at = 0;

    while (passage.first + 1 < solo->note_count &&
           solo->notes[passage.first].start < start)
        passage.first++;
    passage.last = passage.first;
    back = through_musicxml(&passage, reader);
    for (size_t i = 0; i < solo->note_count; i++) {
        if (solo->notes[i].start >= end ||
            rational_compare(end_of(solo, i), solo_quarters(solo, start)) <= 0)
            continue;
        ck_assert_msg(at < back->note_count, "%s note %zu is missing", path, i);
        compare_cut(path, solo, i, start, end, back, at++);
    }
    ck_assert_msg(at == back->note_count, "%s: %zu notes are %zu", path, at,
                  back->note_count);
    solo_free(back);
}

START_TEST(any_passage_is_cut_out_right)
{
    twin_library_build();
    for (size_t s = 0; s < twin_solo_count; s++) {
        const struct solo *solo = twin_solos[s].solo;
        unsigned bars = (unsigned)solo->bar_count;

        for (int round = 0; solo->note_count > 0 && round < 4; round++) {
            int32_t first = (int32_t)chance(bars);
            int32_t last = first + (int32_t)chance(6);

            if (last >= (int32_t)bars)
                last = (int32_t)bars - 1;
            compare_passage(twin_solos[s].path, solo, first, last,
                            (enum reader)chance(READERS));
        }
    }
    twin_library_free();
}
END_TEST

/* Two sevenths of a quarter are no note value, in a bar without a metre. */
START_TEST(lengths_that_no_value_has_are_kept)
{
    struct solo *solo = score_measures(
        MEASURE(1, "<attributes><divisions>7</divisions></attributes>" REST(2)
                       NOTE(G, 4, 2)));
    struct passage all = { .solo = solo };
    struct solo *back = through_musicxml(&all, (enum reader)_i);

    ck_assert_uint_eq(solo->note_count, 1);
    ck_assert_uint_eq(back->note_count, 1);
    compare_note("sevenths", solo, back, 0);
    solo_free(back);
    solo_free(solo);
}
END_TEST

Suite *handout_suite(void)
{
    Suite *suite = suite_create("handout");
    TCase *tests = tcase_create("handout");

    tcase_set_timeout(tests, 120);
    tcase_add_loop_test(tests, what_is_written_is_what_was_read, 0, READERS);
    tcase_add_test(tests, any_passage_is_cut_out_right);
    tcase_add_loop_test(tests, lengths_that_no_value_has_are_kept, 0, READERS);
    suite_add_tcase(suite, tests);
    return suite;
}
