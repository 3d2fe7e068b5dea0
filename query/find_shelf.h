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

#endif
