/* check_notation.c - note values on paper.
 *
 * How beats, ties and tuplets are written: common practice, no source.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "query/notation.h"
#include "tests/unit/find_fixture.h"
#include "tests/unit/suites.h"

enum {
    QUARTER = FIXTURE_TICKS
};

/* "4.", "8t", "16": ticks. */
static int64_t ticks_of(const char *text)
{
    char *end;
    int64_t ticks = 4 * QUARTER / strtol(text, &end, 10);

    if (*end == '.')
        ticks = ticks * 3 / 2;
    if (*end == 't')
        ticks = ticks * 2 / 3;
    return ticks;
}

/* A solo of notes and rests: "8 8 4. r8 2", in METRE of BAR ticks. */
static struct solo *solo_of(const char *metre, int64_t bar, const char *text)
{
    struct draft draft;

    draft_start(&draft, "Ada", "Values", metre, bar);
    draft_chord(&draft, "C", 0);
    while (*(text += strspn(text, " "))) {
        char word[16];
        size_t length = strcspn(text, " ");

        snprintf(word, sizeof word, "%.*s", (int)length, text);
        if (*word == 'r')
            draft_rest(&draft, ticks_of(word + 1));
        else
            draft_note(&draft, 72, ticks_of(word), ticks_of(word));
        text += length;
    }
    return draft_end(&draft);
}

/* "4 8~8 r4 {3:2 8 8 8}": values, ties and tuplets of a bar. */
static void bar_text(char *out, size_t size, const struct notation_bar *bar)
{
    static const char *const values[] = { "0",  "1",  "2",  "4",   "8",
                                          "16", "32", "64", "128", "256" };
    size_t used = 0;

    out[0] = '\0';
    for (size_t i = 0; i < bar->sign_count; i++) {
        const struct sign *sign = &bar->signs[i];
        char open[16] = "";

        if (sign->tuplet_start)
            snprintf(open, sizeof open, "{%d:%d ", sign->actual,
                     sign->normal);
        used += (size_t)snprintf(
            out + used, size - used, "%s%s%s%s%s%s%s%s", i > 0 ? " " : "",
            open, sign->note < 0 ? "r" : "",
            sign->whole_bar ? "bar" : values[sign->value + 1],
            sign->dots ? "." : "", sign->tied ? "~" : "",
            sign->exact ? "" : "?", sign->tuplet_stop ? "}" : "");
    }
}

static void passage_text(char *out, size_t size, const struct solo *solo)
{
    struct passage all = { .solo = solo,
                           .last_bar = (int32_t)solo->bar_count - 1,
                           .last = (uint32_t)solo->note_count - 1 };
    struct written_for view = reader_view(READER_CONCERT, 72);
    struct notation notation;
    size_t used = 0;

    ck_assert_int_eq(notation_make(&notation, &all, &view, NULL), ST_OK);
    out[0] = '\0';
    for (size_t i = 0; i < notation.bar_count; i++) {
        char bar[400];

        bar_text(bar, sizeof bar, &notation.bars[i]);
        used += (size_t)snprintf(out + used, size - used, "%s%s",
                                 i > 0 ? " | " : "", bar);
    }
    notation_free(&notation);
}

static const struct {
    const char *metre;
    int64_t bar;
    const char *played, *written;
} cases[] = {
    { "4/4", 96, "1", "1" },
    { "4/4", 96, "8 8 8 8 8 8 8 8", "8 8 8 8 8 8 8 8" },
    { "4/4", 96, "2 2", "2 2" },
    { "4/4", 96, "4 2 4", "4 2 4" },
    { "4/4", 96, "2. 4", "2. 4" },
    { "4/4", 96, "4 2.", "4 4~ 2" },
    { "4/4", 96, "4. 8 2", "4. 8 2" },
    { "4/4", 96, "8 4 8 2", "8 4 8 2" },
    { "4/4", 96, "8 4. 2", "8 8~ 4 2" },
    { "4/4", 96, "4 4. 8 4", "4 4~ 8 8 4" },
    { "4/4", 96, "4. 4 4.", "4. 8~ 8 8~ 4" },
    { "4/4", 96, "8. 16 8. 16 2", "8. 16 8. 16 2" },
    { "4/4", 96, "16 8 16 4 2", "16 8 16 4 2" },
    { "4/4", 96, "8t 8t 8t 4 2", "{3:2 8 8 8} 4 2" },
    { "4/4", 96, "4t 8t 4 2", "{3:2 4 8} 4 2" },
    { "4/4", 96, "4t 4t 4t 2", "{3:2 4 4 4} 2" },
    { "4/4", 96, "2 4t 4t 4t", "2 {3:2 4 4 4}" },
    { "4/4", 96, "2t 2t 2t", "{3:2 2 2 2}" },
    { "4/4", 96, "8t 4t 8t 8t 8t 2",
      "{3:2 8 4} {3:2 8 8 8} 2" },
    { "4/4", 96, "16t 16t 16t 8 4 2", "{3:2 16 16 16} 8 4 2" },
    { "4/4", 96, "r4 4 r2", "r4 4 r2" },
    { "4/4", 96, "8 r4. 2", "8 r8 r4 2" },
    { "4/4", 96, "r1", "rbar" },
    { "4/4", 96, "2 4 4. 8 2", "2 4 4~ | 8 8 2 r4" },
    { "3/4", 72, "2.", "2." },
    { "3/4", 72, "4. 4.", "4. 8~ 4" },
    { "3/4", 72, "2 4", "2 4" },
    { "3/4", 72, "4 2", "4 2" },
    { "3/4", 72, "r2 4", "r2 4" },
    { "5/4", 120, "1 4", "1 4" },
    { "5/4", 120, "2. 2", "2. 2" },
    { "6/8", 72, "8 8 8 8 8 8", "8 8 8 8 8 8" },
    { "6/8", 72, "4. 4.", "4. 4." },
    { "6/8", 72, "4 8 4 8", "4 8 4 8" },
    { "6/8", 72, "2.", "2." },
    { "6/8", 72, "4 4 4", "4 8~ 8 4" },
    { "6/8", 72, "r4. 4.", "r4. 4." },
    { "12/8", 144, "4. 8 4 4. 4.", "4. 8 4 4. 4." },
    { "2/2", 96, "4 2 4", "4 2 4" },
    { "7/8", 84, "8 8 8 8 8 8 8", "8 8 8 8 8 8 8" },
};

START_TEST(values_are_written_as_musicians_write_them)
{
    struct solo *solo =
        solo_of(cases[_i].metre, cases[_i].bar, cases[_i].played);
    char written[1024], *end;

    /* The fixture closes with an empty bar where the last one is full. */
    passage_text(written, sizeof written, solo);
    end = strstr(written, " | rbar");
    if (end && !end[7])
        *end = '\0';
    ck_assert_msg(strcmp(written, cases[_i].written) == 0,
                  "%s in %s is written %s, not %s", cases[_i].played,
                  cases[_i].metre, written, cases[_i].written);
    solo_free(solo);
}
END_TEST

/* Whatever is played, the signs of a bar fill it and no value is wrong. */
START_TEST(signs_add_up_to_their_bar)
{
    static const int64_t lengths[] = { 3, 4, 6, 8, 12, 16, 18, 24, 36, 60 };
    uint32_t state = 12345;

    for (int round = 0; round < 2000; round++) {
        struct draft draft;
        struct solo *solo;
        struct notation notation;
        struct written_for view = reader_view(READER_CONCERT, 72);
        struct passage all = { 0 };

        draft_start(&draft, "Ada", "Chance", round % 2 ? "4/4" : "3/4",
                    round % 2 ? 96 : 72);
        for (int i = 0; i < 24; i++) {
            int64_t length;

            state = state * 1664525 + 1013904223;
            length = lengths[(state >> 16) % 10];
            if (state >> 30)
                draft_note(&draft, 72, length, length);
            else
                draft_rest(&draft, length);
        }
        solo = draft_end(&draft);
        all.solo = solo;
        all.last_bar = (int32_t)solo->bar_count - 1;
        all.last = (uint32_t)solo->note_count - 1;
        ck_assert_int_eq(notation_make(&notation, &all, &view, NULL), ST_OK);
        for (size_t b = 0; b < notation.bar_count; b++) {
            const struct notation_bar *bar = &notation.bars[b];
            int64_t at = 0;

            for (size_t i = 0; i < bar->sign_count; i++) {
                const struct sign *s = &bar->signs[i];
                int64_t value = s->value < 0 ? 8 * notation.ticks
                                             : 4 * notation.ticks >> s->value;

                ck_assert_int_eq(s->at, at);
                at += s->duration;
                if (s->whole_bar)
                    continue;
                ck_assert(s->exact);
                value = s->dots ? 3 * value / 2 : value;
                if (s->actual)
                    value = value * s->normal / s->actual;
                ck_assert_int_eq(value, s->duration);
            }
            ck_assert_int_eq(at, bar->length);
        }
        notation_free(&notation);
        solo_free(solo);
    }
}
END_TEST

/* The written key and octave: a Bb instrument reads a tone higher, an Eb one a
 * sixth, an F one a fifth (common practice, no source). */
START_TEST(readers_see_their_key)
{
    static const struct {
        enum reader reader;
        int fifths, written;
    } keys[] = {
        { READER_CONCERT, -3, -3 }, { READER_BB, -3, -1 },
        { READER_BB, 0, 2 },        { READER_EB, -3, 0 },
        { READER_EB, 2, 5 },        { READER_F, -1, 0 },
        { READER_BASS, 4, 4 },      { READER_EB, 5, -4 },
        { READER_BB, 6, -4 },       { READER_CONCERT, 7, -5 },
    };
    int diatonic;

    for (size_t i = 0; i < sizeof keys / sizeof *keys; i++) {
        struct written_for view = reader_view(keys[i].reader, 66);

        ck_assert_int_eq(reader_key(&view, keys[i].fifths, &diatonic),
                         keys[i].written);
    }
    ck_assert_int_eq(reader_parse("eb"), READER_EB);
    ck_assert_int_eq(reader_parse("C"), -1);
}
END_TEST

/* A passage that starts in a held note shows the rest of it, and the chord that
 * is in force. */
START_TEST(a_passage_is_cut_out_of_its_ties)
{
    struct solo *solo = solo_of("4/4", 96, "2 4 4. 8 4. 2 4");
    struct passage second = { .solo = solo,
                              .first_bar = 1,
                              .last_bar = 1,
                              .first = 3,
                              .last = 4 };
    struct written_for view = reader_view(READER_CONCERT, 72);
    struct notation notation;
    char text[200];

    ck_assert_int_eq(notation_make(&notation, &second, &view, NULL), ST_OK);
    bar_text(text, sizeof text, &notation.bars[0]);
    ck_assert_str_eq(text, "8 8 4~ 8 8~ 4");
    ck_assert(!notation.bars[0].signs[0].starts);
    ck_assert(notation.bars[0].signs[1].starts);
    ck_assert_str_eq(notation.bars[0].signs[1].degree, "1");
    ck_assert_uint_eq(notation.bars[0].chord_count, 1);
    ck_assert_str_eq(notation.bars[0].chords[0].chord.symbol, "C");
    notation_free(&notation);
    solo_free(solo);
}
END_TEST

Suite *notation_suite(void)
{
    Suite *suite = suite_create("notation");
    TCase *tests = tcase_create("notation");

    tcase_add_loop_test(tests, values_are_written_as_musicians_write_them, 0,
                        (int)(sizeof cases / sizeof *cases));
    tcase_add_test(tests, signs_add_up_to_their_bar);
    tcase_add_test(tests, readers_see_their_key);
    tcase_add_test(tests, a_passage_is_cut_out_of_its_ties);
    suite_add_tcase(suite, tests);
    return suite;
}
