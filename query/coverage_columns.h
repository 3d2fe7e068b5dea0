/* query/coverage_columns.h - the notes of a covered line in columns of text.
 *
 * Each note has a column, and so has a chord under which no note starts, and
 * a bar without either.
 */
#ifndef QUERY_COVERAGE_COLUMNS_H
#define QUERY_COVERAGE_COLUMNS_H

#include "query/printer.h"
#include "query/words.h"

enum {
    COVERAGE_NO_NOTE = -1
};

struct coverage_column {
    int64_t note; /* of the solo, or COVERAGE_NO_NOTE */
    int32_t bar;
    int32_t span; /* index into the spans, -1 without a note */
    bool opens;   /* it is the first of its bar */
    bool goes_on; /* CHORD was there before the bar */
    char chord[CHORD_TEXT_SIZE + 2], name[PITCH_TEXT_SIZE];
    const char *degree; /* "" where there is none */
    int width;          /* what stands in it fits, and a blank after it */
};

struct coverage_columns {
    const struct coverage_page *page;
    const size_t *numbers; /* of the cells in the list below the bars */
    struct coverage_column *items;
    size_t count;
};

/* The columns of all bars of PAGE, wide enough for chords and labels too.
 * PAGE and NUMBERS must outlive them.  ST_NOMEM; release with
 * coverage_columns_free(). */
enum status coverage_columns_make(struct coverage_columns *out,
                                  const struct coverage_page *page,
                                  const size_t *numbers, struct fault *why);
void coverage_columns_free(struct coverage_columns *columns);

/* The span of a column, NULL where it has none. */
const struct coverage_span *coverage_column_span(
    const struct coverage_columns *columns,
    const struct coverage_column *column);
/* What stands below the first note of SPAN: the number of a cell, or a word.
 * OUT, or a constant. */
const char *coverage_label(const struct coverage_columns *columns,
                           char out[WORDS_SIZE],
                           const struct coverage_span *span);

#endif
