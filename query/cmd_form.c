/* query/cmd_form.c - cellar form: the choruses and sections of one solo. */
#include "query/one_solo.h"

struct form_options {
    int format;
};

static const struct option_row rows[] = {
    { .kind = OPTION_HEADING, .help = "Output:" },
    { .name = "format",
      .help = "How the answer is written.",
      .kind = OPTION_CHOICE,
      .choices = printer_formats,
      .offset = offsetof(struct form_options, format) },
    OPTION_END
};

static const char about[] =
    "Show the form of one solo: how long a chorus is, where each begins, "
    "its sections, and the chords of one chorus. SOLO is its path in the "
    "library, or any part of the path or the title that no other solo has.\n"
    "\n"
    "Bars are cited as printed, except in the chord grid, where they are "
    "counted from the start of the chorus. The form is worked out from "
    "rehearsal marks, double bars and the return of the chords; how sure "
    "that is stands beside it. A vamp or a piece in which nothing returns "
    "has none.\n";

enum status cmd_form(struct session *session, int argc, char **argv,
                     struct fault *why)
{
    struct form_options options = { 0 };
    const struct option_set sets[] = { { rows, &options }, { NULL, NULL } };
    enum status st = session_options(session, sets, about, &argc, argv, why);
    struct one_solo one;

    if (st != ST_OK || session->answered)
        return st;
    st = one_solo_open(&one, session, argc, argv, why);
    if (st == ST_OK) {
        struct output out = session_output(session);
        struct form_page page = { one.list.items, one.solo };

        st = printer_for(options.format)->form(&out, &page, why);
    }
    one_solo_close(&one);
    return st;
}
