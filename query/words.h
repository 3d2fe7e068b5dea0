/* query/words.h - values in the words musicians use.
 *
 * Every function writes into OUT, WORDS_SIZE bytes, and returns it.
 */
#ifndef QUERY_WORDS_H
#define QUERY_WORDS_H

#include "schema/harmony.h"

enum {
    WORDS_SIZE = 96
};

/* A beat counted from 1: "3", "3 and", the sixteenths "3 e" and "3 a", any
 * other place as a mixed number, "3 1/3". */
char *words_beat(char out[WORDS_SIZE], struct rational beat);

/* A note value in quarters: "dotted eighth", "triplet quarter", "half tied to
 * eighth", else "5/7 of a quarter". */
char *words_duration(char out[WORDS_SIZE], struct rational quarters);

/* Semitones -6..6 by the interval: "up M2", "down P4", "tritone", "same
 * key". */
char *words_transposition(char out[WORDS_SIZE], int semitones);

/* An interval of 0 or more semitones: "a minor third", "an octave and a
 * fifth", "3 octaves"; "" for 0. */
char *words_interval(char out[WORDS_SIZE], int semitones);

/* "1 place", "37 places". */
char *words_count(char out[WORDS_SIZE], uint64_t n, const char *one,
                  const char *many);

/* Hundredths of quarters a minute as "132.5"; "" for 0, unknown. */
char *words_tempo(char out[WORDS_SIZE], int32_t hundredths);

/* The printed number of a bar; "[5]" for the fifth bar of the file where none
 * is printed. */
char *words_bar(char out[WORDS_SIZE], const struct solo *solo, int32_t bar);

/* How often a passage is played: "" once, "played twice", "played 3 times";
 * 0 is "not played in a row" (its bars follow each other on paper only). */
char *words_plays(char out[WORDS_SIZE], int plays);

#endif
