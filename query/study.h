/* query/study.h - a study list with its places found again.
 *
 * An entry says which notes of which file it was.  It is looked for in the
 * same file wherever that is now; else in a file at the same path, or of the
 * same title by the same player, where the same notes stand: those in the bar
 * with the same printed number first, then those nearest to where they were.
 */
#ifndef QUERY_STUDY_H
#define QUERY_STUDY_H

#include "query/grade.h"
#include "query/solo_list.h"
#include "schema/notebook_list.h"

enum study_state {
    STUDY_FOUND,  /* where it was */
    STUDY_MOVED,  /* the same file has another path */
    STUDY_EDITED, /* the notes are found in a file that was edited */
    STUDY_GONE    /* not to be found; what is known of it is in KEPT */
};

struct study_entry {
    struct list_entry kept; /* its texts are owned by the study */
    enum study_state state;
    /* Where it is, unless it is gone. */
    const struct solo_record *record; /* borrowed from the study */
    const struct solo *solo;          /* the same */
    uint32_t first, last;
    struct grade grade;
};

struct study {
    char name[LIST_NAME_SIZE];
    struct study_entry *entries;
    size_t count, room;
    size_t gone; /* how many are */
    struct solo_list records; /* of the library, in path order */
    struct solo **solos;      /* of each record, NULL where none is needed */
    char **texts;
    size_t text_count, text_room;
    bool no_memory;
};

/* Read the list NAME of NOTEBOOK (NULL: there is none) and find its places in
 * STORE, in one read transaction.  ST_NOTHING: there is no such list.  Release
 * with study_close() in any case. */
enum status study_open(struct study *out, struct notebook *notebook,
                       struct store *store, const char *name,
                       struct fault *why);
void study_close(struct study *study);

/* "", "moved", "edited", "gone".  Borrowed: a constant. */
const char *study_state_word(enum study_state state);

#endif
