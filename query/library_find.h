/* query/library_find.h - which folder is the library. */
#ifndef QUERY_LIBRARY_FIND_H
#define QUERY_LIBRARY_FIND_H

#include "schema/status.h"

/* The folder NAMED (--library; NULL where not given), else the one the
 * environment variable CELLAR_LIBRARY names, else the nearest folder from the
 * current one upwards that holds `.cellar/`.  A folder that was named is not
 * looked at here: opening its index says what is wrong with it.
 * ST_LIBRARY where there is none, with how to mend it; ST_NOMEM.  The caller
 * owns *OUT (release with free()). */
enum status library_find(char **out, const char *named, struct fault *why);

/* Is LIBRARY a folder that cellar-index has read?  For what needs no index:
 * ST_LIBRARY where not, with how to mend it. */
enum status library_check(const char *library, struct fault *why);

#endif
