/* query/cells.c - recurring cells: read, sorted, counted, folded, in order. */
#include "query/cells.h"

#include <stdlib.h>
#include <string.h>

#include "query/cells_parts.h"
#include "query/home.h"
#include "schema/grow.h"

/* --- looking at a cell ---------------------------------------------------- */

const uint32_t *cell_places(const struct cells_result *result,
                            const struct cell *cell, enum cells_side side,
                            size_t *count)
{
    const uint32_t *places = result->places + cell->begin;

    *count = cell->count[side];
    return side == CELLS_OWN ? places : places + cell->count[CELLS_OWN];
}

void cells_place(const struct cells_result *result, uint32_t place,
                 enum cells_side *side, size_t *solo, uint32_t *first)
{
    size_t own = result->sides[CELLS_OWN].solos.count;

    *solo = result->solo[place];
    *first = place - result->starts[*solo];
    *side = *solo < own ? CELLS_OWN : CELLS_VERSUS;
    if (*side == CELLS_VERSUS)
        *solo -= own;
}

size_t cells_on_both_sides(const struct cells_result *result)
{
    const struct solo_list *own = &result->sides[CELLS_OWN].solos;
    const struct solo_list *versus = &result->sides[CELLS_VERSUS].solos;
    size_t i = 0, k = 0, both = 0;

    /* Both are in path order. */
    while (i < own->count && k < versus->count) {
        int order = strcmp(own->items[i].path, versus->items[k].path);

        both += order == 0;
        i += order <= 0;
        k += order >= 0;
    }
    return both;
}

int cell_root(const struct cells_result *result, const struct cell_shape *shape,
              uint32_t place)
{
    return pitch_modulo(result->midi[place] - shape->start, 12);
}

const struct chord *cell_chord(int class)
{
    static struct chord plain[CHORD_CLASSES];
    static bool made[CHORD_CLASSES];

    if (!made[class]) {
        struct chord alone = { .class = (uint8_t) class };

        home_move(&plain[class], &alone, 0, 0);
        made[class] = true;
    }
    return &plain[class];
}

void cell_degrees(const char **out, const struct cell_shape *shape)
{
    int midi[CELLS_NOTES_MAX] = { 60 + shape->start };

    for (int i = 0; i + 1 < shape->notes; i++)
        midi[i + 1] = midi[i] + shape->steps[i];
    chord_cell_degrees(out, cell_chord(shape->class), midi,
                       (size_t)shape->notes);
}

bool cells_pass(const struct cells_result *result,
                const struct cells_query *query, const struct cell *cell,
                enum cells_side side)
{
    return cell->count[side] >= query->min_count && cell->count[side] > 0 &&
           cell->solos[side] >= result->sides[side].min_solos;
}

/* --- counting ------------------------------------------------------------- */

struct counting {
    struct cells_result *result;
    const struct cells_query *query;
    uint32_t versus_start; /* the first note of the other side */
    size_t room, place_room;
};

static enum status keep_cell(struct counting *c, const struct cell *cell,
                             const uint32_t *places, struct fault *why)
{
    struct cells_result *r = c->result;
    size_t added = cell->count[CELLS_OWN] + cell->count[CELLS_VERSUS];
    struct cell *more = grow_room(r->cells, r->count, &c->room, sizeof *more);

    if (!more)
        return fault_nomem(why);
    r->cells = more;
    while (r->place_count + added > c->place_room) {
        uint32_t *wider =
            grow_room(r->places, c->place_room, &c->place_room, sizeof *wider);

        if (!wider)
            return fault_nomem(why);
        r->places = wider;
    }
    memcpy(r->places + r->place_count, places, added * sizeof *places);
    r->cells[r->count] = *cell;
    r->cells[r->count++].begin = (uint32_t)r->place_count;
    r->place_count += added;
    return ST_OK;
}

/* Most cells come too rarely on both sides together: their solos do not
 * matter.  Returns whether it was such a one. */
static bool count_rare(struct counting *c, const uint32_t *places, size_t count)
{
    if (count >= c->query->min_count)
        return false;
    for (int side = 0; side < CELLS_SIDES; side++)
        c->result->sides[side].rare +=
            side == CELLS_OWN ? places[0] < c->versus_start
                              : places[count - 1] >= c->versus_start;
    return true;
}

/* The COUNT windows at PLACES, ascending, are one cell. */
static enum status count_cell(struct counting *c, uint64_t key,
                              const uint32_t *places, size_t count,
                              struct fault *why)
{
    struct cell cell = { .key = key,
                         .into = { CELLS_NOT_FOLDED, CELLS_NOT_FOLDED } };
    uint32_t last = UINT32_MAX;
    bool pass = false;

    if (count_rare(c, places, count))
        return ST_OK;
    for (size_t i = 0; i < count; i++) {
        int side = places[i] < c->versus_start ? CELLS_OWN : CELLS_VERSUS;
        uint32_t solo = c->result->solo[places[i]];

        cell.count[side]++;
        cell.solos[side] += solo != last;
        last = solo;
    }
    for (int side = 0; side < CELLS_SIDES; side++) {
        if (cells_pass(c->result, c->query, &cell, (enum cells_side)side))
            pass = true;
        else if (cell.count[side] > 0)
            c->result->sides[side].rare++;
    }
    return pass ? keep_cell(c, &cell, places, why) : ST_OK;
}

static enum status count_cells(struct counting *c,
                               const struct cells_windows *w, struct fault *why)
{
    enum status st = ST_OK;
    size_t end;

    for (size_t i = 0; i < w->count && st == ST_OK; i = end) {
        for (end = i + 1; end < w->count && w->key[end] == w->key[i]; end++)
            continue;
        st = count_cell(c, w->key[i], w->place + i, end - i, why);
    }
    return st;
}

static enum status count_all(struct cells_result *out,
                             const struct cells_columns *columns,
                             const struct cells_query *query, struct fault *why)
{
    struct counting c = { .result = out,
                          .query = query,
                          .versus_start =
                              (uint32_t)columns->side_end[CELLS_OWN] };
    struct cells_windows windows = { 0 };
    enum status st = ST_OK;

    for (int n = query->notes_min; n <= query->notes_max && st == ST_OK; n++) {
        st = cells_sort(&windows, columns, n, why);
        if (st == ST_OK)
            st = count_cells(&c, &windows, why);
    }
    cells_windows_free(&windows);
    return st;
}

/* --- the whole ------------------------------------------------------------ */

/* What is looked up later moves from COLUMNS to OUT. */
static void take_columns(struct cells_result *out,
                         struct cells_columns *columns)
{
    out->midi = columns->midi;
    out->solo = columns->solo;
    out->starts = columns->starts;
    out->notes = columns->count;
    columns->midi = NULL;
    columns->solo = columns->starts = NULL;
}

enum status cells_run(struct cells_result *out, struct store *store,
                      const struct cells_query *query, struct fault *why)
{
    struct cells_columns columns = { 0 };
    enum status st;

    memset(out, 0, sizeof *out);
    st = cells_read(&columns, out, store, query, why);
    if (st == ST_OK) {
        /* The sort still needs the notes, the counting their solos. */
        out->solo = columns.solo;
        st = count_all(out, &columns, query, why);
        take_columns(out, &columns);
    }
    cells_columns_free(&columns);
    for (int s = 0; s < (query->compare ? 2 : 1) && st == ST_OK; s++) {
        enum cells_side side = (enum cells_side)s;

        if (query->fold)
            st = cells_fold(out, query, side, why);
        if (st == ST_OK)
            st = cells_rank(out, query, side, why);
    }
    if (st != ST_OK)
        cells_free(out);
    return st;
}

void cells_free(struct cells_result *result)
{
    for (int side = 0; side < CELLS_SIDES; side++) {
        solo_list_free(&result->sides[side].solos);
        free(result->sides[side].order);
        free(result->sides[side].holds);
        free(result->sides[side].next_held);
    }
    free(result->cells);
    free(result->places);
    free(result->midi);
    free(result->solo);
    free(result->starts);
    memset(result, 0, sizeof *result);
}
