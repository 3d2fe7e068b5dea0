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
    /* No more than that are looked at as they come; where there are but the
     * first levels, which so many seldom fill a list with; of chains, of whose
     * beginnings there may be many more. */
    WAITING_FEW = 256,
    WAITING_FEW_FULL = 640,
    WAITING_FEW_CHAINED = 1024,
    WAITING_MANY = 2048,  /* more are not kept, but asked for again */
    WAITING_MAX = 1 << 18 /* hits that wait before they are looked at */
};

struct waiting {
    struct waiting_hit {
        uint32_t solo, first; /* an index of SOLOS; the first note */
        int most;             /* that it may score, once that is known */
    } * hits;
    struct stretch *solos;
    size_t count, room, solo_count, solo_room;
    size_t many;   /* 0: WAITING_MANY */
    bool too_many; /* there were more, and none is kept */
    /* Where hits are longer than a gram, all of them, in order, but no more
     * than WAITING_MAX; else none. */
    bool chained;
    struct waiting_notes {
        uint64_t *items; /* segment and note */
        size_t count, room;
    } all;
    /* The hits at salient notes, which were looked at; the first SORTED are in
     * order. */
    struct waiting_notes seen;
    size_t sorted;
};

/* Let the notes FIRSTS[0..COUNT) of SOLO, in order, wait. */
enum status waiting_add(struct waiting *waiting, const struct stretch *solo,
                        const uint32_t *firsts, size_t count,
                        struct fault *why);

/* Which hits are asked for once more: those of LEVEL (schema/salience.h; 0:
 * all), over any chord or AT_HOME alone.  BEGINNINGS: and all other places that
 * begin like one. */
struct waiting_choice {
    int level;
    bool at_home, beginnings;
};

/* Who looks at hits that waited. */
struct waiting_eyes {
    void *context;
    /* How many levels of salience tell what a hit may score; 0 none.  Of hits
     * at home, SALIENCE_FULL. */
    int levels;
    /* By how much less a hit scores that is not at home; 0 where those that are
     * cannot be asked for. */
    int away;
    /* Which score a hit must reach; 0: any will do. */
    int (*enough)(void *context);
    /* What a hit may score, by what takes less time to read than all of it.
     * Returns false to stop. */
    bool (*most)(void *context, const struct stretch *solo, uint32_t first,
                 int *most);
    /* Look at a hit that may score MOST.  Returns false to stop. */
    bool (*look)(void *context, const struct stretch *solo, uint32_t first,
                 int most);
    /* Hand those of CHOICE to EACH, with THERE. */
    enum status (*ask)(void *context, const struct waiting_choice *choice,
                       candidate_each each, void *there);
};

/* Have the hits that waited looked at, all that may reach enough.  Where they
 * are many, those at salient notes come first, of them those at home, and then
 * those that may score most.  Within a read transaction. */
enum status waiting_look(struct waiting *waiting,
                         const struct waiting_eyes *eyes, struct fault *why);

void waiting_free(struct waiting *waiting);

#endif
