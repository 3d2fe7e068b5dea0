/* query/check_notebook.c - does what the user wrote still stand somewhere? */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "query/check.h"
#include "query/corrections.h"
#include "query/study.h"

enum {
    TEXT_SIZE = 512
};

static void hear_problem(void *context, enum notebook_part part,
                         const char *what)
{
    check_add(context, (enum check_area)(CHECK_NOTEBOOK + (int)part), true, "",
              what);
}

/* --- corrections of forms ----------------------------------------------- */

struct forms {
    struct check_report *report;
    struct store *store;
    struct solo_list solos;
    struct fault *why;
    enum status st;
};

/* Is FORM about the solo RECORD, and *HOLDS it there? */
static bool is_about(struct forms *f, const struct form_correction *form,
                     const struct solo_record *record, bool *holds)
{
    struct solo_identity identity = { record->sha256, record->path,
                                      record->title, form->solo.harmony };
    struct fault inner;
    struct solo *solo;
    bool is = solo_identity_matches(&form->solo, &identity);
    enum status st = is ? store_load(f->store, record->id, &solo, &inner)
                        : ST_NOTHING;

    if (st == ST_OK) {
        is = strcmp(record->sha256, form->solo.sha256) == 0 ||
             solo_harmony_digest(solo) == form->solo.harmony;
        if (is)
            st = correct_form(solo, form->length, form->first_bar, &inner);
        *holds = is && st == ST_OK;
        solo_free(solo);
        if (st == ST_OK || st == ST_USAGE)
            return is;
    }
    if (is && st != ST_LIBRARY && st != ST_NOTHING) {
        f->st = st;
        if (f->why)
            *f->why = inner;
    }
    return false;
}

static bool check_form(void *context, const struct form_correction *form)
{
    struct forms *f = context;
    bool about = false, holds = false;
    char what[TEXT_SIZE];

    for (size_t i = 0; i < f->solos.count && !holds && f->st == ST_OK; i++)
        about = is_about(f, form, &f->solos.items[i], &holds) || about;
    if (f->st != ST_OK)
        return false;
    f->report->forms_hold += holds;
    if (holds)
        return true;
    if (about)
        snprintf(what, sizeof what,
                 "the form you set does not fit: it starts at bar %.60s; "
                 "'cellar form' tells how to set it anew",
                 form->first_bar);
    else
        snprintf(what, sizeof what,
                 "the form you set is kept, though its solo is not there");
    check_add(f->report, CHECK_FORMS, false, form->solo.path, what);
    return true;
}

static enum status check_forms(struct check_report *out, struct store *store,
                               struct notebook *notebook, struct fault *why)
{
    struct forms f = { .report = out, .store = store, .why = why };
    enum status st = store_read_begin(store, why);

    if (st != ST_OK)
        return st;
    st = store_solos(store, NULL, solo_list_add, &f.solos, why);
    if (st == ST_OK && f.solos.no_memory)
        st = fault_nomem(why);
    if (st == ST_OK)
        st = notebook_forms(notebook, check_form, &f, why);
    store_read_end(store);
    solo_list_free(&f.solos);
    return st == ST_OK ? f.st : st;
}

/* --- study lists -------------------------------------------------------- */

static void count_entry(struct check_report *out, const char *name,
                        const struct study_entry *entry)
{
    const struct list_entry *kept = &entry->kept;
    char what[TEXT_SIZE];

    switch (entry->state) {
    case STUDY_FOUND:
        out->found++;
        return;
    case STUDY_MOVED:
        out->moved++;
        return;
    case STUDY_EDITED:
        out->edited++;
        return;
    case STUDY_GONE:
        break;
    }
    out->gone++;
    snprintf(what, sizeof what,
             "entry %d of '%.200s' is kept by its notes only (bar %.20s: "
             "%.100s)",
             (int)kept->number, name, kept->bar, kept->notes);
    check_add(out, CHECK_LISTS, false, kept->solo.path, what);
}

static enum status check_list(struct check_report *out, struct store *store,
                              struct notebook *notebook, const char *name,
                              struct fault *why)
{
    struct study study;
    char what[TEXT_SIZE];
    enum status st = study_open(&study, notebook, store, name, why);

    for (size_t i = 0; st == ST_OK && i < study.count; i++)
        count_entry(out, name, &study.entries[i]);
    study_close(&study);
    if (st != ST_LIBRARY && st != ST_NOTHING)
        return st;
    /* Its own damage, or that of a solo, was said already. */
    snprintf(what, sizeof what,
             "the places of '%.200s' could not be looked for", name);
    check_add(out, CHECK_LISTS, false, "", what);
    return ST_OK;
}

struct names {
    char (*items)[LIST_NAME_SIZE];
    size_t count, room;
    bool no_memory;
};

static bool take_name(void *context, const char *name, int64_t entries)
{
    struct names *names = context;
    char(*more)[LIST_NAME_SIZE];

    (void)entries;
    if (names->count == names->room) {
        names->room = names->room ? 2 * names->room : 8;
        more = realloc(names->items, names->room * sizeof *more);
        names->no_memory = !more;
        if (!more)
            return false;
        names->items = more;
    }
    snprintf(names->items[names->count++], LIST_NAME_SIZE, "%s", name);
    return true;
}

static enum status check_lists(struct check_report *out, struct store *store,
                               struct notebook *notebook, struct fault *why)
{
    struct names names = { NULL, 0, 0, false };
    enum status st = notebook_lists(notebook, take_name, &names, why);

    if (st == ST_OK && names.no_memory)
        st = fault_nomem(why);
    for (size_t i = 0; i < names.count && st == ST_OK; i++)
        st = check_list(out, store, notebook, names.items[i], why);
    free(names.items);
    return st;
}

/* --- the whole ---------------------------------------------------------- */

/* Damage that the notebook's own check has named already. */
static enum status survive(enum status st)
{
    return st == ST_LIBRARY ? ST_OK : st;
}

enum status check_notebook(struct check_report *out, struct store *store,
                           struct fault *why)
{
    struct notebook *notebook = NULL;
    enum status st =
        notebook_open(&notebook, out->library, NOTEBOOK_READ, why);

    if (st == ST_OK && notebook) {
        out->has_notebook = true;
        st = notebook_check(notebook, hear_problem, out, &out->notebook, why);
        /* Where the file is damaged there is no use in looking further. */
        if (out->problems[CHECK_NOTEBOOK] > 0)
            store = NULL;
        if (st == ST_OK && store && out->notebook.forms > 0)
            st = survive(check_forms(out, store, notebook, why));
        if (st == ST_OK && store && out->notebook.lists > 0)
            st = survive(check_lists(out, store, notebook, why));
    }
    notebook_close(notebook);
    return st;
}
