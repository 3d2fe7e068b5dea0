/* check_harmony_twin.c - the cheapest path through the keys, worked out again.
 *
 * For runs of chords made up at random, harmony_find_keys() must take the path
 * that comes of asking what every change from every key to every key costs.
 * CELLAR_TWIN_CASES says how many are drawn.
 */
#include <stdlib.h>
#include <string.h>

#include "schema/harmony_parts.h"
#include "tests/unit/suites.h"

enum {
    CASES = 5000,
    RUNS_MOST = 60,
    KEYS = 24
};

/* A key and the one that is tried N-th around it. */
static int around(int key, int n)
{
    int tonic = (key % 12 + n) % 12;

    return (key >= 12) != (n >= 12) ? tonic + 12 : tonic;
}

static int64_t step(const struct run *run, int from, int to)
{
    if (from == to)
        return -key_reward(run - 1, run, to);
    return key_change_price(from, to) - key_rebate(run - 1, run, to);
}

static void plain_find(const struct run *runs, int count, int *keys)
{
    static int64_t cost[RUNS_MOST][KEYS];
    static int from[RUNS_MOST][KEYS];
    int last = count - 1;
    int home = runs[last].home == HARMONY_NO_KEY ? runs[last].root
                                                 : runs[last].home;
    int best = home;

    for (int i = 0; i < count; i++)
        for (int key = 0; key < KEYS; key++) {
            cost[i][key] = i ? INT64_MAX : key_start_price(runs, key);
            for (int n = 0; n < KEYS && i > 0; n++) {
                int64_t way = cost[i - 1][around(key, n)] +
                              step(&runs[i], around(key, n), key);

                if (way < cost[i][key]) {
                    cost[i][key] = way;
                    from[i][key] = around(key, n);
                }
            }
            cost[i][key] += key_chord_price(&runs[i], key);
        }
    for (int n = 1; n < KEYS; n++)
        if (cost[last][around(home, n)] +
                key_edge_price(&runs[last], around(home, n)) <
            cost[last][best] + key_edge_price(&runs[last], best))
            best = around(home, n);
    for (int i = last; i >= 0; i--) {
        keys[i] = best;
        best = from[i][best];
    }
}

/* 0..N-1, the same in every run. */
static int roll(int n)
{
    static uint64_t state = 20260613;

    /* Knuth's MMIX generator (from memory). */
    state = state * 6364136223846793005u + 1442695040888963407u;
    return (int)((state >> 33) % (uint64_t)n);
}

/* Runs by fifths more often than not, so that they stand in keys. */
static int draw_runs(struct run *runs)
{
    int count = 1 + roll(RUNS_MOST), root = roll(12);
    int home = roll(5) ? roll(KEYS) : HARMONY_NO_KEY;

    memset(runs, 0, RUNS_MOST * sizeof *runs);
    for (int i = 0; i < count; i++) {
        root = roll(5) > 1 ? (root + 5) % 12 : roll(12);
        if (roll(30) == 0)
            home = roll(KEYS);
        runs[i].root = root;
        runs[i].bass = roll(5) ? root : roll(12);
        runs[i].quality = (enum quality)roll(roll(3) ? 3 : QUALITIES);
        runs[i].weight = 1 + roll(roll(10) ? 8 : 200);
        runs[i].home = home;
    }
    return count;
}

START_TEST(the_path_and_its_twin_agree)
{
    const char *wanted = getenv("CELLAR_TWIN_CASES");
    int cases = wanted && wanted[0] ? atoi(wanted) : CASES;
    int changes = 0;

    for (int i = 0; i < cases; i++) {
        struct run runs[RUNS_MOST];
        int keys[RUNS_MOST], count = draw_runs(runs);
        struct run_list list = { runs, (size_t)count };

        ck_assert_int_eq(harmony_find_keys(&list, NULL), ST_OK);
        plain_find(runs, count, keys);
        for (int k = 0; k < count; k++) {
            ck_assert_msg(runs[k].key == keys[k],
                          "case %d, run %d of %d: key %d, not %d", i, k, count,
                          runs[k].key, keys[k]);
            changes += k > 0 && keys[k] != keys[k - 1];
        }
    }
    /* One key throughout would prove little. */
    ck_assert_int_ge(changes, cases / 2);
}
END_TEST

Suite *harmony_twin_suite(void)
{
    Suite *s = suite_create("harmony_twin");
    TCase *t = tcase_create("harmony_twin");

    tcase_set_timeout(t, 300);
    tcase_add_test(t, the_path_and_its_twin_agree);
    suite_add_tcase(s, t);
    return s;
}
