/* query/find_waiting.h - hits that wait for their score: those that may score
 * most are looked at first, and most are never looked at.
 *
 * Private to find.
 */
#ifndef QUERY_FIND_WAITING_H
#define QUERY_FIND_WAITING_H

#include "schema/store.h"

enum {
    WAITING_MAX = 1 << 16 /* hits that wait before they are looked at */
};

struct waiting {
    struct waiting_hit {
        uint32_t solo, first; /* an index of SOLOS; the first note */
        uint8_t mark;         /* its byte of STRAND_MARK */
    } * hits;
    struct stretch *solos;
    size_t count, room, solo_count, solo_room;
};

/* Let the notes FIRSTS[0..COUNT) of SOLO, whose bytes of STRAND_MARK are at
 * MARK, wait, unless a hit with such a mark cannot reach ENOUGH any more: MOST
 * holds the greatest score for each mark. */
enum status waiting_add(struct waiting *waiting, const struct stretch *solo,
                        const uint32_t *firsts, size_t count,
                        const uint8_t *mark, const int most[256], int enough,
                        struct fault *why);

/* Call EACH for the hits that wait, those that may score most first.  ENOUGH
 * says which score a hit must reach (0: any will do); where many others may
 * still reach it, they are looked at in the order in which they were added, so
 * that the index is gone through once.  EACH returns false to stop.  All are
 * forgotten. */
typedef bool (*waiting_each)(void *context, const struct stretch *solo,
                             uint32_t first, int most);
typedef int (*waiting_enough)(void *context);
void waiting_look(struct waiting *waiting, const int most[256],
                  waiting_enough enough, waiting_each each, void *context);

void waiting_free(struct waiting *waiting);

#endif
