/* schema/store_internal.h - what the files of the store share.
 *
 * Private to schema/store*.c.
 */
#ifndef SCHEMA_STORE_INTERNAL_H
#define SCHEMA_STORE_INTERNAL_H

#include <sqlite3.h>
#include <stdio.h>

#include "schema/gather.h"
#include "schema/store.h"

/* The statements of fixed text; their SQL stands in
 * store_statement.c. */
enum store_statement {
    SQL_BEGIN_WRITE,
    SQL_BEGIN_READ,
    SQL_FIX_SNAPSHOT,
    SQL_COMMIT,
    SQL_ROLLBACK,
    SQL_FILE_ADD,
    SQL_FILE_CHANGE,
    SQL_FILE_FREE_PATH,
    SQL_FILE_TOUCH,
    SQL_FILE_REMOVE,
    SQL_FILE_BY_PATH,
    SQL_FILE_WITHOUT_PATH,
    SQL_FILES,
    SQL_FILE_PATH,
    SQL_SOLO_PUT,
    SQL_SOLO_REMOVE,
    SQL_SOLO_SEGMENT,
    SQL_SOLO_MOVE,
    SQL_SEGMENTS,
    SQL_SEGMENTS_SMALL,
    SQL_SEGMENT_GET,
    SQL_SEGMENT_LAST,
    SQL_SEGMENT_PUT,
    SQL_SEGMENT_REMOVE,
    SQL_STRAND_PUT,
    SQL_STRAND_GET,
    SQL_STRANDS_REMOVE,
    SQL_SALIENT_PUT,
    SQL_SALIENTS,
    SQL_SALIENT_REMOVE,
    SQL_CODES,
    SQL_CODE_PUT,
    SQL_BODY_PUT,
    SQL_BODY_GET,
    SQL_BODY_REMOVE,
    SQL_GRAM_PUT,
    SQL_GRAM_REMOVE,
    SQL_MERGE_GET,
    SQL_GRAM_MERGE,
    SQL_WORDS_MERGE,
    SQL_GRAM_OPTIMIZE,
    SQL_GRAM_PLACES,
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

/* Solos by segment and start. */
struct stretches {
    struct stretch *items;
    size_t count, room;
};

enum {
    PART_NOTES = 4000, /* of one strand in a row */
    SEGMENT_NOTES = 16 * PART_NOTES, /* more only for one longer solo */
    SEGMENTS_HELD = 4,
    SEGMENT_PARTS = 1 << 20, /* ids for the rows of a segment and a group */
    STRETCH_SIZE = 16, /* bytes of a solo in segment.solos */
    STRETCH_START = 8, /* of them before its first note */
    /* No solo ends further on in its segment: the largest document there may
     * be, 256 MB, holds fewer notes. */
    STRETCH_END_MAX = 1 << 23,
    /* The first strands, by which whole libraries are looked through, have
     * rows of their own, as have the last, which few questions need.  Rows with
     * the first and the others together, of fewer notes, are for who looks at
     * one place. */
    STRANDS_FIRST = STRAND_PLACE + 1,
    STRANDS_TOGETHER = STRAND_TONES + 1,
    SHEAF = STRANDS_FIRST,
    STRAND_GROUPS = SHEAF + 1 + STRANDS - STRANDS_TOGETHER
};

/* The list of the solos of a segment. */
struct solo_list {
    int64_t segment; /* 0: none was read */
    uint8_t *bytes;  /* segment.solos */
    size_t count, room;
};

/* Ids of segments run from 1 to this; those of their strands and salient places
 * follow. */
enum { SALIENT_SEGMENT_BITS = 41 };
#define SEGMENT_ID_MAX ((int64_t)1 << 40)

/* What was read of a segment, by group: a strand alone, or SHEAF. */
struct store_segment {
    int64_t id; /* 0: nothing is here */
    struct held_parts {
        size_t room;     /* parts */
        size_t next;     /* part after the last one asked for */
        int run;         /* parts asked for one after the other */
        uint16_t *sizes; /* of a part: 0 not read, else 1 + notes */
        uint8_t *bytes[STRANDS]; /* the parts one behind the other */
    } groups[STRAND_GROUPS];
};

/* The strands as one read transaction sees them. */
struct store_strands {
    struct stretches all; /* by id */
    bool known;           /* they were read */
    struct solo_list list; /* where store_stretch_with() looked last */
    struct store_segment held[SEGMENTS_HELD];
    /* The sheaf that was looked at last. */
    sqlite3_blob *handle;
    struct {
        int64_t id;   /* of its row; 0: none */
        size_t notes;
        uint8_t *bytes;
    } sheaf;
    uint8_t *seam; /* where a piece that lies in several is put together */
    size_t seam_room;
};

/* A segment that is being laid (store_lay.c). */
struct laying {
    int64_t id;         /* of the segment; 0: none was begun */
    size_t count, room; /* notes */
    uint8_t *strands[STRANDS];
    char *text; /* for the full-text index */
    struct salients salients;
    struct stretches solos;
};

/* Solos whose segment was taken apart. */
struct displaced {
    int64_t *ids;
    size_t count, room;
};

/* The places of one row of the full-text index, and whose they are. */
struct places {
    uint32_t *items;
    size_t room;
    struct solo_list list;
};

struct store {
    sqlite3 *db;
    char *library;   /* as given */
    char *folder;    /* LIBRARY/.cellar */
    char *file;      /* LIBRARY/.cellar/index.db */
    enum store_mode mode;
    /* FILE, locked while the index is made, or -1.  Open as long as DB: with
     * any descriptor of a file all locks go that SQLite has on it. */
    int making;
    int folder_lock; /* FOLDER, to be locked, or -1 (store_rest.c) */
    bool at_rest;    /* read as a file that stays as it is */
    bool writing;    /* between store_begin() and store_commit() */
    int reading;     /* store_read_begin() without store_read_end() */
    bool checkpoint; /* store_optimize() ran: shrink the log at commit */
    bool many;       /* store_expect_many() */
    bool merging;    /* FTS5 merges as MANY asks */
    sqlite3_stmt *statements[SQL_STATEMENTS];
    struct store_asked solos, ids, passing;
    store_loaded loaded; /* told of every solo that is loaded, or NULL */
    void *loaded_context;
    store_changes changes; /* does LOADED change this solo?  Or NULL */
    struct store_strands strands;
    uint32_t segment_notes, part_notes; /* fewer in tests */
    struct laying laying;
    struct displaced displaced;
    struct strand_codes *codes; /* of this transaction, or NULL */
    struct places places_found; /* what store_places() hands out */
};

/* For who has to write a little to read: have a reader of an index at rest take
 * part in the locks of those that write.  Outside of a read transaction.
 * After a failure only store_close() may follow. */
enum status store_take_part(struct store *store, struct fault *why);

/* Fold the log into the database, HOW as for sqlite3_wal_checkpoint_v2(): not
 * while somebody reads the index as a file that stays as it is; it is done
 * later then (store_rest.c). */
void store_fold(struct store *store, int how);

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
/* SIZE bytes of a text without NUL, borrowed. */
void bind_letters(struct binder *b, const char *text, size_t size);
/* A text that the statement frees; NULL means memory was out. */
void bind_owned(struct binder *b, char *text);
/* Give up what store_bind_asked() kept. */
void store_forget_asked(struct store_asked *asked);

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

/* The same for the beginning of a transaction.  The statement that ends one
 * is prepared first: where memory runs out inside of it, it can be ended. */
enum status store_do_begin(struct store *store, enum store_statement begin,
                           struct fault *why);

/* --- strands (store_strand.c, store_salient.c, store_code.c) ----------- */

/* Write the strands, COUNT bytes each, of SEGMENT. */
enum status strands_put(struct store *store, int64_t segment,
                        uint8_t *const strands[STRANDS], size_t count,
                        struct fault *why);
enum status strands_remove(struct store *store, int64_t segment,
                           struct fault *why);
/* Write the salient places of SEGMENT, which are in the order of
 * salience_find(). */
enum status salients_put(struct store *store, int64_t segment,
                         const struct salients *salients, struct fault *why);
enum status salients_remove(struct store *store, int64_t segment,
                            struct fault *why);
/* ST_LIBRARY: segments, strands and solos contradict each other. */
enum status strands_differ(struct store *store, struct fault *why);
/* What segment.solos holds for SOLOS; the caller owns it, NULL when memory is
 * out. */
uint8_t *stretches_write(const struct stretches *solos);
/* Read the solos of SEGMENT into OUT, whose room is used again; none where
 * there is no such segment.  The caller owns OUT->items. */
enum status stretches_of(struct store *store, int64_t segment,
                         struct stretches *out, struct fault *why);
/* The entry INDEX of such a list.  False where it makes no sense. */
static inline uint32_t read_four(const uint8_t *at) /* little-endian */
{
    return (uint32_t)at[0] | (uint32_t)at[1] << 8 | (uint32_t)at[2] << 16 |
           (uint32_t)at[3] << 24;
}
static inline uint32_t stretch_start(const uint8_t *list, size_t index)
{
    return read_four(list + index * STRETCH_SIZE + STRETCH_START);
}
bool stretch_read(struct stretch *out, const uint8_t *list, size_t index,
                  int64_t segment);
/* Can SIZE bytes be the list of SEGMENT? */
bool stretches_make_sense(size_t size, int64_t segment);
/* Where all solos lie, by id.  Within a read transaction; *OUT is borrowed
 * until it ends. */
enum status stretches_all(struct store *store, const struct stretches **out,
                          struct fault *why);
/* strands_write() with the codes of the library, which are made as needed. */
enum status strands_code(struct store *store, uint8_t *const out[STRANDS],
                         const struct solo *solo, struct fault *why);
/* The code of TEXT, which is made where there is none; STRAND_UNSAID where
 * none is left. */
enum status strands_code_of(struct store *store, enum strand_code kind,
                            const char *text, uint8_t *code,
                            struct fault *why);
/* The same with the codes there are; what has none is STRAND_UNSAID. */
enum status strands_expect(struct store *store, uint8_t *const out[STRANDS],
                           const struct solo *solo, struct fault *why);
/* Part of store_forget_strands(). */
void codes_forget(struct store *store);

/* --- a solo in rows (store_prepare.c, store_write.c) ---------------------- */

/* A text that stands for itself in the strands of one solo. */
struct own_code {
    char text[30];
    uint8_t kind;   /* enum strand_code */
    uint8_t number; /* among those of its kind, from 1 */
};

/* The notes of a solo on their way into a segment. */
struct prepared_notes {
    char *letters; /* gram_text() */
    uint8_t *strands[STRANDS]; /* with codes of its own; in one block */
    struct salients salients;
    struct own_code *codes;    /* in the order in which they came */
    size_t code_count, code_room;
    bool uncoded; /* the strands need more codes than fit */
};

/* Everything that is worked out before the first write, so that memory or a
 * damaged blob cannot leave half of a solo behind. */
struct prepared {
    unsigned char *bytes; /* of its body */
    size_t size;
    char *words;          /* for the row of the table words */
    char key[KEY_TEXT_SIZE];
    struct prepared_notes notes; /* LETTERS is NULL where they are not ready */
};

/* What follows from SOLO but its bytes, into P, which is all zero.  Release it
 * with prepared_free() in any case. */
enum status prepare_texts(struct prepared *p, const struct solo *solo,
                          struct fault *why);
/* The same with its bytes, but not its notes. */
enum status prepare_solo(struct prepared *p, const struct solo *solo,
                         struct fault *why);
void prepared_free(struct prepared *p);
/* Where the notes of a solo go in a segment. */
struct placing {
    uint8_t *strands[STRANDS]; /* room for a byte a note */
    char *letters;             /* for GRAM_UNIT */
    struct salients *salients; /* are appended */
    uint32_t start;            /* its first note in the segment */
};
/* Put those of SOLO there, with the codes of the library: from NOTES where
 * these are ready. */
enum status prepared_place(struct store *store, const struct placing *to,
                           const struct solo *solo,
                           const struct prepared_notes *notes,
                           struct fault *why);
/* Bind the columns of its row in the table solo, all but the segment; and
 * those of its row in the table words. */
void bind_facts(struct binder *b, int64_t id, const struct solo *solo,
                const struct prepared *p);
void bind_words(struct binder *b, int64_t id, const struct solo *solo,
                const struct prepared *p);
/* Write all that follows from SOLO for the file ID, of which nothing but its
 * row is there.  Within a write transaction. */
enum status lay_solo(struct store *store, int64_t id, const struct solo *solo,
                     struct fault *why);

/* --- segments (store_lay.c): within a write transaction ----------------- */

/* Give the notes of SOLO, which is or will be the solo ID, a place in
 * *SEGMENT; 0 where it has none.  NOTES is what was prepared of them, or
 * NULL. */
enum status segments_put(struct store *store, int64_t id,
                         const struct solo *solo,
                         const struct prepared_notes *notes, int64_t *segment,
                         struct fault *why);
/* Take the notes of the solo ID out of the index; it is still there, as are
 * those beside it.  Nothing happens where there is no such solo. */
enum status segments_leave(struct store *store, int64_t id,
                           struct fault *why);
/* Before the commit: lay down what was gathered and displaced. */
enum status segments_settle(struct store *store, struct fault *why);
/* The transaction is over. */
void segments_forget(struct store *store);

/* --- filters (store_filter.c, store_read.c) --------------------------- */

/* Is the solo ID among those that pass?  PASSING may be NULL: all are. */
bool passing_has(const struct passing *passing, int64_t id);

/* Write " AND ID_COLUMN IN (...)" for FILTER to OUT; nothing where FILTER is
 * NULL or empty.  FIRST is the number of its first parameter.  ST_INTERNAL
 * for a term that is none. */
enum status filter_write(struct gather *out, const char *id_column,
                         const struct filter *filter, int first,
                         struct fault *why);
/* Bind the values in the order of filter_write(). */
void filter_bind(struct binder *b, const struct filter *filter);

#endif
