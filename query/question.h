/* query/question.h - a fragment and all that is asked of its places.
 *
 * What find, and the study lists that are filled from it, read from their
 * arguments.
 */
#ifndef QUERY_QUESTION_H
#define QUERY_QUESTION_H

#include "query/filter.h"
#include "query/find.h"
#include "query/place_options.h"
#include "query/session.h"

/* What the options store. */
struct question_options {
    const char *over, *from, *bars;
    const char *relation, *into, *weights;
    bool any_octave, reharmonized;
    long edits;
    int rhythm; /* enum rhythm_match, or -1: not given */
    struct place_options place;
    struct filter_options filter;
};

#define QUESTION_OPTIONS_NONE                                                  \
    {                                                                          \
        .rhythm = -1, .place = {.at = -1 }                                     \
    }

/* The option rows for a struct question_options, but for those of PLACE and
 * FILTER, which have their own.  Borrowed: a constant. */
const struct option_row *question_rows(void);

struct question {
    const struct question_options *options; /* borrowed */
    struct find_query query;
    struct asked_filter asked;
    char *text; /* the fragment, owned; NULL when from a file */
};

/* Read the fragment that the ARGC arguments ARGV make together, or the file of
 * --from, and OPTIONS.  ST_SYNTAX, ST_USAGE, ST_INPUT: WHY says what is wrong,
 * SESSION receives the text it is in.  The limit and what is counted are left
 * to the caller.  Release with question_free() in any case. */
enum status question_read(struct question *out, struct session *session,
                          const struct question_options *options, int argc,
                          char **argv, struct fault *why);
void question_free(struct question *question);

/* ST_NOTHING: what was looked for, and what could be loosened. */
enum status question_nothing(const struct question *question,
                             struct fault *why);

#endif
