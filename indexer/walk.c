/* indexer/walk.c - see walk.h. */
#include "indexer/walk.h"

#include <errno.h>
#include <fts.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>
#include <sys/stat.h>

#include "schema/grow.h"

/* A folder reached through a link, so that it is entered only once. */
struct seen_folder {
    dev_t device;
    ino_t inode;
};

struct walk {
    struct found *out;
    const char *library; /* where paths are relative to */
    const char *folder;  /* the root of the walk */
    struct seen_folder *seen;
    size_t seen_count, seen_room;
    int outside; /* level of the link out of FOLDER we are below, or 0 */
};

/* --- paths ------------------------------------------------------------- */

/* What follows FOLDER and a slash in PATH; NULL where PATH is not below. */
static const char *path_below(const char *path, const char *folder)
{
    size_t len = strlen(folder);

    if (len && folder[len - 1] == '/')
        len--; /* the root of the file system */
    if (strncmp(path, folder, len) != 0 || path[len] != '/')
        return NULL;
    return path + len + 1;
}

char *walk_prefix(const char *library, const char *folder)
{
    const char *below = path_below(folder, library);
    char *prefix;

    if (strcmp(folder, library) == 0)
        return strdup("");
    if (!below)
        below = folder;
    if (asprintf(&prefix, "%s%s", below,
                 below[strlen(below) - 1] == '/' ? "" : "/") < 0)
        return NULL;
    return prefix;
}

bool walk_is_below(const char *path, const char *prefix)
{
    if (!prefix[0])
        return path[0] != '/';
    return strncmp(path, prefix, strlen(prefix)) == 0;
}

static bool is_music_name(const char *name)
{
    const char *dot = strrchr(name, '.');

    return dot && dot != name &&
           (strcasecmp(dot, ".musicxml") == 0 || strcasecmp(dot, ".xml") == 0 ||
            strcasecmp(dot, ".mxl") == 0);
}

/* --- the lists --------------------------------------------------------- */

static char *index_path(const struct walk *w, const char *path)
{
    const char *below = path_below(path, w->library);

    return strdup(below ? below : path);
}

/* Add the file PATH, which is owned by OUT from here on, or freed. */
static bool add_file(struct found *out, char *path, const struct stat *info)
{
    const struct timespec *changed = &info->st_mtim;
    struct found_file *files;

    files = grow_room(out->files, out->count, &out->room, sizeof *files);
    if (files)
        out->files = files;
    if (!path || !files) {
        free(path);
        return false;
    }
    out->files[out->count++] = (struct found_file){
        .path = path,
        .size = info->st_size,
        /* Unsigned, since a clock may be set to any year; it wraps. */
        .mtime = (int64_t)((uint64_t)changed->tv_sec * 1000000000U +
                           (uint64_t)changed->tv_nsec),
    };
    return true;
}

enum status found_add(struct found *out, const char *path, const char *place,
                      struct fault *why)
{
    struct stat info;

    if (stat(place, &info) != 0 || !S_ISREG(info.st_mode))
        return ST_OK;
    return add_file(out, strdup(path), &info) ? ST_OK : fault_nomem(why);
}

static bool add_fault(struct walk *w, const FTSENT *e, const char *what,
                      int error)
{
    struct found *out = w->out;
    struct found_fault *fault;
    char buffer[100];

    fault = grow_room(out->faults, out->fault_count, &out->fault_room,
                      sizeof *fault);
    if (!fault)
        return false;
    out->faults = fault;
    fault = &out->faults[out->fault_count];
    fault->path = index_path(w, e->fts_path);
    if (!fault->path)
        return false;
    out->fault_count++;
    if (error)
        snprintf(fault->reason, sizeof fault->reason, "%s: %s", what,
                 strerror_r(error, buffer, sizeof buffer));
    else
        snprintf(fault->reason, sizeof fault->reason, "%s", what);
    return true;
}

/* --- links ------------------------------------------------------------- */

static bool was_seen(const struct walk *w, const struct stat *info)
{
    for (size_t i = 0; i < w->seen_count; i++)
        if (w->seen[i].device == info->st_dev &&
            w->seen[i].inode == info->st_ino)
            return true;
    return false;
}

static bool remember(struct walk *w, const struct stat *info)
{
    struct seen_folder *seen =
        grow_room(w->seen, w->seen_count, &w->seen_room, sizeof *seen);

    if (!seen)
        return false;
    w->seen = seen;
    w->seen[w->seen_count++] =
        (struct seen_folder){ info->st_dev, info->st_ino };
    return true;
}

static bool is_link(const FTSENT *e)
{
    struct stat info;

    return lstat(e->fts_accpath, &info) == 0 && S_ISLNK(info.st_mode);
}

/* Whether the link E leads to FOLDER, into it, or to a parent of it: what is
 * there is walked anyway, or would never end. */
static bool leads_inside(const struct walk *w, const FTSENT *e)
{
    char *target = realpath(e->fts_accpath, NULL);
    bool inside = target && (strcmp(target, w->folder) == 0 ||
                             path_below(target, w->folder) ||
                             path_below(w->folder, target));

    free(target);
    return inside;
}

/* Decide about the folder E; *ENTER says whether to go in.  False when memory
 * is out. */
static bool look_at_folder(struct walk *w, const FTSENT *e, bool *enter)
{
    *enter = true;
    if (e->fts_level == 0)
        return true;
    if (e->fts_name[0] == '.') {
        *enter = false;
        return true;
    }
    if (w->outside && e->fts_level <= w->outside)
        w->outside = 0;
    if (is_link(e)) {
        if (leads_inside(w, e)) {
            *enter = false;
            return true;
        }
        if (!w->outside)
            w->outside = e->fts_level;
    }
    /* Inside, the tree of folders is a tree.  What links add may meet itself
     * again, so there every folder is remembered. */
    if (!w->outside)
        return true;
    *enter = !was_seen(w, e->fts_statp);
    return !*enter || remember(w, e->fts_statp);
}

/* --- the walk ---------------------------------------------------------- */

static bool is_fault(const FTSENT *e)
{
    return e->fts_info == FTS_DNR || e->fts_info == FTS_NS ||
           e->fts_info == FTS_ERR;
}

static bool look_at(struct walk *w, FTS *tree, FTSENT *e)
{
    bool enter;

    switch (e->fts_info) {
    case FTS_D:
        if (!look_at_folder(w, e, &enter))
            return false;
        if (!enter)
            fts_set(tree, e, FTS_SKIP);
        return true;
    case FTS_F:
        if (e->fts_name[0] == '.' || !is_music_name(e->fts_name))
            return true;
        return add_file(w->out, index_path(w, e->fts_path), e->fts_statp);
    case FTS_DNR:
        return add_fault(w, e, "this folder cannot be read", e->fts_errno);
    case FTS_NS:
    case FTS_ERR:
        if (e->fts_name[0] == '.')
            return true;
        return add_fault(w, e, "cannot be looked at", e->fts_errno);
    case FTS_SLNONE:
        if (e->fts_name[0] == '.' || !is_music_name(e->fts_name))
            return true;
        return add_fault(w, e, "is a link that leads nowhere", 0);
    default: /* a folder left again, a loop, a device, a pipe */
        return true;
    }
}

static int compare_entries(const FTSENT **a, const FTSENT **b)
{
    return strcmp((*a)->fts_name, (*b)->fts_name);
}

enum status found_walk(struct found *out, const char *library,
                       const char *folder, const atomic_bool *stop,
                       struct fault *why)
{
    struct walk w = { .out = out, .library = library, .folder = folder };
    char *root = strdup(folder);
    char *roots[] = { root, NULL };
    FTS *tree =
        root ? fts_open(roots, FTS_LOGICAL | FTS_NOCHDIR, compare_entries)
             : NULL;
    enum status st = tree ? ST_OK : fault_nomem(why);
    FTSENT *e = NULL;

    while (st == ST_OK && (errno = 0, e = fts_read(tree)) != NULL) {
        if (e->fts_errno == ENOMEM && is_fault(e))
            st = fault_nomem(why);
        else if (e->fts_level == 0 && is_fault(e))
            st = fault_set(why, ST_INPUT, "cannot read the folder %s: %s",
                           folder, strerror(e->fts_errno));
        else if (!look_at(&w, tree, e))
            st = fault_nomem(why);
        else if (stop && atomic_load(stop))
            st = fault_set(why, ST_INTERRUPTED, "stopped");
    }
    if (st == ST_OK && errno)
        st = fault_set(why, ST_IO, "cannot list %s: %s", folder,
                       strerror(errno));
    if (tree)
        fts_close(tree);
    free(root);
    free(w.seen);
    return st;
}

static int compare_files(const void *a, const void *b)
{
    return strcmp(((const struct found_file *)a)->path,
                  ((const struct found_file *)b)->path);
}

void found_sort(struct found *found)
{
    size_t kept = 0;

    if (found->count)
        qsort(found->files, found->count, sizeof *found->files, compare_files);
    for (size_t i = 0; i < found->count; i++) {
        if (kept &&
            strcmp(found->files[kept - 1].path, found->files[i].path) == 0)
            free(found->files[i].path);
        else
            found->files[kept++] = found->files[i];
    }
    found->count = kept;
}

bool found_is_hidden(const struct found *found, const char *path)
{
    for (size_t i = 0; i < found->fault_count; i++) {
        const char *fault = found->faults[i].path;
        size_t len = strlen(fault);

        if (strncmp(path, fault, len) == 0 &&
            (path[len] == '/' || path[len] == '\0'))
            return true;
    }
    return false;
}

void found_free(struct found *found)
{
    for (size_t i = 0; i < found->count; i++)
        free(found->files[i].path);
    for (size_t i = 0; i < found->fault_count; i++)
        free(found->faults[i].path);
    free(found->files);
    free(found->faults);
    *found = (struct found){ 0 };
}
