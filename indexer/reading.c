/* indexer/reading.c - see reading.h. */
#include "indexer/reading.h"

#include <pthread.h>
#include <sched.h>
#include <signal.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "indexer/container.h"
#include "indexer/form.h"
#include "indexer/musicxml.h"
#include "indexer/phrase.h"

enum {
    AHEAD = 4, /* results a thread may be ahead of the caller, however large */
    /* The caller lays down a segment of a hundred solos at a time, and files
     * for the next are read meanwhile; as long as their solos are small. */
    AHEAD_SMALL = 256,
    NOTES_AHEAD = 256 * 1024,
    /* How much the threads give way to the caller (nice(2): on Linux each
     * thread has its own value): all wait for the one that writes, where there
     * are more threads than processors. */
    GIVE_WAY = 10,
    DEFAULT_JOBS_MAX = 8
};

/* A result on its way; the slot of task i is i modulo the number of slots. */
struct slot {
    bool ready;
    struct reading_result result;
};

struct reading {
    const struct reading_task *tasks;
    size_t count;
    const char *part;
    const atomic_bool *stop;

    pthread_mutex_t lock; /* guards all that follows */
    pthread_cond_t room;  /* a task may be begun, or it is over */
    pthread_cond_t ready; /* a result is, or a thread ended */
    size_t next;  /* the task a thread takes next */
    size_t taken; /* results the caller has taken */
    size_t notes; /* in the results that wait */
    size_t ahead; /* results that may wait whatever they hold */
    bool ended;
    struct slot *slots;
    size_t slot_count;

    pthread_t threads[READING_JOBS_MAX];
    int thread_count;
};

int reading_default_jobs(void)
{
    cpu_set_t set;
    int count;

    if (sched_getaffinity(0, sizeof set, &set) != 0)
        return 1;
    count = CPU_COUNT(&set);
    return count > DEFAULT_JOBS_MAX ? DEFAULT_JOBS_MAX : count;
}

static bool is_stopped(const struct reading *r)
{
    return r->stop && atomic_load(r->stop);
}

void reading_result_free(struct reading_result *result)
{
    store_prepared_free(result->prepared);
    solo_free(result->solo);
    result->prepared = NULL;
    result->solo = NULL;
}

/* --- one file ---------------------------------------------------------- */

static enum reading_outcome read_solo(const struct reading *r,
                                      const struct file_bytes *file,
                                      struct reading_result *out)
{
    struct musicxml_options options = { .part = r->part };
    struct container *c = NULL;
    enum status st = container_open(&c, file, &out->fault);

    if (st == ST_OK)
        st = musicxml_read(&out->solo, c, &options, &out->fault);
    container_close(c);
    if (st == ST_OK)
        st = phrase_mark(out->solo, &out->fault);
    if (st == ST_OK)
        st = form_find(out->solo, &out->fault);
    if (st == ST_OK) {
        /* The index is written by one thread: the less is left to it, the
         * better.  What fails here is tried once more there. */
        store_prepare(&out->prepared, out->solo, NULL);
        return READING_DONE;
    }
    solo_free(out->solo);
    out->solo = NULL;
    return st == ST_INPUT ? READING_FAILED : READING_BARRED;
}

static void read_task(const struct reading *r, const struct reading_task *task,
                      struct reading_result *out)
{
    struct file_bytes file;

    memset(out, 0, sizeof *out);
    if (file_bytes_read(&file, task->place, &out->fault) != ST_OK) {
        out->outcome = READING_BARRED;
        return;
    }
    sha256_text(out->sha256, file.bytes, file.size);
    if (strcmp(out->sha256, task->sha256) == 0)
        out->outcome = READING_SAME;
    else
        out->outcome = read_solo(r, &file, out);
    file_bytes_free(&file);
}

/* --- threads ----------------------------------------------------------- */

static size_t notes_of(const struct reading_result *result)
{
    return result->solo ? result->solo->note_count : 0;
}

/* Is there room for the result of the next task? */
static bool has_room(const struct reading *r)
{
    size_t ahead = r->next - r->taken;

    return ahead < r->ahead ||
           (ahead < r->slot_count && r->notes < NOTES_AHEAD);
}

static void *work(void *context)
{
    struct reading *r = context;

    (void)!nice(GIVE_WAY);
    pthread_mutex_lock(&r->lock);
    while (!r->ended && !is_stopped(r) && r->next < r->count) {
        struct reading_result result;
        struct slot *slot;
        size_t task = r->next;

        if (!has_room(r)) {
            pthread_cond_wait(&r->room, &r->lock);
            continue;
        }
        r->next++;
        pthread_mutex_unlock(&r->lock);
        read_task(r, &r->tasks[task], &result);
        pthread_mutex_lock(&r->lock);
        slot = &r->slots[task % r->slot_count];
        slot->result = result;
        slot->ready = true;
        r->notes += notes_of(&result);
        pthread_cond_signal(&r->ready);
    }
    /* The caller may be waiting for a task that no thread will take now. */
    pthread_cond_signal(&r->ready);
    pthread_mutex_unlock(&r->lock);
    return NULL;
}

/* Signals are for the calling thread, which has handlers that know what to
 * do; threads inherit the mask they are started with. */
static enum status start_threads(struct reading *r, int jobs, struct fault *why)
{
    sigset_t all, before;
    int error = 0;

    sigfillset(&all);
    pthread_sigmask(SIG_BLOCK, &all, &before);
    while (r->thread_count < jobs && !error) {
        error = pthread_create(&r->threads[r->thread_count], NULL, work, r);
        r->thread_count += !error;
    }
    pthread_sigmask(SIG_SETMASK, &before, NULL);
    /* Fewer than wanted will do. */
    if (!r->thread_count)
        return fault_set(why, ST_IO, "cannot start a thread: %s",
                         strerror(error));
    return ST_OK;
}

enum status reading_start(struct reading **out,
                          const struct reading_task *tasks, size_t count,
                          int jobs, const char *part, const atomic_bool *stop,
                          struct fault *why)
{
    struct reading *r = calloc(1, sizeof *r);
    enum status st;

    *out = NULL;
    if (!r)
        return fault_nomem(why);
    if (jobs < 1 || jobs > READING_JOBS_MAX)
        jobs = reading_default_jobs();
    if ((size_t)jobs > count)
        jobs = count ? (int)count : 1;
    r->tasks = tasks;
    r->count = count;
    r->part = part;
    r->stop = stop;
    r->ahead = (size_t)jobs * AHEAD;
    r->slot_count = r->ahead > AHEAD_SMALL ? r->ahead : AHEAD_SMALL;
    r->slots = calloc(r->slot_count, sizeof *r->slots);
    if (!r->slots) {
        free(r);
        return fault_nomem(why);
    }
    pthread_mutex_init(&r->lock, NULL);
    pthread_cond_init(&r->room, NULL);
    pthread_cond_init(&r->ready, NULL);
    /* libxml2 wants its tables made before there are threads. */
    xml_watch();
    st = start_threads(r, jobs, why);
    if (st != ST_OK)
        reading_end(r);
    else
        *out = r;
    return st;
}

bool reading_next(struct reading *r, struct reading_result *result)
{
    struct slot *slot = &r->slots[r->taken % r->slot_count];
    bool got;

    pthread_mutex_lock(&r->lock);
    while (r->taken < r->count && !slot->ready && !is_stopped(r))
        pthread_cond_wait(&r->ready, &r->lock);
    got = r->taken < r->count && slot->ready && !is_stopped(r);
    if (got) {
        *result = slot->result;
        slot->ready = false;
        r->taken++;
        r->notes -= notes_of(result);
        /* A large result may have kept several threads waiting. */
        pthread_cond_broadcast(&r->room);
    }
    pthread_mutex_unlock(&r->lock);
    return got;
}

void reading_end(struct reading *r)
{
    if (!r)
        return;
    pthread_mutex_lock(&r->lock);
    r->ended = true;
    pthread_cond_broadcast(&r->room);
    pthread_mutex_unlock(&r->lock);
    for (int i = 0; i < r->thread_count; i++)
        pthread_join(r->threads[i], NULL);
    for (size_t i = 0; i < r->slot_count; i++)
        if (r->slots[i].ready)
            reading_result_free(&r->slots[i].result);
    pthread_cond_destroy(&r->room);
    pthread_cond_destroy(&r->ready);
    pthread_mutex_destroy(&r->lock);
    free(r->slots);
    free(r);
}
