/* schema/store_writer.c - open an index for writing: make it where there is
 * none, empty it where it cannot be used. */
#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include "schema/store_open.h"
#include "schema_sql.h"

enum {
    CACHE_KIBIBYTES = 32768,
    /* Two parts of strands fit a page.  Only of meaning for a database
     * without anything in it. */
    PAGE_BYTES = 8192
};

/* Make the tables, unless another program made them a moment ago. */
static int create_tables(sqlite3 *db)
{
    int64_t tables = 0;
    int rc = sqlite3_exec(db, "BEGIN IMMEDIATE", NULL, NULL, NULL);

    if (rc != SQLITE_OK)
        return rc;
    rc = sql_number(db, "SELECT count(*) FROM sqlite_schema", &tables);
    if (rc == SQLITE_OK && tables == 0)
        rc = sqlite3_exec(db, schema_sql, NULL, NULL, NULL);
    if (rc == SQLITE_OK)
        rc = sqlite3_exec(db, "COMMIT", NULL, NULL, NULL);
    if (rc != SQLITE_OK)
        sqlite3_exec(db, "ROLLBACK", NULL, NULL, NULL);
    return rc;
}

/* Make the file an empty database whatever it holds.  This is SQLite's own
 * way, under its locks: deleting the file would pull it away under a program
 * that has it open.  (SQLite C interface, SQLITE_DBCONFIG_RESET_DATABASE.) */
static int reset_database(sqlite3 *db)
{
    int rc;

    sqlite3_db_config(db, SQLITE_DBCONFIG_DEFENSIVE, 0, (int *)NULL);
    sqlite3_db_config(db, SQLITE_DBCONFIG_RESET_DATABASE, 1, (int *)NULL);
    /* Only outside of WAL mode can the pages become larger; while someone
     * reads they stay as they are. */
    sqlite3_exec(db, "PRAGMA journal_mode = DELETE", NULL, NULL, NULL);
    rc = sqlite3_exec(db, "VACUUM", NULL, NULL, NULL);
    sqlite3_db_config(db, SQLITE_DBCONFIG_RESET_DATABASE, 0, (int *)NULL);
    sqlite3_db_config(db, SQLITE_DBCONFIG_DEFENSIVE, 1, (int *)NULL);
    return rc;
}

static int set_up_writing(sqlite3 *db)
{
    char *sql = NULL;
    int rc;

    /* Where WAL cannot be had, SQLite stays with its rollback journal, which
     * is as safe and only lets readers wait.  With WAL, NORMAL cannot damage
     * the index when the power fails.  secure_delete is for secrets. */
    if (asprintf(&sql,
                 "PRAGMA page_size = %d; PRAGMA journal_mode = WAL;"
                 "PRAGMA synchronous = NORMAL;"
                 "PRAGMA secure_delete = OFF; PRAGMA cache_size = -%d",
                 PAGE_BYTES, CACHE_KIBIBYTES) < 0)
        return SQLITE_NOMEM;
    rc = sqlite3_exec(db, sql, NULL, NULL, NULL);
    free(sql);
    return rc;
}

/* From an empty database to a good index. */
static enum status start_index(struct store *store, struct fault *why)
{
    enum health health = INDEX_EMPTY;
    int64_t version = 0;
    int rc = set_up_writing(store->db);

    if (rc == SQLITE_OK)
        rc = create_tables(store->db);
    if (rc == SQLITE_OK)
        rc = store_examine(store->db, store->mode, &health, &version);
    if (rc != SQLITE_OK)
        return store_fault(store, rc, why);
    if (health != INDEX_GOOD)
        return fault_set(why, ST_INTERNAL,
                         "a new index of version %d came out as %lld",
                         STORE_VERSION, (long long)version);
    return ST_OK;
}

static enum status make_folder(const struct store *store, struct fault *why)
{
    if (store->library[0] != '\0' && mkdir(store->folder, 0777) == 0)
        return ST_OK;
    switch (errno) {
    case EEXIST:
        return ST_OK;
    case ENOENT:
        return fault_set(why, ST_LIBRARY, "there is no folder %s",
                         store->library);
    case ENOTDIR:
        return fault_set(why, ST_LIBRARY, "%s is not a folder",
                         store->library);
    default:
        return fault_set(why, ST_IO,
                         "the folder %s cannot be made: %s; "
                         "keep the index elsewhere with --library DIR",
                         store->folder, strerror(errno));
    }
}

enum status store_prepare_writing(struct store *store, enum health health,
                                  int64_t version, bool *rebuilt,
                                  struct fault *why)
{
    int rc;

    if (health == INDEX_NEWER || health == INDEX_FOREIGN)
        return store_health_fault(store, health, version, why);
    if (health == INDEX_GOOD || health == INDEX_EMPTY) {
        if (health == INDEX_EMPTY)
            return start_index(store, why);
        rc = set_up_writing(store->db);
        return rc == SQLITE_OK ? ST_OK : store_fault(store, rc, why);
    }
    rc = reset_database(store->db);
    if (rc != SQLITE_OK)
        return store_fault(store, rc, why);
    if (rebuilt)
        *rebuilt = true;
    return start_index(store, why);
}

/* Connect, and look at what there is. */
static enum status connect_and_look(struct store *store, enum health *health,
                                    int64_t *version, struct fault *why)
{
    enum status st = store_connect(
        store, SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE, "", why);
    int rc;

    if (st != ST_OK)
        return st;
    if (sqlite3_db_readonly(store->db, "main") == 1)
        return store_fault(store, SQLITE_READONLY, why);
    rc = store_examine(store->db, store->mode, health, version);
    return rc == SQLITE_OK ? ST_OK : store_fault(store, rc, why);
}

/* Two programs must not both find that the index has to be made: the second
 * would empty what the first has begun to fill.  Where files cannot be locked
 * this is left to SQLite's own locks. */
static void lock_making(struct store *store)
{
    if (store->making < 0)
        store->making = open(store->file, O_RDONLY | O_CLOEXEC);
    if (store->making >= 0)
        flock(store->making, LOCK_EX);
}

enum status store_open_write(struct store *store, bool *rebuilt,
                             struct fault *why)
{
    enum health health = INDEX_EMPTY;
    int64_t version = 0;
    enum status st = make_folder(store, why);

    if (st != ST_OK)
        return st;
    st = connect_and_look(store, &health, &version, why);
    if (st != ST_OK || health != INDEX_GOOD) {
        /* Another program may be making it: look again when it is done. */
        lock_making(store);
        store_disconnect(store);
        st = connect_and_look(store, &health, &version, why);
    }
    if (st == ST_OK)
        st = store_prepare_writing(store, health, version, rebuilt, why);
    if (store->making >= 0)
        flock(store->making, LOCK_UN);
    return st;
}
