/* query/print_text_hit.h - one hit as a row of text.
 *
 * A row holds texts alone: once it is made, its solo may go.
 */
#ifndef QUERY_PRINT_TEXT_HIT_H
#define QUERY_PRINT_TEXT_HIT_H

#include "query/printer.h"

/* Its notes, and with a chord their degrees, are parted by blanks. */
struct hit_row {
    const char *bar, *beat, *chord, *names, *degrees, *remark;
    const char *reason, *explanation; /* "" where there is none */
    size_t count;                     /* notes */
    char *texts;                      /* all of the above */
};

/* The row of the hit INDEX of PAGE.  What find_hit() says; ST_NOMEM.  Release
 * with hit_row_free(). */
enum status hit_row_make(struct hit_row *row, const struct find_page *page,
                         size_t index, struct fault *why);
void hit_row_free(struct hit_row *row);

/* The width of each column over the whole listing. */
struct hit_layout {
    int bar, beat, chord, names, degrees, remark;
    int cell;     /* of a note with its degree below */
    bool stacked; /* degrees below the notes */
};

/* Let LAYOUT, zeroed before the first row, have room for ROW. */
void hit_layout_add(struct hit_layout *layout, const struct hit_row *row);
/* After the last row: how all of them fit WIDTH columns. */
void hit_layout_settle(struct hit_layout *layout, int width);

void hit_row_put(const struct output *out, const struct hit_row *row,
                 const struct hit_layout *layout);

#endif
