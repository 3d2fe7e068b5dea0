/* query/cell_uses.h - all uses of one cell, by class and start degree, with
 * how the chord of each stands to the cell's home chord. */
#ifndef QUERY_CELL_USES_H
#define QUERY_CELL_USES_H

#include "query/asked_home.h"
#include "query/cells_detail.h"
#include "query/printer.h"

/* The uses over one class from one start. */
struct cell_use {
    uint32_t cell;                     /* of the result */
    char relation[RELATION_TEXT_SIZE]; /* relation_name(), or the title of one
                                          without a name; "" no home chord */
};

struct cell_uses {
    struct asked_home home;
    uint64_t total;         /* occurrences */
    struct cell_use *items; /* the most frequent first */
    size_t count, shown;    /* SHOWN have details */
    struct cell_detail *details;
    struct cell_detail together; /* of all uses */
};

/* Of the cells that PAGE holds.  Release with cell_uses_free() in any
 * case. */
enum status cell_uses_read(struct cell_uses *out, const struct cell_page *page,
                           struct fault *why);
void cell_uses_free(struct cell_uses *uses);

#endif
