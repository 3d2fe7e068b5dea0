/* query/print_json_find.c - the hits of a fragment as JSON. */
#include "query/hit_view.h"
#include "query/print_json.h"

/* --- the question as understood ------------------------------------------- */

static void write_notes(struct json *json, const struct fragment *f)
{
    char text[PITCH_TEXT_SIZE];

    if (f->given_pc < 0) {
        json_null(json, "notes");
        return;
    }
    json_array(json, "notes");
    for (size_t i = 0; i < f->count; i++)
        json_string(json, NULL,
                    f->any[i] ? NULL : pitch_text(text, f->spelled[i]));
    json_close(json);
}

static void write_intervals(struct json *json, const struct fragment *f)
{
    json_array(json, "intervals");
    for (size_t i = 1; i < f->count; i++) {
        if (f->any[i - 1] || f->any[i] || f->group[i - 1] != f->group[i])
            json_null(json, NULL);
        else
            json_integer(json, NULL, f->midi[i] - f->midi[i - 1]);
    }
    json_close(json);
}

static void write_values(struct json *json, const struct fragment *f)
{
    if (!f->has_rhythm) {
        json_null(json, "values");
        return;
    }
    json_array(json, "values");
    for (size_t i = 0; i < f->count; i++)
        json_fraction(json, NULL, f->value[i]);
    json_close(json);
}

static void write_over(struct json *json, const struct over *over)
{
    json_array(json, "over");
    for (int i = 0; i < over->count; i++)
        json_string(json, NULL, over->chords[i].text);
    json_close(json);
}

static void write_filters(struct json *json, const struct asked_filter *asked)
{
    json_array(json, "filters");
    for (size_t i = 0; i < asked->filter.count; i++) {
        json_object(json, NULL);
        json_string(json, "name", asked->said[i].name);
        json_string(json, "value", asked->said[i].value);
        json_close(json);
    }
    json_close(json);
}

/* Where in the form it was looked for, as given; null where anywhere. */
static void write_place_asked(struct json *json,
                              const struct place_options *place)
{
    static const char *const at[] = { "chorus", "section", "phrase",
                                      "phrase-end" };

    json_string(json, "chorus", place->chorus);
    json_string(json, "chorus_bar", place->bar);
    json_string(json, "section", place->section);
    json_string(json, "beat", place->beat);
    json_string(json, "at", place->at >= 0 ? at[place->at] : NULL);
    json_boolean(json, "within_phrase", place->within_phrase);
}

static void write_query(struct json *json, const struct find_page *page)
{
    static const char *const languages[] = { "degrees", "names", "intervals",
                                             "file" };
    static const char *const rhythms[] = { "any", "same", "scaled" };
    const struct find_query *query = page->query;
    const struct fragment *f = &query->fragment;

    json_object(json, "query");
    json_string(json, "fragment", page->text);
    json_string(json, "from", page->from);
    json_string(json, "bars", page->bars);
    json_string(json, "language", languages[f->language]);
    write_notes(json, f);
    write_intervals(json, f);
    write_values(json, f);
    write_over(json, &f->over);
    json_boolean(json, "any_octave", query->any_octave);
    json_string(json, "rhythm", rhythms[query->rhythm]);
    write_place_asked(json, page->place);
    write_filters(json, page->asked);
    json_close(json);
}

/* --- hits ----------------------------------------------------------------- */

static void write_place(struct json *json, const struct hit_view *view)
{
    const struct solo *solo = view->found->solo;
    const struct note *first = &view->notes[0];
    char text[PITCH_TEXT_SIZE];

    json_string(json, "path", view->found->path);
    json_string(json, "title", view->found->title);
    json_string(json, "performer", view->found->performer);
    json_string(json, "bar", solo->bars[first->bar].number);
    json_integer(json, "bar_index", first->bar);
    json_fraction(json, "onset", solo_quarters(solo, first->onset));
    json_integer(json, "first_note", view->hit->first);
    json_array(json, "note_indexes");
    for (size_t i = 0; i < view->count; i++)
        json_integer(json, NULL, (int64_t)view->hit->first + (int64_t)i);
    json_close(json);
    json_array(json, "notes");
    for (size_t i = 0; i < view->count; i++)
        json_string(json, NULL, pitch_text(text, view->notes[i].sounding));
    json_close(json);
}

static void write_chord(struct json *json, const struct hit_view *view)
{
    if (!view->chord) {
        json_null(json, "degrees");
        json_null(json, "chord");
        json_null(json, "kind");
        return;
    }
    json_array(json, "degrees");
    for (size_t i = 0; i < view->count; i++)
        json_string(json, NULL, view->degrees[i]);
    json_close(json);
    json_string(json, "chord", view->chord->chord.symbol);
    json_string(json, "kind", view->chord->kind_text);
}

static void write_hit(struct json *json, const struct find_page *page,
                      size_t index)
{
    struct hit_view view;
    struct chord home;

    hit_view_make(&view, page, index);
    json_object(json, NULL);
    json_integer(json, "rank", (int64_t)index + 1);
    json_null(json, "score");
    json_null(json, "parts");
    write_place(json, &view);
    write_chord(json, &view);
    json_harmony(json, view.found->solo, view.chord);
    json_string(json, "home",
                hit_view_home(&home, &view, page) ? home.symbol : NULL);
    json_null(json, "relation");
    json_integer(json, "edits", 0);
    if (view.hit->has_transposition)
        json_integer(json, "transposition", view.hit->transposition);
    else
        json_null(json, "transposition");
    json_place(json, view.found->solo, view.notes[0].bar);
    json_integer(json, "plays", view.hit->plays);
    json_close(json);
}

enum status json_find(const struct output *out, const struct find_page *page,
                      struct fault *why)
{
    const struct find_result *result = page->result;
    struct json json;

    (void)why;
    json_start(&json, out->stream);
    json_object(&json, NULL);
    write_query(&json, page);
    json_integer(&json, "total", (int64_t)result->total);
    json_integer(&json, "solos", (int64_t)result->solos_with_hits);
    json_hundredths(&json, "milliseconds", page->hundredths);
    json_array(&json, "hits");
    for (size_t i = 0; i < result->hit_count && !page->query->count_only; i++)
        write_hit(&json, page, i);
    json_close(&json);
    json_close(&json);
    json_finish(&json);
    return ST_OK;
}
