/* schema/store_read.c - lists, places and whole solos out of an index. */
#include <stdlib.h>
#include <string.h>

#include "schema/grow.h"
#include "schema/store_internal.h"

enum status store_files(struct store *store, store_file_each each,
                        void *context, struct fault *why)
{
    struct binder b = store_bind(store, SQL_FILES);
    bool more = true;

    while (more && store_row(&b)) {
        struct file_record file = { 0 };

        file.id = sqlite3_column_int64(b.stmt, 0);
        file.path = column_text(b.stmt, 1);
        file.size = sqlite3_column_int64(b.stmt, 2);
        file.mtime = sqlite3_column_int64(b.stmt, 3);
        snprintf(file.sha256, sizeof file.sha256, "%s",
                 column_text(b.stmt, 4));
        file.part = column_text(b.stmt, 5);
        file.unreadable = column_text(b.stmt, 6);
        more = each(context, &file);
    }
    return store_done(store, &b, why);
}

/* A whole number of a fact; what no fact can be reads as 0. */
static int64_t column_count(sqlite3_stmt *stmt, int column)
{
    int64_t value = sqlite3_column_int64(stmt, column);

    return value < 0 ? 0 : value;
}

static void read_solo(struct solo_record *solo, sqlite3_stmt *stmt)
{
    int64_t tempo = column_count(stmt, 9);

    solo->id = sqlite3_column_int64(stmt, 0);
    solo->path = column_text(stmt, 1);
    solo->sha256 = column_text(stmt, 2);
    solo->title = column_text(stmt, 3);
    solo->performer = column_text(stmt, 4);
    solo->composer = column_text(stmt, 5);
    solo->instrument = column_text(stmt, 6);
    solo->metre = column_text(stmt, 7);
    solo->key = column_text(stmt, 8);
    solo->tempo = tempo <= INT32_MAX ? (int32_t)tempo : 0;
    solo->notes = column_count(stmt, 10);
    solo->chords = column_count(stmt, 11);
    solo->bars = column_count(stmt, 12);
    solo->warnings = column_count(stmt, 13);
}

/* HEAD, the condition of FILTER on ID_COLUMN, and TAIL.  The caller owns
 * *OUT. */
static enum status asked_sql(char **out, const char *head,
                             const char *id_column,
                             const struct filter *filter, int first,
                             const char *tail, struct fault *why)
{
    struct gather text = { 0 };
    enum status st;

    gather_put(&text, head);
    st = filter_write(&text, id_column, filter, first, why);
    gather_put(&text, tail);
    *out = gather_take(&text);
    if (st == ST_OK && !*out)
        return fault_nomem(why);
    if (st != ST_OK) {
        free(*out);
        *out = NULL;
    }
    return st;
}

/* What read_solo() reads. */
#define SOLO_COLUMNS                                                           \
    "SELECT s.id, f.path, f.sha256, s.title, s.performer, s.composer,"         \
    " s.instrument, s.metre, s.concert_key, s.tempo, s.notes, s.chords,"       \
    " s.bars, s.warnings FROM file AS f JOIN solo AS s ON s.id = f.id"         \
    " WHERE f.path IS NOT NULL"

enum status store_solos(struct store *store, const struct filter *filter,
                        store_solo_each each, void *context,
                        struct fault *why)
{
    char *sql = NULL;
    bool more = true;
    struct binder b;
    enum status st = asked_sql(&sql, SOLO_COLUMNS, "s.id", filter, 1,
                               " ORDER BY f.path", why);

    if (st != ST_OK)
        return st;
    b = store_bind_asked(store, &store->solos, sql);
    free(sql);
    filter_bind(&b, filter);
    while (more && store_row(&b)) {
        struct solo_record solo;

        read_solo(&solo, b.stmt);
        more = each(context, &solo);
    }
    return store_done(store, &b, why);
}

static enum status each_id(struct store *store, struct binder *b,
                           store_id_each each, void *context,
                           struct fault *why)
{
    bool more = true;

    while (more && store_row(b))
        more = each(context, sqlite3_column_int64(b->stmt, 0));
    return store_done(store, b, why);
}

enum status store_ids(struct store *store, const struct filter *filter,
                      store_id_each each, void *context, struct fault *why)
{
    char *sql = NULL;
    struct binder b;
    enum status st =
        asked_sql(&sql,
                  "SELECT f.id FROM file AS f WHERE f.path IS NOT NULL"
                  " AND f.unreadable = ''",
                  "f.id", filter, 1, " ORDER BY f.path", why);

    if (st != ST_OK)
        return st;
    b = store_bind_asked(store, &store->ids, sql);
    free(sql);
    filter_bind(&b, filter);
    return each_id(store, &b, each, context, why);
}

enum status store_path(struct store *store, int64_t id, char **out,
                       char sha256[65], struct fault *why)
{
    struct binder b = store_bind(store, SQL_FILE_PATH);
    bool found;
    enum status st;

    bind_int(&b, id);
    found = store_row(&b);
    *out = found ? strdup(column_text(b.stmt, 0)) : NULL;
    if (sha256)
        snprintf(sha256, 65, "%s", found ? column_text(b.stmt, 1) : "");
    st = store_done(store, &b, why);
    if (st == ST_OK && !found)
        st = store_damaged(store, "its lists of solos differ", why);
    if (st == ST_OK && !*out)
        st = fault_nomem(why);
    if (st != ST_OK) {
        free(*out);
        *out = NULL;
    }
    return st;
}

enum status store_load(struct store *store, int64_t id, struct solo **out,
                       struct fault *why)
{
    struct binder b = store_bind(store, SQL_BODY_GET);
    struct fault inner = { 0 };
    enum status st, done;

    *out = NULL;
    bind_int(&b, id);
    if (store_row(&b)) {
        const void *bytes = sqlite3_column_blob(b.stmt, 0);
        int size = sqlite3_column_bytes(b.stmt, 0);

        st = solo_decode(out, bytes ? bytes : (const void *)"", (size_t)size,
                         &inner);
    } else {
        st = fault_set(&inner, ST_NOTHING, "no solo %lld is in the index of %s",
                       (long long)id, store->library);
    }
    done = store_done(store, &b, why);
    if (done != ST_OK) {
        solo_free(*out);
        *out = NULL;
        return done;
    }
    if (st == ST_LIBRARY)
        return store_damaged(store, "the notes of a solo do not read", why);
    if (st != ST_OK && why)
        *why = inner;
    if (st == ST_OK && store->loaded)
        st = store->loaded(store->loaded_context, id, *out, why);
    if (st != ST_OK) {
        solo_free(*out);
        *out = NULL;
    }
    return st;
}

void store_on_load(struct store *store, store_loaded each, void *context)
{
    store->loaded = each;
    store->loaded_context = context;
    store->changes = NULL;
}

void store_on_load_of(struct store *store, store_changes changes)
{
    store->changes = changes;
}

bool store_load_changes(const struct store *store, int64_t id)
{
    if (!store->loaded)
        return false;
    return !store->changes || store->changes(store->loaded_context, id);
}

bool store_loads_change(const struct store *store)
{
    return store->loaded != NULL;
}

/* --- which solos pass -------------------------------------------------- */

/* By id. */
struct passing {
    int64_t *ids;
    size_t count, room;
    bool nomem;
};

static bool let_pass(void *context, int64_t id)
{
    struct passing *p = context;
    int64_t *more = grow_room(p->ids, p->count, &p->room, sizeof *more);

    if (!more) {
        p->nomem = true;
        return false;
    }
    p->ids = more;
    p->ids[p->count++] = id;
    return true;
}

void passing_free(struct passing *passing)
{
    if (passing)
        free(passing->ids);
    free(passing);
}

static enum status read_passing(struct passing *p, struct store *store,
                                const struct filter *filter, struct fault *why)
{
    char *sql = NULL;
    struct binder b;
    enum status st = asked_sql(&sql, "SELECT id FROM solo WHERE notes > 0",
                               "id", filter, 1, " ORDER BY id", why);

    if (st != ST_OK)
        return st;
    b = store_bind_asked(store, &store->passing, sql);
    free(sql);
    filter_bind(&b, filter);
    st = each_id(store, &b, let_pass, p, why);
    return p->nomem ? fault_nomem(why) : st;
}

enum status store_passing(struct passing **out, struct store *store,
                          const struct filter *filter, struct fault *why)
{
    struct passing *p;
    enum status st;

    *out = NULL;
    if (!filter || filter->count == 0)
        return ST_OK;
    p = calloc(1, sizeof *p);
    if (!p)
        return fault_nomem(why);
    st = read_passing(p, store, filter, why);
    if (st == ST_OK)
        *out = p;
    else
        passing_free(p);
    return st;
}

static int id_order(const void *a, const void *b)
{
    int64_t x = *(const int64_t *)a, y = *(const int64_t *)b;

    return (x > y) - (x < y);
}

static bool passes(const struct passing *p, int64_t id)
{
    return !p || (p->count > 0 &&
                  bsearch(&id, p->ids, p->count, sizeof *p->ids, id_order));
}

/* --- places ------------------------------------------------------------ */

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
        else if (passes(p->passing, solo.id))
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
            memmove(places + kept, places + first, (at - first) * sizeof *places);
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
                               size_t n, store_segment_each each,
                               void *context, struct fault *why)
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
        if (passes(passing, all->items[i].id))
            more = each(context, &all->items[i]);
    return st;
}

/* --- counts ------------------------------------------------------------ */

enum status store_totals(struct store *store, struct store_totals *out,
                         struct fault *why)
{
    struct binder b = store_bind(store, SQL_TOTALS);

    memset(out, 0, sizeof *out);
    if (store_row(&b)) {
        out->solos = sqlite3_column_int64(b.stmt, 0);
        out->notes = sqlite3_column_int64(b.stmt, 1);
        out->chords = sqlite3_column_int64(b.stmt, 2);
        out->warnings = sqlite3_column_int64(b.stmt, 3);
        out->unreadable = sqlite3_column_int64(b.stmt, 4);
    }
    return store_done(store, &b, why);
}
