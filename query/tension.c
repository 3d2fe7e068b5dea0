/* query/tension.c - every note on one degree of such a chord. */
#include "query/tension.h"

#include <stdlib.h>
#include <string.h>

#include "query/find_keep.h"
#include "query/scan.h"

struct search {
    const struct tension_query *query;
    struct tension_result *result;
    struct keeping keeping;
};

static enum status look(void *context, size_t index, const struct solo *solo,
                        struct fault *why)
{
    struct search *s = context;
    struct tension_phrase phrase = { 0 };
    uint64_t before = s->result->total;
    enum status st = ST_OK;

    for (size_t i = 0; i < solo->note_count && st == ST_OK; i++) {
        struct tension_note note;
        struct kept hit = { .rank = (uint32_t)index, .first = (uint32_t)i };

        if (!tension_may_fit(s->query, solo, i) ||
            !tension_note_read(&note, &phrase, s->query, solo, i) ||
            !tension_note_fits(s->query, solo, &note))
            continue;
        s->result->total++;
        hit.score = note.parts.score;
        st = keep(&s->keeping, &hit, why);
    }
    s->result->solos_with_hits += s->result->total > before;
    return st;
}

/* --- the hits kept, looked at again --------------------------------------- */

static int by_place(const void *a, const void *b)
{
    const struct tension_hit *x = *(struct tension_hit *const *)a;
    const struct tension_hit *y = *(struct tension_hit *const *)b;

    if (x->solo != y->solo)
        return x->solo < y->solo ? -1 : 1;
    return (x->note.index > y->note.index) - (x->note.index < y->note.index);
}

/* Fill the hits in the order of their places, so that every solo is loaded,
 * and every phrase looked through, once. */
static enum status fill(struct search *s, struct tension_hit **hits,
                        struct store *store, struct fault *why)
{
    struct tension_result *out = s->result;
    struct tension_phrase phrase = { 0 };
    enum status st = ST_OK;

    for (size_t i = 0; i < out->hit_count && st == ST_OK; i++) {
        struct tension_hit *hit = hits[i];
        struct solo **solo = &out->solos[hit->solo];
        int32_t bar;

        if (!*solo) {
            st = store_load(store, out->list.items[hit->solo].id, solo, why);
            memset(&phrase, 0, sizeof phrase);
        }
        if (st != ST_OK)
            break;
        tension_note_read(&hit->note, &phrase, s->query, *solo,
                          hit->note.index);
        bar = (*solo)->notes[hit->note.index].bar;
        hit->plays = solo_times_played(*solo, bar, bar);
    }
    return st;
}

static enum status take_hits(struct search *s, struct store *store,
                             struct fault *why)
{
    struct tension_result *out = s->result;
    size_t count = s->keeping.count;
    struct tension_hit **hits = calloc(count + 1, sizeof *hits);
    enum status st;

    out->hits = calloc(count + 1, sizeof *out->hits);
    out->solos = calloc(out->list.count + 1, sizeof(struct solo *));
    if (!hits || !out->hits || !out->solos) {
        free(hits);
        return fault_nomem(why);
    }
    for (size_t i = 0; i < count; i++) {
        out->hits[i].solo = s->keeping.hits[i].rank;
        out->hits[i].note.index = s->keeping.hits[i].first;
        hits[i] = &out->hits[i];
    }
    out->hit_count = count;
    qsort(hits, count, sizeof(struct tension_hit *), by_place);
    st = fill(s, hits, store, why);
    free(hits);
    return st;
}

enum status tension_run(struct tension_result *out, struct store *store,
                        const struct tension_query *query, struct fault *why)
{
    struct search s = { .query = query, .result = out };
    enum status st = store_read_begin(store, why);

    memset(out, 0, sizeof *out);
    s.keeping.limit = query->limit;
    if (st != ST_OK)
        return st;
    st = scan_solos(&out->list, store, &query->filter, look, &s, why);
    keeping_sort(&s.keeping);
    if (st == ST_OK)
        st = take_hits(&s, store, why);
    store_read_end(store);
    keeping_free(&s.keeping);
    if (st != ST_OK)
        tension_result_free(out);
    return st;
}

void tension_result_free(struct tension_result *result)
{
    for (size_t i = 0; result->solos && i < result->list.count; i++)
        solo_free(result->solos[i]);
    free(result->solos);
    free(result->hits);
    solo_list_free(&result->list);
    memset(result, 0, sizeof *result);
}
