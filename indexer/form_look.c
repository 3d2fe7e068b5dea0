/* indexer/form_look.c - which forms are tried, and which one is the best. */
#include <string.h>

#include "indexer/form_search.h"

enum {
    LENGTHS_TRIED = 16,  /* the likeliest */
    STARTS_TRIED = 4,    /* of one length, the likeliest */
    BEFORE_MAX = 16      /* bars before the first chorus without a mark */
};

static void offer(struct found *found, const struct guess *guess)
{
    int32_t cost = form_whole_cost(guess);

    if (cost < form_whole_cost(&found->best)) {
        found->second = found->best;
        found->best = *guess;
    } else if (cost < form_whole_cost(&found->second)) {
        found->second = *guess;
    }
}

/* Is A a better start than B, of one length? */
static bool is_better_start(const struct guess *a, const struct guess *b)
{
    if (a->length == 0 || b->length == 0)
        return a->length > 0;
    if (a->passes < 2 || b->passes < 2)
        return form_whole_cost(a) < form_whole_cost(b);
    return a->cost < b->cost;
}

/* Offer GUESS to the best starts of its length. */
static void offer_start(struct found *starts, const struct guess *guess)
{
    if (is_better_start(guess, &starts->best)) {
        starts->second = starts->best;
        starts->best = *guess;
    } else if (is_better_start(guess, &starts->second)) {
        starts->second = *guess;
    }
}

/* Offer the best of one length to those of all.  The second start is as much
 * worse as its cost without that of telling a chorus. */
static void offer_starts(struct found *found, struct found *starts)
{
    if (starts->best.passes >= 2 && starts->second.passes >= 2)
        starts->second.told = starts->best.told;
    offer(found, &starts->best);
    offer(found, &starts->second);
}

/* May chorus 1 start at the bar I? */
static bool may_start(const struct search *in, int32_t i)
{
    const struct mark *mark = &in->marks->at[i];

    return i <= in->grid->first + BEFORE_MAX || *mark->letter ||
           mark->chorus || i == in->marks->after_intro;
}

/* All that is left is one chorus: from where? */
static void look_alone(struct search *in, struct found *found)
{
    const struct grid *grid = in->grid;
    int32_t chords = grid->first;

    while (chords < in->end && grid_is_silent(&grid->bars[chords]))
        chords++;
    for (int32_t i = grid->first; i < in->end; i++) {
        const struct mark *mark = &in->marks->at[i];
        struct guess guess = { .length = in->end - i, .first = i };

        if (i != grid->first && i != chords && !*mark->letter &&
            !mark->chorus && i != in->marks->after_intro)
            continue;
        form_try(in, &guess);
        offer(found, &guess);
    }
}

/* How far bars are apart at the distance LENGTH, on average. */
static int32_t mean_distance(const struct search *in, int32_t length)
{
    int64_t sum = 0;
    int32_t from = in->grid->first, to = in->end - length;

    for (int32_t i = from; i < to; i++)
        sum += grid_cost(in->grid, GRID_AT_TIMES, i, i + length);
    return to > from ? (int32_t)(sum / (to - from)) : FORM_COST_MAX;
}

/* Which lengths are worth trying: those at which bars are nearest.  LIKELY
 * has FORM_LENGTH_MAX + 1 members. */
static void find_likely(const struct search *in, bool *likely, int32_t most)
{
    int32_t distance[FORM_LENGTH_MAX + 1];

    for (int32_t length = FORM_LENGTH_MIN; length <= most; length++)
        distance[length] = mean_distance(in, length);
    memset(likely, 0, (FORM_LENGTH_MAX + 1) * sizeof *likely);
    for (int i = 0; i < LENGTHS_TRIED; i++) {
        int32_t best = 0;

        for (int32_t k = FORM_LENGTH_MIN; k <= most; k++)
            if (!likely[k] && (best == 0 || distance[k] < distance[best]))
                best = k;
        likely[best] = true;
    }
}

/* The last bar that may. */
static int32_t last_start(const struct search *in)
{
    int32_t last = in->end - 1;

    while (last > in->grid->first + BEFORE_MAX && !may_start(in, last))
        last--;
    return last;
}

/* The starts of one length that are looked at closely. */
struct near {
    struct guess guesses[STARTS_TRIED];
    bool tried[STARTS_TRIED];
    int count;
};

/* The likeliest bars for the first chorus of LENGTH, up to LAST, by cheap
 * costs. */
static void look_for_start(struct search *in, struct near *near,
                           int32_t length, int32_t last)
{
    memset(near, 0, sizeof *near);
    if (in->grid->first + length < in->end)
        for (int rate = 0; rate < GRID_RATES; rate++)
            form_ring_start(in, &in->starts[rate], rate, length);
    for (int32_t i = in->grid->first; i <= last && i + length < in->end; i++) {
        struct guess guess = { .length = length, .first = i };
        int at = near->count;

        for (int rate = 0; rate < GRID_RATES && i > in->grid->first; rate++)
            form_ring_move(in, &in->starts[rate]);
        if (!may_start(in, i))
            continue;
        form_try_start(in, &guess);
        for (; at > 0 && guess.cost < near->guesses[at - 1].cost; at--)
            if (at < STARTS_TRIED)
                near->guesses[at] = near->guesses[at - 1];
        if (at < STARTS_TRIED)
            near->guesses[at] = guess;
        near->count += near->count < STARTS_TRIED;
    }
}

/* Try the starts of one length that there is room for twice. */
static void try_several(struct search *in, struct near *near)
{
    for (int k = 0; k < near->count; k++)
        if (near->guesses[k].passes > 1) {
            form_try(in, &near->guesses[k]);
            near->tried[k] = true;
        }
}

/* Try the other starts of the COUNT lengths: single choruses from one bar on
 * follow each other, the shorter first, as they have most in common. */
static void try_first(struct search *in, struct near *near, int count,
                      int32_t first)
{
    for (int i = 0; i < count; i++)
        for (int k = 0; k < near[i].count; k++)
            if (near[i].guesses[k].first == first && !near[i].tried[k]) {
                form_try(in, &near[i].guesses[k]);
                near[i].tried[k] = true;
            }
}

static void try_single(struct search *in, struct near *near, int count)
{
    for (int i = 0; i < count; i++)
        for (int k = 0; k < near[i].count; k++)
            if (!near[i].tried[k])
                try_first(in, &near[i], count - i, near[i].guesses[k].first);
}

void form_look(struct search *in, struct found *found)
{
    int32_t start = in->grid->first;
    int32_t last = last_start(in), most = in->end - start;
    bool likely[FORM_LENGTH_MAX + 1];
    struct near near[LENGTHS_TRIED];
    int count = 0;

    if (most > FORM_LENGTH_MAX)
        most = FORM_LENGTH_MAX;
    memset(found, 0, sizeof *found);
    look_alone(in, found);
    find_likely(in, likely, most);
    for (int32_t length = FORM_LENGTH_MIN; length <= most; length++)
        if (likely[length]) {
            look_for_start(in, &near[count], length, last);
            try_several(in, &near[count++]);
        }
    try_single(in, near, count);
    for (int i = 0; i < count; i++) {
        struct found starts = { .best = { 0 } };

        for (int k = 0; k < near[i].count; k++)
            offer_start(&starts, &near[i].guesses[k]);
        offer_starts(found, &starts);
    }
}
