/* schema/store_name.c - which solo does the user mean? */
#include <stdlib.h>
#include <string.h>

#include "schema/store_internal.h"
#include "schema/text_plain.h"

/* A search for a name among all solos. */
struct search {
    const char *name;
    char *plain;    /* NAME in lower case, without accents */
    bool part;      /* a part of the path or title will do */
    bool any, more; /* something was found; the user wants more */
    bool nomem;
    store_solo_each each;
    void *context;
};

static bool is_meant(struct search *s, const struct solo_record *solo)
{
    char *title = text_plain(solo->title);
    char *path = text_plain(solo->path);
    bool meant = false;

    if (!title || !path)
        s->nomem = true;
    else if (s->part)
        meant = strstr(title, s->plain) || strstr(path, s->plain);
    else
        meant = strcmp(title, s->plain) == 0 ||
                strcmp(solo->path, s->name) == 0;
    free(title);
    free(path);
    return meant;
}

static bool consider(void *context, const struct solo_record *solo)
{
    struct search *s = context;

    if (is_meant(s, solo)) {
        s->any = true;
        s->more = s->each(s->context, solo);
    }
    return s->more && !s->nomem;
}

enum status store_find_name(struct store *store, const char *name,
                            store_solo_each each, void *context,
                            struct fault *why)
{
    struct search s = { .name = name, .plain = text_plain(name),
                        .more = true, .each = each, .context = context };
    enum status st = ST_OK;

    if (!s.plain)
        return fault_nomem(why);
    /* Every path contains the empty text, but nobody means all of them. */
    if (s.plain[0] != '\0')
        st = store_solos(store, NULL, consider, &s, why);
    if (st == ST_OK && !s.any && s.plain[0] != '\0') {
        s.part = true;
        st = store_solos(store, NULL, consider, &s, why);
    }
    free(s.plain);
    if (st == ST_OK && s.nomem)
        return fault_nomem(why);
    return st;
}
