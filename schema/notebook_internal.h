/* schema/notebook_internal.h - what the files notebook*.c share.
 *
 * Private to them.
 */
#ifndef SCHEMA_NOTEBOOK_INTERNAL_H
#define SCHEMA_NOTEBOOK_INTERNAL_H

#include <sqlite3.h>

#include "schema/notebook.h"

struct notebook {
    sqlite3 *db;
    char *file;
    enum notebook_mode mode;
    int64_t version; /* a reader may stand before an older one */
};

/* What SQLite answered with RC, in words. */
enum status notebook_fault(const struct notebook *n, int rc,
                           struct fault *why);

/* The file holds what no Cellar has written. */
enum status notebook_damaged(const struct notebook *n, const char *what,
                             struct fault *why);

/* A statement that is run once, with its values; the first failure sticks.
 * Every ask() ends with answered(). */
struct asked {
    sqlite3_stmt *stmt;
    int rc, next;
};

struct asked ask(const struct notebook *n, const char *sql);
/* Bind the next value.  Text is borrowed until answered(). */
void with_int(struct asked *a, int64_t value);
void with_text(struct asked *a, const char *value);
/* True while there is a row to read. */
bool next_row(struct asked *a);
/* Close A: ST_OK when it ran to its end or was left at a row. */
enum status answered(const struct notebook *n, struct asked *a,
                     struct fault *why);
/* Run A, which answers with no row that matters, and close it. */
enum status done(const struct notebook *n, struct asked *a, struct fault *why);

/* A statement without values. */
enum status run_plain(const struct notebook *n, const char *sql,
                      struct fault *why);
/* The first number of the first row, else 0. */
enum status ask_number(const struct notebook *n, const char *sql,
                       int64_t *out, struct fault *why);
/* Text of a row, "" for NULL.  Borrowed: until the next row. */
const char *text_at(sqlite3_stmt *stmt, int column);

/* A change in one piece: it holds after finish() with ST_OK, and not at all
 * else.  finish() commits where ST is good, and returns what is wrong. */
enum status begin(const struct notebook *n, struct fault *why);
enum status finish(const struct notebook *n, enum status st,
                   struct fault *why);

#endif
