/* query/coverage.h - how much of a line is made of given cells.
 *
 * A cell is 3 to 7 notes by their intervals, and may be bound to a placement:
 * the class of the chord it stands over and the degree it starts on.  It
 * occurs at a note when the intervals from there are its own, and, where it
 * is bound, the chord of those notes (solo_window_chord()) has that class and
 * the first note lies so many semitones above its root.
 *
 * The cover of a passage is the choice of places, no two of which share a
 * note, that holds most notes; of several such, fewest places.  Of several
 * still, the one that at the first difference from the left has a cell rather
 * than none, then the longer cell, then the one that comes first in the list.
 *
 * What lies between is named by query/joins.h.
 */
#ifndef QUERY_COVERAGE_H
#define QUERY_COVERAGE_H

#include "query/cells.h"
#include "query/joins.h"

enum {
    COVERAGE_ANY = -1,
    COVERAGE_NO_CELL = -1
};

/* A cell to look for.  Class and start of its shape may be COVERAGE_ANY. */
struct coverage_cell {
    struct cell_shape shape;
    /* How it is called, note by note: "5", "b3".  Borrowed. */
    const char *degrees[CELLS_NOTES_MAX];
};

/* Does CELL occur at the note AT of SOLO? */
bool coverage_occurs(const struct coverage_cell *cell, const struct solo *solo,
                     size_t at);

/* Notes FIRST..LAST of the solo: a cell, or what joins two of them. */
struct coverage_span {
    size_t first, last;
    int32_t cell;   /* index into the cells asked for, or COVERAGE_NO_CELL */
    enum join what; /* of meaning without a cell */
    int64_t target; /* as in struct join_span */
};

struct coverage {
    size_t first, notes;         /* the passage */
    size_t covered;              /* notes of it that belong to a cell */
    size_t places;               /* cells in it */
    struct coverage_span *spans; /* every note once, in order; owned */
    size_t span_count;
};

/* Cover the COUNT notes of SOLO from FIRST with CELLS; a cell lies wholly
 * inside of them.  Exact; time grows with notes times cells.  ST_OK also
 * where nothing is covered, or ST_NOMEM.  Release with coverage_free(). */
enum status coverage_make(struct coverage *out, const struct solo *solo,
                          size_t first, size_t count,
                          const struct coverage_cell *cells, size_t cell_count,
                          struct fault *why);
void coverage_free(struct coverage *coverage);

/* The share of notes covered times SCALE, rounded to the nearest whole number;
 * 0 without notes. */
int64_t coverage_share(const struct coverage *coverage, int64_t scale);

/* How often each of the COUNT cells that were asked for stands in COVERAGE:
 * into USES, one a cell. */
void coverage_uses(size_t *uses, size_t count, const struct coverage *coverage);

/* The chord of a cell's place, NULL for none, and its degrees there into OUT
 * (one a note, borrowed constants; of no meaning without a chord). */
const struct chord_event *coverage_place(const char *out[CELLS_NOTES_MAX],
                                         const struct solo *solo,
                                         const struct coverage_span *span);

#endif
