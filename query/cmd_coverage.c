/* query/cmd_coverage.c - cellar coverage: what a line is made of. */
#include <limits.h>
#include <stdio.h>

#include "query/coverage_cells.h"
#include "query/one_solo.h"
#include "query/words.h"

enum {
    COMMONEST = 40 /* cells, unless said otherwise */
};

struct coverage_options {
    const char *bars, *bank, *over;
    struct option_list cells;
    long commonest;
    struct option_range length;
    int format;
    struct filter_options filter;
};

static const struct option_row rows[] = {
    { .kind = OPTION_HEADING, .help = "The passage:" },
    { .name = "bars",
      .value_name = "A-B",
      .help = "Only these bars, by their printed numbers; cells lie wholly "
              "inside of them.",
      .kind = OPTION_TEXT,
      .offset = offsetof(struct coverage_options, bars) },
    { .kind = OPTION_HEADING,
      .help = "The cells (without these, the commonest of all other solos):" },
    { .name = "bank",
      .value_name = "NAME",
      .help = "Cover with the cells of this bank, each over the kind of chord "
              "it was kept with.",
      .kind = OPTION_TEXT,
      .offset = offsetof(struct coverage_options, bank) },
    { .name = "cell",
      .value_name = "FRAGMENT",
      .help = "Cover with this cell of 3 to 7 notes, written as for 'cellar "
              "find'; may be repeated.",
      .kind = OPTION_LIST,
      .offset = offsetof(struct coverage_options, cells) },
    { .name = "over",
      .value_name = "CHORD",
      .help = "The kind of chord that the cells stand over, such as m7 or "
              "dominant; they then count only there, and from the degree "
              "they start on.",
      .kind = OPTION_TEXT,
      .offset = offsetof(struct coverage_options, over) },
    { .name = "commonest",
      .value_name = "N",
      .help = "How many of the commonest cells are taken (0: all; default "
              "40).",
      .kind = OPTION_NUMBER,
      .min = 0,
      .max = LONG_MAX,
      .offset = offsetof(struct coverage_options, commonest) },
    { .name = "length",
      .value_name = "A-B",
      .help = "Only the commonest cells of so many notes (default 3-7).",
      .kind = OPTION_RANGE,
      .min = CELLS_NOTES_MIN,
      .max = CELLS_NOTES_MAX,
      .offset = offsetof(struct coverage_options, length) },
    { .kind = OPTION_HEADING, .help = "Output:" },
    { .name = "format",
      .help = "How the answer is written.",
      .kind = OPTION_CHOICE,
      .choices = printer_formats,
      .offset = offsetof(struct coverage_options, format) },
    OPTION_END
};

static const char about[] =
    "Show how much of a solo is made of cells: the choice of places that "
    "covers most notes, no two of them overlapping. What lies between is "
    "named: scale run, arpeggio, chromatic run, enclosure, approach note, "
    "repeated note, other. SOLO is its path in the library, or any part of "
    "the path or the title that no other solo has.\n"
    "\n"
    "The commonest cells are those that the other solos use 3 times or more, "
    "in 2 of them or more; what only this solo does is no common cell. With "
    "--performer and the like they are taken from those solos alone.\n"
    "\n"
    "  cellar coverage kittleby/lemon --bars 1-8\n"
    "  cellar coverage kittleby/lemon --bank warm-up\n"
    "  cellar coverage kittleby/lemon --performer wrenmoor\n"
    "  cellar coverage lemon --cell \"5 b3 2 1\" --over m7\n"
    "\n"
    "Below each bar stands what its notes are: the number of a cell in the "
    "list at the end, or what joins two cells. A chord in parentheses is "
    "played ahead of. Degrees count from the chord of each note, those of a "
    "cell from the chord under most of it.\n";

/* What is asked, and what the answer is made of. */
struct question {
    struct coverage_options options;
    struct one_solo one;
    struct asked_filter asked; /* of the solos with the commonest cells */
    struct coverage_cells cells;
    struct bar_indexes bars;
    char bank[BANK_NAME_SIZE]; /* its name as it is kept */
    char cells_from[1024];
};

static enum status check_options(struct question *q, struct fault *why)
{
    const struct coverage_options *options = &q->options;
    enum status st = filter_read(&q->asked, &options->filter, why);

    if (st != ST_OK)
        return st;
    if (options->over && options->cells.count == 0)
        return fault_set(why, ST_USAGE,
                         "--over says over which chord the cells given with "
                         "--cell stand");
    if (options->bank && options->cells.count > 0)
        return fault_set(why, ST_USAGE, "give --bank or --cell, not both");
    if ((options->bank || options->cells.count > 0) &&
        (options->length.given || options->commonest >= 0 ||
         q->asked.filter.count > 0))
        return fault_set(why, ST_USAGE,
                         "--commonest, --length and what restricts the solos "
                         "choose among the library's cells: leave them out, "
                         "or --bank and --cell");
    return ST_OK;
}

/* Cells that need no library: a mistake in them is told before it is opened. */
static enum status read_cells(struct question *q, struct fault *why)
{
    const struct option_list *texts = &q->options.cells;
    char count[WORDS_SIZE];
    enum status st =
        coverage_cells_read(&q->cells, texts, q->options.over, why);

    snprintf(q->cells_from, sizeof q->cells_from, "%s given with --cell",
             words_count(count, q->cells.count, "cell", "cells"));
    return st;
}

static enum status bank_cells(struct question *q, const char *library,
                              struct fault *why)
{
    char count[WORDS_SIZE];
    enum status st =
        coverage_cells_bank(&q->cells, library, q->options.bank, q->bank, why);

    snprintf(q->cells_from, sizeof q->cells_from, "%s of the bank %s",
             words_count(count, q->cells.count, "cell", "cells"), q->bank);
    return st;
}

static enum status common_cells(struct question *q, struct store *store,
                                struct fault *why)
{
    const struct coverage_options *o = &q->options;
    bool some = o->length.given;
    char restriction[768];
    enum status st = coverage_cells_common(
        &q->cells, store, &q->asked.filter, q->one.list.items->id,
        some ? (int)o->length.low : CELLS_NOTES_MIN,
        some ? (int)o->length.high : CELLS_NOTES_MAX,
        o->commonest < 0 ? COMMONEST : (size_t)o->commonest, why);

    filter_describe(restriction, sizeof restriction, &q->asked);
    if (q->cells.count == 0)
        snprintf(q->cells_from, sizeof q->cells_from, "none");
    else
        snprintf(q->cells_from, sizeof q->cells_from,
                 "the %zu commonest of the other solos%s%s", q->cells.count,
                 *restriction ? " with " : "", restriction);
    return st;
}

/* The bars asked for: q->bars, and the notes in them. */
static enum status find_passage(struct question *q, size_t *first,
                                size_t *count, struct fault *why)
{
    const struct solo *solo = q->one.solo;
    struct bar_range range = { NULL, NULL };
    enum status st = ST_OK;

    if (q->options.bars)
        st = bar_range_read(&range, q->options.bars, why);
    if (st == ST_OK)
        st = bar_range_find(&q->bars, solo, range.first, range.last, ST_USAGE,
                            why);
    bar_range_free(&range);
    if (st != ST_OK)
        return st;
    bar_range_notes(first, count, solo, &q->bars);
    if (*count == 0)
        return fault_set(why, ST_NOTHING, "there are no notes in %s%s",
                         q->options.bars ? "bars " : "this solo",
                         q->options.bars ? q->options.bars : "");
    return ST_OK;
}

static enum status nothing(const struct question *q, struct fault *why)
{
    if (q->cells.count == 0 && q->options.bank)
        return fault_set(why, ST_NOTHING, "the bank %s holds no cells",
                         q->bank);
    if (q->cells.count == 0)
        return fault_set(why, ST_NOTHING,
                         "no cell%s is used 3 times in 2 other solos%s: name "
                         "cells with --bank or --cell",
                         q->options.length.given ? " of that length" : "",
                         q->asked.filter.count > 0 ? " like that" : "");
    return fault_set(why, ST_NOTHING, "none of the cells occurs here%s%s",
                     q->options.bars ? "; leave out --bars" : "",
                     q->options.over ? "; leave out --over" : "");
}

static enum status answer(const struct session *session,
                          const struct question *q,
                          const struct coverage *coverage, struct fault *why)
{
    struct output out = session_output(session);
    struct coverage_page page = { .record = q->one.list.items,
                                  .solo = q->one.solo,
                                  .asked = q->options.bars,
                                  .bars = q->bars,
                                  .cells_from = q->cells_from,
                                  .bank = q->options.bank ? q->bank : NULL,
                                  .cells = q->cells.items,
                                  .cell_count = q->cells.count,
                                  .coverage = coverage };
    enum status st = printer_for(q->options.format)->coverage(&out, &page, why);

    return st == ST_OK && coverage->covered == 0 ? nothing(q, why) : st;
}

static enum status run(struct session *session, struct question *q, int argc,
                       char **argv, struct fault *why)
{
    struct coverage coverage;
    size_t first = 0, count = 0;
    enum status st = check_options(q, why);

    if (st == ST_OK && q->options.cells.count > 0)
        st = read_cells(q, why);
    if (st == ST_OK)
        st = one_solo_open(&q->one, session, argc, argv, why);
    if (st == ST_OK)
        st = find_passage(q, &first, &count, why);
    if (st == ST_OK && q->options.bank)
        st = bank_cells(q, session->library, why);
    else if (st == ST_OK && q->options.cells.count == 0)
        st = common_cells(q, session->store, why);
    if (st == ST_OK)
        st = coverage_make(&coverage, q->one.solo, first, count, q->cells.items,
                           q->cells.count, why);
    if (st != ST_OK)
        return st;
    st = answer(session, q, &coverage, why);
    coverage_free(&coverage);
    return st;
}

enum status cmd_coverage(struct session *session, int argc, char **argv,
                         struct fault *why)
{
    struct question q = { .options = { .commonest = -1 } };
    const struct option_set sets[] = { { rows, &q.options },
                                       { filter_rows(), &q.options.filter },
                                       { NULL, NULL } };
    enum status st = session_options(session, sets, about, &argc, argv, why);

    if (st == ST_OK && !session->answered)
        st = run(session, &q, argc, argv, why);
    one_solo_close(&q.one);
    coverage_cells_free(&q.cells);
    return st;
}
