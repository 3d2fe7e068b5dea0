/* query/cells_keep.h - cells that were listed, on their way into a bank. */
#ifndef QUERY_CELLS_KEEP_H
#define QUERY_CELLS_KEEP_H

#include "query/cells.h"
#include "query/session.h"

/* Remember the cells that RESULT lists for the solos asked first, by their
 * numbers, as the answer to QUESTION, so that `cellar bank add NAME 1,3-5`
 * knows them.  A library that may not be written to is no fault: nothing is
 * remembered then, and nothing can be added.  Of another failure, such as a
 * full disk, a line on stderr says that the numbers are not to be used. */
void cells_remember(struct session *session, const struct cells_result *result,
                    const char *question);

/* Put the cells that KEEP names ("mine", "mine:1,3-5") into that bank, and say
 * so on stderr.  ST_NOTHING: there is no such bank; ST_USAGE: no such number.
 */
enum status cells_keep(struct session *session,
                       const struct cells_result *result, const char *question,
                       const char *keep, struct fault *why);

#endif
