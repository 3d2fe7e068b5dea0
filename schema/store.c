/* schema/store.c - open and close an index, read transactions.
 *
 * The index is a SQLite database in WAL mode, so that a question sees one
 * state of the library while cellar-index writes.  Who reads it while nobody
 * does need not take part in that: store_rest.c.
 */
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "schema/store_open.h"

static struct store *store_new(const char *library, enum store_mode mode)
{
    struct store *store = calloc(1, sizeof *store);
    const char *slash = "/";

    if (!store)
        return NULL;
    store->mode = mode;
    store->making = store->folder_lock = -1;
    store->segment_notes = SEGMENT_NOTES;
    store->part_notes = PART_NOTES;
    store->library = strdup(library);
    if (library[0] != '\0' && library[strlen(library) - 1] == '/')
        slash = "";
    if (asprintf(&store->folder, "%s%s.cellar", library, slash) < 0)
        store->folder = NULL;
    if (asprintf(&store->file, "%s%s.cellar/index.db", library, slash) < 0)
        store->file = NULL;
    if (store->library && store->folder && store->file)
        return store;
    store_close(store);
    return NULL;
}

enum status store_open(struct store **out, const char *library,
                       enum store_mode mode, bool *rebuilt,
                       struct fault *why)
{
    struct store *store = store_new(library, mode);
    enum status st;

    *out = NULL;
    if (rebuilt)
        *rebuilt = false;
    if (!store)
        return fault_nomem(why);
    st = mode == STORE_READ ? store_open_read(store, why)
                            : store_open_write(store, rebuilt, why);
    if (st == ST_OK)
        *out = store;
    else
        store_close(store);
    return st;
}

void store_close(struct store *store)
{
    if (!store)
        return;
    store_forget_strands(store);
    if (store->db)
        store_disconnect(store);
    if (store->making >= 0)
        close(store->making);
    store_leave_folder(store);
    if (store->at_rest)
        store_fold_behind(store);
    segments_forget(store);
    free(store->places_found.items);
    free(store->places_found.list.bytes);
    free(store->library);
    free(store->folder);
    free(store->file);
    free(store);
}

const char *store_library(const struct store *store)
{
    return store->library;
}

enum status store_clear(struct store *store, struct fault *why)
{
    enum health health;
    int64_t version;
    enum status st;

    if (store->mode != STORE_WRITE || store->writing || store->reading)
        return fault_set(why, ST_INTERNAL,
                         "the index can only be cleared by its writer, "
                         "between transactions");
    /* A new connection holds nothing of the tables that go. */
    store_disconnect(store);
    st = store_connect(store, SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE, "",
                       why);
    if (st != ST_OK)
        return st;
    store_examine(store->db, store->mode, &health, &version);
    return store_prepare_writing(store, INDEX_DAMAGED, 0, NULL, why);
}

enum status store_read_begin(struct store *store, struct fault *why)
{
    enum status st;

    if (store->writing)
        return fault_set(why, ST_INTERNAL, "a transaction within another");
    if (store->reading++ > 0)
        return ST_OK;
    st = store_do_begin(store, SQL_BEGIN_READ, why);
    if (st == ST_OK) {
        if (!store->at_rest)
            st = store_do(store, SQL_FIX_SNAPSHOT, why);
        if (st == ST_OK)
            return ST_OK;
        store_do(store, SQL_ROLLBACK, NULL);
    }
    store->reading = 0;
    return st;
}

void store_read_end(struct store *store)
{
    if (store->reading > 1) {
        store->reading--;
        return;
    }
    store_forget_strands(store);
    /* Nothing was written, so there is nothing whose failure could matter. */
    if (store->reading > 0)
        store_do(store, SQL_ROLLBACK, NULL);
    store->reading = 0;
}
