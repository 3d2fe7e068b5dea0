/* query/cells_rank.c - the order of cells, and what sets them apart. */
#include <math.h>
#include <stdlib.h>

#include "query/cells_parts.h"

/* --- the log-likelihood ratio --------------------------------------------- */

/* O ln(O / E), E being the share of ROW in COLUMN of ALL. */
static double term(double observed, double row, double column, double all)
{
    return observed > 0 ? observed * log(observed * all / (row * column)) : 0;
}

int64_t cells_likelihood(uint64_t count, uint64_t windows, uint64_t other_count,
                         uint64_t other_windows)
{
    double with = (double)(count + other_count);
    double all = (double)(windows + other_windows);
    double here = (double)windows, there = (double)other_windows;
    double ratio;

    if (windows == 0 || other_windows == 0)
        return 0;
    ratio = 2 * (term((double)count, with, here, all) +
                 term((double)other_count, with, there, all) +
                 term((double)(windows - count), all - with, here, all) +
                 term((double)(other_windows - other_count), all - with, there,
                      all));
    if (ratio < 0)
        ratio = 0; /* what rounding leaves of nothing */
    if ((double)count * there < (double)other_count * here)
        ratio = -ratio;
    return (int64_t)llround(ratio * 1000);
}

int64_t cell_distinct(const struct cells_result *result,
                      const struct cell *cell)
{
    const struct cells_side_result *own = &result->sides[CELLS_OWN];
    const struct cells_side_result *versus = &result->sides[CELLS_VERSUS];
    struct cell_shape shape;

    cell_shape(&shape, cell);
    return cells_likelihood(cell->count[CELLS_OWN], own->windows[shape.notes],
                            cell->count[CELLS_VERSUS],
                            versus->windows[shape.notes]);
}

/* --- order ---------------------------------------------------------------- */

struct ranking {
    const struct cells_result *result;
    enum cells_side side;
    int64_t *weight; /* of each cell */
};

/* Solos first, then keys. */
static int64_t spread(const struct cells_result *result,
                      const struct cell *cell, enum cells_side side)
{
    struct cell_shape shape;
    unsigned keys = 0;
    size_t count;
    const uint32_t *places = cell_places(result, cell, side, &count);
    int64_t weight = (int64_t)cell->solos[side] * 16;

    cell_shape(&shape, cell);
    for (size_t i = 0; i < count; i++)
        keys |= 1U << cell_root(result, &shape, places[i]);
    for (; keys; keys &= keys - 1)
        weight++;
    return weight;
}

static int64_t weigh(const struct cells_result *result, const struct cell *cell,
                     const struct cells_query *query, enum cells_side side)
{
    switch (query->by) {
    case CELLS_BY_SPREAD:
        return spread(result, cell, side);
    case CELLS_BY_DISTINCT:
        return side == CELLS_OWN ? cell_distinct(result, cell)
                                 : -cell_distinct(result, cell);
    default:
        return cell->count[side];
    }
}

static int compare(const void *a, const void *b, void *context)
{
    const struct ranking *r = context;
    uint32_t i = *(const uint32_t *)a, k = *(const uint32_t *)b;
    const struct cell *x = &r->result->cells[i], *y = &r->result->cells[k];
    struct cell_shape sx, sy;

    if (r->weight[i] != r->weight[k])
        return r->weight[i] > r->weight[k] ? -1 : 1;
    if (x->count[r->side] != y->count[r->side])
        return x->count[r->side] > y->count[r->side] ? -1 : 1;
    cell_shape(&sx, x);
    cell_shape(&sy, y);
    if (sx.notes != sy.notes)
        return sx.notes > sy.notes ? -1 : 1;
    return (x->key > y->key) - (x->key < y->key);
}

static void put_in_order(struct ranking *r, uint32_t *order, size_t count)
{
    if (count > 1)
        qsort_r(order, count, sizeof *order, compare, r);
}

enum status cells_rank(struct cells_result *result,
                       const struct cells_query *query, enum cells_side side,
                       struct fault *why)
{
    struct cells_side_result *out = &result->sides[side];
    struct ranking r = { result, side, NULL };
    size_t limit = query->limit ? query->limit : result->count, kept = 0;
    size_t room = limit < result->count / 2 ? 2 * limit : result->count;
    bool full = false; /* the first LIMIT are in order: worse ones stay out */

    r.weight = malloc((result->count + 1) * sizeof *r.weight);
    out->order = malloc((room + 1) * sizeof *out->order);
    if (!r.weight || !out->order) {
        free(r.weight);
        return fault_nomem(why);
    }
    for (uint32_t i = 0; i < result->count; i++) {
        const struct cell *cell = &result->cells[i];

        if (!cells_pass(result, query, cell, side))
            continue;
        if (cell->into[side] != CELLS_NOT_FOLDED) {
            out->folded++;
            continue;
        }
        out->total++;
        r.weight[i] = weigh(result, cell, query, side);
        if (full && compare(&i, &out->order[limit - 1], &r) > 0)
            continue;
        out->order[kept++] = i;
        if (kept == room && kept > limit) {
            put_in_order(&r, out->order, kept);
            kept = limit;
            full = true;
        }
    }
    put_in_order(&r, out->order, kept);
    out->shown = kept < limit ? kept : limit;
    free(r.weight);
    return ST_OK;
}
