/* schema/store_lay.c - solos are laid into segments: their strands, and their
 * row of the full-text index.
 *
 * A segment is written once, whole.  What is put in a transaction is gathered
 * until it fills one, or until the commit.  A solo that is removed takes its
 * segment with it, and those that lay beside it are laid anew at the commit.
 */
#include <stdlib.h>
#include <string.h>

#include "schema/grow.h"
#include "schema/store_internal.h"

enum {
    SMALL_SEGMENTS = 8 /* of less than half the size, before they are joined */
};

_Static_assert(STRETCH_END_MAX < INT32_MAX / GRAM_UNIT,
               "the text of a segment has a size in an int");

/* --- what is being laid --------------------------------------------------- */

static enum status next_segment(struct store *store, int64_t *id,
                                struct fault *why)
{
    struct binder b = store_bind(store, SQL_SEGMENT_LAST);
    int64_t last = store_row(&b) ? sqlite3_column_int64(b.stmt, 0) : 0;
    enum status st = store_done(store, &b, why);

    if (st == ST_OK && (last < 0 || last >= SEGMENT_ID_MAX))
        return strands_differ(store, why);
    *id = last + 1;
    return st;
}

/* Make room for COUNT more notes. */
static bool make_room(struct laying *l, size_t count)
{
    size_t room = l->count + count;
    char *text;

    if (room <= l->room)
        return true;
    for (int i = 0; i < STRANDS; i++) {
        uint8_t *more = realloc(l->strands[i], room);

        if (!more)
            return false;
        l->strands[i] = more;
    }
    text = realloc(l->text, room * GRAM_UNIT);
    if (!text)
        return false;
    l->text = text;
    l->room = room;
    return true;
}

static enum status write_list(struct store *store, const struct laying *l,
                              struct fault *why)
{
    uint8_t *solos = stretches_write(&l->solos);
    struct binder b = store_bind(store, SQL_SEGMENT_PUT);
    enum status st;

    bind_int(&b, l->id);
    bind_int(&b, (int64_t)l->count);
    bind_bytes(&b, solos, l->solos.count * STRETCH_SIZE);
    st = solos ? store_run(store, &b, why) : fault_nomem(why);
    free(solos);
    return st;
}

static enum status write_segment(struct store *store, const struct laying *l,
                                 struct fault *why)
{
    struct binder b;
    enum status st = write_list(store, l, why);

    if (st == ST_OK)
        st = strands_put(store, l->id, l->strands, l->count, why);
    if (st == ST_OK)
        st = salients_put(store, l->id, &l->salients, why);
    if (st != ST_OK)
        return st;
    b = store_bind(store, SQL_GRAM_PUT);
    bind_int(&b, l->id);
    bind_letters(&b, l->text, l->count * GRAM_UNIT);
    return store_run(store, &b, why);
}

/* Write the segment that was gathered, if there is one. */
static enum status finish(struct store *store, struct fault *why)
{
    struct laying *l = &store->laying;
    enum status st = l->count > 0 ? write_segment(store, l, why) : ST_OK;

    l->id = 0;
    l->count = l->salients.count = l->solos.count = 0;
    return st;
}

/* Have a segment into which COUNT more notes go. */
static enum status start(struct store *store, size_t count, struct fault *why)
{
    struct laying *l = &store->laying;
    struct stretch *more;
    enum status st = ST_OK;

    if (l->count > 0 && l->count + count > store->segment_notes)
        st = finish(store, why);
    if (st == ST_OK && l->id == 0)
        st = next_segment(store, &l->id, why);
    if (st != ST_OK)
        return st;
    more = grow_room(l->solos.items, l->solos.count, &l->solos.room,
                     sizeof *more);
    if (more)
        l->solos.items = more;
    return more && make_room(l, count) ? ST_OK : fault_nomem(why);
}

enum status segments_put(struct store *store, int64_t id,
                         const struct solo *solo,
                         const struct prepared_notes *notes, int64_t *segment,
                         struct fault *why)
{
    struct laying *l = &store->laying;
    struct placing to;
    enum status st;

    *segment = 0;
    if (solo->note_count == 0)
        return ST_OK;
    if (solo->note_count > STRETCH_END_MAX)
        return fault_set(why, ST_INTERNAL, "a solo of too many notes");
    st = start(store, solo->note_count, why);
    if (st != ST_OK)
        return st;
    to = (struct placing){ .letters = l->text + l->count * GRAM_UNIT,
                           .salients = &l->salients,
                           .start = (uint32_t)l->count };
    for (int i = 0; i < STRANDS; i++)
        to.strands[i] = l->strands[i] + l->count;
    st = prepared_place(store, &to, solo, notes, why);
    if (st != ST_OK)
        return st;
    l->solos.items[l->solos.count++] = (struct stretch){
        .id = id,
        .segment = l->id,
        .start = (uint32_t)l->count,
        .count = (uint32_t)solo->note_count,
    };
    l->count += solo->note_count;
    *segment = l->id;
    return ST_OK;
}

/* Take the COUNT notes from FROM out of SALIENTS. */
static void take_salients(struct salients *salients, size_t from, size_t count)
{
    size_t kept = 0;

    for (size_t i = 0; i < salients->count; i++) {
        struct salient place = salients->items[i];

        if (place.first >= from && place.first < from + count)
            continue;
        if (place.first >= from)
            place.first -= (uint32_t)count;
        salients->items[kept++] = place;
    }
    salients->count = kept;
}

/* Take the solo AT out of what is being laid. */
static void take_back(struct laying *l, size_t at)
{
    struct stretch *solos = l->solos.items;
    size_t from = solos[at].start, count = solos[at].count;
    size_t behind = l->count - from - count;

    for (int i = 0; i < STRANDS; i++)
        memmove(l->strands[i] + from, l->strands[i] + from + count, behind);
    memmove(l->text + from * GRAM_UNIT, l->text + (from + count) * GRAM_UNIT,
            behind * GRAM_UNIT);
    take_salients(&l->salients, from, count);
    l->count -= count;
    l->solos.count--;
    memmove(solos + at, solos + at + 1,
            (l->solos.count - at) * sizeof *solos);
    for (size_t i = at; i < l->solos.count; i++)
        solos[i].start -= (uint32_t)count;
}

/* --- solos without a place ------------------------------------------------ */

static enum status set_segment(struct store *store, int64_t id,
                               int64_t segment, struct fault *why)
{
    struct binder b = store_bind(store, SQL_SOLO_MOVE);

    bind_int(&b, id);
    bind_int(&b, segment);
    return store_run(store, &b, why);
}

/* Remember to lay the solo ID anew. */
static enum status displace(struct store *store, int64_t id,
                            struct fault *why)
{
    struct displaced *d = &store->displaced;
    int64_t *more = grow_room(d->ids, d->count, &d->room, sizeof *more);

    if (!more)
        return fault_nomem(why);
    d->ids = more;
    d->ids[d->count++] = id;
    return set_segment(store, id, 0, why);
}

/* Put the letters of a whole segment at OUT, as they were when it was laid. */
static enum status read_letters(struct store *store, char *out,
                                const struct stretches *solos,
                                struct fault *why)
{
    enum status st = ST_OK;

    for (size_t i = 0; i < solos->count && st == ST_OK; i++) {
        const struct stretch *at = &solos->items[i];
        struct solo *solo;

        st = store_load(store, at->id, &solo, why);
        if (st == ST_NOTHING || (st == ST_OK && solo->note_count != at->count))
            st = strands_differ(store, why);
        if (st == ST_OK)
            gram_text(out + (size_t)at->start * GRAM_UNIT, solo);
        solo_free(solo);
    }
    return st;
}

static enum status forget_letters(struct store *store, int64_t segment,
                                  const struct stretches *solos,
                                  struct fault *why)
{
    const struct stretch *last = &solos->items[solos->count - 1];
    size_t size = ((size_t)last->start + last->count) * GRAM_UNIT;
    char *text = malloc(size + 1);
    enum status st =
        text ? read_letters(store, text, solos, why) : fault_nomem(why);

    if (st == ST_OK) {
        struct binder b = store_bind(store, SQL_GRAM_REMOVE);

        bind_int(&b, segment);
        bind_letters(&b, text, size);
        st = store_run(store, &b, why);
    }
    free(text);
    return st;
}

/* The solos of SEGMENT, which lie one behind the other. */
static enum status read_segment(struct store *store, int64_t segment,
                                struct stretches *out, struct fault *why)
{
    uint64_t start = 0;
    enum status st = stretches_of(store, segment, out, why);

    for (size_t i = 0; i < out->count && st == ST_OK; i++) {
        if (out->items[i].start != start)
            st = strands_differ(store, why);
        start += out->items[i].count;
    }
    if (st == ST_OK && (start == 0 || start > STRETCH_END_MAX))
        st = strands_differ(store, why);
    return st;
}

/* Take SEGMENT apart: all its solos but BUT are laid anew. */
static enum status dissolve(struct store *store, int64_t segment, int64_t but,
                            struct fault *why)
{
    struct stretches solos = { NULL, 0, 0 };
    struct binder b;
    enum status st = read_segment(store, segment, &solos, why);

    if (st == ST_OK)
        st = forget_letters(store, segment, &solos, why);
    for (size_t i = 0; i < solos.count && st == ST_OK; i++)
        if (solos.items[i].id != but)
            st = displace(store, solos.items[i].id, why);
    free(solos.items);
    if (st == ST_OK)
        st = strands_remove(store, segment, why);
    if (st == ST_OK)
        st = salients_remove(store, segment, why);
    if (st != ST_OK)
        return st;
    b = store_bind(store, SQL_SEGMENT_REMOVE);
    bind_int(&b, segment);
    return store_run(store, &b, why);
}

static enum status segment_of(struct store *store, int64_t id,
                              int64_t *segment, struct fault *why)
{
    struct binder b = store_bind(store, SQL_SOLO_SEGMENT);

    bind_int(&b, id);
    *segment = store_row(&b) ? sqlite3_column_int64(b.stmt, 0) : 0;
    return store_done(store, &b, why);
}

enum status segments_leave(struct store *store, int64_t id,
                           struct fault *why)
{
    struct laying *l = &store->laying;
    struct displaced *d = &store->displaced;
    int64_t segment;
    enum status st = segment_of(store, id, &segment, why);

    if (st != ST_OK)
        return st;
    if (segment != 0 && segment != l->id)
        return dissolve(store, segment, id, why);
    for (size_t i = 0; segment != 0 && i < l->solos.count; i++)
        if (l->solos.items[i].id == id)
            take_back(l, i);
    for (size_t i = 0; i < d->count; i++)
        if (d->ids[i] == id)
            d->ids[i--] = d->ids[--d->count];
    return ST_OK;
}

/* --- at the commit -------------------------------------------------------- */

/* Take small segments apart once there are many of them. */
static enum status join_small(struct store *store, struct fault *why)
{
    int64_t small[SMALL_SEGMENTS + 1];
    int count = 0;
    struct binder b = store_bind(store, SQL_SEGMENTS_SMALL);
    enum status st;

    bind_int(&b, store->segment_notes / 2);
    while (count <= SMALL_SEGMENTS && store_row(&b))
        small[count++] = sqlite3_column_int64(b.stmt, 0);
    st = store_done(store, &b, why);
    if (count <= SMALL_SEGMENTS)
        return st;
    for (int i = 0; i < count && st == ST_OK; i++)
        st = dissolve(store, small[i], 0, why);
    return st;
}

static int by_id(const void *a, const void *b)
{
    int64_t x = *(const int64_t *)a, y = *(const int64_t *)b;

    return (x > y) - (x < y);
}

static enum status lay_displaced(struct store *store, struct fault *why)
{
    struct displaced *d = &store->displaced;
    enum status st = ST_OK;

    if (d->count > 0)
        qsort(d->ids, d->count, sizeof *d->ids, by_id);
    for (size_t i = 0; i < d->count && st == ST_OK; i++) {
        struct solo *solo;
        int64_t segment = 0;

        st = store_load(store, d->ids[i], &solo, why);
        if (st == ST_NOTHING)
            return strands_differ(store, why);
        if (st == ST_OK)
            st = segments_put(store, d->ids[i], solo, NULL, &segment, why);
        solo_free(solo);
        if (st == ST_OK)
            st = set_segment(store, d->ids[i], segment, why);
    }
    d->count = 0;
    return st;
}

enum status segments_settle(struct store *store, struct fault *why)
{
    enum status st = join_small(store, why);

    if (st == ST_OK)
        st = lay_displaced(store, why);
    return st == ST_OK ? finish(store, why) : st;
}

void segments_forget(struct store *store)
{
    for (int i = 0; i < STRANDS; i++)
        free(store->laying.strands[i]);
    free(store->laying.text);
    free(store->laying.salients.items);
    free(store->laying.solos.items);
    memset(&store->laying, 0, sizeof store->laying);
    free(store->displaced.ids);
    memset(&store->displaced, 0, sizeof store->displaced);
}
