/* indexer/grid.h - the chords of a solo bar by bar as they are played.
 *
 * Shared by form*.c.  Bars are numbered as form_number_bars() numbers them,
 * at most GRID_BARS_MAX of them; a bar is divided into eighth notes (into
 * GRID_CELLS_MAX equal parts where there are more), each with the chord in
 * effect there.
 *
 * How far two bars are apart is a cost in hundredths of a nat: the negative
 * logarithm of the chance that a player or transcriber who means the one
 * writes the other.  It has two parts: that a chord is replaced at all, at
 * one of three rates, and by what.  The second is small for what musicians
 * take for each other (common practice, no source): a tritone substitute, a
 * relative or a third above, ii and V of the same key, a diminished chord
 * on the third of a dominant, another quality on the same root; else it falls
 * with the number of common tones.
 */
#ifndef INDEXER_GRID_H
#define INDEXER_GRID_H

#include "schema/solo.h"

enum {
    GRID_BARS_MAX = 1024,
    GRID_CELLS_MAX = 32,
    GRID_TOKENS_MAX = 256,
    GRID_RATES = 3
};

/* The chances that a chord is replaced: 2, 12 and 30 of a hundred. */
enum grid_rate {
    GRID_SELDOM,
    GRID_AT_TIMES,
    GRID_OFTEN
};

struct grid_bar {
    int32_t play; /* the first play that belongs to it */
    int32_t bar;  /* the written bar of that play */
    int32_t kind; /* bars of one kind hold the same chords */
    int32_t news; /* cost of telling this bar after the one before */
    bool goes_on; /* holds but the last chord of the bar before */
    int cell_count;
    uint8_t cells[GRID_CELLS_MAX]; /* token of the chord; 0: none */
};

struct grid {
    const struct solo *solo;
    int32_t *numbers; /* of each play */
    struct grid_bar *bars;
    int32_t count;
    int32_t first; /* 1 where bar 0 is a pickup, else 0 */
    bool has_chords;
    /* The first event of each token; token 0 is no chord. */
    const struct chord *tokens[GRID_TOKENS_MAX];
    int token_count;
    size_t last; /* the event, from 1, found last; 0 none */
    uint8_t last_token;
    int32_t kind_count;
    uint16_t *costs[GRID_RATES]; /* kind_count x kind_count each */
};

/* ST_OK or ST_NOMEM.  Release with grid_free() in either case.  SOLO is
 * borrowed until then. */
enum status grid_make(struct grid *out, const struct solo *solo,
                      struct fault *why);
void grid_free(struct grid *grid);

/* Is there no chord in BAR? */
bool grid_is_silent(const struct grid_bar *bar);

/* The cost of hearing bar A for bar B, symmetric. */
static inline int32_t grid_cost(const struct grid *grid, int rate, int32_t a,
                                int32_t b)
{
    return grid->costs[rate][(size_t)grid->bars[a].kind *
                                 (size_t)grid->kind_count +
                             (size_t)grid->bars[b].kind];
}

/* How far two chords are apart: *CHANGED in hundredths, 0 for what counts as
 * the same chord, and the cost of the choice of a substitute. */
void grid_chord_distance(const struct chord *a, const struct chord *b,
                         int *changed, int *cost);

#endif
