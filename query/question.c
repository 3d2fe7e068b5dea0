/* query/question.c - a fragment and all that is asked of its places. */
#include "query/question.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "query/bar_range.h"

static const char *const rhythm_words[] = { "any", "same", "scaled", NULL };

static const struct option_row rows[] = {
    { .kind = OPTION_HEADING, .help = "The fragment:" },
    { .name = "over",
      .value_name = "CHORD",
      .help = "Only over this chord: a suffix (m7), a class (minor), a chord "
              "(Dm7, in any key), a function (V7, V7/ii), or several "
              "joined by | where the chord changes inside.",
      .kind = OPTION_TEXT,
      .offset = offsetof(struct question_options, over) },
    { .name = "from",
      .value_name = "FILE",
      .help = "Take the fragment from a MusicXML file, with its chords.",
      .kind = OPTION_TEXT,
      .offset = offsetof(struct question_options, from) },
    { .name = "bars",
      .value_name = "A-B",
      .help = "Only these bars of that file, by their printed numbers.",
      .kind = OPTION_TEXT,
      .offset = offsetof(struct question_options, bars) },
    { .name = "any-octave",
      .help = "Each note may stand in any octave.",
      .kind = OPTION_FLAG,
      .offset = offsetof(struct question_options, any_octave) },
    { .name = "rhythm",
      .help = "Any rhythm, the same, or the same at another speed. Without "
              "it: the same where note values are written, else any.",
      .kind = OPTION_CHOICE,
      .choices = rhythm_words,
      .offset = offsetof(struct question_options, rhythm) },
    { .name = "edits",
      .value_name = "K",
      .help = "Allow up to K notes to be inserted, left out or changed (0 to "
              "3); the first and the last are kept.",
      .kind = OPTION_NUMBER,
      .min = 0,
      .max = EDITS_MAX,
      .offset = offsetof(struct question_options, edits) },
    { .kind = OPTION_HEADING, .help = "The harmony:" },
    { .name = "reharmonized",
      .help = "Over any chord: all uses of the notes, counted by how the chord "
              "written there stands to the home chord, the one of --over or "
              "the one that the notes spell.",
      .kind = OPTION_FLAG,
      .offset = offsetof(struct question_options, reharmonized) },
    { .name = "relation",
      .value_name = "NAME",
      .help = "Only uses that stand so to the home chord, such as \"ii over "
              "its V\"; the names are those that --reharmonized shows.",
      .kind = OPTION_TEXT,
      .offset = offsetof(struct question_options, relation) },
    { .name = "into",
      .value_name = "CHORD",
      .help = "Only where the next chord is this one: a suffix, a class or a "
              "chord, as in --over.",
      .kind = OPTION_TEXT,
      .offset = offsetof(struct question_options, into) },
    { .name = "weights",
      .value_name = "harmony=N,position=N,rhythm=N",
      .help = "What counts in the order: 0.55, 0.30 and 0.15 unless said "
              "otherwise.",
      .kind = OPTION_TEXT,
      .offset = offsetof(struct question_options, weights) },
    OPTION_END
};

const struct option_row *question_rows(void)
{
    return rows;
}

static enum status read_text(struct session *session, struct question *q,
                             struct fault *why)
{
    bool in_over = false;
    enum status st = fragment_parse(&q->query.fragment, q->text,
                                    q->options->over, &in_over, why);

    if (st == ST_SYNTAX)
        session->faulty_text = strdup(in_over ? q->options->over : q->text);
    return st;
}

static enum status read_file(struct session *session, struct question *q,
                             struct fault *why)
{
    struct bar_range bars = { NULL, NULL };
    enum status st = ST_OK;

    if (q->options->bars)
        st = bar_range_read(&bars, q->options->bars, why);
    if (st == ST_OK)
        st = fragment_from_file(&q->query.fragment, q->options->from,
                                bars.first, bars.last, q->options->over, why);
    if (st == ST_SYNTAX && q->options->over)
        session->faulty_text = strdup(q->options->over);
    if (st == ST_INPUT)
        fault_prefix(why, "%s", q->options->from);
    bar_range_free(&bars);
    return st;
}

static enum status check_arguments(const struct question *q, int argc,
                                   struct fault *why)
{
    if (q->options->from && argc > 0)
        return fault_set(why, ST_USAGE,
                         "give a fragment or --from FILE, not both");
    if (!q->options->from && argc == 0)
        return fault_set(why, ST_USAGE,
                         "which fragment? For example: cellar find 5 b3 2 1 "
                         "--over m7");
    if (q->options->bars && !q->options->from)
        return fault_set(why, ST_USAGE,
                         "--bars chooses bars of the file given with --from");
    return ST_OK;
}

/* The rhythm asked for, or that of a fragment whose values were written. */
static enum status read_rhythm(struct question *q, struct fault *why)
{
    bool has_values = q->query.fragment.has_rhythm;

    if (q->options->rhythm >= 0)
        q->query.rhythm = (enum rhythm_match)q->options->rhythm;
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
    if (q->options->from)
        return read_file(session, q, why);
    q->text = join_arguments(argc, argv);
    return q->text ? read_text(session, q, why) : fault_nomem(why);
}

/* A chord to go to; the fault names the option. */
static enum status read_into(struct question *q, struct fault *why)
{
    enum status st = over_parse(&q->query.into, q->options->into, why);

    if (st == ST_OK && q->query.into.count > 1)
        st = fault_set(why, ST_USAGE, "give one chord");
    if (st == ST_OK && q->query.into.chords[0].function[0])
        st = fault_set(why, ST_USAGE,
                       "write the chord, such as maj7 or "
                       "Cmaj7, not a roman numeral");
    if (st != ST_OK)
        fault_prefix(why, "--into %s", q->options->into);
    return st;
}

static enum status read_harmony(struct question *q, struct fault *why)
{
    const struct question_options *options = q->options;
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

enum status question_read(struct question *out, struct session *session,
                          const struct question_options *options, int argc,
                          char **argv, struct fault *why)
{
    struct question *q = out;
    enum status st;

    memset(q, 0, sizeof *q);
    q->options = options;
    st = check_arguments(q, argc, why);
    if (st == ST_OK)
        st = read_fragment(session, q, argc, argv, why);
    if (st == ST_OK)
        st = filter_read(&q->asked, &options->filter, why);
    if (st == ST_OK)
        st = read_harmony(q, why);
    if (st == ST_OK)
        st = place_read(&q->query.place, &options->place, why);
    if (st == ST_OK)
        st = read_rhythm(q, why);
    q->query.any_octave = options->any_octave;
    q->query.filter = q->asked.filter;
    return st;
}

void question_free(struct question *question)
{
    free(question->text);
    question->text = NULL;
}

/* What was looked for, and what could be loosened. */
enum status question_nothing(const struct question *q, struct fault *why)
{
    const char *hints[9];
    char line[200] = "";
    size_t count = 0, used = 0;

    if (q->options->over || q->query.fragment.over.count > 0)
        hints[count++] =
            q->options->over ? "drop --over" : "give another chord with --over";
    if (q->options->relation)
        hints[count++] = "drop --relation";
    else if (q->query.fragment.over.count > 0 && !q->query.reharmonized)
        hints[count++] = "add --reharmonized";
    if (q->options->into)
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
                     q->text ? q->text : q->options->from,
                     q->options->over ? " over " : "",
                     q->options->over ? q->options->over : "", line);
}
