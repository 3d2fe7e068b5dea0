/* schema/notebook_list.h - study lists: places that the user kept, in order.
 *
 * Names are told apart without case and accents (text_plain()).  Entries are
 * numbered from 1 in the order of the list; numbers close up when one is
 * dropped.  Each change is made whole or not at all, and is on the disk when
 * the function returns ST_OK.
 *
 * Where a function takes the NAME of a list, it returns ST_NOTHING when there
 * is none.  All may return ST_IO, ST_BUSY, ST_LIBRARY (damaged) and ST_NOMEM.
 * A notebook that was written before there were lists has none.
 */
#ifndef SCHEMA_NOTEBOOK_LIST_H
#define SCHEMA_NOTEBOOK_LIST_H

#include <stddef.h>

#include "schema/notebook.h"

enum {
    LIST_NAME_MAX = 80, /* characters */
    LIST_NAME_SIZE = 4 * LIST_NAME_MAX + 1,
    LIST_NOTES_MAX = 64 /* notes of an entry */
};

/* An entry.  Texts are never NULL; see notebook.sql for what they hold. */
struct list_entry {
    int32_t number; /* in its list, from 1 */
    struct solo_identity solo;
    const char *performer;
    int64_t first_note, bar_index;
    const char *bar;
    int midi[LIST_NOTES_MAX]; /* 0..127 */
    size_t note_count;        /* 1..LIST_NOTES_MAX */
    const char *notes, *degrees, *chord, *home, *relation;
    const char *question, *remark;
    int64_t added; /* seconds since 1970, UTC */
};

/* Read TEXT, "69 65 64 62", as the notes of OUT; false where it is none. */
bool list_entry_midi(struct list_entry *out, const char *text);

/* --- the lists ---------------------------------------------------------- */

/* Make the list NAME.  ST_USAGE where there is one. */
enum status notebook_new_list(struct notebook *notebook, const char *name,
                              int64_t now, struct fault *why);
/* ST_USAGE where another list is called TO. */
enum status notebook_rename_list(struct notebook *notebook, const char *name,
                                 const char *to, struct fault *why);
/* Delete NAME with its entries; *ENTRIES counts them. */
enum status notebook_delete_list(struct notebook *notebook, const char *name,
                                 int64_t *entries, struct fault *why);

/* All lists by name; valid during the call.  EACH returns false to stop. */
typedef bool (*notebook_list_each)(void *context, const char *name,
                                   int64_t entries);
enum status notebook_lists(struct notebook *notebook, notebook_list_each each,
                           void *context, struct fault *why);

/* --- their entries ------------------------------------------------------ */

/* An entry and its texts are valid during the call.  EACH returns false to
 * stop. */
typedef bool (*notebook_entry_each)(void *context,
                                    const struct list_entry *entry);

/* The entries of NAME in order; FOUND receives the name as it is kept. */
enum status notebook_list_entries(struct notebook *notebook, const char *name,
                                  char found[LIST_NAME_SIZE],
                                  notebook_entry_each each, void *context,
                                  struct fault *why);

/* Put the COUNT ENTRIES at the end of NAME, all of them or none; with MAKE the
 * list is made where there is none, and *MADE (NULL allowed) says so.  An entry
 * of the same file with the same notes at the same place is not put twice;
 * *ADDED counts those that were new. */
enum status notebook_add_entries(struct notebook *notebook, const char *name,
                                 bool make, const struct list_entry *entries,
                                 size_t count, size_t *added, bool *made,
                                 struct fault *why);

/* Drop the entries called NUMBERS, all of them or none.  ST_USAGE where there
 * is no such number. */
enum status notebook_drop_entries(struct notebook *notebook, const char *name,
                                  const int32_t *numbers, size_t count,
                                  struct fault *why);

/* Put the entries called NUMBERS first, in that order; the others follow as
 * they stood.  ST_USAGE where there is no such number, or one comes twice. */
enum status notebook_order_entries(struct notebook *notebook, const char *name,
                                   const int32_t *numbers, size_t count,
                                   struct fault *why);

/* Write REMARK beside an entry; "" takes it away.  ST_USAGE where there is no
 * such number. */
enum status notebook_note_entry(struct notebook *notebook, const char *name,
                                int32_t number, const char *remark,
                                struct fault *why);

#endif
