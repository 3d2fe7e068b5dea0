/* query/cells_parts.h - the steps in which cells are found; private to cells.
 *
 * Reading puts every note into columns, counting brings equal windows
 * together, folding says which cells stand inside longer ones.
 */
#ifndef QUERY_CELLS_PARTS_H
#define QUERY_CELLS_PARTS_H

#include "query/cells.h"

/* A window's place in the columns: its class and start in one byte. */
enum {
    CELLS_STARTS = 12,
    CELLS_WINDOWS = CHORD_CLASSES * CELLS_STARTS,
    CELLS_NO_WINDOW = 255 /* runs over the end, has no chord, does not fit */
};
_Static_assert(CELLS_WINDOWS <= CELLS_NO_WINDOW, "class and start fit a byte");

/* A step in the columns: semitones to the next note, in one byte that keeps
 * their order. */
enum {
    CELLS_STEP_ZERO = 128,
    CELLS_NO_STEP = 0, /* the last note of a solo */
    CELLS_MARGIN = 16  /* bytes of CELLS_NO_STEP before and after all */
};

/* In a key, from its lowest bit: the steps as bytes, the last of the longest
 * cell lowest, so that shorter cells leave the lowest bytes 0; class and
 * start; the number of notes. */
enum {
    CELLS_STEP_BITS = 8,
    CELLS_WINDOW_AT = 48,
    CELLS_NOTES_AT = 56
};

/* Solos fit 24 bits. */
enum {
    CELLS_SOLOS_MAX = 1 << 24
};

/* The notes of all solos, one after the other. */
struct cells_columns {
    uint8_t *midi;
    uint32_t *solo;
    /* Of the windows of each length from CELLS_NOTES_MIN on, by first note. */
    uint8_t *window[CELLS_LENGTHS];
    uint8_t *step; /* with its margins; NULL until all is read */
    /* What else strands say of the solos that were not loaded, while the
     * windows are to be made of it. */
    uint8_t *place, *tones, *mark;
    bool *by_strands; /* of each solo: was it not loaded? */
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

/* Can strands tell whether windows fit QUERY? */
bool cells_strands_tell(const struct cells_query *query);
/* Make the windows of the solos from FIRST on that were not loaded. */
enum status cells_make_windows(struct cells_columns *columns,
                               struct cells_side_result *side,
                               const struct cells_query *query, size_t first,
                               struct fault *why);

/* Are the steps of the notes from MIDI on those that were asked? */
bool cells_steps_fit(const struct cells_query *query, const uint8_t *midi);

/* A note with the windows that start there and the steps that follow the
 * first two. */
struct cells_note {
    uint32_t place, solo : 24;
    uint8_t window[CELLS_LENGTHS];
    uint8_t step[CELLS_STEPS_MAX - 2];
};

/* Cells that were found in one go. */
struct cells_found {
    struct cell *cells;
    size_t count, room;
    /* How many of each length and window. */
    uint32_t counts[CELLS_LENGTHS][CELLS_WINDOWS];
    uint64_t rare[CELLS_SIDES]; /* that did not pass */
};

/* What it takes to find them. */
struct cells_grouping {
    const struct cells_query *query;
    const struct cells_result *result; /* the limits of its sides */
    uint32_t versus_start;             /* the first note of the other side */
    struct cells_found *found;
    uint32_t *places; /* of the result; those from PLACE_COUNT on are free */
    size_t place_count;
    /* Room for the largest group: its notes, and the places and solos of the
     * windows that are equal. */
    struct cells_note *spare;
    uint32_t *place, *solo;
    enum status status; /* of what went wrong; it sticks */
    struct fault *why;
};

/* Find the cells that start with the COUNT notes at NOTES, which stand in the
 * order of their places and start with the same two steps: PAIR, the first
 * step in its higher byte.  NOTES are put in another order. */
void cells_group(struct cells_grouping *g, struct cells_note *notes,
                 size_t count, unsigned pair);

/* Find all cells, with their places, and what is rare.  RESULT has the limits
 * of its sides. */
enum status cells_count(struct cells_result *result,
                        const struct cells_columns *columns,
                        const struct cells_query *query, struct fault *why);

/* Does a cell pass the limits on SIDE? */
bool cells_pass(const struct cells_result *result,
                const struct cells_query *query, const struct cell *cell,
                enum cells_side side);

/* Fill INTO of every cell of RESULT on SIDE, and the lists of what is held. */
enum status cells_fold(struct cells_result *result,
                       const struct cells_columns *columns,
                       const struct cells_query *query, enum cells_side side,
                       struct fault *why);

/* Put the cells of SIDE in order. */
enum status cells_rank(struct cells_result *result,
                       const struct cells_query *query, enum cells_side side,
                       struct fault *why);

#endif
