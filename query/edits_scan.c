/* query/edits_scan.c - the edit distance at EDITS_LANES first notes at once.
 *
 * The textbook dynamic programme, fragment note by fragment note, kept to the
 * band of notes that are at most MOST off the diagonal, as in Ukkonen
 * (Algorithms for approximate string matching, 1985; from memory).  A cell is
 * not a number but a set of flags, "reached with at most so many edits", as in
 * Wu and Manber (Fast text searching allowing errors, 1992; from memory).  A
 * flag is a byte of 255 or 0, and the same flag for EDITS_LANES neighbouring
 * first notes lies in one vector.
 */
#include <stdlib.h>
#include <string.h>

#include "query/edits_parts.h"
#include "schema/grow.h"

typedef uint8_t lanes __attribute__((vector_size(EDITS_LANES)));

enum {
    /* Shifts -EDITS_MAX..EDITS_MAX with one more on each side, always 0. */
    MIDDLE = EDITS_MAX + 1,
    WIDTH = 2 * MIDDLE + 1
};

/* After some note of the fragment: at[E][MIDDLE + S] has the lanes in which
 * the fragment so far, with at most E edits, fills the place so far, which is
 * S notes longer. */
struct band {
    lanes at[EDITS_MAX + 1][WIDTH];
};

static lanes load(const uint8_t *notes)
{
    lanes v;

    memcpy(&v, notes, sizeof v);
    return v;
}

static inline bool any_set(lanes v)
{
    uint64_t words[sizeof v / sizeof(uint64_t)], all = 0;

    memcpy(words, &v, sizeof v);
    for (size_t i = 0; i < sizeof words / sizeof *words; i++)
        all |= words[i];
    return all != 0;
}

static inline bool alive(const struct band *band, int most)
{
    lanes all = { 0 };

    for (int s = -most; s <= most; s++)
        all |= band->at[most][MIDDLE + s];
    return any_set(all);
}

/* Nothing is reached; levels up to MOST are all that is ever looked at. */
static inline void clear(struct band *band, int most)
{
    memset(band, 0, ((size_t)most + 1) * sizeof band->at[0]);
}

/* --- note by note -------------------------------------------------------- */

/* Where the transposition comes from: SOURCE is where note AT of the fragment
 * stands, NULL where no known note of the group is kept. */
struct key {
    const uint8_t *source;
    size_t at;
};

/* SAME[MIDDLE + S]: note K of the fragment is the line's note K + S, as seen
 * from LINE. */
static inline void compare(lanes same[WIDTH], const struct edits *e, size_t k,
                           struct key key, const uint8_t *line, int most)
{
    int up = e->midi[k] - e->midi[key.at];
    lanes pitch;

    if (e->any_octave)
        up = pitch_modulo(up, 12);
    /* Farther than the line has notes, so that the bytes do not wrap. */
    if (e->any[k] || !key.source || up < -127 || up > 127) {
        lanes all = { 0 };

        all = e->any[k] ? ~all : all;
        for (int s = -most; s <= most; s++)
            same[MIDDLE + s] = all;
        return;
    }
    pitch = load(key.source) + (uint8_t)up;
    if (e->any_octave)
        pitch -= (lanes)(pitch >= 12) & 12;
    for (int s = -most; s <= most; s++)
        same[MIDDLE + s] = (lanes)(load(line + (ptrdiff_t)k + s) == pitch);
}

/* From OLD, before a note of the fragment, to NEW, after it. */
static inline void advance(struct band *new, const struct band *old,
                           const lanes same[WIDTH], int most)
{
    new->at[0][MIDDLE] = old->at[0][MIDDLE] & same[MIDDLE];
    for (int n = 1; n <= most; n++)
        for (int s = MIDDLE - n; s <= MIDDLE + n; s++)
            new->at[n][s] = (old->at[n][s] & same[s]) | /* kept */
                            old->at[n - 1][s] |         /* changed */
                            old->at[n - 1][s + 1] |     /* left out */
                            new->at[n - 1][s - 1];      /* one inserted */
}

/* The last note is kept, and nothing follows it. */
static inline void finish(struct band *new, const struct band *old,
                          const lanes same[WIDTH], int most)
{
    for (int n = 0; n <= most; n++)
        for (int s = MIDDLE - n; s <= MIDDLE + n; s++)
            new->at[n][s] = old->at[n][s] & same[s];
}

/* See run_notes(). */
static inline __attribute__((always_inline)) bool run_most(
    struct band *band, const struct edits *e, const struct edits_group *group,
    struct key key, const uint8_t *line, int most)
{
    struct band other, *old = band, *new = &other;

    clear(new, most);
    for (size_t k = group->begin ? group->begin : 1; k < group->end; k++) {
        struct band *swap = old;
        lanes same[WIDTH];

        compare(same, e, k, key, line, most);
        if (k + 1 < e->count)
            advance(new, old, same, most);
        else
            finish(new, old, same, most);
        old = new;
        new = swap;
        if (!alive(old, most))
            return false;
    }
    if (old != band)
        *band = *old;
    return true;
}

/* The notes of GROUP in KEY.  False where no lane can be reached any more;
 * BAND is of no meaning then.  The loops over the band have fixed ends in
 * run_most(), which makes them fast. */
static bool run_notes(struct band *band, const struct edits *e,
                      const struct edits_group *group, struct key key,
                      const uint8_t *line)
{
    switch (e->most) {
    case 0:
        return run_most(band, e, group, key, line, 0);
    case 1:
        return run_most(band, e, group, key, line, 1);
    case 2:
        return run_most(band, e, group, key, line, 2);
    default:
        return run_most(band, e, group, key, line, 3);
    }
}

static void add_band(struct band *to, const struct band *more, int most)
{
    for (int n = 0; n <= most; n++)
        for (int s = MIDDLE - n; s <= MIDDLE + n; s++)
            to->at[n][s] |= more->at[n][s];
}

/* The notes of GROUP in all transpositions that may do. */
static bool run_group(struct band *band, const struct edits *e,
                      const struct edits_group *group, const uint8_t *line)
{
    struct band base, all = { 0 };
    struct key key = { line, 0 };
    bool reached = false;

    if (group->anchored)
        return run_notes(band, e, group, key, line);
    base = *band;
    for (size_t i = 0; i < group->source_count; i++)
        for (int s = -e->most; s <= e->most; s++) {
            key.at = group->sources[i];
            key.source = line + (ptrdiff_t)key.at + s;
            *band = base;
            if (!run_notes(band, e, group, key, line))
                continue;
            add_band(&all, band, e->most);
            reached = true;
        }
    key.source = NULL;
    *band = base;
    if (group->may_vanish && run_notes(band, e, group, key, line)) {
        add_band(&all, band, e->most);
        reached = true;
    }
    *band = all;
    return reached;
}

/* --- the places ---------------------------------------------------------- */

static enum status add_place(struct edits *e, size_t first, size_t last,
                             int edits, struct fault *why)
{
    struct edits_place *more =
        grow_room(e->places, e->place_count, &e->place_room, sizeof *more);

    if (!more)
        return fault_nomem(why);
    e->places = more;
    e->places[e->place_count++] = (struct edits_place){
        .first = (uint32_t)first,
        .last = (uint32_t)last,
        .edits = (uint8_t)edits,
    };
    return ST_OK;
}

/* Of the places with one first note, one that holds a place as good or better
 * can never be taken before it, nor beside it. */
enum status edits_add(struct edits *e, const uint8_t costs[2 * EDITS_MAX + 1],
                      size_t first, edits_accept accept, void *context,
                      struct fault *why)
{
    int best = e->most + 1;
    enum status st = ST_OK;

    for (int s = -e->most; s <= e->most && st == ST_OK; s++) {
        size_t last = first + e->count - 1;
        int edits = costs[EDITS_MAX + s];

        /* The places are at least two notes long. */
        last = s < 0 ? last - (size_t)-s : last + (size_t)s;
        if (edits >= best || last >= e->line_count ||
            (accept && !accept(context, first, last)))
            continue;
        st = add_place(e, first, last, edits, why);
        best = edits;
    }
    return st;
}

/* The places that start in LANE, at note FIRST. */
static enum status add_lane(struct edits *e, const struct band *band,
                            size_t lane, size_t first, edits_accept accept,
                            void *context, struct fault *why)
{
    uint8_t costs[2 * EDITS_MAX + 1];

    for (int s = -e->most; s <= e->most; s++) {
        uint8_t edits = 0;

        while (edits <= e->most && !band->at[edits][MIDDLE + s][lane])
            edits++;
        costs[EDITS_MAX + s] = edits;
    }
    return edits_add(e, costs, first, accept, context, why);
}

enum status edits_scan(struct edits *e, edits_accept accept, void *context,
                       struct fault *why)
{
    struct band band;
    enum status st = ST_OK;

    if (edits_wide_can(e))
        return edits_wide_scan(e, accept, context, why);
    for (size_t at = 0; at < e->line_count; at += EDITS_LANES) {
        const uint8_t *line = e->line + EDITS_FRONT + at;
        bool reached = true;

        /* Note 0 stands; up to so many may be inserted after it. */
        memset(&band, 0, sizeof band);
        for (int n = 0; n <= e->most; n++)
            memset(&band.at[n][MIDDLE], 255, ((size_t)n + 1) * EDITS_LANES);
        for (size_t g = 0; g < e->group_count && reached; g++)
            reached = run_group(&band, e, &e->groups[g], line);
        for (size_t i = 0; reached && i < EDITS_LANES && st == ST_OK; i++)
            st = add_lane(e, &band, i, at + i, accept, context, why);
        if (st != ST_OK)
            return st;
    }
    return ST_OK;
}
