/* query/find_look.c - hits that wait until it is known which may score most,
 * and are looked at one by one. */
#include "query/find_search.h"
#include "schema/worth.h"

/* Will HIT not be kept even if it scores MOST?  With as much as the last that
 * is kept the path decides. */
static bool is_out(struct search *s, struct kept *hit, int most)
{
    struct ordered *solo;

    if (most != keeping_enough(&s->keeping, 0))
        return keeping_refuses(&s->keeping, 0, most);
    s->status = ordering_find(&s->ordering, s->store, hit->id, &solo, s->why);
    if (s->status != ST_OK)
        return true;
    hit->score = most;
    hit->path = solo->path;
    return !keeping_takes(&s->keeping, hit);
}

/* A hit that waited is looked at, by itself. */
static bool look_at(void *context, const struct stretch *solo, uint32_t first,
                    int most)
{
    struct search *s = context;
    struct kept hit = { .id = solo->id, .first = first };
    struct match m;
    bool exact;

    s->id = solo->id;
    if (is_out(s, &hit, most))
        return s->status == ST_OK; /* another may still have more to hope for */
    s->status = glance_open_at(&s->glance, s->store, &s->question, solo, first,
                               s->query->fragment.count, s->why);
    if (s->status != ST_OK)
        return false;
    match_place(s->query, s->glance.strands[STRAND_MIDI], 0, &m);
    hit.last = first + (uint32_t)m.last;
    hit.shift = m.shift;
    glance_score(&s->glance, &m, keeping_enough(&s->keeping, 0), &hit.score,
                 &exact);
    if (keeping_refuses(&s->keeping, 0, hit.score))
        return true;
    m.first = first;
    m.last = hit.last;
    if (!exact)
        s->status = search_weigh(s, &m, true, &hit.score);
    solo_free(s->solo);
    s->solo = NULL;
    if (s->status == ST_OK)
        s->status = search_keep(s, &hit);
    if (s->status == ST_OK && keeping_is_ripe(&s->keeping))
        keeping_sort(&s->keeping);
    return s->status == ST_OK;
}

/* What a hit that waits may score. */
static bool may_score(void *context, const struct stretch *solo, uint32_t first,
                      int *most)
{
    struct search *s = context;
    struct glance *g = &s->wide;
    const uint8_t *midi;
    struct match m;

    if (g->solo.id != solo->id || !g->store)
        s->status = glance_open(g, s->store, &s->question, solo, s->why);
    midi = s->status == ST_OK ? glance_strand(g, STRAND_MIDI) : NULL;
    if (s->status == ST_OK)
        s->status = g->status;
    if (s->status != ST_OK)
        return false;
    match_place(s->query, midi + first, first, &m);
    *most = glance_most(g, &m, keeping_enough(&s->keeping, 0));
    s->status = g->status;
    return s->status == ST_OK;
}

static int enough(void *context)
{
    struct search *s = context;

    if (keeping_is_unsorted(&s->keeping))
        keeping_sort(&s->keeping);
    return keeping_enough(&s->keeping, 0);
}

/* Does it make a difference whether a hit stands over the chord that the notes
 * of the fragment spell? */
static bool tells_home(const struct search *s)
{
    const struct asked_home *home = &s->query->home;

    return !s->lookup.placed && home->known && !home->given &&
           home->chord.class != CHORD_NONE && home->chord.class != CHORD_OTHER;
}

/* How many semitones above its root a hit over that chord starts. */
static int start_at_home(const struct search *s)
{
    return pitch_modulo(s->query->fragment.midi[0] - s->query->home.root, 12);
}

/* The index is asked again, for the hits over that chord. */
struct asking_again {
    struct search *search;
    candidate_each each;
    void *there;
};

/* A solo that was corrected did not wait. */
static bool hand_on(void *context, const struct stretch *solo,
                    const uint32_t *firsts, size_t count)
{
    const struct asking_again *a = context;

    return store_load_changes(a->search->store, solo->id) ||
           a->each(a->there, solo, firsts, count);
}

static enum status ask_at_home(void *context, candidate_each each, void *there)
{
    struct search *s = context;
    struct asking_again again = { s, each, there };
    struct lookup lookup = s->lookup;
    enum status st;

    lookup.placed = true;
    lookup.class = (int)s->query->home.chord.class;
    lookup.start = start_at_home(s);
    st = candidates_run(s->store, s->query, s->passing, &lookup, hand_on,
                        &again, s->why);
    return st == ST_OK ? s->status : st;
}

enum status search_look(struct search *s)
{
    const struct fragment *f = &s->query->fragment;
    struct waiting_eyes eyes = {
        .store = s->store,
        .context = s,
        .list = s->question.by_salience
                    ? salience_list((int)f->count, f->midi[1] - f->midi[0],
                                    f->midi[2] - f->midi[1])
                    : -1,
        .enough = enough,
        .most = may_score,
        .look = look_at,
    };
    enum status st;

    if (tells_home(s)) {
        eyes.away = WORTH_HARMONY *
                    worth_harmony(RANK_WHOLE - RANK_RELATED_MOST, 0, 0);
        eyes.otherwise = WORTH_HARMONY *
                         worth_harmony(RANK_WHOLE - RANK_OTHER_TONES, 0, 0);
        eyes.home = salience_chord((int)s->query->home.chord.class,
                                   start_at_home(s));
        eyes.tones = salience_tones(s->query->home.chord.tones);
        if (s->lookup.length <= GRAM_MAX)
            eyes.at_home = ask_at_home;
    }
    st = waiting_look(&s->waiting, &eyes, s->why);
    return st == ST_OK ? s->status : st;
}

static bool all_may_wait(const struct search *s)
{
    return s->glancing && s->lookup.decides && s->at_leisure;
}

bool search_may_wait(const struct search *s, const struct stretch *solo)
{
    return all_may_wait(s) && !store_load_changes(s->store, solo->id);
}

enum status search_wait(struct search *s, const struct stretch *solo,
                        const uint32_t *firsts, size_t count)
{
    s->result->solos_with_hits++;
    s->result->total += count;
    if (s->query->count_only)
        return ST_OK;
    return waiting_add(&s->waiting, solo, firsts, count, s->why);
}

/* search_wait() of a whole segment. */
static bool wait_whole(void *context, int64_t segment, const uint32_t *notes,
                       size_t count, size_t solos)
{
    struct search *s = context;

    s->result->solos_with_hits += solos;
    s->result->total += count;
    if (!s->query->count_only)
        s->status =
            waiting_add_whole(&s->waiting, segment, notes, count, s->why);
    return s->status == ST_OK;
}

bool search_may_wait_whole(const struct search *s)
{
    return all_may_wait(s) && !s->passing && !store_loads_change(s->store);
}

enum status search_wait_whole(struct search *s)
{
    return candidates_whole(s->store, s->query, &s->lookup, wait_whole, s,
                            s->why);
}
