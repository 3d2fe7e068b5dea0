/* query/cmd_cells.c - cellar cells: the cells that recur. */
#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "query/cells_keep.h"
#include "query/place_options.h"

struct cells_options {
    const char *over, *into, *of, *keep;
    struct option_list versus;
    struct option_range length;
    long min_count, min_solos; /* 0: not given */
    bool all, no_folding;
    int by; /* enum cells_order, or -1: not given */
    long limit;
    int format;
    struct place_options place;
    struct filter_options filter;
};

static const char *const order_words[] = { "count", "spread", "distinct",
                                           NULL };

static const struct option_row rows[] = {
    { .kind = OPTION_HEADING, .help = "Which cells:" },
    { .name = "over",
      .value_name = "CHORD",
      .help = "Only over this chord: a suffix (m7), a class (minor), a chord "
              "(Dm7, in any key) or a function (V7, V7/ii).",
      .kind = OPTION_TEXT,
      .offset = offsetof(struct cells_options, over) },
    { .name = "into",
      .value_name = "CHORD",
      .help = "Only where the next chord is this one: a suffix, a class or a "
              "chord, as in --over.",
      .kind = OPTION_TEXT,
      .offset = offsetof(struct cells_options, into) },
    { .name = "length",
      .value_name = "A-B",
      .help = "Cells of so many notes (default 3-7).",
      .kind = OPTION_RANGE,
      .min = CELLS_NOTES_MIN,
      .max = CELLS_NOTES_MAX,
      .offset = offsetof(struct cells_options, length) },
    { .name = "min-count",
      .value_name = "N",
      .help = "Cells that come at least so often (default 3).",
      .kind = OPTION_NUMBER,
      .min = 1,
      .max = INT_MAX,
      .offset = offsetof(struct cells_options, min_count) },
    { .name = "min-solos",
      .value_name = "N",
      .help = "Cells that come in at least so many solos (default 2; where "
              "only one solo is asked, 1).",
      .kind = OPTION_NUMBER,
      .min = 1,
      .max = INT_MAX,
      .offset = offsetof(struct cells_options, min_solos) },
    { .name = "no-folding",
      .help = "List shorter cells also where they almost always stand inside "
              "a longer one.",
      .kind = OPTION_FLAG,
      .offset = offsetof(struct cells_options, no_folding) },
    { .name = "all",
      .help = "Every cell there is, once or often: the same as --min-count 1 "
              "--min-solos 1 --no-folding.",
      .kind = OPTION_FLAG,
      .offset = offsetof(struct cells_options, all) },
    { .name = "versus",
      .value_name = "NAME=VALUE",
      .help = "Compare with these solos, such as performer=ada, or with all "
              "'others': which cells mark each side. More than one must all "
              "hold.",
      .kind = OPTION_LIST,
      .offset = offsetof(struct cells_options, versus) },
    { .name = "keep",
      .value_name = "BANK[:N]",
      .help = "Keep what is listed in this bank, or only some of it by number: "
              "mine:1,3-5. 'cellar bank add mine 1,3-5' does so afterwards.",
      .kind = OPTION_TEXT,
      .offset = offsetof(struct cells_options, keep) },
    { .name = "of",
      .value_name = "FRAGMENT",
      .help = "The page of one cell: all its uses, over any chord, from any "
              "degree. With --over as its home chord.",
      .kind = OPTION_TEXT,
      .offset = offsetof(struct cells_options, of) },
    { .kind = OPTION_HEADING, .help = "Output:" },
    { .name = "by",
      .help = "What comes first: the most used, those in most solos and keys, "
              "or, with --versus, those that mark a side most (the default "
              "there).",
      .kind = OPTION_CHOICE,
      .choices = order_words,
      .offset = offsetof(struct cells_options, by) },
    { .name = "limit",
      .value_name = "N",
      .help = "Show at most N cells (default 20; 0: all).",
      .kind = OPTION_NUMBER,
      .min = 0,
      .max = LONG_MAX,
      .offset = offsetof(struct cells_options, limit) },
    { .name = "format",
      .help = "How the answer is written.",
      .kind = OPTION_CHOICE,
      .choices = printer_formats,
      .offset = offsetof(struct cells_options, format) },
    OPTION_END
};

/* 3.84 and 10.83: the chi-square distribution of one degree of freedom; R has
 * qchisq(c(.95, .999), 1) = 3.841, 10.828. */
static const char about[] =
    "List the cells of 3 to 7 notes that recur: the same steps from note to "
    "note, from the same degree, over the same class of chord, in any key and "
    "any rhythm. Every occurrence counts, overlapping ones too.\n"
    "\n"
    "  cellar cells --performer ada\n"
    "  cellar cells --over 7 --length 4-5 --by spread\n"
    "  cellar cells --performer ada --versus performer=bo\n"
    "  cellar cells --of \"5 b3 2 1\" --over m7\n"
    "\n"
    "The chord of a cell is the one under most of its notes. Degrees are "
    "those over the plainest chord of the class (m7 for minor, 7 for "
    "dominant). A shorter cell is folded into a longer one when at least nine "
    "in ten of its occurrences lie inside it.\n"
    "\n"
    "--versus gives each cell the log-likelihood ratio of its counts on both "
    "sides (Dunning 1993), positive where it is more frequent among the solos "
    "asked. Of a cell that both play alike it is above 3.84 once in twenty "
    "times, above 10.83 once in a thousand; with many cells some get there by "
    "chance.\n";

/* Everything one question needs while it is answered. */
struct question {
    struct cells_options options;
    struct cells_query query;
    struct asked_filter asked, versus;
    struct fragment fragment; /* of --of */
    char *text; /* the command as given, owned */
};

/* --- reading -------------------------------------------------------------- */

static enum status read_chord(struct session *session, struct over *out,
                              const char *name, const char *text,
                              struct fault *why)
{
    enum status st = over_parse(out, text, why);

    if (st == ST_SYNTAX)
        session->faulty_text = strdup(text);
    if (st == ST_OK && out->count > 1)
        st = fault_set(why, ST_USAGE,
                       "--%s takes one chord: a cell is counted over the one "
                       "under most of its notes",
                       name);
    return st;
}

static enum status read_chords(struct session *session, struct question *q,
                               struct fault *why)
{
    const struct cells_options *o = &q->options;
    enum status st = ST_OK;

    if (o->over && !o->of)
        st = read_chord(session, &q->query.over, "over", o->over, why);
    if (st == ST_OK && o->into)
        st = read_chord(session, &q->query.into, "into", o->into, why);
    if (st == ST_OK && o->into && q->query.into.chords[0].function[0])
        st = fault_set(why, ST_USAGE,
                       "--into %s: write the chord, such as "
                       "maj7 or Cmaj7, not a roman numeral",
                       o->into);
    return st;
}

static enum status read_versus(struct question *q, struct fault *why)
{
    const struct option_list *list = &q->options.versus;
    struct filter_options options = { .where = *list };
    enum status st;

    q->query.compare = list->count > 0;
    if (q->options.by == CELLS_BY_DISTINCT && !q->query.compare)
        return fault_set(why, ST_USAGE,
                         "--by distinct needs solos to compare with: add "
                         "--versus performer=NAME or --versus others");
    if (list->count == 1 && strcasecmp(list->items[0], "others") == 0) {
        q->query.versus_others = true;
        return ST_OK;
    }
    st = filter_read(&q->versus, &options, why);
    if (st != ST_OK)
        fault_prefix(why, "--versus");
    return st;
}

static enum status read_fragment(struct session *session, struct question *q,
                                 struct fault *why)
{
    const struct fragment *f = &q->fragment;
    bool in_over = false;
    enum status st = fragment_parse(&q->fragment, q->options.of,
                                    q->options.over, &in_over, why);

    if (st == ST_SYNTAX)
        session->faulty_text =
            strdup(in_over ? q->options.over : q->options.of);
    if (st != ST_OK)
        return st;
    if (f->count < CELLS_NOTES_MIN || f->count > CELLS_NOTES_MAX)
        return fault_set(why, ST_USAGE,
                         "a cell has 3 to 7 notes; 'cellar find --reharmonized'"
                         " takes from 2 to 32");
    for (size_t i = 0; i < f->count; i++)
        if (f->any[i])
            return fault_set(why, ST_USAGE,
                             "a cell has no '?'; 'cellar find' takes it");
    if (f->over.count > 1)
        return fault_set(why, ST_USAGE, "give one home chord with --over");
    q->query.steps_notes = (int)f->count;
    for (size_t i = 0; i + 1 < f->count; i++)
        q->query.steps[i] = f->midi[i + 1] - f->midi[i];
    q->query.notes_min = q->query.notes_max = (int)f->count;
    q->query.min_count = q->query.min_solos = 1;
    q->query.fold = false;
    return ST_OK;
}

static enum status refuse_mixture(const struct question *q, int argc,
                                  char **argv, struct fault *why)
{
    const struct cells_options *o = &q->options;

    if (argc > 0)
        return fault_set(why, ST_USAGE,
                         "'cells' takes no argument '%.60s'; --of shows the "
                         "page of a cell, --performer keeps to a player",
                         argv[0]);
    if (o->of && (o->length.given || o->min_count || o->min_solos || o->all ||
                  o->no_folding || o->versus.count || o->keep))
        return fault_set(why, ST_USAGE,
                         "--of shows all uses of one cell: --length, "
                         "--min-count, --min-solos, --all, --no-folding, "
                         "--versus and --keep have no meaning with it");
    return ST_OK;
}

static void read_limits(struct question *q)
{
    const struct cells_options *o = &q->options;

    q->query.notes_min = o->length.given ? (int)o->length.low : CELLS_NOTES_MIN;
    q->query.notes_max =
        o->length.given ? (int)o->length.high : CELLS_NOTES_MAX;
    q->query.min_count = o->min_count ? (uint32_t)o->min_count
                         : o->all     ? 1
                                      : CELLS_MIN_COUNT;
    q->query.min_solos = o->min_solos ? (uint32_t)o->min_solos : o->all ? 1 : 0;
    q->query.fold = !o->all && !o->no_folding;
    q->query.by = o->by >= 0            ? (enum cells_order)o->by
                  : o->versus.count > 0 ? CELLS_BY_DISTINCT
                                        : CELLS_BY_COUNT;
    q->query.limit = (size_t)o->limit;
}

static enum status read_question(struct session *session, struct question *q,
                                 int argc, char **argv, struct fault *why)
{
    enum status st = refuse_mixture(q, argc, argv, why);

    read_limits(q);
    if (st == ST_OK)
        st = filter_read(&q->asked, &q->options.filter, why);
    if (st == ST_OK)
        st = place_read(&q->query.place, &q->options.place, why);
    if (st == ST_OK)
        st = read_versus(q, why);
    if (st == ST_OK)
        st = read_chords(session, q, why);
    if (st == ST_OK && q->options.of)
        st = read_fragment(session, q, why);
    q->query.filter = q->asked.filter;
    q->query.versus = q->versus.filter;
    return st;
}

/* --- answering ------------------------------------------------------------ */

/* Why nothing is there, and what could be loosened. */
static enum status nothing(const struct question *q,
                           const struct cells_result *result, struct fault *why)
{
    const struct cells_side_result *own = &result->sides[CELLS_OWN];
    char filter[300];

    if (own->solos.count == 0 && q->asked.filter.count == 0)
        return fault_set(why, ST_NOTHING,
                         "the library holds no solos; put MusicXML files into "
                         "its folder and run cellar-index on it");
    if (own->solos.count == 0)
        return fault_set(why, ST_NOTHING,
                         "no solo with %s; loosen or drop a restriction",
                         filter_describe(filter, sizeof filter, &q->asked));
    if (q->options.of)
        return fault_set(why, ST_NOTHING,
                         "no place with '%.120s' over a chord in %zu solos; "
                         "look for fewer notes, or drop a restriction",
                         q->options.of, own->solos.count);
    return fault_set(why, ST_NOTHING,
                     "no cell comes %u times in %u solos there; lower "
                     "--min-count or --min-solos, or drop a restriction",
                     q->query.min_count, own->min_solos);
}

/* A side without solos is a mistake, not a comparison. */
static enum status check_versus(const struct question *q,
                                const struct cells_result *result,
                                struct fault *why)
{
    char filter[300];

    if (!q->query.compare || result->sides[CELLS_OWN].solos.count == 0 ||
        result->sides[CELLS_VERSUS].solos.count > 0)
        return ST_OK;
    if (q->query.versus_others)
        return fault_set(why, ST_NOTHING,
                         "--versus others: there are no other solos; say "
                         "which ones are asked, such as --performer NAME");
    return fault_set(why, ST_NOTHING,
                     "--versus: no solo with %s; 'cellar solos' lists them",
                     filter_describe(filter, sizeof filter, &q->versus));
}

static enum status print(struct session *session, const struct question *q,
                         const struct cells_result *result, struct fault *why)
{
    const struct printer *printer = printer_for(q->options.format);
    struct output out = session_output(session);
    struct cells_page page = { .query = &q->query,
                               .result = result,
                               .store = session->store,
                               .asked = &q->asked,
                               .versus =
                                   q->query.compare && !q->query.versus_others
                                       ? &q->versus
                                       : NULL,
                               .place = &q->options.place,
                               .over = q->options.over,
                               .into = q->options.into };
    struct cell_page one = { q->options.of, &q->fragment, &page };

    return q->options.of ? printer->cell(&out, &one, why)
                         : printer->cells(&out, &page, why);
}

/* Let the cells that were listed be kept by their numbers. */
static enum status keep(struct session *session, const struct question *q,
                        const struct cells_result *result, struct fault *why)
{
    enum status st = ST_OK;

    if (q->options.of)
        return ST_OK;
    if (q->options.keep && result->sides[CELLS_OWN].shown > 0)
        st = cells_keep(session, result, q->text, q->options.keep, why);
    /* Who named no such bank or number may still do so; where the notebook
     * cannot be written, that was said. */
    if (st == ST_OK || st == ST_NOTHING || st == ST_USAGE)
        cells_remember(session, result, q->text);
    return st;
}

static enum status answer(struct session *session, const struct question *q,
                          struct fault *why)
{
    struct cells_result result = { 0 };
    enum status st = store_read_begin(session->store, why);

    if (st == ST_OK)
        st = cells_run(&result, session->store, &q->query, why);
    if (st == ST_OK)
        st = check_versus(q, &result, why);
    if (st == ST_OK)
        st = print(session, q, &result, why);
    if (st == ST_OK)
        st = keep(session, q, &result, why);
    if (st == ST_OK && result.sides[CELLS_OWN].total == 0 &&
        result.sides[CELLS_VERSUS].total == 0)
        st = nothing(q, &result, why);
    cells_free(&result);
    return st;
}

/* "cellar cells --over m7"; NULL when memory is out. */
static char *say_command(int argc, char **argv)
{
    static const char command[] = "cellar cells ";
    char *arguments = join_arguments(argc, argv);
    char *out = arguments ? malloc(sizeof command + strlen(arguments)) : NULL;

    if (out)
        strcpy(stpcpy(out, command), arguments);
    free(arguments);
    return out;
}

enum status cmd_cells(struct session *session, int argc, char **argv,
                      struct fault *why)
{
    struct question *q = calloc(1, sizeof *q);
    enum status st;

    if (!q)
        return fault_nomem(why);
    q->text = say_command(argc, argv);
    if (!q->text) {
        free(q);
        return fault_nomem(why);
    }
    q->options.limit = 20;
    q->options.by = -1;
    q->options.place = PLACE_OPTIONS_NONE;
    {
        const struct option_set sets[] = { { rows, &q->options },
                                           { place_rows(), &q->options.place },
                                           { filter_rows(),
                                             &q->options.filter },
                                           { NULL, NULL } };

        st = session_options(session, sets, about, &argc, argv, why);
    }
    if (st == ST_OK && !session->answered) {
        st = read_question(session, q, argc, argv, why);
        if (st == ST_OK)
            st = session_open(session, why);
        if (st == ST_OK)
            st = answer(session, q, why);
    }
    free(q->text);
    free(q);
    return st;
}
