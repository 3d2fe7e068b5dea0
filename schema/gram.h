/* schema/gram.h - from intervals to the tokens of the full-text index.
 *
 * The index has one row a segment of the strands (schema/strand.h) and one
 * token position a note.  At the position of note i stand, for n =
 * GRAM_MIN..GRAM_MAX, the n intervals that follow it as one token, and the
 * same once more with the chord class of the window of n + 1 notes and the
 * degree it starts on.  Where note i is salient (schema/salience.h), each of
 * these stands there once more, after the letter of its level; of the levels
 * after SALIENCE_FULL only the GRAM_MAX intervals alone.  No token reaches from
 * one solo into the next.
 *
 * FTS5 proposes places; the notes of the solo decide.
 *
 * The chord of a window is solo_window_chord(), the degree the distance of
 * its first note above the root in semitones, 0..11.  A window without a
 * chord that has a root has no token with a place.  Whoever changes what a
 * solo's tokens are raises STORE_VERSION: an index forgets a segment by making
 * its tokens again.
 */
#ifndef SCHEMA_GRAM_H
#define SCHEMA_GRAM_H

#include "schema/solo.h"

struct sqlite3;

enum {
    /* Intervals in a gram.  Single ones stand nearly everywhere: who looks
     * for them does better to read the strands. */
    GRAM_MIN = 2,
    GRAM_MAX = 4,
    /* Intervals beyond this many semitones share one letter. */
    GRAM_INTERVAL_MAX = 38,
    GRAM_PLACE_SIZE = 2 + 1,
    GRAM_TOKEN_SIZE = 1 + 1 + GRAM_MAX + GRAM_PLACE_SIZE,
    /* Bytes a note of what the tokenizer reads. */
    GRAM_UNIT = 1 + 2 * (GRAM_MAX - GRAM_MIN + 1) + 1
};

/* What a token with a place ends in: CLASS is an enum chord_class, START
 * semitones above the root, taken modulo 12.  Returns OUT. */
char *gram_place_class(char out[GRAM_PLACE_SIZE], int class, int start);
/* The token of N (GRAM_MIN..GRAM_MAX) intervals in semitones, up positive,
 * that ends in PLACE, "" for intervals alone.  LEVEL: where it starts at
 * salient notes of this level alone, 0 wherever it stands.  OUT is ended by
 * NUL. */
void gram_token(char out[GRAM_TOKEN_SIZE], int level, const int *intervals,
                size_t n, const char *place);

/* Write what the tokenizer reads for SOLO, whose notes are placed and whose
 * MARK and FOLLOW are these strands of it: OUT has room for GRAM_UNIT bytes a
 * note.  The texts of several solos one behind the other are the text of a
 * segment. */
void gram_text(char *out, const struct solo *solo, const uint8_t *mark,
               const uint8_t *follow);
/* The same where nobody has the strands.  ST_NOMEM. */
enum status gram_text_of(char *out, const struct solo *solo, struct fault *why);

/* The tokens that stand at one note have numbers from 0 on, below GRAM_SLOTS;
 * a note has at least one.  TEXT is a text of UNITS notes as gram_text() writes
 * it, NOTE one of them. */
enum {
    GRAM_SLOTS = 2 * 2 * (GRAM_MAX - GRAM_MIN + 1)
};
/* How many there are at NOTE. */
int gram_slots(const char *text, int units, int note);
/* Which of them TOKEN (LEN bytes) is; -1 where it is none. */
int gram_slot(const char *text, int units, int note, const char *token,
              int len);

/* Teach DB the tokenizer `gram` and the auxiliary function
 * gram_positions(TABLE): a blob of 32-bit integers in the machine's byte
 * order, the positions (notes of the segment) where the query's first phrase
 * stands in the row, ascending and distinct.  ST_INTERNAL where this SQLite
 * lacks FTS5. */
enum status gram_register(struct sqlite3 *db, struct fault *why);

#endif
