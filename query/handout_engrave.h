/* query/handout_engrave.h - staff notation as pictures, by abcm2ps. */
#ifndef QUERY_HANDOUT_ENGRAVE_H
#define QUERY_HANDOUT_ENGRAVE_H

#include "query/handout.h"

/* The pictures of a handout: SVG elements to stand in HTML, each with ids of
 * its own and without scripts.  NULL where one could not be made. */
struct engraving {
    char **svg; /* owned */
    size_t count;
    bool missing; /* abcm2ps is not installed */
};

/* Engrave every excerpt of HANDOUT.  A program that is missing or fails is no
 * fault: the pictures are NULL then.  ST_NOMEM, ST_IO (no temporary files).
 * Release with engraving_free(). */
enum status engrave(struct engraving *out, const struct handout *handout,
                    struct fault *why);
void engraving_free(struct engraving *engraving);

#endif
