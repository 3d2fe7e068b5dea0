/* query/cells_fold.c - cells that almost always stand inside a longer one. */
#include <stdlib.h>
#include <string.h>

#include "query/cells_parts.h"

enum {
    /* A longer cell holds a shorter one at most once for each step that it is
     * longer by, and once more; of all lengths together. */
    HOLDS_MAX = CELLS_NOTES_MAX - CELLS_NOTES_MIN + 1,
    HOLDERS_MAX = HOLDS_MAX * (HOLDS_MAX + 1) / 2 - 1,
    FETCH_AHEAD = 16, /* cells */
    FETCH_PLACES = 2
};

struct folding {
    struct cells_result *result;
    enum cells_side side;
    int shortest, longest;
    /* Of each note, the cells that start there, by length from SHORTEST + 1
     * on (the shortest hold nothing); -1 none that passes.  What is looked at
     * together stands together: most of the time goes into memory. */
    int32_t *at;
    size_t lengths;
    /* Of each cell: its COUNT; what it holds of the cell OWNER is INSIDE
     * occurrences, the last of which is LAST. */
    struct held {
        uint32_t count, owner, inside, last;
    } * held;
    uint32_t most_inside; /* of any cell, of the present owner */
};

static enum status make_room(struct folding *f, struct fault *why)
{
    const struct cells_result *r = f->result;
    size_t slots = r->notes * f->lengths;

    f->held = malloc((r->count + 1) * sizeof *f->held);
    f->at = malloc((slots + 1) * sizeof *f->at);
    if (!f->held || !f->at)
        return fault_nomem(why);
    for (size_t i = 0; i < r->count; i++)
        f->held[i] =
            (struct held){ r->cells[i].count[f->side], UINT32_MAX, 0, 0 };
    memset(f->at, -1, slots * sizeof *f->at);
    return ST_OK;
}

/* The cell of LENGTH notes that starts at PLACE; -1 none. */
static int32_t *cell_at(const struct folding *f, uint32_t place, int length)
{
    return &f->at[place * f->lengths + (size_t)(length - f->shortest - 1)];
}

static void enter(struct folding *f, uint32_t index)
{
    const struct cell *cell = &f->result->cells[index];
    struct cell_shape shape;
    const uint32_t *places;
    size_t count;

    cell_shape(&shape, cell);
    if (shape.notes == f->shortest)
        return;
    places = cell_places(f->result, cell, f->side, &count);
    for (size_t i = 0; i < count; i++)
        *cell_at(f, places[i], shape.notes) = (int32_t)index;
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

/* The occurrence NUMBER of the cell OWNER lies inside one of the cell
 * LONGER, each of which may hold it a few times. */
static void count_inside(struct folding *f, uint32_t owner, uint32_t number,
                         uint32_t longer)
{
    struct cell *cell = &f->result->cells[owner];
    struct held *held = &f->held[longer];
    uint64_t needed = (uint64_t)CELLS_FOLD_TENTHS * cell->count[f->side];

    if ((uint64_t)held->count * HOLDS_MAX * 10 < needed)
        return;
    if (held->owner != owner)
        *held = (struct held){ held->count, owner, 0, UINT32_MAX };
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

/* The cells that hold the N notes from PLACE, into OUT.  One that starts in
 * the solo before ends there, so that starts of solos need no care. */
static size_t holders_around(const struct folding *f, uint32_t place, int n,
                             int32_t out[HOLDERS_MAX])
{
    size_t count = 0;

    for (int longer = n + 1; longer <= f->longest; longer++) {
        uint32_t back = (uint32_t)(longer - n);

        if (back > place)
            back = place;
        for (uint32_t p = place - back; p <= place; p++) {
            int32_t holder = *cell_at(f, p, longer);

            if (holder >= 0)
                out[count++] = holder;
        }
    }
    return count;
}

static bool is_among(const int32_t *holders, size_t count, int32_t wanted)
{
    for (size_t i = 0; i < count; i++)
        if (holders[i] == wanted)
            return true;
    return false;
}

/* A cell of so few occurrences that one holder must have them all: those of
 * the first are followed through the others. */
static void fold_rare(struct folding *f, uint32_t index, int n,
                      const uint32_t *places, size_t count)
{
    int32_t holders[HOLDERS_MAX], here[HOLDERS_MAX];
    int32_t *into = &f->result->cells[index].into[f->side];
    size_t left = holders_around(f, places[0], n, holders);

    for (size_t i = 1; i < count && left > 0; i++) {
        size_t some = holders_around(f, places[i], n, here), kept = 0;

        for (size_t k = 0; k < left; k++)
            if (is_among(here, some, holders[k]))
                holders[kept++] = holders[k];
        left = kept;
    }
    for (size_t k = 0; k < left; k++) {
        f->held[holders[k]].inside = (uint32_t)count;
        f->held[holders[k]].owner = index;
        if (*into == CELLS_NOT_FOLDED ||
            takes_rather(f, (uint32_t)holders[k], (uint32_t)*into))
            *into = holders[k];
    }
}

static void fold_cell(struct folding *f, uint32_t index)
{
    const struct cell *cell = &f->result->cells[index];
    struct cell_shape shape;
    const uint32_t *places;
    int32_t holders[HOLDERS_MAX];
    size_t count, missing;

    cell_shape(&shape, cell);
    if (shape.notes == f->longest)
        return;
    places = cell_places(f->result, cell, f->side, &count);
    missing = count * (10 - CELLS_FOLD_TENTHS) / 10;
    if (missing == 0) {
        fold_rare(f, index, shape.notes, places, count);
        return;
    }
    f->most_inside = 0;
    /* Once more are missing from every longer cell than may be, none will
     * do. */
    for (size_t i = 0; i < count && f->most_inside + missing >= i; i++) {
        size_t some = holders_around(f, places[i], shape.notes, holders);

        for (size_t k = 0; k < some; k++)
            count_inside(f, index, (uint32_t)i, (uint32_t)holders[k]);
    }
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
static enum status make_lists(struct cells_result *result, enum cells_side side,
                              struct fault *why)
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

/* Have what the first places of the cell INDEX look at brought near, before
 * its turn comes. */
static void fetch_ahead(const struct folding *f, size_t index)
{
    const struct cells_result *r = f->result;

    for (size_t i = 0; i < FETCH_PLACES && index < r->count; i++) {
        const struct cell *cell = &r->cells[index];
        uint32_t place;

        if (i >= cell->count[f->side])
            break;
        place = *(r->places + cell->begin +
                  (f->side == CELLS_OWN ? 0 : cell->count[CELLS_OWN]) + i);
        __builtin_prefetch(f->at + (size_t)place * f->lengths);
        __builtin_prefetch(f->at + (size_t)(place > CELLS_LENGTHS
                                                ? place - CELLS_LENGTHS
                                                : 0) *
                                       f->lengths);
    }
}

enum status cells_fold(struct cells_result *result,
                       const struct cells_query *query, enum cells_side side,
                       struct fault *why)
{
    struct folding f = { .result = result,
                         .side = side,
                         .shortest = query->notes_min,
                         .longest = query->notes_max,
                         .lengths =
                             (size_t)(query->notes_max - query->notes_min) };
    enum status st = make_room(&f, why);

    for (uint32_t i = 0; i < result->count && st == ST_OK; i++)
        if (cells_pass(result, query, &result->cells[i], side))
            enter(&f, i);
    for (uint32_t i = 0; i < result->count && st == ST_OK; i++) {
        fetch_ahead(&f, (size_t)i + FETCH_AHEAD);
        if (cells_pass(result, query, &result->cells[i], side))
            fold_cell(&f, i);
    }
    free(f.at);
    free(f.held);
    return st == ST_OK ? make_lists(result, side, why) : st;
}
