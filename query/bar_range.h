/* query/bar_range.h - "A-B": bars by their printed numbers. */
#ifndef QUERY_BAR_RANGE_H
#define QUERY_BAR_RANGE_H

#include "schema/status.h"

/* Printed numbers, which may be text ("12a", "X1").  Owned; both NULL is no
 * range. */
struct bar_range {
    char *first, *last;
};

/* Read "5", "5-8", "12a-X1".  A number with a dash in it is understood where
 * both have one ("A-1-A-4") or the dash leads ("-1-3").  ST_USAGE where a
 * side is missing, ST_NOMEM; *OUT is empty then.  Release with
 * bar_range_free(). */
enum status bar_range_read(struct bar_range *out, const char *text,
                           struct fault *why);
void bar_range_free(struct bar_range *range);

#endif
