/* schema/gram.h - from intervals to the tokens of the full-text index.
 *
 * The index has one row a solo and one token position a note.  At the
 * position of note i stand, for n = 1..GRAM_MAX, the n intervals that follow
 * it as one token.  Each column of the index adds another place to it:
 *
 *   GRAM_INTERVAL  nothing
 *   GRAM_PLACED    the chord class of the window of n + 1 notes, and the
 *                  degree it starts on
 *
 * FTS5 proposes places; the notes of the solo decide.
 *
 * The chord of a window is solo_window_chord(), the degree the distance of
 * its first note above the root in semitones, 0..11.  A window without a
 * chord, or over N.C., has no token but the first.  Whoever changes what a
 * solo's tokens are raises STORE_VERSION: an index forgets a solo by making
 * its tokens again.
 */
#ifndef SCHEMA_GRAM_H
#define SCHEMA_GRAM_H

#include "schema/solo.h"

struct sqlite3;

enum gram_column { GRAM_INTERVAL, GRAM_PLACED, GRAM_COLUMNS };

enum {
    GRAM_MAX = 4, /* intervals in the longest gram */
    /* Intervals beyond this many semitones share one letter. */
    GRAM_INTERVAL_MAX = 38,
    GRAM_PLACE_SIZE = 2 + 1,
    GRAM_TOKEN_SIZE = 1 + GRAM_MAX + GRAM_PLACE_SIZE
};

/* What a token of GRAM_PLACED ends in: CLASS is an enum chord_class, START
 * semitones above the root, taken modulo 12.  Returns OUT. */
char *gram_place_class(char out[GRAM_PLACE_SIZE], int class, int start);
/* The token of N (1..GRAM_MAX) intervals in semitones, up positive, that ends
 * in PLACE, "" for GRAM_INTERVAL.  OUT is ended by NUL. */
void gram_token(char out[GRAM_TOKEN_SIZE], const int *intervals, size_t n,
                const char *place);

/* The name of COLUMN in the index. */
const char *gram_column_name(enum gram_column column);

/* What the tokenizer reads for SOLO, whose notes are placed: one text for
 * each column.  The caller owns them (release with gram_texts_free()).
 * ST_NOMEM: all are NULL. */
enum status gram_texts(const struct solo *solo, char *texts[GRAM_COLUMNS],
                       struct fault *why);
void gram_texts_free(char *texts[GRAM_COLUMNS]); /* NULLs are allowed */

/* Teach DB the tokenizer `gram` and the auxiliary function
 * gram_positions(TABLE): a blob of 32-bit integers in the machine's byte
 * order, the positions (note indexes) where the query's first phrase stands
 * in the row, ascending and distinct; a query names one column.  ST_INTERNAL
 * where this SQLite lacks FTS5. */
enum status gram_register(struct sqlite3 *db, struct fault *why);

#endif
