/* query/find_keep.h - the best hits, however many there are.
 *
 * Private to find and tension.
 */
#ifndef QUERY_FIND_KEEP_H
#define QUERY_FIND_KEEP_H

#include "schema/status.h"

#include <stdbool.h>
#include <stdint.h>

/* A hit before its solo is looked at again.  Within a solo the bars ascend
 * with the notes, so FIRST stands for both. */
struct kept {
    int64_t id;
    const char *path; /* of its solo, borrowed; or for all hits NULL and */
    uint32_t rank;    /* its place in path order */
    uint32_t first, last;
    int score, edits, shift;
};

/* Up to twice LIMIT hits; when there are more, the better half stays.  LIMIT 0
 * keeps all. */
struct keeping {
    struct kept *hits;
    size_t count, room, limit;
    bool full; /* LIMIT hits are there; the last of them is hits[LIMIT - 1] */
};

/* Would a hit with so many EDITS and at most this SCORE be refused, whatever
 * solo it stands in? */
bool keeping_refuses(const struct keeping *k, int edits, int score);
/* The score that a hit with so many EDITS must reach. */
int keeping_enough(const struct keeping *k, int edits);

/* Would HIT be kept? */
bool keeping_takes(const struct keeping *k, const struct kept *hit);
/* ST_OK or ST_NOMEM. */
enum status keep(struct keeping *k, const struct kept *hit,
                 struct fault *why);
/* Is it worth while to sort now, so that more is refused? */
bool keeping_is_ripe(const struct keeping *k);
/* Would sorting now, at whatever cost, let more be refused? */
bool keeping_is_unsorted(const struct keeping *k);
/* Put the hits in order, best first, and cut them to the limit. */
void keeping_sort(struct keeping *k);
void keeping_free(struct keeping *k);

#endif
