/* query/edits_wide.c - the edit distance at EDITS_WIDE first notes at once, for
 * a fragment that has one transposition, told by its first note.
 *
 * The same band as in edits_scan.c, but a cell is a byte for each of EDITS_WIDE
 * neighbouring first notes, in which bit E says "reached with at most E edits":
 * one more edit moves the bits up, the better of two ways is an or.  Where the
 * processor has AVX2 a cell is one register; which it has is found out while
 * the program runs.
 */
#include <string.h>

#include "query/edits_parts.h"

typedef uint8_t wide __attribute__((vector_size(EDITS_WIDE)));

enum {
    /* The cell of places that are as long as the fragment; the one of those S
     * notes longer is S behind it.  One more on each side is never reached. */
    MIDDLE = EDITS_MAX + 1,
    CELLS = 2 * MIDDLE + 1,
    REACHED = 255 /* without an edit, and so with any number */
};

struct cells {
    wide at[CELLS];
};

#define INLINE static inline __attribute__((always_inline))

INLINE void load(wide *out, const uint8_t *notes)
{
    memcpy(out, notes, sizeof *out);
}

/* What a note of the fragment wants of the line, lane by lane. */
struct want {
    enum edits_want_what what;
    wide pitch;
};

/* *OUT is 255 where the notes at LINE are as wanted. */
INLINE void compare(wide *out, const uint8_t *line, const struct want *want)
{
    if (want->what != WANT_PITCH) {
        memset(out, want->what == WANT_ANY ? 255 : 0, sizeof *out);
        return;
    }
    load(out, line);
    *out = (wide)(*out == want->pitch);
}

/* The cell at S from before a note of the fragment to after it; the cells
 * before S are after it already, those behind it are not. */
INLINE void step(struct cells *cells, int s, const uint8_t *line,
                 const struct want *want)
{
    wide here = cells->at[MIDDLE + s], longer = cells->at[MIDDLE + s + 1],
         shorter = cells->at[MIDDLE + s - 1], same;

    compare(&same, line + s, want);
    cells->at[MIDDLE + s] = (here & same) |      /* kept */
                            (here + here) |      /* changed */
                            (longer + longer) |  /* left out */
                            (shorter + shorter); /* one inserted */
}

/* DO(S) for the shifts S that MOST edits can make, in order.  Written out, so
 * that the cells need not lie in memory. */
#define FOR_SHIFTS(most, DO)                                                   \
    do {                                                                       \
        if ((most) >= 3)                                                       \
            DO(-3);                                                            \
        if ((most) >= 2)                                                       \
            DO(-2);                                                            \
        if ((most) >= 1)                                                       \
            DO(-1);                                                            \
        DO(0);                                                                 \
        if ((most) >= 1)                                                       \
            DO(1);                                                             \
        if ((most) >= 2)                                                       \
            DO(2);                                                             \
        if ((most) >= 3)                                                       \
            DO(3);                                                             \
    } while (0)

/* Before the second note: up to MOST may be inserted after the first. */
INLINE void start(struct cells *cells, int most)
{
    const wide nothing = { 0 };

#define START(s)                                                               \
    cells->at[MIDDLE + (s)] =                                                  \
        (s) < 0 ? nothing : nothing + (uint8_t)(REACHED << ((s) & 3))
    FOR_SHIFTS(most, START);
#undef START
    cells->at[MIDDLE - most - 1] = cells->at[MIDDLE + most + 1] = nothing;
}

INLINE void advance(struct cells *cells, const uint8_t *line,
                    const struct want *want, int most)
{
#define STEP(s) step(cells, s, line, want)
    FOR_SHIFTS(most, STEP);
#undef STEP
}

/* The last note is kept, and nothing follows it. */
INLINE void finish(struct cells *cells, const uint8_t *line,
                   const struct want *want, int most)
{
    wide same;

#define FINISH(s)                                                              \
    (compare(&same, line + (s), want), cells->at[MIDDLE + (s)] &= same)
    FOR_SHIFTS(most, FINISH);
#undef FINISH
}

/* What the note K of E wants where the first notes are FIRST. */
INLINE void want_note(struct want *out, const struct edits *e, size_t k,
                      const wide *first)
{
    out->what = e->wants[k].what;
    out->pitch = *first + e->wants[k].up;
    if (e->any_octave)
        out->pitch -= (wide)(out->pitch >= 12) & 12;
}

INLINE bool any_set(const wide *flags)
{
    uint64_t words[EDITS_WIDE / sizeof(uint64_t)], all = 0;

    memcpy(words, flags, sizeof words);
    for (size_t i = 0; i < sizeof words / sizeof *words; i++)
        all |= words[i];
    return all != 0;
}

INLINE bool any_reached(const struct cells *cells, int most)
{
    wide reached = { 0 };

#define REACH(s) (reached |= cells->at[MIDDLE + (s)])
    FOR_SHIFTS(most, REACH);
#undef REACH
    reached &= (uint8_t)(1 << most);
    return any_set(&reached);
}

/* Fill OUT for the places at LINE.  False where there is none. */
INLINE bool run(struct cells *out, const struct edits *e, const uint8_t *line,
                int most)
{
    struct cells cells;
    struct want want;
    wide first;
    size_t last = e->count - 1;

    load(&first, line);
    start(&cells, most);
    for (size_t k = 1; k < last; k++) {
        want_note(&want, e, k, &first);
        advance(&cells, line + k, &want, most);
        /* Without edits hardly a place gets far. */
        if (most == 0 && !any_reached(&cells, most))
            return false;
    }
    want_note(&want, e, last, &first);
    finish(&cells, line + last, &want, most);
    if (!any_reached(&cells, most))
        return false;
#define COPY(s) (out->at[MIDDLE + (s)] = cells.at[MIDDLE + (s)])
    FOR_SHIFTS(most, COPY);
#undef COPY
    return true;
}

/* The least number of edits that a byte of a cell says. */
static uint8_t cost_of(uint8_t bits)
{
    return bits ? (uint8_t)__builtin_ctz(bits) : EDITS_MAX + 1;
}

static enum status add_wide(struct edits *e, const struct cells *cells,
                            size_t at, edits_accept accept, void *context,
                            struct fault *why)
{
    enum status st = ST_OK;

    for (size_t lane = 0; lane < EDITS_WIDE && st == ST_OK; lane++) {
        uint8_t costs[2 * EDITS_MAX + 1];
        uint8_t best = EDITS_MAX + 1;

        for (int s = -e->most; s <= e->most; s++) {
            costs[EDITS_MAX + s] = cost_of(cells->at[MIDDLE + s][lane]);
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

void edits_wide_prepare(struct edits *e)
{
    for (size_t k = 0; k < e->count; k++) {
        int up = e->midi[k] - e->midi[0];

        if (e->any_octave)
            up = pitch_modulo(up, 12);
        e->wants[k].what = WANT_PITCH;
        if (e->any[k])
            e->wants[k].what = WANT_ANY;
        else if (up < -127 || up > 127) /* the bytes would wrap */
            e->wants[k].what = WANT_NONE;
        e->wants[k].up = (uint8_t)up;
    }
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
