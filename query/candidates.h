/* query/candidates.h - the places the index proposes for a fragment.
 *
 * Private to find and what is built on it.
 */
#ifndef QUERY_CANDIDATES_H
#define QUERY_CANDIDATES_H

#include "query/find.h"

/* The run of fixed intervals by which a fragment is looked up. */
struct lookup {
    size_t at;     /* the note the run starts on */
    size_t length; /* intervals in it; 0: nothing to look up by */
    bool placed;   /* with the class of its chord and the degree, in */
    int class, start; /* semitones, that it starts on */
    /* All that is asked is in what is looked up: each place it finds is one of
     * the fragment, and nothing else need be asked of it. */
    bool decides;
};

/* The longest run of neighbours in QUERY's fragment that the index can look
 * up, the first of several. */
struct lookup lookup_choose(const struct find_query *query);

/* Places of one solo: the fragment may start at FIRSTS[0..COUNT), ascending
 * and distinct.  FIRSTS is NULL where it may start at any note.  EACH returns
 * false to stop. */
typedef bool (*candidate_each)(void *context, const struct stretch *solo,
                               const uint32_t *firsts, size_t count);

/* Propose, in no fixed order and every solo once, all places of the solos
 * PASSING QUERY's filter at which its fragment may stand.  Within a read
 * transaction. */
enum status candidates_run(struct store *store, const struct find_query *query,
                           const struct passing *passing,
                           const struct lookup *lookup, candidate_each each,
                           void *context, struct fault *why);
/* The same of all solos, by segments, where LOOKUP decides: every place is one
 * of the fragment. */
enum status candidates_whole(struct store *store,
                             const struct find_query *query,
                             const struct lookup *lookup,
                             store_segment_each each, void *context,
                             struct fault *why);

#endif
