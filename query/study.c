/* query/study.c - a study list with its places found again. */
#include "query/study.h"

#include <stdlib.h>
#include <string.h>

#include "schema/grow.h"

const char *study_state_word(enum study_state state)
{
    static const char *const words[] = { "", "moved", "edited", "gone" };

    return words[state];
}

/* --- reading the list --------------------------------------------------- */

static const char *keep_text(struct study *study, const char *text)
{
    char **texts = grow_room(study->texts, study->text_count, &study->text_room,
                             sizeof *texts);
    char *copy = texts ? strdup(text) : NULL;

    if (texts)
        study->texts = texts;
    if (!copy) {
        study->no_memory = true;
        return "";
    }
    return texts[study->text_count++] = copy;
}

static bool keep_entry(void *context, const struct list_entry *entry)
{
    struct study *study = context;
    struct study_entry *entries =
        grow_room(study->entries, study->count, &study->room, sizeof *entries);
    struct list_entry *kept;

    if (!entries) {
        study->no_memory = true;
        return false;
    }
    study->entries = entries;
    entries[study->count] =
        (struct study_entry){ .kept = *entry, .state = STUDY_GONE };
    kept = &entries[study->count++].kept;
    kept->solo.sha256 = keep_text(study, entry->solo.sha256);
    kept->solo.path = keep_text(study, entry->solo.path);
    kept->solo.title = keep_text(study, entry->solo.title);
    kept->performer = keep_text(study, entry->performer);
    kept->bar = keep_text(study, entry->bar);
    kept->notes = keep_text(study, entry->notes);
    kept->degrees = keep_text(study, entry->degrees);
    kept->chord = keep_text(study, entry->chord);
    kept->home = keep_text(study, entry->home);
    kept->relation = keep_text(study, entry->relation);
    kept->question = keep_text(study, entry->question);
    kept->remark = keep_text(study, entry->remark);
    return !study->no_memory;
}

/* --- finding its places ------------------------------------------------- */

/* Do the notes of KEPT stand at FIRST? */
static bool stands_at(const struct list_entry *kept, const struct solo *solo,
                      size_t first)
{
    if (first + kept->note_count > solo->note_count)
        return false;
    for (size_t i = 0; i < kept->note_count; i++)
        if (solo->notes[first + i].midi != kept->midi[i])
            return false;
    return true;
}

/* How far a place is from where it was: first the bar by its number, then how
 * many bars away. */
static int64_t distance(const struct list_entry *kept, const struct solo *solo,
                        size_t first)
{
    int32_t bar = solo->notes[first].bar;
    bool renumbered = strcmp(solo->bars[bar].number, kept->bar) != 0;

    return llabs(bar - kept->bar_index) + (renumbered ? INT32_MAX : 0);
}

/* The place in an edited solo; false where the notes are nowhere. */
static bool nearest_place(const struct list_entry *kept,
                          const struct solo *solo, size_t *first)
{
    bool found = false;

    for (size_t i = 0; i < solo->note_count; i++) {
        if (!stands_at(kept, solo, i))
            continue;
        if (!found || distance(kept, solo, i) < distance(kept, solo, *first))
            *first = i;
        found = true;
    }
    return found;
}

/* How well RECORD may be the solo of KEPT: 3 the same file at the same place,
 * 2 the same file, 1 another file there or of that name, 0 another solo. */
static int likeness(const struct list_entry *kept,
                    const struct solo_record *record)
{
    bool here = strcmp(kept->solo.path, record->path) == 0;

    if (strcmp(kept->solo.sha256, record->sha256) == 0)
        return here ? 3 : 2;
    return here ||
           (*kept->solo.title && strcmp(kept->solo.title, record->title) == 0 &&
            strcmp(kept->performer, record->performer) == 0);
}

/* The solo of the record INDEX, loaded once. */
static enum status load(struct study *study, struct store *store, size_t index,
                        struct fault *why)
{
    if (study->solos[index])
        return ST_OK;
    return store_load(store, study->records.items[index].id,
                      &study->solos[index], why);
}

static void settle(struct study *study, struct study_entry *entry, size_t index,
                   size_t first, enum study_state state)
{
    entry->state = state;
    entry->record = &study->records.items[index];
    entry->solo = study->solos[index];
    entry->first = (uint32_t)first;
    entry->last = (uint32_t)(first + entry->kept.note_count - 1);
    grade_passage(&entry->grade, entry->solo, entry->first, entry->last);
}

/* Look for ENTRY in the record INDEX, which is like it by LIKE. */
static enum status look_in(struct study *study, struct store *store,
                           struct study_entry *entry, size_t index, int like,
                           struct fault *why)
{
    enum status st = load(study, store, index, why);
    size_t first = (size_t)entry->kept.first_note;
    const struct solo *solo;

    if (st != ST_OK)
        return st;
    solo = study->solos[index];
    if (like > 1 && stands_at(&entry->kept, solo, first))
        settle(study, entry, index, first,
               like == 3 ? STUDY_FOUND : STUDY_MOVED);
    else if (nearest_place(&entry->kept, solo, &first))
        settle(study, entry, index, first, STUDY_EDITED);
    return ST_OK;
}

static enum status find_again(struct study *study, struct store *store,
                              struct study_entry *entry, struct fault *why)
{
    enum status st = ST_OK;

    for (int like = 3; like > 0; like--)
        for (size_t i = 0; i < study->records.count && st == ST_OK &&
                           entry->state == STUDY_GONE;
             i++)
            if (likeness(&entry->kept, &study->records.items[i]) == like)
                st = look_in(study, store, entry, i, like, why);
    study->gone += entry->state == STUDY_GONE;
    return st;
}

static enum status find_all(struct study *study, struct store *store,
                            struct fault *why)
{
    enum status st =
        store_solos(store, NULL, solo_list_add, &study->records, why);

    if (st == ST_OK && study->records.no_memory)
        st = fault_nomem(why);
    if (st != ST_OK)
        return st;
    study->solos = calloc(study->records.count + 1, sizeof *study->solos);
    if (!study->solos)
        return fault_nomem(why);
    for (size_t i = 0; i < study->count && st == ST_OK; i++)
        st = find_again(study, store, &study->entries[i], why);
    return st;
}

enum status study_open(struct study *out, struct notebook *notebook,
                       struct store *store, const char *name, struct fault *why)
{
    enum status st;

    memset(out, 0, sizeof *out);
    if (!notebook)
        return fault_set(why, ST_NOTHING, "there is no study list '%.330s'",
                         name);
    st = notebook_list_entries(notebook, name, out->name, keep_entry, out, why);
    if (st == ST_OK && out->no_memory)
        st = fault_nomem(why);
    if (st == ST_OK)
        st = store_read_begin(store, why);
    if (st == ST_OK) {
        st = find_all(out, store, why);
        store_read_end(store);
    }
    return st;
}

void study_close(struct study *study)
{
    for (size_t i = 0; study->solos && i < study->records.count; i++)
        solo_free(study->solos[i]);
    free(study->solos);
    solo_list_free(&study->records);
    for (size_t i = 0; i < study->text_count; i++)
        free(study->texts[i]);
    free(study->texts);
    free(study->entries);
    memset(study, 0, sizeof *study);
}
