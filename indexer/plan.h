/* indexer/plan.h - what the index knows against what is on disk. */
#ifndef INDEXER_PLAN_H
#define INDEXER_PLAN_H

#include "indexer/reading.h"
#include "indexer/walk.h"
#include "schema/store.h"

/* A file the index knows. */
struct known_file {
    struct file_record record; /* its texts are owned */
    bool found;                /* it is on disk */
};

/* What is to be done. */
struct plan {
    struct known_file *known; /* in path order */
    size_t known_count, known_room;

    /* To be read, in path order: task i is found file FILES[i]; what the
     * index knows of it is PRIORS[i], NULL where that is nothing. */
    struct reading_task *tasks;
    size_t *files;
    const struct file_record **priors;
    size_t task_count;

    size_t *gone; /* known files to forget: indexes into KNOWN */
    size_t gone_count;
    size_t *unreadable; /* unchanged, and still not readable: into KNOWN */
    size_t unreadable_count;
    int64_t unchanged; /* files that are as they were when they were read */
};

/* What the plan depends on. */
struct plan_scope {
    const char *library;         /* the library folder */
    const char *const *prefixes; /* of the folders walked, see walk_prefix() */
    size_t count;
    const char *part; /* the part wanted, "" none */
    bool full;        /* read everything, whatever is known */
};

/* Load what STORE knows.  Whatever is returned, release OUT with
 * plan_free(). */
enum status plan_load(struct plan *out, struct store *store, struct fault *why);

/* How many known files lie below the folders of SCOPE. */
size_t plan_known_below(const struct plan *plan,
                        const struct plan_scope *scope);

/* Add to FOUND the known files that lie outside the folders of SCOPE and are
 * on disk, and sort it: what an index is made of when it is made anew. */
enum status plan_find_others(const struct plan *plan,
                             const struct plan_scope *scope,
                             struct found *found, struct fault *why);

/* Decide about each file of FOUND, which is sorted. */
enum status plan_make(struct plan *plan, const struct found *found,
                      const struct plan_scope *scope, struct fault *why);

void plan_free(struct plan *plan);

#endif
