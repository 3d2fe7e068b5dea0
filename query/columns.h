/* query/columns.h - text in columns of a terminal.
 *
 * Widths are counted in columns as a terminal shows them: a wide character
 * takes two, a combining mark none.  Every function makes its TEXT harmless
 * first (text_make_safe()), so that text from files may be passed as it is.
 * They are those of the user's locale; one thread may ask at a time.
 */
#ifndef QUERY_COLUMNS_H
#define QUERY_COLUMNS_H

#include <stdio.h>

/* What is done with the place that TEXT leaves, and with what is too long. */
enum columns_align {
    COLUMNS_LEFT,  /* blanks after it; cut at the end */
    COLUMNS_RIGHT, /* blanks before it; cut at the end */
    COLUMNS_TAIL,  /* blanks after it; cut at the start, for paths */
    COLUMNS_LAST   /* no blanks after it: the last of its line; cut at the
                      end */
};

/* The columns TEXT takes. */
int columns_width(const char *text);

/* Write TEXT in WIDTH columns; what is cut is marked with an ellipsis. */
void columns_put(FILE *out, const char *text, int width,
                 enum columns_align align);

/* Make the COUNT WIDTHS fit into AVAILABLE columns together by narrowing the
 * widest ones, none below 1. */
void columns_fit(int *widths, int count, int available);

/* Write a line of its own, and the newline; FORMAT is printf()'s, without a
 * newline.  Whatever names or is a text from elsewhere is printed with this or
 * one of the above. */
void columns_say(FILE *out, const char *format, ...)
    __attribute__((format(printf, 2, 3)));

/* Write TEXT, broken at blanks so that no line passes WIDTH, lines after the
 * first indented by INDENT; ends with a newline.  The first line is taken to
 * start in column 0. */
void columns_wrap(FILE *out, const char *text, int width, int indent);

#endif
