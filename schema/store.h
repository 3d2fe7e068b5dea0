/* schema/store.h - the index of a library: open, write, read.
 *
 * The only module (with store_*.c beside it) that speaks SQL.  An index is
 * derived data: deleting it loses nothing.  Paths are relative to the library
 * folder, with '/' between parts; a file outside of it has an absolute path.
 *
 * A store is used by one thread at a time.  Besides what is said below, any
 * function can end with ST_LIBRARY (the index is damaged), ST_BUSY, ST_IO or
 * ST_NOMEM.  A callback may ask the store other questions, but not the one it
 * answers (ST_INTERNAL), and must not write.
 */
#ifndef SCHEMA_STORE_H
#define SCHEMA_STORE_H

#include "schema/gram.h"
#include "schema/salience.h"
#include "schema/solo.h"
#include "schema/strand.h"

struct store; /* opaque */

/* Raised whenever the meaning of the index changes; an older index is
 * rebuilt by cellar-index, a newer one is refused. */
enum { STORE_VERSION = 10 };

enum store_mode { STORE_READ, STORE_WRITE };

/* Open LIBRARY/.cellar/index.db.  STORE_WRITE creates it where missing, and
 * empties it (saying so through *REBUILT, NULL allowed) where it was written
 * by an older version or is damaged.  STORE_READ also works in a folder that
 * may not be written to; it may go on seeing what there was when it was
 * opened.  On failure *OUT is NULL and WHY says how to mend: ST_LIBRARY (no
 * index, damaged, newer), ST_IO (permission, disk), ST_BUSY.  Release with
 * store_close(). */
enum status store_open(struct store **out, const char *library,
                       enum store_mode mode, bool *rebuilt,
                       struct fault *why);
void store_close(struct store *store); /* NULL is allowed */
/* Start over, whatever state the index is in inside: forget everything and
 * make an empty index, as `cellar-index --full` does before it reads.  For
 * STORE_WRITE, outside a transaction.  A reader keeps what it sees until its
 * question ends.  ST_BUSY, ST_IO; after a failure only store_close() may
 * follow. */
enum status store_clear(struct store *store, struct fault *why);
/* The library folder as given.  Borrowed: valid until store_close(). */
const char *store_library(const struct store *store);

/* --- writing: only between store_begin() and store_commit() ----------
 * After a failure roll back: a part of what was asked may be written. */

/* Take the write lock.  ST_BUSY: another program holds it, also after a few
 * seconds of waiting. */
enum status store_begin(struct store *store, struct fault *why);
/* Make everything since store_begin() last.  On failure nothing of it does;
 * the transaction is over either way. */
enum status store_commit(struct store *store, struct fault *why);
/* Nothing happens where there is no transaction. */
void store_rollback(struct store *store);

/* What is known of a file. */
struct file_record {
    int64_t id;       /* 0: not known yet */
    const char *path; /* relative to the library */
    int64_t size;     /* bytes */
    int64_t mtime;    /* nanoseconds since 1970 */
    char sha256[65];  /* lower-case hex, ended by NUL */
    const char *part; /* the --part it was read with, "" none */
    /* One line of why it could not be read, "" when it could. */
    const char *unreadable;
};

/* What an index keeps of a solo, as far as it follows from the solo alone. */
struct prepared; /* opaque */

/* Work it out of SOLO, whose notes are placed: any thread may, while another
 * writes.  ST_OK and the caller owns *OUT (store_prepared_free(), which takes
 * NULL), or ST_NOMEM or ST_INTERNAL. */
enum status store_prepare(struct prepared **out, const struct solo *solo,
                          struct fault *why);
void store_prepared_free(struct prepared *prepared);

/* Put a file and its SOLO (NULL for one that could not be read) in place of
 * whatever was known under its path.  The id in FILE is not looked at.
 * PREPARED is what store_prepare() made of SOLO, or NULL. */
enum status store_put_prepared(struct store *store,
                               const struct file_record *file,
                               const struct solo *solo,
                               const struct prepared *prepared,
                               struct fault *why);
/* The same without. */
enum status store_put(struct store *store, const struct file_record *file,
                      const struct solo *solo, struct fault *why);
/* The file was touched or moved but holds the same bytes: keep its solo.  The
 * id in FILE says which; path, size and time are taken over.  Another file
 * that was known under the path loses it, and is forgotten at the commit
 * unless it is touched with a path of its own by then. */
enum status store_touch(struct store *store, const struct file_record *file,
                        struct fault *why);
/* Forget a file and its solo.  An id that is not known is no fault. */
enum status store_remove(struct store *store, int64_t file_id,
                         struct fault *why);
/* From the next transaction on much is put, and store_optimize() comes in the
 * end: the full-text index is not merged on the way.  Where it does not come,
 * the next who writes has it merged as usual. */
void store_expect_many(struct store *store);
/* Merge the full-text index after a large change.  Also allowed outside a
 * transaction, where it makes one of its own. */
enum status store_optimize(struct store *store, struct fault *why);

/* All known files in path order; the record is valid during the call.
 * EACH returns false to stop. */
typedef bool (*store_file_each)(void *context, const struct file_record *file);
enum status store_files(struct store *store, store_file_each each,
                        void *context, struct fault *why);

/* --- reading: use one store_read_begin()..._end() for a whole question, so
 * that it sees one state of the library ------------------------------- */
/* One within another sees the state of that, and ends with it. */
enum status store_read_begin(struct store *store, struct fault *why);
void store_read_end(struct store *store);

/* The facts of a solo, without its notes. */
struct solo_record {
    int64_t id;
    const char *path, *sha256, *title, *performer, *composer, *instrument;
    const char *metre, *key; /* key as it sounds, "Eb major"; "" unknown */
    int32_t tempo;           /* quarters a minute times 100, 0 unknown */
    int64_t notes, chords, bars, warnings;
};

/* A restriction to solos: all of its terms hold.  FIELD is an enum field (see
 * schema/field.h). */
struct filter_term {
    int field;
    const char *text;  /* what is looked for, except for a range; borrowed */
    int64_t low, high; /* a range, both included; a tempo times 100 */
};
struct filter {
    struct filter_term terms[16];
    size_t count;
};

/* The solos that pass FILTER (NULL: all) in path order.  The record is valid
 * during the call; EACH returns false to stop. */
typedef bool (*store_solo_each)(void *context, const struct solo_record *solo);
enum status store_solos(struct store *store, const struct filter *filter,
                        store_solo_each each, void *context,
                        struct fault *why);

/* The whole solo ID.  The caller owns *OUT (solo_free()).  ST_NOTHING: there
 * is no such solo.  On failure *OUT is NULL. */
enum status store_load(struct store *store, int64_t id, struct solo **out,
                       struct fault *why);

/* Call EACH for every solo that store_load() gives from now on, before the
 * caller sees it; it may change the solo.  Where it fails, so does the load.
 * NULL takes the call away. */
typedef enum status (*store_loaded)(void *context, int64_t id,
                                    struct solo *solo, struct fault *why);
void store_on_load(struct store *store, store_loaded each, void *context);

/* Say which solos that call changes: CHANGES is asked with the context of
 * store_on_load().  NULL, and until it is said: all of them. */
typedef bool (*store_changes)(void *context, int64_t id);
void store_on_load_of(struct store *store, store_changes changes);
/* May the solo ID be another when it is loaded than its strands say? */
bool store_load_changes(const struct store *store, int64_t id);
/* May any? */
bool store_loads_change(const struct store *store);

/* Where the notes of a solo lie among the strands. */
struct stretch {
    int64_t id, segment; /* of the solo; where it lies */
    uint32_t start, count;
};

/* The bytes of STRAND for the notes of SOLO, SOLO->count of them, without
 * loading it.  Within store_read_begin() and store_read_end().  *BYTES is
 * borrowed: valid until a strand of another solo is asked for, or the read
 * transaction ends. */
enum status store_strand_at(struct store *store, const struct stretch *solo,
                            enum strand strand, const uint8_t **bytes,
                            struct fault *why);
/* The strands up to STRAND_TONES at once, for who looks at a few notes here and
 * there: SOLO may be a piece of one.  The others are NULL; those of a place
 * asked for before are no longer valid. */
enum status store_strands_at(struct store *store, const struct stretch *solo,
                             const uint8_t *bytes[STRANDS], struct fault *why);
/* Where the solo ID lies; one without notes, or that does not exist, has a
 * COUNT of 0.  Within a read transaction. */
enum status store_stretch(struct store *store, int64_t id,
                          struct stretch *out, struct fault *why);
/* The two in one; *COUNT is 0 where there are no notes. */
enum status store_strand(struct store *store, int64_t id, enum strand strand,
                         const uint8_t **bytes, size_t *count,
                         struct fault *why);
/* Give back the memory of all that was read of strands and of their codes;
 * nothing that was borrowed of it may be used any more. */
void store_forget_strands(struct store *store);
/* The solos that pass a filter, read once for all that is asked of them within
 * a read transaction.  The caller owns *OUT (passing_free()); it is NULL where
 * FILTER is, or restricts nothing, or on failure. */
struct passing;
enum status store_passing(struct passing **out, struct store *store,
                          const struct filter *filter, struct fault *why);
void passing_free(struct passing *passing);

/* All solos with notes that are among PASSING (NULL: all), in no fixed order:
 * the soonest way through a library.  Within a read transaction; EACH returns
 * false to stop. */
typedef bool (*store_stretch_each)(void *context, const struct stretch *solo);
enum status store_stretches(struct store *store,
                            const struct passing *passing,
                            store_stretch_each each, void *context,
                            struct fault *why);
/* What the codes of the strands stand for.  Within a transaction; *OUT is
 * borrowed until it ends. */
enum status store_codes(struct store *store, const struct strand_codes **out,
                        struct fault *why);

/* The ids of the solos that pass FILTER (NULL: all), in path order. */
typedef bool (*store_id_each)(void *context, int64_t id);
enum status store_ids(struct store *store, const struct filter *filter,
                      store_id_each each, void *context, struct fault *why);
/* The path of the file ID; the caller owns *OUT.  SHA256, unless it is NULL,
 * receives its hash.  ST_LIBRARY: there is none, though a solo has it. */
enum status store_path(struct store *store, int64_t id, char **out,
                       char sha256[65], struct fault *why);

/* What NAME may mean: the solos whose path or title is NAME, else those whose
 * path or title contains it.  Case and accents do not matter, except in a
 * whole path.  In path order; ST_OK also where nothing is found. */
enum status store_find_name(struct store *store, const char *name,
                            store_solo_each each, void *context,
                            struct fault *why);

/* Candidates: solos, each once and in no fixed order, with the note indexes at
 * which all N GRAMS stand (gram_question()), up to GRAM_QUESTION_MAX.  PASSING
 * may be NULL: all.  The places are ascending, distinct and valid during the
 * call. */
typedef bool (*store_place_each)(void *context, const struct stretch *solo,
                                 const uint32_t *places, size_t count);
enum status store_places(struct store *store, const struct gram *grams,
                         size_t n, const struct passing *passing,
                         store_place_each each, void *context,
                         struct fault *why);

/* The same of all solos and by segments, in order: the COUNT notes of SEGMENT
 * at which they stand, in so many SOLOS of it. */
typedef bool (*store_segment_each)(void *context, int64_t segment,
                                   const uint32_t *notes, size_t count,
                                   size_t solos);
enum status store_places_whole(struct store *store, const struct gram *grams,
                               size_t n, store_segment_each each,
                               void *context, struct fault *why);

/* The salient places of LIST (salience_list()), COUNT of them in SEGMENT, by
 * their first notes, which are counted there.  Segments come in order, those
 * without any not at all.  PLACES is valid during the call; EACH returns false
 * to stop. */
typedef bool (*store_salient_each)(void *context, int64_t segment,
                                   const struct salient *places, size_t count);
enum status store_salient(struct store *store, int list,
                          store_salient_each each, void *context,
                          struct fault *why);
/* Where the solo lies that has the note PLACE of SEGMENT: soonest told where
 * the last one asked for lay in the same.  ST_LIBRARY: there is none. */
enum status store_stretch_with(struct store *store, int64_t segment,
                               uint32_t place, struct stretch *out,
                               struct fault *why);

/* Counts of the whole library. */
struct store_totals {
    int64_t solos, notes, chords, unreadable, warnings;
};
enum status store_totals(struct store *store, struct store_totals *out,
                         struct fault *why);

#endif
