/* query/print_text_coverage_bars.c - what the notes of a line are, bar by bar.
 *
 *   5 | Dm7             G7                  | Cmaj7
 *       A4  F4  E4  D4  Ab4 G4  F4  D4        E4  G4
 *       5   b3  2   1   b9  1   b7  5         3   5
 *       1-------------- scale----------       other--
 *
 * A bar too long for a line goes on in the next.
 */
#include <string.h>

#include "query/columns.h"
#include "query/coverage_columns.h"
#include "query/print_text.h"

enum {
    INDENT = 2,
    BARS_A_LINE = 4,
    NUMBER_MAX = 8, /* columns of a bar number */
    BAR_LINE = 2    /* columns of "| " */
};

struct view {
    const struct output *out;
    struct coverage_columns columns;
    int label; /* columns of the widest bar number */
};

/* The end of the line that starts with the column FIRST: whole bars, or as
 * much of one as fits. */
static size_t line_end(const struct view *v, size_t first)
{
    /* The bar line at the end takes one more. */
    int left = v->out->width - INDENT - v->label - 1 - BAR_LINE - 1;
    size_t end = first, bars = 0;

    for (size_t i = first; i < v->columns.count; i++) {
        const struct coverage_column *c = &v->columns.items[i];

        if (c->opens && i > first) {
            end = i;
            left -= BAR_LINE;
            if (++bars == BARS_A_LINE ||
                text_breaks_line(v->columns.page->solo, (size_t)c->bar))
                return end;
        }
        left -= c->width;
        if (left < 0)
            return end > first ? end : i > first ? i : i + 1;
    }
    return v->columns.count;
}

/* A line being written: blanks are held back until something follows. */
struct line {
    FILE *out;
    int blanks;
};

/* Before the first column. */
static struct line line_start(const struct view *v)
{
    return (struct line){ v->out->stream, INDENT + v->label + 1 };
}

static void put_blanks(struct line *line)
{
    fprintf(line->out, "%*s", line->blanks, "");
    line->blanks = 0;
}

static void put_char(struct line *line, int what)
{
    if (what == ' ') {
        line->blanks++;
        return;
    }
    put_blanks(line);
    putc(what, line->out);
}

static void put_chords(const struct view *v, size_t first, size_t end)
{
    const struct coverage_column *start = &v->columns.items[first];
    bool whole = end == v->columns.count || v->columns.items[end].opens;
    FILE *f = v->out->stream;
    char label[WORDS_SIZE];

    fprintf(f, "%*s", INDENT, "");
    words_bar(label, v->columns.page->solo, start->bar);
    columns_put(f, start->opens ? label : "", v->label, COLUMNS_RIGHT);
    putc(' ', f);
    for (size_t i = first; i < end;) {
        const struct coverage_column *c = &v->columns.items[i];
        int width = 0;

        if (c->opens || i == first)
            fputs(c->opens ? "| " : "  ", f);
        do
            width += v->columns.items[i++].width;
        while (i < end && !v->columns.items[i].chord[0] &&
               !v->columns.items[i].opens);
        columns_put(f, c->goes_on && c != start ? "%" : c->chord, width,
                    i == end && !whole ? COLUMNS_LAST : COLUMNS_LEFT);
    }
    fputs(whole ? "|\n" : "\n", f);
}

static const char *name_at(const struct coverage_column *c)
{
    return c->name;
}

static const char *degree_at(const struct coverage_column *c)
{
    return c->degree;
}

/* A row of what TEXT says of each column; none where that is nothing. */
static void put_row(const struct view *v, size_t first, size_t end,
                    const char *(*text)(const struct coverage_column *))
{
    struct line line = line_start(v);
    bool any = false;

    for (size_t i = first; i < end; i++) {
        const struct coverage_column *c = &v->columns.items[i];
        int used = columns_width(text(c));

        if (i == first || c->opens)
            line.blanks += BAR_LINE;
        if (used > 0) {
            put_blanks(&line);
            columns_put(line.out, text(c), used, COLUMNS_LAST);
            any = true;
        }
        line.blanks += c->width - used;
    }
    if (any)
        putc('\n', line.out);
}

/* COUNT columns: what is left of LABEL, then WHAT. */
static void fill(struct line *line, const char **label, int what, int count)
{
    while (count-- > 0)
        put_char(line, **label ? *(*label)++ : what);
}

/* What the notes are: a word or number, and a line as far as it goes. */
static void put_labels(const struct view *v, size_t first, size_t end)
{
    struct line line = line_start(v);
    const char *label = "";
    char text[WORDS_SIZE];
    int what = ' '; /* of the span at hand, if it goes on */

    for (size_t i = first; i < end; i++) {
        const struct coverage_column *c = &v->columns.items[i];
        const struct coverage_span *span = coverage_column_span(&v->columns, c);

        if (i == first || c->opens)
            fill(&line, &label, what, BAR_LINE);
        if (span && c->note == (int64_t)span->first)
            label = coverage_label(&v->columns, text, span);
        if (span)
            what = '-';
        if (!span || c->note != (int64_t)span->last) {
            fill(&line, &label, what, c->width);
            continue;
        }
        fill(&line, &label, what, c->width - 1);
        label = "";
        what = ' ';
        put_char(&line, ' ');
    }
    putc('\n', line.out);
}

static bool has_notes(const struct view *v, size_t first, size_t end)
{
    while (first < end && v->columns.items[first].note == COVERAGE_NO_NOTE)
        first++;
    return first < end;
}

static void put_lines(const struct view *v)
{
    const struct bar *bars = v->columns.page->solo->bars;

    for (size_t first = 0, end; first < v->columns.count; first = end) {
        const struct coverage_column *c = &v->columns.items[first];

        end = line_end(v, first);
        putc('\n', v->out->stream);
        if (c->opens && bars[c->bar].rehearsal)
            text_mark(v->out, bars[c->bar].rehearsal);
        put_chords(v, first, end);
        text_paint(v->out, PAINT_NOTES);
        put_row(v, first, end, name_at);
        text_paint(v->out, PAINT_NONE);
        put_row(v, first, end, degree_at);
        if (has_notes(v, first, end))
            put_labels(v, first, end);
    }
}

/* The columns of the widest bar number. */
static int label_width(const struct coverage_page *page)
{
    int widest = 1;

    for (size_t i = page->bars.first; i <= page->bars.last; i++) {
        char label[WORDS_SIZE];
        int width = columns_width(words_bar(label, page->solo, (int32_t)i));

        if (width > widest)
            widest = width < NUMBER_MAX ? width : NUMBER_MAX;
    }
    return widest;
}

enum status text_coverage_bars(const struct output *out,
                               const struct coverage_page *page,
                               const size_t *numbers, struct fault *why)
{
    struct view v = { .out = out, .label = label_width(page) };
    enum status st = coverage_columns_make(&v.columns, page, numbers, why);

    if (st == ST_OK)
        put_lines(&v);
    coverage_columns_free(&v.columns);
    return st;
}
