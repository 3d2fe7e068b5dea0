/* query/named.h - names that users give: of banks and of study lists. */
#ifndef QUERY_NAMED_H
#define QUERY_NAMED_H

#include "query/numbers.h"
#include "schema/notebook.h"

enum {
    NAME_MAX_CHARACTERS = 80,
    NAME_SIZE = 4 * NAME_MAX_CHARACTERS + 1,
    REMARK_MAX_CHARACTERS = 500
};

/* A kind of thing with names. */
struct named_kind {
    const char *what;    /* "bank" */
    const char *parts;   /* what is numbered in it: "cells" */
    const char *command; /* that makes one: "cellar bank new" */
    const char *listing; /* that lists them: "cellar bank list" */
    /* Calls EACH with all names, by name. */
    enum status (*all)(struct notebook *notebook,
                       bool (*each)(void *context, const char *name,
                                    int64_t parts),
                       void *context, struct fault *why);
};

/* The name TEXT without blanks around it.  ST_USAGE where it is empty, longer
 * than NAME_MAX_CHARACTERS, holds characters that do not print, or ends as
 * name_split() reads numbers. */
enum status name_read(char out[NAME_SIZE], const struct named_kind *kind,
                      const char *text, struct fault *why);

/* Read "NAME" or "NAME:1,3-5"; NUMBERS is empty for the first. */
enum status name_split(char name[NAME_SIZE], struct number_list *numbers,
                       const struct named_kind *kind, const char *text,
                       struct fault *why);

/* Where ST is ST_NOTHING because nothing is called NAME: say in WHY what may be
 * meant.  NOTEBOOK may be NULL.  Returns ST. */
enum status name_suggest(struct notebook *notebook,
                         const struct named_kind *kind, const char *name,
                         enum status st, struct fault *why);

/* Take the blanks off both ends of the remark TEXT; ST_USAGE where it will not
 * do as one. */
enum status remark_read(char *text, struct fault *why);

#endif
