/* indexer/settings.c - see settings.h. */
#include "indexer/settings.h"

#include "indexer/reading.h"

const char settings_usage[] = "cellar-index [OPTIONS] DIR...";

const char settings_about[] =
    "Reads the solos below each DIR (.musicxml, .xml and .mxl files) into "
    "an index, DIR/.cellar/index.db, which cellar then answers from.  Run "
    "again, it reads only what has changed and forgets what is gone.  "
    "The music files themselves are never written to.";

const char settings_exit_status[] =
    "0 done, 2 bad usage, 3 bad input file or library, 4 something else "
    "failed.";

static const char *const when_words[] = { "auto", "always", "never", NULL };

#define AT(member) .offset = offsetof(struct settings, member)

const struct option_row settings_rows[] = {
    { .kind = OPTION_HEADING, .help = "What is read" },
    { .name = "library", .value_name = "DIR", .kind = OPTION_TEXT, AT(library),
      .help = "Keep the index of all folders in DIR/.cellar; without it each "
              "folder is a library of its own." },
    { .name = "part", .value_name = "NAME", .kind = OPTION_TEXT, AT(part),
      .help = "Read the part of this name or id; without it the first part "
              "that has notes." },
    { .name = "full", .kind = OPTION_FLAG, AT(full),
      .help = "Empty the index and read every file again." },
    { .name = "jobs", .value_name = "N", .kind = OPTION_NUMBER, AT(jobs),
      .min = 1, .max = READING_JOBS_MAX,
      .help = "Read N files at once (default: one for each processor, at "
              "most 8)." },
    { .kind = OPTION_HEADING, .help = "What is said" },
    { .name = "strict", .kind = OPTION_FLAG, AT(strict),
      .help = "End with exit status 3 when a file cannot be read." },
    { .name = "warnings", .kind = OPTION_FLAG, AT(warnings),
      .help = "List what was not understood in the files read, and the "
              "files that are still not readable." },
    { .name = "quiet", .kind = OPTION_FLAG, AT(quiet),
      .help = "Say nothing but what went wrong." },
    { .name = "progress", .kind = OPTION_CHOICE, AT(progress),
      .choices = when_words,
      .help = "Show how far it is (default auto: on a terminal)." },
    { .name = "color", .kind = OPTION_CHOICE, AT(color),
      .choices = when_words,
      .help = "Colour messages (default auto: on a terminal, unless NO_COLOR "
              "is set)." },
    { .name = "help", .kind = OPTION_FLAG, AT(help),
      .help = "Show this help." },
    { .name = "version", .kind = OPTION_FLAG, AT(version),
      .help = "Show the version." },
    OPTION_END
};
