/* query/coverage_cells.h - which cells a line is to be covered with.
 *
 * Without a bank, the commonest cells of the library.  A solo is not covered
 * with what it says itself, so they are those of all other solos: cells as
 * query/cells.h finds and folds them, used CELLS_MIN_COUNT times or more in
 * CELLS_MIN_SOLOS solos or more, not counting the solo that is covered.  (What
 * a cell is folded into is decided with it.)  The most used come first; among
 * equals the longer, then by class, start and intervals.
 */
#ifndef QUERY_COVERAGE_CELLS_H
#define QUERY_COVERAGE_CELLS_H

#include "query/coverage.h"
#include "schema/notebook_bank.h"
#include "schema/options.h"

struct coverage_cells {
    struct coverage_cell *items; /* owned */
    size_t count, room;
};

/* Add the cell of SHAPE, whose class and start may be COVERAGE_ANY; one that
 * is there already is not added.  ST_NOMEM. */
enum status coverage_cells_add(struct coverage_cells *cells,
                               const struct cell_shape *shape,
                               struct fault *why);

/* Add the fragments TEXTS as cells, bound to the chord and the degree they
 * start on where OVER (NULL: any chord) or they themselves say them.  ST_USAGE
 * where one is no cell: fewer than 3 or more than 7 notes, `?`, note values,
 * several chords or a roman numeral.  ST_SYNTAX, WHY saying which. */
enum status coverage_cells_read(struct coverage_cells *cells,
                                const struct option_list *texts,
                                const char *over, struct fault *why);

/* Add the cells of the bank NAME in the notebook of LIBRARY, each over the
 * class of chord and from the degree that it was kept with, if it was; FOUND
 * receives the name as it is kept.  ST_NOTHING where there is no such bank,
 * else what the notebook says. */
enum status coverage_cells_bank(struct coverage_cells *cells,
                                const char *library, const char *name,
                                char found[BANK_NAME_SIZE], struct fault *why);

/* Add the LIMIT (0: all) commonest cells of NOTES_MIN..NOTES_MAX notes of the
 * solos that pass FILTER but the one with the identity SOLO in the index.  The
 * caller holds a read transaction of STORE.  ST_OK also where there are none.
 */
enum status coverage_cells_common(struct coverage_cells *cells,
                                  struct store *store,
                                  const struct filter *filter, int64_t solo,
                                  int notes_min, int notes_max, size_t limit,
                                  struct fault *why);

void coverage_cells_free(struct coverage_cells *cells);

#endif
