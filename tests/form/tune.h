/* tests/form/tune.h - chord cycles by a small functional grammar, for cycle.c.
 *
 * All of it is chance, drawn in one sequence: no two draws in one expression
 * whose order is left to the compiler.
 */
#ifndef TESTS_FORM_TUNE_H
#define TESTS_FORM_TUNE_H

#include <stdbool.h>
#include <stdint.h>

enum {
    TUNE_BARS_MAX = 64,
    TUNE_PARTS_MAX = 6
};

enum quality {
    MAJ,
    MIN,
    DOM,
    HALF,
    DIM
};

struct sound {
    int8_t root; /* above the tonic */
    int8_t quality;
    bool here; /* false: what was before goes on */
};

/* A bar has two places for chords. */
struct cell {
    struct sound at[2];
};

struct tune {
    struct cell cells[TUNE_BARS_MAX];
    int length;
    bool minor;
    char letters[16]; /* of the sections, ended by NUL */
    int bars[TUNE_PARTS_MAX + 1];
};

void tune_seed(uint32_t seed);
int tune_roll(int n); /* 0..N-1 */
bool tune_chance(int percent);

struct sound tune_sound(int root, int quality);
struct sound tune_tonic(void); /* of the tune made last */
struct sound tune_five_of(int root);
bool tune_is_same(struct sound a, struct sound b);
void tune_put(struct cell *cell, struct sound a);
void tune_put_two(struct cell *cell, struct sound a, struct sound b);

void tune_make(struct tune *out);
/* Give most bars of TUNE two chords. */
void tune_split_bars(struct tune *tune);
/* Some bars that are not those of the tune. */
void tune_section(struct cell *cells, int bars, bool opens);

#endif
