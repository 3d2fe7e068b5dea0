/* schema/store_open.h - what the files share that open an index.
 *
 * Private to store.c, store_connect.c and store_open_*.c.
 */
#ifndef SCHEMA_STORE_OPEN_H
#define SCHEMA_STORE_OPEN_H

#include "schema/store_internal.h"

/* What stands in an index file. */
enum health {
    INDEX_GOOD,
    INDEX_EMPTY, /* a database without anything in it */
    INDEX_OLDER,
    INDEX_NEWER,
    INDEX_FOREIGN, /* a sound database of another program */
    INDEX_DAMAGED
};

/* --- store_connect.c --------------------------------------------------- */

/* Open a connection with the FLAGS of SQLite and TAIL, the parameters of a
 * URI or "".  Nothing is read from the file yet. */
enum status store_connect(struct store *store, int flags, const char *tail,
                          struct fault *why);
/* Close it, with all of its statements. */
void store_disconnect(struct store *store);
/* The one number that SQL gives.  Returns a SQLite code. */
int sql_number(sqlite3 *db, const char *sql, int64_t *out);
/* Find out what the file holds, before it is opened to be used by MODE, and its
 * *VERSION.  Returns a SQLite code for what kept it from being read, damage
 * apart. */
int store_examine(sqlite3 *db, enum store_mode mode, enum health *out,
                  int64_t *version);
/* Say why an index in this state cannot be used, and how to mend it. */
enum status store_health_fault(const struct store *store, enum health health,
                               int64_t version, struct fault *why);

/* --- store_rest.c ------------------------------------------------------- */

/* Open a good index that nobody is writing as a file that stays as it is.
 * False, and nothing is open, where it is not plainly that. */
bool store_open_at_rest(struct store *store);
/* After one that was opened so was closed: fold in the log of who wrote
 * meanwhile and could not. */
void store_fold_behind(struct store *store);
/* Have a writer fold its log in from time to time, as store_fold() does. */
void store_fold_on_the_way(struct store *store);
/* Close one that was opened so; nothing happens where none is. */
void store_leave_rest(struct store *store);
/* Let go of the folder; with it goes the lock. */
void store_leave_folder(struct store *store);
/* True when a log with contents lies beside the index: the database alone is
 * then not the whole of it. */
bool store_has_log(const struct store *store);

/* --- store_open_read.c, store_open_write.c ------------------------------- */

/* Open the index for reading. */
enum status store_open_read(struct store *store, struct fault *why);
/* Open it for writing; *REBUILT as for store_open(). */
enum status store_open_write(struct store *store, bool *rebuilt,
                             struct fault *why);
/* Bring a database in the state HEALTH to a good index, or refuse. */
enum status store_prepare_writing(struct store *store, enum health health,
                                  int64_t version, bool *rebuilt,
                                  struct fault *why);

#endif
