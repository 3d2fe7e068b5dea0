/* query/find_waiting.h - hits that wait for their score: those that may score
 * most are looked at first, and most are never looked at.
 *
 * Private to find.
 */
#ifndef QUERY_FIND_WAITING_H
#define QUERY_FIND_WAITING_H

#include "schema/store.h"

enum {
    WAITING_MANY = 2048,
    WAITING_MAX = 1 << 18 /* hits that wait before they are looked at */
};

struct waiting {
    struct waiting_hit {
        uint32_t solo, first; /* an index of SOLOS; the first note */
        uint8_t mark;         /* its byte of STRAND_MARK, once it is known */
    } * hits;
    struct waiting_solo {
        struct stretch stretch;
        uint32_t end; /* where its hits end among HITS */
    } * solos;
    size_t count, room, solo_count, solo_room;
};

/* Let the notes FIRSTS[0..COUNT) of SOLO, in order, wait. */
enum status waiting_add(struct waiting *waiting, const struct stretch *solo,
                        const uint32_t *firsts, size_t count,
                        struct fault *why);

/* Who looks at hits that waited. */
struct waiting_eyes {
    void *context;
    size_t many; /* more hits than that take a way through the whole index */
    /* The greatest score for each byte of STRAND_MARK. */
    const int *most;
    /* Which score a hit must reach; 0: any will do. */
    int (*enough)(void *context);
    /* Look at a hit that may score MOST.  Returns false to stop. */
    bool (*look)(void *context, const struct stretch *solo, uint32_t first,
                 int most);
};

/* Have the hits that wait looked at.  Where they are many, those that may score
 * most come first, and those that cannot reach enough are not looked at; where
 * many others may still reach it, they are looked at in the order in which they
 * were added, so that the index is gone through once.  All are forgotten.
 * Within a read transaction. */
enum status waiting_look(struct waiting *waiting, struct store *store,
                         const struct waiting_eyes *eyes, struct fault *why);

void waiting_free(struct waiting *waiting);

#endif
