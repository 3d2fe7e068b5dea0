/* schema/store_strand.c - the strands of the notes: where those of a solo lie,
 * and what their codes mean. */
#include <stdlib.h>
#include <string.h>

#include "schema/grow.h"
#include "schema/store_internal.h"

enum {
    STRANDS_ROOM = 8 /* ids of strands to a segment */
};

_Static_assert((int)STRANDS <= (int)STRANDS_ROOM, "strands have ids");

int64_t strand_id(int64_t segment, int strand)
{
    return segment * STRANDS_ROOM + strand;
}

enum status strands_differ(struct store *store, struct fault *why)
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

/* Append what the blob COLUMN of STMT lists for SEGMENT. */
static enum status read_stretches(struct store *store, sqlite3_stmt *stmt,
                                  int column, int64_t segment,
                                  struct stretches *out, struct fault *why)
{
    const uint8_t *bytes = sqlite3_column_blob(stmt, column);
    size_t size = (size_t)sqlite3_column_bytes(stmt, column);

    if (size % STRETCH_SIZE != 0)
        return strands_differ(store, why);
    for (size_t at = 0; at < size; at += STRETCH_SIZE) {
        struct stretch *more =
            grow_room(out->items, out->count, &out->room, sizeof *more);

        if (!more)
            return fault_nomem(why);
        out->items = more;
        more[out->count++] = (struct stretch){
            .id = (int64_t)read_number(bytes + at, 8),
            .segment = segment,
            .start = (uint32_t)read_number(bytes + at + 8, 4),
            .count = (uint32_t)read_number(bytes + at + 12, 4),
        };
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

/* --- codes being made ------------------------------------------------------ */

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

enum status strands_code(struct store *store, uint8_t *const out[STRANDS],
                         const struct solo *solo, struct fault *why)
{
    struct coding coding = { store, why, ST_OK };
    const struct strand_codes *codes;
    enum status st = store_codes(store, &codes, why);

    if (st != ST_OK)
        return st;
    strands_write(out, solo, code_of, &coding);
    return coding.status;
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

static void segment_drop(struct store_segment *held)
{
    for (int i = 0; i < STRANDS; i++)
        free(held->strands[i]);
    memset(held, 0, sizeof *held);
}

void strands_forget(struct store *store)
{
    free(store->strands.all.items);
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
        return strands_differ(store, why);
    return st;
}

enum status store_strand_at(struct store *store, const struct stretch *solo,
                            enum strand strand, const uint8_t **bytes,
                            struct fault *why)
{
    struct store_segment *held;
    enum status st = ST_OK;

    *bytes = NULL;
    if (!store->reading)
        return fault_set(why, ST_INTERNAL, "strands outside a question");
    held = &store->strands.held[(uint64_t)solo->segment % SEGMENTS_HELD];
    if (held->id != solo->segment)
        segment_drop(held);
    held->id = solo->segment;
    if (!held->strands[strand])
        st = read_strand(store, held, strand, why);
    if (st != ST_OK)
        return st;
    if (solo->start > held->sizes[strand] ||
        solo->count > held->sizes[strand] - solo->start)
        return strands_differ(store, why);
    *bytes = held->strands[strand] + solo->start;
    return ST_OK;
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
