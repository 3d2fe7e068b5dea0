/* query/find.c - candidates, verified; the best of them kept. */
#include "query/find.h"

#include <limits.h>
#include <stdlib.h>
#include <string.h>

#include "query/find_fill.h"
#include "query/find_groups.h"
#include "query/find_search.h"
#include "query/find_shelf.h"
#include "query/match.h"
#include "schema/follow.h"

/* --- the solo being looked at --------------------------------------------- */

static enum status load(struct search *s)
{
    if (s->solo)
        return ST_OK;
    s->status = shelf_load(&s->solo, s->store, s->id, s->why);
    return s->status;
}

/* Have the notes of the solo, of which LAST must be one. */
static enum status load_to(struct search *s, size_t last)
{
    if (load(s) == ST_OK && s->status == ST_OK)
        s->status = shelf_holds(s->solo, last, s->why);
    return s->status;
}

static enum status copy_midi(struct search *s)
{
    const struct solo *solo = s->solo;

    if (solo->note_count > s->copied_room) {
        uint8_t *more = realloc(s->copied, solo->note_count);

        if (!more)
            return fault_nomem(s->why);
        s->copied = more;
        s->copied_room = solo->note_count;
    }
    for (size_t i = 0; i < solo->note_count; i++)
        s->copied[i] = solo->notes[i].midi;
    s->midi = s->copied;
    s->count = solo->note_count;
    return ST_OK;
}

static enum status open_solo(struct search *s, const struct stretch *solo)
{
    s->id = solo->id;
    s->opened++;
    s->found = false;
    s->by_strands = s->glancing && !store_load_changes(s->store, solo->id);
    if (!s->by_strands) {
        enum status st = load(s);

        return st == ST_OK ? copy_midi(s) : st;
    }
    s->status = glance_open(&s->glance, s->store, &s->question, solo, s->why);
    s->midi = NULL;
    s->count = s->glance.count;
    return s->status;
}

/* Have the pitches of the solo. */
static enum status read_midi(struct search *s)
{
    if (s->midi)
        return ST_OK;
    s->midi = glance_strand(&s->glance, STRAND_MIDI);
    return s->glance.status;
}

static void close_solo(struct search *s)
{
    s->result->solos_with_hits += s->found;
    solo_free(s->solo);
    s->solo = NULL;
    if (s->status == ST_OK && s->by_strands)
        s->status = s->glance.status;
}

/* match_rest(), by the strands where they can tell. */
static bool rest_fits(struct search *s, struct match *m)
{
    enum glance_answer answer =
        s->by_strands ? glance_match(&s->glance, m) : GLANCE_UNSURE;

    if (answer != GLANCE_UNSURE)
        return answer == GLANCE_YES;
    return load_to(s, m->last) == ST_OK && match_rest(s->query, s->solo, m);
}

/* --- hits ----------------------------------------------------------------- */

/* Is there more to decide of a place than its pitches? */
static bool asks_rest(const struct find_query *query)
{
    return query->rhythm != RHYTHM_ANY || place_is_asked(&query->place) ||
           query->has_relation || query->into.count > 0 ||
           (query->fragment.over.count > 0 && !query->reharmonized);
}

/* Score a hit by its notes, and count it with its relation. */
enum status search_weigh(struct search *s, const struct match *m, bool counted,
                         int *score)
{
    struct rank_place place = { .first = m->first, .last = m->last };
    struct rank_question question;
    struct rank_parts parts;

    if (load_to(s, m->last) != ST_OK)
        return s->status;
    place.solo = s->solo;
    place.chord =
        solo_window_chord(s->solo, m->first, m->last - m->first + 1);
    find_rank_question(&question, s->query, s->solo, m->shift, place.chord,
                       false);
    rank_score(&parts, &question, &place);
    *score = parts.score;
    if (!s->query->reharmonized || counted)
        return ST_OK;
    return groups_count(s->result, s->solo, m,
                        follow_sounding(s->solo, place.chord),
                        question.has_home ? &question.home : NULL, s->why);
}

/* Count a hit with its relation by its strands; false where its notes are
 * needed. */
static bool count_relation(struct search *s, const struct match *m)
{
    struct rank_question question;
    struct glance_chord there;
    const struct chord *written;

    if (!s->query->reharmonized)
        return true;
    if (!glance_window(&s->glance, m->first, m->last - m->first + 1, &there))
        return false;
    written = there.sounds ? &there.event.chord : NULL;
    find_rank_home(&question, s->query, written, m->shift, NULL);
    return groups_count_known(s->result, written,
                              question.has_home ? &question.home : NULL);
}

/* Few solos have a hit, and of this one only the pitches were read: the notes
 * of a place are sooner read than the strands of whole solos. */
static bool hits_are_few(const struct search *s)
{
    return s->query->edits > 0 && !asks_rest(s->query) &&
           s->result->solos_with_hits < s->opened / 4;
}

/* Score a hit by strands. */
static void score_by_strands(struct search *s, const struct match *m,
                             int *score, bool *exact)
{
    int enough = keeping_enough(&s->keeping, m->edits);
    struct match here = *m;
    struct glance near;

    if (!hits_are_few(s)) {
        glance_score(&s->glance, m, enough, score, exact);
        return;
    }
    here.first = 0;
    here.last = m->last - m->first;
    if (glance_open_at(&near, s->store, &s->question, &s->glance.solo, m->first,
                       here.last + 1, s->why) == ST_OK)
        glance_score(&near, &here, enough, score, exact);
    s->glance.status = near.status;
}

/* The score of a hit, unless it would not be kept in any case. */
static enum status find_score(struct search *s, const struct match *m,
                              int *score, bool *refused)
{
    bool exact = false, counted = false;

    *score = INT_MAX;
    *refused = false;
    if (s->by_strands) {
        counted = count_relation(s, m);
        if (counted && s->query->count_only)
            return ST_OK;
        if (!keeping_refuses(&s->keeping, m->edits, *score))
            score_by_strands(s, m, score, &exact);
        *refused = counted && keeping_refuses(&s->keeping, m->edits, *score);
        if (*refused || (exact && counted))
            return ST_OK;
    }
    return search_weigh(s, m, counted, score);
}

/* Keep the hit, whose solo is the one being looked at. */
enum status search_keep(struct search *s, struct kept *hit)
{
    struct ordered *solo;
    enum status st =
        ordering_find(&s->ordering, s->store, hit->id, &solo, s->why);

    if (st != ST_OK)
        return st;
    hit->path = solo->path;
    return keep(&s->keeping, hit, s->why);
}

static enum status search_hit(struct search *s, const struct match *m)
{
    struct kept hit = { .id = s->id,
                        .first = (uint32_t)m->first,
                        .last = (uint32_t)m->last,
                        .edits = m->edits,
                        .shift = m->shift };
    enum status st;
    bool refused;

    s->found = true;
    s->result->total++;
    if (s->query->variants) {
        st = variants_add(&s->result->variants, s->solo, m->first, m->last,
                          s->why);
        if (st != ST_OK)
            return st;
    }
    if (s->query->count_only && !s->query->reharmonized)
        return ST_OK;
    st = find_score(s, m, &hit.score, &refused);
    if (st != ST_OK || s->query->count_only || refused)
        return st;
    return search_keep(s, &hit);
}

/* --- with a few notes changed --------------------------------------------- */

/* How far the place lies above the fragment: told by an end that is kept, else
 * by a note inside that is. */
static int shift_of(const struct search *s, size_t first, size_t last)
{
    const struct fragment *f = &s->query->fragment;
    size_t end = f->count - 1;
    struct edits_alignment a;

    if (!f->any[0] && f->given_at == 0)
        return s->midi[first] - f->midi[0];
    if (!f->any[end] && f->group[end] == f->group[f->given_at])
        return s->midi[last] - f->midi[end];
    if (!edits_align(s->edits, s->midi + first, last - first + 1, &a))
        return 0;
    for (size_t i = 0; i < a.count; i++)
        if (a.steps[i].note >= 0 && a.steps[i].wanted >= 0 &&
            f->group[a.steps[i].note] == f->group[f->given_at])
            return a.steps[i].wanted - f->midi[a.steps[i].note];
    return 0;
}

static struct match match_of(const struct search *s, size_t first,
                             size_t last)
{
    struct match m = { .first = first, .last = last };

    m.shift = shift_of(s, first, last);
    return m;
}

static bool accept_place(void *context, size_t first, size_t last)
{
    struct search *s = context;
    struct match m = match_of(s, first, last);

    return rest_fits(s, &m);
}

static enum status search_edits(struct search *s)
{
    const struct edits_place *places;
    size_t count = 0;
    enum status st =
        edits_find(s->edits, s->midi, s->count,
                   asks_rest(s->query) ? accept_place : NULL, s, &places,
                   &count, s->why);

    for (size_t i = 0; i < count && st == ST_OK; i++) {
        struct match m = match_of(s, places[i].first, places[i].last);

        m.edits = places[i].edits;
        st = search_hit(s, &m);
    }
    return st;
}

/* --- solo by solo --------------------------------------------------------- */

/* The note FIRST starts a place whose pitches fit. */
static enum status search_place(struct search *s, size_t first)
{
    struct match m;

    match_place(s->query, s->midi + first, first, &m);
    return rest_fits(s, &m) ? search_hit(s, &m) : ST_OK;
}

static enum status search_exact(struct search *s, const uint32_t *firsts,
                                size_t count)
{
    size_t notes = s->query->fragment.count;
    enum status st = s->count < notes ? ST_OK : read_midi(s);

    if (s->count < notes)
        return ST_OK;
    for (size_t i = 0; i < count && st == ST_OK; i++)
        if (firsts[i] <= s->count - notes &&
            match_pitches(s->query, s->midi + firsts[i]))
            st = search_place(s, firsts[i]);
    return st;
}

/* The same where the index has nothing to propose. */
static enum status search_all(struct search *s)
{
    const struct edits_place *places;
    size_t count;
    enum status st = edits_find_all(s->edits, s->midi, s->count, &places,
                                    &count, s->why);

    for (size_t i = 0; i < count && st == ST_OK; i++)
        st = search_place(s, places[i].first);
    return st;
}

/* The notes of the candidates decide. */
static enum status search_notes(struct search *s, const uint32_t *firsts,
                                size_t count)
{
    enum status st;

    if (firsts)
        return search_exact(s, firsts, count);
    st = read_midi(s);
    if (st != ST_OK)
        return st;
    return s->query->edits > 0 ? search_edits(s) : search_all(s);
}

static bool search_solo(void *context, const struct stretch *solo,
                        const uint32_t *firsts, size_t count)
{
    struct search *s = context;
    enum status st;

    if (search_may_wait(s, solo)) {
        s->status = search_wait(s, solo, firsts, count);
        return s->status == ST_OK;
    }
    st = open_solo(s, solo);
    if (st == ST_OK)
        st = search_notes(s, firsts, count);
    close_solo(s);
    if (st != ST_OK)
        s->status = st;
    return s->status == ST_OK;
}

static enum status search_run(struct search *s)
{
    enum status st;

    s->lookup = lookup_choose(s->query);
    s->waiting.many = s->query->many;
    s->at_leisure = s->query->count_only || s->query->limit > 0;
    s->at_leisure = s->at_leisure && !s->query->reharmonized;
    st = store_passing(&s->passing, s->store, &s->query->filter, s->why);
    if (st == ST_OK)
        st = search_may_wait_whole(s)
                 ? search_wait_whole(s)
                 : candidates_run(s->store, s->query, s->passing, &s->lookup,
                                  search_solo, s, s->why);
    if (s->status != ST_OK)
        st = s->status;
    if (st == ST_OK)
        st = search_look(s);
    if (st == ST_OK)
        keeping_sort(&s->keeping);
    return st;
}

/* --- the answer ---------------------------------------------------------- */

static enum status answer(struct search *s)
{
    enum status st = search_run(s);

    /* What the hits were found by will do for the solos that are shown: new
     * memory costs more than to take them apart. */
    waiting_free(&s->waiting);
    store_forget_strands(s->store);
    if (st == ST_OK && !s->query->count_only)
        st = find_fill(s->result, s->store, s->query, &s->keeping,
                       &s->ordering, s->why);
    return st;
}

/* QUERY made ready: what follows from the fragment is worked out. */
static enum status prepare(struct search *s, struct find_query *asked,
                           const struct find_query *query)
{
    *asked = *query;
    asked_home_of(&asked->home, &asked->fragment);
    if (asked->weights.harmony + asked->weights.position +
            asked->weights.rhythm == 0)
        asked->weights = (struct rank_weights)RANK_WEIGHTS_DEFAULT;
    s->query = asked;
    s->result->home = asked->home;
    s->keeping.limit = asked->limit;
    s->glancing = glance_prepare(&s->question, asked);
    if (asked->rhythm != RHYTHM_ANY && !asked->fragment.has_rhythm)
        return fault_set(s->why, ST_USAGE,
                         "the fragment has no rhythm to compare with: give "
                         "its notes values, e.g. 5:8 b3:8 2:8 1:8");
    if (asked->has_relation && !asked->home.known)
        return fault_set(s->why, ST_USAGE,
                         "the fragment has no home chord to which another "
                         "could stand in a relation; give one with --over");
    return edits_new(&s->edits, &asked->fragment, asked->any_octave,
                     asked->edits, s->why);
}

enum status find_run(struct find_result *out, struct store *store,
                     const struct find_query *query, struct fault *why)
{
    struct search s = { .store = store, .result = out, .why = why };
    struct find_query asked;
    enum status st;

    memset(out, 0, sizeof *out);
    st = prepare(&s, &asked, query);
    if (st == ST_OK)
        st = store_read_begin(store, why);
    if (st == ST_OK) {
        st = answer(&s);
        store_read_end(store);
    }
    groups_sort(out);
    variants_sort(&out->variants);
    edits_free(s.edits);
    free(s.copied);
    ordering_free(&s.ordering);
    waiting_free(&s.waiting);
    passing_free(s.passing);
    keeping_free(&s.keeping);
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
        free(solo->sha256);
    }
    shelf_free(result->shelf);
    variants_free(&result->variants);
    free(result->groups);
    free(result->asked);
    free(result->by_solo);
    free(result->solos);
    free(result->hits);
    memset(result, 0, sizeof *result);
}
