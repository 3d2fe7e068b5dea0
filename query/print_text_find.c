/* query/print_text_find.c - the hits of a fragment as text.
 *
 * A row a hit, the columns aligned over the whole listing.  Where notes and
 * degrees do not fit side by side, every hit takes two lines, each degree
 * below its note, and more where the fragment is long.
 */
#include <inttypes.h>
#include <stdlib.h>
#include <string.h>

#include "query/columns.h"
#include "query/hit_view.h"
#include "query/print_text.h"
#include "query/words.h"

enum {
    INDENT = 2,
    GAP = 2,
    BAR_MAX = 8,
    CHORD_MAX = 16,
    CELLS_SIZE = EDITS_STEPS_MAX * PITCH_TEXT_SIZE
};

/* The texts of one row. */
struct row {
    struct hit_view view;
    char bar[WORDS_SIZE], beat[WORDS_SIZE], remark[6 * WORDS_SIZE + 8];
    const char *chord;
    char names[EDITS_STEPS_MAX][PITCH_TEXT_SIZE];
    const char *degrees[EDITS_STEPS_MAX]; /* "" without a chord */
};

/* The width of each column over the whole listing. */
struct layout {
    int bar, beat, chord, names, degrees, remark;
    int cell;     /* of a note with its degree below */
    bool stacked; /* degrees below the notes */
};

/* Put TEXT into the remark, after a comma where there is something. */
static void add_remark(struct row *row, const char *text)
{
    size_t used = strlen(row->remark);

    if (*text)
        snprintf(row->remark + used, sizeof row->remark - used, "%s%s",
                 used ? ", " : "", text);
}

/* "E5 inserted (passing note)", "G4 for F#4", "D4 left out" */
static void add_changes(struct row *row, const struct find_page *page)
{
    struct hit_change changes[EDITS_MAX];
    size_t count = hit_view_changes(changes, &row->view, page);

    for (size_t i = 0; i < count; i++) {
        const struct hit_change *change = &changes[i];
        const char *role = edits_role_name(change->role);
        char pitch[PITCH_TEXT_SIZE] = "", text[2 * WORDS_SIZE];

        if (change->note)
            pitch_text(pitch, change->note->sounding);
        if (change->edit == EDIT_LEFT_OUT)
            snprintf(text, sizeof text, "%s left out",
                     *change->wanted ? change->wanted : "a note");
        else if (change->edit == EDIT_CHANGED)
            snprintf(text, sizeof text, "%s for %s", pitch,
                     *change->wanted ? change->wanted : "another note");
        else
            snprintf(text, sizeof text, "%s inserted%s%s%s", pitch,
                     *role ? " (" : "", role, *role ? ")" : "");
        add_remark(row, text);
    }
}

/* What the hit was measured by.  The query as asked does not have the home
 * chord; the hit does. */
static void measure(struct rank_question *question, struct rank_place *place,
                    const struct row *row, const struct find_page *page)
{
    const struct hit *hit = row->view.hit;
    const struct solo *solo = row->view.solo;

    *place = (struct rank_place){ solo, hit->first, hit->last, hit->chord };
    find_rank_question(question, page->query, solo, hit->shift, hit->chord,
                       false);
    question->has_home = hit->has_home;
    question->home = hit->home;
}

static enum status make_row(struct row *row, const struct find_page *page,
                            size_t index, struct fault *why)
{
    struct hit_view *view = &row->view;
    char key[WORDS_SIZE] = "", plays[WORDS_SIZE];
    const struct solo *solo;
    enum status st = hit_view_make(view, page, index, why);

    if (st != ST_OK)
        return st;
    solo = view->solo;
    words_bar(row->bar, solo, view->notes[0].bar);
    words_beat(row->beat, solo_beat(solo, &view->notes[0]));
    if (view->hit->has_transposition)
        words_transposition(key, view->hit->transposition);
    words_plays(plays, view->hit->plays);
    row->remark[0] = '\0';
    add_remark(row, key);
    add_remark(row, plays);
    add_changes(row, page);
    row->chord = view->chord ? view->chord->chord.symbol : "-";
    for (size_t i = 0; i < view->count; i++) {
        pitch_text(row->names[i], view->notes[i].sounding);
        row->degrees[i] = view->chord ? view->degrees[i] : "";
    }
    return ST_OK;
}

static void widen(int *width, int needed)
{
    if (needed > *width)
        *width = needed;
}

static void measure_row(struct layout *layout, const struct row *row)
{
    int names = 0, degrees = 0;

    for (size_t i = 0; i < row->view.count; i++) {
        int name = (int)strlen(row->names[i]);
        int degree = (int)strlen(row->degrees[i]);

        names += name + (i > 0);
        degrees += degree + (i > 0);
        widen(&layout->cell, name > degree ? name : degree);
    }
    widen(&layout->names, names);
    widen(&layout->degrees, row->view.chord ? degrees : 0);
    widen(&layout->bar, columns_width(row->bar));
    widen(&layout->beat, columns_width(row->beat));
    widen(&layout->chord, columns_width(row->chord));
    widen(&layout->remark, columns_width(row->remark));
}

static int left_columns(const struct layout *layout)
{
    return INDENT + (int)strlen("bar ") + layout->bar + GAP +
           (int)strlen("beat ") + layout->beat + GAP + layout->chord + GAP;
}

static enum status make_layout(struct layout *layout, const struct output *out,
                               const struct find_page *page, struct fault *why)
{
    enum status st = ST_OK;
    int side_by_side;

    memset(layout, 0, sizeof *layout);
    for (size_t i = 0; i < page->result->hit_count && st == ST_OK; i++) {
        struct row row;

        st = make_row(&row, page, i, why);
        if (st == ST_OK)
            measure_row(layout, &row);
    }
    if (layout->bar > BAR_MAX)
        layout->bar = BAR_MAX;
    if (layout->chord > CHORD_MAX)
        layout->chord = CHORD_MAX;
    side_by_side = left_columns(layout) + layout->names + GAP +
                   layout->degrees +
                   (layout->remark ? GAP + layout->remark : 0);
    layout->stacked = side_by_side > out->width;
    return st;
}

/* --- rows ----------------------------------------------------------------- */

static void put_left(const struct output *out, const struct row *row,
                     const struct layout *layout)
{
    FILE *f = out->stream;

    fprintf(f, "%*sbar ", INDENT, "");
    columns_put(f, row->bar, layout->bar, COLUMNS_RIGHT);
    fprintf(f, "%*sbeat ", GAP, "");
    columns_put(f, row->beat, layout->beat, COLUMNS_LEFT);
    fprintf(f, "%*s", GAP, "");
    columns_put(f, row->chord, layout->chord, COLUMNS_LEFT);
    fprintf(f, "%*s", GAP, "");
}

static void append(char *line, const char *text)
{
    if (*line)
        strcat(line, " ");
    strcat(line, text);
}

static void put_side_by_side(const struct output *out, const struct row *row,
                             const struct layout *layout)
{
    char names[CELLS_SIZE] = "", degrees[CELLS_SIZE] = "";
    bool remark = *row->remark != '\0';

    for (size_t i = 0; i < row->view.count; i++) {
        append(names, row->names[i]);
        if (row->view.chord)
            append(degrees, row->degrees[i]);
    }
    put_left(out, row, layout);
    text_paint(out, PAINT_NOTES);
    columns_put(out->stream, names, layout->names,
                *degrees || remark ? COLUMNS_LEFT : COLUMNS_LAST);
    text_paint(out, PAINT_NONE);
    if (*degrees || remark)
        fprintf(out->stream, "%*s", GAP, "");
    columns_put(out->stream, degrees, layout->degrees,
                remark ? COLUMNS_LEFT : COLUMNS_LAST);
    if (remark)
        fprintf(out->stream, "%*s%s", layout->degrees ? GAP : 0, "",
                row->remark);
    putc('\n', out->stream);
}

/* The notes FIRST..LAST-1 with their degrees below. */
static void put_cells(const struct output *out, const struct row *row,
                      const struct layout *layout, size_t first, size_t last)
{
    text_paint(out, PAINT_NOTES);
    for (size_t i = first; i < last; i++)
        columns_put(out->stream, row->names[i], layout->cell + 1,
                    i + 1 < last ? COLUMNS_LEFT : COLUMNS_LAST);
    text_paint(out, PAINT_NONE);
    if (!row->view.chord)
        return;
    fprintf(out->stream, "\n%*s", left_columns(layout), "");
    for (size_t i = first; i < last; i++)
        columns_put(out->stream, row->degrees[i], layout->cell + 1,
                    i + 1 < last ? COLUMNS_LEFT : COLUMNS_LAST);
}

static void put_stacked(const struct output *out, const struct row *row,
                        const struct layout *layout)
{
    int left = left_columns(layout);
    size_t count = row->view.count;
    size_t fit = left + layout->cell < out->width
                     ? (size_t)((out->width - left + 1) / (layout->cell + 1))
                     : 1;

    put_left(out, row, layout);
    for (size_t first = 0; first < count; first += fit) {
        size_t last = first + fit < count ? first + fit : count;

        if (first > 0)
            fprintf(out->stream, "\n%*s", left, "");
        put_cells(out, row, layout, first, last);
    }
    if (*row->remark)
        fprintf(out->stream, "\n%*s%s", left, "", row->remark);
    putc('\n', out->stream);
}

/* --- the listing ---------------------------------------------------------- */

/* Why the hit matters. */
static void put_reason(const struct output *out, const struct find_page *page,
                       const struct row *row)
{
    char reason[RANK_REASON_SIZE];
    struct rank_question question;
    struct rank_place place;

    measure(&question, &place, row, page);
    rank_reason(reason, sizeof reason, &row->view.hit->parts, &question,
                &place);
    if (!*reason)
        return;
    fprintf(out->stream, "%*s", 2 * INDENT + GAP, "");
    columns_wrap(out->stream, reason, out->width - 2 * INDENT - GAP,
                 2 * INDENT + GAP);
}

/* Every part of the score with its weight, a line each. */
static void put_explanation(const struct output *out,
                            const struct find_page *page,
                            const struct row *row)
{
    char text[RANK_EXPLAIN_SIZE];
    struct rank_question question;
    struct rank_place place;
    char *rest = text, *line;

    measure(&question, &place, row, page);
    rank_explain(text, sizeof text, &row->view.hit->parts, &question, &place);
    while ((line = strtok_r(rest, "\n", &rest))) {
        int left = 2 * INDENT + GAP + (int)strspn(line, " ");

        fprintf(out->stream, "%*s", left, "");
        columns_wrap(out->stream, line, out->width - left, left + INDENT);
    }
}

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

static enum status put_hits(const struct output *out,
                            const struct find_page *page, struct fault *why)
{
    const struct find_result *result = page->result;
    struct layout layout;
    enum status st = make_layout(&layout, out, page, why);

    for (size_t i = 0; i < result->hit_count && st == ST_OK; i++) {
        struct row row;

        st = make_row(&row, page, i, why);
        if (st != ST_OK)
            break;
        if (i == 0 || result->hits[i].solo != result->hits[i - 1].solo)
            text_heading(out, row.view.found->performer,
                         row.view.found->title, row.view.found->path);
        if (layout.stacked)
            put_stacked(out, &row, &layout);
        else
            put_side_by_side(out, &row, &layout);
        put_reason(out, page, &row);
        if (page->explain)
            put_explanation(out, page, &row);
    }
    return st;
}

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

enum status text_find(const struct output *out, const struct find_page *page,
                      struct fault *why)
{
    const struct find_result *result = page->result;
    char places[WORDS_SIZE], solos[WORDS_SIZE];
    char described[FRAGMENT_TEXT_SIZE];
    enum status st;

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
    if (page->query->count_only)
        return ST_OK;
    st = put_hits(out, page, why);
    if (st != ST_OK)
        return st;
    if (result->total > result->hit_count)
        putc('\n', out->stream);
    text_more(out, result->total, result->hit_count);
    return ST_OK;
}
