/* query/cells_parts.h - the steps in which cells are found; private to cells.
 *
 * Reading puts every note into columns, sorting brings equal windows together,
 * folding says which cells stand inside longer ones.
 */
#ifndef QUERY_CELLS_PARTS_H
#define QUERY_CELLS_PARTS_H

#include "query/cells.h"

/* A window's place in the columns: its class and start in one byte. */
enum {
    CELLS_STARTS = 12,
    CELLS_NO_WINDOW = 255 /* runs over the end, has no chord, does not fit */
};
_Static_assert(CHORD_CLASSES *CELLS_STARTS <= CELLS_NO_WINDOW,
               "class and start fit a byte");

/* The notes of all solos, one after the other. */
struct cells_columns {
    uint8_t *midi;
    uint32_t *solo;
    /* Of the windows of each length from CELLS_NOTES_MIN on, by first note. */
    uint8_t *window[CELLS_LENGTHS];
    size_t count, room;
    uint32_t *starts; /* of each solo; and the end */
    size_t solo_count, solo_room;
    size_t side_end[CELLS_SIDES]; /* the first note after a side */
};

/* Read the solos of both sides into COLUMNS, and their lists and counts of
 * windows into RESULT. */
enum status cells_read(struct cells_columns *columns,
                       struct cells_result *result, struct store *store,
                       const struct cells_query *query, struct fault *why);
void cells_columns_free(struct cells_columns *columns);

/* A window: its key and its first note. */
struct cells_windows {
    uint64_t *key, *key_spare;
    uint32_t *place, *place_spare;
    size_t count;
};

/* The windows of NOTES notes in the order of their keys, equal ones by place.
 * ST_OK or ST_NOMEM; release with cells_windows_free() in any case. */
enum status cells_sort(struct cells_windows *out,
                       const struct cells_columns *columns, int notes,
                       struct fault *why);
void cells_windows_free(struct cells_windows *windows);

/* Does a cell pass the limits on SIDE? */
bool cells_pass(const struct cells_result *result,
                const struct cells_query *query, const struct cell *cell,
                enum cells_side side);

/* Fill INTO of every cell of RESULT on SIDE, and the lists of what is held. */
enum status cells_fold(struct cells_result *result,
                       const struct cells_query *query, enum cells_side side,
                       struct fault *why);

/* Put the cells of SIDE in order. */
enum status cells_rank(struct cells_result *result,
                       const struct cells_query *query, enum cells_side side,
                       struct fault *why);

#endif
