/* schema/store_check_layout.c - does every solo lie where it should? */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "schema/grow.h"
#include "schema/store_check_parts.h"

/* --- what there is ------------------------------------------------------ */

static enum status read_solos(struct checking *c)
{
    struct binder b = store_bind_asked(
        c->store, &c->asked, "SELECT id, segment, notes FROM solo ORDER BY id");
    enum status st = ST_OK, done;

    while (st == ST_OK && store_row(&b)) {
        struct checked_solo *more =
            grow_room(c->solos, c->solo_count, &c->solo_room, sizeof *more);

        if (!more) {
            st = fault_nomem(c->why);
            break;
        }
        c->solos = more;
        more[c->solo_count++] =
            (struct checked_solo){ .id = sqlite3_column_int64(b.stmt, 0),
                                   .segment = sqlite3_column_int64(b.stmt, 1),
                                   .notes = sqlite3_column_int64(b.stmt, 2) };
    }
    done = store_done(c->store, &b, c->why);
    return st == ST_OK ? done : st;
}

static enum status read_segments(struct checking *c)
{
    struct binder b = store_bind_asked(
        c->store, &c->asked, "SELECT id, notes FROM segment ORDER BY id");
    enum status st = ST_OK, done;

    while (st == ST_OK && store_row(&b)) {
        struct checked_segment *more =
            grow_room(c->segments, c->segment_count, &c->segment_room,
                      sizeof *more);

        if (!more) {
            st = fault_nomem(c->why);
            break;
        }
        c->segments = more;
        more[c->segment_count++] =
            (struct checked_segment){ sqlite3_column_int64(b.stmt, 0),
                                      sqlite3_column_int64(b.stmt, 1), false };
    }
    done = store_done(c->store, &b, c->why);
    return st == ST_OK ? done : st;
}

/* --- the lists of the segments ------------------------------------------ */

static enum status tell_segment(struct checking *c, int64_t segment,
                                const char *what)
{
    char text[160];

    snprintf(text, sizeof text, "segment %lld %s", (long long)segment, what);
    return check_tell(c, PART_LAYOUT, 0, text);
}

/* The solo AT as its segment lists it. */
static enum status check_stretch(struct checking *c, const struct stretch *at,
                                 bool *sound)
{
    struct checked_solo *solo = check_solo(c, at->id);

    *sound = solo && !solo->laid && solo->segment == at->segment &&
             solo->notes == at->count;
    if (*sound) {
        solo->laid = true;
        solo->start = at->start;
        return ST_OK;
    }
    if (!solo)
        return tell_segment(c, at->segment, "lists a solo that is not there");
    return check_tell(c, PART_LAYOUT, at->id,
                      solo->laid ? "its notes lie in two places"
                                 : "its notes lie elsewhere, or are of another "
                                   "number, than its row says");
}

static enum status check_segment(struct checking *c,
                                 struct checked_segment *segment,
                                 struct stretches *list)
{
    struct fault inner;
    uint64_t start = 0;
    enum status st = stretches_of(c->store, segment->id, list, &inner);

    if (st == ST_LIBRARY)
        return tell_segment(c, segment->id, "has a list that does not read");
    if (st != ST_OK) {
        if (c->why)
            *c->why = inner;
        return st;
    }
    segment->sound = true;
    for (size_t i = 0; i < list->count && st == ST_OK; i++) {
        bool sound;

        if (list->items[i].start != start)
            segment->sound = false;
        start += list->items[i].count;
        st = check_stretch(c, &list->items[i], &sound);
        segment->sound = segment->sound && sound;
    }
    /* No program lays more than that, and no more room is made for it. */
    if (segment->notes < 1 || segment->notes > INT32_MAX / GRAM_UNIT ||
        start != (uint64_t)segment->notes)
        segment->sound = false;
    if (st == ST_OK && !segment->sound)
        st = tell_segment(c, segment->id, "is not what its solos add up to");
    return st;
}

/* Every solo with notes lies somewhere, and no other does. */
static enum status check_homeless(struct checking *c)
{
    enum status st = ST_OK;

    for (size_t i = 0; i < c->solo_count && st == ST_OK; i++) {
        const struct checked_solo *solo = &c->solos[i];

        if (solo->notes != 0 && !solo->laid)
            st = check_tell(c, PART_LAYOUT, solo->id, "its notes lie nowhere");
        else if (solo->notes == 0 && solo->segment != 0)
            st = check_tell(c, PART_LAYOUT, solo->id,
                            "it has no notes, and yet a place for them");
    }
    return st;
}

enum status check_layout(struct checking *c)
{
    struct stretches list = { NULL, 0, 0 };
    enum status st = read_solos(c);

    if (st == ST_OK)
        st = read_segments(c);
    c->total += (int64_t)c->solo_count * 2;
    for (size_t i = 0; i < c->segment_count && st == ST_OK; i++)
        st = check_segment(c, &c->segments[i], &list);
    free(list.items);
    return st == ST_OK ? check_homeless(c) : st;
}
