/* query/find.h - every place where a fragment occurs.
 *
 * The index proposes places, the stored notes decide.  Memory is bounded by
 * what is shown: hits beyond the limit are counted, not kept.
 */
#ifndef QUERY_FIND_H
#define QUERY_FIND_H

#include "query/fragment.h"
#include "query/place.h"
#include "schema/solo.h"
#include "schema/store.h"

/* How the onsets of a place must stand to the fragment's values: not at all;
 * equal, and so the length of the last note; or all, the last included, in
 * one common ratio to them. */
enum rhythm_match {
    RHYTHM_ANY,
    RHYTHM_SAME,
    RHYTHM_SCALED
};

struct find_query {
    struct fragment fragment;
    bool any_octave; /* intervals are compared modulo 12 */
    enum rhythm_match rhythm;
    struct place place; /* where in the form it may stand */
    struct filter filter;
    size_t limit; /* hits kept; 0: all */
    bool count_only;
};

/* A hit; SOLO is an index into find_result.solos. */
struct hit {
    size_t solo;
    uint32_t first;    /* index of the first note in the solo */
    int32_t chord;     /* the hit's chord in the solo, or SOLO_NO_CHORD */
    int exactness;     /* 2 the very chord asked, 1 the class, 0 not asked */
    int transposition; /* -5..6, of meaning when has_transposition */
    bool has_transposition;
    int plays;
};

/* A solo with hits that are kept. */
struct found_solo {
    int64_t id;
    char *path, *title, *performer;
    struct solo *solo;
};

struct find_result {
    uint64_t total; /* all hits */
    uint64_t solos_with_hits;
    /* Best first: by exactness, then path (bytes), then first note. */
    struct hit *hits;
    size_t hit_count;
    struct found_solo *solos;
    size_t solo_count;
};

/* Answer QUERY in one read transaction of STORE.  ST_OK also where nothing is
 * found; *OUT is empty after a failure.  ST_USAGE: rhythm asked of a fragment
 * without note values; else what the store says.  Release with
 * find_result_free(). */
enum status find_run(struct find_result *out, struct store *store,
                     const struct find_query *query, struct fault *why);
void find_result_free(struct find_result *result);

/* The one definition of a match, on the notes: does QUERY's fragment stand at
 * note FIRST of SOLO?  Checks pitches, rhythm and chord; not the filter. */
bool find_matches_at(const struct find_query *query, const struct solo *solo,
                     size_t first);

#endif
