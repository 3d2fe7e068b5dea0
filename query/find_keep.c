/* query/find_keep.c - the best hits, however many there are. */
#include "query/find_keep.h"

#include <stdlib.h>
#include <string.h>

#include "schema/grow.h"

static int by_path(const struct kept *x, const struct kept *y)
{
    if (x->path && y->path)
        return x->path == y->path ? 0 : strcmp(x->path, y->path);
    return (x->rank > y->rank) - (x->rank < y->rank);
}

static int better_first(const void *a, const void *b)
{
    const struct kept *x = a, *y = b;
    int order;

    /* The fragment itself comes before what is only like it. */
    if (x->edits != y->edits)
        return x->edits < y->edits ? -1 : 1;
    if (x->score != y->score)
        return x->score > y->score ? -1 : 1;
    order = by_path(x, y);
    if (order != 0)
        return order;
    return (x->first > y->first) - (x->first < y->first);
}

void keeping_sort(struct keeping *k)
{
    if (k->count > 0)
        qsort(k->hits, k->count, sizeof *k->hits, better_first);
    if (k->limit > 0 && k->count >= k->limit) {
        k->count = k->limit;
        k->full = true;
    }
}

bool keeping_is_ripe(const struct keeping *k)
{
    return k->limit > 0 &&
           k->count >= (k->full ? k->limit + k->limit / 4 + 4 : k->limit);
}

bool keeping_is_unsorted(const struct keeping *k)
{
    return k->limit > 0 &&
           (k->full ? k->count > k->limit : k->count >= k->limit);
}

bool keeping_refuses(const struct keeping *k, int edits, int score)
{
    const struct kept *last = k->full ? &k->hits[k->limit - 1] : NULL;

    return last && (edits > last->edits ||
                    (edits == last->edits && score < last->score));
}

int keeping_enough(const struct keeping *k, int edits)
{
    const struct kept *last = k->full ? &k->hits[k->limit - 1] : NULL;

    return last && edits == last->edits ? last->score : 0;
}

bool keeping_takes(const struct keeping *k, const struct kept *hit)
{
    return !k->full || better_first(hit, &k->hits[k->limit - 1]) <= 0;
}

enum status keep(struct keeping *k, const struct kept *hit, struct fault *why)
{
    struct kept *more;

    if (!keeping_takes(k, hit))
        return ST_OK;
    if (k->limit > 0 && k->count / 2 >= k->limit)
        keeping_sort(k);
    more = grow_room(k->hits, k->count, &k->room, sizeof *more);
    if (!more)
        return fault_nomem(why);
    k->hits = more;
    k->hits[k->count++] = *hit;
    return ST_OK;
}

void keeping_free(struct keeping *k)
{
    free(k->hits);
    *k = (struct keeping){ 0 };
}
