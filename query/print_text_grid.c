/* query/print_text_grid.c - the chord grid of a solo.
 *
 * Four bars a line, the number printed in the score before the first of them,
 * the functions below with the key where it changes:
 *
 *       1 | Dm7         | G7          | Cmaj7       | %           |
 *           C: ii7        V7            Imaj7
 *
 * A bar with many chords takes the room of two or more.
 */
#include <stdlib.h>
#include <string.h>

#include "query/columns.h"
#include "query/grid_bar.h"
#include "query/print_text.h"
#include "query/words.h"

enum {
    INDENT = 2,
    LABEL_MAX = 8,
    BARS_A_LINE = 4
};

/* The bar lines that are drawn as more than a line. */
enum {
    SHOWN_LINES = BARLINE_DOUBLE | BARLINE_FINAL | BARLINE_REPEAT_START |
                  BARLINE_REPEAT_END
};

struct grid {
    struct grid_bar *bars;
    int cell;  /* columns of a bar */
    int label; /* of the number before a line */
    int line;  /* of a bar line: 2 where there are repeats */
    int room;  /* bars of this width that fit on a line, 1..BARS_A_LINE */
};

/* The columns from the start of one bar to the start of the next. */
static int slot_width(const struct grid *grid)
{
    return 1 + grid->cell + 1 + grid->line;
}

/* How many bars' room the text of BAR takes. */
static int slots_of(const struct grid *grid, size_t bar)
{
    int more = grid_bar_width(&grid->bars[bar]) - grid->cell, slots = 1;

    while (more > 0 && slots < grid->room) {
        slots++;
        more -= slot_width(grid);
    }
    return slots;
}

/* The cell is as wide as the widest bar that lets four fit on a line, and
 * wide enough that no bar needs more than the whole line. */
static void measure_cell(struct grid *grid, const struct solo *solo, int free)
{
    int most = free / BARS_A_LINE - 2 - grid->line, widest = 0, least;

    for (size_t i = 0; i < solo->bar_count; i++) {
        int width = grid_bar_width(&grid->bars[i]);

        if (width > grid->cell && width <= most)
            grid->cell = width;
        if (width > widest)
            widest = width;
    }
    grid->room = BARS_A_LINE;
    least = (widest + 2 + grid->line) / BARS_A_LINE - 1 - grid->line;
    if (least > most)
        least = most;
    if (least > grid->cell)
        grid->cell = least;
}

static void measure_grid(struct grid *grid, const struct output *out,
                         const struct solo *solo)
{
    grid->line = 1;
    for (size_t i = 0; i < solo->bar_count; i++) {
        char label[WORDS_SIZE];
        int width = columns_width(words_bar(label, solo, (int32_t)i));

        if (width > grid->label)
            grid->label = width < LABEL_MAX ? width : LABEL_MAX;
        if (solo->bars[i].barlines & SHOWN_LINES)
            grid->line = 2;
    }
    measure_cell(grid, solo,
                 out->width - INDENT - grid->label - 1 - grid->line);
}

bool text_breaks_line(const struct solo *solo, size_t bar)
{
    const struct bar *now = &solo->bars[bar], *before = now - 1;

    if (bar == 0 || now->rehearsal || now->implicit != before->implicit)
        return true;
    if (!*now->number || !*before->number)
        return *now->number != *before->number;
    return strspn(now->number, "0123456789") != strlen(now->number) ||
           strtol(now->number, NULL, 10) !=
               strtol(before->number, NULL, 10) + 1;
}

/* The end of the group of up to four bars that starts at FIRST. */
static size_t group_end(const struct solo *solo, size_t first)
{
    size_t end = first + 1;

    while (end < solo->bar_count && end < first + BARS_A_LINE &&
           !text_breaks_line(solo, end))
        end++;
    return end;
}

/* The bar line between BAR and NEXT, either of them NULL at the ends of a
 * line of the grid. */
static const char *bar_line(const struct bar *bar, const struct bar *next)
{
    if (bar && (bar->barlines & BARLINE_REPEAT_END))
        return ":|";
    if (next && (next->barlines & BARLINE_REPEAT_START))
        return "|:";
    if (bar && (bar->barlines & (BARLINE_DOUBLE | BARLINE_FINAL)))
        return "||";
    return "|";
}

/* The end of the bars from FIRST on that fit on a line, at most END. */
static size_t line_end(const struct grid *grid, size_t first, size_t end)
{
    int left = grid->room - slots_of(grid, first);
    size_t i = first + 1;

    for (; i < end && slots_of(grid, i) <= left; i++)
        left -= slots_of(grid, i);
    return i;
}

/* The columns of the text of BAR. */
static int text_width(const struct grid *grid, size_t bar)
{
    return grid->cell + (slots_of(grid, bar) - 1) * slot_width(grid);
}

static void put_chords(const struct output *out, const struct solo *solo,
                       const struct grid *grid, size_t first, size_t end)
{
    const struct bar *bars = solo->bars;
    FILE *f = out->stream;
    char label[WORDS_SIZE];

    fprintf(f, "%*s", INDENT, "");
    columns_put(f, words_bar(label, solo, (int32_t)first), grid->label,
                COLUMNS_RIGHT);
    fprintf(f, " %-*s", grid->line, bar_line(NULL, &bars[first]));
    for (size_t i = first; i < end; i++) {
        bool last = i + 1 == end;

        putc(' ', f);
        columns_put(f, grid->bars[i].chords, text_width(grid, i),
                    COLUMNS_LEFT);
        fprintf(f, " %-*s", last ? 0 : grid->line,
                bar_line(&bars[i], last ? NULL : &bars[i + 1]));
    }
    putc('\n', f);
}

/* The functions stand below their chords; no line where there are none. */
static void put_functions(const struct output *out, const struct grid *grid,
                          size_t first, size_t end)
{
    int start = INDENT + grid->label + 1 + grid->line + 1, at = 0;

    for (size_t i = first; i < end; i++) {
        const char *text = grid->bars[i].functions;
        int width = text_width(grid, i), used = columns_width(text);

        if (used > 0) {
            fprintf(out->stream, "%*s", start - at, "");
            columns_put(out->stream, text, width, COLUMNS_LAST);
            at = start + (used < width ? used : width);
        }
        start += width + 1 + grid->line + 1;
    }
    if (at > 0)
        putc('\n', out->stream);
}

void text_mark(const struct output *out, const char *mark)
{
    fprintf(out->stream, "%*s[", INDENT, "");
    columns_put(out->stream, mark, out->width - INDENT - 2, COLUMNS_LAST);
    fputs("]\n", out->stream);
}

static void put_lines(const struct output *out, const struct solo *solo,
                      const struct grid *grid)
{
    size_t bar = 0;

    while (bar < solo->bar_count) {
        size_t end = group_end(solo, bar);

        if (solo->bars[bar].rehearsal)
            text_mark(out, solo->bars[bar].rehearsal);
        while (bar < end) {
            size_t last = line_end(grid, bar, end);

            put_chords(out, solo, grid, bar, last);
            put_functions(out, grid, bar, last);
            bar = last;
        }
    }
}

enum status text_grid(const struct output *out, const struct solo *solo,
                      struct fault *why)
{
    struct grid grid = { 0 };
    struct grid_place place = GRID_START;

    putc('\n', out->stream);
    if (solo->chord_count == 0 || solo->bar_count == 0) {
        fputs("The file has no chord symbols.\n", out->stream);
        return ST_OK;
    }
    grid.bars = calloc(solo->bar_count, sizeof *grid.bars);
    if (!grid.bars)
        return fault_nomem(why);
    for (size_t i = 0; i < solo->bar_count; i++)
        grid_bar(&grid.bars[i], solo, i, &place);
    measure_grid(&grid, out, solo);
    put_lines(out, solo, &grid);
    free(grid.bars);
    return ST_OK;
}
