/* query/edits_wide.c - the edit distance at EDITS_WIDE first notes at once, for
 * a fragment that has one transposition, told by its first note.
 *
 * The same band as in edits_scan.c, but a cell is the least number of edits,
 * a byte for each of EDITS_WIDE neighbouring first notes: fewer steps a note
 * than flags for each number, as long as there is one transposition to try.
 * Where the processor has AVX2 a cell is one register; which it has is found
 * out while the program runs.
 */
#include <string.h>

#include "query/edits_parts.h"

typedef uint8_t wide __attribute__((vector_size(EDITS_WIDE)));

enum { NEVER = 64 /* more edits than there can be */ };

/* The cells after some note of the fragment: at[MIDDLE + S] where the place so
 * far is S notes longer, with one more on each side that is NEVER. */
enum { MIDDLE = EDITS_MAX + 1, CELLS = 2 * MIDDLE + 1 };
struct cells {
    wide at[CELLS];
};

#define INLINE static inline __attribute__((always_inline))

INLINE void load(wide *out, const uint8_t *notes)
{
    memcpy(out, notes, sizeof *out);
}

/* 255 where the notes at LINE are those that note K wants. */
INLINE void compare(wide *out, const uint8_t *line, const wide *pitch,
                    bool any, bool none)
{
    if (any || none) {
        memset(out, any ? 255 : 0, sizeof *out);
        return;
    }
    load(out, line);
    *out = (wide)(*out == *pitch);
}

INLINE void least(wide *a, const wide *b)
{
    wide less = (wide)(*b < *a);

    *a = (*a & ~less) | (*b & less);
}

/* From OLD, before note K of the fragment, to NEW, after it. */
INLINE void advance(struct cells *new, const struct cells *old,
                    const uint8_t *line, const wide *pitch, bool any,
                    bool none, int most)
{
    for (int s = MIDDLE - most; s <= MIDDLE + most; s++) {
        wide same, other;

        compare(&same, line + s - MIDDLE, pitch, any, none);
        /* Kept, or changed: 255 is one less. */
        new->at[s] = old->at[s] + 1 + same;
        other = old->at[s + 1] + 1; /* left out */
        least(&new->at[s], &other);
        other = new->at[s - 1] + 1; /* one inserted after it */
        least(&new->at[s], &other);
    }
}

/* What the note K of E wants where the first notes are FIRST. */
INLINE bool wanted(wide *out, const struct edits *e, size_t k,
                   const wide *first)
{
    int up = e->midi[k] - e->midi[0];

    if (e->any_octave)
        up = pitch_modulo(up, 12);
    /* Farther than the line has notes, so that the bytes do not wrap. */
    if (e->any[k] || up < -127 || up > 127)
        return false;
    *out = *first + (uint8_t)up;
    if (e->any_octave)
        *out -= (wide)(*out >= 12) & 12;
    return true;
}

/* The costs of the places at LINE in *OUT.  False where there is none. */
INLINE bool run(struct cells *out, const struct edits *e, const uint8_t *line,
                int most)
{
    struct cells other, *old = out, *new = &other;
    wide first, pitch = { 0 }, alive = { 0 };
    uint64_t words[EDITS_WIDE / sizeof(uint64_t)], all = 0;
    bool known;

    load(&first, line);
    for (int s = 0; s < CELLS; s++) {
        int cost = s >= MIDDLE && s <= MIDDLE + most ? s - MIDDLE : NEVER;

        memset(&out->at[s], cost, sizeof out->at[s]);
        memset(&other.at[s], NEVER, sizeof other.at[s]);
    }
    for (size_t k = 1; k + 1 < e->count; k++) {
        struct cells *swap = old;

        known = wanted(&pitch, e, k, &first);
        advance(new, old, line + k, &pitch, e->any[k], !known, most);
        old = new;
        new = swap;
    }
    known = wanted(&pitch, e, e->count - 1, &first);
    for (int s = MIDDLE - most; s <= MIDDLE + most; s++) {
        wide same;

        compare(&same, line + (e->count - 1) + s - MIDDLE, &pitch,
                e->any[e->count - 1], !known);
        out->at[s] = old->at[s] | ~same;
        alive |= (wide)(out->at[s] <= (uint8_t)most);
    }
    memcpy(words, &alive, sizeof words);
    for (size_t i = 0; i < sizeof words / sizeof *words; i++)
        all |= words[i];
    return all != 0;
}

static enum status add_wide(struct edits *e, const struct cells *cells,
                            size_t at, edits_accept accept, void *context,
                            struct fault *why)
{
    enum status st = ST_OK;

    for (size_t lane = 0; lane < EDITS_WIDE && st == ST_OK; lane++) {
        uint8_t costs[2 * EDITS_MAX + 1];
        uint8_t best = NEVER;

        for (int s = -e->most; s <= e->most; s++) {
            costs[EDITS_MAX + s] = cells->at[MIDDLE + s][lane];
            if (costs[EDITS_MAX + s] < best)
                best = costs[EDITS_MAX + s];
        }
        if (best <= e->most)
            st = edits_add(e, costs, at + lane, accept, context, why);
    }
    return st;
}

INLINE enum status scan(struct edits *e, edits_accept accept, void *context,
                        int most, struct fault *why)
{
    enum status st = ST_OK;

    for (size_t at = 0; at < e->line_count && st == ST_OK; at += EDITS_WIDE) {
        struct cells cells;

        if (run(&cells, e, e->line + EDITS_FRONT + at, most))
            st = add_wide(e, &cells, at, accept, context, why);
    }
    return st;
}

/* The loops over the band have fixed ends, which makes them fast. */
INLINE enum status scan_most(struct edits *e, edits_accept accept,
                             void *context, struct fault *why)
{
    switch (e->most) {
    case 0:
        return scan(e, accept, context, 0, why);
    case 1:
        return scan(e, accept, context, 1, why);
    case 2:
        return scan(e, accept, context, 2, why);
    default:
        return scan(e, accept, context, 3, why);
    }
}

#ifdef __x86_64__
__attribute__((target("avx2"))) static enum status
scan_avx2(struct edits *e, edits_accept accept, void *context,
          struct fault *why)
{
    return scan_most(e, accept, context, why);
}
#endif

static enum status scan_plain(struct edits *e, edits_accept accept,
                              void *context, struct fault *why)
{
    return scan_most(e, accept, context, why);
}

bool edits_wide_can(const struct edits *e)
{
    return e->group_count == 1 && e->groups[0].anchored && e->count > 1;
}

enum status edits_wide_scan(struct edits *e, edits_accept accept,
                            void *context, struct fault *why)
{
#ifdef __x86_64__
    if (__builtin_cpu_supports("avx2"))
        return scan_avx2(e, accept, context, why);
#endif
    return scan_plain(e, accept, context, why);
}
