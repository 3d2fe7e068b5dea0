/* query/cells.h - recurring cells of 3 to 7 notes with their placement.
 *
 * A cell is a sequence of intervals between neighbours in the line, the class
 * of the chord under it, and the semitones 0..11 from the root of that chord
 * up to its first note.  The chord is solo_window_chord(), so anticipation is
 * applied; windows over no chord or N.C. are left out and counted.  Every
 * occurrence counts, overlapping ones too.  Rests between the notes do not
 * matter, unless the place asked says within a phrase.
 *
 * A cell has one spelling: its degrees are those over the plainest chord of
 * its class (m7 for minor, see home_move()), whatever the chords of its uses
 * have in addition.
 *
 * Folding.  A cell S is folded into a longer cell T when at least nine tenths
 * of the occurrences of S lie inside occurrences of T, both being cells that
 * pass the limits (length, count, solos) of the question.  An occurrence lies
 * inside another of the same solo when all its notes belong to it; T may have
 * S anywhere, more than once, and under another chord.  Of several such T the
 * longest takes it, then the one that holds most of its occurrences, then the
 * most frequent, then the first by class, start and intervals.  T may itself
 * be folded; a cell is shown when it is folded into none.  (Patterns that no
 * longer one replaces are called closed in the literature; the share is our own
 * choice.)
 *
 * Order: by count, by spread (solos, then keys) or by the mark a cell sets
 * (distinct); among equals more occurrences first, then longer cells, then
 * by class (as enum chord_class), start, and intervals, the first that
 * differs, downward ones first.
 *
 * Distinct.  With another selection of solos to compare with, each cell has
 * the log-likelihood ratio G2 = 2 sum O ln(O/E) of Dunning, "Accurate Methods
 * for the Statistics of Surprise and Coincidence", Computational Linguistics
 * 19 (1993), on the table of its occurrences and of all other windows of the
 * same length, in both selections; negative where the cell is rarer here.  It
 * is rounded to thousandths before anything is ordered by it.
 */
#ifndef QUERY_CELLS_H
#define QUERY_CELLS_H

#include "query/fragment.h"
#include "query/place.h"
#include "query/scan.h"
#include "schema/store.h"

enum {
    CELLS_NOTES_MIN = 3,
    CELLS_NOTES_MAX = 7,
    CELLS_STEPS_MAX = CELLS_NOTES_MAX - 1,
    CELLS_LENGTHS = CELLS_NOTES_MAX - CELLS_NOTES_MIN + 1,
    /* Tenths of the occurrences that must lie inside a longer cell. */
    CELLS_FOLD_TENTHS = 9,
    /* Defaults of the limits: what comes back now and then, in more than one
     * solo. */
    CELLS_MIN_COUNT = 3,
    CELLS_MIN_SOLOS = 2
};

/* The solos asked about, and those they are compared with. */
enum cells_side {
    CELLS_OWN,
    CELLS_VERSUS,
    CELLS_SIDES
};

enum cells_order {
    CELLS_BY_COUNT,
    CELLS_BY_SPREAD,
    CELLS_BY_DISTINCT
};

struct cells_query {
    struct filter filter;
    bool compare; /* with the solos of VERSUS, or with all others */
    bool versus_others;
    struct filter versus;
    struct place place;       /* of the first and last note of an occurrence */
    struct over over;         /* the chord under it; count 0 or 1 */
    struct over into;         /* the next chord; count 0 or 1 */
    int notes_min, notes_max; /* CELLS_NOTES_MIN..CELLS_NOTES_MAX */
    uint32_t min_count;
    uint32_t min_solos; /* 0: CELLS_MIN_SOLOS, of a side of one solo 1 */
    /* Only these intervals, the STEPS_NOTES - 1 of a cell of so many notes; 0:
     * any.  NOTES_MIN and NOTES_MAX are then the same. */
    int steps[CELLS_STEPS_MAX], steps_notes;
    bool fold;
    enum cells_order by; /* CELLS_BY_DISTINCT only where COMPARE */
    size_t limit;        /* cells in order; 0: all */
    int threads;         /* as tasks_run() has them; 0: as many as suit */
};

enum {
    CELLS_NOT_FOLDED = -1
};

/* A cell; what it is stands in KEY (cell_shape()). */
struct cell {
    uint64_t key;
    /* Its occurrences are places[begin ..], those of the solos asked first. */
    uint32_t begin;
    uint32_t count[CELLS_SIDES], solos[CELLS_SIDES];
    /* Of each side: the index of the cell it is folded into; or
     * CELLS_NOT_FOLDED, also where it does not pass the limits there. */
    int32_t into[CELLS_SIDES];
};

struct cell_shape {
    int notes;                  /* CELLS_NOTES_MIN..CELLS_NOTES_MAX */
    int steps[CELLS_STEPS_MAX]; /* semitones to the next note, notes - 1 */
    int class;                  /* enum chord_class */
    int start;                  /* 0..11 above the root */
};

/* The answer of one side. */
struct cells_side_result {
    struct solo_list solos; /* looked through, in path order */
    /* Windows over a chord that fit the question, by their number of notes:
     * what shares are counted in.  And those that were left out because no
     * chord is under them. */
    uint64_t windows[CELLS_NOTES_MAX + 1], chordless;
    uint32_t min_solos; /* that a cell had to be in */
    /* Different cells that did not pass the limits of count and solos. */
    uint64_t rare;
    uint64_t folded; /* cells folded into others */
    uint64_t total;  /* cells that passed and are not folded */
    /* The first of these, up to the limit, as indexes into cells. */
    uint32_t *order;
    size_t shown;
    /* What was folded, as lists: the first cell that went into each cell that
     * is shown, and after each the next one; longer first; -1 at the end.
     * NULL where nothing is folded. */
    int32_t *holds, *next_held;
};

struct cells_result {
    /* All that pass the limits on one side at least, folded or not, by their
     * keys: shorter first. */
    struct cell *cells;
    size_t count;
    uint32_t *places; /* first notes of occurrences, see cells_place() */
    struct cells_side_result sides[CELLS_SIDES];
    /* Every note looked at, solo by solo: what the places count in. */
    uint8_t *midi;
    uint32_t *solo;   /* of each note; those of VERSUS count on from OWN */
    uint32_t *starts; /* of each solo, its first note; and the end */
    size_t notes;
    int threads; /* of the query */
};

/* Answer QUERY in one read transaction of STORE, begun by the caller.  ST_OK
 * also where no cell is found.  *OUT is empty after a failure; release with
 * cells_free() in any case. */
enum status cells_run(struct cells_result *out, struct store *store,
                      const struct cells_query *query, struct fault *why);
void cells_free(struct cells_result *result);

void cell_shape(struct cell_shape *out, const struct cell *cell);
/* The key of the N notes that follow in STEPS; as struct cell has it. */
uint64_t cell_key(int notes, const int *steps, int class, int start);

/* The occurrences of CELL on SIDE, ascending; *COUNT receives how many.
 * Borrowed. */
const uint32_t *cell_places(const struct cells_result *result,
                            const struct cell *cell, enum cells_side side,
                            size_t *count);
/* The solo of PLACE as an index into the list of its side, and the note. */
void cells_place(const struct cells_result *result, uint32_t place,
                 enum cells_side *side, size_t *solo, uint32_t *first);

/* The pitch class of the root of the chord under an occurrence. */
int cell_root(const struct cells_result *result, const struct cell_shape *shape,
              uint32_t place);

/* The plainest chord of CLASS, on C: what degrees of cells are named by.
 * Borrowed: a constant made on the first call. */
const struct chord *cell_chord(int class);
/* The degrees of the notes of SHAPE in its one spelling: borrowed constants
 * into OUT (as many as it has notes). */
void cell_degrees(const char **out, const struct cell_shape *shape);

/* The signed log-likelihood ratio in thousandths: COUNT of WINDOWS here
 * against OTHER_COUNT of OTHER_WINDOWS; 0 where one side has no windows. */
int64_t cells_likelihood(uint64_t count, uint64_t windows, uint64_t other_count,
                         uint64_t other_windows);
/* The same of CELL, seen from the solos asked. */
int64_t cell_distinct(const struct cells_result *result,
                      const struct cell *cell);

/* How many solos stand on both sides, and so count on each. */
size_t cells_on_both_sides(const struct cells_result *result);

#endif
