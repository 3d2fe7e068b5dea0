/* query/cmd_check.c - cellar check: are index and notebook sound? */
#include <inttypes.h>
#include <limits.h>

#include "query/progress.h"
#include "query/session.h"
#include "query/words.h"

struct check_options {
    bool repair;
    long limit;
    int format, progress;
};

static const struct option_row rows[] = {
    { .kind = OPTION_HEADING, .help = "What is done:" },
    { .name = "repair",
      .kind = OPTION_FLAG,
      .help = "Write the index anew from the notes it holds, where it is "
              "damaged. The notebook is never written to.",
      .offset = offsetof(struct check_options, repair) },
    { .kind = OPTION_HEADING, .help = "Output:" },
    { .name = "limit",
      .value_name = "N",
      .help = "Name at most N things that were found (default 20; 0: all).",
      .kind = OPTION_NUMBER,
      .min = 0,
      .max = LONG_MAX,
      .offset = offsetof(struct check_options, limit) },
    { .name = "format",
      .help = "How the answer is written.",
      .kind = OPTION_CHOICE,
      .choices = printer_formats,
      .offset = offsetof(struct check_options, format) },
    { .name = "progress",
      .help = "Show how far it is (default auto: on a terminal).",
      .kind = OPTION_CHOICE,
      .choices = progress_words,
      .offset = offsetof(struct check_options, progress) },
    OPTION_END
};

static const char about[] =
    "Read the whole index and the whole notebook and say whether they are "
    "sound: the files themselves, the notes of every solo, everything that "
    "follows from the notes (worked out again and compared), every cell of a "
    "bank, and whether every form you set and every entry of a study list is "
    "still found. Nothing is written.\n"
    "\n"
    "With --repair a damaged index is written anew from the notes it holds; "
    "files whose notes are damaged are read again by the next cellar-index. "
    "The notebook is your own writing and is never touched: put a copy of "
    "yours in its place. Files that were changed or are gone, and entries whose solo "
    "is gone, are named, but are no damage.\n"
    "\n"
    "The exit status is 0 where all is well, 3 where something is wrong.\n";

/* Check; where asked and of use, repair and check again. */
static enum status look(struct check_report *report,
                        const struct session *session,
                        const struct check_options *options,
                        struct fault *why)
{
    struct progress progress = progress_start(options->progress);
    struct check_progress step = { &progress, progress_step };
    const char *library = session->library;
    enum status st = check_library(report, library, &step, why);
    uint64_t before = check_index_problems(report);

    if (st == ST_OK && options->repair && report->has_index && before > 0) {
        check_free(report);
        st = check_repair(report, library, &step, why);
        if (st == ST_OK)
            st = check_library(report, library, &step, why);
        report->before = before;
    }
    progress_end(&progress);
    return st;
}

/* What is to be done about it, the most urgent first. */
static enum status verdict(const struct check_report *report,
                           struct fault *why)
{
    uint64_t index = check_index_problems(report);
    uint64_t notebook = check_notebook_problems(report);
    char count[WORDS_SIZE];

    words_count(count, index + notebook, "problem", "problems");
    if (!report->has_index)
        return fault_set(why, ST_LIBRARY, "%s", report->findings[0].what);
    if (report->repaired && report->repair.lost > 0)
        return fault_set(why, ST_LIBRARY,
                         "%" PRId64 " of the files must be read again: run "
                         "cellar-index %s",
                         report->repair.lost, report->library);
    if (index > 0 && report->repaired)
        return fault_set(why, ST_LIBRARY,
                         "%s; the index cannot be repaired: run cellar-index "
                         "--full %s",
                         count, report->library);
    if (index > 0)
        return fault_set(why, ST_LIBRARY,
                         "%s; 'cellar check --repair' writes the index anew",
                         count);
    if (notebook > 0)
        return fault_set(why, ST_LIBRARY,
                         "%s of the notebook, which is left as it is: put a "
                         "copy of yours in the place of "
                         "%s/.cellar/notebook.db",
                         count, report->library);
    return ST_OK;
}

enum status cmd_check(struct session *session, int argc, char **argv,
                      struct fault *why)
{
    struct check_options options = { .limit = 20 };
    const struct option_set sets[] = { { rows, &options }, { NULL, NULL } };
    struct output out = session_output(session);
    struct check_report report = { 0 };
    struct check_page page = { .report = &report };
    enum status st = session_options(session, sets, about, &argc, argv, why);

    if (st != ST_OK || session->answered)
        return st;
    if (argc > 0)
        return fault_set(why, ST_USAGE, "'check' takes no argument '%.60s'",
                         argv[0]);
    st = session_find(session, why);
    if (st == ST_OK)
        st = look(&report, session, &options, why);
    page.limit = (size_t)options.limit;
    if (st == ST_OK)
        st = printer_for(options.format)->check(&out, &page, why);
    if (st == ST_OK)
        st = verdict(&report, why);
    check_free(&report);
    return st;
}
