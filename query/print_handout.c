/* query/print_handout.c - the places of a fragment as a handout. */
#include <string.h>

#include "query/handout_build.h"
#include "query/hit_view.h"
#include "query/printer.h"

typedef enum status (*handout_writer)(FILE *out, const struct handout *handout,
                                      struct fault *why);

/* What stands above the hits of one relation; "" where relations were not
 * asked for. */
static const char *heading_of(char *out, size_t size,
                              const struct hit_view *view,
                              const struct find_page *page)
{
    const struct hit *hit = view->hit;

    if (!page->query->reharmonized || !hit->has_home)
        return "";
    if (!view->chord)
        return "over no chord";
    return relation_describe(out, size, &hit->home, &view->chord->chord, NULL,
                             0);
}

/* The hits whose relation is KEY, in order; all of them where it is -2. */
static enum status add_hits(struct handout_draft *draft,
                            const struct find_page *page, int key,
                            struct fault *why)
{
    enum status st = ST_OK;

    for (size_t i = 0; i < page->result->hit_count && st == ST_OK; i++) {
        struct handout_place place = { .context = page->handout->context };
        char heading[RELATION_TEXT_SIZE];
        struct hit_view view;

        st = hit_view_make(&view, page, i, why);
        if (st != ST_OK)
            break;
        if (key != -2 &&
            key != (view.chord && view.hit->has_home
                        ? relation_key(&view.hit->home, &view.chord->chord)
                        : -1))
            continue;
        place.solo = view.solo;
        place.first = view.hit->first;
        place.last = view.hit->last;
        place.heading = heading_of(heading, sizeof heading, &view, page);
        place.performer = view.found->performer;
        place.title = view.found->title;
        place.path = view.found->path;
        if (view.hit->has_home)
            place.home = &view.hit->home;
        st = handout_add(draft, &place, why);
    }
    return st;
}

/* Reharmonized uses stand together, the most frequent relation first. */
static enum status add_groups(struct handout_draft *draft,
                              const struct find_page *page, struct fault *why)
{
    const struct find_result *result = page->result;
    enum status st = ST_OK;

    for (size_t i = 0; i < result->group_count && st == ST_OK; i++)
        st = add_hits(draft, page, result->groups[i].key, why);
    return st;
}

/* Settle DRAFT and write it, with what is to be practised. */
static enum status finish_handout(const struct output *out,
                                  struct handout_draft *draft,
                                  const struct handout_options *options,
                                  handout_writer writer, struct fault *why)
{
    enum status st = ST_OK;

    handout_settle(draft);
    if (options->practice >= 0)
        st = handout_practice(draft, (enum practice_order)options->practice,
                              why);
    if (st == ST_OK)
        st = writer(out->stream, &draft->handout, why);
    return st;
}

static enum status write_find(const struct output *out,
                              const struct find_page *page,
                              handout_writer writer, struct fault *why)
{
    struct handout_draft draft;
    char title[256];
    enum status st;

    snprintf(title, sizeof title, "%.160s%s%.60s",
             page->text ? page->text : page->from, page->over ? " over " : "",
             page->over ? page->over : "");
    st = handout_start(&draft, title, (enum reader)page->handout->reader, why);
    if (st == ST_OK)
        st = page->query->reharmonized ? add_groups(&draft, page, why)
                                       : add_hits(&draft, page, -2, why);
    if (st == ST_OK)
        st = finish_handout(out, &draft, page->handout, writer, why);
    handout_free(&draft);
    return st;
}

/* --- a study list ------------------------------------------------------- */

/* The chord that SYMBOL names, in *OUT; NULL where it names none. */
static const struct chord *home_of(struct chord *out, const char *symbol)
{
    return *symbol && chord_parse(out, symbol, strlen(symbol), false, NULL) ==
                          ST_OK
               ? out
               : NULL;
}

static enum status add_entry(struct handout_draft *draft,
                             const struct study_entry *entry, long context,
                             struct fault *why)
{
    struct chord home;
    struct handout_place place = {
        .solo = entry->solo,
        .first = entry->first,
        .last = entry->last,
        .context = context,
        .heading = entry->kept.relation,
        .performer = entry->record->performer,
        .title = entry->record->title,
        .path = entry->record->path,
        .remark = entry->kept.remark,
        .home = home_of(&home, entry->kept.home),
    };

    return handout_add(draft, &place, why);
}

static enum status write_study(const struct output *out,
                               const struct study_page *page,
                               handout_writer writer, struct fault *why)
{
    const struct study *study = page->study;
    struct handout_draft draft;
    enum status st = handout_start(&draft, study->name,
                                   (enum reader)page->handout->reader, why);

    for (size_t i = 0; i < study->count && st == ST_OK; i++)
        if (study->entries[i].state != STUDY_GONE)
            st = add_entry(&draft, &study->entries[i], page->handout->context,
                           why);
    if (st == ST_OK)
        st = finish_handout(out, &draft, page->handout, writer, why);
    handout_free(&draft);
    return st;
}

/* --- the formats -------------------------------------------------------- */

static enum status musicxml_find(const struct output *out,
                                 const struct find_page *page,
                                 struct fault *why)
{
    return write_find(out, page, handout_musicxml, why);
}

static enum status musicxml_study(const struct output *out,
                                  const struct study_page *page,
                                  struct fault *why)
{
    return write_study(out, page, handout_musicxml, why);
}

static enum status abc_find(const struct output *out,
                            const struct find_page *page, struct fault *why)
{
    return write_find(out, page, handout_abc, why);
}

static enum status abc_study(const struct output *out,
                             const struct study_page *page, struct fault *why)
{
    return write_study(out, page, handout_abc, why);
}

static enum status html_find(const struct output *out,
                             const struct find_page *page, struct fault *why)
{
    return write_find(out, page, handout_html, why);
}

static enum status html_study(const struct output *out,
                              const struct study_page *page, struct fault *why)
{
    return write_study(out, page, handout_html, why);
}

const struct printer print_musicxml = { .format = "musicxml",
                                        .find = musicxml_find,
                                        .study = musicxml_study };
const struct printer print_abc = { .format = "abc",
                                   .find = abc_find,
                                   .study = abc_study };
const struct printer print_html = { .format = "html",
                                    .find = html_find,
                                    .study = html_study };
