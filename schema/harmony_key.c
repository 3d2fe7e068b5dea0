/* schema/harmony_key.c - the best path of the runs through 24 keys.
 *
 * Each run costs something in each key, more the less its chord belongs
 * there, weighted by its length; a change of key costs once; moves such as
 * ii-V and V-I inside one key are rewarded.  The cheapest path is found by
 * dynamic programming (A. Viterbi, "Error bounds for convolutional codes",
 * IEEE Trans. Inf. Theory 13, 1967; from memory).
 *
 * The tables and prices are ours, weighed so that these hold in every key
 * (tests/unit/check_harmony.c): two bars of ii-V-I to a near key stay in the
 * key, eight do not; a chain of two-bar ii-V-I through far keys is a chain of
 * keys.
 */
#include <stdlib.h>

#include "schema/harmony_parts.h"

/* The price of a chord for each unit of weight: 0 the tonic, 1 a chord of the
 * key, 2 a secondary dominant or a borrowed chord, 3 and 4 foreign ones. */
static const int8_t price[2][QUALITIES][12] = {
    {
        /* I bII II bIII III IV bV V bVI VI bVII VII */
        { 0, 3, 3, 3, 3, 1, 4, 1, 2, 3, 2, 4 }, /* major */
        { 1, 2, 2, 3, 2, 1, 3, 1, 2, 2, 2, 2 }, /* dominant */
        { 3, 4, 1, 3, 1, 2, 3, 2, 4, 1, 4, 2 }, /* minor */
        { 4, 4, 2, 4, 2, 4, 2, 2, 4, 2, 4, 1 }, /* half-diminished */
        { 2, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2 }, /* diminished */
        { 2, 4, 3, 4, 3, 3, 4, 1, 3, 3, 4, 4 }, /* augmented */
        { 1, 3, 2, 3, 2, 2, 4, 1, 3, 2, 2, 3 }, /* suspended */
    },
    {
        { 3, 2, 3, 1, 4, 2, 4, 1, 1, 4, 1, 4 },
        { 2, 2, 2, 2, 4, 2, 3, 1, 1, 4, 1, 4 },
        { 0, 3, 2, 4, 4, 1, 4, 2, 4, 3, 2, 4 },
        { 4, 4, 1, 4, 4, 4, 3, 2, 4, 1, 4, 3 },
        { 2, 2, 1, 2, 2, 1, 2, 2, 1, 2, 2, 1 },
        { 3, 4, 4, 2, 4, 4, 4, 1, 4, 4, 4, 4 },
        { 1, 3, 2, 2, 4, 1, 4, 1, 2, 4, 1, 4 },
    },
};

/* The price of a change of key. */
enum {
    TO_RELATIVE = 20,
    TO_PARALLEL = 18,
    TO_NEAR = 20, /* a fifth away */
    TO_NEXT = 22, /* two fifths */
    TO_FAR = 24,
    HOMEWARD = 6, /* less, where the signature says so */
    NEW_SIGNATURE = 8 /* less, where the signature changes to it */
};

/* The rewards of a move inside one key. */
enum {
    V_TO_I = 8,
    V_TO_I7 = 4,
    V_TO_OTHER_I = 4, /* the tonic of the other mode */
    TRIAD_V_TO_I = 4,
    II_TO_V = 6,
    II_TO_SUBSTITUTE = 4,
    SUBSTITUTE_TO_I = 5,
    BACKDOOR = 4,
    TO_BACKDOOR = 3,
    SECONDARY = 4,
    SECONDARY_SUBSTITUTE = 3,
    RELATED = 3,
    BLUES_MOVE = 6, /* I7 to IV7 and back */
    PLAIN_MOVE = 3, /* IV-V, IV-I, I-IV */
    DIMINISHED_MOVE = 3,
    REWARD_MOST = V_TO_I
};

enum { EDGE_TONIC = 4 }; /* for a first or last chord that is the tonic */

/* --- moves ---------------------------------------------------------------- */

static bool is_strong(enum quality quality)
{
    return quality == QUALITY_MAJOR || quality == QUALITY_DOMINANT;
}

static int move_to_tonic(const struct run *to, bool minor)
{
    if (to->quality == QUALITY_DOMINANT)
        return minor ? 0 : V_TO_I7;
    if (to->quality == QUALITY_MAJOR || to->quality == QUALITY_MINOR)
        return (to->quality == QUALITY_MINOR) == minor ? V_TO_I : V_TO_OTHER_I;
    return 0;
}

/* Whether a fifth down arrives at the step Y: a major chord where the key has
 * a minor one speaks for another key. */
static bool is_step(const struct run *to, bool minor, int y)
{
    return key_is_target(minor, y) &&
           !(to->quality == QUALITY_MAJOR &&
             roman_target_low(minor, y, to->quality));
}

/* From a dominant on degree X to degree Y. */
static int move_of_dominant(const struct run *to, bool minor, int x, int y)
{
    int down = pitch_modulo(x - y, 12);

    if (x == 7 && y == 0)
        return move_to_tonic(to, minor);
    if (x == 1 && y == 0)
        return SUBSTITUTE_TO_I;
    if (x == 10 && y == 0)
        return BACKDOOR;
    if (x == 5 && y == 0)
        return to->quality == QUALITY_DOMINANT ? BLUES_MOVE : PLAIN_MOVE;
    if (x == 0 && y == 5 && to->quality == QUALITY_DOMINANT)
        return minor ? SECONDARY : BLUES_MOVE;
    if (x == 2 && y == 2 && to->quality == QUALITY_MINOR)
        return SECONDARY;
    if (down == 7 && is_step(to, minor, y))
        return SECONDARY;
    return down == 1 && key_is_target(minor, y) ? SECONDARY_SUBSTITUTE : 0;
}

/* From a minor or half-diminished chord. */
static int move_of_minor(const struct run *to, bool minor, int x, int y)
{
    if (to->quality == QUALITY_SUSPENDED)
        return x == 2 && y == 7 ? II_TO_V : 0;
    if (!is_strong(to->quality))
        return 0;
    if (x == 2 && y == 7)
        return II_TO_V;
    if (to->quality != QUALITY_DOMINANT)
        return minor && x == 5 && y == 7 ? PLAIN_MOVE : 0;
    if (x == 2 && y == 1)
        return II_TO_SUBSTITUTE;
    if (x == 5 && y == 10)
        return TO_BACKDOOR;
    /* i7 IV7 is no ii-V, but a vamp. */
    if (pitch_modulo(x - y, 12) != 7 || (minor && x == 0))
        return 0;
    return key_is_target(minor, (x + 10) % 12) ? RELATED : 0;
}

static int move_of_major(const struct run *to, bool minor, int x, int y)
{
    if (x == 7 && y == 0)
        return move_to_tonic(to, minor) ? TRIAD_V_TO_I : 0;
    if (x != 0 && x != 5 && pitch_modulo(x - y, 12) == 7 &&
        is_step(to, minor, y))
        return SECONDARY;
    if (!is_strong(to->quality))
        return 0;
    return (x == 5 && (y == 7 || y == 0)) || (x == 0 && y == 5) ? PLAIN_MOVE
                                                                : 0;
}

static int move_of_diminished(const struct run *to, bool minor, int key, int x,
                              int y)
{
    int bass = key_degree(key, to->bass);

    if ((y == x + 1 || bass == x + 1) && key_is_target(minor, y))
        return DIMINISHED_MOVE;
    return (x == 3 && y == 2) || (x == 0 && y == 0) || (x == 11 && y == 0) ||
                   (x == 6 && y == 0)
               ? DIMINISHED_MOVE
               : 0;
}

/* The reward of FROM and TO as neighbours in KEY. */
int key_reward(const struct run *from, const struct run *to, int key)
{
    int x = key_degree(key, from->root), y = key_degree(key, to->root);
    bool minor = key_minor(key);

    switch (from->quality) {
    case QUALITY_DOMINANT:
        return move_of_dominant(to, minor, x, y);
    case QUALITY_MINOR:
    case QUALITY_HALF:
        return move_of_minor(to, minor, x, y);
    case QUALITY_DIMINISHED:
        return move_of_diminished(to, minor, key, x, y);
    case QUALITY_AUGMENTED:
    case QUALITY_SUSPENDED:
        return x == 7 && y == 0 ? move_to_tonic(to, minor) : 0;
    case QUALITY_MAJOR:
        return move_of_major(to, minor, x, y);
    case QUALITIES:
        break;
    }
    return 0;
}

/* --- changes of key ------------------------------------------------------- */

/* Fifths from the signature of one key to that of another, 0..6. */
static int signature_distance(int a, int b)
{
    int a_major = key_minor(a) ? key_tonic(a) + 3 : key_tonic(a);
    int b_major = key_minor(b) ? key_tonic(b) + 3 : key_tonic(b);
    int fifths = pitch_modulo(7 * (a_major - b_major), 12);

    return fifths <= 6 ? fifths : 12 - fifths;
}

int key_change_price(int from, int to)
{
    if (from == to)
        return 0;
    if (key_tonic(from) == key_tonic(to))
        return TO_PARALLEL;
    switch (signature_distance(from, to)) {
    case 0:
        return TO_RELATIVE;
    case 1:
        return TO_NEAR;
    case 2:
        return TO_NEXT;
    default:
        return TO_FAR;
    }
}

/* What is taken off the price of a change to the key KEY at RUN, which BEFORE
 * comes before. */
int key_rebate(const struct run *before, const struct run *run, int key)
{
    if (run->home != key)
        return 0;
    return before->home != run->home ? NEW_SIGNATURE : HOMEWARD;
}

/* --- the path ------------------------------------------------------------- */

/* A first or last chord that is the tonic speaks for KEY. */
int key_edge_price(const struct run *run, int key)
{
    bool tonic = run->root == key_tonic(key) &&
                 (run->quality == QUALITY_MINOR) == key_minor(key);

    return tonic ? -EDGE_TONIC : 0;
}

/* What it costs to begin in KEY, by the signature. */
int key_start_price(const struct run *run, int key)
{
    int cost = key_edge_price(run, key);

    if (run->home == HARMONY_NO_KEY || run->home == key)
        return cost;
    return cost + key_change_price(run->home, key);
}

int64_t key_chord_price(const struct run *run, int key)
{
    int degree = key_degree(key, run->root);

    return run->weight * price[key_minor(key)][run->quality][degree];
}

/* The N-th key to be tried around KEY, itself first.  Counted from KEY, so
 * that ties fall alike in every key. */
static int nth_key(int key, int n)
{
    int tonic = (key_tonic(key) + n % 12) % 12;
    bool minor = key_minor(key) != (n >= 12);

    return minor ? tonic + 12 : tonic;
}

/* Which one FROM is around KEY. */
static int number_around(int key, int from)
{
    int up = key_degree(key, key_tonic(from));

    return key_minor(key) == key_minor(from) ? up : up + 12;
}

/* key_change_price() from the N-th key to a major or minor key. */
struct changes {
    int8_t price[2][HARMONY_KEYS];
};

static void read_changes(struct changes *out)
{
    for (int minor = 0; minor < 2; minor++)
        for (int n = 0; n < HARMONY_KEYS; n++)
            out->price[minor][n] = (int8_t)key_change_price(
                nth_key(12 * minor, n), 12 * minor);
}

/* The costs of the run before, and the keys that may be left: what costs more
 * than the least by the dearest change, less the cheapest, is never the best
 * way to another key. */
struct ending {
    const int64_t *cost;
    int open[HARMONY_KEYS];
    int open_count;
};

static void read_ending(struct ending *out, const int64_t *costs)
{
    int64_t least = costs[0];

    for (int key = 1; key < HARMONY_KEYS; key++)
        least = costs[key] < least ? costs[key] : least;
    out->cost = costs;
    out->open_count = 0;
    for (int key = 0; key < HARMONY_KEYS; key++)
        if (costs[key] <= least + TO_FAR - TO_PARALLEL)
            out->open[out->open_count++] = key;
}

/* A way into a key that is looked for. */
struct way {
    int64_t cost;
    int n; /* of the key it comes from */
};

/* The cheapest way into KEY from another key, before the rebate; the one with
 * the lowest number among equals. */
static struct way best_change(const struct ending *before,
                              const struct changes *changes, int key)
{
    const int8_t *prices = changes->price[key_minor(key)];
    struct way best = { INT64_MAX, 0 };

    for (int i = 0; i < before->open_count; i++) {
        int n = number_around(key, before->open[i]);
        int64_t cost = before->cost[before->open[i]] + prices[n];

        if (n > 0 &&
            (cost < best.cost || (cost == best.cost && n < best.n)))
            best = (struct way){ cost, n };
    }
    return best;
}

/* The cheapest way into KEY at RUN, from what came BEFORE; staying is, among
 * equals.  *FROM is the key it comes from. */
static int64_t best_step(const struct ending *before,
                         const struct changes *changes,
                         const struct run *run, int key, int8_t *from)
{
    struct way best = best_change(before, changes, key);
    int64_t stay = before->cost[key];

    if (best.n > 0)
        best.cost -= key_rebate(run - 1, run, key);
    if (stay - REWARD_MOST <= best.cost) {
        stay -= key_reward(run - 1, run, key);
        if (stay <= best.cost)
            best = (struct way){ stay, 0 };
    }
    *from = (int8_t)(best.n > 0 ? nth_key(key, best.n) : key);
    return best.cost + key_chord_price(run, key);
}

/* The key of the cheapest end, the home key's among equals. */
static int best_end(const int64_t *last, const struct run *run)
{
    int home = run->home == HARMONY_NO_KEY ? run->root : run->home;
    int best = home;

    for (int n = 1; n < HARMONY_KEYS; n++) {
        int key = nth_key(home, n);

        if (last[key] + key_edge_price(run, key) <
            last[best] + key_edge_price(run, best))
            best = key;
    }
    return best;
}

enum status harmony_find_keys(struct run_list *list, struct fault *why)
{
    int8_t(*from)[HARMONY_KEYS] = calloc(list->count, sizeof *from);
    struct changes changes;
    int64_t costs[2][HARMONY_KEYS], *now = costs[0];
    struct ending before;
    size_t last = list->count - 1;
    int key;

    if (!from)
        return fault_nomem(why);
    read_changes(&changes);
    for (key = 0; key < HARMONY_KEYS; key++)
        now[key] = key_chord_price(&list->runs[0], key) +
                   key_start_price(&list->runs[0], key);
    for (size_t i = 1; i <= last; i++) {
        read_ending(&before, now);
        now = costs[i % 2];
        for (key = 0; key < HARMONY_KEYS; key++)
            now[key] = best_step(&before, &changes, &list->runs[i], key,
                                 &from[i][key]);
    }
    key = best_end(now, &list->runs[last]);
    for (size_t i = last; i > 0; i--) {
        list->runs[i].key = key;
        key = from[i][key];
    }
    list->runs[0].key = key;
    free(from);
    return ST_OK;
}
