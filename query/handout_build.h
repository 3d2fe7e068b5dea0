/* query/handout_build.h - a handout made of places in solos. */
#ifndef QUERY_HANDOUT_BUILD_H
#define QUERY_HANDOUT_BUILD_H

#include "query/handout.h"
#include "query/practice.h"

enum {
    CONTEXT_BARS_MAX = 64
};

/* A handout that owns its texts; SOLOS stay the caller's. */
struct handout_draft {
    struct handout handout;
    struct excerpt *excerpts; /* handout.excerpts */
    size_t room;
    char **texts; /* owned */
    size_t text_count, text_room;
    struct solo **solos; /* made for practice, owned */
    size_t solo_count, solo_room;
};

/* A place and what is known of it; texts may be NULL and are copied. */
struct handout_place {
    const struct solo *solo;
    uint32_t first, last; /* notes of the fragment */
    long context;         /* bars before and after, 0..CONTEXT_BARS_MAX */
    const char *heading, *performer, *title, *path, *remark;
    const struct chord *home; /* the chord it belongs to, NULL: as written */
};

/* Start with nothing in it; TITLE is copied. */
enum status handout_start(struct handout_draft *draft, const char *title,
                          enum reader reader, struct fault *why);
/* ST_NOMEM. */
enum status handout_add(struct handout_draft *draft,
                        const struct handout_place *place, struct fault *why);
/* Choose clef and octave; after the last handout_add(). */
void handout_settle(struct handout_draft *draft);
/* Put each cell of the excerpts, once, through twelve keys over its chord, and
 * where it has a place there inside a ii-V-I; after handout_settle(). */
enum status handout_practice(struct handout_draft *draft,
                             enum practice_order order, struct fault *why);
void handout_free(struct handout_draft *draft);

#endif
