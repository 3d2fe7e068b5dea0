/* tests/demo/truth.h - what was planted, and how often, for the README and
 * for tests that want to know where a cell has to be found. */
#ifndef DEMO_TRUTH_H
#define DEMO_TRUTH_H
#include "tests/demo/line.h"

#include <stdio.h>

#define MAX_SOLOS 40

/* One solo with all that is known about it. */
struct work {
    const struct solo_spec *spec;
    struct chart chart;
    struct line line;
    char path[128]; /* below the corpus folder */
};

/* Counts for one habit. */
struct tally {
    int planted;
    int by_use[MAX_USES];
    int solos; /* with at least one planted */
    int found; /* places in all solos with the same intervals, planted too */
    int rhythms; /* different rhythms among the planted */
    bool root[12]; /* written roots it was planted over */
};

/* Count habit HABIT over N works. */
void truth_count(struct work *const *works, int n, int habit,
                 struct tally *out);
/* Write planted.tsv. */
bool truth_write(FILE *out, struct work *const *works, int n);
/* Bar (index from 0, pickup not counted) and ticks into it of TICK. */
int truth_bar(const struct chart *chart, int tick, int *into);
/* The longest run of equal intervals that two different solos share, in
 * notes, and the largest share of one solo's 8-note windows that another
 * solo has too, in percent. */
void truth_likeness(struct work *const *works, int n, int *longest,
                    int *percent);
#endif
