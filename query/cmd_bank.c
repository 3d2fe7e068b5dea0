/* query/cmd_bank.c - cellar bank: cells that the user keeps, in named banks.
 *
 * The table of words below says what each takes; what was asked is read
 * before the notebook is opened, and what was done is said once it is on the
 * disk.
 */
#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "query/columns.h"
#include "query/bank.h"
#include "query/bank_add.h"
#include "query/session.h"
#include "query/verb.h"
#include "query/words.h"
#include "schema/grow.h"

struct bank_options {
    const char *over;
    bool details;
    long limit; /* -1: not given */
    int format; /* -1: not given */
};

static const struct option_row rows[] = {
    { .kind = OPTION_HEADING, .help = "For add:" },
    { .name = "over",
      .value_name = "CHORD",
      .help = "The chord of the fragments: a suffix (m7), a class (minor) or "
              "a chord (Dm7). The cell is kept for any chord of that class. "
              "Without it: for any chord.",
      .kind = OPTION_TEXT,
      .offset = offsetof(struct bank_options, over) },
    { .kind = OPTION_HEADING, .help = "For show and list:" },
    { .name = "details",
      .help = "Say when and from where each cell was taken.",
      .kind = OPTION_FLAG,
      .offset = offsetof(struct bank_options, details) },
    { .name = "limit",
      .value_name = "N",
      .help = "Show at most N (default 20; 0: all).",
      .kind = OPTION_NUMBER,
      .min = 0,
      .max = LONG_MAX,
      .offset = offsetof(struct bank_options, limit) },
    { .name = "format",
      .help = "How the answer is written.",
      .kind = OPTION_CHOICE,
      .choices = printer_formats,
      .offset = offsetof(struct bank_options, format) },
    OPTION_END
};

static const char about[] =
    "Keep cells, fragments of 3 to 7 notes, in banks with names of yours. "
    "WORD is one of\n"
    "\n"
    "  new NAME                 make a bank\n"
    "  add NAME FRAGMENT...     put cells into it, each in quotes\n"
    "  add NAME N...            put in cells of the last 'cellar cells'\n"
    "  show NAME                its cells, numbered\n"
    "  note NAME N TEXT         a remark beside a cell; \"\" takes it away\n"
    "  drop NAME N...           take cells out; the numbers close up\n"
    "  list                     all banks\n"
    "  rename NAME NEW          call it otherwise\n"
    "  delete NAME              take it away with all its cells\n"
    "\n"
    "  cellar bank new mine\n"
    "  cellar bank add mine \"5 b3 2 1\" \"b3 5 b7 9\" --over m7\n"
    "  cellar bank add mine \"-4 -1 -2\"\n"
    "  cellar bank add mine 1,3-5\n"
    "  cellar bank note mine 2 slow, then over the V\n"
    "\n"
    "A fragment is written as for 'cellar find': degrees with --over, note "
    "names, or steps in semitones with their signs. A cell has every note "
    "and no rhythm. It is in a bank once: the same steps over the same class "
    "of chord from the same degree are the same cell.\n"
    "\n"
    "N is a number, or several such as 1,3-5, without blanks: in add those of "
    "what 'cellar cells' listed last, in drop and note those that show "
    "prints. So 1,2,3 are three cells and \"1 2 3\" with --over is one of "
    "three notes; \"1 2 3\" without --over is refused, since it may mean "
    "either.\n"
    "\n"
    "A name is up to 80 characters, in quotes where it has blanks; case and "
    "accents do not matter. Banks are kept in .cellar/notebook.db, which "
    "indexing does not touch.\n";

/* What was asked. */
struct bank_ask {
    struct session *session;
    struct bank_options options;
    char name[BANK_NAME_SIZE];
    int argc; /* what follows the name */
    char **argv;
};

/* --- the words -------------------------------------------------------- */

static enum status run_new(struct bank_ask *ask, struct fault *why);
static enum status run_add(struct bank_ask *ask, struct fault *why);
static enum status run_show(struct bank_ask *ask, struct fault *why);
static enum status run_note(struct bank_ask *ask, struct fault *why);
static enum status run_drop(struct bank_ask *ask, struct fault *why);
static enum status run_list(struct bank_ask *ask, struct fault *why);
static enum status run_rename(struct bank_ask *ask, struct fault *why);
static enum status run_delete(struct bank_ask *ask, struct fault *why);

static const struct deed {
    struct verb verb;
    enum status (*run)(struct bank_ask *ask, struct fault *why);
    bool lists; /* takes --details, --limit and --format */
} deeds[] = {
    { { "new", "NAME", 1, 1 }, run_new, false },
    { { "add", "NAME FRAGMENT... [--over CHORD]", 2, -1 }, run_add, false },
    { { "show", "NAME", 1, 1 }, run_show, true },
    { { "note", "NAME N TEXT", 3, -1 }, run_note, false },
    { { "drop", "NAME N...", 2, -1 }, run_drop, false },
    { { "list", "", 0, 0 }, run_list, true },
    { { "rename", "NAME NEW", 2, 2 }, run_rename, false },
    { { "delete", "NAME", 1, 1 }, run_delete, false },
};

enum {
    DEEDS = sizeof deeds / sizeof *deeds
};

static enum status find_deed(const struct deed **out, int argc, char **argv,
                             struct fault *why)
{
    const char *words[DEEDS + 1] = { NULL };
    int index = 0;
    enum status st;

    for (int i = 0; i < DEEDS; i++)
        words[i] = deeds[i].verb.word;
    st = verb_find(&index, "bank", words, argc, argv, why);
    *out = &deeds[index];
    return st == ST_OK ? verb_check(&deeds[index].verb, "bank", argc - 1, why)
                       : st;
}

static enum status check_options(const struct deed *deed,
                                 const struct bank_ask *ask, struct fault *why)
{
    const struct bank_options *o = &ask->options;

    if (o->over && deed->run != run_add)
        return fault_set(why, ST_USAGE, "--over goes with 'bank add'");
    if (!deed->lists && (o->limit >= 0 || o->format >= 0 || o->details))
        return fault_set(why, ST_USAGE,
                         "--limit, --format and --details go "
                         "with 'bank show' and 'bank list'");
    return ST_OK;
}

enum status cmd_bank(struct session *session, int argc, char **argv,
                     struct fault *why)
{
    struct bank_ask ask = { .session = session,
                            .options = { .limit = -1, .format = -1 } };
    const struct option_set sets[] = { { rows, &ask.options }, { NULL, NULL } };
    enum status st = session_options(session, sets, about, &argc, argv, why);
    const struct deed *deed = NULL;

    if (st != ST_OK || session->answered)
        return st;
    st = find_deed(&deed, argc, argv, why);
    if (st == ST_OK)
        st = check_options(deed, &ask, why);
    if (st == ST_OK && deed->verb.least > 0)
        st = name_read(ask.name, &bank_kind, argv[1], why);
    if (st != ST_OK)
        return st;
    ask.argc = argc - 2;
    ask.argv = argv + 2;
    return deed->run(&ask, why);
}

/* --- new, rename, delete ---------------------------------------------- */

static enum status run_new(struct bank_ask *ask, struct fault *why)
{
    struct notebook *notebook;
    enum status st =
        session_notebook(&notebook, ask->session, NOTEBOOK_WRITE, why);

    if (st == ST_OK)
        st = notebook_new_bank(notebook, ask->name, why);
    notebook_close(notebook);
    if (st == ST_OK)
        columns_say(stdout, "%s is a new bank", ask->name);
    return st;
}

static enum status run_rename(struct bank_ask *ask, struct fault *why)
{
    struct notebook *notebook = NULL;
    char to[BANK_NAME_SIZE];
    enum status st = name_read(to, &bank_kind, ask->argv[0], why);

    if (st == ST_OK)
        st = session_notebook(&notebook, ask->session, NOTEBOOK_WRITE, why);
    if (st == ST_OK) {
        st = notebook_rename_bank(notebook, ask->name, to, why);
        st = name_suggest(notebook, &bank_kind, ask->name, st, why);
    }
    notebook_close(notebook);
    if (st == ST_OK)
        columns_say(stdout, "%s is called %s now", ask->name, to);
    return st;
}

static enum status run_delete(struct bank_ask *ask, struct fault *why)
{
    struct notebook *notebook;
    char count[WORDS_SIZE];
    int64_t cells;
    enum status st =
        session_notebook(&notebook, ask->session, NOTEBOOK_WRITE, why);

    if (st == ST_OK) {
        st = notebook_delete_bank(notebook, ask->name, &cells, why);
        st = name_suggest(notebook, &bank_kind, ask->name, st, why);
    }
    notebook_close(notebook);
    if (st == ST_OK)
        columns_say(stdout, "%s is deleted, with %s", ask->name,
                    words_count(count, (uint64_t)cells, "cell", "cells"));
    return st;
}

/* --- add -------------------------------------------------------------- */

/* The cells ADDED, those that are NEW or those that are not; text. */
static enum status print_added(const struct bank_ask *ask,
                               const struct bank *added, const bool *new,
                               bool wanted, struct fault *why)
{
    struct output out = session_output(ask->session);
    char count[WORDS_SIZE], heading[BANK_NAME_SIZE + 2 * WORDS_SIZE];
    struct bank part = { .count = 0 };
    enum status st = ST_OK;

    for (size_t i = 0; st == ST_OK && i < added->count; i++)
        if (new[i] == wanted && !bank_push(&part, &added->cells[i]))
            st = fault_nomem(why);
    words_count(count, part.count, "cell", "cells");
    snprintf(heading, sizeof heading, "%s: %s %s", ask->name, count,
             wanted ? "added" : "in it already");
    if (st == ST_OK && part.count > 0) {
        struct bank_page page = { heading, &part, part.count, false };

        st = print_text.bank(&out, &page, why);
    }
    bank_free(&part);
    return st;
}

/* Nothing is new: the first that is in already names the rest. */
static enum status none_new(const struct bank_ask *ask,
                            const struct bank *added, struct fault *why)
{
    const struct kept_cell *first = &added->cells[0];
    char text[CELL_TEXT_SIZE], rest[WORDS_SIZE] = "";

    if (added->count > 1)
        snprintf(rest, sizeof rest, ", and so it is with the other %zu",
                 added->count - 1);
    return fault_set(why, ST_NOTHING,
                     "nothing was added: %.100s over %s is "
                     "cell %d of %.160s already%s",
                     bank_cell_text(text, first), bank_cell_over(&first->cell),
                     (int)first->number, ask->name, rest);
}

static enum status say_added(const struct bank_ask *ask,
                             const struct bank *added, const bool *new,
                             struct fault *why)
{
    bool any = false;
    enum status st;

    for (size_t i = 0; i < added->count; i++)
        any = any || new[i];
    if (!any)
        return none_new(ask, added, why);
    st = print_added(ask, added, new, true, why);
    return st == ST_OK ? print_added(ask, added, new, false, why) : st;
}

static enum status run_add(struct bank_ask *ask, struct fault *why)
{
    struct bank_adding adding = { .name = ask->name,
                                  .over = ask->options.over,
                                  .argc = ask->argc,
                                  .argv = ask->argv };
    struct notebook *notebook = NULL;
    struct bank added = { .count = 0 };
    bool *new = calloc((size_t)ask->argc + NUMBERS_MAX, sizeof *new);
    enum status st =
        new ? bank_add_read(&adding, &ask->session->faulty_text, &added, why)
            : fault_nomem(why);

    if (st == ST_OK)
        st = session_notebook(&notebook, ask->session, NOTEBOOK_WRITE, why);
    if (st == ST_OK)
        st = bank_add_run(&adding, notebook, &added, new, why);
    notebook_close(notebook);
    if (st == ST_OK)
        st = say_added(ask, &added, new, why);
    bank_free(&added);
    free(new);
    return st;
}

/* --- note, drop ------------------------------------------------------- */

static enum status run_note(struct bank_ask *ask, struct fault *why)
{
    char *text = join_arguments(ask->argc - 1, ask->argv + 1);
    struct notebook *notebook = NULL;
    struct number_list numbers;
    enum status st =
        text ? numbers_read_all(&numbers, 1, ask->argv, why) : fault_nomem(why);

    if (st == ST_OK && numbers.count > 1)
        st = fault_set(why, ST_USAGE,
                       "a remark stands beside one cell: "
                       "cellar bank note NAME N TEXT");
    if (st == ST_OK)
        st = remark_read(text, why);
    if (st == ST_OK)
        st = session_notebook(&notebook, ask->session, NOTEBOOK_WRITE, why);
    if (st == ST_OK) {
        st = notebook_note_cell(notebook, ask->name, numbers.items[0], text,
                                why);
        st = name_suggest(notebook, &bank_kind, ask->name, st, why);
    }
    notebook_close(notebook);
    if (st == ST_OK && *text)
        columns_say(stdout, "%s, cell %d: %s", ask->name,
                    (int)numbers.items[0], text);
    else if (st == ST_OK)
        columns_say(stdout, "%s, cell %d: no remark now", ask->name,
                    (int)numbers.items[0]);
    free(text);
    return st;
}

struct dropping {
    struct bank gone;
    bool nomem;
};

static bool take_dropped(void *context, const struct kept_cell *kept)
{
    struct dropping *dropping = context;

    dropping->nomem = !bank_push(&dropping->gone, kept) || dropping->nomem;
    return true;
}

static enum status say_dropped(const struct bank_ask *ask,
                               const struct bank *gone, struct fault *why)
{
    struct output out = session_output(ask->session);
    char count[WORDS_SIZE], heading[BANK_NAME_SIZE + 2 * WORDS_SIZE];
    struct bank_page page = { heading, gone, gone->count, false };

    snprintf(heading, sizeof heading, "%s: %s dropped", ask->name,
             words_count(count, gone->count, "cell", "cells"));
    return print_text.bank(&out, &page, why);
}

static enum status run_drop(struct bank_ask *ask, struct fault *why)
{
    struct dropping dropping = { .nomem = false };
    struct notebook *notebook = NULL;
    struct number_list numbers;
    enum status st = numbers_read_all(&numbers, ask->argc, ask->argv, why);

    if (st == ST_OK)
        st = session_notebook(&notebook, ask->session, NOTEBOOK_WRITE, why);
    if (st == ST_OK) {
        st = notebook_drop_cells(notebook, ask->name, numbers.items,
                                 numbers.count, take_dropped, &dropping, why);
        st = name_suggest(notebook, &bank_kind, ask->name, st, why);
    }
    notebook_close(notebook);
    if (st == ST_OK)
        st = dropping.nomem ? fault_nomem(why)
                            : say_dropped(ask, &dropping.gone, why);
    bank_free(&dropping.gone);
    return st;
}

/* --- show, list ------------------------------------------------------- */

/* How many of COUNT are shown. */
static size_t shown(const struct bank_ask *ask, size_t count)
{
    long limit = ask->options.limit < 0 ? 20 : ask->options.limit;

    return limit > 0 && (size_t)limit < count ? (size_t)limit : count;
}

static const struct printer *printer_of(const struct bank_ask *ask)
{
    return printer_for(ask->options.format < 0 ? 0 : ask->options.format);
}

static enum status run_show(struct bank_ask *ask, struct fault *why)
{
    struct output out = session_output(ask->session);
    char count[WORDS_SIZE], heading[BANK_NAME_SIZE + 2 * WORDS_SIZE];
    struct bank bank = { .count = 0 };
    struct notebook *notebook;
    enum status st =
        session_notebook(&notebook, ask->session, NOTEBOOK_READ, why);

    if (st == ST_OK)
        st = bank_load(&bank, notebook, ask->name, why);
    notebook_close(notebook);
    if (st == ST_OK) {
        struct bank part = bank;
        struct bank_page page = { heading, &part, bank.count,
                                  ask->options.details };

        part.count = shown(ask, bank.count);
        snprintf(heading, sizeof heading, "%s: %s", bank.name,
                 bank.count == 0
                     ? "no cells yet"
                     : words_count(count, bank.count, "cell", "cells"));
        st = printer_of(ask)->bank(&out, &page, why);
    }
    bank_free(&bank);
    return st;
}

struct listing_banks {
    struct bank_list list;
    bool nomem;
};

static bool take_bank(void *context, const char *name, int64_t cells)
{
    struct listing_banks *l = context;
    struct bank_entry *items =
        grow_room(l->list.items, l->list.count, &l->list.room, sizeof *items);

    l->nomem = !items;
    if (!items)
        return false;
    l->list.items = items;
    items += l->list.count++;
    snprintf(items->name, sizeof items->name, "%s", name);
    items->cells = cells;
    return true;
}

static enum status run_list(struct bank_ask *ask, struct fault *why)
{
    struct output out = session_output(ask->session);
    struct listing_banks l = { .nomem = false };
    struct notebook *notebook;
    enum status st =
        session_notebook(&notebook, ask->session, NOTEBOOK_READ, why);

    if (st == ST_OK && notebook)
        st = notebook_banks(notebook, take_bank, &l, why);
    notebook_close(notebook);
    if (st == ST_OK && l.nomem)
        st = fault_nomem(why);
    if (st == ST_OK) {
        l.list.total = l.list.count;
        l.list.count = shown(ask, l.list.count);
        st = printer_of(ask)->banks(&out, &l.list, why);
    }
    if (st == ST_OK && l.list.total == 0)
        st = name_suggest(NULL, &bank_kind, "", ST_NOTHING, why);
    free(l.list.items);
    return st;
}
