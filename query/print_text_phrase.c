/* query/print_text_phrase.c - a phrase in rows, each degree below its note.
 *
 *   F7                     Bb7
 *   C3 D3 Bb2 C3  Eb3 |    C3 C3
 *   5  13 11  5   b7       9  9
 */
#include <stdlib.h>
#include <string.h>

#include "query/columns.h"
#include "query/hit_view.h"
#include "query/openings.h"
#include "query/print_text.h"

enum {
    BAR_LINE = 2 /* columns of "| " */
};

struct phrase {
    const struct solo *solo;
    size_t first, last;
    const char **degrees; /* of the notes from FIRST on */
    int cell;             /* columns of a note and the blank after it */
    int indent;
};

static bool starts_bar(const struct phrase *p, size_t note)
{
    return note > p->first &&
           p->solo->notes[note].bar != p->solo->notes[note - 1].bar;
}

static const char *symbol_at(const struct phrase *p, size_t note)
{
    int32_t heard = p->solo->notes[note].heard;

    return heard < 0 ? "-"
           : p->solo->chords[heard].chord.class == CHORD_NONE
               ? "N.C."
               : p->solo->chords[heard].chord.symbol;
}

/* The note after the last that fits into WIDTH columns from FROM on; whole
 * bars where that is possible. */
static size_t row_end(const struct phrase *p, size_t from, int width)
{
    size_t bar = 0, i = from;
    int used = p->indent;

    for (; i <= p->last; i++) {
        bool at_bar = i > from && starts_bar(p, i);

        if (at_bar)
            bar = i;
        used += p->cell + (at_bar ? BAR_LINE : 0);
        if (used - 1 > width && i > from)
            return bar > from ? bar : i;
    }
    return i;
}

/* The chords of a row, each where it comes in or as soon after as there is
 * room. */
static void put_chords(const struct output *out, const struct phrase *p,
                       size_t from, size_t end)
{
    int column = 0, at = p->indent;

    for (size_t i = from; i < end; i++) {
        if (i > from && starts_bar(p, i))
            at += BAR_LINE;
        if (i == from || strcmp(symbol_at(p, i), symbol_at(p, i - 1)) != 0) {
            const char *symbol = symbol_at(p, i);
            int blanks = at > column ? at - column : 1;
            int width = columns_width(symbol);

            if (width > out->width - column - blanks)
                break;
            fprintf(out->stream, "%*s", blanks, "");
            columns_put(out->stream, symbol, width, COLUMNS_LAST);
            column += blanks + width;
        }
        at += p->cell;
    }
    putc('\n', out->stream);
}

/* The notes of a row, or their degrees. */
static void put_cells(const struct output *out, const struct phrase *p,
                      size_t from, size_t end, bool degrees)
{
    fprintf(out->stream, "%*s", p->indent, "");
    for (size_t i = from; i < end; i++) {
        char name[PITCH_TEXT_SIZE];
        const char *degree = p->degrees[i - p->first];

        if (i > from && starts_bar(p, i))
            fputs(degrees ? "  " : "| ", out->stream);
        columns_put(out->stream,
                    degrees ? degree ? degree : ""
                            : pitch_text(name, p->solo->notes[i].sounding),
                    p->cell, i + 1 < end ? COLUMNS_LEFT : COLUMNS_LAST);
    }
    putc('\n', out->stream);
}

static void measure(struct phrase *p)
{
    for (size_t i = p->first; i <= p->last; i++) {
        const char *degree = p->degrees[i - p->first];
        char name[PITCH_TEXT_SIZE];
        int width = columns_width(pitch_text(name, p->solo->notes[i].sounding));

        if (degree && columns_width(degree) > width)
            width = columns_width(degree);
        if (width + 1 > p->cell)
            p->cell = width + 1;
    }
}

enum status text_phrase(const struct output *out, const struct solo *solo,
                        size_t first, size_t last, int indent,
                        struct fault *why)
{
    struct phrase p = { solo, first, last, NULL, 0, indent };
    enum status st = opening_degrees(&p.degrees, solo, first, last, why);

    if (st != ST_OK)
        return st;
    measure(&p);
    for (size_t from = first, end; from <= last; from = end) {
        end = row_end(&p, from, out->width);
        put_chords(out, &p, from, end);
        text_paint(out, PAINT_NOTES);
        put_cells(out, &p, from, end, false);
        text_paint(out, PAINT_NONE);
        put_cells(out, &p, from, end, true);
    }
    free(p.degrees);
    return ST_OK;
}
