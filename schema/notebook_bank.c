/* schema/notebook_bank.c - banks and their cells. */
#include "schema/notebook_bank.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "schema/notebook_cell.h"
#include "schema/notebook_named.h"

/* Before this version there were no banks. */
enum {
    BANK_VERSION = 2
};

static const struct named bank_kind = {
    .what = "bank",
    .version = BANK_VERSION,
    .size = BANK_NAME_SIZE,
    .select = "SELECT id, name FROM bank",
    .rename = "UPDATE bank SET name = ?1 WHERE id = ?2",
    .remove = "DELETE FROM bank WHERE id = ?1",
    .count = "SELECT count(*) FROM bank_cell WHERE bank = ?1",
    .list =
        "SELECT name, (SELECT count(*) FROM bank_cell WHERE bank = bank.id)"
        " FROM bank ORDER BY name COLLATE NOCASE, name",
};

/* --- the banks -------------------------------------------------------- */

enum status notebook_new_bank(struct notebook *notebook, const char *name,
                              struct fault *why)
{
    enum status st = begin(notebook, why);

    if (st != ST_OK)
        return st;
    st = named_check_free(notebook, &bank_kind, name, 0, why);
    if (st == ST_OK) {
        struct asked a = ask(notebook, "INSERT INTO bank (name) VALUES (?1)");

        with_text(&a, name);
        st = done(notebook, &a, why);
    }
    return finish(notebook, st, why);
}

enum status notebook_rename_bank(struct notebook *notebook, const char *name,
                                 const char *to, struct fault *why)
{
    return named_rename(notebook, &bank_kind, name, to, why);
}

enum status notebook_delete_bank(struct notebook *notebook, const char *name,
                                 int64_t *cells, struct fault *why)
{
    return named_remove(notebook, &bank_kind, name, cells, why);
}

enum status notebook_banks(struct notebook *notebook, notebook_bank_each each,
                           void *context, struct fault *why)
{
    return named_each(notebook, &bank_kind, each, context, why);
}

/* --- reading cells ---------------------------------------------------- */

#define KEPT_COLUMNS CELL_COLUMNS ", given, note, origin, added, id"

enum {
    COL_GIVEN = CELL_COLUMN_COUNT,
    COL_NOTE,
    COL_ORIGIN,
    COL_ADDED,
    COL_ID
};

static enum status kept_at(const struct notebook *n, sqlite3_stmt *stmt,
                           int32_t number, struct kept_cell *out,
                           struct fault *why)
{
    out->number = number;
    out->given = text_at(stmt, COL_GIVEN);
    out->note = text_at(stmt, COL_NOTE);
    out->origin = text_at(stmt, COL_ORIGIN);
    out->added = sqlite3_column_int64(stmt, COL_ADDED);
    return cell_at(n, stmt, 0, &out->cell, why);
}

static enum status each_cell(const struct notebook *n, int64_t bank,
                             notebook_cell_each each, void *context,
                             struct fault *why)
{
    struct asked a = ask(n, "SELECT " KEPT_COLUMNS
                            " FROM bank_cell"
                            " WHERE bank = ?1 ORDER BY id");
    enum status st = ST_OK, end;
    int32_t number = 0;
    bool more = true;

    with_int(&a, bank);
    while (st == ST_OK && more && next_row(&a)) {
        struct kept_cell kept;

        st = kept_at(n, a.stmt, ++number, &kept, why);
        more = st == ST_OK && each(context, &kept);
    }
    end = answered(n, &a, st == ST_OK ? why : NULL);
    return st == ST_OK ? end : st;
}

enum status notebook_bank_cells(struct notebook *notebook, const char *name,
                                char found[BANK_NAME_SIZE],
                                notebook_cell_each each, void *context,
                                struct fault *why)
{
    int64_t id;
    enum status st;

    if (notebook->version < BANK_VERSION)
        return named_missing(&bank_kind, name, why);
    /* One transaction, so that name and cells are of one moment. */
    st = begin(notebook, why);
    if (st != ST_OK)
        return st;
    st = named_find(notebook, &bank_kind, name, &id, found, why);
    if (st == ST_OK)
        st = each_cell(notebook, id, each, context, why);
    return finish(notebook, st, why);
}

/* --- changing them ---------------------------------------------------- */

/* How many cells of BANK come up to the one with id LAST. */
static enum status count_cells(const struct notebook *n, int64_t bank,
                               int64_t last, int64_t *out, struct fault *why)
{
    struct asked a = ask(n,
                         "SELECT count(*) FROM bank_cell"
                         " WHERE bank = ?1 AND id <= ?2");

    with_int(&a, bank);
    with_int(&a, last);
    *out = next_row(&a) ? sqlite3_column_int64(a.stmt, 0) : 0;
    return answered(n, &a, why);
}

/* The id of the cell of BANK that is equal to CELL, which becomes that one;
 * 0 where there is none. */
static enum status look_up_cell(const struct notebook *n, int64_t bank,
                                struct placed_cell *cell, int64_t *id,
                                struct fault *why)
{
    struct cell_key key;
    struct asked a = ask(n, "SELECT " KEPT_COLUMNS
                            " FROM bank_cell"
                            " WHERE bank = ?1 AND intervals = ?2"
                            " AND class = ?3 AND start = ?4");
    enum status st = ST_OK, end;

    with_int(&a, bank);
    with_cell_key(&a, &key, cell);
    *id = 0;
    if (next_row(&a)) {
        *id = sqlite3_column_int64(a.stmt, COL_ID);
        st = cell_at(n, a.stmt, 0, cell, why);
    }
    end = answered(n, &a, st == ST_OK ? why : NULL);
    return st == ST_OK ? end : st;
}

static enum status insert_cell(const struct notebook *n, int64_t bank,
                               const struct kept_cell *kept, struct fault *why)
{
    struct cell_key key;
    struct asked a = ask(n, "INSERT INTO bank_cell (" CELL_COLUMNS
                            ", given, note, origin, added, bank)"
                            " VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9,"
                            " ?10)");

    with_cell(&a, &key, &kept->cell);
    with_text(&a, kept->given);
    with_text(&a, kept->note);
    with_text(&a, kept->origin);
    with_int(&a, kept->added);
    with_int(&a, bank);
    return done(n, &a, why);
}

static enum status add_cell(const struct notebook *n, int64_t bank,
                            struct kept_cell *kept, bool *new,
                            struct fault *why)
{
    int64_t id, number;
    enum status st = look_up_cell(n, bank, &kept->cell, &id, why);

    *new = st == ST_OK &&id == 0;
    if (*new) {
        st = insert_cell(n, bank, kept, why);
        id = sqlite3_last_insert_rowid(n->db);
    }
    if (st == ST_OK)
        st = count_cells(n, bank, id, &number, why);
    /* A table that was changed may keep it without a number. */
    if (st == ST_OK && (number < 1 || number > INT32_MAX))
        st = notebook_damaged(n, "its cells have no numbers", why);
    if (st == ST_OK)
        kept->number = (int32_t)number;
    return st;
}

enum status notebook_add_cells(struct notebook *notebook, const char *name,
                               struct kept_cell *cells, bool *new, size_t count,
                               struct fault *why)
{
    int64_t bank;
    enum status st = begin(notebook, why);

    if (st != ST_OK)
        return st;
    st = named_find(notebook, &bank_kind, name, &bank, NULL, why);
    for (size_t i = 0; st == ST_OK && i < count; i++)
        st = add_cell(notebook, bank, &cells[i], &new[i], why);
    return finish(notebook, st, why);
}

/* The id of the cell NUMBER of BANK; EACH (may be NULL) is shown it. */
static enum status cell_id(const struct notebook *n, int64_t bank,
                           int32_t number, int64_t *id, notebook_cell_each each,
                           void *context, struct fault *why)
{
    struct asked a = ask(n, "SELECT " KEPT_COLUMNS
                            " FROM bank_cell"
                            " WHERE bank = ?1 ORDER BY id"
                            " LIMIT 1 OFFSET ?2");
    enum status st = ST_OK, end;
    struct kept_cell kept;

    with_int(&a, bank);
    with_int(&a, (int64_t)number - 1);
    *id = 0;
    if (number > 0 && next_row(&a)) {
        *id = sqlite3_column_int64(a.stmt, COL_ID);
        st = each ? kept_at(n, a.stmt, number, &kept, why) : ST_OK;
        if (st == ST_OK && each)
            each(context, &kept);
    }
    end = answered(n, &a, st == ST_OK ? why : NULL);
    return st == ST_OK ? end : st;
}

static enum status no_cell(const struct notebook *n, int64_t bank,
                           int32_t number, struct fault *why)
{
    int64_t count;
    enum status st = named_count(n, &bank_kind, bank, &count, why);

    if (st != ST_OK)
        return st;
    if (count == 0)
        return fault_set(why, ST_USAGE, "the bank has no cells");
    return fault_set(why, ST_USAGE,
                     "there is no cell %d in the bank, which "
                     "has %lld",
                     (int)number, (long long)count);
}

/* The ids of the cells NUMBERS of BANK. */
static enum status cell_ids(const struct notebook *n, int64_t bank,
                            const int32_t *numbers, size_t count, int64_t *ids,
                            notebook_cell_each each, void *context,
                            struct fault *why)
{
    for (size_t i = 0; i < count; i++) {
        enum status st =
            cell_id(n, bank, numbers[i], &ids[i], each, context, why);

        if (st == ST_OK && ids[i] == 0)
            st = no_cell(n, bank, numbers[i], why);
        if (st != ST_OK)
            return st;
    }
    return ST_OK;
}

static enum status delete_cells(const struct notebook *n, const int64_t *ids,
                                size_t count, struct fault *why)
{
    enum status st = ST_OK;

    for (size_t i = 0; st == ST_OK && i < count; i++) {
        struct asked a = ask(n, "DELETE FROM bank_cell WHERE id = ?1");

        with_int(&a, ids[i]);
        st = done(n, &a, why);
    }
    return st;
}

enum status notebook_drop_cells(struct notebook *notebook, const char *name,
                                const int32_t *numbers, size_t count,
                                notebook_cell_each each, void *context,
                                struct fault *why)
{
    int64_t bank, *ids = calloc(count ? count : 1, sizeof *ids);
    enum status st;

    if (!ids)
        return fault_nomem(why);
    st = begin(notebook, why);
    if (st == ST_OK) {
        st = named_find(notebook, &bank_kind, name, &bank, NULL, why);
        if (st == ST_OK)
            st = cell_ids(notebook, bank, numbers, count, ids, each, context,
                          why);
        if (st == ST_OK)
            st = delete_cells(notebook, ids, count, why);
        st = finish(notebook, st, why);
    }
    free(ids);
    return st;
}

enum status notebook_note_cell(struct notebook *notebook, const char *name,
                               int32_t number, const char *note,
                               struct fault *why)
{
    int64_t bank, id;
    enum status st = begin(notebook, why);

    if (st != ST_OK)
        return st;
    st = named_find(notebook, &bank_kind, name, &bank, NULL, why);
    if (st == ST_OK)
        st = cell_ids(notebook, bank, &number, 1, &id, NULL, NULL, why);
    if (st == ST_OK) {
        struct asked a = ask(notebook,
                             "UPDATE bank_cell SET note = ?1"
                             " WHERE id = ?2");

        with_text(&a, note);
        with_int(&a, id);
        st = done(notebook, &a, why);
    }
    return finish(notebook, st, why);
}
