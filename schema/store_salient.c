/* schema/store_salient.c - the salient places of the segments, and reading
 * them.
 *
 * A row holds those of one list and one segment, by their first notes: for each
 * how many notes behind the one before (a varint: seven bits a byte, the lowest
 * first, the highest bit set where more follow), how far it is above the floor
 * (two bytes, the lower first), its chord, and the tones of that.
 */
#include <stdlib.h>
#include <string.h>

#include "schema/grow.h"
#include "schema/store_internal.h"

enum {
    PLACE_REST = 2 + 1 + 1, /* bytes behind the varint */
    PLACE_SIZE_LEAST = 1 + PLACE_REST,
    PLACE_SIZE_MAX = 5 + PLACE_REST
};

/* One list of all segments lies together. */
static int64_t row_id(int list, int64_t segment)
{
    return ((int64_t)list << SALIENT_SEGMENT_BITS) + segment;
}

/* --- writing -------------------------------------------------------------- */

static uint8_t *write_place(uint8_t *at, const struct salient *place,
                            uint32_t before)
{
    uint32_t behind = place->first - before;

    for (; behind >= 128; behind >>= 7)
        *at++ = (uint8_t)(behind | 128);
    *at++ = (uint8_t)behind;
    *at++ = (uint8_t)place->above;
    *at++ = (uint8_t)(place->above >> 8);
    *at++ = place->chord;
    *at++ = place->tones;
    return at;
}

/* The places of SALIENTS by their list, in the order in which they came; those
 * of LIST end before ENDS[LIST].  NULL when memory is out. */
static struct salient *sort_out(const struct salients *salients,
                                size_t ends[SALIENCE_LISTS])
{
    struct salient *out = malloc((salients->count + 1) * sizeof *out);
    size_t starts[SALIENCE_LISTS + 1] = { 0 };

    if (!out)
        return NULL;
    for (size_t i = 0; i < salients->count; i++)
        starts[salients->items[i].list + 1]++;
    for (int list = 0; list < SALIENCE_LISTS; list++)
        starts[list + 1] += starts[list];
    memcpy(ends, starts, SALIENCE_LISTS * sizeof *ends);
    for (size_t i = 0; i < salients->count; i++)
        out[ends[salients->items[i].list]++] = salients->items[i];
    return out;
}

static enum status put_list(struct store *store, int64_t segment, int list,
                            const struct salient *places, size_t count,
                            uint8_t *row, struct fault *why)
{
    struct binder b = store_bind(store, SQL_SALIENT_PUT);
    uint8_t *end = row;
    uint32_t before = 0;

    for (size_t i = 0; i < count; i++) {
        end = write_place(end, &places[i], before);
        before = places[i].first;
    }
    bind_int(&b, row_id(list, segment));
    bind_bytes(&b, row, (size_t)(end - row));
    return store_run(store, &b, why);
}

enum status salients_put(struct store *store, int64_t segment,
                         const struct salients *salients, struct fault *why)
{
    size_t ends[SALIENCE_LISTS], at = 0;
    struct salient *places = sort_out(salients, ends);
    uint8_t *row = malloc(salients->count * PLACE_SIZE_MAX + 1);
    enum status st = places && row ? ST_OK : fault_nomem(why);

    for (int list = 0; list < SALIENCE_LISTS && st == ST_OK; list++) {
        if (ends[list] > at)
            st = put_list(store, segment, list, places + at, ends[list] - at,
                          row, why);
        at = ends[list];
    }
    free(places);
    free(row);
    return st;
}

enum status salients_remove(struct store *store, int64_t segment,
                            struct fault *why)
{
    enum status st = ST_OK;

    for (int list = 0; list < SALIENCE_LISTS && st == ST_OK; list++) {
        struct binder b = store_bind(store, SQL_SALIENT_REMOVE);

        bind_int(&b, row_id(list, segment));
        st = store_run(store, &b, why);
    }
    return st;
}

/* --- reading -------------------------------------------------------------- */

/* The places of LIST in a row, for which there is room; false where it makes no
 * sense. */
static bool read_row(struct salients *out, const uint8_t *from, size_t size,
                     int list)
{
    const uint8_t *end = from + size;
    struct salient *place = out->items;
    uint64_t first = 0;

    while (end - from >= PLACE_SIZE_LEAST) {
        uint64_t behind = *from & 127;

        for (int shift = 7;
             *from & 128 && shift < 35 && end - from > PLACE_SIZE_LEAST;
             shift += 7)
            behind |= (uint64_t)(*++from & 127) << shift;
        first += behind;
        if (*from & 128 || first >= STRETCH_END_MAX)
            return false;
        *place++ =
            (struct salient){ .first = (uint32_t)first,
                              .list = (uint16_t)list,
                              .above = (uint16_t)(from[1] | from[2] << 8),
                              .chord = from[3],
                              .tones = from[4] };
        from += PLACE_SIZE_LEAST;
    }
    out->count = (size_t)(place - out->items);
    return from == end;
}

enum status store_salient(struct store *store, int list,
                          store_salient_each each, void *context,
                          struct fault *why)
{
    struct binder b = store_bind(store, SQL_SALIENTS);
    struct salients places = { 0 };
    bool more = true, sense = true, room = true;
    enum status st;

    bind_int(&b, row_id(list, 1));
    bind_int(&b, row_id(list, SEGMENT_ID_MAX));
    while (more && sense && room && store_row(&b)) {
        int64_t segment = sqlite3_column_int64(b.stmt, 0) - row_id(list, 0);
        const uint8_t *bytes = sqlite3_column_blob(b.stmt, 1);
        size_t size = (size_t)sqlite3_column_bytes(b.stmt, 1);

        struct salient *items =
            grow_to(places.items, size / PLACE_SIZE_LEAST, &places.room,
                    sizeof *items);

        room = items != NULL;
        places.items = room ? items : places.items;
        sense = room && bytes && read_row(&places, bytes, size, list);
        if (sense)
            more = each(context, segment, places.items, places.count);
    }
    free(places.items);
    st = store_done(store, &b, why);
    if (st == ST_OK && !room)
        return fault_nomem(why);
    return st == ST_OK && !sense ? strands_differ(store, why) : st;
}
