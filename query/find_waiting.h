/* query/find_waiting.h - hits that wait for their score: those that may score
 * most are looked at first, and most are never looked at.
 *
 * Private to find.
 */
#ifndef QUERY_FIND_WAITING_H
#define QUERY_FIND_WAITING_H

#include "query/candidates.h"
#include "schema/store.h"

enum {
    /* No more than that are looked at as they come. */
    WAITING_FEW = 64,
    WAITING_MANY = 2048,
    WAITING_SALIENT = 16384, /* that are compared at a time */
    WAITING_MAX = 1 << 18 /* of which at a time is known what they may score */
};

/* Where hits stand, by segment and note. */
struct waiting {
    struct waiting_part {
        int64_t segment;
        size_t from; /* the first of its hits; they end where the next begin */
    } *parts;
    uint32_t *notes; /* of the segment; WAITING_SEEN was looked at */
    size_t part_count, part_room, count, room;
    size_t many; /* 0: WAITING_MANY */
};

/* Let the notes FIRSTS[0..COUNT) of SOLO, in order, wait.  Solos come by where
 * they lie. */
enum status waiting_add(struct waiting *waiting, const struct stretch *solo,
                        const uint32_t *firsts, size_t count,
                        struct fault *why);

/* The same of COUNT notes of SEGMENT, which comes but once. */
enum status waiting_add_whole(struct waiting *waiting, int64_t segment,
                              const uint32_t *notes, size_t count,
                              struct fault *why);

/* Who looks at hits that waited. */
struct waiting_eyes {
    struct store *store;
    void *context;
    /* The list of salient places that the salient ones of the hits are in; -1
     * where salience says nothing of what a hit may score. */
    int list;
    /* A hit that is not over HOME, a salience_chord(), scores by AWAY
     * millionths less, and one over other tones than TONES, a salience_tones(),
     * by OTHERWISE; 0 where that makes no difference. */
    int away, otherwise;
    uint8_t home, tones;
    /* Which score a hit must reach; 0: any will do. */
    int (*enough)(void *context);
    /* What a hit may score, by what takes less time to read than all of it.
     * Returns false to stop. */
    bool (*most)(void *context, const struct stretch *solo, uint32_t first,
                 int *most);
    /* Hand out the hits over HOME; NULL where AWAY is 0 or they cannot be told
     * by the index. */
    enum status (*at_home)(void *context, candidate_each each, void *there);
    /* Look at a hit that may score MOST.  Returns false to stop. */
    bool (*look)(void *context, const struct stretch *solo, uint32_t first,
                 int most);
};

/* Have the hits that waited looked at, all that may reach enough.  Where they
 * are many, the salient ones come first, and then those that may score most.
 * Within a read transaction. */
enum status waiting_look(struct waiting *waiting,
                         const struct waiting_eyes *eyes, struct fault *why);

void waiting_free(struct waiting *waiting);

#endif
