/* query/choose.c - a few of many that are good and not alike. */
#include "query/choose.h"

#include <stdlib.h>

static const int weights[CHOOSE_TRAITS] = {
    [CHOOSE_KEY] = 20,      [CHOOSE_RELATION] = 20, [CHOOSE_RHYTHM] = 20,
    [CHOOSE_POSITION] = 15, [CHOOSE_PLAYER] = 15,   [CHOOSE_SOLO] = 10,
};

int choice_likeness(const struct choice *a, const struct choice *b)
{
    int sum = 0;

    for (int i = 0; i < CHOOSE_TRAITS; i++)
        if (a->traits[i] >= 0 && a->traits[i] == b->traits[i])
            sum += weights[i];
    return CHOOSE_FULL / 100 * sum;
}

/* The index of the best that is left, COUNT where none is. */
static size_t best_of(const struct choice *items, const int *likeness,
                      const bool *gone, size_t count)
{
    size_t best = count;

    for (size_t i = 0; i < count; i++)
        if (!gone[i] &&
            (best == count || items[i].relevance - likeness[i] >
                                  items[best].relevance - likeness[best]))
            best = i;
    return best;
}

size_t choose(size_t *taken, size_t size, const struct choice *items,
              size_t count)
{
    int *likeness = calloc(count + 1, sizeof *likeness);
    bool *gone = calloc(count + 1, sizeof *gone);
    size_t done = 0;

    while (likeness && gone && done < size && done < count) {
        size_t best = best_of(items, likeness, gone, count);

        gone[best] = true;
        taken[done++] = best;
        for (size_t i = 0; i < count; i++) {
            int like = choice_likeness(&items[i], &items[best]);

            if (like > likeness[i])
                likeness[i] = like;
        }
    }
    if (!likeness || !gone)
        done = SIZE_MAX;
    free(likeness);
    free(gone);
    return done;
}
