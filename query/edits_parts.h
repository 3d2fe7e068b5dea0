/* query/edits_parts.h - what the files edits*.c share.
 *
 * Private to them.
 */
#ifndef QUERY_EDITS_PARTS_H
#define QUERY_EDITS_PARTS_H

#include "query/edits.h"

enum {
    EDITS_PLACE_MAX = FRAGMENT_NOTES_MAX + EDITS_MAX, /* notes in a place */
    EDITS_LANES = 16, /* first notes looked at together */
    EDITS_WIDE = 32,  /* the same where there is one transposition */
    EDITS_FRONT = EDITS_MAX,
    EDITS_BACK = EDITS_WIDE + EDITS_PLACE_MAX,
    EDITS_PIECE = 4, /* known notes that hardly a line has in a row */
    EDITS_NO_NOTE = 255 /* around the line; equals no pitch */
};

/* A stretch of the fragment whose known notes are of one group, and so of one
 * transposition; `?` lie within any. */
struct edits_group {
    size_t begin, end; /* notes, END excluded */
    /* The transposition follows from any known note that is kept.  Where the
     * first or last note of the fragment is known, which always is, that one;
     * else one of the first known notes, one more than edits are allowed. */
    bool anchored; /* from note 0, which stands at the first of the place */
    bool closed;   /* from the last note of the fragment */
    size_t sources[EDITS_MAX + 1];
    size_t source_count;
    bool may_vanish; /* so few known notes that none need be kept */
};

/* What a note of the fragment wants where the first one is known: the pitch UP
 * above that, any note, or none there is.  One number says which: two flags
 * side by side would be read as one soon after they are written one by one, for
 * which processors wait. */
struct edits_want {
    enum edits_want_what { WANT_PITCH, WANT_ANY, WANT_NONE } what;
    uint8_t up;
};

struct edits {
    size_t count; /* notes of the fragment */
    int most;
    bool any_octave;
    int midi[FRAGMENT_NOTES_MAX]; /* modulo 12 with any octave */
    bool any[FRAGMENT_NOTES_MAX];
    struct edits_group groups[FRAGMENT_NOTES_MAX];
    size_t group_count;
    /* For edits_wide_scan().  Of one more pieces of the fragment than edits
     * one at least is as it was (Wu and Manber, as in edits_scan.c); the first
     * begins with note 0, which stands.  PIECED is false where they are so
     * short that they would hardly rule anything out. */
    struct edits_want wants[FRAGMENT_NOTES_MAX];
    struct edits_piece {
        struct {
            uint8_t note, up; /* as in WANTS */
        } known[EDITS_PIECE];
    } pieces[EDITS_MAX + 1];
    bool pieced;

    /* The line, modulo 12 with any octave, after EDITS_FRONT and before
     * EDITS_BACK bytes that are no note. */
    uint8_t *line;
    uint8_t *taken; /* a flag a note */
    size_t line_room;
    size_t line_count;

    struct edits_place *places;
    size_t place_count, place_room;
};

/* Append the places of EDITS->line that ACCEPT accepts, less the superfluous
 * ones, ascending by first note, then by last. */
enum status edits_scan(struct edits *edits, edits_accept accept, void *context,
                       struct fault *why);

/* The same for a fragment of one group whose first note is known, faster, once
 * it was made ready. */
bool edits_wide_can(const struct edits *edits);
void edits_wide_prepare(struct edits *edits);
enum status edits_wide_scan(struct edits *edits, edits_accept accept,
                            void *context, struct fault *why);

/* Append the places that start at FIRST, where COSTS[EDITS_MAX + S] is the
 * least edits of one that is S notes longer than the fragment. */
enum status edits_add(struct edits *edits,
                      const uint8_t costs[2 * EDITS_MAX + 1], size_t first,
                      edits_accept accept, void *context, struct fault *why);

#endif
