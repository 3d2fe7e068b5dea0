/* query/rank.c - the score and its numbers as text. */
#include "query/rank.h"

#include <stdio.h>
#include <string.h>

#include "query/rank_parts.h"

void rank_score(struct rank_parts *out, const struct rank_question *question,
                const struct rank_place *place)
{
    const struct rank_weights *weights = &question->weights;

    memset(out, 0, sizeof *out);
    rank_harmony(&out->harmony, question, place);
    rank_position(&out->position, &question->place, place->solo, place->first);
    rank_rhythm(&out->rhythm, question, place);
    out->score = weights->harmony * out->harmony.total +
                 weights->position * out->position.total +
                 weights->rhythm * out->rhythm.total;
}

size_t rank_last(const struct rank_place *place)
{
    if (place->last - place->first >= RANK_NOTES_MAX)
        return place->first + RANK_NOTES_MAX - 1;
    return place->last;
}

char *rank_part_text(char out[RANK_NUMBER_SIZE], int thousandths)
{
    snprintf(out, RANK_NUMBER_SIZE, "%d.%03d", thousandths / 1000,
             thousandths % 1000);
    return out;
}

char *rank_score_text(char out[RANK_NUMBER_SIZE], int millionths)
{
    snprintf(out, RANK_NUMBER_SIZE, "%d.%06d", millionths / 1000000,
             millionths % 1000000);
    return out;
}

char *rank_weight_text(char out[RANK_NUMBER_SIZE], int thousandths)
{
    rank_part_text(out, thousandths);
    if (thousandths % 10 == 0)
        out[strlen(out) - 1] = '\0';
    return out;
}
