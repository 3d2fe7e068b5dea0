/* query/find_order.h - the paths of solos, by which hits that are as good are
 * put in order, and the hashes of their files.
 *
 * Private to find.
 */
#ifndef QUERY_FIND_ORDER_H
#define QUERY_FIND_ORDER_H

#include "schema/store.h"

/* A solo that was asked for. */
struct ordered {
    int64_t id;
    char *path;
    char sha256[65];
    uint32_t put; /* for the caller; UINT32_MAX at first */
};

/* All of them; all zero at first. */
struct ordering {
    struct ordered **slots; /* by a hash of the id; NULL: free */
    size_t count, room;
};

/* The solo ID of STORE.  *OUT is borrowed: valid until ordering_free().  Within
 * a read transaction.  ST_LIBRARY also where it is not there. */
enum status ordering_find(struct ordering *ordering, struct store *store,
                          int64_t id, struct ordered **out,
                          struct fault *why);
void ordering_free(struct ordering *ordering);

#endif
