/* query/print_text_find.c - the hits of a fragment as text.
 *
 * A row a hit, the columns aligned over the whole listing.
 */
#include <inttypes.h>
#include <stdlib.h>
#include <string.h>

#include "query/columns.h"
#include "query/print_text.h"
#include "query/print_text_hit.h"
#include "query/words.h"

enum {
    INDENT = 2
};

/* What the hits of a group land on: "ii over its V   42  9 b7 13 5". */
static void put_group(const struct output *out,
                      const struct relation_group *g)
{
    char line[RELATION_TEXT_SIZE + WORDS_SIZE], words[RELATION_TEXT_SIZE];
    const char *tensions[RELATION_TENSIONS];
    size_t count = 0;

    if (g->key < 0) {
        snprintf(words, sizeof words, "over no chord");
    } else {
        relation_describe(words, sizeof words, &g->home, &g->written,
                          g->midi, g->notes);
        count = relation_tensions(tensions, &g->written, g->midi, g->notes);
    }
    snprintf(line, sizeof line, "%6" PRIu64 "  %s", g->count, words);
    for (size_t i = 0; i < count; i++) {
        size_t used = strlen(line);

        snprintf(line + used, sizeof line - used, "%s%s",
                 i == 0 ? "; gives " : " ", tensions[i]);
    }
    fputs(line, out->stream);
    putc('\n', out->stream);
}

static void put_groups(const struct output *out, const struct find_page *page)
{
    const struct find_result *result = page->result;

    putc('\n', out->stream);
    for (size_t i = 0; i < result->group_count; i++)
        put_group(out, &result->groups[i]);
}

/* --- the hits ------------------------------------------------------------- */

/* The rows of a listing: held, or of a long one made again to be put. */
struct rows {
    struct hit_row *held; /* in the order of the hits; NULL: none */
    struct hit_layout layout;
};

static void free_rows(struct rows *rows, size_t count)
{
    for (size_t i = 0; rows->held && i < count; i++)
        hit_row_free(&rows->held[i]);
    free(rows->held);
}

/* Solo by solo, so that each is loaded once. */
static enum status make_rows(struct rows *rows, const struct find_page *page,
                             int width, struct fault *why)
{
    const struct find_result *result = page->result;
    enum status st = ST_OK;

    memset(rows, 0, sizeof *rows);
    if (result->hit_count <= FIND_HELD)
        rows->held = calloc(result->hit_count + 1, sizeof *rows->held);
    if (result->hit_count <= FIND_HELD && !rows->held)
        st = fault_nomem(why);
    for (size_t i = 0; i < result->hit_count && st == ST_OK; i++) {
        size_t index = result->by_solo[i];
        struct hit_row row;

        st = hit_row_make(&row, page, index, why);
        if (st != ST_OK)
            break;
        hit_layout_add(&rows->layout, &row);
        if (rows->held)
            rows->held[index] = row;
        else
            hit_row_free(&row);
    }
    hit_layout_settle(&rows->layout, width);
    return st;
}

static void put_row(const struct output *out, const struct find_page *page,
                    size_t index, const struct hit_row *row,
                    const struct hit_layout *layout)
{
    const struct find_result *result = page->result;
    size_t solo = result->hits[index].solo;
    const struct found_solo *found = &result->solos[solo];

    if (index == 0 || solo != result->hits[index - 1].solo)
        text_heading(out, found->performer, found->title, found->path);
    hit_row_put(out, row, layout);
}

static enum status put_rows(const struct output *out,
                            const struct find_page *page,
                            const struct rows *rows, struct fault *why)
{
    enum status st = ST_OK;

    for (size_t i = 0; i < page->result->hit_count && st == ST_OK; i++) {
        struct hit_row row;

        if (rows->held) {
            put_row(out, page, i, &rows->held[i], &rows->layout);
            continue;
        }
        st = hit_row_make(&row, page, i, why);
        if (st == ST_OK)
            put_row(out, page, i, &row, &rows->layout);
        hit_row_free(&row);
    }
    return st;
}

/* --- what was asked ------------------------------------------------------- */

/* Put "; WORDS" at the end of LINE where it IS so. */
static void add_words(char *line, size_t size, bool is, const char *words)
{
    size_t used = strlen(line);

    if (is)
        snprintf(line + used, size - used, "; %s", words);
}

/* Put "; WORDS VALUE" at the end of LINE where VALUE is something. */
static void add_condition(char *line, size_t size, const char *words,
                          const char *value)
{
    size_t used;

    if (!value || !*value)
        return;
    add_words(line, size, true, words);
    used = strlen(line);
    snprintf(line + used, size - used, "%s", value);
}

/* What else was asked, in one line; nothing where nothing was. */
static void put_conditions(const struct output *out,
                           const struct find_page *page)
{
    static const char *const rhythms[] = { "", "in this rhythm",
                                           "in this rhythm at any speed" };
    const struct find_query *query = page->query;
    const struct asked_home *home = &page->result->home;
    char filter[1024], place[512], edits[64] = "", line[2400] = "";
    bool inferred = query->reharmonized && home->known && !home->given;

    filter_describe(filter, sizeof filter, page->asked);
    place_describe(place, sizeof place, page->place);
    if (query->edits > 0)
        snprintf(edits, sizeof edits, "at most %d note%s changed",
                 query->edits, query->edits == 1 ? "" : "s");
    add_words(line, sizeof line, query->reharmonized && !inferred,
              "over any chord");
    add_condition(line, sizeof line, "over any chord, taken as spelling ",
                  inferred ? home->chord.symbol : "");
    add_condition(line, sizeof line, "only as ", page->relation);
    add_condition(line, sizeof line, "going to ", page->into);
    add_condition(line, sizeof line, "with ", edits);
    add_words(line, sizeof line, query->any_octave,
              "each note in any octave");
    add_words(line, sizeof line, query->rhythm != RHYTHM_ANY,
              rhythms[query->rhythm]);
    add_condition(line, sizeof line, "only ", place);
    add_condition(line, sizeof line, "only solos with ", filter);
    if (*line)
        columns_wrap(out->stream, line + 2, out->width, INDENT);
}

/* "    12  8 8 8 8; on beat 1 (7), 2 and (5); 3 syncopated" */
static void put_variant(const struct output *out, const struct variant *v)
{
    enum { LEFT = 8 };
    char line[1200], value[FRAGMENT_VALUE_SIZE], beat[WORDS_SIZE];
    size_t used = 0;

    for (size_t i = 0; i < v->notes && used < sizeof line; i++)
        used += (size_t)snprintf(line + used, sizeof line - used, "%s%s",
                                 i == 0 ? "" : " ",
                                 fragment_value_text(value, v->value[i]));
    for (size_t i = 0; i < v->beat_count && used < sizeof line; i++)
        used += (size_t)snprintf(line + used, sizeof line - used,
                                 "%s%s (%" PRIu64 ")",
                                 i == 0 ? "; on beat " : ", ",
                                 words_beat(beat, v->beats[i].beat),
                                 v->beats[i].count);
    if (v->syncopated == v->count && used < sizeof line)
        snprintf(line + used, sizeof line - used, "; %ssyncopated",
                 v->count == 1 ? "" : "all ");
    else if (v->syncopated > 0 && used < sizeof line)
        snprintf(line + used, sizeof line - used, "; %" PRIu64 " syncopated",
                 v->syncopated);
    fprintf(out->stream, "%*" PRIu64 "  ", LEFT - 2, v->count);
    columns_wrap(out->stream, line, out->width - LEFT, LEFT);
}

static void put_variants(const struct output *out,
                         const struct find_page *page)
{
    const struct variants *v = &page->result->variants;
    size_t shown = page->query->limit && page->query->limit < v->count
                       ? page->query->limit
                       : v->count;
    char count[WORDS_SIZE];

    fprintf(out->stream, "%s\n\n",
            words_count(count, v->count, "rhythm", "rhythms"));
    for (size_t i = 0; i < shown; i++)
        put_variant(out, v->items[i]);
    text_more(out, v->count, shown);
}

/* All that stands before the hits. */
static void put_head(const struct output *out, const struct find_page *page)
{
    const struct find_result *result = page->result;
    char places[WORDS_SIZE], solos[WORDS_SIZE];
    char described[FRAGMENT_TEXT_SIZE];

    if (!page->query->count_only || page->query->variants) {
        fragment_describe(&page->query->fragment, described, sizeof described);
        columns_wrap(out->stream, described, out->width, INDENT);
        put_conditions(out, page);
    }
    fprintf(out->stream, "%s in %s\n",
            words_count(places, result->total, "place", "places"),
            words_count(solos, result->solos_with_hits, "solo", "solos"));
    if (page->query->reharmonized)
        put_groups(out, page);
    if (page->query->variants)
        put_variants(out, page);
}

enum status text_find(const struct output *out, const struct find_page *page,
                      struct fault *why)
{
    const struct find_result *result = page->result;
    struct rows rows;
    enum status st = make_rows(&rows, page, out->width, why);

    if (st == ST_OK) {
        put_head(out, page);
        st = put_rows(out, page, &rows, why);
    }
    if (st == ST_OK && !page->query->count_only) {
        if (result->total > result->hit_count)
            putc('\n', out->stream);
        text_more(out, result->total, result->hit_count);
    }
    free_rows(&rows, result->hit_count);
    return st;
}
