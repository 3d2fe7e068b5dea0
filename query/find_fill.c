/* query/find_fill.c - see find_fill.h. */
#include "query/find_fill.h"

#include <stdlib.h>
#include <string.h>

#include "query/match.h"

/* The solos of the hits kept, one each. */
static enum status list_solos(struct find_result *out, struct store *store,
                              const struct keeping *keeping,
                              struct ordering *ordering, struct fault *why)
{
    const struct kept *kept = keeping->hits;

    out->hits = calloc(keeping->count + 1, sizeof *out->hits);
    out->solos = calloc(keeping->count + 1, sizeof *out->solos);
    if (!out->hits || !out->solos)
        return fault_nomem(why);
    for (size_t i = 0; i < keeping->count; i++) {
        struct ordered *solo;
        enum status st =
            ordering_find(ordering, store, kept[i].id, &solo, why);

        if (st != ST_OK)
            return st;
        if (solo->put == UINT32_MAX) {
            solo->put = (uint32_t)out->solo_count;
            out->solos[out->solo_count++].id = kept[i].id;
        }
        out->hits[i].solo = solo->put;
        out->hits[i].first = kept[i].first;
        out->hits[i].last = kept[i].last;
        out->hits[i].edits = kept[i].edits;
        out->hits[i].shift = kept[i].shift;
    }
    out->hit_count = keeping->count;
    return ST_OK;
}

static bool take_facts(void *context, const struct solo_record *record)
{
    struct found_solo *solo = context;

    solo->path = strdup(record->path);
    solo->title = strdup(record->title);
    solo->performer = strdup(record->performer);
    solo->sha256 = strdup(record->sha256);
    return true;
}

static enum status load_solos(struct find_result *out, struct store *store,
                              struct fault *why)
{
    enum status st = ST_OK;

    for (size_t i = 0; i < out->solo_count && st == ST_OK; i++) {
        struct found_solo *solo = &out->solos[i];

        st = store_solo(store, solo->id, take_facts, solo, why);
        if (st == ST_OK && (!solo->path || !solo->title ||
                            !solo->performer || !solo->sha256))
            st = fault_nomem(why);
        if (st == ST_OK)
            st = store_load(store, solo->id, &solo->solo, why);
    }
    if (st != ST_NOTHING)
        return st;
    return fault_set(why, ST_LIBRARY,
                     "the index is damaged (its lists of solos differ): run "
                     "cellar-index --full");
}

static void fill_hit(const struct find_result *out,
                     const struct find_query *query, struct hit *hit)
{
    const struct fragment *f = &query->fragment;
    const struct solo *solo = out->solos[hit->solo].solo;
    struct rank_place place = { solo, hit->first, hit->last, 0 };
    struct match m = { .first = hit->first,
                       .last = hit->last,
                       .shift = hit->shift };
    struct rank_question question;

    match_rest(query, solo, &m);
    hit->exactness = m.exactness;
    hit->chord = solo_window_chord(solo, hit->first,
                                   hit->last - hit->first + 1);
    place.chord = hit->chord;
    hit->has_transposition = f->given_pc >= 0;
    if (hit->has_transposition)
        hit->transposition = match_transposition(f, hit->shift);
    hit->plays = solo_times_played(solo, solo->notes[hit->first].bar,
                                   solo->notes[hit->last].bar);
    find_rank_question(&question, query, solo, hit->shift, hit->chord,
                       true);
    hit->has_home = question.has_home;
    hit->home = question.home;
    rank_score(&hit->parts, &question, &place);
}

enum status find_fill(struct find_result *out, struct store *store,
                      const struct find_query *query,
                      const struct keeping *keeping,
                      struct ordering *ordering, struct fault *why)
{
    enum status st = list_solos(out, store, keeping, ordering, why);

    if (st == ST_OK)
        st = load_solos(out, store, why);
    for (size_t i = 0; i < out->hit_count && st == ST_OK; i++)
        fill_hit(out, query, &out->hits[i]);
    return st;
}
