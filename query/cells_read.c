/* query/cells_read.c - the notes of many solos as columns. */
#include <stdlib.h>
#include <string.h>

#include "query/cells_parts.h"
#include "query/match.h"
#include "query/window_chords.h"
#include "schema/grow.h"

struct reading {
    struct cells_columns *columns;
    const struct cells_query *query;
    struct cells_side_result *side;
    struct window_chords chords;
    bool place_asked;
};

/* --- room ----------------------------------------------------------------- */

/* ARRAY with room for COUNT items of SIZE bytes; false when memory is out. */
static bool widen(void *array, size_t count, size_t size)
{
    void **at = array, *more = realloc(*at, count * size);

    if (!more)
        return false;
    *at = more;
    return true;
}

/* Room for ADDED more notes: an eighth more than there are, so that little
 * stays unused. */
static enum status make_room(struct cells_columns *c, size_t added,
                             struct fault *why)
{
    size_t wanted = c->count + added;
    bool done;

    if (wanted <= c->room && c->solo_count < CELLS_SOLOS_MAX)
        return ST_OK;
    if (wanted > UINT32_MAX / 2 || c->solo_count >= CELLS_SOLOS_MAX)
        return fault_set(why, ST_INPUT,
                         "too many notes at once; ask for fewer solos");
    wanted += wanted / 8 + 1024;
    done = widen(&c->midi, wanted, sizeof *c->midi) &&
           widen(&c->solo, wanted, sizeof *c->solo);
    for (int k = 0; k < CELLS_LENGTHS && done; k++)
        done = widen(&c->window[k], wanted, sizeof *c->window[k]);
    if (!done)
        return fault_nomem(why);
    c->room = wanted;
    return ST_OK;
}

/* --- windows -------------------------------------------------------------- */

/* Do the chord EVENT under a window that ends with the note LAST, and the next
 * chord, fit what was asked? */
static bool fits(const struct reading *r, const struct solo *solo, size_t last,
                 const struct chord_event *event)
{
    const struct over *over = &r->query->over;

    return (over->count == 0 || match_chord_fits(&over->chords[0], event)) &&
           match_into(&r->query->into,
                      over->count > 0 ? &over->chords[0].chord : NULL, solo,
                      last);
}

/* The class and start of the window of NOTES notes from FIRST. */
static uint8_t window_byte(struct reading *r, const struct solo *solo,
                           size_t first, int notes)
{
    size_t last = first + (size_t)notes - 1;
    const struct chord *chord;
    int32_t index;

    if (r->place_asked && !place_fits(&r->query->place, solo, first, last))
        return CELLS_NO_WINDOW;
    index = window_chord(&r->chords, first, (size_t)notes);
    if (index == SOLO_NO_CHORD) {
        r->side->chordless++;
        return CELLS_NO_WINDOW;
    }
    if (!fits(r, solo, last, &solo->chords[index]))
        return CELLS_NO_WINDOW;
    r->side->windows[notes]++;
    chord = &solo->chords[index].chord;
    return (
        uint8_t)(chord->class * CELLS_STARTS +
                 pitch_modulo(solo->notes[first].midi - chord->root_pc, 12));
}

/* Are the intervals from the note FIRST those that were asked? */
static bool steps_fit(const struct cells_query *q, const struct solo *solo,
                      size_t first)
{
    const struct note *note = &solo->notes[first];

    for (int i = 0; i + 1 < q->steps_notes; i++)
        if (note[i + 1].midi - note[i].midi != q->steps[i])
            return false;
    return true;
}

static void read_windows(struct reading *r, const struct solo *solo, int notes)
{
    uint8_t *out =
        r->columns->window[notes - CELLS_NOTES_MIN] + r->columns->count;
    size_t count = solo->note_count, wide = (size_t)notes;
    bool asked = notes >= r->query->notes_min && notes <= r->query->notes_max;

    for (size_t i = 0; i < count; i++)
        out[i] = asked && i + wide <= count && steps_fit(r->query, solo, i)
                     ? window_byte(r, solo, i, notes)
                     : (uint8_t)CELLS_NO_WINDOW;
}

static enum status read_solo(void *context, size_t index,
                             const struct solo *solo, struct fault *why)
{
    struct reading *r = context;
    struct cells_columns *c = r->columns;
    uint32_t *more;
    enum status st = make_room(c, solo->note_count, why);

    (void)index;
    if (st == ST_OK)
        st = window_chords_start(&r->chords, solo, why);
    if (st != ST_OK)
        return st;
    more = grow_room(c->starts, c->solo_count + 1, &c->solo_room, sizeof *more);
    if (!more)
        return fault_nomem(why);
    c->starts = more;
    c->starts[c->solo_count] = (uint32_t)c->count;
    for (size_t i = 0; i < solo->note_count; i++) {
        c->midi[c->count + i] = solo->notes[i].midi;
        c->solo[c->count + i] = (uint32_t)c->solo_count;
    }
    for (int n = CELLS_NOTES_MIN; n <= CELLS_NOTES_MAX; n++)
        read_windows(r, solo, n);
    c->count += solo->note_count;
    c->starts[++c->solo_count] = (uint32_t)c->count;
    return ST_OK;
}

/* --- steps ---------------------------------------------------------------- */

static enum status make_steps(struct cells_columns *c, struct fault *why)
{
    uint8_t *room = calloc(c->count + 2 * CELLS_MARGIN, 1);
    size_t end;

    if (!room)
        return fault_nomem(why);
    c->step = room + CELLS_MARGIN;
    for (size_t s = 0, i = 0; s < c->solo_count; s++, i = end) {
        end = c->starts[s + 1];
        for (; i + 1 < end; i++)
            c->step[i] = (uint8_t)(c->midi[i + 1] - c->midi[i] +
                                   CELLS_STEP_ZERO);
    }
    return ST_OK;
}

/* --- sides ---------------------------------------------------------------- */

/* The solos of the library that are not among OWN, which is in path order as
 * well. */
struct others {
    const struct solo_list *own;
    size_t next; /* of OWN */
    struct solo_list *list;
};

static bool add_other(void *context, const struct solo_record *record)
{
    struct others *o = context;

    if (o->next < o->own->count && o->own->items[o->next].id == record->id) {
        o->next++;
        return true;
    }
    return solo_list_add(o->list, record);
}

static enum status list_others(struct cells_result *result, struct store *store,
                               struct fault *why)
{
    struct others others = { &result->sides[CELLS_OWN].solos, 0,
                             &result->sides[CELLS_VERSUS].solos };
    enum status st = store_solos(store, NULL, add_other, &others, why);

    return st == ST_OK && others.list->no_memory ? fault_nomem(why) : st;
}

/* In one solo nothing recurs from solo to solo. */
static void set_limit(struct cells_side_result *side,
                      const struct cells_query *query)
{
    side->min_solos = query->min_solos         ? query->min_solos
                      : side->solos.count == 1 ? 1
                                               : CELLS_MIN_SOLOS;
}

static enum status read_side(struct reading *r, struct cells_result *result,
                             struct store *store, enum cells_side side,
                             struct fault *why)
{
    const struct cells_query *q = r->query;
    struct solo_list *list = &result->sides[side].solos;
    enum status st;

    r->side = &result->sides[side];
    if (side == CELLS_VERSUS && q->versus_others) {
        st = list_others(result, store, why);
        return st == ST_OK ? scan_listed(list, store, read_solo, r, why) : st;
    }
    return scan_solos(list, store,
                      side == CELLS_VERSUS ? &q->versus : &q->filter, read_solo,
                      r, why);
}

enum status cells_read(struct cells_columns *columns,
                       struct cells_result *result, struct store *store,
                       const struct cells_query *query, struct fault *why)
{
    struct reading r = { .columns = columns,
                         .query = query,
                         .place_asked = place_is_asked(&query->place) };
    enum status st = make_room(columns, 1, why);

    for (int side = 0; side < CELLS_SIDES && st == ST_OK; side++) {
        if (side == CELLS_OWN || query->compare)
            st = read_side(&r, result, store, (enum cells_side)side, why);
        columns->side_end[side] = columns->count;
        set_limit(&result->sides[side], query);
    }
    window_chords_free(&r.chords);
    return st == ST_OK ? make_steps(columns, why) : st;
}

void cells_columns_free(struct cells_columns *columns)
{
    free(columns->midi);
    free(columns->solo);
    free(columns->starts);
    for (int k = 0; k < CELLS_LENGTHS; k++)
        free(columns->window[k]);
    if (columns->step)
        free(columns->step - CELLS_MARGIN);
    memset(columns, 0, sizeof *columns);
}
