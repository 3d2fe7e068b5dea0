/* indexer/settings.h - what cellar-index is told on its command line.
 *
 * Parsing, help, manual page and completion read these.
 */
#ifndef INDEXER_SETTINGS_H
#define INDEXER_SETTINGS_H

#include "schema/options.h"

enum settings_when { AUTO, ALWAYS, NEVER };

struct settings {
    const char *library, *part; /* borrowed from the arguments */
    long jobs; /* 0: one for each processor */
    int color, progress; /* enum settings_when */
    bool full, strict, quiet, warnings, help, version;
};

/* The options, for a struct settings. */
extern const struct option_row settings_rows[];

/* "cellar-index [OPTIONS] DIR...", what it does, and what each exit status
 * means: one paragraph each, without a newline. */
extern const char settings_usage[];
extern const char settings_about[];
extern const char settings_exit_status[];

#endif
