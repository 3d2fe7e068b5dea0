/* query/cmd_solo.c - cellar solo: one solo. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "query/session.h"

struct solo_options {
    int format;
    bool notes;
};

static const struct option_row rows[] = {
    { .kind = OPTION_HEADING, .help = "Output:" },
    { .name = "notes",
      .help = "List the line note by note, too.",
      .kind = OPTION_FLAG,
      .offset = offsetof(struct solo_options, notes) },
    { .name = "format",
      .help = "How the answer is written; json always holds every note.",
      .kind = OPTION_CHOICE,
      .choices = printer_formats,
      .offset = offsetof(struct solo_options, format) },
    OPTION_END
};

static const char about[] =
    "Show one solo: what the file says of itself, its chord grid, and what "
    "was not understood in it. SOLO is its path in the library, or any part "
    "of the path or the title that no other solo has.\n"
    "\n"
    "In the grid % is a bar in which the chord goes on, / a beat in which it "
    "does (in metres such as 2/2 a quarter), and (2 and) the place of a chord "
    "that comes off the beat. A bar "
    "without a printed number is counted from the start of the file: [5].\n";

/* The one solo NAME means, into LIST. */
static enum status look_up(struct session *session, const char *name,
                           struct solo_list *list, struct fault *why)
{
    enum status st =
        store_find_name(session->store, name, solo_list_add, list, why);

    if (st != ST_OK)
        return st;
    if (list->no_memory)
        return fault_nomem(why);
    if (list->total == 0)
        return fault_set(why, ST_NOTHING,
                         "no solo whose path or title contains '%.200s'; "
                         "'cellar solos' lists them all",
                         name);
    if (list->total == 1)
        return ST_OK;
    session->candidates = *list;
    memset(list, 0, sizeof *list);
    return fault_set(why, ST_USAGE,
                     "'%.200s' may mean several solos; give more of one of "
                     "these paths:",
                     name);
}

static enum status show(struct session *session, const char *name,
                        const struct solo_options *options, struct fault *why)
{
    struct output out = session_output(session);
    struct solo_list list = { .limit = 0 };
    struct solo *solo = NULL;
    enum status st = store_read_begin(session->store, why);

    if (st == ST_OK)
        st = look_up(session, name, &list, why);
    if (st == ST_OK)
        st = store_load(session->store, list.items[0].id, &solo, why);
    if (st == ST_OK) {
        struct solo_page page = { &list.items[0], solo, options->notes };

        st = printer_for(options->format)->solo(&out, &page, why);
    }
    solo_free(solo);
    solo_list_free(&list);
    return st;
}

enum status cmd_solo(struct session *session, int argc, char **argv,
                     struct fault *why)
{
    struct solo_options options = { 0 };
    const struct option_set sets[] = { { rows, &options }, { NULL, NULL } };
    enum status st = session_options(session, sets, about, &argc, argv, why);
    char *name;

    if (st != ST_OK || session->answered)
        return st;
    if (argc == 0)
        return fault_set(why, ST_USAGE,
                         "which solo? Give a part of its path or title; "
                         "'cellar solos' lists them");
    name = join_arguments(argc, argv);
    if (!name)
        return fault_nomem(why);
    st = *name ? session_open(session, why)
               : fault_set(why, ST_USAGE,
                           "the name of the solo is empty; 'cellar solos' "
                           "lists them");
    if (st == ST_OK)
        st = show(session, name, &options, why);
    free(name);
    return st;
}
