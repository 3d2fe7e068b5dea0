/* query/find_shelf.h - the solos of a long answer, of which some are held.
 *
 * Private to find.
 */
#ifndef QUERY_FIND_SHELF_H
#define QUERY_FIND_SHELF_H

#include "query/find.h"

/* Hold HELD of the solos of RESULT at a time, or all where they are no more.
 * Within a read transaction of STORE, which goes on until shelf_free(). */
enum status shelf_new(struct find_result *result, struct store *store,
                      size_t held, struct fault *why);
void shelf_free(struct find_shelf *shelf);

/* store_load() of a solo that has hits: where there is none, the index is
 * damaged. */
enum status shelf_load(struct solo **out, struct store *store, int64_t id,
                       struct fault *why);
/* Is LAST, of a place that was found in the strands, a note of SOLO?  Else the
 * index is damaged. */
enum status shelf_holds(const struct solo *solo, size_t last,
                        struct fault *why);

#endif
