/* query/choose.h - a few of many that are good and not alike.
 *
 * Greedy maximal marginal relevance (J. Carbonell and J. Goldstein, "The use of
 * MMR, diversity-based reranking for reordering documents and producing
 * summaries", SIGIR 1998): the next one taken has the greatest
 *
 *     lambda * relevance - (1 - lambda) * the greatest likeness to one taken
 *
 * with lambda 1/2, in whole numbers.
 */
#ifndef QUERY_CHOOSE_H
#define QUERY_CHOOSE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum {
    CHOOSE_FULL = 1000000, /* relevance and likeness: 0 to this */
    CHOOSE_TRAITS = 6
};

/* What may be alike in two places, and how much that weighs. */
enum choose_trait {
    CHOOSE_KEY,      /* 20 % */
    CHOOSE_RELATION, /* 20 */
    CHOOSE_RHYTHM,   /* 20 */
    CHOOSE_POSITION, /* 15 */
    CHOOSE_PLAYER,   /* 15 */
    CHOOSE_SOLO      /* 10 */
};

struct choice {
    int relevance;
    /* Two places are alike in a trait when the numbers are equal; a number
     * below 0 is like none. */
    int64_t traits[CHOOSE_TRAITS];
};

/* How alike A and B are. */
int choice_likeness(const struct choice *a, const struct choice *b);

/* Take SIZE of the COUNT ITEMS (all, where there are fewer), in the order in
 * which they were taken: their indexes into TAKEN, which has room for SIZE.
 * Ties go to the earlier item.  Returns how many were taken, or SIZE_MAX when
 * memory is out. */
size_t choose(size_t *taken, size_t size, const struct choice *items,
              size_t count);

#endif
