/* The generator is splitmix64 (Steele, Lea and Flood, 2014): three shifts
 * and two products, so its output does not depend on the C library. */
#include "tests/demo/rng.h"

static uint64_t rng_next(struct rng *rng)
{
    uint64_t z = (rng->state += UINT64_C(0x9e3779b97f4a7c15));

    z = (z ^ (z >> 30)) * UINT64_C(0xbf58476d1ce4e5b9);
    z = (z ^ (z >> 27)) * UINT64_C(0x94d049bb133111eb);
    return z ^ (z >> 31);
}

void rng_seed(struct rng *rng, uint64_t seed)
{
    rng->state = seed * UINT64_C(0x2545f4914f6cdd1d) + 1;
    (void)rng_next(rng);
}

int rng_below(struct rng *rng, int bound)
{
    return (int)((rng_next(rng) >> 33) % (uint64_t)bound);
}

int rng_range(struct rng *rng, int low, int high)
{
    return low + rng_below(rng, high - low + 1);
}

bool rng_chance(struct rng *rng, int percent)
{
    return rng_below(rng, 100) < percent;
}

int rng_weighted(struct rng *rng, const int *weight, int count)
{
    int total = 0, at;

    for (int i = 0; i < count; i++)
        total += weight[i];
    if (total <= 0)
        return -1;
    at = rng_below(rng, total);
    for (int i = 0; i < count; i++) {
        at -= weight[i];
        if (at < 0)
            return i;
    }
    return -1;
}
