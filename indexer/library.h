/* indexer/library.h - bring the index of a library up to date.
 *
 * Looks for music files below folders, reads those that are new or changed,
 * forgets those that are gone.  Files are read by several threads and
 * written by the calling one, in path order, a transaction every so many
 * files: whenever the run is cut short, the index is whole, and running again
 * completes it.
 */
#ifndef INDEXER_LIBRARY_H
#define INDEXER_LIBRARY_H

#include <stdatomic.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "schema/solo.h"
#include "schema/status.h"

/* What is said while it runs; each may be NULL.  Called by the calling thread
 * only.  Texts are borrowed for the call and come from files: make them safe
 * before they are shown. */
struct library_events {
    void *context;
    /* PATH could not be read.  KNOWN: it could not be read before, is
     * unchanged since, and was not tried again. */
    void (*unreadable)(void *context, const char *path, const char *reason,
                       bool known);
    /* Something in a file that was read was not understood. */
    void (*warning)(void *context, const char *path,
                    const struct warning *warning);
    /* A sentence about the run as a whole. */
    void (*note)(void *context, const char *text);
    /* DONE of TOTAL files to be read have been; PATH is the last one. */
    void (*progress)(void *context, size_t done, size_t total,
                     const char *path);
};

struct library_options {
    const char *part; /* the part wanted, by name or id; NULL: the first */
    int jobs;         /* threads that read; 0: as suits the machine */
    bool full;        /* empty the index and read every file again */
    /* Set, also by a signal handler, to stop soon; NULL allowed. */
    const atomic_bool *stop;
    struct library_events events;
};

/* What became of the files below the folders.  A file is in one of the first
 * two or unreadable; so is a folder that could not be looked into. */
struct library_counts {
    int64_t read, unchanged, unreadable;
    int64_t removed; /* known files that are gone */
    /* Of the whole library after the run. */
    int64_t notes, chords, warnings;
};

/* Bring the index of the folder LIBRARY up to date with the music files below
 * the COUNT folders of FOLDERS; what it knows of other places is kept.
 *
 * ST_OK; ST_INPUT (a folder is missing, is none or cannot be read; no music
 * file is there and the index knows none either); ST_LIBRARY, ST_BUSY, ST_IO,
 * ST_NOMEM; ST_INTERRUPTED when stopped.  COUNTS is filled in any case, as far
 * as the run came; the totals of the library only with ST_OK. */
enum status library_update(const char *library, const char *const *folders,
                           size_t count, const struct library_options *options,
                           struct library_counts *counts, struct fault *why);

#endif
