/* query/find.h - every place where a fragment occurs.
 *
 * The index proposes places, the stored notes decide.  Memory is bounded by
 * what is shown: hits beyond the limit are counted, not kept.
 */
#ifndef QUERY_FIND_H
#define QUERY_FIND_H

#include "query/asked_home.h"
#include "query/edits.h"
#include "query/fragment.h"
#include "query/place.h"
#include "query/rank.h"
#include "query/relation.h"
#include "query/variants.h"
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
    /* How many notes may be changed, 0..EDITS_MAX. */
    int edits;
    /* Any chord will do; hits are grouped by how it stands to the home
     * chord. */
    bool reharmonized;
    bool has_relation; /* only this relation */
    struct relation_choice relation;
    struct over into;   /* the chord that is to follow, count 0 or 1 */
    struct place place; /* where in the form it may stand */
    struct rank_weights weights;
    struct asked_home home; /* filled by find_run() */
    struct filter filter;
    size_t limit; /* hits kept; 0: all */
    size_t many;  /* waiting.many; 0: WAITING_MANY.  Tests say fewer */
    /* Solos of a long list may be loaded again when they are shown, rather than
     * held all at once; HELD of them are (0: FIND_HELD). */
    bool lean;
    /* With LEAN: the hits are filled as find_hit() asks for them.  Of up to
     * FIND_HELD hits FIND_HELD_MIN solos are held (HELD 0), enough for who asks
     * solo by solo. */
    bool late;
    size_t held;
    bool count_only;
    bool variants; /* count the rhythms */
};

enum {
    FIND_HELD = 256, /* solos of a lean answer that are held */
    FIND_HELD_MIN = 4
};

/* A hit; SOLO is an index into find_result.solos. */
struct hit {
    size_t solo;
    uint32_t first, last; /* indexes of its notes in the solo */
    int edits;
    int shift;         /* semitones above fragment.midi, modulo 12 */
    bool filled;       /* what follows is; else find_hit() does it */
    int32_t chord;     /* the hit's chord in the solo, or SOLO_NO_CHORD */
    int exactness;     /* 2 the very chord asked, 1 the class, 0 not asked */
    bool has_home;
    struct chord home; /* the home chord where the hit stands */
    struct rank_parts parts;
    int transposition; /* -5..6, of meaning when has_transposition */
    bool has_transposition;
    int plays;
};

/* A solo with hits that are kept. */
struct found_solo {
    int64_t id;
    char *path, *title, *performer, *sha256;
    struct solo *solo; /* NULL: not held, see find_solo() */
};

/* The hits of one relation of the written to the home chord. */
struct relation_group {
    uint64_t count;
    struct chord home, written; /* of one of them */
    int midi[EDITS_STEPS_MAX];  /* its notes */
    size_t notes;
    int key; /* relation_key(), -1: without a chord */
    enum relation relation;
};

struct find_result {
    uint64_t total; /* all hits */
    uint64_t solos_with_hits;
    /* By count, then by relation; only of a reharmonized question. */
    struct relation_group *groups;
    size_t group_count;
    struct asked_home home; /* of the question */
    struct variants variants; /* most frequent first, where asked */
    /* Best first: fewest edits, then by score, path (bytes), first note. */
    struct hit *hits;
    size_t hit_count;
    size_t *by_solo; /* the indexes of the hits, those of one solo together */
    struct found_solo *solos;
    size_t solo_count;
    struct find_shelf *shelf; /* NULL: all solos are held */
    struct find_query *asked; /* what the hits are filled by */
};

/* Answer QUERY in one read transaction of STORE, which lasts until a lean
 * answer is freed that does not hold all solos; so long what QUERY points to
 * is needed.  ST_OK also where nothing is
 * found; *OUT is empty after a failure.  ST_USAGE: rhythm asked of a fragment
 * without note values; else what the store says.  Release with
 * find_result_free(). */
enum status find_run(struct find_result *out, struct store *store,
                     const struct find_query *query, struct fault *why);
void find_result_free(struct find_result *result);

/* The solo INDEX of RESULT, loaded if need be; it stays at least until
 * FIND_HELD_MIN others have been asked for.  RESULT owns it.  On failure *OUT
 * is NULL. */
enum status find_solo(const struct solo **out, const struct find_result *result,
                      size_t index, struct fault *why);

/* The hit INDEX of RESULT, filled if need be, and its solo, which stays as
 * long as that of find_solo(). */
enum status find_hit(const struct hit **out, const struct solo **solo,
                     const struct find_result *result, size_t index,
                     struct fault *why);

/* What a place SHIFT semitones above QUERY's fragment is measured by, in SOLO
 * over its chord CHORD.  NAMED: the home chord is to be shown, not only to be
 * measured by.  OUT borrows from QUERY. */
void find_rank_question(struct rank_question *out,
                        const struct find_query *query,
                        const struct solo *solo, int shift, int32_t chord,
                        bool named);
/* The same in two parts: what is the same for every place, and the home chord
 * of a place over WRITTEN (NULL: no chord), named in the key of SOLO or, where
 * that is NULL, not named. */
void find_rank_base(struct rank_question *out, const struct find_query *query);
void find_rank_home(struct rank_question *out, const struct find_query *query,
                    const struct chord *written, int shift,
                    const struct solo *solo);

/* The one definition of a match, on the notes: does QUERY's fragment stand at
 * note FIRST of SOLO?  Checks pitches, rhythm and chord; not the filter. */
bool find_matches_at(const struct find_query *query, const struct solo *solo,
                     size_t first);

#endif
