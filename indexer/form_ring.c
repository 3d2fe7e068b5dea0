/* indexer/form_ring.c - whole choruses laid over each other. */
#include <string.h>

#include "indexer/form_search.h"

/* The most that a bar of a turnaround costs, at each rate: what players do
 * there is almost a matter of choice. */
static const int32_t turnaround_most[GRID_RATES] = { 700, 450, 300 };

static int32_t *sums_of(const struct search *in, const struct ring *ring,
                        int32_t slot)
{
    return ring->sums + (size_t)slot * (size_t)in->columns;
}

/* --- rows ----------------------------------------------------------------- */

static void subtract_row(int32_t *restrict to, const int32_t *restrict row,
                         int32_t columns)
{
    for (int32_t i = 0; i < columns; i += FORM_LANES)
        for (int32_t k = 0; k < FORM_LANES; k++)
            to[i + k] -= row[i + k];
}

static void add_row_most(int32_t *restrict to, const int32_t *restrict row,
                         int32_t columns, int32_t most)
{
    for (int32_t i = 0; i < columns; i += FORM_LANES)
        for (int32_t k = 0; k < FORM_LANES; k++)
            to[i + k] += row[i + k] < most ? row[i + k] : most;
}

/* --- slots ---------------------------------------------------------------- */

/* The sums of the bars BAR, BAR + LENGTH ..., each of which costs MOST at
 * most. */
static void sum(const struct search *in, const struct ring *ring, int32_t bar,
                int32_t most, int32_t *sums)
{
    const int32_t *const *played = in->played[ring->rate];
    size_t size = (size_t)in->columns * sizeof *sums;

    if (most == FORM_COST_MAX) {
        memcpy(sums, played[bar], size);
        for (int32_t k = 1; k < ring->passes; k++)
            form_add_row(sums, played[bar + k * ring->length], in->columns);
        return;
    }
    memset(sums, 0, size);
    for (int32_t k = 0; k < ring->passes; k++)
        add_row_most(sums, played[bar + k * ring->length], in->columns, most);
}

/* Which of these bars is nearest to all, and what the others cost. */
static int32_t choose(const struct search *in, const struct ring *ring,
                      int32_t bar, int32_t most, const int32_t *sums,
                      int32_t *model)
{
    int32_t best = FORM_COST_MAX;

    for (int32_t k = 0; k < ring->passes; k++, bar += ring->length) {
        int32_t column = in->column[bar];
        int32_t itself = in->played[ring->rate][bar][column];
        int32_t cost = sums[column] - (itself < most ? itself : most);

        if (cost < best) {
            best = cost;
            *model = bar;
        }
    }
    return best;
}

static void choose_slot(const struct search *in, struct ring *ring,
                        int32_t bar, int32_t most)
{
    int32_t slot = (bar - ring->base) % ring->length;

    ring->own[slot] = choose(in, ring, bar, most, sums_of(in, ring, slot),
                             &ring->model[slot]);
}

/* --- rings ---------------------------------------------------------------- */

/* Lay all choruses of LENGTH from FIRST on over each other. */
static void lay(const struct search *in, struct ring *ring, int rate,
                int32_t length, int32_t first)
{
    ring->rate = rate;
    ring->length = length;
    ring->base = ring->first = first;
    ring->passes = (in->end - first) / length;
    ring->total = 0;
}

/* Lay the bars BAR, BAR + LENGTH ... of RING over each other, if that is not
 * kept: those of a TURNAROUND or others. */
static const struct kept_slot *keep_slot(const struct search *in,
                                         const struct ring *ring, int32_t bar,
                                         bool turnaround)
{
    struct kept_slot *kept = &in->kept[turnaround][ring->rate][bar];
    int32_t most = turnaround ? turnaround_most[ring->rate] : FORM_COST_MAX;
    int32_t *sums = in->kept_sums[turnaround][ring->rate] +
                    (size_t)bar * (size_t)in->columns;

    /* What was kept of another length says nothing, but for single bars. */
    if (kept->passes != ring->passes ||
        (kept->length != ring->length && ring->passes > 1)) {
        kept->passes = ring->passes;
        kept->length = ring->length;
        kept->sums = sums;
        sum(in, ring, bar, most, sums);
        kept->own = choose(in, ring, bar, most, sums, &kept->model);
    }
    return kept;
}

static void lay_slot(const struct search *in, struct ring *ring, int32_t slot,
                     bool turnaround)
{
    const struct kept_slot *kept =
        keep_slot(in, ring, ring->first + slot, turnaround);

    ring->rows[slot] = kept->sums;
    ring->own[slot] = kept->own;
    ring->model[slot] = kept->model;
    ring->total += kept->own;
}

/* The bars up to the slot TO, a bar each. */
static void lay_single(struct search *in, int32_t to)
{
    struct ring *ring = &in->ring;

    memcpy(ring->rows, in->played[ring->rate] + ring->first,
           (size_t)to * sizeof *ring->rows);
    memset(ring->own, 0, (size_t)to * sizeof *ring->own);
    for (int32_t slot = 0; slot < to; slot++)
        ring->model[slot] = ring->first + slot;
}

void form_ring_make(struct search *in, int rate, int32_t length,
                    int32_t first)
{
    struct ring *ring = &in->ring;
    int32_t to = length > FORM_TURNAROUND ? length - FORM_TURNAROUND : 0;

    lay(in, ring, rate, length, first);
    if (ring->passes == 1)
        lay_single(in, to);
    else
        for (int32_t slot = 0; slot < to; slot++)
            lay_slot(in, ring, slot, false);
    for (int32_t slot = to; slot < length; slot++)
        lay_slot(in, ring, slot, true);
}

/* Where there is one chorus, each bar is its own model and costs nothing. */
static void lay_own(struct ring *ring)
{
    for (int32_t i = ring->first; i < ring->first + ring->length; i++) {
        int32_t slot = (i - ring->base) % ring->length;

        ring->own[slot] = 0;
        ring->model[slot] = i;
    }
    ring->total = 0;
}

void form_ring_start(const struct search *in, struct ring *ring, int rate,
                     int32_t length)
{
    lay(in, ring, rate, length, in->grid->first);
    if (ring->passes == 1) {
        lay_own(ring);
        return;
    }
    for (int32_t slot = 0; slot < length; slot++) {
        sum(in, ring, ring->first + slot, FORM_COST_MAX,
            sums_of(in, ring, slot));
        choose_slot(in, ring, ring->first + slot, FORM_COST_MAX);
        ring->total += ring->own[slot];
    }
}

/* Take BAR out of its slot, of which NEXT is now the first, or add ADDED to
 * it (-1 none), too. */
static void change_slot(const struct search *in, struct ring *ring,
                        int32_t bar, int32_t added, int32_t next)
{
    int32_t slot = (bar - ring->base) % ring->length;
    int32_t *sums = sums_of(in, ring, slot);

    subtract_row(sums, in->played[ring->rate][bar], in->columns);
    if (added >= 0)
        form_add_row(sums, in->played[ring->rate][added], in->columns);
    ring->total -= ring->own[slot];
    choose_slot(in, ring, next, FORM_COST_MAX);
    ring->total += ring->own[slot];
}

void form_ring_move(const struct search *in, struct ring *ring)
{
    int32_t bar = ring->first++, length = ring->length;
    int32_t end = bar + ring->passes * length; /* before */

    if (ring->first + ring->passes * length <= in->end) {
        if (ring->passes == 1)
            ring->model[(bar - ring->base) % length] = end;
        else
            change_slot(in, ring, bar, end, bar + length);
        return;
    }
    if (--ring->passes == 1) {
        lay_own(ring);
        return;
    }
    change_slot(in, ring, bar, -1, bar + length);
    for (int32_t i = bar + 1; i < bar + length; i++)
        change_slot(in, ring, i + ring->passes * length, -1, i);
}

int32_t form_ring_least(const struct ring *ring)
{
    int32_t total = ring->total;

    for (int32_t i = 1; i <= FORM_TURNAROUND; i++)
        total -= ring->own[(ring->first - ring->base + ring->length - i) %
                           ring->length];
    return total;
}

int32_t form_ring_models(const struct search *in, const struct ring *ring,
                         int32_t *model)
{
    int32_t from = (ring->first - ring->base) % ring->length;
    int32_t total = ring->total;
    size_t size = (size_t)(ring->length - from);

    memcpy(model, ring->model + from, size * sizeof *model);
    memcpy(model + size, ring->model, (size_t)from * sizeof *model);
    if (ring->passes == 1)
        return 0;
    for (int32_t i = ring->length - FORM_TURNAROUND; i < ring->length; i++) {
        const struct kept_slot *kept =
            keep_slot(in, ring, ring->first + i, true);

        model[i] = kept->model;
        total += kept->own - ring->own[(from + i) % ring->length];
    }
    return total;
}
