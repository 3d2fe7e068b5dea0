/* query/candidates.c - the places the index proposes for a fragment. */
#include "query/candidates.h"

#include <stdlib.h>

#include "query/match.h"

_Static_assert((GRAM_QUESTION_MAX - 2) * GRAM_MAX >= FRAGMENT_NOTES_MAX,
               "the longest fragment is a question");

/* --- what to look up ----------------------------------------------------- */

static bool fixed_step(const struct fragment *f, size_t i)
{
    return !f->any[i] && !f->any[i + 1] && f->group[i] == f->group[i + 1];
}

/* A gram with a place holds the chord of its own window, so it helps only
 * where the run is the whole fragment, short enough for one gram, and the
 * chord asked is of one class. */
static bool has_place(const struct find_query *query, size_t length)
{
    const struct fragment *f = &query->fragment;

    return f->over.count == 1 && !query->reharmonized && f->start >= 0 &&
           length + 1 == f->count && length <= GRAM_MAX &&
           !over_any_sus(&f->over.chords[0]);
}

/* Does the place in a gram say of its chord all that is asked? */
static bool place_says_all(const struct over_chord *asked)
{
    return !asked->function[0] && !asked->chord.altered && !asked->chord.sus;
}

static bool decides(const struct find_query *query,
                    const struct lookup *lookup)
{
    const struct fragment *f = &query->fragment;

    if (lookup->length + 1 != f->count || query->rhythm != RHYTHM_ANY ||
        query->has_relation || query->into.count > 0 ||
        place_is_asked(&query->place))
        return false;
    for (size_t i = 0; i + 1 < f->count; i++)
        if (abs(f->midi[i + 1] - f->midi[i]) > GRAM_INTERVAL_MAX)
            return false;
    return f->over.count == 0 || query->reharmonized ||
           (lookup->placed && place_says_all(&f->over.chords[0]));
}

struct lookup lookup_choose(const struct find_query *query)
{
    const struct fragment *f = &query->fragment;
    struct lookup best = { 0 };
    size_t start = 0;

    /* An interval an octave wider is another gram; a changed note may stand
     * anywhere. */
    if (query->any_octave || query->edits > 0)
        return best;
    for (size_t i = 0; i + 1 < f->count; i++) {
        if (!fixed_step(f, i)) {
            start = i + 1;
            continue;
        }
        if (i + 1 - start > best.length) {
            best.at = start;
            best.length = i + 1 - start;
        }
    }
    if (best.length < GRAM_MIN)
        return (struct lookup){ 0 };
    best.placed = has_place(query, best.length);
    best.class = f->over.chords[0].chord.class;
    best.start = f->start;
    best.decides = decides(query, &best);
    return best;
}

/* --- asking -------------------------------------------------------------- */

struct proposing {
    const struct passing *passing;
    size_t at; /* how far into the fragment the places found lie */
    candidate_each each;
    void *context;
    uint32_t *firsts;
    size_t room;
    bool nomem;
};

/* Turn the places of the run into places of the fragment's first note. */
static bool propose(void *context, const struct stretch *solo,
                    const uint32_t *places, size_t count)
{
    struct proposing *p = context;
    size_t kept = 0;

    if (p->at == 0)
        return p->each(p->context, solo, places, count);
    if (count > p->room) {
        uint32_t *more = realloc(p->firsts, count * sizeof *more);

        if (!more) {
            p->nomem = true;
            return false;
        }
        p->firsts = more;
        p->room = count;
    }
    for (size_t i = 0; i < count; i++)
        if (places[i] >= p->at)
            p->firsts[kept++] = places[i] - (uint32_t)p->at;
    return kept == 0 || p->each(p->context, solo, p->firsts, kept);
}

/* The grams of LOOKUP into OUT; returns their number. */
static size_t grams_of(struct gram out[GRAM_QUESTION_MAX],
                       const struct fragment *f, const struct lookup *lookup)
{
    const struct gram_place place = { lookup->class, lookup->start };
    int steps[FRAGMENT_NOTES_MAX];

    for (size_t i = 0; i < lookup->length; i++)
        steps[i] = f->midi[lookup->at + i + 1] - f->midi[lookup->at + i];
    return gram_question(out, steps, lookup->length,
                         lookup->placed ? &place : NULL);
}

static enum status ask_index(struct store *store,
                             const struct find_query *query,
                             const struct lookup *lookup, struct proposing *p,
                             struct fault *why)
{
    struct gram grams[GRAM_QUESTION_MAX];
    size_t count = grams_of(grams, &query->fragment, lookup);
    enum status st;

    st = store_places(store, grams, count, p->passing, propose, p, why);
    free(p->firsts);
    return p->nomem ? fault_nomem(why) : st;
}

static bool propose_all(void *context, const struct stretch *solo)
{
    struct proposing *p = context;

    return p->each(p->context, solo, NULL, 0);
}

enum status candidates_run(struct store *store, const struct find_query *query,
                           const struct passing *passing,
                           const struct lookup *lookup, candidate_each each,
                           void *context, struct fault *why)
{
    struct proposing p = {
        .passing = passing, .at = lookup->at, .each = each, .context = context
    };

    if (lookup->length > 0)
        return ask_index(store, query, lookup, &p, why);
    return store_stretches(store, passing, propose_all, &p, why);
}

enum status candidates_whole(struct store *store,
                             const struct find_query *query,
                             const struct lookup *lookup,
                             store_segment_each each, void *context,
                             struct fault *why)
{
    struct gram grams[GRAM_QUESTION_MAX];
    size_t count = grams_of(grams, &query->fragment, lookup);

    return store_places_whole(store, grams, count, each, context, why);
}
