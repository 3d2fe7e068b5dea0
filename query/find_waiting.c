/* query/find_waiting.c - see find_waiting.h. */
#include "query/find_waiting.h"

#include <limits.h>
#include <stdlib.h>
#include <string.h>

#include "schema/grow.h"
#include "schema/salience.h"

/* Far above any note of a segment. */
#define WAITING_SEEN (UINT32_C(1) << 31)

/* --- hits that come ------------------------------------------------------- */

static bool add_part(struct waiting *waiting, int64_t segment)
{
    struct waiting_part *more = grow_room(waiting->parts, waiting->part_count,
                                          &waiting->part_room, sizeof *more);

    if (!more)
        return false;
    waiting->parts = more;
    more[waiting->part_count++] =
        (struct waiting_part){ segment, waiting->count };
    return true;
}

/* Where the next COUNT notes go, which lie in SEGMENT; NULL: no memory. */
static uint32_t *make_room(struct waiting *waiting, int64_t segment,
                           size_t count)
{
    size_t parts = waiting->part_count;
    uint32_t *more;

    if ((parts == 0 || waiting->parts[parts - 1].segment != segment) &&
        !add_part(waiting, segment))
        return NULL;
    more = grow_to(waiting->notes, waiting->count + count, &waiting->room,
                   sizeof *more);
    if (!more)
        return NULL;
    waiting->notes = more;
    more += waiting->count;
    waiting->count += count;
    return more;
}

enum status waiting_add(struct waiting *waiting, const struct stretch *solo,
                        const uint32_t *firsts, size_t count, struct fault *why)
{
    uint32_t start = solo->start;
    uint32_t *notes = make_room(waiting, solo->segment, count);

    for (size_t i = 0; notes && i < count; i++)
        notes[i] = start + firsts[i];
    return notes ? ST_OK : fault_nomem(why);
}

enum status waiting_add_whole(struct waiting *waiting, int64_t segment,
                              const uint32_t *notes, size_t count,
                              struct fault *why)
{
    uint32_t *room = make_room(waiting, segment, count);

    if (!room)
        return fault_nomem(why);
    memcpy(room, notes, count * sizeof *room);
    return ST_OK;
}

static size_t end_of(const struct waiting *waiting, size_t part)
{
    return part + 1 < waiting->part_count ? waiting->parts[part + 1].from
                                          : waiting->count;
}

/* --- looking -------------------------------------------------------------- */

/* A hit of which is known what it may score. */
struct hopeful {
    uint32_t at; /* an index of the notes that wait */
    uint32_t part;
    int most;
};

struct looking {
    struct waiting *waiting;
    const struct waiting_eyes *eyes;
    int most;  /* that a hit can score that was not seen */
    bool more; /* there may be something to look at */
    bool many; /* hits: of each is asked first what it may score */
    struct hopeful *hopefuls;
    size_t count, room;
    size_t part; /* where hits are compared with salient places */
    enum status status;
    struct fault *why;
};

static int wanted(const struct looking *l)
{
    return l->eyes->enough(l->eyes->context);
}

/* Look at the hit AT of PART, which may score MOST. */
static void look_at(struct looking *l, size_t part, size_t at, int most)
{
    uint32_t note = l->waiting->notes[at] & ~WAITING_SEEN;
    struct stretch solo;

    l->status = store_stretch_with(
        l->eyes->store, l->waiting->parts[part].segment, note, &solo, l->why);
    l->more = l->status == ST_OK &&
              l->eyes->look(l->eyes->context, &solo, note - solo.start, most);
}

/* --- the best first ------------------------------------------------------- */

/* Is A to be looked at before B?  Of equals the one that came first. */
static bool is_better(const struct hopeful *a, const struct hopeful *b)
{
    return a->most != b->most ? a->most > b->most : a->at < b->at;
}

/* Let the hopeful I sink to where none below it is better: the best is the
 * first (a heap). */
static void sink(struct looking *l, size_t i)
{
    struct hopeful sinking = l->hopefuls[i];

    for (size_t below = 2 * i + 1; below < l->count; below = 2 * i + 1) {
        if (below + 1 < l->count &&
            is_better(&l->hopefuls[below + 1], &l->hopefuls[below]))
            below++;
        if (!is_better(&l->hopefuls[below], &sinking))
            break;
        l->hopefuls[i] = l->hopefuls[below];
        i = below;
    }
    l->hopefuls[i] = sinking;
}

/* Look at those of which there is hope, best first, until the others cannot
 * reach enough; all are forgotten. */
static void look_at_best(struct looking *l)
{
    for (size_t i = l->count / 2; i > 0; i--)
        sink(l, i - 1);
    while (l->count > 0 && l->more && l->hopefuls[0].most >= wanted(l)) {
        struct hopeful best = l->hopefuls[0];

        l->hopefuls[0] = l->hopefuls[--l->count];
        if (l->count > 0)
            sink(l, 0);
        look_at(l, best.part, best.at, best.most);
    }
    l->count = 0;
}

/* The hit AT of PART may score MOST.  False to stop. */
static bool hope(struct looking *l, size_t part, size_t at, int most)
{
    struct hopeful *more;

    if (most < wanted(l))
        return true;
    more = grow_room(l->hopefuls, l->count, &l->room, sizeof *more);
    if (!more) {
        l->status = fault_nomem(l->why);
        return false;
    }
    l->hopefuls = more;
    more[l->count++] = (struct hopeful){ (uint32_t)at, (uint32_t)part, most };
    return true;
}

/* --- salient hits --------------------------------------------------------- */

/* Go on to SEGMENT, if any of its notes are hits. */
static bool go_to(struct looking *l, int64_t segment)
{
    const struct waiting *waiting = l->waiting;

    while (l->part < waiting->part_count &&
           waiting->parts[l->part].segment < segment)
        l->part++;
    return l->part < waiting->part_count &&
           waiting->parts[l->part].segment == segment;
}

/* The first of the hits FROM..END - 1, all of a part, that is not before
 * NOTE. */
static size_t find_from(const struct waiting *waiting, size_t from, size_t end,
                        uint32_t note)
{
    while (from < end && (waiting->notes[from] & ~WAITING_SEEN) < note)
        from++;
    return from;
}

/* Those of PLACES that are hits: of each is known what it may score. */
static bool see_salient(void *context, int64_t segment,
                        const struct salient *places, size_t count)
{
    struct looking *l = context;
    struct waiting *waiting = l->waiting;
    size_t at, end;

    if (!go_to(l, segment))
        return l->part < waiting->part_count;
    at = waiting->parts[l->part].from;
    end = end_of(waiting, l->part);
    for (size_t i = 0; i < count; i++) {
        int most = salience_score(&places[i]);

        at = find_from(waiting, at, end, places[i].first);
        if (at == end)
            break;
        if (waiting->notes[at] != places[i].first)
            continue;
        waiting->notes[at] |= WAITING_SEEN;
        if (places[i].chord != l->eyes->home)
            most -= l->eyes->away;
        else if (places[i].tones != l->eyes->tones)
            most -= l->eyes->otherwise;
        if (!hope(l, l->part, at, most))
            return false;
    }
    if (l->count > WAITING_SALIENT)
        look_at_best(l);
    return l->more;
}

/* Afterwards no hit that was not seen is salient. */
static enum status look_at_salient(struct looking *l)
{
    enum status st =
        store_salient(l->eyes->store, l->eyes->list, see_salient, l, l->why);

    if (st == ST_OK)
        st = l->status;
    if (st != ST_OK)
        return st;
    l->most = 1000 * SALIENCE_FLOOR - 1;
    look_at_best(l);
    return l->status;
}

/* --- the others ----------------------------------------------------------- */

/* The hit AT of SOLO was not seen.  To tell what a few may score would cost as
 * much as to look at them. */
static void see(struct looking *l, size_t part, size_t at,
                const struct stretch *solo)
{
    uint32_t *hit = &l->waiting->notes[at], first = *hit - solo->start;
    int most = l->most;

    if (!l->many) {
        *hit |= WAITING_SEEN;
        l->more = l->eyes->look(l->eyes->context, solo, first, most);
        return;
    }
    if (l->count > WAITING_MAX)
        look_at_best(l);
    l->more = l->more && l->eyes->most(l->eyes->context, solo, first, &most) &&
              hope(l, part, at, most < l->most ? most : l->most);
    *hit |= WAITING_SEEN;
}

/* Of the hits FIRSTS of SOLO those that were not seen. */
static bool see_at_home(void *context, const struct stretch *solo,
                        const uint32_t *firsts, size_t count)
{
    struct looking *l = context;
    const struct waiting *waiting = l->waiting;
    size_t at, end;

    if (!go_to(l, solo->segment))
        return l->part < waiting->part_count;
    at = waiting->parts[l->part].from;
    end = end_of(waiting, l->part);
    for (size_t i = 0; i < count && l->more; i++) {
        at = find_from(waiting, at, end, solo->start + firsts[i]);
        if (at < end && waiting->notes[at] == solo->start + firsts[i])
            see(l, l->part, at, solo);
    }
    return l->more;
}

/* So that the others need not be looked at, which score less. */
static enum status look_at_home(struct looking *l)
{
    enum status st;

    l->part = 0;
    st = l->eyes->at_home(l->eyes->context, see_at_home, l);
    if (st == ST_OK && l->more)
        look_at_best(l);
    l->most = l->most < INT_MAX ? l->most - l->eyes->away : l->most;
    return st == ST_OK ? l->status : st;
}

static void see_part(struct looking *l, size_t part)
{
    const struct waiting *waiting = l->waiting;
    struct stretch solo = { .count = 0 };

    for (size_t at = waiting->parts[part].from;
         at < end_of(waiting, part) && l->more; at++) {
        uint32_t note = waiting->notes[at];

        if (note & WAITING_SEEN)
            continue;
        if (note - solo.start >= solo.count)
            l->status =
                store_stretch_with(l->eyes->store, waiting->parts[part].segment,
                                   note, &solo, l->why);
        l->more = l->status == ST_OK;
        if (l->more)
            see(l, part, at, &solo);
    }
}

static void look_at_others(struct looking *l)
{
    for (size_t part = 0;
         part < l->waiting->part_count && l->more && l->most >= wanted(l);
         part++)
        see_part(l, part);
    if (l->more)
        look_at_best(l);
}

enum status waiting_look(struct waiting *waiting,
                         const struct waiting_eyes *eyes, struct fault *why)
{
    size_t many = waiting->many ? waiting->many : WAITING_MANY;
    size_t few = many < WAITING_FEW ? many / 2 : WAITING_FEW;
    struct looking l = { .waiting = waiting,
                         .eyes = eyes,
                         .most = INT_MAX,
                         .more = true,
                         .many = waiting->count > many,
                         .why = why };
    enum status st = ST_OK;

    if (eyes->list >= 0 && waiting->count > few)
        st = look_at_salient(&l);
    if (st == ST_OK && l.more && eyes->at_home && waiting->count > few &&
        l.most >= wanted(&l))
        st = look_at_home(&l);
    if (st == ST_OK && l.more && l.most >= wanted(&l)) {
        look_at_others(&l);
        st = l.status;
    }
    free(l.hopefuls);
    return st;
}

void waiting_free(struct waiting *waiting)
{
    free(waiting->parts);
    free(waiting->notes);
    *waiting = (struct waiting){ 0 };
}
