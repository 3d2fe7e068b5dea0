/* schema/notebook_cell.h - cells as rows; private to notebook_*.c. */
#ifndef SCHEMA_NOTEBOOK_CELL_H
#define SCHEMA_NOTEBOOK_CELL_H

#include "schema/notebook_bank.h"
#include "schema/notebook_internal.h"

/* Columns of a cell, in the order in which they are bound and read. */
#define CELL_COLUMNS "intervals, class, start, degrees, over_chord"

enum {
    CELL_COLUMN_COUNT = 5,
    CELL_INTERVALS_SIZE = 5 * CELL_STEPS_MAX + 1
};

/* What tells cells apart, as bound: the first three columns. */
struct cell_key {
    char intervals[CELL_INTERVALS_SIZE];
};

/* Bind the first three columns; the texts of KEY are borrowed. */
void with_cell_key(struct asked *a, struct cell_key *key,
                   const struct placed_cell *cell);
/* Bind all five. */
void with_cell(struct asked *a, struct cell_key *key,
               const struct placed_cell *cell);

/* Read the columns from COLUMN on.  ST_LIBRARY where they are no cell. */
enum status cell_at(const struct notebook *n, sqlite3_stmt *stmt, int column,
                    struct placed_cell *out, struct fault *why);

#endif
