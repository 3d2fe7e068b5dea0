/* query/find_waiting.c - see find_waiting.h. */
#include "query/find_waiting.h"

#include <limits.h>
#include <stdlib.h>

#include "schema/grow.h"
#include "schema/salience.h"

/* --- hits that come ------------------------------------------------------- */

static size_t many(const struct waiting *waiting)
{
    return waiting->many ? waiting->many : WAITING_MANY;
}

/* Have room for COUNT more hits of a solo. */
static bool make_room(struct waiting *waiting, size_t count)
{
    struct stretch *solos = grow_room(waiting->solos, waiting->solo_count,
                                      &waiting->solo_room, sizeof *solos);
    struct waiting_hit *hits;
    size_t room = 2 * (waiting->count + count);

    if (!solos)
        return false;
    waiting->solos = solos;
    if (waiting->count + count <= waiting->room)
        return true;
    hits = realloc(waiting->hits, room * sizeof *hits);
    if (!hits)
        return false;
    waiting->hits = hits;
    waiting->room = room;
    return true;
}

static uint64_t note_of(const struct stretch *solo, uint32_t first)
{
    return (uint64_t)solo->segment << 24 | (solo->start + first);
}

static int by_note(const void *a, const void *b)
{
    uint64_t x = *(const uint64_t *)a, y = *(const uint64_t *)b;

    return (x > y) - (x < y);
}

static bool note_add(struct waiting_notes *notes, uint64_t note)
{
    uint64_t *more =
        grow_room(notes->items, notes->count, &notes->room, sizeof *more);

    if (!more)
        return false;
    notes->items = more;
    more[notes->count++] = note;
    return true;
}

/* Remember where all hits of a chain stand. */
static bool add_all(struct waiting *waiting, const struct stretch *solo,
                    const uint32_t *firsts, size_t count)
{
    bool room = true;

    if (waiting->all.count + count > WAITING_MAX) {
        waiting->chained = false;
        waiting->all.count = 0;
    }
    for (size_t i = 0; i < count && room && waiting->chained; i++)
        room = note_add(&waiting->all, note_of(solo, firsts[i]));
    return room;
}

enum status waiting_add(struct waiting *waiting, const struct stretch *solo,
                        const uint32_t *firsts, size_t count,
                        struct fault *why)
{
    if (waiting->too_many && !waiting->chained)
        return ST_OK; /* they are asked for again */
    if (waiting->chained && !add_all(waiting, solo, firsts, count))
        return fault_nomem(why);
    if (waiting->count + count > many(waiting))
        waiting->too_many = true;
    if (waiting->too_many) {
        waiting->count = waiting->solo_count = 0;
        return ST_OK;
    }
    if (!make_room(waiting, count))
        return fault_nomem(why);
    for (size_t i = 0; i < count; i++)
        waiting->hits[waiting->count++] =
            (struct waiting_hit){ .solo = (uint32_t)waiting->solo_count,
                                  .first = firsts[i] };
    waiting->solos[waiting->solo_count++] = *solo;
    return ST_OK;
}

/* --- hits at salient notes ------------------------------------------------ */

/* Looking at what waited. */
struct looking {
    struct waiting *waiting;
    const struct waiting_eyes *eyes;
    /* The most that a hit can score that was not seen: one at home, or
     * another. */
    int at_home, others;
    int most;        /* the greater of them */
    bool more;       /* there may be something to look at */
    bool beginnings; /* what is handed out need not be a hit */
    size_t begun;    /* how much of that there was */
    bool once;       /* what is handed out is not to be looked at again */
    enum status status;
    struct fault *why;
};

static bool was_seen(const struct waiting *waiting, const struct stretch *solo,
                     uint32_t first)
{
    uint64_t note = note_of(solo, first);

    return waiting->sorted > 0 &&
           bsearch(&note, waiting->seen.items, waiting->sorted, sizeof note,
                   by_note);
}

/* Of a chain: is it a hit that begins at FIRST? */
static bool is_hit(const struct waiting *waiting, const struct stretch *solo,
                   uint32_t first)
{
    uint64_t note = note_of(solo, first);

    return waiting->all.count > 0 &&
           bsearch(&note, waiting->all.items, waiting->all.count, sizeof note,
                   by_note);
}

static bool remember(struct looking *l, const struct stretch *solo,
                     uint32_t first)
{
    bool room = note_add(&l->waiting->seen, note_of(solo, first));

    if (!room)
        l->status = fault_nomem(l->why);
    return room;
}

static void sort_seen(struct waiting *waiting)
{
    if (waiting->seen.count > waiting->sorted)
        qsort(waiting->seen.items, waiting->seen.count,
              sizeof *waiting->seen.items, by_note);
    waiting->sorted = waiting->seen.count;
}

/* Look at the hits FIRSTS of SOLO. */
static bool look_at_unseen(void *context, const struct stretch *solo,
                           const uint32_t *firsts, size_t count)
{
    struct looking *l = context;

    l->begun += l->beginnings ? count : 0;
    for (size_t i = 0; i < count && l->more; i++)
        if ((!l->beginnings || is_hit(l->waiting, solo, firsts[i])) &&
            !was_seen(l->waiting, solo, firsts[i]))
            l->more = remember(l, solo, firsts[i]) &&
                      l->eyes->look(l->eyes->context, solo, firsts[i], INT_MAX);
    return l->more;
}

static enum status look_at_level(struct looking *l, int level, bool at_home)
{
    /* To find the rest of a chain at each level would take as long as finding
     * all of it; what begins one is soon found, and known to be a hit. */
    const struct waiting_choice choice = { level, at_home,
                                           l->waiting->chained };
    enum status st;

    l->beginnings = choice.beginnings;
    st = l->eyes->ask(l->eyes->context, &choice, look_at_unseen, l);
    l->beginnings = false;
    return st == ST_OK ? l->status : st;
}

static int wanted(const struct looking *l)
{
    return l->eyes->enough(l->eyes->context);
}

/* Those at home, level by level, until the others of them cannot reach
 * enough. */
static enum status look_at_home(struct looking *l)
{
    enum status st = ST_OK;

    for (int level = 1; level <= SALIENCE_FULL && st == ST_OK && l->more &&
                        l->at_home >= wanted(l);
         level++) {
        st = look_at_level(l, level, true);
        l->at_home = salience_floor(level) - 1;
    }
    sort_seen(l->waiting);
    return st;
}

/* Is the list full of what is worth so little that not even the last level will
 * settle it? */
static bool is_hopeless(const struct looking *l)
{
    /* Hits by which it can be told; millionths that more may add. */
    enum {
        TOLD_BY = 200,
        HOPE = 30000
    };
    int enough = wanted(l);

    return enough > 0 && l->waiting->seen.count >= TOLD_BY &&
           enough < salience_floor(l->eyes->levels) - l->eyes->away - HOPE;
}

/* Do other places begin like the hits of a chain so often that it takes longer
 * to go through what begins so at the later levels than to look at the few
 * hits? */
static bool begins_too_often(const struct looking *l)
{
    enum {
        AS_OFTEN = 5
    };

    return l->waiting->chained && !l->waiting->too_many &&
           l->begun > AS_OFTEN * l->waiting->count;
}

/* All others, and those at home of the levels that cannot be asked for them
 * alone. */
static enum status look_at_others(struct looking *l)
{
    enum status st = ST_OK;

    for (int level = 1; level <= l->eyes->levels && st == ST_OK && l->more;
         level++) {
        bool home_seen = l->eyes->away > 0 && level <= SALIENCE_FULL;
        int floor = salience_floor(level) - 1;

        if ((l->others < wanted(l) && l->at_home < wanted(l)) ||
            is_hopeless(l) || begins_too_often(l))
            break;
        if (!home_seen || l->others >= wanted(l))
            st = look_at_level(l, level, false);
        l->others = floor - l->eyes->away;
        if (l->at_home > floor)
            l->at_home = floor;
    }
    sort_seen(l->waiting);
    return st;
}

/* Those at home first, where they can be told. */
static enum status look_at_salience(struct looking *l)
{
    enum status st = l->eyes->away > 0 ? look_at_home(l) : ST_OK;

    if (st == ST_OK && l->more)
        st = look_at_others(l);
    l->most = l->at_home > l->others ? l->at_home : l->others;
    if (l->most < wanted(l))
        l->more = false;
    return st;
}

/* --- by what can be told of them ------------------------------------------ */

/* Best first; else as they came. */
static int by_most(const void *a, const void *b)
{
    const struct waiting_hit *x = a, *y = b;

    if (x->most != y->most)
        return x->most > y->most ? -1 : 1;
    if (x->solo != y->solo)
        return x->solo < y->solo ? -1 : 1;
    return (x->first > y->first) - (x->first < y->first);
}

/* Look at those that may score most, until the others cannot reach enough;
 * all are forgotten. */
static void look_at_best(struct looking *l)
{
    struct waiting *waiting = l->waiting;

    if (waiting->count > 0)
        qsort(waiting->hits, waiting->count, sizeof *waiting->hits, by_most);
    for (size_t i = 0; i < waiting->count && l->more; i++) {
        const struct waiting_hit *hit = &waiting->hits[i];

        if (hit->most < wanted(l))
            break;
        l->more = l->eyes->look(l->eyes->context, &waiting->solos[hit->solo],
                                hit->first, hit->most);
    }
    waiting->count = waiting->solo_count = 0;
}

/* Keep of the hits FIRSTS of SOLO those that were not seen and may still reach
 * enough. */
static bool keep_hits(void *context, const struct stretch *solo,
                      const uint32_t *firsts, size_t count)
{
    struct looking *l = context;
    struct waiting *waiting = l->waiting;
    size_t kept;

    if (waiting->count + count > WAITING_MAX)
        look_at_best(l);
    if (!make_room(waiting, count)) {
        l->status = fault_nomem(l->why);
        return false;
    }
    kept = waiting->count;
    for (size_t i = 0; i < count && l->more; i++) {
        int most;

        if (was_seen(waiting, solo, firsts[i]))
            continue;
        if (l->once && !remember(l, solo, firsts[i]))
            return false;
        l->more = l->eyes->most(l->eyes->context, solo, firsts[i], &most);
        if (most > l->most)
            most = l->most;
        if (most >= wanted(l))
            waiting->hits[kept++] =
                (struct waiting_hit){ .solo = (uint32_t)waiting->solo_count,
                                      .first = firsts[i],
                                      .most = most };
    }
    if (kept > waiting->count)
        waiting->solos[waiting->solo_count++] = *solo;
    waiting->count = kept;
    return l->more;
}

static enum status look_by_most(struct looking *l,
                                const struct waiting_choice *choice)
{
    enum status st = l->eyes->ask(l->eyes->context, choice, keep_hits, l);

    if (st == ST_OK)
        st = l->status;
    if (st == ST_OK && l->more)
        look_at_best(l);
    return st;
}

/* --- in which way --------------------------------------------------------- */

/* To tell what a few may score would cost as much as to look at them. */
static void look_at_kept(struct looking *l)
{
    const struct waiting *waiting = l->waiting;

    for (size_t i = 0; i < waiting->count && l->more; i++) {
        const struct waiting_hit *hit = &waiting->hits[i];
        const struct stretch *solo = &waiting->solos[hit->solo];

        if (!was_seen(waiting, solo, hit->first))
            l->more =
                l->eyes->look(l->eyes->context, solo, hit->first, l->most);
    }
}

/* Those at home first, which may score more. */
static enum status look_at_home_first(struct looking *l)
{
    const struct waiting_choice home = { .at_home = true };
    enum status st;

    if (l->eyes->away == 0 || l->at_home < wanted(l))
        return ST_OK;
    l->most = l->at_home;
    if (l->waiting->too_many) {
        l->once = true;
        st = look_by_most(l, &home);
        l->once = false;
    } else {
        st = l->eyes->ask(l->eyes->context, &home, look_at_unseen, l);
    }
    sort_seen(l->waiting);
    l->most = l->others;
    return st == ST_OK ? l->status : st;
}

/* Look at the hits that were not seen and may reach enough. */
static enum status look_at_rest(struct looking *l)
{
    const struct waiting_choice all = { 0 };

    if (!l->more || l->most < wanted(l))
        return ST_OK;
    if (l->waiting->too_many)
        return look_by_most(l, &all);
    look_at_kept(l);
    return ST_OK;
}

/* How many are looked at as they come. */
static size_t few_of(const struct waiting *waiting,
                     const struct waiting_eyes *eyes)
{
    size_t few = waiting->chained               ? WAITING_FEW_CHAINED
                 : eyes->levels > SALIENCE_FULL ? WAITING_FEW
                                                : WAITING_FEW_FULL;

    return many(waiting) < few ? many(waiting) / 2 : few;
}

enum status waiting_look(struct waiting *waiting,
                         const struct waiting_eyes *eyes, struct fault *why)
{
    struct looking l = { .waiting = waiting,
                         .eyes = eyes,
                         .at_home = INT_MAX,
                         .others = INT_MAX,
                         .most = INT_MAX,
                         .more = true,
                         .why = why };
    enum status st = ST_OK;

    if (eyes->levels > 0 &&
        (waiting->too_many || waiting->count > few_of(waiting, eyes))) {
        st = look_at_salience(&l);
        if (st == ST_OK && l.more)
            st = look_at_home_first(&l);
    }
    if (st == ST_OK)
        st = look_at_rest(&l);
    return st == ST_OK ? l.status : st;
}

void waiting_free(struct waiting *waiting)
{
    free(waiting->hits);
    free(waiting->solos);
    free(waiting->seen.items);
    free(waiting->all.items);
    *waiting = (struct waiting){ 0 };
}
