/* schema/notebook_check.h - does a notebook read, to its last word?
 *
 * It is only looked at: what the user wrote is never put right by a program.
 */
#ifndef SCHEMA_NOTEBOOK_CHECK_H
#define SCHEMA_NOTEBOOK_CHECK_H

#include "schema/notebook.h"

enum notebook_part {
    NOTEBOOK_DATABASE, /* SQLite's own check of the file */
    NOTEBOOK_FORMS,    /* corrections of forms */
    NOTEBOOK_BANKS,    /* banks, and the cells that were listed last */
    NOTEBOOK_LISTS,    /* study lists */
    NOTEBOOK_PARTS
};

struct notebook_checked {
    int64_t version; /* as it lies there */
    int64_t forms, banks, cells, listed, lists, entries;
};

/* WHAT says what is wrong, and where: "entry 3 of 'lesson' has no notes".
 * Borrowed for the call; names in it come from the notebook: make it safe
 * before it is shown. */
typedef void (*notebook_problem)(void *context, enum notebook_part part,
                                 const char *what);

/* Look at everything in NOTEBOOK.  ST_OK, whatever was found; ST_BUSY, ST_IO,
 * ST_NOMEM. */
enum status notebook_check(struct notebook *notebook, notebook_problem problem,
                           void *context, struct notebook_checked *out,
                           struct fault *why);

#endif
