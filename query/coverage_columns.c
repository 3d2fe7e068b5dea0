/* query/coverage_columns.c - see coverage_columns.h. */
#include "query/coverage_columns.h"

#include <stdlib.h>
#include <string.h>

#include "query/columns.h"
#include "query/hit_view.h"

enum {
    COLUMN_MIN = 4
};

static const struct coverage_span *span_at(const struct coverage_columns *v,
                                           int32_t span)
{
    return span < 0 ? NULL : &v->page->coverage->spans[span];
}

const struct coverage_span *coverage_column_span(
    const struct coverage_columns *columns,
    const struct coverage_column *column)
{
    return span_at(columns, column->span);
}

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

static struct coverage_column *add_column(struct coverage_columns *v,
                                          int32_t bar, const char *symbol)
{
    struct coverage_column *c = &v->items[v->count++];

    *c = (struct coverage_column){ .note = COVERAGE_NO_NOTE,
                                   .bar = bar,
                                   .span = -1,
                                   .degree = "",
                                   .width = COLUMN_MIN };
    snprintf(c->chord, sizeof c->chord, "%s", symbol ? symbol : "");
    return c;
}

/* Go to the span of the next note. */
static void follow_spans(struct pen *pen, const struct coverage_columns *v)
{
    const struct coverage *coverage = v->page->coverage;
    const struct coverage_span *span = span_at(v, pen->span);

    if (span && pen->note <= span->last)
        return;
    span = &coverage->spans[++pen->span];
    pen->has_degrees = span->cell != COVERAGE_NO_CELL &&
                       coverage_place(pen->degrees, v->page->solo, span);
}

/* The degree of the next note: in a cell as of the cell, else over the chord
 * it is heard over, between its neighbours. */
static const char *degree_of(const struct coverage_columns *v,
                             const struct pen *pen)
{
    const struct solo *solo = v->page->solo;
    const struct chord_event *heard =
        real_chord(solo, solo->notes[pen->note].heard);
    size_t first = pen->note > 0 ? pen->note - 1 : 0, count = 0;
    const char *degrees[3];
    int midi[3];

    if (pen->has_degrees)
        return pen->degrees[pen->note - span_at(v, pen->span)->first];
    if (!heard)
        return "";
    for (; count < 3 && first + count < solo->note_count; count++)
        midi[count] = solo->notes[first + count].midi;
    chord_cell_degrees(degrees, &heard->chord, midi, count);
    return degrees[pen->note - first];
}

/* The next note, under SYMBOL where one stands there. */
static void add_note(struct coverage_columns *v, struct pen *pen,
                     const char *symbol)
{
    const struct solo *solo = v->page->solo;
    const struct note *note = &solo->notes[pen->note];
    struct coverage_column *c = add_column(v, note->bar, symbol);
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
static void add_bar(struct coverage_columns *v, struct pen *pen, int32_t bar)
{
    const struct solo *solo = v->page->solo;
    size_t start = v->count, before = pen->chord;
    const char *symbol = NULL; /* not written yet */
    struct coverage_column *first;

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
    first = &v->items[start];
    first->opens = true;
    if (!first->chord[0] && before > 0) {
        first->goes_on = true;
        snprintf(first->chord, sizeof first->chord, "%s",
                 symbol_of(&solo->chords[before - 1]));
    }
}

/* --- widths --------------------------------------------------------------- */

const char *coverage_label(const struct coverage_columns *columns,
                           char out[WORDS_SIZE],
                           const struct coverage_span *span)
{
    if (span->cell == COVERAGE_NO_CELL)
        return join_word(span->what);
    snprintf(out, WORDS_SIZE, "%zu", columns->numbers[span->cell]);
    return out;
}

/* The columns FIRST..END-1 are to take NEEDED columns at least. */
static void widen(struct coverage_columns *v, size_t first, size_t end,
                  int needed)
{
    for (size_t i = first; i < end; i++)
        needed -= v->items[i].width;
    if (needed > 0)
        v->items[end - 1].width += needed;
}

/* Make room for chords and labels in the columns FIRST..END-1 of one bar. */
static void make_room(struct coverage_columns *v, size_t first, size_t end)
{
    size_t chord = first, label = first;

    for (size_t i = first + 1; i <= end; i++) {
        const struct coverage_span *span = span_at(v, v->items[label].span);
        char text[WORDS_SIZE];

        if (i == end || v->items[i].chord[0]) {
            widen(v, chord, i, columns_width(v->items[chord].chord) + 1);
            chord = i;
        }
        if (i == end || v->items[i].span != v->items[label].span) {
            if (span && (int64_t)span->first == v->items[label].note)
                widen(v, label, i,
                      (int)strlen(coverage_label(v, text, span)) + 1);
            label = i;
        }
    }
}

static void measure(struct coverage_columns *v)
{
    size_t first = 0;

    for (size_t i = 1; i <= v->count; i++) {
        if (i < v->count && !v->items[i].opens)
            continue;
        make_room(v, first, i);
        first = i;
    }
}

enum status coverage_columns_make(struct coverage_columns *out,
                                  const struct coverage_page *page,
                                  const size_t *numbers, struct fault *why)
{
    const struct solo *solo = page->solo;
    const struct coverage *coverage = page->coverage;
    struct pen pen = { .note = coverage->first,
                       .end = coverage->first + coverage->notes,
                       .span = -1 };

    *out = (struct coverage_columns){ .page = page, .numbers = numbers };
    out->items = calloc(coverage->notes + solo->chord_count + solo->bar_count,
                        sizeof *out->items);
    if (!out->items)
        return fault_nomem(why);
    while (pen.chord < solo->chord_count &&
           (size_t)solo->chords[pen.chord].bar < page->bars.first)
        pen.chord++;
    for (size_t bar = page->bars.first; bar <= page->bars.last; bar++)
        add_bar(out, &pen, (int32_t)bar);
    measure(out);
    return ST_OK;
}

void coverage_columns_free(struct coverage_columns *columns)
{
    free(columns->items);
    memset(columns, 0, sizeof *columns);
}
