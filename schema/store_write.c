/* schema/store_write.c - put, touch and forget files and their solos. */
#include "schema/store_internal.h"

/* --- transactions ----------------------------------------------------- */

enum {
    /* FTS5 merges what it wrote as soon as there are so many parts of a size:
     * its own default, or not before there are 16 ("SQLite FTS5 Extension",
     * 6.3, The 'automerge' Configuration Option). */
    MERGE_USUALLY = 4,
    MERGE_NOT = 0
};

void store_expect_many(struct store *store)
{
    store->many = true;
    store->merging = false;
}

static enum status set_merging(struct store *store, int parts,
                               struct fault *why)
{
    static const enum store_statement tables[] = { SQL_GRAM_MERGE,
                                                   SQL_WORDS_MERGE };
    enum status st = ST_OK;

    for (size_t i = 0; st == ST_OK && i < sizeof tables / sizeof *tables; i++) {
        struct binder b = store_bind(store, tables[i]);

        bind_int(&b, parts);
        st = store_run(store, &b, why);
    }
    return st;
}

/* Have FTS5 merge as is expected.  The index keeps what was set last, and a
 * run that was killed may have left it so. */
static enum status choose_merging(struct store *store, struct fault *why)
{
    int wanted = store->many ? MERGE_NOT : MERGE_USUALLY;
    struct binder b;
    int64_t now;
    enum status st;

    if (store->merging)
        return ST_OK;
    b = store_bind(store, SQL_MERGE_GET);
    now = store_row(&b) ? sqlite3_column_int64(b.stmt, 0) : MERGE_USUALLY;
    st = store_done(store, &b, why);
    if (st == ST_OK && now != wanted)
        st = set_merging(store, wanted, why);
    store->merging = st == ST_OK;
    return st;
}

enum status store_begin(struct store *store, struct fault *why)
{
    enum status st;

    if (store->mode != STORE_WRITE || store->writing || store->reading)
        return fault_set(why, ST_INTERNAL, "a transaction within another");
    st = store_do_begin(store, SQL_BEGIN_WRITE, why);
    store_forget_strands(store);
    store->writing = st == ST_OK;
    if (st == ST_OK) {
        st = choose_merging(store, why);
        if (st != ST_OK)
            store_rollback(store);
    }
    return st;
}

void store_rollback(struct store *store)
{
    /* SQLite rolls back by itself after some failures; what is left to do
     * cannot fail in a way that keeps anything. */
    if (store->writing && !sqlite3_get_autocommit(store->db))
        store_do(store, SQL_ROLLBACK, NULL);
    /* With the rest, how FTS5 merges is what it was. */
    store->writing = store->checkpoint = store->merging = false;
    store_forget_strands(store);
    segments_forget(store);
}

/* Forget the files whose path was taken by others and that were given no new
 * one: they are gone. */
static enum status forget_pathless(struct store *store, struct fault *why)
{
    enum status st = ST_OK;

    while (st == ST_OK) {
        struct binder b = store_bind(store, SQL_FILE_WITHOUT_PATH);
        int64_t id = store_row(&b) ? sqlite3_column_int64(b.stmt, 0) : 0;

        st = store_done(store, &b, why);
        if (st != ST_OK || id == 0)
            break;
        st = store_remove(store, id, why);
    }
    return st;
}

/* Housekeeping: a reader may be in the way, then it is done later. */
static void shrink_log(struct store *store)
{
    sqlite3_exec(store->db, "PRAGMA optimize", NULL, NULL, NULL);
    store_fold(store, SQLITE_CHECKPOINT_TRUNCATE);
}

enum status store_commit(struct store *store, struct fault *why)
{
    bool shrink = store->checkpoint;
    enum status st;

    if (!store->writing)
        return fault_set(why, ST_INTERNAL, "a commit outside a transaction");
    st = forget_pathless(store, why);
    if (st == ST_OK)
        st = segments_settle(store, why);
    if (st == ST_OK)
        st = store_do(store, SQL_COMMIT, why);
    if (st != ST_OK) {
        store_rollback(store);
        return st;
    }
    store->writing = store->checkpoint = false;
    store_forget_strands(store);
    segments_forget(store);
    if (shrink)
        shrink_log(store);
    return ST_OK;
}

static enum status need_writing(const struct store *store, struct fault *why)
{
    if (store->writing)
        return ST_OK;
    return fault_set(why, ST_INTERNAL, "a write outside a transaction");
}

/* --- the rows of a solo --------------------------------------------------- */

void bind_facts(struct binder *b, int64_t id, const struct solo *solo,
                const struct prepared *p)
{
    bind_int(b, id);
    bind_text(b, solo->title);
    bind_text(b, solo->performer);
    bind_text(b, solo->composer);
    bind_text(b, solo->instrument);
    bind_text(b, solo->metre);
    bind_text(b, p->key);
    bind_int(b, solo->tempo);
    bind_int(b, (int64_t)solo->note_count);
    bind_int(b, (int64_t)solo->chord_count);
    bind_int(b, (int64_t)solo->bar_count);
    bind_int(b, (int64_t)solo->warning_count);
}

void bind_words(struct binder *b, int64_t id, const struct solo *solo,
                const struct prepared *p)
{
    bind_int(b, id);
    bind_text(b, solo->title);
    bind_text(b, solo->performer);
    bind_text(b, solo->composer);
    bind_text(b, solo->instrument);
    bind_text(b, p->words);
}

static enum status write_solo(struct store *store, int64_t id,
                              const struct solo *solo, int64_t segment,
                              const struct prepared *p, struct fault *why)
{
    struct binder b = store_bind(store, SQL_SOLO_PUT);

    bind_facts(&b, id, solo, p);
    bind_int(&b, segment);
    return store_run(store, &b, why);
}

static enum status write_body(struct store *store, int64_t id,
                              const struct prepared *p, struct fault *why)
{
    struct binder b = store_bind(store, SQL_BODY_PUT);

    bind_int(&b, id);
    bind_bytes(&b, p->bytes, p->size);
    return store_run(store, &b, why);
}

static enum status write_words(struct store *store, int64_t id,
                               const struct solo *solo,
                               const struct prepared *p, struct fault *why)
{
    struct binder b = store_bind(store, SQL_WORDS_PUT);

    bind_words(&b, id, solo, p);
    return store_run(store, &b, why);
}

/* --- forgetting -------------------------------------------------------- */

static enum status remove_row(struct store *store,
                              enum store_statement which, int64_t id,
                              struct fault *why)
{
    struct binder b = store_bind(store, which);

    bind_int(&b, id);
    return store_run(store, &b, why);
}

/* Forget the solo of the file ID, not the file. */
static enum status forget_solo(struct store *store, int64_t id,
                               struct fault *why)
{
    enum status st = segments_leave(store, id, why);

    if (st == ST_OK)
        st = remove_row(store, SQL_WORDS_REMOVE, id, why);
    if (st == ST_OK)
        st = remove_row(store, SQL_BODY_REMOVE, id, why);
    if (st == ST_OK)
        st = remove_row(store, SQL_SOLO_REMOVE, id, why);
    return st;
}

enum status store_remove(struct store *store, int64_t file_id,
                         struct fault *why)
{
    enum status st = need_writing(store, why);

    if (st == ST_OK)
        st = forget_solo(store, file_id, why);
    if (st == ST_OK)
        st = remove_row(store, SQL_FILE_REMOVE, file_id, why);
    return st;
}

/* --- putting ------------------------------------------------------------ */

static enum status known_id(struct store *store, const char *path,
                            int64_t *id, struct fault *why)
{
    struct binder b = store_bind(store, SQL_FILE_BY_PATH);

    bind_text(&b, path);
    *id = store_row(&b) ? sqlite3_column_int64(b.stmt, 0) : 0;
    return store_done(store, &b, why);
}

/* Write the row of FILE, which has the id *ID; 0: it is new and is given
 * one. */
static enum status write_file(struct store *store,
                              const struct file_record *file, int64_t *id,
                              struct fault *why)
{
    bool known = *id != 0;
    struct binder b =
        store_bind(store, known ? SQL_FILE_CHANGE : SQL_FILE_ADD);
    enum status st;

    bind_text(&b, file->path);
    bind_int(&b, file->size);
    bind_int(&b, file->mtime);
    bind_text(&b, file->sha256);
    bind_text(&b, file->part);
    bind_text(&b, file->unreadable);
    if (known)
        bind_int(&b, *id);
    st = store_run(store, &b, why);
    if (st == ST_OK && !known)
        *id = sqlite3_last_insert_rowid(store->db);
    return st;
}

/* Write SOLO for the file ID, of which nothing but its row is there. */
static enum status lay_prepared(struct store *store, int64_t id,
                                const struct solo *solo,
                                const struct prepared *p, struct fault *why)
{
    int64_t segment = 0;
    enum status st =
        segments_put(store, id, solo, &p->notes, &segment, why);

    if (st == ST_OK)
        st = write_solo(store, id, solo, segment, p, why);
    if (st == ST_OK)
        st = write_body(store, id, p, why);
    if (st == ST_OK)
        st = write_words(store, id, solo, p, why);
    return st;
}

enum status lay_solo(struct store *store, int64_t id, const struct solo *solo,
                     struct fault *why)
{
    struct prepared p = { 0 };
    enum status st = prepare_solo(&p, solo, why);

    if (st == ST_OK)
        st = lay_prepared(store, id, solo, &p, why);
    prepared_free(&p);
    return st;
}

/* Replace what is known under the path of FILE. */
static enum status put_prepared(struct store *store,
                                const struct file_record *file,
                                const struct solo *solo,
                                const struct prepared *p, struct fault *why)
{
    int64_t id = 0;
    enum status st = known_id(store, file->path, &id, why);

    if (st == ST_OK && id != 0)
        st = forget_solo(store, id, why);
    if (st == ST_OK)
        st = write_file(store, file, &id, why);
    return st == ST_OK && solo ? lay_prepared(store, id, solo, p, why) : st;
}

enum status store_put_prepared(struct store *store,
                               const struct file_record *file,
                               const struct solo *solo,
                               const struct prepared *prepared,
                               struct fault *why)
{
    struct prepared own = { 0 };
    enum status st = need_writing(store, why);

    if (st == ST_OK && solo && !prepared)
        st = prepare_solo(&own, solo, why);
    if (st == ST_OK)
        st = put_prepared(store, file, solo, prepared ? prepared : &own, why);
    prepared_free(&own);
    return st;
}

enum status store_put(struct store *store, const struct file_record *file,
                      const struct solo *solo, struct fault *why)
{
    return store_put_prepared(store, file, solo, NULL, why);
}

enum status store_touch(struct store *store, const struct file_record *file,
                        struct fault *why)
{
    enum status st = need_writing(store, why);
    struct binder b;

    if (st != ST_OK)
        return st;
    /* Two files may have changed names with each other: who holds the path
     * now gives it up, and has until the commit to be given another. */
    b = store_bind(store, SQL_FILE_FREE_PATH);
    bind_text(&b, file->path);
    bind_int(&b, file->id);
    st = store_run(store, &b, why);
    if (st != ST_OK)
        return st;
    b = store_bind(store, SQL_FILE_TOUCH);
    bind_text(&b, file->path);
    bind_int(&b, file->size);
    bind_int(&b, file->mtime);
    bind_int(&b, file->id);
    st = store_run(store, &b, why);
    if (st == ST_OK && sqlite3_changes64(store->db) == 0)
        st = fault_set(why, ST_INTERNAL, "no file %lld is known",
                       (long long)file->id);
    return st;
}

enum status store_optimize(struct store *store, struct fault *why)
{
    bool own = !store->writing;
    enum status st = own ? store_begin(store, why) : ST_OK;

    if (st != ST_OK)
        return st;
    store->checkpoint = true;
    st = store_do(store, SQL_GRAM_OPTIMIZE, why);
    if (st == ST_OK)
        st = store_do(store, SQL_WORDS_OPTIMIZE, why);
    store->many = store->merging = false;
    if (st == ST_OK)
        st = choose_merging(store, why);
    if (own && st == ST_OK)
        return store_commit(store, why);
    if (own)
        store_rollback(store);
    return st;
}
