/* indexer/marks.h - what the page says of the form, bar by bar as played.
 *
 * Rehearsal marks, words, bar lines, changes of key and metre.  A mark counts
 * each time its bar is played.  What the words mean is common practice, no
 * source: "Chorus 2", "2nd chorus"; "A", "A2", "B'"; "Solo", "Head"; "Intro";
 * "Coda", "Tag", "Outro".
 */
#ifndef INDEXER_MARKS_H
#define INDEXER_MARKS_H

#include "indexer/grid.h"

enum {
    MARKS_CHORUS_WEAK = -1 /* "Chorus", "Solo": without a number */
};

/* What stands at the start of a bar. */
struct mark {
    char letter[FORM_LETTER_SIZE]; /* of a section; "" none */
    int32_t chorus; /* its number, MARKS_CHORUS_WEAK, or 0 none */
    bool boundary;  /* double bar, repeat, change of key or metre ... */
    bool intro;     /* "Intro" */
    bool coda;      /* "Coda", "Tag" */
};

struct marks {
    struct mark *at; /* of each bar of the grid */
    int32_t count;   /* of the grid */
    int32_t letters, choruses, boundaries; /* how many there are */
    bool letters_differ; /* no letter stands twice */
    int32_t coda;        /* the bar of a coda near the end, else COUNT */
    int32_t after_intro; /* the bar where an introduction ends, else -1 */
};

/* ST_OK or ST_NOMEM.  Release with marks_free() in either case. */
enum status marks_read(struct marks *out, const struct grid *grid,
                       struct fault *why);
void marks_free(struct marks *marks);

#endif
