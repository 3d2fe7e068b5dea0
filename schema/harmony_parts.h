/* schema/harmony_parts.h - what the files schema/harmony*.c share.
 *
 * The analysis looks at runs: neighbouring chord symbols with the same root
 * and the same quality, such as G7sus4 G7 G7b9, are one run.
 */
#ifndef SCHEMA_HARMONY_PARTS_H
#define SCHEMA_HARMONY_PARTS_H

#include "schema/harmony.h"

/* Chord classes as far as they differ here: minor-major counts as minor,
 * power as suspended. */
enum quality {
    QUALITY_MAJOR,
    QUALITY_DOMINANT,
    QUALITY_MINOR,
    QUALITY_HALF,
    QUALITY_DIMINISHED,
    QUALITY_AUGMENTED,
    QUALITY_SUSPENDED,
    QUALITIES
};

struct run {
    int root; /* 0..11 */
    int bass; /* of its first chord */
    enum quality quality;
    int64_t ticks; /* its length */
    int64_t weight;
    int key;      /* 0..23, once known */
    int home;     /* the key its signature suggests, or HARMONY_NO_KEY */
    size_t first; /* chord event */
    bool altered; /* any chord of it is */
};

struct run_list {
    struct run *runs;
    size_t count;
};

/* The tonic of a key, and whether it is minor. */
static inline int key_tonic(int key)
{
    return key < 12 ? key : key - 12;
}

static inline bool key_minor(int key)
{
    return key >= 12;
}

/* The degree, in semitones 0..11, of ROOT (0..11) in KEY. */
static inline int key_degree(int key, int root)
{
    int degree = root - key_tonic(key);

    return degree < 0 ? degree + 12 : degree;
}

/* Whether DEGREE is a step of the key that a secondary dominant may lead to;
 * not the tonic. */
bool key_is_target(bool minor, int degree);

/* The quality of CHORD; QUALITIES for N.C. and what is not understood. */
enum quality chord_quality(const struct chord *chord);

/* --- the cost of a path through the keys --------------------------------- */

/* What it costs that KEY is the key of RUN, whatever comes before. */
int64_t key_chord_price(const struct run *run, int key);
/* To begin with KEY at RUN, by the signature; and to end with it. */
int key_start_price(const struct run *run, int key);
int key_edge_price(const struct run *run, int key);
/* What is taken off where KEY goes on from the run FROM to TO. */
int key_reward(const struct run *from, const struct run *to, int key);
/* A change of key, and what is taken off of that where it is one to KEY at RUN,
 * which BEFORE comes before. */
int key_change_price(int from, int to);
int key_rebate(const struct run *before, const struct run *run, int key);

/* Fill the keys of RUNS with the cheapest path.  Among equals a key goes on,
 * else it comes from the one of its mode that is fewest semitones above, then
 * from the other mode.  ST_OK or ST_NOMEM. */
enum status harmony_find_keys(struct run_list *runs, struct fault *why);

/* The function of a chord in the run AT, and its role. */
enum harmony_role harmony_name(char out[HARMONY_FUNCTION_SIZE],
                               const struct run_list *runs, size_t at,
                               bool blues, const struct chord *chord);

/* --- writing romans ---------------------------------------------------- */

enum accidental_side { SIDE_PLAIN, SIDE_SHARP, SIDE_FLAT };

/* What a function is made of. */
struct roman {
    bool substitute;           /* subV */
    int degree;                /* 0..11 above the tonic */
    const struct chord *chord; /* for its quality */
    enum accidental_side side;
    int target;      /* degree of X in V7/X, -1 none */
    bool target_low; /* its numeral is in lower case */
};

/* Whether the numeral of the degree TARGET is in lower case; QUALITY decides
 * for steps outside the key. */
bool roman_target_low(bool minor, int target, enum quality quality);
char *roman_write(char out[HARMONY_FUNCTION_SIZE], const struct roman *roman);

#endif
