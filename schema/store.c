/* schema/store.c - open and close an index, transactions.
 *
 * The index is a SQLite database in WAL mode, so that a question sees one
 * state of the library while cellar-index writes.  What lies in the file is
 * not trusted: triggers and views in it are switched off, and damage is
 * reported as such with the way to mend it.
 */
#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include "schema/gram.h"
#include "schema/sqlite_code.h"
#include "schema/store_internal.h"
#include "schema_sql.h"

enum {
    APPLICATION_ID = 0x43656C6C, /* as in schema.sql */
    BUSY_MILLISECONDS = 3000,
    CACHE_KIBIBYTES = 32768, /* of a writer */
    /* Most questions read most pages once, and the kernel keeps them: the
     * same memory over and over is sooner had than new memory. */
    READ_CACHE_KIBIBYTES = 768,
    /* Two parts of strands fit a page.  Only of meaning for a database
     * without anything in it. */
    PAGE_BYTES = 8192
};

/* What stands in an index file. */
enum health {
    INDEX_GOOD,
    INDEX_EMPTY, /* a database without anything in it */
    INDEX_OLDER,
    INDEX_NEWER,
    INDEX_FOREIGN, /* a sound database of another program */
    INDEX_DAMAGED
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

static void disconnect(struct store *store)
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

/* Open a connection.  Nothing is read from the file yet. */
static enum status connect(struct store *store, int flags, const char *tail,
                           struct fault *why)
{
    char *uri = uri_of(store->file, tail);
    int rc;

    if (!uri)
        return fault_nomem(why);
    rc = sqlite3_open_v2(uri, &store->db,
                         flags | SQLITE_OPEN_URI | SQLITE_OPEN_NOMUTEX, NULL);
    free(uri);
    if (rc != SQLITE_OK) {
        enum status st = store_fault(store, rc, why);

        disconnect(store);
        return st;
    }
    sqlite3_extended_result_codes(store->db, 1);
    sqlite3_busy_timeout(store->db, BUSY_MILLISECONDS);
    distrust_contents(store->db);
    return gram_register(store->db, why);
}

/* The one number that SQL gives. */
static int query_number(sqlite3 *db, const char *sql, int64_t *out)
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

/* An index that says it is ours has all of its tables with all of their
 * columns, or it is damaged. */
static int examine_tables(sqlite3 *db, enum health *out)
{
    int64_t number;
    int rc = query_number(db,
                          "SELECT count(*) FROM (SELECT file.id, file.path,"
                          " file.size, mtime_ns, sha256, part, unreadable,"
                          " solo.id, solo.title, solo.performer,"
                          " solo.composer, solo.instrument, metre,"
                          " concert_key, tempo, solo.notes, chords, bars,"
                          " warnings, segment, body.id, body.bytes,"
                          " segment.id, segment.notes, solos, strand.id,"
                          " strand.bytes, kind, code, code.text, gram.notes,"
                          " words.title, words.performer, words.composer,"
                          " words.instrument, words.text"
                          " FROM file, solo, body, segment, strand, code,"
                          " gram, words LIMIT 0)",
                          &number);

    *out = INDEX_GOOD;
    if (rc == SQLITE_ERROR || is_damage(rc)) {
        *out = INDEX_DAMAGED;
        rc = SQLITE_OK;
    }
    return rc;
}

/* Find out what the file holds.  Returns a SQLite code for what kept it from
 * being read, damage apart. */
static int examine(sqlite3 *db, enum health *out, int64_t *version)
{
    int64_t application = 0, tables = 0;
    int rc = query_number(db, "SELECT count(*) FROM sqlite_schema", &tables);

    *version = 0;
    if (rc == SQLITE_OK)
        rc = query_number(db, "PRAGMA application_id", &application);
    if (rc == SQLITE_OK)
        rc = query_number(db, "PRAGMA user_version", version);
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
        return examine_tables(db, out);
    return SQLITE_OK;
}

/* Say why an index in this state cannot be used, and how to mend it. */
static enum status health_fault(const struct store *store,
                                enum health health, int64_t version,
                                struct fault *why)
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

/* --- opening for reading ---------------------------------------------- */

/* A folder without an index is a plain case with a plain answer. */
static enum status find_index(const struct store *store, struct fault *why)
{
    struct stat info;

    if (stat(store->library, &info) != 0 && errno == ENOENT)
        return fault_set(why, ST_LIBRARY, "there is no folder %s",
                         store->library);
    if (stat(store->library, &info) == 0 && !S_ISDIR(info.st_mode))
        return fault_set(why, ST_LIBRARY, "%s is not a folder",
                         store->library);
    if (stat(store->file, &info) != 0) {
        if (errno == ENOENT || errno == ENOTDIR)
            return health_fault(store, INDEX_EMPTY, 0, why);
        return fault_set(why, ST_IO, "%s: %s", store->file, strerror(errno));
    }
    if (!S_ISREG(info.st_mode))
        return health_fault(store, INDEX_FOREIGN, 0, why);
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

/* True when a log with contents lies beside the index: the database alone is
 * then not the whole of it. */
static bool has_log(const struct store *store)
{
    char *log = NULL;
    struct stat info;
    bool found;

    if (asprintf(&log, "%s-wal", store->file) < 0)
        return true;
    found = stat(log, &info) == 0 && info.st_size > 0;
    free(log);
    return found;
}

/* Open an index with a log where there is no room for the file that readers
 * share: SQLite keeps what would be in it to itself while the index is locked
 * ("Write-Ahead Logging", section 8, Use of WAL Without Shared-Memory).
 * Where nothing may be written, no lock is to be had. */
static enum status reopen_alone(struct store *store, enum health *health,
                                int64_t *version, struct fault *why)
{
    enum status st = connect(store, SQLITE_OPEN_READWRITE, "", why);
    int rc;

    if (st != ST_OK)
        return st;
    rc = sqlite3_exec(store->db, "PRAGMA locking_mode = EXCLUSIVE", NULL, NULL,
                      NULL);
    if (rc == SQLITE_OK)
        rc = examine(store->db, health, version);
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

    disconnect(store);
    if (has_log(store))
        return reopen_alone(store, health, version, why);
    st = connect(store, SQLITE_OPEN_READONLY, "?immutable=1", why);
    if (st != ST_OK)
        return st;
    rc = examine(store->db, health, version);
    return rc == SQLITE_OK ? ST_OK : store_fault(store, rc, why);
}

static int set_up_reading(sqlite3 *db)
{
    char sql[80];

    snprintf(sql, sizeof sql,
             "PRAGMA query_only = ON; PRAGMA cache_size = -%d",
             READ_CACHE_KIBIBYTES);
    return sqlite3_exec(db, sql, NULL, NULL, NULL);
}

static enum status open_for_reading(struct store *store, struct fault *why)
{
    enum health health = INDEX_EMPTY;
    int64_t version = 0;
    enum status st = find_index(store, why);
    int rc;

    if (st != ST_OK)
        return st;
    /* A connection that may write tidies up the log behind it; that it does
     * not write anything else, query_only sees to. */
    st = connect(store, SQLITE_OPEN_READWRITE, "", why);
    if (st != ST_OK)
        return st;
    rc = examine(store->db, &health, &version);
    if (needs_writable_folder(rc))
        st = reopen_immutable(store, &health, &version, why);
    else if (rc != SQLITE_OK)
        st = store_fault(store, rc, why);
    if (st == ST_OK)
        st = health_fault(store, health, version, why);
    if (st != ST_OK)
        return st;
    rc = set_up_reading(store->db);
    return rc == SQLITE_OK ? ST_OK : store_fault(store, rc, why);
}

/* --- opening for writing ---------------------------------------------- */

/* Make the tables, unless another program made them a moment ago. */
static int create_tables(sqlite3 *db)
{
    int64_t tables = 0;
    int rc = sqlite3_exec(db, "BEGIN IMMEDIATE", NULL, NULL, NULL);

    if (rc != SQLITE_OK)
        return rc;
    rc = query_number(db, "SELECT count(*) FROM sqlite_schema", &tables);
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
        rc = examine(store->db, &health, &version);
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

/* Bring a database in the state HEALTH to a good index, or refuse. */
static enum status prepare_writing(struct store *store, enum health health,
                                   int64_t version, bool *rebuilt,
                                   struct fault *why)
{
    int rc;

    if (health == INDEX_NEWER || health == INDEX_FOREIGN)
        return health_fault(store, health, version, why);
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

/* Connect, look, and bring the index into a good state. */
static enum status connect_for_writing(struct store *store, bool *rebuilt,
                                       struct fault *why)
{
    enum health health = INDEX_EMPTY;
    int64_t version = 0;
    enum status st = connect(
        store, SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE, "", why);
    int rc;

    if (st != ST_OK)
        return st;
    if (sqlite3_db_readonly(store->db, "main") == 1)
        return store_fault(store, SQLITE_READONLY, why);
    rc = examine(store->db, &health, &version);
    if (rc != SQLITE_OK)
        return store_fault(store, rc, why);
    return prepare_writing(store, health, version, rebuilt, why);
}

static enum status open_for_writing(struct store *store, bool *rebuilt,
                                    struct fault *why)
{
    enum status st = make_folder(store, why);
    int folder;

    if (st != ST_OK)
        return st;
    /* Two programs must not both find that the index has to be made: the
     * second would empty what the first has begun to fill.  Where folders
     * cannot be locked this is left to SQLite's own locks. */
    folder = open(store->folder, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (folder >= 0)
        flock(folder, LOCK_EX);
    st = connect_for_writing(store, rebuilt, why);
    if (folder >= 0)
        close(folder);
    return st;
}

/* --- the public functions ---------------------------------------------- */

static struct store *store_new(const char *library, enum store_mode mode)
{
    struct store *store = calloc(1, sizeof *store);
    const char *slash = "/";

    if (!store)
        return NULL;
    store->mode = mode;
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
    st = mode == STORE_READ ? open_for_reading(store, why)
                            : open_for_writing(store, rebuilt, why);
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
        disconnect(store);
    segments_forget(store);
    free(store->places_found.items);
    free(store->places_found.list);
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
    disconnect(store);
    st = connect(store, SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE, "", why);
    if (st != ST_OK)
        return st;
    examine(store->db, &health, &version);
    return prepare_writing(store, INDEX_DAMAGED, 0, NULL, why);
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
