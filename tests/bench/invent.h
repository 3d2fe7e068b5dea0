/* tests/bench/invent.h - invented solos in any number, for measuring.
 *
 * A solo is a few choruses over one of a table of forms in one of twelve
 * keys, about 550 notes, by one of 97 players.  Its line comes from two
 * sources: a model that draws each interval by the two before it, the chord
 * and the register, and a vocabulary of cells that all solos share and that
 * are drawn by Zipf's law (the cell of rank r is r times as rare as the
 * first), each on the degree it belongs to.  All of the numbers are our own;
 * nothing is copied from a solo.
 */
#ifndef BENCH_INVENT_H
#define BENCH_INVENT_H

#include <stddef.h>
#include <stdint.h>

/* The solo INDEX of the corpus SEED as MusicXML: the same bytes everywhere.
 * From several threads only after one call has ended.  The caller owns it
 * (free()); NULL when memory is out. */
char *invent_solo(uint64_t seed, int index, size_t *size);

#endif
