/* indexer/form_open.c - the workplace of the search for a form. */
#include <stdlib.h>
#include <string.h>

#include "indexer/form_search.h"

enum {
    NEWS_AGAIN = 20 /* a bar that is the same as one shortly before */
};

/* The cost of each bar by itself: its chords; outside of the form also that
 * of a bar one, two or four before, as in a vamp. */
static void find_news(struct search *in)
{
    static const int32_t back[] = { 1, 2, 4 };
    const struct grid *grid = in->grid;

    for (int32_t i = 0; i < grid->count; i++) {
        in->news[i] = in->aside[i] = grid->bars[i].news;
        for (size_t k = 0; k < sizeof back / sizeof *back; k++) {
            int32_t cost;

            if (i - back[k] < grid->first)
                continue;
            cost = NEWS_AGAIN + grid_cost(grid, GRID_AT_TIMES, i, i - back[k]);
            if (cost < in->aside[i])
                in->aside[i] = cost;
        }
    }
    in->before[0] = 0;
    for (int32_t i = 0; i < in->end; i++)
        in->before[i + 1] =
            i < grid->first ? 0 : in->before[i] + in->aside[i];
    in->ending[0] = 0;
    for (int32_t n = 1; n <= in->end; n++)
        in->ending[n] = in->ending[n - 1] + in->aside[in->end - n];
}

enum {
    ARRAYS = 16,      /* of a number for each bar */
    ARRAYS_TELLING = 5, /* of those, in what is told */
    ARRAYS_START = 2 * GRID_RATES /* of one for each bar of a form */
};

/* Place the arrays of T from AT on, ROOM numbers each; where they end. */
static int32_t *place_telling(struct telling *t, int32_t *at, size_t room)
{
    int32_t **const arrays[ARRAYS_TELLING] = { &t->model, &t->again,
                                               &t->leader, &t->cost,
                                               &t->group };

    for (int i = 0; i < ARRAYS_TELLING; i++, at += room)
        *arrays[i] = at;
    t->first = -1;
    return at;
}

/* Room in arrays of a member for each bar. */
static enum status make_room(struct search *in, struct fault *why)
{
    size_t room = (size_t)in->grid->count + 1;
    int32_t **const arrays[ARRAYS] = {
        &in->news,           &in->aside,           &in->ending,
        &in->copied,         &in->row,             &in->column,
        &in->ring.own,       &in->ring.model,      &in->model,
        &in->group,          &in->said,            &in->theme.bars,
        &in->theme.cells,    &in->theme.same,      &in->theme.changed,
        &in->before,
    };
    int32_t *at =
        malloc((room * (ARRAYS + (1 + GRID_RATES) * ARRAYS_TELLING) +
                FORM_LENGTH_MAX * ARRAYS_START) * sizeof *at);

    in->memory[0] = at;
    in->pitches = calloc(room, sizeof *in->pitches);
    in->telling.circle =
        malloc((1 + GRID_RATES) * room * sizeof *in->telling.circle);
    in->ring.rows = malloc((1 + GRID_RATES) * room * sizeof *in->ring.rows);
    in->kept[0][0] =
        calloc(2 * GRID_RATES * room, sizeof *in->kept[0][0]);
    if (!at || !in->pitches || !in->telling.circle || !in->ring.rows ||
        !in->kept[0][0])
        return fault_nomem(why);
    for (int rate = 0; rate < GRID_RATES; rate++) {
        in->kept[0][rate] = in->kept[0][0] + (size_t)rate * room;
        in->kept[1][rate] = in->kept[0][rate] + GRID_RATES * room;
        in->played[rate] = in->ring.rows + (size_t)(1 + rate) * room;
    }
    for (int i = 0; i < ARRAYS; i++, at += room)
        *arrays[i] = at;
    at = place_telling(&in->telling, at, room);
    for (int rate = 0; rate < GRID_RATES; rate++) {
        in->trunk[rate].circle =
            in->telling.circle + (size_t)(1 + rate) * room;
        at = place_telling(&in->trunk[rate], at, room);
    }
    for (int rate = 0; rate < GRID_RATES; rate++) {
        in->starts[rate].own = at;
        in->starts[rate].model = at + FORM_LENGTH_MAX;
        at += 2 * FORM_LENGTH_MAX;
    }
    return ST_OK;
}

enum status form_search_open(struct search *in, const struct grid *grid,
                             const struct marks *marks, struct fault *why)
{
    enum status st;

    memset(in, 0, sizeof *in);
    in->grid = grid;
    in->marks = marks;
    in->end = marks->coda;
    in->ends_on_tonic = form_is_tonic(grid, in->end - 1, true);
    in->theme.by_chord = -1;
    st = make_room(in, why);
    if (st == ST_OK)
        st = form_apart_open(in, why);
    if (st != ST_OK)
        return st;
    find_news(in);
    form_list_marks(in);
    form_read_pitches(in);
    return ST_OK;
}

void form_search_close(struct search *in)
{
    free(in->memory[0]);
    free(in->memory[1]);
    free(in->pitches);
    free(in->telling.circle);
    free(in->ring.rows);
    free(in->kept[0][0]);
}
