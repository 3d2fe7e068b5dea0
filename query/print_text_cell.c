/* query/print_text_cell.c - the page of one cell as text. */
#include <inttypes.h>
#include <stdlib.h>
#include <string.h>

#include "query/asked_home.h"
#include "query/cell_uses.h"
#include "query/columns.h"
#include "query/print_text_cells.h"
#include "query/words.h"

enum {
    SHOWN_MANY = 12, /* values of a kind on the page */
    SHOWN_FEW = 3,   /* of one use */
    CLASS_WIDTH = 15,
    COUNT_WIDTH = 5,
    START_WIDTH = 4
};

/* --- chord class by start degree ------------------------------------------ */

/* The counts of all uses, by class and start. */
struct table {
    uint64_t count[CHORD_CLASSES][12];
    bool start[12]; /* some use has it */
};

static void fill_table(struct table *t, const struct cells_result *result)
{
    memset(t, 0, sizeof *t);
    for (size_t i = 0; i < result->count; i++) {
        struct cell_shape shape;

        cell_shape(&shape, &result->cells[i]);
        t->count[shape.class][shape.start] = result->cells[i].count[CELLS_OWN];
        t->start[shape.start] = true;
    }
}

/* The name of a start degree in the head of the table: over a dominant, but
 * for the thirds. */
static const char *start_name(int start)
{
    return start == 3 ? "b3" : cells_degree_name(CHORD_DOMINANT, start);
}

static void put_table(const struct output *out,
                      const struct cells_result *result)
{
    struct table t;
    FILE *f = out->stream;

    fill_table(&t, result);
    fprintf(f, "\n%-*s", CLASS_WIDTH, "starts on");
    for (int s = 0; s < 12; s++)
        if (t.start[s])
            fprintf(f, " %*s", START_WIDTH, start_name(s));
    putc('\n', f);
    for (int c = 0; c < CHORD_CLASSES; c++) {
        uint64_t sum = 0;

        for (int s = 0; s < 12; s++)
            sum += t.count[c][s];
        if (sum == 0)
            continue;
        fprintf(f, "%-*s", CLASS_WIDTH, chord_class_name(c));
        for (int s = 0; s < 12; s++)
            if (t.start[s] && t.count[c][s])
                fprintf(f, " %*" PRIu64, START_WIDTH, t.count[c][s]);
            else if (t.start[s])
                fprintf(f, " %*s", START_WIDTH, ".");
        putc('\n', f);
    }
}

/* --- uses ----------------------------------------------------------------- */

static void put_use(const struct output *out, const struct cell_page *page,
                    const struct cell_use *use, const struct cell_detail *d)
{
    const struct cells_result *result = page->cells->result;
    const struct cell *cell = &result->cells[use->cell];
    char degrees[CELLS_TEXT_SIZE], strip[CELLS_STRIP_SIZE];
    char text[CELLS_TEXT_SIZE], solos[WORDS_SIZE];
    struct cell_shape shape;

    cell_shape(&shape, cell);
    fprintf(out->stream, "\n%*" PRIu32 "  ", COUNT_WIDTH, cell->count[0]);
    text_paint(out, PAINT_NOTES);
    fputs(cells_degrees_text(degrees, &shape), out->stream);
    text_paint(out, PAINT_NONE);
    fprintf(out->stream, " over %s \xc2\xb7 %s \xc2\xb7 %s \xc2\xb7 keys %s\n",
            chord_class_name(shape.class), use->relation,
            words_count(solos, cell->solos[0], "solo", "solos"),
            cells_strip(strip, d->keys));
    text_cell_line(out, "then",
                   cells_beside_text(text, &d->after, false, SHOWN_FEW));
    text_cell_examples(out, "see", d, &result->sides[CELLS_OWN].solos);
}

static void put_together(const struct output *out, const struct cell_page *page,
                         const struct cell_detail *d)
{
    char text[CELLS_TEXT_SIZE], line[CELLS_TEXT_SIZE];
    char choruses[WORDS_SIZE], sections[WORDS_SIZE], phrases[WORDS_SIZE];
    char ends[WORDS_SIZE];

    fputs("\nAll of them together\n", out->stream);
    text_cell_line(out, "keys", cells_strip(text, d->keys));
    text_cell_line(out, "on beat", cells_beats_text(text, d, SHOWN_MANY));
    text_cell_line(out, "as", cells_rhythms_text(text, d, SHOWN_MANY));
    text_cell_line(out, "in bar", cells_bars_text(text, d, SHOWN_MANY));
    text_cell_line(out, "in section", cells_sections_text(text, d, SHOWN_MANY));
    snprintf(line, sizeof line, "%s, %s, %s; ends %s",
             words_count(choruses, d->opens_chorus, "chorus", "choruses"),
             words_count(sections, d->opens_section, "section", "sections"),
             words_count(phrases, d->starts_phrase, "phrase", "phrases"),
             words_count(ends, d->ends_phrase, "phrase", "phrases"));
    text_cell_line(out, "opens", line);
    text_cell_line(out, "after",
                   cells_beside_text(text, &d->before, true, SHOWN_MANY));
    text_cell_line(out, "before",
                   cells_beside_text(text, &d->after, true, SHOWN_MANY));
    text_cell_examples(out, "see", d,
                       &page->cells->result->sides[CELLS_OWN].solos);
}

/* In how many of the solos looked through it is used; all of them when memory
 * is out. */
static size_t solos_with_uses(const struct cells_result *result)
{
    const struct cells_side_result *own = &result->sides[CELLS_OWN];
    bool *seen = calloc(own->solos.count + 1, sizeof *seen);
    size_t count = 0;

    for (size_t i = 0; seen && i < result->count; i++) {
        size_t places;
        const uint32_t *at =
            cell_places(result, &result->cells[i], CELLS_OWN, &places);

        for (size_t k = 0; k < places; k++) {
            bool *here = &seen[result->solo[at[k]]];

            count += !*here;
            *here = true;
        }
    }
    if (!seen)
        count = own->solos.count;
    free(seen);
    return count;
}

static void put_question(const struct output *out, const struct cell_page *page,
                         const struct cell_uses *uses)
{
    const struct cells_side_result *own =
        &page->cells->result->sides[CELLS_OWN];
    char described[FRAGMENT_TEXT_SIZE], line[FRAGMENT_TEXT_SIZE + 256];
    char count[WORDS_SIZE], solos[WORDS_SIZE];

    fragment_describe(page->fragment, described, sizeof described);
    columns_wrap(out->stream, described, out->width, 2);
    text_restrictions(out, page->cells->place, page->cells->asked);
    snprintf(line, sizeof line, "%s over a chord in %zu of %s; home chord %s%s",
             words_count(count, uses->total, "use", "uses"),
             solos_with_uses(page->cells->result),
             words_count(solos, own->solos.count, "solo", "solos"),
             uses->home.known ? uses->home.chord.symbol : "unknown",
             uses->home.given ? "" : ", the one the notes spell");
    if (own->chordless > 0)
        snprintf(line + strlen(line), sizeof line - strlen(line),
                 "; %" PRIu64 " uses over no chord are left out",
                 own->chordless);
    columns_wrap(out->stream, line, out->width, 2);
}

enum status text_cell(const struct output *out, const struct cell_page *page,
                      struct fault *why)
{
    struct cell_uses uses;
    enum status st = cell_uses_read(&uses, page, why);

    if (st == ST_OK) {
        put_question(out, page, &uses);
        if (uses.total > 0) {
            put_table(out, page->cells->result);
            put_together(out, page, &uses.together);
        }
        for (size_t i = 0; i < uses.shown; i++)
            put_use(out, page, &uses.items[i], &uses.details[i]);
        if (uses.count > uses.shown)
            putc('\n', out->stream);
        text_more(out, uses.count, uses.shown);
    }
    cell_uses_free(&uses);
    return st;
}
