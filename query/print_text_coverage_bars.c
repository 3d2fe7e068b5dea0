/* query/print_text_coverage_bars.c - what the notes of a line are, bar by bar.
 *
 *    5 | Dm7              G7                  | Cmaj7
 *        A4  F4  E4  D4   Eb4 C4  B3  A3      | G3  B3 ...
 *        5   b3  2   1    b13 11  3   9         5   7
 *        1-------------   scale---------------
 *
 * Each note has a column, and so has a chord under which no note starts.  A
 * bar too long for a line goes on in the next.
 */
#include <stdlib.h>
#include <string.h>

#include "query/columns.h"
#include "query/hit_view.h"
#include "query/print_text.h"
#include "query/words.h"

enum {
    INDENT = 2,
    BARS_A_LINE = 4,
    COLUMN_MIN = 4,
    NUMBER_MAX = 8, /* columns of a bar number */
    BAR_LINE = 2,   /* columns of "| " */
    SYMBOL_SIZE = CHORD_TEXT_SIZE + 2,
    NO_NOTE = -1
};

struct column {
    int64_t note; /* of the solo, or NO_NOTE */
    int32_t bar, span;
    bool opens;   /* it is the first of its bar */
    bool goes_on; /* CHORD was there before the bar */
    char chord[SYMBOL_SIZE], name[PITCH_TEXT_SIZE];
    const char *degree;
    int width;
};

struct view {
    const struct output *out;
    const struct coverage_page *page;
    const size_t *numbers;
    struct column *columns;
    size_t count;
    int label; /* columns of the widest bar number */
};

static const struct coverage_span *span_of(const struct view *v, int32_t span)
{
    return span < 0 ? NULL : &v->page->coverage->spans[span];
}

/* --- columns -------------------------------------------------------------- */

static const char *symbol_of(const struct chord_event *event)
{
    return event->chord.class == CHORD_NONE ? "N.C." : event->chord.symbol;
}

/* How far the solo is written: the next note and chord, and the span of that
 * note. */
struct pen {
    size_t note, end, chord;
    int32_t span;
    const char *degrees[CELLS_NOTES_MAX]; /* of the cell at hand */
    bool has_degrees;
};

static struct column *add_column(struct view *v, int32_t bar,
                                 const char *symbol)
{
    struct column *c = &v->columns[v->count++];

    *c = (struct column){ .note = NO_NOTE,
                          .bar = bar,
                          .span = -1,
                          .degree = "",
                          .width = COLUMN_MIN };
    snprintf(c->chord, sizeof c->chord, "%s", symbol ? symbol : "");
    return c;
}

/* Go to the span of the next note. */
static void follow_spans(struct pen *pen, const struct view *v)
{
    const struct coverage *coverage = v->page->coverage;
    const struct coverage_span *span = span_of(v, pen->span);

    if (span && pen->note <= span->last)
        return;
    span = &coverage->spans[++pen->span];
    pen->has_degrees = span->cell != COVERAGE_NO_CELL &&
                       coverage_place(pen->degrees, v->page->solo, span);
}

/* The degree of the next note: in a cell as of the cell, else over the chord
 * it is heard over, between its neighbours. */
static const char *degree_of(const struct view *v, const struct pen *pen)
{
    const struct solo *solo = v->page->solo;
    const struct chord_event *heard =
        real_chord(solo, solo->notes[pen->note].heard);
    size_t first = pen->note > 0 ? pen->note - 1 : 0, count = 0;
    const char *degrees[3];
    int midi[3];

    if (pen->has_degrees)
        return pen->degrees[pen->note - span_of(v, pen->span)->first];
    if (!heard)
        return "";
    for (; count < 3 && first + count < solo->note_count; count++)
        midi[count] = solo->notes[first + count].midi;
    chord_cell_degrees(degrees, &heard->chord, midi, count);
    return degrees[pen->note - first];
}

/* The next note, under SYMBOL where one stands there. */
static void add_note(struct view *v, struct pen *pen, const char *symbol)
{
    const struct solo *solo = v->page->solo;
    const struct note *note = &solo->notes[pen->note];
    struct column *c = add_column(v, note->bar, symbol);
    int width;

    follow_spans(pen, v);
    c->note = (int64_t)pen->note;
    c->span = pen->span;
    c->degree = degree_of(v, pen);
    pitch_text(c->name, note->sounding);
    if (!symbol && note->heard != note->chord && note->heard >= 0)
        snprintf(c->chord, sizeof c->chord, "(%s)",
                 symbol_of(&solo->chords[note->heard]));
    width = columns_width(c->name) + 1;
    c->width = width > c->width ? width : c->width;
    width = columns_width(c->degree) + 1;
    c->width = width > c->width ? width : c->width;
    pen->note++;
}

/* The columns of BAR, chords where they take effect. */
static void add_bar(struct view *v, struct pen *pen, int32_t bar)
{
    const struct solo *solo = v->page->solo;
    size_t start = v->count, before = pen->chord;
    const char *symbol = NULL; /* not written yet */
    struct column *first;

    for (;;) {
        const struct chord_event *event =
            pen->chord < solo->chord_count ? &solo->chords[pen->chord] : NULL;
        const struct note *note =
            pen->note < pen->end ? &solo->notes[pen->note] : NULL;
        bool has_chord = event && event->bar <= bar;
        bool has_note = note && note->bar == bar;

        if (has_chord && (!has_note || event->takes_effect <= note->onset)) {
            if (symbol)
                add_column(v, bar, symbol);
            symbol = symbol_of(event);
            pen->chord++;
        } else if (has_note) {
            add_note(v, pen, symbol);
            symbol = NULL;
        } else {
            break;
        }
    }
    if (symbol || v->count == start)
        add_column(v, bar, symbol);
    first = &v->columns[start];
    first->opens = true;
    if (!first->chord[0] && before > 0) {
        first->goes_on = true;
        snprintf(first->chord, sizeof first->chord, "%s",
                 symbol_of(&solo->chords[before - 1]));
    }
}

/* --- widths --------------------------------------------------------------- */

/* What stands below the first note of SPAN. */
static const char *label_of(const struct view *v, char out[WORDS_SIZE],
                            const struct coverage_span *span)
{
    if (span->cell == COVERAGE_NO_CELL)
        return join_word(span->what);
    snprintf(out, WORDS_SIZE, "%zu", v->numbers[span->cell]);
    return out;
}

/* The columns FIRST..END-1 are to take NEEDED columns at least. */
static void widen(struct view *v, size_t first, size_t end, int needed)
{
    for (size_t i = first; i < end; i++)
        needed -= v->columns[i].width;
    if (needed > 0)
        v->columns[end - 1].width += needed;
}

/* Make room for chords and labels in the columns FIRST..END-1 of one bar. */
static void make_room(struct view *v, size_t first, size_t end)
{
    size_t chord = first, label = first;

    for (size_t i = first + 1; i <= end; i++) {
        const struct coverage_span *span = span_of(v, v->columns[label].span);
        char text[WORDS_SIZE];

        if (i == end || v->columns[i].chord[0]) {
            widen(v, chord, i, columns_width(v->columns[chord].chord) + 1);
            chord = i;
        }
        if (i == end || v->columns[i].span != v->columns[label].span) {
            if (span && (int64_t)span->first == v->columns[label].note)
                widen(v, label, i, (int)strlen(label_of(v, text, span)) + 1);
            label = i;
        }
    }
}

static void measure(struct view *v)
{
    const struct bar_indexes *bars = &v->page->bars;
    size_t first = 0;

    for (size_t i = 1; i <= v->count; i++) {
        if (i < v->count && !v->columns[i].opens)
            continue;
        make_room(v, first, i);
        first = i;
    }
    for (size_t i = bars->first; i <= bars->last; i++) {
        char label[WORDS_SIZE];
        int width = columns_width(words_bar(label, v->page->solo, (int32_t)i));

        if (width > v->label)
            v->label = width < NUMBER_MAX ? width : NUMBER_MAX;
    }
}

/* --- lines ---------------------------------------------------------------- */

/* The end of the line that starts with the column FIRST: whole bars, or as
 * much of one as fits. */
static size_t line_end(const struct view *v, size_t first)
{
    /* The bar line at the end takes one more. */
    int left = v->out->width - INDENT - v->label - 1 - BAR_LINE - 1;
    size_t end = first, bars = 0;

    for (size_t i = first; i < v->count; i++) {
        const struct column *c = &v->columns[i];

        if (c->opens && i > first) {
            end = i;
            left -= BAR_LINE;
            if (++bars == BARS_A_LINE ||
                text_breaks_line(v->page->solo, (size_t)c->bar))
                return end;
        }
        left -= c->width;
        if (left < 0)
            return end > first ? end : i > first ? i : i + 1;
    }
    return v->count;
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
    const struct column *start = &v->columns[first];
    bool whole = end == v->count || v->columns[end].opens;
    FILE *f = v->out->stream;
    char label[WORDS_SIZE];

    fprintf(f, "%*s", INDENT, "");
    words_bar(label, v->page->solo, start->bar);
    columns_put(f, start->opens ? label : "", v->label, COLUMNS_RIGHT);
    putc(' ', f);
    for (size_t i = first; i < end;) {
        const struct column *c = &v->columns[i];
        int width = 0;

        if (c->opens || i == first)
            fputs(c->opens ? "| " : "  ", f);
        do
            width += v->columns[i++].width;
        while (i < end && !v->columns[i].chord[0] && !v->columns[i].opens);
        columns_put(f, c->goes_on && c != start ? "%" : c->chord, width,
                    i == end && !whole ? COLUMNS_LAST : COLUMNS_LEFT);
    }
    fputs(whole ? "|\n" : "\n", f);
}

static const char *name_at(const struct column *c)
{
    return c->name;
}

static const char *degree_at(const struct column *c)
{
    return c->degree;
}

/* A row of what TEXT says of each column; none where that is nothing. */
static void put_row(const struct view *v, size_t first, size_t end,
                    const char *(*text)(const struct column *))
{
    struct line line = line_start(v);
    bool any = false;

    for (size_t i = first; i < end; i++) {
        const struct column *c = &v->columns[i];
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
        const struct column *c = &v->columns[i];
        const struct coverage_span *span = span_of(v, c->span);

        if (i == first || c->opens)
            fill(&line, &label, what, BAR_LINE);
        if (span && c->note == (int64_t)span->first)
            label = label_of(v, text, span);
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
    while (first < end && v->columns[first].note == NO_NOTE)
        first++;
    return first < end;
}

static void put_lines(const struct view *v)
{
    const struct bar *bars = v->page->solo->bars;

    for (size_t first = 0, end; first < v->count; first = end) {
        const struct column *c = &v->columns[first];

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

enum status text_coverage_bars(const struct output *out,
                               const struct coverage_page *page,
                               const size_t *numbers, struct fault *why)
{
    const struct solo *solo = page->solo;
    const struct coverage *coverage = page->coverage;
    struct pen pen = { .note = coverage->first,
                       .end = coverage->first + coverage->notes,
                       .span = -1 };
    struct view v = { .out = out, .page = page, .numbers = numbers };

    v.columns = calloc(coverage->notes + solo->chord_count + solo->bar_count,
                       sizeof *v.columns);
    if (!v.columns)
        return fault_nomem(why);
    while (pen.chord < solo->chord_count &&
           (size_t)solo->chords[pen.chord].bar < page->bars.first)
        pen.chord++;
    for (size_t bar = page->bars.first; bar <= page->bars.last; bar++)
        add_bar(&v, &pen, (int32_t)bar);
    measure(&v);
    put_lines(&v);
    free(v.columns);
    return ST_OK;
}
