/* schema/store_strand.c - the strands of the notes, in segments. */
#include <stdlib.h>
#include <string.h>

#include "schema/grow.h"
#include "schema/store_internal.h"

enum {
    STRETCH_SIZE = 16,       /* bytes of one in segment.solos */
    STRANDS_ROOM = 8         /* ids of strands to a segment */
};

_Static_assert((int)STRANDS <= (int)STRANDS_ROOM, "strands have ids");

/* A row of the table segment; its solos without holes, by start. */
struct segment {
    int64_t id;
    uint32_t room, used, live;
    struct stretch *solos;
    size_t count, items;
};

static int64_t strand_id(int64_t segment, int strand)
{
    return segment * STRANDS_ROOM + strand;
}

static enum status lists_differ(struct store *store, struct fault *why)
{
    return store_damaged(store, "its strands do not read", why);
}

/* --- lists of solos ------------------------------------------------------ */

static uint64_t read_number(const uint8_t *at, int bytes)
{
    uint64_t value = 0;

    for (int i = bytes; i-- > 0;)
        value = value << 8 | at[i];
    return value;
}

static void write_number(uint8_t *at, uint64_t value, int bytes)
{
    for (int i = 0; i < bytes; i++)
        at[i] = (uint8_t)(value >> (8 * i));
}

/* Append what the blob COLUMN of STMT lists for SEGMENT. */
static enum status read_stretches(struct store *store, sqlite3_stmt *stmt,
                                  int column, int64_t segment,
                                  struct stretch **out, size_t *count,
                                  size_t *room, struct fault *why)
{
    const uint8_t *bytes = sqlite3_column_blob(stmt, column);
    size_t size = (size_t)sqlite3_column_bytes(stmt, column);

    if (size % STRETCH_SIZE != 0)
        return lists_differ(store, why);
    for (size_t at = 0; at < size; at += STRETCH_SIZE) {
        struct stretch *more = grow_room(*out, *count, room, sizeof *more);

        if (!more)
            return fault_nomem(why);
        *out = more;
        more[(*count)++] = (struct stretch){
            .id = (int64_t)read_number(bytes + at, 8),
            .segment = segment,
            .start = (uint32_t)read_number(bytes + at + 8, 4),
            .count = (uint32_t)read_number(bytes + at + 12, 4),
        };
    }
    return ST_OK;
}

/* --- segments being written ---------------------------------------------- */

static void segment_free(struct segment *s)
{
    free(s->solos);
    memset(s, 0, sizeof *s);
}

/* Read the segment ID, or with 0 the last one; *OUT has id 0 where there is
 * none. */
static enum status segment_read(struct segment *out, struct store *store,
                                int64_t id, struct fault *why)
{
    struct binder b =
        store_bind(store, id ? SQL_SEGMENT_GET : SQL_SEGMENT_LAST);
    enum status st = ST_OK, done;

    memset(out, 0, sizeof *out);
    if (id)
        bind_int(&b, id);
    if (store_row(&b)) {
        out->id = sqlite3_column_int64(b.stmt, 0);
        out->room = (uint32_t)sqlite3_column_int64(b.stmt, 1);
        out->used = (uint32_t)sqlite3_column_int64(b.stmt, 2);
        out->live = (uint32_t)sqlite3_column_int64(b.stmt, 3);
        st = read_stretches(store, b.stmt, 4, out->id, &out->solos,
                            &out->count, &out->items, why);
    }
    done = store_done(store, &b, why);
    if (st == ST_OK)
        st = done;
    if (st != ST_OK)
        segment_free(out);
    return st;
}

static enum status segment_write(struct store *store, const struct segment *s,
                                 struct fault *why)
{
    uint8_t *bytes = malloc(s->count * STRETCH_SIZE + 1);
    struct binder b;
    enum status st;

    if (!bytes)
        return fault_nomem(why);
    for (size_t i = 0; i < s->count; i++) {
        uint8_t *at = bytes + i * STRETCH_SIZE;

        write_number(at, (uint64_t)s->solos[i].id, 8);
        write_number(at + 8, s->solos[i].start, 4);
        write_number(at + 12, s->solos[i].count, 4);
    }
    b = store_bind(store, SQL_SEGMENT_PUT);
    bind_int(&b, s->id);
    bind_int(&b, s->used);
    bind_int(&b, s->live);
    bind_bytes(&b, bytes, s->count * STRETCH_SIZE);
    st = store_run(store, &b, why);
    free(bytes);
    return st;
}

/* Make S the segment after the last, with room for COUNT notes. */
static enum status segment_new(struct segment *s, struct store *store,
                               size_t count, struct fault *why)
{
    int64_t id = s->id + 1;
    struct binder b = store_bind(store, SQL_SEGMENT_NEW);
    enum status st;

    segment_free(s);
    s->id = id;
    s->room = store->segment_notes;
    if (count > s->room)
        s->room = (uint32_t)count;
    bind_int(&b, id);
    bind_int(&b, s->room);
    st = store_run(store, &b, why);
    for (int i = 0; i < STRANDS && st == ST_OK; i++) {
        b = store_bind(store, SQL_STRAND_NEW);
        bind_int(&b, strand_id(id, i));
        bind_int(&b, s->room);
        st = store_run(store, &b, why);
    }
    return st;
}

static enum status segment_remove(struct store *store, int64_t id,
                                  struct fault *why)
{
    struct binder b = store_bind(store, SQL_STRANDS_REMOVE);
    enum status st;

    bind_int(&b, strand_id(id, 0));
    bind_int(&b, strand_id(id, STRANDS - 1));
    st = store_run(store, &b, why);
    if (st != ST_OK)
        return st;
    b = store_bind(store, SQL_SEGMENT_REMOVE);
    bind_int(&b, id);
    return store_run(store, &b, why);
}

/* Read or write COUNT bytes from START of a strand of SEGMENT. */
static enum status strand_bytes(struct store *store, int64_t segment,
                                int strand, uint8_t *bytes, uint32_t start,
                                size_t count, bool write, struct fault *why)
{
    sqlite3_blob *blob = NULL;
    int rc = sqlite3_blob_open(store->db, "main", "strand", "bytes",
                               strand_id(segment, strand), write, &blob);

    if (rc == SQLITE_OK)
        rc = write ? sqlite3_blob_write(blob, bytes, (int)count, (int)start)
                   : sqlite3_blob_read(blob, bytes, (int)count, (int)start);
    /* SQLITE_ERROR is a row that is not there, or too short. */
    if (rc == SQLITE_ERROR) {
        sqlite3_blob_close(blob);
        return lists_differ(store, why);
    }
    if (rc == SQLITE_OK)
        rc = sqlite3_blob_close(blob);
    else
        sqlite3_blob_close(blob);
    return rc == SQLITE_OK ? ST_OK : store_fault(store, rc, why);
}

/* Put COUNT notes of the solo ID, whose strands are at BYTES, behind the last
 * ones. */
static enum status append(struct store *store, int64_t id,
                          uint8_t *const bytes[STRANDS], size_t count,
                          int64_t *segment, struct fault *why)
{
    struct segment last;
    struct stretch *more;
    enum status st = segment_read(&last, store, 0, why);

    if (st == ST_OK &&
        (last.id == 0 || last.used > last.room ||
         count > last.room - last.used))
        st = segment_new(&last, store, count, why);
    for (int i = 0; i < STRANDS && st == ST_OK; i++)
        st = strand_bytes(store, last.id, i, bytes[i], last.used, count, true,
                          why);
    more = st != ST_OK ? NULL
                       : grow_room(last.solos, last.count, &last.items,
                                   sizeof *more);
    if (st == ST_OK && !more)
        st = fault_nomem(why);
    if (st == ST_OK) {
        last.solos = more;
        more[last.count++] = (struct stretch){
            .id = id, .start = last.used, .count = (uint32_t)count
        };
        last.used += (uint32_t)count;
        last.live += (uint32_t)count;
        *segment = last.id;
        st = segment_write(store, &last, why);
    }
    segment_free(&last);
    return st;
}

/* --- putting -------------------------------------------------------------- */

static bool strands_room(uint8_t *out[STRANDS], size_t count)
{
    uint8_t *all = malloc(count * STRANDS + 1);

    for (int i = 0; i < STRANDS; i++)
        out[i] = all ? all + (size_t)i * count : NULL;
    return all != NULL;
}

/* A code being made: the first fault sticks. */
struct coding {
    struct store *store;
    struct fault *why;
    enum status status;
};

static enum status make_code(struct store *store, enum strand_code kind,
                             const char *text, struct fault *why)
{
    struct strand_codes *codes = store->codes;
    int code = codes->counts[kind] + 1;
    struct binder b = store_bind(store, SQL_CODE_PUT);
    enum status st;

    bind_int(&b, kind);
    bind_int(&b, code);
    bind_text(&b, text);
    st = store_run(store, &b, why);
    if (st != ST_OK)
        return st;
    codes->texts[kind][code] = strdup(text);
    if (!codes->texts[kind][code])
        return fault_nomem(why);
    codes->counts[kind] = code;
    return ST_OK;
}

static uint8_t code_of(void *context, enum strand_code kind, const char *text)
{
    struct coding *c = context;
    const struct strand_codes *codes = c->store->codes;

    for (int i = 1; i <= codes->counts[kind]; i++)
        if (strcmp(codes->texts[kind][i], text) == 0)
            return (uint8_t)i;
    if (c->status != ST_OK || codes->counts[kind] + 1 >= STRAND_UNSAID)
        return STRAND_UNSAID;
    c->status = make_code(c->store, kind, text, c->why);
    return c->status == ST_OK ? (uint8_t)codes->counts[kind] : STRAND_UNSAID;
}

enum status strands_put(struct store *store, int64_t id,
                        const struct solo *solo, int64_t *segment,
                        struct fault *why)
{
    struct coding coding = { store, why, ST_OK };
    const struct strand_codes *codes;
    uint8_t *bytes[STRANDS];
    enum status st;

    *segment = 0;
    if (solo->note_count == 0)
        return ST_OK;
    if (solo->note_count > INT32_MAX)
        return fault_set(why, ST_INTERNAL, "a solo of too many notes");
    st = store_codes(store, &codes, why);
    if (st != ST_OK)
        return st;
    if (!strands_room(bytes, solo->note_count))
        return fault_nomem(why);
    strands_write(bytes, solo, code_of, &coding);
    st = coding.status;
    if (st == ST_OK)
        st = append(store, id, bytes, solo->note_count, segment, why);
    free(bytes[0]);
    return st;
}

/* --- removing ------------------------------------------------------------- */

/* Move a solo of SEGMENT, which is not the last, behind the last ones. */
static enum status move_on(struct store *store, const struct stretch *solo,
                           struct fault *why)
{
    uint8_t *bytes[STRANDS];
    int64_t segment = 0;
    enum status st = ST_OK;
    struct binder b;

    if (!strands_room(bytes, solo->count))
        return fault_nomem(why);
    for (int i = 0; i < STRANDS && st == ST_OK; i++)
        st = strand_bytes(store, solo->segment, i, bytes[i], solo->start,
                          solo->count, false, why);
    if (st == ST_OK)
        st = append(store, solo->id, bytes, solo->count, &segment, why);
    free(bytes[0]);
    if (st != ST_OK)
        return st;
    b = store_bind(store, SQL_SOLO_MOVE);
    bind_int(&b, solo->id);
    bind_int(&b, segment);
    return store_run(store, &b, why);
}

/* What is left of S once a solo was taken out of it. */
static enum status tidy(struct store *store, struct segment *s,
                        struct fault *why)
{
    struct segment last;
    enum status st = segment_read(&last, store, 0, why);
    bool is_last = last.id == s->id;

    segment_free(&last);
    if (st != ST_OK)
        return st;
    if (s->count == 0)
        s->used = 0;
    else
        s->used = s->solos[s->count - 1].start + s->solos[s->count - 1].count;
    if (s->count > 0 && (is_last || s->live >= s->room / 2))
        return segment_write(store, s, why);
    for (size_t i = 0; i < s->count && st == ST_OK; i++)
        st = move_on(store, &s->solos[i], why);
    return st == ST_OK ? segment_remove(store, s->id, why) : st;
}

static enum status segment_of(struct store *store, int64_t id,
                              int64_t *segment, struct fault *why)
{
    struct binder b = store_bind(store, SQL_SOLO_SEGMENT);

    bind_int(&b, id);
    *segment = store_row(&b) ? sqlite3_column_int64(b.stmt, 0) : 0;
    return store_done(store, &b, why);
}

enum status strands_remove(struct store *store, int64_t id,
                           struct fault *why)
{
    struct segment s;
    int64_t segment;
    size_t at = 0;
    enum status st = segment_of(store, id, &segment, why);

    if (st != ST_OK || segment == 0)
        return st;
    st = segment_read(&s, store, segment, why);
    if (st != ST_OK)
        return st;
    while (at < s.count && s.solos[at].id != id)
        at++;
    if (at == s.count || s.solos[at].count > s.live) {
        st = lists_differ(store, why);
    } else {
        s.live -= s.solos[at].count;
        s.count--;
        memmove(s.solos + at, s.solos + at + 1,
                (s.count - at) * sizeof *s.solos);
        st = tidy(store, &s, why);
    }
    segment_free(&s);
    return st;
}

/* --- codes ---------------------------------------------------------------- */

static void codes_free(struct strand_codes *codes)
{
    for (int kind = 0; codes && kind < CODE_KINDS; kind++)
        for (int i = 0; i < STRAND_UNSAID; i++)
            free(codes->texts[kind][i]);
    free(codes);
}

/* Take a row of the table code; what makes no sense is left out. */
static bool take_code(struct strand_codes *codes, sqlite3_stmt *stmt)
{
    int64_t kind = sqlite3_column_int64(stmt, 0);
    int64_t code = sqlite3_column_int64(stmt, 1);
    const char *text = column_text(stmt, 2);

    if (kind < 0 || kind >= CODE_KINDS || code < 1 || code >= STRAND_UNSAID ||
        codes->texts[kind][code] ||
        (kind == CODE_VALUE && !strand_value_read(&codes->values[code], text)))
        return true;
    if (kind == CODE_TONES)
        codes->tones[code] = (uint16_t)strtol(text, NULL, 10);
    codes->texts[kind][code] = strdup(text);
    return codes->texts[kind][code] != NULL;
}

/* The codes from 1 on without a gap are those in use. */
static void count_codes(struct strand_codes *codes)
{
    for (int kind = 0; kind < CODE_KINDS; kind++)
        while (codes->counts[kind] + 1 < STRAND_UNSAID &&
               codes->texts[kind][codes->counts[kind] + 1])
            codes->counts[kind]++;
}

enum status store_codes(struct store *store, const struct strand_codes **out,
                        struct fault *why)
{
    struct binder b;
    enum status st;
    bool room = true;

    *out = store->codes;
    if (*out)
        return ST_OK;
    store->codes = calloc(1, sizeof *store->codes);
    if (!store->codes)
        return fault_nomem(why);
    b = store_bind(store, SQL_CODES);
    while (room && store_row(&b))
        room = take_code(store->codes, b.stmt);
    st = store_done(store, &b, why);
    if (st == ST_OK && !room)
        st = fault_nomem(why);
    count_codes(store->codes);
    *out = store->codes;
    return st;
}

/* --- reading -------------------------------------------------------------- */

static int by_id(const void *a, const void *b)
{
    const struct stretch *x = a, *y = b;

    return (x->id > y->id) - (x->id < y->id);
}

static enum status read_directory(struct store *store, struct fault *why)
{
    struct store_strands *all = &store->strands;
    struct binder b = store_bind(store, SQL_SEGMENTS);
    enum status st = ST_OK, done;
    bool sorted = true;

    while (st == ST_OK && store_row(&b))
        st = read_stretches(store, b.stmt, 1,
                            sqlite3_column_int64(b.stmt, 0), &all->stretches,
                            &all->count, &all->room, why);
    done = store_done(store, &b, why);
    if (st == ST_OK)
        st = done;
    for (size_t i = 1; i < all->count && sorted; i++)
        sorted = all->stretches[i - 1].id < all->stretches[i].id;
    if (!sorted)
        qsort(all->stretches, all->count, sizeof *all->stretches, by_id);
    all->known = st == ST_OK;
    return st;
}

static void segment_drop(struct store_segment *held)
{
    for (int i = 0; i < STRANDS; i++)
        free(held->strands[i]);
    memset(held, 0, sizeof *held);
}

void strands_forget(struct store *store)
{
    free(store->strands.stretches);
    for (int i = 0; i < SEGMENTS_HELD; i++)
        segment_drop(&store->strands.held[i]);
    memset(&store->strands, 0, sizeof store->strands);
    codes_free(store->codes);
    store->codes = NULL;
}

static enum status read_strand(struct store *store, struct store_segment *held,
                               enum strand strand, struct fault *why)
{
    struct binder b = store_bind(store, SQL_STRAND_GET);
    bool room = true;
    enum status st;

    bind_int(&b, strand_id(held->id, (int)strand));
    if (store_row(&b)) {
        const void *bytes = sqlite3_column_blob(b.stmt, 0);
        size_t size = (size_t)sqlite3_column_bytes(b.stmt, 0);

        held->strands[strand] = malloc(size + 1);
        room = held->strands[strand] != NULL;
        if (room && size > 0)
            memcpy(held->strands[strand], bytes, size);
        held->sizes[strand] = size;
    }
    st = store_done(store, &b, why);
    if (st == ST_OK && !room)
        return fault_nomem(why);
    if (st == ST_OK && !held->strands[strand])
        return lists_differ(store, why);
    return st;
}

enum status store_strand(struct store *store, int64_t id, enum strand strand,
                         const uint8_t **bytes, size_t *count,
                         struct fault *why)
{
    struct store_strands *all = &store->strands;
    struct stretch wanted = { .id = id }, *solo;
    struct store_segment *held;
    enum status st = ST_OK;

    *count = 0;
    *bytes = NULL;
    if (!store->reading)
        return fault_set(why, ST_INTERNAL, "strands outside a question");
    if (!all->known)
        st = read_directory(store, why);
    if (st != ST_OK || all->count == 0)
        return st;
    solo = bsearch(&wanted, all->stretches, all->count, sizeof wanted, by_id);
    if (!solo)
        return ST_OK;
    held = &all->held[(uint64_t)solo->segment % SEGMENTS_HELD];
    if (held->id != solo->segment)
        segment_drop(held);
    held->id = solo->segment;
    if (!held->strands[strand])
        st = read_strand(store, held, strand, why);
    if (st != ST_OK)
        return st;
    if (solo->start > held->sizes[strand] ||
        solo->count > held->sizes[strand] - solo->start)
        return lists_differ(store, why);
    *bytes = held->strands[strand] + solo->start;
    *count = solo->count;
    return ST_OK;
}
