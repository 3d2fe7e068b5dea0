/* query/cmd_tension.c - cellar tension: notes on a degree of a chord. */
#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "query/place_options.h"
#include "query/session.h"
#include "query/tension_words.h"

enum {
    LIMIT_DEFAULT = 20
};

struct tension_options {
    const char *over, *length, *approach, *departure, *resolves;
    int accent, in_phrase; /* -1: not given */
    bool table, explain;
    long limit; /* -1: not given */
    int format;
    struct place_options place;
    struct filter_options filter;
};

/* In the order of enum tension_accent and enum tension_in_phrase. */
static const char *const accents[] = { "strong", "weak", "off", NULL };
static const char *const in_phrases[] = { "first", "last", "highest", NULL };

static const struct option_row rows[] = {
    { .kind = OPTION_HEADING, .help = "The note:" },
    { .name = "over",
      .value_name = "CHORD",
      .help = "Only over this chord: a suffix (m7), a class (dominant), a "
              "chord (Dm7, in any key) or a function (V7, V7/ii).",
      .kind = OPTION_TEXT,
      .offset = offsetof(struct tension_options, over) },
    { .name = "length",
      .value_name = "VALUE",
      .help = "Only notes so long: 4 a quarter, 4+ that or longer, 8- an "
              "eighth or shorter, 8-2 from an eighth to a half.",
      .kind = OPTION_TEXT,
      .offset = offsetof(struct tension_options, length) },
    { .name = "accent",
      .help = "Only where it stands in the bar: strong is on the bar line or "
              "in the middle of the bar, weak on another beat, off between "
              "the beats.",
      .kind = OPTION_CHOICE,
      .choices = accents,
      .offset = offsetof(struct tension_options, accent) },
    { .name = "in-phrase",
      .help = "Only the first, the last or the highest note of its phrase.",
      .kind = OPTION_CHOICE,
      .choices = in_phrases,
      .offset = offsetof(struct tension_options, in_phrase) },
    { .name = "approach",
      .value_name = "MOVE",
      .help = "Only notes reached so: step (one or two semitones), chromatic "
              "(one), leap (three or more), repeated; from below or above; or "
              "both, such as step-below.",
      .kind = OPTION_TEXT,
      .offset = offsetof(struct tension_options, approach) },
    { .name = "departure",
      .value_name = "MOVE",
      .help = "Only notes left so: the same, up or down, such as leap-up.",
      .kind = OPTION_TEXT,
      .offset = offsetof(struct tension_options, departure) },
    { .name = "resolves",
      .value_name = "A>B",
      .help = "Only where the chord changes after it, and the next note is B "
              "over the next chord: 'b9>5', or 5 alone, or ? for any. A > "
              "must stand in quotes.",
      .kind = OPTION_TEXT,
      .offset = offsetof(struct tension_options, resolves) },
    { .kind = OPTION_HEADING, .help = "Output:" },
    { .name = "table",
      .help = "Count instead: how often, how long and how resolved, by chord "
              "class; all tensions, or DEGREE alone.",
      .kind = OPTION_FLAG,
      .offset = offsetof(struct tension_options, table) },
    { .name = "explain",
      .help = "Show how the score of each note is made.",
      .kind = OPTION_FLAG,
      .offset = offsetof(struct tension_options, explain) },
    { .name = "limit",
      .value_name = "N",
      .help = "Show at most N notes (default 20; 0: all).",
      .kind = OPTION_NUMBER,
      .min = 0,
      .max = LONG_MAX,
      .offset = offsetof(struct tension_options, limit) },
    { .name = "format",
      .help = "How the answer is written.",
      .kind = OPTION_CHOICE,
      .choices = printer_formats,
      .offset = offsetof(struct tension_options, format) },
    OPTION_END
};

static const char about[] =
    "Every note on one degree of a chord, the most prominent first: long, on "
    "a strong beat, a peak of the line, at the end of its phrase. DEGREE is "
    "written as in a fragment (b9, #11, 13, but also 1 or b7; put one with a "
    "sharp into quotes); b3 and #9 are the same note.\n"
    "\n"
    "  cellar tension b9 --over 7 --length 4+\n"
    "  cellar tension 9 --over m7 --in-phrase last\n"
    "  cellar tension b9 --over V7 --resolves 'b9>5'\n"
    "  cellar tension --table --performer ada\n"
    "\n"
    "The chord of a note is the one it is heard under: a note that comes at "
    "most an eighth before a change and is held over it belongs to the new "
    "chord. It resolves only where it leads across the change of chord, to "
    "the first note over the next one. The notes before and after it are its "
    "neighbours in the line, whatever rests are between; with "
    "--within-phrase only those of its phrase count.\n"
    "\n"
    "In the table, tensions are what is no chord tone: the 6 of a sixth chord "
    "and the 4 of a sus are none. The share is that of all notes over chords "
    "of the class that fit what else was asked.\n";

/* Everything one question needs while it is answered. */
struct question {
    struct tension_options options;
    struct tension_query query;
    struct asked_filter asked;
    char *degree; /* as given, owned; NULL: none */
};

/* --- reading the question ------------------------------------------------- */

static enum status check_arguments(const struct question *q, int argc,
                                   struct fault *why)
{
    const struct tension_options *options = &q->options;

    if (argc == 0 && !options->table && !options->resolves)
        return fault_set(why, ST_USAGE,
                         "which degree? For example: cellar tension b9 --over "
                         "7 (one with a sharp in quotes: '#11'); --table "
                         "counts them all");
    if (options->table && options->explain)
        return fault_set(why, ST_USAGE,
                         "--explain shows how notes are ranked, and --table "
                         "ranks none: give one of them");
    if (options->table && options->limit >= 0)
        return fault_set(why, ST_USAGE,
                         "--table always shows every row: leave out --limit");
    return ST_OK;
}

static enum status read_degree(struct session *session, struct question *q,
                               int argc, char **argv, struct fault *why)
{
    enum status st;

    if (argc == 0)
        return ST_OK;
    q->degree = join_arguments(argc, argv);
    if (!q->degree)
        return fault_nomem(why);
    st = fragment_parse_degree(&q->query.degree, q->degree, why);
    if (st == ST_OK && q->query.degree == TENSION_ANY)
        st = fault_at(why, ST_SYNTAX, 0,
                      "? is any degree: name one, or count them all with "
                      "--table");
    if (st == ST_SYNTAX)
        session->faulty_text = strdup(q->degree);
    return st;
}

static enum status read_over(struct session *session, struct question *q,
                             struct fault *why)
{
    const struct over *over = &q->query.over;
    enum status st = over_parse(&q->query.over, q->options.over, why);

    if (st == ST_SYNTAX)
        session->faulty_text = strdup(q->options.over);
    if (st == ST_OK && over->count > 1)
        st = fault_set(why, ST_USAGE,
                       "--over %.40s: a note has one chord, so give one",
                       q->options.over);
    if (st == ST_OK && over->chords[0].chord.class == CHORD_NONE)
        st = fault_set(why, ST_USAGE,
                       "--over %.40s: without a chord there is no degree",
                       q->options.over);
    return st;
}

/* The degree before the > is the one asked, or asks for it. */
static enum status read_resolves(struct session *session, struct question *q,
                                 struct fault *why)
{
    const char *text = q->options.resolves, *sign = strchr(text, '>');
    int from;
    enum status st = tension_parse_resolves(&q->query, &from, text, why);

    if (st == ST_SYNTAX)
        session->faulty_text = strdup(text);
    if (st != ST_OK)
        fault_prefix(why, "--resolves");
    if (st != ST_OK || from == TENSION_ANY)
        return st;
    if (q->degree && from != q->query.degree)
        return fault_set(why, ST_USAGE,
                         "--resolves %.40s starts on another degree than %.20s",
                         text, q->degree);
    q->query.degree = from;
    if (!q->degree)
        q->degree = strndup(text, (size_t)(sign - text));
    return q->degree ? ST_OK : fault_nomem(why);
}

static enum status read_moves(struct question *q, struct fault *why)
{
    const struct tension_options *options = &q->options;
    enum status st = ST_OK;

    if (options->length)
        st = tension_parse_length(&q->query, options->length, why);
    if (st != ST_OK) {
        fault_prefix(why, "--length %.40s", options->length);
        return st;
    }
    if (options->approach)
        st = tension_parse_approach(&q->query.approach, options->approach, why);
    if (st != ST_OK) {
        fault_prefix(why, "--approach %.40s", options->approach);
        return st;
    }
    if (options->departure)
        st = tension_parse_departure(&q->query.departure, options->departure,
                                     why);
    if (st != ST_OK)
        fault_prefix(why, "--departure %.40s", options->departure);
    return st;
}

static enum status read_question(struct session *session, struct question *q,
                                 int argc, char **argv, struct fault *why)
{
    const struct tension_options *options = &q->options;
    enum status st = check_arguments(q, argc, why);

    q->query = TENSION_QUERY_ALL;
    if (st == ST_OK)
        st = read_degree(session, q, argc, argv, why);
    if (st == ST_OK && options->over)
        st = read_over(session, q, why);
    if (st == ST_OK && options->resolves)
        st = read_resolves(session, q, why);
    if (st == ST_OK && !options->table && q->query.degree == TENSION_ANY)
        st = fault_set(why, ST_USAGE,
                       "which degree resolves so? For example: cellar tension "
                       "b9 --resolves 5");
    if (st == ST_OK)
        st = read_moves(q, why);
    if (st == ST_OK)
        st = filter_read(&q->asked, &options->filter, why);
    if (st == ST_OK)
        st = place_read(&q->query.place, &options->place, why);
    q->query.accent = options->accent;
    q->query.in_phrase = options->in_phrase;
    q->query.filter = q->asked.filter;
    q->query.limit =
        options->limit < 0 ? LIMIT_DEFAULT : (size_t)options->limit;
    return st;
}

/* --- the answer ----------------------------------------------------------- */

/* What was looked for, and what could be loosened. */
static enum status nothing(const struct question *q, struct fault *why)
{
    const struct tension_options *options = &q->options;
    const struct {
        bool asked;
        const char *hint;
    } hints[] = {
        { options->over, "drop --over" },
        { options->length, "drop --length" },
        { options->accent >= 0, "drop --accent" },
        { options->in_phrase >= 0, "drop --in-phrase" },
        { options->approach, "drop --approach" },
        { options->departure, "drop --departure" },
        { options->resolves, "drop --resolves" },
        { place_is_asked(&q->query.place), "look in the whole form" },
        { q->asked.filter.count > 0, "drop a restriction of the solos" },
        { !q->options.table, "see what there is with --table" },
    };
    char line[300] = "";

    for (size_t i = 0; i < sizeof hints / sizeof *hints; i++) {
        size_t used = strlen(line);

        if (hints[i].asked)
            snprintf(line + used, sizeof line - used, "%s%s",
                     used ? ", or " : "; ", hints[i].hint);
    }
    return fault_set(why, ST_NOTHING, "no %s%.20s%s%.40s%s",
                     q->degree ? "note on " : "tension",
                     q->degree ? q->degree : "", options->over ? " over " : "",
                     options->over ? options->over : "", line);
}

static enum status print(struct session *session, const struct question *q,
                         const struct tension_result *result,
                         const struct tension_table *table, struct fault *why)
{
    const struct tension_options *options = &q->options;
    struct output out = session_output(session);
    struct tension_page page = {
        .query = &q->query,
        .asked = &q->asked,
        .place = &options->place,
        .degree = q->degree,
        .over = options->over,
        .length = options->length,
        .accent = options->accent >= 0 ? accents[options->accent] : NULL,
        .in_phrase =
            options->in_phrase >= 0 ? in_phrases[options->in_phrase] : NULL,
        .approach = options->approach,
        .departure = options->departure,
        .resolves = options->resolves,
        .explain = options->explain,
        .result = result,
        .table = table
    };
    enum status st = printer_for(options->format)->tension(&out, &page, why);

    if (st == ST_OK && (result ? result->total : table->total) == 0)
        st = nothing(q, why);
    return st;
}

static enum status answer(struct session *session, const struct question *q,
                          struct fault *why)
{
    struct tension_result result;
    struct tension_table table;
    enum status st;

    if (q->options.table) {
        st = tension_table_run(&table, session->store, &q->query, why);
        if (st == ST_OK)
            st = print(session, q, NULL, &table, why);
        tension_table_free(&table);
    } else {
        st = tension_run(&result, session->store, &q->query, why);
        if (st == ST_OK)
            st = print(session, q, &result, NULL, why);
        tension_result_free(&result);
    }
    return st;
}

enum status cmd_tension(struct session *session, int argc, char **argv,
                        struct fault *why)
{
    struct question q = { .options = { .accent = -1,
                                       .in_phrase = -1,
                                       .limit = -1,
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
    free(q.degree);
    return st;
}
