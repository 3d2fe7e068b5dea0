/* indexer/grid.c - see grid.h. */
#include "indexer/grid.h"

#include <stdlib.h>
#include <string.h>

enum {
    NO_TOKEN = 0,
    SILENCE_CHANGED = 50, /* a chord against none, as by a break */
    SILENCE_COST = 60,
    NEWS_BAR = 40,    /* that a bar holds what the bar before held */
    NEWS_CHORD = 260, /* and for each new chord */
    NEWS_MAX = 600,
    CHORDS_MAX = 3 /* more in one bar count as so many */
};

/* Minus the logarithm of one chance and of what is left of it, in hundredths
 * of a nat. */
static const struct {
    int kept, changed;
} rate_costs[GRID_RATES] = { { 2, 391 }, { 13, 212 }, { 36, 120 } };

/* --- tokens --------------------------------------------------------------- */

/* Chords are one token where nothing tells them apart here. */
static bool is_same_token(const struct chord *a, const struct chord *b)
{
    return a->root_pc == b->root_pc && a->class == b->class &&
           a->tones == b->tones;
}

static uint8_t token_of(struct grid *grid, const struct chord *chord)
{
    if (chord->class == CHORD_NONE)
        return NO_TOKEN;
    for (int i = 1; i < grid->token_count; i++)
        if (is_same_token(grid->tokens[i], chord))
            return (uint8_t)i;
    if (grid->token_count == GRID_TOKENS_MAX)
        return NO_TOKEN;
    grid->tokens[grid->token_count] = chord;
    return (uint8_t)grid->token_count++;
}

/* --- bars ----------------------------------------------------------------- */

/* How many chords start up to TICKS after the start of the solo. */
static size_t count_chords(const struct solo *solo, int64_t ticks)
{
    size_t low = 0, high = solo->chord_count;

    while (low < high) {
        size_t middle = low + (high - low) / 2;

        if (solo->chords[middle].start <= ticks)
            low = middle + 1;
        else
            high = middle;
    }
    return low;
}

/* The chord in effect TICKS after the start of the solo; mostly the one that
 * was asked for last. */
static uint8_t token_at(struct grid *grid, int64_t ticks)
{
    const struct solo *solo = grid->solo;
    size_t last = grid->last;

    if (last > 0 && solo->chords[last - 1].start <= ticks &&
        (last == solo->chord_count || solo->chords[last].start > ticks))
        return grid->last_token;
    grid->last = last = count_chords(solo, ticks);
    grid->last_token =
        last == 0 ? NO_TOKEN : token_of(grid, &solo->chords[last - 1].chord);
    return grid->last_token;
}

/* Add the cells of one written bar. */
static void add_cells(struct grid *grid, struct grid_bar *to, int32_t index)
{
    const struct bar *bar = &grid->solo->bars[index];
    int64_t eighth = grid->solo->ticks / 2 > 0 ? grid->solo->ticks / 2 : 1;
    int64_t count = (bar->length + eighth - 1) / eighth;
    int64_t room = GRID_CELLS_MAX - to->cell_count;

    if (count < 1)
        count = 1;
    if (count > room)
        count = room;
    for (int64_t i = 0; i < count; i++)
        to->cells[to->cell_count++] =
            token_at(grid, bar->start + bar->length / count * i);
}

bool grid_is_silent(const struct grid_bar *bar)
{
    for (int i = 0; i < bar->cell_count; i++)
        if (bar->cells[i] != NO_TOKEN)
            return false;
    return true;
}

/* A pickup that is written as a whole bar: no chord, and rests up to its
 * middle, or up to some note where the next bar has a chord.  It is played but
 * once. */
static bool is_whole_pickup(const struct grid *grid)
{
    const struct solo *solo = grid->solo;
    const struct bar *bar = &solo->bars[grid->bars[0].bar];
    const struct note *note = solo->notes;

    for (size_t i = 1; i < solo->play_count; i++)
        if (solo->plays[i] == solo->plays[0])
            return false;
    if (!grid_is_silent(&grid->bars[0]) || solo->note_count == 0 ||
        note->bar != grid->bars[0].bar || note->onset == 0)
        return false;
    return note->onset * 2 >= bar->length ||
           !grid_is_silent(&grid->bars[1]);
}

static bool is_pickup(const struct grid *grid)
{
    const struct solo *solo = grid->solo;
    const struct bar *bar = &solo->bars[grid->bars[0].bar];

    if (grid->count < 2)
        return false;
    if (bar->length >= bar->nominal)
        return is_whole_pickup(grid);
    if (grid->numbers[1] == 0 && solo->play_count > 1)
        return false;
    return bar->implicit || strcmp(bar->number, "0") == 0 ||
           solo->bars[grid->bars[1].bar].length >=
               solo->bars[grid->bars[1].bar].nominal;
}

static void fill_bars(struct grid *grid)
{
    const struct solo *solo = grid->solo;

    for (size_t i = 0; i < solo->play_count; i++) {
        struct grid_bar *bar;

        if (grid->numbers[i] >= grid->count)
            break;
        bar = &grid->bars[grid->numbers[i]];
        if (bar->cell_count == 0) {
            bar->play = (int32_t)i;
            bar->bar = solo->plays[i];
        }
        if (bar->cell_count < GRID_CELLS_MAX)
            add_cells(grid, bar, solo->plays[i]);
    }
}

/* --- kinds and costs ------------------------------------------------------ */

static bool is_same_kind(const struct grid_bar *a, const struct grid_bar *b)
{
    return a->cell_count == b->cell_count &&
           memcmp(a->cells, b->cells, (size_t)a->cell_count) == 0;
}

/* Number the kinds; FIRST_OF gets the first bar of each. */
static void find_kinds(struct grid *grid, int32_t *first_of)
{
    for (int32_t i = 0; i < grid->count; i++) {
        struct grid_bar *bar = &grid->bars[i];
        uint8_t before = i > 0 ? bar[-1].cells[bar[-1].cell_count - 1]
                               : NO_TOKEN;

        bar->kind = 0;
        while (bar->kind < grid->kind_count &&
               !is_same_kind(bar, &grid->bars[first_of[bar->kind]]))
            bar->kind++;
        if (bar->kind == grid->kind_count)
            first_of[grid->kind_count++] = i;
        bar->news = NEWS_BAR;
        for (int c = 0; c < bar->cell_count; c++) {
            bar->news += bar->cells[c] != before ? NEWS_CHORD : 0;
            before = bar->cells[c];
        }
        bar->goes_on = i > 0 && bar->news == NEWS_BAR;
        if (bar->news > NEWS_MAX)
            bar->news = NEWS_MAX;
    }
}

struct token_distance {
    int16_t changed, cost;
};

static void measure_tokens(const struct grid *grid,
                           struct token_distance *table)
{
    for (int a = 0; a < grid->token_count; a++)
        for (int b = 0; b < grid->token_count; b++) {
            int changed = a == b ? 0 : SILENCE_CHANGED;
            int cost = a == b ? 0 : SILENCE_COST;

            if (a != NO_TOKEN && b != NO_TOKEN && a != b)
                grid_chord_distance(grid->tokens[a], grid->tokens[b],
                                    &changed, &cost);
            table[a * grid->token_count + b] =
                (struct token_distance){ (int16_t)changed, (int16_t)cost };
        }
}

/* A bar counts as the chords that stand in it. */
static uint16_t bar_cost(int rate, int changed, int cost, int cells,
                         int chords)
{
    int kept = 100 * cells - changed;
    int hundredths = (kept * rate_costs[rate].kept +
                      changed * rate_costs[rate].changed) / 100 + cost;

    return (uint16_t)(hundredths * chords / cells);
}

static void measure_kinds(struct grid *grid, const int32_t *first_of,
                          const struct token_distance *table)
{
    for (int32_t a = 0; a < grid->kind_count; a++)
        for (int32_t b = a; b < grid->kind_count; b++) {
            const struct grid_bar *x = &grid->bars[first_of[a]];
            const struct grid_bar *y = &grid->bars[first_of[b]];
            int cells = x->cell_count > y->cell_count ? x->cell_count
                                                      : y->cell_count;
            int changed = 0, cost = 0, chords = 0, last_p = -1, last_q = -1;

            for (int i = 0; i < cells; i++) {
                int p = x->cells[i * x->cell_count / cells];
                int q = y->cells[i * y->cell_count / cells];

                chords += (p != last_p || q != last_q) && chords < CHORDS_MAX;
                last_p = p;
                last_q = q;
                changed += table[p * grid->token_count + q].changed;
                cost += table[p * grid->token_count + q].cost;
            }
            for (int rate = 0; rate < GRID_RATES; rate++) {
                uint16_t *costs = grid->costs[rate];

                costs[a * grid->kind_count + b] =
                    costs[b * grid->kind_count + a] =
                        bar_cost(rate, changed, cost, cells, chords);
            }
        }
}

static enum status make_costs(struct grid *grid, struct fault *why)
{
    size_t tokens = (size_t)grid->token_count * (size_t)grid->token_count;
    struct token_distance *table = malloc(tokens * sizeof *table);
    int32_t *first_of = malloc(((size_t)grid->count + 1) * sizeof *first_of);
    enum status st = table && first_of ? ST_OK : fault_nomem(why);

    if (st == ST_OK)
        find_kinds(grid, first_of);
    for (int rate = 0; rate < GRID_RATES && st == ST_OK; rate++) {
        size_t size = (size_t)grid->kind_count * (size_t)grid->kind_count;

        grid->costs[rate] = malloc((size + 1) * sizeof *grid->costs[rate]);
        if (!grid->costs[rate])
            st = fault_nomem(why);
    }
    if (st == ST_OK) {
        measure_tokens(grid, table);
        measure_kinds(grid, first_of, table);
    }
    free(table);
    free(first_of);
    return st;
}

enum status grid_make(struct grid *out, const struct solo *solo,
                      struct fault *why)
{
    memset(out, 0, sizeof *out);
    out->solo = solo;
    out->token_count = 1;
    out->numbers = calloc(solo->play_count + 1, sizeof *out->numbers);
    if (!out->numbers)
        return fault_nomem(why);
    out->count = form_number_bars(solo, out->numbers);
    if (out->count > GRID_BARS_MAX)
        out->count = GRID_BARS_MAX;
    out->bars = calloc((size_t)out->count + 1, sizeof *out->bars);
    if (!out->bars)
        return fault_nomem(why);
    if (out->count == 0)
        return ST_OK;
    fill_bars(out);
    out->has_chords = out->token_count > 1;
    out->first = is_pickup(out) ? 1 : 0;
    return make_costs(out, why);
}

void grid_free(struct grid *grid)
{
    free(grid->numbers);
    free(grid->bars);
    for (int rate = 0; rate < GRID_RATES; rate++)
        free(grid->costs[rate]);
    memset(grid, 0, sizeof *grid);
}
