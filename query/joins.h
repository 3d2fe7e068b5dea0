/* query/joins.h - what the notes between the cells of a line are.
 *
 * A stretch of a line is divided into spans, each called by one name.  The
 * definitions are common practice, no source; where the trade does not agree
 * with itself, the words below decide.
 *
 * The chord of a note is the one it is heard over (note.heard).  Its chord
 * tones are the 1 3 5 7 (or 6, or 4) of its symbol.  A scale fits a note that
 * belongs to it when it has root, third and seventh of the chord, and its
 * fifth where that is altered; or when it is a scale of the key area there.
 * The scales: major, melodic and harmonic minor (with all their modes), the
 * whole-tone and the diminished scale.  N.C. and symbols that could not be
 * explained have no chord tones; where there is no key either, any scale fits.
 *
 * Runs.  A run may lean on the note before it and on the one after it, which
 * belong to other spans: a G F between an A and an E is a scale run down.  A
 * run may turn, but between two turns it goes on for two steps at least.  A
 * run of more than JOINS_SPAN_MAX notes is named piece by piece.
 *
 * - scale run: 4 notes or more, each a step of one scale from the one before,
 *   a scale that fits them all.
 * - arpeggio: 3 chord tones or more, by thirds and fourths (3 to 5 semitones)
 *   over one chord; a ninth, a third above the seventh, may go with them.
 * - chromatic run: 3 notes or more, by semitones in one direction.
 * - repeated note: 2 notes or more of the same pitch.
 *
 * Notes around a target.  The target is the next note of the line and a chord
 * tone.  A step is a semitone, or a whole step of a scale that fits the
 * target.
 *
 * - enclosure: two notes, one a step above the target and one a step below;
 *   or three, one of them a step from it on one side and two that come to it
 *   by semitones from the other side (F F# A before G), the two in a row.  The
 *   target's onset is stronger than that of the note before it
 *   (solo_onset_strength()).
 * - approach note: one note a step from the target that is no tone of the
 *   target's chord.
 *
 * The target may belong to the span or to what follows.
 *
 * - other: what is none of these.
 *
 * A span with all it leans on or aims at lies within one phrase, where phrases
 * are known (note.phrase).  Intervals count as they sound; rests inside of a
 * phrase do not matter.
 *
 * Which names are chosen.  Of all ways to divide the stretch the one with the
 * lowest price: a note of "other" is 1000, an enclosure, scale run, arpeggio,
 * chromatic run or repeated note 4, an approach note 6; every note a run leans
 * on 1, and a target that belongs to its span 1.  So most notes get a name,
 * then the spans are few, then they own what they are made of.  Of several
 * with one price, that whose first difference has the longer span, then the
 * name that comes first in enum join.
 */
#ifndef QUERY_JOINS_H
#define QUERY_JOINS_H

#include "schema/solo.h"

enum join {
    JOIN_ENCLOSURE,
    JOIN_APPROACH,
    JOIN_SCALE,
    JOIN_ARPEGGIO,
    JOIN_CHROMATIC,
    JOIN_REPEAT,
    JOIN_OTHER,
    JOINS
};

enum {
    JOINS_SPAN_MAX = 64,
    JOINS_NO_TARGET = -1
};

/* The word of JSON: "scale", "repeat"; and for musicians: "scale run",
 * "repeated note".  Borrowed: constants. */
const char *join_word(enum join what);
const char *join_name(enum join what);

/* Notes FIRST..LAST of the solo. */
struct join_span {
    size_t first, last;
    enum join what;
    int64_t target; /* of an enclosure or approach, else JOINS_NO_TARGET */
};

/* A passage whose notes may be named, with what is asked of each of them. */
struct joins;

/* The COUNT notes of SOLO from FIRST; nothing outside of them is looked at.
 * SOLO must outlive it.  Caller owns *OUT (joins_free()).  ST_NOMEM. */
enum status joins_new(struct joins **out, const struct solo *solo, size_t first,
                      size_t count, struct fault *why);
void joins_free(struct joins *joins); /* NULL is allowed */

/* Name the notes FIRST..LAST of the solo, which lie in the passage: *COUNT
 * spans into OUT, which has room for one a note.  Time grows with the number
 * of notes, at JOINS_SPAN_MAX steps each. */
void joins_name(struct join_span *out, size_t *count, struct joins *joins,
                size_t first, size_t last);

#endif
