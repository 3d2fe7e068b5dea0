/* check_salience.c - no place scores more than the salience of its first note
 * says, and the notes of each level are worth it. */
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

/* Of the note I, which is of LEVEL for places of LEAST to MOST notes. */
static void check_note(const struct solo *solo, size_t i, int level,
                       size_t least, size_t most)
{
    int below = level == 0   ? salience_floor(SALIENCE_LEVELS)
                : level == 1 ? 1000001
                             : salience_floor(level - 1);
    int best = 0;
    bool chords = true;

    for (size_t n = least; n <= most && i + n <= solo->note_count; n++) {
        bool over_chord;
        int score = score_of(solo, i, n, &over_chord);

        ck_assert_msg(score < below, "%zu notes from %zu, level %d: %d", n, i,
                      level, score);
        best = score > best ? score : best;
        chords = chords && over_chord;
    }
    if (level > 0 && chords)
        ck_assert_msg(best >= salience_floor(level),
                      "note %zu of level %d: at most %d", i, level, best);
}

START_TEST(no_place_scores_more_than_its_first_note_says)
{
    size_t found[SALIENCE_LEVELS + 1] = { 0 }, notes = 0;

    twin_library_build();
    for (size_t at = 0; at < twin_solo_count; at++) {
        const struct solo *solo = twin_solos[at].solo;
        uint8_t *mark = malloc(2 * solo->note_count + 1);
        uint8_t *follow = mark + solo->note_count;
        struct salience salience;

        ck_assert_ptr_nonnull(mark);
        strands_mark(mark, follow, solo);
        salience_start(&salience, solo, mark, follow);
        for (size_t i = 0; i < solo->note_count; i++) {
            int levels[SALIENCE_LENGTHS];

            salience_levels(&salience, i, levels);
            for (size_t k = 0; k < SALIENCE_LENGTHS; k++) {
                ck_assert(levels[k] >= 0 && levels[k] <= SALIENCE_LEVELS);
                check_note(solo, i, levels[k], 3 + k,
                           k + 1 < SALIENCE_LENGTHS ? 3 + k : SALIENCE_NOTES);
                found[levels[k]]++;
            }
        }
        notes += solo->note_count;
        free(mark);
    }
    for (int level = 1; level <= SALIENCE_LEVELS; level++)
        ck_assert_msg(found[level] > 0, "none of level %d", level);
    ck_assert_uint_gt(found[0], SALIENCE_LENGTHS * notes / 2);
    twin_library_free();
}
END_TEST

Suite *salience_suite(void)
{
    Suite *suite = suite_create("salience");
    TCase *tests = tcase_create("salience");

    tcase_set_timeout(tests, 300);
    tcase_add_test(tests, no_place_scores_more_than_its_first_note_says);
    suite_add_tcase(suite, tests);
    return suite;
}
