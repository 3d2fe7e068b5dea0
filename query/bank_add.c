/* query/bank_add.c - see bank_add.h. */
#include "query/bank_add.h"

#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "query/session.h"

static const char blanks[] = " \t\n\r\v\f";

/* --- fragments or numbers --------------------------------------------- */

static const char *trimmed(const char *text)
{
    return text + strspn(text, blanks);
}

/* One word, without a blank inside? */
static bool is_word(const char *text)
{
    const char *end = trimmed(text) + strcspn(trimmed(text), blanks);

    return *trimmed(text) && !*trimmed(end);
}

/* Several words of digits, commas and dashes: "1 2 3", "1, 3-5". */
static bool is_plain_row(const char *text)
{
    text = trimmed(text);
    return !is_word(text) && *text >= '0' && *text <= '9' &&
           text[strspn(text, "0123456789,- ")] == '\0' && !strstr(text, " -");
}

/* The arguments as one fragment would be written. */
static enum status forgot_quotes(const struct bank_adding *adding,
                                 struct fault *why)
{
    char *joined = join_arguments(adding->argc, adding->argv);
    enum status st = ST_USAGE;

    if (!joined)
        return fault_nomem(why);
    if (adding->argc == 1)
        st = fault_set(why, st,
                       "'%.60s' is no cell: it has %d to %d notes, "
                       "in quotes, such as \"5 b3 2 1\"",
                       joined, CELL_NOTES_MIN, CELL_NOTES_MAX);
    else
        st = fault_set(why, st,
                       "a fragment goes in quotes: cellar bank add "
                       "%.100s \"%.100s\"%s%.40s",
                       adding->name, joined, adding->over ? " --over " : "",
                       adding->over ? adding->over : "");
    free(joined);
    return st;
}

/* "1 2 3" alone: cells of the listing, or degrees? */
static enum status may_be_both(const struct bank_adding *adding,
                               const char *text, struct fault *why)
{
    return fault_set(why, ST_USAGE,
                     "'%.60s' may be numbers of cells or "
                     "degrees: write the numbers as 1,2,3; write the degrees "
                     "with their chord, cellar bank add %.100s \"%.60s\" "
                     "--over maj7, or for any chord as steps, such as "
                     "\"+2 +2\"",
                     text, adding->name, text);
}

/* *NUMBERS: are these the numbers of cells? */
static enum status tell_apart(const struct bank_adding *adding, bool *numbers,
                              struct fault *why)
{
    int listed = 0;

    for (int i = 0; i < adding->argc; i++) {
        const char *text = adding->argv[i];

        if (numbers_look(text))
            listed++;
        else if (is_word(text))
            return forgot_quotes(adding, why);
        else if (!adding->over && is_plain_row(text))
            return may_be_both(adding, text, why);
    }
    *numbers = listed > 0;
    if (listed > 0 && adding->over)
        return forgot_quotes(adding, why);
    if (listed > 0 && listed < adding->argc)
        return fault_set(why, ST_USAGE,
                         "add cells by number and fragments "
                         "one after the other, not at once");
    return ST_OK;
}

/* --- reading ---------------------------------------------------------- */

static enum status read_fragment(const struct bank_adding *adding,
                                 const char *text, char **faulty,
                                 struct bank *out, struct fault *why)
{
    char given[CELL_TEXT_SIZE];
    bool in_over = false;
    struct kept_cell kept = {
        .given = given, .note = "", .origin = "", .added = (int64_t)time(NULL)
    };
    enum status st =
        bank_read_cell(&kept.cell, given, text, adding->over, &in_over, why);

    if (st == ST_SYNTAX)
        *faulty = strdup(in_over ? adding->over : text);
    if (st != ST_OK)
        return st;
    return bank_push(out, &kept) ? ST_OK : fault_nomem(why);
}

enum status bank_add_read(struct bank_adding *adding, char **faulty,
                          struct bank *out, struct fault *why)
{
    bool numbers = false;
    enum status st = tell_apart(adding, &numbers, why);

    adding->numbers.count = 0;
    for (int i = 0; st == ST_OK && i < adding->argc; i++)
        st = numbers ? numbers_read(&adding->numbers, adding->argv[i], why)
                     : read_fragment(adding, adding->argv[i], faulty, out, why);
    return st;
}

/* --- adding ----------------------------------------------------------- */

static enum status add_listed(const struct bank_adding *adding,
                              struct notebook *notebook, struct bank *out,
                              bool *new, struct fault *why)
{
    const struct number_list *numbers = &adding->numbers;
    struct listed_cell *cells = calloc(numbers->count, sizeof *cells);
    struct listing about;
    enum status st;

    if (!cells)
        return fault_nomem(why);
    st = notebook_listed(notebook, &about, numbers->items, numbers->count,
                         cells, why);
    if (st == ST_NOTHING)
        fault_set(why, st,
                  "no cells were listed yet: run 'cellar cells' "
                  "first, or write a fragment in quotes, such as \"5 b3 2 "
                  "1\"");
    else if (st == ST_OK)
        st = bank_add_listed(out, notebook, adding->name, about.question,
                             numbers->items, cells, numbers->count, new, why);
    free(cells);
    return st;
}

enum status bank_add_run(const struct bank_adding *adding,
                         struct notebook *notebook, struct bank *out, bool *new,
                         struct fault *why)
{
    enum status st;

    if (adding->numbers.count > 0)
        return add_listed(adding, notebook, out, new, why);
    st = notebook_add_cells(notebook, adding->name, out->cells, new, out->count,
                            why);
    return name_suggest(notebook, &bank_kind, adding->name, st, why);
}
