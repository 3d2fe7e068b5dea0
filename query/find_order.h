/* query/find_order.h - which solo comes first where hits are as good.
 *
 * Private to find.
 */
#ifndef QUERY_FIND_ORDER_H
#define QUERY_FIND_ORDER_H

#include "schema/store.h"

/* Ids and places in path order, sorted by id. */
struct ranking {
    struct ranked {
        int64_t id;
        uint32_t rank;
    } * solos;
    size_t count, room;
    bool known; /* it was read */
    bool nomem;
};

/* Read the order of all files of STORE into OUT, which is zero on entry.
 * Release with ranking_free(), also after a failure. */
enum status ranking_read(struct ranking *out, struct store *store,
                         struct fault *why);
void ranking_free(struct ranking *ranking);

/* The solo ID, NULL where it is not there.  Borrowed. */
struct ranked *ranking_find(struct ranking *ranking, int64_t id);

#endif
