/* query/list_fill.c - places of fragments that go into a study list. */
#include "query/list_fill.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "query/columns.h"
#include "query/study_fill.h"
#include "query/study_keep.h"
#include "query/words.h"
#include "schema/grow.h"

enum {
    CANDIDATES = 500, /* of each fragment: more are not looked at */
    QUESTION_SIZE = 400
};

const struct named_kind study_kind = { "study list", "entries",
                                       "cellar list new", "cellar list lists",
                                       notebook_lists };

/* What was asked of one fragment, and the answer. */
struct asking {
    struct question question;
    struct find_result result;
    struct find_page page;
};

static void asking_free(struct asking *asking, size_t count)
{
    for (size_t i = 0; asking && i < count; i++) {
        question_free(&asking[i].question);
        find_result_free(&asking[i].result);
    }
    free(asking);
}

static void make_page(struct asking *a, const struct question_options *options)
{
    a->page = (struct find_page){ .text = a->question.text,
                                  .from = options->from,
                                  .bars = options->bars,
                                  .query = &a->question.query,
                                  .asked = &a->question.asked,
                                  .place = &options->place,
                                  .relation = options->relation,
                                  .into = options->into,
                                  .over = options->over,
                                  .result = &a->result };
}

static enum status read_all(struct asking *asking, struct session *session,
                            const struct question_options *options, int argc,
                            char **argv, size_t limit, struct fault *why)
{
    enum status st = ST_OK;
    int i = 0;

    do {
        st = question_read(&asking[i].question, session, options, argc > 0,
                           argv + i, why);
        asking[i].question.query.limit = limit;
    } while (st == ST_OK && ++i < argc);
    return st;
}

static enum status find_all(struct asking *asking, size_t count,
                            struct session *session,
                            const struct question_options *options,
                            struct fault *why)
{
    enum status st = ST_OK;

    for (size_t i = 0; st == ST_OK && i < count; i++) {
        st = find_run(&asking[i].result, session->store,
                      &asking[i].question.query, why);
        make_page(&asking[i], options);
    }
    return st;
}

/* "cellar find 5 b3 2 1 --over m7": how one finds it again. */
static void say_question(char *out, size_t size, const struct find_page *page)
{
    snprintf(out, size, "cellar find %s%.200s%s%.60s%s",
             page->text ? "" : "--from ", page->text ? page->text : page->from,
             page->over ? " --over " : "", page->over ? page->over : "",
             page->query->reharmonized ? " --reharmonized" : "");
}

/* --- into the notebook -------------------------------------------------- */

/* All that is to be put in, in one piece. */
struct putting {
    const char *name;
    bool make;              /* the list, where there is none */
    struct kept_hits *kept; /* COUNT of them, owned */
    size_t count, room;
    size_t added, seen;
    bool made;
};

/* Add hits of PAGE to what is to be put in. */
static enum status gather(struct putting *p, const struct find_page *page,
                          const int32_t *numbers, size_t count,
                          struct fault *why)
{
    struct kept_hits *kept =
        grow_room(p->kept, p->count, &p->room, sizeof *kept);
    char question[QUESTION_SIZE];

    if (!kept)
        return fault_nomem(why);
    p->kept = kept;
    say_question(question, sizeof question, page);
    return kept_hits_make(&kept[p->count++], page, numbers, count, question,
                          (int64_t)time(NULL), why);
}

static enum status put(struct putting *p, struct notebook *notebook,
                       struct fault *why)
{
    struct list_entry *entries;
    enum status st;

    for (size_t i = 0; i < p->count; i++)
        p->seen += p->kept[i].count;
    entries = calloc(p->seen + 1, sizeof *entries);
    if (!entries)
        return fault_nomem(why);
    for (size_t i = 0, at = 0; i < p->count; at += p->kept[i++].count)
        memcpy(entries + at, p->kept[i].entries,
               p->kept[i].count * sizeof *entries);
    st = notebook_add_entries(notebook, p->name, p->make, entries, p->seen,
                              &p->added, &p->made, why);
    free(entries);
    return name_suggest(notebook, &study_kind, p->name, st, why);
}

static void putting_free(struct putting *p)
{
    for (size_t i = 0; i < p->count; i++)
        kept_hits_free(&p->kept[i]);
    free(p->kept);
}

static enum status gather_chosen(struct putting *p, struct asking *asking,
                                 size_t count, size_t size, struct fault *why)
{
    const struct find_page **pages = calloc(count + 1, sizeof *pages);
    struct filled *filled = calloc(size + 1, sizeof *filled);
    enum status st = pages && filled ? ST_OK : fault_nomem(why);
    size_t chosen = 0;

    for (size_t i = 0; st == ST_OK && i < count; i++)
        pages[i] = &asking[i].page;
    if (st == ST_OK)
        chosen = study_fill(filled, size, pages, count);
    if (chosen == SIZE_MAX)
        st = fault_nomem(why);
    for (size_t i = 0; st == ST_OK && i < chosen; i++) {
        int32_t number = (int32_t)filled[i].hit + 1;

        st = gather(p, pages[filled[i].page], &number, 1, why);
    }
    free(pages);
    free(filled);
    return st;
}

static enum status gather_all(struct putting *p, struct asking *asking,
                              size_t count, struct fault *why)
{
    enum status st = ST_OK;

    for (size_t i = 0; st == ST_OK && i < count; i++)
        st = gather(p, &asking[i].page, NULL, 0, why);
    return st;
}

/* "kept 5 places in lesson; 2 were in it already" */
static void say_kept(FILE *out, const struct putting *p)
{
    char count[WORDS_SIZE], rest[WORDS_SIZE] = "";
    size_t old = p->seen - p->added;

    fflush(stdout); /* what was found stands before what was kept */

    if (old > 0)
        snprintf(rest, sizeof rest, "; %zu %s in it already", old,
                 old == 1 ? "was" : "were");
    columns_say(out, "kept %s in %s%s%s",
                words_count(count, p->added, "place", "places"),
                p->made ? "the new study list " : "", p->name, rest);
}

static enum status none_found(const struct asking *asking, size_t count,
                              struct fault *why)
{
    for (size_t i = 0; i < count; i++)
        if (asking[i].result.total > 0)
            return ST_OK;
    return question_nothing(&asking[0].question, why);
}

enum status list_fill(struct session *session, const char *name,
                      const struct question_options *options, int argc,
                      char **argv, size_t size, bool choose, struct fault *why)
{
    size_t count = argc > 0 ? (size_t)argc : 1;
    struct asking *asking = calloc(count, sizeof *asking);
    struct putting putting = { .name = name };
    struct notebook *notebook = NULL;
    enum status st = asking ? ST_OK : fault_nomem(why);

    if (st == ST_OK)
        st = read_all(asking, session, options, argc, argv,
                      choose ? CANDIDATES : size, why);
    if (st == ST_OK)
        st = session_open(session, why);
    if (st == ST_OK)
        st = session_notebook(&notebook, session, NOTEBOOK_WRITE, why);
    if (st == ST_OK)
        st = find_all(asking, count, session, options, why);
    if (st == ST_OK)
        st = none_found(asking, count, why);
    if (st == ST_OK)
        st = choose ? gather_chosen(&putting, asking, count, size, why)
                    : gather_all(&putting, asking, count, why);
    if (st == ST_OK)
        st = put(&putting, notebook, why);
    notebook_close(notebook);
    putting_free(&putting);
    if (st == ST_OK && putting.added == 0)
        st = fault_set(why, ST_NOTHING,
                       "nothing was added: all of it is in "
                       "%s already",
                       name);
    else if (st == ST_OK)
        say_kept(stdout, &putting);
    asking_free(asking, count);
    return st;
}

enum status list_keep(struct session *session, const char *keep,
                      const struct find_page *page, struct fault *why)
{
    struct number_list *numbers = malloc(sizeof *numbers);
    char name[NAME_SIZE];
    struct putting putting = { .name = name, .make = true };
    struct notebook *notebook = NULL;
    enum status st = numbers ? name_split(name, numbers, &study_kind, keep, why)
                             : fault_nomem(why);

    if (st == ST_OK)
        st = session_notebook(&notebook, session, NOTEBOOK_WRITE, why);
    if (st == ST_OK)
        st = gather(&putting, page, numbers->count > 0 ? numbers->items : NULL,
                    numbers->count, why);
    if (st == ST_OK)
        st = put(&putting, notebook, why);
    notebook_close(notebook);
    putting_free(&putting);
    if (st == ST_OK)
        say_kept(stderr, &putting);
    free(numbers);
    return st;
}
