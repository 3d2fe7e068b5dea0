/* query/place_options.c - --chorus, --bar, --section, --beat, --at. */
#include "query/place_options.h"

#include <stdio.h>
#include <string.h>

/* In the order of enum place_at from PLACE_CHORUS on. */
static const char *const at_words[] = { "chorus", "section", "phrase",
                                        "phrase-end", NULL };
static const char *const at_said[] = {
    "opening a chorus", "opening a section", "starting a phrase",
    "ending a phrase"
};

static const struct option_row rows[] = {
    { .kind = OPTION_HEADING, .help = "Where in the form:" },
    { .name = "chorus",
      .value_name = "N|last",
      .help = "Only in this chorus.",
      .kind = OPTION_TEXT,
      .offset = offsetof(struct place_options, chorus) },
    { .name = "bar",
      .value_name = "A[-B]",
      .help = "Only from these bars of the chorus on, counted from 1.",
      .kind = OPTION_TEXT,
      .offset = offsetof(struct place_options, bar) },
    { .name = "section",
      .value_name = "LETTER",
      .help = "Only in sections of this letter, such as B for the bridge of "
              "an AABA.",
      .kind = OPTION_TEXT,
      .offset = offsetof(struct place_options, section) },
    { .name = "beat",
      .value_name = "BEAT",
      .help = "Only from this beat of the bar on: 1, 2.5 or \"2 and\".",
      .kind = OPTION_TEXT,
      .offset = offsetof(struct place_options, beat) },
    { .name = "at",
      .help = "Only where it opens a chorus, a section or a phrase, or ends "
              "a phrase.",
      .kind = OPTION_CHOICE,
      .choices = at_words,
      .offset = offsetof(struct place_options, at) },
    { .name = "within-phrase",
      .help = "Only where no phrase ends inside of it.",
      .kind = OPTION_FLAG,
      .offset = offsetof(struct place_options, within_phrase) },
    OPTION_END
};

const struct option_row *place_rows(void)
{
    return rows;
}

const char *place_at_word(const struct place_options *options)
{
    return options->at >= 0 ? at_words[options->at] : NULL;
}

enum status place_read(struct place *out, const struct place_options *options,
                       struct fault *why)
{
    struct {
        const char *name, *value;
        enum status (*parse)(struct place *, const char *, struct fault *);
    } readers[] = { { "chorus", options->chorus, place_parse_chorus },
                    { "bar", options->bar, place_parse_bar },
                    { "beat", options->beat, place_parse_beat } };

    memset(out, 0, sizeof *out);
    for (size_t i = 0; i < sizeof readers / sizeof *readers; i++) {
        enum status st = ST_OK;

        if (readers[i].value)
            st = readers[i].parse(out, readers[i].value, why);
        if (st != ST_OK) {
            fault_prefix(why, "--%s %s", readers[i].name, readers[i].value);
            return st;
        }
    }
    out->section = options->section;
    out->at = (enum place_at)(options->at + 1);
    out->within_phrase = options->within_phrase;
    return ST_OK;
}

char *place_describe(char *out, size_t size,
                     const struct place_options *options)
{
    bool last = options->chorus && strcasecmp(options->chorus, "last") == 0;
    const struct {
        const char *words, *value;
    } parts[] = {
        { last ? "" : "in chorus ",
          last ? "in the last chorus" : options->chorus },
        { "from bar ", options->bar },
        { "in section ", options->section },
        { "starting on beat ", options->beat },
        { "", options->at >= 0 ? at_said[options->at] : NULL },
        { "", options->within_phrase ? "within a phrase" : NULL },
    };
    size_t used = 0;

    out[0] = '\0';
    for (size_t i = 0; i < sizeof parts / sizeof *parts; i++) {
        int n;

        if (!parts[i].value)
            continue;
        n = snprintf(out + used, size - used, "%s%s%s%s", used ? ", " : "",
                     parts[i].words, parts[i].value,
                     parts[i].value == options->bar ? " of the chorus" : "");
        if (n < 0 || (size_t)n >= size - used)
            break;
        used += (size_t)n;
    }
    return out;
}
