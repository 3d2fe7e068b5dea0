/* query/cmd_list.c - cellar list: study lists, and the handouts made of them.
 *
 * The table of words below says what each takes; what was asked is read before
 * the notebook is opened, and what was done is said once it is on the disk.
 */
#include <inttypes.h>
#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "query/columns.h"
#include "query/list_fill.h"
#include "query/outfile.h"
#include "query/study.h"
#include "query/verb.h"
#include "query/words.h"
#include "schema/grow.h"

struct list_options {
    struct question_options question;
    struct handout_options handout;
    long size, limit; /* -1: not given */
    int format;       /* -1: not given */
};

static const struct option_row rows[] = {
    { .kind = OPTION_HEADING, .help = "The list:" },
    { .name = "size",
      .value_name = "N",
      .help = "For fill: how many places to choose (default 8).",
      .kind = OPTION_NUMBER,
      .min = 1,
      .max = FILL_SIZE_MAX,
      .offset = offsetof(struct list_options, size) },
    { .name = "limit",
      .value_name = "N",
      .help = "For add, show and lists: at most N (default 20; 0: all).",
      .kind = OPTION_NUMBER,
      .min = 0,
      .max = LONG_MAX,
      .offset = offsetof(struct list_options, limit) },
    { .name = "format",
      .help = "How it is written; musicxml, abc and html are excerpts in "
              "notation, for export.",
      .kind = OPTION_CHOICE,
      .choices = printer_excerpt_formats,
      .offset = offsetof(struct list_options, format) },
    OPTION_END
};

static const char about[] =
    "Keep places in study lists with names of yours, and make handouts of "
    "them. A lesson in four commands:\n"
    "\n"
    "  cellar list new lesson\n"
    "  cellar list fill lesson \"5 b3 2 1\" --over m7 --reharmonized --size 6\n"
    "  cellar list note lesson 1 slowly, then at tempo\n"
    "  cellar list export lesson --format html --output lesson.html\n"
    "\n"
    "WORD is one of\n"
    "\n"
    "  new NAME                 make a list\n"
    "  fill NAME FRAGMENT...    choose good places, not alike, from easy to "
    "hard\n"
    "  add NAME FRAGMENT        put in the best places of a fragment\n"
    "  show NAME                its entries, numbered, each with its grade\n"
    "  note NAME N TEXT         a remark beside an entry; \"\" takes it away\n"
    "  order NAME N...          these first, in this order; the others follow\n"
    "  drop NAME N...           take entries out; the numbers close up\n"
    "  export NAME              the excerpts in notation, or as rows\n"
    "  lists                    all lists\n"
    "  rename NAME NEW          call it otherwise\n"
    "  delete NAME              take it away with all its entries\n"
    "\n"
    "'cellar find ... --keep NAME' keeps what it shows, '--keep NAME:1,3-5' "
    "some of it. N is a number, or several such as 1,3-5, of what show "
    "prints. In fill each FRAGMENT is one argument, in quotes; the words of "
    "add make one fragment together.\n"
    "\n"
    "An entry is found again after files were indexed again, moved or edited; "
    "one that is gone is shown as gone, with its notes. Lists are kept in "
    ".cellar/notebook.db, which indexing does not touch.\n";

/* What was asked. */
struct list_ask {
    struct session *session;
    struct list_options options;
    char name[NAME_SIZE];
    int argc; /* what follows the name */
    char **argv;
};

/* --- the words ---------------------------------------------------------- */

static enum status run_new(struct list_ask *ask, struct fault *why);
static enum status run_fill(struct list_ask *ask, struct fault *why);
static enum status run_add(struct list_ask *ask, struct fault *why);
static enum status run_show(struct list_ask *ask, struct fault *why);
static enum status run_note(struct list_ask *ask, struct fault *why);
static enum status run_order(struct list_ask *ask, struct fault *why);
static enum status run_drop(struct list_ask *ask, struct fault *why);
static enum status run_lists(struct list_ask *ask, struct fault *why);
static enum status run_rename(struct list_ask *ask, struct fault *why);
static enum status run_delete(struct list_ask *ask, struct fault *why);

static const struct deed {
    struct verb verb;
    enum status (*run)(struct list_ask *ask, struct fault *why);
    bool asks;   /* takes a fragment and what is asked of it */
    bool prints; /* takes --limit and --format */
} deeds[] = {
    { { "new", "NAME", 1, 1 }, run_new, false, false },
    { { "fill", "NAME FRAGMENT... [--size N]", 2, -1 }, run_fill, true, false },
    { { "add", "NAME FRAGMENT", 1, -1 }, run_add, true, false },
    { { "show", "NAME", 1, 1 }, run_show, false, true },
    { { "note", "NAME N TEXT", 3, -1 }, run_note, false, false },
    { { "order", "NAME N...", 2, -1 }, run_order, false, false },
    { { "drop", "NAME N...", 2, -1 }, run_drop, false, false },
    { { "export", "NAME --format F --output FILE", 1, 1 },
      run_show,
      false,
      true },
    { { "lists", "", 0, 0 }, run_lists, false, true },
    { { "rename", "NAME NEW", 2, 2 }, run_rename, false, false },
    { { "delete", "NAME", 1, 1 }, run_delete, false, false },
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
    st = verb_find(&index, "list", words, argc, argv, why);
    *out = &deeds[index];
    return st == ST_OK ? verb_check(&deeds[index].verb, "list", argc - 1, why)
                       : st;
}

static enum status check_options(const struct deed *deed,
                                 const struct list_ask *ask, struct fault *why)
{
    const struct list_options *o = &ask->options;

    if (o->size >= 0 && deed->run != run_fill)
        return fault_set(why, ST_USAGE, "--size goes with 'list fill'");
    if (o->format >= 0 && !deed->prints)
        return fault_set(why, ST_USAGE,
                         "--format goes with 'list show', "
                         "'list export' and 'list lists'");
    if (strcmp(deed->verb.word, "export") == 0 && o->format < 0)
        return fault_set(why, ST_USAGE,
                         "in which form? --format musicxml, "
                         "abc, html, csv or json");
    if (o->question.over && !deed->asks)
        return fault_set(why, ST_USAGE,
                         "--over goes with 'list add' and "
                         "'list fill'");
    return ST_OK;
}

enum status cmd_list(struct session *session, int argc, char **argv,
                     struct fault *why)
{
    struct list_ask ask = { .session = session,
                            .options = { .question = QUESTION_OPTIONS_NONE,
                                         .handout = HANDOUT_OPTIONS_NONE,
                                         .size = -1,
                                         .limit = -1,
                                         .format = -1 } };
    const struct option_set sets[] = {
        { rows, &ask.options },
        { handout_rows(), &ask.options.handout },
        { question_rows(), &ask.options.question },
        { place_rows(), &ask.options.question.place },
        { filter_rows(), &ask.options.question.filter },
        { NULL, NULL }
    };
    enum status st = session_options(session, sets, about, &argc, argv, why);
    const struct deed *deed = NULL;

    if (st != ST_OK || session->answered)
        return st;
    st = find_deed(&deed, argc, argv, why);
    if (st == ST_OK)
        st = check_options(deed, &ask, why);
    if (st == ST_OK && deed->verb.least > 0)
        st = name_read(ask.name, &study_kind, argv[1], why);
    if (st != ST_OK)
        return st;
    ask.argc = argc - 2;
    ask.argv = argv + 2;
    return deed->run(&ask, why);
}

/* --- new, rename, delete ------------------------------------------------ */

static enum status run_new(struct list_ask *ask, struct fault *why)
{
    struct notebook *notebook;
    enum status st =
        session_notebook(&notebook, ask->session, NOTEBOOK_WRITE, why);

    if (st == ST_OK)
        st = notebook_new_list(notebook, ask->name, (int64_t)time(NULL), why);
    notebook_close(notebook);
    if (st == ST_OK)
        columns_say(stdout, "%s is a new study list", ask->name);
    return st;
}

static enum status run_rename(struct list_ask *ask, struct fault *why)
{
    struct notebook *notebook = NULL;
    char to[NAME_SIZE];
    enum status st = name_read(to, &study_kind, ask->argv[0], why);

    if (st == ST_OK)
        st = session_notebook(&notebook, ask->session, NOTEBOOK_WRITE, why);
    if (st == ST_OK) {
        st = notebook_rename_list(notebook, ask->name, to, why);
        st = name_suggest(notebook, &study_kind, ask->name, st, why);
    }
    notebook_close(notebook);
    if (st == ST_OK)
        columns_say(stdout, "%s is called %s now", ask->name, to);
    return st;
}

static enum status run_delete(struct list_ask *ask, struct fault *why)
{
    struct notebook *notebook;
    char count[WORDS_SIZE];
    int64_t entries = 0;
    enum status st =
        session_notebook(&notebook, ask->session, NOTEBOOK_WRITE, why);

    if (st == ST_OK) {
        st = notebook_delete_list(notebook, ask->name, &entries, why);
        st = name_suggest(notebook, &study_kind, ask->name, st, why);
    }
    notebook_close(notebook);
    if (st == ST_OK)
        columns_say(stdout, "%s is deleted, with %s", ask->name,
                    words_count(count, (uint64_t)entries, "entry", "entries"));
    return st;
}

/* --- note, order, drop -------------------------------------------------- */

static enum status run_note(struct list_ask *ask, struct fault *why)
{
    char *text = join_arguments(ask->argc - 1, ask->argv + 1);
    struct notebook *notebook = NULL;
    struct number_list numbers;
    enum status st =
        text ? numbers_read_all(&numbers, 1, ask->argv, why) : fault_nomem(why);

    if (st == ST_OK && numbers.count > 1)
        st = fault_set(why, ST_USAGE,
                       "a remark stands beside one entry: "
                       "cellar list note NAME N TEXT");
    if (st == ST_OK)
        st = remark_read(text, why);
    if (st == ST_OK)
        st = session_notebook(&notebook, ask->session, NOTEBOOK_WRITE, why);
    if (st == ST_OK) {
        st = notebook_note_entry(notebook, ask->name, numbers.items[0], text,
                                 why);
        st = name_suggest(notebook, &study_kind, ask->name, st, why);
    }
    notebook_close(notebook);
    if (st == ST_OK)
        columns_say(stdout, "%s, entry %d: %s", ask->name,
                    (int)numbers.items[0], *text ? text : "no remark now");
    free(text);
    return st;
}

/* Change the order, or DROP. */
static enum status change(struct list_ask *ask, bool drop, struct fault *why)
{
    struct notebook *notebook = NULL;
    struct number_list numbers;
    char count[WORDS_SIZE];
    enum status st = numbers_read_all(&numbers, ask->argc, ask->argv, why);

    if (st == ST_OK)
        st = session_notebook(&notebook, ask->session, NOTEBOOK_WRITE, why);
    if (st == ST_OK) {
        st = (drop ? notebook_drop_entries : notebook_order_entries)(
            notebook, ask->name, numbers.items, numbers.count, why);
        st = name_suggest(notebook, &study_kind, ask->name, st, why);
    }
    notebook_close(notebook);
    words_count(count, numbers.count, "entry", "entries");
    if (st == ST_OK)
        columns_say(stdout, drop ? "%s: %s dropped" : "%s: %s put first",
                    ask->name, count);
    return st;
}

static enum status run_order(struct list_ask *ask, struct fault *why)
{
    return change(ask, false, why);
}

static enum status run_drop(struct list_ask *ask, struct fault *why)
{
    return change(ask, true, why);
}

/* --- add, fill ---------------------------------------------------------- */

static enum status run_add(struct list_ask *ask, struct fault *why)
{
    char *text = join_arguments(ask->argc, ask->argv);
    char *one[] = { text, NULL };
    long limit = ask->options.limit < 0 ? 20 : ask->options.limit;
    enum status st = text ? ST_OK : fault_nomem(why);

    if (st == ST_OK)
        st = list_fill(ask->session, ask->name, &ask->options.question,
                       ask->argc > 0, one, (size_t)limit, false, why);
    free(text);
    return st;
}

static enum status run_fill(struct list_ask *ask, struct fault *why)
{
    long size = ask->options.size < 0 ? 8 : ask->options.size;

    return list_fill(ask->session, ask->name, &ask->options.question, ask->argc,
                     ask->argv, (size_t)size, true, why);
}

/* --- show, export, lists ------------------------------------------------ */

/* What a handout leaves out is said where it does not disturb it. */
static void say_gone(const struct study *study, const struct list_ask *ask)
{
    char count[WORDS_SIZE];

    if (study->gone > 0 && ask->options.format > 1)
        fprintf(stderr,
                "cellar: %s gone, and not in the excerpts; 'cellar "
                "list show' tells which\n",
                words_count(count, study->gone, "entry is", "entries are"));
}

static enum status print_study(const struct list_ask *ask,
                               const struct study *study, struct fault *why)
{
    const struct list_options *o = &ask->options;
    struct output out = session_output(ask->session);
    struct study_page page = { .study = study, .handout = &o->handout };
    const struct printer *printer = printer_for(o->format < 0 ? 0 : o->format);
    struct outfile file;
    enum status st = outfile_open(&file, &out, o->handout.output, why);

    /* A list is shown in part on the screen only. */
    if (o->limit >= 0 || (o->format <= 0 && !o->handout.output))
        page.limit = o->limit < 0 ? 20 : (size_t)o->limit;
    if (st == ST_OK)
        st = printer->study(&out, &page, why);
    return outfile_close(&file, st, why);
}

static enum status run_show(struct list_ask *ask, struct fault *why)
{
    struct notebook *notebook = NULL;
    struct study study = { .count = 0 };
    enum status st = session_open(ask->session, why);

    if (st == ST_OK)
        st = session_notebook(&notebook, ask->session, NOTEBOOK_READ, why);
    if (st == ST_OK) {
        st = study_open(&study, notebook, ask->session->store, ask->name, why);
        st = name_suggest(notebook, &study_kind, ask->name, st, why);
    }
    notebook_close(notebook);
    if (st == ST_OK && study.count == 0)
        st = fault_set(why, ST_NOTHING,
                       "%s is empty; 'cellar find ... --keep "
                       "%s' puts places into it",
                       study.name, study.name);
    else if (st == ST_OK && study.gone == study.count &&
             ask->options.format > 0 &&
             printer_needs_places(ask->options.format))
        st = fault_set(why, ST_NOTHING,
                       "all entries of %s are gone; 'cellar "
                       "list show' tells what is known of them",
                       study.name);
    else if (st == ST_OK)
        st = print_study(ask, &study, why);
    if (st == ST_OK)
        say_gone(&study, ask);
    study_close(&study);
    return st;
}

struct listing_names {
    struct study_lists lists;
    size_t limit;
    bool nomem;
};

static bool take_list(void *context, const char *name, int64_t entries)
{
    struct listing_names *names = context;
    struct study_lists *lists = &names->lists;
    struct study_name *items;

    lists->total++;
    if (names->limit && lists->count == names->limit)
        return true;
    items = grow_room(lists->items, lists->count, &lists->room, sizeof *items);
    names->nomem = !items;
    if (!items)
        return false;
    lists->items = items;
    snprintf(items[lists->count].name, sizeof items->name, "%s", name);
    items[lists->count++].entries = entries;
    return true;
}

static enum status run_lists(struct list_ask *ask, struct fault *why)
{
    struct output out = session_output(ask->session);
    struct listing_names names = { .limit = ask->options.limit < 0
                                                ? 20
                                                : (size_t)ask->options.limit };
    int format = ask->options.format < 0 ? 0 : ask->options.format;
    struct notebook *notebook;
    enum status st =
        session_notebook(&notebook, ask->session, NOTEBOOK_READ, why);

    if (st == ST_OK && !printer_for(format)->study_lists)
        st = fault_set(why, ST_USAGE, "lists are shown as text or json");
    if (st == ST_OK && notebook)
        st = notebook_lists(notebook, take_list, &names, why);
    notebook_close(notebook);
    if (st == ST_OK && names.nomem)
        st = fault_nomem(why);
    if (st == ST_OK)
        st = printer_for(format)->study_lists(&out, &names.lists, why);
    if (st == ST_OK && names.lists.total == 0)
        st = fault_set(why, ST_NOTHING,
                       "there are no study lists yet; "
                       "'cellar list new lesson' makes one");
    free(names.lists.items);
    return st;
}
