/* query/grid_bar.h - the chords of one bar, as they stand in a grid, and what
 * they do.
 *
 * `%` is a bar in which the chord before goes on.  Several chords that divide
 * the bar evenly stand side by side; otherwise the beats are drawn as strokes
 * (`Dm7 / / G7`; in metres of half notes a stroke is a quarter), and where a
 * chord comes off them, each follows its place in parentheses (`(2 and) G7`).
 *
 * Below each chord stands its function; where the key area changes, the key
 * stands before it: `Eb: ii7`, in minor `Cm: iv7`.
 */
#ifndef QUERY_GRID_BAR_H
#define QUERY_GRID_BAR_H

#include "schema/solo.h"

enum {
    GRID_BAR_SIZE = 256
};

struct grid_bar {
    char chords[GRID_BAR_SIZE], functions[GRID_BAR_SIZE];
};

/* How far a grid is written: the first chord that was not written yet, and
 * the key of the last function. */
struct grid_place {
    size_t next;
    int key;
};

#define GRID_START ((struct grid_place){ 0, -1 })

/* Write the chords of BAR into OUT.  Bars are written in order, from
 * GRID_START. */
void grid_bar(struct grid_bar *out, const struct solo *solo, size_t bar,
              struct grid_place *place);

/* The columns that OUT takes. */
int grid_bar_width(const struct grid_bar *out);

#endif
