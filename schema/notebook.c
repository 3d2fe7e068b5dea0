/* schema/notebook.c - notebook.db: open, migrate, form corrections. */
#include "schema/notebook.h"

#include <errno.h>
#include <sqlite3.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "notebook_sql.h"

enum {
    APPLICATION_ID = 0x436c4e62, /* "ClNb" */
    BUSY_MILLISECONDS = 5000
};

struct notebook {
    sqlite3 *db;
    char *file;
    enum notebook_mode mode;
};

/* --- faults ----------------------------------------------------------- */

static enum status notebook_fault(const struct notebook *n, int rc,
                                  struct fault *why)
{
    const char *detail = n->db ? sqlite3_errmsg(n->db) : sqlite3_errstr(rc);

    switch (rc & 0xff) {
    case SQLITE_NOMEM:
        return fault_nomem(why);
    case SQLITE_BUSY:
    case SQLITE_LOCKED:
        return fault_set(why, ST_BUSY, "another program is writing %s; wait "
                         "until it is done and try again", n->file);
    case SQLITE_CORRUPT:
    case SQLITE_NOTADB:
        return fault_set(why, ST_LIBRARY, "%s is damaged (%s); it is left as "
                         "it is: put a copy of yours in its place, or move "
                         "it away", n->file, detail);
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

/* --- statements ------------------------------------------------------- */

/* A statement that is run once, with its values; the first failure sticks. */
struct asked {
    sqlite3_stmt *stmt;
    int rc, next;
};

static struct asked ask(const struct notebook *n, const char *sql)
{
    struct asked a = { NULL, SQLITE_OK, 1 };

    a.rc = sqlite3_prepare_v2(n->db, sql, -1, &a.stmt, NULL);
    return a;
}

static void with_int(struct asked *a, int64_t value)
{
    if (a->rc == SQLITE_OK)
        a->rc = sqlite3_bind_int64(a->stmt, a->next++, value);
}

static void with_text(struct asked *a, const char *value)
{
    if (a->rc == SQLITE_OK)
        a->rc = sqlite3_bind_text(a->stmt, a->next++, value, -1,
                                  SQLITE_STATIC);
}

static bool next_row(struct asked *a)
{
    if (a->rc == SQLITE_OK || a->rc == SQLITE_ROW)
        a->rc = sqlite3_step(a->stmt);
    return a->rc == SQLITE_ROW;
}

/* Close A: ST_OK when it ran to its end or was left at a row. */
static enum status answered(const struct notebook *n, struct asked *a,
                            struct fault *why)
{
    enum status st = ST_OK;

    if (a->rc != SQLITE_OK && a->rc != SQLITE_DONE && a->rc != SQLITE_ROW)
        st = notebook_fault(n, a->rc, why);
    sqlite3_finalize(a->stmt);
    a->stmt = NULL;
    return st;
}

static enum status run_plain(const struct notebook *n, const char *sql,
                             struct fault *why)
{
    struct asked a = ask(n, sql);

    next_row(&a);
    return answered(n, &a, why);
}

static enum status ask_number(const struct notebook *n, const char *sql,
                              int64_t *out, struct fault *why)
{
    struct asked a = ask(n, sql);

    *out = next_row(&a) ? sqlite3_column_int64(a.stmt, 0) : 0;
    return answered(n, &a, why);
}

static const char *text_at(sqlite3_stmt *stmt, int column)
{
    const char *text = (const char *)sqlite3_column_text(stmt, column);

    return text ? text : "";
}

/* --- open and migrate ------------------------------------------------- */

/* Run the statements of SQL one by one. */
static enum status run_script(const struct notebook *n, const char *sql,
                              struct fault *why)
{
    while (*sql) {
        sqlite3_stmt *stmt = NULL;
        int rc = sqlite3_prepare_v2(n->db, sql, -1, &stmt, &sql);

        if (rc == SQLITE_OK && stmt)
            rc = sqlite3_step(stmt);
        sqlite3_finalize(stmt);
        if (rc != SQLITE_OK && rc != SQLITE_DONE)
            return notebook_fault(n, rc, why);
        if (!stmt)
            break;
    }
    return ST_OK;
}

static enum status create(const struct notebook *n, struct fault *why)
{
    char marks[120];
    enum status st = run_script(n, notebook_sql, why);

    snprintf(marks, sizeof marks,
             "PRAGMA application_id = %d; PRAGMA user_version = %d;",
             APPLICATION_ID, NOTEBOOK_VERSION);
    if (st == ST_OK)
        st = run_script(n, marks, why);
    return st;
}

/* Copy the notebook to FILE-VERSION.copy before it is changed; an older copy
 * of that version stays what it was. */
static enum status back_up(const struct notebook *n, int64_t version,
                           struct fault *why)
{
    size_t size = strlen(n->file) + 40;
    char *copy = malloc(size);
    struct asked a;
    enum status st;

    if (!copy)
        return fault_nomem(why);
    snprintf(copy, size, "%s.version-%lld.copy", n->file, (long long)version);
    if (access(copy, F_OK) == 0) {
        free(copy);
        return ST_OK;
    }
    a = ask(n, "VACUUM INTO ?1");
    with_text(&a, copy);
    next_row(&a);
    st = answered(n, &a, why);
    free(copy);
    return st;
}

/* Bring an older notebook up to date.  Version 1 is the first: there is
 * nothing to change yet but the number. */
static enum status migrate(const struct notebook *n, int64_t version,
                           struct fault *why)
{
    char mark[60];
    enum status st = back_up(n, version, why);

    snprintf(mark, sizeof mark, "PRAGMA user_version = %d", NOTEBOOK_VERSION);
    if (st == ST_OK)
        st = run_plain(n, "BEGIN IMMEDIATE", why);
    if (st == ST_OK)
        st = run_plain(n, mark, why);
    if (st == ST_OK)
        st = run_plain(n, "COMMIT", why);
    return st;
}

/* ST_NOTHING: a reader found a file that nothing was written to yet. */
static enum status check_version(const struct notebook *n, struct fault *why)
{
    int64_t application, version, tables;
    enum status st = ask_number(n, "PRAGMA application_id", &application, why);

    if (st == ST_OK)
        st = ask_number(n, "PRAGMA user_version", &version, why);
    if (st == ST_OK)
        st = ask_number(n, "SELECT count(*) FROM sqlite_schema", &tables, why);
    if (st != ST_OK)
        return st;
    if (tables == 0 && application == 0) {
        /* Two programs may both find it empty: the second sees the work of
         * the first. */
        if (n->mode == NOTEBOOK_READ)
            return ST_NOTHING;
        st = run_plain(n, "BEGIN IMMEDIATE", why);
        if (st == ST_OK)
            st = ask_number(n, "SELECT count(*) FROM sqlite_schema", &tables,
                            why);
        if (st == ST_OK && tables == 0)
            st = create(n, why);
        return st == ST_OK ? run_plain(n, "COMMIT", why) : st;
    }
    if (application != APPLICATION_ID)
        return fault_set(why, ST_LIBRARY, "%s is no notebook of Cellar; move "
                         "it away", n->file);
    if (version > NOTEBOOK_VERSION)
        return fault_set(why, ST_LIBRARY, "%s was written by a newer Cellar; "
                         "use that one", n->file);
    if (version < NOTEBOOK_VERSION && n->mode == NOTEBOOK_WRITE)
        return migrate(n, version, why);
    return ST_OK;
}

static enum status make_folder(const char *library, struct fault *why)
{
    size_t size = strlen(library) + sizeof "/.cellar";
    char *folder = malloc(size);
    int failed;

    if (!folder)
        return fault_nomem(why);
    snprintf(folder, size, "%s/.cellar", library);
    failed = mkdir(folder, 0777) != 0 && errno != EEXIST ? errno : 0;
    if (failed)
        fault_set(why, ST_IO, "%s cannot be made: %s", folder,
                  strerror(failed));
    free(folder);
    return failed ? ST_IO : ST_OK;
}

static enum status connect(struct notebook *n, struct fault *why)
{
    /* A reader may have to finish what a killed writer left; SQLite falls
     * back to reading only where the file may not be written. */
    int flags = SQLITE_OPEN_READWRITE |
                (n->mode == NOTEBOOK_WRITE ? SQLITE_OPEN_CREATE : 0);
    int rc = sqlite3_open_v2(n->file, &n->db, flags, NULL);

    if (rc != SQLITE_OK)
        return notebook_fault(n, rc, why);
    sqlite3_extended_result_codes(n->db, 1);
    sqlite3_busy_timeout(n->db, BUSY_MILLISECONDS);
    if (n->mode == NOTEBOOK_READ)
        return run_plain(n, "PRAGMA query_only = ON", why);
    /* What is acknowledged must outlive a power cut. */
    return run_plain(n, "PRAGMA synchronous = FULL", why);
}

enum status notebook_open(struct notebook **out, const char *library,
                          enum notebook_mode mode, struct fault *why)
{
    size_t size = strlen(library) + sizeof "/.cellar/notebook.db";
    struct notebook *n = calloc(1, sizeof *n);
    enum status st = ST_OK;

    *out = NULL;
    if (n)
        n->file = malloc(size);
    if (!n || !n->file) {
        free(n);
        return fault_nomem(why);
    }
    n->mode = mode;
    snprintf(n->file, size, "%s/.cellar/notebook.db", library);
    if (mode == NOTEBOOK_READ && access(n->file, F_OK) != 0) {
        notebook_close(n);
        return ST_OK;
    }
    if (mode == NOTEBOOK_WRITE)
        st = make_folder(library, why);
    if (st == ST_OK)
        st = connect(n, why);
    if (st == ST_OK)
        st = check_version(n, why);
    if (st == ST_OK)
        *out = n;
    else
        notebook_close(n);
    return st == ST_NOTHING ? ST_OK : st;
}

void notebook_close(struct notebook *notebook)
{
    if (!notebook)
        return;
    /* Everything acknowledged was committed; there is nothing to lose. */
    sqlite3_close(notebook->db);
    free(notebook->file);
    free(notebook);
}

/* --- form corrections ------------------------------------------------- */

bool solo_identity_matches(const struct solo_identity *a,
                           const struct solo_identity *b)
{
    if (strcmp(a->sha256, b->sha256) == 0)
        return true;
    return a->harmony == b->harmony &&
           (strcmp(a->path, b->path) == 0 ||
            (*a->title && strcmp(a->title, b->title) == 0));
}

static void correction_at(sqlite3_stmt *stmt, struct form_correction *out)
{
    out->solo.sha256 = text_at(stmt, 1);
    out->solo.path = text_at(stmt, 2);
    out->solo.title = text_at(stmt, 3);
    out->solo.harmony = sqlite3_column_int64(stmt, 4);
    out->length = sqlite3_column_int(stmt, 5);
    out->first_bar = text_at(stmt, 6);
}

static const char forms_sql[] =
    "SELECT id, sha256, path, title, harmony, length, first_bar"
    " FROM form_correction ORDER BY id DESC";

enum status notebook_forms(struct notebook *notebook, notebook_form_each each,
                           void *context, struct fault *why)
{
    struct asked a = ask(notebook, forms_sql);
    bool more = true;

    while (more && next_row(&a)) {
        struct form_correction correction;

        correction_at(a.stmt, &correction);
        more = each(context, &correction);
    }
    return answered(notebook, &a, why);
}

/* Remove the corrections that hold for SOLO; *REMOVED counts them. */
static enum status remove_matching(struct notebook *n,
                                   const struct solo_identity *solo,
                                   int *removed, struct fault *why)
{
    struct asked a = ask(n, forms_sql);
    enum status st = ST_OK;

    *removed = 0;
    while (st == ST_OK && next_row(&a)) {
        struct form_correction correction;
        struct asked drop;

        correction_at(a.stmt, &correction);
        if (!solo_identity_matches(&correction.solo, solo))
            continue;
        drop = ask(n, "DELETE FROM form_correction WHERE id = ?1");
        with_int(&drop, sqlite3_column_int64(a.stmt, 0));
        next_row(&drop);
        st = answered(n, &drop, why);
        ++*removed;
    }
    if (st != ST_OK) {
        sqlite3_finalize(a.stmt);
        return st;
    }
    return answered(n, &a, why);
}

/* End the transaction with a commit where ST is good. */
static enum status finish(struct notebook *n, enum status st,
                          struct fault *why)
{
    if (st == ST_OK)
        st = run_plain(n, "COMMIT", why);
    if (st != ST_OK)
        run_plain(n, "ROLLBACK", NULL);
    return st;
}

enum status notebook_put_form(struct notebook *notebook,
                              const struct form_correction *correction,
                              struct fault *why)
{
    struct asked a;
    int removed;
    enum status st = run_plain(notebook, "BEGIN IMMEDIATE", why);

    if (st != ST_OK)
        return st;
    st = remove_matching(notebook, &correction->solo, &removed, why);
    if (st == ST_OK) {
        a = ask(notebook, "INSERT INTO form_correction (sha256, path, title,"
                          " harmony, length, first_bar)"
                          " VALUES (?1, ?2, ?3, ?4, ?5, ?6)");
        with_text(&a, correction->solo.sha256);
        with_text(&a, correction->solo.path);
        with_text(&a, correction->solo.title);
        with_int(&a, correction->solo.harmony);
        with_int(&a, correction->length);
        with_text(&a, correction->first_bar);
        next_row(&a);
        st = answered(notebook, &a, why);
    }
    return finish(notebook, st, why);
}

enum status notebook_drop_form(struct notebook *notebook,
                               const struct solo_identity *solo,
                               struct fault *why)
{
    int removed = 0;
    enum status st = run_plain(notebook, "BEGIN IMMEDIATE", why);

    if (st != ST_OK)
        return st;
    st = remove_matching(notebook, solo, &removed, why);
    st = finish(notebook, st, why);
    return st == ST_OK && removed == 0 ? ST_NOTHING : st;
}
