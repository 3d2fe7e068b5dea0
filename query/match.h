/* query/match.h - the definition of a match, with what a hit needs of it.
 *
 * Private to find and what is built on it.
 */
#ifndef QUERY_MATCH_H
#define QUERY_MATCH_H

#include "query/find.h"

/* A place that matches: the notes FIRST..LAST. */
struct match {
    size_t first, last;
    int shift;     /* semitones above fragment.midi; modulo 12 counts */
    int edits;     /* 0..EDITS_MAX */
    int exactness; /* as in struct hit */
};

/* Does QUERY's fragment stand at note FIRST of SOLO, note for note?  *OUT is
 * filled where it does. */
bool match_at(const struct find_query *query, const struct solo *solo,
              size_t first, struct match *out);

/* Its parts, each the one definition wherever the notes were read.
 *
 * The pitches: MIDI holds as many notes as the fragment. */
bool match_pitches(const struct find_query *query, const uint8_t *midi);
/* The place of notes whose pitches fit. */
void match_place(const struct find_query *query, const uint8_t *midi,
                 size_t first, struct match *out);
/* The rhythm of COUNT notes that fill LENGTHS in quarters. */
bool match_rhythm(const struct find_query *query,
                  const struct rational *lengths, size_t count);
/* Where --over asks for one chord, that and its degree, with the EXACTNESS of
 * M; and the relation.  THERE is the chord of the place, NULL for none. */
bool match_chord(const struct find_query *query,
                 const struct chord_event *there, struct match *m);

/* Everything but the pitches: rhythm, place in the form, chords, relation and
 * what follows.  FIRST, LAST and SHIFT of M are given; EXACTNESS is set. */
bool match_rest(const struct find_query *query, const struct solo *solo,
                struct match *m);

/* Does the chord THERE (NULL: none, or N.C.) fit ASKED, be it by its class or
 * by its function? */
bool match_chord_fits(const struct over_chord *asked,
                      const struct chord_event *there);
/* Is the chord after the note LAST the one of INTO (count 0: any will do), with
 * HOME (NULL: none) as the chord asked before it? */
bool match_into(const struct over *into, const struct chord *home,
                const struct solo *solo, size_t last);

/* The chord before the one that is to follow, in the key it was asked in: the
 * last of --over; NULL without one. */
const struct chord *match_into_from(const struct find_query *query);

/* The semitones (-5..6) by which a place with this SHIFT stands away from the
 * fragment as given; of meaning where fragment.given_pc >= 0. */
int match_transposition(const struct fragment *f, int shift);

#endif
