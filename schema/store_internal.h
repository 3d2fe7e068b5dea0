/* schema/store_internal.h - what the files of the store share.
 *
 * Private to schema/store*.c.
 */
#ifndef SCHEMA_STORE_INTERNAL_H
#define SCHEMA_STORE_INTERNAL_H

#include <sqlite3.h>
#include <stdio.h>

#include "schema/store.h"

/* The statements of fixed text; their SQL stands in store.c. */
enum store_statement {
    SQL_BEGIN_WRITE,
    SQL_BEGIN_READ,
    SQL_FIX_SNAPSHOT,
    SQL_COMMIT,
    SQL_ROLLBACK,
    SQL_FILE_PUT,
    SQL_FILE_FREE_PATH,
    SQL_FILE_TOUCH,
    SQL_FILE_REMOVE,
    SQL_FILE_BY_PATH,
    SQL_FILE_WITHOUT_PATH,
    SQL_FILES,
    SQL_PATH_ORDER,
    SQL_SOLO_PUT,
    SQL_SOLO_REMOVE,
    SQL_SOLO_SEGMENT,
    SQL_SOLO_MOVE,
    SQL_SEGMENTS,
    SQL_SEGMENT_GET,
    SQL_SEGMENT_LAST,
    SQL_SEGMENT_NEW,
    SQL_SEGMENT_PUT,
    SQL_SEGMENT_REMOVE,
    SQL_STRAND_NEW,
    SQL_STRAND_GET,
    SQL_STRANDS_REMOVE,
    SQL_CODES,
    SQL_CODE_PUT,
    SQL_BODY_PUT,
    SQL_BODY_GET,
    SQL_BODY_REMOVE,
    SQL_GRAM_PUT,
    SQL_GRAM_REMOVE,
    SQL_GRAM_OPTIMIZE,
    SQL_WORDS_PUT,
    SQL_WORDS_REMOVE,
    SQL_WORDS_OPTIMIZE,
    SQL_TOTALS,
    SQL_STATEMENTS
};

/* A statement whose text depends on a filter: kept as long as the next
 * question has the same text. */
struct store_asked {
    char *sql;
    sqlite3_stmt *stmt;
};

/* Where the strands of a solo lie: see schema.sql. */
struct stretch {
    int64_t id, segment;
    uint32_t start, count;
};

/* A segment as read; strands are read when they are asked for. */
struct store_segment {
    int64_t id; /* 0: nothing is here */
    size_t sizes[STRANDS];
    uint8_t *strands[STRANDS]; /* NULL: not read */
};

enum {
    SEGMENT_NOTES = 16000, /* more only for one solo that is longer */
    SEGMENTS_HELD = 16
};

/* The strands as one read transaction sees them. */
struct store_strands {
    struct stretch *stretches; /* by id */
    size_t count, room;
    bool known; /* the stretches were read */
    struct store_segment held[SEGMENTS_HELD];
};

struct store {
    sqlite3 *db;
    char *library;   /* as given */
    char *folder;    /* LIBRARY/.cellar */
    char *file;      /* LIBRARY/.cellar/index.db */
    enum store_mode mode;
    bool writing;    /* between store_begin() and store_commit() */
    bool reading;    /* between store_read_begin() and store_read_end() */
    bool checkpoint; /* store_optimize() ran: shrink the log at commit */
    sqlite3_stmt *statements[SQL_STATEMENTS];
    struct store_asked solo, solos, ids, places;
    store_loaded loaded; /* told of every solo that is loaded, or NULL */
    void *loaded_context;
    store_changes changes; /* does LOADED change this solo?  Or NULL */
    struct store_strands strands;
    uint32_t segment_notes; /* SEGMENT_NOTES, fewer in tests */
    struct strand_codes *codes; /* of this transaction, or NULL */
    uint32_t *positions; /* what store_places() hands out */
    size_t positions_room;
};

/* Turn the SQLite result code RC into a fault about this library. */
enum status store_fault(const struct store *store, int rc,
                        struct fault *why);
/* The same words for damage that SQLite did not see; DETAIL says what. */
enum status store_damaged(const struct store *store, const char *detail,
                          struct fault *why);

/* --- statements ------------------------------------------------------ */

/* Values on their way into a statement.  The first failure sticks, so that
 * only store_run() or store_row() has to look.  Texts and blobs are borrowed
 * until the statement is reset. */
struct binder {
    sqlite3_stmt *stmt;
    int next; /* number of the next parameter, from 1 */
    int rc;
};

/* A binder for the fixed statement WHICH, prepared on first use.  Where that
 * fails the binder holds the code. */
struct binder store_bind(struct store *store, enum store_statement which);
/* The same for the text SQL (owned by the caller, who may free it). */
struct binder store_bind_asked(struct store *store, struct store_asked *asked,
                               const char *sql);
void bind_int(struct binder *b, int64_t value);
void bind_text(struct binder *b, const char *text);
void bind_bytes(struct binder *b, const void *bytes, size_t size);
/* A text that the statement frees; NULL means memory was out. */
void bind_owned(struct binder *b, char *text);

/* Run a statement that gives no rows, and reset it. */
enum status store_run(struct store *store, struct binder *b,
                      struct fault *why);
/* Step to the next row: true when there is one.  False at the end or on a
 * failure, which store_done() then reports. */
bool store_row(struct binder *b);
/* Reset the statement of B and report what its rows came to. */
enum status store_done(struct store *store, struct binder *b,
                       struct fault *why);

/* Column COLUMN as a text, "" where it is NULL. */
const char *column_text(sqlite3_stmt *stmt, int column);

/* The fixed statement that takes no values. */
enum status store_do(struct store *store, enum store_statement which,
                     struct fault *why);

/* --- strands (store_strand.c) ----------------------------------------- */

/* Give the notes of SOLO a place among the strands; *SEGMENT is 0 where there
 * are none.  For the file ID, which must have no strands yet. */
enum status strands_put(struct store *store, int64_t id,
                        const struct solo *solo, int64_t *segment,
                        struct fault *why);
/* Take the strands of the solo ID away; nothing where there are none. */
enum status strands_remove(struct store *store, int64_t id,
                           struct fault *why);
/* Forget what was read: the transaction is over. */
void strands_forget(struct store *store);

/* --- filters (store_filter.c) ---------------------------------------- */

/* Write " AND ID_COLUMN IN (...)" for FILTER to OUT; nothing where FILTER is
 * NULL or empty.  FIRST is the number of its first parameter.  ST_INTERNAL
 * for a term that is none. */
enum status filter_write(FILE *out, const char *id_column,
                         const struct filter *filter, int first,
                         struct fault *why);
/* Bind the values in the order of filter_write(). */
void filter_bind(struct binder *b, const struct filter *filter);

#endif
