/* query/tasks.h - work in parts that do not depend on each other, done by
 * several threads at once.
 *
 * What comes out must not depend on which thread does which part, nor on how
 * many there are.  A store is used by one thread at a time: at most one task
 * may ask it.
 */
#ifndef QUERY_TASKS_H
#define QUERY_TASKS_H

#include "schema/status.h"

enum {
    TASKS_THREADS_MAX = 8
};

/* Do the part TASK of what CONTEXT holds.  Anything but ST_OK ends the work
 * with that status; WHY, never NULL, is the part's own. */
typedef enum status (*tasks_do)(void *context, size_t task, struct fault *why);

/* Have WORK do the tasks 0 .. COUNT - 1, begun in this order, each once, by as
 * many as THREADS threads: the caller's and others.  THREADS of 0 is as many
 * as suit this machine, the processors this program may use, at most eight.
 * Fewer do where no more can be started.  After a failure no further task is
 * begun; WHY receives the one of the first task, by its number, that failed. */
enum status tasks_run(int threads, size_t count, tasks_do work, void *context,
                      struct fault *why);

#endif
