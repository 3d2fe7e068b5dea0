/* schema/store_strand.c - where the strands of a solo lie, and reading them. */
#include <stdlib.h>
#include <string.h>

#include "schema/grow.h"
#include "schema/store_internal.h"

/* Rows of a segment by id: those of each strand that is read alone, part by
 * part, then the sheaves. */
enum {
    AHEAD = 8 /* parts */
};

static int64_t row_id(int64_t segment, int group, size_t part)
{
    return (segment * STRAND_GROUPS + group) * SEGMENT_PARTS + (int64_t)part;
}

static int group_of(enum strand strand)
{
    if ((int)strand < STRANDS_FIRST)
        return (int)strand;
    return (int)strand < STRANDS_TOGETHER
               ? SHEAF
               : SHEAF + 1 + (int)strand - STRANDS_TOGETHER;
}

/* The strands in a row of GROUP: from this one on, so many. */
static int first_of(int group)
{
    if (group == SHEAF)
        return 0;
    return group < SHEAF ? group : group - SHEAF - 1 + STRANDS_TOGETHER;
}

static int planes_of(int group)
{
    return group == SHEAF ? STRANDS_TOGETHER : 1;
}

/* Notes in a row of GROUP; of all groups a row has as many bytes. */
static size_t notes_of(const struct store *store, int group)
{
    return store->part_notes / (size_t)planes_of(group);
}

enum status strands_differ(struct store *store, struct fault *why)
{
    return store_damaged(store, "its strands do not read", why);
}

/* --- lists of solos ------------------------------------------------------ */

/* Compilers make one load of it. */
static void write_number(uint8_t *at, uint64_t value, int bytes)
{
    for (int i = 0; i < bytes; i++)
        at[i] = (uint8_t)(value >> (8 * i));
}

uint8_t *stretches_write(const struct stretches *solos)
{
    uint8_t *bytes = malloc(solos->count * STRETCH_SIZE + 1);

    for (size_t i = 0; bytes && i < solos->count; i++) {
        uint8_t *at = bytes + i * STRETCH_SIZE;

        write_number(at, (uint64_t)solos->items[i].id, 8);
        write_number(at + 8, solos->items[i].start, 4);
        write_number(at + 12, solos->items[i].count, 4);
    }
    return bytes;
}

bool stretch_read(struct stretch *out, const uint8_t *list, size_t index,
                  int64_t segment)
{
    const uint8_t *at = list + index * STRETCH_SIZE;

    *out = (struct stretch){
        .id = (int64_t)((uint64_t)read_four(at + 4) << 32 | read_four(at)),
        .segment = segment,
        .start = stretch_start(list, index),
        .count = read_four(at + 12),
    };
    /* Room is made for what is claimed here. */
    return (uint64_t)out->start + out->count <= STRETCH_END_MAX;
}

bool stretches_make_sense(size_t size, int64_t segment)
{
    return size % STRETCH_SIZE == 0 && segment >= 1 &&
           segment <= SEGMENT_ID_MAX;
}

/* Append what the blob COLUMN of STMT lists for SEGMENT. */
static enum status read_stretches(struct store *store, sqlite3_stmt *stmt,
                                  int column, int64_t segment,
                                  struct stretches *out, struct fault *why)
{
    const uint8_t *bytes = sqlite3_column_blob(stmt, column);
    size_t size = (size_t)sqlite3_column_bytes(stmt, column);

    if (!stretches_make_sense(size, segment))
        return strands_differ(store, why);
    for (size_t i = 0; i < size / STRETCH_SIZE; i++) {
        struct stretch *more =
            grow_room(out->items, out->count, &out->room, sizeof *more);

        if (!more)
            return fault_nomem(why);
        out->items = more;
        if (!stretch_read(&more[out->count], bytes, i, segment))
            return strands_differ(store, why);
        out->count++;
    }
    return ST_OK;
}

enum status stretches_of(struct store *store, int64_t segment,
                         struct stretches *out, struct fault *why)
{
    struct binder b = store_bind(store, SQL_SEGMENT_GET);
    enum status st = ST_OK, done;

    out->count = 0;
    bind_int(&b, segment);
    if (store_row(&b))
        st = read_stretches(store, b.stmt, 0, segment, out, why);
    done = store_done(store, &b, why);
    return st == ST_OK ? done : st;
}

/* --- reading -------------------------------------------------------------- */

static int by_id(const void *a, const void *b)
{
    const struct stretch *x = a, *y = b;

    return (x->id > y->id) - (x->id < y->id);
}

static enum status read_directory(struct store *store, struct fault *why)
{
    struct stretches *all = &store->strands.all;
    struct binder b = store_bind(store, SQL_SEGMENTS);
    enum status st = ST_OK, done;
    bool sorted = true;

    while (st == ST_OK && store_row(&b))
        st = read_stretches(store, b.stmt, 1,
                            sqlite3_column_int64(b.stmt, 0), all, why);
    done = store_done(store, &b, why);
    if (st == ST_OK)
        st = done;
    for (size_t i = 1; i < all->count && sorted; i++)
        sorted = all->items[i - 1].id < all->items[i].id;
    if (!sorted)
        qsort(all->items, all->count, sizeof *all->items, by_id);
    store->strands.known = st == ST_OK;
    return st;
}

void store_forget_strands(struct store *store)
{
    free(store->strands.all.items);
    for (int i = 0; i < SEGMENTS_HELD * STRAND_GROUPS; i++) {
        struct held_parts *parts = &store->strands.held[i / STRAND_GROUPS]
                                        .groups[i % STRAND_GROUPS];

        for (int plane = 0; plane < STRANDS; plane++)
            free(parts->bytes[plane]);
        free(parts->sizes);
    }
    sqlite3_blob_close(store->strands.handle);
    free(store->strands.sheaf.bytes);
    free(store->strands.seam);
    free(store->strands.list.bytes);
    memset(&store->strands, 0, sizeof store->strands);
    codes_forget(store);
}

/* Where SOLO's segment is held: in the room of another one. */
static struct store_segment *hold(struct store *store,
                                  const struct stretch *solo)
{
    struct store_segment *held =
        &store->strands.held[(uint64_t)solo->segment % SEGMENTS_HELD];

    if (held->id == solo->segment)
        return held;
    held->id = solo->segment;
    for (int group = 0; group < STRAND_GROUPS; group++) {
        struct held_parts *parts = &held->groups[group];

        parts->next = 0;
        if (parts->room > 0)
            memset(parts->sizes, 0, parts->room * sizeof *parts->sizes);
    }
    return held;
}

/* Make room for COUNT parts of GROUP. */
static bool make_room(const struct store *store, struct held_parts *parts,
                      int group, size_t count)
{
    size_t notes = notes_of(store, group);
    uint16_t *sizes;

    if (count <= parts->room)
        return true;
    if (count < store->segment_notes / notes + 1)
        count = store->segment_notes / notes + 1;
    for (int plane = 0; plane < planes_of(group); plane++) {
        uint8_t *more = realloc(parts->bytes[plane], count * notes);

        if (!more)
            return false;
        parts->bytes[plane] = more;
    }
    sizes = realloc(parts->sizes, count * sizeof *sizes);
    if (!sizes)
        return false;
    memset(sizes + parts->room, 0, (count - parts->room) * sizeof *sizes);
    parts->sizes = sizes;
    parts->room = count;
    return true;
}

/* Take a row of GROUP, the PART'th.  False where it makes no sense. */
static bool take_part(const struct store *store, struct held_parts *parts,
                      int group, size_t part, sqlite3_stmt *stmt)
{
    const uint8_t *bytes = sqlite3_column_blob(stmt, 1);
    size_t size = (size_t)sqlite3_column_bytes(stmt, 1);
    size_t planes = (size_t)planes_of(group), notes = size / planes;

    if (part >= parts->room || notes == 0 || size % planes != 0 ||
        notes > notes_of(store, group))
        return false;
    for (size_t plane = 0; plane < planes; plane++)
        memcpy(parts->bytes[plane] + part * notes_of(store, group),
               bytes + plane * notes, notes);
    parts->sizes[part] = (uint16_t)(notes + 1);
    return true;
}

/* Read the parts FROM..TO of GROUP. */
static enum status read_parts(struct store *store, struct store_segment *held,
                              int group, size_t from, size_t to,
                              struct fault *why)
{
    struct held_parts *parts = &held->groups[group];
    int64_t first = row_id(held->id, group, 0);
    struct binder b = store_bind(store, SQL_STRAND_GET);
    bool sense = true;
    enum status st;

    bind_int(&b, first + (int64_t)from);
    bind_int(&b, first + (int64_t)to);
    while (sense && store_row(&b))
        sense = take_part(store, parts, group,
                          (size_t)(sqlite3_column_int64(b.stmt, 0) - first),
                          b.stmt);
    st = store_done(store, &b, why);
    return st == ST_OK && !sense ? strands_differ(store, why) : st;
}

/* The first part that was not read of those with the notes FROM..TO - 1 of a
 * segment; one behind them where all were. */
static size_t first_missing(const struct held_parts *parts, size_t notes,
                            size_t from, size_t to)
{
    size_t part = from / notes;

    for (; part * notes < to; part++) {
        size_t needed = to - part * notes < notes ? to - part * notes : notes;

        if (part >= parts->room || parts->sizes[part] <= needed)
            break;
    }
    return part;
}

/* The last part to read where FROM..TO are asked for.  A row more in one go
 * costs a sixth of one by itself; whoever asks three times for what comes next
 * will go on to. */
static size_t read_ahead(struct held_parts *parts, size_t from, size_t to)
{
    parts->run = from == parts->next ? parts->run + 1 : 0;
    if (parts->run > 1)
        to = to + AHEAD < parts->room ? to + AHEAD : parts->room - 1;
    parts->next = to + 1;
    return to;
}

/* Have the notes of SOLO in GROUP. */
static enum status have(struct store *store, const struct stretch *solo,
                        int group, struct held_parts **out, struct fault *why)
{
    struct store_segment *held = hold(store, solo);
    struct held_parts *parts = &held->groups[group];
    size_t notes = notes_of(store, group);
    size_t end = (size_t)solo->start + solo->count;
    size_t last = (end - 1) / notes, from;
    enum status st;

    *out = parts;
    if (solo->count == 0)
        return strands_differ(store, why);
    from = first_missing(parts, notes, solo->start, end);
    if (from > last)
        return ST_OK;
    if (!make_room(store, parts, group, last + 1))
        return fault_nomem(why);
    st = read_parts(store, held, group, from, read_ahead(parts, from, last),
                    why);
    if (st == ST_OK && first_missing(parts, notes, solo->start, end) <= last)
        st = strands_differ(store, why);
    return st;
}

enum status store_strand_at(struct store *store, const struct stretch *solo,
                            enum strand strand, const uint8_t **bytes,
                            struct fault *why)
{
    int group = group_of(strand);
    struct held_parts *parts;
    enum status st;

    *bytes = NULL;
    if (!store->reading)
        return fault_set(why, ST_INTERNAL, "strands outside a question");
    st = have(store, solo, group, &parts, why);
    if (st == ST_OK)
        *bytes = parts->bytes[group == SHEAF ? strand : 0] + solo->start;
    return st;
}

/* --- one place ------------------------------------------------------------ */

/* Point the handle of sheaves at the row ID. */
static int point_at(struct store *store, int64_t id)
{
    struct store_strands *s = &store->strands;
    int rc;

    if (s->handle)
        return sqlite3_blob_reopen(s->handle, id);
    rc = sqlite3_blob_open(store->db, "main", "strand", "bytes", id, 0,
                           &s->handle);
    if (rc != SQLITE_OK)
        s->handle = NULL;
    return rc;
}

/* Take the row of sheaf ID: many are read, one by one, and so they cost half of
 * what a statement takes. */
static int take_sheaf(struct store *store, int64_t id, bool *sense)
{
    struct store_strands *s = &store->strands;
    int rc = point_at(store, id), size = 0;

    if (rc == SQLITE_OK)
        size = sqlite3_blob_bytes(s->handle);
    *sense = size > 0 && (uint32_t)size <= store->part_notes &&
             size % STRANDS_TOGETHER == 0;
    if (rc == SQLITE_OK && *sense)
        rc = sqlite3_blob_read(s->handle, s->sheaf.bytes, size, 0);
    /* There is no such row, or what is in it is no blob. */
    if (rc == SQLITE_ERROR)
        return SQLITE_OK;
    s->sheaf.notes = (size_t)size / STRANDS_TOGETHER;
    s->sheaf.id = rc == SQLITE_OK && *sense ? id : 0;
    return rc;
}

/* Have the sheaf PART of SEGMENT. */
static enum status have_sheaf(struct store *store, int64_t segment, size_t part,
                              struct fault *why)
{
    struct store_strands *s = &store->strands;
    int64_t id = row_id(segment, SHEAF, part);
    bool sense;
    int rc;

    if (s->sheaf.id == id)
        return ST_OK;
    if (!s->sheaf.bytes)
        s->sheaf.bytes = malloc(store->part_notes);
    if (!s->sheaf.bytes)
        return fault_nomem(why);
    s->sheaf.id = 0;
    rc = take_sheaf(store, id, &sense);
    if (rc != SQLITE_OK)
        return store_fault(store, rc, why);
    return sense ? ST_OK : strands_differ(store, why);
}

/* Put the notes of PIECE together from the sheaves it lies in. */
static enum status join_sheaves(struct store *store,
                                const struct stretch *piece,
                                const uint8_t *bytes[STRANDS],
                                struct fault *why)
{
    struct store_strands *s = &store->strands;
    size_t whole = notes_of(store, SHEAF), count;

    if (piece->count > s->seam_room) {
        uint8_t *more = realloc(s->seam, STRANDS_TOGETHER * piece->count);

        if (!more)
            return fault_nomem(why);
        s->seam = more;
        s->seam_room = piece->count;
    }
    for (size_t done = 0; done < piece->count; done += count) {
        size_t at = piece->start + done, from = at % whole;
        enum status st = have_sheaf(store, piece->segment, at / whole, why);

        if (st == ST_OK && s->sheaf.notes <= from)
            st = strands_differ(store, why);
        if (st != ST_OK)
            return st;
        count = s->sheaf.notes - from;
        if (count > piece->count - done)
            count = piece->count - done;
        for (int i = 0; i < STRANDS_TOGETHER; i++)
            memcpy(s->seam + (size_t)i * piece->count + done,
                   s->sheaf.bytes + (size_t)i * s->sheaf.notes + from, count);
    }
    for (int i = 0; i < STRANDS_TOGETHER; i++)
        bytes[i] = s->seam + (size_t)i * piece->count;
    return ST_OK;
}

enum status store_strands_at(struct store *store, const struct stretch *piece,
                             const uint8_t *bytes[STRANDS], struct fault *why)
{
    struct store_strands *s = &store->strands;
    size_t whole = notes_of(store, SHEAF), from = piece->start % whole;
    enum status st;

    memset(bytes, 0, STRANDS * sizeof *bytes);
    if (!store->reading)
        return fault_set(why, ST_INTERNAL, "strands outside a question");
    if (piece->count == 0)
        return strands_differ(store, why);
    if (from + piece->count > whole)
        return join_sheaves(store, piece, bytes, why);
    st = have_sheaf(store, piece->segment, piece->start / whole, why);
    if (st == ST_OK && from + piece->count > s->sheaf.notes)
        st = strands_differ(store, why);
    for (int i = 0; i < STRANDS_TOGETHER && st == ST_OK; i++)
        bytes[i] = s->sheaf.bytes + (size_t)i * s->sheaf.notes + from;
    return st;
}

/* --- writing -------------------------------------------------------------- */

/* Write COUNT notes of a segment in rows of GROUP. */
static enum status put_group(struct store *store, int64_t segment, int group,
                             uint8_t *const strands[STRANDS], size_t count,
                             uint8_t *row, struct fault *why)
{
    int first = first_of(group);
    size_t planes = (size_t)planes_of(group), part = 0;
    enum status st = ST_OK;

    for (size_t at = 0, notes; at < count && st == ST_OK; at += notes) {
        struct binder b = store_bind(store, SQL_STRAND_PUT);

        notes = notes_of(store, group);
        if (notes > count - at)
            notes = count - at;
        for (size_t plane = 0; plane < planes; plane++)
            memcpy(row + plane * notes, strands[first + (int)plane] + at,
                   notes);
        bind_int(&b, row_id(segment, group, part++));
        bind_bytes(&b, row, planes * notes);
        st = store_run(store, &b, why);
    }
    return st;
}

enum status strands_put(struct store *store, int64_t segment,
                        uint8_t *const strands[STRANDS], size_t count,
                        struct fault *why)
{
    uint8_t *row = malloc(store->part_notes);
    enum status st = row ? ST_OK : fault_nomem(why);

    for (int group = 0; group < STRAND_GROUPS && st == ST_OK; group++)
        st = put_group(store, segment, group, strands, count, row, why);
    free(row);
    return st;
}

enum status strands_remove(struct store *store, int64_t segment,
                           struct fault *why)
{
    struct binder b = store_bind(store, SQL_STRANDS_REMOVE);

    bind_int(&b, row_id(segment, 0, 0));
    bind_int(&b, row_id(segment + 1, 0, 0) - 1);
    return store_run(store, &b, why);
}

enum status stretches_all(struct store *store, const struct stretches **out,
                          struct fault *why)
{
    *out = &store->strands.all;
    if (!store->reading)
        return fault_set(why, ST_INTERNAL, "strands outside a question");
    return store->strands.known ? ST_OK : read_directory(store, why);
}

enum status store_stretch(struct store *store, int64_t id,
                          struct stretch *out, struct fault *why)
{
    const struct stretches *all;
    const struct stretch *found = NULL;
    enum status st = stretches_all(store, &all, why);

    *out = (struct stretch){ .id = id };
    if (st == ST_OK && all->count > 0)
        found = bsearch(out, all->items, all->count, sizeof *out, by_id);
    if (found)
        *out = *found;
    return st;
}

enum status store_strand(struct store *store, int64_t id, enum strand strand,
                         const uint8_t **bytes, size_t *count,
                         struct fault *why)
{
    struct stretch solo;
    enum status st = store_stretch(store, id, &solo, why);

    *count = 0;
    *bytes = NULL;
    if (st != ST_OK || solo.count == 0)
        return st;
    st = store_strand_at(store, &solo, strand, bytes, why);
    *count = st == ST_OK ? solo.count : 0;
    return st;
}
