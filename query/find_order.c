/* query/find_order.c - see find_order.h. */
#include "query/find_order.h"

#include <stdlib.h>

/* Where ID stands among ROOM slots (a power of two), or would. */
static size_t slot_of(struct ordered *const *slots, size_t room, int64_t id)
{
    /* Knuth's multiplicative hashing: The Art of Computer Programming,
     * volume 3, section 6.4; from memory. */
    size_t at = (size_t)((uint64_t)id * 0x9E3779B97F4A7C15u >> 32);

    while (slots[at & (room - 1)] && slots[at & (room - 1)]->id != id)
        at++;
    return at & (room - 1);
}

/* Keep a third of the slots free. */
static bool make_room(struct ordering *o)
{
    size_t room = o->room ? 2 * o->room : 64;
    struct ordered **slots;

    if (o->count + 1 < o->room - o->room / 3)
        return true;
    slots = calloc(room, sizeof(struct ordered *));
    if (!slots)
        return false;
    for (size_t i = 0; i < o->room; i++)
        if (o->slots[i])
            slots[slot_of(slots, room, o->slots[i]->id)] = o->slots[i];
    free(o->slots);
    o->slots = slots;
    o->room = room;
    return true;
}

enum status ordering_find(struct ordering *o, struct store *store, int64_t id,
                          struct ordered **out, struct fault *why)
{
    struct ordered *solo;
    enum status st;

    *out = o->room ? o->slots[slot_of(o->slots, o->room, id)] : NULL;
    if (*out)
        return ST_OK;
    solo = calloc(1, sizeof *solo);
    if (!solo || !make_room(o)) {
        free(solo);
        return fault_nomem(why);
    }
    solo->id = id;
    solo->put = UINT32_MAX;
    st = store_path(store, id, &solo->path, solo->sha256, why);
    if (st != ST_OK) {
        free(solo);
        return st;
    }
    o->slots[slot_of(o->slots, o->room, id)] = *out = solo;
    o->count++;
    return ST_OK;
}

void ordering_free(struct ordering *ordering)
{
    for (size_t i = 0; i < ordering->room; i++)
        if (ordering->slots[i]) {
            free(ordering->slots[i]->path);
            free(ordering->slots[i]);
        }
    free(ordering->slots);
    *ordering = (struct ordering){ 0 };
}
