/* query/print_json_solo.c - one solo as JSON: every note and chord. */
#include "query/hit_view.h"
#include "query/print_json.h"

static void write_warnings(struct json *json, const struct solo *solo)
{
    json_array(json, "warnings");
    for (size_t i = 0; i < solo->warning_count; i++) {
        const struct warning *w = &solo->warnings[i];

        json_object(json, NULL);
        json_string(json, "part", w->part);
        json_string(json, "bar", w->bar);
        json_string(json, "element", w->element);
        json_string(json, "message", w->message);
        json_close(json);
    }
    json_close(json);
}

static void write_key(struct json *json, const struct solo *solo)
{
    const char *mode = solo->mode == MODE_MAJOR   ? "major"
                       : solo->mode == MODE_MINOR ? "minor"
                                                  : NULL;

    if (solo->has_key)
        json_integer(json, "fifths", solo->fifths);
    else
        json_null(json, "fifths");
    json_string(json, "mode", solo->has_key ? mode : NULL);
}

static void write_facts(struct json *json, const struct solo_page *page)
{
    const struct solo *solo = page->solo;

    json_object(json, "solo");
    json_string(json, "path", page->record->path);
    json_string(json, "sha256", page->record->sha256);
    json_string(json, "title", solo->title);
    json_string(json, "performer", solo->performer);
    json_string(json, "composer", solo->composer);
    json_string(json, "instrument", solo->instrument);
    write_key(json, solo);
    json_string_or_null(json, "metre", solo->metre);
    json_tempo(json, solo->tempo);
    if (solo->has_transpose)
        json_integer(json, "transpose", solo->transpose);
    else
        json_null(json, "transpose");
    json_integer(json, "bars", (int64_t)solo->bar_count);
    json_integer(json, "notes", (int64_t)solo->note_count);
    json_integer(json, "rests", solo->rests);
    json_integer(json, "grace", solo->graces);
    json_integer(json, "chords", (int64_t)solo->chord_count);
    write_warnings(json, solo);
    json_close(json);
}

static void write_chord(struct json *json, const struct solo *solo,
                        const struct chord_event *event)
{
    bool silent = event->chord.class == CHORD_NONE;

    json_object(json, NULL);
    json_integer(json, "bar_index", event->bar);
    json_fraction(json, "onset", solo_quarters(solo, event->onset));
    json_string(json, "symbol", silent ? "N.C." : event->chord.symbol);
    if (silent || !event->chord.has_root)
        json_null(json, "root");
    else
        json_integer(json, "root", event->chord.root_pc);
    json_string(json, "kind", event->kind_text);
    if (silent || !event->chord.has_root)
        json_null(json, "bass");
    else
        json_integer(json, "bass", event->chord.bass_pc);
    json_harmony(json, solo, event);
    json_close(json);
}

/* The note over EVENT, NULL for no chord: "chord" to "semitones". */
static void write_over(struct json *json, const struct note *note,
                       const struct chord_event *event)
{
    int above;

    if (!event) {
        static const char *const keys[] = { "chord", "root", "kind", "degree",
                                            "semitones" };

        for (size_t i = 0; i < sizeof keys / sizeof *keys; i++)
            json_null(json, keys[i]);
        return;
    }
    above = note_above_root(note, &event->chord);
    json_string(json, "chord", event->chord.symbol);
    json_integer(json, "root", event->chord.root_pc);
    json_string(json, "kind", event->kind_text);
    json_string(json, "degree", chord_degree_name(&event->chord, above));
    json_integer(json, "semitones", above);
}

static void write_anticipates(struct json *json, const struct solo *solo,
                              const struct note *note)
{
    const struct chord_event *heard = real_chord(solo, note->heard);

    if (note->heard == note->chord || !heard) {
        json_null(json, "anticipates");
        return;
    }
    json_object(json, "anticipates");
    write_over(json, note, heard);
    json_close(json);
}

static void write_note(struct json *json, const struct solo *solo, size_t index)
{
    const struct note *note = &solo->notes[index];
    char text[PITCH_TEXT_SIZE];

    json_object(json, NULL);
    json_integer(json, "index", (int64_t)index);
    json_string(json, "bar", solo->bars[note->bar].number);
    json_integer(json, "bar_index", note->bar);
    json_fraction(json, "onset", solo_quarters(solo, note->onset));
    json_fraction(json, "duration", solo_quarters(solo, note->duration));
    json_integer(json, "midi", note->midi);
    json_string(json, "spelling", pitch_text(text, note->sounding));
    json_string(json, "written", pitch_text(text, note->written));
    write_over(json, note, real_chord(solo, note->chord));
    write_anticipates(json, solo, note);
    json_harmony(json, solo,
                 note->chord >= 0 ? &solo->chords[note->chord] : NULL);
    json_place(json, solo, note->bar);
    if (note->phrase > 0)
        json_integer(json, "phrase", note->phrase);
    else
        json_null(json, "phrase");
    json_close(json);
}

enum status json_solo(const struct output *out, const struct solo_page *page,
                      struct fault *why)
{
    const struct solo *solo = page->solo;
    struct json json;

    (void)why;
    json_start(&json, out->stream);
    json_object(&json, NULL);
    write_facts(&json, page);
    json_object(&json, "form");
    json_form_members(&json, solo);
    json_close(&json);
    json_array(&json, "chords");
    for (size_t i = 0; i < solo->chord_count; i++)
        write_chord(&json, solo, &solo->chords[i]);
    json_close(&json);
    json_array(&json, "notes");
    for (size_t i = 0; i < solo->note_count; i++)
        write_note(&json, solo, i);
    json_close(&json);
    json_close(&json);
    json_finish(&json);
    return ST_OK;
}
