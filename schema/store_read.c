/* schema/store_read.c - lists and whole solos out of an index. */
#include <stdlib.h>
#include <string.h>

#include "schema/grow.h"
#include "schema/store_internal.h"

enum status store_files(struct store *store, store_file_each each,
                        void *context, struct fault *why)
{
    struct binder b = store_bind(store, SQL_FILES);
    bool more = true;

    while (more && store_row(&b)) {
        struct file_record file = { 0 };

        file.id = sqlite3_column_int64(b.stmt, 0);
        file.path = column_text(b.stmt, 1);
        file.size = sqlite3_column_int64(b.stmt, 2);
        file.mtime = sqlite3_column_int64(b.stmt, 3);
        snprintf(file.sha256, sizeof file.sha256, "%s",
                 column_text(b.stmt, 4));
        file.part = column_text(b.stmt, 5);
        file.unreadable = column_text(b.stmt, 6);
        more = each(context, &file);
    }
    return store_done(store, &b, why);
}

/* A whole number of a fact; what no fact can be reads as 0. */
static int64_t column_count(sqlite3_stmt *stmt, int column)
{
    int64_t value = sqlite3_column_int64(stmt, column);

    return value < 0 ? 0 : value;
}

static void read_solo(struct solo_record *solo, sqlite3_stmt *stmt)
{
    int64_t tempo = column_count(stmt, 9);

    solo->id = sqlite3_column_int64(stmt, 0);
    solo->path = column_text(stmt, 1);
    solo->sha256 = column_text(stmt, 2);
    solo->title = column_text(stmt, 3);
    solo->performer = column_text(stmt, 4);
    solo->composer = column_text(stmt, 5);
    solo->instrument = column_text(stmt, 6);
    solo->metre = column_text(stmt, 7);
    solo->key = column_text(stmt, 8);
    solo->tempo = tempo <= INT32_MAX ? (int32_t)tempo : 0;
    solo->notes = column_count(stmt, 10);
    solo->chords = column_count(stmt, 11);
    solo->bars = column_count(stmt, 12);
    solo->warnings = column_count(stmt, 13);
}

/* HEAD, the condition of FILTER on ID_COLUMN, and TAIL.  The caller owns
 * *OUT. */
static enum status asked_sql(char **out, const char *head,
                             const char *id_column,
                             const struct filter *filter, int first,
                             const char *tail, struct fault *why)
{
    struct gather text = { 0 };
    enum status st;

    gather_put(&text, head);
    st = filter_write(&text, id_column, filter, first, why);
    gather_put(&text, tail);
    *out = gather_take(&text);
    if (st == ST_OK && !*out)
        return fault_nomem(why);
    if (st != ST_OK) {
        free(*out);
        *out = NULL;
    }
    return st;
}

/* What read_solo() reads. */
#define SOLO_COLUMNS                                                           \
    "SELECT s.id, f.path, f.sha256, s.title, s.performer, s.composer,"         \
    " s.instrument, s.metre, s.concert_key, s.tempo, s.notes, s.chords,"       \
    " s.bars, s.warnings FROM file AS f JOIN solo AS s ON s.id = f.id"         \
    " WHERE f.path IS NOT NULL"

enum status store_solos(struct store *store, const struct filter *filter,
                        store_solo_each each, void *context,
                        struct fault *why)
{
    char *sql = NULL;
    bool more = true;
    struct binder b;
    enum status st = asked_sql(&sql, SOLO_COLUMNS, "s.id", filter, 1,
                               " ORDER BY f.path", why);

    if (st != ST_OK)
        return st;
    b = store_bind_asked(store, &store->solos, sql);
    free(sql);
    filter_bind(&b, filter);
    while (more && store_row(&b)) {
        struct solo_record solo;

        read_solo(&solo, b.stmt);
        more = each(context, &solo);
    }
    return store_done(store, &b, why);
}

static enum status each_id(struct store *store, struct binder *b,
                           store_id_each each, void *context,
                           struct fault *why)
{
    bool more = true;

    while (more && store_row(b))
        more = each(context, sqlite3_column_int64(b->stmt, 0));
    return store_done(store, b, why);
}

enum status store_ids(struct store *store, const struct filter *filter,
                      store_id_each each, void *context, struct fault *why)
{
    char *sql = NULL;
    struct binder b;
    enum status st =
        asked_sql(&sql,
                  "SELECT f.id FROM file AS f WHERE f.path IS NOT NULL"
                  " AND f.unreadable = ''",
                  "f.id", filter, 1, " ORDER BY f.path", why);

    if (st != ST_OK)
        return st;
    b = store_bind_asked(store, &store->ids, sql);
    free(sql);
    filter_bind(&b, filter);
    return each_id(store, &b, each, context, why);
}

enum status store_path(struct store *store, int64_t id, char **out,
                       char sha256[65], struct fault *why)
{
    struct binder b = store_bind(store, SQL_FILE_PATH);
    bool found;
    enum status st;

    bind_int(&b, id);
    found = store_row(&b);
    *out = found ? strdup(column_text(b.stmt, 0)) : NULL;
    if (sha256)
        snprintf(sha256, 65, "%s", found ? column_text(b.stmt, 1) : "");
    st = store_done(store, &b, why);
    if (st == ST_OK && !found)
        st = store_damaged(store, "its lists of solos differ", why);
    if (st == ST_OK && !*out)
        st = fault_nomem(why);
    if (st != ST_OK) {
        free(*out);
        *out = NULL;
    }
    return st;
}

enum status store_load(struct store *store, int64_t id, struct solo **out,
                       struct fault *why)
{
    struct binder b = store_bind(store, SQL_BODY_GET);
    struct fault inner = { 0 };
    enum status st, done;

    *out = NULL;
    bind_int(&b, id);
    if (store_row(&b)) {
        const void *bytes = sqlite3_column_blob(b.stmt, 0);
        int size = sqlite3_column_bytes(b.stmt, 0);

        st = solo_decode(out, bytes ? bytes : (const void *)"", (size_t)size,
                         &inner);
    } else {
        st = fault_set(&inner, ST_NOTHING, "no solo %lld is in the index of %s",
                       (long long)id, store->library);
    }
    done = store_done(store, &b, why);
    if (done != ST_OK) {
        solo_free(*out);
        *out = NULL;
        return done;
    }
    if (st == ST_LIBRARY)
        return store_damaged(store, "the notes of a solo do not read", why);
    if (st != ST_OK && why)
        *why = inner;
    if (st == ST_OK && store->loaded)
        st = store->loaded(store->loaded_context, id, *out, why);
    if (st != ST_OK) {
        solo_free(*out);
        *out = NULL;
    }
    return st;
}

void store_on_load(struct store *store, store_loaded each, void *context)
{
    store->loaded = each;
    store->loaded_context = context;
    store->changes = NULL;
}

void store_on_load_of(struct store *store, store_changes changes)
{
    store->changes = changes;
}

bool store_load_changes(const struct store *store, int64_t id)
{
    if (!store->loaded)
        return false;
    return !store->changes || store->changes(store->loaded_context, id);
}

bool store_loads_change(const struct store *store)
{
    return store->loaded != NULL;
}

/* --- which solos pass -------------------------------------------------- */

/* By id. */
struct passing {
    int64_t *ids;
    size_t count, room;
    bool nomem;
};

static bool let_pass(void *context, int64_t id)
{
    struct passing *p = context;
    int64_t *more = grow_room(p->ids, p->count, &p->room, sizeof *more);

    if (!more) {
        p->nomem = true;
        return false;
    }
    p->ids = more;
    p->ids[p->count++] = id;
    return true;
}

void passing_free(struct passing *passing)
{
    if (passing)
        free(passing->ids);
    free(passing);
}

static enum status read_passing(struct passing *p, struct store *store,
                                const struct filter *filter, struct fault *why)
{
    char *sql = NULL;
    struct binder b;
    enum status st = asked_sql(&sql, "SELECT id FROM solo WHERE notes > 0",
                               "id", filter, 1, " ORDER BY id", why);

    if (st != ST_OK)
        return st;
    b = store_bind_asked(store, &store->passing, sql);
    free(sql);
    filter_bind(&b, filter);
    st = each_id(store, &b, let_pass, p, why);
    return p->nomem ? fault_nomem(why) : st;
}

enum status store_passing(struct passing **out, struct store *store,
                          const struct filter *filter, struct fault *why)
{
    struct passing *p;
    enum status st;

    *out = NULL;
    if (!filter || filter->count == 0)
        return ST_OK;
    p = calloc(1, sizeof *p);
    if (!p)
        return fault_nomem(why);
    st = read_passing(p, store, filter, why);
    if (st == ST_OK)
        *out = p;
    else
        passing_free(p);
    return st;
}

static int id_order(const void *a, const void *b)
{
    int64_t x = *(const int64_t *)a, y = *(const int64_t *)b;

    return (x > y) - (x < y);
}

bool passing_has(const struct passing *passing, int64_t id)
{
    return !passing ||
           (passing->count > 0 && bsearch(&id, passing->ids, passing->count,
                                          sizeof *passing->ids, id_order));
}

/* --- counts ------------------------------------------------------------ */

enum status store_totals(struct store *store, struct store_totals *out,
                         struct fault *why)
{
    struct binder b = store_bind(store, SQL_TOTALS);

    memset(out, 0, sizeof *out);
    if (store_row(&b)) {
        out->solos = sqlite3_column_int64(b.stmt, 0);
        out->notes = sqlite3_column_int64(b.stmt, 1);
        out->chords = sqlite3_column_int64(b.stmt, 2);
        out->warnings = sqlite3_column_int64(b.stmt, 3);
        out->unreadable = sqlite3_column_int64(b.stmt, 4);
    }
    return store_done(store, &b, why);
}
