/* query/one_solo.c - see one_solo.h. */
#include "query/one_solo.h"

#include <stdlib.h>
#include <string.h>

/* The one solo NAME means, into LIST. */
static enum status look_up(struct session *session, const char *name,
                           struct solo_list *list, struct fault *why)
{
    enum status st =
        store_find_name(session->store, name, solo_list_add, list, why);

    if (st != ST_OK)
        return st;
    if (list->no_memory)
        return fault_nomem(why);
    if (list->total == 0)
        return fault_set(why, ST_NOTHING,
                         "no solo whose path or title contains '%.200s'; "
                         "'cellar solos' lists them all",
                         name);
    if (list->total == 1)
        return ST_OK;
    session->candidates = *list;
    memset(list, 0, sizeof *list);
    return fault_set(why, ST_USAGE,
                     "'%.200s' may mean several solos; give more of one of "
                     "these paths:",
                     name);
}

static enum status load(struct one_solo *out, struct session *session,
                        const char *name, struct fault *why)
{
    enum status st = *name ? session_open(session, why)
                           : fault_set(why, ST_USAGE,
                                       "the name of the solo is empty; "
                                       "'cellar solos' lists them");

    if (st == ST_OK)
        st = store_read_begin(session->store, why);
    if (st == ST_OK)
        st = look_up(session, name, &out->list, why);
    if (st == ST_OK)
        st = store_load(session->store, out->list.items[0].id, &out->solo,
                        why);
    return st;
}

enum status one_solo_open(struct one_solo *out, struct session *session,
                          int argc, char **argv, struct fault *why)
{
    enum status st;
    char *name;

    memset(out, 0, sizeof *out);
    if (argc == 0)
        return fault_set(why, ST_USAGE,
                         "which solo? Give a part of its path or title; "
                         "'cellar solos' lists them");
    name = join_arguments(argc, argv);
    if (!name)
        return fault_nomem(why);
    st = load(out, session, name, why);
    free(name);
    return st;
}

void one_solo_close(struct one_solo *one)
{
    solo_free(one->solo);
    solo_list_free(&one->list);
}
