/* query/study_fill.h - a good and varied set of places, from easy to hard. */
#ifndef QUERY_STUDY_FILL_H
#define QUERY_STUDY_FILL_H

#include "query/choose.h"
#include "query/grade.h"
#include "query/printer.h"

/* A place that was chosen: the hit HIT of the page PAGE. */
struct filled {
    size_t page, hit;
    struct grade grade;
};

/* Choose at most SIZE of the hits of the COUNT PAGES: by choose(), with the
 * score of find as relevance, and what is alike being the root of the chord,
 * its relation to the home chord, the rhythm (in any speed), the bar of the
 * four-bar unit and what it opens, the player and the solo.  The chosen stand
 * in OUT (room for SIZE) by their grade, the easiest first, ties as they were
 * chosen.  Returns how many, or SIZE_MAX when memory is out. */
size_t study_fill(struct filled *out, size_t size,
                  const struct find_page *const *pages, size_t count);

#endif
