/* indexer/form_cost.c - what it costs to tell a solo as a form. */
#include "indexer/form_search.h"

enum {
    RETURNS = 70,        /* that a group is an earlier one again */
    MOVED = 60,          /* that it was no group of its own there */
    EXCEPTION = 120,     /* that one bar of it is not */
    PARTIAL = 300,       /* that the solo ends within a chorus */
    TAIL = 150,          /* that bars follow the last chorus */
    TAIL_LONG = 100,     /* more than four of them */
    TAIL_LONGER = 300,
    INTRO_COPY = 100,    /* that the introduction is the end of the form */
    INTRO_COPY_MAX = 8,  /* bars of it that may be */
    LAST_BARS = 2,       /* of the solo, that often stand on the tonic */
    LAST_BARS_MOST = 100 /* what they cost at most */
};

/* The cost of BAR where MODEL is meant.  The last bars of a solo say little:
 * whatever the form has there, they may end on the tonic. */
static int32_t departure(const struct search *in, int rate, int32_t bar,
                         int32_t model)
{
    int32_t cost = grid_cost(in->grid, rate, bar, model);

    if (bar >= in->end - LAST_BARS && cost > LAST_BARS_MOST)
        return LAST_BARS_MOST;
    return cost;
}

static int32_t departures(const struct search *in, const struct guess *guess,
                          int32_t place, int32_t model)
{
    int32_t cost = 0;

    for (int32_t k = 0; k < guess->passes; k++)
        cost += departure(in, guess->rate,
                          guess->first + place + k * guess->length, model);
    return cost;
}

/* For each bar of the form the one of its passes that is nearest to all. */
static void find_models(struct search *in, const struct guess *guess)
{
    for (int32_t j = 0; j < guess->length; j++) {
        in->own[j] = FORM_COST_MAX;
        for (int32_t k = 0; k < guess->passes; k++) {
            int32_t model = guess->first + j + k * guess->length;
            int32_t cost = departures(in, guess, j, model);

            if (cost < in->own[j]) {
                in->own[j] = cost;
                in->model[j] = model;
            }
        }
    }
}

/* The bar PLACE of the form as the bar EARLIER again, or as an exception. */
static int32_t cost_bar_as(const struct search *in, const struct guess *guess,
                           int32_t place, int32_t earlier, bool *kept)
{
    int32_t same = departures(in, guess, place, in->model[earlier]);
    int32_t other = EXCEPTION + in->news[in->model[place]] + in->own[place];

    *kept = same <= other;
    return *kept ? same : other;
}

/* The SIZE bars from AT of the form as those from EARLIER again; not more than
 * MOST is looked at. */
static int32_t cost_as(const struct search *in, const struct guess *guess,
                       int32_t at, int32_t earlier, int32_t size, int32_t most)
{
    int32_t cost = RETURNS + (earlier % FORM_GROUP ? MOVED : 0);
    bool kept;

    for (int32_t i = 0; i < size && cost < most; i++)
        cost += cost_bar_as(in, guess, at + i, earlier + i, &kept);
    return cost;
}

/* From now on the bars that keep to the earlier group stand for it, too. */
static void join_group(struct search *in, const struct guess *guess,
                       int32_t at, int32_t earlier, int32_t size)
{
    in->group[at / FORM_GROUP] = earlier % FORM_GROUP
                                     ? earlier / FORM_GROUP
                                     : in->group[earlier / FORM_GROUP];
    for (int32_t i = 0; i < size; i++) {
        bool kept;

        cost_bar_as(in, guess, at + i, earlier + i, &kept);
        if (kept)
            in->model[at + i] = in->model[earlier + i];
    }
}

/* The SIZE bars from AT of the form: told anew, or as an earlier group. */
static int32_t cost_group(struct search *in, const struct guess *guess,
                          int32_t at, int32_t size)
{
    int32_t best = 0, from = -1;

    for (int32_t i = at; i < at + size; i++)
        best += in->news[in->model[i]] + in->own[i];
    for (int32_t earlier = 0; earlier + size <= at; earlier++) {
        int32_t cost = cost_as(in, guess, at, earlier, size, best);

        if (cost < best) {
            best = cost;
            from = earlier;
        }
    }
    in->group[at / FORM_GROUP] = at / FORM_GROUP;
    if (from >= 0)
        join_group(in, guess, at, from, size);
    return best;
}

/* All passes, told by their groups of bars. */
static int32_t cost_passes(struct search *in, const struct guess *guess)
{
    int32_t total = 0;

    find_models(in, guess);
    for (int32_t at = 0; at < guess->length; at += FORM_GROUP) {
        int32_t left = guess->length - at;

        total += cost_group(in, guess, at,
                            left < FORM_GROUP ? left : FORM_GROUP);
    }
    return total;
}

static int32_t tail_cost(int32_t bars)
{
    if (bars == 0)
        return 0;
    return TAIL + (bars > 4 ? TAIL_LONG : 0) + (bars > 8 ? TAIL_LONGER : 0);
}

/* What follows the last complete chorus: how much of it is the start of
 * another, and how much none. */
static int32_t cost_rest(const struct search *in, struct guess *guess)
{
    int32_t from = guess->first + guess->passes * guess->length;
    int32_t bars = in->end - from, told = 0, kept = 0, best;

    for (int32_t i = from; i < in->end; i++)
        told += in->aside[i];
    best = told + tail_cost(bars);
    guess->partial = 0;
    for (int32_t i = 1; i <= bars; i++) {
        int32_t bar = from + i - 1, cost;

        kept += departure(in, guess->rate, bar, in->model[i - 1]);
        told -= in->aside[bar];
        cost = PARTIAL + kept + told + tail_cost(bars - i);
        if (cost < best) {
            best = cost;
            guess->partial = i;
        }
    }
    guess->tail = in->grid->count - from - guess->partial;
    return best;
}

/* The bars before the first chorus, told by themselves or as the end of the
 * form. */
static int32_t cost_intro(const struct search *in, const struct guess *guess)
{
    int32_t told = 0, copied = INTRO_COPY;

    for (int32_t i = in->grid->first; i < guess->first; i++) {
        int32_t back = (guess->first - i - 1) % guess->length + 1;
        int32_t as_end = grid_cost(in->grid, guess->rate, i,
                                   in->model[guess->length - back]);

        told += in->aside[i];
        copied += as_end < in->aside[i] && guess->first - i <= INTRO_COPY_MAX
                      ? as_end
                      : in->aside[i];
    }
    return told < copied ? told : copied;
}

static void try_rate(struct search *in, struct guess *guess)
{
    guess->cost = cost_passes(in, guess);
    guess->cost += cost_rest(in, guess);
    guess->cost += cost_intro(in, guess);
}

void form_try(struct search *in, struct guess *guess)
{
    struct guess best = { .cost = FORM_COST_MAX };
    int last = GRID_SELDOM;

    guess->passes = (in->end - guess->first) / guess->length;
    for (int rate = 0; rate < GRID_RATES; rate++) {
        guess->rate = last = rate;
        try_rate(in, guess);
        if (guess->cost < best.cost)
            best = *guess;
        /* The rate is of no meaning where nothing returns. */
        if (guess->passes == 1 && best.partial == 0)
            break;
    }
    *guess = best;
    if (guess->rate != last)
        try_rate(in, guess);
    guess->marks = form_marks_cost(in, guess);
    guess->cost += form_prior_shape(in, guess) + guess->marks;
}
