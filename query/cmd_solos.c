/* query/cmd_solos.c - cellar solos: what is in the library. */
#include <limits.h>
#include <stdio.h>

#include "query/session.h"

struct solos_options {
    long limit;
    int format;
    struct filter_options filter;
};

static const struct option_row rows[] = {
    { .kind = OPTION_HEADING, .help = "Output:" },
    { .name = "limit",
      .value_name = "N",
      .help = "Show at most N solos (default 20; 0: all).",
      .kind = OPTION_NUMBER,
      .min = 0,
      .max = LONG_MAX,
      .offset = offsetof(struct solos_options, limit) },
    { .name = "format",
      .help = "How the answer is written.",
      .kind = OPTION_CHOICE,
      .choices = printer_formats,
      .offset = offsetof(struct solos_options, format) },
    OPTION_END
};

static const char about[] =
    "List the solos of the library in the order of their paths, with what "
    "each file says of itself. The tempo is in quarters a minute.\n";

static enum status list_solos(struct session *session,
                              const struct solos_options *options,
                              const struct asked_filter *asked,
                              struct fault *why)
{
    struct solo_list list = { .limit = (size_t)options->limit };
    struct output out = session_output(session);
    enum status st = store_read_begin(session->store, why);

    if (st == ST_OK)
        st = store_solos(session->store, &asked->filter, solo_list_add, &list,
                         why);
    if (st == ST_OK && list.no_memory)
        st = fault_nomem(why);
    if (st == ST_OK)
        st = printer_for(options->format)->solos(&out, &list, why);
    if (st == ST_OK && list.total == 0)
        st = filter_no_solos(asked, why);
    solo_list_free(&list);
    return st;
}

enum status cmd_solos(struct session *session, int argc, char **argv,
                      struct fault *why)
{
    struct solos_options options = { .limit = 20 };
    const struct option_set sets[] = { { rows, &options },
                                       { filter_rows(), &options.filter },
                                       { NULL, NULL } };
    struct asked_filter asked;
    enum status st = session_options(session, sets, about, &argc, argv, why);

    if (st != ST_OK || session->answered)
        return st;
    if (argc > 0)
        return fault_set(why, ST_USAGE,
                         "'solos' takes no argument '%.60s'; write --title "
                         "or --performer before it to look for it",
                         argv[0]);
    st = filter_read(&asked, &options.filter, why);
    if (st == ST_OK)
        st = session_open(session, why);
    if (st == ST_OK)
        st = list_solos(session, &options, &asked, why);
    return st;
}
