/* query/cmd_find.c - cellar find: every place where a fragment occurs. */
#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "query/bar_range.h"
#include "query/handout_build.h"
#include "query/outfile.h"
#include "query/place_options.h"
#include "query/session.h"

struct find_options {
    const char *over, *from, *bars;
    const char *relation, *into, *weights;
    bool any_octave, count, reharmonized, explain, variants;
    long edits;
    int rhythm; /* enum rhythm_match, or -1: not given */
    long limit;
    int format;
    const char *output;
    int reader; /* enum reader */
    long context;
    int practice; /* enum practice_order, -1: not given */
    struct place_options place;
    struct filter_options filter;
};

static const char *const rhythm_words[] = { "any", "same", "scaled", NULL };

static const struct option_row rows[] = {
    { .kind = OPTION_HEADING, .help = "The fragment:" },
    { .name = "over",
      .value_name = "CHORD",
      .help = "Only over this chord: a suffix (m7), a class (minor), a chord "
              "(Dm7, in any key), a function (V7, V7/ii), or several "
              "joined by | where the chord changes inside.",
      .kind = OPTION_TEXT,
      .offset = offsetof(struct find_options, over) },
    { .name = "from",
      .value_name = "FILE",
      .help = "Take the fragment from a MusicXML file, with its chords.",
      .kind = OPTION_TEXT,
      .offset = offsetof(struct find_options, from) },
    { .name = "bars",
      .value_name = "A-B",
      .help = "Only these bars of that file, by their printed numbers.",
      .kind = OPTION_TEXT,
      .offset = offsetof(struct find_options, bars) },
    { .name = "any-octave",
      .help = "Each note may stand in any octave.",
      .kind = OPTION_FLAG,
      .offset = offsetof(struct find_options, any_octave) },
    { .name = "rhythm",
      .help = "Any rhythm, the same, or the same at another speed. Without "
              "it: the same where note values are written, else any.",
      .kind = OPTION_CHOICE,
      .choices = rhythm_words,
      .offset = offsetof(struct find_options, rhythm) },
    { .name = "edits",
      .value_name = "K",
      .help = "Allow up to K notes to be inserted, left out or changed (0 to "
              "3); the first and the last are kept.",
      .kind = OPTION_NUMBER,
      .min = 0,
      .max = EDITS_MAX,
      .offset = offsetof(struct find_options, edits) },
    { .kind = OPTION_HEADING, .help = "The harmony:" },
    { .name = "reharmonized",
      .help = "Over any chord: all uses of the notes, counted by how the chord "
              "written there stands to the home chord, the one of --over or "
              "the one that the notes spell.",
      .kind = OPTION_FLAG,
      .offset = offsetof(struct find_options, reharmonized) },
    { .name = "relation",
      .value_name = "NAME",
      .help = "Only uses that stand so to the home chord, such as \"ii over "
              "its V\"; the names are those that --reharmonized shows.",
      .kind = OPTION_TEXT,
      .offset = offsetof(struct find_options, relation) },
    { .name = "into",
      .value_name = "CHORD",
      .help = "Only where the next chord is this one: a suffix, a class or a "
              "chord, as in --over.",
      .kind = OPTION_TEXT,
      .offset = offsetof(struct find_options, into) },
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
    { .name = "weights",
      .value_name = "harmony=N,position=N,rhythm=N",
      .help = "What counts in the order: 0.55, 0.30 and 0.15 unless said "
              "otherwise.",
      .kind = OPTION_TEXT,
      .offset = offsetof(struct find_options, weights) },
    { .name = "count",
      .help = "Only how many places there are.",
      .kind = OPTION_FLAG,
      .offset = offsetof(struct find_options, count) },
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
    { .name = "output",
      .value_name = "FILE",
      .help = "Write the answer to this file.",
      .kind = OPTION_TEXT,
      .offset = offsetof(struct find_options, output) },
    { .name = "for",
      .help = "Whose instrument the excerpts are written for.",
      .kind = OPTION_CHOICE,
      .choices = reader_words,
      .offset = offsetof(struct find_options, reader) },
    { .name = "context",
      .value_name = "BARS",
      .help = "Bars before and after each excerpt (default 1).",
      .kind = OPTION_NUMBER,
      .min = 0,
      .max = CONTEXT_BARS_MAX,
      .offset = offsetof(struct find_options, context) },
    { .name = "practice",
      .help = "Add the fragment through twelve keys, to be played.",
      .kind = OPTION_CHOICE,
      .choices = practice_orders,
      .offset = offsetof(struct find_options, practice) },
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

/* Everything one question needs while it is answered. */
struct question {
    struct find_options options;
    struct find_query query;
    struct asked_filter asked;
    char *text; /* the fragment, owned; NULL when from a file */
};

static enum status read_text(struct session *session, struct question *q,
                             struct fault *why)
{
    bool in_over = false;
    enum status st = fragment_parse(&q->query.fragment, q->text,
                                    q->options.over, &in_over, why);

    if (st == ST_SYNTAX)
        session->faulty_text = strdup(in_over ? q->options.over : q->text);
    return st;
}

static enum status read_file(struct session *session, struct question *q,
                             struct fault *why)
{
    struct bar_range bars = { NULL, NULL };
    enum status st = ST_OK;

    if (q->options.bars)
        st = bar_range_read(&bars, q->options.bars, why);
    if (st == ST_OK)
        st = fragment_from_file(&q->query.fragment, q->options.from, bars.first,
                                bars.last, q->options.over, why);
    if (st == ST_SYNTAX && q->options.over)
        session->faulty_text = strdup(q->options.over);
    if (st == ST_INPUT)
        fault_prefix(why, "%s", q->options.from);
    bar_range_free(&bars);
    return st;
}

static enum status check_arguments(const struct question *q, int argc,
                                   struct fault *why)
{
    if (q->options.from && argc > 0)
        return fault_set(why, ST_USAGE,
                         "give a fragment or --from FILE, not both");
    if (!q->options.from && argc == 0)
        return fault_set(why, ST_USAGE,
                         "which fragment? For example: cellar find 5 b3 2 1 "
                         "--over m7");
    if (q->options.bars && !q->options.from)
        return fault_set(why, ST_USAGE,
                         "--bars chooses bars of the file given with --from");
    return ST_OK;
}

/* The rhythm asked for, or that of a fragment whose values were written. */
static enum status read_rhythm(struct question *q, struct fault *why)
{
    bool has_values = q->query.fragment.has_rhythm;

    if (q->options.rhythm >= 0)
        q->query.rhythm = (enum rhythm_match)q->options.rhythm;
    else
        q->query.rhythm = q->text && has_values ? RHYTHM_SAME : RHYTHM_ANY;
    if (q->query.rhythm == RHYTHM_ANY || has_values)
        return ST_OK;
    return fault_set(why, ST_USAGE,
                     "--rhythm %s needs a fragment with note values, such as "
                     "5:8 b3:8 2:4",
                     rhythm_words[q->query.rhythm]);
}

static enum status read_fragment(struct session *session, struct question *q,
                                 int argc, char **argv, struct fault *why)
{
    if (q->options.from)
        return read_file(session, q, why);
    q->text = join_arguments(argc, argv);
    return q->text ? read_text(session, q, why) : fault_nomem(why);
}

/* A chord to go to; the fault names the option. */
static enum status read_into(struct question *q, struct fault *why)
{
    enum status st = over_parse(&q->query.into, q->options.into, why);

    if (st == ST_OK && q->query.into.count > 1)
        st = fault_set(why, ST_USAGE, "give one chord");
    if (st == ST_OK && q->query.into.chords[0].function[0])
        st = fault_set(why, ST_USAGE, "write the chord, such as maj7 or "
                       "Cmaj7, not a roman numeral");
    if (st != ST_OK)
        fault_prefix(why, "--into %s", q->options.into);
    return st;
}

static enum status read_harmony(struct question *q, struct fault *why)
{
    const struct find_options *options = &q->options;
    enum status st = ST_OK;

    q->query.edits = (int)options->edits;
    q->query.reharmonized = options->reharmonized || options->relation;
    q->query.weights = (struct rank_weights)RANK_WEIGHTS_DEFAULT;
    if (options->relation) {
        q->query.has_relation = true;
        st = relation_parse(&q->query.relation, options->relation,
                            strlen(options->relation), why);
        if (st != ST_OK)
            fault_prefix(why, "--relation %s", options->relation);
    }
    if (st == ST_OK && options->into)
        st = read_into(q, why);
    if (st == ST_OK && options->weights) {
        st = rank_weights_parse(&q->query.weights, options->weights, why);
        if (st != ST_OK)
            fault_prefix(why, "--weights %s", options->weights);
    }
    return st;
}

static enum status read_question(struct session *session, struct question *q,
                                 int argc, char **argv, struct fault *why)
{
    enum status st = check_arguments(q, argc, why);

    if (st == ST_OK)
        st = read_fragment(session, q, argc, argv, why);
    if (st == ST_OK)
        st = filter_read(&q->asked, &q->options.filter, why);
    if (st == ST_OK)
        st = read_harmony(q, why);
    if (st == ST_OK)
        st = place_read(&q->query.place, &q->options.place, why);
    if (st == ST_OK)
        st = read_rhythm(q, why);
    q->query.any_octave = q->options.any_octave;
    q->query.filter = q->asked.filter;
    q->query.limit = (size_t)q->options.limit;
    q->query.variants = q->options.variants;
    q->query.count_only = q->options.count || q->options.variants;
    return st;
}

/* What was looked for, and what could be loosened. */
static enum status nothing(const struct question *q, struct fault *why)
{
    const char *hints[9];
    char line[200] = "";
    size_t count = 0, used = 0;

    if (q->options.over || q->query.fragment.over.count > 0)
        hints[count++] =
            q->options.over ? "drop --over" : "give another chord with --over";
    if (q->options.relation)
        hints[count++] = "drop --relation";
    else if (q->query.fragment.over.count > 0 && !q->query.reharmonized)
        hints[count++] = "add --reharmonized";
    if (q->options.into)
        hints[count++] = "drop --into";
    if (q->query.edits == 0)
        hints[count++] = "add --edits 1";
    if (place_is_asked(&q->query.place))
        hints[count++] = "look in the whole form";
    if (q->asked.filter.count > 0)
        hints[count++] = "drop a restriction of the solos";
    if (q->query.rhythm != RHYTHM_ANY)
        hints[count++] = "add --rhythm any";
    if (!q->query.any_octave)
        hints[count++] = "add --any-octave";
    hints[count++] = "look for fewer notes";
    for (size_t i = 0; i < count && used < sizeof line; i++) {
        int n = snprintf(line + used, sizeof line - used, "%s%s",
                         i == 0          ? ""
                         : i + 1 < count ? ", "
                                         : " or ",
                         hints[i]);

        used += n > 0 ? (size_t)n : 0;
    }
    return fault_set(why, ST_NOTHING, "no place with '%.120s'%s%.40s; %s",
                     q->text ? q->text : q->options.from,
                     q->options.over ? " over " : "",
                     q->options.over ? q->options.over : "", line);
}

/* Print PAGE, into the file of --output where there is one. */
static enum status print_page(struct session *session,
                              const struct find_options *options,
                              const struct find_page *page, struct fault *why)
{
    struct output out = session_output(session);
    struct outfile file = { NULL, NULL, NULL };
    enum status st = ST_OK;

    if (options->output) {
        st = outfile_open(&file, options->output, why);
        out = (struct output){ file.stream, out.width, false };
    }
    if (st == ST_OK)
        st = printer_for(options->format)->find(&out, page, why);
    return outfile_close(&file, st, why);
}

static enum status answer(struct session *session, const struct question *q,
                          struct fault *why)
{
    struct find_result result;
    int64_t start = now_hundredths();
    enum status st = find_run(&result, session->store, &q->query, why);

    if (st == ST_OK) {
        struct find_page page = { .text = q->text,
                                  .from = q->options.from,
                                  .bars = q->options.bars,
                                  .query = &q->query,
                                  .asked = &q->asked,
                                  .place = &q->options.place,
                                  .relation = q->options.relation,
                                  .into = q->options.into,
                                  .explain = q->options.explain,
                                  .over = q->options.over,
                                  .reader = (enum reader)q->options.reader,
                                  .context = q->options.context,
                                  .practice = q->options.practice,
                                  .result = &result,
                                  .hundredths = now_hundredths() - start };

        st = print_page(session, &q->options, &page, why);
    }
    if (st == ST_OK && result.total == 0)
        st = nothing(q, why);
    find_result_free(&result);
    return st;
}

enum status cmd_find(struct session *session, int argc, char **argv,
                     struct fault *why)
{
    struct question q = { .options = { .limit = 20,
                                      .context = 1,
                                      .practice = -1,
                                      .rhythm = -1,
                                      .place = PLACE_OPTIONS_NONE } };
    const struct option_set sets[] = { { rows, &q.options },
                                       { place_rows(), &q.options.place },
                                       { filter_rows(), &q.options.filter },
                                       { NULL, NULL } };
    enum status st = session_options(session, sets, about, &argc, argv, why);

    if (st == ST_OK && !session->answered) {
        st = read_question(session, &q, argc, argv, why);
        if (st == ST_OK)
            st = session_open(session, why);
        if (st == ST_OK)
            st = answer(session, &q, why);
    }
    free(q.text);
    return st;
}
