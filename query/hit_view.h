/* query/hit_view.h - what every printer shows of a hit, worked out once. */
#ifndef QUERY_HIT_VIEW_H
#define QUERY_HIT_VIEW_H

#include "query/printer.h"

/* Pointers are borrowed from the find_result. */
struct hit_view {
    const struct hit *hit;
    const struct found_solo *found;
    const struct note *notes; /* the first of COUNT */
    size_t count;
    const struct chord_event *chord; /* NULL: no chord */
    /* Of each note over CHORD; of no meaning without one. */
    const char *degrees[FRAGMENT_NOTES_MAX];
};

void hit_view_make(struct hit_view *out, const struct find_page *page,
                   size_t hit);

/* The chord the fragment was given with, moved to where the hit stands: for
 * 5 b3 2 1 over m7, found from A, Dm7.  False where the fragment was given
 * without a chord, or only with a class of chords or a function. */
bool hit_view_home(struct chord *out, const struct hit_view *view,
                   const struct find_page *page);

/* The chord INDEX of SOLO, NULL for none and for N.C. */
const struct chord_event *real_chord(const struct solo *solo, int32_t index);

/* The semitones 0..11 of NOTE above the root of CHORD. */
int note_above_root(const struct note *note, const struct chord *chord);

#endif
