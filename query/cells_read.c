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
    bool place_asked, strands_tell;
    size_t solo_room; /* of by_strands */
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
           widen(&c->place, wanted, sizeof *c->place) &&
           widen(&c->tones, wanted, sizeof *c->tones) &&
           widen(&c->mark, wanted, sizeof *c->mark) &&
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
    const struct chord_event *event;
    int32_t note;

    if (r->place_asked && !place_fits(&r->query->place, solo, first, last))
        return CELLS_NO_WINDOW;
    note = window_chord(&r->chords, first, (size_t)notes);
    if (note == WINDOW_NO_CHORD) {
        r->side->chordless++;
        return CELLS_NO_WINDOW;
    }
    event = &solo->chords[solo->notes[note].heard];
    if (!fits(r, solo, last, event))
        return CELLS_NO_WINDOW;
    r->side->windows[notes]++;
    return (uint8_t)(event->chord.class * CELLS_STARTS +
                     pitch_modulo(
                         solo->notes[first].midi - event->chord.root_pc, 12));
}

static void read_windows(struct reading *r, const struct solo *solo, int notes)
{
    const struct cells_columns *c = r->columns;
    uint8_t *out = c->window[notes - CELLS_NOTES_MIN] + c->count;
    size_t count = solo->note_count, wide = (size_t)notes;
    bool asked = notes >= r->query->notes_min && notes <= r->query->notes_max;

    for (size_t i = 0; i < count; i++)
        out[i] = asked && i + wide <= count &&
                         cells_steps_fit(r->query, c->midi + c->count + i)
                     ? window_byte(r, solo, i, notes)
                     : (uint8_t)CELLS_NO_WINDOW;
}

/* --- one solo ------------------------------------------------------------- */

/* Room for a solo of COUNT notes. */
static enum status begin_solo(struct reading *r, size_t count,
                              struct fault *why)
{
    struct cells_columns *c = r->columns;
    enum status st = make_room(c, count, why);
    uint32_t *starts;
    bool *by_strands;

    if (st != ST_OK)
        return st;
    starts =
        grow_room(c->starts, c->solo_count + 1, &c->solo_room, sizeof *starts);
    if (starts)
        c->starts = starts;
    by_strands = grow_room(c->by_strands, c->solo_count, &r->solo_room,
                           sizeof *by_strands);
    if (by_strands)
        c->by_strands = by_strands;
    return starts && by_strands ? ST_OK : fault_nomem(why);
}

/* The COUNT notes behind the last ones are those of a solo. */
static void end_solo(struct cells_columns *c, size_t count, bool by_strands)
{
    for (size_t i = 0; i < count; i++)
        c->solo[c->count + i] = (uint32_t)c->solo_count;
    c->by_strands[c->solo_count] = by_strands;
    c->starts[c->solo_count] = (uint32_t)c->count;
    c->count += count;
    c->starts[++c->solo_count] = (uint32_t)c->count;
}

static enum status read_loaded(void *context, size_t index,
                               const struct solo *solo, struct fault *why)
{
    struct reading *r = context;
    struct cells_columns *c = r->columns;
    enum status st = begin_solo(r, solo->note_count, why);

    (void)index;
    if (st == ST_OK)
        st = window_chords_start(&r->chords, solo, why);
    if (st != ST_OK)
        return st;
    for (size_t i = 0; i < solo->note_count; i++)
        c->midi[c->count + i] = solo->notes[i].midi;
    for (int n = CELLS_NOTES_MIN; n <= CELLS_NOTES_MAX; n++)
        read_windows(r, solo, n);
    end_solo(c, solo->note_count, false);
    return ST_OK;
}

/* Read the strands of the solo of RECORD; *TOLD: its windows can be made of
 * them. */
static enum status read_strands(struct reading *r, struct store *store,
                                const struct solo_record *record, bool *told,
                                struct fault *why)
{
    static const enum strand strands[] = { STRAND_MIDI, STRAND_PLACE,
                                           STRAND_TONES, STRAND_MARK };
    struct cells_columns *c = r->columns;
    size_t count = 0;
    enum status st = ST_OK;

    *told = r->strands_tell && !store_load_changes(store, record->id);
    for (int i = 0; i < 4 && *told && st == ST_OK; i++) {
        uint8_t **const columns[] = { &c->midi, &c->place, &c->tones,
                                      &c->mark };
        const uint8_t *bytes;

        st = store_strand(store, record->id, strands[i], &bytes, &count, why);
        *told = st == ST_OK && count > 0 && (int64_t)count == record->notes;
        if (*told && i == 0)
            st = begin_solo(r, count, why);
        if (*told && st == ST_OK)
            memcpy(*columns[i] + c->count, bytes, count);
    }
    if (*told && st == ST_OK) {
        const struct window_strands read = { c->midi + c->count,
                                             c->place + c->count,
                                             c->tones + c->count,
                                             c->mark + c->count };

        *told = window_strands_tell(&read, count);
    }
    if (*told && st == ST_OK)
        end_solo(c, count, true);
    return st;
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
            c->step[i] =
                (uint8_t)(c->midi[i + 1] - c->midi[i] + CELLS_STEP_ZERO);
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

/* The solos of SIDE in path order. */
static enum status list_solos(struct cells_result *result, struct store *store,
                              const struct cells_query *query,
                              enum cells_side side, struct fault *why)
{
    struct solo_list *list = &result->sides[side].solos;
    struct others others = { &result->sides[CELLS_OWN].solos, 0, list };
    enum status st;

    if (side == CELLS_VERSUS && query->versus_others)
        st = store_solos(store, NULL, add_other, &others, why);
    else
        st = store_solos(store,
                         side == CELLS_VERSUS ? &query->versus : &query->filter,
                         solo_list_add, list, why);
    return st == ST_OK && list->no_memory ? fault_nomem(why) : st;
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
    const struct solo_list *list = &result->sides[side].solos;
    size_t first = r->columns->solo_count;
    enum status st = list_solos(result, store, r->query, side, why);

    r->side = &result->sides[side];
    for (size_t i = 0; i < list->count && st == ST_OK; i++) {
        bool told;

        st = read_strands(r, store, &list->items[i], &told, why);
        if (st == ST_OK && !told)
            st = scan_solo(store, list->items[i].id, i, read_loaded, r, why);
    }
    return st == ST_OK
               ? cells_make_windows(r->columns, r->side, r->query, first, why)
               : st;
}

static void free_strands(struct cells_columns *columns)
{
    free(columns->place);
    free(columns->tones);
    free(columns->mark);
    free(columns->by_strands);
    columns->place = columns->tones = columns->mark = NULL;
    columns->by_strands = NULL;
}

enum status cells_read(struct cells_columns *columns,
                       struct cells_result *result, struct store *store,
                       const struct cells_query *query, struct fault *why)
{
    struct reading r = { .columns = columns,
                         .query = query,
                         .strands_tell = cells_strands_tell(query),
                         .place_asked = place_is_asked(&query->place) };
    enum status st = make_room(columns, 1, why);

    for (int side = 0; side < CELLS_SIDES && st == ST_OK; side++) {
        if (side == CELLS_OWN || query->compare)
            st = read_side(&r, result, store, (enum cells_side)side, why);
        columns->side_end[side] = columns->count;
        set_limit(&result->sides[side], query);
    }
    window_chords_free(&r.chords);
    free_strands(columns);
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
