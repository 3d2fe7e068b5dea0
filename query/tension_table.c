/* query/tension_table.c - how often, how long and how resolved. */
#include <stdlib.h>
#include <string.h>

#include "query/scan.h"
#include "query/tension.h"
#include "schema/grow.h"

enum {
    /* A degree has one name as a tension and one as a chord tone. */
    NAMES = 2,
    DEGREES = 12
};

/* The notes of one class, degree and name. */
struct cell {
    const char *degree;
    uint64_t count, resolved;
    int64_t ticks; /* of the solo at hand */
    struct rational duration;
    struct {
        const char *degree;
        uint64_t count;
    } goals[DEGREES][NAMES][CHORD_CLASSES];
};

struct counting {
    const struct tension_query *query;
    struct tension_table *table;
    uint64_t notes[CHORD_CLASSES];
    struct cell cells[CHORD_CLASSES][DEGREES][NAMES];
};

static void count_goal(struct cell *cell, const struct solo *solo,
                       const struct tension_note *note)
{
    int class = solo->chords[note->to_chord].chord.class;
    int name = tension_is_one(note->to_degree);

    cell->resolved++;
    cell->goals[note->to_semitones][name][class].degree = note->to_degree;
    cell->goals[note->to_semitones][name][class].count++;
}

static void count_note(struct counting *c, const struct solo *solo,
                       const struct tension_note *note)
{
    int class = solo->chords[note->chord].chord.class;
    int name = tension_is_one(note->degree);
    struct cell *cell = &c->cells[class][note->semitones][name];
    int asked = c->query->degree;

    c->notes[class]++;
    c->table->notes++;
    if (asked == TENSION_ANY ? !name : note->semitones != asked)
        return;
    c->table->total++;
    cell->degree = note->degree;
    cell->count++;
    cell->ticks += solo->notes[note->index].duration;
    if (note->resolves)
        count_goal(cell, solo, note);
}

/* Ticks are of one solo; quarters are the same for all. */
static void add_durations(struct counting *c, const struct solo *solo)
{
    for (int class = 0; class < CHORD_CLASSES; class++)
        for (int degree = 0; degree < DEGREES; degree++)
            for (int name = 0; name < NAMES; name++) {
                struct cell *cell = &c->cells[class][degree][name];

                if (cell->ticks == 0)
                    continue;
                cell->duration = rational_add(cell->duration,
                                              solo_quarters(solo, cell->ticks));
                cell->ticks = 0;
            }
}

static enum status look(void *context, size_t index, const struct solo *solo,
                        struct fault *why)
{
    struct counting *c = context;
    struct tension_phrase phrase = { 0 };
    uint64_t before = c->table->total;

    (void)index;
    (void)why;
    for (size_t i = 0; i < solo->note_count; i++) {
        struct tension_note note;

        if (tension_note_read(&note, &phrase, c->query, solo, i) &&
            tension_note_fits(c->query, solo, &note))
            count_note(c, solo, &note);
    }
    add_durations(c, solo);
    c->table->solos += c->table->total > before;
    return ST_OK;
}

/* --- the rows ------------------------------------------------------------- */

/* Put GOAL into a row behind those with as many or more. */
static enum status add_goal(struct tension_row *row, size_t *room,
                            const struct tension_goal *goal, struct fault *why)
{
    struct tension_goal *more =
        grow_room(row->goals, row->goal_count, room, sizeof *more);
    size_t at = row->goal_count;

    if (!more)
        return fault_nomem(why);
    row->goals = more;
    while (at > 0 && more[at - 1].count < goal->count)
        at--;
    memmove(&more[at + 1], &more[at], (row->goal_count - at) * sizeof *more);
    more[at] = *goal;
    row->goal_count++;
    return ST_OK;
}

static enum status take_goals(struct tension_row *row, const struct cell *cell,
                              struct fault *why)
{
    enum status st = ST_OK;
    size_t room = 0;

    for (int degree = 0; degree < DEGREES; degree++)
        for (int name = 0; name < NAMES; name++)
            for (int to = 0; to < CHORD_CLASSES && st == ST_OK; to++) {
                struct tension_goal goal = {
                    .degree = cell->goals[degree][name][to].degree,
                    .class = to,
                    .count = cell->goals[degree][name][to].count
                };

                if (goal.count > 0)
                    st = add_goal(row, &room, &goal, why);
            }
    return st;
}

static enum status take_row(struct tension_table *out, size_t *room, int class,
                            const struct cell *cell, uint64_t notes,
                            struct fault *why)
{
    struct tension_row *more =
        grow_room(out->rows, out->row_count, room, sizeof *more);
    struct tension_row *row;

    if (!more)
        return fault_nomem(why);
    out->rows = more;
    row = &out->rows[out->row_count++];
    *row = (struct tension_row){ .class = class,
                                 .degree = cell->degree,
                                 .count = cell->count,
                                 .notes = notes,
                                 .resolved = cell->resolved };
    row->mean_duration =
        rational_div(cell->duration, rational_make((int64_t)cell->count, 1));
    return take_goals(row, cell, why);
}

static enum status take_rows(const struct counting *c, struct fault *why)
{
    enum status st = ST_OK;
    size_t room = 0;

    for (int class = 0; class < CHORD_CLASSES; class++)
        for (int degree = 0; degree < DEGREES; degree++)
            for (int name = 0; name < NAMES && st == ST_OK; name++) {
                const struct cell *cell = &c->cells[class][degree][name];

                if (cell->count > 0)
                    st = take_row(c->table, &room, class, cell, c->notes[class],
                                  why);
            }
    return st;
}

static struct counting *start(struct tension_table *out,
                              const struct tension_query *query)
{
    struct counting *c = calloc(1, sizeof *c);

    if (!c)
        return NULL;
    c->query = query;
    c->table = out;
    for (int class = 0; class < CHORD_CLASSES; class++)
        for (int degree = 0; degree < DEGREES; degree++)
            for (int name = 0; name < NAMES; name++)
                c->cells[class][degree][name].duration = rational_make(0, 1);
    return c;
}

enum status tension_table_run(struct tension_table *out, struct store *store,
                              const struct tension_query *query,
                              struct fault *why)
{
    struct solo_list list = { 0 };
    struct counting *c = start(out, query);
    enum status st;

    memset(out, 0, sizeof *out);
    if (!c)
        return fault_nomem(why);
    st = store_read_begin(store, why);
    if (st == ST_OK) {
        st = scan_solos(&list, store, &query->filter, look, c, why);
        store_read_end(store);
    }
    if (st == ST_OK)
        st = take_rows(c, why);
    solo_list_free(&list);
    free(c);
    if (st != ST_OK)
        tension_table_free(out);
    return st;
}

void tension_table_free(struct tension_table *table)
{
    for (size_t i = 0; i < table->row_count; i++)
        free(table->rows[i].goals);
    free(table->rows);
    memset(table, 0, sizeof *table);
}
