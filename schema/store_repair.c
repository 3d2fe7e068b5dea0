/* schema/store_repair.c - write anew what follows from the bodies. */
#include <stdlib.h>

#include "schema/grow.h"
#include "schema/store_check.h"
#include "schema/store_internal.h"

struct repair {
    struct store *store;
    const struct store_check_events *events;
    struct store_repaired *out;
    struct fault *why;
    int64_t *ids; /* files that should have a solo, or contradict themselves */
    size_t count, room;
};

static enum status run_sql(struct repair *r, const char *sql)
{
    struct store_asked asked = { NULL, NULL };
    struct binder b = store_bind_asked(r->store, &asked, sql);
    enum status st = store_run(r->store, &b, r->why);

    store_forget_asked(&asked);
    return st;
}

static enum status run_sql_for(struct repair *r, const char *sql, int64_t id)
{
    struct store_asked asked = { NULL, NULL };
    struct binder b = store_bind_asked(r->store, &asked, sql);
    enum status st;

    bind_int(&b, id);
    st = store_run(r->store, &b, r->why);
    store_forget_asked(&asked);
    return st;
}

/* Files whose row makes no sense: their solo goes, so that they are read
 * again. */
#define SENSELESS                                                              \
    "(typeof(size) <> 'integer' OR typeof(mtime_ns) <> 'integer'"              \
    " OR size < (unreadable = '') - 1 OR NOT (typeof(sha256) = 'text'"         \
    " AND length(sha256) = 64 AND sha256 NOT GLOB '*[^0-9a-f]*')"              \
    " AND NOT (unreadable <> '' AND sha256 = ''))"

/* What follows from bodies goes, and what belongs to nothing.  A file without
 * a name is found anew by cellar-index.  'rebuild' makes the words sound, so
 * that they can be deleted. */
static const char *const clear_sql[] = {
    "DELETE FROM file WHERE path IS NULL OR path = ''"
    " OR typeof(path) <> 'text' OR instr(path, char(0)) > 0"
    " OR path LIKE '%/'",
    "DELETE FROM segment",
    "DELETE FROM strand",
    "DELETE FROM salient",
    "DELETE FROM code",
    "INSERT INTO gram (gram) VALUES ('delete-all')",
    "INSERT INTO words (words) VALUES ('rebuild')",
    "DELETE FROM words",
    "DELETE FROM solo",
    "DELETE FROM body WHERE id NOT IN"
    " (SELECT id FROM file WHERE unreadable = '' AND NOT " SENSELESS ")",
    "REINDEX",
};

static enum status clear_all(struct repair *r)
{
    enum status st = ST_OK;

    for (size_t i = 0;
         i < sizeof clear_sql / sizeof *clear_sql && st == ST_OK; i++) {
        st = run_sql(r, clear_sql[i]);
        if (st == ST_OK && i == 0)
            r->out->lost += sqlite3_changes(r->store->db);
    }
    return st;
}

static enum status list_files(struct repair *r)
{
    struct store_asked asked = { NULL, NULL };
    struct binder b = store_bind_asked(
        r->store, &asked,
        "SELECT id FROM file WHERE unreadable = '' OR " SENSELESS
        " OR id IN (SELECT id FROM solo) ORDER BY id");
    enum status st = ST_OK, done;

    while (st == ST_OK && store_row(&b)) {
        int64_t *more = grow_room(r->ids, r->count, &r->room, sizeof *more);

        if (!more) {
            st = fault_nomem(r->why);
            break;
        }
        r->ids = more;
        more[r->count++] = sqlite3_column_int64(b.stmt, 0);
    }
    done = store_done(r->store, &b, r->why);
    store_forget_asked(&asked);
    return st == ST_OK ? done : st;
}

/* As cellar-index notes a file that is to be tried again: no file has that
 * size. */
static enum status lose(struct repair *r, int64_t id)
{
    char *path = NULL;
    enum status st = store_path(r->store, id, &path, NULL, r->why);

    if (st == ST_LIBRARY) /* a file without a name, which is gone by now */
        return ST_OK;
    if (st == ST_OK)
        st = run_sql_for(r,
                         "UPDATE file SET size = -1, sha256 = '',"
                         " mtime_ns = 0, unreadable = 'what the index knew of"
                         " it was damaged; cellar-index reads it again'"
                         " WHERE id = ?1",
                         id);
    if (st == ST_OK)
        st = run_sql_for(r, "DELETE FROM body WHERE id = ?1", id);
    if (st == ST_OK && r->events->problem)
        r->events->problem(r->events->context, PART_SOLOS, path,
                           "what the index knew of it was damaged; it has to "
                           "be read again");
    r->out->lost++;
    free(path);
    return st;
}

static enum status lay_anew(struct repair *r, int64_t id)
{
    struct solo *solo;
    enum status st = store_load(r->store, id, &solo, r->why);

    if (st == ST_LIBRARY || st == ST_NOTHING)
        return lose(r, id);
    if (st == ST_OK)
        st = run_sql_for(r, "DELETE FROM body WHERE id = ?1", id);
    if (st == ST_OK)
        st = lay_solo(r->store, id, solo, r->why);
    solo_free(solo);
    r->out->solos += st == ST_OK;
    return st;
}

static enum status repair_all(struct repair *r)
{
    const struct store_check_events *events = r->events;
    enum status st = list_files(r);

    if (st == ST_OK)
        st = clear_all(r);
    for (size_t i = 0; i < r->count && st == ST_OK; i++) {
        st = lay_anew(r, r->ids[i]);
        if (events->progress)
            events->progress(events->context, (int64_t)i + 1,
                             (int64_t)r->count);
    }
    return st;
}

enum status store_repair(struct store *store,
                         const struct store_check_events *events,
                         struct store_repaired *out, struct fault *why)
{
    struct repair r = {
        .store = store, .events = events, .out = out, .why = why
    };
    store_loaded loaded = store->loaded;
    enum status st = store_begin(store, why);

    *out = (struct store_repaired){ 0, 0 };
    if (st != ST_OK)
        return st;
    store->loaded = NULL;
    st = repair_all(&r);
    store->loaded = loaded;
    free(r.ids);
    if (st == ST_OK)
        return store_commit(store, why);
    store_rollback(store);
    return st;
}
