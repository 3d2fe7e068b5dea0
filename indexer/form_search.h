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
    FORM_TURNAROUND = 2, /* bars at the end of the form */
    FORM_GROUP = 4, /* bars that return together within a form */
    FORM_LENGTH_MAX = 128, /* of a form that returns */
    FORM_LANES = 8, /* numbers that are added at a time */
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

/* Whole choruses laid over each other at one rate.  What lies at one bar of
 * the form is a slot; the bar BASE lies at slot 0. */
struct ring {
    int rate; /* enum grid_rate */
    int32_t length, base;
    int32_t first, passes; /* the choruses: bars from FIRST on */
    int32_t *sums;  /* by slot, a row of columns: what it costs all of its bars
                       that one of this column is meant */
    const int32_t **rows; /* by slot: where these sums are; form_ring_make() */
    int32_t *own;   /* by slot: the least of it for one of its bars */
    int32_t *model; /* by slot: that bar; the first of several */
    int32_t total;  /* of OWN */
};

/* A slot of a ring as it was laid: choruses that start some bars apart have
 * most in common. */
struct kept_slot {
    const int32_t *sums;
    int32_t passes, length; /* 0: nothing is kept */
    int32_t own, model;
};

/* Bars of the form that are the same bar again, a circle: what a search looks
 * at most, so close together. */
struct circle {
    const int32_t *sums; /* of all of them, a row; of one, its slot's */
    int32_t spent;       /* what they cost now */
    int32_t column;      /* of the bar that stands for them */
};

/* How bars of the form are told as earlier ones (form_groups.c); all but GROUP
 * by bar of the form. */
struct telling {
    struct circle *circle; /* by leader */
    int32_t *model;    /* the bar that stands for it */
    int32_t *again;    /* the next of its circle */
    int32_t *leader;   /* the first of its circle */
    int32_t *cost;     /* of its passes, as MODEL */
    int32_t *together; /* by leader: room for the sums of a circle */
    int32_t *group;    /* by group of the form: the one it repeats, or itself */
    int32_t *gains;    /* by column: the most by which bars told so far cost
                          less with a model of this one than now */
    int32_t first;     /* the bar it starts with */
    int32_t at, total; /* the bars told so far, what they cost, */
    int32_t last;      /* and what the last group repeats; -1 none */
};

/* How much of the melody returns at the distance LENGTH, and how many chords
 * do not: of all bars before each (form_theme.c). */
struct theme {
    int32_t length; /* 0: none yet */
    int32_t *bars, *cells, *same, *changed;
    int by_chord; /* -1: not known yet */
};

/* The workplace of one solo.  Arrays have as many members as the grid has
 * bars; rows have one for each column. */
struct search {
    const struct grid *grid;
    const struct marks *marks;
    int32_t end;        /* bars up to a coda */
    bool ends_on_tonic; /* the last of them */
    int32_t *news;      /* cost of telling each bar anew */
    int32_t *aside;     /* the same outside of the form: may be a vamp */
    int32_t *before;    /* by bar: the cost of all before it, ASIDE */
    int32_t *ending;    /* by bars at the end: the cost of all, ASIDE */
    int32_t *copied;    /* by bars at the end: as the end of the form again */
    /* What it costs a bar that another is meant (form_apart.c): the row of
     * what is played, the column of what is meant. */
    int32_t *row, *column;
    int32_t columns; /* a multiple of FORM_LANES */
    const int32_t **played[GRID_RATES]; /* by bar: its row */
    int32_t *apart[GRID_RATES];
    struct ring ring; /* of the guess that is tried; no SUMS */
    /* Slots, and those of turnarounds, by first bar; room for their sums. */
    struct kept_slot *kept[2][GRID_RATES];
    int32_t *kept_sums[2][GRID_RATES];
    struct ring starts[GRID_RATES]; /* of one length, moved along */
    struct telling telling;
    struct telling trunk[GRID_RATES]; /* what single choruses have in common */
    int32_t *model; /* by bar of the form: the bar that stands for it in the
                       guess that was tried last */
    int32_t *group; /* by group: the one it repeats there, or itself */
    int32_t *said;  /* the bars with a mark, SAID_COUNT of them */
    int32_t said_count, first_chorus, last_boundary; /* -1 none */
    uint8_t (*pitches)[FORM_PITCHES]; /* that sound; 0: none */
    struct theme theme;
    int32_t *memory[2]; /* what holds the arrays, and the tables and sums */
};

/* The best guess so far, and the best of those that differ from it.  Where a
 * chorus starts does not change what is in it, only how cleverly it can be
 * told; so the cost of telling a chorus does not choose between starts. */
struct found {
    struct guess best, second; /* of length 0: none */
};

static inline int32_t form_whole_cost(const struct guess *guess)
{
    return guess->length ? guess->cost + guess->told : FORM_COST_MAX;
}

/* form_open.c: make SEARCH ready for GRID, which has bars, and its MARKS; both
 * are borrowed.  ST_OK or ST_NOMEM; close it in either case. */
enum status form_search_open(struct search *search, const struct grid *grid,
                             const struct marks *marks, struct fault *why);
void form_search_close(struct search *search);
/* form_look.c: try what is likely; what is best, into FOUND. */
void form_look(struct search *search, struct found *found);

/* form_apart.c: make the tables of SEARCH, whose grid and end are known. */
enum status form_apart_open(struct search *search, struct fault *why);
/* The cost of BAR where the bar MEANT is meant. */
static inline int32_t form_apart(const struct search *search, int rate,
                                 int32_t bar, int32_t meant)
{
    return bar == meant ? 0
                        : search->played[rate][bar][search->column[meant]];
}

/* Add a row of COLUMNS to another. */
static inline void form_add_row(int32_t *restrict to,
                                const int32_t *restrict row, int32_t columns)
{
    for (int32_t i = 0; i < columns; i += FORM_LANES)
        for (int32_t k = 0; k < FORM_LANES; k++)
            to[i + k] += row[i + k];
}

/* form_prior.c: does the last chord, or the first, of BAR stand on the tonic
 * of the key signature?  False where there is none. */
bool form_is_tonic(const struct grid *grid, int32_t bar, bool last);

/* form_ring.c: lay all choruses of LENGTH from FIRST on over each other in
 * RING, bars of a turnaround at what they cost at most. */
void form_ring_make(struct search *search, int rate, int32_t length,
                    int32_t first);
/* The same from the first bar of the grid on, to be moved on a bar at a time
 * while there is room for a chorus; turnarounds cost what other bars do ... */
void form_ring_start(const struct search *search, struct ring *ring, int rate,
                     int32_t length);
void form_ring_move(const struct search *search, struct ring *ring);
/* The least that its choruses cost with turnarounds at what those cost. */
int32_t form_ring_least(const struct ring *ring);
/* ... except here: the models by bar of the form, and the cost of all own. */
int32_t form_ring_models(const struct search *search, const struct ring *ring,
                         int32_t *model);

/* form_groups.c: the cost of telling all passes of RING by groups of bars; what
 * stands for which is in TELLING then. */
int32_t form_tell_groups(struct search *search);

/* form_cost.c: fill in all of GUESS but length and first; also MODEL and
 * GROUP. */
void form_try(struct search *search, struct guess *guess);
/* The same without what a chorus costs to tell, and without GROUP: enough to
 * compare where choruses of one length start.  STARTS have been moved to the
 * first bar of GUESS. */
void form_try_start(struct search *search, struct guess *guess);

/* form_prior.c: what lengths, first bars and ends are usual. */
int32_t form_prior_length(int32_t length);
int32_t form_prior_first(int32_t bars_before);
int32_t form_prior_shape(struct search *search, const struct guess *guess);
/* Of the groups: AABA and the like. */
int32_t form_prior_order(const struct search *search,
                         const struct guess *guess);
/* form_theme.c: fill in PITCHES; and is GUESS one theme, the melody of which
 * returns while its harmony is not bar for bar the same? */
void form_read_pitches(struct search *search);
bool form_is_theme(struct search *search, const struct guess *guess);
/* form_marks.c: list in SAID the bars that the next one asks. */
void form_list_marks(struct search *search);
/* The cost of the marks that stand against GUESS, less what
 * stands for it. */
int32_t form_marks_cost(const struct search *search,
                        const struct guess *guess);

/* form_sections.c: the sections of GUESS into PARTS (FORM_PARTS_MAX of them);
 * how many.  GUESS was tried last. */
size_t form_sections(const struct search *search, const struct guess *guess,
                     struct form_part *parts);

#endif
