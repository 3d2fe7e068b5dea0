/* query/tasks.c - see tasks.h. */
#include "query/tasks.h"

#include <pthread.h>
#include <sched.h>
#include <signal.h>
#include <stdbool.h>

struct tasks {
    size_t count;
    tasks_do work;
    void *context;

    pthread_mutex_t lock; /* guards all that follows */
    size_t next;
    enum status status;
    size_t failed; /* the first task that failed, where STATUS is not ST_OK */
    struct fault fault;
};

static int suitable_threads(void)
{
    cpu_set_t allowed;

    if (sched_getaffinity(0, sizeof allowed, &allowed) != 0 ||
        CPU_COUNT(&allowed) < 1)
        return 1;
    return CPU_COUNT(&allowed);
}

/* The next task into *TASK; false when there is none. */
static bool take_task(struct tasks *t, size_t *task)
{
    bool taken;

    pthread_mutex_lock(&t->lock);
    taken = t->status == ST_OK && t->next < t->count;
    if (taken)
        *task = t->next++;
    pthread_mutex_unlock(&t->lock);
    return taken;
}

static void note_failure(struct tasks *t, size_t task, enum status st,
                         const struct fault *why)
{
    pthread_mutex_lock(&t->lock);
    if (t->status == ST_OK || task < t->failed) {
        t->status = st;
        t->failed = task;
        t->fault = *why;
    }
    pthread_mutex_unlock(&t->lock);
}

static void *work_on(void *context)
{
    struct tasks *t = context;
    size_t task;

    while (take_task(t, &task)) {
        struct fault why = { .offset = -1 };
        enum status st = t->work(t->context, task, &why);

        if (st != ST_OK)
            note_failure(t, task, st, &why);
    }
    return NULL;
}

/* Signals are for the calling thread; threads inherit the mask they are
 * started with.  Returns how many were started. */
static int start_others(struct tasks *t, int wanted, pthread_t *threads)
{
    sigset_t all, before;
    int count = 0;

    sigfillset(&all);
    pthread_sigmask(SIG_BLOCK, &all, &before);
    while (count < wanted &&
           pthread_create(&threads[count], NULL, work_on, t) == 0)
        count++;
    pthread_sigmask(SIG_SETMASK, &before, NULL);
    return count;
}

enum status tasks_run(int threads, size_t count, tasks_do work, void *context,
                      struct fault *why)
{
    struct tasks t = { .count = count, .work = work, .context = context };
    pthread_t others[TASKS_THREADS_MAX];
    int started;

    if (threads < 1)
        threads = suitable_threads();
    if (threads > TASKS_THREADS_MAX)
        threads = TASKS_THREADS_MAX;
    if ((size_t)threads > count)
        threads = (int)count;
    pthread_mutex_init(&t.lock, NULL);
    started = start_others(&t, threads - 1, others);
    work_on(&t);
    for (int i = 0; i < started; i++)
        pthread_join(others[i], NULL);
    pthread_mutex_destroy(&t.lock);
    if (t.status != ST_OK && why)
        *why = t.fault;
    return t.status;
}
