/* query/solo_list.c - see solo_list.h. */
#include "query/solo_list.h"

#include <stdlib.h>
#include <string.h>

#include "schema/grow.h"

enum {
    TEXTS = 8
};

/* The strings of a record, so that they are copied and freed alike. */
static void record_texts(struct solo_record *record, const char **texts[TEXTS])
{
    texts[0] = &record->path;
    texts[1] = &record->sha256;
    texts[2] = &record->title;
    texts[3] = &record->performer;
    texts[4] = &record->composer;
    texts[5] = &record->instrument;
    texts[6] = &record->metre;
    texts[7] = &record->key;
}

static void record_free(struct solo_record *record)
{
    const char **texts[TEXTS];

    record_texts(record, texts);
    for (int i = 0; i < TEXTS; i++)
        free((void *)*texts[i]);
}

static bool record_copy(struct solo_record *out,
                        const struct solo_record *record)
{
    const char **texts[TEXTS];
    bool good = true;

    *out = *record;
    record_texts(out, texts);
    for (int i = 0; i < TEXTS; i++) {
        *texts[i] = strdup(*texts[i] ? *texts[i] : "");
        good = good && *texts[i];
    }
    if (good)
        return true;
    record_free(out);
    return false;
}

static bool make_room(struct solo_list *list)
{
    struct solo_record *items =
        grow_room(list->items, list->count, &list->room, sizeof *items);

    if (items)
        list->items = items;
    return items != NULL;
}

bool solo_list_add(void *context, const struct solo_record *record)
{
    struct solo_list *list = context;

    list->total++;
    if (list->limit && list->count == list->limit)
        return true;
    if (!make_room(list) || !record_copy(&list->items[list->count], record)) {
        list->no_memory = true;
        return false;
    }
    list->count++;
    return true;
}

void solo_list_free(struct solo_list *list)
{
    for (size_t i = 0; i < list->count; i++)
        record_free(&list->items[i]);
    free(list->items);
    list->items = NULL;
    list->count = list->room = 0;
}
