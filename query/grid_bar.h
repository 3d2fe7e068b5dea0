/* query/grid_bar.h - the chords of one bar, as they stand in a grid.
 *
 * `%` is a bar in which the chord before goes on.  Several chords that divide
 * the bar evenly stand side by side; otherwise the beats are drawn as strokes
 * (`Dm7 / / G7`; in metres of half notes a stroke is a quarter), and where a
 * chord comes off them, each follows its place in parentheses (`(2 and) G7`).
 */
#ifndef QUERY_GRID_BAR_H
#define QUERY_GRID_BAR_H

#include "schema/solo.h"

enum {
    GRID_BAR_SIZE = 256
};

/* Write the chords of BAR into OUT.  *NEXT is the first chord of SOLO that
 * was not written yet, 0 for the first bar; bars are written in order. */
void grid_bar(char out[GRID_BAR_SIZE], const struct solo *solo, size_t bar,
              size_t *next);

#endif
