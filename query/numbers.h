/* query/numbers.h - numbers of a list as one writes them: "3", "1,3-5". */
#ifndef QUERY_NUMBERS_H
#define QUERY_NUMBERS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "schema/status.h"

enum {
    NUMBERS_MAX = 1000
};

/* Numbers from 1, each once, in the order in which they were written. */
struct number_list {
    int32_t items[NUMBERS_MAX];
    size_t count;
};

/* Is TEXT written as numbers are: digits with commas and dashes between
 * them, no blank and no sign before the first?  It may still not read. */
bool numbers_look(const char *text);

/* Add the numbers of TEXT, "3", "1,3-5", to LIST.  ST_USAGE where they do not
 * read, run backwards or are more than NUMBERS_MAX. */
enum status numbers_read(struct number_list *list, const char *text,
                         struct fault *why);

/* The numbers of all ARGC arguments ARGV, in place of what LIST held. */
enum status numbers_read_all(struct number_list *list, int argc, char **argv,
                             struct fault *why);

#endif
