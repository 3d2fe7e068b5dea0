/* query/print_text_find.c - the hits of a fragment as text.
 *
 * A row a hit, the columns aligned over the whole listing.  Where notes and
 * degrees do not fit side by side, every hit takes two lines, each degree
 * below its note, and more where the fragment is long.
 */
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
    FUNCTION_MAX = 16, /* " (subV7/V in Gbm)" */
    CELLS_SIZE = FRAGMENT_NOTES_MAX * PITCH_TEXT_SIZE
};

/* The texts of one row. */
struct row {
    struct hit_view view;
    char bar[WORDS_SIZE], beat[WORDS_SIZE], remark[3 * WORDS_SIZE + 8];
    char chord[CHORD_TEXT_SIZE + WORDS_SIZE];
    char names[FRAGMENT_NOTES_MAX][PITCH_TEXT_SIZE];
    const char *degrees[FRAGMENT_NOTES_MAX]; /* "" without a chord */
};

/* The width of each column over the whole listing. */
struct layout {
    int bar, beat, chord, names, degrees, remark;
    int cell;     /* of a note with its degree below */
    bool stacked; /* degrees below the notes */
    bool placed;  /* the place in the form is shown */
    bool named;   /* the function of the chord is shown */
};

/* Is a function asked for? */
static bool asks_function(const struct find_page *page)
{
    const struct over *over = &page->query->fragment.over;

    for (int i = 0; i < over->count; i++)
        if (over->chords[i].function[0])
            return true;
    return false;
}

/* The chord of the hit; NAMED: "G7 (V7 in C)". */
static void write_chord(struct row *row, bool named)
{
    const struct chord_event *event = row->view.chord;
    char function[WORDS_SIZE] = "";

    if (event && named)
        words_function(function, row->view.found->solo, event);
    snprintf(row->chord, sizeof row->chord, "%s%s%s%s",
             event ? event->chord.symbol : "-", *function ? " (" : "", function,
             *function ? ")" : "");
}

/* Put TEXT into the remark, after a comma where there is something. */
static void add_remark(struct row *row, const char *text)
{
    size_t used = strlen(row->remark);

    if (*text)
        snprintf(row->remark + used, sizeof row->remark - used, "%s%s",
                 used ? ", " : "", text);
}

/* With the place in the form and the function as LAYOUT has them. */
static void make_row(struct row *row, const struct find_page *page,
                     size_t index, const struct layout *layout)
{
    struct hit_view *view = &row->view;
    char place[WORDS_SIZE], key[WORDS_SIZE] = "", plays[WORDS_SIZE];
    const struct solo *solo;

    hit_view_make(view, page, index);
    solo = view->found->solo;
    words_bar(row->bar, solo, view->notes[0].bar);
    words_beat(row->beat, solo_beat(solo, &view->notes[0]));
    if (view->hit->has_transposition)
        words_transposition(key, view->hit->transposition);
    words_plays(plays, view->hit->plays);
    words_place(place, solo, view->notes[0].bar);
    row->remark[0] = '\0';
    add_remark(row, layout->placed ? place : "");
    add_remark(row, key);
    add_remark(row, plays);
    write_chord(row, layout->named);
    for (size_t i = 0; i < view->count; i++) {
        pitch_text(row->names[i], view->notes[i].sounding);
        row->degrees[i] = view->chord ? view->degrees[i] : "";
    }
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

static void measure(struct layout *layout, const struct output *out,
                    const struct find_page *page, bool placed, bool named)
{
    int side_by_side, chord_max = CHORD_MAX + (named ? FUNCTION_MAX : 0);

    memset(layout, 0, sizeof *layout);
    layout->placed = placed;
    layout->named = named;
    for (size_t i = 0; i < page->result->hit_count; i++) {
        struct row row;

        make_row(&row, page, i, layout);
        measure_row(layout, &row);
    }
    if (layout->bar > BAR_MAX)
        layout->bar = BAR_MAX;
    if (layout->chord > chord_max)
        layout->chord = chord_max;
    side_by_side = left_columns(layout) + layout->names + GAP +
                   layout->degrees +
                   (layout->remark ? GAP + layout->remark : 0);
    layout->stacked = side_by_side > out->width;
}

/* A hit on one line is worth more than its place in the form, and then than
 * the function, which is shown where one is asked; where two lines are needed
 * anyway, there is room for the place. */
static void make_layout(struct layout *layout, const struct output *out,
                        const struct find_page *page)
{
    for (int named = asks_function(page); named >= 0; named--) {
        measure(layout, out, page, true, named);
        if (layout->stacked)
            measure(layout, out, page, false, named);
        if (!layout->stacked)
            return;
    }
    measure(layout, out, page, true, false);
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

/* "Performer · Title · path" */
static void put_heading(const struct output *out, const struct found_solo *solo)
{
    const char *parts[] = { solo->performer, solo->title, solo->path };
    int widths[3], count = 0;
    const char *shown[3];

    for (int i = 0; i < 3; i++) {
        if (!parts[i] || !*parts[i])
            continue;
        shown[count] = parts[i];
        widths[count++] = columns_width(parts[i]);
    }
    columns_fit(widths, count, out->width - 3 * (count - 1));
    putc('\n', out->stream);
    text_paint(out, PAINT_HEADING);
    for (int i = 0; i < count; i++) {
        if (i > 0)
            fputs(" \xc2\xb7 ", out->stream);
        columns_put(out->stream, shown[i], widths[i], COLUMNS_LAST);
    }
    text_paint(out, PAINT_NONE);
    putc('\n', out->stream);
}

static void put_hits(const struct output *out, const struct find_page *page)
{
    const struct find_result *result = page->result;
    struct layout layout;

    make_layout(&layout, out, page);
    for (size_t i = 0; i < result->hit_count; i++) {
        struct row row;

        make_row(&row, page, i, &layout);
        if (i == 0 || result->hits[i].solo != result->hits[i - 1].solo)
            put_heading(out, row.view.found);
        if (layout.stacked)
            put_stacked(out, &row, &layout);
        else
            put_side_by_side(out, &row, &layout);
    }
}

/* What else was asked, in one line; nothing where nothing was. */
static void put_conditions(const struct output *out,
                           const struct find_page *page)
{
    const struct find_query *query = page->query;
    char filter[1024], place[512], line[1800];

    filter_describe(filter, sizeof filter, page->asked);
    place_describe(place, sizeof place, page->place);
    snprintf(line, sizeof line, "%s%s%s%s%s%s",
             query->any_octave ? "; each note in any octave" : "",
             query->rhythm == RHYTHM_SAME     ? "; in this rhythm"
             : query->rhythm == RHYTHM_SCALED ? "; in this rhythm at any speed"
                                              : "",
             *place ? "; only " : "", place,
             *filter ? "; only solos with " : "", filter);
    if (*line)
        columns_wrap(out->stream, line + 2, out->width, INDENT);
}

enum status text_find(const struct output *out, const struct find_page *page,
                      struct fault *why)
{
    const struct find_result *result = page->result;
    char places[WORDS_SIZE], solos[WORDS_SIZE];
    char described[FRAGMENT_TEXT_SIZE];

    (void)why;
    if (!page->query->count_only) {
        fragment_describe(&page->query->fragment, described, sizeof described);
        columns_wrap(out->stream, described, out->width, INDENT);
        put_conditions(out, page);
    }
    fprintf(out->stream, "%s in %s\n",
            words_count(places, result->total, "place", "places"),
            words_count(solos, result->solos_with_hits, "solo", "solos"));
    if (page->query->count_only)
        return ST_OK;
    put_hits(out, page);
    if (result->total > result->hit_count)
        putc('\n', out->stream);
    text_more(out, result->total, result->hit_count);
    return ST_OK;
}
