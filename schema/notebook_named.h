/* schema/notebook_named.h - what the user gave a name; private to
 * notebook_*.c.
 *
 * Names are told apart without case and accents (text_plain()).
 */
#ifndef SCHEMA_NOTEBOOK_NAMED_H
#define SCHEMA_NOTEBOOK_NAMED_H

#include <stddef.h>

#include "schema/notebook_internal.h"

/* A kind of thing with names. */
struct named {
    const char *what;   /* "bank" */
    const char *select; /* SELECT id, name FROM its table */
    size_t size;        /* bytes of a name, with its NUL */
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
enum status named_check_free(const struct notebook *n,
                             const struct named *kind, const char *name,
                             int64_t self, struct fault *why);
/* There is none called NAME. */
enum status named_missing(const struct named *kind, const char *name,
                          struct fault *why);

#endif
