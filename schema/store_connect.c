/* schema/store_connect.c - connect to an index file and find out what it
 * holds.
 *
 * What lies in the file is not trusted: triggers and views in it are switched
 * off, and damage is reported as such with the way to mend it.
 */
#include <pthread.h>
#include <stdlib.h>
#include <string.h>

#include "schema/gram.h"
#include "schema/sqlite_code.h"
#include "schema/store_open.h"

enum {
    APPLICATION_ID = 0x43656C6C, /* as in schema.sql */
    BUSY_MILLISECONDS = 3000
};

/* --- connecting ------------------------------------------------------- */

/* FILE as a SQLite URI that ends in TAIL.  Whatever the path holds ('%', '?',
 * '#', "file:") stands for itself.  The caller owns it; NULL: no memory. */
static char *uri_of(const char *file, const char *tail)
{
    static const char plain[] = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
                                "abcdefghijklmnopqrstuvwxyz0123456789-._~/";
    const char *head = file[0] == '/' ? "file://" : "file:";
    char *uri = malloc(strlen(head) + 3 * strlen(file) + strlen(tail) + 1);
    char *at = uri;

    if (!uri)
        return NULL;
    at += sprintf(at, "%s", head);
    for (; *file; file++) {
        if (strchr(plain, *file))
            *at++ = *file;
        else
            at += sprintf(at, "%%%02X", (unsigned char)*file);
    }
    strcpy(at, tail);
    return uri;
}

void store_forget_asked(struct store_asked *asked)
{
    sqlite3_finalize(asked->stmt);
    free(asked->sql);
    asked->stmt = NULL;
    asked->sql = NULL;
}

void store_disconnect(struct store *store)
{
    for (int i = 0; i < SQL_STATEMENTS; i++) {
        sqlite3_finalize(store->statements[i]);
        store->statements[i] = NULL;
    }
    store_forget_asked(&store->solos);
    store_forget_asked(&store->ids);
    store_forget_asked(&store->passing);
    /* Closing can only fail while statements live, and there are none; what
     * was committed is on disk, a log that could not be folded into the
     * database is read by whoever opens it next. */
    if (sqlite3_close(store->db) != SQLITE_OK)
        sqlite3_close_v2(store->db);
    store->db = NULL;
    store->merging = false;
}

static void distrust_contents(sqlite3 *db)
{
    sqlite3_db_config(db, SQLITE_DBCONFIG_DEFENSIVE, 1, (int *)NULL);
    sqlite3_db_config(db, SQLITE_DBCONFIG_TRUSTED_SCHEMA, 0, (int *)NULL);
    sqlite3_db_config(db, SQLITE_DBCONFIG_ENABLE_TRIGGER, 0, (int *)NULL);
    sqlite3_db_config(db, SQLITE_DBCONFIG_ENABLE_VIEW, 0, (int *)NULL);
}

/* SQLite counts the memory it has in use, under a lock at every turn, and
 * nobody asks for the sum.  It can be told so before it is first used;
 * afterwards it goes on as it did. */
static void forgo_counting(void)
{
    sqlite3_config(SQLITE_CONFIG_MEMSTATUS, 0);
}

enum status store_connect(struct store *store, int flags, const char *tail,
                          struct fault *why)
{
    static pthread_once_t once = PTHREAD_ONCE_INIT;
    char *uri = uri_of(store->file, tail);
    int rc;

    if (!uri)
        return fault_nomem(why);
    pthread_once(&once, forgo_counting);
    rc = sqlite3_open_v2(uri, &store->db,
                         flags | SQLITE_OPEN_URI | SQLITE_OPEN_NOMUTEX, NULL);
    free(uri);
    if (rc != SQLITE_OK) {
        enum status st = store_fault(store, rc, why);

        store_disconnect(store);
        return st;
    }
    sqlite3_extended_result_codes(store->db, 1);
    sqlite3_busy_timeout(store->db, BUSY_MILLISECONDS);
    distrust_contents(store->db);
    if (store->mode == STORE_WRITE)
        store_fold_on_the_way(store);
    return gram_register(store->db, why);
}

int sql_number(sqlite3 *db, const char *sql, int64_t *out)
{
    sqlite3_stmt *stmt = NULL;
    int rc = sqlite3_prepare_v2(db, sql, -1, &stmt, NULL);

    if (rc == SQLITE_OK && sqlite3_step(stmt) == SQLITE_ROW)
        *out = sqlite3_column_int64(stmt, 0);
    if (rc == SQLITE_OK)
        rc = sqlite3_finalize(stmt);
    return sqlite_code(rc);
}

static bool is_damage(int rc)
{
    return (rc & 0xff) == SQLITE_CORRUPT || (rc & 0xff) == SQLITE_NOTADB;
}

/* The columns of the tables that are SQLite's own kind. */
static const struct {
    const char *table, *columns[14];
} own_tables[] = {
    { "file",
      { "id", "path", "size", "mtime_ns", "sha256", "part", "unreadable" } },
    { "solo",
      { "id", "title", "performer", "composer", "instrument", "metre",
        "concert_key", "tempo", "notes", "chords", "bars", "warnings",
        "segment" } },
    { "body", { "id", "bytes" } },
    { "segment", { "id", "notes", "solos" } },
    { "strand", { "id", "bytes" } },
    { "salient", { "id", "bytes" } },
    { "code", { "kind", "code", "text" } }
};

/* SQLITE_ERROR where one of them is not there. */
static int find_columns(sqlite3 *db)
{
    int rc = SQLITE_OK;

    for (size_t t = 0; t < sizeof own_tables / sizeof *own_tables; t++)
        for (const char *const *at = own_tables[t].columns;
             *at && rc == SQLITE_OK; at++)
            rc = sqlite3_table_column_metadata(db, "main", own_tables[t].table,
                                               *at, NULL, NULL, NULL, NULL,
                                               NULL);
    return rc;
}

/* Is this a statement that can be run? */
static int try_statement(sqlite3 *db, const char *sql)
{
    sqlite3_stmt *stmt = NULL;
    int rc = sqlite3_prepare_v2(db, sql, -1, &stmt, NULL);

    sqlite3_finalize(stmt);
    return rc;
}

/* An index that says it is ours has all of its tables with all of their
 * columns, or it is damaged.  FTS5 looks into a table of its kind when it is
 * first asked for; who only reads finds out then what is wrong with the words,
 * which most questions need not. */
static int examine_tables(sqlite3 *db, enum store_mode mode, enum health *out)
{
    int rc = find_columns(db);

    if (rc == SQLITE_OK)
        rc = try_statement(db, "SELECT notes FROM gram");
    if (rc == SQLITE_OK && mode == STORE_WRITE)
        rc = try_statement(db, "SELECT title, performer, composer,"
                               " instrument, text FROM words");
    rc = sqlite_code(rc);
    *out = INDEX_GOOD;
    if (rc == SQLITE_ERROR || is_damage(rc)) {
        *out = INDEX_DAMAGED;
        rc = SQLITE_OK;
    }
    return rc;
}

int store_examine(sqlite3 *db, enum store_mode mode, enum health *out,
                  int64_t *version)
{
    int64_t application = 0, tables = 0;
    int rc = sql_number(db, "PRAGMA application_id", &application);

    *version = 0;
    if (rc == SQLITE_OK && application == 0)
        rc = sql_number(db, "SELECT count(*) FROM sqlite_schema", &tables);
    if (rc == SQLITE_OK)
        rc = sql_number(db, "PRAGMA user_version", version);
    *out = INDEX_DAMAGED;
    /* SQLITE_ERROR here is a schema that cannot be understood. */
    if (rc == SQLITE_ERROR || is_damage(rc))
        return SQLITE_OK;
    if (rc != SQLITE_OK)
        return rc;
    if (application == 0 && tables == 0)
        *out = INDEX_EMPTY;
    else if (application != APPLICATION_ID)
        *out = INDEX_FOREIGN;
    else if (*version < STORE_VERSION)
        *out = INDEX_OLDER;
    else if (*version > STORE_VERSION)
        *out = INDEX_NEWER;
    else
        return examine_tables(db, mode, out);
    return SQLITE_OK;
}

enum status store_health_fault(const struct store *store, enum health health,
                               int64_t version, struct fault *why)
{
    switch (health) {
    case INDEX_GOOD:
        return ST_OK;
    case INDEX_EMPTY:
        return fault_set(why, ST_LIBRARY,
                         "%s holds no index yet; run cellar-index %s",
                         store->library, store->library);
    case INDEX_OLDER:
        return fault_set(why, ST_LIBRARY,
                         "the index of %s was written by an older Cellar; "
                         "run cellar-index %s",
                         store->library, store->library);
    case INDEX_NEWER:
        return fault_set(why, ST_LIBRARY,
                         "this index was written by a newer Cellar (its "
                         "version is %lld, this one reads %d); use that one, "
                         "or delete %s and index again",
                         (long long)version, STORE_VERSION, store->file);
    case INDEX_FOREIGN:
        return fault_set(why, ST_LIBRARY,
                         "%s is no index of Cellar; move it away and run "
                         "cellar-index --full %s",
                         store->file, store->library);
    case INDEX_DAMAGED:
        break;
    }
    return store_damaged(store, "it cannot be read as an index", why);
}
