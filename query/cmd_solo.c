/* query/cmd_solo.c - cellar solo: one solo. */
#include "query/one_solo.h"

struct solo_options {
    int format;
    bool notes;
};

static const struct option_row rows[] = {
    { .kind = OPTION_HEADING, .help = "Output:" },
    { .name = "notes",
      .help = "List the line note by note, too.",
      .kind = OPTION_FLAG,
      .offset = offsetof(struct solo_options, notes) },
    { .name = "format",
      .help = "How the answer is written; json always holds every note.",
      .kind = OPTION_CHOICE,
      .choices = printer_formats,
      .offset = offsetof(struct solo_options, format) },
    OPTION_END
};

static const char about[] =
    "Show one solo: what the file says of itself, its chord grid, and what "
    "was not understood in it. SOLO is its path in the library, or any part "
    "of the path or the title that no other solo has.\n"
    "\n"
    "In the grid % is a bar in which the chord goes on, / a beat in which it "
    "does (in metres such as 2/2 a quarter), and (2 and) the place of a chord "
    "that comes off the beat. A bar "
    "without a printed number is counted from the start of the file: [5].\n";

enum status cmd_solo(struct session *session, int argc, char **argv,
                     struct fault *why)
{
    struct solo_options options = { 0 };
    const struct option_set sets[] = { { rows, &options }, { NULL, NULL } };
    enum status st = session_options(session, sets, about, &argc, argv, why);
    struct one_solo one;

    if (st != ST_OK || session->answered)
        return st;
    st = one_solo_open(&one, session, argc, argv, why);
    if (st == ST_OK) {
        struct output out = session_output(session);
        struct solo_page page = { one.list.items, one.solo, options.notes };

        st = printer_for(options.format)->solo(&out, &page, why);
    }
    one_solo_close(&one);
    return st;
}
