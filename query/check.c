/* query/check.c - see check.h. */
#include "query/check.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#include "schema/grow.h"

_Static_assert((int)CHECK_NOTEBOOK == (int)STORE_PARTS &&
                   (int)CHECK_AREAS == (int)STORE_PARTS + (int)NOTEBOOK_PARTS,
               "areas are the parts of both");

const char *check_area_name(enum check_area area)
{
    static const char *const names[CHECK_AREAS] = {
        "index", "files",    "solos", "places", "notes", "runs",
        "words", "notebook", "forms", "banks",  "lists"
    };

    return names[area];
}

const char *check_mend(enum check_area area)
{
    if (area >= CHECK_NOTEBOOK)
        return "put a copy of yours in place of .cellar/notebook.db";
    if (area == CHECK_INDEX)
        return "--repair mends it, or else cellar-index --full";
    return "--repair mends it";
}

/* --- findings ----------------------------------------------------------- */

void check_add(struct check_report *report, enum check_area area, bool problem,
               const char *path, const char *what)
{
    struct check_finding *more = grow_room(report->findings, report->count,
                                           &report->room, sizeof *more);
    struct check_finding *at;

    report->problems[area] += problem;
    if (!more) {
        report->no_memory = true;
        return;
    }
    report->findings = more;
    at = &more[report->count];
    *at = (struct check_finding){ .area = area,
                                  .problem = problem,
                                  .path = strdup(path),
                                  .what = strdup(what) };
    if (at->path && at->what) {
        report->count++;
        return;
    }
    free(at->path);
    free(at->what);
    report->no_memory = true;
}

/* A problem whose words say how to mend it. */
static void add_with_mend(struct check_report *report, enum check_area area,
                          const char *path, const char *what)
{
    size_t before = report->count;

    check_add(report, area, true, path, what);
    if (report->count > before)
        report->findings[before].says_how = true;
}

static uint64_t problems_of(const struct check_report *report, int from,
                            int end)
{
    uint64_t sum = 0;

    for (int i = from; i < end; i++)
        sum += report->problems[i];
    return sum;
}

uint64_t check_index_problems(const struct check_report *report)
{
    return problems_of(report, CHECK_INDEX, CHECK_NOTEBOOK);
}

uint64_t check_notebook_problems(const struct check_report *report)
{
    return problems_of(report, CHECK_NOTEBOOK, CHECK_AREAS);
}

void check_free(struct check_report *report)
{
    for (size_t i = 0; i < report->count; i++) {
        free(report->findings[i].path);
        free(report->findings[i].what);
    }
    free(report->findings);
    memset(report, 0, sizeof *report);
}

/* --- the files on disk -------------------------------------------------- */

struct disk {
    struct check_report *report;
    const char *library;
};

/* As cellar-index counts the time of a file (indexer/walk.c). */
static int64_t nanoseconds(const struct timespec *time)
{
    return (int64_t)((uint64_t)time->tv_sec * 1000000000U +
                     (uint64_t)time->tv_nsec);
}

static bool look_on_disk(void *context, const struct file_record *file)
{
    struct disk *d = context;
    struct check_report *report = d->report;
    char *place = NULL;
    struct stat info;

    if (file->path[0] == '/')
        place = strdup(file->path);
    else if (asprintf(&place, "%s/%s", d->library, file->path) < 0)
        place = NULL;
    if (!place) {
        report->no_memory = true;
        return false;
    }
    if (stat(place, &info) != 0 || !S_ISREG(info.st_mode)) {
        report->missing++;
        check_add(report, CHECK_FILES, false, file->path,
                  "is not there any more; cellar-index forgets it");
    } else if (file->size == -1) {
        report->waiting++;
        if (!report->repaired) /* it was said then */
            check_add(report, CHECK_FILES, false, file->path,
                      "is read again by the next cellar-index");
    } else if (info.st_size != file->size ||
               nanoseconds(&info.st_mtim) != file->mtime) {
        report->changed++;
        check_add(report, CHECK_FILES, false, file->path,
                  "was changed or touched since; cellar-index looks at it "
                  "again");
    } else {
        report->same++;
    }
    free(place);
    return true;
}

/* --- the index ---------------------------------------------------------- */

struct listening {
    struct check_report *report;
    const struct check_progress *progress;
    const char *doing;
};

static void hear_problem(void *context, enum store_part part, const char *path,
                         const char *what)
{
    struct listening *l = context;

    check_add(l->report, (enum check_area)part, true, path, what);
}

static void hear_progress(void *context, int64_t done, int64_t total)
{
    const struct listening *l = context;

    if (l->progress && l->progress->step)
        l->progress->step(l->progress->context, l->doing, done, total);
}

static enum status check_index(struct check_report *out, struct store *store,
                               const struct check_progress *progress,
                               struct fault *why)
{
    struct listening l = { out, progress, "solos checked" };
    struct store_check_events events = { &l, hear_problem, hear_progress };
    struct disk disk = { out, out->library };
    enum status st = store_check(store, &events, &out->index, why);

    if (st != ST_OK)
        return st;
    st = store_files(store, look_on_disk, &disk, why);
    return st == ST_LIBRARY ? ST_OK : st; /* the damage was said already */
}

enum status check_library(struct check_report *out, const char *library,
                          const struct check_progress *progress,
                          struct fault *why)
{
    struct store *store = NULL;
    struct fault inner = { 0 };
    enum status st;

    out->library = library;
    st = store_open(&store, library, STORE_READ, NULL, &inner);
    out->has_index = st == ST_OK;
    if (st == ST_LIBRARY)
        add_with_mend(out, CHECK_INDEX, "", inner.message);
    else if (st == ST_OK)
        st = check_index(out, store, progress, &inner);
    if (st == ST_OK || st == ST_LIBRARY) {
        st = check_notebook(out, store, &inner);
        if (st == ST_LIBRARY) {
            add_with_mend(out, CHECK_NOTEBOOK, "", inner.message);
            st = ST_OK;
        }
    }
    store_close(store);
    if (st == ST_OK && out->no_memory)
        st = fault_nomem(&inner);
    if (st != ST_OK && why)
        *why = inner;
    return st;
}

static void hear_lost(void *context, enum store_part part, const char *path,
                      const char *what)
{
    struct listening *l = context;

    add_with_mend(l->report, (enum check_area)part, path, what);
}

enum status check_repair(struct check_report *out, const char *library,
                         const struct check_progress *progress,
                         struct fault *why)
{
    struct listening l = { out, progress, "solos laid anew" };
    struct store_check_events events = { &l, hear_lost, hear_progress };
    struct store *store;
    enum status st = store_open(&store, library, STORE_WRITE, NULL, why);

    if (st == ST_OK)
        st = store_repair(store, &events, &out->repair, why);
    store_close(store);
    out->repaired = st == ST_OK;
    return st;
}
