/* tests/form/form_twin.h - the search for a form, done the long way.
 *
 * Every form that form_look.c tries is tried here, too, from the distances of
 * bars (indexer/grid.h) alone: nothing is kept from one to the next, nothing
 * is left out because it cannot be the best, and no sum is carried along.  What
 * marks, melody and usual lengths cost is asked of the indexer (form_marks.c,
 * form_theme.c, form_prior.c).
 */
#ifndef TESTS_FORM_FORM_TWIN_H
#define TESTS_FORM_FORM_TWIN_H

#include "indexer/form_search.h"

enum { FORM_TWIN_BARS = 200 }; /* of a grid at most */

/* form_try(), also MODEL and GROUP of SEARCH. */
void form_twin_try(struct search *search, struct guess *guess);
/* form_look() */
void form_twin_look(struct search *search, struct found *found);

#endif
