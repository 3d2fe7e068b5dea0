/* query/cmd_openings.c - cellar openings: how choruses open. */
#include <limits.h>
#include <stdio.h>

#include "query/one_solo.h"

enum {
    LIMIT = 20,
    NOTES = 4,
    MIN_COUNT = 2,
    NOT_GIVEN = -1
};

struct openings_options {
    long limit, notes, min_count; /* NOT_GIVEN */
    bool with_pickup;
    int format;
    struct filter_options filter;
};

static const struct option_row rows[] = {
    { .kind = OPTION_HEADING, .help = "Across the library:" },
    { .name = "notes",
      .value_name = "N",
      .help = "Openings are the same when their first N notes are (2 to 7; "
              "default 4).",
      .kind = OPTION_NUMBER,
      .min = OPENINGS_NOTES_MIN,
      .max = OPENINGS_NOTES_MAX,
      .offset = offsetof(struct openings_options, notes) },
    { .name = "with-pickup",
      .help = "Count these notes from the start of the pickup, not from the "
              "first bar line of the chorus.",
      .kind = OPTION_FLAG,
      .offset = offsetof(struct openings_options, with_pickup) },
    { .name = "min-count",
      .value_name = "N",
      .help = "Only openings that come at least N times (default 2).",
      .kind = OPTION_NUMBER,
      .min = 1,
      .max = LONG_MAX,
      .offset = offsetof(struct openings_options, min_count) },
    { .name = "limit",
      .value_name = "N",
      .help = "Show at most N openings (default 20; 0: all).",
      .kind = OPTION_NUMBER,
      .min = 0,
      .max = LONG_MAX,
      .offset = offsetof(struct openings_options, limit) },
    { .kind = OPTION_HEADING, .help = "Output:" },
    { .name = "format",
      .help = "How the answer is written.",
      .kind = OPTION_CHOICE,
      .choices = printer_formats,
      .offset = offsetof(struct openings_options, format) },
    OPTION_END
};

static const char about[] =
    "Show how each chorus of one solo opens: its first phrase with the degree "
    "of each note over its chord, the beat or pickup it starts on, how long "
    "it is and how much space comes after; whether it is a riff, and whether "
    "the opening of an earlier chorus returns; then how full and how high "
    "each chorus is. SOLO is its path in the library, or any part of the path "
    "or the title that no other solo has.\n"
    "\n"
    "The phrase that opens a chorus starts in it, or as a pickup at most a "
    "bar before. Where an older phrase runs on over the bar line there is no "
    "clear opening. A riff is a short motif (3 notes or more within two bars, "
    "up to a breath) whose notes, rhythm or shape come again within the first "
    "eight bars.\n"
    "\n"
    "Without SOLO: which openings recur across the library, by the first "
    "notes, the chord under them and the degree they start on.\n"
    "\n"
    "  cellar openings turnip\n"
    "  cellar openings --performer ada --notes 5\n";

/* --- one solo ------------------------------------------------------------- */

static enum status refuse_library_options(const struct openings_options *o,
                                          const struct asked_filter *asked,
                                          struct fault *why)
{
    if (asked->filter.count > 0)
        return fault_set(why, ST_USAGE,
                         "give one solo, or restrictions such as --performer "
                         "for the library, not both");
    if (o->limit != NOT_GIVEN || o->notes != NOT_GIVEN ||
        o->min_count != NOT_GIVEN || o->with_pickup)
        return fault_set(why, ST_USAGE,
                         "--limit, --notes, --min-count and --with-pickup are "
                         "for the library; of one solo every chorus is shown");
    return ST_OK;
}

static enum status answer_solo(struct session *session,
                               const struct openings_options *options, int argc,
                               char **argv, struct fault *why)
{
    struct openings openings = { 0 };
    struct one_solo one;
    enum status st = one_solo_open(&one, session, argc, argv, why);

    if (st == ST_OK)
        st = openings_make(&openings, one.solo, why);
    if (st == ST_OK) {
        struct output out = session_output(session);
        struct openings_page page = { one.list.items, one.solo, &openings };

        st = printer_for(options->format)->openings(&out, &page, why);
    }
    if (st == ST_OK && one.solo->note_count == 0)
        st = fault_set(why, ST_NOTHING, "the solo has no notes");
    openings_free(&openings);
    one_solo_close(&one);
    return st;
}

/* --- the library ---------------------------------------------------------- */

static enum status nothing(const struct openings_library *library,
                           const struct asked_filter *asked, struct fault *why)
{
    if (library->solos.count == 0)
        return filter_no_solos(asked, why);
    if (library->entry_count == 0)
        return fault_set(why, ST_NOTHING,
                         "no chorus has a clear opening to compare; 'cellar "
                         "openings SOLO' shows those of one solo");
    return fault_set(why, ST_NOTHING,
                     "no opening comes so often; lower --min-count or "
                     "--notes");
}

static enum status answer_library(struct session *session,
                                  const struct openings_options *options,
                                  const struct asked_filter *asked,
                                  struct fault *why)
{
    const struct openings_query query = {
        .notes = options->notes == NOT_GIVEN ? NOTES : (int)options->notes,
        .with_pickup = options->with_pickup,
        .min_count = options->min_count == NOT_GIVEN
                         ? MIN_COUNT
                         : (uint64_t)options->min_count,
        .filter = &asked->filter,
    };
    struct openings_library library = { 0 };
    enum status st = session_open(session, why);

    if (st == ST_OK)
        st = store_read_begin(session->store, why);
    if (st == ST_OK)
        st = openings_library_make(&library, session->store, &query, why);
    if (st == ST_OK) {
        struct output out = session_output(session);
        struct openings_library_page page = { &query, asked, &library,
                                              options->limit == NOT_GIVEN
                                                  ? LIMIT
                                                  : (size_t)options->limit };

        st = printer_for(options->format)->openings_library(&out, &page, why);
    }
    if (st == ST_OK && library.group_count == 0)
        st = nothing(&library, asked, why);
    openings_library_free(&library);
    return st;
}

enum status cmd_openings(struct session *session, int argc, char **argv,
                         struct fault *why)
{
    struct openings_options options = { NOT_GIVEN, NOT_GIVEN, NOT_GIVEN,
                                        .format = 0 };
    const struct option_set sets[] = { { rows, &options },
                                       { filter_rows(), &options.filter },
                                       { NULL, NULL } };
    struct asked_filter asked;
    enum status st = session_options(session, sets, about, &argc, argv, why);

    if (st != ST_OK || session->answered)
        return st;
    st = filter_read(&asked, &options.filter, why);
    if (st == ST_OK && argc > 0)
        st = refuse_library_options(&options, &asked, why);
    if (st == ST_OK)
        st = argc > 0 ? answer_solo(session, &options, argc, argv, why)
                      : answer_library(session, &options, &asked, why);
    return st;
}
