/* query/print_json_coverage.c - what a line is made of, as JSON. */
#include <inttypes.h>
#include <stdlib.h>

#include "query/print_json.h"

enum {
    SHARE_SCALE = 1000000 /* six decimals */
};

static void write_degrees(struct json *json, const char *key,
                          const char *const *degrees, size_t count)
{
    json_array(json, key);
    for (size_t i = 0; i < count; i++)
        json_string(json, NULL, degrees[i]);
    json_close(json);
}

/* "cell": how it is called; one that is bound to no chord is called by its
 * degrees in this place. */
static void write_cell(struct json *json, const struct coverage_page *page,
                       const struct coverage_span *span)
{
    const struct coverage_cell *cell = &page->cells[span->cell];
    const char *here[CELLS_NOTES_MAX];
    const struct chord_event *event = coverage_place(here, page->solo, span);
    size_t count = (size_t)cell->shape.notes;

    if (cell->degrees[0])
        write_degrees(json, "cell", cell->degrees, count);
    else
        write_degrees(json, "cell", here, event ? count : 0);
    json_integer(json, "cell_index", span->cell);
    json_string(json, "chord", event ? event->chord.symbol : NULL);
    write_degrees(json, "degrees", here, event ? count : 0);
}

static void write_span(struct json *json, const struct coverage_page *page,
                       const struct coverage_span *span)
{
    const struct note *note = &page->solo->notes[span->first];
    bool is_cell = span->cell != COVERAGE_NO_CELL;

    json_object(json, NULL);
    json_integer(json, "first_note", (int64_t)span->first);
    json_integer(json, "last_note", (int64_t)span->last);
    json_string(json, "what", is_cell ? "cell" : join_word(span->what));
    if (is_cell)
        write_cell(json, page, span);
    else
        json_null(json, "cell");
    if (span->target != JOINS_NO_TARGET)
        json_integer(json, "target", span->target);
    json_string(json, "bar", page->solo->bars[note->bar].number);
    json_integer(json, "bar_index", note->bar);
    json_fraction(json, "onset", solo_quarters(page->solo, note->onset));
    json_close(json);
}

/* The cells that were looked for. */
static void write_cells(struct json *json, const struct coverage_page *page,
                        const size_t *uses)
{
    json_array(json, "cells");
    for (size_t i = 0; i < page->cell_count; i++) {
        const struct coverage_cell *cell = &page->cells[i];
        const struct cell_shape *shape = &cell->shape;

        json_object(json, NULL);
        write_degrees(json, "degrees", cell->degrees,
                      cell->degrees[0] ? (size_t)shape->notes : 0);
        json_array(json, "intervals");
        for (int s = 0; s + 1 < shape->notes; s++)
            json_integer(json, NULL, shape->steps[s]);
        json_close(json);
        json_string(json, "class",
                    shape->class == COVERAGE_ANY
                        ? NULL
                        : chord_class_name(shape->class));
        json_string(json, "start", cell->degrees[0]);
        json_integer(json, "count", (int64_t)uses[i]);
        json_close(json);
    }
    json_close(json);
}

static void write_share(struct json *json, const struct coverage *coverage)
{
    int64_t share = coverage_share(coverage, SHARE_SCALE);
    char text[40];

    snprintf(text, sizeof text, "%" PRId64 ".%06" PRId64, share / SHARE_SCALE,
             share % SHARE_SCALE);
    json_number(json, "share", text);
}

enum status json_coverage(const struct output *out,
                          const struct coverage_page *page, struct fault *why)
{
    const struct coverage *coverage = page->coverage;
    size_t *uses = calloc(page->cell_count + 1, sizeof *uses);
    struct json json;

    if (!uses)
        return fault_nomem(why);
    coverage_uses(uses, page->cell_count, coverage);
    json_start(&json, out->stream);
    json_object(&json, NULL);
    json_string(&json, "path", page->record->path);
    json_string(&json, "bars", page->asked);
    json_string(&json, "bank", page->bank);
    json_integer(&json, "notes", (int64_t)coverage->notes);
    json_integer(&json, "covered", (int64_t)coverage->covered);
    write_share(&json, coverage);
    json_array(&json, "spans");
    for (size_t i = 0; i < coverage->span_count; i++)
        write_span(&json, page, &coverage->spans[i]);
    json_close(&json);
    write_cells(&json, page, uses);
    json_close(&json);
    json_finish(&json);
    free(uses);
    return ST_OK;
}
