/* query/progress.h - how far a long piece of work is, on the terminal. */
#ifndef QUERY_PROGRESS_H
#define QUERY_PROGRESS_H

#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>

struct progress {
    FILE *out; /* NULL: nothing is shown */
    bool line_open;
    int64_t shown; /* milliseconds, when it was last written */
};

/* The words of an option --progress, ended by NULL. */
extern const char *const progress_words[];
/* Show progress on stderr as WHEN (an index of them) says: on a terminal,
 * always or never. */
struct progress progress_start(int when);
/* A struct progress is the CONTEXT: "17 of 290 solos checked", ten times a
 * second at most. */
void progress_step(void *context, const char *what, int64_t done,
                   int64_t total);
/* Take the line away. */
void progress_end(struct progress *progress);

#endif
