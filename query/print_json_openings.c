/* query/print_json_openings.c - how choruses open, as JSON. */
#include <stdlib.h>

#include "query/arc.h"
#include "query/hit_view.h"
#include "query/print_json.h"

/* --- one solo ------------------------------------------------------------- */

/* The number VALUE, null for 0. */
static void write_number(struct json *json, const char *key, int64_t value)
{
    if (value > 0)
        json_integer(json, key, value);
    else
        json_null(json, key);
}

/* Members of a chorus without a phrase to show. */
static void write_no_phrase(struct json *json, const struct solo *solo,
                            const struct opening *opening)
{
    static const char *const keys[] = {
        "first_note", "last_note", "onset",    "beat",   "pickup", "notes",
        "chord",      "degrees",   "last_bar", "rhythm", "length", "rest_after"
    };

    json_string(json, "bar", solo->bars[opening->bar].number);
    json_integer(json, "bar_index", opening->bar);
    for (size_t i = 0; i < sizeof keys / sizeof *keys; i++)
        json_null(json, keys[i]);
}

static enum status write_phrase(struct json *json, const struct solo *solo,
                                const struct opening *opening,
                                struct fault *why)
{
    size_t first = opening->first, last = opening->last;
    const struct note *notes = solo->notes;
    const struct chord_event *chord =
        real_chord(solo, solo_window_chord(solo, first, last + 1 - first));
    const char **degrees;
    char text[PITCH_TEXT_SIZE];
    enum status st = opening_degrees(&degrees, solo, first, last, why);

    if (st != ST_OK)
        return st;
    json_string(json, "bar", solo->bars[notes[first].bar].number);
    json_integer(json, "bar_index", notes[first].bar);
    json_integer(json, "first_note", (int64_t)first);
    json_integer(json, "last_note", (int64_t)last);
    json_fraction(json, "onset", solo_quarters(solo, notes[first].onset));
    json_fraction(json, "beat", solo_beat(solo, &notes[first]));
    json_fraction(json, "pickup", solo_quarters(solo, opening->pickup));
    json_array(json, "notes");
    for (size_t i = first; i <= last; i++)
        json_string(json, NULL, pitch_text(text, notes[i].sounding));
    json_close(json);
    json_string(json, "chord", chord ? chord->chord.symbol : NULL);
    json_array(json, "degrees");
    for (size_t i = first; i <= last; i++)
        json_string(json, NULL, degrees[i - first]);
    json_close(json);
    json_string(json, "last_bar", solo->bars[notes[last].bar].number);
    json_array(json, "rhythm");
    for (size_t i = first; i <= last; i++)
        json_fraction(json, NULL,
                      solo_quarters(solo, notes[i].start - notes[first].start));
    json_close(json);
    json_fraction(json, "length", solo_quarters(solo, opening->length));
    json_fraction(json, "rest_after", solo_quarters(solo, opening->rest_after));
    free(degrees);
    return ST_OK;
}

static void write_riff(struct json *json, const struct opening_riff *riff)
{
    json_boolean(json, "riff", riff->found);
    if (!riff->found) {
        json_null(json, "motif");
        return;
    }
    json_object(json, "motif");
    json_integer(json, "first_note", (int64_t)riff->first);
    json_integer(json, "last_note", (int64_t)riff->last);
    json_integer(json, "same_notes", riff->notes);
    json_integer(json, "same_line", riff->line);
    json_integer(json, "same_rhythm", riff->rhythm);
    json_integer(json, "same_shape", riff->shape);
    json_close(json);
}

static void write_returns(struct json *json, const struct opening *opening)
{
    static const char *const hows[] = { "the same bars", "the same line",
                                        "the same rhythm and shape",
                                        "a variation" };

    json_array(json, "recurs");
    for (size_t i = 0; i < opening->return_count; i++)
        json_integer(json, NULL, opening->returns[i].chorus);
    json_close(json);
    json_array(json, "returns");
    for (size_t i = 0; i < opening->return_count; i++) {
        const struct opening_return *r = &opening->returns[i];

        json_object(json, NULL);
        json_integer(json, "chorus", r->chorus);
        json_string(json, "how", hows[r->how]);
        write_number(json, "notes", r->notes);
        if (r->how == OPENING_LINE)
            json_integer(json, "transposition", r->up);
        else
            json_null(json, "transposition");
        json_integer(json, "changed", r->changed);
        json_close(json);
    }
    json_close(json);
}

/* A note of the arc: its MIDI number, and its name. */
static void write_extreme(struct json *json, const struct solo *solo,
                          const char *key, const char *name_key, int32_t note)
{
    char text[PITCH_TEXT_SIZE];

    if (note < 0) {
        json_null(json, key);
        json_null(json, name_key);
        return;
    }
    json_integer(json, key, solo->notes[note].midi);
    json_string(json, name_key, pitch_text(text, solo->notes[note].sounding));
}

static enum status write_chorus(struct json *json,
                                const struct openings_page *page, size_t index,
                                struct fault *why)
{
    static const char *const kinds[] = { "silent", "clear", "runs on",
                                         "runs on" };
    const struct opening *opening = &page->openings->items[index];
    const struct solo *solo = page->solo;
    struct arc arc = arc_of(solo, index);
    bool runs_on =
        opening->kind == OPENING_RUNS_ON || opening->kind == OPENING_RUNS_OVER;
    enum status st = ST_OK;

    json_object(json, NULL);
    write_number(json, "number", opening->chorus);
    json_string(json, "first_bar", solo->bars[opening->bar].number);
    json_integer(json, "first_bar_index", opening->bar);
    json_integer(json, "bars", opening->bars);
    json_boolean(json, "complete", opening->complete);
    write_number(json, "as_chorus", opening->as);
    json_string(json, "opening", kinds[opening->kind]);
    write_number(json, "runs_on_from", runs_on ? opening->from : 0);
    if (opening_has_phrase(opening))
        st = write_phrase(json, solo, opening, why);
    else
        write_no_phrase(json, solo, opening);
    write_riff(json, &opening->riff);
    write_returns(json, opening);
    json_fraction(json, "notes_per_bar", arc.notes_per_bar);
    write_extreme(json, solo, "highest", "highest_note", arc.highest);
    write_extreme(json, solo, "lowest", "lowest_note", arc.lowest);
    json_fraction(json, "rest_share", arc.rest_share);
    json_close(json);
    return st;
}

enum status json_openings(const struct output *out,
                          const struct openings_page *page, struct fault *why)
{
    bool no_bars = page->solo->bar_count == 0;
    enum status st = ST_OK;
    struct json json;

    json_start(&json, out->stream);
    json_object(&json, NULL);
    json_string(&json, "path", page->record->path);
    json_boolean(&json, "form_known", page->solo->form.chorus_count > 0);
    json_array(&json, "choruses");
    for (size_t i = 0; i < page->openings->count && !no_bars && st == ST_OK;
         i++)
        st = write_chorus(&json, page, i, why);
    json_close(&json);
    json_close(&json);
    json_finish(&json);
    return st;
}

/* --- the library ---------------------------------------------------------- */

static void write_counts(struct json *json,
                         const struct openings_library_page *page)
{
    const struct openings_library *library = page->library;

    json_object(json, "query");
    json_integer(json, "notes", page->query->notes);
    json_boolean(json, "with_pickup", page->query->with_pickup);
    json_integer(json, "min_count", (int64_t)page->query->min_count);
    json_filters(json, page->asked);
    json_close(json);
    json_integer(json, "total", (int64_t)library->group_count);
    json_integer(json, "different", (int64_t)library->different);
    json_integer(json, "solos", (int64_t)library->solos.count);
    json_integer(json, "solos_without_form", (int64_t)library->formless);
    json_integer(json, "choruses", (int64_t)library->choruses);
    json_integer(json, "clear", (int64_t)library->clear);
    json_integer(json, "runs_on", (int64_t)library->runs_on);
    json_integer(json, "silent", (int64_t)library->silent);
    json_integer(json, "too_few_notes", (int64_t)library->few);
    json_integer(json, "riffs", (int64_t)library->riffs);
}

static void write_group(struct json *json,
                        const struct openings_library_page *page, size_t rank)
{
    const struct openings_library *library = page->library;
    const struct openings_group *group = &library->groups[rank];
    const struct openings_entry *entry = &library->entries[group->first];
    const char *degrees[OPENINGS_NOTES_MAX];
    int notes = page->query->notes;
    bool known = openings_degrees(degrees, entry, notes);

    json_object(json, NULL);
    json_integer(json, "rank", (int64_t)rank + 1);
    json_array(json, "degrees");
    for (int i = 0; i < notes && known; i++)
        json_string(json, NULL, degrees[i]);
    json_close(json);
    json_array(json, "intervals");
    for (int i = 0; i + 1 < notes; i++)
        json_integer(json, NULL, entry->intervals[i]);
    json_close(json);
    json_string(json, "class", chord_class_name(entry->class));
    json_string(json, "start", known ? degrees[0] : NULL);
    json_integer(json, "count", (int64_t)group->count);
    json_integer(json, "solos", (int64_t)group->solos);
    json_integer(json, "riffs", (int64_t)group->riffs);
    json_array(json, "keys");
    for (int i = 0; i < 12; i++)
        json_integer(json, NULL, (int64_t)group->keys[i]);
    json_close(json);
    json_array(json, "examples");
    for (uint64_t i = 0; i < group->count; i++)
        json_example(json, NULL, &entry[i].example, &library->solos);
    json_close(json);
    json_close(json);
}

enum status json_openings_library(const struct output *out,
                                  const struct openings_library_page *page,
                                  struct fault *why)
{
    struct json json;

    (void)why;
    json_start(&json, out->stream);
    json_object(&json, NULL);
    write_counts(&json, page);
    json_array(&json, "openings");
    for (size_t i = 0; i < page->library->group_count &&
                       (page->limit == 0 || i < page->limit);
         i++)
        write_group(&json, page, i);
    json_close(&json);
    json_close(&json);
    json_finish(&json);
    return ST_OK;
}
