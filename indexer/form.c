/* indexer/form.c - see form.h. */
#include "indexer/form.h"

#include "indexer/form_search.h"

enum {
    LONE_MAX = 40,       /* bars of a lone chorus that nothing else tells */
    RETURN_SHARE = 5,    /* one bar in so many returns in a long form */
    VAMP_SHARE = 10,     /* one bar in so many may differ in a vamp */
    ALONE_CONFIDENCE = 60
};

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
    int64_t ahead = (int64_t)form_whole_cost(&found->second) -
                    form_whole_cost(&found->best);
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
        st = form_search_open(&search, &grid, &marks, why);
        if (st == ST_OK) {
            form_look(&search, &found);
            st = answer(&search, &found, solo, why);
        }
    }
    form_search_close(&search);
    marks_free(&marks);
    grid_free(&grid);
    return st;
}
