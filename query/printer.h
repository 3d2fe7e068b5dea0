/* query/printer.h - from answers to output: one interface, a writer a format.
 *
 * Each question has a struct that holds its whole answer; each format has a
 * struct printer whose functions write such an answer.  A format that does
 * not fit a question has NULL there, and the command does not offer it.
 */
#ifndef QUERY_PRINTER_H
#define QUERY_PRINTER_H

#include <stdio.h>

#include "query/bank.h"
#include "query/check.h"
#include "query/cells.h"
#include "query/bar_range.h"
#include "query/coverage.h"
#include "query/filter.h"
#include "query/find.h"
#include "query/openings_library.h"
#include "query/handout_options.h"
#include "query/place_options.h"
#include "query/solo_list.h"
#include "query/tension.h"
#include "query/study.h"

/* Where a printer writes. */
struct output {
    FILE *stream;
    int width;  /* columns; lines stay within them where that is possible */
    bool color; /* terminal colours are wanted */
};

/* The answer to `cellar solo`. */
struct solo_page {
    const struct solo_record *record;
    const struct solo *solo;
    bool with_notes; /* text: list the line note by note */
};

/* The answer to `cellar form`. */
struct form_page {
    const struct solo_record *record;
    const struct solo *solo;
};

/* The answer to `cellar coverage`. */
struct coverage_page {
    const struct solo_record *record;
    const struct solo *solo;
    const char *asked; /* the bars as given, or NULL */
    struct bar_indexes bars;
    const char *cells_from; /* where the cells come from, in words */
    const char *bank;       /* its name, NULL without one */
    const struct coverage_cell *cells;
    size_t cell_count;
    const struct coverage *coverage;
};

/* The answer to `cellar find`. */
struct find_page {
    const char *text; /* the fragment as given, NULL when from a file */
    const char *from; /* the file, NULL when given as text */
    const char *bars; /* its bars as given, or NULL */
    const struct find_query *query;
    const struct asked_filter *asked;
    const struct place_options *place; /* as given */
    const char *relation, *into;       /* as given, or NULL */
    bool explain;                      /* show how each score is made */
    const char *over;                  /* as given, or NULL */
    const struct handout_options *handout; /* for excerpts in notation */
    const struct find_result *result;
    int64_t hundredths; /* hundredths of a millisecond it took */
};

/* The answer to `cellar openings SOLO`. */
struct openings_page {
    const struct solo_record *record;
    const struct solo *solo;
    const struct openings *openings;
};

/* The answer to `cellar openings`. */
struct openings_library_page {
    const struct openings_query *query;
    const struct asked_filter *asked;
    const struct openings_library *library;
    size_t limit; /* openings shown; 0 all */
};

/* Cells of a bank: the answer to `cellar bank show`, and to a command that
 * changed some of them. */
struct bank_page {
    const char *heading;     /* text: what these cells are */
    const struct bank *bank; /* the cells that are shown, with its name */
    size_t total;            /* that are in question */
    bool details;            /* text: when and from where each was taken */
};

/* The answer to `cellar bank list`. */
struct bank_list {
    struct bank_entry {
        char name[BANK_NAME_SIZE];
        int64_t cells;
    } * items;
    size_t count, room;
    size_t total; /* banks there are, shown or not */
};

/* The answer to `cellar tension`. */
struct tension_page {
    const struct tension_query *query;
    const struct asked_filter *asked;
    const struct place_options *place; /* as given */
    /* As given, or NULL. */
    const char *degree, *over, *length, *accent, *in_phrase, *approach,
        *departure, *resolves;
    bool explain;
    const struct tension_result *result; /* NULL for the table */
    const struct tension_table *table;   /* NULL for the notes */
};

/* The answer to `cellar list show`, and what `list export` writes. */
struct study_page {
    const struct study *study;
    const struct handout_options *handout; /* for excerpts in notation */
    size_t limit; /* entries shown, 0: all */
};

/* The answer to `cellar list lists`. */
struct study_lists {
    struct study_name {
        char name[LIST_NAME_SIZE];
        int64_t entries;
    } * items;
    size_t count, room;
    size_t total; /* lists there are, shown or not */
};

/* The answer to `cellar check`. */
struct check_page {
    const struct check_report *report;
    size_t limit; /* findings shown, 0: all */
};

/* The answer to `cellar cells`.  Details of the cells are looked up as they are
 * written, so that there may be any number of them. */
struct cells_page {
    const struct cells_query *query;
    const struct cells_result *result;
    struct store *store; /* in the transaction of RESULT */
    const struct asked_filter *asked;
    const struct asked_filter *versus; /* NULL: compared with none, or with all
                                          other solos */
    const struct place_options *place;
    const char *over, *into; /* as given, or NULL */
};

/* The answer to `cellar cells --of`: all cells of one fragment. */
struct cell_page {
    const char *text; /* the fragment as given */
    const struct fragment *fragment;
    const struct cells_page *cells;
};

/* Each returns ST_OK, ST_NOMEM or what the store says; a failed write is left
 * for ferror(). */
struct printer {
    const char *format; /* what follows --format */
    bool one_by_one;    /* FIND is done with a hit before the next */
    bool by_solo;       /* it asks for them solo by solo, if they are not many */
    enum status (*solos)(const struct output *out, const struct solo_list *list,
                         struct fault *why);
    enum status (*solo)(const struct output *out, const struct solo_page *page,
                        struct fault *why);
    enum status (*form)(const struct output *out, const struct form_page *page,
                        struct fault *why);
    enum status (*coverage)(const struct output *out,
                            const struct coverage_page *page,
                            struct fault *why);
    enum status (*find)(const struct output *out, const struct find_page *page,
                        struct fault *why);
    enum status (*openings)(const struct output *out,
                            const struct openings_page *page,
                            struct fault *why);
    enum status (*openings_library)(const struct output *out,
                                    const struct openings_library_page *page,
                                    struct fault *why);
    enum status (*bank)(const struct output *out, const struct bank_page *page,
                        struct fault *why);
    enum status (*banks)(const struct output *out,
                         const struct bank_list *list, struct fault *why);
    enum status (*tension)(const struct output *out,
                           const struct tension_page *page, struct fault *why);
    enum status (*cells)(const struct output *out,
                         const struct cells_page *page, struct fault *why);
    enum status (*cell)(const struct output *out, const struct cell_page *page,
                        struct fault *why);
    enum status (*study)(const struct output *out,
                         const struct study_page *page, struct fault *why);
    enum status (*study_lists)(const struct output *out,
                               const struct study_lists *lists,
                               struct fault *why);
    enum status (*check)(const struct output *out,
                         const struct check_page *page, struct fault *why);
};

extern const struct printer print_text;
extern const struct printer print_json;
extern const struct printer print_musicxml;
extern const struct printer print_abc;
extern const struct printer print_html;
extern const struct printer print_csv;

/* The words of --format, ended by NULL, and the printer of the word at INDEX.
 * The first is the default.  Excerpts have further formats after those of every
 * answer. */
extern const char *const printer_formats[];
extern const char *const printer_excerpt_formats[];
const struct printer *printer_for(int index);
/* Whether the format at INDEX is excerpts or rows, of which there must be
 * some. */
bool printer_needs_places(int index);

#endif
