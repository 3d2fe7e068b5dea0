/* indexer/reading.h - many files read at once, handed out in order.
 *
 * Worker threads read files; the caller takes the results one by one in the
 * order of the tasks, so that what is made of them does not depend on the
 * number of threads.  Results are ahead of the caller by little: a few, or
 * two hundred or so of small solos.  The threads give way to the caller.
 */
#ifndef INDEXER_READING_H
#define INDEXER_READING_H

#include <stdatomic.h>

#include "indexer/sha256.h"
#include "schema/store.h"

enum {
    READING_JOBS_MAX = 64
};

struct reading; /* opaque */

/* A file to read. */
struct reading_task {
    char *place; /* where it is on disk */
    /* Its digest when it was read last, with the same part; a file that
     * still has it is not read again.  "" to read it in any case. */
    char sha256[SHA256_TEXT_SIZE];
};

enum reading_outcome {
    READING_SAME,   /* the digest is what it was; nothing was read */
    READING_DONE,   /* SOLO holds it */
    READING_FAILED, /* FAULT says why; the file is as it is */
    READING_BARRED  /* FAULT says why; another try may go better */
};

/* Owned by whoever took it (reading_result_free()). */
struct reading_result {
    enum reading_outcome outcome;
    char sha256[SHA256_TEXT_SIZE]; /* "" where the bytes were not had */
    struct solo *solo;
    struct prepared *prepared; /* SOLO for the index; NULL: not worked out */
    struct fault fault;
};

void reading_result_free(struct reading_result *result);

/* Start JOBS threads on the COUNT TASKS, which are borrowed until
 * reading_end(), as is PART (NULL allowed).  When STOP (NULL allowed) is set
 * no further file is begun, and no further result is handed out.  ST_OK,
 * ST_NOMEM or ST_IO (no thread could be started); the caller owns *OUT
 * (reading_end()). */
enum status reading_start(struct reading **out,
                          const struct reading_task *tasks, size_t count,
                          int jobs, const char *part, const atomic_bool *stop,
                          struct fault *why);

/* Wait for the result of the next task.  False when there is none: all have
 * been taken, or STOP was set.  The caller owns RESULT. */
bool reading_next(struct reading *reading, struct reading_result *result);

/* Wait for the threads and drop what was not taken.  NULL is allowed. */
void reading_end(struct reading *reading);

/* How many threads suit this machine: the processors this program may use,
 * at most eight. */
int reading_default_jobs(void);

#endif
