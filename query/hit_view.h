/* query/hit_view.h - what every printer shows of a hit, worked out once. */
#ifndef QUERY_HIT_VIEW_H
#define QUERY_HIT_VIEW_H

#include "query/printer.h"

/* Pointers are borrowed from the find_result. */
struct hit_view {
    const struct hit *hit;
    const struct found_solo *found; /* but for its solo: */
    const struct solo *solo;
    const struct note *notes; /* the first of COUNT */
    size_t count;
    const struct chord_event *chord; /* NULL: no chord */
    /* Of each note over CHORD; of no meaning without one. */
    const char *degrees[EDITS_STEPS_MAX];
    char relation_words[RELATION_TEXT_SIZE]; /* for hit_view_relation() */
};

/* How the chord stands to the home chord: its fixed name, or where it has none
 * the words for it; NULL without a home chord or a written one.  Borrowed from
 * VIEW. */
const char *hit_view_relation(struct hit_view *view);

/* It holds until FIND_HELD_MIN others are made.  What find_solo() says. */
enum status hit_view_make(struct hit_view *out, const struct find_page *page,
                          size_t hit, struct fault *why);

/* What was changed of the fragment: at most EDITS_MAX notes. */
struct hit_change {
    enum edit edit;
    const struct note *note; /* in the place; NULL where one is left out */
    enum edits_role role;    /* of an inserted note */
    /* What the fragment has there: "F#4", with any octave "F#"; "" where it is
     * not known. */
    char wanted[PITCH_TEXT_SIZE];
};

/* The changes of a hit with edits, into OUT.  Returns their number; 0 also
 * when memory is out. */
size_t hit_view_changes(struct hit_change out[EDITS_MAX],
                        const struct hit_view *view,
                        const struct find_page *page);

/* "inserted", "changed", "left out". */
const char *hit_change_word(enum edit edit);

/* The chord INDEX of SOLO, NULL for none and for N.C. */
const struct chord_event *real_chord(const struct solo *solo, int32_t index);

/* The semitones 0..11 of NOTE above the root of CHORD. */
int note_above_root(const struct note *note, const struct chord *chord);

#endif
