/* query/tally.c - how often each of many values comes. */
#include "query/tally.h"

#include <stdlib.h>
#include <string.h>

#include "schema/rational.h"

enum {
    FIRST_ROOM = 2
};

const int64_t *tally_value(const struct tally *tally, size_t index)
{
    return tally->values + index * tally->width;
}

/* --- by hash -------------------------------------------------------------- */

static uint64_t hash_of(const int64_t *value, size_t width)
{
    uint64_t hash = 0;

    for (size_t i = 0; i < width; i++) {
        hash = (hash ^ (uint64_t)value[i]) * UINT64_C(0x9e3779b97f4a7c15);
        hash ^= hash >> 29;
    }
    return hash;
}

/* The slot of VALUE, or the free one where it would stand. */
static uint32_t *slot_of(const struct tally *t, const int64_t *value)
{
    size_t at = hash_of(value, t->width) & (t->slot_count - 1);

    while (t->slots[at] && memcmp(tally_value(t, t->slots[at] - 1), value,
                                  t->width * sizeof *value) != 0)
        at = (at + 1) & (t->slot_count - 1);
    return &t->slots[at];
}

static enum status widen(struct tally *t, struct fault *why)
{
    size_t room = t->room ? t->room * 2 : FIRST_ROOM;
    int64_t *values = reallocarray(t->values, room, t->width * sizeof *values);
    uint64_t *counts;
    uint32_t *slots;

    if (!values)
        return fault_nomem(why);
    t->values = values;
    counts = reallocarray(t->counts, room, sizeof *counts);
    if (!counts)
        return fault_nomem(why);
    t->counts = counts;
    slots = calloc(2 * room, sizeof *slots);
    if (!slots)
        return fault_nomem(why);
    free(t->slots);
    t->slots = slots;
    t->slot_count = 2 * room;
    t->room = room;
    for (size_t i = 0; i < t->count; i++)
        *slot_of(t, tally_value(t, i)) = (uint32_t)i + 1;
    return ST_OK;
}

enum status tally_add(struct tally *tally, const int64_t *value,
                      struct fault *why)
{
    uint32_t *slot;

    if (tally->count == tally->room) {
        enum status st = widen(tally, why);

        if (st != ST_OK)
            return st;
    }
    slot = slot_of(tally, value);
    if (*slot == 0) {
        memcpy(tally->values + tally->count * tally->width, value,
               tally->width * sizeof *value);
        tally->counts[tally->count++] = 0;
        *slot = (uint32_t)tally->count;
    }
    tally->counts[*slot - 1]++;
    return ST_OK;
}

/* --- in order ------------------------------------------------------------- */

struct sorting {
    const struct tally *tally;
    bool frequent_first;
};

static int compare_values(const struct tally *t, const int64_t *a,
                          const int64_t *b)
{
    size_t step = t->fractions ? 2 : 1;

    for (size_t i = 0; i < t->width; i += step) {
        int order = (a[i] > b[i]) - (a[i] < b[i]);

        if (t->fractions)
            order =
                rational_compare((struct rational){ a[i], a[i + 1], false },
                                 (struct rational){ b[i], b[i + 1], false });
        if (order != 0)
            return order;
    }
    return 0;
}

static int compare(const void *a, const void *b, void *context)
{
    const struct sorting *s = context;
    uint32_t i = *(const uint32_t *)a, k = *(const uint32_t *)b;
    const struct tally *t = s->tally;

    if (s->frequent_first && t->counts[i] != t->counts[k])
        return t->counts[i] > t->counts[k] ? -1 : 1;
    return compare_values(t, tally_value(t, i), tally_value(t, k));
}

enum status tally_sort(struct tally *tally, bool frequent_first,
                       struct fault *why)
{
    struct sorting sorting = { tally, frequent_first };
    size_t n = tally->count, width = tally->width;
    uint32_t *order = malloc((n + 1) * sizeof *order);
    int64_t *values = malloc((n + 1) * width * sizeof *values);
    uint64_t *counts = malloc((n + 1) * sizeof *counts);

    if (!order || !values || !counts) {
        free(order);
        free(values);
        free(counts);
        return fault_nomem(why);
    }
    for (size_t i = 0; i < n; i++)
        order[i] = (uint32_t)i;
    if (n > 1)
        qsort_r(order, n, sizeof *order, compare, &sorting);
    for (size_t i = 0; i < n; i++) {
        memcpy(values + i * width, tally_value(tally, order[i]),
               width * sizeof *values);
        counts[i] = tally->counts[order[i]];
    }
    free(order);
    free(tally->values);
    free(tally->counts);
    tally->values = values;
    tally->counts = counts;
    return ST_OK;
}

void tally_free(struct tally *tally)
{
    free(tally->values);
    free(tally->counts);
    free(tally->slots);
    memset(tally, 0, sizeof *tally);
}
