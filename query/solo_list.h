/* query/solo_list.h - facts of solos that outlive the call of the store. */
#ifndef QUERY_SOLO_LIST_H
#define QUERY_SOLO_LIST_H

#include "schema/store.h"

/* Solos in the order they came; the strings of ITEMS are owned. */
struct solo_list {
    struct solo_record *items;
    size_t count, room;
    size_t limit;   /* keep at most so many; 0: all */
    uint64_t total; /* all that came, kept or not */
    bool no_memory;
};

/* A store_solo_each: CONTEXT is a struct solo_list, zeroed but for LIMIT. */
bool solo_list_add(void *context, const struct solo_record *record);
/* Release what the list holds. */
void solo_list_free(struct solo_list *list);

#endif
