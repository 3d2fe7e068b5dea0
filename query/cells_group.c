/* query/cells_group.c - the cells of all lengths that start with the same two
 * steps.
 *
 * Notes that start with the same steps are divided by the next step, and each
 * part again, so that longer cells refine what the shorter ones found.  All
 * the while equal notes stay in the order of their places.
 */
#include <stdlib.h>
#include <string.h>

#include "query/cells_parts.h"
#include "schema/grow.h"

enum {
    FEW = 64,        /* notes, a bit for each */
    FEW_TO_SORT = 20 /* notes that are sorted one by one */
};

/* --- one cell ------------------------------------------------------------- */

/* Equal windows, from the place FIRST to LAST, that come too rarely on both
 * sides together: their solos do not matter. */
static void count_rare(struct cells_grouping *g, uint32_t first, uint32_t last)
{
    g->found->rare[CELLS_OWN] += first < g->versus_start;
    g->found->rare[CELLS_VERSUS] += last >= g->versus_start;
}

static void keep_cell(struct cells_grouping *g, struct cell *cell,
                      const uint32_t *places, size_t count)
{
    struct cells_found *found = g->found;
    struct cell *more =
        grow_room(found->cells, found->count, &found->room, sizeof *more);

    if (!more) {
        g->status = fault_nomem(g->why);
        return;
    }
    found->cells = more;
    cell->begin = (uint32_t)g->place_count;
    more[found->count++] = *cell;
    memcpy(g->places + g->place_count, places, count * sizeof *places);
    g->place_count += count;
}

/* The COUNT windows at PLACES, ascending, in SOLOS are one cell.  True where it
 * passes on one side at least and is kept. */
static bool count_cell(struct cells_grouping *g, uint64_t key,
                       const uint32_t *places, const uint32_t *solos,
                       size_t count)
{
    struct cell cell = { .key = key,
                         .into = { CELLS_NOT_FOLDED, CELLS_NOT_FOLDED } };
    uint32_t last = UINT32_MAX;
    bool pass = false;

    for (size_t i = 0; i < count; i++) {
        int side = places[i] < g->versus_start ? CELLS_OWN : CELLS_VERSUS;

        cell.count[side]++;
        cell.solos[side] += solos[i] != last;
        last = solos[i];
    }
    for (int side = 0; side < CELLS_SIDES; side++) {
        if (cells_pass(g->result, g->query, &cell, (enum cells_side)side))
            pass = true;
        else if (cell.count[side] > 0)
            g->found->rare[side]++;
    }
    if (pass)
        keep_cell(g, &cell, places, count);
    return pass;
}

/* Equal windows WINDOW of notes that start with STEPS. */
static void take_cell(struct cells_grouping *g, int notes, unsigned window,
                      uint64_t steps, const uint32_t *places,
                      const uint32_t *solos, size_t count)
{
    uint64_t key = (uint64_t)notes << CELLS_NOTES_AT |
                   (uint64_t)window << CELLS_WINDOW_AT | steps;

    if (count < g->query->min_count)
        count_rare(g, places[0], places[count - 1]);
    else if (count_cell(g, key, places, solos, count))
        g->found->counts[notes - CELLS_NOTES_MIN][window]++;
}

/* --- the windows of a group ----------------------------------------------- */

/* Those of the notes in the set SAME, a bit each. */
static void take_few(struct cells_grouping *g, const struct cells_note *at,
                     uint64_t same, unsigned window, int notes, uint64_t steps)
{
    size_t count = 0;

    if ((unsigned)__builtin_popcountll(same) < g->query->min_count) {
        count_rare(g, at[__builtin_ctzll(same)].place,
                   at[63 - __builtin_clzll(same)].place);
        return;
    }
    for (; same; same &= same - 1) {
        const struct cells_note *note = &at[__builtin_ctzll(same)];

        g->place[count] = note->place;
        g->solo[count++] = note->solo;
    }
    take_cell(g, notes, window, steps, g->place, g->solo, count);
}

static void count_few(struct cells_grouping *g, const struct cells_note *at,
                      size_t count, int notes, uint64_t steps)
{
    const int length = notes - CELLS_NOTES_MIN;
    uint64_t left = 0;

    for (size_t i = 0; i < count; i++)
        left |= (uint64_t)(at[i].window[length] != CELLS_NO_WINDOW) << i;
    while (left) {
        unsigned window = at[__builtin_ctzll(left)].window[length];
        uint64_t same = 0;

        for (uint64_t rest = left; rest; rest &= rest - 1) {
            int i = __builtin_ctzll(rest);

            same |= (uint64_t)(at[i].window[length] == window) << i;
        }
        left &= ~same;
        take_few(g, at, same, window, notes, steps);
    }
}

static void count_many(struct cells_grouping *g, const struct cells_note *at,
                       size_t count, int notes, uint64_t steps)
{
    const int length = notes - CELLS_NOTES_MIN;
    size_t end[CELLS_NO_WINDOW + 1] = { 0 }, sum = 0, from = 0;

    for (size_t i = 0; i < count; i++)
        end[at[i].window[length]]++;
    for (unsigned w = 0; w <= CELLS_NO_WINDOW; w++) {
        size_t some = end[w];

        end[w] = sum;
        sum += some;
    }
    for (size_t i = 0; i < count; i++) {
        size_t to = end[at[i].window[length]]++;

        g->place[to] = at[i].place;
        g->solo[to] = at[i].solo;
    }
    for (unsigned w = 0; w < CELLS_WINDOWS; from = end[w++])
        if (end[w] > from)
            take_cell(g, notes, w, steps, g->place + from, g->solo + from,
                      end[w] - from);
}

/* --- the next step -------------------------------------------------------- */

static void sort_few(struct cells_note *at, size_t count, int step)
{
    for (size_t i = 1; i < count; i++) {
        struct cells_note note = at[i];
        size_t k = i;

        for (; k > 0 && at[k - 1].step[step] > note.step[step]; k--)
            at[k] = at[k - 1];
        at[k] = note;
    }
}

static void sort_many(struct cells_note *to, const struct cells_note *from,
                      size_t count, int step)
{
    size_t end[256] = { 0 }, sum = 0;

    for (size_t i = 0; i < count; i++)
        end[from[i].step[step]]++;
    for (int s = 0; s < 256; s++) {
        size_t some = end[s];

        end[s] = sum;
        sum += some;
    }
    for (size_t i = 0; i < count; i++)
        to[end[from[i].step[step]]++] = from[i];
}

/* What NOTE alone starts with its first NOTES notes, it also does with more:
 * each longer window there is a rare cell. */
static void count_single(struct cells_grouping *g,
                         const struct cells_note *note, int notes)
{
    for (int n = notes; n <= g->query->notes_max; n++)
        if (note->window[n - CELLS_NOTES_MIN] != CELLS_NO_WINDOW)
            count_rare(g, note->place, note->place);
}

/* The COUNT notes AT start with the same NOTES - 1 STEPS; SPARE has room for as
 * many. */
static void refine(struct cells_grouping *g, struct cells_note *at,
                   struct cells_note *spare, size_t count, int notes,
                   uint64_t steps)
{
    const int next = notes - CELLS_NOTES_MIN; /* the step that comes now */
    const int shift = CELLS_STEP_BITS * (CELLS_STEPS_MAX - notes);
    size_t end;

    if (notes >= g->query->notes_min && count <= FEW)
        count_few(g, at, count, notes, steps);
    else if (notes >= g->query->notes_min)
        count_many(g, at, count, notes, steps);
    if (notes == g->query->notes_max)
        return;
    if (count <= FEW_TO_SORT) {
        sort_few(at, count, next);
    } else {
        struct cells_note *sorted = spare;

        sort_many(sorted, at, count, next);
        spare = at;
        at = sorted;
    }
    for (size_t i = 0; i < count && g->status == ST_OK; i = end) {
        uint8_t step = at[i].step[next];

        for (end = i + 1; end < count && at[end].step[next] == step; end++)
            continue;
        if (step == CELLS_NO_STEP)
            continue;
        if (end - i == 1 && g->query->min_count > 1)
            count_single(g, &at[i], notes + 1);
        else
            refine(g, at + i, spare + i, end - i, notes + 1,
                   steps | (uint64_t)step << shift);
    }
}

void cells_group(struct cells_grouping *g, struct cells_note *notes,
                 size_t count, unsigned pair)
{
    if (count > 0)
        refine(g, notes, g->spare, count, CELLS_NOTES_MIN,
               (uint64_t)pair << CELLS_STEP_BITS * (CELLS_STEPS_MAX - 2));
}
