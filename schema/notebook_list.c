/* schema/notebook_list.c - study lists and their entries. */
#include "schema/notebook_list.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "schema/notebook_named.h"

enum {
    LIST_VERSION = 3 /* before it there were no lists */
};

static const struct named list_kind = {
    .what = "study list",
    .version = LIST_VERSION,
    .size = LIST_NAME_SIZE,
    .select = "SELECT id, name FROM study_list",
    .rename = "UPDATE study_list SET name = ?1 WHERE id = ?2",
    .remove = "DELETE FROM study_list WHERE id = ?1",
    .count = "SELECT count(*) FROM list_entry WHERE list = ?1",
    .list = "SELECT name, (SELECT count(*) FROM list_entry"
            " WHERE list = study_list.id)"
            " FROM study_list ORDER BY name COLLATE NOCASE, name",
};

/* --- the lists ---------------------------------------------------------- */

static enum status insert_list(const struct notebook *n, const char *name,
                               int64_t now, struct fault *why)
{
    struct asked a = ask(n,
                         "INSERT INTO study_list (name, made)"
                         " VALUES (?1, ?2)");

    with_text(&a, name);
    with_int(&a, now);
    return done(n, &a, why);
}

enum status notebook_new_list(struct notebook *notebook, const char *name,
                              int64_t now, struct fault *why)
{
    enum status st = begin(notebook, why);

    if (st != ST_OK)
        return st;
    st = named_check_free(notebook, &list_kind, name, 0, why);
    if (st == ST_OK)
        st = insert_list(notebook, name, now, why);
    return finish(notebook, st, why);
}

enum status notebook_rename_list(struct notebook *notebook, const char *name,
                                 const char *to, struct fault *why)
{
    return named_rename(notebook, &list_kind, name, to, why);
}

enum status notebook_delete_list(struct notebook *notebook, const char *name,
                                 int64_t *entries, struct fault *why)
{
    return named_remove(notebook, &list_kind, name, entries, why);
}

enum status notebook_lists(struct notebook *notebook, notebook_list_each each,
                           void *context, struct fault *why)
{
    return named_each(notebook, &list_kind, each, context, why);
}

/* --- reading entries ---------------------------------------------------- */

#define ENTRY_COLUMNS                                                          \
    "sha256, path, title, performer, harmony, first_note, bar, bar_index,"     \
    " midi, notes, degrees, chord, home, relation, question, remark, added"

enum {
    COL_SHA256,
    COL_PATH,
    COL_TITLE,
    COL_PERFORMER,
    COL_HARMONY,
    COL_FIRST_NOTE,
    COL_BAR,
    COL_BAR_INDEX,
    COL_MIDI,
    COL_NOTES,
    COL_DEGREES,
    COL_CHORD,
    COL_HOME,
    COL_RELATION,
    COL_QUESTION,
    COL_REMARK,
    COL_ADDED,
    COL_PLACE
};

bool list_entry_midi(struct list_entry *out, const char *text)
{
    out->note_count = 0;
    while (*text) {
        char *end;
        long value = strtol(text, &end, 10);

        if (end == text || value < 0 || value > 127 || (*end && *end != ' ') ||
            out->note_count == LIST_NOTES_MAX)
            return false;
        out->midi[out->note_count++] = (int)value;
        text = end + (*end == ' ');
    }
    return out->note_count > 0;
}

static enum status entry_at(const struct notebook *n, sqlite3_stmt *stmt,
                            struct list_entry *out, struct fault *why)
{
    *out = (struct list_entry){
        .number = sqlite3_column_int(stmt, COL_PLACE),
        .solo = { .sha256 = text_at(stmt, COL_SHA256),
                  .path = text_at(stmt, COL_PATH),
                  .title = text_at(stmt, COL_TITLE),
                  .harmony = sqlite3_column_int64(stmt, COL_HARMONY) },
        .performer = text_at(stmt, COL_PERFORMER),
        .first_note = sqlite3_column_int64(stmt, COL_FIRST_NOTE),
        .bar = text_at(stmt, COL_BAR),
        .bar_index = sqlite3_column_int64(stmt, COL_BAR_INDEX),
        .notes = text_at(stmt, COL_NOTES),
        .degrees = text_at(stmt, COL_DEGREES),
        .chord = text_at(stmt, COL_CHORD),
        .home = text_at(stmt, COL_HOME),
        .relation = text_at(stmt, COL_RELATION),
        .question = text_at(stmt, COL_QUESTION),
        .remark = text_at(stmt, COL_REMARK),
        .added = sqlite3_column_int64(stmt, COL_ADDED),
    };
    if (!list_entry_midi(out, text_at(stmt, COL_MIDI)))
        return notebook_damaged(n, "it holds an entry without notes", why);
    return ST_OK;
}

static enum status each_entry(const struct notebook *n, int64_t list,
                              notebook_entry_each each, void *context,
                              struct fault *why)
{
    struct asked a = ask(n, "SELECT " ENTRY_COLUMNS
                            ", place FROM list_entry"
                            " WHERE list = ?1 ORDER BY place");
    enum status st = ST_OK, end;
    bool more = true;

    with_int(&a, list);
    while (st == ST_OK && more && next_row(&a)) {
        struct list_entry entry;

        st = entry_at(n, a.stmt, &entry, why);
        more = st == ST_OK && each(context, &entry);
    }
    end = answered(n, &a, st == ST_OK ? why : NULL);
    return st == ST_OK ? end : st;
}

enum status notebook_list_entries(struct notebook *notebook, const char *name,
                                  char found[LIST_NAME_SIZE],
                                  notebook_entry_each each, void *context,
                                  struct fault *why)
{
    int64_t id;
    enum status st;

    if (notebook->version < LIST_VERSION)
        return named_missing(&list_kind, name, why);
    /* One transaction, so that name and entries are of one moment. */
    st = begin(notebook, why);
    if (st != ST_OK)
        return st;
    st = named_find(notebook, &list_kind, name, &id, found, why);
    if (st == ST_OK)
        st = each_entry(notebook, id, each, context, why);
    return finish(notebook, st, why);
}

/* --- adding ------------------------------------------------------------- */

enum {
    MIDI_TEXT_SIZE = 4 * LIST_NOTES_MAX + 1
};

static void midi_text(char out[MIDI_TEXT_SIZE], const struct list_entry *entry)
{
    size_t used = 0;

    for (size_t i = 0; i < entry->note_count; i++)
        used += (size_t)snprintf(out + used, MIDI_TEXT_SIZE - used, "%s%d",
                                 i > 0 ? " " : "", entry->midi[i]);
}

static enum status is_listed(const struct notebook *n, int64_t list,
                             const struct list_entry *entry, bool *listed,
                             struct fault *why)
{
    char midi[MIDI_TEXT_SIZE];
    struct asked a = ask(n,
                         "SELECT 1 FROM list_entry WHERE list = ?1"
                         " AND sha256 = ?2 AND first_note = ?3"
                         " AND midi = ?4");

    midi_text(midi, entry);
    with_int(&a, list);
    with_text(&a, entry->solo.sha256);
    with_int(&a, entry->first_note);
    with_text(&a, midi);
    *listed = next_row(&a);
    return answered(n, &a, why);
}

static enum status insert_entry(const struct notebook *n, int64_t list,
                                int64_t place, const struct list_entry *entry,
                                struct fault *why)
{
    char midi[MIDI_TEXT_SIZE];
    struct asked a = ask(n, "INSERT INTO list_entry (" ENTRY_COLUMNS
                            ", place, list) VALUES (?1, ?2, ?3, ?4, ?5, ?6,"
                            " ?7, ?8, ?9, ?10, ?11, ?12, ?13, ?14, ?15, ?16,"
                            " ?17, ?18, ?19)");

    midi_text(midi, entry);
    with_text(&a, entry->solo.sha256);
    with_text(&a, entry->solo.path);
    with_text(&a, entry->solo.title);
    with_text(&a, entry->performer);
    with_int(&a, entry->solo.harmony);
    with_int(&a, entry->first_note);
    with_text(&a, entry->bar);
    with_int(&a, entry->bar_index);
    with_text(&a, midi);
    with_text(&a, entry->notes);
    with_text(&a, entry->degrees);
    with_text(&a, entry->chord);
    with_text(&a, entry->home);
    with_text(&a, entry->relation);
    with_text(&a, entry->question);
    with_text(&a, entry->remark);
    with_int(&a, entry->added);
    with_int(&a, place);
    with_int(&a, list);
    return done(n, &a, why);
}

/* Put the entries that are new at the end. */
static enum status add_new(const struct notebook *n, int64_t list,
                           const struct list_entry *entries, size_t count,
                           size_t *added, struct fault *why)
{
    int64_t place;
    enum status st = named_count(n, &list_kind, list, &place, why);

    for (size_t i = 0; st == ST_OK && i < count; i++) {
        bool listed = false;

        st = is_listed(n, list, &entries[i], &listed, why);
        if (st == ST_OK && !listed) {
            st = insert_entry(n, list, ++place, &entries[i], why);
            ++*added;
        }
    }
    return st;
}

enum status notebook_add_entries(struct notebook *notebook, const char *name,
                                 bool make, const struct list_entry *entries,
                                 size_t count, size_t *added, bool *made,
                                 struct fault *why)
{
    int64_t list;
    enum status st = begin(notebook, why);

    *added = 0;
    if (made)
        *made = false;
    if (st != ST_OK)
        return st;
    st = named_look_up(notebook, &list_kind, name, &list, NULL, why);
    if (st == ST_OK && list == 0 && !make)
        st = named_missing(&list_kind, name, why);
    if (st == ST_OK && list == 0) {
        st = insert_list(notebook, name, count > 0 ? entries[0].added : 0, why);
        list = sqlite3_last_insert_rowid(notebook->db);
        if (made)
            *made = true;
    }
    if (st == ST_OK)
        st = add_new(notebook, list, entries, count, added, why);
    return finish(notebook, st, why);
}

/* --- changing ----------------------------------------------------------- */

static enum status check_numbers(const struct notebook *n, int64_t list,
                                 const int32_t *numbers, size_t count,
                                 int64_t *entries, struct fault *why)
{
    enum status st = named_count(n, &list_kind, list, entries, why);

    for (size_t i = 0; st == ST_OK && i < count; i++) {
        if (numbers[i] < 1 || numbers[i] > *entries)
            st = fault_set(why, ST_USAGE,
                           *entries == 0
                               ? "the study list is empty"
                               : "there is no entry %d in the study list, "
                                 "which has %lld",
                           (int)numbers[i], (long long)*entries);
        for (size_t k = 0; st == ST_OK && k < i; k++)
            if (numbers[k] == numbers[i])
                st = fault_set(why, ST_USAGE, "entry %d is named twice",
                               (int)numbers[i]);
    }
    return st;
}

static enum status set_place(const struct notebook *n, int64_t id,
                             int64_t place, struct fault *why)
{
    struct asked a = ask(n,
                         "UPDATE list_entry SET place = ?1"
                         " WHERE id = ?2");

    with_int(&a, place);
    with_int(&a, id);
    return done(n, &a, why);
}

/* The ids of the ENTRIES entries of LIST in order; the caller owns them. */
static enum status read_ids(const struct notebook *n, int64_t list,
                            int64_t **out, int64_t entries, struct fault *why)
{
    struct asked a;
    int64_t count = 0;

    *out = calloc((size_t)entries + 1, sizeof **out);
    if (!*out)
        return fault_nomem(why);
    a = ask(n, "SELECT id FROM list_entry WHERE list = ?1 ORDER BY place");
    with_int(&a, list);
    while (count < entries && next_row(&a))
        (*out)[count++] = sqlite3_column_int64(a.stmt, 0);
    return answered(n, &a, why);
}

static bool is_among(const int32_t *numbers, size_t count, int64_t number)
{
    for (size_t i = 0; i < count; i++)
        if (numbers[i] == number)
            return true;
    return false;
}

/* Begin a change of the entries NUMBERS of NAME: its id, and the ids of all
 * its entries. */
static enum status open_entries(const struct notebook *n, const char *name,
                                const int32_t *numbers, size_t count,
                                int64_t **ids, int64_t *entries,
                                struct fault *why)
{
    int64_t list;
    enum status st = named_find(n, &list_kind, name, &list, NULL, why);

    *ids = NULL;
    if (st == ST_OK)
        st = check_numbers(n, list, numbers, count, entries, why);
    if (st == ST_OK)
        st = read_ids(n, list, ids, *entries, why);
    return st;
}

enum status notebook_drop_entries(struct notebook *notebook, const char *name,
                                  const int32_t *numbers, size_t count,
                                  struct fault *why)
{
    int64_t *ids, entries, place = 0;
    enum status st = begin(notebook, why);

    if (st != ST_OK)
        return st;
    st = open_entries(notebook, name, numbers, count, &ids, &entries, why);
    for (int64_t i = 0; st == ST_OK && i < entries; i++) {
        if (is_among(numbers, count, i + 1)) {
            struct asked a =
                ask(notebook, "DELETE FROM list_entry WHERE id = ?1");

            with_int(&a, ids[i]);
            st = done(notebook, &a, why);
        } else {
            st = set_place(notebook, ids[i], ++place, why);
        }
    }
    free(ids);
    return finish(notebook, st, why);
}

enum status notebook_order_entries(struct notebook *notebook, const char *name,
                                   const int32_t *numbers, size_t count,
                                   struct fault *why)
{
    int64_t *ids, entries, place = 0;
    enum status st = begin(notebook, why);

    if (st != ST_OK)
        return st;
    st = open_entries(notebook, name, numbers, count, &ids, &entries, why);
    for (size_t i = 0; st == ST_OK && i < count; i++)
        st = set_place(notebook, ids[numbers[i] - 1], ++place, why);
    for (int64_t i = 0; st == ST_OK && i < entries; i++)
        if (!is_among(numbers, count, i + 1))
            st = set_place(notebook, ids[i], ++place, why);
    free(ids);
    return finish(notebook, st, why);
}

enum status notebook_note_entry(struct notebook *notebook, const char *name,
                                int32_t number, const char *remark,
                                struct fault *why)
{
    int64_t *ids, entries;
    enum status st = begin(notebook, why);

    if (st != ST_OK)
        return st;
    st = open_entries(notebook, name, &number, 1, &ids, &entries, why);
    if (st == ST_OK) {
        struct asked a = ask(notebook,
                             "UPDATE list_entry SET remark = ?1"
                             " WHERE id = ?2");

        with_text(&a, remark);
        with_int(&a, ids[number - 1]);
        st = done(notebook, &a, why);
    }
    free(ids);
    return finish(notebook, st, why);
}
