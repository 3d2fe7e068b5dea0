/* indexer/walk.h - the music files below a folder.
 *
 * Files whose name ends in .musicxml, .xml or .mxl (any case), regular or
 * links to such; names that begin with '.' are passed over, so that the
 * index itself is never entered.  A link to a folder is followed where it
 * leads out of the folder walked, and every folder is entered once, so that
 * loops of links end.
 */
#ifndef INDEXER_WALK_H
#define INDEXER_WALK_H

#include <stdatomic.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "schema/status.h"

/* A file as it stands on disk. */
struct found_file {
    char *path;    /* as the index knows it (see schema/store.h) */
    int64_t size;  /* bytes */
    int64_t mtime; /* nanoseconds since 1970 */
};

/* A folder or file that could not be looked at. */
struct found_fault {
    char *path;
    char reason[160];
};

struct found {
    struct found_file *files; /* in path order once found_sort() ran */
    size_t count, room;
    struct found_fault *faults;
    size_t fault_count, fault_room;
};

/* Add the files below FOLDER to OUT, which may hold others already.  Both
 * names are absolute and without links, as realpath() gives them; paths are
 * relative to LIBRARY where they are below it.  STOP (NULL allowed) is looked
 * at now and then: ST_INTERRUPTED when it is set.  ST_INPUT where FOLDER
 * itself cannot be read, ST_NOMEM, ST_IO.  Whatever is returned, release OUT
 * with found_free(). */
enum status found_walk(struct found *out, const char *library,
                       const char *folder, const atomic_bool *stop,
                       struct fault *why);

/* Add the one file PATH, which is at PLACE on disk, unless it is no regular
 * file there.  ST_OK, also where it is none; ST_NOMEM. */
enum status found_add(struct found *out, const char *path, const char *place,
                      struct fault *why);

/* Put the files in path order (bytewise) and each only once. */
void found_sort(struct found *found);

/* Whether PATH, which is not among the files, may be there all the same: it
 * is, or lies below, something that could not be looked at. */
bool found_is_hidden(const struct found *found, const char *path);

void found_free(struct found *found);

/* FOLDER as paths in the index begin: "" for LIBRARY itself, "b/" for a
 * folder below it, "/a/c/" for one elsewhere.  The caller owns the result;
 * NULL when memory is out. */
char *walk_prefix(const char *library, const char *folder);

/* Whether the index path PATH lies below a folder with that PREFIX. */
bool walk_is_below(const char *path, const char *prefix);

#endif
