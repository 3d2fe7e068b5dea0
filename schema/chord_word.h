/* schema/chord_word.h - the words and signs that chord suffixes are made of.
 *
 * Private to the files schema/chord*.c.  Every function looks at the start
 * of TEXT, which ends with NUL, and returns the bytes of what it found, 0
 * where there is nothing of the sort.
 */
#ifndef SCHEMA_CHORD_WORD_H
#define SCHEMA_CHORD_WORD_H

#include <stddef.h>

enum chord_word {
    Q_PLAIN,
    Q_MAJOR,
    Q_TRIANGLE,
    Q_MINOR,
    Q_DIMINISHED,
    Q_HALF_DIMINISHED,
    Q_AUGMENTED,
    Q_DOMINANT
};

/* WORD itself.  Case counts only in words of one letter ("M" and "m"). */
size_t word_begins(const char *text, const char *word);

/* "m", "maj", "dim", a triangle ... */
size_t word_quality(enum chord_word *means, const char *text);

/* What follows a quality: 6, 7, 9, 11, 13, or 69 for "69" and "6/9". */
size_t word_extension(int *number, const char *text);

/* The number of a degree, 2 to 7, 9 to 11 or 13. */
size_t word_number(int *number, const char *text);

/* An accidental, also "+" and "-": -2, -1 or 1. */
size_t word_sign(int *sign, const char *text);

#endif
