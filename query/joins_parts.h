/* query/joins_parts.h - the notes of a passage as the names ask for them;
 * private to joins*.c and their tests. */
#ifndef QUERY_JOINS_PARTS_H
#define QUERY_JOINS_PARTS_H

#include "query/joins.h"

/* Scales of one shape on every tonic on which they differ. */
enum {
    JOINS_SCALES = 12 + 12 + 12 + 3 + 2
};

struct join_note {
    int midi;
    int strength;
    int32_t phrase;
    const struct chord *chord; /* NULL: none that is understood */
    uint16_t tones;            /* chord tones, bit p: pitch class p */
    int seventh;               /* its pitch class, -1 none */
    uint64_t fits;             /* bit s: scale s fits */
    uint64_t steps; /* in scale s the note before is a neighbour; 0 for none */
};

/* How to divide the notes from one on, once that is known. */
struct join_choice {
    int64_t price;
    size_t length; /* of the first span */
    enum join what;
    int64_t target;
};

struct joins {
    size_t first, count; /* of the notes of the solo */
    struct join_note *notes;
    struct join_choice *best; /* COUNT + 1 */
};

/* The facts of NOTE of SOLO. */
void join_note_read(struct join_note *out, const struct solo *solo,
                    const struct note *note);
/* The scales in which A and B are neighbours, bit by bit. */
uint64_t join_steps(const struct join_note *a, const struct join_note *b);
/* Is PITCH a chord tone of TARGET's chord? */
bool join_is_tone(const struct join_note *target, int midi);
/* Are A and B tones of one chord, a third or a fourth apart? */
bool join_is_third(const struct join_note *a, const struct join_note *b);
/* Do the notes at AT and AT + 1 make an enclosure of the one at AT + LENGTH,
 * LENGTH (2 or 3) notes in all? */
bool join_encloses(const struct join_note *at, size_t length);
/* Is AT an approach note to AT + 1? */
bool join_approaches(const struct join_note *at);

#endif
