/* query/openings.h - how each chorus of a solo opens.
 *
 * Which phrase opens a chorus.  A note belongs to a chorus when it starts in
 * it, or at most half a quarter before its first bar line and is held over
 * it; the last note of the chorus before that merely rings on does not.  The
 * phrase (note.phrase) of the first note that belongs to it opens the chorus
 * when it starts with that note, or as a pickup, at most one bar before.  A
 * phrase that started earlier runs on over the bar line: then the chorus has
 * no clear opening, and the phrase given is the first that starts in it.
 *
 * Only written neighbours count: of a chorus that goes over repeat signs the
 * bars up to the first jump.  A chorus played from the written bars of an
 * earlier one opens as that one does.
 *
 * A riff.  The notes from the opening on, up to the eighth bar of the chorus,
 * fall into groups: one ends with its phrase, and where the time to the next
 * onset and the rest in it make together three times the median time from
 * onset to onset.  A motif is a group within the opening phrase, of 3 or more
 * notes within two bars.  Other groups with as many notes state it again:
 *
 *   notes   the same pitches
 *   line    the same intervals
 *   rhythm  the same times from onset to onset, at the same place of the bar
 *           (of the half-bar where the bar has an even number of beats)
 *   shape   each step in the same direction and within two semitones
 *
 * The opening is a riff when a motif comes twice; one of 3 notes must have the
 * same notes, line, or else the same rhythm three times, for less comes by
 * chance.  Of several motifs the one that comes most often counts, then the
 * earlier one.
 *
 * A return.  An opening returns to an earlier clear one when, looking from the
 * first note of both or from the first in the chorus (after the pickups),
 *
 *   line       the first 4 notes or more have the same intervals (or all,
 *              where both phrases have 3), in any key;
 *   rhythm     the heads have as many notes, 4 or more, in the same rhythm at
 *              the same place of the (half-)bar, each step in the same
 *              direction;
 *   variation  the later one starts with the head of the earlier with one
 *              note changed, inserted or left out, two for a head of 7 notes;
 *              heads of 5 notes or more, the first and last note kept.
 *
 * The first of these that holds is told.  A head is what stands up to the end
 * of the first group, but 4 to 7 notes where the phrase has them.
 * (All of this: common practice, no source; the numbers are ours.)
 */
#ifndef QUERY_OPENINGS_H
#define QUERY_OPENINGS_H

#include "schema/solo.h"

enum {
    OPENING_RIFF_BARS = 8,
    OPENING_HEAD_MIN = 4,
    OPENING_HEAD_MAX = 7,
    OPENING_BACK = 100 /* earlier choruses that an opening is compared with */
};

/* How often a motif comes, itself included; FIRST..LAST are its notes. */
struct opening_riff {
    bool found;
    size_t first, last;
    int notes, line, rhythm, shape;
};

enum opening_how {
    OPENING_WRITTEN, /* played from the same written bars */
    OPENING_LINE,
    OPENING_RHYTHM,
    OPENING_VARIATION
};

struct opening_return {
    int32_t chorus; /* the earlier one */
    enum opening_how how;
    int notes;   /* alike from the start: of a line, a rhythm */
    int up;      /* semitones the later one lies higher; of a line */
    int changed; /* notes; of a variation */
};

enum opening_kind {
    OPENING_SILENT,   /* no note starts in the chorus */
    OPENING_CLEAR,
    OPENING_RUNS_ON,  /* over the bar line, from before */
    OPENING_RUNS_OVER /* the same, and no other phrase starts in the chorus */
};

struct opening {
    int32_t chorus;         /* from 1; 0: the solo has no known form */
    int32_t bar, bars;      /* its first bar (index); bars of the form in it */
    bool complete;
    int32_t as;             /* the chorus it is played from, too; 0 none */
    enum opening_kind kind;
    int32_t from; /* chorus in which what runs on started, 0 before the first */
    /* The rest is of meaning for OPENING_CLEAR and OPENING_RUNS_ON. */
    size_t first, last; /* notes of the phrase */
    size_t inside;      /* the first of them that belongs to the chorus */
    int64_t pickup;     /* ticks from the first note to the chorus, 0 none */
    int64_t length;     /* ticks from the first onset to the end of the last */
    int64_t rest_after; /* ticks to the next note, or to the end of the file */
    bool is_end;        /* no note follows */
    struct opening_riff riff; /* not for what runs on */
    struct opening_return *returns;
    size_t return_count;
};

/* The openings of one solo, a chorus after the other: as many as arc_count().
 * A solo without a form has one, its first phrase. */
struct openings {
    struct opening *items;
    size_t count;
};

/* ST_OK or ST_NOMEM; release with openings_free() in any case. */
enum status openings_make(struct openings *out, const struct solo *solo,
                          struct fault *why);
void openings_free(struct openings *openings);

/* One of them, without its returns; INDEX counts from 0. */
struct opening opening_of(const struct solo *solo, size_t index);

/* Does OPENING have notes to show? */
bool opening_has_phrase(const struct opening *opening);

/* The degree of each of the notes FIRST..LAST over the chord it belongs to
 * (note.heard), named as a cell as long as the chord stays; NULL without a
 * chord.  The caller owns *OUT (release with free()), not the constants in
 * it.  ST_OK or ST_NOMEM. */
enum status opening_degrees(const char ***out, const struct solo *solo,
                            size_t first, size_t last, struct fault *why);

#endif
