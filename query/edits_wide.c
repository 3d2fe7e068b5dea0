/* query/edits_wide.c - the edit distance at EDITS_WIDE first notes at once, for
 * a fragment that has one transposition, told by its first note.
 *
 * The same band as in edits_scan.c, but a cell is a byte for each of EDITS_WIDE
 * neighbouring first notes, in which bit E says "reached with at most E edits":
 * one more edit moves the bits up, the better of two ways is an or.  Where the
 * processor has AVX2 a cell is one register; which it has is found out while
 * the program runs.
 *
 * First notes of which none can be one, for no piece of the fragment stands
 * there as it is, are passed over.
 */
#include <string.h>

/* The C library knows since the start what the processor has.  The compiler's
 * own test asks the processor once more at every start, and where that is a
 * virtual one each answer takes microseconds. */
#if defined __x86_64__ && __has_include(<sys/platform/x86.h>)
#include <sys/platform/x86.h>
#define HAS_AVX2 x86_cpu_active(x86_cpu_AVX2)
#elif defined __x86_64__
#define HAS_AVX2 __builtin_cpu_supports("avx2")
#endif

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
    wide reached; /* not 0: in the end, by some cell */
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
         shorter = cells->at[MIDDLE + s - 1], edit, same;

    compare(&same, line + s, want);
    /* Changed, left out, or one inserted; else kept. */
    edit = here | longer | shorter;
    cells->at[MIDDLE + s] = (edit + edit) | (here & same);
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
    (cells->at[MIDDLE + (s)] =                                                 \
         (s) < 0 ? nothing : nothing + (uint8_t)(REACHED << ((s) & 3)))
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

/* The pitches UP above FIRST. */
INLINE void pitch_above(wide *out, const wide *first, uint8_t up,
                        bool any_octave)
{
    *out = *first + up;
    if (any_octave)
        *out -= (wide)(*out >= 12) & 12;
}

/* What the note K of E wants where the first notes are FIRST. */
INLINE void want_note(struct want *out, const struct edits *e, size_t k,
                      const wide *first, bool any_octave)
{
    out->what = e->wants[k].what;
    pitch_above(&out->pitch, first, e->wants[k].up, any_octave);
}

INLINE bool any_set(const wide *flags)
{
    uint64_t words[EDITS_WIDE / sizeof(uint64_t)], all = 0;

    memcpy(words, flags, sizeof words);
    for (size_t i = 0; i < sizeof words / sizeof *words; i++)
        all |= words[i];
    return all != 0;
}

INLINE bool any_reached(struct cells *cells, int most)
{
    wide reached = { 0 };

#define REACH(s) (reached |= cells->at[MIDDLE + (s)])
    FOR_SHIFTS(most, REACH);
#undef REACH
    cells->reached = reached & (uint8_t)(1 << most);
    return any_set(&cells->reached);
}

/* ALL is left where the note I of PIECE stands as it is, after at most MOST
 * edits. */
INLINE void compare_known(struct cells *all, const struct edits_piece *piece,
                          size_t i, const uint8_t *line, const wide *first,
                          int most, bool any_octave)
{
    const uint8_t *at = line + piece->known[i].note;
    wide here, pitch;

    pitch_above(&pitch, first, piece->known[i].up, any_octave);
#define SAME(s)                                                                \
    (load(&here, at + (s)), all->at[MIDDLE + (s)] &= (wide)(here == pitch))
    FOR_SHIFTS(most, SAME);
#undef SAME
}

/* *MAY is 255 where PIECE stands as it is, after at most MOST edits. */
INLINE void compare_piece(wide *may, const struct edits_piece *piece,
                          const uint8_t *line, const wide *first, int most,
                          bool any_octave)
{
    struct cells all;

#define ALL(s) (all.at[MIDDLE + (s)] = ~(wide){ 0 })
    FOR_SHIFTS(most, ALL);
#undef ALL
    compare_known(&all, piece, 0, line, first, most, any_octave);
    compare_known(&all, piece, 1, line, first, most, any_octave);
    compare_known(&all, piece, 2, line, first, most, any_octave);
    compare_known(&all, piece, 3, line, first, most, any_octave);
#define MAY(s) (*may |= all.at[MIDDLE + (s)])
    FOR_SHIFTS(most, MAY);
#undef MAY
}

/* May any of the notes at LINE be the first of a place? */
INLINE bool may_start(const struct edits *e, const uint8_t *line, int most,
                      bool any_octave)
{
    wide first, may = { 0 };

    if (!e->pieced)
        return true;
    load(&first, line);
    compare_piece(&may, &e->pieces[0], line, &first, 0, any_octave);
    for (int i = 1; i <= most; i++)
        compare_piece(&may, &e->pieces[i], line, &first, most, any_octave);
    return any_set(&may);
}

/* Fill OUT for the places at LINE.  False where there is none. */
INLINE bool run(struct cells *out, const struct edits *e, const uint8_t *line,
                int most, bool any_octave)
{
    struct cells cells;
    struct want want;
    wide first;
    size_t last = e->count - 1;

    load(&first, line);
    start(&cells, most);
    for (size_t k = 1; k < last; k++) {
        want_note(&want, e, k, &first, any_octave);
        advance(&cells, line + k, &want, most);
        /* Without edits hardly a place gets far. */
        if (most == 0 && !any_reached(&cells, most))
            return false;
    }
    want_note(&want, e, last, &first, any_octave);
    finish(&cells, line + last, &want, most);
    if (!any_reached(&cells, most))
        return false;
    out->reached = cells.reached;
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

        if (!cells->reached[lane])
            continue;
        for (int s = -e->most; s <= e->most; s++)
            costs[EDITS_MAX + s] = cost_of(cells->at[MIDDLE + s][lane]);
        st = edits_add(e, costs, at + lane, accept, context, why);
    }
    return st;
}

INLINE enum status scan(struct edits *e, edits_accept accept, void *context,
                        int most, bool any_octave, struct fault *why)
{
    enum status st = ST_OK;

    for (size_t at = 0; at < e->line_count && st == ST_OK; at += EDITS_WIDE) {
        const uint8_t *line = e->line + EDITS_FRONT + at;
        struct cells cells;

        if (may_start(e, line, most, any_octave) &&
            run(&cells, e, line, most, any_octave))
            st = add_wide(e, &cells, at, accept, context, why);
    }
    return st;
}

/* What is the same for the whole line is known where it is compiled, which
 * makes it fast. */
INLINE enum status scan_most(struct edits *e, edits_accept accept,
                             void *context, bool any_octave,
                             struct fault *why)
{
    switch (e->most) {
    case 0:
        return scan(e, accept, context, 0, any_octave, why);
    case 1:
        return scan(e, accept, context, 1, any_octave, why);
    case 2:
        return scan(e, accept, context, 2, any_octave, why);
    default:
        return scan(e, accept, context, 3, any_octave, why);
    }
}

INLINE enum status scan_any(struct edits *e, edits_accept accept,
                            void *context, struct fault *why)
{
    return e->any_octave ? scan_most(e, accept, context, true, why)
                         : scan_most(e, accept, context, false, why);
}

#ifdef __x86_64__
__attribute__((target("avx2"))) static enum status
scan_avx2(struct edits *e, edits_accept accept, void *context,
          struct fault *why)
{
    return scan_any(e, accept, context, why);
}
#endif

static enum status scan_plain(struct edits *e, edits_accept accept,
                              void *context, struct fault *why)
{
    return scan_any(e, accept, context, why);
}

bool edits_wide_can(const struct edits *e)
{
    return e->group_count == 1 && e->groups[0].anchored && e->count > 1;
}

/* The first of COUNT notes that is in PIECE.  The first piece, which is looked
 * for in one place alone, is the longest where they cannot be equal. */
static size_t piece_begin(size_t piece, size_t pieces, size_t count)
{
    return (piece * count + pieces - 1) / pieces;
}

/* Divide the known notes but the first into pieces.  Of a long one the first
 * notes will do; of a short one the last is looked at twice. */
static void choose_pieces(struct edits *e)
{
    size_t known[FRAGMENT_NOTES_MAX], count = 0;
    size_t pieces = (size_t)e->most + 1;

    for (size_t k = 1; k < e->count; k++) {
        if (e->wants[k].what == WANT_NONE)
            return;
        if (e->wants[k].what == WANT_PITCH)
            known[count++] = k;
    }
    if (count / pieces < (e->most > 1 ? EDITS_PIECE : EDITS_PIECE - 1))
        return;
    for (size_t i = 0; i < pieces; i++)
        for (size_t n = 0; n < EDITS_PIECE; n++) {
            size_t at = piece_begin(i, pieces, count) + n;
            size_t last = piece_begin(i + 1, pieces, count) - 1;
            size_t note = known[at < last ? at : last];

            e->pieces[i].known[n].note = (uint8_t)note;
            e->pieces[i].known[n].up = e->wants[note].up;
        }
    e->pieced = true;
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
    choose_pieces(e);
}

enum status edits_wide_scan(struct edits *e, edits_accept accept,
                            void *context, struct fault *why)
{
#ifdef __x86_64__
    if (HAS_AVX2)
        return scan_avx2(e, accept, context, why);
#endif
    return scan_plain(e, accept, context, why);
}
