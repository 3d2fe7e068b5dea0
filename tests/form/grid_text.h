/* tests/form/grid_text.h - solos written as a grid of chords in text.
 *
 * A bar a word, chords of one bar joined by '+', '%' where the chord goes on,
 * "N.C."; a bar may begin with a mark in square brackets, which is a rehearsal
 * mark, or in braces, which is words; '||' is a double bar, '(' and ')' are
 * repeats.  For unit tests: what is wrong fails the test.
 */
#ifndef TESTS_FORM_GRID_TEXT_H
#define TESTS_FORM_GRID_TEXT_H

#include "schema/solo.h"

enum { GRID_TEXT_FORM = 200 };

/* Forms of the tests. */
#define A1 "C6+Am7 Dm7+G7 Em7+A7 Dm7+G7 Gm7+C7 F6+Bb7 Em7+A7 Dm7+G7 "
#define A2 "C6+Am7 Dm7+G7 Em7+A7 Dm7+G7 Gm7+C7 F6+Bb7 Dm7+G7 C6 "
#define B1 "E7 % A7 % D7 % G7 % "
#define B2 "Fm7 Bb7 Ebmaj7 % Abm7 Db7 Gbmaj7 G7 "
#define B3 "Fm7 Bb7 Ebmaj7 % Am7 D7 Dm7 G7 "
#define AABA A1 A2 B1 A2
#define BLUES "C7 F7 C7 % F7 % C7 A7 Dm7 G7 C7 G7 "
/* The same with other chords in their places. */
#define BLUES2 "C7 F7 C7 Gm7+C7 F7 F#dim7 C7 A7 Dm7 Db7 Em7+A7 Dm7+G7 "
#define BLUES3 "C7 F7 C7 Gb7 F7 Fm7+Bb7 Em7 Eb7 Dm7 G7 C7+Eb7 Dm7+Db7 "
#define SIXTEEN "Cmaj7 Ebdim7 Dm7 G7 Em7 A7 Dm7 G7 " \
    "Cmaj7 Gm7+C7 Fmaj7 Fm6+Bb7 Em7+Eb7 Dm7+Db7 C6 Dm7+G7 "

/* An empty solo in C with room for 400 bars, each of four ticks.  The caller
 * owns it. */
struct solo *grid_text_new(void);
/* Add the bars of GRID to SOLO; plays are made by grid_text_play(). */
void grid_text_write(struct solo *solo, const char *grid);
/* Play all bars; repeats are played twice. */
void grid_text_play(struct solo *solo);

/* "32 from 4, 2 and 8, tail 3: AABA by marks" (complete choruses, bars of one
 * that breaks off), or "none".  Returns OUT. */
char *grid_text_form(char out[GRID_TEXT_FORM], const struct solo *solo);

#endif
