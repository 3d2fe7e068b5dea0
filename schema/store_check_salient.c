/* schema/store_check_salient.c - are the lists of salient places those that the
 * notes give? */
#include <stdlib.h>

#include "schema/store_check_parts.h"

enum {
    SEEN = UINT16_MAX
}; /* above the floor, as no place is */

static int by_first(const void *a, const void *b)
{
    const struct salient *x = a, *y = b;

    if (x->first != y->first)
        return x->first < y->first ? -1 : 1;
    return (x->list > y->list) - (x->list < y->list);
}

/* Tick off a place that is listed: PLACE, counted in the share. */
static void see_place(struct share *s, const struct salient *place)
{
    const struct salients *all = &s->salients;
    struct salient *wanted =
        all->count > 0
            ? bsearch(place, all->items, all->count, sizeof *place, by_first)
            : NULL;

    if (s->expected[place->first] & NOT_KNOWN)
        return;
    if (!wanted || wanted->above != place->above ||
        wanted->chord != place->chord || wanted->tones != place->tones)
        s->wrong[place->first] = 1;
    else
        wanted->above = SEEN; /* a second time it is too much */
}

static bool see_row(void *context, int64_t id, const struct salient *places,
                    size_t count)
{
    struct share *s = context;
    const struct checked_segment *segment = check_segment_of(s->c, id);
    size_t index = segment ? (size_t)(segment - s->c->segments) : 0;

    if (!segment || !segment->sound || index < s->first || index >= s->end)
        return true;
    for (size_t i = 0; i < count; i++) {
        struct salient place = places[i];

        if ((int64_t)place.first >= segment->notes)
            place.first = (uint32_t)segment->notes - 1;
        place.first += (uint32_t)s->bases[index - s->first];
        see_place(s, &place);
    }
    return true;
}

enum status check_salients(struct share *s)
{
    struct salients *all = &s->salients;
    enum status st = ST_OK;

    if (all->count > 0)
        qsort(all->items, all->count, sizeof *all->items, by_first);
    for (int list = 0; list < SALIENCE_LISTS && st == ST_OK; list++)
        st = store_salient(s->c->store, list, see_row, s, s->c->why);
    for (size_t i = 0; i < all->count && st == ST_OK; i++)
        if (all->items[i].above != SEEN)
            s->wrong[all->items[i].first] = 1;
    return st;
}
