/* schema/gram.h - from intervals to the tokens of the full-text index.
 *
 * The index has one row a segment of the strands (schema/strand.h) and one
 * token position a note.  At the position of note i stand, for n =
 * GRAM_MIN..GRAM_MAX, the n intervals that follow it as one token, and as
 * another the place of that window of n + 1 notes: the class of its chord, the
 * degree it starts on, the first of its intervals and where the second goes.
 * Where both stand, the n intervals lie over such a chord.  (One token for the
 * two would hardly ever come twice, and it is different tokens that cost time
 * and room.)  Mostly the windows of all lengths stand over one chord: one token
 * says so then.  No token reaches from one solo into the next.
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

#include <stddef.h>
#include <stdint.h>

#include "schema/solo.h"

struct sqlite3;

enum {
    /* Intervals in a gram.  Single ones stand nearly everywhere: who looks
     * for them does better to read the strands. */
    GRAM_MIN = 2,
    GRAM_MAX = 4,
    /* Intervals beyond this many semitones share one letter. */
    GRAM_INTERVAL_MAX = 38,
    GRAM_TOKEN_SIZE = 1 + GRAM_MAX + 1,
    /* Bytes a note of what the tokenizer reads. */
    GRAM_UNIT = 1 + 2 * (GRAM_MAX - GRAM_MIN + 1)
};

/* A token that is looked for, AFTER notes behind the start of what it belongs
 * to. */
struct gram {
    char token[GRAM_TOKEN_SIZE]; /* ended by NUL */
    uint32_t after;
    bool instead; /* it will do in place of the one before */
};

/* The chord under a window: CLASS is an enum chord_class, START how many
 * semitones above the root the window starts, taken modulo 12. */
struct gram_place {
    int class, start;
};

enum {
    GRAM_QUESTION_MAX = 13
};
/* The grams that all stand at a note exactly where the N INTERVALS follow it
 * (semitones, up positive; N from GRAM_MIN to (GRAM_QUESTION_MAX - 2) *
 * GRAM_MAX).  PLACE: only over that chord; NULL over any, as is needed of more
 * than GRAM_MAX intervals.  Returns how many there are, alternatives too. */
size_t gram_question(struct gram out[GRAM_QUESTION_MAX], const int *intervals,
                     size_t n, const struct gram_place *place);

/* Write what the tokenizer reads for SOLO, whose notes are placed: OUT has room
 * for GRAM_UNIT bytes a note.  The texts of several solos one behind the other
 * are the text of a segment. */
void gram_text(char *out, const struct solo *solo);

/* The tokens that stand at one note have numbers from 0 on, below GRAM_SLOTS;
 * a note has at least one.  TEXT is a text of UNITS notes as gram_text() writes
 * it, NOTE one of them. */
enum {
    GRAM_SLOTS = 2 * (GRAM_MAX - GRAM_MIN + 1)
};
/* How many there are at NOTE. */
int gram_slots(const char *text, int units, int note);
/* Which of them TOKEN (LEN bytes) is; -1 where it is none. */
int gram_slot(const char *text, int units, int note, const char *token,
              int len);

/* Teach DB the tokenizer `gram` and the auxiliary function
 * gram_positions(TABLE, AFTER).  AFTER is a blob of 32-bit integers in the
 * machine's byte order, one a phrase of the query; so is the result, the
 * positions (notes of the segment) of the row with every phrase as many behind
 * them as AFTER says, ascending and distinct.  GRAM_INSTEAD is added for a
 * phrase that will do in place of the one before.  ST_INTERNAL where this
 * SQLite lacks FTS5. */
#define GRAM_INSTEAD (UINT32_C(1) << 31)
enum status gram_register(struct sqlite3 *db, struct fault *why);

#endif
