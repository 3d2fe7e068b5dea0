/* query/find.c - candidates, verified; the best of them kept. */
#include "query/find.h"

#include <stdlib.h>
#include <string.h>

#include "query/candidates.h"
#include "query/match.h"

/* --- the solos in the order of their paths ------------------------------- */

/* Ids and places in path order, sorted by id once they are all there. */
struct ranking {
    struct ranked {
        int64_t id;
        uint32_t rank;
    } * solos;
    size_t count, room;
    bool nomem;
};

static bool rank_next(void *context, const struct solo_record *solo)
{
    struct ranking *r = context;

    if (r->count == r->room) {
        size_t room = r->room ? 2 * r->room : 256;
        struct ranked *more = realloc(r->solos, room * sizeof *more);

        if (!more) {
            r->nomem = true;
            return false;
        }
        r->solos = more;
        r->room = room;
    }
    r->solos[r->count].id = solo->id;
    r->solos[r->count].rank = (uint32_t)r->count;
    r->count++;
    return true;
}

static int by_id(const void *a, const void *b)
{
    const struct ranked *x = a, *y = b;

    return (x->id > y->id) - (x->id < y->id);
}

static enum status ranking_read(struct ranking *r, struct store *store,
                                const struct filter *filter, struct fault *why)
{
    enum status st = store_solos(store, filter, rank_next, r, why);

    if (r->nomem)
        return fault_nomem(why);
    if (st == ST_OK && r->count > 0)
        qsort(r->solos, r->count, sizeof *r->solos, by_id);
    return st;
}

/* --- the hits kept ------------------------------------------------------- */

/* A hit before its solo is looked at again.  Within a solo the bars ascend
 * with the notes, so FIRST stands for both. */
struct kept {
    int64_t id;
    uint32_t rank, first;
    int exactness;
};

/* Up to twice LIMIT hits; when there are more, the better half stays.  LIMIT 0
 * keeps all. */
struct keeping {
    struct kept *hits;
    size_t count, room, limit;
    bool full; /* LIMIT hits are there; the last of them is hits[LIMIT - 1] */
};

static int better_first(const void *a, const void *b)
{
    const struct kept *x = a, *y = b;

    if (x->exactness != y->exactness)
        return y->exactness - x->exactness;
    if (x->rank != y->rank)
        return x->rank < y->rank ? -1 : 1;
    return (x->first > y->first) - (x->first < y->first);
}

static void keeping_sort(struct keeping *k)
{
    if (k->count > 0)
        qsort(k->hits, k->count, sizeof *k->hits, better_first);
    if (k->limit > 0 && k->count >= k->limit) {
        k->count = k->limit;
        k->full = true;
    }
}

static enum status keep(struct keeping *k, const struct kept *hit,
                        struct fault *why)
{
    if (k->full && better_first(hit, &k->hits[k->limit - 1]) > 0)
        return ST_OK;
    if (k->limit > 0 && k->count / 2 >= k->limit)
        keeping_sort(k);
    if (k->count == k->room) {
        size_t room = k->room ? 2 * k->room : 64;
        struct kept *more = realloc(k->hits, room * sizeof *more);

        if (!more)
            return fault_nomem(why);
        k->hits = more;
        k->room = room;
    }
    k->hits[k->count++] = *hit;
    return ST_OK;
}

/* --- looking through the candidates -------------------------------------- */

struct search {
    struct store *store;
    const struct find_query *query;
    struct find_result *result;
    struct ranking ranking;
    struct keeping keeping;
    enum status status;
    struct fault *why;
};

static enum status damaged(struct fault *why)
{
    return fault_set(why, ST_LIBRARY,
                     "the index is damaged (its lists of solos differ): run "
                     "cellar-index --full");
}

static enum status search_hit(struct search *s, int64_t id, size_t first,
                              int exactness)
{
    struct ranked wanted = { .id = id }, *ranked;
    struct kept hit = { .id = id,
                        .first = (uint32_t)first,
                        .exactness = exactness };

    s->result->total++;
    if (s->query->count_only)
        return ST_OK;
    ranked = s->ranking.count == 0
                 ? NULL
                 : bsearch(&wanted, s->ranking.solos, s->ranking.count,
                           sizeof wanted, by_id);
    if (!ranked)
        return damaged(s->why);
    hit.rank = ranked->rank;
    return keep(&s->keeping, &hit, s->why);
}

/* The notes of the candidates decide. */
static bool search_solo(void *context, int64_t id, const uint32_t *firsts,
                        size_t count)
{
    struct search *s = context;
    struct solo *solo;
    bool found = false;

    s->status = store_load(s->store, id, &solo, s->why);
    if (s->status == ST_NOTHING)
        s->status = damaged(s->why);
    if (s->status != ST_OK)
        return false;
    if (!firsts)
        count = solo->note_count;
    for (size_t i = 0; i < count && s->status == ST_OK; i++) {
        size_t first = firsts ? firsts[i] : i;
        int exactness;

        if (!match_at(s->query, solo, first, &exactness))
            continue;
        found = true;
        s->status = search_hit(s, id, first, exactness);
    }
    s->result->solos_with_hits += found;
    solo_free(solo);
    return s->status == ST_OK;
}

static enum status search_run(struct search *s)
{
    enum status st = ST_OK;

    if (!s->query->count_only)
        st = ranking_read(&s->ranking, s->store, &s->query->filter, s->why);
    if (st == ST_OK)
        st = candidates_run(s->store, s->query, search_solo, s, s->why);
    if (s->status != ST_OK)
        st = s->status;
    if (st == ST_OK)
        keeping_sort(&s->keeping);
    return st;
}

/* --- the answer ---------------------------------------------------------- */

/* The solos of the hits kept, one each. */
static enum status list_solos(struct search *s)
{
    struct find_result *out = s->result;
    const struct kept *kept = s->keeping.hits;

    out->hits = calloc(s->keeping.count + 1, sizeof *out->hits);
    out->solos = calloc(s->keeping.count + 1, sizeof *out->solos);
    if (!out->hits || !out->solos)
        return fault_nomem(s->why);
    /* The ranking, sorted by id, is free to hold where a solo was put. */
    for (size_t i = 0; i < s->ranking.count; i++)
        s->ranking.solos[i].rank = UINT32_MAX;
    for (size_t i = 0; i < s->keeping.count; i++) {
        struct ranked wanted = { .id = kept[i].id };
        struct ranked *put = bsearch(&wanted, s->ranking.solos,
                                     s->ranking.count, sizeof wanted, by_id);

        if (put->rank == UINT32_MAX) {
            put->rank = (uint32_t)out->solo_count;
            out->solos[out->solo_count++].id = wanted.id;
        }
        out->hits[i].solo = put->rank;
        out->hits[i].first = kept[i].first;
        out->hits[i].exactness = kept[i].exactness;
    }
    out->hit_count = s->keeping.count;
    return ST_OK;
}

/* Take the facts of SOLO where a hit needs them; stop when all are there. */
static bool take_facts(void *context, const struct solo_record *record)
{
    struct search *s = context;
    struct ranked wanted = { .id = record->id }, *put;
    struct found_solo *solo;

    put = bsearch(&wanted, s->ranking.solos, s->ranking.count, sizeof wanted,
                  by_id);
    if (!put || put->rank == UINT32_MAX)
        return true;
    solo = &s->result->solos[put->rank];
    solo->path = strdup(record->path);
    solo->title = strdup(record->title);
    solo->performer = strdup(record->performer);
    if (!solo->path || !solo->title || !solo->performer)
        s->status = fault_nomem(s->why);
    return s->status == ST_OK;
}

static enum status load_solos(struct search *s)
{
    struct find_result *out = s->result;
    enum status st = ST_OK;

    if (out->solo_count > 0)
        st = store_solos(s->store, &s->query->filter, take_facts, s, s->why);
    if (st == ST_OK)
        st = s->status;
    for (size_t i = 0; i < out->solo_count && st == ST_OK; i++)
        st =
            store_load(s->store, out->solos[i].id, &out->solos[i].solo, s->why);
    return st;
}

static void fill_hits(const struct search *s)
{
    const struct fragment *f = &s->query->fragment;

    for (size_t i = 0; i < s->result->hit_count; i++) {
        struct hit *hit = &s->result->hits[i];
        const struct solo *solo = s->result->solos[hit->solo].solo;
        const struct note *notes = solo->notes + hit->first;

        hit->chord = solo_window_chord(solo, hit->first, f->count);
        hit->has_transposition = f->given_pc >= 0;
        if (hit->has_transposition)
            hit->transposition = match_transposition(f, solo, hit->first);
        hit->plays =
            solo_times_played(solo, notes[0].bar, notes[f->count - 1].bar);
    }
}

static enum status answer(struct search *s)
{
    enum status st = search_run(s);

    if (st == ST_OK && !s->query->count_only)
        st = list_solos(s);
    if (st == ST_OK)
        st = load_solos(s);
    if (st == ST_OK)
        fill_hits(s);
    return st;
}

enum status find_run(struct find_result *out, struct store *store,
                     const struct find_query *query, struct fault *why)
{
    struct search s = {
        .store = store, .query = query, .result = out, .why = why
    };
    enum status st;

    memset(out, 0, sizeof *out);
    s.keeping.limit = query->limit;
    if (query->rhythm != RHYTHM_ANY && !query->fragment.has_rhythm)
        return fault_set(why, ST_USAGE,
                         "the fragment has no rhythm to compare with: give "
                         "its notes values, e.g. 5:8 b3:8 2:8 1:8");
    st = store_read_begin(store, why);
    if (st != ST_OK)
        return st;
    st = answer(&s);
    store_read_end(store);
    free(s.ranking.solos);
    free(s.keeping.hits);
    if (st != ST_OK)
        find_result_free(out);
    return st;
}

void find_result_free(struct find_result *result)
{
    for (size_t i = 0; i < result->solo_count; i++) {
        struct found_solo *solo = &result->solos[i];

        solo_free(solo->solo);
        free(solo->path);
        free(solo->title);
        free(solo->performer);
    }
    free(result->solos);
    free(result->hits);
    memset(result, 0, sizeof *result);
}
