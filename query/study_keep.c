/* query/study_keep.c - hits that become entries of a study list. */
#include "query/study_keep.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "query/hit_view.h"

enum {
    TEXTS = 4, /* notes, degrees, relation and question of an entry */
    LINE_SIZE = LIST_NOTES_MAX * (PITCH_TEXT_SIZE + 1)
};

/* A copy of TEXT, owned by KEPT; NULL when memory is out. */
static const char *keep_text(struct kept_hits *kept, const char *text)
{
    char *copy = strdup(text ? text : "");

    if (copy)
        kept->texts[kept->text_count++] = copy;
    return copy;
}

/* The notes, or their DEGREES, with blanks between. */
static const char *join(struct kept_hits *kept, const struct hit_view *view,
                        size_t count, bool degrees)
{
    char line[LINE_SIZE] = "", pitch[PITCH_TEXT_SIZE];
    size_t used = 0;

    for (size_t i = 0; i < count && (!degrees || view->chord); i++)
        used += (size_t)snprintf(
            line + used, sizeof line - used, "%s%s", i > 0 ? " " : "",
            degrees ? view->degrees[i]
                    : pitch_text(pitch, view->notes[i].sounding));
    return keep_text(kept, line);
}

static enum status make_entry(struct kept_hits *kept,
                              const struct find_page *page, size_t index,
                              const char *question, int64_t now,
                              struct fault *why)
{
    struct list_entry *e = &kept->entries[kept->count];
    const struct found_solo *found;
    struct hit_view view;
    enum status st;

    st = hit_view_make(&view, page, index, why);
    if (st != ST_OK)
        return st;
    found = view.found;
    *e = (struct list_entry){
        .solo = { .sha256 = found->sha256,
                  .path = found->path,
                  .title = found->title,
                  .harmony = solo_harmony_digest(view.solo) },
        .performer = found->performer,
        .first_note = view.hit->first,
        .bar_index = view.notes[0].bar,
        .bar = view.solo->bars[view.notes[0].bar].number,
        .note_count = view.count < LIST_NOTES_MAX ? view.count : LIST_NOTES_MAX,
        .chord = view.chord ? view.chord->chord.symbol : "",
        .home = view.hit->has_home ? view.hit->home.symbol : "",
        .question = keep_text(kept, question),
        .remark = "",
        .added = now,
    };
    for (size_t i = 0; i < e->note_count; i++)
        e->midi[i] = view.notes[i].midi;
    e->notes = join(kept, &view, e->note_count, false);
    e->degrees = join(kept, &view, e->note_count, true);
    e->relation = keep_text(kept, hit_view_relation(&view));
    if (!e->notes || !e->degrees || !e->relation || !e->question)
        return fault_nomem(why);
    kept->count++;
    return ST_OK;
}

enum status kept_hits_make(struct kept_hits *out, const struct find_page *page,
                           const int32_t *numbers, size_t count,
                           const char *question, int64_t now, struct fault *why)
{
    size_t hits = page->result->hit_count;
    enum status st = ST_OK;

    memset(out, 0, sizeof *out);
    if (!numbers)
        count = hits;
    out->entries = calloc(count + 1, sizeof *out->entries);
    out->texts = calloc(TEXTS * count + 1, sizeof *out->texts);
    if (!out->entries || !out->texts)
        return fault_nomem(why);
    for (size_t i = 0; i < count && st == ST_OK; i++) {
        size_t index = numbers ? (size_t)numbers[i] - 1 : i;

        if (index >= hits)
            return fault_set(why, ST_USAGE,
                             "there is no place %zu to keep: %zu %s shown",
                             index + 1, hits, hits == 1 ? "is" : "are");
        st = make_entry(out, page, index, question, now, why);
    }
    return st;
}

void kept_hits_free(struct kept_hits *kept)
{
    for (size_t i = 0; i < kept->text_count; i++)
        free(kept->texts[i]);
    free(kept->texts);
    free(kept->entries);
    memset(kept, 0, sizeof *kept);
}
