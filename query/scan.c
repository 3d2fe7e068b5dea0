/* query/scan.c - look through the library, solo by solo. */
#include "query/scan.h"

enum status scan_solo(struct store *store, int64_t id, size_t index,
                      scan_each each, void *context, struct fault *why)
{
    struct solo *solo;
    enum status st = store_load(store, id, &solo, why);

    if (st == ST_NOTHING)
        return fault_set(why, ST_LIBRARY,
                         "the index is damaged (a solo has no notes): run "
                         "cellar-index --full");
    if (st == ST_OK)
        st = each(context, index, solo, why);
    solo_free(solo);
    return st;
}

enum status scan_solos(struct solo_list *list, struct store *store,
                       const struct filter *filter, scan_each each,
                       void *context, struct fault *why)
{
    enum status st = store_solos(store, filter, solo_list_add, list, why);

    if (st == ST_OK && list->no_memory)
        st = fault_nomem(why);
    for (size_t i = 0; i < list->count && st == ST_OK; i++)
        st = scan_solo(store, list->items[i].id, i, each, context, why);
    return st;
}
