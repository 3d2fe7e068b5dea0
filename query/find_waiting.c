/* query/find_waiting.c - see find_waiting.h. */
#include "query/find_waiting.h"

#include <limits.h>
#include <stdlib.h>

#include "schema/grow.h"

enum {
    MANY = 4096 /* hits that take a way through the whole index */
};

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

/* Call EACH for the hits whose MOST is from LOW to HIGH. */
static bool look_between(const struct waiting *waiting, const int most[256],
                         int low, int high, waiting_each each, void *context)
{
    bool more = true;

    for (size_t i = 0; i < waiting->count && more; i++) {
        const struct waiting_hit *hit = &waiting->hits[i];

        if (most[hit->mark] >= low && most[hit->mark] <= high)
            more = each(context, &waiting->solos[hit->solo], hit->first,
                        most[hit->mark]);
    }
    return more;
}

static size_t count_between(const struct waiting *waiting,
                            const int most[256], int low, int high)
{
    size_t count = 0;

    for (size_t i = 0; i < waiting->count; i++) {
        int this = most[waiting->hits[i].mark];

        count += this >= low && this <= high;
    }
    return count;
}

void waiting_look(struct waiting *waiting, const int most[256],
                  waiting_enough enough, waiting_each each, void *context)
{
    bool seen[256] = { false }, more = true;
    int now = INT_MAX;

    for (size_t i = 0; i < waiting->count; i++)
        seen[waiting->hits[i].mark] = true;
    while (more && (now = next_most(seen, most, now)) != INT_MIN &&
           now >= enough(context)) {
        more = look_between(waiting, most, now, now, each, context);
        if (more && enough(context) > 0 &&
            count_between(waiting, most, enough(context), now - 1) > MANY)
            break;
    }
    if (more && now != INT_MIN && now > enough(context))
        look_between(waiting, most, enough(context), now - 1, each, context);
    waiting->count = waiting->solo_count = 0;
}

void waiting_free(struct waiting *waiting)
{
    free(waiting->hits);
    free(waiting->solos);
}
