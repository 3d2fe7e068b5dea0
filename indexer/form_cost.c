/* indexer/form_cost.c - what it costs to tell a solo as a form. */
#include "indexer/form_search.h"

enum {
    RETURNS = 70,        /* that a group is an earlier one again */
    GOES_ON = 70,        /* the same, after one that returned just before */
    MOVED = 250,         /* that it was no group of its own there */
    EXCEPTION = 250,     /* that one bar of it is not */
    PARTIAL = 700,       /* that the solo ends within a chorus */
    PARTIAL_GROUPS = 600, /* after a whole number of groups */
    PARTIAL_SHORT = 300, /* more for one or two bars of it */
    TAIL = 400,          /* that bars follow the last chorus */
    TAIL_TONIC = 420,    /* that one bar on the tonic does */
    TAIL_LONG = 100,     /* more than four of them */
    TAIL_LONGER = 300,
    TAIL_AS_LONG = 600,  /* almost as many as a chorus has */
    TAIL_AND_PART = 200, /* after a broken-off chorus */
    INTRO_COPY = 700,    /* that the introduction is the end of the form */
    INTRO_COPY_MAX = 8,  /* bars of it that may be */
    TAIL_AFTER_PART = 8, /* bars that follow a broken-off chorus at most */
    TAIL_COPY = 100,     /* that they are the end of the form again */
    UNLIKE = 600,        /* that a whole group is not that of the form */
    GOING_ON = 3,        /* of how little weight a chord is that goes on */
    TURNAROUND = 2,      /* bars at the end of the form */
    LAST_BARS = 2,       /* of the solo, that often stand on the tonic */
    LAST_BARS_MOST = 150 /* what they cost at most where it does */
};

/* The cost of BAR where MODEL is meant.  The last bars of a solo say little:
 * whatever the form has there, they may end on the tonic. */
static int32_t departure(const struct search *in, int rate, int32_t bar,
                         int32_t model)
{
    const struct grid_bar *bars = in->grid->bars;
    int32_t cost = bar == model ? 0 : grid_cost(in->grid, rate, bar, model);

    /* A chord that goes on was replaced where it began. */
    if (bars[bar].goes_on && bars[model].goes_on)
        cost /= GOING_ON;
    if (in->ends_on_tonic && bar >= in->end - LAST_BARS &&
        cost > LAST_BARS_MOST)
        return LAST_BARS_MOST;
    return cost;
}

/* The most that a bar of a turnaround costs, at each rate: what players do
 * there is almost a matter of choice. */
static const int32_t turnaround_most[GRID_RATES] = { 700, 450, 300 };

static int32_t departures(const struct search *in, const struct guess *guess,
                          int32_t place, int32_t model)
{
    int32_t most = place >= guess->length - TURNAROUND
                       ? turnaround_most[guess->rate]
                       : FORM_COST_MAX;
    int32_t cost = 0;

    for (int32_t k = 0; k < guess->passes; k++) {
        int32_t one = departure(in, guess->rate,
                                guess->first + place + k * guess->length,
                                model);

        cost += one < most ? one : most;
    }
    return cost;
}

/* For each bar of the form the one of its passes that is nearest to all. */
static void find_models(struct search *in, const struct guess *guess)
{
    for (int32_t j = 0; j < guess->length; j++) {
        in->again[j] = j;
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

/* What it costs that NOW stands for the bar EARLIER of the form and for all
 * that are the same bar again; not looked at beyond MOST. */
static int32_t cost_of_change(const struct search *in,
                              const struct guess *guess, int32_t earlier,
                              int32_t now, int32_t most)
{
    int32_t then = in->model[earlier], cost = 0, i = earlier;

    do {
        cost += departures(in, guess, i, now) - departures(in, guess, i, then);
        i = in->again[i];
    } while (i != earlier && cost < most);
    return cost;
}

/* The bar PLACE of the form as the bar EARLIER again, or as an exception.
 * *MODEL is what then stands for both of them; -1 for an exception. */
static int32_t cost_bar_as(const struct search *in, const struct guess *guess,
                           int32_t place, int32_t earlier, int32_t *model)
{
    int32_t now = in->model[place], then = in->model[earlier];
    int32_t same = departures(in, guess, place, then), other;

    *model = then;
    if (then != now) {
        /* Together they may be nearer to what stands for the later one. */
        other = in->own[place] + cost_of_change(in, guess, earlier, now, same);
        if (other < same) {
            same = other;
            *model = now;
        }
    }
    other = EXCEPTION + in->news[now] + in->own[place];
    if (other >= same)
        return same;
    *model = -1;
    return other;
}

/* The cost of naming the group at EARLIER of those before AT: the logarithm of
 * their number, unless it goes on from where LAST, the one named before (-1
 * none), ended. */
static int32_t cost_name(int32_t at, int32_t earlier, int32_t last)
{
    static const int16_t logs[] = { 0,   0,   69,  110, 139, 161, 179, 195,
                                    208, 220, 230, 240, 248, 256, 264, 271 };
    int32_t count = at / FORM_GROUP;
    int32_t most = (int32_t)(sizeof logs / sizeof *logs) - 1;

    if (last >= 0 && earlier == last + FORM_GROUP)
        return GOES_ON;
    return RETURNS + logs[count < most ? count : most] +
           (earlier % FORM_GROUP ? MOVED : 0);
}

/* The SIZE bars from AT of the form as those from EARLIER again, which COST
 * to name; not more than MOST is looked at. */
static int32_t cost_as(const struct search *in, const struct guess *guess,
                       int32_t at, int32_t earlier, int32_t size,
                       int32_t cost, int32_t most)
{
    int32_t model;

    for (int32_t i = 0; i < size && cost < most; i++)
        cost += cost_bar_as(in, guess, at + i, earlier + i, &model);
    return cost;
}

/* The bar PLACE of the form is EARLIER again, and MODEL stands for all that
 * are. */
static void join_bar(struct search *in, int32_t place, int32_t earlier,
                     int32_t model)
{
    int32_t i = place;

    in->again[place] = in->again[earlier];
    in->again[earlier] = place;
    do {
        in->model[i] = model;
        i = in->again[i];
    } while (i != place);
}

/* From now on the bars that keep to the earlier group stand for it, too. */
static void join_group(struct search *in, const struct guess *guess,
                       int32_t at, int32_t earlier, int32_t size)
{
    in->group[at / FORM_GROUP] = earlier % FORM_GROUP
                                     ? earlier / FORM_GROUP
                                     : in->group[earlier / FORM_GROUP];
    for (int32_t i = 0; i < size; i++) {
        int32_t model;

        cost_bar_as(in, guess, at + i, earlier + i, &model);
        if (model >= 0)
            join_bar(in, at + i, earlier + i, model);
    }
}

/* The SIZE bars from AT of the form: told anew, or as an earlier group.  LAST
 * is where the group before came from, and is set anew; -1 none. */
static int32_t cost_group(struct search *in, const struct guess *guess,
                          int32_t at, int32_t size, int32_t *last)
{
    int32_t best = 0, from = -1;

    for (int32_t i = at; i < at + size; i++)
        best += in->news[in->model[i]] + in->own[i];
    for (int32_t earlier = 0; earlier + size <= at; earlier++) {
        int32_t cost = cost_as(in, guess, at, earlier, size,
                               cost_name(at, earlier, *last), best);

        if (cost < best) {
            best = cost;
            from = earlier;
        }
    }
    in->group[at / FORM_GROUP] = at / FORM_GROUP;
    if (from >= 0)
        join_group(in, guess, at, from, size);
    *last = from;
    return best;
}

/* All passes, told by their groups of bars. */
static int32_t cost_groups(struct search *in, const struct guess *guess)
{
    int32_t total = 0, last = -1;

    for (int32_t at = 0; at < guess->length; at += FORM_GROUP) {
        int32_t left = guess->length - at;

        total += cost_group(in, guess, at,
                            left < FORM_GROUP ? left : FORM_GROUP, &last);
    }
    return total;
}

static int32_t partial_cost(int32_t bars)
{
    if (bars % FORM_GROUP == 0)
        return PARTIAL_GROUPS;
    return PARTIAL + (bars <= 2 ? PARTIAL_SHORT : 0);
}

static int32_t tail_cost(const struct guess *guess, int32_t bars)
{
    if (bars == 0)
        return 0;
    return TAIL + (bars > 4 ? TAIL_LONG : 0) + (bars > 8 ? TAIL_LONGER : 0) +
           (bars * 4 >= guess->length * 3 ? TAIL_AS_LONG : 0);
}

/* The BARS at the end told by themselves, or as the end of the form again. */
static int32_t tail_told(const struct search *in, const struct guess *guess,
                         int32_t bars)
{
    int32_t told = 0, copied = TAIL_COPY;

    for (int32_t i = 0; i < bars; i++) {
        int32_t bar = in->end - bars + i;
        int32_t place = (guess->length - bars % guess->length + i) %
                        guess->length;

        told += in->aside[bar];
        copied += departure(in, guess->rate, bar, in->model[place]);
    }
    return bars > 0 && copied < told ? copied : told;
}

/* What follows the last complete chorus: how much of it is the start of
 * another, and how much none. */
static int32_t cost_rest(const struct search *in, struct guess *guess)
{
    int32_t from = guess->first + guess->passes * guess->length;
    int32_t bars = in->end - from, kept = 0, best;

    best = tail_told(in, guess, bars) + tail_cost(guess, bars);
    if (bars == 1 && in->ends_on_tonic)
        best = TAIL_TONIC;
    guess->partial = 0;
    for (int32_t i = 1; i <= bars; i++) {
        int32_t bar = from + i - 1, cost;

        kept += departure(in, guess->rate, bar, in->model[i - 1]);
        if (bars - i > TAIL_AFTER_PART)
            continue;
        cost = partial_cost(i) + kept + tail_cost(guess, bars - i) +
               tail_told(in, guess, bars - i) +
               (bars > i ? TAIL_AND_PART : 0);
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
    int32_t most = guess->length / 2 < INTRO_COPY_MAX ? guess->length / 2
                                                      : INTRO_COPY_MAX;

    for (int32_t i = in->grid->first; i < guess->first; i++) {
        int32_t back = (guess->first - i - 1) % guess->length + 1;
        int32_t as_end = grid_cost(in->grid, guess->rate, i,
                                   in->model[guess->length - back]);

        told += in->aside[i];
        copied += as_end < in->aside[i] && guess->first - i <= most
                      ? as_end
                      : in->aside[i];
    }
    return told < copied ? told : copied;
}

/* Do the SIZE bars from the place AT of the pass K hold something else than
 * the form? */
static bool is_unlike(const struct search *in, const struct guess *guess,
                      int32_t k, int32_t at, int32_t size)
{
    int32_t news = 0, apart = 0;

    for (int32_t i = at; i < at + size; i++) {
        news += in->news[in->model[i]];
        apart += departure(in, GRID_OFTEN,
                           guess->first + k * guess->length + i, in->model[i]);
    }
    return apart * 5 >= news * 6;
}

/* Players change chords, not whole groups of bars: what is unlike throughout
 * is rather another section. */
static int32_t cost_unlike(const struct search *in, const struct guess *guess)
{
    int32_t cost = 0;

    for (int32_t k = 0; k < guess->passes && guess->passes > 1; k++)
        for (int32_t at = 0; at + FORM_GROUP + TURNAROUND <= guess->length;
             at += FORM_GROUP)
            if (is_unlike(in, guess, k, at, FORM_GROUP))
                cost += UNLIKE;
    return cost;
}

/* Without the cost of telling a chorus where not WHOLE. */
static void try_rate(struct search *in, struct guess *guess, bool whole)
{
    find_models(in, guess);
    guess->cost = guess->told = 0;
    for (int32_t j = 0; j < guess->length; j++)
        guess->cost += in->own[j];
    if (whole)
        guess->told = cost_unlike(in, guess) + cost_groups(in, guess) -
                      guess->cost;
    guess->cost += cost_rest(in, guess) + cost_intro(in, guess);
}

static void try_rates(struct search *in, struct guess *guess, bool whole)
{
    struct guess best = { 0 };
    int last = GRID_SELDOM;

    guess->passes = (in->end - guess->first) / guess->length;
    for (int rate = 0; rate < GRID_RATES; rate++) {
        guess->rate = last = rate;
        try_rate(in, guess, whole);
        if (rate == GRID_SELDOM ||
            guess->cost + guess->told < best.cost + best.told)
            best = *guess;
    }
    *guess = best;
    if (guess->rate != last)
        try_rate(in, guess, whole);
}

void form_try(struct search *in, struct guess *guess)
{
    try_rates(in, guess, true);
    guess->marks = form_marks_cost(in, guess);
    guess->cost += form_prior_shape(in, guess) + form_prior_order(in, guess) +
                   guess->marks;
}

void form_try_start(struct search *in, struct guess *guess)
{
    try_rates(in, guess, false);
    guess->marks = form_marks_cost(in, guess);
    guess->cost += form_prior_shape(in, guess) + guess->marks;
}
