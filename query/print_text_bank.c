/* query/print_text_bank.c - banks as text.
 *
 *   mine: 2 cells
 *     1  5 b3 2 1   over m7         in C: G Eb D C
 *          slow, then over the V
 *     2  +3 +3 +3   over any chord
 */
#include <inttypes.h>
#include <string.h>
#include <time.h>

#include "query/columns.h"
#include "query/print_text.h"
#include "query/words.h"

enum {
    NUMBER_WIDTH = 3,
    INDENT = NUMBER_WIDTH + 2,
    BELOW = INDENT + 2, /* where remarks begin */
    GAP = 2,
    LINE_SIZE = 4 * REMARK_MAX_CHARACTERS + 64
};

/* The columns of a listing. */
enum {
    COL_CELL,
    COL_OVER,
    COL_NOTES,
    COLS
};

struct texts {
    char columns[COLS][CELL_TEXT_SIZE + 16];
};

static void fill(struct texts *texts, const struct kept_cell *kept)
{
    char notes[CELL_TEXT_SIZE];

    bank_cell_text(texts->columns[COL_CELL], kept);
    snprintf(texts->columns[COL_OVER], sizeof texts->columns[COL_OVER],
             "over %s", bank_cell_over(&kept->cell));
    bank_cell_notes(notes, &kept->cell);
    snprintf(texts->columns[COL_NOTES], sizeof texts->columns[COL_NOTES],
             "%s%s", *notes ? "in C: " : "", notes);
}

static void measure(int widths[COLS], const struct output *out,
                    const struct bank *bank)
{
    memset(widths, 0, COLS * sizeof *widths);
    for (size_t i = 0; i < bank->count; i++) {
        struct texts texts;

        fill(&texts, &bank->cells[i]);
        for (int c = 0; c < COLS; c++) {
            int width = columns_width(texts.columns[c]);

            widths[c] = width > widths[c] ? width : widths[c];
        }
    }
    columns_fit(widths, COLS, out->width - INDENT - (COLS - 1) * GAP);
}

static void put_row(const struct output *out, const struct kept_cell *kept,
                    const int widths[COLS])
{
    struct texts texts;
    int last = COL_NOTES;

    fill(&texts, kept);
    if (!*texts.columns[COL_NOTES])
        last = COL_OVER;
    fprintf(out->stream, "%*" PRId32, NUMBER_WIDTH, kept->number);
    for (int c = 0; c <= last; c++) {
        fprintf(out->stream, "%*s", GAP, "");
        if (c == COL_CELL)
            text_paint(out, PAINT_NOTES);
        columns_put(out->stream, texts.columns[c], widths[c],
                    c == last ? COLUMNS_LAST : COLUMNS_LEFT);
        if (c == COL_CELL)
            text_paint(out, PAINT_NONE);
    }
    putc('\n', out->stream);
}

/* A line below a cell, wrapped. */
static void put_below(const struct output *out, const char *text)
{
    fprintf(out->stream, "%*s", BELOW, "");
    columns_wrap(out->stream, text, out->width - BELOW, BELOW);
}

/* "added 2026-11-25, written A4 F4 E4 D4" */
static void put_details(const struct output *out, const struct kept_cell *kept)
{
    time_t when = (time_t)kept->added;
    struct tm parts;
    char day[20] = "", line[LINE_SIZE];

    if (localtime_r(&when, &parts))
        strftime(day, sizeof day, "%Y-%m-%d", &parts);
    snprintf(line, sizeof line, "added %s%s%s%s%s", day,
             *kept->given ? ", written " : "", kept->given,
             *kept->origin ? ", " : "", kept->origin);
    put_below(out, line);
}

enum status text_bank(const struct output *out, const struct bank_page *page,
                      struct fault *why)
{
    const struct bank *bank = page->bank;
    int widths[COLS];

    (void)why;
    text_paint(out, PAINT_HEADING);
    columns_wrap(out->stream, page->heading, out->width, INDENT);
    text_paint(out, PAINT_NONE);
    measure(widths, out, bank);
    for (size_t i = 0; i < bank->count; i++) {
        put_row(out, &bank->cells[i], widths);
        if (*bank->cells[i].note)
            put_below(out, bank->cells[i].note);
        if (page->details)
            put_details(out, &bank->cells[i]);
    }
    text_more(out, page->total, bank->count);
    return ST_OK;
}

enum status text_banks(const struct output *out, const struct bank_list *list,
                       struct fault *why)
{
    char count[WORDS_SIZE];
    int width = 0;

    (void)why;
    for (size_t i = 0; i < list->count; i++) {
        int here = columns_width(list->items[i].name);

        width = here > width ? here : width;
    }
    if (width > out->width - GAP - WORDS_SIZE / 4)
        width = out->width - GAP - WORDS_SIZE / 4;
    fprintf(out->stream, "%s\n",
            words_count(count, list->total, "bank", "banks"));
    for (size_t i = 0; i < list->count; i++) {
        fprintf(out->stream, "%*s", GAP, "");
        columns_put(out->stream, list->items[i].name, width, COLUMNS_LEFT);
        fprintf(out->stream, "%*s%s\n", GAP, "",
                words_count(count, (uint64_t)list->items[i].cells, "cell",
                            "cells"));
    }
    text_more(out, list->total, list->count);
    return ST_OK;
}
