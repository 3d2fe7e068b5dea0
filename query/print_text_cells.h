/* query/print_text_cells.h - lines that the listing of cells and the page of
 * one share; private to the text writer. */
#ifndef QUERY_PRINT_TEXT_CELLS_H
#define QUERY_PRINT_TEXT_CELLS_H

#include "query/cells_words.h"
#include "query/print_text.h"

/* "    NAME VALUE", wrapped; nothing where VALUE is "". */
void text_cell_line(const struct output *out, const char *name,
                    const char *value);
/* The examples of D, from the solos of LIST, in such a line. */
void text_cell_examples(const struct output *out, const char *name,
                        const struct cell_detail *d,
                        const struct solo_list *list);

#endif
