/* tests/bench/text.h - a corpus as text, for searches that know only text. */
#ifndef BENCH_TEXT_H
#define BENCH_TEXT_H

#include <stdbool.h>
#include <stddef.h>

/* The letter of an interval in semitones, printable ASCII. */
int text_letter(int interval);

/* The whole file; the caller owns it (free()).  NULL where it cannot be
 * read. */
char *text_read(const char *path, size_t *size);

/* Print fragments of the text at PATH, see corpus.c. */
bool text_fragments(const char *path);

/* Write every run of 2 to 6 letters of the text at PATH to OUT, a line each;
 * none crosses the end of a line. */
bool text_ngrams(const char *path, const char *out);

/* Print the letters of every fragment with one note of STEPS inserted, left
 * out or changed, its first and last kept: the patterns that an exact search
 * would need. */
bool text_variants(int count, char **steps);

#endif
