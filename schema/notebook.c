/* schema/notebook.c - notebook.db: open and migrate. */
#include "schema/notebook.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "notebook_sql.h"
#include "schema/notebook_internal.h"

enum {
    APPLICATION_ID = 0x436c4e62, /* "ClNb" */
    BUSY_MILLISECONDS = 5000
};

/* --- versions --------------------------------------------------------- */

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

/* Where notebook.sql tells what makes VERSION of the one before; the end of
 * it for the version after the last. */
static const char *version_text(int64_t version)
{
    char heading[40];
    const char *at;

    snprintf(heading, sizeof heading, "\n-- version %lld\n",
             (long long)version);
    at = strstr(notebook_sql, heading);
    return at ? at : notebook_sql + strlen(notebook_sql);
}

/* Make VERSION of the one before it (0: an empty file). */
static enum status take_step(const struct notebook *n, int64_t version,
                             struct fault *why)
{
    const char *from = version_text(version);
    char *sql = strndup(from, (size_t)(version_text(version + 1) - from));
    char mark[60];
    enum status st;

    if (!sql)
        return fault_nomem(why);
    st = run_script(n, sql, why);
    free(sql);
    snprintf(mark, sizeof mark, "PRAGMA user_version = %lld",
             (long long)version);
    return st == ST_OK ? run_plain(n, mark, why) : st;
}

static enum status newer(const struct notebook *n, struct fault *why)
{
    return fault_set(why, ST_LIBRARY, "%s was written by a newer Cellar; "
                     "use that one", n->file);
}

/* From whatever version the file has to the newest, in one piece.  Two
 * programs may both set out to do it: the second sees the work of the first.
 */
static enum status bring_up(struct notebook *n, struct fault *why)
{
    char mark[60];
    enum status st = begin(n, why);

    if (st != ST_OK)
        return st;
    snprintf(mark, sizeof mark, "PRAGMA application_id = %d", APPLICATION_ID);
    st = ask_number(n, "PRAGMA user_version", &n->version, why);
    if (st == ST_OK && n->version == 0)
        st = run_plain(n, mark, why);
    if (st == ST_OK && n->version > NOTEBOOK_VERSION)
        st = newer(n, why);
    while (st == ST_OK && n->version < NOTEBOOK_VERSION)
        st = take_step(n, ++n->version, why);
    return finish(n, st, why);
}

/* --- the copy --------------------------------------------------------- */

static bool on_disk(const char *file)
{
    int fd = open(file, O_RDONLY | O_CLOEXEC);
    bool good = fd >= 0 && fsync(fd) == 0;

    if (fd >= 0)
        close(fd);
    return good;
}

/* The notebook as it stands into PART, then under the name COPY.  Where
 * another program was first, its copy stays. */
static enum status copy_to(const struct notebook *n, const char *part,
                           const char *copy, struct fault *why)
{
    struct asked a;
    enum status st;

    unlink(part);
    a = ask(n, "VACUUM INTO ?1");
    with_text(&a, part);
    st = done(n, &a, why);
    if (st == ST_OK && access(copy, F_OK) != 0 &&
        (!on_disk(part) || rename(part, copy) != 0))
        st = fault_set(why, ST_IO, "cannot write %s, the copy that is made "
                       "before the notebook changes: %s", copy,
                       strerror(errno));
    unlink(part);
    return st;
}

/* Copy the notebook to FILE.version-VERSION.copy before it is changed; an
 * older copy of that version stays what it was. */
static enum status back_up(const struct notebook *n, struct fault *why)
{
    size_t size = strlen(n->file) + 80;
    char *copy = malloc(size), *part = malloc(size);
    enum status st = ST_OK;

    if (copy && part) {
        snprintf(copy, size, "%s.version-%lld.copy", n->file,
                 (long long)n->version);
        snprintf(part, size, "%s.%ld", copy, (long)getpid());
        if (access(copy, F_OK) != 0)
            st = copy_to(n, part, copy, why);
    } else {
        st = fault_nomem(why);
    }
    free(copy);
    free(part);
    return st;
}

/* --- open ------------------------------------------------------------- */

/* ST_NOTHING: a reader found a file that nothing was written to yet. */
static enum status check_version(struct notebook *n, struct fault *why)
{
    int64_t application, tables = 0;
    enum status st = ask_number(n, "PRAGMA application_id", &application, why);

    if (st == ST_OK)
        st = ask_number(n, "PRAGMA user_version", &n->version, why);
    if (st == ST_OK && application == 0)
        st = ask_number(n, "SELECT count(*) FROM sqlite_schema", &tables, why);
    if (st != ST_OK)
        return st;
    if (tables == 0 && application == 0)
        return n->mode == NOTEBOOK_READ ? ST_NOTHING : bring_up(n, why);
    if (application != APPLICATION_ID || n->version < 1)
        return fault_set(why, ST_LIBRARY, "%s is no notebook of Cellar; move "
                         "it away", n->file);
    if (n->version > NOTEBOOK_VERSION)
        return newer(n, why);
    if (n->version == NOTEBOOK_VERSION || n->mode == NOTEBOOK_READ)
        return ST_OK;
    st = back_up(n, why);
    return st == ST_OK ? bring_up(n, why) : st;
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
    enum status st;

    if (rc != SQLITE_OK)
        return notebook_fault(n, rc, why);
    sqlite3_extended_result_codes(n->db, 1);
    sqlite3_busy_timeout(n->db, BUSY_MILLISECONDS);
    if (n->mode == NOTEBOOK_READ)
        return run_plain(n, "PRAGMA query_only = ON", why);
    /* What is acknowledged must outlive a power cut. */
    st = run_plain(n, "PRAGMA synchronous = FULL", why);
    return st == ST_OK ? run_plain(n, "PRAGMA foreign_keys = ON", why) : st;
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
