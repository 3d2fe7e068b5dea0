/* query/rank_parts.h - private to the files of rank. */
#ifndef QUERY_RANK_PARTS_H
#define QUERY_RANK_PARTS_H

#include "query/rank.h"

/* Tenths that the parts of a part are weighted by. */
enum {
    RANK_TENTHS_RELATION = 5,
    RANK_TENTHS_FOLLOWS = 2,
    RANK_TENTHS_FIT = 3,
    RANK_TENTHS_WHERE = 7,
    RANK_TENTHS_METRE = 3
};

void rank_harmony(struct rank_harmony *out,
                  const struct rank_question *question,
                  const struct rank_place *place);
void rank_position(struct rank_position *out, const struct place *asked,
                   const struct solo *solo, size_t first);
void rank_rhythm(struct rank_rhythm *out, const struct rank_question *question,
                 const struct rank_place *place);

/* The chord INDEX of SOLO; NULL for none and for N.C. */
const struct chord *rank_sounding(const struct solo *solo, int32_t index);

/* The last note of PLACE that counts. */
size_t rank_last(const struct rank_place *place);

#endif
