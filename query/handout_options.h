/* query/handout_options.h - how and where excerpts are written. */
#ifndef QUERY_HANDOUT_OPTIONS_H
#define QUERY_HANDOUT_OPTIONS_H

#include "schema/options.h"

/* What the options store. */
struct handout_options {
    const char *output; /* a file, NULL: standard output */
    int reader;         /* enum reader */
    long context;       /* bars around each excerpt */
    int practice;       /* enum practice_order, -1: none */
};

#define HANDOUT_OPTIONS_NONE                                                   \
    {                                                                          \
        .context = 1, .practice = -1                                           \
    }

/* The option rows for a struct handout_options.  Borrowed: a constant. */
const struct option_row *handout_rows(void);

#endif
