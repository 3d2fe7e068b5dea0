/* query/find_waiting.c - see find_waiting.h. */
#include "query/find_waiting.h"

#include <limits.h>
#include <stdlib.h>

#include "schema/grow.h"

static bool push_solo(struct waiting *w, const struct stretch *solo)
{
    struct stretch *more =
        grow_room(w->solos, w->solo_count, &w->solo_room, sizeof *more);

    if (!more)
        return false;
    w->solos = more;
    w->solos[w->solo_count++] = *solo;
    return true;
}

static bool push_hit(struct waiting *w, uint32_t first, uint8_t mark)
{
    struct waiting_hit *more =
        grow_room(w->hits, w->count, &w->room, sizeof *more);

    if (!more)
        return false;
    w->hits = more;
    w->hits[w->count++] = (struct waiting_hit){
        .solo = (uint32_t)(w->solo_count - 1), .first = first, .mark = mark
    };
    return true;
}

enum status waiting_add(struct waiting *waiting, const struct stretch *solo,
                        const uint32_t *firsts, size_t count,
                        const uint8_t *mark, const int most[256], int enough,
                        struct fault *why)
{
    bool room = push_solo(waiting, solo);

    for (size_t i = 0; i < count && room; i++)
        if (most[mark[firsts[i]]] >= enough)
            room = push_hit(waiting, firsts[i], mark[firsts[i]]);
    return room ? ST_OK : fault_nomem(why);
}

/* The greatest of MOST below LIMIT among the marks of hits that wait; INT_MIN
 * where there is none. */
static int next_most(const bool seen[256], const int most[256], int limit)
{
    int best = INT_MIN;

    for (int mark = 0; mark < 256; mark++)
        if (seen[mark] && most[mark] < limit && most[mark] > best)
            best = most[mark];
    return best;
}

void waiting_look(struct waiting *waiting, const int most[256],
                  waiting_each each, void *context)
{
    bool seen[256] = { false }, more = true;
    int now = INT_MAX;

    for (size_t i = 0; i < waiting->count; i++)
        seen[waiting->hits[i].mark] = true;
    while (more && (now = next_most(seen, most, now)) != INT_MIN)
        for (size_t i = 0; i < waiting->count && more; i++) {
            const struct waiting_hit *hit = &waiting->hits[i];

            if (most[hit->mark] == now)
                more = each(context, &waiting->solos[hit->solo], hit->first,
                            now);
        }
    waiting->count = waiting->solo_count = 0;
}

void waiting_free(struct waiting *waiting)
{
    free(waiting->hits);
    free(waiting->solos);
}
