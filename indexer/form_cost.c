/* indexer/form_cost.c - what it costs to tell a solo as a form. */
#include "indexer/form_search.h"

enum {
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
    UNLIKE = 600         /* that a whole group is not that of the form */
};

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

/* The bars from each but the last BARS on told as the end of the form again:
 * COPIED[n] is what the last N of them cost; no more than a chorus.  Many that
 * cost more than by themselves are not looked at. */
static void copy_tail(const struct search *in, const struct guess *guess,
                      int32_t bars, const int32_t *model)
{
    int32_t *copied = in->copied, n = 0;

    copied[0] = TAIL_COPY;
    while (n < bars &&
           (n < TAIL_AFTER_PART || copied[n] < in->ending[bars])) {
        n++;
        copied[n] = copied[n - 1] +
                    form_apart(in, guess->rate, in->end - n,
                               model[guess->length - n]);
    }
    if (n < bars)
        copied[bars] = copied[n];
}

/* The BARS at the end told by themselves, or as the end of the form again. */
static int32_t tail_told(const struct search *in, int32_t bars)
{
    int32_t told = in->ending[bars];

    return bars > 0 && in->copied[bars] < told ? in->copied[bars] : told;
}

/* What follows the last complete chorus: how much of it is the start of
 * another, and how much none. */
static int32_t cost_rest(const struct search *in, struct guess *guess,
                         const int32_t *model)
{
    int32_t from = guess->first + guess->passes * guess->length;
    int32_t bars = in->end - from, kept = 0, best;

    copy_tail(in, guess, bars, model);
    best = tail_told(in, bars) + tail_cost(guess, bars);
    if (bars == 1 && in->ends_on_tonic)
        best = TAIL_TONIC;
    guess->partial = 0;
    /* Nothing that starts another costs less than PARTIAL_GROUPS more. */
    for (int32_t i = 1; i <= bars && kept + PARTIAL_GROUPS < best; i++) {
        int32_t cost;

        kept += form_apart(in, guess->rate, from + i - 1, model[i - 1]);
        if (bars - i > TAIL_AFTER_PART)
            continue;
        cost = partial_cost(i) + kept + tail_cost(guess, bars - i) +
               tail_told(in, bars - i) + (bars > i ? TAIL_AND_PART : 0);
        if (cost < best) {
            best = cost;
            guess->partial = i;
        }
    }
    guess->tail = in->grid->count - from - guess->partial;
    return best;
}

/* The least that the rest costs, whatever it holds. */
static int32_t least_rest(const struct search *in, const struct guess *guess)
{
    int32_t bars =
        in->end - guess->first - guess->passes * guess->length;

    return bars > 0 ? TAIL : 0;
}

/* The bars before the first chorus, told by themselves or as the end of the
 * form. */
static int32_t cost_intro(const struct search *in, const struct guess *guess,
                          const int32_t *model)
{
    int32_t told = in->before[guess->first], copied = INTRO_COPY + told;
    int32_t bars = guess->first - in->grid->first;
    int32_t most = guess->length / 2 < INTRO_COPY_MAX ? guess->length / 2
                                                      : INTRO_COPY_MAX;

    /* No copy costs less than to say that it is one. */
    if (told <= INTRO_COPY)
        return told;
    for (int32_t n = 1; n <= bars && n <= most; n++) {
        int32_t aside = in->aside[guess->first - n];
        int32_t as_end = grid_cost(in->grid, guess->rate, guess->first - n,
                                   model[guess->length - n]);

        copied -= as_end < aside ? aside - as_end : 0;
    }
    return told < copied ? told : copied;
}

/* Do the SIZE bars from the place AT of the pass K hold something else than
 * the form? */
static bool is_unlike(const struct search *in, const struct guess *guess,
                      int32_t k, int32_t at, int32_t size)
{
    const int32_t *model = in->ring.model;
    int32_t news = 0, apart = 0;

    for (int32_t i = at; i < at + size; i++) {
        news += in->news[model[i]];
        apart += form_apart(in, GRID_OFTEN,
                            guess->first + k * guess->length + i, model[i]);
    }
    return apart * 5 >= news * 6;
}

/* Players change chords, not whole groups of bars: what is unlike throughout
 * is rather another section. */
static int32_t cost_unlike(const struct search *in, const struct guess *guess)
{
    int32_t cost = 0;

    for (int32_t k = 0; k < guess->passes && guess->passes > 1; k++)
        for (int32_t at = 0;
             at + FORM_GROUP + FORM_TURNAROUND <= guess->length;
             at += FORM_GROUP)
            if (is_unlike(in, guess, k, at, FORM_GROUP))
                cost += UNLIKE;
    return cost;
}

/* --- guesses ------------------------------------------------------------- */

static void swap(int32_t **a, int32_t **b)
{
    int32_t *kept = *a;

    *a = *b;
    *b = kept;
}

/* Take GUESS, the models of which are those of TELLING, for the BEST where it
 * is. */
static void keep_better(struct search *in, struct guess *best,
                        const struct guess *guess)
{
    if (guess->rate > GRID_SELDOM &&
        guess->cost + guess->told >= best->cost + best->told)
        return;
    *best = *guess;
    swap(&in->model, &in->telling.model);
    swap(&in->group, &in->telling.group);
}

void form_try(struct search *in, struct guess *guess)
{
    struct guess best = *guess;

    guess->passes = (in->end - guess->first) / guess->length;
    for (int rate = 0; rate < GRID_RATES; rate++) {
        guess->rate = rate;
        form_ring_make(in, rate, guess->length, guess->first);
        guess->cost = in->ring.total;
        guess->told = cost_unlike(in, guess) - guess->cost;
        guess->told += form_tell_groups(in);
        guess->cost += cost_rest(in, guess, in->telling.model) +
                       cost_intro(in, guess, in->telling.model);
        keep_better(in, &best, guess);
    }
    *guess = best;
    guess->marks = form_marks_cost(in, guess);
    guess->cost += form_prior_shape(in, guess) + form_prior_order(in, guess) +
                   guess->marks;
}

/* The rates, those at which the rings of STARTS cost least first. */
static void sort_rates(const struct search *in, int order[GRID_RATES])
{
    const struct ring *starts = in->starts;

    for (int rate = 0; rate < GRID_RATES; rate++) {
        int at = rate;

        for (; at > 0 && starts[rate].total < starts[order[at - 1]].total;
             at--)
            order[at] = order[at - 1];
        order[at] = rate;
    }
}

void form_try_start(struct search *in, struct guess *guess)
{
    struct guess best = { .cost = FORM_COST_MAX };
    int rates[GRID_RATES] = { 0 };

    guess->told = 0;
    sort_rates(in, rates);
    for (int n = 0; n < GRID_RATES; n++) {
        const struct ring *ring = &in->starts[rates[n]];

        guess->rate = ring->rate;
        guess->passes = ring->passes;
        /* What is added to this costs nothing at least. */
        if (form_ring_least(ring) > best.cost)
            continue;
        guess->cost = form_ring_models(in, ring, in->telling.model);
        if (guess->cost > best.cost)
            continue;
        guess->cost += cost_intro(in, guess, in->telling.model);
        if (guess->cost + least_rest(in, guess) > best.cost)
            continue;
        guess->cost += cost_rest(in, guess, in->telling.model);
        if (guess->cost < best.cost ||
            (guess->cost == best.cost && guess->rate < best.rate)) {
            best = *guess;
            swap(&in->model, &in->telling.model);
        }
    }
    *guess = best;
    guess->marks = form_marks_cost(in, guess);
    guess->cost += form_prior_shape(in, guess) + guess->marks;
}
