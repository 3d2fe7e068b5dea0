/* query/tension_words.h - what `cellar tension` asks and answers, in words. */
#ifndef QUERY_TENSION_WORDS_H
#define QUERY_TENSION_WORDS_H

#include "query/tension.h"

enum {
    TENSION_TEXT_SIZE = 1024
};

/* --- reading option values ------------------------------------------------
 * ST_SYNTAX: WHY (NULL allowed) says what would do. */

/* A note value as after the `:` of a fragment: "4" a quarter, "4+" that or
 * longer, "8-" an eighth or shorter, "8-2" from one to the other. */
enum status tension_parse_length(struct tension_query *out, const char *text,
                                 struct fault *why);

/* "step", "chromatic", "leap", "repeated", and where from: "below", "above";
 * or both: "step-below", "leap from above". */
enum status tension_parse_approach(struct tension_way *out, const char *text,
                                   struct fault *why);
/* The same with "up" and "down". */
enum status tension_parse_departure(struct tension_way *out, const char *text,
                                    struct fault *why);

/* "b9>5", or "5" alone: the degree of the note that the tension resolves to,
 * and before the > that of the tension; `?` is any.  *FROM is TENSION_ANY where
 * it is not said.  WHY points into TEXT. */
enum status tension_parse_resolves(struct tension_query *out, int *from,
                                   const char *text, struct fault *why);

/* --- words ----------------------------------------------------------------
 * Every function writes into OUT, cut to SIZE, and returns it. */

/* What was asked, DEGREE as it was written (NULL: any): "b9 (also b2) over
 * dominant chords; a quarter or longer; approached by step from below". */
char *tension_describe(char *out, size_t size,
                       const struct tension_query *query, const char *degree);

/* How the note is reached and left: "from a semitone above, down a semitone to
 * 5 of Imaj7"; "" for a note alone. */
char *tension_moves(char *out, size_t size, const struct solo *solo,
                    const struct tension_note *note);

/* A move of SEMITONES by its kind: "chromatic from below", or, DEPARTING,
 * "step up"; "repeated". */
char *tension_move_word(char *out, size_t size, int semitones, bool departing);

/* Why the note stands out: "bar 5 of chorus 2 · over V7 in F · highest of its
 * phrase". */
char *tension_reason(char *out, size_t size, const struct solo *solo,
                     const struct tension_note *note);

/* How the score is made, several lines that end with a newline. */
char *tension_explain(char *out, size_t size, const struct solo *solo,
                      const struct tension_note *note);

#endif
