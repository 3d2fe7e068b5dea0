/* check_rank_words.c - a score in words and numbers. */
#include <stdlib.h>
#include <string.h>

#include "tests/unit/rank_fixture.h"
#include "tests/unit/suites.h"

#define CELL "< A4 F4 E4 D4 >"

START_TEST(numbers_as_text)
{
    char out[RANK_NUMBER_SIZE];

    ck_assert_str_eq(rank_part_text(out, 912), "0.912");
    ck_assert_str_eq(rank_part_text(out, 1000), "1.000");
    ck_assert_str_eq(rank_part_text(out, 5), "0.005");
    ck_assert_str_eq(rank_score_text(out, 777350), "0.777350");
    ck_assert_str_eq(rank_score_text(out, 42), "0.000042");
    ck_assert_str_eq(rank_score_text(out, 1000000), "1.000000");
    ck_assert_str_eq(rank_weight_text(out, 550), "0.55");
    ck_assert_str_eq(rank_weight_text(out, 300), "0.30");
    ck_assert_str_eq(rank_weight_text(out, 334), "0.334");
    ck_assert_str_eq(rank_weight_text(out, 1000), "1.00");
    ck_assert_str_eq(rank_weight_text(out, 0), "0.00");
}
END_TEST

/* The reason, or with LINES the explanation, of TEXT for ASK; borrowed. */
static const char *words(const char *ask, const char *text, bool lines)
{
    static char out[RANK_EXPLAIN_SIZE];
    struct written_question question;
    struct written_place place;
    struct rank_parts parts;

    question_write(&question, ask, 0);
    place_write(&place, text, 0);
    rank_score(&parts, &question.question, &place.place);
    if (lines)
        rank_explain(out, sizeof out, &parts, &question.question, &place.place);
    else
        rank_reason(out, sizeof out, &parts, &question.question, &place.place);
    place_release(&place);
    return out;
}

#define IN_F "[F] r:1 | [Gm7] r:1 | [C7] r:1 | [F] r:1 | "

START_TEST(reasons_in_one_line)
{
    static const struct {
        const char *ask, *text, *reason;
    } table[] = {
        { "home Gm7",
          "{A4} " IN_F "[C7] < D5 Bb4 A4 G4 > r:2 | [F] A4:2 C5:2 | [F] r:1 "
          "| r:1",
          "bar 1 of chorus 2 \u00b7 over V7 in F as ii over its V \u00b7 "
          "starts on the 9th \u00b7 resolves to 3 of I" },
        { "", "[Dm7] " CELL " r:2 | [G7] G4 r:4. r:2 | [Cmaj7] r:1",
          "over ii7 in C as written \u00b7 starts on the 5th \u00b7 "
          "leaps to 1 of V7" },
        { "home none",
          "{A2B2} "
          "[F6] r:1 | r:2 r:4 r:8 < A4:4 F4:8 > r:4 [Bb] r:4 D5:2",
          "bar 3 of chorus 1, where B starts \u00b7 over I6 in F \u00b7 "
          "starts on the 3rd \u00b7 leaps to 3 of IV" },
        { "home Gm7", IN_F "[F#maj7] / < D5 Bb4 A4 G4 >",
          "starts a phrase \u00b7 over Imaj7 in Gb: minor over the major a "
          "semitone below \u00b7 starts on the b13" },
        { "home D", "[D] / D4 < D4 E4 F#4 A4 >",
          "over I in D as written \u00b7 starts on the root" },
        { "", CELL, "" },
        { "", "{A4} " CELL, "bar 1 of chorus 1" },
        { "", "{A2} [Dm7] r:1 | r:2 r:4 r:8 < A4:4 F4 >",
          "bar 1 of chorus 2 \u00b7 over i7 in Dm as written \u00b7 "
          "starts on the 5th" },
    };

    for (size_t i = 0; i < sizeof table / sizeof *table; i++)
        ck_assert_str_eq(words(table[i].ask, table[i].text, false),
                         table[i].reason);
}
END_TEST

START_TEST(explanations_show_every_number)
{
    ck_assert_str_eq(
        words("into G7; bar 3; beat 2; rhythm 8 8 8 4",
              "{A4} [Dm6] " CELL " r:2 | [G9] F4", true),
        "score 0.849450\n"
        "harmony 0.930 x 0.55: as written with other tones; then G9, as asked; "
        "resolves by leap; 3 chord tones, 1 tension\n"
        "  = relation 0.950 x 0.5 + follows 0.850 x 0.2 + fit 0.950 x 0.3\n"
        "  follows is the mean of 1.000 (chord) and 0.700 (line)\n"
        "position 0.710 x 0.30: 2 bars from the first bar asked; on another "
        "beat than asked\n"
        "  = where 0.800 x 0.7 + metre 0.500 x 0.3\n"
        "rhythm 0.833 x 0.15: note values in other proportions\n");
    ck_assert_str_eq(
        words("", "r:8 " CELL, true),
        "score 0.289000\n"
        "harmony 0.040 x 0.55: no chord; no chord follows; nothing to resolve "
        "to; no note over a chord\n"
        "  = relation 0.000 x 0.5 + follows 0.200 x 0.2 + fit 0.000 x 0.3\n"
        "  follows is the mean of 0.200 (chord) and 0.200 (line)\n"
        "position 0.390 x 0.30: at no special place; between two beats\n"
        "  = where 0.300 x 0.7 + metre 0.600 x 0.3\n"
        "rhythm 1.000 x 0.15: even notes\n");
}
END_TEST

/* Every reason has words of its own. */
START_TEST(explanations_say_why)
{
    static const struct {
        const char *ask, *text, *says;
    } table[] = {
        { "", "[Dm7] " CELL, ": as written; no chord follows" },
        { "", "[G7] " CELL, ": ii over its V; " },
        { "", "[Em7] " CELL, ": minor over the minor a whole step above; " },
        { "home none", "[Em7] " CELL, ": any chord; " },
        { "", "[Dm7] " CELL " [Db7] D4", "then Db7, down a semitone; " },
        { "", "[Dm7] " CELL " [E7] D4", "then E7, a step away; resolves by" },
        { "", "[Dm7] " CELL " [F] C#4", "then F; goes on to no chord tone; " },
        { "", "[Dm7] " CELL " [N.C.] D4", "then N.C.; " },
        { "into G7", "[Dm7] " CELL " [E7] D4", "then E7, not as asked; " },
        { "", "[Dm7] " CELL " C4", "goes on over the same chord; " },
        { "", "[C7] < B4 B4 >", "; 2 other notes\n" },
        { "", "{A4B4} " CELL, ": opens a chorus; on the bar line\n" },
        { "", "{A1B4} r:1 | r:16 " CELL, ": opens a section; off the beat\n" },
        { "", "{A4} r:4 D4 r:8 " CELL,
          ": in the first bar of four; in the middle of the bar\n" },
        { "", "r:4 / " CELL, ": starts a phrase; on a beat\n" },
        { "bar 1", "{A4} " CELL, ": in the first bar asked; " },
        { "bar 2", "{A4} " CELL, ": 1 bar from the first bar asked; " },
        { "bar 2", CELL, ": in no chorus; " },
        { "section A", "{A4} " CELL, ": in the section asked; " },
        { "section B", "{A4} " CELL, ": in another section; " },
        { "beat 1", CELL, "; on the beat asked\n" },
        { "", "< A4 F4:4 >", ": uneven notes\n" },
        { "rhythm 8 8 8 8", CELL, ": note values in the proportions asked\n" },
    };

    for (size_t i = 0; i < sizeof table / sizeof *table; i++) {
        const char *text = words(table[i].ask, table[i].text, true);

        ck_assert_msg(strstr(text, table[i].says) != NULL, "no \"%s\" in:\n%s",
                      table[i].says, text);
    }
}
END_TEST

/* Whatever the room, the text is ended and nothing is written past it. */
START_TEST(words_are_cut_to_their_room)
{
    struct written_question question;
    struct written_place place;
    struct rank_parts parts;
    char whole[RANK_EXPLAIN_SIZE];

    question_write(&question, "", 0);
    place_write(&place, "{A4} [G7] " CELL " [C] E4", 0);
    rank_score(&parts, &question.question, &place.place);
    for (size_t size = 0; size < 700; size++) {
        char *out = malloc(size + 1);

        out[size] = 'x';
        rank_explain(out, size, &parts, &question.question, &place.place);
        rank_explain(whole, sizeof whole, &parts, &question.question,
                     &place.place);
        ck_assert(size == 0 || strncmp(out, whole, strlen(out)) == 0);
        rank_reason(out, size, &parts, &question.question, &place.place);
        ck_assert(size == 0 || strlen(out) < size);
        ck_assert_int_eq(out[size], 'x');
        free(out);
    }
    place_release(&place);
}
END_TEST

Suite *rank_words_suite(void)
{
    Suite *s = suite_create("rank_words");
    TCase *t = tcase_create("words of a score");

    tcase_add_test(t, numbers_as_text);
    tcase_add_test(t, reasons_in_one_line);
    tcase_add_test(t, explanations_show_every_number);
    tcase_add_test(t, explanations_say_why);
    tcase_add_test(t, words_are_cut_to_their_room);
    suite_add_tcase(s, t);
    return s;
}
