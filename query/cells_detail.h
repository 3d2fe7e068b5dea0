/* query/cells_detail.h - how cells are used: keys, beats, rhythms, places in
 * the chorus, what comes before and after, the best examples.
 *
 * Worked out for the cells that are shown, from the solos that hold them.
 */
#ifndef QUERY_CELLS_DETAIL_H
#define QUERY_CELLS_DETAIL_H

#include "query/cells.h"
#include "query/example.h"
#include "query/tally.h"

enum {
    CELL_EXAMPLES = 3
};

/* What stands beside a cell in the line: nothing, or a note over no chord, the
 * cell's own chord, or another one, with its semitones above the root of the
 * chord it belongs to.  A value of a tally, as one number. */
struct cell_neighbour {
    enum cell_beside {
        BESIDE_NOTHING,
        BESIDE_NO_CHORD,
        BESIDE_SAME_CHORD,
        BESIDE_OTHER_CHORD
    } what;
    int above; /* 0..11 */
    int class; /* of that chord */
    int steps; /* 0..11, from the root of the cell's chord up to its */
};
void cell_neighbour_read(struct cell_neighbour *out, int64_t value);

struct cell_detail {
    uint64_t count;
    uint64_t keys[12];     /* by the root of the chord, C first, sounding */
    struct tally beats;    /* solo_beat(), ascending */
    struct tally rhythms;  /* quarters from note to note, and of the last its
                              length; the most frequent first */
    struct tally bars;     /* of the chorus; 0 for outside; ascending */
    struct tally sections; /* letters, see cell_section_text() */
    uint64_t opens_chorus, opens_section, starts_phrase, ends_phrase;
    struct tally before, after; /* struct cell_neighbour, most frequent first */
    /* The best uses, one a solo as far as there are so many solos: by their
     * score without a home chord (query/rank.h), then by path and note. */
    struct example examples[CELL_EXAMPLES];
    size_t example_count;
};

/* The letter of a section as a value of the tally; "" for none. */
enum {
    CELL_SECTION_SIZE = sizeof(int64_t) + 1
};
char *cell_section_text(char out[CELL_SECTION_SIZE], int64_t value);

/* Details of the COUNT CELLS (indexes into RESULT's), on SIDE, into OUT, an
 * item a cell; where TOGETHER, all of them into OUT[0].  They have one number
 * of notes where they go together.  The caller holds the read transaction.  OUT
 * is released with cells_detail_free(), also after a failure. */
enum status cells_detail(struct cell_detail *out,
                         const struct cells_result *result, struct store *store,
                         enum cells_side side, const uint32_t *cells,
                         size_t count, bool together, struct fault *why);
void cells_detail_free(struct cell_detail *details, size_t count);

/* How many of the cells in SIDE's order, from FROM on, are to be looked up at
 * once so that memory stays bounded; 0 at the end. */
size_t cells_batch(const struct cells_result *result, enum cells_side side,
                   size_t from);

#endif
