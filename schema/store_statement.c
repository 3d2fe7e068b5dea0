/* schema/store_statement.c - the SQL of the store, and how it is run. */
#include <stdlib.h>
#include <string.h>

#include "schema/sqlite_code.h"
#include "schema/store_internal.h"

/* Each statement is prepared once for a connection, on first use.  What
 * depends on a filter is built in store_read.c. */
static const char *const sql_texts[SQL_STATEMENTS] = {
    /* The lock is taken at once: a second writer learns that it must wait
     * before it has read a file. */
    [SQL_BEGIN_WRITE] = "BEGIN IMMEDIATE",
    [SQL_BEGIN_READ] = "BEGIN",
    /* A read transaction sees the state of its first read. */
    [SQL_FIX_SNAPSHOT] = "SELECT count(*) FROM (SELECT 1 FROM file LIMIT 1)",
    [SQL_COMMIT] = "COMMIT",
    [SQL_ROLLBACK] = "ROLLBACK",

    /* Statements that may change several rows, as SQLite takes those with
     * RETURNING or ON CONFLICT to do, begin a savepoint, and at each of these
     * FTS5 writes what it gathered: a solo at a time in place of a segment. */
    [SQL_FILE_ADD] =
        "INSERT INTO file (path, size, mtime_ns, sha256, part, unreadable)"
        " VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
    [SQL_FILE_CHANGE] =
        "UPDATE file SET path = ?1, size = ?2, mtime_ns = ?3, sha256 = ?4,"
        " part = ?5, unreadable = ?6 WHERE id = ?7",
    [SQL_FILE_FREE_PATH] =
        "UPDATE file SET path = NULL WHERE path = ?1 AND id <> ?2",
    [SQL_FILE_TOUCH] =
        "UPDATE file SET path = ?1, size = ?2, mtime_ns = ?3 WHERE id = ?4",
    [SQL_FILE_REMOVE] = "DELETE FROM file WHERE id = ?1",
    [SQL_FILE_BY_PATH] = "SELECT id FROM file WHERE path = ?1",
    [SQL_FILE_WITHOUT_PATH] = "SELECT id FROM file WHERE path IS NULL LIMIT 1",
    [SQL_FILES] =
        "SELECT id, path, size, mtime_ns, sha256, part, unreadable"
        " FROM file WHERE path IS NOT NULL ORDER BY path",

    [SQL_FILE_PATH] =
        "SELECT path, sha256 FROM file WHERE id = ?1 AND path IS NOT NULL",

    [SQL_SOLO_PUT] =
        "INSERT INTO solo (id, title, performer, composer, instrument,"
        " metre, concert_key, tempo, notes, chords, bars, warnings,"
        " segment)"
        " VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13)",
    [SQL_SOLO_REMOVE] = "DELETE FROM solo WHERE id = ?1",
    [SQL_SOLO_SEGMENT] = "SELECT segment FROM solo WHERE id = ?1",
    [SQL_SOLO_MOVE] = "UPDATE solo SET segment = ?2 WHERE id = ?1",

    [SQL_SEGMENTS] = "SELECT id, solos FROM segment ORDER BY id",
    [SQL_SEGMENTS_SMALL] = "SELECT id FROM segment WHERE notes < ?1",
    [SQL_SEGMENT_GET] = "SELECT solos FROM segment WHERE id = ?1",
    [SQL_SEGMENT_LAST] = "SELECT max(id) FROM segment",
    [SQL_SEGMENT_PUT] =
        "INSERT INTO segment (id, notes, solos) VALUES (?1, ?2, ?3)",
    [SQL_SEGMENT_REMOVE] = "DELETE FROM segment WHERE id = ?1",
    [SQL_STRAND_PUT] = "INSERT INTO strand (id, bytes) VALUES (?1, ?2)",
    [SQL_STRAND_GET] =
        /* Without the limit the row after the last would be read too. */
    "SELECT id, bytes FROM strand WHERE id BETWEEN ?1 AND ?2 ORDER BY id"
    " LIMIT ?2 - ?1 + 1",
    [SQL_STRANDS_REMOVE] = "DELETE FROM strand WHERE id BETWEEN ?1 AND ?2",
    [SQL_SALIENT_PUT] = "INSERT INTO salient (id, bytes) VALUES (?1, ?2)",
    [SQL_SALIENTS] =
        "SELECT id, bytes FROM salient WHERE id BETWEEN ?1 AND ?2 ORDER BY id",
    [SQL_SALIENT_REMOVE] = "DELETE FROM salient WHERE id = ?1",
    [SQL_CODES] = "SELECT kind, code, text FROM code",
    [SQL_CODE_PUT] = "INSERT INTO code (kind, code, text) VALUES (?1, ?2, ?3)",

    [SQL_BODY_PUT] = "INSERT INTO body (id, bytes) VALUES (?1, ?2)",
    [SQL_BODY_GET] = "SELECT bytes FROM body WHERE id = ?1",
    [SQL_BODY_REMOVE] = "DELETE FROM body WHERE id = ?1",

    [SQL_GRAM_PUT] = "INSERT INTO gram (rowid, notes) VALUES (?1, ?2)",
    /* A contentless table forgets a row when it is given its text again
     * (SQLite, "FTS5", section 6.4, The 'delete' Command). */
    [SQL_GRAM_REMOVE] =
        "INSERT INTO gram (gram, rowid, notes) VALUES ('delete', ?1, ?2)",
    [SQL_GRAM_PLACES] =
        "SELECT rowid, gram_positions(gram, ?2) FROM gram WHERE gram MATCH ?1",
    /* FTS5 has no word for what stands here, and usually it is not there. */
    [SQL_MERGE_GET] = "SELECT v FROM gram_config WHERE k = 'automerge'",
    [SQL_GRAM_MERGE] = "INSERT INTO gram (gram, rank) VALUES ('automerge', ?1)",
    [SQL_WORDS_MERGE] =
        "INSERT INTO words (words, rank) VALUES ('automerge', ?1)",
    [SQL_GRAM_OPTIMIZE] = "INSERT INTO gram (gram) VALUES ('optimize')",
    [SQL_WORDS_PUT] =
        "INSERT INTO words (rowid, title, performer, composer, instrument,"
        " text) VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
    [SQL_WORDS_REMOVE] = "DELETE FROM words WHERE rowid = ?1",
    [SQL_WORDS_OPTIMIZE] = "INSERT INTO words (words) VALUES ('optimize')",

    [SQL_TOTALS] =
        "SELECT count(*), coalesce(sum(notes), 0), coalesce(sum(chords), 0),"
        " coalesce(sum(warnings), 0),"
        " (SELECT count(*) FROM file WHERE unreadable <> '') FROM solo"
};

/* --- faults ----------------------------------------------------------- */

enum status store_damaged(const struct store *store, const char *detail,
                          struct fault *why)
{
    return fault_set(why, ST_LIBRARY,
                     "the index of %s is damaged (%s); "
                     "run cellar-index --full %s",
                     store->library, detail, store->library);
}

static enum status not_writable(const struct store *store,
                                struct fault *why)
{
    if (store->mode == STORE_READ)
        return fault_set(why, ST_IO, "%s may not be read", store->file);
    return fault_set(why, ST_IO,
                     "%s may not be written to; "
                     "keep the index elsewhere with --library DIR",
                     store->folder);
}

enum status store_fault(const struct store *store, int rc,
                        struct fault *why)
{
    const char *detail = store->db ? sqlite3_errmsg(store->db)
                                   : sqlite3_errstr(rc);

    rc = sqlite_code(rc);
    if ((rc & 0xff) == SQLITE_IOERR)
        detail = sqlite3_errstr(SQLITE_IOERR);
    switch (rc & 0xff) {
    case SQLITE_NOMEM:
        return fault_nomem(why);
    case SQLITE_BUSY:
    case SQLITE_LOCKED:
    case SQLITE_PROTOCOL:
        return fault_set(why, ST_BUSY,
                         "another program is writing the index of %s; "
                         "wait until it is done and try again",
                         store->library);
    case SQLITE_CORRUPT:
    case SQLITE_NOTADB:
    case SQLITE_FORMAT:
    case SQLITE_CONSTRAINT: /* rows that contradict each other */
    case SQLITE_ERROR:      /* tables that are not as we made them */
        return store_damaged(store, detail, why);
    case SQLITE_FULL:
        return fault_set(why, ST_IO, "no room to write the index of %s",
                         store->library);
    case SQLITE_IOERR:
        return fault_set(why, ST_IO, "the index %s: %s", store->file,
                         detail);
    case SQLITE_READONLY:
    case SQLITE_CANTOPEN:
    case SQLITE_PERM:
        return not_writable(store, why);
    case SQLITE_INTERRUPT:
        return fault_set(why, ST_INTERRUPTED, "interrupted");
    default:
        return fault_set(why, ST_INTERNAL, "the index %s: %s (%d)",
                         store->file, detail, rc);
    }
}

/* --- binding ---------------------------------------------------------- */

/* A statement run again from within its own rows is a bug of the caller;
 * going on would end the outer run without a word. */
static bool refuse_nested(struct binder *b)
{
    if (!b->stmt || !sqlite3_stmt_busy(b->stmt))
        return false;
    b->stmt = NULL;
    b->rc = SQLITE_MISUSE;
    return true;
}

struct binder store_bind(struct store *store, enum store_statement which)
{
    struct binder b = { store->statements[which], 1, SQLITE_OK };

    if (refuse_nested(&b) || b.stmt)
        return b;
    b.rc = sqlite3_prepare_v3(store->db, sql_texts[which], -1,
                              SQLITE_PREPARE_PERSISTENT, &b.stmt, NULL);
    store->statements[which] = b.stmt;
    return b;
}

struct binder store_bind_asked(struct store *store, struct store_asked *asked,
                               const char *sql)
{
    struct binder b = { asked->stmt, 1, SQLITE_OK };

    if (refuse_nested(&b))
        return b;
    if (asked->stmt && strcmp(asked->sql, sql) == 0)
        return b;
    sqlite3_finalize(asked->stmt);
    free(asked->sql);
    asked->stmt = b.stmt = NULL;
    asked->sql = strdup(sql);
    if (!asked->sql)
        b.rc = SQLITE_NOMEM;
    else
        b.rc = sqlite3_prepare_v3(store->db, sql, -1,
                                  SQLITE_PREPARE_PERSISTENT, &b.stmt, NULL);
    asked->stmt = b.stmt;
    return b;
}

void bind_int(struct binder *b, int64_t value)
{
    if (b->rc == SQLITE_OK)
        b->rc = sqlite3_bind_int64(b->stmt, b->next++, value);
}

void bind_text(struct binder *b, const char *text)
{
    if (b->rc == SQLITE_OK)
        b->rc = sqlite3_bind_text(b->stmt, b->next++, text ? text : "", -1,
                                  SQLITE_STATIC);
}

void bind_bytes(struct binder *b, const void *bytes, size_t size)
{
    if (b->rc == SQLITE_OK)
        b->rc = sqlite3_bind_blob64(b->stmt, b->next++, bytes, size,
                                    SQLITE_STATIC);
}

void bind_letters(struct binder *b, const char *text, size_t size)
{
    if (b->rc == SQLITE_OK)
        b->rc = sqlite3_bind_text64(b->stmt, b->next++, text, size,
                                    SQLITE_STATIC, SQLITE_UTF8);
}

void bind_owned(struct binder *b, char *text)
{
    if (b->rc == SQLITE_OK && text) {
        b->rc = sqlite3_bind_text(b->stmt, b->next++, text, -1, free);
        return;
    }
    free(text);
    if (b->rc == SQLITE_OK)
        b->rc = SQLITE_NOMEM;
}

/* --- running ---------------------------------------------------------- */

bool store_row(struct binder *b)
{
    if (b->rc != SQLITE_OK && b->rc != SQLITE_ROW)
        return false;
    b->rc = sqlite3_step(b->stmt);
    return b->rc == SQLITE_ROW;
}

enum status store_done(struct store *store, struct binder *b,
                       struct fault *why)
{
    enum status st = ST_OK;

    /* The words of the fault come from the connection, so they are taken
     * before the reset. */
    if (b->rc != SQLITE_OK && b->rc != SQLITE_ROW && b->rc != SQLITE_DONE)
        st = store_fault(store, b->rc, why);
    if (b->stmt) {
        sqlite3_reset(b->stmt);
        sqlite3_clear_bindings(b->stmt);
    }
    return st;
}

enum status store_run(struct store *store, struct binder *b,
                      struct fault *why)
{
    while (store_row(b))
        continue;
    return store_done(store, b, why);
}

enum status store_do(struct store *store, enum store_statement which,
                     struct fault *why)
{
    struct binder b = store_bind(store, which);

    return store_run(store, &b, why);
}

enum status store_do_begin(struct store *store, enum store_statement begin,
                           struct fault *why)
{
    struct binder end = store_bind(store, SQL_ROLLBACK);
    enum status st = store_done(store, &end, why);

    /* One that could not be ended for want of memory is ended now. */
    if (st == ST_OK && !sqlite3_get_autocommit(store->db))
        st = store_do(store, SQL_ROLLBACK, why);
    return st == ST_OK ? store_do(store, begin, why) : st;
}

const char *column_text(sqlite3_stmt *stmt, int column)
{
    const unsigned char *text = sqlite3_column_text(stmt, column);

    return text ? (const char *)text : "";
}
