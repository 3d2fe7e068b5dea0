/* query/print_json_form.c - the form of one solo as JSON. */
#include "query/print_json.h"

static void write_sections(struct json *json, const struct form_chorus *chorus)
{
    json_array(json, "sections");
    for (size_t i = 0; i < chorus->section_count; i++) {
        const struct form_section *section = &chorus->sections[i];

        json_object(json, NULL);
        json_string(json, "letter", section->letter);
        json_integer(json, "first_bar_index", section->first_bar);
        json_integer(json, "bars", section->bars);
        json_close(json);
    }
    json_close(json);
}

static void write_choruses(struct json *json, const struct solo *solo)
{
    json_array(json, "choruses");
    for (size_t i = 0; i < solo->form.chorus_count; i++) {
        const struct form_chorus *chorus = &solo->form.choruses[i];

        json_object(json, NULL);
        json_integer(json, "number", chorus->number);
        json_string(json, "first_bar", solo->bars[chorus->first_bar].number);
        json_integer(json, "first_bar_index", chorus->first_bar);
        json_integer(json, "bars", chorus->bars);
        json_boolean(json, "complete", chorus->complete);
        write_sections(json, chorus);
        json_close(json);
    }
    json_close(json);
}

void json_form_members(struct json *json, const struct solo *solo)
{
    static const char *const sources[] = { "none", "harmony", "marks",
                                           "user" };
    const struct form *form = &solo->form;
    bool known = form->plan.length > 0;

    if (known)
        json_integer(json, "length", form->plan.length);
    else
        json_null(json, "length");
    json_integer(json, "first_bar_index", form->first_bar);
    json_string(json, "source", sources[known ? form->plan.source : 0]);
    if (known)
        json_integer(json, "confidence", form->plan.confidence);
    else
        json_null(json, "confidence");
    write_choruses(json, solo);
}

void json_place(struct json *json, const struct solo *solo, int32_t bar)
{
    const struct form_place *place = form_place_of(solo, bar);

    if (place->chorus == 0) {
        json_null(json, "chorus");
        json_null(json, "chorus_bar");
    } else {
        json_integer(json, "chorus", place->chorus);
        json_integer(json, "chorus_bar", place->chorus_bar);
    }
    json_string(json, "section",
                place->section ? place->section->letter : NULL);
}

/* --- the chords of chorus 1 ----------------------------------------------- */

static const char *symbol_of(const struct chord_event *event)
{
    return event->chord.class == CHORD_NONE ? "N.C." : event->chord.symbol;
}

/* The chords of the written bar BAR; where it STARTS a bar as played and no
 * chord stands at its start, first the one that goes on. */
static void write_symbols(struct json *json, const struct solo *solo,
                          int32_t bar, bool starts)
{
    const struct chord_event *chords = solo->chords;
    size_t i = 0;

    while (i < solo->chord_count && chords[i].bar < bar)
        i++;
    if (starts && i > 0 &&
        (i == solo->chord_count || chords[i].bar != bar ||
         chords[i].takes_effect > 0))
        json_string(json, NULL, symbol_of(&chords[i - 1]));
    for (; i < solo->chord_count && chords[i].bar == bar; i++)
        json_string(json, NULL, symbol_of(&chords[i]));
}

static void write_grid(struct json *json, const struct solo *solo)
{
    const struct form_chorus *chorus = solo->form.choruses;
    int32_t count = solo->form.chorus_count > 0 ? chorus->play_count : 0;

    json_array(json, "grid");
    for (int32_t i = 0; i < count; i++) {
        size_t play = (size_t)(chorus->first_play + i);
        bool starts = form_starts_bar(solo, play);

        if (starts && i > 0)
            json_close(json);
        if (starts)
            json_array(json, NULL);
        write_symbols(json, solo, solo->plays[play], starts);
    }
    if (count > 0)
        json_close(json);
    json_close(json);
}

enum status json_form(const struct output *out, const struct form_page *page,
                      struct fault *why)
{
    struct json json;

    (void)why;
    json_start(&json, out->stream);
    json_object(&json, NULL);
    json_string(&json, "path", page->record->path);
    json_form_members(&json, page->solo);
    write_grid(&json, page->solo);
    json_close(&json);
    json_finish(&json);
    return ST_OK;
}
