/* query/find_fill.c - see find_fill.h. */
#include "query/find_fill.h"

#include <stdlib.h>
#include <string.h>

#include "query/find_shelf.h"
#include "query/match.h"

/* The next of the solos, of the file FILE. */
static enum status take_solo(struct find_result *out, struct ordered *file,
                             struct fault *why)
{
    struct found_solo *solo = &out->solos[out->solo_count];

    file->put = (uint32_t)out->solo_count++;
    solo->id = file->id;
    solo->path = strdup(file->path);
    solo->sha256 = strdup(file->sha256);
    return solo->path && solo->sha256 ? ST_OK : fault_nomem(why);
}

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
        struct ordered *file;
        enum status st = ordering_find(ordering, store, kept[i].id, &file, why);

        if (st == ST_OK && file->put == UINT32_MAX)
            st = take_solo(out, file, why);
        if (st != ST_OK)
            return st;
        out->hits[i].solo = file->put;
        out->hits[i].first = kept[i].first;
        out->hits[i].last = kept[i].last;
        out->hits[i].edits = kept[i].edits;
        out->hits[i].shift = kept[i].shift;
    }
    out->hit_count = keeping->count;
    return ST_OK;
}

static void fill_hit(const struct solo *solo, const struct find_query *query,
                     struct hit *hit)
{
    const struct fragment *f = &query->fragment;
    struct rank_place place = { solo, hit->first, hit->last, 0 };
    struct match m = { .first = hit->first,
                       .last = hit->last,
                       .shift = hit->shift };
    struct rank_question question;

    hit->filled = true;

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

static size_t *order_by_solo(const struct find_result *out)
{
    size_t *ends = calloc(out->solo_count + 1, sizeof *ends);
    size_t *order = malloc((out->hit_count + 1) * sizeof *order);

    for (size_t i = 0; ends && i < out->hit_count; i++)
        ends[out->hits[i].solo + 1]++;
    for (size_t i = 1; ends && i <= out->solo_count; i++)
        ends[i] += ends[i - 1];
    for (size_t i = 0; ends && order && i < out->hit_count; i++)
        order[ends[out->hits[i].solo]++] = i;
    if (!ends) {
        free(order);
        order = NULL;
    }
    free(ends);
    return order;
}

enum status find_hit(const struct hit **out, const struct solo **solo,
                     const struct find_result *result, size_t index,
                     struct fault *why)
{
    struct hit *hit = &result->hits[index];
    enum status st = find_solo(solo, result, hit->solo, why);

    *out = hit;
    if (st == ST_OK && !hit->filled) {
        st = shelf_holds(*solo, hit->last, why);
        if (st == ST_OK)
            fill_hit(*solo, result->asked, hit);
    }
    return st;
}

/* Solo by solo, so that each is loaded once. */
static enum status fill_hits(struct find_result *out, struct fault *why)
{
    enum status st = ST_OK;

    for (size_t i = 0; i < out->hit_count && st == ST_OK; i++) {
        const struct hit *hit;
        const struct solo *solo;

        st = find_hit(&hit, &solo, out, out->by_solo[i], why);
    }
    return st;
}

/* How many solos of OUT are to be held. */
static size_t solos_held(const struct find_result *out,
                         const struct find_query *query)
{
    if (!query->lean)
        return SIZE_MAX;
    if (query->held > 0)
        return query->held;
    return query->late && out->hit_count <= FIND_HELD ? FIND_HELD_MIN
                                                      : FIND_HELD;
}

enum status find_fill(struct find_result *out, struct store *store,
                      const struct find_query *query, struct keeping *keeping,
                      struct ordering *ordering, struct fault *why)
{
    enum status st = list_solos(out, store, keeping, ordering, why);

    keeping_free(keeping);
    ordering_free(ordering);
    if (st == ST_OK) {
        out->by_solo = order_by_solo(out);
        out->asked = malloc(sizeof *out->asked);
        st = out->by_solo && out->asked ? ST_OK : fault_nomem(why);
    }
    if (st == ST_OK) {
        *out->asked = *query;
        st = shelf_new(out, store, solos_held(out, query), why);
    }
    return st == ST_OK && !query->late ? fill_hits(out, why) : st;
}
