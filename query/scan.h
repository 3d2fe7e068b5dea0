/* query/scan.h - look through the library, solo by solo. */
#ifndef QUERY_SCAN_H
#define QUERY_SCAN_H

#include "query/solo_list.h"

/* SOLO is the index of its record in the list; the notes are valid during the
 * call.  Anything but ST_OK ends the scan with that status. */
typedef enum status (*scan_each)(void *context, size_t index,
                                 const struct solo *solo, struct fault *why);

/* Put the record of every solo that passes FILTER (NULL: all) into LIST, which
 * is all zero, in path order, and call EACH for each of them in that order.
 * The caller holds a read transaction of STORE and owns what is in LIST, also
 * after a failure (solo_list_free()).  One solo is in memory at a time. */
enum status scan_solos(struct solo_list *list, struct store *store,
                       const struct filter *filter, scan_each each,
                       void *context, struct fault *why);

/* The same for the solo ID alone, which is INDEX in the caller's list. */
enum status scan_solo(struct store *store, int64_t id, size_t index,
                      scan_each each, void *context, struct fault *why);

#endif
