/* schema/store_check.h - is an index what it should be?  And put it right.
 *
 * Everything in an index follows from the music files, and most of it from
 * the bodies of its solos: so those are read, what follows from them is worked
 * out again, and both are compared.  Nothing is written by a check.
 */
#ifndef SCHEMA_STORE_CHECK_H
#define SCHEMA_STORE_CHECK_H

#include "schema/store.h"

/* What is looked at, in this order. */
enum store_part {
    PART_DATABASE, /* SQLite's own check of the file and of both searches */
    PART_FILES,    /* what is known of each file */
    PART_SOLOS,    /* the notes of each solo, and the facts that are listed */
    PART_LAYOUT,   /* where the notes of each solo lie among all */
    PART_STRANDS,  /* what is kept of every note in single bytes; their codes */
    PART_GRAMS,    /* which runs of notes stand where */
    PART_WORDS,    /* which words stand in which solo */
    STORE_PARTS
};

/* What is said meanwhile; each may be NULL.  Texts are borrowed for the call;
 * a path comes from a file: make it safe before it is shown. */
struct store_check_events {
    void *context;
    /* PATH is the solo's or file's, "" where it is about no one of them.  WHAT
     * is a clause that says what is wrong. */
    void (*problem)(void *context, enum store_part part, const char *path,
                    const char *what);
    /* DONE of TOTAL steps are behind us. */
    void (*progress)(void *context, int64_t done, int64_t total);
};

struct store_checked {
    int64_t files, unreadable, solos;
    int64_t solos_read; /* that could be read whole */
    int64_t notes;      /* of these */
    int64_t strand_bytes, postings; /* compared */
    /* False where the folder may not be written to: the searches' own check
     * needs a lock, and was left out. */
    bool searches_checked;
};

/* Check the index of STORE, which is in no transaction and was opened either
 * way.  ST_OK, whatever was found: what is wrong goes to EVENTS.  ST_BUSY,
 * ST_IO, ST_NOMEM.  Corrections of forms (store_on_load()) are not looked at,
 * and are in force again afterwards. */
enum status store_check(struct store *store,
                        const struct store_check_events *events,
                        struct store_checked *out, struct fault *why);

/* What a repair did. */
struct store_repaired {
    int64_t solos; /* laid anew from their notes */
    int64_t lost;  /* files whose notes could not be read, or whose row makes
                      no sense: taken for unreadable, and read again by the
                      next cellar-index */
};

/* Write everything anew that follows from the bodies, in one transaction: it
 * is done whole or not at all.  For STORE_WRITE, outside a transaction.
 * EVENTS is told of every file that is lost, as a problem of PART_SOLOS.
 * ST_LIBRARY: the damage goes too deep; `cellar-index --full` helps. */
enum status store_repair(struct store *store,
                         const struct store_check_events *events,
                         struct store_repaired *out, struct fault *why);

#endif
