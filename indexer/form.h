/* indexer/form.h - find the form of a solo: choruses and sections.
 *
 * The question is which cycle of L bars, from which bar on, tells the chords
 * of the solo in the fewest words (the minimum description length principle
 * of J. Rissanen, Automatica 14, 1978; from memory).  To tell: the bars before
 * the first chorus; one chorus, in which a group of four bars that returns
 * costs little; how each chorus departs from it, chord for chord, at the rate
 * that fits the solo best (see grid.h); the bars after the last.  So a cycle
 * is believed when the whole of it returns: AABA is not eight bars, because
 * its bridge would have to be told as a departure every time.  Marks,
 * double bars and changes of key cost where they stand against a cycle.
 *
 * What music is like, common practice and no source, decides where chords
 * leave it open: 12, 16 and 32 bars are usual lengths, solos end with
 * a chorus, AABA is a usual order, tunes start on the tonic.
 *
 * A piece in which no cycle returns is one chorus, if marks or returning
 * groups say that it is a form or if it is short enough; else, and where a
 * cycle of fewer than eight bars goes round throughout (a vamp), it has none.
 *
 * Where two answers tell the chords equally well, these rules decide, and
 * the tests know them: chords alone cannot tell an introduction from the end
 * of a chorus that it equals, nor an introduction from the form in a solo of
 * one chorus (all of it then is the chorus); two halves are two choruses when
 * they are the same bar for bar.
 *
 * The melody is asked one thing: whether it returns with harmony that is not
 * quite the same, as in a tune with two endings (form_theme.c).  That is one
 * chorus.
 */
#ifndef INDEXER_FORM_H
#define INDEXER_FORM_H

#include "schema/solo.h"

/* Find the form of SOLO and lay it out in it (schema/form.h).  Nothing is
 * laid out where there is none.  ST_OK or ST_NOMEM. */
enum status form_find(struct solo *solo, struct fault *why);

#endif
