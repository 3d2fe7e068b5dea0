/* query/print_text.h - the parts of the text writer; private to it. */
#ifndef QUERY_PRINT_TEXT_H
#define QUERY_PRINT_TEXT_H

#include "query/printer.h"

enum status text_solos(const struct output *out, const struct solo_list *list,
                       struct fault *why);
enum status text_solo(const struct output *out, const struct solo_page *page,
                      struct fault *why);
enum status text_form(const struct output *out, const struct form_page *page,
                      struct fault *why);
enum status text_coverage(const struct output *out,
                          const struct coverage_page *page,
                          struct fault *why);
enum status text_find(const struct output *out, const struct find_page *page,
                      struct fault *why);
enum status text_openings(const struct output *out,
                          const struct openings_page *page, struct fault *why);
enum status text_openings_library(const struct output *out,
                                  const struct openings_library_page *page,
                                  struct fault *why);
enum status text_bank(const struct output *out, const struct bank_page *page,
                      struct fault *why);
enum status text_banks(const struct output *out, const struct bank_list *list,
                       struct fault *why);
enum status text_study(const struct output *out, const struct study_page *page,
                       struct fault *why);
enum status text_study_lists(const struct output *out,
                             const struct study_lists *lists,
                             struct fault *why);

enum status text_tension(const struct output *out,
                         const struct tension_page *page, struct fault *why);
enum status text_cells(const struct output *out, const struct cells_page *page,
                       struct fault *why);
enum status text_cell(const struct output *out, const struct cell_page *page,
                      struct fault *why);

enum status text_check(const struct output *out, const struct check_page *page,
                       struct fault *why);

/* The chord grid of SOLO, as musicians read it.  ST_NOMEM. */
enum status text_grid(const struct output *out, const struct solo *solo,
                      struct fault *why);

/* In a grid a line starts anew where a reader could not count on from the bar
 * number before it: after a pickup, where the numbers jump, and at a rehearsal
 * mark. */
bool text_breaks_line(const struct solo *solo, size_t bar);
/* A rehearsal mark on a line of its own: "[A]". */
void text_mark(const struct output *out, const char *mark);

/* What the notes of the passage are, bar by bar.  NUMBERS gives the number of
 * each cell in the list below it.  ST_NOMEM. */
enum status text_coverage_bars(const struct output *out,
                               const struct coverage_page *page,
                               const size_t *numbers, struct fault *why);

/* Colour is a help, never a meaning: every line reads the same without. */
enum paint {
    PAINT_NONE,
    PAINT_HEADING,
    PAINT_NOTES
};
void text_paint(const struct output *out, enum paint paint);

/* An empty line, then "Performer · Title · path"; what is "" is left out. */
void text_heading(const struct output *out, const char *performer,
                  const char *title, const char *path);

/* "17 more; --limit 0 shows all", where TOTAL exceeds SHOWN. */
void text_more(const struct output *out, uint64_t total, uint64_t shown);

/* "only in section B; only solos with performer ada", where so restricted. */
void text_restrictions(const struct output *out,
                       const struct place_options *place,
                       const struct asked_filter *asked);

/* Put text behind what is in LINE, SIZE bytes; what is too long is cut. */
__attribute__((format(printf, 3, 4))) void text_add(char *line, size_t size,
                                                    const char *format, ...);

/* The notes FIRST..LAST of SOLO in rows, from INDENT on: the chord over the
 * note where it comes in, bar lines, and below each note its degree.
 * ST_NOMEM. */
enum status text_phrase(const struct output *out, const struct solo *solo,
                        size_t first, size_t last, int indent,
                        struct fault *why);

/* The arc of SOLO, a line a chorus; nothing where it has no notes. */
void text_arc(const struct output *out, const struct solo *solo);

#endif
