/* query/print_json_cells.c - recurring cells as JSON. */
#include <inttypes.h>
#include <stdlib.h>

#include "query/cell_uses.h"
#include "query/cells_words.h"
#include "query/print_json.h"

/* --- parts of a cell ------------------------------------------------------ */

static void write_shape(struct json *json, const struct cell_shape *shape)
{
    const char *degrees[CELLS_NOTES_MAX];

    cell_degrees(degrees, shape);
    json_array(json, "degrees");
    for (int i = 0; i < shape->notes; i++)
        json_string(json, NULL, degrees[i]);
    json_close(json);
    json_array(json, "intervals");
    for (int i = 0; i + 1 < shape->notes; i++)
        json_integer(json, NULL, shape->steps[i]);
    json_close(json);
    json_string(json, "class", chord_class_name(shape->class));
    json_string(json, "start", degrees[0]);
    json_integer(json, "start_semitones", shape->start);
}

static void write_rhythms(struct json *json, const struct tally *rhythms)
{
    char text[CELLS_TEXT_SIZE];

    json_array(json, "rhythms");
    for (size_t i = 0; i < rhythms->count; i++) {
        json_object(json, NULL);
        json_string(json, "pattern", cells_rhythm_text(text, rhythms, i));
        json_integer(json, "count", (int64_t)rhythms->counts[i]);
        json_close(json);
    }
    json_close(json);
}

static void write_where(struct json *json, const struct cell_detail *d)
{
    char text[CELL_SECTION_SIZE > 24 ? CELL_SECTION_SIZE : 24];

    json_object(json, "where");
    json_object(json, "chorus_bars");
    for (size_t i = 0; i < d->bars.count; i++) {
        if (*tally_value(&d->bars, i) == 0)
            continue;
        snprintf(text, sizeof text, "%" PRId64, *tally_value(&d->bars, i));
        json_integer(json, text, (int64_t)d->bars.counts[i]);
    }
    json_close(json);
    json_object(json, "sections");
    for (size_t i = 0; i < d->sections.count; i++)
        if (*cell_section_text(text, *tally_value(&d->sections, i)))
            json_integer(json, text, (int64_t)d->sections.counts[i]);
    json_close(json);
    json_integer(json, "opens_chorus", (int64_t)d->opens_chorus);
    json_integer(json, "opens_section", (int64_t)d->opens_section);
    json_integer(json, "starts_phrase", (int64_t)d->starts_phrase);
    json_integer(json, "ends_phrase", (int64_t)d->ends_phrase);
    json_close(json);
}

/* What stands before or after: null is nothing; without a degree it is a note
 * over no chord; "up" are the semitones from the cell's chord to that one. */
static void write_beside(struct json *json, const char *key,
                         const struct tally *beside)
{
    json_array(json, key);
    for (size_t i = 0; i < beside->count; i++) {
        struct cell_neighbour n;
        bool chord;

        cell_neighbour_read(&n, *tally_value(beside, i));
        chord = n.what == BESIDE_SAME_CHORD || n.what == BESIDE_OTHER_CHORD;
        json_object(json, NULL);
        json_boolean(json, "note", n.what != BESIDE_NOTHING);
        json_string(json, "degree",
                    chord ? cells_degree_name(n.class, n.above) : NULL);
        json_string(json, "class", chord ? chord_class_name(n.class) : NULL);
        if (chord)
            json_integer(json, "up", n.steps);
        else
            json_null(json, "up");
        json_boolean(json, "same_chord", n.what == BESIDE_SAME_CHORD);
        json_integer(json, "count", (int64_t)beside->counts[i]);
        json_close(json);
    }
    json_close(json);
}

static void write_examples(struct json *json, const struct cell_detail *d,
                           const struct solo_list *list)
{
    json_array(json, "examples");
    for (size_t i = 0; i < d->example_count; i++)
        json_example(json, NULL, &d->examples[i], list);
    json_close(json);
}

/* "keys" to "rhythms". */
static void write_detail(struct json *json, const struct cell_detail *d)
{
    char text[RATIONAL_TEXT_SIZE];

    json_array(json, "keys");
    for (int i = 0; i < 12; i++)
        json_integer(json, NULL, (int64_t)d->keys[i]);
    json_close(json);
    json_object(json, "beats");
    for (size_t i = 0; i < d->beats.count; i++) {
        const int64_t *v = tally_value(&d->beats, i);
        struct rational beat = { v[0], v[1], false };

        json_integer(json, json_beat_text(text, beat),
                     (int64_t)d->beats.counts[i]);
    }
    json_close(json);
    write_rhythms(json, &d->rhythms);
    write_where(json, d);
    write_beside(json, "before", &d->before);
    write_beside(json, "follows", &d->after);
}

/* The cells that were folded into CELL. */
static void write_held(struct json *json, const struct cells_page *page,
                       enum cells_side side, uint32_t cell)
{
    const struct cells_side_result *s = &page->result->sides[side];

    json_array(json, "folded");
    for (int32_t i = s->holds ? s->holds[cell] : -1; i >= 0;
         i = s->next_held[i]) {
        struct cell_shape shape;

        cell_shape(&shape, &page->result->cells[i]);
        json_object(json, NULL);
        write_shape(json, &shape);
        json_integer(json, "count", page->result->cells[i].count[side]);
        json_close(json);
    }
    json_close(json);
}

/* --- cells ---------------------------------------------------------------- */

static void write_cell(struct json *json, const struct cells_page *page,
                       enum cells_side side, size_t rank, uint32_t index,
                       const struct cell_detail *d)
{
    const struct cell *cell = &page->result->cells[index];
    struct cell_shape shape;
    char text[32];

    cell_shape(&shape, cell);
    json_object(json, NULL);
    json_integer(json, "rank", (int64_t)rank);
    write_shape(json, &shape);
    json_integer(json, "count", cell->count[side]);
    json_integer(json, "solos", cell->solos[side]);
    write_detail(json, d);
    if (page->query->compare) {
        enum cells_side other = side == CELLS_OWN ? CELLS_VERSUS : CELLS_OWN;

        json_number(
            json, "distinct",
            cells_thousandths(text, cell_distinct(page->result, cell), false));
        json_integer(json, "other_count", cell->count[other]);
        json_integer(json, "other_solos", cell->solos[other]);
    } else {
        json_null(json, "distinct");
    }
    write_held(json, page, side, index);
    write_examples(json, d, &page->result->sides[side].solos);
    json_close(json);
}

static enum status write_batch(struct json *json, const struct cells_page *page,
                               enum cells_side side, size_t from, size_t count,
                               struct fault *why)
{
    const uint32_t *cells = page->result->sides[side].order + from;
    struct cell_detail *details = calloc(count, sizeof *details);
    enum status st;

    if (!details)
        return fault_nomem(why);
    st = cells_detail(details, page->result, page->store, side, cells, count,
                      false, why);
    for (size_t i = 0; i < count && st == ST_OK; i++)
        write_cell(json, page, side, from + i + 1, cells[i], &details[i]);
    cells_detail_free(details, count);
    free(details);
    return st;
}

/* The members of one side: "solos" to "cells". */
static enum status write_side(struct json *json, const struct cells_page *page,
                              enum cells_side side, struct fault *why)
{
    const struct cells_side_result *s = &page->result->sides[side];
    enum status st = ST_OK;
    size_t count = 1;

    json_integer(json, "total", (int64_t)s->total);
    json_integer(json, "solos", (int64_t)s->solos.count);
    json_object(json, "windows");
    for (int n = page->query->notes_min; n <= page->query->notes_max; n++) {
        char text[16];

        snprintf(text, sizeof text, "%d", n);
        json_integer(json, text, (int64_t)s->windows[n]);
    }
    json_close(json);
    json_integer(json, "over_no_chord", (int64_t)s->chordless);
    json_integer(json, "folded_away", (int64_t)s->folded);
    json_integer(json, "too_rare", (int64_t)s->rare);
    json_array(json, "cells");
    for (size_t from = 0; st == ST_OK && count > 0; from += count) {
        count = cells_batch(page->result, side, from);
        if (count > 0)
            st = write_batch(json, page, side, from, count, why);
    }
    json_close(json);
    return st;
}

static void write_query(struct json *json, const struct cells_page *page)
{
    static const char *const orders[] = { "count", "spread", "distinct" };
    const struct cells_query *q = page->query;

    json_object(json, "query");
    json_string(json, "over", page->over);
    json_string(json, "into", page->into);
    json_integer(json, "least_notes", q->notes_min);
    json_integer(json, "most_notes", q->notes_max);
    json_integer(json, "min_count", q->min_count);
    json_integer(json, "min_solos", page->result->sides[CELLS_OWN].min_solos);
    json_boolean(json, "folded", q->fold);
    json_string(json, "by", orders[q->by]);
    json_filters(json, page->asked);
    json_place_asked(json, page->place);
    if (page->versus) {
        json_object(json, "versus");
        json_filters(json, page->versus);
        json_close(json);
    } else {
        json_string(json, "versus", q->compare ? "others" : NULL);
    }
    json_close(json);
}

enum status json_cells(const struct output *out, const struct cells_page *page,
                       struct fault *why)
{
    enum status st;
    struct json json;

    json_start(&json, out->stream);
    json_object(&json, NULL);
    write_query(&json, page);
    st = write_side(&json, page, CELLS_OWN, why);
    if (st == ST_OK && page->query->compare) {
        json_object(&json, "versus");
        json_integer(&json, "on_both_sides",
                     (int64_t)cells_on_both_sides(page->result));
        st = write_side(&json, page, CELLS_VERSUS, why);
        json_close(&json);
    }
    json_close(&json);
    json_finish(&json);
    return st;
}

/* --- the page of one ------------------------------------------------------ */

static void write_uses(struct json *json, const struct cell_page *page,
                       const struct cell_uses *uses)
{
    const struct cells_result *result = page->cells->result;

    json_array(json, "uses");
    for (size_t i = 0; i < uses->shown; i++) {
        const struct cell *cell = &result->cells[uses->items[i].cell];
        struct cell_shape shape;

        cell_shape(&shape, cell);
        json_object(json, NULL);
        write_shape(json, &shape);
        json_string_or_null(json, "relation", uses->items[i].relation);
        json_integer(json, "count", cell->count[CELLS_OWN]);
        json_integer(json, "solos", cell->solos[CELLS_OWN]);
        write_examples(json, &uses->details[i],
                       &result->sides[CELLS_OWN].solos);
        json_close(json);
    }
    json_close(json);
}

enum status json_cell(const struct output *out, const struct cell_page *page,
                      struct fault *why)
{
    struct cell_uses uses;
    enum status st = cell_uses_read(&uses, page, why);
    struct json json;

    if (st == ST_OK) {
        json_start(&json, out->stream);
        json_object(&json, NULL);
        write_query(&json, page->cells);
        json_string(&json, "of", page->text);
        json_string(&json, "home",
                    uses.home.known ? uses.home.chord.symbol : NULL);
        json_integer(&json, "count", (int64_t)uses.total);
        write_detail(&json, &uses.together);
        write_uses(&json, page, &uses);
        st = write_side(&json, page->cells, CELLS_OWN, why);
        json_close(&json);
        json_finish(&json);
    }
    cell_uses_free(&uses);
    return st;
}
