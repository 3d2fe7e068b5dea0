/* query/print_json_tension.c - notes on a degree, and the table, as JSON. */
#include "query/print_json.h"
#include "query/rank.h"
#include "query/tension_words.h"
#include "query/words.h"

static void write_query(struct json *json, const struct tension_page *page)
{
    json_object(json, "query");
    json_string(json, "degree", page->degree);
    json_string(json, "over", page->over);
    json_string(json, "length", page->length);
    json_string(json, "accent", page->accent);
    json_string(json, "in_phrase", page->in_phrase);
    json_string(json, "approach", page->approach);
    json_string(json, "departure", page->departure);
    json_string(json, "resolves", page->resolves);
    json_place_asked(json, page->place);
    json_filters(json, page->asked);
    json_close(json);
}

static void write_part(struct json *json, const char *key, int part, int weight)
{
    char text[RANK_NUMBER_SIZE];

    json_object(json, key);
    json_number(json, "total", rank_part_text(text, part));
    json_number(json, "weight", rank_part_text(text, weight));
    json_close(json);
}

static void write_score(struct json *json, const struct tension_parts *parts)
{
    char text[RANK_NUMBER_SIZE];

    json_number(json, "score", rank_score_text(text, parts->score));
    json_object(json, "parts");
    write_part(json, "length", parts->length, TENSION_WEIGHT_LENGTH);
    write_part(json, "beat", parts->beat, TENSION_WEIGHT_BEAT);
    write_part(json, "peak", parts->peak, TENSION_WEIGHT_PEAK);
    write_part(json, "end", parts->end, TENSION_WEIGHT_END);
    json_close(json);
}

static void write_place(struct json *json, const struct solo_record *record,
                        const struct solo *solo, size_t index)
{
    const struct note *note = &solo->notes[index];
    char text[PITCH_TEXT_SIZE];

    json_string(json, "path", record->path);
    json_string(json, "title", record->title);
    json_string(json, "performer", record->performer);
    json_string(json, "bar", solo->bars[note->bar].number);
    json_integer(json, "bar_index", note->bar);
    json_fraction(json, "onset", solo_quarters(solo, note->onset));
    json_integer(json, "first_note", (int64_t)index);
    json_string(json, "note", pitch_text(text, note->sounding));
    json_integer(json, "midi", note->midi);
    json_fraction(json, "duration", solo_quarters(solo, note->duration));
}

/* The move by its kind, and in semitones; null where there is none. */
static void write_move(struct json *json, bool departing, bool is,
                       int semitones)
{
    const char *name = departing ? "departure" : "approach";
    const char *size = departing ? "departure_semitones" : "approach_semitones";
    char text[WORDS_SIZE];

    if (is) {
        json_string(json, name,
                    tension_move_word(text, sizeof text, semitones, departing));
        json_integer(json, size, semitones);
    } else {
        json_null(json, name);
        json_null(json, size);
    }
}

static void write_resolution(struct json *json, const struct solo *solo,
                             const struct tension_note *note)
{
    const struct chord_event *to;
    char text[PITCH_TEXT_SIZE];

    if (!note->resolves) {
        json_null(json, "resolves");
        return;
    }
    to = &solo->chords[note->to_chord];
    json_object(json, "resolves");
    json_string(json, "degree", note->to_degree);
    json_string(json, "chord", to->chord.symbol);
    json_string(json, "class", chord_class_name(to->chord.class));
    json_string_or_null(json, "function", to->function);
    json_string(json, "note",
                pitch_text(text, solo->notes[note->index + 1].sounding));
    json_close(json);
}

static void write_hit(struct json *json, const struct tension_result *result,
                      size_t rank)
{
    const struct tension_hit *hit = &result->hits[rank];
    const struct tension_note *note = &hit->note;
    const struct solo *solo = result->solos[hit->solo];
    const struct chord_event *event = &solo->chords[note->chord];

    json_object(json, NULL);
    json_integer(json, "rank", (int64_t)rank + 1);
    write_score(json, &note->parts);
    write_place(json, &result->list.items[hit->solo], solo, note->index);
    json_string(json, "degree", note->degree);
    json_string(json, "chord", event->chord.symbol);
    json_string(json, "kind", event->kind_text);
    json_string(json, "class", chord_class_name(event->chord.class));
    json_harmony(json, solo, event);
    json_place(json, solo, solo->notes[note->index].bar);
    json_boolean(json, "first_of_phrase", note->starts);
    json_boolean(json, "last_of_phrase", note->end == TENSION_ENDS);
    json_boolean(json, "highest_of_phrase", note->peak == TENSION_PHRASE_PEAK);
    write_move(json, false, note->has_before, note->before);
    write_move(json, true, note->has_after, note->after);
    write_resolution(json, solo, note);
    json_integer(json, "plays", hit->plays);
    json_close(json);
}

static void write_row(struct json *json, const struct tension_row *row)
{
    json_object(json, NULL);
    json_string(json, "class", chord_class_name(row->class));
    json_string(json, "degree", row->degree);
    json_integer(json, "count", (int64_t)row->count);
    json_integer(json, "notes", (int64_t)row->notes);
    json_fraction(json, "mean_duration", row->mean_duration);
    json_integer(json, "resolved", (int64_t)row->resolved);
    json_array(json, "resolutions");
    for (size_t i = 0; i < row->goal_count; i++) {
        const struct tension_goal *goal = &row->goals[i];

        json_object(json, NULL);
        json_string(json, "degree", goal->degree);
        json_string(json, "class", chord_class_name(goal->class));
        json_integer(json, "count", (int64_t)goal->count);
        json_close(json);
    }
    json_close(json);
    json_close(json);
}

static void write_table(struct json *json, const struct tension_table *table)
{
    json_integer(json, "total", (int64_t)table->total);
    json_integer(json, "notes", (int64_t)table->notes);
    json_integer(json, "solos", (int64_t)table->solos);
    json_array(json, "rows");
    for (size_t i = 0; i < table->row_count; i++)
        write_row(json, &table->rows[i]);
    json_close(json);
}

static void write_hits(struct json *json, const struct tension_result *result)
{
    json_integer(json, "total", (int64_t)result->total);
    json_integer(json, "solos", (int64_t)result->solos_with_hits);
    json_array(json, "hits");
    for (size_t i = 0; i < result->hit_count; i++)
        write_hit(json, result, i);
    json_close(json);
}

enum status json_tension(const struct output *out,
                         const struct tension_page *page, struct fault *why)
{
    struct json json;

    (void)why;
    json_start(&json, out->stream);
    json_object(&json, NULL);
    write_query(&json, page);
    if (page->table)
        write_table(&json, page->table);
    else
        write_hits(&json, page->result);
    json_close(&json);
    json_finish(&json);
    return ST_OK;
}
