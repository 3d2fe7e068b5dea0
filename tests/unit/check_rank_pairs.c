/* check_rank_pairs.c - pairs of places of which any teacher would show one
 * before the other.
 *
 * Common practice, no source.  A place is written out as rank_fixture.h says;
 * where nothing else is asked the fragment is 5 b3 2 1 over Dm7.
 */
#include <stdio.h>
#include <string.h>

#include "tests/unit/rank_fixture.h"
#include "tests/unit/suites.h"

/* The cell of the first tests, in eighths. */
#define CELL "< A4 F4 E4 D4 >"
#define FOUR_BARS "r:1 | r:1 | r:1 | r:1 | "

static const struct pair {
    const char *why;    /* the first is shown before the second */
    const char *ask;    /* what is asked */
    const char *first;  /* wins */
    const char *second; /* comes after it */
} pairs[] = {
    /* --- the chord it stands over --- */
    { "its own chord before another family", "",
      "[Dm7] " CELL, "[Dmaj7] " CELL },
    { "the chord asked before one of its class with other tones", "",
      "[Dm7] " CELL, "[Dm6] " CELL },
    { "its own chord before the V it leads to", "",
      "[Dm7] " CELL, "[G7] " CELL },
    { "ii over its V before ii over its I", "",
      "[G7] " CELL, "[Cmaj7] " CELL },
    { "ii over its V before an unrelated dominant", "",
      "[G7] " CELL, "[F#7] " CELL },
    { "ii over its V before the same root as a major chord", "",
      "[G7] " CELL, "[Gmaj7] " CELL },
    { "ii over its I before an unrelated major chord", "",
      "[Cmaj7] " CELL, "[Bmaj7] " CELL },
    { "a minor chord on another root before a far major chord", "",
      "[Fm7] " CELL, "[F#maj7] " CELL },
    { "V over its ii before V over an unrelated minor chord", "home G7",
      "[Dm7] < B4 D5 F5 G5 >", "[C#m7] < B4 D5 F5 G5 >" },
    { "V over V before V over its ii", "home G7",
      "[G7] < B4 D5 F5 G5 >", "[Dm7] < B4 D5 F5 G5 >" },
    { "a dominant cell over its dominant before the minor chord on its root",
      "home G7", "[G7] < B4 D5 F5 G5 >", "[Gm7] < B4 D5 F5 G5 >" },
    { "1 2 3 5 over its major chord before the dominant on its root",
      "home Cmaj7", "[Cmaj7] < C4 D4 E4 G4 >", "[C7] < C4 D4 E4 G4 >" },
    { "iii over its I before iii over a far major chord", "home Em7",
      "[Cmaj7] < B4 G4 F#4 E4 >", "[Dbmaj7] < B4 G4 F#4 E4 >" },
    { "vi over its I before vi over a far major chord", "home Am7",
      "[Cmaj7] < E5 C5 B4 A4 >", "[F#maj7] < E5 C5 B4 A4 >" },
    { "minor a semitone above a dominant before one a third away",
      "home Abm7", "[G7] < Eb5 Cb5 Bb4 Ab4 >", "[E7] < Eb5 Cb5 Bb4 Ab4 >" },
    { "a tritone substitute before an unrelated dominant", "home Db7",
      "[G7] < F4 Ab4 Cb5 Db5 >", "[A7] < F4 Ab4 Cb5 Db5 >" },
    { "diminished on the dominant's 3 before one that is off it",
      "home Bdim7", "[G7] < B4 D5 F5 Ab5 >", "[A7] < B4 D5 F5 Ab5 >" },
    { "minor a third above a half-diminished root before a step above it", "",
      "[Bm7b5] " CELL, "[Cm7b5] " CELL },
    { "a major triad a step below a sus before one a third below it",
      "home F", "[G7sus4] < F4 A4 C5 F5 >", "[A7sus4] < F4 A4 C5 F5 >" },
    { "V over the backdoor before V over a dominant a step above it",
      "home G7", "[Bb7] < B4 D5 F5 G5 >", "[A7] < B4 D5 F5 G5 >" },
    { "the backdoor over V before it over a dominant a step below",
      "home Bb7", "[G7] < D5 F5 Ab5 Bb5 >", "[Ab7] < D5 F5 Ab5 Bb5 >" },
    { "over some chord before over none", "",
      "[G7] " CELL, CELL },
    { "its own chord before no chord", "",
      "[Dm7] " CELL, "[N.C.] " CELL },
    { "no chord before a chord where none is asked", "home N.C.",
      "[N.C.] " CELL, "[Ebmaj7] " CELL },

    /* --- what follows --- */
    { "resolving before going on over the same chord", "",
      "[Dm7] " CELL " r:2 | [G7] D4", "[Dm7] " CELL " r:2 | D4" },
    { "reached by step before reached by leap", "home G7",
      "[G7] < B4 D5 F5 Ab5 > r:2 | [C] G5",
      "[G7] < B4 D5 F5 Ab5 > r:2 | [C] C5" },
    { "to a chord tone before past it", "home G7",
      "[G7] < B4 D5 F5 Ab5 > r:2 | [C] G5",
      "[G7] < B4 D5 F5 Ab5 > r:2 | [C] A5" },
    { "a leap to a chord tone before a step past it", "home G7",
      "[G7] < B4 D5 F5 Ab5 > r:2 | [C] E5",
      "[G7] < B4 D5 F5 Ab5 > r:2 | [C] A5" },
    { "V to I before V to a major chord a third below", "home G7",
      "[G7] < B4 D5 F5 Ab5 > r:2 | [Cmaj7] G5",
      "[G7] < B4 D5 F5 Ab5 > r:2 | [Ebmaj7] G5" },
    { "V to I before V to a chord a tritone away", "home G7",
      "[G7] < B4 D5 F5 Ab5 > r:2 | [Cmaj7] G5",
      "[G7] < B4 D5 F5 Ab5 > r:2 | [C#m7] G#5" },
    { "V to I before V and no chord after it", "home G7",
      "[G7] < B4 D5 F5 Ab5 > r:2 | [C] G5",
      "[G7] < B4 D5 F5 Ab5 > r:2 | G5" },
    { "V to I before V into a break without chords", "home G7",
      "[G7] < B4 D5 F5 Ab5 > r:2 | [C] G5",
      "[G7] < B4 D5 F5 Ab5 > r:2 | [N.C.] G5" },
    { "ii to V before ii wandering off a third above", "",
      "[Dm7] " CELL " r:2 | [G7] D4", "[Dm7] " CELL " r:2 | [F#m7] C#4" },
    { "ii to V before the same chord a semitone down", "",
      "[Dm7] " CELL " r:2 | [G7] D4", "[Dm7] " CELL " r:2 | [Dbm7] Db4" },
    { "ii to V before the same chord a step up", "",
      "[Dm7] " CELL " r:2 | [G7] D4", "[Dm7] " CELL " r:2 | [Em7] E4" },
    { "the substitute down a semitone before it a third up", "home Db7",
      "[Db7] < F4 Ab4 Cb5 Db5 > r:2 | [C] C5",
      "[Db7] < F4 Ab4 Cb5 Db5 > r:2 | [E] E5" },
    { "a chord a step up before one a third up", "",
      "[Dm7] " CELL " r:2 | [Em7] E4", "[Dm7] " CELL " r:2 | [F#m7] C#4" },
    { "a line that goes on before one that breaks off", "",
      "[Dm7] " CELL " C4", "[Dm7] " CELL },
    { "resolving at once before coming back a chord later", "home G7",
      "[G7] < B4 D5 F5 Ab5 > r:2 | [C] G5",
      "[G7] < B4 D5 F5 Ab5 > r:2 | [C] r:1 | [Fm] Ab5" },
    { "a common tone held into V before a note outside it", "",
      "[Dm7] " CELL " r:2 | [G7] D4", "[Dm7] " CELL " r:2 | [G7] Eb4" },
    { "the chord that is to follow before another", "into G7",
      "[Dm7] " CELL " r:2 | [G7] D4", "[Dm7] " CELL " r:2 | [Cmaj7] C4" },
    { "the chord that is to follow before its family on another root",
      "into G7",
      "[Dm7] " CELL " r:2 | [G7] D4", "[Dm7] " CELL " r:2 | [E7] D4" },
    { "the chord that is to follow before nothing", "into G7",
      "[Dm7] " CELL " r:2 | [G7] D4", "[Dm7] " CELL " r:2 | D4" },
    { "the family that is to follow before another", "into dominant",
      "[Dm7] " CELL " r:2 | [A7] C#4", "[Dm7] " CELL " r:2 | [Am7] C4" },
    { "an altered dominant where one is asked", "into 7alt",
      "[Dm7] " CELL " r:2 | [G7b9] D4", "[Dm7] " CELL " r:2 | [G7] D4" },
    { "a sus where one is asked", "into sus4",
      "[Dm7] " CELL " r:2 | [G7sus4] D4", "[Dm7] " CELL " r:2 | [G7] D4" },

    /* --- how its notes fit --- */
    { "chord tones before a fourth over a major chord", "home C",
      "[C] < C4 E4 G4 E4 >", "[C] < C4 F4 G4 F4 >" },
    { "chord tones on the beats before an avoid note there", "home C",
      "[C] < E4 F4 G4 F4 >", "[C] < F4 E4 F4 G4 >" },
    { "a long chord tone before a long fourth", "home C",
      "[C] < E4:2 F4:4 >", "[C] < E4:4 F4:2 >" },
    { "a flat ninth over a dominant before its major seventh", "home G7",
      "[G7] < B4 D5 F5 Ab5 >", "[G7] < B4 D5 F#5 Ab5 >" },
    { "3 5 b7 b9 before the same a semitone below", "home G7",
      "[G7] < B4 D5 F5 Ab5 >", "[G7] < Bb4 Db5 E5 G5 >" },
    { "the minor third over a minor chord before the major one", "",
      "[Dm7] " CELL, "[Dm7] < A4 F#4 E4 D4 >" },
    { "a wrong note in passing before one on the bar line", "home G7",
      "[G7] < G4 F#4 F4 D4 >", "[G7] < F#4 G4 F4 D4 >" },
    { "a wrong note in passing before a wrong note held", "home G7",
      "[G7] < F4:2 F#4:4 >", "[G7] < F4:4 F#4:2 >" },
    { "an enclosure that lands on the beat before one that lands off it",
      "home C", "[C] < F4 D#4 E4:4 >", "[C] r:8 < F4 D#4 E4:4 >" },
    { "each note over its own chord: a line that follows the change",
      "home Dm7", "[Dm7] < A4:4 F4:4 [G7] F4:4 B3:4 >",
      "[Dm7] < A4:4 F4:4 [G7] F#4:4 Bb3:4 >" },

    /* --- where it stands --- */
    { "opening a chorus before the middle of one", "",
      "{A4B4} [Dm7] " CELL, "{A4B4} [Dm7] r:1 | " CELL },
    { "opening a chorus before opening the bridge", "",
      "{A4B4} [Dm7] " CELL, "{A4B4} [Dm7] " FOUR_BARS CELL },
    { "opening the second chorus before its second bar", "",
      "{A4} [Dm7] " FOUR_BARS CELL, "{A4} [Dm7] " FOUR_BARS "r:1 | " CELL },
    { "opening the bridge before the middle of the section before it", "",
      "{A8B8} [Dm7] " FOUR_BARS FOUR_BARS CELL,
      "{A8B8} [Dm7] " FOUR_BARS CELL },
    { "the first bar of four before a phrase that starts in the second", "",
      "{A8} [Dm7] " FOUR_BARS CELL, "{A8} [Dm7] r:1 | / " CELL },
    { "the first bar of four before the bar after it", "",
      "{A8} [Dm7] " FOUR_BARS CELL, "{A8} [Dm7] " FOUR_BARS "r:1 | " CELL },
    { "starting a phrase before the middle of one", "",
      "[Dm7] / C5:1 | / " CELL, "[Dm7] / C5:1 | " CELL },
    { "opening a chorus before starting a phrase", "",
      "{A4} [Dm7] " CELL, "{A4} [Dm7] r:1 | / " CELL },
    { "held into a new chorus before stopping short of it", "",
      "{A2} [Dm7] r:1 | r:2 r:4 r:8 < A4:4 F4:8 E4 D4 >",
      "{A2} [Dm7] r:1 | r:2 r:4 r:8 < A4:8 F4:4 E4 D4 >" },
    { "on the bar line before just after it", "",
      "[Dm7] " CELL, "[Dm7] r:8 " CELL },
    { "on the beat before between two", "",
      "[Dm7] r:4 " CELL, "[Dm7] r:4. " CELL },
    { "on the bar line before on the second beat", "",
      "[Dm7] " CELL, "[Dm7] r:4 " CELL },
    { "between two beats before a sixteenth off", "home none",
      "[Dm7] r:8 < D4:16 D4:16 >", "[Dm7] r:16 < D4:16 D4:16 >" },

    /* --- where it is asked to stand --- */
    { "in the bar asked before the next", "bar 1",
      "{A8} [Dm7] " CELL, "{A8} [Dm7] r:1 | " CELL },
    { "in the bar asked before the start of the chorus", "bar 5",
      "{A8} [Dm7] " FOUR_BARS CELL, "{A8} [Dm7] " CELL },
    { "near the bar asked before far from it", "bar 5",
      "{A8} [Dm7] " FOUR_BARS "r:1 | " CELL,
      "{A8} [Dm7] " FOUR_BARS "r:1 | r:1 | r:1 | " CELL },
    { "before the bar asked is as near as after it, further is not", "bar 5",
      "{A8} [Dm7] r:1 | r:1 | r:1 | " CELL, "{A8} [Dm7] r:1 | " CELL },
    { "at the first of the bars asked before the last", "bar 5-8",
      "{A8} [Dm7] " FOUR_BARS CELL,
      "{A8} [Dm7] " FOUR_BARS "r:1 | r:1 | r:1 | " CELL },
    { "in the bar asked before a solo without a form", "bar 1",
      "{A8} [Dm7] " CELL, "[Dm7] " CELL },
    { "in the section asked before the start of the chorus", "section B",
      "{A4B4} [Dm7] " FOUR_BARS "r:1 | " CELL, "{A4B4} [Dm7] " CELL },
    { "the bar asked in the section asked before it in another",
      "bar 5; section B",
      "{A4B4} [Dm7] " FOUR_BARS CELL, "{A8} [Dm7] " FOUR_BARS CELL },
    { "on the third beat, asked, before on the bar line", "beat 3",
      "[Dm7] r:2 " CELL, "[Dm7] " CELL },
    { "on the and of two, asked, before on the bar line", "beat 2 and",
      "[Dm7] r:4. " CELL, "[Dm7] " CELL },

    /* --- its rhythm --- */
    { "the rhythm asked before another", "rhythm 8 8 8 8",
      "[Dm7] " CELL, "[Dm7] < A4:8. F4:16 E4:8. D4:16 >" },
    { "a dotted rhythm, asked, before even notes", "rhythm 8. 16 8. 16",
      "[Dm7] < A4:8. F4:16 E4:8. D4:16 >", "[Dm7] " CELL },
    { "the rhythm asked at half the speed before another",
      "rhythm 8 8 8 4",
      "[Dm7] < A4:4 F4:4 E4:4 D4:2 >", "[Dm7] < A4:2 F4:4 E4:4 D4:4 >" },
    { "a triplet, asked, before a dotted figure", "rhythm 8t 8t 8t 4",
      "[Dm7] < A4:8t F4:8t E4:8t D4:4 >",
      "[Dm7] < A4:8. F4:16 E4:8t D4:4 >" },
    { "a last note somewhat long before one far too long",
      "rhythm 8 8 8 8",
      "[Dm7] < A4 F4 E4 D4:4 >", "[Dm7] < A4 F4 E4 D4:1 >" },
    { "a long last note, asked, before a short one", "rhythm 8 8 8 2",
      "[Dm7] < A4 F4 E4 D4:2 >", "[Dm7] " CELL },
    { "short notes with rests, as long from onset to onset, before others",
      "rhythm 4 4 4 4",
      "[Dm7] < A4:8 r:8 F4:8 r:8 E4:8 r:8 D4:4 >",
      "[Dm7] < A4:4. F4:8 E4:8 r:8 D4:4 >" },
    { "even notes before a halting rhythm when none is asked", "",
      "[Dm7] " CELL, "[Dm7] < A4:4. F4:8 E4:4. D4:8 >" },

    /* --- one against the other --- */
    { "its own chord in mid-chorus before a far one at its start", "",
      "{A4} [Dm7] r:1 | " CELL, "{A4} [F#maj7] " CELL },
    { "its own chord in another rhythm before a far one in the rhythm asked",
      "rhythm 8 8 8 8", "[Dm7] < A4:4. F4:8 E4:4. D4:8 >",
      "[F#maj7] " CELL },
    { "ii to V in mid-phrase before a far chord that starts one", "",
      "[Dm7] / C5:1 | " CELL " r:2 | [G7] D4", "[Ebm7] / " CELL },
    { "opening a chorus, another rhythm, before the middle, even", "",
      "{A4} [Dm7] < A4 F4 E4 D4:2 >", "{A4} [Dm7] r:1 | r:2 " CELL },
};

enum {
    PAIRS = sizeof pairs / sizeof *pairs
};

START_TEST(the_better_place_comes_first)
{
    const struct pair *pair = &pairs[_i];
    int first = rank_written(pair->ask, pair->first, 0).score;
    int second = rank_written(pair->ask, pair->second, 0).score;

    ck_assert_msg(first > second, "%s: %d and %d\n%s\n%s", pair->why, first,
                  second, pair->first, pair->second);
}
END_TEST

START_TEST(there_are_enough_pairs)
{
    ck_assert_int_ge(PAIRS, 60);
}
END_TEST

/* The key says nothing about how good a place is. */
START_TEST(every_key_has_the_same_score)
{
    const struct pair *pair = &pairs[_i];
    int first = rank_written(pair->ask, pair->first, 0).score;
    int second = rank_written(pair->ask, pair->second, 0).score;

    for (int up = -11; up < 12; up++) {
        ck_assert_int_eq(rank_written(pair->ask, pair->first, up).score,
                         first);
        ck_assert_int_eq(rank_written(pair->ask, pair->second, up).score,
                         second);
    }
}
END_TEST

static void check_sums(const char *ask, const char *text)
{
    struct rank_parts p = rank_written(ask, text, 0);
    struct written_question q;

    question_write(&q, ask, 0);
    ck_assert_int_eq(10 * p.harmony.total, 5 * p.harmony.relation +
                                               2 * p.harmony.follows +
                                               3 * p.harmony.fit);
    ck_assert_int_eq(2 * p.harmony.follows,
                     p.harmony.next + p.harmony.resolution);
    ck_assert_int_eq(10 * p.position.total,
                     7 * p.position.where + 3 * p.position.metre);
    ck_assert_int_eq(p.rhythm.total, p.rhythm.ratios);
    ck_assert_int_eq(p.score,
                     q.question.weights.harmony * p.harmony.total +
                         q.question.weights.position * p.position.total +
                         q.question.weights.rhythm * p.rhythm.total);
    ck_assert_int_ge(p.rhythm.total, 0);
    ck_assert_int_le(p.rhythm.total, 1000);
    ck_assert(p.score >= 0 && p.score <= 1000000);
}

START_TEST(parts_sum_to_the_last_digit)
{
    check_sums(pairs[_i].ask, pairs[_i].first);
    check_sums(pairs[_i].ask, pairs[_i].second);
}
END_TEST

/* Two places, and the weights that turn their order round. */
static const struct turn {
    const char *why, *ask, *weights, *first, *second;
} turns[] = {
    { "place before chord", "", "harmony=0,position=1,rhythm=0",
      "{A4} [Dm7] r:1 | " CELL, "{A4} [F#maj7] " CELL },
    { "place before chord, less plainly", "",
      "harmony=0.2,position=0.7,rhythm=0.1",
      "{A4} [Dm7] r:1 | " CELL, "{A4} [F#maj7] " CELL },
    { "rhythm before chord", "rhythm 8 8 8 8", "harmony=0,rhythm=1",
      "[Dm7] < A4:4. F4:8 E4:4. D4:8 >", "[F#maj7] " CELL },
    { "rhythm before place", "", "harmony=0,position=0",
      "{A4} [Dm7] < A4 F4 E4 D4:2 >", "{A4} [Dm7] r:1 | r:2 " CELL },
    { "chord before place", "", "position=0,rhythm=0",
      "{A4} [G7] " CELL, "{A4} [Dm7] r:1 | r:8 " CELL },
};

START_TEST(weights_turn_the_order_round)
{
    const struct turn *turn = &turns[_i];
    char ask[200];

    ck_assert_msg(rank_written(turn->ask, turn->first, 0).score >
                      rank_written(turn->ask, turn->second, 0).score,
                  "%s: not the usual order", turn->why);
    snprintf(ask, sizeof ask, "%s; weights %s", turn->ask, turn->weights);
    ck_assert_msg(rank_written(ask, turn->first, 0).score <
                      rank_written(ask, turn->second, 0).score,
                  "%s: not turned round", turn->why);
}
END_TEST

Suite *rank_pairs_suite(void)
{
    Suite *s = suite_create("rank_pairs");
    TCase *t = tcase_create("which of two comes first");

    tcase_add_loop_test(t, the_better_place_comes_first, 0, PAIRS);
    tcase_add_test(t, there_are_enough_pairs);
    tcase_add_loop_test(t, every_key_has_the_same_score, 0, PAIRS);
    tcase_add_loop_test(t, parts_sum_to_the_last_digit, 0, PAIRS);
    tcase_add_loop_test(t, weights_turn_the_order_round, 0,
                        (int)(sizeof turns / sizeof *turns));
    suite_add_tcase(s, t);
    return s;
}
