/* indexer/plan.c - see plan.h. */
#include "indexer/plan.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "schema/grow.h"

/* --- what is known ----------------------------------------------------- */

struct loading {
    struct plan *plan;
    bool nomem;
};

static void record_free(struct file_record *record)
{
    free((char *)record->path);
    free((char *)record->part);
    free((char *)record->unreadable);
}

static bool add_known(void *context, const struct file_record *file)
{
    struct loading *l = context;
    struct plan *plan = l->plan;
    struct file_record copy = *file;
    struct known_file *bigger;

    l->nomem = true;
    bigger = grow_room(plan->known, plan->known_count, &plan->known_room,
                       sizeof *bigger);
    if (!bigger)
        return false;
    plan->known = bigger;
    copy.path = strdup(file->path);
    copy.part = strdup(file->part);
    copy.unreadable = strdup(file->unreadable);
    if (!copy.path || !copy.part || !copy.unreadable) {
        record_free(&copy);
        return false;
    }
    plan->known[plan->known_count++] = (struct known_file){ copy, false };
    l->nomem = false;
    return true;
}

static int compare_known(const void *a, const void *b)
{
    return strcmp(((const struct known_file *)a)->record.path,
                  ((const struct known_file *)b)->record.path);
}

enum status plan_load(struct plan *out, struct store *store, struct fault *why)
{
    struct loading l = { .plan = out };
    enum status st;

    *out = (struct plan){ 0 };
    st = store_files(store, add_known, &l, why);
    if (st == ST_OK && l.nomem)
        st = fault_nomem(why);
    /* Bytewise, whatever order the index thinks paths have. */
    if (out->known_count)
        qsort(out->known, out->known_count, sizeof *out->known, compare_known);
    return st;
}

static struct known_file *find_known(struct plan *plan, const char *path)
{
    struct known_file key = { .record = { .path = path } };

    if (!plan->known_count)
        return NULL;
    return bsearch(&key, plan->known, plan->known_count, sizeof *plan->known,
                   compare_known);
}

/* --- what lies where --------------------------------------------------- */

static bool is_in_scope(const struct plan_scope *scope, const char *path)
{
    for (size_t i = 0; i < scope->count; i++)
        if (walk_is_below(path, scope->prefixes[i]))
            return true;
    return false;
}

size_t plan_known_below(const struct plan *plan, const struct plan_scope *scope)
{
    size_t count = 0;

    for (size_t i = 0; i < plan->known_count; i++)
        count += is_in_scope(scope, plan->known[i].record.path);
    return count;
}

/* Where the file PATH of the index is on disk.  The caller owns it. */
static char *place_of(const struct plan_scope *scope, const char *path)
{
    char *place;

    if (path[0] == '/')
        return strdup(path);
    return asprintf(&place, "%s/%s", scope->library, path) < 0 ? NULL : place;
}

enum status plan_find_others(const struct plan *plan,
                             const struct plan_scope *scope,
                             struct found *found, struct fault *why)
{
    enum status st = ST_OK;

    for (size_t i = 0; st == ST_OK && i < plan->known_count; i++) {
        const char *path = plan->known[i].record.path;
        char *place;

        if (is_in_scope(scope, path))
            continue;
        place = place_of(scope, path);
        st = place ? found_add(found, path, place, why) : fault_nomem(why);
        free(place);
    }
    found_sort(found);
    return st;
}

/* --- the plan ---------------------------------------------------------- */

static enum status add_task(struct plan *plan, const struct plan_scope *scope,
                            const struct found *found, size_t file,
                            const struct known_file *known, struct fault *why)
{
    struct reading_task *task = &plan->tasks[plan->task_count];

    task->place = place_of(scope, found->files[file].path);
    if (!task->place)
        return fault_nomem(why);
    if (known && !scope->full && strcmp(known->record.part, scope->part) == 0)
        memcpy(task->sha256, known->record.sha256, sizeof task->sha256);
    plan->files[plan->task_count] = file;
    plan->priors[plan->task_count++] = known ? &known->record : NULL;
    return ST_OK;
}

static bool is_unchanged(const struct plan_scope *scope,
                         const struct found_file *file,
                         const struct known_file *known)
{
    return known && !scope->full && known->record.size == file->size &&
           known->record.mtime == file->mtime &&
           strcmp(known->record.part, scope->part) == 0;
}

/* Room for as many of each as there can be. */
static bool make_room(struct plan *plan, size_t found)
{
    plan->tasks = calloc(found + 1, sizeof *plan->tasks);
    plan->files = calloc(found + 1, sizeof *plan->files);
    plan->priors = calloc(found + 1, sizeof *plan->priors);
    plan->gone = calloc(plan->known_count + 1, sizeof *plan->gone);
    plan->unreadable = calloc(plan->known_count + 1, sizeof *plan->unreadable);
    return plan->tasks && plan->files && plan->priors && plan->gone &&
           plan->unreadable;
}

enum status plan_make(struct plan *plan, const struct found *found,
                      const struct plan_scope *scope, struct fault *why)
{
    enum status st = make_room(plan, found->count) ? ST_OK : fault_nomem(why);

    for (size_t i = 0; st == ST_OK && i < found->count; i++) {
        struct known_file *known = find_known(plan, found->files[i].path);

        if (known)
            known->found = true;
        if (!is_unchanged(scope, &found->files[i], known))
            st = add_task(plan, scope, found, i, known, why);
        else if (known->record.unreadable[0])
            plan->unreadable[plan->unreadable_count++] =
                (size_t)(known - plan->known);
        else
            plan->unchanged++;
    }
    for (size_t i = 0; st == ST_OK && i < plan->known_count; i++) {
        const char *path = plan->known[i].record.path;

        if (!plan->known[i].found && is_in_scope(scope, path) &&
            !found_is_hidden(found, path))
            plan->gone[plan->gone_count++] = i;
    }
    return st;
}

void plan_free(struct plan *plan)
{
    for (size_t i = 0; i < plan->known_count; i++)
        record_free(&plan->known[i].record);
    for (size_t i = 0; i < plan->task_count; i++)
        free(plan->tasks[i].place);
    free(plan->known);
    free(plan->tasks);
    free(plan->files);
    free(plan->priors);
    free(plan->gone);
    free(plan->unreadable);
    *plan = (struct plan){ 0 };
}
