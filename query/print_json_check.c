/* query/print_json_check.c - what a check found, as JSON. */
#include "query/print_json.h"

static void write_index(struct json *json, const struct check_report *r)
{
    const struct store_checked *i = &r->index;

    if (!r->has_index) {
        json_null(json, "index");
        return;
    }
    json_object(json, "index");
    json_integer(json, "files", i->files);
    json_integer(json, "unreadable", i->unreadable);
    json_integer(json, "as_on_disk", r->same);
    json_integer(json, "changed", r->changed);
    json_integer(json, "missing", r->missing);
    json_integer(json, "to_be_read_again", r->waiting);
    json_integer(json, "solos", i->solos);
    json_integer(json, "solos_read", i->solos_read);
    json_integer(json, "notes", i->notes);
    json_integer(json, "facts_of_notes", i->strand_bytes);
    json_integer(json, "places_of_runs", i->postings);
    json_boolean(json, "searches_checked", i->searches_checked);
    json_close(json);
}

static void write_notebook(struct json *json, const struct check_report *r)
{
    const struct notebook_checked *n = &r->notebook;

    if (!r->has_notebook) {
        json_null(json, "notebook");
        return;
    }
    json_object(json, "notebook");
    json_integer(json, "version", n->version);
    json_integer(json, "forms", n->forms);
    json_integer(json, "forms_that_hold", r->forms_hold);
    json_integer(json, "banks", n->banks);
    json_integer(json, "cells", n->cells);
    json_integer(json, "lists", n->lists);
    json_integer(json, "entries", n->entries);
    json_integer(json, "found", r->found);
    json_integer(json, "moved", r->moved);
    json_integer(json, "edited", r->edited);
    json_integer(json, "gone", r->gone);
    json_close(json);
}

static void write_repair(struct json *json, const struct check_report *r)
{
    if (!r->repaired) {
        json_null(json, "repair");
        return;
    }
    json_object(json, "repair");
    json_integer(json, "problems_before", (int64_t)r->before);
    json_integer(json, "solos", r->repair.solos);
    json_integer(json, "to_be_read_again", r->repair.lost);
    json_close(json);
}

static void write_finding(struct json *json, const struct check_finding *f)
{
    bool mend = f->problem && !f->says_how;

    json_object(json, NULL);
    json_string(json, "area", check_area_name(f->area));
    json_boolean(json, "problem", f->problem);
    json_string_or_null(json, "path", f->path);
    json_string(json, "what", f->what);
    json_string(json, "mend", mend ? check_mend(f->area) : NULL);
    json_close(json);
}

enum status json_check(const struct output *out, const struct check_page *page,
                       struct fault *why)
{
    const struct check_report *r = page->report;
    uint64_t problems = check_index_problems(r) + check_notebook_problems(r);
    struct json json;

    (void)why;
    json_start(&json, out->stream);
    json_object(&json, NULL);
    json_string(&json, "library", r->library);
    json_boolean(&json, "sound", problems == 0);
    json_integer(&json, "problems", (int64_t)problems);
    write_repair(&json, r);
    write_index(&json, r);
    write_notebook(&json, r);
    json_integer(&json, "total", (int64_t)r->count);
    json_array(&json, "findings");
    for (int problem = 1, shown = 0; problem >= 0; problem--)
        for (size_t i = 0; i < r->count; i++) {
            if (r->findings[i].problem != (problem == 1))
                continue;
            if (page->limit == 0 || (size_t)shown++ < page->limit)
                write_finding(&json, &r->findings[i]);
        }
    json_close(&json);
    json_close(&json);
    json_finish(&json);
    return ST_OK;
}
