/* query/cells.c - recurring cells: read, counted, folded, in order. */
#include "query/cells.h"

#include <stdlib.h>
#include <string.h>

#include "query/cells_parts.h"
#include "query/home.h"

/* --- keys ----------------------------------------------------------------- */

static int step_at(int step)
{
    return CELLS_STEP_BITS * (CELLS_STEPS_MAX - 1 - step);
}

uint64_t cell_key(int notes, const int *steps, int class, int start)
{
    uint64_t key = (uint64_t)notes << CELLS_NOTES_AT |
                   (uint64_t)(class * CELLS_STARTS + start) << CELLS_WINDOW_AT;

    for (int i = 0; i + 1 < notes; i++)
        key |= (uint64_t)(steps[i] + CELLS_STEP_ZERO) << step_at(i);
    return key;
}

void cell_shape(struct cell_shape *out, const struct cell *cell)
{
    int window = (int)(cell->key >> CELLS_WINDOW_AT & 0xff);

    memset(out, 0, sizeof *out);
    out->notes = (int)(cell->key >> CELLS_NOTES_AT);
    out->class = window / CELLS_STARTS;
    out->start = window % CELLS_STARTS;
    for (int i = 0; i + 1 < out->notes; i++)
        out->steps[i] = (int)(cell->key >> step_at(i) & 0xff) - CELLS_STEP_ZERO;
}

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
    const int sides = query->compare ? 2 : 1;
    enum status st;

    memset(out, 0, sizeof *out);
    out->threads = query->threads;
    st = cells_read(&columns, out, store, query, why);
    if (st == ST_OK)
        st = cells_count(out, &columns, query, why);
    for (int s = 0; s < sides && st == ST_OK && query->fold; s++)
        st = cells_fold(out, &columns, query, (enum cells_side)s, why);
    take_columns(out, &columns);
    cells_columns_free(&columns);
    for (int s = 0; s < sides && st == ST_OK; s++)
        st = cells_rank(out, query, (enum cells_side)s, why);
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
