/* check_line.c - where chords and words stand in scores made up at random,
 * against a cursor that goes through them plainly.
 *
 * How time moves: MusicXML 4.0, the elements backup, chord, divisions, forward
 * and offset.  That the first divisions hold from the start and that a backup
 * ends at the bar line are this program's own rules (DEVELOPERS.md).
 */
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "tests/unit/score_text.h"
#include "tests/unit/suites.h"

enum { BARS = 5, EVENTS = 12, SCORES = 3000, PLACES_MAX = BARS * EVENTS };

struct place {
    int bar;
    struct rational onset;
};

struct score {
    char text[64 * 1024];
    size_t used;
    struct rational at, divisions; /* 0: none yet */
    int bar;
    struct place chords[PLACES_MAX], words[PLACES_MAX];
    size_t chord_count, word_count;
};

static uint32_t state = 20261126;

static int draw(int limit)
{
    state = state * 1664525 + 1013904223; /* from memory: Numerical Recipes */
    return (int)((state >> 8) % (uint32_t)limit);
}

static void say(struct score *s, const char *format, ...)
    __attribute__((format(printf, 2, 3)));

static void say(struct score *s, const char *format, ...)
{
    va_list args;

    va_start(args, format);
    s->used += (size_t)vsnprintf(s->text + s->used, sizeof s->text - s->used,
                                 format, args);
    va_end(args);
    ck_assert_uint_lt(s->used, sizeof s->text);
}

static struct rational quarters(const struct score *s, int amount)
{
    return rational_div(rational_make(amount, 1), s->divisions);
}

/* Few lengths come again and again; some have the same remainder by 64. */
static int draw_length(void)
{
    static const int lengths[] = { 0, 1, 2, 3, 4, 6, 65, 66, 12, 129 };

    return lengths[draw(10)];
}

static void add_divisions(struct score *s)
{
    static const char *const texts[] = { "1", "2", "3", "4", "12", "0.5" };
    const char *text = texts[draw(6)];

    say(s, "<attributes><divisions>%s</divisions></attributes>", text);
    rational_parse_decimal(&s->divisions, text);
}

static void add_note(struct score *s, bool member)
{
    int length = draw_length();

    say(s, "<note>%s<pitch><step>C</step><octave>%d</octave></pitch>"
           "<duration>%d</duration></note>",
        member ? "<chord/>" : "", 3 + draw(3), length);
    if (!member)
        s->at = rational_add(s->at, quarters(s, length));
}

static void add_move(struct score *s, bool back)
{
    int length = draw_length();
    struct rational by = quarters(s, length);

    say(s, "<%s><duration>%d</duration></%s>", back ? "backup" : "forward",
        length, back ? "backup" : "forward");
    s->at = back ? rational_sub(s->at, by) : rational_add(s->at, by);
    if (s->at.num < 0)
        s->at = rational_make(0, 1);
}

static void add_place(struct score *s, struct place *places, size_t *count,
                      int offset)
{
    places[(*count)++] =
        (struct place){ s->bar, rational_add(s->at, quarters(s, offset)) };
}

static void add_chord(struct score *s)
{
    int offset = draw(2) ? 0 : draw(4);

    say(s, "<harmony><root><root-step>%c</root-step></root><kind>minor</kind>"
           "<offset>%d</offset></harmony>", "CDEFGAB"[draw(7)], offset);
    add_place(s, s->chords, &s->chord_count, offset);
}

static void add_words(struct score *s)
{
    int offset = draw(2) ? 0 : draw(4);

    say(s, "<direction><direction-type><words>slow</words></direction-type>"
           "<offset>%d</offset></direction>", offset);
    add_place(s, s->words, &s->word_count, offset);
}

static void add_event(struct score *s)
{
    switch (draw(10)) {
    case 0:
        add_divisions(s);
        break;
    case 1:
    case 2:
        add_move(s, draw(2));
        break;
    case 3:
        add_chord(s);
        break;
    case 4:
        add_words(s);
        break;
    case 5:
        add_note(s, true);
        break;
    default:
        add_note(s, false);
        break;
    }
}

static void make_score(struct score *s)
{
    s->used = s->chord_count = s->word_count = 0;
    for (s->bar = 0; s->bar < BARS; s->bar++) {
        s->at = rational_make(0, 1);
        say(s, "<measure number=\"%d\">", s->bar + 1);
        if (s->bar == 0)
            add_divisions(s);
        for (int i = draw(EVENTS); i > 0; i--)
            add_event(s);
        say(s, "</measure>");
    }
}

static int compare_places(const void *left, const void *right)
{
    const struct place *a = left, *b = right;

    return a->bar != b->bar ? a->bar - b->bar
                            : rational_compare(a->onset, b->onset);
}

static void check_chords(struct score *s, const struct solo *solo)
{
    struct place got[PLACES_MAX];

    ck_assert_uint_eq(solo->chord_count, s->chord_count);
    for (size_t i = 0; i < solo->chord_count; i++)
        got[i] = (struct place){ solo->chords[i].bar,
                                 solo_quarters(solo, solo->chords[i].onset) };
    qsort(got, s->chord_count, sizeof *got, compare_places);
    qsort(s->chords, s->chord_count, sizeof *s->chords, compare_places);
    for (size_t i = 0; i < s->chord_count; i++)
        ck_assert_msg(compare_places(&got[i], &s->chords[i]) == 0,
                      "chord %zu of %s", i, s->text);
}

/* Words are rounded down to the ticks that notes and chords need. */
static void check_words(const struct score *s, const struct solo *solo)
{
    ck_assert_uint_eq(solo->remark_count, s->word_count);
    for (size_t i = 0; i < s->word_count; i++) {
        struct rational ticks = rational_mul(
            s->words[i].onset, rational_make(solo->ticks, 1));

        ck_assert_int_eq(solo->remarks[i].bar, s->words[i].bar);
        ck_assert_msg(solo->remarks[i].onset == ticks.num / ticks.den,
                      "words %zu of %s", i, s->text);
    }
}

START_TEST(chords_and_words_stand_where_the_cursor_is)
{
    static struct score score;

    for (int i = 0; i < SCORES; i++) {
        struct solo *solo;

        make_score(&score);
        solo = score_measures(score.text);
        check_chords(&score, solo);
        check_words(&score, solo);
        solo_free(solo);
    }
}
END_TEST

/* Of each note that is too long there is a word. */
START_TEST(every_long_note_is_told_of)
{
    struct solo *solo = score_measures(
        MEASURE(1, ATTRIBUTES(0.001, 4, 4) NOTE(C, 4, 500) NOTE(D, 4, 500)
                       NOTE(E, 4, 1)));
    int told = 0;

    for (size_t i = 0; i < solo->warning_count; i++)
        told += strstr(solo->warnings[i].message, "too long") != NULL;
    ck_assert_int_eq(told, 2);
    solo_free(solo);
}
END_TEST

Suite *line_suite(void)
{
    Suite *suite = suite_create("line");
    TCase *t = tcase_create("line");

    tcase_add_test(t, chords_and_words_stand_where_the_cursor_is);
    tcase_add_test(t, every_long_note_is_told_of);
    suite_add_tcase(suite, t);
    return suite;
}
