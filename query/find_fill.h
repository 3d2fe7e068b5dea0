/* query/find_fill.h - the hits that were kept, with all that is said of them.
 *
 * Private to find.
 */
#ifndef QUERY_FIND_FILL_H
#define QUERY_FIND_FILL_H

#include "query/find.h"
#include "query/find_keep.h"
#include "query/find_order.h"

/* Put the hits of KEEPING, which is sorted, into OUT, and have their solos, if
 * not later.
 * KEEPING and ORDERING are empty then: of many hits they are as large as OUT.
 * Within a read transaction. */
enum status find_fill(struct find_result *out, struct store *store,
                      const struct find_query *query, struct keeping *keeping,
                      struct ordering *ordering, struct fault *why);

#endif
