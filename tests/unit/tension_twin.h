/* tension_twin.h - a second answer to `cellar tension`, note by note.
 *
 * Shared by check_tension_twin.c and tension_twin*.c.
 */
#ifndef TESTS_UNIT_TENSION_TWIN_H
#define TESTS_UNIT_TENSION_TWIN_H

#include "tests/unit/twin.h"

/* A question as text and as plain numbers. */
struct asked_tension {
    struct question q;   /* its chord, place and player */
    int degree;          /* -1: any */
    int low[2], high[2]; /* quarters: numerator, denominator */
    bool has_low, has_high;
    int accent, in_phrase; /* -1: any */
    int least[2], most[2]; /* semitones of approach and departure */
    int way[2];            /* 1, -1, 0 any */
    int goal;              /* -1: any, -2: not asked */
    char degree_text[8], length[16], move[2][32], resolves[16];
};

/* Three spellings of every degree by semitones above the root. */
extern const char *const tension_twin_degrees[12][3];

/* Draw a question, most of which holds of some note. */
void tension_twin_draw(struct asked_tension *t);

/* From the note A to B; TENSION_TWIN_NO_MOVE where they do not count as
 * neighbours: further than any move. */
enum {
    TENSION_TWIN_NO_MOVE = 1000
};
int tension_twin_moved(const struct asked_tension *t, const struct solo *solo,
                       int a, int b);
/* Semitones above the root of the chord CHORD; -1 where there is none. */
int tension_twin_degree(const struct solo *solo, int chord, int midi);
/* What the note after I is over the next chord, if it is the first heard under
 * it; else -1. */
int tension_twin_goal(const struct asked_tension *t, const struct solo *solo,
                      int i);

/* The notes that fit, best first; released with tension_twin_forget(). */
extern struct tension_found {
    const char *path;
    size_t solo;
    int note, score;
} * tension_found;
extern size_t tension_found_count, tension_found_solos;
void tension_twin_answer(const struct asked_tension *t);
void tension_twin_forget(void);

#endif
