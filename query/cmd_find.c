/* query/cmd_find.c - cellar find: every place where a fragment occurs. */
#include <limits.h>
#include <time.h>

#include "query/list_fill.h"
#include "query/outfile.h"
#include "query/question.h"

struct find_options {
    struct question_options question;
    struct handout_options handout;
    bool count, explain, variants;
    const char *keep;
    long limit;
    int format;
};

static const struct option_row rows[] = {
    { .kind = OPTION_HEADING, .help = "Output:" },
    { .name = "explain",
      .help = "Show how the score of each place is made.",
      .kind = OPTION_FLAG,
      .offset = offsetof(struct find_options, explain) },
    { .name = "variants",
      .help = "Show the rhythms in which it is played, with the beats they "
              "start on, instead of the places.",
      .kind = OPTION_FLAG,
      .offset = offsetof(struct find_options, variants) },
    { .name = "count",
      .help = "Only how many places there are.",
      .kind = OPTION_FLAG,
      .offset = offsetof(struct find_options, count) },
    { .name = "keep",
      .value_name = "LIST[:N]",
      .help = "Keep what is shown in this study list, or only some of it by "
              "rank: lesson:1,3-5. See 'cellar help list'.",
      .kind = OPTION_TEXT,
      .offset = offsetof(struct find_options, keep) },
    { .name = "limit",
      .value_name = "N",
      .help = "Show at most N places (default 20; 0: all).",
      .kind = OPTION_NUMBER,
      .min = 0,
      .max = LONG_MAX,
      .offset = offsetof(struct find_options, limit) },
    { .name = "format",
      .help = "How the answer is written; musicxml, abc and html are excerpts "
              "in notation.",
      .kind = OPTION_CHOICE,
      .choices = printer_excerpt_formats,
      .offset = offsetof(struct find_options, format) },
    OPTION_END
};

static const char about[] =
    "Find every place where a fragment of 2 to 32 notes occurs, in any key. "
    "FRAGMENT is one of\n"
    "\n"
    "  5 b3 2 1        degrees, counted from the chord given with --over\n"
    "  A4 F4 E4 D4     note names; without octaves each goes to the nearest\n"
    "  -4 -1 -2        steps in semitones\n"
    "\n"
    "Each degree goes to the nearest such note, a tritone upwards; ' after "
    "it raises it by an octave, a comma lowers it. ? is any one note. A note "
    "value after a colon gives the rhythm: 5:8 b3:8 2:4. 1:8t (8 eighth, 4. "
    "dotted quarter, 8t triplet eighth).\n"
    "\n"
    "  cellar find 5 b3 2 1 --over m7\n"
    "  cellar find 'A4 F4 E4 D4' --rhythm any --performer ada\n"
    "  cellar find --from lick.musicxml --bars 1-2\n"
    "\n"
    "A hit is cited by the bar and beat on which it starts, with the chord "
    "under most of its notes and the degrees counted from it; 'up m3' says "
    "how far it stands from the key the fragment was given in. A bar without "
    "a printed number is counted from the start of the file: [5].\n";

static int64_t now_hundredths(void)
{
    struct timespec now;

    clock_gettime(CLOCK_MONOTONIC, &now);
    return (int64_t)now.tv_sec * 100000 + now.tv_nsec / 10000;
}

/* Print PAGE, into the file of --output where there is one. */
static enum status print_page(struct session *session,
                              const struct find_options *options,
                              const struct find_page *page, struct fault *why)
{
    struct output out = session_output(session);
    struct outfile file;
    enum status st = outfile_open(&file, &out, options->handout.output, why);

    if (st == ST_OK)
        st = printer_for(options->format)->find(&out, page, why);
    return outfile_close(&file, st, why);
}

static enum status answer(struct session *session,
                          const struct find_options *options,
                          const struct question *q, struct fault *why)
{
    struct find_result result;
    int64_t start = now_hundredths();
    enum status st = find_run(&result, session->store, &q->query, why);

    if (st == ST_OK) {
        struct find_page page = { .text = q->text,
                                  .from = options->question.from,
                                  .bars = options->question.bars,
                                  .query = &q->query,
                                  .asked = &q->asked,
                                  .place = &options->question.place,
                                  .relation = options->question.relation,
                                  .into = options->question.into,
                                  .explain = options->explain,
                                  .over = options->question.over,
                                  .handout = &options->handout,
                                  .result = &result,
                                  .hundredths = now_hundredths() - start };

        if (result.total > 0 || !printer_needs_places(options->format))
            st = print_page(session, options, &page, why);
        if (st == ST_OK && options->keep && result.hit_count > 0)
            st = list_keep(session, options->keep, &page, why);
    }
    if (st == ST_OK && result.total == 0)
        st = question_nothing(q, why);
    find_result_free(&result);
    return st;
}

static enum status ask_question(struct session *session,
                                const struct find_options *options, int argc,
                                char **argv, struct fault *why)
{
    struct question q;
    enum status st =
        question_read(&q, session, &options->question, argc, argv, why);

    if (st == ST_OK && options->keep && (options->count || options->variants))
        st = fault_set(why, ST_USAGE, "--keep keeps places, which --count and "
                       "--variants do not show");
    if (st == ST_OK && printer_needs_places(options->format) &&
        (options->count || options->variants))
        st = fault_set(why, ST_USAGE, "--count and --variants are shown as "
                       "text or json");
    q.query.limit = (size_t)options->limit;
    q.query.lean =
        printer_for(options->format)->one_by_one && !options->keep;
    q.query.late = q.query.lean && printer_for(options->format)->by_solo;
    q.query.variants = options->variants;
    q.query.count_only = options->count || options->variants;
    if (st == ST_OK)
        st = session_open(session, why);
    if (st == ST_OK)
        st = answer(session, options, &q, why);
    question_free(&q);
    return st;
}

enum status cmd_find(struct session *session, int argc, char **argv,
                     struct fault *why)
{
    struct find_options options = { .question = QUESTION_OPTIONS_NONE,
                                    .handout = HANDOUT_OPTIONS_NONE,
                                    .limit = 20 };
    const struct option_set sets[] = {
        { question_rows(), &options.question },
        { place_rows(), &options.question.place },
        { filter_rows(), &options.question.filter },
        { rows, &options },
        { handout_rows(), &options.handout },
        { NULL, NULL }
    };
    enum status st = session_options(session, sets, about, &argc, argv, why);

    if (st == ST_OK && !session->answered)
        st = ask_question(session, &options, argc, argv, why);
    return st;
}
