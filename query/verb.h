/* query/verb.h - the words of a command that does several things: `cellar bank
 * add`, `cellar list fill`. */
#ifndef QUERY_VERB_H
#define QUERY_VERB_H

#include "schema/status.h"

/* A word, and what follows it. */
struct verb {
    const char *word;  /* "add" */
    const char *usage; /* "NAME FRAGMENT..." */
    int least, most;   /* arguments after the word; MOST -1: any */
};

/* Which of the words WORDS (ended by NULL) of COMMAND ("bank") is the first of
 * the ARGC arguments ARGV: its index in *INDEX.  ST_USAGE: none, or another
 * word; WHY names those that will do. */
enum status verb_find(int *index, const char *command, const char *const *words,
                      int argc, char **argv, struct fault *why);

/* ST_USAGE where VERB of COMMAND does not take ARGC arguments after its
 * word. */
enum status verb_check(const struct verb *verb, const char *command, int argc,
                       struct fault *why);

#endif
