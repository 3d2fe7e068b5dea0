/* query/find_order.c - see find_order.h. */
#include "query/find_order.h"

#include <stdlib.h>

#include "schema/grow.h"

static bool rank_next(void *context, int64_t id)
{
    struct ranking *r = context;
    struct ranked *more =
        grow_room(r->solos, r->count, &r->room, sizeof *more);

    if (!more) {
        r->nomem = true;
        return false;
    }
    r->solos = more;
    r->solos[r->count].id = id;
    r->solos[r->count].rank = (uint32_t)r->count;
    r->count++;
    return true;
}

static int by_id(const void *a, const void *b)
{
    const struct ranked *x = a, *y = b;

    return (x->id > y->id) - (x->id < y->id);
}

enum status ranking_read(struct ranking *r, struct store *store,
                         struct fault *why)
{
    enum status st = store_path_order(store, rank_next, r, why);
    bool sorted = true;

    r->known = true;
    if (r->nomem)
        return fault_nomem(why);
    for (size_t i = 1; i < r->count && sorted; i++)
        sorted = r->solos[i - 1].id < r->solos[i].id;
    if (st == ST_OK && !sorted)
        qsort(r->solos, r->count, sizeof *r->solos, by_id);
    return st;
}

void ranking_free(struct ranking *ranking)
{
    free(ranking->solos);
}

struct ranked *ranking_find(struct ranking *ranking, int64_t id)
{
    struct ranked wanted = { .id = id };

    if (ranking->count == 0)
        return NULL;
    return bsearch(&wanted, ranking->solos, ranking->count, sizeof wanted,
                   by_id);
}
