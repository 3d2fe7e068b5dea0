/* check_salience.c - the salient places are all that score so much, with what
 * they score and what they stand over. */
#include <check.h>
#include <stdlib.h>

#include "query/rank.h"
#include "schema/salience.h"
#include "schema/strand.h"
#include "tests/unit/suites.h"
#include "tests/unit/twin.h"

/* The score of the COUNT notes from FIRST, when nothing is asked. */
static int score_of(const struct solo *solo, size_t first, size_t count,
                    bool *over_chord)
{
    const struct rank_question question = { .weights = RANK_WEIGHTS_DEFAULT };
    struct rank_place place = { solo, first, first + count - 1,
                                solo_window_chord(solo, first, count) };
    struct rank_parts parts;

    rank_score(&parts, &question, &place);
    *over_chord = parts.harmony.relation > 0;
    return parts.score;
}

/* Does PLACE tell the chord under the COUNT notes from FIRST? */
static void check_chord(const struct solo *solo, size_t first, size_t count,
                        const struct salient *place)
{
    int32_t index = solo_window_chord(solo, first, count);
    const struct chord *chord = index >= 0 ? &solo->chords[index].chord : NULL;

    if (!chord || chord->class == CHORD_NONE || !chord->has_root) {
        ck_assert_uint_eq(place->chord, SALIENCE_NO_CHORD);
        return;
    }
    ck_assert_uint_eq(place->chord,
                      salience_chord((int)chord->class,
                                     solo->notes[first].midi - chord->root_pc));
    ck_assert_uint_eq(place->tones, salience_tones(chord->tones));
}

/* The COUNT notes from FIRST: are they AT, the next of the salient places?
 * Over no chord a place may score less than is told. */
static bool check_place(const struct solo *solo, size_t first, size_t count,
                        const struct salient *at)
{
    const struct note *notes = &solo->notes[first];
    int list = salience_list((int)count, notes[1].midi - notes[0].midi,
                             notes[2].midi - notes[1].midi);
    bool over_chord,
        there = at && at->first == 1000 + first && at->list == list;
    int score = score_of(solo, first, count, &over_chord);
    int told = there ? salience_score(at) : 0;

    if (!there) {
        ck_assert_msg(score < 1000 * SALIENCE_FLOOR, "%zu notes from %zu: %d",
                      count, first, score);
        return false;
    }
    ck_assert_msg(over_chord ? told == score : told > score,
                  "%zu notes from %zu: %d, and %d are told", count, first,
                  score, told);
    check_chord(solo, first, count, at);
    return true;
}

static size_t check_solo(const struct solo *solo)
{
    uint8_t *mark = malloc(2 * solo->note_count + 1);
    uint8_t *follow = mark + solo->note_count;
    struct salients all = { 0 };
    size_t next = 0;

    ck_assert_ptr_nonnull(mark);
    strands_mark(mark, follow, solo);
    ck_assert_int_eq(salience_find(&all, solo, mark, follow, 1000, NULL),
                     ST_OK);
    for (size_t i = 0; i < solo->note_count; i++)
        for (size_t n = SALIENCE_LEAST;
             n <= SALIENCE_MOST && i + n <= solo->note_count; n++)
            next += check_place(solo, i, n,
                                next < all.count ? &all.items[next] : NULL);
    ck_assert_uint_eq(next, all.count);
    free(all.items);
    free(mark);
    return next;
}

START_TEST(all_places_that_score_much_are_salient)
{
    size_t found = 0, notes = 0;

    twin_library_build();
    for (size_t at = 0; at < twin_solo_count; at++) {
        found += check_solo(twin_solos[at].solo);
        notes += twin_solos[at].solo->note_count;
    }
    ck_assert_uint_gt(found, notes / 10);
    ck_assert_uint_lt(found, 5 * notes);
    twin_library_free();
}
END_TEST

START_TEST(lists_tell_lengths_apart)
{
    ck_assert_int_eq(salience_list(SALIENCE_LEAST, 0, 0), 0);
    for (int first = -127; first <= 127; first++)
        for (int second = -127; second <= 127; second++)
            for (int notes = SALIENCE_LEAST; notes <= SALIENCE_MOST; notes++) {
                int list = salience_list(notes, first, second);

                if (list < 0 || list >= SALIENCE_LISTS ||
                    list / SALIENCE_BEGINNINGS != notes - SALIENCE_LEAST)
                    ck_abort_msg("%d notes, %d %d: %d", notes, first, second,
                                 list);
            }
}
END_TEST

Suite *salience_suite(void)
{
    Suite *suite = suite_create("salience");
    TCase *tests = tcase_create("salience");

    tcase_set_timeout(tests, 300);
    tcase_add_test(tests, all_places_that_score_much_are_salient);
    tcase_add_test(tests, lists_tell_lengths_apart);
    suite_add_tcase(suite, tests);
    return suite;
}
