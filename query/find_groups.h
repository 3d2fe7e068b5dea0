/* query/find_groups.h - hits counted by the relation of their chord.
 *
 * Private to find.
 */
#ifndef QUERY_FIND_GROUPS_H
#define QUERY_FIND_GROUPS_H

#include "query/match.h"

/* Count the hit M over the chord WRITTEN (NULL: none) with the home chord HOME
 * (NULL: none known) in the groups of RESULT.  ST_OK or ST_NOMEM. */
enum status groups_count(struct find_result *result, const struct solo *solo,
                         const struct match *m, const struct chord *written,
                         const struct chord *home, struct fault *why);
/* The same where a group already counts such hits; false where none does, and
 * the notes of one have to be shown. */
bool groups_count_known(struct find_result *result,
                        const struct chord *written, const struct chord *home);
/* The most frequent first. */
void groups_sort(struct find_result *result);

#endif
