/* query/bar_range.h - "A-B": bars by their printed numbers, and where they
 * are. */
#ifndef QUERY_BAR_RANGE_H
#define QUERY_BAR_RANGE_H

#include "schema/solo.h"

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

/* Bars by index, both included. */
struct bar_indexes {
    size_t first, last;
};

/* The bars of SOLO from the first printed with the number FIRST (NULL: the
 * first of all) to the last one printed with LAST (NULL: the last of all).
 * UNKNOWN, with the numbers there are, where it has no such bar. */
enum status bar_range_find(struct bar_indexes *out, const struct solo *solo,
                           const char *first, const char *last,
                           enum status unknown, struct fault *why);
/* The notes of SOLO that start in BARS: *COUNT of them from *FIRST. */
void bar_range_notes(size_t *first, size_t *count, const struct solo *solo,
                     const struct bar_indexes *bars);

#endif
