/* query/find_shelf.c - see find_shelf.h. */
#include "query/find_shelf.h"

#include <stdlib.h>
#include <string.h>

struct find_shelf {
    struct store *store;
    size_t room, next;        /* places; where the next solo goes */
    struct found_solo **held; /* by place; NULL: empty */
};

static enum status lists_differ(struct fault *why)
{
    return fault_set(why, ST_LIBRARY,
                     "the index is damaged (its lists of solos differ): run "
                     "cellar-index --full");
}

enum status shelf_load(struct solo **out, struct store *store, int64_t id,
                       struct fault *why)
{
    enum status st = store_load(store, id, out, why);

    return st == ST_NOTHING ? lists_differ(why) : st;
}

enum status shelf_holds(const struct solo *solo, size_t last,
                        struct fault *why)
{
    return last < solo->note_count ? ST_OK : lists_differ(why);
}

static enum status load(struct found_solo *solo, struct store *store,
                        struct fault *why)
{
    enum status st = shelf_load(&solo->solo, store, solo->id, why);

    if (st != ST_OK || solo->title)
        return st;
    solo->title = strdup(solo->solo->title);
    solo->performer = strdup(solo->solo->performer);
    return solo->title && solo->performer ? ST_OK : fault_nomem(why);
}

/* Have SOLO on SHELF, in the place of the one that came first. */
static enum status put(struct find_shelf *shelf, struct found_solo *solo,
                       struct fault *why)
{
    struct found_solo **place = &shelf->held[shelf->next];
    enum status st;

    if (*place) {
        solo_free((*place)->solo);
        (*place)->solo = NULL;
        *place = NULL;
    }
    st = load(solo, shelf->store, why);
    if (solo->solo)
        *place = solo;
    shelf->next = (shelf->next + 1) % shelf->room;
    return st;
}

enum status find_solo(const struct solo **out, const struct find_result *result,
                      size_t index, struct fault *why)
{
    struct found_solo *solo = &result->solos[index];
    enum status st = ST_OK;

    *out = NULL;
    if (!solo->solo)
        st = put(result->shelf, solo, why);
    if (st == ST_OK)
        *out = solo->solo;
    return st;
}

/* All of them, for good. */
static enum status hold_all(struct find_result *result, struct store *store,
                            struct fault *why)
{
    enum status st = ST_OK;

    for (size_t i = 0; i < result->solo_count && st == ST_OK; i++)
        st = load(&result->solos[i], store, why);
    return st;
}

enum status shelf_new(struct find_result *result, struct store *store,
                      size_t held, struct fault *why)
{
    struct find_shelf *shelf;
    enum status st;

    if (result->solo_count <= held)
        return hold_all(result, store, why);
    shelf = calloc(1, sizeof *shelf);
    if (!shelf)
        return fault_nomem(why);
    shelf->room = held < FIND_HELD_MIN ? FIND_HELD_MIN : held;
    shelf->held = calloc(shelf->room, sizeof *shelf->held);
    st = shelf->held ? store_read_begin(store, why) : fault_nomem(why);
    if (st == ST_OK) {
        shelf->store = store;
        result->shelf = shelf;
    } else {
        shelf_free(shelf);
    }
    return st;
}

void shelf_free(struct find_shelf *shelf)
{
    if (!shelf)
        return;
    if (shelf->store)
        store_read_end(shelf->store);
    free(shelf->held);
    free(shelf);
}
