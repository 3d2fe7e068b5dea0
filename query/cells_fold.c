/* query/cells_fold.c - cells that almost always stand inside a longer one. */
#include <stdlib.h>
#include <string.h>

#include "query/cells_parts.h"

struct folding {
    struct cells_result *result;
    enum cells_side side;
    int longest;
    /* Of each length, the cell that starts at a note; -1 none that passes. */
    int32_t *at[CELLS_LENGTHS];
    /* Of each cell: what it holds of the cell OWNER is INSIDE occurrences, the
     * last of which is LAST. */
    struct held {
        uint32_t owner, inside, last;
    } *held;
    uint32_t most_inside; /* of any cell, of the present owner */
};

static enum status make_room(struct folding *f, int shortest, struct fault *why)
{
    size_t notes = f->result->notes;

    f->held = malloc((f->result->count + 1) * sizeof *f->held);
    if (!f->held)
        return fault_nomem(why);
    for (size_t i = 0; i < f->result->count; i++)
        f->held[i].owner = UINT32_MAX;
    /* The shortest hold nothing. */
    for (int n = shortest + 1; n <= f->longest; n++) {
        int32_t *column = malloc((notes + 1) * sizeof *column);

        if (!column)
            return fault_nomem(why);
        for (size_t i = 0; i < notes; i++)
            column[i] = -1;
        f->at[n - CELLS_NOTES_MIN] = column;
    }
    return ST_OK;
}

static void enter(struct folding *f, uint32_t index)
{
    const struct cell *cell = &f->result->cells[index];
    struct cell_shape shape;
    const uint32_t *places;
    int32_t *column;
    size_t count;

    cell_shape(&shape, cell);
    column = f->at[shape.notes - CELLS_NOTES_MIN];
    if (!column)
        return;
    places = cell_places(f->result, cell, f->side, &count);
    for (size_t i = 0; i < count; i++)
        column[places[i]] = (int32_t)index;
}

/* Does the cell A take another one rather than B does? */
static bool takes_rather(const struct folding *f, uint32_t a, uint32_t b)
{
    const struct cell *x = &f->result->cells[a], *y = &f->result->cells[b];
    struct cell_shape sx, sy;

    cell_shape(&sx, x);
    cell_shape(&sy, y);
    if (sx.notes != sy.notes)
        return sx.notes > sy.notes;
    if (f->held[a].inside != f->held[b].inside)
        return f->held[a].inside > f->held[b].inside;
    if (x->count[f->side] != y->count[f->side])
        return x->count[f->side] > y->count[f->side];
    return x->key < y->key;
}

/* The occurrence NUMBER of the cell OWNER lies inside one of the cell LONG,
 * which may hold it MOST times. */
static void count_inside(struct folding *f, uint32_t owner, uint32_t number,
                         uint32_t longer, uint64_t most)
{
    struct cell *cell = &f->result->cells[owner];
    struct held *held = &f->held[longer];
    uint64_t needed = (uint64_t)CELLS_FOLD_TENTHS * cell->count[f->side];

    if (f->result->cells[longer].count[f->side] * most * 10 < needed)
        return;
    if (held->owner != owner)
        *held = (struct held){ owner, 0, UINT32_MAX };
    if (held->last == number)
        return;
    held->last = number;
    held->inside++;
    if (held->inside > f->most_inside)
        f->most_inside = held->inside;
    if ((uint64_t)held->inside * 10 < needed)
        return;
    if (cell->into[f->side] == CELLS_NOT_FOLDED ||
        takes_rather(f, longer, (uint32_t)cell->into[f->side]))
        cell->into[f->side] = (int32_t)longer;
}

/* All windows that hold the N notes from PLACE, each length and shift. */
static void look_around(struct folding *f, uint32_t owner, uint32_t number,
                        uint32_t place, int n)
{
    const struct cells_result *r = f->result;
    uint32_t start = r->starts[r->solo[place]];

    for (int longer = n + 1; longer <= f->longest; longer++) {
        const int32_t *column = f->at[longer - CELLS_NOTES_MIN];
        uint32_t back = (uint32_t)(longer - n);

        if (back > place - start)
            back = place - start;
        for (uint32_t p = place - back; p <= place; p++)
            if (column[p] >= 0)
                count_inside(f, owner, number, (uint32_t)column[p],
                             (uint64_t)(longer - n + 1));
    }
}

static void fold_cell(struct folding *f, uint32_t index)
{
    const struct cell *cell = &f->result->cells[index];
    struct cell_shape shape;
    const uint32_t *places;
    size_t count, missing;

    cell_shape(&shape, cell);
    places = cell_places(f->result, cell, f->side, &count);
    missing = count * (10 - CELLS_FOLD_TENTHS) / 10;
    f->most_inside = 0;
    /* Once more are missing from every longer cell than may be, none will
     * do. */
    for (size_t i = 0; i < count && f->most_inside + missing >= i; i++)
        look_around(f, index, (uint32_t)i, places[i], shape.notes);
}

/* The cell that the cell INDEX ends up in. */
static int32_t last_holder(const struct cells_result *result,
                           enum cells_side side, int32_t index)
{
    while (result->cells[index].into[side] != CELLS_NOT_FOLDED)
        index = result->cells[index].into[side];
    return index;
}

/* From the shortest on, each before those that are there: longer first. */
static enum status make_lists(struct cells_result *result,
                              enum cells_side side, struct fault *why)
{
    struct cells_side_result *out = &result->sides[side];
    size_t bytes = (result->count + 1) * sizeof *out->holds;

    out->holds = malloc(bytes);
    out->next_held = malloc(bytes);
    if (!out->holds || !out->next_held)
        return fault_nomem(why);
    memset(out->holds, -1, bytes);
    for (size_t i = 0; i < result->count; i++) {
        int32_t holder = last_holder(result, side, (int32_t)i);

        out->next_held[i] = -1;
        if (holder == (int32_t)i)
            continue;
        out->next_held[i] = out->holds[holder];
        out->holds[holder] = (int32_t)i;
    }
    return ST_OK;
}

enum status cells_fold(struct cells_result *result,
                       const struct cells_query *query, enum cells_side side,
                       struct fault *why)
{
    struct folding f = { .result = result,
                         .side = side,
                         .longest = query->notes_max };
    enum status st = make_room(&f, query->notes_min, why);

    for (uint32_t i = 0; i < result->count && st == ST_OK; i++)
        if (cells_pass(result, query, &result->cells[i], side))
            enter(&f, i);
    for (uint32_t i = 0; i < result->count && st == ST_OK; i++)
        if (cells_pass(result, query, &result->cells[i], side))
            fold_cell(&f, i);
    for (int k = 0; k < CELLS_LENGTHS; k++)
        free(f.at[k]);
    free(f.held);
    return st == ST_OK ? make_lists(result, side, why) : st;
}
