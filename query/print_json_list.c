/* query/print_json_list.c - study lists as JSON. */
#include <string.h>

#include "query/print_json.h"

/* The words of TEXT, which has single blanks, as an array; null for "". */
static void write_words(struct json *json, const char *key, const char *text)
{
    char word[PITCH_TEXT_SIZE];

    if (!*text) {
        json_null(json, key);
        return;
    }
    json_array(json, key);
    while (*text) {
        size_t length = strcspn(text, " ");

        snprintf(word, sizeof word, "%.*s", (int)length, text);
        json_string(json, NULL, word);
        text += length;
        text += *text == ' ';
    }
    json_close(json);
}

static void write_grade(struct json *json, const struct grade *grade)
{
    json_object(json, "grade");
    json_integer(json, "level", grade->level);
    json_integer(json, "score", grade->score);
    for (int i = 0; i < GRADE_PARTS; i++)
        json_integer(json, grade_part_name((enum grade_part)i),
                     grade->parts[i]);
    json_close(json);
}

/* Where it is now; of one that is gone, where it was. */
static void write_where(struct json *json, const struct study_entry *entry)
{
    const struct list_entry *kept = &entry->kept;
    const struct solo *solo = entry->solo;
    const struct note *note;

    if (entry->state == STUDY_GONE) {
        json_string(json, "path", kept->solo.path);
        json_string(json, "title", kept->solo.title);
        json_string(json, "performer", kept->performer);
        json_string(json, "bar", kept->bar);
        json_integer(json, "bar_index", kept->bar_index);
        json_null(json, "onset");
        json_null(json, "first_note");
        json_null(json, "grade");
        return;
    }
    note = &solo->notes[entry->first];
    json_string(json, "path", entry->record->path);
    json_string(json, "title", entry->record->title);
    json_string(json, "performer", entry->record->performer);
    json_string(json, "bar", solo->bars[note->bar].number);
    json_integer(json, "bar_index", note->bar);
    json_fraction(json, "onset", solo_quarters(solo, note->onset));
    json_integer(json, "first_note", entry->first);
    json_place(json, solo, note->bar);
    write_grade(json, &entry->grade);
}

static void write_entry(struct json *json, const struct study_entry *entry)
{
    const struct list_entry *kept = &entry->kept;
    const char *state = study_state_word(entry->state);

    json_object(json, NULL);
    json_integer(json, "number", kept->number);
    json_string(json, "state", *state ? state : "found");
    write_where(json, entry);
    json_string(json, "sha256", kept->solo.sha256);
    write_words(json, "notes", kept->notes);
    write_words(json, "degrees", kept->degrees);
    json_string_or_null(json, "chord", kept->chord);
    json_string_or_null(json, "home", kept->home);
    json_string_or_null(json, "relation", kept->relation);
    json_string_or_null(json, "remark", kept->remark);
    json_string_or_null(json, "question", kept->question);
    json_integer(json, "added", kept->added);
    json_close(json);
}

enum status json_study(const struct output *out, const struct study_page *page,
                       struct fault *why)
{
    const struct study *study = page->study;
    struct json json;

    (void)why;
    json_start(&json, out->stream);
    json_object(&json, NULL);
    json_string(&json, "name", study->name);
    json_integer(&json, "total", (int64_t)study->count);
    json_integer(&json, "gone", (int64_t)study->gone);
    json_array(&json, "entries");
    for (size_t i = 0;
         i < study->count && (page->limit == 0 || i < page->limit); i++)
        write_entry(&json, &study->entries[i]);
    json_close(&json);
    json_close(&json);
    json_finish(&json);
    return ST_OK;
}

enum status json_study_lists(const struct output *out,
                             const struct study_lists *lists, struct fault *why)
{
    struct json json;

    (void)why;
    json_start(&json, out->stream);
    json_object(&json, NULL);
    json_integer(&json, "total", (int64_t)lists->total);
    json_array(&json, "lists");
    for (size_t i = 0; i < lists->count; i++) {
        json_object(&json, NULL);
        json_string(&json, "name", lists->items[i].name);
        json_integer(&json, "entries", lists->items[i].entries);
        json_close(&json);
    }
    json_close(&json);
    json_close(&json);
    json_finish(&json);
    return ST_OK;
}
