/* query/check.h - is the library what it should be? */
#ifndef QUERY_CHECK_H
#define QUERY_CHECK_H

#include "schema/notebook_check.h"
#include "schema/store_check.h"

/* What is looked at, in the order in which it is shown.  The first ones are
 * enum store_part. */
enum check_area {
    CHECK_INDEX,
    CHECK_FILES,
    CHECK_SOLOS,
    CHECK_PLACES,
    CHECK_NOTES,
    CHECK_RUNS,
    CHECK_WORDS,
    CHECK_NOTEBOOK, /* the next ones are enum notebook_part */
    CHECK_FORMS,
    CHECK_BANKS,
    CHECK_LISTS,
    CHECK_AREAS
};
/* "solos".  Borrowed: a constant. */
const char *check_area_name(enum check_area area);
/* What mends a problem there: "--repair mends it".  Borrowed: a constant. */
const char *check_mend(enum check_area area);

/* Something that was found.  The texts are owned and come from files. */
struct check_finding {
    enum check_area area;
    bool problem; /* false: no damage, but worth saying */
    char *path;   /* of the solo, "" none */
    char *what;
    bool says_how; /* WHAT says how to mend it */
};

struct check_report {
    const char *library; /* borrowed */
    bool has_index;      /* it could be opened */
    struct store_checked index;
    /* Files as they are on disk now. */
    int64_t same, changed, missing, waiting; /* WAITING: to be read again */
    bool has_notebook;
    struct notebook_checked notebook;
    int64_t forms_hold; /* corrections that hold for a solo */
    int64_t found, moved, edited, gone; /* entries of study lists */
    uint64_t problems[CHECK_AREAS];
    struct check_finding *findings;
    size_t count, room;
    /* What a repair did before all this was found. */
    bool repaired;
    struct store_repaired repair;
    uint64_t before; /* problems of the index before it */
    bool no_memory;
};

/* Called now and then; WHAT is done, "reading the notes". */
struct check_progress {
    void *context;
    void (*step)(void *context, const char *what, int64_t done, int64_t total);
};

/* Look at the index and the notebook of LIBRARY, and put what is found into
 * OUT, which is all zero.  ST_OK, whatever that is; ST_BUSY, ST_IO, ST_NOMEM.
 * Release OUT with check_free() in any case. */
enum status check_library(struct check_report *out, const char *library,
                          const struct check_progress *progress,
                          struct fault *why);
/* Write the index of LIBRARY anew from its notes; OUT, all zero, receives what
 * was done, and the files that are lost as problems.  Then check_library() may
 * follow into the same OUT. */
enum status check_repair(struct check_report *out, const char *library,
                         const struct check_progress *progress,
                         struct fault *why);
void check_free(struct check_report *report);

/* Problems of the index, and of the notebook. */
uint64_t check_index_problems(const struct check_report *report);
uint64_t check_notebook_problems(const struct check_report *report);

/* Keep a finding; texts are copied.  Memory that is out is remembered. */
void check_add(struct check_report *report, enum check_area area, bool problem,
               const char *path, const char *what);

/* The notebook's part (check_notebook.c): STORE is NULL where the index could
 * not be opened, and places are then not looked for. */
enum status check_notebook(struct check_report *out, struct store *store,
                           struct fault *why);

#endif
