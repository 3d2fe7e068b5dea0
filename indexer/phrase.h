/* indexer/phrase.h - where the phrases of the line end.
 *
 * The rule is the gap rule of D. Temperley, The Cognition of Basic Musical
 * Structures (2001), chapter 3 (from memory): phrases divide at large
 * inter-onset intervals and large offset-to-onset intervals, and the size of
 * a gap is the sum of both, measured against what is usual in the melody.
 * Ours are: what is usual is the median of the inter-onset intervals of the
 * eight notes on either side; a gap divides when it is four times that (in a
 * line of eighths: a quarter rest, a quarter and an eighth rest, a half note);
 * and a note alone between two gaps goes with the nearer side (his second
 * rule, that phrases are not too short), unless a bar or more of rest stands
 * on both.  All arithmetic is on ticks and exact.
 */
#ifndef INDEXER_PHRASE_H
#define INDEXER_PHRASE_H

#include "schema/solo.h"

/* Number the phrases of SOLO in note.phrase, from 1 in written order.
 * ST_OK or ST_NOMEM. */
enum status phrase_mark(struct solo *solo, struct fault *why);

#endif
