/* indexer/form_apart.c - what it costs a bar that another is meant.
 *
 * The search asks this again and again, so it is worked out once for all bars
 * that are alike: rows for what is played, columns for what is meant.
 */
#include <stdlib.h>
#include <string.h>

#include "indexer/form_search.h"

enum {
    GOING_ON = 3,       /* of how little weight a chord is that goes on */
    LAST_BARS = 2,      /* of the solo, that often stand on the tonic */
    LAST_BARS_MOST = 150, /* what they cost at most where it does */
    NO_COLUMN = UINT16_MAX /* no bar is meant: as much as any costs */
};

static bool is_last(const struct search *in, int32_t bar)
{
    return in->ends_on_tonic && bar >= in->end - LAST_BARS;
}

/* The last bars of a solo say little: whatever the form has there, they may
 * end on the tonic. */
static int32_t departure(const struct search *in, int rate, int32_t bar,
                         int32_t meant)
{
    const struct grid_bar *bars = in->grid->bars;
    int32_t cost = grid_cost(in->grid, rate, bar, meant);

    /* A chord that goes on was replaced where it began. */
    if (bars[bar].goes_on && bars[meant].goes_on)
        cost /= GOING_ON;
    return is_last(in, bar) && cost > LAST_BARS_MOST ? LAST_BARS_MOST : cost;
}

/* The number of KEY, the next one where it has none yet; BAR is then its
 * first. */
static int32_t number_of(int32_t *numbers, int32_t key, int32_t bar,
                         int32_t *firsts, int32_t *count)
{
    if (numbers[key] == 0) {
        firsts[*count] = bar;
        numbers[key] = ++*count;
    }
    return numbers[key] - 1;
}

static void fill(struct search *in, const int32_t *rows, int32_t row_count,
                 const int32_t *columns, int32_t column_count)
{
    for (int rate = 0; rate < GRID_RATES; rate++)
        for (int32_t r = 0; r < row_count; r++) {
            int32_t *row =
                in->apart[rate] + (size_t)r * (size_t)in->columns;

            for (int32_t c = 0; c < in->columns; c++)
                row[c] = c < column_count
                             ? departure(in, rate, rows[r], columns[c])
                             : NO_COLUMN;
        }
}

/* Room for the tables, and for sums of a row for every bar of a form and every
 * bar that one may start with. */
static enum status make_room(struct search *in, int32_t rows,
                             struct fault *why)
{
    size_t row = (size_t)in->columns, most = (size_t)in->grid->count + 1;
    size_t table = row * (size_t)rows, ring = row * most;
    size_t start = row * (most < FORM_LENGTH_MAX ? most : FORM_LENGTH_MAX);
    int32_t *at = malloc((GRID_RATES * (table + 3 * ring + start) + ring +
                          (1 + GRID_RATES) * row) * sizeof *at);

    in->memory[1] = at;
    if (!at)
        return fault_nomem(why);
    in->telling.together = at;
    at += ring;
    in->telling.gains = at;
    at += row;
    for (int rate = 0; rate < GRID_RATES; rate++) {
        in->apart[rate] = at;
        at += table;
        in->trunk[rate].together = at;
        at += ring;
        in->trunk[rate].gains = at;
        at += row;
        in->kept_sums[0][rate] = at;
        at += ring;
        in->kept_sums[1][rate] = at;
        at += ring;
        in->starts[rate].sums = at;
        at += start;
    }
    return ST_OK;
}

enum status form_apart_open(struct search *in, struct fault *why)
{
    size_t keys = 6 * (size_t)in->grid->kind_count;
    size_t bars = (size_t)in->grid->count;
    int32_t *memory = calloc(keys + 2 * bars, sizeof *memory);
    int32_t *as_played = memory, *as_meant = memory + keys / 6 * 4;
    int32_t *rows = memory + keys, *columns = rows + bars;
    int32_t row_count = 0, column_count = 0;
    enum status st = memory ? ST_OK : fault_nomem(why);

    for (int32_t i = 0; st == ST_OK && i < in->grid->count; i++) {
        int32_t meant = in->grid->bars[i].kind * 2 + in->grid->bars[i].goes_on;
        int32_t played = meant * 2 + is_last(in, i);

        in->row[i] = number_of(as_played, played, i, rows, &row_count);
        in->column[i] = number_of(as_meant, meant, i, columns, &column_count);
    }
    if (st == ST_OK) {
        in->columns = (column_count + FORM_LANES - 1) / FORM_LANES *
                      FORM_LANES;
        st = make_room(in, row_count, why);
    }
    if (st == ST_OK) {
        fill(in, rows, row_count, columns, column_count);
        for (int rate = 0; rate < GRID_RATES; rate++)
            for (int32_t i = 0; i < in->grid->count; i++)
                in->played[rate][i] =
                    in->apart[rate] +
                    (size_t)in->row[i] * (size_t)in->columns;
    }
    free(memory);
    return st;
}
