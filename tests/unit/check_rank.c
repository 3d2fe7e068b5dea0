/* check_rank.c - the parts of a score, and weights.
 *
 * The numbers are our own choice, as query/rank.h has them; which of two
 * places comes first is in check_rank_pairs.c.
 */
#include <stdio.h>
#include <string.h>

#include "tests/unit/chord_fixture.h"
#include "tests/unit/find_fixture.h"
#include "tests/unit/rank_fixture.h"
#include "tests/unit/suites.h"

#define CELL "< A4 F4 E4 D4 >"
#define FOUR_BARS "r:1 | r:1 | r:1 | r:1 | "

/* --- single parts -------------------------------------------------------- */

static int part(const struct rank_parts *parts, const char *name)
{
    const struct {
        const char *name;
        int value;
    } all[] = {
        { "relation", parts->harmony.relation },
        { "next", parts->harmony.next },
        { "resolution", parts->harmony.resolution },
        { "follows", parts->harmony.follows },
        { "fit", parts->harmony.fit },
        { "harmony", parts->harmony.total },
        { "where", parts->position.where },
        { "metre", parts->position.metre },
        { "position", parts->position.total },
        { "rhythm", parts->rhythm.total },
        { "score", parts->score },
    };

    for (size_t i = 0; i < sizeof all / sizeof *all; i++)
        if (strcmp(all[i].name, name) == 0)
            return all[i].value;
    ck_abort_msg("no part is called %s", name);
    return -1;
}

static const struct part_case {
    const char *part;
    int value;
    const char *ask, *text;
} cases[] = {
    /* relation */
    { "relation", 1000, "", "[Dm7] " CELL },
    { "relation", 950, "", "[Dm6] " CELL },
    { "relation", 1000, "class", "[Dm6] " CELL },
    { "relation", 850, "", "[G7] " CELL },
    { "relation", 850, "class", "[G7] " CELL },
    { "relation", 800, "home G7", "[Dm7] " CELL },
    { "relation", 750, "home Abm7", "[G7] " CELL },
    { "relation", 750, "home Db7", "[G7] " CELL },
    { "relation", 750, "home Bdim7", "[G7] " CELL },
    { "relation", 700, "", "[Cmaj7] " CELL },
    { "relation", 700, "home Em7", "[Cmaj7] " CELL },
    { "relation", 700, "home Am7", "[Cmaj7] " CELL },
    { "relation", 700, "", "[Bm7b5] " CELL },
    { "relation", 700, "home F", "[G7sus4] " CELL },
    { "relation", 650, "home G7", "[Bb7] " CELL },
    { "relation", 600, "home Bb7", "[G7] " CELL },
    { "relation", 400, "", "[Em7] " CELL },
    { "relation", 200, "", "[Em7b5] " CELL },
    { "relation", 0, "", CELL },
    { "relation", 0, "", "[N.C.] " CELL },
    { "relation", 1000, "home N.C.", "[N.C.] " CELL },
    { "relation", 1000, "home N.C.", CELL },
    { "relation", 200, "home N.C.", "[Dm7] " CELL },
    { "relation", 1000, "home none", "[Em7b5] " CELL },
    { "relation", 0, "home none", CELL },
    /* the next chord */
    { "next", 1000, "", "[Dm7] " CELL " [G7] D4" },
    { "next", 800, "", "[Dm7] " CELL " [Db7] D4" },
    { "next", 600, "", "[Dm7] " CELL " [Eb7] D4" },
    { "next", 600, "", "[Dm7] " CELL " [E7] D4" },
    { "next", 600, "", "[Dm7] " CELL " [C7] D4" },
    { "next", 400, "", "[Dm7] " CELL " [D7] D4" },
    { "next", 400, "", "[Dm7] " CELL " [Ab7] D4" },
    { "next", 200, "", "[Dm7] " CELL " [N.C.] D4" },
    { "next", 200, "", "[N.C.] " CELL " [Dm7] D4" },
    { "next", 200, "", "[Dm7] " CELL " [Dm7] D4" },
    { "next", 1000, "", "[Dm7] " CELL " [Dm7] D4 [G7] D4" },
    { "next", 1000, "", "[Dm7] " CELL " r:1 [G7] r:1" },
    /* the last note decides what it follows */
    { "next", 1000, "", "[Dm7] < A4 F4 E4 [G7] D4 > [C] E4" },
    { "next", 1000, "into G7", "[Dm7] " CELL " [G13] D4" },
    { "next", 0, "into G7", "[Dm7] " CELL " [Gm7] D4" },
    { "next", 0, "into G7", "[Dm7] " CELL " [C7] D4" },
    { "next", 0, "into G7", "[Dm7] " CELL },
    { "next", 0, "into G7", CELL },
    { "next", 1000, "into 7", "[Dm7] " CELL " [C7] D4" },
    { "next", 1000, "into N.C.", "[Dm7] " CELL " [N.C.] D4" },
    { "next", 0, "into N.C.", "[Dm7] " CELL " D4" },
    /* the next note */
    { "resolution", 1000, "", "[Dm7] " CELL " [C] C4" },
    { "resolution", 1000, "", "[Dm7] " CELL " [C] E4" },
    { "resolution", 1000, "", "[Dm7] " CELL " [G7] D4" },
    { "resolution", 700, "", "[Dm7] " CELL " [G7] F4" },
    { "resolution", 300, "", "[Dm7] " CELL " [C] D4" },
    { "resolution", 300, "", "[Dm7] " CELL " [C13] D4" },
    { "resolution", 300, "", "[Dm7] " CELL " [N.C.] D4" },
    { "resolution", 500, "", "[Dm7] " CELL " C4" },
    { "resolution", 500, "", "[Dm7] " CELL " [Dm7] C4" },
    { "resolution", 200, "", "[Dm7] " CELL },
    { "resolution", 200, "", "[Dm7] " CELL " [G7] r:1" },
    { "resolution", 200, "", "[Dm7] " CELL " [G7] r:1 [C] C4" },
    { "resolution", 200, "", "[Dm7] " CELL " [G7] r:1 [C] r:1 [G7] D4" },
    { "resolution", 200, "", CELL " D4" },
    { "resolution", 200, "", "[N.C.] " CELL " D4" },
    { "follows", 850, "", "[Dm7] " CELL " [G7] F4" },
    /* fit: four eighths from the bar line on weigh 5 2 3 2 */
    { "fit", 1000, "", "[C] < C4 E4 G4 E4 >" },
    { "fit", 950, "", "[Dm7] " CELL },
    { "fit", 930, "", "[C] < C4 D4 E4 D4 >" },
    { "fit", 800, "", "[C] < D4 F4 >" },
    { "fit", 800, "", "[C13] < D4 A4 >" },
    { "fit", 200, "", "[C7] < B4 B4 >" },
    { "fit", 1000, "", "[C6] < C4 A4 >" },
    { "fit", 1000, "", "[G7sus4] < G4 C5 >" },
    { "fit", 1000, "", "[N.C.] < C4 [C] E4 >" },
    { "fit", 0, "", "< C4 E4 >" },
    /* where */
    { "where", 1000, "", "{A4B4} [Dm7] " CELL },
    { "where", 800, "", "{A4B4} [Dm7] " FOUR_BARS CELL },
    { "where", 600, "", "{A8} [Dm7] " FOUR_BARS CELL },
    { "where", 600, "", "{A8} [Dm7] / D4 / " CELL },
    { "where", 500, "", "{A8} [Dm7] r:1 | / " CELL },
    { "where", 300, "", "{A8} [Dm7] r:1 | " CELL },
    { "where", 300, "", "[Dm7] " CELL },
    { "where", 1000, "bar 5", "{A8} " FOUR_BARS CELL },
    { "where", 800, "bar 3-8", "{A8} " FOUR_BARS CELL },
    { "where", 800, "bar 7", "{A8} " FOUR_BARS CELL },
    { "where", 0, "bar 50", "{A8} " FOUR_BARS CELL },
    { "where", 0, "bar 5", FOUR_BARS CELL },
    { "where", 1000, "section b", "{A4B4} " FOUR_BARS CELL },
    { "where", 300, "section A", "{A4B4} " FOUR_BARS CELL },
    { "where", 300, "section A", CELL },
    { "where", 300, "bar 5; section A", "{A4B4} " FOUR_BARS CELL },
    { "where", 200, "bar 13; section A", "{A4B4} " FOUR_BARS CELL },
    { "where", 600, "bar 1; section B", "{A4B4} " FOUR_BARS CELL },
    /* metre */
    { "metre", 1000, "", CELL },
    { "metre", 900, "", "r:2 " CELL },
    { "metre", 800, "", "r:4 " CELL },
    { "metre", 600, "", "r:8 " CELL },
    { "metre", 400, "", "r:16 " CELL },
    { "metre", 1000, "beat 1 and", "r:8 " CELL },
    { "metre", 500, "beat 1 and", CELL },
    { "metre", 200, "beat 1 and", "r:16 " CELL },
    /* rhythm */
    { "rhythm", 1000, "rhythm 8 8 8 8", CELL },
    { "rhythm", 1000, "rhythm 4 4 4 4", CELL },
    { "rhythm", 1000, "", CELL },
    { "rhythm", 833, "", "< A4 F4 E4 D4:4 >" },
    { "rhythm", 333, "", "< A4:8. F4:16 E4:8. D4:16 >" },
    { "rhythm", 1000, "rhythm 8. 16 8. 16", "< A4:8. F4:16 E4:8. D4:16 >" },
    /* one ratio is missing in one of them */
    { "rhythm", 667, "rhythm 8 8 8", CELL },
    { "rhythm", 750, "rhythm 8 8 8 8 8", CELL },
    { "rhythm", 1000, "", "< A4 >" },
    { "rhythm", 0, "rhythm 8 8", "< A4 >" },
};

enum {
    CASES = sizeof cases / sizeof *cases
};

START_TEST(parts_are_as_described)
{
    const struct part_case *c = &cases[_i];
    struct rank_parts parts = rank_written(c->ask, c->text, 0);

    ck_assert_msg(part(&parts, c->part) == c->value, "%s of %s for \"%s\": %d, "
                  "expected %d", c->part, c->text, c->ask,
                  part(&parts, c->part), c->value);
}
END_TEST

/* 0.55 (0.5 x 0.85 + 0.2 x 1 + 0.3 x 0.87) + 0.3 x 1 + 0.15 x 1, by hand. */
START_TEST(a_score_by_hand)
{
    struct rank_parts parts =
        rank_written("", "{A4} [G7] " CELL " r:2 | [C] E4", 0);

    ck_assert_int_eq(parts.harmony.fit, 870);
    ck_assert_int_eq(parts.harmony.total, 886);
    ck_assert_int_eq(parts.score, 937300);
}
END_TEST

/* --- extremes ------------------------------------------------------------ */

START_TEST(notes_without_duration_count_by_strength)
{
    struct written_question question;
    struct written_place place;
    struct rank_parts parts;

    question_write(&question, "home C", 0);
    place_write(&place, "[C] < E4 F4 E4 F4 >", 0);
    for (size_t i = 0; i < 4; i++)
        place.solo->notes[i].duration = 0;
    rank_score(&parts, &question.question, &place.place);
    /* (1000 x (5 + 3) + 800 x (2 + 2)) / 12, to the hundredth. */
    ck_assert_int_eq(parts.harmony.fit, 930);
    /* Two even ratios; the last note has no length, that asked has. */
    ck_assert_int_eq(parts.rhythm.total, 667);
    for (size_t i = 0; i < 4; i++)
        place.solo->notes[i].start = 0;
    rank_score(&parts, &question.question, &place.place);
    ck_assert_int_eq(parts.rhythm.total, 0);
    place_release(&place);
}
END_TEST

START_TEST(lengths_of_any_size_are_compared)
{
    struct written_question question;
    struct written_place place;
    struct rank_parts parts;

    question_write(&question, "rhythm 8 8 8 8", 0);
    place_write(&place, "[Dm7] " CELL, 0);
    question.question.value[0] = rational_make(INT64_MAX, 3);
    question.question.value[1] = rational_make(3, INT64_MAX);
    question.question.value[2] = rational_make(0, 1);
    question.question.value[3] = rational_make(0, 1);
    place.solo->notes[3].duration = INT64_MAX;
    rank_score(&parts, &question.question, &place.place);
    ck_assert_int_eq(parts.rhythm.total, 0);
    ck_assert_int_ge(parts.harmony.fit, 0);
    ck_assert_int_le(parts.harmony.fit, 1000);
    /* Only the fragment has a first note without length. */
    for (size_t i = 0; i < 4; i++)
        question.question.value[i] = rational_make(i > 0, 2);
    place.solo->notes[3].duration = FIXTURE_TICKS / 2;
    rank_score(&parts, &question.question, &place.place);
    ck_assert_int_eq(parts.rhythm.total, 667);
    /* As long as can be, in the same proportions. */
    for (size_t i = 0; i < 4; i++)
        question.question.value[i] = rational_make(INT64_MAX, 2);
    rank_score(&parts, &question.question, &place.place);
    ck_assert_int_eq(parts.rhythm.total, 1000);
    place_release(&place);
}
END_TEST

/* A symbol that could not be explained says nothing of its tones, and two of
 * them have nothing in common. */
START_TEST(an_unexplained_chord)
{
    struct written_question question;
    struct written_place place;
    struct rank_parts parts;

    question_write(&question, "", 0);
    place_write(&place, "[E7] " CELL " [G7] D4", 0);
    place.solo->chords[0].chord.class = CHORD_OTHER;
    rank_score(&parts, &question.question, &place.place);
    ck_assert_int_eq(parts.harmony.relation, 200);
    ck_assert_int_eq(parts.harmony.fit, 0);
    ck_assert_int_eq(parts.harmony.resolution, 1000);
    question.question.home.class = CHORD_OTHER;
    rank_score(&parts, &question.question, &place.place);
    ck_assert_int_eq(parts.harmony.relation, 200);
    question.question.home = place.solo->chords[0].chord;
    rank_score(&parts, &question.question, &place.place);
    ck_assert_int_eq(parts.harmony.relation, 1000);
    place.solo->chords[1].chord.class = CHORD_OTHER;
    rank_score(&parts, &question.question, &place.place);
    ck_assert_int_eq(parts.harmony.resolution, 300);
    place_release(&place);
}
END_TEST

/* The whole solo as one place, longer than is measured. */
START_TEST(a_place_of_many_notes)
{
    char text[512] = "[Dm7] <";

    for (int i = 0; i < RANK_NOTES_MAX + 20; i++)
        strcat(text, " D4");
    strcat(text, " B4:1 B4:1 B4:1 >");
    ck_assert_int_eq(rank_written("", text, 0).harmony.fit, 1000);
    ck_assert_int_eq(rank_written("", text, 0).rhythm.total, 1000);
    ck_assert_int_eq(rank_written("rhythm 8 8", text, 0).rhythm.total, 16);
}
END_TEST

START_TEST(the_whole_range_is_used)
{
    struct rank_parts best = rank_written(
        "home G7", "{A4} [G7] < B4 D5 G5 B4 > r:2 | [C] C5", 0);
    struct rank_parts worst = rank_written(
        "into G7; bar 1; beat 1; rhythm 8 8", "r:16 < A4 >", 0);

    ck_assert_int_eq(best.score, 1000000);
    ck_assert_int_eq(worst.harmony.total, 20); /* nothing follows: 200 */
    ck_assert_int_eq(worst.position.total, 60);
    ck_assert_int_eq(worst.score, 550 * 20 + 300 * 60);
}
END_TEST

/* --- the next chord ------------------------------------------------------ */

START_TEST(the_next_chord_is_another)
{
    static const struct {
        const char *text;
        int next;
    } table[] = {
        { "[Dm7] " CELL " [G7] D4", 1 },
        { "[Dm7] " CELL " [Dm7] D4 [Dm7/G] D4 [G7] D4", 3 },
        { "[Dm7] " CELL, -1 },
        { CELL " [Dm7] D4", 0 },
        { CELL " [N.C.] D4 [Dm7] D4", 1 },
        { CELL, -1 },
        { "[N.C.] " CELL " [N.C.] D4 [G7] D4", 2 },
        { "[Dm7] " CELL " [N.C.] D4", 1 },
    };

    for (size_t i = 0; i < sizeof table / sizeof *table; i++) {
        struct written_place place;

        place_write(&place, table[i].text, 0);
        ck_assert_msg(rank_next_chord(place.solo, place.place.last) ==
                          table[i].next, "%s", table[i].text);
        place_release(&place);
    }
}
END_TEST

/* A last note held over into the next chord is heard under it. */
START_TEST(an_anticipation_belongs_to_the_new_chord)
{
    struct written_place place;

    place_write(&place, "[Dm7] r:2 r:4 < F4 E4 > | [G7] D4:2 [C] C4", 0);
    place.solo->notes[1].duration = FIXTURE_TICKS;
    solo_place_notes(place.solo);
    ck_assert_int_eq(rank_next_chord(place.solo, 1), 2);
    place_release(&place);
}
END_TEST

START_TEST(what_follows_fits_as_over_does)
{
    static const struct {
        const char *into, *home, *from, *next;
        bool fits;
    } table[] = {
        { "G7", "Dm7", "Dm7", "G7", true },
        { "G7", "Dm7", "Am7", "D13b9", true },
        { "G7", "Dm7", "Am7", "G7", false },
        { "G7", "Dm7", "Am7", "Dm7", false },
        { "G7", "Dm7", NULL, "G7", false },
        { "G7", NULL, "Am7", "E7", true },
        { "G7", "m7", "Am7", "E7", true },
        { "7", "Dm7", "Am7", "E7", true },
        { "dominant", "Dm7", "Am7", "E7#9", true },
        { "7alt", "Dm7", "Am7", "E7#9", true },
        { "7alt", "Dm7", "Am7", "E7", false },
        { "7sus4", "Dm7", "Am7", "D7sus4", true },
        { "7sus4", "Dm7", "Am7", "D7", false },
        { "sus4", "Dm7", "Am7", "D7sus4", true },
        { "sus4", "Dm7", "Am7", "Dsus4", true },
        { "sus4", "Dm7", "Am7", "D7", false },
        { "Cmaj7", "G7", "D7", "G6", true },
        { "Cmaj7", "G7", "D7", "Gm6", false },
        { "N.C.", "G7", "D7", NULL, true },
        { "N.C.", "G7", "D7", "N.C.", true },
        { "N.C.", "G7", "D7", "G7", false },
        { "G7", "Dm7", "Dm7", NULL, false },
        { "G7", "Dm7", "Dm7", "N.C.", false },
        { "G7", "Dm7", "N.C.", "G7", false },
    };

    for (size_t i = 0; i < sizeof table / sizeof *table; i++) {
        struct chord home = { 0 }, from = { 0 }, next = { 0 };
        struct over into;
        bool rooted =
            table[i].home && strchr("ABCDEFG", table[i].home[0]) != NULL;

        ck_assert(over_parse(&into, table[i].into, NULL) == ST_OK);
        if (table[i].home)
            ck_assert(chord_parse(&home, table[i].home,
                                  strlen(table[i].home), !rooted,
                                  NULL) == ST_OK);
        if (table[i].from)
            from = chord(table[i].from);
        if (table[i].next)
            next = chord(table[i].next);
        ck_assert_msg(rank_into_fits(&into.chords[0],
                                     table[i].home ? &home : NULL,
                                     table[i].from ? &from : NULL,
                                     table[i].next ? &next : NULL) ==
                          table[i].fits,
                      "row %zu: %s into %s", i,
                      table[i].from ? table[i].from : "nothing",
                      table[i].next ? table[i].next : "nothing");
    }
}
END_TEST

/* --- weights ------------------------------------------------------------- */

START_TEST(weights_are_read)
{
    static const struct {
        const char *text;
        int harmony, position, rhythm;
    } table[] = {
        { "harmony=0.55,position=0.30,rhythm=0.15", 550, 300, 150 },
        { "rhythm=0.15", 550, 300, 150 },
        { "harmony=1,position=1,rhythm=1", 334, 333, 333 },
        { "position=1,rhythm=1,harmony=0", 0, 500, 500 },
        { "harmony=1,position=0,rhythm=0", 1000, 0, 0 },
        { "harmony=0,position=0", 0, 0, 1000 },
        { "position=1", 324, 588, 88 }, /* of 1.7 */
        { "Harmony = 2 , RHYTHM=0", 870, 130, 0 }, /* of 2.3 */
        { "harmony=0.000000001,position=0,rhythm=0", 1000, 0, 0 },
        { "harmony=1000,position=1000,rhythm=1000", 334, 333, 333 },
        { "harmony=1,position=1,rhythm=5", 143, 143, 714 },
        { "harmony=.5,position=.25,rhythm=.25", 500, 250, 250 },
    };

    for (size_t i = 0; i < sizeof table / sizeof *table; i++) {
        struct rank_weights got;
        struct fault why = { 0 };

        ck_assert_msg(rank_weights_parse(&got, table[i].text, &why) == ST_OK,
                      "%s: %s", table[i].text, why.message);
        ck_assert_msg(got.harmony == table[i].harmony &&
                          got.position == table[i].position &&
                          got.rhythm == table[i].rhythm,
                      "%s: %d %d %d", table[i].text, got.harmony,
                      got.position, got.rhythm);
    }
}
END_TEST

START_TEST(weights_that_make_no_sense_are_refused)
{
    static const struct {
        const char *text;
        long offset;
        const char *says;
    } table[] = {
        { "", 0, "a weight is of harmony, position or rhythm" },
        { "harmony", 0, "a weight is of harmony, position or rhythm" },
        { "0.5", 0, "a weight is of harmony, position or rhythm" },
        { "melody=1", 0, "a weight is of harmony, position or rhythm" },
        { "harmony=1,", 10, "a weight is of harmony, position or rhythm" },
        { "harmony=1,,rhythm=1", 10,
          "a weight is of harmony, position or rhythm" },
        { "harmony=", 8, "a weight is a number from 0 to 1000" },
        { "harmony=-1", 8, "a weight is a number from 0 to 1000" },
        { "harmony=x", 8, "a weight is a number from 0 to 1000" },
        { "harmony=1001", 8, "a weight is a number from 0 to 1000" },
        { "harmony=1e3", 8, "a weight is a number from 0 to 1000" },
        { "harmony=1=1", 8, "a weight is a number from 0 to 1000" },
        { "harmony=99999999999999999999", 8,
          "a weight is a number from 0 to 1000" },
        { "harmony=0.0000000000000000000000000000000000000000001", 8,
          "a weight is a number from 0 to 1000" },
        { "rhythm=1,harmony=1,rhythm=2", 19, "a weight that is given twice" },
        { "harmony=0,position=0,rhythm=0", 0,
          "at least one weight is above 0" },
    };

    for (size_t i = 0; i < sizeof table / sizeof *table; i++) {
        struct rank_weights got = { 1, 2, 3 };
        struct fault why = { 0 };

        ck_assert_int_eq(rank_weights_parse(&got, table[i].text, NULL),
                         ST_SYNTAX);
        ck_assert_int_eq(rank_weights_parse(&got, table[i].text, &why),
                         ST_SYNTAX);
        ck_assert_msg(why.offset == table[i].offset, "%s: offset %ld",
                      table[i].text, why.offset);
        ck_assert_msg(strstr(why.message, table[i].says) != NULL, "%s: %s",
                      table[i].text, why.message);
        ck_assert_int_eq(got.harmony * 100 + got.position * 10 + got.rhythm,
                         123);
    }
}
END_TEST

START_TEST(weights_always_sum_to_the_whole)
{
    for (int h = 0; h < 60; h += 7)
        for (int p = 0; p < 60; p += 11)
            for (int r = 1; r < 60; r += 13) {
                struct rank_weights got;
                char text[80];

                snprintf(text, sizeof text,
                         "harmony=%d,position=0.%02d,rhythm=%d.5", h, p, r);
                ck_assert(rank_weights_parse(&got, text, NULL) == ST_OK);
                ck_assert_int_eq(got.harmony + got.position + got.rhythm,
                                 1000);
                ck_assert(got.harmony >= 0 && got.position >= 0);
            }
}
END_TEST

Suite *rank_suite(void)
{
    Suite *s = suite_create("rank");
    TCase *t = tcase_create("parts and weights");

    tcase_add_loop_test(t, parts_are_as_described, 0, CASES);
    tcase_add_test(t, a_score_by_hand);
    tcase_add_test(t, notes_without_duration_count_by_strength);
    tcase_add_test(t, lengths_of_any_size_are_compared);
    tcase_add_test(t, an_unexplained_chord);
    tcase_add_test(t, a_place_of_many_notes);
    tcase_add_test(t, the_whole_range_is_used);
    tcase_add_test(t, the_next_chord_is_another);
    tcase_add_test(t, an_anticipation_belongs_to_the_new_chord);
    tcase_add_test(t, what_follows_fits_as_over_does);
    tcase_add_test(t, weights_are_read);
    tcase_add_test(t, weights_that_make_no_sense_are_refused);
    tcase_add_test(t, weights_always_sum_to_the_whole);
    suite_add_tcase(s, t);
    return s;
}
