/* query/cells_sort.c - equal windows brought together.
 *
 * A window is a number of 59 bits, sorted by one byte after the other from
 * the lowest up; a byte that all have in common is passed over.
 */
#include <stdlib.h>
#include <string.h>

#include "query/cells_parts.h"

/* In a key, from its lowest bit: a byte for each of the steps, the last one
 * lowest, so that shorter cells leave the lowest bytes 0; class and start; the
 * number of notes. */
enum {
    STEP_BITS = 8,
    STEP_ZERO = 128,
    PLACE_AT = 48,
    NOTES_AT = 56
};

static int step_at(int step)
{
    return STEP_BITS * (CELLS_STEPS_MAX - 1 - step);
}

uint64_t cell_key(int notes, const int *steps, int class, int start)
{
    uint64_t key = (uint64_t)notes << NOTES_AT |
                   (uint64_t)(class * CELLS_STARTS + start) << PLACE_AT;

    for (int i = 0; i + 1 < notes; i++)
        key |= (uint64_t)(steps[i] + STEP_ZERO) << step_at(i);
    return key;
}

void cell_shape(struct cell_shape *out, const struct cell *cell)
{
    int place = (int)(cell->key >> PLACE_AT & 0xff);

    memset(out, 0, sizeof *out);
    out->notes = (int)(cell->key >> NOTES_AT);
    out->class = place / CELLS_STARTS;
    out->start = place % CELLS_STARTS;
    for (int i = 0; i + 1 < out->notes; i++)
        out->steps[i] = (int)(cell->key >> step_at(i) & 0xff) - STEP_ZERO;
}

/* --- sorting -------------------------------------------------------------- */

static void swap_spare(struct cells_windows *w)
{
    uint64_t *key = w->key;
    uint32_t *place = w->place;

    w->key = w->key_spare;
    w->key_spare = key;
    w->place = w->place_spare;
    w->place_spare = place;
}

static void sort_by_byte(struct cells_windows *w, int shift)
{
    size_t at[257] = { 0 };

    for (size_t i = 0; i < w->count; i++)
        at[(w->key[i] >> shift & 0xff) + 1]++;
    for (int b = 0; b < 256; b++)
        if (at[b + 1] == w->count)
            return;
    for (int b = 0; b < 256; b++)
        at[b + 1] += at[b];
    for (size_t i = 0; i < w->count; i++) {
        size_t to = at[w->key[i] >> shift & 0xff]++;

        w->key_spare[to] = w->key[i];
        w->place_spare[to] = w->place[i];
    }
    swap_spare(w);
}

/* The windows of NOTES notes in the order of their places. */
static void gather(struct cells_windows *w, const struct cells_columns *c,
                   int notes)
{
    const uint8_t *window = c->window[notes - CELLS_NOTES_MIN];

    w->count = 0;
    for (size_t i = 0; i < c->count; i++) {
        uint64_t key;

        if (window[i] == CELLS_NO_WINDOW)
            continue;
        key = (uint64_t)notes << NOTES_AT | (uint64_t)window[i] << PLACE_AT;
        for (int k = 0; k + 1 < notes; k++)
            key |= (uint64_t)(c->midi[i + (size_t)k + 1] -
                              c->midi[i + (size_t)k] + STEP_ZERO)
                   << step_at(k);
        w->key[w->count] = key;
        w->place[w->count++] = (uint32_t)i;
    }
}

enum status cells_sort(struct cells_windows *out,
                       const struct cells_columns *columns, int notes,
                       struct fault *why)
{
    size_t room = columns->count + 1;

    if (!out->key) {
        out->key = malloc(room * sizeof *out->key);
        out->key_spare = malloc(room * sizeof *out->key_spare);
        out->place = malloc(room * sizeof *out->place);
        out->place_spare = malloc(room * sizeof *out->place_spare);
    }
    if (!out->key || !out->key_spare || !out->place || !out->place_spare)
        return fault_nomem(why);
    gather(out, columns, notes);
    for (int shift = step_at(notes - 2); shift <= PLACE_AT; shift += STEP_BITS)
        sort_by_byte(out, shift);
    return ST_OK;
}

void cells_windows_free(struct cells_windows *windows)
{
    free(windows->key);
    free(windows->key_spare);
    free(windows->place);
    free(windows->place_spare);
    memset(windows, 0, sizeof *windows);
}
