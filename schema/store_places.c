/* schema/store_places.c - where grams stand, by solos or by segments. */
#include <stdlib.h>
#include <string.h>

#include "schema/store_internal.h"

/* What is asked of FTS5: a row that has all GRAMS. */
static enum status write_question(char *out, const struct gram *grams, size_t n,
                                  struct fault *why)
{
    if (n == 0 || n > GRAM_QUESTION_MAX || grams[0].instead)
        return fault_set(why, ST_INTERNAL, "a question of %zu grams", n);
    for (size_t i = 0; i < n; i++) {
        const char *token = grams[i].token;
        bool more = i + 1 < n && grams[i + 1].instead;

        if (!token[0] || strpbrk(token, "\" "))
            return fault_set(why, ST_INTERNAL, "\"%s\" is no gram", token);
        out += sprintf(out, "%s%s\"%s\"%s",
                       i == 0             ? ""
                       : grams[i].instead ? " OR "
                                          : " AND ",
                       more && !grams[i].instead ? "(" : "", token,
                       !more && grams[i].instead ? ")" : "");
    }
    return ST_OK;
}

/* Handing out places: what store_places() was called with, or
 * store_places_whole(). */
struct proposal {
    struct store *store;
    const struct passing *passing;
    store_place_each each;
    store_segment_each whole; /* instead of EACH, or NULL */
    void *context;
    bool more; /* EACH wants to go on */
};

/* Copy the blob of gram_positions() to where numbers are aligned. */
static bool take_positions(struct places *out, sqlite3_stmt *stmt,
                           size_t *count)
{
    const void *bytes = sqlite3_column_blob(stmt, 1);
    size_t size = (size_t)sqlite3_column_bytes(stmt, 1);

    *count = bytes ? size / sizeof *out->items : 0;
    if (*count > out->room) {
        uint32_t *grown = realloc(out->items, size);

        if (!grown)
            return false;
        out->items = grown;
        out->room = *count;
    }
    if (*count > 0)
        memcpy(out->items, bytes, *count * sizeof *out->items);
    return true;
}

/* Have the list of the solos of SEGMENT. */
static enum status read_list(struct store *store, int64_t segment,
                             struct solo_list *list, struct fault *why)
{
    struct binder b = store_bind(store, SQL_SEGMENT_GET);
    enum status st = ST_OK, done;
    size_t size = 0;

    list->segment = 0;
    bind_int(&b, segment);
    if (store_row(&b))
        size = (size_t)sqlite3_column_bytes(b.stmt, 0);
    if (!stretches_make_sense(size, segment))
        st = strands_differ(store, why);
    if (st == ST_OK && size > list->room) {
        uint8_t *grown = realloc(list->bytes, size);

        if (grown) {
            list->bytes = grown;
            list->room = size;
        } else {
            st = fault_nomem(why);
        }
    }
    if (st == ST_OK && size > 0)
        memcpy(list->bytes, sqlite3_column_blob(b.stmt, 0), size);
    list->count = size / STRETCH_SIZE;
    done = store_done(store, &b, why);
    if (st == ST_OK)
        st = done;
    if (st == ST_OK)
        list->segment = segment;
    return st;
}

static bool starts_by(const struct solo_list *list, size_t index,
                      uint32_t place)
{
    return stretch_start(list->bytes, index) <= place;
}

/* The last of the solos of LIST from FROM on that does not start after PLACE,
 * or FROM: mostly it is one of the next. */
static size_t solo_at(const struct solo_list *list, size_t from, uint32_t place)
{
    size_t step = 1, end = list->count;

    while (from + step < end && starts_by(list, from + step, place)) {
        from += step;
        step *= 2;
    }
    if (from + step < end)
        end = from + step;
    while (end - from > 1) {
        size_t middle = from + (end - from) / 2;

        if (starts_by(list, middle, place))
            from = middle;
        else
            end = middle;
    }
    return from;
}

/* Hand out the COUNT places of a segment solo by solo, counted from the first
 * note of each. */
static enum status share_out(struct proposal *p, size_t count,
                             struct fault *why)
{
    const struct solo_list *list = &p->store->places_found.list;
    uint32_t *places = p->store->places_found.items;
    struct stretch solo;

    for (size_t at = 0, index = 0; at < count && list->count > 0 && p->more;) {
        size_t first = at;

        index = solo_at(list, index, places[at]);
        if (!stretch_read(&solo, list->bytes, index, list->segment))
            return strands_differ(p->store, why);
        for (; at < count && places[at] - solo.start < solo.count; at++)
            places[at] -= solo.start;
        if (at == first)
            at++; /* a place of no solo */
        else if (passing_has(p->passing, solo.id))
            p->more = p->each(p->context, &solo, places + first, at - first);
    }
    return ST_OK;
}

/* Hand out the COUNT places of a segment as they are, but for those of no
 * solo. */
static enum status hand_out(struct proposal *p, size_t count, struct fault *why)
{
    const struct solo_list *list = &p->store->places_found.list;
    uint32_t *places = p->store->places_found.items;
    size_t kept = 0, solos = 0;

    for (size_t at = 0, index = 0; at < count && list->count > 0;) {
        size_t first = at;
        struct stretch solo;

        index = solo_at(list, index, places[at]);
        if (!stretch_read(&solo, list->bytes, index, list->segment))
            return strands_differ(p->store, why);
        while (at < count && places[at] - solo.start < solo.count)
            at++;
        if (at == first) {
            at++; /* a place of no solo */
            continue;
        }
        if (kept < first)
            memmove(places + kept, places + first,
                    (at - first) * sizeof *places);
        kept += at - first;
        solos++;
    }
    if (kept > 0)
        p->more = p->whole(p->context, list->segment, places, kept, solos);
    return ST_OK;
}

static enum status propose(struct proposal *p, struct binder *b,
                           struct fault *why)
{
    enum status st = ST_OK, done;

    p->more = true;
    while (p->more && st == ST_OK && store_row(b)) {
        int64_t segment = sqlite3_column_int64(b->stmt, 0);
        struct places *places = &p->store->places_found;
        size_t count;

        if (!take_positions(places, b->stmt, &count))
            st = fault_nomem(why);
        else if (count > 0)
            st = read_list(p->store, segment, &places->list, why);
        if (st == ST_OK && count > 0)
            st = p->whole ? hand_out(p, count, why) : share_out(p, count, why);
    }
    done = store_done(p->store, b, why);
    return st == ST_OK ? done : st;
}

/* Have P answered for GRAMS. */
static enum status ask(struct proposal *p, const struct gram *grams, size_t n,
                       struct fault *why)
{
    char question[GRAM_QUESTION_MAX * (GRAM_TOKEN_SIZE + sizeof " AND ()")];
    uint32_t after[GRAM_QUESTION_MAX];
    struct binder b;
    enum status st = write_question(question, grams, n, why);

    if (st != ST_OK)
        return st;
    for (size_t i = 0; i < n; i++)
        after[i] = grams[i].after | (grams[i].instead ? GRAM_INSTEAD : 0);
    b = store_bind(p->store, SQL_GRAM_PLACES);
    bind_text(&b, question);
    bind_bytes(&b, after, n * sizeof *after);
    return propose(p, &b, why);
}

enum status store_places(struct store *store, const struct gram *grams,
                         size_t n, const struct passing *passing,
                         store_place_each each, void *context,
                         struct fault *why)
{
    struct proposal p = {
        .store = store, .passing = passing, .each = each, .context = context
    };

    return ask(&p, grams, n, why);
}

enum status store_places_whole(struct store *store, const struct gram *grams,
                               size_t n, store_segment_each each, void *context,
                               struct fault *why)
{
    struct proposal p = { .store = store, .whole = each, .context = context };

    return ask(&p, grams, n, why);
}

enum status store_stretch_with(struct store *store, int64_t segment,
                               uint32_t place, struct stretch *out,
                               struct fault *why)
{
    struct solo_list *list = &store->strands.list;
    enum status st = ST_OK;

    if (!store->reading)
        return fault_set(why, ST_INTERNAL, "strands outside a question");
    if (list->segment != segment)
        st = read_list(store, segment, list, why);
    if (st != ST_OK)
        return st;
    if (list->count == 0 ||
        !stretch_read(out, list->bytes, solo_at(list, 0, place), segment) ||
        place < out->start || place - out->start >= out->count)
        return strands_differ(store, why);
    return ST_OK;
}

enum status store_stretches(struct store *store, const struct passing *passing,
                            store_stretch_each each, void *context,
                            struct fault *why)
{
    const struct stretches *all;
    bool more = true;
    enum status st = stretches_all(store, &all, why);

    for (size_t i = 0; st == ST_OK && more && i < all->count; i++)
        if (passing_has(passing, all->items[i].id))
            more = each(context, &all->items[i]);
    return st;
}
