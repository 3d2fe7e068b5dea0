/* query/find_waiting.c - see find_waiting.h. */
#include "query/find_waiting.h"

#include <limits.h>
#include <stdlib.h>

#include "schema/grow.h"

/* --- hits that come ------------------------------------------------------- */

enum status waiting_add(struct waiting *waiting, const struct stretch *solo,
                        const uint32_t *firsts, size_t count,
                        struct fault *why)
{
    struct waiting_solo *solos = grow_room(
        waiting->solos, waiting->solo_count, &waiting->solo_room,
        sizeof *solos);

    if (!solos)
        return fault_nomem(why);
    waiting->solos = solos;
    for (size_t i = 0; i < count; i++) {
        struct waiting_hit *hits = grow_room(waiting->hits, waiting->count,
                                             &waiting->room, sizeof *hits);

        if (!hits)
            return fault_nomem(why);
        waiting->hits = hits;
        hits[waiting->count++] = (struct waiting_hit){
            .solo = (uint32_t)waiting->solo_count, .first = firsts[i]
        };
    }
    solos[waiting->solo_count++] = (struct waiting_solo){
        .stretch = *solo, .end = (uint32_t)waiting->count
    };
    return ST_OK;
}

/* --- looking at them -------------------------------------------------------- */

/* The greatest of MOST below LIMIT among the marks SEEN; INT_MIN where there
 * is none. */
static int next_most(const bool seen[256], const int most[256], int limit)
{
    int best = INT_MIN;

    for (int mark = 0; mark < 256; mark++)
        if (seen[mark] && most[mark] < limit && most[mark] > best)
            best = most[mark];
    return best;
}

/* Look at the hits that may score from LOW to HIGH. */
static bool look_between(const struct waiting *waiting,
                         const struct waiting_eyes *eyes, int low, int high)
{
    bool more = true;

    for (size_t i = 0; i < waiting->count && more; i++) {
        const struct waiting_hit *hit = &waiting->hits[i];
        int most = eyes->most[hit->mark];

        if (most >= low && most <= high)
            more = eyes->look(eyes->context,
                              &waiting->solos[hit->solo].stretch, hit->first,
                              most);
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

/* Look at the hits that may score more than LOW and less than HIGH.  False:
 * nothing more is to be looked at. */
static bool look_above(const struct waiting *waiting,
                       const struct waiting_eyes *eyes, int low, int high)
{
    bool seen[256] = { false }, more = true;
    int now = high;

    for (size_t i = 0; i < waiting->count; i++)
        seen[waiting->hits[i].mark] = true;
    while (more && (now = next_most(seen, eyes->most, now)) > low &&
           now >= eyes->enough(eyes->context)) {
        int enough;

        more = look_between(waiting, eyes, now, now);
        enough = eyes->enough(eyes->context);
        if (enough <= low)
            enough = low + 1;
        if (more && enough > 0 &&
            count_between(waiting, eyes->most, enough, now - 1) >
                eyes->many)
            return look_between(waiting, eyes, enough, now - 1);
    }
    return more;
}

/* --- their marks ------------------------------------------------------------ */

static bool opens(int mark)
{
    return mark & (MARK_CHORUS | MARK_SECTION);
}

/* The most that a hit can score that opens neither chorus nor section. */
static int most_elsewhere(const int most[256])
{
    int best = INT_MIN;

    for (int mark = 0; mark < 256; mark++)
        if (!opens(mark) && most[mark] > best)
            best = most[mark];
    return best;
}

/* Mark the hits that open a chorus or a section; those of all others are 0. */
static enum status mark_openers(struct waiting *waiting, struct store *store,
                                struct fault *why)
{
    size_t hit = 0;

    for (size_t i = 0; i < waiting->solo_count; i++) {
        const struct waiting_solo *solo = &waiting->solos[i];
        const struct opener *openers;
        size_t count, at = 0;
        enum status st =
            store_openers(store, &solo->stretch, &openers, &count, why);

        if (st != ST_OK)
            return st;
        for (; hit < solo->end; hit++) {
            uint32_t note = solo->stretch.start + waiting->hits[hit].first;

            while (at < count && openers[at].note < note)
                at++;
            if (at < count && openers[at].note == note)
                waiting->hits[hit].mark = openers[at].mark;
        }
    }
    return ST_OK;
}

/* Mark all hits.  Those are kept that may reach ENOUGH, but for the ones that
 * open something and may score more than LOOKED_AT. */
static enum status mark_others(struct waiting *waiting, struct store *store,
                               const int most[256], int enough, int looked_at,
                               struct fault *why)
{
    size_t hit = 0, kept = 0;

    for (size_t i = 0; i < waiting->solo_count; i++) {
        const struct waiting_solo *solo = &waiting->solos[i];
        const uint8_t *marks = NULL;

        for (; hit < solo->end; hit++) {
            struct waiting_hit here = waiting->hits[hit];
            enum status st = ST_OK;

            if (opens(here.mark) && most[here.mark] > looked_at)
                continue;
            if (!marks)
                st = store_strand_at(store, &solo->stretch, STRAND_MARK,
                                     &marks, why);
            if (st != ST_OK)
                return st;
            here.mark = marks[here.first];
            if (most[here.mark] >= enough)
                waiting->hits[kept++] = here;
        }
    }
    waiting->count = kept;
    return ST_OK;
}

static enum status look_at_best(struct waiting *waiting, struct store *store,
                                const struct waiting_eyes *eyes,
                                struct fault *why)
{
    int elsewhere = most_elsewhere(eyes->most);
    enum status st = mark_openers(waiting, store, why);

    /* What opens something is listed: where that alone fills a list of hits,
     * nothing has to be known of the others. */
    if (st != ST_OK || !look_above(waiting, eyes, elsewhere, INT_MAX) ||
        elsewhere < eyes->enough(eyes->context))
        return st;
    st = mark_others(waiting, store, eyes->most, eyes->enough(eyes->context),
                     elsewhere, why);
    if (st == ST_OK)
        look_above(waiting, eyes, INT_MIN, INT_MAX);
    return st;
}

/* Reading their marks would cost as much as looking at them. */
static void look_at_few(const struct waiting *waiting,
                        const struct waiting_eyes *eyes)
{
    bool more = true;

    for (size_t i = 0; i < waiting->count && more; i++) {
        const struct waiting_hit *hit = &waiting->hits[i];

        more = eyes->look(eyes->context, &waiting->solos[hit->solo].stretch,
                          hit->first, INT_MAX);
    }
}

enum status waiting_look(struct waiting *waiting, struct store *store,
                         const struct waiting_eyes *eyes, struct fault *why)
{
    enum status st = ST_OK;

    if (waiting->count > eyes->many)
        st = look_at_best(waiting, store, eyes, why);
    else
        look_at_few(waiting, eyes);
    waiting->count = waiting->solo_count = 0;
    return st;
}

void waiting_free(struct waiting *waiting)
{
    free(waiting->hits);
    free(waiting->solos);
}
