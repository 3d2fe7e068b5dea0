/* query/corrections.c - form corrections found again and applied. */
#include "query/corrections.h"

#include <stdlib.h>
#include <string.h>

#include "schema/form_parts.h"
#include "schema/grow.h"

/* A correction that may be about the solo of this id. */
struct match {
    int64_t solo;
    size_t order; /* the newest correction has the lowest */
    bool certain; /* the same file; else its chords decide */
    int64_t harmony;
    int32_t length;
    char *first_bar;
};

struct corrections {
    struct store *store;
    struct match *matches; /* by solo, the newest correction first */
    size_t count, room;
    /* While reading: */
    struct noted {
        char *sha256, *path, *title, *first_bar;
        int64_t harmony;
        int32_t length;
    } * noted;
    size_t noted_count, noted_room;
    bool nomem;
};

/* --- applying ---------------------------------------------------------- */

static int32_t bar_printed(const struct solo *solo, const char *number)
{
    for (size_t i = 0; i < solo->bar_count; i++)
        if (strcmp(solo->bars[i].number, number) == 0)
            return (int32_t)i;
    return -1;
}

enum status correct_form(struct solo *solo, int32_t length,
                         const char *first_bar, struct fault *why)
{
    struct form_plan plan = { .confidence = 100, .source = FORM_USER };
    const struct form_plan *found = &solo->form.plan;
    struct form_part parts[FORM_PARTS_MAX];
    int32_t bar;

    if (length == 0) {
        enum status st = form_lay_out(solo, &plan, why);

        solo->form.plan.source = FORM_USER;
        return st;
    }
    bar = bar_printed(solo, first_bar);
    if (bar < 0 || form_play_of_bar(solo, bar) < 0)
        return fault_set(why, ST_USAGE, "no bar is printed \"%s\"",
                         first_bar);
    plan.length = length;
    plan.first_play = form_play_of_bar(solo, bar);
    /* Sections that were found hold where a chorus of that length starts. */
    if (found->length == length && form_place_of(solo, bar)->chorus_bar == 1) {
        plan.parts = found->parts;
        plan.part_count = found->part_count;
        plan.tail = found->tail;
    } else {
        enum status st = form_divide_solo(solo, length, plan.first_play, parts,
                                          &plan.part_count, why);

        if (st != ST_OK)
            return st;
        plan.parts = parts;
    }
    return form_lay_out(solo, &plan, why);
}

static int by_solo(const void *a, const void *b)
{
    const struct match *x = a, *y = b;

    return (x->solo > y->solo) - (x->solo < y->solo);
}

static int by_solo_and_order(const void *a, const void *b)
{
    const struct match *x = a, *y = b;
    int order = by_solo(a, b);

    return order ? order : (x->order > y->order) - (x->order < y->order);
}

/* May a correction be about the solo ID? */
static bool corrects(void *context, int64_t id)
{
    const struct corrections *c = context;
    struct match wanted = { .solo = id };

    return bsearch(&wanted, c->matches, c->count, sizeof wanted, by_solo) !=
           NULL;
}

/* Called for every solo that is loaded. */
static enum status correct_loaded(void *context, int64_t id,
                                  struct solo *solo, struct fault *why)
{
    struct corrections *c = context;
    struct match wanted = { .solo = id };
    struct match *at = bsearch(&wanted, c->matches, c->count, sizeof wanted,
                               by_solo);

    if (!at)
        return ST_OK;
    while (at > c->matches && at[-1].solo == id)
        at--;
    for (; at < c->matches + c->count && at->solo == id; at++) {
        enum status st;

        if (!at->certain && at->harmony != solo_harmony_digest(solo))
            continue;
        st = correct_form(solo, at->length, at->first_bar, why);
        /* A bar that is gone leaves the form as it was found. */
        if (st != ST_USAGE)
            return st;
    }
    return ST_OK;
}

/* --- reading ----------------------------------------------------------- */

static void *grow(struct corrections *c, void *array, size_t count,
                  size_t *room, size_t item)
{
    void *grown = grow_room(array, count, room, item);

    if (!grown)
        c->nomem = true;
    return grown;
}

static bool note_form(void *context, const struct form_correction *f)
{
    struct corrections *c = context;
    struct noted *grown = grow(c, c->noted, c->noted_count, &c->noted_room,
                               sizeof *grown);

    if (!grown)
        return false;
    c->noted = grown;
    grown += c->noted_count++;
    grown->sha256 = strdup(f->solo.sha256);
    grown->path = strdup(f->solo.path);
    grown->title = strdup(f->solo.title);
    grown->first_bar = strdup(f->first_bar);
    grown->harmony = f->solo.harmony;
    grown->length = f->length;
    c->nomem = !grown->sha256 || !grown->path || !grown->title ||
               !grown->first_bar;
    return !c->nomem;
}

/* Could NOTED be about RECORD?  As in solo_identity_matches(), but that the
 * chords are looked at when the solo is loaded. */
static bool may_match(const struct noted *noted,
                      const struct solo_record *record)
{
    struct solo_identity a = { noted->sha256, noted->path, noted->title, 0 };
    struct solo_identity b = { record->sha256, record->path, record->title,
                               0 };

    return solo_identity_matches(&a, &b);
}

static bool match_record(void *context, const struct solo_record *record)
{
    struct corrections *c = context;

    for (size_t i = 0; i < c->noted_count; i++) {
        const struct noted *noted = &c->noted[i];
        struct match *grown;

        if (!may_match(noted, record))
            continue;
        grown = grow(c, c->matches, c->count, &c->room, sizeof *grown);
        if (!grown)
            return false;
        c->matches = grown;
        grown[c->count++] = (struct match){
            record->id, i, strcmp(noted->sha256, record->sha256) == 0,
            noted->harmony, noted->length, noted->first_bar
        };
    }
    return true;
}

static enum status read_notebook(struct corrections *c, struct fault *why)
{
    struct notebook *notebook;
    enum status st = notebook_open(&notebook, store_library(c->store),
                                   NOTEBOOK_READ, why);

    if (st == ST_OK && notebook)
        st = notebook_forms(notebook, note_form, c, why);
    notebook_close(notebook);
    return c->nomem ? fault_nomem(why) : st;
}

static enum status match_solos(struct corrections *c, struct fault *why)
{
    enum status st = store_read_begin(c->store, why);

    if (st != ST_OK)
        return st;
    st = store_solos(c->store, NULL, match_record, c, why);
    store_read_end(c->store);
    if (c->nomem)
        return fault_nomem(why);
    if (st == ST_OK && c->count > 1)
        qsort(c->matches, c->count, sizeof *c->matches, by_solo_and_order);
    return st;
}

enum status corrections_open(struct corrections **out, struct store *store,
                             struct fault *why)
{
    struct corrections *c = calloc(1, sizeof *c);
    enum status st;

    *out = NULL;
    if (!c)
        return fault_nomem(why);
    c->store = store;
    st = read_notebook(c, why);
    if (st == ST_OK && c->noted_count > 0)
        st = match_solos(c, why);
    if (st != ST_OK || c->count == 0) {
        corrections_free(c);
        return st;
    }
    store_on_load(store, correct_loaded, c);
    store_on_load_of(store, corrects);
    *out = c;
    return ST_OK;
}

void corrections_free(struct corrections *c)
{
    if (!c)
        return;
    for (size_t i = 0; i < c->noted_count; i++) {
        free(c->noted[i].sha256);
        free(c->noted[i].path);
        free(c->noted[i].title);
        free(c->noted[i].first_bar);
    }
    free(c->noted);
    free(c->matches);
    free(c);
}
