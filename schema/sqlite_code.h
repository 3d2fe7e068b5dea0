/* schema/sqlite_code.h - what SQLite's result codes say of the machine. */
#ifndef SCHEMA_SQLITE_CODE_H
#define SCHEMA_SQLITE_CODE_H

#include <errno.h>
#include <sqlite3.h>
#include <stdlib.h>
#include <string.h>

/* RC as it is meant.  Called right after RC came back, in the same thread.
 * A read that the system refuses with EIO is given as damage of the file
 * (os_unix.c, SQLITE_IOERR_CORRUPTFS); but the file may be sound, and nobody
 * should be told to throw it away; within FTS5 it is a plain error.  Memory
 * that ran out in the middle of reading is given as a failure of reading. */
static inline int sqlite_code(int rc)
{
    if (rc == SQLITE_IOERR_NOMEM)
        return SQLITE_NOMEM;
    if (((rc & 0xff) == SQLITE_CORRUPT || rc == SQLITE_ERROR) && errno == EIO)
        return SQLITE_IOERR_READ;
    /* The files beside the database of WAL mode are no exception. */
    if ((rc & 0xff) == SQLITE_IOERR && errno == ENOSPC)
        return SQLITE_FULL;
    return rc;
}

/* What kept SQLite from reading the page that LINE, one of its
 * integrity_check, is about (btree.c, "unable to get the page"): SQLITE_NOMEM
 * and SQLITE_IOERR are no damage.  SQLITE_OK for any other line. */
static inline int sqlite_code_of_page(const char *line)
{
    static const char mark[] = "unable to get the page. error code=";
    const char *at = strstr(line, mark);
    int rc = at ? atoi(at + sizeof mark - 1) : SQLITE_OK;
    int primary = rc & 0xff;

    return primary == SQLITE_NOMEM || primary == SQLITE_IOERR ? rc : SQLITE_OK;
}

#endif
