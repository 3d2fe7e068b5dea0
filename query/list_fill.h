/* query/list_fill.h - places of fragments that go into a study list. */
#ifndef QUERY_LIST_FILL_H
#define QUERY_LIST_FILL_H

#include "query/named.h"
#include "query/question.h"

enum {
    FILL_SIZE_MAX = 500
};

/* Study lists, for names. */
extern const struct named_kind study_kind;

/* Find the ARGC fragments ARGV, each asked OPTIONS, and put places of them at
 * the end of the list NAME: the best SIZE of each, or with CHOOSE, SIZE of all
 * together that study_fill() chooses.  ARGC 0: the fragment of --from.  Says
 * what was put in.  ST_NOTHING: nothing was found, all was there already, or
 * there is no such list. */
enum status list_fill(struct session *session, const char *name,
                      const struct question_options *options, int argc,
                      char **argv, size_t size, bool choose,
                      struct fault *why);

/* Put hits of PAGE into the list that KEEP names ("lesson", "lesson:1,3-5"),
 * which is made where there is none, and say so on stderr. */
enum status list_keep(struct session *session, const char *keep,
                      const struct find_page *page, struct fault *why);

#endif
