/* query/home.h - the home chord of a fragment.
 *
 * A fragment that was given without a chord has the home chord that its notes
 * spell most plainly.  What counts as plain: common practice, no source.
 */
#ifndef QUERY_HOME_H
#define QUERY_HOME_H

#include "schema/chord.h"

/* The chord that the N notes MIDI[] spell most plainly, in *OUT with its root
 * and symbol.  False where N is 0; then *OUT is of no meaning.
 *
 * Tried are 7, m7, the major triad, maj7, m7b5, dim, dim7, m6, 6, m(maj7),
 * aug, 7#5, sus4 and 7sus4 on 12 roots; the highest sum wins:
 *
 *   each note that is a chord tone    4   a plain ninth    1   any other    0
 *   the root sounds                   3   a third (not a sus) sounds        2
 *   the first note is the root        5   is another chord tone             1
 *   the last note is the root         3   is another chord tone             1
 *   7, m7, major, maj7 (the common)   1   sus4, 7sus4 (the rare)          -3
 *   the third (4 of a sus) is missing -2  each other chord tone missing    -1
 *
 * Among equals the type that comes first in the list, then the root nearest
 * above the first note.  So the answer moves with the notes: a fragment in
 * another key has the home chord in that key; octaves and rhythm do not
 * count.  Worth knowing: A C E G is Am7 and C E G A is C6 (the note it
 * starts on); B D F Ab is Bdim7, and G7 when G sounds too; F A C E is Fmaj7,
 * although it is also the b3 5 b7 9 of Dm7; C G is C; C Bb is C7.
 *
 * SPELLED (NULL allowed) holds the N notes as they are spelled; the root
 * takes its name from there, else the name that is usual for such a chord. */
bool home_infer(struct chord *out, const int *midi, const struct pitch *spelled,
                size_t n);

/* HOME moved to the root ROOT_PC (0..11), as for a fragment found in another
 * key.  HOME may have no root ("m7"), or be a class alone (tones 0), which
 * then stands for its plainest chord: m7 for minor.  The new root is spelled
 * as the key signature FIFTHS (-7..7) has it; a HOME that is there already
 * keeps its name.  N.C. and what could not be explained stay as they are. */
void home_move(struct chord *out, const struct chord *home, int root_pc,
               int fifths);

#endif
