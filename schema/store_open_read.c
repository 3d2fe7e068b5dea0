/* schema/store_reader.c - open an index for reading. */
#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "schema/store_open.h"

enum {
    /* Most questions read most pages once, and the kernel keeps them: the
     * same memory over and over is sooner had than new memory. */
    READ_CACHE_KIBIBYTES = 256
};

/* A folder without an index is a plain case with a plain answer. */
static enum status no_index(const struct store *store, int error,
                            struct fault *why)
{
    struct stat info;

    if (stat(store->library, &info) != 0 && errno == ENOENT)
        return fault_set(why, ST_LIBRARY, "there is no folder %s",
                         store->library);
    if (stat(store->library, &info) == 0 && !S_ISDIR(info.st_mode))
        return fault_set(why, ST_LIBRARY, "%s is not a folder",
                         store->library);
    if (error == ENOENT || error == ENOTDIR)
        return store_health_fault(store, INDEX_EMPTY, 0, why);
    return fault_set(why, ST_IO, "%s: %s", store->file, strerror(error));
}

static enum status find_index(const struct store *store, struct fault *why)
{
    struct stat info;

    if (stat(store->file, &info) != 0)
        return no_index(store, errno, why);
    if (!S_ISREG(info.st_mode))
        return store_health_fault(store, INDEX_FOREIGN, 0, why);
    if (access(store->file, R_OK) != 0)
        return fault_set(why, ST_IO, "%s may not be read", store->file);
    return ST_OK;
}

/* Is RC what SQLite says where it may not write the files beside the index
 * that WAL mode needs, or where there is no room for them? */
static bool needs_writable_folder(int rc)
{
    int primary = rc & 0xff;

    return primary == SQLITE_CANTOPEN || primary == SQLITE_READONLY ||
           primary == SQLITE_FULL || rc == SQLITE_IOERR_SHMOPEN ||
           rc == SQLITE_IOERR_SHMSIZE || rc == SQLITE_IOERR_SHMLOCK ||
           rc == SQLITE_IOERR_SHMMAP;
}

/* Open an index with a log where there is no room for the file that readers
 * share: SQLite keeps what would be in it to itself while the index is locked
 * ("Write-Ahead Logging", section 8, Use of WAL Without Shared-Memory).
 * Where nothing may be written, no lock is to be had. */
static enum status reopen_alone(struct store *store, enum health *health,
                                int64_t *version, struct fault *why)
{
    enum status st = store_connect(store, SQLITE_OPEN_READWRITE, "", why);
    int rc;

    if (st != ST_OK)
        return st;
    rc = sqlite3_exec(store->db, "PRAGMA locking_mode = EXCLUSIVE", NULL, NULL,
                      NULL);
    if (rc == SQLITE_OK)
        rc = store_examine(store->db, store->mode, health, version);
    if (rc == SQLITE_OK)
        return ST_OK;
    if ((rc & 0xff) == SQLITE_BUSY)
        return store_fault(store, rc, why);
    return fault_set(why, ST_LIBRARY,
                     "the last write to the index of %s was cut short, "
                     "and mending it needs a folder that may be written "
                     "to; run cellar-index there, or copy the folder",
                     store->library);
}

/* Open an index that lies where nothing may be written, such as a DVD: it is
 * read as a file that nobody changes. */
static enum status reopen_immutable(struct store *store, enum health *health,
                                    int64_t *version, struct fault *why)
{
    enum status st;
    int rc;

    store_disconnect(store);
    if (store_has_log(store))
        return reopen_alone(store, health, version, why);
    st = store_connect(store, SQLITE_OPEN_READONLY, "?immutable=1", why);
    if (st != ST_OK)
        return st;
    rc = store_examine(store->db, store->mode, health, version);
    return rc == SQLITE_OK ? ST_OK : store_fault(store, rc, why);
}

static enum status set_up_reading(struct store *store, struct fault *why)
{
    char sql[80];
    int rc;

    snprintf(sql, sizeof sql,
             "PRAGMA query_only = ON; PRAGMA cache_size = -%d",
             READ_CACHE_KIBIBYTES);
    rc = sqlite3_exec(store->db, sql, NULL, NULL, NULL);
    return rc == SQLITE_OK ? ST_OK : store_fault(store, rc, why);
}

enum status store_take_part(struct store *store, struct fault *why)
{
    enum health health = INDEX_EMPTY;
    int64_t version = 0;
    enum status st;
    int rc;

    store_leave_rest(store);
    /* A connection that may write tidies up the log behind it; that it does
     * not write anything else, query_only sees to. */
    st = store_connect(store, SQLITE_OPEN_READWRITE, "", why);
    if (st != ST_OK)
        return st;
    rc = store_examine(store->db, store->mode, &health, &version);
    if (needs_writable_folder(rc))
        st = reopen_immutable(store, &health, &version, why);
    else if (rc != SQLITE_OK)
        st = store_fault(store, rc, why);
    if (st == ST_OK)
        st = store_health_fault(store, health, version, why);
    return st == ST_OK ? set_up_reading(store, why) : st;
}

enum status store_open_read(struct store *store, struct fault *why)
{
    enum status st = find_index(store, why);

    if (st != ST_OK)
        return st;
    return store_open_at_rest(store) ? set_up_reading(store, why)
                                     : store_take_part(store, why);
}
