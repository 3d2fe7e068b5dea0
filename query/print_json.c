/* query/print_json.c - answers as JSON: the list of solos. */
#include "query/print_json.h"

#include <inttypes.h>

#include "schema/harmony.h"

const struct printer print_json = {
    .format = "json",
    .one_by_one = true,
    .solos = json_solos,
    .solo = json_solo,
    .form = json_form,
    .coverage = json_coverage,
    .find = json_find,
    .openings = json_openings,
    .openings_library = json_openings_library,
    .bank = json_bank,
    .banks = json_banks,
    .tension = json_tension,
    .cells = json_cells,
    .cell = json_cell,
    .study = json_study,
    .study_lists = json_study_lists,
    .check = json_check,
};

void json_example(struct json *json, const char *key,
                  const struct example *example, const struct solo_list *list)
{
    json_object(json, key);
    json_string(json, "path", list->items[example->index].path);
    json_string(json, "bar", example->number);
    json_integer(json, "bar_index", example->bar_index);
    json_fraction(json, "onset", example->onset);
    json_integer(json, "first_note", example->first);
    json_close(json);
}

const char *json_beat_text(char out[RATIONAL_TEXT_SIZE], struct rational beat)
{
    if (beat.den == 1)
        snprintf(out, RATIONAL_TEXT_SIZE, "%" PRId64, beat.num);
    else if (beat.den == 2)
        snprintf(out, RATIONAL_TEXT_SIZE, "%" PRId64 ".5", beat.num / 2);
    else if (beat.den == 4)
        snprintf(out, RATIONAL_TEXT_SIZE, "%" PRId64 ".%d", beat.num / 4,
                 beat.num % 4 == 1 ? 25 : 75);
    else
        rational_text(out, beat);
    return out;
}

void json_filters(struct json *json, const struct asked_filter *asked)
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

void json_place_asked(struct json *json, const struct place_options *place)
{
    json_string(json, "chorus", place->chorus);
    json_string(json, "chorus_bar", place->bar);
    json_string(json, "section", place->section);
    json_string(json, "beat", place->beat);
    json_string(json, "at", place_at_word(place));
    json_boolean(json, "within_phrase", place->within_phrase);
}

void json_harmony(struct json *json, const struct solo *solo,
                  const struct chord_event *event)
{
    char key[KEY_TEXT_SIZE] = "";
    int fifths, mode;

    solo_concert_key(solo, &fifths, &mode);
    if (event)
        harmony_key_text(key, event->key, fifths);
    json_string_or_null(json, "function", event ? event->function : "");
    json_string_or_null(json, "key", key);
}

void json_tempo(struct json *json, int32_t hundredths)
{
    if (hundredths > 0)
        json_hundredths(json, "tempo", hundredths);
    else
        json_null(json, "tempo");
}

static void write_solo(struct json *json, const struct solo_record *solo)
{
    json_object(json, NULL);
    json_string(json, "path", solo->path);
    json_string(json, "sha256", solo->sha256);
    json_string(json, "title", solo->title);
    json_string(json, "performer", solo->performer);
    json_string(json, "composer", solo->composer);
    json_string(json, "instrument", solo->instrument);
    json_string_or_null(json, "key", solo->key);
    json_string_or_null(json, "metre", solo->metre);
    json_tempo(json, solo->tempo);
    json_integer(json, "notes", solo->notes);
    json_integer(json, "chords", solo->chords);
    json_integer(json, "bars", solo->bars);
    json_integer(json, "warnings", solo->warnings);
    json_close(json);
}

enum status json_solos(const struct output *out, const struct solo_list *list,
                       struct fault *why)
{
    struct json json;

    (void)why;
    json_start(&json, out->stream);
    json_object(&json, NULL);
    json_integer(&json, "total", (int64_t)list->total);
    json_array(&json, "solos");
    for (size_t i = 0; i < list->count; i++)
        write_solo(&json, &list->items[i]);
    json_close(&json);
    json_close(&json);
    json_finish(&json);
    return ST_OK;
}
