/* query/study_keep.h - hits that become entries of a study list. */
#ifndef QUERY_STUDY_KEEP_H
#define QUERY_STUDY_KEEP_H

#include "query/printer.h"
#include "schema/notebook_list.h"

/* Entries made of hits; their texts are owned. */
struct kept_hits {
    struct list_entry *entries;
    size_t count;
    char **texts;
    size_t text_count;
};

/* Make entries of the hits of PAGE called NUMBERS, by rank from 1 (NULL: all of
 * them), found by QUESTION at NOW (seconds since 1970).  A hit of more notes
 * than a list holds is cut.  ST_USAGE: there is no such rank; ST_NOMEM.
 * Release with kept_hits_free() in any case. */
enum status kept_hits_make(struct kept_hits *out, const struct find_page *page,
                           const int32_t *numbers, size_t count,
                           const char *question, int64_t now,
                           struct fault *why);
void kept_hits_free(struct kept_hits *kept);

#endif
