/* tests/form/grid_text.c - see grid_text.h. */
#include "tests/form/grid_text.h"

#include <check.h>
#include <stdio.h>
#include <string.h>

enum { BARS_MAX = 400 };

struct solo *grid_text_new(void)
{
    struct solo *solo = solo_new();

    solo->ticks = 1;
    solo->has_key = true;
    solo->mode = MODE_MAJOR;
    solo->bars = solo_alloc(solo, BARS_MAX * sizeof *solo->bars);
    solo->plays = solo_alloc(solo, BARS_MAX * sizeof *solo->plays);
    solo->chords = solo_alloc(solo, 4 * BARS_MAX * sizeof *solo->chords);
    solo->remarks = solo_alloc(solo, BARS_MAX * sizeof *solo->remarks);
    solo->notes = solo_alloc(solo, BARS_MAX * sizeof *solo->notes);
    return solo;
}

static void add_chord(struct solo *solo, const char *text, size_t len, int at)
{
    struct chord_event *event = &solo->chords[solo->chord_count++];

    ck_assert_msg(chord_parse(&event->chord, text, len, false, NULL) == ST_OK,
                  "%.*s", (int)len, text);
    event->bar = (int32_t)solo->bar_count - 1;
    event->onset = event->takes_effect = at;
    event->start = solo->bars[event->bar].start + at;
    event->kind_text = "";
}

static void add_bar(struct solo *solo)
{
    struct bar *bar = &solo->bars[solo->bar_count];

    ck_assert_uint_lt(solo->bar_count, BARS_MAX);
    bar->start = 4 * (int64_t)solo->bar_count;
    bar->length = bar->nominal = 4;
    bar->number = "";
    bar->metre = "4/4";
    solo->bar_count++;
}

/* The mark at the start of WORD, for the bar that is added next. */
static const char *read_mark(struct solo *solo, const char *word)
{
    const char *end;
    struct remark *remark;

    if (*word != '[' && *word != '{')
        return word;
    end = word + strcspn(word, "]}");
    remark = &solo->remarks[solo->remark_count++];
    remark->bar = (int32_t)solo->bar_count;
    remark->text = solo_copy(solo, word + 1, (size_t)(end - word - 1));
    for (char *blank = (char *)remark->text; *blank; blank++)
        *blank = *blank == '_' ? ' ' : *blank;
    if (*word == '[')
        solo->bars[solo->bar_count].rehearsal = remark->text;
    return end + 1;
}

void grid_text_write(struct solo *solo, const char *grid)
{
    for (const char *at = grid; *at; at += strspn(at, " ")) {
        const char *word = read_mark(solo, at);
        size_t len = strcspn(word, " ");

        if (strncmp(word, "||", 2) == 0) {
            solo->bars[solo->bar_count - 1].barlines |= BARLINE_DOUBLE;
        } else if (*word == '(') {
            solo->bars[solo->bar_count].barlines |= BARLINE_REPEAT_START;
        } else if (*word == ')') {
            solo->bars[solo->bar_count - 1].barlines |= BARLINE_REPEAT_END;
        } else if (len > 0) {
            const char *plus = memchr(word, '+', len);
            size_t first = plus ? (size_t)(plus - word) : len;

            add_bar(solo);
            if (*word != '%' && *word != '-')
                add_chord(solo, word, first, 0);
            if (plus)
                add_chord(solo, plus + 1, len - first - 1, 2);
        }
        at = word + len;
    }
}

void grid_text_play(struct solo *solo)
{
    int32_t from = 0;
    bool again = false;

    for (int32_t i = 0; i < (int32_t)solo->bar_count; i++) {
        if (solo->bars[i].barlines & BARLINE_REPEAT_START && i != from) {
            from = i;
            again = false;
        }
        solo->plays[solo->play_count++] = i;
        if ((solo->bars[i].barlines & BARLINE_REPEAT_END) && !again) {
            again = true;
            i = from - 1;
        }
    }
}

char *grid_text_form(char out[GRID_TEXT_FORM], const struct solo *solo)
{
    const struct form *form = &solo->form;
    const struct form_chorus *last;
    size_t complete = form->chorus_count;

    if (form->plan.length == 0)
        return strcpy(out, "none");
    last = &form->choruses[form->chorus_count - 1];
    complete -= !last->complete;
    sprintf(out, "%d from %d, %zu", (int)form->plan.length,
            (int)form->first_bar, complete);
    if (!last->complete)
        sprintf(out + strlen(out), " and %d", (int)last->bars);
    if (form->plan.tail)
        sprintf(out + strlen(out), ", tail %d", (int)form->plan.tail);
    strcat(out, ": ");
    for (size_t i = 0; i < form->plan.part_count; i++)
        strcat(out, form->plan.parts[i].letter);
    if (form->plan.source == FORM_MARKS)
        strcat(out, " by marks");
    return out;
}
