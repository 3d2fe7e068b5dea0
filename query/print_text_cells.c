/* query/print_text_cells.c - recurring cells as text. */
#include "query/print_text_cells.h"

#include <inttypes.h>
#include <stdlib.h>
#include <string.h>

#include "query/columns.h"
#include "query/words.h"

enum {
    LEFT = 4,       /* columns before a line of a cell */
    SHOWN_FEW = 3,  /* values of a kind in the listing */
    HELD_SHOWN = 4, /* cells folded into one */
    LINE_SIZE = 4096
};

/* --- lines of a cell ------------------------------------------------------ */

void text_cell_line(const struct output *out, const char *name,
                    const char *value)
{
    char line[LINE_SIZE];

    if (!*value)
        return;
    snprintf(line, sizeof line, "%s %s", name, value);
    fprintf(out->stream, "%*s", LEFT, "");
    columns_wrap(out->stream, line, out->width - LEFT, LEFT + 2);
}

/* Does another solo of LIST bear the same title and performer as INDEX? */
static bool has_namesake(const struct solo_list *list, size_t index)
{
    const struct solo_record *mine = &list->items[index];

    for (size_t i = 0; i < list->count; i++)
        if (i != index && strcmp(list->items[i].title, mine->title) == 0 &&
            strcmp(list->items[i].performer, mine->performer) == 0)
            return true;
    return false;
}

/* Do all solos looked through bear one performer's name? */
static bool one_performer(const struct solo_list *list)
{
    for (size_t i = 1; i < list->count; i++)
        if (strcmp(list->items[i].performer, list->items[0].performer) != 0)
            return false;
    return true;
}

void text_cell_examples(const struct output *out, const char *name,
                        const struct cell_detail *d,
                        const struct solo_list *list)
{
    bool named = !one_performer(list);
    char line[LINE_SIZE] = "", text[512];

    for (size_t i = 0; i < d->example_count; i++) {
        const struct example *e = &d->examples[i];
        const char *performer = list->items[e->index].performer;
        const char *path = list->items[e->index].path;
        bool twice = has_namesake(list, e->index);
        size_t used = strlen(line);

        snprintf(line + used, sizeof line - used, "%s%s%s%s%s%s", i ? "; " : "",
                 named ? performer : "", named && *performer ? ": " : "",
                 example_text(text, sizeof text, e, list), twice ? ", in " : "",
                 twice ? path : "");
    }
    text_cell_line(out, name, line);
}

static void put_where(const struct output *out, const struct cell_detail *d)
{
    char bars[CELLS_TEXT_SIZE], line[LINE_SIZE], count[WORDS_SIZE];

    cells_bars_text(bars, d, SHOWN_FEW);
    snprintf(line, sizeof line, "%s", bars);
    if (d->opens_chorus > 0)
        snprintf(line, sizeof line, "%s%s%s of a chorus", bars,
                 *bars ? "; " : "",
                 words_count(count, d->opens_chorus, "opening", "openings"));
    text_cell_line(out, "in bar", line);
}

/* The shorter cells that were folded into CELL. */
static void put_held(const struct output *out, const struct cells_page *page,
                     enum cells_side side, uint32_t cell)
{
    const struct cells_side_result *s = &page->result->sides[side];
    char line[LINE_SIZE] = "", text[CELLS_TEXT_SIZE];
    size_t count = 0, used = 0;

    if (!s->holds)
        return;
    for (int32_t i = s->holds[cell]; i >= 0; i = s->next_held[i], count++) {
        const struct cell *held = &page->result->cells[i];
        struct cell_shape shape;

        if (count >= HELD_SHOWN)
            continue;
        cell_shape(&shape, held);
        used += (size_t)snprintf(line + used, sizeof line - used,
                                 "%s%s (%" PRIu32 ")", count ? ", " : "",
                                 cells_degrees_text(text, &shape),
                                 held->count[side]);
    }
    if (count > HELD_SHOWN)
        snprintf(line + used, sizeof line - used, ", %zu more",
                 count - HELD_SHOWN);
    text_cell_line(out, "holds", line);
}

/* --- a cell --------------------------------------------------------------- */

static void put_heading(const struct output *out, const struct cells_page *page,
                        enum cells_side side, size_t rank, uint32_t index,
                        const struct cell_detail *d)
{
    const struct cell *cell = &page->result->cells[index];
    enum cells_side other = side == CELLS_OWN ? CELLS_VERSUS : CELLS_OWN;
    char degrees[CELLS_TEXT_SIZE], times[WORDS_SIZE], solos[WORDS_SIZE];
    char strip[CELLS_STRIP_SIZE], mark[32];
    struct cell_shape shape;

    cell_shape(&shape, cell);
    fprintf(out->stream, "%*zu  ", LEFT - 2, rank);
    text_paint(out, PAINT_NOTES);
    fputs(cells_degrees_text(degrees, &shape), out->stream);
    text_paint(out, PAINT_NONE);
    fprintf(out->stream, " over %s \xc2\xb7 %s in %s \xc2\xb7 keys %s\n",
            chord_class_name(shape.class),
            words_count(times, cell->count[side], "time", "times"),
            words_count(solos, cell->solos[side], "solo", "solos"),
            cells_strip(strip, d->keys));
    if (!page->query->compare)
        return;
    fprintf(out->stream, "%*smark %s \xc2\xb7 ", LEFT, "",
            cells_thousandths(mark, cell_distinct(page->result, cell), true));
    if (cell->count[other] == 0)
        fputs("never on the other side\n", out->stream);
    else
        fprintf(out->stream, "%s in %s on the other side\n",
                words_count(times, cell->count[other], "time", "times"),
                words_count(solos, cell->solos[other], "solo", "solos"));
}

static void put_cell(const struct output *out, const struct cells_page *page,
                     enum cells_side side, size_t rank, uint32_t index,
                     const struct cell_detail *d)
{
    char text[CELLS_TEXT_SIZE];

    putc('\n', out->stream);
    put_heading(out, page, side, rank, index, d);
    text_cell_line(out, "on beat", cells_beats_text(text, d, SHOWN_FEW));
    text_cell_line(out, "as", cells_rhythms_text(text, d, SHOWN_FEW));
    put_where(out, d);
    text_cell_line(out, "then",
                   cells_beside_text(text, &d->after, false, SHOWN_FEW));
    put_held(out, page, side, index);
    text_cell_examples(out, "see", d, &page->result->sides[side].solos);
}

/* Is CELL one that marks SIDE, or were marks not asked for? */
static bool belongs(const struct cells_page *page, enum cells_side side,
                    uint32_t cell)
{
    int64_t mark;

    if (page->query->by != CELLS_BY_DISTINCT)
        return true;
    mark = cell_distinct(page->result, &page->result->cells[cell]);
    return side == CELLS_OWN ? mark > 0 : mark < 0;
}

/* A batch of cells in order; *GO_ON is false at the first that does not
 * belong there. */
static enum status put_batch(const struct output *out,
                             const struct cells_page *page,
                             enum cells_side side, size_t from, size_t count,
                             bool *go_on, struct fault *why)
{
    const uint32_t *cells = page->result->sides[side].order + from;
    struct cell_detail *details = calloc(count, sizeof *details);
    enum status st;

    if (!details)
        return fault_nomem(why);
    st = cells_detail(details, page->result, page->store, side, cells, count,
                      false, why);
    for (size_t i = 0; i < count && st == ST_OK && *go_on; i++) {
        *go_on = belongs(page, side, cells[i]);
        if (*go_on)
            put_cell(out, page, side, from + i + 1, cells[i], &details[i]);
    }
    cells_detail_free(details, count);
    free(details);
    return st;
}

static enum status put_side(const struct output *out,
                            const struct cells_page *page, enum cells_side side,
                            struct fault *why)
{
    const struct cells_side_result *s = &page->result->sides[side];
    enum status st = ST_OK;
    bool go_on = true;
    size_t count;

    for (size_t from = 0; st == ST_OK && go_on; from += count) {
        count = cells_batch(page->result, side, from);
        if (count == 0)
            break;
        st = put_batch(out, page, side, from, count, &go_on, why);
    }
    if (st == ST_OK && s->total > s->shown && go_on) {
        putc('\n', out->stream);
        text_more(out, s->total, s->shown);
    }
    if (st == ST_OK && !go_on)
        fputs("\nNo other cell marks this side.\n", out->stream);
    return st;
}

/* --- the whole ------------------------------------------------------------ */

static void put_question(const struct output *out,
                         const struct cells_page *page)
{
    const struct cells_query *q = page->query;
    char line[LINE_SIZE], length[64];

    if (q->notes_min == q->notes_max)
        snprintf(length, sizeof length, "%d", q->notes_min);
    else
        snprintf(length, sizeof length, "%d to %d", q->notes_min, q->notes_max);
    snprintf(line, sizeof line,
             "cells of %s notes over %s%s%s; in any key and "
             "any rhythm",
             length, page->over ? page->over : "any chord",
             page->into ? " going to " : "", page->into ? page->into : "");
    columns_wrap(out->stream, line, out->width, 2);
    text_restrictions(out, page->place, page->asked);
}

/* Put "; N WORDS" behind what is in LINE, where there are any. */
static void add_left_out(char *line, uint64_t n, const char *words)
{
    size_t used = strlen(line);

    if (n > 0)
        snprintf(line + used, LINE_SIZE - used, "%s %" PRIu64 " %s",
                 used ? ";" : "left out:", n, words);
}

/* What was counted, folded and left out. */
static void put_summary(const struct output *out, const struct cells_page *page,
                        enum cells_side side)
{
    const struct cells_side_result *s = &page->result->sides[side];
    char line[LINE_SIZE], solos[WORDS_SIZE], cells[WORDS_SIZE];
    char times[WORDS_SIZE], least[WORDS_SIZE];

    snprintf(line, sizeof line, "%s in %s, each at least %s in at least %s",
             words_count(cells, s->total, "cell", "cells"),
             words_count(solos, s->solos.count, "solo", "solos"),
             words_count(times, page->query->min_count, "time", "times"),
             words_count(least, s->min_solos, "solo", "solos"));
    columns_wrap(out->stream, line, out->width, 2);
    *line = '\0';
    add_left_out(line, s->folded,
                 "shorter ones folded into these "
                 "(--no-folding lists them)");
    add_left_out(line, s->rare, "that come more rarely");
    add_left_out(line, s->chordless, "places over no chord");
    if (*line)
        columns_wrap(out->stream, line, out->width, 2);
}

static void put_legend(const struct output *out, const struct cells_page *page)
{
    columns_wrap(out->stream,
                 "keys: over each root how often, C Db D Eb E F Gb G Ab A Bb "
                 "B; . never, + ten or more",
                 out->width, 2);
    if (page->query->compare)
        columns_wrap(out->stream,
                     "mark: log-likelihood ratio, + where it is more frequent "
                     "here; chance alone passes 10.83 once in a thousand cells",
                     out->width, 2);
}

static enum status put_versus(const struct output *out,
                              const struct cells_page *page, struct fault *why)
{
    size_t both = cells_on_both_sides(page->result);
    char filter[1024], solos[WORDS_SIZE];

    putc('\n', out->stream);
    text_paint(out, PAINT_HEADING);
    if (page->versus)
        fprintf(out->stream, "What marks the solos with %s\n",
                filter_describe(filter, sizeof filter, page->versus));
    else
        fputs("What marks all other solos\n", out->stream);
    text_paint(out, PAINT_NONE);
    if (both > 0)
        fprintf(out->stream, "%s on both sides, counted on each\n",
                words_count(solos, both, "solo", "solos"));
    put_summary(out, page, CELLS_VERSUS);
    return put_side(out, page, CELLS_VERSUS, why);
}

enum status text_cells(const struct output *out, const struct cells_page *page,
                       struct fault *why)
{
    enum status st;

    put_question(out, page);
    put_summary(out, page, CELLS_OWN);
    if (page->result->sides[CELLS_OWN].shown > 0)
        put_legend(out, page);
    st = put_side(out, page, CELLS_OWN, why);
    if (st == ST_OK && page->query->by == CELLS_BY_DISTINCT)
        st = put_versus(out, page, why);
    return st;
}
