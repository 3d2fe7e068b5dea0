/* query/place_options.h - options that restrict where a hit may stand. */
#ifndef QUERY_PLACE_OPTIONS_H
#define QUERY_PLACE_OPTIONS_H

#include "query/place.h"
#include "schema/options.h"

/* What the options store. */
struct place_options {
    const char *chorus, *bar, *section, *beat;
    int at; /* enum place_at, -1 not given */
    bool within_phrase;
};

#define PLACE_OPTIONS_NONE ((struct place_options){ .at = -1 })

/* The option rows for a struct place_options.  Borrowed: a constant. */
const struct option_row *place_rows(void);

/* The word of --at as given; NULL where it was not. */
const char *place_at_word(const struct place_options *options);

/* ST_SYNTAX where a value does not read; WHY names the option.  OUT borrows
 * from OPTIONS. */
enum status place_read(struct place *out, const struct place_options *options,
                       struct fault *why);

/* "in chorus 2, starting on beat 3" into OUT, "" where nothing is asked.
 * Returns OUT. */
char *place_describe(char *out, size_t size,
                     const struct place_options *options);

#endif
