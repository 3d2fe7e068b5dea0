/* schema/notebook_named.h - what the user gave a name; private to
 * notebook_*.c.
 *
 * Names are told apart without case and accents (text_plain()).
 */
#ifndef SCHEMA_NOTEBOOK_NAMED_H
#define SCHEMA_NOTEBOOK_NAMED_H

#include <stddef.h>

#include "schema/notebook_internal.h"

/* A kind of thing with names, and the statements that ask for it. */
struct named {
    const char *what;   /* "bank" */
    int64_t version;    /* of the notebook from which on there are any */
    size_t size;        /* bytes of a name, with its NUL */
    const char *select; /* id, name of all */
    const char *rename; /* name ?1 for the id ?2 */
    const char *remove; /* the one with id ?1, and its parts */
    const char *count;  /* the parts of the one with id ?1 */
    const char *list;   /* name, number of parts of all, by name */
};

/* The id of the one called NAME, 0 where there is none, and its name as it is
 * kept (FOUND may be NULL). */
enum status named_look_up(const struct notebook *n, const struct named *kind,
                          const char *name, int64_t *id, char *found,
                          struct fault *why);
/* The same, ST_NOTHING where there is none. */
enum status named_find(const struct notebook *n, const struct named *kind,
                       const char *name, int64_t *id, char *found,
                       struct fault *why);
/* ST_USAGE where one other than SELF (an id, 0 none) is called NAME. */
enum status named_check_free(const struct notebook *n, const struct named *kind,
                             const char *name, int64_t self, struct fault *why);
/* Call NAME otherwise.  ST_NOTHING: there is none; ST_USAGE: another is called
 * TO. */
enum status named_rename(struct notebook *n, const struct named *kind,
                         const char *name, const char *to, struct fault *why);
/* Delete NAME; *PARTS counts what was in it. */
enum status named_remove(struct notebook *n, const struct named *kind,
                         const char *name, int64_t *parts, struct fault *why);
/* All of them by name; none in a notebook from before there were any. */
enum status named_each(struct notebook *n, const struct named *kind,
                       bool (*each)(void *context, const char *name,
                                    int64_t parts),
                       void *context, struct fault *why);
/* How many parts the one with ID has. */
enum status named_count(const struct notebook *n, const struct named *kind,
                        int64_t id, int64_t *parts, struct fault *why);
/* There is none called NAME. */
enum status named_missing(const struct named *kind, const char *name,
                          struct fault *why);

#endif
