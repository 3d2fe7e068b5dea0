/* check_choose.c - good places that are not alike, from easy to hard.
 *
 * The rule for choosing: Carbonell and Goldstein, SIGIR 1998 (see
 * query/choose.h).  What makes a passage hard: common practice, no source.
 */
#include <stdint.h>
#include <string.h>

#include "query/choose.h"
#include "query/grade.h"
#include "tests/unit/find_fixture.h"
#include "tests/unit/suites.h"

static uint32_t state = 7;

static int chance_of(int n)
{
    state = state * 1664525 + 1013904223;
    return (int)(state >> 8) % n;
}

static void draw(struct choice *items, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        items[i].relevance = chance_of(CHOOSE_FULL + 1);
        for (int t = 0; t < CHOOSE_TRAITS; t++)
            items[i].traits[t] = chance_of(5) - 1;
    }
}

/* The definition, word for word: at every step, over all that is left. */
static void choose_plainly(size_t *taken, size_t size,
                           const struct choice *items, size_t count)
{
    for (size_t n = 0; n < size; n++) {
        int64_t best_value = INT64_MIN;

        for (size_t i = 0; i < count; i++) {
            int64_t value, most = 0;
            bool gone = false;

            for (size_t k = 0; k < n; k++) {
                int like = choice_likeness(&items[i], &items[taken[k]]);

                gone = gone || taken[k] == i;
                most = like > most ? like : most;
            }
            value = (int64_t)items[i].relevance - most;
            if (!gone && value > best_value) {
                best_value = value;
                taken[n] = i;
            }
        }
    }
}

START_TEST(the_choice_is_the_rule)
{
    for (int round = 0; round < 1000; round++) {
        struct choice items[30];
        size_t taken[30], plain[30];
        size_t count = 1 + (size_t)chance_of(30);
        size_t size = 1 + (size_t)chance_of((int)count);

        draw(items, count);
        ck_assert_uint_eq(choose(taken, size, items, count), size);
        choose_plainly(plain, size, items, count);
        ck_assert_int_eq(memcmp(taken, plain, size * sizeof *taken), 0);
    }
}
END_TEST

START_TEST(likeness_is_the_share_of_what_is_equal)
{
    struct choice a = { 0, { 1, 2, 3, 4, 5, 6 } };
    struct choice b = a, none = { 0, { -1, -1, -1, -1, -1, -1 } };

    ck_assert_int_eq(choice_likeness(&a, &b), CHOOSE_FULL);
    b.traits[CHOOSE_KEY] = 9;
    ck_assert_int_eq(choice_likeness(&a, &b), CHOOSE_FULL / 100 * 80);
    /* What is not known is like nothing, not even itself. */
    ck_assert_int_eq(choice_likeness(&none, &none), 0);
}
END_TEST

START_TEST(fewer_than_asked_are_all_taken)
{
    struct choice items[2];
    size_t taken[5];

    draw(items, 2);
    ck_assert_uint_eq(choose(taken, 5, items, 2), 2);
    ck_assert_uint_eq(choose(taken, 5, items, 0), 0);
}
END_TEST

/* --- grades --------------------------------------------------------------- */

static struct grade grade_of(const char *text, int32_t tempo)
{
    struct solo *solo = fixture_solo("Ada", text);
    struct grade grade;

    solo->tempo = tempo;
    for (size_t i = 0; i < solo->note_count; i++)
        solo->notes[i].written = solo->notes[i].sounding;
    grade_passage(&grade, solo, 0, solo->note_count - 1);
    solo_free(solo);
    return grade;
}

/* Of each pair any teacher would give the first before the second. */
START_TEST(what_is_harder_has_the_higher_score)
{
    static const struct {
        const char *why, *easy, *hard;
        int32_t easy_tempo, hard_tempo;
    } pairs[] = {
        { "faster", "C4 D4 E4 F4", "C4 D4 E4 F4", 10000, 24000 },
        { "more notes", "C4:4 D4:4 E4:4 F4:4", "C4:16 D4:16 E4:16 F4:16",
          12000, 12000 },
        { "wider", "C4 E4 G4 E4 C4 D4 E4 F4", "C4 E4 G4 B4 D5 F5 A5 C6",
          12000, 12000 },
        { "leaps", "C4 D4 E4 F4 G4", "C4 G4 C4 G4 C4", 12000, 12000 },
        { "outside the key", "C4 D4 E4 F4", "C4 Db4 Eb4 Gb4", 12000, 12000 },
        { "held over the beat", "C4:4 D4:8 E4:8 F4:4",
          "C4:8 D4:4 E4:4 F4:8", 12000, 12000 },
    };

    for (size_t i = 0; i < sizeof pairs / sizeof *pairs; i++) {
        struct grade easy = grade_of(pairs[i].easy, pairs[i].easy_tempo);
        struct grade hard = grade_of(pairs[i].hard, pairs[i].hard_tempo);

        ck_assert_msg(easy.score < hard.score, "%s: %d, %d", pairs[i].why,
                      easy.score, hard.score);
    }
}
END_TEST

START_TEST(a_grade_says_what_it_is_made_of)
{
    struct grade grade =
        grade_of("C4:8 G4:4 Ab4:4 C5:8", 17600);
    char text[GRADE_TEXT_SIZE];

    ck_assert_str_eq(grade_text(text, &grade),
                     "grade 3: 176 a minute, range 12 semitones, 1 leap, 1 "
                     "accidental, 2 notes over the beat");
    ck_assert_int_eq(grade.parts[GRADE_TEMPO], 483);
    ck_assert_int_eq(grade.parts[GRADE_LEAPS], 333);
    ck_assert_int_eq(grade.parts[GRADE_ACCIDENTALS], 500);
    ck_assert_int_eq(grade.parts[GRADE_SYNCOPATION], 1000);
}
END_TEST

Suite *choose_suite(void)
{
    Suite *suite = suite_create("choose");
    TCase *tests = tcase_create("choose");

    tcase_add_test(tests, the_choice_is_the_rule);
    tcase_add_test(tests, likeness_is_the_share_of_what_is_equal);
    tcase_add_test(tests, fewer_than_asked_are_all_taken);
    tcase_add_test(tests, what_is_harder_has_the_higher_score);
    tcase_add_test(tests, a_grade_says_what_it_is_made_of);
    suite_add_tcase(suite, tests);
    return suite;
}
