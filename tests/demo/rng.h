/* tests/demo/rng.h - seeded random numbers, the same on every machine. */
#ifndef DEMO_RNG_H
#define DEMO_RNG_H
#include <stdbool.h>
#include <stdint.h>

struct rng {
    uint64_t state;
};

/* Start the sequence that belongs to SEED. */
void rng_seed(struct rng *rng, uint64_t seed);
/* The next number, 0 .. BOUND - 1.  BOUND must be above 0. */
int rng_below(struct rng *rng, int bound);
/* A number LOW .. HIGH, both included. */
int rng_range(struct rng *rng, int low, int high);
/* True PERCENT times in a hundred. */
bool rng_chance(struct rng *rng, int percent);
/* An index 0 .. COUNT - 1, as likely as its WEIGHT; -1 when all are 0. */
int rng_weighted(struct rng *rng, const int *weight, int count);
#endif
