/* query/cells_fold.c - cells that almost always stand inside a longer one.
 *
 * A longer cell that holds nearly all occurrences of a shorter one has the same
 * step before nearly all of them, or the same step after, and so on for each
 * step that it adds; unless it holds the shorter one twice, which then nearly
 * always has company close by.  Few cells are like that, and only they are held
 * against longer ones one by one.
 */
#include <stdlib.h>
#include <string.h>

#include "query/cells_parts.h"
#include "query/tasks.h"

enum {
    /* A longer cell holds a shorter one at most once for each step that it is
     * longer by, and once more; of all lengths together. */
    HOLDS_MAX = CELLS_NOTES_MAX - CELLS_NOTES_MIN + 1,
    HOLDERS_MAX = HOLDS_MAX * (HOLDS_MAX + 1) / 2 - 1,
    CELLS_AT_ONCE = 4096, /* of one task */
    FETCH_AHEAD = 16,     /* cells */
    FETCH_PLACES = 3
};

struct folding {
    struct cells_result *result;
    const struct cells_columns *columns;
    const struct cells_query *query;
    enum cells_side side;
};

/* A cell that is being looked at. */
struct folded {
    int notes;
    uint64_t steps; /* as steps_at() */
    const uint32_t *places;
    size_t count, missing; /* so many may be missing from a holder */
    int before, after;     /* the steps that a holder may add there */
};

/* A longer cell that holds INSIDE occurrences of it, the last of which is
 * number LAST. */
struct holder {
    uint64_t key; /* 0: none */
    uint32_t inside, last;
};

/* Holders by hash. */
struct holders {
    struct holder *slots;
    size_t slot_count, room; /* powers of two */
};

/* --- steps ---------------------------------------------------------------- */

/* Eight steps from STEP on as one number, the first one highest. */
static uint64_t steps_at(const uint8_t *step)
{
    return (uint64_t)step[0] << 56 | (uint64_t)step[1] << 48 |
           (uint64_t)step[2] << 40 | (uint64_t)step[3] << 32 |
           (uint64_t)step[4] << 24 | (uint64_t)step[5] << 16 |
           (uint64_t)step[6] << 8 | (uint64_t)step[7];
}

/* Those of so many notes alone. */
static uint64_t steps_of(uint64_t steps, int notes)
{
    return steps & UINT64_MAX << CELLS_STEP_BITS * (9 - notes);
}

/* --- may it be held? ------------------------------------------------------ */

/* Do nearly all occurrences have the same step at OFFSET from their place? */
static bool has_same_step(const struct folding *f, const struct folded *s,
                          int offset)
{
    const uint8_t *step = f->columns->step + offset;
    size_t enough = 2 * s->missing + 1, votes = 0, others = 0;
    uint8_t most = CELLS_NO_STEP;

    /* Of so many it would have more than half: it is what is left when two
     * different ones are taken away again and again. */
    for (size_t i = 0; i < enough; i++) {
        uint8_t here = step[s->places[i]];

        if (votes == 0)
            most = here;
        if (here == most)
            votes++;
        else
            votes--;
    }
    for (size_t i = 0; i < s->count && others <= s->missing; i++)
        others += step[s->places[i]] != most;
    return most != CELLS_NO_STEP && others <= s->missing;
}

/* Do the same steps start so near to STEP that a longer cell may hold both? */
static bool has_company(const struct folding *f, const struct folded *s,
                        const uint8_t *step)
{
    for (int d = 1; d <= f->query->notes_max - s->notes; d++)
        if (steps_of(steps_at(step + d), s->notes) == s->steps ||
            steps_of(steps_at(step - d), s->notes) == s->steps)
            return true;
    return false;
}

/* How far a holder may reach out; false where there is none. */
static bool may_be_held(const struct folding *f, struct folded *s)
{
    const int most = f->query->notes_max - s->notes;
    size_t alone = 0;

    s->before = s->after = 0;
    while (s->after < most && has_same_step(f, s, s->notes - 1 + s->after))
        s->after++;
    while (s->before < most && has_same_step(f, s, -1 - s->before))
        s->before++;
    for (size_t i = 0; i < s->count && alone <= s->missing; i++)
        alone += !has_company(f, s, f->columns->step + s->places[i]);
    if (alone <= s->missing)
        s->before = s->after = most;
    return s->before + s->after > 0;
}

/* --- by what? ------------------------------------------------------------- */

/* Make HOLDERS empty, with room for COUNT and as many again. */
static enum status empty(struct holders *h, size_t count, struct fault *why)
{
    h->slot_count = 1;
    while (h->slot_count < 2 * count)
        h->slot_count *= 2;
    if (h->slot_count > h->room) {
        free(h->slots);
        h->room = 0;
        h->slots = malloc(h->slot_count * sizeof *h->slots);
        if (!h->slots)
            return fault_nomem(why);
        h->room = h->slot_count;
    }
    memset(h->slots, 0, h->slot_count * sizeof *h->slots);
    return ST_OK;
}

/* Where KEY stands, or the free slot where it would. */
static struct holder *slot_of(const struct holders *h, uint64_t key)
{
    uint64_t hash = key * UINT64_C(0x9e3779b97f4a7c15);
    size_t at = (hash ^ hash >> 32) & (h->slot_count - 1);

    while (h->slots[at].key != 0 && h->slots[at].key != key)
        at = (at + 1) & (h->slot_count - 1);
    return &h->slots[at];
}

/* The occurrence NUMBER lies inside one of the cell KEY, which may hold it a
 * few times.  Returns how many of them do. */
static uint32_t count_inside(struct holders *h, const struct folded *s,
                             size_t number, uint64_t key)
{
    struct holder *holder = slot_of(h, key);

    if (holder->key == 0) {
        /* One that has missed so many before will not do. */
        if (number > s->missing)
            return 0;
        *holder = (struct holder){ key, 0, UINT32_MAX };
    }
    if (holder->last != number) {
        holder->last = (uint32_t)number;
        holder->inside++;
    }
    return holder->inside;
}

/* Count what holds the occurrence NUMBER.  A window that starts in the solo
 * before ends there, so that starts of solos need no care.  Returns how many
 * occurrences are in the one of these that has most. */
static uint32_t count_holders(const struct folding *f, struct holders *h,
                              const struct folded *s, size_t number)
{
    uint32_t place = s->places[number], most = 0;

    for (int n = s->notes + 1; n <= f->query->notes_max; n++) {
        const uint8_t *window = f->columns->window[n - CELLS_NOTES_MIN];
        int more = n - s->notes, back = more > s->after ? more - s->after : 0;

        for (; back <= more && back <= s->before; back++) {
            uint32_t from = place - (uint32_t)back, inside;
            uint64_t steps;

            if ((uint32_t)back > place || window[from] == CELLS_NO_WINDOW)
                continue;
            steps = steps_of(steps_at(f->columns->step + from), n);
            inside =
                count_inside(h, s, number,
                             (uint64_t)n << CELLS_NOTES_AT |
                                 (uint64_t)window[from] << CELLS_WINDOW_AT |
                                 steps >> (64 - CELLS_WINDOW_AT));
            if (inside > most)
                most = inside;
        }
    }
    return most;
}

/* The cell with KEY; NULL where there is none. */
static const struct cell *find_cell(const struct cells_result *result,
                                    uint64_t key)
{
    size_t low = 0, high = result->count;

    while (low < high) {
        size_t middle = low + (high - low) / 2;

        if (result->cells[middle].key < key)
            low = middle + 1;
        else
            high = middle;
    }
    return low < result->count && result->cells[low].key == key
               ? &result->cells[low]
               : NULL;
}

/* Does the cell X, which has X_INSIDE of its occurrences, take it rather than
 * Y does? */
static bool takes_rather(const struct folding *f, const struct cell *x,
                         uint32_t x_inside, const struct cell *y,
                         uint32_t y_inside)
{
    int x_notes = (int)(x->key >> CELLS_NOTES_AT);
    int y_notes = (int)(y->key >> CELLS_NOTES_AT);

    if (x_notes != y_notes)
        return x_notes > y_notes;
    if (x_inside != y_inside)
        return x_inside > y_inside;
    if (x->count[f->side] != y->count[f->side])
        return x->count[f->side] > y->count[f->side];
    return x->key < y->key;
}

/* The one of the HOLDERS that takes S; NULL where none does. */
static const struct cell *choose(const struct folding *f,
                                 const struct holders *h,
                                 const struct folded *s)
{
    const struct cell *best = NULL;
    uint32_t best_inside = 0;

    for (size_t i = 0; i < h->slot_count; i++) {
        const struct holder *holder = &h->slots[i];
        const struct cell *cell;

        if (holder->key == 0 || holder->inside + s->missing < s->count)
            continue;
        cell = find_cell(f->result, holder->key);
        if (!cell || !cells_pass(f->result, f->query, cell, f->side))
            continue;
        if (!best || takes_rather(f, cell, holder->inside, best, best_inside)) {
            best = cell;
            best_inside = holder->inside;
        }
    }
    return best;
}

static enum status find_holder(const struct folding *f, struct holders *h,
                               const struct folded *s, int32_t *into,
                               struct fault *why)
{
    enum status st = empty(h, HOLDERS_MAX * (s->missing + 1), why);
    const struct cell *taker;
    size_t most = 0;

    if (st != ST_OK)
        return st;
    /* Once more are missing from every longer cell than may be, none will
     * do. */
    for (size_t i = 0; i < s->count && most + s->missing >= i; i++) {
        uint32_t inside = count_holders(f, h, s, i);

        if (inside > most)
            most = inside;
    }
    taker = choose(f, h, s);
    if (taker)
        *into = (int32_t)(taker - f->result->cells);
    return ST_OK;
}

/* --- all cells ------------------------------------------------------------ */

static enum status fold_cell(const struct folding *f, struct holders *h,
                             struct cell *cell, struct fault *why)
{
    struct folded s;

    s.notes = (int)(cell->key >> CELLS_NOTES_AT);
    if (s.notes == f->query->notes_max)
        return ST_OK;
    s.steps = cell->key << (64 - CELLS_WINDOW_AT);
    s.places = cell_places(f->result, cell, f->side, &s.count);
    s.missing = s.count * (10 - CELLS_FOLD_TENTHS) / 10;
    return may_be_held(f, &s) ? find_holder(f, h, &s, &cell->into[f->side], why)
                              : ST_OK;
}

/* Have what the cells some way after INDEX look at brought near before their
 * turn comes: first the places, then the steps there. */
static void fetch_ahead(const struct folding *f, size_t index)
{
    const struct cells_result *r = f->result;
    const uint32_t *places;
    size_t count;

    if (index + 2 * FETCH_AHEAD >= r->count)
        return;
    __builtin_prefetch(
        cell_places(r, &r->cells[index + 2 * FETCH_AHEAD], f->side, &count));
    places = cell_places(r, &r->cells[index + FETCH_AHEAD], f->side, &count);
    for (size_t i = 0; i < count && i < FETCH_PLACES; i++)
        __builtin_prefetch(f->columns->step + places[i]);
}

static enum status fold_some(void *context, size_t task, struct fault *why)
{
    const struct folding *f = context;
    struct cells_result *r = f->result;
    size_t from = task * CELLS_AT_ONCE, end = from + CELLS_AT_ONCE;
    struct holders holders = { 0 };
    enum status st = ST_OK;

    if (end > r->count)
        end = r->count;
    for (size_t i = from; i < end && st == ST_OK; i++) {
        fetch_ahead(f, i);
        if (cells_pass(r, f->query, &r->cells[i], f->side))
            st = fold_cell(f, &holders, &r->cells[i], why);
    }
    free(holders.slots);
    return st;
}

/* The cell that the cell INDEX ends up in. */
static int32_t last_holder(const struct cells_result *result,
                           enum cells_side side, int32_t index)
{
    while (result->cells[index].into[side] != CELLS_NOT_FOLDED)
        index = result->cells[index].into[side];
    return index;
}

/* From the shortest on, each before those that are there: longer first. */
static enum status make_lists(struct cells_result *result, enum cells_side side,
                              struct fault *why)
{
    struct cells_side_result *out = &result->sides[side];
    size_t bytes = (result->count + 1) * sizeof *out->holds;

    out->holds = malloc(bytes);
    out->next_held = malloc(bytes);
    if (!out->holds || !out->next_held)
        return fault_nomem(why);
    memset(out->holds, -1, bytes);
    for (size_t i = 0; i < result->count; i++) {
        int32_t holder = last_holder(result, side, (int32_t)i);

        out->next_held[i] = -1;
        if (holder == (int32_t)i)
            continue;
        out->next_held[i] = out->holds[holder];
        out->holds[holder] = (int32_t)i;
    }
    return ST_OK;
}

enum status cells_fold(struct cells_result *result,
                       const struct cells_columns *columns,
                       const struct cells_query *query, enum cells_side side,
                       struct fault *why)
{
    struct folding f = { result, columns, query, side };
    size_t tasks = (result->count + CELLS_AT_ONCE - 1) / CELLS_AT_ONCE;
    enum status st = tasks_run(query->threads, tasks, fold_some, &f, why);

    return st == ST_OK ? make_lists(result, side, why) : st;
}
