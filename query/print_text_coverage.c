/* query/print_text_coverage.c - what a line is made of, as text. */
#include <inttypes.h>
#include <stdlib.h>
#include <string.h>

#include "query/columns.h"
#include "query/print_text.h"
#include "query/words.h"

enum {
    LABEL_WIDTH = 12,
    LINE_SIZE = 512,
    BARS_MAX = 24, /* listed of a cell */
    BARS_SIZE = (BARS_MAX + 1) * (WORDS_SIZE + 2)
};

/* --- facts ---------------------------------------------------------------- */

static void put_fact(const struct output *out, const char *label,
                     const char *value)
{
    columns_put(out->stream, label, LABEL_WIDTH, COLUMNS_LEFT);
    columns_put(out->stream, value, out->width - LABEL_WIDTH, COLUMNS_LAST);
    putc('\n', out->stream);
}

/* "34 of 52 notes, 65.4 %: 9 places, 6 different cells". */
static void put_covered(const struct output *out, const struct coverage *c,
                        size_t different)
{
    int64_t share = coverage_share(c, 1000);
    char notes[WORDS_SIZE], places[WORDS_SIZE], line[LINE_SIZE];
    int n;

    words_count(notes, c->notes, "note", "notes");
    words_count(places, c->places, "place", "places");
    n = snprintf(line, sizeof line, "%zu of %s, %" PRId64 ".%" PRId64 " %%",
                 c->covered, notes, share / 10, share % 10);
    if (c->places > 0 && n > 0)
        snprintf(line + n, sizeof line - (size_t)n,
                 ": %s, %zu different cell%s", places, different,
                 different == 1 ? "" : "s");
    put_fact(out, "covered", line);
}

/* "12 notes: 3 scale runs, 1 enclosure": what stands between the cells. */
static void put_between(const struct output *out, const struct coverage *c)
{
    static const char *const more[JOINS] = { "enclosures",     "approach notes",
                                             "scale runs",     "arpeggios",
                                             "chromatic runs", "repeated notes",
                                             "other" };
    size_t count[JOINS] = { 0 }, used;
    char line[LINE_SIZE];
    int n;

    for (size_t i = 0; i < c->span_count; i++)
        if (c->spans[i].cell == COVERAGE_NO_CELL)
            count[c->spans[i].what]++;
    if (c->notes == c->covered)
        return;
    n = snprintf(line, sizeof line, "%zu note%s", c->notes - c->covered,
                 c->notes - c->covered == 1 ? "" : "s");
    used = n > 0 ? (size_t)n : 0;
    for (int what = 0; what < JOINS; what++) {
        if (count[what] == 0)
            continue;
        n = snprintf(line + used, sizeof line - used, "%s %zu %s",
                     strchr(line, ':') ? "," : ":", count[what],
                     count[what] == 1 ? join_name((enum join)what)
                                      : more[what]);
        used += n > 0 ? (size_t)n : 0;
    }
    columns_put(out->stream, "between", LABEL_WIDTH, COLUMNS_LEFT);
    columns_wrap(out->stream, line, out->width - LABEL_WIDTH, LABEL_WIDTH);
}

static void put_facts(const struct output *out,
                      const struct coverage_page *page, size_t different)
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
    if (page->asked)
        put_fact(out, "bars", page->asked);
    put_fact(out, "cells", page->cells_from);
    put_covered(out, page->coverage, different);
    put_between(out, page->coverage);
}

/* --- the cells ------------------------------------------------------------ */

/* A cell that was used. */
struct used {
    size_t cell, uses, first; /* FIRST: note of its first place */
};

static int compare_used(const void *a, const void *b)
{
    const struct used *x = a, *y = b;

    if (x->uses != y->uses)
        return x->uses > y->uses ? -1 : 1;
    return x->first < y->first ? -1 : x->first > y->first;
}

/* The cells in COVERAGE, the most used first, then as they come in the line:
 * into USED.  Returns how many. */
static size_t find_used(struct used *used, const size_t *uses,
                        const struct coverage *coverage, size_t *numbers)
{
    size_t count = 0;

    for (size_t i = 0; i < coverage->span_count; i++) {
        const struct coverage_span *span = &coverage->spans[i];

        if (span->cell == COVERAGE_NO_CELL || numbers[span->cell] > 0)
            continue;
        numbers[span->cell] = 1;
        used[count++] =
            (struct used){ (size_t)span->cell, uses[span->cell], span->first };
    }
    qsort(used, count, sizeof *used, compare_used);
    for (size_t i = 0; i < count; i++)
        numbers[used[i].cell] = i + 1;
    return count;
}

/* "5 b3 2 1 over minor"; a cell that is bound to nothing by its intervals,
 * "-4 -1 -2". */
static void describe_cell(char *out, size_t size,
                          const struct coverage_cell *cell)
{
    const struct cell_shape *shape = &cell->shape;
    size_t used = 0;

    out[0] = '\0';
    for (int i = 0; i < shape->notes && cell->degrees[0]; i++)
        used += (size_t)snprintf(out + used, size - used, "%s%s", i ? " " : "",
                                 cell->degrees[i]);
    for (int i = 0; i + 1 < shape->notes && !cell->degrees[0]; i++)
        used += (size_t)snprintf(out + used, size - used, "%s%+d", i ? " " : "",
                                 shape->steps[i]);
    if (shape->class != COVERAGE_ANY)
        snprintf(out + used, size - used, " over %s",
                 chord_class_name(shape->class));
}

/* "1, 9, 17 and 4 more": the bars in which CELL starts, each once. */
static void describe_bars(char *out, size_t size,
                          const struct coverage_page *page, size_t cell)
{
    const struct coverage *c = page->coverage;
    int32_t before = -1;
    size_t used = 0, count = 0;

    out[0] = '\0';
    for (size_t i = 0; i < c->span_count; i++) {
        int32_t bar = page->solo->notes[c->spans[i].first].bar;
        char text[WORDS_SIZE];

        if (c->spans[i].cell != (int32_t)cell || bar == before)
            continue;
        before = bar;
        if (count++ >= BARS_MAX)
            continue;
        words_bar(text, page->solo, bar);
        used += (size_t)snprintf(out + used, size - used, "%s%s",
                                 count > 1 ? ", " : "", text);
    }
    if (count > BARS_MAX)
        snprintf(out + used, size - used, " and %zu more", count - BARS_MAX);
}

static void put_cells(const struct output *out,
                      const struct coverage_page *page, const struct used *used,
                      size_t count)
{
    int width = 0, number = count > 9 ? count > 99 ? 3 : 2 : 1;
    char text[LINE_SIZE], bars[BARS_SIZE], line[2 * LINE_SIZE];

    for (size_t i = 0; i < count; i++) {
        describe_cell(text, sizeof text, &page->cells[used[i].cell]);
        if ((int)strlen(text) > width)
            width = (int)strlen(text);
    }
    fprintf(out->stream, "\nthe cells, the most used first\n");
    for (size_t i = 0; i < count; i++) {
        bool once = used[i].uses == 1;
        int n;

        describe_cell(text, sizeof text, &page->cells[used[i].cell]);
        describe_bars(bars, sizeof bars, page, used[i].cell);
        n = snprintf(line, sizeof line, "  %*zu  %-*s  %3zu time%s  bar%s ",
                     number, i + 1, width, text, used[i].uses, once ? " " : "s",
                     once ? "" : "s");
        fputs(line, out->stream);
        columns_wrap(out->stream, bars, out->width - n, n);
    }
}

enum status text_coverage(const struct output *out,
                          const struct coverage_page *page, struct fault *why)
{
    size_t *uses = calloc(page->cell_count + 1, sizeof *uses);
    size_t *numbers = calloc(page->cell_count + 1, sizeof *numbers);
    struct used *used = calloc(page->cell_count + 1, sizeof *used);
    enum status st = ST_NOMEM;
    size_t count;

    if (uses && numbers && used) {
        coverage_uses(uses, page->cell_count, page->coverage);
        count = find_used(used, uses, page->coverage, numbers);
        put_facts(out, page, count);
        st = text_coverage_bars(out, page, numbers, why);
        if (st == ST_OK && count > 0)
            put_cells(out, page, used, count);
    } else {
        fault_nomem(why);
    }
    free(uses);
    free(numbers);
    free(used);
    return st;
}
