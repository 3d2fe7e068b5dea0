/* rank_fixture.c - see rank_fixture.h. */
#include "tests/unit/rank_fixture.h"

#include <check.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "query/home.h"
#include "schema/harmony.h"
#include "tests/unit/chord_fixture.h"
#include "tests/unit/find_fixture.h"

enum {
    TEXT_MAX = 512,
    MARKS_MAX = 32
};

/* What is left when the marks are taken out, and where they were. */
struct marks {
    char notes[TEXT_MAX], form[32];
    size_t first, last, count; /* notes */
    size_t phrases[MARKS_MAX], bars[MARKS_MAX];
    size_t phrase_count, bar_count;
};

static void take_mark(struct marks *marks, const char *word, bool *after_bar)
{
    if (strcmp(word, "<") == 0) {
        marks->first = marks->count;
    } else if (strcmp(word, ">") == 0) {
        marks->last = marks->count - 1;
    } else if (strcmp(word, "/") == 0) {
        marks->phrases[marks->phrase_count++] = marks->count;
    } else if (strcmp(word, "|") == 0) {
        *after_bar = true;
    } else if (word[0] == '{') {
        snprintf(marks->form, sizeof marks->form, "%s", word);
    } else {
        if (word[0] != '[' && word[0] != 'r') {
            if (*after_bar)
                marks->bars[marks->bar_count++] = marks->count;
            marks->count++;
        }
        if (word[0] != '[')
            *after_bar = false;
        strcat(strcat(marks->notes, word), " ");
    }
    ck_assert_uint_lt(marks->phrase_count, MARKS_MAX);
    ck_assert_uint_lt(marks->bar_count, MARKS_MAX);
}

static void read_marks(struct marks *marks, const char *text)
{
    char copy[TEXT_MAX];
    bool after_bar = false;

    memset(marks, 0, sizeof *marks);
    marks->first = marks->last = SIZE_MAX;
    ck_assert_uint_lt(strlen(text), sizeof copy);
    strcpy(copy, text);
    for (char *word = strtok(copy, " "); word; word = strtok(NULL, " "))
        take_mark(marks, word, &after_bar);
    ck_assert_msg(marks->first <= marks->last && marks->last < marks->count,
                  "no place is marked: %s", text);
}

/* "{A4B4}". */
static void lay_form(struct solo *solo, const char *text)
{
    struct form_part parts[8];
    struct form_plan plan = { .source = FORM_USER, .confidence = 100 };
    struct fault why = { 0 };

    memset(parts, 0, sizeof parts);
    for (const char *at = text + 1; *at && *at != '}';) {
        char *end;

        parts[plan.part_count].letter[0] = *at;
        parts[plan.part_count].bars = (int32_t)strtol(at + 1, &end, 10);
        plan.length += parts[plan.part_count++].bars;
        at = end;
    }
    plan.parts = parts;
    ck_assert_msg(form_lay_out(solo, &plan, &why) == ST_OK, "%s", why.message);
}

static void number_phrases(struct solo *solo, const struct marks *marks)
{
    int32_t phrase = 0;
    size_t next = 0;

    for (size_t i = 0; marks->phrase_count && i < solo->note_count; i++) {
        if (phrase == 0 ||
            (next < marks->phrase_count && marks->phrases[next] == i))
            phrase++;
        if (next < marks->phrase_count && marks->phrases[next] == i)
            next++;
        solo->notes[i].phrase = phrase;
    }
}

void place_write(struct written_place *out, const char *text, int up)
{
    struct marks marks;
    struct solo *solo;
    struct fault why = { 0 };

    read_marks(&marks, text);
    solo = fixture_solo_up("Nobody", marks.notes, up);
    for (size_t i = 0; i < marks.bar_count; i++)
        ck_assert_msg(solo->notes[marks.bars[i]].onset == 0,
                      "a bar line is misplaced: %s", text);
    if (*marks.form)
        lay_form(solo, marks.form);
    number_phrases(solo, &marks);
    ck_assert(harmony_analyse(solo, &why) == ST_OK);
    out->solo = solo;
    out->place =
        (struct rank_place){ solo, marks.first, marks.last,
                             solo_window_chord(solo, marks.first,
                                               marks.last - marks.first + 1) };
}

void place_release(struct written_place *place)
{
    solo_free(place->solo);
}

/* --- questions ----------------------------------------------------------- */

static void read_rhythm(struct rank_question *q, const char *text)
{
    char *end;

    q->has_rhythm = true;
    for (const char *at = text; *at; at = end + strspn(end, " ")) {
        struct rational *value = &q->value[q->count++];

        *value = rational_make(4, strtol(at, &end, 10));
        if (*end == '.' || *end == 't')
            *value = rational_mul(*value, *end++ == '.' ? rational_make(3, 2)
                                                        : rational_make(2, 3));
    }
}

static void read_ask(struct written_question *out, const char *name,
                     const char *value)
{
    struct rank_question *q = &out->question;
    enum status st = ST_OK;

    if (strcmp(name, "home") == 0 && strcmp(value, "none") == 0)
        q->has_home = false;
    else if (strcmp(name, "home") == 0)
        out->home = chord(value);
    else if (strcmp(name, "class") == 0)
        q->by_class = true;
    else if (strcmp(name, "into") == 0)
        st = over_parse(&out->into, value, NULL);
    else if (strcmp(name, "bar") == 0)
        st = place_parse_bar(&q->place, value, NULL);
    else if (strcmp(name, "beat") == 0)
        st = place_parse_beat(&q->place, value, NULL);
    else if (strcmp(name, "section") == 0)
        snprintf(out->section, sizeof out->section, "%s", value);
    else if (strcmp(name, "rhythm") == 0)
        read_rhythm(q, value);
    else if (strcmp(name, "weights") == 0)
        st = rank_weights_parse(&q->weights, value, NULL);
    else
        ck_abort_msg("nothing is called %s", name);
    ck_assert_msg(st == ST_OK, "%s %s", name, value);
}

void question_write(struct written_question *out, const char *text, int up)
{
    char copy[TEXT_MAX];
    struct rank_question *q = &out->question;

    memset(out, 0, sizeof *out);
    q->weights = (struct rank_weights)RANK_WEIGHTS_DEFAULT;
    q->has_home = true;
    out->home = chord("Dm7");
    snprintf(copy, sizeof copy, "%s", text);
    for (char *part = strtok(copy, ";"); part; part = strtok(NULL, ";")) {
        char *value;

        part += strspn(part, " ");
        value = part + strcspn(part, " ");
        if (*value)
            *value++ = '\0';
        read_ask(out, part, value);
    }
    if (out->into.count > 0) {
        q->into = &out->into.chords[0];
        q->into_from = &out->home;
    }
    if (*out->section)
        q->place.section = out->section;
    q->home = out->home;
    if (out->home.has_root)
        home_move(&q->home, &out->home,
                  pitch_modulo(out->home.root_pc + up, 12), 0);
}

struct rank_parts rank_written(const char *ask, const char *text, int up)
{
    struct written_question question;
    struct written_place place;
    struct rank_parts parts;

    question_write(&question, ask, up);
    place_write(&place, text, up);
    rank_score(&parts, &question.question, &place.place);
    place_release(&place);
    return parts;
}
