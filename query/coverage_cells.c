/* query/coverage_cells.c - see coverage_cells.h. */
#include "query/coverage_cells.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "query/bank.h"
#include "schema/grow.h"

static bool same_shape(const struct cell_shape *a, const struct cell_shape *b)
{
    return a->notes == b->notes && a->class == b->class &&
           a->start == b->start &&
           memcmp(a->steps, b->steps,
                  (size_t)(a->notes - 1) * sizeof *a->steps) == 0;
}

enum status coverage_cells_add(struct coverage_cells *cells,
                               const struct cell_shape *shape,
                               struct fault *why)
{
    struct coverage_cell *items;

    for (size_t i = 0; i < cells->count; i++)
        if (same_shape(&cells->items[i].shape, shape))
            return ST_OK;
    items = grow_room(cells->items, cells->count, &cells->room, sizeof *items);
    if (!items)
        return fault_nomem(why);
    cells->items = items;
    items += cells->count++;
    *items = (struct coverage_cell){ .shape = *shape };
    if (shape->class != COVERAGE_ANY && shape->start != COVERAGE_ANY)
        cell_degrees(items->degrees, shape);
    return ST_OK;
}

/* --- fragments ------------------------------------------------------------ */

/* Is FRAGMENT a cell?  ST_USAGE where not. */
static enum status check_cell(const struct fragment *f, struct fault *why)
{
    const struct over *over = &f->over;

    if (f->count < CELLS_NOTES_MIN || f->count > CELLS_NOTES_MAX)
        return fault_set(why, ST_USAGE,
                         "a cell has %d to %d notes, this has "
                         "%zu",
                         CELLS_NOTES_MIN, CELLS_NOTES_MAX, f->count);
    for (size_t i = 0; i < f->count; i++)
        if (f->any[i])
            return fault_set(why, ST_USAGE, "a cell has no `?`");
    if (f->has_rhythm)
        return fault_set(why, ST_USAGE,
                         "a cell is covered in any rhythm: leave out the "
                         "note values");
    if (over->count > 1 || (over->count == 1 && over->chords[0].function[0]))
        return fault_set(why, ST_USAGE,
                         "--over wants one kind of chord here, such as m7 "
                         "or dominant");
    return ST_OK;
}

static void shape_of(struct cell_shape *out, const struct fragment *f)
{
    *out = (struct cell_shape){ .notes = (int)f->count,
                                .class = COVERAGE_ANY,
                                .start = COVERAGE_ANY };
    for (size_t i = 0; i + 1 < f->count; i++)
        out->steps[i] = f->midi[i + 1] - f->midi[i];
    if (f->over.count == 1) {
        out->class = f->over.chords[0].chord.class;
        out->start = f->start >= 0 ? f->start : COVERAGE_ANY;
    }
}

enum status coverage_cells_read(struct coverage_cells *cells,
                                const struct option_list *texts,
                                const char *over, struct fault *why)
{
    enum status st = ST_OK;

    for (size_t i = 0; i < texts->count && st == ST_OK; i++) {
        struct fragment fragment;
        struct cell_shape shape;
        bool in_over = false;

        st = fragment_parse(&fragment, texts->items[i], over, &in_over, why);
        if (st == ST_OK)
            st = check_cell(&fragment, why);
        if (st != ST_OK) {
            fault_prefix(why, "%s '%.80s'", in_over ? "--over" : "--cell",
                         in_over ? over : texts->items[i]);
            return st;
        }
        shape_of(&shape, &fragment);
        st = coverage_cells_add(cells, &shape, why);
    }
    return st;
}

/* --- banks ---------------------------------------------------------------- */

static enum status add_kept(struct coverage_cells *cells,
                            const struct placed_cell *cell, struct fault *why)
{
    struct cell_shape shape = { .notes = cell->count,
                                .class = cell->class,
                                .start = cell->start };

    for (int i = 0; i + 1 < cell->count; i++)
        shape.steps[i] = cell->intervals[i];
    return coverage_cells_add(cells, &shape, why);
}

enum status coverage_cells_bank(struct coverage_cells *cells,
                                const char *library, const char *name,
                                char found[BANK_NAME_SIZE], struct fault *why)
{
    struct notebook *notebook = NULL;
    struct bank bank = { .count = 0 };
    enum status st = notebook_open(&notebook, library, NOTEBOOK_READ, why);

    if (st == ST_OK)
        st = bank_load(&bank, notebook, name, why);
    notebook_close(notebook);
    for (size_t i = 0; st == ST_OK && i < bank.count; i++)
        st = add_kept(cells, &bank.cells[i].cell, why);
    snprintf(found, BANK_NAME_SIZE, "%s", bank.name);
    bank_free(&bank);
    return st;
}

/* --- the library's commonest ---------------------------------------------- */

/* A cell and how often the other solos have it. */
struct ranked {
    const struct cell *cell;
    struct cell_shape shape;
    size_t count;
};

/* The uses of CELL in all solos but OWN (an index): *COUNT, and in how many
 * solos. */
static size_t uses_elsewhere(const struct cells_result *result,
                             const struct cell *cell, size_t own, size_t *count)
{
    size_t places, solos = 0, before = SIZE_MAX;
    const uint32_t *place = cell_places(result, cell, CELLS_OWN, &places);

    *count = 0;
    for (size_t i = 0; i < places; i++) {
        enum cells_side side;
        uint32_t first;
        size_t solo;

        cells_place(result, place[i], &side, &solo, &first);
        if (solo == own)
            continue;
        (*count)++;
        solos += solo != before;
        before = solo;
    }
    return solos;
}

static int compare_ranked(const void *a, const void *b)
{
    const struct ranked *x = a, *y = b;

    if (x->count != y->count)
        return x->count > y->count ? -1 : 1;
    if (x->shape.notes != y->shape.notes)
        return y->shape.notes - x->shape.notes;
    if (x->shape.class != y->shape.class)
        return x->shape.class - y->shape.class;
    if (x->shape.start != y->shape.start)
        return x->shape.start - y->shape.start;
    for (int i = 0; i + 1 < x->shape.notes; i++)
        if (x->shape.steps[i] != y->shape.steps[i])
            return x->shape.steps[i] - y->shape.steps[i];
    return 0;
}

/* The cells that are common elsewhere into RANKED, in order.  Returns how
 * many. */
static size_t rank_cells(struct ranked *ranked,
                         const struct cells_result *result, size_t own)
{
    size_t count = 0;

    for (size_t i = 0; i < result->count; i++) {
        const struct cell *cell = &result->cells[i];
        struct ranked *next = &ranked[count];

        if (cell->into[CELLS_OWN] != CELLS_NOT_FOLDED)
            continue;
        next->cell = cell;
        if (uses_elsewhere(result, cell, own, &next->count) < CELLS_MIN_SOLOS ||
            next->count < CELLS_MIN_COUNT)
            continue;
        cell_shape(&next->shape, cell);
        count++;
    }
    qsort(ranked, count, sizeof *ranked, compare_ranked);
    return count;
}

/* The index of the solo with the identity ID; SIZE_MAX where it was not
 * looked through. */
static size_t index_of(const struct solo_list *list, int64_t id)
{
    for (size_t i = 0; i < list->count; i++)
        if (list->items[i].id == id)
            return i;
    return SIZE_MAX;
}

static enum status add_common(struct coverage_cells *cells,
                              const struct cells_result *result, int64_t solo,
                              size_t limit, struct fault *why)
{
    struct ranked *ranked = calloc(result->count + 1, sizeof *ranked);
    enum status st = ST_OK;
    size_t count;

    if (!ranked)
        return fault_nomem(why);
    count = rank_cells(ranked, result,
                       index_of(&result->sides[CELLS_OWN].solos, solo));
    if (limit > 0 && count > limit)
        count = limit;
    for (size_t i = 0; i < count && st == ST_OK; i++)
        st = coverage_cells_add(cells, &ranked[i].shape, why);
    free(ranked);
    return st;
}

enum status coverage_cells_common(struct coverage_cells *cells,
                                  struct store *store,
                                  const struct filter *filter, int64_t solo,
                                  int notes_min, int notes_max, size_t limit,
                                  struct fault *why)
{
    struct cells_query query = { .filter = *filter,
                                 .notes_min = notes_min,
                                 .notes_max = notes_max,
                                 .min_count = CELLS_MIN_COUNT,
                                 .min_solos = CELLS_MIN_SOLOS,
                                 .fold = true };
    struct cells_result result;
    enum status st = cells_run(&result, store, &query, why);

    if (st == ST_OK)
        st = add_common(cells, &result, solo, limit, why);
    cells_free(&result);
    return st;
}

void coverage_cells_free(struct coverage_cells *cells)
{
    free(cells->items);
    memset(cells, 0, sizeof *cells);
}
