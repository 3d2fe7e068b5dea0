/* query/cells_words.h - what is known of a cell, in the words of musicians.
 *
 * Every function writes into OUT, CELLS_TEXT_SIZE bytes unless it says
 * otherwise, and returns it; what does not fit is cut.
 */
#ifndef QUERY_CELLS_WORDS_H
#define QUERY_CELLS_WORDS_H

#include "query/cells_detail.h"

enum {
    CELLS_TEXT_SIZE = 1024,
    CELLS_STRIP_SIZE = 13
};

/* "5 b3 2 1". */
char *cells_degrees_text(char *out, const struct cell_shape *shape);

/* Twelve places, by the root of the chord from C up: "." never, a digit how
 * often, "+" ten times or more.  CELLS_STRIP_SIZE bytes. */
char *cells_strip(char out[CELLS_STRIP_SIZE], const uint64_t keys[12]);

/* The MOST most frequent of what is counted, the others as a number: "1 (20),
 * 3 (18), 5 more". */
char *cells_beats_text(char *out, const struct cell_detail *d, size_t most);
char *cells_rhythms_text(char *out, const struct cell_detail *d, size_t most);
/* Bars of the chorus; "" where the cell is in none. */
char *cells_bars_text(char *out, const struct cell_detail *d, size_t most);
/* "" where no use lies in a section. */
char *cells_sections_text(char *out, const struct cell_detail *d, size_t most);
/* What comes after, or before: "7 (12), 3 of the dominant a fourth above (8),
 * nothing (2)"; with CLASSES "7 over major", for cells over several. */
char *cells_beside_text(char *out, const struct tally *beside, bool classes,
                        size_t most);

/* One rhythm as note values: "8 8 8 4."; the value INDEX of RHYTHMS. */
char *cells_rhythm_text(char *out, const struct tally *rhythms, size_t index);

/* The degree of a note SEMITONES above the root of the plainest chord of
 * CLASS. */
const char *cells_degree_name(int class, int semitones);

/* Thousandths as "12.345", with a sign where SIGNED. */
char *cells_thousandths(char out[32], int64_t thousandths, bool with_sign);

#endif
