/* schema/notebook_named.c - what the user gave a name. */
#include "schema/notebook_named.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "schema/text_plain.h"

enum {
    NAME_SIZE = 512 /* no name is longer */
};

enum status named_missing(const struct named *kind, const char *name,
                          struct fault *why)
{
    return fault_set(why, ST_NOTHING, "there is no %s '%.330s'", kind->what,
                     name);
}

/* Is NAME, as it is compared, PLAIN?  Memory that is out counts as no. */
static bool is_called(const char *name, const char *plain, bool *nomem)
{
    char *there = text_plain(name);
    bool same = there && strcmp(there, plain) == 0;

    *nomem = *nomem || !there;
    free(there);
    return same;
}

enum status named_look_up(const struct notebook *n, const struct named *kind,
                          const char *name, int64_t *id, char *found,
                          struct fault *why)
{
    char *plain = text_plain(name);
    struct asked a;
    bool nomem = !plain;
    enum status st;

    *id = 0;
    if (!plain)
        return fault_nomem(why);
    a = ask(n, kind->select);
    while (*id == 0 && !nomem && next_row(&a))
        if (is_called(text_at(a.stmt, 1), plain, &nomem)) {
            *id = sqlite3_column_int64(a.stmt, 0);
            if (found)
                snprintf(found, kind->size, "%s", text_at(a.stmt, 1));
        }
    st = answered(n, &a, why);
    free(plain);
    return st == ST_OK && nomem ? fault_nomem(why) : st;
}

enum status named_find(const struct notebook *n, const struct named *kind,
                       const char *name, int64_t *id, char *found,
                       struct fault *why)
{
    enum status st = named_look_up(n, kind, name, id, found, why);

    return st == ST_OK && *id == 0 ? named_missing(kind, name, why) : st;
}

enum status named_check_free(const struct notebook *n, const struct named *kind,
                             const char *name, int64_t self, struct fault *why)
{
    char found[NAME_SIZE];
    int64_t id;
    enum status st = named_look_up(n, kind, name, &id, found, why);

    if (st != ST_OK || id == 0 || id == self)
        return st;
    return fault_set(why, ST_USAGE, "there is a %s '%s' already", kind->what,
                     found);
}

enum status named_rename(struct notebook *n, const struct named *kind,
                         const char *name, const char *to, struct fault *why)
{
    int64_t id;
    enum status st = begin(n, why);

    if (st != ST_OK)
        return st;
    st = named_find(n, kind, name, &id, NULL, why);
    if (st == ST_OK)
        st = named_check_free(n, kind, to, id, why);
    if (st == ST_OK) {
        struct asked a = ask(n, kind->rename);

        with_text(&a, to);
        with_int(&a, id);
        st = done(n, &a, why);
    }
    return finish(n, st, why);
}

enum status named_count(const struct notebook *n, const struct named *kind,
                        int64_t id, int64_t *parts, struct fault *why)
{
    struct asked a = ask(n, kind->count);

    with_int(&a, id);
    *parts = next_row(&a) ? sqlite3_column_int64(a.stmt, 0) : 0;
    return answered(n, &a, why);
}

enum status named_remove(struct notebook *n, const struct named *kind,
                         const char *name, int64_t *parts, struct fault *why)
{
    int64_t id;
    enum status st = begin(n, why);

    if (st != ST_OK)
        return st;
    st = named_find(n, kind, name, &id, NULL, why);
    if (st == ST_OK)
        st = named_count(n, kind, id, parts, why);
    if (st == ST_OK) {
        /* Its parts go with it: ON DELETE CASCADE. */
        struct asked a = ask(n, kind->remove);

        with_int(&a, id);
        st = done(n, &a, why);
    }
    return finish(n, st, why);
}

enum status named_each(struct notebook *n, const struct named *kind,
                       bool (*each)(void *context, const char *name,
                                    int64_t parts),
                       void *context, struct fault *why)
{
    struct asked a;
    bool more = true;

    if (n->version < kind->version)
        return ST_OK;
    a = ask(n, kind->list);
    while (more && next_row(&a))
        more =
            each(context, text_at(a.stmt, 0), sqlite3_column_int64(a.stmt, 1));
    return answered(n, &a, why);
}
