/* query/print_json_bank.c - banks as JSON. */
#include <string.h>
#include <time.h>

#include "query/print_json.h"

/* The degrees of CELL, null where it has none. */
static void write_degrees(struct json *json, const struct placed_cell *cell)
{
    const char *at = cell->degrees;

    if (!*at) {
        json_null(json, "degrees");
        return;
    }
    json_array(json, "degrees");
    while (*(at += strspn(at, " "))) {
        char degree[CELL_DEGREES_SIZE];
        size_t len = strcspn(at, " ");

        snprintf(degree, sizeof degree, "%.*s", (int)len, at);
        json_string(json, NULL, degree);
        at += len;
    }
    json_close(json);
}

/* The degree it starts on, where that is known of a chord. */
static void write_start(struct json *json, const struct placed_cell *cell)
{
    char degree[CELL_DEGREES_SIZE] = "";

    if (cell->start >= 0)
        snprintf(degree, sizeof degree, "%.*s",
                 (int)strcspn(cell->degrees, " "), cell->degrees);
    json_string_or_null(json, "start", degree);
}

static void write_added(struct json *json, int64_t seconds)
{
    time_t when = (time_t)seconds;
    struct tm parts;
    char text[40] = "";

    if (gmtime_r(&when, &parts))
        strftime(text, sizeof text, "%Y-%m-%dT%H:%M:%SZ", &parts);
    json_string_or_null(json, "added", text);
}

static void write_cell(struct json *json, const struct kept_cell *kept)
{
    const struct placed_cell *cell = &kept->cell;
    char text[CELL_TEXT_SIZE];

    json_object(json, NULL);
    json_integer(json, "number", kept->number);
    write_degrees(json, cell);
    json_array(json, "intervals");
    for (int i = 0; i + 1 < cell->count; i++)
        json_integer(json, NULL, cell->intervals[i]);
    json_close(json);
    json_string(json, "class",
                cell->class < 0 ? NULL : chord_class_name(cell->class));
    write_start(json, cell);
    json_string_or_null(json, "over", cell->over);
    json_string_or_null(json, "fragment", bank_cell_text(text, kept));
    json_string_or_null(json, "given", kept->given);
    json_string_or_null(json, "note", kept->note);
    json_string_or_null(json, "from", kept->origin);
    write_added(json, kept->added);
    json_close(json);
}

enum status json_bank(const struct output *out, const struct bank_page *page,
                      struct fault *why)
{
    struct json json;

    (void)why;
    json_start(&json, out->stream);
    json_object(&json, NULL);
    json_string(&json, "name", page->bank->name);
    json_integer(&json, "total", (int64_t)page->total);
    json_array(&json, "cells");
    for (size_t i = 0; i < page->bank->count; i++)
        write_cell(&json, &page->bank->cells[i]);
    json_close(&json);
    json_close(&json);
    json_finish(&json);
    return ST_OK;
}

enum status json_banks(const struct output *out, const struct bank_list *list,
                       struct fault *why)
{
    struct json json;

    (void)why;
    json_start(&json, out->stream);
    json_object(&json, NULL);
    json_integer(&json, "total", (int64_t)list->total);
    json_array(&json, "banks");
    for (size_t i = 0; i < list->count; i++) {
        json_object(&json, NULL);
        json_string(&json, "name", list->items[i].name);
        json_integer(&json, "cells", list->items[i].cells);
        json_close(&json);
    }
    json_close(&json);
    json_close(&json);
    json_finish(&json);
    return ST_OK;
}
