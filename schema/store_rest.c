/* schema/store_rest.c - an index at rest, read as a file that stays as it is.
 *
 * A reader in WAL mode makes two files beside the index and removes them
 * again, takes two locks a statement and looks each time whether the file has
 * changed: more work than a short question.  But in WAL mode the database
 * file itself changes only where a log is folded into it.  While there is no
 * log, all that was committed is in the file; and whoever sees to it that no
 * log is folded in may read it with none of that (SQLite, "URI Filenames",
 * immutable).  Writers go on beside such a reader: what they commit stays in
 * their log until it is gone, as it does with a reader in WAL mode that began
 * before them ("Write-Ahead Logging", section 2.1, Checkpointing).
 *
 * Two locks see to it.  SQLite takes the exclusive one of the file to fold the
 * log in as the last connection closes, to leave WAL mode, to roll a journal
 * back and to write without a log: the reader has the shared one.  A writer
 * that folds its log in on the way takes none on the file, and so asks for a
 * lock of ours on the folder, which the reader shares.  Both go with the
 * process that holds them, however it ends.
 */
#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include "schema/store_open.h"

enum {
    FOLD_PAGES = 1000 /* in the log, as SQLite has it without us */
};

/* --- the locks --------------------------------------------------------- */

/* HOW is LOCK_SH or LOCK_EX.  Nobody waits. */
static bool lock_folder(struct store *store, int how)
{
    if (store->folder_lock < 0)
        store->folder_lock =
            open(store->folder, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    return store->folder_lock >= 0 &&
           flock(store->folder_lock, how | LOCK_NB) == 0;
}

/* The lock that a connection which takes the file for one that stays as it is
 * does not take by itself.  It ends with the connection. */
static bool share_file(struct store *store)
{
    sqlite3_file *file = NULL;

    return sqlite3_file_control(store->db, "main", SQLITE_FCNTL_FILE_POINTER,
                                &file) == SQLITE_OK &&
           file->pMethods->xLock(file, SQLITE_LOCK_SHARED) == SQLITE_OK;
}

void store_leave_rest(struct store *store)
{
    if (store->at_rest) {
        store_forget_strands(store);
        store_disconnect(store);
    }
    store->at_rest = false;
    store_leave_folder(store);
}

void store_leave_folder(struct store *store)
{
    if (store->folder_lock >= 0)
        close(store->folder_lock);
    store->folder_lock = -1;
}

/* --- reading ------------------------------------------------------------ */

/* True when the file whose name is that of the index and TAIL has contents, or
 * may have. */
static bool lies_beside(const struct store *store, const char *tail)
{
    struct stat info;
    char *name = NULL;
    bool found;

    if (asprintf(&name, "%s%s", store->file, tail) < 0)
        return true;
    found = stat(name, &info) == 0 ? info.st_size > 0 : errno != ENOENT;
    free(name);
    return found;
}

bool store_has_log(const struct store *store)
{
    return lies_beside(store, "-wal");
}

/* Nothing may be looked at before the locks are there, and no answer of what
 * is looked at counts but that all is well: a log that was folded in between
 * the opening and the lock has changed the size of the file. */
bool store_open_at_rest(struct store *store)
{
    enum health health = INDEX_EMPTY;
    int64_t version;

    store->at_rest =
        lock_folder(store, LOCK_SH) &&
        store_connect(store, SQLITE_OPEN_READONLY, "?immutable=1", NULL) ==
            ST_OK &&
        share_file(store) && !store_has_log(store) &&
        !lies_beside(store, "-journal") &&
        store_examine(store->db, store->mode, &health, &version) == SQLITE_OK &&
        health == INDEX_GOOD;
    if (store->at_rest)
        return true;
    if (store->db)
        store_disconnect(store);
    store_leave_folder(store);
    return false;
}

void store_fold_behind(struct store *store)
{
    int64_t version;

    /* Closing folds it in, where nobody else has the index open.  A log that
     * could not be is read by whoever opens the index next. */
    if (!store_has_log(store) ||
        store_connect(store, SQLITE_OPEN_READWRITE, "", NULL) != ST_OK)
        return;
    sqlite3_busy_timeout(store->db, 0);
    sql_number(store->db, "PRAGMA user_version", &version);
    store_disconnect(store);
}

/* --- writing ------------------------------------------------------------ */

void store_fold(struct store *store, int how)
{
    if (!lock_folder(store, LOCK_EX))
        return;
    sqlite3_wal_checkpoint_v2(store->db, "main", how, NULL, NULL);
    flock(store->folder_lock, LOCK_UN);
}

static int after_commit(void *context, sqlite3 *db, const char *name,
                        int pages)
{
    (void)db;
    (void)name;
    if (pages >= FOLD_PAGES)
        store_fold(context, SQLITE_CHECKPOINT_PASSIVE);
    return SQLITE_OK;
}

void store_fold_on_the_way(struct store *store)
{
    sqlite3_wal_hook(store->db, after_commit, store);
}
