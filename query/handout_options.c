/* query/handout_options.c - how and where excerpts are written. */
#include "query/handout_options.h"

#include <stddef.h>

#include "query/handout_build.h"

static const struct option_row rows[] = {
    { .kind = OPTION_HEADING, .help = "Excerpts in notation:" },
    { .name = "output",
      .value_name = "FILE",
      .help = "Write the answer to this file.",
      .kind = OPTION_TEXT,
      .offset = offsetof(struct handout_options, output) },
    { .name = "for",
      .help = "Whose instrument the excerpts are written for.",
      .kind = OPTION_CHOICE,
      .choices = reader_words,
      .offset = offsetof(struct handout_options, reader) },
    { .name = "context",
      .value_name = "BARS",
      .help = "Bars before and after each excerpt (default 1).",
      .kind = OPTION_NUMBER,
      .min = 0,
      .max = CONTEXT_BARS_MAX,
      .offset = offsetof(struct handout_options, context) },
    { .name = "practice",
      .help = "Add the fragment through twelve keys, to be played.",
      .kind = OPTION_CHOICE,
      .choices = practice_orders,
      .offset = offsetof(struct handout_options, practice) },
    OPTION_END
};

const struct option_row *handout_rows(void)
{
    return rows;
}
