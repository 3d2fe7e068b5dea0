/* query/print_text_list.c - study lists as text. */
#include <inttypes.h>
#include <string.h>

#include "query/columns.h"
#include "query/print_text.h"
#include "query/words.h"

enum {
    LEFT = 6, /* columns of the number and what stands before it */
    LINE_SIZE = 1024
};

/* The columns WORDS take are broken at blanks and indented. */
static void put_line(const struct output *out, const char *line)
{
    fprintf(out->stream, "%*s", LEFT, "");
    columns_wrap(out->stream, line, out->width - LEFT, LEFT + 2);
}

/* " 3  Ada Vell · Tin Hat · bar 12, beat 3 (bar 4 of chorus 2)" */
static void put_place(const struct output *out, const struct study_entry *entry)
{
    const struct list_entry *kept = &entry->kept;
    const char *performer = kept->performer, *title = kept->solo.title;
    char line[LINE_SIZE], bar[WORDS_SIZE] = "", beat[WORDS_SIZE],
                          chorus[WORDS_SIZE] = "";

    if (entry->state != STUDY_GONE) {
        const struct note *note = &entry->solo->notes[entry->first];
        const struct form_place *place = form_place_of(entry->solo, note->bar);
        char number[WORDS_SIZE];

        performer = entry->record->performer;
        title = entry->record->title;
        snprintf(bar, sizeof bar, "%s, beat %s",
                 words_bar(number, entry->solo, note->bar),
                 words_beat(beat, solo_beat(entry->solo, note)));
        if (place->chorus > 0)
            snprintf(chorus, sizeof chorus, " (bar %d of chorus %d)",
                     (int)place->chorus_bar, (int)place->chorus);
    } else {
        snprintf(bar, sizeof bar, "%s", kept->bar);
    }
    if (!*title)
        title = entry->record ? entry->record->path : kept->solo.path;
    snprintf(line, sizeof line, "%s%s%s, bar %s%s", performer,
             *performer ? " \xc2\xb7 " : "", title, bar, chorus);
    fprintf(out->stream, "%4d  ", (int)kept->number);
    text_paint(out, PAINT_HEADING);
    columns_wrap(out->stream, line, out->width - LEFT, LEFT + 2);
    text_paint(out, PAINT_NONE);
}

/* "C5 Ab4 G4 F4 \xc2\xb7 5 b3 2 1 over Fm7, as written" */
static void put_notes(const struct output *out,
                      const struct list_entry *kept)
{
    char line[LINE_SIZE];

    snprintf(line, sizeof line, "%s%s%s%s%s%s%s", kept->notes,
             *kept->degrees ? " \xc2\xb7 " : "", kept->degrees,
             *kept->chord ? " over " : "", kept->chord,
             *kept->relation ? ", " : "", kept->relation);
    put_line(out, line);
}

static void put_entry(const struct output *out, const struct study_entry *entry)
{
    char grade[GRADE_TEXT_SIZE], line[LINE_SIZE];

    put_place(out, entry);
    put_notes(out, &entry->kept);
    switch (entry->state) {
    case STUDY_GONE:
        snprintf(line, sizeof line,
                 "gone: neither %s nor another file holds these notes now",
                 entry->kept.solo.path);
        put_line(out, line);
        break;
    case STUDY_MOVED:
        snprintf(line, sizeof line, "moved: it is in %s now",
                 entry->record->path);
        put_line(out, line);
        break;
    case STUDY_EDITED:
        snprintf(line, sizeof line,
                 "%s was edited since; the notes stand here now",
                 entry->record->path);
        put_line(out, line);
        break;
    default:
        break;
    }
    if (entry->state != STUDY_GONE)
        put_line(out, grade_text(grade, &entry->grade));
    if (*entry->kept.remark)
        put_line(out, entry->kept.remark);
}

enum status text_study(const struct output *out, const struct study_page *page,
                       struct fault *why)
{
    const struct study *study = page->study;
    char count[WORDS_SIZE], gone[WORDS_SIZE] = "";
    size_t shown = study->count;

    (void)why;
    if (page->limit && page->limit < shown)
        shown = page->limit;
    if (study->gone > 0)
        snprintf(gone, sizeof gone, ", %zu gone", study->gone);
    columns_say(out->stream, "%s: %s%s", study->name,
                words_count(count, study->count, "entry", "entries"), gone);
    putc('\n', out->stream);
    for (size_t i = 0; i < shown; i++)
        put_entry(out, &study->entries[i]);
    text_more(out, study->count, shown);
    return ST_OK;
}

enum status text_study_lists(const struct output *out,
                             const struct study_lists *lists, struct fault *why)
{
    (void)why;
    for (size_t i = 0; i < lists->count; i++) {
        char count[WORDS_SIZE];

        columns_say(out->stream, "%s: %s", lists->items[i].name,
                    words_count(count, (uint64_t)lists->items[i].entries,
                                "entry", "entries"));
    }
    text_more(out, lists->total, lists->count);
    return ST_OK;
}
