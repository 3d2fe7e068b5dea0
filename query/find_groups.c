/* query/find_groups.c - hits counted by the relation of their chord. */
#include "query/find_groups.h"

#include <stdlib.h>
#include <string.h>

/* A named relation is one group, whatever the classes; the others are told
 * apart by steps and classes.  There are never many. */
static struct relation_group *group_of(struct find_result *result,
                                       enum relation relation, int key)
{
    for (size_t i = 0; i < result->group_count; i++) {
        struct relation_group *g = &result->groups[i];

        if (g->relation == relation &&
            (relation != RELATION_OTHER || g->key == key))
            return g;
    }
    return NULL;
}

static struct relation_group *new_group(struct find_result *result)
{
    size_t size = (result->group_count + 1) * sizeof *result->groups;
    struct relation_group *grown = realloc(result->groups, size);

    if (!grown)
        return NULL;
    result->groups = grown;
    grown += result->group_count++;
    memset(grown, 0, sizeof *grown);
    return grown;
}

/* How WRITTEN stands to HOME: a relation, and the key of what has no name. */
static enum relation relate(const struct chord *written,
                            const struct chord *home, int *key)
{
    *key = written && home ? relation_key(home, written) : -1;
    return *key >= 0 ? relation_of(home, written) : RELATION_OTHER;
}

bool groups_count_known(struct find_result *result,
                        const struct chord *written, const struct chord *home)
{
    int key;
    enum relation relation = relate(written, home, &key);
    struct relation_group *group = group_of(result, relation, key);

    if (group)
        group->count++;
    return group != NULL;
}

enum status groups_count(struct find_result *result, const struct solo *solo,
                         const struct match *m, const struct chord *written,
                         const struct chord *home, struct fault *why)
{
    int key;
    enum relation relation = relate(written, home, &key);
    struct relation_group *group;

    if (groups_count_known(result, written, home))
        return ST_OK;
    group = new_group(result);
    if (!group)
        return fault_nomem(why);
    group->relation = relation;
    group->key = key;
    group->count = 1;
    if (key >= 0) {
        group->home = *home;
        group->written = *written;
    }
    group->notes = m->last - m->first + 1;
    for (size_t i = 0; i < group->notes; i++)
        group->midi[i] = solo->notes[m->first + i].midi;
    return ST_OK;
}

static int more_first(const void *a, const void *b)
{
    const struct relation_group *x = a, *y = b;

    if (x->count != y->count)
        return x->count > y->count ? -1 : 1;
    if (x->relation != y->relation)
        return x->relation < y->relation ? -1 : 1;
    return (x->key > y->key) - (x->key < y->key);
}

void groups_sort(struct find_result *result)
{
    if (result->group_count > 1)
        qsort(result->groups, result->group_count, sizeof *result->groups,
              more_first);
}
