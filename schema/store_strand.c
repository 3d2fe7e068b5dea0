/* schema/store_strand.c - the strands of the notes: where those of a solo lie,
 * and what their codes mean. */
#include <stdlib.h>
#include <string.h>

#include "schema/grow.h"
#include "schema/store_internal.h"

/* Rows of a segment by id: those of each strand that is read alone, part by
 * part; then for each part those of all others. */
enum {
    ID_PARTS = 1 << 16,
    OTHERS = STRANDS - STRANDS_ALONE
};

static int64_t first_id(int64_t segment)
{
    return segment * 16 * ID_PARTS;
}

static int group_of(int strand)
{
    return strand < STRANDS_ALONE ? strand : STRANDS_ALONE;
}

/* Rows of one part in a group. */
static int rows_of(int group)
{
    return group < STRANDS_ALONE ? 1 : OTHERS;
}

static int64_t row_id(int64_t segment, int group, size_t part)
{
    return first_id(segment) + group * ID_PARTS +
           (int64_t)part * rows_of(group);
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

void strands_forget(struct store *store)
{
    free(store->strands.all.items);
    for (int i = 0; i < SEGMENTS_HELD; i++) {
        struct store_segment *held = &store->strands.held[i];

        for (int strand = 0; strand < STRANDS; strand++)
            free(held->strands[strand]);
        for (int group = 0; group < STRAND_GROUPS; group++)
            free(held->sizes[group]);
    }
    memset(&store->strands, 0, sizeof store->strands);
    codes_free(store->codes);
    store->codes = NULL;
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
        held->asked[group] = 0;
        if (held->room[group] > 0)
            memset(held->sizes[group], 0,
                   held->room[group] * sizeof *held->sizes[group]);
    }
    return held;
}

/* Make room for PARTS parts of GROUP. */
static bool hold_parts(const struct store *store, struct store_segment *held,
                       int group, size_t parts)
{
    size_t least = store->segment_notes / store->part_notes + 1;
    uint16_t *sizes;

    if (parts <= held->room[group])
        return true;
    if (parts < least)
        parts = least;
    for (int i = 0; i < STRANDS; i++) {
        uint8_t *more;

        if (group_of(i) != group)
            continue;
        more = realloc(held->strands[i], parts * store->part_notes);
        if (!more)
            return false;
        held->strands[i] = more;
    }
    sizes = realloc(held->sizes[group], parts * sizeof *sizes);
    if (!sizes)
        return false;
    memset(sizes + held->room[group], 0,
           (parts - held->room[group]) * sizeof *sizes);
    held->sizes[group] = sizes;
    held->room[group] = parts;
    return true;
}

/* Take a row of GROUP.  False where it makes no sense. */
static bool take_part(const struct store *store, struct store_segment *held,
                      int group, sqlite3_stmt *stmt)
{
    int64_t row = sqlite3_column_int64(stmt, 0) - row_id(held->id, group, 0);
    const void *bytes = sqlite3_column_blob(stmt, 1);
    size_t size = (size_t)sqlite3_column_bytes(stmt, 1);
    size_t part = (size_t)(row / rows_of(group));
    int strand = group + (int)(row % rows_of(group));
    uint16_t *known;

    if (part >= held->room[group] || size == 0 || size > store->part_notes)
        return false;
    memcpy(held->strands[strand] + part * store->part_notes, bytes, size);
    known = &held->sizes[group][part];
    if (strand > group && *known != size + 1)
        return false;
    *known = (uint16_t)(size + 1);
    return true;
}

/* Read the parts FROM..TO of GROUP. */
static enum status read_parts(struct store *store, struct store_segment *held,
                              int group, size_t from, size_t to,
                              struct fault *why)
{
    struct binder b = store_bind(store, SQL_STRAND_GET);
    bool sense = true;
    enum status st;

    bind_int(&b, row_id(held->id, group, from));
    bind_int(&b, row_id(held->id, group, to + 1) - 1);
    while (sense && store_row(&b))
        sense = take_part(store, held, group, b.stmt);
    st = store_done(store, &b, why);
    return st == ST_OK && !sense ? strands_differ(store, why) : st;
}

/* Is all of SOLO among the parts that were read? */
static bool is_held(const struct store *store,
                    const struct store_segment *held, int group,
                    const struct stretch *solo)
{
    size_t end = (size_t)solo->start + solo->count;

    for (size_t part = solo->start / store->part_notes;
         part * store->part_notes < end; part++) {
        size_t needed = end - part * store->part_notes;

        if (needed > store->part_notes)
            needed = store->part_notes;
        if (part >= held->room[group] || held->sizes[group][part] <= needed)
            return false;
    }
    return true;
}

enum status store_strand_at(struct store *store, const struct stretch *solo,
                            enum strand strand, const uint8_t **bytes,
                            struct fault *why)
{
    int group = group_of((int)strand);
    size_t from = solo->start / store->part_notes;
    size_t to =
        ((size_t)solo->start + solo->count - 1) / store->part_notes;
    struct store_segment *held;
    enum status st = ST_OK;

    *bytes = NULL;
    if (!store->reading)
        return fault_set(why, ST_INTERNAL, "strands outside a question");
    if (solo->count == 0)
        return strands_differ(store, why);
    held = hold(store, solo);
    if (!is_held(store, held, group, solo)) {
        if (!hold_parts(store, held, group, to + 1))
            return fault_nomem(why);
        /* Whoever comes a third time is going through them all. */
        if (++held->asked[group] > 2) {
            from = 0;
            to = held->room[group] - 1;
        }
        st = read_parts(store, held, group, from, to, why);
        if (st == ST_OK && !is_held(store, held, group, solo))
            st = strands_differ(store, why);
    }
    if (st == ST_OK)
        *bytes = held->strands[strand] + solo->start;
    return st;
}

enum status strands_put(struct store *store, int64_t segment,
                        uint8_t *const strands[STRANDS], size_t count,
                        struct fault *why)
{
    enum status st = ST_OK;

    for (int i = 0; i < STRANDS; i++)
        for (size_t part = 0, at = 0; at < count && st == ST_OK; part++) {
            size_t size = count - at < store->part_notes ? count - at
                                                         : store->part_notes;
            int group = group_of(i);
            struct binder b = store_bind(store, SQL_STRAND_PUT);

            bind_int(&b, row_id(segment, group, part) + i - group);
            bind_bytes(&b, strands[i] + at, size);
            st = store_run(store, &b, why);
            at += size;
        }
    return st;
}

enum status strands_remove(struct store *store, int64_t segment,
                           struct fault *why)
{
    struct binder b = store_bind(store, SQL_STRANDS_REMOVE);

    bind_int(&b, first_id(segment));
    bind_int(&b, first_id(segment + 1) - 1);
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
