/* query/coverage.c - see coverage.h. */
#include "query/coverage.h"

#include <stdlib.h>
#include <string.h>

#include "query/hit_view.h"

/* --- where a cell occurs -------------------------------------------------- */

/* Have the notes from AT on the steps of CELL?  There are as many. */
static bool has_steps(const struct cell_shape *cell, const struct note *at)
{
    for (int i = 0; i + 1 < cell->notes; i++)
        if ((int)at[i + 1].midi - (int)at[i].midi != cell->steps[i])
            return false;
    return true;
}

/* Is CELL placed over the chord INDEX of SOLO as it wants to be? */
static bool is_placed(const struct cell_shape *cell, const struct solo *solo,
                      size_t at, int32_t index)
{
    const struct chord_event *event = real_chord(solo, index);

    if (!event)
        return false;
    if (cell->class != COVERAGE_ANY && event->chord.class != cell->class)
        return false;
    return cell->start == COVERAGE_ANY ||
           note_above_root(&solo->notes[at], &event->chord) == cell->start;
}

static bool is_bound(const struct cell_shape *cell)
{
    return cell->class != COVERAGE_ANY || cell->start != COVERAGE_ANY;
}

bool coverage_occurs(const struct coverage_cell *cell, const struct solo *solo,
                     size_t at)
{
    const struct cell_shape *shape = &cell->shape;
    size_t count = (size_t)shape->notes;

    return at + count <= solo->note_count &&
           has_steps(shape, &solo->notes[at]) &&
           (!is_bound(shape) ||
            is_placed(shape, solo, at, solo_window_chord(solo, at, count)));
}

/* --- the best cover ------------------------------------------------------- */

/* The best cover of the notes from one on. */
struct cover {
    size_t covered, places;
    int32_t cell; /* that starts there, or COVERAGE_NO_CELL */
};

struct covering {
    const struct solo *solo;
    size_t first, count;
    const struct coverage_cell *cells;
    size_t cell_count;
    struct cover *best; /* COUNT + 1 */
};

static int better(const struct cover *a, const struct cover *b)
{
    if (a->covered != b->covered)
        return a->covered > b->covered ? 1 : -1;
    if (a->places != b->places)
        return a->places < b->places ? 1 : -1;
    return 0;
}

/* The best that can be had from the note AT of the passage on. */
static void cover_from(struct covering *c, size_t at)
{
    struct cover best = c->best[at + 1];
    int longest = 0;

    best.cell = COVERAGE_NO_CELL;
    for (size_t i = 0; i < c->cell_count; i++) {
        const struct coverage_cell *cell = &c->cells[i];
        size_t count = (size_t)cell->shape.notes;
        struct cover with;
        int sign;

        if (at + count > c->count)
            continue;
        with = c->best[at + count];
        with.covered += count;
        with.places++;
        with.cell = (int32_t)i;
        sign = better(&with, &best);
        if (sign < 0 || (sign == 0 && cell->shape.notes <= longest) ||
            !coverage_occurs(cell, c->solo, c->first + at))
            continue;
        best = with;
        longest = cell->shape.notes;
    }
    c->best[at] = best;
}

/* --- spans ---------------------------------------------------------------- */

/* Name the notes FIRST..END-1 of the solo, between two cells. */
static void add_joins(struct coverage *out, struct joins *joins,
                      struct join_span *scratch, size_t first, size_t end)
{
    size_t count;

    if (first == end)
        return;
    joins_name(scratch, &count, joins, first, end - 1);
    for (size_t i = 0; i < count; i++)
        out->spans[out->span_count++] =
            (struct coverage_span){ scratch[i].first, scratch[i].last,
                                    COVERAGE_NO_CELL, scratch[i].what,
                                    scratch[i].target };
}

static void add_spans(struct coverage *out, const struct covering *c,
                      struct joins *joins, struct join_span *scratch)
{
    size_t between = c->first; /* the first note without a name yet */
    size_t at = 0;

    while (at < c->count) {
        int32_t cell = c->best[at].cell;
        size_t start = c->first + at, count = 1;

        if (cell != COVERAGE_NO_CELL) {
            count = (size_t)c->cells[cell].shape.notes;
            add_joins(out, joins, scratch, between, start);
            out->spans[out->span_count++] =
                (struct coverage_span){ start, start + count - 1, cell,
                                        JOIN_OTHER, JOINS_NO_TARGET };
            between = start + count;
        }
        at += count;
    }
    add_joins(out, joins, scratch, between, c->first + c->count);
}

static enum status make_spans(struct coverage *out, const struct covering *c,
                              struct fault *why)
{
    struct join_span *scratch = calloc(c->count + 1, sizeof *scratch);
    struct joins *joins = NULL;
    enum status st = scratch
                         ? joins_new(&joins, c->solo, c->first, c->count, why)
                         : fault_nomem(why);

    if (st == ST_OK)
        add_spans(out, c, joins, scratch);
    joins_free(joins);
    free(scratch);
    return st;
}

enum status coverage_make(struct coverage *out, const struct solo *solo,
                          size_t first, size_t count,
                          const struct coverage_cell *cells, size_t cell_count,
                          struct fault *why)
{
    struct covering c = { solo, first, count, cells, cell_count, NULL };
    enum status st = ST_NOMEM;

    *out = (struct coverage){ .first = first, .notes = count };
    c.best = calloc(count + 1, sizeof *c.best);
    out->spans = calloc(count + 1, sizeof *out->spans);
    if (c.best && out->spans) {
        c.best[count].cell = COVERAGE_NO_CELL;
        for (size_t at = count; at-- > 0;)
            cover_from(&c, at);
        out->covered = c.best[0].covered;
        out->places = c.best[0].places;
        st = make_spans(out, &c, why);
    } else {
        fault_nomem(why);
    }
    free(c.best);
    if (st != ST_OK)
        coverage_free(out);
    return st;
}

void coverage_free(struct coverage *coverage)
{
    free(coverage->spans);
    memset(coverage, 0, sizeof *coverage);
}

int64_t coverage_share(const struct coverage *coverage, int64_t scale)
{
    int64_t notes = (int64_t)coverage->notes;

    if (notes == 0)
        return 0;
    return ((int64_t)coverage->covered * scale * 2 / notes + 1) / 2;
}

void coverage_uses(size_t *uses, size_t count, const struct coverage *coverage)
{
    memset(uses, 0, count * sizeof *uses);
    for (size_t i = 0; i < coverage->span_count; i++)
        if (coverage->spans[i].cell != COVERAGE_NO_CELL)
            uses[coverage->spans[i].cell]++;
}

const struct chord_event *coverage_place(const char *out[CELLS_NOTES_MAX],
                                         const struct solo *solo,
                                         const struct coverage_span *span)
{
    size_t count = span->last - span->first + 1;
    const struct chord_event *event =
        real_chord(solo, solo_window_chord(solo, span->first, count));
    int midi[CELLS_NOTES_MAX];

    if (!event)
        return NULL;
    for (size_t i = 0; i < count; i++)
        midi[i] = solo->notes[span->first + i].midi;
    chord_cell_degrees(out, &event->chord, midi, count);
    return event;
}
