/* query/rank_parts.h - private to the files of rank. */
#ifndef QUERY_RANK_PARTS_H
#define QUERY_RANK_PARTS_H

#include "query/rank.h"
#include "schema/worth.h"

/* A note of a place as its score needs it. */
struct rank_note {
    enum follow_tone tone;
    int strength;     /* 0..4 */
    int64_t duration; /* in any unit common to the place */
};

/* What harmony is scored by, wherever it was read. */
struct rank_facts {
    const struct chord *there; /* the chord of the place, NULL for none */
    enum rank_next next;
    enum follow_line line;
    size_t count;
    struct rank_note notes[RANK_NOTES_MAX];
};

/* What the bar and the form say of the first note. */
struct rank_spot {
    int strength; /* 0..4 */
    bool opens_chorus, opens_section, first_of_four, starts_phrase;
    int32_t bar;             /* of its chorus, from 1; 0 in none */
    bool in_section, on_beat; /* those that are asked */
};

/* The values of a place by its facts.  OUT is zero on entry. */
void rank_harmony_value(struct rank_harmony *out,
                        const struct rank_question *question,
                        const struct rank_facts *facts);
/* The most that harmony can come to over THERE (NULL: no chord). */
int rank_harmony_most(struct rank_harmony *out,
                      const struct rank_question *question,
                      const struct chord *there);
void rank_position_value(struct rank_position *out, const struct place *asked,
                         const struct rank_spot *spot);
/* By the COUNT LENGTHS of the notes in quarters. */
void rank_rhythm_value(struct rank_rhythm *out,
                       const struct rank_question *question,
                       const struct rational *lengths, size_t count);
enum rank_next rank_next_of(enum follow_motion motion);

void rank_harmony(struct rank_harmony *out,
                  const struct rank_question *question,
                  const struct rank_place *place);
void rank_position(struct rank_position *out, const struct place *asked,
                   const struct solo *solo, size_t first);
void rank_rhythm(struct rank_rhythm *out, const struct rank_question *question,
                 const struct rank_place *place);

/* The last note of PLACE that counts. */
size_t rank_last(const struct rank_place *place);

#endif
