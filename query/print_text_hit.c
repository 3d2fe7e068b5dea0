/* query/print_text_hit.c - see print_text_hit.h.
 *
 * Where notes and degrees do not fit side by side, every hit takes two lines,
 * each degree below its note, and more where the fragment is long.
 */
#include "query/print_text_hit.h"

#include <stdlib.h>
#include <string.h>

#include "query/columns.h"
#include "query/hit_view.h"
#include "query/print_text.h"
#include "query/words.h"

enum {
    INDENT = 2,
    GAP = 2,
    REASON_LEFT = 2 * INDENT + GAP,
    BAR_MAX = 8,
    CHORD_MAX = 16,
    CELLS_SIZE = EDITS_STEPS_MAX * PITCH_TEXT_SIZE
};

/* --- a row is made -------------------------------------------------------- */

/* The texts of a row before it is known how long they are. */
struct draft {
    char bar[WORDS_SIZE], beat[WORDS_SIZE];
    char names[CELLS_SIZE], degrees[CELLS_SIZE];
    char remark[6 * WORDS_SIZE + 8];
    char reason[RANK_REASON_SIZE], explanation[RANK_EXPLAIN_SIZE];
};

/* Put TEXT into the remark, after a comma where there is something. */
static void add_remark(struct draft *draft, const char *text)
{
    if (*text)
        text_add(draft->remark, sizeof draft->remark, "%s%s",
                 *draft->remark ? ", " : "", text);
}

/* "E5 inserted (passing note)", "G4 for F#4", "D4 left out" */
static void add_changes(struct draft *draft, const struct hit_view *view,
                        const struct find_page *page)
{
    struct hit_change changes[EDITS_MAX];
    size_t count = hit_view_changes(changes, view, page);

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
        add_remark(draft, text);
    }
}

static void add_remarks(struct draft *draft, const struct hit_view *view,
                        const struct find_page *page)
{
    char key[WORDS_SIZE] = "", plays[WORDS_SIZE];

    if (view->hit->has_transposition)
        words_transposition(key, view->hit->transposition);
    words_plays(plays, view->hit->plays);
    draft->remark[0] = '\0';
    add_remark(draft, key);
    add_remark(draft, plays);
    add_changes(draft, view, page);
}

/* Put WORD at AT, after a blank where IT is not the first.  Returns the end. */
static char *add_word(char *at, const char *word, bool first)
{
    size_t length = strlen(word);

    if (!first)
        *at++ = ' ';
    memcpy(at, word, length + 1);
    return at + length;
}

static void add_notes(struct draft *draft, const struct hit_view *view)
{
    char *name = draft->names, *degree = draft->degrees;

    *degree = '\0';
    for (size_t i = 0; i < view->count; i++) {
        char pitch[PITCH_TEXT_SIZE];

        name =
            add_word(name, pitch_text(pitch, view->notes[i].sounding), i == 0);
        if (view->chord)
            degree = add_word(degree, view->degrees[i], i == 0);
    }
}

/* Why the hit matters and, where asked, how its score is made.  The query as
 * asked does not have the home chord; the hit does. */
static void add_reason(struct draft *draft, const struct hit_view *view,
                       const struct find_page *page)
{
    const struct hit *hit = view->hit;
    struct rank_place place = { view->solo, hit->first, hit->last, hit->chord };
    struct rank_question question;

    find_rank_question(&question, page->query, view->solo, hit->shift,
                       hit->chord, false);
    question.has_home = hit->has_home;
    question.home = hit->home;
    rank_reason(draft->reason, sizeof draft->reason, &hit->parts, &question,
                &place);
    draft->explanation[0] = '\0';
    if (page->explain)
        rank_explain(draft->explanation, sizeof draft->explanation, &hit->parts,
                     &question, &place);
}

/* The texts of DRAFT and CHORD one behind the other in memory of ROW. */
static enum status settle(struct hit_row *row, const struct draft *draft,
                          const char *chord, struct fault *why)
{
    const struct {
        const char **field, *text;
    } texts[] = {
        { &row->bar, draft->bar },
        { &row->beat, draft->beat },
        { &row->chord, chord },
        { &row->names, draft->names },
        { &row->degrees, draft->degrees },
        { &row->remark, draft->remark },
        { &row->reason, draft->reason },
        { &row->explanation, draft->explanation },
    };
    size_t count = sizeof texts / sizeof *texts, size = 0;
    char *at;

    for (size_t i = 0; i < count; i++)
        size += strlen(texts[i].text) + 1;
    at = row->texts = malloc(size);
    if (!at)
        return fault_nomem(why);
    for (size_t i = 0; i < count; i++) {
        *texts[i].field = at;
        at = add_word(at, texts[i].text, true) + 1;
    }
    return ST_OK;
}

enum status hit_row_make(struct hit_row *row, const struct find_page *page,
                         size_t index, struct fault *why)
{
    struct hit_view view;
    struct draft draft;
    enum status st = hit_view_make(&view, page, index, why);

    memset(row, 0, sizeof *row);
    if (st != ST_OK)
        return st;
    words_bar(draft.bar, view.solo, view.notes[0].bar);
    words_beat(draft.beat, solo_beat(view.solo, &view.notes[0]));
    add_remarks(&draft, &view, page);
    add_notes(&draft, &view);
    add_reason(&draft, &view, page);
    row->count = view.count;
    return settle(row, &draft, view.chord ? view.chord->chord.symbol : "-",
                  why);
}

void hit_row_free(struct hit_row *row)
{
    free(row->texts);
    memset(row, 0, sizeof *row);
}

/* --- how wide the columns are --------------------------------------------- */

static void widen(int *width, int needed)
{
    if (needed > *width)
        *width = needed;
}

/* Let *WIDTH have room for each word of LINE. */
static void widen_for_words(int *width, const char *line)
{
    while (*line) {
        size_t length = strcspn(line, " ");

        widen(width, (int)length);
        line += length + (line[length] == ' ');
    }
}

void hit_layout_add(struct hit_layout *layout, const struct hit_row *row)
{
    widen_for_words(&layout->cell, row->names);
    widen_for_words(&layout->cell, row->degrees);
    widen(&layout->names, (int)strlen(row->names));
    widen(&layout->degrees, (int)strlen(row->degrees));
    widen(&layout->bar, columns_width(row->bar));
    widen(&layout->beat, columns_width(row->beat));
    widen(&layout->chord, columns_width(row->chord));
    widen(&layout->remark, columns_width(row->remark));
}

static int left_columns(const struct hit_layout *layout)
{
    return INDENT + (int)strlen("bar ") + layout->bar + GAP +
           (int)strlen("beat ") + layout->beat + GAP + layout->chord + GAP;
}

void hit_layout_settle(struct hit_layout *layout, int width)
{
    int side_by_side;

    if (layout->bar > BAR_MAX)
        layout->bar = BAR_MAX;
    if (layout->chord > CHORD_MAX)
        layout->chord = CHORD_MAX;
    side_by_side = left_columns(layout) + layout->names + GAP +
                   layout->degrees +
                   (layout->remark ? GAP + layout->remark : 0);
    layout->stacked = side_by_side > width;
}

/* --- a row is put --------------------------------------------------------- */

static void put_left(const struct output *out, const struct hit_row *row,
                     const struct hit_layout *layout)
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

static void put_side_by_side(const struct output *out,
                             const struct hit_row *row,
                             const struct hit_layout *layout)
{
    bool remark = *row->remark != '\0', more = *row->degrees || remark;

    put_left(out, row, layout);
    text_paint(out, PAINT_NOTES);
    columns_put(out->stream, row->names, layout->names,
                more ? COLUMNS_LEFT : COLUMNS_LAST);
    text_paint(out, PAINT_NONE);
    if (more)
        fprintf(out->stream, "%*s", GAP, "");
    columns_put(out->stream, row->degrees, layout->degrees,
                remark ? COLUMNS_LEFT : COLUMNS_LAST);
    if (remark)
        fprintf(out->stream, "%*s%s", layout->degrees ? GAP : 0, "",
                row->remark);
    putc('\n', out->stream);
}

/* The next COUNT words of *LINE, each in a cell. */
static void put_words(const struct output *out, const char **line,
                      const struct hit_layout *layout, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        size_t length = strcspn(*line, " ");
        char word[PITCH_TEXT_SIZE];

        snprintf(word, sizeof word, "%.*s", (int)length, *line);
        columns_put(out->stream, word, layout->cell + 1,
                    i + 1 < count ? COLUMNS_LEFT : COLUMNS_LAST);
        *line += length + ((*line)[length] == ' ');
    }
}

static void put_stacked(const struct output *out, const struct hit_row *row,
                        const struct hit_layout *layout)
{
    int left = left_columns(layout);
    size_t fit = left + layout->cell < out->width
                     ? (size_t)((out->width - left + 1) / (layout->cell + 1))
                     : 1;
    const char *names = row->names, *degrees = row->degrees;

    put_left(out, row, layout);
    for (size_t first = 0; first < row->count; first += fit) {
        size_t count = row->count - first < fit ? row->count - first : fit;

        if (first > 0)
            fprintf(out->stream, "\n%*s", left, "");
        text_paint(out, PAINT_NOTES);
        put_words(out, &names, layout, count);
        text_paint(out, PAINT_NONE);
        if (*degrees) {
            fprintf(out->stream, "\n%*s", left, "");
            put_words(out, &degrees, layout, count);
        }
    }
    if (*row->remark)
        fprintf(out->stream, "\n%*s%s", left, "", row->remark);
    putc('\n', out->stream);
}

static void put_reason(const struct output *out, const char *reason)
{
    if (!*reason)
        return;
    fprintf(out->stream, "%*s", REASON_LEFT, "");
    columns_wrap(out->stream, reason, out->width - REASON_LEFT, REASON_LEFT);
}

/* Every part of the score with its weight, a line each. */
static void put_explanation(const struct output *out, const char *lines)
{
    while (*lines) {
        size_t length = strcspn(lines, "\n");
        int left = REASON_LEFT + (int)strspn(lines, " ");
        char line[RANK_EXPLAIN_SIZE];

        snprintf(line, sizeof line, "%.*s", (int)length, lines);
        fprintf(out->stream, "%*s", left, "");
        columns_wrap(out->stream, line, out->width - left, left + INDENT);
        lines += length + (lines[length] == '\n');
    }
}

void hit_row_put(const struct output *out, const struct hit_row *row,
                 const struct hit_layout *layout)
{
    if (layout->stacked)
        put_stacked(out, row, layout);
    else
        put_side_by_side(out, row, layout);
    put_reason(out, row->reason);
    put_explanation(out, row->explanation);
}
