/* indexer/library.c - see library.h. */
#include "indexer/library.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>

#include "indexer/plan.h"
#include "indexer/reading.h"
#include "indexer/walk.h"
#include "schema/store.h"

enum {
    BATCH_FILES = 200, /* files in a transaction ... */
    BATCH_SECONDS = 1, /* ... or how long it may stay open */
    /* The full-text index is merged after a run that changed at least so many
     * files, and one in so many of all. */
    OPTIMIZE_FILES = 50,
    OPTIMIZE_SHARE = 5
};

struct update {
    const struct library_options *options;
    struct library_counts *counts;
    char *library;   /* without links */
    char **folders;  /* the same */
    char **prefixes; /* as paths of the index begin below each folder */
    size_t folder_count;
    const char *const *given; /* the folders as the user wrote them */
    struct found found;
    struct store *store;
    struct plan plan;
    bool cleared; /* the index was emptied: ids of the plan are void */
    int batch;    /* writes in the open transaction; 0: none is open */
    time_t batch_start;
};

/* --- events ------------------------------------------------------------ */

static void tell_unreadable(struct update *u, const char *path,
                            const char *reason, bool known)
{
    const struct library_events *events = &u->options->events;

    u->counts->unreadable++;
    if (events->unreadable)
        events->unreadable(events->context, path, reason, known);
}

static void tell_note(const struct update *u, const char *text)
{
    const struct library_events *events = &u->options->events;

    if (events->note)
        events->note(events->context, text);
}

static void tell_read(const struct update *u, const char *path,
                      const struct solo *solo)
{
    const struct library_events *events = &u->options->events;

    for (size_t i = 0; events->warning && i < solo->warning_count; i++)
        events->warning(events->context, path, &solo->warnings[i]);
}

static void tell_progress(const struct update *u, size_t done, const char *path)
{
    const struct library_events *events = &u->options->events;

    if (events->progress)
        events->progress(events->context, done, u->plan.task_count, path);
}

static bool is_stopped(const struct update *u)
{
    return u->options->stop && atomic_load(u->options->stop);
}

static enum status interrupted(struct fault *why)
{
    return fault_set(why, ST_INTERRUPTED,
                     "stopped; what was read is kept, and running "
                     "cellar-index again completes the index");
}

/* --- folders ----------------------------------------------------------- */

static enum status resolve(char **out, const char *folder, struct fault *why)
{
    struct stat info;
    char buffer[100];

    *out = realpath(folder, NULL);
    if (!*out && errno == ENOMEM)
        return fault_nomem(why);
    if (!*out && errno == ENOENT)
        return fault_set(why, ST_INPUT, "there is no folder %s", folder);
    if (!*out || stat(*out, &info) != 0)
        return fault_set(why, ST_INPUT, "cannot look at %s: %s", folder,
                         strerror_r(errno, buffer, sizeof buffer));
    if (!S_ISDIR(info.st_mode))
        return fault_set(why, ST_INPUT, "%s is not a folder", folder);
    return ST_OK;
}

static enum status resolve_all(struct update *u, const char *library,
                               struct fault *why)
{
    enum status st = resolve(&u->library, library, why);

    u->folders = calloc(u->folder_count + 1, sizeof *u->folders);
    u->prefixes = calloc(u->folder_count + 1, sizeof *u->prefixes);
    if (!u->folders || !u->prefixes)
        return fault_nomem(why);
    for (size_t i = 0; st == ST_OK && i < u->folder_count; i++) {
        st = resolve(&u->folders[i], u->given[i], why);
        if (st != ST_OK)
            break;
        u->prefixes[i] = walk_prefix(u->library, u->folders[i]);
        if (!u->prefixes[i])
            st = fault_nomem(why);
    }
    return st;
}

static enum status nothing_below(const char *folder, struct fault *why)
{
    return fault_set(why, ST_INPUT, "no .musicxml, .xml or .mxl file below %s",
                     folder);
}

/* Find the files, and say which folders hold none. */
static enum status walk_all(struct update *u, struct fault *why)
{
    struct fault none;
    enum status st = ST_OK;

    for (size_t i = 0; st == ST_OK && i < u->folder_count; i++) {
        size_t before = u->found.count;

        st = found_walk(&u->found, u->library, u->folders[i], u->options->stop,
                        why);
        if (st == ST_OK && u->found.count == before && u->folder_count > 1) {
            nothing_below(u->given[i], &none);
            tell_note(u, none.message);
        }
    }
    if (st == ST_INTERRUPTED)
        return interrupted(why);
    if (st == ST_OK)
        found_sort(&u->found);
    for (size_t i = 0; st == ST_OK && i < u->found.fault_count; i++)
        tell_unreadable(u, u->found.faults[i].path, u->found.faults[i].reason,
                        false);
    return st;
}

/* --- opening and planning ---------------------------------------------- */

static struct plan_scope scope_of(const struct update *u)
{
    return (struct plan_scope){
        .library = u->library,
        .prefixes = (const char *const *)u->prefixes,
        .count = u->folder_count,
        .part = u->options->part ? u->options->part : "",
        .full = u->options->full,
    };
}

static bool has_index(const struct update *u)
{
    char *file;
    bool found;

    if (asprintf(&file, "%s/.cellar/index.db", u->library) < 0)
        return true;
    found = access(file, F_OK) == 0;
    free(file);
    return found;
}

/* A folder without music gets no index, unless it had some. */
static enum status check_nothing(struct update *u, struct fault *why)
{
    struct plan_scope scope = scope_of(u);
    struct fault none;

    if (u->found.count)
        return ST_OK;
    nothing_below(u->folder_count == 1 ? u->given[0] : "these folders", &none);
    if (!u->store || !plan_known_below(&u->plan, &scope)) {
        if (why)
            *why = none;
        return ST_INPUT;
    }
    strncat(none.message, " any more",
            sizeof none.message - strlen(none.message) - 1);
    tell_note(u, none.message);
    return ST_OK;
}

static enum status open_store(struct update *u, struct fault *why)
{
    bool rebuilt = false;
    enum status st =
        store_open(&u->store, u->library, STORE_WRITE, &rebuilt, why);

    if (st == ST_OK && rebuilt)
        tell_note(u,
                  "the index was damaged or of an older version, and is "
                  "made anew");
    return st;
}

/* Empty the index for --full.  What it knew of other folders is read again
 * as well, as far as it is there. */
static enum status start_anew(struct update *u, struct fault *why)
{
    struct plan_scope scope = scope_of(u);
    enum status st = plan_find_others(&u->plan, &scope, &u->found, why);

    if (st == ST_OK)
        st = store_clear(u->store, why);
    u->cleared = true;
    return st;
}

static enum status make_plan(struct update *u, struct fault *why)
{
    struct plan_scope scope = scope_of(u);
    enum status st = plan_load(&u->plan, u->store, why);

    /* Of a damaged index that is thrown away we take what can be had. */
    if (st == ST_LIBRARY && u->options->full)
        st = ST_OK;
    if (st == ST_OK)
        st = check_nothing(u, why);
    if (st == ST_OK && u->options->full)
        st = start_anew(u, why);
    if (st == ST_OK)
        st = plan_make(&u->plan, &u->found, &scope, why);
    if (st != ST_OK)
        return st;
    u->counts->unchanged = u->plan.unchanged;
    for (size_t i = 0; i < u->plan.unreadable_count; i++) {
        const struct file_record *known =
            &u->plan.known[u->plan.unreadable[i]].record;

        tell_unreadable(u, known->path, known->unreadable, true);
    }
    return ST_OK;
}

/* --- writing ----------------------------------------------------------- */

static time_t seconds_now(void)
{
    struct timespec now;

    clock_gettime(CLOCK_MONOTONIC, &now);
    return now.tv_sec;
}

static enum status batch_open(struct update *u, struct fault *why)
{
    enum status st = ST_OK;

    if (!u->batch) {
        st = store_begin(u->store, why);
        u->batch_start = seconds_now();
    }
    if (st == ST_OK)
        u->batch++;
    return st;
}

static enum status batch_close(struct update *u, struct fault *why)
{
    if (!u->batch)
        return ST_OK;
    u->batch = 0;
    return store_commit(u->store, why);
}

static enum status batch_close_if_full(struct update *u, struct fault *why)
{
    if (u->batch < BATCH_FILES &&
        (!u->batch || seconds_now() - u->batch_start < BATCH_SECONDS))
        return ST_OK;
    return batch_close(u, why);
}

/* The reason as one line: "line 12: ...". */
static void reason_text(char *out, size_t size, const struct fault *fault)
{
    if (fault->line > 0)
        snprintf(out, size, "line %ld: %s", fault->line, fault->message);
    else
        snprintf(out, size, "%s", fault->message);
}

static enum status write_unreadable(struct update *u,
                                    const struct file_record *prior,
                                    const struct file_record *record,
                                    const struct reading_result *result,
                                    struct fault *why)
{
    struct file_record unread = *record;
    char reason[sizeof result->fault.message + 32];

    reason_text(reason, sizeof reason, &result->fault);
    tell_unreadable(u, record->path, reason, false);
    unread.unreadable = reason;
    if (result->outcome == READING_BARRED) {
        /* Not the file's own fault: a size that no file has makes sure that
         * it is tried again even when it stays as it is.  What was read of
         * it before is kept until then. */
        unread.size = -1;
        unread.sha256[0] = '\0';
        if (prior && !prior->unreadable[0])
            return store_touch(u->store, &unread, why);
    }
    return store_put(u->store, &unread, NULL, why);
}

/* What was known of a file is still true of it. */
static enum status write_same(struct update *u, const struct file_record *prior,
                              const struct file_record *record,
                              struct fault *why)
{
    if (prior->unreadable[0])
        tell_unreadable(u, record->path, prior->unreadable, true);
    else
        u->counts->unchanged++;
    return store_touch(u->store, record, why);
}

/* Write what became of task I. */
static enum status write_result(struct update *u, size_t i,
                                const struct reading_result *result,
                                struct fault *why)
{
    const struct found_file *file = &u->found.files[u->plan.files[i]];
    const struct file_record *prior = u->plan.priors[i];
    struct file_record record = {
        .id = prior ? prior->id : 0,
        .path = file->path,
        .size = file->size,
        .mtime = file->mtime,
        .part = u->options->part ? u->options->part : "",
        .unreadable = "",
    };
    enum status st = batch_open(u, why);

    if (st != ST_OK)
        return st;
    memcpy(record.sha256, result->sha256, sizeof record.sha256);
    switch (result->outcome) {
    case READING_SAME:
        return write_same(u, prior, &record, why);
    case READING_DONE:
        u->counts->read++;
        tell_read(u, file->path, result->solo);
        return store_put_prepared(u->store, &record, result->solo,
                                  result->prepared, why);
    case READING_FAILED:
    case READING_BARRED:
        break;
    }
    return write_unreadable(u, prior, &record, result, why);
}

/* Is so much new that the full-text index had better be merged? */
static bool is_much(const struct update *u, int64_t changed)
{
    return changed >= OPTIMIZE_FILES &&
           changed >= u->counts->unchanged / OPTIMIZE_SHARE;
}

static enum status read_all(struct update *u, struct fault *why)
{
    struct reading *reading;
    struct reading_result result;
    size_t done = 0;
    enum status st;

    if (!u->plan.task_count)
        return ST_OK;
    if (is_much(u, (int64_t)u->plan.task_count))
        store_expect_many(u->store);
    st = reading_start(&reading, u->plan.tasks, u->plan.task_count,
                       u->options->jobs, u->options->part, u->options->stop,
                       why);
    if (st != ST_OK)
        return st;
    while (st == ST_OK && reading_next(reading, &result)) {
        st = write_result(u, done, &result, why);
        reading_result_free(&result);
        if (st == ST_OK)
            st = batch_close_if_full(u, why);
        tell_progress(u, done + 1, u->found.files[u->plan.files[done]].path);
        done++;
    }
    reading_end(reading);
    if (st == ST_OK && done < u->plan.task_count) {
        st = batch_close(u, why);
        return st == ST_OK ? interrupted(why) : st;
    }
    return st;
}

static enum status remove_gone(struct update *u, struct fault *why)
{
    enum status st = ST_OK;

    for (size_t i = 0; st == ST_OK && i < u->plan.gone_count; i++) {
        int64_t id = u->plan.known[u->plan.gone[i]].record.id;

        if (is_stopped(u)) {
            st = batch_close(u, why);
            return st == ST_OK ? interrupted(why) : st;
        }
        if (!u->cleared) {
            st = batch_open(u, why);
            if (st == ST_OK)
                st = store_remove(u->store, id, why);
            if (st == ST_OK)
                st = batch_close_if_full(u, why);
        }
        u->counts->removed += st == ST_OK;
    }
    return st == ST_OK ? batch_close(u, why) : st;
}

static enum status finish(struct update *u, struct fault *why)
{
    struct store_totals totals;
    enum status st = ST_OK;

    if (is_much(u, u->counts->read + u->counts->removed))
        st = store_optimize(u->store, why);
    if (st == ST_OK)
        st = store_totals(u->store, &totals, why);
    if (st != ST_OK)
        return st;
    u->counts->notes = totals.notes;
    u->counts->chords = totals.chords;
    u->counts->warnings = totals.warnings;
    return ST_OK;
}

/* --- the whole --------------------------------------------------------- */

static enum status run(struct update *u, const char *library, struct fault *why)
{
    enum status st = resolve_all(u, library, why);

    if (st == ST_OK)
        st = walk_all(u, why);
    if (st == ST_OK && !has_index(u))
        st = check_nothing(u, why);
    if (st == ST_OK)
        st = open_store(u, why);
    if (st == ST_OK)
        st = make_plan(u, why);
    if (st == ST_OK)
        st = read_all(u, why);
    if (st == ST_OK)
        st = remove_gone(u, why);
    if (st == ST_OK)
        st = finish(u, why);
    return st;
}

static void update_free(struct update *u)
{
    if (u->batch)
        store_rollback(u->store);
    store_close(u->store);
    plan_free(&u->plan);
    found_free(&u->found);
    for (size_t i = 0; u->folders && i < u->folder_count; i++)
        free(u->folders[i]);
    for (size_t i = 0; u->prefixes && i < u->folder_count; i++)
        free(u->prefixes[i]);
    free(u->folders);
    free(u->prefixes);
    free(u->library);
}

enum status library_update(const char *library, const char *const *folders,
                           size_t count, const struct library_options *options,
                           struct library_counts *counts, struct fault *why)
{
    struct update u = { .options = options,
                        .counts = counts,
                        .folder_count = count,
                        .given = folders };
    enum status st;

    *counts = (struct library_counts){ 0 };
    st = run(&u, library, why);
    update_free(&u);
    return st;
}
