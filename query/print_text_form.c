/* query/print_text_form.c - the form of one solo as text.
 *
 * Facts, the chorus map with bars as printed, and the chords of one chorus
 * with its bars counted from 1:
 *
 *   chorus 1   1-32      A 1-8  A 9-16  B 17-24  A 25-32
 *
 *   A    1 | C6 Am7    | Dm7 G7    | Em7 A7b9  | Dm7 G7    |
 */
#include <inttypes.h>
#include <stdlib.h>
#include <string.h>

#include "query/columns.h"
#include "query/grid_bar.h"
#include "query/print_text.h"
#include "query/words.h"

enum {
    LABEL_WIDTH = 12,
    LINE_SIZE = 256,
    RANGE_SIZE = 2 * WORDS_SIZE + 2,
    LINE_START = 12, /* columns before the first chord of a line */
    BARS_A_LINE = 4
};

/* --- facts ---------------------------------------------------------------- */

static void put_fact(const struct output *out, const char *label,
                     const char *value)
{
    columns_put(out->stream, label, LABEL_WIDTH, COLUMNS_LEFT);
    columns_put(out->stream, value, out->width - LABEL_WIDTH, COLUMNS_LAST);
    putc('\n', out->stream);
}

static void put_source(const struct output *out, const struct form_plan *plan)
{
    char line[LINE_SIZE];

    if (plan->source == FORM_USER) {
        put_fact(out, "known by", "what you said");
        return;
    }
    snprintf(line, sizeof line, "%s; %" PRId32 " %% sure",
             plan->source == FORM_MARKS ? "marks in the score"
                                        : "its chords",
             plan->confidence);
    put_fact(out, "known by", line);
}

/* "AABA, 32 bars"; one section goes without a letter. */
static void put_length(const struct output *out, const struct form_plan *plan)
{
    char letters[LINE_SIZE] = "", bars[WORDS_SIZE], line[2 * LINE_SIZE];
    size_t used = 0;

    for (size_t i = 0; i < plan->part_count && plan->part_count > 1; i++) {
        int n = snprintf(letters + used, sizeof letters - used, "%s",
                         plan->parts[i].letter);

        used += n > 0 ? (size_t)n : 0;
        if (used >= sizeof letters)
            break;
    }
    words_count(bars, (uint64_t)plan->length, "bar", "bars");
    snprintf(line, sizeof line, "%s%s%s", letters, *letters ? ", " : "", bars);
    put_fact(out, "form", line);
}

/* Bars before the first chorus and after the last. */
static void put_outside(const struct output *out, const struct solo *solo)
{
    const struct form *form = &solo->form;
    int32_t before = form->numbers[form->choruses[0].first_play];
    char line[WORDS_SIZE];

    if (before > 0)
        put_fact(out, "before it",
                 words_count(line, (uint64_t)before, "bar", "bars"));
    if (form->plan.tail > 0)
        put_fact(out, "after it", words_count(line, (uint64_t)form->plan.tail,
                                              "bar", "bars"));
}

static void put_choruses_fact(const struct output *out,
                              const struct form *form)
{
    const struct form_chorus *last = &form->choruses[form->chorus_count - 1];
    char line[LINE_SIZE];

    snprintf(line, sizeof line, "%zu", form->chorus_count);
    if (!last->complete)
        snprintf(line, sizeof line,
                 "%zu, the last ends after %" PRId32 " of %" PRId32 " bars",
                 form->chorus_count, last->bars, form->plan.length);
    put_fact(out, "choruses", line);
}

/* --- the chorus map ------------------------------------------------------- */

/* The last play of the COUNT bars from the play FIRST on. */
static int32_t last_play(const struct solo *solo, int32_t first, int32_t count)
{
    const int32_t *numbers = solo->form.numbers;
    int32_t i = first;

    while ((size_t)i + 1 < solo->play_count &&
           numbers[i + 1] < numbers[first] + count)
        i++;
    return i;
}

/* "17-24": bars as printed, or one of them. */
static char *range_text(char out[RANGE_SIZE], const struct solo *solo,
                        int32_t first_play, int32_t bars)
{
    char first[WORDS_SIZE], last[WORDS_SIZE];

    words_bar(first, solo, solo->plays[first_play]);
    words_bar(last, solo, solo->plays[last_play(solo, first_play, bars)]);
    if (strcmp(first, last) == 0)
        snprintf(out, RANGE_SIZE, "%s", first);
    else
        snprintf(out, RANGE_SIZE, "%s-%s", first, last);
    return out;
}

static void put_chorus(const struct output *out, const struct solo *solo,
                       const struct form_chorus *chorus, int width)
{
    char range[RANGE_SIZE], line[4 * LINE_SIZE];
    size_t used;

    range_text(range, solo, chorus->first_play, chorus->bars);
    snprintf(line, sizeof line, "  chorus %-3" PRId32 " %-*s",
             chorus->number, width, range);
    used = strlen(line);
    for (size_t i = 0; i < chorus->section_count; i++) {
        const struct form_section *section = &chorus->sections[i];
        int n;

        if (solo->form.plan.part_count < 2 || used + 1 >= sizeof line)
            break;
        range_text(range, solo, section->first_play, section->bars);
        n = snprintf(line + used, sizeof line - used, "  %s %s",
                     section->letter, range);
        used += n > 0 ? (size_t)n : 0;
    }
    for (used = strlen(line); used > 0 && line[used - 1] == ' '; used--)
        line[used - 1] = '\0';
    columns_put(out->stream, line, out->width, COLUMNS_LAST);
    putc('\n', out->stream);
}

static void put_map(const struct output *out, const struct solo *solo)
{
    int width = 0;

    putc('\n', out->stream);
    for (size_t i = 0; i < solo->form.chorus_count; i++) {
        const struct form_chorus *chorus = &solo->form.choruses[i];
        char range[RANGE_SIZE];
        int here = columns_width(range_text(range, solo, chorus->first_play,
                                            chorus->bars));

        width = here > width ? here : width;
    }
    for (size_t i = 0; i < solo->form.chorus_count; i++)
        put_chorus(out, solo, &solo->form.choruses[i], width);
}

/* --- the chords of one chorus --------------------------------------------- */

/* The chorus that is drawn, bar by bar. */
struct drawn {
    struct grid_bar *bars;
    int32_t count;
    int cell; /* columns of a bar */
    int fit;  /* bars that stand on a line */
};

/* The first chord of SOLO in the written bar BAR or after it. */
static size_t first_chord(const struct solo *solo, int32_t bar)
{
    size_t i = 0;

    while (i < solo->chord_count && solo->chords[i].bar < bar)
        i++;
    return i;
}

static void fill_bars(struct drawn *drawn, const struct solo *solo)
{
    const struct form_chorus *chorus = &solo->form.choruses[0];
    struct grid_place place = GRID_START;

    for (int32_t i = 0; i < chorus->play_count; i++) {
        size_t play = (size_t)(chorus->first_play + i);
        int32_t bar = solo->plays[play];

        /* The rest of a divided bar is left to the grid of the solo. */
        if (!form_starts_bar(solo, play))
            continue;
        place.next = first_chord(solo, bar);
        grid_bar(&drawn->bars[drawn->count++], solo, (size_t)bar, &place);
    }
}

/* As many bars on a line as fit, of four, two and one. */
static void measure_bars(struct drawn *drawn, int room)
{
    for (int32_t i = 0; i < drawn->count; i++) {
        int width = grid_bar_width(&drawn->bars[i]);

        drawn->cell = width > drawn->cell ? width : drawn->cell;
    }
    drawn->fit = BARS_A_LINE;
    while (drawn->fit > 1 && drawn->fit * (drawn->cell + 3) > room)
        drawn->fit /= 2;
    if (drawn->cell > room - 3)
        drawn->cell = room - 3;
}

static void put_line(const struct output *out, const struct drawn *drawn,
                     const char *letter, int32_t first, int32_t end)
{
    FILE *f = out->stream;

    fprintf(f, "  %-3.3s %3" PRId32 " |", letter, first + 1);
    for (int32_t i = first; i < end; i++) {
        putc(' ', f);
        columns_put(f, drawn->bars[i].chords, drawn->cell, COLUMNS_LEFT);
        fputs(" |", f);
    }
    putc('\n', f);
}

/* What the chords do, below them. */
static void put_functions(const struct output *out, const struct drawn *drawn,
                          int32_t first, int32_t end)
{
    int start = LINE_START, at = 0;

    for (int32_t i = first; i < end; i++, start += drawn->cell + 3) {
        const char *text = drawn->bars[i].functions;
        int used = columns_width(text);

        if (used == 0)
            continue;
        fprintf(out->stream, "%*s", start - at, "");
        columns_put(out->stream, text, drawn->cell, COLUMNS_LAST);
        at = start + (used < drawn->cell ? used : drawn->cell);
    }
    if (at > 0)
        putc('\n', out->stream);
}

/* The bars FIRST..END-1, a section or what stands outside of any. */
static void put_part(const struct output *out, const struct drawn *drawn,
                     const char *letter, int32_t first, int32_t end)
{
    for (int32_t i = first; i < end; i += drawn->fit) {
        int32_t last = i + drawn->fit < end ? i + drawn->fit : end;

        put_line(out, drawn, i == first ? letter : "", i, last);
        put_functions(out, drawn, i, last);
    }
}

static enum status put_grid(const struct output *out, const struct solo *solo,
                            struct fault *why)
{
    const struct form_chorus *chorus = &solo->form.choruses[0];
    struct drawn drawn = { .count = 0 };
    int32_t at = 0;

    drawn.bars = calloc((size_t)chorus->play_count + 1, sizeof *drawn.bars);
    if (!drawn.bars)
        return fault_nomem(why);
    fill_bars(&drawn, solo);
    measure_bars(&drawn, out->width - 10);
    putc('\n', out->stream);
    for (size_t i = 0; i < chorus->section_count; i++) {
        const struct form_section *section = &chorus->sections[i];

        put_part(out, &drawn, chorus->section_count > 1 ? section->letter : "",
                 at, at + section->bars);
        at += section->bars;
    }
    put_part(out, &drawn, "", at, drawn.count);
    free(drawn.bars);
    return ST_OK;
}

enum status text_form(const struct output *out, const struct form_page *page,
                      struct fault *why)
{
    const struct solo *solo = page->solo;

    text_paint(out, PAINT_HEADING);
    columns_put(out->stream, *solo->title ? solo->title : page->record->path,
                out->width, COLUMNS_LAST);
    text_paint(out, PAINT_NONE);
    putc('\n', out->stream);
    if (*solo->performer)
        put_fact(out, "performer", solo->performer);
    put_fact(out, "file", page->record->path);
    if (solo->form.plan.length == 0) {
        if (solo->form.plan.source == FORM_USER) {
            put_fact(out, "form", "none, as you said");
            return ST_OK;
        }
        put_fact(out, "form", "none found");
        columns_wrap(out->stream,
                     "No cycle of eight bars or more returns in it, and "
                     "nothing marks one.",
                     out->width, 0);
        return ST_OK;
    }
    put_length(out, &solo->form.plan);
    put_source(out, &solo->form.plan);
    put_choruses_fact(out, &solo->form);
    put_outside(out, solo);
    put_map(out, solo);
    return put_grid(out, solo, why);
}
