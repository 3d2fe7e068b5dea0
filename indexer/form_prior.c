/* indexer/form_prior.c - what forms are like.
 *
 * The numbers are ours: rough logarithms of how usual a thing is.
 */
#include "indexer/form_search.h"

enum {
    LONE_MOST = 650,
    LONE_LENGTH = 2, /* how much more an unusual length costs a lone chorus */
    ONE_PASS_CUT = 100000, /* a lone chorus with bars left out, unmarked */
    PART_MIN = 4,       /* bars that tell a second chorus */
    PART_MIN_AFTER = 8, /* the same after an introduction */
    ONE_AND_PART = 300, /* one chorus and a part of another */
    ONE_AFTER = 700,    /* the same after an introduction */
    TWICE = 200,
    ONE_FORM = 32,      /* bars of the most usual form */
    LONG_INTRO = 400,
    THEME = 5000,       /* melody and harmony return: one theme */
    AABA = -400,
    ABAC = -200,
    TONIC_FIRST = -500,
    LEADS_BACK = -100
};

int32_t form_prior_length(int32_t length)
{
    static const struct {
        int16_t bars, cost;
    } usual[] = {
        { 12, 0 },   { 16, 20 },  { 32, 0 },   { 8, 150 },  { 24, 100 },
        { 20, 150 }, { 36, 150 }, { 40, 150 }, { 48, 150 }, { 64, 150 },
        { 14, 200 }, { 28, 200 }, { 18, 200 }, { 10, 250 }, { 44, 250 },
        { 56, 200 }, { 34, 280 }, { 30, 300 }, { 22, 300 }, { 26, 300 },
    };

    for (size_t i = 0; i < sizeof usual / sizeof *usual; i++)
        if (usual[i].bars == length)
            return usual[i].cost;
    if (length % 4 == 0)
        return 350;
    return length % 2 == 0 ? 500 : 800;
}

int32_t form_prior_first(int32_t before)
{
    static const int16_t costs[] = { 0,   200, 150, 220, 120,
                                     220, 200, 220, 120 };

    if (before < (int32_t)(sizeof costs / sizeof *costs))
        return costs[before];
    return before == 12 || before == 16 ? 500 : 800;
}

/* --- the order of sections, and the tonic --------------------------------- */

/* Are the quarters A and B of the form the same groups? */
static bool is_same_quarter(const struct search *in, int32_t groups, int a,
                            int b)
{
    int32_t each = groups / 4;

    for (int32_t i = 0; i < each; i++)
        if (in->group[a * each + i] != in->group[b * each + i])
            return false;
    return true;
}

int32_t form_prior_order(const struct search *in, const struct guess *guess)
{
    int32_t groups = guess->length / FORM_GROUP;
    bool ab, ac, ad, bd;

    if (guess->length % (4 * FORM_GROUP) != 0)
        return 0;
    ab = is_same_quarter(in, groups, 0, 1);
    ac = is_same_quarter(in, groups, 0, 2);
    ad = is_same_quarter(in, groups, 0, 3);
    bd = is_same_quarter(in, groups, 1, 3);
    if (ab && !ac && ad)
        return AABA;
    return ac && !ab && !bd ? ABAC : 0;
}

/* Which pitch class is the tonic of the first key: as major, as minor. */
static void tonics_of(const struct solo *solo, int tonic[2])
{
    int fifths, mode;

    solo_concert_key(solo, &fifths, &mode);
    tonic[0] = pitch_modulo(7 * fifths, 12);
    tonic[1] = pitch_modulo(7 * fifths + 9, 12);
    if (mode == MODE_MAJOR)
        tonic[1] = tonic[0];
    if (mode == MODE_MINOR)
        tonic[0] = tonic[1];
}

bool form_is_tonic(const struct grid *grid, int32_t bar, bool last)
{
    const struct grid_bar *at = &grid->bars[bar];
    const struct chord *chord =
        grid->tokens[at->cells[last ? at->cell_count - 1 : 0]];
    int tonic[2];

    if (!chord || !grid->solo->has_key)
        return false;
    tonics_of(grid->solo, tonic);
    return chord->root_pc == tonic[0] || chord->root_pc == tonic[1];
}

static int32_t tonic_cost(const struct search *in, const struct guess *guess)
{
    const struct grid *grid = in->grid;
    const struct grid_bar *first = &grid->bars[in->model[0]];
    const struct grid_bar *last = &grid->bars[in->model[guess->length - 1]];
    const struct chord *start = grid->tokens[first->cells[0]];
    const struct chord *end = grid->tokens[last->cells[last->cell_count - 1]];
    int32_t cost = form_is_tonic(grid, in->model[0], false) ? TONIC_FIRST : 0;

    if (start && end &&
        pitch_modulo((int)end->root_pc - (int)start->root_pc, 12) == 7)
        cost += LEADS_BACK;
    return cost;
}

/* Nothing but the number of bars tells a lone chorus, unless there is enough
 * of a second one. */
static bool is_lone(const struct search *in, const struct guess *guess)
{
    int32_t second = guess->first + guess->length;
    bool marked = second < in->end && (*in->marks->at[second].letter ||
                                       in->marks->at[second].chorus > 0);

    return guess->passes == 1 && !(marked && guess->partial > 0) &&
           guess->partial < (guess->first > in->grid->first ? PART_MIN_AFTER
                                                            : PART_MIN);
}

/* May a lone chorus start where it does?  At the start, at a mark, or after
 * bars without chords. */
static bool may_start_lone(const struct search *in, const struct guess *guess)
{
    const struct mark *mark = &in->marks->at[guess->first];

    if (guess->first == in->grid->first || *mark->letter || mark->chorus > 0 ||
        guess->first == in->marks->after_intro)
        return true;
    for (int32_t i = in->grid->first; i < guess->first; i++)
        if (!grid_is_silent(&in->grid->bars[i]))
            return false;
    return true;
}

/* Solos whose chords often differ from chorus to chorus are less usual. */
static const int32_t rate_costs[GRID_RATES] = { 0, 80, 200 };

static int32_t lone_cost(const struct search *in, const struct guess *guess)
{
    int32_t cost = LONE_LENGTH * form_prior_length(guess->length);

    if (cost > LONE_MOST)
        cost = LONE_MOST;
    cost += rate_costs[guess->rate];
    if (!may_start_lone(in, guess) ||
        guess->first + guess->length < in->end)
        cost += ONE_PASS_CUT;
    return cost;
}

/* Two halves that are much alike, but in no way the same, are rather one
 * chorus; so are more parts that are not longer than one together. */
static int32_t twice_cost(const struct guess *guess)
{
    bool is_short =
        guess->passes == 2 || guess->passes * guess->length <= ONE_FORM;

    return is_short && guess->rate == GRID_OFTEN ? TWICE : 0;
}

/* No introduction is longer than a chorus. */
static int32_t before_cost(const struct search *in, const struct guess *guess)
{
    int32_t before = guess->first - in->grid->first;

    return form_prior_first(before) + (before > guess->length ? LONG_INTRO : 0);
}

int32_t form_prior_shape(struct search *in, const struct guess *guess)
{
    int32_t cost = before_cost(in, guess);

    if (is_lone(in, guess))
        cost += lone_cost(in, guess);
    else
        cost += form_prior_length(guess->length) +
                (form_is_theme(in, guess) ? THEME : 0) +
                (guess->passes > 1                    ? 0
                 : guess->first > in->grid->first ? ONE_AFTER
                                                  : ONE_AND_PART) +
                rate_costs[guess->rate] + twice_cost(guess);
    return cost + tonic_cost(in, guess);
}
