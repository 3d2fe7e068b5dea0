/* indexer/form.c - see form.h. */
#include "indexer/form.h"

#include <stdlib.h>
#include <string.h>

#include "indexer/form_search.h"

enum {
    LENGTHS_TRIED = 16,  /* the likeliest */
    STARTS_TRIED = 4,    /* of one length, the likeliest */
    BEFORE_MAX = 16,     /* bars before the first chorus without a mark */
    LONE_MAX = 40,       /* bars of a lone chorus that nothing else tells */
    RETURN_SHARE = 5,    /* one bar in so many returns in a long form */
    VAMP_SHARE = 10,     /* one bar in so many may differ in a vamp */
    NEWS_AGAIN = 20,     /* a bar that is the same as one shortly before */
    ALONE_CONFIDENCE = 60
};

/* --- preparations --------------------------------------------------------- */

/* The cost of each bar by itself: its chords; outside of the form also that
 * of a bar one, two or four before, as in a vamp. */
static void find_news(struct search *in)
{
    static const int32_t back[] = { 1, 2, 4 };
    const struct grid *grid = in->grid;

    for (int32_t i = 0; i < grid->count; i++) {
        in->news[i] = in->aside[i] = grid->bars[i].news;
        for (size_t k = 0; k < sizeof back / sizeof *back; k++) {
            int32_t cost;

            if (i - back[k] < grid->first)
                continue;
            cost = NEWS_AGAIN + grid_cost(grid, GRID_AT_TIMES, i, i - back[k]);
            if (cost < in->aside[i])
                in->aside[i] = cost;
        }
    }
    in->ending[0] = 0;
    for (int32_t n = 1; n <= in->end; n++)
        in->ending[n] = in->ending[n - 1] + in->aside[in->end - n];
}

enum {
    ARRAYS = 20,      /* of a number for each bar */
    ARRAYS_START = 2 * GRID_RATES /* of one for each bar of a form */
};

/* Room in arrays of a member for each bar. */
static enum status make_room(struct search *in, struct fault *why)
{
    size_t room = (size_t)in->grid->count + 1;
    int32_t **const arrays[ARRAYS] = {
        &in->news,           &in->aside,           &in->ending,
        &in->copied,         &in->row,             &in->column,
        &in->ring.own,       &in->ring.model,      &in->telling.model,
        &in->telling.again,  &in->telling.leader,  &in->telling.cost,
        &in->telling.group,  &in->model,           &in->group,
        &in->said,           &in->theme.bars,      &in->theme.cells,
        &in->theme.same,     &in->theme.changed,
    };
    int32_t *at = malloc((room * ARRAYS + FORM_LENGTH_MAX * ARRAYS_START) *
                         sizeof *at);

    in->memory[0] = at;
    in->pitches = calloc(room, sizeof *in->pitches);
    in->telling.circle = malloc(room * sizeof *in->telling.circle);
    in->ring.rows = malloc(room * sizeof *in->ring.rows);
    in->kept[0] = malloc(GRID_RATES * room * sizeof *in->kept[0]);
    if (!at || !in->pitches || !in->telling.circle || !in->ring.rows ||
        !in->kept[0])
        return fault_nomem(why);
    for (int rate = 1; rate < GRID_RATES; rate++)
        in->kept[rate] = in->kept[rate - 1] + room;
    for (int i = 0; i < ARRAYS; i++, at += room)
        *arrays[i] = at;
    for (int rate = 0; rate < GRID_RATES; rate++) {
        in->starts[rate].own = at;
        in->starts[rate].model = at + FORM_LENGTH_MAX;
        at += 2 * FORM_LENGTH_MAX;
    }
    return ST_OK;
}

static enum status search_open(struct search *in, const struct grid *grid,
                               const struct marks *marks, struct fault *why)
{
    enum status st;

    memset(in, 0, sizeof *in);
    in->grid = grid;
    in->marks = marks;
    in->end = marks->coda;
    in->ends_on_tonic = form_is_tonic(grid, in->end - 1, true);
    in->theme.by_chord = -1;
    st = make_room(in, why);
    if (st == ST_OK)
        st = form_apart_open(in, why);
    if (st != ST_OK)
        return st;
    find_news(in);
    form_list_marks(in);
    form_read_pitches(in);
    return ST_OK;
}

static void search_close(struct search *in)
{
    free(in->memory[0]);
    free(in->memory[1]);
    free(in->pitches);
    free(in->telling.circle);
    free(in->ring.rows);
    free(in->kept[0]);
}

/* --- search --------------------------------------------------------------- */

/* The best guess so far, and the best of those that differ from it.  Where a
 * chorus starts does not change what is in it, only how cleverly it can be
 * told; so the cost of telling a chorus does not choose between starts. */
struct found {
    struct guess best, second;
};

static int32_t whole_cost(const struct guess *guess)
{
    return guess->length ? guess->cost + guess->told : FORM_COST_MAX;
}

static void offer(struct found *found, const struct guess *guess)
{
    int32_t cost = whole_cost(guess);

    if (cost < whole_cost(&found->best)) {
        found->second = found->best;
        found->best = *guess;
    } else if (cost < whole_cost(&found->second)) {
        found->second = *guess;
    }
}

/* Is A a better start than B, of one length? */
static bool is_better_start(const struct guess *a, const struct guess *b)
{
    if (a->length == 0 || b->length == 0)
        return a->length > 0;
    if (a->passes < 2 || b->passes < 2)
        return whole_cost(a) < whole_cost(b);
    return a->cost < b->cost;
}

/* Try LENGTH from FIRST for the best start of this length. */
static void consider(struct search *in, struct found *starts, int32_t length,
                     int32_t first)
{
    struct guess guess = { .length = length, .first = first };

    if (length < 1 || first + length > in->end)
        return;
    form_try(in, &guess);
    if (is_better_start(&guess, &starts->best)) {
        starts->second = starts->best;
        starts->best = guess;
    } else if (is_better_start(&guess, &starts->second)) {
        starts->second = guess;
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
    struct found starts;

    while (chords < in->end && grid_is_silent(&grid->bars[chords]))
        chords++;
    for (int32_t i = grid->first; i < in->end; i++) {
        const struct mark *mark = &in->marks->at[i];

        if (i != grid->first && i != chords && !*mark->letter &&
            !mark->chorus && i != in->marks->after_intro)
            continue;
        memset(&starts, 0, sizeof starts);
        consider(in, &starts, in->end - i, i);
        offer_starts(found, &starts);
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

/* The likeliest bars for the first chorus of LENGTH, up to LAST: cheap costs
 * choose which are looked at more closely. */
static void look_for_start(struct search *in, struct found *starts,
                           int32_t length, int32_t last)
{
    struct guess near[STARTS_TRIED];
    int count = 0;

    if (in->grid->first + length < in->end)
        for (int rate = 0; rate < GRID_RATES; rate++)
            form_ring_start(in, &in->starts[rate], rate, length);
    for (int32_t i = in->grid->first; i <= last && i + length < in->end; i++) {
        struct guess guess = { .length = length, .first = i };
        int at;

        for (int rate = 0; rate < GRID_RATES && i > in->grid->first; rate++)
            form_ring_move(in, &in->starts[rate]);
        if (!may_start(in, i))
            continue;
        form_try_start(in, &guess);
        for (at = count; at > 0 && guess.cost < near[at - 1].cost; at--)
            if (at < STARTS_TRIED)
                near[at] = near[at - 1];
        if (at < STARTS_TRIED)
            near[at] = guess;
        count += count < STARTS_TRIED;
    }
    for (int i = 0; i < count; i++)
        consider(in, starts, length, near[i].first);
}

static void look(struct search *in, struct found *found)
{
    int32_t start = in->grid->first;
    int32_t last = last_start(in), most = in->end - start;
    bool likely[FORM_LENGTH_MAX + 1];

    if (most > FORM_LENGTH_MAX)
        most = FORM_LENGTH_MAX;
    memset(found, 0, sizeof *found);
    look_alone(in, found);
    find_likely(in, likely, most);
    for (int32_t length = FORM_LENGTH_MIN; length <= most; length++) {
        struct found starts = { .best = { 0 } };

        if (!likely[length])
            continue;
        look_for_start(in, &starts, length, last);
        offer_starts(found, &starts);
    }
}

/* Does a cycle of fewer than eight bars go round throughout, four times at
 * least? */
static bool is_vamp(const struct search *in)
{
    const struct grid *grid = in->grid;

    for (int32_t length = 1; length < FORM_LENGTH_MIN; length++) {
        int32_t bars = in->end - grid->first - length, same = 0;

        if (bars < 3 * length || bars < FORM_LENGTH_MIN)
            continue;
        for (int32_t i = grid->first; i + length < in->end; i++)
            same += grid->bars[i].kind == grid->bars[i + length].kind;
        if (same * VAMP_SHARE >= bars * (VAMP_SHARE - 1))
            return true;
    }
    return false;
}

/* --- the answer ----------------------------------------------------------- */

/* Do three of the FORM_GROUP bars from A hold what those from B hold? */
static bool is_same_run(const struct grid *grid, int32_t a, int32_t b)
{
    int32_t same = 0;

    for (int32_t i = 0; i < FORM_GROUP; i++)
        same += grid->bars[a + i].kind == grid->bars[b + i].kind;
    return same >= FORM_GROUP - 1;
}

/* How many bars of the form are in runs that were there before?  A tune that
 * starts late in what counts as its form returns between the groups. */
static int32_t count_run_again(const struct search *in,
                               const struct guess *guess)
{
    int32_t returns = 0, to = guess->first + guess->length;

    for (int32_t i = guess->first + FORM_GROUP; i + FORM_GROUP <= to;) {
        int32_t k = guess->first;

        while (k + FORM_GROUP <= i && !is_same_run(in->grid, i, k))
            k++;
        returns += k + FORM_GROUP <= i ? FORM_GROUP : 0;
        i += k + FORM_GROUP <= i ? FORM_GROUP : 1;
    }
    return returns;
}

/* Do enough bars return within the form? */
static bool has_returns(const struct search *in, const struct guess *guess)
{
    int32_t returns = 0;

    for (int32_t g = 0; g * FORM_GROUP < guess->length; g++)
        returns += in->group[g] != g ? FORM_GROUP : 0;
    return returns * RETURN_SHARE >= guess->length ||
           count_run_again(in, guess) * RETURN_SHARE >= guess->length;
}

static bool is_marked(const struct search *in, const struct guess *guess)
{
    const struct mark *mark = &in->marks->at[guess->first];

    return guess->marks < 0 && (*mark->letter || mark->chorus > 0);
}

static bool is_lone(const struct guess *guess)
{
    return guess->passes == 1 && guess->partial == 0;
}

static bool is_form(const struct search *in, const struct guess *guess)
{
    if (guess->length < FORM_LENGTH_MIN)
        return false;
    if (!in->grid->has_chords || is_vamp(in))
        return is_marked(in, guess);
    return !is_lone(guess) || is_marked(in, guess) ||
           guess->length <= LONE_MAX || has_returns(in, guess);
}

/* By how much better the answer is than any other. */
static int32_t confidence(const struct search *in, const struct found *found)
{
    static const struct {
        int32_t ahead, confidence;
    } steps[] = { { 1200, 99 }, { 600, 97 }, { 300, 93 }, { 150, 85 },
                  { 80, 75 },   { 40, 65 },  { 0, 50 } };
    /* Where there is no second, its cost is the greatest number. */
    int64_t ahead =
        (int64_t)whole_cost(&found->second) - whole_cost(&found->best);
    size_t i = 0;

    while (i + 1 < sizeof steps / sizeof *steps && ahead < steps[i].ahead)
        i++;
    if (is_lone(&found->best) && !is_marked(in, &found->best) &&
        steps[i].confidence > ALONE_CONFIDENCE)
        return ALONE_CONFIDENCE;
    return steps[i].confidence;
}

static enum status answer(struct search *in, struct found *found,
                          struct solo *solo, struct fault *why)
{
    struct guess *best = &found->best;
    struct form_part parts[FORM_PARTS_MAX];
    struct form_plan plan = { .parts = parts };

    plan.confidence = confidence(in, found);
    /* Once more, for the groups of the form. */
    form_try(in, best);
    if (!is_form(in, best))
        return ST_OK;
    plan.length = best->length;
    plan.first_play = in->grid->bars[best->first].play;
    plan.tail = best->tail;
    plan.source = is_marked(in, best) ? FORM_MARKS : FORM_HARMONY;
    plan.part_count = form_sections(in, best, parts);
    return form_lay_out(solo, &plan, why);
}

enum status form_find(struct solo *solo, struct fault *why)
{
    struct grid grid;
    struct marks marks = { 0 };
    struct search search = { 0 };
    struct found found = { 0 };
    enum status st = grid_make(&grid, solo, why);

    if (st == ST_OK)
        st = marks_read(&marks, &grid, why);
    if (st == ST_OK && grid.count > grid.first &&
        (grid.has_chords || marks.letters || marks.choruses)) {
        st = search_open(&search, &grid, &marks, why);
        if (st == ST_OK) {
            look(&search, &found);
            st = answer(&search, &found, solo, why);
        }
    }
    search_close(&search);
    marks_free(&marks);
    grid_free(&grid);
    return st;
}
