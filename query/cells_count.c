/* query/cells_count.c - every cell found and counted.
 *
 * All notes are divided by their first two steps (cells_group() does the
 * rest), a portion of these at a time: portions are counted by several threads,
 * and only those being counted need room for their notes in order.  What they
 * find is put in the order of keys at the end.
 */
#include <stdlib.h>
#include <string.h>

#include "query/cells_parts.h"
#include "query/tasks.h"

enum {
    PORTIONS_MAX = 16,
    PAIRS = 1 << 2 * CELLS_STEP_BITS,
    GROUP_MIN = 64 /* what cells_group() wants room for at least */
};

/* The notes that start with certain pairs of steps. */
struct portion {
    unsigned pair, pair_end;
    size_t notes;
    size_t largest; /* group of one pair */
    size_t begin;   /* of its places, where its notes are listed at first */
    struct cells_found found;
    /* Where the next cell of each length and window goes. */
    uint32_t next[CELLS_LENGTHS][CELLS_WINDOWS];
};

struct counting {
    struct cells_result *result;
    const struct cells_columns *columns;
    const struct cells_query *query;
    uint32_t *pairs;     /* notes that start with each */
    uint8_t *portion_of; /* of each pair */
    struct portion *portions;
    size_t portion_count;
};

/* --- portions ------------------------------------------------------------- */

static unsigned pair_at(const struct cells_columns *c, size_t place)
{
    return (unsigned)c->step[place] << CELLS_STEP_BITS | c->step[place + 1];
}

/* Does a window that counts start at PLACE? */
static bool is_wanted(const struct counting *c, size_t place)
{
    if (c->columns->step[place] == CELLS_NO_STEP ||
        c->columns->step[place + 1] == CELLS_NO_STEP)
        return false;
    for (int n = c->query->notes_min; n <= c->query->notes_max; n++)
        if (c->columns->window[n - CELLS_NOTES_MIN][place] != CELLS_NO_WINDOW)
            return true;
    return false;
}

static size_t count_pairs(struct counting *c)
{
    size_t wanted = 0;

    for (size_t i = 0; i < c->columns->count; i++)
        if (is_wanted(c, i)) {
            c->pairs[pair_at(c->columns, i)]++;
            wanted++;
        }
    return wanted;
}

/* Portions of about as many of the WANTED notes. */
static void divide(struct counting *c, size_t wanted)
{
    size_t enough = wanted / PORTIONS_MAX + 1, begin = 0;
    size_t lengths = (size_t)(c->query->notes_max - c->query->notes_min + 1);
    struct portion *p = c->portions;

    for (unsigned pair = 0; pair < PAIRS; pair++) {
        if (p->notes == 0)
            p->pair = pair;
        p->notes += c->pairs[pair];
        if (c->pairs[pair] > p->largest)
            p->largest = c->pairs[pair];
        p->pair_end = pair + 1;
        p->begin = begin;
        c->portion_of[pair] = (uint8_t)(p - c->portions);
        if (p->notes >= enough) {
            begin += p->notes * lengths;
            p++;
        }
    }
    c->portion_count = (size_t)(p - c->portions) + (p->notes > 0);
}

/* List the notes of each portion in order, where its places will be. */
static void list_notes(struct counting *c)
{
    uint32_t *places = c->result->places;
    size_t next[PORTIONS_MAX + 1];

    for (size_t i = 0; i < c->portion_count; i++)
        next[i] = c->portions[i].begin;
    for (size_t i = 0; i < c->columns->count; i++)
        if (is_wanted(c, i))
            places[next[c->portion_of[pair_at(c->columns, i)]]++] = (uint32_t)i;
}

/* --- one portion ---------------------------------------------------------- */

static void take_note(struct cells_note *out, const struct cells_columns *c,
                      size_t place)
{
    out->place = (uint32_t)place;
    out->solo = c->solo[place] & (CELLS_SOLOS_MAX - 1);
    for (int k = 0; k < CELLS_LENGTHS; k++)
        out->window[k] = c->window[k][place];
    memcpy(out->step, c->step + place + 2, sizeof out->step);
}

/* The notes of P by pairs, and of one pair by places; END receives where each
 * of its pairs ends. */
static void gather(const struct counting *c, const struct portion *p,
                   struct cells_note *notes, uint32_t *end)
{
    const unsigned pairs = p->pair_end - p->pair;
    const uint32_t *listed = c->result->places + p->begin;
    uint32_t sum = 0;

    for (unsigned k = 0; k < pairs; k++) {
        end[k] = sum;
        sum += c->pairs[p->pair + k];
    }
    for (size_t i = 0; i < p->notes; i++)
        take_note(&notes[end[pair_at(c->columns, listed[i]) - p->pair]++],
                  c->columns, listed[i]);
}

static enum status count_portion(void *context, size_t task, struct fault *why)
{
    struct counting *c = context;
    struct portion *p = &c->portions[task];
    size_t room = p->largest > GROUP_MIN ? p->largest : GROUP_MIN;
    unsigned pairs = p->pair_end - p->pair;
    struct cells_note *notes = malloc(p->notes * sizeof *notes + 1);
    uint32_t *end = malloc(pairs * sizeof *end);
    struct cells_grouping g = {
        .query = c->query,
        .result = c->result,
        .versus_start = (uint32_t)c->columns->side_end[CELLS_OWN],
        .found = &p->found,
        .places = c->result->places,
        .place_count = p->begin,
        .spare = malloc(room * sizeof *g.spare),
        .place = malloc(room * sizeof *g.place),
        .solo = malloc(room * sizeof *g.solo),
        .why = why,
    };

    if (!notes || !end || !g.spare || !g.place || !g.solo)
        g.status = fault_nomem(why);
    else
        gather(c, p, notes, end);
    for (unsigned k = 0, from = 0; k < pairs && g.status == ST_OK;
         from = end[k++])
        cells_group(&g, notes + from, end[k] - from, p->pair + k);
    free(notes);
    free(end);
    free(g.spare);
    free(g.place);
    free(g.solo);
    return g.status;
}

/* --- together ------------------------------------------------------------- */

/* Cells come shorter first, then by window, then by steps: so do portions, and
 * the cells within one.  Returns how many there are. */
static size_t lay_out(struct counting *c)
{
    uint32_t at = 0;

    for (int k = 0; k < CELLS_LENGTHS; k++)
        for (int w = 0; w < CELLS_WINDOWS; w++)
            for (size_t i = 0; i < c->portion_count; i++) {
                c->portions[i].next[k][w] = at;
                at += c->portions[i].found.counts[k][w];
            }
    return at;
}

static enum status move_cells(void *context, size_t task, struct fault *why)
{
    struct counting *c = context;
    struct portion *p = &c->portions[task];

    (void)why;
    for (size_t i = 0; i < p->found.count; i++) {
        const struct cell *cell = &p->found.cells[i];
        int notes = (int)(cell->key >> CELLS_NOTES_AT);
        int window = (int)(cell->key >> CELLS_WINDOW_AT & 0xff);

        c->result->cells[p->next[notes - CELLS_NOTES_MIN][window]++] = *cell;
    }
    free(p->found.cells);
    p->found.cells = NULL;
    return ST_OK;
}

static enum status put_together(struct counting *c, struct fault *why)
{
    struct cells_result *r = c->result;

    for (size_t i = 0; i < c->portion_count; i++)
        for (int side = 0; side < CELLS_SIDES; side++)
            r->sides[side].rare += c->portions[i].found.rare[side];
    r->count = lay_out(c);
    r->cells = malloc(r->count * sizeof *r->cells + 1);
    if (!r->cells)
        return fault_nomem(why);
    return tasks_run(c->query->threads, c->portion_count, move_cells, c, why);
}

/* Room for every window there is: what stays unused is never touched. */
static enum status make_places(struct counting *c, size_t wanted,
                               struct fault *why)
{
    size_t windows =
        wanted * (size_t)(c->query->notes_max - c->query->notes_min + 1);

    if (windows > UINT32_MAX)
        return fault_set(why, ST_INPUT,
                         "too many notes at once; ask for fewer solos");
    c->result->places = malloc(windows * sizeof *c->result->places + 1);
    return c->result->places ? ST_OK : fault_nomem(why);
}

enum status cells_count(struct cells_result *result,
                        const struct cells_columns *columns,
                        const struct cells_query *query, struct fault *why)
{
    struct counting c = { .result = result,
                          .columns = columns,
                          .query = query,
                          .pairs = calloc(PAIRS, sizeof *c.pairs),
                          .portion_of = calloc(PAIRS, 1),
                          .portions =
                              calloc(PORTIONS_MAX + 1, sizeof *c.portions) };
    enum status st =
        c.pairs && c.portion_of && c.portions ? ST_OK : fault_nomem(why);
    size_t wanted = 0;

    if (st == ST_OK) {
        wanted = count_pairs(&c);
        divide(&c, wanted);
        st = make_places(&c, wanted, why);
    }
    if (st == ST_OK)
        list_notes(&c);
    if (st == ST_OK)
        st = tasks_run(query->threads, c.portion_count, count_portion, &c, why);
    if (st == ST_OK)
        st = put_together(&c, why);
    for (size_t i = 0; i < c.portion_count; i++)
        free(c.portions[i].found.cells);
    free(c.pairs);
    free(c.portion_of);
    free(c.portions);
    return st;
}
