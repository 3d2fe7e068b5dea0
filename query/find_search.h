/* query/find_search.h - a search that goes on.
 *
 * Private to the files of find.
 */
#ifndef QUERY_FIND_SEARCH_H
#define QUERY_FIND_SEARCH_H

#include "query/candidates.h"
#include "query/find_keep.h"
#include "query/find_order.h"
#include "query/find_waiting.h"
#include "query/glance.h"

struct search {
    struct store *store;
    const struct find_query *query;
    struct find_result *result;
    struct passing *passing;
    struct lookup lookup;
    struct ordering ordering;
    struct keeping keeping;
    struct waiting waiting;
    struct edits *edits;
    bool glancing;   /* strands can answer the question */
    bool at_leisure; /* and a hit may wait until it is scored */
    size_t opened;   /* solos looked at */
    struct glance_question question;

    /* The solo being looked at: by its strands, or loaded. */
    int64_t id;
    bool by_strands;
    struct glance glance;
    struct glance wide; /* the solo of the hits of which a bound is asked */
    struct solo *solo;  /* NULL: not loaded yet */
    const uint8_t *midi;
    size_t count; /* notes */
    bool found;
    uint8_t *copied; /* where MIDI lies of a loaded solo */
    size_t copied_room;

    enum status status;
    struct fault *why;
};

/* --- find.c --------------------------------------------------------------- */

/* Score a hit of the solo that is looked at by its notes, and count it with its
 * relation unless that is COUNTED. */
enum status search_weigh(struct search *s, const struct match *m, bool counted,
                         int *score);
/* Keep HIT, whose solo is the one being looked at. */
enum status search_keep(struct search *s, struct kept *hit);

/* --- find_look.c ---------------------------------------------------------- */

/* Can the hits of SOLO wait for their score? */
bool search_may_wait(const struct search *s, const struct stretch *solo);
/* Every candidate is a hit: count them, and let them wait for their score. */
enum status search_wait(struct search *s, const struct stretch *solo,
                        const uint32_t *firsts, size_t count);
/* Can the hits of all solos wait, none told from another?  Have them wait. */
bool search_may_wait_whole(const struct search *s);
enum status search_wait_whole(struct search *s);
/* Look at those that waited. */
enum status search_look(struct search *s);

#endif
