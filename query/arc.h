/* query/arc.h - the arc of a solo: how full and how high each chorus is. */
#ifndef QUERY_ARC_H
#define QUERY_ARC_H

#include "schema/rational.h"
#include "schema/solo.h"

/* One chorus, as played: what is written once and played twice counts in
 * both. */
struct arc {
    int32_t number; /* of the chorus; 0: the whole of a solo without a form */
    size_t notes;   /* that start in it */
    int32_t bars;
    struct rational notes_per_bar;
    /* Share of its time in which no note of the line sounds, 0 to 1. */
    struct rational rest_share;
    /* Indexes of its lowest and highest note, the first of several; -1 where
     * it has none. */
    int32_t lowest, highest;
};

/* The chorus INDEX of SOLO (from 0); a solo without a form has one, the whole
 * of it as written. */
struct arc arc_of(const struct solo *solo, size_t index);
/* How many there are: the choruses, or 1. */
size_t arc_count(const struct solo *solo);

/* The index of the first note of SOLO in the bar BAR or after it; the number
 * of notes where there is none. */
size_t arc_first_note(const struct solo *solo, int32_t bar);

#endif
