/* tests/form/form_twin.c - see form_twin.h. */
#include "tests/form/form_twin.h"

#include <string.h>

/* A form at one rate. */
static struct {
    struct search *in;
    int rate;
    int32_t length, first, passes;
    /* By bar of the form: the best of its bars, and what the others cost. */
    int32_t nearest[FORM_TWIN_BARS], own[FORM_TWIN_BARS];
    /* As told: what stands for it, at what cost, and the next of its circle. */
    int32_t model[FORM_TWIN_BARS], cost[FORM_TWIN_BARS];
    int32_t again[FORM_TWIN_BARS], group[FORM_TWIN_BARS];
} t;

/* --- distances ----------------------------------------------------------- */

static int32_t distance(int rate, int32_t bar, int32_t meant)
{
    const struct grid_bar *bars = t.in->grid->bars;
    int32_t cost = grid_cost(t.in->grid, rate, bar, meant);

    if (bars[bar].goes_on && bars[meant].goes_on)
        cost /= 3;
    if (t.in->ends_on_tonic && bar >= t.in->end - 2 && cost > 150)
        cost = 150;
    return cost;
}

/* One bar at the place PLACE of the form. */
static int32_t distance_at(int32_t place, int32_t bar, int32_t meant)
{
    static const int32_t turnaround[] = { 700, 450, 300 };
    int32_t cost = distance(t.rate, bar, meant);

    return place >= t.length - 2 && cost > turnaround[t.rate]
               ? turnaround[t.rate]
               : cost;
}

static int32_t cost_of_all(int32_t place, int32_t meant)
{
    int32_t cost = 0;

    for (int32_t k = 0; k < t.passes; k++)
        cost += distance_at(place, t.first + place + k * t.length, meant);
    return cost;
}

/* Lay the choruses of GUESS over each other at RATE; what all own cost. */
static int32_t lay(struct search *in, const struct guess *guess, int rate)
{
    int32_t total = 0;

    t.in = in;
    t.rate = rate;
    t.length = guess->length;
    t.first = guess->first;
    t.passes = (in->end - guess->first) / guess->length;
    for (int32_t i = 0; i < t.length; i++) {
        t.own[i] = FORM_COST_MAX;
        for (int32_t k = 0; k < t.passes; k++) {
            int32_t bar = t.first + i + k * t.length;
            int32_t cost = cost_of_all(i, bar) - distance_at(i, bar, bar);

            if (cost < t.own[i]) {
                t.own[i] = cost;
                t.nearest[i] = bar;
            }
        }
        total += t.own[i];
    }
    return total;
}

/* --- groups -------------------------------------------------------------- */

static int32_t exception(int32_t place)
{
    return 250 + t.in->news[t.nearest[place]] + t.own[place];
}

static int32_t same(int32_t place, int32_t earlier, bool *changed)
{
    int32_t as = cost_of_all(place, t.model[earlier]), all = 0, other = 0;
    int32_t i = earlier;

    do {
        all += cost_of_all(i, t.nearest[place]) - t.cost[i];
        i = t.again[i];
    } while (i != earlier);
    *changed = false;
    if (t.own[place] + all >= as)
        return as;
    /* On the way to that sum it may not be more than AS. */
    do {
        other += cost_of_all(i, t.nearest[place]) - t.cost[i];
        i = t.again[i];
    } while (i != earlier && other < as);
    *changed = t.own[place] + other < as;
    return *changed ? t.own[place] + other : as;
}

static void join(int32_t place, int32_t earlier, int32_t model)
{
    int32_t i = place;

    t.again[place] = t.again[earlier];
    t.again[earlier] = place;
    do {
        bool home = (model - t.first) % t.length == i;

        t.model[i] = model;
        t.cost[i] = home ? t.own[i] : cost_of_all(i, model);
        i = t.again[i];
    } while (i != place);
}

static int32_t name(int32_t at, int32_t earlier, int32_t next)
{
    static const int32_t logs[] = { 0,   0,   69,  110, 139, 161, 179, 195,
                                    208, 220, 230, 240, 248, 256, 264, 271 };
    int32_t count = at / 4 < 15 ? at / 4 : 15;

    if (earlier == next)
        return 70;
    return 70 + logs[count] + (earlier % 4 ? 250 : 0);
}

static int32_t as_earlier(int32_t at, int32_t size, int32_t earlier,
                          int32_t cost, int32_t most)
{
    bool changed;

    for (int32_t i = 0; i < size && cost < most; i++) {
        int32_t again = same(at + i, earlier + i, &changed);

        cost += again < exception(at + i) ? again : exception(at + i);
    }
    return cost;
}

/* The SIZE bars from AT; *LAST is where the group before came from. */
static int32_t tell_group(int32_t at, int32_t size, int32_t *last)
{
    int32_t best = 0, from = -1, next = *last >= 0 ? *last + 4 : -1;

    for (int32_t i = 0; i < size; i++)
        best += exception(at + i) - 250;
    for (int32_t e = 0; e + size <= at; e++) {
        int32_t cost = as_earlier(at, size, e, name(at, e, next), best);

        if (cost < best) {
            best = cost;
            from = e;
        }
    }
    t.group[at / 4] = from < 0 ? at / 4 : from % 4 ? from / 4
                                                   : t.group[from / 4];
    for (int32_t i = 0; i < size && from >= 0; i++) {
        int32_t model = t.model[from + i];
        bool changed;

        if (same(at + i, from + i, &changed) <= exception(at + i))
            join(at + i, from + i, changed ? t.nearest[at + i] : model);
    }
    *last = from;
    return best;
}

static int32_t tell(void)
{
    int32_t total = 0, last = -1;

    for (int32_t i = 0; i < t.length; i++) {
        t.model[i] = t.nearest[i];
        t.cost[i] = t.own[i];
        t.again[i] = i;
    }
    for (int32_t at = 0; at < t.length; at += 4)
        total += tell_group(at, t.length - at < 4 ? t.length - at : 4, &last);
    return total;
}

/* --- before and after the choruses --------------------------------------- */

static int32_t told_aside(int32_t from, int32_t to)
{
    int32_t cost = 0;

    for (int32_t i = from; i < to; i++)
        cost += t.in->aside[i];
    return cost;
}

/* The last BARS: by themselves, or as the end of the form again. */
static int32_t tail(int32_t bars, const int32_t *model)
{
    int32_t end = t.in->end, told = told_aside(end - bars, end), copied = 100;

    for (int32_t n = 1; n <= bars; n++)
        copied += distance(t.rate, end - n, model[t.length - n]);
    return bars > 0 && copied < told ? copied : told;
}

static int32_t tail_price(int32_t bars)
{
    if (bars == 0)
        return 0;
    return 400 + (bars > 4 ? 100 : 0) + (bars > 8 ? 300 : 0) +
           (bars * 4 >= t.length * 3 ? 600 : 0);
}

static int32_t rest(struct guess *guess, const int32_t *model)
{
    int32_t from = t.first + t.passes * t.length, bars = t.in->end - from;
    int32_t best = tail(bars, model) + tail_price(bars), kept = 0;

    if (bars == 1 && t.in->ends_on_tonic)
        best = 420;
    guess->partial = 0;
    for (int32_t i = 1; i <= bars; i++) {
        int32_t cost;

        kept += distance(t.rate, from + i - 1, model[i - 1]);
        cost = kept + (i % 4 == 0 ? 600 : i <= 2 ? 1000 : 700) +
               tail_price(bars - i) + tail(bars - i, model) +
               (bars > i ? 200 : 0);
        if (bars - i <= 8 && cost < best) {
            best = cost;
            guess->partial = i;
        }
    }
    guess->tail = t.in->grid->count - from - guess->partial;
    return best;
}

static int32_t before(const int32_t *model)
{
    const struct grid *grid = t.in->grid;
    int32_t told = told_aside(grid->first, t.first), copied = 700;
    int32_t most = t.length / 2 < 8 ? t.length / 2 : 8;

    for (int32_t i = grid->first; i < t.first; i++) {
        int32_t aside = t.in->aside[i], as = aside;

        if (t.first - i <= most)
            as = grid_cost(grid, t.rate, i, model[t.length - (t.first - i)]);
        copied += as < aside ? as : aside;
    }
    return told < copied ? told : copied;
}

/* What whole groups cost that are not those of the form. */
static int32_t unlike(void)
{
    int32_t cost = 0;

    for (int32_t k = 0; k < t.passes && t.passes > 1; k++)
        for (int32_t at = 0; at + 4 + 2 <= t.length; at += 4) {
            int32_t news = 0, apart = 0;

            for (int32_t i = at; i < at + 4; i++) {
                int32_t bar = t.first + k * t.length + i, as = t.nearest[i];

                news += t.in->news[as];
                apart += bar == as ? 0 : distance(GRID_OFTEN, bar, as);
            }
            cost += apart * 5 >= news * 6 ? 600 : 0;
        }
    return cost;
}

/* --- guesses ------------------------------------------------------------- */

/* At the best rate; TELLS: with what a chorus costs to tell. */
static void try(struct search *in, struct guess *guess, bool tells)
{
    struct guess best = *guess;

    for (int rate = 0; rate < GRID_RATES; rate++) {
        int32_t own = lay(in, guess, rate);
        const int32_t *model = tells ? t.model : t.nearest;

        guess->rate = rate;
        guess->passes = t.passes;
        guess->told = tells ? unlike() - own + tell() : 0;
        guess->cost = own + rest(guess, model) + before(model);
        if (rate > 0 && form_whole_cost(guess) >= form_whole_cost(&best))
            continue;
        best = *guess;
        memcpy(in->model, model, (size_t)t.length * sizeof *model);
        memcpy(in->group, t.group, (size_t)t.length * sizeof *t.group);
    }
    best.marks = form_marks_cost(in, &best);
    best.cost += form_prior_shape(in, &best) + best.marks;
    *guess = best;
}

void form_twin_try(struct search *in, struct guess *guess)
{
    try(in, guess, true);
    guess->cost += form_prior_order(in, guess);
}

static void offer(struct found *found, const struct guess *guess)
{
    if (form_whole_cost(guess) < form_whole_cost(&found->best)) {
        found->second = found->best;
        found->best = *guess;
    } else if (form_whole_cost(guess) < form_whole_cost(&found->second)) {
        found->second = *guess;
    }
}

static bool is_better(const struct guess *a, const struct guess *b)
{
    if (a->length == 0 || b->length == 0)
        return a->length > 0;
    if (a->passes < 2 || b->passes < 2)
        return form_whole_cost(a) < form_whole_cost(b);
    return a->cost < b->cost;
}

static bool is_marked(const struct search *in, int32_t i)
{
    return *in->marks->at[i].letter || in->marks->at[i].chorus ||
           i == in->marks->after_intro;
}

static void look_alone(struct search *in, struct found *found)
{
    int32_t start = in->grid->first, chords = start;

    while (chords < in->end && grid_is_silent(&in->grid->bars[chords]))
        chords++;
    for (int32_t i = start; i < in->end; i++)
        if (i == start || i == chords || is_marked(in, i)) {
            struct guess guess = { .length = in->end - i, .first = i };

            form_twin_try(in, &guess);
            offer(found, &guess);
        }
}

/* By how much bars are apart at the distance LENGTH, on average. */
static int64_t mean(const struct search *in, int32_t length)
{
    int64_t sum = 0;
    int32_t from = in->grid->first, count = in->end - length - from;

    for (int32_t i = from; i < from + count; i++)
        sum += grid_cost(in->grid, GRID_AT_TIMES, i, i + length);
    return count > 0 ? sum / count : FORM_COST_MAX;
}

/* Is LENGTH one of the sixteen at which bars are nearest, the shorter where
 * they are as near? */
static bool is_likely(const struct search *in, int32_t length, int32_t most)
{
    int32_t nearer = 0;

    for (int32_t k = FORM_LENGTH_MIN; k <= most; k++)
        nearer += k < length ? mean(in, k) <= mean(in, length)
                             : mean(in, k) < mean(in, length);
    return nearer < 16;
}

static void look_at_length(struct search *in, struct found *found,
                           int32_t length)
{
    struct guess near[5];
    struct found starts = { .best = { 0 } };
    int count = 0;

    for (int32_t i = in->grid->first; i + length < in->end; i++) {
        struct guess guess = { .length = length, .first = i };
        int at;

        if (i > in->grid->first + 16 && !is_marked(in, i))
            continue;
        try(in, &guess, false);
        for (at = count; at > 0 && guess.cost < near[at - 1].cost; at--)
            near[at] = near[at - 1];
        near[at] = guess;
        count += count < 4;
    }
    for (int i = 0; i < count; i++) {
        form_twin_try(in, &near[i]);
        if (is_better(&near[i], &starts.best)) {
            starts.second = starts.best;
            starts.best = near[i];
        } else if (is_better(&near[i], &starts.second)) {
            starts.second = near[i];
        }
    }
    if (starts.best.passes >= 2 && starts.second.passes >= 2)
        starts.second.told = starts.best.told;
    offer(found, &starts.best);
    offer(found, &starts.second);
}

void form_twin_look(struct search *in, struct found *found)
{
    int32_t most = in->end - in->grid->first;

    if (most > FORM_LENGTH_MAX)
        most = FORM_LENGTH_MAX;
    memset(found, 0, sizeof *found);
    look_alone(in, found);
    for (int32_t length = FORM_LENGTH_MIN; length <= most; length++)
        if (is_likely(in, length, most))
            look_at_length(in, found, length);
}
