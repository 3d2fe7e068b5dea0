/* query/openings_parts.h - what the parts of openings share; private to it. */
#ifndef QUERY_OPENINGS_PARTS_H
#define QUERY_OPENINGS_PARTS_H

#include "query/openings.h"

/* The median time from onset to onset of the notes FIRST..LAST, of an even
 * number the lower; 1 or more.  Of many notes only the first are measured. */
int64_t openings_usual(const struct solo *solo, size_t first, size_t last);

/* Does a group end with the note INDEX, USUAL being the median? */
bool openings_breathes(const struct solo *solo, size_t index, int64_t usual);

/* Do the COUNT notes from A and from B have the same times between them? */
bool openings_same_times(const struct solo *solo, size_t a, size_t b,
                         size_t count);

/* The ticks after which a place of the bar BAR counts as the same again. */
int64_t openings_period(const struct solo *solo, int32_t bar);

/* Look for a riff in the notes from OPENING->first up to the tick END. */
void openings_find_riff(struct opening *opening, const struct solo *solo,
                        int64_t end);

/* Fill the returns of the opening INDEX of OPENINGS.  ST_OK or ST_NOMEM. */
enum status openings_find_returns(struct openings *openings, size_t index,
                                  const struct solo *solo, struct fault *why);

#endif
