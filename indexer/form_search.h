/* indexer/form_search.h - shared by form*.c: what is tried, and what it costs.
 *
 * Costs are hundredths of a nat, as in grid.h; the lowest is the best.
 */
#ifndef INDEXER_FORM_SEARCH_H
#define INDEXER_FORM_SEARCH_H

#include "indexer/grid.h"
#include "indexer/marks.h"

enum {
    FORM_LENGTH_MIN = 8,
    FORM_PITCHES = 16, /* parts of a bar in which melodies are compared */
    FORM_GROUP = 4, /* bars that return together within a form */
    FORM_COST_MAX = INT32_MAX
};

/* A form that is tried. */
struct guess {
    int32_t length, first; /* bars as played */
    int32_t passes;        /* complete choruses */
    int32_t partial;       /* bars of an incomplete one after them */
    int32_t tail;          /* bars after that, those of a coda included */
    int32_t cost;  /* of all but TOLD */
    int32_t told;  /* the cost of one chorus told for the first time */
    int32_t marks; /* the part of COST for marks; below 0: they agree */
    int rate;      /* enum grid_rate that fits best */
};

/* The workplace of one solo.  Arrays have as many members as the grid has
 * bars; those by bar of the form are of the guess that was tried last. */
struct search {
    const struct grid *grid;
    const struct marks *marks;
    int32_t end;      /* bars up to a coda */
    bool ends_on_tonic; /* the last of them */
    int32_t *news;    /* cost of telling each bar anew */
    int32_t *aside;   /* the same outside of the form: may be a vamp */
    int32_t *model;   /* by bar of the form: the bar that stands for it */
    int32_t *own;     /* by bar of the form: the cost of its departures */
    int32_t *again;   /* by bar of the form: the next of those that are the
                         same bar, in a circle */
    int32_t *group;   /* by group of the form: the one it repeats, or itself */
    uint8_t (*pitches)[FORM_PITCHES]; /* that sound; 0: none */
};

/* form_prior.c: does the last chord, or the first, of BAR stand on the tonic
 * of the key signature?  False where there is none. */
bool form_is_tonic(const struct grid *grid, int32_t bar, bool last);

/* form_cost.c: fill in all of GUESS but length and first; also MODEL, OWN and
 * GROUP. */
void form_try(struct search *search, struct guess *guess);
/* The same without what a chorus costs to tell, and without GROUP: enough to
 * compare where choruses of one length start. */
void form_try_start(struct search *search, struct guess *guess);

/* form_prior.c: what lengths, first bars and ends are usual. */
int32_t form_prior_length(int32_t length);
int32_t form_prior_first(int32_t bars_before);
int32_t form_prior_shape(const struct search *search,
                         const struct guess *guess);
/* Of the groups: AABA and the like. */
int32_t form_prior_order(const struct search *search,
                         const struct guess *guess);
/* form_theme.c: fill in PITCHES; and is GUESS one theme, the melody of which
 * returns while its harmony is not bar for bar the same? */
void form_read_pitches(struct search *search);
bool form_is_theme(const struct search *search, const struct guess *guess);
/* form_marks.c: the cost of the marks that stand against GUESS, less what
 * stands for it. */
int32_t form_marks_cost(const struct search *search,
                        const struct guess *guess);

/* form_sections.c: the sections of GUESS into PARTS (FORM_PARTS_MAX of them);
 * how many.  GUESS was tried last. */
size_t form_sections(const struct search *search, const struct guess *guess,
                     struct form_part *parts);

#endif
