/* query/match.h - the definition of a match, with what a hit needs of it.
 *
 * Private to find and what is built on it; find_matches_at() is the same
 * without the exactness.
 */
#ifndef QUERY_MATCH_H
#define QUERY_MATCH_H

#include "query/find.h"

/* Does QUERY's fragment stand at note FIRST of SOLO?  *EXACTNESS (as in struct
 * hit) is set where it does. */
bool match_at(const struct find_query *query, const struct solo *solo,
              size_t first, int *exactness);

/* Was a suspended chord asked for by its suffix?  Then a dominant with its
 * third suspended will do as well. */
bool match_any_sus(const struct over_chord *asked);

/* The semitones (-5..6) by which the place FIRST, a match, stands away from
 * the fragment as given; of meaning where fragment.given_pc >= 0. */
int match_transposition(const struct fragment *f, const struct solo *solo,
                        size_t first);

#endif
