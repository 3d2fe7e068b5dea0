/* twin_joins.h - the definitions of query/joins.h said anew.
 *
 * Shared by check_coverage_twin.c and twin_joins.c.
 */
#ifndef TESTS_UNIT_TWIN_JOINS_H
#define TESTS_UNIT_TWIN_JOINS_H

#include "query/coverage.h"

enum {
    TWIN_LINE_MAX = 12 /* notes; every division of them is tried */
};

struct line {
    const struct solo *solo;
    size_t first, count; /* the passage */
};

/* End the test unless the COUNT SPANS name the notes FIRST..END-1 of LINE as
 * the twin does. */
void joins_check(const struct line *line, const struct coverage_span *spans,
                 size_t count, size_t first, size_t end);

/* How often each name was given. */
extern unsigned joins_called[JOINS];

#endif
