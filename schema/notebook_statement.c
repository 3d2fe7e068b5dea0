/* schema/notebook_statement.c - statements of the notebook, and what SQLite
 * says of them in plain words. */
#include "schema/notebook_internal.h"
#include "schema/sqlite_code.h"

enum status notebook_damaged(const struct notebook *n, const char *what,
                             struct fault *why)
{
    return fault_set(why, ST_LIBRARY, "%s is damaged (%s); it is left as "
                     "it is: put a copy of yours in its place, or move "
                     "it away", n->file, what);
}

enum status notebook_fault(const struct notebook *n, int rc,
                           struct fault *why)
{
    const char *detail = n->db ? sqlite3_errmsg(n->db) : sqlite3_errstr(rc);

    rc = sqlite_code(rc);
    if ((rc & 0xff) == SQLITE_IOERR)
        detail = sqlite3_errstr(SQLITE_IOERR);
    switch (rc & 0xff) {
    case SQLITE_NOMEM:
        return fault_nomem(why);
    case SQLITE_BUSY:
    case SQLITE_LOCKED:
        return fault_set(why, ST_BUSY, "another program is writing %s; wait "
                         "until it is done and try again", n->file);
    case SQLITE_CORRUPT:
    case SQLITE_NOTADB:
    case SQLITE_ERROR: /* tables that are not as we made them */
        return notebook_damaged(n, detail, why);
    case SQLITE_READONLY:
    case SQLITE_CANTOPEN:
    case SQLITE_PERM:
        return fault_set(why, ST_IO, "%s may not be %s", n->file,
                         n->mode == NOTEBOOK_READ ? "read" : "written to");
    case SQLITE_FULL:
        return fault_set(why, ST_IO, "no room to write %s", n->file);
    default:
        return fault_set(why, ST_IO, "%s: %s", n->file, detail);
    }
}

struct asked ask(const struct notebook *n, const char *sql)
{
    struct asked a = { NULL, SQLITE_OK, 1 };

    a.rc = sqlite3_prepare_v2(n->db, sql, -1, &a.stmt, NULL);
    return a;
}

void with_int(struct asked *a, int64_t value)
{
    if (a->rc == SQLITE_OK)
        a->rc = sqlite3_bind_int64(a->stmt, a->next++, value);
}

void with_text(struct asked *a, const char *value)
{
    if (a->rc == SQLITE_OK)
        a->rc = sqlite3_bind_text(a->stmt, a->next++, value, -1,
                                  SQLITE_STATIC);
}

bool next_row(struct asked *a)
{
    if (a->rc == SQLITE_OK || a->rc == SQLITE_ROW)
        a->rc = sqlite3_step(a->stmt);
    return a->rc == SQLITE_ROW;
}

enum status answered(const struct notebook *n, struct asked *a,
                     struct fault *why)
{
    enum status st = ST_OK;

    if (a->rc != SQLITE_OK && a->rc != SQLITE_DONE && a->rc != SQLITE_ROW)
        st = notebook_fault(n, a->rc, why);
    sqlite3_finalize(a->stmt);
    a->stmt = NULL;
    return st;
}

enum status done(const struct notebook *n, struct asked *a, struct fault *why)
{
    next_row(a);
    return answered(n, a, why);
}

enum status run_plain(const struct notebook *n, const char *sql,
                      struct fault *why)
{
    struct asked a = ask(n, sql);

    return done(n, &a, why);
}

enum status ask_number(const struct notebook *n, const char *sql,
                       int64_t *out, struct fault *why)
{
    struct asked a = ask(n, sql);

    *out = next_row(&a) ? sqlite3_column_int64(a.stmt, 0) : 0;
    return answered(n, &a, why);
}

const char *text_at(sqlite3_stmt *stmt, int column)
{
    const char *text = (const char *)sqlite3_column_text(stmt, column);

    return text ? text : "";
}

enum status begin(const struct notebook *n, struct fault *why)
{
    enum status st = ST_OK;

    /* One that could not be ended for want of memory is ended now. */
    if (!sqlite3_get_autocommit(n->db))
        st = run_plain(n, "ROLLBACK", why);
    if (st != ST_OK)
        return st;
    return run_plain(n, n->mode == NOTEBOOK_READ ? "BEGIN" : "BEGIN IMMEDIATE",
                     why);
}

enum status finish(const struct notebook *n, enum status st,
                   struct fault *why)
{
    if (st == ST_OK)
        st = run_plain(n, "COMMIT", why);
    if (st != ST_OK)
        run_plain(n, "ROLLBACK", NULL);
    return st;
}
